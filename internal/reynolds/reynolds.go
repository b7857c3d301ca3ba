// Package reynolds solves the Reynolds equation for a plain journal bearing on
// a grid. The table of package film is computed with it, and its tests compare
// the table's interpolation with it between the nodes.
//
// In theta from the widest gap in the sense of rotation, and in zeta from
// mid-width (0) to the edge (1), with h = 1 + eps cos theta in radial
// clearances and p in mu omega (r/c)^2,
//
//	d/dtheta(h^3 dp/dtheta) + (D/L)^2 d/dzeta(h^3 dp/dzeta) = 6 dh/dtheta
//
// with p = 0 at theta = 0, at theta = 360 degrees and at the edge, and the film
// ruptured where p would fall under 0 (Swift and Stieber: p = dp/dn = 0). That
// is a linear complementarity problem; the vertex-centered finite volumes give
// a Stieltjes matrix, for which the active set method ends at the solution, each
// step being one banded Cholesky factorization.
package reynolds

import (
	"errors"
	"math"
)

// Result holds the dimensionless quantities of a bearing. See package film for
// their definitions.
type Result struct {
	SEps     float64 // S eps, finite at eps = 0
	Phi      float64 // attitude angle, rad
	Q        float64 // Q/(r c N l)
	QsPerEps float64 // Qs/(r c N l) / eps, finite at eps = 0
	PP       float64 // P/pmax
}

// Grid is the number of intervals around and from mid-width to edge.
type Grid struct{ Theta, Zeta int }

// ErrNotSolved reports arguments outside what the solver takes.
var ErrNotSolved = errors.New("reynolds: not solved")

// Extrapolated solves on the grid and on one twice as fine and removes the
// error of second order.
func Extrapolated(lengthRatio, eps float64, g Grid) (Result, error) {
	a, err := Solve(lengthRatio, eps, g)
	if err != nil {
		return Result{}, err
	}
	b, err := Solve(lengthRatio, eps, Grid{2 * g.Theta, 2 * g.Zeta})
	if err != nil {
		return Result{}, err
	}
	x := func(a, b float64) float64 { return b + (b-a)/3 }
	return Result{x(a.SEps, b.SEps), x(a.Phi, b.Phi), x(a.Q, b.Q), x(a.QsPerEps, b.QsPerEps), x(a.PP, b.PP)}, nil
}

// mesh returns n+1 abscissas on [0, end] with spacing in proportion to width.
func mesh(n int, end float64, width func(x float64) float64) []float64 {
	const fine = 20000
	cum := make([]float64, fine+1)
	step := end / fine
	for i := range fine {
		x := float64(i) * step
		cum[i+1] = cum[i] + step/6*(1/width(x)+4/width(x+step/2)+1/width(x+step))
	}
	out := make([]float64, n+1)
	k := 0
	for i := 1; i < n; i++ {
		want := cum[fine] * float64(i) / float64(n)
		for cum[k+1] < want {
			k++
		}
		out[i] = step * (float64(k) + (want-cum[k])/(cum[k+1]-cum[k]))
	}
	out[n] = end
	return out
}

