package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"example.com/trialfit/examples/mockup/sheets"
)

var update = flag.Bool("update", false, "rewrite the golden reports")

type output struct {
	code        int
	out, errout string
}

func mockup(t *testing.T, stdin string, args ...string) output {
	t.Helper()
	var out, errout bytes.Buffer
	code := run(args, strings.NewReader(stdin), &out, &errout)
	return output{code, out.String(), errout.String()}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got == string(want) {
		return
	}
	g, w := strings.Split(got, "\n"), strings.Split(string(want), "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			t.Errorf("%s, line %d:\n got %q\nwant %q", name, i+1, g[i], w[i])
			return
		}
	}
	t.Errorf("%s: %d lines, want %d", name, len(g), len(w))
}

// The reports as they are printed. These files hold our own output and prove
// nothing of the figures: the tests of internal/assess do that.
func TestReports(t *testing.T) {
	for name, code := range map[string]int{
		"workboat-six": exitProved, "workboat-six-metric": exitProved,
		"workboat-six-tooth-off": exitUnproved, "two-plane-v8-twist": exitUnproved,
	} {
		t.Run(name, func(t *testing.T) {
			file := "sheets/" + name + ".json"
			for kind, args := range map[string][]string{".txt": {file}, "-working.txt": {"-working", file}, ".json": {"-json", file}} {
				got := mockup(t, "", args...)
				if got.code != code || got.errout != "" {
					t.Errorf("%s: code %d, %s", kind, got.code, got.errout)
				}
				golden(t, "reports/"+name+kind, got.out)
			}
		})
	}
}

// Every bad sheet stops with code 2 and one line that names the field.
func TestBadSheets(t *testing.T) {
	files, err := filepath.Glob("sheets/bad/*.json")
	if err != nil || len(files) < 29 {
		t.Fatalf("%d bad sheets, %v", len(files), err)
	}
	paths := map[string]string{
		"missing-unit":          "cam.intake.durations[1].lift",
		"unknown-field":         "cam.intake.durations[0].lfit",
		"bare-number":           "top_dead_center.uncertainty",
		"contradictory-card":    "cam.separation, cam.ground_advance, cam.exhaust_centerline",
		"impossible-order":      "engine.firing_order",
		"limits-swapped":        "rings[0].limits",
		"duration-over-cycle":   "cam.exhaust.durations[0].duration",
		"cam-degrees-for-crank": "cam.intake_centerline",
		"instrument-not-listed": "overlap.instrument",
		"reading-left-out":      "overlap.readings[1].difference",
		"given-twice":           "record.date",

		"ring-of-no-cylinder":        "ring_grooves[1].cylinder",
		"lift-read-twice":            "valve_lifts.readings[1].cylinder",
		"spring-force-in-mass":       "valve_springs.valves[0].springs[0].loads[0].force",
		"spring-loads-exchanged":     "valve_springs.valves[0].springs[1].loads",
		"travel-without-a-gap":       "travel_limits.valves[1]",
		"lash-outside-its-limits":    "lash.exhaust.lash",
		"preload-without-a-thread":   "preload.adjuster.pitch",
		"lifter-without-its-body":    "lifter_fits.lifters[0].body",
		"deck-misread-inch":          "deck.readings[1].opposite",
		"compression-without-gasket": "head_gasket",
		"ratio-limits-swapped":       "compression.ratio",
		"rod-shorter-than-throw":     "engine.rod",
		"valve-leans-too-far":        "valve_to_piston.intake.lean",
		"film-of-no-bearing":         "oil_film.bearings[0].name",
		"oil-thickens-hot":           "oil_film.oil.hot.viscosity",
		"not-applicable-but-read":    "not_applicable[0].group",
		"banks-of-an-in-line":        "engine.bank_names",
		"twist-without-position":     "overlap.readings[1].position",
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".json")
		t.Run(name, func(t *testing.T) {
			got := mockup(t, "", file)
			if got.code != exitInput || got.out != "" || strings.Count(got.errout, "\n") != 1 {
				t.Errorf("code %d, output %q, error %q", got.code, got.out, got.errout)
			}
			if p := paths[name]; p == "" || !strings.HasPrefix(got.errout, "mockup: sheet: "+p+": ") {
				t.Errorf("want the path %q in %q", p, got.errout)
			}
			golden(t, "bad/"+name+".txt", got.errout)
		})
	}
}

func TestDefaultIsTheEmbeddedSheet(t *testing.T) {
	file, err := os.ReadFile("sheets/" + sheets.DefaultName)
	if err != nil {
		t.Fatal(err)
	}
	a := mockup(t, "")
	b := mockup(t, string(file), "-")
	if a.code != exitProved || a != b {
		t.Errorf("without argument: code %d %s; from standard input: code %d %s", a.code, a.errout, b.code, b.errout)
	}
}

