package units

import (
	"math"
	"math/bits"
	"strings"
)

// CrankAngle is an angle of the crankshaft as a whole count of crank
// nanodegrees; CamAngle is an angle of the camshaft in the same count, so
// that one cam degree is two crank degrees. The types do not mix: adding one
// to the other does not compile. Crank and Cam convert without loss.
//
// The trap they close: with the intake centerline at 106 and the exhaust
// centerline at 114 crank degrees the lobe separation is 110 CAM degrees.
//
//	sep := (icl + ecl).Cam()       // 110 cam degrees, no further division
//	adv := sep.Crank()/2 - icl     // 4 crank degrees
//
// while "separation - centerline" on bare numbers is right only as long as
// both are read as numbers and wrong by the separation once they are angles.
//
// The quantum is 1e-9 crank degree, the range about 9.2e9 crank degrees
// (25 million turns). Exact: every angle with up to 9 decimals of a crank
// degree or a cam degree; sums, differences, conversion, comparison; the sine
// and cosine of every multiple of 90 degrees of the angle's own shaft.
// Rounded once, to nearest: minutes of arc, CrankDegrees, CamDegrees and the
// accessors.
type CrankAngle int64

// CamAngle is an angle of the camshaft; see CrankAngle.
type CamAngle int64

// Angle constants. All are exact.
const (
	CrankDegree CrankAngle = 1_000_000_000
	CrankTurn              = 360 * CrankDegree
	CrankCycle             = 2 * CrankTurn // one four-stroke cycle

	CamDegree CamAngle = 2_000_000_000
	CamTurn            = 360 * CamDegree
)

const acceptedAngle = `want a number and a unit: "106 deg", "106.5°", "48 deg 30 min"`

// CrankDegrees returns an angle of x crank degrees, rounded to nearest. NaN,
// infinities and values past the range are ErrRange.
//
// Rows: angle-deg-rad, angle-rev-deg, angle-rev-rad.
func CrankDegrees(x float64) (CrankAngle, error) {
	n, err := roundAngle("CrankDegrees", x*float64(CrankDegree))
	return CrankAngle(n), err
}

// CamDegrees returns an angle of x cam degrees, rounded to nearest. NaN,
// infinities and values past the range are ErrRange.
//
// Rows: angle-deg-rad, angle-rev-deg, angle-rev-rad.
func CamDegrees(x float64) (CamAngle, error) {
	n, err := roundAngle("CamDegrees", x*float64(CamDegree))
	return CamAngle(n), err
}

func roundAngle(field string, x float64) (int64, error) {
	r := math.RoundToEven(x)
	if !(math.Abs(r) < 1<<63) {
		return 0, fail(field, "", ErrRange, "want a finite angle within 25 million turns")
	}
	return int64(r), nil
}

// Cam returns the angle through which the camshaft turns while the crankshaft
// turns through a; lossless, half as many degrees.
//
// Rows: crank-to-cam, crank-to-cam-odd.
func (a CrankAngle) Cam() CamAngle { return CamAngle(a) }

// Crank returns the angle through which the crankshaft turns while the
// camshaft turns through a; lossless, twice as many degrees.
//
// Rows: cam-to-crank.
func (a CamAngle) Crank() CrankAngle { return CrankAngle(a) }

// Degrees returns the angle in crank degrees, to nearest.
//
// Rows: angle-rev-deg.
func (a CrankAngle) Degrees() float64 { return float64(a) / float64(CrankDegree) }

// Degrees returns the angle in cam degrees, to nearest.
//
// Rows: angle-rev-deg.
func (a CamAngle) Degrees() float64 { return float64(a) / float64(CamDegree) }

// Radians returns the angle in crank radians, to nearest.
//
// Rows: angle-deg-rad, angle-rev-rad.
func (a CrankAngle) Radians() float64 { return a.Degrees() * (math.Pi / 180) }

// Radians returns the angle in cam radians, to nearest.
//
// Rows: angle-deg-rad, angle-rev-rad.
func (a CamAngle) Radians() float64 { return a.Degrees() * (math.Pi / 180) }

