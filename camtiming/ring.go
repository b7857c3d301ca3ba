package camtiming

import (
	"math"
	"strconv"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// RingAngle is an angle about the axis of a cam ring: through which it turns,
// or between two of its lobes or two of its followers. It counts 1e-9 degree of
// the ring. It is neither a crank nor a cam angle, since a ring turns neither at
// the speed of the one nor of the other; CamRing converts.
type RingAngle int64

const ringDegree = 1e9

// RingDegrees returns an angle of x ring degrees, rounded to 1e-9 degree. NaN,
// infinities and values past the range are ErrRange.
//
// Rows: ring-angle-cam, ring-angle-crank.
func RingDegrees(x float64) (RingAngle, error) {
	r := math.RoundToEven(x * ringDegree)
	if !(math.Abs(r) < 1<<63) {
		return 0, fail("RingDegrees", strconv.FormatFloat(x, 'g', -1, 64), units.ErrRange, "want an angle within 9e9 ring degrees")
	}
	return RingAngle(r), nil
}

// Degrees returns the angle in ring degrees, to nearest.
//
// Rows: ring-turns-5-against, ring-turns-9-with.
func (a RingAngle) Degrees() float64 { return float64(a) / ringDegree }

// String returns the angle with the fewest digits that keep it, "12.5 ring deg".
func (a RingAngle) String() string {
	return strconv.FormatFloat(a.Degrees(), 'f', -1, 64) + " ring deg"
}

// senseOf returns 1 for a cam that turns with the crank, -1 for one against it.
func senseOf(d firingorder.CamDirection) (int64, bool) {
	switch d {
	case firingorder.WithCrank:
		return 1, true
	case firingorder.AgainstCrank:
		return -1, true
	default:
		return 0, false
	}
}

// CamRing is a cam that carries several equal lobes in one track, as that of a
// radial engine does. Each of its followers must meet one lobe in two turns of the
// crank, so that it turns at 1/(2 Lobes) of the crank's speed. An ordinary camshaft
// is the ring of one lobe. Both fields are required; firingorder.RadialCamRing gives
// the lobes for a row of cylinders.
type CamRing struct {
	Lobes    int // equal lobes in one track, evenly spaced; 1 to 64
	Rotation firingorder.CamDirection
}

const mostLobes = 64

func (r CamRing) check() error {
	if r.Lobes < 1 || r.Lobes > mostLobes {
		return fail("Lobes", strconv.Itoa(r.Lobes), units.ErrRange, "want 1 to 64 lobes in a track")
	}
	if _, ok := senseOf(r.Rotation); !ok {
		return fail("Rotation", "", units.ErrMissing, "want firingorder.WithCrank or AgainstCrank")
	}
	return nil
}

// Crank answers through which angle the crank turns while the ring turns through
// one: 2 Lobes times as many degrees, without loss. Both are counted in their own
// sense of rotation. Errors: a ring that is none (ErrRange, ErrMissing), an angle
// past the range of units.CrankAngle (ErrRange).
//
// Source: definition.
//
// Rows: ring-angle-crank.
func (r CamRing) Crank(a RingAngle) (units.CrankAngle, error) {
	if err := r.check(); err != nil {
		return 0, err
	}
	k := int64(2 * r.Lobes)
	if int64(a) > math.MaxInt64/k || int64(a) < -math.MaxInt64/k {
		return 0, fail("a", a.String(), units.ErrRange, "want an angle that the crank can count")
	}
	return units.CrankAngle(int64(a) * k), nil
}

// Cam answers which angle of a cam at half the crank's speed an angle of the
// ring amounts to: Lobes times as many degrees, without loss. A lobe whose flanks
// are given in degrees of the ring is an ordinary lobe once they are converted.
// Errors as for Crank.
//
// Source: definition.
//
// Rows: ring-angle-cam.
func (r CamRing) Cam(a RingAngle) (units.CamAngle, error) {
	c, err := r.Crank(a)
	return c.Cam(), err
}

// Ring answers through which angle the ring turns while the crank turns through
// one: a/(2 Lobes), rounded to 1e-9 ring degree. Errors: a ring that is none.
//
// Source: definition; printed example of a nine-cylinder radial.
//
// Rows: ring-turns-3-against, ring-turns-3-with, ring-turns-5-against,
// ring-turns-5-with, ring-turns-7-against, ring-turns-7-with, ring-turns-9-against,
// ring-turns-9-with.
func (r CamRing) Ring(a units.CrankAngle) (RingAngle, error) {
	if err := r.check(); err != nil {
		return 0, err
	}
	k := int64(2 * r.Lobes)
	q, rest := int64(a)/k, int64(a)%k
	if rest < 0 {
		q, rest = q-1, rest+k
	}
	if 2*rest > k || 2*rest == k && q%2 != 0 { // half to even
		q++
	}
	return RingAngle(q), nil
}

// RingFollower is one follower of a cam: that of one cylinder's valve.
type RingFollower struct {
	// Inclination is the direction of the follower's bore about the cam's axis,
	// positive in the direction of crank rotation, counted from a follower that
	// is timed right: another bank, another cylinder of a radial, or the
	// cylinder's own bore from which the lifter bore leans away.
	Inclination RingAngle
	// Fires is how much later this follower's cylinder fires than that of the
	// follower counted from.
	Fires units.CrankAngle
	// Lobe is by how much its lobe stands ahead on the cam, positive in the
	// direction of cam rotation, of the lobe of the follower counted from; 0
	// where both ride on the same lobe or the same place of a ring.
	Lobe RingAngle
}

// FollowerPhase is how the valves of a follower are timed.
type FollowerPhase struct {
	// Delay is how much later than the follower counted from this one meets a
	// lobe, in [0, 720).
	Delay units.CrankAngle
	// Late is how much later than its cylinder needs it, in [-360, 360): 0 where
	// the cam suits, and the retard of every event of this valve where not.
	Late units.CrankAngle
	// Right is the angle, positive in the direction of cam rotation, by which a
	// lobe of its own must stand ahead of the lobe counted from, in [0, 360/Lobes).
	Right RingAngle
}

// Phase answers how a follower on an inclined bore is timed by the cam that times
// another one:
//
//	Delay = 2 Lobes (s Inclination - Lobe)     s = 1 with the crank, -1 against it
//	Late  = Delay - Fires
//	Right = s Inclination - Fires/(2 Lobes)
//
// modulo 720 crank degrees and the pitch of the lobes. A cam that turns with the
// crank reaches a bore that leans in crank rotation later, one that turns
// against it earlier: the same cam in an engine with the other drive is wrong by
// twice the shift. It holds for followers whose bores point at the cam's axis;
// a flat face may stand beside it. Errors: a ring that is none (ErrRange,
// ErrMissing), angles beyond ten turns (ErrRange). Right is rounded to 1e-9 ring
// degree. It does not allocate.
//
// Source: geometry; radial engines: lobes (n - 1)/2 against the crank and (n + 1)/2
// with it.
//
// Rows: follower-v90-with, follower-v90-against, follower-lean,
// follower-lean-against, follower-radial-9, follower-radial-7-with,
// follower-right-v8-2, follower-right-v8-gear-2, follower-right-i6-2.
func (r CamRing) Phase(f RingFollower) (FollowerPhase, error) {
	if err := r.check(); err != nil {
		return FollowerPhase{}, err
	}
	const most = 10 * 360 * ringDegree
	if !within(f.Inclination, most) {
		return FollowerPhase{}, fail("Inclination", f.Inclination.String(), units.ErrRange, "want an angle within ten turns")
	}
	if !within(f.Fires, 10*units.CrankTurn) {
		return FollowerPhase{}, fail("Fires", f.Fires.String(), units.ErrRange, "want an angle within ten turns")
	}
	if !within(f.Lobe, most) {
		return FollowerPhase{}, fail("Lobe", f.Lobe.String(), units.ErrRange, "want an angle within ten turns")
	}
	s, _ := senseOf(r.Rotation)
	k := int64(2 * r.Lobes)
	// The counts of ring and crank are both 1e-9 degree: at most 128 * 7.2e12.
	lean := s * int64(f.Inclination)
	p := FollowerPhase{Delay: cycle(units.CrankAngle(k * (lean - int64(f.Lobe))))}
	p.Late = (p.Delay - f.Fires).Wrap()
	right := cycle(units.CrankAngle(k*lean) - f.Fires)
	a, err := r.Ring(right)
	if err != nil {
		return FollowerPhase{}, err
	}
	if int64(a)*int64(r.Lobes) < 360*ringDegree { // else rounded up to the next lobe, which is the same
		p.Right = a
	}
	return p, nil
}

// cycle brings an angle into [0, 720).
func cycle(a units.CrankAngle) units.CrankAngle {
	if a %= units.CrankCycle; a < 0 {
		a += units.CrankCycle
	}
	return a
}

// RingLobeSpec describes a lobe of a cam ring. Both fields are required.
type RingLobeSpec struct {
	Ring CamRing
	// Lobe is the lobe on the ring as any lobe on its own cam, its cam degrees
	// being those of the ring, in the order in which a follower meets them: of
	// a ring measured against its rotation the table is turned round first.
	Lobe LiftCurve
}

// RingLobe is a lobe of a ring as a follower sees it: the lobe of an ordinary cam
// at half the crank's speed that moves its follower in the same way. It gives no
// acceleration, so that the contact of its follower, which the ring's own shape
// decides, is not mistaken for that of an ordinary cam: take the ring's lobe for
// that. It is safe for concurrent use; its methods do not allocate.
type RingLobe struct {
	spec  RingLobeSpec
	lobe  curve
	lobes float64
}

// NewRingLobe answers which lobe of a cam at half speed moves the follower as a
// lobe of a ring does, for Cam and everything that works in cam degrees:
//
//	lift(a) = lobe(a/Lobes)     slope(a) = slope of lobe(a/Lobes)/Lobes
//
// with a in cam degrees from the nose. Errors: a ring that is none, a curve that is
// none; a lobe wider than 360/Lobes ring degrees, which runs into the next one
// (ErrImpossible); a RingLobe, whose degrees are no longer those of a ring
// (ErrConflict).
//
// Source: definition: the ring turns at 1/(2 Lobes) of the crank's speed.
//
// Rows: ring-lobe-lift, ring-lobe-velocity, ring-lobe-duration, ring-lobe-ivo.
func NewRingLobe(spec RingLobeSpec) (*RingLobe, error) {
	if err := spec.Ring.check(); err != nil {
		return nil, inField("Ring", err)
	}
	if err := checkCurve("Lobe", spec.Lobe); err != nil {
		return nil, err
	}
	if _, twice := spec.Lobe.(*RingLobe); twice {
		return nil, fail("Lobe", "", units.ErrConflict, "want the lobe in degrees of the ring; this one is in those of a cam at half speed")
	}
	n := units.CamAngle(spec.Ring.Lobes)
	if s := spec.Lobe.Span(); (s.Closes-s.Opens)*n > units.CamTurn {
		return nil, fail("Lobe.Span", (s.Closes - s.Opens).String(), units.ErrImpossible, "the lobe runs into the next one of the ring, "+strconv.FormatFloat(360/float64(n), 'g', 6, 64)+" degrees on")
	}
	return &RingLobe{spec, curveOf(spec.Lobe), float64(n)}, nil
}

// Spec returns what the lobe was made from.
func (l *RingLobe) Spec() RingLobeSpec { return l.spec }

func (l *RingLobe) eval(deg float64) (lift, slope float64) {
	if l == nil || l.lobe == nil { // the zero RingLobe never lifts
		return 0, 0
	}
	y, v := l.lobe.eval(deg / l.lobes)
	return y, v / l.lobes
}

// Lift returns the lift at a cam angle from the nose.
//
// Rows: ring-lobe-lift.
func (l *RingLobe) Lift(fromNose units.CamAngle) units.Length {
	y, _ := l.eval(fromNose.Degrees())
	return length(y)
}

// Velocity returns the slope at a cam angle from the nose.
//
// Rows: ring-lobe-velocity.
func (l *RingLobe) Velocity(fromNose units.CamAngle) units.LiftVelocity {
	_, v := l.eval(fromNose.Degrees())
	return units.LiftVelocity(0 + v)
}

// MaxLift returns the lift at the nose.
//
// Rows: ring-lobe-max.
func (l *RingLobe) MaxLift() units.Length {
	if l == nil || l.lobe == nil {
		return 0
	}
	return l.spec.Lobe.MaxLift()
}

// Span returns the flanks, Lobes times as wide as on the ring.
//
// Rows: ring-lobe-span.
func (l *RingLobe) Span() Span {
	if l == nil || l.lobe == nil {
		return Span{}
	}
	s, n := l.spec.Lobe.Span(), units.CamAngle(l.spec.Ring.Lobes)
	return Span{s.Opens * n, s.Closes * n}
}

// derived tells whether a curve is one that this package builds over another.
func derived(c LiftCurve) bool {
	switch c.(type) {
	case *RingLobe:
		return true
	default:
		return false
	}
}
