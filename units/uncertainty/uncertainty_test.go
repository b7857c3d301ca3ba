package uncertainty_test

import (
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/units"
	"example.com/trialfit/units/uncertainty"
)

// Mean and deviation of counts against exact fractions.
func TestRepeatedExact(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		n := 2 + r.IntN(40)
		x := make([]units.Length, n)
		sum := new(big.Rat)
		base := units.Length(r.Int64N(1 << 50))
		for i := range x {
			x[i] = base + units.Length(r.Int64N(1<<uint(1+r.IntN(35))))
			sum.Add(sum, new(big.Rat).SetInt64(int64(x[i])))
		}
		mean := sum.Quo(sum, big.NewRat(int64(n), 1))
		squares := new(big.Rat)
		for _, v := range x {
			d := new(big.Rat).Sub(new(big.Rat).SetInt64(int64(v)), mean)
			squares.Add(squares, d.Mul(d, d))
		}
		variance, _ := squares.Quo(squares, big.NewRat(int64(n-1), 1)).Float64()
		got, err := uncertainty.Repeated(x)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := mean.Float64()
		if math.Abs(float64(got.Mean.Value)-want) > 1 || math.Abs(float64(got.Deviation)-math.Sqrt(variance)) > 1 ||
			math.Abs(float64(got.Mean.U)-math.Sqrt(variance/float64(n))) > 1 || got.Freedom != float64(n-1) {
			t.Fatalf("%d readings: %+v, want mean %g and variance %g", n, got, want, variance)
		}
		if len(got.Working()) != 3 {
			t.Error("want three steps")
		}
	}
}

// Doubt against the spread of many drawn standard deviations.
func TestDoubt(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, n := range []int{2, 3, 5, 10} {
		const runs = 200000
		var s, s2 float64
		x := make([]float64, n)
		for range runs {
			var mean float64
			for i := range x {
				x[i] = r.NormFloat64()
				mean += x[i] / float64(n)
			}
			var v float64
			for _, y := range x {
				v += (y - mean) * (y - mean)
			}
			sd := math.Sqrt(v / float64(n-1))
			s += sd / runs
			s2 += sd * sd / runs
		}
		drawn := math.Sqrt(s2-s*s) / s
		got, err := uncertainty.Repeated(make([]units.Length, n))
		if err != nil || math.Abs(got.Doubt/drawn-1) > 0.01 {
			t.Errorf("n = %d: %v, drawn %v (%v)", n, got.Doubt, drawn, err)
		}
	}
}

// Each shape's standard deviation against its own density, summed.
func TestShapes(t *testing.T) {
	for _, c := range []struct {
		shape   uncertainty.Shape
		top     float64
		density func(x float64) float64
	}{
		{uncertainty.Rectangular, 0, func(float64) float64 { return 1 }},
		{uncertainty.Triangular, 0, func(x float64) float64 { return 1 - math.Abs(x) }},
		{uncertainty.Trapezoidal, 0.3, func(x float64) float64 { return min(1, (1-math.Abs(x))/0.7) }},
		{uncertainty.Trapezoidal, 1, func(float64) float64 { return 1 }},
		{uncertainty.Trapezoidal, 0, func(x float64) float64 { return 1 - math.Abs(x) }},
	} {
		const n = 200000
		var w, m2 float64
		for i := range n {
			x := -1 + (2*float64(i)+1)/n
			w += c.density(x)
			m2 += x * x * c.density(x)
		}
		got, err := uncertainty.Bounds[units.Length]{HalfWidth: units.Meter, Shape: c.shape, TopShare: c.top}.Standard()
		if err != nil || math.Abs(got.Meters()-math.Sqrt(m2/w)) > 1e-6 {
			t.Errorf("%v %g: %v, want %g (%v)", c.shape, c.top, got, math.Sqrt(m2/w), err)
		}
	}
	var m2 float64 // a sine's mean square
	for i := range 1000 {
		s := math.Sin(2 * math.Pi * float64(i) / 1000)
		m2 += s * s / 1000
	}
	got, err := uncertainty.Bounds[units.Length]{HalfWidth: units.Meter, Shape: uncertainty.UShaped}.Standard()
	if err != nil || math.Abs(got.Meters()-math.Sqrt(m2)) > 1e-9 {
		t.Errorf("U-shaped: %v, want %g (%v)", got, math.Sqrt(m2), err)
	}
}

