package material

import (
	"errors"
	"math"
	"strconv"

	"example.com/trialfit/units"
)

func fail(field, value string, kind error, reason string) error {
	return &units.InputError{Package: "material", Field: field, Value: value, Reason: reason, Kind: kind}
}

func inField(field string, err error) error {
	if err == nil {
		return nil
	}
	var e *units.InputError
	if !errors.As(err, &e) {
		return err
	}
	f := *e
	f.Package = "material"
	f.Field = field + "." + e.Field
	return &f
}

// MeanTo is a mean coefficient of expansion from the base temperature to To.
type MeanTo struct {
	To          units.Temperature
	Coefficient units.Measured[units.Expansion]
}

// Expansion says how a material grows when it is warmed: one mean coefficient, or
// a table of them. Base, Lowest, Highest and exactly one of Coefficient and
// Means are required.
type Expansion struct {
	// Base is the temperature from which the coefficients are means, 20 degC in
	// most handbooks.
	Base units.Temperature
	// Lowest and Highest are the range in which the source holds. With Means it
	// lies within their temperatures and Base.
	Lowest, Highest units.Temperature
	// Coefficient is the mean over the whole range.
	Coefficient units.Measured[units.Expansion]
	// Means are the means from Base to rising temperatures. Between two of them
	// the mean coefficient is interpolated linearly; before the first and after
	// the last it stays.
	Means []MeanTo
	// Source is required.
	Source units.Source
}

const (
	steepest = 1e-3 // 1/K, over that of any engine metal and most plastics
	hottest  = 5000 // K
)

func checkTemperature(field string, t units.Temperature) error {
	switch {
	case t == 0:
		return fail(field, "", units.ErrMissing, "want a temperature; absolute zero counts as none")
	case !(t > 0 && t <= hottest):
		return fail(field, t.String(), units.ErrRange, "want a temperature over absolute zero and up to 5000 K")
	}
	return nil
}

func checkCoefficient(field string, a units.Measured[units.Expansion]) error {
	if !(a.Value > 0 && a.Value <= steepest) {
		return fail(field, a.Value.String(), units.ErrRange, "want a coefficient over 0 and up to 0.001 1/K")
	}
	if a.Stated && !(a.U >= 0 && a.U <= a.Value) {
		return fail(field+".U", a.U.String(), units.ErrRange, "want a standard uncertainty of 0 or more, up to the coefficient")
	}
	return nil
}

// check refuses an expansion that is not one.
func (e *Expansion) check() error {
	if err := checkTemperature("Base", e.Base); err != nil {
		return err
	}
	if err := checkTemperature("Lowest", e.Lowest); err != nil {
		return err
	}
	if err := checkTemperature("Highest", e.Highest); err != nil {
		return err
	}
	if e.Lowest >= e.Highest {
		return fail("Lowest", e.Lowest.String(), units.ErrConflict, "want it under Highest, "+e.Highest.String())
	}
	if !e.Source.Given() {
		return fail("Source", "", units.ErrMissing, "a coefficient needs a source and its provenance")
	}
	if len(e.Means) == 0 {
		if e.Coefficient == (units.Measured[units.Expansion]{}) {
			return fail("Coefficient", "", units.ErrMissing, "want a mean coefficient, or Means")
		}
		if err := checkCoefficient("Coefficient", e.Coefficient); err != nil {
			return err
		}
		return e.checkLength()
	}
	if e.Coefficient != (units.Measured[units.Expansion]{}) {
		return fail("Coefficient", e.Coefficient.Value.String(), units.ErrConflict, "want either one coefficient or Means")
	}
	for i := range e.Means {
		if err := checkTemperature("Means.To", e.Means[i].To); err != nil {
			return err
		}
		if err := checkCoefficient("Means.Coefficient", e.Means[i].Coefficient); err != nil {
			return err
		}
		if i > 0 && e.Means[i].To <= e.Means[i-1].To {
			return fail("Means.To", e.Means[i].To.String(), units.ErrConflict, "want rising temperatures")
		}
	}
	first, last := min(e.Base, e.Means[0].To), max(e.Base, e.Means[len(e.Means)-1].To)
	if e.Lowest < first || e.Highest > last {
		return fail("Means", strconv.Itoa(len(e.Means)), units.ErrConflict, "the range reaches past the table, "+first.String()+" to "+last.String())
	}
	for i := range len(e.Means) - 1 {
		// The strain is a quadratic on each piece: it rises where its slope does
		// at both ends.
		for _, t := range [...]units.Temperature{e.Means[i].To, e.Means[i+1].To} {
			if e.slope(i, t) <= 0 {
				return fail("Means.Coefficient", e.Means[i+1].Coefficient.Value.String(), units.ErrConflict, "the part would shrink on warming at "+t.String())
			}
		}
	}
	return e.checkLength()
}

