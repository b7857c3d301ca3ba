package clearance

import (
	"math"

	"example.com/trialfit/units"
)

// RingDuty is how hard the engine heats its rings. The zero RingDuty is none.
type RingDuty uint8

// Duties the trade's rule of thumb tells apart.
const (
	NaturallyAspirated RingDuty = iota + 1
	Boosted                     // supercharged, turbocharged or nitrous
)

// String names the duty.
func (d RingDuty) String() string {
	switch d {
	case NaturallyAspirated:
		return "naturally aspirated"
	case Boosted:
		return "boosted"
	default:
		return "no duty"
	}
}

// Ring is a piston ring to be gapped.
type Ring struct {
	Bore units.Length // needed unless Maker is given
	Duty RingDuty     // needed unless Maker is given
	// Maker is the ring maker's figure, which takes precedence.
	Maker units.Optional[units.Limits[units.Length]]
}

// RingGap is the end gap to aim for.
type RingGap struct {
	Ring   Ring
	Limits units.Limits[units.Length] // with its source
	// ByRule says that the limits are the rule of thumb, not the maker's.
	ByRule bool
}

// EndGap answers which end gap a ring should have: the maker's figure where
// there is one, else the rule of the trade for a top ring,
//
//	gap = rate * Bore
//
// with rates of 0.0035 to 0.0045 per bore, naturally aspirated, and 0.005 to
// 0.007, boosted. Errors: a bore or duty missing where the maker's figure is
// not given; a maker's figure with no limit, negative, swapped or without a
// source.
//
// Source: trade practice, no single source (common practice); the maker's
// figure as the caller states it.
//
// Rows: tm277-gap-top, tm229-gap-top, tm229-gap-int, tm229-gap-oil,
// tm247-gap-top, cp-ring-gap, cp-ring-gap-boosted.
func (r Ring) EndGap() (RingGap, error) {
	if r.Maker.Given {
		if err := checkMaker(r.Maker.Value); err != nil {
			return RingGap{}, err
		}
		return RingGap{Ring: r, Limits: r.Maker.Value}, nil
	}
	if err := checkSize("Bore", r.Bore); err != nil {
		return RingGap{}, err
	}
	rate, ok := r.Duty.rates()
	if !ok {
		return RingGap{}, fail("Duty", "", units.ErrMissing, "want naturally aspirated or boosted, or the maker's figure")
	}
	b := float64(r.Bore)
	return RingGap{Ring: r, ByRule: true, Limits: units.Between(round(rate.lo*b), round(rate.hi*b), trade)}, nil
}

// rates returns the gap per bore of the rule; ok false for no duty.
func (d RingDuty) rates() (r ringRates, ok bool) {
	switch d {
	case NaturallyAspirated:
		return ringRates{0.0035, 0.0045}, true
	case Boosted:
		return ringRates{0.005, 0.007}, true
	default:
		return ringRates{}, false
	}
}

type ringRates struct{ lo, hi float64 }

func checkMaker(l units.Limits[units.Length]) error {
	switch {
	case !l.HasMin && !l.HasMax:
		return fail("Maker", "", units.ErrMissing, "want the maker's smallest gap, largest or both")
	case (l.HasMin && l.Min < 0) || (l.HasMax && l.Max < 0):
		return fail("Maker", l.String(), units.ErrRange, "want a gap that is not negative")
	case l.HasMin && l.HasMax && l.Min > l.Max:
		return fail("Maker", l.String(), units.ErrConflict, "the minimum is over the maximum")
	case !l.Source.Given():
		return fail("Maker.Source", "", units.ErrMissing, "limits need a source and its provenance")
	}
	return nil
}

// Working returns the derivation.
func (g RingGap) Working() units.Working {
	if !g.ByRule {
		return units.Working{{Symbol: "gap", Formula: "the maker's figure", Value: g.Limits.String(), Source: g.Limits.Source}}
	}
	return units.Working{{Symbol: "gap", Formula: "rate * bore (" + g.Ring.Duty.String() + ")", Numbers: "bore = " + num(g.Ring.Bore), Value: text(g.Limits.Min) + " to " + text(g.Limits.Max), Source: g.Limits.Source}}
}

// GapMove is a ring gap read in one diameter and wanted in another: a ring
// squared in the unworn end of a bore and running in the worn part, a bore at
// the next oversize, a ring gauge.
type GapMove struct {
	Gap      units.Measured[units.Length] // end gap read at From
	From, To units.Measured[units.Length] // diameters
}

