package camtiming_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// engine is the forward model: six cylinders with what may be wrong, and the
// readings that closed-form lobes then give.
type engine struct {
	p        pair
	off      float64    // advance over the card, crank degrees
	each     [6]float64 // more of it on single cylinders
	tdc      float64    // the mark stands so late
	height   [6]float64 // thou: intake lifter higher by
	firing   bool       // read one turn away
	zero     bool       // and the zero taken
	proof    camtiming.Proof
	approach camtiming.Approach
	n        int
}

func (e engine) read(rng *rand.Rand) []camtiming.Observation {
	var obs []camtiming.Observation
	n := e.n
	if n == 0 {
		n = 6
	}
	for i := range n {
		noise := func() float64 { return 0.2 * rng.NormFloat64() } // thou
		d := e.p.diff(e.p.ground+e.off+e.each[i]+e.tdc) * 1e3 / 25.4e-3
		if e.firing {
			d = 0
		}
		r := camtiming.SplitReading{
			Difference: units.WithU(inch((d+e.height[i]+noise())/1000), 200*units.Microinch),
			TDC:        crank(0.1), Proof: e.proof, Approach: e.approach,
		}
		if e.zero {
			r.Zero = units.Some(units.WithU(inch((e.height[i]+noise())/1000), 200*units.Microinch))
		}
		obs = append(obs, camtiming.Observation{Cylinder: string(rune('1' + i)), Reading: r})
	}
	return obs
}

func suspects(t *testing.T) camtiming.Suspects {
	t.Helper()
	other := pair{flanks{camtiming.Poly345, 280 * units.Thou, 60, 60}, flanks{camtiming.Poly345, 300 * units.Thou, 68, 68}, 105, 1}
	return camtiming.Suspects{
		Teeth: 36, MostTeeth: 2,
		Keyways: []units.CrankAngle{crank(6), crank(-10.5)}, Bushings: []units.CrankAngle{crank(3)},
		TDCError: crank(1), Slack: crank(1.7), LifterHeights: 1500 * units.Microinch, CylinderSpread: crank(1.5),
		OtherCams: []camtiming.NamedCam{{Name: "spare cam", Cam: other.cam(t)}},
	}
}

