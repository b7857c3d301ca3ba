package camtiming

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/trialfit/units"
)

// SmoothLobeSpec describes a lobe by measured lift whose readings scatter.
type SmoothLobeSpec struct {
	// Samples are ten or more readings, their angles increasing in even or uneven
	// steps, the table reaching the base circle at both ends. Readings there may
	// be a little under zero. [Unroll] brings a wheel's readings into this order.
	Samples []LiftSample
	// Noise is the standard uncertainty of one reading by itself: that of the
	// dial and of the wheel beside it, without what all readings share.
	// Not given, the scatter about the curve stands for it.
	Noise units.Optional[units.Length]
	// Window fixes how far the curve averages, to smooth two lobes alike. Not
	// given, the readings decide.
	Window units.Optional[units.CamAngle]
	Origin TableOrigin
	// Share is the largest standard uncertainty of a derivative, as a ratio to
	// the derivative's greatest magnitude, with which it still counts as known;
	// 0 means 0.1 (common practice: one figure of two is worth reading).
	Share float64
}

// SmoothLobe is the smooth curve through measured lift that scatters.
//
// Of all curves it is the one that makes
//
//	sum (y_i - f(x_i))^2 + L integral of f'''(x)^2 dx
//
// least (x in cam degrees): a quintic spline, the one with the least jerk for its
// closeness to the readings. The model behind it takes the jerk of the lobe as unknown and alike everywhere (white noise) and the
// readings as scattering alike and independently. L follows from the readings by
// restricted maximum likelihood. The uncertainties are those of the curve as a
// Bayes estimate, which hold both the scatter and what smoothing and the gaps
// between readings leave open; they are right on the average over the lobe, too
// small beside a sudden change of jerk and still more of acceleration (the
// junctions of a lobe of arcs), too large elsewhere. Where the jerk turns about at the
// nose itself, as in a law of motion that ends in a dwell, the peak may be off by 1.7
// times its uncertainty.
//
// Under this model lift, velocity and acceleration have an uncertainty. The jerk
// has none that is finite: [SmoothLobe.Supports] refuses it always.
type SmoothLobe struct {
	knots
	c        [][6]float64
	s        smoothed
	shift    float64 // table angle of the origin
	fromNose bool    // the origin is the nose found
	from, to float64 // table angles between which it lifts
	// The same from the origin, to whole counts: nothing lifts outside.
	opens, closes float64
	nose, peak    float64
	y             []float64 // readings, meters
	step, lift    float64   // units of the scaled readings: cam degrees, meters
	sigma         float64   // standard uncertainty of one reading, meters
	fit           SmoothFit
	loss          [3]float64 // root mean square u of f, f', f'' over their greatest magnitude
	share         float64
}

// SmoothFit is what the smoothing found out.
type SmoothFit struct {
	// Scatter is the standard deviation of one reading about the curve and
	// Freedom its degrees of freedom, a statistic: the number of readings less
	// that of the parameters the curve has used up. Both are 0 where the
	// readings are too few or too coarse to tell scatter from shape.
	Scatter units.Length
	Freedom float64
	// Noise is the standard uncertainty of one reading that the other
	// uncertainties are made from: the one stated, or the scatter where none was
	// stated or where it is significantly greater.
	Noise units.Length
	// Agreement tests the scatter against the stated noise; untested where none
	// was stated.
	Agreement Agreement
	// Window is how far about an angle the curve averages: the sixth root of L
	// times the mean step.
	Window units.CamAngle
	// Step is the mean step between readings, Widest the widest one.
	Step, Widest units.CamAngle
	// Readings is their number.
	Readings int
	// Nose is where the curve is highest, counted as the table counts, and Peak
	// how high. The uncertainty of Nose is half of the stretch over which the
	// slope stays within its own, or a quarter of that within twice its own if that
	// is more; it is not stated where the slope never leaves it.
	Nose units.Measured[units.CamAngle]
	Peak units.Measured[units.Length]
	// Outliers are the readings that stand out, worst first. The curve holds
	// them all the same: read them again, or smooth again without them.
	Outliers []OutlyingSample
}

