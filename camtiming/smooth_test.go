package camtiming_test

import (
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// scattered reads a lobe with normal errors of u inches.
func scattered(f flanks, step, from, to, u float64, r *rand.Rand) []camtiming.LiftSample {
	s := sampled(f, step, from, to)
	for i := range s {
		s[i].Lift += inch(u * r.NormFloat64())
	}
	return s
}

// kernel is the smoothing spline by its reproducing kernel: a dense system of all
// readings, in cam degrees from the first, solved with 300 bits because it is ill
// conditioned. An implementation apart from the library's filter.
type kernel struct {
	x, y   []float64 // cam degrees from the first reading, meters
	from   float64
	lambda float64 // cam degrees^5
	inv    [][]*big.Float
	sol    []*big.Float
}

func bf(x float64) *big.Float         { return new(big.Float).SetPrec(300).SetFloat64(x) }
func add(a, b *big.Float) *big.Float  { return bf(0).Add(a, b) }
func sub(a, b *big.Float) *big.Float  { return bf(0).Sub(a, b) }
func mul(a, b *big.Float) *big.Float  { return bf(0).Mul(a, b) }
func over(a, b *big.Float) *big.Float { return bf(0).Quo(a, b) }
func float(a *big.Float) (x float64)  { x, _ = a.Float64(); return x }
func dot(a, b []*big.Float) (c *big.Float) {
	c = bf(0)
	for i := range a {
		c = add(c, mul(a[i], b[i]))
	}
	return c
}

// r is the integral over v from 0 to min(s, t) of (s-v)^p/p! (t-v)^q/q!, p = 2 - d,
// q = 2 - e: the kernel with d derivatives in s and e in t. With w = min - v
// it is a sum over binomials.
func (k *kernel) r(s, t float64, d, e int) *big.Float {
	top := min(s, t)
	sum := bf(0)
	if top <= 0 {
		return sum
	}
	power := func(x *big.Float, n int) *big.Float {
		y := bf(1)
		for range n {
			y = mul(y, x)
		}
		return y
	}
	choose := [][]float64{{1}, {1, 1}, {1, 2, 1}}
	p, q := 2-d, 2-e
	ds, dt := sub(bf(s), bf(top)), sub(bf(t), bf(top))
	for i := range p + 1 {
		for j := range q + 1 {
			c := mul(bf(choose[p][i]*choose[q][j]), mul(power(ds, p-i), power(dt, q-j)))
			sum = add(sum, over(mul(c, power(bf(top), i+j+1)), bf(float64(i+j+1))))
		}
	}
	return over(sum, bf([]float64{1, 1, 2}[p]*[]float64{1, 1, 2}[q]))
}

func (k *kernel) poly(s float64, d int) []float64 {
	return [][]float64{{1, s, s * s}, {0, 1, 2 * s}, {0, 0, 2}}[d]
}

func newKernel(s []camtiming.LiftSample, window float64) *kernel {
	n := len(s)
	k := &kernel{from: s[0].Angle.Degrees()}
	for _, p := range s {
		k.x = append(k.x, p.Angle.Degrees()-k.from)
		k.y = append(k.y, p.Lift.Meters())
	}
	k.lambda = math.Pow(window, 6) / (k.x[n-1] / float64(n-1)) // L = w^6/step
	m := make([][]*big.Float, n+3)
	for i := range m {
		m[i] = make([]*big.Float, 2*(n+3))
		for j := range m[i] {
			m[i][j] = bf(0)
		}
		m[i][n+3+i] = bf(1)
	}
	for i := range n {
		for j := range n {
			m[i][j] = k.r(k.x[i], k.x[j], 0, 0)
		}
		m[i][i] = add(m[i][i], bf(k.lambda))
		for j, v := range k.poly(k.x[i], 0) {
			m[i][n+j], m[n+j][i] = bf(v), bf(v)
		}
	}
	for c := range m { // Gauss and Jordan
		p := c
		for r := c; r < len(m); r++ {
			if math.Abs(float(m[r][c])) > math.Abs(float(m[p][c])) {
				p = r
			}
		}
		m[c], m[p] = m[p], m[c]
		f := over(bf(1), m[c][c])
		for j := range m[c] {
			m[c][j] = mul(m[c][j], f)
		}
		for r := range m {
			if r == c || m[r][c].Sign() == 0 {
				continue
			}
			g := m[r][c]
			for j := range m[r] {
				if m[c][j].Sign() != 0 {
					m[r][j] = sub(m[r][j], mul(g, m[c][j]))
				}
			}
		}
	}
	y := make([]*big.Float, n+3)
	for i := range y {
		y[i] = bf(0)
		if i < n {
			y[i] = bf(k.y[i])
		}
	}
	for i := range m {
		k.inv = append(k.inv, m[i][n+3:])
		k.sol = append(k.sol, dot(k.inv[i], y))
	}
	return k
}

// at returns the derivative of order d at a cam angle and its variance over
// that of one reading.
func (k *kernel) at(deg float64, d int) (value, variance float64) {
	s := deg - k.from
	var v []*big.Float
	for _, x := range k.x {
		v = append(v, k.r(s, x, d, 0))
	}
	for _, p := range k.poly(s, d) {
		v = append(v, bf(p))
	}
	var w []*big.Float
	for i := range k.inv {
		w = append(w, dot(k.inv[i], v))
	}
	return float(dot(v, k.sol)), float(over(sub(k.r(s, s, d, d), dot(v, w)), bf(k.lambda)))
}

// The curve and its uncertainty against the dense solution, over uneven steps
// and windows of every kind, at the readings, between and near the ends.
func TestSmoothAgainstDense(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 5))
	f := flanks{camtiming.Poly345, 300 * units.Thou, 60, 66}
	for range 3 {
		var s []camtiming.LiftSample
		for d := -75.0; d < 75; d += 2 + 4*r.Float64() {
			s = append(s, camtiming.LiftSample{Angle: cam(d), Lift: pm(f.at(d)) + inch(0.0005*r.NormFloat64())})
		}
		window := 1.5 + 3*r.Float64()
		u := inch(0.002)
		l := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{
			Samples: s, Noise: units.Some(u), Window: units.Some(cam(window)), Origin: camtiming.AsMeasured, Share: 1,
		}))
		if !l.Fit().Agreement.Agrees && l.Fit().Agreement.Tested {
			t.Fatal("the readings do not agree with their noise")
		}
		near(t, "window", l.Fit().Window.Degrees(), window, 1e-6)
		k := newKernel(s, window)
		for range 40 {
			lo, hi := s[0].Angle, s[len(s)-1].Angle
			a := lo + units.CamAngle(float64(hi-lo)*r.Float64())
			switch r.IntN(4) {
			case 0:
				a = s[r.IntN(len(s))].Angle
			case 1:
				a = hi - cam(0.1)
			}
			y := must[units.Measured[units.Length]](t)(l.LiftAt(a))
			v := must[units.Measured[units.LiftVelocity]](t)(l.VelocityAt(a))
			orders := [][2]float64{{y.Value.Meters(), y.U.Meters()}, {float64(v.Value), float64(v.U)}}
			if b, err := l.AccelerationAt(a); err == nil { // 4 degrees with a noise of 0.002 in may be too coarse
				orders = append(orders, [2]float64{float64(b.Value), float64(b.U)})
			}
			for d, got := range orders {
				want, variance := k.at(a.Degrees(), d)
				near(t, "value", got[0], want, 2e-12)
				near(t, "uncertainty", got[1], u.Meters()*math.Sqrt(variance), 1e-9*got[1]+1e-12)
			}
		}
	}
}

