package valvetrain_test

import (
	"math"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func fingerLobe(tb testing.TB) *camtiming.LawLobe {
	tb.Helper()
	return must[*camtiming.LawLobe](tb)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly345, MaxLift: mm(5), Opening: 72 * units.CamDegree, Closing: 76 * units.CamDegree}))
}

// boatFinger is a finger with its pivot at the end; figures invented.
func boatFinger(tb testing.TB) valvetrain.FingerSpec {
	tb.Helper()
	return valvetrain.FingerSpec{
		Finger: valvetrain.Finger{
			Pivot: pt(-32, -31), CamArm: mm(33), TipArm: mm(48), Between: deg(-4), CamRadius: mm(10), TipRadius: mm(8),
			Valve: valvetrain.Track{At: pt(16, -38.2), Direction: deg(-90)},
		},
		Turn: valvetrain.TurnsCounterclockwise, CamSide: valvetrain.LeftSide, Lobe: fingerLobe(tb), Base: mm(18),
	}
}

// centerFinger has its pivot between cam and valve: the cam pushes its end up.
func centerFinger(tb testing.TB) valvetrain.FingerSpec {
	tb.Helper()
	return valvetrain.FingerSpec{
		Finger: valvetrain.Finger{
			Pivot: pt(33, 24), CamArm: mm(33), TipArm: mm(40), Between: deg(-168), CamRadius: mm(9), TipRadius: mm(10),
			Valve: valvetrain.Track{At: pt(72.5, 16.5), Direction: deg(-88)},
		},
		Turn: valvetrain.TurnsClockwise, CamSide: valvetrain.LeftSide, Lobe: fingerLobe(tb), Base: mm(18),
	}
}

// camSection is the profile of a cam as a polar function by brute force: it tells
// how far a point is from the profile.
type camSection struct {
	lobe      *camtiming.LawLobe
	base      float64
	roller    float64 // of the lobe's follower
	clockwise bool
}

// profile returns a point of the cam with its nose along x, turning as told.
func (c camSection) profile(p float64) (x, y float64) {
	a := units.CamAngle(math.RoundToEven(p * float64(units.CamDegree)))
	lift, slope := c.lobe.Lift(a).Millimeters(), float64(c.lobe.Velocity(a))*1000*180/math.Pi
	// Material that meets the follower later lies behind: at -p for a cam that
	// turns counterclockwise.
	w := -p * math.Pi / 180
	if c.roller == 0 {
		x = (c.base+lift)*math.Cos(w) + slope*math.Sin(w)
		y = (c.base+lift)*math.Sin(w) - slope*math.Cos(w)
	} else {
		r := c.base + c.roller + lift
		// Center of the roller, and back along the normal of its path.
		nx, ny := r*math.Cos(w)-slope*math.Sin(w), r*math.Sin(w)+slope*math.Cos(w)
		d := math.Hypot(nx, ny)
		x, y = r*math.Cos(w)-c.roller*nx/d, r*math.Sin(w)-c.roller*ny/d
	}
	if c.clockwise {
		y = -y
	}
	return x, y
}

// distance is the least distance of a point, given in the cam's axes, from the cam.
func (c camSection) distance(x, y float64) float64 {
	at := func(p float64) float64 { px, py := c.profile(p); return math.Hypot(px-x, py-y) }
	best, near := math.Inf(1), 0.0
	for p := -180.0; p < 180; p++ {
		if d := at(p); d < best {
			best, near = d, p
		}
	}
	lo, hi := near-1, near+1
	for range 60 {
		a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
		if at(a) < at(b) {
			hi = b
		} else {
			lo = a
		}
	}
	return min(best, at((lo+hi)/2))
}

