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

// A bore as it is read, in every unit a caller may need it in.
func ExampleLength_In() {
	l := units.MustParseLength("2.1005 in")
	fmt.Printf("%.6g mm %.6g m %.6g cm\n", l.Millimeters(), l.Meters(), l.In(units.Centimeters))
	fmt.Printf("%.6g in %.6g thou %.6g um\n", l.Inches(), l.Thousandths(), l.Micrometers())
	// Output:
	// 53.3527 mm 0.0533527 m 5.33527 cm
	// 2.1005 in 2100.5 thou 53352.7 um
}

// Two shims of 0.1 mm under a float of 0.35 mm leave 0.15 mm.
func ExampleLength_Sub() {
	shims, err1 := (100 * units.Micrometer).Mul(2)
	rest, err2 := shims.Sub(350 * units.Micrometer)
	fmt.Println(rest.Abs(), errors.Join(err1, err2))
	// Output: 0.15 mm <nil>
}

// Callers who hold decimals bridge without a float64.
func ExampleLength_Decimal() {
	d := units.MustParseLength("53.3527 mm").Decimal(units.Inches, 5)
	l, err := units.LengthFromDecimal(d, units.Inches)
	fmt.Println(d, l, err)
	// Output: 2.1005 53.3527 mm <nil>
}

func ExampleLengthUnit() {
	fmt.Println(units.Thousandths.Symbol(), units.Thousandths.Length() == units.Inch/1000)
	// Output: thou true
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

func ExampleCrankAngle() {
	a, err := units.CrankDegrees(-30)
	fmt.Println(a.Text(1), err)
	fmt.Printf("%.6g deg %.6g rad, cosine %.6g\n", a.Abs().Degrees(), a.Abs().Radians(), a.Cos())
	// Output:
	// -30.0 crank deg <nil>
	// 30 deg 0.523599 rad, cosine 0.866025
}

func ExampleCamAngle() {
	a, err := units.CamDegrees(-30)
	fmt.Println(a.Text(1), err)
	fmt.Printf("%.6g deg %.6g rad, sine %.6g, cosine %.6g\n", a.Abs().Degrees(), a.Abs().Radians(), a.Sin(), a.Cos())
	// Output:
	// -30.0 cam deg <nil>
	// 30 deg 0.523599 rad, sine -0.5, cosine 0.866025
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

func ExampleParseReading() {
	r, err := units.ParseReading("0.0250 in")
	fmt.Println(r.Length, r.Unit, r, err)
	// Output: 0.635 mm in 0.0250 in <nil>
}

func ExampleReading_MarshalText() {
	b, err := json.Marshal(units.MustParseReading("0.0250 in"))
	fmt.Println(string(b), err)
	// Output: "0.0250 in" <nil>
}

// An uncertainty that nobody stated is not an uncertainty of 0.
func ExampleMeasured() {
	bore := units.MustParseLength("2.7526 in")
	fmt.Println(units.Unstated(bore))
	fmt.Println(units.WithU(bore, 2*units.Micrometer))
	// Output:
	// 69.91604 mm
	// 69.91604 mm (u = 0.002 mm)
}

func ExampleLimits() {
	card := units.Source{Text: "the part maker's card", Provenance: units.Stated}
	fmt.Println(units.Between(10*units.Micrometer, 30*units.Micrometer, card))
	fmt.Println(units.AtLeast(10*units.Micrometer, card))
	fmt.Println(units.AtMost(30*units.Micrometer, card))
	// Output:
	// 0.01 mm to 0.03 mm
	// at least 0.01 mm
	// at most 0.03 mm
}

// A lash of 0 and a lash that nobody gave are different inputs.
func ExampleOptional() {
	var none units.Optional[units.Length]
	fmt.Println(none.Given, units.Some(units.Length(0)).Given)
	// Output: false true
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
	fmt.Printf("%.1f degC after 10 K more\n", oil.Add(units.KelvinsDifference(10)).Celsius())
	// Output:
	// 100.0 degC, 373.15 K
	// 80.0 K warmer than the shop
	// 110.0 degC after 10 K more
}

func ExampleParseTemperature() {
	t, err := units.ParseTemperature("68 degF")
	fmt.Printf("%.1f degC %v\n", t.Celsius(), err)
	// Output: 20.0 degC <nil>
}

// Oil that warms from 68 to 212 degrees Fahrenheit warms by 80 kelvins.
func ExampleTemperatureDifference() {
	d, err := units.ParseTemperatureDifference("80 K")
	fmt.Println(d == units.KelvinsDifference(80), err)
	fmt.Printf("%.6g degF\n", d.FahrenheitDegrees())
	fmt.Printf("%.6g K\n", units.FahrenheitDifference(144).Kelvins())
	fmt.Printf("%.6g degC\n", units.Celsius(20).Add(d).Celsius())
	// Output:
	// true <nil>
	// 144 degF
	// 80 K
	// 100 degC
}

// A lobe that lifts 0.006 in per cam degree lifts 0.003 in per crank degree.
func ExampleLiftVelocity() {
	v := units.LiftVelocity(0.006 * 0.0254) // meters per cam degree
	fmt.Printf("%.6g in/cam deg, %.6g in/crank deg, %.6g mm/cam deg\n",
		v.InchesPerCamDegree(), v.InchesPerCrankDegree(), v.MillimetersPerCamDegree())
	// Output: 0.006 in/cam deg, 0.003 in/crank deg, 0.1524 mm/cam deg
}

func ExampleLiftAcceleration() {
	fmt.Printf("%.6g in/cam deg2\n", units.LiftAcceleration(-254e-9).InchesPerCamDegree2())
	// Output: -1e-05 in/cam deg2
}

func ExampleLiftJerk() {
	fmt.Printf("%.6g in/cam deg3\n", units.LiftJerk(254e-9).InchesPerCamDegree3())
	// Output: 1e-05 in/cam deg3
}

// A cam that is twisted by 2 crank degrees over 20 in.
func ExampleTwist() {
	t, err1 := units.TwistOf(2*units.CrankDegree, 20*units.Inch)
	foot, err2 := t.Over(units.Foot)
	fmt.Printf("%.6g crank deg/m, %.6g crank deg/in\n", t.CrankDegreesPerMeter(), t.CrankDegreesPerInch())
	fmt.Println(foot, errors.Join(err1, err2))
	// Output:
	// 3.93701 crank deg/m, 0.1 crank deg/in
	// 1.2 crank deg <nil>
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
	fmt.Println(units.Source{Text: "a card"}.Given()) // nobody says how well it is attested
	// Output:
	// JCGM 106:2012, 8.2 (verified)
	// no source
	// false
}

func ExampleProvenance_OutsideCheck() {
	for _, p := range []units.Provenance{units.Computed, units.CommonPractice, units.Stated} {
		fmt.Println(p, p.OutsideCheck())
	}
	// Output:
	// computed true
	// common practice false
	// stated false
}
