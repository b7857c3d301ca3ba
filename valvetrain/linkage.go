package valvetrain

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// PlaneAngle is an angle in the plane of a rocker or follower, in radians: one
// of neither the crank nor the cam. Directions count counterclockwise from the
// X axis.
type PlaneAngle float64

// PlaneDegrees returns an angle of x degrees of arc.
//
// Rows: linkage-angle.
func PlaneDegrees(x float64) PlaneAngle { return PlaneAngle(x * math.Pi / 180) }

// Degrees returns the angle in degrees of arc.
//
// Rows: linkage-angle, rk4-q-0, rk4-q-350.
func (a PlaneAngle) Degrees() float64 { return float64(a) * 180 / math.Pi }

// String returns the angle in degrees of arc.
func (a PlaneAngle) String() string { return strconv.FormatFloat(a.Degrees(), 'g', -1, 64) + " deg" }

// Point is a place in the plane of a rocker or follower, in axes that the caller
// lays as it suits the parts: at the pivot, at the valve, at the deck.
type Point struct{ X, Y units.Length }

// Track is a straight line of travel: where it starts and which way it goes.
type Track struct {
	At        Point
	Direction PlaneAngle
}

// Rocker is a rocker by the arms from its pivot.
type Rocker struct {
	// PushrodArm reaches from the pivot to the center of the pushrod's ball in
	// the rocker, TipArm to the center of the pad's arc or of the roller.
	PushrodArm, TipArm units.Length
	// Between is the angle from the pushrod arm to the tip arm, counterclockwise.
	Between PlaneAngle
	// TipRadius is the radius of the pad's arc or of the roller; 0 is an edge.
	// A roller and a pad of one radius move the valve alike: one rolls, the
	// other slides.
	TipRadius units.Length
}

// Linkage is a lifter, a pushrod, a rocker and a valve in one plane. All parts
// stand as with the lifter on the base circle.
type Linkage struct {
	// Lifter is the center of the pushrod's ball in the lifter on the base
	// circle, and the direction in which the lobe lifts it.
	Lifter Track
	// Pushrod is its length between the centers of its two balls. Between
	// cup ends it is that between the centers of the balls in them.
	Pushrod units.Length
	Pivot   Point
	Rocker  Rocker
	// Valve is the middle of the flat tip of the stem with the valve on its
	// seat, and the direction in which the valve opens.
	Valve Track
}

// LinkageState is how a linkage stands at one lift of the lifter.
type LinkageState struct {
	Lifter units.Length // its lift
	// Lift is that of the valve, 0 until the gap is taken up. Gross is how far
	// the tip of the rocker has gone along the stem since the base circle, and
	// Gap what is left between tip and stem, 0 when they touch.
	Lift, Gross, Gap units.Length
	// Ratio is the instantaneous ratio: travel of the tip along the stem for
	// each travel of the lifter (a ratio). Without friction the lifter feels
	// Ratio times the force at the valve.
	Ratio float64
	// Contact is where the tip touches the stem, from its axis, positive away
	// from the pivot.
	Contact units.Length
	// Arm is the direction of the pushrod arm, Turn how far the rocker has
	// turned since the base circle, positive as the valve opens.
	Arm, Turn PlaneAngle
	// ToSquare is how far the rocker has yet to turn until its tip arm is square
	// to the stem, negative when past it.
	ToSquare PlaneAngle
	// Tilt is the angle between pushrod and lifter travel, not negative; its
	// tangent is the side force on the lifter for each axial force.
	Tilt PlaneAngle
}

// vec is a vector in meters.
type vec struct{ x, y float64 }

func (a vec) plus(b vec) vec        { return vec{a.x + b.x, a.y + b.y} }
func (a vec) less(b vec) vec        { return vec{a.x - b.x, a.y - b.y} }
func (a vec) scale(k float64) vec   { return vec{a.x * k, a.y * k} }
func (a vec) dot(b vec) float64     { return a.x*b.x + a.y*b.y }
func (a vec) left() vec             { return vec{-a.y, a.x} }                            // turned a quarter counterclockwise
func (a vec) times(b vec) vec       { return vec{a.x*b.x - a.y*b.y, a.x*b.y + a.y*b.x} } // as complex numbers
func (a vec) conjugate() vec        { return vec{a.x, -a.y} }
func (a vec) angle() PlaneAngle     { return PlaneAngle(math.Atan2(a.y, a.x)) }
func (a vec) length() float64       { return math.Hypot(a.x, a.y) }
func (p Point) vec() vec            { return vec{p.X.Meters(), p.Y.Meters()} }
func (p Point) shift(v vec) Point   { return Point{p.X + count(v.x), p.Y + count(v.y)} }
func (a PlaneAngle) direction() vec { s, c := math.Sincos(float64(a)); return vec{c, s} }

