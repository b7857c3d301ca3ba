package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"example.com/trialfit/examples/mockup/internal/assess"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

func result(t *testing.T, name string, edit func(*sheet.Sheet)) *assess.Result {
	t.Helper()
	raw, err := os.ReadFile("../../sheets/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	s, err := sheet.Parse(raw)
	if err != nil {
		t.Fatal(err)
	}
	if edit != nil {
		edit(&s)
	}
	r, err := assess.Evaluate(&s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestJSONRoundTrips(t *testing.T) {
	d := New(result(t, "two-plane-v8-twist", nil), true)
	var b bytes.Buffer
	if err := d.JSON(&b); err != nil {
		t.Fatal(err)
	}
	var back Document
	dec := json.NewDecoder(&b)
	dec.DisallowUnknownFields()
	if err := dec.Decode(&back); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(d, back) {
		t.Error("the document read back differs")
	}
	if d.Outcome != "failed" || len(d.Working) < 10 || d.Findings[0].Severity != "fault" {
		t.Errorf("outcome %s, %d derivations, first finding %+v", d.Outcome, len(d.Working), d.Findings[0])
	}
}

func TestFindingsComeBeforeChecksAndCautionsLast(t *testing.T) {
	d := New(result(t, "workboat-six-tooth-off", nil), true)
	var b bytes.Buffer
	if err := d.Text(&b); err != nil {
		t.Fatal(err)
	}
	last := -1
	for _, h := range []string{"FAILED", "FINDINGS", "CHECKS", "OIL FILM: A RANKING OF CLEARANCES, NO PROOF", "ENGINE AND CAM", "CAUSES WEIGHED", "CORRECTION", "HAND CHECKS", "WORKING", "CAUTIONS"} {
		at := strings.Index(b.String(), "\n"+h)
		if at <= last {
			t.Errorf("%s stands at %d, after %d", h, at, last)
		}
		last = at
	}
	if !utf8.Valid(b.Bytes()) || strings.Contains(b.String(), " \n") {
		t.Error("the text is not clean")
	}
}

func TestMissingHandChecksAreNamed(t *testing.T) {
	r := result(t, "workboat-six", func(s *sheet.Sheet) {
		s.Hand.Keepers = nil
		s.Hand.Lifters = s.Hand.Lifters[1:]
	})
	d := New(r, false)
	if len(d.Missing) != 2 || !strings.Contains(d.Missing[0], "cylinder 1 intake") || !strings.Contains(d.Missing[1], "keepers") {
		t.Errorf("missing %q", d.Missing)
	}
	if d.Outcome != "not proved" || d.Working != nil {
		t.Errorf("outcome %s, working %v", d.Outcome, d.Working != nil)
	}
}

// A ring judged by the rule of thumb alone stands apart from what is within.
func TestRuleOfThumbStandsApart(t *testing.T) {
	d := New(result(t, "workboat-six", func(s *sheet.Sheet) { s.Rings[0].Limits = nil }), false)
	n := 0
	for _, c := range d.Checks {
		if c.ByRule {
			n++
			if c.Verdict != "not proved" || c.Provenance != "common practice" || !strings.Contains(c.Reason, "not proved against the maker's figure") {
				t.Errorf("%+v", c)
			}
		}
	}
	if n != 1 || d.Outcome != "not proved" || !strings.Contains(d.lead(), "1 not proved (1 judged by a rule of thumb alone)") {
		t.Errorf("%d by rule, %s", n, d.lead())
	}
}

// What is missing and what nothing explains stands in the first line.
func TestLeadNamesWhatIsOpen(t *testing.T) {
	d := New(result(t, "workboat-six", func(s *sheet.Sheet) {
		s.Suspects, s.Bearings, s.OilFilm, s.Hand.Lifters, s.Hand.Keepers = sheet.Suspects{}, nil, nil, nil, nil
		for i := range s.Overlap.Readings {
			if i%2 == 1 {
				s.Overlap.Readings[i].Difference.Length -= 3 * units.Thou
			}
		}
	}), false)
	lead := d.lead()
	for _, want := range []string{"NOT PROVED: ", "the readings are not explained", "missing: bearings; lifter of cylinder 1 intake", " and 6 more"} {
		if !strings.Contains(lead, want) {
			t.Errorf("no %q in %q", want, lead)
		}
	}
	if len(d.Missing) != 14 || !slices.Contains(d.Next, "read again") {
		t.Errorf("missing %q, next %q", d.Missing, d.Next)
	}
	var b bytes.Buffer
	if err := d.Text(&b); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "\nMISSING\n  - bearings\n  - lifter of cylinder 1 intake") || !strings.Contains(b.String(), "  - keepers seated\n") {
		t.Errorf("%.1500s", b.String())
	}
}

// Where nothing more is to be measured the report says so.
func TestNothingNext(t *testing.T) {
	r := result(t, "workboat-six", func(s *sheet.Sheet) { s.Suspects.TDCError = nil })
	d := New(r, false)
	var text, page bytes.Buffer
	if err := errors.Join(d.Text(&text), d.HTML(&page, NewCurve(r))); err != nil {
		t.Fatal(err)
	}
	if len(d.Next) != 0 || !strings.Contains(text.String(), "measure next: "+nothingNext) || !strings.Contains(page.String(), "Measure next: "+nothingNext+".") {
		t.Errorf("next %q", d.Next)
	}
}

// An advance without a stated uncertainty shows no parts of one, and why.
func TestUnstatedUncertainty(t *testing.T) {
	d := New(result(t, "workboat-six", func(s *sheet.Sheet) {
		for i := range s.Overlap.Readings {
			s.Overlap.Readings[i].Zero = nil
		}
	}), true)
	for _, r := range d.Readings {
		if r.Advance == "" || r.U != "" || r.UReading != "" || r.UTDC != "" || !strings.Contains(r.Reason, "lifter_mismatch") {
			t.Errorf("%+v", r)
		}
	}
	if d.Installed == nil || d.Installed.U != "" || d.Outcome != "not proved" {
		t.Errorf("installed %+v, %s", d.Installed, d.Outcome)
	}
	var b bytes.Buffer
	if err := d.Text(&b); err != nil || strings.Contains(b.String(), "u is made of") {
		t.Errorf("%v", err)
	}
}

// With no reading known there is still a report and a picture.
func TestNothingKnown(t *testing.T) {
	r := result(t, "workboat-six", func(s *sheet.Sheet) {
		s.Overlap.Readings = s.Overlap.Readings[:1]
		s.Overlap.Readings[0].Zero, s.Overlap.Readings[0].Proof = nil, "none"
	})
	d, c := New(r, true), NewCurve(r)
	if d.Installed != nil || len(c.Points) != 0 || c.Line == "" {
		t.Errorf("installed %v, %d points", d.Installed, len(c.Points))
	}
	var b bytes.Buffer
	if err := errors.Join(d.Text(&b), d.HTML(&b, c), d.JSON(&b)); err != nil {
		t.Error(err)
	}
}

// The range of advance that keeps the valves off the pistons is in words, with
// the target held against it; none is given where no advance keeps them.
func TestSafeAdvance(t *testing.T) {
	for _, c := range []struct {
		edit   func(*sheet.Sheet)
		words  string // in the text; empty where there is none
		target bool
	}{
		{nil, "from -11.2 crank deg to +15.2 crank deg of advance", true},
		{func(s *sheet.Sheet) { s.ValveToPiston.Exhaust, s.ValveToPiston.Measured = nil, nil }, "hold up to +15.2 crank deg of advance", true},
		{func(s *sheet.Sheet) { s.ValveToPiston.Intake, s.ValveToPiston.Measured = nil, nil }, "hold from -11.2 crank deg of advance on", true},
		{func(s *sheet.Sheet) {
			s.Wanted = &sheet.Wanted{Source: "builder", IntakeCenterline: new(units.CrankAngle)}
			*s.Wanted.IntakeCenterline = 90 * units.CrankDegree
		}, "uncertainty left out; the target lies outside", false},
		{func(s *sheet.Sheet) {
			s.ValveToPiston.Intake.Pocket, s.ValveToPiston.Exhaust.Pocket = units.MustParseReading("-0.200 in"), units.MustParseReading("-0.200 in")
		}, "", false},
	} {
		r := result(t, "workboat-six", c.edit)
		d := New(r, false)
		var b, page bytes.Buffer
		if err := errors.Join(d.Text(&b), d.HTML(&page, NewCurve(r))); err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(b.String()), " ")
		if (d.Safe != nil) != (c.words != "") || !strings.Contains(text, c.words) || strings.Contains(page.String(), "least gap hold") != (c.words != "") {
			t.Errorf("want %q, got %+v", c.words, d.Safe)
		}
		if d.Safe != nil && d.Safe.Target != c.target {
			t.Errorf("%+v, want the target inside: %v", d.Safe, c.target)
		}
	}
}

// The picture: a curve that rises from left to right through its readings.
func TestCurve(t *testing.T) {
	for _, name := range []string{"workboat-six", "workboat-six-tooth-off", "two-plane-v8-twist", "workboat-six-metric"} {
		c := NewCurve(result(t, name, nil))
		var last [2]float64
		for i, p := range strings.Fields(c.Line) {
			var at [2]float64
			if err := json.Unmarshal([]byte("["+p+"]"), &at); err != nil {
				t.Fatal(err)
			}
			if i > 0 && (at[0] <= last[0] || at[1] > last[1]) {
				t.Errorf("%s: the curve turns back at %v", name, at)
			}
			last = at
		}
		for _, p := range append(c.Points, c.Target) {
			if p.X < c.Left || p.X > c.Right || p.Y < c.Top || p.Y > c.Bottom {
				t.Errorf("%s: %+v lies outside the picture", name, p)
			}
		}
		if len(c.XTicks) < 3 || len(c.YTicks) < 3 || len(c.YTicks) > 8 {
			t.Errorf("%s: %d and %d ticks", name, len(c.XTicks), len(c.YTicks))
		}
	}
}

func TestPlaces(t *testing.T) {
	for _, c := range []struct{ x, want float64 }{{1.23456, 1.2346}, {-0.00001, 0}, {math.Inf(1), math.MaxFloat64}, {math.NaN(), math.MaxFloat64}} {
		if got := places(c.x, 4); got != c.want {
			t.Errorf("places(%v) = %v", c.x, got)
		}
	}
}
