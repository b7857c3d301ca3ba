package valvetrain_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
	"example.com/trialfit/valvetrain"
)

func atCam(x float64) units.CamAngle {
	return units.CamAngle(math.RoundToEven(x * float64(units.CamDegree)))
}

// bare hides the higher derivatives of a lobe.
type bare struct{ camtiming.LiftCurve }

func TestValveCurveAgainstLinkage(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	lobe := rockerLobe(t)
	for range 30 {
		l := anyLinkage(r)
		c := must[*valvetrain.ValveMotion](t)(valvetrain.NewValveMotion(valvetrain.ValveCurveSpec{Lobe: lobe, Gear: l}))
		for x := -70.0; x <= 70; x += 1.7 {
			s := must[valvetrain.LinkageState](t)(l.At(lobe.Lift(atCam(x))))
			if d := (c.Lift(atCam(x)) - s.Lift).Abs(); d > 1 {
				t.Fatalf("at %v: %v, the linkage %v", x, c.Lift(atCam(x)), s.Lift)
			}
			m := c.Motion(atCam(x))
			if m.Lift != c.Lift(atCam(x)) || math.Abs(float64(m.Velocity-c.Velocity(atCam(x)))) > 1e-15 {
				t.Fatalf("motion %+v", m)
			}
		}
		// Derivatives against differences of the one below, inside the span.
		span := c.Span()
		const e = 2e-3
		for f := 0.03; f < 1; f += 0.047 {
			x := span.Opens.Degrees() + f*(span.Closes-span.Opens).Degrees()
			if math.Abs(x) < 2*e {
				continue
			}
			byDifferences(t, c, x, e, 1e-6, 1e-5)
		}
		// Where the valve leaves its seat, the lifter has taken up the lash.
		lift := must[units.Length](t)(l.LifterFor(0))
		if (lobe.Lift(span.Opens)-lift).Abs() > 100 || (lobe.Lift(span.Closes)-lift).Abs() > 100 {
			t.Fatalf("span %+v", span)
		}
		if c.Lift(span.Opens-1000) != 0 || c.Velocity(span.Closes+1000) != 0 || c.Motion(span.Closes+1000) != (camtiming.LobeMotion{}) {
			t.Fatal("moves outside its span")
		}
		// The curve passes what camtiming asks of a lift curve.
		o := must[camtiming.Opening](t)(camtiming.OpeningAt(c, mm(1)))
		if d := (c.Lift(o.Opens) - mm(1)).Abs(); d > 1000 {
			t.Fatalf("1 mm at %v", o.Opens)
		}
		must[camtiming.Peaks](t)(camtiming.PeaksOf(c))
	}
}

func TestValveCurveOfRatio(t *testing.T) {
	lobe := rockerLobe(t)
	c := must[*valvetrain.ValveMotion](t)(valvetrain.NewValveMotion(valvetrain.ValveCurveSpec{Lobe: lobe, Gear: valvetrain.ConstantRatio{Ratio: 1.5, Lash: mm(0.3)}}))
	for x := -45.0; x < 45; x += 3 {
		m, y := c.Motion(atCam(x)), lobe.Motion(atCam(x))
		near(t, "lift", m.Lift.Millimeters(), 1.5*y.Lift.Millimeters()-0.3, 1e-8)
		near(t, "velocity", float64(m.Velocity), 1.5*float64(y.Velocity), 1e-12)
		near(t, "acceleration", float64(m.Acceleration), 1.5*float64(y.Acceleration), 1e-12)
		near(t, "jerk", float64(m.Jerk), 1.5*float64(y.Jerk), 1e-12)
	}
	l := c.Lifts()
	if l.Gross != mm(12) || l.Net != mm(11.7) || l.TakeUp != mm(0.2) || l.Mean != 1.5 || l.AtSeat != 1.5 || l.AtNose != 1.5 || c.MaxLift() != l.Net {
		t.Errorf("%+v", l)
	}
	worked(t, "lifts", l.Working())
	// The same lash, cold and hot: a bigger one opens later and closes earlier.
	hot := must[*valvetrain.ValveCurve](t)(valvetrain.NewValveCurve(valvetrain.ValveCurveSpec{Lobe: bare{lobe}, Gear: boatRocker, Lash: units.Some(mm(0.5))}))
	cold := must[*valvetrain.ValveCurve](t)(valvetrain.NewValveCurve(valvetrain.ValveCurveSpec{Lobe: bare{lobe}, Gear: boatRocker}))
	h, k := hot.Lifts(), cold.Lifts()
	if h.Gross != k.Gross || (h.Net+h.Lash-k.Net-k.Lash).Abs() > 1 || h.Lash != mm(0.5) || hot.Span().Opens <= cold.Span().Opens || hot.Span().Closes >= cold.Span().Closes {
		t.Errorf("hot %+v %+v, cold %+v %+v", h, hot.Span(), k, cold.Span())
	}
	// With no lash at all the valve moves with the lobe.
	if s := must[*valvetrain.ValveCurve](t)(valvetrain.NewValveCurve(valvetrain.ValveCurveSpec{Lobe: lobe, Gear: boatRocker, Lash: units.Some(units.Length(0))})); s.Span() != lobe.Span() {
		t.Errorf("span %+v", s.Span())
	}
}

