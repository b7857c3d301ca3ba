package camtiming

import (
	"math"

	"example.com/trialfit/units"
)

// PairClass is what two readings, of a cylinder and of the one that shares
// its top dead center, say together.
type PairClass uint8

// Classes of a pair of readings. Two readings cannot tell twist from a
// grinding error, so those are one class.
const (
	PairUndecided PairClass = iota // the difference is inside the uncertainty of the tolerance
	PairAgrees                     // alike: what is off is common to both, the index or top dead center
	PairDiffers                    // different: the cam is twisted or a lobe is ground wrong; two readings cannot tell which
)

// String describes the class.
func (c PairClass) String() string {
	switch c {
	case PairAgrees:
		return "alike: any error is common to both (index or TDC)"
	case PairDiffers:
		return "different: twist or grinding (two readings cannot tell which)"
	default:
		return "not proved alike or different"
	}
}

// PairInput are the readings of one cylinder and, one crank turn later, of the
// cylinder that shares its top dead center.
type PairInput struct {
	First, Companion SplitResult
	// Tolerance is how far the two advances may differ, with its source.
	// Required.
	Tolerance units.Limits[units.CrankAngle]
	Rule      units.DecisionRule
}

// PairResult is the comparison.
type PairResult struct {
	// Delta is companion minus first. TDC and the shape of the lobes are
	// common to both and leave it; only the readings' own uncertainty stays.
	Delta   units.Measured[units.CrankAngle]
	Verdict units.Verdict[units.CrankAngle]
	Class   PairClass
	// Mean is the mean advance of the two; TDC and shape do not average out.
	Mean units.Measured[units.CrankAngle]
}

// ComparePair answers whether the companion cylinder, read one crank turn
// later, shows the same advance: Delta = companion - first, judged against
// the caller's tolerance with u^2 = u1^2 + u2^2 of the two readings alone.
// Undetermined readings cannot be compared (ErrMissing); a tolerance that is
// one-sided is ErrMissing.
//
// Rows: pair-u, pair-common, pair-differs.
func ComparePair(in PairInput) (PairResult, error) {
	for _, r := range [...]struct {
		name string
		s    *SplitResult
	}{{"First", &in.First}, {"Companion", &in.Companion}} {
		if r.s.Undetermined {
			return PairResult{}, fail(r.name, "", units.ErrMissing, "both lifters may be on the base circle there: the reading cannot be compared")
		}
		if r.s.spec.Intake == nil {
			return PairResult{}, fail(r.name, "", units.ErrMissing, "want a result of Cam.Split")
		}
	}
	if !in.Tolerance.HasMin || !in.Tolerance.HasMax {
		return PairResult{}, fail("Tolerance", in.Tolerance.String(), units.ErrMissing, "want a lower and an upper limit of the difference")
	}
	a, b := &in.First, &in.Companion
	res := PairResult{}
	res.Delta = units.Measured[units.CrankAngle]{Value: b.Advance.Value - a.Advance.Value, Stated: a.Advance.Stated && b.Advance.Stated}
	common := math.Max(float64(a.UShape), float64(b.UShape))
	res.Mean = units.Measured[units.CrankAngle]{Value: a.Advance.Value + res.Delta.Value/2, Stated: res.Delta.Stated}
	if res.Delta.Stated {
		u := math.Hypot(float64(a.UGauge), float64(b.UGauge))
		res.Delta.U = units.CrankAngle(math.RoundToEven(u))
		tdc := math.Max(float64(a.UTDC), float64(b.UTDC))
		res.Mean.U = units.CrankAngle(math.RoundToEven(math.Sqrt(u*u/4 + tdc*tdc + common*common)))
	}
	var err error
	if res.Verdict, err = units.Judge(res.Delta, in.Tolerance, in.Rule); err != nil {
		return PairResult{}, err
	}
	switch res.Verdict.Outcome {
	case units.ProvedWithin:
		res.Class = PairAgrees
	case units.ProvedOutside:
		res.Class = PairDiffers
	case units.NotProved:
	}
	return res, nil
}

// Working shows the comparison.
func (r PairResult) Working() units.Working {
	def := units.Source{Text: "difference of two readings with a common TDC", Provenance: units.Computed}
	u := "u not stated"
	if r.Delta.Stated {
		u = "u = " + r.Delta.U.Text(2)
	}
	return units.Working{
		{Symbol: "delta", Formula: "companion - first", Numbers: "mean " + r.Mean.Value.Text(2), Value: r.Delta.Value.Text(2), Source: def},
		{Symbol: "verdict", Formula: "limits " + r.Verdict.Limits.String(), Numbers: u, Value: r.Verdict.String(), Source: r.Verdict.Limits.Source},
	}
}