// Every cause, made by the forward model, comes out first and explained.
func TestDiagnosisFindsEachCause(t *testing.T) {
	p := unequalPair
	p.ground = 4
	base := engine{p: p, zero: true, proof: rocked, approach: camtiming.ApproachNormal}
	with := func(f func(*engine)) engine { e := base; f(&e); return e }
	for _, c := range []struct {
		name   string
		e      engine
		want   camtiming.Cause
		detail string
	}{
		{"as ground", base, camtiming.AsGround, ""},
		{"one tooth advanced", with(func(e *engine) { e.off = 20 }), camtiming.ToothOff, "1 tooth advanced (20.00 crank deg)"},
		{"one tooth retarded", with(func(e *engine) { e.off = -20 }), camtiming.ToothOff, "1 tooth retarded (20.00 crank deg)"},
		{"two teeth advanced", with(func(e *engine) { e.off = 40 }), camtiming.ToothOff, "2 teeth advanced (40.00 crank deg)"},
		{"two teeth retarded", with(func(e *engine) { e.off = -40 }), camtiming.ToothOff, "2 teeth retarded (40.00 crank deg)"},
		{"keyway", with(func(e *engine) { e.off = 6 }), camtiming.WrongKeyway, "keyway of 6.0 crank deg"},
		{"other keyway", with(func(e *engine) { e.off = -10.5 }), camtiming.WrongKeyway, "keyway of -10.5 crank deg"},
		{"bushing advancing", with(func(e *engine) { e.off = 3 }), camtiming.DowelOffset, "3.0 crank deg advancing"},
		{"bushing retarding", with(func(e *engine) { e.off = -3 }), camtiming.DowelOffset, "3.0 crank deg retarding"},
		// Ground 4 advanced, installed 4 retarded; and straight up.
		{"advance reversed", with(func(e *engine) { e.off = -8 }), camtiming.AdvanceReversed, ""},
		{"advance left out", with(func(e *engine) { e.off = -4 }), camtiming.AdvanceLeftOut, ""},
		{"dead center mis-set late", with(func(e *engine) { e.tdc = 1.4 }), camtiming.TDCMisset, ""},
		{"dead center mis-set early", with(func(e *engine) { e.tdc = -1.3 }), camtiming.TDCMisset, ""},
		{"wrong turn", with(func(e *engine) { e.firing, e.proof = true, camtiming.Proof{} }), camtiming.WrongTurn, ""},
		// Coming backward the cam stands ahead by the slack.
		{"slack", with(func(e *engine) { e.off, e.approach = 1.7, camtiming.ApproachReverse }), camtiming.SlackOnWrongSide, "1.7 crank deg"},
		{"slack, direction not recorded", with(func(e *engine) { e.off, e.approach = 1.7, camtiming.ApproachUnknown }), camtiming.SlackOnWrongSide, "1.7 crank deg"},
		{"lifters of unequal height", with(func(e *engine) { e.zero, e.height = false, [6]float64{2, -1.8, 1.2, -0.9, -1.6, 2.2} }), camtiming.LifterMismatch, ""},
		{"other cam", with(func(e *engine) {
			e.p = pair{flanks{camtiming.Poly345, 280 * units.Thou, 60, 60}, flanks{camtiming.Poly345, 300 * units.Thou, 68, 68}, 105, 1}
		}), camtiming.OtherCam, "spare cam"},
		{"twist", with(func(e *engine) { e.each = [6]float64{-2.5, -1.5, -0.5, 0.5, 1.5, 2.5} }), camtiming.TwistOrGrinding, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(camtiming.DiagnosisInput{
				Cam: p.cam(t), Observations: c.e.read(rand.New(rand.NewPCG(61, 62))), Suspects: suspects(t),
			}))
			first := d.Candidates[0]
			if first.Cause != c.want || first.Detail != c.detail {
				for _, k := range d.Candidates[:4] {
					t.Logf("%v: chi2 %.3g, p %.3g, probability %.3g", k, k.ChiSquare, k.PValue, k.Probability)
				}
				t.Fatalf("first is %v, want %v %s", first, c.want, c.detail)
			}
			if !d.Explained || first.PValue < 0.05 {
				t.Errorf("not explained: chi2 %g of %d", first.ChiSquare, first.Freedom)
			}
			if !strings.HasPrefix(first.String(), c.want.String()) {
				t.Errorf("called %v", first)
			}
			checkRanking(t, d, 6)
			// What was read is what is predicted and what is left.
			for i, o := range c.e.read(rand.New(rand.NewPCG(61, 62))) {
				net := o.Reading.Difference.Value - o.Reading.Zero.Value.Value
				if r := first.Predicted[i] + first.Residual[i] - net; r.Abs() > 1 {
					t.Errorf("reading %d does not add up by %v", i, r)
				}
			}
			if w := first.Working(); len(w) != 8 {
				t.Errorf("working of %d steps", len(w))
			}
		})
	}
}

