package camtiming_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

var bareLobe = flanks{camtiming.Poly345, mm(7.5), 62, 66}

func rampOf(h, l, start, blend float64) camtiming.Ramp {
	return camtiming.Ramp{Height: mm(h), Length: cam(l), Start: cam(start), Blend: cam(blend)}
}

func ramped(tb testing.TB, opening, closing camtiming.Ramp) *camtiming.RampLobe {
	tb.Helper()
	return must[*camtiming.RampLobe](tb)(camtiming.NewRampLobe(camtiming.RampLobeSpec{Lobe: bareLobe.lobe(tb), Opening: opening, Closing: closing}))
}

// The lift is the integral of the slope, the slope is steady where the ramp has
// a start and a blend, and the lift rises to the nose and falls from it.
func TestRampLobeShape(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		ramp := func() camtiming.Ramp {
			l := 10 + 20*r.Float64()
			return rampOf(0.1+0.4*r.Float64(), l, l*r.Float64(), 1+30*r.Float64())
		}
		l := ramped(t, ramp(), ramp())
		s := l.Span()
		const n = 20000
		a, b := s.Opens.Degrees(), s.Closes.Degrees()
		h := (b - a) / n
		sum := 0.0
		for i := range n {
			x := a + h*float64(i)
			v := float64(l.Velocity(cam(x + h/2)))
			sum += v * h
			if x+h < 0 && v < 0 || x > 0 && v > 0 {
				t.Fatalf("slope %g at %g", v, x)
			}
			if i%500 == 0 {
				near(t, "integral", l.Lift(cam(x+h)).Meters(), sum, 2e-9)
			}
			if d := math.Abs(float64(l.Velocity(cam(x+h)) - l.Velocity(cam(x)))); d > 1e-5 {
				t.Fatalf("slope jumps by %g at %g", d, x)
			}
		}
		if l.Lift(s.Opens) != 0 || l.Lift(s.Closes) != 0 || l.Lift(0) != l.MaxLift() {
			t.Errorf("ends %v, %v, nose %v of %v", l.Lift(s.Opens), l.Lift(s.Closes), l.Lift(0), l.MaxLift())
		}
		z := l.Zones()
		for _, side := range []struct {
			zone camtiming.RampZone
			ramp camtiming.Ramp
			sign float64
		}{{z.Opening, l.Spec().Opening, -1}, {z.Closing, l.Spec().Closing, 1}} {
			flank := map[float64]float64{-1: 62, 1: 66}[side.sign]
			begin := flank + side.ramp.Length.Degrees() - side.ramp.Start.Degrees()
			near(t, "zone from", side.zone.From.Meters(), l.Lift(cam(side.sign*begin)).Meters(), 2e-12)
			near(t, "zone to", side.zone.To.Meters(), l.Lift(cam(side.sign*flank)).Meters(), 2e-12)
		}
	}
}

