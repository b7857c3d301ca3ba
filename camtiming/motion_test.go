package camtiming_test

import (
	"math"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// shapes are lobes of every kind that has higher derivatives.
func shapes(tb testing.TB) map[string]camtiming.MotionCurve {
	tb.Helper()
	m := map[string]camtiming.MotionCurve{
		"flat": arcs(tb, 15, 4, 8, 65, 0), "roller": arcs(tb, 15, 4, 8, 65, 10), "tangent": tangent(tb),
	}
	for _, law := range append([]camtiming.Law{camtiming.ModifiedTrapezoid, camtiming.EighthDegree}, allLaws...) {
		m["law "+law.String()] = must[*camtiming.LawLobe](tb)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: law, MaxLift: 300 * units.Thou, Opening: cam(66), Closing: cam(71)}))
	}
	for name, how := range map[string]camtiming.Interpolation{"natural": camtiming.NaturalSpline, "not a knot": camtiming.NotAKnotSpline} {
		m["table "+name] = must[*camtiming.TableLobe](tb)(camtiming.NewTableLobe(camtiming.TableLobeSpec{
			Samples: sampled(flanks{camtiming.Poly4567, 300 * units.Thou, 66, 71}, 2, -80, 80), Interpolation: how,
		}))
	}
	m["card of three"] = must[*camtiming.CardLobe](tb)(camtiming.NewCardLobe(workboatLobe))
	one := workboatLobe
	one.Durations = one.Durations[:1]
	m["card of one"] = must[*camtiming.CardLobe](tb)(camtiming.NewCardLobe(one))
	return m
}

// Every rate is the central difference of the one before it, away from the
// places where it jumps; Motion agrees with Lift and Velocity.
func TestMotionDerivatives(t *testing.T) {
	const h = 0.002 // cam degrees
	for name, c := range shapes(t) {
		bad := 0
		for i := -85.0; i <= 85; i += 0.37 {
			lo, at, hi := c.Motion(cam(i-h)), c.Motion(cam(i)), c.Motion(cam(i+h))
			if d := at.Lift - c.Lift(cam(i)); d < -1 || d > 1 || math.Abs(float64(at.Velocity-c.Velocity(cam(i)))) > 1e-18 {
				t.Errorf("%s at %g: Motion %+v against %v, %v", name, i, at, c.Lift(cam(i)), c.Velocity(cam(i)))
			}
			ok := math.Abs((hi.Lift-lo.Lift).Meters()/(2*h)-float64(at.Velocity)) < 1e-8 &&
				math.Abs(float64(hi.Velocity-lo.Velocity)/(2*h)-float64(at.Acceleration)) < 1e-10 &&
				math.Abs(float64(hi.Acceleration-lo.Acceleration)/(2*h)-float64(at.Jerk)) < 1e-10
			if !ok {
				bad++ // beside a jump
			}
		}
		if bad > 3 {
			t.Errorf("%s: rates differ from their differences at %d of 460 places", name, bad)
		}
	}
}

// The peaks against a fine search by brute force.
func TestPeaksAgainstSearch(t *testing.T) {
	for name, c := range shapes(t) {
		p := must[camtiming.Peaks](t)(camtiming.PeaksOf(c))
		var vo, vc, ao, ac, d float64
		s := c.Span()
		for a := s.Opens + 1; a < s.Closes; a += units.CamDegree / 200 {
			m := c.Motion(a)
			v, x := float64(m.Velocity), float64(m.Acceleration)
			vo, vc, d = math.Max(vo, v), math.Min(vc, v), math.Min(d, x)
			if a < 0 {
				ao = math.Max(ao, x)
			} else {
				ac = math.Max(ac, x)
			}
		}
		const tol = 1e-4
		near(t, name+" opening", float64(p.Opening.Value)/vo, 1, tol)
		near(t, name+" closing", float64(p.Closing.Value)/vc, 1, tol)
		near(t, name+" opening acceleration", float64(p.OpeningAcceleration.Value)/ao, 1, 2e-3)
		near(t, name+" closing acceleration", float64(p.ClosingAcceleration.Value)/ac, 1, 2e-3)
		near(t, name+" deceleration", float64(p.Deceleration.Value)/d, 1, 2e-3)
		if p.Opening.At > 0 || p.Closing.At < 0 || p.OpeningAcceleration.At > 0 || p.ClosingAcceleration.At < 0 {
			t.Errorf("%s: peaks on the wrong side: %+v", name, p)
		}
		near(t, name+" place", float64(c.Motion(p.Opening.At).Velocity), float64(p.Opening.Value), 1e-12)
	}
}

// A lobe with its flanks exchanged has its peaks exchanged.
func TestPeaksMirror(t *testing.T) {
	p := must[camtiming.Peaks](t)(camtiming.PeaksOf(flanks{camtiming.Poly4567, 300 * units.Thou, 66, 71}.lobe(t)))
	q := must[camtiming.Peaks](t)(camtiming.PeaksOf(flanks{camtiming.Poly4567, 300 * units.Thou, 71, 66}.lobe(t)))
	near(t, "velocity", float64(p.Opening.Value), -float64(q.Closing.Value), 1e-15)
	near(t, "acceleration", float64(p.OpeningAcceleration.Value), float64(q.ClosingAcceleration.Value), 1e-16)
	near(t, "place", p.Opening.At.Degrees(), -q.Closing.At.Degrees(), 2e-9)
}

