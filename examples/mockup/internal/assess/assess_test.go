package assess_test

import (
	"errors"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/examples/mockup/internal/assess"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

const (
	six     = "workboat-six"
	toothed = "workboat-six-tooth-off"
	metric  = "workboat-six-metric"
	twisted = "two-plane-v8-twist"
)

func text(tb testing.TB, name string) string {
	tb.Helper()
	raw, err := os.ReadFile("../../sheets/" + name + ".json")
	if err != nil {
		tb.Fatal(err)
	}
	return string(raw)
}

func load(tb testing.TB, name string) *sheet.Sheet {
	tb.Helper()
	s, err := sheet.Parse([]byte(text(tb, name)))
	if err != nil {
		tb.Fatal(err)
	}
	return &s
}

func evaluate(tb testing.TB, name string) *assess.Result {
	tb.Helper()
	r, err := assess.Evaluate(load(tb, name))
	if err != nil {
		tb.Fatal(err)
	}
	return r
}

// truth is how the readings of a shipped sheet were made: a closed-form lobe
// pair, the true advance of every cylinder, the height mismatch of its lifters
// and a reading error, both in steps of the instrument. Invented figures.
type truth struct {
	lift, exhaustLift   float64 // in the unit of the sheet
	flank, exhaustFlank float64 // cam degrees from base circle to nose
	separation, step    float64
	decimals            int
	advance             []float64
	mismatch, err       []float64
}

var (
	same     = []float64{0, 0, 0, 0, 0, 0, 0, 0}
	errors6  = []float64{0, 1, 0, 0, -1, 0}
	mismatch = []float64{1, 0, -1, 2, 0, 1, -2, 0}
)

func all(n int, x float64) []float64 { return slices.Repeat([]float64{x}, n) }

// twist puts 6.5 deg at the first cylinder and 1.5 deg at the last, on a line.
func twist() []float64 {
	a := make([]float64, 8)
	for i := range a {
		a[i] = 6.5 - 5*float64(i)/7
	}
	return a
}

var truths = map[string]truth{
	six:     {0.300, 0.300, 70, 70, 110, 0.0005, 4, all(6, 4), mismatch, errors6},
	toothed: {0.300, 0.300, 70, 70, 110, 0.0005, 4, all(6, 4-720.0/36), mismatch, errors6},
	metric:  {7.62, 7.62, 70, 70, 110, 0.01, 2, all(6, 4), mismatch, errors6},
	twisted: {0.320, 0.330, 68, 71, 112, 0.0005, 4, twist(), mismatch, same},
}

// rise is the 3-4-5 polynomial, s = 10 u^3 - 15 u^4 + 6 u^5.
// Rothbart (ed.), Cam Design Handbook (2004), ch. 3.
func rise(u float64) float64 {
	if u <= 0 {
		return 0
	}
	return u * u * u * (10 + u*(6*u-15))
}

// difference is intake minus exhaust at overlap top dead center: the lobes
// stand (separation -+ advance)/2 cam degrees from their noses.
func (m truth) difference(advance float64) float64 {
	return m.lift*rise(1-math.Abs(advance-m.separation)/2/m.flank) - m.exhaustLift*rise(1-math.Abs(advance+m.separation)/2/m.exhaustFlank)
}

// The readings in the shipped sheets are the forward calculation, rounded to
// the instrument's step, and not anything the library printed.
func TestReadingsAreTheForwardCalculation(t *testing.T) {
	for name, m := range truths {
		s := load(t, name)
		if len(s.Overlap.Readings) != len(m.advance) {
			t.Fatalf("%s: %d readings", name, len(s.Overlap.Readings))
		}
		for i, r := range s.Overlap.Readings {
			zero := m.mismatch[i] * m.step
			read := math.Round((m.difference(m.advance[i])+zero+m.err[i]*m.step)/m.step) * m.step
			unit := r.Difference.Unit.Symbol()
			if got, want := r.Difference.String(), strconv.FormatFloat(read, 'f', m.decimals, 64)+" "+unit; got != want {
				t.Errorf("%s: cylinder %d reads %s, the forward calculation %s", name, r.Cylinder, got, want)
			}
			if got, want := r.Zero.String(), strconv.FormatFloat(zero, 'f', m.decimals, 64)+" "+unit; got != want {
				t.Errorf("%s: cylinder %d zero %s, want %s", name, r.Cylinder, got, want)
			}
		}
	}
}

// The card's durations are those of the same lobes, in whole degrees.
func TestCardIsTheForwardCalculation(t *testing.T) {
	for name, m := range truths {
		s := load(t, name)
		for _, l := range []struct {
			lobe        sheet.Lobe
			lift, flank float64
		}{{s.Cam.Intake, m.lift, m.flank}, {s.Cam.Exhaust, m.exhaustLift, m.exhaustFlank}} {
			for _, d := range l.lobe.Durations {
				lo, hi := 0.0, 1.0
				for range 100 {
					if u := (lo + hi) / 2; l.lift*rise(u) < d.Lift.Length.In(d.Lift.Unit) {
						lo = u
					} else {
						hi = u
					}
				}
				if want := math.Round(4 * l.flank * (1 - lo)); d.Duration.Degrees() != want {
					t.Errorf("%s: duration at %s is %s, the lobe's is %g", name, d.Lift, d.Duration, want)
				}
			}
		}
	}
}

// Every measured advance covers the truth within two standard uncertainties.
func TestAdvanceCoversTheTruth(t *testing.T) {
	for name, m := range truths {
		r := evaluate(t, name)
		for i, c := range r.Cylinders {
			if !c.Known {
				t.Errorf("%s: cylinder %d tells nothing: %s", name, c.Reading.Cylinder, c.Reason)
				continue
			}
			got, u := c.Split.Advance.Value.Degrees(), c.Split.Advance.U.Degrees()
			if math.Abs(got-m.advance[i]) > 2*u || u > 1 {
				t.Errorf("%s: cylinder %d reads %.2f, u %.2f; the truth is %.2f", name, c.Reading.Cylinder, got, u, m.advance[i])
			}
		}
	}
}

func TestDefaultIsAsGround(t *testing.T) {
	r := evaluate(t, six)
	if r.Outcome != units.ProvedWithin {
		t.Errorf("outcome %v, findings %v", r.Outcome, r.Findings)
	}
	if d := math.Abs(r.Advance.Value.Degrees() - 4); d > r.Advance.U.Degrees() {
		t.Errorf("advance %v is %.2f from the 4 degrees of the card", r.Advance, d)
	}
	// Cylinders of a straight six that share TDC: first and last, and so on
	// inward (Auto Engine Repair (2021), p. 126, Fig. 6-2).
	if want := [][2]int{{1, 6}, {2, 5}, {3, 4}}; !slices.Equal(r.Companions, want) {
		t.Errorf("companions %v", r.Companions)
	}
	if c := r.Diagnosis.Candidates[0].Cause; c != camtiming.AsGround {
		t.Errorf("first cause is %v", c)
	}
	if c := r.Correction.Options[0]; c.Parts != 0 {
		t.Errorf("correction is %s", assess.StepText(c))
	}
	if r.Survey.TwistProved {
		t.Error("a twist is proved on a straight cam")
	}
	// Uncertainty of the advance: reading and zero of 0.0003 in each over the
	// slope of the lobe pair, and 0.25 deg of TDC (JCGM 100:2008, 5.1.2).
	m := truths[six]
	slope := (m.difference(4.01) - m.difference(3.99)) / 0.02
	want := math.Hypot(0.0003*math.Sqrt2/slope, 0.25)
	if got := r.Cylinders[0].Split.Advance.U.Degrees(); math.Abs(got-want) > 0.05*want {
		t.Errorf("u = %.4f, want %.4f", got, want)
	}
}

func TestToothOffIsFound(t *testing.T) {
	r := evaluate(t, toothed)
	if r.Outcome != units.ProvedOutside {
		t.Errorf("outcome %v", r.Outcome)
	}
	c := r.Diagnosis.Candidates[0]
	// One tooth of 36 is 720/36 = 20 crank degrees, here retarding.
	if c.Cause != camtiming.ToothOff || c.Shift != -20*units.CrankDegree || !r.Diagnosis.Explained || r.Diagnosis.Alike != 1 {
		t.Errorf("first cause %v, shift %v, explained %v, alike %d", c, c.Shift, r.Diagnosis.Explained, r.Diagnosis.Alike)
	}
	if o := r.Correction.Options[0]; o.Teeth != 1 || o.Parts != 1 || !r.Correction.Worthwhile {
		t.Errorf("correction %s, worthwhile %v", assess.StepText(o), r.Correction.Worthwhile)
	}
	f := r.Findings[0]
	if f.Severity != assess.Fault || !strings.Contains(f.What, "retarded against the card") || !strings.Contains(f.Do, "count the teeth") ||
		strings.Index(f.Do, "count the teeth") > strings.Index(f.Do, "1 tooth advancing") {
		t.Errorf("first finding: %+v", f)
	}
	// Every pair agrees: the fault is common to all cylinders.
	for _, c := range r.Checks {
		if strings.HasPrefix(c.Name, "companions") && c.Outcome != units.ProvedWithin {
			t.Errorf("%s: %v", c.Name, c.Outcome)
		}
	}
}

func TestTwistIsProved(t *testing.T) {
	r := evaluate(t, twisted)
	if r.Outcome != units.ProvedOutside || !r.Survey.TwistProved {
		t.Errorf("outcome %v, twist %v", r.Outcome, r.Survey.TwistOverShaft)
	}
	s := r.Survey.TwistOverShaft
	if math.Abs(s.Value.Degrees()+5) > 2*s.U.Degrees() {
		t.Errorf("twist over the shaft %v, made with -5 deg", s)
	}
	if c := r.Diagnosis.Candidates[0].Cause; c != camtiming.TwistOrGrinding {
		t.Errorf("first cause is %v", c)
	}
	// Companions four places apart in the order 1-8-4-3-6-5-7-2.
	if want := [][2]int{{1, 6}, {2, 3}, {4, 7}, {5, 8}}; !slices.Equal(r.Companions, want) {
		t.Errorf("companions %v", r.Companions)
	}
	// Made with 5/7 deg per place: 1 and 6 lie 5 places apart, 3.6 deg; 2 and 3
	// one place, 0.7 deg, which a tolerance of 1 deg does not prove.
	differ := map[string]units.Outcome{}
	for _, c := range r.Checks {
		if name, ok := strings.CutPrefix(c.Name, "companions, cylinder "); ok {
			differ[name] = c.Outcome
		}
	}
	if differ["6 against 1"] != units.ProvedOutside || differ["7 against 4"] != units.ProvedOutside || differ["8 against 5"] != units.ProvedOutside || differ["3 against 2"] != units.NotProved {
		t.Errorf("companions: %v", differ)
	}
	if !slices.ContainsFunc(r.Findings, func(f assess.Finding) bool {
		return f.Severity == assess.Fault && strings.Contains(f.What, "twisted")
	}) {
		t.Errorf("findings %v", r.Findings)
	}
}

func TestMetricSheetAgreesWithInches(t *testing.T) {
	a, b := evaluate(t, six), evaluate(t, metric)
	if b.Outcome != units.ProvedWithin {
		t.Errorf("outcome %v, %v", b.Outcome, b.Findings)
	}
	if d := math.Abs((a.Advance.Value - b.Advance.Value).Degrees()); d > 0.2 {
		t.Errorf("advance %v in inches, %v in millimeters", a.Advance, b.Advance)
	}
	for _, c := range b.Checks {
		if strings.Contains(c.Measured+c.U+c.Limits+c.Margin, " in") || strings.Contains(c.Measured, "lbf") {
			t.Errorf("inches in a metric report: %+v", c)
		}
	}
}

func find(t *testing.T, r *assess.Result, name string) assess.Check {
	t.Helper()
	for _, c := range r.Checks {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no check %q", name)
	return assess.Check{}
}

// Subtractions on the sheet's own figures.
func TestClearancesByHand(t *testing.T) {
	r := evaluate(t, six)
	for _, c := range []struct{ name, measured, margin string }{
		// main 1: crown readings 2.5023 and 2.5022, journal 2.5001 to 2.4999.
		{"main 1, smallest oil clearance", "0.0022 in", "0.0010 in"},
		// side clearance of rod 1: 1.3120 - 1.3030.
		{"rod 1, side clearance", "0.0090 in", "0.0040 in"},
		{"rod 2, side clearance", "0.0085 in", "0.0035 in"},
		// crankshaft: mean of 0.0060, 0.0060 less mean of 0.0000, 0.0005.
		{"crankshaft, end play", "0.00575 in", "0.00275 in"},
		// pin in bushing: 1.0003 - 1.0000 and 1.0006 - 0.9998.
		{"pin in rod bushing, smallest clearance", "0.0003 in", "0.0001 in"},
		{"pin in rod bushing, largest clearance", "0.0008 in", "0.0002 in"},
	} {
		got := find(t, r, c.name)
		if got.Measured != c.measured || got.Margin != c.margin || got.Outcome != units.ProvedWithin {
			t.Errorf("%s: measured %s, margin %s, %v; want %s and %s", c.name, got.Measured, got.Margin, got.Outcome, c.measured, c.margin)
		}
	}
	// Ring of cylinder 6: 0.017 in + pi * 0.0005 in = 0.01857 in.
	if got := find(t, r, "top ring, cylinder 6, end gap").Measured; got != "0.0186 in" {
		t.Errorf("moved gap %s", got)
	}
}

// replaced evaluates the default sheet with one replacement.
func replaced(t *testing.T, old, with string) (*assess.Result, error) {
	t.Helper()
	// The file is laid out over lines; they are joined for the search.
	raw := strings.Join(strings.Fields(text(t, six)), " ")
	if !strings.Contains(raw, old) {
		t.Fatalf("the default sheet has no %q", old)
	}
	s, err := sheet.Parse([]byte(strings.Replace(raw, old, with, 1)))
	if err != nil {
		t.Fatal(err)
	}
	return assess.Evaluate(&s)
}

func TestContradictionsNameTheField(t *testing.T) {
	for _, c := range []struct {
		name, old, with, path string
		kind                  error
	}{
		{"events contradict", `"exhaust_centerline": "114 deg"`, `"exhaust_centerline": "120 deg"`, "cam.separation, cam.ground_advance, cam.exhaust_centerline", units.ErrConflict},
		{"valve lift contradicts", `"rocker_ratio": 1.5`, `"valve_lift": "0.500 in", "rocker_ratio": 1.5`, "cam.intake.lobe_lift, cam.intake.rocker_ratio, cam.intake.valve_lift, cam.intake.lash", units.ErrConflict},
		{"duration over a cycle", `"195 deg"`, `"742 deg"`, "cam.intake.durations[1].duration", units.ErrRange},
		{"no duration", `"115 deg"`, `"0 deg"`, "cam.intake.durations[2].duration", units.ErrRange},
		{"negative lift", `"lift": "0.050 in"`, `"lift": "-0.050 in"`, "cam.intake.durations[1].lift", units.ErrRange},
		{"no lobe lift", `"lobe_lift": "0.300 in",`, ``, "cam.intake.lobe_lift", units.ErrMissing},
		{"order impossible", `"1-5-3-6-2-4"`, `"1-2-3-4-5-6"`, "engine.firing_order", units.ErrImpossible},
		{"order repeats", `"1-5-3-6-2-4"`, `"1-5-3-6-2-2"`, "engine.firing_order", units.ErrConflict},
		{"order not numbers", `"1-5-3-6-2-4"`, `"one"`, "engine.firing_order", units.ErrSyntax},
		{"cylinders", `"cylinders": 6`, `"cylinders": 5`, "engine.cylinders", units.ErrConflict},
		{"crank missing", `"crank": "six even",`, ``, "engine.crank", units.ErrMissing},
		{"vee field on in-line", `"crank": "six even",`, `"crank": "six even", "bank_angle": "60 deg",`, "engine.bank_angle", units.ErrConflict},
		{"numbering on in-line", `"crank": "six even",`, `"crank": "six even", "numbering": "bankwise",`, "engine.numbering", units.ErrConflict},
		{"vee without bank angle", `"layout": "inline"`, `"layout": "vee", "numbering": "bankwise", "bank_of_one_passed": "first"`, "engine.bank_angle", units.ErrMissing},
		{"boxer with crank", `"layout": "inline"`, `"layout": "boxer", "numbering": "bankwise"`, "engine.crank", units.ErrConflict},
		{"teeth", `"teeth": 36`, `"teeth": -1`, "drive.teeth", units.ErrRange},
		{"most teeth", `"most_teeth": 2`, `"most_teeth": 11`, "drive.most_teeth", units.ErrRange},
		{"keyway", `["4 deg", "-4 deg"]`, `["4 deg", "-400 deg"]`, "drive.keyways[1]", units.ErrRange},
		{"bushing", `["2 deg"]`, `["-2 deg"]`, "drive.bushings[0]", units.ErrRange},
		{"slack", `"1.5 deg"`, `"-1.5 deg"`, "drive.slack", units.ErrRange},
		{"TDC uncertainty", `"uncertainty": "0.25 deg"`, `"uncertainty": "-0.25 deg"`, "top_dead_center.uncertainty", units.ErrRange},
		{"tolerance", `"within": "2 deg"`, `"within": "0 deg"`, "overlap.tolerance.within", units.ErrRange},
		{"cylinder twice", `"cylinder": 2`, `"cylinder": 1`, "overlap.readings[1].cylinder", units.ErrConflict},
		{"cylinder unknown", `"cylinder": 2`, `"cylinder": 7`, "overlap.readings[1].cylinder", units.ErrRange},
		{"rise missing", `"moves as the crank is rocked"`, `"rise measured"`, "overlap.readings[0].rise", units.ErrMissing},
		{"proof contradicts", `"difference": "0.0150 in"`, `"difference": "0.0150 in", "rise": "0.01 in"`, "overlap.readings[0].rise", units.ErrConflict},
		{"instrument twice", `"name": "micrometer"`, `"name": "depth micrometer"`, "instruments[1].name", units.ErrConflict},
		{"uncertainty under resolution", `"uncertainty": "0.0003 in"`, `"uncertainty": "0.0001 in"`, "instruments[0].uncertainty", units.ErrConflict},
		{"negative resolution", `"resolution": "0.0005 in"`, `"resolution": "-0.0005 in"`, "instruments[0].resolution", units.ErrRange},
		{"limits swapped", `{"min": "0.0012 in", "max": "0.0032 in"`, `{"min": "0.0032 in", "max": "0.0012 in"`, "bearings[0].clearance", units.ErrConflict},
		{"limits missing", `{"min": "0.0012 in", "max": "0.0032 in", `, `{`, "bearings[0].clearance", units.ErrMissing},
		{"bore of another size", `"2.5023 in"`, `"25.023 in"`, "bearings[0].bore", units.ErrConflict},
		{"negative gap", `"gap": "0.016 in"`, `"gap": "-0.016 in"`, "rings[0].gap", units.ErrRange},
		{"turning torque", `"90 lbf in"`, `"-90 lbf in"`, "turning.steps[0].torque", units.ErrRange},
		{"wanted both", `"overlap": {`, `"wanted": {"advance": "4 deg", "intake_centerline": "106 deg", "source": "builder"}, "overlap": {`, "wanted", units.ErrConflict},
		{"wanted nothing", `"overlap": {`, `"wanted": {"source": "builder"}, "overlap": {`, "wanted", units.ErrMissing},
		{"wanted far", `"overlap": {`, `"wanted": {"advance": "500 deg", "source": "builder"}, "overlap": {`, "wanted.advance", units.ErrRange},
		{"wanted centerline far", `"overlap": {`, `"wanted": {"intake_centerline": "900 deg", "source": "builder"}, "overlap": {`, "wanted.intake_centerline", units.ErrRange},
		{"suspect out of range", `"tdc_error": "3 deg"`, `"tdc_error": "-3 deg"`, "suspects.tdc_error", units.ErrRange},
		{"zero of an instrument", `"zero_uncertainty": "0.00005 in"`, `"zero_uncertainty": "-0.00005 in"`, "instruments[1].zero_uncertainty", units.ErrRange},
		{"strip swapped", `"range_min": "0.001 in", "range_max": "0.003 in"`, `"range_min": "0.003 in", "range_max": "0.001 in"`, "bearings[4].strip.range_min, bearings[4].strip.range_max", units.ErrConflict},
		{"strip without range", `"range_min": "0.001 in"`, `"range_min": "0 in"`, "bearings[4].strip.range_min", units.ErrMissing},
		{"gap read in no bore", `"read_in": "4.0000 in"`, `"read_in": "0 in"`, "rings[5].read_in", units.ErrMissing},
		{"maker's limits negative", `"limits": {"min": "0.013 in", "max": "0.021 in"`, `"limits": {"min": "-0.013 in", "max": "0.021 in"`, "rings[0].limits", units.ErrRange},
		{"station twice", `"at": "1.25 in"`, `"at": "0.25 in"`, "bearings[0].bore.stations[1].at", units.ErrConflict},
		{"pin width", `"pin_width": "1.3120 in"`, `"pin_width": "0 in"`, "side_clearance[0].pin_width", units.ErrMissing},
		{"third rod", `"rod_widths": ["1.3030 in"]`, `"rod_widths": ["1.3030 in", "1 in", "1 in"]`, "side_clearance[0].rod_widths", units.ErrRange},
		{"fit swapped", `{"min": "1.0003 in", "max": "1.0006 in"}`, `{"min": "1.0006 in", "max": "1.0003 in"}`, "fits[0].bore", units.ErrConflict},
		{"bearing twice", `"name": "main 2"`, `"name": "main 1"`, "bearings[1].name", units.ErrConflict},
		{"ring twice", `"name": "top ring", "cylinder": 2`, `"name": "top ring", "cylinder": 1`, "rings[1].name", units.ErrConflict},
		{"ring of cylinder 7", `"name": "top ring", "cylinder": 6`, `"name": "top ring", "cylinder": 7`, "rings[5].cylinder", units.ErrRange},
		{"ring of cylinder 0", `"name": "top ring", "cylinder": 6`, `"name": "top ring", "cylinder": 0`, "rings[5].cylinder", units.ErrRange},
		{"shaft twice", `"name": "camshaft"`, `"name": "crankshaft"`, "end_play[1].name", units.ErrConflict},
		{"pin twice", `"name": "rod 2", "instrument": "micrometer", "pin_width"`, `"name": "rod 1", "instrument": "micrometer", "pin_width"`, "side_clearance[1].name", units.ErrConflict},
		{"same durations at one lift", `{"lift": "0.050 in", "duration": "195 deg"}`, `{"lift": "0.050 in", "duration": "195 deg"}, {"lift": "0.050 in", "duration": "190 deg"}`, "cam.intake.durations[1].duration, cam.intake.durations[2].duration", units.ErrConflict},
		{"duration grows with the lift", `{"lift": "0.200 in", "duration": "115 deg"}`, `{"lift": "0.200 in", "duration": "242 deg"}`, "cam.intake.durations", units.ErrConflict},
		{"card overlap contradicts", `"overlap": "-25 deg"`, `"overlap": "25 deg"`, "cam.separation, cam.intake.durations[1].duration, cam.exhaust.durations[1].duration, cam.overlap[0].overlap", units.ErrConflict},
		{"card overlap out of range", `"overlap": "-25 deg"`, `"overlap": "-725 deg"`, "cam.overlap[0].overlap", units.ErrRange},
		{"lift over the lobe", `"lift": "0.200 in"`, `"lift": "0.400 in"`, "cam.intake.durations[2].lift", units.ErrRange},
		{"lifter twice", `"cylinder": 1, "valve": "exhaust", "state"`, `"cylinder": 1, "valve": "intake", "state"`, "hand.lifters_fall_and_turn[1]", units.ErrConflict},
		{"break-in needed", `"name": "workboat 280-110"`, `"name": "workboat 280-110", "new_cam_or_lifters": true`, "hand.break_in_planned.state", units.ErrConflict},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := replaced(t, c.old, c.with)
			e := (*units.InputError)(nil)
			if r != nil || !errors.As(err, &e) {
				t.Fatalf("result %v, error %v", r != nil, err)
			}
			if e.Field != c.path || !errors.Is(err, c.kind) || e.Reason == "" {
				t.Errorf("got %v\nwant %s, kind %v", err, c.path, c.kind)
			}
		})
	}
}

