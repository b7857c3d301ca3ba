package units

import (
	"math"
	"strconv"
	"strings"
)

// unitFactor is a unit's symbol and its factor to SI.
type unitFactor struct {
	symbol string
	factor float64
}

// parseQuantity reads "number unit" with the unit from a table.
func parseQuantity(field, text string, table []unitFactor) (float64, error) {
	number, unit, err := cutNumber(field, text)
	if err != nil {
		return 0, err
	}
	for _, u := range table {
		if u.symbol == unit {
			x := number * u.factor
			if !finite(x) {
				return 0, fail(field, text, ErrRange, "want a finite value")
			}
			return x, nil
		}
	}
	var accepted []string
	for _, u := range table {
		accepted = append(accepted, u.symbol)
	}
	return 0, fail(field, text, ErrUnit, "a unit is never assumed; want one of "+strings.Join(accepted, ", "))
}

// cutNumber splits "12.5 lbf" into the number and the unit. The number is
// plain decimal with an optional exponent; hexadecimal, underscores, NaN and
// infinities are refused.
func cutNumber(field, text string) (float64, string, error) {
	if len(text) > maxText {
		return 0, "", fail(field, text, ErrSyntax, "the text is longer than 64 bytes")
	}
	s := trimSpaces(text)
	end, digits := 0, 0
scan:
	for end < len(s) {
		switch c := s[end]; {
		case c-'0' <= 9:
			digits++
		case c == '.':
		case (c == '-' || c == '+') && end == 0:
		case (c == 'e' || c == 'E') && digits > 0 && exponentFollows(s[end+1:]):
			end++ // the sign or first digit of the exponent
		default:
			break scan
		}
		end++
	}
	if digits == 0 {
		return 0, "", fail(field, text, ErrSyntax, "want a number and a unit")
	}
	x, err := strconv.ParseFloat(s[:end], 64)
	if err != nil {
		if math.IsInf(x, 0) {
			return 0, "", fail(field, text, ErrRange, "want a finite value")
		}
		return 0, "", fail(field, text, ErrSyntax, "want a number and a unit")
	}
	return x, trimSpaces(s[end:]), nil
}

// exponentFollows reports whether s starts with an optional sign and a digit.
func exponentFollows(s string) bool {
	if s != "" && (s[0] == '-' || s[0] == '+') {
		s = s[1:]
	}
	return s != "" && s[0]-'0' <= 9
}

func quantityText(x float64, symbol string) string {
	return strconv.FormatFloat(x, 'g', -1, 64) + " " + symbol
}

func marshalQuantity(field string, x float64, symbol string) ([]byte, error) {
	if !finite(x) {
		return nil, fail(field, quantityText(x, symbol), ErrRange, "want a finite value")
	}
	return append(strconv.AppendFloat(nil, x, 'g', -1, 64), " "+symbol...), nil
}

var forceUnits = [...]unitFactor{
	{"N", 1},
	{"kN", 1000},
	{"lbf", poundForce},
	{"ozf", poundForce / 16},
	{"kgf", gravity},
}

// ParseForce reads a number and a unit: N, kN, lbf, ozf, kgf.
func ParseForce(s string) (Force, error) {
	x, err := parseQuantity("Force", s, forceUnits[:])
	return Force(x), err
}

// String returns the value in N with the fewest digits that keep it.
func (f Force) String() string { return quantityText(float64(f), "N") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (f Force) MarshalText() ([]byte, error) { return marshalQuantity("Force", float64(f), "N") }

// UnmarshalText reads what ParseForce reads.
func (f *Force) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Force", string(text), forceUnits[:])
	if err != nil {
		return err
	}
	*f = Force(x)
	return nil
}

var pressureUnits = [...]unitFactor{
	{"Pa", 1},
	{"kPa", 1e3},
	{"MPa", 1e6},
	{"N/mm2", 1e6},
	{"bar", 1e5},
	{"psi", poundForce / (inch * inch)},
	{"atm", 101325},
	{"kgf/cm2", gravity / 1e-4},
	{"inHg", 13595.1 * gravity * inch},
	{"mmHg", 13595.1 * gravity * 1e-3},
	{"inH2O", 1000 * gravity * inch},
}

