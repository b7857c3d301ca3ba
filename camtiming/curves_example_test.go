package camtiming_test

import (
	"fmt"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func ExampleCard_Cam() {
	cam, err := exampleCard().Cam()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(cam.Spec().Separation, cam.Spec().GroundAdvance)
	// Output:
	// 110 cam deg 4 crank deg
}

func ExampleCam_Spec() {
	s := exampleCam().Spec()
	fmt.Println(s.Intake.MaxLift().Text(units.Inches, 3), s.Exhaust.MaxLift().Text(units.Inches, 3))
	// Output:
	// 0.300 in 0.310 in
}

// The curve of a card passes through what the card says and is symmetric;
// between its figures it is one of a family.
func ExampleCardLobe() {
	l, err := camtiming.NewCardLobe(camtiming.CardLobeSpec{
		MaxLift:   units.MustParseLength("0.300 in"),
		Durations: []camtiming.DurationAt{{Lift: units.MustParseLength("0.050 in"), Duration: 224 * units.CrankDegree}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	flank := 56 * units.CamDegree // half of 224 crank degrees, as cam degrees
	fmt.Println(l.MaxLift().Text(units.Inches, 3), l.Lift(flank).Text(units.Inches, 3), l.Lift(-flank).Text(units.Inches, 3))
	fmt.Println("opens:", l.Velocity(-flank) > 0, "closes:", l.Velocity(flank) < 0)
	fmt.Println("symmetric:", l.Span().Opens == -l.Span().Closes)
	fmt.Println("one law of a family:", l.Law() != 0, l.Family() > 1)
	// Output:
	// 0.300 in 0.050 in 0.050 in
	// opens: true closes: true
	// symmetric: true
	// one law of a family: true true
}

func ExampleLawLobe_Span() {
	l, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Cycloidal, MaxLift: 300 * units.Thou, Opening: 60 * units.CamDegree, Closing: 70 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.Spec().Law, "from", l.Span().Opens, "to", l.Span().Closes)
	// Output:
	// cycloidal from -60 cam deg to 70 cam deg
}

func ExampleLawLobe_Spec() {
	l, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Harmonic, MaxLift: 300 * units.Thou, Opening: 60 * units.CamDegree, Closing: 60 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.Spec().Opening, l.Spec().MaxLift.Text(units.Inches, 3))
	// Output:
	// 60 cam deg 0.300 in
}

// Readings joined by straight lines, 0.300 in over 60 cam degrees.
func ExampleTableLobe_Lift() {
	l, err := camtiming.NewTableLobe(camtiming.TableLobeSpec{
		Samples: []camtiming.LiftSample{
			{Angle: -60 * units.CamDegree},
			{Angle: -30 * units.CamDegree, Lift: 150 * units.Thou},
			{Angle: 0, Lift: 300 * units.Thou},
			{Angle: 30 * units.CamDegree, Lift: 150 * units.Thou},
			{Angle: 60 * units.CamDegree},
		},
		Interpolation: camtiming.Straight, Origin: camtiming.AsMeasured,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("nose at", l.Nose(), "and at 20 deg before it", l.Lift(-20*units.CamDegree).Text(units.Inches, 3))
	fmt.Printf("%.6g in per cam degree\n", l.Velocity(-20*units.CamDegree).InchesPerCamDegree())
	// Output:
	// nose at 0 cam deg and at 20 deg before it 0.200 in
	// 0.005 in per cam degree
}
