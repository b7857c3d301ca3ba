package firingorder_test

import (
	"errors"
	"fmt"
	"math/big"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func deg(t testing.TB, d int64) fo.Turn {
	t.Helper()
	x, err := fo.Degrees(d)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func order(t testing.TB, s string) fo.Order {
	t.Helper()
	o, err := fo.ParseOrder(s)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func v8(t testing.TB, k fo.Crank, n fo.Numbering, p fo.Passed) *fo.Layout {
	t.Helper()
	l, err := fo.V(fo.VConfig{Crank: k, BankAngle: deg(t, 90), Numbering: n, BankOfOne: p})
	if err != nil {
		t.Fatal(err)
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
	// Auto Engine Repair (2021), p. 126: pairs 1&6 5&8 4&7 2&3.
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

func TestPhaseAllocatesNothing(t *testing.T) {
	l, _ := fo.Inline(fo.InlineConfig{Crank: fo.SixEven})
	e, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: order(t, "1-5-3-6-2-4")})
	if err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(100, func() { _, _ = e.PhaseAt(5, 123*units.CrankDegree); _, _ = e.CompanionOf(5) }); n != 0 {
		t.Error(n)
	}
}

func FuzzParseOrder(f *testing.F) {
	for _, s := range []string{"1-5-3-6-2-4", "", "1--2", "1-1", "-1", "01", "A1-B5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		o, err := fo.ParseOrder(s)
		if err != nil {
			if o != nil {
				t.Fatal("a value with an error")
			}
			return
		}
		if o.String() != s {
			t.Fatalf("%q reads as %q", s, o)
		}
	})
}

func BenchmarkPhaseAt(b *testing.B) {
	l, _ := fo.Inline(fo.InlineConfig{Crank: fo.SixEven})
	e, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: order(b, "1-5-3-6-2-4")})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		i++
		_, _ = e.PhaseAt(1+i%6, units.CrankAngle(i)*units.CrankDegree)
	}
}