// What is doubtful is data: it is reported, not refused.
func TestDoubtsAreReported(t *testing.T) {
	for _, c := range []struct {
		name, old, with string
		outcome         units.Outcome
		words           string // in one finding
	}{
		{"no proof", `"difference": "0.0150 in", "zero": "0.0005 in", "proof": "moves as the crank is rocked"`, `"difference": "0.0150 in", "proof": "none"`, units.NotProved, "no proof that a lifter is up"},
		{"no advance gives it", `"difference": "0.0150 in"`, `"difference": "0.4000 in"`, units.ProvedOutside, "no advance of this cam gives this reading"},
		{"hand check not done", `"keepers_seated": {"state": "done"`, `"keepers_seated": {"state": "not done"`, units.NotProved, "not done: keepers seated"},
		{"hand check left out", `"keepers_seated": {"state": "done", "reason": "each retainer tapped, each keeper seen home"},`, ``, units.NotProved, "not recorded: keepers seated"},
		{"no uncertainty", `"resolution": "0.001 in", "uncertainty": "0.0005 in"`, `"resolution": "0.001 in"`, units.NotProved, "end gap"},
		{"ring gap closed", `"gap": "0.016 in"`, `"gap": "0.004 in"`, units.ProvedOutside, "end gap 0.004 in"},
		{"bearing pinched", `"2.5023 in"`, `"2.4990 in"`, units.ProvedOutside, "main 1, smallest oil clearance"},
		{"wanted elsewhere", `"overlap": {`, `"wanted": {"intake_centerline": "102 deg", "source": "builder"}, "overlap": {`, units.ProvedOutside, "retarded against the wanted +8.0 crank deg"},
		{"torque too high", `"265 lbf in"`, `"500 lbf in"`, units.ProvedOutside, "500 lbf in"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := replaced(t, c.old, c.with)
			if err != nil {
				t.Fatal(err)
			}
			consistent(t, r)
			if r.Outcome != c.outcome {
				t.Errorf("outcome %v, want %v", r.Outcome, c.outcome)
			}
			if !slices.ContainsFunc(r.Findings, func(f assess.Finding) bool {
				return strings.Contains(f.What+f.Sure+f.Do, c.words) && f.Severity != assess.Note
			}) {
				t.Errorf("no finding says %q: %+v", c.words, r.Findings)
			}
		})
	}
}

