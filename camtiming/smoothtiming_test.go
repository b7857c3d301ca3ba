package camtiming_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// Timing by lobes that were read with scatter and are counted from the nose that
// was found: the truth, by the lobe as it is, lies about the result as far as
// its uncertainty says, with readings of the timing itself that are exact.
func TestTimingBySmoothedLobe(t *testing.T) {
	r := rand.New(rand.NewPCG(40, 41))
	truth := must[*camtiming.LawLobe](t)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly345, MaxLift: 350 * units.Thou, Opening: 62 * units.CamDegree, Closing: 67 * units.CamDegree}))
	read := func() *camtiming.SmoothLobe {
		var s []camtiming.LiftSample
		for d := -80.0; d <= 80; d += 2 {
			s = append(s, camtiming.LiftSample{Angle: cam(d), Lift: truth.Lift(cam(d)) + inch(0.0003*r.NormFloat64())})
		}
		return must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: s}))
	}
	const times = 40
	icl := 106 * units.CrankDegree
	high := must[camtiming.LiftAtTDC](t)(camtiming.SingleValve{Valve: camtiming.IntakeValve, Lobe: truth}.At(icl))
	middle := must[camtiming.Opening](t)(camtiming.OpeningAt(truth, 100*units.Thou)).Midpoint.Crank()
	exact := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: truth, Exhaust: truth, Separation: 105 * units.CamDegree}))
	advance := 4 * units.CrankDegree
	level := exact.At(advance)
	sums := map[string]float64{}
	for range times {
		lobe := read()
		a := must[camtiming.Centerline](t)(camtiming.SingleValve{Valve: camtiming.IntakeValve, Lobe: lobe}.Centerline(camtiming.LiftAtTDCReading{Lift: units.WithU(high.Lifter, 0)}))
		sums["lift at top dead center"] += squareOf((a.Angle.Value - icl).Degrees() / a.UShape.Degrees())

		m := camtiming.Centerline{Valve: camtiming.IntakeValve, Angle: units.WithU(icl+middle, 0), Basis: camtiming.BasisMidpoint, Lift: units.Some(100 * units.Thou)}
		b := must[camtiming.Centerline](t)(m.AtNose(lobe))
		sums["midpoint"] += squareOf((b.Angle.Value - icl).Degrees() / b.UShape.Degrees())

		k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: lobe, Exhaust: read(), Separation: 105 * units.CamDegree}))
		reading := camtiming.SplitReading{
			Difference: units.WithU(level.Intake-level.Exhaust, units.Micrometer),
			Zero:       units.Some(units.WithU(units.Length(0), units.Micrometer)),
			Proof:      camtiming.Proof{Kind: camtiming.RiseMeasured, Rise: 50 * units.Thou},
		}
		c := must[camtiming.SplitResult](t)(k.Split(reading))
		sums["split"] += squareOf((c.Advance.Value - advance).Degrees() / c.UShape.Degrees())
		if n := testing.AllocsPerRun(5, func() { _, _ = k.Split(reading) }); n != 0 {
			t.Fatalf("Split by smoothed lobes allocates %g times", n)
		}
	}
	for name, sum := range sums {
		if rms := math.Sqrt(sum / times); rms < 0.4 || rms > 1.35 {
			t.Errorf("%s: off by %.2f of its uncertainty", name, rms)
		}
	}
}

// A lobe keeps its uncertainty in a ring, where an angle is as many times as
// wide, and between ramps of no account.
func TestUncertaintyThroughRingAndRamp(t *testing.T) {
	card := must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(camtiming.CardLobeSpec{
		MaxLift: 300 * units.Thou, Durations: []camtiming.DurationAt{{Lift: 20 * units.Thou, Duration: 90 * units.CrankDegree}, {Lift: 50 * units.Thou, Duration: 74 * units.CrankDegree}},
		Asymmetry: units.CamDegree / 2,
	}))
	ring := must[*camtiming.RingLobe](t)(camtiming.NewRingLobe(camtiming.RingLobeSpec{Ring: camtiming.CamRing{Lobes: 3, Rotation: firingorder.WithCrank}, Lobe: card}))
	ramp := must[*camtiming.RampLobe](t)(camtiming.NewRampLobe(camtiming.RampLobeSpec{Lobe: card, Opening: camtiming.Ramp{Height: units.Micrometer, Length: 10 * units.CamDegree}, Closing: camtiming.Ramp{Height: units.Micrometer, Length: 10 * units.CamDegree}}))
	u := func(l camtiming.LiftCurve) (lift, middle float64) {
		a := must[camtiming.Centerline](t)(camtiming.SingleValve{Valve: camtiming.IntakeValve, Lobe: l}.Centerline(camtiming.LiftAtTDCReading{Lift: units.WithU(120*units.Thou, 0)}))
		m := camtiming.Centerline{Valve: camtiming.IntakeValve, Angle: units.WithU(106*units.CrankDegree, 0), Basis: camtiming.BasisMidpoint, Lift: units.Some(120 * units.Thou)}
		return a.UShape.Degrees(), must[camtiming.Centerline](t)(m.AtNose(l)).UShape.Degrees()
	}
	lift, middle := u(card)
	near(t, "card", middle, 1, 1e-9) // half a cam degree
	if !(lift >= 1) {                // the asymmetry at least
		t.Errorf("lift: u = %g", lift)
	}
	a, b := u(ring)
	near(t, "ring, lift", a, 3*lift, 1e-6*lift)
	near(t, "ring, midpoint", b, 3, 1e-9)
	a, b = u(ramp)
	near(t, "ramp, lift", a, lift, 1e-3*lift)
	near(t, "ramp, midpoint", b, 1, 1e-9)
}