func checkRanking(t *testing.T, d camtiming.Diagnosis, n int) {
	t.Helper()
	sum, prior, out := 0.0, 0.0, false
	best := 0.0
	for i, c := range d.Candidates {
		sum += c.Probability
		prior += c.Prior
		best = max(best, c.Likelihood)
		if c.RuledOut != "" {
			out = true
			if c.Probability != 0 || c.Prior != 0 || c.Likelihood != 0 {
				t.Errorf("%v is ruled out and has probability %g", c, c.Probability)
			}
		} else if out {
			t.Errorf("%v stands after one that is ruled out", c)
		}
		if math.IsNaN(c.Probability) || math.IsNaN(c.PValue) || math.IsNaN(c.ChiSquare) || c.ChiSquare < 0 {
			t.Errorf("%v: probability %g, p %g, chi2 %g", c, c.Probability, c.PValue, c.ChiSquare)
		}
		if i > 0 && c.RuledOut == "" {
			b := d.Candidates[i-1]
			if c.Prior*c.Likelihood > b.Prior*b.Likelihood*(1+1e-9) {
				t.Errorf("%v is more probable than the one before", c)
			}
			if a, f := c.Prior*c.Likelihood, d.Candidates[0]; d.Explained && math.Abs(a*f.Probability-c.Probability*f.Prior*f.Likelihood) > 1e-9 {
				t.Errorf("%v: probability %g is not prior times likelihood over the sum", c, c.Probability)
			}
			if alike := c.Probability >= 0.01*d.Candidates[0].Probability; d.Explained && alike != (i < d.Alike) {
				t.Errorf("%v: probability %g, alike %d", c, c.Probability, d.Alike)
			}
		}
		if c.Freedom != n || len(c.Predicted) != n || len(c.Residual) != n {
			t.Errorf("%v has %d readings", c, c.Freedom)
		}
	}
	want := 1.0
	if !d.Explained {
		want = 0
	}
	near(t, "probabilities", sum, want, 1e-9)
	near(t, "priors", prior, 1, 1e-9)
	near(t, "highest likelihood", best, 1, 0)
	if d.Alike < 1 || d.Alike > len(d.Candidates) {
		t.Errorf("alike %d", d.Alike)
	}
}

// An index error and an equal error of dead center cannot be told apart,
// however many cylinders are read, and both measurements are named.
func TestIndexAndTDCCannotBeToldApart(t *testing.T) {
	p := unequalPair
	for _, n := range []int{1, 2, 6} {
		e := engine{p: p, off: 2, zero: true, proof: rocked, approach: camtiming.ApproachNormal, n: n}
		d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(camtiming.DiagnosisInput{
			Cam: p.cam(t), Observations: e.read(rand.New(rand.NewPCG(63, 64))),
			Suspects: camtiming.Suspects{Bushings: []units.CrankAngle{crank(2)}, Keyways: []units.CrankAngle{crank(1), crank(8)}, TDCError: crank(1.5)},
		}))
		if d.Alike < 2 {
			t.Fatalf("%d cylinders: alike %d", n, d.Alike)
		}
		var causes []camtiming.Cause
		for _, c := range d.Candidates[:d.Alike] {
			causes = append(causes, c.Cause)
		}
		if !slices.Contains(causes, camtiming.DowelOffset) || !slices.Contains(causes, camtiming.TDCMisset) {
			t.Errorf("%d cylinders: alike are %v", n, causes)
		}
		checkRanking(t, d, n)
	}
}

// Equal symmetric lobes read level both at firing TDC and straight up.
func TestWrongTurnLooksLikeStraightUp(t *testing.T) {
	e := engine{p: equalPair, firing: true, zero: true}
	in := camtiming.DiagnosisInput{Cam: equalPair.cam(t), Observations: e.read(rand.New(rand.NewPCG(65, 66)))}
	d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
	var causes []camtiming.Cause
	for _, c := range d.Candidates[:d.Alike] {
		causes = append(causes, c.Cause)
	}
	if !slices.Contains(causes, camtiming.WrongTurn) || !slices.Contains(causes, camtiming.AdvanceLeftOut) {
		t.Errorf("alike are %v", causes)
	}
	// One reading with proof, of the cam as ground, and five at firing TDC.
	p := equalPair
	in.Observations[0] = engine{p: p, zero: true, proof: rocked}.read(rand.New(rand.NewPCG(67, 68)))[0]
	d = must[camtiming.Diagnosis](t)(camtiming.Diagnose(in))
	if c := d.Candidates[0]; c.Cause != camtiming.WrongTurn || d.Alike != 1 || !d.Explained {
		t.Errorf("first is %v of %d alike", c, d.Alike)
	}
}

