package camtiming

import "math"

// Law is a closed-form rise law: the lift fraction s as a function of the
// fraction u of the flank, s(0) = 0, s(1) = 1.
type Law uint8

// The closed-form laws. All are monotone on [0, 1] and at rest at its ends; all
// but EighthDegree are antisymmetric about the middle of the flank.
const (
	Harmonic     Law = iota + 1 // s = (1 - cos(pi u))/2
	Cycloidal                   // s = u - sin(2 pi u)/(2 pi)
	Poly345                     // s = 10 u^3 - 15 u^4 + 6 u^5
	Poly4567                    // s = 35 u^4 - 84 u^5 + 70 u^6 - 20 u^7
	ModifiedSine                // quarter-sine ends, eighth by eighth; constant k = 1/(4+pi)
	// ModifiedTrapezoid has an acceleration of quarter sines and levels, zone
	// by zone of an eighth: up, two level, down through 0 in two, two level, up.
	ModifiedTrapezoid
	// EighthDegree has no dwell at the top: its acceleration is greatest there,
	// and equally great on the way up.
	// s = 6.09755 u^3 - 20.78040 u^5 + 26.73155 u^6 - 13.60965 u^7 + 2.56095 u^8.
	EighthDegree
)

// laws lists the laws of the family of curves that fit one card; the first of
// those that fit equally well is used. Its spread stands in uncertainties, so
// that another law in it would change figures of every card.
var laws = [...]Law{Poly345, Poly4567, Cycloidal, ModifiedSine, Harmonic}

// String names the law.
func (l Law) String() string {
	switch l {
	case Harmonic:
		return "simple harmonic"
	case Cycloidal:
		return "cycloidal"
	case Poly345:
		return "3-4-5 polynomial"
	case Poly4567:
		return "4-5-6-7 polynomial"
	case ModifiedSine:
		return "modified sine"
	case ModifiedTrapezoid:
		return "modified trapezoid"
	case EighthDegree:
		return "eighth-degree polynomial"
	default:
		return "unknown law"
	}
}

func (l Law) known() bool { return l >= Harmonic && l <= EighthDegree }

// Motion is lift and its derivatives with respect to the fraction u of the
// flank, for a total lift of 1. True lift is s*h; the derivative of order n
// per angle is that factor times h over the flank angle to the power n.
type Motion struct {
	S, V, A, J float64 // lift fraction and its first three derivatives (ratios)
}

// At returns the motion at the fraction u of the flank, clamped to [0, 1]; an
// unknown law or a NaN gives zeros.
//
// Source: Rothbart (ed.), Cam Design Handbook (2004), ch. 3 and 4; peak
// factors in closed form.
//
// Rows: cdh-t42-simple-harmonic, cdh-t42-poly-345, cdh-t42-cycloidal,
// cdh-t42-poly-4567, law-345-0.30-s, law-4567-0.30-v, law-cycloidal-0.30-a,
// law-harmonic-0.30-j, law-modified-sine-0.10-s, law-modified-sine-0.95-j,
// shape-modtrap-0.30-s, shape-modtrap-0.45-j, shape-modtrap-ca,
// shape-8th-0.30-s, shape-8th-1.00-a, cdh-8th-c5, cdh-8th-c6, cdh-8th-c7.
func (l Law) At(u float64) Motion {
	if math.IsNaN(u) {
		return Motion{}
	}
	u = min(max(u, 0), 1)
	const pi = math.Pi
	switch l {
	case Harmonic:
		sin, cos := math.Sincos(pi * u)
		return Motion{(1 - cos) / 2, pi / 2 * sin, pi * pi / 2 * cos, -pi * pi * pi / 2 * sin}
	case Cycloidal:
		sin, cos := math.Sincos(2 * pi * u)
		return Motion{u - sin/(2*pi), 1 - cos, 2 * pi * sin, 4 * pi * pi * cos}
	case Poly345:
		return Motion{
			u * u * u * (10 + u*(-15+6*u)),
			30 * u * u * (1 + u*(-2+u)),
			60 * u * (1 + u*(-3+2*u)),
			60 + 360*u*(u-1),
		}
	case Poly4567:
		return Motion{
			u * u * u * u * (35 + u*(-84+u*(70-20*u))),
			140 * u * u * u * (1 + u*(-3+u*(3-u))),
			420 * u * u * (1 + u*(-4+u*(5-2*u))),
			840 * u * (1 + u*(-6+u*(10-5*u))),
		}
	case ModifiedSine:
		return modifiedSine(u)
	case ModifiedTrapezoid:
		return modifiedTrapezoid(u)
	case EighthDegree:
		return eighthDegree(u)
	default:
		return Motion{}
	}
}

