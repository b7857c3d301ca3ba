package camtiming_test

import (
	"fmt"
	"strconv"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// The examples follow one engine: the straight-six of a restored wooden
// workboat. Its numbers are invented.

// exampleCard is its cam card: 270/280 degrees at 0.006 in, lobe separation
// 110, ground four degrees advanced.
func exampleCard() camtiming.Card {
	lobe := func(lift, seat, at50 string) camtiming.LobeFigures {
		return camtiming.LobeFigures{
			LobeLift: units.Some(units.MustParseLength(lift)),
			Durations: []camtiming.DurationAt{
				{Lift: units.MustParseLength("0.006 in"), Duration: units.MustParseCrankAngle(seat)},
				{Lift: units.MustParseLength("0.050 in"), Duration: units.MustParseCrankAngle(at50)},
			},
		}
	}
	return camtiming.Card{
		Name:          "workboat six",
		Intake:        lobe("0.300 in", "270 deg", "224 deg"),
		Exhaust:       lobe("0.310 in", "280 deg", "232 deg"),
		Separation:    units.Some(110 * units.CamDegree),
		GroundAdvance: units.Some(4 * units.CrankDegree),
	}
}

func exampleCam() *camtiming.Cam {
	card, err := exampleCard().Resolve()
	if err != nil {
		panic(err)
	}
	cam, err := card.Cam()
	if err != nil {
		panic(err)
	}
	return cam
}

// exampleReading is a height difference read to half a thousandth, dead center
// good to half a degree, the crank rocked to see a lifter move.
func exampleReading(difference string) camtiming.SplitReading {
	return camtiming.SplitReading{
		Zero:       units.Some(units.WithU(units.Length(0), units.Length(0))),
		Difference: units.WithU(units.MustParseLength(difference), units.Thou/2),
		TDC:        units.CrankDegree / 2,
		Proof:      camtiming.Proof{Kind: camtiming.MovesWithCrank},
		Approach:   camtiming.ApproachNormal,
	}
}

// From the card to the installed advance of one cylinder.
func Example() {
	card, err := exampleCard().Resolve()
	if err != nil {
		fmt.Println(err)
		return
	}
	cam, err := card.Cam()
	if err != nil {
		fmt.Println(err)
		return
	}
	// At overlap top dead center of cylinder 1 the intake lifter stands 0.019 in
	// higher than the exhaust lifter.
	split, err := cam.Split(exampleReading("0.019 in"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("expected as ground:", split.Expected.AtGround.Text(units.Inches, 4))
	fmt.Println("advance:", split.Advance.Value.Text(1))
	fmt.Println("from the card:", split.FromGround.Text(1))
	fmt.Println("95 %:", split.Low.Text(1), "to", split.High.Text(1))
	// Output:
	// expected as ground: 0.0120 in
	// advance: 5.2 crank deg
	// from the card: 1.2 crank deg
	// 95 %: 3.9 crank deg to 6.6 crank deg
}

func ExampleEvents() {
	e := camtiming.Events{
		IVO: 29 * units.CrankDegree, IVC: 61 * units.CrankDegree,
		EVO: 74 * units.CrankDegree, EVC: 26 * units.CrankDegree,
	}
	for _, s := range e.Working() {
		fmt.Println(s.Symbol, "=", s.Formula, "=", s.Value)
	}
	// Output:
	// Di = IVO + 180 + IVC = 270.00 crank deg
	// De = EVO + 180 + EVC = 280.00 crank deg
	// ICL = Di/2 - IVO = 106.00 crank deg
	// ECL = De/2 - EVC = 114.00 crank deg
}

func ExampleEvents_Timing() {
	e := camtiming.Events{
		IVO: 29 * units.CrankDegree, IVC: 61 * units.CrankDegree,
		EVO: 74 * units.CrankDegree, EVC: 26 * units.CrankDegree,
	}
	t, err := e.Timing()
	fmt.Println(t.IntakeDuration, t.ExhaustDuration, err)
	fmt.Println(t.IntakeCenterline, t.ExhaustCenterline)
	// Output:
	// 270 crank deg 280 crank deg <nil>
	// 106 crank deg 114 crank deg
}

func ExampleTiming() {
	t := camtiming.Timing{
		IntakeDuration: 270 * units.CrankDegree, ExhaustDuration: 280 * units.CrankDegree,
		IntakeCenterline: 106 * units.CrankDegree, ExhaustCenterline: 114 * units.CrankDegree,
	}
	e, err := t.Events()
	fmt.Println("IVO", e.IVO, "EVC", e.EVC, err)
	// Output:
	// IVO 29 crank deg EVC 26 crank deg <nil>
}

func ExampleTiming_Events() {
	t := camtiming.Timing{
		IntakeDuration: 224 * units.CrankDegree, ExhaustDuration: 232 * units.CrankDegree,
		IntakeCenterline: 106 * units.CrankDegree, ExhaustCenterline: 114 * units.CrankDegree,
	}
	e, err := t.Events()
	fmt.Println(e.IVO, e.IVC, e.EVO, e.EVC, err)
	// Output:
	// 6 crank deg 38 crank deg 50 crank deg 2 crank deg <nil>
}

func ExampleTiming_Derive() {
	t := camtiming.Timing{
		IntakeDuration: 270 * units.CrankDegree, ExhaustDuration: 280 * units.CrankDegree,
		IntakeCenterline: 106 * units.CrankDegree, ExhaustCenterline: 114 * units.CrankDegree,
	}
	d, err := t.Derive()
	fmt.Println("separation", d.Separation, "advance", d.Advance)
	fmt.Println("overlap", d.Overlap, "both seated", d.BothSeated, err)
	// Output:
	// separation 110 cam deg advance 4 crank deg
	// overlap 55 crank deg both seated 225 crank deg <nil>
}

func ExampleTiming_At() {
	t := camtiming.Timing{
		IntakeDuration: 270 * units.CrankDegree, ExhaustDuration: 280 * units.CrankDegree,
		IntakeCenterline: 106 * units.CrankDegree, ExhaustCenterline: 114 * units.CrankDegree,
	}
	up := t.At(0) // straight up
	fmt.Println(up.IntakeCenterline, up.ExhaustCenterline)
	// Output:
	// 110 crank deg 110 crank deg
}

func ExampleParseEvent() {
	// An intake closing may be counted from either dead center.
	a, err := camtiming.ParseEvent(camtiming.IntakeCloses, "43 deg ABDC")
	fmt.Println(a, err)
	b, err := camtiming.ParseEvent(camtiming.IntakeCloses, "137 deg BTDC")
	fmt.Println(b, err)
	// Output:
	// 43 crank deg <nil>
	// 43 crank deg <nil>
}

func ExampleCard_Resolve() {
	r, err := exampleCard().Resolve()
	fmt.Println(r.IntakeCenterline, r.ExhaustCenterline, r.Basis, err)

	// A centerline that does not go with the rest.
	c := exampleCard()
	c.IntakeCenterline = units.Some(110 * units.CrankDegree)
	_, err = c.Resolve()
	fmt.Println(err)
	// Output:
	// 106 crank deg 114 crank deg as printed on the card <nil>
	// camtiming: Separation, GroundAdvance, IntakeCenterline: contradictory: these figures contradict each other by 4.00 crank deg, more than their rounding of 1.50 crank deg allows
}

func ExampleResolved_Timing() {
	r, err := exampleCard().Resolve()
	if err != nil {
		fmt.Println(err)
		return
	}
	t, err := r.Timing(units.MustParseLength("0.050 in"))
	fmt.Println(t.IntakeDuration, t.ExhaustDuration, err)
	// Output:
	// 224 crank deg 232 crank deg <nil>
}

func ExampleResolved_Cam() {
	r, err := exampleCard().Resolve()
	if err != nil {
		fmt.Println(err)
		return
	}
	cam, err := r.Cam()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(cam.At(r.GroundAdvance).Difference.Text(units.Inches, 4))
	// Output:
	// 0.0120 in
}

func ExampleLaw_At() {
	m := camtiming.Poly345.At(0.5)
	fmt.Printf("s %.4g, s' %.4g\n", m.S, m.V)
	// Output:
	// s 0.5, s' 1.875
}

func ExampleNewLawLobe() {
	l, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: 350 * units.Thou, Opening: 65 * units.CamDegree, Closing: 65 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.Lift(-55*units.CamDegree).Text(units.Inches, 4))
	// Output:
	// 0.0100 in
}

func ExampleLawLobe() {
	l, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Harmonic, MaxLift: 300 * units.Thou, Opening: 60 * units.CamDegree, Closing: 60 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.Lift(30*units.CamDegree).Text(units.Inches, 3), "of", l.MaxLift().Text(units.Inches, 3))
	// Output:
	// 0.150 in of 0.300 in
}

func ExampleLawLobe_Velocity() {
	l, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: 350 * units.Thou, Opening: 65 * units.CamDegree, Closing: 65 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f in per cam degree\n", l.Velocity(-55*units.CamDegree).InchesPerCamDegree())
	// Output:
	// 0.0027 in per cam degree
}

func ExampleNewTableLobe() {
	// Read every ten degrees of the camshaft from an arbitrary zero.
	thou := []int64{0, 1, 12, 62, 145, 228, 280, 300, 279, 226, 144, 61, 11, 1, 0}
	var s []camtiming.LiftSample
	for i, t := range thou {
		s = append(s, camtiming.LiftSample{Angle: units.CamAngle(20+10*i) * units.CamDegree, Lift: units.Length(t) * units.Thou})
	}
	// Straight lines cross 0.050 in at 47.6 and 132.2 degrees of the table.
	l, err := camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s, Interpolation: camtiming.Straight})
	if err != nil {
		fmt.Println(err)
		return
	}
	o, err := camtiming.OpeningAt(l, 50*units.Thou)
	fmt.Println("duration at 0.050 in:", o.Duration.Text(1), err)
	// Output:
	// duration at 0.050 in: 169.2 crank deg <nil>
}