// The window chosen is the one that makes the readings likeliest: the restricted
// likelihood from dense determinants is lower on both sides of it.
func TestSmoothLikeliest(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 7))
	s := scattered(flanks{camtiming.Poly4567, 300 * units.Thou, 60, 66}, 4, -74, 74, 0.001, r)
	for _, noise := range []units.Optional[units.Length]{{}, units.Some(inch(0.001))} {
		l := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: s, Noise: noise}))
		cost := func(window float64) float64 {
			k := newKernel(s, window)
			n := len(s)
			// log det V + log det X'V^-1 X for V = K/L + I, X the parabolas, is log
			// det of V bordered by X but for a constant; y'Py is L times y' times
			// the weights of the kernel.
			v := mat.NewSymDense(n, nil)
			x := mat.NewDense(n, 3, nil)
			for i := range n {
				for j := i; j < n; j++ {
					v.SetSym(i, j, float(k.r(k.x[i], k.x[j], 0, 0))/k.lambda)
				}
				v.SetSym(i, i, v.At(i, i)+1)
				x.SetRow(i, k.poly(k.x[i]/100, 0))
			}
			var chol mat.Cholesky
			if !chol.Factorize(v) {
				t.Fatal("no Cholesky")
			}
			var vx, xvx mat.Dense
			if err := chol.SolveTo(&vx, x); err != nil {
				t.Fatal(err)
			}
			xvx.Mul(x.T(), &vx)
			square := 0.0
			for i := range n {
				square += k.lambda * k.y[i] * float(k.sol[i])
			}
			if noise.Given {
				square /= squareOf(noise.Value.Meters())
			} else {
				square = float64(n-3) * math.Log(square)
			}
			return chol.LogDet() + math.Log(mat.Det(&xvx)) + square
		}
		w := l.Fit().Window.Degrees()
		if c := cost(w); c > cost(w*1.03) || c > cost(w/1.03) {
			t.Errorf("window %g is not the likeliest: %g, beside it %g and %g", w, c, cost(w/1.03), cost(w*1.03))
		}
	}
}

