package firingorder_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func degs(tb testing.TB, list ...int64) []fo.Turn {
	tb.Helper()
	t := make([]fo.Turn, len(list))
	for i, d := range list {
		t[i] = deg(tb, d)
	}
	return t
}

func multi(tb testing.TB, c fo.MultiBankConfig) *fo.Layout {
	tb.Helper()
	l, err := fo.MultiBank(c)
	if err != nil {
		tb.Fatal(err)
	}
	return l
}

// With two banks it is V, with one it is Inline, with two opposed it is Boxer.
func TestMultiBankIsV(t *testing.T) {
	for k := fo.OnePin; k <= fo.EightTwoFours; k++ {
		pins, err := k.Pins()
		if err != nil {
			t.Fatal(err)
		}
		if got := multi(t, fo.MultiBankConfig{Pins: pins, Axes: degs(t, 0), Numbering: fo.Bankwise, Rotation: fo.Clockwise}); got.Cylinders() != len(pins) {
			t.Errorf("%v: %d cylinders", k, got.Cylinders())
		} else if want, err := fo.Inline(fo.InlineConfig{Crank: k, Rotation: fo.Clockwise}); err != nil || !sameLayout(got, want) {
			t.Errorf("%v in line: %v, want %v, %v", k, got.Config(), want.Config(), err)
		}
		for _, n := range []fo.Numbering{fo.Alternating, fo.Bankwise} {
			for _, p := range []fo.Passed{fo.PassedFirst, fo.PassedLast} {
				for _, split := range []int64{0, -30, 48} {
					v := int64(75)
					want, err := fo.V(fo.VConfig{Crank: k, BankAngle: deg(t, v), Split: deg(t, split), Numbering: n, BankOfOne: p, NumberedFrom: fo.FreeEnd})
					if err != nil {
						t.Fatal(err)
					}
					if p == fo.PassedLast {
						v = -v
					}
					got := multi(t, fo.MultiBankConfig{Pins: pins, Axes: degs(t, 0, v), Splits: degs(t, 0, split), Numbering: n, NumberedFrom: fo.FreeEnd})
					if !sameLayout(got, want) {
						t.Errorf("%v %v %v split %d: %v, want %v", k, n, p, split, got.Config(), want.Config())
					}
				}
			}
		}
	}
	pins, err := fo.ThreeEven.Pins()
	if err != nil {
		t.Fatal(err)
	}
	if got, want := multi(t, fo.MultiBankConfig{Pins: pins, Axes: degs(t, 0, 180), Splits: degs(t, 0, 180), Numbering: fo.Alternating}), boxer(t, 6, fo.Alternating); !sameLayout(got, want) {
		t.Errorf("%v, want %v", got.Config(), want.Config())
	}
}

// The pins of a place may be one, one for each split, or one for each rod; TDC is
// axis - split - pin in all three.
func TestMultiBankPins(t *testing.T) {
	for name, c := range map[string]struct {
		splits     []int64
		individual bool
		throws     string
		cylinders  string
	}{
		"shared":     {nil, false, "0 180", "A1 B1 C1 A2 B2 C2"},
		"two of one": {[]int64{0, -30, 0}, false, "0 330 180 150", "A1 B2 C1 A3 B4 C3"},
		"same two":   {[]int64{0, -30, -30}, false, "0 330 180 150", "A1 B2 C2 A3 B4 C4"},
		"individual": {[]int64{0, -30, 0}, true, "0 330 0 180 150 180", "A1 B2 C3 A4 B5 C6"},
	} {
		x := fo.MultiBankConfig{Pins: degs(t, 0, 180), Axes: degs(t, 0, 60, -60), Individual: c.individual, Numbering: fo.Alternating}
		if c.splits != nil {
			x.Splits = degs(t, c.splits...)
		}
		l := multi(t, x)
		cfg := l.Config()
		var throws, cylinders []string
		for _, p := range cfg.Throws {
			throws = append(throws, strconv.FormatInt(int64((p.Angle()+units.CrankTurn).WrapTurn()/units.CrankDegree), 10))
		}
		for _, cy := range cfg.Cylinders {
			cylinders = append(cylinders, cy.Bank+strconv.Itoa(cy.Throw))
		}
		if got := strings.Join(throws, " "); got != c.throws {
			t.Errorf("%s: throws %s, want %s", name, got, c.throws)
		}
		if got := strings.Join(cylinders, " "); got != c.cylinders {
			t.Errorf("%s: cylinders %s, want %s", name, got, c.cylinders)
		}
		for k, axis := range []int64{0, 60, -60} {
			for p, pin := range []int64{0, 180} {
				want := axis - pin
				if c.splits != nil {
					want -= c.splits[k]
				}
				got, err := l.TDC(p*3 + k + 1)
				if err != nil || got != units.CrankAngle((want+720)%360)*units.CrankDegree {
					t.Errorf("%s: TDC %v, want %d, %v", name, got, want, err)
				}
			}
		}
	}
}

