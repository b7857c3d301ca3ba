package clearance_test

import (
	"fmt"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

func unVolume(cc float64) units.Measured[units.Volume] {
	return units.Unstated(units.CubicCentimeters(cc))
}

// workboatCylinder is one cylinder of the workboat six.
func workboatCylinder() clearance.Compression {
	l := func(s string) units.Measured[units.Length] { return un(units.MustParseLength(s)) }
	return clearance.Compression{
		Bore: l("101.6 mm"), Stroke: l("101.6 mm"), Head: unVolume(62), Crown: unVolume(4.5),
		GasketBore: l("104 mm"), Gasket: l("1.1 mm"), Deck: l("0.25 mm"), Land: l("100.9 mm"), TopRing: l("7.5 mm"),
	}
}

func ExampleDisplacement_Volume() {
	v, err := clearance.Displacement{Bore: 84 * units.Millimeter, Stroke: 84 * units.Millimeter, Cylinders: 6}.Volume()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f cm3\n", v.CubicCentimeters())
	// Output: 2793 cm3
}

func ExampleBurette_Crown() {
	v, err := clearance.Burette{Bore: un(units.MustParseLength("101.6 mm")), Drop: un(12 * units.Millimeter), Filled: unVolume(85.5)}.Crown()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f cm3: a dome\n", v.Value.CubicCentimeters())
	// Output: -11.79 cm3: a dome
}

func ExampleCompression() {
	c := workboatCylinder()
	v, err := c.Volumes()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f cm3 left, %.2f to 1\n", v.Clearance.Value.CubicCentimeters(), float64(v.Ratio.Value))

	r, _ := c.ForRatio(9.75)
	fmt.Printf("9.75 to 1 with a gasket of %s or a chamber of %.2f cm3\n", r.Gasket.Value.Text(units.Millimeters, 2), r.Head.Value.CubicCentimeters())

	k, _ := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: units.MustParseLength("50.8 mm"), Rod: units.MustParseLength("177.8 mm")})
	e, _ := c.Effective(clearance.IntakeClosing{Piston: k, IVC: 62 * units.CrankDegree, Advance: 4 * units.CrankDegree})
	fmt.Printf("effective %.2f to 1\n", float64(e.Ratio.Value))
	// Output:
	// 78.71 cm3 left, 11.47 to 1
	// 9.75 to 1 with a gasket of 2.92 mm or a chamber of 77.43 cm3
	// effective 9.55 to 1
}

func ExampleSquish_Clearance() {
	c, err := clearance.Squish{
		Deck: un(-50 * units.Micrometer), Gasket: un(1200 * units.Micrometer), Recess: un(100 * units.Micrometer), Growth: un(300 * units.Micrometer),
	}.Clearance()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c.Static.Value.Text(units.Millimeters, 2), "assembled,", c.Running.Value.Text(units.Millimeters, 2), "running")
	// Output: 1.25 mm assembled, 0.95 mm running
}

func ExampleGasketPair_Crush() {
	c, err := clearance.GasketPair{New: un(1520 * units.Micrometer), Compressed: un(1240 * units.Micrometer)}.Crush()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s, %.1f %%\n", c.Crush.Value.Text(units.Millimeters, 2), 100*c.OfNew)
	// Output: 0.28 mm, 18.4 %
}

func ExampleGasketChoice_Table() {
	builder := units.Source{Text: "the builder's own limits", Provenance: units.Stated}
	lines, err := clearance.GasketChoice{
		Compression: workboatCylinder(), Growth: un(450 * units.Micrometer),
		Gaskets: []units.Measured[units.Length]{un(700 * units.Micrometer), un(900 * units.Micrometer), un(1100 * units.Micrometer), un(1400 * units.Micrometer)},
		Ratio:   units.Between(clearance.CompressionRatio(10.5), 11.6, builder),
		Squish:  units.Between(600*units.Micrometer, units.Millimeter, builder),
		Rule:    units.SimpleAcceptance,
	}.Table()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range lines {
		fmt.Printf("%s %.2f %s %s\n", l.Gasket.Value.Text(units.Millimeters, 1), float64(l.Volumes.Ratio.Value), l.Squish.Running.Value.Text(units.Millimeters, 2), l.Outcome)
	}
	// Output:
	// 0.7 mm 11.94 0.50 mm outside
	// 0.9 mm 11.70 0.70 mm outside
	// 1.1 mm 11.47 0.90 mm within
	// 1.4 mm 11.14 1.20 mm outside
}

// How long a piston dwells at its top: the crank angle over which it stays
// within a depth.
func Example_pistonDwell() {
	k, err := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: units.MustParseLength("1.74 in"), Rod: units.MustParseLength("5.7 in")})
	if err != nil {
		fmt.Println(err)
		return
	}
	d, _ := k.Drop(50 * units.Thou)
	fmt.Println("within 0.050 in over", (d.Before + d.After).Text(2))
	// Output: within 0.050 in over 24.12 crank deg
}
