package clearance

import "example.com/trialfit/units"

// UsualLimit is a named limit that does not grow with the part. It stands
// beside the part maker's limits and never before them. The zero UsualLimit is
// none.
type UsualLimit uint8

// Limits of the trade and of handbooks.
const (
	CrankEndPlay         UsualLimit = iota + 1 // 0.004 to 0.010 in, small engines, trade practice
	RodSidePair                                // two rods on a pin together, 0.010 to 0.020 in, trade practice
	IntakeStemClearance                        // 0.001 to 0.003 in, trade practice
	ExhaustStemClearance                       // 0.002 to 0.004 in, trade practice
	JournalOutOfRoundAny                       // at most 0.001 in, trade practice
	StemWear                                   // valve stem, at most 0.001 in off its diameter
	GuideWear                                  // valve guide, at most 0.0015 in over its bore
	AdjacentMains                              // oil clearance of mains side by side differs by at most 0.001 in
	CrushHeight                                // of one half shell, 0.001 to 0.003 in, trade practice
	ThinnerAtSplit                             // shell wall at the split under that at the crown, 0.0002 to 0.001 in, trade practice
)

type usual struct {
	name     string
	min, max units.Length // max 0: none
	source   units.Source
}

func (u UsualLimit) rule() (usual, bool) {
	trade := units.Source{Text: "trade practice, no single source", Provenance: units.CommonPractice}
	army := units.Source{Text: wearList, Provenance: units.Verified}
	const tenth = units.Thou / 10
	switch u {
	case CrankEndPlay:
		return usual{"crank end play", 4 * units.Thou, 10 * units.Thou, trade}, true
	case RodSidePair:
		return usual{"side clearance of two rods", 10 * units.Thou, 20 * units.Thou, trade}, true
	case IntakeStemClearance:
		return usual{"intake stem clearance", units.Thou, 3 * units.Thou, trade}, true
	case ExhaustStemClearance:
		return usual{"exhaust stem clearance", 2 * units.Thou, 4 * units.Thou, trade}, true
	case JournalOutOfRoundAny:
		return usual{"journal out-of-round of any size", 0, units.Thou, trade}, true
	case StemWear:
		return usual{"valve stem wear", 0, units.Thou, army}, true
	case GuideWear:
		return usual{"valve guide wear", 0, 15 * tenth, army}, true
	case AdjacentMains:
		return usual{"step between mains", 0, units.Thou, units.Source{Text: "US Army TM 5-6115-593-34", Provenance: units.Verified}}, true
	case CrushHeight:
		return usual{"crush height", units.Thou, 3 * units.Thou, trade}, true
	case ThinnerAtSplit:
		return usual{"shell thinner at the split", 2 * tenth, units.Thou, trade}, true
	default:
		return usual{}, false
	}
}

// String names the limit.
func (u UsualLimit) String() string {
	if d, ok := u.rule(); ok {
		return d.name
	}
	return "no limit"
}

// Limits answers what the named limit is, with its source. Error: an unknown
// limit.
//
// Source: named in the limits.
//
// Rows: wear-valve-stem, wear-valve-guide, tm593-adjacent, cp-endplay,
// cp-rod-side, cp-stem-int, cp-stem-exh, cp-journal-oor, crush-height,
// wall-ecc.
func (u UsualLimit) Limits() (units.Limits[units.Length], error) {
	d, ok := u.rule()
	if !ok {
		return units.Limits[units.Length]{}, fail("UsualLimit", "", units.ErrRange, "want one of the named limits")
	}
	if d.min == 0 {
		return units.AtMost(d.max, d.source), nil
	}
	return units.Between(d.min, d.max, d.source), nil
}
