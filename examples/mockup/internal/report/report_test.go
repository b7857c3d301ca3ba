package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"

	"example.com/trialfit/examples/mockup/internal/assess"
	"example.com/trialfit/examples/mockup/internal/sheet"
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
	for _, h := range []string{"FAILED", "FINDINGS", "CHECKS", "ENGINE AND CAM", "CAUSES WEIGHED", "CORRECTION", "HAND CHECKS", "WORKING", "CAUTIONS"} {
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
