package clearance

import "example.com/trialfit/units"

// SizeRule is a named rule that gives a limit from a diameter, or from a length
// where its constant says so. It stands beside the part maker's limits and never
// before them. The zero SizeRule is none.
type SizeRule uint8

// Rules by diameter, and from RodBendOrTwist on by length.
const (
	OilClearanceByDiameter SizeRule = iota + 1 // diametral, 0.00075 to 0.001 per diameter, trade practice
	BoreWear                                   // sleeve bore, 0.001 per bore
	PistonWear                                 // at skirt and above the pin, 0.0005 per diameter
	PinBoreWear                                // pin bore or rod bushing, 0.0005 per diameter
	JournalOutOfRound                          // main and rod journals, 0.0004 per diameter
	CamJournalWear                             // under the new low limit, 0.0005 per diameter
	OlderRingGap                               // ring end gap, 0.003 to 0.004 per bore, older trade practice
	RodBendOrTwist                             // 0.001 in over each 6 in of length, either way, trade practice
	LevelChainSag                              // middle of a level run to one side, 0.02 to 0.03 of the free span, trade practice
	UprightChainSag                            // of an upright run, 0.01 to 0.015 of the free span, trade practice
	VBeltDeflection                            // at the belt maker's force, at most 1/64 of the free span, trade practice
	JournalTaperByLength                       // 0.0003 over the journal's length, either way, a V6
)

const wearList = "US Army TM 10-3930-647-14&P, wear limits list"

type ratioRule struct {
	name     string
	min, max float64 // max 0: none
	source   units.Source
	either   bool // a signed figure, whose limit holds either way
}

func (r SizeRule) rule() (ratioRule, bool) {
	recalled := units.Source{Text: "trade practice from memory, no source", Provenance: units.CommonPractice}
	army := units.Source{Text: wearList, Provenance: units.Verified}
	switch r {
	case OilClearanceByDiameter:
		return ratioRule{"oil clearance by diameter", 0.00075, 0.001, trade, false}, true
	case BoreWear:
		return ratioRule{"bore wear", 0, 0.001, army, false}, true
	case PistonWear:
		return ratioRule{"piston wear", 0, 0.0005, army, false}, true
	case PinBoreWear:
		return ratioRule{"pin bore wear", 0, 0.0005, army, false}, true
	case JournalOutOfRound:
		return ratioRule{"journal out-of-round", 0, 0.0004, army, false}, true
	case CamJournalWear:
		return ratioRule{"cam journal wear", 0, 0.0005, army, false}, true
	case OlderRingGap:
		return ratioRule{"older ring end gap", 0.003, 0.004, trade, false}, true
	case RodBendOrTwist:
		return ratioRule{"rod bend or twist", 0, 0.001 / 6, recalled, true}, true
	case LevelChainSag:
		return ratioRule{"sag of a level chain", 0.02, 0.03, recalled, false}, true
	case UprightChainSag:
		return ratioRule{"sag of an upright chain", 0.01, 0.015, recalled, false}, true
	case JournalTaperByLength:
		return ratioRule{"journal taper by length", 0, 0.0003, units.Source{Text: "service data of a V6 petrol engine of 2001", Provenance: units.Verified}, true}, true
	case VBeltDeflection:
		return ratioRule{"V-belt deflection", 0, 1.0 / 64, recalled, false}, true
	default:
		return ratioRule{}, false
	}
}

// String names the rule.
func (r SizeRule) String() string {
	if d, ok := r.rule(); ok {
		return d.name
	}
	return "no rule"
}

// Source returns where the rule comes from.
func (r SizeRule) Source() units.Source { d, _ := r.rule(); return d.source }

// Limits answers which limits the rule gives for a part of a diameter, or for a
// length where the rule goes by one:
//
//	limit = rate * diameter
//
// The oil clearance rule gives a lowest and a highest clearance, the ring gap
// rule a lowest and a highest gap, the wear rules a highest wear. Sources differ
// by purpose and by maker: some makers want less oil clearance than the trade
// rule gives (0.0004 per diameter on a 2.5 in journal).
//
// RodBendOrTwist goes by RodAlignment.Over and holds either way, as
// JournalTaperByLength does; it is closer than RodTwist, a handbook's. The chain rules are for a drive on fixed centers
// without a tensioner, with the slack run pushed from the straight line to one
// side (FreeSpan.Deflection); from stop to stop the middle moves twice that. Level
// is a run up to 45 degrees, upright a steeper one. A V-belt is tight enough if
// that deflection takes the force its maker states: the deflection alone says
// little. Timing chains and toothed belts have their makers' figures alone.
//
// Errors: an unknown rule, a diameter or length that is not over 0.
//
// Source: named by Source.
//
// Rows: wear-bore, wear-piston-dia, wear-pin-bore, wear-main-oor,
// wear-cam-journal, ratio-trade, ratio-mag, cp-ring-gap-old, cp-rod-align,
// cp-chain-level, cp-chain-upright, cp-belt, v6-taper.
func (r SizeRule) Limits(diameter units.Length) (units.Limits[units.Length], error) {
	d, ok := r.rule()
	if !ok {
		return units.Limits[units.Length]{}, fail("SizeRule", "", units.ErrRange, "want one of the named rules")
	}
	if err := checkSize("diameter", diameter); err != nil {
		return units.Limits[units.Length]{}, err
	}
	// Rates are small and the diameter bounded: no overflow.
	hi := round(d.max * float64(diameter))
	switch {
	case d.either:
		return units.Between(-hi, hi, d.source), nil
	case d.min == 0:
		return units.AtMost(hi, d.source), nil
	}
	return units.Between(round(d.min*float64(diameter)), hi, d.source), nil
}

// PlayRule is a named rule for how far an end play may grow over the highest
// figure for new parts. The zero PlayRule is none.
type PlayRule uint8

// Rules for end play in wear.
const (
	CrankEndPlayGrowth PlayRule = iota + 1 // 0.005 in over the new high limit
	CamEndPlayGrowth                       // 0.010 in over the new high limit
)

// String names the rule.
func (r PlayRule) String() string {
	switch r {
	case CrankEndPlayGrowth:
		return "crank end play growth"
	case CamEndPlayGrowth:
		return "camshaft end play growth"
	default:
		return "no rule"
	}
}

// Limits answers how much end play a worn engine may have:
//
//	limit = newHigh + growth
//
// with newHigh the highest figure for new parts. Errors: an unknown rule, a
// newHigh that is not over 0.
//
// Source: US Army TM 10-3930-647-14&P, wear limits list.
//
// Rows: wear-endplay, wear-cam-endplay.
func (r PlayRule) Limits(newHigh units.Length) (units.Limits[units.Length], error) {
	if err := checkSize("newHigh", newHigh); err != nil {
		return units.Limits[units.Length]{}, err
	}
	var growth units.Length
	switch r {
	case CrankEndPlayGrowth:
		growth = 5 * units.Thou
	case CamEndPlayGrowth:
		growth = 10 * units.Thou
	default:
		return units.Limits[units.Length]{}, fail("PlayRule", "", units.ErrRange, "want one of the named rules")
	}
	return units.AtMost(newHigh+growth, units.Source{Text: wearList, Provenance: units.Verified}), nil
}
