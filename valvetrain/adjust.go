package valvetrain

import (
	"math"

	"example.com/trialfit/units"
)

// PushrodFor answers how long a pushrod leaves a lash at the valve with the
// pivot where it is: the valve on its seat and the gap fix the rocker, and the
// pushrod fills what is between,
//
//	length = |E - L|
//
// in the symbols of At; the pushrod in l is not used. A lash of 0 is zero lash; for a
// hydraulic lifter with Lifter.At the plunger's ball at its stop, a preload adds
// to the length. Errors as for At, and a lash outside 0 to 1 m.
//
// Source: closure of the loop, as At.
//
// Rows: pushrod-for-lash.
func (l Linkage) PushrodFor(lash units.Length) (units.Length, error) {
	if l.Pushrod == 0 {
		l.Pushrod = 1 // not used
	}
	if err := l.check(); err != nil {
		return 0, err
	}
	if err := checkLifter("lash", lash); err != nil {
		return 0, err
	}
	k := l.frame()
	e, ok := k.armFor(-lash.Meters())
	if !ok {
		return 0, fail("Rocker.TipArm", l.Rocker.TipArm.String(), units.ErrImpossible, "the tip does not reach the valve on its seat")
	}
	r := e.less(k.start)
	if k.rates(e, 0).first <= 0 {
		return 0, fail("Rocker", "", units.ErrImpossible, "the lifter does not open the valve: look at the directions and at the angle between the arms")
	}
	return count(r.length()), nil
}

// LashSetting is a lash that is to be set with an adjuster.
type LashSetting struct {
	Place AdjusterPlace
	// Axis is the direction in which the adjuster moves its end: for a pivot on
	// a stud in the axes of the plane; for a screw at the pushrod or at the valve
	// from the direction of its own arm, counterclockwise.
	Axis PlaneAngle
	Lash units.Length // at the valve, on the base circle
}

// AdjustedLinkage is a linkage with its lash set.
type AdjustedLinkage struct {
	Linkage Linkage
	// Travel is how far the adjuster went along its axis, negative backward.
	Travel units.Length

	setting LashSetting
	before  units.Length
}

// Adjust answers how far an adjuster goes to leave a lash, and what linkage
// that makes: a screw at the pushrod or at the valve changes the length and the
// angle of its arm, a nut on a stud moves the pivot. Of two places the nearer one
// counts.
//
//	at the pushrod: |P + R (a + s x) - L0| = Pushrod, the valve on its seat with the lash
//	at the valve:   d.(P + R (b + s x) - V) + rho = -Lash, the pushrod where it is
//	at the pivot:   both loops closed with P + s x, by Newton's method
//
// with s = Travel, x = Axis. Thread.Travel says how many turns that is. Errors:
// those of At, but a pushrod that is too short or long for the present place
// counts only at the valve; no place (ErrMissing), a lash outside 0 to 1 m, an axis
// along which the lash does not change or cannot be reached (ErrImpossible).
//
// Source: as At.
//
// Rows: adjust-pushrod, adjust-valve, adjust-pivot.
func (l Linkage) Adjust(s LashSetting) (AdjustedLinkage, error) {
	if err := l.check(); err != nil {
		return AdjustedLinkage{}, err
	}
	if err := checkLifter("Lash", s.Lash); err != nil {
		return AdjustedLinkage{}, err
	}
	if err := checkPlaneAngle("Axis", "", s.Axis); err != nil {
		return AdjustedLinkage{}, err
	}
	k := l.frame()
	unreached := fail("Axis", s.Axis.String(), units.ErrImpossible, "no place of the adjuster along that leaves the lash")
	lash := s.Lash.Meters()
	r := AdjustedLinkage{Linkage: l, setting: s}
	var travel float64
	switch s.Place {
	case AtPushrod:
		e, ok := k.armFor(-lash)
		if !ok {
			return AdjustedLinkage{}, unreached
		}
		x := e.scale(1 / math.Sqrt(k.arm2)).times(s.Axis.direction())
		if travel, ok = nearest(x, e.less(k.start), k.rod2); !ok {
			return AdjustedLinkage{}, unreached
		}
		r.Linkage.Rocker.PushrodArm, r.Linkage.Rocker.Between = l.Rocker.extended(l.Rocker.PushrodArm, s.Axis, travel, -1)
	case AtValve:
		k, err := l.solve()
		if err != nil {
			return AdjustedLinkage{}, err
		}
		c := k.arm.times(k.tip)
		x := c.scale(1 / c.length()).times(s.Axis.direction())
		along := k.down.dot(x)
		if math.Abs(along) < 1e-6 {
			return AdjustedLinkage{}, unreached
		}
		travel = (k.face - lash - k.down.dot(c)) / along
		r.Linkage.Rocker.TipArm, r.Linkage.Rocker.Between = l.Rocker.extended(l.Rocker.TipArm, s.Axis, travel, 1)
	case AtPivot:
		var ok bool
		if travel, ok = l.pivotFor(s.Axis.direction(), lash); !ok {
			return AdjustedLinkage{}, unreached
		}
		r.Linkage.Pivot = l.Pivot.shift(s.Axis.direction().scale(travel))
	default:
		return AdjustedLinkage{}, fail("Place", "", units.ErrMissing, "want where the adjuster is: at the pushrod, the pivot or the valve")
	}
	r.Travel = count(travel)
	if before, err := l.solve(); err == nil {
		r.before = count(before.gap)
	}
	after, err := r.Linkage.solve()
	if err != nil || math.Abs(after.gap-lash) > 1e-10 {
		return AdjustedLinkage{}, unreached
	}
	return r, nil
}

