package clearance_test

import (
	"fmt"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

func gray() material.Expansion {
	m, _ := material.GrayIron.Material()
	return m.Expansion
}

func warm(c float64) units.Measured[units.Temperature] { return units.Unstated(units.Celsius(c)) }

func ironRing() clearance.RingHeat {
	return clearance.RingHeat{
		Bore: material.Part{Size: un(102 * mm), Cold: warm(20), Expansion: gray()}, Ring: gray(),
		BoreAt: warm(90), RingAt: warm(100),
	}
}

// An iron ring 10 K hotter than its iron bore: 11.4e-6 x 10 x pi x 102 mm,
// over a growth of 0.1 %.
func ExampleRingHeat_MinimumGap() {
	g, err := ironRing().MinimumGap(0)
	fmt.Println(g.Cold.Value.Text(units.Millimeters, 3), err)
	// Output: 0.036 mm <nil>
}

// A top ring at 200 degC in a bore at 120 degC, both gray iron with means to
// 400 degC: 11.7e-6 x 180 and (10.0 + 1.7 x 220/300)e-6 x 100 of growth.
func ExampleRingHeat_MinimumGap_topRing() {
	m, err := material.GrayIronGJL250.Material()
	if err != nil {
		fmt.Println(err)
		return
	}
	g, err := clearance.RingHeat{
		Bore: material.Part{Size: un(102 * mm), Cold: warm(20), Expansion: m.Expansion}, Ring: m.Expansion,
		BoreAt: warm(120), RingAt: warm(200),
	}.MinimumGap(0)
	fmt.Println(g.Cold.Value.Text(units.Millimeters, 3), err)
	// Output: 0.314 mm <nil>
}

func ExampleRingHeat_HotGap() {
	g, err := ironRing().HotGap(un(450 * um))
	fmt.Println(g.Hot.Value.Text(units.Millimeters, 3), err)
	// Output: 0.414 mm <nil>
}

// Gapped at the bottom of a worn bore, the ring opens by pi times the wear.
func ExampleGapTravel_Along() {
	g, err := clearance.GapTravel{
		Bore: clearance.Round{Stations: []clearance.Station{
			{At: 0, Diameters: []clearance.Diameter{{Reading: un(102 * mm)}}},
			{At: 20 * mm, Diameters: []clearance.Diameter{{Reading: un(102*mm + 100*um)}}},
			{At: 110 * mm, Diameters: []clearance.Diameter{{Reading: un(102 * mm)}}},
		}},
		Gap: un(450 * um), At: 110 * mm,
	}.Along()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range g.Places {
		fmt.Println(p.At.Text(units.Millimeters, 0), p.Gap.Value.Text(units.Millimeters, 3))
	}
	// Output:
	// 0 mm 0.450 mm
	// 20 mm 0.764 mm
	// 110 mm 0.450 mm
}

func ExampleFilingPlan_Plan() {
	steps, err := clearance.FilingPlan{
		{Gap: un(in("0.0120")), Target: in("0.0165")},
		{Gap: un(in("0.0172")), Target: in("0.0165")},
	}.Plan()
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, s := range steps {
		fmt.Println("ring", i+1, "file", s.Remove.Value.Text(units.Inches, 4), "over", s.Over, s.Excess.Text(units.Inches, 4))
	}
	// Output:
	// ring 1 file 0.0045 in over false 0.0000 in
	// ring 2 file 0.0000 in over true 0.0007 in
}

func ExampleRingGroove() {
	g := clearance.RingGroove{
		GrooveWidth: un(2045 * um), RingWidth: un(1990 * um),
		Bore: un(102 * mm), Root: un(92600 * um), Thickness: un(4250 * um),
	}
	side, err := g.SideClearance()
	fmt.Println(side.Side.Value.Text(units.Millimeters, 3), err)
	back, err := g.BackClearance()
	fmt.Println(back.Back.Value.Text(units.Millimeters, 3), err)
	// Output:
	// 0.055 mm <nil>
	// 0.450 mm <nil>
}

// Three gaps, clear of the thrust faces (90 and 270 degrees) by 30 degrees.
func ExampleGapStagger_Positions() {
	deg := units.CrankDegree
	p, err := clearance.GapStagger{Gaps: 3, Avoid: []clearance.Arc{{Center: 90 * deg, HalfWidth: 30 * deg}, {Center: 270 * deg, HalfWidth: 30 * deg}}}.Positions()
	fmt.Println(p.Spacing.Text(0), err)
	for _, g := range p.Gaps {
		fmt.Println(g.Text(0))
	}
	// Output:
	// 120 crank deg <nil>
	// 120 crank deg
	// 240 crank deg
	// 0 crank deg
}
