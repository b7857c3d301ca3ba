package film

import (
	"fmt"
	"math"
	"strconv"

	"example.com/trialfit/units"
)

func fail(field, value string, kind error, reason string) error {
	return &units.InputError{Package: "film", Field: field, Value: value, Reason: reason, Kind: kind}
}

func show(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

// finite: a NaN or an infinity less itself is no 0.
func finite(x float64) bool { return x-x == 0 }

// positive refuses what is not a finite number over 0.
func positive(field string, x float64) error {
	if x == 0 {
		return fail(field, "", units.ErrMissing, "want a value over 0")
	}
	if !finite(x) || x < 0 {
		return fail(field, show(x), units.ErrRange, "want a finite value over 0")
	}
	return nil
}

// over is positive for a quantity: what is refused is written with its unit.
func over[Q interface {
	~float64
	fmt.Stringer
}](field string, x Q) error {
	if x > 0 && x-x == 0 {
		return nil
	}
	err := positive(field, float64(x))
	if e, ok := err.(*units.InputError); ok && x != 0 { //nolint:errorlint // made by positive, never wrapped
		e.Value = x.String()
	}
	return err
}

// MaxEccentricity is the largest eccentricity ratio that the table holds.
const MaxEccentricity = 0.99

// quantities are ln(S eps x^2/(1+x^2)), phi (rad), Q/(r c N l), Qs/Q, P/pmax.
type quantities [5]float64

// Variables are the dimensionless quantities of a steady film.
type Variables struct {
	LengthRatio   float64          // L/D
	Eccentricity  float64          // eps = e/c
	Sommerfeld    float64          // S = (r/c)^2 mu N/P, N in revolutions per second
	Attitude      units.CrankAngle // phi, from the load line to the smallest gap, with the rotation
	FilmRatio     float64          // h0/c = 1 - eps
	Friction      float64          // (r/c) f
	Flow          float64          // Q/(r c N l), drawn in at the widest gap
	SideShare     float64          // Qs/Q, the share that leaves at the ends
	PressureRatio float64          // P/pmax
}

// Position is a bearing of a shape with its journal at a place.
type Position struct {
	LengthRatio  float64 // L/D; +Inf for a bearing without side flow
	Eccentricity float64 // eps = e/c
}

// Loading is a bearing of a shape under a load.
type Loading struct {
	LengthRatio float64 // L/D; +Inf for a bearing without side flow
	Sommerfeld  float64 // S = (r/c)^2 mu N/P, N in revolutions per second
}

func checkRatio(x float64) error {
	if x == 0 {
		return fail("LengthRatio", "", units.ErrMissing, "want length over diameter")
	}
	if math.IsNaN(x) || x < 0 {
		return fail("LengthRatio", show(x), units.ErrRange, "want length over diameter over 0, +Inf for a bearing without side flow")
	}
	return nil
}

func (p Position) check(largest float64) error {
	if err := checkRatio(p.LengthRatio); err != nil {
		return err
	}
	return checkEccentricity(p.Eccentricity, largest)
}

func checkEccentricity(eps, largest float64) error {
	if eps == 0 {
		return fail("Eccentricity", "", units.ErrMissing, "want over 0: a centered journal carries no load, see Bearing.Petroff")
	}
	if !(eps > 0 && eps <= largest) { // NaN, too
		return fail("Eccentricity", show(eps), units.ErrRange, "want over 0 to "+show(largest))
	}
	return nil
}

// slice is the table at one length ratio: weights of four neighbors.
type slice struct {
	row   int
	w     [4]float64
	share float64 // x^2/(1+x^2); 0 where x is so small that x^2 is it
	x     float64
}

// factor returns ln(x^2/(1+x^2)).
func (s *slice) factor() float64 {
	if s.share == 0 {
		return 2 * math.Log(s.x)
	}
	return math.Log(s.share)
}

// scaled returns ln(S x^2/(1+x^2)).
func (s *slice) scaled(sommerfeld float64) float64 {
	if s.share == 0 || !(sommerfeld > 1e-200 && sommerfeld < 1e200) {
		return math.Log(sommerfeld) + s.factor()
	}
	return math.Log(sommerfeld * s.share)
}

func at(x float64) slice {
	t := 1.0
	if !math.IsInf(x, 1) {
		t = x / (1 + x)
	}
	lo, hi := 0, tableRatios-1
	for hi-lo > 1 {
		if m := (lo + hi) / 2; tableT[m] <= t {
			lo = m
		} else {
			hi = m
		}
	}
	row := min(max(lo-1, 0), tableRatios-4)
	s := slice{row: row, x: x}
	// x over 1e150 or under 1e-150 must not overflow: t is used for both.
	if t2, r := t*t, 1-t; x > 1e-8 {
		s.share = t2 / (t2 + r*r)
	}
	k := lo - row // the interval lies between k and k+1 of the four
	h := tableT[lo+1] - tableT[lo]
	z := (t - tableT[lo]) / h
	z2, z3 := z*z, z*z*z
	s.w[k] += 2*z3 - 3*z2 + 1
	s.w[k+1] += 3*z2 - 2*z3
	addSlope(&s.w, row, k, h*(z3-2*z2+z))
	addSlope(&s.w, row, k+1, h*(z3-z2))
	return s
}

// addSlope adds g times the slope at neighbor k, that of the parabola through
// three neighbors.
func addSlope(w *[4]float64, row, k int, g float64) {
	a := min(max(k-1, 0), 1)
	if row+k == 0 {
		a = 0
	}
	if k == 3 {
		a = 1
	}
	x, p := tableT[row+k], tableT[row+a:row+a+3]
	d01, d02, d12 := p[0]-p[1], p[0]-p[2], p[1]-p[2]
	g /= d01 * d02 * d12
	w[a] += g * d12 * (2*x - p[1] - p[2])
	w[a+1] -= g * d02 * (2*x - p[0] - p[2])
	w[a+2] += g * d01 * (2*x - p[0] - p[1])
}

// node returns quantity 0 at column k.
func (s *slice) node(k int) float64 {
	return s.w[0]*table[s.row][k][0] + s.w[1]*table[s.row+1][k][0] + s.w[2]*table[s.row+2][k][0] + s.w[3]*table[s.row+3][k][0]
}

// piece is a cubic in the place 0..1 between two columns.
type piece struct{ c0, c1, c2, c3 float64 }

func (p piece) value(z float64) float64 { return p.c0 + z*(p.c1+z*(p.c2+z*p.c3)) }

func (p piece) slope(z float64) float64 { return p.c1 + z*(2*p.c2+z*3*p.c3) }

// limited bounds a slope so that the cubic is monotone where its nodes are
// (Fritsch and Carlson).
func limited(m, left, right float64) float64 {
	if left < 0 { // falling: a rising one upside down
		return -rising(-m, -left, -right)
	}
	return rising(m, left, right)
}

func rising(m, left, right float64) float64 {
	if right < left {
		left = right
	}
	switch bound := 3 * left; {
	case !(bound > 0 && m > 0):
		return 0
	case m > bound:
		return bound
	}
	return m
}

// slopes of a quartic at the first and the second of five nodes; else central.
func slopeFirst(f0, f1, f2, f3, f4 float64) float64 {
	return (-25*f0 + 48*f1 - 36*f2 + 16*f3 - 3*f4) / 12
}

func slopeSecond(f0, f1, f2, f3, f4 float64) float64 {
	return (-3*f0 - 10*f1 + 18*f2 - 6*f3 + f4) / 12
}

func slopeCentral(f0, f1, f3, f4 float64) float64 { return (f0 - 8*f1 + 8*f3 - f4) / 12 }

// monotone reports the quantities that fall or rise with eccentricity at every
// length ratio: attitude, side share, pressure ratio. The Sommerfeld number does,
// too, but its table holds ln(S eps ...), which turns; the flow turns.
func monotone(q int) bool { return q == 1 || q >= 3 }

// stencil is six columns of the slice, the cell of interest between place and
// place + 1 of them.
type stencil struct {
	f     [6]quantities
	place int
}

// fill sets it to the columns about cell k of a slice.
func (st *stencil) fill(s *slice, k int) {
	b := min(max(k-2, 0), tableColumns-6)
	st.place = k - b
	rows := (*[4][tableColumns]quantities)(table[s.row:])
	t0, t1, t2, t3 := (*[6]quantities)(rows[0][b:]), (*[6]quantities)(rows[1][b:]), (*[6]quantities)(rows[2][b:]), (*[6]quantities)(rows[3][b:])
	w := s.w
	for j := range st.f {
		p, q, r, u, f := &t0[j], &t1[j], &t2[j], &t3[j], &st.f[j]
		f[0] = w[0]*p[0] + w[1]*q[0] + w[2]*r[0] + w[3]*u[0]
		f[1] = w[0]*p[1] + w[1]*q[1] + w[2]*r[1] + w[3]*u[1]
		f[2] = w[0]*p[2] + w[1]*q[2] + w[2]*r[2] + w[3]*u[2]
		f[3] = w[0]*p[3] + w[1]*q[3] + w[2]*r[3] + w[3]*u[3]
		f[4] = w[0]*p[4] + w[1]*q[4] + w[2]*r[4] + w[3]*u[4]
	}
}

// cubic returns the cubic of quantity q in the cell.
func (st *stencil) cubic(q int) piece {
	f0, f1, f2, f3, f4, f5 := st.f[0][q], st.f[1][q], st.f[2][q], st.f[3][q], st.f[4][q], st.f[5][q]
	var a, b, m1, m2, left, right float64 // values and slopes at the ends, steps beside them
	switch st.place {
	case 0:
		a, b, left, right = f0, f1, f1-f0, f2-f1
		m1, m2 = slopeFirst(f0, f1, f2, f3, f4), slopeSecond(f0, f1, f2, f3, f4)
	case 1:
		a, b, left, right = f1, f2, f1-f0, f3-f2
		m1, m2 = slopeSecond(f0, f1, f2, f3, f4), slopeCentral(f0, f1, f3, f4)
	case 2:
		a, b, left, right = f2, f3, f2-f1, f4-f3
		m1, m2 = slopeCentral(f0, f1, f3, f4), slopeCentral(f1, f2, f4, f5)
	case 3:
		a, b, left, right = f3, f4, f3-f2, f5-f4
		m1, m2 = slopeCentral(f1, f2, f4, f5), -slopeSecond(f5, f4, f3, f2, f1)
	default:
		a, b, left, right = f4, f5, f4-f3, f5-f4
		m1, m2 = -slopeSecond(f5, f4, f3, f2, f1), -slopeFirst(f5, f4, f3, f2, f1)
	}
	d := b - a
	if monotone(q) {
		m1, m2 = limited(m1, left, d), limited(m2, d, right)
	}
	return piece{a, m1, 3*d - 2*m1 - m2, m1 + m2 - 2*d}
}

// variables fills in what belongs to the place z of the cell.
func (st *stencil) variables(v *Variables, x, eps, sommerfeld, z float64) {
	phi := st.cubic(1).value(z)
	deg, _ := units.CrankDegrees(phi * (180 / math.Pi)) // 0 to 90: in range
	v.LengthRatio, v.Eccentricity, v.Sommerfeld, v.FilmRatio = x, eps, sommerfeld, 1-eps
	v.Attitude, v.Friction = deg, friction(sommerfeld, eps, math.Sin(phi))
	v.Flow, v.SideShare, v.PressureRatio = st.cubic(2).value(z), st.cubic(3).value(z), st.cubic(4).value(z)
}

// friction on the journal, the gap taken as full of oil.
func friction(s, eps, sinPhi float64) float64 {
	return 2*math.Pi*math.Pi*s/math.Sqrt(1-eps*eps) + eps/2*sinPhi
}

// Variables answers what a full plain bearing does with its journal at an
// eccentricity:
//
//	S        = Sommerfeld, from the table
//	phi      = Attitude, from the table
//	h0/c     = FilmRatio = 1 - eps
//	(r/c) f  = Friction = 2 pi^2 S/sqrt(1-eps^2) + (eps/2) sin phi
//	Q/(rcNl) = Flow, Qs/Q = SideShare, P/pmax = PressureRatio, from the table
//
// with eps = Eccentricity over 0 to 0.99 and L/D = LengthRatio over 0 to +Inf.
// The table solves the Reynolds equation with Swift-Stieber rupture and is
// interpolated as the package comment says. Friction is that on the journal
// with the gap taken as full of oil all round, the convention of the design
// tables. Errors: a ratio or eccentricity that is missing or outside these
// ranges.
//
// Source: Raimondi and Boyd, A Solution for the Finite Journal Bearing and its
// Application to Analysis and Design III, Trans. ASLE 1 (1958), for the
// quantities and the boundary conditions; the figures are computed.
//
// Rows: rb-1-0.6-S, rb-0.5-0.6-phi, rb-0.25-0.2-rcf, rb-0.5-0.8-q,
// rb-1-0.8-qs, rb-0.25-0.9-pp, rb-inf-0.4-S, cj-2-0.6-S, cj-1-0.5-phi,
// cj-0.75-0.3-S, cj-0.5-0.9-rcf, cj-0.375-0.7-q, cj-0.3-0.4-qs,
// cj-0.25-0.97-pp, cj-inf-0.8-q.
func (p Position) Variables() (Variables, error) {
	if err := p.check(MaxEccentricity); err != nil {
		return Variables{}, err
	}
	s := at(p.LengthRatio)
	u := -math.Log1p(-p.Eccentricity) / tableStep
	k := min(int(u), tableColumns-2)
	z := u - float64(k)
	var st stencil
	st.fill(&s, k)
	lnS := st.cubic(0).value(z) - s.factor() - math.Log(p.Eccentricity)
	var v Variables
	st.variables(&v, p.LengthRatio, p.Eccentricity, math.Exp(lnS), z)
	if !finite(v.Sommerfeld) || !finite(v.Friction) {
		return Variables{}, fail("LengthRatio", show(p.LengthRatio), units.ErrRange, "the Sommerfeld number passes the range of numbers")
	}
	return v, nil
}

// Variables answers where the journal of a full plain bearing runs under a
// load, the inverse of Position.Variables: the eccentricity at which the table
// has the Sommerfeld number S = Sommerfeld, and the other quantities there.
// S falls with eccentricity at every length ratio, so that there is one answer.
// Errors: a length ratio or S that is missing or not over 0; an S so small that
// the eccentricity would pass 0.99, where the film is too thin for the table.
//
// Source: as Position.Variables.
//
// Rows: sh8-3-h0c, sh8-11-h0c, sh8-11-q, sh8-11-qs, sh8-12-h0c, sh8-12-rcf,
// sh8-12-pp, sh8-21-h0c, cj-1-0.5-eps, cj-0.5-0.001-eps, cj-0.25-0.95-eps,
// cj-inf-0.7-eps.
func (l Loading) Variables() (Variables, error) {
	var v Variables
	_, err := l.solve(&v)
	return v, err
}

// solve sets the variables and returns d eps / d ln S.
func (l Loading) solve(v *Variables) (rate float64, err error) {
	if err := checkRatio(l.LengthRatio); err != nil {
		return 0, err
	}
	if err := positive("Sommerfeld", l.Sommerfeld); err != nil {
		return 0, err
	}
	s := at(l.LengthRatio)
	y := s.scaled(l.Sommerfeld)
	lo, hi := 0, tableColumns-1
	for hi-lo > 1 {
		if m := (lo + hi) / 2; s.node(m)-tableLnEps[m] >= y {
			lo = m
		} else {
			hi = m
		}
	}
	var st stencil
	st.fill(&s, lo)
	f := st.cubic(0)
	if lo == tableColumns-2 {
		u := -math.Log1p(-MaxEccentricity)/tableStep - float64(lo)
		if end := f.value(u) - math.Log(MaxEccentricity); y < end-1e-12 {
			return 0, fail("Sommerfeld", show(l.Sommerfeld), units.ErrRange, "want at least "+show(math.Exp(end-s.factor()))+" at this length ratio: the eccentricity would pass 0.99, the end of the table")
		}
	}
	var z, eps float64
	if lo == 0 {
		z, eps = first(f, y)
	} else {
		z, eps = later(f, y, lo)
	}
	st.variables(v, l.LengthRatio, eps, l.Sommerfeld, z)
	if eps == 0 || !finite(v.Friction) {
		*v = Variables{}
		return 0, fail("Sommerfeld", show(l.Sommerfeld), units.ErrRange, "the eccentricity or the friction passes the range of numbers")
	}
	// d eps / d ln S = eps' / (F' - eps'/eps), by u
	return (1 - eps) / (f.slope(z)/tableStep - (1-eps)/eps), nil
}

// later solves f(z) - ln eps = y in cell k > 0, where eps = 1 - exp(-step (k + z)):
// from the cubic through the inverse's ends and their slopes, by Newton's method.
func later(f piece, y float64, k int) (z, eps float64) {
	a, b := f.c0-tableLnEps[k], f.c0+f.c1+f.c2+f.c3-tableLnEps[k+1]
	// d ln eps/dz = step (1 - eps)/eps = step/(exp(u) - 1)
	e := tableExp[k]
	sa, sb := f.c1-tableStep/(e-1), f.slope(1)-tableStep/(e*tableStepExp-1)
	d := b - a
	w := (y - a) / d
	ia, ib := d/sa, d/sb // slopes of the inverse by w
	z = w * (ia + w*((3-2*ia-ib)+w*(ia+ib-2)))
	for range 8 {
		eps = 1 - decay(tableStep*z)/e // over 0.06: nothing cancels
		// Halley's step: q is d ln eps/dz, and q tableStep/eps its fall.
		q := tableStep * (1 - eps) / eps
		g, g1, g2 := f.value(z)-math.Log(eps)-y, f.slope(z)-q, 2*f.c2+6*f.c3*z+q*tableStep/eps
		step := 2 * g * g1 / (2*g1*g1 - g*g2)
		z -= step
		if math.Abs(step) < 1e-4 { // its cube is left, under 1e-12
			x := tableStep * step
			eps -= (1 - eps) * x * (1 + x/2*(1+x/3))
			break
		}
	}
	return z, eps
}

// decay returns exp(-x) for the width of a cell, |x| up to 0.07, by its series: what
// it leaves out is under 1e-16.
func decay(x float64) float64 {
	x2 := x * x
	x4 := x2 * x2
	return (1 - x) + x2*(1.0/2-x*(1.0/6)) + x4*((1.0/24-x*(1.0/120))+x2*(1.0/720-x*(1.0/5040))+x4*(1.0/40320))
}

// first solves in the first cell, where ln S goes as -ln eps, by Newton's
// method in ln eps, in which the curve is nearly straight.
func first(f piece, y float64) (z, eps float64) {
	ln := f.c0 - y
	for range 12 {
		if ln > -math.Ln2 {
			ln = -math.Ln2
		}
		eps = math.Exp(ln)
		z = -math.Log1p(-eps) / tableStep
		step := (f.value(z) - ln - y) / (f.slope(z)/tableStep*eps/(1-eps) - 1)
		ln -= step
		if math.Abs(step) < 1e-9 {
			break
		}
	}
	eps = math.Exp(ln)
	return -math.Log1p(-eps) / tableStep, eps
}
