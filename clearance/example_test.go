package clearance_test

import (
	"fmt"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// workboatMain is main bearing 4 of the workboat six as read: shell bore at
// the crown, journal in three directions, each at both ends.
func workboatMain() clearance.Bearing {
	u := units.MustParseLength("0.0001 in")
	read := func(s string) units.Measured[units.Length] { return units.WithU(units.MustParseLength(s), u) }
	at := func(s string, d ...clearance.Diameter) clearance.Station {
		return clearance.Station{At: units.MustParseLength(s), Diameters: d}
	}
	deg := units.CrankDegree
	return clearance.Bearing{
		Bore: clearance.Round{Stations: []clearance.Station{
			at("0.25 in", clearance.Diameter{Around: 90 * deg, Reading: read("2.7526 in")}, clearance.Diameter{Around: 50 * deg, Reading: read("2.7528 in")}),
			at("1.25 in", clearance.Diameter{Around: 90 * deg, Reading: read("2.7527 in")}, clearance.Diameter{Around: 50 * deg, Reading: read("2.7529 in")}),
		}},
		Journal: clearance.Round{Stations: []clearance.Station{
			at("0.25 in", clearance.Diameter{Reading: read("2.7500 in")}, clearance.Diameter{Around: 60 * deg, Reading: read("2.7498 in")}, clearance.Diameter{Around: 120 * deg, Reading: read("2.7499 in")}),
			at("1.25 in", clearance.Diameter{Reading: read("2.7503 in")}, clearance.Diameter{Around: 60 * deg, Reading: read("2.7501 in")}, clearance.Diameter{Around: 120 * deg, Reading: read("2.7502 in")}),
		}},
		SplitBore: true,
	}
}

func Example() {
	c, err := workboatMain().OilClearance()
	if err != nil {
		fmt.Println(err)
		return
	}
	card := units.Source{Text: "the engine's card", Provenance: units.Stated}
	v, err := c.Judge(units.Between(units.MustParseLength("0.0015 in"), units.MustParseLength("0.0045 in"), card), units.ProveAt95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("mean", c.Mean.Value.Text(units.Inches, 5))
	fmt.Println("smallest", c.Smallest.Clearance.Value.Text(units.Inches, 4))
	fmt.Println("largest", c.Largest.Clearance.Value.Text(units.Inches, 4))
	fmt.Println("taper of the journal", c.Journal.Taper.Value.Value.Text(units.Inches, 4))
	fmt.Println(v.Outcome)
	// Output:
	// mean 0.00270 in
	// smallest 0.0024 in
	// largest 0.0030 in
	// taper of the journal 0.0003 in
	// within
}

func ExampleBearing_OilClearance() {
	c, err := workboatMain().OilClearance()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c.Mean.Value.Text(units.Inches, 5), c.Radial.Value.Text(units.Inches, 5))
	fmt.Printf("%.5f per diameter\n", c.PerDiameter)
	// Output:
	// 0.00270 in 0.00135 in
	// 0.00098 per diameter
}

func ExampleOilClearance_Judge() {
	c, err := workboatMain().OilClearance()
	if err != nil {
		fmt.Println(err)
		return
	}
	// The trade's rule beside the card, labeled as what it is.
	rule, err := clearance.OilClearanceByDiameter.Limits(units.MustParseLength("2.75 in"))
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := c.Judge(rule, units.SimpleAcceptance)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("smallest", v.Smallest.Outcome, "largest", v.Largest.Outcome)
	fmt.Println(rule.Source)
	// Output:
	// smallest within largest outside
	// trade practice, no single source (common practice)
}

func ExampleRound_Shape() {
	s, err := workboatMain().Journal.Shape()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("out-of-round", s.OutOfRound.Value.Value.Text(units.Inches, 4))
	fmt.Println("taper", s.Taper.Value.Value.Text(units.Inches, 4), "over 1 in")
	// Output:
	// out-of-round 0.0002 in
	// taper 0.0003 in over 1 in
}

func ExampleDeviations_Size() {
	s, err := clearance.Deviations{
		Nominal: units.MustParseLength("20 mm"),
		Upper:   units.MustParseLength("-0.040 mm"),
		Lower:   units.MustParseLength("-0.061 mm"),
	}.Size()
	fmt.Println(s.Min, s.Max, err)
	// Output: 19.939 mm 19.96 mm <nil>
}

func ExampleFit_Clearance() {
	// Pin in rod bushing, by their limits.
	r, err := clearance.Fit{
		Bore:  clearance.Size{Min: units.MustParseLength("0.9903 in"), Max: units.MustParseLength("0.9906 in")},
		Shaft: clearance.Size{Min: units.MustParseLength("0.9899 in"), Max: units.MustParseLength("0.9901 in")},
	}.Clearance()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Min.Text(units.Inches, 4), "to", r.Max.Text(units.Inches, 4), r.Class)
	// Output: 0.0002 in to 0.0007 in clearance
}

func workboatStrip() clearance.Strip {
	u := units.MustParseLength("0.00025 in")
	return clearance.Strip{
		AtWidest:    units.WithU(units.MustParseLength("0.0025 in"), u),
		AtNarrowest: units.WithU(units.MustParseLength("0.0030 in"), u),
		Range:       clearance.Size{Min: units.MustParseLength("0.002 in"), Max: units.MustParseLength("0.006 in")},
	}
}

