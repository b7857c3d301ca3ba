package camtiming_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func arcs(tb testing.TB, base, nose, lift, ascent, roller float64) *camtiming.ArcLobe {
	tb.Helper()
	return must[*camtiming.ArcLobe](tb)(camtiming.NewArcLobe(camtiming.ArcLobeSpec{
		Base: mm(base), Nose: units.Some(mm(nose)), Lift: units.Some(mm(lift)), Ascent: units.Some(cam(ascent)), Roller: mm(roller),
	}))
}

func tangent(tb testing.TB) *camtiming.ArcLobe {
	tb.Helper()
	return must[*camtiming.ArcLobe](tb)(camtiming.NewTangentLobe(camtiming.TangentLobeSpec{
		Base: mm(30), Roller: mm(17.5), Lift: units.Some(mm(17.5)), Ascent: units.Some(cam(75)),
	}))
}

// outline is the cam as a metal part, drawn apart from the library: points of
// the base circle, of one flank and of the nose, start of lift at angle 0 and
// nose at the ascent, in millimeters.
func outline(g camtiming.ArcGeometry) [][2]float64 {
	r1, r3, q := g.Base.Millimeters(), g.Nose.Millimeters(), g.NoseCenter.Millimeters()
	a := g.Ascent.Radians()
	nose := [2]float64{q * math.Cos(a), q * math.Sin(a)}
	var p [][2]float64
	arc := func(c [2]float64, r, from, to float64) {
		const n = 40000
		for i := range n + 1 {
			t := from + (to-from)*float64(i)/n
			p = append(p, [2]float64{c[0] + r*math.Cos(t), c[1] + r*math.Sin(t)})
		}
	}
	arc([2]float64{}, r1, -math.Pi/2, 0)
	end := 0.0 // direction of the normal at the end of the flank
	if g.Straight {
		for i := range 40001 {
			p = append(p, [2]float64{r1, nose[1] * float64(i) / 40000})
		}
	} else {
		r := g.Flank.Millimeters()
		c := [2]float64{r1 - r, 0}
		end = math.Atan2(nose[1], nose[0]-c[0])
		arc(c, r, 0, end)
	}
	arc(nose, r3, end, 2*a-end)
	return p
}

// The lift against the outline: a flat face rests on the point that stands
// farthest out along its travel, a roller on the one that holds its center
// farthest out.
func TestArcLobeAgainstOutline(t *testing.T) {
	lobes := map[string]*camtiming.ArcLobe{
		"flat": arcs(t, 15, 4, 8, 65, 0), "flat sharp": arcs(t, 20, 2.5, 10, 56.5, 0),
		"roller": arcs(t, 15, 4, 8, 65, 10), "small roller": arcs(t, 30, 5, 20, 75, 6), "tangent": tangent(t),
	}
	for name, l := range lobes {
		g := l.Geometry()
		p := outline(g)
		r2 := g.Roller.Millimeters()
		for i := range 26 {
			theta := g.Ascent.Degrees() * float64(i) / 25
			sin, cos := math.Sincos(theta * math.Pi / 180)
			out := math.Inf(-1)
			for _, q := range p {
				along, across := q[0]*cos+q[1]*sin, q[1]*cos-q[0]*sin
				switch {
				case r2 == 0:
					out = math.Max(out, along)
				case math.Abs(across) < r2:
					out = math.Max(out, along+math.Sqrt(r2*r2-across*across))
				}
			}
			want := out - g.Base.Millimeters() - r2
			near(t, name+" opening", l.Lift(cam(theta)-g.Ascent).Millimeters(), want, 2e-6)
			near(t, name+" closing", l.Lift(g.Ascent-cam(theta)).Millimeters(), want, 2e-6)
		}
	}
}

