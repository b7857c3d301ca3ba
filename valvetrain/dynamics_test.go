package valvetrain_test

import (
	"math"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func camDeg(x float64) units.CamAngle {
	return units.CamAngle(math.Round(x * float64(units.CamDegree)))
}

func lawOf(tb testing.TB, law camtiming.Law, lift, opening, closing float64) *camtiming.LawLobe {
	tb.Helper()
	return must[*camtiming.LawLobe](tb)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: law, MaxLift: mm(lift), Opening: camDeg(opening), Closing: camDeg(closing)}))
}

// moved are parts of the workboat's valve gear; figures invented.
var moved = valvetrain.MovingMasses{
	Valve: units.Grams(112), Retainer: units.Grams(24), Keepers: units.Grams(6), Spring: units.Grams(81),
	Rocker:  valvetrain.Lever{Mass: units.Grams(150), Gyration: mm(18), ValveArm: mm(36)},
	Pushrod: units.Grams(64), Lifter: units.Grams(86),
}

// gearShapes are lobes of every kind.
func gearShapes(tb testing.TB) map[string]camtiming.MotionCurve {
	tb.Helper()
	m := map[string]camtiming.MotionCurve{}
	for law := camtiming.Harmonic; law <= camtiming.EighthDegree; law++ {
		m[law.String()] = lawOf(tb, law, 7.5, 62, 68)
	}
	arc := must[*camtiming.ArcLobe](tb)(camtiming.NewArcLobe(camtiming.ArcLobeSpec{Base: mm(15), Lift: units.Some(mm(7)), Nose: units.Some(mm(4)), Ascent: units.Some(camDeg(65))}))
	tangent := must[*camtiming.ArcLobe](tb)(camtiming.NewTangentLobe(camtiming.TangentLobeSpec{Base: mm(20), Roller: mm(9), Lift: units.Some(mm(7)), Ascent: units.Some(camDeg(70))}))
	m["arcs"], m["tangent"] = arc, tangent
	spec := camtiming.TableLobeSpec{Interpolation: camtiming.NaturalSpline}
	l := lawOf(tb, camtiming.Poly4567, 7.5, 62, 68)
	for a := -62.0; a <= 68; a += 2 {
		spec.Samples = append(spec.Samples, camtiming.LiftSample{Angle: camDeg(a), Lift: l.Lift(camDeg(a))})
	}
	m["table"] = must[*camtiming.TableLobe](tb)(camtiming.NewTableLobe(spec))
	return m
}

// stands returns the installed height of a spring of these tests.
func stands(s valvetrain.Spring) units.Length {
	if _, ok := s.(valvetrain.SpringCurve); ok {
		return mm(46)
	}
	return mm(42)
}

func dynamicsFor(tb testing.TB, c camtiming.LiftCurve, s valvetrain.Spring, g valvetrain.LiftGear) *valvetrain.Dynamics {
	tb.Helper()
	return must[*valvetrain.Dynamics](tb)(valvetrain.NewDynamics(valvetrain.DynamicsSpec{Curve: c, Gear: g, Spring: s, Installed: stands(s), Masses: moved}))
}

