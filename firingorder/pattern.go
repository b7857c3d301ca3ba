package firingorder

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/units"
)

// Symmetry names the changes, beside other numbers, after which an engine still
// counts as the same. The zero value allows none.
type Symmetry struct {
	OtherEnd bool // the throws in the opposite sequence along the shaft
	Reversed bool // every angle negative: the mirror image, or the engine running backward
}

// Renumbering maps the cylinders of one engine onto those of another.
type Renumbering struct {
	Exists bool
	// Numbers[c-1] is the number in the other engine of cylinder c.
	Numbers []int
	Change  Symmetry // what it took beside other numbers
}

// Pattern is an engine without regard to its numbers.
type Pattern struct {
	// Order is the order in numbers that count the cylinders throw by throw,
	// on one throw in rotation from the bank of cylinder 1. It begins with 1.
	Order   Order
	Numbers []int    // Numbers[c-1] is the number of cylinder c there
	Change  Symmetry // what it took to come to this form
	// Key is the same text for two engines if and only if one is the other
	// under the symmetry, see Engine.Renumber.
	Key string
}

// berth is where a cylinder sits and when it fires, in the sequence of the order.
type berth struct {
	throw int
	axis  int64 // ticks from the first of the sequence
	bank  int   // counted as they come
	gap   int64 // ticks to the next firing
}

func compareBerths(a, b berth) int {
	return cmp.Or(cmp.Compare(a.throw, b.throw), cmp.Compare(a.axis, b.axis), cmp.Compare(a.bank, b.bank), cmp.Compare(a.gap, b.gap))
}

// seats are where the cylinders of a layout sit, by cylinder less 1.
type seats struct {
	throw, bank [maxCylinders]int // throws counted over those in use
	axis        [maxCylinders]int64
	throws      int // in use
}

func (l *Layout) seats() *seats {
	s := &seats{}
	var used []int
	for _, c := range l.config.Cylinders {
		used = append(used, c.Throw)
	}
	slices.Sort(used)
	used = slices.Compact(used)
	s.throws = len(used)
	for i, c := range l.config.Cylinders {
		s.throw[i], _ = slices.BinarySearch(used, c.Throw)
		s.bank[i] = slices.IndexFunc(l.config.Banks, func(b Bank) bool { return b.Name == c.Bank })
		s.axis[i] = l.ticks(l.config.Banks[s.bank[i]].Axis)
	}
	return s
}

// sequence writes the engine as spots from the k-th firing on.
func (e *Engine) sequence(to []berth, at *seats, k int, s Symmetry) []berth {
	l, n := e.layout, len(e.order)
	cycle := l.turn
	if e.cycle == FourStroke {
		cycle *= 2
	}
	sign, step := int64(1), 1
	if s.Reversed {
		sign, step = -1, n-1
	}
	first := e.order[k] - 1
	var seen [maxCylinders]int // by bank
	banks := 0
	to = to[:0]
	for i := range n {
		c := e.order[(k+i*step)%n] - 1
		next := e.order[(k+(i+1)*step)%n] - 1
		gap := sign * (e.fire[next] - e.fire[c])
		if gap <= 0 {
			gap += cycle
		}
		if seen[at.bank[c]] == 0 {
			banks++
			seen[at.bank[c]] = banks
		}
		t := at.throw[c]
		if s.OtherEnd {
			t = at.throws - 1 - t
		}
		to = append(to, berth{t, l.mod(sign * (at.axis[c] - at.axis[first])), seen[at.bank[c]], gap})
	}
	return to
}

// changes lists the combinations that a symmetry allows, the least first.
func (s Symmetry) changes() []Symmetry {
	all := []Symmetry{{}}
	if s.OtherEnd {
		all = append(all, Symmetry{OtherEnd: true})
	}
	if s.Reversed {
		for _, c := range all {
			all = append(all, Symmetry{c.OtherEnd, true})
		}
	}
	return all
}

