package camtiming_test

import (
	"fmt"
	"math"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func ExamplePistonVelocity() {
	v := camtiming.PistonVelocity(0.000254) // meters per crank degree
	fmt.Printf("%.3f mm, %.3f in per crank degree\n", v.MillimetersPerCrankDegree(), v.InchesPerCrankDegree())
	fmt.Printf("%.3f m/s at 6 crank degrees per millisecond\n", v.At(units.RevolutionsPerMinute(1000)).MetersPerSecond())
	// Output:
	// 0.254 mm, 0.010 in per crank degree
	// 1.524 m/s at 6 crank degrees per millisecond
}

func ExamplePistonAcceleration() {
	a := camtiming.PistonAcceleration(0.00000254) // meters per crank degree squared
	fmt.Printf("%.5f mm, %.4f in per crank degree squared\n", a.MillimetersPerCrankDegree2(), a.InchesPerCrankDegree2())
	fmt.Printf("%.2f m/s2 at 1000 rpm\n", a.At(units.RevolutionsPerMinute(1000)).MetersPerSecondSquared())
	// Output:
	// 0.00254 mm, 0.0001 in per crank degree squared
	// 91.44 m/s2 at 1000 rpm
}

func ExampleRodAngle() {
	fmt.Printf("%.3f degrees\n", camtiming.RodAngle(math.Pi/12).Degrees())
	// Output:
	// 15.000 degrees
}

func ExampleSliderCrank_Spec() {
	k, err := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: 50 * units.Millimeter, Rod: 190 * units.Millimeter})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(k.Spec().Throw, k.Spec().Rod)
	// Output:
	// 50 mm 190 mm
}

func ExamplePressureAngle() {
	fmt.Println(camtiming.PressureAngle(22.5).Degrees(), "degrees")
	// Output:
	// 22.5 degrees
}

func ExampleCurvature() {
	c := camtiming.Curvature(20) // one over 0.05 m
	r, curved := c.Radius()
	fmt.Println(c.PerMillimeter(), "per mm, radius", r, curved)
	// Output:
	// 0.02 per mm, radius 50 mm true
}

func ExampleLiftArea() {
	a := camtiming.LiftArea(0.0254 * 20) // an inch over 20 cam degrees
	fmt.Printf("%.1f in crank deg, %.1f mm cam deg\n", a.InchCrankDegrees(), a.MillimeterCamDegrees())
	// Output:
	// 40.0 in crank deg, 508.0 mm cam deg
}

func ExampleOverlapArea() {
	a := camtiming.OverlapArea(0.0254 * 3) // an inch over three crank degrees
	fmt.Printf("%.1f in deg, %.1f mm deg\n", a.InchDegrees(), a.MillimeterDegrees())
	// Output:
	// 3.0 in deg, 76.2 mm deg
}

func ExampleMarkError_True() {
	// The mark comes two degrees early: ten before top is twelve before.
	e := camtiming.MarkError{Early: units.Unstated(2 * units.CrankDegree)}
	fmt.Println(e.True(-10 * units.CrankDegree))
	// Output:
	// -12 crank deg
}

func ExampleArcLobe() {
	l := exampleArcs()
	fmt.Println(l.Lift(0) == l.MaxLift(), l.Velocity(0) == 0)
	fmt.Println(l.Velocity(-20*units.CamDegree) > 0, l.Lift(l.Span().Opens))
	// Output:
	// true true
	// true 0 mm
}

func ExampleFlatContact_Limits() {
	l := exampleArcs()
	c, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: l, Base: l.Geometry().Base})
	if err != nil {
		fmt.Println(err)
		return
	}
	lim := c.Limits()
	fmt.Println("nose as given:", lim.NoseRadius == l.Geometry().Nose, "undercut:", len(lim.Undercut) > 0)
	// Output:
	// nose as given: true undercut: false
}

func ExampleRollerContact_Limits() {
	l := exampleTangent()
	g := l.Geometry()
	c, err := camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: l, Base: g.Base, Roller: g.Roller})
	if err != nil {
		fmt.Println(err)
		return
	}
	// The flanks of a tangent cam are straight.
	lim := c.Limits()
	fmt.Println("straight:", math.Abs(lim.OpeningFlank.Curvature.PerMillimeter()) < 1e-6, "undercut:", len(lim.Undercut) > 0)
	// Output:
	// straight: true undercut: false
}

func ExampleCardLobe_Motion() {
	l, err := camtiming.NewCardLobe(camtiming.CardLobeSpec{
		MaxLift:   units.MustParseLength("0.300 in"),
		Durations: []camtiming.DurationAt{{Lift: units.MustParseLength("0.050 in"), Duration: 224 * units.CrankDegree}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	nose := l.Motion(0)
	fmt.Println(nose.Lift.Text(units.Inches, 3), nose.Velocity == 0, nose.Acceleration <= 0)
	// Output:
	// 0.300 in true true
}

func ExampleTableLobe_Motion() {
	// A parabola a millimeter high and 40 cam degrees wide: -2/400 mm per
	// cam degree squared everywhere.
	var s []camtiming.LiftSample
	for d := -20; d <= 20; d += 5 {
		s = append(s, camtiming.LiftSample{Angle: units.CamAngle(d) * units.CamDegree, Lift: units.Length(400-d*d) * units.Millimeter / 400})
	}
	l, err := camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s, Interpolation: camtiming.NotAKnotSpline})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := l.Motion(3 * units.CamDegree)
	fmt.Printf("%.4f mm per cam degree squared\n", float64(m.Acceleration)*1000)
	// Output:
	// -0.0050 mm per cam degree squared
}
