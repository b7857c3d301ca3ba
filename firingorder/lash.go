package firingorder

import (
	"cmp"
	"math/bits"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// Valve says which valve of a cylinder is meant.
type Valve uint8

// The valves.
const (
	ValveUnstated Valve = iota
	IntakeValve
	ExhaustValve
)

// String returns the name of the valve.
func (v Valve) String() string { return named(v, "not stated", "intake", "exhaust") }

// Window is the part of a cylinder's cycle, forward in rotation from From to To,
// through which a valve is certainly closed with its lifter on the base circle.
// The ends are cycle angles: 0 is overlap TDC, -360 and 360 firing TDC, and they
// count modulo 720. The ends belong to the window.
type Window struct{ From, To units.CrankAngle }

// ClosedValves are the windows of one cylinder.
type ClosedValves struct{ Intake, Exhaust Window }

// LashSetting is an engine whose valves are to be adjusted.
type LashSetting struct {
	Engine *Engine
	// Closed has one entry that holds for every cylinder, or one for each by
	// its number. camtiming.Events.ClosedWindows makes it from valve events.
	Closed []ClosedValves
	// Margin is kept from both ends of every window. 0 keeps none.
	Margin units.CrankAngle
}

// FreeValve is a valve that may be set.
type FreeValve struct {
	Cylinder int
	Valve    Valve
	// Room is the crank rotation to the nearer end of the closed window,
	// rounded down to the quantum; never less than the margin.
	Room units.CrankAngle
}

// spot is an exact place in the cycle after firing TDC of cylinder 1: nano counts
// 1e-9 crank degrees in [0, 720e9) and part 1/turn of one, under the ticks of a
// turn of the layout. Window ends are whole counts, firing angles need not be.
type spot struct{ nano, part int64 }

// spotOf returns the spot of an angle in ticks, under two turns.
func (l *Layout) spotOf(ticks int64) spot {
	hi, lo := bits.Mul64(uint64(ticks), uint64(units.CrankTurn))
	q, r := bits.Div64(hi, lo, uint64(l.turn)) // q is under 720e9
	return spot{int64(q), int64(r)}
}

func wrapNano(x int64) int64 {
	const cycle = int64(units.CrankCycle)
	x %= cycle
	if x < 0 {
		x += cycle
	}
	return x
}

func (p spot) plus(nano units.CrankAngle) spot { return spot{wrapNano(p.nano + int64(nano)), p.part} }

// from returns how far p lies after q, forward in rotation.
func (p spot) from(q spot, turn int64) spot {
	d := spot{p.nano - q.nano, p.part - q.part}
	if d.part < 0 {
		d.part += turn
		d.nano--
	}
	return spot{wrapNano(d.nano), d.part}
}

func (p spot) compare(q spot) int {
	return cmp.Or(cmp.Compare(p.nano, q.nano), cmp.Compare(p.part, q.part))
}

func b2i(b bool) int64 {
	if b {
		return 1
	}
	return 0
}

// angle rounds to the nearest count, ties away from zero.
func (p spot) angle(turn int64) units.CrankAngle {
	return units.CrankAngle(wrapNano(p.nano + b2i(2*p.part >= turn)))
}

// arc is a closed window on the engine's cycle: from start through length counts.
type arc struct {
	start  spot
	length int64
	valve  FreeValve
}

// room returns the counts from p to the nearer end, and whether p is in the arc.
func (a arc) room(p spot, turn int64) (int64, bool) {
	d := p.from(a.start, turn)
	left := a.length - d.nano - b2i(d.part != 0)
	return min(d.nano, left), left >= 0
}

// within shrinks the arc by a margin at both ends; the length may become
// negative.
func (a arc) within(margin units.CrankAngle) arc {
	a.start = a.start.plus(margin)
	a.length -= 2 * int64(margin)
	return a
}

func (c LashSetting) check() error {
	if c.Engine == nil || c.Engine.layout == nil {
		return refuse("Engine", "", "want an engine from NewEngine", units.ErrMissing)
	}
	if c.Engine.cycle == TwoStroke {
		return refuse("Engine", "two-stroke", "a two-stroke engine has no intake and exhaust valves on a half-speed cam", units.ErrImpossible)
	}
	switch n := len(c.Engine.order); len(c.Closed) {
	case 0:
		return refuse("Closed", "", "want the closed windows of the valves", units.ErrMissing)
	case 1, n:
	default:
		return refuse("Closed", strconv.Itoa(len(c.Closed)), "want one entry, or one for each of the "+strconv.Itoa(n)+" cylinders", units.ErrConflict)
	}
	for i := range c.Closed {
		if err := c.Closed[i].Intake.check(i, "Intake"); err != nil {
			return err
		}
		if err := c.Closed[i].Exhaust.check(i, "Exhaust"); err != nil {
			return err
		}
	}
	if c.Margin < 0 || c.Margin >= units.CrankTurn {
		return refuse("Margin", c.Margin.String(), "want a margin from 0 to under 360 crank degrees", units.ErrRange)
	}
	return nil
}

func (w Window) check(i int, name string) error {
	field := func() string { return "Closed[" + strconv.Itoa(i) + "]." + name }
	if w == (Window{}) {
		return refuse(field(), "", "want the window in which the valve is closed", units.ErrMissing)
	}
	for _, end := range [...]units.CrankAngle{w.From, w.To} {
		if end < -units.CrankCycle || end > units.CrankCycle {
			return refuse(field(), end.String(), "want ends within 720 crank degrees", units.ErrRange)
		}
	}
	if w.length() == 0 {
		return refuse(field(), w.From.String(), "want a window over 0 and under 720 crank degrees, not none or all of the cycle", units.ErrRange)
	}
	return nil
}

func (w Window) length() int64 { return wrapNano(int64(w.To - w.From)) }

// arc returns the window of a valve, margin not taken off. The setting has been
// checked.
func (c LashSetting) arc(cylinder int, v Valve) arc {
	closed := &c.Closed[0]
	if len(c.Closed) > 1 {
		closed = &c.Closed[cylinder-1]
	}
	w := closed.Intake
	if v == ExhaustValve {
		w = closed.Exhaust
	}
	e := c.Engine
	overlap := e.layout.spotOf(e.fire[cylinder-1]).plus(units.CrankTurn)
	return arc{overlap.plus(w.From), w.length(), FreeValve{Cylinder: cylinder, Valve: v}}
}

func (c LashSetting) arcs() []arc {
	a := make([]arc, 0, 2*len(c.Engine.order))
	for cy := range c.Engine.order {
		a = append(a, c.arc(cy+1, IntakeValve), c.arc(cy+1, ExhaustValve))
	}
	return a
}

// at returns the valve as free at a spot, if the margin is kept there.
func (c LashSetting) at(a arc, p spot) (FreeValve, bool) {
	r, in := a.room(p, c.Engine.layout.turn)
	a.valve.Room = units.CrankAngle(r)
	return a.valve, in && a.valve.Room >= c.Margin
}

// AppendFree answers which valves are certainly on the base circle at an engine
// angle, any angle, and may be set there: it appends those whose closed window
// holds the position with the margin kept to both ends, by cylinder and the
// intake before the exhaust, and returns the extended slice.
//
//	angle = wrap(engine - f - 360)      From + Margin <= angle <= To - Margin
//
// with f = FiringAngle (crank deg), compared as fractions, and the window
// counted forward from From to To. A valve whose window is shorter than two
// margins is free nowhere. It allocates nothing where dst has room.
//
// Errors, with dst as it was: units.ErrMissing for no engine or no windows,
// units.ErrImpossible for a two-stroke engine, units.ErrConflict for a number of
// entries other than 1 or that of the cylinders, units.ErrRange for window ends
// beyond 720 crank degrees, a window of none or all of the cycle, and a margin
// outside 0 to 360.
//
// Source: definition; printed two-position lists: TM 5-3895-383-24 p. 6-60, and the
// operating manual (2012) of a family of V engines, p. 74.
//
// Rows: free-i4-at-0, free-v8-at-0, free-v12-at-0, free-v10-at-360,
// free-i6-doe-room-5, free-i6-doe-room-4, free-i6-doe-margin.
func (c LashSetting) AppendFree(dst []FreeValve, engine units.CrankAngle) ([]FreeValve, error) {
	if err := c.check(); err != nil {
		return dst, err
	}
	return c.free(dst, spot{wrapNano(int64(engine)), 0}), nil
}

func (c LashSetting) free(dst []FreeValve, p spot) []FreeValve {
	for cy := range c.Engine.order {
		for v := IntakeValve; v <= ExhaustValve; v++ {
			if f, ok := c.at(c.arc(cy+1, v), p); ok {
				dst = append(dst, f)
			}
		}
	}
	return dst
}

// standing returns the cylinder whose firing TDC is exactly at p, 0 for none.
func (e *Engine) standing(p spot) int {
	return 1 + slices.IndexFunc(e.fire, func(f int64) bool { return e.layout.spotOf(f) == p })
}
