package valvetrain

import (
	"math"

	"example.com/trialfit/units"
)

// SweepPath is the way that the contact takes across the stem while the valve
// opens. The zero SweepPath is none.
type SweepPath uint8

// Paths of a contact. Out is away from the rocker's pivot.
const (
	GoesOut      SweepPath = iota + 1 // all the way away from the pivot
	GoesIn                            // all the way toward the pivot
	GoesOutAndIn                      // out until the tip arm is square to the stem, then back
)

// String names the path.
func (p SweepPath) String() string {
	switch p {
	case GoesOut:
		return "out"
	case GoesIn:
		return "in"
	case GoesOutAndIn:
		return "out and in"
	default:
		return "none"
	}
}

// ContactSweep is how the contact of a rocker wanders over the stem's tip.
type ContactSweep struct {
	// Seat is the linkage as the valve leaves its seat, Mid at half of the
	// valve's full lift, Full at full lift.
	Seat, Mid, Full LinkageState
	// Innermost and Outermost bound the contact from the stem's axis, positive
	// away from the pivot; Width is between them and Middle halfway.
	Innermost, Outermost, Width, Middle units.Length
	Path                                SweepPath
	// TurnsAt is the valve lift at which the contact turns back.
	TurnsAt units.Optional[units.Length]
}

// Sweep answers how the contact wanders over the stem's tip while the lifter goes
// from the base circle to its full lift, and how the ratio changes: the states at
// the seat, at half and at full lift of the valve (At), and the extremes of
// the contact. With c the tip arm and d the direction of the opening valve, it is
// farthest out where c is square to d and moves one way before and the other after:
//
//	outermost = |c| - n.(V - P) if the arm passes the square, else that at an end
//
// A pad that meets the stem at Contact presses it sideways there: how near to the
// edge it may come is the caller's to judge. Errors: those of At, with the lift
// at which the linkage locks; a full lift of 0 (ErrMissing) or one that
// does not open the valve (ErrRange); a linkage that holds the valve open on
// the base circle (ErrConflict).
//
// Source: as At.
//
// Rows: sweep-width, sweep-middle, sweep-outermost, sweep-turns, sweep-path,
// sweep-ratio-seat, sweep-ratio-mid, sweep-ratio-full.
func (l Linkage) Sweep(lifter units.Length) (ContactSweep, error) {
	k, err := l.solve()
	if err != nil {
		return ContactSweep{}, err
	}
	if lifter == 0 {
		return ContactSweep{}, fail("lifter", "", units.ErrMissing, "want the full lift of the lifter")
	}
	if err := checkLifter("lifter", lifter); err != nil {
		return ContactSweep{}, err
	}
	return k.sweep(lifter)
}

func (k *linkage) sweep(lifter units.Length) (ContactSweep, error) {
	if k.gap < -1e-12 {
		return ContactSweep{}, fail("Pushrod", "", units.ErrConflict, "the linkage holds the valve open by "+text(count(-k.gap))+" on the base circle: adjust it first")
	}
	s := ContactSweep{}
	var err error
	if s.Full, err = k.state(lifter); err != nil {
		return ContactSweep{}, err
	}
	if s.Full.Lift == 0 {
		return ContactSweep{}, fail("lifter", lifter.String(), units.ErrRange, "want a lift that takes up the gap of "+text(count(k.gap)))
	}
	for _, v := range [...]struct {
		net   float64
		state *LinkageState
	}{{0, &s.Seat}, {s.Full.Lift.Meters() / 2, &s.Mid}} {
		h, ok := k.lifterFor(v.net)
		if !ok {
			return ContactSweep{}, k.locked("lifter", lifter)
		}
		if *v.state, err = k.state(count(max(0, h))); err != nil {
			return ContactSweep{}, err
		}
	}
	s.Innermost, s.Outermost = min(s.Seat.Contact, s.Full.Contact), max(s.Seat.Contact, s.Full.Contact)
	s.Path = GoesOut
	switch {
	case s.Seat.ToSquare > 0 && s.Full.ToSquare < 0:
		s.Path = GoesOutAndIn
		s.Outermost = count(math.Sqrt(k.tip.dot(k.tip)*k.arm2) - k.axis)
		s.TurnsAt = units.Some(count(-k.face))
	case s.Full.Contact < s.Seat.Contact:
		s.Path = GoesIn
	}
	s.Width = s.Outermost - s.Innermost
	s.Middle = s.Innermost + s.Width/2
	return s, nil
}

