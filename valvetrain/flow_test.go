package valvetrain_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// coneArea finds the way through a seat by geometry: the shortest way from the inner
// edge of the seat to the face of the lifted valve, turned about the axis.
func coneArea(l, d, w, b float64) float64 {
	tan := math.Tan(b)
	edge := d/2 - w // inner edge of the seat, height 0
	// The face runs from radius d/2 - w to d/2, w tan(b) higher outside, l lower by the lift.
	f := func(u float64) float64 { return math.Hypot(u, u*tan-l) }
	lo, hi := 0.0, w
	for range 200 {
		m1, m2 := lo+(hi-lo)/3, hi-(hi-lo)/3
		if f(m1) < f(m2) {
			hi = m2
		} else {
			lo = m1
		}
	}
	at := (lo + hi) / 2
	return math.Pi * f(at) * (2*edge + at)
}

func TestFlowAreaByGeometry(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for range 300 {
		d := 20 + 40*rng.Float64()
		w, angle := d*0.1*rng.Float64(), 60*rng.Float64()
		v := valvetrain.FlowValve{Head: mm(d), Seat: mm(w), Angle: valvetrain.PlaneDegrees(angle), Port: mm(d * (0.7 + 0.25*rng.Float64())), Stem: mm(6)}
		s := must[valvetrain.FlowStages](t)(v.Stages())
		worked(t, "stages", s.Working())
		last := 0.0
		for l := 0.0; l < d/2; l += d / 97 {
			a := must[valvetrain.FlowArea](t)(v.FlowArea(mm(l)))
			want := min(coneArea(mm(l).Millimeters(), v.Head.Millimeters(), v.Seat.Millimeters(), angle*math.Pi/180), s.ThroatArea.SquareMillimeters())
			if l > 0 {
				near(t, "area", a.Area.SquareMillimeters(), want, 2e-7)
			}
			if x := a.Area.SquareMillimeters(); x < last*(1-1e-12) {
				t.Fatalf("%+v: the area falls at %v mm", v, l)
			} else {
				last = x
			}
			if (a.Stage == valvetrain.Throat) != (mm(l) >= s.Throat) || l > 0 && s.HasGap && (a.Stage == valvetrain.SeatSlant) != (mm(l) <= s.Gap) {
				t.Fatalf("%+v: stage %v at %v mm, stages %+v", v, a.Stage, l, s)
			}
		}
		// No jump at the joins.
		for _, j := range []units.Length{s.Gap, s.Throat} {
			if j < 10 {
				continue
			}
			lo, hi := must[valvetrain.FlowArea](t)(v.FlowArea(j-2)), must[valvetrain.FlowArea](t)(v.FlowArea(j+2))
			if x := hi.Area.SquareMillimeters() - lo.Area.SquareMillimeters(); x < 0 || x > 1e-5 {
				t.Errorf("%+v: a jump of %v mm2 at %v", v, x, j)
			}
		}
		worked(t, "flow", must[valvetrain.FlowArea](t)(v.FlowArea(mm(5))).Working())
	}
}

// The area of an event against many small steps, for each kind of lobe.
func TestEventArea(t *testing.T) {
	v := valvetrain.FlowValve{Head: mm(38), Seat: mm(1.8), Angle: valvetrain.PlaneDegrees(45), Port: mm(31), Stem: mm(8)}
	bench := []valvetrain.DischargeAt{{Lift: mm(1), Coefficient: 0.5}, {Lift: mm(5), Coefficient: 0.66}, {Lift: mm(8), Coefficient: 0.6}}
	for shape, c := range gearShapes(t) {
		for _, lash := range []float64{0, 0.35} {
			most := 0.0
			e := valvetrain.ValveEvent{Curve: c, Gear: camtiming.ValveGear{Ratio: 1.4, Lash: mm(lash)}, Valve: v, Discharge: bench}
			got := must[valvetrain.EventArea](t)(e.MeanArea())
			sum, open := 0.0, 0.0
			const n = 60_000
			span := c.Span()
			step := (span.Closes - span.Opens) / n
			for i := range n {
				l := 1.4*c.Lift(span.Opens+step*units.CamAngle(i)+step/2).Meters() - lash*1e-3
				if l <= 0 {
					continue
				}
				a, err := v.FlowArea(units.Length(math.Round(l * 1e12)))
				if err != nil {
					t.Fatal(err)
				}
				x := l * 1000
				cd := 0.6
				switch {
				case x < 1:
					cd = 0.5
				case x < 5:
					cd = 0.5 + 0.16*(x-1)/4
				case x < 8:
					cd = 0.66 - 0.06*(x-5)/3
				}
				most = max(most, cd*a.Area.SquareMillimeters())
				sum += cd * a.Area.SquareMillimeters() * step.Crank().Degrees()
				open += step.Crank().Degrees()
			}
			near(t, shape+" area", got.Area.SquareMillimeterCrankDegrees(), sum, 1e-5)
			if lash > 0 {
				near(t, shape+" duration", got.Duration.Degrees(), open, 1e-4)
			}
			near(t, shape+" largest", got.Largest.SquareMillimeters(), most, 1e-4)
			near(t, shape+" mean", float64(got.Mean)*got.Duration.Degrees(), float64(got.Area), 1e-12)
			a := must[valvetrain.TimeArea](t)(got.In(units.RevolutionsPerMinute(3000)))
			near(t, shape+" time", float64(a)*18000, float64(got.Area), 1e-12)
			worked(t, shape, got.Working())
		}
	}
}