// Abs returns the magnitude.
func (a CrankAngle) Abs() CrankAngle {
	if a < 0 {
		return -a
	}
	return a
}

// Abs returns the magnitude.
func (a CamAngle) Abs() CamAngle {
	if a < 0 {
		return -a
	}
	return a
}

// Wrap returns the angle reduced to [-360, 360) crank degrees, the range of
// one cylinder's cycle: 0 is top dead center of overlap, -360 firing TDC.
//
// Rows: wrap-450, wrap-360, wrap-m360, wrap-359.999999999, wrap-m361.
func (a CrankAngle) Wrap() CrankAngle {
	// Reduced before the half cycle is added, which would overflow near the limit.
	r := mod(int64(a), int64(CrankCycle)) + int64(CrankTurn)
	return CrankAngle(mod(r, int64(CrankCycle))) - CrankTurn
}

// WrapTurn returns the angle reduced to [0, 360) crank degrees.
//
// Rows: wrap-turn-450, wrap-turn-360, wrap-turn-m1.
func (a CrankAngle) WrapTurn() CrankAngle { return CrankAngle(mod(int64(a), int64(CrankTurn))) }

// mod returns n modulo m in [0, m) without overflow.
func mod(n, m int64) int64 {
	r := n % m
	if r < 0 {
		r += m
	}
	return r
}

// Sin returns the sine. The angle is reduced as an integer first, so
// multiples of 90 crank degrees give 0, 1 or -1 exactly.
//
// Rows: sin-crank-30, sin-crank-45, sin-crank-180, sin-crank-270,
// sin-crank-turns.
func (a CrankAngle) Sin() float64 { return sine(int64(a), int64(CrankDegree)) }

// Cos returns the cosine, exact at multiples of 90 crank degrees.
//
// Rows: cos-crank-60, cos-crank-30, cos-crank-90, cos-crank-180.
func (a CrankAngle) Cos() float64 { return cosine(int64(a), int64(CrankDegree)) }

// Sin returns the sine of the cam angle, exact at multiples of 90 cam degrees.
//
// Rows: sin-cam-30, sin-cam-45, sin-cam-180, sin-cam-270, sin-cam-turns.
func (a CamAngle) Sin() float64 { return sine(int64(a), int64(CamDegree)) }

// Cos returns the cosine of the cam angle, exact at multiples of 90 cam degrees.
//
// Rows: cos-cam-60, cos-cam-30, cos-cam-90, cos-cam-180.
func (a CamAngle) Cos() float64 { return cosine(int64(a), int64(CamDegree)) }

func sine(n, degree int64) float64 { return quadrant(mod(n, 360*degree), degree) }

func cosine(n, degree int64) float64 {
	return quadrant(mod(mod(n, 360*degree)+90*degree, 360*degree), degree)
}

// quadrant returns the sine of n in [0, 360) degrees, by symmetry from an
// angle of at most 45 degrees.
func quadrant(n, degree int64) float64 {
	sign := 1.0
	if n >= 180*degree {
		n -= 180 * degree
		sign = -1
	}
	if n > 90*degree {
		n = 180*degree - n
	}
	if n == 0 {
		return 0 // never -0
	}
	if n > 45*degree {
		return sign * math.Cos(float64(90*degree-n)/float64(degree)*(math.Pi/180))
	}
	return sign * math.Sin(float64(n)/float64(degree)*(math.Pi/180))
}