// Lift and velocity are continuous where flank and nose meet and the
// acceleration jumps; the lobe mirrors; beyond the ends it rests.
func TestArcLobeJoints(t *testing.T) {
	for name, l := range map[string]*camtiming.ArcLobe{"flat": arcs(t, 30, 5, 20, 75, 0), "roller": arcs(t, 15, 4, 8, 65, 10), "tangent": tangent(t)} {
		g := l.Geometry()
		at := g.FlankAngle - g.Ascent
		lo, hi := l.Motion(at-10), l.Motion(at+10)
		near(t, name+" lift", lo.Lift.Millimeters(), hi.Lift.Millimeters(), 1e-5)
		near(t, name+" velocity", float64(lo.Velocity), float64(hi.Velocity), 1e-10)
		if !(lo.Acceleration > 0 && hi.Acceleration < 0) {
			t.Errorf("%s: acceleration %v to %v, want a jump through 0", name, lo.Acceleration, hi.Acceleration)
		}
		near(t, name+" flank lift", g.FlankLift.Millimeters(), lo.Lift.Millimeters(), 1e-5)
		if s := l.Span(); s.Opens != -g.Ascent || s.Closes != g.Ascent || l.MaxLift() != l.Lift(0) {
			t.Errorf("%s: span %v, lift at the nose %v, greatest %v", name, s, l.Lift(0), l.MaxLift())
		}
		for i := -90.0; i <= 90; i += 0.5 {
			a, b := l.Motion(cam(i)), l.Motion(cam(-i))
			if i != 0 && (a.Lift != b.Lift || a.Velocity != -b.Velocity || a.Acceleration != b.Acceleration || a.Jerk != -b.Jerk) {
				t.Errorf("%s at %g: %+v and %+v are no mirror images", name, i, a, b)
			}
			if d := a.Lift - l.Lift(cam(i)); d < -1 || d > 1 || math.Abs(float64(a.Velocity-l.Velocity(cam(i)))) > 1e-18 {
				t.Errorf("%s at %g: Motion differs from Lift and Velocity", name, i)
			}
		}
		if m := l.Motion(g.Ascent + 1); m != (camtiming.LobeMotion{}) {
			t.Errorf("%s: motion %+v on the base circle", name, m)
		}
	}
}

// Any three of the four give the fourth, any two of the three of a tangent lobe
// the third, over random shapes.
func TestArcLobeSolves(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 8))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	made := 0
	for range 2000 {
		spec := camtiming.ArcLobeSpec{
			Base: mm(between(10, 30)), Nose: units.Some(mm(between(1, 9))), Lift: units.Some(mm(between(3, 15))), Ascent: units.Some(cam(between(40, 85))),
		}
		if r.IntN(2) == 0 {
			spec.Roller = mm(between(3, 20))
		}
		l, err := camtiming.NewArcLobe(spec)
		if err != nil {
			continue // a hollow flank would be needed
		}
		g := l.Geometry()
		if g.Flank > units.Meter {
			continue // nearly straight: the flank fixes nothing
		}
		made++
		flank := units.Some(g.Flank)
		for name, s := range map[string]camtiming.ArcLobeSpec{
			"nose":   {Base: spec.Base, Roller: spec.Roller, Flank: flank, Lift: spec.Lift, Ascent: spec.Ascent},
			"lift":   {Base: spec.Base, Roller: spec.Roller, Flank: flank, Nose: spec.Nose, Ascent: spec.Ascent},
			"ascent": {Base: spec.Base, Roller: spec.Roller, Flank: flank, Nose: spec.Nose, Lift: spec.Lift},
		} {
			h := must[*camtiming.ArcLobe](t)(camtiming.NewArcLobe(s)).Geometry()
			near(t, name+" nose", h.Nose.Millimeters(), g.Nose.Millimeters(), 1e-5)
			near(t, name+" lift", h.Lift.Millimeters(), g.Lift.Millimeters(), 1e-5)
			near(t, name+" ascent", h.Ascent.Degrees(), g.Ascent.Degrees(), 1e-4)
			near(t, name+" flank angle", h.FlankAngle.Degrees(), g.FlankAngle.Degrees(), 1e-4)
		}
	}
	if made < 300 {
		t.Errorf("only %d shapes made", made)
	}
	g := tangent(t).Geometry()
	for name, s := range map[string]camtiming.TangentLobeSpec{
		"lift":   {Base: g.Base, Roller: g.Roller, Nose: units.Some(g.Nose), Ascent: units.Some(g.Ascent)},
		"ascent": {Base: g.Base, Roller: g.Roller, Nose: units.Some(g.Nose), Lift: units.Some(g.Lift)},
	} {
		h := must[*camtiming.ArcLobe](t)(camtiming.NewTangentLobe(s)).Geometry()
		near(t, name, h.Lift.Millimeters(), g.Lift.Millimeters(), 1e-7)
		near(t, name, h.Ascent.Degrees(), g.Ascent.Degrees(), 1e-6)
	}
}

