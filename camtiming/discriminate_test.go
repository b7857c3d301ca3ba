package camtiming_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// An index error and an equal error of dead center read alike on every
// cylinder and every lobe; a positive stop parts them, and nothing on the wheel does.
func ExampleDiagnosis() {
	cam := exampleCam()
	reading := exampleReading("0.034 in")
	d, err := camtiming.Diagnose(camtiming.DiagnosisInput{
		Cam:          cam,
		Observations: []camtiming.Observation{{Cylinder: "1", Reading: reading}, {Cylinder: "6", Reading: reading}},
		Suspects:     camtiming.Suspects{TDCError: 2 * units.CrankDegree, IndexError: 2 * units.CrankDegree},
		Prior:        camtiming.EqualPrior(),
		Possible: []camtiming.Measurement{
			{Kind: camtiming.MeasureSplit, Cylinder: "2", U: units.Thou / 2},
			{Kind: camtiming.MeasureCenterline, Cylinder: "1", Valve: camtiming.IntakeValve, Lift: 50 * units.Thou, UAngle: units.CrankDegree / 4},
			{Kind: camtiming.MeasureTDC, UAngle: units.CrankDegree / 5},
		},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("cannot be told apart:", d.Alike)
	best := d.Next[0]
	fmt.Println("measure next:", best.Measurement)
	fmt.Println("told apart by over four standard uncertainties:", best.Predictions[1].Separation > 4)
	fmt.Println("a third cylinder by over one:", d.Next[len(d.Next)-1].Predictions[1].Separation > 1)
	// Output:
	// cannot be told apart: 2
	// measure next: top dead center by positive stop
	// told apart by over four standard uncertainties: true
	// a third cylinder by over one: false
}

// A shop that has seen ten wheels badly set for each cam off says so.
func ExamplePrior() {
	cam := exampleCam()
	in := camtiming.DiagnosisInput{
		Cam:          cam,
		Observations: []camtiming.Observation{{Cylinder: "1", Reading: exampleReading("0.034 in")}},
		Suspects:     camtiming.Suspects{TDCError: 2 * units.CrankDegree, IndexError: 2 * units.CrankDegree},
	}
	ratio := func(p camtiming.Prior) {
		in.Prior = p
		d, err := camtiming.Diagnose(in)
		if err != nil {
			fmt.Println(err)
			return
		}
		m := map[camtiming.Cause]float64{}
		for _, c := range d.Candidates {
			m[c.Cause] += c.Probability
		}
		fmt.Printf("wheel to index %.1f, prior %s\n", m[camtiming.TDCMisset]/m[camtiming.IndexOff], d.PriorSource.Text)
	}
	ratio(camtiming.EqualPrior())
	ratio(camtiming.Prior{Weights: map[camtiming.Cause]float64{
		camtiming.AsGround: 20, camtiming.TDCMisset: 10, camtiming.IndexOff: 1,
		camtiming.AdvanceReversed: 0, camtiming.AdvanceLeftOut: 0, camtiming.WrongTurn: 0,
	}})
	// Output:
	// wheel to index 1.0, prior equal for every cause
	// wheel to index 10.0, prior as the caller states
}

// The probability stated is the frequency seen: over many engines drawn from the
// prior, candidates given about p are at work in a share p of the cases; and
// the mean of the probability given to the true one agrees with its expectation,
// the mean of the sum of squares of all.
func TestProbabilityIsCalibrated(t *testing.T) {
	p := unequalPair
	p.ground = 2
	k := p.cam(t)
	rng := rand.New(rand.NewPCG(81, 82))
	const (
		trials   = 3000
		tdc      = 0.25 // crank degrees, stated
		u        = 0.4  // thou
		tdcError = 1.2
		spread   = 0.8
		twist    = 2.5 // per meter
	)
	weights := map[camtiming.Cause]float64{
		camtiming.AsGround: 3, camtiming.TDCMisset: 2, camtiming.DowelOffset: 2, camtiming.TwistOrGrinding: 1, camtiming.Twisted: 1,
		camtiming.AdvanceLeftOut: 1, camtiming.AdvanceReversed: 0, camtiming.WrongTurn: 0, camtiming.DeadCentersExchanged: 0,
	}
	causes := []camtiming.Cause{camtiming.AsGround, camtiming.TDCMisset, camtiming.DowelOffset, camtiming.TwistOrGrinding, camtiming.Twisted, camtiming.AdvanceLeftOut}
	x := []float64{0.1, 0.25, 0.4}
	const bins = 10
	var stated, seen, n [bins]float64
	var got, expected, explained float64
	unexplained := 0
	for range trials {
		pick := rng.Float64() * 10
		var cause camtiming.Cause
		for _, c := range causes {
			if pick -= weights[c]; pick < 0 {
				cause = c
				break
			}
		}
		adv := p.ground
		side := float64(2*rng.IntN(2) - 1)
		own := rng.NormFloat64()
		switch cause {
		case camtiming.DowelOffset:
			adv += side
		case camtiming.AdvanceLeftOut:
			adv = 0
		case camtiming.TDCMisset:
			adv += tdcError * own
		default: // cylinder by cylinder, or nothing
		}
		adv += tdc * rng.NormFloat64()
		in := camtiming.DiagnosisInput{
			Cam: k, Prior: camtiming.Prior{Weights: weights},
			Suspects: camtiming.Suspects{Bushings: []units.CrankAngle{crank(1)}, TDCError: crank(tdcError), CylinderSpread: crank(spread), Twist: twist},
		}
		for i := range x {
			a := adv
			switch cause {
			case camtiming.Twisted:
				a += twist * own * x[i]
			case camtiming.TwistOrGrinding:
				a += spread * rng.NormFloat64()
			default: // alike on all
			}
			in.Observations = append(in.Observations, camtiming.Observation{
				Cylinder: string(rune('1' + i)), Position: units.Some(pm(x[i])),
				Reading: camtiming.SplitReading{Difference: units.WithU(pm(p.diff(a)+u*25.4e-6*rng.NormFloat64()), pm(u*25.4e-6)), Zero: sameHeight, TDC: crank(tdc), Proof: rocked},
			})
		}
		d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
		checkRanking(t, d, len(x))
		if !d.Explained {
			unexplained++
			continue
		}
		sum := 0.0
		for _, c := range d.Candidates {
			if c.Prior == 0 {
				continue
			}
			hit := c.Cause == cause && (cause != camtiming.DowelOffset || float64(c.Shift)*side > 0)
			b := min(int(c.Probability*bins), bins-1)
			n[b]++
			stated[b] += c.Probability
			if hit {
				seen[b]++
				got += c.Probability
			}
			sum += c.Probability * c.Probability
		}
		expected += sum
		explained++
	}
	for b := range bins {
		if n[b] < 30 {
			continue
		}
		q := stated[b] / n[b]
		se := math.Sqrt(q * (1 - q) / n[b])
		if f := seen[b] / n[b]; math.Abs(f-q) > 4*se {
			t.Errorf("of %g candidates given %.3f on average, a share of %.3f was at work", n[b], q, f)
		}
	}
	near(t, "mean probability of the truth", got/explained, expected/explained, 4*0.35/math.Sqrt(explained))
	// The true cause fails the chi-square test at 5 %, and others may pass then.
	if f := float64(unexplained) / trials; f > 0.05+4*math.Sqrt(0.05*0.95/trials) {
		t.Errorf("a share of %.3f was called unexplained", f)
	}
}

// Readings that no cause explains get no probability, however much less bad the
// least bad is.
func TestLeastBadIsNotCertain(t *testing.T) {
	p := unequalPair
	e := engine{p: p, off: 10, zero: true, proof: rocked, approach: camtiming.ApproachNormal}
	in := camtiming.DiagnosisInput{
		Cam: p.cam(t), Observations: e.read(rand.New(rand.NewPCG(83, 84))), Suspects: camtiming.Suspects{Teeth: 36, MostTeeth: 1},
		Possible: []camtiming.Measurement{{Kind: camtiming.MeasureTDC, UAngle: crank(0.1)}},
	}
	d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
	checkRanking(t, d, 6)
	if d.Explained || d.Alike != 1 || d.Next != nil || d.Candidates[0].Likelihood != 1 {
		t.Errorf("ten degrees off explained by %v", d.Candidates[0])
	}
	for _, c := range d.Candidates {
		if c.Probability != 0 {
			t.Errorf("%v has probability %g", c, c.Probability)
		}
	}
	// With the cause among the suspects it is found.
	in.Suspects.IndexError = crank(6)
	d = must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
	if c := d.Candidates[0]; !d.Explained || c.Cause != camtiming.IndexOff || !(c.Probability > 0.99) {
		t.Errorf("%v, probability %g", c, c.Probability)
	}
}

// Two normal candidates by hand: as ground, variance a, against a wheel of standard
// deviation w: odds = sqrt(a/(a+b)) exp(r^2/2 (1/a - 1/(a+b))), b = (slope w)^2. A
// width four times as wide, both far wider than the reading, quarters them: the Occam factor.
func TestTwoCandidatesByHand(t *testing.T) {
	p := unequalPair
	p.ground = 0
	k := p.cam(t)
	s := p.slope(0)
	const u = 0.4 * 25.4e-6
	odds := func(r, w float64) float64 {
		d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(camtiming.DiagnosisInput{
			Cam: k, Suspects: camtiming.Suspects{TDCError: crank(w)},
			Observations: []camtiming.Observation{{Reading: camtiming.SplitReading{Difference: units.WithU(pm(p.diff(0)+r), pm(u)), Zero: sameHeight, Proof: rocked}}},
		}))
		m := map[camtiming.Cause]float64{}
		for _, c := range d.Candidates {
			m[c.Cause] = c.Likelihood
		}
		return m[camtiming.TDCMisset] / m[camtiming.AsGround]
	}
	for _, r := range []float64{0, 1, -2, 3} {
		for _, w := range []float64{0.1, 1, 10} {
			b := s * w * s * w
			want := math.Sqrt(u*u/(u*u+b)) * math.Exp(r*r*u*u/2*(1/(u*u)-1/(u*u+b)))
			near(t, "odds", odds(r*u, w), want, 1e-6*want)
		}
	}
	near(t, "Occam", odds(u, 40)/odds(u, 10), 0.25, 1e-4)
}

// Readings of one cylinder share its twist and its lifters: repeating them
// proves no less and no more than their mean does.
func TestRepeatedReadingsOfOneCylinder(t *testing.T) {
	p := unequalPair
	k := p.cam(t)
	const u = 0.4 * 25.4e-6
	read := func(cylinder string, d, u float64) camtiming.Observation {
		return camtiming.Observation{Cylinder: cylinder, Reading: camtiming.SplitReading{Difference: units.WithU(pm(d), pm(u)), TDC: crank(0.2), Proof: rocked}}
	}
	d1, d2 := p.diff(p.ground+1.2), p.diff(p.ground-0.5)
	get := func(obs ...camtiming.Observation) map[camtiming.Cause]float64 {
		d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(camtiming.DiagnosisInput{
			Cam: k, Observations: obs, Suspects: camtiming.Suspects{CylinderSpread: crank(1), LifterHeights: 3 * units.Thou, TDCError: crank(2)},
		}))
		m := map[camtiming.Cause]float64{}
		for _, c := range d.Candidates {
			m[c.Cause] += c.Likelihood
		}
		return m
	}
	twice := get(read("1", d1+u/2, u*math.Sqrt2), read("1", d1-u/2, u*math.Sqrt2), read("2", d2, u))
	once := get(read("1", d1, u), read("2", d2, u))
	for c, w := range once {
		near(t, c.String(), twice[c], w, 1e-6)
	}
}

