package film

import (
	"math"
	"strconv"
	"strings"

	"example.com/trialfit/units"
)

// ViscosityCurve gives the dynamic viscosity of an oil at a temperature.
type ViscosityCurve interface {
	Dynamic(t units.Temperature) (units.DynamicViscosity, error)
}

// OilPoint is one line of an oil's data sheet.
type OilPoint struct {
	Temperature units.Temperature
	Viscosity   units.KinematicViscosity
}

// OilData is what the data sheet of an oil says.
type OilData struct {
	Cold, Hot OilPoint      // usually at 40 and 100 degC
	Density   units.Density // at DensityAt; needed for Dynamic and Density
	DensityAt units.Temperature
	// VolumeExpansion is the growth of volume per kelvin, 0.00065 to
	// 0.00075 1/K for mineral oils (common practice); 0 holds the density.
	VolumeExpansion units.Expansion
}

// Oil is an oil whose viscosity follows ASTM D341 between and near two points.
// The zero Oil is none.
type Oil struct {
	a, b float64
	data OilData
}

// The lowest viscosity at which the short equation of ASTM D341 holds.
const leastCentistokes = 2

func checkTemperature(field string, t units.Temperature) error {
	if t == 0 {
		return fail(field, "", units.ErrMissing, "want an absolute temperature")
	}
	if !finite(float64(t)) || t < 0 {
		return fail(field, show(float64(t))+" K", units.ErrRange, "want a finite temperature over absolute zero")
	}
	return nil
}

func (p OilPoint) check(field string) error {
	if err := checkTemperature(field+".Temperature", p.Temperature); err != nil {
		return err
	}
	if err := over(field+".Viscosity", p.Viscosity); err != nil {
		return err
	}
	if p.Viscosity.Centistokes() < leastCentistokes*(1-1e-12) {
		return fail(field+".Viscosity", show(p.Viscosity.Centistokes())+" cSt", units.ErrRange, "want at least 2 cSt: the equation holds above it")
	}
	return nil
}

// walther is log10(nu + 0.7) of cSt, logarithm once more.
func walther(cst float64) float64 { return math.Log10(math.Log10(cst + 0.7)) }

// Oil answers the curve through the two points of a data sheet:
//
//	log10 log10(nu + 0.7) = A - B log10 T
//
// with nu in cSt and T in K. Errors: a point that is missing, under 2 cSt or
// not finite; points at one temperature or of a viscosity that does not fall;
// a density that is negative or without its temperature.
//
// Source: ASTM D341, Standard Practice for Viscosity-Temperature Equations and
// Charts for Liquid Petroleum or Hydrocarbon Products.
//
// Rows: d341-A, d341-80.
func (d OilData) Oil() (Oil, error) {
	if err := d.Cold.check("Cold"); err != nil {
		return Oil{}, err
	}
	if err := d.Hot.check("Hot"); err != nil {
		return Oil{}, err
	}
	if d.Hot.Temperature <= d.Cold.Temperature {
		return Oil{}, fail("Hot.Temperature", d.Hot.Temperature.String(), units.ErrConflict, "want it over the cold temperature")
	}
	if d.Hot.Viscosity >= d.Cold.Viscosity {
		return Oil{}, fail("Hot.Viscosity", d.Hot.Viscosity.String(), units.ErrConflict, "want it under the cold viscosity")
	}
	if d.Density != 0 {
		if err := over("Density", d.Density); err != nil {
			return Oil{}, err
		}
		if err := checkTemperature("DensityAt", d.DensityAt); err != nil {
			return Oil{}, err
		}
	}
	if x := float64(d.VolumeExpansion); !(x >= 0 && x < 0.01) {
		return Oil{}, fail("VolumeExpansion", show(x), units.ErrRange, "want 0 to under 0.01 1/K")
	}
	w1, w2 := walther(d.Cold.Viscosity.Centistokes()), walther(d.Hot.Viscosity.Centistokes())
	t1, t2 := math.Log10(float64(d.Cold.Temperature)), math.Log10(float64(d.Hot.Temperature))
	b := (w1 - w2) / (t2 - t1)
	o := Oil{a: w1 + b*t1, b: b, data: d}
	if !finite(o.a) || !finite(b) {
		return Oil{}, fail("Cold.Viscosity", d.Cold.Viscosity.String(), units.ErrRange, "the constants pass the range of numbers")
	}
	return o, nil
}

