package valvetrain

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/integrate/quad"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// maxSpin bounds a speed of rotation, maxMass a mass of a part.
const (
	maxSpin = units.AngularSpeed(1e5)
	maxMass = units.Mass(1e4)
)

// Lever is a rocker or finger turning about its pivot.
type Lever struct {
	Mass units.Mass
	// Gyration is the radius of gyration about the pivot: the moment of
	// inertia is Mass * Gyration^2.
	Gyration units.Length
	ValveArm units.Length // from the pivot to the tip on the valve
}

// MovingMasses are the parts that the cam moves, of one valve. Parts that the
// valve gear does not have stay 0; the valve is required.
type MovingMasses struct {
	Valve, Retainer, Keepers units.Mass
	// Cap is what else moves with the valve: lash cap, rotator, shim.
	Cap units.Mass
	// Spring is the mass of all springs of the valve, whole.
	Spring units.Mass
	// Rocker is the lever; zero where there is none.
	Rocker Lever
	// Pushrod and Lifter move as the lifter does.
	Pushrod, Lifter units.Mass
}

// EffectiveMass is the moving mass as felt at the valve.
type EffectiveMass struct {
	Masses MovingMasses
	Ratio  float64 // travel of the valve over that of the lifter

	Valve  units.Mass // valve, retainer, keepers, cap
	Spring units.Mass // a third of the springs
	Rocker units.Mass
	Lifter units.Mass // pushrod and lifter, by the ratio squared
	Total  units.Mass
}

// AtValve answers which single mass at the valve has the inertia of all moving
// parts:
//
//	m = Valve + Retainer + Keepers + Cap + Spring/3 + Mr (k/l)^2 + (Pushrod + Lifter)/ratio^2
//
// with Mr = Rocker.Mass, k = Rocker.Gyration, l = Rocker.ValveArm, ratio = travel
// of the valve over that of the lifter. A third of a spring counts because its coils
// move the less the nearer they are to the seat (kinetic energy of a uniform spring
// stretched evenly). A mass that is negative, not finite or over 10 t, a rocker without
// arm or gyration, a missing valve and a ratio outside 0.2 to 5 are refused.
//
// Source: kinetic energy; Rayleigh, The Theory of Sound, vol. 1, section 156, for
// the third of the spring.
//
// Rows: mass-total, mass-spring, mass-rocker, mass-lifter.
func (m MovingMasses) AtValve(ratio float64) (EffectiveMass, error) {
	for _, p := range [...]struct {
		field string
		m     units.Mass
	}{{"Valve", m.Valve}, {"Retainer", m.Retainer}, {"Keepers", m.Keepers}, {"Cap", m.Cap}, {"Spring", m.Spring}, {"Rocker.Mass", m.Rocker.Mass}, {"Pushrod", m.Pushrod}, {"Lifter", m.Lifter}} {
		if !(p.m >= 0 && p.m <= maxMass) {
			return EffectiveMass{}, fail(p.field, p.m.String(), units.ErrRange, "want a mass of 0 to 10 t")
		}
	}
	if m.Valve < 1e-9 {
		return EffectiveMass{}, fail("Valve", "", units.ErrMissing, "want the mass of the valve")
	}
	if !(ratio >= 0.2 && ratio <= 5) {
		return EffectiveMass{}, fail("ratio", plain(ratio), units.ErrRange, "want a ratio of 0.2 to 5")
	}
	e := EffectiveMass{
		Masses: m, Ratio: ratio, Valve: m.Valve + m.Retainer + m.Keepers + m.Cap, Spring: m.Spring / 3,
		Lifter: (m.Pushrod + m.Lifter) / units.Mass(ratio*ratio),
	}
	if r := m.Rocker; r.Mass > 0 {
		if err := checkSize("Rocker.ValveArm", r.ValveArm); err != nil {
			return EffectiveMass{}, err
		}
		if err := checkSize("Rocker.Gyration", r.Gyration); err != nil {
			return EffectiveMass{}, err
		}
		k := r.Gyration.Meters() / r.ValveArm.Meters()
		if !(k <= 100) {
			return EffectiveMass{}, fail("Rocker.Gyration", text(r.Gyration), units.ErrRange, "want at most 100 times the arm")
		}
		e.Rocker = r.Mass * units.Mass(k*k)
	} else if r != (Lever{}) {
		return EffectiveMass{}, fail("Rocker.Mass", "", units.ErrMissing, "a rocker is given without its mass")
	}
	e.Total = e.Valve + e.Spring + e.Rocker + e.Lifter
	return e, nil
}

// DynamicsSpec describes a valve, its springs and what moves it.
type DynamicsSpec struct {
	// Curve is the lift of the lifter over the cam angle: a
	// camtiming.MotionCurve. A *FingerCurve is lobe and gear in one.
	Curve camtiming.LiftCurve
	// Gear is what stands between lifter and valve; nil with a *FingerCurve.
	Gear LiftGear
	// Lash is the clearance at the valve; where it is not given, the gap that
	// the gear itself leaves.
	Lash   units.Optional[units.Length]
	Spring Spring
	// Installed is the height of the spring with the valve closed.
	Installed units.Length
	// Masses are those of all parts that move. With a Linkage or a *FingerCurve
	// the arm Rocker.ValveArm is that of the gear itself and may be left 0; a
	// finger has no pushrod and no lifter.
	Masses MovingMasses
}

