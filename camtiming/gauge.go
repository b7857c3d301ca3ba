package camtiming

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// Gauged is a height difference of two lifters as one of the ways to read it
// gives it, intake minus exhaust.
type Gauged struct {
	Difference units.Measured[units.Length]
	// Proof is set where the way of reading itself shows that a lifter is up.
	Proof Proof

	steps func() units.Working
}

// Working shows how the difference came about.
func (g Gauged) Working() units.Working {
	if g.steps == nil {
		return nil
	}
	return g.steps()
}

// At puts a difference gauged at top dead center of overlap into a reading,
// and with it the proof, if the reading has none and the way of gauging gives one.
//
// Rows: cl-gauge-advance.
func (r SplitReading) At(g Gauged) SplitReading {
	r.Difference = g.Difference
	if r.Proof.Kind == NoProof {
		r.Proof = g.Proof
	}
	return r
}

// ZeroAt puts the same difference gauged at firing TDC, in the same way and
// with the same tools, into a reading as its zero.
//
// Rows: cl-gauge-advance.
func (r SplitReading) ZeroAt(g Gauged) SplitReading {
	r.Zero = units.Some(g.Difference)
	return r
}

// FeelerPair is the thickest stack of leaves that enters a gap and the
// thinnest that does not.
type FeelerPair struct {
	Enters  units.Length // 0 where none enters
	Refused units.Length
	// Leaf is the standard uncertainty of a stack of leaves itself.
	Leaf units.Length
}

// Gap answers how wide a gap is between two leaves: the middle, with the
// standard uncertainty of a rectangular distribution between them,
//
//	gap = (Enters + Refused)/2     u^2 = ((Refused - Enters)/2)^2/3 + Leaf^2
//
// Refused must be thicker than Enters (ErrConflict), neither negative
// nor over 100 mm (ErrRange).
//
// Source: JCGM 100:2008, 4.3.7.
//
// Rows: cl-feeler-gap, cl-feeler-u.
func (f FeelerPair) Gap() (units.Measured[units.Length], error) {
	for _, v := range [...]struct {
		name string
		l    units.Length
	}{{"Enters", f.Enters}, {"Refused", f.Refused}, {"Leaf", f.Leaf}} {
		if v.l < 0 || v.l > 100*units.Millimeter {
			return units.Measured[units.Length]{}, fail(v.name, v.l.String(), units.ErrRange, "want 0 to 100 mm")
		}
	}
	if f.Refused <= f.Enters {
		return units.Measured[units.Length]{}, fail("Refused", f.Refused.String(), units.ErrConflict, "want a thicker stack than the one that enters, "+f.Enters.String())
	}
	return units.WithU(f.Enters+(f.Refused-f.Enters)/2, length(math.Hypot((f.Refused-f.Enters).Meters()/2/math.Sqrt(3), f.Leaf.Meters()))), nil
}

// StraightedgeGap is a straightedge flush on the higher lifter (or on the
// higher of two spacers) and the gap under it over the other.
type StraightedgeGap struct {
	// Higher is the lifter on which the straightedge lies flush: the one of the
	// intake or of the exhaust valve. Level says that it lies flush on both:
	// the gap is then the thinnest leaf that does not enter anywhere.
	Higher Valve
	Level  bool
	// Gap is over the lower one; FeelerPair.Gap gives it from two leaves. With
	// Level its value is the thinnest leaf refused, and its uncertainty is not
	// used.
	Gap units.Measured[units.Length]
}

