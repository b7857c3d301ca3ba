package camtiming_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func randomPair(r *rand.Rand) pair {
	f := func() flanks {
		return flanks{allLaws[r.IntN(4)], units.Length(200+r.IntN(200)) * units.Thou, 58 + 24*r.Float64(), 58 + 24*r.Float64()}
	}
	return pair{f(), f(), 100 + 16*r.Float64(), 8*r.Float64() - 4}
}

// Heights against the closed form; the slope against a central difference.
func TestAtAgainstClosedForm(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	for range 300 {
		p := randomPair(r)
		k := p.cam(t)
		sep := k.Spec().Separation.Degrees()
		p.sep = sep
		adv := math.Round((2*r.Float64()-1)*sep*1e6) / 1e6
		h := k.At(crank(adv))
		near(t, "intake", float64(h.Intake), p.intake.at((adv-sep)/2)*1e12, 5)
		near(t, "exhaust", float64(h.Exhaust), p.exhaust.at((adv+sep)/2)*1e12, 5)
		near(t, "difference", float64(h.Difference), p.diff(adv)*1e12, 5)
		near(t, "per crank degree", h.PerCrankDegree.Meters(), p.slope(adv), 2e-8)
		// One degree of crank after dead center is one degree of advance.
		phi := math.Round((2*r.Float64()-1)*5e6) / 1e6
		if math.Abs(adv+phi) < sep {
			if a, b := k.AtCrank(crank(adv), crank(phi)), k.At(crank(adv)+crank(phi)); a != b {
				t.Errorf("at %g after dead center %+v, with that much more advance %+v", phi, a, b)
			}
		}
	}
}

// A reading at firing dead center is level on any usual cam, with any advance.
func TestFiringDeadCenterIsLevel(t *testing.T) {
	for _, p := range []pair{equalPair, unequalPair, deadPair} {
		k := p.cam(t)
		for adv := -20.0; adv <= 20; adv++ {
			for _, turn := range []float64{360, -360, 1080} {
				if h := k.AtCrank(crank(adv), crank(turn)); h != (camtiming.Heights{}) {
					t.Errorf("advance %g, crank %g: %+v", adv, turn, h)
				}
			}
		}
	}
}

// Advance undoes At over the whole reach, to the quantum of the reading: half a
// picometer over the slope; and agrees with plain bisection on the closed form.
func TestAdvanceInvertsAt(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 24))
	pairs := []pair{equalPair, unequalPair, deadPair}
	for range 40 {
		pairs = append(pairs, randomPair(r))
	}
	for _, p := range pairs {
		k := p.cam(t)
		p.sep = k.Spec().Separation.Degrees()
		for i := -100; i <= 100; i++ {
			adv := math.Round(p.sep*float64(i)/100*1e6) / 1e6
			h := k.At(crank(adv))
			inv, err := k.Advance(h.Difference)
			if err != nil {
				// Rounded past the last reading of the reach: by half a count.
				reach := k.Reach()
				if h.Difference != reach.AtLowest && h.Difference != reach.AtHighest {
					t.Fatalf("%+v at %g: %v", p, adv, err)
				}
				continue
			}
			if inv.Undetermined {
				if h.Difference != 0 || inv.Low.Degrees() > adv || inv.High.Degrees() < adv {
					t.Fatalf("%+v at %g: %+v", p, adv, inv)
				}
				continue
			}
			if inv.Low != inv.Advance || inv.High != inv.Advance {
				t.Fatalf("%+v at %g: %+v", p, adv, inv)
			}
			want := p.invert(h.Difference.Meters())
			// Where the curve is flat (nose, base circle) both are as good as
			// their reading: judge by the difference there, in picometers.
			slope := p.slope(want)
			if slope > 1e-6 {
				near(t, "advance against bisection", inv.Advance.Degrees(), want, 2e-12/slope+2e-9)
				near(t, "advance against At", inv.Advance.Degrees(), adv, 2e-12/slope+2e-9)
			}
			near(t, "reading of the advance, pm", float64(k.At(inv.Advance).Difference), float64(h.Difference), 2+slope*1e3)
		}
	}
}

// More difference, more advance.
func TestAdvanceIsMonotone(t *testing.T) {
	for _, p := range []pair{equalPair, unequalPair, deadPair} {
		k := p.cam(t)
		reach := k.Reach()
		was := crank(-360)
		for i := 1; i < 4000; i++ {
			d := reach.AtLowest + units.Length(float64(reach.AtHighest-reach.AtLowest)*float64(i)/4000)
			inv := must[camtiming.Inversion](t)(k.Advance(d))
			if inv.Low <= was {
				t.Fatalf("%+v: advance %v at %v after %v", p, inv.Low, d, was)
			}
			was = inv.High
		}
	}
}

