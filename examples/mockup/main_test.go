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
	if err != nil || len(files) < 6 {
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
		"bearings": "bearings", "rings": "rings", "end_play": "end play", "side_clearance": "side clearance", "fits": "fits", "turning": "turning torque",
	}
	var all []string
	for field, name := range groups {
		all = append(all, field)
		got := mockup(t, without(t, field), "-")
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
	for _, want := range []string{"<svg", "polyline", "1 tooth retarded", "Hand checks", "Cautions", "common practice", "Working", "</html>"} {
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
