package evaluation

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// stack reads parts written smallest:largest:sensitivity:spread[:sigmas].
func (in *inputs) stack() clearance.Stack {
	var s clearance.Stack
	for part := range strings.SplitSeq(in.text("parts"), ",") {
		f := strings.Split(strings.TrimSpace(part), ":")
		if len(f) < 4 {
			in.keep(fmt.Errorf("part %q: want smallest:largest:sensitivity:spread", part))
			return s
		}
		var p clearance.StackPart
		var errs [4]error
		p.Smallest, errs[0] = units.ParseLength(f[0])
		p.Largest, errs[1] = units.ParseLength(f[1])
		p.Sensitivity, errs[2] = strconv.ParseFloat(f[2], 64)
		if len(f) > 4 {
			p.Sigmas, errs[3] = strconv.ParseFloat(f[4], 64)
		}
		for _, err := range errs {
			in.keep(err)
		}
		for _, k := range []clearance.SizeSpread{clearance.SpreadEven, clearance.SpreadTriangular, clearance.SpreadNormal} {
			if k.String() == f[3] {
				p.Spread = k
			}
		}
		s.Parts = append(s.Parts, p)
	}
	if in.has("r") {
		for r := range slices.Chunk(in.floats("r"), 3) {
			s.Correlations = append(s.Correlations, clearance.PartCorrelation{I: int(r[0]), J: int(r[1]), Coefficient: r[2]})
		}
	}
	s.Limits.HasMin, s.Limits.HasMax = in.has("min"), in.has("max")
	if s.Limits.HasMin {
		s.Limits.Min = in.length("min")
	}
	if s.Limits.HasMax {
		s.Limits.Max = in.length("max")
	}
	s.Limits.Source = units.Source{Text: "the row", Provenance: units.Stated}
	return s
}

// keep remembers the first error.
func (in *inputs) keep(err error) {
	if in.err == nil {
		in.err = err
	}
}

func clearanceStack(add adder) {
	worst := func(f func(*inputs, clearance.Extremes) Answer) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			e, err := in.stack().WorstCase()
			return f(in, e), err
		}
	}
	add("least of a stack", worst(func(in *inputs, e clearance.Extremes) Answer { return Number(inRowUnit(in.row, e.Smallest)) }), "Stack.WorstCase")
	add("greatest of a stack", worst(func(in *inputs, e clearance.Extremes) Answer { return Number(inRowUnit(in.row, e.Largest)) }), "Stack.WorstCase")
	add("outcome of a stack", worst(func(_ *inputs, e clearance.Extremes) Answer { return Text(e.Outcome.String()) }), "Stack.WorstCase")
	share := func(f func(*inputs, clearance.StackShare) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			r, err := in.stack().RootSumSquare()
			return Number(f(in, r)), err
		}
	}
	add("middle of a batch", share(func(in *inputs, r clearance.StackShare) float64 { return inRowUnit(in.row, r.Result.Value) }), "Stack.RootSumSquare")
	add("deviation of a batch", share(func(in *inputs, r clearance.StackShare) float64 { return inRowUnit(in.row, r.Result.U) }), "Stack.RootSumSquare")
	add("share inside by the root sum of squares", share(func(_ *inputs, r clearance.StackShare) float64 { return r.Inside }), "Stack.RootSumSquare")
	add("deviation of a check of sizes", func(in *inputs) (Answer, error) {
		s := in.stack()
		for i := range s.Parts {
			s.Parts[i].Sensitivity = 0
		}
		s.Of = func(x []units.Length) (units.Length, error) { return x[0] - x[1], nil }
		r, err := s.RootSumSquare()
		return Number(inRowUnit(in.row, r.Result.U)), err
	}, "Stack.RootSumSquare")
	draw := func(in *inputs) (clearance.Simulation, error) {
		run := clearance.SimulationRun{Samples: in.int("samples"), Seed: uint64(in.int("seed")), Workers: 2}
		if in.has("q") {
			run.Quantiles = in.floats("q")
		}
		return in.stack().Simulate(run)
	}
	add("share inside by simulation", func(in *inputs) (Answer, error) {
		r, err := draw(in)
		return Number(r.Share), err
	}, "Stack.Simulate")
	add("quantile of a batch", func(in *inputs) (Answer, error) {
		r, err := draw(in)
		if err != nil {
			return Answer{}, err
		}
		return Number(inRowUnit(in.row, r.Quantiles[0])), nil
	}, "Stack.Simulate")
}
