package camtiming_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func pm(m float64) units.Length { return units.Length(math.RoundToEven(m * 1e12)) }

func TestSplitProof(t *testing.T) {
	k := equalPair.cam(t)
	d := units.WithU(k.At(crank(4)).Difference, units.Thou/2)
	zero := units.Some(units.WithU(units.Length(0), units.Thou/2))
	for _, p := range []camtiming.Proof{rocked, {Kind: camtiming.RiseMeasured, Rise: 20 * units.Thou}} {
		s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: d, Proof: p}))
		if s.Proof != p {
			t.Errorf("proof %v reported as %v", p, s.Proof)
		}
	}
	// A reading that changed does not say which of the two was overlap.
	if s, err := k.Split(camtiming.SplitReading{Difference: d, Zero: zero}); !errors.Is(err, units.ErrMissing) {
		t.Errorf("%v, %v", s.Advance, err)
	}
	for _, n := range []camtiming.ProofKind{camtiming.NoProof, camtiming.RiseMeasured, camtiming.MovesWithCrank} {
		if (n.String() == "no proof") != (n == camtiming.NoProof) {
			t.Errorf("proof %d is called %q", n, n)
		}
	}
	for a, want := range map[camtiming.Approach]string{
		camtiming.ApproachUnknown: "direction not recorded", camtiming.ApproachNormal: "normal rotation", camtiming.ApproachReverse: "reverse rotation",
	} {
		if a.String() != want {
			t.Errorf("approach %d is called %q", a, a)
		}
	}
}

// Lifters of unequal height read wrong by as much at firing TDC: the zero takes
// all of it off, whatever the size.
func TestZeroCancelsMismatch(t *testing.T) {
	k := unequalPair.cam(t)
	for adv := -8.0; adv <= 8; adv++ {
		d := k.At(crank(adv)).Difference
		clean := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.Unstated(d), Proof: rocked}))
		for _, off := range []units.Length{3 * units.Thou, -50 * units.Thou, 1} {
			s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{
				Difference: units.Unstated(d + off), Zero: units.Some(units.Unstated(off)), Proof: rocked,
			}))
			if s.Advance != clean.Advance || s.Net.Value != d {
				t.Errorf("off by %v: %v, want %v", off, s.Advance, clean.Advance)
			}
		}
	}
}

// What stands beside the measured difference: at the ground advance, at
// straight up, at level, from the closed form; and the trade's rule.
func TestSplitExpected(t *testing.T) {
	p := unequalPair
	k := p.cam(t)
	s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(6*units.Thou, units.Thou/2), Proof: rocked}))
	near(t, "at ground, pm", float64(s.Expected.AtGround), p.diff(p.ground)*1e12, 3)
	near(t, "straight up, pm", float64(s.Expected.AtStraightUp), p.diff(0)*1e12, 3)
	near(t, "level", s.Expected.Level.Advance.Degrees(), p.invert(0), 1e-7)
	near(t, "advance", s.Advance.Value.Degrees(), p.invert(6*25.4e-6), 1e-7)
	near(t, "from ground", s.FromGround.Degrees(), p.invert(6*25.4e-6)-p.ground, 1e-7)
	near(t, "height there, pm", float64(s.At.Difference), 6*25.4e6, 2)
	// 0.006 in is 2 crank degrees: common practice, no source.
	if s.Rule.Advance != crank(2) || s.Rule.Source.Provenance != units.CommonPractice {
		t.Errorf("rule %+v", s.Rule)
	}
	if s.Reach != k.Reach() {
		t.Errorf("reach %+v", s.Reach)
	}
}

// The rule of thumb is the slope of 0.003 in per crank degree both ways.
func TestThumbAdvance(t *testing.T) {
	for thou, deg := range map[units.Length]float64{0: 0, 3: 1, -6: -2, 12: 4} {
		if r, err := camtiming.ThumbAdvance(thou * units.Thou); err != nil || r.Advance != crank(deg) {
			t.Errorf("0.%03d in: %v", thou, r.Advance)
		}
	}
	if r, err := camtiming.ThumbAdvance(most); !errors.Is(err, units.ErrRange) || r != (camtiming.RuleOfThumb{}) {
		t.Errorf("%v, %v", r, err)
	}
}

// A dead center set phi late adds phi to the advance, one for one.
func TestTDCErrorIsOneForOne(t *testing.T) {
	for _, p := range []pair{equalPair, unequalPair} {
		k := p.cam(t)
		for phi := -5.0; phi <= 5; phi += 0.5 {
			d := k.AtCrank(crank(p.ground), crank(phi)).Difference
			s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.Unstated(d), Proof: rocked}))
			near(t, "from ground", s.FromGround.Degrees(), phi, 2e-8)
		}
	}
}

