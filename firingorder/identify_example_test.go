package firingorder_test

import (
	"fmt"
	"log"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func wheel(cylinder int, degrees string) firingorder.TDCReading {
	return firingorder.TDCReading{Cylinder: cylinder, Angle: units.WithU(units.MustParseCrankAngle(degrees), units.CrankDegree)}
}

// The straight-six of the workboat, its wheel clamped on anyhow and read to a
// degree: who goes with whom? 1 and 6 differ by more than 2 sqrt(1^2 + 1^2) = 2.83.
func ExampleTDCComparison_Compare() {
	g, err := firingorder.TDCComparison{
		Spacing: 120 * units.CrankDegree,
		Readings: []firingorder.TDCReading{
			wheel(1, "12.5 deg"), wheel(2, "133 deg"), wheel(3, "252 deg"),
			wheel(4, "253.5 deg"), wheel(5, "134 deg"), wheel(6, "15.5 deg"),
		},
	}.Compare()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(g.Shared)
	for _, p := range g.Unclear {
		fmt.Println("read again:", p.A, p.B, p.Difference.Value)
	}
	// Output:
	// [[2 5] [3 4]]
	// read again: 1 6 3 crank deg
}

// Is it the crank of 1-5-3-6-2-4 or its mirror image? Two readings do not tell,
// the third does.
func ExampleIdentification_Identify() {
	var cranks []*firingorder.Layout
	for _, mirrored := range []bool{false, true} {
		l, err := firingorder.Inline(firingorder.InlineConfig{Crank: firingorder.SixEven, Mirrored: mirrored})
		if err != nil {
			log.Fatal(err)
		}
		cranks = append(cranks, l)
	}
	q := firingorder.Identification{
		Candidates: cranks, Sense: firingorder.WheelForward,
		Readings: []firingorder.TDCReading{wheel(1, "12.5 deg"), wheel(6, "11 deg")},
	}
	found, err := q.Identify()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(len(found.Fits), "fit; read cylinder", found.Next[0].Cylinder, "next, they differ by", found.Next[0].Smallest)

	q.Readings = append(q.Readings, wheel(2, "131.5 deg"))
	if found, err = q.Identify(); err != nil {
		log.Fatal(err)
	}
	for _, f := range found.Fits {
		fmt.Printf("crank %d, wheel %s, cylinder 1 at %s, chi-square %.3f\n", f.Candidate+1, f.Sense, f.Zero.Value.Text(2), f.ChiSquare)
	}
	// Output:
	// 2 fit; read cylinder 2 next, they differ by 120 crank deg
	// crank 1, wheel forward, cylinder 1 at 11.67 crank deg, chi-square 1.167
}

// (1^2 + 1^2)/1^2 = 2.
func ExampleLayoutFit_Working() {
	found, err := firingorder.Identification{
		Candidates: []*firingorder.Layout{straightSix()}, Sense: firingorder.WheelForward,
		Readings: []firingorder.TDCReading{wheel(1, "9 deg"), wheel(2, "131 deg")},
	}.Identify()
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range found.Fits[0].Working()[:4] {
		fmt.Printf("%s = %s = %s\n", s.Symbol, s.Numbers, s.Value)
	}
	// Output:
	// zero =  = 10 crank deg (u = 0.707106781 crank deg)
	// r1 = 9 - (10 + 0) = -1 crank deg
	// r2 = 131 - (10 + 120) = 1 crank deg
	// chi-square = (-1/1)^2 + (1/1)^2 = 2
}

func ExampleWheelSense_String() {
	fmt.Println(firingorder.WheelBackward)
	// Output:
	// backward
}

// 2 sqrt(1^2 + 1^2) = 2.828427125.
func ExampleTDCGroups_Working() {
	g, err := firingorder.TDCComparison{
		Spacing:  120 * units.CrankDegree,
		Readings: []firingorder.TDCReading{wheel(1, "12.5 deg"), wheel(2, "133 deg"), wheel(6, "15.5 deg")},
	}.Compare()
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range g.Working() {
		fmt.Printf("%s: %s: %s\n", s.Symbol, s.Numbers, s.Value)
	}
	// Output:
	// 1 and 2: d = 133 - 12.5 = 120.5, U = 2.828427124, S - U = 117.171572876: apart
	// 1 and 6: d = 15.5 - 12.5 = 3, U = 2.828427124, S - U = 117.171572876: unclear
	// 2 and 6: d = 15.5 - 133 = -117.5, U = 2.828427124, S - U = 117.171572876: apart
}
