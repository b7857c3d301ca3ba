package firingorder_test

import (
	"errors"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// rational is a layout in degrees as fractions, kept apart from the package.
type rational struct {
	axes, pins []*big.Rat
	bank, pin  []int // by cylinder - 1
}

func rat(num, den int64) *big.Rat { return big.NewRat(num, den) }

// wrap reduces x to [0, m).
func wrap(x *big.Rat, m int64) *big.Rat {
	mod := rat(m, 1)
	q := new(big.Rat).Quo(x, mod)
	floor := new(big.Int).Div(q.Num(), q.Denom()) // Euclidean, the denominator is positive
	return new(big.Rat).Sub(x, mod.Mul(mod, new(big.Rat).SetInt(floor)))
}

// tdc is axis - pin against cylinder 1, by definition.
func (r rational) tdc(cylinder int) *big.Rat {
	at := func(i int) *big.Rat { return new(big.Rat).Sub(r.axes[r.bank[i]], r.pins[r.pin[i]]) }
	return wrap(new(big.Rat).Sub(at(cylinder-1), at(0)), 360)
}

// firings tries every choice of turns and returns those in which the cylinders
// fire in the order, at different angles, cylinder 1 at 0.
func (r rational) firings(o []int, turns int) [][]*big.Rat {
	var found [][]*big.Rat
	for choice := range 1 << len(o) {
		if turns == 1 && choice > 0 || choice&1 == 1 {
			continue // one turn only; cylinder 1 (bit 0) in the first
		}
		f := make([]*big.Rat, len(o)) // by place in the order
		ok := true
		for i, c := range o {
			f[i] = new(big.Rat).Add(r.tdc(c), rat(360*int64(choice>>(c-1)&1), 1))
			ok = ok && (i == 0 || f[i].Cmp(f[i-1]) > 0)
		}
		if ok {
			found = append(found, f)
		}
	}
	return found
}

// gaps returns the intervals, largest first.
func gaps(f []*big.Rat, cycle int64) []*big.Rat {
	g := make([]*big.Rat, len(f))
	for i := range f {
		next := rat(cycle, 1)
		if i+1 < len(f) {
			next = f[i+1]
		}
		g[i] = new(big.Rat).Sub(next, f[i])
	}
	slices.SortFunc(g, func(a, b *big.Rat) int { return b.Cmp(a) })
	return g
}

// nano rounds degrees to the count of a crank angle.
func nano(t *testing.T, x *big.Rat) units.CrankAngle {
	t.Helper()
	n := new(big.Rat).Mul(x, rat(1_000_000_000, 1))
	n.Add(n, rat(1, 2))
	return units.CrankAngle(new(big.Int).Div(n.Num(), n.Denom()).Int64())
}

func (r rational) layout(t *testing.T) *fo.Layout {
	t.Helper()
	turn := func(x *big.Rat) fo.Turn {
		y := new(big.Rat).Quo(x, rat(360, 1))
		f, err := fo.Fraction(y.Num().Int64(), y.Denom().Int64())
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	var c fo.Config
	for i, x := range r.axes {
		c.Banks = append(c.Banks, fo.Bank{Name: string(rune('A' + i)), Axis: turn(x)})
	}
	for _, x := range r.pins {
		c.Throws = append(c.Throws, turn(x))
	}
	for i := range r.bank {
		c.Cylinders = append(c.Cylinders, fo.Cylinder{Bank: c.Banks[r.bank[i]].Name, Throw: r.pin[i] + 1})
	}
	l, err := fo.NewLayout(c)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// random makes a layout of up to 7 cylinders on up to 3 banks whose angles are
// multiples of a random step, so that TDCs often coincide.
func random(rnd *rand.Rand) rational {
	steps := []*big.Rat{rat(90, 1), rat(120, 1), rat(60, 1), rat(45, 1), rat(72, 1), rat(360, 7), rat(30, 1)}
	step := steps[rnd.IntN(len(steps))]
	angle := func() *big.Rat { return new(big.Rat).Mul(step, rat(int64(rnd.IntN(15)-7), 1)) }
	var r rational
	for range 1 + rnd.IntN(3) {
		r.axes = append(r.axes, angle())
	}
	for range 1 + rnd.IntN(7) {
		r.pins = append(r.pins, angle())
	}
	var places [][2]int
	for b := range r.axes {
		for p := range r.pins {
			places = append(places, [2]int{b, p})
		}
	}
	rnd.Shuffle(len(places), func(i, j int) { places[i], places[j] = places[j], places[i] })
	for _, p := range places[:1+rnd.IntN(min(7, len(places)))] {
		r.bank, r.pin = append(r.bank, p[0]), append(r.pin, p[1])
	}
	return r
}

// TestAgainstDefinition compares layouts, engines, companions, intervals and the
// errors with the definitions, tried out with fractions over every choice of
// turns.
func TestAgainstDefinition(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	outcomes := map[string]int{}
	for range 4000 {
		r := random(rnd)
		n := len(r.bank)
		l := r.layout(t)
		for c := 1; c <= n; c++ {
			got, err := l.TDC(c)
			if want := nano(t, r.tdc(c)); err != nil || got != want {
				t.Fatalf("%v cylinder %d: TDC %v, want %v, %v", r, c, got, want, err)
			}
		}
		o := rnd.Perm(n)
		for i := range o {
			o[i]++
		}
		at := slices.Index(o, 1)
		o = slices.Concat(o[at:], o[:at])
		if rnd.IntN(2) == 0 { // an order that stands a chance: by TDC, then turned apart
			slices.SortStableFunc(o[1:], func(a, b int) int { return r.tdc(a).Cmp(r.tdc(b)) })
			var one, more []int
			for _, c := range o {
				if c == 1 || rnd.IntN(2) == 0 && r.tdc(c).Sign() > 0 {
					one = append(one, c)
				} else {
					more = append(more, c)
				}
			}
			o = append(one, more...)
		}
		cycle, turns := fo.FourStroke, 2
		if rnd.IntN(4) == 0 {
			cycle, turns = fo.TwoStroke, 1
		}
		full := int64(360 * turns)
		found := r.firings(o, turns)
		var best []*big.Rat
		tie := false
		for _, f := range found {
			if best == nil {
				best = f
				continue
			}
			switch slices.CompareFunc(gaps(f, full), gaps(best, full), (*big.Rat).Cmp) {
			case -1:
				best, tie = f, false
			case 0:
				tie = true
			}
		}
		e, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: o, Cycle: cycle})
		switch {
		case best == nil:
			outcomes["impossible"]++
			refused(t, "impossible", e != nil, err, "Order", units.ErrImpossible)
			continue
		case tie:
			outcomes["open"]++
			refused(t, "open", e != nil, err, "SecondTurnFrom", units.ErrMissing)
			// Each of the ways can be had by saying so.
			for _, f := range found {
				k := slices.IndexFunc(f, func(x *big.Rat) bool { return x.Cmp(rat(360, 1)) >= 0 })
				first := 1
				if k >= 0 {
					first = o[k]
				}
				e, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: o, SecondTurnFrom: first})
				if err != nil {
					t.Fatal(err)
				}
				agree(t, e, o, f, full)
			}
			continue
		case err != nil:
			t.Fatalf("%v order %v: %v, but it can fire at %v", r, o, err, best)
		}
		outcomes[cycle.String()]++
		agree(t, e, o, best, full)
	}
	for _, k := range []string{"impossible", "open", "four-stroke", "two-stroke"} {
		if outcomes[k] < 50 {
			t.Errorf("only %d cases are %s", outcomes[k], k)
		}
	}
}

