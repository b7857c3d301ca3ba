package camtiming

import (
	"strconv"

	"gonum.org/v1/gonum/integrate/quad"

	"example.com/trialfit/units"
)

// LiftArea is the area under a lift curve in meter cam degrees. The angle is
// always of the cam; per crank degree the number is twice as large.
type LiftArea float64

// InchCrankDegrees returns the area in inch crank degrees.
//
// Rows: a-area-total, b-area.
func (a LiftArea) InchCrankDegrees() float64 { return float64(a) / units.Inch.Meters() * 2 }

// MillimeterCamDegrees returns the area in millimeter cam degrees.
//
// Rows: shape-area-345, shape-area-8th, shape-area-modtrap.
func (a LiftArea) MillimeterCamDegrees() float64 { return float64(a) * 1000 }

// String returns the area in meter cam degrees.
func (a LiftArea) String() string {
	return strconv.FormatFloat(float64(a), 'g', -1, 64) + " m cam deg"
}

// AreaSpec says which part of the area under a lift curve is meant. The zero
// AreaSpec means all of it.
type AreaSpec struct {
	// Opens is the lift on the opening flank at which it begins, Closes that on
	// the closing flank at which it ends; 0: the base circle, and for a table
	// its first and last point.
	Opens, Closes units.Length
}

// LobeArea is an area under a lift curve.
type LobeArea struct {
	Area     LiftArea
	From, To units.CamAngle // from the nose
	// Mean is the mean lift between the two: the area over the angle.
	Mean units.Length
}

// AreaUnder answers how much lift a lobe offers between two lifts, down to the
// base circle:
//
//	Area = integral of Lift over the angle, From to To (cam deg)
//
// From is where the opening flank passes AreaSpec.Opens, To where the closing
// flank passes AreaSpec.Closes. It is integrated piece by piece between the
// joins of the curve with 16 Gauss-Legendre points each, which is exact for the
// polynomial laws and for splines. A lift that is negative or not under the
// lobe lift is ErrRange, so is one that the curve does not fall to.
//
// Source: definition; quadrature by gonum.
//
// Rows: a-area-total, a-area-under-between-050, b-area, a-s5-notaknot-area,
// a-s10-notaknot-area, a-s10-trapz, sp-natural-int2, shape-area-8th,
// shape-area-modtrap.
func AreaUnder(c LiftCurve, spec AreaSpec) (LobeArea, error) {
	if err := checkCurve("LiftCurve", c); err != nil {
		return LobeArea{}, err
	}
	k, b := curve(foreign{c}), evenBreaks(c.Span())
	if own(c) {
		k, b = c.(curve), c.(pieced).breaks()
	}
	from, to := b[0], b[len(b)-1]
	for _, f := range [...]struct {
		name string
		lift units.Length
		end  *float64
	}{{"Opens", spec.Opens, &from}, {"Closes", spec.Closes, &to}} {
		if f.lift < 0 || f.lift >= c.MaxLift() {
			return LobeArea{}, fail(f.name, f.lift.String(), units.ErrRange, "want a lift of 0 or more and under the lobe lift "+c.MaxLift().String())
		}
		if f.lift == 0 {
			continue
		}
		x, ok := crossing(k, f.lift.Meters(), 0, *f.end)
		if !ok {
			return LobeArea{}, fail(f.name, f.lift.String(), units.ErrRange, "the curve ends above that lift")
		}
		*f.end = x
	}
	lift := func(x float64) float64 { y, _ := k.eval(x); return y }
	area := 0.0
	for i := range len(b) - 1 {
		if lo, hi := max(b[i], from), min(b[i+1], to); lo < hi {
			area += quad.Fixed(lift, lo, hi, 16, quad.Legendre{}, 0)
		}
	}
	return LobeArea{LiftArea(area), camAngle(from), camAngle(to), length(area / (to - from))}, nil
}