// The float speed against a scan of the whole lobe, and the forces on both sides
// of it.
func TestFloatAgainstScan(t *testing.T) {
	curve := must[valvetrain.SpringCurve](t)(hive.Curve())
	springs := map[string]valvetrain.Spring{"linear": outer, "nest": pair, "beehive": curve}
	for shape, c := range gearShapes(t) {
		for name, s := range springs {
			for _, g := range []valvetrain.ConstantRatio{{Ratio: 1}, {Ratio: 1.4, Lash: mm(0.4)}} {
				what := shape + " " + name
				d := dynamicsFor(t, c, s, g)
				f := must[valvetrain.Float](t)(d.Float())
				m := float64(d.Mass().Total)
				least := math.Inf(1)
				span := c.Span()
				for i := range 40_000 {
					a := span.Opens + (span.Closes-span.Opens)/40_000*units.CamAngle(i) + 12345
					k := c.Motion(a)
					y := g.Ratio*k.Lift.Meters() - g.Lash.Meters()
					if y < 0 || k.Acceleration >= 0 {
						continue
					}
					force, err := s.ForceAt(stands(s) - units.Length(math.Round(y*1e12)))
					if err != nil {
						t.Fatal(err)
					}
					if w2 := float64(force) / (m * g.Ratio * -float64(k.Acceleration)); w2 < least {
						least = w2
					}
				}
				scan := math.Sqrt(least)
				got := f.Cam.Value.DegreesPerSecond()
				if got > scan*(1+1e-9) || got < scan*(1-2e-3) {
					t.Errorf("%s: float at %v deg/s, scan %v", what, got, scan)
				}
				for _, x := range []float64{0.9999, 1.0001} {
					tr := must[valvetrain.Turning](t)(d.Turning(f.Cam.Value * units.AngularSpeed(x)))
					l := must[valvetrain.TurningLimits](t)(tr.Limits())
					if (x > 1) != (len(l.Lost) > 0) || (x > 1) != (l.LeastAtCam.Force.Value < 0) {
						t.Errorf("%s at %v of the float speed: lost %v, least %v", what, x, l.Lost, l.LeastAtCam)
					}
					near(t, what+" cover", l.Cover, 1/(x*x), 1e-9)
				}
				tr := must[valvetrain.Turning](t)(d.Turning(f.Cam.Value))
				p := tr.At(f.At)
				near(t, what+" balance", float64(p.Spring), -float64(p.Inertia), 1e-9)
				near(t, what+" cover there", p.Cover, 1, 1e-9)
				if f.Crank.Value != 2*f.Cam.Value || f.Spring.Value != p.Spring || f.Lift != p.Lift {
					t.Errorf("%s: %+v does not agree with %+v", what, f, p)
				}
			}
		}
	}
}

// Extremes against a scan, and the torque against the work it does.
func TestTurningAgainstScan(t *testing.T) {
	for shape, c := range gearShapes(t) {
		d := dynamicsFor(t, c, outer, valvetrain.ConstantRatio{Ratio: 1.4})
		for _, rpm := range []float64{0, 800, 1600, 3000} {
			tr := must[valvetrain.Turning](t)(d.Turning(units.RevolutionsPerMinute(rpm)))
			l := must[valvetrain.TurningLimits](t)(tr.Limits())
			lo, hi, torque := math.Inf(1), math.Inf(-1), math.Inf(-1)
			var work, up float64
			const n = 60_000
			span := d.Lifted()
			step := (span.To - span.From) / n
			for i := range n {
				a := span.From + step*units.CamAngle(i) + step/2
				p := tr.At(a)
				lo, hi, torque = min(lo, float64(p.AtCam)), max(hi, float64(p.AtCam)), max(torque, float64(p.Torque))
				work += float64(p.Torque) * step.Radians()
				if a < 0 {
					up += float64(p.Torque) * step.Radians()
				}
				if math.Abs(float64(p.AtTip-p.Spring)) > math.Abs(float64(p.Inertia))+1e-9 {
					t.Fatalf("%s: the tip carries more inertia than there is: %+v", shape, p)
				}
			}
			scale := math.Abs(hi) + math.Abs(lo)
			if g := float64(l.GreatestAtCam.Force.Value); g < hi-1e-6*scale || g > hi+4e-3*scale {
				t.Errorf("%s %v rpm: greatest %v, scan %v", shape, rpm, g, hi)
			}
			if g := float64(l.LeastAtCam.Force.Value); g > lo+1e-6*scale || g < lo-4e-3*scale {
				t.Errorf("%s %v rpm: least %v, scan %v", shape, rpm, g, lo)
			}
			if g := float64(l.Greatest.Torque); g < torque*(1-1e-9) || g > torque*(1+1e-3) {
				t.Errorf("%s %v rpm: torque %v, scan %v", shape, rpm, g, torque)
			}
			// At the nose the parts stand still: all work is in the springs.
			near(t, shape+" stored", up, float64(l.Stored), 1e-3)
			if math.Abs(work) > 2e-3*float64(l.Stored) || math.Abs(float64(l.Mean)) > 1e-3*float64(l.Stored) {
				t.Errorf("%s %v rpm: work over a turn %v J, mean torque %v", shape, rpm, work, l.Mean)
			}
			if l.Seating != 0 {
				t.Errorf("%s: seats at %v without lash", shape, l.Seating)
			}
		}
	}
}