// An area against the trapezoidal rule on a fine grid; parts add up; a foreign
// curve has the area of the one it hides.
func TestAreaAgainstTrapezoids(t *testing.T) {
	curves := someLobes(t)
	for name, c := range shapes(t) {
		curves["shape "+name] = c
	}
	for name, c := range curves {
		a := must[camtiming.LobeArea](t)(camtiming.AreaUnder(c, camtiming.AreaSpec{}))
		s := c.Span()
		if _, isTable := c.(*camtiming.TableLobe); isTable { // its own ends, beyond the lobe's
			s = camtiming.Span{Opens: a.From, Closes: a.To}
		}
		if d := a.From - s.Opens; d < -1 || d > 1 {
			t.Errorf("%s: from %v, span %v", name, a.From, s)
		}
		const n = 20000
		sum, step := 0.0, (s.Closes-s.Opens).Degrees()/n
		for i := range n {
			sum += c.Lift(s.Opens+cam((float64(i)+0.5)*step)).Meters() * step
		}
		near(t, name+" area", float64(a.Area)/sum, 1, 1e-6)
		near(t, name+" mean", a.Mean.Meters()*(a.To-a.From).Degrees()/float64(a.Area), 1, 1e-9)
		part := must[camtiming.LobeArea](t)(camtiming.AreaUnder(c, camtiming.AreaSpec{Opens: 50 * units.Thou, Closes: 20 * units.Thou}))
		near(t, name+" from", c.Lift(part.From).Inches(), 0.050, 1e-9)
		near(t, name+" to", c.Lift(part.To).Inches(), 0.020, 1e-9)
		if part.Area >= a.Area || part.Mean <= a.Mean {
			t.Errorf("%s: part %+v of %+v", name, part, a)
		}
	}
	a := must[camtiming.LobeArea](t)(camtiming.AreaUnder(curves["law 3-4-5 polynomial"], camtiming.AreaSpec{}))
	b := must[camtiming.LobeArea](t)(camtiming.AreaUnder(curves["foreign"], camtiming.AreaSpec{}))
	near(t, "foreign", float64(b.Area)/float64(a.Area), 1, 1e-9)
	if got := camtiming.LiftArea(0.5).String(); got != "0.5 m cam deg" {
		t.Error(got)
	}
}

// broken is a curve whose motion breaks its promise.
type broken struct{ *camtiming.LawLobe }

func (broken) Motion(units.CamAngle) camtiming.LobeMotion {
	return camtiming.LobeMotion{Acceleration: units.LiftAcceleration(math.NaN())}
}

func TestBadMotion(t *testing.T) {
	table := func(how camtiming.Interpolation) camtiming.LiftCurve {
		return must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{
			Samples: sampled(flanks{camtiming.Poly345, 300 * units.Thou, 66, 71}, 2, -80, 80), Interpolation: how,
		}))
	}
	good := flanks{camtiming.Poly345, 300 * units.Thou, 66, 71}.lobe(t)
	peaks := func(c camtiming.LiftCurve) func() (any, error) {
		return func() (any, error) { return camtiming.PeaksOf(c) }
	}
	area := func(c camtiming.LiftCurve, s camtiming.AreaSpec) func() (any, error) {
		return func() (any, error) { return camtiming.AreaUnder(c, s) }
	}
	var none *camtiming.ArcLobe
	refuse(t, []bad{
		{"no curve", peaks(nil), "LiftCurve", units.ErrMissing},
		{"nil lobe", peaks(none), "LiftCurve", units.ErrMissing},
		{"monotone table", peaks(table(camtiming.Monotone)), "LiftCurve", units.ErrImpossible},
		{"straight table", peaks(table(camtiming.Straight)), "LiftCurve", units.ErrImpossible},
		{"no motion", peaks(plain{good}), "LiftCurve", units.ErrMissing},
		{"no number", peaks(broken{good}), "LiftCurve.Motion", units.ErrRange},
		{"area of nothing", area(nil, camtiming.AreaSpec{}), "LiftCurve", units.ErrMissing},
		{"negative opening", area(good, camtiming.AreaSpec{Opens: -1}), "Opens", units.ErrRange},
		{"closing at the top", area(good, camtiming.AreaSpec{Closes: 300 * units.Thou}), "Closes", units.ErrRange},
		{"opening overflow", area(good, camtiming.AreaSpec{Opens: most}), "Opens", units.ErrRange},
		{"closing least", area(good, camtiming.AreaSpec{Closes: least}), "Closes", units.ErrRange},
	})
}

func TestMotionDoesNotAllocate(t *testing.T) {
	for name, c := range shapes(t) {
		x := cam(-80)
		if n := testing.AllocsPerRun(1000, func() {
			sinkMotion = c.Motion(x)
			sinkLength = c.Lift(x)
			x += units.CamDegree / 8
		}); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}

var (
	sinkMotion camtiming.LobeMotion
	sinkFlat   camtiming.FlatPoint
	sinkRoller camtiming.RollerPoint
)

func BenchmarkMotion(b *testing.B) {
	for name, c := range shapes(b) {
		var x [64]units.CamAngle
		for i := range x {
			x[i] = cam(float64(i)*2 - 64)
		}
		for _, f := range []struct {
			of   string
			call func(units.CamAngle)
		}{
			{"lift", func(a units.CamAngle) { sinkLength = c.Lift(a) }},
			{"motion", func(a units.CamAngle) { sinkMotion = c.Motion(a) }},
		} {
			b.Run(f.of+"/"+name, func(b *testing.B) {
				i := 0
				b.ReportAllocs()
				for b.Loop() {
					f.call(x[i&63])
					i++
				}
			})
		}
	}
}

func BenchmarkAreaUnder(b *testing.B) {
	c := arcs(b, 15, 4, 8, 65, 0)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.AreaUnder(c, camtiming.AreaSpec{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPeaksOf(b *testing.B) {
	c := arcs(b, 15, 4, 8, 65, 0)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.PeaksOf(c); err != nil {
			b.Fatal(err)
		}
	}
}
