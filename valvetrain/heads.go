package valvetrain

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// HeadPlace is a place in the cylinder head, in axes of which Z points along the
// bore away from the crank, X along the engine and Y across it. The origin is the
// caller's.
type HeadPlace struct{ X, Y, Z units.Length }

// ValveHead is the head of a valve on its seat: a rim of the head's diameter as
// high as its margin, and over it the seat face, if it is given.
type ValveHead struct {
	Diameter units.Measured[units.Length]
	// Margin is the height of the cylindrical rim; 0 is a sharp edge.
	Margin units.Length
	// FaceWidth is that of the seat face measured along it, and FaceAngle its
	// angle to the plane of the head, 45 deg as a rule; both 0 leave it out. The
	// tulip over it and the stem are not looked at.
	FaceWidth units.Length
	FaceAngle PlaneAngle
	// Center is the middle of the combustion face with the valve closed, and
	// CenterU the standard uncertainty of each of its three figures.
	Center  HeadPlace
	CenterU units.Optional[units.Length]
	// Lean is the angle between stem and bore as seen along the engine, positive
	// where the top of the stem leans toward +Y; Cant that as seen across it,
	// positive toward +X. The stem points along (tan Cant, tan Lean, 1).
	Lean, Cant PlaneAngle
}

// HeadPair are the two valves of a cylinder that may meet.
type HeadPair struct{ Intake, Exhaust ValveHead }

// HeadLifts is how far two valves are open, each along its own stem.
type HeadLifts struct{ Intake, Exhaust units.Length }

// HeadGap is how two valve heads stand to each other.
type HeadGap struct {
	Lifts HeadLifts
	// Gap is the shortest distance between the heads; 0 where they touch or
	// overlap.
	Gap units.Measured[units.Length]
	// IntakeRate and ExhaustRate are how fast the gap grows with the lift of
	// each valve (ratios, from -1 to 1); 0 where the heads touch.
	IntakeRate, ExhaustRate float64
	// IntakeBack and ExhaustBack say, where the heads overlap, how far back along
	// its stem the one or the other alone would have to stand for the two just
	// to touch; 0 where they are apart.
	IntakeBack, ExhaustBack units.Length

	backU units.Length // of the lesser of the two
}

// Clearance is Gap where the heads are apart, and otherwise the lesser of
// IntakeBack and ExhaustBack, negative.
//
// Rows: heads-coaxial, heads-overlap-back.
func (g HeadGap) Clearance() units.Length {
	if back := min(g.IntakeBack, g.ExhaustBack); back > 0 {
		return -back
	}
	return g.Gap.Value
}

func checkPlace(field string, p HeadPlace) error {
	out := func(l units.Length) bool { return l < -maxSize || l > maxSize }
	name, l := ".X", p.X
	switch {
	case out(p.X):
	case out(p.Y):
		name, l = ".Y", p.Y
	case out(p.Z):
		name, l = ".Z", p.Z
	default:
		return nil
	}
	return fail(field+name, l.String(), units.ErrRange, "want a place within 10 m")
}

func (h *ValveHead) check() error {
	if err := checkMeasuredSize("Diameter", h.Diameter); err != nil {
		return err
	}
	if err := checkSpan("Margin", h.Margin); err != nil {
		return err
	}
	if err := checkSpan("FaceWidth", h.FaceWidth); err != nil {
		return err
	}
	if err := checkPlace("Center", h.Center); err != nil {
		return err
	}
	const steepest = 80 * math.Pi / 180
	switch u := h.CenterU; {
	case u.Given && (u.Value < 0 || u.Value > maxSize):
		return fail("CenterU", u.Value.String(), units.ErrRange, "want a standard uncertainty of 0 to 10 m")
	case !(math.Abs(float64(h.Lean)) <= steepest):
		return fail("Lean", h.Lean.String(), units.ErrRange, "want an angle within 80 degrees of the bore")
	case !(math.Abs(float64(h.Cant)) <= steepest):
		return fail("Cant", h.Cant.String(), units.ErrRange, "want an angle within 80 degrees of the bore")
	case h.FaceWidth == 0 && h.FaceAngle != 0:
		return fail("FaceWidth", "", units.ErrMissing, "a face angle is given: want the width of the face")
	case h.FaceWidth != 0 && !(h.FaceAngle.Degrees() > 0 && h.FaceAngle.Degrees() < 90):
		return fail("FaceAngle", h.FaceAngle.String(), units.ErrRange, "want a face angle over 0 and under 90 degrees")
	}
	return nil
}

