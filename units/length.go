package units

import (
	"math"
	"math/bits"

	"github.com/shopspring/decimal"
)

// Length is a length as a whole count of picometers (1e-12 m).
//
// The quantum is 1 pm; the range is -MaxLength to +MaxLength, about 9,223 km.
// One inch is 25,400,000,000 pm and one millimeter 1,000,000,000 pm, so:
//
// Exact: every length constant below; sums and differences; comparison; any
// decimal inch figure with up to 8 decimals (0.00000001 in = 254 pm); any
// millimeter figure with up to 9 decimals; text in millimeters; inch
// fractions down to 1/512 in.
//
// Rounded once: text in inches at the decimals asked for (half to even), and
// LengthOf, Scale and the float64 accessors (to nearest).
//
// The operators + - and * wrap silently past the range, as with every Go
// integer; Add, Sub and Mul report it. The zero value is a length of 0.
type Length int64

// Length constants. All are exact.
const (
	Picometer  Length = 1
	Nanometer         = 1000 * Picometer
	Micrometer        = 1000 * Nanometer
	Millimeter        = 1000 * Micrometer
	Centimeter        = 10 * Millimeter
	Meter             = 1000 * Millimeter
	Microinch         = 25400 * Picometer
	Thou              = 1000 * Microinch // 0.001 in
	Inch              = 1000 * Thou      // 25.4 mm by definition (1959)
	Foot              = 12 * Inch

	// MaxLength is the largest length; the smallest is -MaxLength.
	MaxLength Length = math.MaxInt64
)

// LengthUnit names a unit in which a length is read or written.
type LengthUnit uint8

// Units of length for text and conversion. The zero LengthUnit is no unit.
const (
	Inches LengthUnit = iota + 1
	Thousandths
	Microinches
	Feet
	Millimeters
	Micrometers
	Nanometers
	Centimeters
	Meters
)

// Symbol returns the symbol that ParseLength accepts and Text writes: "in",
// "thou", "uin", "ft", "mm", "um", "nm", "cm", "m"; "" for no unit.
//
// Rows: len-in-mm, len-thou-um.
func (u LengthUnit) Symbol() string {
	switch u {
	case Inches:
		return "in"
	case Thousandths:
		return "thou"
	case Microinches:
		return "uin"
	case Feet:
		return "ft"
	case Millimeters:
		return "mm"
	case Micrometers:
		return "um"
	case Nanometers:
		return "nm"
	case Centimeters:
		return "cm"
	case Meters:
		return "m"
	default:
		return ""
	}
}

// String returns the symbol.
func (u LengthUnit) String() string { return u.Symbol() }

// Length returns the length of one unit, and 0 for no unit.
//
// Rows: len-in-mm, len-ft-m, len-thou-mm, len-uin-um.
func (u LengthUnit) Length() Length {
	switch u {
	case Inches:
		return Inch
	case Thousandths:
		return Thou
	case Microinches:
		return Microinch
	case Feet:
		return Foot
	case Millimeters:
		return Millimeter
	case Micrometers:
		return Micrometer
	case Nanometers:
		return Nanometer
	case Centimeters:
		return Centimeter
	case Meters:
		return Meter
	default:
		return 0
	}
}

// LengthOf returns x units of length, rounded to the nearest picometer (ties
// to even). NaN, infinities, an unknown unit and anything past MaxLength are
// errors.
//
// A float64 carries about 15 significant digits, so the result is the exact
// count for every reading a shop can take; use ParseLength for text and
// LengthFromDecimal for a decimal.
func LengthOf(x float64, unit LengthUnit) (Length, error) {
	q := unit.Length()
	if q == 0 {
		return 0, fail("LengthOf", "", ErrUnit, "want one of the LengthUnit constants")
	}
	return roundLength("LengthOf", x*float64(q))
}

func roundLength(field string, pm float64) (Length, error) {
	r := math.RoundToEven(pm)
	if !(math.Abs(r) < 1<<63) { // also catches NaN
		return 0, fail(field, "", ErrRange, "want a finite length within 9,223 km")
	}
	return Length(r), nil
}

