package units_test

import (
	"fmt"

	"example.com/trialfit/units"
)

// One example for each quantity, in every unit that it has: first a value of the
// shop, then one of each unit in SI. The figures follow from 1 in = 25.4 mm,
// 1 lb = 0.45359237 kg, g = 9.80665 m/s2 and conventional mercury and water, 13595.1
// and 1000 kg/m3.

// A valve spring at its installed height.
func ExampleForce() {
	f, err := units.ParseForce("120 lbf")
	fmt.Println(f == units.PoundsForce(120), err)
	fmt.Printf("%.6g N\n", f.Newtons())
	fmt.Printf("%.6g kN\n", f.Kilonewtons())
	fmt.Printf("%.6g lbf\n", f.PoundsForce())
	fmt.Printf("%.6g ozf\n", f.OuncesForce())
	fmt.Printf("%.6g kgf\n", f.KilogramsForce())
	for _, one := range []units.Force{
		units.Newtons(1),
		units.Kilonewtons(1),
		units.PoundsForce(1),
		units.OuncesForce(1),
		units.KilogramsForce(1),
	} {
		fmt.Printf("%.6g ", one.Newtons())
	}
	// Output:
	// true <nil>
	// 533.787 N
	// 0.533787 kN
	// 120 lbf
	// 1920 ozf
	// 54.4311 kgf
	// 1 1000 4.44822 0.278014 9.80665
}

// A cranking pressure.
func ExamplePressure() {
	p, err := units.ParsePressure("150 psi")
	fmt.Println(p == units.PoundsPerSquareInch(150), err)
	fmt.Printf("%.6g Pa\n", p.Pascals())
	fmt.Printf("%.6g kPa\n", p.Kilopascals())
	fmt.Printf("%.6g MPa\n", p.Megapascals())
	fmt.Printf("%.6g bar\n", p.Bars())
	fmt.Printf("%.6g psi\n", p.PoundsPerSquareInch())
	fmt.Printf("%.6g atm\n", p.Atmospheres())
	fmt.Printf("%.6g kgf/cm2\n", p.KilogramsForcePerSquareCentimeter())
	fmt.Printf("%.6g inHg\n", p.InchesOfMercury())
	fmt.Printf("%.6g mmHg\n", p.MillimetersOfMercury())
	fmt.Printf("%.6g inH2O\n", p.InchesOfWater())
	for _, one := range []units.Pressure{
		units.Pascals(1),
		units.Kilopascals(1),
		units.Megapascals(1),
		units.Bars(1),
		units.PoundsPerSquareInch(1),
		units.Atmospheres(1),
		units.KilogramsForcePerSquareCentimeter(1),
		units.InchesOfMercury(1),
		units.MillimetersOfMercury(1),
		units.InchesOfWater(1),
	} {
		fmt.Printf("%.6g ", one.Pascals())
	}
	// Output:
	// true <nil>
	// 1.03421e+06 Pa
	// 1034.21 kPa
	// 1.03421 MPa
	// 10.3421 bar
	// 150 psi
	// 10.2069 atm
	// 10.546 kgf/cm2
	// 305.403 inHg
	// 7757.24 mmHg
	// 4151.99 inH2O
	// 1 1000 1e+06 100000 6894.76 101325 98066.5 3386.39 133.322 249.089
}

// A main cap bolt.
func ExampleTorque() {
	t, err := units.ParseTorque("70 lbf ft")
	fmt.Println(t == units.PoundFeet(70), err)
	fmt.Printf("%.6g N m\n", t.NewtonMeters())
	fmt.Printf("%.6g lbf ft\n", t.PoundFeet())
	fmt.Printf("%.6g lbf in\n", t.PoundInches())
	fmt.Printf("%.6g ozf in\n", t.OunceInches())
	fmt.Printf("%.6g kgf m\n", t.KilogramForceMeters())
	for _, one := range []units.Torque{
		units.NewtonMeters(1),
		units.PoundFeet(1),
		units.PoundInches(1),
		units.OunceInches(1),
		units.KilogramForceMeters(1),
	} {
		fmt.Printf("%.6g ", one.NewtonMeters())
	}
	// Output:
	// true <nil>
	// 94.9073 N m
	// 70 lbf ft
	// 840 lbf in
	// 13440 ozf in
	// 9.67785 kgf m
	// 1 1.35582 0.112985 0.00706155 9.80665
}

