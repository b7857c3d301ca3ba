package camtiming

import (
	"strconv"

	"gonum.org/v1/gonum/integrate/quad"

	"example.com/trialfit/units"
)

// OverlapArea is lift summed over crank angle, in meter crank degrees.
type OverlapArea float64

// MillimeterDegrees returns the area in millimeter crank degrees.
//
// Rows: overlap-area-mm.
func (a OverlapArea) MillimeterDegrees() float64 { return float64(a) * 1000 }

// InchDegrees returns the area in inch crank degrees.
//
// Rows: overlap-area-in.
func (a OverlapArea) InchDegrees() float64 { return float64(a) / units.Inch.Meters() }

// String returns the area in millimeter crank degrees.
func (a OverlapArea) String() string {
	return strconv.FormatFloat(a.MillimeterDegrees(), 'g', -1, 64) + " mm crank deg"
}

// Overlap is the time around top dead center during which both valves of a
// cylinder are open. All its angles count after top dead center of overlap.
type Overlap struct {
	// Opens is when the second of the valves opens, Closes when the first
	// closes; both 0 where the valves are never open together.
	Opens, Closes units.CrankAngle
	Duration      units.CrankAngle
	// Area is the lesser of the two valve lifts summed over the overlap.
	Area OverlapArea
	// Mean is Area over Duration, the intensity of the overlap: how far the
	// less open valve stands open, on the mean.
	Mean units.Length
	// Peak is the greatest value of the lesser lift, PeakAt where it is: as a
	// rule where the two valves stand level.
	Peak   units.Length
	PeakAt units.CrankAngle
}

// Overlap answers how much both valves of a cylinder are open together: from
// seat to seat, with the lash taken off,
//
//	area = integral of min(Ri Li - lash_i, Re Le - lash_e) over the crank angle
//	mean = area/duration
//
// with R = Ratio and L the lifts of the lifters. The advance moves the overlap
// against the piston and changes nothing else of it. What the valves may share
// at the other end of the cycle is not counted. A pair that is never open
// together gives the zero Overlap. Closed-form lobes are integrated to about 1e-9 of
// the area, measured tables to about 1e-6. Errors: those of ValveTiming but
// for the checking lift; a lash that takes up the whole lift of a valve
// (ErrRange).
//
// Source: definition; the integral by Gauss and Legendre.
//
// Rows: overlap-area-mm, overlap-area-in, overlap-area-lifter, overlap-mean,
// overlap-peak, overlap-peak-at, overlap-opens, overlap-closes, overlap-none.
func (c *Cam) Overlap(in Installation) (Overlap, error) {
	k, err := c.installed(in)
	if err != nil {
		return Overlap{}, err
	}
	// t is the cam angle from the middle between the noses: the intake nose
	// is at half, the exhaust nose at -half.
	seats := func(name string, lobe LiftCurve, g ValveGear) (opens, closes float64, err error) {
		s := lobe.Span()
		if g.Lash == 0 {
			return s.Opens.Degrees(), s.Closes.Degrees(), nil
		}
		o, err := OpeningAt(lobe, max(length(g.Lash.Meters()/g.Ratio), 1))
		return o.Opens.Degrees(), o.Closes.Degrees(), inField(name, err)
	}
	io, ic, err := seats("Intake", k.spec.Intake, in.Intake)
	if err != nil {
		return Overlap{}, err
	}
	eo, ec, err := seats("Exhaust", k.spec.Exhaust, in.Exhaust)
	if err != nil {
		return Overlap{}, err
	}
	lo, hi := max(k.half+io, -k.half+eo), min(k.half+ic, -k.half+ec)
	if lo >= hi {
		return Overlap{}, nil
	}
	lifts := func(t float64) (intake, exhaust float64) {
		li, _ := k.intake.eval(t - k.half)
		le, _ := k.exhaust.eval(t + k.half)
		return in.Intake.valve(li), in.Exhaust.valve(le)
	}
	lesser := func(t float64) float64 { i, e := lifts(t); return min(i, e) }
	// The lesser lift has a corner where the lifts cross, and may turn at a nose.
	cuts := []float64{lo}
	for _, t := range [...]float64{-k.half, k.half} {
		if lo < t && t < hi {
			cuts = append(cuts, t)
		}
	}
	cuts = append(cuts, hi)
	for i := 1; i < len(cuts); i++ {
		level, ok := root(cuts[i-1], cuts[i], func(t float64) (float64, float64) {
			a, b := lifts(t)
			return a - b, 0 // by halving: the slopes jump where a valve meets its seat
		})
		if ok && cuts[i-1] < level && level < cuts[i] {
			cuts = append(cuts[:i], append([]float64{level}, cuts[i:]...)...)
			i++
		}
	}
	// crankAt is the crank angle after overlap top dead center.
	crankAt := func(t float64) units.CrankAngle { return crankAngle(2*t) - in.Advance }
	r := Overlap{Opens: crankAt(lo), Closes: crankAt(hi), Duration: crankAngle(2 * (hi - lo))}
	var area, peak float64
	const panels, points = 64, 5
	x, w := make([]float64, points), make([]float64, points)
	quad.Legendre{}.FixedLocations(x, w, 0, 1)
	for i := 1; i < len(cuts); i++ {
		step := (cuts[i] - cuts[i-1]) / panels
		for j := range panels {
			for p := range points {
				area += step * w[p] * lesser(cuts[i-1]+(float64(j)+x[p])*step)
			}
		}
	}
	for _, t := range cuts {
		if y := lesser(t); y > peak {
			peak, r.PeakAt = y, crankAt(t)
		}
	}
	r.Area = OverlapArea(2 * area)
	r.Mean, r.Peak = length(area/(hi-lo)), length(peak)
	return r, nil
}

