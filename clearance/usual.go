package clearance

import "example.com/trialfit/units"

// UsualLimit is a named limit that does not grow with the part. It stands
// beside the part maker's limits and never before them. The zero UsualLimit is
// none.
type UsualLimit uint8

// Limits of the trade and of handbooks.
const (
	CrankEndPlay            UsualLimit = iota + 1 // 0.004 to 0.010 in, small engines, trade practice
	RodSidePair                                   // two rods on a pin together, 0.010 to 0.020 in, trade practice
	IntakeStemClearance                           // 0.001 to 0.003 in, trade practice
	ExhaustStemClearance                          // 0.002 to 0.004 in, trade practice
	JournalOutOfRoundAny                          // at most 0.001 in, trade practice
	StemWear                                      // valve stem, at most 0.001 in off its diameter
	GuideWear                                     // valve guide, at most 0.0015 in over its bore
	AdjacentMains                                 // oil clearance of mains side by side differs by at most 0.001 in
	CrushHeight                                   // of one half shell, 0.001 to 0.003 in, trade practice
	ThinnerAtSplit                                // shell wall at the split under that at the crown, 0.0002 to 0.001 in, trade practice
	RodToCam                                      // at least 0.050 in, trade practice
	CounterweightToSkirt                          // at least 0.060 in, trade practice
	CounterweightToBlock                          // at least 0.060 in, trade practice
	PickupToPan                                   // 1/4 to 1/2 in, trade practice
	RodTwist                                      // rod twisted or out of square, at most 0.002 in over 4 in, either way
	CamRunout                                     // at most 0.002 in, total reading at the middle bearing
	CamGearBacklash                               // 0.005 to 0.010 in, spur gears, new
	CamGearBacklashWorn                           // at most 0.012 in
	ChainDeflection                               // at most 12.7 mm, new parts
	ChainDeflectionWorn                           // at most 20.3 mm
	PumpRotorTip                                  // at most 0.010 in, trade practice
	PumpRotorSide                                 // at most 0.014 in, trade practice
	PumpEnd                                       // 0.001 to 0.004 in, trade practice
	CamBearingClearance                           // 0.0012 to 0.0037 in, new, a small diesel
	CamBearingClearanceWorn                       // at most 0.0057 in, a small diesel
	CamEndPlay                                    // 0.007 to 0.039 in, new, a small diesel
	CamEndPlayWorn                                // at most 0.045 in, a small diesel
	TimingGearBacklash                            // 0.002 to 0.006 in, trade practice
	SixGearBacklash                               // timing gears, 0.002 to 0.005 in, an in-line six of 1935
	CrankGearRunout                               // at most 0.003 in, the same six
	CamGearRunout                                 // at most 0.004 in, the same six
	MainRunout                                    // crank's middle mains on the end ones, at most 0.002 in, a V6
	JournalTaper                                  // at most 0.0005 in over the journal, either way
	RingSideClearance                             // second and third ring, 0.003 to 0.005 in, new, a small diesel
	RingSideClearanceWorn                         // at most 0.008 in, a small diesel
	PocketRadialRoom                              // valve head to pocket wall, at least 0.050 in, trade practice
	PistonToHead                                  // squish as assembled, steel rods, at least 0.035 in, trade practice
)

type usual struct {
	name     string
	min, max units.Length // 0: none
	source   units.Source
	either   bool // a signed figure, whose limit holds either way
}

