package camtiming

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"

	"example.com/trialfit/units"
)

// LiftSample is one measured point of a lobe.
type LiftSample struct {
	Angle units.CamAngle // from the table's own origin, increasing in cam rotation
	Lift  units.Length
}

// Interpolation says how a table is joined up.
type Interpolation uint8

const (
	// Monotone joins the points with the cubic of Fritsch and Butland (1984):
	// no overshoot, a smooth slope. It is the default.
	Monotone Interpolation = iota
	// NaturalSpline is the cubic spline with no curvature at the ends.
	NaturalSpline
	// NotAKnotSpline is the cubic spline whose first two and last two pieces
	// are one cubic each.
	NotAKnotSpline
	// Straight joins the points with straight lines.
	Straight
	// ClampedSpline is the cubic spline that is level at both ends, as a lobe
	// is where it meets the base circle.
	ClampedSpline
	// PeriodicSpline is the cubic spline whose last point is its first again,
	// one cam turn on, with the same slope and curvature. The table must cover a
	// whole cam turn and end on the lift with which it begins.
	PeriodicSpline
)

// spline tells whether the curve bends without a jump.
func (i Interpolation) spline() bool {
	return i == NaturalSpline || i == NotAKnotSpline || i == ClampedSpline || i == PeriodicSpline
}

// TableOrigin says where a table's angles are counted from.
type TableOrigin uint8

const (
	// FromNose moves the origin to the highest point of the joined curve.
	FromNose TableOrigin = iota
	// AsMeasured keeps the table's angles: its zero is already the
	// centerline that the caller means.
	AsMeasured
)

// TableLobeSpec describes a lobe by measured lift. Samples needs four points
// or more; the other fields have meaningful zero values.
type TableLobeSpec struct {
	Samples       []LiftSample
	Interpolation Interpolation
	Origin        TableOrigin
}

// TableLobe is a lobe known by measured lift at many angles.
type TableLobe struct {
	p          pieces
	nose, peak float64 // cam degrees in the table, meters
	shift      float64 // table angle of the origin
	span       Span
	how        Interpolation
}

// NewTableLobe joins a table of lift into a curve. The steps may be uneven.
// Angles that do not increase, a negative lift, fewer than four points, ends
// that stand more than 0.5 % of the greatest lift off zero (the table does not
// reach the base circle, or its indicator was not set to zero there), a table
// over one cam turn and one whose origin does not lie on the lobe are errors.
// Past its ends the lobe is on the base circle and lifts nothing. The splines may swing below the base
// circle between points; Monotone does not.
//
// Rows: a-s1-natural-ang-0p050, a-s5-notaknot-dur-0p050,
// a-s10-natural-dur-0p006, a-s5-linear-ang-0p050, a-dial-nat-0p020,
// sp-natural-s-1p75, sp-notaknot-d1-1p75, sp-clamped-s-1p75, per-100, pchip-3p0.
func NewTableLobe(spec TableLobeSpec) (*TableLobe, error) {
	n := len(spec.Samples)
	if n < 4 {
		return nil, fail("Samples", "", units.ErrMissing, "want four points or more")
	}
	if n > 1<<16 {
		return nil, fail("Samples", strconv.Itoa(n), units.ErrRange, "want at most 65,536 points")
	}
	x, y := make([]float64, n), make([]float64, n)
	low, high := spec.Samples[0].Lift, spec.Samples[0].Lift
	for i, s := range spec.Samples {
		if i > 0 && s.Angle <= spec.Samples[i-1].Angle {
			return nil, fail("Samples.Angle", s.Angle.String(), units.ErrConflict, "the angles must increase from point to point")
		}
		if !within(s.Angle, 10*units.CamTurn) {
			return nil, fail("Samples.Angle", s.Angle.String(), units.ErrRange, "want an angle within ten cam turns")
		}
		if s.Lift < 0 || s.Lift > units.Meter {
			return nil, fail("Samples.Lift", s.Lift.String(), units.ErrRange, "want a lift of 0 to 1 m")
		}
		x[i], y[i] = s.Angle.Degrees(), s.Lift.Meters()
		low, high = min(low, s.Lift), max(high, s.Lift)
	}
	if !(x[n-1]-x[0] <= 360) {
		return nil, fail("Samples.Angle", "", units.ErrRange, "the table is longer than one cam turn")
	}
	if high == low {
		return nil, fail("Samples.Lift", high.String(), units.ErrRange, "the table never lifts")
	}
	for _, end := range [...]LiftSample{spec.Samples[0], spec.Samples[n-1]} {
		if 200*float64(end.Lift) > float64(high) {
			return nil, fail("Samples", end.Lift.String()+" at "+end.Angle.String(), units.ErrMissing,
				"the table must reach the base circle at both ends and read zero there: measure farther, or take the base reading off")
		}
	}
	if spec.Interpolation == PeriodicSpline && (spec.Samples[n-1].Angle-spec.Samples[0].Angle != units.CamTurn || spec.Samples[n-1].Lift != spec.Samples[0].Lift) {
		return nil, fail("Samples", "", units.ErrConflict, "a periodic table must end one cam turn after its first point, on the same lift")
	}
	p, err := join(x, y, spec.Interpolation)
	if err != nil {
		return nil, err
	}
	t := &TableLobe{p: p, how: spec.Interpolation}
	t.nose, t.peak = p.highest()
	// A run of one lift at either end is base circle.
	first, last := 0, n-1
	for first+1 < n && y[first+1] == y[0] {
		first++
	}
	for last > 0 && y[last-1] == y[n-1] {
		last--
	}
	switch spec.Origin {
	case FromNose:
		t.shift = t.nose
	case AsMeasured:
		if x[first] >= 0 || x[last] <= 0 {
			return nil, fail("Origin", "", units.ErrConflict, "the table's zero does not lie on the lobe")
		}
	default:
		return nil, fail("Origin", "", units.ErrRange, "want FromNose or AsMeasured")
	}
	t.span = Span{camAngle(x[first] - t.shift), camAngle(x[last] - t.shift)}
	return t, nil
}

