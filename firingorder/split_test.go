package firingorder_test

import (
	"fmt"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// spaced reports whether TDC can be dealt out at equal intervals of a cycle of that
// many turns: every slot has as many cylinders as it has turns to fire in.
func spaced(t *testing.T, l *fo.Layout, turns int64) bool {
	t.Helper()
	n := int64(l.Cylinders())
	slots := map[units.CrankAngle]int64{}
	for k := range n {
		f, err := fo.Fraction(k*turns%n, n)
		if err != nil {
			t.Fatal(err)
		}
		slots[f.Angle()]++
	}
	for c := range l.Cylinders() {
		a, err := l.TDC(c + 1)
		if err != nil {
			t.Fatal(err)
		}
		slots[a]--
	}
	for _, left := range slots {
		if left != 0 {
			return false
		}
	}
	return true
}

// Against every third degree, nearest to a shared pin first; all angles here are
// multiples of 3 but the step of 22.5 of a two-stroke of 16.
func TestEvenSplitAgainstSearch(t *testing.T) {
	even := 0
	for k := fo.OnePin; k <= fo.EightTwoFours; k++ {
		for _, cycle := range []fo.Cycle{fo.FourStroke, fo.TwoStroke} {
			for _, passed := range []fo.Passed{fo.PassedFirst, fo.PassedLast} {
				for _, v := range []int64{45, 60, 72, 75, 90, 180} {
					c := fo.VConfig{Crank: k, BankAngle: deg(t, v), Numbering: fo.Alternating, BankOfOne: passed}
					turns := int64(2)
					if cycle == fo.TwoStroke {
						turns = 1
					}
					against := int64(-1)
					if passed == fo.PassedLast {
						against = 1
					}
					want, found := int64(0), false
					for d := int64(0); d <= 180 && !found; d += 3 {
						for _, sign := range []int64{against, -against} {
							x := c
							x.Split = deg(t, sign*d)
							l, err := fo.V(x)
							if err != nil {
								t.Fatal(err)
							}
							if spaced(t, l, turns) {
								want, found = sign*d, true
								break
							}
						}
					}
					got, err := c.EvenSplit(cycle)
					switch {
					case found && (err != nil || got != deg(t, want)):
						t.Errorf("%v, %v, V %d %v: %v, want %d, %v", k, cycle, v, passed, got, want, err)
					case !found && err == nil && got.Angle()%(3*units.CrankDegree) == 0:
						t.Errorf("%v, %v, V %d %v: %v, but no split fires evenly", k, cycle, v, passed, got)
					}
					if err == nil {
						even++
						c.Split = got
						if l, err := fo.V(c); err != nil || !spaced(t, l, turns) {
							t.Errorf("%v, %v, V %d %v: %v does not fire evenly, %v", k, cycle, v, passed, got, err)
						}
					}
				}
			}
		}
	}
	if even < 60 {
		t.Errorf("only %d even", even)
	}
}

func TestEvenSplitRefuses(t *testing.T) {
	good := fo.VConfig{Crank: fo.ThreeEven, BankAngle: deg(t, 90), Numbering: fo.Alternating, BankOfOne: fo.PassedFirst}
	hair, err := fo.Fraction(1, 359_999_999_999)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		spoil func(*fo.VConfig)
		cycle fo.Cycle
		field string
		kind  error
	}{
		"zero":              {func(c *fo.VConfig) { *c = fo.VConfig{} }, fo.FourStroke, "Crank", units.ErrMissing},
		"unknown cycle":     {func(*fo.VConfig) {}, 7, "cycle", units.ErrRange},
		"split stated":      {func(c *fo.VConfig) { c.Split = deg(t, 30) }, fo.FourStroke, "Split", units.ErrConflict},
		"no bank angle":     {func(c *fo.VConfig) { c.BankAngle = fo.Turn{} }, fo.FourStroke, "BankAngle", units.ErrRange},
		"too fine":          {func(c *fo.VConfig) { c.BankAngle = hair }, fo.FourStroke, "BankAngle", units.ErrInexact},
		"a crank of no use": {func(c *fo.VConfig) { c.Crank = fo.TwoQuarter }, fo.FourStroke, "Crank", units.ErrImpossible},
	} {
		x := good
		c.spoil(&x)
		s, err := x.EvenSplit(c.cycle)
		refused(t, name, s != fo.Turn{}, err, c.field, c.kind)
	}
}

func ExampleVConfig_EvenSplit() {
	for _, v := range []int64{60, 72, 90, 120} {
		split, err := fo.VConfig{
			Crank: fo.ThreeEven, BankAngle: must(fo.Degrees(v)), Numbering: fo.Alternating, BankOfOne: fo.PassedFirst,
		}.EvenSplit(fo.FourStroke)
		fmt.Println(v, split.Angle(), err)
	}
	// Output:
	// 60 -60 crank deg <nil>
	// 72 -48 crank deg <nil>
	// 90 -30 crank deg <nil>
	// 120 0 crank deg <nil>
}
