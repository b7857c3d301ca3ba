package units_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.com/trialfit/units"
	"gonum.org/v1/gonum/stat/distuv"
)

// reading is a quantity of the examples of JCGM 106, in whatever unit they use.
type reading float64

func (r reading) String() string { return fmt.Sprint(float64(r)) }

var (
	stdNormal = distuv.Normal{Mu: 0, Sigma: 1} // independent implementation
	card      = units.Source{Text: "the builder's own limit", Provenance: units.Stated}
)

func TestConformanceExamples(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		source    string
		m         units.Measured[reading]
		l         units.Limits[reading]
		want, tol float64
	}{
		{"JCGM 106:2012, 7.3.3 example 1 (V)", units.WithU(reading(-5.47), 0.05), units.AtMost(reading(-5.40), card), 0.92, 0.005},
		{"JCGM 106:2012, 7.3.3 example 2 (kPa)", units.WithU(reading(509.7), 8.6), units.AtLeast(reading(490), card), 0.99, 0.005},
		{"JCGM 106:2012, 7.4 example (mm2/s)", units.WithU(reading(13.6), 1.8), units.Between(reading(12.5), reading(16.3), card), 0.66, 0.005},
		{"JCGM 106:2012, 9.5.3 eq. (21) (ohm)", units.WithU(reading(1500), 0.12), units.Between(reading(1499.8), reading(1500.2), card), 0.90, 0.005},
		{"JCGM 106:2012, 8.3.1.2: value on the limit", units.WithU(reading(5), 0.12), units.AtMost(reading(5), card), 0.5, 0},
	} {
		p, err := units.ConformanceProbability(c.m, c.l)
		if err != nil || math.Abs(p-c.want) > c.tol {
			t.Errorf("%s: %v, %v; want %v", c.source, p, err, c.want)
		}
	}
}

// Against the normal distribution of gonum, tails included.
func TestConformanceAgainstNormal(t *testing.T) {
	t.Parallel()
	for i := -400; i <= 400; i++ {
		y := float64(i) / 20
		p, err := units.ConformanceProbability(units.WithU(reading(y), 1), units.Between(reading(-1), reading(2), card))
		want := stdNormal.CDF(2-y) - stdNormal.CDF(-1-y)
		if y < -1 { // upper tails by symmetry
			want = stdNormal.CDF(y+1) - stdNormal.CDF(y-2)
		}
		if err != nil || math.Abs(p-want) > 1e-13*want+1e-300 && math.Abs(p-want) > 4e-16 {
			t.Errorf("y = %v: %g, %v; want %g", y, p, err, want)
		}
	}
}

func TestGuardFactor(t *testing.T) {
	t.Parallel()
	z := stdNormal.Quantile(0.95)
	for _, tu := range []float64{math.Inf(1), 100, 60, 10, 6, 5, 4.5, 4.1, 4, 3.95, 3.93} {
		g, err := units.GuardFactor(tu)
		if err != nil {
			t.Errorf("T/u = %v: %v", tu, err)
			continue
		}
		p := stdNormal.CDF(tu-g) - stdNormal.CDF(-g) // JCGM 106:2012 eq. (11)
		if math.Abs(p-0.95) > 1e-12 || g < z-1e-12 {
			t.Errorf("T/u = %v: g = %v gives %v", tu, g, p)
		}
	}
	for tu, kind := range map[float64]error{3.9199: units.ErrImpossible, 0: units.ErrImpossible, -1: units.ErrRange, math.Inf(-1): units.ErrRange, math.NaN(): units.ErrRange} {
		if g, err := units.GuardFactor(tu); !errors.Is(err, kind) || g != 0 {
			t.Errorf("T/u = %v: %v, %v; want %v", tu, g, err, kind)
		}
	}
}

// Boundaries under, at and over for each rule, on lengths. u = 1 um, so the
// one-sided guard of 1.6448536... um (normal quantile) lies between whole
// picometers 1,644,853 and 1,644,854.
func TestJudgeBoundaries(t *testing.T) {
	t.Parallel()
	const um = units.Micrometer
	limit := 50 * um
	for _, c := range []struct {
		rule units.DecisionRule
		y    units.Length
		want units.Outcome
	}{
		{units.ProveAt95, limit + 1_644_854, units.ProvedWithin},
		{units.ProveAt95, limit + 1_644_853, units.NotProved},
		{units.ProveAt95, limit, units.NotProved},
		{units.ProveAt95, limit - 1_644_853, units.NotProved},
		{units.ProveAt95, limit - 1_644_854, units.ProvedOutside},
		{units.ProveBeyondU, limit + 2*um, units.ProvedWithin},
		{units.ProveBeyondU, limit + 2*um - 1, units.NotProved},
		{units.ProveBeyondU, limit - 2*um, units.NotProved},
		{units.ProveBeyondU, limit - 2*um - 1, units.ProvedOutside},
		{units.SimpleAcceptance, limit, units.ProvedWithin},
		{units.SimpleAcceptance, limit - 1, units.ProvedOutside},
	} {
		v, err := units.Judge(units.WithU(c.y, um), units.AtLeast(limit, card), c.rule)
		if err != nil || v.Outcome != c.want || v.Margin != c.y-limit || (v.Outcome == units.NotProved) != (v.Reason != "") {
			t.Errorf("%v at %v: %+v, %v; want %v", c.rule, c.y, v, err, c.want)
		}
		// The mirror image against an upper limit.
		v, err = units.Judge(units.WithU(-c.y, um), units.AtMost(-limit, card), c.rule)
		if err != nil || v.Outcome != c.want {
			t.Errorf("%v, mirrored at %v: %+v, %v; want %v", c.rule, c.y, v, err, c.want)
		}
		// Without an uncertainty nothing is proved unless the rule is simple acceptance.
		v, err = units.Judge(units.Unstated(c.y), units.AtLeast(limit, card), c.rule)
		if c.rule != units.SimpleAcceptance {
			c.want = units.NotProved
		}
		if err != nil || v.Outcome != c.want || v.HasConformance {
			t.Errorf("%v unstated at %v: %+v, %v; want %v", c.rule, c.y, v, err, c.want)
		}
	}
}