// Working returns the derivation.
func (s ContactSweep) Working() units.Working {
	if s.Path == 0 {
		return nil
	}
	w := units.Working{}
	for _, v := range [...]struct {
		name  string
		state LinkageState
	}{{"seat", s.Seat}, {"half lift", s.Mid}, {"full lift", s.Full}} {
		w = append(w, units.Step{
			Symbol: v.name, Formula: "two circles, at a lift of the lifter", Numbers: num(v.state.Lifter), Source: planar,
			Value: "lift " + num(v.state.Lift) + ", ratio " + plain(v.state.Ratio) + ", contact " + num(v.state.Contact),
		})
	}
	return append(w, units.Step{Symbol: "width", Formula: "outermost - innermost", Numbers: num(s.Outermost) + " - (" + num(s.Innermost) + ")", Value: text(s.Width) + ", " + s.Path.String(), Source: planar})
}

// TipArm is the arm from a rocker's pivot to its tip and the lift that it is to
// give.
type TipArm struct{ Arm, Lift units.Length }

// LeastSweep is the least that any setting of a rocker can reach.
type LeastSweep struct {
	// Turn is how far the rocker turns, Width the sweep of the contact.
	Turn  PlaneAngle
	Width units.Length

	arm TipArm
}

// Least answers how little the contact can wander whatever the pushrod: with the
// tip arm square to the stem at half lift,
//
//	turn = 2 asin(L/(2 b))     width = b (1 - cos(turn/2))
//
// with b = Arm, L = Lift. Square on the seat instead, the sweep is about four
// times as much. A size that is missing or out of range is refused, and a lift of
// twice the arm or more (ErrImpossible).
//
// Source: plane geometry.
//
// Rows: rk-angle-0p5-1p5, rk-angle-0p6-1p65, rk-sweep-0p6-1p65, rk-angle-12-36.
func (t TipArm) Least() (LeastSweep, error) {
	if err := checkSize("Arm", t.Arm); err != nil {
		return LeastSweep{}, err
	}
	if err := checkSize("Lift", t.Lift); err != nil {
		return LeastSweep{}, err
	}
	if t.Lift >= 2*t.Arm {
		return LeastSweep{}, fail("Lift", t.Lift.String(), units.ErrImpossible, "want less than twice the arm")
	}
	half := math.Asin(t.Lift.Meters() / (2 * t.Arm.Meters()))
	// 1 - cos x = 2 sin^2(x/2), which keeps its digits.
	return LeastSweep{PlaneAngle(2 * half), count(2 * t.Arm.Meters() * squared(math.Sin(half/2))), t}, nil
}

// Working returns the derivation.
func (s LeastSweep) Working() units.Working {
	if s.Turn == 0 {
		return nil
	}
	return units.Working{
		{Symbol: "turn", Formula: "2 asin(Lift/(2 Arm))", Numbers: "2 asin(" + num(s.arm.Lift) + "/(2 x " + num(s.arm.Arm) + "))", Value: degreesText(s.Turn), Source: planar},
		{Symbol: "width", Formula: "Arm (1 - cos(turn/2))", Numbers: num(s.arm.Arm) + " (1 - cos(" + degreesText(s.Turn/2) + "))", Value: text(s.Width), Source: planar},
	}
}

// SweepGoal is what a pushrod is chosen for. The zero SweepGoal is none.
type SweepGoal uint8

// Goals of a pushrod length.
const (
	// NarrowestSweep asks for the least width, which is where the contact at full
	// lift is that on the seat: out by as much as back.
	NarrowestSweep SweepGoal = iota + 1
	// CenteredSweep asks for the middle of the sweep on the axis of the stem.
	CenteredSweep
	// CenteredMidLift asks for the contact on the axis at half lift of the valve.
	CenteredMidLift
)

// String names the goal.
func (g SweepGoal) String() string {
	switch g {
	case NarrowestSweep:
		return "narrowest sweep"
	case CenteredSweep:
		return "centered sweep"
	case CenteredMidLift:
		return "centered at half lift"
	default:
		return "none"
	}
}

// PushrodSearch says what a pushrod is wanted for. The pivot moves along its
// stud, or with the shims under its shaft, and the pushrod follows.
type PushrodSearch struct {
	Goal SweepGoal
	// Lifter is the full lift of the lifter.
	Lifter units.Length
	// Lash is the gap at the valve that is to be left, 0 for a hydraulic
	// lifter with its plunger where Lifter.At says.
	Lash units.Length
	// Stud is the direction in which the pivot moves.
	Stud PlaneAngle
	// Within is how far the pivot may move either way from where it is.
	Within units.Length
}

// PushrodChoice is a pushrod with the place of the pivot that goes with it.
type PushrodChoice struct {
	// Linkage is the one that is reached.
	Linkage Linkage
	// PivotMove is along the stud, Pushrod the length and PushrodChange what it
	// is longer than before.
	PivotMove, Pushrod, PushrodChange units.Length
	Sweep                             ContactSweep

	goal SweepGoal
}

