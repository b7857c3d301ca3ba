package units_test

import (
	"encoding/json"
	"errors"
	"fmt"

	"example.com/trialfit/units"
)

// All readings are invented: the straight-six of a restored wooden workboat.

func Example() {
	bore := units.MustParseLength("2.1005 in")
	journal := units.MustParseLength("53.289 mm")
	clearance := bore - journal
	fmt.Println(clearance, "=", clearance.Text(units.Inches, 5))
	// Output: 0.0637 mm = 0.00251 in
}

func ExampleLength() {
	wear := units.MustParseLength("2.0000 in") - units.MustParseLength("1.99975 in")
	fmt.Println(wear, wear == 250*units.Microinch)
	// Output: 0.00635 mm true
}

func ExampleParseLength() {
	for _, s := range []string{"0.0025 in", `2.0995"`, "12 thou", "63.5 um", "3 1/2 in", "0.0025"} {
		l, err := units.ParseLength(s)
		if errors.Is(err, units.ErrUnit) {
			fmt.Println("no unit:", s)
			continue
		}
		fmt.Println(l)
	}
	// Output:
	// 0.0635 mm
	// 53.3273 mm
	// 0.3048 mm
	// 0.0635 mm
	// 88.9 mm
	// no unit: 0.0025
}

func ExampleLengthOf() {
	l, err := units.LengthOf(0.0025, units.Inches)
	fmt.Println(l, err)
	// Output: 0.0635 mm <nil>
}

func ExampleLength_Text() {
	l := units.MustParseLength("0.0635 mm")
	fmt.Println(l.Text(units.Inches, 4), "/", l.Text(units.Thousandths, 1), "/", l.Text(units.Micrometers, 1))
	// Output: 0.0025 in / 2.5 thou / 63.5 um
}

func ExampleLength_AppendIn() {
	buf := make([]byte, 0, 64)
	buf = append(buf, "end gap "...)
	buf = units.MustParseLength("14 thou").AppendIn(buf, units.Inches, 4)
	fmt.Println(string(buf))
	// Output: end gap 0.0140 in
}

func ExampleLength_Add() {
	_, err := units.MaxLength.Add(1)
	fmt.Println(errors.Is(err, units.ErrRange))
	// Output: true
}

func ExampleLength_Scale() {
	lift, err := units.MustParseLength("0.300 in").Scale(1.5)
	fmt.Println(lift.Text(units.Inches, 3), err)
	// Output: 0.450 in <nil>
}

func ExampleCrankAngle_Cam() {
	intake, exhaust := 106*units.CrankDegree, 114*units.CrankDegree
	separation := (intake + exhaust).Cam()
	advance := separation.Crank()/2 - intake
	fmt.Println(separation)
	fmt.Println(advance)
	// Output:
	// 110 cam deg
	// 4 crank deg
}

func ExampleCamAngle_Crank() {
	fmt.Println((2 * units.CamDegree).Crank())
	// Output: 4 crank deg
}

func ExampleParseCrankAngle() {
	a, err := units.ParseCrankAngle("48 deg 30 min")
	fmt.Println(a, err)
	_, err = units.ParseCrankAngle("110 cam deg")
	fmt.Println(errors.Is(err, units.ErrUnit))
	// Output:
	// 48.5 crank deg <nil>
	// true
}

func ExampleParseCamAngle() {
	a, err := units.ParseCamAngle("110 cam deg")
	fmt.Println(a.Text(1), err)
	// Output: 110.0 cam deg <nil>
}

func ExampleCrankAngle_Wrap() {
	fmt.Println((726 * units.CrankDegree).Wrap(), (-10 * units.CrankDegree).WrapTurn())
	// Output: 6 crank deg 350 crank deg
}

func ExampleCrankAngle_Sin() {
	fmt.Println((180 * units.CrankDegree).Sin(), (90 * units.CrankDegree).Sin())
	// Output: 0 1
}

