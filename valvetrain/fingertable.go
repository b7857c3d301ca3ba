package valvetrain

import (
	"math"
	"sort"

	"example.com/trialfit/camtiming"
)

// fingerKnot is the finger at one cam angle theta from the nose, in radians, meters
// and derivatives over theta.
type fingerKnot struct {
	theta             float64
	lift, v, a, j     float64
	arm, arm1         float64 // of the common normal about the pivot
	kappa, kappa1     float64 // curvature of the path of the pad's center
	sliding, sliding1 float64 // way of the lobe past the pad for each radian
}

// fingerTable is a finger over the cam angle, as knots so near to each other that
// the cubics and quintics through their values and slopes differ from the closed
// form by less than it is rounded by. No piece crosses a join of the lobe: there two
// knots stand at one angle, one for each side.
type fingerTable struct {
	knots   []fingerKnot
	cells   []int32 // the last knot before an even step of the angle
	lo, per float64 // angle of the first cell, cells for each radian
}

// fingerSteps is how many pieces a lobe has at least, finerBy how often one may be
// halved where the lobe hides a join.
const (
	fingerSteps = 1024
	finerBy     = 14
)

// knot returns what the table holds of a state.
func (c *FingerCurve) knot(s *fingerState) fingerKnot {
	return fingerKnot{
		theta: s.theta, lift: s.net, v: s.v, a: s.a, j: s.j, arm: s.across, arm1: s.across1,
		kappa: s.kappa, kappa1: s.kappa1, sliding: s.sliding, sliding1: s.sliding1,
	}
}

// tabulate fills the table between the joins of the lobe; acc is the greatest
// acceleration.
func (c *FingerCurve) tabulate(acc float64) error {
	const inside = 1e-10 // off a join, to be on one side of it
	joins, err := camtiming.Joins(c.spec.Lobe)
	if err != nil {
		return fromCamtiming("Lobe", err)
	}
	t := &c.table
	step := (joins[len(joins)-1] - joins[0]).Radians() / fingerSteps
	for i := range len(joins) - 1 {
		from, to := joins[i].Radians()+inside, joins[i+1].Radians()-inside
		if !(to > from) {
			continue
		}
		n := int(max(1, math.Ceil((to-from)/step)))
		p0 := from
		s, _ := c.at(p0)
		t.knots = append(t.knots, c.knot(&s))
		for k := range n {
			p1 := from + (to-from)*float64(k+1)/float64(n)
			c.piece(p0, p1, acc, finerBy)
			p0 = p1
		}
	}
	cells := len(t.knots)
	t.lo = t.knots[0].theta
	t.per = float64(cells) / (t.knots[cells-1].theta - t.lo)
	t.cells = make([]int32, cells+1)
	for i := range t.cells {
		at := t.lo + float64(i)/t.per
		t.cells[i] = int32(max(sort.Search(cells, func(k int) bool { return t.knots[k].theta > at })-1, 0))
	}
	return nil
}

// piece adds the knot at p1 to one at p0, and others between them where the table
// would not be true.
func (c *FingerCurve) piece(p0, p1, acc float64, depth int) {
	t := &c.table
	s1, _ := c.at(p1)
	k0, k1 := t.knots[len(t.knots)-1], c.knot(&s1)
	m, _ := c.at((p0 + p1) / 2)
	w := k1.theta - k0.theta
	x := (m.theta - k0.theta) / w
	lift := quintic(x, k0.lift, k0.v*w, k0.a*w*w, k1.lift, k1.v*w, k1.a*w*w)
	a := cubic(x, k0.a, k0.j*w, k1.a, k1.j*w)
	if depth > 0 && (math.Abs(lift-m.net) > 2e-12 || math.Abs(a-m.a) > 1e-9*acc) {
		c.piece(p0, (p0+p1)/2, acc, depth-1)
		c.piece((p0+p1)/2, p1, acc, depth-1)
		return
	}
	t.knots = append(t.knots, k1)
}

// find returns the knots about an angle, how far it lies from the one to the other
// (a share) and the width of the piece.
func (t *fingerTable) find(theta float64) (l, r *fingerKnot, u, w float64) {
	i := int(min(max((theta-t.lo)*t.per, 0), float64(len(t.cells)-1)))
	last := len(t.knots) - 2
	k := min(int(t.cells[i]), last)
	for k < last && t.knots[k+1].theta < theta {
		k++
	}
	// Two knots at a join hold no piece between them.
	for k > 0 && t.knots[k+1].theta-t.knots[k].theta < 1e-9 {
		k--
	}
	l, r = &t.knots[k], &t.knots[k+1]
	w = r.theta - l.theta
	return l, r, (theta - l.theta) / w, w
}

// quintic returns what the polynomial with these values, slopes and second
// derivatives at 0 and 1 has at u.
func quintic(u, y0, s0, c0, y1, s1, c1 float64) float64 {
	d := y1 - y0
	return y0 + u*(s0+u*(c0/2+u*(10*d-6*s0-4*s1-1.5*c0+0.5*c1+u*(-15*d+8*s0+7*s1+1.5*c0-c1+u*(6*d-3*(s0+s1)+0.5*(c1-c0))))))
}

// cubicSlope is the derivative of cubic over u.
func cubicSlope(u, y0, s0, y1, s1 float64) float64 {
	d := y1 - y0
	return s0 + u*(2*(3*d-2*s0-s1)+3*u*(s0+s1-2*d))
}

func (t *fingerTable) lift(theta float64) float64 {
	l, r, u, w := t.find(theta)
	return quintic(u, l.lift, l.v*w, l.a*w*w, r.lift, r.v*w, r.a*w*w)
}

func (t *fingerTable) velocity(theta float64) float64 {
	l, r, u, w := t.find(theta)
	return quintic(u, l.v, l.a*w, l.j*w*w, r.v, r.a*w, r.j*w*w)
}

// fingerMotion is the valve by the table, and the arm of the cam's force.
type fingerMotion struct {
	net, v, a, j float64 // of the valve, over radians of the cam
	arm, arm1    float64
}

func (t *fingerTable) motion(theta float64, m *fingerMotion) {
	l, r, u, w := t.find(theta)
	w2 := w * w
	m.net = quintic(u, l.lift, l.v*w, l.a*w2, r.lift, r.v*w, r.a*w2)
	m.v = quintic(u, l.v, l.a*w, l.j*w2, r.v, r.a*w, r.j*w2)
	m.a = cubic(u, l.a, l.j*w, r.a, r.j*w)
	m.j = cubicSlope(u, l.a, l.j*w, r.a, r.j*w) / w
	m.arm = cubic(u, l.arm, l.arm1*w, r.arm, r.arm1*w)
	m.arm1 = cubicSlope(u, l.arm, l.arm1*w, r.arm, r.arm1*w) / w
}

// contact returns the curvature of the lobe under a pad of radius rf, and the way
// of the lobe past it for each radian.
func (t *fingerTable) contact(theta, rf float64) (lobe, sliding float64) {
	l, r, u, w := t.find(theta)
	sliding = cubic(u, l.sliding, l.sliding1*w, r.sliding, r.sliding1*w)
	if path := cubic(u, l.kappa, l.kappa1*w, r.kappa, r.kappa1*w); path != 0 {
		lobe = 1 / (1/path - rf)
	}
	return lobe, sliding
}
