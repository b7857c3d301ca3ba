package firingorder

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/units"
)

// Order is a firing order: cylinder numbers as they fire.
type Order []int

// String returns "1-5-3-6-2-4".
func (o Order) String() string {
	s := make([]string, len(o))
	for i, c := range o {
		s[i] = strconv.Itoa(c)
	}
	return strings.Join(s, "-")
}

const maxOrderText = 512

// ParseOrder reads cylinder numbers joined by "-", each once: "1-5-3-6-2-4". No
// spaces, no leading zeros, numbers 1 to 64, at most 512 bytes. It does not know
// how many cylinders there are; NewEngine does.
//
// Errors: units.ErrSyntax for another form, units.ErrConflict for a cylinder
// that stands twice.
//
// Source: the way orders are printed, e.g. FAA-H-8083-32, chapter 1.
//
// Rows: i6-a-1-intervals, radial14-intervals.
func ParseOrder(s string) (Order, error) {
	return parseOrder(s, "numbers from 1 to 64, as in 1-5-3-6-2-4", func(w string) (int, bool) {
		if w == "" || len(w) > 2 || strings.Trim(w, "0123456789") != "" || w[0] == '0' {
			return 0, false
		}
		n, err := strconv.Atoi(w)
		return n, err == nil && n <= maxCylinders
	})
}

// ParseOrder reads an order written in the labels of the layout, "A1-B5-A5", or
// in numbers; the two do not mix.
//
// Errors: those of the function ParseOrder, and units.ErrRange for a number that
// the layout does not have.
//
// Source: the way orders of engines with named banks are printed, R1-L2-R3.
//
// Rows: labels-boxer6, labels-boxer4, labels-v6-60.
func (l *Layout) ParseOrder(s string) (Order, error) {
	if err := l.check("layout", 1); err != nil {
		return nil, err
	}
	if s == "" || s[0] >= '0' && s[0] <= '9' { // no label begins with a digit
		o, err := ParseOrder(s)
		if err != nil {
			return nil, err
		}
		for _, c := range o {
			if err := l.check("order", c); err != nil {
				return nil, err
			}
		}
		return o, nil
	}
	return parseOrder(s, "labels of the layout or numbers, as in A1-B2 or 1-5-3-6-2-4", func(w string) (int, bool) {
		i := slices.Index(l.labels, w)
		return i + 1, i >= 0
	})
}

func parseOrder(s, want string, number func(string) (int, bool)) (Order, error) {
	if len(s) > maxOrderText {
		return nil, refuse("order", "", "want at most 512 bytes", units.ErrSyntax)
	}
	var o Order
	for w := range strings.SplitSeq(s, "-") {
		n, ok := number(w)
		if !ok {
			return nil, refuse("order", s, fmt.Sprintf("%q is no cylinder: want %s", w, want), units.ErrSyntax)
		}
		if slices.Contains(o, n) {
			return nil, refuse("order", s, fmt.Sprintf("cylinder %s fires twice", w), units.ErrConflict)
		}
		o = append(o, n)
	}
	return o, nil
}

// Cycle is the working cycle.
type Cycle uint8

// The cycles. FourStroke is the zero value.
const (
	FourStroke Cycle = iota
	TwoStroke
)

// String returns the name of the cycle.
func (c Cycle) String() string { return named(c, "four-stroke", "two-stroke") }

// EngineConfig is what an Engine is built from.
type EngineConfig struct {
	Layout *Layout
	Order  Order // every cylinder once, beginning with any
	Cycle  Cycle // the zero value is FourStroke
	// SecondTurnFrom is the first cylinder of the order to fire in the second
	// turn after cylinder 1. It is needed only where the order leaves a choice
	// that even spacing does not settle; 0 is not stated, and 1 says
	// that all fire in the first turn.
	SecondTurnFrom int
}

// Engine is a layout with a firing order that it allows. It does not change
// and may be used concurrently.
type Engine struct {
	layout    *Layout
	order     Order // from cylinder 1
	cycle     Cycle
	fire      []int64 // ticks, by cylinder
	angle     []units.CrankAngle
	companion []int
}

