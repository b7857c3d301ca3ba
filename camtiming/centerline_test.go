package camtiming_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// leaning has flanks of 64 and 70 cam degrees, written apart from the library.
var leaning = flanks{camtiming.Poly345, 320 * units.Thou, 64, 70}

// passes finds by bisection where the flanks pass a lift, in crank degrees
// from the nose.
func (f flanks) passes(lift float64) (opens, closes float64) {
	find := func(end float64) float64 {
		inner, outer := 0.0, end
		for range 100 {
			mid := (inner + outer) / 2
			if f.at(mid) > lift {
				inner = mid
			} else {
				outer = mid
			}
		}
		return 2 * inner
	}
	return find(-f.opening), find(f.closing)
}

// equalLiftsOf reads a lobe whose nose stands nose degrees after overlap TDC at
// several lifts, given in inches.
func equalLiftsOf(f flanks, nose float64, u units.Measured[units.CrankAngle], lifts ...float64) []camtiming.EqualLiftReading {
	var r []camtiming.EqualLiftReading
	for _, l := range lifts {
		o, c := f.passes(l * 0.0254)
		b, a := u, u
		b.Value, a.Value = crank(nose+o), crank(nose+c)
		r = append(r, camtiming.EqualLiftReading{Lift: units.Some(inch(l)), Before: b, After: a})
	}
	return r
}

var wheel = units.WithU(units.CrankAngle(0), units.CrankDegree/4)

func TestEqualLiftFindsNose(t *testing.T) {
	for _, v := range []camtiming.Valve{camtiming.IntakeValve, camtiming.ExhaustValve} {
		nose, want := 107.0, 107.0
		if v == camtiming.ExhaustValve {
			nose = -107
		}
		in := camtiming.EqualLiftInput{Valve: v, Readings: equalLiftsOf(leaning, nose, wheel, 0.05, 0.1, 0.2, 0.28), Lobe: leaning.lobe(t), Dial: units.Thou / 2}
		r := must[camtiming.EqualLiftResult](t)(camtiming.EqualLift(in))
		near(t, "nose", r.Nose.Value.Angle.Value.Degrees(), want, 1e-7)
		near(t, "skew", r.Skew, 6.0/134, 1e-9)
		// The midpoint at the widest less that at the narrowest reading.
		wide, narrow := r.Midpoints[0].Centerline.Angle.Value, r.Midpoints[3].Centerline.Angle.Value
		near(t, "drift", r.Drift.Value.Degrees(), (wide - narrow).Degrees(), 1e-8)
		if !r.Asymmetric || r.Mean.Given {
			t.Errorf("%v: asymmetric %v, mean given %v", v, r.Asymmetric, r.Mean.Given)
		}
		// Every midpoint, brought to the nose with the lobe, gives the nose.
		for _, m := range r.Midpoints {
			c := must[camtiming.Centerline](t)(m.Centerline.AtNose(in.Lobe))
			near(t, "midpoint at the nose", c.Angle.Value.Degrees(), want, 2e-9)
			if c.Basis != camtiming.BasisNose || m.Centerline.Basis != camtiming.BasisMidpoint {
				t.Errorf("bases %v and %v", m.Centerline.Basis, c.Basis)
			}
			near(t, "residual", m.Residual.Degrees(), 0, 1e-8)
		}
	}
}

// A symmetric lobe shows no drift whatever the lift; unstated readings prove
// nothing of an asymmetric one.
func TestEqualLiftDrift(t *testing.T) {
	even := flanks{camtiming.Cycloidal, 320 * units.Thou, 66, 66}
	r := must[camtiming.EqualLiftResult](t)(camtiming.EqualLift(camtiming.EqualLiftInput{
		Valve: camtiming.IntakeValve, Readings: equalLiftsOf(even, 105, wheel, 0.05, 0.1, 0.2),
	}))
	if r.Asymmetric || !r.Mean.Given || !r.Common.Agrees {
		t.Errorf("symmetric lobe: %+v", r)
	}
	near(t, "mean", r.Mean.Value.Angle.Value.Degrees(), 105, 1e-8)
	near(t, "drift", r.Drift.Value.Degrees(), 0, 1e-8)
	r = must[camtiming.EqualLiftResult](t)(camtiming.EqualLift(camtiming.EqualLiftInput{
		Valve: camtiming.IntakeValve, Readings: equalLiftsOf(leaning, 105, units.Unstated(units.CrankAngle(0)), 0.05, 0.1, 0.2),
	}))
	if r.Asymmetric || r.Common.Tested || r.Line.Tested || r.Nose.Value.Angle.Stated || r.Drift.Stated || !r.Mean.Given {
		t.Errorf("unstated readings claimed something: %+v", r)
	}
	near(t, "nose of unstated readings", r.Nose.Value.Angle.Value.Degrees(), 105, 1e-7)
}