// Dynamics is a valve gear as stiff parts without friction, held to its cam by
// its springs. It is safe for concurrent use as its curve and spring are.
type Dynamics struct {
	lobe      camtiming.MotionCurve // of the lifter; nil with a finger
	finger    *FingerCurve
	gear      gear
	spring    Spring
	installed units.Length
	mass      EffectiveMass
	// Masses by what they follow, in kg and kg m2: the valve, the lifter, the
	// rocker's turn; and all of them over the lifter's travel, for a gear of one
	// ratio.
	valve, lifter, rocker, all float64
	gap                        float64 // lash at the valve, meters
	// seat and rate are force with the valve closed and rate of a spring that is
	// one straight line over the lift; rate is 0 where it is none.
	seat, rate float64
	top        units.Length
	lifted     camtiming.Stretch // where the valve is off its seat
	joins      []units.CamAngle  // within lifted, its ends among them
}

// pose is how a gear stands at one cam angle, by the coordinate q that the cam
// moves: the travel of the lifter in meters, or the turn of a finger in radians.
type pose struct {
	lift        float64 // of the valve, meters, negative in the lash
	ratio, bend float64 // first and second derivative of the lift over q
	q1, q2      float64 // derivatives of q over the cam angle in degrees
	// For a cam turning by w degrees a second, the force along q that the
	// inertia of all parts takes is load w^2; slope is its derivative over the
	// cam angle.
	load, slope float64
	// arm is that of the force on the lobe along q: 1 but for a finger, whose
	// normal force acts at an arm about the pivot; turn is its derivative.
	arm, turn float64
}

// at sets the pose at a cam angle from the nose.
func (d *Dynamics) at(a units.CamAngle, p *pose) {
	if d.finger != nil {
		d.fingerPose(a, p)
		return
	}
	m := d.lobe.Motion(a)
	d.pose(&m, p)
}

// pose sets how the gear stands at a motion of the lifter. With the kinetic
// energy T = M(q) q'^2/2 the load is M q2 + M' q1^2/2.
func (d *Dynamics) pose(m *camtiming.LobeMotion, p *pose) {
	y := m.Lift.Meters()
	p.q1, p.q2, p.arm, p.turn = float64(m.Velocity), float64(m.Acceleration), 1, 0
	q3 := float64(m.Jerk)
	if d.gear.steady {
		p.lift, p.ratio, p.bend = d.gear.ratio*y-d.gap, d.gear.ratio, 0
		p.load, p.slope = d.all*p.q2, d.all*q3
		return
	}
	net, r := d.gear.motion(y)
	p.lift, p.ratio, p.bend = net, r.first, r.second
	mass := d.valve*r.first*r.first + d.lifter + d.rocker*r.turn*r.turn
	half := d.valve*r.first*r.second + d.rocker*r.turn*r.turn1 // M'/2
	half1 := d.valve*(r.second*r.second+r.first*r.third) + d.rocker*(r.turn1*r.turn1+r.turn*r.turn2)
	p.load = mass*p.q2 + half*p.q1*p.q1
	p.slope = mass*q3 + p.q1*(4*half*p.q2+half1*p.q1*p.q1)
}

// fingerPose is pose for a finger, q its turn. With h = down.c and r = dh/dq =
// sqrt(c^2 - h^2), c the tip arm, the turn follows from the lift.
func (d *Dynamics) fingerPose(a units.CamAngle, p *pose) {
	const k = math.Pi / 180
	c := d.finger
	var m fingerMotion
	c.table.motion(a.Radians(), &m)
	h := m.net + c.face
	r := c.sense * math.Sqrt(c.tip2-h*h)
	b1 := m.v / r
	b2 := (m.a + h*b1*b1) / r
	b3 := (m.j + 3*h*b1*b2 + r*b1*b1*b1) / r
	*p = pose{lift: m.net, ratio: r, bend: -h, q1: b1 * k, q2: b2 * k * k, arm: m.arm, turn: m.arm1 * k}
	mass, half, half1 := d.valve*r*r+d.rocker, -d.valve*r*h, d.valve*(h*h-r*r)
	p.load = mass*p.q2 + half*p.q1*p.q1
	p.slope = mass*b3*k*k*k + p.q1*(4*half*p.q2+half1*p.q1*p.q1)
}

// straighten notes a spring that is one straight line over the lift.
func (d *Dynamics) straighten() error {
	l, err := d.spring.LoadAt(d.installed)
	if err != nil {
		return err
	}
	k := units.Stiffness(0)
	switch s := d.spring.(type) {
	case LinearSpring:
		k = s.Rate.Value
	case Nest:
		for _, one := range s.Springs {
			line, ok := one.Spring.(LinearSpring)
			if !ok {
				return nil
			}
			k += line.Rate.Value
		}
	default:
		return nil
	}
	if l.Force.Value > 0 && math.Abs(float64(l.Rate-k)) <= 1e-12*float64(k) { // none is loose
		d.seat, d.rate = float64(l.Force.Value), float64(k)
	}
	return nil
}

// spring force and rate at a lift of the valve.
func (d *Dynamics) pressed(lift float64) (force, rate float64) {
	y := count(max(lift, 0))
	if d.rate > 0 {
		return d.seat + d.rate*y.Meters(), d.rate
	}
	l, _ := d.spring.LoadAt(d.installed - y)
	return float64(l.Force.Value), float64(l.Rate)
}

