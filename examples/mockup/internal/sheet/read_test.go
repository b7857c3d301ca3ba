package sheet

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"example.com/trialfit/units"
)

func good(tb testing.TB) string {
	tb.Helper()
	raw, err := os.ReadFile("../../sheets/workboat-six.json")
	if err != nil {
		tb.Fatal(err)
	}
	return string(raw)
}

func TestReadKeepsWhatWasWritten(t *testing.T) {
	s, err := Read(strings.NewReader(good(t)))
	if err != nil {
		t.Fatal(err)
	}
	if got := s.Overlap.Readings[0].Difference.String(); got != "0.0150 in" {
		t.Errorf("first reading is %q", got)
	}
	if got := s.Cam.Separation.String(); got != "110 cam deg" {
		t.Errorf("separation is %q", got)
	}
	if s.Record.Temperature.Text != "68 degF" || s.Turning.Steps[0].Torque.Text != "90 lbf in" {
		t.Errorf("temperature %q, torque %q", s.Record.Temperature.Text, s.Turning.Steps[0].Torque.Text)
	}
	if s.Decision.Rule() != units.ProveAt95 {
		t.Errorf("rule is %v", s.Decision.Rule())
	}
}

func TestReadRefuses(t *testing.T) {
	for _, c := range []struct {
		name, old, replacement string // one replacement in the good sheet
		path                   string
		kind                   error
		reason                 string
	}{
		{"missing unit", `"0.050 in", "duration": "195 deg"}`, `"0.050", "duration": "195 deg"}`, "cam.intake.durations[1].lift", units.ErrUnit, "want a number and a unit"},
		{"unknown unit", `"68 degF"`, `"68 degR"`, "record.temperature", units.ErrUnit, ""},
		{"unknown field", `"kind": "chain"`, `"kind": "chain", "chain_color": "blue"`, "drive.chain_color", units.ErrSyntax, "unknown field"},
		{"case of a field", `"kind": "chain"`, `"Kind": "chain"`, "drive.Kind", units.ErrSyntax, "unknown field"},
		{"odd field name", `"kind": "chain"`, `"k\nd": "chain"`, `drive."k\nd"`, units.ErrSyntax, "unknown field"},
		{"bare number", `"1.5 deg"`, `1.5`, "drive.slack", units.ErrUnit, "found a bare number"},
		{"text for a count", `"teeth": 36`, `"teeth": "36"`, "drive.teeth", units.ErrSyntax, "want a whole number"},
		{"fraction for a count", `"teeth": 36`, `"teeth": 36.5`, "drive.teeth", units.ErrRange, "want a whole number"},
		{"count too large", `"teeth": 36`, `"teeth": 36000000000`, "drive.teeth", units.ErrRange, "want a whole number"},
		{"ratio overflow", `"rocker_ratio": 1.5`, `"rocker_ratio": 1e999`, "cam.intake.rocker_ratio", units.ErrRange, "finite"},
		{"null", `"slack": "1.5 deg"`, `"slack": null`, "drive.slack", units.ErrSyntax, "found null"},
		{"list for an object", `"suspects": {`, `"suspects": [], "x": {`, "suspects", units.ErrSyntax, "want an object"},
		{"object for a list", `"keyways": ["4 deg", "-4 deg"]`, `"keyways": {}`, "drive.keyways", units.ErrSyntax, "want a list"},
		{"number for text", `"by": "the restorer"`, `"by": 7`, "record.by", units.ErrSyntax, "want text"},
		{"empty text", `"by": "the restorer"`, `"by": " "`, "record.by", units.ErrMissing, "not empty"},
		{"long text", `"by": "the restorer"`, `"by": "` + strings.Repeat("x", 1001) + `"`, "record.by", units.ErrRange, "at most 1000 characters"},
		{"control character", `"by": "the restorer"`, `"by": "the\u001b[31m restorer"`, "record.by", units.ErrSyntax, "control"},
		{"control character in a quantity", `"68 degF"`, `"68 degF\u0085"`, "record.temperature", units.ErrSyntax, "control"},
		{"control character in a word", `"clockwise"`, `"clock\twise"`, "engine.rotation", units.ErrSyntax, "control"},
		{"direction of writing turned", `"by": "the restorer"`, `"by": "the\u202e restorer"`, "record.by", units.ErrSyntax, "direction"},
		{"direction of writing isolated", `"by": "the restorer"`, `"by": "the\u2067 restorer"`, "record.by", units.ErrSyntax, "direction"},
		{"line separator", `"by": "the restorer"`, `"by": "the\u2028 restorer"`, "record.by", units.ErrSyntax, "line separators"},
		{"a changed reading is no proof", `"moves as the crank is rocked"`, `"differs from firing TDC"`, "overlap.readings[0].proof", units.ErrSyntax, `"rise measured"`},
		{"ring without its cylinder", `"cylinder": 1,
      "instrument": "feeler gauge"`, `"instrument": "feeler gauge"`, "rings[0].cylinder", units.ErrMissing, "whole number"},
		{"not a day", `"2026-05-14"`, `"2026-02-30"`, "record.date", units.ErrSyntax, "year-month-day"},
		{"unknown word", `"prove at 95 %"`, `"good enough"`, "decision", units.ErrSyntax, `"simple acceptance"`},
		{"cam degrees for crank", `"106 deg"`, `"106 cam deg"`, "cam.intake_centerline", units.ErrUnit, ""},
		{"crank degrees for cam", `"110 cam deg"`, `"110 crank deg"`, "cam.separation", units.ErrUnit, ""},
		{"force without a unit", `"force_uncertainty": "1 lbf"`, `"force_uncertainty": "1"`, "valve_springs.force_uncertainty", units.ErrUnit, ""},
		{"bare force", `"force_uncertainty": "1 lbf"`, `"force_uncertainty": 1`, "valve_springs.force_uncertainty", units.ErrUnit, "such as \"85 lbf\""},
		{"volume as a length", `"volume_uncertainty": "0.3 cm3"`, `"volume_uncertainty": "0.3 cm"`, "compression.volume_uncertainty", units.ErrUnit, ""},
		{"lean in crank degrees", `"lean": "12 deg"`, `"lean": "12 crank deg"`, "valve_to_piston.intake.lean", units.ErrUnit, "want an angle in degrees"},
		{"lean as a number", `"lean": "12 deg"`, `"lean": 12`, "valve_to_piston.intake.lean", units.ErrUnit, "want an angle"},
		{"speed without a unit", `"1800 rpm"`, `"1800"`, "oil_film.speed", units.ErrUnit, ""},
		{"dynamic for kinematic viscosity", `"130 cSt"`, `"130 cP"`, "oil_film.oil.cold.viscosity", units.ErrUnit, ""},
		{"density as a number", `"density": "850 kg/m3"`, `"density": 850`, "oil_film.oil.density", units.ErrUnit, "kg/m3"},
		{"unknown face", `"pocket floor square to the valve"`, `"dish"`, "valve_to_piston.intake.face", units.ErrSyntax, "crown square to the bore"},
		{"unknown place of an adjuster", `"at the pushrod"`, `"in the rocker"`, "lash.adjuster.place", units.ErrSyntax, "at the pivot"},
		{"unknown state of the engine", `"state": "cold"`, `"state": "warm"`, "lash.state", units.ErrSyntax, "hot"},
		{"list for a group", `"deck": {`, `"deck": [], "x": {`, "deck", units.ErrSyntax, "want an object"},
		{"NaN", `"0.25 deg"`, `"NaN deg"`, "top_dead_center.uncertainty", units.ErrSyntax, ""},
		{"finer than the quantum", `"0.25 deg"`, `"0.2500000000001 deg"`, "top_dead_center.uncertainty", units.ErrInexact, ""},
		{"overflow", `"0.25 deg"`, `"99999999999999 deg"`, "top_dead_center.uncertainty", units.ErrRange, ""},
		{"twice", `"by": "the restorer"`, `"by": "the restorer", "by": "another"`, "record.by", units.ErrConflict, "twice"},
		{"missing", `"by": "the restorer", `, ``, "record.by", units.ErrMissing, "want text"},
		{"missing word", `"decision": "prove at 95 %",`, ``, "decision", units.ErrMissing, "simple acceptance"},
		{"after the end", "\n}\n", "\n}\n{}", "the sheet", units.ErrSyntax, "nothing after"},
		{"cut off", "\n}\n", "\n", "the sheet", units.ErrSyntax, "ends too early"},
		{"trailing comma", "\n}\n", ",\n}\n", "the sheet", units.ErrSyntax, "valid JSON"},
		{"not UTF-8", `"by": "the restorer"`, "\"by\": \"\xff\"", "the sheet", units.ErrSyntax, "UTF-8"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := good(t)
			if !strings.Contains(text, c.old) {
				t.Fatalf("the good sheet has no %q", c.old)
			}
			s, err := Parse([]byte(strings.Replace(text, c.old, c.replacement, 1)))
			e := (*units.InputError)(nil)
			if !errors.As(err, &e) {
				t.Fatalf("error is %v", err)
			}
			if e.Package != "sheet" || e.Field != c.path || !errors.Is(err, c.kind) || !strings.Contains(e.Reason, c.reason) {
				t.Errorf("got %v\nwant path %s, kind %v, reason with %q", err, c.path, c.kind, c.reason)
			}
			if s.Title != "" || s.Hand.Lifters != nil {
				t.Error("a refused sheet came with values")
			}
		})
	}
}

