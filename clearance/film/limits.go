package film

import (
	"math"

	"example.com/trialfit/units"
)

// ShortBearing answers what the short-bearing theory (Ocvirk) says of a
// position, the limit of the table for L/D to 0:
//
//	S        = (1-eps^2)^2/(pi eps sqrt(pi^2 (1-eps^2) + 16 eps^2)) / (L/D)^2
//	tan phi  = pi sqrt(1-eps^2)/(4 eps)
//	Q/(rcNl) = pi (1+eps), Qs/Q = 2 eps/(1+eps)
//	(r/c) f  = 2 pi^2 S/sqrt(1-eps^2) + (eps/2) sin phi
//	P/pmax   from p = 3 (L/D)^2 (1 - zeta^2) eps sin theta/(1 + eps cos theta)^3
//
// with L/D = LengthRatio, eps = Eccentricity over 0 and under 1. It lies on the
// unsafe side: for the same eccentricity it promises more load than the full
// solution, by 16 % at eps = 0.8 and L/D = 1/4, 69 % at L/D = 1. Errors: an
// eccentricity outside its range, a length ratio that is not finite.
//
// Source: Ocvirk, Short-Bearing Approximation for Full Journal Bearings, NACA
// TN 2808 (1952), as in Friswell, Penny, Garvey, Lees, Dynamics of Rotating
// Machines (2010), 5.5.
//
// Rows: oc-0.05-S, oc-0.5-S, oc-0.97-S, oc-0.4-phi, oc-0.9-q, oc-0.9-qs,
// friswell-W.
func (p Position) ShortBearing() (Variables, error) {
	if err := p.checkShort(); err != nil {
		return Variables{}, err
	}
	return p.short()
}

func (p Position) checkShort() error {
	if err := p.check(math.Nextafter(1, 0)); err != nil {
		return err
	}
	if math.IsInf(p.LengthRatio, 1) {
		return fail("LengthRatio", show(p.LengthRatio), units.ErrRange, "want a finite ratio: the theory is of the short bearing")
	}
	return nil
}

func (p Position) short() (Variables, error) {
	eps := p.Eccentricity
	one := (1 - eps) * (1 + eps)
	root := math.Sqrt(math.Pi*math.Pi*one + 16*eps*eps)
	reduced := one * one / (math.Pi * eps * root)
	phi := math.Atan2(math.Pi*math.Sqrt(one), 4*eps)
	c := -6 * eps / (1 + math.Sqrt(1+24*eps*eps)) // cosine of the angle of the largest pressure
	h := 1 + eps*c
	peak := 3 * eps * math.Sqrt(1-c*c) / (h * h * h)
	deg, _ := units.CrankDegrees(phi * (180 / math.Pi)) // 0 to 90: in range
	s := reduced / p.LengthRatio / p.LengthRatio
	v := Variables{
		LengthRatio: p.LengthRatio, Eccentricity: eps, Sommerfeld: s, FilmRatio: 1 - eps, Attitude: deg,
		Friction: friction(s, eps, math.Sin(phi)), Flow: math.Pi * (1 + eps), SideShare: 2 * eps / (1 + eps),
		PressureRatio: 1 / (2 * math.Pi * reduced * peak),
	}
	if !finite(v.Friction) || !finite(v.PressureRatio) || s == 0 {
		return Variables{}, fail("Eccentricity", show(eps), units.ErrRange, "the Sommerfeld number passes the range of numbers")
	}
	return v, nil
}

// ShortBearing answers where the short-bearing theory puts the journal under a
// load: the eccentricity at which Position.ShortBearing has the Sommerfeld
// number, found by bisection, S falling from infinity to 0 over 0 < eps < 1.
// The same caution holds. Errors: those of Loading.Variables, an eccentricity
// that would be 0 or 1 in the digits of a number.
//
// Source: as Position.ShortBearing.
//
// Rows: friswell-eps.
func (l Loading) ShortBearing() (Variables, error) {
	if err := positive("Sommerfeld", l.Sommerfeld); err != nil {
		return Variables{}, err
	}
	if err := (Position{l.LengthRatio, 0.5}).checkShort(); err != nil {
		return Variables{}, err
	}
	lo, hi := 0.0, 1.0
	for range 1100 {
		m := (lo + hi) / 2
		if m <= lo || m >= hi {
			break
		}
		v, err := Position{l.LengthRatio, m}.short()
		switch {
		case err != nil && m < 0.5:
			lo = m // S passes the range upward
		case err != nil || v.Sommerfeld < l.Sommerfeld:
			hi = m
		default:
			lo = m
		}
	}
	if lo == 0 || hi == 1 {
		return Variables{}, fail("Sommerfeld", show(l.Sommerfeld), units.ErrRange, "the eccentricity is 0 or 1 in the digits of a number")
	}
	return Position{l.LengthRatio, lo}.short()
}

// LongVariables are what a long-bearing theory says.
type LongVariables struct {
	Eccentricity float64
	Sommerfeld   float64
	Attitude     units.CrankAngle
	Friction     float64 // (r/c) f; 0 where the theory is not used for it
}