// Level lifters: no advance for equal symmetric lobes, (De(l) - Di(l))/4 for
// unequal symmetric ones at the lift l where they stand level.
func TestLevel(t *testing.T) {
	r := rand.New(rand.NewPCG(25, 26))
	for range 200 {
		p := randomPair(r)
		p.intake.closing, p.exhaust.opening = p.intake.opening, p.exhaust.closing
		k := p.cam(t)
		level := must[camtiming.Inversion](t)(k.Level())
		if level.Undetermined {
			continue
		}
		l := k.At(level.Advance).Intake
		di, err := camtiming.OpeningAt(k.Spec().Intake, l)
		if err != nil {
			t.Fatal(err)
		}
		de := must[camtiming.Opening](t)(camtiming.OpeningAt(k.Spec().Exhaust, l))
		tol := 4e-12/math.Abs(p.slope(level.Advance.Degrees())) + 4e-9
		near(t, "level", level.Advance.Degrees(), (de.Duration-di.Duration).Degrees()/4, tol)

		p.exhaust = p.intake
		if level := must[camtiming.Inversion](t)(p.cam(t).Level()); level.Advance != 0 && !level.Undetermined {
			t.Errorf("%+v: equal symmetric lobes stand level at %v", p, level.Advance)
		}
	}
}

// A very short intake beside a very long exhaust: no advance levels them, and
// the answer is an error, not a number.
func TestLevelOfVeryUnequalLobes(t *testing.T) {
	p := pair{flanks{camtiming.Harmonic, 30 * units.Thou, 60, 60}, flanks{camtiming.Harmonic, 900 * units.Thou, 179, 179}, 60, 0}
	// At the top of the reach the intake is at its nose, 0.030 in, and the
	// exhaust still higher: by the closed form.
	if p.diff(60) >= 0 {
		t.Fatal("the closed form levels them")
	}
	k := p.cam(t)
	inv, err := k.Level()
	if !errors.Is(err, units.ErrImpossible) || inv != (camtiming.Inversion{}) {
		t.Errorf("%+v, %v", inv, err)
	}
	s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(k.At(0).Difference, units.Thou), Proof: rocked}))
	if l := s.Expected.Level; !l.Undetermined || l.Low != crank(-60) || l.High != crank(60) {
		t.Errorf("expected level %+v", l)
	}
}

// Mirror symmetry: swap the lobes, each end for end, and the same reading with
// the other sign means the same advance with the other sign.
func TestMirroredCam(t *testing.T) {
	r := rand.New(rand.NewPCG(27, 28))
	for range 200 {
		p := randomPair(r)
		m := pair{
			flanks{p.exhaust.law, p.exhaust.lift, p.exhaust.closing, p.exhaust.opening},
			flanks{p.intake.law, p.intake.lift, p.intake.closing, p.intake.opening},
			p.sep, -p.ground,
		}
		a, b := p.cam(t), m.cam(t)
		for _, adv := range []float64{-30, -4, 0, 2.5, 17} {
			x, y := a.At(crank(adv)), b.At(crank(-adv))
			if x.Difference != -y.Difference || x.Intake != y.Exhaust || x.PerCrankDegree != y.PerCrankDegree {
				t.Errorf("%+v at %g: %+v, mirrored %+v", p, adv, x, y)
			}
			i, j := must[camtiming.Inversion](t)(a.Advance(x.Difference)), must[camtiming.Inversion](t)(b.Advance(y.Difference))
			if (i.Low+j.High).Abs() > 1 || i.Undetermined != j.Undetermined {
				t.Errorf("%+v at %g: %+v, mirrored %+v", p, adv, i, j)
			}
		}
	}
}