// nearest returns the least s in magnitude with |v + s x|^2 = r2, |x| = 1.
func nearest(x, v vec, r2 float64) (float64, bool) {
	b := v.dot(x)
	disc := b*b - v.dot(v) + r2
	if !(disc > 0) {
		return 0, false
	}
	// The root of smaller magnitude without cancellation.
	return (r2 - v.dot(v)) / (b + math.Copysign(math.Sqrt(disc), b)), true
}

// extended returns an arm of a rocker with a screw driven out of its end, and the
// angle between the arms; turn is 1 for the tip arm and -1 for the pushrod arm.
func (r Rocker) extended(arm units.Length, axis PlaneAngle, travel, turn float64) (units.Length, PlaneAngle) {
	e := vec{arm.Meters(), 0}.plus(axis.direction().scale(travel))
	return count(e.length()), r.Between + e.angle()*PlaneAngle(turn)
}

// pivotFor closes both loops with the pivot moved along w.
func (l Linkage) pivotFor(w vec, lash float64) (float64, bool) {
	s := 0.0
	rod := l.Pushrod.Meters()
	k := l.frame()
	for range 60 {
		t := k
		t.start = k.start.less(w.scale(s))
		t.face, t.axis = k.face-k.down.dot(w)*s, k.axis-k.out.dot(w)*s
		e, ok := t.armFor(-lash)
		if !ok {
			return 0, false
		}
		c := e.times(t.tip)
		turn := -k.down.dot(w) / k.down.dot(c.left()) // of the rocker for each travel
		r := e.less(t.start)
		slope := r.dot(w.plus(e.left().scale(turn))) / r.length()
		step := (r.length() - rod) / slope
		if !(math.Abs(step) <= 1) {
			return 0, false
		}
		s -= step
		if math.Abs(step) < 1e-14 {
			return s, true
		}
	}
	return 0, false
}

// Working returns the derivation.
func (a AdjustedLinkage) Working() units.Working {
	if a.setting.Place == 0 {
		return nil
	}
	return units.Working{{
		Symbol: "travel", Formula: "adjuster " + a.setting.Place.String() + ", both loops closed", Numbers: "gap " + num(a.before) + " to " + num(a.setting.Lash),
		Value: text(a.Travel), Source: planar,
	}}
}

// ShopWork is what was done to an engine between two assemblies of a valve train.
// The zero value of a field is nothing.
type ShopWork struct {
	// Deck and Head are what was cut off the deck of the block and off the face
	// of the head: pivot and valve come nearer to the lifter.
	Deck, Head units.Length
	// Gasket is the new head gasket less the old one, both compressed.
	Gasket units.Length
	// Stand is how much higher the pivot stands over the head, by shims or by
	// another stand.
	Stand units.Length
	// Tip is how much higher the tip of the stem stands over the head: ValveJob
	// works it out.
	Tip units.Length
	// BaseRadius is the new radius of the base circle less the old one; a
	// reground cam has a smaller one, negative.
	BaseRadius units.Length
	// LifterSeat is how much higher the pushrod sits in another lifter.
	LifterSeat units.Length
	// Up is the direction square to the deck, away from the crank.
	Up PlaneAngle
}