func (t *TableLobe) eval(deg float64) (lift, slope float64) { return t.p.eval(deg + t.shift) }

func (t *TableLobe) bracket(y, end float64) (inner, outer float64) {
	inner, outer = t.p.bracket(y, t.nose, end > t.nose-t.shift)
	return inner - t.shift, outer - t.shift
}

// Lift returns the lift at a cam angle from the origin; 0 past the table's
// ends.
//
// Rows: a-s1-natural-l33, a-s5-notaknot-l33.
func (t *TableLobe) Lift(fromNose units.CamAngle) units.Length {
	return length(t.p.value(fromNose.Degrees() + t.shift))
}

// Velocity returns the slope at a cam angle from the origin.
//
// Rows: table-vel-33.
func (t *TableLobe) Velocity(fromNose units.CamAngle) units.LiftVelocity {
	_, v := t.eval(fromNose.Degrees())
	return units.LiftVelocity(v)
}

// MaxLift returns the highest lift of the joined curve.
//
// Rows: table-max.
func (t *TableLobe) MaxLift() units.Length { return length(t.peak) }

// Span returns where the table leaves and meets the base circle, from the
// origin: its outermost points, less a run of one and the same lift at an end.
func (t *TableLobe) Span() Span { return t.span }

// Nose returns where the curve is highest, from the origin: 0 unless the
// table keeps its own origin.
//
// Rows: table-nose.
func (t *TableLobe) Nose() units.CamAngle { return camAngle(t.nose - t.shift) }

// knots are the joins of a piecewise polynomial.
type knots struct {
	x    []float64
	step float64 // 1/step where they are even, else 0
	// Where they are not, the range is cut into even cells: the piece that holds
	// the start of each, and cells per cam degree.
	start []int32
	cells float64
}

func knotsAt(x []float64) knots {
	k := knots{x: x}
	if even := (x[len(x)-1] - x[0]) / float64(len(x)-1); even > 0 {
		k.step = 1 / even
		for i, v := range x {
			if math.Abs(v-(x[0]+float64(i)*even)) > 1e-9*even {
				k.step = 0
			}
		}
	}
	if k.step == 0 {
		k.index()
	}
	return k
}

// pieces is a piecewise cubic: y = c0 + c1 d + c2 d^2 + c3 d^3, d = x - x[i].
type pieces struct {
	knots
	c [][4]float64
}

// join finds the pieces and keeps their coefficients, so that an evaluation
// is one look-up and one Horner scheme. A spline solves for its second derivatives at
// the points, which are one tridiagonal system for each kind of end.
//
// Source: de Boor, A Practical Guide to Splines (1978), ch. IV; Fritsch and
// Butland, SIAM J. Sci. Stat. Comput. 5 (1984), p. 300.
func join(x, y []float64, how Interpolation) (pieces, error) {
	p := pieces{knots: knotsAt(x), c: make([][4]float64, len(x)-1)}
	switch how {
	case Straight:
		for i := range p.c {
			p.c[i] = [4]float64{y[i], (y[i+1] - y[i]) / (x[i+1] - x[i])}
		}
	case Monotone:
		d := monotoneSlopes(x, y)
		for i := range p.c {
			h := x[i+1] - x[i]
			s := (y[i+1] - y[i]) / h
			p.c[i] = [4]float64{y[i], d[i], (3*s - 2*d[i] - d[i+1]) / h, (d[i] + d[i+1] - 2*s) / (h * h)}
		}
	case NaturalSpline, NotAKnotSpline, ClampedSpline, PeriodicSpline:
		m, ok := splineBends(x, y, how)
		if !ok {
			return pieces{}, fail("Samples", "", units.ErrImpossible, "the points cannot be joined: they stand too close together")
		}
		for i := range p.c {
			h := x[i+1] - x[i]
			p.c[i] = [4]float64{y[i], (y[i+1]-y[i])/h - h*(2*m[i]+m[i+1])/6, m[i] / 2, (m[i+1] - m[i]) / (6 * h)}
		}
	default:
		return pieces{}, fail("Interpolation", "", units.ErrRange, "want one of the Interpolation constants")
	}
	return p, nil
}

