package units

import (
	"math"
	"math/big"
	"math/bits"
	"strings"

	"github.com/shopspring/decimal"
)

const (
	maxDecimals    = 12 // decimals that Text writes: 1e-12 m is the quantum
	maxText        = 64 // bytes of text that any parser of this package reads
	acceptedLength = `want a number and a unit: "0.0025 in", "2.0995\"", "12 thou", "53.327 mm", "63.5 um", "3 1/2 in"; units in, thou, uin, ft, mm, um, nm, cm, m`
)

var pow10 = [...]uint64{
	1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9,
	1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19,
}

// lengthUnitOf maps the text of a unit to the unit, 0 for none. The unit
// "mil" is refused on purpose: it is 0.001 in to some and a millimeter to
// others.
func lengthUnitOf(s string) LengthUnit {
	switch s {
	case "in", `"`, "inch", "inches", "\u2033":
		return Inches
	case "mm":
		return Millimeters
	case "thou":
		return Thousandths
	case "um", "\u00b5m", "\u03bcm":
		return Micrometers
	case "uin", "\u00b5in", "\u03bcin":
		return Microinches
	case "ft", "foot", "feet":
		return Feet
	case "nm":
		return Nanometers
	case "cm":
		return Centimeters
	case "m":
		return Meters
	default:
		return 0
	}
}

// ParseLength reads a length as a builder writes it. Grammar (EBNF):
//
//	length   = [ "+" | "-" ] ( decimal | fraction ) { " " } unit .
//	decimal  = digits [ "." { digit } ] | "." digits .
//	fraction = [ digits " " { " " } ] digits "/" digits .
//	unit     = "in" | "inch" | "inches" | `"` | "″" | "thou" | "uin" | "µin"
//	         | "ft" | "foot" | "feet" | "mm" | "cm" | "m" | "um" | "µm" | "nm" .
//
// Both micro signs, U+00B5 and U+03BC, are accepted. Leading and trailing
// spaces are ignored.
//
// The result is exact: a text finer than one picometer is ErrInexact, a
// missing or unknown unit ErrUnit (there is no default unit), a comma, an
// exponent or any other form ErrSyntax, a value past 9,223 km ErrRange, a
// text of more than 64 bytes ErrSyntax. "mil" is refused as ambiguous.
func ParseLength(s string) (Length, error) {
	r, err := parseLength(s)
	return r.Length, err
}

// MustParseLength is ParseLength for literals in programs and tests; it
// panics on an error.
func MustParseLength(s string) Length {
	l, err := ParseLength(s)
	if err != nil {
		panic(err)
	}
	return l
}

// trimSpaces cuts ASCII spaces from both ends without a call.
func trimSpaces(s string) string {
	for len(s) > 0 && s[0] == ' ' {
		s = s[1:]
	}
	for len(s) > 0 && s[len(s)-1] == ' ' {
		s = s[:len(s)-1]
	}
	return s
}

// parseLength is the hot path: short plain readings go straight into the
// count, all else goes to parseLengthSlow.
func parseLength(text string) (Reading, error) {
	if len(text) > maxText {
		return Reading{}, fail("Length", text, ErrSyntax, "the text is longer than 64 bytes")
	}
	s := trimSpaces(text)
	i, neg := 0, false
	if len(s) > 0 && (s[0] == '-' || s[0] == '+') {
		neg = s[0] == '-'
		i = 1
	}
	start := i
	var mant uint64
	digits, decimals, point := 0, 0, false
	for ; i < len(s); i++ {
		c := s[i]
		if d := c - '0'; d <= 9 {
			if digits == 18 { // one more could pass 1e19
				return parseLengthSlow(text)
			}
			mant = mant*10 + uint64(d)
			if mant != 0 {
				digits++
			}
			if point {
				decimals++
			}
		} else if c == '.' && !point {
			point = true
		} else {
			break
		}
	}
	if i-start == 0 || (point && i-start == 1) {
		return Reading{}, lengthSyntax(text)
	}
	if decimals > 18 {
		return parseLengthSlow(text)
	}
	rest := s[i:]
	for len(rest) > 0 && rest[0] == ' ' {
		rest = rest[1:]
	}
	u := lengthUnitOf(rest)
	if u == 0 {
		if len(rest) > 0 && (rest[0] == '/' || rest[0]-'0' <= 9) {
			return parseLengthSlow(text)
		}
		return Reading{}, lengthUnitError(text, rest)
	}
	hi, lo := bits.Mul64(mant, uint64(u.Length()))
	div := pow10[decimals]
	if hi >= div {
		return Reading{}, fail("Length", text, ErrRange, "want a length within 9,223 km")
	}
	pm, rem := bits.Div64(hi, lo, div)
	if rem != 0 {
		return Reading{}, fail("Length", text, ErrInexact, "a length is a whole count of picometers")
	}
	if pm > math.MaxInt64 {
		return Reading{}, fail("Length", text, ErrRange, "want a length within 9,223 km")
	}
	l := Length(pm)
	if neg {
		l = -l
	}
	return Reading{Length: l, Unit: u, Decimals: keptDecimals(decimals)}, nil
}

