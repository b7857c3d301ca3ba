package firingorder_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// mapped answers by definition whether the bijection m (by cylinder less 1) makes
// the second engine the first with other numbers, after a change.
func mapped(t *testing.T, a, b *fo.Engine, m []int, s fo.Symmetry) bool {
	t.Helper()
	ca, cb := a.Layout().Config(), b.Layout().Config()
	sign := units.CrankAngle(1)
	if s.Reversed {
		sign = -1
	}
	place := func(c fo.Config, cylinder int) int { // throws in use below
		used := map[int]bool{}
		for _, x := range c.Cylinders {
			if x.Throw < c.Cylinders[cylinder].Throw {
				used[x.Throw] = true
			}
		}
		return len(used)
	}
	axis := func(c fo.Config, cylinder int) units.CrankAngle {
		for _, b := range c.Banks {
			if b.Name == c.Cylinders[cylinder].Bank {
				return b.Axis.Angle()
			}
		}
		t.Fatal("no bank")
		return 0
	}
	fires := func(e *fo.Engine, cylinder int) units.CrankAngle {
		f, err := e.FiringAngle(cylinder + 1)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	for i := range m {
		for j := range m {
			d := func(a, b int) int {
				switch {
				case a < b:
					return -1
				case a > b:
					return 1
				}
				return 0
			}
			want, got := d(place(ca, i), place(ca, j)), d(place(cb, m[i]), place(cb, m[j]))
			if s.OtherEnd {
				want = -want
			}
			if want != got ||
				(ca.Cylinders[i].Bank == ca.Cylinders[j].Bank) != (cb.Cylinders[m[i]].Bank == cb.Cylinders[m[j]].Bank) ||
				(sign*(axis(ca, i)-axis(ca, j))-axis(cb, m[i])+axis(cb, m[j])).WrapTurn() != 0 ||
				(sign*(fires(a, i)-fires(a, j))-fires(b, m[i])+fires(b, m[j])).Wrap() != 0 {
				return false
			}
		}
	}
	return true
}

// anyMap tries every bijection and every change.
func anyMap(t *testing.T, a, b *fo.Engine, s fo.Symmetry) bool {
	t.Helper()
	found := false
	m := make([]int, len(a.Order()))
	for i := range m {
		m[i] = i
	}
	permutations(m, func(m []int) {
		for _, c := range []fo.Symmetry{{}, {OtherEnd: true}, {Reversed: true}, {OtherEnd: true, Reversed: true}} {
			if (c.OtherEnd && !s.OtherEnd) || (c.Reversed && !s.Reversed) {
				continue
			}
			found = found || mapped(t, a, b, m, c)
		}
	})
	return found
}

// someEngines makes random engines of whole angles, so that rounding plays no part.
func someEngines(t *testing.T, rnd *rand.Rand) []*fo.Engine {
	t.Helper()
	var found []*fo.Engine
	for len(found) < 2 {
		c := fo.Config{}
		for i := range 1 + rnd.IntN(2) {
			c.Banks = append(c.Banks, fo.Bank{Name: string(rune('A' + i)), Axis: deg(t, int64(90*rnd.IntN(3)))})
		}
		for range 2 + rnd.IntN(2) {
			c.Throws = append(c.Throws, deg(t, int64(90*rnd.IntN(4))))
		}
		for _, b := range c.Banks {
			for k := range c.Throws {
				if rnd.IntN(5) > 0 && len(c.Cylinders) < 5 {
					c.Cylinders = append(c.Cylinders, fo.Cylinder{Bank: b.Name, Throw: k + 1})
				}
			}
		}
		if len(c.Cylinders) < 2 {
			continue
		}
		l, err := fo.NewLayout(c)
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range list(t, fo.OrderSearch{Layout: l}) {
			e, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: order(t, o)})
			if err == nil && len(found) < 6 {
				found = append(found, e)
			}
		}
	}
	return found
}

// Renumber finds a map exactly where trying every bijection finds one, the map it
// gives holds by definition, and the keys agree exactly there.
func TestRenumberAgainstDefinition(t *testing.T) {
	rnd := rand.New(rand.NewPCG(12, 13))
	yes, no := 0, 0
	for range 60 {
		es := someEngines(t, rnd)
		s := fo.Symmetry{OtherEnd: rnd.IntN(2) == 0, Reversed: rnd.IntN(2) == 0}
		for _, a := range es {
			for _, b := range es {
				if len(a.Order()) != len(b.Order()) {
					continue
				}
				r, err := a.Renumber(b, s)
				if err != nil {
					t.Fatal(err)
				}
				want := anyMap(t, a, b, s)
				if r.Exists != want {
					t.Fatalf("%v and %v under %v: %v, want %v", a.Order(), b.Order(), s, r, want)
				}
				pa, err := a.Pattern(s)
				if err != nil {
					t.Fatal(err)
				}
				pb, err := b.Pattern(s)
				if err != nil {
					t.Fatal(err)
				}
				if (pa.Key == pb.Key) != want {
					t.Fatalf("keys %q and %q, but a renumbering is %v", pa.Key, pb.Key, want)
				}
				if !want {
					no++
					continue
				}
				yes++
				if !slices.Equal(pa.Order, pb.Order) {
					t.Fatalf("one key, orders %v and %v", pa.Order, pb.Order)
				}
				m := make([]int, len(r.Numbers))
				for i, c := range r.Numbers {
					m[i] = c - 1
				}
				if !mapped(t, a, b, m, r.Change) {
					t.Fatalf("%v is no renumbering of %v on %v", r, a.Order(), b.Order())
				}
			}
		}
	}
	if min(yes, no) < 50 {
		t.Errorf("lopsided: %d same, %d different", yes, no)
	}
}

