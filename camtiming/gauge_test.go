package camtiming_test

import (
	"math"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// seen is what a straightedge shows of a true difference.
func seen(d, u units.Length) camtiming.StraightedgeGap {
	s := camtiming.StraightedgeGap{Higher: camtiming.IntakeValve, Gap: units.WithU(d.Abs(), u)}
	if d < 0 {
		s.Higher = camtiming.ExhaustValve
	}
	return s
}

// Whatever the spacers, the lifters and the instrument's zero are off, the
// difference of the heights comes back to the count.
func TestGaugesFindTheDifference(t *testing.T) {
	u := units.Thou / 2
	for d := -30 * units.Thou; d <= 30*units.Thou; d += 3 * units.Thou {
		for _, m := range []units.Length{-7 * units.Thou, 0, 2 * units.Thou} {
			g := must[camtiming.SpacedGauge](t)(camtiming.SpacedStraightedge{Read: seen(d+m, u), Swapped: units.Some(seen(d-m, u))}.Gauge())
			if g.Difference.Value != d || g.SpacerMismatch.Value.Value != m {
				t.Errorf("d %v, m %v: got %v, %v", d, m, g.Difference.Value, g.SpacerMismatch.Value.Value)
			}
			p := must[camtiming.Gauged](t)(camtiming.DepthPair{Intake: units.WithU(units.Inch+m, u), Exhaust: units.WithU(units.Inch+m+d, u)}.Gauge())
			if p.Difference.Value != d {
				t.Errorf("depths: %v, want %v", p.Difference.Value, d)
			}
		}
		e := must[camtiming.Gauged](t)(seen(d, u).Gauge())
		if e.Difference != units.WithU(d, u) {
			t.Errorf("straightedge: %v, want %v", e.Difference, d)
		}
		r := must[camtiming.Gauged](t)(camtiming.RockingStraightedge{One: seen(d+4*units.Thou, 0), Other: seen(d-4*units.Thou, 0)}.Gauge())
		if r.Difference != units.WithU(d, 4*units.Thou) {
			t.Errorf("rocking: %v, want %v", r.Difference, d)
		}
	}
}

// Lifts at the retainer, made forward from the lobes, give the pair's own
// difference and the advance behind it, with proof that a lifter is up.
func TestRetainersGiveTheAdvance(t *testing.T) {
	k := equalPair.cam(t)
	for _, adv := range []float64{-6, 0, 4, 7} {
		h := k.At(crank(adv))
		side := func(l units.Length, ratio float64, lash units.Length) camtiming.RetainerLift {
			return camtiming.RetainerLift{Lift: units.WithU(inch(l.Inches()*ratio)-lash, units.Thou/10), Ratio: ratio, Lash: units.Unstated(lash)}
		}
		g := must[camtiming.Gauged](t)(camtiming.RetainerPair{Intake: side(h.Intake, 1.5, 2*units.Thou), Exhaust: side(h.Exhaust, 1.62, units.Thou)}.Gauge())
		near(t, "difference", g.Difference.Value.Inches(), h.Difference.Inches(), 1e-10)
		s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{TDC: crank(0.5)}.At(g)))
		near(t, "advance", s.Advance.Value.Degrees(), adv, 1e-6)
		if s.Proof.Kind != camtiming.RiseMeasured {
			t.Errorf("proof %v", s.Proof.Kind)
		}
	}
	// A reading's own proof stays.
	r := camtiming.SplitReading{Proof: rocked}.At(camtiming.Gauged{Proof: camtiming.Proof{Kind: camtiming.RiseMeasured, Rise: 1}})
	if r.Proof != rocked {
		t.Error("the proof was replaced")
	}
	// A lift within its uncertainty proves nothing.
	low := camtiming.RetainerLift{Lift: units.WithU(units.Thou, units.Thou), Ratio: 1}
	if g := must[camtiming.Gauged](t)(camtiming.RetainerPair{Intake: low, Exhaust: low}.Gauge()); g.Proof.Kind != camtiming.NoProof {
		t.Error("a doubtful lift was taken as proof")
	}
}