// Pattern answers which engine this is apart from its numbers: the form that all
// engines share whose cylinders can be renumbered so that banks stay together and
// axes, throws and intervals agree,
//
//	axis' - axis1' = s (axis - axis1)   modulo 360
//	throw' = throw, or with OtherEnd m + 1 - throw
//	interval' = interval, with Reversed read from the end
//
// with axis = Bank.Axis of a cylinder (crank deg), axis1 that of the first in the
// order, s = -1 with Reversed and else 1, throw its throw counted over the m in
// use. The pins agree then by themselves. The order may begin with any cylinder.
// Of all ways to write the engine the one is taken that comes first when throws,
// axes, banks and intervals are compared in this sequence.
//
// Throws are told apart as the layout lists them, the two pins of a split throw
// included.
//
// Errors: units.ErrMissing for an engine that NewEngine did not make.
//
// Source: definition; four patterns of the two-plane V8 by enumeration in a
// separate program.
//
// Rows: v8-xplane-classes, v8-class-1, v8-class-2, v8-class-3, v8-class-4,
// v8-patterns-00, i6-patterns-01, v12-patterns-11, w12-patterns.
func (e *Engine) Pattern(s Symmetry) (Pattern, error) {
	if err := e.check("cylinder", 1); err != nil {
		return Pattern{}, err
	}
	at := e.layout.seats()
	var best, other []berth
	var p Pattern
	start := 0
	for _, change := range s.changes() {
		for k := range e.order {
			other = e.sequence(other, at, k, change)
			if best == nil || slices.CompareFunc(other, best, compareBerths) < 0 {
				best, other = other, best
				p.Change, start = change, k
			}
		}
	}
	n := len(best)
	places := make([]int, n)
	for i := range places {
		places[i] = i
	}
	slices.SortFunc(places, func(a, b int) int { return compareBerths(best[a], best[b]) })
	step := 1
	if p.Change.Reversed {
		step = n - 1
	}
	p.Order, p.Numbers = make(Order, n), make([]int, n)
	for number, i := range places {
		p.Order[i] = number + 1
		p.Numbers[e.order[(start+i*step)%n]-1] = number + 1
	}
	var key strings.Builder
	key.WriteString(e.cycle.String())
	for i, x := range best {
		fmt.Fprintf(&key, ", %d: bank %d at %s, throw %d, then %s", p.Order[i], x.bank,
			reduced(x.axis, e.layout.turn), x.throw+1, reduced(x.gap, e.layout.turn))
	}
	p.Key = key.String()
	return p, nil
}

// Renumber answers whether another engine is this one with other numbers, and
// which: the renumbering of Engine.Pattern, with the least change that the
// symmetry allows, that maps the cylinders of this engine onto those of the other
// so that they fire in the same sequence.
//
// Errors: units.ErrMissing for an engine that NewEngine did not make.
//
// Source: definition; every map of the cylinders tried out in a separate program.
//
// Rows: renumber-v8-2-4, renumber-v8-2-5, renumber-v8-1-3, renumber-v8-1-2,
// renumber-v8-1-2-end, renumber-v6-60, renumber-v6-60-mirror, renumber-i6-none.
func (e *Engine) Renumber(other *Engine, s Symmetry) (Renumbering, error) {
	if err := e.check("cylinder", 1); err != nil {
		return Renumbering{}, err
	}
	if err := other.check("cylinder", 1); err != nil {
		return Renumbering{}, refuse("other", "", "want an engine from NewEngine", units.ErrMissing)
	}
	n := len(e.order)
	if n != len(other.order) || e.cycle != other.cycle {
		return Renumbering{}, nil
	}
	turn := func(x int64, e *Engine) Turn { return reduced(x, e.layout.turn) }
	var a, b []berth
	a = e.sequence(a, e.layout.seats(), 0, Symmetry{})
	at := other.layout.seats()
	for _, change := range s.changes() {
		step := 1
		if change.Reversed {
			step = n - 1
		}
		for k := range n {
			b = other.sequence(b, at, k, change)
			if !slices.EqualFunc(a, b, func(x, y berth) bool {
				return x.throw == y.throw && x.bank == y.bank && turn(x.axis, e) == turn(y.axis, other) && turn(x.gap, e) == turn(y.gap, other)
			}) {
				continue
			}
			r := Renumbering{Exists: true, Numbers: make([]int, n), Change: change}
			for i, c := range e.order {
				r.Numbers[c-1] = other.order[(k+i*step)%n]
			}
			return r, nil
		}
	}
	return Renumbering{}, nil
}

// String returns the numbers, "1 > 1, 2 > 5", and what else is different; "none"
// where there is no renumbering.
func (r Renumbering) String() string {
	if !r.Exists {
		return "none"
	}
	s := make([]string, len(r.Numbers))
	for i, c := range r.Numbers {
		s[i] = strconv.Itoa(i+1) + " > " + strconv.Itoa(c)
	}
	text := strings.Join(s, ", ")
	if r.Change.OtherEnd {
		text += "; from the other end"
	}
	if r.Change.Reversed {
		text += "; mirrored"
	}
	return text
}