// ParseCrankAngle reads a crank angle: a number and "deg", "degrees" or "°",
// optionally marked "crank", optionally followed by minutes of arc.
//
//	angle   = [ "+" | "-" ] ( decimal unit | digits degree minutes | digits "crank" degree minutes ) .
//	unit    = "crank" degree | degree [ "crank" ] .
//	degree  = "deg" | "degrees" | "°" .
//	minutes = decimal ( "min" | "'" | "′" ) .
//
// Spaces may stand between the parts; the mark "crank" before the unit needs
// one after it. At most 19 digits, leading
// zeros aside, stand before the point and 19 after it (17 in minutes).
//
// An angle marked "cam" is refused with ErrUnit, as is one without a unit; a
// value finer than 1e-9 degree is ErrInexact, except that minutes of arc are
// rounded to the quantum; a text over 64 bytes is ErrSyntax.
//
// Rows: angle-deg-rad, angle-rev-deg, angle-rev-rad, angle-arcmin-deg.
func ParseCrankAngle(s string) (CrankAngle, error) {
	n, err := parseAngle("CrankAngle", s, "crank", "cam", uint64(CrankDegree))
	return CrankAngle(n), err
}

// ParseCamAngle reads a cam angle in the forms of ParseCrankAngle, with "cam"
// for "crank". An angle marked "crank" is refused with ErrUnit.
//
// Rows: angle-deg-rad, angle-rev-deg, angle-rev-rad, angle-arcmin-deg.
func ParseCamAngle(s string) (CamAngle, error) {
	n, err := parseAngle("CamAngle", s, "cam", "crank", uint64(CamDegree))
	return CamAngle(n), err
}

// MustParseCrankAngle is ParseCrankAngle for literals; it panics on an error.
func MustParseCrankAngle(s string) CrankAngle {
	a, err := ParseCrankAngle(s)
	if err != nil {
		panic(err)
	}
	return a
}

// MustParseCamAngle is ParseCamAngle for literals; it panics on an error.
func MustParseCamAngle(s string) CamAngle {
	a, err := ParseCamAngle(s)
	if err != nil {
		panic(err)
	}
	return a
}

func parseAngle(field, text, own, other string, degree uint64) (int64, error) {
	if len(text) > maxText {
		return 0, fail(field, text, ErrSyntax, "the text is longer than 64 bytes")
	}
	s := trimSpaces(text)
	neg := false
	if len(s) > 0 && (s[0] == '-' || s[0] == '+') {
		neg = s[0] == '-'
		s = s[1:]
	}
	whole, frac, decimals, rest, ok := scanDecimal(s)
	if !ok {
		return 0, fail(field, text, ErrSyntax, acceptedAngle)
	}
	rest = trimSpaces(rest)
	marked := false
	for _, mark := range [...]string{own, other} {
		if r, found := strings.CutPrefix(rest, mark+" "); found {
			if mark == other {
				return 0, fail(field, text, ErrUnit, "want "+own+" degrees; one cam degree is two crank degrees")
			}
			rest, marked = trimSpaces(r), true
		}
	}
	found := false
	for _, unit := range [...]string{"degrees", "deg", "°"} {
		if r, cut := strings.CutPrefix(rest, unit); cut {
			rest, found = trimSpaces(r), true
			break
		}
	}
	if !found {
		return 0, fail(field, text, ErrUnit, acceptedAngle)
	}
	if !marked {
		if rest == other {
			return 0, fail(field, text, ErrUnit, "want "+own+" degrees; one cam degree is two crank degrees")
		}
		if rest == own {
			rest = ""
		}
	}
	over, n := bits.Mul64(whole, degree)
	if over != 0 || n > math.MaxInt64 {
		return 0, fail(field, text, ErrRange, "want an angle within 25 million turns")
	}
	hi, lo := bits.Mul64(frac, degree)
	part, rem := bits.Div64(hi, lo, pow10[decimals]) // frac < 10^decimals, so part < degree
	n += part
	if rem != 0 {
		return 0, fail(field, text, ErrInexact, "an angle is a whole count of 1e-9 crank degrees")
	}
	if rest != "" {
		if decimals != 0 {
			return 0, fail(field, text, ErrSyntax, "minutes of arc follow whole degrees")
		}
		mw, mf, md, unit, ok := scanDecimal(rest)
		unit = trimSpaces(unit)
		if !ok || md > 17 || (unit != "min" && unit != "'" && unit != "′") {
			return 0, fail(field, text, ErrSyntax, acceptedAngle)
		}
		if mw >= 60 {
			return 0, fail(field, text, ErrRange, "want less than 60 minutes of arc")
		}
		m := mw*pow10[md] + mf
		mhi, mlo := bits.Mul64(m, degree)
		q, r := bits.Div64(mhi, mlo, 60*pow10[md]) // m < 60*10^md, so no overflow
		if d := 60 * pow10[md]; r > d-r || (r == d-r && q&1 == 1) {
			q++
		}
		n += q
	}
	if n > math.MaxInt64 {
		return 0, fail(field, text, ErrRange, "want an angle within 25 million turns")
	}
	if neg {
		return -int64(n), nil
	}
	return int64(n), nil
}