// What is not stated stays so.
func TestGaugesUnstated(t *testing.T) {
	plain := camtiming.StraightedgeGap{Higher: camtiming.IntakeValve, Gap: units.Unstated(units.Thou)}
	for name, g := range map[string]camtiming.Gauged{
		"edge":     must[camtiming.Gauged](t)(plain.Gauge()),
		"rocking":  must[camtiming.Gauged](t)(camtiming.RockingStraightedge{One: plain, Other: seen(0, 1)}.Gauge()),
		"spacers":  must[camtiming.SpacedGauge](t)(camtiming.SpacedStraightedge{Read: seen(0, 1)}.Gauge()).Gauged,
		"swapped":  must[camtiming.SpacedGauge](t)(camtiming.SpacedStraightedge{Read: seen(0, 1), Swapped: units.Some(plain)}.Gauge()).Gauged,
		"depth":    must[camtiming.Gauged](t)(camtiming.DepthPair{Intake: units.Unstated(units.Thou), Exhaust: units.WithU(units.Thou, 1)}.Gauge()),
		"retainer": must[camtiming.Gauged](t)(camtiming.RetainerPair{Intake: camtiming.RetainerLift{Lift: units.Unstated(units.Thou), Ratio: 1}, Exhaust: camtiming.RetainerLift{Ratio: 1}}.Gauge()),
	} {
		if g.Difference.Stated || g.Difference.U != 0 {
			t.Errorf("%s: %v", name, g.Difference)
		}
		for _, s := range g.Working() {
			if s.Symbol == "" || s.Formula == "" || s.Value == "" || !s.Source.Given() {
				t.Errorf("%s: step %+v", name, s)
			}
		}
		if len(g.Working()) == 0 {
			t.Errorf("%s: no working", name)
		}
	}
	if w := (camtiming.Gauged{}).Working(); w != nil {
		t.Errorf("zero value: %v", w)
	}
}