// The gain of two equally probable candidates of equal width, d apart in
// standard uncertainties, is the capacity of antipodal signals with binary input:
// 1 - E[log2(1 + exp(-d (d/2 + z)))], here by Simpson over z apart from the
// library; 0 at 0, near (d^2/8)/ln 2 for small d and 1 bit for large.
func TestGainOfTwo(t *testing.T) {
	p := unequalPair
	p.ground = 0
	k := p.cam(t)
	gain := func(u float64) (g, sep float64) {
		// A tooth either way, level between: the reading favors neither.
		d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(camtiming.DiagnosisInput{
			Cam: k, Suspects: camtiming.Suspects{Teeth: 720, MostTeeth: 1},
			Prior: camtiming.Prior{Weights: map[camtiming.Cause]float64{camtiming.ToothOff: 5, camtiming.AsGround: 0}},
			Observations: []camtiming.Observation{{Reading: camtiming.SplitReading{
				Difference: units.WithU(pm((p.diff(1)+p.diff(-1))/2), 100*units.Thou), Zero: sameHeight, Proof: rocked,
			}}},
			Possible: []camtiming.Measurement{{Kind: camtiming.MeasureMarks, UAngle: crank(u)}},
		}))
		if d.Alike != 2 {
			t.Fatalf("%d alike", d.Alike)
		}
		n := d.Next[0]
		near(t, "first", math.Abs(n.Predictions[0].Angle.Value.Degrees()), 1, 1e-9)
		near(t, "apart", n.Predictions[1].Separation, 2/u, 1e-9/u)
		return n.Gain, 2 / u
	}
	for _, u := range []float64{0.1, 0.3, 0.7, 1, 2, 5, 40} {
		g, sep := gain(u)
		sum := 0.0
		const n, r = 4000, 10.0
		for i := range n + 1 {
			z := -r + 2*r*float64(i)/n
			f := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * math.Log2(1+math.Exp(-sep*(sep/2+z)))
			switch {
			case i == 0 || i == n:
			case i%2 == 1:
				f *= 4
			default:
				f *= 2
			}
			sum += f
		}
		near(t, "gain", g, 1-sum*2*r/n/3, 1e-6)
		if u == 40 {
			near(t, "small", g, sep*sep/8/math.Ln2, 1e-6)
		}
	}
}

