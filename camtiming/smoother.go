package camtiming

import "math"

// The smoother is the optimal smoother of a curve whose third derivative is
// white noise, read with independent errors. Its estimate is the quintic
// smoothing spline: of all curves, the one that makes
//
//	sum (y_i - f(t_i))^2 + lambda * integral of f'''(t)^2 dt
//
// least, and its covariance is that of the spline as a Bayes estimate. State f,
// f', f'' and steps in time: the whole costs a number of operations in
// proportion to the number of readings, for any spacing.
//
// Source: Wahba, Spline Models for Observational Data (1990), ch. 1, 4 and 5;
// Wecker and Ansley, J. Am. Stat. Assoc. 78 (1983), p. 81, for the form in steps.

// vec3 is a state: value, slope and curvature; sym3 a symmetric matrix 00, 01, 02, 11, 12, 22.
type (
	vec3 [3]float64
	sym3 [6]float64
)

// belief is what a stretch of readings says of the state at one place: mean
// and covariance as precision L and precision times mean, so that no reading
// at all is precision 0. Unit of variance is that of one reading.
type belief struct {
	l sym3
	b vec3
}

// readings are the points that the smoother works on, t and y scaled to about
// one step and one lift; w is 1 for a reading that counts, 0 for one left out.
type readings struct {
	t, y, w []float64
}

// drift is the covariance that the white noise adds over a step h.
func drift(q, h float64) sym3 {
	h2 := h * h
	q *= h
	return sym3{q * h2 * h2 / 20, q * h2 * h / 8, q * h2 / 6, q * h2 / 3, q * h / 2, q}
}

// carry moves a state by h along its Taylor series.
func (m vec3) carry(h float64) vec3 {
	return vec3{m[0] + h*(m[1]+h/2*m[2]), m[1] + h*m[2], m[2]}
}

// carry moves a covariance by h: F P F'.
func (p sym3) carry(h float64) sym3 {
	// Rows of F P.
	k := h * h / 2
	a0, a1, a2 := p[0]+h*p[1]+k*p[2], p[1]+h*p[3]+k*p[4], p[2]+h*p[4]+k*p[5]
	b1, b2 := p[3]+h*p[4], p[4]+h*p[5]
	return sym3{a0 + h*a1 + k*a2, a1 + h*a2, a2, b1 + h*b2, b2, p[5]}
}

func (p sym3) plus(q sym3) sym3 {
	for i := range p {
		p[i] += q[i]
	}
	return p
}

func (p sym3) times(v vec3) vec3 {
	return vec3{
		p[0]*v[0] + p[1]*v[1] + p[2]*v[2],
		p[1]*v[0] + p[3]*v[1] + p[4]*v[2],
		p[2]*v[0] + p[4]*v[1] + p[5]*v[2],
	}
}

// inverse of a positive definite matrix through its square roots, scaled to a
// unit diagonal so that unlike units do no harm.
func (p sym3) inverse() sym3 {
	s0, s1, s2 := 1/math.Sqrt(p[0]), 1/math.Sqrt(p[3]), 1/math.Sqrt(p[5])
	r01, r02, r12 := p[1]*s0*s1, p[2]*s0*s2, p[4]*s1*s2
	// Cholesky of the correlation matrix.
	l11 := math.Sqrt(1 - r01*r01)
	l21 := (r12 - r01*r02) / l11
	l22 := math.Sqrt(1 - r02*r02 - l21*l21)
	// Inverse of the lower triangle.
	m11, m22 := 1/l11, 1/l22
	m10 := -r01 * m11
	m21 := -l21 * m11 * m22
	m20 := -(r02 + l21*m10) * m22
	return sym3{
		(1 + m10*m10 + m20*m20) * s0 * s0, (m10*m11 + m20*m21) * s0 * s1, m20 * m22 * s0 * s2,
		(m11*m11 + m21*m21) * s1 * s1, m21 * m22 * s1 * s2, m22 * m22 * s2 * s2,
	}
}

// step carries a belief by h through the noise q:
//
//	M = F^-T L F^-1    L' = M (I + Q M)^-1    b' = (I + M Q)^-1 F^-T b
//
// which also holds for a precision that is not of full rank.
func (x belief) step(q, h float64) belief {
	// F^-1 is a step of -h; its transpose acts on precision and b.
	h1, k := -h, h*h/2
	l := x.l
	m01 := l[1] + h1*l[0]
	m02 := l[2] + h1*l[1] + k*l[0]
	m11 := l[3] + h1*l[1] + h1*m01
	// Rows of F^-T L, then columns.
	r12 := l[4] + h1*l[2]
	m12 := r12 + h1*(l[3]+h1*l[1]) + k*(l[1]+h1*l[0])
	r20, r21, r22 := l[2]+h1*l[1]+k*l[0], l[4]+h1*l[3]+k*l[1], l[5]+h1*l[4]+k*l[2]
	m22 := r22 + h1*r21 + k*r20
	m := sym3{l[0], m01, m02, m11, m12, m22}
	b := vec3{x.b[0], x.b[1] + h1*x.b[0], x.b[2] + h1*x.b[1] + k*x.b[0]}
	// A = I + M Q, solved for the rows of M and for b.
	d := drift(q, h)
	col := [3]vec3{m.times(vec3{d[0], d[1], d[2]}), m.times(vec3{d[1], d[3], d[4]}), m.times(vec3{d[2], d[4], d[5]})}
	var a [3][3]float64
	for i := range 3 {
		for j := range 3 {
			a[i][j] = col[j][i]
		}
		a[i][i]++
	}
	inv := invert3(&a)
	at := func(i int, v vec3) float64 { return inv[i][0]*v[0] + inv[i][1]*v[1] + inv[i][2]*v[2] }
	c0, c1, c2 := vec3{m[0], m[1], m[2]}, vec3{m[1], m[3], m[4]}, vec3{m[2], m[4], m[5]}
	return belief{
		l: sym3{at(0, c0), (at(0, c1) + at(1, c0)) / 2, (at(0, c2) + at(2, c0)) / 2, at(1, c1), (at(1, c2) + at(2, c1)) / 2, at(2, c2)},
		b: vec3{at(0, b), at(1, b), at(2, b)},
	}
}

