package clearance

import (
	"strconv"

	"example.com/trialfit/units"
)

// Working returns the derivation.
func (s StackShare) Working() units.Working {
	w := units.Working{
		{Symbol: "middle", Formula: "sum c m", Value: text(s.Result.Value), Source: gum},
		{Symbol: "s", Formula: "sqrt(sum (c s)^2 + 2 sum r c s c s)", Value: text(s.Result.U), Source: gum},
	}
	for i, c := range s.Contributions {
		w = append(w, units.Step{Symbol: "part " + strconv.Itoa(i+1), Formula: "(c s)^2/sum (c s)^2", Value: plainNumber(c), Source: gum})
	}
	return append(w, units.Step{Symbol: "inside", Formula: "share of a normal result within the limits", Value: plainNumber(s.Inside), Source: gum})
}

// Working shows what was counted. The draws themselves are repeated by their
// seed.
func (s Simulation) Working() units.Working {
	if s.Samples == 0 {
		return nil
	}
	mc := units.Source{Text: "JCGM 101:2008, 5 to 7", Provenance: units.Verified}
	beta := units.Source{Text: "mean and variance of the beta distribution", Provenance: units.Computed}
	count := strconv.Itoa
	w := units.Working{
		{Symbol: "counts", Formula: "inside + below + above + refused = samples", Numbers: count(s.Inside) + " + " + count(s.Below) + " + " + count(s.Above) + " + " + count(s.Refused), Value: count(s.Samples), Source: mc},
		{Symbol: "share", Formula: "inside/samples", Numbers: count(s.Inside) + "/" + count(s.Samples), Value: plainNumber(s.Share), Source: mc},
		{Symbol: "u(share)", Formula: "sqrt((k + 1)(n - k + 1)/((n + 2)^2 (n + 3)))", Numbers: "k = " + count(s.Inside) + ", n = " + count(s.Samples), Value: plainNumber(s.ShareU), Source: beta},
		{Symbol: "mean", Formula: "mean of the results", Value: text(s.Mean), Source: mc},
		{Symbol: "deviation", Formula: "standard deviation of the results", Value: text(s.Deviation), Source: mc},
	}
	for _, q := range s.Quantiles {
		w = append(w, units.Step{Symbol: "quantile", Formula: "the result that the share asked lies under", Value: text(q), Source: mc})
	}
	return w
}