// scanDecimal reads an unsigned decimal from the front, whole part and
// fraction apart, each of at most 19 digits.
func scanDecimal(s string) (whole, frac uint64, decimals int, rest string, ok bool) {
	i, point := 0, false
	for ; i < len(s); i++ {
		c := s[i]
		d := uint64(c - '0')
		switch {
		case c == '.' && !point:
			point = true
		case d > 9:
			return whole, frac, decimals, s[i:], ok
		case point:
			if decimals == 19 {
				return 0, 0, 0, s, false
			}
			frac = frac*10 + d
			decimals++
			ok = true
		default:
			if whole >= 1e18 {
				return 0, 0, 0, s, false
			}
			whole = whole*10 + d
			ok = true
		}
	}
	return whole, frac, decimals, "", ok
}

// String returns the exact text, "106.5 crank deg".
func (a CrankAngle) String() string { b, _ := a.AppendText(nil); return string(b) }

// String returns the exact text, "110 cam deg".
func (a CamAngle) String() string { b, _ := a.AppendText(nil); return string(b) }

// AppendText appends the exact text; it never fails.
func (a CrankAngle) AppendText(b []byte) ([]byte, error) {
	return append(appendTrimmed(b, int64(a), uint64(CrankDegree), 9), " crank deg"...), nil
}

// AppendText appends the exact text; it never fails.
func (a CamAngle) AppendText(b []byte) ([]byte, error) {
	return append(appendTrimmed(b, int64(a), uint64(CamDegree), 10), " cam deg"...), nil
}

// appendTrimmed appends n/q with at most the given decimals, trailing zeros cut.
func appendTrimmed(b []byte, n int64, q uint64, decimals int) []byte {
	start := len(b)
	b = appendScaled(b, n, q, decimals)
	for i := start; i < len(b); i++ {
		if b[i] == '.' {
			for b[len(b)-1] == '0' {
				b = b[:len(b)-1]
			}
			if b[len(b)-1] == '.' {
				b = b[:len(b)-1]
			}
			break
		}
	}
	return b
}

// MarshalText returns the exact text.
func (a CrankAngle) MarshalText() ([]byte, error) { return a.AppendText(nil) }

// MarshalText returns the exact text.
func (a CamAngle) MarshalText() ([]byte, error) { return a.AppendText(nil) }

// UnmarshalText reads what ParseCrankAngle reads.
func (a *CrankAngle) UnmarshalText(text []byte) error {
	v, err := ParseCrankAngle(string(text))
	if err != nil {
		return err
	}
	*a = v
	return nil
}

// UnmarshalText reads what ParseCamAngle reads.
func (a *CamAngle) UnmarshalText(text []byte) error {
	v, err := ParseCamAngle(string(text))
	if err != nil {
		return err
	}
	*a = v
	return nil
}

// Text returns the angle with the given number of decimals (0 to 9), rounded
// half to even, and the word "crank": "106.0 crank deg".
func (a CrankAngle) Text(decimals int) string {
	b := appendScaled(nil, int64(a), uint64(CrankDegree), min(max(decimals, 0), 9))
	return string(append(b, " crank deg"...))
}

// Text returns the angle with the given number of decimals (0 to 9), rounded
// half to even, and the word "cam": "110.0 cam deg".
func (a CamAngle) Text(decimals int) string {
	b := appendScaled(nil, int64(a), uint64(CamDegree), min(max(decimals, 0), 9))
	return string(append(b, " cam deg"...))
}