// OutlyingSample is a reading that does not fit its neighbors.
type OutlyingSample struct {
	Index  int // in SmoothLobeSpec.Samples
	Sample LiftSample
	// Off is how far it stands from the curve that the others make.
	Off units.Length
	// Studentized is Off over its standard uncertainty, a statistic.
	Studentized float64
}

// NewSmoothLobe smooths measured lift:
//
//	sum (y_i - f(x_i))^2 + L integral f'''^2 dx = least      Window = (L Step)^(1/6)
//	L: -2 log likelihood = sum log F_i + (sum e_i^2/F_i)/u^2 = least, u stated
//	                       sum log F_i + (n - 3) log(sum e_i^2/F_i) = least, u not stated
//	Scatter^2 = sum (y_i - f(x_i))^2/Freedom     Freedom = n - trace(A)
//
// with e_i the error of predicting reading i from those before it, F_i its
// variance in units of u^2, and A the matrix that makes the curve out of the
// readings. A stated u that the scatter exceeds at 95 % (chi-square) gives way to
// the scatter. A reading is an outlier where it stands off the curve of the
// others by more than the 95 % bound for the worst of n (Student's t, or the
// normal distribution for a stated u).
//
// Fewer than ten samples is ErrMissing; so is a noise that was not stated and that
// the readings are too coarse to tell (under ten degrees of freedom), and a
// table that does not reach the base circle, where the curve must come within
// 0.5 % of the greatest lift and twice its uncertainty of zero. A lobe under three
// times the uncertainty of its peak is ErrImpossible. Angles that
// do not increase are ErrConflict. A lift over 1 m or under -1 mm, a noise outside
// (0, 1 mm], a window under a tenth of the mean step or over the table, a share
// outside [0, 1], a table over one cam turn are ErrRange.
//
// Source: Wahba, Spline Models for Observational Data (1990), ch. 1, 4, 5;
// Wahba, Ann. Stat. 13 (1985), p. 1378, for the likelihood; Craven and Wahba,
// Numer. Math. 31 (1979), p. 377, for the estimate of noise; Silverman, Ann. Stat. 12
// (1984), p. 898, for the window.
//
// Rows: smooth-f-0, smooth-f-m31, smooth-s, smooth-nu.
func NewSmoothLobe(spec SmoothLobeSpec) (*SmoothLobe, error) {
	if err := spec.check(); err != nil {
		return nil, err
	}
	n := len(spec.Samples)
	s := &SmoothLobe{share: spec.Share}
	if s.share == 0 {
		s.share = 0.1
	}
	x, y := make([]float64, n), make([]float64, n)
	r := readings{t: make([]float64, n), y: make([]float64, n), w: make([]float64, n)}
	var widest units.CamAngle
	for i, p := range spec.Samples {
		x[i], y[i] = p.Angle.Degrees(), p.Lift.Meters()
		s.lift = max(s.lift, y[i])
		if i > 0 {
			widest = max(widest, p.Angle-spec.Samples[i-1].Angle)
		}
	}
	if s.lift <= 0 {
		return nil, fail("Samples.Lift", "", units.ErrRange, "the table never lifts")
	}
	s.step = (x[n-1] - x[0]) / float64(n-1)
	for i := range x {
		r.t[i], r.y[i], r.w[i] = (x[i]-x[0])/s.step, y[i]/s.lift, 1
	}
	s.knots, s.y = knotsAt(x), y
	s.fit.Readings, s.fit.Step, s.fit.Widest = n, camAngle(s.step), widest
	if err := s.choose(r, spec); err != nil {
		return nil, err
	}
	s.bend()
	if err := s.place(spec.Origin); err != nil {
		return nil, err
	}
	s.outliers(spec)
	return s, nil
}

// leastFreedom is how many degrees of freedom a scatter needs to stand for the
// noise: it is known to a quarter then.
const leastFreedom = 10

