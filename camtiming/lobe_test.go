package camtiming_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// sampled is a table of a closed form every step degrees, with the base circle
// run on to both ends.
func sampled(f flanks, step, from, to float64) []camtiming.LiftSample {
	var s []camtiming.LiftSample
	for d := from; d <= to+1e-9; d += step {
		s = append(s, camtiming.LiftSample{Angle: cam(d), Lift: units.Length(math.RoundToEven(f.at(d) * 1e12))})
	}
	return s
}

// someLobes is one lobe of every kind and shape.
func someLobes(tb testing.TB) map[string]camtiming.LiftCurve {
	tb.Helper()
	m := map[string]camtiming.LiftCurve{}
	for _, law := range allLaws {
		m["law "+law.String()] = must[*camtiming.LawLobe](tb)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: law, MaxLift: 300 * units.Thou, Opening: cam(66), Closing: cam(71)}))
	}
	for how, name := range []string{"monotone", "natural", "not a knot", "straight"} {
		m["table "+name] = must[*camtiming.TableLobe](tb)(camtiming.NewTableLobe(camtiming.TableLobeSpec{
			Samples: sampled(flanks{camtiming.Poly345, 300 * units.Thou, 66, 71}, 2, -80, 80), Interpolation: camtiming.Interpolation(how),
		}))
	}
	m["card of three"] = must[*camtiming.CardLobe](tb)(camtiming.NewCardLobe(workboatLobe))
	one := workboatLobe
	one.Durations = one.Durations[:1]
	m["card of one"] = must[*camtiming.CardLobe](tb)(camtiming.NewCardLobe(one))
	m["foreign"] = plain{m["law 3-4-5 polynomial"]}
	return m
}

var workboatLobe = camtiming.CardLobeSpec{
	MaxLift: 300 * units.Thou,
	Durations: []camtiming.DurationAt{
		{Lift: 6 * units.Thou, Duration: crank(270)}, {Lift: 50 * units.Thou, Duration: crank(224)}, {Lift: 200 * units.Thou, Duration: crank(130)},
	},
}

// The higher the checking lift, the shorter the duration; the curve stands at
// the lift on both crossings; Duration and Midpoint follow from them.
func TestOpeningAt(t *testing.T) {
	for name, c := range someLobes(t) {
		var was units.CrankAngle = most
		for thou := 1; thou < 300; thou++ {
			at := units.Length(thou) * units.Thou
			if at >= c.MaxLift() {
				break
			}
			o, err := camtiming.OpeningAt(c, at)
			if err != nil {
				t.Fatalf("%s at %v: %v", name, at, err)
			}
			if o.Duration >= was {
				t.Errorf("%s: duration %v at %v, %v below it", name, o.Duration, at, was)
			}
			was = o.Duration
			if o.Lift != at || o.Opens >= o.Closes {
				t.Errorf("%s: %+v", name, o)
			}
			if d := o.Duration - (o.Closes - o.Opens).Crank(); d.Abs() > 2 {
				t.Errorf("%s: duration %v, crossings %v apart", name, o.Duration, (o.Closes - o.Opens).Crank())
			}
			if d := 2*o.Midpoint - (o.Opens + o.Closes); d.Abs() > 3 {
				t.Errorf("%s: midpoint %v of %v and %v", name, o.Midpoint, o.Opens, o.Closes)
			}
			// One count of angle at a slope of at most 10 m per cam degree.
			for _, x := range []units.CamAngle{o.Opens, o.Closes} {
				slack := units.Length(math.Abs(float64(c.Velocity(x)))*1e12*0.5e-9) + 2
				if d := c.Lift(x) - at; d.Abs() > slack {
					t.Errorf("%s: lift %v at the crossing of %v", name, c.Lift(x), at)
				}
			}
		}
	}
}

