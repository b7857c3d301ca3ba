package firingorder

import (
	"strconv"

	"example.com/trialfit/units"
)

// length returns the crank rotation in which every cylinder fires once.
func (e *Engine) length() units.CrankAngle {
	if e.cycle == TwoStroke {
		return units.CrankTurn
	}
	return units.CrankCycle
}

// AppendPhases answers where every cylinder stands at an engine angle: it
// appends Engine.PhaseAt of cylinders 1, 2, 3 and so on to dst and returns the
// extended slice, so that cylinder c is entry len(dst)+c-1. It allocates nothing
// where dst has room.
//
//	angle = wrap(engine - f - 360)
//
// with f = FiringAngle (crank deg).
//
// Errors: units.ErrMissing for an engine that NewEngine did not make; dst is
// then returned as it was.
//
// Source: definition of the cycle angle.
//
// Rows: strokes-i6-at-100, strokes-v8-at-200, strokes-i3-two-stroke.
func (e *Engine) AppendPhases(dst []Phase, engine units.CrankAngle) ([]Phase, error) {
	if err := e.check("engine", 1); err != nil {
		return dst, err
	}
	for c := range e.angle {
		p, err := e.PhaseAt(c+1, engine)
		if err != nil {
			return dst, err
		}
		dst = append(dst, p)
	}
	return dst, nil
}

// NextFiring is the cylinder that fires next and how far the crank still turns.
type NextFiring struct {
	Cylinder int
	In       units.CrankAngle // over 0

	at, fires units.CrankAngle // for Working
}

// NextToFire answers which cylinder is the next to reach firing TDC from an
// engine angle on, any angle, and how far the crank turns until it does:
//
//	in = f - engine   modulo 720, the smallest that is over 0
//
// with f = FiringAngle (crank deg; two-stroke: modulo 360). A cylinder that
// stands at firing TDC at that angle is firing, not next. It allocates nothing.
//
// Errors: units.ErrMissing for an engine that NewEngine did not make.
//
// Source: definition, the firing angles counted up.
//
// Rows: next-i6-at-0, next-i6-at-m1, next-v2-45-at-405, next-i5-at-700,
// next-i3-two-stroke.
func (e *Engine) NextToFire(engine units.CrankAngle) (NextFiring, error) {
	if err := e.check("engine", 1); err != nil {
		return NextFiring{}, err
	}
	cycle := e.length()
	at := engine % cycle
	if at < 0 {
		at += cycle
	}
	for _, c := range e.order {
		if f := e.angle[c-1]; f > at {
			return NextFiring{c, f - at, at, f}, nil
		}
	}
	return NextFiring{e.order[0], cycle - at, at, cycle}, nil
}

// Working shows the difference.
func (n NextFiring) Working() units.Working {
	if n.Cylinder == 0 {
		return nil
	}
	src := units.Source{Text: "definition: the firing angles counted up", Provenance: units.Computed}
	return units.Working{
		{Symbol: "f", Formula: "firing angle of cylinder " + strconv.Itoa(n.Cylinder), Numbers: number(n.fires), Value: n.fires.String(), Source: src},
		{Symbol: "in", Formula: "f - engine", Numbers: number(n.fires) + " - " + number(n.at), Value: n.In.String(), Source: src},
	}
}
