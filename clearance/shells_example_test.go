package clearance_test

import (
	"fmt"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// The shells for main 2 of the workboat six, before anything is bolted up.
func ExampleShellStack_Clearance() {
	c, err := clearance.ShellStack{
		Housing: un(in("2.9525")), Upper: un(in("0.0938")), Lower: un(in("0.0936")), Journal: un(in("2.7630")),
	}.Clearance()
	fmt.Println(c.Clearance.Value.Text(units.Inches, 4), err)
	// Output: 0.0021 in <nil>
}

func ExampleFreeShell_Spread() {
	s, err := clearance.FreeShell{Across: un(in("2.7125")), Housing: un(in("2.6875"))}.Spread()
	fmt.Println(s.Spread.Value.Text(units.Inches, 4), err)
	// Output: 0.0250 in <nil>
}

func ExampleCrushHeights_Crush() {
	c, err := clearance.CrushHeights{Upper: un(in("0.0020")), Lower: un(in("0.0015")), Housing: un(in("2.6875"))}.Crush()
	fmt.Println(c.Total.Value.Text(units.Inches, 4), c.Interference.Value.Text(units.Inches, 5), err)
	// Output: 0.0035 in 0.00111 in <nil>
}

// Mains 1 to 5: which two side by side differ most, and is that allowed?
func ExampleNeighbors_LargestStep() {
	u := units.Thou / 10
	var mains clearance.Neighbors
	for _, s := range []string{"0.0021", "0.0018", "0.0027", "0.0026", "0.0019"} {
		mains = append(mains, units.WithU(in(s), u))
	}
	s, err := mains.LargestStep()
	if err != nil {
		fmt.Println(err)
		return
	}
	limit, _ := clearance.AdjacentMains.Limits()
	v, err := units.Judge(s.Step, limit, units.ProveAt95)
	fmt.Println("mains", s.First+1, "and", s.First+2, s.Difference.Value.Text(units.Inches, 4), v.Outcome, err)
	// Output: mains 2 and 3 0.0009 in not proved <nil>
}

func ExampleUsualLimit_Limits() {
	l, err := clearance.RodSidePair.Limits()
	fmt.Println(l.Min.Text(units.Inches, 3), l.Max.Text(units.Inches, 3), l.Source, err)
	// Output: 0.010 in 0.020 in trade practice, no single source (common practice) <nil>
}

// Three mains, three grades, an upper and a lower of each.
func ExampleShellChoice_Choose() {
	seat := func(housing, journal string) clearance.ShellSeat {
		return clearance.ShellSeat{Housing: un(units.MustParseLength(housing)), Journal: un(units.MustParseLength(journal))}
	}
	c, err := clearance.ShellChoice{
		Seats: []clearance.ShellSeat{seat("64.000 mm", "59.956 mm"), seat("64.003 mm", "59.955 mm"), seat("64.006 mm", "59.954 mm")},
		Grades: []clearance.ShellGrade{
			{Name: "1", Wall: un(2002 * um), Uppers: 1, Lowers: 1},
			{Name: "2", Wall: un(2004 * um), Uppers: 1, Lowers: 1},
			{Name: "3", Wall: un(2006 * um), Uppers: 1, Lowers: 1},
		},
		Target: 40 * um,
	}.Choose()
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, s := range c.Seats {
		fmt.Println("main", i+1, "clearance", s.Clearance.Value.Text(units.Micrometers, 0), "off", s.Deviation.Text(units.Micrometers, 0))
	}
	fmt.Println("largest", c.LargestDeviation.Text(units.Micrometers, 0))
	// Output:
	// main 1 clearance 40 um off 0 um
	// main 2 clearance 40 um off 0 um
	// main 3 clearance 40 um off 0 um
	// largest 0 um
}