func squareOf(x float64) float64 { return x * x }

// How often the true lobe lies within two standard uncertainties, over lobes of
// known law read with known scatter: about 95 % for lift, no less for its
// derivatives. The estimated scatter is the one put in; few readings stand out.
func TestSmoothCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	for _, law := range []camtiming.Law{camtiming.Harmonic, camtiming.Poly345, camtiming.Poly4567, camtiming.ModifiedSine, camtiming.Cycloidal} {
		for _, c := range []struct {
			step, u float64
			stated  bool
		}{{1, 0.0002, false}, {2, 0.0005, false}, {1, 0.0005, true}, {5, 0.0005, true}} {
			f := flanks{law, 350 * units.Thou, 64, 67}
			truth := f.lobe(t)
			var in, all, out, readings float64
			var inside [3]float64
			var s2, nose, peak float64
			const times = 25
			for range times {
				spec := camtiming.SmoothLobeSpec{Origin: camtiming.AsMeasured, Share: 1}
				for d := -80.0; d <= 80; d += c.step { // uneven by a third of a step
					a := d + c.step*(r.Float64()-0.5)/3
					spec.Samples = append(spec.Samples, camtiming.LiftSample{Angle: cam(a), Lift: truth.Lift(cam(a)) + inch(c.u*r.NormFloat64())})
				}
				if c.stated {
					spec.Noise = units.Some(inch(c.u))
				}
				l := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(spec))
				fit := l.Fit()
				readings += float64(len(spec.Samples))
				out += float64(len(fit.Outliers))
				s2 += squareOf(fit.Scatter.Inches() / c.u)
				nose += squareOf(fit.Nose.Value.Degrees() / fit.Nose.U.Degrees())
				peak += squareOf((fit.Peak.Value.Inches() - 0.35) / fit.Peak.U.Inches())
				for d := -61.0; d <= 64; d += 1.13 {
					m := truth.Motion(cam(d))
					y := must[units.Measured[units.Length]](t)(l.LiftAt(cam(d)))
					v := must[units.Measured[units.LiftVelocity]](t)(l.VelocityAt(cam(d)))
					a := must[units.Measured[units.LiftAcceleration]](t)(l.AccelerationAt(cam(d)))
					all++
					for k, ok := range []bool{
						math.Abs(float64(y.Value-m.Lift)) <= 2*float64(y.U),
						math.Abs(float64(v.Value-m.Velocity)) <= 2*float64(v.U),
						math.Abs(float64(a.Value-m.Acceleration)) <= 2*float64(a.U),
					} {
						if ok {
							inside[k]++
						}
					}
				}
				in++
			}
			name := law.String()
			near(t, name+" lift covered", inside[0]/all, 0.965, 0.03)
			near(t, name+" velocity covered", inside[1]/all, 0.98, 0.02)
			near(t, name+" acceleration covered", inside[2]/all, 0.99, 0.0101)
			if !c.stated {
				near(t, name+" scatter", math.Sqrt(s2/in), 1, 0.06)
			}
			// At the nose the jerk of two of the laws turns about at once (J = 60
			// and more): there the curve is drawn in by more than its uncertainty.
			limit := 1.25
			if law == camtiming.Poly345 || law == camtiming.ModifiedSine {
				limit = 1.8
			}
			if math.Sqrt(nose/in) > 1.3 || math.Sqrt(peak/in) > limit {
				t.Errorf("%s step %g: nose off by %g, peak by %g of their uncertainties", name, c.step, math.Sqrt(nose/in), math.Sqrt(peak/in))
			}
			if out > 0.002*readings+5 {
				t.Errorf("%s: %g of %g readings stand out", name, out, readings)
			}
		}
	}
}