// linkage is a Linkage made ready, in meters about the pivot.
type linkage struct {
	start, travel vec     // of the lifter
	arm2, rod2    float64 // squares of pushrod arm and pushrod
	tip           vec     // tip arm over pushrod arm, as a complex ratio
	down, out     vec     // along the opening valve, and across the stem away from the pivot
	face, axis    float64 // places of the closed tip face and of the stem, less the tip's radius
	branch        float64 // which of the two positions of the pushrod's upper end
	sense         float64 // 1 where the rocker turns counterclockwise to open
	gap           float64 // on the base circle; negative: held open
	arm           vec     // pushrod arm on the base circle
}

// checkPoint and checkTrack join the name of a field only for an error.
func checkPoint(field, sub string, p Point) error {
	if p.X < -maxSize || p.X > maxSize {
		return fail(field+sub+".X", p.X.String(), units.ErrRange, "want a place within 10 m")
	}
	if p.Y < -maxSize || p.Y > maxSize {
		return fail(field+sub+".Y", p.Y.String(), units.ErrRange, "want a place within 10 m")
	}
	return nil
}

func checkPlaneAngle(field, sub string, a PlaneAngle) error {
	if !(math.Abs(float64(a)) <= 4*math.Pi) {
		return fail(field+sub, a.String(), units.ErrRange, "want an angle within two turns")
	}
	return nil
}

func checkTrack(field string, t Track) error {
	if err := checkPoint(field, ".At", t.At); err != nil {
		return err
	}
	return checkPlaneAngle(field, ".Direction", t.Direction)
}

func (l *Linkage) check() error {
	if err := checkTrack("Lifter", l.Lifter); err != nil {
		return err
	}
	if err := checkSize("Pushrod", l.Pushrod); err != nil {
		return err
	}
	if err := checkPoint("Pivot", "", l.Pivot); err != nil {
		return err
	}
	if err := checkSize("Rocker.PushrodArm", l.Rocker.PushrodArm); err != nil {
		return err
	}
	if err := checkSize("Rocker.TipArm", l.Rocker.TipArm); err != nil {
		return err
	}
	if err := checkPlaneAngle("Rocker", ".Between", l.Rocker.Between); err != nil {
		return err
	}
	if err := checkSpan("Rocker.TipRadius", l.Rocker.TipRadius); err != nil {
		return err
	}
	return checkTrack("Valve", l.Valve)
}

// frame lays everything about the pivot; it leaves branch, sense and gap open.
func (l *Linkage) frame() linkage {
	k := linkage{travel: l.Lifter.Direction.direction(), down: l.Valve.Direction.direction()}
	pivot := l.Pivot.vec()
	k.start = l.Lifter.At.vec().less(pivot)
	a := l.Rocker.PushrodArm.Meters()
	k.arm2, k.rod2 = squared(a), squared(l.Pushrod.Meters())
	k.tip = l.Rocker.Between.direction().scale(l.Rocker.TipArm.Meters() / a)
	v := l.Valve.At.vec().less(pivot)
	k.out = k.down.left()
	if k.out.dot(v) < 0 {
		k.out = k.out.scale(-1)
	}
	k.face, k.axis = k.down.dot(v)-l.Rocker.TipRadius.Meters(), k.out.dot(v)
	k.sense = 1
	if k.down.dot(k.out.left()) < 0 { // a tip on the valve's side goes down the other way
		k.sense = -1
	}
	return k
}

// solve returns the linkage ready to run.
func (l *Linkage) solve() (linkage, error) {
	if err := l.check(); err != nil {
		return linkage{}, err
	}
	k := l.frame()
	best := math.Inf(1)
	reached := false
	for _, branch := range [...]float64{1, -1} {
		t := k
		t.branch = branch
		e, ok := t.place(0)
		if !ok {
			continue
		}
		reached = true
		c := e.times(k.tip)
		gap := k.face - k.down.dot(c)
		if t.rates(e, 0).first > 0 && k.out.dot(c) > 0 && math.Abs(gap) < best {
			best = math.Abs(gap)
			t.gap, t.arm = gap, e
			k = t
		}
	}
	switch {
	case !reached:
		return linkage{}, fail("Pushrod", l.Pushrod.String(), units.ErrImpossible, "the pushrod does not reach from the lifter on its base circle to the rocker, or not back: the pivot is "+text(count(k.start.length()))+" from the lifter's ball")
	case k.branch == 0:
		return linkage{}, fail("Rocker", "", units.ErrImpossible, "the lifter does not open the valve: look at the directions and at the angle between the arms")
	}
	return k, nil
}

