package clearance

import (
	"math"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// Angles of this file are counts: a CamAngle from the nose and the CrankAngle
// through which the crank turns meanwhile have the same one.
const (
	degree    = int64(units.CrankDegree)
	turn      = 360 * degree
	maxPieces = 512
	maxEven   = 192 // pieces, before they are cut where the slope jumps
	readings  = 16  // of the slope in a piece
	// Below this the search gives up on a piece whose lower bound is smaller.
	enough = 5e-11 // meters
)

// valveEdges bound the opening of a valve.
type valveEdges struct {
	lash        float64 // meters at the valve
	open, close units.CamAngle
}

func (e valveEdges) place(a units.CamAngle) ValvePlace {
	switch a {
	case e.open:
		return AtOpening
	case e.close:
		return AtClosing
	default:
		return Inside
	}
}

// lobePiece is a stretch of a lobe on which its slope does not jump.
type lobePiece struct {
	lo, hi         int64
	lift0, lift1   float64 // meters
	slope0, slope1 float64 // meters per cam degree
	top            float64 // no lift in it is higher
	bend           float64 // nor is its second derivative, per cam degree squared
}

// valveSearch finds the least of travel*x - lift*(ratio*l - lash).
type valveSearch struct {
	piston       *camtiming.SliderCrank
	lobe         camtiming.LiftCurve
	ratio        float64
	travel, lift float64
	pieces       []lobePiece
	// drop is the piston's travel at every crank degree, curve the least
	// second derivative in the degree that follows, per degree squared.
	drop  [361]float64
	curve [360]float64
}

// edges finds where the lash is taken up.
func (s *valveSearch) edges(g camtiming.ValveGear, given bool) (valveEdges, error) {
	span := s.lobe.Span()
	e := valveEdges{open: span.Opens, close: span.Closes}
	if !given {
		return e, nil
	}
	y, err := g.LifterLift(0)
	if err != nil {
		return valveEdges{}, asField("Gear", err)
	}
	e.lash = g.Lash.Meters()
	if y == 0 {
		return e, nil
	}
	if y >= s.lobe.MaxLift() {
		return valveEdges{}, fail("Gear.Lash", g.Lash.String(), units.ErrImpossible, "the lobe never takes up the lash: the valve stays closed")
	}
	if o, err := camtiming.OpeningAt(s.lobe, y); err == nil {
		e.open, e.close = o.Opens, o.Closes
		return e, nil
	}
	// A table may end above that lift: it leaves its seat there.
	for _, end := range [...]*units.CamAngle{&e.open, &e.close} {
		if s.lobe.Lift(*end) >= y {
			continue
		}
		for in := units.CamAngle(0); (*end-in)/2 != 0; {
			if m := in + (*end-in)/2; s.lobe.Lift(m) >= y {
				in = m
			} else {
				*end = m
			}
		}
	}
	return e, nil
}

func (s *valveSearch) slope(n int64) float64 { return float64(s.lobe.Velocity(units.CamAngle(n))) }
func (s *valveSearch) height(n int64) float64 {
	return s.lobe.Lift(units.CamAngle(n)).Meters()
}

// camDegrees between two counts of one shaft.
func camDegrees(n int64) float64 { return float64(n) / float64(units.CamDegree) }

// readPiston reads the piston at every crank degree. Each reading of its second
// derivative ends one degree and begins the next; without a pin offset the way
// up mirrors the way down.
func (s *valveSearch) readPiston() {
	down := len(s.curve)
	if s.piston.Spec().Offset == 0 {
		down /= 2
	}
	m := s.piston.Motion(0)
	for i := range down {
		s.drop[i] = m.Travel.Meters()
		lo := float64(m.Acceleration)
		hi := lo
		for k := range int64(4) {
			m = s.piston.Motion(units.CrankAngle(int64(i)*degree + (k+1)*degree/4))
			v := float64(m.Acceleration)
			lo, hi = min(lo, v), max(hi, v)
		}
		s.curve[i] = lo - (hi - lo)
	}
	s.drop[down] = m.Travel.Meters()
	for i := down; i < len(s.curve); i++ {
		s.drop[i+1], s.curve[i] = s.drop[359-i], s.curve[359-i]
	}
}

// prepare reads the lobe and the piston once; it refuses a lobe that is not
// finite.
func (s *valveSearch) prepare() error {
	s.readPiston()
	span := s.lobe.Span()
	lo, hi := int64(span.Opens), int64(span.Closes)
	n := int64(min(max(math.Ceil(camDegrees(hi-lo)), 16), maxEven))
	step := (hi - lo) / (n * readings)
	if step == 0 { // a lobe of less than a microdegree
		n, step = 1, max(1, (hi-lo)/readings)
	}
	s.pieces = make([]lobePiece, 0, n+8)
	found := 0
	var jumps []int64 // counts of a piece after which the slope jumps
	var slopes [readings + 1]float64
	slopes[0] = s.slope(lo)
	fastest, from, x0 := math.Abs(slopes[0]), lo, lo
	// read reads the slope at the next place, up to the end of the lobe.
	read := func(before float64, x1 int64) float64 {
		if x0 == hi {
			return before
		}
		x1 = min(x1, hi)
		v := s.slope(x1)
		fastest = max(fastest, math.Abs(v))
		if j, ok := s.jump(x0, before, x1, v, fastest); ok && found < maxPieces-maxEven {
			jumps = append(jumps, j)
			found++
		}
		x0 = x1
		return v
	}
	for i := int64(1); i <= n; i++ {
		start, end := x0, lo+i*readings*step
		for k := range readings {
			slopes[k+1] = read(slopes[k], start+int64(k+1)*step)
		}
		last := slopes[readings]
		if i == n {
			for v := last; x0 < hi; {
				v = read(v, x0+step)
			}
			end = hi
		}
		for _, j := range jumps {
			s.cut(from, j, nil)
			from = j + 1
		}
		jumps = jumps[:0]
		known := slopes[:]
		if from != start || end-start != readings*step {
			known = nil
		}
		s.cut(from, end, known)
		from = max(from, end)
		slopes[0] = last
	}
	for _, p := range s.pieces {
		if x := p.bend + p.top + p.slope0 + p.slope1; math.IsNaN(x) || math.IsInf(x, 0) {
			return fail("Lobe.Velocity", "", units.ErrRange, "want a finite slope between "+units.CamAngle(p.lo).String()+" and "+units.CamAngle(p.hi).String())
		}
	}
	return nil
}

// cut makes a piece of what lies between two counts, if anything does.
func (s *valveSearch) cut(lo, hi int64, slopes []float64) {
	if hi > lo {
		s.pieces = append(s.pieces, s.piece(lo, hi, slopes))
	}
}

// jump returns the count after which the slope jumps between two readings: a
// difference that one half keeps whenever the stretch is halved.
func (s *valveSearch) jump(x0 int64, v0 float64, x1 int64, v1, fastest float64) (int64, bool) {
	whole := math.Abs(v1 - v0)
	if whole <= 1e-6*fastest {
		return 0, false
	}
	for x1-x0 > 1 {
		m := x0 + (x1-x0)/2
		v := s.slope(m)
		if math.Abs(v-v0) > math.Abs(v1-v) {
			x1, v1 = m, v
		} else {
			x0, v0 = m, v
		}
		if math.Abs(v1-v0) < 0.6*whole {
			return 0, false
		}
	}
	return x0, true
}

// piece reads the lobe between two counts and bounds its lift and its bend.
// Slopes that were read at all its places already are taken from there.
func (s *valveSearch) piece(lo, hi int64, slopes []float64) lobePiece {
	n := min(readings, hi-lo)
	p := lobePiece{lo: lo, hi: hi, lift1: s.height(hi)}
	if k := len(s.pieces) - 1; k >= 0 && s.pieces[k].hi == lo {
		p.lift0 = s.pieces[k].lift1
	} else {
		p.lift0 = s.height(lo)
	}
	if slopes != nil {
		p.slope0, p.slope1 = slopes[0], slopes[n]
	} else {
		p.slope0, p.slope1 = s.slope(lo), s.slope(hi)
	}
	x0, v0 := lo, p.slope0
	var bend, last, spread, steep float64
	bend, last = math.Inf(-1), math.NaN()
	rises, falls := p.slope0 >= 0, p.slope0 <= 0
	for i := int64(1); i <= n; i++ {
		x, v := lo+(hi-lo)*i/n, p.slope1
		switch {
		case i == n:
		case slopes != nil:
			v = slopes[i]
		default:
			v = s.slope(x)
		}
		rises, falls = rises && v >= 0, falls && v <= 0
		steep = max(steep, math.Abs(v), math.Abs(v0))
		b := (v - v0) / camDegrees(x-x0)
		if i > 1 {
			spread = max(spread, math.Abs(b-last))
		}
		bend, last = max(bend, b), b // NaN stays
		x0, v0 = x, v
	}
	p.top = max(p.lift0, p.lift1)
	if !rises && !falls { // the highest lift may lie inside
		for i := int64(1); i < n; i++ {
			p.top = max(p.top, s.height(lo+(hi-lo)*i/n))
		}
	}
	// The bend between two readings is no further from their average than the
	// averages of two neighbors from each other; the lift no higher than
	// half a step up the steepest slope.
	p.bend = bend + spread
	p.top += steep * camDegrees(hi-lo) / float64(n)
	return p
}

// finder is one search under way.
type finder struct {
	*valveSearch
	nose int64
	lash float64
	best float64 // the least found, meters
	at   int64   // count from the nose
}

// end is one end of a stretch: count, value and slope per crank degree.
type end struct {
	n           int64
	value, rate float64
}

// put makes an end from the lobe's lift and slope there.
func (f *finder) put(n int64, lift, slope float64) end {
	m := f.piston.Motion(units.CrankAngle(f.nose + n))
	return end{
		n,
		f.travel*m.Travel.Meters() - f.lift*(f.ratio*lift-f.lash),
		f.travel*float64(m.Velocity) - f.lift*f.ratio*slope/2,
	}
}

func (f *finder) look(n int64) end { return f.put(n, f.height(n), f.slope(n)) }

func (f *finder) offer(e end) {
	if e.value < f.best {
		f.best, f.at = e.value, e.n
	}
}

// minimum returns the count from the nose and the value of the least.
func (s *valveSearch) minimum(nose int64, e valveEdges) (at int64, value float64) {
	f := finder{valveSearch: s, nose: nose, lash: e.lash, best: math.Inf(1)}
	open, shut := int64(e.open), int64(e.close)
	// Whole turns of the crank change nothing; the start is positive.
	var bounds [maxPieces]float64
	start := nose%turn + 4*turn
	least, first := math.Inf(1), -1
	reach, lash := s.lift*s.ratio, s.lift*e.lash
	lo := (start + s.pieces[0].lo) / degree
	from := lo % 360
	for i := range s.pieces {
		p := &s.pieces[i]
		hi := (start+p.hi)/degree + 1
		to := from + (hi - lo)
		bounds[i] = math.Inf(1)
		if p.hi >= open && p.lo <= shut {
			x := 0.0 // where the stretch holds top dead center
			if from != 0 && to < 360 {
				x = min(s.drop[from], s.drop[to])
			}
			bounds[i] = s.travel*x - reach*p.top + lash
			if bounds[i] < least {
				least, first = bounds[i], i
			}
		}
		lo, from = hi-1, to-1
		if from >= 360 {
			from -= 360
		}
	}
	if first < 0 { // the whole opening lies in a jump of the slope
		f.offer(f.look(open))
		return f.at, f.best
	}
	// From the most promising piece outward, so that the best is good soon.
	none := end{n: math.MinInt64}
	left, right := f.piece(first, open, shut, none, none)
	for i, next := first-1, left; i >= 0; i-- {
		if bounds[i] < f.best {
			next, _ = f.piece(i, open, shut, none, next)
		}
	}
	for i, next := first+1, right; i < len(s.pieces); i++ {
		if bounds[i] < f.best {
			_, next = f.piece(i, open, shut, next, none)
		}
	}
	return f.at, f.best
}

// piece searches one piece, or what lies of it in the opening, and returns its
// ends. Either of them may be known already.
func (f *finder) piece(i int, open, shut int64, a, b end) (from, to end) {
	p := &f.pieces[i]
	switch {
	case p.lo < open:
		a = f.look(open)
	case a.n != p.lo:
		a = f.put(p.lo, p.lift0, p.slope0)
	}
	switch {
	case p.hi > shut:
		b = f.look(shut)
	case b.n != p.hi:
		b = f.put(p.hi, p.lift1, p.slope1)
	}
	f.offer(a)
	f.offer(b)
	start := f.nose%turn + 4*turn
	bend := math.Inf(1)
	for k := (start + a.n) / degree; k <= (start+b.n)/degree; k++ {
		bend = min(bend, f.curve[k%360])
	}
	f.stretch(a, b, f.travel*bend-f.lift*f.ratio*p.bend/4)
	return a, b
}

// stretch searches between two ends, both offered already, where the second
// derivative is at least bend.
func (f *finder) stretch(a, b end, bend float64) {
	const fine = 1000 // counts: a microdegree of the crank
	if b.n-a.n < fine || bound(a, b, bend) >= f.best-enough {
		return
	}
	m := a.n + (b.n-a.n)/2
	switch {
	case a.rate < 0 && b.rate > 0:
		e := f.level(a, b)
		f.offer(e)
		if bend >= 0 {
			return // no second one
		}
		if e.n != a.n && e.n != b.n {
			f.stretch(a, e, bend)
			f.stretch(e, b, bend)
			return
		}
	case bend >= 0:
		return
	}
	e := f.look(m)
	f.offer(e)
	f.stretch(a, e, bend)
	f.stretch(e, b, bend)
}

// bound returns a value that the function does not go under between two ends,
// where its second derivative is at least bend: it lies over the parabola of
// that bend through either end.
func bound(a, b end, bend float64) float64 {
	h := float64(b.n-a.n) / float64(degree)
	if bend > 0 {
		switch {
		case a.rate >= 0:
			return a.value
		case b.rate <= 0:
			return b.value
		}
		return max(a.value-a.rate*a.rate/(2*bend), b.value-b.rate*b.rate/(2*bend))
	}
	low := min(a.value, b.value)
	// Where the two parabolas cross: a straight line in t.
	k := (a.rate - b.rate) + bend*h
	t := (b.value - a.value - b.rate*h + bend*h*h/2) / k
	if k < 0 && t > 0 && t < h {
		low = min(low, a.value+t*(a.rate+bend*t/2))
	}
	return low
}

// level finds where the slope passes 0 between two ends, by the secant inside a
// bracket that is halved where the secant is slow.
func (f *finder) level(a, b end) end {
	rate := func(n int64) float64 {
		m := f.piston.Motion(units.CrankAngle(f.nose + n))
		return f.travel*float64(m.Velocity) - f.lift*f.ratio*f.slope(n)/2
	}
	lo, hi := a.n, b.n
	x0, r0, x1, r1 := float64(a.n), a.rate, float64(b.n), b.rate
	width := float64(hi - lo)
	for i := range 100 {
		x := x1 - r1*(x1-x0)/(r1-r0)
		if i%4 == 3 {
			if float64(hi-lo) > width/4 {
				x = math.NaN()
			}
			width = float64(hi - lo)
		}
		if !(x >= float64(lo) && x <= float64(hi)) {
			x = float64(lo) + float64(hi-lo)/2
		}
		n := int64(math.RoundToEven(x))
		if i > 0 && math.Abs(x-x1) < 20 || hi-lo < 2 {
			return f.look(n)
		}
		n = min(max(n, lo+1), hi-1)
		r := rate(n)
		switch {
		case r == 0:
			return f.look(n)
		case r < 0:
			lo = n
		default:
			hi = n
		}
		x0, r0, x1, r1 = x1, r1, float64(n), r
	}
	return f.look(lo + (hi-lo)/2)
}