// The derivatives of Motion are those of Velocity by differences, and its joins hold
// every jump.
func TestRampLobeMotion(t *testing.T) {
	l := ramped(t, rampOf(0.25, 22, 7, 9), rampOf(0.31, 27, 5, 12))
	m, err := camtiming.MotionOf(l)
	if err != nil {
		t.Fatal(err)
	}
	joins, err := camtiming.Joins(l)
	if err != nil {
		t.Fatal(err)
	}
	for i := range len(joins) - 1 {
		from, to := joins[i].Degrees(), joins[i+1].Degrees()
		for k := 1; k < 20; k++ {
			x := from + (to-from)*float64(k)/20
			h := (to - from) / 100
			p, before, after := m.Motion(cam(x)), m.Motion(cam(x-h)), m.Motion(cam(x+h))
			near(t, "lift", p.Lift.Meters(), l.Lift(cam(x)).Meters(), 2e-12)
			near(t, "velocity", float64(p.Velocity), float64(l.Velocity(cam(x))), 1e-18)
			near(t, "acceleration", float64(p.Acceleration), float64(after.Velocity-before.Velocity)/(2*h), 1e-7)
			near(t, "jerk", float64(p.Jerk), float64(after.Acceleration-before.Acceleration)/(2*h), 1e-8)
		}
	}
	if _, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: l, Base: 25 * units.Millimeter}); err != nil {
		t.Error(err)
	}
	// Ramps with corners, and ramps on a curve without acceleration.
	table, err := camtiming.NewTableLobe(camtiming.TableLobeSpec{Interpolation: camtiming.Straight, Samples: []camtiming.LiftSample{
		{Angle: cam(-60)}, {Angle: cam(-30), Lift: 3 * units.Millimeter}, {Angle: 0, Lift: 7 * units.Millimeter}, {Angle: cam(30), Lift: 3 * units.Millimeter}, {Angle: cam(60)},
	}})
	if err != nil {
		t.Fatal(err)
	}
	onTable, err := camtiming.NewRampLobe(camtiming.RampLobeSpec{Lobe: table, Opening: rampOf(0.3, 20, 6, 8)})
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]camtiming.LiftCurve{
		"corner at the start": ramped(t, rampOf(0.3, 20, 0, 8), rampOf(0.3, 26, 6, 10)),
		"corner at the flank": ramped(t, rampOf(0.3, 20, 6, 8), rampOf(0.3, 26, 6, 0)),
		"straight table":      onTable,
	} {
		var e *units.InputError
		if _, err := camtiming.MotionOf(c); !errors.As(err, &e) || !errors.Is(err, units.ErrImpossible) || !strings.HasPrefix(e.Field, "LiftCurve") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if n := testing.AllocsPerRun(100, func() { l.Motion(cam(-60)) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// Equal ramps carry the lobe unchanged; a lobe without ramp on one side keeps
// its opening there, stretched to the same nose; mirrored it is its mirror image.
func TestRampLobeLimits(t *testing.T) {
	even := ramped(t, rampOf(0.3, 20, 6, 8), rampOf(0.3, 26, 6, 10))
	oneSided := ramped(t, rampOf(0.3, 20, 6, 8), camtiming.Ramp{})
	mirror := must[*camtiming.RampLobe](t)(camtiming.NewRampLobe(camtiming.RampLobeSpec{
		Lobe:    flanks{camtiming.Poly345, mm(7.5), 66, 62}.lobe(t),
		Opening: rampOf(0.3, 26, 6, 10), Closing: rampOf(0.3, 20, 6, 8),
	}))
	for x := -100.0; x <= 100; x += 0.25 {
		y := even.Lift(cam(x))
		if x > -54 && x < 56 && y != units.Length(math.RoundToEven((bareLobe.at(x)+0.3e-3)*1e12)) {
			t.Fatalf("at %g: %v", x, y)
		}
		if m := mirror.Lift(cam(-x)); m != y {
			t.Fatalf("mirrored at %g: %v, %v", x, m, y)
		}
		if v, m := even.Velocity(cam(x)), mirror.Velocity(cam(-x)); x != 0 && v != -m && !(v == 0 && m == 0) {
			t.Fatalf("mirrored slope at %g: %v, %v", x, v, m)
		}
		if x > 0 {
			near(t, "no ramp", oneSided.Lift(cam(x)).Meters(), bareLobe.at(x)*7.8/7.5, 1e-12)
		}
	}
	if s := oneSided.Span(); s != (camtiming.Span{Opens: cam(-82), Closes: cam(66)}) {
		t.Errorf("span %v", s)
	}
	if z := oneSided.Zones().Closing; z != (camtiming.RampZone{}) {
		t.Errorf("zone %v without a ramp", z)
	}
	// Corners instead of start and blend: the plain straight ramp.
	plain := ramped(t, rampOf(0.3, 20, 0, 0), rampOf(0.3, 20, 0, 0))
	for _, x := range []float64{1, 7, 19.5} {
		near(t, "straight", plain.Lift(cam(-82+x)).Millimeters(), 0.3*x/20, 1e-9)
	}
}

// The take-up against a plain scan of the lobe.
func TestTakeUpByScan(t *testing.T) {
	l := ramped(t, rampOf(0.3, 20, 6, 8), rampOf(0.36, 26, 6, 10))
	src := units.Source{Text: "the lobe's own ramps", Provenance: units.Stated}
	for lash := 0.03; lash < 0.8; lash += 0.07 {
		in := camtiming.TakeUpInput{Curve: l, Ratio: 1.5, Lash: units.WithU(mm(lash), mm(0.004)), Ramps: l.Zones(), Source: src}
		got := must[camtiming.TakeUp](t)(camtiming.TakeUpOf(in))
		up := func(x float64) bool { return l.Lift(cam(x)).Meters()*1.5 > lash*1e-3 }
		o, c := -92.0, 92.0
		for !up(o) {
			o += 1e-3
		}
		for !up(c) {
			c -= 1e-3
		}
		near(t, "opens", got.Opens.Degrees(), o, 1.1e-3)
		near(t, "closes", got.Closes.Degrees(), c, 1.1e-3)
		near(t, "duration", got.Duration.Value.Degrees(), 2*(c-o), 5e-3)
		near(t, "impact", float64(got.Impact), 1.5*float64(l.Velocity(got.Opens)), 1e-12)
		near(t, "touchdown", float64(got.Touchdown), -1.5*float64(l.Velocity(got.Closes)), 1e-12)
		// u of the duration: half the change between lash - u and lash + u.
		in.Lash = units.Unstated(mm(lash - 0.004))
		longer := must[camtiming.TakeUp](t)(camtiming.TakeUpOf(in))
		in.Lash = units.Unstated(mm(lash + 0.004))
		shorter := must[camtiming.TakeUp](t)(camtiming.TakeUpOf(in))
		half := (longer.Duration.Value - shorter.Duration.Value).Degrees() / 2
		near(t, "u of the duration", got.Duration.U.Degrees(), half, 0.15*half)
		if shorter.Duration.Value >= longer.Duration.Value {
			t.Errorf("more lash opens longer: %v, %v", shorter.Duration, longer.Duration)
		}
		if shorter.Duration.Stated || shorter.OnOpening.Value.Outcome != units.NotProved {
			t.Errorf("claims something from an unstated lash: %v", shorter)
		}
		for _, side := range []struct {
			zone    camtiming.RampZone
			verdict units.Optional[units.Verdict[units.Length]]
		}{{l.Zones().Opening, got.OnOpening}, {l.Zones().Closing, got.OnClosing}} {
			y := lash / 1.5
			inside := y > side.zone.From.Millimeters() && y < side.zone.To.Millimeters()
			if !side.verdict.Given || inside && side.verdict.Value.Outcome == units.ProvedOutside || !inside && side.verdict.Value.Outcome == units.ProvedWithin {
				t.Errorf("lash %g: %v, inside %v", lash, side.verdict, inside)
			}
		}
		for _, s := range got.Working() {
			if s.Symbol == "" || s.Numbers == "" || s.Value == "" || !s.Source.Given() {
				t.Errorf("step %+v", s)
			}
		}
	}
	if (camtiming.TakeUp{}).Working() != nil {
		t.Error("working of nothing")
	}
	// A measured lobe serves as well; without zones nothing is said of them.
	var samples []camtiming.LiftSample
	for x := -95.0; x <= 95; x++ {
		samples = append(samples, camtiming.LiftSample{Angle: cam(x), Lift: l.Lift(cam(x))})
	}
	table := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: samples, Origin: camtiming.AsMeasured}))
	a := must[camtiming.TakeUp](t)(camtiming.TakeUpOf(camtiming.TakeUpInput{Curve: table, Ratio: 1.5, Lash: units.WithU(mm(0.3), 0)}))
	b := must[camtiming.TakeUp](t)(camtiming.TakeUpOf(camtiming.TakeUpInput{Curve: l, Ratio: 1.5, Lash: units.WithU(mm(0.3), 0)}))
	near(t, "measured", a.Duration.Value.Degrees(), b.Duration.Value.Degrees(), 1e-3)
	if a.OnOpening.Given || a.OnClosing.Given || !a.Duration.Stated || a.Duration.U != 0 {
		t.Errorf("%+v", a)
	}
}