// Slack moves only the readings that were not approached in normal rotation.
func TestSlackOfSomeReadings(t *testing.T) {
	p := unequalPair
	right := engine{p: p, zero: true, proof: rocked, approach: camtiming.ApproachNormal}
	wrong := right
	wrong.off, wrong.approach = 2.5, camtiming.ApproachReverse
	rng := rand.New(rand.NewPCG(69, 70))
	obs := append(right.read(rng)[:3], wrong.read(rng)[3:]...)
	d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(camtiming.DiagnosisInput{
		Cam: p.cam(t), Observations: obs, Suspects: camtiming.Suspects{Slack: crank(2.5), CylinderSpread: crank(1.5)},
	}))
	if d.Candidates[0].Cause != camtiming.SlackOnWrongSide || !d.Explained {
		t.Errorf("first is %v", d.Candidates[0])
	}
}

// What the record excludes is ruled out, whatever the readings.
func TestRuledOut(t *testing.T) {
	p := unequalPair
	why := func(e engine, n int) map[camtiming.Cause]string {
		d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(camtiming.DiagnosisInput{
			Cam: p.cam(t), Observations: e.read(rand.New(rand.NewPCG(71, 72)))[:n],
			Suspects: camtiming.Suspects{Slack: crank(2), LifterHeights: units.Thou, CylinderSpread: crank(1), Teeth: 3, MostTeeth: 1},
		}))
		m := map[camtiming.Cause]string{}
		for _, c := range d.Candidates {
			if c.RuledOut != "" {
				m[c.Cause] = c.RuledOut
			}
		}
		checkRanking(t, d, n)
		return m
	}
	careful := why(engine{p: p, zero: true, proof: rocked, approach: camtiming.ApproachNormal}, 1)
	for _, c := range []camtiming.Cause{camtiming.SlackOnWrongSide, camtiming.LifterMismatch, camtiming.TwistOrGrinding, camtiming.WrongTurn, camtiming.ToothOff} {
		if careful[c] == "" { // a tooth of three is 240 degrees, past the separation
			t.Errorf("%v is not ruled out", c)
		}
	}
	// Without a zero there is nothing to exchange.
	if careless := why(engine{p: p}, 6); len(careless) != 2 || careless[camtiming.ToothOff] == "" || careless[camtiming.DeadCentersExchanged] == "" {
		t.Errorf("ruled out without a record: %v", careless)
	}
}

// Nothing fits: the readings of six cylinders are all over the place and no
// suspect allows for it.
func TestNotExplained(t *testing.T) {
	p := unequalPair
	e := engine{p: p, each: [6]float64{12, -9, 5, 14, -3, 8}, zero: true, proof: rocked, approach: camtiming.ApproachNormal}
	d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(camtiming.DiagnosisInput{
		Cam: p.cam(t), Observations: e.read(rand.New(rand.NewPCG(73, 74))), Suspects: camtiming.Suspects{Teeth: 36, MostTeeth: 2, TDCError: crank(1), Slack: crank(2)},
	}))
	if d.Explained || d.Alike != 1 {
		t.Errorf("explained %v by %v", d.Explained, d.Candidates[0])
	}
	checkRanking(t, d, 6)
}