// ParsePressure reads a number and a unit: Pa, kPa, MPa, bar, psi, atm, kgf/cm2, inHg, mmHg, inH2O.
func ParsePressure(s string) (Pressure, error) {
	x, err := parseQuantity("Pressure", s, pressureUnits[:])
	return Pressure(x), err
}

// String returns the value in Pa with the fewest digits that keep it.
func (p Pressure) String() string { return quantityText(float64(p), "Pa") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (p Pressure) MarshalText() ([]byte, error) { return marshalQuantity("Pressure", float64(p), "Pa") }

// UnmarshalText reads what ParsePressure reads.
func (p *Pressure) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Pressure", string(text), pressureUnits[:])
	if err != nil {
		return err
	}
	*p = Pressure(x)
	return nil
}

var torqueUnits = [...]unitFactor{
	{"N m", 1},
	{"Nm", 1},
	{"lbf ft", poundForce * foot},
	{"lb ft", poundForce * foot},
	{"lbf in", poundForce * inch},
	{"lb in", poundForce * inch},
	{"ozf in", poundForce / 16 * inch},
	{"kgf m", gravity},
}

// ParseTorque reads a number and a unit: N m, lbf ft, lbf in, ozf in, kgf m.
func ParseTorque(s string) (Torque, error) {
	x, err := parseQuantity("Torque", s, torqueUnits[:])
	return Torque(x), err
}

// String returns the value in N m with the fewest digits that keep it.
func (t Torque) String() string { return quantityText(float64(t), "N m") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (t Torque) MarshalText() ([]byte, error) { return marshalQuantity("Torque", float64(t), "N m") }

// UnmarshalText reads what ParseTorque reads.
func (t *Torque) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Torque", string(text), torqueUnits[:])
	if err != nil {
		return err
	}
	*t = Torque(x)
	return nil
}

var stiffnessUnits = [...]unitFactor{
	{"N/m", 1},
	{"N/mm", 1000},
	{"lbf/in", poundForce / inch},
	{"lb/in", poundForce / inch},
	{"kgf/mm", gravity * 1000},
}

// ParseStiffness reads a number and a unit: N/m, N/mm, lbf/in, kgf/mm.
func ParseStiffness(s string) (Stiffness, error) {
	x, err := parseQuantity("Stiffness", s, stiffnessUnits[:])
	return Stiffness(x), err
}

// String returns the value in N/m with the fewest digits that keep it.
func (s Stiffness) String() string { return quantityText(float64(s), "N/m") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (s Stiffness) MarshalText() ([]byte, error) {
	return marshalQuantity("Stiffness", float64(s), "N/m")
}

// UnmarshalText reads what ParseStiffness reads.
func (s *Stiffness) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Stiffness", string(text), stiffnessUnits[:])
	if err != nil {
		return err
	}
	*s = Stiffness(x)
	return nil
}

var areaUnits = [...]unitFactor{
	{"m2", 1},
	{"cm2", 1e-4},
	{"mm2", 1e-6},
	{"in2", inch * inch},
}

// ParseArea reads a number and a unit: m2, cm2, mm2, in2.
func ParseArea(s string) (Area, error) {
	x, err := parseQuantity("Area", s, areaUnits[:])
	return Area(x), err
}

// String returns the value in m2 with the fewest digits that keep it.
func (a Area) String() string { return quantityText(float64(a), "m2") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (a Area) MarshalText() ([]byte, error) { return marshalQuantity("Area", float64(a), "m2") }

// UnmarshalText reads what ParseArea reads.
func (a *Area) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Area", string(text), areaUnits[:])
	if err != nil {
		return err
	}
	*a = Area(x)
	return nil
}

