package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

func TestTable(t *testing.T) {
	var out, errs bytes.Buffer
	if code := run([]string{"-table", "units_factors"}, &out, &errs); code != 0 {
		t.Fatalf("exit code %d\n%s%s", code, &out, &errs)
	}
	text := out.String()
	// The inch is 25.4 mm by definition (NIST SP 811, B.8).
	for _, want := range []string{"len-in-mm", "25.4", "NIST SP 811", " 0 do not;"} {
		if !strings.Contains(text, want) {
			t.Errorf("the table lacks %q", want)
		}
	}
}

func TestJSON(t *testing.T) {
	var out, errs bytes.Buffer
	if code := run([]string{"-json", "-table", "units_guard_band"}, &out, &errs); code != 0 {
		t.Fatalf("exit code %d\n%s", code, &errs)
	}
	var lines []line
	if err := json.Unmarshal(out.Bytes(), &lines); err != nil {
		t.Fatal(err)
	}
	if len(lines) == 0 {
		t.Fatal("no line")
	}
	for _, l := range lines {
		if !l.Pass || l.Source == "" || l.Provenance == "" || l.Tolerance == "" {
			t.Errorf("incomplete or failing line %+v", l)
		}
	}
}

func TestBadArguments(t *testing.T) {
	for _, args := range [][]string{{"-table", "no such"}, {"-unknown"}, {"extra"}} {
		var out, errs bytes.Buffer
		if code := run(args, &out, &errs); code != 2 || errs.Len() == 0 || out.Len() != 0 {
			t.Errorf("run(%q) = %d, %q on stderr, %d bytes on stdout; want 2 and a message only", args, code, &errs, out.Len())
		}
	}
}

func TestFailureExitCode(t *testing.T) {
	// A row that fails is marked, explained and counted.
	var out bytes.Buffer
	err := printTable(&out, []line{{ID: "x-1", Problem: "no case handles it"}})
	if err != nil || !strings.Contains(out.String(), "FAIL") || !strings.Contains(out.String(), "no case handles it") {
		t.Errorf("printTable: %v\n%s", err, &out)
	}
}
