package units_test

import (
	"encoding"
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"

	"example.com/trialfit/units"
)

type parsed struct {
	name  string
	si    string // SI unit of its text
	parse func(string) (float64, error)
	text  func(float64) (string, error)
}

func kind[Q interface {
	~float64
	encoding.TextMarshaler
}](name, si string, parse func(string) (Q, error)) parsed {
	return parsed{
		name, si,
		func(s string) (float64, error) { q, err := parse(s); return float64(q), err },
		func(x float64) (string, error) { b, err := Q(x).MarshalText(); return string(b), err },
	}
}

var quantities = []parsed{
	kind("Force", "N", units.ParseForce), kind("Pressure", "Pa", units.ParsePressure), kind("Torque", "N m", units.ParseTorque),
	kind("Stiffness", "N/m", units.ParseStiffness), kind("Area", "m2", units.ParseArea), kind("Volume", "m3", units.ParseVolume),
	kind("Mass", "kg", units.ParseMass), kind("Speed", "m/s", units.ParseSpeed), kind("Acceleration", "m/s2", units.ParseAcceleration),
	kind("AngularSpeed", "rad/s", units.ParseAngularSpeed), kind("Energy", "J", units.ParseEnergy), kind("Power", "W", units.ParsePower),
	kind("DynamicViscosity", "Pa s", units.ParseDynamicViscosity), kind("KinematicViscosity", "m2/s", units.ParseKinematicViscosity),
	kind("FlowRate", "m3/s", units.ParseFlowRate), kind("Density", "kg/m3", units.ParseDensity), kind("Expansion", "1/K", units.ParseExpansion),
	kind("Temperature", "K", units.ParseTemperature), kind("TemperatureDifference", "K", units.ParseTemperatureDifference),
}

func TestQuantityText(t *testing.T) {
	t.Parallel()
	for _, q := range quantities {
		for number, bad := range map[string]error{
			"1": units.ErrUnit, "1 furlong": units.ErrUnit, "1e": units.ErrUnit, "1,5 " + q.si: units.ErrUnit,
			"NaN " + q.si: units.ErrSyntax, "Inf " + q.si: units.ErrSyntax, "-Inf " + q.si: units.ErrSyntax, "0x10 " + q.si: units.ErrUnit,
			"1_0 " + q.si: units.ErrUnit, "1.2.3 " + q.si: units.ErrSyntax, "": units.ErrSyntax, "  ": units.ErrSyntax, "-": units.ErrSyntax, q.si: units.ErrSyntax,
			"1e999 " + q.si: units.ErrRange, strings.Repeat("0", 65) + " " + q.si: units.ErrSyntax,
		} {
			if q.si[0] == '1' && number == q.si { // "1/K" starts as the number 1
				bad = units.ErrUnit
			}
			x, err := q.parse(number)
			var in *units.InputError
			if !errors.Is(err, bad) || x != 0 || !errors.As(err, &in) || in.Field != q.name {
				t.Errorf("%s %q = %v, %v; want %v", q.name, number, x, err, bad)
			}
		}
		for _, x := range []float64{0, 1, 1.0 / 3, 1e-300, 1e300, math.MaxFloat64, 5e-324, 123456.789} {
			s, err := q.text(x)
			if err != nil {
				t.Errorf("%s: %v", q.name, err)
			}
			if back, err := q.parse(s); err != nil || back != x {
				t.Errorf("%s: %q came back as %v, %v", q.name, s, back, err)
			}
		}
		for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			if s, err := q.text(x); !errors.Is(err, units.ErrRange) || s != "" {
				t.Errorf("%s: %v gave %q, %v", q.name, x, s, err)
			}
		}
	}
}

func FuzzParseForce(f *testing.F) {
	for _, s := range []string{"1 N", "120 lbf", "1e3 kN", "-.5 ozf", "1e-400 N", "1e999 N", "5", "NaN N", "1..2 N", "1e+ N", "20 degC", "1 1/K", "1/K", "0x1p4 N", "+-1 N", "1e5e5 N"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, q := range quantities {
			x, err := q.parse(s)
			if err != nil {
				var in *units.InputError
				if x != 0 || !errors.As(err, &in) {
					t.Errorf("%s %q = %v, %v", q.name, s, x, err)
				}
				continue
			}
			text, err := q.text(x)
			if err != nil {
				t.Errorf("%s %q: %v", q.name, s, err)
			}
			if back, err := q.parse(text); err != nil || back != x {
				t.Errorf("%s %q: %s came back as %v, %v", q.name, s, text, back, err)
			}
		}
	})
}

