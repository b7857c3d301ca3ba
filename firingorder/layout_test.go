package firingorder_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// two is a small right description that the tables below break.
func two(tb testing.TB) fo.Config {
	tb.Helper()
	return fo.Config{
		Banks:     []fo.Bank{{Name: "A"}, {Name: "B", Axis: deg(tb, 90)}},
		Throws:    []fo.Turn{{}, deg(tb, 180)},
		Cylinders: []fo.Cylinder{{Bank: "A", Throw: 1}, {Bank: "B", Throw: 1}, {Bank: "A", Throw: 2}, {Bank: "B", Throw: 2}},
	}
}

func TestNewLayoutRefuses(t *testing.T) {
	fraction := func(num, den int64) fo.Turn {
		f, err := fo.Fraction(num, den)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	many := make([]fo.Cylinder, 65)
	for name, c := range map[string]struct {
		spoil func(*fo.Config)
		field string
		kind  error
		says  string
	}{
		"empty":                  {func(c *fo.Config) { *c = fo.Config{} }, "Cylinders", units.ErrMissing, "at least one"},
		"too many cylinders":     {func(c *fo.Config) { c.Cylinders = many }, "Cylinders", units.ErrRange, "at most 64"},
		"too many banks":         {func(c *fo.Config) { c.Banks = make([]fo.Bank, 65) }, "Banks", units.ErrRange, "at most 64"},
		"too many throws":        {func(c *fo.Config) { c.Throws = make([]fo.Turn, 65) }, "Throws", units.ErrRange, "at most 64"},
		"no banks":               {func(c *fo.Config) { c.Banks = nil }, "cylinder 1", units.ErrMissing, "no bank"},
		"no throws":              {func(c *fo.Config) { c.Throws = nil }, "cylinder 1", units.ErrRange, "throw"},
		"bank without a name":    {func(c *fo.Config) { c.Banks[1].Name = "" }, "Banks[1]", units.ErrMissing, "name"},
		"bank name twice":        {func(c *fo.Config) { c.Banks[1].Name = "A" }, "Banks[1]", units.ErrConflict, "name"},
		"bank name a number":     {func(c *fo.Config) { c.Banks[1].Name = "1" }, "Banks[1]", units.ErrSyntax, "letter"},
		"bank name with a dash":  {func(c *fo.Config) { c.Banks[1].Name = "A-B" }, "Banks[1]", units.ErrSyntax, "letter"},
		"bank name with a space": {func(c *fo.Config) { c.Banks[1].Name = "A B" }, "Banks[1]", units.ErrSyntax, "letter"},
		"bank name not UTF-8":    {func(c *fo.Config) { c.Banks[1].Name = "A\xff" }, "Banks[1]", units.ErrSyntax, "letter"},
		"bank name too long":     {func(c *fo.Config) { c.Banks[1].Name = strings.Repeat("a", 33) }, "Banks[1]", units.ErrSyntax, "32"},
		"unknown bank":           {func(c *fo.Config) { c.Cylinders[2].Bank = "C" }, "cylinder 3", units.ErrMissing, "no bank"},
		"bank not stated":        {func(c *fo.Config) { c.Cylinders[2].Bank = "" }, "cylinder 3", units.ErrMissing, "no bank"},
		"throw 0":                {func(c *fo.Config) { c.Cylinders[2].Throw = 0 }, "cylinder 3", units.ErrRange, "1 to 2"},
		"throw -1":               {func(c *fo.Config) { c.Cylinders[2].Throw = -1 }, "cylinder 3", units.ErrRange, "1 to 2"},
		"throw too large":        {func(c *fo.Config) { c.Cylinders[2].Throw = 3 }, "cylinder 3", units.ErrRange, "1 to 2"},
		"place used twice":       {func(c *fo.Config) { c.Cylinders[2].Throw = 1 }, "cylinder 3", units.ErrConflict, "cylinder 1"},
		"unknown end":            {func(c *fo.Config) { c.NumberedFrom = 7 }, "NumberedFrom", units.ErrRange, "end"},
		"unknown rotation":       {func(c *fo.Config) { c.Rotation = 7 }, "Rotation", units.ErrRange, "sense"},
		"no common denominator": {func(c *fo.Config) {
			c.Throws = []fo.Turn{fraction(1, 359_999_999_999), fraction(1, 359_999_999_998)}
		}, "Throws[1]", units.ErrInexact, "denominator"},
		"no common denominator with a bank": {func(c *fo.Config) {
			c.Banks[0].Axis, c.Banks[1].Axis = fraction(1, 359_999_999_999), fraction(1, 359_999_999_998)
		}, "Banks[1]", units.ErrInexact, "denominator"},
		"labels alike": {func(c *fo.Config) {
			// Bank A has 11 cylinders, so A11 is its last and also A1's first.
			c.Banks = []fo.Bank{{Name: "A"}, {Name: "A1", Axis: deg(t, 90)}}
			c.Throws = make([]fo.Turn, 11)
			c.Cylinders = nil
			for i := range 11 {
				c.Cylinders = append(c.Cylinders, fo.Cylinder{Bank: "A", Throw: i + 1})
			}
			c.Cylinders = append(c.Cylinders, fo.Cylinder{Bank: "A1", Throw: 1})
		}, "cylinder 12", units.ErrConflict, "label"},
	} {
		x := two(t)
		c.spoil(&x)
		l, err := fo.NewLayout(x)
		refused(t, name, l != nil, err, c.field, c.kind)
		if err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v does not say %q", name, err, c.says)
		}
	}
}

func TestTurnRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		num, den int64
		field    string
	}{
		"denominator 0":         {1, 0, "den"},
		"denominator negative":  {1, -7, "den"},
		"denominator too large": {1, 360_000_000_001, "den"},
		"denominator smallest":  {1, math.MinInt64, "den"},
		"1000 turns":            {1000, 1, "num"},
		"-1000 turns":           {-1000, 1, "num"},
		"largest":               {math.MaxInt64, 360, "num"},
		"smallest":              {math.MinInt64, 360, "num"},
	} {
		x, err := fo.Fraction(c.num, c.den)
		refused(t, name, x != fo.Turn{}, err, c.field, units.ErrRange)
	}
	for _, d := range []int64{360_000, -360_000, math.MaxInt64, math.MinInt64} {
		x, err := fo.Degrees(d)
		refused(t, "Degrees", x != fo.Turn{}, err, "num", units.ErrRange)
	}
	for _, a := range []units.CrankAngle{1000 * units.CrankTurn, math.MinInt64, math.MaxInt64} {
		x, err := fo.TurnOf(a)
		refused(t, "TurnOf", x != fo.Turn{}, err, "num", units.ErrRange)
	}
}

// Exact: equal fractions are ==, whatever they were made from, and whole counts
// come back. Rounded: sevenths, ties away from zero.
func TestTurn(t *testing.T) {
	a, err1 := fo.Fraction(-3, 12)
	b, err2 := fo.TurnOf(-90 * units.CrankDegree)
	if err := errors.Join(err1, err2); err != nil || a != b || a != deg(t, -90) {
		t.Errorf("%v %v %v, %v", a, b, deg(t, -90), err)
	}
	if (deg(t, 0) != fo.Turn{}) || deg(t, 90) == a {
		t.Error("0 and 90 degrees")
	}
	for _, x := range []units.CrankAngle{1, -1, units.CrankDegree / 3, 1000*units.CrankTurn - 1, 1 - 1000*units.CrankTurn} {
		f, err := fo.TurnOf(x)
		if err != nil || f.Angle() != x {
			t.Errorf("%d comes back as %d, %v", x, f.Angle(), err)
		}
	}
	s, err := fo.Fraction(2, 14)
	if err != nil || s.String() != "1/7 turn" || s.Angle() != 51_428_571_429 { // 360e9/7 = 51428571428.57
		t.Error(s, s.Angle(), err)
	}
	if s := (fo.Turn{}).String(); s != "0/1 turn" {
		t.Error(s)
	}
}

