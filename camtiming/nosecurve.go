package camtiming

import (
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/mat"

	"example.com/trialfit/units"
)

// DialPoint is one dial reading at one wheel reading.
type DialPoint struct {
	At units.CrankAngle // after overlap TDC, negative before it
	// Dial is the dial reading, growing as the valve opens, from any zero.
	Dial units.Length
}

// NoseCurveInput are dial readings around the nose of one lobe.
type NoseCurveInput struct {
	Valve    Valve
	Readings []DialPoint // in any order, at different wheel readings
	// Degree of the polynomial: 2 to 6. 2 is a parabola, for a few degrees about
	// the nose; an even degree suits a nose, an odd one lets it lean.
	Degree int
	// Dial is the standard uncertainty of one dial reading and Wheel that of
	// one wheel reading. Not given, the scatter about the curve stands for both.
	Dial  units.Optional[units.Length]
	Wheel units.CrankAngle
	// TDC is the standard uncertainty of top dead center.
	TDC      units.CrankAngle
	Approach Approach
}

// NosePeak is the peak of the fitted curve.
type NosePeak struct {
	Centerline Centerline
	Peak       units.Length // dial reading there
	// Scatter is the standard deviation of one dial reading about the curve, 0
	// where nothing is left over to tell.
	Scatter units.Length
	// Agreement tests the curve against the stated uncertainty; untested
	// where none was stated. A curve that does not fit is too stiff for the span,
	// and its peak may be off by more than the uncertainty says.
	Agreement Agreement
	// Freedom is the number of readings less that of the coefficients.
	Freedom int
}

// NoseCurve answers where a polynomial through dial readings around the nose
// is highest:
//
//	dial = sum c_k t^k (k = 0 .. Degree), weights 1/u_i^2     p'(t0) = 0, p''(t0) < 0
//	u_i^2 = u_dial^2 + (p'(t_i) u_wheel)^2
//	u(t0)^2 = g C g / p''(t0)^2     g_k = k t0^(k-1), C the covariance of the c_k
//
// C is inverse(A'WA) for a stated u_dial; else it is scaled to the scatter s
// about the curve, s^2 = sum r^2/(n - Degree - 1). Where stated uncertainties are
// exceeded at 95 %, u grows by sqrt(chi-square/freedom). The dial's zero, the
// ratio and the lash do not move the peak.
//
// The basis is the nose. A polynomial is a model: it holds over the few degrees
// in which the lobe bends like one. Needs Degree + 1 readings, one more without
// a stated dial uncertainty (ErrMissing), at different angles (ErrConflict)
// within 180 crank degrees. A curve with no peak inside the readings, or higher
// at their ends, is ErrImpossible.
//
// Source: least squares, JCGM 100:2008 H.3 and 5.1.2; effective variance for
// the wheel's part.
//
// Rows: cl-curve-parabola, cl-curve-quartic, cl-curve-noisy, cl-curve-noisy-u,
// cl-curve-noisy-s, cl-curve-us.
func NoseCurve(in NoseCurveInput) (NosePeak, error) {
	if err := in.check(); err != nil {
		return NosePeak{}, err
	}
	n, k := len(in.Readings), in.Degree+1
	lo, hi := in.Readings[0].At, in.Readings[0].At
	low := in.Readings[0].Dial
	for _, r := range in.Readings {
		lo, hi, low = min(lo, r.At), max(hi, r.At), min(low, r.Dial)
	}
	if hi-lo <= 0 || hi-lo > units.CrankTurn/2 {
		return NosePeak{}, fail("Readings", lo.String()+" to "+hi.String(), units.ErrConflict, "want different angles within 180 crank degrees")
	}
	mid, half := lo+(hi-lo)/2, (hi-lo).Degrees()/2
	t, y := make([]float64, n), make([]float64, n)
	var top float64
	for i, r := range in.Readings {
		t[i], y[i] = (r.At-mid).Degrees()/half, (r.Dial - low).Meters()
		top = max(top, y[i])
	}
	if top == 0 {
		return NosePeak{}, fail("Readings", "", units.ErrImpossible, "the dial never moves")
	}
	for i := range y {
		y[i] /= top // between 0 and 1, like t
	}
	u := in.Dial.Value.Meters() / top // 0 where not given
	wheel := in.Wheel.Degrees() / half
	w := make([]float64, n)
	for i := range w {
		w[i] = 1
	}
	var f polyFit
	var ok bool
	// The slope at each reading sets its weight: once without, then with it.
	for pass := range 3 {
		if pass > 0 && in.Dial.Given {
			for i := range w {
				_, v, _ := f.at(t[i])
				w[i] = 1 / (u*u + v*v*wheel*wheel)
			}
		}
		if f, ok = fitPoly(t, y, w, k); !ok {
			return NosePeak{}, fail("Readings", strconv.Itoa(n), units.ErrConflict, "want readings at "+strconv.Itoa(k)+" different angles or more")
		}
	}
	t0, ok := f.peak()
	if !ok {
		return NosePeak{}, fail("Readings", "", units.ErrImpossible, "the fitted curve is not highest between the readings: read both sides of the nose, or lower the degree")
	}
	y0, _, _ := f.at(t0)
	res := NosePeak{Peak: low + length(y0*top), Freedom: n - k}
	if res.Freedom > 0 {
		res.Scatter = length(f.scatter * top)
	}
	ut := f.peakU(t0)
	if in.Dial.Given {
		res.Agreement = agreement(f.chi2, res.Freedom)
		ut *= res.Agreement.widening()
	} else {
		ut *= math.Sqrt(f.chi2 / float64(res.Freedom))
	}
	res.Centerline = Centerline{
		Valve: in.Valve, Basis: BasisNose, Method: ByNoseCurve, Approach: in.Approach,
		Angle: units.Measured[units.CrankAngle]{Value: in.Valve.usual(mid + crankAngle(t0*half))},
	}
	ur := ut * half
	if !(ur < 360) {
		return NosePeak{}, fail("Readings", "", units.ErrImpossible, "the curve is so flat that the readings find no peak")
	}
	res.Centerline.setU(crankAngle(ur), in.TDC, 0)
	return res, nil
}

