package firingorder_test

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// permutations calls f with every arrangement of s.
func permutations(s []int, f func([]int)) {
	if len(s) == 0 {
		f(nil)
		return
	}
	var try func(i int)
	try = func(i int) {
		if i == len(s)-1 {
			f(s)
			return
		}
		for j := i; j < len(s); j++ {
			s[i], s[j] = s[j], s[i]
			try(i + 1)
			s[i], s[j] = s[j], s[i]
		}
	}
	try(0)
}

// allowed answers by definition whether an order passes: some choice of turns
// fires it, and succession and intervals are as wanted.
func allowed(r rational, o []int, turns int, f fo.OrderFilter, longest *big.Rat) bool {
	n := len(o)
	for i := range o {
		a, b := o[i]-1, o[(i+1)%n]-1
		if a == b {
			continue
		}
		if f.AlternateBanks && r.bank[a] == r.bank[b] || f.AlternateThrows && r.pin[a] == r.pin[b] {
			return false
		}
		if f.NoNeighbors && r.bank[a] == r.bank[b] {
			between := 0
			for c := range o {
				if r.bank[c] == r.bank[a] && (r.pin[c]-r.pin[a])*(r.pin[c]-r.pin[b]) < 0 {
					between++
				}
			}
			if between == 0 {
				return false
			}
		}
		for _, g := range f.Apart {
			if slices.Contains(g, a+1) && slices.Contains(g, b+1) {
				return false
			}
		}
	}
	for _, fire := range r.firings(o, turns) {
		even, within := true, true
		for i := range o {
			even = even && fire[i].Cmp(rat(int64(360*turns*i), int64(n))) == 0
		}
		for _, g := range gaps(fire, int64(360*turns)) {
			within = within && (longest == nil || g.Cmp(longest) <= 0)
		}
		if within && (even || !f.Even) {
			return true
		}
	}
	return false
}

// search makes a random search and the orders that brute force finds.
func search(t *testing.T, rnd *rand.Rand, most int) (fo.OrderSearch, []string) {
	t.Helper()
	r := random(rnd)
	for len(r.bank) > most {
		r = random(rnd)
	}
	n := len(r.bank)
	s := fo.OrderSearch{Layout: r.layout(t)}
	turns := 2
	if rnd.IntN(5) == 0 {
		s.Cycle, turns = fo.TwoStroke, 1
	}
	f := &s.Filter
	f.Even = rnd.IntN(4) == 0
	f.AlternateBanks = rnd.IntN(5) == 0
	f.AlternateThrows = rnd.IntN(5) == 0
	f.NoNeighbors = rnd.IntN(5) == 0
	if rnd.IntN(3) == 0 {
		g := rnd.Perm(n)[:rnd.IntN(n)+1]
		for i := range g {
			g[i]++
		}
		f.Apart = append(f.Apart, g[:min(3, len(g))])
	}
	var longest *big.Rat
	if rnd.IntN(3) == 0 {
		k := int64(rnd.IntN(26))
		var err error
		if f.MaxInterval, err = fo.Degrees(30 * k); err != nil {
			t.Fatal(err)
		}
		if k > 0 {
			longest = rat(30*k, 1)
		}
	}
	rest := make([]int, n-1)
	for i := range rest {
		rest[i] = i + 2
	}
	var want []string
	permutations(rest, func(p []int) {
		if o := append([]int{1}, p...); allowed(r, o, turns, *f, longest) {
			want = append(want, fo.Order(o).String())
		}
	})
	slices.Sort(want)
	return s, want
}

func list(tb testing.TB, s fo.OrderSearch) []string {
	tb.Helper()
	all, err := s.All()
	if err != nil {
		tb.Fatal(err)
	}
	var got []string
	for o := range all {
		got = append(got, o.String())
	}
	return got
}

func sameOrders(t *testing.T, s fo.OrderSearch, want []string) {
	t.Helper()
	got := list(t, s)
	if f := s.Filter; f.Even && !slices.IsSorted(got) && s.Layout.Cylinders() < 10 {
		t.Fatalf("not ascending: %v", got)
	}
	count, err := s.Count()
	if err != nil || count != uint64(len(got)) {
		t.Fatalf("count %d, %v, listed %d", count, err, len(got))
	}
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Fatalf("%+v %+v: orders %v, want %v", s.Layout.Config(), s.Filter, got, want)
	}
}