// The parts of the uncertainty: the formula of JCGM 100:2008 5.1.2 with the
// slope of the closed form, and the whole method against a simulation in which
// the true cam stands still and gauge, zero and dead center scatter.
func TestSplitUncertainty(t *testing.T) {
	p := unequalPair
	k := p.cam(t)
	const adv, ug, ut = 4.0, 0.4 * 25.4e-6, 0.4
	r := camtiming.SplitReading{
		Difference: units.WithU(pm(p.diff(adv)), pm(ug)), Zero: units.Some(units.WithU(units.Length(0), pm(ug))), TDC: crank(ut), Proof: rocked,
	}
	s := must[camtiming.SplitResult](t)(k.Split(r))
	slope := p.slope(adv)
	near(t, "gauge", s.UGauge.Degrees(), math.Sqrt2*ug/slope, 1e-6)
	near(t, "TDC", s.UTDC.Degrees(), ut, 0)
	near(t, "shape", s.UShape.Degrees(), 0, 0)
	near(t, "all", s.Advance.U.Degrees(), math.Hypot(math.Sqrt2*ug/slope, ut), 1e-6)
	if !s.Advance.Stated {
		t.Error("the uncertainty is not stated")
	}

	const n = 20000
	rng := rand.New(rand.NewPCG(31, 32))
	// Gauge and zero alone, dead center alone, all together.
	for _, c := range []struct {
		name   string
		ug, ut float64
		u      units.CrankAngle
	}{{"gauge", ug, 0, s.UGauge}, {"TDC", 0, ut, s.UTDC}, {"all", ug, ut, s.Advance.U}} {
		var sum, sum2 float64
		covered := 0
		for range n {
			q := r
			q.Difference.U, q.Zero.Value.U, q.TDC = pm(c.ug), pm(c.ug), crank(c.ut)
			q.Difference.Value = pm(p.diff(adv+c.ut*rng.NormFloat64()) + c.ug*rng.NormFloat64())
			q.Zero.Value.Value = pm(c.ug * rng.NormFloat64())
			m := must[camtiming.SplitResult](t)(k.Split(q))
			x := m.Advance.Value.Degrees()
			sum, sum2 = sum+x, sum2+x*x
			if m.Low.Degrees() <= adv && adv <= m.High.Degrees() {
				covered++
			}
		}
		mean := sum / n
		sd := math.Sqrt(sum2/n - mean*mean)
		u := c.u.Degrees()
		// Four standard errors of a mean and of a standard deviation; the bend of
		// the curve moves both by less than 2 %.
		near(t, c.name+", simulated mean", mean, adv, 4*u/math.Sqrt(n)+0.02*u)
		near(t, c.name+", simulated sd", sd, u, 4*u/math.Sqrt(2*n)+0.02*u)
		// Two standard uncertainties cover 95.45 %; four standard errors, 1 %
		// for the bend.
		near(t, c.name+", coverage", float64(covered)/n, 0.9545, 4*math.Sqrt(0.0455*0.9545/n)+0.01)
	}
}

// Where the curve bends hard, next to a dead interval, the bounds still cover.
func TestCoverageWhereTheCurveBends(t *testing.T) {
	p := deadPair
	k := p.cam(t)
	const n = 20000
	const ug, ut = 0.5 * 25.4e-6, 0.3
	rng := rand.New(rand.NewPCG(33, 34))
	for _, adv := range []float64{-35, -26, 0, 23, 30} {
		covered, unknown := 0, 0
		for range n {
			d := pm(p.diff(adv+ut*rng.NormFloat64()) + ug*rng.NormFloat64())
			s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(d, pm(ug)), TDC: crank(ut), Proof: rocked}))
			if s.Undetermined {
				unknown++
				if s.Advance.Stated {
					t.Fatalf("%+v has an uncertainty", s.Advance)
				}
			}
			if s.Low.Degrees() <= adv && adv <= s.High.Degrees() {
				covered++
			}
		}
		if c := float64(covered) / n; c < 0.945 {
			t.Errorf("at %g the bounds cover %g", adv, c)
		}
		// In the dead interval a reading is zero within its uncertainty 95 %
		// of the time; far from it never.
		u := float64(unknown) / n
		if adv == 0 && (u < 0.945 || u > 0.965) || math.Abs(adv) >= 35 && u > 0 {
			t.Errorf("at %g undetermined %g of the time", adv, u)
		}
	}
}

