package units_test

import (
	"errors"
	"math"
	"math/big"
	"regexp"
	"strings"
	"testing"

	"example.com/trialfit/units"
	"github.com/shopspring/decimal"
)

// A slow, readable second implementation of the grammars in the doc comments,
// on regular expressions and exact rationals.

var (
	lengthForm = regexp.MustCompile(`^ *([+-]?)(?:(\d+\.?\d*|\.\d+)|(?:(\d+) +)?(\d+)/(\d+)) *(in|inch|inches|"|″|thou|uin|µin|μin|ft|foot|feet|mm|cm|m|um|µm|μm|nm) *$`)
	// Picometers in one unit: the international inch of 25.4 mm and SI prefixes.
	unitPM = map[string]int64{
		"in": 25_400_000_000, "thou": 25_400_000, "uin": 25_400, "ft": 304_800_000_000,
		"m": 1e12, "cm": 1e10, "mm": 1e9, "um": 1e6, "nm": 1e3,
	}
	unitAlias   = map[string]string{"inch": "in", "inches": "in", `"`: "in", "″": "in", "µin": "uin", "μin": "uin", "foot": "ft", "feet": "ft", "µm": "um", "μm": "um"}
	maxCount    = big.NewRat(math.MaxInt64, 1)
	errNoAnswer = errors.New("refused")
)

func ratOf(s string) *big.Rat {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		panic("reference parser: " + s)
	}
	return r
}

func countOf(r *big.Rat) (int64, error) {
	switch {
	case new(big.Rat).Abs(r).Cmp(maxCount) > 0:
		return 0, units.ErrRange
	case !r.IsInt():
		return 0, units.ErrInexact
	}
	return r.Num().Int64(), nil
}

func slowLength(s string) (int64, error) {
	m := lengthForm.FindStringSubmatch(s)
	if len(s) > 64 || m == nil {
		return 0, errNoAnswer
	}
	var v *big.Rat
	if m[2] != "" {
		v = ratOf("0" + strings.TrimSuffix(m[2], "."))
	} else {
		den := ratOf(m[5])
		if den.Sign() == 0 {
			return 0, errNoAnswer
		}
		v = new(big.Rat).Quo(ratOf(m[4]), den)
		if m[3] != "" {
			v.Add(v, ratOf(m[3]))
		}
	}
	unit := m[6]
	if a, ok := unitAlias[unit]; ok {
		unit = a
	}
	v.Mul(v, big.NewRat(unitPM[unit], 1))
	if m[1] == "-" {
		v.Neg(v)
	}
	return countOf(v)
}

func slowAngle(s, own string, perDegree int64) (int64, error) {
	const deg = `(?:degrees|deg|°) *`
	const decimalForm = `(0*\d{1,19}(?:\.\d{0,19})?|\.\d{1,19})`
	plain := regexp.MustCompile(`^ *([+-]?)` + decimalForm + ` *(?:` + own + ` +` + deg + `|` + deg + `|` + deg + own + ` *)$`)
	arc := regexp.MustCompile(`^ *([+-]?)(0*\d{1,19})\.? *(?:` + own + ` +)?` + deg + `(0*\d{1,19}(?:\.\d{0,17})?|\.\d{1,17}) *(?:min|'|′) *$`)
	if len(s) > 64 {
		return 0, errNoAnswer
	}
	if m := plain.FindStringSubmatch(s); m != nil {
		v := ratOf("0" + strings.TrimSuffix(m[2], "."))
		v.Mul(v, big.NewRat(perDegree, 1))
		if m[1] == "-" {
			v.Neg(v)
		}
		return countOf(v)
	}
	m := arc.FindStringSubmatch(s)
	if m == nil {
		return 0, errNoAnswer
	}
	mins := ratOf("0" + strings.TrimSuffix(m[3], "."))
	if mins.Cmp(big.NewRat(60, 1)) >= 0 {
		return 0, errNoAnswer
	}
	mins.Mul(mins, big.NewRat(perDegree, 60))
	whole := new(big.Int).Mul(ratOf(m[2]).Num(), big.NewInt(perDegree))
	whole.Add(whole, halfEven(mins))
	if m[1] == "-" {
		whole.Neg(whole)
	}
	return countOf(new(big.Rat).SetInt(whole))
}

