package camtiming_test

import (
	"math"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func TestBadEqualLift(t *testing.T) {
	lobe := leaning.lobe(t)
	x := func(f func(*camtiming.EqualLiftInput)) func() (any, error) {
		in := camtiming.EqualLiftInput{Valve: camtiming.IntakeValve, Dial: units.Thou, Readings: []camtiming.EqualLiftReading{
			{Drop: units.Some(inch(0.05)), Before: units.WithU(crank(56), crank(0.2)), After: units.WithU(crank(156), crank(0.2))},
			{Drop: units.Some(inch(0.1)), Before: units.WithU(crank(46), crank(0.2)), After: units.WithU(crank(167), crank(0.2))},
		}}
		f(&in)
		return func() (any, error) { return camtiming.EqualLift(in) }
	}
	lift := func(in *camtiming.EqualLiftInput, l units.Length) {
		in.Readings[0].Drop, in.Readings[0].Lift = units.Optional[units.Length]{}, units.Some(l)
	}
	refuse(t, []bad{
		{"no valve", x(func(in *camtiming.EqualLiftInput) { in.Valve = 0 }), "Valve", units.ErrMissing},
		{"no readings", x(func(in *camtiming.EqualLiftInput) { in.Readings = nil }), "Readings", units.ErrMissing},
		{"swapped sides", x(func(in *camtiming.EqualLiftInput) {
			in.Readings[0].Before, in.Readings[0].After = in.Readings[0].After, in.Readings[0].Before
		}), "Readings[0]", units.ErrConflict},
		{"equal sides", x(func(in *camtiming.EqualLiftInput) { in.Readings[1].Before = in.Readings[1].After }), "Readings[1]", units.ErrConflict},
		{"a cycle apart", x(func(in *camtiming.EqualLiftInput) {
			in.Readings[0].Before.Value, in.Readings[0].After.Value = crank(-360), crank(360)
		}), "Readings[0]", units.ErrConflict},
		{"wheel overflow", x(func(in *camtiming.EqualLiftInput) { in.Readings[0].After.Value = most }), "Readings[0].After", units.ErrRange},
		{"wheel least", x(func(in *camtiming.EqualLiftInput) { in.Readings[0].Before.Value = least }), "Readings[0].Before", units.ErrRange},
		{"wheel u negative", x(func(in *camtiming.EqualLiftInput) { in.Readings[0].Before.U = -1 }), "Readings[0].Before.U", units.ErrRange},
		{"no drop nor lift", x(func(in *camtiming.EqualLiftInput) { in.Readings[0].Drop.Given = false }), "Readings[0]", units.ErrMissing},
		{"drop and lift", x(func(in *camtiming.EqualLiftInput) {
			in.Lobe, in.Readings[0].Lift = lobe, units.Some(inch(0.2))
		}), "Readings[0]", units.ErrConflict},
		{"drop zero", x(func(in *camtiming.EqualLiftInput) { in.Readings[0].Drop.Value = 0 }), "Readings[0].Drop", units.ErrRange},
		{"lift overflow", x(func(in *camtiming.EqualLiftInput) { in.Lobe = lobe; lift(in, most) }), "Readings[0].Lift", units.ErrRange},
		{"lift without lobe", x(func(in *camtiming.EqualLiftInput) { lift(in, inch(0.05)) }), "Lobe", units.ErrMissing},
		{"lift over the lobe", x(func(in *camtiming.EqualLiftInput) { in.Lobe = lobe; lift(in, inch(0.33)) }), "Readings[0]", units.ErrConflict},
		{"drop under the lobe", x(func(in *camtiming.EqualLiftInput) { in.Lobe = lobe; in.Readings[0].Drop.Value = inch(0.33) }), "Readings[0]", units.ErrConflict},
		{"ratio without valve", x(func(in *camtiming.EqualLiftInput) { in.AtValve.Value.Ratio = 1.5 }), "AtValve", units.ErrConflict},
		{"lash without valve", x(func(in *camtiming.EqualLiftInput) { in.AtValve.Value.Lash = 1 }), "AtValve", units.ErrConflict},
		{"ratio missing", x(func(in *camtiming.EqualLiftInput) { in.AtValve.Given = true }), "AtValve.Ratio", units.ErrRange},
		{"ratio nan", x(func(in *camtiming.EqualLiftInput) {
			in.AtValve = units.Some(camtiming.ValveGear{Ratio: math.NaN()})
		}), "AtValve.Ratio", units.ErrRange},
		{"ratio infinite", x(func(in *camtiming.EqualLiftInput) {
			in.AtValve = units.Some(camtiming.ValveGear{Ratio: math.Inf(1)})
		}), "AtValve.Ratio", units.ErrRange},
		{"lash negative", x(func(in *camtiming.EqualLiftInput) {
			in.AtValve = units.Some(camtiming.ValveGear{Ratio: 1.5, Lash: -1})
		}), "AtValve.Lash", units.ErrRange},
		{"dial negative", x(func(in *camtiming.EqualLiftInput) { in.Dial = -1 }), "Dial", units.ErrRange},
		{"tdc negative", x(func(in *camtiming.EqualLiftInput) { in.TDC = -1 }), "TDC", units.ErrRange},
		{"approach unknown", x(func(in *camtiming.EqualLiftInput) { in.Approach = 9 }), "Approach", units.ErrRange},
		{"lobe nil pointer", x(func(in *camtiming.EqualLiftInput) { in.Lobe = (*camtiming.LawLobe)(nil) }), "Lobe", units.ErrMissing},
		{"exact among several", x(func(in *camtiming.EqualLiftInput) {
			in.Dial, in.Readings[1].Before.U, in.Readings[1].After.U = 0, 0, 0
		}), "Readings[1]", units.ErrMissing},
		{"flat", x(func(in *camtiming.EqualLiftInput) { in.Readings[0].Drop.Value = 1 }), "Readings[0]", units.ErrRange},
	})
}

func TestBadCenterlines(t *testing.T) {
	lobe := leaning.lobe(t)
	good := camtiming.Centerline{
		Valve: camtiming.IntakeValve, Basis: camtiming.BasisMidpoint, Angle: units.WithU(crank(106), crank(0.3)), UReading: crank(0.3),
		Lift: units.Some(inch(0.05)),
	}
	change := func(f func(*camtiming.Centerline)) camtiming.Centerline { c := good; f(&c); return c }
	nose := func(f func(*camtiming.Centerline)) func() (any, error) {
		return func() (any, error) {
			c, err := change(f).AtNose(lobe)
			return c.Angle, err
		}
	}
	adv := func(f func(*camtiming.Centerline)) func() (any, error) {
		return func() (any, error) { return workboatCam(t).AdvanceFrom(change(f)) }
	}
	combine := func(f func(*camtiming.Centerline)) func() (any, error) {
		return func() (any, error) { return camtiming.CombineCenterlines([]camtiming.Centerline{good, change(f)}) }
	}
	events := func(f func(*camtiming.CheckedEvents)) func() (any, error) {
		e := camtiming.CheckedEvents{Valve: camtiming.IntakeValve, Opens: units.WithU(crank(5), crank(1)), Closes: units.WithU(crank(40), crank(1)), Lift: inch(0.05)}
		f(&e)
		return func() (any, error) { c, err := e.Centerline(); return c.Angle, err }
	}
	refuse(t, []bad{
		{"nose of no valve", nose(func(c *camtiming.Centerline) { c.Valve = 0 }), "Valve", units.ErrMissing},
		{"nose of no lift", nose(func(c *camtiming.Centerline) { c.Lift.Given = false }), "Lift", units.ErrMissing},
		{"nose of a card", nose(func(c *camtiming.Centerline) { c.Basis = camtiming.BasisCard }), "Basis", units.ErrMissing},
		{"nose of a mean", nose(func(c *camtiming.Centerline) { c.Basis = camtiming.BasisMidpoints }), "Basis", units.ErrMissing},
		{"nose over the lobe", nose(func(c *camtiming.Centerline) { c.Lift.Value = inch(0.32) }), "Lift", units.ErrRange},
		{"nose lift negative", nose(func(c *camtiming.Centerline) { c.Lift.Value = least }), "Lift", units.ErrRange},
		{"nose drop overflow", nose(func(c *camtiming.Centerline) { c.Lift.Given, c.Drop = false, units.Some(units.Length(least)) }), "Drop", units.ErrRange},
		{"nose angle overflow", nose(func(c *camtiming.Centerline) { c.Angle.Value = most }), "Angle", units.ErrRange},
		{"nose without a lobe", func() (any, error) { c, err := good.AtNose(nil); return c.Angle, err }, "lobe", units.ErrMissing},
		{"advance of a midpoint", adv(func(*camtiming.Centerline) {}), "Basis", units.ErrConflict},
		{"advance of no valve", adv(func(c *camtiming.Centerline) { c.Valve = 7 }), "Valve", units.ErrMissing},
		{"advance overflow", adv(func(c *camtiming.Centerline) { c.Basis, c.Angle.Value = camtiming.BasisNose, least }), "Angle", units.ErrRange},
		{"one estimate", func() (any, error) { return camtiming.CombineCenterlines([]camtiming.Centerline{good}) }, "estimates", units.ErrMissing},
		{"no estimate", func() (any, error) { return camtiming.CombineCenterlines(nil) }, "estimates", units.ErrMissing},
		{"no valve", combine(func(c *camtiming.Centerline) { c.Valve = 0 }), "estimates[1].Valve", units.ErrMissing},
		{"two valves", combine(func(c *camtiming.Centerline) { c.Valve = camtiming.ExhaustValve }), "estimates[1].Valve", units.ErrConflict},
		{"no basis", combine(func(c *camtiming.Centerline) { c.Basis = 0 }), "estimates[1].Basis", units.ErrMissing},
		{"two bases", combine(func(c *camtiming.Centerline) { c.Basis = camtiming.BasisNose }), "estimates[1].Basis", units.ErrConflict},
		{"two lifts", combine(func(c *camtiming.Centerline) { c.Lift.Value = inch(0.1) }), "estimates[1].Basis", units.ErrConflict},
		{"unknown lift", combine(func(c *camtiming.Centerline) { c.Lift.Given = false }), "estimates[1].Basis", units.ErrConflict},
		{"unstated", combine(func(c *camtiming.Centerline) { c.Angle.Stated = false }), "estimates[1].UReading", units.ErrMissing},
		{"exact", combine(func(c *camtiming.Centerline) { c.UReading = 0 }), "estimates[1].UReading", units.ErrMissing},
		{"u overflow", combine(func(c *camtiming.Centerline) { c.UReading = most }), "estimates[1].UReading", units.ErrRange},
		{"tdc negative", combine(func(c *camtiming.Centerline) { c.UTDC = -1 }), "estimates[1].UTDC", units.ErrRange},
		{"shape negative", combine(func(c *camtiming.Centerline) { c.UShape = -1 }), "estimates[1].UShape", units.ErrRange},
		{"shape overflow", combine(func(c *camtiming.Centerline) { c.UShape = most }), "estimates[1].UShape", units.ErrRange},
		{"angle least", combine(func(c *camtiming.Centerline) { c.Angle.Value = least }), "estimates[1].Angle", units.ErrRange},
		{"means over lifts", func() (any, error) {
			m := change(func(c *camtiming.Centerline) { c.Basis = camtiming.BasisMidpoints })
			return camtiming.CombineCenterlines([]camtiming.Centerline{m, m})
		}, "estimates[0].Basis", units.ErrConflict},
		{"events no valve", events(func(e *camtiming.CheckedEvents) { e.Valve = 0 }), "Valve", units.ErrMissing},
		{"events opens overflow", events(func(e *camtiming.CheckedEvents) { e.Opens.Value = most }), "Opens", units.ErrRange},
		{"events closes u", events(func(e *camtiming.CheckedEvents) { e.Closes.U = least }), "Closes.U", units.ErrRange},
		{"events no duration", events(func(e *camtiming.CheckedEvents) { e.Opens.Value = crank(-220) }), "Opens+180+Closes", units.ErrRange},
		{"events no lift", events(func(e *camtiming.CheckedEvents) { e.Lift = 0 }), "Lift", units.ErrRange},
		{"events ratio", events(func(e *camtiming.CheckedEvents) { e.AtValve.Given = true }), "AtValve.Ratio", units.ErrRange},
		{"events tdc", events(func(e *camtiming.CheckedEvents) { e.TDC = most }), "TDC", units.ErrRange},
		{"events approach", events(func(e *camtiming.CheckedEvents) { e.Approach = 3 }), "Approach", units.ErrRange},
	})
}

func TestBadNoseCurve(t *testing.T) {
	x := func(f func(*camtiming.NoseCurveInput)) func() (any, error) {
		in := camtiming.NoseCurveInput{Valve: camtiming.IntakeValve, Degree: 2, Dial: units.Some(units.Thou)}
		for a := -3; a <= 3; a++ {
			in.Readings = append(in.Readings, camtiming.DialPoint{At: crank(106 + 4*float64(a)), Dial: 300*units.Thou - units.Length(a*a)*units.Thou})
		}
		f(&in)
		return func() (any, error) { p, err := camtiming.NoseCurve(in); return p.Peak, err }
	}
	set := func(f func(i int, r *camtiming.DialPoint)) func(*camtiming.NoseCurveInput) {
		return func(in *camtiming.NoseCurveInput) {
			for i := range in.Readings {
				f(i, &in.Readings[i])
			}
		}
	}
	refuse(t, []bad{
		{"no valve", x(func(in *camtiming.NoseCurveInput) { in.Valve = 0 }), "Valve", units.ErrMissing},
		{"no degree", x(func(in *camtiming.NoseCurveInput) { in.Degree = 0 }), "Degree", units.ErrRange},
		{"degree 7", x(func(in *camtiming.NoseCurveInput) { in.Degree = 7 }), "Degree", units.ErrRange},
		{"no readings", x(func(in *camtiming.NoseCurveInput) { in.Readings = nil }), "Readings", units.ErrMissing},
		{"too few for the scatter", x(func(in *camtiming.NoseCurveInput) {
			in.Degree, in.Dial = 6, units.Optional[units.Length]{}
		}), "Readings", units.ErrMissing},
		{"one angle", x(set(func(_ int, r *camtiming.DialPoint) { r.At = crank(106) })), "Readings", units.ErrConflict},
		{"two angles", x(set(func(i int, r *camtiming.DialPoint) { r.At = crank(float64(100 + i%2)) })), "Readings", units.ErrConflict},
		{"over half a turn", x(set(func(i int, r *camtiming.DialPoint) { r.At = crank(40 * float64(i)) })), "Readings", units.ErrConflict},
		{"angle overflow", x(set(func(_ int, r *camtiming.DialPoint) { r.At = most })), "Readings[0].At", units.ErrRange},
		{"dial overflow", x(set(func(_ int, r *camtiming.DialPoint) { r.Dial = least })), "Readings[0].Dial", units.ErrRange},
		{"dial never moves", x(set(func(_ int, r *camtiming.DialPoint) { r.Dial = units.Thou })), "Readings", units.ErrImpossible},
		{"valley", x(set(func(_ int, r *camtiming.DialPoint) { r.Dial = -r.Dial })), "Readings", units.ErrImpossible},
		{"one flank", x(set(func(i int, r *camtiming.DialPoint) { r.Dial = units.Length(i*i) * units.Thou })), "Readings", units.ErrImpossible},
		{"dial u zero", x(func(in *camtiming.NoseCurveInput) { in.Dial.Value = 0 }), "Dial", units.ErrRange},
		{"dial u overflow", x(func(in *camtiming.NoseCurveInput) { in.Dial.Value = most }), "Dial", units.ErrRange},
		{"wheel u negative", x(func(in *camtiming.NoseCurveInput) { in.Wheel = -1 }), "Wheel", units.ErrRange},
		{"wheel without dial", x(func(in *camtiming.NoseCurveInput) {
			in.Wheel, in.Dial = 1, units.Optional[units.Length]{}
		}), "Wheel", units.ErrConflict},
		{"tdc", x(func(in *camtiming.NoseCurveInput) { in.TDC = least }), "TDC", units.ErrRange},
		{"approach", x(func(in *camtiming.NoseCurveInput) { in.Approach = 3 }), "Approach", units.ErrRange},
	})
}

func TestBadSingleValve(t *testing.T) {
	at := func(f func(*camtiming.SingleValve), icl units.CrankAngle) func() (any, error) {
		v := camtiming.SingleValve{Valve: camtiming.IntakeValve, Lobe: leaning.lobe(t)}
		f(&v)
		return func() (any, error) { return v.At(icl) }
	}
	back := func(f func(*camtiming.SingleValve, *camtiming.LiftAtTDCReading)) func() (any, error) {
		v := camtiming.SingleValve{Valve: camtiming.IntakeValve, Lobe: leaning.lobe(t)}
		r := camtiming.LiftAtTDCReading{Lift: units.WithU(inch(0.03), units.Thou)}
		f(&v, &r)
		return func() (any, error) { c, err := v.Centerline(r); return c.Angle, err }
	}
	type V = *camtiming.SingleValve
	type R = *camtiming.LiftAtTDCReading
	refuse(t, []bad{
		{"no valve", at(func(v V) { v.Valve = 0 }, crank(106)), "Valve", units.ErrMissing},
		{"no lobe", at(func(v V) { v.Lobe = nil }, crank(106)), "Lobe", units.ErrMissing},
		{"ratio", at(func(v V) { v.AtValve.Given = true }, crank(106)), "AtValve.Ratio", units.ErrRange},
		{"a turn away", at(func(V) {}, units.CrankTurn), "centerline", units.ErrRange},
		{"least", at(func(V) {}, least), "centerline", units.ErrRange},
		{"back no lobe", back(func(v V, _ R) { v.Lobe = nil }), "Lobe", units.ErrMissing},
		{"lift negative", back(func(_ V, r R) { r.Lift.Value = -1 }), "Lift", units.ErrRange},
		{"lift overflow", back(func(_ V, r R) { r.Lift.Value = most }), "Lift", units.ErrRange},
		{"lift u negative", back(func(_ V, r R) { r.Lift.U = -1 }), "Lift.U", units.ErrRange},
		{"closed", back(func(_ V, r R) { r.Lift.Value = 0 }), "Lift", units.ErrImpossible},
		{"over the lobe", back(func(_ V, r R) { r.Lift.Value = inch(0.32) }), "Lift", units.ErrImpossible},
		{"flat", back(func(_ V, r R) { r.Lift = units.WithU(units.Length(1), inch(0.03)) }), "Lift", units.ErrImpossible},
		{"tdc", back(func(_ V, r R) { r.TDC = -1 }), "TDC", units.ErrRange},
		{"approach", back(func(_ V, r R) { r.Approach = 3 }), "Approach", units.ErrRange},
	})
}