// An uncertainty that was not stated is not zero: none is claimed, whichever
// of the two readings lacks it.
func TestSplitUnstated(t *testing.T) {
	k := equalPair.cam(t)
	d := k.At(crank(4)).Difference
	for _, r := range []camtiming.SplitReading{
		{Difference: units.Unstated(d)},
		{Difference: units.WithU(d, units.Thou), Zero: units.Some(units.Unstated(units.Length(0)))},
		{Difference: units.Unstated(d), Zero: units.Some(units.WithU(units.Length(0), units.Thou))},
	} {
		r.Proof, r.TDC = rocked, crank(0.5)
		s := must[camtiming.SplitResult](t)(k.Split(r))
		if s.Advance.Stated || s.Advance.U != 0 || s.Net.Stated || s.UTDC != crank(0.5) {
			t.Errorf("%+v: %+v", r, s.Advance)
		}
		// Dead center alone: twice 0.5 degree on both sides.
		near(t, "low", s.Low.Degrees(), 3, 1e-6)
		near(t, "high", s.High.Degrees(), 5, 1e-6)
	}
}

// The lifters' own difference counts only where no zero was taken.
func TestMismatch(t *testing.T) {
	k := equalPair.cam(t)
	r := camtiming.SplitReading{Difference: units.WithU(10*units.Thou, 3*units.Thou), Mismatch: 4 * units.Thou, Proof: rocked}
	if s := must[camtiming.SplitResult](t)(k.Split(r)); s.Net.U != 5*units.Thou { // 3-4-5
		t.Errorf("u %v", s.Net.U)
	}
	// Neither: the lifters' heights are not known, nor is the uncertainty.
	r.Mismatch = 0
	if s := must[camtiming.SplitResult](t)(k.Split(r)); s.Advance.Stated || s.Net.Stated || s.Advance.U != 0 || s.Net.U != 0 {
		t.Errorf("%v without zero or mismatch", s.Advance)
	}
	r.Zero = units.Some(units.WithU(units.Length(0), 4*units.Thou))
	r.Mismatch = 100 * units.Thou
	if s := must[camtiming.SplitResult](t)(k.Split(r)); s.Net.U != 5*units.Thou {
		t.Errorf("u %v with a zero", s.Net.U)
	}
}

// At the ends of the reach the slope runs out; the uncertainty must not.
func TestSplitAtTheEndsOfTheReach(t *testing.T) {
	k := equalPair.cam(t)
	for _, d := range []units.Length{350 * units.Thou, -350 * units.Thou, 350*units.Thou - 10} {
		s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(d, units.Thou/2), Proof: rocked}))
		if s.Advance.U < crank(2) || s.Advance.U > crank(110) {
			t.Errorf("%v: %v", d, s.Advance)
		}
		if s.Low < crank(-110) || s.High > crank(110) || s.Low >= s.High {
			t.Errorf("%v: %v to %v", d, s.Low, s.High)
		}
	}
}

// Shape: two different cards, each rectangular over its own family, and the
// asymmetry times the slope (JCGM 100:2008 4.3.7, 5.1.2). Two lobes of one
// card share their shape: level at straight up is level for every member.
func TestSplitShape(t *testing.T) {
	one := func(lift units.Length, dur, asym float64) *camtiming.CardLobe {
		return must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(camtiming.CardLobeSpec{
			MaxLift: lift, Durations: []camtiming.DurationAt{{50 * units.Thou, crank(dur)}}, Asymmetry: cam(asym),
		}))
	}
	build := func(i, e camtiming.LiftCurve) *camtiming.Cam {
		return must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: i, Exhaust: e, Separation: cam(110)}))
	}
	i, e := one(300*units.Thou, 230, 0.5), one(320*units.Thou, 240, 0.3)
	k := build(i, e)
	s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(0*units.Thou, 0), Proof: rocked}))
	adv := s.Advance.Value.Degrees()
	xi, xe := cam((adv-110)/2), cam((adv+110)/2)
	want := math.Sqrt(math.Pow(i.Spread(xi).Meters(), 2) + math.Pow(e.Spread(xe).Meters(), 2) +
		math.Pow(float64(i.Velocity(xi))*0.5, 2) + math.Pow(float64(e.Velocity(xe))*0.3, 2))
	near(t, "shape", s.UShape.Degrees(), want/s.At.PerCrankDegree.Meters(), 1e-6)
	near(t, "all", s.Advance.U.Degrees(), s.UShape.Degrees(), 1e-9)
	if s.UShape == 0 || s.Low >= s.Advance.Value || s.High <= s.Advance.Value {
		t.Errorf("shape %v, %v to %v", s.UShape, s.Low, s.High)
	}

	// One card for both: level stays level.
	same := one(300*units.Thou, 230, 0)
	for _, k := range []*camtiming.Cam{build(same, same), build(same, one(300*units.Thou, 230, 0))} {
		s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(0*units.Thou, units.Thou), Proof: rocked}))
		if s.Advance.Value != 0 || s.UShape != 0 {
			t.Errorf("%v, shape %v", s.Advance, s.UShape)
		}
		s = must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(20*units.Thou, units.Thou), Proof: rocked}))
		if s.UShape == 0 {
			t.Error("away from level the shape matters")
		}
	}
	// A common asymmetry moves both noses alike: it is index, degree for cam
	// degree two crank degrees.
	a := one(300*units.Thou, 230, 0.4)
	s = must[camtiming.SplitResult](t)(build(a, a).Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(0*units.Thou, 0), Proof: rocked}))
	near(t, "common asymmetry", s.UShape.Degrees(), 0.8, 1e-6)
}