// keptDecimals bounds the decimals of a Reading to those that Text can write;
// only zeros can stand past the twelfth.
func keptDecimals(n int) uint8 { return uint8(min(max(n, 0), maxDecimals)) }

func lengthSyntax(text string) error {
	return fail("Length", text, ErrSyntax, acceptedLength)
}

func lengthUnitError(text, rest string) error {
	switch {
	case rest == "":
		return fail("Length", text, ErrUnit, "a unit is never assumed; "+acceptedLength)
	case rest == "mil" || rest == "mils":
		return fail("Length", text, ErrUnit, `"mil" is 0.001 in to some and a millimeter to others; write thou or mm`)
	case strings.ContainsAny(rest[:1], ",.+-eE") && strings.ContainsAny(rest, "0123456789"):
		return lengthSyntax(text)
	default:
		return fail("Length", text, ErrUnit, acceptedLength)
	}
}

// parseLengthSlow carries long decimals and fractions.
func parseLengthSlow(text string) (Reading, error) {
	s := trimSpaces(text)
	neg := false
	if s[0] == '-' || s[0] == '+' {
		neg = s[0] == '-'
		s = s[1:]
	}
	end := 0
	for end < len(s) && (s[end]-'0' <= 9 || s[end] == '.' || s[end] == '/' || s[end] == ' ') {
		end++
	}
	number, rest := trimSpaces(s[:end]), s[end:]
	u := lengthUnitOf(rest)
	if u == 0 {
		return Reading{}, lengthUnitError(text, rest)
	}
	if !strings.Contains(number, "/") {
		if strings.Contains(number, " ") {
			return Reading{}, lengthSyntax(text)
		}
		d, err := decimal.NewFromString(number)
		if err != nil {
			return Reading{}, lengthSyntax(text)
		}
		if neg {
			d = d.Neg()
		}
		l, err := LengthFromDecimal(d, u)
		if err != nil {
			return Reading{}, asLengthError(text, err)
		}
		return Reading{Length: l, Unit: u, Decimals: keptDecimals(int(-d.Exponent()))}, nil
	}
	whole, frac := "0", number
	if w, f, ok := strings.Cut(number, " "); ok {
		whole, frac = w, trimSpaces(f)
	}
	num, den, _ := strings.Cut(frac, "/")
	var v [3]*big.Int
	for i, part := range [...]string{whole, num, den} {
		if !allDigits(part) {
			return Reading{}, lengthSyntax(text)
		}
		v[i], _ = new(big.Int).SetString(part, 10)
	}
	if v[2].Sign() == 0 {
		return Reading{}, fail("Length", text, ErrSyntax, "the fraction divides by zero")
	}
	pm := new(big.Int).Mul(v[0], v[2])
	pm.Add(pm, v[1]).Mul(pm, big.NewInt(int64(u.Length())))
	rem := new(big.Int)
	pm.QuoRem(pm, v[2], rem)
	switch {
	case !pm.IsInt64():
		return Reading{}, fail("Length", text, ErrRange, "want a length within 9,223 km")
	case rem.Sign() != 0:
		return Reading{}, fail("Length", text, ErrInexact, "a length is a whole count of picometers")
	}
	l := Length(pm.Int64())
	if neg {
		l = -l
	}
	if !v[2].IsInt64() || v[2].Int64() > math.MaxUint16 {
		return Reading{Length: l, Unit: u, Decimals: exactDecimals(l, u)}, nil
	}
	return Reading{Length: l, Unit: u, Denominator: uint16(v[2].Int64())}, nil
}