// NewDynamics returns the dynamics of a valve gear. The inertia is exact for a ratio
// that varies: with q the travel of the lifter (the turn of a finger), y(t) what the
// lobe makes of it, x(q) the lift of the valve and b(q) the turn of the rocker,
//
//	M(q) = mv x'^2 + ml + J b'^2     mv = Valve + Retainer + Keepers + Cap + Spring/3
//	                                 ml = Pushrod + Lifter     J = Mr k^2
//	force along q = x' F + M y'' + M'/2 y'^2
//
// with F = spring force, Mr = Rocker.Mass, k = Rocker.Gyration. For a ConstantRatio r
// M is r^2 EffectiveMass.Total, b' being r over Rocker.ValveArm. Mass is that at the
// nose.
//
// Errors: a curve without acceleration, as camtiming.MotionOf, or one that is the motion
// of a valve (ErrConflict); a gear and lash that NewValveCurve refuses; a gear or lash
// beside a *FingerCurve (ErrConflict), a pushrod or lifter of a finger (ErrConflict); a
// ratio at the nose outside 0.2 to 5 (ErrRange), of Gear or of the finger in Curve; a
// spring that is missing or does not reach full lift above its solid height; masses that
// MovingMasses.AtValve refuses.
//
// Source: Lagrange's equation for one coordinate; kinetic energy.
//
// Rows: float-rpm, float-harmonic-nose, force-harmonic-cam, float-linkage-cam,
// float-finger-cam.
func NewDynamics(spec DynamicsSpec) (*Dynamics, error) {
	d := &Dynamics{spring: spec.Spring, installed: spec.Installed}
	var joins []units.CamAngle
	var err error
	if finger, ok := spec.Curve.(*FingerCurve); ok {
		joins, err = d.onFinger(finger, &spec)
	} else {
		joins, err = d.onLobe(&spec)
	}
	if err != nil {
		return nil, err
	}
	if spec.Spring == nil {
		return nil, fail("Spring", "", units.ErrMissing, "want a spring")
	}
	if err := checkSize("Installed", spec.Installed); err != nil {
		return nil, err
	}
	if d.top >= spec.Installed {
		return nil, fail("Installed", text(spec.Installed), units.ErrImpossible, "want more than the lift at the valve, "+text(d.top))
	}
	if err := d.weigh(spec.Masses); err != nil {
		return nil, err
	}
	for _, h := range [...]units.Length{spec.Installed, spec.Installed - d.top} {
		if _, err := spec.Spring.ForceAt(h); err != nil {
			return nil, prefixed("Spring", err)
		}
	}
	d.joins = append(d.joins, d.lifted.From)
	for _, j := range joins {
		if j > d.lifted.From && j < d.lifted.To {
			d.joins = append(d.joins, j)
		}
	}
	d.joins = append(d.joins, d.lifted.To)
	if err := d.straighten(); err != nil {
		return nil, prefixed("Spring", err)
	}
	var p pose
	for a := range d.sampled() {
		d.at(a, &p)
		if _, err := d.spring.LoadAt(d.installed - count(max(p.lift, 0))); err != nil {
			return nil, prefixed("Spring", err)
		}
	}
	return d, nil
}

// onLobe puts a gear on its lobe and returns the joins of the lobe.
func (d *Dynamics) onLobe(spec *DynamicsSpec) ([]units.CamAngle, error) {
	switch spec.Curve.(type) {
	case *ValveMotion, *ValveCurve:
		return nil, fail("Curve", "", units.ErrConflict, "the curve is the motion of the valve: want the lift of the lifter on its lobe, and the gear")
	}
	joins, err := camtiming.Joins(spec.Curve)
	if err != nil {
		return nil, ofCurve(err)
	}
	motion, err := camtiming.MotionOf(spec.Curve)
	if err != nil {
		return nil, ofCurve(err)
	}
	c, err := NewValveCurve(ValveCurveSpec{Lobe: spec.Curve, Gear: spec.Gear, Lash: spec.Lash})
	if err != nil {
		return nil, ofLobe(err)
	}
	if c.most > maxSize {
		return nil, fail("Curve.MaxLift", text(c.most), units.ErrRange, "want a lift of the valve of up to 10 m")
	}
	d.lobe, d.gear, d.gap, d.top = motion, c.g, c.g.gap, c.most
	d.lifted = camtiming.Stretch{From: c.from, To: c.to}
	return joins, nil
}

// onFinger takes a finger on its lobe and returns the joins of the lobe as angles of
// the curve.
func (d *Dynamics) onFinger(c *FingerCurve, spec *DynamicsSpec) ([]units.CamAngle, error) {
	m := spec.Masses
	switch {
	case !c.made():
		return nil, fail("Curve", "", units.ErrMissing, "want a curve of NewFingerCurve")
	case spec.Gear != nil:
		return nil, fail("Gear", "", units.ErrConflict, "the finger is the gear: want none beside it")
	case spec.Lash.Given:
		return nil, fail("Lash", text(spec.Lash.Value), units.ErrConflict, "the gap of a finger is in its curve")
	case m.Pushrod != 0:
		return nil, fail("Masses.Pushrod", m.Pushrod.String(), units.ErrConflict, "a finger has no pushrod")
	case m.Lifter != 0:
		return nil, fail("Masses.Lifter", m.Lifter.String(), units.ErrConflict, "a finger has no lifter: its roller belongs to Rocker")
	}
	d.finger, d.gap, d.top = c, max(c.gap, 0), c.most
	d.lifted = camtiming.Stretch{From: c.from, To: c.to}
	return c.joins()
}

// ofLobe gives an error of a valve curve the name of the field here.
func ofLobe(err error) error {
	e, ok := err.(*units.InputError) //nolint:errorlint // made by this package, never wrapped
	if !ok || !strings.HasPrefix(e.Field, "Lobe") {
		return err
	}
	p := *e
	p.Field = "Curve" + strings.TrimPrefix(e.Field, "Lobe")
	return &p
}