// A valve spring.
func ExampleStiffness() {
	s, err := units.ParseStiffness("350 lbf/in")
	fmt.Println(s == units.PoundsPerInch(350), err)
	fmt.Printf("%.6g N/m\n", s.NewtonsPerMeter())
	fmt.Printf("%.6g N/mm\n", s.NewtonsPerMillimeter())
	fmt.Printf("%.6g lbf/in\n", s.PoundsPerInch())
	fmt.Printf("%.6g kgf/mm\n", s.KilogramsForcePerMillimeter())
	for _, one := range []units.Stiffness{
		units.NewtonsPerMeter(1),
		units.NewtonsPerMillimeter(1),
		units.PoundsPerInch(1),
		units.KilogramsForcePerMillimeter(1),
	} {
		fmt.Printf("%.6g ", one.NewtonsPerMeter())
	}
	// Output:
	// true <nil>
	// 61294.4 N/m
	// 61.2944 N/mm
	// 350 lbf/in
	// 6.25029 kgf/mm
	// 1 1000 175.127 9806.65
}

// The area of a piston.
func ExampleArea() {
	a, err := units.ParseArea("12.5 in2")
	fmt.Println(a == units.SquareInches(12.5), err)
	fmt.Printf("%.6g m2\n", a.SquareMeters())
	fmt.Printf("%.6g cm2\n", a.SquareCentimeters())
	fmt.Printf("%.6g mm2\n", a.SquareMillimeters())
	fmt.Printf("%.6g in2\n", a.SquareInches())
	for _, one := range []units.Area{
		units.SquareMeters(1),
		units.SquareCentimeters(1),
		units.SquareMillimeters(1),
		units.SquareInches(1),
	} {
		fmt.Printf("%.6g ", one.SquareMeters())
	}
	// Output:
	// true <nil>
	// 0.0080645 m2
	// 80.645 cm2
	// 8064.5 mm2
	// 12.5 in2
	// 1 0.0001 1e-06 0.00064516
}

// The displacement of the workboat six.
func ExampleVolume() {
	v, err := units.ParseVolume("350 in3")
	fmt.Println(v == units.CubicInches(350), err)
	fmt.Printf("%.6g m3\n", v.CubicMeters())
	fmt.Printf("%.6g cm3\n", v.CubicCentimeters())
	fmt.Printf("%.6g mm3\n", v.CubicMillimeters())
	fmt.Printf("%.6g L\n", v.Liters())
	fmt.Printf("%.6g in3\n", v.CubicInches())
	fmt.Printf("%.6g ft3\n", v.CubicFeet())
	for _, one := range []units.Volume{
		units.CubicMeters(1),
		units.CubicCentimeters(1),
		units.CubicMillimeters(1),
		units.Liters(1),
		units.CubicInches(1),
		units.CubicFeet(1),
	} {
		fmt.Printf("%.6g ", one.CubicMeters())
	}
	// Output:
	// true <nil>
	// 0.00573547 m3
	// 5735.47 cm3
	// 5.73547e+06 mm3
	// 5.73547 L
	// 350 in3
	// 0.202546 ft3
	// 1 1e-06 1e-09 0.001 1.63871e-05 0.0283168
}

// A piston with its pin.
func ExampleMass() {
	m, err := units.ParseMass("620 g")
	fmt.Println(m == units.Grams(620), err)
	fmt.Printf("%.6g kg\n", m.Kilograms())
	fmt.Printf("%.6g g\n", m.Grams())
	fmt.Printf("%.6g mg\n", m.Milligrams())
	fmt.Printf("%.6g lb\n", m.Pounds())
	fmt.Printf("%.6g oz\n", m.Ounces())
	fmt.Printf("%.6g gr\n", m.Grains())
	fmt.Printf("%.6g slug\n", m.Slugs())
	for _, one := range []units.Mass{
		units.Kilograms(1),
		units.Grams(1),
		units.Milligrams(1),
		units.Pounds(1),
		units.Ounces(1),
		units.Grains(1),
		units.Slugs(1),
	} {
		fmt.Printf("%.6g ", one.Kilograms())
	}
	// Output:
	// true <nil>
	// 0.62 kg
	// 620 g
	// 620000 mg
	// 1.36687 lb
	// 21.8699 oz
	// 9568.06 gr
	// 0.0424835 slug
	// 1 0.001 1e-06 0.453592 0.0283495 6.47989e-05 14.5939
}

