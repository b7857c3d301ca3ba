package valvetrain

import (
	"math"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// CamTurn is the way that a cam turns, seen in the plane's axes. The zero CamTurn
// is none.
type CamTurn uint8

// Ways of turning.
const (
	TurnsCounterclockwise CamTurn = iota + 1
	TurnsClockwise
)

// String names the way.
func (t CamTurn) String() string {
	switch t {
	case TurnsCounterclockwise:
		return "counterclockwise"
	case TurnsClockwise:
		return "clockwise"
	default:
		return "none"
	}
}

// Finger is a follower between a cam and a valve that swings on a pivot, at its end
// or between cam and valve.
type Finger struct {
	// Pivot as it stands, with its adjuster.
	Pivot Point
	// CamArm reaches from the pivot to the center of the pad's arc, or of the
	// roller, that rides on the cam; TipArm to the center of the arc on the stem.
	CamArm, TipArm units.Length
	// Between is the angle from the cam arm to the tip arm, counterclockwise.
	Between PlaneAngle
	// CamRadius is the radius of the pad's arc or of the roller, over 0; TipRadius
	// that of the arc on the stem, 0 for an edge.
	CamRadius, TipRadius units.Length
	// Valve is the middle of the flat tip of the closed valve and the direction
	// in which it opens.
	Valve Track
}

// FingerSpec is a finger on a cam. Every field but Roller is required.
type FingerSpec struct {
	Finger Finger
	// CamCenter is the cam's axis, Turn the way it turns.
	CamCenter Point
	Turn      CamTurn
	// Lobe is the lobe as a straight follower sees it, by which its profile is
	// known: a flat face square to its travel, or a roller of radius Roller whose
	// center travels through the cam's axis. It must know its acceleration.
	Lobe   camtiming.MotionCurve
	Base   units.Length // radius of the base circle
	Roller units.Length // 0: flat
	// CamSide says on which side of the line from the cam's axis to the pivot the
	// pad's center lies: left of it, or right.
	CamSide Side
}

// Side is a side of a line. The zero Side is none.
type Side uint8

// Sides, looking along the line.
const (
	LeftSide Side = iota + 1
	RightSide
)

// String names the side.
func (s Side) String() string {
	switch s {
	case LeftSide:
		return "left"
	case RightSide:
		return "right"
	default:
		return "none"
	}
}

// FingerCurve is the lift at a valve under a finger over the cam angle from where
// it is greatest: a camtiming.MotionCurve. It is safe for concurrent use and does
// not allocate. The zero FingerCurve never lifts.
type FingerCurve struct {
	spec FingerSpec

	base, roller, rf float64 // base circle, roller of the lobe, radius on the cam
	m, mx, my        float64 // distance and direction from cam to pivot, seen so that the cam turns counterclockwise
	f                float64 // cam arm
	side             float64 // 1 left
	tip              vec     // tip arm over cam arm
	down, out        vec
	face, axis       float64
	zero             vec // direction of the common normal at the nose
	gap              float64
	from, to         units.CamAngle
	most             units.Length
	tip2             float64 // square of the tip arm
	sense            float64 // 1 where the finger turns forward to open
	lo, hi           float64 // where the lobe begins and ends, cam radians
	table            fingerTable
}

// fingerPlace is how the finger stands at one angle of the lobe; lengths in meters,
// angles and derivatives in radians.
type fingerPlace struct {
	theta         float64 // cam angle from the nose
	arm           vec     // cam arm
	along, across float64 // arms of the tangent and of the normal at the cam, about the pivot
	h, e          float64 // support and eccentricity, about the cam's axis
	b1, net, v    float64 // turn of the finger over the cam angle; the valve
	y, y1, y2, y3 float64 // lobe, over its own angle
}

// fingerState is everything at one angle of the lobe: derivatives are over the cam
// angle in radians.
type fingerState struct {
	fingerPlace
	slope   float64 // of the cam angle over the lobe's
	b2, b3  float64
	a, j    float64
	across1 float64
	// kappa is the curvature of the path of the pad's center around the cam,
	// sliding the way of the lobe past the pad for each radian.
	kappa, kappa1     float64
	sliding, sliding1 float64
}

// NewFingerCurve answers what lift a valve has under a finger: the lobe's profile is
// taken from its lift y under a straight follower, and the finger's pad rolls or
// slides on that profile. For a lobe angle p (cam radians from the nose), with
// normal angle n, support H and eccentricity e of the path of a circle of radius
// rho = CamRadius on the cam,
//
//	flat:   n = p           H = Base + y + rho                        e = y'
//	roller: n = p - alpha   H = (R cos alpha) + rho - Roller          e = R sin alpha,  tan alpha = y'/R,  R = Base + Roller + y
//
// the center of the pad lies r = sqrt(H^2 + e^2) from the cam's axis, and with
// m the distance of the pivot and f = CamArm the triangle gives its place. The cam
// has then turned by
//
//	theta = n + atan(e/H) + psi(r),  cos psi = (m^2 + r^2 - f^2)/(2 m r)
//
// up to a constant, so that finger and cam angle are both closed in p. They are
// tabulated over theta, with their derivatives, so finely that what the table gives
// between its knots is off by less than 2 pm in lift (that of the lobe is rounded to 1),
// 2e-9 in velocity and acceleration and 1e-6 in jerk, relative to their greatest. The
// finger turns by
//
//	dbeta/dtheta = e/w,  w = the arm of the common normal about the pivot
//
// and the valve follows as in Linkage.At. The nose (angle 0) is where the lift is
// greatest; the lift of an end pivot and of a center pivot follow alike. The gap
// on the base circle is the lash.
//
// Errors: a field that is missing or out of range; a lobe that camtiming refuses or
// that no cam can have (undercut); a pad that does not fit the cam: it does
// not reach, its angle would run backward (a hollow flank under too large a pad), or
// the finger locks or turns back (ErrImpossible); a finger that holds the valve open
// (ErrConflict); a lash that the lobe does not take up (ErrRange).
//
// Source: envelope of a plane cam by its support function; derived above, checked
// by an independent search for the contact.
//
// Rows: finger-lift-flat, finger-lift-roller, finger-lift-other-roller,
// finger-velocity, finger-opens.
func NewFingerCurve(spec FingerSpec) (*FingerCurve, error) {
	if err := spec.check(); err != nil {
		return nil, err
	}
	if err := checkLobe("Lobe", spec.Lobe); err != nil {
		return nil, err
	}
	c := spec.frame()
	hollow := fail("Finger.CamRadius", spec.Finger.CamRadius.String(), units.ErrImpossible, "a pad of that radius does not follow the lobe's hollow flank, or the cam's angle runs backward")
	if err := spec.undercut(); err != nil {
		return nil, err
	}
	span := spec.Lobe.Span()
	const steps = 1024
	lo, hi := span.Opens.Radians(), span.Closes.Radians()
	first, ok := c.at(0)
	if !ok {
		return nil, fail("Finger.CamArm", spec.Finger.CamArm.String(), units.ErrImpossible, "the pad does not reach the cam at full lift: look at pivot, arm and radii")
	}
	sin, cos := math.Sincos(first.theta)
	c.zero = vec{cos, sin}
	base, ok := c.at(lo)
	if !ok {
		return nil, fail("Finger.CamArm", spec.Finger.CamArm.String(), units.ErrImpossible, "the pad does not reach the base circle: look at pivot, arm and radii")
	}
	c.gap = -base.net
	thetas := make([]float64, 0, steps+1)
	acc := 0.0
	for i := range steps + 1 {
		p := lo + (hi-lo)*float64(i)/steps
		s, ok := c.at(p)
		if !ok || !(s.slope > 0) || i > 0 && s.theta <= thetas[i-1] {
			return nil, hollow
		}
		// On the opening side the valve must rise, on the closing side fall.
		if lift := c.out.dot(s.arm.times(c.tip)); !(lift > 0) {
			return nil, fail("Finger.Between", spec.Finger.Between.String(), units.ErrImpossible, "the tip leaves the valve's side of the pivot")
		}
		if p < 0 && s.v < -1e-12 || p > 0 && s.v > 1e-12 {
			return nil, fail("Finger", "", units.ErrImpossible, "the finger does not open the valve with the lobe: look at the directions, sides and angle between the arms")
		}
		thetas, acc = append(thetas, s.theta), max(acc, math.Abs(s.a))
	}
	if c.gap < -1e-12 {
		return nil, fail("Finger.Pivot", "", units.ErrConflict, "the finger holds the valve open by "+text(count(-c.gap))+" on the base circle")
	}
	c.most = count(first.net)
	if c.most <= 0 {
		return nil, fail("Finger.Valve", text(count(c.gap)), units.ErrRange, "the lobe does not take up the lash")
	}
	c.lo, c.hi = thetas[0], thetas[steps]
	if err := c.tabulate(acc); err != nil {
		return nil, err
	}
	c.from, c.to = camRadians(c.lo), camRadians(c.hi)
	if c.gap > 0 {
		c.from, c.to = c.crossing(c.lo), c.crossing(c.hi)
	}
	return c, nil
}

// crossing returns where the lift is 0 between the nose and an end.
func (c *FingerCurve) crossing(end float64) units.CamAngle {
	nose := 0.0
	for range 80 {
		m := (nose + end) / 2
		if c.table.lift(m) > 0 {
			nose = m
		} else {
			end = m
		}
	}
	return camRadians(nose)
}

func camRadians(x float64) units.CamAngle {
	return units.CamAngle(math.RoundToEven(x * 180 / math.Pi * float64(units.CamDegree)))
}

func (s *FingerSpec) check() error {
	if s.Lobe == nil {
		return fail("Lobe", "", units.ErrMissing, "want a lift curve that gives its acceleration")
	}
	if err := checkPoint("Finger", ".Pivot", s.Finger.Pivot); err != nil {
		return err
	}
	for _, v := range [...]struct {
		name string
		l    units.Length
	}{{"Finger.CamArm", s.Finger.CamArm}, {"Finger.TipArm", s.Finger.TipArm}, {"Finger.CamRadius", s.Finger.CamRadius}, {"Base", s.Base}} {
		if err := checkSize(v.name, v.l); err != nil {
			return err
		}
	}
	if err := checkPlaneAngle("Finger", ".Between", s.Finger.Between); err != nil {
		return err
	}
	if err := checkSpan("Finger.TipRadius", s.Finger.TipRadius); err != nil {
		return err
	}
	if err := checkPoint("Finger.Valve", ".At", s.Finger.Valve.At); err != nil {
		return err
	}
	if err := checkPlaneAngle("Finger.Valve", ".Direction", s.Finger.Valve.Direction); err != nil {
		return err
	}
	if err := checkPoint("CamCenter", "", s.CamCenter); err != nil {
		return err
	}
	if s.Turn != TurnsCounterclockwise && s.Turn != TurnsClockwise {
		return fail("Turn", "", units.ErrMissing, "want which way the cam turns")
	}
	if s.CamSide != LeftSide && s.CamSide != RightSide {
		return fail("CamSide", "", units.ErrMissing, "want on which side of the line from cam to pivot the pad lies")
	}
	if s.CamCenter == s.Finger.Pivot {
		return fail("Finger.Pivot", "", units.ErrImpossible, "the pivot is in the cam's axis")
	}
	return checkSpan("Roller", s.Roller)
}

// undercut refuses a lobe that no cam can have.
func (s *FingerSpec) undercut() error {
	var places []camtiming.Stretch
	if s.Roller == 0 {
		f, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: s.Lobe, Base: s.Base})
		if err != nil {
			return fromCamtiming("Lobe", err)
		}
		places = f.Limits().Undercut
	} else {
		r, err := camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: s.Lobe, Base: s.Base, Roller: s.Roller})
		if err != nil {
			return fromCamtiming("Lobe", err)
		}
		places = r.Limits().Undercut
	}
	if len(places) > 0 {
		return fail("Base", s.Base.String(), units.ErrImpossible, "no cam on that base circle gives the lobe: it is undercut")
	}
	return nil
}