// Every kind of measurement, by what the closed-form lobes say of two candidates:
// as ground and a keyway, with dead center known.
func TestPredictedReadings(t *testing.T) {
	p := unequalPair
	k := p.cam(t)
	const key = 0.9
	in := camtiming.DiagnosisInput{
		Cam: k, Suspects: camtiming.Suspects{Keyways: []units.CrankAngle{crank(key)}},
		Observations: []camtiming.Observation{{Cylinder: "1", Reading: camtiming.SplitReading{Difference: units.WithU(pm(p.diff(p.ground+0.3)), 3*units.Thou), Zero: sameHeight, Proof: rocked}}},
		Possible: []camtiming.Measurement{
			{Kind: camtiming.MeasureSplit, Cylinder: "1", U: units.Thou},
			{Kind: camtiming.MeasureLiftAtTDC, Cylinder: "1", Valve: camtiming.IntakeValve, U: units.Thou},
			{Kind: camtiming.MeasureLiftAtTDC, Cylinder: "2", Valve: camtiming.ExhaustValve, U: units.Thou},
			{Kind: camtiming.MeasureCenterline, Cylinder: "1", Valve: camtiming.IntakeValve, Lift: 50 * units.Thou, UAngle: crank(0.5)},
			{Kind: camtiming.MeasureCenterline, Cylinder: "1", Valve: camtiming.ExhaustValve, Lift: 50 * units.Thou, UAngle: crank(0.5)},
			{Kind: camtiming.MeasureTDC, UAngle: crank(0.5)},
			{Kind: camtiming.MeasureMarks, UAngle: crank(0.5)},
			{Kind: camtiming.MeasureDriveParts, UAngle: crank(0.5)},
			{Kind: camtiming.MeasureLobeLift, Cylinder: "1", Valve: camtiming.ExhaustValve, U: units.Thou},
		},
	}
	d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
	if len(d.Next) != len(in.Possible) {
		t.Fatalf("%d of %d ranked", len(d.Next), len(in.Possible))
	}
	mid := func(f flanks) float64 { // crank degrees, by bisection
		cross := func(side float64) float64 {
			lo, hi := 0.0, side
			for range 100 {
				m := (lo + hi) / 2
				if f.at(m) > 50*25.4e-6 {
					lo = m
				} else {
					hi = m
				}
			}
			return lo
		}
		return cross(-f.opening) + cross(f.closing)
	}
	for i, n := range d.Next {
		if i > 0 && n.Gain > d.Next[i-1].Gain {
			t.Errorf("%v stands after one of less gain", n.Measurement)
		}
		if w := n.Working(); len(w) != d.Alike+1 {
			t.Errorf("working of %d steps", len(w))
		}
		for j := range d.Alike {
			c, q := d.Candidates[j], n.Predictions[j]
			a := p.ground + c.Shift.Degrees()
			own := 0.0
			if c.Cause == camtiming.WrongKeyway {
				own = key
			} else if c.Cause != camtiming.AsGround {
				continue
			}
			m := n.Measurement
			var want float64
			switch {
			case m.Kind == camtiming.MeasureSplit:
				want = p.diff(a)
			case m.Kind == camtiming.MeasureLiftAtTDC && m.Valve == camtiming.IntakeValve:
				want = p.intake.at((a - p.sep) / 2)
			case m.Kind == camtiming.MeasureLiftAtTDC:
				want = p.exhaust.at((a + p.sep) / 2)
			case m.Kind == camtiming.MeasureCenterline && m.Valve == camtiming.IntakeValve:
				want = p.sep - a + mid(p.intake)
			case m.Kind == camtiming.MeasureCenterline:
				want = p.sep + a - mid(p.exhaust)
			case m.Kind == camtiming.MeasureDriveParts:
				want = own
			case m.Kind == camtiming.MeasureLobeLift:
				want = p.exhaust.lift.Meters()
			}
			if q.Length.Stated == q.Angle.Stated {
				t.Errorf("%v: %+v", m, q)
			}
			if q.Length.Stated {
				near(t, m.String(), q.Length.Value.Meters(), want, 1e-12)
				near(t, "u", q.Length.U.Thousandths(), 1, 1e-9)
			} else {
				near(t, m.String(), q.Angle.Value.Degrees(), want, 2e-9)
				near(t, "u", q.Angle.U.Degrees(), 0.5, 1e-9)
			}
			if s := m.String() + q.String(); strings.Contains(s, "unknown") {
				t.Error(s)
			}
		}
	}
}