func (spec *SmoothLobeSpec) check() error {
	n := len(spec.Samples)
	if n < 10 {
		return fail("Samples", strconv.Itoa(n), units.ErrMissing, "want ten readings or more")
	}
	if n > 1<<16 {
		return fail("Samples", strconv.Itoa(n), units.ErrRange, "want at most 65,536 readings")
	}
	for i, p := range spec.Samples {
		if !within(p.Angle, 10*units.CamTurn) {
			return fail("Samples.Angle", p.Angle.String(), units.ErrRange, "want an angle within ten cam turns")
		}
		if i > 0 && p.Angle <= spec.Samples[i-1].Angle {
			return fail("Samples.Angle", p.Angle.String(), units.ErrConflict, "the angles must increase from reading to reading")
		}
		if p.Lift < -units.Millimeter || p.Lift > units.Meter {
			return fail("Samples.Lift", p.Lift.String(), units.ErrRange, "want a lift of -1 mm to 1 m")
		}
	}
	span := spec.Samples[n-1].Angle - spec.Samples[0].Angle
	if span > units.CamTurn {
		return fail("Samples.Angle", "", units.ErrRange, "the table is longer than one cam turn")
	}
	if spec.Noise.Given && (spec.Noise.Value <= 0 || spec.Noise.Value > units.Millimeter) {
		return fail("Noise", spec.Noise.Value.String(), units.ErrRange, "want a standard uncertainty over 0 and up to 1 mm, or none")
	}
	if w := spec.Window; w.Given && (w.Value < span/units.CamAngle(10*(n-1)) || w.Value > span) {
		return fail("Window", w.Value.String(), units.ErrRange, "want a tenth of the mean step to the length of the table")
	}
	if !(spec.Share >= 0 && spec.Share <= 1) {
		return fail("Share", strconv.FormatFloat(spec.Share, 'g', -1, 64), units.ErrRange, "want a ratio of 0 to 1")
	}
	if spec.Origin != FromNose && spec.Origin != AsMeasured {
		return fail("Origin", "", units.ErrRange, "want FromNose or AsMeasured")
	}
	return nil
}

// choose finds how far to smooth and how large the scatter is.
func (s *SmoothLobe) choose(r readings, spec SmoothLobeSpec) error {
	n := float64(len(r.t))
	u := spec.Noise.Value.Meters() / s.lift // 0 where not given
	fixed := 0.0
	if spec.Window.Given {
		fixed = math.Pow(s.step/spec.Window.Value.Degrees(), 6)
	}
	scatter := func(q float64) (m smoothed, sigma, freedom float64) {
		m = r.smooth(q)
		var rss float64
		freedom = n
		for i := range r.t {
			f, a := m.pull(i)
			rss += squared(r.y[i] - f)
			freedom -= a
		}
		return m, math.Sqrt(rss / freedom), freedom
	}
	q := fixed
	if q == 0 {
		q = r.likeliest(0)
	}
	m, sigma, freedom := scatter(q)
	if freedom >= leastFreedom {
		s.fit.Scatter, s.fit.Freedom = length(sigma*s.lift), freedom
	} else if u == 0 {
		return fail("Noise", "", units.ErrMissing, "steps of "+camAngle(s.step).Text(3)+" are too coarse to tell the scatter of the readings from the shape of the lobe: state the noise of one reading")
	}
	if u > 0 {
		if freedom >= leastFreedom {
			s.fit.Agreement = agreement(freedom*squared(sigma/u), int(freedom))
		}
		if s.fit.Agreement.widening() == 1 {
			sigma = u
			if fixed == 0 {
				q = r.likeliest(u)
				m = r.smooth(q)
			}
		}
	}
	if sigma*s.lift < units.Picometer.Meters() { // readings are rounded to this
		sigma = units.Picometer.Meters() / s.lift
	}
	s.s, s.sigma = m, sigma*s.lift
	s.fit.Noise = length(s.sigma)
	s.fit.Window = camAngle(s.step * math.Pow(q, -1.0/6))
	return nil
}