// What both sides share leaves the middle; turning the wheel moves it.
func TestEqualLiftInvariances(t *testing.T) {
	base := camtiming.EqualLiftInput{Valve: camtiming.IntakeValve, Readings: []camtiming.EqualLiftReading{
		{Drop: units.Some(inch(0.05)), Before: units.WithU(crank(56.5), crank(0.2)), After: units.WithU(crank(155.25), crank(0.2))},
		{Drop: units.Some(inch(0.1)), Before: units.WithU(crank(41.25), crank(0.2)), After: units.WithU(crank(171), crank(0.2))},
	}}
	want := must[camtiming.EqualLiftResult](t)(camtiming.EqualLift(base))
	x := base
	x.AtValve = units.Some(camtiming.ValveGear{Ratio: 1.6, Lash: 12 * units.Thou})
	got := must[camtiming.EqualLiftResult](t)(camtiming.EqualLift(x))
	if got.Mean.Value.Angle != want.Mean.Value.Angle || got.Nose.Value.Angle != want.Nose.Value.Angle {
		t.Error("ratio and lash moved the middle")
	}
	near(t, "drop at the lifter", got.Midpoints[0].Centerline.Drop.Value.Inches(), 0.05/1.6, 1e-10)
	x = base
	x.Readings = nil
	mirror := base
	mirror.Valve, mirror.Readings = camtiming.ExhaustValve, nil
	for _, r := range base.Readings {
		m := r
		m.Before.Value, m.After.Value = -r.After.Value, -r.Before.Value
		mirror.Readings = append(mirror.Readings, m)
		r.Before.Value += crank(3)
		r.After.Value += crank(3)
		x.Readings = append(x.Readings, r)
	}
	got = must[camtiming.EqualLiftResult](t)(camtiming.EqualLift(x))
	near(t, "turned wheel", (got.Nose.Value.Angle.Value - want.Nose.Value.Angle.Value).Degrees(), 3, 1e-9)
	near(t, "turned wheel, drift", (got.Drift.Value - want.Drift.Value).Degrees(), 0, 1e-9)
	got = must[camtiming.EqualLiftResult](t)(camtiming.EqualLift(mirror))
	near(t, "mirrored", (got.Nose.Value.Angle.Value - want.Nose.Value.Angle.Value).Degrees(), 0, 2e-9)
	near(t, "mirrored skew", got.Skew+want.Skew, 0, 1e-12)
}

// The uncertainty of the nose against a simulation of the readings.
func TestEqualLiftSimulated(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 7))
	const trials, uw = 4000, 0.3
	dial := 0.0004 // in
	clean := equalLiftsOf(leaning, 106, units.WithU(units.CrankAngle(0), crank(uw)), 0.08, 0.16, 0.24)
	in := camtiming.EqualLiftInput{Valve: camtiming.IntakeValve, Lobe: leaning.lobe(t), Dial: inch(dial)}
	var sum, sum2, u float64
	for range trials {
		in.Readings = nil
		for _, r := range clean {
			l := r.Lift.Value.Inches()
			o, _ := leaning.passes((l + dial*rng.NormFloat64()) * 0.0254)
			_, c := leaning.passes((l + dial*rng.NormFloat64()) * 0.0254)
			r.Before.Value, r.After.Value = crank(106+o+uw*rng.NormFloat64()), crank(106+c+uw*rng.NormFloat64())
			in.Readings = append(in.Readings, r)
		}
		res := must[camtiming.EqualLiftResult](t)(camtiming.EqualLift(in))
		d := res.Nose.Value.Angle.Value.Degrees() - 106
		sum, sum2 = sum+d, sum2+d*d
		u = max(u, 0)
		if res.Line.Agrees {
			u = res.Nose.Value.UReading.Degrees()
		}
	}
	s := math.Sqrt(sum2 / trials)
	near(t, "simulated over stated uncertainty", s/u, 1, 0.05)
	near(t, "bias", sum/trials, 0, 4*u/math.Sqrt(trials))
}

