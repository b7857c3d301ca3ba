package camtiming_test

import (
	"math"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// roundCam is an eccentric under a flat face: lift off (1 + cos angle).
type roundCam struct{ off float64 } // meters

func (r roundCam) Motion(a units.CamAngle) camtiming.LobeMotion {
	const k = math.Pi / 180
	sin, cos := math.Sincos(a.Radians())
	return camtiming.LobeMotion{
		Lift: mm(1000 * r.off * (1 + cos)), Velocity: units.LiftVelocity(-r.off * sin * k),
		Acceleration: units.LiftAcceleration(-r.off * cos * k * k), Jerk: units.LiftJerk(r.off * sin * k * k * k),
	}
}
func (r roundCam) Lift(a units.CamAngle) units.Length           { return r.Motion(a).Lift }
func (r roundCam) Velocity(a units.CamAngle) units.LiftVelocity { return r.Motion(a).Velocity }
func (r roundCam) MaxLift() units.Length                        { return mm(2000 * r.off) }
func (r roundCam) Span() camtiming.Span                         { return camtiming.Span{Opens: cam(-180), Closes: cam(180)} }

// A round cam is round: its radius is base plus eccentricity everywhere, its
// contact swings by the eccentricity to both sides.
func TestFlatContactOfRoundCam(t *testing.T) {
	f := must[*camtiming.FlatContact](t)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: roundCam{0.025}, Base: mm(25)}))
	for a := -180.0; a <= 180; a += 5 {
		p := f.At(cam(a))
		near(t, "radius", p.Radius.Millimeters(), 50, 3e-9)
		near(t, "eccentricity", p.Eccentricity.Millimeters(), -25*math.Sin(a*math.Pi/180), 2e-9)
	}
	l := f.Limits()
	near(t, "opening", l.Opening.Length.Millimeters(), 25, 2e-9)
	near(t, "opening at", l.Opening.At.Degrees(), -90, 1e-5)
	near(t, "closing", l.Closing.Length.Millimeters(), -25, 2e-9)
	near(t, "nose", l.NoseRadius.Millimeters(), 50, 2e-9)
	near(t, "flank", l.OpeningFlank.Length.Millimeters(), 50, 3e-9)
	if len(l.Undercut) != 0 {
		t.Errorf("undercut %v", l.Undercut)
	}
}