// A lifter that does not give is a gear without lash; the more it gives the
// earlier the valve closes, and its opening stays.
func TestHydraulicLifter(t *testing.T) {
	l := bareLobe.lobe(t)
	last := units.CamAngle(0)
	for i, c := range []float64{0, 0.02, 0.05, 0.1, 0.3} {
		e := must[camtiming.HydraulicEvent](t)(camtiming.HydraulicLifter{Ratio: 1.5, Collapse: mm(c)}.Event(l, mm(0.15)))
		o := must[camtiming.Opening](t)(camtiming.OpeningAt(l, mm(0.1)))
		near(t, "lobe at closing", l.Lift(e.Closes).Millimeters(), 0.1+c, 1e-8)
		if e.Opens != o.Opens || e.Early != (o.Closes-e.Closes).Crank() || (e.Duration-o.Duration+e.Early).Abs() > 1 {
			t.Errorf("%g: %+v, opening %+v", c, e, o)
		}
		if i > 0 && e.Closes >= last {
			t.Errorf("%g: closes at %v after %v", c, e.Closes, last)
		}
		if i == 0 && (e.Early != 0 || e.Touchdown != 0 || e.MostLift != e.LeastLift) {
			t.Errorf("no collapse: %+v", e)
		}
		last = e.Closes
	}
	if (camtiming.HydraulicEvent{}).Working() != nil {
		t.Error("working of nothing")
	}
	e := must[camtiming.HydraulicEvent](t)(camtiming.HydraulicLifter{Ratio: 1.5, Collapse: mm(0.1)}.Event(l, mm(0.15)))
	for i, want := range [][2]string{
		{"0.1000 mm on the opening flank", e.Opens.Text(3)},
		{"0.1000 mm + 0.1 mm on the closing flank", e.Closes.Text(3)},
		{e.Closes.Text(3) + " - " + e.Opens.Text(3), e.Duration.Text(3)},
		{"-1.5 x slope at ", ""},
	} {
		s := e.Working()[i]
		if !strings.HasPrefix(s.Numbers, want[0]) || !strings.HasPrefix(s.Value, want[1]) || s.Symbol == "" || !s.Source.Given() {
			t.Errorf("%+v, want %q", s, want)
		}
	}
	e = must[camtiming.HydraulicEvent](t)(camtiming.HydraulicLifter{Ratio: 1.5, Collapse: mm(0.1)}.Event(l, 0))
	if e.Opens != l.Span().Opens {
		t.Errorf("opens at %v", e.Opens)
	}
	near(t, "touchdown", float64(e.Touchdown), -1.5*float64(l.Velocity(e.Closes)), 1e-15)
}

