package camtiming_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func randomEvents(r *rand.Rand) camtiming.Events {
	a := func(lo, hi int64) units.CrankAngle {
		return units.CrankAngle(lo*1e9 + r.Int64N((hi-lo)*1e9))
	}
	return camtiming.Events{IVO: a(-60, 90), IVC: a(-20, 120), EVO: a(-20, 120), EVC: a(-60, 90)}
}

func randomTiming(r *rand.Rand) camtiming.Timing {
	a := func(lo, hi int64) units.CrankAngle {
		return units.CrankAngle(lo*1e9 + r.Int64N((hi-lo)*1e9))
	}
	return camtiming.Timing{IntakeDuration: a(150, 340), ExhaustDuration: a(150, 340), IntakeCenterline: a(80, 140), ExhaustCenterline: a(80, 140)}
}

// The definition of duration and centerline is invertible; halving an odd
// count may move one count, and the round trip must not even do that.
func TestEventsAndTimingAreInverse(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		e := randomEvents(r)
		tm := must[camtiming.Timing](t)(e.Timing())
		if back := must[camtiming.Events](t)(tm.Events()); back != e {
			t.Fatalf("events %+v came back as %+v", e, back)
		}
		tm = randomTiming(r)
		ev := must[camtiming.Events](t)(tm.Events())
		if back := must[camtiming.Timing](t)(ev.Timing()); back != tm {
			t.Fatalf("timing %+v came back as %+v", tm, back)
		}
	}
}

// Every event moves earlier by the difference of advance, and the durations,
// the separation and the overlap stay.
func TestAdvanceShiftsEveryEventAndNothingElse(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 20000 {
		tm := randomTiming(r)
		adv := units.CrankAngle(r.Int64N(40e9) - 20e9)
		was := must[camtiming.Derived](t)(tm.Derive())
		now := tm.At(adv)
		d := must[camtiming.Derived](t)(now.Derive())
		if d.Advance != adv || d.Separation != was.Separation || d.Overlap != was.Overlap || d.BothSeated != was.BothSeated {
			t.Fatalf("%+v at %v: %+v, was %+v", tm, adv, d, was)
		}
		if now.IntakeDuration != tm.IntakeDuration || now.ExhaustDuration != tm.ExhaustDuration {
			t.Fatalf("durations changed: %+v to %+v", tm, now)
		}
		a, b := must[camtiming.Events](t)(tm.Events()), must[camtiming.Events](t)(now.Events())
		by := now.IntakeCenterline - tm.IntakeCenterline
		if a.IVO-b.IVO != by || b.IVC-a.IVC != by || b.EVC-a.EVC != by || a.EVO-b.EVO != by {
			t.Fatalf("%+v to %+v, want every event later by %v", a, b, by)
		}
		if diff := was.Advance - adv - by; diff < -1 || diff > 1 {
			t.Fatalf("moved by %v for a change of advance of %v", by, was.Advance-adv)
		}
	}
}

// overlap = (Di + De)/2 - 2 LSA as bare numbers, and = IVO + EVC. BothSeated
// against a brute-force count of degrees round the cycle.
func TestOverlapAndSeated(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for k := range 400 {
		tm := randomTiming(r)
		if k%2 == 1 { // odd shapes too: one opening inside the other, the far end shared
			tm.IntakeDuration, tm.ExhaustDuration = units.CrankAngle(1+r.Int64N(719e9)), units.CrankAngle(1+r.Int64N(719e9))
			tm.IntakeCenterline, tm.ExhaustCenterline = units.CrankAngle(r.Int64N(718e9)-359e9), units.CrankAngle(r.Int64N(718e9)-359e9)
		}
		d := must[camtiming.Derived](t)(tm.Derive())
		want := (tm.IntakeDuration+tm.ExhaustDuration).Degrees()/2 - 2*d.Separation.Degrees()
		near(t, "overlap", d.Overlap.Degrees(), want, 2e-9)
		if e, err := tm.Events(); err == nil {
			near(t, "IVO + EVC", (e.IVO + e.EVC).Degrees(), d.Overlap.Degrees(), 1.5e-9)
		}
		near(t, "advance", d.Advance.Degrees(), (tm.ExhaustCenterline-tm.IntakeCenterline).Degrees()/2, 1e-9)
		// Brute force: is the point within half a duration of the centerline,
		// the nearest way round a cycle of 720 degrees?
		within := func(x, center, dur float64) bool {
			return math.Abs(math.Remainder(x-center, 720)) < dur/2
		}
		seated := 0
		for i := range 7200 {
			x := -360 + (float64(i)+0.5)/10
			if !within(x, tm.IntakeCenterline.Degrees(), tm.IntakeDuration.Degrees()) &&
				!within(x, -tm.ExhaustCenterline.Degrees(), tm.ExhaustDuration.Degrees()) {
				seated++
			}
		}
		near(t, fmt.Sprintf("both seated of %+v", tm), d.BothSeated.Degrees(), float64(seated)/10, 0.41)
	}
}

// The trap of the types: 108 and 104 make a separation of 106 cam degrees and
// an advance of -2 crank degrees, by hand from (ECL - ICL)/2.
func TestSeparationTrap(t *testing.T) {
	for _, c := range [...]struct{ icl, ecl, sep, adv float64 }{
		{106, 114, 110, 4}, {108, 104, 106, -2}, {110, 110, 110, 0},
	} {
		tm := camtiming.Timing{IntakeDuration: crank(270), ExhaustDuration: crank(280), IntakeCenterline: crank(c.icl), ExhaustCenterline: crank(c.ecl)}
		d := must[camtiming.Derived](t)(tm.Derive())
		if d.Separation != cam(c.sep) || d.Advance != crank(c.adv) {
			t.Errorf("%v/%v: separation %v, advance %v", c.icl, c.ecl, d.Separation, d.Advance)
		}
	}
}