// curvature of a circle through three points, positive where the path turns
// clockwise, against the cam's turning.
func threePoints(a, b, c [2]float64) float64 {
	cross := (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
	d := math.Hypot(b[0]-a[0], b[1]-a[1]) * math.Hypot(c[0]-b[0], c[1]-b[1]) * math.Hypot(c[0]-a[0], c[1]-a[1])
	return -2 * cross / d
}

// Curvature and pressure angle of a roller against its path in coordinates of
// the cam: the circle through three near points, and the direction between two.
func TestRollerContactAgainstPath(t *testing.T) {
	const base, roller, h = 20.0, 9.0, 0.01
	for name, c := range shapes(t) {
		for _, e := range []float64{0, 4, -4} {
			spec := camtiming.RollerContactSpec{Curve: c, Base: mm(base), Roller: mm(roller), Offset: mm(e)}
			if _, isArc := c.(*camtiming.ArcLobe); isArc {
				spec.Curve = hidden{c} // the lobe under another follower: the formulas do not care
			}
			k := must[*camtiming.RollerContact](t)(camtiming.NewRollerContact(spec))
			bad := 0
			for a := -60.0; a <= 60; a += 1.3 {
				var p [3][2]float64
				for i := range p {
					x := a + float64(i-1)*h
					m := c.Motion(cam(x))
					y := m.Lift.Millimeters()
					// Lift finer than its quantum, from the exact slope.
					if i != 1 {
						m0 := c.Motion(cam(a))
						d := float64(i-1) * h
						y = m0.Lift.Millimeters() + 1000*(float64(m0.Velocity)*d+float64(m0.Acceleration)*d*d/2)
					}
					s := y + math.Sqrt((base+roller)*(base+roller)-e*e)
					sin, cos := math.Sincos(x * math.Pi / 180)
					p[i] = [2]float64{e*cos + s*sin, s*cos - e*sin}
				}
				got := k.At(cam(a))
				want := threePoints(p[0], p[1], p[2])
				near(t, name+" pitch", got.Pitch.PerMillimeter(), want, 1e-6)
				// The path's direction, turned back into the follower's frame.
				dx, dy := p[2][0]-p[0][0], p[2][1]-p[0][1]
				sin, cos := math.Sincos(a * math.Pi / 180)
				near(t, name+" pressure", got.Pressure().Degrees(), math.Atan2(dx*sin+dy*cos, dx*cos-dy*sin)*180/math.Pi, 1e-3)
				if r, ok := got.Pitch.Radius(); ok && r > mm(roller) {
					s, _ := got.Surface.Radius()
					if d := r - mm(roller) - s; d < -1000 || d > 1000 {
						bad++
					}
				}
			}
			if bad > 0 {
				t.Errorf("%s: the surface is not the path less the roller at %d places", name, bad)
			}
		}
	}
}

// hidden hides what kind of lobe a curve is.
type hidden struct{ camtiming.MotionCurve }

// The radius under a flat face against the envelope of its positions: the
// contact points in coordinates of the cam.
func TestFlatContactAgainstEnvelope(t *testing.T) {
	const base, h = 20.0, 0.01
	for name, c := range shapes(t) {
		f := must[*camtiming.FlatContact](t)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: hidden{c}, Base: mm(base)}))
		for a := -60.0; a <= 60; a += 1.3 {
			m := c.Motion(cam(a))
			const k = 180 / math.Pi
			point := func(x float64) [2]float64 { // of the second-order curve about a
				d := x - a
				y := base + m.Lift.Millimeters() + 1000*(float64(m.Velocity)*d+float64(m.Acceleration)*d*d/2)
				e := 1000 * k * (float64(m.Velocity) + float64(m.Acceleration)*d)
				sin, cos := math.Sincos(x * math.Pi / 180)
				return [2]float64{y*sin + e*cos, y*cos - e*sin}
			}
			p, q := point(a-h), point(a+h)
			// The normal turns by as much as the cam: radius = way over angle, with
			// the sign of the way along the face.
			sin, cos := math.Sincos(a * math.Pi / 180)
			way := (q[0]-p[0])*cos - (q[1]-p[1])*sin
			near(t, name+" radius", f.At(cam(a)).Radius.Millimeters(), way/(2*h*math.Pi/180), 1e-4)
		}
	}
}

// The limits against a search by brute force.
func TestContactLimitsAgainstSearch(t *testing.T) {
	for name, c := range shapes(t) {
		f := must[*camtiming.FlatContact](t)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: hidden{c}, Base: mm(25)}))
		k := must[*camtiming.RollerContact](t)(camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: hidden{c}, Base: mm(25), Roller: mm(9)}))
		s := c.Span()
		eMax, eMin, rMin := 0.0, 0.0, math.Inf(1)
		pMax, kMax, kOpen := 0.0, 0.0, math.Inf(1)
		for a := s.Opens + 2; a < s.Closes-1; a += units.CamDegree / 200 {
			p, q := f.At(a), k.At(a)
			eMax, eMin = math.Max(eMax, p.Eccentricity.Millimeters()), math.Min(eMin, p.Eccentricity.Millimeters())
			rMin = math.Min(rMin, p.Radius.Millimeters())
			pMax, kMax = math.Max(pMax, q.Pressure().Degrees()), math.Max(kMax, q.Pitch.PerMillimeter())
			if a < 0 {
				kOpen = math.Min(kOpen, q.Pitch.PerMillimeter())
			}
		}
		l, m := f.Limits(), k.Limits()
		near(t, name+" eccentricity", l.Opening.Length.Millimeters(), eMax, 2e-3)
		near(t, name+" face", l.FaceWidth.Millimeters(), eMax-eMin, 4e-3)
		// A hidden lobe is sampled, and the radius of arcs jumps between samples.
		near(t, name+" least radius", l.LeastRadius.Length.Millimeters(), rMin, 5e-2)
		near(t, name+" pressure", m.Opening.Angle.Degrees(), pMax, 5e-3)
		near(t, name+" pitch radius", m.LeastPitchRadius.Length.Millimeters(), 1/kMax, 3e-2)
		near(t, name+" flank", 1/(1/m.OpeningFlank.Curvature.PerMillimeter()+9), kOpen, 1e-3)
		if m.OpeningFlank.At > 0 || m.ClosingFlank.At < 0 {
			t.Errorf("%s: flanks on the wrong side: %+v", name, m)
		}
		n, _ := m.Nose.Radius()
		p, _ := k.At(0).Surface.Radius()
		if n != p {
			t.Errorf("%s: nose %v, at the nose %v", name, n, p)
		}
	}
}