// agree compares an engine with the firing angles by place in the order.
func agree(t *testing.T, e *fo.Engine, o []int, f []*big.Rat, full int64) {
	t.Helper()
	sum := units.CrankAngle(0)
	even := true
	g := e.Intervals()
	for i, c := range o {
		angle, err := e.FiringAngle(c)
		if err != nil || angle != nano(t, f[i]) {
			t.Fatalf("cylinder %d fires at %v, want %v, %v", c, angle, f[i], err)
		}
		sum += g[i]
		want := 0
		for j := range f {
			d := new(big.Rat).Sub(f[j], f[i])
			if full == 720 && d.Abs(d).Cmp(rat(360, 1)) == 0 {
				want = o[j]
			}
		}
		if k, err := e.CompanionOf(c); err != nil || k.Cylinder != want || k.Exists != (want != 0) {
			t.Fatalf("companion of %d is %d, want %d, %v", c, k.Cylinder, want, err)
		}
		even = even && f[i].Cmp(rat(full*int64(i), int64(len(o)))) == 0
	}
	if sum != units.CrankAngle(full)*units.CrankDegree {
		t.Fatalf("intervals %v add up to %v", g, sum)
	}
	if e.Even() != even {
		t.Fatalf("even %v, want %v", e.Even(), even)
	}
	if !slices.Equal(e.Order(), fo.Order(o)) {
		t.Fatalf("order %v, want %v", e.Order(), o)
	}
}

// pinsFrom answers by definition which pins an order needs: pin = axis - firing
// angle at equal intervals, cylinder 1 at axis 0.
func pinsFrom(o []int, axis func(cylinder int) int64) map[int]*big.Rat {
	pins := map[int]*big.Rat{}
	for i, c := range o {
		pins[c] = wrap(new(big.Rat).Sub(rat(axis(c), 1), rat(720*int64(i), int64(len(o)))), 360)
	}
	return pins
}