// modifiedSine: 0-1/8 k[pi u - sin(4 pi u)/4]; 1/8-7/8
// k[2 + pi u - (9/4) sin(4 pi u/3 + pi/3)]; 7/8-1 k[4 + pi u - sin(4 pi u)/4],
// k = 1/(4+pi).
func modifiedSine(u float64) Motion {
	const (
		pi = math.Pi
		k  = 1 / (4 + pi)
	)
	if u > 0.125 && u < 0.875 {
		sin, cos := math.Sincos(4*pi*u/3 + pi/3)
		return Motion{k * (2 + pi*u - 2.25*sin), k * pi * (1 - 3*cos), 4 * pi * pi * k * sin, 16 * pi * pi * pi / 3 * k * cos}
	}
	sin, cos := math.Sincos(4 * pi * u)
	m := Motion{k * (pi*u - sin/4), k * pi * (1 - cos), 4 * pi * pi * k * sin, 16 * pi * pi * pi * k * cos}
	if u > 0.5 {
		m.S += 4 * k
	}
	return m
}

// s returns the lift fraction only: no law needs more than one sine for it,
// and all can do with one of less than a right angle.
func (l Law) s(u float64) float64 {
	const pi = math.Pi
	switch l {
	case Harmonic:
		sin := sine(pi / 2 * u)
		return sin * sin
	case Cycloidal:
		switch { // whole and half turns taken off
		case u <= 0.25:
			return u - sine(2*pi*u)*(1/(2*pi))
		case u < 0.75:
			return u + sine(2*pi*(u-0.5))*(1/(2*pi))
		default:
			return u + sine(2*pi*(1-u))*(1/(2*pi))
		}
	case ModifiedSine:
		const k = 1 / (4 + pi)
		switch {
		case u <= 0.125:
			return k * (pi*u - sine(4*pi*u)/4)
		case u < 0.875:
			return k * (2 + pi*u + 2.25*sine(4*pi/3*(u-0.5)))
		default:
			return k * (4 + pi*u + sine(4*pi*(1-u))/4)
		}
	case ModifiedTrapezoid:
		if u > 0.5 {
			return 1 - trapezoidLift(1-u)
		}
		return trapezoidLift(u)
	default: // polynomials; the slope that is dropped costs a few products
		s, _ := l.sv(u)
		return s
	}
}

// sine is the sine of at most a right angle: its power series to the 21st
// power, cut off at 2e-18, summed in pairs and without a branch.
// It takes half the time of math.Sin, which reduces any angle.
func sine(x float64) float64 {
	const ( // factorials
		f3, f5, f7, f9, f11 = 6.0, 120.0, 5040.0, 362880.0, 39916800.0
		f13, f15, f17       = 6227020800.0, 1307674368000.0, 355687428096000.0
		f19, f21            = 121645100408832000.0, 51090942171709440000.0
	)
	z := x * x
	z2 := z * z
	z4 := z2 * z2
	low := z*(1/f5) - 1/f3 + z2*(z*(1/f9)-1/f7)
	high := z*(1/f13) - 1/f11 + z2*(z*(1/f17)-1/f15) + z4*(z*(1/f21)-1/f19)
	return x + x*z*(low+z4*high)
}

// sv returns lift fraction and slope only, for the hot path.
func (l Law) sv(u float64) (s, v float64) {
	switch l {
	case Poly345:
		return u * u * u * (10 + u*(-15+6*u)), 30 * u * u * (1 + u*(-2+u))
	case Poly4567:
		return u * u * u * u * (35 + u*(-84+u*(70-20*u))), 140 * u * u * u * (1 + u*(-3+u*(3-u)))
	case EighthDegree:
		return u * u * u * (c3 + u*u*(c5+u*(c6+u*(c7+u*c8)))), u * u * (3*c3 + u*u*(5*c5+u*(6*c6+u*(7*c7+u*8*c8))))
	default:
		m := l.At(u)
		return m.S, m.V
	}
}

// inverse returns the fraction u at which the law reaches s in [0, 1].
func (l Law) inverse(s float64) float64 {
	if s <= 0 {
		return 0
	}
	if s >= 1 {
		return 1
	}
	x, _ := root(0, 1, func(u float64) (float64, float64) {
		y, v := l.sv(u)
		return y - s, v
	})
	return x
}

// root returns the zero of an increasing function between lo and hi by
// Newton's method kept inside a shrinking bracket; f returns value and slope.
// It ends within 1e-14 of the first bracket or where the value is 0; ok is false where
// f has the same sign at both ends.
func root(lo, hi float64, f func(float64) (float64, float64)) (x float64, ok bool) {
	flo, _ := f(lo)
	fhi, _ := f(hi)
	switch {
	case flo == 0:
		return lo, true
	case fhi == 0:
		return hi, true
	case (flo > 0) == (fhi > 0):
		return 0, false
	}
	if flo > 0 {
		lo, hi = hi, lo
		flo, fhi = fhi, flo
	}
	// f(lo) < 0 < f(hi); start from the secant. Newton's last step is far
	// smaller than the one before, so a hundredth of a quantum is enough.
	tol := 1e-14 * math.Abs(hi-lo)
	x = lo + (hi-lo)*(flo/(flo-fhi))
	for range 200 {
		y, v := f(x)
		switch {
		case y == 0:
			return x, true
		case y < 0:
			lo = x
		default:
			hi = x
		}
		next := x - y/v
		if !(min(lo, hi) < next && next < max(lo, hi)) { // also where v is 0 or NaN
			next = lo + (hi-lo)/2
		}
		if next == x || math.Abs(next-x) <= tol || next == lo || next == hi {
			return next, true
		}
		x = next
	}
	return x, true
}