// Chi-square of one and of two readings by hand, with a common dead center:
// C = [a+c c; c b+c], chi2 = (r1^2 (b+c) - 2 r1 r2 c + r2^2 (a+c))/det.
func TestChiSquare(t *testing.T) {
	p := unequalPair
	k := p.cam(t)
	slope, want := p.slope(p.ground), p.diff(p.ground)
	r1, r2 := 0.9*25.4e-6, -0.4*25.4e-6
	u1, u2 := 0.5*25.4e-6, 0.3*25.4e-6
	const tdc = 0.7
	read := func(r, u float64) camtiming.Observation {
		return camtiming.Observation{Reading: camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(pm(want+r), pm(u)), TDC: crank(tdc), Proof: rocked}}
	}
	ground := func(obs ...camtiming.Observation) camtiming.Candidate {
		d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(camtiming.DiagnosisInput{Cam: k, Observations: obs}))
		for _, c := range d.Candidates {
			if c.Cause == camtiming.AsGround {
				return c
			}
		}
		t.Fatal("no such candidate")
		return camtiming.Candidate{}
	}
	a, b, c := u1*u1, u2*u2, slope*slope*tdc*tdc
	one := ground(read(r1, u1))
	near(t, "chi2 of one", one.ChiSquare, r1*r1/(a+c), 1e-6)
	// One degree of freedom: p = erfc(sqrt(chi2/2)).
	near(t, "p of one", one.PValue, math.Erfc(math.Sqrt(one.ChiSquare/2)), 1e-12)
	two := ground(read(r1, u1), read(r2, u2))
	near(t, "chi2 of two", two.ChiSquare, (r1*r1*(b+c)-2*r1*r2*c+r2*r2*(a+c))/(a*b+a*c+b*c), 1e-5)
	// Two degrees of freedom: p = exp(-chi2/2).
	near(t, "p of two", two.PValue, math.Exp(-two.ChiSquare/2), 1e-12)
}

// Many fine readings with a poor dead center keep their digits.
func TestManyFineReadings(t *testing.T) {
	p := unequalPair
	var obs []camtiming.Observation
	for range 32 {
		obs = append(obs, camtiming.Observation{Reading: camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(pm(p.diff(p.ground)), units.Nanometer), TDC: crank(90), Proof: rocked}})
	}
	d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(camtiming.DiagnosisInput{Cam: p.cam(t), Observations: obs, Suspects: camtiming.Suspects{TDCError: crank(5), Teeth: 36, MostTeeth: 1}}))
	checkRanking(t, d, 32)
	if !d.Explained {
		t.Errorf("%v, chi2 %g", d.Candidates[0], d.Candidates[0].ChiSquare)
	}
}

func TestCauseNames(t *testing.T) {
	seen := map[string]bool{}
	for c := camtiming.AsGround; c <= camtiming.Twisted; c++ {
		if c.String() == "unknown cause" || c.NextMeasurement() == "" || seen[c.String()] {
			t.Errorf("cause %d: %q, next %q", c, c, c.NextMeasurement())
		}
		seen[c.String()] = true
	}
	if camtiming.Cause(0).String() != "unknown cause" || camtiming.Cause(99).NextMeasurement() != "" {
		t.Error("an unknown cause has a name or a measurement")
	}
}

// Inside a dead interval every advance reads level: a bushing, a reversed or
// missing advance and the card itself are all alike.
func TestDiagnosisInTheDeadInterval(t *testing.T) {
	p := deadPair
	p.ground = 4
	e := engine{p: p, zero: true, proof: rocked, approach: camtiming.ApproachNormal}
	d := must[camtiming.Diagnosis](t)(camtiming.Diagnose(camtiming.DiagnosisInput{
		Cam: p.cam(t), Observations: e.read(rand.New(rand.NewPCG(75, 76))), Suspects: camtiming.Suspects{Bushings: []units.CrankAngle{crank(6)}, Teeth: 36, MostTeeth: 2},
	}))
	var causes []string
	for _, c := range d.Candidates[:d.Alike] {
		causes = append(causes, c.String())
	}
	// As ground 4, bushings 10 and -2, reversed -4, left out 0, a tooth retarded
	// -16 lie in it. Two teeth advanced are 44: 0.041 in by the closed form.
	for _, want := range []string{
		"installed as ground", "dowel or bushing offset: 6.0 crank deg advancing", "dowel or bushing offset: 6.0 crank deg retarding",
		"advance acts as retard", "straight up, card's advance missing", "cam sprocket off by teeth: 1 tooth retarded (20.00 crank deg)",
	} {
		if !slices.Contains(causes, want) {
			t.Errorf("%s is not among %v", want, causes)
		}
	}
	if slices.Contains(causes, "cam sprocket off by teeth: 2 teeth advanced (40.00 crank deg)") {
		t.Errorf("two teeth are among %v", causes)
	}
	checkRanking(t, d, 6)
}