// place returns the pushrod arm at a lift of the lifter, where two circles meet:
// that of the arm about the pivot and that of the pushrod about the lifter.
func (k *linkage) place(lifter float64) (vec, bool) {
	l := k.start.plus(k.travel.scale(lifter))
	d2 := l.dot(l)
	t := (k.arm2 + d2 - k.rod2) / (2 * d2)
	h2 := k.arm2/d2 - t*t
	if !(h2 > 0) {
		return vec{}, false
	}
	h := k.branch * math.Sqrt(h2)
	return vec{t*l.x - h*l.y, t*l.y + h*l.x}, true
}

// net returns the lift of the valve, negative by the gap.
func (k *linkage) net(e vec) float64 { return k.down.dot(e.times(k.tip)) - k.face }

// rates are the derivatives of the tip's travel over the lifter's, and those of
// the rocker's turn.
type rates struct{ first, second, third, turn, turn1, turn2 float64 }

// rates differentiates the closed loop, with e the pushrod arm, r the pushrod, w
// the turn of the rocker for each travel u of the lifter:
//
//	r.(w e* - u) = 0,  * a quarter turn
func (k *linkage) rates(e vec, lifter float64) rates {
	u := k.travel
	r := e.less(k.start).less(u.scale(lifter))
	q := e.left()
	rq, re := r.dot(q), r.dot(e)
	w := r.dot(u) / rq
	r1 := q.scale(w).less(u)
	w1 := (w*w*re - r1.dot(r1)) / rq
	r2 := q.scale(w1).less(e.scale(w * w))
	w2 := (2*w*w1*re + w*w*(r1.dot(e)+w*rq) - 2*r1.dot(r2) - w1*(r1.dot(q)-w*re)) / rq
	c := e.times(k.tip)
	s, d := k.down.dot(c.left()), k.down.dot(c)
	return rates{s * w, s*w1 - d*w*w, s*w2 - 3*d*w*w1 - s*w*w*w, w, w1, w2}
}

// lifterFor returns the lift of the lifter at which the valve has a lift, the
// reverse of place and net.
func (k *linkage) lifterFor(net float64) (float64, bool) {
	e, ok := k.armFor(net)
	if !ok {
		return 0, false
	}
	v := e.less(k.start)
	along := v.dot(k.travel)
	h2 := k.rod2 - (v.dot(v) - along*along)
	if !(h2 > 0) {
		return 0, false
	}
	h := math.Sqrt(h2)
	if k.arm.less(k.start).dot(k.travel) < 0 {
		h = -h
	}
	return along - h, true
}

// armFor returns the pushrod arm that the valve has at a lift.
func (k *linkage) armFor(net float64) (vec, bool) {
	b2 := k.tip.dot(k.tip) * k.arm2
	y := k.face + net
	x2 := b2 - y*y
	if !(x2 > 0) {
		return vec{}, false
	}
	c := k.down.scale(y).plus(k.out.scale(math.Sqrt(x2)))
	return c.times(k.tip.conjugate()).scale(1 / k.tip.dot(k.tip)), true
}

// lock returns the least lift of the lifter over 0 at which arm and pushrod come
// into one line.
func (k *linkage) lock() float64 {
	a, r := math.Sqrt(k.arm2), math.Sqrt(k.rod2)
	b := k.start.dot(k.travel)
	best := math.Inf(1)
	for _, reach := range [...]float64{a + r, a - r} {
		if disc := b*b - k.start.dot(k.start) + reach*reach; disc >= 0 {
			for _, h := range [...]float64{-b - math.Sqrt(disc), -b + math.Sqrt(disc)} {
				if h > 0 && h < best {
					best = h
				}
			}
		}
	}
	return best
}

func (k *linkage) locked(field string, lifter units.Length) error {
	return fail(field, lifter.String(), units.ErrImpossible, "the linkage locks at a lift of "+text(count(k.lock()))+" at the lifter, where pushrod and arm are in one line")
}

func (k *linkage) state(lifter units.Length) (LinkageState, error) {
	h := lifter.Meters()
	if h >= k.lock() {
		return LinkageState{}, k.locked("lifter", lifter)
	}
	e, ok := k.place(h)
	if !ok {
		return LinkageState{}, k.locked("lifter", lifter)
	}
	c := e.times(k.tip)
	net := k.net(e)
	r := e.less(k.start).less(k.travel.scale(h))
	// The angle of the tip arm off the square, positive before it.
	square := PlaneAngle(math.Atan2(-k.down.dot(c), k.out.dot(c)))
	turn := e.times(k.arm.conjugate()).angle()
	return LinkageState{
		Lifter: lifter, Lift: count(max(0, net)), Gross: count(net + k.gap), Gap: count(max(0, -net)),
		Ratio: k.rates(e, h).first, Contact: count(k.out.dot(c) - k.axis),
		Arm: e.angle(), Turn: turn * PlaneAngle(k.sense), ToSquare: square,
		Tilt: PlaneAngle(math.Abs(math.Atan2(r.dot(k.travel.left()), r.dot(k.travel)))),
	}, nil
}

