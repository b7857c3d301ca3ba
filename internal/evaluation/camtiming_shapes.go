package evaluation

import (
	"errors"
	"math"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// eccentric is a round cam of radius base turning about a point off its
// middle by off: under a flat face its lift is off (1 + cos angle).
type eccentric struct{ off units.Length }

func (e eccentric) Motion(a units.CamAngle) camtiming.LobeMotion {
	const k = math.Pi / 180
	h, sin, cos := e.off.Meters(), a.Sin(), a.Cos()
	return camtiming.LobeMotion{
		Lift:         units.Length(math.RoundToEven(float64(e.off) * (1 + cos))),
		Velocity:     units.LiftVelocity(-h * sin * k),
		Acceleration: units.LiftAcceleration(-h * cos * k * k),
		Jerk:         units.LiftJerk(h * sin * k * k * k),
	}
}
func (e eccentric) Lift(a units.CamAngle) units.Length           { return e.Motion(a).Lift }
func (e eccentric) Velocity(a units.CamAngle) units.LiftVelocity { return e.Motion(a).Velocity }
func (e eccentric) MaxLift() units.Length                        { return 2 * e.off }
func (e eccentric) Span() camtiming.Span {
	return camtiming.Span{Opens: -180 * units.CamDegree, Closes: 180 * units.CamDegree}
}

func optionalLength(in *inputs, name string) units.Optional[units.Length] {
	if !in.has(name) {
		return units.Optional[units.Length]{}
	}
	return units.Some(in.length(name))
}

// arcLobe reads a lobe of arcs; a row that says straight has a tangent lobe.
func arcLobe(in *inputs) (*camtiming.ArcLobe, error) {
	var ascent units.Optional[units.CamAngle]
	if in.has("ascent") {
		ascent = units.Some(in.cam("ascent"))
	}
	nose, lift, flank := optionalLength(in, "nose"), optionalLength(in, "lift"), optionalLength(in, "flank")
	base, roller := in.length("base"), optionalLength(in, "roller").Value
	if in.err != nil {
		return nil, in.err
	}
	if in.has("sides") { // sides=straight
		return camtiming.NewTangentLobe(camtiming.TangentLobeSpec{Base: base, Roller: roller, Nose: nose, Lift: lift, Ascent: ascent})
	}
	return camtiming.NewArcLobe(camtiming.ArcLobeSpec{Base: base, Roller: roller, Flank: flank, Nose: nose, Lift: lift, Ascent: ascent})
}

// camShapes computes the rows of lobe_shapes.csv.
func camShapes(add adder) {
	camShapeMotion(add)
	camShapeArcs(add)
	camShapeContact(add)
	add("coefficient of a rise law", func(in *inputs) (Answer, error) {
		// Newton's divided differences through nine lifts, multiplied out: the
		// coefficients of the polynomial of degree eight.
		const n = 9
		law, power := lawNames[in.text("law")], in.int("power")
		if power < 0 || power >= n {
			return Answer{}, errors.New("want a power of 0 to 8")
		}
		var x, d [n]float64
		for i := range n {
			x[i] = float64(i) / (n - 1)
			d[i] = law.At(x[i]).S
		}
		for k := 1; k < n; k++ {
			for i := n - 1; i >= k; i-- {
				d[i] = (d[i] - d[i-1]) / (x[i] - x[i-k])
			}
		}
		var c [n]float64
		for i := n - 1; i >= 0; i-- {
			for k := n - 1; k > 0; k-- {
				c[k] = c[k-1] - x[i]*c[k]
			}
			c[0] = d[i] - x[i]*c[0]
		}
		return Number(c[power]), nil
	}, "Law.At")
}

func camShapeMotion(add adder) {
	law := func(in *inputs) (camtiming.MotionCurve, error) { return lawLobe(in, "") }
	card := func(in *inputs) (camtiming.MotionCurve, error) { return cardLobe(in) }
	motion := func(lobe func(*inputs) (camtiming.MotionCurve, error), f func(camtiming.LobeMotion) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := lobe(in)
			if err != nil {
				return Answer{}, err
			}
			return Number(f(l.Motion(in.cam("angle")))), nil
		}
	}
	lift := func(m camtiming.LobeMotion) float64 { return m.Lift.Inches() }
	acceleration := func(m camtiming.LobeMotion) float64 { return m.Acceleration.InchesPerCamDegree2() }
	jerk := func(m camtiming.LobeMotion) float64 { return m.Jerk.InchesPerCamDegree3() }
	add("jerk of a lobe", motion(law, jerk), "LawLobe.Motion")
	add("lift of a card lobe's motion", motion(card, lift), "CardLobe.Motion")
	add("acceleration of a card lobe", motion(card, acceleration), "CardLobe.Motion")
	add("jerk of a card lobe", motion(card, jerk), "CardLobe.Motion")

	peaks := func(lobe func(*inputs) (camtiming.LiftCurve, error), f func(camtiming.Peaks) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := lobe(in)
			if err != nil {
				return Answer{}, err
			}
			p, err := camtiming.PeaksOf(l)
			return Number(f(p)), err
		}
	}
	curve := func(in *inputs) (camtiming.LiftCurve, error) { return lawLobe(in, "") }
	table := func(in *inputs) (camtiming.LiftCurve, error) { return tableLobe(in, 0) }
	// The peak is asked at its angle, too, so that the motion there is proved.
	agreed := func(lobe func(*inputs) (camtiming.MotionCurve, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := lobe(in)
			if err != nil {
				return Answer{}, err
			}
			p, err := camtiming.PeaksOf(l)
			if err != nil {
				return Answer{}, err
			}
			at := l.Motion(p.OpeningAcceleration.At).Acceleration
			if math.Abs(float64(at-p.OpeningAcceleration.Value)) > 1e-9*math.Abs(float64(at)) {
				return Text("the motion at the peak is not the peak"), nil
			}
			return Number(p.OpeningAcceleration.Value.InchesPerCamDegree2() / 4), nil // per crank degree squared
		}
	}
	add("peak acceleration of a lobe", agreed(law), "PeaksOf", "LawLobe.Motion")
	add("peak acceleration of a table", agreed(func(in *inputs) (camtiming.MotionCurve, error) { return tableLobe(in, 0) }), "PeaksOf", "TableLobe.Motion")
	add("angle of peak acceleration", peaks(curve, func(p camtiming.Peaks) float64 { return p.ClosingAcceleration.At.Crank().Degrees() }), "PeaksOf")
	add("angle of peak deceleration", peaks(curve, func(p camtiming.Peaks) float64 { return math.Abs(p.Deceleration.At.Crank().Degrees()) }), "PeaksOf")
	add("peak velocity of a table", peaks(table, func(p camtiming.Peaks) float64 { return p.Opening.Value.InchesPerCrankDegree() }), "PeaksOf")

	// In time: the cam turns at a whole number of turns a minute.
	timed := func(f func(p camtiming.Peaks, closing bool, speed float64) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := lawLobe(in, "")
			if err != nil {
				return Answer{}, err
			}
			p, err := camtiming.PeaksOf(l)
			return Number(f(p, in.text("side") == "closing", 6*in.float("rpm"))), err
		}
	}
	add("greatest velocity of a lobe in time", timed(func(p camtiming.Peaks, closing bool, speed float64) float64 {
		if closing {
			return -float64(p.Closing.Value) * speed
		}
		return float64(p.Opening.Value) * speed
	}), "PeaksOf")
	add("greatest acceleration of a lobe in time", timed(func(p camtiming.Peaks, closing bool, speed float64) float64 {
		if closing {
			return float64(p.ClosingAcceleration.Value) * speed * speed
		}
		return float64(p.OpeningAcceleration.Value) * speed * speed
	}), "PeaksOf")

	area := func(lobe func(*inputs) (camtiming.LiftCurve, error), f func(camtiming.LiftArea) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := lobe(in)
			if err != nil {
				return Answer{}, err
			}
			a, err := camtiming.AreaUnder(l, camtiming.AreaSpec{Opens: optionalLength(in, "opens at").Value, Closes: optionalLength(in, "closes at").Value})
			return Number(f(a.Area)), err
		}
	}
	inches, millimeters := camtiming.LiftArea.InchCrankDegrees, camtiming.LiftArea.MillimeterCamDegrees
	add("area under a lobe", area(curve, inches), "AreaUnder", "LiftArea.InchCrankDegrees")
	add("area under a lobe, metric", area(curve, millimeters), "AreaUnder", "LiftArea.MillimeterCamDegrees")
	add("area under a table", area(table, inches), "AreaUnder", "LiftArea.InchCrankDegrees")
}

