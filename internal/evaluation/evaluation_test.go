package evaluation

import (
	"strings"
	"testing"

	"example.com/trialfit/internal/reference"
)

// TestRows computes every row of every reference table; -run TestRows/TABLE/ID
// picks some.
func TestRows(t *testing.T) {
	rows, err := reference.Rows()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		t.Run(r.Table+"/"+r.ID, func(t *testing.T) {
			res := Evaluate(r)
			switch {
			case res.Err != nil:
				t.Errorf("%s: %v", r.Quantity, res.Err)
			case !res.Pass:
				t.Errorf("%s (%s): computed %s %s, want %s within %g (error %g)\nsource: %s (%s)\nnote: %s",
					r.Quantity, r.Inputs, res.Answer, r.Unit, r.Expected, res.Tolerance, res.Error, r.Source, r.Provenance, r.Note)
			}
		})
	}
}

// TestWideToleranceHasReason fails for a row whose tolerance is wider than
// half a unit of the last printed digit and whose note is silent.
func TestWideToleranceHasReason(t *testing.T) {
	rows, err := reference.Rows()
	if err != nil {
		t.Fatal(err)
	}
	silent := map[string][]string{} // table -> ids
	for _, r := range rows {
		if r.Tolerance == "" || r.Note != "" {
			continue
		}
		printed, _, _ := strings.Cut(strings.Replace(r.Expected, " to ", "..", 1), "..")
		if _, err := figure(printed); err != nil {
			continue // a text has no tolerance
		}
		given, exact, err1 := tolerance(r.Tolerance, printed)
		half, _, err2 := tolerance("", printed)
		if err1 != nil || err2 != nil {
			t.Errorf("row %s: %v %v", r.ID, err1, err2)
		} else if !exact && given.Cmp(half) > 0 {
			silent[r.Table] = append(silent[r.Table], r.ID)
		}
	}
	for table, ids := range silent {
		t.Errorf("table %s: %d rows have a tolerance wider than half a unit of the last printed digit and no reason in the note: %s",
			table, len(ids), strings.Join(ids[:min(len(ids), 12)], " "))
	}
}
