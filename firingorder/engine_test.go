package firingorder_test

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func deg(tb testing.TB, d int64) fo.Turn {
	tb.Helper()
	x, err := fo.Degrees(d)
	if err != nil {
		tb.Fatal(err)
	}
	return x
}

func order(tb testing.TB, s string) fo.Order {
	tb.Helper()
	o, err := fo.ParseOrder(s)
	if err != nil {
		tb.Fatal(err)
	}
	return o
}

func v8(tb testing.TB, k fo.Crank, n fo.Numbering, p fo.Passed) *fo.Layout {
	tb.Helper()
	l, err := fo.V(fo.VConfig{Crank: k, BankAngle: deg(tb, 90), Numbering: n, BankOfOne: p})
	if err != nil {
		tb.Fatal(err)
	}
	return l
}

// The oracle by definition: even fire, pin = axis - firing angle, and facing
// cylinders must get the same pin.
func oracleFeasible(o fo.Order, n fo.Numbering, p fo.Passed) (pins [4]string, ok bool) {
	set := [4]bool{}
	for i, c := range o {
		bank, throw := (c-1)/4, (c-1)%4
		if n == fo.Alternating {
			bank, throw = (c-1)%2, (c-1)/2
		}
		axis := big.NewRat(int64(90*bank), 1)
		if p == fo.PassedLast {
			axis.Neg(axis)
		}
		pin := axis.Sub(axis, big.NewRat(int64(90*i), 1))
		for pin.Sign() < 0 {
			pin.Add(pin, big.NewRat(360, 1))
		}
		if set[throw] && pins[throw] != pin.RatString() {
			return pins, false
		}
		set[throw], pins[throw] = true, pin.RatString()
	}
	return pins, true
}

// The rule for a fixed crank against the oracle, over every order of the five
// common ones and four numbering/orientation pairs. Published orders: Auto
// Engine Repair (2021), p. 126, Fig. 6-2, and trade lists; feasibility computed
// independently.
func TestFiveOrdersOfTheTwoPlaneV8(t *testing.T) {
	want := map[string][2]uint8{
		"1-8-4-3-6-5-7-2": {uint8(fo.Alternating), uint8(fo.PassedLast)},
		"1-8-7-2-6-5-4-3": {uint8(fo.Alternating), uint8(fo.PassedLast)},
		"1-5-4-2-6-3-7-8": {uint8(fo.Bankwise), uint8(fo.PassedFirst)},
		"1-3-7-2-6-5-4-8": {uint8(fo.Bankwise), uint8(fo.PassedFirst)},
		"1-5-6-3-4-2-7-8": {uint8(fo.Alternating), uint8(fo.PassedFirst)},
	}
	for s, w := range want {
		for _, n := range []fo.Numbering{fo.Alternating, fo.Bankwise} {
			for _, p := range []fo.Passed{fo.PassedFirst, fo.PassedLast} {
				_, err := fo.NewEngine(fo.EngineConfig{Layout: v8(t, fo.FourTwoPlane, n, p), Order: order(t, s)})
				right := w == [2]uint8{uint8(n), uint8(p)}
				if _, ok := oracleFeasible(order(t, s), n, p); ok != right {
					t.Errorf("oracle disagrees with the table for %s", s)
				}
				if (err == nil) != right {
					t.Errorf("%s %v %v: %v", s, n, p, err)
				}
				if err != nil && !errors.Is(err, units.ErrImpossible) {
					t.Errorf("%s: kind of %v", s, err)
				}
			}
		}
	}
}