// halfEven rounds a rational to the nearest integer, ties to even.
func halfEven(r *big.Rat) *big.Int {
	twice := new(big.Int).Lsh(r.Num(), 1)
	twice.Add(twice, r.Denom())
	den := new(big.Int).Lsh(r.Denom(), 1)
	q, rem := new(big.Int).DivMod(twice, den, new(big.Int)) // floor((2n+d)/2d)
	if rem.Sign() == 0 && q.Bit(0) == 1 {
		q.Sub(q, big.NewInt(1))
	}
	return q
}

// slowText writes n/q with half-to-even rounding.
func slowText(n, q int64, decimals int, symbol string) string {
	p := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)
	v := halfEven(new(big.Rat).Mul(big.NewRat(n, q), new(big.Rat).SetInt(p)))
	s := new(big.Int).Abs(v).String()
	if len(s) <= decimals {
		s = strings.Repeat("0", decimals-len(s)+1) + s
	}
	if decimals > 0 {
		s = s[:len(s)-decimals] + "." + s[len(s)-decimals:]
	}
	if v.Sign() < 0 {
		s = "-" + s
	}
	return s + " " + symbol
}

func agree(t *testing.T, text string, got int64, err error, want int64, wantErr error) {
	t.Helper()
	switch {
	case (err == nil) != (wantErr == nil) || got != want:
		t.Errorf("%q = %d, %v; slow parser says %d, %v", text, got, err, want, wantErr)
	case err != nil && !errors.Is(wantErr, errNoAnswer) && !errors.Is(err, units.ErrRange) && !errors.Is(err, units.ErrInexact):
		t.Errorf("%q: %v; slow parser says %v", text, err, wantErr)
	}
	if err != nil {
		var in *units.InputError
		if !errors.As(err, &in) || in.Field == "" || in.Kind == nil {
			t.Errorf("%q: %v is not a complete InputError", text, err)
		}
	}
}

var lengthSeeds = []string{
	"0.0025 in", `2.0995"`, "12 thou", "53.327 mm", "63.5 um", "63.5 \u00b5m", "63.5 \u03bcm", "3 1/2 in", "1/3 ft", "1/127 in", "3  1/2in",
	"-0.0000 mm", "+.5 in", "5. in", ".", "", "-", " 1 mm ", "1 2 mm", "1/0 in", "1/2/3 in", "0/5 mm", "1,5 mm", "1e3 mm", "1.2.3 mm", "3-1/2 in",
	"9223372036854775807 nm", "9223372.036854775807 m", "9223372.036854775808 m", "-9223372.036854775808 m", "000000000000000000000001 mm",
	"1.0000000000000000000000000000 mm", "0.00000000000000000000000000001 m", "10 mil", "10 mils", "10 yd", "10", "NaN mm", "0x10 mm", "1_0 mm", "1\u22121 mm",
	strings.Repeat("1", 60) + " mm", strings.Repeat("0", 70) + "1 mm", "1 \u2033", "1 ''", "1 um\x00", "１ mm",
}

func FuzzParseLength(f *testing.F) {
	for _, s := range lengthSeeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		l, err := units.ParseLength(s)
		want, wantErr := slowLength(s)
		agree(t, s, int64(l), err, want, wantErr)
		if back, err := units.ParseLength(l.String()); err != nil || back != l {
			t.Errorf("%q: %v came back as %v, %v", s, l, back, err)
		}
	})
}