// NewEngine answers whether an order is possible on a layout and when each
// cylinder then fires. With tau = Layout.TDC (crank deg) and the order counted
// from cylinder 1, the firing angles must increase:
//
//	f = tau or tau + 360,   0 = f(first) < f(second) < ... < 720
//
// (two-stroke: f = tau < 360). The order settles which of the two it is wherever
// tau falls from one cylinder to the next; where it never does, the choice with
// the most even spacing is taken (its largest interval is the smallest, then its
// second largest, and so on) or the one that SecondTurnFrom states.
//
// Errors: units.ErrImpossible names the cylinder and the pin that it would need
// where the layout fires evenly, and otherwise the TDC that comes out of turn.
// units.ErrConflict is a cylinder that stands twice or a SecondTurnFrom that
// contradicts the order; units.ErrMissing a cylinder that does not stand at all,
// no layout, or an order that leaves the turn open with two choices equally even
// (an in-line twin with pins 180 apart fires at 180/540 or 540/180);
// units.ErrRange a number that is none.
//
// Valid without pin offset and for cylinders that all fire at different angles.
//
// Source: geometry; Auto Engine Repair (2021), p. 126, Fig. 6-2, and
// FAA-H-8083-32, chapter 1, for printed orders.
//
// Rows: i6-a-1-intervals, v8-xplane-alt-trail-1-intervals, radial14-intervals,
// v8-feasible-1-8-4-3-6-5-7-2-alternating-first.
func NewEngine(c EngineConfig) (*Engine, error) {
	l := c.Layout
	if l.Cylinders() == 0 {
		return nil, refuse("Layout", "", "want a layout from NewLayout", units.ErrMissing)
	}
	if c.Cycle > TwoStroke {
		return nil, refuse("Cycle", c.Cycle.String(), "want FourStroke or TwoStroke", units.ErrRange)
	}
	if err := l.complete(c.Order); err != nil {
		return nil, err
	}
	at := slices.Index(c.Order, 1)
	o := slices.Concat(c.Order[at:], c.Order[:at])
	split, err := l.secondTurn(o, c)
	if err != nil {
		return nil, err
	}
	n := len(o)
	e := &Engine{layout: l, order: o, cycle: c.Cycle, fire: make([]int64, n), angle: make([]units.CrankAngle, n), companion: make([]int, n)}
	for i, cy := range o {
		e.fire[cy-1] = l.tdc[cy-1]
		if i >= split {
			e.fire[cy-1] += l.turn
		}
		e.angle[cy-1] = angleOf(e.fire[cy-1], l.turn)
	}
	if c.Cycle == FourStroke {
		for i, f := range e.fire {
			e.companion[i] = slices.Index(e.fire, (f+l.turn)%(2*l.turn)) + 1
		}
	}
	return e, nil
}

// complete checks that the order has every cylinder of the layout once.
func (l *Layout) complete(o Order) error {
	if len(o) == 0 {
		return refuse("Order", "", "want an order such as 1-5-3-6-2-4", units.ErrMissing)
	}
	text := o.String()
	if len(text) > maxOrderText {
		text = ""
	}
	for i, cy := range o {
		if err := l.check("Order", cy); err != nil {
			return err
		}
		if slices.Contains(o[:i], cy) {
			return refuse("Order", text, fmt.Sprintf("cylinder %d fires twice", cy), units.ErrConflict)
		}
	}
	for cy := range l.tdc {
		if !slices.Contains(o, cy+1) {
			return refuse("Order", text, fmt.Sprintf("cylinder %d does not fire", cy+1), units.ErrMissing)
		}
	}
	return nil
}