// signed returns intake minus exhaust.
func (s StraightedgeGap) signed(field string) (units.Measured[units.Length], error) {
	none := units.Measured[units.Length]{}
	if field != "" {
		field += "."
	}
	if s.Gap.Value < 0 || s.Gap.Value > 100*units.Millimeter {
		return none, fail(field+"Gap", s.Gap.Value.String(), units.ErrRange, "want a gap of 0 to 100 mm")
	}
	if s.Gap.Stated && (s.Gap.U < 0 || s.Gap.U > 100*units.Millimeter) {
		return none, fail(field+"Gap.U", s.Gap.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 100 mm")
	}
	if s.Level {
		if s.Higher != 0 {
			return none, fail(field+"Higher", s.Higher.String(), units.ErrConflict, "the straightedge is said to lie flush on both")
		}
		if s.Gap.Value == 0 {
			return none, fail(field+"Gap", "", units.ErrMissing, "want the thinnest leaf that does not enter: level is only as good as that")
		}
		return units.WithU(units.Length(0), length(s.Gap.Value.Meters()/math.Sqrt(3))), nil
	}
	switch s.Higher {
	case IntakeValve:
		return s.Gap, nil
	case ExhaustValve:
		s.Gap.Value = -s.Gap.Value
		return s.Gap, nil
	default:
		return none, fail(field+"Higher", "", units.ErrMissing, "want the lifter that stands higher, or Level")
	}
}

// Gauge answers what a straightedge and feeler say: plus the gap where the
// intake lifter is the higher, minus the gap where the exhaust lifter is. The
// straightedge must lie flush on the face of the higher lifter, the bores
// parallel. Level, with no leaf over r entering on either side, is 0 with u =
// r/sqrt(3) (JCGM 100:2008, 4.3.7).
//
// Neither a higher lifter nor Level is ErrMissing, both ErrConflict.
//
// Rows: cl-edge-int, cl-edge-exh, cl-edge-level-u.
func (s StraightedgeGap) Gauge() (Gauged, error) {
	d, err := s.signed("")
	if err != nil {
		return Gauged{}, err
	}
	return Gauged{Difference: d, steps: func() units.Working {
		f := "+ gap, intake lifter higher"
		switch {
		case s.Level:
			f = "0, flush on both"
		case s.Higher == ExhaustValve:
			f = "- gap, exhaust lifter higher"
		}
		return units.Working{{Symbol: "d", Formula: f, Numbers: inches(s.Gap.Value), Value: measuredInches(d), Source: asRead}}
	}}, nil
}

// RockingStraightedge is a straightedge that does not lie flush: on a crowned or
// worn face it rocks, and the gap depends on how it is held.
type RockingStraightedge struct {
	// One and Other are the readings at the two ends of its rocking.
	One, Other StraightedgeGap
}

// Gauge answers what a rocking straightedge says: the middle of its two ends,
// with half their range as standard uncertainty beside that of the gaps,
//
//	d = (d1 + d2)/2     u^2 = ((d1 - d2)/2)^2 + (u1^2 + u2^2)/4
//
// Half the range is more than the half over sqrt(3) of a rectangular distribution:
// which end is the truer is not known, and the middle is only a convention.
// Errors as for StraightedgeGap.
//
// Rows: cl-rock-d, cl-rock-u.
func (s RockingStraightedge) Gauge() (Gauged, error) {
	a, err := s.One.signed("One")
	if err != nil {
		return Gauged{}, err
	}
	b, err := s.Other.signed("Other")
	if err != nil {
		return Gauged{}, err
	}
	d := units.Measured[units.Length]{Value: (a.Value + b.Value) / 2, Stated: a.Stated && b.Stated}
	if d.Stated {
		d.U = length(math.Sqrt(squared((a.Value-b.Value).Meters()/2) + (squared(a.U.Meters())+squared(b.U.Meters()))/4))
	}
	return Gauged{Difference: d, steps: func() units.Working {
		return units.Working{
			{Symbol: "d1", Formula: "one end of the rocking", Value: measuredInches(a), Source: asRead},
			{Symbol: "d2", Formula: "the other end", Value: measuredInches(b), Source: asRead},
			{Symbol: "d", Formula: "(d1 + d2)/2, u from half the range", Numbers: inches(a.Value) + ", " + inches(b.Value), Value: measuredInches(d), Source: units.Source{Text: "half the range of the rocked gaps", Provenance: units.CommonPractice}},
		}
	}}, nil
}

// SpacedStraightedge is a straightedge across two equal spacers that stand on
// recessed lifters.
type SpacedStraightedge struct {
	// Read is the gap over the spacers as they stand.
	Read StraightedgeGap
	// Swapped is the gap after the two spacers have changed places. Optional.
	Swapped units.Optional[StraightedgeGap]
	// Mismatch is the standard uncertainty of the spacers' difference in
	// length, used when they were not swapped. Not given, the uncertainty of
	// the difference is not stated then.
	Mismatch units.Optional[units.Length]
}

// SpacedGauge is the difference read over spacers.
type SpacedGauge struct {
	Gauged
	// SpacerMismatch is by how much the spacer that stood first on the intake
	// lifter is the longer, if they were swapped.
	SpacerMismatch units.Optional[units.Measured[units.Length]]
}

// Gauge answers what a straightedge across two spacers says. As they stand it
// reads d1 = d + m, swapped d2 = d - m, with m the intake spacer's excess of
// length:
//
//	d = (d1 + d2)/2     m = (d1 - d2)/2     u^2 = (u1^2 + u2^2)/4
//
// so that swapping cancels the mismatch and finds it. Without swapping d = d1 with
// u^2 = u1^2 + Mismatch^2. A negative mismatch uncertainty is ErrRange, one
// given beside a swapped reading ErrConflict; else errors as for StraightedgeGap.
//
// Rows: cl-swap-d, cl-swap-m, cl-swap-u, cl-spacer-u.
func (s SpacedStraightedge) Gauge() (SpacedGauge, error) {
	a, err := s.Read.signed("Read")
	if err != nil {
		return SpacedGauge{}, err
	}
	if s.Mismatch.Given && (s.Mismatch.Value < 0 || s.Mismatch.Value > 100*units.Millimeter) {
		return SpacedGauge{}, fail("Mismatch", s.Mismatch.Value.String(), units.ErrRange, "want a standard uncertainty of 0 to 100 mm")
	}
	if !s.Swapped.Given {
		d := units.Measured[units.Length]{Value: a.Value, Stated: a.Stated && s.Mismatch.Given}
		if d.Stated {
			d.U = length(math.Hypot(a.U.Meters(), s.Mismatch.Value.Meters()))
		}
		return SpacedGauge{Gauged: Gauged{Difference: d, steps: func() units.Working {
			return units.Working{{Symbol: "d", Formula: "over two spacers, not swapped", Numbers: measuredInches(a), Value: measuredInches(d), Source: asRead}}
		}}}, nil
	}
	if s.Mismatch.Given {
		return SpacedGauge{}, fail("Mismatch", s.Mismatch.Value.String(), units.ErrConflict, "the swapped reading cancels the mismatch: leave its uncertainty out")
	}
	b, err := s.Swapped.Value.signed("Swapped")
	if err != nil {
		return SpacedGauge{}, err
	}
	d := units.Measured[units.Length]{Value: (a.Value + b.Value) / 2, Stated: a.Stated && b.Stated}
	m := units.Measured[units.Length]{Value: (a.Value - b.Value) / 2, Stated: d.Stated}
	if d.Stated {
		d.U = length(math.Hypot(a.U.Meters(), b.U.Meters()) / 2)
		m.U = d.U
	}
	return SpacedGauge{
		SpacerMismatch: units.Some(m),
		Gauged: Gauged{Difference: d, steps: func() units.Working {
			src := units.Source{Text: "swap and average", Provenance: units.Computed}
			return units.Working{
				{Symbol: "d1", Formula: "as the spacers stand", Value: measuredInches(a), Source: asRead},
				{Symbol: "d2", Formula: "spacers swapped", Value: measuredInches(b), Source: asRead},
				{Symbol: "d", Formula: "(d1 + d2)/2", Numbers: "(" + inches(a.Value) + " + " + inches(b.Value) + ")/2", Value: measuredInches(d), Source: src},
				{Symbol: "m", Formula: "(d1 - d2)/2, the intake spacer's excess", Numbers: "(" + inches(a.Value) + " - " + inches(b.Value) + ")/2", Value: measuredInches(m), Source: src},
			}
		}},
	}, nil
}

// DepthPair are the depths of the two lifters under one datum, read with one
// instrument.
type DepthPair struct {
	Intake, Exhaust units.Measured[units.Length]
}

// Gauge answers what two depth readings from one datum say: the deeper lifter
// is the lower,
//
//	d = Exhaust - Intake     u^2 = u_intake^2 + u_exhaust^2
//
// What the instrument's zero is off leaves the difference. A depth outside
// 0 to 1 m is ErrRange.
//
// Rows: cl-depth-d, cl-depth-u.
func (p DepthPair) Gauge() (Gauged, error) {
	for _, v := range [...]struct {
		name string
		m    units.Measured[units.Length]
	}{{"Intake", p.Intake}, {"Exhaust", p.Exhaust}} {
		if err := checkReading(v.name, v.m); err != nil {
			return Gauged{}, err
		}
	}
	d := units.Measured[units.Length]{Value: p.Exhaust.Value - p.Intake.Value, Stated: p.Intake.Stated && p.Exhaust.Stated}
	if d.Stated {
		d.U = length(math.Hypot(p.Intake.U.Meters(), p.Exhaust.U.Meters()))
	}
	return Gauged{Difference: d, steps: func() units.Working {
		return units.Working{{Symbol: "d", Formula: "depth of exhaust - depth of intake", Numbers: inches(p.Exhaust.Value) + " - " + inches(p.Intake.Value), Value: measuredInches(d), Source: asRead}}
	}}, nil
}

func checkReading(field string, m units.Measured[units.Length]) error {
	if m.Value < 0 || m.Value > units.Meter {
		return fail(field, m.Value.String(), units.ErrRange, "want 0 to 1 m")
	}
	if m.Stated && (m.U < 0 || m.U > units.Meter) {
		return fail(field+".U", m.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 1 m")
	}
	return nil
}

// RetainerLift is what a dial on the retainer of one valve shows at top dead
// center of overlap, zeroed with that valve on its seat.
type RetainerLift struct {
	Lift units.Measured[units.Length]
	// Ratio is the rocker ratio of that valve near this lift and RatioU its
	// standard uncertainty (both ratios).
	Ratio, RatioU float64
	// Lash at the valve; unstated counts as exact. A hydraulic lifter that gives
	// under the dial spoils the reading: block it.
	Lash units.Measured[units.Length]
}

// RetainerPair are the two valves of one cylinder.
type RetainerPair struct {
	Intake, Exhaust RetainerLift
}

// Gauge answers what dials on the two retainers say of the lifters:
//
//	lifter = (Lift + Lash)/Ratio     d = lifter of intake - lifter of exhaust
//	u(lifter)^2 = (u_lift^2 + u_lash^2)/Ratio^2 + (lifter RatioU/Ratio)^2
//
// Both dials are zeroed on the seat, so that the lifters' own heights and a
// reading at firing TDC do not enter. A lift over three standard uncertainties
// is proof that the lifter is up, and comes with the result. A valve on its
// seat with lash is ErrImpossible: its lifter may stand anywhere within the
// lash.
//
// Rows: cl-retainer-d, cl-retainer-u.
func (p RetainerPair) Gauge() (Gauged, error) {
	i, ui, err := p.Intake.lifter("Intake")
	if err != nil {
		return Gauged{}, err
	}
	e, ue, err := p.Exhaust.lifter("Exhaust")
	if err != nil {
		return Gauged{}, err
	}
	g := Gauged{Difference: units.Measured[units.Length]{Value: length(i - e), Stated: p.Intake.Lift.Stated && p.Exhaust.Lift.Stated}}
	if g.Difference.Stated {
		g.Difference.U = length(math.Hypot(ui, ue))
	}
	rise, u := i, ui
	if e > i {
		rise, u = e, ue
	}
	if rise > 3*u && rise > 0 {
		g.Proof = Proof{Kind: RiseMeasured, Rise: length(rise)}
	}
	g.steps = func() units.Working {
		step := func(symbol string, r RetainerLift, y, u float64) units.Step {
			m := units.Measured[units.Length]{Value: length(y), U: length(u), Stated: r.Lift.Stated}
			return units.Step{
				Symbol: symbol, Formula: "(lift + lash)/ratio", Source: asRead, Value: measuredInches(m),
				Numbers: "(" + inches(r.Lift.Value) + " + " + inches(r.Lash.Value) + ")/" + strconv.FormatFloat(r.Ratio, 'g', 4, 64),
			}
		}
		return units.Working{
			step("Li", p.Intake, i, ui), step("Le", p.Exhaust, e, ue),
			{Symbol: "d", Formula: "Li - Le", Numbers: inches(length(i)) + " - " + inches(length(e)), Value: measuredInches(g.Difference), Source: asRead},
		}
	}
	return g, nil
}

// lifter returns the lift of the lifter and its standard uncertainty, in
// meters.
func (r RetainerLift) lifter(field string) (y, u float64, err error) {
	if err := checkReading(field+".Lift", r.Lift); err != nil {
		return 0, 0, err
	}
	if err := (ValveGear{Ratio: r.Ratio}).check(); err != nil {
		return 0, 0, inField(field, err)
	}
	if !(r.RatioU >= 0 && r.RatioU < r.Ratio) {
		return 0, 0, fail(field+".RatioU", strconv.FormatFloat(r.RatioU, 'g', -1, 64), units.ErrRange, "want a standard uncertainty of 0 or more, under the ratio")
	}
	if err := checkReading(field+".Lash", r.Lash); err != nil {
		return 0, 0, err
	}
	if r.Lift.Value == 0 && r.Lash.Value > 0 {
		return 0, 0, fail(field+".Lift", "", units.ErrImpossible, "the valve is on its seat: its lifter may stand anywhere within the lash; read the lifters instead")
	}
	y = (r.Lift.Value.Meters() + r.Lash.Value.Meters()) / r.Ratio
	u2 := squared(y * r.RatioU / r.Ratio)
	for _, m := range [...]units.Measured[units.Length]{r.Lift, r.Lash} {
		if m.Stated {
			u2 += squared(m.U.Meters() / r.Ratio)
		}
	}
	return y, math.Sqrt(u2), nil
}

func squared(x float64) float64 { return x * x }

func inches(l units.Length) string { return l.Text(units.Inches, 4) }

func measuredInches(m units.Measured[units.Length]) string {
	if !m.Stated {
		return inches(m.Value)
	}
	return inches(m.Value) + " (u = " + m.U.Text(units.Inches, 5) + ")"
}

var asRead = units.Source{Text: "as read", Provenance: units.Stated}