// WaltherConstants are A and B of ASTM D341 for cSt and K, dimensionless.
type WaltherConstants struct{ A, B float64 }

// Constants answers the constants of the curve: A and B of OilData.Oil. The zero
// Oil has none.
//
// Source: ASTM D341.
//
// Rows: d341-A.
func (o Oil) Constants() WaltherConstants { return WaltherConstants{A: o.a, B: o.b} }

// Kinematic answers the kinematic viscosity at a temperature, from the equation
// of OilData.Oil. Errors: an oil that was not made by OilData.Oil, a
// temperature out of range, a viscosity that falls under 2 cSt, where the short
// equation does not hold, or passes the range of numbers.
//
// Source: ASTM D341.
//
// Rows: d341-80.
func (o Oil) Kinematic(t units.Temperature) (units.KinematicViscosity, error) {
	if o.b == 0 {
		return 0, fail("Oil", "", units.ErrMissing, "want an oil from OilData.Oil")
	}
	if err := checkTemperature("Temperature", t); err != nil {
		return 0, err
	}
	inner := math.Exp(math.Ln10 * (o.a - o.b*math.Log10(float64(t))))
	nu := math.Exp(math.Ln10*inner) - 0.7
	if !finite(nu) {
		return 0, fail("Temperature", t.String(), units.ErrRange, "too cold: the viscosity passes the range of numbers")
	}
	if nu < leastCentistokes*(1-1e-9) {
		return 0, fail("Temperature", t.String(), units.ErrRange, "too hot: the viscosity is under 2 cSt, where the equation does not hold")
	}
	return units.Centistokes(nu), nil
}

// Density answers the density at a temperature:
//
//	rho = Density/(1 + VolumeExpansion (T - DensityAt))
//
// Errors: an oil without a density, a temperature out of range.
//
// Source: definition of the volume expansion.
//
// Rows: dyn-from-kin, oil-density-90.
func (o Oil) Density(t units.Temperature) (units.Density, error) {
	if o.data.Density == 0 {
		return 0, fail("Density", "", units.ErrMissing, "the oil was made without a density")
	}
	if err := checkTemperature("Temperature", t); err != nil {
		return 0, err
	}
	g := 1 + float64(o.data.VolumeExpansion)*float64(t-o.data.DensityAt)
	if !(g > 0) || !finite(g) {
		return 0, fail("Temperature", t.String(), units.ErrRange, "the volume does not stay over 0")
	}
	return units.Density(float64(o.data.Density) / g), nil
}

// Dynamic answers the dynamic viscosity at a temperature: mu = nu rho, both at
// that temperature. Errors: those of Kinematic and Density.
//
// Source: definition.
//
// Rows: dyn-from-kin, oil-dynamic-90.
func (o Oil) Dynamic(t units.Temperature) (units.DynamicViscosity, error) {
	nu, err := o.Kinematic(t)
	if err != nil {
		return 0, err
	}
	rho, err := o.Density(t)
	if err != nil {
		return 0, err
	}
	return units.DynamicViscosity(float64(nu) * float64(rho)), nil
}

// HistoricGrade is a single-grade oil of the old design charts by its number:
// 10, 20, 30, 40, 50 or 60. Today's oils of these numbers differ; a multigrade
// oil is no such oil.
type HistoricGrade int

