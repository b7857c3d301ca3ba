package units

import (
	"math"
	"math/bits"
)

// Reading is a length as it was written down: the exact value, the unit and
// the number of decimals. "0.0250 in" stays "0.0250 in", because the last
// zero says how finely the instrument was read.
//
// The zero Reading is a length of 0 with no unit.
type Reading struct {
	Length   Length
	Unit     LengthUnit
	Decimals uint8 // decimals as written, 0 to 12 (only zeros can follow); 0 for a fraction
	// Denominator is that of a fraction as written, 64 for "1/64 in", and 0
	// for a decimal.
	Denominator uint16
}

// ParseReading reads what ParseLength reads and keeps unit and decimals.
//
// Rows: gum-726-y, iowa-round.
func ParseReading(s string) (Reading, error) { return parseLength(s) }

// MustParseReading is ParseReading for literals; it panics on an error.
func MustParseReading(s string) Reading {
	r, err := ParseReading(s)
	if err != nil {
		panic(err)
	}
	return r
}

// Resolution returns one unit of the last decimal written, 0.0001 in for
// "0.0250 in", or one part of the fraction, 1/64 in for "3/64 in"; at least
// 1 pm.
//
// Rows: u-res-0.001in, gum-f221-res.
func (r Reading) Resolution() Length {
	q := uint64(r.Unit.Length())
	if r.Denominator > 0 {
		return Length(max(q/uint64(r.Denominator), 1))
	}
	for range min(r.Decimals, 20) {
		q /= 10
	}
	return Length(max(q, 1))
}

// ResolutionUncertainty returns the standard uncertainty that the resolution
// alone leaves: u = d / sqrt(12), d = Resolution (rectangular, JCGM 100:2008
// F.2.2.1; reference row gum-f221-res). It is a lower bound: the instrument's
// own error comes on top.
//
// Rows: u-res-0.001in, gum-f221-res.
func (r Reading) ResolutionUncertainty() Length {
	return Length(math.RoundToEven(float64(r.Resolution()) / math.Sqrt(12)))
}

// String returns the reading as written: "0.0250 in"; a length that the unit
// and decimals cannot hold is rounded half to even.
func (r Reading) String() string {
	if r.Denominator > 0 {
		b, _ := r.AppendText(nil)
		return string(b)
	}
	return r.Length.Text(r.Unit, int(r.Decimals))
}

// AppendText appends the reading as written, or the exact millimeters where
// unit and decimals or denominator cannot hold the length, so that no text
// loses a value; it never fails.
func (r Reading) AppendText(b []byte) ([]byte, error) {
	if q := uint64(r.Unit.Length()); q != 0 && r.Denominator > 0 {
		d := uint64(r.Denominator)
		m := magnitude(int64(r.Length))
		part, rem := m%q*d/q, m%q*d%q // q is at most 1e12 and d under 2^16: no overflow
		if rem != 0 {
			return r.Length.AppendText(b)
		}
		if r.Length < 0 {
			b = append(b, '-')
		}
		if m >= q {
			b = append(appendUint(b, m/q, 1), ' ')
		}
		b = append(appendUint(b, part, 1), '/')
		b = append(appendUint(b, d, 1), ' ')
		return append(b, r.Unit.Symbol()...), nil
	} else if q != 0 {
		hi, lo := bits.Mul64(magnitude(int64(r.Length))%q, pow10[min(r.Decimals, maxDecimals)])
		if _, rem := bits.Div64(hi, lo, q); rem != 0 {
			return r.Length.AppendText(b)
		}
	}
	return r.Length.AppendIn(b, r.Unit, int(r.Decimals)), nil
}

// MarshalText returns what AppendText appends.
func (r Reading) MarshalText() ([]byte, error) { return r.AppendText(nil) }

// UnmarshalText reads what ParseReading reads.
func (r *Reading) UnmarshalText(text []byte) error {
	v, err := ParseReading(string(text))
	if err != nil {
		return err
	}
	*r = v
	return nil
}
