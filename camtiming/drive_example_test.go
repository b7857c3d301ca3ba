package camtiming_test

import (
	"fmt"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func ExampleDrive_Teeth() {
	// A half-speed intermediate shaft with small wheels to the cam.
	t, err := camtiming.Drive{CrankTeeth: 21, DrivenTeeth: 42, DrivingTeeth: 20, CamTeeth: 20}.Teeth()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("a tooth at the crank:", t.CrankMesh.Text(2))
	fmt.Println("a tooth at the cam:", t.CamMesh.Text(2))
	fmt.Println("finest step of both:", t.Finest.Text(2))
	// Output:
	// a tooth at the crank: 17.14 crank deg
	// a tooth at the cam: 36.00 crank deg
	// finest step of both: 1.71 crank deg
}

func ExampleMesh_Play() {
	m := camtiming.Mesh{Backlash: units.MustParseLength("0.004 in"), PitchDiameter: 6 * units.Inch, Speed: camtiming.AtCamSpeed}
	play, err := m.Play()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(play.Text(2))
	// Output: 0.15 crank deg
}

func ExampleDrivePlay() {
	play, err := camtiming.DrivePlay([]camtiming.Mesh{
		{Backlash: units.MustParseLength("0.10 mm"), PitchDiameter: units.MustParseLength("80 mm"), Speed: camtiming.AtCrankSpeed},
		{Backlash: units.MustParseLength("0.15 mm"), PitchDiameter: units.MustParseLength("150 mm"), Speed: camtiming.AtCamSpeed},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(play.Text(2))
	// Output: 0.37 crank deg
}

func ExampleDriveWheel_PitchDiameter() {
	chain := camtiming.DriveWheel{Kind: camtiming.ChainWheel, Pitch: units.MustParseLength("0.375 in"), Teeth: 36}
	d, err := chain.PitchDiameter()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(d.Text(units.Inches, 3))
	// Output: 4.303 in
}

func ExampleWheelPair_TightRun() {
	l, err := camtiming.WheelPair{
		Driver: units.MustParseLength("2.16 in"), CamWheel: units.MustParseLength("4.30 in"),
		CenterDistance: 5 * units.Inch,
	}.TightRun()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.Text(units.Inches, 3))
	// Output: 4.884 in
}

func ExampleChainWear_Retard() {
	worn, err := camtiming.ChainLength{Pitch: units.MustParseLength("0.375 in"), Links: 40, Length: units.MustParseLength("15.09 in")}.Elongation()
	if err != nil {
		fmt.Println(err)
		return
	}
	late, err := camtiming.ChainWear{
		Elongation: worn, TightRun: units.MustParseLength("4.884 in"), CamWheel: units.MustParseLength("4.303 in"),
	}.Retard()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f %% longer, cam late by %s\n", 100*worn, late.Text(2))
	// Output: 0.60 % longer, cam late by 1.56 crank deg
}

func ExampleChainLength_Elongation() {
	worn, err := camtiming.ChainLength{Pitch: units.MustParseLength("9.525 mm"), Links: 40, Length: units.MustParseLength("383.2 mm")}.Elongation()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f %%\n", 100*worn)
	// Output: 0.58 %
}

func ExampleHeadHeight_Shift() {
	s, err := camtiming.HeadHeight{
		Wheels: camtiming.WheelPair{
			Driver: units.MustParseLength("60 mm"), CamWheel: units.MustParseLength("120 mm"),
			CenterDistance: units.MustParseLength("400 mm"),
		},
		Removed: units.MustParseLength("0.8 mm"), Thicker: units.MustParseLength("0.3 mm"),
	}.Shift()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("lowered", s.Lowered.Text(units.Millimeters, 1))
	fmt.Println("late by", s.Retard.Text(2))
	// Output:
	// lowered 0.5 mm
	// late by 0.95 crank deg
}

func ExampleOffsetPart_Shift() {
	a, err := camtiming.OffsetPart{
		Kind: camtiming.OffsetKey, Offset: 30 * units.Thou, Radius: units.MustParseLength("0.625 in"), Speed: camtiming.AtCrankSpeed,
	}.Shift()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(a.Text(2))
	// Output: 2.75 crank deg
}

func ExampleOffsetPart_OffsetFor() {
	e, err := camtiming.OffsetPart{Kind: camtiming.OffsetBushing, Radius: units.MustParseLength("20 mm"), Speed: camtiming.AtCamSpeed}.OffsetFor(4 * units.CrankDegree)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(e.Text(units.Millimeters, 3))
	// Output: 0.698 mm
}

func ExampleRim_Distance() {
	l, err := camtiming.Rim{Diameter: units.MustParseLength("203 mm")}.Distance(units.CrankDegree)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.Text(units.Millimeters, 2), "for a degree")
	// Output: 1.77 mm for a degree
}

func ExampleRim_Angle() {
	a, err := camtiming.Rim{Diameter: units.MustParseLength("203 mm")}.Angle(units.MustParseLength("4.43 mm"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(a.Text(2))
	// Output: 2.50 crank deg
}

func ExampleMarkCheck_Check() {
	e, err := camtiming.MarkCheck{
		Rim:    camtiming.Rim{Diameter: units.MustParseLength("160 mm")},
		Past:   units.WithU(units.MustParseLength("3 mm"), units.MustParseLength("0.25 mm")),
		TDC:    units.MustParseCrankAngle("0.2 deg"),
		Limits: camtiming.GearTrainTimingLimit(),
	}.Check()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("mark early by", e.Early.Value.Text(2))
	fmt.Println("verdict:", e.Verdict.Outcome)
	fmt.Println("10 before top on the mark is", e.True(-10*units.CrankDegree).Text(2))
	// Output:
	// mark early by 2.15 crank deg
	// verdict: not proved
	// 10 before top on the mark is -12.15 crank deg
}

func ExampleGearTrainTimingLimit() {
	fmt.Println(camtiming.GearTrainTimingLimit())
	// Output: -2.5 crank deg to 2.5 crank deg
}