// likeliest returns the q under which the readings are likeliest, for a stated
// standard uncertainty or, with 0, for the one that suits q best.
func (r readings) likeliest(u float64) float64 {
	cost := func(log10 float64) float64 {
		logF, square, n := r.likelihood(math.Pow(10, log10))
		if u > 0 {
			return logF + square/(u*u)
		}
		return logF + float64(n)*math.Log(max(square, 1e-300))
	}
	// From a parabola through all of the readings to a curve through each: in
	// whole decades, each a factor of 1.5 of the window, then by golden section.
	best, least := 0.0, math.Inf(1)
	for e := -6 * math.Log10(float64(len(r.t))); e <= 4; e++ {
		if c := cost(e); c < least {
			best, least = e, c
		}
	}
	const g = 0.6180339887498949
	lo, hi := best-1, best+1
	a, b := hi-g*(hi-lo), lo+g*(hi-lo)
	fa, fb := cost(a), cost(b)
	for hi-lo > 0.01 {
		if fa < fb {
			hi, b, fb = b, a, fa
			a = hi - g*(hi-lo)
			fa = cost(a)
		} else {
			lo, a, fa = a, b, fb
			b = lo + g*(hi-lo)
			fb = cost(b)
		}
	}
	return math.Pow(10, (lo+hi)/2)
}

// bend turns the states at the readings into quintic pieces.
func (s *SmoothLobe) bend() {
	s.c = make([][6]float64, len(s.x)-1)
	var last vec3
	for i := range s.x {
		m, _ := s.s.knot(i)
		m[0] *= s.lift
		m[1] *= s.lift / s.step
		m[2] *= s.lift / (s.step * s.step)
		if i > 0 {
			h := s.x[i] - s.x[i-1]
			to := last.carry(h)
			a, b, c := m[0]-to[0], (m[1]-to[1])*h, (m[2]-to[2])*h*h/2
			h3 := h * h * h
			s.c[i-1] = [6]float64{last[0], last[1], last[2] / 2, (10*a - 4*b + c) / h3, (-15*a + 7*b - 2*c) / (h3 * h), (6*a - 3*b + c) / (h3 * h * h)}
		}
		last = m
	}
}

// at returns the motion at a table angle inside the table.
func (s *SmoothLobe) at(x float64) state {
	i := s.find(x)
	c, d := &s.c[i], x-s.x[i]
	return state{
		c[0] + d*(c[1]+d*(c[2]+d*(c[3]+d*(c[4]+d*c[5])))),
		c[1] + d*(2*c[2]+d*(3*c[3]+d*(4*c[4]+d*5*c[5]))),
		2*c[2] + d*(6*c[3]+d*(12*c[4]+d*20*c[5])),
		6*c[3] + d*(24*c[4]+d*60*c[5]),
	}
}

// u returns the standard uncertainties of lift, velocity and acceleration at a
// table angle inside the table.
func (s *SmoothLobe) u(x float64) [3]float64 {
	_, p := s.s.between(s.find(x), (x-s.x[0])/s.step)
	return s.scaled(p)
}

// originU returns the standard uncertainty of the angle that the lobe is counted
// from, in cam degrees; false where it is the nose and that has none.
func (s *SmoothLobe) originU() (float64, bool) {
	if !s.fromNose {
		return 0, true
	}
	return s.fit.Nose.U.Degrees(), s.fit.Nose.Stated
}

// spreadOfOrigin is originU with a nose that has no uncertainty taken anywhere on
// the lobe, all places alike.
func (s *SmoothLobe) spreadOfOrigin() float64 {
	u, ok := s.originU()
	if !ok {
		u = (s.to - s.from) / math.Sqrt(12)
	}
	return u
}

// variance of the lift at an angle from the origin, in square meters: of the
// curve and of the origin.
func (s *SmoothLobe) variance(deg float64) float64 {
	_, v := s.eval(deg)
	return squared(s.liftU(deg)) + squared(v*s.spreadOfOrigin())
}

// liftU is the standard uncertainty of the curve at an angle from the origin.
func (s *SmoothLobe) liftU(deg float64) float64 {
	return s.u(min(max(deg+s.shift, s.x[0]), s.x[len(s.x)-1]))[0]
}

