package firingorder_test

import (
	"fmt"
	"log"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// balanceOf prepares an invented engine with throws 110 mm apart.
func balanceOf(l *firingorder.Layout) *firingorder.Balance {
	b, err := firingorder.NewBalance(firingorder.BalanceConfig{Layout: l, Pitch: 110 * units.Millimeter})
	if err != nil {
		log.Fatal(err)
	}
	return b
}

func fastEngine() firingorder.Reciprocating {
	return firingorder.Reciprocating{
		Mass: units.Grams(600), Stroke: 90 * units.Millimeter, Rod: 180 * units.Millimeter, Speed: units.RevolutionsPerMinute(3000),
	}
}

// The straight-six of the workboat is free of everything up to the fourth order;
// the two-plane V8 has a couple that turns with the crank, sqrt(10) of one
// cylinder's force times the pitch.
func ExampleNewBalance() {
	six := balanceOf(workboat().Layout())
	v8 := balanceOf(twoPlaneV8())
	for _, order := range []int{1, 2, 4, 6} {
		f, err := six.ForceRatio(order)
		if err != nil {
			log.Fatal(err)
		}
		m, err := six.CoupleRatio(order)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Println("six, order", order, "force", f.Max, "couple", m.Max)
	}
	m, err := v8.CoupleRatio(1)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("V8: forward %.4f at %.3f, backward %v\n", m.Forward.Size, m.Forward.Direction.Degrees(), m.Backward.Size)
	// Output:
	// six, order 1 force 0 couple 0
	// six, order 2 force 0 couple 0
	// six, order 4 force 0 couple 0
	// six, order 6 force 6 couple 0
	// V8: forward 3.1623 at 198.435, backward 0
}

func ExampleBalance_Force() {
	f, err := balanceOf(oddTwin().Layout()).Force(1, fastEngine())
	if err != nil {
		log.Fatal(err)
	}
	// One piston has 0.6 kg 0.045 m (314.16/s)^2 = 2664.8 N; 1 + cos 45 of it when
	// the pin is half way between the banks, 1 - cos 45 a quarter turn later.
	fmt.Printf("%.1f N at %v\n", f.Max.Newtons(), f.MaxAt)
	fmt.Printf("%.1f N at %v\n", f.Min.Newtons(), f.MinAt)
	// Output:
	// 4549.1 N at 22.5 crank deg
	// 780.5 N at 112.5 crank deg
}

func ExampleBalance_Couple() {
	m, err := balanceOf(twoPlaneV8()).Couple(1, fastEngine())
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.1f N m all around\n", m.Max.NewtonMeters())
	fmt.Println(m.Max == m.Min)
	// Output:
	// 926.9 N m all around
	// true
}

func ExampleBalance_ForceRatio() {
	bank, err := firingorder.Degrees(90)
	if err != nil {
		log.Fatal(err)
	}
	flat, err := firingorder.V(firingorder.VConfig{
		Crank: firingorder.FourSinglePlane, BankAngle: bank, Numbering: firingorder.Bankwise, BankOfOne: firingorder.PassedFirst,
	})
	if err != nil {
		log.Fatal(err)
	}
	f, err := balanceOf(flat).ForceRatio(2)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.4f, and never below %v\n", f.Max, f.Min)
	fmt.Println("across the V:", f.At(f.MaxAt).Direction)
	// Output:
	// 5.6569, and never below 0
	// across the V: 315 crank deg
}

func ExampleBalance_CoupleRatio() {
	six := balanceOf(workboat().Layout())
	m, err := six.CoupleRatio(2)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(m.Max)
	// Output: 0
}

// A 90 degree V twin on one pin: a force that only turns with the crank.
func ExampleRotating() {
	bank, err := firingorder.Degrees(90)
	if err != nil {
		log.Fatal(err)
	}
	twin, err := firingorder.V(firingorder.VConfig{
		Crank: firingorder.OnePin, BankAngle: bank, Numbering: firingorder.Alternating, BankOfOne: firingorder.PassedFirst,
	})
	if err != nil {
		log.Fatal(err)
	}
	f, err := balanceOf(twin).ForceRatio(1)
	if err != nil {
		log.Fatal(err)
	}
	at := f.At(30 * units.CrankDegree)
	fmt.Printf("%.4f along cylinder 1, %.4f across, at %v\n", at.Along, at.Across, at.Direction)
	share, err := f.Fractions()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("counterweights for %.2f of the reciprocating mass\n", share.Forward)
	// Output:
	// 0.8660 along cylinder 1, 0.5000 across, at 30 crank deg
	// counterweights for 0.50 of the reciprocating mass
}

// The odd twin cannot be balanced by counterweights; they can make it shake in
// one plane only.
func ExampleRotating_Fractions() {
	b := balanceOf(oddTwin().Layout())
	f, err := b.ForceRatio(1)
	if err != nil {
		log.Fatal(err)
	}
	share, err := f.Fractions()
	if err != nil {
		log.Fatal(err)
	}
	for _, x := range []float64{0, share.OnePlaneLow, share.Forward, share.OnePlaneHigh} {
		left, err := b.Counterweight(x)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("%.4f of the reciprocating mass: %.4f to %.4f\n", x, left.Force.Min, left.Force.Max)
	}
	// Output:
	// 0.0000 of the reciprocating mass: 0.2929 to 1.7071
	// 0.1464 of the reciprocating mass: 0.0000 to 1.4142
	// 0.5000 of the reciprocating mass: 0.7071 to 0.7071
	// 0.8536 of the reciprocating mass: 0.0000 to 1.4142
}

func ExampleBalance_Counterweight() {
	left, err := balanceOf(twoPlaneV8()).Counterweight(0.5)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(left.Force.Max, left.Couple.Max)
	// Output: 0 0
}

// Two weights in the planes of the first and the last throw take the couple of
// the two-plane V8 away.
func ExampleBalance_EndWeights() {
	b, k := balanceOf(twoPlaneV8()), fastEngine()
	w, err := b.EndWeights(firingorder.EndPlanes{
		Reciprocating: k.Mass, Stroke: k.Stroke, Radius: 60 * units.Millimeter, First: 0, Second: 330 * units.Millimeter,
	})
	if err != nil {
		log.Fatal(err)
	}
	for _, x := range []firingorder.CrankWeight{w.First, w.Second} {
		fmt.Printf("%.2f g at %.3f degrees after pin 1, %v along the shaft\n", x.Mass.Grams(), x.Angle.Degrees(), x.Position)
	}
	// Output:
	// 474.34 g at 198.435 degrees after pin 1, 0 mm along the shaft
	// 474.34 g at 18.435 degrees after pin 1, 330 mm along the shaft
}

// One of the two weights alone would trade the couple for a force.
func ExampleBalance_Residual() {
	left, err := balanceOf(twoPlaneV8()).Residual(firingorder.CrankMasses{Engine: fastEngine(), Weights: []firingorder.CrankWeight{
		{Mass: units.Grams(474.34), Radius: 60 * units.Millimeter, Angle: units.MustParseCrankAngle("198.435 deg")},
	}})
	if err != nil {
		log.Fatal(err)
	}
	// 0.47432 kg 0.06 m w^2, and half of 926.9 N m.
	fmt.Printf("%.0f N, %.1f N m\n", left.Force.Max.Newtons(), left.Couple.Max.NewtonMeters())
	// Output: 2809 N, 463.5 N m
}

func ExampleHarmonicRatio() {
	for _, order := range []int{1, 2, 4, 6} {
		a, err := firingorder.HarmonicRatio(order, 0.25)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("order %d: %.5f\n", order, a)
	}
	// Output:
	// order 1: 1.00000
	// order 2: 0.25403
	// order 4: -0.00410
	// order 6: 0.00007
}

func ExampleReciprocating_Amplitude() {
	k := firingorder.Reciprocating{Mass: units.Kilograms(1), Stroke: 120 * units.Millimeter, Rod: 240 * units.Millimeter, Speed: units.RevolutionsPerMinute(2400)}
	for _, order := range []int{1, 2} {
		f, err := k.Amplitude(order)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("order %d: %.1f N\n", order, f.Newtons())
	}
	// Output:
	// order 1: 3789.9 N
	// order 2: 947.5 N
}

func ExampleBobWeight() {
	m, err := firingorder.BobWeight{
		Rods: 2, Fraction: 0.5,
		Rotating:      units.WithU(units.Grams(560), units.Grams(0.3)),
		Reciprocating: units.WithU(units.Grams(722.4), units.Grams(0.4)),
		Oil:           units.Unstated(units.Grams(6)),
	}.Mass()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.1f g, u = %.2f g\n", m.Mass.Value.Grams(), m.Mass.U.Grams())
	// Output: 1848.4 g, u = 0.72 g
}

// A rod of the workboat, weighed end by end.
func ExampleRodEnds() {
	r, err := firingorder.RodEnds{Small: units.Unstated(units.Grams(164)), Big: units.Unstated(units.Grams(436)), Length: 150 * units.Millimeter}.Weight()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(r.Mass.Value.Grams(), "g,", r.CG.Value, "from the big end")
	// Output: 600 g, 41 mm from the big end
}

func ExampleRodWeight() {
	s, err := firingorder.RodWeight{
		Mass: units.Unstated(units.Grams(600)), Length: 150 * units.Millimeter, CG: units.Unstated(41 * units.Millimeter),
		Gyration: units.Some(58 * units.Millimeter),
	}.Split()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.0f g reciprocating, %.0f g rotating\n", s.Reciprocating.Value.Grams(), s.Rotating.Value.Grams())
	fmt.Printf("exact for k = %s, the rod has %.4f of that inertia\n", s.Gyration.Text(units.Millimeters, 3), s.InertiaRatio.Value)
	// Output:
	// 164 g reciprocating, 436 g rotating
	// exact for k = 66.851 mm, the rod has 0.7527 of that inertia
}

// Six pistons of the workboat with their pins and rings.
func ExampleWeightSet() {
	var s firingorder.WeightSet
	for _, g := range []float64{721.4, 722.0, 721.1, 721.9, 722.6, 721.1} {
		s.Masses = append(s.Masses, units.WithU(units.Grams(g), units.Grams(0.2)))
	}
	s.Spread = units.Some(units.AtMost(units.Grams(2), units.Source{Text: "the builder", Provenance: units.Stated}))
	w, err := s.Check()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("cylinder %d over cylinder %d: %.1f g, %v\n", w.Heaviest, w.Lightest, w.Spread.Value.Grams(), w.Verdict.Value.Outcome)
	for i, m := range w.Remove {
		fmt.Printf("cylinder %d: take %.1f g off\n", i+1, m.Grams())
	}
	// Output:
	// cylinder 5 over cylinder 3: 1.5 g, within
	// cylinder 1: take 0.3 g off
	// cylinder 2: take 0.9 g off
	// cylinder 3: take 0.0 g off
	// cylinder 4: take 0.8 g off
	// cylinder 5: take 1.5 g off
	// cylinder 6: take 0.0 g off
}

// Order 3 of the six adds up from all cylinders; order 1.5 does so only where the
// shaft twists, here falling evenly toward the flywheel.
func ExampleEngine_PhaseSum() {
	shape := []float64{1, 5. / 6, 4. / 6, 3. / 6, 2. / 6, 1. / 6}
	for _, order := range []firingorder.HalfOrders{3, 6} {
		rigid, err := workboat().PhaseSum(order, nil)
		if err != nil {
			log.Fatal(err)
		}
		twisted, err := workboat().PhaseSum(order, shape)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("order %s: %.1f rigid, %.1f twisted, major: %v\n", order, rigid.Size, twisted.Size, rigid.Major)
	}
	// Output:
	// order 1.5: 0.0 rigid, 1.5 twisted, major: false
	// order 3: 6.0 rigid, 3.5 twisted, major: true
}

// The front three of the workboat on one manifold.
func ExampleEngine_Pulses() {
	p, err := workboat().Pulses(1, 2, 3)
	if err != nil {
		log.Fatal(err)
	}
	for _, q := range p.Each {
		fmt.Println(q.Cylinder, "then", q.Next, "after", q.Interval)
	}
	fmt.Println("even:", p.Even)
	// Output:
	// 1 then 3 after 240 crank deg
	// 3 then 2 after 240 crank deg
	// 2 then 1 after 240 crank deg
	// even: true
}

// Each bank of a two-plane V8 has one pair that follows at 90 degrees.
func ExampleEngine_BankPulses() {
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: twoPlaneV8(), Order: firingorder.Order{1, 8, 4, 3, 6, 5, 7, 2}})
	if err != nil {
		log.Fatal(err)
	}
	for _, bank := range []string{"A", "B"} {
		p, err := e.BankPulses(bank)
		if err != nil {
			log.Fatal(err)
		}
		for _, q := range p.Closest {
			fmt.Println("bank", bank, "cylinder", q.Cylinder, "then", q.Next, "after", q.Interval)
		}
	}
	// Output:
	// bank A cylinder 5 then 7 after 90 crank deg
	// bank B cylinder 8 then 4 after 90 crank deg
}

func ExampleEngine_MainBearings() {
	m, err := workboat().MainBearings(1)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(m.Mains, "main bearings,", m.Shared, "loaded twice running,", m.Neighbors, "neighbors in succession")
	// Output: 7 main bearings, 0 loaded twice running, 0 neighbors in succession
}

func ExampleFractions_Working() {
	f, err := balanceOf(oddTwin().Layout()).ForceRatio(1)
	if err != nil {
		log.Fatal(err)
	}
	share, err := f.Fractions()
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range share.Working() {
		fmt.Printf("%s: %s, %s, %s\n", s.Symbol, s.Formula, s.Numbers, s.Value)
	}
	// Output:
	// B/F: backward part/forward part of the bare crank, 0.707107/1, 0.707107
	// Forward: 1 - 2 f = 0, 1/2, 0.5
	// OnePlaneLow: 1 - 2 f = B/F, (1 - 0.707107)/2, 0.146447
	// OnePlaneHigh: 2 f - 1 = B/F, (1 + 0.707107)/2, 0.853553
}