// consistent checks that findings and outcome say the same.
func consistent(t *testing.T, r *assess.Result) {
	t.Helper()
	bad := slices.ContainsFunc(r.Findings, func(f assess.Finding) bool { return f.Severity != assess.Note })
	if bad == (r.Outcome == units.ProvedWithin) {
		t.Errorf("outcome %v with the findings %+v", r.Outcome, r.Findings)
	}
}

func TestFindingsAgreeWithOutcome(t *testing.T) {
	for _, name := range []string{six, toothed, metric, twisted} {
		consistent(t, evaluate(t, name))
	}
	// A twist inside every tolerance is worth a note and fails nothing.
	s := load(t, twisted)
	s.Overlap.Tolerance.Within, s.Overlap.CompanionTolerance.Within = 6*units.CrankDegree, 6*units.CrankDegree
	r, err := assess.Evaluate(s)
	if err != nil {
		t.Fatal(err)
	}
	consistent(t, r)
	if !r.Survey.TwistProved || slices.ContainsFunc(r.Checks, func(c assess.Check) bool { return c.Outcome != units.ProvedWithin }) {
		t.Errorf("twist proved %v, checks %+v", r.Survey.TwistProved, r.Checks)
	}
	for _, f := range r.Findings {
		if f.Severity != assess.Note && !strings.HasPrefix(f.What, "not measured") {
			t.Errorf("finding %+v", f)
		}
	}
	// One impossible reading among cylinders that are all retarded is named.
	s = load(t, toothed)
	s.Overlap.Readings[0].Difference = units.MustParseReading("0.4000 in")
	if r, err = assess.Evaluate(s); err != nil {
		t.Fatal(err)
	}
	consistent(t, r)
	if !slices.ContainsFunc(r.Findings, func(f assess.Finding) bool {
		return f.Severity == assess.Fault && strings.Contains(f.What, "no advance of this cam")
	}) {
		t.Errorf("findings %+v", r.Findings)
	}
}