func TestMultiBankRefuses(t *testing.T) {
	fine := func(num, den int64) fo.Turn {
		f, err := fo.Fraction(num, den)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	for name, c := range map[string]struct {
		spoil func(*fo.MultiBankConfig)
		field string
		kind  error
	}{
		"no pins":            {func(c *fo.MultiBankConfig) { c.Pins = nil }, "Pins", units.ErrMissing},
		"no axes":            {func(c *fo.MultiBankConfig) { c.Axes = nil }, "Axes", units.ErrMissing},
		"27 banks":           {func(c *fo.MultiBankConfig) { c.Axes = make([]fo.Turn, 27) }, "Axes", units.ErrRange},
		"66 cylinders":       {func(c *fo.MultiBankConfig) { c.Pins = make([]fo.Turn, 33) }, "Pins", units.ErrRange},
		"splits of one bank": {func(c *fo.MultiBankConfig) { c.Splits = degs(t, 0) }, "Splits", units.ErrConflict},
		"empty splits":       {func(c *fo.MultiBankConfig) { c.Splits = []fo.Turn{} }, "Splits", units.ErrConflict},
		"split of bank A":    {func(c *fo.MultiBankConfig) { c.Splits = degs(t, 30, 0) }, "Splits[0]", units.ErrConflict},
		"no numbering":       {func(c *fo.MultiBankConfig) { c.Numbering = 0 }, "Numbering", units.ErrMissing},
		"along the shaft":    {func(c *fo.MultiBankConfig) { c.Numbering = fo.AlongShaft }, "Numbering", units.ErrMissing},
		"unknown end":        {func(c *fo.MultiBankConfig) { c.NumberedFrom = 9 }, "NumberedFrom", units.ErrRange},
		"unknown rotation":   {func(c *fo.MultiBankConfig) { c.Rotation = 9 }, "Rotation", units.ErrRange},
		"too fine a split": {func(c *fo.MultiBankConfig) {
			c.Pins, c.Splits = []fo.Turn{fine(1, 999_999)}, []fo.Turn{{}, fine(1, 359_999_999_999)}
		}, "Splits[1]", units.ErrInexact},
	} {
		x := fo.MultiBankConfig{Pins: degs(t, 0, 180), Axes: degs(t, 0, 90), Numbering: fo.Bankwise}
		c.spoil(&x)
		l, err := fo.MultiBank(x)
		refused(t, name, l != nil, err, c.field, c.kind)
	}
	p, err := fo.CrankUnstated.Pins()
	refused(t, "no crank", p != nil, err, "Crank", units.ErrMissing)
}

// Two flat eights geared together so that their cranks turn the same way, the
// second 90 degrees behind: an H of 16 that fires in eight pairs or, with the second
// crank 45 degrees behind, evenly.
func TestHAsData(t *testing.T) {
	flat := degs(t, 0, 90, 270, 180)
	layout := func(behind int64) *fo.Layout {
		c := fo.Config{}
		for i, name := range []string{"A", "B", "C", "D"} {
			c.Banks = append(c.Banks, fo.Bank{Name: name, Axis: deg(t, int64(i%2)*180)})
		}
		for k := range 8 {
			d := int64(flat[k%4].Angle() / units.CrankDegree)
			if k >= 4 {
				d -= behind
			}
			c.Throws = append(c.Throws, deg(t, d))
			for b := range 2 {
				c.Cylinders = append(c.Cylinders, fo.Cylinder{Bank: c.Banks[k/4*2+b].Name, Throw: k + 1})
			}
		}
		l, err := fo.NewLayout(c)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	seen := map[units.CrankAngle]int{}
	for c := range 16 {
		a, err := layout(45).TDC(c + 1)
		if err != nil {
			t.Fatal(err)
		}
		seen[a]++
	}
	for k := range 8 { // every 45 degrees two cylinders reach TDC, one to fire in each turn
		if n := seen[units.CrankAngle(k)*45*units.CrankDegree]; n != 2 {
			t.Errorf("%d cylinders at %d degrees", n, 45*k)
		}
	}
	for _, g := range layout(90).SharedTDC() {
		if len(g) != 4 {
			t.Errorf("%v", g)
		}
	}
}

// A radial is a bank for every cylinder; mirrored numbers mirror TDC.
func TestRadial(t *testing.T) {
	for _, n := range []int{3, 5, 6, 7, 9, 11, 14, 18, 22, 26, 64} {
		for rows := 1; rows <= 2; rows++ {
			if n%rows != 0 || n < 3*rows {
				continue
			}
			with, err1 := fo.Radial(fo.RadialConfig{Cylinders: n, Rows: rows})
			against, err2 := fo.Radial(fo.RadialConfig{Cylinders: n, Rows: rows, AgainstRotation: true})
			if err1 != nil || err2 != nil {
				t.Fatal(err1, err2)
			}
			for k := range n {
				f, err := fo.Fraction(int64(k), int64(n))
				a, err1 := with.TDC(k + 1)
				b, err2 := against.TDC(k + 1)
				if err != nil || err1 != nil || err2 != nil {
					t.Fatal(err, err1, err2)
				}
				want, mirror := f.Angle(), -f.Angle()
				if rows == 2 && k%2 == 1 {
					want, mirror = want+units.CrankTurn/2, mirror+units.CrankTurn/2
				}
				// half a turn and k/n add on one tick, so the two roundings differ by at most one
				if d := (a - want).WrapTurn(); d > 1 && d < units.CrankTurn-1 {
					t.Errorf("%d in %d rows: cylinder %d at %v, want %v", n, rows, k+1, a, want)
				}
				if d := (b - mirror).WrapTurn(); d > 1 && d < units.CrankTurn-1 {
					t.Errorf("%d in %d rows against: cylinder %d at %v, want %v", n, rows, k+1, b, mirror)
				}
			}
		}
	}
	// Odd rows fire evenly by every second cylinder, FAA-H-8083-32, chapter 1.
	for _, n := range []int{3, 5, 7, 9, 11} {
		l, err := fo.Radial(fo.RadialConfig{Cylinders: n, Rows: 1})
		if err != nil {
			t.Fatal(err)
		}
		var o fo.Order
		for k := range n {
			o = append(o, 2*k%n+1)
		}
		e, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: o})
		if err != nil || !e.Even() {
			t.Errorf("%v: %v", o, err)
		}
		if slices.Contains(o[1:], 1) {
			t.Errorf("%v", o)
		}
	}
	for name, c := range map[string]struct {
		c     fo.RadialConfig
		field string
		kind  error
	}{
		"zero":             {fo.RadialConfig{}, "Rows", units.ErrRange},
		"three rows":       {fo.RadialConfig{Cylinders: 21, Rows: 3}, "Rows", units.ErrRange},
		"two cylinders":    {fo.RadialConfig{Cylinders: 2, Rows: 1}, "Cylinders", units.ErrRange},
		"two and a half":   {fo.RadialConfig{Cylinders: 5, Rows: 2}, "Cylinders", units.ErrRange},
		"negative":         {fo.RadialConfig{Cylinders: -9, Rows: 1}, "Cylinders", units.ErrRange},
		"65":               {fo.RadialConfig{Cylinders: 65, Rows: 1}, "Cylinders", units.ErrRange},
		"uneven rows":      {fo.RadialConfig{Cylinders: 7, Rows: 2}, "Cylinders", units.ErrConflict},
		"unknown rotation": {fo.RadialConfig{Cylinders: 7, Rows: 1, Rotation: 7}, "Rotation", units.ErrRange},
		"unknown end":      {fo.RadialConfig{Cylinders: 7, Rows: 1, NumberedFrom: 7}, "NumberedFrom", units.ErrRange},
	} {
		l, err := fo.Radial(c.c)
		refused(t, name, l != nil, err, c.field, c.kind)
	}
}
