package valvetrain_test

import (
	"errors"
	"math"
	"testing"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// The sweep against the contact at every fifth of a degree of both flanks, for
// fingers whose contact goes in, out and in, and out.
func TestFingerSweepAgainstScan(t *testing.T) {
	paths := map[valvetrain.SweepPath]int{}
	specs := []valvetrain.FingerSpec{boatFinger(t), centerFinger(t)}
	// The tip arm turned against the cam arm, and the stem set after it.
	for _, turned := range []float64{-6, -3, 3, 6, 9, 12} {
		s := boatFinger(t)
		s.Finger.Between += deg(turned)
		s.Finger.Valve.At = pt(16, -38.5+48*math.Sin(turned*math.Pi/180))
		specs = append(specs, s)
	}
	for i, s := range specs {
		c := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(s))
		w := must[valvetrain.FingerSweep](t)(c.Sweep())
		paths[w.Path]++
		least, greatest := most, -most
		var turns units.Length
		span := c.Span()
		for a := span.Opens; a <= span.Closes; a += units.CamDegree / 5 {
			st := must[valvetrain.FingerState](t)(c.At(a))
			least = min(least, st.Contact)
			if st.Contact > greatest {
				greatest, turns = st.Contact, st.Lift
			}
		}
		if (w.Innermost-least).Abs() > units.Micrometer/10 || (w.Outermost-greatest).Abs() > units.Micrometer/10 || w.Width != w.Outermost-w.Innermost {
			t.Errorf("%d: %v to %v, by scan %v to %v", i, w.Innermost, w.Outermost, least, greatest)
		}
		if w.TurnsAt.Given && (w.TurnsAt.Value-turns).Abs() > mm(0.2) {
			t.Errorf("%d: turns at %v, by scan %v", i, w.TurnsAt.Value, turns)
		}
		if (w.Mid.Lift-c.MaxLift()/2).Abs() > 100 || w.Full.Lift != c.MaxLift() || w.Seat.Lift > 100 || w.Seat.Gap > 100 {
			t.Errorf("%d: seat %v, mid %v, full %v of %v", i, w.Seat, w.Mid.Lift, w.Full.Lift, c.MaxLift())
		}
		worked(t, "sweep", w.Working())
	}
	if paths[valvetrain.GoesIn] == 0 || paths[valvetrain.GoesOut] == 0 || paths[valvetrain.GoesOutAndIn] == 0 {
		t.Errorf("paths tried: %v", paths)
	}
	for _, c := range []*valvetrain.FingerCurve{nil, {}} {
		if w, err := c.Sweep(); !errors.Is(err, units.ErrMissing) || w != (valvetrain.FingerSweep{}) {
			t.Errorf("%v %v", w, err)
		}
	}
	if (valvetrain.FingerSweep{}).Working() != nil {
		t.Error("the zero value has a working")
	}
}