// Without a stated uncertainty only simple acceptance decides.
func TestSimpleAcceptanceIsExplicit(t *testing.T) {
	for _, rule := range []struct {
		word sheet.Decision
		want units.Outcome
	}{{"prove at 95 %", units.NotProved}, {"prove beyond U", units.NotProved}, {"simple acceptance", units.ProvedWithin}} {
		s := load(t, six)
		s.Decision = rule.word
		for i := range s.Instruments {
			s.Instruments[i].Uncertainty = nil
		}
		r, err := assess.Evaluate(s)
		if err != nil {
			t.Fatal(err)
		}
		// A strip cannot be held against micrometers without uncertainties.
		for i := range r.Checks {
			if c := &r.Checks[i]; !strings.Contains(c.Name, "less micrometer") && !strings.Contains(c.Name, "less computed") && c.Group != "fits" && c.Group != "turning torque" && c.Outcome != rule.want {
				t.Errorf("%s: %s is %v", rule.word, c.Name, c.Outcome)
			}
		}
		if r.Diagnosis != nil {
			t.Error("causes were weighed without an uncertainty")
		}
	}
}

// A ring without the maker's figure is held against the rule of the trade,
// 0.0035 to 0.0045 of a 4.0005 in bore (common practice), which proves nothing.
func TestRingByRule(t *testing.T) {
	for _, c := range []struct {
		gap     string
		outcome units.Outcome
		words   string
	}{
		{"0.016 in", units.NotProved, "within the rule of thumb, common practice: not proved against the maker's figure"},
		{"0.014 in", units.NotProved, "not proved even by the rule of thumb"},
		{"0.006 in", units.ProvedOutside, "outside the rule of thumb, common practice"},
	} {
		s := load(t, six)
		s.Rings[0].Limits, s.Rings[0].Gap = nil, units.MustParseReading(c.gap)
		r, err := assess.Evaluate(s)
		if err != nil {
			t.Fatal(err)
		}
		consistent(t, r)
		got := find(t, r, "top ring, cylinder 1, end gap")
		if got.Source.Provenance != units.CommonPractice || got.Limits != "0.014 in to 0.018 in" || !got.ByRule || got.Outcome != c.outcome || r.Outcome != c.outcome || !strings.Contains(got.Reason, c.words) {
			t.Errorf("%s: outcome %v, %+v", c.gap, r.Outcome, got)
		}
		if !slices.ContainsFunc(r.Findings, func(f assess.Finding) bool {
			return strings.Contains(f.What, "top ring, cylinder 1") && strings.Contains(f.What+f.Do, c.words)
		}) {
			t.Errorf("%s: findings %+v", c.gap, r.Findings)
		}
	}
}

