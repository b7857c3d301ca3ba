package camtiming

import (
	"math"
	"slices"

	"example.com/trialfit/units"
)

// LobeMotion is the motion of a follower at one angle of the cam. The rates
// are per cam degree, whatever the speed: the acceleration in time is the one
// here times the square of the cam's speed in degrees per second.
type LobeMotion struct {
	Lift         units.Length
	Velocity     units.LiftVelocity
	Acceleration units.LiftAcceleration
	Jerk         units.LiftJerk
}

// MotionCurve is a lift curve that also knows its higher derivatives. The
// lobes of this package implement it; where a derivative jumps, they return
// that of one of the two sides.
type MotionCurve interface {
	LiftCurve
	// Motion returns lift, velocity, acceleration and jerk at a cam angle
	// from the nose.
	Motion(fromNose units.CamAngle) LobeMotion
}

// state is the unrounded motion: meters and meters per cam degree to a power.
type state struct{ y, v, a, j float64 }

func (s state) motion() LobeMotion {
	return LobeMotion{length(s.y), units.LiftVelocity(0 + s.v), units.LiftAcceleration(0 + s.a), units.LiftJerk(0 + s.j)}
}

// perRadian returns the motion per cam radian.
func (s state) perRadian() state {
	const k = 180 / math.Pi
	return state{s.y, s.v * k, s.a * k * k, s.j * k * k * k}
}

// pieced is a curve that knows where it is joined together: breaks returns,
// in increasing order, the ends of the span and the angles between them at
// which a derivative jumps.
type pieced interface{ breaks() []float64 }

// deriver is the unrounded form of a MotionCurve.
type deriver interface {
	pieced
	derive(deg float64) state
}

// deriverOf returns the unrounded form of a curve that has higher derivatives,
// and refuses one that has not.
func deriverOf(field string, c LiftCurve) (deriver, error) {
	if err := checkCurve(field, c); err != nil {
		return nil, err
	}
	if t, ok := c.(*TableLobe); ok && !t.how.spline() {
		return nil, fail(field, "", units.ErrImpossible, "a table joined without a spline has no steady acceleration; want one of the splines")
	}
	if s, ok := c.(*SmoothLobe); ok {
		if err := s.Supports(2); err != nil {
			return nil, inField(field, err)
		}
	}
	if r, ok := c.(*RampLobe); ok {
		if r.inner == nil {
			_, err := deriverOf(field+".Lobe", r.spec.Lobe)
			return nil, err
		}
		if r.corners() {
			return nil, fail(field, "", units.ErrImpossible, "a ramp that begins or ends with a corner has no steady acceleration; want a Start and a Blend over 0")
		}
	}
	if own(c) {
		return c.(deriver), nil
	}
	m, ok := c.(MotionCurve)
	if !ok {
		return nil, fail(field, "", units.ErrMissing, "want a curve that gives its acceleration: a MotionCurve")
	}
	f := foreignMotion{m}
	for _, x := range f.breaks() {
		if s := f.derive(x); !finite(s.v) || !finite(s.a) || !finite(s.j) {
			return nil, fail(field+".Motion", "", units.ErrRange, "want finite derivatives at "+camAngle(x).String())
		}
	}
	return f, nil
}

// MotionOf returns a curve with its higher derivatives, for whoever needs its
// acceleration. Errors: a curve that cannot be a lobe; one that is no MotionCurve
// (ErrMissing); a table joined without a spline, a smoothed lobe whose smoothing
// leaves no acceleration and ramps that have corners or lie on such a lobe
// (ErrImpossible); derivatives that are not finite (ErrRange).
//
// Rows: ramp-acceleration, ramp-jerk.
func MotionOf(c LiftCurve) (MotionCurve, error) {
	if _, err := deriverOf("LiftCurve", c); err != nil {
		return nil, err
	}
	return c.(MotionCurve), nil
}