func TestLayoutIsAskedForNothingItHasNot(t *testing.T) {
	l, err := fo.NewLayout(two(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []int{0, -1, 5, math.MaxInt, math.MinInt} {
		a, err := l.TDC(c)
		refused(t, "TDC", a != 0, err, "cylinder", units.ErrRange)
		if s := l.Label(c); s != "" {
			t.Errorf("cylinder %d is called %q", c, s)
		}
	}
	var none *fo.Layout
	for _, l := range []*fo.Layout{none, {}} {
		a, err := l.TDC(1)
		refused(t, "TDC of no layout", a != 0, err, "layout", units.ErrMissing)
		o, err := l.ParseOrder("1")
		refused(t, "ParseOrder of no layout", o != nil, err, "layout", units.ErrMissing)
		e, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: fo.Order{1}})
		refused(t, "NewEngine", e != nil, err, "Layout", units.ErrMissing)
		if l.Cylinders() != 0 || l.Label(1) != "" || l.SharedTDC() != nil || len(l.Config().Cylinders) != 0 {
			t.Error("a layout that was not built answers")
		}
	}
}

// What the caller does to slices before and after changes no layout.
func TestLayoutIsItsOwn(t *testing.T) {
	c := two(t)
	l, err := fo.NewLayout(c)
	if err != nil {
		t.Fatal(err)
	}
	before, err := l.TDC(4)
	if err != nil {
		t.Fatal(err)
	}
	c.Throws[1], c.Cylinders[3] = deg(t, 10), fo.Cylinder{}
	got := l.Config()
	got.Throws[1], got.Banks[0].Name, got.Cylinders[0].Throw = deg(t, 20), "Z", 9
	o := fo.Order{1, 3, 2, 4}
	e, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: o})
	if err != nil {
		t.Fatal(err)
	}
	o[0] = 4
	e.Order()[0] = 4
	e.Intervals()[0] = 0
	if after, err := l.TDC(4); err != nil || after != before || l.Config().Throws[1] != deg(t, 180) || e.Order()[0] != 1 || e.Intervals()[0] == 0 {
		t.Error("changed from outside")
	}
}

func TestLabels(t *testing.T) {
	l := vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t)
	var got []string
	for c := range l.Cylinders() {
		got = append(got, l.Label(c+1))
	}
	if s := strings.Join(got, " "); s != "A1 B1 A2 B2 A3 B3 A4 B4" {
		t.Error(s)
	}
	// A split pin does not shift the count within a bank.
	l = vee{fo.ThreeEven, false, 90, -30, fo.Bankwise, fo.PassedFirst}.layout(t)
	if l.Label(6) != "B3" || l.Label(3) != "A3" {
		t.Error(l.Label(3), l.Label(6))
	}
	for _, s := range []string{"A1-B1-A3-B3-A2-B2", "1-4-3-6-2-5"} {
		o, err := l.ParseOrder(s)
		if err != nil || o.String() != "1-4-3-6-2-5" {
			t.Error(s, o, err)
		}
	}
}

