package units_test

import (
	"encoding/json"
	"errors"
	"math"
	"math/big"
	"testing"

	"example.com/trialfit/units"
	"github.com/shopspring/decimal"
)

var edge = []int64{0, 1, -1, 2, -2, 3, 1 << 31, -1 << 31, 1 << 32, 3037000499, 3037000500, -3037000500, math.MaxInt64 / 2, math.MaxInt64/2 + 1, -math.MaxInt64 / 2, -math.MaxInt64/2 - 1, math.MaxInt64 - 1, math.MaxInt64, -math.MaxInt64 + 1, -math.MaxInt64, math.MinInt64}

// Add, Sub and Mul against big integers; the range leaves out MinInt64.
func TestLengthOverflow(t *testing.T) {
	t.Parallel()
	check := func(op string, a, b int64, want *big.Int, got units.Length, err error) {
		t.Helper()
		fits := want.IsInt64() && want.Int64() != math.MinInt64
		switch {
		case fits && (err != nil || int64(got) != want.Int64()):
			// MinInt64 is no length; refusing it as an operand is fine too.
			if a != math.MinInt64 && b != math.MinInt64 {
				t.Errorf("%d %s %d = %d, %v; want %v", a, op, b, int64(got), err, want)
			}
		case !fits && (!errors.Is(err, units.ErrRange) || got != 0):
			t.Errorf("%d %s %d = %d, %v; want ErrRange", a, op, b, int64(got), err)
		}
	}
	for _, a := range edge {
		for _, b := range edge {
			x, y, l, m := big.NewInt(a), big.NewInt(b), units.Length(a), units.Length(b)
			got, err := l.Add(m)
			check("+", a, b, new(big.Int).Add(x, y), got, err)
			got, err = l.Sub(m)
			check("-", a, b, new(big.Int).Sub(x, y), got, err)
			got, err = l.Mul(b)
			check("*", a, b, new(big.Int).Mul(x, y), got, err)
		}
	}
}

func TestLengthOfAndScaleRange(t *testing.T) {
	t.Parallel()
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e30, -1e30, math.MaxFloat64} {
		for _, u := range []units.LengthUnit{units.Inches, units.Feet, units.Millimeters, units.Nanometers} {
			if l, err := units.LengthOf(x, u); !errors.Is(err, units.ErrRange) || l != 0 {
				t.Errorf("LengthOf(%v, %v) = %v, %v", x, u, l, err)
			}
		}
		if l, err := units.Inch.Scale(x); !errors.Is(err, units.ErrRange) || l != 0 {
			t.Errorf("Scale(%v) = %v, %v", x, l, err)
		}
	}
	for _, u := range []units.LengthUnit{0, 10, 255} {
		if l, err := units.LengthOf(1, u); !errors.Is(err, units.ErrUnit) || l != 0 {
			t.Errorf("LengthOf(1, %d) = %v, %v", u, l, err)
		}
		if l, err := units.LengthFromDecimal(decimal.New(1, 0), u); !errors.Is(err, units.ErrUnit) || l != 0 {
			t.Errorf("LengthFromDecimal(1, %d) = %v, %v", u, l, err)
		}
	}
	for x, pm := range map[float64]int64{0.0025: 63_500_000, -2.0995: -53_327_300_000, 0: 0, math.Copysign(0, -1): 0, 0.00001: 254_000} {
		if l, err := units.LengthOf(x, units.Inches); err != nil || int64(l) != pm {
			t.Errorf("LengthOf(%v in) = %d, %v; want %d", x, int64(l), err, pm)
		}
	}
	// Ties to even: 0.0005 nm is half a picometer.
	for x, pm := range map[float64]int64{0.0005: 0, 0.0015: 2, 0.0025: 2, -0.0015: -2} {
		if l, err := units.LengthOf(x, units.Nanometers); err != nil || int64(l) != pm {
			t.Errorf("LengthOf(%v nm) = %d, %v; want %d", x, int64(l), err, pm)
		}
	}
	if l, err := (300 * units.Thou).Scale(1.5); err != nil || l != 450*units.Thou {
		t.Errorf("0.300 in x 1.5 = %v, %v", l, err)
	}
}