// Both lifters are up between the ends of the two flanks. Just inside the
// slope belongs to both lobes, just outside to one: half of it for equal lobes.
func TestReach(t *testing.T) {
	k := equalPair.cam(t)
	r := k.Reach()
	// Intake opens 65 cam degrees before its nose: separation - 2*65 = -20.
	want := camtiming.Reach{
		Lowest: crank(-110), Highest: crank(110), AtLowest: -350 * units.Thou, AtHighest: 350 * units.Thou,
		BothUpLow: crank(-20), BothUpHigh: crank(20),
	}
	if r != want {
		t.Errorf("reach %+v, want %+v", r, want)
	}
	for adv := -100.0; adv <= 100; adv += 2.5 {
		h := k.At(crank(adv))
		inside := adv > -20 && adv < 20
		if (h.Intake > 0 && h.Exhaust > 0) != inside {
			t.Errorf("at %g: %+v", adv, h)
		}
		_, vi := split(equalPair, adv)
		if adv >= 20 { // the intake alone: half its slope per cam degree
			near(t, "half slope", h.PerCrankDegree.Meters(), vi/2, 2e-8)
		}
	}
	// At straight up both lobes have the slope of half the separation: the
	// whole of it per crank degree.
	_, vi := split(equalPair, 0)
	near(t, "full slope", k.At(0).PerCrankDegree.Meters(), vi, 2e-8)
}

// split is the intake's lift and slope per cam degree, by central difference.
func split(p pair, adv float64) (y, slope float64) {
	x := (adv - p.sep) / 2
	return p.intake.at(x), (p.intake.at(x+1e-4) - p.intake.at(x-1e-4)) / 2e-4
}

// Where both lifters are down the answer is an interval.
func TestDeadInterval(t *testing.T) {
	k := deadPair.cam(t)
	r := k.Reach()
	if !r.Dead || r.DeadLow != crank(-20) || r.DeadHigh != crank(20) || r.BothUpLow != 0 || r.BothUpHigh != 0 {
		t.Errorf("reach %+v", r)
	}
	want := camtiming.Inversion{Undetermined: true, Low: crank(-20), High: crank(20)}
	if inv := must[camtiming.Inversion](t)(k.Advance(0)); inv != want {
		t.Errorf("level %+v, want %+v", inv, want)
	}
	// One picometer is a reading outside it.
	for _, d := range []units.Length{1, -1, units.Microinch, -units.Microinch} {
		inv := must[camtiming.Inversion](t)(k.Advance(d))
		near(t, "just outside", inv.Advance.Degrees(), deadPair.invert(d.Meters()), 1e-3)
		if inv.Undetermined || inv.Advance.Abs() <= crank(20) || (inv.Advance > 0) != (d > 0) {
			t.Errorf("at %v: %+v", d, inv)
		}
	}
	// Lopsided: intake down below 120-2*40 = 40, exhaust down above 2*52-120 =
	// -16; and wholly on one side: 2*75-120 = 30 to 40.
	for _, c := range [...]struct{ open, close, lo, hi float64 }{{40, 52, -16, 40}, {40, 75, 30, 40}, {75, 40, -40, -30}} {
		p := deadPair
		p.intake.opening, p.exhaust.closing = c.open, c.close
		k := p.cam(t)
		if inv := must[camtiming.Inversion](t)(k.Level()); inv.Low != crank(c.lo) || inv.High != crank(c.hi) || !inv.Undetermined {
			t.Errorf("%+v: %+v", c, inv)
		}
		// A perfect reading with a perfect dead center: no wider than that.
		s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(units.Length(0), 0), Proof: rocked}))
		if !s.Undetermined || s.Low != crank(c.lo) || s.High != crank(c.hi) || s.Advance.Stated {
			t.Errorf("%+v: %v to %v, %+v", c, s.Low, s.High, s.Advance)
		}
	}
}

// A table that is read on over the base circle leaves the same dead interval.
func TestDeadIntervalOfTable(t *testing.T) {
	c := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: sampled(deadPair.intake, 2.5, -150, 150), Origin: camtiming.AsMeasured}))
	k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: c, Exhaust: c, Separation: cam(120)}))
	if inv := must[camtiming.Inversion](t)(k.Level()); !inv.Undetermined || inv.Low != crank(-20) || inv.High != crank(20) {
		t.Errorf("%+v", inv)
	}
	// A spline swings about zero there; the smallest reading has an answer.
	c = must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{
		Samples: sampled(deadPair.intake, 2.5, -150, 150), Interpolation: camtiming.NaturalSpline,
	}))
	k = must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: c, Exhaust: c, Separation: cam(120)}))
	for d := -2 * units.Micrometer; d <= 2*units.Micrometer; d += 10 * units.Nanometer {
		if _, err := k.Advance(d); err != nil {
			t.Errorf("%v: %v", d, err)
		}
	}
	// The ends of the interval, 1 and 5 degrees, lie between points next to the
	// lobes, where the swing is largest.
	i := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{
		Samples: sampled(flanks{camtiming.Harmonic, 300 * units.Thou, 55, 55}, 2.5, -150, 150), Interpolation: camtiming.NaturalSpline, Origin: camtiming.AsMeasured,
	}))
	e := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{
		Samples: sampled(flanks{camtiming.Harmonic, 300 * units.Thou, 57.5, 57.5}, 2.5, -150, 150), Interpolation: camtiming.NaturalSpline, Origin: camtiming.AsMeasured,
	}))
	k = must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: i, Exhaust: e, Separation: cam(114)}))
	if r := k.Reach(); !r.Dead {
		t.Fatalf("no dead interval: %+v", r)
	}
	swing := k.At(k.Reach().DeadLow).Difference
	if swing == 0 {
		t.Fatal("the spline does not swing")
	}
	for d := -2 * swing.Abs(); d <= 2*swing.Abs(); d += swing.Abs() / 10 {
		if inv, err := k.Advance(d); err != nil || (k.At(inv.Advance).Difference-d).Abs() > 2 && !inv.Undetermined {
			t.Errorf("%v: %+v, %v", d, inv, err)
		}
	}
}