func long(eps, s, phi, f float64) (LongVariables, error) {
	if !finite(s) || !finite(f) {
		return LongVariables{}, fail("Eccentricity", show(eps), units.ErrRange, "the Sommerfeld number passes the range of numbers")
	}
	deg, _ := units.CrankDegrees(phi * (180 / math.Pi)) // 0 to 90: in range
	return LongVariables{Eccentricity: eps, Sommerfeld: s, Attitude: deg, Friction: f}, nil
}

// LongFullFilm answers what the long-bearing theory of Sommerfeld says, with a
// full film that bears tension:
//
//	S = (2+eps^2) sqrt(1-eps^2)/(12 pi^2 eps)   phi = 90 degrees   (r/c) f = (1+2 eps^2)/(3 eps)
//
// with eps the eccentricity, over 0 and under 1. Oil does not bear that tension:
// use it as a reference, not for a film. Errors: an eccentricity out of range.
//
// Source: Sommerfeld, Zur hydrodynamischen Theorie der Schmiermittelreibung,
// Z. Math. Phys. 50 (1904), in the notation of Raimondi and Boyd.
//
// Rows: lg-0.1-Sf, lg-0.5-Sf, lg-0.97-Sf, lg-0.5-ff.
func LongFullFilm(eccentricity float64) (LongVariables, error) {
	if err := checkEccentricity(eccentricity, math.Nextafter(1, 0)); err != nil {
		return LongVariables{}, err
	}
	e := eccentricity
	s := (2 + e*e) * math.Sqrt((1-e)*(1+e)) / (12 * math.Pi * math.Pi * e)
	return long(e, s, math.Pi/2, (1+2*e*e)/(3*e))
}

// LongHalfFilm answers what the long-bearing theory says with pressures under
// ambient cut off (Guembel, half Sommerfeld):
//
//	S = (2+eps^2)(1-eps^2)/(6 pi eps sqrt(4 eps^2 + pi^2 (1-eps^2)))
//	tan phi = pi sqrt(1-eps^2)/(2 eps)
//
// with eps the eccentricity, over 0 and under 1. The table at L/D = +Inf has the
// rupture of Swift and Stieber, which keeps the flow; this one does not.
// Friction is not given. Errors: an eccentricity out of range.
//
// Source: Guembel and Everling, Reibung und Schmierung im Maschinenbau (1925),
// from the closed integrals.
//
// Rows: lg-0.1-Sh, lg-0.5-Sh, lg-0.97-Sh, lg-0.5-ph.
func LongHalfFilm(eccentricity float64) (LongVariables, error) {
	if err := checkEccentricity(eccentricity, math.Nextafter(1, 0)); err != nil {
		return LongVariables{}, err
	}
	e := eccentricity
	one := (1 - e) * (1 + e)
	s := (2 + e*e) * one / (6 * math.Pi * e * math.Sqrt(4*e*e+math.Pi*math.Pi*one))
	return long(e, s, math.Atan2(math.Pi*math.Sqrt(one), 2*e), 0)
}

// DesignInterpolation is one quantity read from the design charts at one
// Sommerfeld number, for the usual interpolation in L/D.
type DesignInterpolation struct {
	LengthRatio float64 // L/D wanted, at least 1/4
	Long        float64 // the quantity at L/D infinite
	One         float64 // at L/D = 1
	Half        float64 // at L/D = 1/2
	Quarter     float64 // at L/D = 1/4
}

// Value answers what the design rule for chart readings gives between the
// charts:
//
//	y = x^-3 (-(1-x)(1-2x)(1-4x) Long/8 + (1-2x)(1-4x) One/3
//	    - (1-x)(1-4x) Half/4 + (1-x)(1-2x) Quarter/24)
//
// with x = LengthRatio, at least 1/4. It is exact at 1, 1/2 and 1/4. At L/D = 2
// it gives h0/c 1 to 3 % low and P/pmax 13 to 15 % high against the solved
// equation, so that the peak pressure comes out too low; Loading.Variables does
// not use it. Errors: a ratio under 1/4, a value that is not finite.
//
// Source: Raimondi and Boyd (1958), eq. 12-16 of Shigley's Mechanical
// Engineering Design.
//
// Rows: sh8-2-eq16-h0c, sh8-2-eq16-pp, sh8-2-eq16-q, sh10-2-eq16-h0c,
// sh10-2-eq16-pp, sh10-2-eq16-q.
func (d DesignInterpolation) Value() (float64, error) {
	x := d.LengthRatio
	if !(x >= 0.25) || math.IsInf(x, 0) {
		return 0, fail("LengthRatio", show(x), units.ErrRange, "want a finite ratio of at least 1/4")
	}
	for _, f := range []struct {
		name string
		y    float64
	}{{"Long", d.Long}, {"One", d.One}, {"Half", d.Half}, {"Quarter", d.Quarter}} {
		if !finite(f.y) || f.y < 0 {
			return 0, fail(f.name, show(f.y), units.ErrRange, "want a finite chart reading, not negative")
		}
	}
	i := 1 / x // with the cube of x divided out, nothing overflows
	a, b, c := i-1, i-2, i-4
	y := -a*b*c*d.Long/8 + i*b*c*d.One/3 - i*a*c*d.Half/4 + i*a*b*d.Quarter/24
	if !finite(y) {
		return 0, fail("DesignInterpolation", "", units.ErrRange, "the value passes the range of numbers")
	}
	return y, nil
}