// A lobe turned end for end opens where it closed.
func TestMirroredLobes(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 300 {
		f := flanks{allLaws[r.IntN(5)], units.Length(100+r.IntN(400)) * units.Thou, 40 + 60*r.Float64(), 40 + 60*r.Float64()}
		a, b := f.lobe(t), flanks{f.law, f.lift, f.closing, f.opening}.lobe(t)
		if s, m := a.Span(), b.Span(); s.Opens != -m.Closes || s.Closes != -m.Opens {
			t.Errorf("spans %v and %v", s, m)
		}
		x := cam(200*r.Float64() - 100)
		if a.Lift(x) != b.Lift(-x) || (x != 0 && a.Velocity(x) != -b.Velocity(-x)) {
			t.Errorf("%+v at %v: %v %v, mirrored %v %v", f, x, a.Lift(x), a.Velocity(x), b.Lift(-x), b.Velocity(-x))
		}
		at := units.Length(1+r.IntN(99)) * units.Thou
		o, m := must[camtiming.Opening](t)(camtiming.OpeningAt(a, at)), must[camtiming.Opening](t)(camtiming.OpeningAt(b, at))
		if o.Opens != -m.Closes || o.Closes != -m.Opens || o.Duration != m.Duration || o.Midpoint != -m.Midpoint {
			t.Errorf("%+v and mirrored %+v", o, m)
		}
	}
}

// Lift against the closed form to half a picometer and rounding noise; slope
// against its central difference.
func TestLawLobeAgainstClosedForm(t *testing.T) {
	f := flanks{camtiming.Poly4567, 320 * units.Thou, 66, 71}
	l := f.lobe(t)
	for d := -75.0; d <= 75; d += 0.37 {
		near(t, "lift", float64(l.Lift(cam(d))), f.at(d)*1e12, 0.6)
		const h = 1e-5
		near(t, "slope", float64(l.Velocity(cam(d))), (f.at(d+h)-f.at(d-h))/(2*h), 1e-9)
	}
	if l.Lift(0) != l.MaxLift() || l.Spec().MaxLift != l.MaxLift() {
		t.Error("the nose is not at the lift asked for")
	}
}

// A lobe lifts nothing outside its span; a spline swings a little between the
// points of the base circle, which its doc says (here under 20 nm).
func TestBaseCircle(t *testing.T) {
	for name, c := range someLobes(t) {
		s, swing := c.Span(), units.Length(0)
		if name == "table natural" || name == "table not a knot" {
			swing = 20 * units.Nanometer
		}
		for _, x := range []units.CamAngle{s.Opens - 1, s.Closes + 1, s.Opens - cam(3), s.Closes + cam(3), cam(-179), cam(179)} {
			if y := c.Lift(x); y.Abs() > swing {
				t.Errorf("%s: lift %v at %v, span %v to %v", name, y, x, s.Opens, s.Closes)
			}
		}
		if v := float64(c.Velocity(0)); v == 0 && math.Signbit(v) {
			t.Errorf("%s: the slope at the nose is minus zero", name)
		}
		if c.Lift(0) != c.MaxLift() {
			t.Errorf("%s: %v at the nose, lift %v", name, c.Lift(0), c.MaxLift())
		}
	}
}

// A table read on over the base circle spans the lobe, not the table.
func TestTableSpan(t *testing.T) {
	f := flanks{camtiming.Poly345, 300 * units.Thou, 66, 70}
	c := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: sampled(f, 2, -120, 120), Origin: camtiming.AsMeasured}))
	if got, want := c.Span(), (camtiming.Span{cam(-66), cam(70)}); got != want {
		t.Errorf("span %v, want %v", got, want)
	}
	if c.Nose() != 0 {
		t.Errorf("nose at %v", c.Nose())
	}
}