// Fine readings carry the acceleration, coarse and noisy ones do not, none
// carry the jerk; the refusal names step and noise.
func TestSmoothRefusal(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 11))
	f := flanks{camtiming.Poly345, 350 * units.Thou, 65, 65}
	fine := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: scattered(f, 0.5, -80, 80, 0.0001, r)}))
	for order := range 3 {
		if err := fine.Supports(order); err != nil {
			t.Error(err)
		}
	}
	peaks, err := camtiming.PeaksOf(fine)
	if err != nil {
		t.Fatal(err)
	}
	// v = 15/8 h/b, a = 10/sqrt(3) h/b^2 at most.
	near(t, "velocity", peaks.Opening.Value.InchesPerCamDegree(), 15.0/8*0.35/65, 2e-4)
	near(t, "acceleration", peaks.OpeningAcceleration.Value.InchesPerCamDegree2(), 10/math.Sqrt(3)*0.35/65/65, 5e-5)
	if err := fine.Supports(3); !errors.Is(err, units.ErrImpossible) || !strings.Contains(err.Error(), "jerk") {
		t.Errorf("jerk: %v", err)
	}
	coarse := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{
		Samples: scattered(f, 8, -80, 80, 0.002, r), Noise: units.Some(inch(0.002)), Origin: camtiming.AsMeasured,
	}))
	if coarse.Supports(0) != nil || coarse.Supports(1) != nil {
		t.Error("the lift or its slope is not carried")
	}
	err = coarse.Supports(2)
	for _, part := range []string{"8.000 cam deg", "0.002000 in", "acceleration"} {
		if err == nil || !strings.Contains(err.Error(), part) {
			t.Errorf("%v does not name %s", err, part)
		}
	}
	if _, err := coarse.AccelerationAt(0); !errors.Is(err, units.ErrImpossible) {
		t.Errorf("acceleration: %v", err)
	}
	if _, err := camtiming.PeaksOf(coarse); !errors.Is(err, units.ErrImpossible) {
		t.Errorf("peaks: %v", err)
	}
	// A finer share refuses what a coarser one lets pass.
	s := scattered(f, 2, -80, 80, 0.0003, r)
	for share, ok := range map[float64]bool{0.5: true, 0.001: false} {
		l := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: s, Share: share}))
		if err := l.Supports(2); (err == nil) != ok {
			t.Errorf("share %g: %v", share, err)
		}
	}
}

// A stated noise that the scatter exceeds gives way to the scatter; one that is
// wide stays.
func TestSmoothStatedNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 13))
	s := scattered(flanks{camtiming.Poly345, 350 * units.Thou, 65, 65}, 1, -80, 80, 0.0005, r)
	for stated, want := range map[float64]float64{0.0001: 0.0005, 0.0005: 0.0005, 0.002: 0.002} {
		l := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: s, Noise: units.Some(inch(stated))}))
		f := l.Fit()
		near(t, "noise", f.Noise.Inches(), want, 0.0001)
		near(t, "scatter", f.Scatter.Inches(), 0.0005, 0.0001)
		if f.Agreement.Agrees != (stated >= 0.0005) || !f.Agreement.Tested {
			t.Errorf("stated %g: %+v", stated, f.Agreement)
		}
		if f.Working() == nil {
			t.Error("no working")
		}
	}
}