// weigh sorts the masses by what they follow.
func (d *Dynamics) weigh(m MovingMasses) error {
	var nose pose
	d.at(0, &nose)
	ratio := math.Abs(nose.ratio / nose.arm)
	if !d.gear.steady && m.Rocker.Mass > 0 {
		// The arm of the stem's force about the pivot, with the nose on.
		arm := math.Abs(nose.ratio)
		if d.finger == nil {
			_, r := d.gear.motion(d.lobe.MaxLift().Meters())
			arm = math.Abs(r.first / r.turn)
		}
		if m.Rocker.ValveArm < 0 || m.Rocker.ValveArm > maxSize {
			return fail("Masses.Rocker.ValveArm", m.Rocker.ValveArm.String(), units.ErrRange, "want an arm of up to 10 m, or 0 for that of the gear")
		}
		m.Rocker.ValveArm = count(arm)
	}
	if !(ratio >= 0.2 && ratio <= 5) {
		field := "Gear"
		if d.finger != nil {
			field = "Curve"
		}
		return fail(field, plain(ratio), units.ErrRange, "want a ratio at the nose of 0.2 to 5")
	}
	mass, err := m.AtValve(ratio)
	if err != nil {
		return prefixed("Masses", err)
	}
	d.mass = mass
	d.valve, d.lifter = float64(mass.Valve+mass.Spring), float64(m.Pushrod+m.Lifter)
	d.rocker = float64(m.Rocker.Mass) * squared(m.Rocker.Gyration.Meters())
	d.all = float64(mass.Total) * ratio * ratio
	return nil
}

// ofCurve gives an error of package camtiming about a curve the name of the
// field here.
func ofCurve(err error) error {
	e, ok := err.(*units.InputError) //nolint:errorlint // made by camtiming, never wrapped
	if !ok {
		return err
	}
	p := *e
	p.Package, p.Field = "valvetrain", "Curve"+strings.TrimPrefix(e.Field, "LiftCurve")
	if !strings.HasPrefix(e.Field, "LiftCurve") {
		p.Field = "Curve"
	}
	return &p
}

// sampled yields some angles of every piece.
func (d *Dynamics) sampled() func(func(units.CamAngle) bool) {
	return func(yield func(units.CamAngle) bool) {
		n := units.CamAngle(d.perPiece())
		for i := range len(d.joins) - 1 {
			lo, hi := d.joins[i], d.joins[i+1]
			for k := range n {
				if !yield(lo + (hi-lo)/n*k) {
					return
				}
			}
		}
	}
}

func (d *Dynamics) perPiece() int { return max(2, 384/len(d.joins)) }

// Mass returns the effective mass.
func (d *Dynamics) Mass() EffectiveMass { return d.mass }

// Lifted returns where the cam holds the valve off its seat.
func (d *Dynamics) Lifted() camtiming.Stretch { return d.lifted }

// most finds the greatest value of a function over the lifted stretch: at both
// ends of every piece, at points between, and where the slope passes from plus to
// minus, to the last count of the angle. Only the sign of the slope is used.
func (d *Dynamics) most(f func(units.CamAngle) (y, slope float64)) (best float64, place units.CamAngle) {
	best = math.Inf(-1)
	n := units.CamAngle(d.perPiece())
	for i := range len(d.joins) - 1 {
		lo, hi := d.joins[i]+1, d.joins[i+1]-1
		if hi < lo {
			continue
		}
		a0 := lo
		y0, s0 := f(a0)
		if y0 > best {
			best, place = y0, a0
		}
		for k := units.CamAngle(1); k <= n; k++ {
			a := lo + (hi-lo)/n*k
			if k == n {
				a = hi
			}
			y, s := f(a)
			if s0 > 0 && s < 0 {
				if t := turn(a0, a, f); t != a0 {
					if v, _ := f(t); v > best {
						best, place = v, t
					}
				}
			}
			if y > best {
				best, place = y, a
			}
			a0, s0 = a, s
		}
	}
	return best, d.onJoin(best, place, func(a units.CamAngle) float64 { y, _ := f(a); return y })
}

// onJoin moves a place that stands one count beside a join onto it where the
// function is no less there.
func (d *Dynamics) onJoin(best float64, place units.CamAngle, f func(units.CamAngle) float64) units.CamAngle {
	for _, j := range d.joins {
		if (place == j-1 || place == j+1) && f(j) >= best-1e-12*math.Abs(best) {
			return j
		}
	}
	return place
}