// fingerLift turns the cam, lets the finger down on it by bisection, and returns the
// travel past the closed valve.
func fingerLift(s valvetrain.FingerSpec, c camSection, turn float64) float64 {
	f := s.Finger
	px, py := f.Pivot.X.Millimeters(), f.Pivot.Y.Millimeters()
	arm, rho := f.CamArm.Millimeters(), f.CamRadius.Millimeters()
	cs, sn := math.Cos(turn), math.Sin(turn)
	room := func(b float64) float64 {
		x, y := px+arm*math.Cos(b), py+arm*math.Sin(b)
		return c.distance(x*cs+y*sn, -x*sn+y*cs) - rho
	}
	// From the cam's axis outward on the pad's side of the line.
	toCam := math.Atan2(-py, -px)
	// Seen from the pivot the line to the axis points the other way: left of the
	// line from axis to pivot is right of it here, clockwise.
	open := 1.0
	if s.CamSide == valvetrain.RightSide {
		open = -1
	}
	lo, hi := 0.05, 2.2
	for range 70 {
		m := (lo + hi) / 2
		if room(toCam-open*m) < 0 {
			lo = m
		} else {
			hi = m
		}
	}
	b := toCam - open*(lo+hi)/2
	cx, cy := px+f.TipArm.Millimeters()*math.Cos(b+float64(f.Between)), py+f.TipArm.Millimeters()*math.Sin(b+float64(f.Between))
	dx, dy := math.Cos(float64(f.Valve.Direction)), math.Sin(float64(f.Valve.Direction))
	return (cx-f.Valve.At.X.Millimeters())*dx + (cy-f.Valve.At.Y.Millimeters())*dy + f.TipRadius.Millimeters()
}

// noseTurn is the cam's turn at which the nose meets the pad: the pad's center in one
// line with axis and nose, by the law of cosines.
func noseTurn(s valvetrain.FingerSpec) float64 {
	f := s.Finger
	px, py := f.Pivot.X.Millimeters(), f.Pivot.Y.Millimeters()
	m, r := math.Hypot(px, py), s.Base.Millimeters()+s.Lobe.MaxLift().Millimeters()+f.CamRadius.Millimeters()
	a := math.Acos((m*m + r*r - f.CamArm.Millimeters()*f.CamArm.Millimeters()) / (2 * m * r))
	if s.CamSide == valvetrain.RightSide {
		a = -a
	}
	return math.Atan2(py, px) + a
}

func TestFingerAgainstSearch(t *testing.T) {
	rollerEnd, otherRoller := boatFinger(t), boatFinger(t)
	rollerEnd.Roller = mm(10)
	otherRoller.Roller = mm(14)
	rollerCenter := centerFinger(t)
	rollerCenter.Roller = mm(12)
	endClockwise := boatFinger(t)
	endClockwise.Turn = valvetrain.TurnsClockwise
	for name, s := range map[string]valvetrain.FingerSpec{
		"end": boatFinger(t), "end, clockwise": endClockwise, "end, roller": rollerEnd, "end, another roller": otherRoller, "center": centerFinger(t), "center, roller": rollerCenter,
	} {
		t.Run(name, func(t *testing.T) {
			c := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(s))
			cam := camSection{lobe: s.Lobe.(*camtiming.LawLobe), base: s.Base.Millimeters(), roller: s.Roller.Millimeters(), clockwise: s.Turn == valvetrain.TurnsClockwise}
			zero, way := noseTurn(s), 1.0
			if cam.clockwise {
				way = -1
			}
			for x := -80.0; x <= 80; x += 7.3 {
				want := fingerLift(s, cam, zero+way*x*math.Pi/180)
				st := must[valvetrain.FingerState](t)(c.At(atCam(x)))
				if d := (st.Lift - st.Gap).Millimeters() - want; math.Abs(d) > 1e-6 {
					t.Fatalf("at %v: %v mm, by search %v", x, (st.Lift - st.Gap).Millimeters(), want)
				}
				if c.Lift(atCam(x)) != st.Lift && (c.Lift(atCam(x))-st.Lift).Abs() > 2 {
					t.Fatalf("lift %v and %v", c.Lift(atCam(x)), st.Lift)
				}
			}
			if d := c.MaxLift().Millimeters() - fingerLift(s, cam, zero); math.Abs(d) > 1e-6 {
				t.Fatalf("greatest lift off by %v", d)
			}
			span := c.Span()
			for _, a := range []units.CamAngle{span.Opens, span.Closes} {
				if l := fingerLift(s, cam, zero+way*a.Radians()); math.Abs(l) > 1e-6 {
					t.Fatalf("lift of %v at the end of the span", l)
				}
			}
			const e = 2e-3
			for f := 0.02; f < 1; f += 0.0317 {
				x := span.Opens.Degrees() + f*(span.Closes-span.Opens).Degrees()
				if math.Abs(x) < 2*e {
					continue
				}
				m := byDifferences(t, c, x, e, 1e-5, 1e-4)
				if v := c.Velocity(atCam(x)); math.Abs(float64(v-m.Velocity)) > 1e-13 {
					t.Fatalf("velocity %v and %v", v, m.Velocity)
				}
			}
			must[camtiming.Peaks](t)(camtiming.PeaksOf(c))
			// Virtual work: the power of the cam's normal force, whose arm about the
			// cam's axis is the eccentricity y', is that at the valve.
			if s.Roller == 0 {
				st := must[valvetrain.FingerState](t)(c.At(atCam(-30)))
				if !(st.Lever > 0) || st.Turn <= 0 {
					t.Fatalf("%+v", st)
				}
			}
		})
	}
}