// frame lays everything about the pivot, mirrored where the cam turns clockwise.
func (s *FingerSpec) frame() *FingerCurve {
	mirror := 1.0
	if s.Turn == TurnsClockwise {
		mirror = -1
	}
	flip := func(v vec) vec { return vec{v.x, v.y * mirror} }
	c := &FingerCurve{spec: *s, base: s.Base.Meters(), roller: s.Roller.Meters(), rf: s.Finger.CamRadius.Meters(), f: s.Finger.CamArm.Meters()}
	pivot := s.Finger.Pivot.vec()
	d := flip(pivot.less(s.CamCenter.vec()))
	c.zero = vec{x: 1}
	c.m = d.length()
	c.mx, c.my = d.x/c.m, d.y/c.m
	c.side = mirror
	if s.CamSide == RightSide {
		c.side = -mirror
	}
	c.tip = flip(s.Finger.Between.direction()).scale(s.Finger.TipArm.Meters() / c.f)
	c.down = flip(s.Finger.Valve.Direction.direction())
	v := flip(s.Finger.Valve.At.vec().less(pivot))
	c.out = c.down.left()
	if c.out.dot(v) < 0 {
		c.out = c.out.scale(-1)
	}
	c.face, c.axis = c.down.dot(v)-s.Finger.TipRadius.Meters(), c.out.dot(v)
	c.tip2 = squared(s.Finger.TipArm.Meters())
	c.sense = 1
	if c.down.dot(c.out.left()) < 0 { // a tip on the valve's side goes down the other way
		c.sense = -1
	}
	return c
}