// moved returns the linkage with its pivot moved along the stud and the pushrod
// that leaves the lash.
func (l Linkage) moved(w vec, s float64, lash units.Length) (Linkage, bool) {
	l.Pivot = l.Pivot.shift(w.scale(s))
	p, err := l.PushrodFor(lash)
	l.Pushrod = p
	return l, err == nil
}

// PushrodForSweep answers which pushrod length, with which place of the pivot,
// makes the contact sweep the stem as wanted: for every place of the pivot along
// its stud the valve on its seat, with the lash, fixes the rocker and so the
// pushrod (PushrodFor); of the places within reach at which the goal is met it is
// that nearest to the present one, told apart by 401 places and then found by
// bisection. The sweep is narrowest where contact at the seat and at full lift
// agree, because moving the pivot moves the one out and the other in. The
// pushrod in l is only what PushrodChange counts from.
//
// Errors: those of At; no goal or range (ErrMissing); a lash that is negative or
// over 1 m (ErrRange); a goal that no place within reach meets (ErrImpossible).
//
// Source: definition, by search over At.
//
// Rows: pushrod-narrowest, pushrod-narrowest-pivot, pushrod-narrowest-width,
// pushrod-centered, pushrod-centered-mid.
func (l Linkage) PushrodForSweep(s PushrodSearch) (PushrodChoice, error) {
	if err := l.check(); err != nil {
		return PushrodChoice{}, err
	}
	if s.Goal < NarrowestSweep || s.Goal > CenteredMidLift {
		return PushrodChoice{}, fail("Goal", "", units.ErrMissing, "want what the pushrod is to reach")
	}
	if s.Lifter == 0 {
		return PushrodChoice{}, fail("Lifter", "", units.ErrMissing, "want the full lift of the lifter")
	}
	if err := checkLifter("Lifter", s.Lifter); err != nil {
		return PushrodChoice{}, err
	}
	if err := checkLifter("Lash", s.Lash); err != nil {
		return PushrodChoice{}, err
	}
	if err := checkPlaneAngle("Stud", "", s.Stud); err != nil {
		return PushrodChoice{}, err
	}
	if s.Within == 0 {
		return PushrodChoice{}, fail("Within", "", units.ErrMissing, "want how far the pivot may move")
	}
	if err := checkLifter("Within", s.Within); err != nil {
		return PushrodChoice{}, err
	}
	stud := s.Stud.direction()
	sweep := func(x float64) (Linkage, ContactSweep, bool) {
		m, ok := l.moved(stud, x, s.Lash)
		if !ok {
			return m, ContactSweep{}, false
		}
		c, err := m.Sweep(s.Lifter)
		return m, c, err == nil
	}
	measure := func(c ContactSweep) float64 {
		switch s.Goal {
		case CenteredSweep:
			return float64(c.Innermost + c.Outermost)
		case CenteredMidLift:
			return float64(c.Mid.Contact)
		default:
			return float64(c.Full.Contact - c.Seat.Contact)
		}
	}
	const n = 200
	within := s.Within.Meters()
	var y [2*n + 1]float64
	for i := range y {
		y[i] = math.NaN()
		if _, c, ok := sweep(within * float64(i-n) / n); ok {
			y[i] = measure(c)
		}
	}
	place := func(i int) float64 { return within * float64(i-n) / n }
	near := -1
	for i := range 2 * n {
		if y[i]*y[i+1] <= 0 && (near < 0 || math.Abs(place(i)+place(i+1)) < math.Abs(place(near)+place(near+1))) {
			near = i
		}
	}
	none := fail("Within", s.Within.String(), units.ErrImpossible, "no place of the pivot within that gives a "+s.Goal.String())
	if near < 0 {
		return PushrodChoice{}, none
	}
	lo, hi := place(near), place(near+1)
	for range 60 {
		mid := lo + (hi-lo)/2
		_, c, ok := sweep(mid)
		if ok && (measure(c) <= 0) == (y[near] <= 0) {
			lo = mid
		} else {
			hi = mid
		}
	}
	x := lo + (hi-lo)/2
	m, c, ok := sweep(x)
	if !ok {
		return PushrodChoice{}, none
	}
	return PushrodChoice{Linkage: m, PivotMove: count(x), Pushrod: m.Pushrod, PushrodChange: m.Pushrod - l.Pushrod, Sweep: c, goal: s.Goal}, nil
}

// Working returns the derivation.
func (c PushrodChoice) Working() units.Working {
	if c.goal == 0 {
		return nil
	}
	return append(units.Working{
		{Symbol: "pivot", Formula: "place along the stud for a " + c.goal.String(), Value: text(c.PivotMove), Source: planar},
		{Symbol: "pushrod", Formula: "|E - L| with the valve on its seat", Value: text(c.Pushrod) + ", change " + num(c.PushrodChange), Source: planar},
	}, c.Sweep.Working()...)
}
