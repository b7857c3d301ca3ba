package firingorder

import (
	"fmt"
	"iter"
	"math/big"
	"slices"

	"example.com/trialfit/units"
)

// OrderFilter says which of the orders that a layout allows are wanted. The zero
// value wants them all. "In succession" goes round: the last cylinder of an order
// is followed by the first.
type OrderFilter struct {
	Even            bool // equal intervals, exactly
	AlternateBanks  bool // no two cylinders of one bank in succession
	AlternateThrows bool // no two cylinders of one throw in succession; the rows of a radial
	NoNeighbors     bool // no two cylinders in succession that stand next to each other in a bank
	// Apart holds groups of cylinders, no two of one group in succession: those
	// that share a port or a branch of a manifold.
	Apart [][]int
	// MaxInterval is the largest interval between two firings, in crank turns;
	// 0 is any.
	MaxInterval Turn
}

// OrderSearch asks for the firing orders of a layout.
type OrderSearch struct {
	Layout *Layout
	Cycle  Cycle // the zero value is FourStroke
	Filter OrderFilter
}

// All answers which firing orders a layout allows, the filter applied. An order
// begins with cylinder 1; it is allowed if NewEngine takes it or asks no more of
// it than a SecondTurnFrom. With tau = Layout.TDC (crank deg) every cylinder but
// the first fires at
//
//	f = tau or tau + 360, all f different
//
// (two-stroke: f = tau), and each choice gives an order; two cylinders that share
// TDC take one turn each and may change places, three have no order. With Even
// the f are the multiples of 720/n (two-stroke: 360/n). Where one order can fire
// at different intervals it comes once, and MaxInterval lets it pass if one of
// them does. MaxInterval is compared as a fraction.
//
// The sequence is always the same, ascending with Even. The slice that is handed
// out is written over by the next order: copy what is to be kept. Nothing is
// allocated for an order, and no time goes into orders that the filter refuses.
// The sequence may be walked again, at the same time, too.
//
// Errors: units.ErrMissing for no layout, units.ErrRange for an unknown cycle, a
// cylinder of Apart that the layout does not have or a negative MaxInterval,
// units.ErrConflict for a cylinder that stands twice in a group.
//
// Source: geometry of a crank without pin offset; Denton, Automobile Mechanical
// and Electrical Systems, p. 107, for the two of the in-line four; Page, Aviation
// Engines (1917), for the eight of the V8 with a crank in one plane.
//
// Rows: boxer4-orders, boxer6-orders, v6-120-orders, radial14-alternating,
// radial18-alternating, v6-90-within-150, inline6-no-neighbors, w12-both,
// inline6-apart, i4-cross-any-orders, inline5-two-stroke.
func (s OrderSearch) All() (iter.Seq[Order], error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	from := s.walk() // now: what the search refers to may change before the walk
	return func(yield func(Order) bool) {
		w := from.clone()
		w.prepare()
		w.each(yield)
	}, nil
}

// Count answers how many orders OrderSearch.All gives, without listing them. With
// p pairs of cylinders that share TDC and s others
//
//	count = 2^(p + s - 1)         if p > 0
//	count = 2^(s - 1) - s + 1     if p = 0
//
// of a four-stroke engine with no filter, 0 where three cylinders share TDC; with
// Even 2^(n/2 - 1) for even n and 1 for odd n where the layout fires evenly,
// else 0. Conditions on succession are counted by dynamic programming over the
// TDCs, whose states are the last cylinder of each turn and the first of the
// second. At most 64 cylinders have at most 2^63 orders, so that no count
// overflows.
//
// Errors: those of OrderSearch.All.
//
// Source: combinatorics of the two turns; published counts: Denton, p. 107 (two
// for the in-line four), Page (eight for the V8).
//
// Rows: v8-flat, v8-xplane-fixed, inline4-sym, boxer4, radial14, radial18, radial4,
// w12-60, v8-adjacent-claim, inline7-any, v10-90-any, v12-alternating.
func (s OrderSearch) Count() (uint64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	w := s.walk()
	w.prepare()
	return w.count(), nil
}