func TestBadRamp(t *testing.T) {
	lobe := bareLobe.lobe(t)
	spec := func(f func(*camtiming.RampLobeSpec)) func() (any, error) {
		s := camtiming.RampLobeSpec{Lobe: lobe, Opening: rampOf(0.3, 20, 6, 8), Closing: rampOf(0.3, 26, 6, 10)}
		f(&s)
		return func() (any, error) { return camtiming.NewRampLobe(s) }
	}
	l := ramped(t, rampOf(0.3, 20, 6, 8), rampOf(0.3, 26, 6, 10))
	take := func(f func(*camtiming.TakeUpInput)) func() (any, error) {
		in := camtiming.TakeUpInput{Curve: l, Ratio: 1.5, Lash: units.WithU(mm(0.3), mm(0.01)), Ramps: l.Zones(), Source: units.Source{Text: "x", Provenance: units.Stated}}
		f(&in)
		return func() (any, error) { u, err := camtiming.TakeUpOf(in); return u.Duration, err }
	}
	hydraulic := func(h camtiming.HydraulicLifter, c camtiming.LiftCurve, at units.Length) func() (any, error) {
		return func() (any, error) { return h.Event(c, at) }
	}
	speed := func(s units.AngularSpeed) func() (any, error) {
		return func() (any, error) { return camtiming.TakeUp{Touchdown: 1}.SeatingSpeed(s) }
	}
	refuse(t, []bad{
		{"no lobe", spec(func(s *camtiming.RampLobeSpec) { s.Lobe = nil }), "Lobe", units.ErrMissing},
		{"nil ramp lobe", spec(func(s *camtiming.RampLobeSpec) { s.Lobe = (*camtiming.RampLobe)(nil) }), "Lobe.MaxLift", units.ErrRange},
		{"ramps twice", spec(func(s *camtiming.RampLobeSpec) { s.Lobe = l }), "Lobe", units.ErrConflict},
		{"cut off", spec(func(s *camtiming.RampLobeSpec) {
			s.Lobe = spanned{plain{lobe}, camtiming.Span{Opens: cam(-40), Closes: cam(66)}}
		}), "Lobe", units.ErrConflict},
		{"no ramps", spec(func(s *camtiming.RampLobeSpec) { s.Opening, s.Closing = camtiming.Ramp{}, camtiming.Ramp{} }), "Opening", units.ErrMissing},
		{"no height", spec(func(s *camtiming.RampLobeSpec) { s.Opening.Height = 0 }), "Opening.Height", units.ErrMissing},
		{"height negative", spec(func(s *camtiming.RampLobeSpec) { s.Opening.Height = -1 }), "Opening.Height", units.ErrRange},
		{"height overflow", spec(func(s *camtiming.RampLobeSpec) { s.Closing.Height = most }), "Closing.Height", units.ErrRange},
		{"no length", spec(func(s *camtiming.RampLobeSpec) { s.Closing.Length = 0 }), "Closing.Length", units.ErrMissing},
		{"length negative", spec(func(s *camtiming.RampLobeSpec) { s.Closing.Length = -1 }), "Closing.Length", units.ErrRange},
		{"length past half a turn", spec(func(s *camtiming.RampLobeSpec) { s.Closing.Length = cam(115) }), "Closing.Length", units.ErrRange},
		{"length overflow", spec(func(s *camtiming.RampLobeSpec) { s.Closing.Length = least }), "Closing.Length", units.ErrRange},
		{"start past the ramp", spec(func(s *camtiming.RampLobeSpec) { s.Opening.Start = cam(20.1) }), "Opening.Start", units.ErrRange},
		{"start negative", spec(func(s *camtiming.RampLobeSpec) { s.Opening.Start = -1 }), "Opening.Start", units.ErrRange},
		{"blend past the flank", spec(func(s *camtiming.RampLobeSpec) { s.Opening.Blend = cam(62.1) }), "Opening.Blend", units.ErrRange},
		{"blend negative", spec(func(s *camtiming.RampLobeSpec) { s.Closing.Blend = -1 }), "Closing.Blend", units.ErrRange},

		{"take no curve", take(func(in *camtiming.TakeUpInput) { in.Curve = nil }), "Curve", units.ErrMissing},
		{"take zero lobe", take(func(in *camtiming.TakeUpInput) { in.Curve = new(camtiming.RampLobe) }), "Curve.MaxLift", units.ErrRange},
		{"take no lash", take(func(in *camtiming.TakeUpInput) { in.Lash.Value = 0 }), "Lash", units.ErrMissing},
		{"take negative", take(func(in *camtiming.TakeUpInput) { in.Lash.Value = -1 }), "Lash", units.ErrRange},
		{"take more than the lobe", take(func(in *camtiming.TakeUpInput) { in.Ratio, in.Lash.Value = 1, mm(9) }), "Lash.lift", units.ErrRange},
		{"take u", take(func(in *camtiming.TakeUpInput) { in.Lash.U = least }), "Lash.U", units.ErrRange},
		{"take ratio", take(func(in *camtiming.TakeUpInput) { in.Ratio = math.NaN() }), "Ratio", units.ErrRange},
		{"zone negative", take(func(in *camtiming.TakeUpInput) { in.Ramps.Opening.From = -1 }), "Ramps.Opening", units.ErrRange},
		{"zone turned round", take(func(in *camtiming.TakeUpInput) { in.Ramps.Closing = camtiming.RampZone{From: 2, To: 1} }), "Ramps.Closing", units.ErrConflict},
		{"zone overflow", take(func(in *camtiming.TakeUpInput) { in.Ramps.Closing.To = most }), "Ramps.Closing", units.ErrRange},
		{"no source", take(func(in *camtiming.TakeUpInput) { in.Source = units.Source{} }), "Source", units.ErrMissing},
		{"speed zero", speed(0), "crank", units.ErrRange},
		{"speed nan", speed(units.AngularSpeed(math.NaN())), "crank", units.ErrRange},
		{"speed inf", speed(units.AngularSpeed(math.Inf(1))), "crank", units.ErrRange},

		{"hydraulic no curve", hydraulic(camtiming.HydraulicLifter{Ratio: 1.5}, nil, mm(1)), "LiftCurve", units.ErrMissing},
		{"hydraulic no ratio", hydraulic(camtiming.HydraulicLifter{}, lobe, mm(1)), "Ratio", units.ErrRange},
		{"hydraulic negative", hydraulic(camtiming.HydraulicLifter{Ratio: 1.5, Collapse: -1}, lobe, mm(1)), "Collapse", units.ErrRange},
		{"hydraulic all", hydraulic(camtiming.HydraulicLifter{Ratio: 1.5, Collapse: mm(7.5)}, lobe, mm(0.1)), "Collapse.lift", units.ErrRange},
		{"hydraulic nothing", hydraulic(camtiming.HydraulicLifter{Ratio: 1.5}, lobe, 0), "Collapse", units.ErrMissing},
		{"hydraulic check negative", hydraulic(camtiming.HydraulicLifter{Ratio: 1.5}, lobe, -1), "checkLift", units.ErrRange},
		{"hydraulic check over", hydraulic(camtiming.HydraulicLifter{Ratio: 1.5}, lobe, mm(12)), "checkLift.lift", units.ErrRange},
	})
	var zero *camtiming.RampLobe
	for _, l := range []*camtiming.RampLobe{zero, new(camtiming.RampLobe)} {
		if l.Lift(cam(1)) != 0 || l.Velocity(cam(1)) != 0 || l.MaxLift() != 0 || l.Span() != (camtiming.Span{}) || l.Zones() != (camtiming.RampZones{}) {
			t.Error("the zero lobe lifts")
		}
	}
}

