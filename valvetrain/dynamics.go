package valvetrain

import (
	"math"
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
	// Curve is the lift of the lifter, a MotionCurve; or, for a ratio that varies,
	// that of the valve with a Gear of ratio 1: see NewDynamics.
	Curve  camtiming.LiftCurve
	Gear   camtiming.ValveGear
	Spring Spring
	// Installed is the height of the spring with the valve closed.
	Installed units.Length
	Masses    MovingMasses
}

// Dynamics is a valve gear as stiff parts without friction, held to its cam by
// its springs. It is safe for concurrent use as its curve and spring are.
type Dynamics struct {
	curve     camtiming.MotionCurve
	spring    Spring
	installed units.Length
	mass      EffectiveMass
	ratio     float64
	lash      float64 // meters
	top       units.Length
	lifted    camtiming.Stretch // where the valve is off its seat
	joins     []units.CamAngle  // within lifted, its ends among them
}

// NewDynamics returns the dynamics of a valve gear. Errors: a curve without
// acceleration (ErrMissing), a gear outside the limits of ValveGear.ValveLift, a
// lash that keeps the valve shut, a spring that is missing or does not reach full
// lift above its solid height, masses that MovingMasses.AtValve refuses.
//
// Gear has one ratio. Where the ratio varies through the lift, Curve is the motion
// of the valve itself, a ValveMotion of a Linkage or a FingerCurve, and Gear has a
// ratio of 1 and no lash: the lash is in the curve. Pushrod and lifter then go in as
// felt at the valve, over the square of the ratio: Masses.Lifter = EffectiveMass.Lifter
// of MovingMasses.AtValve with ValveLifts.AtNose, Masses.Pushrod = 0. That is exact
// at the nose; beside it, what the change of the ratio does to the inertia of these
// two parts is left out, well under a hundredth of the float speed in a common
// rocker. AtCam is then the force at the valve: the lobe feels it times the
// ratio at that lift. Contact wants the lobe's own curve.
//
// Rows: float-rpm, float-harmonic-nose, force-harmonic-cam.
func NewDynamics(spec DynamicsSpec) (*Dynamics, error) {
	joins, top, err := geared(spec.Curve, spec.Gear)
	if err != nil {
		return nil, err
	}
	if _, err := camtiming.PeaksOf(spec.Curve); err != nil {
		return nil, ofCurve(err)
	}
	curve, ok := spec.Curve.(camtiming.MotionCurve)
	if !ok {
		return nil, fail("Curve", "", units.ErrMissing, "want a curve that gives its acceleration: a MotionCurve")
	}
	if spec.Spring == nil {
		return nil, fail("Spring", "", units.ErrMissing, "want a spring")
	}
	if err := checkSize("Installed", spec.Installed); err != nil {
		return nil, err
	}
	if top >= spec.Installed {
		return nil, fail("Installed", text(spec.Installed), units.ErrImpossible, "want more than the lift at the valve, "+text(top))
	}
	mass, err := spec.Masses.AtValve(spec.Gear.Ratio)
	if err != nil {
		return nil, prefixed("Masses", err)
	}
	d := &Dynamics{
		curve: curve, spring: spec.Spring, installed: spec.Installed, mass: mass,
		ratio: spec.Gear.Ratio, lash: spec.Gear.Lash.Meters(), top: top,
		lifted: camtiming.Stretch{From: joins[0], To: joins[len(joins)-1]},
	}
	for _, h := range [...]units.Length{spec.Installed, spec.Installed - top} {
		if _, err := spec.Spring.ForceAt(h); err != nil {
			return nil, prefixed("Spring", err)
		}
	}
	if spec.Gear.Lash > 0 {
		lifter, err := spec.Gear.LifterLift(0)
		if err != nil {
			return nil, prefixed("Gear", err)
		}
		o, err := camtiming.OpeningAt(spec.Curve, max(lifter, 1))
		if err != nil {
			return nil, ofCurve(err)
		}
		d.lifted = camtiming.Stretch{From: o.Opens, To: o.Closes}
	}
	d.joins = append(d.joins, d.lifted.From)
	for _, j := range joins {
		if j > d.lifted.From && j < d.lifted.To {
			d.joins = append(d.joins, j)
		}
	}
	d.joins = append(d.joins, d.lifted.To)
	for a := range d.sampled() {
		if _, err := d.spring.LoadAt(d.height(a)); err != nil {
			return nil, prefixed("Spring", err)
		}
	}
	return d, nil
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

func (d *Dynamics) height(a units.CamAngle) units.Length {
	return d.installed - count(max(d.ratio*d.curve.Lift(a).Meters()-d.lash, 0))
}

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
}

