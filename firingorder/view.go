package firingorder

import (
	"slices"

	"example.com/trialfit/units"
)

// Direction is a direction on paper.
type Direction struct {
	// Clock is counted clockwise from the top of the paper, in [0, 1) turns. It
	// is exact unless its denominator would pass 360e9; then it is the nearest
	// 1e-9 degree.
	Clock Turn
	// X and Y are the sine and cosine of Clock: ratios to the radius of a circle,
	// X to the right and Y up.
	X, Y float64
}

// clockDirection returns num/den turns clockwise from the top.
func clockDirection(num, den int64) Direction {
	num = (num%den + den) % den
	a := angleOf(num, den).WrapTurn()
	t := reduced(num, den)
	if t.denMinus1 >= maxDenominator {
		t = reduced(int64(a), maxDenominator)
	}
	return Direction{t, a.Sin(), a.Cos()}
}

// EndViewConfig says how the crank is looked at.
type EndViewConfig struct {
	// SeenFrom is the end that the observer faces. EndUnstated is the free end
	// or, where the layout states no rotation, the end from which the crank
	// turns clockwise, whichever that is.
	SeenFrom End
	// Up is the direction that points up, on the scale of Bank.Axis. Nil is the
	// middle of banks that lie within less than half a turn; of two opposed
	// banks the direction a quarter turn after the first that is listed; and
	// otherwise the axis of cylinder 1.
	Up *Turn
	// Turned is how far the crank has turned since TDC of cylinder 1.
	Turned Turn
}

// ThrowView is a throw as it is seen.
type ThrowView struct {
	Throw     int   // counted from Config.NumberedFrom
	Cylinders []int // that sit on it, ascending
	Pin       Direction
}

// BankView is a bank as it is seen.
type BankView struct {
	Name      string
	Cylinders []int // of the bank, ascending
	Axis      Direction
}

// EndView is the crank seen along its axis.
type EndView struct {
	SeenFrom  End  // EndUnstated where the layout states no rotation
	Clockwise bool // the crank turns clockwise in this view
	Throws    []ThrowView
	Banks     []BankView
}

// EndView answers where throws and bank axes point when the crank is seen from one
// end, as data for a drawing. With the crank turned t past TDC of cylinder 1,
// clockwise from the top of the paper
//
//	axis on paper = s (axis - up)
//	pin on paper  = s (pin - pin1 + axis1 + t - up)   modulo 360
//
// with axis = Bank.Axis, pin = the entry of Config.Throws, up = EndViewConfig.Up, t =
// Turned (crank deg) and s = +1 where the crank turns clockwise as seen, -1 where it
// turns counter-clockwise. Layout.Config's Rotation is the sense seen from the free
// end. A cylinder is at TDC where its pin covers its axis.
//
// Errors: units.ErrMissing for no layout or an end stated for a layout without a
// rotation, units.ErrRange for an unknown end, units.ErrInexact for fractions too
// fine to compare.
//
// Source: geometry of a crank without pin offset.
//
// Rows: view-v8-free-end, view-v8-driving-end, view-v8-turned, view-boxer4,
// view-radial7, rotation-j824, rotation-din73021.
func (l *Layout) EndView(c EndViewConfig) (EndView, error) {
	if err := l.check("layout", 1); err != nil {
		return EndView{}, err
	}
	rotation := l.config.Rotation
	switch {
	case c.SeenFrom > DrivingEnd:
		return EndView{}, refuse("SeenFrom", c.SeenFrom.String(), "want a named end", units.ErrRange)
	case c.SeenFrom != EndUnstated && rotation == RotationUnstated:
		return EndView{}, refuse("Layout.Rotation", "", "want the sense of rotation: which way the crank turns, seen from an end, needs it", units.ErrMissing)
	}
	also := []Turn{c.Turned}
	if c.Up != nil {
		also = append(also, *c.Up)
	}
	p, ok := l.posture(also...)
	if !ok {
		return EndView{}, refuse("Turned", c.Turned.String(), "too fine a fraction beside the angles of the layout and Up", units.ErrInexact)
	}
	v := EndView{SeenFrom: c.SeenFrom, Clockwise: true}
	if rotation != RotationUnstated {
		if v.SeenFrom == EndUnstated {
			v.SeenFrom = FreeEnd
		}
		v.Clockwise = (rotation == Clockwise) == (v.SeenFrom == FreeEnd)
	}
	cylinder1 := l.config.Cylinders[0]
	axis1 := p.axis[slices.IndexFunc(l.config.Banks, func(b Bank) bool { return b.Name == cylinder1.Bank })]
	var up int64
	if m, together := p.middle(); c.Up != nil {
		up = p.ticks(*c.Up)
	} else if together {
		up = m
	} else if len(p.axis) == 2 && 2*p.gap == p.turn {
		up = p.axis[0] + p.turn/4
	} else {
		up = axis1
	}
	paper := func(x int64) Direction {
		if x -= up; !v.Clockwise {
			x = -x
		}
		return clockDirection(p.mod(x), p.turn)
	}
	zero := p.mod(axis1 - p.ticks(l.pin(1)) + p.ticks(c.Turned))
	for i, t := range l.config.Throws {
		view := ThrowView{Throw: i + 1, Pin: paper(p.mod(zero + p.ticks(t)))}
		for k, cy := range l.config.Cylinders {
			if cy.Throw == i+1 {
				view.Cylinders = append(view.Cylinders, k+1)
			}
		}
		v.Throws = append(v.Throws, view)
	}
	for i, b := range l.config.Banks {
		view := BankView{Name: b.Name, Axis: paper(p.axis[i])}
		for k, cy := range l.config.Cylinders {
			if cy.Bank == b.Name {
				view.Cylinders = append(view.Cylinders, k+1)
			}
		}
		v.Banks = append(v.Banks, view)
	}
	return v, nil
}

// RingMark is one firing on a ring that stands for a whole cycle.
type RingMark struct {
	Cylinder int
	Fires    units.CrankAngle // after firing TDC of cylinder 1
	Interval units.CrankAngle // to the next firing
	At       Direction        // of the firing
	Middle   Direction        // halfway to the next firing
}

// Ring answers where the firings of an order stand on a ring that is one working
// cycle, cylinder 1 at the top and time running clockwise, as data for a drawing:
//
//	Clock = f / 720   (two-stroke: f / 360)
//
// with f = FiringAngle (crank deg), from the exact fractions.
//
// Source: definition.
//
// Rows: ring-v2-45, ring-v8, ring-2t-3.
func (e *Engine) Ring() []RingMark {
	if e == nil || e.layout == nil {
		return nil
	}
	cycle := e.layout.turn
	if e.cycle == FourStroke {
		cycle *= 2
	}
	gaps := e.Intervals()
	marks := make([]RingMark, len(e.order))
	for i, c := range e.order {
		next := cycle
		if i+1 < len(e.order) {
			next = e.fire[e.order[i+1]-1]
		}
		f := e.fire[c-1]
		marks[i] = RingMark{c, e.angle[c-1], gaps[i], clockDirection(f, cycle), clockDirection(f+next, 2*cycle)}
	}
	return marks
}