func TestCompanions(t *testing.T) {
	l := v8(t, fo.FourTwoPlane, fo.Alternating, fo.PassedLast)
	e, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: order(t, "1-8-4-3-6-5-7-2")})
	if err != nil {
		t.Fatal(err)
	}
	// Pairs 1&6 5&8 4&7 2&3: magazine article on firing-order swap camshafts.
	for a, b := range map[int]int{1: 6, 5: 8, 4: 7, 2: 3, 6: 1} {
		c, err := e.CompanionOf(a)
		if err != nil || !c.Exists || c.Cylinder != b {
			t.Errorf("companion of %d = %v, %v", a, c, err)
		}
		f, _ := e.FiringAngle(a)
		if p, _ := e.PhaseAt(b, f); p.Angle != 0 {
			t.Errorf("cylinder %d stands at %v while %d fires", b, p.Angle, a)
		}
	}
	// Geometry gives none: a 45 degree twin on one pin (405 and 315 degrees).
	v, err := fo.V(fo.VConfig{Crank: fo.OnePin, BankAngle: deg(t, 45), Numbering: fo.Alternating, BankOfOne: fo.PassedFirst})
	if err != nil {
		t.Fatal(err)
	}
	e, err = fo.NewEngine(fo.EngineConfig{Layout: v, Order: order(t, "1-2")})
	if err != nil {
		t.Fatal(err)
	}
	if c, _ := e.CompanionOf(1); c.Exists {
		t.Error("an uneven V2 has a companion")
	}
	if g := fmt.Sprint(e.Intervals()); g != "[405 crank deg 315 crank deg]" {
		t.Error(g)
	}
	// Pins 180 apart in an in-line twin: 180/540 or 540/180 must be said.
	i2, _ := fo.Inline(fo.InlineConfig{Crank: fo.TwoOpposed})
	if _, err := fo.NewEngine(fo.EngineConfig{Layout: i2, Order: order(t, "1-2")}); !errors.Is(err, units.ErrMissing) {
		t.Error(err)
	}
}

func mustOrder(tb testing.TB, e *fo.Engine, err error) *fo.Engine {
	tb.Helper()
	if err != nil {
		tb.Fatal(err)
	}
	return e
}