// A finger whose pivot is far away moves its pad in a straight line: with a roller
// of the lobe's own radius the valve sees the lobe times the ratio of the arms.
func TestFingerLimit(t *testing.T) {
	lobe := fingerLobe(t)
	s := valvetrain.FingerSpec{
		Finger: valvetrain.Finger{
			Pivot: pt(-9000, -28), CamArm: mm(9000), TipArm: mm(9000), Between: deg(0), CamRadius: mm(10),
			Valve: valvetrain.Track{At: pt(0, -28), Direction: deg(-90)},
		},
		Turn: valvetrain.TurnsCounterclockwise, CamSide: valvetrain.LeftSide, Lobe: lobe, Base: mm(18), Roller: mm(10),
	}
	c := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(s))
	for x := -70.0; x < 76; x += 5 {
		if d := (c.Lift(atCam(x)) - lobe.Lift(atCam(x))).Abs(); d > mm(0.01) {
			t.Errorf("at %v: %v, lobe %v", x, c.Lift(atCam(x)), lobe.Lift(atCam(x)))
		}
	}
	st := must[valvetrain.FingerState](t)(c.At(0))
	near(t, "lever", st.Lever, 1, 1e-3)
}

// At the end of the lobe and past it the finger stands as on the base circle,
// whatever the proportions.
func TestFingerPastLobe(t *testing.T) {
	for i := range 100 {
		s := boatFinger(t)
		s.Lobe = lawOf(t, camtiming.Poly345, 5, 72+0.03*float64(i), 76-0.07*float64(i))
		c := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(s))
		rest := must[valvetrain.FingerState](t)(c.At(-120 * units.CamDegree))
		for _, a := range []float64{-90, 90, 170} {
			past := must[valvetrain.FingerState](t)(c.At(camDeg(a)))
			if d := past.Gap - rest.Gap; past.Lift != 0 || d < -5 || d > 5 {
				t.Errorf("lobe %d at %v: %+v, before the lobe %+v", i, a, past, rest)
			}
		}
	}
}

