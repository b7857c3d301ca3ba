package clearance

import (
	"math"

	"example.com/trialfit/units"
)

// Size is a toleranced size by its limits.
type Size struct {
	Min, Max units.Length
}

// Deviations is a toleranced size as a nominal with its deviations, signed:
// 20 mm +0.021/0 has Upper 0.021 mm and Lower 0.
type Deviations struct {
	Nominal      units.Length
	Upper, Lower units.Length
}

// Size answers which limits a nominal size with deviations has:
//
//	max = Nominal + Upper     min = Nominal + Lower
//
// Errors: a nominal that is missing or negative, Lower over Upper, a limit
// that is not a size over 0.
//
// Source: definition (ISO 286-1).
//
// Rows: mott-13-1-Dmax, mott-13-1-Dmin, mott-13-1-dmax.
func (d Deviations) Size() (Size, error) {
	if err := checkSize("Nominal", d.Nominal); err != nil {
		return Size{}, err
	}
	if err := checkSigned("Upper", d.Upper); err != nil {
		return Size{}, err
	}
	if err := checkSigned("Lower", d.Lower); err != nil {
		return Size{}, err
	}
	if d.Lower > d.Upper {
		return Size{}, fail("Lower", d.Lower.String(), units.ErrConflict, "the lower deviation is over the upper")
	}
	s := Size{Min: d.Nominal + d.Lower, Max: d.Nominal + d.Upper}
	if err := s.check("Size"); err != nil {
		return Size{}, err
	}
	return s, nil
}

func (s Size) check(field string) error {
	if 0 < s.Min && s.Min <= s.Max && s.Max <= maxSize {
		return nil // names are built only for an error
	}
	if err := checkSize(field+".Min", s.Min); err != nil {
		return err
	}
	if err := checkSize(field+".Max", s.Max); err != nil {
		return err
	}
	return fail(field, s.Min.String()+" to "+s.Max.String(), units.ErrConflict, "the smallest size is over the largest")
}

// Fit is a bore-like part and a shaft-like part by their limits. Anything
// that fits into something is a fit: pin in bushing, ring in groove, rods
// between cheeks.
type Fit struct {
	Bore, Shaft Size
}

// FitClass says whether the parts always, sometimes or never go together
// loose. The zero FitClass is none.
type FitClass uint8

// Classes of fit (ISO 286-1).
const (
	ClearanceFit    FitClass = iota + 1 // always a gap, or size and size
	TransitionFit                       // a gap or an interference
	InterferenceFit                     // always an interference, or size and size
)

// String returns "clearance", "transition" or "interference".
func (c FitClass) String() string {
	switch c {
	case ClearanceFit:
		return "clearance"
	case TransitionFit:
		return "transition"
	case InterferenceFit:
		return "interference"
	default:
		return "no fit"
	}
}

// FitResult is the clearance of a fit, positive a gap, negative an
// interference.
type FitResult struct {
	Fit            Fit
	Min, Mean, Max units.Length
	Class          FitClass
	// Statistical is the band Mean +- sqrt(Tb^2 + Ts^2)/2, which holds the
	// clearances of parts picked at random as surely as each size holds its
	// own limits, if both sizes are independent, normal and centered. One
	// engine is not a batch: parts at hand are measured.
	Statistical Band
}

// Band is a lowest and a highest length, signed.
type Band struct {
	Low, High units.Length
}

// Clearance answers what clearance two toleranced sizes can have:
//
//	min = Bore.Min - Shaft.Max     max = Bore.Max - Shaft.Min
//	mean = (min + max)/2           class: min >= 0 clearance, max <= 0
//	interference, else transition
//
// With both limits at 0 the class is clearance. The statistical band has the
// width sqrt(Tb^2 + Ts^2), Tb and Ts the two tolerances. Errors: a size that
// is missing, negative, swapped or over 100 m.
//
// Source: ISO 286-1, definitions of fits; root-sum-square tolerances after
// JCGM 100:2008, 5.1.2.
//
// Rows: tm585-pin-rod, bhandari-3-1-cmax, bhandari-3-2-imax,
// bhandari-3-2-imin, mott-13-1-cmax, mott-13-1-cmin, b42-10-H11c11-cmin,
// b42-10-H11c11-cmax, iso-50-h7-p6-cmin, iso-50-h7-p6-cmax.
func (f Fit) Clearance() (FitResult, error) {
	if err := f.Bore.check("Bore"); err != nil {
		return FitResult{}, err
	}
	if err := f.Shaft.check("Shaft"); err != nil {
		return FitResult{}, err
	}
	r := FitResult{Fit: f, Min: f.Bore.Min - f.Shaft.Max, Max: f.Bore.Max - f.Shaft.Min}
	r.Mean = div(r.Min+r.Max, 2)
	switch {
	case r.Min >= 0:
		r.Class = ClearanceFit
	case r.Max <= 0:
		r.Class = InterferenceFit
	default:
		r.Class = TransitionFit
	}
	// From the sum of the limits, which a float64 holds exactly, and not from
	// the rounded mean, so that the band stays inside the limits.
	width := math.Hypot(float64(f.Bore.Max-f.Bore.Min), float64(f.Shaft.Max-f.Shaft.Min))
	sum := float64(r.Min + r.Max)
	r.Statistical = Band{Low: round((sum - width) / 2), High: round((sum + width) / 2)}
	return r, nil
}

// Working returns the derivation.
func (r FitResult) Working() units.Working {
	b, s := r.Fit.Bore, r.Fit.Shaft
	def := units.Source{Text: "ISO 286-1, definitions of fits", Provenance: units.Memory}
	return units.Working{
		{Symbol: "min", Formula: "bore min - shaft max", Numbers: num(b.Min) + " - " + num(s.Max), Value: text(r.Min), Source: def},
		{Symbol: "max", Formula: "bore max - shaft min", Numbers: num(b.Max) + " - " + num(s.Min), Value: text(r.Max), Source: def},
		{Symbol: "mean", Formula: "(min + max)/2", Numbers: "(" + num(r.Min) + " + " + num(r.Max) + ")/2", Value: text(r.Mean), Source: def},
		{Symbol: "class", Formula: "sign of min and max", Value: r.Class.String(), Source: def},
		{Symbol: "band", Formula: "mean +- sqrt(Tb^2 + Ts^2)/2", Numbers: "Tb = " + num(b.Max-b.Min) + ", Ts = " + num(s.Max-s.Min), Value: text(r.Statistical.Low) + " to " + text(r.Statistical.High), Source: gum},
	}
}