// checkLength refuses a strain of -1 at the cold end, which no metal has.
func (e *Expansion) checkLength() error {
	if 1+e.strain(e.Lowest) <= 0 {
		return fail("Lowest", e.Lowest.String(), units.ErrRange, "the length would vanish on cooling")
	}
	return nil
}

// checkAt refuses a temperature outside the range of the source.
func (e *Expansion) checkAt(field string, t units.Temperature) error {
	if err := checkTemperature(field, t); err != nil {
		return err
	}
	if t < e.Lowest || t > e.Highest {
		return fail(field, t.String(), units.ErrRange, "the source of the coefficient holds from "+e.Lowest.String()+" to "+e.Highest.String())
	}
	return nil
}

// piece returns the index of the first of the two means between which t lies;
// -1 before the first, len-1 after the last.
func (e *Expansion) piece(t units.Temperature) int {
	i := -1
	for i+1 < len(e.Means) && e.Means[i+1].To <= t {
		i++
	}
	return i
}

// mean returns the mean coefficient from Base to t on piece i, and its change
// per kelvin.
func (e *Expansion) mean(i int, t units.Temperature) (a, rate float64) {
	switch n := len(e.Means); {
	case n == 0:
		return float64(e.Coefficient.Value), 0
	case i < 0:
		return float64(e.Means[0].Coefficient.Value), 0
	case i >= n-1:
		return float64(e.Means[n-1].Coefficient.Value), 0
	}
	p, q := &e.Means[i], &e.Means[i+1]
	rate = float64(q.Coefficient.Value-p.Coefficient.Value) / float64(q.To-p.To)
	return float64(p.Coefficient.Value) + rate*float64(t-p.To), rate
}

// strainOn is the growth from Base to t over the length at Base.
func (e *Expansion) strainOn(i int, t units.Temperature) float64 {
	a, _ := e.mean(i, t)
	return a * float64(t-e.Base)
}

func (e *Expansion) strain(t units.Temperature) float64 { return e.strainOn(e.piece(t), t) }

// slope is the derivative of strainOn.
func (e *Expansion) slope(i int, t units.Temperature) float64 {
	a, rate := e.mean(i, t)
	return a + rate*float64(t-e.Base)
}

// uncertainty returns the standard uncertainty of the mean coefficient at t,
// and whether it was stated. That of two neighbors in a table is taken as common
// to both.
func (e *Expansion) uncertainty(t units.Temperature) (u float64, stated bool) {
	n := len(e.Means)
	if n == 0 {
		return float64(e.Coefficient.U), e.Coefficient.Stated
	}
	switch i := e.piece(t); {
	case i < 0:
		return float64(e.Means[0].Coefficient.U), e.Means[0].Coefficient.Stated
	case i >= n-1:
		return float64(e.Means[n-1].Coefficient.U), e.Means[n-1].Coefficient.Stated
	default:
		p, q := &e.Means[i], &e.Means[i+1]
		w := float64(t-p.To) / float64(q.To-p.To)
		return (1-w)*float64(p.Coefficient.U) + w*float64(q.Coefficient.U), p.Coefficient.Stated && q.Coefficient.Stated
	}
}