func TestAtNoseAgreesWithTimingAt(t *testing.T) {
	p := unequalPair
	k := p.cam(t)
	for _, lift := range []float64{0.02, 0.05, 0.15, 0.25} {
		timing := must[camtiming.Timing](t)(k.TimingAt(inch(lift), crank(2.5)))
		e := must[camtiming.Events](t)(timing.Events())
		for _, c := range []camtiming.CheckedEvents{
			{Valve: camtiming.IntakeValve, Opens: units.Unstated(e.IVO), Closes: units.Unstated(e.IVC), Lift: inch(lift)},
			{Valve: camtiming.ExhaustValve, Opens: units.Unstated(e.EVO), Closes: units.Unstated(e.EVC), Lift: inch(lift)},
		} {
			lobe := k.Spec().Intake
			if c.Valve == camtiming.ExhaustValve {
				lobe = k.Spec().Exhaust
			}
			m := must[camtiming.Centerline](t)(c.Centerline())
			nose := must[camtiming.Centerline](t)(m.AtNose(lobe))
			a := must[units.Measured[units.CrankAngle]](t)(k.AdvanceFrom(nose))
			near(t, "advance by the "+c.Valve.String(), a.Value.Degrees(), 2.5, 3e-9)
		}
	}
	// A lobe known by a card brings what its flanks may differ.
	card := must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(camtiming.CardLobeSpec{
		MaxLift: inch(0.3), Asymmetry: cam(0.4),
		Durations: []camtiming.DurationAt{{Lift: inch(0.006), Duration: crank(270)}, {Lift: inch(0.05), Duration: crank(224)}},
	}))
	c := camtiming.CheckedEvents{Valve: camtiming.IntakeValve, Opens: units.WithU(crank(5), crank(0.6)), Closes: units.WithU(crank(39), crank(0.6)), Lift: inch(0.05)}
	m := must[camtiming.Centerline](t)(c.Centerline())
	nose := must[camtiming.Centerline](t)(m.AtNose(card))
	near(t, "u with asymmetry", nose.Angle.U.Degrees(), math.Hypot(0.6/math.Sqrt2, 0.8), 2e-9)
	// What was left open before stays so.
	m.UShape = crank(0.6)
	near(t, "u of both shapes", must[camtiming.Centerline](t)(m.AtNose(card)).UShape.Degrees(), 1, 2e-9)
	if again := must[camtiming.Centerline](t)(nose.AtNose(nil)); again.Angle != nose.Angle {
		t.Error("a nose was moved")
	}
}