// Whatever group of checks the sheet leaves out is named, and nothing is
// called proved without it.
func TestMissingGroupsAreNamed(t *testing.T) {
	drop := []struct {
		name string
		edit func(*sheet.Sheet)
	}{
		{"bearings", func(s *sheet.Sheet) { s.Bearings, s.OilFilm = nil, nil }},
		{"rings", func(s *sheet.Sheet) { s.Rings = nil }},
		{"ring grooves", func(s *sheet.Sheet) { s.RingGrooves = nil }},
		{"end play", func(s *sheet.Sheet) { s.EndPlay = nil }},
		{"side clearance", func(s *sheet.Sheet) { s.SideClearance = nil }},
		{"fits", func(s *sheet.Sheet) { s.Fits = nil }},
		{"valve springs", func(s *sheet.Sheet) { s.ValveSprings = nil }},
		{"travel limits", func(s *sheet.Sheet) { s.TravelLimits = nil }},
		{"lash or preload", func(s *sheet.Sheet) { s.Lash = nil }},
		{"lifter fits", func(s *sheet.Sheet) { s.LifterFits = nil }},
		{"compression", func(s *sheet.Sheet) { s.Compression = nil }},
		{"valve to piston", func(s *sheet.Sheet) { s.ValveToPiston = nil }},
		{"turning torque", func(s *sheet.Sheet) { s.Turning = nil }},
		{"turning torque: a limit for the readings", func(s *sheet.Sheet) { s.Turning.Max = nil }},
		{"rings: end gaps of cylinder 6", func(s *sheet.Sheet) { s.Rings = s.Rings[:5] }},
		{"rings: end gaps of cylinders 2, 3, 4, 5, 6", func(s *sheet.Sheet) { s.Rings = s.Rings[:1] }},
		{"ring grooves: grooves of cylinder 6", func(s *sheet.Sheet) { s.RingGrooves = s.RingGrooves[:5] }},
		{"valve springs: exhaust of cylinder 6", func(s *sheet.Sheet) { s.ValveSprings.Valves = s.ValveSprings.Valves[:11] }},
		{"travel limits: exhaust of cylinder 6", func(s *sheet.Sheet) { s.TravelLimits.Valves = s.TravelLimits.Valves[:11] }},
		{"lash or preload: exhaust of cylinder 6", func(s *sheet.Sheet) { s.Lash.Readings = s.Lash.Readings[:11] }},
		{"lifter fits: exhaust of cylinder 6", func(s *sheet.Sheet) { s.LifterFits.Lifters = s.LifterFits.Lifters[:11] }},
		{"compression: volumes of cylinder 6", func(s *sheet.Sheet) { s.Compression.Cylinders = s.Compression.Cylinders[:5] }},
		{"valve to piston: exhaust valves", func(s *sheet.Sheet) {
			s.ValveToPiston.Exhaust, s.ValveToPiston.Measured = nil, s.ValveToPiston.Measured[:1]
		}},
		// A pair of companions of which neither was read.
		{"cam timing: overlap readings of cylinders 3, 4", func(s *sheet.Sheet) { s.Overlap.Readings = slices.Delete(s.Overlap.Readings, 2, 4) }},
	}
	for _, d := range drop {
		s := load(t, six)
		d.edit(s)
		missing(t, s, d.name)
	}
	s := load(t, six)
	var names []string
	for _, d := range drop[:13] {
		d.edit(s)
		names = append(names, d.name)
	}
	missing(t, s, names...)
	if r := evaluate(t, six); len(r.Missing) != 0 {
		t.Errorf("missing on the whole sheet: %q", r.Missing)
	}
}