func ExampleStrip_Clearance() {
	r, err := workboatStrip().Clearance()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Smallest.Value.Text(units.Inches, 4), "taper", r.Taper.Value.Text(units.Inches, 4))
	// Output:
	// 0.0025 in taper 0.0005 in
}

func ExampleStripResult_Cautions() {
	for _, c := range (clearance.StripResult{}).Cautions()[:2] {
		fmt.Println(c.Text+",", c.Source)
	}
	// Output:
	// do not turn the crank with the strip in place, US Army TM 5-3895-383-24 p. 8-59 (verified)
	// read the strip at its widest part, US Army TM 5-3895-383-24 p. 8-59 (verified)
}

func ExampleStripResult_Working() {
	r, err := workboatStrip().Clearance()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range r.Working() {
		fmt.Println(s.Symbol, "=", s.Formula, "=", s.Value)
	}
	// Output:
	// smallest = scale at the widest place = 0.0635 mm (0.00250 in) (u = 0.0064 mm (0.00025 in))
	// largest = scale at the narrowest place = 0.0762 mm (0.00300 in) (u = 0.0064 mm (0.00025 in))
	// taper = largest - smallest = 0.0127 mm (0.00050 in) (u = 0.0090 mm (0.00035 in))
}

func ExampleStripResult_Compare() {
	strip, err := workboatStrip().Clearance()
	if err != nil {
		fmt.Println(err)
		return
	}
	bearing, err := workboatMain().OilClearance()
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := strip.Compare(bearing.Smallest.Clearance)
	fmt.Println(c.Difference.Value.Text(units.Inches, 4), "agree:", c.Agree, err)
	// Output: 0.0001 in agree: true <nil>
}

func ExampleSizeRule_Limits() {
	l, err := clearance.JournalOutOfRound.Limits(units.MustParseLength("2.75 in"))
	fmt.Println("at most", l.Max.Text(units.Inches, 4), err)
	fmt.Println(l.Source)
	// Output:
	// at most 0.0011 in <nil>
	// US Army TM 10-3930-647-14&P, wear limits list (verified)
}

func ExamplePlayRule_Limits() {
	l, err := clearance.CrankEndPlayGrowth.Limits(units.MustParseLength("0.009 in"))
	fmt.Println("at most", l.Max.Text(units.Inches, 3), err)
	// Output: at most 0.014 in <nil>
}

func ExampleRing_EndGap() {
	g, err := clearance.Ring{Bore: units.MustParseLength("4 in"), Duty: clearance.NaturallyAspirated}.EndGap()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(g.Limits.Min.Text(units.Inches, 3), "to", g.Limits.Max.Text(units.Inches, 3))
	fmt.Println(g.Limits.Source)
	// Output:
	// 0.014 in to 0.018 in
	// trade practice, no single source (common practice)
}

func ExampleGapMove_Moved() {
	// Read in the worn part of a tapered bore; the ring also runs in the unworn.
	g, err := clearance.GapMove{
		Gap:  units.Unstated(units.MustParseLength("0.0200 in")),
		From: units.Unstated(units.MustParseLength("4.0030 in")),
		To:   units.Unstated(units.MustParseLength("4.0000 in")),
	}.Moved()
	fmt.Println(g.Gap.Value.Text(units.Inches, 4), err)
	// Output: 0.0106 in <nil>
}

func ExampleFiling_Remove() {
	r, err := clearance.Filing{
		Gap:    units.Unstated(units.MustParseLength("0.0106 in")),
		Target: units.MustParseLength("0.016 in"),
	}.Remove()
	fmt.Println(r.Remove.Value.Text(units.Inches, 4), err)
	// Output: 0.0054 in <nil>
}

func ExampleDialReadings_Sweep() {
	var dial clearance.DialReadings
	for _, s := range []string{"0.000 in", "0.003 in", "-0.002 in", "0.003 in"} {
		dial = append(dial, units.Unstated(units.MustParseLength(s)))
	}
	s, err := dial.Sweep()
	fmt.Println(s.Total.Value.Text(units.Inches, 3), "bend", s.Bend.Value.Text(units.Inches, 4), err)
	// Output: 0.005 in bend 0.0025 in <nil>
}

func ExampleEndPlayReadings_EndPlay() {
	e, err := clearance.EndPlayReadings{
		Forward:  clearance.DialReadings{units.Unstated(units.MustParseLength("0.0065 in"))},
		Rearward: clearance.DialReadings{units.Unstated(units.MustParseLength("-0.0010 in"))},
	}.EndPlay()
	fmt.Println(e.Play.Value.Text(units.Inches, 4), err)
	// Output: 0.0075 in <nil>
}

func ExampleFeeler_Gap() {
	g, err := clearance.Feeler{
		units.Unstated(units.MustParseLength("0.012 in")),
		units.Unstated(units.MustParseLength("0.0015 in")),
	}.Gap()
	fmt.Println(g.Value.Text(units.Inches, 4), err)
	// Output: 0.0135 in <nil>
}

func ExampleRodsOnPin_SideClearance() {
	s, err := clearance.RodsOnPin{
		PinWidth:  units.Unstated(units.MustParseLength("1.890 in")),
		RodWidths: []units.Measured[units.Length]{units.Unstated(units.MustParseLength("0.938 in")), units.Unstated(units.MustParseLength("0.937 in"))},
	}.SideClearance()
	fmt.Println(s.Total.Value.Text(units.Inches, 3), err)
	// Output: 0.015 in <nil>
}