// A table passes through its points, in every way of joining, from either
// origin; the monotone one stays between neighbors.
func TestTableThroughPoints(t *testing.T) {
	samples := []camtiming.LiftSample{
		{cam(12), 0},
		{cam(23), 4 * units.Thou},
		{cam(31.5), 40 * units.Thou},
		{cam(52), 170 * units.Thou},
		{cam(70), 251 * units.Thou},
		{cam(77), 260 * units.Thou},
		{cam(90), 240 * units.Thou},
		{cam(118), 80 * units.Thou},
		{cam(130), 9 * units.Thou},
		{cam(151), 0},
	}
	for how := range camtiming.Straight + 1 {
		c := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: samples, Interpolation: how}))
		near(t, "nose", c.Nose().Degrees(), 0, 0)
		// Where the origin has moved to.
		origin := samples[0].Angle - c.Span().Opens
		for _, s := range samples {
			if d := c.Lift(s.Angle-origin) - s.Lift; d.Abs() > 20 { // one count of angle
				t.Errorf("join %d: %v at %v, want %v", how, c.Lift(s.Angle-origin), s.Angle, s.Lift)
			}
		}
		if how == camtiming.Monotone || how == camtiming.Straight {
			for i := 1; i < len(samples); i++ {
				lo, hi := min(samples[i-1].Lift, samples[i].Lift), max(samples[i-1].Lift, samples[i].Lift)
				for k := range 50 {
					x := samples[i-1].Angle + (samples[i].Angle-samples[i-1].Angle)*units.CamAngle(k)/50
					if y := c.Lift(x - origin); y < lo-20 || y > hi+20 {
						t.Errorf("join %d: %v at %v leaves %v to %v", how, y, x, lo, hi)
					}
				}
			}
		}
		// The slope is that of the lift.
		for d := -60.0; d < 70; d += 1.7 {
			h := cam(1e-4)
			diff := (c.Lift(cam(d)+h) - c.Lift(cam(d)-h)).Meters() / 2e-4
			if how == camtiming.Straight && math.Abs(diff-float64(c.Velocity(cam(d)))) > 1e-7 {
				continue // a corner may lie between
			}
			near(t, "slope of a table", float64(c.Velocity(cam(d))), diff, 2e-8)
		}
	}
}

// On a table with noise, the crossing nearest to the nose: found by a walk in
// steps of a thousandth of a degree.
func TestNoisyTable(t *testing.T) {
	f := flanks{camtiming.Poly345, 300 * units.Thou, 66, 66}
	s := sampled(f, 2, -80, 80)
	r := rand.New(rand.NewPCG(9, 10))
	for i := range s {
		s[i].Lift = max(s[i].Lift+units.Length(r.NormFloat64()*float64(units.Thou)), 0)
	}
	for _, how := range []camtiming.Interpolation{camtiming.Monotone, camtiming.Straight} {
		c := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s, Interpolation: how}))
		for _, at := range []units.Length{2 * units.Thou, 4 * units.Thou, 50 * units.Thou} {
			o := must[camtiming.Opening](t)(camtiming.OpeningAt(c, at))
			step, x := cam(0.001), units.CamAngle(0)
			for c.Lift(x) > at {
				x -= step
			}
			near(t, "opens", o.Opens.Degrees(), x.Degrees(), 0.0011)
			for x = 0; c.Lift(x) > at; {
				x += step
			}
			near(t, "closes", o.Closes.Degrees(), x.Degrees(), 0.0011)
		}
	}
}

// The fitted lobe passes through every card point to a picometer, falls on each
// flank, is even about the nose, and its slope has no step (dense scan).
func TestCardLobeShape(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	made := 0
	for range 400 {
		// Durations of some closed lobe, spoiled by up to a degree.
		f := flanks{allLaws[r.IntN(4)], units.Length(200+r.IntN(250)) * units.Thou, 60 + 20*r.Float64(), 0}
		f.closing = f.opening
		l := f.lobe(t)
		spec := camtiming.CardLobeSpec{MaxLift: f.lift}
		for _, at := range []units.Length{4 * units.Thou, 6 * units.Thou, 20 * units.Thou, 50 * units.Thou, 100 * units.Thou}[r.IntN(4):] {
			d := must[camtiming.Opening](t)(camtiming.OpeningAt(l, at)).Duration
			spec.Durations = append(spec.Durations, camtiming.DurationAt{at, (d + crank(2*r.Float64()-1)) / 4 * 4})
		}
		c, err := camtiming.NewCardLobe(spec)
		if err != nil {
			continue // spoiled too far
		}
		made++
		for _, p := range spec.Durations {
			// Half the duration, in cam degrees, from the nose: the same count.
			x := units.CamAngle(p.Duration / 2)
			if y := c.Lift(x); (y-p.Lift).Abs() > 1 || c.Lift(-x) != y {
				t.Errorf("%+v: %v at %v", spec, y, x)
			}
			if s := c.Spread(x); s > 1 {
				t.Errorf("%+v: the family spreads by %v on a card point", spec, s)
			}
			if o := must[camtiming.Opening](t)(camtiming.OpeningAt(c, p.Lift)); (o.Duration - p.Duration).Abs() > 1 {
				t.Errorf("%+v: opens for %v", spec, o.Duration)
			}
		}
		was, slope := c.MaxLift(), 0.0
		const steps = 4000
		end := c.Span().Closes
		h := end.Degrees() / steps
		// No second derivative of a sane lobe exceeds a few lifts per (10 deg)^2.
		jump := 5 * f.lift.Meters() / 100 * h
		for i := 1; i <= steps+20; i++ {
			x := units.CamAngle(float64(end) * float64(i) / steps)
			y, v := c.Lift(x), float64(c.Velocity(x))
			if y > was || v > 0 {
				t.Fatalf("%+v rises at %v", spec, x)
			}
			if math.Abs(v-slope) > jump {
				t.Fatalf("%+v: the slope steps from %g to %g at %v", spec, slope, v, x)
			}
			if c.Velocity(-x) != -c.Velocity(x) {
				t.Fatalf("%+v is not even at %v", spec, x)
			}
			was, slope = y, v
		}
		if was != 0 {
			t.Errorf("%+v stands at %v past its end", spec, was)
		}
		if c.Family() < 1 || c.Family() > 4*len(allLaws) {
			t.Errorf("family of %d", c.Family())
		}
	}
	if made < 200 {
		t.Errorf("only %d cards were fitted", made)
	}
}