func TestFingerRefuses(t *testing.T) {
	good := boatFinger(t)
	curve := func(s valvetrain.FingerSpec) (*valvetrain.FingerCurve, error) { return valvetrain.NewFingerCurve(s) }
	spec := func(f func(*valvetrain.FingerSpec)) func() (any, error) { return with(good, f, curve) }
	refuse(t, []bad{
		{"nothing", spec(func(s *valvetrain.FingerSpec) { *s = valvetrain.FingerSpec{} }), "Lobe", units.ErrMissing},
		{"nil lobe", spec(func(s *valvetrain.FingerSpec) { s.Lobe = (*camtiming.LawLobe)(nil) }), "Lobe", units.ErrMissing},
		{"no arm", spec(func(s *valvetrain.FingerSpec) { s.Finger.CamArm = 0 }), "Finger.CamArm", units.ErrMissing},
		{"negative arm", spec(func(s *valvetrain.FingerSpec) { s.Finger.TipArm = -1 }), "Finger.TipArm", units.ErrRange},
		{"no pad", spec(func(s *valvetrain.FingerSpec) { s.Finger.CamRadius = 0 }), "Finger.CamRadius", units.ErrMissing},
		{"tip", spec(func(s *valvetrain.FingerSpec) { s.Finger.TipRadius = -1 }), "Finger.TipRadius", units.ErrRange},
		{"angle", spec(func(s *valvetrain.FingerSpec) { s.Finger.Between = valvetrain.PlaneAngle(nan) }), "Finger.Between", units.ErrRange},
		{"valve", spec(func(s *valvetrain.FingerSpec) { s.Finger.Valve.Direction = valvetrain.PlaneAngle(inf) }), "Finger.Valve.Direction", units.ErrRange},
		{"far valve", spec(func(s *valvetrain.FingerSpec) { s.Finger.Valve.At.Y = most }), "Finger.Valve.At.Y", units.ErrRange},
		{"far cam", spec(func(s *valvetrain.FingerSpec) { s.CamCenter.X = most }), "CamCenter.X", units.ErrRange},
		{"pivot", spec(func(s *valvetrain.FingerSpec) { s.Finger.Pivot.X = most }), "Finger.Pivot.X", units.ErrRange},
		{"no base", spec(func(s *valvetrain.FingerSpec) { s.Base = 0 }), "Base", units.ErrMissing},
		{"roller", spec(func(s *valvetrain.FingerSpec) { s.Roller = -1 }), "Roller", units.ErrRange},
		{"turn", spec(func(s *valvetrain.FingerSpec) { s.Turn = 0 }), "Turn", units.ErrMissing},
		{"side", spec(func(s *valvetrain.FingerSpec) { s.CamSide = 3 }), "CamSide", units.ErrMissing},
		{"pivot in the cam", spec(func(s *valvetrain.FingerSpec) { s.CamCenter = s.Finger.Pivot }), "Finger.Pivot", units.ErrImpossible},
		{"short arm", spec(func(s *valvetrain.FingerSpec) { s.Finger.CamArm = mm(5) }), "Finger.CamArm", units.ErrImpossible},
		{"undercut", spec(func(s *valvetrain.FingerSpec) { s.Base = mm(5) }), "Base", units.ErrImpossible},
		{"tip behind the pivot", spec(func(s *valvetrain.FingerSpec) { s.Finger.Between = deg(170) }), "Finger.Between", units.ErrImpossible},
		{"held open", spec(func(s *valvetrain.FingerSpec) { s.Finger.Valve.At.Y += mm(6) }), "Finger.Pivot", units.ErrConflict},
		{"all lash", spec(func(s *valvetrain.FingerSpec) { s.Finger.Valve.At.Y -= mm(20) }), "Finger.Valve", units.ErrRange},
		{"upside down", spec(func(s *valvetrain.FingerSpec) { s.Finger.Valve.Direction = deg(90); s.Finger.Valve.At.Y = 0 }), "Finger", units.ErrImpossible},
		{"far angle", one(func() (valvetrain.FingerState, error) {
			return must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(good)).At(181 * units.CamDegree)
		}), "fromNose", units.ErrRange},
		{"zero curve", one(func() (valvetrain.FingerState, error) { return (&valvetrain.FingerCurve{}).At(0) }), "FingerCurve", units.ErrMissing},
	})
	for _, c := range []*valvetrain.FingerCurve{nil, {}} {
		if c.Lift(0) != 0 || c.Velocity(0) != 0 || c.Motion(0) != (camtiming.LobeMotion{}) || c.MaxLift() != 0 || c.Span() != (camtiming.Span{}) {
			t.Error("the zero curve moves")
		}
	}
	if valvetrain.TurnsClockwise.String() != "clockwise" || valvetrain.TurnsCounterclockwise.String() != "counterclockwise" || valvetrain.CamTurn(0).String() != "none" ||
		valvetrain.LeftSide.String() != "left" || valvetrain.RightSide.String() != "right" || valvetrain.Side(0).String() != "none" {
		t.Error("names")
	}
}

func BenchmarkFinger(b *testing.B) {
	c := must[*valvetrain.FingerCurve](b)(valvetrain.NewFingerCurve(boatFinger(b)))
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
	run("Motion", func(a units.CamAngle) { c.Motion(a) })
	b.Run("New", func(b *testing.B) {
		s := boatFinger(b)
		b.ReportAllocs()
		for b.Loop() {
			_, _ = valvetrain.NewFingerCurve(s)
		}
	})
}