// monotoneSlopes returns the slopes of Fritsch and Butland: the weighted
// harmonic mean of the neighboring slopes where they agree in sign, else 0.
func monotoneSlopes(x, y []float64) []float64 {
	n := len(x)
	d := make([]float64, n)
	h0, s0 := x[1]-x[0], (y[1]-y[0])/(x[1]-x[0])
	d[0] = edgeSlope(h0, x[2]-x[1], s0, (y[2]-y[1])/(x[2]-x[1]))
	for i := 1; i < n-1; i++ {
		h1 := x[i+1] - x[i]
		s1 := (y[i+1] - y[i]) / h1
		if s0*s1 > 0 {
			d[i] = 3 * (h0 + h1) / ((h0+2*h1)/s0 + (2*h0+h1)/s1)
		}
		h0, s0 = h1, s1
	}
	d[n-1] = edgeSlope(h0, x[n-2]-x[n-3], s0, (y[n-2]-y[n-3])/(x[n-2]-x[n-3]))
	return d
}

// edgeSlope is the slope at the end of the parabola through the last three
// points, kept from overshooting; h, s are those of the last piece.
func edgeSlope(h, inner, s, next float64) float64 {
	g := ((2*h+inner)*s - h*next) / (h + inner)
	switch {
	case g*s <= 0:
		return 0
	case s*next <= 0 && math.Abs(g) > 3*math.Abs(s):
		return 3 * s
	default:
		return g
	}
}

// splineBends returns the second derivatives of a cubic spline at its points.
func splineBends(x, y []float64, how Interpolation) ([]float64, bool) {
	n := len(x)
	work := make([]float64, 4*n)
	low, mid, high, b := work[:n-1], work[n:2*n], work[2*n:3*n-1], work[3*n:]
	h0, s0 := x[1]-x[0], (y[1]-y[0])/(x[1]-x[0])
	first, firstSlope := h0, s0
	for i := 1; i < n-1; i++ {
		h1 := x[i+1] - x[i]
		s1 := (y[i+1] - y[i]) / h1
		low[i-1], mid[i], high[i], b[i] = h0/6, (h0+h1)/3, h1/6, s1-s0
		h0, s0 = h1, s1
	}
	// solve works in place: it spends the matrix.
	solve := func(mid, b []float64, columns int) bool {
		n := len(mid)
		return lapack64.Gtsv(blas.NoTrans, lapack64.Tridiagonal{N: n, DL: low[:n-1], D: mid, DU: high[:n-1]}, blas64.General{Rows: n, Cols: columns, Stride: columns, Data: b})
	}
	switch how {
	case ClampedSpline:
		mid[0], high[0], b[0] = first/3, first/6, firstSlope
		mid[n-1], low[n-2], b[n-1] = h0/3, h0/6, -s0
	case NotAKnotSpline:
		// The third derivative passes through the second point: (m1 - m0)/h0 =
		// (m2 - m1)/h1; m0 leaves the second equation, mn-1 the last but one.
		q, r := x[2]-x[1], x[n-2]-x[n-3]
		mid[1] += first / 6 * (1 + first/q)
		high[1] -= first / 6 * first / q
		mid[n-2] += h0 / 6 * (1 + h0/r)
		low[n-3] -= h0 / 6 * h0 / r
		low, high = low[1:], high[1:]
		if !solve(mid[1:n-1], b[1:n-1], 1) {
			return nil, false
		}
		b[0] = b[1] + first/q*(b[1]-b[2])
		b[n-1] = b[n-2] + h0/r*(b[n-2]-b[n-3])
		return b, true
	case PeriodicSpline:
		// The first point is the last again: a cyclic system, made tridiagonal
		// by the formula of Sherman and Morrison.
		corner := h0 / 6
		mid[0], high[0], b[0] = (first+h0)/3, first/6, firstSlope-s0
		g := -mid[0]
		mid[0] -= g
		mid[n-2] -= corner * corner / g
		two := make([]float64, 2*(n-1)) // the right side and the correction, row by row
		for i := range n - 1 {
			two[2*i] = b[i]
		}
		two[1], two[2*n-3] = g, corner
		if !solve(mid[:n-1], two, 2) {
			return nil, false
		}
		last := two[2*n-4:]
		f := (two[0] + corner*last[0]/g) / (1 + two[1] + corner*last[1]/g)
		for i := range n - 1 {
			b[i] = two[2*i] - f*two[2*i+1]
		}
		b[n-1] = b[0]
		return b, true
	default: // no curvature at the ends
		mid[0], mid[n-1] = 1, 1
		high[0], low[n-2] = 0, 0
	}
	return b, solve(mid, b, 1)
}

