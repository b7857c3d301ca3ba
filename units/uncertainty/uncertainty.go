package uncertainty

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat"

	"example.com/trialfit/units"
)

func fail(field, value string, kind error, reason string) error {
	return &units.InputError{Package: "uncertainty", Field: field, Value: value, Reason: reason, Kind: kind}
}

func text(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// whole reports whether the quantity is a count of quanta.
func whole[Q units.Quantity]() bool { return Q(1)/2 == 0 }

// quantity rounds to the quantum where there is one.
func quantity[Q units.Quantity](field string, x float64) (Q, error) {
	if whole[Q]() {
		x = math.RoundToEven(x)
		if math.Abs(x) > 1<<62 {
			return 0, fail(field, "", units.ErrRange, "the result is over the range of its quantity")
		}
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fail(field, "", units.ErrRange, "the result is over the range of its quantity")
	}
	return Q(x), nil
}

// checkWidth refuses a half-width or uncertainty that is negative or not finite.
func checkWidth[Q units.Quantity](field string, w Q) error {
	if x := float64(w); !(x >= 0 && x <= math.MaxFloat64) {
		return fail(field, w.String(), units.ErrRange, "want one that is finite and not negative")
	}
	return nil
}

func checkProbability(field string, p float64) error {
	if !(p > 0 && p < 1) {
		return fail(field, text(p), units.ErrRange, "want a probability over 0 and under 1")
	}
	return nil
}

// Shape is how likely the values between two bounds are.
type Shape uint8

// The shapes.
const (
	Rectangular Shape = iota + 1 // all alike: nothing but the bounds is known
	Triangular                   // the middle most, falling to the bounds
	UShaped                      // the bounds most: a quantity that swings as a sine
	Trapezoidal                  // level over TopShare of the width, falling to the bounds
)

// String names the shape.
func (s Shape) String() string {
	switch s {
	case Rectangular:
		return "rectangular"
	case Triangular:
		return "triangular"
	case UShaped:
		return "U-shaped"
	case Trapezoidal:
		return "trapezoidal"
	default:
		return "unknown shape"
	}
}

// Bounds are two bounds as far below as above the value. Shape is required.
type Bounds[Q units.Quantity] struct {
	HalfWidth Q
	Shape     Shape
	// TopShare is the width of the level top over that of the base, a ratio from
	// 0 (a triangle) to 1 (a rectangle), for Trapezoidal alone.
	TopShare float64
}

// Standard answers the standard uncertainty of a quantity that is known to lie
// between two bounds:
//
//	rectangular a/sqrt(3)    triangular a/sqrt(6)    U-shaped a/sqrt(2)
//	trapezoidal a sqrt((1 + b^2)/6)
//
// with a = HalfWidth, b = TopShare. Bounds that lie unequally far off, -b and
// +c, are those of the half-width (b + c)/2 about their middle. Errors: a
// half-width that is negative or not finite, a top share outside [0, 1]
// (ErrRange), one where the shape has none (ErrConflict), no shape (ErrMissing).
//
// Source: JCGM 100:2008, 4.3.7 to 4.3.9 and 4.4.6; the U shape is that of a
// swinging temperature, H.1.3.4.
//
// Rows: gum-437-rect, gum-446-tri, gum-438-asym, gum-439-trap0, gum-h1-uda,
// gum-h1-udt, unc-ushape.
func (b Bounds[Q]) Standard() (Q, error) {
	if err := checkWidth("HalfWidth", b.HalfWidth); err != nil {
		return 0, err
	}
	if b.Shape != Trapezoidal && b.TopShare != 0 {
		return 0, fail("TopShare", text(b.TopShare), units.ErrConflict, "only a trapezoid has a level top")
	}
	a := float64(b.HalfWidth)
	switch b.Shape {
	case Rectangular:
		a /= math.Sqrt(3)
	case Triangular:
		a /= math.Sqrt(6)
	case UShaped:
		a /= math.Sqrt2
	case Trapezoidal:
		if !(b.TopShare >= 0 && b.TopShare <= 1) {
			return 0, fail("TopShare", text(b.TopShare), units.ErrRange, "want a ratio from 0 to 1")
		}
		a *= math.Sqrt((1 + b.TopShare*b.TopShare) / 6)
	default:
		return 0, fail("Shape", "", units.ErrMissing, "want one of the Shape constants")
	}
	return quantity[Q]("HalfWidth", a)
}

// Interval is a statement that a quantity lies within HalfWidth of its value
// with a probability, where nothing speaks against a normal distribution.
type Interval[Q units.Quantity] struct {
	HalfWidth   Q
	Probability float64
}

// Standard answers the standard uncertainty behind such a statement:
// HalfWidth/k, with k of CoverageFactor for the normal distribution. An even
// chance (0.5) gives 1.48 times the half-width. Errors: a half-width that is
// negative or not finite, a probability outside (0, 1) (ErrRange).
//
// Source: JCGM 100:2008, 4.3.4 and 4.3.5.
//
// Rows: gum-434-99, gum-435-5050, gum-435-var.
func (i Interval[Q]) Standard() (Q, error) {
	if err := checkWidth("HalfWidth", i.HalfWidth); err != nil {
		return 0, err
	}
	k, err := CoverageFactor(i.Probability, 0)
	if err != nil {
		return 0, err
	}
	return quantity[Q]("HalfWidth", float64(i.HalfWidth)/k)
}

// Expanded is an expanded uncertainty with its coverage factor, as a
// certificate states it.
type Expanded[Q units.Quantity] struct {
	U Q
	K float64 // coverage factor, a ratio over 0
}

// Standard answers the standard uncertainty of a certificate: U/K. Errors: an
// uncertainty that is negative or not finite, a factor that is not over 0
// (ErrRange).
//
// Source: JCGM 100:2008, 4.3.3.
//
// Rows: gum-433-k, gum-h1-ud1, gum-h1-ud2.
func (e Expanded[Q]) Standard() (Q, error) {
	if err := checkWidth("U", e.U); err != nil {
		return 0, err
	}
	if !(e.K > 0 && e.K <= math.MaxFloat64) {
		return 0, fail("K", text(e.K), units.ErrRange, "want a coverage factor over 0")
	}
	return quantity[Q]("U", float64(e.U)/e.K)
}

// Resolution answers the standard uncertainty of a reading that is exact to one
// division or digit: a rectangle of that width, division/sqrt(12). The
// hysteresis of an indicator counts in the same way. A division that is negative
// or not finite is ErrRange.
//
// Source: JCGM 100:2008, F.2.2.1.
//
// Rows: gum-f221-digit, res-0p1um.
func Resolution[Q units.Quantity](division Q) (Q, error) {
	if err := checkWidth("division", division); err != nil {
		return 0, err
	}
	return quantity[Q]("division", float64(division)/math.Sqrt(12))
}

// Repeatability is what readings of one and the same thing tell.
type Repeatability[Q units.Quantity] struct {
	// Mean is the mean of the readings with its standard uncertainty.
	Mean units.Measured[Q]
	// Deviation is the standard deviation of one reading.
	Deviation Q
	Freedom   float64 // degrees of freedom, a statistic: readings less one
	// Doubt is how far Deviation, and the uncertainty of the mean with it, may
	// be off itself: its relative standard deviation, a ratio.
	Doubt float64

	readings int
}

// Repeated answers what two or more independent readings of the same thing
// tell:
//
//	mean = sum x/n    Deviation = sqrt(sum (x - mean)^2/(n - 1))
//	u(mean) = Deviation/sqrt(n)    Freedom = n - 1
//	Doubt = sqrt((n - 1)/2 (gamma((n-1)/2)/gamma(n/2))^2 - 1)
//
// Doubt holds for readings that scatter normally: three quarters for two
// readings, a quarter for ten. Errors: fewer than two readings (ErrMissing), one
// that is not finite (ErrRange).
//
// Source: JCGM 100:2008, 4.2 and table E.1.
//
// Rows: gum-442-mean, gum-442-s, gum-442-smean, gum-e1-n2,
// gum-e1-n10, gum-e1-n20, strd-numacc1-mean, strd-numacc1-sd.
func Repeated[Q units.Quantity](readings []Q) (Repeatability[Q], error) {
	n := float64(len(readings))
	if n < 2 {
		return Repeatability[Q]{}, fail("readings", strconv.Itoa(len(readings)), units.ErrMissing, "want two readings or more")
	}
	// Differences from the first are exact for counts and lose nothing else.
	x := make([]float64, len(readings))
	for i, r := range readings {
		if v := float64(r); math.IsNaN(v) || math.Abs(v) > math.MaxFloat64/4 || whole[Q]() && math.Abs(v) > 1<<61 {
			return Repeatability[Q]{}, fail("readings["+strconv.Itoa(i)+"]", r.String(), units.ErrRange, "want a finite reading")
		}
		x[i] = float64(r - readings[0])
	}
	mean, sd := stat.MeanStdDev(x, nil)
	r := Repeatability[Q]{Freedom: n - 1, Doubt: doubt(n - 1), readings: len(readings)}
	m, err := quantity[Q]("readings", mean)
	if err != nil {
		return Repeatability[Q]{}, err
	}
	u, err := quantity[Q]("readings", sd/math.Sqrt(n))
	if err != nil {
		return Repeatability[Q]{}, err
	}
	if r.Deviation, err = quantity[Q]("readings", sd); err != nil {
		return Repeatability[Q]{}, err
	}
	r.Mean = units.WithU(readings[0]+m, u)
	return r, nil
}

// doubt is the relative standard deviation of a standard deviation.
func doubt(freedom float64) float64 {
	if freedom > 1000 { // where the gamma functions cancel: the next term is under 1e-9 of it
		v := 1 / freedom
		return math.Sqrt(v / 2 * (1 + v/4*(1-v/2)))
	}
	g1, _ := math.Lgamma(freedom / 2)
	g2, _ := math.Lgamma((freedom + 1) / 2)
	return math.Sqrt(freedom/2*math.Exp(2*(g1-g2)) - 1)
}

// Working shows the evaluation.
func (r Repeatability[Q]) Working() units.Working {
	src := units.Source{Text: "JCGM 100:2008, 4.2", Provenance: units.Verified}
	n := strconv.Itoa(r.readings)
	return units.Working{
		{Symbol: "mean", Formula: "sum x/n", Numbers: n + " readings", Value: r.Mean.Value.String(), Source: src},
		{Symbol: "s", Formula: "sqrt(sum (x - mean)^2/(n - 1))", Numbers: "n = " + n, Value: r.Deviation.String(), Source: src},
		{Symbol: "u", Formula: "s/sqrt(n)", Numbers: r.Deviation.String() + "/sqrt(" + n + ")", Value: r.Mean.U.String(), Source: src},
	}
}

// FreedomOf answers how many degrees of freedom an uncertainty has that is itself
// known only to a share of doubt, a ratio: Freedom = 1/(2 doubt^2). A doubt of 0
// is none: 0, which stands for infinitely many. A doubt that is negative, not
// finite or over 1 is ErrRange.
//
// Source: JCGM 100:2008, G.4.2, eq. (G.3).
//
// Rows: gum-g3-25, gum-g3-50, gum-g3-10.
func FreedomOf(doubt float64) (float64, error) {
	if !(doubt >= 0 && doubt <= 1) {
		return 0, fail("doubt", text(doubt), units.ErrRange, "want a share from 0 to 1")
	}
	if doubt < 1e-9 {
		return 0, nil
	}
	return 0.5 / (doubt * doubt), nil
}

// CoverageFactor answers how many standard uncertainties cover a two-sided
// probability: Student's t for the degrees of freedom, 0.5 or more, and the
// normal distribution for 0, which stands for infinitely many. Errors: a
// probability outside (0, 1), degrees of freedom that are negative, not finite or
// under 1/2 (ErrRange).
//
// Source: JCGM 100:2008, tables G.1 and G.2; for over 10,000 degrees of freedom
// the expansion in Abramowitz and Stegun, Handbook of Mathematical Functions,
// 26.7.5 (from memory).
//
// Rows: gum-g1-95, gum-g1-99.73, gum-t-1-95, gum-t-16-99, gum-t-5-95,
// gum-t-100-99.73, unc-t-many, unc-t-tail, unc-t-narrow.
func CoverageFactor(probability, freedom float64) (float64, error) {
	if err := checkProbability("probability", probability); err != nil {
		return 0, err
	}
	if freedom != 0 && !(freedom >= 0.5 && freedom <= math.MaxFloat64) {
		return 0, fail("freedom", text(freedom), units.ErrRange, "want 0 for infinitely many, or 0.5 or more")
	}
	if 0.5+probability/2 == 1 { // a probability within a rounding of 1
		return 0, fail("probability", text(probability), units.ErrRange, "want a probability that leaves something out")
	}
	z := math.Sqrt2 * math.Erfinv(probability)
	switch {
	case freedom == 0:
		return z, nil
	case freedom > 1e4:
		z2, n := z*z, 1/freedom
		return z * (1 + n/4*(z2+1+n/24*(5*z2*z2+16*z2+3+n/4*(3*z2*z2*z2+19*z2*z2+17*z2-15)))), nil
	default:
		return student(probability, freedom, z), nil
	}
}

// student returns Student's t by Newton's method in logarithms from a lower
// bound z. The logarithm of either tail is concave in that of t, so that no step
// but the first goes past the answer.
func student(p, n, z float64) float64 {
	g1, _ := math.Lgamma((n + 1) / 2)
	g2, _ := math.Lgamma(n / 2)
	c := math.Exp(g1-g2) / math.Sqrt(n*math.Pi) // density at 0
	if p < 1e-8 {
		return p / (2 * c)
	}
	t := z
	for range 100 {
		t2 := t * t
		slope := 2 * t * c * math.Exp(-(n+1)/2*math.Log1p(t2/n))
		var step float64
		if p < 0.5 {
			f := mathext.RegIncBeta(0.5, n/2, t2/(n+t2))
			step = math.Log(p/f) * f / slope
		} else { // 1 - p is exact
			f := mathext.RegIncBeta(n/2, 0.5, n/(n+t2))
			step = math.Log(f/(1-p)) * f / slope
		}
		t *= math.Exp(step)
		if math.Abs(step) < 1e-14 {
			break
		}
	}
	return t
}
