package units

import "math"

// Reading is a length as it was written down: the exact value, the unit and
// the number of decimals. "0.0250 in" stays "0.0250 in", because the last
// zero says how finely the instrument was read.
//
// The zero Reading is a length of 0 with no unit.
type Reading struct {
	Length   Length
	Unit     LengthUnit
	Decimals uint8 // decimals as written, 0 to 63; a fraction counts its exact decimals
}

// ParseReading reads what ParseLength reads and keeps unit and decimals.
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
// "0.0250 in"; at least 1 pm.
func (r Reading) Resolution() Length {
	q := uint64(r.Unit.Length())
	for range min(r.Decimals, 20) {
		q /= 10
	}
	return Length(max(q, 1))
}

// ResolutionUncertainty returns the standard uncertainty that the resolution
// alone leaves: u = d / sqrt(12), d = Resolution (rectangular, JCGM 100:2008
// F.2.2.1; reference row gum-f221-res). It is a lower bound: the instrument's
// own error comes on top.
func (r Reading) ResolutionUncertainty() Length {
	return Length(math.RoundToEven(float64(r.Resolution()) / math.Sqrt(12)))
}

// String returns the reading as written: "0.0250 in".
func (r Reading) String() string { return r.Length.Text(r.Unit, int(r.Decimals)) }

// AppendText appends the reading as written; it never fails.
func (r Reading) AppendText(b []byte) ([]byte, error) {
	return r.Length.AppendIn(b, r.Unit, int(r.Decimals)), nil
}

// MarshalText returns the reading as written.
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