// Dealing the numbers anew, turning the zero of the angles, naming the banks
// differently, counting the throws from the other end and turning every angle
// round leaves the pattern of every engine as it was, and is found again.
func TestPatternInvariant(t *testing.T) {
	rnd := rand.New(rand.NewPCG(14, 15))
	for _, e := range []*fo.Engine{
		engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4"),
		engine(t, inline(t, fo.FiveInLine, false), "1-2-4-5-3"),
		engine(t, inline(t, fo.FourTwoPlane, false), "1-3-2-4"),
		engine(t, vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t), "1-8-4-3-6-5-7-2"),
		engine(t, vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(t), "1-7-5-11-3-9-6-12-2-8-4-10"),
		engine(t, boxer(t, 6, fo.Alternating), "1-4-5-2-3-6"),
	} {
		for range 40 {
			c := e.Layout().Config()
			n := len(c.Cylinders)
			change := fo.Symmetry{OtherEnd: rnd.IntN(2) == 0, Reversed: rnd.IntN(2) == 0}
			to := rnd.Perm(n) // the new number less 1 of cylinder i+1
			d := fo.Config{Cylinders: make([]fo.Cylinder, n)}
			turn := int64(15 * rnd.IntN(24))
			angle := func(x fo.Turn) fo.Turn {
				a := int64(x.Angle() / units.CrankDegree)
				if change.Reversed {
					a = -a
				}
				return deg(t, a+turn)
			}
			for i, b := range c.Banks {
				d.Banks = append(d.Banks, fo.Bank{Name: string(rune('X' - i)), Axis: angle(b.Axis)})
			}
			names := map[string]string{"A": "X", "B": "W"}
			for _, x := range c.Throws {
				d.Throws = append(d.Throws, angle(x))
			}
			if change.OtherEnd {
				slices.Reverse(d.Throws)
			}
			for i, x := range c.Cylinders {
				k := x.Throw
				if change.OtherEnd {
					k = len(c.Throws) + 1 - k
				}
				d.Cylinders[to[i]] = fo.Cylinder{Bank: names[x.Bank], Throw: k}
			}
			var o fo.Order
			for _, x := range e.Order() {
				o = append(o, to[x-1]+1)
			}
			if change.Reversed {
				slices.Reverse(o)
			}
			l, err := fo.NewLayout(d)
			if err != nil {
				t.Fatal(err)
			}
			f, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: o})
			if err != nil {
				t.Fatal(err)
			}
			r, err := e.Renumber(f, change)
			if err != nil || !r.Exists {
				t.Fatalf("%v: %v not found again, %v", e.Order(), o, err)
			}
			pe, err1 := e.Pattern(change)
			pf, err2 := f.Pattern(change)
			if err1 != nil || err2 != nil || pe.Key != pf.Key || pe.Order[0] != 1 {
				t.Fatalf("%v: patterns %v and %v, %v, %v", e.Order(), pe, pf, err1, err2)
			}
			numbers := slices.Sorted(slices.Values(pe.Numbers))
			for i, x := range numbers {
				if x != i+1 {
					t.Fatalf("numbers %v", pe.Numbers)
				}
			}
		}
	}
}

func TestPatternRefuses(t *testing.T) {
	good := engine(t, inline(t, fo.FourSinglePlane, false), "1-3-4-2")
	for _, e := range []*fo.Engine{nil, new(fo.Engine)} {
		p, err := e.Pattern(fo.Symmetry{})
		refused(t, "Pattern", p.Key != "", err, "engine", units.ErrMissing)
		r, err := e.Renumber(good, fo.Symmetry{})
		refused(t, "Renumber", r.Exists, err, "engine", units.ErrMissing)
		r, err = good.Renumber(e, fo.Symmetry{})
		refused(t, "other", r.Exists, err, "other", units.ErrMissing)
	}
	other := engine(t, inline(t, fo.ThreeEven, false), "1-3-2")
	if r, err := good.Renumber(other, fo.Symmetry{OtherEnd: true, Reversed: true}); err != nil || r.Exists || r.String() != "none" {
		t.Errorf("a four is a three: %v, %v", r, err)
	}
	if fmt.Sprint(fo.Renumbering{}) != "none" {
		t.Error("the zero renumbering is none")
	}
}