// Every permutation that begins with cylinder 1, every choice of turns, every
// condition by its definition.
func TestOrdersAgainstDefinition(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	none, some, many := 0, 0, 0
	for range 700 {
		s, want := search(t, rnd, 6)
		sameOrders(t, s, want)
		switch {
		case len(want) == 0:
			none++
		case len(want) == 1:
			some++
		default:
			many++
		}
	}
	if min(none, some, many) < 50 {
		t.Errorf("the cases are lopsided: %d without, %d with one, %d with more orders", none, some, many)
	}
}

func FuzzOrders(f *testing.F) {
	f.Add(uint64(1), uint64(2))
	f.Add(uint64(99), uint64(7))
	f.Fuzz(func(t *testing.T, a, b uint64) {
		s, want := search(t, rand.New(rand.NewPCG(a, b)), 6)
		sameOrders(t, s, want)
	})
}

// Whatever All gives, NewEngine takes, or asks for the turn.
func TestOrdersMakeEngines(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 300 {
		s := fo.OrderSearch{Layout: random(rnd).layout(t), Filter: fo.OrderFilter{Even: rnd.IntN(2) == 0}}
		all, err := s.All()
		if err != nil {
			t.Fatal(err)
		}
		for o := range all {
			e, err := fo.NewEngine(fo.EngineConfig{Layout: s.Layout, Order: o})
			if err != nil {
				refused(t, o.String(), e != nil, err, "SecondTurnFrom", units.ErrMissing)
				continue
			}
			if s.Filter.Even && !e.Even() {
				t.Fatalf("%v is not even", o)
			}
		}
	}
}

// line is an in-line engine with pins at multiples of 1/den of a turn.
func line(tb testing.TB, den int64, pins ...int64) *fo.Layout {
	tb.Helper()
	c := fo.Config{Banks: []fo.Bank{{Name: "A"}}}
	for i, p := range pins {
		f, err := fo.Fraction(p, den)
		if err != nil {
			tb.Fatal(err)
		}
		c.Throws = append(c.Throws, f)
		c.Cylinders = append(c.Cylinders, fo.Cylinder{Bank: "A", Throw: i + 1})
	}
	l, err := fo.NewLayout(c)
	if err != nil {
		tb.Fatal(err)
	}
	return l
}

func pinsUpTo(n int64) []int64 {
	p := make([]int64, n)
	for i := range p {
		p[i] = int64(i)
	}
	return p
}

// symmetricLine is a mirror-symmetric in-line engine of an even number of cylinders.
func symmetricLine(tb testing.TB, n int64) *fo.Layout {
	tb.Helper()
	half := pinsUpTo(n / 2)
	back := slices.Clone(half)
	slices.Reverse(back)
	return line(tb, n/2, append(half, back...)...)
}

// The largest counts, against closed forms: 2^(n-1) - n + 1 where all TDCs differ,
// 2^(p+s-1) with p pairs, and conditions whose count follows by hand.
func TestLargeCounts(t *testing.T) {
	c, err := fo.OrderSearch{Layout: line(t, 64, pinsUpTo(64)...)}.Count()
	if err != nil || c != 1<<63-63 {
		t.Errorf("64 cylinders, all TDCs different: %d, %v", c, err)
	}
	c, err = fo.OrderSearch{Layout: symmetricLine(t, 64)}.Count()
	if err != nil || c != 1<<31 {
		t.Errorf("64 cylinders in pairs: %d, %v", c, err)
	}
	var first []int
	for i := 1; i <= 31; i++ {
		first = append(first, i)
	}
	var second []int
	for i := 32; i <= 62; i++ {
		second = append(second, i)
	}
	// Halves alternate, so the half of a place is known from cylinder 1 on, and
	// places k and k + 31 belong to companions in opposite halves: 1 order.
	c, err = fo.OrderSearch{Layout: symmetricLine(t, 62), Filter: fo.OrderFilter{Even: true, Apart: [][]int{first, second}}}.Count()
	if err != nil || c != 1 {
		t.Errorf("62 cylinders, halves apart: %d, %v", c, err)
	}
	// The same for 64: places k and k + 32 are in one half, companions are not.
	c, err = fo.OrderSearch{Layout: symmetricLine(t, 64), Filter: fo.OrderFilter{Even: true, Apart: [][]int{append(first, 32), append(second[1:], 63, 64)}}}.Count()
	if err != nil || c != 0 {
		t.Errorf("64 cylinders, halves apart: %d, %v", c, err)
	}
	// 64 single TDCs and a condition: the hardest graph is built and counted.
	c, err = fo.OrderSearch{Layout: line(t, 64, pinsUpTo(64)...), Filter: fo.OrderFilter{Apart: [][]int{{1, 2}}}}.Count()
	// TDCs rise from 64 to 2, so that 2 in the second turn fires last, before 1.
	// In the first turn it fires last there: before 1 if the second is empty,
	// after 1 if 3 to 64 are all in the second. That leaves 2^62 - 2 choices, no
	// two with the same order.
	if err != nil || c != 1<<62-2 {
		t.Errorf("64 cylinders, 1 and 2 apart: %d, %v", c, err)
	}
}