// What a lobe leaves open is part of a reading to come as it is of one that was
// taken: the midpoint as Centerline.AtNose has it, the greatest lift as the fit.
func TestPredictedReadingsOfUnsureLobes(t *testing.T) {
	card := must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(camtiming.CardLobeSpec{
		MaxLift: inch(0.3), Asymmetry: cam(0.4),
		Durations: []camtiming.DurationAt{{Lift: inch(0.006), Duration: crank(270)}, {Lift: inch(0.05), Duration: crank(224)}},
	}))
	rng := rand.New(rand.NewPCG(87, 88))
	var samples []camtiming.LiftSample
	for d := -80.0; d <= 80; d += 2 {
		samples = append(samples, camtiming.LiftSample{Angle: cam(d), Lift: pm(leaning.at(d) + 8e-6*rng.NormFloat64())})
	}
	smooth := must[*camtiming.SmoothLobe](t)(camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: samples}))
	ring := must[*camtiming.RingLobe](t)(camtiming.NewRingLobe(camtiming.RingLobeSpec{Ring: camtiming.CamRing{Lobes: 1, Rotation: firingorder.WithCrank}, Lobe: smooth}))
	ramps := camtiming.Ramp{Height: units.Micrometer, Length: 10 * units.CamDegree}
	law := leaning.lobe(t)
	plain := must[*camtiming.RampLobe](t)(camtiming.NewRampLobe(camtiming.RampLobeSpec{Lobe: law, Opening: ramps, Closing: ramps}))
	for _, c := range []struct {
		name           string
		lobe           camtiming.LiftCurve
		middle, height float64 // crank degrees, thousandths; under 0: see AtNose
	}{
		{"card", card, 0.8, 0}, // 0.4 cam degrees
		{"law", law, 0, 0},
		{"ramps", plain, 0, 0},
		{"smoothed", smooth, -1, smooth.Fit().Peak.U.Thousandths()},
		{"ring", ring, -1, smooth.Fit().Peak.U.Thousandths()},
	} {
		k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: c.lobe, Exhaust: c.lobe, Separation: cam(108)}))
		in := camtiming.DiagnosisInput{
			Cam: k, Suspects: camtiming.Suspects{Keyways: []units.CrankAngle{crank(0.5)}},
			Observations: []camtiming.Observation{{Cylinder: "1", Reading: camtiming.SplitReading{Difference: units.WithU(k.At(crank(0.25)).Difference, 3*units.Thou), Zero: sameHeight, Proof: rocked}}},
			Possible: []camtiming.Measurement{
				{Kind: camtiming.MeasureCenterline, Cylinder: "1", Valve: camtiming.IntakeValve, Lift: 50 * units.Thou, UAngle: crank(0.5)},
				{Kind: camtiming.MeasureCenterline, Cylinder: "1", Valve: camtiming.ExhaustValve, Lift: 50 * units.Thou, UAngle: crank(0.5)},
				{Kind: camtiming.MeasureLobeLift, Cylinder: "1", Valve: camtiming.ExhaustValve, U: units.Thou},
			},
		}
		if c.middle < 0 {
			m := camtiming.Centerline{Valve: camtiming.IntakeValve, Basis: camtiming.BasisMidpoint, Lift: units.Some(50 * units.Thou), Angle: units.WithU(crank(108), 0)}
			if c.middle = must[camtiming.Centerline](t)(m.AtNose(c.lobe)).UShape.Degrees(); !(c.middle > 0.1) {
				t.Fatalf("%s: a midpoint known to %g", c.name, c.middle)
			}
		}
		d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
		if d.Alike != 2 {
			t.Fatalf("%s: %d alike", c.name, d.Alike)
		}
		for _, n := range d.Next {
			for _, p := range n.Predictions {
				if n.Measurement.Kind == camtiming.MeasureLobeLift {
					near(t, c.name+", greatest lift", p.Length.U.Thousandths(), math.Hypot(1, c.height), 1e-8)
				} else {
					near(t, c.name+", midpoint", p.Angle.U.Degrees(), math.Hypot(0.5, c.middle), 3e-9)
				}
			}
			if n.Measurement.Kind == camtiming.MeasureCenterline { // half a degree apart, by both
				near(t, c.name+", apart", n.Predictions[1].Separation, 0.5/math.Hypot(0.5, c.middle), 1e-7)
			}
		}
	}
}

