package firingorder

import (
	"fmt"
	"iter"
	"math/big"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// CrankSearch asks for the firing orders over all cranks that have the pins of a
// layout in another sequence along the shaft.
type CrankSearch struct {
	// Layout gives banks, cylinders and the pin angles that change places.
	Layout *Layout
	Cycle  Cycle // the zero value is FourStroke
	Filter OrderFilter
	// PinsPerThrow is how many pins in succession along the shaft keep together:
	// 2 for split pins and opposed engines, 0 and 1 for one.
	PinsPerThrow int
	// Symmetric takes only cranks whose throws read the same from either end.
	Symmetric bool
}

// maxCranks is how many cranks are counted one by one, which takes under a minute.
const maxCranks = 1 << 24

// CrankCount is the number of cranks and of the orders that they have together.
type CrankCount struct {
	Cranks, Orders *big.Int
}

// All answers which firing orders there are over the cranks, one crank after the
// other, together with the pins of the crank (Config.Throws, the first as in the
// layout). Cranks that differ in the zero of their angles only count once; the
// mirror image of a crank, all pin angles negative, is a crank of its own and
// comes if it has the same angles. For a crank of m throws that are all different
// there are (m - 1)! cranks; for a symmetric one of m throws whose first half is
// all different (m/2 - 1)!.
//
// Both slices are written over by what comes next: copy what is to be kept.
// Nothing is allocated for an order or a crank.
//
// Errors: those of OrderSearch.All; units.ErrRange for a negative PinsPerThrow,
// units.ErrConflict for one that does not divide the pins, units.ErrImpossible if
// no sequence of the throws is symmetric.
//
// Source: geometry; general encyclopedia for the in-line three, Denton, Automobile
// Mechanical and Electrical Systems, p. 107, for the in-line four.
//
// Rows: inline3-cranks, inline4-sym-orders, inline6-sym-orders,
// v8-search-1-8-4-3-6-5-7-2-alternating-last,
// v8-search-1-8-4-3-6-5-7-2-bankwise-first.
func (s CrankSearch) All() (iter.Seq2[[]Turn, Order], error) {
	k, err := s.cranks()
	if err != nil {
		return nil, err
	}
	from := s.orders().walk() // now: what the search refers to may change before the walk
	return func(yield func([]Turn, Order) bool) {
		w := from.clone()
		v := k.visitor(w)
		pins := slices.Clone(s.Layout.config.Throws)
		v.each(func() bool {
			for i, p := range v.pins {
				pins[i] = reduced(p, w.turn)
			}
			w.prepare()
			return w.each(func(o Order) bool { return yield(pins, o) })
		})
	}, nil
}

// Count answers how many cranks and orders CrankSearch.All gives, without listing
// the orders. The cranks are counted in closed form, with m_i throws of the i-th
// kind among m
//
//	cranks = sum over the kinds i that may stand first of (m - 1)! / (m_1! .. (m_i - 1)! .. )
//
// (with m/2 and m_i/2, rounded down, if Symmetric); of kinds that change places when
// the throws as a whole are turned one is enough. Without conditions on succession
// and with the same banks on every throw all cranks have equally many orders;
// otherwise every crank is counted by itself, see OrderSearch.Count, about a
// microsecond for each. The counts are exact at any size.
//
// Errors: those of CrankSearch.All; units.ErrRange where more than 2^24 cranks would
// have to be counted by themselves.
//
// Source: combinatorics; published counts as in CrankSearch.All.
//
// Rows: inline3-total, inline4-sym-total, inline5-total, inline10-sym-total,
// inline12-sym-total, v8-xplane-all6, boxer6-total, v6-90-loose-total,
// inline8-no-neighbors-total.
func (s CrankSearch) Count() (CrankCount, error) {
	k, err := s.cranks()
	if err != nil {
		return CrankCount{}, err
	}
	w := s.orders().walk()
	c := CrankCount{Cranks: k.count(), Orders: new(big.Int)}
	if !w.follows && s.alike(k.together) {
		w.prepare()
		c.Orders.SetUint64(w.count())
		c.Orders.Mul(c.Orders, c.Cranks)
		return c, nil
	}
	if c.Cranks.Cmp(big.NewInt(maxCranks)) > 0 {
		return CrankCount{}, refuse("Filter", "", fmt.Sprintf("%v cranks would have to be counted one by one, want at most 2^24: drop the conditions on succession", c.Cranks), units.ErrRange)
	}
	v, one := k.visitor(w), new(big.Int)
	v.each(func() bool {
		w.prepare()
		c.Orders.Add(c.Orders, one.SetUint64(w.count()))
		return true
	})
	return c, nil
}

func (s CrankSearch) orders() OrderSearch { return OrderSearch{s.Layout, s.Cycle, s.Filter} }

// alike reports whether every throw carries the same banks on the same pins.
func (s CrankSearch) alike(together int) bool {
	type place struct {
		bank string
		pin  int
	}
	throws := make([]map[place]bool, len(s.Layout.config.Throws)/together)
	for _, c := range s.Layout.config.Cylinders {
		t := (c.Throw - 1) / together
		if throws[t] == nil {
			throws[t] = map[place]bool{}
		}
		throws[t][place{c.Bank, (c.Throw - 1) % together}] = true
	}
	for _, t := range throws {
		if len(t) != len(throws[0]) {
			return false
		}
		for p := range t {
			if !throws[0][p] {
				return false
			}
		}
	}
	return true
}

// cranks are the sequences of the throws: kinds of throws, how many there are of
// each in a half that is free, and the kinds that may stand first.
type cranks struct {
	layout    *Layout
	together  int
	kinds     [][]int64 // pin angles of a throw, ticks
	many      []int
	first     []int
	free      int // throws that may be chosen; the rest mirrors them
	middle    int // the kind of the throw in the middle of a symmetric crank, or -1
	symmetric bool
}

func (s CrankSearch) cranks() (*cranks, error) {
	if err := s.orders().check(); err != nil {
		return nil, err
	}
	l := s.Layout
	pins := len(l.config.Throws)
	k := &cranks{layout: l, together: max(1, s.PinsPerThrow), symmetric: s.Symmetric, middle: -1}
	if s.PinsPerThrow < 0 {
		return nil, refuse("PinsPerThrow", strconv.Itoa(s.PinsPerThrow), "want 0 or more", units.ErrRange)
	}
	if pins%k.together != 0 {
		return nil, refuse("PinsPerThrow", strconv.Itoa(s.PinsPerThrow), fmt.Sprintf("does not divide %d pins", pins), units.ErrConflict)
	}
	for i := 0; i < pins; i += k.together {
		t := make([]int64, k.together)
		for j := range t {
			t[j] = l.mod(l.ticks(l.config.Throws[i+j]))
		}
		at := slices.IndexFunc(k.kinds, func(o []int64) bool { return slices.Equal(o, t) })
		if at < 0 {
			at = len(k.kinds)
			k.kinds, k.many = append(k.kinds, t), append(k.many, 0)
		}
		k.many[at]++
	}
	throws := pins / k.together
	k.free = throws
	if s.Symmetric {
		k.free = throws / 2
		for i := range k.many {
			if k.many[i]%2 == 0 {
				continue
			}
			if throws%2 == 0 || k.middle >= 0 {
				return nil, refuse("Symmetric", "", fmt.Sprintf("the throw at %s has no partner of the same angle", angleOf(k.kinds[i][0], l.turn)), units.ErrImpossible)
			}
			k.middle = i
		}
		for i := range k.many {
			k.many[i] /= 2
		}
	}
	// A kind may stand first unless the throws as a whole, turned, are the same
	// throws with it in the place of one that does.
	seen := [][]string{}
	for i := range k.kinds {
		if k.free > 0 && k.many[i] == 0 {
			continue
		}
		n := k.turned(i)
		if !slices.ContainsFunc(seen, func(o []string) bool { return slices.Equal(o, n) }) {
			seen = append(seen, n)
			k.first = append(k.first, i)
		}
	}
	return k, nil
}

// turned returns a kind and then all throws in order, with its first pin at 0.
func (k *cranks) turned(kind int) []string {
	pins := func(i int) string {
		var s []int64
		for _, p := range k.kinds[i] {
			s = append(s, k.layout.mod(p-k.kinds[kind][0]))
		}
		return fmt.Sprint(s)
	}
	all := []string{pins(kind)}
	for i := range k.kinds {
		all = append(all, fmt.Sprint(k.many[i], i == k.middle, pins(i)))
	}
	slices.Sort(all[1:])
	return all
}

// count returns the number of cranks in closed form.
func (k *cranks) count() *big.Int {
	total := new(big.Int)
	if k.free == 0 { // one throw, alone in the middle
		return total.SetInt64(int64(len(k.first)))
	}
	for _, f := range k.first {
		ways := new(big.Int).MulRange(1, int64(k.free-1))
		for i, m := range k.many {
			if i == f {
				m--
			}
			ways.Quo(ways, new(big.Int).MulRange(1, int64(m)))
		}
		total.Add(total, ways)
	}
	return total
}

// crankVisitor sets the TDCs of a walk crank by crank.
type crankVisitor struct {
	*cranks
	w    *walk
	left []int
	at   []int // the kind at every throw
	pins []int64
	axis []int64
	then func() bool
}

func (k *cranks) visitor(w *walk) *crankVisitor {
	l := k.layout
	v := &crankVisitor{cranks: k, w: w, left: slices.Clone(k.many), pins: make([]int64, len(l.config.Throws)), at: make([]int, len(l.config.Throws)/k.together)}
	for _, c := range l.config.Cylinders {
		i := slices.IndexFunc(l.config.Banks, func(b Bank) bool { return b.Name == c.Bank })
		v.axis = append(v.axis, l.ticks(l.config.Banks[i].Axis))
	}
	return v
}

func (v *crankVisitor) each(then func() bool) {
	v.then = then
	if v.middle >= 0 {
		v.at[len(v.at)/2] = v.middle
	}
	if v.free == 0 {
		v.emit()
		return
	}
	for _, f := range v.first {
		v.put(0, f)
		v.left[f]--
		if !v.fill(1) {
			return
		}
		v.left[f]++
	}
}

func (v *crankVisitor) put(i, kind int) {
	v.at[i] = kind
	if v.symmetric {
		v.at[len(v.at)-1-i] = kind
	}
}

func (v *crankVisitor) fill(i int) bool {
	if i == v.free {
		return v.emit()
	}
	for kind, m := range v.left {
		if m == 0 {
			continue
		}
		v.put(i, kind)
		v.left[kind]--
		more := v.fill(i + 1)
		v.left[kind]++
		if !more {
			return false
		}
	}
	return true
}

// emit sets pins and TDCs, the first pin where the layout has it.
func (v *crankVisitor) emit() bool {
	l := v.layout
	shift := l.ticks(l.config.Throws[0]) - v.kinds[v.at[0]][0]
	for t, kind := range v.at {
		for j, p := range v.kinds[kind] {
			v.pins[t*v.together+j] = l.mod(p + shift)
		}
	}
	at := func(c int) int64 { return v.axis[c] - v.pins[l.config.Cylinders[c].Throw-1] }
	for c := range v.w.tdc {
		v.w.tdc[c] = l.mod(at(c) - at(0))
	}
	return v.then()
}
