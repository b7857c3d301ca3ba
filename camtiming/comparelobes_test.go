package camtiming_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// readAs reads a lift in inches by the cam degree, with normal errors of u.
func readAs(tb testing.TB, lift func(float64) float64, step, u float64, r *rand.Rand) *camtiming.SmoothLobe {
	tb.Helper()
	var s []camtiming.LiftSample
	for d := -80.0; d <= 80; d += step {
		s = append(s, camtiming.LiftSample{Angle: cam(d), Lift: inch(lift(d) + u*r.NormFloat64())})
	}
	return must[*camtiming.SmoothLobe](tb)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: s, Origin: camtiming.AsMeasured}))
}

// Lobes of known difference, read with known scatter: what is found lies about
// the truth as far as the uncertainty says, and where there is no difference
// none is called but rarely.
func TestCompareLobesCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(30, 31))
	f := flanks{camtiming.Cycloidal, 350 * units.Thou, 62, 67}
	ref := f.lobe(t)
	lift := func(d float64) float64 { return f.at(d) / 0.0254 }
	for _, c := range []struct {
		name           string
		later, height  float64
		measured       bool // the reference, too, is read
		differs, taken string
	}{
		{"alike", 0, 1, false, "", "within"},
		{"alike, both read", 0, 1, true, "", "within"},
		{"late", 0.4, 1, false, "phase", "within"},
		{"late, both read", 0.4, 1, true, "phase", "within"},
		{"low", 0, 0.96, false, "loss shape", "outside"},
	} {
		const times = 30
		var loss, phase, duration, reach float64
		calls := map[string]float64{}
		for range times {
			reference := camtiming.LiftCurve(ref)
			if c.measured {
				reference = readAs(t, lift, 1, 0.0003, r)
			}
			m := readAs(t, func(d float64) float64 { return c.height * lift(d-c.later) }, 1, 0.0003, r)
			d := must[camtiming.LobeDifference](t)(camtiming.CompareLobes(camtiming.LobeComparison{Reference: reference, Measured: m, Lifts: []units.Length{50 * units.Thou, 200 * units.Thou}}))
			loss += squareOf((d.LiftLoss.Value.Inches() - 0.35*(1-c.height)) / d.LiftLoss.U.Inches())
			phase += squareOf((d.Phase.Later.Value.Degrees() - c.later) / d.Phase.Later.U.Degrees())
			reach += d.Phase.Later.U.Degrees()
			near(t, c.name+" height", d.Phase.Height, c.height, 0.002)
			// The lobe that is c.height as high passes a lift where the
			// reference passes 1/c.height as much.
			for i, l := range []float64{50, 200} {
				want := must[camtiming.Opening](t)(camtiming.OpeningAt(ref, inch(l/1000/c.height))).Duration - must[camtiming.Opening](t)(camtiming.OpeningAt(ref, inch(l/1000))).Duration
				duration += squareOf((d.Durations[i].Difference.Value-want).Degrees()/d.Durations[i].Difference.U.Degrees()) / 2
				if c.height == 1 && d.Durations[i].Differs {
					calls["duration"] += 0.5
				}
			}
			for name, b := range map[string]bool{"loss": d.LiftDiffers, "phase": d.Phase.Differs, "shape": d.Shape.Differs, d.Verdict.Outcome.String(): true, "flanks": d.Phase.Agreement.Tested && !d.Phase.Agreement.Agrees} {
				if b {
					calls[name]++
				}
			}
		}
		for name, sum := range map[string]float64{"loss": loss, "phase": phase, "duration": duration} {
			if rms := math.Sqrt(sum / times); rms < 0.5 || rms > 1.35 {
				t.Errorf("%s: %s is off by %.2f of its uncertainty", c.name, name, rms)
			}
		}
		for _, name := range []string{"loss", "phase", "shape", "duration", "flanks"} {
			want, share := 0.0, calls[name]/times
			if name == "loss" && c.height != 1 || name == "shape" && c.height != 1 || name == "phase" && c.later != 0 {
				want = 1
			}
			if math.Abs(share-want) > 0.2 {
				t.Errorf("%s: %s called in %.0f %%", c.name, name, 100*share)
			}
		}
		near(t, c.name+" "+c.taken, calls[c.taken]/times, 1, 0.1)
		// Normal equations by hand: u = s/sqrt(sum v^2) for a slope of one
		// reading per cam degree on the flanks, within a tenth.
		var vv float64
		for d := -80.0; d <= 80; d++ {
			if y := lift(d); y > 0.035 && y < 0.315 {
				vv += squareOf((lift(d+0.01) - lift(d-0.01)) / 0.02)
			}
		}
		want := 0.0003 / math.Sqrt(vv)
		if c.measured {
			want *= math.Sqrt2
		}
		near(t, c.name+" u of the phase", reach/times, want, 0.15*want)
	}
}

