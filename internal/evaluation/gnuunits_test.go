package evaluation

import (
	"math"
	"math/big"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"example.com/trialfit/internal/reference"
)

// gnuDigits is the relative difference allowed: the program computes in
// float64 and may lose the last bits in a product of several factors.
const gnuDigits = 1e-15

// TestGNUUnits asks GNU units, a second implementation with its own table of
// definitions, for every factor and conversion row, and compares its answer
// with the row and with the library, to 15 digits. It runs where
// TRIALFIT_GNU_UNITS names the program; the check script sets it.
func TestGNUUnits(t *testing.T) {
	program := os.Getenv("TRIALFIT_GNU_UNITS")
	if program == "" {
		t.Skip("TRIALFIT_GNU_UNITS is not set")
	}
	rows, err := reference.Rows()
	if err != nil {
		t.Fatal(err)
	}
	asked := 0
	for _, r := range rows {
		from, to, ok := gnuQuestion(t, r)
		if !ok {
			continue
		}
		asked++
		t.Run(r.ID, func(t *testing.T) {
			out, err := exec.CommandContext(t.Context(), program, "-t", "-o", "%.17g", from, to).CombinedOutput()
			text := strings.TrimSpace(string(out))
			theirs, perr := strconv.ParseFloat(text, 64)
			if err != nil || perr != nil {
				t.Fatalf("%s -t %q %q printed %q (%v)", program, from, to, text, err)
			}
			want, err := figure(r.Expected)
			if err != nil {
				t.Fatal(err)
			}
			res := Evaluate(r)
			if !res.Pass {
				t.Fatalf("the row itself fails: %v", res.Err)
			}
			compareGNU(t, "the row", theirs, want, r)
			compareGNU(t, "the library", theirs, rat(res.Answer.lo), r)
		})
	}
	if asked < 100 {
		t.Errorf("asked for %d rows only: the tables or the units changed their form", asked)
	}
}

func compareGNU(t *testing.T, what string, theirs float64, ours *big.Rat, r reference.Row) {
	t.Helper()
	x, _ := ours.Float64()
	limit := gnuDigits * math.Abs(theirs)
	if r.Tolerance != "exact" && !strings.HasSuffix(r.Tolerance, " ulp") {
		tol, _, err := tolerance(r.Tolerance, r.Expected) // rows of fewer digits
		if err != nil {
			t.Fatal(err)
		}
		f, _ := tol.Float64()
		limit = max(limit, f)
	}
	if diff := math.Abs(theirs - x); !(diff <= limit) {
		t.Errorf("%s has %.17g, GNU units %.17g, difference %g over %g", what, x, theirs, diff, limit)
	}
}

// gnuQuestion puts a row in the words of GNU units.
func gnuQuestion(t *testing.T, r reference.Row) (from, to string, ok bool) {
	t.Helper()
	in := inputs{row: r}
	number, symbol, _ := strings.Cut(in.text("from"), " ")
	switch r.Quantity {
	case "unit factor", "unit conversion":
		c, err := conversionOf(r)
		if err != nil {
			t.Fatal(err)
		}
		return number + " (" + c.from.gnu + ")", c.to.gnu, true
	case "temperature conversion":
		scale := map[string]string{"degC": "tempC", "degF": "tempF", "K": "tempK"}
		return scale[symbol] + "(" + number + ")", scale[r.Unit], true
	case "temperature difference":
		return number + " " + symbol, r.Unit, true
	case "angle conversion":
		from := in.text("from")
		if d, m, found := strings.Cut(from, " deg "); found {
			from = d + " deg + " + strings.Replace(m, "min", "arcmin", 1)
		}
		return from, map[string]string{"deg": "degree", "rad": "radian"}[r.Unit], true
	default:
		return "", "", false
	}
}