func TestBadGauges(t *testing.T) {
	good := seen(units.Thou, 1)
	edge := func(f func(*camtiming.StraightedgeGap)) func() (any, error) {
		s := good
		f(&s)
		return func() (any, error) { g, err := s.Gauge(); return g.Difference, err }
	}
	rock := func(one, other camtiming.StraightedgeGap) func() (any, error) {
		return func() (any, error) {
			g, err := camtiming.RockingStraightedge{One: one, Other: other}.Gauge()
			return g.Difference, err
		}
	}
	spaced := func(s camtiming.SpacedStraightedge) func() (any, error) {
		return func() (any, error) { g, err := s.Gauge(); return g.Difference, err }
	}
	depth := func(i, e units.Measured[units.Length]) func() (any, error) {
		return func() (any, error) {
			g, err := camtiming.DepthPair{Intake: i, Exhaust: e}.Gauge()
			return g.Difference, err
		}
	}
	retainer := func(f func(*camtiming.RetainerPair)) func() (any, error) {
		r := camtiming.RetainerLift{Lift: units.WithU(units.Thou*50, 1), Ratio: 1.5, RatioU: 0.02, Lash: units.WithU(units.Thou, 1)}
		p := camtiming.RetainerPair{Intake: r, Exhaust: r}
		f(&p)
		return func() (any, error) { g, err := p.Gauge(); return g.Difference, err }
	}
	feeler := func(f camtiming.FeelerPair) func() (any, error) { return one(f.Gap) }
	refuse(t, []bad{
		{"edge no side", edge(func(s *camtiming.StraightedgeGap) { s.Higher = 0 }), "Higher", units.ErrMissing},
		{"edge unknown side", edge(func(s *camtiming.StraightedgeGap) { s.Higher = 9 }), "Higher", units.ErrMissing},
		{"edge negative", edge(func(s *camtiming.StraightedgeGap) { s.Gap.Value = -1 }), "Gap", units.ErrRange},
		{"edge overflow", edge(func(s *camtiming.StraightedgeGap) { s.Gap.Value = most }), "Gap", units.ErrRange},
		{"edge u negative", edge(func(s *camtiming.StraightedgeGap) { s.Gap.U = -1 }), "Gap.U", units.ErrRange},
		{"edge level and higher", edge(func(s *camtiming.StraightedgeGap) { s.Level = true }), "Higher", units.ErrConflict},
		{"edge level without a leaf", edge(func(s *camtiming.StraightedgeGap) { s.Level, s.Higher, s.Gap.Value = true, 0, 0 }), "Gap", units.ErrMissing},
		{"rock one", rock(camtiming.StraightedgeGap{}, good), "One.Higher", units.ErrMissing},
		{"rock other", rock(good, seen(units.Meter, 0)), "Other.Gap", units.ErrRange},
		{"spaced read", spaced(camtiming.SpacedStraightedge{}), "Read.Higher", units.ErrMissing},
		{"spaced swapped", spaced(camtiming.SpacedStraightedge{Read: good, Swapped: units.Some(camtiming.StraightedgeGap{})}), "Swapped.Higher", units.ErrMissing},
		{"spaced mismatch negative", spaced(camtiming.SpacedStraightedge{Read: good, Mismatch: units.Some(units.Length(-1))}), "Mismatch", units.ErrRange},
		{"spaced mismatch and swap", spaced(camtiming.SpacedStraightedge{Read: good, Swapped: units.Some(good), Mismatch: units.Some(units.Length(1))}), "Mismatch", units.ErrConflict},
		{"depth negative", depth(units.Unstated(units.Length(-1)), units.Unstated(units.Thou)), "Intake", units.ErrRange},
		{"depth overflow", depth(units.Unstated(units.Thou), units.Unstated(units.Length(most))), "Exhaust", units.ErrRange},
		{"depth u least", depth(units.Unstated(units.Thou), units.WithU(units.Thou, least)), "Exhaust.U", units.ErrRange},
		{"retainer ratio zero", retainer(func(p *camtiming.RetainerPair) { p.Intake.Ratio = 0 }), "Intake.Ratio", units.ErrRange},
		{"retainer ratio nan", retainer(func(p *camtiming.RetainerPair) { p.Exhaust.Ratio = math.NaN() }), "Exhaust.Ratio", units.ErrRange},
		{"retainer ratio inf", retainer(func(p *camtiming.RetainerPair) { p.Exhaust.Ratio = math.Inf(1) }), "Exhaust.Ratio", units.ErrRange},
		{"retainer ratio u nan", retainer(func(p *camtiming.RetainerPair) { p.Intake.RatioU = math.NaN() }), "Intake.RatioU", units.ErrRange},
		{"retainer lift negative", retainer(func(p *camtiming.RetainerPair) { p.Intake.Lift.Value = -1 }), "Intake.Lift", units.ErrRange},
		{"retainer lash negative", retainer(func(p *camtiming.RetainerPair) { p.Exhaust.Lash.Value = -1 }), "Exhaust.Lash", units.ErrRange},
		{"retainer closed", retainer(func(p *camtiming.RetainerPair) { p.Exhaust.Lift.Value = 0 }), "Exhaust.Lift", units.ErrImpossible},
		{"feeler swapped", feeler(camtiming.FeelerPair{Enters: 2, Refused: 1}), "Refused", units.ErrConflict},
		{"feeler missing", feeler(camtiming.FeelerPair{}), "Refused", units.ErrConflict},
		{"feeler negative", feeler(camtiming.FeelerPair{Enters: -1, Refused: 1}), "Enters", units.ErrRange},
		{"feeler overflow", feeler(camtiming.FeelerPair{Refused: most}), "Refused", units.ErrRange},
		{"leaf negative", feeler(camtiming.FeelerPair{Refused: 1, Leaf: least}), "Leaf", units.ErrRange},
	})
}