// A worn nose: flattened above a lift, the flanks as ground.
func TestCompareWornNose(t *testing.T) {
	r := rand.New(rand.NewPCG(32, 33))
	f := flanks{camtiming.Cycloidal, 350 * units.Thou, 65, 65}
	worn := func(d float64) float64 { // 0.008 in off the nose, over 15 degrees
		return f.at(d)/0.0254 - 0.008*math.Exp(-d*d/2/36)
	}
	m := readAs(t, worn, 1, 0.0002, r)
	c := camtiming.LobeComparison{Reference: f.lobe(t), Measured: m, Lifts: []units.Length{50 * units.Thou}}
	d := must[camtiming.LobeDifference](t)(camtiming.CompareLobes(c))
	highest := 0.0 // beside the wear
	for x := -30.0; x < 30; x += 0.01 {
		highest = max(highest, worn(x))
	}
	near(t, "loss", d.LiftLoss.Value.Inches(), 0.35-highest, 4*d.LiftLoss.U.Inches())
	if !d.LiftDiffers || !d.Shape.Differs || d.Verdict.Outcome != units.ProvedOutside || d.Verdict.Limits.Source.Provenance != units.CommonPractice {
		t.Errorf("%+v", d)
	}
	if d.Phase.Differs || d.Durations[0].Differs {
		t.Errorf("flanks: %+v, %+v", d.Phase, d.Durations[0])
	}
	near(t, "worn at", d.Shape.At.Degrees(), 0, 3)
	near(t, "worn by", d.Shape.Greatest.Value.Inches(), -0.008, 0.0006)
	// rms of 0.008 exp(-x^2/72) over 130 degrees: 0.008 sqrt(6 sqrt(pi)/130).
	near(t, "rms", d.Shape.RMS.Inches(), 0.008*math.Sqrt(6*math.Sqrt(math.Pi)/130), 0.0002)
	if w := d.Working(); len(w) != 5 {
		t.Errorf("working %v", w)
	}
	c.Limits = units.AtMost(10*units.Thou, units.Source{Text: "the part maker's card", Provenance: units.Stated})
	if d := must[camtiming.LobeDifference](t)(camtiming.CompareLobes(c)); d.Verdict.Outcome != units.ProvedWithin {
		t.Errorf("%v", d.Verdict)
	}
}

// The other way round the differences turn about.
func TestCompareSwapped(t *testing.T) {
	r := rand.New(rand.NewPCG(34, 35))
	f, g := flanks{camtiming.Poly4567, 350 * units.Thou, 65, 68}, flanks{camtiming.Poly4567, 346 * units.Thou, 66, 66}
	a := readAs(t, func(d float64) float64 { return f.at(d) / 0.0254 }, 1, 0.0002, r)
	b := readAs(t, func(d float64) float64 { return g.at(d-0.3) / 0.0254 }, 1.3, 0.0003, r)
	lifts := []units.Length{20 * units.Thou, 100 * units.Thou}
	x := must[camtiming.LobeDifference](t)(camtiming.CompareLobes(camtiming.LobeComparison{Reference: a, Measured: b, Lifts: lifts}))
	y := must[camtiming.LobeDifference](t)(camtiming.CompareLobes(camtiming.LobeComparison{Reference: b, Measured: a, Lifts: lifts}))
	if x.LiftLoss.Value != -y.LiftLoss.Value || x.LiftLoss.U != y.LiftLoss.U {
		t.Errorf("%v, %v", x.LiftLoss, y.LiftLoss)
	}
	for i := range lifts {
		if p, q := x.Durations[i].Difference, y.Durations[i].Difference; p.Value != -q.Value || p.U != q.U || x.Durations[i].Reference != y.Durations[i].Measured {
			t.Errorf("%v, %v", p, q)
		}
	}
	near(t, "phase", x.Phase.Later.Value.Degrees(), -y.Phase.Later.Value.Degrees(), 0.05)
	// On its own curve nothing differs.
	z := must[camtiming.LobeDifference](t)(camtiming.CompareLobes(camtiming.LobeComparison{Reference: a, Measured: a, Lifts: lifts}))
	if z.LiftLoss.Value != 0 || z.LiftDiffers || z.Phase.Differs || z.Shape.Differs || z.Durations[0].Difference.Value != 0 {
		t.Errorf("%+v", z)
	}
}