// Working shows the sum and the mean.
func (o Overlap) Working() units.Working {
	src := units.Source{Text: "lesser of the two valve lifts, summed over crank angle", Provenance: units.Computed}
	area := strconv.FormatFloat(o.Area.MillimeterDegrees(), 'f', 3, 64) + " mm crank deg"
	return units.Working{
		{Symbol: "area", Formula: "integral of min(intake, exhaust)", Numbers: o.Opens.Text(2) + " to " + o.Closes.Text(2), Value: area, Source: src},
		{Symbol: "mean", Formula: "area/duration", Numbers: area + "/" + o.Duration.Text(2), Value: o.Mean.Text(units.Millimeters, 4), Source: src},
	}
}

// Trapped is what is left of the stroke when the intake valve closes.
type Trapped struct {
	// Fraction is the share of the stroke (a ratio), Travel its length.
	Fraction float64
	Travel   units.Length

	crank SliderCrankSpec
	ivc   units.CrankAngle
}

// Trapped answers how much of the stroke is left when the intake valve closes,
// from the exact position of the slider-crank:
//
//	travel = Travel(180 deg + IVC)
//	fraction = travel/S
//
// with S the stroke of DeadCenters and the travel counted from the top. IVC is
// counted as a degree wheel that is set to top dead center shows it, from half
// a turn after it; with an offset the piston turns round a little beside that.
// Without one, closing there leaves all of the stroke, and closing before it
// traps as much as closing as many degrees after it. The compression ratio
// itself is the business of package clearance. Errors: a slider-crank that
// NewSliderCrank did not make (ErrMissing), an IVC that is not within 180
// degrees (ErrRange). It does not allocate.
//
// Rows: trapped-3.0-60, trapped-3.5-60, trapped-early, trapped-4.0-50, trapped-5.0-30,
// trapped-r40-l140-90, trapped-bdc, trapped-offset-60, trapped-offset-m60.
func (k *SliderCrank) Trapped(ivc units.CrankAngle) (Trapped, error) {
	if k == nil || k.spec == (SliderCrankSpec{}) {
		return Trapped{}, fail("SliderCrank", "", units.ErrMissing, "want one that NewSliderCrank made")
	}
	if !within(ivc, units.CrankTurn/2) {
		return Trapped{}, fail("ivc", ivc.String(), units.ErrRange, "want a closing within 180 degrees of bottom dead center")
	}
	x := k.Travel(units.CrankTurn/2 + ivc)
	return Trapped{Fraction: x.Meters() / k.stroke().Meters(), Travel: x, crank: k.spec, ivc: ivc}, nil
}

// Working shows the derivation.
func (t Trapped) Working() units.Working {
	src := units.Source{Text: "slider-crank, exact", Provenance: units.Computed}
	mm := func(l units.Length) string { return l.Text(units.Millimeters, 3) }
	return units.Working{
		{Symbol: "travel", Formula: "sqrt((l+r)^2 - e^2) - r cos t - sqrt(l^2 - (r sin t - e)^2), t = 180 + IVC + asin(e/(l+r))", Numbers: "r = " + mm(t.crank.Throw) + ", l = " + mm(t.crank.Rod) + ", e = " + mm(t.crank.Offset) + ", IVC = " + t.ivc.Text(2), Value: mm(t.Travel), Source: src},
		{Symbol: "fraction", Formula: "travel/S", Numbers: mm(t.Travel) + " over the stroke", Value: strconv.FormatFloat(t.Fraction, 'f', 4, 64), Source: src},
	}
}

// AdvanceComparison asks for the timing at several advances.
type AdvanceComparison struct {
	// Installation is that of the cam but for its Advance, which is not used.
	Installation Installation
	CheckLift    units.Length // at the valves
	Advances     []units.CrankAngle
	// Piston is the slider-crank of the trapped stroke; nil leaves it out.
	Piston *SliderCrank
}

// AdvanceLine is the timing at one advance.
type AdvanceLine struct {
	Advance units.CrankAngle
	Valves  ValveTiming
	// Trapped is taken at the intake closing at the checking lift; the zero
	// value where no piston was given.
	Trapped Trapped
}

// CompareAdvances answers what the cam does at each of several advances, in the
// order asked: events, lifts at top dead center and the trapped stroke.
// Errors: no or more than 1000 advances, and those of ValveTiming and
// SliderCrank.Trapped.
//
// Rows: advances-ivc, advances-tdc, advances-trapped.
func (c *Cam) CompareAdvances(in AdvanceComparison) ([]AdvanceLine, error) {
	if len(in.Advances) == 0 {
		return nil, fail("Advances", "", units.ErrMissing, "want one advance or more")
	}
	if len(in.Advances) > 1000 {
		return nil, fail("Advances", strconv.Itoa(len(in.Advances)), units.ErrRange, "want at most 1000 advances")
	}
	lines := make([]AdvanceLine, len(in.Advances))
	for i, a := range in.Advances {
		at := in.Installation
		at.Advance = a
		v, err := c.ValveTiming(at, in.CheckLift)
		if err != nil {
			return nil, inField("Advances["+strconv.Itoa(i)+"]", err)
		}
		lines[i] = AdvanceLine{Advance: a, Valves: v}
		if in.Piston == nil {
			continue
		}
		if lines[i].Trapped, err = in.Piston.Trapped(v.Events.IVC); err != nil {
			return nil, err
		}
	}
	return lines, nil
}