// place returns how the finger stands at a lobe angle p in cam radians.
func (c *FingerCurve) place(p float64) (fingerPlace, bool) {
	const k = 180 / math.Pi
	q := camRadians(p)
	m := c.spec.Lobe.Motion(q)
	s := fingerPlace{y: m.Lift.Meters(), y1: float64(m.Velocity) * k, y2: float64(m.Acceleration) * k * k, y3: float64(m.Jerk) * k * k * k}
	step := p - q.Radians() // what the quantum of an angle leaves
	s.y += step * s.y1
	s.y1 += step * s.y2
	ca, sa := 1.0, 0.0 // of the pressure angle of the lobe's own roller
	if c.roller == 0 {
		s.h, s.e = c.base+s.y+c.rf, s.y1
	} else {
		r := c.base + c.roller + s.y
		l := 1 / math.Sqrt(r*r+s.y1*s.y1)
		ca, sa = r*l, s.y1*l
		s.h, s.e = r*ca+c.rf-c.roller, r*sa
	}
	// The triangle of cam axis, pivot and pad center, from the direction of the pivot.
	r2 := s.h*s.h + s.e*s.e
	r := math.Sqrt(r2)
	cos := (c.m*c.m + r2 - c.f*c.f) / (2 * c.m * r)
	sin2 := 1 - cos*cos
	if !(sin2 > 0) || !(s.h > 0) {
		return fingerPlace{}, false
	}
	sin := c.side * math.Sqrt(sin2)
	// The normal lies as much further as the eccentricity asks.
	cl, sl := s.h/r, s.e/r
	nx, ny := cos*cl-sin*sl, sin*cl+cos*sl
	// theta = p - alpha + angle of the normal from that at the nose
	x, y := nx*ca+ny*sa, ny*ca-nx*sa
	s.theta = p + math.Atan2(y*c.zero.x-x*c.zero.y, x*c.zero.x+y*c.zero.y)
	ax, ay := r*cos-c.m, r*sin
	s.along, s.across = ax*nx+ay*ny, ax*ny-ay*nx
	s.arm = vec{ax*c.mx - ay*c.my, ax*c.my + ay*c.mx}
	s.b1 = s.e / s.across
	tip := s.arm.times(c.tip)
	s.net = c.down.dot(tip) - c.face
	s.v = c.down.dot(tip.left()) * s.b1
	return s, true
}

