package main

import (
	"os"
	"strings"
	"testing"

	"example.com/trialfit/internal/evaluation"
	"example.com/trialfit/internal/reference"
)

// TestReadmeIsFresh fails when the table in README.md is not what the
// reference tables say.
func TestReadmeIsFresh(t *testing.T) {
	old, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	text, err := update(string(old), "../..")
	if err != nil {
		t.Fatal(err)
	}
	if text != string(old) {
		t.Error("README.md is stale: go run ./internal/readme")
	}
}

// TestTableHoldsEveryQuantity counts lines: a quantity of a package that the
// page does not name would vanish from it.
func TestTableHoldsEveryQuantity(t *testing.T) {
	rows, err := reference.Rows()
	if err != nil {
		t.Fatal(err)
	}
	page := table(rows)
	quantities := map[string]bool{}
	for _, r := range rows {
		quantities[r.Quantity] = true
		if !strings.Contains(page, "\n| "+cell(r.Quantity)+" | ") {
			t.Errorf("the tables lack %q", r.Quantity)
		}
	}
	if n := strings.Count(page, "\n| ") - strings.Count(page, "\n| quantity |"); n != len(quantities) {
		t.Errorf("%d lines for %d quantities", n, len(quantities))
	}
	packages := map[string]bool{}
	for _, c := range evaluation.All() {
		packages[c.Package()] = true
	}
	if n := len(packages); strings.Count(page, "<details>") != n || strings.Count(page, "</details>") != n {
		t.Errorf("want one folded table for each of the %d packages", n)
	}
}

func TestUpdate(t *testing.T) {
	parts := "a\n" + programBegin + "as before\n" + programEnd + "b\n" + beginMark + "as before\n" + endMark + "c\n"
	text, err := update(parts, "../..")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(text, "a\n"+programBegin) || !strings.Contains(text, programEnd+"b\n"+beginMark) ||
		!strings.HasSuffix(text, endMark+"c\n") || strings.Contains(text, "as before") || !strings.Contains(text, "package main\n") {
		t.Error("the text around the markers is not kept, or what is between them not replaced")
	}
	if again, err := update(text, "../.."); err != nil || again != text {
		t.Errorf("a second run changes the text (%v)", err)
	}
	for _, bad := range []string{"", beginMark + endMark, programBegin + programEnd, strings.Replace(parts, endMark, "", 1), strings.Replace(parts, programBegin, "", 1)} {
		if _, err := update(bad, "../.."); err == nil {
			t.Errorf("update(%q) found its markers", bad)
		}
	}
	if _, err := update(parts, "no such folder"); err == nil {
		t.Error("update without the program: no error")
	}
}
