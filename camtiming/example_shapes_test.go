package camtiming_test

import (
	"fmt"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// exampleArcs is a lobe of the workboat's old hand-cut cam: three arcs under a
// flat tappet, measured with calipers and radius gauges.
func exampleArcs() *camtiming.ArcLobe {
	l, err := camtiming.NewArcLobe(camtiming.ArcLobeSpec{
		Base:   units.MustParseLength("18 mm"),
		Nose:   units.Some(units.MustParseLength("5 mm")),
		Lift:   units.Some(units.MustParseLength("8.5 mm")),
		Ascent: units.Some(68 * units.CamDegree),
	})
	if err != nil {
		panic(err)
	}
	return l
}

func exampleTangent() *camtiming.ArcLobe {
	l, err := camtiming.NewTangentLobe(camtiming.TangentLobeSpec{
		Base:   units.MustParseLength("25 mm"),
		Roller: units.MustParseLength("12 mm"),
		Nose:   units.Some(units.MustParseLength("8 mm")),
		Ascent: units.Some(60 * units.CamDegree),
	})
	if err != nil {
		panic(err)
	}
	return l
}

func ExampleNewArcLobe() {
	l := exampleArcs()
	g := l.Geometry()
	fmt.Println("flank radius:", g.Flank.Text(units.Millimeters, 2))
	fmt.Println("flank angle:", g.FlankAngle.Text(2))
	o, err := camtiming.OpeningAt(l, units.MustParseLength("1 mm"))
	fmt.Println("duration at 1 mm:", o.Duration.Text(1), err)
	// Output:
	// flank radius: 47.65 mm
	// flank angle: 27.87 cam deg
	// duration at 1 mm: 212.3 crank deg <nil>
}

func ExampleNewTangentLobe() {
	g := exampleTangent().Geometry()
	fmt.Println("lift:", g.Lift.Text(units.Millimeters, 2))
	fmt.Println("flank angle:", g.FlankAngle.Text(2))
	// Output:
	// lift: 17.00 mm
	// flank angle: 38.51 cam deg
}

func ExampleArcLobe_Geometry() {
	for _, s := range exampleTangent().Geometry().Working() {
		fmt.Println(s.Symbol, "=", s.Formula, "=", s.Value)
	}
	// Output:
	// OQ = r1 + h - r3 = 34.0000 mm
	// a = acos((r1 - r3)/OQ) = 60.000 cam deg
	// phi = atan(OQ sin(a)/(r1 + r2)) = 38.513 cam deg
}

// At a cam speed of 600 turns a minute, 3600 degrees a second, the acceleration
// at the start of lift is that of the curve times the speed squared.
func ExampleArcLobe_Motion() {
	l := exampleArcs()
	m := l.Motion(l.Span().Opens)
	const speed = 3600.0 // cam degrees per second
	fmt.Printf("%.1f m/s2\n", float64(m.Acceleration)*speed*speed)
	// Output:
	// 117.0 m/s2
}

func ExampleLawLobe_Motion() {
	l, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.EighthDegree, MaxLift: units.MustParseLength("0.300 in"), Opening: 68 * units.CamDegree, Closing: 70 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := l.Motion(-34 * units.CamDegree)
	fmt.Println("lift:", m.Lift.Text(units.Inches, 4))
	fmt.Printf("velocity: %.5f in/cam deg\n", m.Velocity.InchesPerCamDegree())
	fmt.Printf("acceleration: %.3g in/cam deg2\n", m.Acceleration.InchesPerCamDegree2())
	fmt.Printf("jerk: %.3g in/cam deg3\n", m.Jerk.InchesPerCamDegree3())
	// Output:
	// lift: 0.1302 in
	// velocity: 0.00778 in/cam deg
	// acceleration: 5.46e-05 in/cam deg2
	// jerk: -2.47e-05 in/cam deg3
}

func ExamplePeaksOf() {
	p, err := camtiming.PeaksOf(exampleArcs())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f mm/cam deg at %s\n", p.Opening.Value.MillimetersPerCamDegree(), p.Opening.At.Text(2))
	// Output:
	// 0.2419 mm/cam deg at -40.13 cam deg
}

func ExampleAreaUnder() {
	whole, err := camtiming.AreaUnder(exampleArcs(), camtiming.AreaSpec{})
	if err != nil {
		fmt.Println(err)
		return
	}
	open, err := camtiming.AreaUnder(exampleArcs(), camtiming.AreaSpec{Opens: units.Millimeter, Closes: units.Millimeter})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f mm cam deg, %.1f of it while over 1 mm\n", whole.Area.MillimeterCamDegrees(), open.Area.MillimeterCamDegrees())
	fmt.Println("mean lift there:", open.Mean.Text(units.Millimeters, 2))
	// Output:
	// 608.9 mm cam deg, 599.0 of it while over 1 mm
	// mean lift there: 5.64 mm
}

func ExampleNewFlatContact() {
	c, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: exampleArcs(), Base: units.MustParseLength("18 mm")})
	if err != nil {
		fmt.Println(err)
		return
	}
	l := c.Limits()
	fmt.Println("face:", l.FaceWidth.Text(units.Millimeters, 2))
	fmt.Println("least radius:", l.LeastRadius.Length.Text(units.Millimeters, 2))
	fmt.Println("undercut:", len(l.Undercut) > 0)
	// Output:
	// face: 27.72 mm
	// least radius: 5.00 mm
	// undercut: false
}

