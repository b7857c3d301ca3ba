package camtiming

import (
	"math"

	"example.com/trialfit/units"
)

// LiftCurve is the lift of one follower as a function of the cam angle from
// the nose: negative before it (the opening side), positive after. Lobes of
// this package implement it; so may any other model, a rocker linkage for
// instance. Implementations must be safe for concurrent use, rise to the nose
// and fall from it, and return finite slopes; NewCam and OpeningAt refuse what
// they can see of the contrary.
type LiftCurve interface {
	// Lift returns the lift at a cam angle from the nose; 0 on the base circle.
	Lift(fromNose units.CamAngle) units.Length
	// Velocity returns the slope there.
	Velocity(fromNose units.CamAngle) units.LiftVelocity
	// MaxLift returns the lift at the nose.
	MaxLift() units.Length
	// Span returns where the lift leaves and meets the base circle.
	Span() Span
}

// Span is the stretch of cam angle, from the nose, over which a curve lifts.
type Span struct {
	Opens  units.CamAngle // negative: where the opening flank leaves the base circle
	Closes units.CamAngle // positive: where the closing flank meets it
}

// curve is what the numeric code of this package works with: lift in meters
// and slope in meters per cam degree at an angle in cam degrees, unrounded.
type curve interface {
	eval(deg float64) (lift, slope float64)
}

// curveOf returns the unrounded form of a lobe of this package, or one that
// reads a foreign implementation through its methods, also where it embeds one
// of our lobes and changes what it returns.
func curveOf(c LiftCurve) curve {
	if k, ok := c.(curve); ok && (own(c) || derived(c)) {
		return k
	}
	return foreign{c}
}

type foreign struct{ LiftCurve }

func (f foreign) eval(deg float64) (lift, slope float64) {
	a := camAngle(deg)
	return f.Lift(a).Meters(), float64(f.Velocity(a))
}

func camAngle(deg float64) units.CamAngle {
	return units.CamAngle(count(deg * float64(units.CamDegree)))
}

func crankAngle(deg float64) units.CrankAngle {
	return units.CrankAngle(count(deg * float64(units.CrankDegree)))
}

func length(m float64) units.Length {
	return units.Length(count(m * float64(units.Meter)))
}

// count rounds to a whole count and stops at the range, past which the
// conversion of a float64 would depend on the machine.
func count(x float64) int64 {
	const most = 1 << 62
	switch {
	case -most < x && x < most:
		return int64(math.RoundToEven(x))
	case x >= most:
		return most
	case x <= -most:
		return -most
	default: // NaN: the slope of a foreign curve that breaks its promise
		return 0
	}
}

// checkCurve refuses a curve that is missing, was not made by its constructor
// or cannot be a lobe.
func checkCurve(field string, c LiftCurve) error {
	missing := c == nil
	switch c := c.(type) {
	case *LawLobe:
		missing = c == nil
	case *TableLobe:
		missing = c == nil
	case *CardLobe:
		missing = c == nil
	case *ArcLobe:
		missing = c == nil
	case *SmoothLobe:
		missing = c == nil || len(c.x) == 0
	}
	if missing {
		return fail(field, "", units.ErrMissing, "want a lift curve")
	}
	if err := checkLift("MaxLift", c.MaxLift()); err != nil {
		return inField(field, err)
	}
	s := c.Span()
	if s.Opens >= 0 || s.Opens < -units.CamTurn || s.Closes <= 0 || s.Closes > units.CamTurn {
		return fail(field+".Span", s.Opens.String()+" to "+s.Closes.String(), units.ErrRange, "want an opening before the nose and a closing after it, each within one cam turn")
	}
	for _, a := range [...]units.CamAngle{s.Opens, s.Opens / 2, 0, s.Closes / 2, s.Closes} {
		if v := float64(c.Velocity(a)); math.IsNaN(v) || math.IsInf(v, 0) {
			return fail(field+".Velocity", "", units.ErrRange, "want a finite slope at "+a.String())
		}
	}
	return nil
}

// checkLift refuses a lobe lift that no engine has: zero, negative, over 1 m.
func checkLift(field string, l units.Length) error {
	if l <= 0 || l > units.Meter {
		return fail(field, l.String(), units.ErrRange, "want a lift over 0 and at most 1 m")
	}
	return nil
}

// checkFlank refuses a flank that is not over 0 and under half a cam turn.
func checkFlank(field string, a units.CamAngle) error {
	if a <= 0 || a >= units.CamTurn/2 {
		return fail(field, a.String(), units.ErrRange, "want a flank over 0 and under 180 cam degrees")
	}
	return nil
}

// LawLobeSpec describes a lobe whose flanks follow a closed-form law. Every
// field is required.
type LawLobeSpec struct {
	Law     Law
	MaxLift units.Length
	Opening units.CamAngle // from the base circle to the nose
	Closing units.CamAngle // from the nose to the base circle
}

// LawLobe is a lobe in closed form.
type LawLobe struct {
	spec             LawLobeSpec
	h                float64 // meters
	opening, closing float64 // cam degrees
}

