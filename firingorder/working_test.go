package firingorder_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// Every step is whole: what it is, from what and by whom.
func whole(t *testing.T, w units.Working) {
	t.Helper()
	for _, s := range w {
		if s.Symbol == "" || s.Formula == "" || s.Value == "" || !s.Source.Given() {
			t.Errorf("step %+v", s)
		}
	}
}

// The pair by the phase of the second cylinder, which the engine itself gives.
func TestSparkPairWorking(t *testing.T) {
	rnd := rand.New(rand.NewPCG(71, 72))
	seen := 0
	for range 400 {
		e, _ := fired(t, rnd, fo.FourStroke)
		pairs, err := e.LostSparkPairs()
		if err != nil {
			continue
		}
		for _, p := range pairs {
			seen++
			w := p.Working()
			whole(t, w)
			second, err := e.FiringAngle(p.Second)
			if err != nil {
				t.Fatal(err)
			}
			at, err := e.PhaseAt(p.Second, p.At)
			if err != nil || at.Angle != 0 {
				t.Fatalf("%v: phase %v, %v", p, at, err)
			}
			if len(w) != 3 || w[1].Value != second.String() || w[2].Value != "0 crank deg, overlap TDC" {
				t.Fatalf("%+v, fires at %v", w, second)
			}
		}
	}
	if seen < 10 {
		t.Errorf("%d pairs", seen)
	}
	if (fo.SparkPair{}).Working() != nil {
		t.Error("working of nothing")
	}
}

// For V engines B/F is |cos V|: of forces and of their ratio alike.
func TestFractionsWorking(t *testing.T) {
	for _, v := range []int64{15, 45, 60, 90, 120} {
		b := balance(t, fo.BalanceConfig{Layout: vee{fo.OnePin, false, v, 0, fo.Bankwise, fo.PassedFirst}.layout(t)})
		r, err := b.ForceRatio(1)
		if err != nil {
			t.Fatal(err)
		}
		f, err := r.Fractions()
		if err != nil {
			t.Fatal(err)
		}
		w := f.Working()
		whole(t, w)
		var got float64
		if _, err := fmt.Sscan(w[0].Value, &got); err != nil || len(w) != 4 || math.Abs(got-math.Abs(math.Cos(float64(v)*math.Pi/180))) > 1e-6 {
			t.Errorf("V %d: %+v", v, w)
		}
	}
	if (fo.Fractions{}).Working() != nil {
		t.Error("working of nothing")
	}
}

// The sums and rooms of the five engines' rules: the least of the rooms is Room, and
// each valve names its partner.
func TestSumRuleWorking(t *testing.T) {
	e := engine(t, inline(t, fo.FourSinglePlane, false), "1-3-4-2")
	s := []fo.Valve{fo.ExhaustValve, fo.IntakeValve, fo.IntakeValve, fo.ExhaustValve, fo.ExhaustValve, fo.IntakeValve, fo.IntakeValve, fo.ExhaustValve}
	closed := []fo.ClosedValves{{ // closed for 430 and 446 degrees
		Intake:  fo.Window{From: 247 * oneDeg, To: -43 * oneDeg},
		Exhaust: fo.Window{From: 24 * oneDeg, To: -250 * oneDeg},
	}}
	r, err := fo.LashSetting{Engine: e, Closed: closed}.SumRule(s)
	if err != nil {
		t.Fatal(err)
	}
	given := slices.Clone(s)
	s[0], closed[0] = fo.IntakeValve, fo.ClosedValves{} // the caller's own: the rule keeps what it was made from
	w := r.Working()
	whole(t, w)
	if len(w) != 2+8+1 || w[0].Value != "5" || w[1].Value != "9" || w[10].Value != "215 crank deg" {
		t.Fatalf("%+v", w)
	}
	for i := range 8 {
		room, kind := "215 crank deg", "intake"
		if given[i] == fo.ExhaustValve {
			room, kind = "223 crank deg", "exhaust"
		}
		k, err := r.Partner(i + 1)
		want := fmt.Sprintf("9 - %d = %d: %s %d open at ", i+1, k, kind, i/2+1)
		if err != nil || w[2+i].Value != room || !strings.HasPrefix(w[2+i].Numbers, want) || !strings.HasSuffix(w[2+i].Numbers, fmt.Sprintf("%s %d closed", kind, (k-1)/2+1)) {
			t.Errorf("valve %d: %+v, want %q", i+1, w[2+i], want)
		}
	}
	if (fo.SumRule{Cylinders: 5, Valves: 9}).Working() != nil {
		t.Error("working of a rule that was not found")
	}
}

// Every two readings have a step that says what the groups make of them, also
// where two are apart and yet both together with a third.
func TestTDCGroupsWorking(t *testing.T) {
	r := []fo.TDCReading{reading(6, 5, 1), reading(1, 0, 1), reading(4, 2.5, 1), reading(2, 120, 1), reading(3, 240, 1)}
	g, err := fo.TDCComparison{Readings: r, Spacing: 7 * units.CrankDegree}.Compare()
	if err != nil {
		t.Fatal(err)
	}
	// U = 2.83, S - U = 4.17: 1 and 4, 4 and 6 together, 1 and 6 apart.
	want := map[string]string{
		"1 and 2": "apart", "1 and 3": "apart", "1 and 4": "together", "1 and 6": "unclear: apart, and yet both together with a third",
		"2 and 3": "apart", "2 and 4": "apart", "2 and 6": "apart", "3 and 4": "apart", "3 and 6": "apart", "4 and 6": "together",
	}
	w := g.Working()
	whole(t, w)
	if len(w) != len(want) || len(g.Unclear) != 1 {
		t.Fatalf("%+v, %+v", g, w)
	}
	for _, s := range w {
		if s.Value != want[s.Symbol] {
			t.Errorf("%s: %s", s.Symbol, s.Value)
		}
	}
	if (fo.TDCGroups{}).Working() != nil {
		t.Error("working of nothing")
	}
}
