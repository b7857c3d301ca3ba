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

// ParseOrder reads cylinder numbers joined by "-", each once: "1-5-3-6-2-4".
//
// Rows: v8-xplane-alt-trail-1-intervals, radial14-intervals.
func ParseOrder(s string) (Order, error) {
	return parseOrder(s, func(w string) (int, bool) {
		if w == "" || len(w) > 2 || strings.Trim(w, "0123456789") != "" || w[0] == '0' {
			return 0, false
		}
		n, err := strconv.Atoi(w)
		return n, err == nil && n <= maxCylinders
	})
}

// ParseOrder reads labels of the layout joined by "-", "A1-B5-A5", or numbers.
func (l *Layout) ParseOrder(s string) (Order, error) {
	if err := l.check("layout", 1); err != nil {
		return nil, err
	}
	if o, err := ParseOrder(s); err == nil {
		return o, nil
	}
	return parseOrder(s, func(w string) (int, bool) {
		i := slices.Index(l.labels, w)
		return i + 1, i >= 0
	})
}

func parseOrder(s string, number func(string) (int, bool)) (Order, error) {
	if len(s) > maxOrderText {
		return nil, refuse("order", "", "want at most 512 bytes", units.ErrSyntax)
	}
	var o Order
	for w := range strings.SplitSeq(s, "-") {
		n, ok := number(w)
		if !ok {
			return nil, refuse("order", s, fmt.Sprintf("%q is no cylinder; want the form 1-5-3-6-2-4", w), units.ErrSyntax)
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

// EngineConfig is what an Engine is built from.
type EngineConfig struct {
	Layout *Layout
	Order  Order
	Cycle  Cycle
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

// NewEngine checks the order against the layout. In each turn of the crank the
// cylinders must fire in the sequence in which they reach TDC. An order that
// cannot be is units.ErrImpossible and the error names the cylinder; one that
// leaves the turn open (uneven twins with pins 180 apart) is units.ErrMissing.
//
// Rows: v8-xplane-alt-trail-1-intervals, radial14-intervals.
func NewEngine(c EngineConfig) (*Engine, error) {
	l := c.Layout
	if err := l.check("Layout", 1); err != nil {
		return nil, err
	}
	if c.Cycle > TwoStroke {
		return nil, refuse("Cycle", fmt.Sprint(c.Cycle), "want FourStroke or TwoStroke", units.ErrRange)
	}
	n := l.Cylinders()
	text := c.Order.String()
	for i, cy := range c.Order {
		if err := l.check("Order", cy); err != nil {
			return nil, err
		}
		if slices.Contains(c.Order[:i], cy) {
			return nil, refuse("Order", text, fmt.Sprintf("cylinder %d fires twice", cy), units.ErrConflict)
		}
	}
	for cy := 1; cy <= n; cy++ {
		if !slices.Contains(c.Order, cy) {
			return nil, refuse("Order", text, fmt.Sprintf("cylinder %d does not fire", cy), units.ErrMissing)
		}
	}
	at := slices.Index(c.Order, 1)
	o := slices.Concat(c.Order[at:], c.Order[:at])
	split := n // index in o of the first to fire in the second turn
	for i := 1; i < n; i++ {
		prev, this := l.tdc[o[i-1]-1], l.tdc[o[i]-1]
		if this > prev {
			continue
		}
		if split < n || c.Cycle == TwoStroke {
			return nil, refuse("Order", text, fmt.Sprintf(
				"cylinder %d cannot fire after cylinder %d: it reaches TDC %s after cylinder 1 and cylinder %d at %s, and the cycle has no turn left",
				o[i], o[i-1], angleOf(this, l.turn), o[i-1], angleOf(prev, l.turn)), units.ErrImpossible)
		}
		split = i
	}
	switch {
	case c.SecondTurnFrom != 0:
		k := slices.Index(o, c.SecondTurnFrom)
		if k == 0 {
			k = n // cylinder 1 again: all fire in the first turn
		}
		if c.Cycle == TwoStroke || k < 1 || split < n && k != split {
			return nil, refuse("SecondTurnFrom", strconv.Itoa(c.SecondTurnFrom), "contradicts the order, the layout or the cycle", units.ErrConflict)
		}
		split = k
	case c.Cycle == FourStroke && split == n && n > 1:
		// The most even spacing, if one is the most even.
		type choice struct {
			k    int
			gaps []int64
		}
		var best choice
		tie := false
		for k := 1; k <= n; k++ {
			g := l.gaps(o, k, 2*l.turn)
			slices.Sort(g)
			slices.Reverse(g)
			cmp := -1
			if best.gaps != nil {
				cmp = slices.Compare(g, best.gaps)
			}
			if cmp < 0 {
				best, tie = choice{k, g}, false
			} else if cmp == 0 {
				tie = true
			}
		}
		if tie {
			return nil, refuse("SecondTurnFrom", "", fmt.Sprintf("the order %s leaves open which cylinder fires first in the second turn", text), units.ErrMissing)
		}
		split = best.k
	}
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
// Rows: v8-xplane-alt-trail-1-pairs, radial14-pairs.
func (e *Engine) Order() Order { return slices.Clone(e.order) }

// Intervals returns the crank angle from each firing of the order to the next;
// the last leads back to cylinder 1. They are differences of rounded firing
// angles, so that they add up to the cycle exactly.
//
// Rows: v8-xplane-alt-trail-1-intervals, radial14-intervals.
func (e *Engine) Intervals() []units.CrankAngle {
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

// FiringAngle returns the engine angle at which a cylinder fires.
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
}

// CompanionOf answers who is at overlap TDC when the given cylinder is at firing
// TDC: the one that fires exactly 360 degrees later. It is read from the
// geometry, never from the halves of the order.
//
// Rows: v8-xplane-alt-trail-1-pairs, radial14-pairs.
func (e *Engine) CompanionOf(cylinder int) (Companion, error) {
	if err := e.check("cylinder", cylinder); err != nil {
		return Companion{}, err
	}
	c := e.companion[cylinder-1]
	return Companion{c > 0, c}, nil
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
	switch s {
	case Power:
		return "power"
	case Exhaust:
		return "exhaust"
	case Intake:
		return "intake"
	case Compression:
		return "compression"
	default:
		return "no stroke"
	}
}

// Phase is where a cylinder stands.
type Phase struct {
	// Angle is the cycle angle in [-360, 360): 0 is overlap TDC and -360
	// firing TDC. For a two-stroke it is the angle after TDC in [0, 360).
	Angle  units.CrankAngle
	Stroke Stroke // the one that begins, at a dead center
}

// PhaseAt answers where a cylinder stands at an engine angle:
//
//	cycle angle = wrap(engine - f - 360)
//
// with f = FiringAngle (crank deg). It allocates nothing.
func (e *Engine) PhaseAt(cylinder int, engine units.CrankAngle) (Phase, error) {
	if err := e.check("cylinder", cylinder); err != nil {
		return Phase{}, err
	}
	// Reduce before subtracting, so that no angle overflows.
	d := engine.Wrap() - e.angle[cylinder-1]
	if e.cycle == TwoStroke {
		return Phase{Angle: d.WrapTurn()}, nil
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
	return Phase{a, s}, nil
}

func (e *Engine) check(field string, cylinder int) error {
	if e == nil {
		return refuse("engine", "", "want an engine from NewEngine", units.ErrMissing)
	}
	return e.layout.check(field, cylinder)
}