func checkLifter(field string, l units.Length) error {
	if l < 0 || l > units.Meter {
		return fail(field, l.String(), units.ErrRange, "want a lift of 0 to 1 m")
	}
	return nil
}

// At answers how the linkage stands at a lift h of the lifter. With L = Lifter.At
// + h u, u its direction, P = Pivot, a = PushrodArm, b = TipArm, l = Pushrod:
// the upper ball E lies where two circles meet,
//
//	|E - P| = a     |E - L| = l
//
// the center of the tip is C = P + b/a (E - P) turned by Between, and with d the
// direction of the opening valve, n square to it, V = Valve.At, rho = TipRadius:
//
//	lift = d.(C - V) + rho     contact = n.(C - V)     ratio = dlift/dh = (r.u)/(r.e*) d.c*
//
// with r = E - L, e = E - P, c = C - P, * a quarter turn. Of the two places where
// the circles meet it is the one from which the lifter opens the valve, the tip
// on the valve's side of the pivot. The face of the stem is flat and square to
// it, all parts are stiff and stay in one plane. A negative lift at h = 0
// is the gap of the valve lash; where it is positive, the linkage holds the valve
// open and Lift says so.
//
// Errors: a field that is missing or out of range; a lift outside 0 to 1 m; a
// pushrod that does not reach, a lifter that does not open the valve, and a lift
// at which the linkage has locked (ErrImpossible; the reason says where).
//
// Source: closure of a planar four-bar with a slider, two circles; checked by
// an independent solution of the loop.
//
// Rows: rk4-q-0, rk4-q-100, rk4-tip-100, rk4-q-150, rk4-tip-150, rk4-q-200,
// rk4-tip-200, rk4-q-250, rk4-tip-250, rk4-q-350, linkage-lift, linkage-ratio,
// linkage-contact, linkage-gap, linkage-turn, linkage-tilt, linkage-square.
func (l Linkage) At(lifter units.Length) (LinkageState, error) {
	k, err := l.solve()
	if err != nil {
		return LinkageState{}, err
	}
	if err := checkLifter("lifter", lifter); err != nil {
		return LinkageState{}, err
	}
	return k.state(lifter)
}

// LifterFor answers at which lift of the lifter the valve has a lift; for 0, how
// far the lifter goes until the lash is taken up. It is the reverse of At: the
// tip's place gives the arm, and the lifter lies on its line at the pushrod's
// length. Errors as for At; a lift that is negative, over 1 m or that the lifter
// has already passed on its base circle is ErrRange, one that the tip does not
// reach ErrImpossible.
//
// Rows: linkage-lifter-for, linkage-take-up.
func (l Linkage) LifterFor(valveLift units.Length) (units.Length, error) {
	k, err := l.solve()
	if err != nil {
		return 0, err
	}
	if err := checkLifter("valveLift", valveLift); err != nil {
		return 0, err
	}
	h, ok := k.lifterFor(valveLift.Meters())
	switch {
	case !ok || h >= k.lock():
		return 0, k.locked("valveLift", valveLift)
	case h < -1e-12:
		return 0, fail("valveLift", valveLift.String(), units.ErrRange, "the valve stands higher than that with the lifter on its base circle")
	}
	return count(max(0, h)), nil
}

// LocksAt answers how far the lifter could go until pushrod and pushrod arm come
// into one line and the linkage locks: the least h > 0 with
//
//	|L + h u - P| = l + a or |l - a|
//
// in the symbols of At. Full lift must stay well below it. Errors as for At.
//
// Source: plane geometry: arm and pushrod in one line.
//
// Rows: linkage-lock.
func (l Linkage) LocksAt() (units.Length, error) {
	k, err := l.solve()
	if err != nil {
		return 0, err
	}
	return count(k.lock()), nil
}

// Working returns the derivation.
func (s LinkageState) Working() units.Working {
	if s.Ratio == 0 {
		return nil
	}
	return units.Working{
		{Symbol: "Arm", Formula: "|E - P| = PushrodArm and |E - L| = Pushrod", Numbers: "lifter at " + num(s.Lifter), Value: degreesText(s.Arm), Source: planar},
		{Symbol: "Lift", Formula: "d.(C - V) + TipRadius, never under 0", Numbers: num(s.Gross) + " of travel, gap left " + num(s.Gap), Value: text(s.Lift), Source: planar},
		{Symbol: "Ratio", Formula: "(r.u)/(r.e*) d.c*", Value: plain(s.Ratio), Source: planar},
		{Symbol: "Contact", Formula: "n.(C - V)", Value: text(s.Contact), Source: planar},
	}
}

var planar = units.Source{Text: "plane geometry of a linkage", Provenance: units.Computed}

func degreesText(a PlaneAngle) string { return strconv.FormatFloat(a.Degrees(), 'f', 3, 64) + " deg" }
