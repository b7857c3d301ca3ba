package units

import "math"

// Defining constants, exact: the international inch and pound (1959), the
// standard acceleration of gravity. Untyped, so that every factor below is
// computed exactly and rounded to float64 once. Source: NIST SP 811 (2008),
// Appendix B.8; rows of units_factors.csv, one for each factor.
const (
	inch       = 0.0254
	foot       = 12 * inch
	pound      = 0.45359237
	gravity    = 9.80665
	poundForce = pound * gravity
)

// Force is a force in newtons. Text is a number and a unit; a missing unit is an error.
type Force float64

// Newtons returns x N.
func Newtons(x float64) Force { return Force(x) }

// Newtons returns the value in N.
func (f Force) Newtons() float64 { return float64(f) }

// Kilonewtons returns x kN (1000 N).
func Kilonewtons(x float64) Force { return Force(x * 1000) }

// Kilonewtons returns the value in kN.
func (f Force) Kilonewtons() float64 { return float64(f) / 1000 }

// PoundsForce returns x lbf (poundForce N).
func PoundsForce(x float64) Force { return Force(x * poundForce) }

// PoundsForce returns the value in lbf.
func (f Force) PoundsForce() float64 { return float64(f) / poundForce }

// OuncesForce returns x ozf (poundForce / 16 N).
func OuncesForce(x float64) Force { return Force(x * (poundForce / 16)) }

// OuncesForce returns the value in ozf.
func (f Force) OuncesForce() float64 { return float64(f) / (poundForce / 16) }

// KilogramsForce returns x kgf (gravity N).
func KilogramsForce(x float64) Force { return Force(x * gravity) }

// KilogramsForce returns the value in kgf.
func (f Force) KilogramsForce() float64 { return float64(f) / gravity }

// Pressure is a pressure or a stress in pascals. Text is a number and a unit; a missing unit is an error.
type Pressure float64

// Pascals returns x Pa.
func Pascals(x float64) Pressure { return Pressure(x) }

// Pascals returns the value in Pa.
func (p Pressure) Pascals() float64 { return float64(p) }

// Kilopascals returns x kPa (1e3 Pa).
func Kilopascals(x float64) Pressure { return Pressure(x * 1e3) }

// Kilopascals returns the value in kPa.
func (p Pressure) Kilopascals() float64 { return float64(p) / 1e3 }

// Megapascals returns x MPa (1e6 Pa).
func Megapascals(x float64) Pressure { return Pressure(x * 1e6) }

// Megapascals returns the value in MPa.
func (p Pressure) Megapascals() float64 { return float64(p) / 1e6 }

// Bars returns x bar (1e5 Pa).
func Bars(x float64) Pressure { return Pressure(x * 1e5) }

// Bars returns the value in bar.
func (p Pressure) Bars() float64 { return float64(p) / 1e5 }

// PoundsPerSquareInch returns x psi (poundForce / (inch * inch) Pa).
func PoundsPerSquareInch(x float64) Pressure { return Pressure(x * (poundForce / (inch * inch))) }

// PoundsPerSquareInch returns the value in psi.
func (p Pressure) PoundsPerSquareInch() float64 { return float64(p) / (poundForce / (inch * inch)) }

// Atmospheres returns x atm (101325 Pa).
func Atmospheres(x float64) Pressure { return Pressure(x * 101325) }

// Atmospheres returns the value in atm.
func (p Pressure) Atmospheres() float64 { return float64(p) / 101325 }

// KilogramsForcePerSquareCentimeter returns x kgf/cm2 (gravity / 1e-4 Pa).
func KilogramsForcePerSquareCentimeter(x float64) Pressure { return Pressure(x * (gravity / 1e-4)) }

// KilogramsForcePerSquareCentimeter returns the value in kgf/cm2.
func (p Pressure) KilogramsForcePerSquareCentimeter() float64 { return float64(p) / (gravity / 1e-4) }

// InchesOfMercury returns x inHg (13595.1 * gravity * inch Pa).
func InchesOfMercury(x float64) Pressure { return Pressure(x * (13595.1 * gravity * inch)) }