// A flank that grows without end comes to the tangent lobe.
func TestArcLobeTowardTangent(t *testing.T) {
	g := tangent(t).Geometry()
	l := must[*camtiming.ArcLobe](t)(camtiming.NewArcLobe(camtiming.ArcLobeSpec{
		Base: g.Base, Roller: g.Roller, Flank: units.Some(100 * units.Meter), Lift: units.Some(g.Lift), Ascent: units.Some(g.Ascent),
	}))
	for a := -75.0; a <= 75; a++ {
		near(t, "lift", l.Lift(cam(a)).Millimeters(), tangent(t).Lift(cam(a)).Millimeters(), 2e-2)
	}
}

// A lobe of arcs serves a cam: the advance comes back from the heights.
func TestArcLobeInCam(t *testing.T) {
	l := arcs(t, 15, 4, 8, 65, 0)
	c := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: l, Exhaust: l, Separation: cam(110)}))
	for adv := -10.0; adv <= 10; adv++ {
		inv := must[camtiming.Inversion](t)(c.Advance(c.At(crank(adv)).Difference))
		near(t, "advance", inv.Advance.Degrees(), adv, 1e-6)
	}
	var was units.CrankAngle = most
	for at := 0.1; at < 7.95; at += 0.1 {
		o := must[camtiming.Opening](t)(camtiming.OpeningAt(l, mm(at)))
		if o.Duration >= was || o.Midpoint != 0 {
			t.Errorf("at %g mm: duration %v, midpoint %v", at, o.Duration, o.Midpoint)
		}
		was = o.Duration
		near(t, "lift at the opening", l.Lift(o.Opens).Millimeters(), at, 2e-9)
	}
}

func TestArcLobeWorking(t *testing.T) {
	for want, l := range map[int]*camtiming.ArcLobe{3: arcs(t, 15, 4, 8, 65, 0), 2: arcs(t, 15, 4, 8, 65, 10)} {
		if w := l.Geometry().Working(); len(w) != want {
			t.Errorf("%d steps, want %d: %v", len(w), want, w)
		}
	}
	if w := tangent(t).Geometry().Working(); len(w) != 3 || w[1].Value != "75.000 cam deg" || w[2].Value != "25.647 cam deg" {
		t.Errorf("working of the tangent lobe: %v", w)
	}
}

