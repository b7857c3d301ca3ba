// Package evaluation computes every row of the reference tables with the
// library and compares the outcome with what the row expects.
//
// A row's quantity selects one Case; a row whose quantity no case handles
// fails. How an expectation is read:
//
//   - a number against Number: equal within the tolerance;
//   - "lo..hi" (or "lo to hi", as sources print it) against Number: the number lies between the ends, ends included
//     and widened by a tolerance that the row gives;
//   - "lo..hi" against Interval: both ends equal within the tolerance;
//   - a number against Interval: the interval contains the number, its ends
//     widened by a tolerance that the row gives;
//   - anything else against Text: the same characters.
//
// The tolerance is in the unit of the row. Where the column is empty it is half
// a unit of the last printed digit; "0" and "exact" mean the float64 nearest
// to the figure; "N ulp" means N units in the last place of the float64
// nearest to the figure; "P % of value" means that share of the figure.
package evaluation

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"sync"

	"example.com/trialfit/internal/reference"
)

// Case says how the rows of one quantity are computed.
type Case struct {
	// Quantity is the text of the quantity column.
	Quantity string
	// Symbols are the exported symbols that Eval exercises, written
	// "pkg.Func", "pkg.Type" or "pkg.Type.Method".
	Symbols []string
	// Eval computes the row in the row's unit.
	Eval func(reference.Row) (Answer, error)
}

// Package returns the name of the package that the case is about, "" for none.
func (c Case) Package() string {
	if len(c.Symbols) == 0 {
		return ""
	}
	pkg, _, _ := strings.Cut(c.Symbols[0], ".")
	return pkg
}

type answerKind uint8

const (
	noAnswer answerKind = iota
	number
	text
	interval
)

// Answer is what the library says to a row. The zero Answer is none and fails.
type Answer struct {
	kind   answerKind
	lo, hi float64
	text   string
}

// Number is an answer in the row's unit.
func Number(x float64) Answer { return Answer{kind: number, lo: x, hi: x} }

// Text is an answer in words or a sequence.
func Text(s string) Answer { return Answer{kind: text, text: s} }

// Interval is an answer of two ends in the row's unit.
func Interval(lo, hi float64) Answer { return Answer{kind: interval, lo: lo, hi: hi} }

// String returns the answer with the fewest digits that keep it.
func (a Answer) String() string {
	switch a.kind {
	case number:
		return shortest(a.lo)
	case text:
		return a.text
	case interval:
		return shortest(a.lo) + ".." + shortest(a.hi)
	default:
		return "no answer"
	}
}