// Mass, ratio and speed enter as Newton's law says.
func TestDynamicsScaling(t *testing.T) {
	c := lawOf(t, camtiming.Poly345, 7.5, 62, 62)
	d := dynamicsFor(t, c, outer, valvetrain.ConstantRatio{Ratio: 1.4})
	double := moved
	for _, m := range []*units.Mass{&double.Valve, &double.Retainer, &double.Keepers, &double.Spring, &double.Rocker.Mass, &double.Pushrod, &double.Lifter} {
		*m *= 2
	}
	heavy := must[*valvetrain.Dynamics](t)(valvetrain.NewDynamics(valvetrain.DynamicsSpec{Curve: c, Gear: valvetrain.ConstantRatio{Ratio: 1.4}, Spring: outer, Installed: mm(42), Masses: double}))
	f1, f2 := must[valvetrain.Float](t)(d.Float()), must[valvetrain.Float](t)(heavy.Float())
	near(t, "float of twice the mass", float64(f2.Cam.Value), float64(f1.Cam.Value)/math.Sqrt2, 1e-12)
	slow, fast := must[valvetrain.Turning](t)(d.Turning(100)), must[valvetrain.Turning](t)(d.Turning(200))
	for a := -61.0; a < 61; a += 3.1 {
		p, q, r := slow.At(camDeg(a)), fast.At(camDeg(a)), slow.At(camDeg(-a))
		near(t, "inertia at twice the speed", float64(q.Inertia), 4*float64(p.Inertia), 1e-12)
		near(t, "speed at twice the speed", float64(q.Velocity), 2*float64(p.Velocity), 1e-12)
		near(t, "mirrored force", float64(r.AtCam), float64(p.AtCam), 1e-12)
		near(t, "mirrored torque", float64(r.Torque), -float64(p.Torque), 1e-12)
	}
	// All mass at the lifter counts by the square of the ratio.
	e := must[valvetrain.EffectiveMass](t)(valvetrain.MovingMasses{Valve: 0.1, Lifter: 0.09}.AtValve(1.5))
	near(t, "lifter", float64(e.Total), 0.14, 1e-12)
	worked(t, "mass", e.Working())
	worked(t, "float", f1.Working())
	l := must[valvetrain.TurningLimits](t)(slow.Limits())
	worked(t, "limits", l.Working())
	if len(f1.Cautions()) < 2 || len(l.Cautions()) < 2 {
		t.Error("a float speed without cautions")
	}
}

// A third of a spring: its coils summed one by one.
func TestThirdOfSpring(t *testing.T) {
	const n = 20_000
	sum := 0.0
	for i := range n {
		sum += math.Pow((float64(i)+0.5)/n, 2) / n
	}
	e := must[valvetrain.EffectiveMass](t)(valvetrain.MovingMasses{Valve: 1e-3, Spring: 1}.AtValve(1))
	near(t, "third", float64(e.Spring), sum, 1e-8)
}