func TestBadArcLobes(t *testing.T) {
	good := camtiming.ArcLobeSpec{Base: mm(15), Nose: units.Some(mm(4)), Lift: units.Some(mm(8)), Ascent: units.Some(cam(65))}
	a := func(f func(*camtiming.ArcLobeSpec)) func() (any, error) {
		s := good
		f(&s)
		return func() (any, error) { return camtiming.NewArcLobe(s) }
	}
	none, noAngle := units.Optional[units.Length]{}, units.Optional[units.CamAngle]{}
	tan := camtiming.TangentLobeSpec{Base: mm(30), Roller: mm(17.5), Lift: units.Some(mm(17.5)), Ascent: units.Some(cam(75))}
	g := func(f func(*camtiming.TangentLobeSpec)) func() (any, error) {
		s := tan
		f(&s)
		return func() (any, error) { return camtiming.NewTangentLobe(s) }
	}
	const four, three = "Flank, Nose, Lift, Ascent", "Nose, Lift, Ascent"
	refuse(t, []bad{
		{"no base", a(func(s *camtiming.ArcLobeSpec) { s.Base = 0 }), "Base", units.ErrRange},
		{"base overflow", a(func(s *camtiming.ArcLobeSpec) { s.Base = most }), "Base", units.ErrRange},
		{"base least", a(func(s *camtiming.ArcLobeSpec) { s.Base = least }), "Base", units.ErrRange},
		{"negative roller", a(func(s *camtiming.ArcLobeSpec) { s.Roller = -1 }), "Roller", units.ErrRange},
		{"roller overflow", a(func(s *camtiming.ArcLobeSpec) { s.Roller = most }), "Roller", units.ErrRange},
		{"two given", a(func(s *camtiming.ArcLobeSpec) { s.Nose = none }), four, units.ErrMissing},
		{"one given", a(func(s *camtiming.ArcLobeSpec) { s.Nose, s.Ascent = none, noAngle }), four, units.ErrMissing},
		{"four given", a(func(s *camtiming.ArcLobeSpec) { s.Flank = units.Some(mm(55)) }), four, units.ErrConflict},
		{"no nose", a(func(s *camtiming.ArcLobeSpec) { s.Nose = units.Some(mm(0)) }), "Nose", units.ErrRange},
		{"lift negative", a(func(s *camtiming.ArcLobeSpec) { s.Lift = units.Some(mm(-8)) }), "Lift", units.ErrRange},
		{"lift overflow", a(func(s *camtiming.ArcLobeSpec) { s.Lift = units.Some(units.Length(most)) }), "Lift", units.ErrRange},
		{"flank negative", a(func(s *camtiming.ArcLobeSpec) { s.Nose, s.Flank = none, units.Some(mm(-55)) }), "Flank", units.ErrRange},
		{"ascent zero", a(func(s *camtiming.ArcLobeSpec) { s.Ascent = units.Some(cam(0)) }), "Ascent", units.ErrRange},
		{"ascent half a turn", a(func(s *camtiming.ArcLobeSpec) { s.Ascent = units.Some(cam(180)) }), "Ascent", units.ErrRange},
		{"ascent least", a(func(s *camtiming.ArcLobeSpec) { s.Ascent = units.Some(units.CamAngle(least)) }), "Ascent", units.ErrRange},
		{"hollow flank", a(func(s *camtiming.ArcLobeSpec) { s.Ascent = units.Some(cam(40)) }), "Flank", units.ErrImpossible},
		{"flank under the base", a(func(s *camtiming.ArcLobeSpec) { s.Nose, s.Flank = none, units.Some(mm(14)) }), "Flank", units.ErrImpossible},
		{"flank too small", a(func(s *camtiming.ArcLobeSpec) { s.Nose, s.Flank = none, units.Some(mm(16)) }), "Flank", units.ErrImpossible},
		{"flank and nose too far apart", a(func(s *camtiming.ArcLobeSpec) { s.Ascent, s.Flank = noAngle, units.Some(mm(17)) }), "Ascent", units.ErrImpossible},
		{"nose larger than the lobe", a(func(s *camtiming.ArcLobeSpec) { s.Nose = units.Some(mm(25)) }), "Flank", units.ErrImpossible},

		{"tangent no base", g(func(s *camtiming.TangentLobeSpec) { s.Base = 0 }), "Base", units.ErrRange},
		{"tangent no roller", g(func(s *camtiming.TangentLobeSpec) { s.Roller = 0 }), "Roller", units.ErrRange},
		{"tangent one given", g(func(s *camtiming.TangentLobeSpec) { s.Ascent = noAngle }), three, units.ErrMissing},
		{"tangent three given", g(func(s *camtiming.TangentLobeSpec) { s.Nose = units.Some(mm(23.889)) }), three, units.ErrConflict},
		{"tangent nose negative", g(func(s *camtiming.TangentLobeSpec) { s.Lift, s.Nose = none, units.Some(mm(-2)) }), "Nose", units.ErrRange},
		{"tangent too steep", g(func(s *camtiming.TangentLobeSpec) { s.Ascent = units.Some(cam(30)) }), "Nose", units.ErrImpossible},
		{"tangent right angle", g(func(s *camtiming.TangentLobeSpec) {
			s.Lift, s.Nose, s.Ascent = none, units.Some(mm(30)), units.Some(cam(90))
		}), "Lift", units.ErrImpossible},
		{"tangent nose over the lobe", g(func(s *camtiming.TangentLobeSpec) { s.Ascent, s.Nose = noAngle, units.Some(mm(60)) }), "Ascent", units.ErrImpossible},
	})
}