func FuzzRampLobe(f *testing.F) {
	f.Add(int64(300_000_000), int64(40_000_000_000), int64(12_000_000_000), int64(16_000_000_000), int64(450_000_000))
	lobe := bareLobe.lobe(f)
	f.Fuzz(func(t *testing.T, h, length, start, blend, lash int64) {
		l, err := camtiming.NewRampLobe(camtiming.RampLobeSpec{Lobe: lobe, Opening: camtiming.Ramp{
			Height: units.Length(h), Length: units.CamAngle(length), Start: units.CamAngle(start), Blend: units.CamAngle(blend),
		}})
		if err != nil {
			if l != nil {
				t.Fatal("a lobe beside an error")
			}
			return
		}
		last := units.Length(0)
		for x := l.Span().Opens; x <= 0; x += units.CamDegree {
			y := l.Lift(x)
			if y < last-1 || math.IsNaN(float64(l.Velocity(x))) {
				t.Fatalf("falls to %v at %v", y, x)
			}
			last = y
		}
		k, err := camtiming.TakeUpOf(camtiming.TakeUpInput{Curve: l, Ratio: 1.5, Lash: units.WithU(units.Length(lash), 1000)})
		if err == nil && (k.Opens >= 0 || k.Closes <= 0 || math.IsInf(float64(k.Impact), 0) || k.Duration.U < 0) {
			t.Fatalf("%+v", k)
		}
	})
}