// turn halves its way to where the slope passes from plus to minus.
func turn(lo, hi units.CamAngle, f func(units.CamAngle) (float64, float64)) units.CamAngle {
	for hi-lo > 1 {
		mid := lo + (hi-lo)/2
		if _, s := f(mid); s > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// hump finds the greatest value of a function whose slope is not known: samples
// as most takes, then golden section about every sample that tops its neighbors
// and comes near the best.
func (d *Dynamics) hump(f func(units.CamAngle) float64) (best float64, place units.CamAngle) {
	best = math.Inf(-1)
	n := units.CamAngle(d.perPiece())
	lowest := math.Inf(1)
	walk := func(visit func(lo, a, hi units.CamAngle, y0, y, y1 float64)) {
		for i := range len(d.joins) - 1 {
			from, to := d.joins[i]+1, d.joins[i+1]-1
			if to < from {
				continue
			}
			step := (to - from) / n
			y0, y := math.Inf(-1), f(from)
			for k := range n + 1 {
				a, y1 := from+step*k, math.Inf(-1)
				if k < n {
					y1 = f(from + step*(k+1))
				}
				visit(max(a-step, from), a, min(a+step, to), y0, y, y1)
				y0, y = y, y1
			}
		}
	}
	walk(func(_, a, _ units.CamAngle, _, y, _ float64) {
		lowest = min(lowest, y)
		if y > best {
			best, place = y, a
		}
	})
	near := best - 0.02*(best-lowest)
	walk(func(lo, _, hi units.CamAngle, y0, y, y1 float64) {
		if y < near || y < y0 || y < y1 {
			return
		}
		if v, a := golden(lo, hi, f); v > best {
			best, place = v, a
		}
	})
	return best, d.onJoin(best, place, f)
}

// golden closes in on the greatest value between two angles by golden section.
func golden(from, to units.CamAngle, f func(units.CamAngle) float64) (best float64, place units.CamAngle) {
	const g = 0.6180339887498949
	best = math.Inf(-1)
	lo, hi := float64(from), float64(to)
	try := func(x float64) float64 {
		y := f(units.CamAngle(x))
		if y > best {
			best, place = y, units.CamAngle(x)
		}
		return y
	}
	x1, x2 := hi-g*(hi-lo), lo+g*(hi-lo)
	y1, y2 := try(x1), try(x2)
	for hi-lo > 2 {
		if y1 > y2 {
			hi, x2, y2 = x2, x1, y1
			x1 = hi - g*(hi-lo)
			y1 = try(x1)
		} else {
			lo, x1, y1 = x1, x2, y2
			x2 = lo + g*(hi-lo)
			y2 = try(x2)
		}
	}
	return best, place
}

// Float is the speed at which the springs just hold the valve gear to the cam,
// and where on the lobe that happens first.
type Float struct {
	// Cam and Crank carry the uncertainty of the spring alone, where it states
	// one.
	Cam, Crank units.Measured[units.AngularSpeed]
	At         units.CamAngle              // from the nose
	Lift       units.Length                // of the valve there
	Spring     units.Measured[units.Force] // there
	// Acceleration of the valve there, negative.
	Acceleration units.LiftAcceleration
	Mass         EffectiveMass

	load float64 // for a ratio that varies: inertia force at the valve over speed squared, kg m
}

// Float answers at which speed contact with the cam is first lost, and where on
// the lobe:
//
//	w = least over the lobe of sqrt(F/(m |a|)), where a < 0     u(w) = w u(F)/(2 F)
//
// with F = spring force at the lift there, m = EffectiveMass.Total, a = second
// derivative of the valve's lift (m per radian of the cam squared). Where the ratio
// varies, the inertia terms of NewDynamics over the ratio there stand for m a. It is sought
// between the joins of the curve where the ratio turns, and on both sides of every
// join. It counts the parts as stiff, without friction, gas pressure and spring
// surge: a real valve gear floats sooner, how much sooner Turning.Response tells in
// part. A gear that never slows its valve while it is open is ErrImpossible, a
// Dynamics not made by NewDynamics ErrMissing. It does not allocate.
//
// Source: Newton's second law; JCGM 100:2008, 5.1.2.
//
// Rows: float-rpm, float-harmonic-nose, float-harmonic-crank, float-345,
// float-345-at, float-lash, float-u, float-linkage, float-linkage-at, float-finger.
func (d *Dynamics) Float() (Float, error) {
	if err := d.made(); err != nil {
		return Float{}, err
	}
	var p pose
	// The greatest of inertia over spring force, -load/(ratio F): w^2 is one over it.
	q, place := d.most(func(a units.CamAngle) (float64, float64) {
		d.at(a, &p)
		load, slope := p.load, p.slope
		if p.ratio < 0 { // a finger that turns the other way
			load, slope = -load, -slope
		}
		if load >= 0 {
			return -load, -slope // never the greatest: of the other sign
		}
		f, rate := d.pressed(p.lift)
		r := math.Abs(p.ratio)
		dr := p.bend * p.q1
		if p.ratio < 0 {
			dr = -dr
		}
		return -load / (r * f), -slope*r*f + load*(dr*f+r*rate*p.ratio*p.q1)
	})
	if !(q > 0) {
		return Float{}, fail("Curve", "", units.ErrImpossible, "the curve never slows its lifter while the valve is open")
	}
	d.at(place, &p)
	lift := count(max(p.lift, 0))
	l, _ := d.spring.LoadAt(d.installed - lift)
	f, _ := d.pressed(p.lift)
	l.Force.Value = units.Force(f)
	w := units.Unstated(units.DegreesPerSecond(math.Sqrt(1 / q)))
	if l.Force.Stated && l.Force.Value > 0 {
		w = units.WithU(w.Value, w.Value*units.AngularSpeed(l.Force.U/(2*l.Force.Value)))
	}
	crank := w
	crank.Value *= 2
	crank.U *= 2
	out := Float{
		Cam: w, Crank: crank, At: place, Lift: lift, Spring: l.Force,
		Acceleration: units.LiftAcceleration(p.ratio*p.q2 + p.bend*p.q1*p.q1), Mass: d.mass,
	}
	if !d.gear.steady {
		out.load = p.load / p.ratio * squared(180/math.Pi)
	}
	return out, nil
}

func (d *Dynamics) made() error {
	if d == nil || d.lobe == nil && d.finger == nil {
		return fail("Dynamics", "", units.ErrMissing, "want one made by NewDynamics")
	}
	return nil
}

// Turning is a valve gear at one speed. The zero Turning stands still and has no
// forces.
type Turning struct {
	d       *Dynamics
	cam     units.AngularSpeed
	perDeg  float64 // cam degrees per second
	perDeg2 float64
}

// Turning sets a speed of the cam, half that of the crank. A speed that is
// negative, not finite or over 1e5 rad/s is ErrRange; 0 is a cam turned by hand.
//
// Rows: force-harmonic-cam, force-harmonic-tip.
func (d *Dynamics) Turning(cam units.AngularSpeed) (Turning, error) {
	if err := d.made(); err != nil {
		return Turning{}, err
	}
	if !(cam >= 0 && cam <= maxSpin) {
		return Turning{}, fail("cam", cam.String(), units.ErrRange, "want a cam speed of 0 to 1e5 rad/s")
	}
	w := cam.DegreesPerSecond()
	return Turning{d, cam, w, w * w}, nil
}

// ValveForces are the motion of the valve and the forces of stiff parts at one
// angle.
type ValveForces struct {
	Lift         units.Length
	Velocity     units.Speed
	Acceleration units.Acceleration
	Spring       units.Force
	// Inertia is the force at the valve that the acceleration of all parts takes,
	// of one ratio the effective mass times Acceleration: negative where the
	// springs have to slow the parts.
	Inertia units.Force
	// AtCam is what the lobe presses on the lifter with, along its travel, or
	// on the pad of a finger, square to it; AtTip is what presses on the
	// valve's tip. Negative: contact is lost, and the figure is the pull that
	// would be needed to keep it.
	AtCam, AtTip units.Force
	// Cover is Spring over -Inertia, a ratio: contact needs over 1. It is 0
	// where the springs have nothing to slow.
	Cover float64
	// Torque turns the cam against these forces, friction left aside; negative
	// where the valve drives the cam.
	Torque units.Torque
}

// At answers what forces act at a cam angle from the nose:
//
//	AtCam = r (F + m a)     AtTip = F + mv a     Torque = AtCam dy/dtheta
//
// with F = Spring, a = Acceleration, m = EffectiveMass.Total, mv = Valve and Spring
// of it, r = the ratio, y = lift of the lifter, theta in radians of the cam. Where the
// ratio varies, Inertia stands for m a, the inertia of NewDynamics over the ratio
// there. Under a finger AtCam is the normal force between lobe and pad: the force
// along its turn over the arm of the common normal. With the valve on its seat all
// are 0: what happens inside the lash is not in it. It does not allocate.
//
// Source: Newton's second law; virtual work.
//
// Rows: force-harmonic-cam, force-harmonic-tip, force-harmonic-torque,
// force-harmonic-speed, force-harmonic-acceleration, force-cover,
// force-linkage-flank, force-linkage-torque, force-finger-torque.
func (t Turning) At(fromNose units.CamAngle) (f ValveForces) {
	if t.lifted(fromNose) {
		var p pose
		t.d.at(fromNose, &p)
		t.forces(&p, &f)
	}
	return f
}

// lifted tells whether the valve is off its seat; never for the zero Turning.
func (t Turning) lifted(fromNose units.CamAngle) bool {
	return t.d != nil && fromNose >= t.d.lifted.From && fromNose <= t.d.lifted.To
}

// forces sets what At returns for a pose.
func (t *Turning) forces(p *pose, out *ValveForces) {
	d := t.d
	f, _ := d.pressed(p.lift)
	a := (p.ratio*p.q2 + p.bend*p.q1*p.q1) * t.perDeg2
	load := p.load * t.perDeg2
	along := p.ratio*f + load // the force along q
	in := load / p.ratio
	out.Lift = count(max(p.lift, 0)) // the ends of the stretch are rounded to a count
	out.Velocity = units.Speed(p.ratio * p.q1 * t.perDeg)
	out.Acceleration = units.Acceleration(a)
	out.Spring, out.Inertia = units.Force(f), units.Force(in)
	out.AtCam, out.AtTip = units.Force(along/p.arm), units.Force(f+d.valve*a)
	out.Torque = units.Torque(along * p.q1 * (180 / math.Pi))
	if in < 0 {
		out.Cover = f / -in
	}
}

// ForcePeak is a force at a cam angle from the nose, with what the uncertainty of
// the springs leaves in it, where they state one.
type ForcePeak struct {
	Force units.Measured[units.Force]
	At    units.CamAngle
}

// TorquePeak is a torque at a cam angle from the nose.
type TorquePeak struct {
	Torque units.Torque
	At     units.CamAngle
}

// TurningLimits are the extremes of a turn.
type TurningLimits struct {
	Cam, Crank units.AngularSpeed
	// Cover is the least of spring over inertia force, a ratio, where the
	// springs slow the parts; under 1 contact is lost. 0 at no speed. CoverU is its
	// standard uncertainty, not given where the springs state none.
	Cover   float64
	CoverU  units.Optional[float64]
	CoverAt units.CamAngle
	// LeastAtCam and GreatestAtCam are the extremes of the force on the lobe
	// while the valve is open.
	LeastAtCam, GreatestAtCam ForcePeak
	// Lost lists where the lobe would have to pull.
	Lost []camtiming.Stretch
	// Seating is how fast the valve meets its seat: 0 without lash.
	Seating units.Speed
	// Greatest and Least are the extremes of the torque, Mean its mean over a
	// turn of the cam: what the frictionless parts take off the cam, 0 but for
	// different speeds at opening and seating. The blow by which the lash is
	// taken up is not in it.
	Greatest, Least TorquePeak
	Mean            units.Torque
	// Stored is the energy that the springs take up from seat to full lift.
	Stored units.Energy
}

// Limits answers how well the springs hold the valve gear to its cam at this
// speed, how hard the lobe is pressed and what turns the cam; At gives the
// equations, and
//
//	Cover = (float speed/Cam)^2     Stored = integral of F over the lift
//	u(F cam) = ratio u(F)           u(Cover) = Cover u(F)/F
//
// with u(F) that of the springs, where they state one; speed and masses count as
// exact.
//
// Errors: those of Dynamics.Float; a zero Turning is ErrMissing.
//
// Source: Newton's second law; virtual work; quadrature by gonum; JCGM 100:2008,
// 5.1.2.
//
// Rows: force-least, force-greatest, force-cover-least, force-lost-from,
// force-lost-to, torque-greatest, torque-mean, torque-stored, force-seating,
// force-least-u, force-cover-u.
func (t Turning) Limits() (TurningLimits, error) {
	d := t.d
	if err := d.made(); err != nil {
		return TurningLimits{}, err
	}
	fl, err := d.Float()
	if err != nil {
		return TurningLimits{}, err
	}
	l := TurningLimits{Cam: t.cam, Crank: 2 * t.cam}
	if t.cam > 0 {
		c := float64(fl.Cam.Value) / float64(t.cam)
		if c *= c; !math.IsInf(c, 0) {
			l.Cover, l.CoverAt = c, fl.At
			if fl.Cam.Stated && fl.Cam.Value > 0 {
				l.CoverU = units.Some(2 * c * float64(fl.Cam.U/fl.Cam.Value))
			}
		}
	}
	force := func(sign float64) ForcePeak {
		var p pose
		y, a := d.most(func(a units.CamAngle) (float64, float64) {
			d.at(a, &p)
			along, slope := t.along(&p)
			return sign * along / p.arm, sign * (slope*p.arm - along*p.turn)
		})
		d.at(a, &p)
		return ForcePeak{d.carried(units.Force(sign*y), p.ratio/p.arm, &p), a}
	}
	l.GreatestAtCam, l.LeastAtCam = force(1), force(-1)
	l.Lost = t.lost(l.LeastAtCam.At)
	l.Seating = units.Speed(math.Abs(float64(t.At(d.lifted.To).Velocity)))
	if d.gap == 0 {
		l.Seating = 0
	}
	y, a := d.hump(func(a units.CamAngle) float64 { return float64(t.At(a).Torque) })
	l.Greatest = TorquePeak{units.Torque(y), a}
	y, a = d.hump(func(a units.CamAngle) float64 { return -float64(t.At(a).Torque) })
	l.Least = TorquePeak{units.Torque(-y), a}
	l.Mean = units.Torque(d.integral(func(a units.CamAngle) float64 { return float64(t.At(a).Torque) }) / 360)
	const pieces = 64
	for i := range units.Length(pieces) {
		lo, hi := d.top*i/pieces, d.top*(i+1)/pieces
		l.Stored += units.Energy(quad.Fixed(func(y float64) float64 {
			f, _ := d.spring.ForceAt(d.installed - count(y))
			return float64(f)
		}, lo.Meters(), hi.Meters(), 4, quad.Legendre{}, 0))
	}
	return l, nil
}

// carried returns a force with the uncertainty that the springs leave in it: share
// of theirs at a pose.
func (d *Dynamics) carried(f units.Force, share float64, p *pose) units.Measured[units.Force] {
	l, err := d.spring.LoadAt(d.installed - count(max(p.lift, 0)))
	if err != nil || !l.Force.Stated {
		return units.Unstated(f)
	}
	return units.WithU(f, l.Force.U*units.Force(math.Abs(share)))
}

// along returns the force along q and its derivative over the cam angle.
func (t Turning) along(p *pose) (force, slope float64) {
	f, rate := t.d.pressed(p.lift)
	return p.ratio*f + p.load*t.perDeg2, p.q1*(p.bend*f+p.ratio*p.ratio*rate) + p.slope*t.perDeg2
}

// integral integrates over the lifted stretch in cam degrees, from join to join.
func (d *Dynamics) integral(f func(units.CamAngle) float64, more ...units.CamAngle) float64 {
	joins := d.joins
	if len(more) > 0 { // where the function has joins of its own
		joins = append(slices.Clone(joins), more...)
		slices.Sort(joins)
	}
	sum := 0.0
	for i := range len(joins) - 1 {
		lo, hi := joins[i], joins[i+1]
		if hi-lo < 4 {
			continue
		}
		sum += quad.Fixed(func(x float64) float64 { return f(camAngle(x)) }, lo.Degrees(), hi.Degrees(), 16, quad.Legendre{}, 0)
	}
	return sum
}

// lost returns where the force on the lobe is negative; it is the least at one of
// the angles looked at.
func (t Turning) lost(least units.CamAngle) []camtiming.Stretch {
	var out []camtiming.Stretch
	pull := func(a units.CamAngle) bool { return t.At(a).AtCam < 0 }
	edge := func(lo, hi units.CamAngle) units.CamAngle { // pull changes between the two
		was := pull(lo)
		for hi-lo > 1 {
			if mid := lo + (hi-lo)/2; pull(mid) == was {
				lo = mid
			} else {
				hi = mid
			}
		}
		return hi
	}
	in := false
	var from units.CamAngle
	prev := t.d.lifted.From
	look := func(a units.CamAngle) {
		if p := pull(a); p != in {
			e := a
			if pull(prev) != p {
				e = edge(prev, a)
			}
			if p {
				from = e
			} else {
				out = append(out, camtiming.Stretch{From: from, To: e})
			}
			in = p
		}
		prev = a
	}
	step := func(a units.CamAngle) {
		if prev < least && least < a {
			look(least)
		}
		look(a)
	}
	n := units.CamAngle(t.d.perPiece())
	for i := range len(t.d.joins) - 1 {
		lo, hi := t.d.joins[i]+1, t.d.joins[i+1]-1
		for k := range n + 1 {
			if a := lo + (hi-lo)/n*k; a > prev && k < n {
				step(a)
			}
		}
		if hi > prev {
			step(hi)
		}
	}
	if in {
		out = append(out, camtiming.Stretch{From: from, To: t.d.lifted.To})
	}
	return out
}

var newton = units.Source{Text: "Newton's second law, stiff parts, no friction", Provenance: units.Computed}

// springText writes a force with its uncertainty, if the springs state one.
func springText(f units.Measured[units.Force]) string {
	if !f.Stated {
		return forceText(f.Value)
	}
	return forceText(f.Value) + ", u = " + plain(f.U.Newtons()) + " N"
}

func massText(m units.Mass) string { return plain(m.Grams()) + " g" }

// Working returns the derivation.
func (m EffectiveMass) Working() units.Working {
	p, r := m.Masses, plain(m.Ratio)
	src := units.Source{Text: "kinetic energy", Provenance: units.Computed}
	return units.Working{
		{Symbol: "valve", Formula: "valve + retainer + keepers + cap", Numbers: massText(p.Valve) + " + " + massText(p.Retainer) + " + " + massText(p.Keepers) + " + " + massText(p.Cap), Value: massText(m.Valve), Source: src},
		{Symbol: "spring", Formula: "spring/3", Numbers: massText(p.Spring) + "/3", Value: massText(m.Spring), Source: units.Source{Text: "Rayleigh, The Theory of Sound, vol. 1, section 156", Provenance: units.Memory}},
		{Symbol: "rocker", Formula: "M (k/l)^2", Numbers: massText(p.Rocker.Mass) + " * (" + num(p.Rocker.Gyration) + "/" + num(p.Rocker.ValveArm) + ")^2", Value: massText(m.Rocker), Source: src},
		{Symbol: "lifter", Formula: "(pushrod + lifter)/ratio^2", Numbers: "(" + massText(p.Pushrod) + " + " + massText(p.Lifter) + ")/" + r + "^2", Value: massText(m.Lifter), Source: src},
		{Symbol: "m", Formula: "valve + spring + rocker + lifter", Numbers: massText(m.Valve) + " + " + massText(m.Spring) + " + " + massText(m.Rocker) + " + " + massText(m.Lifter), Value: massText(m.Total), Source: src},
	}
}

// Working returns the derivation.
func (f Float) Working() units.Working {
	rad := float64(f.Acceleration) * squared(180/math.Pi)
	formula, inertia := "sqrt(F/(m |a|))", massText(f.Mass.Total)+" * |"+plain(rad*1000)+" mm/rad2|"
	if f.load != 0 {
		formula, inertia = "sqrt(F/|(M y'' + M' y'^2/2)/x'|)", "|"+plain(f.load)+" kg m/rad2|"
	}
	return append(f.Mass.Working(), units.Working{
		{Symbol: "F", Formula: "spring force at the lift", Numbers: "lift " + text(f.Lift) + " at " + f.At.Text(2) + " from the nose", Value: forceText(f.Spring.Value), Source: newton},
		{Symbol: "w", Formula: formula, Numbers: "sqrt(" + forceText(f.Spring.Value) + "/(" + inertia + "))", Value: plain(f.Cam.Value.RevolutionsPerMinute()) + " rpm of the cam", Source: newton},
		{Symbol: "crank", Formula: "2 w", Numbers: "2 * " + plain(f.Cam.Value.RevolutionsPerMinute()), Value: plain(f.Crank.Value.RevolutionsPerMinute()) + " rpm", Source: newton},
	}...)
}

// Cautions returns what to mind with a figure for valve float.
func (Float) Cautions() []units.Caution { return floatCautions() }

// Cautions returns what to mind with forces computed for a speed.
func (TurningLimits) Cautions() []units.Caution { return floatCautions() }

func floatCautions() []units.Caution {
	return append(springCautions(), units.Caution{
		Text:   "the float speed of stiff parts is an upper bound: never run an engine up to it to see whether it holds, and never start one whose clearances are in doubt",
		Source: practice,
	})
}

// Working returns the derivation.
func (l TurningLimits) Working() units.Working {
	src := units.Source{Text: "Newton's second law and virtual work, stiff parts, no friction", Provenance: units.Computed}
	return units.Working{
		{Symbol: "cover", Formula: "spring force/inertia force, the least", Numbers: "at " + l.CoverAt.Text(2) + " from the nose, " + plain(l.Cam.RevolutionsPerMinute()) + " rpm of the cam", Value: plain(l.Cover), Source: newton},
		{Symbol: "F cam max", Formula: "r (F + m a)", Numbers: "at " + l.GreatestAtCam.At.Text(2), Value: springText(l.GreatestAtCam.Force), Source: src},
		{Symbol: "F cam min", Formula: "r (F + m a)", Numbers: "at " + l.LeastAtCam.At.Text(2), Value: springText(l.LeastAtCam.Force), Source: src},
		{Symbol: "T max", Formula: "F cam dy/dtheta", Numbers: "at " + l.Greatest.At.Text(2), Value: plain(l.Greatest.Torque.NewtonMeters()) + " N m", Source: src},
		{Symbol: "stored", Formula: "integral of F over the lift", Numbers: "seat to full lift", Value: plain(l.Stored.Joules()) + " J", Source: src},
	}
}