func TestLengthFromDecimalExtremes(t *testing.T) {
	t.Parallel()
	many, _ := new(big.Int).SetString("1"+string(make0(300)), 10)
	for _, c := range []struct {
		d    decimal.Decimal
		kind error
	}{
		{decimal.New(1, math.MaxInt32), units.ErrRange},
		{decimal.New(1, 41), units.ErrRange},
		{decimal.New(-1, 2_000_000_000), units.ErrRange},
		{decimal.New(1, math.MinInt32), units.ErrInexact},
		{decimal.New(1, -401), units.ErrInexact},
		{decimal.New(1, -13), units.ErrInexact},
		{decimal.NewFromBigInt(many, 0), units.ErrRange},
		{decimal.New(math.MaxInt64, 0), units.ErrRange},
		{decimal.New(0, math.MaxInt32), nil},
		{decimal.New(0, math.MinInt32), nil},
	} {
		// A hang shows as the test's own time limit.
		if l, err := units.LengthFromDecimal(c.d, units.Meters); !errors.Is(err, c.kind) || l != 0 {
			t.Errorf("exponent %d: %v, %v; want %v", c.d.Exponent(), l, err, c.kind)
		}
	}
	limit := decimal.New(math.MaxInt64, -12)
	if l, err := units.LengthFromDecimal(limit, units.Meters); err != nil || l != units.MaxLength {
		t.Errorf("%v m = %v, %v", limit, l, err)
	}
	if l, err := units.LengthFromDecimal(limit.Add(decimal.New(1, -12)), units.Meters); !errors.Is(err, units.ErrRange) || l != 0 {
		t.Errorf("one past the limit: %v, %v", l, err)
	}
}

func make0(n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = '0'
	}
	return b
}

func TestReadingKeepsWhatWasWritten(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"0.0250 in": "0.0250 in", `2.0995"`: "2.0995 in", "12.0 thou": "12.0 thou", "63.50 \u00b5m": "63.50 um", "63.50 \u03bcm": "63.50 um",
		"3 1/2 in": "3 1/2 in", "-5/64 in": "-5/64 in", "2 0/8 in": "2 0/8 in", "-0.10 mm": "-0.10 mm", "5. mm": "5 mm",
		"1/127 in":           "1/127 in", // no finite decimal of an inch
		"1.00000000000000 m": "1.000000000000 m",
	} {
		r, err := units.ParseReading(text)
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		b, err := json.Marshal(map[string]units.Reading{"r": r})
		if err != nil || string(b) != `{"r":"`+want+`"}` {
			t.Errorf("%s: %s, %v; want %s", text, b, err, want)
		}
	}
	// u = d/sqrt(12): JCGM 100:2008, F.2.2.1.
	r := units.MustParseReading("0.0250 in")
	if r.Resolution() != 2_540_000 || r.ResolutionUncertainty() != 733_235 { // 2,540,000/3.4641016 = 733,234.8
		t.Errorf("resolution %v, u %v", r.Resolution(), r.ResolutionUncertainty())
	}
	// A scale in sixty-fourths is read to 1/64 in = 0.396875 mm.
	if got := units.MustParseReading("3/64 in").Resolution(); got != units.MustParseLength("0.396875 mm") {
		t.Errorf("resolution of 3/64 in: %v", got)
	}
}

func TestJSON(t *testing.T) {
	t.Parallel()
	type sheet struct {
		L  units.Length
		C  units.CrankAngle
		M  units.CamAngle
		F  units.Force
		T  units.Temperature
		D  units.TemperatureDifference
		Pr *units.Pressure `json:",omitempty"`
	}
	in := sheet{L: units.MustParseLength("0.00001 in"), C: units.MustParseCrankAngle("-0.000000001 deg"), M: units.MustParseCamAngle("0.0000000005 deg"), F: units.PoundsForce(120), T: units.Celsius(20), D: units.KelvinsDifference(-3)}
	b, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	var out sheet
	if err := json.Unmarshal(b, &out); err != nil || out != in {
		t.Errorf("%s: %+v, %v", b, out, err)
	}
	for _, bare := range []string{`{"L":5}`, `{"C":5}`, `{"M":5}`, `{"F":5}`, `{"T":5}`, `{"L":"5"}`, `{"C":"5"}`, `{"F":"5"}`, `{"T":"20"}`, `{"C":"5 cam deg"}`} {
		out := sheet{L: 7}
		if err := json.Unmarshal([]byte(bare), &out); err == nil || out.L != 7 {
			t.Errorf("%s was accepted: %+v", bare, out)
		}
	}
	if _, err := json.Marshal(units.Newtons(math.NaN())); !errors.Is(err, units.ErrRange) {
		t.Errorf("NaN force: %v", err)
	}
}