func (s OrderSearch) check() error {
	if s.Layout.Cylinders() == 0 {
		return refuse("Layout", "", "want a layout from NewLayout", units.ErrMissing)
	}
	if s.Cycle > TwoStroke {
		return refuse("Cycle", s.Cycle.String(), "want FourStroke or TwoStroke", units.ErrRange)
	}
	for i, g := range s.Filter.Apart {
		field := fmt.Sprintf("Apart[%d]", i)
		for k, c := range g {
			if err := s.Layout.check(field, c); err != nil {
				return err
			}
			if slices.Contains(g[:k], c) {
				return refuse(field, "", fmt.Sprintf("cylinder %d stands twice", c), units.ErrConflict)
			}
		}
	}
	if s.Filter.MaxInterval.num < 0 {
		return refuse("MaxInterval", s.Filter.MaxInterval.String(), "want 0 for any, or more", units.ErrRange)
	}
	return nil
}

// walk visits the orders of one set of TDCs. The TDCs, in ascending order, are
// slots; a state is what later slots need to know of the earlier ones, and states
// that agree are one node. The nodes of all slots form a graph whose paths are
// the orders, so that no path is walked in vain.
type walk struct {
	cycle   Cycle
	even    bool
	turn    int64
	longest int64                    // the largest interval allowed, in ticks
	apart   [maxCylinders + 1]uint64 // by cylinder: bit c-1 set if c may not follow
	tdc     []int64                  // ticks after cylinder 1
	byTDC   [maxCylinders]uint8      // cylinders by TDC, then by number
	slots   []slot
	nodes   []node
	layer   [maxCylinders + 2]int32 // first node of each slot
	index   map[state]int32         // nodes of a large layer
	follows bool                    // whether succession or intervals matter
	once    bool                    // whether the order by TDC can fire in several ways
	first   bool                    // and passes
	done    [2][maxCylinders]uint8  // by turn: cylinders so far
	out     [maxCylinders]int
}

// slot is a TDC and the one or two cylinders that reach it, b = 0 for one.
type slot struct {
	tdc  int64
	a, b uint8
	only int8 // the turn that even firing leaves to a, or -1
}

// state is the last cylinder of either turn, the first of the second turn, and
// the shape: 0 while the second turn is empty, 1 while every slot since its
// first went into it, else 2.
type state struct{ last0, last1, first1, shape uint8 }

type node struct {
	state
	next  [2]int32 // by choice; -1 for none
	count uint64
}

func (s OrderSearch) walk() *walk {
	l, n := s.Layout, len(s.Layout.tdc)
	w := &walk{cycle: s.Cycle, even: s.Filter.Even, turn: l.turn, tdc: slices.Clone(l.tdc), longest: 2 * l.turn}
	f := s.Filter
	if f.MaxInterval.num > 0 {
		// floor(num turn / den); the largest interval is one cycle.
		m := new(big.Int).Mul(big.NewInt(f.MaxInterval.num), big.NewInt(l.turn))
		if m.Quo(m, big.NewInt(f.MaxInterval.denMinus1+1)); m.Cmp(big.NewInt(w.longest)) < 0 {
			w.longest, w.follows = m.Int64(), true
		}
	}
	for a := 1; a <= n; a++ {
		ca := l.config.Cylinders[a-1]
		for b := 1; b <= n; b++ {
			cb := l.config.Cylinders[b-1]
			if a != b && (f.AlternateBanks && ca.Bank == cb.Bank || f.AlternateThrows && ca.Throw == cb.Throw ||
				f.NoNeighbors && l.neighbors(l.config.Cylinders[a-1], l.config.Cylinders[b-1])) {
				w.keepApart(a, b)
			}
		}
	}
	for _, g := range f.Apart {
		for _, a := range g {
			for _, b := range g {
				if a != b {
					w.keepApart(a, b)
				}
			}
		}
	}
	return w
}