func TestOrdersAllocateNothingEach(t *testing.T) {
	allocs := func(n int64) float64 {
		s := fo.OrderSearch{Layout: symmetricLine(t, n), Filter: fo.OrderFilter{Even: true, NoNeighbors: true}}
		all, err := s.All()
		if err != nil {
			t.Fatal(err)
		}
		return testing.AllocsPerRun(10, func() {
			for o := range all {
				sink.order = o
			}
		})
	}
	if a, b := allocs(16), allocs(24); b > a+8 {
		t.Errorf("%v allocations for up to 128 orders, %v for up to 2048", a, b)
	}
}

// Stopping, walking again, walking twice at once and writing into the slice
// disturb nothing.
func TestOrdersIterator(t *testing.T) {
	s := fo.OrderSearch{Layout: symmetricLine(t, 12), Filter: fo.OrderFilter{Even: true}}
	all, err := s.All()
	if err != nil {
		t.Fatal(err)
	}
	want := list(t, s)
	if len(want) != 32 {
		t.Fatalf("%d orders", len(want))
	}
	for stop := range want {
		i := 0
		for o := range all {
			if o.String() != want[i] {
				t.Fatalf("order %d is %v, want %v", i, o, want[i])
			}
			clear(o)
			if i++; i > stop {
				break
			}
		}
	}
	// What the search held may change after All without harm.
	s.Filter.Apart = [][]int{{1, 6}}
	apart, err := s.All()
	if err != nil {
		t.Fatal(err)
	}
	s.Filter.Apart[0][0] = 99
	n := 0
	for range apart {
		n++
	}
	// 6 and its companion 7 reach TDC a sixth of a turn after 1 and are next to
	// fire: one of them follows 1, so that half of the 32 orders are left.
	if n != 16 {
		t.Errorf("%d orders with 1 and 6 apart", n)
	}
	i := 0
	for a := range all {
		j := 0
		for b := range all {
			if b.String() != want[j] || a.String() != want[i] {
				t.Fatal("two walks disturb each other")
			}
			j++
		}
		i++
	}
}

func TestOrderSearchRefuses(t *testing.T) {
	l := inline(t, fo.FourSinglePlane, false)
	minus, err := fo.Degrees(-1)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		s     fo.OrderSearch
		field string
		kind  error
	}{
		{fo.OrderSearch{}, "Layout", units.ErrMissing},
		{fo.OrderSearch{Layout: new(fo.Layout)}, "Layout", units.ErrMissing},
		{fo.OrderSearch{Layout: l, Cycle: 2}, "Cycle", units.ErrRange},
		{fo.OrderSearch{Layout: l, Filter: fo.OrderFilter{Apart: [][]int{{1, 2}, {0}}}}, "Apart[1]", units.ErrRange},
		{fo.OrderSearch{Layout: l, Filter: fo.OrderFilter{Apart: [][]int{{5}}}}, "Apart[0]", units.ErrRange},
		{fo.OrderSearch{Layout: l, Filter: fo.OrderFilter{Apart: [][]int{{2, 2}}}}, "Apart[0]", units.ErrConflict},
		{fo.OrderSearch{Layout: l, Filter: fo.OrderFilter{MaxInterval: minus}}, "MaxInterval", units.ErrRange},
	} {
		all, err := c.s.All()
		refused(t, c.field, all != nil, err, c.field, c.kind)
		count, err := c.s.Count()
		refused(t, c.field, count != 0, err, c.field, c.kind)
		k := fo.CrankSearch{Layout: c.s.Layout, Cycle: c.s.Cycle, Filter: c.s.Filter}
		cranks, err := k.All()
		refused(t, c.field, cranks != nil, err, c.field, c.kind)
		total, err := k.Count()
		refused(t, c.field, total.Cranks != nil || total.Orders != nil, err, c.field, c.kind)
	}
	for _, c := range []struct {
		s     fo.CrankSearch
		field string
		kind  error
	}{
		{fo.CrankSearch{Layout: l, PinsPerThrow: -1}, "PinsPerThrow", units.ErrRange},
		{fo.CrankSearch{Layout: l, PinsPerThrow: 3}, "PinsPerThrow", units.ErrConflict},
		{fo.CrankSearch{Layout: inline(t, fo.FourTwoPlane, false), Symmetric: true}, "Symmetric", units.ErrImpossible},
		{fo.CrankSearch{Layout: inline(t, fo.ThreeEven, false), Symmetric: true}, "Symmetric", units.ErrImpossible},
	} {
		all, err := c.s.All()
		refused(t, c.field, all != nil, err, c.field, c.kind)
		count, err := c.s.Count()
		refused(t, c.field, count.Cranks != nil, err, c.field, c.kind)
	}
}