func (h *ValveHead) body(field string) (turned, error) {
	if err := h.check(); err != nil {
		return turned{}, within(field, err)
	}
	r := h.Diameter.Value.Meters() / 2
	sin, cos := math.Sincos(float64(h.FaceAngle))
	w := h.FaceWidth.Meters()
	if w*cos > r {
		return turned{}, fail(field+".FaceWidth", text(h.FaceWidth), units.ErrImpossible, "the seat face reaches past the axis")
	}
	axis := space{math.Tan(float64(h.Cant)), math.Tan(float64(h.Lean)), 1}
	axis = axis.times(1 / axis.length())
	across := axis.cross(space{x: 1})
	if math.Abs(axis.x) > 0.7 {
		across = axis.cross(space{y: 1})
	}
	m := h.Margin.Meters()
	return turned{
		center: space{h.Center.X.Meters(), h.Center.Y.Meters(), h.Center.Z.Meters()},
		axis:   axis, across: across.times(1 / across.length()),
		rings: [3]ring{{0, r}, {m, r}, {m + w*sin, r - w*cos}},
	}, nil
}

// heads are the bodies of a pair, valves closed, with what their uncertainty needs.
type heads struct {
	intake, exhaust turned
	flat            coplanar
	stated          bool
	places          float64 // squared uncertainty of both centers
	radii           [2]float64
}

func (p *HeadPair) heads() (heads, error) {
	var h heads
	var err error
	if h.intake, err = p.Intake.body("Intake"); err != nil {
		return heads{}, err
	}
	if h.exhaust, err = p.Exhaust.body("Exhaust"); err != nil {
		return heads{}, err
	}
	h.flat = coplanarOf(&h.intake, &h.exhaust)
	h.stated = p.Intake.Diameter.Stated && p.Exhaust.Diameter.Stated && p.Intake.CenterU.Given && p.Exhaust.CenterU.Given
	h.places = squared(p.Intake.CenterU.Value.Meters()) + squared(p.Exhaust.CenterU.Value.Meters())
	h.radii = [2]float64{p.Intake.Diameter.U.Meters() / 2, p.Exhaust.Diameter.U.Meters() / 2}
	return h, nil
}

// opened returns a body moved along its stem into the cylinder.
func (b *turned) opened(lift float64) turned {
	c := *b
	c.center = b.center.less(b.axis.times(lift))
	return c
}

// apart returns how the heads stand at two lifts in meters.
func (h *heads) apart(intake, exhaust float64) apart {
	if h.flat.ok {
		if r, ok := h.flat.separation(intake, exhaust); ok {
			return r
		}
	}
	i, e := h.intake.opened(intake), h.exhaust.opened(exhaust)
	return separation(&i, &e)
}

// back returns how far the first body has to go along its axis to be clear of the
// second. The distance is convex in that way and 0 where they overlap: from a
// way that surely clears, each tangent leads nearer to its last zero and never
// past it.
func back(first, second turned) (way float64, touch apart) {
	size := func(b *turned) float64 { return 2*b.rings[0].radius + b.rings[2].height }
	s := first.center.less(second.center).length() + 2*(size(&first)+size(&second))
	for range 200 {
		moved := first.opened(-s)
		a := separation(&moved, &second)
		rate := a.normal.dot(first.axis)
		if a.distance > 0 {
			touch = a
		}
		if a.distance < 10*touching || rate <= 0 {
			break
		}
		s -= a.distance / rate
	}
	return max(s, 0), touch
}

// spread returns the uncertainty of a distance along a normal.
func (h *heads) spread(normal space) float64 {
	u := h.places
	for k, axis := range [...]space{h.intake.axis, h.exhaust.axis} {
		u += squared(normal.squareTo(axis).length() * h.radii[k])
	}
	return math.Sqrt(u)
}