func TestCombineProperties(t *testing.T) {
	c := func(deg, u, tdc float64) camtiming.Centerline {
		return camtiming.Centerline{
			Valve: camtiming.IntakeValve, Basis: camtiming.BasisNose, Angle: units.WithU(crank(deg), crank(math.Hypot(u, tdc))),
			UReading: crank(u), UTDC: crank(tdc), Approach: camtiming.ApproachNormal,
		}
	}
	// Plain search for the least sum of squares.
	list := []camtiming.Centerline{c(105.2, 0.4, 0.5), c(106.1, 0.3, 0.5), c(105.5, 0.7, 0.5)}
	r := must[camtiming.CombinedCenterline](t)(camtiming.CombineCenterlines(list))
	chi2 := func(x float64) (s float64) {
		for _, e := range list {
			s += math.Pow((e.Angle.Value.Degrees()-x)/e.UReading.Degrees(), 2)
		}
		return s
	}
	m := r.Centerline.Angle.Value.Degrees()
	near(t, "chi-square", r.Agreement.ChiSquare, chi2(m), 1e-12)
	if chi2(m+1e-3) <= chi2(m) || chi2(m-1e-3) <= chi2(m) {
		t.Error("not the least sum of squares")
	}
	// The curvature of the sum there is 2/u^2.
	near(t, "internal", r.Internal.Degrees(), math.Sqrt(2/((chi2(m+0.1)+chi2(m-0.1)-2*chi2(m))/0.01)), 1e-8)
	if r.Centerline.Approach != camtiming.ApproachNormal || r.Centerline.Method != camtiming.ByCombination {
		t.Errorf("%+v", r.Centerline)
	}
	list[0], list[2] = list[2], list[0]
	list[1].Approach = camtiming.ApproachReverse
	back := must[camtiming.CombinedCenterline](t)(camtiming.CombineCenterlines(list))
	near(t, "order", back.Centerline.Angle.Value.Degrees(), m, 1e-9)
	if back.Centerline.Approach != camtiming.ApproachUnknown {
		t.Error("directions were mixed silently")
	}
	// Top dead center does not average out.
	var many []camtiming.Centerline
	for range 100 {
		many = append(many, c(106, 0.3, 0.5))
	}
	r = must[camtiming.CombinedCenterline](t)(camtiming.CombineCenterlines(many))
	near(t, "u of a hundred", r.Centerline.Angle.U.Degrees(), math.Hypot(0.03, 0.5), 2e-9)
	// An estimate that makes the mean alone has no residual of its own.
	r = must[camtiming.CombinedCenterline](t)(camtiming.CombineCenterlines([]camtiming.Centerline{c(106, 1e-9, 0), c(107, 90, 0)}))
	for _, e := range r.Estimates {
		if math.IsNaN(e.Normalized) || math.IsInf(e.Normalized, 0) {
			t.Errorf("normalized %v", e.Normalized)
		}
	}
}

// What a card leaves open is one error for all that was found by that card: four
// midpoints brought to the nose do not average it out, nor do six cylinders, and
// the truth lies about the result as far as its uncertainty says.
func TestShapeDoesNotAverageOut(t *testing.T) {
	const asymmetry, uw, trials = 0.4, 0.3, 2000
	card := must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(camtiming.CardLobeSpec{
		MaxLift: inch(0.3), Asymmetry: cam(asymmetry),
		Durations: []camtiming.DurationAt{{Lift: inch(0.006), Duration: crank(270)}, {Lift: inch(0.05), Duration: crank(224)}},
	}))
	k := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: card, Exhaust: card, Separation: cam(110)}))
	rng := rand.New(rand.NewPCG(55, 56))
	var combined, index, chi2 float64
	for range trials {
		lean := 2 * asymmetry * rng.NormFloat64() // crank degrees, of every lobe
		at := func(lift float64) camtiming.Centerline {
			m := camtiming.Centerline{
				Valve: camtiming.IntakeValve, Basis: camtiming.BasisMidpoint, Lift: units.Some(inch(lift)),
				Angle: units.WithU(crank(106+lean+uw*rng.NormFloat64()), crank(uw)), UReading: crank(uw),
			}
			return must[camtiming.Centerline](t)(m.AtNose(card))
		}
		var four []camtiming.Centerline
		for _, lift := range []float64{0.03, 0.05, 0.1, 0.2} {
			four = append(four, at(lift))
		}
		c := must[camtiming.CombinedCenterline](t)(camtiming.CombineCenterlines(four))
		near(t, "u of the shape", c.Centerline.UShape.Degrees(), 2*asymmetry, 2e-9)
		if c.Agreement.Agrees {
			near(t, "u of four", c.Centerline.Angle.U.Degrees(), math.Hypot(uw/2, 2*asymmetry), 2e-9)
		}
		combined += squareOf((c.Centerline.Angle.Value.Degrees() - 106) / c.Centerline.Angle.U.Degrees())
		in := camtiming.SurveyInput{Common: crank(2 * asymmetry)}
		for i := range 6 {
			in.Stations = append(in.Stations, must[camtiming.Station](t)(k.LobeStation(at(0.05), strconv.Itoa(i+1), pm(0.1*float64(i)))))
		}
		s := must[camtiming.SurveyResult](t)(camtiming.Survey(in))
		index += squareOf((s.IndexAtMiddle.Value.Degrees() - 4) / s.IndexAtMiddle.U.Degrees())
		chi2 += s.ChiSquare
	}
	// Of a mean square of n normal errors the standard deviation is sqrt(2/n).
	se := 4 * math.Sqrt(2.0/trials)
	near(t, "four midpoints over their uncertainty", combined/trials, 1, se)
	near(t, "index of six over its uncertainty", index/trials, 1, se)
	near(t, "chi-square of six", chi2/trials, 4, 4*math.Sqrt(8.0/trials))
}

func TestNoseCurveProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 5))
	const trials = 3000
	curve := func(x float64) float64 { return 9.1 - 0.0004*x*x + 1e-6*x*x*x }
	for _, known := range []bool{true, false} {
		var sum, sum2, us float64
		for range trials {
			in := camtiming.NoseCurveInput{Valve: camtiming.ExhaustValve, Degree: 3}
			if known {
				in.Dial = units.Some(8 * units.Micrometer)
			}
			for x := -30.0; x <= 30; x += 5 {
				in.Readings = append(in.Readings, camtiming.DialPoint{At: crank(-111 + x), Dial: units.Length((curve(x) + 0.008*rng.NormFloat64()) * 1e9)})
			}
			p := must[camtiming.NosePeak](t)(camtiming.NoseCurve(in))
			d := p.Centerline.Angle.Value.Degrees() - 111
			sum, sum2, us = sum+d, sum2+d*d, us+math.Pow(p.Centerline.UReading.Degrees(), 2)
		}
		near(t, "simulated over stated uncertainty", math.Sqrt(sum2/us), 1, 0.05)
		near(t, "bias", sum/trials, 0, 5*math.Sqrt(us/trials/trials))
	}
	// Zero, scale and order of the readings do not matter.
	in := camtiming.NoseCurveInput{Valve: camtiming.IntakeValve, Degree: 4}
	for x := -32.0; x <= 30; x += 3 {
		in.Readings = append(in.Readings, camtiming.DialPoint{At: crank(104 + x), Dial: units.Length(math.Round(leaning.at(x/2)*1e5)) * 10 * units.Micrometer})
	}
	a := must[camtiming.NosePeak](t)(camtiming.NoseCurve(in))
	b := in
	b.Readings = nil
	for i := range in.Readings {
		r := in.Readings[len(in.Readings)-1-i]
		r.Dial = 3*r.Dial - 20*units.Millimeter
		b.Readings = append(b.Readings, r)
	}
	got := must[camtiming.NosePeak](t)(camtiming.NoseCurve(b))
	near(t, "peak", got.Centerline.Angle.Value.Degrees(), a.Centerline.Angle.Value.Degrees(), 2e-9)
	near(t, "u", got.Centerline.Angle.U.Degrees(), a.Centerline.Angle.U.Degrees(), 2e-9)
	near(t, "peak reading", got.Peak.Millimeters(), 3*a.Peak.Millimeters()-20, 1e-8)
	// A parabola through a leaning nose is shown not to fit.
	in.Degree, in.Dial = 2, units.Some(5*units.Micrometer)
	if p := must[camtiming.NosePeak](t)(camtiming.NoseCurve(in)); !p.Agreement.Tested || p.Agreement.Agrees {
		t.Errorf("a parabola fits: %+v", p.Agreement)
	}
}

