package camtiming

import "math"

// Coefficients of the eighth-degree rise (Rothbart (ed.), Cam Design Handbook,
// McGraw-Hill 2004, p. 100).
const (
	c3 = 6.09755
	c5 = -20.78040
	c6 = 26.73155
	c7 = -13.60965
	c8 = 2.56095
)

func eighthDegree(u float64) Motion {
	const l = EighthDegree
	s, v := l.sv(u)
	return Motion{
		s, v,
		u * (6*c3 + u*u*(20*c5+u*(30*c6+u*(42*c7+u*56*c8)))),
		6*c3 + u*u*(60*c5+u*(120*c6+u*(210*c7+u*336*c8))),
	}
}

// modifiedTrapezoid, for the first half; the second is its mirror about (1/2,
// 1/2). With C = 8 pi/(2+pi), the acceleration is C sin(4 pi u) to 1/8, C to
// 3/8 and C cos(4 pi (u-3/8)) to 1/2; velocity and lift are its integrals.
func modifiedTrapezoid(u float64) Motion {
	const (
		pi = math.Pi
		c  = 8 * pi / (2 + pi)
		k  = 1 / (4 * pi)
	)
	if u > 0.5 {
		m := modifiedTrapezoid(1 - u)
		return Motion{1 - m.S, m.V, -m.A, m.J}
	}
	switch {
	case u < 0.125:
		sin, cos := math.Sincos(4 * pi * u)
		return Motion{c * k * (u - k*sin), c * k * (1 - cos), c * sin, 4 * pi * c * cos}
	case u <= 0.375:
		d := u - 0.125
		return Motion{c * (k/8 - k*k + d*k + d*d/2), c * (k + d), c, 0}
	default:
		d := u - 0.375
		sin, cos := math.Sincos(4 * pi * d)
		return Motion{
			c * (3*k/8 - k*k + 1.0/32 + d*(k+0.25) + k*k*(1-cos)),
			c * (k + 0.25 + k*sin), c * cos, -4 * pi * c * sin,
		}
	}
}

// trapezoidLift is the lift of modifiedTrapezoid for u up to 1/2.
func trapezoidLift(u float64) float64 {
	const (
		pi = math.Pi
		c  = 8 * pi / (2 + pi)
		k  = 1 / (4 * pi)
	)
	switch {
	case u < 0.125:
		return c * k * (u - k*sine(4*pi*u))
	case u <= 0.375:
		d := u - 0.125
		return c * (k/8 - k*k + d*k + d*d/2)
	default:
		d := u - 0.375
		sin := sine(2 * pi * d)
		return c * (3*k/8 - k*k + 1.0/32 + d*(k+0.25) + 2*k*k*sin*sin)
	}
}

// joins returns the fractions of the flank at which a derivative jumps.
func (l Law) joins() []float64 {
	switch l {
	case ModifiedSine:
		return []float64{0.125, 0.875}
	case ModifiedTrapezoid:
		return []float64{0.125, 0.375, 0.625, 0.875}
	default:
		return nil
	}
}