func TestCompareBadInput(t *testing.T) {
	r := rand.New(rand.NewPCG(36, 37))
	f := flanks{camtiming.Poly345, 300 * units.Thou, 62, 66}
	lift := func(d float64) float64 { return f.at(d) / 0.0254 }
	good := camtiming.LobeComparison{Reference: f.lobe(t), Measured: readAs(t, lift, 1, 0.0003, r)}
	compare := func(change func(*camtiming.LobeComparison)) func() (any, error) {
		return func() (any, error) {
			c := good
			change(&c)
			d, err := camtiming.CompareLobes(c)
			if err != nil && d.Working() == nil && d.Durations == nil && d.LiftLoss == (units.Measured[units.Length]{}) && d.Phase == (camtiming.LobePhase{}) {
				return 0, err
			}
			return d, err
		}
	}
	far := must[*camtiming.LawLobe](t)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Harmonic, MaxLift: 300 * units.Thou, Opening: cam(2), Closing: cam(2)}))
	refuse(t, []bad{
		{"nothing", func() (any, error) {
			_, err := camtiming.CompareLobes(camtiming.LobeComparison{})
			return 0, err
		}, "Measured", units.ErrMissing},
		{"zero measured", compare(func(c *camtiming.LobeComparison) { c.Measured = new(camtiming.SmoothLobe) }), "Measured", units.ErrMissing},
		{"no reference", compare(func(c *camtiming.LobeComparison) { c.Reference = nil }), "Reference", units.ErrMissing},
		{"nil reference", compare(func(c *camtiming.LobeComparison) { c.Reference = (*camtiming.TableLobe)(nil) }), "Reference", units.ErrMissing},
		{"lift over both", compare(func(c *camtiming.LobeComparison) { c.Lifts = []units.Length{50 * units.Thou, units.Inch} }), "Lifts[1].lift", units.ErrRange},
		{"lift zero", compare(func(c *camtiming.LobeComparison) { c.Lifts = []units.Length{0} }), "Lifts[0].lift", units.ErrRange},
		{"lift least", compare(func(c *camtiming.LobeComparison) { c.Lifts = []units.Length{math.MinInt64} }), "Lifts[0].lift", units.ErrRange},
		{"no reading on a flank", compare(func(c *camtiming.LobeComparison) { c.Reference = far }), "Measured", units.ErrMissing},
	})
	// Judge refuses limits without a source and an unknown rule.
	for _, c := range []camtiming.LobeComparison{
		{Reference: good.Reference, Measured: good.Measured, Limits: units.Limits[units.Length]{Max: units.Thou, HasMax: true}},
		{Reference: good.Reference, Measured: good.Measured, Rule: 99},
	} {
		if _, err := camtiming.CompareLobes(c); err == nil {
			t.Errorf("%+v", c)
		}
	}
	if (camtiming.LobeDifference{}).Working() != nil {
		t.Error("nothing worked")
	}
}

func BenchmarkCompareLobes(b *testing.B) {
	r := rand.New(rand.NewPCG(38, 39))
	f := flanks{camtiming.Poly345, 300 * units.Thou, 62, 66}
	c := camtiming.LobeComparison{Reference: f.lobe(b), Measured: readAs(b, func(d float64) float64 { return f.at(d) / 0.0254 }, 0.25, 0.0002, r), Lifts: []units.Length{50 * units.Thou}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.CompareLobes(c); err != nil {
			b.Fatal(err)
		}
	}
}

// The same lobe read twice and counted from its nose each time: the top is
// flat, so that its place scatters far more than the flanks do, and none of that
// is a phase.
func TestComparePhaseFromNose(t *testing.T) {
	r := rand.New(rand.NewPCG(36, 37))
	f := flanks{camtiming.Poly345, 350 * units.Thou, 62, 67}
	read := func() *camtiming.SmoothLobe {
		var s []camtiming.LiftSample
		for d := -80.0; d <= 80; d += 2 {
			s = append(s, camtiming.LiftSample{Angle: cam(d + 12.5), Lift: f.lobe(t).Lift(cam(d)) + inch(0.0003*r.NormFloat64())})
		}
		return must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: s}))
	}
	for _, measured := range []bool{false, true} {
		const times = 40
		var scatter float64
		var phases, shapes int
		for range times {
			reference := camtiming.LiftCurve(f.lobe(t))
			if measured {
				reference = read()
			}
			d := must[camtiming.LobeDifference](t)(camtiming.CompareLobes(camtiming.LobeComparison{Reference: reference, Measured: read()}))
			if !d.Phase.Later.Stated {
				t.Fatalf("%+v", d.Phase)
			}
			scatter += squareOf(d.Phase.Later.Value.Degrees() / d.Phase.Later.U.Degrees())
			if d.Phase.Differs {
				phases++
			}
			if d.Shape.Differs {
				shapes++
			}
		}
		if rms := math.Sqrt(scatter / times); rms < 0.4 || rms > 1.35 {
			t.Errorf("measured reference %t: off by %.2f of its uncertainty", measured, rms)
		}
		// 5 % of 40 is 2; over 7 in 40 comes once in a thousand.
		if phases > 7 || shapes > 7 {
			t.Errorf("measured reference %t: of %d, %d phases and %d shapes called different", measured, times, phases, shapes)
		}
	}
}