// secondTurn returns the index in o, which begins with cylinder 1, of the first
// cylinder to fire in the second turn; len(o) if all fire in the first.
func (l *Layout) secondTurn(o Order, c EngineConfig) (int, error) {
	n := len(o)
	split := n
	for i := 1; i < n; i++ {
		if l.tdc[o[i]-1] > l.tdc[o[i-1]-1] {
			continue
		}
		if split < n || c.Cycle == TwoStroke {
			return 0, refuse("Order", c.Order.String(), l.why(o, i, c.Cycle), units.ErrImpossible)
		}
		split = i
	}
	if c.SecondTurnFrom != 0 {
		k := slices.Index(o, c.SecondTurnFrom)
		reason := ""
		switch {
		case k < 0:
			reason = "the layout has no such cylinder"
		case c.Cycle == TwoStroke:
			reason = "a two-stroke cycle has no second turn"
		case split < n && k != split:
			reason = fmt.Sprintf("the order and the layout make it cylinder %d", o[split])
		case k == 0:
			k = n // cylinder 1 again: all fire in the first turn
		}
		if reason != "" {
			return 0, refuse("SecondTurnFrom", strconv.Itoa(c.SecondTurnFrom), reason, units.ErrConflict)
		}
		return k, nil
	}
	if c.Cycle == TwoStroke || split < n || n == 1 {
		return split, nil
	}
	// The most even spacing, if one is the most even.
	var best []int64
	tie := 0
	for k := 1; k <= n; k++ {
		g := l.gaps(o, k, 2*l.turn)
		slices.Sort(g)
		slices.Reverse(g)
		cmp := -1
		if best != nil {
			cmp = slices.Compare(g, best)
		}
		if cmp < 0 {
			best, split, tie = g, k, 0
		} else if cmp == 0 {
			tie = k
		}
	}
	if tie != 0 {
		reason := fmt.Sprintf("the order %s can fire in ways that are equally uneven: say whether cylinder %d or %d is the first to fire in the second turn (1: none does)",
			c.Order, o[split%n], o[tie%n])
		if l.even(2) {
			reason += "; " + l.why(o, n-1, c.Cycle)
		}
		return 0, refuse("SecondTurnFrom", "", reason, units.ErrMissing)
	}
	return split, nil
}

// why says why the cylinder at index at of the order o cannot fire there. Where
// the layout can fire evenly the k-th cylinder must fire at k/n of the cycle, so
// the pin that it needs is known and speaks plainer than the turns.
func (l *Layout) why(o Order, at int, cycle Cycle) string {
	n := int64(len(o))
	turns := int64(2)
	if cycle == TwoStroke {
		turns = 1
	}
	if l.even(turns) {
		// One tick is 1/(n turn) of a turn here, so that every angle is whole.
		need := make([]int64, n)
		for k, cy := range o {
			// pin = axis - firing angle, against the reference of the layout
			need[k] = l.needed(cy) - int64(k)*turns*l.turn
		}
		one := n * l.turn
		norm := func(x int64) int64 { return (x%one + one) % one }
		deg := func(x int64) units.CrankAngle { return angleOf(norm(x), one) }
		for k, cy := range o {
			for j, other := range o[:k] {
				if l.config.Cylinders[cy-1].Throw == l.config.Cylinders[other-1].Throw && norm(need[j]-need[k]) != 0 {
					return fmt.Sprintf("cylinders %d and %d share a pin, but to fire evenly cylinder %d needs it at %s and cylinder %d at %s",
						min(cy, other), max(cy, other), other, deg(need[j]), cy, deg(need[k]))
				}
			}
		}
		for k, cy := range o {
			if pin := n * l.ticks(l.pin(cy)); norm(need[k]-pin) != 0 {
				return fmt.Sprintf("to fire evenly in place %d cylinder %d would need its pin at %s, it is at %s", k+1, cy, deg(need[k]), deg(pin))
			}
		}
	}
	prev, this := o[at-1], o[at]
	if l.tdc[prev-1] == l.tdc[this-1] {
		return fmt.Sprintf("cylinder %d reaches TDC together with cylinder %d and cannot fire after it: no turn of the %s cycle is left",
			this, prev, cycle)
	}
	return fmt.Sprintf("with its pin at %s cylinder %d reaches TDC %s after cylinder 1, before cylinder %d at %s, and cannot fire after it: no turn of the %s cycle is left",
		angleOf(l.mod(l.ticks(l.pin(this))), l.turn), this, angleOf(l.tdc[this-1], l.turn), prev, angleOf(l.tdc[prev-1], l.turn), cycle)
}

func (l *Layout) pin(cylinder int) Turn {
	return l.config.Throws[l.config.Cylinders[cylinder-1].Throw-1]
}

// needed returns n times the ticks of the pin at which the cylinder would reach
// TDC together with cylinder 1.
func (l *Layout) needed(cylinder int) int64 {
	return int64(len(l.tdc)) * l.mod(l.ticks(l.pin(cylinder))+l.tdc[cylinder-1])
}

