package clearance_test

import (
	"fmt"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// A rod bolt of the workboat, read free and tightened with one micrometer,
// against the stretch that its card asks for.
func ExampleBolt() {
	bolt := clearance.Bolt{
		Segments: []clearance.Segment{
			{Length: units.MustParseLength("1.20 in"), Area: units.SquareInches(0.0767)},
			{Length: units.MustParseLength("0.50 in"), Area: units.SquareInches(0.0878)},
		},
		Young: units.WithU(units.PoundsPerSquareInch(30e6), units.PoundsPerSquareInch(0.3e6)),
	}
	r, err := clearance.StretchReadings{
		Free:      units.WithU(units.MustParseLength("2.2500 in"), units.MustParseLength("0.0001 in")),
		Tightened: units.WithU(units.MustParseLength("2.2563 in"), units.MustParseLength("0.0001 in")),
		Bolt:      bolt,
	}.Preload()
	if err != nil {
		fmt.Println(err)
		return
	}
	card := units.Source{Text: "the card of the rods", Provenance: units.Stated}
	v, err := units.Judge(r.Stretch, units.Between(units.MustParseLength("0.0058 in"), units.MustParseLength("0.0068 in"), card), units.ProveAt95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("stretch %s, %s\n", r.Stretch.Value.Text(units.Inches, 4), v.Outcome)
	fmt.Printf("preload %.0f lbf (u = %.0f lbf)\n", r.Load.Value.PoundsForce(), r.Load.U.PoundsForce())

	// The same from the load.
	s, err := bolt.UnderLoad(r.Load)
	fmt.Println(s.Stretch.Value.Text(units.Inches, 4), err)
	// And from the stretch.
	s, err = bolt.AtStretch(r.Stretch)
	fmt.Printf("%.0f lbf, %v\n", s.Load.Value.PoundsForce(), err)
	// Output:
	// stretch 0.0063 in, within
	// preload 8857 lbf (u = 218 lbf)
	// 0.0063 in <nil>
	// 8857 lbf, <nil>
}

func ExampleStretchReadings() {
	bar := clearance.Bolt{Segments: []clearance.Segment{{Length: 100 * units.Millimeter, Area: units.SquareMillimeters(100)}}, Young: units.Unstated(units.Megapascals(200e3))}
	r, err := clearance.StretchReadings{Free: units.Unstated(120 * units.Millimeter), Tightened: units.Unstated(120*units.Millimeter + 100*units.Micrometer), Bolt: bar}.Preload()
	fmt.Printf("%.3f kN, %v\n", r.Load.Value.Kilonewtons(), err)
	// Output: 20.000 kN, <nil>
}

// A stud that is heated instead of torqued.
func ExampleBoltStretch() {
	stud := clearance.Bolt{Segments: []clearance.Segment{{Length: 5 * units.Inch, Area: units.SquareInches(0.334)}}, Young: units.Unstated(units.PoundsPerSquareInch(30e6))}
	s, err := stud.UnderLoad(units.Unstated(units.PoundsForce(24131.5)))
	if err != nil {
		fmt.Println(err)
		return
	}
	rise, err := s.Rise(units.PerDegreeFahrenheit(6.5e-6))
	fmt.Printf("%s, %.1f Fahrenheit degrees, %v\n", s.Stretch.Value.Text(units.Inches, 5), rise.FahrenheitDegrees(), err)
	// Output: 0.01204 in, 370.5 Fahrenheit degrees, <nil>
}

func ExampleThread() {
	for _, s := range []string{"3/8-24 UNF", "M10x1.5"} {
		t, err := clearance.ParseThread(s)
		if err != nil {
			fmt.Println(err)
			return
		}
		a, err1 := t.StressArea()
		d, err2 := t.PitchDiameter()
		fmt.Printf("%s: %.1f mm2, pitch diameter %s, %v %v\n", t, a.SquareMillimeters(), d.Text(units.Millimeters, 3), err1, err2)
	}
	// Output:
	// 0.375-24 UN: 56.7 mm2, pitch diameter 8.838 mm, <nil> <nil>
	// M10x1.5: 58.0 mm2, pitch diameter 9.026 mm, <nil> <nil>
}

func ExampleNutCondition() {
	k, err := clearance.Lubricated.Factor()
	fmt.Println(k.K, err)
	// Output: 0.18 <nil>
}

// A main cap bolt, M10, tightened to three quarters of its proof load, and
// what friction leaves uncertain.
func ExampleTightening() {
	grade := clearance.BoltGrade{Standard: clearance.ISO898, Name: "10.9"}
	thread := clearance.Thread{Form: clearance.MetricThread, Major: 10 * units.Millimeter, Pitch: units.MustParseLength("1.5 mm")}
	strength, err1 := grade.Strength(thread.Major)
	area, err2 := thread.StressArea()
	share, err3 := clearance.ReusedJoint.Share()
	if err1 != nil || err2 != nil || err3 != nil {
		fmt.Println(err1, err2, err3)
		return
	}
	proof := clearance.ProofShare{Proof: strength.Proof, Area: area}
	preload, err := proof.Preload(share)
	if err != nil {
		fmt.Println(err)
		return
	}
	d2, err := thread.PitchDiameter()
	if err != nil {
		fmt.Println(err)
		return
	}
	friction, err := clearance.ThreadFriction{
		Diameter: thread.Major, Mean: d2, Lead: thread.Pitch,
		Thread: clearance.Friction{Coefficient: 0.14, U: 0.02}, Head: clearance.Friction{Coefficient: 0.14, U: 0.02}, Stated: true,
	}.Factor()
	if err != nil {
		fmt.Println(err)
		return
	}
	t, err := clearance.Tightening{Diameter: thread.Major, Factor: friction.NutFactor}.Torque(units.WithU(preload, 0))
	if err != nil {
		fmt.Println(err)
		return
	}
	back, err := clearance.Tightening{Diameter: thread.Major, Factor: friction.NutFactor}.Preload(units.WithU(t.Torque.Value, 0))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f kN at K = %.3f: %.1f N m\n", preload.Kilonewtons(), friction.NutFactor.K, t.Torque.Value.NewtonMeters())
	fmt.Printf("by that torque %.1f kN (u = %.1f kN)\n", back.Preload.Value.Kilonewtons(), back.Preload.U.Kilonewtons())
	limits := units.AtMost(units.Newtons(float64(proof.Proof)*float64(proof.Area)), strength.Source)
	v, err := units.Judge(back.Preload, limits, units.ProveAt95)
	fmt.Println("under the proof load:", v.Outcome, err)
	// Output:
	// 36.1 kN at K = 0.185: 66.8 N m
	// by that torque 36.1 kN (u = 3.2 kN)
	// under the proof load: within <nil>
}

func ExampleThreadFriction() {
	r, err := clearance.ThreadFriction{
		Diameter: units.MustParseLength("0.75 in"), Root: units.MustParseLength("0.6685 in"), Lead: units.MustParseLength("0.0625 in"),
		Thread: clearance.Friction{Coefficient: 0.15}, Head: clearance.Friction{Coefficient: 0.15},
	}.Factor()
	fmt.Printf("K = %.4f, lead angle %.3f deg, %.0f %% of the torque stretches, %v\n", r.NutFactor.K, r.LeadAngle.Degrees(), 100*r.Pull/r.NutFactor.K, err)
	// Output: K = 0.1894, lead angle 1.607 deg, 7 % of the torque stretches, <nil>
}

func ExampleBoltGrade() {
	s, err := clearance.BoltGrade{Standard: clearance.SAEJ429, Name: "8"}.Strength(units.MustParseLength("3/8 in"))
	fmt.Printf("%.0f kpsi proof, %v\n", s.Proof.PoundsPerSquareInch()/1000, err)
	// Output: 120 kpsi proof, <nil>
}

func ExampleTensionScatter() {
	for _, way := range []clearance.TensionScatter{clearance.ByTorqueDry, clearance.ByStretch} {
		b, err := way.Band(units.Kilonewtons(40))
		fmt.Printf("%s: %.0f to %.0f kN, %v\n", way, b.Low.Kilonewtons(), b.High.Kilonewtons(), err)
	}
	// Output:
	// torque wrench, unlubricated: 26 to 54 kN, <nil>
	// elongation measured: 36 to 44 kN, <nil>
}

func ExamplePreloadSample() {
	s := clearance.PreloadSample{units.Kilonewtons(30), units.Kilonewtons(32), units.Kilonewtons(34)}
	r, err := s.Scatter()
	fmt.Printf("%.0f kN, sd %.0f kN, %.4f, %v\n", r.Mean.Kilonewtons(), r.Deviation.Kilonewtons(), r.Relative, err)
	// Output: 32 kN, sd 2 kN, 0.0625, <nil>
}

func ExampleBoltedJoint() {
	j := clearance.BoltedJoint{Bolt: units.NewtonsPerMillimeter(200e3), Members: units.NewtonsPerMillimeter(800e3), Lead: units.MustParseLength("1.5 mm")}
	a, err := j.Turn(units.Kilonewtons(30))
	fmt.Printf("%.0f degrees past snug, %v\n", a.Degrees(), err)
	f, err := j.Gain(a)
	fmt.Printf("%.0f kN, %v\n", f.Kilonewtons(), err)
	c, err := j.BoltShare()
	fmt.Println(c, err)
	// Output:
	// 45 degrees past snug, <nil>
	// 30 kN, <nil>
	// 0.2 <nil>
}

func ExampleJointLoad() {
	s, err := clearance.JointLoad{
		Joint:   clearance.BoltedJoint{Bolt: units.NewtonsPerMillimeter(200e3), Members: units.NewtonsPerMillimeter(800e3)},
		Preload: units.Kilonewtons(30), External: units.Kilonewtons(10), Area: units.SquareMillimeters(58),
	}.State()
	fmt.Printf("bolt %.0f kN, clamp %.0f kN, opens at %.1f kN, %v\n", s.Bolt.Kilonewtons(), s.Clamp.Kilonewtons(), s.Separation.Kilonewtons(), err)
	// Output: bolt 32 kN, clamp 22 kN, opens at 37.5 kN, <nil>
}

func ExampleProofShare() {
	p := clearance.ProofShare{Proof: units.Megapascals(830), Area: units.SquareMillimeters(58)}
	load, err := p.ProofLoad()
	fmt.Printf("%.2f kN, %v\n", load.Kilonewtons(), err)
	f, err := p.Preload(0.75)
	fmt.Printf("%.1f kN, %v\n", f.Kilonewtons(), err)
	x, err := p.ShareOf(units.Kilonewtons(24.07))
	fmt.Printf("%.2f, %v\n", x, err)
	// Output:
	// 48.14 kN, <nil>
	// 36.1 kN, <nil>
	// 0.50, <nil>
}

func ExamplePreloadRule() {
	x, err := clearance.PermanentJoint.Share()
	fmt.Println(x, err)
	fmt.Println(clearance.PermanentJoint.Source().Provenance)
	// Output:
	// 0.9 <nil>
	// verified
}

func ExampleYieldTightening() {
	f, err := clearance.YieldTightening{
		PitchDiameter: units.MustParseLength("9.026 mm"), RootDiameter: units.MustParseLength("8.16 mm"), Lead: units.MustParseLength("1.5 mm"),
		Thread: 0.12, Yield: units.Megapascals(640), Share: 0.9,
	}.Preload()
	fmt.Printf("%.1f kN, %v\n", f.Kilonewtons(), err)
	// Output: 29.6 kN, <nil>
}

// 60 N m on a 10 mm bolt with a nut factor of 0.2: 60/(0.2 x 0.010) N.
func ExampleTightened_Working() {
	t, err := clearance.Tightening{Diameter: 10 * units.Millimeter, Factor: clearance.NutFactor{K: 0.2}}.Preload(units.Unstated(units.NewtonMeters(60)))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range t.Working() {
		fmt.Println(s.Symbol, "=", s.Formula, "=", s.Value)
	}
	// Output:
	// K = nut factor = 0.2
	// T = torque = 60 N m
	// F = T/(K d) = 30000 N
}
