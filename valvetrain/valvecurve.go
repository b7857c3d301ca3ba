package valvetrain

import (
	"errors"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// LiftGear is what stands between a lobe's lifter and its valve: a Linkage, whose
// ratio changes through the lift, or a ConstantRatio.
type LiftGear interface{ gear() (gear, error) }

// ConstantRatio is a gear of one ratio with its lash, as a card states it. A ratio
// of 1 is a bucket.
type ConstantRatio camtiming.ValveGear

// gear moves a valve by a linkage or, where steady is set, by a ratio.
type gear struct {
	steady bool
	ratio  float64
	gap    float64
	k      linkage
}

func (c ConstantRatio) gear() (gear, error) {
	if !(c.Ratio >= 0.2 && c.Ratio <= 5) {
		return gear{}, fail("Gear.Ratio", plain(c.Ratio), units.ErrRange, "want a ratio of 0.2 to 5")
	}
	if c.Lash < 0 || c.Lash > 100*units.Millimeter {
		return gear{}, fail("Gear.Lash", c.Lash.String(), units.ErrRange, "want a lash of 0 to 100 mm")
	}
	return gear{steady: true, ratio: c.Ratio, gap: c.Lash.Meters()}, nil
}

func (l Linkage) gear() (gear, error) {
	k, err := l.solve()
	return gear{gap: k.gap, k: k}, err
}

// net returns the lift of the valve at a lift of the lifter, negative by the gap.
// It does not check for a lock.
func (g *gear) net(lifter float64) float64 {
	if g.steady {
		return g.ratio*lifter - g.gap
	}
	e, _ := g.k.place(lifter)
	return g.k.net(e) + g.k.gap - g.gap
}

func (g *gear) ratioAt(lifter float64) float64 {
	if g.steady {
		return g.ratio
	}
	e, _ := g.k.place(lifter)
	u := g.k.travel
	r := e.less(g.k.start).less(u.scale(lifter))
	return r.dot(u) / r.dot(e.left()) * g.k.down.dot(e.times(g.k.tip).left())
}

// motion returns net and its derivatives.
func (g *gear) motion(lifter float64) (net float64, r rates) {
	if g.steady {
		return g.ratio*lifter - g.gap, rates{first: g.ratio}
	}
	e, _ := g.k.place(lifter)
	return g.k.net(e) + g.k.gap - g.gap, g.k.rates(e, lifter)
}

// takeUp returns the lift of the lifter at which the lash is gone.
func (g *gear) takeUp() (float64, bool) {
	if g.steady {
		return g.gap / g.ratio, true
	}
	return g.k.lifterFor(g.gap - g.k.gap)
}

// ValveCurveSpec is a lobe and what it moves.
type ValveCurveSpec struct {
	// Lobe is the lift of the lifter over the cam angle.
	Lobe camtiming.LiftCurve
	Gear LiftGear
	// Lash is the clearance at the valve, cold or hot; where it is not given, the
	// gap that the gear itself leaves. HotLash of camtiming works out the hot one.
	Lash units.Optional[units.Length]
}

// ValveCurve is the lift at the valve over the cam angle from the lobe's nose: a
// camtiming.LiftCurve. It is safe for concurrent use; Lift and Velocity do not
// allocate. The zero ValveCurve never lifts.
type ValveCurve struct {
	spec     ValveCurveSpec
	g        gear
	from, to units.CamAngle
	lifter   units.Length // take-up
	most     units.Length
	gross    units.Length
}

// NewValveCurve answers what lift the valve has over the cam angle:
//
//	lift(t) = g(y(t)) - Lash, never under 0
//
// with y = Lobe and g what the gear makes of the lifter's lift, by At for a
// Linkage (Gross) and Ratio y for a ConstantRatio. The valve is off its seat between
// the angles at which the lobe passes the lift that takes up the lash. Parts are
// stiff; a hydraulic lifter that gives is not in it.
//
// Errors: no lobe or gear (ErrMissing); a gear that its own methods refuse; a
// linkage that locks before the lobe's lift, or turns back (ErrImpossible); one that
// holds the valve open on the base circle (ErrConflict) unless Lash is given; a
// lash that is negative or over 100 mm, or that the lobe does not take up
// (ErrRange).
//
// Source: definition; linkage as Linkage.At.
//
// Rows: valve-lift, valve-lift-net, valve-span-opens, valve-span-closes.
func NewValveCurve(spec ValveCurveSpec) (*ValveCurve, error) {
	if err := checkLobe("Lobe", spec.Lobe); err != nil {
		return nil, err
	}
	if spec.Gear == nil {
		return nil, fail("Gear", "", units.ErrMissing, "want a Linkage or a ConstantRatio")
	}
	g, err := spec.Gear.gear()
	if err != nil {
		return nil, err
	}
	if spec.Lash.Given {
		if spec.Lash.Value < 0 || spec.Lash.Value > 100*units.Millimeter {
			return nil, fail("Lash", spec.Lash.Value.String(), units.ErrRange, "want a lash of 0 to 100 mm")
		}
		g.gap = spec.Lash.Value.Meters()
	}
	if g.gap < -1e-12 {
		return nil, fail("Gear", "", units.ErrConflict, "the linkage holds the valve open by "+text(count(-g.gap))+" on the base circle: adjust it or state the lash")
	}
	g.gap = max(0, g.gap)
	c := &ValveCurve{spec: spec, g: g}
	top := spec.Lobe.MaxLift()
	if !g.steady {
		if top.Meters() >= g.k.lock() {
			return nil, g.k.locked("Lobe.MaxLift", top)
		}
		for i := range 65 {
			h := top.Meters() * float64(i) / 64
			if !(g.ratioAt(h) > 0) {
				return nil, fail("Lobe.MaxLift", top.String(), units.ErrImpossible, "the linkage turns back before a lift of "+text(count(h))+" at the lifter")
			}
		}
	}
	c.most, c.gross = count(g.net(top.Meters())), count(g.net(top.Meters())+g.gap)
	t, ok := g.takeUp()
	if !ok || c.most <= 0 {
		return nil, fail("Lash", text(count(g.gap)), units.ErrRange, "the lobe does not take up the lash")
	}
	c.lifter = count(max(0, t))
	s := spec.Lobe.Span()
	c.from, c.to = s.Opens, s.Closes
	if c.lifter > 0 {
		o, err := camtiming.OpeningAt(spec.Lobe, c.lifter)
		if err != nil {
			return nil, fromCamtiming("Lash", err)
		}
		c.from, c.to = o.Opens, o.Closes
	}
	return c, nil
}

// Lift returns the lift of the valve at a cam angle from the nose.
//
// Rows: valve-lift.
func (c *ValveCurve) Lift(fromNose units.CamAngle) units.Length {
	if c == nil || c.spec.Lobe == nil || fromNose < c.from || fromNose > c.to {
		return 0
	}
	return count(max(0, c.g.net(c.spec.Lobe.Lift(fromNose).Meters())))
}

// Velocity returns the slope at a cam angle from the nose, dlift/dy dy/dt; 0 while
// the valve is on its seat.
//
// Rows: valve-velocity.
func (c *ValveCurve) Velocity(fromNose units.CamAngle) units.LiftVelocity {
	if c == nil || c.spec.Lobe == nil || fromNose < c.from || fromNose > c.to {
		return 0
	}
	y := c.spec.Lobe.Lift(fromNose).Meters()
	return units.LiftVelocity(c.g.ratioAt(y) * float64(c.spec.Lobe.Velocity(fromNose)))
}

// MaxLift returns the net lift of the valve at the nose.
//
// Rows: valve-lift-net, lift-net.
func (c *ValveCurve) MaxLift() units.Length {
	if c == nil {
		return 0
	}
	return c.most
}

// Span returns where the valve leaves its seat and meets it again.
//
// Rows: valve-span-opens, valve-span-closes.
func (c *ValveCurve) Span() camtiming.Span {
	if c == nil {
		return camtiming.Span{}
	}
	return camtiming.Span{Opens: c.from, Closes: c.to}
}

// ValveLifts are the lifts of a valve at the nose.
type ValveLifts struct {
	// Gross is the lift with no lash, Net that with it.
	Gross, Net, Lash units.Length
	// TakeUp is the lift of the lifter that the lash uses up.
	TakeUp units.Length
	// AtSeat and AtNose are the instantaneous ratios where the lash is taken up
	// and at the nose, Mean is gross lift over lobe lift (all ratios).
	AtSeat, AtNose, Mean float64

	lobe units.Length
}

// Lifts answers how much lift the lash costs:
//
//	net = gross - lash     mean ratio = gross/lobe lift
//
// The lash is at the valve; at the lobe it uses up TakeUp, lash/ratio for a
// constant ratio. The zero value comes from a zero ValveCurve.
//
// Source: definition.
//
// Rows: lift-gross, valve-lift-net, lash-take-up, lift-ratio-mean, lift-net,
// lash-at-lobe.
func (c *ValveCurve) Lifts() ValveLifts {
	if c == nil || c.spec.Lobe == nil {
		return ValveLifts{}
	}
	top := c.spec.Lobe.MaxLift()
	return ValveLifts{
		Gross: c.gross, Net: c.most, Lash: count(c.g.gap), TakeUp: c.lifter,
		AtSeat: c.g.ratioAt(c.lifter.Meters()), AtNose: c.g.ratioAt(top.Meters()), Mean: c.gross.Meters() / top.Meters(), lobe: top,
	}
}

// Working returns the derivation.
func (l ValveLifts) Working() units.Working {
	if l.lobe == 0 {
		return nil
	}
	return units.Working{
		{Symbol: "gross", Formula: "the gear at the lobe's lift", Numbers: num(l.lobe) + ", mean ratio " + plain(l.Mean), Value: text(l.Gross), Source: definition},
		{Symbol: "net", Formula: "gross - lash", Numbers: num(l.Gross) + " - " + num(l.Lash), Value: text(l.Net), Source: definition},
	}
}

// ValveMotion is a ValveCurve with its higher derivatives: a
// camtiming.MotionCurve.
type ValveMotion struct {
	ValveCurve
	lobe camtiming.MotionCurve
}

// NewValveMotion is NewValveCurve for a lobe that knows its acceleration; one without
// is refused as by camtiming.MotionOf. Errors else as for NewValveCurve.
//
// Rows: valve-acceleration, valve-jerk.
func NewValveMotion(spec ValveCurveSpec) (*ValveMotion, error) {
	c, err := NewValveCurve(spec)
	if err != nil {
		return nil, err
	}
	m, err := camtiming.MotionOf(spec.Lobe)
	if err != nil {
		return nil, fromCamtiming("Lobe", err)
	}
	return &ValveMotion{*c, m}, nil
}

// Motion returns lift, velocity, acceleration and jerk of the valve at a cam angle
// from the nose, by the chain rule over lobe y and gear g:
//
//	v = g' y'     a = g'' y'^2 + g' y''     j = g''' y'^3 + 3 g'' y' y'' + g' y'''
//
// with the derivatives of a linkage in closed form; all are 0 while the valve is on
// its seat, and jump where it leaves it. It does not allocate.
//
// Source: chain rule; the linkage as Linkage.At.
//
// Rows: valve-acceleration, valve-jerk.
func (c *ValveMotion) Motion(fromNose units.CamAngle) camtiming.LobeMotion {
	if c == nil || c.lobe == nil || fromNose < c.from || fromNose > c.to {
		return camtiming.LobeMotion{}
	}
	m := c.lobe.Motion(fromNose)
	h := m.Lift.Meters()
	net, g := c.g.motion(h)
	v, a, j := float64(m.Velocity), float64(m.Acceleration), float64(m.Jerk)
	return camtiming.LobeMotion{
		Lift: count(max(0, net)), Velocity: units.LiftVelocity(g.first * v),
		Acceleration: units.LiftAcceleration(g.second*v*v + g.first*a),
		Jerk:         units.LiftJerk(g.third*v*v*v + 3*g.second*v*a + g.first*j),
	}
}

var (
	_ camtiming.LiftCurve   = (*ValveCurve)(nil)
	_ camtiming.MotionCurve = (*ValveMotion)(nil)
)

// checkLobe refuses what camtiming refuses as a lift curve.
func checkLobe(field string, c camtiming.LiftCurve) error {
	_, err := camtiming.OpeningAt(c, 0) // a checking lift of 0 is refused after the curve
	if e := (*units.InputError)(nil); errors.As(err, &e) && e.Field == "lift" {
		return nil
	}
	return fromCamtiming(field, err)
}

// fromCamtiming puts a field of this package into an error of camtiming about a
// lift curve.
func fromCamtiming(field string, err error) error {
	var e *units.InputError
	if !errors.As(err, &e) {
		return err
	}
	if _, rest, ok := strings.Cut(e.Field, "."); ok {
		field += "." + rest
	}
	return fail(field, e.Value, e.Kind, e.Reason)
}