func TestNewEngineRefuses(t *testing.T) {
	six := inline(t, fo.SixEven, false)
	v8layout := v8(t, fo.FourTwoPlane, fo.Alternating, fo.PassedFirst)
	v6 := vee{fo.ThreeEven, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t)
	i2 := inline(t, fo.TwoOpposed, false)
	i3 := inline(t, fo.ThreeEven, false)
	for name, c := range map[string]struct {
		config fo.EngineConfig
		field  string
		kind   error
		says   []string
	}{
		"nothing":        {fo.EngineConfig{}, "Layout", units.ErrMissing, nil},
		"no layout":      {fo.EngineConfig{Order: fo.Order{1}}, "Layout", units.ErrMissing, nil},
		"no order":       {fo.EngineConfig{Layout: six}, "Order", units.ErrMissing, nil},
		"unknown cycle":  {fo.EngineConfig{Layout: six, Order: order(t, "1-5-3-6-2-4"), Cycle: 2}, "Cycle", units.ErrRange, nil},
		"cylinder 0":     {fo.EngineConfig{Layout: six, Order: fo.Order{0, 1, 2, 3, 4, 5}}, "Order", units.ErrRange, nil},
		"cylinder -1":    {fo.EngineConfig{Layout: six, Order: fo.Order{1, -1}}, "Order", units.ErrRange, nil},
		"cylinder 7":     {fo.EngineConfig{Layout: six, Order: order(t, "1-5-3-6-2-4-7")}, "Order", units.ErrRange, []string{"1 to 6"}},
		"5 repeated":     {fo.EngineConfig{Layout: six, Order: fo.Order{1, 5, 3, 6, 5, 4}}, "Order", units.ErrConflict, []string{"cylinder 5 fires twice"}},
		"2 missing":      {fo.EngineConfig{Layout: six, Order: order(t, "1-5-3-6-4")}, "Order", units.ErrMissing, []string{"cylinder 2 does not fire"}},
		"1 missing":      {fo.EngineConfig{Layout: six, Order: order(t, "5-3-6-2-4")}, "Order", units.ErrMissing, []string{"cylinder 1 does not fire"}},
		"order too long": {fo.EngineConfig{Layout: six, Order: make(fo.Order, 1000)}, "Order", units.ErrRange, nil},
		// pin = axis - firing angle: 5 fires second, at 120, so its pin would be at 240; 2 sits at 240 and 5, too.
		// 1-4-... puts 4 second: its pin would be at -120 = 240, SixEven has it at 120.
		"in-line six": {
			fo.EngineConfig{Layout: six, Order: order(t, "1-4-2-6-3-5")},
			"Order", units.ErrImpossible,
			[]string{"cylinder 4", "need its pin at 240", "it is at 120"},
		},
		// 1-8-4-3-6-5-7-2 with the bank of 1 passed first: 4 fires third, at 180, axis 90, pin -90 = 270;
		// 3 shares that pin and fires fourth, at 270, axis 0, pin -270 = 90.
		"two-plane V8": {
			fo.EngineConfig{Layout: v8layout, Order: order(t, "1-8-4-3-6-5-7-2")},
			"Order", units.ErrImpossible,
			[]string{"cylinders 3 and 4 share a pin", "cylinder 4 needs it at 270", "cylinder 3 at 90"},
		},
		// Uneven by layout, so no even pin to name: 150/90 fires 1-6-5-4-3-2.
		"V6 on shared pins": {
			fo.EngineConfig{Layout: v6, Order: order(t, "1-2-3-4-5-6")},
			"Order", units.ErrImpossible,
			[]string{"cylinder", "TDC", "no turn of the four-stroke cycle is left"},
		},
		"two-stroke twin that fires together": {
			fo.EngineConfig{Layout: boxer(t, 2, fo.Bankwise), Order: fo.Order{1, 2}, Cycle: fo.TwoStroke},
			"Order", units.ErrImpossible,
			[]string{"cylinder 2 reaches TDC together with cylinder 1", "two-stroke"},
		},
		"two-stroke three the wrong way": {
			fo.EngineConfig{Layout: i3, Order: order(t, "1-3-2"), Cycle: fo.TwoStroke},
			"Order", units.ErrImpossible,
			[]string{"cylinder 3 would need its pin at 240", "it is at 120"},
		},
		"twin left open":          {fo.EngineConfig{Layout: i2, Order: fo.Order{1, 2}}, "SecondTurnFrom", units.ErrMissing, []string{"cylinder 2 or 1"}},
		"three counted up":        {fo.EngineConfig{Layout: i3, Order: order(t, "1-2-3")}, "SecondTurnFrom", units.ErrMissing, []string{"cylinder 2 would need its pin at 120", "it is at 240"}},
		"second turn unknown":     {fo.EngineConfig{Layout: i2, Order: fo.Order{1, 2}, SecondTurnFrom: 3}, "SecondTurnFrom", units.ErrConflict, []string{"no such cylinder"}},
		"second turn negative":    {fo.EngineConfig{Layout: i2, Order: fo.Order{1, 2}, SecondTurnFrom: -1}, "SecondTurnFrom", units.ErrConflict, []string{"no such cylinder"}},
		"second turn of a stroke": {fo.EngineConfig{Layout: i2, Order: fo.Order{1, 2}, SecondTurnFrom: 2, Cycle: fo.TwoStroke}, "SecondTurnFrom", units.ErrConflict, []string{"two-stroke"}},
		"second turn contradicts": {fo.EngineConfig{Layout: six, Order: order(t, "1-5-3-6-2-4"), SecondTurnFrom: 3}, "SecondTurnFrom", units.ErrConflict, []string{"cylinder 6"}},
	} {
		e, err := fo.NewEngine(c.config)
		refused(t, name, e != nil, err, c.field, c.kind)
		for _, w := range c.says {
			if err != nil && !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %v does not say %q", name, err, w)
			}
		}
	}
	// Stated and right is no contradiction; any cylinder may begin.
	e, err := fo.NewEngine(fo.EngineConfig{Layout: six, Order: order(t, "6-2-4-1-5-3"), SecondTurnFrom: 6})
	if mustOrder(t, e, err).Order().String() != "1-5-3-6-2-4" {
		t.Error(e.Order())
	}
}

func TestEngineIsAskedForNothingItHasNot(t *testing.T) {
	e := engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4")
	var none *fo.Engine
	for _, c := range []int{0, -1, 7, math.MaxInt, math.MinInt} {
		a, err := e.FiringAngle(c)
		refused(t, "FiringAngle", a != 0, err, "cylinder", units.ErrRange)
		k, err := e.CompanionOf(c)
		refused(t, "CompanionOf", k != fo.Companion{}, err, "cylinder", units.ErrRange)
		p, err := e.PhaseAt(c, 0)
		refused(t, "PhaseAt", p != fo.Phase{}, err, "cylinder", units.ErrRange)
	}
	for _, e := range []*fo.Engine{none, {}} {
		a, err := e.FiringAngle(1)
		refused(t, "FiringAngle of no engine", a != 0, err, "engine", units.ErrMissing)
		k, err := e.CompanionOf(1)
		refused(t, "CompanionOf of no engine", k != fo.Companion{}, err, "engine", units.ErrMissing)
		p, err := e.PhaseAt(1, 0)
		refused(t, "PhaseAt of no engine", p != fo.Phase{}, err, "engine", units.ErrMissing)
		if len(e.Order()) != 0 || len(e.Intervals()) != 0 || e.Layout() != nil || e.Even() || e.Working() != nil {
			t.Error("an engine that was not built answers")
		}
	}
}