var volumeUnits = [...]unitFactor{
	{"m3", 1},
	{"cm3", 1e-6},
	{"cc", 1e-6},
	{"mL", 1e-6},
	{"mm3", 1e-9},
	{"L", 1e-3},
	{"l", 1e-3},
	{"in3", inch * inch * inch},
	{"ft3", foot * foot * foot},
}

// ParseVolume reads a number and a unit: m3, cm3, mm3, L, in3, ft3.
func ParseVolume(s string) (Volume, error) {
	x, err := parseQuantity("Volume", s, volumeUnits[:])
	return Volume(x), err
}

// String returns the value in m3 with the fewest digits that keep it.
func (v Volume) String() string { return quantityText(float64(v), "m3") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (v Volume) MarshalText() ([]byte, error) { return marshalQuantity("Volume", float64(v), "m3") }

// UnmarshalText reads what ParseVolume reads.
func (v *Volume) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Volume", string(text), volumeUnits[:])
	if err != nil {
		return err
	}
	*v = Volume(x)
	return nil
}

var massUnits = [...]unitFactor{
	{"kg", 1},
	{"g", 1e-3},
	{"mg", 1e-6},
	{"lb", pound},
	{"oz", pound / 16},
	{"gr", pound / 7000},
	{"slug", poundForce / foot},
}

// ParseMass reads a number and a unit: kg, g, mg, lb, oz, gr, slug.
func ParseMass(s string) (Mass, error) {
	x, err := parseQuantity("Mass", s, massUnits[:])
	return Mass(x), err
}

// String returns the value in kg with the fewest digits that keep it.
func (m Mass) String() string { return quantityText(float64(m), "kg") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (m Mass) MarshalText() ([]byte, error) { return marshalQuantity("Mass", float64(m), "kg") }

// UnmarshalText reads what ParseMass reads.
func (m *Mass) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Mass", string(text), massUnits[:])
	if err != nil {
		return err
	}
	*m = Mass(x)
	return nil
}

var speedUnits = [...]unitFactor{
	{"m/s", 1},
	{"ft/min", foot / 60},
	{"ft/s", foot},
	{"in/s", inch},
	{"mph", 5280 * foot / 3600},
}

// ParseSpeed reads a number and a unit: m/s, ft/min, ft/s, in/s, mph.
func ParseSpeed(s string) (Speed, error) {
	x, err := parseQuantity("Speed", s, speedUnits[:])
	return Speed(x), err
}

// String returns the value in m/s with the fewest digits that keep it.
func (s Speed) String() string { return quantityText(float64(s), "m/s") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (s Speed) MarshalText() ([]byte, error) { return marshalQuantity("Speed", float64(s), "m/s") }

// UnmarshalText reads what ParseSpeed reads.
func (s *Speed) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Speed", string(text), speedUnits[:])
	if err != nil {
		return err
	}
	*s = Speed(x)
	return nil
}

var accelerationUnits = [...]unitFactor{
	{"m/s2", 1},
	{"ft/s2", foot},
	{"in/s2", inch},
	{"gn", gravity},
}

// ParseAcceleration reads a number and a unit: m/s2, ft/s2, in/s2, gn.
func ParseAcceleration(s string) (Acceleration, error) {
	x, err := parseQuantity("Acceleration", s, accelerationUnits[:])
	return Acceleration(x), err
}

// String returns the value in m/s2 with the fewest digits that keep it.
func (a Acceleration) String() string { return quantityText(float64(a), "m/s2") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (a Acceleration) MarshalText() ([]byte, error) {
	return marshalQuantity("Acceleration", float64(a), "m/s2")
}

// UnmarshalText reads what ParseAcceleration reads.
func (a *Acceleration) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Acceleration", string(text), accelerationUnits[:])
	if err != nil {
		return err
	}
	*a = Acceleration(x)
	return nil
}

var angularSpeedUnits = [...]unitFactor{
	{"rad/s", 1},
	{"rpm", math.Pi / 30},
	{"1/min", math.Pi / 30},
	{"rev/s", 2 * math.Pi},
	{"deg/s", math.Pi / 180},
}