// A mean piston speed.
func ExampleSpeed() {
	s, err := units.ParseSpeed("2000 ft/min")
	fmt.Println(s == units.FeetPerMinute(2000), err)
	fmt.Printf("%.6g m/s\n", s.MetersPerSecond())
	fmt.Printf("%.6g ft/min\n", s.FeetPerMinute())
	fmt.Printf("%.6g ft/s\n", s.FeetPerSecond())
	fmt.Printf("%.6g in/s\n", s.InchesPerSecond())
	fmt.Printf("%.6g mph\n", s.MilesPerHour())
	for _, one := range []units.Speed{
		units.MetersPerSecond(1),
		units.FeetPerMinute(1),
		units.FeetPerSecond(1),
		units.InchesPerSecond(1),
		units.MilesPerHour(1),
	} {
		fmt.Printf("%.6g ", one.MetersPerSecond())
	}
	// Output:
	// true <nil>
	// 10.16 m/s
	// 2000 ft/min
	// 33.3333 ft/s
	// 400 in/s
	// 22.7273 mph
	// 1 0.00508 0.3048 0.0254 0.44704
}

// A piston at top dead center.
func ExampleAcceleration() {
	a, err := units.ParseAcceleration("1500 gn")
	fmt.Println(a == units.StandardGravities(1500), err)
	fmt.Printf("%.6g m/s2\n", a.MetersPerSecondSquared())
	fmt.Printf("%.6g ft/s2\n", a.FeetPerSecondSquared())
	fmt.Printf("%.6g in/s2\n", a.InchesPerSecondSquared())
	fmt.Printf("%.6g gn\n", a.StandardGravities())
	for _, one := range []units.Acceleration{
		units.MetersPerSecondSquared(1),
		units.FeetPerSecondSquared(1),
		units.InchesPerSecondSquared(1),
		units.StandardGravities(1),
	} {
		fmt.Printf("%.6g ", one.MetersPerSecondSquared())
	}
	// Output:
	// true <nil>
	// 14710 m/s2
	// 48261.1 ft/s2
	// 579133 in/s2
	// 1500 gn
	// 1 0.3048 0.0254 9.80665
}

// The workboat six at full load.
func ExampleAngularSpeed() {
	a, err := units.ParseAngularSpeed("2400 rpm")
	fmt.Println(a == units.RevolutionsPerMinute(2400), err)
	fmt.Printf("%.6g rad/s\n", a.RadiansPerSecond())
	fmt.Printf("%.6g rpm\n", a.RevolutionsPerMinute())
	fmt.Printf("%.6g rev/s\n", a.RevolutionsPerSecond())
	fmt.Printf("%.6g deg/s\n", a.DegreesPerSecond())
	for _, one := range []units.AngularSpeed{
		units.RadiansPerSecond(1),
		units.RevolutionsPerMinute(1),
		units.RevolutionsPerSecond(1),
		units.DegreesPerSecond(1),
	} {
		fmt.Printf("%.6g ", one.RadiansPerSecond())
	}
	// Output:
	// true <nil>
	// 251.327 rad/s
	// 2400 rpm
	// 40 rev/s
	// 14400 deg/s
	// 1 0.10472 6.28319 0.0174533
}

// A falling weight.
func ExampleEnergy() {
	e, err := units.ParseEnergy("100 ft lbf")
	fmt.Println(e == units.FootPounds(100), err)
	fmt.Printf("%.6g J\n", e.Joules())
	fmt.Printf("%.6g ft lbf\n", e.FootPounds())
	for _, one := range []units.Energy{
		units.Joules(1),
		units.FootPounds(1),
	} {
		fmt.Printf("%.6g ", one.Joules())
	}
	// Output:
	// true <nil>
	// 135.582 J
	// 100 ft lbf
	// 1 1.35582
}

// The workboat six.
func ExamplePower() {
	p, err := units.ParsePower("115 hp")
	fmt.Println(p == units.Horsepower(115), err)
	fmt.Printf("%.6g W\n", p.Watts())
	fmt.Printf("%.6g kW\n", p.Kilowatts())
	fmt.Printf("%.6g hp\n", p.Horsepower())
	fmt.Printf("%.6g PS\n", p.MetricHorsepower())
	fmt.Printf("%.6g hp(E)\n", p.ElectricHorsepower())
	for _, one := range []units.Power{
		units.Watts(1),
		units.Kilowatts(1),
		units.Horsepower(1),
		units.MetricHorsepower(1),
		units.ElectricHorsepower(1),
	} {
		fmt.Printf("%.6g ", one.Watts())
	}
	// Output:
	// true <nil>
	// 85755.5 W
	// 85.7555 kW
	// 115 hp
	// 116.595 PS
	// 114.954 hp(E)
	// 1 1000 745.7 735.499 746
}