func missing(t *testing.T, s *sheet.Sheet, names ...string) {
	t.Helper()
	r, err := assess.Evaluate(s)
	if err != nil {
		t.Fatal(err)
	}
	consistent(t, r)
	if r.Outcome != units.NotProved || !slices.Equal(r.Missing, names) {
		t.Errorf("outcome %v, missing %q, want %q", r.Outcome, r.Missing, names)
	}
	if !slices.ContainsFunc(r.Findings, func(f assess.Finding) bool {
		return f.Severity == assess.Doubt && f.What == "not measured: "+strings.Join(names, "; ")
	}) {
		t.Errorf("findings %+v", r.Findings)
	}
}

// single is the default sheet cut down to a one-cylinder engine.
func single(t *testing.T) *sheet.Sheet {
	t.Helper()
	s := load(t, six)
	s.Engine.Cylinders, s.Engine.Crank, s.Engine.FiringOrder = 1, "one pin", "1"
	s.Overlap.Readings, s.Rings, s.Hand.Lifters = s.Overlap.Readings[:1], s.Rings[:1], s.Hand.Lifters[:2]
	s.RingGrooves, s.ValveLifts.Readings, s.ValveSprings.Valves = s.RingGrooves[:1], s.ValveLifts.Readings[:2], s.ValveSprings.Valves[:2]
	s.TravelLimits.Valves, s.Lash.Readings, s.LifterFits.Lifters = s.TravelLimits.Valves[:2], s.Lash.Readings[:2], s.LifterFits.Lifters[:2]
	s.Deck.Readings, s.Compression.Cylinders = s.Deck.Readings[:1], s.Compression.Cylinders[:1]
	return s
}