func (w *walk) clone() *walk {
	c := *w
	c.tdc = slices.Clone(w.tdc)
	c.slots = make([]slot, 0, len(w.tdc))
	c.nodes = make([]node, 0, 2*len(w.tdc)+2)
	return &c
}

func (w *walk) keepApart(a, b int) { w.apart[a] |= 1 << (b - 1); w.follows = true }

// prepare builds the graph for the TDCs of w.tdc; it uses its memory again.
func (w *walk) prepare() {
	w.nodes, w.slots, w.once, w.first = w.nodes[:0], w.slots[:0], false, false
	if !w.order() {
		return
	}
	w.once = w.cycle == FourStroke && !w.even && len(w.slots) == len(w.tdc)
	w.nodes = append(w.nodes, node{})
	w.layer[0] = 0
	for i, s := range w.slots {
		begin, end := w.layer[i], int32(len(w.nodes))
		w.layer[i+1] = end
		clear(w.index)
		for k := begin; k < end; k++ {
			for c := range 2 {
				to := int32(-1)
				if st, ok := w.step(w.nodes[k].state, s, c); ok {
					to = w.node(end, st)
				}
				w.nodes[k].next[c] = to
			}
		}
	}
	last := w.layer[len(w.slots)]
	for k := len(w.nodes) - 1; k >= 0; k-- {
		x := &w.nodes[k]
		if int32(k) >= last {
			if w.closes(x.state) {
				x.count = 1
			}
			continue
		}
		for c, to := range x.next {
			if to < 0 {
				continue
			}
			if w.nodes[to].count == 0 {
				x.next[c] = -1
			}
			x.count += w.nodes[to].count
		}
	}
	w.first = w.once && w.byTDCPasses()
}

// order fills the slots; false if there is no order at all.
func (w *walk) order() bool {
	n := len(w.tdc)
	for i := range n { // insertion sort: stable, in place
		k := i
		for ; k > 0 && w.tdc[w.byTDC[k-1]-1] > w.tdc[i]; k-- {
			w.byTDC[k] = w.byTDC[k-1]
		}
		w.byTDC[k] = uint8(i + 1)
	}
	for i, c := range w.byTDC[:n] {
		t := w.tdc[c-1]
		if i == 0 || t != w.slots[len(w.slots)-1].tdc {
			w.slots = append(w.slots, slot{tdc: t, a: c, only: -1})
			continue
		}
		s := &w.slots[len(w.slots)-1]
		if s.b != 0 || w.cycle == TwoStroke {
			return false
		}
		s.b = c
	}
	if !w.even {
		return true
	}
	pairs := w.cycle == FourStroke && n%2 == 0
	if pairs && len(w.slots) != n/2 || !pairs && len(w.slots) != n {
		return false
	}
	for i := range w.slots {
		s := &w.slots[i]
		// TDCs are whole multiples of the turn over their number.
		if w.tdc[s.a-1]*int64(len(w.slots)) != int64(i)*w.turn {
			return false
		}
		if !pairs && w.cycle == FourStroke {
			s.only = int8(i % 2) // an odd n: f = 2 k/n turns
		}
	}
	return true
}

// node returns the node of a state in the layer that begins at begin.
func (w *walk) node(begin int32, st state) int32 {
	const few = 16
	size := len(w.nodes) - int(begin)
	if size <= few {
		for k := begin; k < int32(len(w.nodes)); k++ {
			if w.nodes[k].state == st {
				return k
			}
		}
	} else {
		if len(w.index) == 0 {
			if w.index == nil {
				w.index = map[state]int32{}
			}
			for k := begin; k < int32(len(w.nodes)); k++ {
				w.index[w.nodes[k].state] = k
			}
		}
		if k, ok := w.index[st]; ok {
			return k
		}
		w.index[st] = int32(len(w.nodes))
	}
	w.nodes = append(w.nodes, node{state: st})
	return int32(len(w.nodes)) - 1
}