// at returns everything for a lobe angle p in cam radians.
func (c *FingerCurve) at(p float64) (fingerState, bool) {
	f, ok := c.place(p)
	if !ok {
		return fingerState{}, false
	}
	s := fingerState{fingerPlace: f}
	y1, y2, y3 := f.y1, f.y2, f.y3
	// Curvature of the path of the pad's center, its derivative over p, and the
	// derivative of p over the normal's angle over the curvature.
	var kappa, kappa1, turn float64
	if c.roller == 0 {
		turn = f.h + y2
		kappa = 1 / turn
		kappa1 = -(y1 + y3) * kappa * kappa
	} else {
		r := c.base + c.roller + f.y
		s := r*r + y1*y1
		q := math.Sqrt(s)
		g := s + y1*y1 - r*y2
		t := s * q
		d := t + (c.rf-c.roller)*g
		s1, g1 := 2*y1*(r+y2), 2*r*y1+3*y1*y2-r*y3
		t1 := 1.5 * q * s1
		kappa, kappa1 = g/d, (g1*t-g*t1)/(d*d)
		turn = d / s
	}
	if !(turn > 0) {
		return fingerState{}, false
	}
	num := f.h - f.b1*f.along
	n1 := num * kappa
	p1 := num / turn
	s.slope = 1 / p1
	s.kappa, s.kappa1 = kappa, kappa1*p1
	h1, e1 := f.e*n1, num-f.h*n1
	v1 := 1 - n1 - f.b1 // turn of the normal against the arm
	w1 := f.along * v1
	s.across1 = w1
	s.b2 = (e1 - f.b1*w1) / f.across
	along1 := -f.across * v1
	num1 := h1 - s.b2*f.along - f.b1*along1
	n2 := num1*kappa + num*kappa1*p1
	e2 := num1 - h1*n1 - f.h*n2
	w2 := along1*v1 - f.along*(n2+s.b2)
	s.b3 = (e2 - 2*s.b2*w1 - f.b1*w2) / f.across
	s.sliding = f.h - c.rf - f.b1*(f.along-c.rf)
	s.sliding1 = h1 - s.b2*(f.along-c.rf) - f.b1*along1
	tip := f.arm.times(c.tip)
	d1, d0 := c.down.dot(tip.left()), c.down.dot(tip)
	s.a = d1*s.b2 - d0*f.b1*f.b1
	s.j = d1*s.b3 - 3*d0*f.b1*s.b2 - d1*f.b1*f.b1*f.b1
	return s, true
}