func ExampleFlatContact_At() {
	c, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: exampleArcs(), Base: units.MustParseLength("18 mm")})
	if err != nil {
		fmt.Println(err)
		return
	}
	p := c.At(-60 * units.CamDegree)
	fmt.Println(p.Eccentricity.Text(units.Millimeters, 2), "off the middle, on an arc of", p.Radius.Text(units.Millimeters, 2))
	// Output:
	// 4.13 mm off the middle, on an arc of 47.65 mm
}

func ExampleFlatContact_TappetDiameter() {
	c, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: exampleArcs(), Base: units.MustParseLength("18 mm")})
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := c.TappetDiameter(units.MustParseLength("12 mm"))
	fmt.Println(d.Text(units.Millimeters, 2), err)
	// Output:
	// 30.20 mm <nil>
}

// A lift that no cam can give to a roller of this size: the cam would come to a
// point and lose its nose.
func ExampleNewRollerContact() {
	l, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Harmonic, MaxLift: units.MustParseLength("10 mm"), Opening: 45 * units.CamDegree, Closing: 45 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: l, Base: units.MustParseLength("10 mm"), Roller: units.MustParseLength("12 mm")})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range c.Limits().Undercut {
		fmt.Println("undercut from", s.From.Text(1), "to", s.To.Text(1))
	}
	// Output:
	// undercut from -10.5 cam deg to 10.5 cam deg
}

func ExampleRollerContact_AtMotion() {
	lobe := exampleTangent()
	c, err := camtiming.NewRollerContact(camtiming.RollerContactSpec{
		Curve: lobe, Base: units.MustParseLength("25 mm"), Roller: units.MustParseLength("12 mm"),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := lobe.Motion(-40 * units.CamDegree)
	p := c.AtMotion(m)
	// By hand, 20 cam degrees up the straight flank: 37 mm/cos(20 deg) - 37 mm.
	fmt.Printf("lift %s, pressure angle %.2f deg, its tangent %.3f\n", m.Lift.Text(units.Millimeters, 2), p.Pressure().Degrees(), p.Slope)
	// Output:
	// lift 2.37 mm, pressure angle 20.00 deg, its tangent 0.364
}

func ExampleRollerPoint_Pressure() {
	// A slope of 1 in 2: by hand, atan(1/2).
	fmt.Printf("%.3f deg\n", camtiming.RollerPoint{Slope: 0.5}.Pressure().Degrees())
	// Output:
	// 26.565 deg
}

func ExampleRollerContact_At() {
	c, err := camtiming.NewRollerContact(camtiming.RollerContactSpec{
		Curve: exampleTangent(), Base: units.MustParseLength("25 mm"), Roller: units.MustParseLength("12 mm"),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	// 20 cam degrees after the start of lift the roller is on the straight flank.
	p := c.At(-40 * units.CamDegree)
	fmt.Printf("pressure angle: %.2f deg\n", p.Pressure().Degrees())
	nose, ok := c.At(0).Surface.Radius()
	fmt.Println("nose radius:", nose.Text(units.Millimeters, 2), ok)
	// Output:
	// pressure angle: 20.00 deg
	// nose radius: 8.00 mm true
}