func TestValveCurveRefuses(t *testing.T) {
	good := valvetrain.ValveCurveSpec{Lobe: rockerLobe(t), Gear: boatRocker}
	curve := func(s valvetrain.ValveCurveSpec) (*valvetrain.ValveCurve, error) { return valvetrain.NewValveCurve(s) }
	tall := must[*camtiming.LawLobe](t)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly345, MaxLift: mm(30), Opening: 65 * units.CamDegree, Closing: 65 * units.CamDegree}))
	refuse(t, []bad{
		{"nothing", with(valvetrain.ValveCurveSpec{}, func(*valvetrain.ValveCurveSpec) {}, curve), "Lobe", units.ErrMissing},
		{"nil lobe", with(good, func(s *valvetrain.ValveCurveSpec) { s.Lobe = (*camtiming.LawLobe)(nil) }, curve), "Lobe", units.ErrMissing},
		{"empty lobe", with(good, func(s *valvetrain.ValveCurveSpec) { s.Lobe = &camtiming.LawLobe{} }, curve), "Lobe.MaxLift", units.ErrRange},
		{"no gear", with(good, func(s *valvetrain.ValveCurveSpec) { s.Gear = nil }, curve), "Gear", units.ErrMissing},
		{"bad linkage", with(good, func(s *valvetrain.ValveCurveSpec) { s.Gear = valvetrain.Linkage{} }, curve), "Pushrod", units.ErrMissing},
		{"no ratio", with(good, func(s *valvetrain.ValveCurveSpec) { s.Gear = valvetrain.ConstantRatio{} }, curve), "Gear.Ratio", units.ErrRange},
		{"NaN", with(good, func(s *valvetrain.ValveCurveSpec) { s.Gear = valvetrain.ConstantRatio{Ratio: nan} }, curve), "Gear.Ratio", units.ErrRange},
		{"negative lash", with(good, func(s *valvetrain.ValveCurveSpec) { s.Gear = valvetrain.ConstantRatio{Ratio: 1, Lash: -1} }, curve), "Gear.Lash", units.ErrRange},
		{"endless lash", with(good, func(s *valvetrain.ValveCurveSpec) { s.Lash = units.Some(most) }, curve), "Lash", units.ErrRange},
		{"all lash", with(good, func(s *valvetrain.ValveCurveSpec) { s.Lash = units.Some(mm(14)) }, curve), "Lash", units.ErrRange},
		{"locks", with(good, func(s *valvetrain.ValveCurveSpec) { s.Lobe = tall }, curve), "Lobe.MaxLift", units.ErrImpossible},
		{"held open", with(good, func(s *valvetrain.ValveCurveSpec) {
			l := boatRocker
			l.Pushrod = mm(201)
			s.Gear = l
		}, curve), "Gear", units.ErrConflict},
		{"no acceleration", one(func() (*valvetrain.ValveMotion, error) {
			return valvetrain.NewValveMotion(valvetrain.ValveCurveSpec{Lobe: bare{rockerLobe(t)}, Gear: boatRocker})
		}), "Lobe", units.ErrMissing},
		{"motion of nothing", one(func() (*valvetrain.ValveMotion, error) { return valvetrain.NewValveMotion(valvetrain.ValveCurveSpec{}) }), "Lobe", units.ErrMissing},
	})
	for _, c := range []*valvetrain.ValveCurve{nil, {}} {
		if c.Lift(0) != 0 || c.Velocity(0) != 0 || c.MaxLift() != 0 || c.Span() != (camtiming.Span{}) || c.Lifts() != (valvetrain.ValveLifts{}) {
			t.Error("the zero curve moves")
		}
	}
	var m *valvetrain.ValveMotion
	if m.Motion(0) != (camtiming.LobeMotion{}) || (&valvetrain.ValveMotion{}).Motion(0) != (camtiming.LobeMotion{}) {
		t.Error("the zero motion moves")
	}
}