// The valve for an index has that index.
func TestInletMachInverse(t *testing.T) {
	m := valvetrain.InletMach{Bore: mm(102), Stroke: mm(115), Valves: 2, Crank: units.RevolutionsPerMinute(2600), Discharge: 0.35, Sound: units.MetersPerSecond(345)}
	for z := 0.2; z < 1; z += 0.1 {
		m.Valve = must[units.Length](t)(m.ValveFor(z))
		i := must[valvetrain.InletMachIndex](t)(m.Index())
		near(t, "index", i.Index, z, 1e-9)
		worked(t, "index", i.Working())
	}
}

func TestBadFlow(t *testing.T) {
	good := valvetrain.FlowValve{Head: mm(38), Seat: mm(1.8), Angle: valvetrain.PlaneDegrees(45), Port: mm(31), Stem: mm(8)}
	type fv = valvetrain.FlowValve
	v := func(change func(*fv)) func() (any, error) {
		return with(good, change, func(v fv) (valvetrain.FlowArea, error) { return v.FlowArea(mm(5)) })
	}
	event := valvetrain.ValveEvent{Curve: lawOf(t, camtiming.Poly345, 7, 60, 60), Gear: camtiming.ValveGear{Ratio: 1.5}, Valve: good}
	type ve = valvetrain.ValveEvent
	e := func(change func(*ve)) func() (any, error) { return with(event, change, valvetrain.ValveEvent.MeanArea) }
	mach := valvetrain.InletMach{Bore: mm(102), Stroke: mm(115), Valve: mm(40), Valves: 1, Crank: 200, Discharge: 0.35, Sound: 345}
	type im = valvetrain.InletMach
	m := func(change func(*im)) func() (any, error) { return with(mach, change, valvetrain.InletMach.Index) }
	gas := valvetrain.IdealGas{Temperature: units.Celsius(20), Ratio: 1.4, Constant: 287}
	type ig = valvetrain.IdealGas
	g := func(change func(*ig)) func() (any, error) { return with(gas, change, valvetrain.IdealGas.SpeedOfSound) }
	readings := func(d ...valvetrain.DischargeAt) func(*ve) { return func(e *ve) { e.Discharge = d } }
	refuse(t, []bad{
		{"no head", v(func(v *fv) { v.Head = 0 }), "Head", units.ErrMissing},
		{"head negative", v(func(v *fv) { v.Head = -1 }), "Head", units.ErrRange},
		{"seat negative", v(func(v *fv) { v.Seat = -1 }), "Seat", units.ErrRange},
		{"seat wide", v(func(v *fv) { v.Seat = mm(19) }), "Seat", units.ErrImpossible},
		{"angle nan", v(func(v *fv) { v.Angle = valvetrain.PlaneDegrees(nan) }), "Angle", units.ErrRange},
		{"angle steep", v(func(v *fv) { v.Angle = 81 }), "Angle", units.ErrRange},
		{"no port", v(func(v *fv) { v.Port = 0 }), "Port", units.ErrMissing},
		{"port wide", v(func(v *fv) { v.Port = mm(39) }), "Port", units.ErrImpossible},
		{"stem negative", v(func(v *fv) { v.Stem = -1 }), "Stem", units.ErrRange},
		{"stem thick", v(func(v *fv) { v.Stem = mm(31) }), "Stem", units.ErrImpossible},
		{"lift negative", one(func() (valvetrain.FlowArea, error) { return good.FlowArea(-1) }), "lift", units.ErrRange},
		{"lift huge", one(func() (valvetrain.FlowArea, error) { return good.FlowArea(most) }), "lift", units.ErrRange},
		{"stages", one(fv{}.Stages), "Head", units.ErrMissing},
		{"no curve", e(func(e *ve) { e.Curve = nil }), "Curve", units.ErrMissing},
		{"zero curve", e(func(e *ve) { e.Curve = new(camtiming.LawLobe) }), "Curve.MaxLift", units.ErrRange},
		{"ratio", e(func(e *ve) { e.Gear.Ratio = nan }), "Gear.Ratio", units.ErrRange},
		{"lash negative", e(func(e *ve) { e.Gear.Lash = -1 }), "Gear.Lash", units.ErrRange},
		{"lash all", e(func(e *ve) { e.Curve, e.Gear.Lash = lawOf(t, camtiming.Poly345, 0.5, 60, 60), mm(0.75) }), "Gear.Lash", units.ErrImpossible},
		{"valve", e(func(e *ve) { e.Valve.Port = 0 }), "Valve.Port", units.ErrMissing},
		{"order", e(readings(valvetrain.DischargeAt{Lift: mm(2), Coefficient: 0.5}, valvetrain.DischargeAt{Lift: mm(2), Coefficient: 0.6})), "Discharge[1].Lift", units.ErrRange},
		{"reading negative", e(readings(valvetrain.DischargeAt{Lift: -1, Coefficient: 0.5})), "Discharge[0].Lift", units.ErrRange},
		{"coefficient 0", e(readings(valvetrain.DischargeAt{Lift: mm(2)})), "Discharge[0].Coefficient", units.ErrRange},
		{"coefficient nan", e(readings(valvetrain.DischargeAt{Lift: mm(2), Coefficient: nan})), "Discharge[0].Coefficient", units.ErrRange},
		{"speed 0", one(func() (valvetrain.TimeArea, error) { return valvetrain.EventArea{Area: 1}.In(0) }), "crank", units.ErrMissing},
		{"speed nan", one(func() (valvetrain.TimeArea, error) { return valvetrain.EventArea{Area: 1}.In(units.AngularSpeed(nan)) }), "crank", units.ErrRange},
		{"speed tiny", one(func() (valvetrain.TimeArea, error) { return valvetrain.EventArea{Area: 1}.In(5e-324) }), "crank", units.ErrRange},
		{"no bore", m(func(m *im) { m.Bore = 0 }), "Bore", units.ErrMissing},
		{"no stroke", m(func(m *im) { m.Stroke = 0 }), "Stroke", units.ErrMissing},
		{"no valve", m(func(m *im) { m.Valve = 0 }), "Valve", units.ErrMissing},
		{"valve over bore", m(func(m *im) { m.Valve = mm(103) }), "Valve", units.ErrImpossible},
		{"no valves", m(func(m *im) { m.Valves = 0 }), "Valves", units.ErrRange},
		{"still", m(func(m *im) { m.Crank = 0 }), "Crank", units.ErrMissing},
		{"crank inf", m(func(m *im) { m.Crank = units.AngularSpeed(inf) }), "Crank", units.ErrRange},
		{"discharge", m(func(m *im) { m.Discharge = 1.1 }), "Discharge", units.ErrRange},
		{"discharge nan", m(func(m *im) { m.Discharge = nan }), "Discharge", units.ErrRange},
		{"sound 0", m(func(m *im) { m.Sound = 0 }), "Sound", units.ErrMissing},
		{"sound slow", m(func(m *im) { m.Sound = 0.1 }), "Sound", units.ErrRange},
		{"index 0", one(func() (units.Length, error) { return mach.ValveFor(0) }), "index", units.ErrRange},
		{"index nan", one(func() (units.Length, error) { return mach.ValveFor(nan) }), "index", units.ErrRange},
		{"index small", one(func() (units.Length, error) { return mach.ValveFor(1e-6) }), "index", units.ErrRange},
		{"ratio 1", g(func(g *ig) { g.Ratio = 1 }), "Ratio", units.ErrRange},
		{"ratio nan", g(func(g *ig) { g.Ratio = nan }), "Ratio", units.ErrRange},
		{"no constant", g(func(g *ig) { g.Constant = 0 }), "Constant", units.ErrMissing},
		{"constant inf", g(func(g *ig) { g.Constant = valvetrain.GasConstant(inf) }), "Constant", units.ErrRange},
		{"no temperature", g(func(g *ig) { g.Temperature = units.Kelvins(0) }), "Temperature", units.ErrRange},
		{"temperature nan", g(func(g *ig) { g.Temperature = units.Temperature(nan) }), "Temperature", units.ErrRange},
	})
}

func FuzzFlowArea(f *testing.F) {
	f.Add(int64(34e9), int64(16e8), 45.0, int64(30e9), int64(7e9), int64(5e9))
	f.Add(int64(1), int64(0), 80.0, int64(1), int64(0), int64(1e13))
	f.Add(int64(40e9), int64(4e9), 1e-300, int64(20e9), int64(8e9), int64(1))
	f.Fuzz(func(t *testing.T, head, seat int64, angle float64, port, stem, lift int64) {
		v := valvetrain.FlowValve{Head: units.Length(head), Seat: units.Length(seat), Angle: valvetrain.PlaneDegrees(angle), Port: units.Length(port), Stem: units.Length(stem)}
		a, err := v.FlowArea(units.Length(lift))
		if err != nil {
			return
		}
		s, err := v.Stages()
		if err != nil {
			t.Fatal(err)
		}
		if x := float64(a.Area); !(x >= 0 && x <= float64(s.ThroatArea)*(1+1e-9)) {
			t.Errorf("%+v at %v: area %v of %v", v, lift, x, s.ThroatArea)
		}
	})
}