// GapMoved is the gap at the other diameter.
type GapMoved struct {
	Move   GapMove
	Change units.Length // pi (To - From)
	Gap    units.Measured[units.Length]
}

// Moved answers which end gap the same ring has at another diameter:
//
//	gap(To) = Gap + pi (To - From)
//
// because the ring keeps its length along the circle. Errors: diameters that
// are not over 0, a negative gap, a gap that is closed at To: the ends butt
// and the ring cannot be in there (ErrImpossible).
//
// Uncertainty: u^2 = u_gap^2 + pi^2 (u_from^2 + u_to^2).
//
// Source: circumference of a circle; JCGM 100:2008, 5.1.2.
//
// Rows: gap-pi-mm, gap-pi-in, gap-taper, tm229-gap-per-bore.
func (m GapMove) Moved() (GapMoved, error) {
	if err := checkReading("Gap", m.Gap); err != nil {
		return GapMoved{}, err
	}
	if m.Gap.Value < 0 {
		return GapMoved{}, fail("Gap", m.Gap.Value.String(), units.ErrRange, "want a gap that is not negative")
	}
	if err := checkPositive("From", m.From); err != nil {
		return GapMoved{}, err
	}
	if err := checkPositive("To", m.To); err != nil {
		return GapMoved{}, err
	}
	change := round(math.Pi * float64(m.To.Value-m.From.Value))
	v := m.Gap.Value + change
	if v < 0 {
		return GapMoved{}, fail("To", text(m.To.Value), units.ErrImpossible, "the ring's ends butt before this diameter: the gap would be "+text(v))
	}
	u := math.Hypot(float64(m.Gap.U), math.Pi*math.Hypot(float64(m.From.U), float64(m.To.U)))
	g := result(v, m.Gap.Stated && m.From.Stated && m.To.Stated, u)
	return GapMoved{Move: m, Change: change, Gap: g}, nil
}

// Working returns the derivation.
func (g GapMoved) Working() units.Working {
	src := units.Source{Text: "circumference of a circle", Provenance: units.Computed}
	return units.Working{
		{Symbol: "change", Formula: "pi (to - from)", Numbers: "pi (" + num(g.Move.To.Value) + " - " + num(g.Move.From.Value) + ")", Value: text(g.Change), Source: src},
		{Symbol: "gap", Formula: "gap + change", Numbers: num(g.Move.Gap.Value) + " + " + num(g.Change), Value: measuredText(g.Gap), Source: src},
	}
}

// Filing is a ring gap to be opened to a target by filing its ends.
type Filing struct {
	Gap    units.Measured[units.Length] // as read, square in the bore where it will run
	Target units.Length
}

// FilingResult is how much to take off the ends together.
type FilingResult struct {
	Filing Filing
	Remove units.Measured[units.Length]
}

// Remove answers how much to file off the ends of a ring, both together, to
// reach a target gap:
//
//	remove = Target - Gap
//
// Errors: a negative gap, a target not over 0, a gap that is over the target
// already (ErrImpossible: filing only opens a gap).
//
// Source: definition.
//
// Rows: file-remove.
func (f Filing) Remove() (FilingResult, error) {
	if err := checkReading("Gap", f.Gap); err != nil {
		return FilingResult{}, err
	}
	if f.Gap.Value < 0 {
		return FilingResult{}, fail("Gap", f.Gap.Value.String(), units.ErrRange, "want a gap that is not negative")
	}
	if err := checkSize("Target", f.Target); err != nil {
		return FilingResult{}, err
	}
	if f.Gap.Value > f.Target {
		return FilingResult{}, fail("Gap", text(f.Gap.Value), units.ErrImpossible, "the gap is over the target of "+text(f.Target)+" already and filing opens it further: judge the ring as it is, or change it")
	}
	return FilingResult{Filing: f, Remove: units.Measured[units.Length]{Value: f.Target - f.Gap.Value, U: f.Gap.U, Stated: f.Gap.Stated}}, nil
}

// Working returns the derivation.
func (r FilingResult) Working() units.Working {
	return units.Working{{Symbol: "remove", Formula: "target - gap", Numbers: num(r.Filing.Target) + " - " + num(r.Filing.Gap.Value), Value: measuredText(r.Remove), Source: definition}}
}
