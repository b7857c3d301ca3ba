package material

import (
	"math"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// Property is one figure of a material with its source. The zero Property was
// not given.
type Property[V ~float64] struct {
	Value V
	// HalfWidth is half the range that the source prints; 0 where it prints one
	// figure.
	HalfWidth V
	Source    units.Source
}

// Material is what the parts of an engine are made of: one that Alloy names, or
// the caller's own. A calculation needs only the properties that it uses.
type Material struct {
	Name      string
	Expansion Expansion
	Young     Property[units.Pressure] // modulus of elasticity in tension
	Poisson   Property[float64]        // Poisson's ratio
	Density   Property[units.Density]
}

// ShearModulus answers how stiff the material is in shear:
//
//	G = E / (2 (1 + nu))
//
// with E = Young and nu = Poisson, for a material that is alike in all
// directions. Errors: a property without a source (ErrMissing), a modulus that
// is not over 0 and up to 10 TPa, a ratio outside (-1, 0.5] (ErrRange).
//
// Source: theory of elasticity, isotropic solid.
//
// Rows: mat-shear-steel, mat-shear-aluminum.
func (m Material) ShearModulus() (units.Pressure, error) {
	switch e, nu := m.Young, m.Poisson; {
	case !e.Source.Given():
		return 0, fail("Young", "", units.ErrMissing, "want the modulus of elasticity and its source")
	case !nu.Source.Given():
		return 0, fail("Poisson", "", units.ErrMissing, "want Poisson's ratio and its source")
	case !(e.Value > 0 && e.Value <= 1e13):
		return 0, fail("Young", e.Value.String(), units.ErrRange, "want a modulus over 0 and up to 10 TPa")
	case !(nu.Value > -1 && nu.Value <= 0.5):
		return 0, fail("Poisson", strconv.FormatFloat(nu.Value, 'g', -1, 64), units.ErrRange, "want a ratio over -1 and up to 0.5")
	default:
		return units.Pressure(float64(e.Value) / (2 * (1 + nu.Value))), nil
	}
}

// Alloy names a material whose figures the package holds. The zero Alloy is
// none.
type Alloy uint8

// Alloys by the designations of the open standards.
const (
	GrayIron               Alloy = iota + 1 // grades G1800 to G4000, one room-temperature mean
	GrayIronGJL250                          // EN-GJL-250, means to 400 degC
	DuctileIron604018                       // grade 60-40-18
	DuctileIron805506                       // grade 80-55-06
	CarbonSteel                             // carbon and low-alloy steel, means to 300 degC
	Steel1020                               // plain carbon
	Steel1040                               // plain carbon
	Steel1045                               // plain carbon
	Steel4140                               // chromium-molybdenum
	Steel4340                               // nickel-chromium-molybdenum
	Stainless304                            // 18-8
	ValveSteelX45CrSi93                     // martensitic, for inlet valves, means to 700 degC
	ValveSteelX53CrMnNiN                    // X53CrMnNiN21-9, austenitic, for exhaust valves, means to 700 degC
	CastAluminum142                         // Al-4Cu-Ni-Mg, also 242
	CastAluminum319                         // Al-6Si-3.5Cu
	CastAluminum355                         // Al-5Si-Cu-Mg
	CastAluminum356                         // Al-7Si-Mg
	CastAluminumA356                        // Al-7Si-Mg, less iron
	PistonA132                              // cast Al-12Si-Ni-Mg-Cu of the 332 and 336 family
	PistonAlSi12CuMgNi                      // cast Al-12Si-Cu-Mg-Ni, means to 300 degC
	Aluminum2024                            // wrought
	Aluminum2218                            // forged
	Aluminum2618                            // forged
	Aluminum4032                            // forged Al-12Si
	Aluminum6061                            // wrought
	Aluminum7075                            // wrought
	BearingBronzeC93200                     // leaded tin bronze
	CartridgeBrassC26000                    // 70-30
	FreeCuttingBrassC36000                  // leaded
	CopperC11000                            // electrolytic tough pitch
	PureCopper                              // pure
	MagnesiumAZ91D                          // die cast
	TitaniumTi6Al4V                         // Ti-6Al-4V

	endOfAlloys
)

// Texts of sources. A figure is verified where the page was seen.
const (
	callister  = "Callister, Fundamentals of Materials Science and Engineering, 3rd ed., Table B.6"
	callisterB = "Callister, Fundamentals of Materials Science and Engineering, 3rd ed., Tables B.1 to B.3"
	manual17   = "Linear Thermal Expansion Coefficients of Metals and Alloys, user manual of a laser interferometer, Table 17-1"
	en1561     = "EN 1561, gray cast irons, properties for information"
	en10090    = "EN 10090, valve steels, physical properties"
	asmeTE1    = "ASME Boiler and Pressure Vessel Code, Section II Part D, Table TE-1, group 1, mean coefficients from 20 degC"
	asm2       = "ASM Handbook, vol. 2"
	aluminumAA = "Aluminum Association, Aluminum Standards and Data"

	noRange = "; the range is not stated there: -20 to 150 degC taken here, over which a mean drifts by less than the 5 % by which handbooks differ"
)

// spread is the half-width by which handbooks differ in one coefficient, as a
// share of it: 5 % for gray iron between two of them. Taken as rectangular.
const spread = 0.05

// meanOf is a mean coefficient in 1e-6 per kelvin from 20 to a temperature in degC.
type meanOf struct{ to, coefficient float64 }

// entry is a row of the table of alloys, in the units of handbooks.
type entry struct {
	name        string
	coefficient float64 // 1e-6 per kelvin; 0: means
	means       []meanOf
	half        float64 // half-width of the coefficients, 1e-6 per kelvin; 0: the spread of handbooks
	source      string
	provenance  units.Provenance

	young, youngHalf, poisson, density float64 // GPa, ratio, g/cm3; from memory
	elastic                            string  // source of these
}

// alloys is never changed.
var alloys = [endOfAlloys]entry{
	GrayIron:          {name: "gray iron", coefficient: 11.4, source: callister + noRange, provenance: units.Verified, young: 102, youngHalf: 36, poisson: 0.26, density: 7.30, elastic: callisterB},
	GrayIronGJL250:    {name: "gray iron EN-GJL-250", means: []meanOf{{-100, 10.0}, {200, 11.7}, {400, 13.0}}, source: en1561, provenance: units.Memory, young: 110.5, youngHalf: 7.5, poisson: 0.26, density: 7.20, elastic: en1561},
	DuctileIron604018: {name: "ductile iron 60-40-18", coefficient: 11.2, source: callister + noRange, provenance: units.Verified, young: 169, poisson: 0.29, density: 7.10, elastic: callisterB},
	DuctileIron805506: {name: "ductile iron 80-55-06", coefficient: 10.6, source: callister + noRange, provenance: units.Verified, young: 168, poisson: 0.31, density: 7.10, elastic: callisterB},
	CarbonSteel: {
		name: "carbon steel", means: []meanOf{
			{50, 11.8},
			{75, 11.9},
			{100, 12.1},
			{125, 12.3},
			{150, 12.4},
			{175, 12.6},
			{200, 12.7},
			{225, 12.9},
			{250, 13.0},
			{275, 13.2},
			{300, 13.3},
		},
		source: asmeTE1, provenance: units.Memory, young: 207, poisson: 0.30, density: 7.85, elastic: callisterB,
	},
	Steel1020:              {name: "steel 1020", coefficient: 11.7, source: callister + noRange, provenance: units.Verified, young: 207, poisson: 0.30, density: 7.85, elastic: callisterB},
	Steel1040:              {name: "steel 1040", coefficient: 11.3, source: callister + noRange, provenance: units.Verified, young: 207, poisson: 0.30, density: 7.85, elastic: callisterB},
	Steel1045:              {name: "steel 1045", coefficient: 11.3, source: "ASM, near the value of 1040" + noRange, provenance: units.Memory, young: 207, poisson: 0.30, density: 7.85, elastic: callisterB},
	Steel4140:              {name: "steel 4140", coefficient: 12.3, source: callister + noRange, provenance: units.Verified, young: 207, poisson: 0.30, density: 7.85, elastic: callisterB},
	Steel4340:              {name: "steel 4340", coefficient: 12.3, source: callister + noRange, provenance: units.Verified, young: 207, poisson: 0.30, density: 7.85, elastic: callisterB},
	Stainless304:           {name: "stainless steel 304", coefficient: 17.2, source: callister + noRange, provenance: units.Verified, young: 193, poisson: 0.30, density: 8.00, elastic: callisterB},
	ValveSteelX45CrSi93:    {name: "valve steel X45CrSi9-3", means: []meanOf{{100, 10.9}, {300, 11.2}, {500, 11.5}, {700, 11.8}}, source: en10090, provenance: units.Memory},
	ValveSteelX53CrMnNiN:   {name: "valve steel X53CrMnNiN21-9", means: []meanOf{{100, 15.5}, {300, 17.5}, {500, 18.5}, {700, 18.8}}, source: en10090, provenance: units.Memory},
	CastAluminum142:        {name: "cast aluminum 142", coefficient: 22.5, source: manual17 + noRange, provenance: units.Verified},
	CastAluminum319:        {name: "cast aluminum 319", coefficient: 21.5, source: manual17 + noRange, provenance: units.Verified},
	CastAluminum355:        {name: "cast aluminum 355", coefficient: 22.0, source: manual17 + noRange, provenance: units.Verified},
	CastAluminum356:        {name: "cast aluminum 356", coefficient: 21.5, source: callister + noRange, provenance: units.Verified, young: 72.4, poisson: 0.33, density: 2.69, elastic: callisterB},
	CastAluminumA356:       {name: "cast aluminum A356", coefficient: 21.5, source: asm2 + noRange, provenance: units.Memory},
	PistonA132:             {name: "piston alloy A132", coefficient: 19.0, source: manual17 + noRange, provenance: units.Verified},
	PistonAlSi12CuMgNi:     {name: "piston alloy AlSi12CuMgNi", means: []meanOf{{100, 20.0}, {200, 21.0}, {300, 22.0}}, half: 0.5, source: "middle and half-width of trade figures for a eutectic piston alloy", provenance: units.CommonPractice},
	Aluminum2024:           {name: "aluminum 2024", coefficient: 22.9, source: callister + noRange, provenance: units.Verified, young: 72.4, poisson: 0.33, density: 2.77, elastic: callisterB},
	Aluminum2218:           {name: "aluminum 2218", coefficient: 22.3, source: manual17 + noRange, provenance: units.Verified},
	Aluminum2618:           {name: "aluminum 2618", coefficient: 22.3, source: aluminumAA + noRange, provenance: units.Memory},
	Aluminum4032:           {name: "aluminum 4032", coefficient: 19.4, source: manual17 + noRange, provenance: units.Verified},
	Aluminum6061:           {name: "aluminum 6061", coefficient: 23.6, source: callister + noRange, provenance: units.Verified, young: 69, poisson: 0.33, density: 2.70, elastic: callisterB},
	Aluminum7075:           {name: "aluminum 7075", coefficient: 23.4, source: callister + noRange, provenance: units.Verified, young: 71, poisson: 0.33, density: 2.80, elastic: callisterB},
	BearingBronzeC93200:    {name: "bearing bronze C93200", coefficient: 18.0, source: callister + noRange, provenance: units.Verified, young: 100, poisson: 0.34, density: 8.93, elastic: callisterB},
	CartridgeBrassC26000:   {name: "cartridge brass C26000", coefficient: 19.9, source: callister + noRange, provenance: units.Memory, young: 110, poisson: 0.35, density: 8.53, elastic: callisterB},
	FreeCuttingBrassC36000: {name: "free-cutting brass C36000", coefficient: 20.5, source: callister + noRange, provenance: units.Memory, young: 97, poisson: 0.34, density: 8.50, elastic: callisterB},
	CopperC11000:           {name: "copper C11000", coefficient: 17.0, source: callister + noRange, provenance: units.Memory, young: 115, poisson: 0.33, density: 8.89, elastic: callisterB},
	PureCopper:             {name: "pure copper", coefficient: 16.5, source: manual17 + noRange, provenance: units.Verified},
	MagnesiumAZ91D:         {name: "magnesium AZ91D", coefficient: 26.0, source: callister + noRange, provenance: units.Verified, young: 45, poisson: 0.35, density: 1.81, elastic: callisterB},
	TitaniumTi6Al4V:        {name: "titanium Ti-6Al-4V", coefficient: 8.6, source: callister + noRange, provenance: units.Memory, young: 114, poisson: 0.342, density: 4.43, elastic: callisterB},
}

// Alloys returns every alloy that the package knows, in the order of the
// constants.
func Alloys() []Alloy {
	all := make([]Alloy, 0, endOfAlloys-1)
	for a := GrayIron; a < endOfAlloys; a++ {
		all = append(all, a)
	}
	return all
}

// ParseAlloy returns the alloy of a name as String writes it, "aluminum 6061";
// any other name is ErrSyntax.
//
// Rows: cte-al-4032, cte-al-a132, cte-cu-pure.
func ParseAlloy(name string) (Alloy, error) {
	i := slices.IndexFunc(alloys[:], func(e entry) bool { return e.name == name })
	if i < 1 {
		return 0, fail("name", shorten(name), units.ErrSyntax, "want the name of an alloy, as aluminum 6061")
	}
	return Alloy(i), nil
}

func shorten(s string) string {
	const most = 80
	if len(s) > most {
		return s[:most] + "..."
	}
	return s
}

// String returns the name, "aluminum 6061".
func (a Alloy) String() string {
	if a == 0 || a >= endOfAlloys {
		return "no alloy"
	}
	return alloys[a].name
}

// MarshalText returns the name; no alloy is ErrRange.
func (a Alloy) MarshalText() ([]byte, error) {
	if a == 0 || a >= endOfAlloys {
		return nil, fail("Alloy", strconv.Itoa(int(a)), units.ErrRange, "want one of the alloys")
	}
	return []byte(alloys[a].name), nil
}

// UnmarshalText reads what ParseAlloy reads.
func (a *Alloy) UnmarshalText(text []byte) error {
	v, err := ParseAlloy(string(text))
	if err != nil {
		return err
	}
	*a = v
	return nil
}

// Material returns the figures of an alloy with their sources, the caller's to
// change. Coefficients are means from 20 degC; their uncertainty is the 5 % by
// which handbooks differ taken as a rectangular half-width, u = 0.05 a/sqrt(3),
// or the half-width that the source prints. Stiffness, Poisson's ratio and
// density are recalled from their sources, not seen, where they are given at
// all. An unknown alloy is ErrRange.
//
// Rows: cte-duct-60, cte-steel-1020, cte-al-356, cte-al-356b, cte-al-6061,
// cte-al-4032, cte-al-2218, cte-al-a132, cte-al-319, cte-al-355, cte-al-142,
// cte-cu-pure, cte-gray-alt, mat-young-steel, mat-poisson-gray, mat-density-az91d.
func (a Alloy) Material() (Material, error) {
	if a == 0 || a >= endOfAlloys {
		return Material{}, fail("Alloy", strconv.Itoa(int(a)), units.ErrRange, "want one of the alloys")
	}
	e := &alloys[a]
	coefficient := func(x float64) units.Measured[units.Expansion] {
		half := e.half
		if half == 0 {
			half = spread * x
		}
		return units.WithU(units.Expansion(x*1e-6), units.Expansion(half*1e-6/math.Sqrt(3)))
	}
	m := Material{Name: e.name, Expansion: Expansion{
		Base: units.Celsius(20), Lowest: units.Celsius(-20), Highest: units.Celsius(150),
		Source: units.Source{Text: e.source, Provenance: e.provenance},
	}}
	if x := &m.Expansion; e.coefficient != 0 {
		x.Coefficient = coefficient(e.coefficient)
	} else {
		x.Means = make([]MeanTo, len(e.means))
		for i, p := range e.means {
			x.Means[i] = MeanTo{To: units.Celsius(p.to), Coefficient: coefficient(p.coefficient)}
		}
		x.Lowest, x.Highest = min(x.Base, x.Means[0].To), x.Means[len(x.Means)-1].To
	}
	if e.elastic != "" {
		src := units.Source{Text: e.elastic, Provenance: units.Memory}
		m.Young = Property[units.Pressure]{Value: units.Megapascals(e.young * 1e3), HalfWidth: units.Megapascals(e.youngHalf * 1e3), Source: src}
		m.Poisson = Property[float64]{Value: e.poisson, Source: src}
		m.Density = Property[units.Density]{Value: units.GramsPerCubicCentimeter(e.density), Source: src}
	}
	return m, nil
}