// InchesOfMercury returns the value in inHg.
func (p Pressure) InchesOfMercury() float64 { return float64(p) / (13595.1 * gravity * inch) }

// MillimetersOfMercury returns x mmHg (13595.1 * gravity * 1e-3 Pa).
func MillimetersOfMercury(x float64) Pressure { return Pressure(x * (13595.1 * gravity * 1e-3)) }

// MillimetersOfMercury returns the value in mmHg.
func (p Pressure) MillimetersOfMercury() float64 { return float64(p) / (13595.1 * gravity * 1e-3) }

// InchesOfWater returns x inH2O (1000 * gravity * inch Pa).
func InchesOfWater(x float64) Pressure { return Pressure(x * (1000 * gravity * inch)) }

// InchesOfWater returns the value in inH2O.
func (p Pressure) InchesOfWater() float64 { return float64(p) / (1000 * gravity * inch) }

// Torque is a torque in newton meters. Text is a number and a unit; a missing unit is an error.
type Torque float64

// NewtonMeters returns x N m.
func NewtonMeters(x float64) Torque { return Torque(x) }

// NewtonMeters returns the value in N m.
func (t Torque) NewtonMeters() float64 { return float64(t) }

// PoundFeet returns x lbf ft (poundForce * foot N m).
func PoundFeet(x float64) Torque { return Torque(x * (poundForce * foot)) }

// PoundFeet returns the value in lbf ft.
func (t Torque) PoundFeet() float64 { return float64(t) / (poundForce * foot) }

// PoundInches returns x lbf in (poundForce * inch N m).
func PoundInches(x float64) Torque { return Torque(x * (poundForce * inch)) }

// PoundInches returns the value in lbf in.
func (t Torque) PoundInches() float64 { return float64(t) / (poundForce * inch) }

// OunceInches returns x ozf in (poundForce / 16 * inch N m).
func OunceInches(x float64) Torque { return Torque(x * (poundForce / 16 * inch)) }

// OunceInches returns the value in ozf in.
func (t Torque) OunceInches() float64 { return float64(t) / (poundForce / 16 * inch) }

// KilogramForceMeters returns x kgf m (gravity N m).
func KilogramForceMeters(x float64) Torque { return Torque(x * gravity) }

// KilogramForceMeters returns the value in kgf m.
func (t Torque) KilogramForceMeters() float64 { return float64(t) / gravity }

// Stiffness is a stiffness in newtons per meter. Text is a number and a unit; a missing unit is an error.
type Stiffness float64

// NewtonsPerMeter returns x N/m.
func NewtonsPerMeter(x float64) Stiffness { return Stiffness(x) }

// NewtonsPerMeter returns the value in N/m.
func (s Stiffness) NewtonsPerMeter() float64 { return float64(s) }

// NewtonsPerMillimeter returns x N/mm (1000 N/m).
func NewtonsPerMillimeter(x float64) Stiffness { return Stiffness(x * 1000) }

// NewtonsPerMillimeter returns the value in N/mm.
func (s Stiffness) NewtonsPerMillimeter() float64 { return float64(s) / 1000 }

// PoundsPerInch returns x lbf/in (poundForce / inch N/m).
func PoundsPerInch(x float64) Stiffness { return Stiffness(x * (poundForce / inch)) }

// PoundsPerInch returns the value in lbf/in.
func (s Stiffness) PoundsPerInch() float64 { return float64(s) / (poundForce / inch) }

// KilogramsForcePerMillimeter returns x kgf/mm (gravity * 1000 N/m).
func KilogramsForcePerMillimeter(x float64) Stiffness { return Stiffness(x * (gravity * 1000)) }

// KilogramsForcePerMillimeter returns the value in kgf/mm.
func (s Stiffness) KilogramsForcePerMillimeter() float64 { return float64(s) / (gravity * 1000) }

// Area is an area in square meters. Text is a number and a unit; a missing unit is an error.
type Area float64

// SquareMeters returns x m2.
func SquareMeters(x float64) Area { return Area(x) }