func (u UsualLimit) rule() (usual, bool) {
	army := units.Source{Text: wearList, Provenance: units.Verified}
	diesel := units.Source{Text: "US Army TM 5-6115-585-34, table 1-2", Provenance: units.Verified}
	chain := units.Source{Text: "service manual of a V8 petrol engine", Provenance: units.Verified}
	six := units.Source{Text: "shop manual of 1935, in-line six petrol engine", Provenance: units.Verified}
	const tenth = units.Thou / 10
	switch u {
	case CrankEndPlay:
		return usual{"crank end play", 4 * units.Thou, 10 * units.Thou, trade, false}, true
	case RodSidePair:
		return usual{"side clearance of two rods", 10 * units.Thou, 20 * units.Thou, trade, false}, true
	case IntakeStemClearance:
		return usual{"intake stem clearance", units.Thou, 3 * units.Thou, trade, false}, true
	case ExhaustStemClearance:
		return usual{"exhaust stem clearance", 2 * units.Thou, 4 * units.Thou, trade, false}, true
	case JournalOutOfRoundAny:
		return usual{"journal out-of-round of any size", 0, units.Thou, trade, false}, true
	case StemWear:
		return usual{"valve stem wear", 0, units.Thou, army, false}, true
	case GuideWear:
		return usual{"valve guide wear", 0, 15 * tenth, army, false}, true
	case AdjacentMains:
		return usual{"step between mains", 0, units.Thou, units.Source{Text: "US Army TM 5-6115-593-34", Provenance: units.Verified}, false}, true
	case CrushHeight:
		return usual{"crush height", units.Thou, 3 * units.Thou, trade, false}, true
	case ThinnerAtSplit:
		return usual{"shell thinner at the split", 2 * tenth, units.Thou, trade, false}, true
	case RodToCam:
		return usual{"rod to cam lobe", 50 * units.Thou, 0, trade, false}, true
	case CounterweightToSkirt:
		return usual{"counterweight to piston skirt", 60 * units.Thou, 0, trade, false}, true
	case CounterweightToBlock:
		return usual{"counterweight to block", 60 * units.Thou, 0, trade, false}, true
	case PickupToPan:
		return usual{"oil pickup to pan", 250 * units.Thou, 500 * units.Thou, trade, false}, true
	case RodTwist:
		return usual{"rod twist over 4 in", 0, 2 * units.Thou, units.Source{Text: "US Army TM 10-3930-671-24", Provenance: units.Verified}, true}, true
	case CamRunout:
		return usual{"camshaft runout", 0, 2 * units.Thou, units.Source{Text: "US Army TM 5-3895-346-14", Provenance: units.Verified}, false}, true
	case CamGearBacklash:
		return usual{"camshaft gear backlash", 5 * units.Thou, 10 * units.Thou, diesel, false}, true
	case CamGearBacklashWorn:
		return usual{"camshaft gear backlash, worn", 0, 12 * units.Thou, diesel, false}, true
	case ChainDeflection:
		return usual{"timing chain deflection", 0, 12_700 * units.Micrometer, chain, false}, true
	case ChainDeflectionWorn:
		return usual{"timing chain deflection, worn", 0, 20_300 * units.Micrometer, chain, false}, true
	case PumpRotorTip:
		return usual{"pump rotor tip", 0, 10 * units.Thou, trade, false}, true
	case PumpRotorSide:
		return usual{"pump rotor to housing", 0, 14 * units.Thou, trade, false}, true
	case PumpEnd:
		return usual{"pump end clearance", units.Thou, 4 * units.Thou, trade, false}, true
	case CamBearingClearance:
		return usual{"camshaft bearing clearance", 12 * tenth, 37 * tenth, diesel, false}, true
	case CamBearingClearanceWorn:
		return usual{"camshaft bearing clearance, worn", 0, 57 * tenth, diesel, false}, true
	case CamEndPlay:
		return usual{"camshaft end play", 7 * units.Thou, 39 * units.Thou, diesel, false}, true
	case CamEndPlayWorn:
		return usual{"camshaft end play, worn", 0, 45 * units.Thou, diesel, false}, true
	case TimingGearBacklash:
		return usual{"timing gear backlash", 2 * units.Thou, 6 * units.Thou, trade, false}, true
	case SixGearBacklash:
		return usual{"timing gear backlash of a six", 2 * units.Thou, 5 * units.Thou, six, false}, true
	case CrankGearRunout:
		return usual{"crank gear runout", 0, 3 * units.Thou, six, false}, true
	case CamGearRunout:
		return usual{"camshaft gear runout", 0, 4 * units.Thou, six, false}, true
	case MainRunout:
		return usual{"main journal runout", 0, 2 * units.Thou, units.Source{Text: "service data of a V6 petrol engine of 2001", Provenance: units.Verified}, false}, true
	case JournalTaper:
		return usual{"journal taper", 0, 5 * tenth, units.Source{Text: "US Army TM 5-2815-241-34&P", Provenance: units.Verified}, true}, true
	case RingSideClearance:
		return usual{"ring side clearance", 3 * units.Thou, 5 * units.Thou, diesel, false}, true
	case RingSideClearanceWorn:
		return usual{"ring side clearance, worn", 0, 8 * units.Thou, diesel, false}, true
	case PocketRadialRoom:
		return usual{"valve head to pocket wall", 50 * units.Thou, 0, trade, false}, true
	case PistonToHead:
		return usual{"piston to head, steel rods", 35 * units.Thou, 0, trade, false}, true
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

// Limits answers what the named limit is, with its source; the constants say the
// figures. They differ by engine: the part maker's figure goes first, and common
// practice proves nothing. Where the figure has a sign, as the error of a rod and
// the taper of a journal, the limit holds either way. Error: an unknown limit.
//
// Source: named in the limits.
//
// Rows: wear-valve-stem, wear-valve-guide, tm593-adjacent, cp-endplay,
// cp-rod-side, cp-stem-int, cp-stem-exh, cp-journal-oor, crush-height,
// wall-ecc, tm671-rod-twist, tm346-cam-runout, tm585-backlash,
// trial-backlash-worn, chain-deflection-new, trial-chain-worn, trial-rod-cam,
// trial-pump-end, tm585-cam-clr, trial-cam-clr-worn, tm585-cam-end,
// trial-cam-end-worn, cp-backlash, gear-backlash-1935, trial-crank-gear,
// trial-cam-gear, v6-runout, trial-taper, tm585-ring-side-2, trial-ring-side-worn,
// trial-pocket-radial, trial-piston-head.
func (u UsualLimit) Limits() (units.Limits[units.Length], error) {
	d, ok := u.rule()
	if !ok {
		return units.Limits[units.Length]{}, fail("UsualLimit", "", units.ErrRange, "want one of the named limits")
	}
	switch {
	case d.either:
		return units.Between(-d.max, d.max, d.source), nil
	case d.min == 0:
		return units.AtMost(d.max, d.source), nil
	case d.max == 0:
		return units.AtLeast(d.min, d.source), nil
	default:
		return units.Between(d.min, d.max, d.source), nil
	}
}