func camShapeArcs(add adder) {
	geometry := func(f func(camtiming.ArcGeometry) float64, symbols ...string) (func(*inputs) (Answer, error), []string) {
		return func(in *inputs) (Answer, error) {
			l, err := arcLobe(in)
			if err != nil {
				return Answer{}, err
			}
			return Number(f(l.Geometry())), nil
		}, append(symbols, "ArcLobe.Geometry")
	}
	for _, g := range [...]struct {
		quantity string
		f        func(camtiming.ArcGeometry) float64
	}{
		{"nose radius of a tangent lobe", func(g camtiming.ArcGeometry) float64 { return g.Nose.Millimeters() }},
		{"lift of a tangent lobe", func(g camtiming.ArcGeometry) float64 { return g.Lift.Millimeters() }},
		{"ascent of a tangent lobe", func(g camtiming.ArcGeometry) float64 { return g.Ascent.Degrees() }},
		{"flank angle of a tangent lobe", func(g camtiming.ArcGeometry) float64 { return g.FlankAngle.Degrees() }},
		{"lift at the flank's end", func(g camtiming.ArcGeometry) float64 { return g.FlankLift.Millimeters() }},
	} {
		f, s := geometry(g.f, "NewTangentLobe")
		add(g.quantity, f, s...)
	}
	for _, g := range [...]struct {
		quantity string
		f        func(camtiming.ArcGeometry) float64
	}{
		{"flank radius of an arc lobe", func(g camtiming.ArcGeometry) float64 { return g.Flank.Millimeters() }},
		{"nose radius of an arc lobe", func(g camtiming.ArcGeometry) float64 { return g.Nose.Millimeters() }},
		{"lift of an arc lobe", func(g camtiming.ArcGeometry) float64 { return g.Lift.Millimeters() }},
		{"ascent of an arc lobe", func(g camtiming.ArcGeometry) float64 { return g.Ascent.Degrees() }},
		{"flank angle of an arc lobe", func(g camtiming.ArcGeometry) float64 { return g.FlankAngle.Degrees() }},
	} {
		f, s := geometry(g.f, "NewArcLobe")
		add(g.quantity, f, s...)
	}

	// theta counts from the start of lift.
	at := func(f func(in *inputs, l *camtiming.ArcLobe, fromNose units.CamAngle) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := arcLobe(in)
			if err != nil {
				return Answer{}, err
			}
			return Number(f(in, l, in.cam("theta")-l.Geometry().Ascent)), nil
		}
	}
	const perRadian = 180 / math.Pi
	add("lift of an arc lobe at an angle", at(func(_ *inputs, l *camtiming.ArcLobe, a units.CamAngle) float64 {
		return l.Lift(a).Millimeters()
	}), "ArcLobe.Lift")
	add("velocity of an arc lobe", at(func(_ *inputs, l *camtiming.ArcLobe, a units.CamAngle) float64 {
		return l.Velocity(a).MillimetersPerCamDegree() * perRadian
	}), "ArcLobe.Velocity")
	add("acceleration of an arc lobe", at(func(_ *inputs, l *camtiming.ArcLobe, a units.CamAngle) float64 {
		return float64(l.Motion(a).Acceleration) * 1000 * perRadian * perRadian
	}), "ArcLobe.Motion")
	add("jerk of an arc lobe", at(func(_ *inputs, l *camtiming.ArcLobe, a units.CamAngle) float64 {
		return float64(l.Motion(a).Jerk) * 1000 * perRadian * perRadian * perRadian
	}), "ArcLobe.Motion")

	// In time: the cam turns at a whole number of turns a minute.
	speed := func(in *inputs) float64 { return 6 * in.float("rpm") } // degrees per second
	timed := func(from func(g camtiming.ArcGeometry) units.CamAngle) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := arcLobe(in)
			if err != nil {
				return Answer{}, err
			}
			w := speed(in)
			a := float64(l.Motion(from(l.Geometry())).Acceleration) * w * w
			return Number(math.Abs(a) * sign(in.row.Expected)), nil
		}
	}
	const hair = 2 // counts, to stand surely on one side of a junction
	add("acceleration at the start of lift", timed(func(g camtiming.ArcGeometry) units.CamAngle { return hair - g.Ascent }), "ArcLobe.Motion")
	add("acceleration at the flank's end", timed(func(g camtiming.ArcGeometry) units.CamAngle { return g.FlankAngle - g.Ascent - hair }), "ArcLobe.Motion")
	add("acceleration at the start of the nose", timed(func(g camtiming.ArcGeometry) units.CamAngle { return g.FlankAngle - g.Ascent + hair }), "ArcLobe.Motion")
	add("acceleration at the apex", timed(func(camtiming.ArcGeometry) units.CamAngle { return 0 }), "ArcLobe.Motion")
	add("greatest velocity of an arc lobe in time", func(in *inputs) (Answer, error) {
		l, err := arcLobe(in)
		if err != nil {
			return Answer{}, err
		}
		p, err := camtiming.PeaksOf(l)
		return Number(float64(p.Opening.Value) * speed(in)), err
	}, "PeaksOf")
	add("duration of an arc lobe", func(in *inputs) (Answer, error) {
		l, err := arcLobe(in)
		if err != nil {
			return Answer{}, err
		}
		o, err := camtiming.OpeningAt(l, in.length("at"))
		return Number(o.Duration.Cam().Degrees()), err
	}, "OpeningAt")
}