// Solve returns the solution on one grid. At eps = 0 it returns the limit: h
// is 1 and the pressure is that per unit of eps.
func Solve(lengthRatio, eps float64, g Grid) (Result, error) {
	if !(lengthRatio > 0) || math.IsInf(lengthRatio, 0) || !(eps >= 0 && eps < 1) || g.Theta < 8 || g.Zeta < 4 {
		return Result{}, ErrNotSolved
	}
	gap := func(t float64) float64 { return 1 + eps*math.Cos(t) }
	amp := eps
	if eps == 0 {
		amp = 1
	}
	n, m := g.Theta, g.Zeta
	theta := mesh(n, 2*math.Pi, func(t float64) float64 { return math.Sqrt(gap(t)) })
	layer := math.Sqrt(math.Min(1, 2*(1-eps))) / lengthRatio
	a := math.Max(0.3, math.Asinh(1/layer))
	zeta := make([]float64, m+1)
	for j := range zeta {
		zeta[j] = 1 - math.Sinh(a*float64(m-j)/float64(m))/math.Sinh(a)
	}
	zeta[m] = 1
	aspect := 1 / (lengthRatio * lengthRatio)

	cube := func(t float64) float64 { h := gap(t); return h * h * h }
	around := make([]float64, n)   // conductance of theta interval i per zeta
	depth := make([]float64, n+1)  // integral of h^3 over the volume at i
	source := make([]float64, n+1) // -6 integral of dh/dtheta over the volume
	wcos := make([]float64, n+1)   // integral of cos over the volume
	wsin := make([]float64, n+1)   // integral of sin
	across := make([]float64, m)   // 1/interval of zeta
	span := make([]float64, m+1)   // width of the volume at j
	mid := func(i int) float64 { return (theta[i] + theta[i+1]) / 2 }
	for i := range n {
		around[i] = cube(mid(i)) / (theta[i+1] - theta[i])
	}
	for i := range n + 1 {
		lo, hi := theta[0], theta[n]
		if i > 0 {
			lo = mid(i - 1)
		}
		if i < n {
			hi = mid(i)
		}
		depth[i] = (hi - lo) / 6 * (cube(lo) + 4*cube((lo+hi)/2) + cube(hi))
		source[i] = -6 * amp * (math.Cos(hi) - math.Cos(lo))
		wcos[i], wsin[i] = math.Sin(hi)-math.Sin(lo), math.Cos(lo)-math.Cos(hi)
	}
	for j := range m {
		across[j] = 1 / (zeta[j+1] - zeta[j])
		span[j] += (zeta[j+1] - zeta[j]) / 2
		span[j+1] += (zeta[j+1] - zeta[j]) / 2
	}

	s := system{n: n, m: m, around: around, depth: depth, source: source, across: across, span: span, aspect: aspect}
	if !s.solve() {
		return Result{}, ErrNotSolved
	}
	var wr, wt, peak float64
	for i := 1; i < n; i++ {
		for j := range m {
			p := s.at(i, j)
			wr += p * wcos[i] * span[j]
			wt += p * wsin[i] * span[j]
			peak = math.Max(peak, p)
		}
	}
	peak = math.Max(peak, s.peak(theta))
	w := math.Hypot(wr, wt)
	// Flow that enters at theta = 0: the half volume there gives the gradient.
	var grad, edge float64
	for j := range m {
		grad += span[j] * (around[0]*s.at(1, j) + source[0])
	}
	for i := 1; i < n; i++ {
		if p := s.at(i, m-1); p > 0 {
			edge += aspect*across[m-1]*depth[i]*p + span[m]*source[i]
		}
	}
	scale := eps / amp // pressures at eps = 0 are per unit of eps
	r := Result{
		SEps: amp / (math.Pi * w),
		Phi:  math.Atan2(wt, -wr),
		Q:    math.Pi*gap(0) - math.Pi/6*grad*scale,
		PP:   w / 2 / peak,
	}
	r.QsPerEps = math.Pi / 6 * edge / amp
	return r, nil
}

// system is the discrete problem; unknown (i, j) with 1 <= i < n, 0 <= j < m
// stands at (i-1)*m + j.
type system struct {
	n, m                                int
	around, depth, source, across, span []float64
	aspect                              float64
	p                                   []float64
	active                              []bool
}

func (s *system) at(i, j int) float64 {
	if i <= 0 || i >= s.n || j >= s.m {
		return 0
	}
	return s.p[(i-1)*s.m+j]
}