func ExampleReading() {
	r := units.MustParseReading("0.0250 in")
	fmt.Println(r, "read to", r.Resolution().Text(units.Inches, 4))
	fmt.Println("u at least", r.ResolutionUncertainty().Text(units.Micrometers, 2))
	// Output:
	// 0.0250 in read to 0.0001 in
	// u at least 0.73 um
}

func ExampleReading_MarshalText() {
	b, err := json.Marshal(units.MustParseReading("0.0250 in"))
	fmt.Println(string(b), err)
	// Output: "0.0250 in" <nil>
}

func ExampleJudge() {
	limits := units.Between(units.MustParseLength("0.0015 in"), units.MustParseLength("0.0030 in"),
		units.Source{Text: "the builder's own limit", Provenance: units.Stated})
	for _, s := range []string{"0.0025 in", "0.0029 in", "0.0034 in"} {
		v, err := units.Judge(units.WithU(units.MustParseLength(s), 100*units.Microinch), limits, units.ProveAt95)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(s, v.Outcome, "margin", v.Margin.Text(units.Inches, 4))
	}
	// Output:
	// 0.0025 in within margin 0.0005 in
	// 0.0029 in not proved margin 0.0001 in
	// 0.0034 in outside margin -0.0004 in
}

func ExampleConformanceProbability() {
	limit := units.AtMost(units.Kilopascals(490), units.Source{Text: "the part maker's card", Provenance: units.Stated})
	p, err := units.ConformanceProbability(units.WithU(units.Kilopascals(480), units.Kilopascals(10)), limit)
	fmt.Printf("%.4f %v\n", p, err)
	// Output: 0.8413 <nil>
}

func ExampleGuardFactor() {
	g, err := units.GuardFactor(10)
	fmt.Printf("%.3f %v\n", g, err)
	// Output: 1.645 <nil>
}

func ExampleParseForce() {
	f, err := units.ParseForce("120 lbf")
	fmt.Printf("%.2f N %v\n", f.Newtons(), err)
	// Output: 533.79 N <nil>
}

func ExamplePoundsPerSquareInch() {
	fmt.Printf("%.1f kPa\n", units.PoundsPerSquareInch(50).Kilopascals())
	// Output: 344.7 kPa
}

func ExampleParseTorque() {
	t, err := units.ParseTorque("70 lbf ft")
	fmt.Printf("%.2f N m %v\n", t.NewtonMeters(), err)
	// Output: 94.91 N m <nil>
}

func ExampleTemperature() {
	oil := units.Fahrenheit(212)
	fmt.Printf("%.1f degC, %.2f K\n", oil.Celsius(), oil.Kelvins())
	fmt.Printf("%.1f K warmer than the shop\n", oil.Sub(units.Celsius(20)).Kelvins())
	// Output:
	// 100.0 degC, 373.15 K
	// 80.0 K warmer than the shop
}

func ExampleParseTemperature() {
	t, err := units.ParseTemperature("68 degF")
	fmt.Printf("%.1f degC %v\n", t.Celsius(), err)
	// Output: 20.0 degC <nil>
}

func ExampleTwistOf() {
	t, err := units.TwistOf(2*units.CrankDegree, units.MustParseLength("20 in"))
	fmt.Printf("%.2f crank deg/in %v\n", t.CrankDegreesPerInch(), err)
	// Output: 0.10 crank deg/in <nil>
}

func ExampleInputError() {
	_, err := units.ParseLength("10 mil")
	var in *units.InputError
	fmt.Println(errors.As(err, &in), in.Field, in.Value, errors.Is(err, units.ErrUnit))
	// Output: true Length 10 mil true
}

func ExampleSource() {
	fmt.Println(units.Source{Text: "JCGM 106:2012, 8.2", Provenance: units.Verified})
	fmt.Println(units.Source{})
	// Output:
	// JCGM 106:2012, 8.2 (verified)
	// no source
}