func (s *SmoothLobe) scaled(p sym3) [3]float64 {
	return [3]float64{s.sigma * math.Sqrt(p[0]), s.sigma * math.Sqrt(p[3]) / s.step, s.sigma * math.Sqrt(p[5]) / (s.step * s.step)}
}

// place finds the nose and where the curve leaves and meets the base circle.
func (s *SmoothLobe) place(origin TableOrigin) error {
	n := len(s.x)
	s.peak = math.Inf(-1)
	seek := func(x float64) {
		if y := s.at(x).y; y > s.peak {
			s.nose, s.peak = x, y
		}
	}
	for _, x := range s.x {
		seek(x)
	}
	slope := func(x float64) (float64, float64) { m := s.at(x); return m.v, m.a }
	for i := range s.c {
		// No piece leaves the hull of its control points.
		h := s.x[i+1] - s.x[i]
		c, e := &s.c[i], s.at(s.x[i+1])
		y1, v1, a1 := e.y, e.v, e.a
		if max(c[0]+c[1]*h/5, c[0]+c[1]*h*2/5+c[2]*h*h/10, y1-v1*h/5, y1-v1*h*2/5+a1*h*h/20) <= s.peak {
			continue
		}
		const parts = 8
		for k := range parts {
			lo, hi := s.x[i]+h*float64(k)/parts, s.x[i]+h*float64(k+1)/parts
			if x, ok := root(lo, min(hi, s.x[i+1]), slope); ok {
				seek(x)
			}
		}
	}
	if !(s.peak > 0) {
		return fail("Samples.Lift", "", units.ErrRange, "the table never lifts")
	}
	un := s.u(s.nose)
	if !(s.peak > 3*un[0]) {
		return fail("Samples", "", units.ErrImpossible, "no lobe stands out of the noise of the readings, "+length(s.sigma).Text(units.Inches, 5))
	}
	s.fit.Peak = units.WithU(length(s.peak), length(un[0]))
	s.fit.Nose = units.Unstated(camAngle(s.nose))
	width := func(u float64) (float64, bool) {
		lo, ok1 := s.leaning(u, -1)
		hi, ok2 := s.leaning(u, 1)
		return (hi - lo) / 2, ok1 && ok2
	}
	if w1, ok := width(un[1]); ok {
		if w2, ok := width(2 * un[1]); ok {
			s.fit.Nose = units.WithU(camAngle(s.nose), camAngle(max(w1, w2/2)))
		}
	}
	s.from, s.to = s.x[0], s.x[n-1]
	for _, x := range [...]float64{s.from, s.to} {
		if y := s.at(x).y; math.Abs(y) > s.peak/200+2*s.u(x)[0] {
			return fail("Samples", length(y).String()+" at "+camAngle(x).String(), units.ErrMissing,
				"the table must reach the base circle at both ends and read zero there: measure farther, or take the base reading off")
		}
	}
	// Going out from the nose, the curve is on the base circle as soon as
	// it cannot be told from it.
	leaves := func(from, step int) {
		for j := from; j >= 0 && j < n; j += step {
			level := 2 * s.u(s.x[j])[0]
			if s.at(s.x[j]).y > level {
				continue
			}
			inner := s.nose
			if k := j - step; k >= 0 && k < n && (s.x[k]-s.nose)*float64(step) > 0 {
				inner = s.x[k]
			}
			x, ok := root(inner, s.x[j], func(x float64) (float64, float64) { m := s.at(x); return m.y - level, m.v })
			if !ok {
				x = s.x[j]
			}
			if step < 0 {
				s.from = x
			} else {
				s.to = x
			}
			return
		}
	}
	i := s.find(s.nose)
	leaves(i, -1)
	leaves(i+1, 1)
	switch {
	case origin == FromNose:
		s.shift, s.fromNose = s.nose, true
	case s.from >= 0 || s.to <= 0:
		return fail("Origin", "", units.ErrConflict, "the table's zero does not lie on the lobe")
	}
	s.opens, s.closes = camAngle(s.from-s.shift).Degrees(), camAngle(s.to-s.shift).Degrees()
	// How well each derivative is known, as a share of its greatest.
	var sum, top [3]float64
	count := 0
	for j, x := range s.x {
		if x < s.from || x > s.to {
			continue
		}
		count++
		_, p := s.s.knot(j)
		m := s.at(x)
		for k, v := range [...]float64{m.y, m.v, m.a} {
			top[k] = max(top[k], math.Abs(v))
		}
		for k, u := range s.scaled(p) {
			sum[k] += u * u
		}
	}
	if count == 0 {
		return fail("Samples", "", units.ErrMissing, "no reading lies on the lobe")
	}
	for k := range sum {
		s.loss[k] = math.Sqrt(sum[k]/float64(count)) / top[k]
	}
	return nil
}