func shortest(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// Result is one row, computed and compared.
type Result struct {
	Row    reference.Row
	Case   Case   // zero if no case handles the row
	Answer Answer // zero if Err is set
	// Error is computed minus expected for two numbers; for intervals the
	// larger error of the two ends, or the distance outside; else 0.
	Error float64
	// Tolerance is the tolerance applied, in the row's unit; 0 is exact.
	Tolerance float64
	Pass      bool
	Err       error // why nothing could be computed or compared
}

// All returns every case of every package.
func All() []Case {
	return slices.Concat(
		unitsCases(),
		materialCases(),
		uncertaintyCases(),
		firingCases(),
		collect("firingorder", firingorderLayouts, firingorderBalance, firingorderWeights, firingorderTorque, firingorderPulses, firingorderShafts, firingorderLash, firingorderEnumeration, firingorderIdentify),
		camtimingCases(),
		valvetrainCases(),
		clearanceCases(),
		collect("clearance", clearanceStack, clearanceRotating, clearanceFasteners, clearanceCompression, clearancePistonValve, clearanceShells, clearanceForm, clearancePack, clearancePiston),
		collect("film", filmTable, filmBearings, filmOils, filmCriteria),
		collect("fit", fitLimits, fitPress),
	)
}

// index maps a quantity to its case; built once, read only.
var index = sync.OnceValues(func() (map[string]Case, error) {
	m := map[string]Case{}
	for _, c := range All() {
		if _, twice := m[c.Quantity]; twice {
			return nil, fmt.Errorf("evaluation: two cases for quantity %q", c.Quantity)
		}
		if c.Eval == nil || len(c.Symbols) == 0 {
			return nil, fmt.Errorf("evaluation: the case for quantity %q lacks Eval or Symbols", c.Quantity)
		}
		m[c.Quantity] = c
	}
	return m, nil
})

// Evaluate computes one row and compares it with its expectation.
func Evaluate(r reference.Row) Result {
	res := Result{Row: r}
	cases, err := index()
	if err != nil {
		res.Err = err
		return res
	}
	c, ok := cases[r.Quantity]
	if !ok {
		res.Err = fmt.Errorf("evaluation: no case handles quantity %q", r.Quantity)
		return res
	}
	res.Case = c
	a, err := c.Eval(r)
	if err != nil {
		res.Err = err
		return res
	}
	return compare(res, a)
}

func compare(res Result, a Answer) Result {
	fail := func(format string, args ...any) Result {
		res.Err = fmt.Errorf("evaluation: "+format, args...)
		return res
	}
	res.Answer = a
	switch a.kind {
	case noAnswer:
		return fail("the case gave no answer")
	case text:
		if t := res.Row.Tolerance; t != "" && t != "0" && t != "exact" {
			return fail("a text has no tolerance, but the row gives %q", t)
		}
		res.Pass = a.text == res.Row.Expected
		return res
	case number, interval:
	}
	if math.IsNaN(a.lo) || math.IsNaN(a.hi) || math.IsInf(a.lo, 0) || math.IsInf(a.hi, 0) {
		return fail("the answer %s is not finite", a)
	}
	if a.lo > a.hi {
		return fail("the interval %s is the wrong way round", a)
	}
	loText, hiText, isInterval := strings.Cut(strings.Replace(res.Row.Expected, " to ", "..", 1), "..")
	if !isInterval {
		hiText = loText
	}
	lo, err1 := figure(loText)
	hi, err2 := figure(hiText)
	if err := errors.Join(err1, err2); err != nil {
		return fail("expected %q is not a number nor lo..hi: %w", res.Row.Expected, err)
	}
	if lo.Cmp(hi) > 0 {
		return fail("expected %q is the wrong way round", res.Row.Expected)
	}
	tolLo, exact, err := tolerance(res.Row.Tolerance, loText)
	if err != nil {
		return fail("%w", err)
	}
	tolHi, _, err := tolerance(res.Row.Tolerance, hiText)
	if err != nil {
		return fail("%w", err)
	}
	res.Tolerance, _ = maxRat(tolLo, tolHi).Float64()
	if isInterval == (a.kind == interval) { // end against end
		var ok1, ok2 bool
		var e1, e2 float64
		e1, ok1 = near(a.lo, lo, tolLo, exact)
		e2, ok2 = near(a.hi, hi, tolHi, exact)
		res.Error, res.Pass = e1, ok1 && ok2
		if math.Abs(e2) > math.Abs(e1) {
			res.Error = e2
		}
	} else { // one contains the other; only a stated tolerance widens it
		if res.Row.Tolerance == "" {
			tolLo, tolHi = floatSlack(lo), floatSlack(hi)
			res.Tolerance = 0
		}
		outer, inner := [2]*big.Rat{lo, hi}, [2]*big.Rat{rat(a.lo), rat(a.hi)}
		if a.kind == interval {
			outer, inner = inner, outer
		}
		below := new(big.Rat).Sub(outer[0], inner[0])
		above := new(big.Rat).Sub(inner[1], outer[1])
		res.Pass = below.Cmp(tolLo) <= 0 && above.Cmp(tolHi) <= 0
		if worst, _ := maxRat(below, above).Float64(); worst > 0 {
			res.Error = worst
		}
	}
	return res
}

// near compares in exact rational arithmetic.
func near(x float64, want, tol *big.Rat, exact bool) (float64, bool) {
	if exact {
		w, _ := want.Float64()
		return x - w, x == w
	}
	diff := new(big.Rat).Sub(rat(x), want)
	e, _ := diff.Float64()
	return e, diff.Abs(diff).Cmp(tol) <= 0
}

func rat(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }

func maxRat(a, b *big.Rat) *big.Rat {
	if a.Cmp(b) < 0 {
		return b
	}
	return a
}

func ulp(x float64) float64 { return math.Nextafter(math.Abs(x), math.Inf(1)) - math.Abs(x) }

// figure reads a printed figure exactly.
func figure(s string) (*big.Rat, error) {
	s = strings.TrimSpace(s)
	if strings.ContainsAny(s, "/_xXpP") || len(s) > 64 {
		return nil, fmt.Errorf("%q is not a decimal figure", s)
	}
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return nil, fmt.Errorf("%q is not a decimal figure", s)
	}
	return r, nil
}