// A card of one law is fitted by that law with a straight scale: with one
// duration every law fits; with durations of 3-4-5 that law is used and the
// lift is that of the law.
func TestCardLobeRecoversLaw(t *testing.T) {
	for _, law := range allLaws[:4] {
		f := flanks{law, 300 * units.Thou, 68, 68}
		l := f.lobe(t)
		spec := camtiming.CardLobeSpec{MaxLift: f.lift}
		for _, at := range []units.Length{6 * units.Thou, 50 * units.Thou, 200 * units.Thou} {
			spec.Durations = append(spec.Durations, camtiming.DurationAt{at, must[camtiming.Opening](t)(camtiming.OpeningAt(l, at)).Duration})
		}
		c := must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(spec))
		if c.Law() != law {
			t.Errorf("%v was fitted by %v", law, c.Law())
		}
		for d := 0.0; d < 75; d += 0.5 {
			near(t, "lift of a recovered law", c.Lift(cam(d)).Meters(), f.at(d), 2e-9)
		}
	}
	one := must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(camtiming.CardLobeSpec{
		MaxLift: 300 * units.Thou, Durations: []camtiming.DurationAt{{50 * units.Thou, crank(220)}},
	}))
	if one.Family() != 20 {
		t.Errorf("a card of one duration leaves %d curves, want each of 5 laws at 4 skews", one.Family())
	}
	// The family of one duration spreads most where the card says nothing.
	if one.Spread(cam(65)) <= one.Spread(cam(54)) {
		t.Error("the spread does not grow away from the card")
	}
	// How far any of them strays from the plain 3-4-5, over the square root of 3:
	// rectangular, JCGM 100 4.3.7. Each is stretched to meet the card.
	var used, far float64
	for _, skew := range testSkews {
		for _, law := range allLaws {
			a := skewedInverse(law, skew, 50.0/300)
			y := 300 * 25.4e-6 * skewed(law, skew, math.Max(0, 1-65/55.0*(1-a)))
			if law == camtiming.Poly345 && skew == 0 {
				used = y
			}
		}
	}
	for _, skew := range testSkews {
		for _, law := range allLaws {
			a := skewedInverse(law, skew, 50.0/300)
			far = math.Max(far, math.Abs(300*25.4e-6*skewed(law, skew, math.Max(0, 1-65/55.0*(1-a)))-used))
		}
	}
	near(t, "spread", one.Spread(cam(65)).Meters(), far/math.Sqrt(3), 1e-12)
}

// testSkews are the skews of the family and skewed its laws: the steepest point
// moved to 1/(2 + skew) of the flank.
var testSkews = [...]float64{0, -0.3, 0.5, 1.2}

func skewed(law camtiming.Law, skew, w float64) float64 {
	return law.At(w * (1 + skew) / (1 + skew*w)).S
}

// skewedInverse finds by bisection where a skewed law reaches s.
func skewedInverse(law camtiming.Law, skew, s float64) float64 {
	lo, hi := 0.0, 1.0
	for range 100 {
		if m := (lo + hi) / 2; skewed(law, skew, m) < s {
			lo = m
		} else {
			hi = m
		}
	}
	return lo
}