// Float answers at which speed contact with the cam is first lost, and where on
// the lobe:
//
//	w = least over the lobe of sqrt(F/(m |a|)), where a < 0     u(w) = w u(F)/(2 F)
//
// with F = spring force at the lift there, m = EffectiveMass.Total, a = second
// derivative of the valve's lift (m per radian of the cam squared). It is sought
// between the joins of the curve where the ratio turns, and on both sides of every
// join. It counts the parts as stiff, without friction, gas pressure and spring
// surge: a real valve gear floats sooner, how much sooner Turning.Response tells in
// part. A gear that never slows its valve while it is open is ErrImpossible, a
// Dynamics not made by NewDynamics ErrMissing. It does not allocate.
//
// Source: Newton's second law; JCGM 100:2008, 5.1.2.
//
// Rows: float-rpm, float-harmonic-nose, float-harmonic-crank, float-345,
// float-345-at, float-lash, float-u.
func (d *Dynamics) Float() (Float, error) {
	if err := d.made(); err != nil {
		return Float{}, err
	}
	q, place := d.most(func(a units.CamAngle) (float64, float64) {
		m := d.curve.Motion(a)
		acc, jerk := float64(m.Acceleration), float64(m.Jerk)
		if acc >= 0 {
			return -acc, -jerk // never the greatest: of the other sign
		}
		l, _ := d.spring.LoadAt(d.installed - count(max(d.ratio*m.Lift.Meters()-d.lash, 0)))
		f := float64(l.Force.Value)
		return -acc / f, -jerk*f + acc*float64(l.Rate)*d.ratio*float64(m.Velocity)
	})
	if !(q > 0) {
		return Float{}, fail("Curve", "", units.ErrImpossible, "the curve never slows its lifter while the valve is open")
	}
	m := d.curve.Motion(place)
	lift := count(max(d.ratio*m.Lift.Meters()-d.lash, 0))
	l, _ := d.spring.LoadAt(d.installed - lift)
	w := units.Unstated(units.DegreesPerSecond(math.Sqrt(1 / (float64(d.mass.Total) * d.ratio * q))))
	if l.Force.Stated && l.Force.Value > 0 {
		w = units.WithU(w.Value, w.Value*units.AngularSpeed(l.Force.U/(2*l.Force.Value)))
	}
	crank := w
	crank.Value *= 2
	crank.U *= 2
	return Float{
		Cam: w, Crank: crank, At: place, Lift: lift, Spring: l.Force,
		Acceleration: m.Acceleration * units.LiftAcceleration(d.ratio), Mass: d.mass,
	}, nil
}