func (h *heads) gap(l HeadLifts) HeadGap {
	li, le := l.Intake.Meters(), l.Exhaust.Meters()
	a := h.apart(li, le)
	g := HeadGap{Lifts: l, Gap: units.Measured[units.Length]{Value: count(a.distance), Stated: h.stated}}
	if a.distance > 0 {
		g.IntakeRate, g.ExhaustRate = -a.normal.dot(h.intake.axis), a.normal.dot(h.exhaust.axis)
		if h.stated {
			g.Gap.U = count(h.spread(a.normal))
		}
		return g
	}
	i, e := h.intake.opened(li), h.exhaust.opened(le)
	bi, ti := back(i, e)
	be, te := back(e, i)
	g.IntakeBack, g.ExhaustBack = count(bi), count(be)
	if h.stated {
		// Which way the heads lie is not known in a gap of 0: all of the radii.
		g.Gap.U = count(math.Sqrt(h.places + squared(h.radii[0]) + squared(h.radii[1])))
		rate, normal := ti.normal.dot(h.intake.axis), ti.normal
		if be < bi {
			rate, normal = te.normal.dot(h.exhaust.axis), te.normal
		}
		if u := h.spread(normal) / rate; u > 0 && u < maxSize.Meters() {
			g.backU = count(u)
		} else {
			g.backU = g.Gap.U
		}
	}
	return g
}

// At answers how far apart two valve heads are at given lifts: the exact shortest
// distance between two short cylinders in space, each with its seat face over it
// where that is given,
//
//	center = Center - Lift axis,  axis = (tan Cant, tan Lean, 1) made a unit
//	gap = min |a - b| over all points a of the one and b of the other
//
// It holds for every position: rims against each other, a rim against a face,
// parallel, level and square heads. The closest point of the set of differences
// is sought until a plane that lies between the heads proves that no pair is
// closer by more than 1 pm, but for rounding; where one head lies nearly over the edge
// of the other it may end some tenths of a nanometer off. Heads that overlap have gap 0 and
// the ways back, which are the last zeros of that distance as the one valve or the
// other is drawn back along its stem.
//
// The uncertainty is stated where those of both diameters and both places are,
// n being the unit vector along the gap and n' its part square to the stem:
//
//	u^2 = u_place_i^2 + u_place_e^2 + (|n'_i| u_D_i/2)^2 + (|n'_e| u_D_e/2)^2
//
// Side play of the stems in their guides belongs to the places. It does not
// allocate. Errors: a diameter missing or not over 0, a negative margin, width or
// lift, a place outside 10 m, an angle over 80 degrees, a face angle without a
// width or a width without an angle, a face wider than the head.
//
// Source: geometry; Gilbert, Johnson and Keerthi, A fast procedure for computing
// the distance between complex objects in three-dimensional space, IEEE J. Robotics
// and Automation 4 (1988) (from memory). Rows by closed forms and by a separate
// program.
//
// Rows: heads-coaxial, heads-level, heads-parallel-edge, heads-square,
// heads-inline, heads-canted, heads-wedge, heads-seat-face, heads-u,
// heads-overlap-back.
func (p HeadPair) At(l HeadLifts) (HeadGap, error) {
	h, err := p.heads()
	if err != nil {
		return HeadGap{}, err
	}
	if err := checkSpan("Lifts.Intake", l.Intake); err != nil {
		return HeadGap{}, err
	}
	if err := checkSpan("Lifts.Exhaust", l.Exhaust); err != nil {
		return HeadGap{}, err
	}
	return h.gap(l), nil
}

// Working returns the derivation.
func (g HeadGap) Working() units.Working {
	w := units.Working{
		{Symbol: "lifts", Formula: "each along its own stem", Numbers: "intake, exhaust", Value: text(g.Lifts.Intake) + ", " + text(g.Lifts.Exhaust), Source: asRead},
		{Symbol: "gap", Formula: "shortest distance between the heads", Numbers: "grows by " + plain(g.IntakeRate) + " with the intake lift, " + plain(g.ExhaustRate) + " with the exhaust lift", Value: measuredText(g.Gap), Source: units.Source{Text: "geometry of two bodies in space", Provenance: units.Computed}},
	}
	if g.Gap.Value == 0 {
		w = append(w, units.Step{Symbol: "back", Formula: "way of one valve alone to where the heads just touch", Numbers: "intake, exhaust", Value: text(g.IntakeBack) + ", " + text(g.ExhaustBack), Source: definition})
	}
	return w
}