// One smoothed lobe that stands for both: an error of its nose turns both lobes
// alike, which is one of index, a cam degree for two crank degrees. Two lobes
// read apart have each their own.
func TestSplitByOneSmoothedLobe(t *testing.T) {
	r := rand.New(rand.NewPCG(44, 45))
	read := func() *camtiming.SmoothLobe {
		var s []camtiming.LiftSample
		for d := -80.0; d <= 80; d++ {
			s = append(s, camtiming.LiftSample{Angle: cam(d), Lift: pm(leaning.at(d) + 4e-6*r.NormFloat64())})
		}
		return must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: s}))
	}
	lobe, other := read(), read()
	ring := must[*camtiming.RingLobe](t)(camtiming.NewRingLobe(camtiming.RingLobeSpec{Ring: camtiming.CamRing{Lobes: 1, Rotation: firingorder.WithCrank}, Lobe: lobe}))
	const sep, adv = 105.0, 3.0
	part := func(l *camtiming.SmoothLobe, x float64) (curve, nose float64) {
		u := must[units.Measured[units.Length]](t)(l.LiftAt(cam(x))).U.Meters()
		return u, float64(l.Velocity(cam(x))) * l.Fit().Nose.U.Degrees()
	}
	shape := func(i, e camtiming.LiftCurve) (units.CrankAngle, float64) {
		k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: i, Exhaust: e, Separation: cam(sep)}))
		h := k.At(crank(adv))
		s := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(h.Difference, units.Micrometer), Proof: rocked}))
		return s.UShape, h.PerCrankDegree.Meters()
	}
	ui, ni := part(lobe, (adv-sep)/2)
	ue, ne := part(lobe, (adv+sep)/2)
	got, slope := shape(lobe, lobe)
	near(t, "one lobe", got.Degrees(), math.Sqrt(ui*ui+ue*ue+(ni-ne)*(ni-ne))/slope, 1e-6)
	if nose := 2 * lobe.Fit().Nose.U.Degrees(); got.Degrees() < nose {
		t.Errorf("u = %v, the nose alone is %g", got, nose)
	}
	same, _ := shape(lobe, ring)
	near(t, "by a ring of one lobe", same.Degrees(), got.Degrees(), 1e-8)
	ue, ne = part(other, (adv+sep)/2)
	got, slope = shape(lobe, other)
	near(t, "two lobes", got.Degrees(), math.Sqrt(ui*ui+ue*ue+ni*ni+ne*ne)/slope, 1e-6)
}

// A nose that the readings do not place may lie anywhere on the lobe: its width
// over the root of twelve (JCGM 100:2008, 4.3.7), in cam degrees.
func TestTimingWithoutNose(t *testing.T) {
	var s []camtiming.LiftSample
	for d := -81.0; d <= 81; d += 3 {
		s = append(s, camtiming.LiftSample{Angle: cam(d), Lift: pm(leaning.at(d))})
	}
	spec := camtiming.SmoothLobeSpec{Samples: s, Noise: units.Some(units.Millimeter), Window: units.Some(units.CamDegree), Share: 0.5}
	lobe := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(spec))
	if lobe.Fit().Nose.Stated {
		t.Fatalf("the nose is known to %v", lobe.Fit().Nose.U)
	}
	span := lobe.Span()
	nose := (span.Closes - span.Opens).Degrees() / math.Sqrt(12)
	if !(nose > 20) {
		t.Fatalf("the lobe is %v", span)
	}
	part := func(x units.CamAngle) (curve, slope float64) {
		return must[units.Measured[units.Length]](t)(lobe.LiftAt(x)).U.Meters(), float64(lobe.Velocity(x))
	}
	lift := mm(4)
	o := must[camtiming.Opening](t)(camtiming.OpeningAt(lobe, lift))
	uo, vo := part(o.Opens)
	uc, vc := part(o.Closes)
	// A lift at top dead center: u of the lift over the slope, in crank degrees.
	c := must[camtiming.Centerline](t)(camtiming.SingleValve{Valve: camtiming.IntakeValve, Lobe: lobe}.Centerline(camtiming.LiftAtTDCReading{Lift: units.WithU(lift, 0)}))
	near(t, "lift at top dead center", c.UShape.Degrees(), 2*math.Hypot(uo/vo, nose), 1e-6)
	// A midpoint: both flanks, and the nose by which it is brought there.
	m := camtiming.Centerline{Valve: camtiming.IntakeValve, Angle: units.WithU(crank(106), 0), Basis: camtiming.BasisMidpoint, Lift: units.Some(lift)}
	c = must[camtiming.Centerline](t)(m.AtNose(lobe))
	near(t, "midpoint", c.UShape.Degrees(), math.Sqrt(uo*uo/vo/vo+uc*uc/vc/vc+4*nose*nose), 1e-6)
	// The split: the nose is common to both lobes.
	k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: lobe, Exhaust: lobe, Separation: cam(80)}))
	h := k.At(0)
	r := must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(h.Difference, units.Micrometer), Proof: rocked}))
	ui, vi := part(cam(-40))
	ue, ve := part(cam(40))
	near(t, "split", r.UShape.Degrees(), math.Hypot(math.Hypot(ui, ue)/h.PerCrankDegree.Meters(), (vi-ve)*nose/h.PerCrankDegree.Meters()), 1e-6)
	// Counted from the table's own zero, the nose does not matter.
	spec.Origin = camtiming.AsMeasured
	lobe = must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(spec))
	c = must[camtiming.Centerline](t)(m.AtNose(lobe))
	near(t, "as measured", c.UShape.Degrees(), math.Hypot(uo/vo, uc/vc), 1e-6)
}