// The cycle by definition: 0 is overlap TDC and -360 firing TDC; each stroke
// lasts from its dead center to the next.
func TestStrokes(t *testing.T) {
	e := engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4")
	const d = units.CrankDegree
	for _, c := range []struct {
		cylinder int
		engine   units.CrankAngle
		angle    units.CrankAngle
		stroke   fo.Stroke
	}{
		{1, 0, -360 * d, fo.Power},
		{1, 1, -360*d + 1, fo.Power},
		{1, 180*d - 1, -180*d - 1, fo.Power},
		{1, 180 * d, -180 * d, fo.Exhaust},
		{1, 360*d - 1, -1, fo.Exhaust},
		{1, 360 * d, 0, fo.Intake},
		{1, 540*d - 1, 180*d - 1, fo.Intake},
		{1, 540 * d, 180 * d, fo.Compression},
		{1, 720*d - 1, 360*d - 1, fo.Compression},
		{1, 720 * d, -360 * d, fo.Power},
		{1, -1, 360*d - 1, fo.Compression},
		{1, -720 * d, -360 * d, fo.Power},
		{6, 0, 0, fo.Intake},             // companion of 1
		{5, 120 * d, -360 * d, fo.Power}, // second in the order
		{4, 0, -240 * d, fo.Power},       // fired 120 degrees before cylinder 1
		{4, -120 * d, -360 * d, fo.Power},
		{3, 7200*d + 240*d, -360 * d, fo.Power},
		{3, -7200*d + 240*d, -360 * d, fo.Power},
		// Ten million cycles and 2.4 degrees: 2.4 - 240 - 360 + 720 = 122.4.
		{3, 7_200_000_002_400_000_000, 122_400_000_000, fo.Intake},
	} {
		p, err := e.PhaseAt(c.cylinder, c.engine)
		if err != nil || p.Angle != c.angle || p.Stroke != c.stroke {
			t.Errorf("cylinder %d at %v: %v %v, want %v %v, %v", c.cylinder, c.engine, p.Angle, p.Stroke, c.angle, c.stroke, err)
		}
	}
	// The ends of the range of angles: same remainder, found with math/big.
	for _, a := range []units.CrankAngle{math.MaxInt64, -math.MaxInt64, math.MinInt64} {
		for c := 1; c <= 6; c++ {
			f, err := e.FiringAngle(c)
			if err != nil {
				t.Fatal(err)
			}
			x := new(big.Int).Sub(big.NewInt(int64(a)), big.NewInt(int64(f)))
			x.Mod(x, big.NewInt(int64(units.CrankCycle))) // 0 to 720 after firing
			want := units.CrankAngle(x.Int64()) - units.CrankTurn
			if p, err := e.PhaseAt(c, a); err != nil || p.Angle != want {
				t.Errorf("cylinder %d at %d: %v, want %v, %v", c, a, p.Angle, want, err)
			}
		}
	}
}

// In a two-stroke every cylinder fires at every TDC: a three fires 120 degrees
// apart (360/3), has no overlap and no companions.
func TestTwoStroke(t *testing.T) {
	e, err := fo.NewEngine(fo.EngineConfig{Layout: inline(t, fo.ThreeEven, false), Order: order(t, "1-2-3"), Cycle: fo.TwoStroke})
	if mustOrder(t, e, err); intervalText(e) != "120-120-120" || !e.Even() {
		t.Error(e.Intervals())
	}
	const d = units.CrankDegree
	for _, c := range []struct {
		cylinder     int
		engine, want units.CrankAngle
	}{{1, 0, 0}, {1, -1, 360*d - 1}, {1, 360 * d, 0}, {1, 725 * d, 5 * d}, {2, 120 * d, 0}, {3, 0, 120 * d}, {3, -3600 * d, 120 * d}} {
		p, err := e.PhaseAt(c.cylinder, c.engine)
		if err != nil || p.Angle != c.want || p.Stroke != fo.NoStroke {
			t.Errorf("cylinder %d at %v: %v %v, want %v, %v", c.cylinder, c.engine, p.Angle, p.Stroke, c.want, err)
		}
	}
	for c := 1; c <= 3; c++ {
		k, err := e.CompanionOf(c)
		if err != nil || k.Exists || k.Cylinder != 0 {
			t.Error(k, err)
		}
		if w := k.Working(); len(w) != 1 || w[0].Value != "none" {
			t.Error(w)
		}
	}
	p, err := e.PhaseAt(2, 125*d)
	if w := p.Working(); err != nil || len(w) != 3 || w[2].Numbers != "125 - 120" || w[2].Value != "5 crank deg" {
		t.Error(w, err)
	}
	// Two cylinders together at TDC are companions in a four-stroke only.
	six, err := fo.NewEngine(fo.EngineConfig{Layout: inline(t, fo.SixEven, false), Order: order(t, "1-5-3-6-2-4"), Cycle: fo.TwoStroke})
	refused(t, "two-stroke six on three positions", six != nil, err, "Order", units.ErrImpossible)
}