func (d *Dynamics) made() error {
	if d == nil || d.curve == nil {
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
	// Inertia is the effective mass times the acceleration: negative where
	// the springs have to slow the parts.
	Inertia units.Force
	// AtCam is what the lobe presses on the lifter with, along its travel,
	// AtTip what presses on the valve's tip. Negative: contact is lost, and the
	// figure is the pull that would be needed to keep it.
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
// of it, r = the ratio, y = lift of the lifter, theta in radians of the cam. With the
// valve on its seat all are 0: what happens inside the lash is not in it. It does
// not allocate.
//
// Source: Newton's second law; virtual work.
//
// Rows: force-harmonic-cam, force-harmonic-tip, force-harmonic-torque,
// force-harmonic-speed, force-harmonic-acceleration, force-cover.
func (t Turning) At(fromNose units.CamAngle) ValveForces {
	if !t.lifted(fromNose) {
		return ValveForces{}
	}
	return t.forces(t.d.curve.Motion(fromNose))
}

// lifted tells whether the valve is off its seat; never for the zero Turning.
func (t Turning) lifted(fromNose units.CamAngle) bool {
	return t.d != nil && fromNose >= t.d.lifted.From && fromNose <= t.d.lifted.To
}

// forces is At for a motion of the lifter.
func (t Turning) forces(m camtiming.LobeMotion) ValveForces {
	d := t.d
	y := d.ratio*m.Lift.Meters() - d.lash
	lift := count(max(y, 0)) // the ends of the stretch are rounded to a count
	f, _ := d.spring.ForceAt(d.installed - lift)
	v, a := d.ratio*float64(m.Velocity)*t.perDeg, d.ratio*float64(m.Acceleration)*t.perDeg2
	in := float64(d.mass.Total) * a
	cam := d.ratio * (float64(f) + in)
	out := ValveForces{
		Lift: lift, Velocity: units.Speed(v), Acceleration: units.Acceleration(a), Spring: f, Inertia: units.Force(in),
		AtCam: units.Force(cam), AtTip: f + units.Force(float64(d.mass.Valve+d.mass.Spring)*a),
		Torque: units.Torque(cam * float64(m.Velocity) * 180 / math.Pi),
	}
	if in < 0 {
		out.Cover = float64(f) / -in
	}
	return out
}

// ForcePeak is a force at a cam angle from the nose.
type ForcePeak struct {
	Force units.Force
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
	// springs slow the parts; under 1 contact is lost. 0 at no speed.
	Cover   float64
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
	// different speeds at opening and seating.
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
//
// Errors: those of Dynamics.Float; a zero Turning is ErrMissing.
//
// Source: Newton's second law; virtual work; quadrature by gonum.
//
// Rows: force-least, force-greatest, force-cover-least, force-lost-from,
// force-lost-to, torque-greatest, torque-mean, torque-stored, force-seating.
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
		}
	}
	force := func(sign float64) ForcePeak {
		y, a := d.most(func(a units.CamAngle) (float64, float64) {
			m := d.curve.Motion(a)
			s, _ := d.spring.LoadAt(d.installed - count(max(d.ratio*m.Lift.Meters()-d.lash, 0)))
			k := float64(d.mass.Total) * d.ratio * t.perDeg2
			return sign * d.ratio * (float64(s.Force.Value) + k*float64(m.Acceleration)), sign * (float64(s.Rate)*d.ratio*float64(m.Velocity) + k*float64(m.Jerk))
		})
		return ForcePeak{units.Force(sign * y), a}
	}
	l.GreatestAtCam, l.LeastAtCam = force(1), force(-1)
	l.Lost = t.lost(l.LeastAtCam.At)
	l.Seating = units.Speed(math.Abs(float64(t.At(d.lifted.To).Velocity)))
	if d.lash == 0 {
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

// integral integrates over the lifted stretch in cam degrees.
func (d *Dynamics) integral(f func(units.CamAngle) float64) float64 {
	sum := 0.0
	for i := range len(d.joins) - 1 {
		lo, hi := d.joins[i], d.joins[i+1]
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
	a := plain(rad*1000) + " mm/rad2"
	return append(f.Mass.Working(), units.Working{
		{Symbol: "F", Formula: "spring force at the lift", Numbers: "lift " + text(f.Lift) + " at " + f.At.Text(2) + " from the nose", Value: forceText(f.Spring.Value), Source: newton},
		{Symbol: "w", Formula: "sqrt(F/(m |a|))", Numbers: "sqrt(" + forceText(f.Spring.Value) + "/(" + massText(f.Mass.Total) + " * |" + a + "|))", Value: plain(f.Cam.Value.RevolutionsPerMinute()) + " rpm of the cam", Source: newton},
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
		{Symbol: "F cam max", Formula: "r (F + m a)", Numbers: "at " + l.GreatestAtCam.At.Text(2), Value: forceText(l.GreatestAtCam.Force), Source: src},
		{Symbol: "F cam min", Formula: "r (F + m a)", Numbers: "at " + l.LeastAtCam.At.Text(2), Value: forceText(l.LeastAtCam.Force), Source: src},
		{Symbol: "T max", Formula: "F cam dy/dtheta", Numbers: "at " + l.Greatest.At.Text(2), Value: plain(l.Greatest.Torque.NewtonMeters()) + " N m", Source: src},
		{Symbol: "stored", Formula: "integral of F over the lift", Numbers: "seat to full lift", Value: plain(l.Stored.Joules()) + " J", Source: src},
	}
}