func TestCommandLine(t *testing.T) {
	for _, c := range []struct {
		name  string
		args  []string
		stdin string
		code  int
		words string // on standard error
	}{
		{"two sheets", []string{"a", "b"}, "", exitInput, "at most one sheet"},
		{"no such file", []string{"sheets/none.json"}, "", exitInput, "none.json"},
		{"unknown flag", []string{"-x"}, "", exitInput, "usage: mockup"},
		{"help", []string{"-h"}, "", exitProved, "usage: mockup"},
		{"empty input", []string{"-"}, "", exitInput, "the text ends too early"},
		{"page cannot be written", []string{"-html", "testdata/none/page.html"}, "", exitUnproved, "page.html"},
	} {
		got := mockup(t, c.stdin, c.args...)
		if got.code != c.code || !strings.Contains(got.errout, c.words) {
			t.Errorf("%s: code %d, %q", c.name, got.code, got.errout)
		}
	}
	if got := mockup(t, "", "-schema"); got.code != exitProved || !json.Valid([]byte(got.out)) {
		t.Errorf("-schema: code %d", got.code)
	}
}

// without is the default sheet less some of its fields.
func without(t *testing.T, fields ...string) string {
	t.Helper()
	var doc map[string]any
	if err := json.Unmarshal(sheets.Default(), &doc); err != nil {
		t.Fatal(err)
	}
	for _, f := range fields {
		if _, ok := doc[f]; !ok {
			t.Fatalf("the default sheet has no %q", f)
		}
		delete(doc, f)
	}
	raw, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

// A sheet without whole groups of checks is not all proved, and text, JSON and
// page name what is missing.
func TestMissingGroups(t *testing.T) {
	groups := map[string]string{
		"bearings": "bearings", "rings": "rings", "ring_grooves": "ring grooves", "end_play": "end play", "side_clearance": "side clearance", "fits": "fits",
		"valve_lifts": "valve lift", "valve_springs": "valve springs", "travel_limits": "travel limits", "lash": "lash or preload", "lifter_fits": "lifter fits",
		"deck": "deck height", "compression": "compression", "valve_to_piston": "valve to piston", "turning": "turning torque",
	}
	all := []string{"oil_film"} // which is never missing, and names bearings
	for field, name := range groups {
		all = append(all, field)
		got := mockup(t, without(t, "oil_film", field), "-")
		if got.code != exitUnproved || !strings.Contains(got.out, "\nNOT PROVED: ") || !strings.Contains(got.out, "\nMISSING\n  - "+name+"\n") {
			t.Errorf("without %s: code %d\n%.600s", field, got.code, got.out)
		}
	}
	file := filepath.Join(t.TempDir(), "page.html")
	got := mockup(t, without(t, all...), "-json", "-html", file, "-")
	var doc struct {
		Outcome string
		Missing []string
	}
	if err := json.Unmarshal([]byte(got.out), &doc); err != nil {
		t.Fatal(err)
	}
	if got.code != exitUnproved || doc.Outcome != "not proved" || len(doc.Missing) != len(groups) {
		t.Errorf("code %d, outcome %q, missing %q", got.code, doc.Outcome, doc.Missing)
	}
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range groups {
		if !strings.Contains(string(page), "<li>"+name+"</li>") {
			t.Errorf("the page does not name %q", name)
		}
	}
}

// With a reason why a group does not apply the sheet is proved without it, and
// text, JSON and page say so.
func TestNotApplicable(t *testing.T) {
	var doc map[string]any
	if err := json.Unmarshal([]byte(without(t, "fits", "lifter_fits")), &doc); err != nil {
		t.Fatal(err)
	}
	doc["not_applicable"] = []any{
		map[string]string{"group": "fits", "reason": "the pins stay in their rods"},
		map[string]string{"group": "lifter fits", "reason": "<the bores were not touched>"},
	}
	raw, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	got := mockup(t, string(raw), "-")
	if got.code != exitProved || !strings.Contains(got.out, "does not apply: fits, lifter\nfits\n") && !strings.Contains(got.out, "does not apply: fits, lifter fits") ||
		!strings.Contains(got.out, "\nDOES NOT APPLY\n  - fits: the pins stay in their rods\n  - lifter fits: <the bores were not touched>\n") {
		t.Errorf("code %d, %s\n%.900s", got.code, got.errout, got.out)
	}
	file := filepath.Join(t.TempDir(), "page.html")
	got = mockup(t, string(raw), "-json", "-html", file, "-")
	var report struct {
		Outcome string
		Exempt  []struct{ Group, Reason string } `json:"not_applicable"`
		Missing []string
	}
	if err := json.Unmarshal([]byte(got.out), &report); err != nil {
		t.Fatal(err)
	}
	if got.code != exitProved || report.Outcome != "all proved" || len(report.Exempt) != 2 || report.Exempt[0].Group != "fits" || len(report.Missing) != 0 {
		t.Errorf("code %d, %+v", got.code, report)
	}
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(page), "<li>fits: the pins stay in their rods</li>") || !strings.Contains(string(page), "&lt;the bores were not touched&gt;") {
		t.Error("the page does not say what does not apply")
	}
	// Without a reason, or under a name that is no group, it is refused.
	for bad, path := range map[string]string{
		`[{"group": "fits"}]`: "not_applicable[0].reason", `[{"group": "fits", "reason": " "}]`: "not_applicable[0].reason",
		`[{"group": "pistons", "reason": "none"}]`: "not_applicable[0].group", `[{"group": "cam timing", "reason": "none"}]`: "not_applicable[0].group",
	} {
		got := mockup(t, strings.Replace(without(t, "fits"), `"title"`, `"not_applicable":`+bad+`,"title"`, 1), "-")
		if got.code != exitInput || !strings.HasPrefix(got.errout, "mockup: sheet: "+path+": ") {
			t.Errorf("%s: code %d, %q", bad, got.code, got.errout)
		}
	}
}