// leaning returns the table angle nearest to the nose, on one side, at which the
// slope toward it exceeds u.
func (s *SmoothLobe) leaning(u float64, side int) (float64, bool) {
	inner := s.nose
	i := s.find(s.nose)
	if side > 0 {
		i++
	}
	for ; i >= 0 && i < len(s.x); i += side {
		if v := -s.at(s.x[i]).v * float64(side); v > u {
			return root(inner, s.x[i], func(x float64) (float64, float64) {
				m := s.at(x)
				return -m.v*float64(side) - u, -m.a * float64(side)
			})
		}
		inner = s.x[i]
	}
	return 0, false
}

// outliers lists the readings that stand out, one after the other: the worst is
// left out before the next is sought, so that it hides no other.
func (s *SmoothLobe) outliers(spec SmoothLobeSpec) {
	m, n := s.s, len(s.x)
	stated := spec.Noise.Given && s.fit.Agreement.widening() == 1
	w := append([]float64(nil), m.r.w...)
	r := m.r
	r.w = w
	for len(s.fit.Outliers) < max(1, n/10) {
		var rss, off, most float64
		freedom, worst := 0.0, -1
		for i := range n {
			if w[i] == 0 {
				continue
			}
			f, a := m.pull(i)
			e := r.y[i] - f
			rss += e * e
			freedom += 1 - a
			if left := 1 - a; left > 1e-6 && e*e/left > most {
				off, most, worst = e/left, e*e/left, i
			}
		}
		if worst < 0 {
			return
		}
		// The worst residual over its uncertainty, the scatter taken from
		// the others, against the bound for the worst of n.
		tail := 1 - 0.025/float64(n)
		var t, bound float64
		if stated {
			t, bound = math.Sqrt(most)*s.lift/s.sigma, distuv.UnitNormal.Quantile(tail)
		} else {
			if freedom < leastFreedom {
				return
			}
			t = math.Sqrt(most / (max(rss-most, 1e-300) / (freedom - 1)))
			bound = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom - 1}.Quantile(tail)
		}
		if !(t > bound) {
			return
		}
		s.fit.Outliers = append(s.fit.Outliers, OutlyingSample{
			Index: worst, Sample: spec.Samples[worst], Off: length(off * s.lift), Studentized: math.Copysign(t, off),
		})
		w[worst] = 0
		m = r.smooth(m.q)
	}
}

// Fit returns what the smoothing found out.
//
// Rows: smooth-s, smooth-nu.
func (s *SmoothLobe) Fit() SmoothFit { return s.fit }

// Supports answers whether the readings carry a derivative of the lift: order 0
// is lift, 1 velocity, 2 acceleration. It returns nil where the root mean
// square of its standard uncertainty over the lobe is at most Share of its
// greatest magnitude, else ErrImpossible with the step and the noise that are to
// blame. Order 3, the jerk, is refused always: the model leaves its uncertainty
// without bound however fine the readings. Another order is ErrRange.
//
// Rows: smooth-supports-acceleration, smooth-supports-jerk.
func (s *SmoothLobe) Supports(order int) error {
	if order < 0 || order > 3 {
		return fail("order", strconv.Itoa(order), units.ErrRange, "want 0 to 3")
	}
	if len(s.x) == 0 {
		return fail("SmoothLobe", "", units.ErrMissing, "want a lobe made by NewSmoothLobe")
	}
	value, name := strconv.Itoa(order), [...]string{"lift", "velocity", "acceleration", "jerk"}[order]
	if order < 3 && s.loss[order] <= s.share {
		return nil
	}
	blame := "readings in steps of " + s.fit.Step.Text(3) + " (widest " + s.fit.Widest.Text(3) + ") with a noise of " + s.fit.Noise.Text(units.Inches, 6)
	if order == 3 {
		return fail("order", value, units.ErrImpossible, blame+" carry no jerk: nothing bounds its uncertainty")
	}
	percent := func(x float64) string { return strconv.FormatFloat(100*x, 'f', 0, 64) + " %" }
	return fail("order", value, units.ErrImpossible, blame+" do not carry the "+name+": it is uncertain to "+percent(s.loss[order])+
		" of its greatest, over the "+percent(s.share)+" asked for")
}