func ExampleTableLobe() {
	s := []camtiming.LiftSample{
		{Angle: 0, Lift: 0},
		{Angle: 40 * units.CamDegree, Lift: 110 * units.Thou},
		{Angle: 72 * units.CamDegree, Lift: 300 * units.Thou},
		{Angle: 104 * units.CamDegree, Lift: 112 * units.Thou},
		{Angle: 146 * units.CamDegree, Lift: 0},
	}
	l, err := camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.MaxLift().Text(units.Inches, 3), "span", l.Span().Opens, "to", l.Span().Closes)
	// Output:
	// 0.300 in span -72 cam deg to 74 cam deg
}

func ExampleNewCardLobe() {
	l, err := camtiming.NewCardLobe(camtiming.CardLobeSpec{
		MaxLift: units.MustParseLength("0.300 in"),
		Durations: []camtiming.DurationAt{
			{Lift: units.MustParseLength("0.006 in"), Duration: 270 * units.CrankDegree},
			{Lift: units.MustParseLength("0.050 in"), Duration: 224 * units.CrankDegree},
		},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	// 56 cam degrees are half of the 224 crank degrees at 0.050 in.
	fmt.Println(l.Lift(56*units.CamDegree).Text(units.Inches, 4), l.Family(), "curves")
	// Output:
	// 0.0500 in 20 curves
}

func ExampleCardLobe_Spread() {
	l, err := camtiming.NewCardLobe(camtiming.CardLobeSpec{
		MaxLift:   units.MustParseLength("0.300 in"),
		Durations: []camtiming.DurationAt{{Lift: units.MustParseLength("0.050 in"), Duration: 224 * units.CrankDegree}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("at 66 deg:", l.Spread(66*units.CamDegree).Text(units.Inches, 4))
	// Output:
	// at 66 deg: 0.0074 in
}

func ExampleOpeningAt() {
	l, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: 300 * units.Thou, Opening: 66 * units.CamDegree, Closing: 70 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	o, err := camtiming.OpeningAt(l, 50*units.Thou)
	fmt.Println(o.Duration.Text(2), "midpoint", o.Midpoint.Text(2), err)
	// Output:
	// 189.67 crank deg midpoint 1.39 cam deg <nil>
}

// ramp is a curve from outside the package: straight flanks of 60 cam degrees.
type ramp struct{ lift units.Length }

func (r ramp) Lift(a units.CamAngle) units.Length {
	if a.Abs() >= 60*units.CamDegree {
		return 0
	}
	return r.lift - units.Length(float64(r.lift)*a.Abs().Degrees()/60)
}

func (r ramp) Velocity(a units.CamAngle) units.LiftVelocity {
	switch {
	case a.Abs() >= 60*units.CamDegree:
		return 0
	case a < 0:
		return units.LiftVelocity(r.lift.Meters() / 60)
	default:
		return units.LiftVelocity(-r.lift.Meters() / 60)
	}
}
func (r ramp) MaxLift() units.Length { return r.lift }
func (r ramp) Span() camtiming.Span {
	return camtiming.Span{Opens: -60 * units.CamDegree, Closes: 60 * units.CamDegree}
}

// Any type with the four methods can be a lobe.
func ExampleLiftCurve() {
	o, err := camtiming.OpeningAt(ramp{300 * units.Thou}, 50*units.Thou)
	fmt.Println(o.Duration, err)
	// Output:
	// 200 crank deg <nil>
}

func ExampleNewCam() {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: 350 * units.Thou, Opening: 65 * units.CamDegree, Closing: 65 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	cam, err := camtiming.NewCam(camtiming.CamSpec{Intake: lobe, Exhaust: lobe, Separation: 110 * units.CamDegree, GroundAdvance: 4 * units.CrankDegree})
	if err != nil {
		fmt.Println(err)
		return
	}
	level, err := cam.Level()
	fmt.Println("level at", level.Advance, err)
	// Output:
	// level at 0 crank deg <nil>
}

func ExampleCam_At() {
	cam := exampleCam()
	for _, adv := range []units.CrankAngle{0, 4 * units.CrankDegree} {
		h := cam.At(adv)
		fmt.Println(adv, h.Intake.Text(units.Inches, 4), h.Exhaust.Text(units.Inches, 4), h.Difference.Text(units.Inches, 4))
	}
	// Output:
	// 0 crank deg 0.0556 in 0.0667 in -0.0112 in
	// 4 crank deg 0.0673 in 0.0554 in 0.0120 in
}

func ExampleCam_AtCrank() {
	cam := exampleCam()
	// One turn away, at firing top dead center, every cam reads level.
	fmt.Println(cam.AtCrank(4*units.CrankDegree, units.CrankTurn).Difference)
	// A dead center set two degrees late reads as two degrees more advance.
	late := cam.AtCrank(4*units.CrankDegree, 2*units.CrankDegree)
	fmt.Println(late == cam.At(6*units.CrankDegree))
	// Output:
	// 0 mm
	// true
}

func ExampleCam_Advance() {
	inv, err := exampleCam().Advance(units.MustParseLength("0.010 in"))
	fmt.Println(inv.Advance.Text(2), err)
	// Output:
	// 3.66 crank deg <nil>
}

func ExampleCam_Level() {
	// The exhaust lobe is longer: level lifters mean advance, not straight up.
	inv, err := exampleCam().Level()
	fmt.Println(inv.Advance.Text(1), err)
	// Output:
	// 1.9 crank deg <nil>
}

func ExampleCam_Reach() {
	r := exampleCam().Reach()
	fmt.Println("both lifters up from", r.BothUpLow.Text(0), "to", r.BothUpHigh.Text(0))
	// Output:
	// both lifters up from -42 crank deg to 48 crank deg
}

func ExampleCam_TimingAt() {
	t, err := exampleCam().TimingAt(units.MustParseLength("0.050 in"), 4*units.CrankDegree)
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := t.Events()
	fmt.Println(e.IVO.Text(1), e.IVC.Text(1), e.EVO.Text(1), e.EVC.Text(1), err)
	// Output:
	// 6.0 crank deg 38.0 crank deg 50.0 crank deg 2.0 crank deg <nil>
}

func ExampleCam_AdvanceForCenterline() {
	fmt.Println(exampleCam().AdvanceForCenterline(104 * units.CrankDegree))
	// Output:
	// 6 crank deg <nil>
}

func ExampleCam_Split() {
	cam := exampleCam()
	r := exampleReading("0.012 in")
	// At firing top dead center the same two lifters read 0.002 in: that much is
	// the lifters' own.
	r.Zero = units.Some(units.WithU(units.MustParseLength("0.002 in"), units.Thou/2))
	s, err := cam.Split(r)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("net:", s.Net.Value.Text(units.Inches, 4))
	fmt.Println("advance:", s.Advance.Value.Text(1), "u:", s.Advance.U.Text(1))
	// Output:
	// net: 0.0100 in
	// advance: 3.7 crank deg u: 0.6 crank deg
}

// Without proof that a lifter is up a reading is refused.
func ExampleCam_Split_noProof() {
	_, err := exampleCam().Split(camtiming.SplitReading{Zero: units.Some(units.WithU(units.Length(0), units.Length(0))), Difference: units.Unstated(units.Length(0))})
	fmt.Println(err)
	// Output:
	// camtiming: Proof: missing: want proof that a lifter is up: at firing TDC every cam reads level; measure a rise or rock the crank and watch a lifter move
}

func ExampleSplitResult_Working() {
	s, err := exampleCam().Split(exampleReading("0.010 in"))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, step := range s.Working()[:2] {
		fmt.Println(step.Symbol, "|", step.Formula, "|", step.Value)
	}
	// Output:
	// d | intake - exhaust at overlap TDC | 0.0100 in (0.254 mm)
	// d0 | intake - exhaust at firing TDC | 0.0000 in (0.000 mm)
}

func ExampleThumbAdvance() {
	r, err := camtiming.ThumbAdvance(units.MustParseLength("0.012 in"))
	fmt.Println(r.Advance, "by a", r.Source, err)
	// Output:
	// 4 crank deg by a rule of thumb, 0.006 in for 2 crank degrees; equal symmetric lobes only (common practice) <nil>
}

func ExampleComparePair() {
	cam := exampleCam()
	first, err := cam.Split(exampleReading("0.019 in"))
	if err != nil {
		fmt.Println(err)
		return
	}
	sixth, err := cam.Split(exampleReading("0.010 in")) // one crank turn later
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := camtiming.ComparePair(camtiming.PairInput{
		First: first, Companion: sixth,
		Tolerance: units.Between(-units.CrankDegree, units.CrankDegree, units.Source{Text: "the builder", Provenance: units.Stated}),
	})
	fmt.Println(p.Delta.Value.Text(1), err)
	fmt.Println(p.Class)
	// Output:
	// -1.6 crank deg <nil>
	// different: twist or grinding (two readings cannot tell which)
}

func ExampleSurvey() {
	in := camtiming.SurveyInput{Common: units.CrankDegree / 2}
	for i, advance := range []string{"4.1 deg", "4.3 deg", "4.9 deg", "5.2 deg", "5.8 deg", "6.1 deg"} {
		in.Stations = append(in.Stations, camtiming.Station{
			Cylinder: strconv.Itoa(i + 1),
			Position: units.Length(60+110*i) * units.Millimeter,
			Advance:  units.WithU(units.MustParseCrankAngle(advance), units.MustParseCrankAngle("0.2 deg")),
		})
	}
	s, err := camtiming.Survey(in)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("index at the drive end:", s.Index.Value.Text(1))
	fmt.Println("twist over the shaft:", s.TwistOverShaft.Value.Text(1), "proved:", s.TwistProved)
	// Output:
	// index at the drive end: 3.8 crank deg
	// twist over the shaft: 2.1 crank deg proved: true
}

func ExampleDiagnose() {
	cam := exampleCam()
	reading := exampleReading("0.121 in")
	d, err := camtiming.Diagnose(camtiming.DiagnosisInput{
		Cam: cam,
		Observations: []camtiming.Observation{
			{Cylinder: "1", Reading: reading},
			{Cylinder: "6", Reading: reading},
		},
		Suspects: camtiming.Suspects{Teeth: 36, MostTeeth: 1, TDCError: 2 * units.CrankDegree, Bushings: []units.CrankAngle{4 * units.CrankDegree}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(d.Candidates[0], "explained:", d.Explained)
	fmt.Println("next:", d.Candidates[0].Cause.NextMeasurement())
	// Output:
	// cam sprocket off by teeth: 1 tooth advanced (20.00 crank deg) explained: true
	// next: count the teeth or links between the timing marks; check the marks of both gears against the keyways
}

func ExampleToothAngle() {
	fmt.Println(camtiming.ToothAngle(36), camtiming.ToothAngle(42).Text(2))
	// Output:
	// 20 crank deg 17.14 crank deg
}

func ExampleCorrect() {
	wanted, err := exampleCam().AdvanceForCenterline(106 * units.CrankDegree)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := camtiming.Correct(camtiming.CorrectionInput{
		Measured: units.WithU(7*units.CrankDegree, units.CrankDegree/2),
		Wanted:   wanted,
		Steps:    camtiming.Steps{Keyways: []units.CrankAngle{-4 * units.CrankDegree}, Bushings: []units.CrankAngle{2 * units.CrankDegree}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	o := c.Options[0]
	fmt.Println("exact", c.Exact, "nearest", o.Shift, "leaves", o.Left, "worthwhile", c.Worthwhile)
	// Output:
	// exact -3 crank deg nearest -2 crank deg leaves 1 crank deg worthwhile true
}

func ExampleCause_NextMeasurement() {
	fmt.Println(camtiming.WrongTurn.NextMeasurement())
	// Output:
	// turn the crank once more and read again; a lifter must be off its base circle
}

func ExampleSplitResult_Station() {
	c := exampleCam()
	s, err := c.Split(camtiming.SplitReading{
		Zero:       units.Some(units.WithU(units.Length(0), units.Length(0))),
		Difference: units.WithU(c.At(4*units.CrankDegree).Difference, units.MustParseLength("0.0005 in")),
		TDC:        units.CrankDegree / 2,
		Proof:      camtiming.Proof{Kind: camtiming.MovesWithCrank},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	// Top dead center is common to all cylinders: it stays out of a station.
	st := s.Station("1", 80*units.Millimeter)
	fmt.Println(st.Advance.Value.Text(1), "with TDC", s.Advance.U > units.CrankDegree/2, "without", st.Advance.U < units.CrankDegree/2)
	// Output: 4.0 crank deg with TDC true without true
}