// A spare cam whose lobes are lower gives the same height difference; the lift of a
// lobe tells the two apart, and top dead center does not.
func TestNextFindsOtherCam(t *testing.T) {
	p := equalPair
	other := pair{flanks{camtiming.Poly345, 330 * units.Thou, 65, 65}, flanks{camtiming.Poly345, 330 * units.Thou, 65, 65}, 110, 4.2}
	in := camtiming.DiagnosisInput{
		Cam: p.cam(t), Suspects: camtiming.Suspects{OtherCams: []camtiming.NamedCam{{Name: "spare", Cam: other.cam(t)}}},
		Observations: engine{p: p, zero: true, proof: rocked, n: 2}.read(rand.New(rand.NewPCG(85, 86))),
		Possible: []camtiming.Measurement{
			{Kind: camtiming.MeasureTDC, UAngle: crank(0.2)},
			{Kind: camtiming.MeasureLobeLift, Cylinder: "1", Valve: camtiming.IntakeValve, U: units.Thou},
		},
	}
	d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
	if d.Alike != 2 || d.Next[0].Measurement.Kind != camtiming.MeasureLobeLift {
		t.Fatalf("%d alike, next %v", d.Alike, d.Next)
	}
	// 0.350 and 0.330 in, each known to a thou.
	near(t, "apart", d.Next[0].Predictions[1].Separation, 20, 1e-9)
	// A centerline at a lift that the spare does not reach has no prediction.
	in.Possible = []camtiming.Measurement{{Kind: camtiming.MeasureCenterline, Cylinder: "1", Valve: camtiming.IntakeValve, Lift: 340 * units.Thou, UAngle: crank(0.2)}}
	refuse(t, []bad{{"over the spare's lobe", func() (any, error) { return camtiming.Diagnose(in) }, "Possible[0].Lift", units.ErrRange}})
}