// Undercut is found where brute force finds it, in one stretch about the nose;
// a larger base takes it away.
func TestUndercut(t *testing.T) {
	l := flanks{camtiming.Harmonic, mm(10), 50, 45}.lobe(t)
	f := must[*camtiming.FlatContact](t)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: l, Base: mm(15)}))
	k := must[*camtiming.RollerContact](t)(camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: l, Base: mm(10), Roller: mm(12)}))
	for name, c := range map[string]struct {
		found []camtiming.Stretch
		bad   func(units.CamAngle) bool
	}{
		"flat":   {f.Limits().Undercut, func(a units.CamAngle) bool { return f.At(a).Radius <= 0 }},
		"roller": {k.Limits().Undercut, func(a units.CamAngle) bool { return k.At(a).Pitch.PerMillimeter()*12 >= 1 }},
	} {
		if len(c.found) != 1 {
			t.Fatalf("%s: %v, want one stretch", name, c.found)
		}
		s := c.found[0]
		for a := -cam(44); a <= cam(44); a += units.CamDegree / 50 {
			if c.bad(a) != (s.From <= a && a <= s.To) {
				t.Errorf("%s at %v: undercut %v, found %v", name, a, c.bad(a), s)
			}
		}
	}
	for _, base := range []float64{75, 90} {
		f := must[*camtiming.FlatContact](t)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: l, Base: mm(base)}))
		k := must[*camtiming.RollerContact](t)(camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: l, Base: mm(base), Roller: mm(12)}))
		if len(f.Limits().Undercut)+len(k.Limits().Undercut) != 0 || f.Limits().LeastRadius.Length <= 0 {
			t.Errorf("base %g: %v, %v", base, f.Limits().Undercut, k.Limits().Undercut)
		}
	}
}

func TestCurvature(t *testing.T) {
	for _, c := range []struct {
		k    camtiming.Curvature
		want units.Length
		ok   bool
	}{{100, mm(10), true}, {-100, mm(-10), true}, {0, 0, false}, {1e-6, 0, false}, {camtiming.Curvature(math.Inf(1)), 0, true}, {camtiming.Curvature(math.NaN()), 0, false}} {
		if r, ok := c.k.Radius(); r != c.want || ok != c.ok {
			t.Errorf("radius of %v: %v, %v, want %v, %v", c.k, r, ok, c.want, c.ok)
		}
	}
	if a, b := camtiming.Curvature(2.5).String(), camtiming.PressureAngle(12.5).String(); a != "2.5 1/m" || b != "12.5 deg" {
		t.Error(a, b)
	}
}