// Misread samples stand out, and no other; two wrong ones do not hide each other.
func TestSmoothOutliers(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 15))
	for _, noise := range []units.Optional[units.Length]{{}, units.Some(inch(0.0003))} {
		s := scattered(flanks{camtiming.Poly4567, 350 * units.Thou, 65, 65}, 1, -80, 80, 0.0003, r)
		s[40].Lift += 10 * units.Thou
		s[43].Lift += 9 * units.Thou
		s[100].Lift -= 5 * units.Thou
		l := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: s, Noise: noise}))
		var found []int
		for _, o := range l.Fit().Outliers {
			found = append(found, o.Index)
			want := map[int]float64{40: 0.010, 43: 0.009, 100: -0.005}[o.Index]
			near(t, "off", o.Off.Inches(), want, 0.0015)
			if o.Sample != s[o.Index] || (o.Studentized > 0) != (o.Off > 0) {
				t.Errorf("outlier %+v", o)
			}
		}
		slices.Sort(found)
		if !slices.Equal(found, []int{40, 43, 100}) {
			t.Errorf("outliers %v", found)
		}
	}
}

// Mirrored readings give the mirrored curve, readings of a lobe farther on the
// same curve farther on, lifts twice as high a curve twice as high.
func TestSmoothProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 17))
	s := scattered(flanks{camtiming.Poly345, 300 * units.Thou, 60, 68}, 1.5, -75, 78, 0.0004, r)
	make1 := func(f func(camtiming.LiftSample) camtiming.LiftSample) *camtiming.SmoothLobe {
		c := make([]camtiming.LiftSample, len(s))
		for i := range s {
			c[i] = f(s[i])
		}
		if c[0].Angle > c[1].Angle {
			slices.Reverse(c)
		}
		return must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: c}))
	}
	l := make1(func(p camtiming.LiftSample) camtiming.LiftSample { return p })
	mirror := make1(func(p camtiming.LiftSample) camtiming.LiftSample {
		return camtiming.LiftSample{Angle: -p.Angle, Lift: p.Lift}
	})
	far := make1(func(p camtiming.LiftSample) camtiming.LiftSample {
		return camtiming.LiftSample{Angle: p.Angle + cam(100), Lift: p.Lift}
	})
	twice := make1(func(p camtiming.LiftSample) camtiming.LiftSample {
		return camtiming.LiftSample{Angle: p.Angle, Lift: 2 * p.Lift}
	})
	near(t, "nose", far.Fit().Nose.Value.Degrees()-l.Fit().Nose.Value.Degrees(), 100, 1e-5)
	for d := -50.0; d <= 50; d += 0.9 {
		a := l.Motion(cam(d))
		b, c, e := mirror.Motion(cam(-d)), far.Motion(cam(d)), twice.Motion(cam(d))
		near(t, "mirrored lift", b.Lift.Meters(), a.Lift.Meters(), 2e-9)
		near(t, "mirrored slope", -float64(b.Velocity), float64(a.Velocity), 1e-9)
		near(t, "shifted lift", c.Lift.Meters(), a.Lift.Meters(), 2e-9)
		near(t, "doubled lift", e.Lift.Meters(), 2*a.Lift.Meters(), 2e-9)
		// The derivatives are those of the curve.
		h := cam(1e-3)
		near(t, "slope", float64(a.Velocity), (l.Lift(cam(d)+h)-l.Lift(cam(d)-h)).Meters()/2e-3, 2e-9)
		near(t, "acceleration", float64(a.Acceleration), float64(l.Velocity(cam(d)+h)-l.Velocity(cam(d)-h))/2e-3, 1e-10)
		near(t, "jerk", float64(a.Jerk), float64(l.Motion(cam(d)+h).Acceleration-l.Motion(cam(d)-h).Acceleration)/2e-3, 1e-10)
	}
	if m := l.MaxLift(); m != l.Lift(0) {
		t.Errorf("%v at the nose, greatest %v", l.Lift(0), m)
	}
	span := l.Span()
	if l.Lift(span.Opens-cam(0.01)) != 0 || l.Velocity(span.Closes+cam(0.01)) != 0 || l.Motion(cam(170)) != (camtiming.LobeMotion{}) {
		t.Error("lifts outside its span")
	}
	// Readings without the nose, and the crossings nearest to it.
	gap := slices.DeleteFunc(slices.Clone(s), func(p camtiming.LiftSample) bool { return p.Angle.Abs() < cam(5) })
	g := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: gap, Origin: camtiming.AsMeasured}))
	near(t, "nose not read", g.Fit().Nose.Value.Degrees(), 0, 3*g.Fit().Nose.U.Degrees())
	near(t, "lift not read", g.MaxLift().Inches(), 0.3, 3*g.Fit().Peak.U.Inches())
	for _, at := range []units.Length{2 * units.Thou, 50 * units.Thou, 290 * units.Thou} {
		o := must[camtiming.Opening](t)(camtiming.OpeningAt(g, at))
		near(t, "opens", g.Lift(o.Opens).Inches(), at.Inches(), 1e-9)
		near(t, "closes", g.Lift(o.Closes).Inches(), at.Inches(), 1e-9)
	}
	if _, err := camtiming.OpeningAt(g, 1); err == nil {
		t.Error("a duration below what the readings tell")
	}
	if a := must[camtiming.LobeArea](t)(camtiming.AreaUnder(l, camtiming.AreaSpec{})); math.Abs(a.Area.InchCrankDegrees()-0.3*(60+68)) > 0.05 {
		// The 3-4-5 law encloses half of its rectangle: h (60 + 68)/2 cam degrees.
		t.Errorf("area %v", a.Area.InchCrankDegrees())
	}
}