// A count that would take years is refused; listing may begin all the same.
func TestCrankCountTooLong(t *testing.T) {
	s := fo.CrankSearch{Layout: line(t, 64, pinsUpTo(64)...), Filter: fo.OrderFilter{NoNeighbors: true}}
	c, err := s.Count()
	refused(t, "63! cranks", c.Cranks != nil || c.Orders != nil, err, "Filter", units.ErrRange)
	s.Filter = fo.OrderFilter{}
	all, err := s.All()
	if err != nil {
		t.Fatal(err)
	}
	listed := 0
	for range all {
		if listed++; listed == 1000 {
			break
		}
	}
	if listed != 1000 {
		t.Errorf("%d orders", listed)
	}
}

// A larger limit, fewer conditions: never fewer orders.
func TestFiltersOnlyTakeAway(t *testing.T) {
	rnd := rand.New(rand.NewPCG(8, 9))
	for range 200 {
		s, _ := search(t, rnd, 5)
		some := list(t, s)
		s.Filter = fo.OrderFilter{}
		every := list(t, s)
		for _, o := range some {
			if !slices.Contains(every, o) {
				t.Fatalf("%s passes the filter only", o)
			}
		}
	}
}

// brute lists the cranks of a search by trying every arrangement of its throws,
// and the orders of each as a layout of its own.
func brute(t *testing.T, s fo.CrankSearch) []string {
	t.Helper()
	c := s.Layout.Config()
	size := max(1, s.PinsPerThrow)
	throws := make([]int, len(c.Throws)/size)
	for i := range throws {
		throws[i] = i
	}
	exact := func(x fo.Turn) *big.Rat {
		var num, den int64
		if _, err := fmt.Sscanf(x.String(), "%d/%d turn", &num, &den); err != nil {
			t.Fatal(err)
		}
		return rat(num, den)
	}
	seen := map[string]bool{}
	var found []string
	permutations(throws, func(p []int) {
		var pins []*big.Rat
		for _, k := range p {
			for j := range size {
				pins = append(pins, exact(c.Throws[k*size+j]))
			}
		}
		first := pins[0]
		var text []string
		d := c
		d.Throws = nil
		for i := range pins {
			pins[i] = wrap(new(big.Rat).Sub(pins[i], first), 1)
			text = append(text, pins[i].String())
			f, err := fo.Fraction(pins[i].Num().Int64(), pins[i].Denom().Int64())
			if err != nil {
				t.Fatal(err)
			}
			d.Throws = append(d.Throws, f)
		}
		key := strings.Join(text, " ") + " "
		if s.Symmetric {
			for i := range p {
				for j := range size {
					a, b := exact(c.Throws[p[i]*size+j]), exact(c.Throws[p[len(p)-1-i]*size+j])
					if wrap(new(big.Rat).Sub(a, b), 1).Sign() != 0 {
						return
					}
				}
			}
		}
		if seen[key] {
			return
		}
		seen[key] = true
		l, err := fo.NewLayout(d)
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range list(t, fo.OrderSearch{Layout: l, Cycle: s.Cycle, Filter: s.Filter}) {
			found = append(found, key+o)
		}
	})
	found = append(found, strconv.Itoa(len(seen)))
	slices.Sort(found)
	return found
}

