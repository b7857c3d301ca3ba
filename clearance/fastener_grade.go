package clearance

import (
	"strconv"

	"example.com/trialfit/units"
)

// BoltStandard is a standard of bolt strengths. The zero BoltStandard is none.
type BoltStandard uint8

// Standards.
const (
	SAEJ429 BoltStandard = iota + 1 // inch bolts, grades 1 to 8.2
	ISO898                          // metric bolts, classes 4.6 to 12.9 of ISO 898-1
)

// String names the standard.
func (s BoltStandard) String() string {
	switch s {
	case SAEJ429:
		return "SAE J429"
	case ISO898:
		return "ISO 898-1"
	default:
		return "no standard"
	}
}

// BoltGrade is a grade or property class of a standard by its name on the
// head: {SAEJ429, "8"}, {ISO898, "10.9"}.
type BoltGrade struct {
	Standard BoltStandard
	Name     string
}

// String returns "SAE J429 8".
func (g BoltGrade) String() string {
	if g.Name == "" {
		return g.Standard.String()
	}
	return g.Standard.String() + " " + g.Name
}

// BoltStrength are the least strengths of a grade.
type BoltStrength struct {
	Proof, Tensile, Yield units.Pressure
	Source                units.Source
}

// gradeRow holds one line of a table: sizes from to upTo, both included, in
// 0.001 in or in 0.1 mm; strengths in kpsi or MPa. A size between two lines of
// one name belongs to the second.
type gradeRow struct {
	name                  string
	from, upTo            int16
	proof, tensile, yield int16
	memory                bool
}

var saeGrades = [...]gradeRow{
	{name: "1", from: 250, upTo: 1500, proof: 33, tensile: 60, yield: 36},
	{name: "2", from: 250, upTo: 750, proof: 55, tensile: 74, yield: 57},
	{name: "2", from: 250, upTo: 1500, proof: 33, tensile: 60, yield: 36},
	{name: "4", from: 250, upTo: 1500, proof: 65, tensile: 115, yield: 100},
	{name: "5", from: 250, upTo: 1000, proof: 85, tensile: 120, yield: 92},
	{name: "5", from: 250, upTo: 1500, proof: 74, tensile: 105, yield: 81},
	{name: "5.2", from: 250, upTo: 1000, proof: 85, tensile: 120, yield: 92},
	{name: "7", from: 250, upTo: 1500, proof: 105, tensile: 133, yield: 115},
	{name: "8", from: 250, upTo: 1500, proof: 120, tensile: 150, yield: 130},
	{name: "8.2", from: 250, upTo: 1000, proof: 120, tensile: 150, yield: 130},
}

var isoClasses = [...]gradeRow{
	{name: "4.6", from: 50, upTo: 360, proof: 225, tensile: 400, yield: 240},
	{name: "4.8", from: 16, upTo: 160, proof: 310, tensile: 420, yield: 340},
	{name: "5.8", from: 50, upTo: 240, proof: 380, tensile: 520, yield: 420},
	{name: "8.8", from: 16, upTo: 160, proof: 580, tensile: 800, yield: 640, memory: true},
	{name: "8.8", from: 16, upTo: 360, proof: 600, tensile: 830, yield: 660},
	{name: "9.8", from: 16, upTo: 160, proof: 650, tensile: 900, yield: 720},
	{name: "10.9", from: 50, upTo: 360, proof: 830, tensile: 1040, yield: 940},
	{name: "12.9", from: 16, upTo: 360, proof: 970, tensile: 1220, yield: 1100},
}

// Strength answers which proof, tensile and yield strength a bolt of a grade
// and nominal size has at least. Held are SAE J429 grades 1, 2, 4, 5, 5.2, 7,
// 8 and 8.2 and ISO 898-1 classes 4.6, 4.8, 5.8, 8.8, 9.8, 10.9 and 12.9, each in
// the range of sizes of its table; 8.8 to 16 mm is from memory, and Source
// says so. It does not allocate.
//
// Errors: no standard or name (ErrMissing), a name that is not held
// (ErrSyntax), a size that is missing, negative or outside the grade's range
// (ErrRange).
//
// Source: SAE J429 after Shigley, 9th ed., Table 8-9; ISO 898-1 after Jiang,
// Analysis and Design of Machine Elements, Table 3.2.
//
// Rows: sae-5-0.25-proof, sae-5-1.125-proof, sae-8-0.25-yield, sae-2-0.875-tensile,
// iso-10.9-5-proof, iso-12.9-1.6-tensile, iso-8.8-16.1-proof.
func (g BoltGrade) Strength(size units.Length) (BoltStrength, error) {
	var table []gradeRow
	var unit units.Length
	var stress units.Pressure
	src := units.Source{Provenance: units.Verified}
	switch g.Standard {
	case SAEJ429:
		table, unit, stress = saeGrades[:], units.Thou, units.PoundsPerSquareInch(1000)
		src.Text = "SAE J429, after " + shigleyBolts + "Table 8-9, p. 433"
	case ISO898:
		table, unit, stress = isoClasses[:], units.Millimeter/10, units.Megapascals(1)
		src.Text = "ISO 898-1, after Jiang, Analysis and Design of Machine Elements, Table 3.2, p. 77"
	case 0:
		return BoltStrength{}, fail("Standard", "", units.ErrMissing, "want SAEJ429 or ISO898")
	default:
		return BoltStrength{}, fail("Standard", strconv.Itoa(int(g.Standard)), units.ErrRange, "want SAEJ429 or ISO898")
	}
	if g.Name == "" {
		return BoltStrength{}, fail("Name", "", units.ErrMissing, `want a grade, "8" or "10.9"`)
	}
	if size <= 0 {
		return BoltStrength{}, checkSize("Size", size)
	}
	known := false
	for i := range table {
		r := &table[i]
		if r.name != g.Name {
			continue
		}
		known = true
		if size < units.Length(r.from)*unit || size > units.Length(r.upTo)*unit {
			continue
		}
		if r.memory {
			src = units.Source{Text: "ISO 898-1, class 8.8 to 16 mm", Provenance: units.Memory}
		}
		times := func(n int16) units.Pressure { return units.Pressure(float64(n) * float64(stress)) }
		return BoltStrength{Proof: times(r.proof), Tensile: times(r.tensile), Yield: times(r.yield), Source: src}, nil
	}
	if !known {
		name := g.Name
		if len(name) > 16 {
			name = name[:16] + "..."
		}
		return BoltStrength{}, fail("Name", name, units.ErrSyntax, "want a grade that "+g.Standard.String()+" has")
	}
	return BoltStrength{}, fail("Size", size.String(), units.ErrRange, "outside the sizes of "+g.String())
}