func TestSmoothBadInput(t *testing.T) {
	r := rand.New(rand.NewPCG(18, 19))
	f := flanks{camtiming.Poly345, 300 * units.Thou, 60, 66}
	good := scattered(f, 2, -74, 74, 0.0003, r)
	spec := func(change func(*camtiming.SmoothLobeSpec)) func() (any, error) {
		return one(func() (*camtiming.SmoothLobe, error) {
			s := camtiming.SmoothLobeSpec{Samples: slices.Clone(good)}
			change(&s)
			return camtiming.NewSmoothLobe(s)
		})
	}
	l := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: good, Share: 1}))
	zero := new(camtiming.SmoothLobe)
	none := func(err error) func() (any, error) { return func() (any, error) { return 0, err } }
	refuse(t, []bad{
		{"none", one(func() (*camtiming.SmoothLobe, error) { return camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{}) }), "Samples", units.ErrMissing},
		{"nine", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples = s.Samples[:9] }), "Samples", units.ErrMissing},
		{"many", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples = make([]camtiming.LiftSample, 1<<16+1) }), "Samples", units.ErrRange},
		{"swapped", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples[3], s.Samples[4] = s.Samples[4], s.Samples[3] }), "Samples.Angle", units.ErrConflict},
		{"twice", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples[3].Angle = s.Samples[2].Angle }), "Samples.Angle", units.ErrConflict},
		{"least angle", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples[0].Angle = math.MinInt64 }), "Samples.Angle", units.ErrRange},
		{"most angle", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples[74].Angle = math.MaxInt64 }), "Samples.Angle", units.ErrRange},
		{"over a turn", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples[74].Angle = cam(300) }), "Samples.Angle", units.ErrRange},
		{"deep", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples[1].Lift = -units.Millimeter - 1 }), "Samples.Lift", units.ErrRange},
		{"high", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples[1].Lift = math.MaxInt64 }), "Samples.Lift", units.ErrRange},
		{"least lift", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples[1].Lift = math.MinInt64 }), "Samples.Lift", units.ErrRange},
		{"flat", spec(func(s *camtiming.SmoothLobeSpec) {
			for i := range s.Samples {
				s.Samples[i].Lift = 0
			}
		}), "Samples.Lift", units.ErrRange},
		{"below", spec(func(s *camtiming.SmoothLobeSpec) {
			for i := range s.Samples {
				s.Samples[i].Lift = -units.Micrometer
			}
		}), "Samples.Lift", units.ErrRange},
		{"cut short", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples = s.Samples[:60] }), "Samples", units.ErrMissing},
		{"off zero", spec(func(s *camtiming.SmoothLobeSpec) {
			for i := range s.Samples {
				s.Samples[i].Lift += 20 * units.Thou
			}
		}), "Samples", units.ErrMissing},
		{"noise zero", spec(func(s *camtiming.SmoothLobeSpec) { s.Noise = units.Some(units.Length(0)) }), "Noise", units.ErrRange},
		{"noise negative", spec(func(s *camtiming.SmoothLobeSpec) { s.Noise = units.Some(-units.Micrometer) }), "Noise", units.ErrRange},
		{"noise large", spec(func(s *camtiming.SmoothLobeSpec) { s.Noise = units.Some(2 * units.Millimeter) }), "Noise", units.ErrRange},
		{"no noise to tell", spec(func(s *camtiming.SmoothLobeSpec) { s.Samples = sampled(f, 4, -76, 76) }), "Noise", units.ErrMissing},
		{"noise over the lobe", spec(func(s *camtiming.SmoothLobeSpec) {
			for i := range s.Samples {
				s.Samples[i].Lift = units.Length(i%3) * units.Micrometer
			}
			s.Samples[74].Lift = 0
			s.Noise = units.Some(units.Millimeter)
		}), "Samples", units.ErrImpossible},
		{"window narrow", spec(func(s *camtiming.SmoothLobeSpec) { s.Window = units.Some(cam(0.1)) }), "Window", units.ErrRange},
		{"window wide", spec(func(s *camtiming.SmoothLobeSpec) { s.Window = units.Some(cam(149)) }), "Window", units.ErrRange},
		{"window negative", spec(func(s *camtiming.SmoothLobeSpec) { s.Window = units.Some(cam(-2)) }), "Window", units.ErrRange},
		{"share negative", spec(func(s *camtiming.SmoothLobeSpec) { s.Share = -0.1 }), "Share", units.ErrRange},
		{"share over 1", spec(func(s *camtiming.SmoothLobeSpec) { s.Share = 1.1 }), "Share", units.ErrRange},
		{"share not a number", spec(func(s *camtiming.SmoothLobeSpec) { s.Share = math.NaN() }), "Share", units.ErrRange},
		{"origin unknown", spec(func(s *camtiming.SmoothLobeSpec) { s.Origin = 7 }), "Origin", units.ErrRange},
		{"origin off the lobe", spec(func(s *camtiming.SmoothLobeSpec) {
			for i := range s.Samples {
				s.Samples[i].Angle += cam(100)
			}
			s.Origin = camtiming.AsMeasured
		}), "Origin", units.ErrConflict},
		{"past the table", one(func() (units.Measured[units.Length], error) { return l.LiftAt(cam(90)) }), "fromNose", units.ErrRange},
		{"past the table, velocity", one(func() (units.Measured[units.LiftVelocity], error) { return l.VelocityAt(cam(-90)) }), "fromNose", units.ErrRange},
		{"least angle of a curve", one(func() (units.Measured[units.LiftAcceleration], error) { return l.AccelerationAt(math.MinInt64) }), "fromNose", units.ErrRange},
		{"order 4", none(l.Supports(4)), "order", units.ErrRange},
		{"order -1", none(l.Supports(-1)), "order", units.ErrRange},
		{"zero lobe", none(zero.Supports(1)), "SmoothLobe", units.ErrMissing},
		{"zero lobe's lift", one(func() (units.Measured[units.Length], error) { return zero.LiftAt(0) }), "SmoothLobe", units.ErrMissing},
		{"zero lobe opens", one(func() (camtiming.Opening, error) { return camtiming.OpeningAt(zero, units.Thou) }), "LiftCurve", units.ErrMissing},
	})
	if zero.Lift(0) != 0 || zero.Velocity(0) != 0 || zero.Motion(0) != (camtiming.LobeMotion{}) || zero.MaxLift() != 0 || zero.Span() != (camtiming.Span{}) || zero.Fit().Working() != nil {
		t.Error("the zero lobe lifts")
	}
}

