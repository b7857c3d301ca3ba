package valvetrain_test

import (
	"fmt"
	"time"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// show prints values, or the error beside them. The springs of these examples
// are those of the straight-six of a restored wooden workboat; the figures are
// invented.
func show(err error, values ...any) {
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(values...)
}

// newtons prints a force.
func newtons(f units.Force) string { return fmt.Sprintf("%.1f N", f.Newtons()) }

func ExampleWireMaterial_Modulus() {
	m, err := valvetrain.MusicWire.Modulus(units.MustParseLength("0.148 in"))
	show(err, fmt.Sprintf("G = %.2f million psi", m.Shear.PoundsPerSquareInch()/1e6))
	_, err = valvetrain.MusicWire.Modulus(units.MustParseLength("0.300 in"))
	fmt.Println(err)
	// Output:
	// G = 11.60 million psi
	// valvetrain: wire: "7.620 mm (0.3000 in)": out of range: the table of music wire ends at 6.350 mm (0.2500 in)
}

func ExampleWireStrength_Tensile() {
	s, err := valvetrain.WireStrength{Coefficient: units.Megapascals(2000), Reference: units.Millimeter, Exponent: 0.15}.Tensile(4 * units.Millimeter)
	show(err, fmt.Sprintf("%.0f MPa", s.Megapascals()))
	// Output: 1625 MPa
}

func ExampleWinding_Coils() {
	w := valvetrain.Winding{Ends: valvetrain.ClosedGroundEnds, Wire: units.WithU(4*units.Millimeter, 10*units.Micrometer), Total: 7.5}
	c, err := w.Coils()
	show(err, c.Active, "coils act, solid at", c.Solid.Value)
	// Output: 5.5 coils act, solid at 30 mm
}

func ExampleWinding_Pitch() {
	w := valvetrain.Winding{Ends: valvetrain.ClosedGroundEnds, Wire: units.Unstated(4 * units.Millimeter), Total: 7.5}
	p, err := w.Pitch(52 * units.Millimeter)
	show(err, "pitch", p)
	free, err := w.FreeLength(p)
	show(err, "free length", free)
	// Output:
	// pitch 8 mm
	// free length 52 mm
}

func ExampleWinding_FreeLength() {
	w := valvetrain.Winding{Ends: valvetrain.PlainGroundEnds, Wire: units.Unstated(4 * units.Millimeter), Total: 7.5}
	free, err := w.FreeLength(8 * units.Millimeter)
	show(err, free)
	// Output: 60 mm
}

func ExampleSpringEnds_TotalFor() {
	n, err := valvetrain.ClosedGroundEnds.TotalFor(5.5)
	show(err, n, "coils in all")
	// Output: 7.5 coils in all
}

func ExamplePitchReading_Total() {
	n, err := valvetrain.PitchReading{
		Ends: valvetrain.ClosedGroundEnds, Wire: 4 * units.Millimeter, Pitch: 8 * units.Millimeter, Free: 52 * units.Millimeter,
	}.Total()
	show(err, n, "coils in all")
	// Output: 7.5 coils in all
}

func ExampleCoil_Rate() {
	c := valvetrain.Coil{
		Wire:    units.WithU(4*units.Millimeter, 10*units.Micrometer),
		Outside: units.WithU(30*units.Millimeter, 50*units.Micrometer),
		Active:  5.5,
		Shear:   units.WithU(units.Megapascals(79300), units.Megapascals(800)),
	}
	r, err := c.Rate()
	show(err, fmt.Sprintf("k = %.2f N/mm, u = %.2f N/mm, C = %.1f", r.Rate.Value.NewtonsPerMillimeter(), r.Rate.U.NewtonsPerMillimeter(), r.Index))
	n, err := c.ActiveFor(units.NewtonsPerMillimeter(26))
	show(err, fmt.Sprintf("26 N/mm on the tester: %.2f coils act", n))
	// Output:
	// k = 26.25 N/mm, u = 0.42 N/mm, C = 6.5
	// 26 N/mm on the tester: 5.55 coils act
}

func ExampleCoil_ActiveFor() {
	n, err := wire4.ActiveFor(units.NewtonsPerMillimeter(26))
	show(err, fmt.Sprintf("%.2f", n))
	// Output: 5.55
}

func ExampleCoil_Stress() {
	s, err := wire4.Stress(units.Newtons(700))
	show(err, fmt.Sprintf("static %.0f MPa, Wahl %.0f MPa", s.Static.Megapascals(), s.Wahl.Megapascals()))
	// Output: static 780 MPa, Wahl 891 MPa
}

func ExampleCoil_ForceFor() {
	f, err := wire4.ForceFor(valvetrain.StressLimit{Stress: units.Megapascals(900), Factor: valvetrain.WahlFactor})
	show(err, newtons(f))
	// Output: 706.7 N
}

func ExampleCoil_Surge() {
	s, err := wire4.Surge(units.KilogramsPerCubicMeter(7850))
	show(err, fmt.Sprintf("%.1f Hz", s.Frequency.RevolutionsPerSecond()))
	m, err := s.At(units.RevolutionsPerMinute(2200))
	show(err, fmt.Sprintf("order %.2f: harmonic %d rings it at %.0f rpm of the cam", m.Order, m.Harmonic, m.Critical.RevolutionsPerMinute()))
	// Output:
	// 384.8 Hz
	// order 10.50: harmonic 10 rings it at 2309 rpm of the cam
}

func ExampleSpringMass_Surge() {
	s, err := valvetrain.SpringMass{Rate: units.NewtonsPerMillimeter(30), Mass: units.Grams(42.5)}.Surge()
	show(err, fmt.Sprintf("%.1f Hz", s.Frequency.RevolutionsPerSecond()))
	// Output: 420.1 Hz
}

func ExampleSurge_At() {
	s, err := valvetrain.SpringMass{Rate: units.NewtonsPerMillimeter(30), Mass: units.Grams(42.5)}.Surge()
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := s.At(units.RevolutionsPerMinute(2900))
	show(err, m.Harmonic, fmt.Sprintf("%.0f rpm over", m.Margin.RevolutionsPerMinute()))
	c, err := s.Critical(9)
	show(err, fmt.Sprintf("%.0f rpm", c.RevolutionsPerMinute()))
	// Output:
	// 9 99 rpm over
	// 2801 rpm
}

func ExampleSurge_Critical() {
	c, err := valvetrain.Surge{Frequency: units.RevolutionsPerSecond(400)}.Critical(8)
	show(err, fmt.Sprintf("%.0f rpm of the cam", c.RevolutionsPerMinute()))
	// Output: 3000 rpm of the cam
}

func ExampleSurgeRule() {
	limit, err := valvetrain.SurgeRule(units.RevolutionsPerMinute(1800))
	show(err, fmt.Sprintf("at least %.0f Hz", limit.Min.RevolutionsPerSecond()))
	// Output: at least 450 Hz
}

func ExampleFactorsOf() {
	f, err := valvetrain.FactorsOf(6)
	show(err, fmt.Sprintf("static %.4f, Wahl %.4f, Bergstraesser %.4f", f.Static, f.Wahl, f.Bergstraesser))
	// Output: static 1.0833, Wahl 1.2525, Bergstraesser 1.2381
}

func ExampleWireSizing_Wire() {
	d, err := valvetrain.WireSizing{
		Force: units.Newtons(700), Index: 6, Limit: valvetrain.StressLimit{Stress: units.Megapascals(600), Factor: valvetrain.WahlFactor},
	}.Wire()
	show(err, d.Text(units.Millimeters, 2))
	// Output: 4.73 mm
}

func ExampleBench_Line() {
	var b valvetrain.Bench
	for _, r := range []struct {
		height units.Length
		force  float64
	}{{42 * units.Millimeter, 318}, {36 * units.Millimeter, 491}, {30 * units.Millimeter, 657}} {
		b = append(b, valvetrain.LoadReading{Height: units.Unstated(r.height), Force: units.Unstated(units.Newtons(r.force))})
	}
	l, err := b.Line()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("rate %.2f N/mm, free length %s, worst reading %d off by %.1f N\n", l.Rate.Value.NewtonsPerMillimeter(), l.Free.Value.Text(units.Millimeters, 2), l.Worst+1, l.Residuals[l.Worst].Newtons())
	// Output: rate 28.25 N/mm, free length 53.30 mm, worst reading 2 off by 2.3 N
}

func ExampleBenchLine_Cautions() {
	fmt.Println(len(valvetrain.BenchLine{}.Cautions()), "cautions, the first from:", valvetrain.BenchLine{}.Cautions()[0].Source)
	// Output: 2 cautions, the first from: practice of the trade (common practice)
}

func ExampleLinearSpring() {
	s := valvetrain.LinearSpring{
		Height: 42 * units.Millimeter,
		Force:  units.WithU(units.Newtons(320), units.Newtons(4)),
		Rate:   units.WithU(units.NewtonsPerMillimeter(28), units.NewtonsPerMillimeter(0.3)),
		Solid:  units.Unstated(units.MustParseLength("25.8 mm")),
	}
	open, err := s.ForceAt(30 * units.Millimeter)
	show(err, "open", newtons(open))
	l, err := s.LoadAt(30 * units.Millimeter)
	show(err, "with u =", newtons(l.Force.U))
	free, err := s.FreeLength()
	show(err, "free length", free.Value.Text(units.Millimeters, 2))
	h, err := s.HeightAt(units.Newtons(500))
	show(err, "500 N at", h.Text(units.Millimeters, 2))
	fmt.Println("solid at", s.SolidHeight().Value)
	_, err = s.ForceAt(25 * units.Millimeter)
	fmt.Println(err)
	// Output:
	// open 656.0 N
	// with u = 5.4 N
	// free length 53.43 mm
	// 500 N at 35.57 mm
	// solid at 25.8 mm
	// valvetrain: height: "25.000 mm (0.9843 in)": impossible: want at least the solid height, 25.800 mm (1.0157 in)
}

func ExampleNest() {
	n := valvetrain.Nest{Springs: []valvetrain.NestSpring{
		{Name: "outer", Spring: outer},
		{Name: "inner", Spring: inner, Step: 2 * units.Millimeter}, // stands on a step of the retainer
	}}
	f, err := n.ForceAt(36 * units.Millimeter)
	show(err, "at 36 mm:", newtons(f))
	l, err := n.LoadAt(36 * units.Millimeter)
	show(err, "rate:", l.Rate.NewtonsPerMillimeter(), "N/mm")
	h, err := n.HeightAt(units.Newtons(800))
	show(err, "800 N at:", h.Text(units.Millimeters, 2))
	fmt.Println("first solid at:", n.SolidHeight().Value)
	// Output:
	// at 36 mm: 706.0 N
	// rate: 41 N/mm
	// 800 N at: 33.71 mm
	// first solid at: 26.9 mm
}

func ExampleNest_Check() {
	r, err := pair.Check(valvetrain.Installed{
		Height:    units.WithU(42*units.Millimeter, 100*units.Micrometer),
		Lift:      units.WithU(12*units.Millimeter, 50*units.Micrometer),
		LeastBind: units.Some(units.AtLeast(units.Millimeter, own)),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("seat", newtons(r.Seat.Value), "open", newtons(r.Open.Value.Value), "u", newtons(r.Open.Value.U))
	for _, s := range r.Springs {
		fmt.Println(s.Name, "keeps", s.Room.Value.Value, "to coil bind:", s.Bind.Value.Outcome)
	}
	// Output:
	// seat 460.0 N open 952.0 N u 7.7 N
	// outer keeps 4.2 mm to coil bind: within
	// inner keeps 3.1 mm to coil bind: within
}

func ExampleNestReport_Cautions() {
	r, err := pair.Check(valvetrain.Installed{Height: units.Unstated(42 * units.Millimeter), Lift: units.Unstated(units.MustParseLength("15.5 mm"))})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Cautions()[2].Text)
	// Output: inner is solid before full lift: do not turn the engine
}

func ExampleWoundSpring_Curve() {
	// A beehive: three and a half coils of 27 mm, and a cone on them.
	c, err := valvetrain.WoundSpring{
		Wire: units.MustParseLength("4.2 mm"), Shear: units.Megapascals(79300), Free: 52 * units.Millimeter,
		Runs: []valvetrain.CoilRun{
			{Turns: 3.5, From: 27 * units.Millimeter, To: 27 * units.Millimeter, Gap: units.MustParseLength("3.2 mm")},
			{Turns: 2.5, From: 27 * units.Millimeter, To: 19 * units.Millimeter, Gap: units.MustParseLength("3.0 mm")},
		},
	}.Curve()
	if err != nil {
		fmt.Println(err)
		return
	}
	l, err := c.LoadAt(47 * units.Millimeter)
	show(err, newtons(l.Force.Value), fmt.Sprintf("%.2f N/mm", l.Rate.NewtonsPerMillimeter()), "solid at", c.SolidHeight().Value)
	// Output: 153.9 N 30.77 N/mm solid at 33.3 mm
}

func ExampleStagedSpring_Curve() {
	c, err := valvetrain.StagedSpring{Free: 50 * units.Millimeter, Stages: []valvetrain.Stage{
		{Rate: units.NewtonsPerMillimeter(60), Travel: 4 * units.Millimeter},
		{Rate: units.NewtonsPerMillimeter(90), Travel: 14 * units.Millimeter},
	}}.Curve()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, h := range []units.Length{46 * units.Millimeter, 39 * units.Millimeter} {
		l, err := c.LoadAt(h)
		show(err, h, newtons(l.Force.Value), fmt.Sprintf("%.0f N/mm", l.Rate.NewtonsPerMillimeter()))
	}
	// Output:
	// 46 mm 144.0 N 36 N/mm
	// 39 mm 630.0 N 90 N/mm
}

func ExampleSpringCurve() {
	c, err := valvetrain.StagedSpring{Free: 50 * units.Millimeter, Stages: []valvetrain.Stage{
		{Rate: units.NewtonsPerMillimeter(60), Travel: 4 * units.Millimeter},
		{Rate: units.NewtonsPerMillimeter(90), Travel: 14 * units.Millimeter},
	}}.Curve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c.FreeLength(), "free,", c.SolidHeight().Value, "solid")
	f, err := c.ForceAt(46 * units.Millimeter)
	show(err, newtons(f))
	l, err := c.LoadAt(46 * units.Millimeter)
	show(err, fmt.Sprintf("%.0f N/mm", l.Rate.NewtonsPerMillimeter()))
	// Output:
	// 50 mm free, 32 mm solid
	// 144.0 N
	// 36 N/mm
}

func ExampleShimJob_ForHeight() {
	j := valvetrain.ShimJob{
		Unshimmed: units.MustParseLength("1.762 in"),
		Stock: []valvetrain.ShimStock{
			{Thickness: units.MustParseLength("0.015 in"), Count: 12},
			{Thickness: units.MustParseLength("0.030 in"), Count: 12},
			{Thickness: units.MustParseLength("0.060 in"), Count: 1},
		},
	}
	p, err := j.ForHeight(units.MustParseLength("1.700 in"))
	show(err, p.Count, "shim of", p.Total.Text(units.Inches, 3), "stands at", p.Height.Text(units.Inches, 3))
	// Output: 1 shim of 0.060 in stands at 1.702 in
}

func ExampleShimJob_ForLoad() {
	j := valvetrain.ShimJob{Unshimmed: 43 * units.Millimeter, Stock: []valvetrain.ShimStock{
		{Thickness: units.MustParseLength("0.5 mm"), Count: 4}, {Thickness: units.MustParseLength("0.8 mm"), Count: 2},
	}}
	p, err := j.ForLoad(outer, units.Newtons(330))
	show(err, p.Count, "shims,", p.Total, "thick, give", newtons(p.Force.Value), "on the seat")
	// Output: 2 shims, 1.3 mm thick, give 328.4 N on the seat
}

func ExampleShimPlan_Cautions() {
	fmt.Println(valvetrain.ShimPlan{}.Cautions()[2].Text)
	// Output: a shim takes its thickness from the room to coil bind of every spring of the nest: check it again at full lift
}

func ExampleSet_Compare() {
	// The seat forces of one cylinder bank at the installed height.
	s := valvetrain.Set[units.Force]{Spread: units.Some(units.AtMost(units.Newtons(20), own))}
	for i, f := range []float64{321, 318, 323, 289, 320, 322} {
		s.Members = append(s.Members, valvetrain.Member[units.Force]{Name: fmt.Sprint("spring ", i+1), Value: units.WithU(units.Newtons(f), units.Newtons(2))})
	}
	r, err := s.Compare()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("median", newtons(r.Median), "spread", newtons(r.Spread.Value), r.SpreadVerdict.Value.Outcome)
	for _, i := range r.Outliers {
		fmt.Println("read again:", r.Members[i].Name)
	}
	// Output:
	// median 320.5 N spread 34.0 N outside
	// read again: spring 4
}

// Leak-down times of a set of lifters.
func ExampleSet_Compare_leakDown() {
	var s valvetrain.Set[time.Duration]
	for i, t := range []time.Duration{31, 28, 30, 11, 33, 30, 29, 32} {
		s.Members = append(s.Members, valvetrain.Member[time.Duration]{Name: fmt.Sprint("lifter ", i+1), Value: units.Unstated(t * time.Second)})
	}
	r, err := s.Compare()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("median", r.Median)
	for _, i := range r.Outliers {
		fmt.Println("read again:", r.Members[i].Name, r.Members[i].Value.Value)
	}
	// Output:
	// median 30s
	// read again: lifter 4 11s
}

func ExampleSpringLoss_Check() {
	r, err := valvetrain.SpringLoss{
		New: units.WithU(units.Newtons(320), 0), Now: units.WithU(units.Newtons(282), units.Newtons(2)), LeastShare: 0.9, Source: own,
	}.Check()
	show(err, newtons(r.Loss.Value), fmt.Sprintf("lost, %.1f %%:", 100*r.Share), r.Verdict.Value.Outcome)
	// Output: 38.0 N lost, 11.9 %: outside
}

func ExampleThread_Travel() {
	l, err := valvetrain.Thread{PerInch: 24}.Travel(valvetrain.Turns{Parts: 3, Of: 4})
	show(err, l.Text(units.Inches, 5))
	l, err = valvetrain.Thread{Pitch: units.MustParseLength("1.25 mm")}.Travel(valvetrain.Turns{Whole: 1, Parts: 1, Of: 4})
	show(err, l)
	// Output:
	// 0.03125 in
	// 1.5625 mm
}

func ExamplePreloadJob_Preload() {
	p, err := valvetrain.PreloadJob{
		Adjuster: valvetrain.Adjuster{Place: valvetrain.AtPivot, Thread: valvetrain.Thread{PerInch: 24}, Ratio: 1.6},
		Turns:    valvetrain.Turns{Parts: 3, Of: 4},
		Travel:   units.Unstated(units.MustParseLength("0.140 in")),
	}.Preload()
	show(err, p.Preload.Value.Text(units.Inches, 4), "pressed,", p.Left.Value.Text(units.Inches, 4), "left")
	// Output: 0.0508 in pressed, 0.0892 in left
}

func ExamplePreload_Cautions() {
	fmt.Println(valvetrain.Preload{Left: units.Unstated(-units.Thou)}.Cautions()[2].Text)
	// Output: the plunger is at its bottom: the valve does not close
}

func ExampleAdjuster_TurnsFor() {
	a := valvetrain.Adjuster{Place: valvetrain.AtPivot, Thread: valvetrain.Thread{Pitch: units.MustParseLength("1.25 mm")}, Ratio: 1.5}
	p, err := a.TurnsFor(valvetrain.WantedPreload{Preload: units.Millimeter, Of: 6})
	show(err, p.Turns, "give", p.Preload.Text(units.Millimeters, 3))
	// Output: 3/6 turn give 1.042 mm
}

func ExampleLifterFit_Clearance() {
	r := func(s string) units.Measured[units.Length] {
		return units.WithU(units.MustParseLength(s), units.MustParseLength("0.0001 in"))
	}
	c, err := valvetrain.LifterFit{
		Bore:   []units.Measured[units.Length]{r("0.9053 in"), r("0.9055 in"), r("0.9054 in")},
		Body:   []units.Measured[units.Length]{r("0.9038 in"), r("0.9036 in")},
		Limits: units.Some(units.Between(units.MustParseLength("0.0010 in"), units.MustParseLength("0.0025 in"), own)),
	}.Clearance()
	show(err, c.Smallest.Value.Text(units.Inches, 4), "to", c.Largest.Value.Text(units.Inches, 4)+":", c.Outcome)
	// Output: 0.0015 in to 0.0019 in: within
}

func ExampleLifterHandChecks_Records() {
	for _, r := range (valvetrain.LifterHandChecks{FreeFall: valvetrain.Passed}).Records() {
		fmt.Println(r.Name+":", r.Finding, "-", r.Outcome)
	}
	// Output:
	// free fall: passed - within
	// free rotation: not done - not proved
}

func ExampleFaceReadings_Face() {
	r := func(s string) units.Measured[units.Length] { return units.Unstated(units.MustParseLength(s)) }
	f, err := valvetrain.FaceReadings{
		Center: r("0.0014 in"), Rim: []units.Measured[units.Length]{r("0.0002 in"), r("-0.0004 in"), r("-0.0010 in"), r("-0.0008 in")},
		RimRadius: units.MustParseLength("0.375 in"),
	}.Face()
	show(err, "crown", f.Crown.Value.Text(units.Inches, 4), "radius", f.Radius.Value.Text(units.Inches, 1), "runout", f.Runout.Value.Text(units.Inches, 4))
	// Output: crown 0.0019 in radius 37.0 in runout 0.0012 in
}

func ExampleSpringLossResult_Cautions() {
	fmt.Println(valvetrain.SpringLossResult{}.Cautions()[1].Text)
	// Output:
	// never press a spring to its solid height to see where that is with the valve gear assembled: measure it on the bench
}

func ExampleKeeperReport_Cautions() {
	fmt.Println(len(valvetrain.KeeperReport{}.Cautions()))
	// Output: 2
}
