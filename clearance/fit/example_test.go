package fit_test

import (
	"fmt"

	"example.com/trialfit/clearance/fit"
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

// A drawing asks for a 50 H7/p6 bushing.
func ExampleDesignation() {
	d, err := fit.ParseDesignation("50 H7/p6")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := d.Fit()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("hole  ", r.Clearance.Fit.Bore.Min, "to", r.Clearance.Fit.Bore.Max)
	fmt.Println("shaft ", r.Clearance.Fit.Shaft.Min, "to", r.Clearance.Fit.Shaft.Max)
	fmt.Println(r.Clearance.Class, "of", -r.Clearance.Max, "to", -r.Clearance.Min)
	// Output:
	// hole   50 mm to 50.025 mm
	// shaft  50.026 mm to 50.042 mm
	// interference of 0.001 mm to 0.042 mm
}

func ExampleClass() {
	for _, s := range []string{"H7", "js6", "S7", "zc8"} {
		c, err := fit.ParseClass(s)
		if err != nil {
			fmt.Println(err)
			return
		}
		d, err := c.Limits(50 * units.Millimeter)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%-4s%+.0f %+.0f um, %s\n", c, d.Upper.Micrometers(), d.Lower.Micrometers(), c.Source().Provenance)
	}
	_, err := fit.Class{Letter: "K", Grade: fit.IT9}.Limits(50 * units.Millimeter)
	fmt.Println(err)
	// Output:
	// H7  +25 +0 um, verified (secondary)
	// js6 +8 -8 um, verified (secondary)
	// S7  -34 -59 um, verified (secondary)
	// zc8 +364 +325 um, memory
	// fit: Class: "K9 at 50 mm": out of range: not in the table of ISO 286-1: K is tabulated to IT8 over 3 mm
}

func ExampleGrade() {
	t, err := fit.IT7.Tolerance(50 * units.Millimeter)
	fmt.Println(t, err)
	// Output: 0.025 mm <nil>
}

func ExampleToleranceUnit() {
	i, err := fit.ToleranceUnit(6 * units.Millimeter)
	fmt.Println(i.Text(units.Micrometers, 3), err)
	// Output: 0.733 um <nil>
}

// The workboat's water pump hub on its shaft of 2 in, a medium drive fit.
func ExampleInchClass() {
	c, err := fit.ParseInchClass("FN2")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := c.Fit(2 * units.Inch)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("hole  ", r.Clearance.Fit.Bore.Min.Text(units.Inches, 4), "to", r.Clearance.Fit.Bore.Max.Text(units.Inches, 4))
	fmt.Println("shaft ", r.Clearance.Fit.Shaft.Min.Text(units.Inches, 4), "to", r.Clearance.Fit.Shaft.Max.Text(units.Inches, 4))
	fmt.Println("interference", (-r.Clearance.Max).Text(units.Thousandths, 1), "to", (-r.Clearance.Min).Text(units.Thousandths, 1))
	fmt.Println(c.Source())
	// Output:
	// hole   2.0000 in to 2.0012 in
	// shaft  2.0020 in to 2.0027 in
	// interference 0.8 thou to 2.7 thou
	// ANSI B4.1-1967, preferred hole basis fits (verified (secondary))
}

// A bronze valve guide in the workboat's aluminum head: what the press does
// to the bore, what is left of the grip with the head hot, and how warm the head
// must be for the guide to drop in.
func ExamplePress() {
	aluminum, err1 := material.CastAluminum356.Material()
	bronze, err2 := material.BearingBronzeC93200.Material()
	if err1 != nil || err2 != nil {
		fmt.Println(err1, err2)
		return
	}
	// The source's coefficient holds to 150 degC; the builder takes it further and
	// answers for it.
	aluminum.Expansion.Highest = units.Celsius(300)
	guide := fit.Press{
		Diameter: 14 * units.Millimeter, ShaftBore: 8 * units.Millimeter, HubOutside: 30 * units.Millimeter,
		Interference: units.Unstated(40 * units.Micrometer), Hub: aluminum, Shaft: bronze,
	}
	cold, err := guide.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("pressure %.1f MPa, hub hoop %.1f MPa\n", cold.Pressure.Value.Megapascals(), cold.HubBore.Hoop.Megapascals())
	fmt.Println("ream", cold.BoreClosing.Text(units.Micrometers, 1), "back out of the bore")

	room := units.Celsius(20)
	working, err := guide.At(fit.Temperatures{Cold: room, Hub: units.WithU(units.Celsius(150), 0), Shaft: units.WithU(units.Celsius(150), 0)})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("interference at 150 degC", working.Interference.Value.Text(units.Micrometers, 1))

	parts, err := guide.Pair(room)
	if err != nil {
		fmt.Println(err)
		return
	}
	t, err := parts.Assemble(material.Assembly{Treat: material.TheBore, Other: room, Clearance: 30 * units.Micrometer})
	fmt.Printf("head at %.0f degC for 0.03 mm of room, %v\n", t.Celsius(), err)
	// Output:
	// pressure 67.5 MPa, hub hoop 105.0 MPa
	// ream 16.0 um back out of the bore
	// interference at 150 degC 33.7 um
	// head at 253 degC for 0.03 mm of room, <nil>
}

// A steel valve seat in a gray iron head, 45 mm, H7/s6 by the drawing: how tight the
// largest and the smallest interference are.
func ExamplePress_valveSeat() {
	iron, err1 := material.GrayIron.Material()
	steel, err2 := material.Steel4140.Material()
	d, err3 := fit.ParseDesignation("45 H7/s6")
	if err1 != nil || err2 != nil || err3 != nil {
		fmt.Println(err1, err2, err3)
		return
	}
	limits, err := d.Fit()
	if err != nil {
		fmt.Println(err)
		return
	}
	loss, err := fit.Roughness{Hub: 6 * units.Micrometer, Shaft: 4 * units.Micrometer}.Loss()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, interference := range []units.Length{-limits.Clearance.Max, -limits.Clearance.Min} {
		seat := fit.Press{
			Diameter: 45 * units.Millimeter, ShaftBore: 36 * units.Millimeter, HubOutside: 60 * units.Millimeter,
			Interference: units.Unstated(interference), Loss: loss, Hub: iron, Shaft: steel,
		}
		r, err := seat.Solve()
		if err != nil {
			fmt.Println(err)
			return
		}
		h, err := r.Hold(fit.Grip{Length: 7 * units.Millimeter, Friction: 0.12})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %.1f MPa, holds %.0f N\n", interference, r.Pressure.Value.Megapascals(), h.Force.Value.Newtons())
	}
	// Output:
	// 0.018 mm: 3.8 MPa, holds 454 N
	// 0.059 mm: 19.5 MPa, holds 2316 N
}

// A hollow steel wrist pin pressed into the eye of a steel rod, judged against
// limits that the builder took from the rod's drawing.
func ExamplePressed() {
	steel, err := material.Steel4340.Material()
	if err != nil {
		fmt.Println(err)
		return
	}
	pin := fit.Press{
		Diameter: 24 * units.Millimeter, ShaftBore: 15 * units.Millimeter, HubOutside: 36 * units.Millimeter,
		Interference: units.WithU(30*units.Micrometer, 1*units.Micrometer), Hub: steel, Shaft: steel,
	}
	r, err := pin.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	drawing := units.Source{Text: "the rod's drawing", Provenance: units.Stated}
	v, err := r.Judge(fit.Yield{
		Criterion: fit.VonMises,
		Hub:       units.AtMost(units.Megapascals(400), drawing),
		Shaft:     units.AtMost(units.Megapascals(600), drawing),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	h, err := r.Hold(fit.Grip{Length: 28 * units.Millimeter, Friction: 0.12, FrictionU: 0.02})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("eye %.0f MPa: %s\n", v.Hub.Measured.Value.Megapascals(), v.Hub.Outcome)
	fmt.Printf("pin %.0f MPa: %s\n", v.Shaft.Measured.Value.Megapascals(), v.Shaft.Outcome)
	fmt.Printf("%.1f kN (u = %.1f kN) to push the pin out\n", h.Force.Value.Kilonewtons(), h.Force.U.Kilonewtons())
	// Output:
	// eye 171 MPa: within
	// pin 174 MPa: within
	// 13.4 kN (u = 2.3 kN) to push the pin out
}

// How much a steel collar may be tight on a hollow shaft if its hoop stress is
// to stay at 100 MPa, and at a pressure of 38.4615 MPa.
func ExamplePress_AtHubHoop() {
	steel := material.Material{
		Young:   material.Property[units.Pressure]{Value: units.Megapascals(207e3), Source: card},
		Poisson: material.Property[float64]{Value: 0.3, Source: card},
	}
	collar := fit.Press{Diameter: 40 * units.Millimeter, ShaftBore: 20 * units.Millimeter, HubOutside: 60 * units.Millimeter, Hub: steel, Shaft: steel}
	r, err := collar.AtHubHoop(units.Megapascals(100))
	if err != nil {
		fmt.Println(err)
		return
	}
	same, err := collar.AtPressure(r.Pressure.Value)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f MPa, bore before assembly %s, %t\n", r.Pressure.Value.Megapascals(), (collar.Diameter-r.Press.Interference.Value).Text(units.Millimeters, 3), same.Press.Interference == r.Press.Interference)
	// Output: 38.46 MPa, bore before assembly 39.968 mm, true
}

func ExamplePress_AtPressure() {
	p := guide()
	r, err := p.AtPressure(units.Megapascals(50))
	fmt.Println(r.Press.Interference.Value.Text(units.Micrometers, 2), err)
	// Output: 29.65 um <nil>
}

func ExampleRoughness() {
	loss, err := fit.Roughness{Hub: units.MustParseLength("6.3 um"), Shaft: 4 * units.Micrometer}.Loss()
	fmt.Println(loss.Text(units.Micrometers, 2), err)
	// Output: 8.24 um <nil>
}

func ExampleStress() {
	s := fit.Stress{Hoop: units.Megapascals(80), Radial: units.Megapascals(-60)}
	for _, c := range []fit.Criterion{fit.Tresca, fit.VonMises} {
		e, err := s.Equivalent(c)
		fmt.Printf("%s %.1f MPa, %v\n", c, e.Megapascals(), err)
	}
	// Output:
	// Tresca 140.0 MPa, <nil>
	// von Mises 121.7 MPa, <nil>
}