// Change is a change of temperature.
type Change struct {
	From, To units.Temperature
}

func (e *Expansion) checkChange(c Change) error {
	if err := e.check(); err != nil {
		return err
	}
	if err := e.checkAt("From", c.From); err != nil {
		return err
	}
	return e.checkAt("To", c.To)
}

// Ratio answers how many times its length a part is as long after a change of
// temperature (a ratio), exactly for the coefficients as given:
//
//	ratio = (1 + e(To)) / (1 + e(From))     e(T) = a(T) (T - Base)
//
// with a(T) the mean coefficient from Base to T. From Base it is 1 + a (To -
// Base). Errors: an expansion without base, range, source or coefficient
// (ErrMissing), one coefficient beside a table, a table that does not rise or does
// not cover the range (ErrConflict), a coefficient outside (0, 0.001] per
// kelvin, a temperature outside the range of the source (ErrRange). It does not
// allocate.
//
// Source: definition of the mean coefficient of linear thermal expansion.
//
// Rows: therm-ratio-base, therm-ratio-warm, therm-ratio-table,
// therm-ratio-table-cold, therm-ratio-two-sided.
func (e Expansion) Ratio(c Change) (float64, error) {
	if err := e.checkChange(c); err != nil {
		return 0, err
	}
	return 1 + e.growth(c.From, c.To), nil
}

// growth is Ratio - 1 without its cancellation.
func (e *Expansion) growth(from, to units.Temperature) float64 {
	s := e.strain(from)
	return (e.strain(to) - s) / (1 + s)
}

// Mean answers what the mean coefficient between any two temperatures is,
// referred to the length at the first:
//
//	a = (e(To) - e(From)) / ((1 + e(From)) (To - From))
//
// so that L(To) = L(From) (1 + a (To - From)). It moves a coefficient to another
// base. For To = From it is the local coefficient, e'(T)/(1 + e(T)), taken upward
// where a table has a kink. Errors as for Ratio. It does not allocate.
//
// Source: definition of the mean and the local coefficient.
//
// Rows: cte-duct-60, cte-duct-80, cte-steel-1020, cte-steel-1040,
// cte-steel-4140, cte-steel-4340, cte-al-356, cte-al-2024, cte-al-6061,
// cte-al-7075, cte-mg-az91d, cte-bronze-c932, cte-ss-304, cte-1020-nbs,
// therm-mean-rebased, therm-mean-local, therm-mean-table.
func (e Expansion) Mean(c Change) (units.Expansion, error) {
	if err := e.checkChange(c); err != nil {
		return 0, err
	}
	if c.From == c.To {
		i := e.piece(c.From)
		return units.Expansion(e.slope(i, c.From) / (1 + e.strainOn(i, c.From))), nil
	}
	return units.Expansion(e.growth(c.From, c.To) / float64(c.To-c.From)), nil
}

// temperatureOf returns the temperature at which the strain is s; the strain
// rises over the whole range, so there is one at most. ok is false where it
// lies outside by more than slack, the strain of a rounded size.
func (e *Expansion) temperatureOf(s, slack float64) (t units.Temperature, ok bool) {
	lo, hi := e.Lowest, e.Highest
	if d := s - e.strain(lo); d <= 0 {
		return lo, -d <= slack
	}
	if d := s - e.strain(hi); d >= 0 {
		return hi, d <= slack
	}
	i := e.piece(lo)
	for i < len(e.Means)-1 && e.strainOn(i, e.Means[i+1].To) <= s {
		i++
	}
	// On the piece the strain is a0 x + r x^2 with x = T - Base: the root that
	// tends to s/a0.
	_, r := e.mean(i, lo)
	a0, _ := e.mean(i, e.Base) // the line of this piece, read at Base
	x := 2 * s / (a0 + math.Sqrt(max(a0*a0+4*r*s, 0)))
	return min(max(e.Base+units.Temperature(x), lo), hi), true
}