// Geometry has no pair though the number is even: the halves of the order would
// give one. Uneven firing by bank angle and pins, see the intervals.
func TestNoCompanion(t *testing.T) {
	for _, c := range []struct {
		e         *fo.Engine
		intervals string
	}{
		{engine(t, vee{fo.ThreeEven, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t), "1-6-5-4-3-2"), "150-90-150-90-150-90"},
		{engine(t, inline(t, fo.FourTwoPlane, true), "1-3-2-4"), "270-180-90-180"},
		{engine(t, inline(t, fo.TwoQuarter, false), "1-2"), "270-450"},
		{engine(t, vee{fo.OnePin, false, 45, 0, fo.Bankwise, fo.PassedFirst}.layout(t), "1-2"), "405-315"},
		{engine(t, vee{fo.TwoOpposed, false, 90, 0, fo.Alternating, fo.PassedFirst}.layout(t), "1-3-2-4"), "180-270-180-90"},
		{engine(t, vee{fo.FiveStar, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t), "1-10-9-4-3-6-5-8-7-2"), "54-90-54-90-54-90-54-90-54-90"},
	} {
		if got := intervalText(c.e); got != c.intervals {
			t.Errorf("%v: %s, want %s", c.e.Order(), got, c.intervals)
		}
		if got := pairText(t, c.e); got != "none" || c.e.Even() {
			t.Errorf("%v: companions %s", c.e.Order(), got)
		}
	}
}

func TestWorking(t *testing.T) {
	e := engine(t, v8(t, fo.FourTwoPlane, fo.Alternating, fo.PassedLast), "1-8-4-3-6-5-7-2")
	k, err1 := e.CompanionOf(8)
	p, err2 := e.PhaseAt(8, -90*units.CrankDegree)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	// 8 fires second, at 90; 450 is cylinder 5, the sixth. At -90 it is 180 before firing: compression begins.
	for name, c := range map[string]struct {
		w    units.Working
		last string
		n    int
	}{
		"companion": {k.Working(), "cylinder 5", 3},
		"phase":     {p.Working(), "compression", 4},
		"engine":    {e.Working(), "630 crank deg", 8},
	} {
		if len(c.w) != c.n || c.w[len(c.w)-1].Value != c.last {
			t.Errorf("%s: %v", name, c.w)
		}
		for _, s := range c.w {
			if s.Symbol == "" || s.Formula == "" || s.Value == "" || !s.Source.Given() {
				t.Errorf("%s: incomplete step %+v", name, s)
			}
		}
	}
	if (fo.Companion{}).Working() != nil || (fo.Phase{}).Working() != nil {
		t.Error("the zero results work something out")
	}
	if s := e.Working()[1]; s.Numbers != "(270 - 180) - (0) mod 360" || s.Value != "90 crank deg" {
		t.Errorf("%+v", s)
	}
}

func TestAllocatesNothing(t *testing.T) {
	e := engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4")
	l := e.Layout()
	for name, f := range map[string]func(){
		"PhaseAt":     func() { _, _ = e.PhaseAt(5, 123*units.CrankDegree) },
		"CompanionOf": func() { _, _ = e.CompanionOf(5) },
		"FiringAngle": func() { _, _ = e.FiringAngle(5) },
		"Even":        func() { _ = e.Even() },
		"Label":       func() { _ = l.Label(5) },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s allocates %v times", name, n)
		}
	}
}
