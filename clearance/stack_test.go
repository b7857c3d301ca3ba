package clearance_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// Piston to head of the workboat's six, numbers invented: deck, gasket, and the
// rod that may be a little long.
func squish() clearance.Stack {
	in := units.MustParseLength
	return clearance.Stack{
		Parts: []clearance.StackPart{
			{Name: "deck height", Smallest: in("0.004 in"), Largest: in("0.010 in"), Sensitivity: 1, Spread: clearance.SpreadNormal, Sigmas: 3},
			{Name: "gasket, compressed", Smallest: in("0.038 in"), Largest: in("0.042 in"), Sensitivity: 1, Spread: clearance.SpreadEven},
			{Name: "rod, over nominal", Smallest: in("-0.002 in"), Largest: in("0.002 in"), Sensitivity: -1, Spread: clearance.SpreadTriangular},
		},
		Limits: units.Between(in("0.040 in"), in("0.052 in"), units.Source{Text: "restorer's sheet, invented", Provenance: units.Stated}),
	}
}

func ExampleStack_WorstCase() {
	e, err := squish().WorstCase()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(e.Smallest.Text(units.Inches, 3), "to", e.Largest.Text(units.Inches, 3)+":", e.Outcome)
	// Output: 0.040 in to 0.054 in: not proved
}

func ExampleStack_RootSumSquare() {
	r, err := squish().RootSumSquare()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s, deviation %s\n", r.Result.Value.Text(units.Inches, 4), r.Result.U.Text(units.Inches, 5))
	fmt.Printf("%.4f of the builds inside; the gasket makes %.0f %% of the variance\n", r.Inside, 100*r.Contributions[1])
	// Output:
	// 0.0470 in, deviation 0.00173 in
	// 0.9980 of the builds inside; the gasket makes 44 % of the variance
}