// A one-cylinder engine has no companion: nothing is missing, and none is asked
// for.
func TestOneCylinder(t *testing.T) {
	r, err := assess.Evaluate(single(t))
	if err != nil {
		t.Fatal(err)
	}
	consistent(t, r)
	if r.Outcome != units.ProvedWithin || len(r.Missing) != 0 || len(r.Companions) != 0 {
		t.Errorf("outcome %v, missing %q, companions %v, %+v", r.Outcome, r.Missing, r.Companions, r.Findings)
	}
	if slices.ContainsFunc(r.Next, func(n string) bool { return strings.Contains(n, "companion") || strings.Contains(n, "every cylinder") }) {
		t.Errorf("next %q", r.Next)
	}
}

// What was measured already is not asked for again.
func TestNextMeasurement(t *testing.T) {
	const companion, every = "companion cylinder", "read every cylinder"
	for _, c := range []struct {
		name            string
		readings        []int // indices kept
		companion, each bool  // asked for
	}{
		{six, []int{0}, true, false},
		{six, []int{0, 1, 2, 3, 4, 5}, false, false},
		{twisted, []int{0, 1, 2, 3, 4, 5, 6, 7}, false, false},
		{twisted, []int{0, 5, 6, 7}, false, true},
	} {
		s := load(t, c.name)
		var kept []sheet.OverlapReading
		for _, i := range c.readings {
			kept = append(kept, s.Overlap.Readings[i])
		}
		s.Overlap.Readings = kept
		r, err := assess.Evaluate(s)
		if err != nil {
			t.Fatal(err)
		}
		var all []string
		for _, f := range r.Findings {
			all = append(all, f.Do)
		}
		said := strings.Join(append(all, r.Next...), "; ")
		if strings.Contains(said, companion) != c.companion || strings.Contains(said, every) != c.each {
			t.Errorf("%s %v: %q", c.name, c.readings, said)
		}
		if c.name == twisted && !strings.Contains(said, "each lobe's own centerline by equal lift") {
			t.Errorf("%s %v: %q", c.name, c.readings, said)
		}
	}
}

// Readings inside every tolerance that no cause explains are not proved.
func TestUnexplainedReadingsProveNothing(t *testing.T) {
	s := load(t, six)
	s.Suspects = sheet.Suspects{}
	s.Overlap.Tolerance.Within, s.Overlap.CompanionTolerance.Within = 8*units.CrankDegree, 8*units.CrankDegree
	// Every second cylinder 0.006 in, twenty standard uncertainties, lower: no
	// cause that moves all alike makes that.
	for i := range s.Overlap.Readings {
		if i%2 == 1 {
			s.Overlap.Readings[i].Difference.Length -= 6 * units.Thou
		}
	}
	r, err := assess.Evaluate(s)
	if err != nil {
		t.Fatal(err)
	}
	consistent(t, r)
	for _, c := range r.Checks {
		if c.Outcome != units.ProvedWithin {
			t.Errorf("%s: %v", c.Name, c.Outcome)
		}
	}
	if r.Outcome != units.NotProved || r.Diagnosis.Explained || len(r.Missing) != 0 {
		t.Errorf("outcome %v, explained %v, missing %q", r.Outcome, r.Diagnosis.Explained, r.Missing)
	}
	if !slices.ContainsFunc(r.Findings, func(f assess.Finding) bool {
		return f.Severity == assess.Doubt && strings.Contains(f.What, "not explained")
	}) {
		t.Errorf("findings %+v", r.Findings)
	}
}

