package clearance_test

import (
	"math"
	"testing"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

const negative = -units.Millimeter

func TestShellStackBadInput(t *testing.T) {
	ok := clearance.ShellStack{Housing: un(64 * mm), Upper: un(2 * mm), Lower: un(2 * mm), Journal: un(60*mm - 40*um)}
	for name, c := range map[string]struct {
		change func(*clearance.ShellStack)
		kind   error
		field  string
	}{
		"no housing":       {func(s *clearance.ShellStack) { s.Housing.Value = 0 }, units.ErrMissing, "Housing"},
		"negative upper":   {func(s *clearance.ShellStack) { s.Upper.Value = negative }, units.ErrRange, "Upper"},
		"no lower":         {func(s *clearance.ShellStack) { s.Lower.Value = 0 }, units.ErrMissing, "Lower"},
		"overflow journal": {func(s *clearance.ShellStack) { s.Journal.Value = units.MaxLength }, units.ErrRange, "Journal"},
		"negative u":       {func(s *clearance.ShellStack) { s.Upper = units.WithU(2*mm, -um) }, units.ErrRange, "Upper.U"},
		"u not stated":     {func(s *clearance.ShellStack) { s.Lower.U = um }, units.ErrConflict, "Lower.U"},
		"thick upper":      {func(s *clearance.ShellStack) { s.Upper.Value = 17 * mm }, units.ErrConflict, "Upper"},
		"thick lower":      {func(s *clearance.ShellStack) { s.Lower.Value = 17 * mm }, units.ErrConflict, "Lower"},
		"misread inch":     {func(s *clearance.ShellStack) { s.Journal.Value = 50 * mm }, units.ErrConflict, "Journal"},
	} {
		t.Run(name, func(t *testing.T) {
			s := ok
			c.change(&s)
			got, err := s.Clearance()
			wantError(t, got, func(r clearance.StackClearance) bool { return r == clearance.StackClearance{} }, err, c.kind, c.field)
		})
	}
}

func TestShellBadInput(t *testing.T) {
	zs := func(s clearance.ShellSpread) bool { return s == clearance.ShellSpread{} }
	s, err := clearance.FreeShell{Housing: un(64 * mm)}.Spread()
	wantError(t, s, zs, err, units.ErrMissing, "Across")
	s, err = clearance.FreeShell{Across: un(64 * mm), Housing: un(negative)}.Spread()
	wantError(t, s, zs, err, units.ErrRange, "Housing")
	s, err = clearance.FreeShell{Across: un(64 * mm), Housing: un(6 * mm)}.Spread()
	wantError(t, s, zs, err, units.ErrConflict, "Across")
	zc := func(c clearance.Crush) bool { return c == clearance.Crush{} }
	c, err := clearance.CrushHeights{Upper: un(um)}.Crush()
	wantError(t, c, zc, err, units.ErrMissing, "Housing")
	c, err = clearance.CrushHeights{Upper: un(9 * mm), Housing: un(64 * mm)}.Crush()
	wantError(t, c, zc, err, units.ErrConflict, "Upper")
	c, err = clearance.CrushHeights{Lower: units.WithU(um, -um), Housing: un(64 * mm)}.Crush()
	wantError(t, c, zc, err, units.ErrRange, "Lower.U")
	zn := func(n clearance.NeighborStep) bool { return n == clearance.NeighborStep{} }
	n, err := clearance.Neighbors{un(um)}.LargestStep()
	wantError(t, n, zn, err, units.ErrMissing, "Neighbors")
	n, err = clearance.Neighbors{un(um), un(units.MaxLength)}.LargestStep()
	wantError(t, n, zn, err, units.ErrRange, "Neighbors[1]")
	n, err = make(clearance.Neighbors, 10_001).LargestStep()
	wantError(t, n, zn, err, units.ErrRange, "Neighbors")
	l, err := clearance.UsualLimit(0).Limits()
	zl := func(l units.Limits[units.Length]) bool { return l == units.Limits[units.Length]{} }
	wantError(t, l, zl, err, units.ErrRange, "UsualLimit")
	l, err = clearance.UsualLimit(200).Limits()
	wantError(t, l, zl, err, units.ErrRange, "UsualLimit")
}

// Crush and its interference shorten the shells alike: pi times the
// interference is the excess of the circle.
func TestCrushOfACircle(t *testing.T) {
	for _, h := range []units.Length{-20 * um, 0, 10 * um, 75 * um} {
		c, err := clearance.CrushHeights{Upper: units.WithU(h, um), Lower: units.WithU(h, um), Housing: un(64 * mm)}.Crush()
		if err != nil {
			t.Fatal(err)
		}
		if d := math.Pi*float64(c.Interference.Value) - float64(2*h); math.Abs(d) > 4 {
			t.Errorf("height %v: %g pm off the circle", h, d)
		}
		if want := float64(c.Interference.Value) / float64(64*mm); math.Abs(c.Strain-want) > 1e-10 {
			t.Errorf("strain %g, want interference per diameter %g", c.Strain, want)
		}
	}
}

func TestEveryUsualLimitIsSound(t *testing.T) {
	seen := 0
	for u := clearance.UsualLimit(1); u.String() != "no limit"; u++ {
		l, err := u.Limits()
		if err != nil || !l.Source.Given() || !l.HasMin && !l.HasMax || l.HasMin && l.Min <= 0 && l.Min != -l.Max || l.HasMax && l.Max <= l.Min {
			t.Errorf("%v: %v, %v", u, l, err)
		}
		seen++
	}
	if seen != 37 {
		t.Errorf("%d limits", seen)
	}
}

// A result that nothing has made is within no limit.
func TestResultsOfNothing(t *testing.T) {
	limits := units.AtMost(mm, units.Source{Text: "card", Provenance: units.Stated})
	v, err := clearance.OilClearance{}.Judge(limits, units.SimpleAcceptance)
	wantError(t, v, func(v clearance.BearingVerdict) bool { return v == clearance.BearingVerdict{} }, err, units.ErrMissing, "OilClearance")
	c, err := clearance.StripResult{}.Compare(un(mm))
	wantError(t, c, func(c clearance.Comparison) bool { return c == clearance.Comparison{} }, err, units.ErrMissing, "StripResult")
}

func TestChooseBadInput(t *testing.T) {
	ok := func() clearance.ShellChoice {
		return clearance.ShellChoice{
			Seats:  []clearance.ShellSeat{{Housing: un(64 * mm), Journal: un(60*mm - 40*um)}},
			Grades: []clearance.ShellGrade{{Wall: un(2 * mm), Uppers: 1, Lowers: 1}}, Target: 40 * um,
		}
	}
	if _, err := ok().Choose(); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		change func(*clearance.ShellChoice)
		kind   error
		field  string
	}{
		"no seats":           {func(c *clearance.ShellChoice) { c.Seats = nil }, units.ErrMissing, "Seats"},
		"16 seats":           {func(c *clearance.ShellChoice) { c.Seats = make([]clearance.ShellSeat, 16) }, units.ErrRange, "Seats"},
		"no grades":          {func(c *clearance.ShellChoice) { c.Grades = nil }, units.ErrMissing, "Grades"},
		"9 grades":           {func(c *clearance.ShellChoice) { c.Grades = make([]clearance.ShellGrade, 9) }, units.ErrRange, "Grades"},
		"no wall":            {func(c *clearance.ShellChoice) { c.Grades[0].Wall.Value = 0 }, units.ErrMissing, "Grades[0].Wall"},
		"negative uppers":    {func(c *clearance.ShellChoice) { c.Grades[0].Uppers = -1 }, units.ErrRange, "Grades[0].Uppers"},
		"negative lowers":    {func(c *clearance.ShellChoice) { c.Grades[0].Lowers = -1 }, units.ErrRange, "Grades[0].Lowers"},
		"no housing":         {func(c *clearance.ShellChoice) { c.Seats[0].Housing.Value = 0 }, units.ErrMissing, "Seats[0].Housing"},
		"no journal":         {func(c *clearance.ShellChoice) { c.Seats[0].Journal.Value = 0 }, units.ErrMissing, "Seats[0].Journal"},
		"swapped":            {func(c *clearance.ShellChoice) { c.Seats[0].Journal.Value = 65 * mm }, units.ErrConflict, "Seats[0].Journal"},
		"far target":         {func(c *clearance.ShellChoice) { c.Target = units.MaxLength }, units.ErrRange, "Target"},
		"far own target":     {func(c *clearance.ShellChoice) { c.Seats[0].Target = units.Some(units.MaxLength) }, units.ErrRange, "Seats[0].Target"},
		"wrong undersize":    {func(c *clearance.ShellChoice) { c.Seats[0].Journal.Value = 59 * mm }, units.ErrConflict, "Seats[0]"},
		"no lowers":          {func(c *clearance.ShellChoice) { c.Grades[0].Lowers = 0 }, units.ErrImpossible, "Grades"},
		"negative mix":       {func(c *clearance.ShellChoice) { c.LargestMix = units.Some(negative) }, units.ErrRange, "LargestMix"},
		"negative step":      {func(c *clearance.ShellChoice) { c.LargestStep = units.Some(negative) }, units.ErrRange, "LargestStep"},
		"unknown objective":  {func(c *clearance.ShellChoice) { c.Objective = 9 }, units.ErrRange, "Objective"},
		"one piece for two":  {func(c *clearance.ShellChoice) { c.Grades[0].Lowers, c.AlikeHalves = 0, true }, units.ErrImpossible, "Grades"},
		"negative u of wall": {func(c *clearance.ShellChoice) { c.Grades[0].Wall = units.WithU(2*mm, -1) }, units.ErrRange, "Grades[0].Wall.U"},
	} {
		t.Run(name, func(t *testing.T) {
			x := ok()
			c.change(&x)
			got, err := x.Choose()
			wantError(t, got, func(r clearance.ChosenShells) bool { return r.Seats == nil && r.LargestDeviation == 0 }, err, c.kind, c.field)
		})
	}
	bad := ok()
	bad.Limits = units.Some(units.Limits[units.Length]{})
	if got, err := bad.Choose(); err == nil || got.Seats != nil {
		t.Errorf("limits that limit nothing: %+v", got)
	}
}

