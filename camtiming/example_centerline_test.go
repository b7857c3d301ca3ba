package camtiming_test

import (
	"fmt"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func exampleAngle(deg string) units.Measured[units.CrankAngle] {
	return units.WithU(units.MustParseCrankAngle(deg), units.CrankDegree/4)
}

// exampleEqualLift is intake 1 of the workboat's six, dialed on the lifter at three
// drops from the nose, wheel read to half a degree.
func exampleEqualLift() camtiming.EqualLiftInput {
	at := func(drop, before, after string) camtiming.EqualLiftReading {
		return camtiming.EqualLiftReading{Drop: units.Some(units.MustParseLength(drop)), Before: exampleAngle(before), After: exampleAngle(after)}
	}
	return camtiming.EqualLiftInput{
		Valve: camtiming.IntakeValve,
		Readings: []camtiming.EqualLiftReading{
			at("0.050 in", "67.5 deg", "144.5 deg"),
			at("0.100 in", "50.0 deg", "162.5 deg"),
			at("0.150 in", "35.5 deg", "176.5 deg"),
		},
		Dial: units.Thou / 2, TDC: units.CrankDegree / 2, Approach: camtiming.ApproachNormal,
	}
}

func ExampleEqualLift() {
	r, err := camtiming.EqualLift(exampleEqualLift())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range r.Midpoints {
		fmt.Println(m.Centerline)
	}
	fmt.Println("unlike flanks proved:", r.Asymmetric)
	fmt.Println(r.Mean.Value)
	fmt.Println(r.Nose.Value)
	// Output:
	// intake 106.00 crank deg (u = 0.55 crank deg), midpoint of equal lifts at 0.0500 in below the nose
	// intake 106.25 crank deg (u = 0.54 crank deg), midpoint of equal lifts at 0.1000 in below the nose
	// intake 106.00 crank deg (u = 0.54 crank deg), midpoint of equal lifts at 0.1500 in below the nose
	// unlike flanks proved: false
	// intake 106.09 crank deg (u = 0.51 crank deg), mean of midpoints at several lifts
	// intake 106.09 crank deg (u = 0.73 crank deg), nose
}

func ExampleCheckedEvents_Centerline() {
	c, err := camtiming.CheckedEvents{
		Valve: camtiming.IntakeValve, Opens: exampleAngle("6.0 deg"), Closes: exampleAngle("38.5 deg"),
		Lift:    units.MustParseLength("0.065 in"),
		AtValve: units.Some(camtiming.ValveGear{Ratio: 1.5, Lash: units.MustParseLength("0.010 in")}),
		TDC:     units.CrankDegree / 2,
	}.Centerline()
	fmt.Println(c, err)
	// Output:
	// intake 106.25 crank deg (u = 0.53 crank deg), midpoint of equal lifts at 0.0500 in <nil>
}

// A midpoint at 0.050 in of a lobe whose closing flank is the longer lies late
// of the nose.
func ExampleCenterline_AtNose() {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: 300 * units.Thou, Opening: 66 * units.CamDegree, Closing: 69 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	c := camtiming.Centerline{
		Valve: camtiming.IntakeValve, Basis: camtiming.BasisMidpoint, Lift: units.Some(50 * units.Thou),
		Angle: units.Unstated(units.MustParseCrankAngle("108 deg")),
	}
	nose, err := c.AtNose(lobe)
	fmt.Println(nose, err)
	// Output:
	// intake 105.91 crank deg, nose <nil>
}

func ExampleCam_AdvanceFrom() {
	c := camtiming.Centerline{Valve: camtiming.IntakeValve, Basis: camtiming.BasisNose, Angle: units.WithU(106*units.CrankDegree, units.CrankDegree/2)}
	a, err := exampleCam().AdvanceFrom(c)
	fmt.Println(a, err)
	c.Basis = camtiming.BasisMidpoint
	_, err = exampleCam().AdvanceFrom(c)
	fmt.Println(err)
	// Output:
	// 4 crank deg (u = 0.5 crank deg) <nil>
	// camtiming: Basis: "midpoint of equal lifts": contradictory: want a centerline of the nose; AtNose converts a midpoint
}

func ExampleCombineCenterlines() {
	nose := func(m camtiming.CenterlineMethod, deg, u string) camtiming.Centerline {
		return camtiming.Centerline{
			Valve: camtiming.IntakeValve, Basis: camtiming.BasisNose, Method: m,
			Angle:    units.WithU(units.MustParseCrankAngle(deg), units.MustParseCrankAngle(u)),
			UReading: units.MustParseCrankAngle(u), UTDC: units.CrankDegree / 2,
		}
	}
	r, err := camtiming.CombineCenterlines([]camtiming.Centerline{
		nose(camtiming.ByEqualLift, "106.2 deg", "0.4 deg"),
		nose(camtiming.ByNoseCurve, "105.7 deg", "0.3 deg"),
		nose(camtiming.ByLiftAtTDC, "106.9 deg", "0.8 deg"),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Centerline)
	fmt.Printf("chi-square %.2f with %d degrees of freedom, agree: %v\n", r.Agreement.ChiSquare, r.Agreement.Freedom, r.Agreement.Agrees)
	// Output:
	// intake 105.96 crank deg (u = 0.55 crank deg), nose
	// chi-square 2.49 with 2 degrees of freedom, agree: true
}

func ExampleNoseCurve() {
	in := camtiming.NoseCurveInput{Valve: camtiming.IntakeValve, Degree: 2, TDC: units.CrankDegree / 2}
	for i, dial := range []string{"0.2845 in", "0.2915 in", "0.2960 in", "0.2985 in", "0.3000 in", "0.2990 in", "0.2970 in", "0.2930 in", "0.2860 in"} {
		in.Readings = append(in.Readings, camtiming.DialPoint{At: units.CrankAngle(86+5*i) * units.CrankDegree, Dial: units.MustParseLength(dial)})
	}
	p, err := camtiming.NoseCurve(in)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.Centerline)
	fmt.Println("scatter", p.Scatter.Text(units.Inches, 4))
	// Output:
	// intake 106.60 crank deg (u = 0.52 crank deg), nose
	// scatter 0.0004 in
}

func exampleValve() camtiming.SingleValve {
	return camtiming.SingleValve{
		Valve: camtiming.IntakeValve, Lobe: exampleCam().Spec().Intake,
		AtValve: units.Some(camtiming.ValveGear{Ratio: 1.5, Lash: units.MustParseLength("0.010 in")}),
	}
}

func ExampleSingleValve_At() {
	l, err := exampleValve().At(106 * units.CrankDegree)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("valve lift at TDC", l.Dial.Text(units.Inches, 4))
	fmt.Println("per crank degree of advance", l.PerCrankDegree.Text(units.Inches, 4))
	// Output:
	// valve lift at TDC 0.0910 in
	// per crank degree of advance 0.0045 in
}

// Each cam of a two-cam engine is judged by its own valve.
func ExampleSingleValve_Centerline() {
	c, err := exampleValve().Centerline(camtiming.LiftAtTDCReading{
		Lift: units.WithU(units.MustParseLength("0.090 in"), units.Thou), TDC: units.CrankDegree / 2,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	// A card of few durations leaves the lobe's shape open: most of u is that.
	fmt.Println(c.UTDC, "of dead center, more in all:", c.Angle.U > c.UTDC)
	for _, s := range c.Working()[:2] {
		fmt.Println(s.Symbol, "=", s.Value)
	}
	// Output:
	// 0.5 crank deg of dead center, more in all: true
	// lifter = 0.0667 in
	// ICL = 106.22 crank deg
}

// The 0.006 in leaf enters, the 0.007 in leaf does not.
func ExampleFeelerPair_Gap() {
	gap, err := camtiming.FeelerPair{Enters: 6 * units.Thou, Refused: 7 * units.Thou}.Gap()
	fmt.Println(gap.Value.Text(units.Inches, 4), gap.U.Text(units.Inches, 5), err)
	// Output:
	// 0.0065 in 0.00029 in <nil>
}

func ExampleStraightedgeGap_Gauge() {
	g, err := camtiming.StraightedgeGap{Higher: camtiming.ExhaustValve, Gap: units.WithU(6*units.Thou, units.Thou/2)}.Gauge()
	fmt.Println(g.Difference.Value.Text(units.Inches, 4), err)
	// Output:
	// -0.0060 in <nil>
}

func ExampleRockingStraightedge_Gauge() {
	end := func(thou units.Length) camtiming.StraightedgeGap {
		return camtiming.StraightedgeGap{Higher: camtiming.IntakeValve, Gap: units.WithU(thou*units.Thou, units.Thou/2)}
	}
	g, err := camtiming.RockingStraightedge{One: end(5), Other: end(9)}.Gauge()
	fmt.Println(g.Difference.Value.Text(units.Inches, 4), g.Difference.U.Text(units.Inches, 4), err)
	// Output:
	// 0.0070 in 0.0020 in <nil>
}

// Two spacers unlike by a thousandth, swapped.
func ExampleSpacedStraightedge_Gauge() {
	gap := func(thou units.Length) camtiming.StraightedgeGap {
		return camtiming.StraightedgeGap{Higher: camtiming.IntakeValve, Gap: units.WithU(thou*units.Thou, units.Thou/2)}
	}
	g, err := camtiming.SpacedStraightedge{Read: gap(13), Swapped: units.Some(gap(11))}.Gauge()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("difference", g.Difference.Value.Text(units.Inches, 4), "u", g.Difference.U.Text(units.Inches, 5))
	fmt.Println("spacers differ by", g.SpacerMismatch.Value.Value.Text(units.Inches, 4))
	// Output:
	// difference 0.0120 in u 0.00035 in
	// spacers differ by 0.0010 in
}

func ExampleDepthPair_Gauge() {
	depth := func(s string) units.Measured[units.Length] {
		return units.WithU(units.MustParseLength(s), units.Thou/2)
	}
	g, err := camtiming.DepthPair{Intake: depth("1.2345 in"), Exhaust: depth("1.2465 in")}.Gauge()
	fmt.Println(g.Difference.Value.Text(units.Inches, 4), err)
	// Output:
	// 0.0120 in <nil>
}

func ExampleRetainerPair_Gauge() {
	valve := func(lift, lash string) camtiming.RetainerLift {
		return camtiming.RetainerLift{
			Lift: units.WithU(units.MustParseLength(lift), units.Thou/2), Ratio: 1.5, RatioU: 0.01,
			Lash: units.WithU(units.MustParseLength(lash), units.Thou/2),
		}
	}
	g, err := camtiming.RetainerPair{Intake: valve("0.050 in", "0.010 in"), Exhaust: valve("0.030 in", "0.012 in")}.Gauge()
	fmt.Println(g.Difference.Value.Text(units.Inches, 4), g.Difference.U.Text(units.Inches, 4), err)
	fmt.Println(g.Proof.Kind)
	// Output:
	// 0.0120 in 0.0007 in <nil>
	// rise from the base circle measured
}

// From the straightedge to the installed advance, with the same reading at
// firing TDC as zero.
func ExampleSplitReading_At() {
	edge := func(thou units.Length) camtiming.Gauged {
		g, err := camtiming.StraightedgeGap{Higher: camtiming.IntakeValve, Gap: units.WithU(thou*units.Thou, units.Thou/2)}.Gauge()
		if err != nil {
			fmt.Println(err)
		}
		return g
	}
	r := camtiming.SplitReading{
		TDC: units.CrankDegree / 2, Approach: camtiming.ApproachNormal, Proof: camtiming.Proof{Kind: camtiming.MovesWithCrank},
	}.At(edge(9)).ZeroAt(edge(1))
	s, err := exampleCam().Split(r)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Net.Value.Text(units.Inches, 4), s.Advance.Value.Text(1))
	// Output:
	// 0.0080 in 3.3 crank deg
}