// Without a zero at firing TDC and without a stated mismatch of the lifters a
// reading has no uncertainty, and the report says why.
func TestLifterHeightsUnknown(t *testing.T) {
	s := load(t, six)
	s.Overlap.Readings[2].Zero = nil
	r, err := assess.Evaluate(s)
	if err != nil {
		t.Fatal(err)
	}
	consistent(t, r)
	const why = "neither a zero at firing TDC nor overlap.lifter_mismatch"
	for _, name := range []string{"advance, cylinder 3", "companions, cylinder 4 against 3"} {
		if c := find(t, r, name); c.Outcome != units.NotProved || c.U != "" || c.Conformance.Given || !strings.Contains(c.Reason, why) {
			t.Errorf("%+v", c)
		}
	}
	if c := r.Cylinders[2]; !c.Known || c.Split.Advance.Stated || !strings.Contains(c.Reason, why) {
		t.Errorf("%+v", c)
	}
	if r.Outcome != units.NotProved || r.Advance.Stated || r.Survey != nil {
		t.Errorf("outcome %v, advance %+v, survey %v", r.Outcome, r.Advance, r.Survey)
	}
	if !slices.ContainsFunc(r.Findings, func(f assess.Finding) bool { return f.Severity == assess.Doubt && strings.Contains(f.What+f.Sure, why) }) {
		t.Errorf("findings %+v", r.Findings)
	}
	// A stated mismatch gives it one.
	mismatch := units.MustParseReading("0.0010 in")
	s.Overlap.LifterMismatch = &mismatch
	if r, err = assess.Evaluate(s); err != nil {
		t.Fatal(err)
	}
	if c := r.Cylinders[2]; !c.Split.Advance.Stated || c.Reason != "" || r.Cylinders[2].Split.Advance.U <= r.Cylinders[1].Split.Advance.U {
		t.Errorf("%+v", c)
	}
	// Simple acceptance decides without any.
	s.Overlap.LifterMismatch, s.Decision = nil, "simple acceptance"
	if r, err = assess.Evaluate(s); err != nil {
		t.Fatal(err)
	}
	if c := find(t, r, "advance, cylinder 3"); c.Outcome != units.ProvedWithin {
		t.Errorf("%+v", c)
	}
}

// Stations within 1 mm of each other tell nothing along the cam: the readings
// that say so are named, and only those that give an advance.
func TestStationsAtOnePlace(t *testing.T) {
	s := load(t, six)
	for i := range s.Overlap.Readings {
		at := units.MustParseReading("3.00 in")
		s.Overlap.Readings[i].Position = &at
	}
	s.Overlap.Readings[0].Zero, s.Overlap.Readings[0].Proof = nil, "none"
	_, err := assess.Evaluate(s)
	e := (*units.InputError)(nil)
	if !errors.As(err, &e) || !strings.HasPrefix(e.Field, "overlap.readings[1].position, ") || !strings.HasSuffix(e.Field, ", overlap.readings[5].position") {
		t.Errorf("%v", err)
	}
	far := units.MustParseReading("11 m")
	s.Overlap.Readings[2].Position = &far
	if _, err = assess.Evaluate(s); !errors.As(err, &e) || e.Field != "overlap.readings[2].position" {
		t.Errorf("%v", err)
	}
}

// A companion that was not read is named.
func TestCompanionNotRead(t *testing.T) {
	s := load(t, six)
	s.Overlap.Readings = s.Overlap.Readings[:1]
	r, err := assess.Evaluate(s)
	if err != nil {
		t.Fatal(err)
	}
	if c := find(t, r, "companions, cylinder 6 against 1"); c.Outcome != units.NotProved || !strings.Contains(c.Reason, "cylinder 6 was not read") {
		t.Errorf("%+v", c)
	}
	if r.Outcome != units.NotProved || r.Survey != nil || !r.Known {
		t.Errorf("outcome %v, survey %v, known %v", r.Outcome, r.Survey, r.Known)
	}
}

// A level reading at firing TDC taken for overlap: with proof "none" nothing is
// concluded from it, and the wrong turn is among what explains it.
func TestLevelWithoutProof(t *testing.T) {
	s := load(t, six)
	r0 := &s.Overlap.Readings[0]
	r0.Difference, r0.Zero, r0.Proof = units.MustParseReading("0.0000 in"), nil, "none"
	s.Overlap.Readings = s.Overlap.Readings[:1]
	r, err := assess.Evaluate(s)
	if err != nil {
		t.Fatal(err)
	}
	if r.Known || r.Correction != nil || r.Outcome != units.NotProved {
		t.Errorf("known %v, correction %v, outcome %v", r.Known, r.Correction, r.Outcome)
	}
	if c := r.Diagnosis.Candidates[0]; c.Cause != camtiming.WrongTurn && !slices.ContainsFunc(r.Diagnosis.Candidates[:r.Diagnosis.Alike], func(c camtiming.Candidate) bool { return c.Cause == camtiming.WrongTurn }) {
		t.Errorf("first cause %v", c)
	}
}

func TestConcurrentUse(t *testing.T) {
	s := load(t, twisted)
	want := evaluate(t, twisted)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			r, err := assess.Evaluate(s)
			if err != nil || r.Advance != want.Advance || len(r.Checks) != len(want.Checks) {
				t.Errorf("%v, %v", r, err)
			}
			for _, w := range want.Worked {
				if len(w.Of.Working()) == 0 {
					t.Errorf("%s shows no working", w.Title)
				}
			}
		})
	}
	wg.Wait()
}

// The whole default mock-up without input or output.
func BenchmarkEvaluate(b *testing.B) {
	s := load(b, six)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := assess.Evaluate(s); err != nil {
			b.Fatal(err)
		}
	}
}