// own tells whether a curve is a lobe of this package, and not a foreign one
// that embeds such a lobe and changes what it returns.
func own(c LiftCurve) bool {
	switch c.(type) {
	case *LawLobe, *TableLobe, *CardLobe, *ArcLobe, *SmoothLobe, *RampLobe:
		return true
	default:
		return false
	}
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

type foreignMotion struct{ MotionCurve }

func (f foreignMotion) derive(deg float64) state {
	m := f.Motion(camAngle(deg))
	return state{m.Lift.Meters(), float64(m.Velocity), float64(m.Acceleration), float64(m.Jerk)}
}

func (f foreignMotion) breaks() []float64 { return evenBreaks(f.Span()) }

// evenBreaks splits a span of which no more is known.
func evenBreaks(s Span) []float64 {
	const n = 64
	var b []float64
	o, c := s.Opens.Degrees(), s.Closes.Degrees()
	for i := range n {
		b = append(b, o*float64(n-i)/n)
	}
	for i := range n + 1 {
		b = append(b, c*float64(i)/n)
	}
	return b
}

// Motion returns lift, velocity, acceleration and jerk at a cam angle from the
// nose, from the derivatives S, V, A, J of the law:
//
//	y = h S    v = h V/b    a = h A/b^2    j = h J/b^3
//
// with h = MaxLift, b = the flank, Opening or Closing (cam deg); v and j change
// their sign on the closing flank. On the base circle all are 0. It does not
// allocate.
//
// Source: Rothbart (ed.), Cam Design Handbook (2004), ch. 2 and 3.
//
// Rows: a-amax, b-amax-open, shape-a-jerk-nose.
func (l *LawLobe) Motion(fromNose units.CamAngle) LobeMotion {
	return l.derive(fromNose.Degrees()).motion()
}

func (l *LawLobe) derive(deg float64) state {
	b, sign := l.closing, -1.0
	if deg < 0 {
		deg, b, sign = -deg, l.opening, 1
	}
	u := 1 - deg/b
	if u < 0 {
		return state{}
	}
	m := l.spec.Law.At(u)
	return state{l.h * m.S, sign * l.h * m.V / b, l.h * m.A / (b * b), sign * l.h * m.J / (b * b * b)}
}

func (l *LawLobe) breaks() []float64 {
	b := []float64{-l.opening, 0, l.closing}
	for _, u := range l.spec.Law.joins() {
		b = append(b, -l.opening*(1-u), l.closing*(1-u))
	}
	slices.Sort(b)
	return b
}

// Motion returns lift, velocity, acceleration and jerk at a cam angle from the
// origin: the derivatives of the cubic that joins the two points about it. On
// a spline the acceleration is a row of straight lines and the jerk a row of
// steps. A table joined by Monotone has an acceleration that jumps at every
// point, one joined by Straight none at all: both tell nothing of the cam. Past
// the table's ends the rates are 0. It does not allocate.
//
// Readings in even steps of s degrees, each with a standard uncertainty u,
// leave sqrt(6) u/s^2 on a second difference: half a thousandth read every two
// cam degrees leaves 0.0003 in per cam degree squared.
//
// Rows: a-s1-natural-amax, a-s5-notaknot-amax, a-s10-natural-amax,
// sp-natural-d2-1p75, sp-clamped-c0-1, per-250.
func (t *TableLobe) Motion(fromNose units.CamAngle) LobeMotion {
	return t.derive(fromNose.Degrees()).motion()
}

func (t *TableLobe) derive(deg float64) state {
	x := deg + t.shift
	y, v := t.p.eval(x)
	a, j := t.p.higher(x)
	return state{y, v, a, j}
}

func (t *TableLobe) breaks() []float64 {
	b := slices.Clone(t.p.x)
	for i := range b {
		b[i] -= t.shift
	}
	return b
}

// higher returns the second and third derivative, 0 beyond the ends.
func (p *pieces) higher(x float64) (a, j float64) {
	if len(p.x) == 0 || x < p.x[0] || x > p.x[len(p.x)-1] {
		return 0, 0
	}
	i := p.find(x)
	c := &p.c[i]
	return 2*c[2] + 6*c[3]*(x-p.x[i]), 6 * c[3]
}

// Motion returns lift, velocity, acceleration and jerk at a cam angle from the
// nose by the chain rule over the law s, skewed as the lobe's is, and its bent
// scale w:
//
//	y = h s    v = h s' w'    a = h (s'' w'^2 + s' w'')
//	j = h (s''' w'^3 + 3 s'' w' w'' + s' w''')
//
// What a card says of the acceleration is little: it is that of the curve in
// use, one of a family whose accelerations differ far more than their lifts. It
// does not allocate.
//
// Rows: shape-card-lift, shape-card-acceleration, shape-card-jerk.
func (c *CardLobe) Motion(fromNose units.CamAngle) LobeMotion {
	return c.derive(fromNose.Degrees()).motion()
}

func (c *CardLobe) derive(deg float64) state {
	if len(c.members) == 0 { // the zero CardLobe never lifts
		return state{}
	}
	return c.members[c.used].derive(deg)
}

func (m *cardMember) derive(deg float64) state {
	sign := -1.0
	if deg < 0 {
		deg, sign = -deg, 1
	}
	var w, w1, w2, w3 float64
	if deg > m.end {
		w, w1 = m.w+m.slope*(deg-m.end), m.slope
		if w < 0 {
			return state{}
		}
	} else {
		w, w1 = m.scale.eval(deg)
		w2, w3 = m.scale.higher(deg)
	}
	if c := m.skew; c != 0 { // the chain rule through g(w) = w (1 + c)/(1 + c w)
		d := 1 + c*w
		g1 := (1 + c) / (d * d)
		g2, g3 := -2*c*g1/d, 6*c*c*g1/(d*d)
		w, w1, w2, w3 = w*(1+c)/d, g1*w1, g2*w1*w1+g1*w2, g3*w1*w1*w1+3*g2*w1*w2+g1*w3
	}
	s := m.law.At(w)
	return state{
		m.h * s.S, -sign * m.h * s.V * w1,
		m.h * (s.A*w1*w1 + s.V*w2),
		-sign * m.h * (s.J*w1*w1*w1 + 3*s.A*w1*w2 + s.V*w3),
	}
}

func (c *CardLobe) breaks() []float64 {
	if len(c.members) == 0 {
		return []float64{0, 0}
	}
	m := &c.members[c.used]
	half := append(slices.Clone(m.scale.x), m.base)
	for _, u := range m.law.joins() {
		u /= 1 + m.skew - m.skew*u // where the skewed law has its join
		// w falls from 1 at the nose to 0 on the base circle.
		if x, ok := root(0, m.base, func(x float64) (float64, float64) {
			if x > m.end {
				return m.w + m.slope*(x-m.end) - u, m.slope
			}
			w, w1 := m.scale.eval(x)
			return w - u, w1
		}); ok {
			half = append(half, x)
		}
	}
	b := slices.Clone(half)
	for _, x := range half {
		if x > 0 {
			b = append(b, -x)
		}
	}
	slices.Sort(b)
	return b
}

// place is a value at an angle.
type place struct{ x, y float64 }

// walk samples a function piece by piece, in order of the angle: both ends of
// every piece from inside it, points between, and every place where the slope
// changes its sign, to the last bit. f returns value and slope; only the sign
// of the slope is used.
func walk(breaks []float64, f func(float64) (float64, float64)) []place {
	const inside = 1e-11 // cam degrees, far below the quantum of an angle
	n := max(8, 512/len(breaks))
	var out []place
	for i := range len(breaks) - 1 {
		lo, hi := breaks[i]+inside, breaks[i+1]-inside
		if hi <= lo {
			continue
		}
		x0 := lo
		y0, s0 := f(x0)
		out = append(out, place{x0, y0})
		for k := 1; k <= n; k++ {
			x := lo + (hi-lo)*float64(k)/float64(n)
			y, s := f(x)
			if s0*s < 0 {
				if t, ok := root(x0, x, func(x float64) (float64, float64) { _, s := f(x); return s, 0 }); ok {
					v, _ := f(t)
					out = append(out, place{t, v})
				}
			}
			out = append(out, place{x, y})
			x0, s0 = x, s
		}
	}
	return out
}

// greatest returns the place with the largest value of those between two
// angles; of equal ones, to a part in 1e12, the one nearest to the nose.
func greatest(p []place, from, to float64) place {
	best := place{math.NaN(), math.Inf(-1)}
	for _, q := range p {
		if q.x < from || q.x > to {
			continue
		}
		if tie := 1e-12 * math.Abs(q.y); q.y > best.y+tie || q.y >= best.y-tie && math.Abs(q.x) < math.Abs(best.x) {
			best = q
		}
	}
	return best
}

// least is greatest of the negative.
func least(p []place, from, to float64) place {
	q := slices.Clone(p)
	for i := range q {
		q[i].y = -q[i].y
	}
	b := greatest(q, from, to)
	return place{b.x, -b.y}
}

// Peaks are the extremes of a lobe's motion, each with the cam angle from the
// nose at which it stands; of equal ones the one nearest to the nose.
type Peaks struct {
	Opening, Closing VelocityPeak // closing is negative
	// OpeningAcceleration and ClosingAcceleration are the greatest on each
	// flank, Deceleration the least of the whole lobe, which is negative.
	OpeningAcceleration, ClosingAcceleration, Deceleration AccelerationPeak
}

// VelocityPeak is an extreme of the slope of a lift curve.
type VelocityPeak struct {
	Value units.LiftVelocity
	At    units.CamAngle
}

// AccelerationPeak is an extreme of the second derivative of a lift curve.
type AccelerationPeak struct {
	Value units.LiftAcceleration
	At    units.CamAngle
}

// PeaksOf answers how fast and how hard a lobe moves its follower at most: the
// extremes of velocity and acceleration, sought between the joins of the curve
// where the next derivative changes sign, and on both sides of every join.
//
// A curve without derivatives is refused (ErrMissing), so is a table that was
// not joined by a spline (ErrImpossible). Where a foreign curve jumps is not
// known: its peaks beside a jump are found to a 512th of the flank.
//
// Source: peak factors of the laws, Rothbart (ed.), Cam Design Handbook (2004),
// ch. 3, table 4.2.
//
// Rows: a-amax, a-amax-theta, a-amin-theta, b-amax-open, a-s1-natural-vmax,
// a-s1-natural-amax, a-s5-notaknot-amax, sar-9-2-rise, khu-shm-a-fall,
// khu-shm-v-rise, arc-suction-vmax.
func PeaksOf(c LiftCurve) (Peaks, error) {
	d, err := deriverOf("LiftCurve", c)
	if err != nil {
		return Peaks{}, err
	}
	b := d.breaks()
	lo, hi := b[0], b[len(b)-1]
	v := walk(b, func(x float64) (float64, float64) { s := d.derive(x); return s.v, s.a })
	a := walk(b, func(x float64) (float64, float64) { s := d.derive(x); return s.a, s.j })
	speed := func(p place) VelocityPeak { return VelocityPeak{units.LiftVelocity(p.y), camAngle(p.x)} }
	accel := func(p place) AccelerationPeak { return AccelerationPeak{units.LiftAcceleration(p.y), camAngle(p.x)} }
	return Peaks{
		Opening: speed(greatest(v, lo, 0)), Closing: speed(least(v, 0, hi)),
		OpeningAcceleration: accel(greatest(a, lo, 0)), ClosingAcceleration: accel(greatest(a, 0, hi)),
		Deceleration: accel(least(a, lo, hi)),
	}, nil
}
