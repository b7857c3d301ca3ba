package main

import (
	"bytes"
	"errors"
	"strings"
	"testing"
)

func sheetText(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if code := run(args, &out, &errs); code != exitSheet {
		t.Fatalf("%v: exit code %d, %s", args, code, &errs)
	}
	return out.String()
}

// The sequence and the companions are those of US Army TM 5-6115-400-12 for a
// six that fires 1-5-3-6-2-4; the corrections are worked by hand: 0.17 mm at a
// pitch of 1 mm and a ratio of 1.5 is 2.72 of 24 parts of a turn.
func TestSheet(t *testing.T) {
	text := sheetText(t)
	at := 0
	for _, want := range []string{
		"turn the crank by hand",
		"Stop 1: the crank stays where it is, cylinder 1 at firing TDC and the valves of 6 rocking",
		"[ ] intake  1  0.30 mm cold; blade 0.25 mm passes, 0.35 mm does not",
		"[ ] exhaust 1  0.45 mm cold; blade 0.40 mm passes, 0.50 mm does not",
		"Stop 2: turn the crank on by 120 degrees in normal rotation, cylinder 5 at firing TDC and the valves of 2 rocking",
		"cylinder 3 at firing TDC and the valves of 4 rocking",
		"cylinder 6 at firing TDC and the valves of 1 rocking",
		"cylinder 2 at firing TDC and the valves of 5 rocking",
		"Stop 6: turn the crank on by 120 degrees in normal rotation, cylinder 4 at firing TDC and the valves of 3 rocking",
		"600 degrees of crank in all.",
		"intake  1  0.30 mm read, 0.30 mm wanted: within\n",
		"exhaust 1  0.42 mm read, 0.45 mm wanted: within\n",
		"intake  2  0.23 mm read, 0.30 mm wanted: outside; adjuster back 1/24 turn, leaves 0.29 mm",
		"exhaust 3  0.62 mm read, 0.45 mm wanted: outside; adjuster down 3/24 turn, leaves 0.43 mm",
		"8 valves not read",
	} {
		i := strings.Index(text[at:], want)
		if i < 0 {
			t.Fatalf("no %q after\n%s\nin\n%s", want, text[:at], text)
		}
		at += i
	}
	if n := strings.Count(text, "[ ]"); n != 12 {
		t.Errorf("%d valves", n)
	}
}

func TestPlans(t *testing.T) {
	for plan, stops := range map[string]int{"two": 2, "one": 12, "rocking": 6} {
		if text := sheetText(t, "-plan", plan, "-start", "-30 deg"); strings.Count(text, "Stop ") != stops || strings.Count(text, "[ ]") != 12 {
			t.Errorf("%s:\n%s", plan, text)
		}
	}
	if text := sheetText(t, "-plan", "fewest"); strings.Count(text, "Stop ") > 2 {
		t.Errorf("fewest:\n%s", text)
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestRefusals(t *testing.T) {
	var errs bytes.Buffer
	for _, args := range [][]string{{"-plan", "none"}, {"-start", "90"}, {"-start", "900 deg"}, {"more"}, {"-unknown"}} {
		if code := run(args, &bytes.Buffer{}, &errs); code != exitInput {
			t.Errorf("%v: exit code %d", args, code)
		}
	}
	if code := run(nil, full{}, &errs); code != exitOutput {
		t.Errorf("exit code %d", code)
	}
}