// The events of a cam against a walk along the closed form: where the lift
// passes the checking lift, in steps of a thousandth of a degree of the crank.
func TestTimingAt(t *testing.T) {
	p := unequalPair
	k := p.cam(t)
	at, adv := 50*units.Thou, 3.0
	tm := must[camtiming.Timing](t)(k.TimingAt(at, crank(adv)))
	e := must[camtiming.Events](t)(tm.Events())
	y := at.Meters()
	// Crank angle from overlap dead center of the two noses.
	icl, ecl := p.sep-adv, p.sep+adv
	walk := func(f flanks, nose, dir float64) float64 {
		x := nose
		for f.at((x-nose)/2) > y {
			x += dir * 0.001
		}
		return x
	}
	near(t, "IVO", e.IVO.Degrees(), -walk(p.intake, icl, -1), 0.0011)
	near(t, "IVC", e.IVC.Degrees(), walk(p.intake, icl, 1)-180, 0.0011)
	near(t, "EVO", e.EVO.Degrees(), -walk(p.exhaust, -ecl, -1)-180, 0.0011)
	near(t, "EVC", e.EVC.Degrees(), walk(p.exhaust, -ecl, 1), 0.0011)
	if got, err := k.AdvanceForCenterline(crank(106)); err != nil || got != crank(3) {
		t.Errorf("advance for a centerline of 106 with a separation of 109: %v", got)
	}
}

// A curve from outside the package gives what the same curve gives inside, but
// for the rounding of its angles and lifts.
func TestForeignCurves(t *testing.T) {
	p := unequalPair
	own := p.cam(t)
	k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: plain{p.intake.lobe(t)}, Exhaust: plain{p.exhaust.lobe(t)}, Separation: cam(p.sep)}))
	for adv := -100.0; adv <= 100; adv += 0.7 {
		a, b := own.At(crank(adv)), k.At(crank(adv))
		near(t, "foreign difference, pm", float64(b.Difference), float64(a.Difference), 2)
		inv := must[camtiming.Inversion](t)(k.Advance(a.Difference))
		if s := p.slope(adv); s > 1e-6 && !inv.Undetermined {
			near(t, "foreign advance", inv.Advance.Degrees(), adv, 4e-12/s+4e-9)
		}
	}
}

// Nothing in the hot path allocates, whatever the lobe.
func TestHotPathDoesNotAllocate(t *testing.T) {
	for name, c := range someLobes(t) {
		k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: c, Exhaust: c, Separation: cam(110), GroundAdvance: crank(4)}))
		d := k.At(crank(3)).Difference
		r := camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(d, units.Thou/2), TDC: crank(0.5), Proof: rocked}
		for what, f := range map[string]func(){
			"At":       func() { k.At(crank(3)) },
			"AtCrank":  func() { k.AtCrank(crank(3), crank(1)) },
			"Advance":  func() { _, _ = k.Advance(d) },
			"Level":    func() { _, _ = k.Level() },
			"Lift":     func() { c.Lift(cam(50)) },
			"Velocity": func() { c.Velocity(cam(50)) },
			"Reach":    func() { k.Reach() },
			"Split":    func() { _, _ = k.Split(r) },
		} {
			if n := testing.AllocsPerRun(100, f); n != 0 {
				t.Errorf("%s with %s allocates %g times", what, name, n)
			}
		}
	}
}
