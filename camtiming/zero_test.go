package camtiming_test

import (
	"errors"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// The zero values of the types that constructors make lift nothing, know
// nothing and refuse; they never panic.
func TestZeroValues(t *testing.T) {
	var c camtiming.Cam
	if h := c.At(crank(4)); h != (camtiming.Heights{}) {
		t.Errorf("heights %+v", h)
	}
	if inv, err := c.Advance(units.Thou); !errors.Is(err, units.ErrMissing) || inv != (camtiming.Inversion{}) {
		t.Errorf("advance %+v, %v", inv, err)
	}
	if _, err := c.Split(camtiming.SplitReading{Difference: units.WithU(units.Thou, units.Thou), Zero: sameHeight, Proof: rocked}); !errors.Is(err, units.ErrMissing) {
		t.Errorf("split: %v", err)
	}
	if _, err := c.Level(); !errors.Is(err, units.ErrMissing) {
		t.Errorf("level: %v", err)
	}
	_ = c.Reach()
	if _, err := c.TimingAt(units.Thou, 0); err == nil {
		t.Error("timing of no cam")
	}
	in := camtiming.DiagnosisInput{Cam: &c, Observations: []camtiming.Observation{{Reading: camtiming.SplitReading{Difference: units.WithU(units.Thou, units.Thou), Proof: rocked}}}}
	if _, err := camtiming.Diagnose(in); !errors.Is(err, units.ErrMissing) {
		t.Errorf("diagnosis: %v", err)
	}
	for _, l := range []camtiming.LiftCurve{new(camtiming.LawLobe), new(camtiming.CardLobe), new(camtiming.TableLobe)} {
		if l.Lift(cam(3)) != 0 || l.Velocity(cam(3)) != 0 || l.MaxLift() != 0 || l.Span() != (camtiming.Span{}) {
			t.Errorf("%T lifts", l)
		}
		if _, err := camtiming.OpeningAt(l, units.Thou); err == nil {
			t.Errorf("%T opens", l)
		}
	}
	if s := new(camtiming.CardLobe); s.Law() != 0 || s.Family() != 0 || s.Spread(0) != 0 {
		t.Error("the zero card lobe knows a law")
	}
	if w := (camtiming.Correction{}).Working(); w != nil {
		t.Errorf("worked as %v", w)
	}
	_ = (camtiming.SplitResult{}).Working()
	_ = (camtiming.PairResult{}).Working()
	_ = (camtiming.SurveyResult{}).Working()
	_ = (camtiming.Candidate{}).Working()
	_ = (camtiming.Events{}).Working()
}

// A table must read zero on the base circle: an indicator that was not set to
// zero there, or a table cut off on its flank, is no lift.
func TestTableEnds(t *testing.T) {
	f := flanks{camtiming.Poly345, 350 * units.Thou, 60, 60}
	table := func(to int, offset units.Length) ([]camtiming.LiftSample, units.Length) {
		var s []camtiming.LiftSample
		for d := -to; d <= to; d++ {
			s = append(s, camtiming.LiftSample{Angle: cam(float64(d)), Lift: pm(f.at(float64(d))) + offset})
		}
		return s, s[0].Lift
	}
	for _, c := range []struct {
		to     int
		offset units.Length
		ok     bool
	}{
		{65, 0, true},
		{65, 350 * units.Thou / 250, true},
		{65, 10 * units.Thou, false},
		{65, 350 * units.Thou / 190, false},
		{56, 0, true},  // 0.27 % of the lift is left
		{55, 0, false}, // 0.51 %
	} {
		s, end := table(c.to, c.offset)
		l, err := camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s})
		if (err == nil) != c.ok || err != nil && !errors.Is(err, units.ErrMissing) {
			t.Errorf("to %d, offset %v, end %v: %v", c.to, c.offset, end, err)
		}
		if err == nil && (l.Lift(cam(float64(c.to)+0.5)) != 0 || l.Lift(cam(-170)) != 0) {
			t.Errorf("to %d: lifts past its end", c.to)
		}
	}
	// Both lifters past the ends of their tables: the reading knows nothing.
	s, _ := table(56, 0)
	l := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s}))
	k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: l, Exhaust: l, Separation: cam(130)}))
	if h := k.AtCrank(0, units.CrankTurn); h.Difference != 0 {
		t.Errorf("at firing TDC %v", h)
	}
	inv := must[camtiming.Inversion](t)(k.Advance(0))
	if !inv.Undetermined || inv.Low != crank(-18) || inv.High != crank(18) { // 2*56 - 130
		t.Errorf("level %+v", inv)
	}
}

// lowered embeds a lobe and stands lower than it.
type lowered struct {
	*camtiming.LawLobe
	by units.Length
}

func (l lowered) Lift(a units.CamAngle) units.Length { return max(l.LawLobe.Lift(a)-l.by, 0) }

// A curve that embeds a lobe of the package is read through its own methods.
func TestEmbeddedLobe(t *testing.T) {
	f := flanks{camtiming.Poly345, 350 * units.Thou, 65, 65}
	l := lowered{f.lobe(t), 10 * units.Micrometer}
	k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: l, Exhaust: l.LawLobe, Separation: cam(110)}))
	if h := k.At(0); h.Difference != -l.by {
		t.Errorf("difference %v, want %v", h.Difference, -l.by)
	}
}
