package clearance_test

import (
	"fmt"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// A centerless-ground pin with three lobes in a V-block of 60 degrees shows
// three times what it is out of round; a micrometer shows nothing.
func ExampleLobedReading_Roundness() {
	r := clearance.LobedReading{Vee: 60 * units.CrankDegree, Lobes: 3, TIR: un(6 * um)}
	f, err := r.Roundness()
	fmt.Printf("%.2f %v %v\n", f.Factor, f.Roundness.Value.Text(units.Micrometers, 1), err)
	r.Vee = 180 * units.CrankDegree
	_, err = r.Roundness()
	fmt.Println(err)
	// Output:
	// 3.00 2.0 um <nil>
	// clearance: Vee: "180 crank deg": impossible: this setup is blind to 3 lobes: use another V or turn the part between centers
}

// Bend of the workboat's camshaft at the middle journal: TIR/2, and where.
func ExampleRadialReadings_Circle() {
	var r clearance.RadialReadings
	for i, s := range []string{"0.0050", "0.0025", "0.0000", "0.0025"} {
		r = append(r, clearance.RadialReading{Around: units.CrankAngle(i) * 90 * units.CrankDegree, Reading: un(in(s))})
	}
	c, err := r.Circle()
	fmt.Println(c.TIR.Value.Text(units.Inches, 4), c.Eccentricity.Value.Text(units.Inches, 4), c.Toward.Text(0), err)
	// Output: 0.0050 in 0.0025 in 0 crank deg <nil>
}

// Seven main bores under a straightedge that does not lie parallel.
func ExampleBoreLine_Alignment() {
	var l clearance.BoreLine
	for i, g := range []units.Length{40, 52, 61, 98, 84, 95, 106} {
		l = append(l, clearance.LineReading{At: units.Length(i) * 110 * mm, Gap: units.WithU(g*um, 4*um)})
	}
	a, err := l.Alignment()
	if err != nil {
		fmt.Println(err)
		return
	}
	off := a.Bores[a.Worst].Off
	fmt.Println("bore", a.Worst+1, "told", a.Told, "lies", off.Value.Text(units.Micrometers, 1), "off the others, u =", off.U.Text(units.Micrometers, 1))
	// Output: bore 4 told true lies 25.0 um off the others, u = 4.3 um
}

// A rod pin that runs out needs more than its smallest diameter says.
func ExampleRegrind_Choose() {
	u := units.Thou / 10
	c, err := clearance.Regrind{
		Journals: []clearance.WornJournal{
			{Smallest: units.WithU(in("2.4962"), u)},
			{Smallest: units.WithU(in("2.4950"), u), Runout: units.WithU(in("0.0015"), u)},
		},
		Standard:   clearance.Size{Min: in("2.4980"), Max: in("2.4988")},
		Undersizes: []units.Length{in("0.010"), in("0.020"), in("0.030")},
		Stock:      units.AtLeast(in("0.001"), units.Source{Text: "the grinder", Provenance: units.Stated}),
	}.Choose()
	if err != nil || !c.Choice.Given {
		fmt.Println("none", err)
		return
	}
	best := c.Checks[c.Choice.Value]
	fmt.Println(best.Undersize.Text(units.Inches, 3), "under, ground to", best.Ground.Min.Text(units.Inches, 4), "to", best.Ground.Max.Text(units.Inches, 4), "stock", best.Stock.Value.Text(units.Inches, 4))
	// Output: 0.010 in under, ground to 2.4880 in to 2.4888 in stock 0.0047 in
}