// SquareMeters returns the value in m2.
func (a Area) SquareMeters() float64 { return float64(a) }

// SquareCentimeters returns x cm2 (1e-4 m2).
func SquareCentimeters(x float64) Area { return Area(x * 1e-4) }

// SquareCentimeters returns the value in cm2.
func (a Area) SquareCentimeters() float64 { return float64(a) / 1e-4 }

// SquareMillimeters returns x mm2 (1e-6 m2).
func SquareMillimeters(x float64) Area { return Area(x * 1e-6) }

// SquareMillimeters returns the value in mm2.
func (a Area) SquareMillimeters() float64 { return float64(a) / 1e-6 }

// SquareInches returns x in2 (inch * inch m2).
func SquareInches(x float64) Area { return Area(x * (inch * inch)) }

// SquareInches returns the value in in2.
func (a Area) SquareInches() float64 { return float64(a) / (inch * inch) }

// Volume is a volume in cubic meters. Text is a number and a unit; a missing unit is an error.
type Volume float64

// CubicMeters returns x m3.
func CubicMeters(x float64) Volume { return Volume(x) }

// CubicMeters returns the value in m3.
func (v Volume) CubicMeters() float64 { return float64(v) }

// CubicCentimeters returns x cm3 (1e-6 m3).
func CubicCentimeters(x float64) Volume { return Volume(x * 1e-6) }

// CubicCentimeters returns the value in cm3.
func (v Volume) CubicCentimeters() float64 { return float64(v) / 1e-6 }

// CubicMillimeters returns x mm3 (1e-9 m3).
func CubicMillimeters(x float64) Volume { return Volume(x * 1e-9) }

// CubicMillimeters returns the value in mm3.
func (v Volume) CubicMillimeters() float64 { return float64(v) / 1e-9 }

// Liters returns x L (1e-3 m3).
func Liters(x float64) Volume { return Volume(x * 1e-3) }

// Liters returns the value in L.
func (v Volume) Liters() float64 { return float64(v) / 1e-3 }

// CubicInches returns x in3 (inch * inch * inch m3).
func CubicInches(x float64) Volume { return Volume(x * (inch * inch * inch)) }

// CubicInches returns the value in in3.
func (v Volume) CubicInches() float64 { return float64(v) / (inch * inch * inch) }

// CubicFeet returns x ft3 (foot * foot * foot m3).
func CubicFeet(x float64) Volume { return Volume(x * (foot * foot * foot)) }

// CubicFeet returns the value in ft3.
func (v Volume) CubicFeet() float64 { return float64(v) / (foot * foot * foot) }

// Mass is a mass in kilograms. Text is a number and a unit; a missing unit is an error.
type Mass float64

// Kilograms returns x kg.
func Kilograms(x float64) Mass { return Mass(x) }

// Kilograms returns the value in kg.
func (m Mass) Kilograms() float64 { return float64(m) }

// Grams returns x g (1e-3 kg).
func Grams(x float64) Mass { return Mass(x * 1e-3) }

// Grams returns the value in g.
func (m Mass) Grams() float64 { return float64(m) / 1e-3 }

// Milligrams returns x mg (1e-6 kg).
func Milligrams(x float64) Mass { return Mass(x * 1e-6) }

// Milligrams returns the value in mg.
func (m Mass) Milligrams() float64 { return float64(m) / 1e-6 }

// Pounds returns x lb (pound kg).
func Pounds(x float64) Mass { return Mass(x * pound) }

// Pounds returns the value in lb.
func (m Mass) Pounds() float64 { return float64(m) / pound }

// Ounces returns x oz (pound / 16 kg).
func Ounces(x float64) Mass { return Mass(x * (pound / 16)) }

// Ounces returns the value in oz.
func (m Mass) Ounces() float64 { return float64(m) / (pound / 16) }

// Grains returns x gr (pound / 7000 kg).
func Grains(x float64) Mass { return Mass(x * (pound / 7000)) }

// Grains returns the value in gr.
func (m Mass) Grains() float64 { return float64(m) / (pound / 7000) }