// Dynamic answers the dynamic viscosity of a historic single grade:
//
//	mu = mu0 exp(b/(T + 95))
//
// with T in degF, mu0 and b by grade. It holds about 50 to 300 degF; from there to
// 0 and to 400 degF it is stretched. Errors: an unknown grade, a temperature
// outside 0 to 400 degF.
//
// Source: Seireg and Dandage, Empirical Design Procedure for the Thermohydrodynamic
// Behavior of Journal Bearings, J. Lubrication Tech. (1982), Shigley table 12-1.
//
// Rows: sh8-12-mu-150, sh8-12-mu-124, sd-10-40, sd-20-100, sd-30-40,
// sd-40-100, sd-50-40, sd-60-100.
func (g HistoricGrade) Dynamic(t units.Temperature) (units.DynamicViscosity, error) {
	var mu0, b float64 // microreyn, degF
	switch g {
	case 10:
		mu0, b = 0.0158, 1157.5
	case 20:
		mu0, b = 0.0136, 1271.6
	case 30:
		mu0, b = 0.0141, 1360.0
	case 40:
		mu0, b = 0.0121, 1474.4
	case 50:
		mu0, b = 0.0170, 1509.6
	case 60:
		mu0, b = 0.0187, 1564.0
	default:
		return 0, fail("HistoricGrade", strconv.Itoa(int(g)), units.ErrRange, "want 10, 20, 30, 40, 50 or 60")
	}
	if err := checkTemperature("Temperature", t); err != nil {
		return 0, err
	}
	f := t.Fahrenheit()
	if !(f >= 0 && f <= 400) {
		return 0, fail("Temperature", t.String(), units.ErrRange, "want 0 to 400 degF")
	}
	return units.Reyns(mu0 * 1e-6 * math.Exp(b/(f+95))), nil
}

// ColdLimit is a highest viscosity in the cold.
type ColdLimit struct {
	Viscosity units.DynamicViscosity
	At        units.Temperature
}

// EngineOil are the limits of an SAE engine oil grade.
type EngineOil struct {
	Grade   string
	Least   units.KinematicViscosity                 // at 100 degC
	Below   units.Optional[units.KinematicViscosity] // at 100 degC, exclusive
	HTHS    units.Optional[units.DynamicViscosity]   // least at 150 degC and 1e6 1/s: the figure for bearings
	Crank   units.Optional[ColdLimit]                // most, cold cranking
	Pumping units.Optional[ColdLimit]                // most, cold pumping
	Source  units.Source
}

type winterGrade struct {
	name                          string
	least, crank, crankAt, pumpAt float64
}

func winter(name string) (winterGrade, bool) {
	switch name {
	case "0W":
		return winterGrade{name, 3.8, 6200, -35, -40}, true
	case "5W":
		return winterGrade{name, 3.8, 6600, -30, -35}, true
	case "10W":
		return winterGrade{name, 4.1, 7000, -25, -30}, true
	case "15W":
		return winterGrade{name, 5.6, 7000, -20, -25}, true
	case "20W":
		return winterGrade{name, 5.6, 9500, -15, -20}, true
	case "25W":
		return winterGrade{name, 9.3, 13000, -10, -15}, true
	default:
		return winterGrade{}, false
	}
}

type summerGrade struct{ least, below, hths float64 }

func summer(name, w string) (summerGrade, bool) {
	switch name {
	case "8":
		return summerGrade{4.0, 6.1, 1.7}, true
	case "12":
		return summerGrade{5.0, 7.1, 2.0}, true
	case "16":
		return summerGrade{6.1, 8.2, 2.3}, true
	case "20":
		return summerGrade{6.9, 9.3, 2.6}, true
	case "30":
		return summerGrade{9.3, 12.5, 2.9}, true
	case "40":
		if w == "0W" || w == "5W" || w == "10W" {
			return summerGrade{12.5, 16.3, 3.5}, true
		}
		return summerGrade{12.5, 16.3, 3.7}, true
	case "50":
		return summerGrade{16.3, 21.9, 3.7}, true
	case "60":
		return summerGrade{21.9, 26.1, 3.7}, true
	default:
		return summerGrade{}, false
	}
}

