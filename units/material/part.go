package material

import (
	"math"

	"example.com/trialfit/units"
)

const largest = 100 * units.Meter

func checkSize(field string, m units.Measured[units.Length]) error {
	switch {
	case m.Value == 0:
		return fail(field, "", units.ErrMissing, "want a size over 0")
	case m.Value < 0 || m.Value > largest:
		return fail(field, m.Value.String(), units.ErrRange, "want a size over 0 and up to 100 m")
	case m.Stated && (m.U < 0 || m.U > largest):
		return fail(field+".U", m.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 100 m")
	}
	return nil
}

func checkUncertain(field string, t units.Measured[units.Temperature]) error {
	if t.Stated && !(t.U >= 0 && t.U <= hottest) {
		return fail(field+".U", t.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 5000 K")
	}
	return nil
}

// Part is a size as measured: a diameter, a length, a height, anything that
// grows with its material.
type Part struct {
	Size units.Measured[units.Length]
	// Cold is the temperature of the part when it was measured.
	Cold      units.Measured[units.Temperature]
	Expansion Expansion
}

func (p *Part) check() error {
	if err := checkSize("Size", p.Size); err != nil {
		return err
	}
	if err := p.Expansion.check(); err != nil {
		return inField("Expansion", err)
	}
	if err := p.Expansion.checkAt("Cold", p.Cold.Value); err != nil {
		return err
	}
	return checkUncertain("Cold", p.Cold)
}

func (p *Part) checkAt(field string, t units.Measured[units.Temperature]) error {
	if err := p.check(); err != nil {
		return err
	}
	if err := p.Expansion.checkAt(field, t.Value); err != nil {
		return err
	}
	return checkUncertain(field, t)
}

// grown returns the growth to t, checked before, its standard uncertainty in
// meters, that of the size left out, and whether every temperature and
// coefficient states one.
func (p *Part) grown(t units.Measured[units.Temperature]) (g units.Length, u float64, stated bool) {
	e := &p.Expansion
	// At most 100 m over a coefficient of 0.001 and 5000 K: no overflow.
	g = units.Length(math.RoundToEven(float64(p.Size.Value) * e.growth(p.Cold.Value, t.Value)))
	uTo, s1 := e.uncertainty(t.Value)
	uFrom, s2 := e.uncertainty(p.Cold.Value)
	// The coefficient is off by one error at both temperatures.
	byCoefficient := uTo*float64(t.Value-e.Base) - uFrom*float64(p.Cold.Value-e.Base)
	l := p.Size.Value.Meters()
	cold, warm := 0.0, 0.0
	if p.Cold.Stated {
		cold = e.slope(e.piece(p.Cold.Value), p.Cold.Value) * float64(p.Cold.U)
	}
	if t.Stated {
		warm = e.slope(e.piece(t.Value), t.Value) * float64(t.U)
	}
	return g, l * math.Sqrt(byCoefficient*byCoefficient+cold*cold+warm*warm), s1 && s2 && p.Cold.Stated && t.Stated
}

// Growth answers how much larger the part is at a temperature than as measured:
//
//	growth = L (ratio - 1)     ratio as for Expansion.Ratio
//
// which is L a (T - Cold) from the base temperature. The standard uncertainty is
// that of the coefficient, of one sign at both temperatures, and of the two
// temperatures,
//
//	u^2 = L^2 [ (u_a(T) (T - Base) - u_a(Cold) (Cold - Base))^2 + (a u_T)^2 + (a u_Cold)^2 ]
//
// Errors: a size that is missing or outside (0, 100 m], an expansion that is
// not one, a temperature outside the range of its source (ErrRange). It does not
// allocate.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: therm-growth-base, therm-growth-warm, therm-growth-u,
// therm-growth-table.
func (p Part) Growth(t units.Measured[units.Temperature]) (units.Measured[units.Length], error) {
	if err := p.checkAt("t", t); err != nil {
		return units.Measured[units.Length]{}, err
	}
	g, u, stated := p.grown(t)
	return measured(g, u, stated && p.Size.Stated), nil
}

// At answers how large the part is at a temperature: Size + Growth, the
// product L (1 + a (T - Cold)) from the base temperature, with
//
//	u^2 = (ratio u_L)^2 + u_growth^2
//
// Errors as for Growth. It does not allocate.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: therm-at-base, therm-at-cold, therm-at-u.
func (p Part) At(t units.Measured[units.Temperature]) (units.Measured[units.Length], error) {
	if err := p.checkAt("t", t); err != nil {
		return units.Measured[units.Length]{}, err
	}
	return p.at(t), nil
}

func (p *Part) at(t units.Measured[units.Temperature]) units.Measured[units.Length] {
	g, u, stated := p.grown(t)
	l := p.Size.Value + g
	return measured(l, math.Hypot(u, p.Size.U.Meters()*float64(l)/float64(p.Size.Value)), stated && p.Size.Stated)
}

func measured(v units.Length, u float64, stated bool) units.Measured[units.Length] {
	if !stated {
		return units.Unstated(v)
	}
	return units.WithU(v, units.Length(math.RoundToEven(u*float64(units.Meter))))
}

// Pair is a hole and what sits in it.
type Pair struct {
	Bore, Shaft Part
}

// Warm are the temperatures of the two parts of a pair.
type Warm struct {
	Bore, Shaft units.Measured[units.Temperature]
}

// HotClearance is the clearance of a pair at its temperatures.
type HotClearance struct {
	Bore, Shaft units.Measured[units.Length] // sizes at temperature
	// Clearance is Bore - Shaft; negative is an interference.
	Clearance units.Measured[units.Length]
	// Change is the growth of the bore less that of the shaft: what the clearance
	// gains over the one as measured.
	Change units.Measured[units.Length]

	pair Pair
	warm Warm
}

func (p *Pair) check(w Warm) error {
	if err := p.Bore.checkAt("At", w.Bore); err != nil {
		return inField("Bore", err)
	}
	return inField("Shaft", p.Shaft.checkAt("At", w.Shaft))
}

// Hot answers what the clearance of a pair is at temperature:
//
//	clearance = bore(T_bore) - shaft(T_shaft)     change = growth of bore - growth of shaft
//
// with the sizes of Part.At. The uncertainties of the two parts are taken as
// independent; where one thermometer stands for both temperatures its error
// largely cancels and u is too large. Nothing holds the parts back: as long as
// the clearance is positive. Errors as for Part.Growth, with Bore or Shaft in
// front of the field and the temperature named At. It does not allocate.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: grow-1, grow-3, mh31-gage-dL, mh31-gage, therm-hot-clearance,
// therm-hot-clearance-u, therm-hot-table.
func (p Pair) Hot(w Warm) (HotClearance, error) {
	if err := p.check(w); err != nil {
		return HotClearance{}, err
	}
	r := HotClearance{Bore: p.Bore.at(w.Bore), Shaft: p.Shaft.at(w.Shaft), pair: p, warm: w}
	r.Clearance = difference(r.Bore, r.Shaft)
	gb, ub, sb := p.Bore.grown(w.Bore)
	gs, us, ss := p.Shaft.grown(w.Shaft)
	r.Change = difference(measured(gb, ub, sb && p.Bore.Size.Stated), measured(gs, us, ss && p.Shaft.Size.Stated))
	return r, nil
}

func difference(a, b units.Measured[units.Length]) units.Measured[units.Length] {
	return measured(a.Value-b.Value, math.Hypot(a.U.Meters(), b.U.Meters()), a.Stated && b.Stated)
}

// Working shows the two sizes and their difference.
func (r HotClearance) Working() units.Working {
	if r.Bore.Value == 0 {
		return nil
	}
	part := func(symbol string, p Part, t units.Measured[units.Temperature], size units.Measured[units.Length]) units.Step {
		a := units.Expansion(p.Expansion.growth(p.Cold.Value, t.Value) / float64(t.Value-p.Cold.Value))
		if t.Value == p.Cold.Value {
			a = 0
		}
		return units.Step{
			Symbol: symbol, Formula: "size (1 + a (T - Cold))", Source: p.Expansion.Source, Value: size.String(),
			Numbers: p.Size.Value.String() + " (1 + " + a.String() + " (" + t.Value.String() + " - " + p.Cold.Value.String() + "))",
		}
	}
	return units.Working{
		part("bore", r.pair.Bore, r.warm.Bore, r.Bore),
		part("shaft", r.pair.Shaft, r.warm.Shaft, r.Shaft),
		{
			Symbol: "clearance", Formula: "bore - shaft", Numbers: r.Bore.Value.String() + " - " + r.Shaft.Value.String(), Value: r.Clearance.String(),
			Source: units.Source{Text: "definition", Provenance: units.Computed},
		},
	}
}

// Side is one part of a pair.
type Side uint8

// The two parts of a pair.
const (
	TheBore  Side = iota + 1 // the part with the hole
	TheShaft                 // the part in it
)

// String names the part.
func (s Side) String() string {
	switch s {
	case TheBore:
		return "bore"
	case TheShaft:
		return "shaft"
	default:
		return "no part"
	}
}

// Assembly says how a pair is to be put together. Every field is required but
// Clearance, which may be 0.
type Assembly struct {
	// Treat is the part that is heated or cooled.
	Treat Side
	// Other is the temperature of the other part.
	Other units.Temperature
	// Clearance is the gap wanted while it slides together.
	Clearance units.Length
}

// Assemble answers to which temperature one part of a pair must be brought so that
// the two go together with a clearance:
//
//	bore(T) = shaft(Other) + Clearance     or     shaft(T) = bore(Other) - Clearance
//
// with the sizes of Part.At, solved exactly for the coefficients as given; the
// range of the source bounds it. Which of the parts may be heated, and how far
// before it loses its temper, is not asked here. Errors: those of Part.Growth
// with Bore or Shaft in front, no part to treat (ErrMissing), a clearance
// outside 0 to the shaft's size (ErrRange), and a fit that no temperature in the
// range of the source opens (ErrImpossible). It does not allocate.
//
// Source: definition.
//
// Rows: therm-assemble-heat, therm-assemble-cool, therm-assemble-table.
func (p Pair) Assemble(a Assembly) (units.Temperature, error) {
	treated, other, name, otherName := &p.Bore, &p.Shaft, "Bore", "Shaft"
	sign := units.Length(1)
	switch a.Treat {
	case TheBore:
	case TheShaft:
		treated, other, name, otherName, sign = other, treated, otherName, name, -1
	default:
		return 0, fail("Treat", "", units.ErrMissing, "want the part that is heated or cooled")
	}
	if err := treated.check(); err != nil {
		return 0, inField(name, err)
	}
	if err := other.check(); err != nil {
		return 0, inField(otherName, err)
	}
	if err := other.Expansion.checkAt("Other", a.Other); err != nil {
		return 0, err
	}
	if a.Clearance < 0 || a.Clearance > p.Shaft.Size.Value {
		return 0, fail("Clearance", a.Clearance.String(), units.ErrRange, "want a clearance of 0 up to the size of the shaft")
	}
	g, _, _ := other.grown(units.Unstated(a.Other))
	want := other.Size.Value + g + sign*a.Clearance
	e := &treated.Expansion
	// (1 + e(T))/(1 + e(Cold)) = want/size, in terms that do not cancel.
	cold := e.strain(treated.Cold.Value)
	size := float64(treated.Size.Value)
	t, ok := e.temperatureOf(cold+(1+cold)*float64(want-treated.Size.Value)/size, 2*(1+cold)/size)
	if !ok {
		return 0, fail("Treat", a.Treat.String(), units.ErrImpossible,
			"no temperature from "+e.Lowest.String()+" to "+e.Highest.String()+", where its coefficient holds, opens the fit that far")
	}
	return t, nil
}

// Gauging is a part that is measured with an instrument, each at a temperature.
// The instrument reads right at Reference.
type Gauging struct {
	Part, Gauge Expansion
	// PartAt and GaugeAt are the temperatures while measuring.
	PartAt, GaugeAt units.Temperature
	// Reference is the temperature for which the size is wanted and at which
	// the instrument is right, 20 degC by ISO 1.
	Reference units.Temperature
}

// factors checks and returns the ratio of the part and of the gauge from
// Reference to their temperatures, each less 1.
func (g *Gauging) factors() (part, gauge float64, err error) {
	if err := g.Part.check(); err != nil {
		return 0, 0, inField("Part", err)
	}
	if err := g.Gauge.check(); err != nil {
		return 0, 0, inField("Gauge", err)
	}
	if err := g.Part.checkAt("PartAt", g.PartAt); err != nil {
		return 0, 0, err
	}
	if err := g.Gauge.checkAt("GaugeAt", g.GaugeAt); err != nil {
		return 0, 0, err
	}
	for _, e := range [...]*Expansion{&g.Part, &g.Gauge} {
		if err := e.checkAt("Reference", g.Reference); err != nil {
			return 0, 0, err
		}
	}
	return g.Part.growth(g.Reference, g.PartAt), g.Gauge.growth(g.Reference, g.GaugeAt), nil
}

// Reads answers what the instrument shows for a part of a size at the reference
// temperature:
//
//	reading = size (1 + e_part)/(1 + e_gauge)
//
// with e the growth of each from Reference over its length there; in short
// reading - size = L (T - 20 degC)(a_part - a_gauge). Errors: a size outside (0,
// 100 m], expansions that are none, temperatures outside the range of a source
// (ErrRange). It does not allocate.
//
// Source: Machinery's Handbook, 31st ed., p. 375, in the exact form.
//
// Rows: mh31-gage-L, therm-gauge-reads.
func (g Gauging) Reads(size units.Length) (units.Length, error) {
	return g.convert("size", size, 1)
}

// Size answers how large the part is at the reference temperature when the
// instrument shows a reading; the inverse of Reads, with its errors. It does
// not allocate.
//
// Source: Machinery's Handbook, 31st ed., p. 375, in the exact form.
//
// Rows: therm-gauge-size, therm-gauge-two.
func (g Gauging) Size(reading units.Length) (units.Length, error) {
	return g.convert("reading", reading, -1)
}

func (g *Gauging) convert(field string, l units.Length, sense int) (units.Length, error) {
	if err := checkSize(field, units.Unstated(l)); err != nil {
		return 0, err
	}
	part, gauge, err := g.factors()
	if err != nil {
		return 0, err
	}
	if sense < 0 {
		part, gauge = gauge, part
	}
	return l + units.Length(math.RoundToEven(float64(l)*(part-gauge)/(1+gauge))), nil
}
