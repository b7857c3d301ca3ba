package evaluation

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/units/uncertainty"
)

// plain is a quantity of any unit: the rows of the GUM are in several.
type plain float64

func (p plain) String() string { return shortest(float64(p)) }

func uncertaintyCases() []Case { return collect("uncertainty", uncertaintyBounds, uncertaintyBudgets) }

// floats reads figures parted by blanks.
func (in *inputs) floats(name string) []float64 {
	return read(in, name, func(s string) ([]float64, error) {
		var x []float64
		for f := range strings.FieldsSeq(s) {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				return nil, err
			}
			x = append(x, v)
		}
		return x, nil
	})
}

func uncertaintyBounds(add adder) {
	readings := func(in *inputs) (x []plain) {
		if !in.has("readings") {
			x = append(x, plain(in.float("first")))
			pair := in.floats("pair")
			for range in.int("pairs") {
				for _, v := range pair {
					x = append(x, plain(v))
				}
			}
			return x
		}
		for _, v := range in.floats("readings") {
			x = append(x, plain(v))
		}
		return x
	}
	repeated := func(f func(uncertainty.Repeatability[plain]) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			r, err := uncertainty.Repeated(readings(in))
			return Number(f(r)), err
		}
	}
	mean := repeated(func(r uncertainty.Repeatability[plain]) float64 { return float64(r.Mean.Value) })
	deviation := repeated(func(r uncertainty.Repeatability[plain]) float64 { return float64(r.Deviation) })
	add("mean of readings", mean, "Repeated")
	add("mean of readings that alternate", mean, "Repeated")
	add("standard deviation of a reading", deviation, "Repeated")
	add("standard deviation of a reading that alternate", deviation, "Repeated")
	add("standard uncertainty of a mean", repeated(func(r uncertainty.Repeatability[plain]) float64 { return float64(r.Mean.U) }), "Repeated")
	add("doubt in a standard deviation in percent", func(in *inputs) (Answer, error) {
		x := make([]plain, in.int("n"))
		x[0] = 1
		r, err := uncertainty.Repeated(x)
		return Number(100 * r.Doubt), err
	}, "Repeated")
	add("standard uncertainty from an expanded one", func(in *inputs) (Answer, error) {
		u, err := uncertainty.Expanded[plain]{U: plain(in.float("U")), K: in.float("k")}.Standard()
		return Number(float64(u)), err
	}, "Expanded.Standard")
	interval := func(in *inputs) (plain, error) {
		return uncertainty.Interval[plain]{HalfWidth: plain(in.float("a")), Probability: in.float("p")}.Standard()
	}
	add("standard uncertainty from an interval of a normal quantity", func(in *inputs) (Answer, error) {
		u, err := interval(in)
		return Number(float64(u)), err
	}, "Interval.Standard")
	add("variance from an interval of a normal quantity", func(in *inputs) (Answer, error) {
		u, err := interval(in)
		return Number(float64(u * u)), err
	}, "Interval.Standard")
	bounds := func(in *inputs) (plain, error) {
		b := uncertainty.Bounds[plain]{HalfWidth: plain(in.float("a"))}
		for _, s := range []uncertainty.Shape{uncertainty.Rectangular, uncertainty.Triangular, uncertainty.UShaped, uncertainty.Trapezoidal} {
			if s.String() == in.text("shape") {
				b.Shape = s
			}
		}
		if in.has("top") {
			b.TopShare = in.float("top")
		}
		return b.Standard()
	}
	add("standard uncertainty within bounds", func(in *inputs) (Answer, error) {
		u, err := bounds(in)
		return Number(float64(u)), err
	}, "Bounds.Standard")
	add("variance within bounds", func(in *inputs) (Answer, error) {
		u, err := bounds(in)
		return Number(float64(u * u)), err
	}, "Bounds.Standard")
	add("standard uncertainty of a resolution", func(in *inputs) (Answer, error) {
		u, err := uncertainty.Resolution(plain(in.float("division")))
		return Number(float64(u)), err
	}, "Resolution")
	add("degrees of freedom from the doubt in an uncertainty", func(in *inputs) (Answer, error) {
		v, err := uncertainty.FreedomOf(in.float("doubt"))
		return Number(v), err
	}, "FreedomOf")
	add("coverage factor", func(in *inputs) (Answer, error) {
		k, err := uncertainty.CoverageFactor(in.float("p"), in.float("v"))
		return Number(k), err
	}, "CoverageFactor")
}

func uncertaintyBudgets(add adder) {
	combine := func(in *inputs) (uncertainty.Combined[plain], error) {
		var b uncertainty.Budget[plain]
		for _, u := range in.floats("u") {
			b.Contributions = append(b.Contributions, uncertainty.Contribution[plain]{U: plain(u)})
		}
		if in.has("v") {
			v := in.floats("v")
			if len(v) != len(b.Contributions) {
				return uncertainty.Combined[plain]{}, fmt.Errorf("%d degrees of freedom for %d contributions", len(v), len(b.Contributions))
			}
			for i := range v {
				b.Contributions[i].Freedom = v[i]
			}
		}
		if in.has("r") {
			for r := range slices.Chunk(in.floats("r"), 3) {
				b.Correlations = append(b.Correlations, uncertainty.Correlation{I: int(r[0]), J: int(r[1]), Coefficient: r[2]})
			}
		}
		return b.Combine()
	}
	add("combined standard uncertainty", func(in *inputs) (Answer, error) {
		c, err := combine(in)
		return Number(float64(c.U)), err
	}, "Budget.Combine")
	add("effective degrees of freedom", func(in *inputs) (Answer, error) {
		c, err := combine(in)
		return Number(c.Freedom), err
	}, "Budget.Combine")
	expand := func(f func(uncertainty.Stated[plain]) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			c, err := combine(in)
			if err != nil {
				return Answer{}, err
			}
			s, err := c.Expand(in.float("p"))
			return Number(f(s)), err
		}
	}
	add("degrees of freedom of a coverage factor", expand(func(s uncertainty.Stated[plain]) float64 { return float64(s.Freedom) }), "Combined.Expand", "Budget.Combine")
	add("expanded uncertainty", expand(func(s uncertainty.Stated[plain]) float64 { return float64(s.U) }), "Combined.Expand", "Budget.Combine")
}