func TestParseOrderRefuses(t *testing.T) {
	l, err := fo.NewLayout(two(t))
	if err != nil {
		t.Fatal(err)
	}
	long := strings.Repeat("1-", 300)
	for s, kind := range map[string]error{
		"": units.ErrSyntax, "-": units.ErrSyntax, "1-": units.ErrSyntax, "-1": units.ErrSyntax, "1--2": units.ErrSyntax,
		"0": units.ErrSyntax, "01": units.ErrSyntax, "65": units.ErrSyntax, "100": units.ErrSyntax, "1,2": units.ErrSyntax,
		"1 - 2": units.ErrSyntax, " 1-2": units.ErrSyntax, "1-2\n": units.ErrSyntax, "1-x": units.ErrSyntax, "+1": units.ErrSyntax,
		"1.0": units.ErrSyntax, "NaN": units.ErrSyntax, "١-٢": units.ErrSyntax, long: units.ErrSyntax,
		"1-1": units.ErrConflict, "1-2-3-1": units.ErrConflict,
	} {
		o, err := fo.ParseOrder(s)
		refused(t, s, o != nil, err, "order", kind)
	}
	for s, kind := range map[string]error{
		"A1-B5": units.ErrSyntax, "A1-3": units.ErrSyntax, "1-A1": units.ErrSyntax, "a1": units.ErrSyntax, "A1-": units.ErrSyntax,
		"A1-A1": units.ErrConflict, "1-2-5": units.ErrRange, "1-2-2": units.ErrConflict, "": units.ErrSyntax,
	} {
		o, err := l.ParseOrder(s)
		refused(t, s, o != nil, err, "order", kind)
	}
	// What is wanted is what this reader takes.
	_, err = fo.ParseOrder("A1-B1")
	_, byLabel := l.ParseOrder("A1-1R")
	n, err3 := fo.NewNaming(fo.NamingConfig{Layout: l, Scheme: fo.Scheme{Numbering: fo.Alternating}})
	if err3 != nil {
		t.Fatal(err3)
	}
	_, byName := n.ParseOrder("A1")
	for want, err := range map[string]error{"numbers from 1 to 64": err, "labels of the layout or numbers": byLabel, "names of the scheme": byName} {
		if err == nil || !strings.Contains(err.Error(), `is no cylinder: want `+want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
	o, err := fo.ParseOrder("64-1-9")
	if err != nil || !slices.Equal(o, fo.Order{64, 1, 9}) {
		t.Error(o, err)
	}
}

func TestSharedTDC(t *testing.T) {
	groups := func(l *fo.Layout) [][]int { return l.SharedTDC() }
	equal := func(a [][]int, b ...[]int) bool {
		return slices.EqualFunc(a, b, slices.Equal[[]int])
	}
	// Pairs 1&6 5&8 4&7 2&3: magazine article on firing-order swap camshafts.
	if g := groups(vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t)); !equal(g, []int{1, 6}, []int{2, 3}, []int{4, 7}, []int{5, 8}) {
		t.Error(g)
	}
	// Denton, p. 107: 1&6, 2&5, 3&4.
	if g := groups(inline(t, fo.SixEven, false)); !equal(g, []int{1, 6}, []int{2, 5}, []int{3, 4}) {
		t.Error(g)
	}
	// Three pins at 120 degrees and a bank angle of 90: six different positions.
	if g := groups(vee{fo.ThreeEven, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t)); g != nil {
		t.Error(g)
	}
	// A flat layout with all pins in line: by construction all four together.
	same, err := fo.NewLayout(fo.Config{
		Banks: []fo.Bank{{Name: "A"}}, Throws: make([]fo.Turn, 4),
		Cylinders: []fo.Cylinder{{"A", 1}, {"A", 2}, {"A", 3}, {"A", 4}},
	})
	if err != nil {
		t.Fatal(err)
	}
	if g := groups(same); !equal(g, []int{1, 2, 3, 4}) {
		t.Error(g)
	}
}

// The finest layout: cylinder 2 reaches TDC 1/(2^23 (2^23 - 1)) of a turn, 5e-12
// degrees, before cylinder 1 comes round. Rounded that is 360, which wraps to 0
// as a position and stays the end of the turn as a firing angle; the two are not
// taken for one position.
func TestHairUnderATurn(t *testing.T) {
	a, err1 := fo.Fraction(1, 1<<23)
	b, err2 := fo.Fraction(1, 1<<23-1)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	l, err := fo.NewLayout(fo.Config{
		Banks: []fo.Bank{{Name: "A"}}, Throws: []fo.Turn{a, b},
		Cylinders: []fo.Cylinder{{Bank: "A", Throw: 1}, {Bank: "A", Throw: 2}},
	})
	if err != nil {
		t.Fatal(err)
	}
	if x, err := l.TDC(2); err != nil || x != 0 || l.SharedTDC() != nil {
		t.Error(x, err, l.SharedTDC())
	}
	e := engine(t, l, "1-2")
	f, err1 := e.FiringAngle(2)
	k, err2 := e.CompanionOf(1)
	if err := errors.Join(err1, err2); err != nil || f != units.CrankTurn || k.Exists || e.Even() {
		t.Error(f, k, err)
	}
}