// Identities between units, from the defining constants by exact rationals:
// inch 0.0254 m, pound 0.45359237 kg (international agreement of 1959), g
// 9.80665 m/s2 (3rd CGPM, 1901). NIST SP 811 (2008), Appendix B.8.
func TestCrossUnitIdentities(t *testing.T) {
	t.Parallel()
	r := func(s string) *big.Rat { return ratOf(s) }
	mul := func(xs ...*big.Rat) *big.Rat {
		p := big.NewRat(1, 1)
		for _, x := range xs {
			p.Mul(p, x)
		}
		return p
	}
	quo := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) }
	in, lb, g := r("0.0254"), r("0.45359237"), r("9.80665")
	ft, lbf := mul(r("12"), in), mul(lb, g)
	for _, c := range []struct {
		name string
		got  float64
		want *big.Rat
	}{
		{"area = length x length", units.SquareInches(1).SquareMeters(), mul(in, in)},
		{"volume = area x length", units.CubicInches(1).CubicMeters(), mul(in, in, in)},
		{"cubic foot", units.CubicFeet(1).CubicMeters(), mul(ft, ft, ft)},
		{"torque = force x foot", units.PoundFeet(1).NewtonMeters(), mul(lbf, ft)},
		{"torque = force x inch", units.PoundInches(1).NewtonMeters(), mul(lbf, in)},
		{"ounce inch", units.OunceInches(1).NewtonMeters(), mul(lbf, in, r("1/16"))},
		{"pressure = force / area", units.PoundsPerSquareInch(1).Pascals(), quo(lbf, mul(in, in))},
		{"stiffness = force / length", units.PoundsPerInch(1).NewtonsPerMeter(), quo(lbf, in)},
		{"energy = force x length", units.FootPounds(1).Joules(), mul(lbf, ft)},
		{"power = 550 ft lbf/s", units.Horsepower(1).Watts(), mul(r("550"), lbf, ft)},
		{"metric power = 75 kgf m/s", units.MetricHorsepower(1).Watts(), mul(r("75"), g)},
		{"density = mass / volume", units.PoundsPerCubicInch(1).KilogramsPerCubicMeter(), quo(lb, mul(in, in, in))},
		{"reyn = lbf s/in2", units.Reyns(1).PascalSeconds(), quo(lbf, mul(in, in))},
		{"lbf s/ft2", units.PoundSecondsPerSquareFoot(1).PascalSeconds(), quo(lbf, mul(ft, ft))},
		{"slug = lbf s2/ft", units.Slugs(1).Kilograms(), quo(lbf, ft)},
		{"mile per hour", units.MilesPerHour(1).MetersPerSecond(), mul(r("5280/3600"), ft)},
		{"cubic foot per minute", units.CubicFeetPerMinute(1).CubicMetersPerSecond(), mul(ft, ft, ft, r("1/60"))},
		{"kgf/cm2", units.KilogramsForcePerSquareCentimeter(1).Pascals(), mul(g, r("10000"))},
		{"kgf/mm", units.KilogramsForcePerMillimeter(1).NewtonsPerMeter(), mul(g, r("1000"))},
		{"1/degF", units.PerDegreeFahrenheit(1).PerKelvin(), r("9/5")},
		{"grain = lb/7000", units.Grains(1).Kilograms(), mul(lb, r("1/7000"))},
	} {
		if want, _ := c.want.Float64(); c.got != want {
			t.Errorf("%s: %v, want %v", c.name, c.got, want)
		}
	}
	if got, want := units.RevolutionsPerMinute(60).RadiansPerSecond(), 2*math.Pi; math.Abs(got-want) > 1e-15 {
		t.Errorf("60 rpm = %v rad/s", got)
	}
}

func TestTemperature(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]float64{ // K; fixed points of the scales, ITS-90 and NIST SP 811 B.8
		"0 degC": 273.15, "32 degF": 273.15, "212 degF": 373.15, "-40 degF": 233.15, "-40 °C": 233.15, "0 K": 0, "-273.15 degC": 0, "-459.67 degF": 0,
	} {
		if x, err := units.ParseTemperature(text); err != nil || math.Abs(x.Kelvins()-want) > 1e-12 {
			t.Errorf("%s = %v K, %v; want %v", text, x.Kelvins(), err, want)
		}
	}
	for _, text := range []string{"-0.001 K", "-273.16 degC", "-459.68 degF", "-1e300 K"} {
		if x, err := units.ParseTemperature(text); !errors.Is(err, units.ErrRange) || x != 0 {
			t.Errorf("%s = %v, %v; want ErrRange", text, x, err)
		}
	}
	if d, err := units.ParseTemperatureDifference("-18 degF"); err != nil || math.Abs(d.Kelvins()+10) > 1e-12 {
		t.Errorf("-18 Fahrenheit degrees = %v, %v; want -10 K", d, err)
	}
	if d := units.Celsius(30).Sub(units.Celsius(20)); math.Abs(d.Kelvins()-10) > 1e-12 {
		t.Errorf("30 - 20 degC = %v", d)
	}
}