func (in *NoseCurveInput) check() error {
	if err := in.Valve.check(); err != nil {
		return err
	}
	if in.Degree < 2 || in.Degree > 6 {
		return fail("Degree", strconv.Itoa(in.Degree), units.ErrRange, "want a degree of 2 to 6")
	}
	need := in.Degree + 1
	if !in.Dial.Given {
		need++
	}
	if n := len(in.Readings); n < need {
		return fail("Readings", strconv.Itoa(n), units.ErrMissing, "want "+strconv.Itoa(need)+" readings or more for this degree")
	}
	for i, r := range in.Readings {
		field := "Readings[" + strconv.Itoa(i) + "]"
		if !within(r.At, units.CrankTurn) {
			return fail(field+".At", r.At.String(), units.ErrRange, "want a wheel reading within one turn of overlap TDC")
		}
		if !within(r.Dial, units.Meter) {
			return fail(field+".Dial", r.Dial.String(), units.ErrRange, "want a dial reading within 1 m")
		}
	}
	if in.Dial.Given && (in.Dial.Value <= 0 || in.Dial.Value > units.Millimeter) {
		return fail("Dial", in.Dial.Value.String(), units.ErrRange, "want a standard uncertainty over 0 and up to 1 mm, or none")
	}
	if in.Wheel < 0 || in.Wheel > 90*units.CrankDegree {
		return fail("Wheel", in.Wheel.String(), units.ErrRange, "want a standard uncertainty of 0 to 90 crank degrees")
	}
	if in.Wheel > 0 && !in.Dial.Given {
		return fail("Wheel", in.Wheel.String(), units.ErrConflict, "without a stated dial uncertainty the scatter stands for the wheel, too: leave it out")
	}
	if err := checkTDC(in.TDC); err != nil {
		return err
	}
	return checkApproach(in.Approach)
}