func TestReadLimits(t *testing.T) {
	deep := strings.Repeat(`{"cam":`, 40) + "1" + strings.Repeat("}", 40)
	if _, err := Parse([]byte(deep)); !errors.Is(err, units.ErrRange) || !strings.Contains(err.Error(), "nesting") {
		t.Errorf("nesting: %v", err)
	}
	if _, err := Read(strings.NewReader(strings.Repeat(" ", MaxBytes+1))); !errors.Is(err, units.ErrRange) {
		t.Errorf("size: %v", err)
	}
	for _, text := range []string{"", " ", "null", "7", `"sheet"`, "[]", "{}"} {
		if _, err := Parse([]byte(text)); err == nil {
			t.Errorf("%q was accepted", text)
		}
	}
	broken := errors.New("the disk is gone")
	if _, err := Read(failing{broken}); !errors.Is(err, broken) {
		t.Errorf("reader's own error: %v", err)
	}
}

// A byte order mark, as some editors write before UTF-8 text, changes nothing.
func TestByteOrderMark(t *testing.T) {
	want, err := Parse([]byte(good(t)))
	if err != nil {
		t.Fatal(err)
	}
	got, err := Parse([]byte("\xef\xbb\xbf" + good(t)))
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("with the mark: %v", err)
	}
	if _, err := Parse([]byte("\xef\xbb\xbf\xef\xbb\xbf" + good(t))); err == nil {
		t.Error("two marks were accepted")
	}
	if _, err := Parse([]byte("\xff\xfe" + good(t))); !errors.Is(err, units.ErrSyntax) || !strings.Contains(err.Error(), "UTF-8") {
		t.Errorf("another encoding: %v", err)
	}
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

// A sheet is accepted whole or refused with a path; and whatever is accepted
// is accepted again.
func FuzzReadSheet(f *testing.F) {
	for _, glob := range []string{"../../sheets/two-plane-v8-twist.json", "../../sheets/bad/*.json"} {
		files, err := filepath.Glob(glob)
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range files {
			raw, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(raw)
		}
	}
	f.Add([]byte(`{"cam":{"intake":{"durations":[{"lift":"0.05 in"}]}}}`))
	f.Add([]byte(`{"a":1,"a":2}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Parse(data)
		if err == nil {
			if s.Title == "" || s.Record.By == "" || s.Decision == "" {
				t.Fatalf("accepted without required fields: %+v", s)
			}
			return
		}
		e := (*units.InputError)(nil)
		if !errors.As(err, &e) || e.Field == "" || e.Reason == "" || e.Kind == nil {
			t.Fatalf("error without path, kind or reason: %#v", err)
		}
		if len(err.Error()) > 6000 {
			t.Fatalf("error of %d bytes", len(err.Error()))
		}
	})
}