func TestSingleValveAgainstPair(t *testing.T) {
	p := unequalPair
	k := p.cam(t)
	for adv := -12.0; adv <= 12; adv += 1.5 {
		h := k.At(crank(adv))
		i := camtiming.SingleValve{Valve: camtiming.IntakeValve, Lobe: k.Spec().Intake}
		e := camtiming.SingleValve{Valve: camtiming.ExhaustValve, Lobe: k.Spec().Exhaust}
		li := must[camtiming.LiftAtTDC](t)(i.At(crank(p.sep - adv)))
		le := must[camtiming.LiftAtTDC](t)(e.At(crank(p.sep + adv)))
		if li.Dial != h.Intake || le.Dial != h.Exhaust || li.Lifter != h.Intake {
			t.Errorf("advance %v: %v, %v, want %v, %v", adv, li.Dial, le.Dial, h.Intake, h.Exhaust)
		}
		near(t, "slopes", (li.PerCrankDegree - le.PerCrankDegree).Inches(), h.PerCrankDegree.Inches(), 1e-10)
		// And back, at the valve.
		i.AtValve = units.Some(camtiming.ValveGear{Ratio: 1.55, Lash: 5 * units.Thou})
		if l := must[camtiming.LiftAtTDC](t)(i.At(crank(p.sep - adv))); l.Dial > 0 {
			c := must[camtiming.Centerline](t)(i.Centerline(camtiming.LiftAtTDCReading{Lift: units.Unstated(l.Dial)}))
			near(t, "centerline back", c.Angle.Value.Degrees(), p.sep-adv, 2e-6)
		} else if l.PerCrankDegree != 0 {
			t.Error("a closed valve moves")
		}
	}
	v := camtiming.SingleValve{Valve: camtiming.IntakeValve, Lobe: workboatCam(t).Spec().Intake, AtValve: units.Some(camtiming.ValveGear{Ratio: 1.5})}
	l := must[camtiming.LiftAtTDC](t)(v.At(crank(106)))
	exact := must[camtiming.Centerline](t)(v.Centerline(camtiming.LiftAtTDCReading{Lift: units.WithU(l.Dial, 0)}))
	law := camtiming.SingleValve{Valve: camtiming.IntakeValve, Lobe: p.intake.lobe(t)}
	sure := must[camtiming.Centerline](t)(law.Centerline(camtiming.LiftAtTDCReading{Lift: units.WithU(inch(0.01), 0)}))
	if exact.UShape <= 0 || exact.UReading != 0 || sure.UShape != 0 || !sure.Angle.Stated {
		t.Errorf("u of a card's lobe %v, of a known one %v", exact.UShape, sure.UShape)
	}
	if n := testing.AllocsPerRun(100, func() { _, _ = v.At(crank(106)) }); n != 0 {
		t.Errorf("At allocates %v times", n)
	}
}

func TestCenterlineText(t *testing.T) {
	e := camtiming.CheckedEvents{Valve: camtiming.ExhaustValve, Opens: units.WithU(crank(48), crank(0.6)), Closes: units.WithU(crank(23), crank(0.8)), Lift: inch(0.05), TDC: crank(1.2)}
	c := must[camtiming.Centerline](t)(e.Centerline())
	if got, want := c.String(), "exhaust 102.50 crank deg (u = 1.30 crank deg), midpoint of equal lifts at 0.0500 in"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	nose := must[camtiming.Centerline](t)(c.AtNose(leaning.lobe(t)))
	var all []string
	for _, s := range nose.Working() {
		all = append(all, s.Symbol)
		if s.Formula == "" || s.Value == "" || !s.Source.Given() {
			t.Errorf("step %+v", s)
		}
	}
	if got := strings.Join(all, " "); got != "c lift u M nose u" {
		t.Errorf("steps %s", got)
	}
	for k, want := range map[camtiming.CenterlineMethod]string{
		camtiming.ByEqualLift: "equal lifts", camtiming.ByEvents: "events", camtiming.ByNoseCurve: "peak of a fitted curve",
		camtiming.ByLiftAtTDC: "lift at TDC", camtiming.ByCombination: "weighted mean", 0: "unknown method",
	} {
		if k.String() != want {
			t.Errorf("%d: %q", k, k.String())
		}
	}
	for k, want := range map[camtiming.Basis]string{
		camtiming.BasisNose: "nose", camtiming.BasisMidpoint: "midpoint of equal lifts", camtiming.BasisMidpoints: "mean of midpoints at several lifts",
	} {
		if k.String() != want {
			t.Errorf("%d: %q", k, k.String())
		}
	}
	if camtiming.Valve(0).String() != "unknown valve" || camtiming.IntakeValve.String() != "intake" {
		t.Error("names of valves")
	}
}