// even reports whether the layout can fire at equal intervals in that many turns.
func (l *Layout) even(turns int64) bool {
	n := int64(len(l.tdc))
	have, want := make([]int64, n), make([]int64, n)
	for i := range n {
		have[i] = n * l.tdc[i]
		want[i] = i * turns * l.turn % (n * l.turn)
	}
	slices.Sort(have)
	slices.Sort(want)
	return slices.Equal(have, want)
}

func (l *Layout) gaps(o Order, split int, cycle int64) []int64 {
	g := make([]int64, len(o))
	at := func(i int) int64 {
		if i == len(o) {
			return cycle
		}
		t := l.tdc[o[i]-1]
		if i >= split {
			t += l.turn
		}
		return t
	}
	for i := range o {
		g[i] = at(i+1) - at(i)
	}
	return g
}

// Order returns a copy of the order, from cylinder 1.
//
// Rows: radial14-rule, fo-radial18-rule, same-pattern-v8.
func (e *Engine) Order() Order {
	if e == nil {
		return nil
	}
	return slices.Clone(e.order)
}

// Layout returns the layout, nil for an engine that NewEngine did not make.
func (e *Engine) Layout() *Layout {
	if e == nil {
		return nil
	}
	return e.layout
}

// Intervals answers by what crank angle each firing of the order follows the one
// before: entry i leads from cylinder Order()[i] to the next, the last one back
// to cylinder 1.
//
//	interval = f(next) - f(this)
//
// with f = FiringAngle (crank deg). They are differences of rounded firing
// angles, so that they add up to 720 (two-stroke: 360) exactly. Even firing is
// 720/n for n cylinders.
//
// Source: definition; printed intervals of FAA-H-8083-32, chapter 1, Auto Engine
// Repair (2021), p. 126, and the tables named by the rows.
//
// Rows: i6-a-1-intervals, v6-90-oddfire-intervals, v2-45-intervals,
// radial14-intervals, interval-2t-3.
func (e *Engine) Intervals() []units.CrankAngle {
	if e == nil {
		return nil
	}
	g := make([]units.CrankAngle, len(e.order))
	for i, c := range e.order {
		next := units.CrankCycle
		if e.cycle == TwoStroke {
			next = units.CrankTurn
		}
		if i+1 < len(e.order) {
			next = e.angle[e.order[i+1]-1]
		}
		g[i] = next - e.angle[c-1]
	}
	return g
}

// Even answers whether every interval is exactly the same, 720/n crank degrees
// for n cylinders (two-stroke: 360/n), compared as fractions. An order may be
// possible on a layout and yet fire unevenly: 1-2-3-4-5 on an in-line five whose
// even order is 1-2-4-5-3 is possible and hardly ever meant.
//
// Source: mean firing interval 720/n, formula collection.
//
// Rows: even-i6, even-v6-90-shared, even-v6-90-split, even-v10-90-split.
func (e *Engine) Even() bool {
	if e == nil || e.layout == nil {
		return false
	}
	n, cycle := int64(len(e.order)), e.layout.turn
	if e.cycle == FourStroke {
		cycle *= 2
	}
	for i, c := range e.order {
		if n*e.fire[c-1] != int64(i)*cycle {
			return false
		}
	}
	return true
}

// FiringAngle answers how far the crank turns from firing TDC of cylinder 1 to
// firing TDC of a cylinder, in [0, 720) crank degrees ([0, 360) for a two-stroke):
//
//	f = TDC, or TDC + 360 in the second turn
//
// with TDC = Layout.TDC (crank deg); NewEngine says which turn. It is rounded
// once; what falls short of 720 by less than half a quantum reads 720, so that the
// firing angles never decrease along the order.
//
// Errors: units.ErrRange for a cylinder that the engine does not have,
// units.ErrMissing for an engine that NewEngine did not make.
//
// Source: definition, the angles of the order counted up.
//
// Rows: fire-i6-4, fire-v8-7, fire-v6-90-6, fire-radial14-6.
func (e *Engine) FiringAngle(cylinder int) (units.CrankAngle, error) {
	if err := e.check("cylinder", cylinder); err != nil {
		return 0, err
	}
	return e.angle[cylinder-1], nil
}