// Whatever ProveAt95 calls within has a probability of 0.95 or more.
func TestProveAt95Keeps95(t *testing.T) {
	t.Parallel()
	for _, u := range []units.Length{1, 3, 7, 1000, 12_345, 1e6} {
		for _, width := range []units.Length{4 * u, 5 * u, 8 * u, 100 * u} {
			l := units.Between(units.Length(0), width, card)
			for i := range units.Length(200) {
				y := width * i / 200
				v, err := units.Judge(units.WithU(y, u), l, units.ProveAt95)
				if err != nil || v.Outcome == units.ProvedWithin && v.Conformance < 0.95-1e-12 {
					t.Errorf("u %d, y %d of %d: %+v, %v", u, y, width, v, err)
				}
			}
		}
	}
	// Narrow tolerance, T = 3.9 u: no value proves conformity, an outside one still fails.
	narrow := units.Between(reading(0), reading(3.9), card)
	for y := reading(-3); y < 7; y += 0.01 {
		v, err := units.Judge(units.WithU(y, 1), narrow, units.ProveAt95)
		outside := y < -1.645 || y > 3.9+1.645
		if err != nil || v.Outcome == units.ProvedWithin || outside != (v.Outcome == units.ProvedOutside) {
			t.Errorf("y = %v: %+v, %v", y, v, err)
		}
	}
}

func TestJudgeRefuses(t *testing.T) {
	t.Parallel()
	nan, inf := reading(math.NaN()), reading(math.Inf(1))
	good := units.AtLeast(reading(1), card)
	for name, c := range map[string]struct {
		m    units.Measured[reading]
		l    units.Limits[reading]
		r    units.DecisionRule
		kind error
	}{
		"zero limits":    {units.WithU(reading(1), 1), units.Limits[reading]{}, 0, units.ErrMissing},
		"no source":      {units.WithU(reading(1), 1), units.AtLeast(reading(1), units.Source{}), 0, units.ErrMissing},
		"no provenance":  {units.WithU(reading(1), 1), units.AtLeast(reading(1), units.Source{Text: "x"}), 0, units.ErrMissing},
		"swapped":        {units.WithU(reading(1), 1), units.Between(reading(2), reading(1), card), 0, units.ErrConflict},
		"NaN limit":      {units.WithU(reading(1), 1), units.AtMost(nan, card), 0, units.ErrRange},
		"Inf limit":      {units.WithU(reading(1), 1), units.AtLeast(-inf, card), 0, units.ErrRange},
		"NaN value":      {units.WithU(nan, 1), good, 0, units.ErrRange},
		"Inf value":      {units.Unstated(inf), good, units.SimpleAcceptance, units.ErrRange},
		"negative u":     {units.WithU(reading(1), -1), good, 0, units.ErrRange},
		"NaN u":          {units.WithU(reading(1), nan), good, 0, units.ErrRange},
		"Inf u":          {units.WithU(reading(1), inf), good, 0, units.ErrRange},
		"u not marked":   {units.Measured[reading]{Value: 2, U: 1}, good, units.SimpleAcceptance, units.ErrConflict},
		"u NaN unmarked": {units.Measured[reading]{Value: 2, U: nan}, good, 0, units.ErrConflict},
		"unknown rule":   {units.WithU(reading(1), 1), good, 99, units.ErrRange},
		"margin too big": {units.WithU(reading(-math.MaxFloat64), 1), units.AtLeast(reading(math.MaxFloat64), card), 0, units.ErrRange},
	} {
		v, err := units.Judge(c.m, c.l, c.r)
		if !errors.Is(err, c.kind) || v != (units.Verdict[reading]{}) {
			t.Errorf("%s: %+v, %v; want %v", name, v, err, c.kind)
		}
	}
	if _, err := units.ConformanceProbability(units.Unstated(reading(1)), good); !errors.Is(err, units.ErrMissing) {
		t.Errorf("no uncertainty: %v", err)
	}
	if p, err := units.ConformanceProbability(units.Measured[reading]{Value: 2, U: 1}, good); !errors.Is(err, units.ErrConflict) || p != 0 {
		t.Errorf("uncertainty not marked as stated: %v, %v", p, err)
	}
	// Counts that would overflow are refused, not wrapped into a verdict.
	most := units.MaxLength
	for name, c := range map[string]struct {
		m units.Measured[units.Length]
		l units.Limits[units.Length]
	}{
		"margin": {units.WithU(most, 1), units.Between(-most, most, card)},
		"guard":  {units.WithU(units.Length(0), most), units.AtLeast(units.Length(-1), card)},
		"min":    {units.WithU(units.Length(math.MinInt64), 1), units.AtMost(units.Length(0), card)},
	} {
		for _, rule := range []units.DecisionRule{units.ProveAt95, units.ProveBeyondU, units.SimpleAcceptance} {
			if v, err := units.Judge(c.m, c.l, rule); !errors.Is(err, units.ErrRange) {
				t.Errorf("%s, %v: %v, %v", name, rule, v, err)
			}
		}
	}
}
