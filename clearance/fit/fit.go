package fit

import (
	"math"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

func fail(field, value string, kind error, reason string) error {
	return &units.InputError{Package: "fit", Field: field, Value: value, Reason: reason, Kind: kind}
}

// Result is a fit of two toleranced parts of one nominal size.
type Result struct {
	Hole, Shaft clearance.Deviations
	// Clearance is positive for a gap; the smallest interference of a press
	// fit is -Clearance.Max, the largest -Clearance.Min.
	Clearance clearance.FitResult
	Source    units.Source
}

func pair(hole, shaft clearance.Deviations, src units.Source) (Result, error) {
	h, err := hole.Size()
	if err != nil {
		return Result{}, err
	}
	s, err := shaft.Size()
	if err != nil {
		return Result{}, err
	}
	c, err := clearance.Fit{Bore: h, Shaft: s}.Clearance()
	if err != nil {
		return Result{}, err
	}
	return Result{Hole: hole, Shaft: shaft, Clearance: c, Source: src}, nil
}

// Working returns the derivation.
func (r Result) Working() units.Working {
	part := func(symbol string, d clearance.Deviations) units.Step {
		return units.Step{Symbol: symbol, Formula: "nominal, upper and lower deviation", Numbers: num(d.Nominal) + " " + d.Upper.String() + " / " + d.Lower.String(), Value: num(d.Nominal+d.Lower) + " to " + num(d.Nominal+d.Upper), Source: r.Source}
	}
	return append(units.Working{part("hole", r.Hole), part("shaft", r.Shaft)}, r.Clearance.Working()...)
}

// num writes a length inside an expression.
func num(l units.Length) string { return l.Text(units.Millimeters, 4) }

// pm is a positive length as a float64.
func pm(l units.Length) float64 { return float64(l) }

// round returns x as a count; callers keep it in range.
func round(x float64) units.Length { return units.Length(math.RoundToEven(x)) }