func camShapeContact(add adder) {
	flatArc := func(f func(*inputs, *camtiming.FlatContact, *camtiming.ArcLobe) (float64, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := arcLobe(in)
			if err != nil {
				return Answer{}, err
			}
			c, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: l, Base: in.length("base")})
			if err != nil {
				return Answer{}, err
			}
			x, err := f(in, c, l)
			return Number(x), err
		}
	}
	add("cam radius under a flat follower", flatArc(func(in *inputs, c *camtiming.FlatContact, l *camtiming.ArcLobe) (float64, error) {
		return c.At(in.cam("theta") - l.Geometry().Ascent).Radius.Millimeters(), nil
	}), "NewFlatContact", "FlatContact.At")
	add("contact eccentricity of a flat follower", flatArc(func(in *inputs, c *camtiming.FlatContact, l *camtiming.ArcLobe) (float64, error) {
		return c.At(in.cam("theta") - l.Geometry().Ascent).Eccentricity.Millimeters(), nil
	}), "FlatContact.At")
	add("greatest contact eccentricity", flatArc(func(_ *inputs, c *camtiming.FlatContact, _ *camtiming.ArcLobe) (float64, error) {
		return c.Limits().Opening.Length.Millimeters(), nil
	}), "NewFlatContact", "FlatContact.Limits")
	add("largest flank radius under a flat follower", flatArc(func(_ *inputs, c *camtiming.FlatContact, _ *camtiming.ArcLobe) (float64, error) {
		return c.Limits().OpeningFlank.Length.Millimeters(), nil
	}), "FlatContact.Limits")
	add("nose radius under a flat follower", flatArc(func(_ *inputs, c *camtiming.FlatContact, _ *camtiming.ArcLobe) (float64, error) {
		return c.Limits().NoseRadius.Millimeters(), nil
	}), "FlatContact.Limits")
	add("least tappet diameter", flatArc(func(in *inputs, c *camtiming.FlatContact, _ *camtiming.ArcLobe) (float64, error) {
		d, err := c.TappetDiameter(in.length("width"))
		return d.Millimeters(), err
	}), "NewFlatContact", "FlatContact.TappetDiameter")
	add("face width of an eccentric", func(in *inputs) (Answer, error) {
		c, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: eccentric{in.length("off")}, Base: in.length("base")})
		if err != nil {
			return Answer{}, err
		}
		return Number(c.Limits().FaceWidth.Millimeters()), nil
	}, "NewFlatContact", "FlatContact.Limits")
	add("undercut of a flat follower", func(in *inputs) (Answer, error) {
		l, err := lawLobe(in, "")
		if err != nil {
			return Answer{}, err
		}
		c, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: l, Base: in.length("base")})
		if err != nil {
			return Answer{}, err
		}
		return undercut(c.Limits().Undercut), nil
	}, "NewFlatContact", "FlatContact.Limits")

	rollerArc := func(f func(*camtiming.RollerContact, camtiming.RollerPoint) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := arcLobe(in)
			if err != nil {
				return Answer{}, err
			}
			c, err := camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: l, Base: in.length("base"), Roller: in.length("roller")})
			if err != nil {
				return Answer{}, err
			}
			theta := l.Geometry().Ascent
			if in.has("theta") {
				theta = in.cam("theta")
			}
			return Number(f(c, c.At(theta-l.Geometry().Ascent))), nil
		}
	}
	radius := func(c camtiming.Curvature) float64 {
		r, ok := c.Radius()
		if !ok {
			return math.Inf(1)
		}
		return r.Millimeters()
	}
	add("pressure angle of a roller", rollerArc(func(_ *camtiming.RollerContact, p camtiming.RollerPoint) float64 { return p.Pressure().Degrees() }), "NewRollerContact", "RollerContact.At", "RollerPoint.Pressure", "PressureAngle.Degrees")
	add("pitch curvature of a roller", rollerArc(func(_ *camtiming.RollerContact, p camtiming.RollerPoint) float64 { return p.Pitch.PerMillimeter() }), "NewRollerContact", "RollerContact.At", "Curvature.PerMillimeter")
	add("pitch radius of a roller", rollerArc(func(_ *camtiming.RollerContact, p camtiming.RollerPoint) float64 { return radius(p.Pitch) }), "NewRollerContact", "RollerContact.At", "Curvature.Radius")
	add("cam radius under a roller", rollerArc(func(_ *camtiming.RollerContact, p camtiming.RollerPoint) float64 { return radius(p.Surface) }), "RollerContact.At", "Curvature.Radius")
	add("greatest pressure angle of a roller", rollerArc(func(c *camtiming.RollerContact, _ camtiming.RollerPoint) float64 {
		return c.Limits().Opening.Angle.Degrees()
	}), "RollerContact.Limits")
	add("least pitch radius of a roller", rollerArc(func(c *camtiming.RollerContact, _ camtiming.RollerPoint) float64 {
		return c.Limits().LeastPitchRadius.Length.Millimeters()
	}), "RollerContact.Limits")
	rollerLaw := func(f func(*inputs, *camtiming.RollerContact, camtiming.MotionCurve) Answer) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := lawLobe(in, "")
			if err != nil {
				return Answer{}, err
			}
			c, err := camtiming.NewRollerContact(camtiming.RollerContactSpec{
				Curve: l, Base: in.length("base"), Roller: in.length("roller"), Offset: optionalLength(in, "offset").Value,
			})
			if err != nil {
				return Answer{}, err
			}
			return f(in, c, l), nil
		}
	}
	add("pressure angle of an offset roller", rollerLaw(func(in *inputs, c *camtiming.RollerContact, _ camtiming.MotionCurve) Answer {
		return Number(c.At(in.cam("angle")).Pressure().Degrees())
	}), "NewRollerContact", "RollerContact.At", "RollerPoint.Pressure")
	add("pitch curvature of an offset roller", rollerLaw(func(in *inputs, c *camtiming.RollerContact, _ camtiming.MotionCurve) Answer {
		return Number(c.At(in.cam("angle")).Pitch.PerMillimeter())
	}), "NewRollerContact", "RollerContact.At")
	add("pressure angle from the motion of an offset roller", rollerLaw(func(in *inputs, c *camtiming.RollerContact, l camtiming.MotionCurve) Answer {
		return Number(c.AtMotion(l.Motion(in.cam("angle"))).Pressure().Degrees())
	}), "NewRollerContact", "RollerContact.AtMotion", "RollerPoint.Pressure")
	add("pitch curvature from the motion of an offset roller", rollerLaw(func(in *inputs, c *camtiming.RollerContact, l camtiming.MotionCurve) Answer {
		return Number(c.AtMotion(l.Motion(in.cam("angle"))).Pitch.PerMillimeter())
	}), "NewRollerContact", "RollerContact.AtMotion")
	add("undercut of a roller follower", rollerLaw(func(_ *inputs, c *camtiming.RollerContact, _ camtiming.MotionCurve) Answer {
		return undercut(c.Limits().Undercut)
	}), "NewRollerContact", "RollerContact.Limits")
}

// undercut is the one stretch, or what was found instead.
func undercut(s []camtiming.Stretch) Answer {
	if len(s) != 1 {
		return Text("not one stretch")
	}
	return Interval(s[0].From.Degrees(), s[0].To.Degrees())
}