// A budget against draws of correlated normal inputs.
func TestCombineDrawn(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for _, rho := range []float64{-0.9, -0.3, 0, 0.5, 1} {
		b := uncertainty.Budget[units.Length]{
			Contributions: []uncertainty.Contribution[units.Length]{{U: 3 * units.Micrometer}, {U: -4 * units.Micrometer}, {U: 2 * units.Micrometer}},
			Correlations:  []uncertainty.Correlation{{I: 1, J: 0, Coefficient: rho}},
		}
		got, err := b.Combine()
		if err != nil {
			t.Fatal(err)
		}
		var m2 float64
		const runs = 400000
		for range runs {
			z, y, x := r.NormFloat64(), r.NormFloat64(), r.NormFloat64()
			v := 3*z - 4*(rho*z+math.Sqrt(1-rho*rho)*y) + 2*x
			m2 += v * v / runs
		}
		if math.Abs(float64(got.U)/1e6/math.Sqrt(m2)-1) > 0.005 {
			t.Errorf("correlation %g: %v, drawn %g um", rho, got.U, math.Sqrt(m2))
		}
		if got.Freedom != 0 || len(got.Working()) != 4 {
			t.Errorf("correlation %g: %+v", rho, got)
		}
	}
}

func TestCombineProperties(t *testing.T) {
	c := func(u units.Length, v float64) uncertainty.Contribution[units.Length] {
		return uncertainty.Contribution[units.Length]{U: u, Freedom: v}
	}
	one, err := uncertainty.Budget[units.Length]{Contributions: []uncertainty.Contribution[units.Length]{c(5000, 7)}}.Combine()
	if err != nil || one.U != 5000 || math.Abs(one.Freedom-7) > 1e-12 {
		t.Errorf("one contribution: %+v (%v)", one, err)
	}
	// n alike ones with v each have n v.
	four, err := uncertainty.Budget[units.Length]{Contributions: []uncertainty.Contribution[units.Length]{c(5000, 7), c(-5000, 7), c(5000, 7), c(5000, 7)}}.Combine()
	if err != nil || four.U != 10000 || math.Abs(four.Freedom-28) > 1e-9 {
		t.Errorf("four contributions: %+v (%v)", four, err)
	}
	// k grows as the freedom falls, and tends to the normal factor.
	last := 0.0
	for _, v := range []float64{0, 1e10, 1e6, 100, 10, 3.5, 1, 0.5} {
		k, err := uncertainty.CoverageFactor(0.95, v)
		if err != nil || k < last-1e-9 {
			t.Errorf("freedom %g: k = %v after %v (%v)", v, k, last, err)
		}
		last = k
	}
	// t with one degree of freedom is tan(pi p/2), with two p sqrt(2/(1 - p^2)).
	for _, p := range []float64{5e-324, 1e-300, 1e-12, 1e-8, 0.1, 0.5, 0.95, 0.9999, 1 - 1e-9, 1 - 1e-15} {
		k1, _ := uncertainty.CoverageFactor(p, 1)
		k2, _ := uncertainty.CoverageFactor(p, 2)
		want1 := math.Tan(math.Pi * p / 2)
		if p > 0.5 {
			want1 = 1 / math.Tan(math.Pi*(1-p)/2)
		}
		if math.Abs(k1-want1) > 1e-13*want1+5e-324 || math.Abs(k2-p*math.Sqrt(2/((1-p)*(1+p)))) > 1e-13*k2+5e-324 {
			t.Errorf("p = %g: %v, %v", p, k1, k2)
		}
	}
	// By integration of the density in 50 digits in a separate program; the
	// probability is the nearest float, which moves the last digits.
	for _, c := range []struct{ p, v, want float64 }{
		{1 - 1e-9, 1e6, 6.109468741},
		{1 - 1e-9, 20000, 6.112338190},
		{1 - 1e-9, 1e4, 6.115268585},
		{1 - 1e-9, 300, 6.309988385},
		{1 - 1e-6, 1e5, 4.891943341},
		{1 - 1e-6, 5, 28.478473489},
		{0.95, 1e5, 1.959987708},
	} {
		if k, err := uncertainty.CoverageFactor(c.p, c.v); err != nil || math.Abs(k/c.want-1) > 2e-9 {
			t.Errorf("p = %g, freedom %g: k = %v, want %v (%v)", c.p, c.v, k, c.want, err)
		}
	}
	// The normal factor and the expansion for many degrees of freedom join on.
	for _, p := range []float64{1e-12, 0.01, 0.5, 0.95, 1 - 1e-9, 1 - 1e-15} {
		under, _ := uncertainty.CoverageFactor(p, 9999.999999)
		over, _ := uncertainty.CoverageFactor(p, 10000.000001)
		most, _ := uncertainty.CoverageFactor(p, 1e300)
		normal, _ := uncertainty.CoverageFactor(p, 0)
		if math.Abs(over/under-1) > 1e-9 || most != normal {
			t.Errorf("p = %g: %v and %v, %v and %v", p, under, over, most, normal)
		}
	}
}