// Companion says who is at overlap TDC while another cylinder is at firing TDC.
type Companion struct {
	Exists   bool // false: geometry gives the cylinder no companion
	Cylinder int  // 0 where there is none

	engine *Engine // for Working
	of     int
}

// Working shows how the companion follows from the firing angles.
func (c Companion) Working() units.Working {
	e := c.engine
	if e == nil {
		return nil
	}
	src := units.Source{Text: "geometry: companions fire 360 crank degrees apart", Provenance: units.Computed}
	f := e.angle[c.of-1]
	if e.cycle == TwoStroke {
		return units.Working{{Symbol: "companion", Formula: "none in a two-stroke cycle, which has no overlap TDC", Value: "none", Source: src}}
	}
	over := (f + units.CrankTurn) % units.CrankCycle
	who := "none"
	if c.Exists {
		who = fmt.Sprintf("cylinder %d", c.Cylinder)
	}
	all := make([]string, len(e.order))
	for i, cy := range e.order {
		all[i] = fmt.Sprintf("%d at %s", cy, number(e.angle[cy-1]))
	}
	return units.Working{
		{Symbol: "f", Formula: "firing angle of cylinder " + strconv.Itoa(c.of), Numbers: number(f), Value: f.String(), Source: src},
		{Symbol: "f'", Formula: "(f + 360) mod 720", Numbers: "(" + number(f) + " + 360) mod 720", Value: over.String(), Source: src},
		{Symbol: "companion", Formula: "the cylinder that fires at f'", Numbers: strings.Join(all, ", "), Value: who, Source: src},
	}
}

// number returns the angle without its unit, for a line of arithmetic.
func number(a units.CrankAngle) string { return strings.TrimSuffix(a.String(), " crank deg") }

// CompanionOf answers who is at overlap TDC when the given cylinder is at firing
// TDC: the cylinder whose firing angle is exactly
//
//	f' = (f + 360) mod 720
//
// with f = FiringAngle (crank deg), compared as fractions. It is read from the
// geometry, never from the halves of the order, which pair cylinders even where
// geometry has no pair (twins, V6 and V10 engines on shared pins, a four with a
// two-plane crank). A two-stroke engine has no overlap TDC and no companions.
//
// Errors: units.ErrRange for a cylinder that the engine does not have,
// units.ErrMissing for an engine that NewEngine did not make.
//
// Source: definition; printed pairs: Denton, Automobile Mechanical and Electrical
// Systems, p. 107, and for the two-plane V8 a magazine article on firing-order
// swap camshafts.
//
// Rows: pairs-i4, pairs-i6, v8-xplane-alt-trail-3-pairs, swap-47,
// v6-90-oddfire-pairs, radial14-pairs.
func (e *Engine) CompanionOf(cylinder int) (Companion, error) {
	if err := e.check("cylinder", cylinder); err != nil {
		return Companion{}, err
	}
	c := e.companion[cylinder-1]
	return Companion{c > 0, c, e, cylinder}, nil
}

// Stroke is a stroke of the four-stroke cycle.
type Stroke uint8

// The strokes; the zero value is none (a two-stroke engine).
const (
	NoStroke Stroke = iota
	Power
	Exhaust
	Intake
	Compression
)

// String returns the name of the stroke.
func (s Stroke) String() string {
	return named(s, "no stroke", "power", "exhaust", "intake", "compression")
}

// Phase is where a cylinder stands.
type Phase struct {
	// Angle is the cycle angle in [-360, 360): 0 is overlap TDC and -360
	// firing TDC. For a two-stroke it is the angle after TDC in [0, 360).
	Angle  units.CrankAngle
	Stroke Stroke // the one that begins, at a dead center

	at, fires units.CrankAngle // for Working
	given     bool
}