func ExampleStack_Simulate() {
	r, err := squish().Simulate(clearance.SimulationRun{Samples: 1_000_000, Seed: 6, Workers: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("about %.3f of the builds inside\n", r.Share)
	// Output: about 0.999 of the builds inside
}

func smallStack(r *rand.Rand, n int) clearance.Stack {
	s := clearance.Stack{Limits: units.Limits[units.Length]{HasMin: true}}
	for range n {
		lo := units.Length(r.Int64N(2e9) - 1e9)
		p := clearance.StackPart{Smallest: lo, Largest: lo + units.Length(r.Int64N(1e9)), Sensitivity: float64(1+r.IntN(3)) * float64(1-2*r.IntN(2)), Spread: clearance.SizeSpread(1 + r.IntN(3))}
		if p.Spread == clearance.SpreadNormal {
			p.Sigmas = 2 + 2*r.Float64()
		}
		s.Parts = append(s.Parts, p)
	}
	return s
}

// linear is a stack's sum as a function.
func linear(s clearance.Stack) clearance.Stack {
	c := make([]float64, len(s.Parts))
	f := s
	f.Parts = append([]clearance.StackPart(nil), s.Parts...)
	for i := range f.Parts {
		c[i] = f.Parts[i].Sensitivity
		f.Parts[i].Sensitivity = 0
	}
	f.Of = func(x []units.Length) (units.Length, error) {
		var sum units.Length
		for i, v := range x {
			sum += units.Length(c[i]) * v
		}
		return sum, nil
	}
	return f
}

// The sum written as a function gives what the sum does.
func TestStackOf(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 30 {
		s := smallStack(r, 1+r.IntN(6))
		s.Parts[0].Largest += 1000
		f := linear(s)
		a, err1 := s.WorstCase()
		b, err2 := f.WorstCase()
		if err1 != nil || err2 != nil || a.Smallest != b.Smallest || a.Largest != b.Largest || a.Outcome != b.Outcome {
			t.Fatalf("worst case %+v and %+v (%v, %v)", a, b, err1, err2)
		}
		if len(a.Working()) != len(s.Parts)+2 || len(b.Working()) != len(s.Parts)+2 {
			t.Error("want a step for each part and two more")
		}
		s.Limits.Source = units.Source{Text: "test", Provenance: units.Stated}
		f.Limits = s.Limits
		p, err1 := s.RootSumSquare()
		q, err2 := f.RootSumSquare()
		if err1 != nil || err2 != nil || math.Abs(float64(p.Result.Value-q.Result.Value)) > 10 || math.Abs(float64(p.Result.U-q.Result.U)) > 10+1e-6*float64(p.Result.U) {
			t.Fatalf("root sum of squares %+v and %+v (%v, %v)", p, q, err1, err2)
		}
		if s.Limits.Min = p.Result.Value; true {
			f.Limits = s.Limits
		}
		x, err1 := s.Simulate(clearance.SimulationRun{Samples: 20000, Seed: 5, Quantiles: []float64{0.1, 0.9}})
		y, err2 := f.Simulate(clearance.SimulationRun{Samples: 20000, Seed: 5, Quantiles: []float64{0.1, 0.9}})
		if err1 != nil || err2 != nil || math.Abs(x.Share-y.Share) > 0.001 || math.Abs(float64(x.Mean-y.Mean)) > 30 || math.Abs(float64(x.Deviation-y.Deviation)) > 30 ||
			math.Abs(float64(x.Quantiles[1]-y.Quantiles[1])) > 30 {
			t.Fatalf("simulation\n%+v\n%+v (%v, %v)", x, y, err1, err2)
		}
	}
}

// Drawn builds have the mean and deviation of the closed form, lie within the
// worst case where no part is normal, and do not depend on the goroutines.
func TestSimulateAgainstClosedForm(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for k := range 20 {
		s := smallStack(r, 2+r.IntN(6))
		s.Parts[0].Largest += 1e8
		s.Limits.Source = units.Source{Text: "test", Provenance: units.Stated}
		if k%2 == 1 {
			for i := range s.Parts { // full range of correlation of normal parts
				s.Parts[i].Spread, s.Parts[i].Sigmas = clearance.SpreadNormal, 3
			}
			s.Correlations = []clearance.PartCorrelation{{I: 1, J: 0, Coefficient: 2*r.Float64() - 1}}
		}
		const n = 100000
		p, err := s.RootSumSquare()
		if err != nil {
			t.Fatal(err)
		}
		one, err := s.Simulate(clearance.SimulationRun{Samples: n, Seed: uint64(k), Quantiles: []float64{0.5}})
		if err != nil {
			t.Fatal(err)
		}
		u := float64(p.Result.U)
		if math.Abs(float64(one.Mean-p.Result.Value)) > 4.5*u/math.Sqrt(n)+2 || math.Abs(float64(one.Deviation)/u-1) > 4.5/math.Sqrt(2*n)*1.5 {
			t.Errorf("drawn %+v, closed form %+v", one, p.Result)
		}
		if q := float64(one.Quantiles[0] - one.Mean); math.Abs(q) > 10*u/math.Sqrt(n) {
			t.Errorf("median %g off the mean with deviation %g", q, u)
		}
		e, err := s.WorstCase()
		normal := false
		for _, p := range s.Parts {
			normal = normal || p.Spread == clearance.SpreadNormal
		}
		if err != nil || !normal && (one.Smallest < e.Smallest || one.Largest > e.Largest) {
			t.Errorf("drawn %v to %v, worst case %v to %v (%v)", one.Smallest, one.Largest, e.Smallest, e.Largest, err)
		}
		for _, workers := range []int{1, 7} {
			many, err := s.Simulate(clearance.SimulationRun{Samples: n, Seed: uint64(k), Workers: workers, Quantiles: []float64{0.5}})
			if err != nil || !reflect.DeepEqual(many, one) {
				t.Fatalf("%d workers: %+v, want %+v (%v)", workers, many, one, err)
			}
		}
		other, err := s.Simulate(clearance.SimulationRun{Samples: n, Seed: uint64(k) + 1000})
		if err != nil || other.Mean == one.Mean && other.Deviation == one.Deviation {
			t.Errorf("another seed draws the same builds: %+v (%v)", other, err)
		}
	}
}

// How often the share lies within two of its uncertainties of the truth.
func TestSimulateShareU(t *testing.T) {
	s := clearance.Stack{
		Parts:  []clearance.StackPart{{Largest: 1000000, Sensitivity: 1, Spread: clearance.SpreadEven}},
		Limits: units.Limits[units.Length]{Max: 900000, HasMax: true},
	}
	covered := 0
	const runs = 1000
	for seed := range uint64(runs) {
		r, err := s.Simulate(clearance.SimulationRun{Samples: 1000, Seed: seed})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Share-0.9) <= 2*r.ShareU {
			covered++
		}
	}
	if covered < 935 || covered > 975 { // 95.4 % and its own scatter
		t.Errorf("%d of %d within two uncertainties", covered, runs)
	}
	s.Limits.Max = 1000000
	if r, err := s.Simulate(clearance.SimulationRun{Samples: 1000}); err != nil || r.Share != 1 || r.ShareU < 0.0009 || r.ShareU > 0.0011 {
		t.Errorf("all inside: %+v (%v)", r, err)
	}
}

// A check that refuses some builds counts them, and all of them.
func TestSimulateRefused(t *testing.T) {
	s := clearance.Stack{
		Parts:  []clearance.StackPart{{Largest: 1000, Spread: clearance.SpreadEven}},
		Limits: units.Limits[units.Length]{Max: 2000, HasMax: true},
	}
	s.Of = func(x []units.Length) (units.Length, error) {
		if x[0] < 250 {
			return 0, units.ErrImpossible
		}
		return x[0], nil
	}
	r, err := s.Simulate(clearance.SimulationRun{Samples: 100000, Quantiles: []float64{0.5}})
	if err != nil || r.Refused < 24000 || r.Refused > 26000 || r.Inside+r.Refused != r.Samples || r.Smallest < 250 || r.Quantiles[0] < 600 || r.Quantiles[0] > 650 {
		t.Errorf("%+v (%v)", r, err)
	}
	s.Of = func([]units.Length) (units.Length, error) { return 0, units.ErrImpossible }
	r, err = s.Simulate(clearance.SimulationRun{Samples: 10000, Quantiles: []float64{0.5}})
	if err != nil || r.Refused != 10000 || r.Share != 0 || r.Quantiles != nil || r.Mean != 0 {
		t.Errorf("%+v (%v)", r, err)
	}
	if _, err := s.WorstCase(); !errors.Is(err, units.ErrImpossible) {
		t.Errorf("worst case: %v", err)
	}
	if _, err := s.RootSumSquare(); !errors.Is(err, units.ErrImpossible) {
		t.Errorf("root sum of squares: %v", err)
	}
}

func TestBadStack(t *testing.T) {
	nan := math.NaN()
	run := clearance.SimulationRun{Samples: 1000}
	simulate := func(change func(*clearance.Stack, *clearance.SimulationRun)) func() error {
		return func() error {
			s, r := squish(), run
			change(&s, &r)
			got, err := s.Simulate(r)
			if !reflect.DeepEqual(got, clearance.Simulation{}) {
				t.Errorf("%+v beside an error", got)
			}
			return err
		}
	}
	part := func(change func(*clearance.StackPart)) func() error {
		return simulate(func(s *clearance.Stack, _ *clearance.SimulationRun) { change(&s.Parts[0]) })
	}
	pairs := func(c ...clearance.PartCorrelation) func() error {
		return simulate(func(s *clearance.Stack, _ *clearance.SimulationRun) { s.Correlations = c })
	}
	for name, c := range map[string]struct {
		f     func() error
		field string
		kind  error
	}{
		"no parts":         {simulate(func(s *clearance.Stack, _ *clearance.SimulationRun) { s.Parts = nil }), "Parts", units.ErrMissing},
		"many parts":       {simulate(func(s *clearance.Stack, _ *clearance.SimulationRun) { s.Parts = make([]clearance.StackPart, 65) }), "Parts", units.ErrRange},
		"size over":        {part(func(p *clearance.StackPart) { p.Largest = math.MaxInt64 }), "Parts[0].Largest", units.ErrRange},
		"size least":       {part(func(p *clearance.StackPart) { p.Smallest = math.MinInt64 }), "Parts[0].Smallest", units.ErrRange},
		"swapped":          {part(func(p *clearance.StackPart) { p.Smallest, p.Largest = p.Largest, p.Smallest }), "Parts[0]", units.ErrConflict},
		"no sensitivity":   {part(func(p *clearance.StackPart) { p.Sensitivity = 0 }), "Parts[0].Sensitivity", units.ErrRange},
		"sensitivity nan":  {part(func(p *clearance.StackPart) { p.Sensitivity = nan }), "Parts[0].Sensitivity", units.ErrRange},
		"no spread":        {part(func(p *clearance.StackPart) { p.Spread = 0 }), "Parts[0].Spread", units.ErrMissing},
		"no sigmas":        {part(func(p *clearance.StackPart) { p.Sigmas = 0 }), "Parts[0].Sigmas", units.ErrRange},
		"sigmas nan":       {part(func(p *clearance.StackPart) { p.Sigmas = nan }), "Parts[0].Sigmas", units.ErrRange},
		"sigmas of even":   {part(func(p *clearance.StackPart) { p.Spread = clearance.SpreadEven }), "Parts[0].Sigmas", units.ErrConflict},
		"no limits":        {simulate(func(s *clearance.Stack, _ *clearance.SimulationRun) { s.Limits = units.Limits[units.Length]{} }), "Limits", units.ErrMissing},
		"limits swapped":   {simulate(func(s *clearance.Stack, _ *clearance.SimulationRun) { s.Limits.Min, s.Limits.Max = 5, 4 }), "Limits", units.ErrConflict},
		"few samples":      {simulate(func(_ *clearance.Stack, r *clearance.SimulationRun) { r.Samples = 999 }), "Samples", units.ErrRange},
		"many samples":     {simulate(func(_ *clearance.Stack, r *clearance.SimulationRun) { r.Samples = 2e9 }), "Samples", units.ErrRange},
		"negative workers": {simulate(func(_ *clearance.Stack, r *clearance.SimulationRun) { r.Workers = -1 }), "Workers", units.ErrRange},
		"quantile nan":     {simulate(func(_ *clearance.Stack, r *clearance.SimulationRun) { r.Quantiles = []float64{0.5, nan} }), "Quantiles[1]", units.ErrRange},
		"quantile 1":       {simulate(func(_ *clearance.Stack, r *clearance.SimulationRun) { r.Quantiles = []float64{1} }), "Quantiles[0]", units.ErrRange},
		"place":            {pairs(clearance.PartCorrelation{I: 0, J: 3}), "Correlations[0]", units.ErrRange},
		"itself":           {pairs(clearance.PartCorrelation{}), "Correlations[0]", units.ErrRange},
		"coefficient":      {pairs(clearance.PartCorrelation{J: 1, Coefficient: nan}), "Correlations[0].Coefficient", units.ErrRange},
		"twice":            {pairs(clearance.PartCorrelation{J: 1}, clearance.PartCorrelation{I: 1}), "Correlations[1]", units.ErrConflict},
		"impossible":       {pairs(clearance.PartCorrelation{J: 1, Coefficient: -1}, clearance.PartCorrelation{I: 1, J: 2, Coefficient: -1}, clearance.PartCorrelation{J: 2, Coefficient: -1}), "Correlations", units.ErrConflict},
		"function and sensitivity": {simulate(func(s *clearance.Stack, _ *clearance.SimulationRun) {
			s.Of = func([]units.Length) (units.Length, error) { return 0, nil }
		}), "Parts[0].Sensitivity", units.ErrConflict},
		"nothing varies": {func() error {
			s := squish()
			for i := range s.Parts {
				s.Parts[i].Largest = s.Parts[i].Smallest
			}
			_, err := s.RootSumSquare()
			return err
		}, "Parts", units.ErrImpossible},
		"corners": {func() error {
			s := clearance.Stack{Of: func([]units.Length) (units.Length, error) { return 0, nil }, Limits: squish().Limits}
			for range 17 {
				s.Parts = append(s.Parts, clearance.StackPart{Largest: 1, Spread: clearance.SpreadEven})
			}
			_, err := s.WorstCase()
			return err
		}, "Parts", units.ErrRange},
		"worst without limits": {func() error {
			s := squish()
			s.Limits = units.Limits[units.Length]{}
			_, err := s.WorstCase()
			return err
		}, "Limits", units.ErrMissing},
	} {
		err := c.f()
		var e *units.InputError
		if !errors.As(err, &e) || e.Package != "clearance" || e.Field != c.field || !errors.Is(err, c.kind) {
			t.Errorf("%s: %v, want field %q and %v", name, err, c.field, c.kind)
		}
	}
}

func TestSpreadNames(t *testing.T) {
	if s := clearance.SizeSpread(0).String(); s != "unknown spread" {
		t.Error(s)
	}
	if w := (clearance.Extremes{}).Working(); len(w) != 2 {
		t.Error(w)
	}
}

func BenchmarkSimulate(b *testing.B) {
	five := clearance.Stack{Limits: units.Limits[units.Length]{Min: -5000, Max: 5000, HasMin: true, HasMax: true}}
	for i := range 5 {
		five.Parts = append(five.Parts, clearance.StackPart{Smallest: -2000, Largest: 2000, Sensitivity: float64(1 - 2*(i%2)), Spread: clearance.SpreadEven})
	}
	normal, mixed := five, five
	normal.Parts = append([]clearance.StackPart(nil), five.Parts...)
	for i := range normal.Parts {
		normal.Parts[i].Spread, normal.Parts[i].Sigmas = clearance.SpreadNormal, 3
	}
	mixed.Correlations = []clearance.PartCorrelation{{J: 1, Coefficient: 0.5}}
	for _, c := range []struct {
		name string
		s    clearance.Stack
		run  clearance.SimulationRun
	}{
		{"even", five, clearance.SimulationRun{Samples: 1_000_000}},
		{"normal", normal, clearance.SimulationRun{Samples: 1_000_000}},
		{"normal on two", normal, clearance.SimulationRun{Samples: 1_000_000, Workers: 2}},
		{"correlated", mixed, clearance.SimulationRun{Samples: 1_000_000}},
		{"quantile", normal, clearance.SimulationRun{Samples: 1_000_000, Quantiles: []float64{0.975}}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := c.s.Simulate(c.run); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Quantiles do not depend on each other or on their order, and each is passed by
// its share of the builds: counted by a run with that limit.
func TestQuantilesTogether(t *testing.T) {
	s := clearance.Stack{Parts: []clearance.StackPart{
		{Smallest: -20_000_000, Largest: 20_000_000, Sensitivity: 1, Spread: clearance.SpreadEven},
		{Smallest: -30_000_000, Largest: 10_000_000, Sensitivity: -1, Spread: clearance.SpreadTriangular},
		{Smallest: -10_000_000, Largest: 10_000_000, Sensitivity: 1, Spread: clearance.SpreadNormal, Sigmas: 3},
	}, Correlations: []clearance.PartCorrelation{{I: 0, J: 2, Coefficient: -0.4}}, Limits: units.Limits[units.Length]{Min: -90_000_000, HasMin: true}}
	shares := []float64{0.9, 0.001, 0.5, 0.1, 0.5, 0.999, 0.25}
	run := clearance.SimulationRun{Samples: 30_011, Seed: 7, Quantiles: shares}
	all, err := s.Simulate(run)
	if err != nil {
		t.Fatal(err)
	}
	for i, q := range shares {
		run.Quantiles = []float64{q}
		one, err := s.Simulate(run)
		if err != nil {
			t.Fatal(err)
		}
		if one.Quantiles[0] != all.Quantiles[i] {
			t.Errorf("quantile %v alone %v, together %v", q, one.Quantiles[0], all.Quantiles[i])
		}
		limited := s
		limited.Limits = units.Limits[units.Length]{Min: all.Quantiles[i], HasMin: true}
		run.Quantiles = nil
		count, err := limited.Simulate(run)
		if err != nil {
			t.Fatal(err)
		}
		if got := float64(count.Below) / 30_011; math.Abs(got-q) > 3/30_011.0 {
			t.Errorf("%v of the builds lie below the quantile of %v", got, q)
		}
	}
}

// A part that goes with another keeps its own spread: beside a partner of no size an
// even one stays even, and a triangular one triangular.
func TestJointPartsKeepTheirSpread(t *testing.T) {
	const half = 1_000_000_000 // 1 mm
	const n = 400_000
	shares := []float64{0.001, 0.02, 0.1, 0.25, 0.5, 0.75, 0.9, 0.98, 0.999}
	for _, spread := range []clearance.SizeSpread{clearance.SpreadEven, clearance.SpreadTriangular} {
		s := clearance.Stack{Parts: []clearance.StackPart{
			{Smallest: -half, Largest: half, Sensitivity: 1, Spread: spread},
			{Smallest: -10, Largest: 10, Sensitivity: 1, Spread: clearance.SpreadEven},
		}, Correlations: []clearance.PartCorrelation{{I: 0, J: 1, Coefficient: 0.6}}, Limits: units.Limits[units.Length]{Min: -2 * half, HasMin: true}}
		r, err := s.Simulate(clearance.SimulationRun{Samples: n, Seed: 3, Quantiles: shares})
		if err != nil {
			t.Fatal(err)
		}
		for i, q := range shares {
			// Quantile and density of the closed forms on -1 to 1.
			want, density := 2*q-1, 0.5
			if spread == clearance.SpreadTriangular {
				want = math.Sqrt(2*q) - 1
				if q > 0.5 {
					want = 1 - math.Sqrt(2*(1-q))
				}
				density = 1 - math.Abs(want)
			}
			sigma := math.Sqrt(q*(1-q)/n) / density
			if got := float64(r.Quantiles[i]) / half; math.Abs(got-want) > 4*sigma+1e-7 {
				t.Errorf("%v: quantile %v is %v, want %v within %v", spread, q, got, want, 4*sigma)
			}
		}
	}
}