// Twice as many readings take about twice as long; an evaluation does not
// allocate.
func TestSmoothAllocates(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 21))
	l := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: scattered(flanks{camtiming.Poly345, 300 * units.Thou, 60, 66}, 1, -74, 74, 0.0003, r)}))
	for name, f := range map[string]func(){
		"lift":         func() { sinkLength = l.Lift(cam(12.3)) },
		"velocity":     func() { _ = l.Velocity(cam(12.3)) },
		"motion":       func() { sinkLength = l.Motion(cam(12.3)).Lift },
		"lift with u":  func() { _, _ = l.LiftAt(cam(12.3)) },
		"accel with u": func() { _, _ = l.AccelerationAt(cam(12.3)) },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}

func FuzzSmoothLobe(f *testing.F) {
	f.Add(uint64(1), uint64(2), uint16(40), 0.5, 0.3)
	f.Add(uint64(3), uint64(4), uint16(12), 40.0, 0.0)
	f.Add(uint64(5), uint64(6), uint16(300), 1e-6, 1e-9)
	f.Fuzz(func(t *testing.T, a, b uint64, n uint16, scatter, noise float64) {
		r := rand.New(rand.NewPCG(a, b))
		lobe := flanks{allLaws[r.IntN(len(allLaws))], units.Length(1+r.IntN(400)) * units.Thou, 30 + 40*r.Float64(), 30 + 40*r.Float64()}.lobe(t)
		if !(math.Abs(scatter) < 1000) || !(math.Abs(noise) < 1000) {
			return
		}
		spec := camtiming.SmoothLobeSpec{Origin: camtiming.AsMeasured}
		if noise != 0 {
			spec.Noise = units.Some(inch(noise / 1000))
		}
		at := -90.0
		for range min(n, 400) {
			at += r.Float64() * 360 / float64(n)
			spec.Samples = append(spec.Samples, camtiming.LiftSample{Angle: cam(at), Lift: lobe.Lift(cam(at)) + inch(scatter/1000*r.NormFloat64())})
		}
		l, err := camtiming.NewSmoothLobe(spec)
		if err != nil {
			var e *units.InputError
			if !errors.As(err, &e) || l != nil {
				t.Fatalf("%v, %v", l, err)
			}
			return
		}
		fit := l.Fit()
		if fit.Noise <= 0 || fit.Peak.U <= 0 || fit.Window <= 0 || fit.Freedom < 0 || fit.Freedom > float64(n) || math.IsNaN(fit.Freedom) {
			t.Errorf("fit %+v", fit)
		}
		s := l.Span()
		if s.Opens >= 0 || s.Closes <= 0 {
			t.Errorf("span %v", s)
		}
		for k := range 50 {
			x := s.Opens + (s.Closes-s.Opens)*units.CamAngle(k)/50
			m := l.Motion(x)
			y, err := l.LiftAt(x)
			if err != nil && l.Supports(0) == nil || err == nil && (y.U <= 0 || (y.Value-m.Lift).Abs() > 1) || math.IsNaN(float64(m.Acceleration)) {
				t.Fatalf("at %v: %+v, %v, %v", x, m, y, err)
			}
			if m.Lift > l.MaxLift() {
				t.Fatalf("%v at %v, greatest %v", m.Lift, x, l.MaxLift())
			}
		}
	})
}