// joins returns where the curve is put together, as the lobe is.
func (c *FingerCurve) joins() ([]units.CamAngle, error) {
	joins, err := camtiming.Joins(c.spec.Lobe)
	if err != nil {
		return nil, ofCurve(err)
	}
	for i, j := range joins {
		s, _ := c.place(j.Radians())
		joins[i] = camRadians(s.theta)
	}
	return joins, nil
}

// made tells whether NewFingerCurve made it.
func (c *FingerCurve) made() bool { return c != nil && c.table.knots != nil }

// Lift returns the lift of the valve at a cam angle from the nose.
//
// Rows: finger-lift-flat, finger-lift-roller, finger-lift-other-roller.
func (c *FingerCurve) Lift(fromNose units.CamAngle) units.Length {
	if !c.made() || fromNose < c.from || fromNose > c.to {
		return 0
	}
	return count(max(0, c.table.lift(fromNose.Radians())))
}

// Velocity returns the slope at a cam angle from the nose.
//
// Rows: finger-velocity.
func (c *FingerCurve) Velocity(fromNose units.CamAngle) units.LiftVelocity {
	if !c.made() || fromNose < c.from || fromNose > c.to {
		return 0
	}
	return units.LiftVelocity(c.table.velocity(fromNose.Radians()) * math.Pi / 180)
}