// Slugs returns x slug (poundForce / foot kg).
func Slugs(x float64) Mass { return Mass(x * (poundForce / foot)) }

// Slugs returns the value in slug.
func (m Mass) Slugs() float64 { return float64(m) / (poundForce / foot) }

// Speed is a speed in meters per second. Text is a number and a unit; a missing unit is an error.
type Speed float64

// MetersPerSecond returns x m/s.
func MetersPerSecond(x float64) Speed { return Speed(x) }

// MetersPerSecond returns the value in m/s.
func (s Speed) MetersPerSecond() float64 { return float64(s) }

// FeetPerMinute returns x ft/min (foot / 60 m/s).
func FeetPerMinute(x float64) Speed { return Speed(x * (foot / 60)) }

// FeetPerMinute returns the value in ft/min.
func (s Speed) FeetPerMinute() float64 { return float64(s) / (foot / 60) }

// FeetPerSecond returns x ft/s (foot m/s).
func FeetPerSecond(x float64) Speed { return Speed(x * foot) }

// FeetPerSecond returns the value in ft/s.
func (s Speed) FeetPerSecond() float64 { return float64(s) / foot }

// InchesPerSecond returns x in/s (inch m/s).
func InchesPerSecond(x float64) Speed { return Speed(x * inch) }

// InchesPerSecond returns the value in in/s.
func (s Speed) InchesPerSecond() float64 { return float64(s) / inch }

// MilesPerHour returns x mph (5280 * foot / 3600 m/s).
func MilesPerHour(x float64) Speed { return Speed(x * (5280 * foot / 3600)) }

// MilesPerHour returns the value in mph.
func (s Speed) MilesPerHour() float64 { return float64(s) / (5280 * foot / 3600) }

// Acceleration is an acceleration in meters per second squared. Text is a number and a unit; a missing unit is an error.
type Acceleration float64

// MetersPerSecondSquared returns x m/s2.
func MetersPerSecondSquared(x float64) Acceleration { return Acceleration(x) }

// MetersPerSecondSquared returns the value in m/s2.
func (a Acceleration) MetersPerSecondSquared() float64 { return float64(a) }

// FeetPerSecondSquared returns x ft/s2 (foot m/s2).
func FeetPerSecondSquared(x float64) Acceleration { return Acceleration(x * foot) }

// FeetPerSecondSquared returns the value in ft/s2.
func (a Acceleration) FeetPerSecondSquared() float64 { return float64(a) / foot }

// InchesPerSecondSquared returns x in/s2 (inch m/s2).
func InchesPerSecondSquared(x float64) Acceleration { return Acceleration(x * inch) }

// InchesPerSecondSquared returns the value in in/s2.
func (a Acceleration) InchesPerSecondSquared() float64 { return float64(a) / inch }

// StandardGravities returns x gn (gravity m/s2).
func StandardGravities(x float64) Acceleration { return Acceleration(x * gravity) }

// StandardGravities returns the value in gn.
func (a Acceleration) StandardGravities() float64 { return float64(a) / gravity }

// AngularSpeed is a speed of rotation in radians per second. Text is a number and a unit; a missing unit is an error.
type AngularSpeed float64

// RadiansPerSecond returns x rad/s.
func RadiansPerSecond(x float64) AngularSpeed { return AngularSpeed(x) }

// RadiansPerSecond returns the value in rad/s.
func (a AngularSpeed) RadiansPerSecond() float64 { return float64(a) }

// RevolutionsPerMinute returns x rpm (math.Pi / 30 rad/s).
func RevolutionsPerMinute(x float64) AngularSpeed { return AngularSpeed(x * (math.Pi / 30)) }

// RevolutionsPerMinute returns the value in rpm.
func (a AngularSpeed) RevolutionsPerMinute() float64 { return float64(a) / (math.Pi / 30) }

// RevolutionsPerSecond returns x rev/s (2 * math.Pi rad/s).
func RevolutionsPerSecond(x float64) AngularSpeed { return AngularSpeed(x * (2 * math.Pi)) }