// Lobes that are none of the family: what a card leaves open must cover them.
// Shapes with round noses, long ramps, and of constant acceleration with short
// flanks; the true advance must lie within two standard uncertainties, for
// every pair of shapes, lengths and advances. The reading is nearly exact, so it
// is the shape alone that is tried.
func TestSplitShapeCoversOtherLobes(t *testing.T) {
	shapes := []func(x float64) float64{ // x from the nose to the base circle, 0 to 1
		func(x float64) float64 { return math.Pow(1-x*x, 2.5) },
		func(x float64) float64 { y := 1 - x*x; return y * y * y },
		func(x float64) float64 { return math.Pow(math.Cos(math.Pi/2*x), 2.6) },
		func(x float64) float64 { // 35 % of the flank at one acceleration, the rest at another
			const k = 0.35
			if u := 1 - x; u < k {
				return u * u / k
			}
			return 1 - x*x/(1-k)
		},
	}
	for _, lifts := range [][]units.Length{{50 * units.Thou}, {6 * units.Thou, 50 * units.Thou}, {6 * units.Thou, 50 * units.Thou, 200 * units.Thou}, {50 * units.Thou, 200 * units.Thou}} {
		total, outside := 0, 0
		for _, in := range shapes {
			for _, ex := range shapes {
				for _, flank := range [][2]float64{{62, 62}, {62, 67}, {68, 73}, {74, 74}} {
					card := func(f func(float64) float64, flank float64) *camtiming.CardLobe {
						s := camtiming.CardLobeSpec{MaxLift: 300 * units.Thou}
						for _, at := range lifts {
							lo, hi := 0.0, 1.0
							for range 60 {
								if m := (lo + hi) / 2; f(m)*300 > at.Thousandths() {
									lo = m
								} else {
									hi = m
								}
							}
							s.Durations = append(s.Durations, camtiming.DurationAt{at, crank(4 * lo * flank)})
						}
						return must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(s))
					}
					k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: card(in, flank[0]), Exhaust: card(ex, flank[1]), Separation: cam(110)}))
					at := func(f func(float64) float64, flank, deg float64) float64 {
						if x := math.Abs(deg) / flank; x < 1 {
							return 300 * 25.4e-6 * f(x)
						}
						return 0
					}
					for _, adv := range []float64{4, -4, -16} {
						d := at(in, flank[0], (adv-110)/2) - at(ex, flank[1], (adv+110)/2)
						s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Difference: units.WithU(pm(d), units.Micrometer), Zero: sameHeight, Proof: rocked}))
						total++
						if !s.Undetermined && (crank(adv) < s.Low || crank(adv) > s.High) {
							outside++
						}
					}
				}
			}
		}
		if outside*20 > total {
			t.Errorf("cards of %v: the true advance is outside the 95 %% bounds in %d of %d cases", lifts, outside, total)
		}
	}
}

func TestSplitWorking(t *testing.T) {
	k := equalPair.cam(t)
	r := camtiming.SplitReading{
		Difference: units.WithU(13*units.Thou, units.Thou/2), Zero: units.Some(units.WithU(2*units.Thou, units.Thou/2)), TDC: crank(0.5), Proof: rocked,
	}
	w := must[camtiming.SplitResult](t)(k.Split(r)).Working()
	var symbols []string
	for _, s := range w {
		symbols = append(symbols, s.Symbol)
		if s.Formula == "" || s.Numbers == "" || s.Value == "" || !s.Source.Given() {
			t.Errorf("step %+v is not complete", s)
		}
	}
	if want := []string{"d", "d0", "D", "advance", "slope", "from card", "rule", "u"}; !slices.Equal(symbols, want) {
		t.Errorf("steps %v, want %v", symbols, want)
	}
	if !strings.HasPrefix(w[2].Value, "0.0110 in") { // 0.013 - 0.002
		t.Errorf("D = %s", w[2].Value)
	}
	w = must[camtiming.SplitResult](t)(deadPair.cam(t).Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(units.Length(0), 1), Proof: rocked})).Working()
	if last := w[len(w)-1]; len(w) != 4 || last.Symbol != "range" || last.Numbers == "" {
		t.Errorf("an undetermined reading is worked as %+v", w)
	}
}