func BenchmarkRampLobeLift(b *testing.B) {
	l := ramped(b, rampOf(0.3, 20, 6, 8), rampOf(0.3, 26, 6, 10))
	b.ReportAllocs()
	var sum units.Length
	i := 0
	for b.Loop() {
		sum += l.Lift(units.CamAngle(i%160-80) * units.CamDegree)
		i++
	}
	sinkLength = sum
}

func BenchmarkTakeUp(b *testing.B) {
	l := ramped(b, rampOf(0.3, 20, 6, 8), rampOf(0.3, 26, 6, 10))
	in := camtiming.TakeUpInput{Curve: l, Ratio: 1.5, Lash: units.WithU(mm(0.3), mm(0.01)), Ramps: l.Zones(), Source: units.Source{Text: "x", Provenance: units.Stated}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.TakeUpOf(in); err != nil {
			b.Fatal(err)
		}
	}
}

func TestRampAndRingDoNotAllocate(t *testing.T) {
	l := ramped(t, rampOf(0.3, 20, 6, 8), rampOf(0.3, 26, 6, 10))
	k := ringLobe(t)
	r := camtiming.CamRing{Lobes: 4, Rotation: firingorder.AgainstCrank}
	if n := testing.AllocsPerRun(100, func() {
		sinkLength += l.Lift(cam(-70)) + k.Lift(cam(-30))
		_ = l.Velocity(cam(30)) + k.Velocity(cam(30))
		p, err := r.Phase(camtiming.RingFollower{Inclination: 40e9, Fires: crank(400)})
		if err != nil || p.Late != 0 {
			t.Fatal(p, err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func workboatRamps() (*camtiming.RampLobe, error) {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: units.MustParseLength("7.50 mm"), Opening: 62 * units.CamDegree, Closing: 66 * units.CamDegree,
	})
	if err != nil {
		return nil, err
	}
	return camtiming.NewRampLobe(camtiming.RampLobeSpec{
		Lobe:    lobe,
		Opening: camtiming.Ramp{Height: units.MustParseLength("0.30 mm"), Length: 20 * units.CamDegree, Start: 6 * units.CamDegree, Blend: 8 * units.CamDegree},
		Closing: camtiming.Ramp{Height: units.MustParseLength("0.30 mm"), Length: 26 * units.CamDegree, Start: 6 * units.CamDegree, Blend: 10 * units.CamDegree},
	})
}

func ExampleNewRampLobe() {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Harmonic, MaxLift: units.MustParseLength("8.00 mm"), Opening: 60 * units.CamDegree, Closing: 60 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	// A straight ramp of 0.01 mm per cam degree without rounding, on both sides.
	ramp := camtiming.Ramp{Height: units.MustParseLength("0.20 mm"), Length: 20 * units.CamDegree}
	l, err := camtiming.NewRampLobe(camtiming.RampLobeSpec{Lobe: lobe, Opening: ramp, Closing: ramp})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.Lift(-75*units.CamDegree), l.Lift(-30*units.CamDegree), l.MaxLift())
	_, err = camtiming.NewRampLobe(camtiming.RampLobeSpec{Lobe: l, Opening: ramp})
	fmt.Println(err)
	// Output:
	// 0.05 mm 4.2 mm 8.2 mm
	// camtiming: Lobe: contradictory: want the lobe without its ramps
}

func ExampleRampLobe() {
	l, err := workboatRamps()
	if err != nil {
		fmt.Println(err)
		return
	}
	z := l.Zones()
	fmt.Println("lobe lift", l.MaxLift().Text(units.Millimeters, 2), "from", l.Span().Opens.Text(0), "to", l.Span().Closes.Text(0))
	fmt.Println("opening ramp steady from", z.Opening.From.Text(units.Millimeters, 3), "to", z.Opening.To.Text(units.Millimeters, 3))
	fmt.Println(l.Lift(-70*units.CamDegree).Text(units.Millimeters, 3), fmt.Sprintf("%.4f mm per cam degree", l.Velocity(-70*units.CamDegree).MillimetersPerCamDegree()))
	fmt.Println(l.Spec().Opening.Length, l.Motion(-70*units.CamDegree).Acceleration == 0)
	// Output:
	// lobe lift 7.80 mm from -82 cam deg to 92 cam deg
	// opening ramp steady from 0.043 mm to 0.243 mm
	// 0.129 mm 0.0143 mm per cam degree
	// 20 cam deg true
}

func ExampleMotionOf() {
	l, err := workboatRamps()
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := camtiming.MotionOf(l)
	if err != nil {
		fmt.Println(err)
		return
	}
	// By hand: 1/70 mm per cam degree is reached over 6 cam degrees, and then kept.
	for _, a := range []units.CamAngle{-78, -70} {
		p := m.Motion(a * units.CamDegree)
		fmt.Printf("at %d: %.5f mm/cam deg, %.6f mm/cam deg2\n", a, p.Velocity.MillimetersPerCamDegree(), 1000*float64(p.Acceleration))
	}
	// Output:
	// at -78: 0.00952 mm/cam deg, 0.002381 mm/cam deg2
	// at -70: 0.01429 mm/cam deg, 0.000000 mm/cam deg2
}

// Cold the lash is taken up on the ramp; set too wide it is taken up on the
// flank, at several times the velocity.
func ExampleTakeUpOf() {
	l, err := workboatRamps()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, lash := range []string{"0.30 mm", "0.60 mm"} {
		t, err := camtiming.TakeUpOf(camtiming.TakeUpInput{
			Curve: l, Ratio: 1.5, Lash: units.WithU(units.MustParseLength(lash), 10*units.Micrometer),
			Ramps: l.Zones(), Source: units.Source{Text: "the lobe as designed", Provenance: units.Stated},
		})
		if err != nil {
			fmt.Println(err)
			return
		}
		v, _ := t.SeatingSpeed(units.RevolutionsPerMinute(2400))
		fmt.Println(lash, "on the closing ramp:", t.OnClosing.Value.Outcome, fmt.Sprintf("%.2f m/s", v.MetersPerSecond()))
	}
	// Output:
	// 0.30 mm on the closing ramp: within 0.12 m/s
	// 0.60 mm on the closing ramp: outside 0.42 m/s
}

// The steady velocity of a ramp is its height over its length less half the start
// and half the blend, which lies on the flank: 0.3/(20 - 3 + 4) and 0.3/(26 - 3
// + 5) mm per cam degree, times 1.5.
func TestTakeUpWorking(t *testing.T) {
	l := must[*camtiming.RampLobe](t)(workboatRamps())
	take := must[camtiming.TakeUp](t)(camtiming.TakeUpOf(camtiming.TakeUpInput{Curve: l, Ratio: 1.5, Lash: units.WithU(mm(0.3), mm(0.01))}))
	steps := map[string]units.Step{}
	for _, s := range take.Working() {
		steps[s.Symbol] = s
	}
	for symbol, want := range map[string][2]string{
		"impact":    {"1.5 x 0.01429 mm/cam deg at -", "0.02143 mm/cam deg"},
		"touchdown": {"-1.5 x -0.01071 mm/cam deg at ", "0.01607 mm/cam deg"},
		// 2 (0.01/1.5) (21/0.3 + 28/0.3) = 2.178 degrees
		"u": {"u_lash = ", "2.178 crank deg"},
	} {
		s := steps[symbol]
		if !strings.HasPrefix(s.Numbers, want[0]) || s.Value != want[1] || s.Formula == "" || !s.Source.Given() {
			t.Errorf("%s: %+v, want %q", symbol, s, want)
		}
	}
	take = must[camtiming.TakeUp](t)(camtiming.TakeUpOf(camtiming.TakeUpInput{Curve: l, Ratio: 1.5, Lash: units.Unstated(mm(0.3))}))
	for _, s := range take.Working() {
		if s.Symbol == "u" {
			t.Errorf("an uncertainty of nothing stated: %+v", s)
		}
	}
}

func ExampleTakeUp_SeatingSpeed() {
	// 0.02 mm per cam degree at 1000 rpm of the crank: 3000 cam degrees a second.
	t := camtiming.TakeUp{Touchdown: 0.02e-3}
	v, err := t.SeatingSpeed(units.RevolutionsPerMinute(1000))
	fmt.Printf("%.3f m/s %v\n", v.MetersPerSecond(), err)
	// Output: 0.060 m/s <nil>
}

func ExampleHydraulicLifter() {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: units.MustParseLength("7.50 mm"), Opening: 62 * units.CamDegree, Closing: 66 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	h := camtiming.HydraulicLifter{Ratio: 1.5, Collapse: units.MustParseLength("0.08 mm")}
	e, err := h.Event(lobe, units.MustParseLength("0.15 mm"))
	fmt.Println(e.Early.Text(1), "early,", e.LeastLift.Text(units.Millimeters, 2), "to", e.MostLift.Text(units.Millimeters, 2), err)
	// Output: 3.6 crank deg early, 11.13 mm to 11.25 mm <nil>
}

// The opening ramp runs at 0.3/(20 - 3 + 4) mm per cam degree, the closing one at
// 0.3/(26 - 3 + 5); the valve moves 1.5 times as fast.
func ExampleTakeUp_Working() {
	l, err := workboatRamps()
	if err != nil {
		fmt.Println(err)
		return
	}
	t, err := camtiming.TakeUpOf(camtiming.TakeUpInput{Curve: l, Ratio: 1.5, Lash: units.Unstated(units.MustParseLength("0.30 mm"))})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range t.Working()[2:] {
		fmt.Println(s.Symbol, "=", s.Formula, "=", s.Value)
	}
	// Output:
	// impact = ratio x slope at opening = 0.02143 mm/cam deg
	// touchdown = -ratio x slope at closing = 0.01607 mm/cam deg
}

func ExampleHydraulicEvent_Working() {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: units.MustParseLength("7.50 mm"), Opening: 62 * units.CamDegree, Closing: 66 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := camtiming.HydraulicLifter{Ratio: 1.5, Collapse: units.MustParseLength("0.08 mm")}.Event(lobe, units.MustParseLength("0.15 mm"))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range e.Working()[:2] {
		fmt.Println(s.Symbol, "at", s.Formula, "=", s.Numbers)
	}
	// Output:
	// opens at lobe lift checkLift/ratio = 0.1000 mm on the opening flank
	// closes at lobe lift checkLift/ratio + collapse = 0.1000 mm + 0.08 mm on the closing flank
}