// A warm oil.
func ExampleDynamicViscosity() {
	d, err := units.ParseDynamicViscosity("12 cP")
	fmt.Println(d == units.Centipoises(12), err)
	fmt.Printf("%.6g Pa s\n", d.PascalSeconds())
	fmt.Printf("%.6g cP\n", d.Centipoises())
	fmt.Printf("%.6g P\n", d.Poises())
	fmt.Printf("%.6g reyn\n", d.Reyns())
	fmt.Printf("%.6g lbf s/ft2\n", d.PoundSecondsPerSquareFoot())
	for _, one := range []units.DynamicViscosity{
		units.PascalSeconds(1),
		units.Centipoises(1),
		units.Poises(1),
		units.Reyns(1),
		units.PoundSecondsPerSquareFoot(1),
	} {
		fmt.Printf("%.6g ", one.PascalSeconds())
	}
	// Output:
	// true <nil>
	// 0.012 Pa s
	// 12 cP
	// 0.12 P
	// 1.74045e-06 reyn
	// 0.000250625 lbf s/ft2
	// 1 0.001 0.1 6894.76 47.8803
}

// The same oil.
func ExampleKinematicViscosity() {
	k, err := units.ParseKinematicViscosity("14 cSt")
	fmt.Println(k == units.Centistokes(14), err)
	fmt.Printf("%.6g m2/s\n", k.SquareMetersPerSecond())
	fmt.Printf("%.6g cSt\n", k.Centistokes())
	fmt.Printf("%.6g St\n", k.Stokes())
	for _, one := range []units.KinematicViscosity{
		units.SquareMetersPerSecond(1),
		units.Centistokes(1),
		units.Stokes(1),
	} {
		fmt.Printf("%.6g ", one.SquareMetersPerSecond())
	}
	// Output:
	// true <nil>
	// 1.4e-05 m2/s
	// 14 cSt
	// 0.14 St
	// 1 1e-06 0.0001
}

// An inlet port on the flow bench.
func ExampleFlowRate() {
	f, err := units.ParseFlowRate("210 ft3/min")
	fmt.Println(f == units.CubicFeetPerMinute(210), err)
	fmt.Printf("%.6g m3/s\n", f.CubicMetersPerSecond())
	fmt.Printf("%.6g L/s\n", f.LitersPerSecond())
	fmt.Printf("%.6g ft3/min\n", f.CubicFeetPerMinute())
	for _, one := range []units.FlowRate{
		units.CubicMetersPerSecond(1),
		units.LitersPerSecond(1),
		units.CubicFeetPerMinute(1),
	} {
		fmt.Printf("%.6g ", one.CubicMetersPerSecond())
	}
	// Output:
	// true <nil>
	// 0.099109 m3/s
	// 99.109 L/s
	// 210 ft3/min
	// 1 0.001 0.000471947
}

// An aluminum alloy.
func ExampleDensity() {
	d, err := units.ParseDensity("2.75 g/cm3")
	fmt.Println(d == units.GramsPerCubicCentimeter(2.75), err)
	fmt.Printf("%.6g kg/m3\n", d.KilogramsPerCubicMeter())
	fmt.Printf("%.6g g/cm3\n", d.GramsPerCubicCentimeter())
	fmt.Printf("%.6g lb/in3\n", d.PoundsPerCubicInch())
	for _, one := range []units.Density{
		units.KilogramsPerCubicMeter(1),
		units.GramsPerCubicCentimeter(1),
		units.PoundsPerCubicInch(1),
	} {
		fmt.Printf("%.6g ", one.KilogramsPerCubicMeter())
	}
	// Output:
	// true <nil>
	// 2750 kg/m3
	// 2.75 g/cm3
	// 0.0993501 lb/in3
	// 1 1000 27679.9
}

// A steel.
func ExampleExpansion() {
	e, err := units.ParseExpansion("12e-6 1/K")
	fmt.Println(e == units.PerKelvin(12e-6), err)
	fmt.Printf("%.6g 1/K\n", e.PerKelvin())
	fmt.Printf("%.6g 1/degF\n", e.PerDegreeFahrenheit())
	for _, one := range []units.Expansion{
		units.PerKelvin(1),
		units.PerDegreeFahrenheit(1),
	} {
		fmt.Printf("%.6g ", one.PerKelvin())
	}
	// Output:
	// true <nil>
	// 1.2e-05 1/K
	// 6.66667e-06 1/degF
	// 1 1.8
}