// RevolutionsPerSecond returns the value in rev/s.
func (a AngularSpeed) RevolutionsPerSecond() float64 { return float64(a) / (2 * math.Pi) }

// DegreesPerSecond returns x deg/s (math.Pi / 180 rad/s).
func DegreesPerSecond(x float64) AngularSpeed { return AngularSpeed(x * (math.Pi / 180)) }

// DegreesPerSecond returns the value in deg/s.
func (a AngularSpeed) DegreesPerSecond() float64 { return float64(a) / (math.Pi / 180) }

// Energy is an energy in joules. Text is a number and a unit; a missing unit is an error.
type Energy float64

// Joules returns x J.
func Joules(x float64) Energy { return Energy(x) }

// Joules returns the value in J.
func (e Energy) Joules() float64 { return float64(e) }

// FootPounds returns x ft lbf (poundForce * foot J).
func FootPounds(x float64) Energy { return Energy(x * (poundForce * foot)) }

// FootPounds returns the value in ft lbf.
func (e Energy) FootPounds() float64 { return float64(e) / (poundForce * foot) }

// Power is a power in watts. Text is a number and a unit; a missing unit is an error.
type Power float64

// Watts returns x W.
func Watts(x float64) Power { return Power(x) }

// Watts returns the value in W.
func (p Power) Watts() float64 { return float64(p) }

// Kilowatts returns x kW (1e3 W).
func Kilowatts(x float64) Power { return Power(x * 1e3) }

// Kilowatts returns the value in kW.
func (p Power) Kilowatts() float64 { return float64(p) / 1e3 }

// Horsepower returns x hp (550 * poundForce * foot W).
func Horsepower(x float64) Power { return Power(x * (550 * poundForce * foot)) }

// Horsepower returns the value in hp.
func (p Power) Horsepower() float64 { return float64(p) / (550 * poundForce * foot) }

// MetricHorsepower returns x PS (75 * gravity W).
func MetricHorsepower(x float64) Power { return Power(x * (75 * gravity)) }

// MetricHorsepower returns the value in PS.
func (p Power) MetricHorsepower() float64 { return float64(p) / (75 * gravity) }

// ElectricHorsepower returns x hp(E) (746 W).
func ElectricHorsepower(x float64) Power { return Power(x * 746) }

// ElectricHorsepower returns the value in hp(E).
func (p Power) ElectricHorsepower() float64 { return float64(p) / 746 }

// DynamicViscosity is a dynamic viscosity in pascal seconds. Text is a number and a unit; a missing unit is an error.
type DynamicViscosity float64

// PascalSeconds returns x Pa s.
func PascalSeconds(x float64) DynamicViscosity { return DynamicViscosity(x) }

// PascalSeconds returns the value in Pa s.
func (d DynamicViscosity) PascalSeconds() float64 { return float64(d) }

// Centipoises returns x cP (1e-3 Pa s).
func Centipoises(x float64) DynamicViscosity { return DynamicViscosity(x * 1e-3) }

// Centipoises returns the value in cP.
func (d DynamicViscosity) Centipoises() float64 { return float64(d) / 1e-3 }

// Poises returns x P (0.1 Pa s).
func Poises(x float64) DynamicViscosity { return DynamicViscosity(x * 0.1) }

// Poises returns the value in P.
func (d DynamicViscosity) Poises() float64 { return float64(d) / 0.1 }

// Reyns returns x reyn (poundForce / (inch * inch) Pa s).
func Reyns(x float64) DynamicViscosity { return DynamicViscosity(x * (poundForce / (inch * inch))) }

// Reyns returns the value in reyn.
func (d DynamicViscosity) Reyns() float64 { return float64(d) / (poundForce / (inch * inch)) }

// PoundSecondsPerSquareFoot returns x lbf s/ft2 (poundForce / (foot * foot) Pa s).
func PoundSecondsPerSquareFoot(x float64) DynamicViscosity {
	return DynamicViscosity(x * (poundForce / (foot * foot)))
}