// peak fits a parabola through the largest value at mid-width.
func (s *system) peak(theta []float64) float64 {
	k := 1
	for i := 1; i < s.n; i++ {
		if s.at(i, 0) > s.at(k, 0) {
			k = i
		}
	}
	x0, x1, x2 := theta[k-1], theta[k], theta[k+1]
	y0, y1, y2 := s.at(k-1, 0), s.at(k, 0), s.at(k+1, 0)
	d1, d2 := (y1-y0)/(x1-x0), (y2-y1)/(x2-x1)
	c := (d2 - d1) / (x2 - x0)
	b := d1 + c*(x1-x0) // slope at x1
	if c >= 0 {
		return y1
	}
	return y1 - b*b/(4*c)
}

// coefficients returns the diagonal and the couplings to i-1, i+1, j-1, j+1.
func (s *system) coefficients(i, j int) (diag, im, ip, jm, jp float64) {
	im, ip = s.around[i-1]*s.span[j], s.around[i]*s.span[j]
	if j > 0 {
		jm = s.aspect * s.across[j-1] * s.depth[i]
	}
	jp = s.aspect * s.across[j] * s.depth[i]
	return im + ip + jm + jp, im, ip, jm, jp
}

func (s *system) solve() bool {
	total := (s.n - 1) * s.m
	s.p, s.active = make([]float64, total), make([]bool, total)
	for k := range s.active {
		s.active[k] = true
	}
	band := make([]float64, total*(s.m+1))
	for range 500 {
		s.factor(band)
		changed := false
		for i := 1; i < s.n; i++ {
			for j := range s.m {
				k := (i-1)*s.m + j
				if s.active[k] {
					if s.p[k] < 0 {
						s.active[k], changed = false, true
					}
					continue
				}
				diag, im, ip, jm, jp := s.coefficients(i, j)
				jb := 0.0
				if j > 0 {
					jb = jm * s.at(i, j-1)
				}
				res := diag*s.p[k] - im*s.at(i-1, j) - ip*s.at(i+1, j) - jb - jp*s.at(i, j+1) - s.source[i]*s.span[j]
				if res < -1e-13*s.span[j] {
					s.active[k], changed = true, true
				}
			}
		}
		if !changed {
			return true
		}
	}
	return false
}

// factor solves for the active unknowns, the others being 0.
func (s *system) factor(band []float64) {
	m, w := s.m, s.m+1
	last := 0
	for k, on := range s.active {
		if on {
			last = k + 1
		}
	}
	clear(band[:last*w])
	for k := range s.p {
		s.p[k] = 0
	}
	for k := range last {
		i, j := k/m+1, k%m
		row := band[k*w : k*w+w] // row[m] is the diagonal, row[m-d] column k-d
		if !s.active[k] {
			row[m] = 1
			continue
		}
		diag, im, _, jm, _ := s.coefficients(i, j)
		row[m] = diag
		if k >= m && s.active[k-m] {
			row[0] = -im
		}
		if j > 0 && s.active[k-1] {
			row[m-1] += -jm
		}
		s.p[k] = s.source[i] * s.span[j]
	}
	for k := range last {
		row := band[k*w : k*w+w]
		first := max(0, k-m)
		for c := first; c < k; c++ {
			other := band[c*w : c*w+w]
			from := max(first, c-m)
			a, b := row[m-(k-from):m-(k-c)], other[m-(c-from):m]
			sum := row[m-(k-c)]
			for x, v := range a {
				sum -= v * b[x]
			}
			row[m-(k-c)] = sum / other[m]
		}
		sum := row[m]
		for _, v := range row[m-(k-first) : m] {
			sum -= v * v
		}
		row[m] = math.Sqrt(sum)
	}
	for k := range last {
		row := band[k*w : k*w+w]
		for c := max(0, k-m); c < k; c++ {
			s.p[k] -= row[m-(k-c)] * s.p[c]
		}
		s.p[k] /= row[m]
	}
	for k := last - 1; k >= 0; k-- {
		row := band[k*w : k*w+w]
		s.p[k] /= row[m]
		for c := max(0, k-m); c < k; c++ {
			s.p[c] -= row[m-(k-c)] * s.p[k]
		}
	}
}
