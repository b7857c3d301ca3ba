package evaluation

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/internal/reference"
	"example.com/trialfit/units"
)

func unitsCases() []Case {
	return []Case{
		{"unit factor", unitSymbols(), convert},
		{"unit conversion", unitSymbols("in3", "cm3", "in", "mm", "lbf ft", "N m", "lbf/in", "N/mm", "psi", "kPa", "rpm", "rad/s", "cSt", "mm2/s"), convert},
		{"angle conversion", []string{
			"units.ParseCrankAngle", "units.ParseCamAngle", "units.CrankDegrees", "units.CamDegrees",
			"units.CrankAngle.Degrees", "units.CamAngle.Degrees", "units.CrankAngle.Radians", "units.CamAngle.Radians",
			"units.CrankAngle", "units.CamAngle",
		}, convertAngle},
		{"temperature conversion", []string{
			"units.Temperature", "units.Celsius", "units.Fahrenheit", "units.Kelvins", "units.ParseTemperature",
			"units.Temperature.Celsius", "units.Temperature.Fahrenheit", "units.Temperature.Kelvins",
		}, convertTemperature},
		{"temperature difference", []string{
			"units.TemperatureDifference", "units.KelvinsDifference", "units.FahrenheitDifference",
			"units.ParseTemperatureDifference", "units.TemperatureDifference.Kelvins",
			"units.TemperatureDifference.FahrenheitDegrees", "units.Temperature.Sub", "units.Temperature.Add",
		}, convertDifference},
		{"conformance probability", []string{"units.ConformanceProbability"}, conformanceProbability},
		{"specific risk of the guard band", []string{"units.Judge", "units.ConformanceProbability"}, specificRisk},
		{"guard factor", []string{"units.GuardFactor"}, guardFactor},
		{"length rounded half to even", []string{
			"units.Length.Text", "units.Length.AppendIn", "units.ParseReading", "units.Reading.String", "units.Length.Decimal",
			"units.LengthFromDecimal",
		}, roundedLength},
		{"resolution uncertainty", []string{"units.Reading.ResolutionUncertainty", "units.Reading.Resolution"}, resolution},
		crankFunction("sine", "units.CrankAngle.Sin", units.CrankAngle.Sin),
		crankFunction("cosine", "units.CrankAngle.Cos", units.CrankAngle.Cos),
		camFunction("sine", "units.CamAngle.Sin", units.CamAngle.Sin),
		camFunction("cosine", "units.CamAngle.Cos", units.CamAngle.Cos),
		crankFunction("within one cycle", "units.CrankAngle.Wrap", func(a units.CrankAngle) float64 { return a.Wrap().Degrees() }),
		crankFunction("within one turn", "units.CrankAngle.WrapTurn", func(a units.CrankAngle) float64 { return a.WrapTurn().Degrees() }),
		crankFunction("as cam degrees", "units.CrankAngle.Cam", func(a units.CrankAngle) float64 { return a.Cam().Degrees() }),
		camFunction("as crank degrees", "units.CamAngle.Crank", func(a units.CamAngle) float64 { return a.Crank().Degrees() }),
		liftRate("lift slope in inches per cam degree", "units.LiftVelocity.InchesPerCamDegree", units.LiftVelocity.InchesPerCamDegree),
		liftRate("lift slope in inches per crank degree", "units.LiftVelocity.InchesPerCrankDegree", units.LiftVelocity.InchesPerCrankDegree),
		liftRate("lift slope in millimeters per cam degree", "units.LiftVelocity.MillimetersPerCamDegree", units.LiftVelocity.MillimetersPerCamDegree),
		liftRate("lift acceleration in inches", "units.LiftAcceleration.InchesPerCamDegree2", units.LiftAcceleration.InchesPerCamDegree2),
		liftRate("lift jerk in inches", "units.LiftJerk.InchesPerCamDegree3", units.LiftJerk.InchesPerCamDegree3),
		twist("twist per inch", "units.Twist.CrankDegreesPerInch", sure(units.Twist.CrankDegreesPerInch)),
		twist("twist per meter", "units.Twist.CrankDegreesPerMeter", sure(units.Twist.CrankDegreesPerMeter)),
		twist("twist over a foot", "units.Twist.Over", func(t units.Twist) (float64, error) {
			a, err := t.Over(units.Foot)
			return a.Degrees(), err
		}),
	}
}