func TestPriors(t *testing.T) {
	p := unequalPair
	in := camtiming.DiagnosisInput{
		Cam: p.cam(t), Suspects: camtiming.Suspects{TDCError: crank(1), Bushings: []units.CrankAngle{crank(1), crank(2)}},
		Observations: engine{p: p, n: 1, zero: true, proof: rocked}.read(rand.New(rand.NewPCG(87, 88))),
	}
	zero := must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
	in.Prior = camtiming.EqualPrior()
	equal := must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
	if zero.PriorSource != equal.PriorSource || equal.PriorSource.Provenance != units.CommonPractice {
		t.Errorf("prior from %v and %v", zero.PriorSource, equal.PriorSource)
	}
	// As ground, reversed, left out, wheel and dowel: a fifth each, the dowel's shared by four.
	for i, c := range equal.Candidates {
		want := 0.2
		switch {
		case c.RuledOut != "":
			want = 0
		case c.Cause == camtiming.DowelOffset:
			want = 0.05
		}
		near(t, c.String(), c.Prior, want, 1e-12)
		near(t, c.String(), c.Probability, zero.Candidates[i].Probability, 0)
	}
	// Scaling all weights changes nothing, even to the ends of the range.
	for _, scale := range []float64{1e-300, 1e308} {
		for c := range in.Prior.Weights {
			in.Prior.Weights[c] = scale
		}
		d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
		for i, c := range d.Candidates {
			near(t, c.String(), c.Probability, equal.Candidates[i].Probability, 1e-12)
		}
	}
	// 0 leaves a cause out.
	in.Prior = camtiming.EqualPrior()
	in.Prior.Weights[camtiming.AsGround] = 0
	d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
	for _, c := range d.Candidates {
		if c.Cause == camtiming.AsGround && (c.Probability != 0 || c.Prior != 0 || c.RuledOut != "") {
			t.Errorf("%+v", c)
		}
	}
	w := func(c camtiming.Cause, x float64) func() (any, error) {
		return func() (any, error) {
			in := in
			in.Prior = camtiming.EqualPrior()
			in.Prior.Weights[c] = x
			return camtiming.Diagnose(in)
		}
	}
	refuse(t, []bad{
		{"negative", w(camtiming.TDCMisset, -1), "Prior.Weights[top dead center mis-set]", units.ErrRange},
		{"NaN", w(camtiming.TDCMisset, math.NaN()), "Prior.Weights[top dead center mis-set]", units.ErrRange},
		{"infinite", w(camtiming.TDCMisset, math.Inf(1)), "Prior.Weights[top dead center mis-set]", units.ErrRange},
		{"unknown cause", w(99, 1), "Prior.Weights", units.ErrRange},
		{"no cause", w(0, 1), "Prior.Weights", units.ErrRange},
		{"missing", func() (any, error) {
			in := in
			in.Prior = camtiming.Prior{Weights: map[camtiming.Cause]float64{camtiming.AsGround: 1}}
			return camtiming.Diagnose(in)
		}, "Prior.Weights[dowel or bushing offset]", units.ErrMissing},
		{"all zero", func() (any, error) {
			in := in
			in.Prior = camtiming.EqualPrior()
			for c := range in.Prior.Weights {
				in.Prior.Weights[c] = 0
			}
			return camtiming.Diagnose(in)
		}, "Prior.Weights", units.ErrConflict},
	})
}

