package camtiming_test

import (
	"errors"
	"fmt"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// workboatReadings are the intake lobe of the workboat's first cylinder, read
// every three cam degrees or so without its nose, in 0.0001 in.
var workboatReadings = []struct {
	degrees float64
	lift    units.Length
}{
	{-75, -6},
	{-72, -6},
	{-69, 3},
	{-66, -11},
	{-63, 0},
	{-60, -3},
	{-57, 42},
	{-54, 93},
	{-51, 188},
	{-45, 459},
	{-42, 652},
	{-39, 863},
	{-36, 1095},
	{-33, 1346},
	{-30, 1589},
	{-27, 1839},
	{-24, 2079},
	{-21, 2290},
	{-18, 2476},
	{-15, 2647},
	{-12, 2760},
	{-9, 2845},
	{-6, 2905},
	{-3, 2929},
	{3, 2938},
	{6, 2931},
	{9, 2920},
	{12, 2862},
	{15, 2786},
	{18, 2682},
	{21, 2551},
	{24, 2373},
	{27, 2179},
	{30, 1983},
	{33, 1736},
	{36.5, 1468},
	{39, 1277},
	{42, 1055},
	{45, 822},
	{48, 615},
	{51, 455},
	{54, 302},
	{57, 185},
	{60, 103},
	{63, 45},
	{66, 14},
	{69, -1},
	{72, 6},
	{75, 8},
}

func workboatSmooth() *camtiming.SmoothLobe {
	spec := camtiming.SmoothLobeSpec{
		Noise:  units.Some(units.MustParseLength("0.0006 in")),
		Window: units.Some(3 * units.CamDegree), // else the readings decide
		Origin: camtiming.AsMeasured,
	}
	for _, r := range workboatReadings {
		a, err := units.CamDegrees(r.degrees)
		if err != nil {
			panic(err)
		}
		spec.Samples = append(spec.Samples, camtiming.LiftSample{Angle: a, Lift: r.lift * units.Thou / 10})
	}
	l, err := camtiming.NewSmoothLobe(spec)
	if err != nil {
		panic(err)
	}
	return l
}

// A curve through readings that scatter by half a thousandth knows its lift to
// less than that, places a nose that was not read, and says which derivatives
// the readings carry.
func ExampleSmoothLobe() {
	l := workboatSmooth()
	f := l.Fit()
	fmt.Println("scatter", f.Scatter.Text(units.Inches, 5), "agrees with what was stated:", f.Agreement.Agrees)
	fmt.Println("nose at", f.Nose.Value.Text(1), "u", f.Nose.U.Text(1))
	fmt.Println("peak", l.MaxLift().Text(units.Inches, 4), "u", f.Peak.U.Text(units.Inches, 5))

	at := units.MustParseCamAngle("-31.4 deg")
	lift, err1 := l.LiftAt(at)
	slope, err2 := l.VelocityAt(at)
	bend, err3 := l.AccelerationAt(0)
	if err := errors.Join(err1, err2, err3); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("lift", lift.Value.Text(units.Inches, 4), "u", lift.U.Text(units.Inches, 5))
	fmt.Printf("slope %.5f u %.5f in per degree\n", slope.Value.InchesPerCamDegree(), slope.U.InchesPerCamDegree())
	fmt.Printf("bend %.5f u %.5f in per degree squared\n", bend.Value.InchesPerCamDegree2(), bend.U.InchesPerCamDegree2())
	fmt.Println("jerk known:", l.Supports(3) == nil)
	// Output:
	// scatter 0.00061 in agrees with what was stated: true
	// nose at 1.8 cam deg u 0.8 cam deg
	// peak 0.2945 in u 0.00041 in
	// lift 0.1476 in u 0.00035 in
	// slope 0.00836 u 0.00008 in per degree
	// bend -0.00012 u 0.00004 in per degree squared
	// jerk known: false
}

// It serves wherever a lobe does.
func ExampleSmoothLobe_Motion() {
	l := workboatSmooth()
	at := units.MustParseCamAngle("-31.4 deg")
	m := l.Motion(at)
	fmt.Println(m.Lift == l.Lift(at), m.Velocity == l.Velocity(at))
	fmt.Println("stands out of the noise from", l.Span().Opens.Text(1), "to", l.Span().Closes.Text(1))
	// Output:
	// true true
	// stands out of the noise from -59.8 cam deg to 66.9 cam deg
}

func ExampleNewSmoothLobe() {
	_, err := camtiming.NewSmoothLobe(camtiming.SmoothLobeSpec{Samples: []camtiming.LiftSample{{Angle: 0, Lift: units.Thou}}})
	fmt.Println(err)
	// Output:
	// camtiming: Samples: "1": missing: want ten readings or more
}

// The lobe of the workboat against the one on the drawing: lift has gone, but
// whether more of it than the rule of thumb allows, the readings cannot tell.
func ExampleCompareLobes() {
	drawn, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly345, MaxLift: 300 * units.Thou, Opening: 66 * units.CamDegree, Closing: 70 * units.CamDegree})
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := camtiming.CompareLobes(camtiming.LobeComparison{
		Reference: drawn, Measured: workboatSmooth(), Lifts: []units.Length{50 * units.Thou},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("lost", d.LiftLoss.Value.Text(units.Inches, 4), "u", d.LiftLoss.U.Text(units.Inches, 4), "lost at all:", d.LiftDiffers)
	fmt.Println(d.Verdict.Limits, "-", d.Verdict.Outcome)
	x := d.Durations[0]
	fmt.Println("duration at", x.Lift.Text(units.Inches, 3), "differs by", x.Difference.Value.Text(2), "u", x.Difference.U.Text(2))
	fmt.Println("later by", d.Phase.Later.Value.Text(2), "u", d.Phase.Later.U.Text(2))
	// Output:
	// lost 0.0055 in u 0.0004 in lost at all: true
	// at most 0.127 mm - not proved
	// duration at 0.050 in differs by -0.81 crank deg u 0.18 crank deg
	// later by 1.51 cam deg u 0.02 cam deg
}

// Read off a wheel while the cam was turned back through its zero.
func ExampleUnroll() {
	var read []camtiming.LiftSample
	for i, deg := range []string{"10 deg", "5 deg", "0 deg", "355 deg", "350 deg"} {
		read = append(read, camtiming.LiftSample{Angle: units.MustParseCamAngle(deg), Lift: []units.Length{0, 90, 140, 80, 0}[i] * units.Thou})
	}
	table, err := camtiming.Unroll(read)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range table {
		fmt.Println(s.Angle, s.Lift.Text(units.Inches, 3))
	}
	// Output:
	// -10 cam deg 0.000 in
	// -5 cam deg 0.080 in
	// 0 cam deg 0.140 in
	// 5 cam deg 0.090 in
	// 10 cam deg 0.000 in
}