// oracle places the printed mark on the crank circle and reads the figure off
// it: every event is 90 +- 90 degrees from its own dead center in the stroke
// pair around it, found by trying both points of the circle.
func oracle(kind camtiming.EventKind, mark string, x float64) float64 {
	// Crank circle: TDC at 0, BDC at 180. "After" is with rotation.
	at := map[byte]float64{'T': 0, 'B': 180}[mark[1]]
	if mark[0] == 'A' {
		at += x
	} else {
		at -= x
	}
	// Usual dead center and the direction counted positive.
	own, sign := 0.0, 1.0
	switch kind {
	case camtiming.IntakeOpens:
		own, sign = 0, -1
	case camtiming.IntakeCloses:
		own, sign = 180, 1
	case camtiming.ExhaustOpens:
		own, sign = 180, -1
	case camtiming.ExhaustCloses:
		own, sign = 0, 1
	}
	return sign * math.Remainder(at-own, 360)
}

// Every kind, every dead center, every half degree against the circle. At the
// dead center opposite, +180 and -180 are one point of the circle.
func TestParseEventAgainstCircle(t *testing.T) {
	for _, kind := range []camtiming.EventKind{camtiming.IntakeOpens, camtiming.IntakeCloses, camtiming.ExhaustOpens, camtiming.ExhaustCloses} {
		for _, mark := range []string{"BTDC", "ATDC", "BBDC", "ABDC"} {
			for i := range 361 {
				x := float64(i) / 2
				got, err := camtiming.ParseEvent(kind, fmt.Sprintf("%g deg %s", x, mark))
				if err != nil {
					t.Fatal(err)
				}
				want := oracle(kind, mark, x)
				if got != crank(want) && !(math.Abs(want) == 180 && got.Abs() == crank(180)) {
					t.Errorf("%v %g %s: got %v, want %g", kind, x, mark, got, want)
				}
			}
		}
	}
}

// Spellings: the degree sign, minutes of arc (48 deg 30 min = 48.5 deg), no
// space before the mark.
func TestParseEventSpellings(t *testing.T) {
	for text, want := range map[string]float64{
		"28 deg BTDC": 28, "28° BTDC": 28, "28 degBTDC": 28, "  28 deg crank BTDC  ": 28,
		"48 deg 30 min BTDC": 48.5, "5 deg ATDC": -5, "0 deg BTDC": 0,
	} {
		got, err := camtiming.ParseEvent(camtiming.IntakeOpens, text)
		if err != nil || got != crank(want) {
			t.Errorf("%q: %v, %v, want %g", text, got, err, want)
		}
	}
}

func TestEventNames(t *testing.T) {
	for k, want := range map[camtiming.EventKind]string{
		camtiming.IntakeOpens: "IVO", camtiming.IntakeCloses: "IVC", camtiming.ExhaustOpens: "EVO", camtiming.ExhaustCloses: "EVC", 0: "unknown event",
	} {
		if k.String() != want {
			t.Errorf("%d is called %q", k, k)
		}
	}
}

func TestEventsWorking(t *testing.T) {
	e := camtiming.Events{IVO: crank(28), IVC: crank(43), EVO: crank(48), EVC: crank(23)}
	w := e.Working()
	// DOE-HDBK-1018/1-93: 28 + 180 + 43 = 251.
	if len(w) != 4 || w[0].Value != "251.00 crank deg" {
		t.Errorf("working %+v", w)
	}
	for _, s := range w {
		if s.Symbol == "" || s.Formula == "" || s.Numbers == "" || !s.Source.Given() {
			t.Errorf("step %+v is not complete", s)
		}
	}
	if (camtiming.Events{IVO: units.CrankCycle}).Working() != nil {
		t.Error("bad events show a working")
	}
}

// An intake centerline of 106 and an exhaust one of 114, durations of 264 and 270:
// by hand.
func ExampleTiming_Working() {
	t := camtiming.Timing{IntakeDuration: 264 * units.CrankDegree, ExhaustDuration: 270 * units.CrankDegree, IntakeCenterline: 106 * units.CrankDegree, ExhaustCenterline: 114 * units.CrankDegree}
	for _, s := range t.Working() {
		fmt.Println(s.Symbol, "=", s.Formula, "=", s.Value)
	}
	// Output:
	// separation = (ICL + ECL)/2, in cam degrees = 110.00 cam deg
	// advance = (ECL - ICL)/2 = 4.00 crank deg
	// overlap = (Di + De)/2 - (ICL + ECL) = 47.00 crank deg
	// both seated = 720 - Di - De + what the openings share = 233.00 crank deg
}

func TestTimingWorking(t *testing.T) {
	if (camtiming.Timing{}).Working() != nil {
		t.Error("working of nothing")
	}
	w := camtiming.Timing{IntakeDuration: crank(264), ExhaustDuration: crank(270), IntakeCenterline: crank(106), ExhaustCenterline: crank(114)}.Working()
	for i, want := range []string{
		"(106.00 crank deg + 114.00 crank deg)/2", "(114.00 crank deg - 106.00 crank deg)/2",
		"(264.00 crank deg + 270.00 crank deg)/2 - 220.00 crank deg", "720 - 264.00 crank deg - 270.00 crank deg + 47.00 crank deg",
	} {
		if w[i].Numbers != want || !w[i].Source.Given() {
			t.Errorf("%+v, want %q", w[i], want)
		}
	}
}