// unit is one unit of one type of package units, with the functions that
// carry a number into the type and back.
type unit struct {
	quantity    string // the type
	symbol      string // as the parser reads it
	gnu         string // as GNU units reads it
	constructor string // "units.PoundsForce"
	accessor    string // "units.Force.PoundsForce", "" if there is none
	parser      string
	in          func(float64) (float64, error) // a number of this unit, in SI or counts
	out         func(float64) (float64, error) // the inverse
	parse       func(string) (float64, error)
}

func si[T ~float64](symbol, gnu, name string, in func(float64) T, out func(T) float64, parse func(string) (T, error)) unit {
	typ := strings.TrimPrefix(fmt.Sprintf("%T", T(0)), "units.")
	return unit{
		quantity: typ, symbol: symbol, gnu: gnu,
		constructor: "units." + name, accessor: "units." + typ + "." + name, parser: "units.Parse" + typ,
		in:  func(x float64) (float64, error) { return float64(in(x)), nil },
		out: func(v float64) (float64, error) { return out(T(v)), nil },
		parse: func(s string) (float64, error) {
			v, err := parse(s)
			return float64(v), err
		},
	}
}

// ofLength is a unit of length. The count of picometers is a float64 here,
// exact for every factor of the tables.
func ofLength(u units.LengthUnit, gnu, accessor string, out func(units.Length) float64) unit {
	return unit{
		quantity: "Length", symbol: u.Symbol(), gnu: gnu,
		constructor: "units.LengthOf", accessor: accessor, parser: "units.ParseLength",
		in: func(x float64) (float64, error) {
			l, err := units.LengthOf(x, u)
			return float64(l), err
		},
		out: func(v float64) (float64, error) {
			l := units.Length(v)
			if a, b := l.In(u), out(l); a != b {
				return 0, fmt.Errorf("%s: In gives %v, the accessor %v", l, a, b)
			}
			return out(l), nil
		},
		parse: func(s string) (float64, error) {
			l, err := units.ParseLength(s)
			return float64(l), err
		},
	}
}

func inUnit(u units.LengthUnit) func(units.Length) float64 {
	return func(l units.Length) float64 { return l.In(u) }
}