func TestCranksAgainstDefinition(t *testing.T) {
	rnd := rand.New(rand.NewPCG(10, 11))
	symmetric, grouped, empty := 0, 0, 0
	for range 350 {
		r := random(rnd)
		for len(r.pins) > 6 {
			r = random(rnd)
		}
		s := fo.CrankSearch{Layout: r.layout(t), Filter: fo.OrderFilter{Even: rnd.IntN(2) == 0, NoNeighbors: rnd.IntN(3) == 0}}
		if rnd.IntN(3) == 0 {
			s.PinsPerThrow = 1 + rnd.IntN(len(r.pins))
			if len(r.pins)%s.PinsPerThrow != 0 {
				s.PinsPerThrow = 0
			}
		}
		s.Symmetric = rnd.IntN(3) == 0
		want := brute(t, s)
		all, err := s.All()
		if err != nil {
			if want[0] != "0" || len(want) != 1 {
				t.Fatalf("%v, but there are %v", err, want)
			}
			empty++
			continue
		}
		var got []string
		cranks := map[string]bool{}
		for pins, o := range all {
			var text []string
			for _, p := range pins {
				var a, b, c, d int64
				if _, err := fmt.Sscanf(p.String()+" "+pins[0].String(), "%d/%d turn %d/%d turn", &a, &b, &c, &d); err != nil {
					t.Fatal(err)
				}
				text = append(text, wrap(new(big.Rat).Sub(rat(a, b), rat(c, d)), 1).String())
			}
			key := strings.Join(text, " ") + " "
			cranks[key] = true
			got = append(got, key+o.String())
		}
		count, err := s.Count()
		if err != nil || count.Orders.Cmp(big.NewInt(int64(len(got)))) != 0 {
			t.Fatalf("%v orders counted, %d listed, %v", count.Orders, len(got), err)
		}
		got = append(got, count.Cranks.String())
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Fatalf("%+v, %+v:\n got %v\nwant %v", s, s.Layout.Config(), got, want)
		}
		if s.Symmetric {
			symmetric++
		}
		if s.PinsPerThrow > 1 {
			grouped++
		}
	}
	if min(symmetric, grouped, empty) < 10 {
		t.Errorf("lopsided: %d symmetric, %d with pins together, %d without a crank", symmetric, grouped, empty)
	}
}

// (n/2-1)! symmetric cranks of 2^(n/2-1) orders, (n-1)! cranks of an odd number,
// past what an int64 holds.
func TestCrankCounts(t *testing.T) {
	for n := int64(4); n <= 64; n += 2 {
		c, err := fo.CrankSearch{Layout: symmetricLine(t, n), Filter: fo.OrderFilter{Even: true}, Symmetric: true}.Count()
		cranks := new(big.Int).MulRange(1, n/2-1)
		orders := new(big.Int).Lsh(cranks, uint(n/2-1))
		if err != nil || c.Cranks.Cmp(cranks) != 0 || c.Orders.Cmp(orders) != 0 {
			t.Errorf("%d cylinders: %v, want %v and %v, %v", n, c, cranks, orders, err)
		}
	}
	for n := int64(3); n < 64; n += 2 {
		c, err := fo.CrankSearch{Layout: line(t, n, pinsUpTo(n)...), Filter: fo.OrderFilter{Even: true}}.Count()
		if want := new(big.Int).MulRange(1, n-1); err != nil || c.Cranks.Cmp(want) != 0 || c.Orders.Cmp(want) != 0 {
			t.Errorf("%d cylinders: %v, want %v, %v", n, c, want, err)
		}
	}
}

func TestCranksAllocateNothingEach(t *testing.T) {
	allocs := func(n int64) float64 {
		all, err := fo.CrankSearch{Layout: symmetricLine(t, n), Filter: fo.OrderFilter{Even: true}, Symmetric: true}.All()
		if err != nil {
			t.Fatal(err)
		}
		return testing.AllocsPerRun(10, func() {
			for _, o := range all {
				sink.order = o
			}
		})
	}
	if a, b := allocs(8), allocs(12); b > a+8 {
		t.Errorf("%v allocations for 48 orders of 6 cranks, %v for 3840 of 120", a, b)
	}
}