// LengthFromDecimal returns d units of length exactly. A value finer than one
// picometer is ErrInexact, one past MaxLength ErrRange.
//
// Rows: gum-726-y, iowa-round.
func LengthFromDecimal(d decimal.Decimal, unit LengthUnit) (Length, error) {
	q := unit.Length()
	if q == 0 {
		return 0, fail("LengthFromDecimal", "", ErrUnit, "want one of the LengthUnit constants")
	}
	// A decimal with a huge exponent would make a huge integer: bound it first.
	e, digits := int64(d.Exponent()), int64(d.NumDigits())
	switch {
	case d.IsZero():
		return 0, nil
	case e+digits > 40: // at least 1e39
		return 0, fail("LengthFromDecimal", "", ErrRange, "want a length within 9,223 km")
	case digits > 200 || e < -400:
		return 0, fail("LengthFromDecimal", "", ErrInexact, "want at most 200 digits and 400 decimals")
	}
	pm := d.Mul(decimal.NewFromInt(int64(q)))
	if !pm.IsInteger() {
		return 0, fail("LengthFromDecimal", d.String()+" "+unit.Symbol(), ErrInexact, "a length is a whole count of picometers")
	}
	if pm.Abs().GreaterThan(decimal.NewFromInt(math.MaxInt64)) {
		return 0, fail("LengthFromDecimal", d.String()+" "+unit.Symbol(), ErrRange, "want a length within 9,223 km")
	}
	return Length(pm.IntPart()), nil
}

// Decimal returns the length in unit as a decimal: exact for the metric units,
// and rounded half to even at the given decimals (0 to 40) for the inch units.
// An unknown unit gives 0.
//
// Rows: gum-726-y, iowa-round.
func (l Length) Decimal(unit LengthUnit, decimals int32) decimal.Decimal {
	q := unit.Length()
	if q == 0 {
		return decimal.Zero
	}
	d := decimal.NewFromInt(int64(l))
	decimals = min(max(decimals, 0), 40)
	switch unit {
	case Inches, Thousandths, Microinches, Feet:
		// A true tie ends one place after the last one kept, and a value that
		// is no tie differs from one by at least 1/q > 1e-12 of that place, so
		// twenty extra places decide every case.
		return d.DivRound(decimal.NewFromInt(int64(q)), decimals+20).RoundBank(decimals)
	default:
		// At most 12 places, whatever decimal.DivisionPrecision says.
		return d.DivRound(decimal.NewFromInt(int64(q)), 12)
	}
}

// Inches returns the length in inches, to nearest.
func (l Length) Inches() float64 { return float64(l) / float64(Inch) }

// Thousandths returns the length in thousandths of an inch, to nearest.
func (l Length) Thousandths() float64 { return float64(l) / float64(Thou) }

// Millimeters returns the length in millimeters, to nearest.
func (l Length) Millimeters() float64 { return float64(l) / float64(Millimeter) }

// Micrometers returns the length in micrometers, to nearest.
func (l Length) Micrometers() float64 { return float64(l) / float64(Micrometer) }

// Meters returns the length in meters, to nearest.
func (l Length) Meters() float64 { return float64(l) / float64(Meter) }

// In returns the length in the given unit, to nearest; 0 for no unit.
//
// Rows: len-in-mm, len-mm-in, len-um-uin.
func (l Length) In(unit LengthUnit) float64 {
	q := unit.Length()
	if q == 0 {
		return 0
	}
	return float64(l) / float64(q)
}

// Abs returns the magnitude.
func (l Length) Abs() Length {
	if l < 0 {
		return -l
	}
	return l
}

// Add returns l+m, or ErrRange where the sum does not fit.
func (l Length) Add(m Length) (Length, error) {
	s := l + m
	if (m > 0) != (s > l) && m != 0 || s == math.MinInt64 {
		return 0, fail("Length.Add", "", ErrRange, "the sum is past 9,223 km")
	}
	return s, nil
}

// Sub returns l-m, or ErrRange where the difference does not fit.
func (l Length) Sub(m Length) (Length, error) {
	if m == math.MinInt64 {
		return 0, fail("Length.Sub", "", ErrRange, "the difference is past 9,223 km")
	}
	s, err := l.Add(-m)
	if err != nil {
		return 0, fail("Length.Sub", "", ErrRange, "the difference is past 9,223 km")
	}
	return s, nil
}

// Mul returns n times l, or ErrRange where the product does not fit.
func (l Length) Mul(n int64) (Length, error) {
	hi, lo := bits.Mul64(magnitude(int64(l)), magnitude(n))
	if hi != 0 || lo > math.MaxInt64 {
		return 0, fail("Length.Mul", "", ErrRange, "the product is past 9,223 km")
	}
	p := Length(lo)
	if (l < 0) != (n < 0) {
		p = -p
	}
	return p, nil
}

// Scale returns l times a true ratio (a rocker ratio, a wear factor), rounded
// to the nearest picometer; NaN, infinities and overflow are ErrRange.
func (l Length) Scale(ratio float64) (Length, error) {
	return roundLength("Length.Scale", float64(l)*ratio)
}

func magnitude(n int64) uint64 {
	if n < 0 {
		return uint64(-(n + 1)) + 1
	}
	return uint64(n)
}