// find returns the piece that holds x, the first or last beyond the ends.
func (p *knots) find(x float64) int {
	last := len(p.x) - 2
	if p.step != 0 {
		i := min(max(int((x-p.x[0])*p.step), 0), last)
		if x < p.x[i] && i > 0 {
			i--
		} else if i < last && x >= p.x[i+1] {
			i++
		}
		return i
	}
	cell := min(max(int((x-p.x[0])*p.cells), 0), len(p.start)-1)
	i := int(p.start[cell])
	for i < last && x >= p.x[i+1] {
		i++
	}
	for i > 0 && x < p.x[i] { // the cell's number was rounded up
		i--
	}
	return i
}

// index prepares find for uneven knots.
func (p *knots) index() {
	n := len(p.x) - 1
	p.start = make([]int32, 4*n)
	p.cells = float64(len(p.start)) / (p.x[n] - p.x[0])
	i := 0
	for cell := range p.start {
		for i < n-1 && p.x[i+1] <= p.x[0]+float64(cell)/p.cells {
			i++
		}
		p.start[cell] = int32(i)
	}
}

func (p *pieces) eval(x float64) (y, slope float64) {
	if len(p.x) == 0 || x < p.x[0] || x > p.x[len(p.x)-1] {
		return 0, 0
	}
	i := p.find(x)
	return p.piece(i, x-p.x[i])
}

// value is eval without the slope.
func (p *pieces) value(x float64) float64 {
	if len(p.x) == 0 || x < p.x[0] || x > p.x[len(p.x)-1] {
		return 0
	}
	i := p.find(x)
	d, c := x-p.x[i], &p.c[i]
	return c[0] + d*(c[1]+d*(c[2]+d*c[3]))
}

func (p *pieces) piece(i int, d float64) (y, slope float64) {
	c := &p.c[i]
	return c[0] + d*(c[1]+d*(c[2]+d*c[3])), c[1] + d*(2*c[2]+d*3*c[3])
}

// highest returns where the curve is highest and how high.
func (p *pieces) highest() (x, y float64) {
	y = math.Inf(-1)
	at := func(i int, d float64) {
		if v, _ := p.piece(i, d); v > y {
			x, y = p.x[i]+d, v
		}
	}
	for i := range p.c {
		h := p.x[i+1] - p.x[i]
		at(i, 0)
		at(i, h)
		// No piece leaves the hull of its control points.
		yh, dh := p.piece(i, h)
		if max(p.c[i][0]+p.c[i][1]*h/3, yh-dh*h/3) <= y {
			continue
		}
		// Where the slope c1 + 2 c2 d + 3 c3 d^2 is zero, in the form that
		// keeps its digits for a small c3.
		a, b, c := 3*p.c[i][3], 2*p.c[i][2], p.c[i][1]
		disc := b*b - 4*a*c
		if disc < 0 {
			continue
		}
		q := -(b + math.Copysign(math.Sqrt(disc), b)) / 2
		for _, d := range [...]float64{q / a, c / q} {
			if d > 0 && d < h { // false for NaN and infinities
				at(i, d)
			}
		}
	}
	return x, y
}

// bracket walks from the nose and returns the piece on which the curve first
// falls to y; without one it returns the nose and the end.
func (p *pieces) bracket(y, nose float64, closing bool) (inner, outer float64) {
	i := p.find(nose)
	inner = nose
	if closing {
		for j := i + 1; j < len(p.x); j++ {
			if v, _ := p.eval(p.x[j]); v <= y {
				return inner, p.x[j]
			}
			inner = p.x[j]
		}
		return nose, p.x[len(p.x)-1]
	}
	for j := i; j >= 0; j-- {
		if p.c[j][0] <= y {
			return inner, p.x[j]
		}
		inner = p.x[j]
	}
	return nose, p.x[0]
}
