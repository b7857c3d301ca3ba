package clearance

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// ShellStack is what makes up a bearing's clearance when no bore with shells
// in it was read: the housing, a shell on either side and the journal.
type ShellStack struct {
	Housing units.Measured[units.Length] // bore without shells, cap tightened
	// Upper and Lower are the walls of the shells at the crown, as a ball
	// micrometer reads them.
	Upper, Lower units.Measured[units.Length]
	Journal      units.Measured[units.Length]
}

// StackClearance is the clearance of a stack.
type StackClearance struct {
	Stack     ShellStack
	Clearance units.Measured[units.Length] // diametral
}

// Clearance answers what clearance a bearing will have from its parts:
//
//	clearance = Housing - Upper - Lower - Journal
//	u^2 = u_housing^2 + u_upper^2 + u_lower^2 + u_journal^2
//
// It is diametral and for the crown. What crush takes from the bore and what
// the housing gives under it is not in it: the bore read with the shells in
// place (Bearing.OilClearance) decides. A negative clearance is data. Errors: a
// part that is missing or negative, a wall over a quarter of the housing, a
// clearance over a tenth of the journal either way (ErrConflict).
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: shell-stack, shell-stack-u, shell-stack-in.
func (s ShellStack) Clearance() (StackClearance, error) {
	if err := s.check(); err != nil {
		return StackClearance{}, err
	}
	c := sub(sub(sub(s.Housing, s.Upper), s.Lower), s.Journal)
	if a := c.Value.Abs(); a > s.Journal.Value/10 {
		return StackClearance{}, fail("Journal", text(s.Journal.Value), units.ErrConflict, "the parts leave a clearance of "+text(c.Value)+", over a tenth of the journal: a misread inch or a mixed unit")
	}
	u := math.Hypot(math.Hypot(float64(s.Housing.U), float64(s.Journal.U)), math.Hypot(float64(s.Upper.U), float64(s.Lower.U)))
	return StackClearance{Stack: s, Clearance: result(c.Value, c.Stated, u)}, nil
}

func (s ShellStack) check() error {
	for _, p := range []struct {
		name string
		m    units.Measured[units.Length]
	}{{"Housing", s.Housing}, {"Upper", s.Upper}, {"Lower", s.Lower}, {"Journal", s.Journal}} {
		if err := checkPositive(p.name, p.m); err != nil {
			return err
		}
	}
	if s.Upper.Value > s.Housing.Value/4 {
		return fail("Upper", text(s.Upper.Value), units.ErrConflict, "a shell's wall over a quarter of its housing")
	}
	if s.Lower.Value > s.Housing.Value/4 {
		return fail("Lower", text(s.Lower.Value), units.ErrConflict, "a shell's wall over a quarter of its housing")
	}
	return nil
}

// Working returns the derivation.
func (c StackClearance) Working() units.Working {
	s := c.Stack
	return units.Working{{
		Symbol: "clearance", Formula: "housing - upper wall - lower wall - journal",
		Numbers: num(s.Housing.Value) + " - " + num(s.Upper.Value) + " - " + num(s.Lower.Value) + " - " + num(s.Journal.Value),
		Value:   measuredText(c.Clearance), Source: definition,
	}}
}

// FreeShell is a half shell out of its housing.
type FreeShell struct {
	Across  units.Measured[units.Length] // over the back at the parting faces, free
	Housing units.Measured[units.Length] // bore without shells
}

// ShellSpread is how much wider than its housing a free shell stands.
type ShellSpread struct {
	Shell  FreeShell
	Spread units.Measured[units.Length]
}

// Spread answers whether and how much a free half shell stands wider than
// its housing, which holds it in place while the engine is put together:
//
//	spread = Across - Housing
//
// A negative spread is data: the shell has lost its spring. Errors: a size
// that is missing or negative, a spread over a tenth of the housing either
// way (ErrConflict). 0.025 in is a figure for one rod bearing there; the maker says how much it should be.
//
// Source: definition, US Army TM 5-3805-255-14 WP 0094 par. 6.
//
// Rows: spread-a, spread-b.
func (s FreeShell) Spread() (ShellSpread, error) {
	if err := checkPositive("Across", s.Across); err != nil {
		return ShellSpread{}, err
	}
	if err := checkPositive("Housing", s.Housing); err != nil {
		return ShellSpread{}, err
	}
	d := sub(s.Across, s.Housing)
	if d.Value.Abs() > s.Housing.Value/10 {
		return ShellSpread{}, fail("Across", text(s.Across.Value), units.ErrConflict, "shell and housing differ by over a tenth: a misread inch or a mixed unit")
	}
	return ShellSpread{Shell: s, Spread: d}, nil
}

// Working returns the derivation.
func (s ShellSpread) Working() units.Working {
	return units.Working{{Symbol: "spread", Formula: "across the parting faces - housing", Numbers: num(s.Shell.Across.Value) + " - " + num(s.Shell.Housing.Value), Value: measuredText(s.Spread), Source: definition}}
}

// CrushHeights are how far the halves of a bearing stand proud of a half
// housing each, pressed in with the other end flush.
type CrushHeights struct {
	Upper, Lower units.Measured[units.Length]
	Housing      units.Measured[units.Length] // bore without shells
}