func TestBadContact(t *testing.T) {
	l := flanks{camtiming.Poly345, mm(8), 65, 65}.lobe(t)
	flat := func(c camtiming.LiftCurve, base units.Length) func() (any, error) {
		return func() (any, error) {
			return camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: c, Base: base})
		}
	}
	roller := func(c camtiming.LiftCurve, base, roller, offset units.Length) func() (any, error) {
		return func() (any, error) {
			return camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: c, Base: base, Roller: roller, Offset: offset})
		}
	}
	monotone := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: sampled(flanks{camtiming.Poly345, 300 * units.Thou, 66, 71}, 2, -80, 80)}))
	f := must[*camtiming.FlatContact](t)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: l, Base: mm(15)}))
	width := func(w units.Length) func() (any, error) {
		return func() (any, error) { return f.TappetDiameter(w) }
	}
	refuse(t, []bad{
		{"no curve", flat(nil, mm(15)), "Curve", units.ErrMissing},
		{"no motion", flat(plain{l}, mm(15)), "Curve", units.ErrMissing},
		{"monotone table", flat(monotone, mm(15)), "Curve", units.ErrImpossible},
		{"no base", flat(l, 0), "Base", units.ErrRange},
		{"base overflow", flat(l, most), "Base", units.ErrRange},
		{"base least", flat(l, least), "Base", units.ErrRange},
		{"arcs of another base", flat(arcs(t, 15, 4, 8, 65, 0), mm(16)), "Curve", units.ErrConflict},
		{"arcs under a roller", flat(arcs(t, 15, 4, 8, 65, 10), mm(15)), "Curve", units.ErrConflict},
		{"roller no curve", roller(nil, mm(15), mm(8), 0), "Curve", units.ErrMissing},
		{"roller no base", roller(l, 0, mm(8), 0), "Base", units.ErrRange},
		{"no roller", roller(l, mm(15), 0, 0), "Roller", units.ErrRange},
		{"roller overflow", roller(l, mm(15), most, 0), "Roller", units.ErrRange},
		{"offset as large", roller(l, mm(15), mm(8), mm(23)), "Offset", units.ErrRange},
		{"offset least", roller(l, mm(15), mm(8), least), "Offset", units.ErrRange},
		{"arcs under a flat face", roller(arcs(t, 15, 4, 8, 65, 0), mm(15), mm(8), 0), "Curve", units.ErrConflict},
		{"arcs under another roller", roller(arcs(t, 15, 4, 8, 65, 10), mm(15), mm(8), 0), "Curve", units.ErrConflict},
		{"arcs offset", roller(arcs(t, 15, 4, 8, 65, 10), mm(15), mm(10), 1), "Curve", units.ErrConflict},
		{"width negative", width(-1), "lobeWidth", units.ErrRange},
		{"width overflow", width(most), "lobeWidth", units.ErrRange},
	})
}

func TestContactDoesNotAllocate(t *testing.T) {
	for name, c := range shapes(t) {
		f := must[*camtiming.FlatContact](t)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: hidden{c}, Base: mm(25)}))
		k := must[*camtiming.RollerContact](t)(camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: hidden{c}, Base: mm(25), Roller: mm(9)}))
		x := cam(-80)
		if n := testing.AllocsPerRun(1000, func() {
			sinkFlat, sinkRoller = f.At(x), k.At(x)
			x += units.CamDegree / 8
		}); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
		if len(f.Working()) != 4 || len(k.Working()) != 3 {
			t.Errorf("%s: working %v, %v", name, f.Working(), k.Working())
		}
	}
}

func BenchmarkContact(b *testing.B) {
	l := flanks{camtiming.Poly345, mm(8), 65, 65}.lobe(b)
	f := must[*camtiming.FlatContact](b)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: l, Base: mm(15)}))
	k := must[*camtiming.RollerContact](b)(camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: l, Base: mm(15), Roller: mm(9)}))
	var x [64]units.CamAngle
	for i := range x {
		x[i] = cam(float64(i)*2 - 64)
	}
	b.Run("flat", func(b *testing.B) {
		i := 0
		b.ReportAllocs()
		for b.Loop() {
			sinkFlat = f.At(x[i&63])
			i++
		}
	})
	b.Run("roller", func(b *testing.B) {
		i := 0
		b.ReportAllocs()
		for b.Loop() {
			sinkRoller = k.At(x[i&63])
			i++
		}
	})
	b.Run("limits", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: l, Base: mm(15), Roller: mm(9)}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func TestZeroContacts(t *testing.T) {
	var f camtiming.FlatContact
	var r camtiming.RollerContact
	if f.At(0) != (camtiming.FlatPoint{}) || r.At(0) != (camtiming.RollerPoint{}) || r.AtMotion(camtiming.LobeMotion{}) != (camtiming.RollerPoint{}) {
		t.Error("a contact that nothing made has figures")
	}
}