// The ranking of clearances by their film stands in text, JSON and page with
// what it is worth.
func TestFilmIsSaidToProveNothing(t *testing.T) {
	file := filepath.Join(t.TempDir(), "page.html")
	got := mockup(t, "", "-html", file)
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for kind, text := range map[string]string{"text": got.out, "page": string(page), "JSON": mockup(t, "", "-json").out} {
		text = strings.ToLower(strings.Join(strings.Fields(text), " "))
		if !strings.Contains(text, "no pass or fail proof") || kind != "JSON" && !strings.Contains(text, "a ranking of clearances, no proof") {
			t.Errorf("the %s does not say that a film proves nothing", kind)
		}
	}
	if got.code != exitProved {
		t.Errorf("code %d", got.code)
	}
}

// No character of a sheet reaches the terminal that could move its cursor or
// turn its line: such text is refused, and the message escapes it.
func TestControlCharacters(t *testing.T) {
	for _, c := range []string{`\u001b[2J`, `\u0007`, `\r`, `\u009b2J`, `\u202e`, `\u2066`, `\u2028`} {
		for _, text := range []string{"boat shed", "68 degF", "workboat 280-110", "prove at 95 %", "1-5-3-6-2-4", "depth micrometer", "clockwise", `"rings"`} {
			raw := strings.Replace(string(sheets.Default()), text, strings.Trim(text, `"`)[:3]+c+text, 1)
			if text == `"rings"` { // a field's own name
				raw = strings.Replace(string(sheets.Default()), text, `"r`+c+`ings"`, 1)
			}
			got := mockup(t, raw, "-")
			if got.code != exitInput || got.out != "" || strings.ContainsFunc(strings.TrimSuffix(got.errout, "\n"), func(r rune) bool { return !unicode.IsPrint(r) }) {
				t.Errorf("%s in %s: code %d, error %q", c, text, got.code, got.errout)
			}
		}
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestOutputCannotBeWritten(t *testing.T) {
	for _, args := range [][]string{nil, {"-json"}, {"-schema"}} {
		var errout bytes.Buffer
		if code := run(args, strings.NewReader(""), full{}, &errout); code != exitUnproved || !strings.Contains(errout.String(), "no space left") {
			t.Errorf("%v: code %d, %q", args, code, errout.String())
		}
	}
}

// A page that cannot be written fails, and the report is printed all the same.
func TestPageCannotBeWritten(t *testing.T) {
	got := mockup(t, "", "-html", filepath.Join(t.TempDir(), "none", "page.html"))
	if got.code != exitUnproved || !strings.Contains(got.out, "ALL PROVED") || !strings.Contains(got.errout, "page.html") {
		t.Errorf("code %d, %q", got.code, got.errout)
	}
}

func TestPage(t *testing.T) {
	file := filepath.Join(t.TempDir(), "page.html")
	if got := mockup(t, "", "-working", "-html", file, "sheets/workboat-six-tooth-off.json"); got.code != exitUnproved {
		t.Fatalf("code %d, %s", got.code, got.errout)
	}
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	page := string(raw)
	for _, want := range []string{
		"<svg", "polyline", "1 tooth retarded", "Hand checks", "Cautions", "common practice", "Working", "</html>",
		"Oil film: a ranking", "fit more shims, 1 of 0.060 in", "correct the cam first", "the limits of the least gap hold from",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if n := strings.Count(page, "<circle"); n != 6 {
		t.Errorf("%d readings drawn, want 6", n)
	}
	// Self-contained: nothing is fetched.
	for _, no := range []string{"http:", "https:", " src=", "@import", "url(", "<script", "ZgotmplZ"} {
		if strings.Contains(page, no) {
			t.Errorf("the page holds %q", no)
		}
	}
}

// Text from a sheet cannot become markup.
func TestPageEscapes(t *testing.T) {
	file := filepath.Join(t.TempDir(), "page.html")
	raw := strings.Replace(string(sheets.Default()), "boat shed", `<script>alert(1)</script>`, 1)
	if got := mockup(t, raw, "-html", file, "-"); got.code != exitProved {
		t.Fatalf("code %d, %s", got.code, got.errout)
	}
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(page, []byte("<script")) {
		t.Error("markup from the sheet reached the page")
	}
}