// The friction of a flat face against the sliding of the lobe's surface, summed,
// and the stress against the contact alone.
func TestCamContact(t *testing.T) {
	const mu = 0.08
	c := lawOf(t, camtiming.Poly345, 6, 65, 70)
	steel := valvetrain.Surfaces{First: valvetrain.Elastic{Young: 2.07e11, Poisson: 0.3}, Second: valvetrain.Elastic{Young: 1.6e11, Poisson: 0.27}}
	d := dynamicsFor(t, c, outer, valvetrain.ConstantRatio{Ratio: 1.4})
	tr := must[valvetrain.Turning](t)(d.Turning(120))
	flat := must[*camtiming.FlatContact](t)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: c, Base: mm(22)}))
	roller := must[*camtiming.RollerContact](t)(camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: c, Base: mm(22), Roller: mm(9), Offset: mm(1)}))
	for name, f := range map[string]valvetrain.CamFollower{
		"flat":           {Base: mm(22), Width: mm(14), Surfaces: steel, Friction: mu},
		"crowned face":   {Base: mm(22), Width: mm(14), Crown: mm(900), Surfaces: steel, Friction: mu},
		"roller":         {Base: mm(22), Roller: mm(9), Offset: mm(1), Width: mm(14), Surfaces: steel, Friction: mu},
		"crowned roller": {Base: mm(22), Roller: mm(9), Offset: mm(1), Width: mm(14), Crown: mm(500), Surfaces: steel, Friction: mu},
	} {
		cc := must[*valvetrain.CamContact](t)(tr.Contact(f))
		l := must[valvetrain.CamLimits](t)(cc.Limits())
		worked(t, name, l.Working())
		var loss, peak, side float64
		const n = 20_000
		span := d.Lifted()
		step := (span.To - span.From) / n
		for i := range n {
			a := span.From + step*units.CamAngle(i) + step/2
			p := cc.At(a)
			loss += float64(p.Friction) * step.Radians()
			peak, side = max(peak, float64(p.Peak)), max(side, math.Abs(float64(p.Side)))
			if i%500 != 0 {
				continue
			}
			var radius units.Length
			if f.Roller == 0 {
				radius = flat.At(a).Radius
				near(t, name+" drag", float64(p.Friction), mu*float64(p.Normal)*(mm(22)+flat.At(a).Lift).Meters(), 1e-9)
				near(t, name+" normal", float64(p.Normal), float64(p.Forces.AtCam), 1e-12)
			} else {
				q := roller.At(a)
				radius, _ = q.Surface.Radius()
				// Normal and side are the legs of one force.
				near(t, name+" normal", float64(p.Normal), math.Hypot(float64(p.Side), float64(p.Forces.AtCam)), 1e-12)
				// The roller rolls along the lobe as far as the lobe's surface is
				// long: from the points of contact, in the lobe's own frame.
				spot := func(a units.CamAngle) (x, y float64) {
					q := roller.At(a)
					phi := q.Pressure().Degrees() * math.Pi / 180
					h := q.Lift.Meters() + math.Sqrt(0.031*0.031-0.001*0.001)
					// The normal leans from the line of travel by phi toward +x.
					sx, sy := 0.001-0.009*-math.Sin(phi), h-0.009*math.Cos(phi)
					s, c := math.Sincos(a.Radians())
					return sx*c + sy*s, sy*c - sx*s
				}
				const h = 20_000_000
				x0, y0 := spot(a - h)
				x1, y1 := spot(a + h)
				ds := math.Hypot(x1-x0, y1-y0) / (2 * units.CamAngle(h).Radians())
				near(t, name+" rolling", float64(p.Friction), mu*float64(p.Normal)*ds, 2e-4)
			}
			if f.Crown == 0 {
				h := must[valvetrain.HertzLine](t)(valvetrain.LineContact{Force: p.Normal, Length: mm(14), First: radius, Second: f.Roller, Surfaces: steel}.Hertz())
				near(t, name+" peak", float64(p.Peak), float64(h.Peak), 1e-7)
			} else {
				pc := valvetrain.PointContact{Force: p.Normal, First: radius, Second: f.Roller, SecondAcross: f.Crown, Surfaces: steel}
				if f.Roller == 0 {
					pc.Second = f.Crown
				}
				h := must[valvetrain.HertzPoint](t)(pc.Hertz())
				near(t, name+" peak", float64(p.Peak), float64(h.Peak), 1e-7)
				near(t, name+" across", float64(p.HalfAcross), float64(h.Across), 1e-6)
				if p.Truncated != (h.Across > mm(7)) {
					t.Errorf("%s: truncated %v, half axis %v", name, p.Truncated, h.Across)
				}
			}
		}
		near(t, name+" loss", float64(l.Loss), loss, 1e-4)
		near(t, name+" mean", float64(l.Mean)*2*math.Pi, loss, 1e-4)
		if g := float64(l.Peak.Pressure.Value); g < peak*(1-1e-9) || g > peak*1.005 {
			t.Errorf("%s: peak %v, scan %v", name, g, peak)
		}
		if g := float64(l.Side.Force.Value); g < side*(1-1e-9) || g > side*1.005 {
			t.Errorf("%s: side %v, scan %v", name, g, side)
		}
	}
}

