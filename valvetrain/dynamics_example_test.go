package valvetrain_test

import (
	"fmt"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// boatGear is the intake gear of the workboat's engine, invented: a harmonic lobe,
// so that its figures can be checked by hand.
func boatGear() (*valvetrain.Dynamics, error) {
	lobe, err := boatLobe()
	if err != nil {
		return nil, err
	}
	return valvetrain.NewDynamics(valvetrain.DynamicsSpec{
		Curve: lobe,
		Gear:  valvetrain.ConstantRatio{Ratio: 1.5},
		Spring: valvetrain.LinearSpring{
			Height: units.MustParseLength("45 mm"), Force: units.Unstated(units.Newtons(300)), Rate: units.Unstated(units.NewtonsPerMillimeter(30)),
		},
		Installed: units.MustParseLength("45 mm"),
		Masses:    boatMasses(),
	})
}

func boatLobe() (*camtiming.LawLobe, error) {
	return camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Harmonic, MaxLift: units.MustParseLength("8 mm"), Opening: 60 * units.CamDegree, Closing: 60 * units.CamDegree,
	})
}

func boatMasses() valvetrain.MovingMasses {
	return valvetrain.MovingMasses{
		Valve: units.Grams(90), Retainer: units.Grams(20), Keepers: units.Grams(6), Spring: units.Grams(60),
		Rocker:  valvetrain.Lever{Mass: units.Grams(120), Gyration: units.MustParseLength("20 mm"), ValveArm: units.MustParseLength("40 mm")},
		Pushrod: units.Grams(45), Lifter: units.Grams(67.5),
	}
}

func boatTurning(cam units.AngularSpeed) (valvetrain.Turning, error) {
	d, err := boatGear()
	if err != nil {
		return valvetrain.Turning{}, err
	}
	return d.Turning(cam)
}

// hardened is the iron lobe under the steel of a lifter, both hardened; invented.
var hardened = valvetrain.Surfaces{
	First:  valvetrain.Elastic{Young: units.Megapascals(207000), Poisson: 0.3},
	Second: valvetrain.Elastic{Young: units.Megapascals(207000), Poisson: 0.3},
}

func ExampleMovingMasses_AtValve() {
	m, err := boatMasses().AtValve(1.5)
	show(err, fmt.Sprintf("valve %.0f g, spring %.0f g, rocker %.0f g, lifter side %.0f g: %.0f g", m.Valve.Grams(), m.Spring.Grams(), m.Rocker.Grams(), m.Lifter.Grams(), m.Total.Grams()))
	// Output:
	// valve 116 g, spring 20 g, rocker 30 g, lifter side 50 g: 216 g
}

func ExampleNewDynamics() {
	d, err := boatGear()
	if err != nil {
		fmt.Println(err)
		return
	}
	l := d.Lifted()
	fmt.Printf("%.0f g at the valve, off its seat from %s to %s\n", d.Mass().Total.Grams(), l.From.Text(0), l.To.Text(0))
	// Output:
	// 216 g at the valve, off its seat from -60 cam deg to 60 cam deg
}