// Whatever the figures, a lobe is refused or whole: no NaN, rising to its nose,
// no higher than it says.
func FuzzArcLobe(f *testing.F) {
	f.Add(int64(15e9), int64(0), int64(0), int64(4e9), int64(8e9), int64(130e9), uint8(0))
	f.Add(int64(15e9), int64(10e9), int64(55e9), int64(4e9), int64(8e9), int64(130e9), uint8(1))
	f.Add(int64(30e9), int64(17e9), int64(0), int64(24e9), int64(17e9), int64(150e9), uint8(6))
	f.Add(int64(30e9), int64(17e9), int64(90e9), int64(4e9), int64(17e9), int64(150e9), uint8(0x82))
	f.Fuzz(func(t *testing.T, base, roller, flank, nose, lift, ascent int64, out uint8) {
		if out&0x80 != 0 { // sizes of an engine, where more lobes can be made
			for _, x := range []*int64{&base, &roller, &nose, &lift} {
				*x %= 60e9
			}
			flank, ascent = flank%400e9, ascent%360e9
		}
		l := func(x int64) units.Optional[units.Length] { return units.Some(units.Length(x)) }
		s := camtiming.ArcLobeSpec{Base: units.Length(base), Roller: units.Length(roller), Flank: l(flank), Nose: l(nose), Lift: l(lift), Ascent: units.Some(units.CamAngle(ascent))}
		var lobe *camtiming.ArcLobe
		var err error
		switch out % 7 {
		case 0:
			s.Flank.Given = false
			lobe, err = camtiming.NewArcLobe(s)
		case 1:
			s.Nose.Given = false
			lobe, err = camtiming.NewArcLobe(s)
		case 2:
			s.Lift.Given = false
			lobe, err = camtiming.NewArcLobe(s)
		case 3:
			s.Ascent.Given = false
			lobe, err = camtiming.NewArcLobe(s)
		default:
			g := camtiming.TangentLobeSpec{Base: s.Base, Roller: s.Roller, Nose: s.Nose, Lift: s.Lift, Ascent: s.Ascent}
			g.Nose.Given, g.Lift.Given, g.Ascent.Given = out%7 != 4, out%7 != 5, out%7 != 6
			lobe, err = camtiming.NewTangentLobe(g)
		}
		if err != nil {
			if lobe != nil {
				t.Fatal("a lobe beside an error")
			}
			return
		}
		g, was := lobe.Geometry(), units.Length(-1)
		if g.FlankAngle > g.Ascent {
			t.Fatalf("flank angle over the ascent: %+v", g)
		}
		for i := range 65 {
			a := -g.Ascent + units.CamAngle(float64(g.Ascent)*float64(i)/64)
			m := lobe.Motion(a)
			for _, x := range [...]float64{float64(m.Velocity), float64(m.Acceleration), float64(m.Jerk)} {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Fatalf("%+v at %v: %+v", g, a, m)
				}
			}
			if m.Lift < was-2 || m.Lift < 0 || m.Lift > g.Lift+1 {
				t.Fatalf("%+v at %v: lift %v after %v", g, a, m.Lift, was)
			}
			was = m.Lift
		}
	})
}