// measured checks an angle and returns it as a table angle.
func (s *SmoothLobe) measured(a units.CamAngle, order int) (float64, error) {
	if err := s.Supports(order); err != nil {
		return 0, err
	}
	x := a.Degrees() + s.shift
	const slack = 1e-9 // one count of the origin
	if lo, hi := s.x[0], s.x[len(s.x)-1]; x < lo-slack || x > hi+slack {
		return 0, fail("fromNose", a.String(), units.ErrRange, "want an angle inside the table")
	}
	return min(max(x, s.x[0]), s.x[len(s.x)-1]), nil
}

// LiftAt answers how high the lobe is at a cam angle from the origin, with the
// standard uncertainty u sqrt(P00), u the noise of one reading and P the
// covariance of the state there. On the base circle it is not cut to zero. An
// angle past the table is ErrRange.
//
// Source: Wahba, J. R. Stat. Soc. B 45 (1983), p. 133.
//
// Rows: smooth-f-0, smooth-uf-0, smooth-f-m31, smooth-uf-m31.
func (s *SmoothLobe) LiftAt(fromNose units.CamAngle) (units.Measured[units.Length], error) {
	x, err := s.measured(fromNose, 0)
	if err != nil {
		return units.Measured[units.Length]{}, err
	}
	return units.WithU(length(s.at(x).y), length(s.u(x)[0])), nil
}

// VelocityAt answers how steep the lobe is at a cam angle from the origin, with
// the standard uncertainty u sqrt(P11). It refuses as [SmoothLobe.Supports]
// does; an angle past the table is ErrRange.
//
// Source: Wahba, J. R. Stat. Soc. B 45 (1983), p. 133.
//
// Rows: smooth-v-m31, smooth-uv-m31.
func (s *SmoothLobe) VelocityAt(fromNose units.CamAngle) (units.Measured[units.LiftVelocity], error) {
	x, err := s.measured(fromNose, 1)
	if err != nil {
		return units.Measured[units.LiftVelocity]{}, err
	}
	return units.WithU(units.LiftVelocity(s.at(x).v), units.LiftVelocity(s.u(x)[1])), nil
}

// AccelerationAt answers how hard the lobe bends at a cam angle from the origin,
// with the standard uncertainty u sqrt(P22). It refuses as
// [SmoothLobe.Supports] does; an angle past the table is ErrRange.
//
// Source: Wahba, J. R. Stat. Soc. B 45 (1983), p. 133.
//
// Rows: smooth-a-m31, smooth-ua-m31.
func (s *SmoothLobe) AccelerationAt(fromNose units.CamAngle) (units.Measured[units.LiftAcceleration], error) {
	x, err := s.measured(fromNose, 2)
	if err != nil {
		return units.Measured[units.LiftAcceleration]{}, err
	}
	return units.WithU(units.LiftAcceleration(s.at(x).a), units.LiftAcceleration(s.u(x)[2])), nil
}

func (s *SmoothLobe) eval(deg float64) (lift, slope float64) {
	if len(s.x) == 0 || deg < s.opens || deg > s.closes {
		return 0, 0
	}
	x := deg + s.shift
	i := s.find(x)
	c, d := &s.c[i], x-s.x[i]
	return c[0] + d*(c[1]+d*(c[2]+d*(c[3]+d*(c[4]+d*c[5])))), c[1] + d*(2*c[2]+d*(3*c[3]+d*(4*c[4]+d*5*c[5])))
}