func invert3(a *[3][3]float64) [3][3]float64 {
	c00 := a[1][1]*a[2][2] - a[1][2]*a[2][1]
	c01 := a[1][2]*a[2][0] - a[1][0]*a[2][2]
	c02 := a[1][0]*a[2][1] - a[1][1]*a[2][0]
	d := 1 / (a[0][0]*c00 + a[0][1]*c01 + a[0][2]*c02)
	return [3][3]float64{
		{c00 * d, (a[0][2]*a[2][1] - a[0][1]*a[2][2]) * d, (a[0][1]*a[1][2] - a[0][2]*a[1][1]) * d},
		{c01 * d, (a[0][0]*a[2][2] - a[0][2]*a[2][0]) * d, (a[0][2]*a[1][0] - a[0][0]*a[1][2]) * d},
		{c02 * d, (a[0][1]*a[2][0] - a[0][0]*a[2][1]) * d, (a[0][0]*a[1][1] - a[0][1]*a[1][0]) * d},
	}
}

// read adds one reading of weight w.
func (x belief) read(y, w float64) belief {
	x.l[0] += w
	x.b[0] += w * y
	return x
}

// and joins two beliefs from disjoint readings about one state.
func (x belief) and(y belief) belief {
	x.l = x.l.plus(y.l)
	for i := range x.b {
		x.b[i] += y.b[i]
	}
	return x
}

// mirrored is the belief with the axis turned round: f' changes its sign.
func (x belief) mirrored() belief {
	x.l[1], x.l[4], x.b[1] = -x.l[1], -x.l[4], -x.b[1]
	return x
}

// state returns mean and covariance.
func (x belief) state() (vec3, sym3) {
	p := x.l.inverse()
	return p.times(x.b), p
}

// likelihood runs through the readings once and returns the sum of log F and
// of e^2/F over the readings beyond the first three, e the error of each
// prediction and F its variance in that of one reading: the restricted
// likelihood, in which the first three settle the parabola that q leaves free.
func (r readings) likelihood(q float64) (logF, square float64, n int) {
	var x belief
	var m vec3
	var p sym3
	seen := 0
	product := 1.0
	for i, t := range r.t {
		h := 0.0
		if i > 0 {
			h = t - r.t[i-1]
		}
		if seen < 3 {
			if i > 0 {
				x = x.step(q, h)
			}
			if r.w[i] > 0 {
				x = x.read(r.y[i], 1)
				if seen++; seen == 3 {
					m, p = x.state()
				}
			}
			continue
		}
		m, p = m.carry(h), p.carry(h).plus(drift(q, h))
		if r.w[i] == 0 {
			continue
		}
		f := 1 + p[0]
		e := r.y[i] - m[0]
		product *= f
		if product > 1e200 {
			logF += math.Log(product)
			product = 1
		}
		square += e * e / f
		n++
		k := vec3{p[0] / f, p[1] / f, p[2] / f}
		p = sym3{p[0] / f, p[1] / f, p[2] / f, p[3] - k[1]*p[1], p[4] - k[1]*p[2], p[5] - k[2]*p[2]}
		for j := range m {
			m[j] += k[j] * e
		}
	}
	return logF + math.Log(product), square, n
}

// smoothed holds the beliefs of the readings up to and with each knot from
// either side; the ones from behind are mirrored.
type smoothed struct {
	q            float64
	r            readings
	ahead, after []belief
}

func (r readings) smooth(q float64) smoothed {
	n := len(r.t)
	s := smoothed{q: q, r: r, ahead: make([]belief, n), after: make([]belief, n)}
	var x belief
	for i := range n {
		if i > 0 {
			x = x.step(q, r.t[i]-r.t[i-1])
		}
		x = x.read(r.y[i], r.w[i])
		s.ahead[i] = x
	}
	x = belief{}
	for i := n - 1; i >= 0; i-- {
		if i < n-1 {
			x = x.step(q, r.t[i+1]-r.t[i])
		}
		x = x.read(r.y[i], r.w[i])
		s.after[i] = x
	}
	return s
}

// knot returns mean and covariance of the state at a reading.
func (s *smoothed) knot(i int) (vec3, sym3) {
	x := s.ahead[i]
	if i < len(s.after)-1 {
		x = x.and(s.after[i+1].step(s.q, s.r.t[i+1]-s.r.t[i]).mirrored())
	}
	return x.state()
}

// between returns mean and covariance of the state at t in the piece behind
// knot i, its ends included.
func (s *smoothed) between(i int, t float64) (vec3, sym3) {
	x := s.ahead[i].step(s.q, t-s.r.t[i])
	return x.and(s.after[i+1].step(s.q, s.r.t[i+1]-t).mirrored()).state()
}

// pull returns the mean at a reading and how far that reading pulls the curve
// there: the diagonal of the matrix that makes the curve out of the readings.
func (s *smoothed) pull(i int) (mean, share float64) {
	m, p := s.knot(i)
	return m[0], p[0]
}