// Motion returns lift, velocity, acceleration and jerk of the valve at a cam angle
// from the nose; 0 while the valve is on its seat.
//
// Rows: finger-velocity, finger-acceleration, finger-jerk.
func (c *FingerCurve) Motion(fromNose units.CamAngle) camtiming.LobeMotion {
	if !c.made() || fromNose < c.from || fromNose > c.to {
		return camtiming.LobeMotion{}
	}
	const k = math.Pi / 180
	var m fingerMotion
	c.table.motion(fromNose.Radians(), &m)
	return camtiming.LobeMotion{
		Lift: count(max(0, m.net)), Velocity: units.LiftVelocity(m.v * k),
		Acceleration: units.LiftAcceleration(m.a * k * k), Jerk: units.LiftJerk(m.j * k * k * k),
	}
}

// MaxLift returns the net lift of the valve at the nose.
//
// Rows: finger-max-lift.
func (c *FingerCurve) MaxLift() units.Length {
	if c == nil {
		return 0
	}
	return c.most
}

// Span returns where the valve leaves its seat and meets it again.
//
// Rows: finger-opens, finger-closes.
func (c *FingerCurve) Span() camtiming.Span {
	if c == nil {
		return camtiming.Span{}
	}
	return camtiming.Span{Opens: c.from, Closes: c.to}
}

// FingerState is how a finger stands at one cam angle.
type FingerState struct {
	// Lift is that of the valve, Gap what is left of the lash.
	Lift, Gap units.Length
	// Contact is where the tip touches the stem, from its axis, positive away
	// from the pivot.
	Contact units.Length
	// Turn is how far the finger has turned since the base circle, positive as the
	// valve opens.
	Turn PlaneAngle
	// Lever is the arm of the tip's force over that of the cam's normal force
	// about the pivot (a ratio): without friction the cam feels Lever times the
	// force at the valve.
	Lever float64

	at       units.CamAngle
	tip, cam units.Length // the two arms
}

// Working returns the derivation.
func (s FingerState) Working() units.Working {
	if s.Lever == 0 {
		return nil
	}
	return units.Working{
		{Symbol: "Lift", Formula: "d.(C - V) + TipRadius, never under 0", Numbers: "at " + s.at.Text(3) + " from the nose, gap left " + num(s.Gap), Value: text(s.Lift), Source: planar},
		{Symbol: "Turn", Formula: "turn of the finger since the base circle", Value: degreesText(s.Turn), Source: planar},
		{Symbol: "Contact", Formula: "n.(C - V)", Value: text(s.Contact), Source: planar},
		{Symbol: "Lever", Formula: "d.c*/w", Numbers: num(s.tip) + "/" + num(s.cam), Value: plain(s.Lever), Source: planar},
	}
}

// At answers how the finger stands at a cam angle from the nose: with w the arm
// of the common normal at the cam and d.c* that of the stem,
//
//	lever = d.c*/w
//
// It does not allocate. An angle outside half a turn is ErrRange, the zero
// FingerCurve ErrMissing.
//
// Source: plane geometry of the lever, as NewFingerCurve.
//
// Rows: finger-gap, finger-contact, finger-turn, finger-lever.
func (c *FingerCurve) At(fromNose units.CamAngle) (FingerState, error) {
	if !c.made() {
		return FingerState{}, fail("FingerCurve", "", units.ErrMissing, "want a curve of NewFingerCurve")
	}
	if fromNose < -units.CamTurn/2 || fromNose > units.CamTurn/2 {
		return FingerState{}, fail("fromNose", fromNose.String(), units.ErrRange, "want an angle within half a turn")
	}
	var m fingerMotion
	c.table.motion(min(max(fromNose.Radians(), c.lo), c.hi), &m)
	down, base := m.net+c.face, c.face-c.gap
	out := math.Sqrt(c.tip2 - down*down) // the tip is on the valve's side of the pivot
	turn := math.Atan2(down, out) - math.Atan2(base, math.Sqrt(c.tip2-base*base))
	return FingerState{
		Lift: count(max(0, m.net)), Gap: count(max(0, -m.net)), Contact: count(out - c.axis), Turn: PlaneAngle(turn),
		Lever: math.Abs(out / m.arm), at: fromNose, tip: count(out), cam: count(math.Abs(m.arm)),
	}, nil
}

var _ camtiming.MotionCurve = (*FingerCurve)(nil)