func (s *SmoothLobe) derive(deg float64) state {
	if len(s.x) == 0 || deg < s.opens || deg > s.closes {
		return state{}
	}
	return s.at(deg + s.shift)
}

func (s *SmoothLobe) breaks() []float64 {
	b := []float64{s.opens}
	for _, x := range s.x {
		if x -= s.shift; s.opens < x && x < s.closes {
			b = append(b, x)
		}
	}
	return append(b, s.closes)
}

// bracket walks from the nose to the first reading at which the curve is down
// to y.
func (s *SmoothLobe) bracket(y, end float64) (inner, outer float64) {
	step, i, stop := 1, s.find(s.nose)+1, s.to
	if end < s.nose-s.shift {
		step, i, stop = -1, i-1, s.from
	}
	inner = s.nose
	for ; i >= 0 && i < len(s.x) && (stop-s.x[i])*float64(step) > 0; i += step {
		if s.at(s.x[i]).y <= y {
			return inner - s.shift, s.x[i] - s.shift
		}
		if (s.x[i]-s.nose)*float64(step) > 0 {
			inner = s.x[i]
		}
	}
	return inner - s.shift, end
}

// Lift returns the lift at a cam angle from the origin; 0 outside the span.
//
// Rows: smooth-f-0.
func (s *SmoothLobe) Lift(fromNose units.CamAngle) units.Length {
	y, _ := s.eval(fromNose.Degrees())
	return length(y)
}

// Velocity returns the slope at a cam angle from the origin; 0 outside the span.
//
// Rows: smooth-v-m31.
func (s *SmoothLobe) Velocity(fromNose units.CamAngle) units.LiftVelocity {
	_, v := s.eval(fromNose.Degrees())
	return units.LiftVelocity(0 + v)
}

// Motion returns lift, velocity, acceleration and jerk of the curve at a cam
// angle from the origin; 0 outside the span. The jerk is that of the smoothest
// curve and not known of the cam, see [SmoothLobe.Supports]; so may the
// acceleration be. It does not allocate.
//
// Rows: smooth-a-m31.
func (s *SmoothLobe) Motion(fromNose units.CamAngle) LobeMotion {
	return s.derive(fromNose.Degrees()).motion()
}

// MaxLift returns the highest lift of the curve.
//
// Rows: smooth-peak.
func (s *SmoothLobe) MaxLift() units.Length { return length(s.peak) }

// Span returns where the curve, going out from the nose, first falls to twice
// its own standard uncertainty, or the ends of the table: beyond, the readings
// cannot tell the lobe from the base circle.
//
// Rows: smooth-span.
func (s *SmoothLobe) Span() Span {
	return Span{camAngle(s.opens), camAngle(s.closes)}
}

// Working shows how the smoothing came out.
func (f SmoothFit) Working() units.Working {
	if f.Readings == 0 {
		return nil
	}
	src := units.Source{Text: "Wahba, Spline Models for Observational Data (1990), ch. 4 and 5", Provenance: units.Memory}
	return units.Working{
		{Symbol: "n", Formula: "readings and their step", Numbers: "mean " + f.Step.Text(3) + ", widest " + f.Widest.Text(3), Value: strconv.Itoa(f.Readings), Source: asRead},
		{Symbol: "w", Formula: "window of the curve, from the likelihood of the readings or as given", Value: f.Window.Text(3), Source: src},
		{Symbol: "s", Formula: "sqrt(sum (y - f)^2/(n - trace A))", Numbers: strconv.FormatFloat(f.Freedom, 'f', 1, 64) + " degrees of freedom", Value: f.Scatter.Text(units.Inches, 6), Source: src},
		f.Agreement.step(),
		{Symbol: "nose", Formula: "f'(x) = 0, u half of where |f'| < u(f')", Value: f.Nose.Value.Text(3) + ", u = " + f.Nose.U.Text(3), Source: src},
		{Symbol: "h", Formula: "f(nose)", Value: measuredInches(f.Peak), Source: src},
	}
}