func FuzzParseReading(f *testing.F) {
	for _, s := range lengthSeeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := units.ParseReading(s)
		l, lengthErr := units.ParseLength(s)
		if (err == nil) != (lengthErr == nil) || r.Length != l {
			t.Fatalf("%q: reading %v, %v; length %v, %v", s, r, err, l, lengthErr)
		}
		if err != nil {
			if r != (units.Reading{}) {
				t.Fatalf("%q: %v with an error", s, r)
			}
			return
		}
		text, err := r.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var back units.Reading
		if err := back.UnmarshalText(text); err != nil || back.Length != r.Length {
			t.Fatalf("%q: %s came back as %v, %v", s, text, back, err)
		}
		if again, _ := back.MarshalText(); string(again) != string(text) {
			t.Fatalf("%q: %s, then %s", s, text, again)
		}
	})
}

var angleSeeds = []string{
	"106 deg", "106.5°", "48 deg 30 min", "48° 30'", "48°30.5′", "-4 crank deg", "4 deg crank", "4 cam deg", "4 deg cam", "4", "4 degrees", "4 degree",
	"4 crank deg crank", "4.0 deg 30 min", "4 deg 60 min", "4 deg 59.99999999999999999 min", "18446744073 deg 59 min", "9223372036 deg 59 min",
	"9223372036.854775807 crank deg", "9223372036.854775808 deg", "4611686018.4273879035 cam deg", "-4611686018.4273879035 cam deg",
	"0.0000000001 deg", "0.00000000005 deg", "0.0000000000000000000 deg", "0.00000000000000000000 deg", "NaN deg", "1e2 deg", "1,5 deg", "deg", "", "1 rad", "4 crankdeg",
	"4 crank cam deg", "4 deg crank 30 min", "1 deg 0.00000003 min", "99999999999999999999 deg",
}

func FuzzParseCrankAngle(f *testing.F) {
	for _, s := range angleSeeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		a, err := units.ParseCrankAngle(s)
		want, wantErr := slowAngle(s, "crank", 1e9)
		agree(t, s, int64(a), err, want, wantErr)
		if back, err := units.ParseCrankAngle(a.String()); err != nil || back != a {
			t.Errorf("%q: %v came back as %v, %v", s, a, back, err)
		}
	})
}

func FuzzParseCamAngle(f *testing.F) {
	for _, s := range angleSeeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		a, err := units.ParseCamAngle(s)
		want, wantErr := slowAngle(s, "cam", 2e9)
		agree(t, s, int64(a), err, want, wantErr)
		if back, err := units.ParseCamAngle(a.String()); err != nil || back != a {
			t.Errorf("%q: %v came back as %v, %v", s, a, back, err)
		}
	})
}

// FuzzText holds text of any count in any unit against exact rationals, and
// LengthUnit.Decimal with it.
func FuzzText(f *testing.F) {
	for _, n := range []int64{0, 1, -1, 127, 12_700_000, 38_100_000, -12_700_000, math.MaxInt64, -math.MaxInt64, 63_500_000, 500_000_000, 1_500_000_000} {
		for d := range uint8(14) {
			f.Add(n, d)
		}
	}
	lengthUnits := []units.LengthUnit{units.Inches, units.Thousandths, units.Microinches, units.Feet, units.Millimeters, units.Micrometers, units.Nanometers, units.Centimeters, units.Meters}
	f.Fuzz(func(t *testing.T, n int64, d uint8) {
		if n == math.MinInt64 {
			t.Skip("outside the range of every count")
		}
		decimals := int(d % 13)
		for _, u := range lengthUnits {
			want := slowText(n, unitPM[u.Symbol()], decimals, u.Symbol())
			if got := units.Length(n).Text(u, decimals); got != want {
				t.Errorf("Length(%d).Text(%v, %d) = %q, want %q", n, u, decimals, got, want)
			}
			if got := units.Length(n).Decimal(u, int32(decimals)); u <= units.Feet && got.StringFixed(int32(decimals))+" "+u.Symbol() != want && !got.IsZero() {
				t.Errorf("Length(%d).Decimal(%v, %d) = %v, want %s", n, u, decimals, got, want)
			}
			if got := units.Length(n).Decimal(u, 0); u > units.Feet && !got.Mul(decimal.NewFromInt(unitPM[u.Symbol()])).Equal(decimal.NewFromInt(n)) {
				t.Errorf("Length(%d).Decimal(%v) = %v is not exact", n, u, got)
			}
		}
		if decimals > 9 {
			return
		}
		if got, want := units.CrankAngle(n).Text(decimals), slowText(n, 1e9, decimals, "crank deg"); got != want {
			t.Errorf("crank %d = %q, want %q", n, got, want)
		}
		if got, want := units.CamAngle(n).Text(decimals), slowText(n, 2e9, decimals, "cam deg"); got != want {
			t.Errorf("cam %d = %q, want %q", n, got, want)
		}
		if back, err := units.ParseCamAngle(units.CamAngle(n).String()); err != nil || back != units.CamAngle(n) {
			t.Errorf("cam %d came back as %v, %v", n, back, err)
		}
		if back, err := units.ParseCrankAngle(units.CrankAngle(n).String()); err != nil || back != units.CrankAngle(n) {
			t.Errorf("crank %d came back as %v, %v", n, back, err)
		}
	})
}