// unitTable returns every unit that a factor row may name.
func unitTable() []unit {
	return []unit{
		ofLength(units.Inches, "in", "units.Length.Inches", units.Length.Inches),
		ofLength(units.Thousandths, "mil", "units.Length.Thousandths", units.Length.Thousandths),
		ofLength(units.Microinches, "microinch", "", inUnit(units.Microinches)),
		ofLength(units.Feet, "ft", "", inUnit(units.Feet)),
		ofLength(units.Millimeters, "mm", "units.Length.Millimeters", units.Length.Millimeters),
		ofLength(units.Micrometers, "um", "units.Length.Micrometers", units.Length.Micrometers),
		ofLength(units.Nanometers, "nm", "", inUnit(units.Nanometers)),
		ofLength(units.Centimeters, "cm", "", inUnit(units.Centimeters)),
		ofLength(units.Meters, "m", "units.Length.Meters", units.Length.Meters),
		si("N", "N", "Newtons", units.Newtons, units.Force.Newtons, units.ParseForce),
		si("kN", "kN", "Kilonewtons", units.Kilonewtons, units.Force.Kilonewtons, units.ParseForce),
		si("lbf", "lbf", "PoundsForce", units.PoundsForce, units.Force.PoundsForce, units.ParseForce),
		si("ozf", "oz force", "OuncesForce", units.OuncesForce, units.Force.OuncesForce, units.ParseForce),
		si("kgf", "kgf", "KilogramsForce", units.KilogramsForce, units.Force.KilogramsForce, units.ParseForce),
		si("Pa", "Pa", "Pascals", units.Pascals, units.Pressure.Pascals, units.ParsePressure),
		si("kPa", "kPa", "Kilopascals", units.Kilopascals, units.Pressure.Kilopascals, units.ParsePressure),
		si("MPa", "MPa", "Megapascals", units.Megapascals, units.Pressure.Megapascals, units.ParsePressure),
		si("bar", "bar", "Bars", units.Bars, units.Pressure.Bars, units.ParsePressure),
		si("psi", "psi", "PoundsPerSquareInch", units.PoundsPerSquareInch, units.Pressure.PoundsPerSquareInch, units.ParsePressure),
		si("atm", "atm", "Atmospheres", units.Atmospheres, units.Pressure.Atmospheres, units.ParsePressure),
		si("kgf/cm2", "kgf/cm2", "KilogramsForcePerSquareCentimeter", units.KilogramsForcePerSquareCentimeter, units.Pressure.KilogramsForcePerSquareCentimeter, units.ParsePressure),
		si("inHg", "inHg", "InchesOfMercury", units.InchesOfMercury, units.Pressure.InchesOfMercury, units.ParsePressure),
		si("mmHg", "mmHg", "MillimetersOfMercury", units.MillimetersOfMercury, units.Pressure.MillimetersOfMercury, units.ParsePressure),
		si("inH2O", "inH2O", "InchesOfWater", units.InchesOfWater, units.Pressure.InchesOfWater, units.ParsePressure),
		si("N m", "N m", "NewtonMeters", units.NewtonMeters, units.Torque.NewtonMeters, units.ParseTorque),
		si("lbf ft", "lbf ft", "PoundFeet", units.PoundFeet, units.Torque.PoundFeet, units.ParseTorque),
		si("lbf in", "lbf in", "PoundInches", units.PoundInches, units.Torque.PoundInches, units.ParseTorque),
		si("ozf in", "oz force in", "OunceInches", units.OunceInches, units.Torque.OunceInches, units.ParseTorque),
		si("kgf m", "kgf m", "KilogramForceMeters", units.KilogramForceMeters, units.Torque.KilogramForceMeters, units.ParseTorque),
		si("N/m", "N/m", "NewtonsPerMeter", units.NewtonsPerMeter, units.Stiffness.NewtonsPerMeter, units.ParseStiffness),
		si("N/mm", "N/mm", "NewtonsPerMillimeter", units.NewtonsPerMillimeter, units.Stiffness.NewtonsPerMillimeter, units.ParseStiffness),
		si("lbf/in", "lbf/in", "PoundsPerInch", units.PoundsPerInch, units.Stiffness.PoundsPerInch, units.ParseStiffness),
		si("kgf/mm", "kgf/mm", "KilogramsForcePerMillimeter", units.KilogramsForcePerMillimeter, units.Stiffness.KilogramsForcePerMillimeter, units.ParseStiffness),
		si("m2", "m2", "SquareMeters", units.SquareMeters, units.Area.SquareMeters, units.ParseArea),
		si("cm2", "cm2", "SquareCentimeters", units.SquareCentimeters, units.Area.SquareCentimeters, units.ParseArea),
		si("mm2", "mm2", "SquareMillimeters", units.SquareMillimeters, units.Area.SquareMillimeters, units.ParseArea),
		si("in2", "in2", "SquareInches", units.SquareInches, units.Area.SquareInches, units.ParseArea),
		si("m3", "m3", "CubicMeters", units.CubicMeters, units.Volume.CubicMeters, units.ParseVolume),
		si("cm3", "cm3", "CubicCentimeters", units.CubicCentimeters, units.Volume.CubicCentimeters, units.ParseVolume),
		si("mm3", "mm3", "CubicMillimeters", units.CubicMillimeters, units.Volume.CubicMillimeters, units.ParseVolume),
		si("L", "L", "Liters", units.Liters, units.Volume.Liters, units.ParseVolume),
		si("in3", "in3", "CubicInches", units.CubicInches, units.Volume.CubicInches, units.ParseVolume),
		si("ft3", "ft3", "CubicFeet", units.CubicFeet, units.Volume.CubicFeet, units.ParseVolume),
		si("kg", "kg", "Kilograms", units.Kilograms, units.Mass.Kilograms, units.ParseMass),
		si("g", "g", "Grams", units.Grams, units.Mass.Grams, units.ParseMass),
		si("mg", "mg", "Milligrams", units.Milligrams, units.Mass.Milligrams, units.ParseMass),
		si("lb", "lb", "Pounds", units.Pounds, units.Mass.Pounds, units.ParseMass),
		si("oz", "oz", "Ounces", units.Ounces, units.Mass.Ounces, units.ParseMass),
		si("gr", "grain", "Grains", units.Grains, units.Mass.Grains, units.ParseMass),
		si("slug", "slug", "Slugs", units.Slugs, units.Mass.Slugs, units.ParseMass),
		si("m/s", "m/s", "MetersPerSecond", units.MetersPerSecond, units.Speed.MetersPerSecond, units.ParseSpeed),
		si("ft/min", "ft/min", "FeetPerMinute", units.FeetPerMinute, units.Speed.FeetPerMinute, units.ParseSpeed),
		si("ft/s", "ft/s", "FeetPerSecond", units.FeetPerSecond, units.Speed.FeetPerSecond, units.ParseSpeed),
		si("in/s", "in/s", "InchesPerSecond", units.InchesPerSecond, units.Speed.InchesPerSecond, units.ParseSpeed),
		si("mph", "mile/hr", "MilesPerHour", units.MilesPerHour, units.Speed.MilesPerHour, units.ParseSpeed),
		si("m/s2", "m/s2", "MetersPerSecondSquared", units.MetersPerSecondSquared, units.Acceleration.MetersPerSecondSquared, units.ParseAcceleration),
		si("ft/s2", "ft/s2", "FeetPerSecondSquared", units.FeetPerSecondSquared, units.Acceleration.FeetPerSecondSquared, units.ParseAcceleration),
		si("in/s2", "in/s2", "InchesPerSecondSquared", units.InchesPerSecondSquared, units.Acceleration.InchesPerSecondSquared, units.ParseAcceleration),
		si("gn", "gravity", "StandardGravities", units.StandardGravities, units.Acceleration.StandardGravities, units.ParseAcceleration),
		si("rad/s", "radian/s", "RadiansPerSecond", units.RadiansPerSecond, units.AngularSpeed.RadiansPerSecond, units.ParseAngularSpeed),
		si("rpm", "rpm", "RevolutionsPerMinute", units.RevolutionsPerMinute, units.AngularSpeed.RevolutionsPerMinute, units.ParseAngularSpeed),
		si("rev/s", "revolution/s", "RevolutionsPerSecond", units.RevolutionsPerSecond, units.AngularSpeed.RevolutionsPerSecond, units.ParseAngularSpeed),
		si("deg/s", "deg/s", "DegreesPerSecond", units.DegreesPerSecond, units.AngularSpeed.DegreesPerSecond, units.ParseAngularSpeed),
		si("J", "J", "Joules", units.Joules, units.Energy.Joules, units.ParseEnergy),
		si("ft lbf", "ft lbf", "FootPounds", units.FootPounds, units.Energy.FootPounds, units.ParseEnergy),
		si("W", "W", "Watts", units.Watts, units.Power.Watts, units.ParsePower),
		si("kW", "kW", "Kilowatts", units.Kilowatts, units.Power.Kilowatts, units.ParsePower),
		si("hp", "hp", "Horsepower", units.Horsepower, units.Power.Horsepower, units.ParsePower),
		si("PS", "metrichorsepower", "MetricHorsepower", units.MetricHorsepower, units.Power.MetricHorsepower, units.ParsePower),
		si("hp(E)", "electrichorsepower", "ElectricHorsepower", units.ElectricHorsepower, units.Power.ElectricHorsepower, units.ParsePower),
		si("Pa s", "Pa s", "PascalSeconds", units.PascalSeconds, units.DynamicViscosity.PascalSeconds, units.ParseDynamicViscosity),
		si("cP", "centipoise", "Centipoises", units.Centipoises, units.DynamicViscosity.Centipoises, units.ParseDynamicViscosity),
		si("P", "poise", "Poises", units.Poises, units.DynamicViscosity.Poises, units.ParseDynamicViscosity),
		si("reyn", "reyn", "Reyns", units.Reyns, units.DynamicViscosity.Reyns, units.ParseDynamicViscosity),
		si("lbf s/ft2", "lbf s/ft^2", "PoundSecondsPerSquareFoot", units.PoundSecondsPerSquareFoot, units.DynamicViscosity.PoundSecondsPerSquareFoot, units.ParseDynamicViscosity),
		si("m2/s", "m2/s", "SquareMetersPerSecond", units.SquareMetersPerSecond, units.KinematicViscosity.SquareMetersPerSecond, units.ParseKinematicViscosity),
		si("cSt", "centistokes", "Centistokes", units.Centistokes, units.KinematicViscosity.Centistokes, units.ParseKinematicViscosity),
		si("mm2/s", "mm^2/s", "Centistokes", units.Centistokes, units.KinematicViscosity.Centistokes, units.ParseKinematicViscosity), // the same unit
		si("St", "stokes", "Stokes", units.Stokes, units.KinematicViscosity.Stokes, units.ParseKinematicViscosity),
		si("m3/s", "m3/s", "CubicMetersPerSecond", units.CubicMetersPerSecond, units.FlowRate.CubicMetersPerSecond, units.ParseFlowRate),
		si("L/s", "L/s", "LitersPerSecond", units.LitersPerSecond, units.FlowRate.LitersPerSecond, units.ParseFlowRate),
		si("ft3/min", "ft3/min", "CubicFeetPerMinute", units.CubicFeetPerMinute, units.FlowRate.CubicFeetPerMinute, units.ParseFlowRate),
		si("kg/m3", "kg/m3", "KilogramsPerCubicMeter", units.KilogramsPerCubicMeter, units.Density.KilogramsPerCubicMeter, units.ParseDensity),
		si("g/cm3", "g/cm3", "GramsPerCubicCentimeter", units.GramsPerCubicCentimeter, units.Density.GramsPerCubicCentimeter, units.ParseDensity),
		si("lb/in3", "lb/in3", "PoundsPerCubicInch", units.PoundsPerCubicInch, units.Density.PoundsPerCubicInch, units.ParseDensity),
		si("1/K", "1/K", "PerKelvin", units.PerKelvin, units.Expansion.PerKelvin, units.ParseExpansion),
		si("1/degF", "1/degF", "PerDegreeFahrenheit", units.PerDegreeFahrenheit, units.Expansion.PerDegreeFahrenheit, units.ParseExpansion),
	}
}