// polyFit is a weighted polynomial over [-1, 1].
type polyFit struct {
	c             []float64
	cov           mat.SymDense
	chi2, scatter float64 // weighted sum of squares; unweighted deviation of one reading
}

// fitPoly fits k coefficients through the normal equations, which are well
// conditioned for t in [-1, 1] and k up to 7.
func fitPoly(t, y, w []float64, k int) (polyFit, bool) {
	normal, right := mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)
	p := make([]float64, k)
	for i := range t {
		powers(p, t[i])
		for a := range k {
			right.SetVec(a, right.AtVec(a)+w[i]*p[a]*y[i])
			for b := a; b < k; b++ {
				normal.SetSym(a, b, normal.At(a, b)+w[i]*p[a]*p[b])
			}
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(normal) || !(chol.Cond() < 1e10) {
		return polyFit{}, false
	}
	var c mat.VecDense
	f := polyFit{}
	if chol.SolveVecTo(&c, right) != nil || chol.InverseTo(&f.cov) != nil {
		return polyFit{}, false
	}
	f.c = c.RawVector().Data
	var rss float64
	for i := range t {
		v, _, _ := f.at(t[i])
		r := y[i] - v
		f.chi2 += w[i] * r * r
		rss += r * r
	}
	if n := len(t); n > k {
		f.scatter = math.Sqrt(rss / float64(n-k))
	}
	return f, true
}

func powers(p []float64, t float64) {
	v := 1.0
	for i := range p {
		p[i] = v
		v *= t
	}
}

// at returns value, slope and bend.
func (f *polyFit) at(t float64) (y, v, a float64) {
	for _, c := range slices.Backward(f.c) {
		a = a*t + 2*v
		v = v*t + y
		y = y*t + c
	}
	return y, v, a
}

// peak returns where the curve is highest inside (-1, 1).
func (f *polyFit) peak() (float64, bool) {
	const steps = 256
	best, top, found := 0.0, math.Inf(-1), false
	slope := func(t float64) (float64, float64) { _, v, a := f.at(t); return v, a }
	for i := range steps {
		lo, hi := -1+2*float64(i)/steps, -1+2*float64(i+1)/steps
		vl, _ := slope(lo)
		vh, _ := slope(hi)
		if !(vl > 0 && vh <= 0) {
			continue
		}
		if x, ok := root(lo, hi, slope); ok {
			if y, _, a := f.at(x); y > top && a < 0 {
				best, top, found = x, y, true
			}
		}
	}
	left, _, _ := f.at(-1)
	right, _, _ := f.at(1)
	return best, found && top > left && top > right
}

// peakU returns the standard uncertainty of the peak for weights of 1/u^2.
func (f *polyFit) peakU(t float64) float64 {
	k := len(f.c)
	g := make([]float64, k)
	powers(g, t)
	for i := k - 1; i > 0; i-- {
		g[i] = float64(i) * g[i-1]
	}
	g[0] = 0
	v := mat.NewVecDense(k, g)
	_, _, bend := f.at(t)
	return math.Sqrt(mat.Inner(v, &f.cov, v)) / math.Abs(bend)
}

// Working shows the fit.
func (p NosePeak) Working() units.Working {
	src := units.Source{Text: "least squares, JCGM 100:2008 H.3 and 5.1.2", Provenance: units.Verified}
	return units.Working{
		{Symbol: "nose", Formula: "p'(t0) = 0", Numbers: "dial there " + p.Peak.Text(units.Inches, 4) + ", scatter " + p.Scatter.Text(units.Inches, 5), Value: p.Centerline.Angle.Value.Text(2), Source: src},
		p.Agreement.step(),
		{Symbol: "u", Formula: "sqrt(u_reading^2 + u_TDC^2)", Numbers: p.Centerline.UReading.Text(3) + ", " + p.Centerline.UTDC.Text(3), Value: p.Centerline.Angle.U.Text(3), Source: src},
	}
}