func BenchmarkNewSmoothLobe(b *testing.B) {
	r := rand.New(rand.NewPCG(22, 23))
	s := scattered(flanks{camtiming.Poly345, 350 * units.Thou, 64, 67}, 0.2, -72, 71.8, 0.0001, r)
	for name, noise := range map[string]units.Optional[units.Length]{"estimated": {}, "stated": units.Some(inch(0.0001))} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: s, Noise: noise}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkSmoothLobe(b *testing.B) {
	r := rand.New(rand.NewPCG(24, 25))
	l := must[*camtiming.SmoothLobe](b)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: scattered(flanks{camtiming.Poly345, 350 * units.Thou, 64, 67}, 0.5, -72, 72, 0.0001, r)}))
	var x [64]units.CamAngle
	for i := range x {
		x[i] = cam(float64(i)*1.9 - 60)
	}
	b.Run("lift", func(b *testing.B) {
		i := 0
		b.ReportAllocs()
		for b.Loop() {
			sinkLength = l.Lift(x[i&63])
			i++
		}
	})
	b.Run("lift with u", func(b *testing.B) {
		i := 0
		b.ReportAllocs()
		for b.Loop() {
			m, _ := l.LiftAt(x[i&63])
			sinkLength = m.U
			i++
		}
	})
}

// A cam of two smoothed lobes reads the height difference of the lobes behind
// them.
func TestSmoothCam(t *testing.T) {
	r := rand.New(rand.NewPCG(26, 27))
	p := unequalPair
	read := func(f flanks) *camtiming.SmoothLobe {
		return must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: scattered(f, 1, -85, 85, 0.0002, r), Origin: camtiming.AsMeasured}))
	}
	k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: read(p.intake), Exhaust: read(p.exhaust), Separation: cam(p.sep), GroundAdvance: crank(p.ground)}))
	for adv := -6.0; adv <= 8; adv++ {
		near(t, "difference", k.At(crank(adv)).Difference.Inches(), p.diff(adv)/0.0254, 0.0006)
		inv := must[camtiming.Inversion](t)(k.Advance(pm(p.diff(adv))))
		near(t, "advance", inv.Advance.Degrees(), adv, 0.3)
	}
}
