package valvetrain

import (
	"math"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// FlexibleTrain is what a valve gear gives way by, as felt at the valve: one
// mass on one spring with one damper.
type FlexibleTrain struct {
	// Stiffness of everything between cam and valve: the force at the valve
	// over how far it is short of what the cam asks for.
	Stiffness units.Stiffness
	// Damping is the damping ratio of the train, a ratio: 1 is critical.
	Damping float64
	// Restitution is the speed of the valve after over that before it meets
	// its seat, a ratio of 0 to under 1.
	Restitution float64
	// Step is how far apart the points of the result stand; 0 is 1 cam degree.
	Step units.CamAngle
}

// ResponsePoint is the motion at one cam angle from the nose.
type ResponsePoint struct {
	At    units.CamAngle
	Lift  units.Length // of the valve
	Speed units.Speed  // of the valve
	// Rigid is the lift of stiff parts; negative while the lash is open.
	Rigid units.Length
	// Force is what the train presses the valve open with, 0 where contact is
	// lost, RigidForce what stiff parts would need, beside it: spring plus
	// effective mass times acceleration.
	Force, RigidForce units.Force
	// Gap is how far valve and train have parted.
	Gap units.Length
}

// Response is the motion of a valve gear that gives way.
type Response struct {
	Train  FlexibleTrain
	Points []ResponsePoint
	// Natural is the frequency of the open valve on train and spring, one cycle a
	// revolution.
	Natural units.AngularSpeed
	// Lost tells that contact is lost while the valve is open, first at LostAt;
	// LargestGap is how far the parts part while the cam asks for lift.
	Lost       bool
	LostAt     units.CamAngle
	LargestGap units.Length
	// Greatest is the largest force of the train, RigidGreatest that of stiff
	// parts, which alone carries the uncertainty of the springs.
	Greatest, RigidGreatest ForcePeak
	// HighestLift is the largest lift of the valve.
	HighestLift units.Length
	// Seated tells that the valve came to rest on its seat within 90 cam degrees
	// after the lobe; Closes is where it first met the seat after the nose,
	// Seating how fast, and Bounces how often it left it again at more than 1 cm/s.
	Seated  bool
	Closes  units.CamAngle
	Seating units.Speed
	Bounces int
	// Turning holds the extremes of stiff parts at this speed, beside it.
	Turning TurningLimits
}

// responder is what the integration works with: SI, and the angle in cam degrees.
type responder struct {
	t          Turning
	m, k, c    float64
	height     units.Length // of the spring, valve closed
	perDeg     float64      // cam degrees per second
	tolX, tolV float64
	from, to   units.CamAngle // of the lobe
	coilBind   bool           // the spring was asked for a force under its solid height
}

// asked returns the lift that the cam asks for, below 0 in the lash, and its speed.
func (r *responder) asked(deg float64) (s, v float64) {
	d := r.t.d
	a := camAngle(deg)
	if a <= r.from || a >= r.to { // off the lobe, the lash is open
		return -d.gap, 0
	}
	var p pose
	d.at(a, &p)
	return p.lift, p.ratio * p.q1 * r.perDeg
}

// press returns the force of the train.
func (r *responder) press(deg, x, v float64) float64 {
	s, sv := r.asked(deg)
	if s <= x {
		return 0
	}
	return max(r.k*(s-x)+r.c*(sv-v), 0)
}

func (r *responder) hold(x float64) float64 {
	f, err := r.t.d.spring.ForceAt(r.height - count(max(x, 0)))
	if err != nil {
		r.coilBind = true
	}
	return float64(f)
}

// rate returns the acceleration per cam degree of angle: derivatives by the angle.
func (r *responder) rate(deg, x, v float64) (dx, dv float64) {
	return v / r.perDeg, (r.press(deg, x, v) - r.hold(x)) / r.m / r.perDeg
}

// step takes one step of Dormand and Prince's pair of order 5 and 4 and returns
// the error against the tolerance.
func (r *responder) step(deg, x, v, h float64) (x1, v1, bad float64) {
	k1x, k1v := r.rate(deg, x, v)
	k2x, k2v := r.rate(deg+h/5, x+h*k1x/5, v+h*k1v/5)
	k3x, k3v := r.rate(deg+h*3/10, x+h*(k1x*3/40+k2x*9/40), v+h*(k1v*3/40+k2v*9/40))
	k4x, k4v := r.rate(deg+h*4/5, x+h*(k1x*44/45-k2x*56/15+k3x*32/9), v+h*(k1v*44/45-k2v*56/15+k3v*32/9))
	k5x, k5v := r.rate(deg+h*8/9,
		x+h*(k1x*19372/6561-k2x*25360/2187+k3x*64448/6561-k4x*212/729),
		v+h*(k1v*19372/6561-k2v*25360/2187+k3v*64448/6561-k4v*212/729))
	k6x, k6v := r.rate(deg+h,
		x+h*(k1x*9017/3168-k2x*355/33+k3x*46732/5247+k4x*49/176-k5x*5103/18656),
		v+h*(k1v*9017/3168-k2v*355/33+k3v*46732/5247+k4v*49/176-k5v*5103/18656))
	x1 = x + h*(k1x*35/384+k3x*500/1113+k4x*125/192-k5x*2187/6784+k6x*11/84)
	v1 = v + h*(k1v*35/384+k3v*500/1113+k4v*125/192-k5v*2187/6784+k6v*11/84)
	k7x, k7v := r.rate(deg+h, x1, v1)
	ex := h * (k1x*71/57600 - k3x*71/16695 + k4x*71/1920 - k5x*17253/339200 + k6x*22/525 - k7x/40)
	ev := h * (k1v*71/57600 - k3v*71/16695 + k4v*71/1920 - k5v*17253/339200 + k6v*22/525 - k7v/40)
	return x1, v1, max(math.Abs(ex)/r.tolX, math.Abs(ev)/r.tolV)
}

// Response answers how the valve moves if the parts between cam and valve give
// way, as one mass on one spring:
//
//	m x'' = N - F(x)     N = k (s - x) + c (s' - x')     c = 2 zeta sqrt(k m)
//
// with x = Lift, s = Rigid, N = Force, F = spring force at x, m = EffectiveMass.Total,
// k = Stiffness, zeta = Damping. N is never negative: where it would be, the parts
// part, and N is 0 until x falls to s. The valve stays on its seat until N exceeds the
// spring's force there, and meets it again with Restitution. It starts on its seat where the
// lobe begins and is followed for up to 90 cam degrees beyond it. Surge, gas, the
// friction of guides and more than one mode are not in it.
//
// It is integrated by the pair of Dormand and Prince of order 5 and 4, to 1e-11 m and
// the speed that goes with it a step; landing on the seat and leaving it, and where lift,
// force and gap are largest, are located within a step. Errors: a stiffness, damping (0 to 2) or restitution that is out of range, a
// step that is negative, under 0.001 or over 10 cam degrees, a speed of 0, a train too stiff
// or a speed too low to be followed (ErrRange), a spring that the valve's overshoot
// takes under its solid height (ErrImpossible).
//
// Source: Newton's second law; Dormand and Prince, A family of embedded Runge-Kutta
// formulae, J. Comput. Appl. Math. 6 (1980), p. 19-26.
//
// Rows: response-harmonic-lift, response-harmonic-force, response-damped-lift,
// response-damped-speed, response-gap, response-lost, response-closes,
// response-seating.
func (t Turning) Response(f FlexibleTrain) (Response, error) {
	d := t.d
	if err := d.made(); err != nil {
		return Response{}, err
	}
	if !(t.cam > 0) {
		return Response{}, fail("cam", t.cam.String(), units.ErrRange, "want a cam speed over 0")
	}
	if err := checkOver("Stiffness", f.Stiffness, maxRate, "want a stiffness over 0 and up to 1e12 N/m"); err != nil {
		return Response{}, err
	}
	if !(f.Damping >= 0 && f.Damping <= 2) {
		return Response{}, fail("Damping", plain(f.Damping), units.ErrRange, "want a damping ratio of 0 to 2")
	}
	if !(f.Restitution >= 0 && f.Restitution <= 0.99) {
		return Response{}, fail("Restitution", plain(f.Restitution), units.ErrRange, "want a ratio of 0 to 0.99")
	}
	if f.Step == 0 {
		f.Step = units.CamDegree
	}
	if f.Step < units.CamDegree/1000 || f.Step > 10*units.CamDegree {
		return Response{}, fail("Step", f.Step.String(), units.ErrRange, "want a step of 0.001 to 10 cam degrees, 0 for 1")
	}
	limits, err := t.Limits()
	if err != nil {
		return Response{}, err
	}
	m, k := float64(d.mass.Total), float64(f.Stiffness)
	r := &responder{t: t, m: m, k: k, c: 2 * f.Damping * math.Sqrt(k*m), height: d.installed, perDeg: t.perDeg, tolX: 1e-11}
	r.tolV = r.tolX * math.Sqrt(k/m)
	span := d.span()
	r.from, r.to = span.Opens, span.Closes
	out := Response{Train: f, Turning: limits, RigidGreatest: t.greatestAtValve()}
	out.Points = make([]ResponsePoint, 0, int((span.Closes-span.Opens)/f.Step)+64)
	load, err := d.spring.LoadAt(d.installed - d.top/2)
	if err != nil {
		return Response{}, prefixed("Spring", err)
	}
	out.Natural = units.RadiansPerSecond(math.Sqrt((k + float64(load.Rate)) / m))
	if waves := float64(out.Natural) * (span.Closes - span.Opens).Degrees() / t.perDeg; !(waves < 2e5) {
		return Response{}, fail("Stiffness", f.Stiffness.String(), units.ErrRange, "want fewer than 30000 natural cycles over the lobe: take the stiff parts of Turning.At")
	}
	if err := r.run(f, span.Opens, span.Closes, &out); err != nil {
		return Response{}, err
	}
	return out, nil
}

// span returns where the lobe begins and ends, as angles of the curve.
func (d *Dynamics) span() camtiming.Span {
	if d.finger != nil {
		return camtiming.Span{Opens: camRadians(d.finger.lo), Closes: camRadians(d.finger.hi)}
	}
	return d.lobe.Span()
}

// greatestAtValve returns the largest force that stiff parts need at the valve.
func (t Turning) greatestAtValve() ForcePeak {
	var p pose
	y, a := t.d.most(func(a units.CamAngle) (float64, float64) {
		t.d.at(a, &p)
		along, slope := t.along(&p)
		return along / p.ratio, slope*p.ratio - along*p.bend*p.q1
	})
	t.d.at(a, &p)
	return ForcePeak{t.d.carried(units.Force(y), 1, &p), a}
}

// stand is how valve and train stand at one angle.
type stand struct {
	x, v, s, sv float64
	n           float64 // force of the train
	more        bool    // it presses, and more and more
}

func (r *responder) stand(deg, x, v float64) stand {
	d := r.t.d
	at := camAngle(deg)
	if at <= r.from || at >= r.to {
		return stand{x: x, v: v, s: -d.gap}
	}
	var p pose
	d.at(at, &p)
	a := stand{x: x, v: v, s: p.lift, sv: p.ratio * p.q1 * r.perDeg}
	if a.s > x {
		a.n = max(r.k*(a.s-x)+r.c*(a.sv-v), 0)
	}
	if a.n > 0 {
		sa := (p.ratio*p.q2 + p.bend*p.q1*p.q1) * r.perDeg * r.perDeg
		a.more = r.k*(a.sv-v)+r.c*(sa-(a.n-r.hold(x))/r.m) > 0
	}
	return a
}

// passage is a step from one angle to h beyond it.
type passage struct {
	r    *responder
	deg  float64
	h    float64
	a, b stand // at its ends
}

func (p *passage) at(t float64) stand {
	switch t {
	case 0:
		return p.a
	case p.h:
		return p.b
	default:
		x, v, _ := p.r.step(p.deg, p.a.x, p.a.v, t)
		return p.r.stand(p.deg+t, x, v)
	}
}

// last returns the end of the stretch from lo, where a begins, in which something
// holds that may not hold at the end of the step, to within so many degrees.
func (p *passage) last(lo float64, a stand, within float64, holds func(s stand) bool) float64 {
	hi := p.h
	if !holds(a) {
		return lo
	}
	if holds(p.b) {
		return hi
	}
	for hi-lo > within {
		if mid := (lo + hi) / 2; holds(p.at(mid)) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// turns returns where within the step lift, gap and force may be largest: where
// the valve turns back, where it no longer runs away from the train, where the cam
// ends to ask for lift, where the parts meet again and where the force turns.
func (p *passage) turns() [6]float64 {
	const (
		flat  = 1e-4 // a value that turns is as good there as at its extreme
		sharp = 1e-7
	)
	met, a := 0.0, p.a
	if p.a.n == 0 && p.b.n > 0 {
		met = min(p.last(0, p.a, sharp, func(s stand) bool { return s.n == 0 })+sharp, p.h)
		a = p.at(met)
	}
	return [6]float64{
		p.last(0, p.a, flat, func(s stand) bool { return s.v > 0 }),
		p.last(0, p.a, flat, func(s stand) bool { return s.x > s.s && s.v > s.sv }),
		p.last(0, p.a, sharp, func(s stand) bool { return s.s > 0 }),
		met,
		p.last(met, a, flat, func(s stand) bool { return s.more }),
		p.h,
	}
}

// run integrates from one end of the lobe to the other and until the valve rests.
func (r *responder) run(f FlexibleTrain, opens, closes units.CamAngle, out *Response) error {
	const least = 1e-9 // cam degrees
	var x, v float64
	seated, wasOpen := true, false
	deg, end := opens.Degrees(), closes.Degrees()
	record := func(a units.CamAngle) {
		s, _ := r.asked(a.Degrees())
		p := ResponsePoint{At: a, Lift: count(x), Speed: units.Speed(v), Rigid: count(s), Force: units.Force(r.press(a.Degrees(), x, v))}
		if rigid := r.t.At(a); rigid.Lift > 0 {
			p.RigidForce = rigid.Spring + rigid.Inertia
		}
		if !seated && x > s {
			p.Gap = count(x - max(s, 0))
		}
		out.Points = append(out.Points, p)
	}
	// watch notes the extremes within a step just taken: where they turn, or at its
	// ends.
	watch := func(deg0, x0, v0, h, x1, v1 float64) {
		p := passage{r, deg0, h, r.stand(deg0, x0, v0), r.stand(deg0+h, x1, v1)}
		for _, t := range p.turns() {
			if t == 0 {
				continue // the end of the step before
			}
			a := p.at(t)
			out.HighestLift = max(out.HighestLift, count(a.x))
			if n := units.Force(a.n); n > out.Greatest.Force.Value {
				out.Greatest = ForcePeak{units.Unstated(n), camAngle(deg0 + t)}
			}
			if a.x > a.s && a.s > 0 {
				out.LargestGap = max(out.LargestGap, count(a.x-a.s))
			}
		}
	}
	// lose notes where, within a step just taken, the force of the train ends.
	lose := func(deg0, x0, v0 float64) {
		if s, _ := r.asked(deg); out.Lost || s <= 0 || r.press(deg, x, v) > 0 {
			return
		}
		lo, hi := 0.0, deg-deg0
		for hi-lo > least {
			mid := (lo + hi) / 2
			if xm, vm, _ := r.step(deg0, x0, v0, mid); r.press(deg0+mid, xm, vm) > 0 {
				lo = mid
			} else {
				hi = mid
			}
		}
		out.Lost, out.LostAt = true, camAngle(deg0+hi)
	}
	loose := func(a float64) bool { return r.press(a, 0, 0) > r.hold(0) }
	record(opens)
	limit := closes + 90*units.CamDegree
	h := min(f.Step.Degrees(), 0.1)
	for a := opens + f.Step; a <= limit; a += f.Step {
		to := a.Degrees()
		for deg < to-least {
			if seated {
				// Where, on a grid of a sixteenth of a step, the train lifts it off.
				next := min(deg+f.Step.Degrees()/16, to)
				if deg < end && loose(next) {
					lo, hi := deg, next
					if !loose(lo) {
						for hi-lo > least {
							if mid := (lo + hi) / 2; loose(mid) {
								hi = mid
							} else {
								lo = mid
							}
						}
						deg = hi
					} else {
						deg = lo
					}
					seated, wasOpen = false, true
					h = min(h, 0.01)
					continue
				}
				deg = next
				continue
			}
			h = min(h, to-deg)
			r.coilBind = false
			x1, v1, bad := r.step(deg, x, v, h)
			if !(bad <= 1) && h > least {
				h *= max(0.2, 0.9*math.Pow(bad, -0.2))
				if math.IsNaN(h) {
					return fail("Stiffness", f.Stiffness.String(), units.ErrRange, "the motion cannot be followed")
				}
				continue
			}
			if math.IsNaN(x1) || math.IsNaN(v1) {
				return fail("Stiffness", f.Stiffness.String(), units.ErrRange, "the motion cannot be followed")
			}
			if x1 < 0 && v1 < 0 {
				lo, hi := 0.0, h
				for hi-lo > 1e-15*h+1e-13 {
					mid := (lo + hi) / 2
					if xm, _, _ := r.step(deg, x, v, mid); xm < 0 {
						hi = mid
					} else {
						lo = mid
					}
				}
				x1, v1, _ = r.step(deg, x, v, hi)
				watch(deg, x, v, hi, x1, v1)
				deg += max(hi, least)
				if out.Seating == 0 && deg > 0 {
					out.Seating, out.Closes = units.Speed(-min(v1, 0)), camAngle(deg)
				}
				x, v = 0, -f.Restitution*min(v1, 0)
				if v < 1e-4 {
					v, seated = 0, true
				} else if v > 0.01 {
					out.Bounces++
				}
				h = min(h, 0.01)
				continue
			}
			if r.coilBind {
				return fail("Spring", text(count(x1)), units.ErrImpossible, "the overshoot of the valve takes the spring under its solid height")
			}
			deg0, x0, v0 := deg, x, v
			deg, x, v = deg+h, max(x1, 0), v1
			watch(deg0, x0, v0, h, x, v)
			lose(deg0, x0, v0)
			h *= min(5, 0.9*math.Pow(max(bad, 1e-10), -0.2))
			h = min(h, f.Step.Degrees())
		}
		deg = to
		record(a)
		if seated && a > closes {
			break
		}
	}
	out.Seated = seated && wasOpen
	return nil
}

var dormandPrince = units.Source{Text: "Newton's second law; integrated after Dormand and Prince, J. Comput. Appl. Math. 6 (1980), p. 19-26", Provenance: units.Computed}

// Working returns the derivation.
func (r Response) Working() units.Working {
	stiff := plain(r.Train.Stiffness.NewtonsPerMillimeter()) + " N/mm"
	return units.Working{
		{Symbol: "f", Formula: "sqrt((k + spring rate)/m)/(2 pi)", Numbers: "k = " + stiff, Value: plain(r.Natural.RevolutionsPerSecond()) + " Hz", Source: dormandPrince},
		{Symbol: "N max", Formula: "greatest of k (s - x) + c (s' - x')", Numbers: "at " + r.Greatest.At.Text(2) + " from the nose; stiff parts " + springText(r.RigidGreatest.Force), Value: forceText(r.Greatest.Force.Value), Source: dormandPrince},
		{Symbol: "gap", Formula: "greatest of x - s where N = 0", Numbers: "damping ratio " + plain(r.Train.Damping), Value: text(r.LargestGap), Source: dormandPrince},
		{Symbol: "seating", Formula: "-x' at the seat", Numbers: "at " + r.Closes.Text(2), Value: plain(float64(r.Seating)) + " m/s", Source: dormandPrince},
	}
}

// Cautions returns what to mind with forces computed for a speed.
func (Response) Cautions() []units.Caution { return floatCautions() }