// Crush is what the crush of a bearing amounts to.
type Crush struct {
	Heights CrushHeights
	// Total is the gap that a feeler finds at one split with the other split
	// closed and the bolt of this one backed off.
	Total units.Measured[units.Length]
	// Interference is the diametral interference that the same excess makes
	// on the back of the shells.
	Interference units.Measured[units.Length]
	// Strain is Total over the circumference of the housing, a true ratio:
	// how much the shells are shortened by if the housing gives nothing.
	Strain float64
}

// Crush answers what the crush heights of two half shells mean together:
//
//	total = Upper + Lower     interference = total/pi
//	strain = total/(pi Housing)
//
// since two halves that stand proud by their heights are longer than the
// circle of the housing by the sum. A height of 0 or less is data: no crush,
// the shell can turn. Errors: a housing that is missing or negative, a
// height over a tenth of the housing either way (ErrConflict).
//
// Source: circumference of a circle; JCGM 100:2008, 5.1.2. How much crush
// there should be is the bearing maker's to say; CrushHeight holds the
// trade's figure.
//
// Rows: crush-total, crush-interference, crush-strain.
func (h CrushHeights) Crush() (Crush, error) {
	if err := checkPositive("Housing", h.Housing); err != nil {
		return Crush{}, err
	}
	for _, p := range []struct {
		name string
		m    units.Measured[units.Length]
	}{{"Upper", h.Upper}, {"Lower", h.Lower}} {
		if err := checkReading(p.name, p.m); err != nil {
			return Crush{}, err
		}
		if p.m.Value.Abs() > h.Housing.Value/10 {
			return Crush{}, fail(p.name, text(p.m.Value), units.ErrConflict, "a crush height over a tenth of the housing: a misread inch or a mixed unit")
		}
	}
	t := result(h.Upper.Value+h.Lower.Value, h.Upper.Stated && h.Lower.Stated, math.Hypot(float64(h.Upper.U), float64(h.Lower.U)))
	return Crush{
		Heights: h, Total: t,
		Interference: result(round(float64(t.Value)/math.Pi), t.Stated, float64(t.U)/math.Pi),
		Strain:       float64(t.Value) / (math.Pi * float64(h.Housing.Value)),
	}, nil
}

// Working returns the derivation.
func (c Crush) Working() units.Working {
	src := units.Source{Text: "circumference of a circle", Provenance: units.Computed}
	return units.Working{
		{Symbol: "total", Formula: "upper + lower height", Numbers: num(c.Heights.Upper.Value) + " + " + num(c.Heights.Lower.Value), Value: measuredText(c.Total), Source: definition},
		{Symbol: "interference", Formula: "total/pi", Numbers: num(c.Total.Value) + "/pi", Value: measuredText(c.Interference), Source: src},
		{Symbol: "strain", Formula: "total/(pi housing)", Numbers: num(c.Total.Value) + "/(pi " + num(c.Heights.Housing.Value) + ")", Value: strconv.FormatFloat(c.Strain, 'g', 4, 64), Source: src},
	}
}

// Neighbors are the clearances of bearings along a shaft, in order.
type Neighbors []units.Measured[units.Length]

// NeighborStep is the largest difference between two bearings side by side.
type NeighborStep struct {
	First      int                          // index of the first of the two
	Difference units.Measured[units.Length] // of the second less the first, signed
	Step       units.Measured[units.Length] // its magnitude
	// From is the clearance of the first and To of the second.
	From, To units.Measured[units.Length]
}

// LargestStep answers between which two bearings side by side the clearance
// changes most:
//
//	difference = clearance of the second - clearance of the first
//
// the first pair of several. What is common to both readings should not be in
// their uncertainty. Errors: fewer than two bearings, over 10,000, a clearance
// over 100 m, a negative uncertainty. Judge Step against the limit of the
// caller or AdjacentMains.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: adjacent-step, adjacent-first.
func (n Neighbors) LargestStep() (NeighborStep, error) {
	if len(n) < 2 {
		return NeighborStep{}, fail("Neighbors", strconv.Itoa(len(n)), units.ErrMissing, "want two bearings or more")
	}
	if len(n) > maxReadings {
		return NeighborStep{}, fail("Neighbors", strconv.Itoa(len(n)), units.ErrRange, "want at most 10000 bearings")
	}
	var s NeighborStep
	for i, m := range n {
		if checkReading("Neighbors", m) != nil {
			return NeighborStep{}, checkReading(at("Neighbors", i), m)
		}
		if i == 0 {
			continue
		}
		if d := m.Value - n[i-1].Value; i == 1 || d.Abs() > s.Step.Value {
			s = NeighborStep{First: i - 1, From: n[i-1], To: m, Difference: sub(m, n[i-1])}
			s.Step = s.Difference
			s.Step.Value = s.Difference.Value.Abs()
		}
	}
	return s, nil
}

// Working returns the derivation.
func (s NeighborStep) Working() units.Working {
	return units.Working{{Symbol: "difference", Formula: "clearance of bearing " + strconv.Itoa(s.First+2) + " - clearance of bearing " + strconv.Itoa(s.First+1), Numbers: num(s.To.Value) + " - " + num(s.From.Value), Value: measuredText(s.Difference), Source: definition}}
}
