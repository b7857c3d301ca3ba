package uncertainty_test

import (
	"fmt"

	"example.com/trialfit/units"
	"example.com/trialfit/units/uncertainty"
)

// Five readings of one main journal of the workboat's six.
func ExampleRepeated() {
	var readings []units.Length
	for _, s := range []string{"2.4983 in", "2.4985 in", "2.4984 in", "2.4982 in", "2.4986 in"} {
		readings = append(readings, units.MustParseLength(s))
	}
	r, err := uncertainty.Repeated(readings)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("mean", r.Mean.Value.Text(units.Inches, 5), "u", r.Mean.U.Text(units.Inches, 6))
	fmt.Printf("one reading %s, itself known to %.0f %%\n", r.Deviation.Text(units.Inches, 6), 100*r.Doubt)
	// Output:
	// mean 2.49840 in u 0.000071 in
	// one reading 0.000158 in, itself known to 36 %
}

// A micrometer within 0.0001 in of true, as its specification says.
func ExampleBounds_Standard() {
	u, err := uncertainty.Bounds[units.Length]{HalfWidth: units.MustParseLength("0.0001 in"), Shape: uncertainty.Rectangular}.Standard()
	fmt.Println(u.Text(units.Inches, 6), err)
	// Output: 0.000058 in <nil>
}

// A bore that is as likely within 0.04 mm of nominal as outside.
func ExampleInterval_Standard() {
	u, err := uncertainty.Interval[units.Length]{HalfWidth: units.MustParseLength("0.04 mm"), Probability: 0.5}.Standard()
	fmt.Println(u.Text(units.Millimeters, 3), err)
	// Output: 0.059 mm <nil>
}

// A gauge block whose certificate states 75 nm with k = 3.
func ExampleExpanded_Standard() {
	u, err := uncertainty.Expanded[units.Length]{U: units.MustParseLength("0.075 um"), K: 3}.Standard()
	fmt.Println(u.Text(units.Micrometers, 3), err)
	// Output: 0.025 um <nil>
}

// A dial with divisions of 0.001 in.
func ExampleResolution() {
	u, err := uncertainty.Resolution(units.Thou)
	fmt.Println(u.Text(units.Inches, 6), err)
	// Output: 0.000289 in <nil>
}

func ExampleFreedomOf() {
	v, err := uncertainty.FreedomOf(0.25)
	fmt.Println(v, err)
	// Output: 8 <nil>
}

func ExampleCoverageFactor() {
	five, _ := uncertainty.CoverageFactor(0.95, 5)
	many, _ := uncertainty.CoverageFactor(0.95, 0)
	fmt.Printf("%.2f %.2f\n", five, many)
	// Output: 2.57 1.96
}

// Oil clearance is bore less journal: each contributes its own uncertainty, and
// the setting of the one micrometer that read both cancels.
func ExampleBudget_Combine() {
	in := units.MustParseLength
	b := uncertainty.Budget[units.Length]{
		Contributions: []uncertainty.Contribution[units.Length]{
			{Name: "bore, reading", U: in("0.0001 in"), Freedom: 4},
			{Name: "journal, reading", U: -in("0.0001 in"), Freedom: 4},
			{Name: "bore, setting", U: in("0.0002 in")},
			{Name: "journal, setting", U: -in("0.0002 in")},
		},
		Correlations: []uncertainty.Correlation{{I: 2, J: 3, Coefficient: 1}},
	}
	c, err := b.Combine()
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := c.Expand(0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("u %s with %.0f degrees of freedom\n", c.U.Text(units.Inches, 6), c.Freedom)
	fmt.Printf("U %s, k = %.2f\n", s.U.Text(units.Inches, 5), s.K)
	// Output:
	// u 0.000141 in with 8 degrees of freedom
	// U 0.00033 in, k = 2.31
}

func ExampleCombined_Expand() {
	c, err := uncertainty.Budget[units.Length]{Contributions: []uncertainty.Contribution[units.Length]{{U: units.MustParseLength("2 um"), Freedom: 9}}}.Combine()
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := c.Expand(0.95)
	fmt.Println(s.U.Text(units.Micrometers, 2), s.Freedom, err)
	// Output: 4.52 um 9 <nil>
}