// PushrodChange is what shop work does to lash and pushrod.
type PushrodChange struct {
	// Before and After are the gaps at the valve with the pushrod and the
	// adjuster as they were; negative holds the valve open.
	Before, After units.Length
	// Pushrod is the length that leaves Before again, or no lash where Before is
	// negative, with the pivot where the work has brought it; Change what it is
	// longer.
	Pushrod, Change units.Length
	// Geometry is the length with the pivot moved with the tip of the stem, so
	// that the rocker stands to the valve as before, and GeometryChange what it is
	// longer; PivotMove is how far the pivot then goes against the direction of
	// the opening valve.
	Geometry, GeometryChange, PivotMove units.Length
	// Linkage is the one after the work, with the old pushrod.
	Linkage Linkage
}

// After answers what shop work does to a linkage: the lash that it leaves if
// nothing is adjusted, and the pushrod that puts it right, once with the pivot
// left where the work brought it and once with the pivot moved after the stem, which
// keeps the sweep.
//
//	head parts move by Gasket - Deck - Head along Up, the pivot by Stand more,
//	the stem by Tip against the opening valve, the lifter by BaseRadius + LifterSeat
//
// For parallel lines and small moves, R the ratio: a lower head wants a pushrod
// shorter by as much; a smaller base circle one longer by as much; a stem that
// stands higher by t one shorter by t/R with the pivot left, and longer by t with
// the pivot moved too. The lash closes or opens the other way. Errors: those of
// At before and after; work over 100 mm either way (ErrRange).
//
// Source: as At.
//
// Rows: work-deck-lash, work-deck-pushrod, work-gasket-pushrod, work-base-pushrod,
// work-base-lash, work-tip-lash, work-tip-pushrod, work-tip-geometry,
// work-stand-pushrod.
func (l Linkage) After(w ShopWork) (PushrodChange, error) {
	before, err := l.solve()
	if err != nil {
		return PushrodChange{}, err
	}
	for _, v := range [...]struct {
		name string
		l    units.Length
	}{{"Deck", w.Deck}, {"Head", w.Head}, {"Gasket", w.Gasket}, {"Stand", w.Stand}, {"Tip", w.Tip}, {"BaseRadius", w.BaseRadius}, {"LifterSeat", w.LifterSeat}} {
		if v.l < -100*units.Millimeter || v.l > 100*units.Millimeter {
			return PushrodChange{}, fail(v.name, v.l.String(), units.ErrRange, "want a change within 100 mm")
		}
	}
	if err := checkPlaneAngle("Up", "", w.Up); err != nil {
		return PushrodChange{}, err
	}
	up, against := w.Up.direction(), l.Valve.Direction.direction().scale(-1)
	rise := up.scale((w.Gasket - w.Deck - w.Head).Meters())
	n := l
	n.Pivot = l.Pivot.shift(rise.plus(up.scale(w.Stand.Meters())))
	n.Valve.At = l.Valve.At.shift(rise.plus(against.scale(w.Tip.Meters())))
	n.Lifter.At = l.Lifter.At.shift(l.Lifter.Direction.direction().scale((w.BaseRadius + w.LifterSeat).Meters()))
	after, err := n.solve()
	if err != nil {
		return PushrodChange{}, err
	}
	c := PushrodChange{Before: count(before.gap), After: count(after.gap), Linkage: n}
	gap := max(0, c.Before)
	if c.Pushrod, err = n.PushrodFor(gap); err != nil {
		return PushrodChange{}, err
	}
	m := n
	m.Pivot = l.Pivot.shift(rise.plus(against.scale(w.Tip.Meters())))
	if c.Geometry, err = m.PushrodFor(gap); err != nil {
		return PushrodChange{}, err
	}
	c.Change, c.GeometryChange = c.Pushrod-l.Pushrod, c.Geometry-l.Pushrod
	c.PivotMove = count(m.Pivot.vec().less(n.Pivot.vec()).dot(against))
	return c, nil
}

// Working returns the derivation.
func (c PushrodChange) Working() units.Working {
	if c.Pushrod == 0 {
		return nil
	}
	return units.Working{
		{Symbol: "lash", Formula: "gap with nothing adjusted", Numbers: "before " + num(c.Before), Value: text(c.After), Source: planar},
		{Symbol: "pushrod", Formula: "|E - L|, the pivot left", Numbers: "change " + num(c.Change), Value: text(c.Pushrod), Source: planar},
		{Symbol: "pushrod", Formula: "|E - L|, the pivot moved " + num(c.PivotMove), Numbers: "change " + num(c.GeometryChange), Value: text(c.Geometry), Source: planar},
	}
}
