package camtiming_test

import (
	"fmt"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// exampleCrank is the workboat six from below: 3.480 in of stroke, a rod of
// 5.700 in, the piston pin 0.060 in off the middle.
func exampleCrank() *camtiming.SliderCrank {
	k, err := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{
		Throw: units.MustParseLength("1.740 in"), Rod: units.MustParseLength("5.700 in"), Offset: units.MustParseLength("0.060 in"),
	})
	if err != nil {
		panic(err)
	}
	return k
}

// A wheel set by eye, a stop screwed into the plug hole, a contact from each
// side, each reading good to a standard uncertainty of a quarter degree.
func ExampleFindTDC() {
	read := func(s string) units.Measured[units.CrankAngle] {
		return units.WithU(units.MustParseCrankAngle(s), units.CrankDegree/4)
	}
	r, err := camtiming.FindTDC(camtiming.TDCInput{
		Stops:    []camtiming.StopContacts{{Before: read("318.5 deg"), After: read("37.0 deg")}},
		Geometry: exampleCrank(),
		OffsetU:  units.MustParseLength("0.005 in"),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	p := r.Pairs[0]
	fmt.Println("midpoint:", p.Midpoint.Text(2), "late by", p.Error.Text(3))
	fmt.Println("top dead center:", r.Wheel.TDC.Value.Text(2), "u =", r.Wheel.TDC.U.Text(2))
	fmt.Println("stop below the top:", p.Depth.Value.Text(units.Inches, 3))
	// Output:
	// midpoint: 357.75 crank deg late by 0.033 crank deg
	// top dead center: 357.72 crank deg u = 0.18 crank deg
	// stop below the top: 0.500 in
}

// The same dial at three depths: the deeper drop tells more, and all together
// tell whether they agree.
func ExampleFindTDC_drops() {
	read := func(s string) units.Measured[units.CrankAngle] {
		return units.WithU(units.MustParseCrankAngle(s), units.CrankDegree/4)
	}
	drop := func(depth, before, after string) camtiming.PistonDrop {
		return camtiming.PistonDrop{Depth: units.WithU(units.MustParseLength(depth), units.Thou), Before: read(before), After: read(after)}
	}
	r, err := camtiming.FindTDC(camtiming.TDCInput{
		Drops: []camtiming.PistonDrop{
			drop("0.020 in", "351.5 deg", "6.75 deg"),
			drop("0.100 in", "341.75 deg", "15.75 deg"),
			drop("0.300 in", "329.0 deg", "28.75 deg"),
		},
		Geometry: exampleCrank(),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range r.Pairs {
		fmt.Println(p.Depth.Value.Text(units.Inches, 3), p.TDC.Text(2), "u =", p.U.Text(2))
	}
	fmt.Println("together:", r.Wheel.TDC.Value.Text(2), "u =", r.Wheel.TDC.U.Text(2))
	fmt.Printf("they disagree as much by chance in %.0f %% of cases\n", 100*r.PValue)
	// Output:
	// 0.020 in 359.12 crank deg u = 0.22 crank deg
	// 0.100 in 358.74 crank deg u = 0.19 crank deg
	// 0.300 in 358.86 crank deg u = 0.18 crank deg
	// together: 358.88 crank deg u = 0.11 crank deg
	// they disagree as much by chance in 42 % of cases
}

func ExampleTDCResult_Working() {
	r, err := camtiming.FindTDC(camtiming.TDCInput{Stops: []camtiming.StopContacts{{
		Before: units.WithU(units.MustParseCrankAngle("331 deg"), units.CrankDegree/4),
		After:  units.WithU(units.MustParseCrankAngle("27 deg"), units.CrankDegree/4),
	}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range r.Working() {
		fmt.Println(s.Symbol, "=", s.Formula, "=", s.Value)
	}
	// Output:
	// midpoint 1 = before + half, of a stop = 359.000 crank deg
	// u 1 = sqrt(u_wheel^2 + u_dial^2) = 0.177 crank deg
	// u = sqrt(u_readings^2 + u_offset^2 + u_play^2 + u_common^2) = 0.177 crank deg
}

// The wheel stays where it is; what it reads later is corrected.
func ExampleDegreeWheel_FromTDC() {
	w := camtiming.DegreeWheel{TDC: units.WithU(units.MustParseCrankAngle("357.75 deg"), units.CrankDegree/5)}
	m, err := w.FromTDC(units.WithU(units.MustParseCrankAngle("103.5 deg"), units.CrankDegree/4))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(m.Value.Text(2), "after top dead center, u =", m.U.Text(2))
	// Output:
	// 105.75 crank deg after top dead center, u = 0.32 crank deg
}

// Where the wheel reads when the intake lobe should be at its nose.
func ExampleDegreeWheel_Reading() {
	w := camtiming.DegreeWheel{TDC: units.Unstated(units.MustParseCrankAngle("357.75 deg"))}
	a, err := w.Reading(units.MustParseCrankAngle("106 deg"))
	fmt.Println(a, err)
	// Output:
	// 103.75 crank deg <nil>
}

func ExampleDegreeWheel_Shift() {
	w := camtiming.DegreeWheel{TDC: units.Unstated(units.MustParseCrankAngle("357.75 deg"))}
	a, err := w.Shift()
	fmt.Println(a, err)
	// Output:
	// 2.25 crank deg <nil>
}

// A dial at the top against the same dial on the flanks.
func ExampleSliderCrank_DialAtTop() {
	d, err := exampleCrank().DialAtTop(units.Thou)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("one thousandth hides", d.Arc.Text(1), "and leaves u =", d.U.Text(2))
	// Output:
	// one thousandth hides 3.4 crank deg and leaves u = 0.98 crank deg
}

func ExampleNewSliderCrank() {
	_, err := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{
		Throw: units.MustParseLength("3.480 in"), // the stroke, by mistake
		Rod:   units.MustParseLength("3.400 in"),
	})
	fmt.Println(err)
	// Output:
	// camtiming: Rod: "86.36 mm": impossible: want a rod longer than throw and offset together, else the crank cannot turn; is the throw half the stroke?
}

func ExampleSliderCrank_DeadCenters() {
	d := exampleCrank().DeadCenters()
	fmt.Println("top", d.TDC.Text(3), "past the bore-parallel")
	fmt.Println("down", d.Down.Text(2), "up", d.Up.Text(2))
	fmt.Println("stroke", d.Stroke.Text(units.Inches, 4))
	// Output:
	// top 0.462 crank deg past the bore-parallel
	// down 180.41 crank deg up 179.59 crank deg
	// stroke 3.4802 in
}

func ExampleSliderCrank_Travel() {
	fmt.Println(exampleCrank().Travel(units.MustParseCrankAngle("-20 deg")).Text(units.Inches, 4))
	// Output:
	// 0.1362 in
}

func ExampleSliderCrank_Motion() {
	m := exampleCrank().Motion(30 * units.CrankDegree)
	w := units.RevolutionsPerMinute(2400)
	fmt.Println("down", m.Travel.Text(units.Inches, 3))
	fmt.Printf("%.5f in per crank degree, %.1f ft/s\n", m.Velocity.InchesPerCrankDegree(), m.Velocity.At(w).FeetPerSecond())
	fmt.Printf("%.0f gn\n", m.Acceleration.At(w).StandardGravities())
	fmt.Printf("rod at %.1f degrees\n", m.Rod.Degrees())
	// Output:
	// down 0.300 in
	// 0.01921 in per crank degree, 23.1 ft/s
	// 291 gn
	// rod at 8.3 degrees
}

func ExamplePistonVelocity_At() {
	v := exampleCrank().Motion(90 * units.CrankDegree).Velocity
	fmt.Printf("%.2f m/s\n", v.At(units.RevolutionsPerMinute(2400)).MetersPerSecond())
	// Output:
	// 11.08 m/s
}

func ExamplePistonAcceleration_At() {
	a := exampleCrank().Motion(0).Acceleration
	fmt.Printf("%.0f m/s2\n", a.At(units.RevolutionsPerMinute(2400)).MetersPerSecondSquared())
	// Output:
	// 3644 m/s2
}

func ExampleSliderCrank_MeanSpeed() {
	fmt.Printf("%.0f ft/min\n", exampleCrank().MeanSpeed(units.RevolutionsPerMinute(2400)).FeetPerMinute())
	// Output:
	// 1392 ft/min
}

func ExampleSliderCrank_Fastest() {
	f := exampleCrank().Fastest()
	fmt.Println("down:", f.Down.FromTDC.Text(2), "up:", f.Up.FromTDC.Text(2))
	// Output:
	// down: 74.34 crank deg up: -74.28 crank deg
}

func ExampleSliderCrank_Drop() {
	d, err := exampleCrank().Drop(units.MustParseLength("0.200 in"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("before", d.Before.Text(3), "after", d.After.Text(3), "midpoint", d.Midpoint.Text(3))
	// Output:
	// before 24.330 crank deg after 24.355 crank deg midpoint 0.013 crank deg
}

func ExampleSliderCrank_MidpointError() {
	e, err := exampleCrank().MidpointError(units.MustParseCrankAngle("39.25 deg"))
	fmt.Println(e.Text(3), err)
	// Output:
	// 0.033 crank deg <nil>
}