// Alike halves in plenty count past 15 pieces: fifteen bearings take thirty of
// one grade and not one less.
func TestChooseThirtyAlike(t *testing.T) {
	c := clearance.ShellChoice{Grades: []clearance.ShellGrade{{Wall: un(2 * mm), Uppers: 20, Lowers: 10}}, AlikeHalves: true, Target: 40 * um}
	for range 15 {
		c.Seats = append(c.Seats, clearance.ShellSeat{Housing: un(64 * mm), Journal: un(60*mm - 40*um)})
	}
	if _, err := c.Choose(); err != nil {
		t.Error(err)
	}
	c.Grades[0].Lowers = 9
	if _, err := c.Choose(); err == nil {
		t.Error("29 pieces fill 15 bearings")
	}
	c.Grades[0].Lowers = math.MaxInt
	if _, err := c.Choose(); err != nil {
		t.Error(err)
	}
}

func TestChooseCarriesUncertaintyAndVerdict(t *testing.T) {
	c := clearance.ShellChoice{
		Seats:  []clearance.ShellSeat{{Housing: units.WithU(64*mm, 3*um), Journal: units.WithU(60*mm-40*um, 2*um)}},
		Grades: []clearance.ShellGrade{{Wall: units.WithU(2*mm, 6*um), Uppers: 1, Lowers: 1}}, Target: 40 * um,
		Limits: units.Some(units.Between(0*um, 200*um, card)),
	}
	got, err := c.Choose()
	if err != nil {
		t.Fatal(err)
	}
	// sqrt(9 + 4 + 36 + 36) um
	if u := got.Seats[0].Clearance.U.Micrometers(); math.Abs(u-math.Sqrt(85)) > 1e-5 {
		t.Errorf("u = %v um", u)
	}
	if v := got.Seats[0].Verdict; !v.Given || v.Value.Outcome != units.ProvedWithin {
		t.Errorf("verdict %+v", v)
	}
}