func TestBadMeasurement(t *testing.T) {
	p := unequalPair
	base := camtiming.DiagnosisInput{
		Cam: p.cam(t), Suspects: camtiming.Suspects{TDCError: crank(1)},
		Observations: engine{p: p, n: 2, zero: true, proof: rocked}.read(rand.New(rand.NewPCG(89, 90))),
	}
	for i := range base.Observations {
		base.Observations[i].Position = units.Some(units.Length(i) * 100 * units.Millimeter)
	}
	m := func(m camtiming.Measurement) func() (any, error) {
		return func() (any, error) {
			in := base
			in.Suspects.Twist = 1
			in.Possible = []camtiming.Measurement{m}
			return camtiming.Diagnose(in)
		}
	}
	d := func(f func(*camtiming.DiagnosisInput)) func() (any, error) {
		return func() (any, error) {
			in := base
			in.Observations = slices.Clone(base.Observations)
			f(&in)
			return camtiming.Diagnose(in)
		}
	}
	const cl = camtiming.MeasureCenterline
	refuse(t, []bad{
		{"nothing", m(camtiming.Measurement{}), "Possible[0].Kind", units.ErrMissing},
		{"unknown", m(camtiming.Measurement{Kind: 99}), "Possible[0].Kind", units.ErrRange},
		{"no cylinder", m(camtiming.Measurement{Kind: camtiming.MeasureSplit, U: units.Thou}), "Possible[0].Cylinder", units.ErrMissing},
		{"no valve", m(camtiming.Measurement{Kind: camtiming.MeasureLiftAtTDC, Cylinder: "1", U: units.Thou}), "Possible[0].Valve", units.ErrMissing},
		{"no u", m(camtiming.Measurement{Kind: camtiming.MeasureSplit, Cylinder: "1"}), "Possible[0].U", units.ErrRange},
		{"u least", m(camtiming.Measurement{Kind: camtiming.MeasureSplit, Cylinder: "1", U: least}), "Possible[0].U", units.ErrRange},
		{"u overflow", m(camtiming.Measurement{Kind: camtiming.MeasureSplit, Cylinder: "1", U: most}), "Possible[0].U", units.ErrRange},
		{"angle of a length", m(camtiming.Measurement{Kind: camtiming.MeasureSplit, Cylinder: "1", U: units.Thou, UAngle: 1}), "Possible[0].UAngle", units.ErrConflict},
		{"length of an angle", m(camtiming.Measurement{Kind: camtiming.MeasureTDC, U: units.Thou, UAngle: crank(1)}), "Possible[0].U", units.ErrConflict},
		{"no u of an angle", m(camtiming.Measurement{Kind: camtiming.MeasureTDC}), "Possible[0].UAngle", units.ErrRange},
		{"u of an angle overflow", m(camtiming.Measurement{Kind: camtiming.MeasureTDC, UAngle: most}), "Possible[0].UAngle", units.ErrRange},
		{"lift of a stop", m(camtiming.Measurement{Kind: camtiming.MeasureTDC, UAngle: crank(1), Lift: units.Thou}), "Possible[0].Lift", units.ErrConflict},
		{"no lift", m(camtiming.Measurement{Kind: cl, Cylinder: "1", Valve: camtiming.IntakeValve, UAngle: crank(1)}), "Possible[0].Lift", units.ErrRange},
		{"lift over the lobe", m(camtiming.Measurement{Kind: cl, Cylinder: "1", Valve: camtiming.ExhaustValve, Lift: 320 * units.Thou, UAngle: crank(1)}), "Possible[0].Lift", units.ErrRange},
		{"position least", m(camtiming.Measurement{Kind: camtiming.MeasureSplit, Cylinder: "1", U: units.Thou, Position: units.Some[units.Length](least)}), "Possible[0].Position", units.ErrRange},
		{"no position", m(camtiming.Measurement{Kind: camtiming.MeasureSplit, Cylinder: "5", U: units.Thou}), "Possible[0].Position", units.ErrMissing},
		{"too many", d(func(in *camtiming.DiagnosisInput) { in.Possible = make([]camtiming.Measurement, 257) }), "Possible", units.ErrRange},
		{"too many readings", d(func(in *camtiming.DiagnosisInput) { in.Observations = make([]camtiming.Observation, 257) }), "Observations", units.ErrRange},
		{"twist negative", d(func(in *camtiming.DiagnosisInput) { in.Suspects.Twist = -1 }), "Suspects.Twist", units.ErrRange},
		{"twist NaN", d(func(in *camtiming.DiagnosisInput) { in.Suspects.Twist = units.Twist(math.NaN()) }), "Suspects.Twist", units.ErrRange},
		{"twist infinite", d(func(in *camtiming.DiagnosisInput) { in.Suspects.Twist = units.Twist(math.Inf(1)) }), "Suspects.Twist", units.ErrRange},
		{"index error overflow", d(func(in *camtiming.DiagnosisInput) { in.Suspects.IndexError = most }), "Suspects.IndexError", units.ErrRange},
		{"twist without positions", d(func(in *camtiming.DiagnosisInput) {
			in.Suspects.Twist = 1
			in.Observations[1].Position = units.Optional[units.Length]{}
		}), "Observations[1].Position", units.ErrMissing},
		{"position overflow", d(func(in *camtiming.DiagnosisInput) { in.Observations[1].Position = units.Some[units.Length](most) }), "Observations[1].Position", units.ErrRange},
		{"uncertainties too unlike", d(func(in *camtiming.DiagnosisInput) {
			in.Observations = nil
			for range 40 {
				in.Observations = append(in.Observations, camtiming.Observation{Reading: camtiming.SplitReading{Difference: units.WithU(units.Length(0), units.Nanometer), Mismatch: 0, TDC: crank(90)}})
			}
			in.Suspects.TDCError = crank(90)
			in.Suspects.LifterHeights = units.Meter
			in.Observations[0].Cylinder, in.Observations[1].Cylinder = "1", "1"
		}), "Observations", units.ErrRange},
	})
}