// The margin of a face: the corners of the contact line, walked over the lobe.
func TestFaceMargin(t *testing.T) {
	c := lawOf(t, camtiming.Cycloidal, 6, 60, 75)
	flat := must[*camtiming.FlatContact](t)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: c, Base: mm(22)}))
	f := valvetrain.FlatFace{Contact: flat, Face: units.WithU(mm(32), mm(0.01)), Chamfer: mm(0.4), Lobe: mm(13), Offset: mm(-1)}
	m := must[valvetrain.FaceMargin](t)(f.Margin())
	least := math.Inf(1)
	for a := -60.0; a <= 75; a += 0.01 {
		for _, z := range []float64{-6.5 - 1, 6.5 - 1} {
			least = min(least, 15.6-math.Hypot(flat.At(camDeg(a)).Eccentricity.Millimeters(), z))
		}
	}
	near(t, "least", m.Least.Value.Millimeters(), least, 1e-6)
	if m.Least.Value != min(m.Opening, m.Closing) || m.Least.U != mm(0.005) || !m.Least.Stated {
		t.Errorf("%+v", m)
	}
	// A lobe as steep as Largest runs to the very edge.
	e := float64(m.Largest) * 180 / math.Pi
	near(t, "largest", math.Hypot(e, 0.0075), 0.0156, 1e-12)
	worked(t, "margin", m.Working())
	f.Limits = units.Some(units.AtLeast(mm(1), own))
	m = must[valvetrain.FaceMargin](t)(f.Margin())
	if !m.Verdict.Given || m.Verdict.Value.Outcome.String() != "outside" && m.Verdict.Value.Outcome.String() != "within" {
		t.Errorf("verdict %+v", m.Verdict)
	}
}

// Zero values neither panic nor claim anything.
func TestZeroDynamics(t *testing.T) {
	var tr valvetrain.Turning
	if tr.At(0) != (valvetrain.ValveForces{}) {
		t.Error("a zero Turning has forces")
	}
	var c *valvetrain.CamContact
	if c.At(0) != (valvetrain.CamPoint{}) || new(valvetrain.CamContact).At(0) != (valvetrain.CamPoint{}) {
		t.Error("a zero CamContact has forces")
	}
	_ = valvetrain.FaceMargin{}.Working()
	_ = valvetrain.TurningLimits{}.Working()
	_ = valvetrain.CamLimits{}.Working()
	_ = valvetrain.Float{}.Working()
	_ = valvetrain.EffectiveMass{}.Working()
	_ = valvetrain.Response{}.Working()
	_ = valvetrain.HertzLine{}.Working()
	_ = valvetrain.HertzPoint{}.Working()
	_ = valvetrain.EventArea{}.Working()
	_ = valvetrain.FlowArea{}.Working()
	_ = valvetrain.InletMachIndex{}.Working()
	var d valvetrain.Dynamics
	if d.Mass() != (valvetrain.EffectiveMass{}) || d.Lifted() != (camtiming.Stretch{}) {
		t.Error("a zero Dynamics has figures")
	}
}

// boatLinkage is the rocker of the tests on a lobe, boatFingerGear the finger.
func boatLinkage(tb testing.TB) *valvetrain.Dynamics {
	tb.Helper()
	return must[*valvetrain.Dynamics](tb)(valvetrain.NewDynamics(valvetrain.DynamicsSpec{
		Curve: lawOf(tb, camtiming.Poly4567, 7.5, 62, 68), Gear: boatRocker, Lash: units.Some(mm(0)), Spring: outer, Installed: mm(42), Masses: moved,
	}))
}

func fingerMasses() valvetrain.MovingMasses {
	m := moved
	m.Pushrod, m.Lifter = 0, 0
	return m
}

func fingerDynamics(tb testing.TB, s valvetrain.FingerSpec) *valvetrain.Dynamics {
	tb.Helper()
	return must[*valvetrain.Dynamics](tb)(valvetrain.NewDynamics(valvetrain.DynamicsSpec{
		Curve: must[*valvetrain.FingerCurve](tb)(valvetrain.NewFingerCurve(s)), Spring: outer, Installed: mm(42), Masses: fingerMasses(),
	}))
}

// energyTorque differentiates the energy of the parts and the spring over the cam
// angle: at answers lift of the valve, travel of the lifter (m) and turn of the rocker
// at an angle in radians.
func energyTorque(theta, w, base float64, at func(float64) (x, y, b float64)) float64 {
	const h = 1e-3
	valve := float64(moved.Valve+moved.Retainer+moved.Keepers+moved.Cap) + float64(moved.Spring)/3
	turning := float64(moved.Rocker.Mass) * math.Pow(moved.Rocker.Gyration.Meters(), 2)
	energy := func(t float64) float64 {
		x0, y0, b0 := at(t - h)
		x, _, _ := at(t)
		x1, y1, b1 := at(t + h)
		v, l, r := (x1-x0)/(2*h)*w, (y1-y0)/(2*h)*w, (b1-b0)/(2*h)*w
		load := float64(outer.Force.Value) + float64(outer.Rate.Value)*(outer.Height.Meters()-base)
		return valve*v*v/2 + float64(moved.Pushrod+moved.Lifter)*l*l/2 + turning*r*r/2 + load*x + float64(outer.Rate.Value)*x*x/2
	}
	return (energy(theta+h) - energy(theta-h)) / (2 * h)
}