func TestValveCurveDoesNotAllocate(t *testing.T) {
	c := must[*valvetrain.ValveMotion](t)(valvetrain.NewValveMotion(valvetrain.ValveCurveSpec{Lobe: rockerLobe(t), Gear: boatRocker}))
	if n := testing.AllocsPerRun(100, func() {
		_, _, _ = c.Lift(atCam(20)), c.Velocity(atCam(20)), c.Motion(atCam(20))
		_, _ = boatRocker.At(mm(3))
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkValveCurve(b *testing.B) {
	c := must[*valvetrain.ValveMotion](b)(valvetrain.NewValveMotion(valvetrain.ValveCurveSpec{Lobe: rockerLobe(b), Gear: boatRocker}))
	run := func(name string, f func(units.CamAngle)) {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			a := atCam(-50)
			for b.Loop() {
				f(a)
				if a += atCam(0.37); a > atCam(50) {
					a = atCam(-50)
				}
			}
		})
	}
	run("Lift", func(a units.CamAngle) { c.Lift(a) })
	run("Velocity", func(a units.CamAngle) { c.Velocity(a) })
	run("Motion", func(a units.CamAngle) { c.Motion(a) })
}

func BenchmarkLinkage(b *testing.B) {
	b.Run("At", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_, _ = boatRocker.At(mm(4))
		}
	})
	b.Run("PushrodForSweep", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_, _ = boatRocker.PushrodForSweep(valvetrain.PushrodSearch{Goal: valvetrain.NarrowestSweep, Lifter: mm(8), Lash: mm(0.3), Stud: deg(90), Within: mm(5)})
		}
	})
}

// The factors of camtiming's loop of parts are what the linkage does when one of
// its parts grows a little.
func TestLashLoopAgreesWithLinkage(t *testing.T) {
	l := boatRocker
	l.Lifter = valvetrain.Track{At: pt(-26, -199.1), Direction: deg(90)}
	zero := must[valvetrain.LinkageState](t)(l.At(0))
	metal := material.Expansion{
		Base: units.Celsius(20), Lowest: units.Celsius(0), Highest: units.Celsius(200), Coefficient: units.Unstated(units.PerKelvin(1e-5)), Source: own,
	}
	// 10 mm by 100 K grow by 0.01 mm.
	grown := func(place camtiming.LoopPlace) float64 {
		h := must[camtiming.HotLash](t)(camtiming.LashLoop{Ratio: zero.Ratio, Lash: exact(zero.Gap), Members: []camtiming.LoopMember{{
			Place: place, Part: material.Part{Size: exact(mm(10)), Cold: exact(units.Celsius(20)), Expansion: metal}, Hot: exact(units.Celsius(120)),
		}}}.Hot())
		return h.Change.Value.Millimeters()
	}
	g := mm(0.01)
	for _, c := range []struct {
		place camtiming.LoopPlace
		work  valvetrain.ShopWork
	}{
		{camtiming.UnderPivotAndSeat, valvetrain.ShopWork{Gasket: g}},
		{camtiming.UnderPivot, valvetrain.ShopWork{Stand: g}},
		{camtiming.OnLifterSide, valvetrain.ShopWork{BaseRadius: g}},
		{camtiming.OnValveSide, valvetrain.ShopWork{Tip: g}},
	} {
		c.work.Up = deg(90)
		r := must[valvetrain.PushrodChange](t)(l.After(c.work))
		near(t, c.place.String(), (r.After - r.Before).Millimeters(), grown(c.place), 5e-3)
	}
}

// The lash ramp of camtiming is judged where the linkage takes up the lash.
func TestTakeUpWithLinkage(t *testing.T) {
	lobe := rockerLobe(t)
	c := must[*valvetrain.ValveCurve](t)(valvetrain.NewValveCurve(valvetrain.ValveCurveSpec{Lobe: lobe, Gear: boatRocker}))
	l := c.Lifts()
	// With the ratio at the seat the constant-ratio take-up agrees to what the ratio
	// changes over the lash.
	u := must[camtiming.TakeUp](t)(camtiming.TakeUpOf(camtiming.TakeUpInput{Curve: lobe, Ratio: l.AtSeat, Lash: exact(l.Lash)}))
	near(t, "take-up", u.Lifter.Value.Millimeters(), l.TakeUp.Millimeters(), 2e-3)
	near(t, "impact", float64(u.Impact), float64(c.Velocity(c.Span().Opens)), 5e-3)
	near(t, "touchdown", float64(u.Touchdown), -float64(c.Velocity(c.Span().Closes)), 5e-3)
}

// byDifferences holds every derivative of a motion at x cam degrees against the
// differences of the one below over e to both sides, within shares of the
// acceleration and the jerk.
func byDifferences(t *testing.T, c camtiming.MotionCurve, x, e, acceleration, jerk float64) camtiming.LobeMotion {
	t.Helper()
	m, up, down := c.Motion(atCam(x)), c.Motion(atCam(x+e)), c.Motion(atCam(x-e))
	for _, d := range []struct {
		name       string
		got, a, b  float64
		scale, tol float64
	}{
		{"velocity", float64(m.Velocity), up.Lift.Meters(), down.Lift.Meters(), 1e-3, 1e-6},
		{"acceleration", float64(m.Acceleration), float64(up.Velocity), float64(down.Velocity), 1e-5, acceleration},
		{"jerk", float64(m.Jerk), float64(up.Acceleration), float64(down.Acceleration), 1e-6, jerk},
	} {
		if want := (d.a - d.b) / (2 * e); math.Abs(d.got-want) > d.tol*max(math.Abs(want), d.scale) {
			t.Fatalf("%s at %v: %v, by differences %v", d.name, x, d.got, want)
		}
	}
	return m
}