// HeadTiming is the cam of a pair of heads, how it stands, and what is asked of
// them.
type HeadTiming struct {
	Cam          *camtiming.Cam
	Installation camtiming.Installation
	// Least is the gap that must remain, if it is to be judged, and Rule by
	// which rule.
	Least units.Optional[units.Limits[units.Length]]
	Rule  units.DecisionRule
}

// MovingHeads are two valve heads on their cam. Mount makes them; their methods
// are safe for concurrent use.
type MovingHeads struct {
	heads  heads
	cam    *camtiming.Cam
	timing HeadTiming
	seated HeadGap
}

// Mount puts a pair of heads on a cam. Errors: those of HeadPair.At; no cam; an
// installation that camtiming.Cam.ValveTiming refuses; heads that touch with both
// valves closed (ErrImpossible).
//
// Rows: heads-cam-least, heads-cam-at.
func (p HeadPair) Mount(t HeadTiming) (*MovingHeads, error) {
	m := &MovingHeads{timing: t, cam: t.Cam}
	var err error
	if m.heads, err = p.heads(); err != nil {
		return nil, err
	}
	if t.Cam == nil || t.Cam.Spec().Intake == nil {
		return nil, fail("Cam", "", units.ErrMissing, "want a cam from camtiming.NewCam")
	}
	in := t.Installation
	if in.Advance < -units.CrankTurn || in.Advance > units.CrankTurn {
		return nil, fail("Installation.Advance", in.Advance.String(), units.ErrRange, "want an advance within one turn")
	}
	if _, err := in.Intake.ValveLift(0); err != nil {
		return nil, within("Installation.Intake", err)
	}
	if _, err := in.Exhaust.ValveLift(0); err != nil {
		return nil, within("Installation.Exhaust", err)
	}
	if in.Separation.Given {
		spec := t.Cam.Spec()
		spec.Separation, spec.GroundAdvance = in.Separation.Value, 0
		if m.cam, err = camtiming.NewCam(spec); err != nil {
			return nil, within("Installation", err)
		}
	}
	if m.seated = m.heads.gap(HeadLifts{}); m.seated.Gap.Value == 0 {
		return nil, fail("Intake.Center", "", units.ErrImpossible, "the heads touch with both valves on their seats")
	}
	if t.Least.Given {
		if _, err := units.Judge(m.seated.Gap, t.Least.Value, t.Rule); err != nil {
			return nil, fail("Least", t.Least.Value.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
		}
	}
	return m, nil
}

// within puts a refusal of another package under a field of this one.
func within(field string, err error) error {
	var e *units.InputError
	if !errors.As(err, &e) {
		return err
	}
	return fail(field+"."+e.Field, e.Value, e.Kind, e.Reason)
}

// Lifts answers how far the valves are open at a crank angle after overlap top
// dead center, the lash taken off: Ratio L - Lash with L of camtiming.Cam.AtCrank.
// It does not allocate; nothing is open on the zero MovingHeads.
//
// Rows: heads-cam-lift.
func (m *MovingHeads) Lifts(after units.CrankAngle) HeadLifts {
	if m.cam == nil {
		return HeadLifts{}
	}
	h := m.cam.AtCrank(m.timing.Installation.Advance, after)
	// The gear and the lifts were checked: no error is left.
	i, _ := m.timing.Installation.Intake.ValveLift(max(h.Intake, 0))
	e, _ := m.timing.Installation.Exhaust.ValveLift(max(h.Exhaust, 0))
	return HeadLifts{i, e}
}

// At answers how far apart the heads are at a crank angle after overlap top dead
// center, as HeadPair.At for the lifts there. It does not allocate; the zero
// MovingHeads gives the zero HeadGap.
//
// Rows: heads-cam-gap.
func (m *MovingHeads) At(after units.CrankAngle) HeadGap {
	if m.cam == nil {
		return HeadGap{}
	}
	return m.heads.gap(m.Lifts(after))
}

// CrankSpan is a stretch of the cycle, forward in rotation; angles count after
// overlap top dead center.
type CrankSpan struct{ From, To units.CrankAngle }

// HeadClearance is how near two valve heads come through a whole cycle.
type HeadClearance struct {
	// Clearance is the least gap, or with a minus sign the way that one of the
	// heads lacks: see HeadGap.Clearance.
	Clearance units.Measured[units.Length]
	// At is where that is, after overlap top dead center, and Gap how the heads
	// stand there.
	At  units.CrankAngle
	Gap HeadGap
	// Touch are the stretches in which the heads touch or overlap; none where
	// they keep apart.
	Touch []CrankSpan
	// Seated is the gap with both valves closed. NeverNearer tells that it is the
	// least of all: At is then an angle at which both are closed.
	Seated      units.Measured[units.Length]
	NeverNearer bool
	Verdict     units.Optional[units.Verdict[units.Length]]
}

// finest is how well the least gap is known, in meters, closest how well the ends
// of a touch are, in crank degrees, and parting the shortest parting inside a touch
// that is not missed.
const (
	finest  = 1e-9
	closest = 1e-6
	scan    = 4 * units.CrankDegree
	parting = units.CrankDegree / 4
)

// moment is how the heads stand at one crank angle.
type moment struct {
	at     units.CrankAngle
	lifts  HeadLifts
	d      float64
	gi, ge float64 // change of d with each lift
}

func (m *MovingHeads) moment(at units.CrankAngle) moment {
	l := m.Lifts(at)
	a := m.heads.apart(l.Intake.Meters(), l.Exhaust.Meters())
	return moment{at, l, a.distance, -a.normal.dot(m.heads.intake.axis), a.normal.dot(m.heads.exhaust.axis)}
}

// floor returns a lower bound of the distance between two moments through which
// each valve moves one way only. The distance is a convex function of the two
// lifts, so that the tangent plane at either end lies under it; and it changes by
// no more than the valves move.
func floor(a, b moment) float64 {
	di, de := (b.lifts.Intake - a.lifts.Intake).Meters(), (b.lifts.Exhaust - a.lifts.Exhaust).Meters()
	fromA := a.d + min(0, a.gi*di) + min(0, a.ge*de)
	fromB := b.d + min(0, -b.gi*di) + min(0, -b.ge*de)
	return max(fromA, fromB, (a.d+b.d-math.Abs(di)-math.Abs(de))/2)
}

// falls returns whether the distance falls with the crank angle at a moment.
func (m *MovingHeads) falls(x moment) bool {
	in, spec := m.timing.Installation, m.cam.Spec()
	rate := func(l units.Length, g camtiming.ValveGear, c camtiming.LiftCurve, nose units.CrankAngle) float64 {
		if l == 0 {
			return 0
		}
		return g.Ratio * float64(c.Velocity((x.at - nose).Wrap().Cam()))
	}
	half := spec.Separation.Crank() / 2
	return x.gi*rate(x.lifts.Intake, in.Intake, spec.Intake, half-in.Advance)+x.ge*rate(x.lifts.Exhaust, in.Exhaust, spec.Exhaust, -half-in.Advance) < 0
}

// moments returns the cycle in steps, with every angle at which a valve turns back.
func (m *MovingHeads) moments() []moment {
	half, adv := m.cam.Spec().Separation.Crank()/2, m.timing.Installation.Advance
	var at []units.CrankAngle
	for a := -units.CrankTurn; a <= units.CrankTurn; a += scan {
		at = append(at, a)
	}
	for _, nose := range [...]units.CrankAngle{half - adv, -half - adv} {
		at = append(at, nose.Wrap(), (nose + units.CrankTurn).Wrap())
	}
	slices.Sort(at)
	at = slices.Compact(at)
	ms := make([]moment, len(at))
	for i, a := range at {
		if i > 0 && m.Lifts(a) == ms[i-1].lifts { // both closed as before
			ms[i] = ms[i-1]
			ms[i].at = a
			continue
		}
		ms[i] = m.moment(a)
	}
	return ms
}

// least returns the moment of the least distance.
func (m *MovingHeads) least(ms []moment) moment {
	k := 0
	for i := range ms {
		if ms[i].d < ms[k].d {
			k = i
		}
	}
	best := ms[k]
	improve := func(a, b moment) {
		for m.falls(a) && !m.falls(b) && b.at-a.at > 1 && best.d > 0 {
			mid := m.moment(a.at + (b.at-a.at)/2)
			if mid.d < best.d {
				best = mid
			}
			if m.falls(mid) {
				a = mid
			} else {
				b = mid
			}
		}
	}
	if k > 0 {
		improve(ms[k-1], ms[k])
	}
	if k+1 < len(ms) {
		improve(ms[k], ms[k+1])
	}
	// What could still lie under it is halved until nothing can.
	var search func(a, b moment)
	search = func(a, b moment) {
		if best.d <= 0 || floor(a, b) >= best.d-finest || b.at-a.at <= 1 {
			return
		}
		mid := m.moment(a.at + (b.at-a.at)/2)
		if mid.d < best.d-finest {
			best = mid
			improve(a, mid)
			improve(mid, b)
		}
		search(a, mid)
		search(mid, b)
	}
	for i := 1; i < len(ms); i++ {
		search(ms[i-1], ms[i])
	}
	return best
}

// touches returns the stretches of contact.
func (m *MovingHeads) touches(ms []moment) []CrankSpan {
	var t []CrankSpan
	in := false
	enter := func(at units.CrankAngle) { t, in = append(t, CrankSpan{From: at}), true }
	leave := func(at units.CrankAngle) { t[len(t)-1].To, in = at, false }
	var search func(a, b moment)
	search = func(a, b moment) {
		free := a.d > 0 && b.d > 0
		switch {
		case a.d == 0 && b.d == 0 && b.at-a.at <= parting, free && floor(a, b) > 0:
			return
		case (b.at - a.at).Degrees() <= closest:
			if a.d > 0 && b.d == 0 {
				enter(b.at)
			} else if a.d == 0 && b.d > 0 && in {
				leave(a.at)
			}
			return
		}
		mid := m.moment(a.at + (b.at-a.at)/2)
		search(a, mid)
		search(mid, b)
	}
	if ms[0].d == 0 {
		enter(ms[0].at)
	}
	for i := 1; i < len(ms); i++ {
		search(ms[i-1], ms[i])
	}
	if in {
		leave(ms[len(ms)-1].at)
	}
	return t
}

// deepest returns where the way back is longest in the stretches of contact: on
// steps, then between the neighbors of the longest by thirds.
func (m *MovingHeads) deepest(touch []CrankSpan) (units.CrankAngle, HeadGap) {
	var at units.CrankAngle
	var worst HeadGap
	look := func(a units.CrankAngle) units.Length {
		g := m.At(a)
		if c := g.Clearance(); c < worst.Clearance() || worst == (HeadGap{}) {
			at, worst = a, g
		}
		return g.Clearance()
	}
	for _, s := range touch {
		step := max((s.To-s.From)/48, 1)
		for a := s.From; a <= s.To; a += step {
			look(a)
		}
		lo, hi := max(at-step, s.From), min(at+step, s.To)
		for hi-lo > units.CrankDegree/10_000 {
			third := (hi - lo) / 3
			if look(lo+third) <= look(hi-third) {
				hi -= third
			} else {
				lo += third
			}
		}
	}
	return at, worst
}

// Closest answers how near the two heads come to each other through the whole
// cycle, overlap and all, and at which crank angle:
//
//	least over the crank angle a of gap(lift_i(a), lift_e(a))
//
// with gap of HeadPair.At and the lifts of Lifts. The search is no scan: between
// two noses the lifts run one way, gap is convex in the two lifts, and so a bound
// under gap between any two angles is known; stretches that could hold less than the
// least found are halved until the bound lies within 1 nm of it. It relies on
// curves that rise to the nose and fall from it, as camtiming.LiftCurve promises.
// The angle is where the distance turns, of equal ones an earlier one; where the
// valves never come nearer than on their seats, the first angle at which both are
// closed, and NeverNearer says so. Where the
// heads touch, the ends of the touch are found to 1e-6 degree, a parting shorter than a quarter of a
// degree within it may be missed, and At is where the
// way back of HeadGap.Clearance is longest, by steps of a 48th of the touch and
// then by thirds.
//
// The advance of one camshaft moves both valves alike: it moves At the other way
// by as much and leaves Clearance alone. A wider separation (Installation, or one
// of two camshafts moved) does change it. Errors of timing do not count to
// first order at a least gap and are not in the uncertainty, which is that of
// the gap there; that of a way back is the uncertainty of the distance where the
// heads just touch, over the rate at which that way opens it.
//
// The error is that of a MovingHeads that Mount did not make (ErrMissing).
//
// Source: geometry; convex bounds as derived above. Rows by a separate program.
//
// Rows: heads-cam-least, heads-cam-at, heads-cam-wide, heads-cam-advance-at,
// heads-cam-touch-from, heads-cam-touch-to, heads-cam-touch-back,
// heads-cam-verdict.
func (m *MovingHeads) Closest() (HeadClearance, error) {
	if m == nil || m.cam == nil {
		return HeadClearance{}, fail("MovingHeads", "", units.ErrMissing, "want heads from HeadPair.Mount")
	}
	ms := m.moments()
	best := m.least(ms)
	r := HeadClearance{At: best.at, Gap: m.heads.gap(best.lifts), Seated: m.seated.Gap}
	if best.d > 0 && count(best.d) >= m.seated.Gap.Value {
		r.NeverNearer = true
		for _, x := range ms { // the middle of the cycle's other turn is as good as any
			if x.lifts == (HeadLifts{}) {
				r.At, r.Gap = x.at, m.seated
				break
			}
		}
	}
	if best.d == 0 {
		if !slices.ContainsFunc(ms, func(x moment) bool { return x.d == 0 }) {
			ms = append(ms, best)
			slices.SortFunc(ms, func(a, b moment) int { return cmp.Compare(a.at, b.at) })
		}
		r.Touch = m.touches(ms)
		r.At, r.Gap = m.deepest(r.Touch)
	}
	r.Clearance = r.Gap.Gap
	if v := r.Gap.Clearance(); v < 0 {
		r.Clearance.Value, r.Clearance.U = v, r.Gap.backU
	}
	if t := m.timing; t.Least.Given {
		v, err := units.Judge(r.Clearance, t.Least.Value, t.Rule)
		if err != nil {
			return HeadClearance{}, fail("Least", t.Least.Value.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
		}
		r.Verdict = units.Some(v)
	}
	return r, nil
}

// Working returns the derivation.
func (c HeadClearance) Working() units.Working {
	w := units.Working{{Symbol: "seated", Formula: "gap with both valves closed", Value: measuredText(c.Seated), Source: definition}}
	w = append(w, c.Gap.Working()...)
	for _, t := range c.Touch {
		w = append(w, units.Step{Symbol: "touch", Formula: "from, to, after overlap TDC", Value: t.From.Text(3) + " to " + t.To.Text(3), Source: definition})
	}
	return append(w, units.Step{Symbol: "clearance", Formula: "least gap through the cycle, or minus the way back", Numbers: "at " + c.At.Text(3) + " after overlap TDC", Value: measuredText(c.Clearance), Source: definition})
}

// Cautions returns what to mind when the clearance of valve heads is tried.
func (c HeadClearance) Cautions() []units.Caution {
	w := turningCautions()
	if c.Clearance.Value <= 0 {
		w = append(w, units.Caution{Text: "the valve heads meet: do not turn the engine over with this cam and timing", Source: definition})
	}
	return append(w, units.Caution{Text: "the distance is that of parts as given: at speed a valve that floats or bounces stands farther open than its lobe says", Source: practice})
}

// turningCautions are what to mind whenever the crank is turned to try a
// clearance.
func turningCautions() []units.Caution {
	return []units.Caution{
		{Text: "disconnect the battery, remove the plugs, turn the crank by hand in normal rotation and stop at any resistance", Source: practice},
		{Text: "a turning crank and a compressed valve spring injure: keep fingers out of the valve gear while somebody turns", Source: practice},
	}
}
