package clearance_test

import (
	"fmt"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// workboatValve is the intake or exhaust valve of the workboat six over its
// piston, 3 mm clear at top dead center.
func workboatValve(v camtiming.Valve, lash string) *clearance.PistonValve {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: units.MustParseLength("7.62 mm"), Opening: 66 * units.CamDegree, Closing: 70 * units.CamDegree,
	})
	if err != nil {
		panic(err)
	}
	crank, err := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: units.MustParseLength("50.8 mm"), Rod: units.MustParseLength("177.8 mm")})
	if err != nil {
		panic(err)
	}
	p, err := clearance.NewPistonValve(clearance.PistonValveSpec{
		Valve: v, Lobe: lobe, Gear: units.Some(camtiming.ValveGear{Ratio: 1.5, Lash: units.MustParseLength(lash)}),
		Piston: crank, Face: clearance.PocketFloor, Lean: valvetrain.PlaneDegrees(12),
		AtTDC: units.WithU(3*units.Millimeter, 50*units.Micrometer),
	})
	if err != nil {
		panic(err)
	}
	return p
}

func ExamplePistonValve() {
	p := workboatValve(camtiming.IntakeValve, "0.3 mm")
	mm := func(l units.Length) string { return l.Text(units.Millimeters, 3) }
	centerline := 106 * units.CrankDegree

	m, _ := p.Minimum(centerline)
	fmt.Println(mm(m.Gap), "at", m.FromTDC.Text(2), m.Place)
	fmt.Println("at the top, valve closed:", mm(p.Spec().AtTDC.Value))

	lower, _ := p.Over(units.Unstated(units.MustParseLength("3.1 mm")))
	m, _ = lower.Minimum(centerline)
	fmt.Println("over a piston 0.1 mm lower:", mm(m.Gap))

	g, _ := p.At(centerline, 20*units.CrankDegree)
	fmt.Println("20 degrees after it:", mm(g.Gap))

	safe, _ := p.SafeCenterline(80 * units.Thou)
	fmt.Println("0.080 in left down to a centerline of", safe.Centerline.Text(2))

	lash, _ := p.SmallestLash(clearance.SafeLash{Centerline: centerline, Wanted: units.MustParseLength("2.729 mm")})
	fmt.Println("2.729 mm left from a lash of", mm(lash))

	gaps := make([]units.Length, 2)
	if err := p.Map(gaps, clearance.PistonValveMap{
		Separations: []units.CamAngle{110 * units.CamDegree},
		Advances:    []units.CrankAngle{0, 4 * units.CrankDegree},
	}); err != nil {
		fmt.Println(err)
	}
	fmt.Println("separation 110, advanced by 4:", mm(gaps[1]))

	r, _ := p.Radial(centerline, clearance.ValvePocket{
		Head: un(46 * units.Millimeter), Pocket: un(50 * units.Millimeter), Depth: units.MustParseLength("4.5 mm"),
	})
	fmt.Println("around the head:", mm(r.Least.Value))
	// Output:
	// 2.529 mm at 4.15 crank deg inside
	// at the top, valve closed: 3.000 mm
	// over a piston 0.1 mm lower: 2.629 mm
	// 20 degrees after it: 4.468 mm
	// 0.080 in left down to a centerline of 100.65 crank deg
	// 2.729 mm left from a lash of 0.500 mm
	// separation 110, advanced by 4: 2.529 mm
	// around the head: 1.176 mm
}

func ExampleNewPistonValve() {
	_, err := clearance.NewPistonValve(clearance.PistonValveSpec{Valve: camtiming.IntakeValve})
	fmt.Println(err)
	// Output: clearance: Lobe: missing: want a lift curve
}

func ExamplePistonValve_Sensitivity() {
	s, err := workboatValve(camtiming.IntakeValve, "0.3 mm").Sensitivity(106 * units.CrankDegree)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("per degree of advance:", s.PerAdvance.Text(units.Millimeters, 4))
	fmt.Printf("per deck: %.4f\n", s.PerDeck)
	// Output:
	// per degree of advance: -0.0807 mm
	// per deck: 0.9781
}

