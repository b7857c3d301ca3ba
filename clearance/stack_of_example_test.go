package clearance_test

import (
	"fmt"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// A stack over a check of this package: how many of a batch of engines have
// 5.15 mm between the closed valve and the floor of its pocket at top dead
// center, a valve that leans by 12 degrees.
func ExampleStack_check() {
	in := units.MustParseLength
	part := func(name, smallest, largest string) clearance.StackPart {
		return clearance.StackPart{Name: name, Smallest: in(smallest), Largest: in(largest), Spread: clearance.SpreadEven}
	}
	s := clearance.Stack{
		Parts: []clearance.StackPart{
			part("deck", "0.1 mm", "0.3 mm"), part("gasket", "1.0 mm", "1.2 mm"),
			part("recess", "-0.5 mm", "-0.3 mm"), part("pocket", "4.4 mm", "4.6 mm"),
		},
		Of: func(x []units.Length) (units.Length, error) {
			c, err := clearance.ValveStack{
				Face: clearance.PocketFloor, Lean: valvetrain.PlaneDegrees(12),
				Deck: un(x[0]), Gasket: un(x[1]), Recess: un(x[2]), Pocket: un(x[3]),
			}.AtTDC()
			return c.Clearance.Value, err
		},
		Limits: units.AtLeast(in("5.15 mm"), units.Source{Text: "the builder's own limit", Provenance: units.Stated}),
	}
	worst, err := s.WorstCase()
	fmt.Println(worst.Smallest.Text(units.Millimeters, 3), "to", worst.Largest.Text(units.Millimeters, 3), worst.Outcome, err)
	rss, err := s.RootSumSquare()
	fmt.Println(rss.Result.Value.Text(units.Millimeters, 3), "+-", rss.Result.U.Text(units.Millimeters, 3), err)
	drawn, err := s.Simulate(clearance.SimulationRun{Samples: 100_000, Seed: 1, Workers: 2})
	fmt.Printf("%.2f inside %v\n", drawn.Share, err)
	// Output:
	// 4.891 mm to 5.673 mm not proved <nil>
	// 5.282 mm +- 0.113 mm <nil>
	// 0.87 inside <nil>
}