// A rocker whose ratio varies: the torque of the cam against the change of the
// energy of all parts, by differences of the loop solved on its own.
func TestDynamicsOfLinkage(t *testing.T) {
	lobe := lawOf(t, camtiming.Poly4567, 7.5, 62, 68)
	d := boatLinkage(t)
	l := loopOf(boatRocker)
	rest := must[valvetrain.LinkageState](t)(boatRocker.At(0))
	base, _ := l.tip(l.close(t, 0, float64(rest.Arm)))
	at := func(theta float64) (x, y, b float64) {
		m := lobe.Motion(camDeg(theta * 180 / math.Pi))
		y = m.Lift.Millimeters()
		q := l.close(t, y, float64(rest.Arm))
		tip, _ := l.tip(q)
		return (tip - base) / 1000, y / 1000, q
	}
	f := must[valvetrain.Float](t)(d.Float())
	for _, w := range []float64{0, 100, float64(f.Cam.Value), 300} {
		tr := must[valvetrain.Turning](t)(d.Turning(units.AngularSpeed(w)))
		for a := -55.0; a <= 60; a += 5 {
			if a == 0 {
				continue
			}
			theta := a * math.Pi / 180
			got := tr.At(camDeg(a))
			want := energyTorque(theta, w, 0.042, at)
			static := energyTorque(theta, 0, 0.042, at)
			scale := math.Abs(want-static) + math.Abs(static)
			if math.Abs(float64(got.Torque)-want) > 2e-4*scale {
				t.Errorf("torque at %v, %v rad/s: %v, energy %v", a, w, got.Torque, want)
			}
			slope := float64(lobe.Velocity(camDeg(a))) * 180 / math.Pi
			near(t, "torque over slope", float64(got.AtCam)*slope, float64(got.Torque), 1e-9)
			x, _, _ := at(theta)
			near(t, "lift", got.Lift.Meters(), x, 1e-8)
		}
	}
	checkFloat(t, d, f)
	m := d.Mass()
	nose := must[valvetrain.LinkageState](t)(boatRocker.At(mm(7.5)))
	near(t, "ratio at the nose", m.Ratio, nose.Ratio, 1e-9)
	// The rocker at the valve by its turn for each lift.
	before := must[valvetrain.LinkageState](t)(boatRocker.At(mm(7.4)))
	after := must[valvetrain.LinkageState](t)(boatRocker.At(mm(7.6)))
	turn := float64(after.Turn-before.Turn) / (after.Gross - before.Gross).Meters()
	near(t, "rocker at the nose", float64(m.Rocker), 0.150*0.018*0.018*turn*turn, 1e-4)
}

// checkFloat holds that contact is just kept at the float speed, everywhere, and just
// lost where Float says.
func checkFloat(t *testing.T, d *valvetrain.Dynamics, f valvetrain.Float) {
	t.Helper()
	tr := must[valvetrain.Turning](t)(d.Turning(f.Cam.Value))
	l := d.Lifted()
	for i := range units.CamAngle(2000) {
		a := l.From + (l.To-l.From)/2000*i
		if p := tr.At(a); p.AtCam < -1e-6*units.Force(math.Abs(float64(p.Spring))) {
			t.Errorf("contact lost at %v, %v, at the float speed", a, p.AtCam)
		}
	}
	p := tr.At(f.At)
	near(t, "cover at the float speed", p.Cover, 1, 1e-6)
	near(t, "acceleration there", float64(f.Acceleration)*math.Pow(f.Cam.Value.DegreesPerSecond(), 2), float64(p.Acceleration), 1e-9)
	limits := must[valvetrain.TurningLimits](t)(tr.Limits())
	near(t, "least cover", limits.Cover, 1, 1e-9)
	if math.Abs(float64(limits.LeastAtCam.Force.Value)) > 1e-3 {
		t.Errorf("least force at the float speed: %v", limits.LeastAtCam)
	}
}