// n contributions alike with v degrees of freedom have n v, and all of them are
// used to state an interval, whatever rounding does to their quotient.
func TestFreedomStaysWhole(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		u, v, n := units.Force(r.Float64()), 1+r.IntN(30), 1+r.IntN(4)
		var b uncertainty.Budget[units.Force]
		for range n {
			b.Contributions = append(b.Contributions, uncertainty.Contribution[units.Force]{U: u, Freedom: float64(v)})
		}
		c, err := b.Combine()
		if err != nil {
			t.Fatal(err)
		}
		if s, err := c.Expand(0.95); err != nil || s.Freedom != n*v {
			t.Fatalf("%d of %v with %d: %d degrees of freedom (%v)", n, u, v, s.Freedom, err)
		}
	}
	// What is truly less is cut off.
	if s, err := (uncertainty.Combined[units.Force]{U: 1, Freedom: 4.9999}).Expand(0.95); err != nil || s.Freedom != 4 {
		t.Errorf("%+v %v", s, err)
	}
}

// The doubt in a deviation of very many readings is 1/sqrt(2 (n - 1)), and the
// two ways of reckoning it join at a thousand.
func TestDoubtOfMany(t *testing.T) {
	last := 1.0
	for _, n := range []int{999, 1000, 1001, 1002, 1003, 5_000_000} {
		x := make([]units.Force, n)
		for i := range x {
			x[i] = units.Force(i % 3)
		}
		r, err := uncertainty.Repeated(x)
		v := float64(n - 1)
		// Exactly (1/c4)^2 - 1 = 1/(2v) + 1/(8v^2) - 1/(16v^3) + ...
		want := math.Sqrt(1/(2*v) + 1/(8*v*v) - 1/(16*v*v*v))
		if err != nil || math.Abs(r.Doubt/want-1) > 1e-9 || r.Doubt >= last {
			t.Errorf("%d readings: doubt %v, want %v (%v)", n, r.Doubt, want, err)
		}
		last = r.Doubt
	}
}