// unitSymbols returns the symbols of the units named, of the whole table if
// none is, and what the length units share.
func unitSymbols(only ...string) []string {
	all := []string{"units.Length", "units.Length.In", "units.LengthUnit.Length", "units.LengthUnit.Symbol"}
	for _, u := range unitTable() {
		if len(only) == 0 || slices.Contains(only, u.symbol) {
			all = append(all, u.symbols()...)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func (u unit) symbols() []string {
	s := []string{"units." + u.quantity, u.constructor, u.parser}
	if u.accessor != "" {
		s = append(s, u.accessor)
	}
	return s
}

// conversion is a factor row, read.
type conversion struct {
	number   float64
	text     string // "1 lbf"
	from, to unit
}

func conversionOf(r reference.Row) (conversion, error) {
	in := inputs{row: r}
	c := conversion{text: in.text("from")}
	to := in.text("to")
	if in.err != nil {
		return conversion{}, in.err
	}
	number, symbol, _ := strings.Cut(c.text, " ")
	var err error
	if c.number, err = strconv.ParseFloat(number, 64); err != nil {
		return conversion{}, err
	}
	// A symbol may stand for two quantities (P is never one, N m and so on
	// are not either); both sides must agree on the quantity.
	for _, f := range unitTable() {
		for _, t := range unitTable() {
			if f.symbol == symbol && t.symbol == to && f.quantity == t.quantity {
				c.from, c.to = f, t
				return c, nil
			}
		}
	}
	return conversion{}, fmt.Errorf("evaluation: row %s: no quantity has both units %q and %q", r.ID, symbol, to)
}

// convert takes the number through the constructor, and the text through the
// parser, which must agree, and reads the result in the other unit.
func convert(r reference.Row) (Answer, error) {
	c, err := conversionOf(r)
	if err != nil {
		return Answer{}, err
	}
	if c.to.symbol != r.Unit {
		return Answer{}, fmt.Errorf("evaluation: row %s converts to %s but prints %s", r.ID, c.to.symbol, r.Unit)
	}
	v, err := c.from.in(c.number)
	if err != nil {
		return Answer{}, err
	}
	p, err := c.from.parse(c.text)
	if err != nil {
		return Answer{}, err
	}
	if p != v {
		return Answer{}, fmt.Errorf("evaluation: row %s: the parser reads %v, the constructor makes %v", r.ID, p, v)
	}
	x, err := c.to.out(v)
	if err != nil {
		return Answer{}, err
	}
	// The same row proves the way back: the accessor of the one unit and the
	// constructor of the other undo the conversion, to 2 ulp.
	back, err := c.from.out(v)
	if err != nil || math.Abs(back-c.number) > 2*ulp(c.number) {
		return Answer{}, fmt.Errorf("evaluation: row %s: %s comes back as %v (%w)", r.ID, c.text, back, err)
	}
	again, err := c.to.in(x)
	if err != nil || math.Abs(again-v) > 2*ulp(v) {
		return Answer{}, fmt.Errorf("evaluation: row %s: %v %s is %v, not %v (%w)", r.ID, x, c.to.symbol, again, v, err)
	}
	return Number(x), nil
}

// convertAngle reads the same text as an angle of the crank and of the cam.
func convertAngle(r reference.Row) (Answer, error) {
	in := inputs{row: r}
	crank, cam := in.crank("from"), in.cam("from")
	if in.err != nil {
		return Answer{}, in.err
	}
	a, b := crank.Degrees(), cam.Degrees()
	crank2, err1 := units.CrankDegrees(a)
	cam2, err2 := units.CamDegrees(b)
	if err1 != nil || err2 != nil || crank2 != crank || cam2 != cam {
		return Answer{}, fmt.Errorf("evaluation: row %s: %s or %s does not come back from its degrees", r.ID, crank, cam)
	}
	switch r.Unit {
	case "deg":
	case "rad":
		a, b = crank.Radians(), cam.Radians()
	default:
		return Answer{}, fmt.Errorf("evaluation: row %s: want the unit deg or rad", r.ID)
	}
	// Half a crank quantum is a quarter of a cam quantum's worth of degrees,
	// so the two may differ where the text is finer than either.
	if math.Abs(a-b) > 1e-9 {
		return Answer{}, fmt.Errorf("evaluation: row %s: crank gives %v, cam %v", r.ID, a, b)
	}
	return Number(a), nil
}

func convertTemperature(r reference.Row) (Answer, error) {
	in := inputs{row: r}
	t := read(&in, "from", units.ParseTemperature)
	number, symbol, _ := strings.Cut(in.text("from"), " ")
	if in.err != nil {
		return Answer{}, in.err
	}
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return Answer{}, err
	}
	made := map[string]units.Temperature{"degC": units.Celsius(x), "degF": units.Fahrenheit(x), "K": units.Kelvins(x)}[symbol]
	if made != t {
		return Answer{}, fmt.Errorf("evaluation: row %s: the parser reads %v, the constructor makes %v", r.ID, t, made)
	}
	switch r.Unit {
	case "degC":
		return Number(t.Celsius()), nil
	case "degF":
		return Number(t.Fahrenheit()), nil
	case "K":
		return Number(t.Kelvins()), nil
	default:
		return Answer{}, fmt.Errorf("evaluation: row %s: want the unit degC, degF or K", r.ID)
	}
}

// convertDifference also adds the difference to an absolute temperature and
// takes it off again.
func convertDifference(r reference.Row) (Answer, error) {
	in := inputs{row: r}
	d := read(&in, "from", units.ParseTemperatureDifference)
	number, symbol, _ := strings.Cut(in.text("from"), " ")
	if in.err != nil {
		return Answer{}, in.err
	}
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return Answer{}, err
	}
	made := map[string]units.TemperatureDifference{"K": units.KelvinsDifference(x), "degF": units.FahrenheitDifference(x)}[symbol]
	if made != d {
		return Answer{}, fmt.Errorf("evaluation: row %s: the parser reads %v, the constructor makes %v", r.ID, d, made)
	}
	cold := units.Celsius(20)
	if back := cold.Add(d).Sub(cold); math.Abs(float64(back-d)) > 1e-12 {
		return Answer{}, fmt.Errorf("evaluation: row %s: adding %v and taking it off leaves %v", r.ID, d, back)
	}
	switch r.Unit {
	case "K":
		return Number(d.Kelvins()), nil
	case "degF":
		return Number(d.FahrenheitDegrees()), nil
	default:
		return Answer{}, fmt.Errorf("evaluation: row %s: want the unit K or degF", r.ID)
	}
}

var tableSource = units.Source{Text: "the reference row", Provenance: units.Stated}

// conformanceProbability does not care for the unit: the numbers stand as
// pressures, the units after them are for the reader.
func conformanceProbability(r reference.Row) (Answer, error) {
	in := inputs{row: r}
	number := func(name string) units.Pressure {
		return read(&in, name, func(s string) (units.Pressure, error) {
			n, _, _ := strings.Cut(s, " ")
			x, err := strconv.ParseFloat(n, 64)
			return units.Pascals(x), err
		})
	}
	m := units.WithU(number("y"), number("u"))
	l := units.Limits[units.Pressure]{Source: tableSource}
	if l.HasMin = in.has("min"); l.HasMin {
		l.Min = number("min")
	}
	if l.HasMax = in.has("max"); l.HasMax {
		l.Max = number("max")
	}
	if in.err != nil {
		return Answer{}, in.err
	}
	p, err := units.ConformanceProbability(m, l)
	return Number(p), err
}

// specificRisk finds the acceptance limit that Judge draws for a rule and
// asks how probable it is that an accepted value on it is bad, in percent.
func specificRisk(r reference.Row) (Answer, error) {
	in := inputs{row: r}
	name := in.text("rule")
	if in.err != nil {
		return Answer{}, in.err
	}
	rules := []units.DecisionRule{units.ProveAt95, units.ProveBeyondU, units.SimpleAcceptance}
	i := slices.IndexFunc(rules, func(d units.DecisionRule) bool { return d.String() == name })
	if i < 0 {
		return Answer{}, fmt.Errorf("evaluation: row %s: no rule is called %q", r.ID, name)
	}
	const u = 1 * units.Micrometer
	limits := units.AtMost(units.Millimeter, tableSource)
	v, err := units.Judge(units.WithU(limits.Max, u), limits, rules[i])
	if err != nil {
		return Answer{}, err
	}
	edge := units.WithU(limits.Max-v.GuardWithin, u)
	v, err = units.Judge(edge, limits, rules[i])
	if err != nil {
		return Answer{}, err
	}
	if v.Outcome != units.ProvedWithin {
		return Answer{}, fmt.Errorf("evaluation: row %s: the acceptance limit itself is %s", r.ID, v)
	}
	beyond := units.WithU(edge.Value+units.Picometer, u)
	if v, err = units.Judge(beyond, limits, rules[i]); err != nil || v.Outcome == units.ProvedWithin {
		return Answer{}, fmt.Errorf("evaluation: row %s: a picometer past the acceptance limit is still %s (%w)", r.ID, v, err)
	}
	p, err := units.ConformanceProbability(edge, limits)
	return Number(100 * (1 - p)), err
}

func guardFactor(r reference.Row) (Answer, error) {
	in := inputs{row: r}
	ratio := in.float("tolerance over u")
	if in.err != nil {
		return Answer{}, in.err
	}
	g, err := units.GuardFactor(ratio)
	return Number(g), err
}

func roundedLength(r reference.Row) (Answer, error) {
	in := inputs{row: r}
	reading, decimals := read(&in, "value", units.ParseReading), in.int("decimals")
	if in.err != nil {
		return Answer{}, in.err
	}
	text := reading.Length.Text(reading.Unit, decimals)
	if b := reading.Length.AppendIn(nil, reading.Unit, decimals); string(b) != text {
		return Answer{}, fmt.Errorf("evaluation: row %s: text gives %s, appended it is %s", r.ID, text, b)
	}
	// The unit whose decimal does not end is rounded on another path: the
	// decimal bridge rounds the same figure read as inches.
	inch, err := units.ParseReading(strings.Replace(reading.String(), reading.Unit.Symbol(), "in", 1))
	if err != nil {
		return Answer{}, err
	}
	other := inch.Length.Decimal(units.Inches, int32(decimals)).StringFixed(int32(decimals))
	if want := strings.TrimSuffix(text, " "+reading.Unit.Symbol()); other != want {
		return Answer{}, fmt.Errorf("evaluation: row %s: text gives %s, the decimal in inches %s", r.ID, want, other)
	}
	d := reading.Length.Decimal(reading.Unit, 12)
	if l, err := units.LengthFromDecimal(d, reading.Unit); err != nil || l != reading.Length {
		return Answer{}, fmt.Errorf("evaluation: row %s: the decimal %s comes back as %s (%w)", r.ID, d, l, err)
	}
	return Text(text), nil
}

func resolution(r reference.Row) (Answer, error) {
	in := inputs{row: r}
	reading := read(&in, "reading", units.ParseReading)
	if in.err != nil {
		return Answer{}, in.err
	}
	if reading.Unit.Symbol() != r.Unit {
		return Answer{}, fmt.Errorf("evaluation: row %s: want the unit %s", r.ID, reading.Unit)
	}
	u := reading.ResolutionUncertainty()
	// A rectangle as wide as the resolution; both are rounded to 1 pm.
	if wide := math.Sqrt(12) * float64(u); math.Abs(wide-float64(reading.Resolution())) > 4 {
		return Answer{}, fmt.Errorf("evaluation: row %s: the resolution is %s, sqrt(12) u is %v pm", r.ID, reading.Resolution(), wide)
	}
	return Number(u.In(reading.Unit)), nil
}

func crankFunction(name, symbol string, f func(units.CrankAngle) float64) Case {
	return Case{"crank angle " + name, []string{symbol}, func(r reference.Row) (Answer, error) {
		in := inputs{row: r}
		x := f(in.crank("angle"))
		return in.answer(Number(x), nil)
	}}
}

func camFunction(name, symbol string, f func(units.CamAngle) float64) Case {
	return Case{"cam angle " + name, []string{symbol}, func(r reference.Row) (Answer, error) {
		in := inputs{row: r}
		x := f(in.cam("angle"))
		return in.answer(Number(x), nil)
	}}
}

// liftRate takes a slope, acceleration or jerk in meters per cam degree (to
// the power that the type has), which are plain conversions.
func liftRate[T ~float64](name, symbol string, f func(T) float64) Case {
	return Case{name, []string{symbol}, func(r reference.Row) (Answer, error) {
		in := inputs{row: r}
		x := f(T(in.float("meters")))
		return in.answer(Number(x), nil)
	}}
}

func twist(name, symbol string, f func(units.Twist) (float64, error)) Case {
	return Case{name, []string{symbol, "units.TwistOf"}, func(r reference.Row) (Answer, error) {
		in := inputs{row: r}
		t, err := units.TwistOf(in.crank("angle"), in.length("over"))
		if err != nil {
			return Answer{}, err
		}
		x, err := f(t)
		return in.answer(Number(x), err)
	}}
}

// sure makes a function that cannot fail fit where one may.
func sure[T any](f func(T) float64) func(T) (float64, error) {
	return func(v T) (float64, error) { return f(v), nil }
}