// tolerance returns the tolerance that the column text means for a printed
// figure, and whether the figure must be met exactly.
func tolerance(column, printed string) (tol *big.Rat, exact bool, err error) {
	column = strings.TrimSpace(column)
	if column == "exact" {
		return new(big.Rat), true, nil
	}
	if n, ok := strings.CutSuffix(column, " ulp"); ok {
		k, err := strconv.ParseUint(n, 10, 8)
		if err != nil || k == 0 {
			return nil, false, fmt.Errorf("tolerance %q: want a whole number of ulp", column)
		}
		w, err := figure(printed)
		if err != nil {
			return nil, false, err
		}
		f, _ := w.Float64()
		off := new(big.Rat).Sub(rat(f), w) // the ulp count from the nearest float64
		return off.Add(off.Abs(off), rat(ulp(f)*float64(k))), false, nil
	}
	if p, ok := strings.CutSuffix(column, " % of value"); ok {
		share, err1 := figure(p)
		w, err2 := figure(printed)
		if err := errors.Join(err1, err2); err != nil {
			return nil, false, err
		}
		t := new(big.Rat).Mul(share, w)
		return t.Abs(t).Quo(t, big.NewRat(100, 1)).Add(t, floatSlack(w)), false, nil
	}
	w, err := figure(printed)
	if err != nil {
		return nil, false, err
	}
	if column == "" {
		t := halfLastDigit(printed)
		return t.Add(t, floatSlack(w)), false, nil
	}
	t, err := figure(column)
	if err != nil || t.Sign() < 0 {
		return nil, false, fmt.Errorf("tolerance %q: want empty, exact, a number, N ulp or P %% of value", column)
	}
	if t.Sign() == 0 {
		return t, true, nil
	}
	return t.Add(t, floatSlack(w)), false, nil
}

// floatSlack is one unit in the last place: an answer is a float64 and cannot
// sit closer to a decimal figure than that.
func floatSlack(w *big.Rat) *big.Rat {
	f, _ := w.Float64()
	return rat(ulp(f))
}

// halfLastDigit returns half a unit of the last digit as printed: 0.005 for
// "1.28", 0.5 for "93", 0.0005e-6 for "0.123e-6".
func halfLastDigit(printed string) *big.Rat {
	mantissa := strings.ToLower(strings.TrimSpace(printed))
	exponent := 0
	if m, e, ok := strings.Cut(mantissa, "e"); ok {
		mantissa = m
		exponent, _ = strconv.Atoi(e) // figure has read it before
	}
	if _, frac, ok := strings.Cut(mantissa, "."); ok {
		exponent -= len(frac)
	}
	unit, _ := new(big.Rat).SetString("1e" + strconv.Itoa(exponent))
	return unit.Quo(unit, big.NewRat(2, 1))
}