func TestBad(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	type L = units.Length
	one := func(r ...uncertainty.Correlation) func() (any, error) {
		return func() (any, error) {
			c, err := uncertainty.Budget[L]{Contributions: []uncertainty.Contribution[L]{{U: 3}, {U: 4}, {U: 5, Freedom: 2}}, Correlations: r}.Combine()
			return c.U, err
		}
	}
	bounds := func(a units.Force, s uncertainty.Shape, top float64) func() (any, error) {
		return func() (any, error) {
			u, err := uncertainty.Bounds[units.Force]{HalfWidth: a, Shape: s, TopShare: top}.Standard()
			return u, err
		}
	}
	factor := func(p, v float64) func() (any, error) {
		return func() (any, error) { return uncertainty.CoverageFactor(p, v) }
	}
	for name, c := range map[string]struct {
		f     func() (any, error)
		field string
		kind  error
	}{
		"no shape":          {bounds(1, 0, 0), "Shape", units.ErrMissing},
		"unknown shape":     {bounds(1, 9, 0), "Shape", units.ErrMissing},
		"negative width":    {bounds(-1, uncertainty.Rectangular, 0), "HalfWidth", units.ErrRange},
		"width nan":         {bounds(units.Force(nan), uncertainty.Rectangular, 0), "HalfWidth", units.ErrRange},
		"width inf":         {bounds(units.Force(inf), uncertainty.Rectangular, 0), "HalfWidth", units.ErrRange},
		"top of a triangle": {bounds(1, uncertainty.Triangular, 0.5), "TopShare", units.ErrConflict},
		"top over 1":        {bounds(1, uncertainty.Trapezoidal, 1.1), "TopShare", units.ErrRange},
		"top nan":           {bounds(1, uncertainty.Trapezoidal, nan), "TopShare", units.ErrRange},
		"probability 0":     {factor(0, 5), "probability", units.ErrRange},
		"probability 1":     {factor(1, 5), "probability", units.ErrRange},
		"probability next":  {factor(math.Nextafter(1, 0), 5), "probability", units.ErrRange},
		"probability nan":   {factor(nan, 5), "probability", units.ErrRange},
		"freedom negative":  {factor(0.95, -1), "freedom", units.ErrRange},
		"freedom nan":       {factor(0.95, nan), "freedom", units.ErrRange},
		"freedom inf":       {factor(0.95, inf), "freedom", units.ErrRange},
		"freedom tiny":      {factor(0.95, 0.1), "freedom", units.ErrRange},
		"doubt over":        {func() (any, error) { return uncertainty.FreedomOf(1.5) }, "doubt", units.ErrRange},
		"doubt nan":         {func() (any, error) { return uncertainty.FreedomOf(nan) }, "doubt", units.ErrRange},
		"interval":          {func() (any, error) { return uncertainty.Interval[L]{HalfWidth: 5}.Standard() }, "probability", units.ErrRange},
		"interval width":    {func() (any, error) { return uncertainty.Interval[L]{HalfWidth: -5, Probability: 0.5}.Standard() }, "HalfWidth", units.ErrRange},
		"interval wide": {func() (any, error) {
			return uncertainty.Interval[L]{HalfWidth: 1 << 61, Probability: 1e-9}.Standard()
		}, "HalfWidth", units.ErrRange},
		"expanded":   {func() (any, error) { return uncertainty.Expanded[L]{U: 5}.Standard() }, "K", units.ErrRange},
		"expanded u": {func() (any, error) { return uncertainty.Expanded[L]{U: -5, K: 2}.Standard() }, "U", units.ErrRange},
		"resolution": {func() (any, error) { return uncertainty.Resolution(L(-1)) }, "division", units.ErrRange},
		"one reading": {func() (any, error) {
			r, err := uncertainty.Repeated([]L{5})
			return r.Mean.Value, err
		}, "readings", units.ErrMissing},
		"reading nan": {func() (any, error) {
			r, err := uncertainty.Repeated([]units.Force{1, units.Force(nan)})
			return float64(r.Mean.Value), err
		}, "readings[1]", units.ErrRange},
		"reading over": {func() (any, error) {
			r, err := uncertainty.Repeated([]L{math.MaxInt64, math.MinInt64})
			return r.Mean.Value, err
		}, "readings[0]", units.ErrRange},
		"nothing": {func() (any, error) {
			c, err := uncertainty.Budget[L]{}.Combine()
			return c.U, err
		}, "Contributions", units.ErrMissing},
		"contribution inf": {func() (any, error) {
			c, err := uncertainty.Budget[units.Force]{Contributions: []uncertainty.Contribution[units.Force]{{U: units.Force(inf)}}}.Combine()
			return c.U, err
		}, "Contributions[0].U", units.ErrRange},
		"contribution freedom": {func() (any, error) {
			c, err := uncertainty.Budget[L]{Contributions: []uncertainty.Contribution[L]{{U: 1, Freedom: -1}}}.Combine()
			return c.U, err
		}, "Contributions[0].Freedom", units.ErrRange},
		"place":           {one(uncertainty.Correlation{I: 0, J: 3}), "Correlations[0]", units.ErrRange},
		"itself":          {one(uncertainty.Correlation{I: 1, J: 1}), "Correlations[0]", units.ErrRange},
		"negative place":  {one(uncertainty.Correlation{I: -1, J: 1}), "Correlations[0]", units.ErrRange},
		"coefficient":     {one(uncertainty.Correlation{I: 0, J: 1, Coefficient: 1.01}), "Correlations[0].Coefficient", units.ErrRange},
		"coefficient nan": {one(uncertainty.Correlation{I: 0, J: 1, Coefficient: nan}), "Correlations[0].Coefficient", units.ErrRange},
		"twice":           {one(uncertainty.Correlation{I: 0, J: 1}, uncertainty.Correlation{I: 1, J: 0}), "Correlations[1]", units.ErrConflict},
		"freedom of one":  {one(uncertainty.Correlation{I: 0, J: 2, Coefficient: 0.5}), "Correlations[0]", units.ErrConflict},
		"impossible": {func() (any, error) {
			c, err := uncertainty.Budget[L]{
				Contributions: []uncertainty.Contribution[L]{{U: 1}, {U: 1}, {U: 1}},
				Correlations:  []uncertainty.Correlation{{I: 0, J: 1, Coefficient: -1}, {I: 1, J: 2, Coefficient: -1}, {I: 0, J: 2, Coefficient: -1}},
			}.Combine()
			return c.U, err
		}, "Correlations", units.ErrConflict},
		"too little": {func() (any, error) {
			c, err := uncertainty.Budget[L]{Contributions: []uncertainty.Contribution[L]{{U: 9, Freedom: 0.6}}}.Combine()
			if err != nil {
				return nil, err
			}
			s, err := c.Expand(0.95)
			return s.U, err
		}, "Freedom", units.ErrImpossible},
	} {
		v, err := c.f()
		var e *units.InputError
		if !errors.As(err, &e) || e.Package != "uncertainty" || e.Field != c.field || !errors.Is(err, c.kind) {
			t.Errorf("%s: %v, want field %q and %v", name, err, c.field, c.kind)
			continue
		}
		if s, ok := v.(interface{ String() string }); ok && s.String()[0] != '0' || v == nil {
			t.Errorf("%s: %v beside an error", name, v)
		}
	}
}