// Working shows how the cycle angle follows from the engine angle.
func (p Phase) Working() units.Working {
	if !p.given {
		return nil
	}
	src := units.Source{Text: "definition of the cycle angle: 0 at overlap TDC, -360 at firing TDC", Provenance: units.Computed}
	w := units.Working{
		{Symbol: "engine", Formula: "crank angle since firing TDC of cylinder 1", Numbers: number(p.at), Value: p.at.String(), Source: units.Source{Text: "as given", Provenance: units.Stated}},
		{Symbol: "f", Formula: "firing angle of the cylinder", Numbers: number(p.fires), Value: p.fires.String(), Source: src},
	}
	if p.Stroke == NoStroke {
		return append(w, units.Step{Symbol: "angle", Formula: "engine - f, wrapped to [0, 360)", Numbers: number(p.at) + " - " + number(p.fires), Value: p.Angle.String(), Source: src})
	}
	return append(w,
		units.Step{Symbol: "angle", Formula: "engine - f - 360, wrapped to [-360, 360)", Numbers: number(p.at) + " - " + number(p.fires) + " - 360", Value: p.Angle.String(), Source: src},
		units.Step{Symbol: "stroke", Formula: "power from -360, exhaust from -180, intake from 0, compression from 180", Numbers: number(p.Angle), Value: p.Stroke.String(), Source: src})
}

// PhaseAt answers where a cylinder stands at an engine angle, any angle, before
// or after firing TDC of cylinder 1 and over any number of turns:
//
//	angle = wrap(engine - f - 360)
//
// with f = FiringAngle (crank deg) and wrap to [-360, 360): 0 is overlap TDC,
// -360 firing TDC. The stroke is power from -360, exhaust from -180, intake from
// 0 and compression from 180, each from its dead center on. A two-stroke engine
// has angle = engine - f in [0, 360) and no stroke. It allocates nothing.
//
// Errors: units.ErrRange for a cylinder that the engine does not have,
// units.ErrMissing for an engine that NewEngine did not make.
//
// Source: definition of the cycle angle.
//
// Rows: phase-i6-6-at-0, phase-v8-6-at-1080, phase-v8-8-at-m90, phase-radial14-10-at-0.
func (e *Engine) PhaseAt(cylinder int, engine units.CrankAngle) (Phase, error) {
	if err := e.check("cylinder", cylinder); err != nil {
		return Phase{}, err
	}
	f := e.angle[cylinder-1]
	// Reduce before subtracting, so that no angle overflows.
	d := engine.Wrap() - f
	if e.cycle == TwoStroke {
		return Phase{Angle: d.WrapTurn(), at: engine, fires: f, given: true}, nil
	}
	a := (d - units.CrankTurn).Wrap()
	s := Compression
	switch {
	case a < -units.CrankTurn/2:
		s = Power
	case a < 0:
		s = Exhaust
	case a < units.CrankTurn/2:
		s = Intake
	}
	return Phase{a, s, engine, f, true}, nil
}

// Working shows for each cylinder, in firing order, how its firing angle follows
// from the layout.
func (e *Engine) Working() units.Working {
	if e == nil || e.layout == nil {
		return nil
	}
	l := e.layout
	src := units.Source{Text: "geometry of a crank without pin offset: TDC where the pin points along the axis", Provenance: units.Computed}
	deg := func(x int64) string { return number(angleOf(l.mod(x), l.turn)) }
	w := make(units.Working, len(e.order))
	for i, cy := range e.order {
		c := l.config.Cylinders[cy-1]
		k := slices.IndexFunc(l.config.Banks, func(b Bank) bool { return b.Name == c.Bank })
		axis, pin := l.ticks(l.config.Banks[k].Axis), l.ticks(l.pin(cy))
		numbers := fmt.Sprintf("(%s - %s) - (%s) mod 360", deg(axis), deg(pin), deg(axis-pin-l.tdc[cy-1]))
		if e.fire[cy-1] >= l.turn {
			numbers += " + 360"
		}
		w[i] = units.Step{
			Symbol: "f" + strconv.Itoa(cy), Formula: "(axis - pin) - (axis1 - pin1) mod 360, + 360 in the second turn",
			Numbers: numbers, Value: e.angle[cy-1].String(), Source: src,
		}
	}
	return w
}

func (e *Engine) check(field string, cylinder int) error {
	if e == nil || e.layout == nil {
		return refuse("engine", "", "want an engine from NewEngine", units.ErrMissing)
	}
	return e.layout.check(field, cylinder)
}