func ExamplePistonValveSensitivity_Gap() {
	s, err := workboatValve(camtiming.IntakeValve, "0.3 mm").Sensitivity(106 * units.CrankDegree)
	if err != nil {
		fmt.Println(err)
		return
	}
	g, _ := s.Gap(clearance.PistonValveU{
		Centerline: units.CrankDegree / 2, Lash: 20 * units.Micrometer, Deck: 30 * units.Micrometer, Ratio: 0.01, Lean: valvetrain.PlaneDegrees(0.5),
	})
	fmt.Println(g.Value.Text(units.Millimeters, 3), "u =", g.U.Text(units.Millimeters, 3))
	// Output: 2.529 mm u = 0.074 mm
}

func ExampleAdvanceWindow_Safe() {
	r, err := clearance.AdvanceWindow{
		Intake: workboatValve(camtiming.IntakeValve, "0.3 mm"), Exhaust: workboatValve(camtiming.ExhaustValve, "0.45 mm"),
		IntakeWanted: 80 * units.Thou, ExhaustWanted: 100 * units.Thou, Separation: 110 * units.CamDegree,
	}.Safe()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Lowest.Value.Text(2), "to", r.Highest.Value.Text(2))
	// Output: 0.41 crank deg to 9.35 crank deg
}

func ExampleValveStack_AtTDC() {
	c, err := clearance.ValveStack{
		Face: clearance.PocketFloor, Lean: valvetrain.PlaneDegrees(12),
		Deck: un(units.MustParseLength("0.2 mm")), Gasket: un(units.MustParseLength("1.1 mm")),
		Recess: un(units.MustParseLength("-0.4 mm")), Pocket: un(units.MustParseLength("4.5 mm")),
	}.AtTDC()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c.Along.Value.Text(units.Millimeters, 3), "along the bore,", c.Clearance.Value.Text(units.Millimeters, 3), "along the valve")
	// Output: 5.400 mm along the bore, 5.282 mm along the valve
}

func ExamplePistonValveLimits() {
	l, err := clearance.PistonValveLimits(camtiming.ExhaustValve)
	fmt.Println(l.Min.Text(units.Inches, 3), l.Source.Provenance, err)
	// Output: 0.100 in common practice <nil>
}

func ExamplePistonValveMinimum_Cautions() {
	for _, c := range (clearance.PistonValveMinimum{}).Cautions()[:1] {
		fmt.Println(c.Text)
	}
	// Output: Turn the engine by hand, with the plugs out, and never against a resistance: a valve may stand on the piston and bends.
}

// Clay of 2.1 mm, cut with no lash and on a thinner gasket than will run.
func workboatClay() clearance.ValveCheck {
	read := func(s string) units.Measured[units.Length] {
		return units.WithU(units.MustParseLength(s), 20*units.Micrometer)
	}
	return clearance.ValveCheck{
		Reading: read("2.1 mm"), Face: clearance.PocketFloor, Lean: valvetrain.PlaneDegrees(12),
		LashRunning: read("0.3 mm"), GasketAtCheck: read("0.9 mm"), GasketRunning: read("1.1 mm"), Spring: read("0.05 mm"),
	}
}

func ExampleValveCheck_Corrected() {
	g, err := workboatClay().Corrected()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(g.Gap.Value.Text(units.Millimeters, 3))
	// Output: 2.546 mm
}

func ExampleCheckedGap() {
	g, err := workboatClay().Corrected()
	if err != nil {
		fmt.Println(err)
		return
	}
	c, _ := g.Compare(units.WithU(units.MustParseLength("2.529 mm"), 74*units.Micrometer))
	fmt.Println("agrees with the computed gap:", c.Agree)
	l, _ := clearance.PistonValveLimits(camtiming.IntakeValve)
	v, _ := g.Judge(l, units.ProveAt95)
	fmt.Println(v)
	fmt.Println(len(g.Cautions()), "cautions")
	// Output:
	// agrees with the computed gap: true
	// within (ISO 14253-1:2017, 95 %)
	// 3 cautions
}