func TestZeroValues(t *testing.T) {
	if w := (uncertainty.Combined[units.Length]{}).Working(); len(w) != 1 {
		t.Errorf("%v", w)
	}
	if s, err := (uncertainty.Combined[units.Length]{}).Expand(0.95); err != nil || s.U != 0 {
		t.Errorf("%v, %v", s, err)
	}
	if s := uncertainty.Shape(0).String(); s != "unknown shape" {
		t.Error(s)
	}
}

func FuzzCombine(f *testing.F) {
	f.Add(3.0, 4.0, 0.5, 0.0, 0.95)
	f.Add(1e-300, 1e70, -1.0, 2.0, 0.5)
	f.Fuzz(func(t *testing.T, a, b, r, v, p float64) {
		c, err := uncertainty.Budget[units.Force]{
			Contributions: []uncertainty.Contribution[units.Force]{{U: units.Force(a)}, {U: units.Force(b)}, {U: units.Force(a), Freedom: v}},
			Correlations:  []uncertainty.Correlation{{I: 0, J: 1, Coefficient: r}},
		}.Combine()
		if err != nil {
			return
		}
		if u := float64(c.U); !(u >= 0) || u > (2*math.Abs(a)+math.Abs(b))*(1+1e-9)+1e-160 || !(c.Freedom >= 0) {
			t.Fatalf("%v with %v", c.U, c.Freedom)
		}
		if s, err := c.Expand(p); err == nil && !(s.U >= 0 && s.K > 0) {
			t.Fatalf("%+v", s)
		}
	})
}

func BenchmarkCombine(b *testing.B) {
	x := uncertainty.Budget[units.Length]{Contributions: []uncertainty.Contribution[units.Length]{{U: 3000, Freedom: 4}, {U: -4000, Freedom: 9}, {U: 5000}}}
	b.ReportAllocs()
	for b.Loop() {
		_, _ = x.Combine()
	}
}

func BenchmarkCoverageFactor(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		_, _ = uncertainty.CoverageFactor(0.95, 16)
	}
}
