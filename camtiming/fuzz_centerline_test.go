package camtiming_test

import (
	"math"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// sane fails for a centerline that no reading can give.
func sane(t *testing.T, c camtiming.Centerline) {
	t.Helper()
	if c.Angle.U < 0 || c.UReading < 0 || c.UTDC < 0 || c.Angle.Stated && c.Angle.U+1 < c.UReading || c.String() == "" || len(c.Working()) == 0 {
		t.Errorf("%+v", c)
	}
}

func FuzzEqualLift(f *testing.F) {
	f.Add(int64(56e9), int64(156e9), int64(41e9), int64(170e9), int64(1.27e9), int64(3e9), int64(1e8), int64(1e7), 1.5, true)
	f.Add(int64(-163e9), int64(-58e9), int64(-150e9), int64(-70e9), int64(1), int64(2), int64(0), int64(0), math.NaN(), false)
	f.Fuzz(func(t *testing.T, b1, a1, b2, a2, d1, d2, u, dial int64, ratio float64, valve bool) {
		m := func(a int64) units.Measured[units.CrankAngle] {
			return units.Measured[units.CrankAngle]{Value: units.CrankAngle(a), U: units.CrankAngle(u), Stated: u != 0}
		}
		in := camtiming.EqualLiftInput{
			Valve: camtiming.ExhaustValve, Dial: units.Length(dial),
			Readings: []camtiming.EqualLiftReading{
				{Before: m(b1), After: m(a1), Drop: units.Some(units.Length(d1))},
				{Before: m(b2), After: m(a2), Drop: units.Some(units.Length(d2))},
			},
		}
		if valve {
			in.AtValve = units.Some(camtiming.ValveGear{Ratio: ratio})
		}
		r, err := camtiming.EqualLift(in)
		if err != nil {
			return
		}
		if math.IsNaN(r.Skew) || math.IsNaN(r.SkewU) || math.IsNaN(r.Common.PValue) || len(r.Working()) < 2 {
			t.Errorf("%+v", r)
		}
		for i, p := range r.Midpoints {
			sane(t, p.Centerline)
			want := -(float64(in.Readings[i].Before.Value) + float64(in.Readings[i].After.Value)) / 2
			if math.Abs(float64(p.Centerline.Angle.Value)-want) > 1 {
				t.Errorf("midpoint %v, want %v", p.Centerline.Angle.Value, want)
			}
		}
		if r.Mean.Given {
			sane(t, r.Mean.Value)
		}
		if r.Nose.Given {
			sane(t, r.Nose.Value)
		}
	})
}

func FuzzNoseCurve(f *testing.F) {
	f.Add(int64(100e9), int64(4e9), int64(7e9), int64(7.1e9), int64(7.12e9), int64(7.08e9), int64(6.9e9), int64(1e7), 2)
	f.Add(int64(-100e9), int64(1), int64(0), int64(1), int64(2), int64(1), int64(0), int64(0), 3)
	f.Fuzz(func(t *testing.T, start, step, d0, d1, d2, d3, d4, u int64, degree int) {
		in := camtiming.NoseCurveInput{Valve: camtiming.IntakeValve, Degree: degree, Dial: units.Optional[units.Length]{Value: units.Length(u), Given: u != 0}}
		for i, d := range []int64{d0, d1, d2, d3, d4} {
			in.Readings = append(in.Readings, camtiming.DialPoint{At: units.CrankAngle(start + int64(i)*step), Dial: units.Length(d)})
		}
		p, err := camtiming.NoseCurve(in)
		if err != nil {
			return
		}
		sane(t, p.Centerline)
		a, b := in.Readings[0].At, in.Readings[4].At
		if x := p.Centerline.Angle.Value; x < min(a, b) || x > max(a, b) {
			t.Errorf("peak %v outside %v and %v", x, a, b)
		}
		if math.IsNaN(p.Agreement.ChiSquare) || len(p.Working()) != 3 {
			t.Errorf("%+v", p)
		}
	})
}

func FuzzSingleValve(f *testing.F) {
	f.Add(int64(106e9), int64(1e9), int64(25400000), 1.5, int64(254000000))
	f.Add(int64(-300e9), int64(1), int64(0), 0.2, int64(0))
	f.Fuzz(func(t *testing.T, icl, lift, u int64, ratio float64, lash int64) {
		v := camtiming.SingleValve{
			Valve: camtiming.IntakeValve, Lobe: leaning.lobe(t),
			AtValve: units.Some(camtiming.ValveGear{Ratio: ratio, Lash: units.Length(lash)}),
		}
		if l, err := v.At(units.CrankAngle(icl)); err == nil && (l.Dial < 0 || l.Lifter < 0) {
			t.Errorf("%+v", l)
		}
		c, err := v.Centerline(camtiming.LiftAtTDCReading{Lift: units.WithU(units.Length(lift), units.Length(u))})
		if err != nil {
			return
		}
		sane(t, c)
		back, err := v.At(c.Angle.Value)
		// A count of the angle is worth 0.13 pm of lift where the lobe rises
		// 0.005 in per crank degree; both times the ratio, with the rounding.
		if err != nil || math.Abs(float64(back.Dial-units.Length(lift))) > 20 {
			t.Errorf("lift %v, centerline %v, back %v, %v", units.Length(lift), c.Angle.Value, back.Dial, err)
		}
	})
}