// TestPinsFromOrders derives the pins of published orders and expects that the
// constructor's throws are these, and that each order fits.
func TestPinsFromOrders(t *testing.T) {
	const alt, bw, first, last = fo.Alternating, fo.Bankwise, fo.PassedFirst, fo.PassedLast
	line := func(k fo.Crank) *fo.Layout { return inline(t, k, false) }
	for _, c := range []struct {
		name, order string
		l           *fo.Layout
	}{
		{"FAA-H-8083-32 ch. 1, in-line six", "1-5-3-6-2-4", line(fo.SixEven)},
		{"Denton p. 107, in-line four", "1-3-4-2", line(fo.FourSinglePlane)},
		{"general encyclopedia, in-line three", "1-3-2", line(fo.ThreeEven)},
		{"common practice, in-line five", "1-2-4-5-3", line(fo.FiveInLine)},
		{"common practice, in-line eight", "1-6-2-5-8-3-7-4", line(fo.EightSplit)},
		{"FAA-H-8083-32 ch. 1, opposed four", "1-3-2-4", boxer(t, 4, alt)},
		{"FAA-H-8083-32 ch. 1, opposed six", "1-4-5-2-3-6", boxer(t, 6, alt)},
		{"general encyclopedia, opposed twin", "1-2", boxer(t, 2, alt)},
		{"general encyclopedia, V6 of 60 degrees", "1-2-3-4-5-6", vee{fo.ThreeEven, true, 60, -60, alt, first}.layout(t)},
		{"service manual, V6 of 72 degrees", "1-4-2-5-3-6", vee{fo.ThreeEven, true, 72, -48, bw, first}.layout(t)},
		{"general encyclopedia, V6 of 90 degrees", "1-4-3-6-2-5", vee{fo.ThreeEven, false, 90, -30, bw, first}.layout(t)},
		{"Auto Engine Repair p. 126, two-plane V8", "1-8-4-3-6-5-7-2", vee{fo.FourTwoPlane, false, 90, 0, alt, last}.layout(t)},
		{"lexicon, single-plane V8", "1-8-3-6-4-5-2-7", vee{fo.FourSinglePlane, false, 90, 0, bw, first}.layout(t)},
		{"geometry, V10", "1-10-9-4-3-6-5-8-7-2", vee{fo.FiveStar, false, 72, 0, alt, last}.layout(t)},
		{"general encyclopedia, V12", "1-7-5-11-3-9-6-12-2-8-4-10", vee{fo.SixEven, false, 60, 0, bw, first}.layout(t)},
	} {
		cfg := c.l.Config()
		axis := func(cylinder int) int64 {
			if b := cfg.Cylinders[cylinder-1].Bank; b == "B" {
				return int64(cfg.Banks[1].Axis.Angle() / units.CrankDegree)
			}
			return 0
		}
		o := order(t, c.order)
		for cy, want := range pinsFrom(o, axis) {
			if got := cfg.Throws[cfg.Cylinders[cy-1].Throw-1].Angle().WrapTurn(); got != nano(t, want) {
				t.Errorf("%s: pin of cylinder %d at %v, want %v", c.name, cy, got, want)
			}
		}
		if e, err := fo.NewEngine(fo.EngineConfig{Layout: c.l, Order: o}); err != nil || !e.Even() {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// Every one of the 5040 orders of a V8 that begin with cylinder 1: the library
// accepts it on a crank if and only if the pins derived from the order are that
// crank's. Eight fit each crank (Page, Aviation Engines, 1917, for the crank in
// one plane; 2^(n/2-1) for both).
func TestEveryOrderOfTheV8(t *testing.T) {
	for k, pins := range map[fo.Crank][4]int64{fo.FourTwoPlane: {0, 90, 270, 180}, fo.FourSinglePlane: {0, 180, 180, 0}} {
		l := vee{k, false, 90, 0, fo.Bankwise, fo.PassedFirst}.layout(t)
		count := 0
		o := fo.Order{1, 2, 3, 4, 5, 6, 7, 8}
		var try func(i int)
		try = func(i int) {
			if i < len(o) {
				for j := i; j < len(o); j++ {
					o[i], o[j] = o[j], o[i]
					try(i + 1)
					o[i], o[j] = o[j], o[i]
				}
				return
			}
			fits := true
			for place, c := range o {
				axis := int64(c-1) / 4 * 90
				fits = fits && (axis-90*int64(place)-pins[(c-1)%4])%360 == 0
			}
			_, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: o})
			if (err == nil) != fits || err != nil && !errors.Is(err, units.ErrImpossible) {
				t.Fatalf("%v %s: %v, want %v", k, o, err, fits)
			}
			if fits {
				count++
			}
		}
		try(1)
		if count != 8 {
			t.Errorf("%v: %d orders", k, count)
		}
	}
}