// The kind of each refusal, from the doc comment of ParseLength.
func TestParseLengthKinds(t *testing.T) {
	t.Parallel()
	for text, kind := range map[string]error{
		"":                               units.ErrSyntax,
		"mm":                             units.ErrSyntax,
		"1,5 mm":                         units.ErrSyntax,
		"1e3 mm":                         units.ErrSyntax,
		"1.2.3 mm":                       units.ErrSyntax,
		"3-1/2 in":                       units.ErrSyntax,
		"1/0 in":                         units.ErrSyntax,
		"1":                              units.ErrUnit,
		"1 mil":                          units.ErrUnit,
		"1 yd":                           units.ErrUnit,
		"3 1/2":                          units.ErrUnit,
		"0.0000000001 mm":                units.ErrInexact,
		"1/3 in":                         units.ErrInexact,
		"9223373 m":                      units.ErrRange,
		"9223372036854775807 m":          units.ErrRange,
		"99999999999999999999999 m":      units.ErrRange,
		"99999999999999999999999/2 m":    units.ErrRange,
		strings.Repeat("1", 65) + " mm":  units.ErrSyntax,
		strings.Repeat(" ", 61) + "1 mm": units.ErrSyntax,
	} {
		if l, err := units.ParseLength(text); !errors.Is(err, kind) || l != 0 {
			t.Errorf("ParseLength(%q) = %v, %v; want %v", text, l, err, kind)
		}
	}
}

func TestParseAngleKinds(t *testing.T) {
	t.Parallel()
	for text, kind := range map[string]error{
		"":                                units.ErrSyntax,
		"106":                             units.ErrUnit,
		"106 rad":                         units.ErrUnit,
		"106 cam deg":                     units.ErrUnit,
		"106 deg cam":                     units.ErrUnit,
		"1e2 deg":                         units.ErrUnit,
		"4 deg 60 min":                    units.ErrRange,
		"4.5 deg 3 min":                   units.ErrSyntax,
		"0.0000000001 deg":                units.ErrInexact,
		"9223372037 deg":                  units.ErrRange,
		"18446744073 deg 59 min":          units.ErrRange, // the count wrapped here once
		"9223372036 deg 59.9 min":         units.ErrRange,
		strings.Repeat("0", 64) + "1 deg": units.ErrSyntax,
	} {
		if a, err := units.ParseCrankAngle(text); !errors.Is(err, kind) || a != 0 {
			t.Errorf("ParseCrankAngle(%q) = %v, %v; want %v", text, a, err, kind)
		}
	}
	if a, err := units.ParseCamAngle("4 crank deg"); !errors.Is(err, units.ErrUnit) || a != 0 {
		t.Errorf("crank degrees as a cam angle: %v, %v", a, err)
	}
}
