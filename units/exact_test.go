package units_test

import (
	"os"
	"testing"

	"example.com/trialfit/units"
	"github.com/shopspring/decimal"
)

// stride is 1 when every step is asked for, else a prime far from any round
// number, coprime to 10, so that every last digit is met.
func stride() int64 {
	if os.Getenv("TRIALFIT_EXHAUSTIVE") == "1" {
		return 1
	}
	return 997
}

// steps walks 0..count steps of the given picometers and decimals.
// Sources: 1 in = 25.4 mm exactly (international inch, 1959), so a step of
// 0.00001 in is 254,000 pm; 0.1 um is 100,000 pm by the SI prefixes.
func steps(t *testing.T, unit units.LengthUnit, symbol string, decimals int, stepPM, count int64, to units.LengthUnit, toPM int64, toDecimals int) {
	t.Helper()
	var digits [24]byte
	buf := make([]byte, 0, 64)
	scale := int64(1)
	for range decimals {
		scale *= 10
	}
	toScale := int64(1)
	for range toDecimals {
		toScale *= 10
	}
	inc := stride()
	for n := int64(0); ; n += inc {
		n = min(n, count) // the last step is always met
		// The text by hand, from the integer alone.
		i, v := len(digits), n
		for d := 0; d < decimals || v != 0 || d == decimals; d++ {
			if d == decimals && decimals > 0 {
				i--
				digits[i] = '.'
			}
			i--
			digits[i] = byte('0' + v%10)
			v /= 10
		}
		want := string(digits[i:]) + " " + symbol
		l, err := units.ParseLength(want)
		if err != nil || int64(l) != n*stepPM {
			t.Fatalf("ParseLength(%q) = %d pm, %v; want %d", want, int64(l), err, n*stepPM)
		}
		buf = l.AppendIn(buf[:0], unit, decimals)
		if string(buf) != want {
			t.Fatalf("AppendIn = %q, want %q", buf, want)
		}
		if neg := -l; n > 0 {
			buf = neg.AppendIn(buf[:0], unit, decimals)
			if string(buf) != "-"+want {
				t.Fatalf("AppendIn = %q, want -%q", buf, want)
			}
		}
		// Converted and read back: no error after two conversions.
		if (n*stepPM)%(toPM/toScale) == 0 {
			back, err := units.ParseLength(string(l.AppendIn(buf[:0], to, toDecimals)))
			if err != nil || back != l {
				t.Fatalf("%q by way of %v: %v, %v", want, to, back, err)
			}
		} else {
			t.Fatalf("%q is not a whole step of %v", want, to)
		}
		// A second implementation, on every 64th value met: it is slow.
		if (n/inc)%64 == 0 || n == count {
			d := decimal.New(n, int32(-decimals))
			got, err := units.LengthFromDecimal(d, unit)
			if err != nil || got != l {
				t.Fatalf("LengthFromDecimal(%v) = %v, %v; want %v", d, got, err, l)
			}
			if back := l.Decimal(unit, int32(decimals)); !back.Equal(d) {
				t.Fatalf("%v.Decimal = %v, want %v", l, back, d)
			}
			oracle := d.Mul(decimal.New(stepPM*scale, 0))
			if !oracle.Equal(decimal.New(int64(l), 0)) {
				t.Fatalf("%q: %d pm, decimal says %v", want, int64(l), oracle)
			}
		}
		if n == count {
			return
		}
	}
}

// Every 0.00001 in to 100 in, by way of millimeters (9 decimals hold it).
func TestEveryInchStepIsExact(t *testing.T) {
	t.Parallel()
	steps(t, units.Inches, "in", 5, 254_000, 10_000_000, units.Millimeters, 1e9, 9)
}

// Every 0.1 um to 1 m, by way of millimeters and nanometers.
func TestEveryMicrometerStepIsExact(t *testing.T) {
	t.Parallel()
	steps(t, units.Micrometers, "um", 1, 100_000, 10_000_000, units.Millimeters, 1e9, 4)
	steps(t, units.Millimeters, "mm", 4, 100_000, 10_000_000, units.Nanometers, 1e3, 0)
}

// The exactness contract in the doc comment of Length, both lists.
func TestLengthExactnessContract(t *testing.T) {
	t.Parallel()
	for text, pm := range map[string]int64{
		"0.00000001 in": 254, "0.000000001 mm": 1, "1 in": 25_400_000_000, "1 ft": 304_800_000_000,
		"1 thou": 25_400_000, "1 uin": 25_400, "1 m": 1e12, "1 cm": 1e10, "1 um": 1e6, "1 nm": 1e3,
		"1/512 in": 49_609_375, "3 1/2 in": 88_900_000_000, "0.0025 in": 63_500_000, "1/127 in": 200_000_000,
	} {
		if l, err := units.ParseLength(text); err != nil || int64(l) != pm {
			t.Errorf("%s = %d pm, %v; want %d", text, int64(l), err, pm)
		}
	}
	// Just past the contract: 1/1024 in = 24,804,687.5 pm.
	for _, text := range []string{"1/1024 in", "0.0000000001 in", "0.0000000001 mm", "1/3 in", "0.1 pm"} {
		if l, err := units.ParseLength(text); err == nil || l != 0 {
			t.Errorf("%s = %v, want an error", text, l)
		}
	}
}