// A finger: the torque of the cam against the change of energy by differences of its
// lift and turn, and the normal force against the power it takes.
func TestDynamicsOfFinger(t *testing.T) {
	for name, s := range map[string]valvetrain.FingerSpec{"end pivot": boatFinger(t), "center pivot": centerFinger(t)} {
		d := fingerDynamics(t, s)
		c := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(s))
		at := func(theta float64) (x, y, b float64) {
			p := must[valvetrain.FingerState](t)(c.At(camDeg(theta * 180 / math.Pi)))
			return (p.Lift - p.Gap).Meters(), 0, float64(p.Turn)
		}
		f := must[valvetrain.Float](t)(d.Float())
		for _, w := range []float64{0, 150, 400} {
			tr := must[valvetrain.Turning](t)(d.Turning(units.AngularSpeed(w)))
			for a := -45.0; a <= 45; a += 5 {
				if l := d.Lifted(); a == 0 || camDeg(a) < l.From || camDeg(a) > l.To {
					continue
				}
				want := energyTorque(a*math.Pi/180, w, 0.042, at)
				got := tr.At(camDeg(a))
				static := energyTorque(a*math.Pi/180, 0, 0.042, at)
				scale := math.Abs(want-static) + math.Abs(static)
				if math.Abs(float64(got.Torque)-want) > 2e-4*scale {
					t.Errorf("%s at %v, %v rad/s: torque %v, energy %v", name, a, w, got.Torque, want)
				}
				lever := must[valvetrain.FingerState](t)(c.At(camDeg(a))).Lever
				near(t, name+" lever", float64(got.AtCam), lever*float64(got.Spring+got.Inertia), 1e-9)
			}
		}
		checkFloat(t, d, f)
		near(t, name+" rocker", float64(d.Mass().Rocker)*math.Pow(d.Mass().Masses.Rocker.ValveArm.Meters(), 2), 0.150*0.018*0.018, 1e-9)
	}
}

// The pressure under a crown against the ellipse solved anew at every angle.
func TestCrownAgainstHertz(t *testing.T) {
	lobe := lawOf(t, camtiming.Poly4567, 7.5, 62, 68)
	d := dynamicsFor(t, lobe, outer, valvetrain.ConstantRatio{Ratio: 1.4})
	tr := must[valvetrain.Turning](t)(d.Turning(120))
	for _, f := range []valvetrain.CamFollower{
		{Base: mm(60), Roller: mm(9), Width: mm(14), Crown: mm(700), Surfaces: steels},
		{Base: mm(60), Roller: mm(9), Width: mm(14), Crown: mm(9), Surfaces: steels},
		{Base: mm(60), Width: mm(14), Crown: mm(800), Surfaces: steels},
		{Base: mm(60), Width: mm(14), Crown: mm(40), Surfaces: steels},
	} {
		c := must[*valvetrain.CamContact](t)(tr.Contact(f))
		for a := -61.0; a < 67; a += 0.37 {
			p := c.At(camDeg(a))
			if !(p.Normal > 0) {
				continue
			}
			point := valvetrain.PointContact{Force: p.Normal, SecondAcross: f.Crown, Surfaces: steels}
			var radius float64
			if f.Roller > 0 {
				r := must[*camtiming.RollerContact](t)(camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: lobe, Base: f.Base, Roller: f.Roller}))
				radius, point.Second = 1/float64(r.At(camDeg(a)).Surface), f.Roller
			} else {
				r := must[*camtiming.FlatContact](t)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: lobe, Base: f.Base}))
				radius, point.Second = r.At(camDeg(a)).Radius.Meters(), f.Crown
			}
			point.First = units.Length(math.Round(radius * 1e12))
			if math.Abs(radius) > 900 { // nearly straight: a plane to the picometer
				continue
			}
			want := must[valvetrain.HertzPoint](t)(point.Hertz())
			near(t, "peak", float64(p.Peak), float64(want.Peak), 1e-9)
			near(t, "half axis in the plane", p.HalfRolling.Meters(), want.Rolling.Meters(), 1e-8)
			near(t, "half axis across", p.HalfAcross.Meters(), want.Across.Meters(), 1e-8)
		}
	}
}