// ParseAngularSpeed reads a number and a unit: rad/s, rpm, rev/s, deg/s.
func ParseAngularSpeed(s string) (AngularSpeed, error) {
	x, err := parseQuantity("AngularSpeed", s, angularSpeedUnits[:])
	return AngularSpeed(x), err
}

// String returns the value in rad/s with the fewest digits that keep it.
func (a AngularSpeed) String() string { return quantityText(float64(a), "rad/s") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (a AngularSpeed) MarshalText() ([]byte, error) {
	return marshalQuantity("AngularSpeed", float64(a), "rad/s")
}

// UnmarshalText reads what ParseAngularSpeed reads.
func (a *AngularSpeed) UnmarshalText(text []byte) error {
	x, err := parseQuantity("AngularSpeed", string(text), angularSpeedUnits[:])
	if err != nil {
		return err
	}
	*a = AngularSpeed(x)
	return nil
}

var energyUnits = [...]unitFactor{
	{"J", 1},
	{"ft lbf", poundForce * foot},
}

// ParseEnergy reads a number and a unit: J, ft lbf.
func ParseEnergy(s string) (Energy, error) {
	x, err := parseQuantity("Energy", s, energyUnits[:])
	return Energy(x), err
}

// String returns the value in J with the fewest digits that keep it.
func (e Energy) String() string { return quantityText(float64(e), "J") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (e Energy) MarshalText() ([]byte, error) { return marshalQuantity("Energy", float64(e), "J") }

// UnmarshalText reads what ParseEnergy reads.
func (e *Energy) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Energy", string(text), energyUnits[:])
	if err != nil {
		return err
	}
	*e = Energy(x)
	return nil
}

var powerUnits = [...]unitFactor{
	{"W", 1},
	{"kW", 1e3},
	{"hp", 550 * poundForce * foot},
	{"PS", 75 * gravity},
	{"hp(E)", 746},
}

// ParsePower reads a number and a unit: W, kW, hp, PS, hp(E).
func ParsePower(s string) (Power, error) {
	x, err := parseQuantity("Power", s, powerUnits[:])
	return Power(x), err
}

// String returns the value in W with the fewest digits that keep it.
func (p Power) String() string { return quantityText(float64(p), "W") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (p Power) MarshalText() ([]byte, error) { return marshalQuantity("Power", float64(p), "W") }

// UnmarshalText reads what ParsePower reads.
func (p *Power) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Power", string(text), powerUnits[:])
	if err != nil {
		return err
	}
	*p = Power(x)
	return nil
}

var dynamicViscosityUnits = [...]unitFactor{
	{"Pa s", 1},
	{"cP", 1e-3},
	{"mPa s", 1e-3},
	{"P", 0.1},
	{"reyn", poundForce / (inch * inch)},
	{"lbf s/ft2", poundForce / (foot * foot)},
}

// ParseDynamicViscosity reads a number and a unit: Pa s, cP, P, reyn, lbf s/ft2.
func ParseDynamicViscosity(s string) (DynamicViscosity, error) {
	x, err := parseQuantity("DynamicViscosity", s, dynamicViscosityUnits[:])
	return DynamicViscosity(x), err
}

// String returns the value in Pa s with the fewest digits that keep it.
func (d DynamicViscosity) String() string { return quantityText(float64(d), "Pa s") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (d DynamicViscosity) MarshalText() ([]byte, error) {
	return marshalQuantity("DynamicViscosity", float64(d), "Pa s")
}

// UnmarshalText reads what ParseDynamicViscosity reads.
func (d *DynamicViscosity) UnmarshalText(text []byte) error {
	x, err := parseQuantity("DynamicViscosity", string(text), dynamicViscosityUnits[:])
	if err != nil {
		return err
	}
	*d = DynamicViscosity(x)
	return nil
}

var kinematicViscosityUnits = [...]unitFactor{
	{"m2/s", 1},
	{"cSt", 1e-6},
	{"mm2/s", 1e-6},
	{"St", 1e-4},
}

// ParseKinematicViscosity reads a number and a unit: m2/s, cSt, St.
func ParseKinematicViscosity(s string) (KinematicViscosity, error) {
	x, err := parseQuantity("KinematicViscosity", s, kinematicViscosityUnits[:])
	return KinematicViscosity(x), err
}

// String returns the value in m2/s with the fewest digits that keep it.
func (k KinematicViscosity) String() string { return quantityText(float64(k), "m2/s") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (k KinematicViscosity) MarshalText() ([]byte, error) {
	return marshalQuantity("KinematicViscosity", float64(k), "m2/s")
}

// UnmarshalText reads what ParseKinematicViscosity reads.
func (k *KinematicViscosity) UnmarshalText(text []byte) error {
	x, err := parseQuantity("KinematicViscosity", string(text), kinematicViscosityUnits[:])
	if err != nil {
		return err
	}
	*k = KinematicViscosity(x)
	return nil
}

var flowRateUnits = [...]unitFactor{
	{"m3/s", 1},
	{"L/s", 1e-3},
	{"ft3/min", foot * foot * foot / 60},
	{"cfm", foot * foot * foot / 60},
}

// ParseFlowRate reads a number and a unit: m3/s, L/s, ft3/min.
func ParseFlowRate(s string) (FlowRate, error) {
	x, err := parseQuantity("FlowRate", s, flowRateUnits[:])
	return FlowRate(x), err
}

// String returns the value in m3/s with the fewest digits that keep it.
func (f FlowRate) String() string { return quantityText(float64(f), "m3/s") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (f FlowRate) MarshalText() ([]byte, error) {
	return marshalQuantity("FlowRate", float64(f), "m3/s")
}

// UnmarshalText reads what ParseFlowRate reads.
func (f *FlowRate) UnmarshalText(text []byte) error {
	x, err := parseQuantity("FlowRate", string(text), flowRateUnits[:])
	if err != nil {
		return err
	}
	*f = FlowRate(x)
	return nil
}

var densityUnits = [...]unitFactor{
	{"kg/m3", 1},
	{"g/cm3", 1000},
	{"lb/in3", pound / (inch * inch * inch)},
}

// ParseDensity reads a number and a unit: kg/m3, g/cm3, lb/in3.
func ParseDensity(s string) (Density, error) {
	x, err := parseQuantity("Density", s, densityUnits[:])
	return Density(x), err
}

// String returns the value in kg/m3 with the fewest digits that keep it.
func (d Density) String() string { return quantityText(float64(d), "kg/m3") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (d Density) MarshalText() ([]byte, error) {
	return marshalQuantity("Density", float64(d), "kg/m3")
}

// UnmarshalText reads what ParseDensity reads.
func (d *Density) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Density", string(text), densityUnits[:])
	if err != nil {
		return err
	}
	*d = Density(x)
	return nil
}

var expansionUnits = [...]unitFactor{
	{"1/K", 1},
	{"1/degC", 1},
	{"1/degF", 1.8},
}

// ParseExpansion reads a number and a unit: 1/K, 1/degF.
func ParseExpansion(s string) (Expansion, error) {
	x, err := parseQuantity("Expansion", s, expansionUnits[:])
	return Expansion(x), err
}

// String returns the value in 1/K with the fewest digits that keep it.
func (e Expansion) String() string { return quantityText(float64(e), "1/K") }

// MarshalText returns what String returns; NaN and infinities are ErrRange.
func (e Expansion) MarshalText() ([]byte, error) {
	return marshalQuantity("Expansion", float64(e), "1/K")
}

// UnmarshalText reads what ParseExpansion reads.
func (e *Expansion) UnmarshalText(text []byte) error {
	x, err := parseQuantity("Expansion", string(text), expansionUnits[:])
	if err != nil {
		return err
	}
	*e = Expansion(x)
	return nil
}
