package evaluation

import (
	"math"
	"testing"

	"example.com/trialfit/internal/reference"
)

func TestCompare(t *testing.T) {
	tests := []struct {
		name                string
		expected, tolerance string
		answer              Answer
		pass, err           bool
	}{
		{"half a digit, at it", "1.28", "", Number(1.285), true, false},
		{"half a digit, past it", "1.28", "", Number(1.2851), false, false},
		{"half a digit, trailing zero counts", "1.280", "", Number(1.2806), false, false},
		{"half a unit of an integer", "93", "", Number(93.44), true, false},
		{"exponent", "1.25e-6", "", Number(1.2549e-6), true, false},
		{"exponent, past it", "1.25e-6", "", Number(1.256e-6), false, false},
		{"negative", "-0.93", "", Number(-0.934), true, false},
		{"wrong sign", "-0.93", "", Number(0.93), false, false},
		{"stated", "100", "2", Number(101.9), true, false},
		{"stated, past it", "100", "2", Number(102.1), false, false},
		{"exact", "0.1", "exact", Number(0.1), true, false},
		{"exact 0", "0.1", "0", Number(0.1), true, false},
		{"exact, one ulp off", "0.1", "0", Number(math.Nextafter(0.1, 1)), false, false},
		{"exact to 25 digits", "0.1047197551196597746154214", "exact", Number(math.Pi / 30), true, false},
		{"1 ulp", "0.1", "1 ulp", Number(math.Nextafter(0.1, 1)), true, false},
		{"1 ulp, two off", "0.1", "1 ulp", Number(math.Nextafter(math.Nextafter(0.1, 1), 1)), false, false},
		{"percent", "200", "1 % of value", Number(201.9), true, false},
		{"percent, past it", "200", "1 % of value", Number(202.1), false, false},
		{"percent of a negative", "-200", "1 % of value", Number(-201.9), true, false},
		{"number in interval", "0.010 to 0.020", "", Number(0.02), true, false},
		{"number outside interval", "0.010 to 0.020", "", Number(0.0204), false, false},
		{"number outside interval, stated tolerance", "0.010..0.020", "0.0005", Number(0.0204), true, false},
		{"interval and interval", "1..2.0", "", Interval(1.4, 2.04), true, false},
		{"interval and interval, one end", "1..2.0", "", Interval(1.4, 2.06), false, false},
		{"interval holds number", "1.5", "", Interval(1, 2), true, false},
		{"interval beside number", "2.04", "", Interval(1, 2), false, false},
		{"negative interval", "-0.0005 to 0.0002", "", Interval(-0.0005, 0.0002), true, false},
		{"text", "1-3-4-2", "", Text("1-3-4-2"), true, false},
		{"other text", "1-3-4-2", "", Text("1-2-4-3"), false, false},
		{"text with tolerance", "a", "0.1", Text("a"), false, true},
		{"number against text", "impossible", "", Number(1), false, true},
		{"NaN", "1", "", Number(math.NaN()), false, true},
		{"infinity", "1", "", Number(math.Inf(1)), false, true},
		{"interval swapped", "1.5", "", Interval(2, 1), false, true},
		{"expected swapped", "2..1", "", Number(1.5), false, true},
		{"no answer", "1", "", Answer{}, false, true},
		{"bad tolerance", "1", "small", Number(1), false, true},
		{"negative tolerance", "1", "-1", Number(1), false, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			res := compare(Result{Row: reference.Row{Expected: tt.expected, Tolerance: tt.tolerance}}, tt.answer)
			if res.Pass != tt.pass || (res.Err != nil) != tt.err {
				t.Errorf("compare(%s, %q within %q) = pass %v, error %v; want %v, error %v",
					tt.answer, tt.expected, tt.tolerance, res.Pass, res.Err, tt.pass, tt.err)
			}
			if res.Err != nil && res.Pass {
				t.Error("passes with an error")
			}
		})
	}
}

func TestUnknownQuantityFails(t *testing.T) {
	res := Evaluate(reference.Row{ID: "x-1", Quantity: "no such quantity", Expected: "1"})
	if res.Pass || res.Err == nil {
		t.Errorf("a row that no case handles: pass %v, error %v", res.Pass, res.Err)
	}
}
