package material_test

import (
	"fmt"

	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

// The workboat's pistons: 0.1 mm of clearance on the bench, and what is left of
// it with a warm block and a hotter piston.
func ExamplePair_Hot() {
	iron, _ := material.GrayIron.Material()
	piston, _ := material.PistonA132.Material()
	bench := units.WithU(units.Celsius(20), units.Kelvins(1))
	p := material.Pair{
		Bore:  material.Part{Size: units.WithU(units.MustParseLength("84.000 mm"), units.Micrometer), Cold: bench, Expansion: iron.Expansion},
		Shaft: material.Part{Size: units.WithU(units.MustParseLength("83.900 mm"), units.Micrometer), Cold: bench, Expansion: piston.Expansion},
	}
	h, err := p.Hot(material.Warm{
		Bore: units.WithU(units.Celsius(95), units.Kelvins(5)), Shaft: units.WithU(units.Celsius(110), units.Kelvins(10)),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("clearance", h.Clearance.Value.Text(units.Millimeters, 4), "u", h.Clearance.U.Text(units.Millimeters, 3))
	fmt.Println("change", h.Change.Value.Text(units.Millimeters, 4))
	// Output:
	// clearance 0.0284 mm u 0.017 mm
	// change -0.0716 mm
}

// How warm the piston must be for its pin to slide in.
func ExamplePair_Assemble() {
	piston, _ := material.PistonA132.Material()
	steel, _ := material.Steel4140.Material()
	bench := units.Unstated(units.Celsius(20))
	p := material.Pair{
		Bore:  material.Part{Size: units.Unstated(units.MustParseLength("21.995 mm")), Cold: bench, Expansion: piston.Expansion},
		Shaft: material.Part{Size: units.Unstated(units.MustParseLength("22.000 mm")), Cold: bench, Expansion: steel.Expansion},
	}
	t, err := p.Assemble(material.Assembly{Treat: material.TheBore, Other: units.Celsius(20), Clearance: 15 * units.Micrometer})
	fmt.Printf("%.1f degC %v\n", t.Celsius(), err)
	// Output:
	// 67.9 degC <nil>
}

func ExamplePart() {
	iron, _ := material.GrayIron.Material()
	bore := material.Part{Size: units.Unstated(units.MustParseLength("84.000 mm")), Cold: units.Unstated(units.Celsius(20)), Expansion: iron.Expansion}
	warm := units.Unstated(units.Celsius(95))
	size, _ := bore.At(warm)
	growth, _ := bore.Growth(warm)
	fmt.Println(size.Value.Text(units.Millimeters, 4), growth.Value.Text(units.Millimeters, 4))
	// The source gives a room-temperature mean: it says nothing about a red heat.
	_, err := bore.At(units.Unstated(units.Celsius(600)))
	fmt.Println(err)
	// Output:
	// 84.0718 mm 0.0718 mm
	// material: t: "600 degC": out of range: the source of the coefficient holds from -20 degC to 150 degC
}

// A piston just out of the washer, measured with a micrometer that is cooler.
func ExampleGauging() {
	piston, _ := material.PistonA132.Material()
	steel, _ := material.Steel1020.Material()
	g := material.Gauging{
		Part: piston.Expansion, Gauge: steel.Expansion,
		PartAt: units.Celsius(32), GaugeAt: units.Celsius(24), Reference: units.Celsius(20),
	}
	size, _ := g.Size(units.MustParseLength("83.950 mm"))
	reads, _ := g.Reads(size)
	fmt.Println(size.Text(units.Millimeters, 4), reads.Text(units.Millimeters, 4))
	// Output:
	// 83.9348 mm 83.9500 mm
}

func ExampleExpansion() {
	steel, _ := material.Steel1020.Material()
	ratio, _ := steel.Expansion.Ratio(material.Change{From: units.Celsius(20), To: units.Celsius(120)})
	mean, _ := steel.Expansion.Mean(material.Change{From: units.Celsius(25), To: units.Celsius(100)})
	fmt.Printf("%.5f, %.3f millionths per kelvin\n", ratio, mean.PerKelvin()*1e6)
	// Output:
	// 1.00117, 11.699 millionths per kelvin
}

// A material of the builder's own: the coefficient from the part maker's sheet.
func ExampleMaterial() {
	own := material.Material{
		Name: "piston alloy as on its sheet",
		Expansion: material.Expansion{
			Base: units.Celsius(20), Lowest: units.Celsius(0), Highest: units.Celsius(250),
			Coefficient: units.WithU(units.PerKelvin(20.5e-6), units.PerKelvin(0.3e-6)),
			Source:      units.Source{Text: "the part maker's sheet", Provenance: units.Stated},
		},
	}
	ratio, _ := own.Expansion.Ratio(material.Change{From: units.Celsius(20), To: units.Celsius(220)})
	fmt.Printf("%.4f\n", ratio)
	_, err := own.ShearModulus()
	fmt.Println(err)
	steel, _ := material.Steel1040.Material()
	g, _ := steel.ShearModulus()
	fmt.Printf("%.1f GPa\n", g.Megapascals()/1e3)
	// Output:
	// 1.0041
	// material: Young: missing: want the modulus of elasticity and its source
	// 79.6 GPa
}

func ExampleAlloy() {
	a, err := material.ParseAlloy("aluminum 6061")
	if err != nil {
		fmt.Println(err)
		return
	}
	m, _ := a.Material()
	fmt.Printf("%.1f millionths per kelvin, %.2f g/cm3, %v\n",
		m.Expansion.Coefficient.Value.PerKelvin()*1e6, m.Density.Value.GramsPerCubicCentimeter(), m.Expansion.Source.Provenance)
	// Output:
	// 23.6 millionths per kelvin, 2.70 g/cm3, verified
}

func ExampleAlloys() {
	for _, a := range material.Alloys()[:3] {
		fmt.Println(a)
	}
	// Output:
	// gray iron
	// gray iron EN-GJL-250
	// ductile iron 60-40-18
}