// turns returns the cylinders that a choice puts into the first and the second
// turn, 0 for none; ok is false for a choice that there is not.
func (w *walk) turns(s slot, choice int) (first, second uint8, ok bool) {
	if s.b != 0 {
		if choice == 0 {
			return s.a, s.b, true
		}
		return s.b, s.a, s.a != 1
	}
	if s.only >= 0 && int(s.only) != choice || choice == 1 && (s.a == 1 || w.cycle == TwoStroke) {
		return 0, 0, false
	}
	if choice == 0 {
		return s.a, 0, true
	}
	return 0, s.a, true
}

// step returns the state after a choice.
func (w *walk) step(st state, s slot, choice int) (state, bool) {
	a, b, ok := w.turns(s, choice)
	if !ok {
		return st, false
	}
	if w.once {
		switch {
		case st.shape == 0 && b != 0:
			st.shape = 1
		case st.shape == 1 && a != 0:
			st.shape = 2
		}
	}
	if !w.follows {
		return st, true
	}
	if a != 0 {
		if st.last0 != 0 && !w.may(st.last0, a, 0) {
			return st, false
		}
		st.last0 = a
	}
	if b != 0 {
		if st.last1 == 0 {
			st.first1 = b
		} else if !w.may(st.last1, b, 0) {
			return st, false
		}
		st.last1 = b
	}
	return st, true
}

// may reports whether b may follow a, some turns later than the TDCs say.
func (w *walk) may(a, b uint8, turns int64) bool {
	return w.apart[a]>>(b-1)&1 == 0 && w.tdc[b-1]-w.tdc[a-1]+turns*w.turn <= w.longest
}

// closes reports whether an order may end in the state.
func (w *walk) closes(st state) bool {
	if w.once && st.shape != 2 {
		return false // the order by TDC, which is seen to by itself
	}
	switch {
	case !w.follows:
		return true
	case st.first1 != 0:
		return w.may(st.last0, st.first1, 1) && w.may(st.last1, 1, 1)
	case w.cycle == TwoStroke:
		return w.may(st.last0, 1, 1)
	default:
		return w.may(st.last0, 1, 2)
	}
}

// byTDCPasses reports whether the order by TDC passes with one interval or
// another a turn longer.
func (w *walk) byTDCPasses() bool {
	if !w.follows {
		return true
	}
	n, spare := len(w.tdc), false
	for i, a := range w.byTDC[:n] {
		b, turns := uint8(1), int64(1)
		if i+1 < n {
			b, turns = w.byTDC[i+1], 0
		}
		if !w.may(a, b, turns) {
			return false
		}
		spare = spare || w.may(a, b, turns+1)
	}
	return spare
}

func (w *walk) count() uint64 {
	var c uint64
	if len(w.nodes) > 0 {
		c = w.nodes[0].count
	}
	if w.first {
		c++
	}
	return c
}

// each hands out the orders; false if yield stopped it.
func (w *walk) each(yield func(Order) bool) bool {
	if w.first {
		for i, c := range w.byTDC[:len(w.tdc)] {
			w.out[i] = int(c)
		}
		if !yield(w.out[:len(w.tdc)]) {
			return false
		}
	}
	if len(w.nodes) == 0 || w.nodes[0].count == 0 {
		return true
	}
	return w.visit(0, 0, 0, 0, yield)
}

func (w *walk) visit(k int32, i, n0, n1 int, yield func(Order) bool) bool {
	if i == len(w.slots) {
		// The cylinders so far are kept apart from what the caller may write to.
		for j, c := range w.done[0][:n0] {
			w.out[j] = int(c)
		}
		for j, c := range w.done[1][:n1] {
			w.out[n0+j] = int(c)
		}
		return yield(w.out[: n0+n1 : n0+n1])
	}
	for c, to := range w.nodes[k].next {
		if to < 0 {
			continue
		}
		a, b, _ := w.turns(w.slots[i], c)
		m0, m1 := n0, n1
		if a != 0 {
			w.done[0][m0] = a
			m0++
		}
		if b != 0 {
			w.done[1][m1] = b
			m1++
		}
		if !w.visit(to, i+1, m0, m1, yield) {
			return false
		}
	}
	return true
}
