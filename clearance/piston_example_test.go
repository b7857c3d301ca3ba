package clearance_test

import (
	"fmt"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

func workboatPiston() clearance.SkirtFit {
	piston := material.Expansion{
		Base: units.Celsius(20), Lowest: units.Celsius(20), Highest: units.Celsius(300),
		Coefficient: units.Unstated(units.Expansion(20e-6)), Source: units.Source{Text: "the piston's card", Provenance: units.Stated},
	}
	return clearance.SkirtFit{
		Bore: material.Part{Size: un(102 * mm), Cold: warm(20), Expansion: gray()}, BoreAt: warm(100),
		Piston: piston, PistonCold: warm(20), GaugeHeight: 12 * mm,
		Skirt: []clearance.SkirtPoint{
			{Height: 12 * mm, Diameter: un(101880 * um), At: warm(120)},
			{Height: 70 * mm, Diameter: un(101850 * um), At: warm(180)},
		},
	}
}

// Cold 0.12 mm where its maker states it; at work the upper skirt is tight.
func ExampleSkirtFit_Clearance() {
	c, err := workboatPiston().Clearance()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("cold", c.Cold.Value.Text(units.Millimeters, 3))
	for _, h := range c.Hot {
		fmt.Println("hot", h.Clearance.Value.Text(units.Millimeters, 3))
	}
	fmt.Println("tightest at point", c.Tightest+1)
	// Output:
	// cold 0.120 mm
	// hot 0.009 mm
	// hot -0.083 mm
	// tightest at point 2
}

func ExampleRibbonPull_Clearance() {
	c, err := clearance.RibbonPull{Ribbon: un(in("0.004"))}.Clearance()
	fmt.Println(c.Value.Text(units.Inches, 4), err)
	// Output: 0.0050 in <nil>
}

func ExampleTorquePlate_Change() {
	bore := func(a, b units.Length) clearance.Round {
		return clearance.Round{Stations: []clearance.Station{{Diameters: []clearance.Diameter{{Reading: un(a)}, {Around: 90 * units.CrankDegree, Reading: un(b)}}}}}
	}
	c, err := clearance.TorquePlate{Free: bore(102*mm, 102*mm+2*um), Clamped: bore(102*mm-8*um, 102*mm+13*um)}.Change()
	fmt.Println(c.OutOfRound.Value.Text(units.Micrometers, 0), c.Most.Around.Text(0), c.Most.Change.Value.Text(units.Micrometers, 0), err)
	// Output: 19 um 90 crank deg 11 um <nil>
}

func ExampleMatching_Match() {
	sizes := func(l ...units.Length) (out []units.Measured[units.Length]) {
		for _, v := range l {
			out = append(out, un(102*mm+v*um))
		}
		return out
	}
	m, err := clearance.Matching{Bores: sizes(12, 4, 19), Shafts: sizes(-78, -70, -86, -50), Target: 90 * um}.Match()
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, p := range m.Matches {
		fmt.Println("bore", i+1, "piston", p.Shaft+1, p.Clearance.Value.Text(units.Micrometers, 0))
	}
	fmt.Println("left over", m.Spare[0]+1)
	// Output:
	// bore 1 piston 1 90 um
	// bore 2 piston 3 90 um
	// bore 3 piston 2 89 um
	// left over 4
}

func ExampleCrownReadings_Deck() {
	d, err := clearance.CrownReadings{
		Thrust: clearance.DialReadings{un(252 * um), un(248 * um)}, Opposite: clearance.DialReadings{un(190 * um)},
		ThrustOffset: 40 * mm, OppositeOffset: 40 * mm,
	}.Deck()
	fmt.Println(d.Height.Value.Text(units.Millimeters, 3), d.Rock.Value.Text(units.Millimeters, 3), err)
	// Output: 0.220 mm 0.060 mm <nil>
}

func ExampleRockRoom_Rock() {
	r, err := clearance.RockRoom{Clearance: un(90 * um), Guided: un(60 * mm), Offset: 40 * mm}.Rock()
	fmt.Println(r.Rise.Value.Text(units.Millimeters, 3), r.Angle.Text(3), err)
	// Output: 0.060 mm 0.086 crank deg <nil>
}