// Order of the durations does not matter.
func TestCardLobeOrder(t *testing.T) {
	a := must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(workboatLobe))
	s := workboatLobe
	s.Durations = []camtiming.DurationAt{s.Durations[2], s.Durations[0], s.Durations[1]}
	b := must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(s))
	for d := -70.0; d < 70; d += 1.3 {
		if a.Lift(cam(d)) != b.Lift(cam(d)) {
			t.Fatalf("the order changes the lift at %g", d)
		}
	}
}

// natural is the natural cubic spline through a few points, by elimination on
// its second derivatives, straight beyond the last point; apart from the library.
func natural(x, y []float64) func(float64) float64 {
	n := len(x)
	m := make([]float64, n) // second derivatives
	a, b := make([][]float64, n), make([]float64, n)
	for i := range a {
		a[i] = make([]float64, n)
		a[i][i] = 1
		if i > 0 && i < n-1 {
			a[i][i-1], a[i][i], a[i][i+1] = (x[i]-x[i-1])/6, (x[i+1]-x[i-1])/3, (x[i+1]-x[i])/6
			b[i] = (y[i+1]-y[i])/(x[i+1]-x[i]) - (y[i]-y[i-1])/(x[i]-x[i-1])
		}
	}
	for c := range n {
		for r := c + 1; r < n; r++ {
			f := a[r][c] / a[c][c]
			for j := range n {
				a[r][j] -= f * a[c][j]
			}
			b[r] -= f * b[c]
		}
	}
	for r := n - 1; r >= 0; r-- {
		m[r] = b[r]
		for j := r + 1; j < n; j++ {
			m[r] -= a[r][j] * m[j]
		}
		m[r] /= a[r][r]
	}
	return func(t float64) float64 {
		if t >= x[n-1] {
			h := x[n-1] - x[n-2]
			return y[n-1] + ((y[n-1]-y[n-2])/h+h*m[n-2]/6)*(t-x[n-1])
		}
		i := 0
		for x[i+1] <= t {
			i++
		}
		h := x[i+1] - x[i]
		p, q := (x[i+1]-t)/h, (t-x[i])/h
		return p*y[i] + q*y[i+1] + ((p*p*p-p)*m[i]+(q*q*q-q)*m[i+1])*h*h/6
	}
}

// The whole fit done again: every law bent by its own spline to the card, the
// straightest used, the spread of all of them.
func TestCardLobeAgainstSecondFit(t *testing.T) {
	spec := workboatLobe
	c := must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(spec))
	var fits []func(float64) float64
	used, least := 0, math.Inf(1)
	for _, skew := range testSkews {
		for _, law := range []camtiming.Law{camtiming.Poly345, camtiming.Poly4567, camtiming.Cycloidal, camtiming.ModifiedSine, camtiming.Harmonic} {
			x, w := []float64{0}, []float64{1}
			for _, p := range slices.Backward(spec.Durations) { // highest lift first
				x, w = append(x, p.Duration.Degrees()/4), append(w, skewedInverse(law, skew, float64(p.Lift)/float64(spec.MaxLift)))
			}
			f := natural(x, w)
			end := x[len(x)-1]
			base := end - w[len(w)-1]/(f(end+1)-f(end))
			bend := 0.0
			for i := range x {
				bend = math.Max(bend, math.Abs(w[i]-(1-x[i]/base)))
			}
			if bend < least {
				used, least = len(fits), bend
			}
			fits = append(fits, func(d float64) float64 {
				return spec.MaxLift.Meters() * skewed(law, skew, math.Max(0, f(math.Abs(d))))
			})
		}
	}
	if c.Family() != len(fits) {
		t.Fatalf("family of %d, want %d", c.Family(), len(fits))
	}
	for d := -85.0; d <= 85; d += 0.25 {
		near(t, "lift", c.Lift(cam(d)).Meters(), fits[used](d), 1e-12)
		far := 0.0
		for _, f := range fits {
			far = math.Max(far, math.Abs(f(d)-fits[used](d)))
		}
		near(t, "spread", c.Spread(cam(d)).Meters(), far/math.Sqrt(3), 1e-12)
	}
}