func TestFingerDoesNotAllocate(t *testing.T) {
	c := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(boatFinger(t)))
	if n := testing.AllocsPerRun(100, func() {
		_, _, _ = c.Lift(atCam(20)), c.Velocity(atCam(20)), c.Motion(atCam(20))
		_, _ = c.At(atCam(10))
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// hidden is a lobe of another package: where its pieces join is not known.
type hidden struct{ camtiming.MotionCurve }

// A lobe whose acceleration jumps at joins that are not known gives the same finger
// as with them known, and the derivatives of all kinds of lobes go together.
func TestFingerOfHiddenJoins(t *testing.T) {
	arcs := must[*camtiming.ArcLobe](t)(camtiming.NewArcLobe(camtiming.ArcLobeSpec{Base: mm(18), Lift: units.Some(mm(5)), Nose: units.Some(mm(5)), Ascent: units.Some(atCam(66))}))
	// The contact of a lobe of arcs is known by its type alone: it stays out.
	for name, lobe := range map[string]camtiming.MotionCurve{"3-4-5": fingerLobe(t), "sine": lawOf(t, camtiming.ModifiedSine, 5, 70, 75), "harmonic": lawOf(t, camtiming.Harmonic, 5, 75, 80)} {
		s := boatFinger(t)
		s.Lobe = lobe
		known := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(s))
		s.Lobe = hidden{lobe}
		other := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(s))
		for a := -68.0; a <= 72; a += 0.0371 {
			k, o := known.Motion(atCam(a)), other.Motion(atCam(a))
			if (k.Lift-o.Lift).Abs() > 3 || math.Abs(float64(k.Acceleration-o.Acceleration)) > 1e-11 {
				t.Fatalf("%s at %v: %v, with hidden joins %v", name, a, k, o)
			}
		}
	}
	s := boatFinger(t)
	s.Lobe = arcs
	c := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(s))
	const h = 0.01
	for a := -60.0; a < 60; a += 0.173 {
		m, before, after := c.Motion(atCam(a)), c.Motion(atCam(a-h)), c.Motion(atCam(a+h))
		if math.Abs(float64(after.Acceleration-before.Acceleration)) > 1e-7 { // a join between them
			continue
		}
		v, acc := (after.Lift-before.Lift).Meters()/(2*h), float64(after.Velocity-before.Velocity)/(2*h)
		if math.Abs(v-float64(m.Velocity)) > 1e-8 || math.Abs(acc-float64(m.Acceleration)) > 1e-9 {
			t.Errorf("arcs at %v: slope %v, differences %v; acceleration %v, differences %v", a, m.Velocity, v, m.Acceleration, acc)
		}
	}
}

// Two tables of one lobe, whose knots stand at other angles, differ by what either is
// off between its knots: by the share of the greatest acceleration that NewFingerCurve
// states, but at the joins that the one does not know.
func TestFingerTableAccuracy(t *testing.T) {
	ramp := func(h float64) camtiming.Ramp {
		return camtiming.Ramp{Height: mm(h), Length: camDeg(20), Start: camDeg(5), Blend: camDeg(4)}
	}
	s := boatFinger(t)
	lobe := must[*camtiming.RampLobe](t)(camtiming.NewRampLobe(camtiming.RampLobeSpec{
		Lobe: lawOf(t, camtiming.ModifiedSine, 5, 72, 76), Opening: ramp(0.2), Closing: ramp(0.25),
	}))
	s.Lobe = lobe
	c := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(s))
	s.Lobe = hidden{lobe}
	other := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(s))
	greatest, off, n := 0.0, 0, 0
	for pass := range 2 {
		for a := -85.0; a <= 85; a += 0.0371 {
			k, o := c.Motion(camDeg(a)), other.Motion(camDeg(a))
			if pass == 0 {
				greatest = math.Max(greatest, math.Abs(float64(k.Acceleration)))
				continue
			}
			if n++; math.Abs(float64(k.Acceleration-o.Acceleration)) > 3e-9*greatest {
				off++
			}
		}
	}
	if off > n/100 {
		t.Errorf("acceleration differs at %d of %d angles", off, n)
	}
}