// PoundSecondsPerSquareFoot returns the value in lbf s/ft2.
func (d DynamicViscosity) PoundSecondsPerSquareFoot() float64 {
	return float64(d) / (poundForce / (foot * foot))
}

// KinematicViscosity is a kinematic viscosity in square meters per second. Text is a number and a unit; a missing unit is an error.
type KinematicViscosity float64

// SquareMetersPerSecond returns x m2/s.
func SquareMetersPerSecond(x float64) KinematicViscosity { return KinematicViscosity(x) }

// SquareMetersPerSecond returns the value in m2/s.
func (k KinematicViscosity) SquareMetersPerSecond() float64 { return float64(k) }

// Centistokes returns x cSt (1e-6 m2/s).
func Centistokes(x float64) KinematicViscosity { return KinematicViscosity(x * 1e-6) }

// Centistokes returns the value in cSt.
func (k KinematicViscosity) Centistokes() float64 { return float64(k) / 1e-6 }

// Stokes returns x St (1e-4 m2/s).
func Stokes(x float64) KinematicViscosity { return KinematicViscosity(x * 1e-4) }

// Stokes returns the value in St.
func (k KinematicViscosity) Stokes() float64 { return float64(k) / 1e-4 }

// FlowRate is a volume flow in cubic meters per second. Text is a number and a unit; a missing unit is an error.
type FlowRate float64

// CubicMetersPerSecond returns x m3/s.
func CubicMetersPerSecond(x float64) FlowRate { return FlowRate(x) }

// CubicMetersPerSecond returns the value in m3/s.
func (f FlowRate) CubicMetersPerSecond() float64 { return float64(f) }

// LitersPerSecond returns x L/s (1e-3 m3/s).
func LitersPerSecond(x float64) FlowRate { return FlowRate(x * 1e-3) }

// LitersPerSecond returns the value in L/s.
func (f FlowRate) LitersPerSecond() float64 { return float64(f) / 1e-3 }

// CubicFeetPerMinute returns x ft3/min (foot * foot * foot / 60 m3/s).
func CubicFeetPerMinute(x float64) FlowRate { return FlowRate(x * (foot * foot * foot / 60)) }

// CubicFeetPerMinute returns the value in ft3/min.
func (f FlowRate) CubicFeetPerMinute() float64 { return float64(f) / (foot * foot * foot / 60) }

// Density is a density in kilograms per cubic meter. Text is a number and a unit; a missing unit is an error.
type Density float64

// KilogramsPerCubicMeter returns x kg/m3.
func KilogramsPerCubicMeter(x float64) Density { return Density(x) }

// KilogramsPerCubicMeter returns the value in kg/m3.
func (d Density) KilogramsPerCubicMeter() float64 { return float64(d) }

// GramsPerCubicCentimeter returns x g/cm3 (1000 kg/m3).
func GramsPerCubicCentimeter(x float64) Density { return Density(x * 1000) }

// GramsPerCubicCentimeter returns the value in g/cm3.
func (d Density) GramsPerCubicCentimeter() float64 { return float64(d) / 1000 }

// PoundsPerCubicInch returns x lb/in3 (pound / (inch * inch * inch) kg/m3).
func PoundsPerCubicInch(x float64) Density { return Density(x * (pound / (inch * inch * inch))) }

// PoundsPerCubicInch returns the value in lb/in3.
func (d Density) PoundsPerCubicInch() float64 { return float64(d) / (pound / (inch * inch * inch)) }

// Expansion is a coefficient of linear thermal expansion per kelvin. Text is a number and a unit; a missing unit is an error.
type Expansion float64

// PerKelvin returns x 1/K.
func PerKelvin(x float64) Expansion { return Expansion(x) }

// PerKelvin returns the value in 1/K.
func (e Expansion) PerKelvin() float64 { return float64(e) }

// PerDegreeFahrenheit returns x 1/degF (1.8 1/K).
func PerDegreeFahrenheit(x float64) Expansion { return Expansion(x * 1.8) }

// PerDegreeFahrenheit returns the value in 1/degF.
func (e Expansion) PerDegreeFahrenheit() float64 { return float64(e) / 1.8 }