// A rocker whose ratio varies through the lift.
func ExampleNewDynamics_linkage() {
	d, err := valvetrain.NewDynamics(valvetrain.DynamicsSpec{
		Curve: workboatLobe(), Gear: workboatRocker(), Masses: boatMasses(),
		Spring: valvetrain.LinearSpring{
			Height: units.MustParseLength("45 mm"), Force: units.Unstated(units.Newtons(300)), Rate: units.Unstated(units.NewtonsPerMillimeter(30)),
		},
		Installed: units.MustParseLength("45 mm"),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := d.Mass()
	// By hand, 112.5 g of pushrod and lifter: 112.5 g/1.562^2 = 46 g.
	show(nil, fmt.Sprintf("ratio %.3f at the nose, lifter side %.0f g", m.Ratio, m.Lifter.Grams()))
	// Output:
	// ratio 1.562 at the nose, lifter side 46 g
}

func ExampleDynamics() {
	d, err := boatGear()
	if err != nil {
		fmt.Println(err)
		return
	}
	t, err := d.Turning(units.RadiansPerSecond(150))
	l := d.Lifted()
	show(err, newtons(t.At(l.To).Spring), fmt.Sprintf("%.3f kg", float64(d.Mass().Total)))
	// Output:
	// 300.0 N 0.216 kg
}

func ExampleDynamics_Float() {
	d, err := boatGear()
	if err != nil {
		fmt.Println(err)
		return
	}
	f, err := d.Float()
	// By hand: sqrt(660 N/(0.216 kg * 0.054 m/rad2)) = 237.9 rad/s.
	show(err, fmt.Sprintf("floats at %.0f rpm of the crank, %s from the nose, lift %s", f.Crank.Value.RevolutionsPerMinute(), f.At.Text(1), f.Lift.Text(units.Millimeters, 2)))
	// Output:
	// floats at 4543 rpm of the crank, 0.0 cam deg from the nose, lift 12.00 mm
}

func ExampleFloat_Cautions() {
	c := valvetrain.Float{}.Cautions()
	fmt.Println(c[len(c)-1].Text)
	// Output:
	// the float speed of stiff parts is an upper bound: never run an engine up to it to see whether it holds, and never start one whose clearances are in doubt
}

func ExampleTurningLimits_Cautions() {
	for _, c := range (valvetrain.TurningLimits{}).Cautions() {
		fmt.Println(c.Source)
	}
	// Output:
	// practice of the trade (common practice)
	// practice of the trade (common practice)
	// practice of the trade (common practice)
}

func ExampleCamLimits_Cautions() {
	fmt.Println(len(valvetrain.CamLimits{}.Cautions()) > 0)
	// Output:
	// true
}

func ExampleResponse_Cautions() {
	fmt.Println(len(valvetrain.Response{}.Cautions()) > 0)
	// Output:
	// true
}

func ExampleTurning_At() {
	t, err := boatTurning(units.RadiansPerSecond(150))
	f := t.At(-20 * units.CamDegree)
	show(err, newtons(f.Spring), newtons(f.Inertia), newtons(f.AtCam), newtons(f.AtTip), fmt.Sprintf("%.2f N m", f.Torque.NewtonMeters()))
	// Output:
	// 570.0 N -131.2 N 658.2 N 487.4 N 6.84 N m
}

func ExampleTurning_Limits() {
	t, err := boatTurning(units.RadiansPerSecond(150))
	if err != nil {
		fmt.Println(err)
		return
	}
	l, err := t.Limits()
	show(err, fmt.Sprintf("cover %.3f, lobe pressed with %.1f to %.1f N, %.2f J in the springs", l.Cover, l.LeastAtCam.Force.Value.Newtons(), l.GreatestAtCam.Force.Value.Newtons(), l.Stored.Joules()))
	// Output:
	// cover 2.515, lobe pressed with 596.3 to 843.7 N, 5.76 J in the springs
}

func ExampleTurning_Contact() {
	t, err := boatTurning(0)
	if err != nil {
		fmt.Println(err)
		return
	}
	// Turned by hand, a flat lifter over a lobe 14 mm wide.
	_, err = t.Contact(valvetrain.CamFollower{Base: units.MustParseLength("18 mm"), Width: units.MustParseLength("14 mm"), Surfaces: hardened})
	fmt.Println(err)
	c, err := t.Contact(valvetrain.CamFollower{Base: units.MustParseLength("40 mm"), Width: units.MustParseLength("14 mm"), Surfaces: hardened})
	if err != nil {
		fmt.Println(err)
		return
	}
	// Undercut where 18 + 4 (1 + cos 3a) - 36 cos 3a is 0. On 40 mm the lobe's radius at the nose
	// is 40 + 8 - 36 = 12 mm, the force 1.5 * 660 N.
	p := c.At(0)
	fmt.Printf("%.1f N, %.0f MPa\n", p.Normal.Newtons(), p.Peak.Megapascals())
	// Output:
	// valvetrain: Base: "18.000 mm (0.7087 in)": impossible: the lobe is undercut at -15.5 cam deg from the nose: want a larger base circle or another follower
	// 990.0 N, 462 MPa
}

func ExampleCamContact() {
	t, err := boatTurning(0)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := t.Contact(valvetrain.CamFollower{
		Base: units.MustParseLength("40 mm"), Width: units.MustParseLength("14 mm"), Surfaces: hardened, Friction: 0.1,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	l, err := c.Limits()
	// Where the drag is largest in torque, the lobe is not pressed hardest.
	show(err, fmt.Sprintf("nose: %.2f N m of friction; a turn takes %.2f J", c.At(0).Friction.NewtonMeters(), l.Loss.Joules()))
	// Output:
	// nose: 4.75 N m of friction; a turn takes 6.75 J
}

func ExampleTurning_Response() {
	t, err := boatTurning(units.RadiansPerSecond(60))
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := t.Response(valvetrain.FlexibleTrain{Stiffness: units.NewtonsPerMillimeter(5000), Damping: 0.05})
	show(err, fmt.Sprintf("contact lost: %v, seated: %v, %d points", r.Lost, r.Seated, len(r.Points)))
	// Output:
	// contact lost: false, seated: true, 122 points
}

func ExampleFlatFace_Margin() {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: units.MustParseLength("8 mm"), Opening: 60 * units.CamDegree, Closing: 66 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	contact, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: lobe, Base: units.MustParseLength("30 mm")})
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := valvetrain.FlatFace{
		Contact: contact, Face: units.Unstated(units.MustParseLength("36 mm")), Chamfer: units.MustParseLength("0.5 mm"), Lobe: units.MustParseLength("14 mm"),
	}.Margin()
	// By hand: e = 15/8 * 8 mm/(pi/3) = 14.324 mm; 17.5 - sqrt(14.324^2 + 7^2).
	show(err, m.Opening.Text(units.Millimeters, 3), m.Closing.Text(units.Millimeters, 3))
	// Output:
	// 1.557 mm 2.716 mm
}

func ExampleLineContact_Hertz() {
	h, err := valvetrain.LineContact{
		Force: units.Newtons(1200), Length: units.MustParseLength("14 mm"),
		First: units.MustParseLength("20 mm"), Second: units.MustParseLength("8.5 mm"), Surfaces: hardened,
	}.Hertz()
	show(err, h.HalfWidth.Text(units.Millimeters, 4), fmt.Sprintf("%.0f MPa", h.Peak.Megapascals()))
	// Output:
	// 0.0757 mm 721 MPa
}

func ExamplePointContact_Hertz() {
	// A ball of 10 mm radius on a plane.
	ball := units.MustParseLength("10 mm")
	h, err := valvetrain.PointContact{Force: units.Newtons(1000), First: ball, FirstAcross: ball, Surfaces: hardened}.Hertz()
	show(err, h.Rolling.Text(units.Millimeters, 3), h.Across.Text(units.Millimeters, 3), fmt.Sprintf("%.0f MPa", h.Peak.Megapascals()))
	// Output:
	// 0.404 mm 0.404 mm 2925 MPa
}

// boatValve is the intake valve of the workboat's engine, invented.
var boatValve = valvetrain.FlowValve{
	Head: units.MustParseLength("34 mm"), Seat: units.MustParseLength("1.6 mm"), Angle: valvetrain.PlaneDegrees(45),
	Port: units.MustParseLength("30 mm"), Stem: units.MustParseLength("7 mm"),
}

func ExampleFlowValve_FlowArea() {
	for _, l := range []string{"2 mm", "6 mm", "10 mm"} {
		a, err := boatValve.FlowArea(units.MustParseLength(l))
		show(err, l, a.Stage, fmt.Sprintf("%.1f mm2, curtain %.1f mm2", a.Area.SquareMillimeters(), a.Curtain.SquareMillimeters()))
	}
	// Output:
	// 2 mm seat, slant face 141.3 mm2, curtain 213.6 mm2
	// 6 mm seat, gap 476.6 mm2, curtain 640.9 mm2
	// 10 mm throat 668.4 mm2, curtain 1068.1 mm2
}

func ExampleFlowValve_Stages() {
	s, err := boatValve.Stages()
	show(err, s.Gap.Text(units.Millimeters, 2), s.Throat.Text(units.Millimeters, 2), s.Quarter.Text(units.Millimeters, 2))
	// Output:
	// 3.20 mm 7.97 mm 8.50 mm
}

func ExampleValveEvent_MeanArea() {
	lobe, err := boatLobe()
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := valvetrain.ValveEvent{Curve: lobe, Gear: camtiming.ValveGear{Ratio: 1.5}, Valve: boatValve}.MeanArea()
	show(err, e.Duration.Text(0), fmt.Sprintf("%.2f mm2 on average, %.1f mm2 at most", e.Mean.SquareMillimeters(), e.Largest.SquareMillimeters()))
	// Output:
	// 240 crank deg 404.57 mm2 on average, 668.4 mm2 at most
}

func ExampleEventArea_In() {
	// 120000 mm2 crank degrees at 3000 rpm, 18000 degrees a second.
	a, err := valvetrain.EventArea{Area: 0.12}.In(units.RevolutionsPerMinute(3000))
	show(err, fmt.Sprintf("%.3f mm2 s", float64(a)*1e6))
	// Output:
	// 6.667 mm2 s
}

func ExampleAngleArea_SquareMillimeterCrankDegrees() {
	fmt.Println(valvetrain.AngleArea(0.125).SquareMillimeterCrankDegrees(), "mm2 crank deg")
	// Output:
	// 125000 mm2 crank deg
}

func ExampleIdealGas_SpeedOfSound() {
	a, err := valvetrain.IdealGas{Temperature: units.Celsius(15), Ratio: 1.4, Constant: 287.05}.SpeedOfSound()
	show(err, fmt.Sprintf("%.1f m/s", a.MetersPerSecond()))
	// Output:
	// 340.3 m/s
}

func ExampleInletMach_Index() {
	sound, err := valvetrain.IdealGas{Temperature: units.Kelvins(340), Ratio: 1.4, Constant: 287}.SpeedOfSound()
	if err != nil {
		fmt.Println(err)
		return
	}
	m := valvetrain.InletMach{
		Bore: units.MustParseLength("110 mm"), Stroke: units.MustParseLength("140 mm"), Valve: units.MustParseLength("44.95 mm"), Valves: 1,
		Crank: units.RevolutionsPerMinute(2800), Discharge: 0.33, Sound: sound,
	}
	z, err := m.Index()
	show(err, fmt.Sprintf("Z = %.2f at a mean piston speed of %.2f m/s", z.Index, z.Piston.MetersPerSecond()))
	d, err := m.ValveFor(0.55)
	show(err, d.Text(units.Millimeters, 2))
	// Output:
	// Z = 0.64 at a mean piston speed of 13.07 m/s
	// 48.55 mm
}