func allDigits(s string) bool {
	for i := range len(s) {
		if s[i]-'0' > 9 {
			return false
		}
	}
	return s != ""
}

// exactDecimals returns how many decimals write l in u exactly, at most 12.
func exactDecimals(l Length, u LengthUnit) uint8 {
	q := uint64(u.Length())
	r := magnitude(int64(l)) % q
	var n uint8
	for r != 0 && n < 12 {
		r = r * 10 % q
		n++
	}
	return n
}

func asLengthError(text string, err error) error {
	if e, ok := err.(*InputError); ok { //nolint:errorlint // made two lines above, never wrapped
		return fail("Length", text, e.Kind, e.Reason)
	}
	return err
}

// String returns the exact text in millimeters: "0.0635 mm".
func (l Length) String() string {
	var buf [40]byte
	b, _ := l.AppendText(buf[:0])
	return string(b)
}

// AppendText appends the exact text in millimeters, "0.0635 mm"; it
// implements encoding.TextAppender and never fails.
func (l Length) AppendText(b []byte) ([]byte, error) {
	return l.AppendIn(b, Millimeters, int(exactDecimals(l, Millimeters))), nil
}

// MarshalText returns the exact text in millimeters. It is what JSON holds: a
// bare number is refused on the way back because it has no unit.
func (l Length) MarshalText() ([]byte, error) { return l.AppendText(nil) }

// UnmarshalText reads what ParseLength reads.
func (l *Length) UnmarshalText(text []byte) error {
	v, err := ParseLength(string(text))
	if err != nil {
		return err
	}
	*l = v
	return nil
}

// Text returns the length in the given unit with the given number of
// decimals (0 to 12), rounded half to even: Text(Inches, 4) gives
// "0.0025 in". No unit gives the exact millimeters.
//
// Rows: gum-726-y, iowa-round, sp811-b71-2, e29-2.5.
func (l Length) Text(unit LengthUnit, decimals int) string {
	var buf [48]byte
	return string(l.AppendIn(buf[:0], unit, decimals))
}

// AppendIn appends what Text returns.
//
// Rows: gum-726-y, iowa-round.
func (l Length) AppendIn(b []byte, unit LengthUnit, decimals int) []byte {
	q := uint64(unit.Length())
	if q == 0 {
		b, _ = l.AppendText(b)
		return b
	}
	decimals = min(max(decimals, 0), 12)
	b = appendScaled(b, int64(l), q, decimals)
	b = append(b, ' ')
	return append(b, unit.Symbol()...)
}

// appendScaled appends n/q with the given decimals (at most 12), rounded half
// to even. q must be under 2^44, so that a remainder times 1e12 fits 128 bits.
func appendScaled(b []byte, n int64, q uint64, decimals int) []byte {
	m := magnitude(n)
	whole, r := m/q, m%q
	p := pow10[decimals]
	hi, lo := bits.Mul64(r, p)
	frac, rem := bits.Div64(hi, lo, q) // r < q, so frac < p
	if rem > q-rem || (rem == q-rem && frac&1 == 1) || (rem == q-rem && decimals == 0 && whole&1 == 1) {
		frac++
	}
	if frac >= p {
		frac -= p
		whole++
	}
	if n < 0 && (whole != 0 || frac != 0) {
		b = append(b, '-')
	}
	b = appendUint(b, whole, 1)
	if decimals > 0 {
		b = append(b, '.')
		b = appendUint(b, frac, decimals)
	}
	return b
}

// appendUint appends v with at least width digits.
func appendUint(b []byte, v uint64, width int) []byte {
	var buf [20]byte
	i := len(buf)
	for v != 0 || len(buf)-i < width {
		i--
		buf[i] = byte('0' + v%10)
		v /= 10
	}
	return append(b, buf[i:]...)
}