// Zero values have words and no panic.
func TestDiagnosisZeroValues(t *testing.T) {
	_ = (camtiming.Discrimination{}).Working()
	_ = (camtiming.PredictedReading{}).String()
	if s := (camtiming.Measurement{}).String(); s != "unknown measurement" {
		t.Error(s)
	}
	if s := camtiming.MeasurementKind(99).String(); s != "unknown measurement" {
		t.Error(s)
	}
	seen := map[string]bool{}
	for k := camtiming.MeasureSplit; k <= camtiming.MeasureLobeLift; k++ {
		if seen[k.String()] {
			t.Errorf("%v twice", k)
		}
		seen[k.String()] = true
	}
}

// A fault drawn by the fuzzer never panics and leaves probabilities that sum.
func FuzzDiagnose(f *testing.F) {
	f.Add(0.01, 0.0005, 0.2, 1.0, 2.0, 0.001, uint8(3))
	f.Add(-0.3, 1e-8, 0.0, 90.0, 0.0, 1e-9, uint8(200))
	f.Fuzz(func(t *testing.T, d, u, tdc, tdcError, twist, w float64, n uint8) {
		p := unequalPair
		in := camtiming.DiagnosisInput{
			Cam: p.cam(t), Suspects: camtiming.Suspects{TDCError: crank(tdcError), IndexError: crank(tdcError / 2), Twist: units.Twist(twist), CylinderSpread: crank(tdc)},
			Possible: []camtiming.Measurement{{Kind: camtiming.MeasureTDC, UAngle: crank(0.1)}, {Kind: camtiming.MeasureSplit, Cylinder: "0", U: units.Thou}},
			Prior:    camtiming.EqualPrior(),
		}
		in.Prior.Weights[camtiming.TDCMisset] = w
		for i := range n % 16 {
			in.Observations = append(in.Observations, camtiming.Observation{
				Cylinder: string(rune('0' + i/2)), Position: units.Some(pm(float64(i) * 0.1)),
				Reading: camtiming.SplitReading{Difference: units.WithU(inch(d+0.001*float64(i)), inch(u)), TDC: crank(tdc), Proof: rocked},
			})
		}
		r, err := camtiming.Diagnose(in)
		if err != nil {
			return
		}
		checkRanking(t, r, len(in.Observations))
		for _, q := range r.Next {
			if !(q.Gain >= 0 && q.Gain <= math.Log2(float64(r.Alike))+1e-6) {
				t.Errorf("gain %g of %d", q.Gain, r.Alike)
			}
		}
	})
}

func BenchmarkDiagnoseNext(b *testing.B) {
	p := unequalPair
	in := camtiming.DiagnosisInput{
		Cam: p.cam(b), Observations: engine{p: p, off: 2, zero: true, proof: rocked}.read(rand.New(rand.NewPCG(1, 1))),
		Suspects: camtiming.Suspects{
			Teeth: 36, MostTeeth: 1, Keyways: []units.CrankAngle{crank(6)}, Bushings: []units.CrankAngle{crank(2)},
			TDCError: crank(1), IndexError: crank(2), CylinderSpread: crank(1),
		},
		Possible: []camtiming.Measurement{
			{Kind: camtiming.MeasureSplit, Cylinder: "1", U: units.Thou / 2},
			{Kind: camtiming.MeasureLiftAtTDC, Cylinder: "1", Valve: camtiming.IntakeValve, U: units.Thou / 2},
			{Kind: camtiming.MeasureCenterline, Cylinder: "1", Valve: camtiming.IntakeValve, Lift: 50 * units.Thou, UAngle: crank(0.3)},
			{Kind: camtiming.MeasureTDC, UAngle: crank(0.2)},
			{Kind: camtiming.MeasureMarks, UAngle: crank(5)},
			{Kind: camtiming.MeasureDriveParts, UAngle: crank(0.5)},
		},
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.Diagnose(in); err != nil {
			b.Fatal(err)
		}
	}
}