// NewLawLobe returns a lobe with lift = MaxLift * s(u), u = 1 - |angle|/flank,
// the flank being Opening before the nose and Closing after it. An unknown
// law, a lift outside (0, 1 m] and a flank outside (0, 180) cam degrees are
// errors.
//
// Rows: a-ang-0p050, a-dur-0p050, b-open-0p050, b-cl-0p050.
func NewLawLobe(spec LawLobeSpec) (*LawLobe, error) {
	if !spec.Law.known() {
		return nil, fail("Law", "", units.ErrRange, "want one of the Law constants")
	}
	if err := checkLift("MaxLift", spec.MaxLift); err != nil {
		return nil, err
	}
	if err := checkFlank("Opening", spec.Opening); err != nil {
		return nil, err
	}
	if err := checkFlank("Closing", spec.Closing); err != nil {
		return nil, err
	}
	return &LawLobe{spec, spec.MaxLift.Meters(), spec.Opening.Degrees(), spec.Closing.Degrees()}, nil
}

// Spec returns what the lobe was made from.
func (l *LawLobe) Spec() LawLobeSpec { return l.spec }

func (l *LawLobe) eval(deg float64) (lift, slope float64) {
	if l.h == 0 { // the zero LawLobe never lifts
		return 0, 0
	}
	if deg < 0 {
		u := 1 + deg/l.opening
		if u <= 0 {
			return 0, 0
		}
		s, v := l.spec.Law.sv(u)
		return l.h * s, l.h * v / l.opening
	}
	u := 1 - deg/l.closing
	if u <= 0 {
		return 0, 0
	}
	s, v := l.spec.Law.sv(u)
	return l.h * s, -l.h * v / l.closing
}

// Lift returns the lift at a cam angle from the nose.
//
// Rows: split-i, split-e.
func (l *LawLobe) Lift(fromNose units.CamAngle) units.Length {
	return length(l.lift(fromNose.Degrees()))
}

// lift is eval without the slope.
func (l *LawLobe) lift(deg float64) float64 {
	if l.h == 0 {
		return 0
	}
	u := 1 - deg/l.closing
	if deg < 0 {
		u = 1 + deg/l.opening
	}
	if u <= 0 {
		return 0
	}
	return l.h * l.spec.Law.s(u)
}

// Velocity returns the slope at a cam angle from the nose.
//
// Rows: a-vmax, b-vmax-open, b-vmax-close.
func (l *LawLobe) Velocity(fromNose units.CamAngle) units.LiftVelocity {
	_, v := l.eval(fromNose.Degrees())
	return units.LiftVelocity(0 + v) // no minus zero at the nose
}

// MaxLift returns the lift at the nose.
func (l *LawLobe) MaxLift() units.Length { return l.spec.MaxLift }

// Span returns the two flanks.
func (l *LawLobe) Span() Span { return Span{-l.spec.Opening, l.spec.Closing} }

// Opening holds the two angles at which a curve passes a checking lift.
type Opening struct {
	Lift     units.Length
	Opens    units.CamAngle // from the nose, negative
	Closes   units.CamAngle // from the nose, positive
	Duration units.CrankAngle
	// Midpoint is where the middle of the two lies from the nose: 0 for a
	// symmetric lobe, moving with the lift for any other.
	Midpoint units.CamAngle
}

// OpeningAt answers between which angles a curve stands above a checking
// lift: Duration = (Closes - Opens) in crank degrees, Midpoint = (Opens +
// Closes)/2. The lift must be over 0 and under the lift at the nose
// (ErrRange). On a measured table with noise the crossings nearest to the
// nose are taken.
//
// Rows: a-ang-0p004, a-ang-0p050, a-ang-0p300, a-dur-0p006, a-dur-0p200,
// b-open-0p006, b-close-0p200, b-dur-0p050, b-cl-0p020, a-s5-natural-ang-0p006,
// a-dial-nat-0p050, fit-recover-a-ang.
func OpeningAt(c LiftCurve, lift units.Length) (Opening, error) {
	if err := checkCurve("LiftCurve", c); err != nil {
		return Opening{}, err
	}
	if lift <= 0 || lift >= c.MaxLift() {
		return Opening{}, fail("lift", lift.String(), units.ErrRange, "want a checking lift over 0 and under the lobe lift "+c.MaxLift().String())
	}
	y, k, span := lift.Meters(), curveOf(c), c.Span()
	o, okO := crossing(k, y, 0, span.Opens.Degrees())
	cl, okC := crossing(k, y, 0, span.Closes.Degrees())
	if !okO || !okC {
		return Opening{}, fail("lift", lift.String(), units.ErrRange, "the curve ends above that lift: it does not reach the base circle there")
	}
	return Opening{
		Lift: lift, Opens: camAngle(o), Closes: camAngle(cl),
		Duration: crankAngle(2 * (cl - o)), Midpoint: camAngle((cl + o) / 2),
	}, nil
}

// knotted is a curve made of pieces; walking its knots from the nose outward
// finds the crossing nearest to the nose.
type knotted interface {
	// bracket returns the piece on which the curve first falls to y, going
	// from the nose toward end.
	bracket(y, end float64) (inner, outer float64)
}

// crossing finds where the curve passes y between the nose and the end of a flank.
func crossing(k curve, y, nose, end float64) (float64, bool) {
	if b, ok := k.(knotted); ok {
		nose, end = b.bracket(y, end)
	}
	return root(nose, end, func(x float64) (float64, float64) {
		l, v := k.eval(x)
		return l - y, v
	})
}