// ParseEngineOil answers the viscosity limits of an SAE grade written "30",
// "5W" or "10W-40", with or without "SAE" before it. A multigrade oil meets
// both its grades: the higher of the lowest viscosities at 100 degC. SAE 40
// has two high-shear limits, 3.5 mPa s with 0W, 5W or 10W and 3.7 mPa s else.
// The kinematic figure is taken at low shear; a bearing sees the high-shear
// one. Errors: another text.
//
// Source: SAE J300, revision of January 2015.
//
// Rows: j300-0W-kv, j300-10W-crank, j300-10W-crank-at, j300-20W-pump-at,
// j300-30-kv, j300-30-below, j300-5W-40-hths, j300-20W-40-hths,
// j300-40-hths, j300-60-below.
func ParseEngineOil(grade string) (EngineOil, error) {
	bad := func() (EngineOil, error) {
		if len(grade) > 64 {
			return EngineOil{}, fail("grade", "", units.ErrSyntax, "the text is longer than 64 bytes")
		}
		return EngineOil{}, fail("grade", strconv.Quote(grade), units.ErrSyntax, `want a grade of SAE J300 (2015), as "30", "5W" or "10W-40"`)
	}
	if len(grade) > 64 {
		return bad()
	}
	s := strings.ToUpper(strings.TrimSpace(grade))
	s = strings.TrimSpace(strings.TrimPrefix(s, "SAE"))
	first, second, multi := strings.Cut(s, "-")
	o := EngineOil{Grade: s, Source: units.Source{Text: "SAE J300, January 2015", Provenance: units.Verified}}
	w, cold := winter(first)
	if cold {
		o.Least = units.Centistokes(w.least)
		o.Crank = units.Some(ColdLimit{units.Centipoises(w.crank), units.Celsius(w.crankAt)})
		o.Pumping = units.Some(ColdLimit{units.Centipoises(60000), units.Celsius(w.pumpAt)})
		if !multi {
			return o, nil
		}
	} else {
		if multi {
			return bad()
		}
		second = first
	}
	h, ok := summer(second, w.name)
	if !ok || cold && w.least >= h.below {
		return bad()
	}
	o.Least = units.Centistokes(math.Max(w.least, h.least))
	o.Below = units.Some(units.Centistokes(h.below))
	o.HTHS = units.Some(units.Centipoises(h.hths))
	return o, nil
}

// IndustrialGrade is a viscosity grade of ISO 3448 by its number, as 46 of
// ISO VG 46.
type IndustrialGrade int

// IndustrialViscosity is a grade's middle and limits at 40 degC.
type IndustrialViscosity struct {
	Middle units.KinematicViscosity
	Limits units.Limits[units.KinematicViscosity] // middle x 0.9 to middle x 1.1
}

// Viscosity answers which kinematic viscosity at 40 degC an ISO viscosity grade
// has: the middle, and its limits 10 % either side. The number is the middle in
// cSt but for the four thinnest (2 is 2.2, 3 is 3.2, 5 is 4.6, 7 is 6.8).
// Errors: a number that is no grade.
//
// Source: ISO 3448 (1992), twenty grades.
//
// Rows: vg-2, vg-32, vg-32-limits, vg-5-limits, vg-1500-limits.
func (g IndustrialGrade) Viscosity() (IndustrialViscosity, error) {
	src := units.Source{Text: "ISO 3448", Provenance: units.Verified}
	var tenths int // of cSt, so that the products round once
	switch g {
	case 2, 3:
		tenths = int(g)*10 + 2
	case 5:
		tenths = 46
	case 7:
		tenths = 68
	case 10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500:
		tenths = int(g) * 10
	case 2200, 3200:
		tenths, src.Provenance = int(g)*10, units.Memory
	default:
		return IndustrialViscosity{}, fail("IndustrialGrade", strconv.Itoa(int(g)), units.ErrRange, "want a grade of ISO 3448: 2, 3, 5, 7, 10, 15, 22, 32, 46, 68 and on to 3200")
	}
	part := func(n int) units.KinematicViscosity { return units.Centistokes(float64(tenths*n) / 100) }
	return IndustrialViscosity{Middle: part(10), Limits: units.Between(part(9), part(11), src)}, nil
}
