package firingorder_test

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/internal/reference"
	"example.com/trialfit/units"
)

func inline(tb testing.TB, k fo.Crank, mirrored bool) *fo.Layout {
	tb.Helper()
	l, err := fo.Inline(fo.InlineConfig{Crank: k, Mirrored: mirrored})
	if err != nil {
		tb.Fatal(err)
	}
	return l
}

func boxer(tb testing.TB, cylinders int, n fo.Numbering) *fo.Layout {
	tb.Helper()
	l, err := fo.Boxer(fo.BoxerConfig{Cylinders: cylinders, Numbering: n})
	if err != nil {
		tb.Fatal(err)
	}
	return l
}

type vee struct {
	crank        fo.Crank
	mirrored     bool
	angle, split int64
	numbering    fo.Numbering
	one          fo.Passed
}

func (v vee) layout(tb testing.TB) *fo.Layout {
	tb.Helper()
	l, err := fo.V(fo.VConfig{
		Crank: v.crank, Mirrored: v.mirrored, BankAngle: deg(tb, v.angle), Split: deg(tb, v.split),
		Numbering: v.numbering, BankOfOne: v.one,
	})
	if err != nil {
		tb.Fatal(err)
	}
	return l
}

func engine(tb testing.TB, l *fo.Layout, o string) *fo.Engine {
	tb.Helper()
	e, err := fo.NewEngine(fo.EngineConfig{Layout: l, Order: order(tb, o)})
	if err != nil {
		tb.Fatal(err)
	}
	return e
}

func intervalText(e *fo.Engine) string {
	var s []string
	for _, g := range e.Intervals() {
		s = append(s, strings.TrimSuffix(g.String(), " crank deg"))
	}
	return strings.Join(s, "-")
}

func pairText(tb testing.TB, e *fo.Engine) string {
	tb.Helper()
	var s []string
	for _, c := range e.Order() {
		k, err := e.CompanionOf(c)
		if err != nil {
			tb.Fatal(err)
		}
		if k.Exists && c < k.Cylinder {
			s = append(s, fmt.Sprintf("%d&%d", c, k.Cylinder))
		}
	}
	slices.Sort(s)
	if s == nil {
		return "none"
	}
	return strings.Join(s, " ")
}

// TestConstructorsAgainstLayouts builds every layout of the reference table that
// a constructor can make, and expects the intervals and the companions of the
// table: published orders and intervals where the row says verified, geometry
// with exact fractions where it says computed.
func TestConstructorsAgainstLayouts(t *testing.T) {
	rows, err := reference.Rows()
	if err != nil {
		t.Fatal(err)
	}
	row := map[string]reference.Row{}
	for _, r := range rows {
		row[r.ID] = r
	}
	alt, bw, first, last := fo.Alternating, fo.Bankwise, fo.PassedFirst, fo.PassedLast
	v := func(w vee) *fo.Layout { return w.layout(t) }
	for id, l := range map[string]*fo.Layout{
		"i1":                    inline(t, fo.OnePin, false),
		"i2-360":                inline(t, fo.TwoParallel, false),
		"i2-180":                inline(t, fo.TwoOpposed, false),
		"i2-270":                inline(t, fo.TwoQuarter, false),
		"i3-b":                  inline(t, fo.ThreeEven, false),
		"i4-flat-1":             inline(t, fo.FourSinglePlane, false),
		"i4-flat-2":             inline(t, fo.FourSinglePlane, false),
		"i4-cross":              inline(t, fo.FourTwoPlane, true),
		"i6-a-1":                inline(t, fo.SixEven, false),
		"i6-a-2":                inline(t, fo.SixEven, false),
		"i6-a-3":                inline(t, fo.SixEven, false),
		"i6-a-4":                inline(t, fo.SixEven, false),
		"i6-b-2":                inline(t, fo.SixEven, true),
		"i6-b-3":                inline(t, fo.SixEven, true),
		"i6-b-4":                inline(t, fo.SixEven, true),
		"i8-242-a":              inline(t, fo.EightSplit, false),
		"i8-44":                 inline(t, fo.EightTwoFours, false),
		"boxer2":                boxer(t, 2, alt),
		"boxer4-aviation-1":     boxer(t, 4, alt),
		"boxer4-bankwise-1":     boxer(t, 4, bw),
		"boxer4-bankwise-2":     boxer(t, 4, bw),
		"boxer6-aviation":       boxer(t, 6, alt),
		"boxer6-bankwise-a":     boxer(t, 6, bw),
		"v2-45":                 v(vee{fo.OnePin, false, 45, 0, alt, first}),
		"v2-52":                 v(vee{fo.OnePin, false, 52, 0, alt, first}),
		"v2-60":                 v(vee{fo.OnePin, false, 60, 0, bw, first}),
		"v2-75":                 v(vee{fo.OnePin, false, 75, 0, bw, first}),
		"v2-52-offset76":        v(vee{fo.OnePin, false, 52, 284, alt, first}),
		"v4-90-180crank":        v(vee{fo.TwoOpposed, false, 90, 0, alt, first}),
		"v4-90-360crank":        v(vee{fo.TwoParallel, false, 90, 0, alt, first}),
		"v4-60-bankwise":        v(vee{fo.TwoOpposed, false, 60, -120, bw, first}),
		"v6-60-alt":             v(vee{fo.ThreeEven, true, 60, -60, alt, first}),
		"v6-60-alt-m":           v(vee{fo.ThreeEven, false, 60, 60, alt, last}),
		"v6-60-bw":              v(vee{fo.ThreeEven, true, 60, -60, bw, first}),
		"v6-90-oddfire":         v(vee{fo.ThreeEven, false, 90, 0, alt, last}),
		"v6-90-bw-a":            v(vee{fo.ThreeEven, false, 90, -30, bw, first}),
		"v6-90-oddfire-bw":      v(vee{fo.ThreeEven, true, 90, 0, bw, first}),
		"v6-72-bw":              v(vee{fo.ThreeEven, true, 72, -48, bw, first}),
		"v6-120-bw-1":           v(vee{fo.ThreeEven, false, 120, 0, bw, first}),
		"v6-120-bw-3":           v(vee{fo.ThreeEven, false, 120, 0, bw, first}),
		"v8-xplane-alt-trail-1": v(vee{fo.FourTwoPlane, false, 90, 0, alt, last}),
		"v8-xplane-alt-trail-2": v(vee{fo.FourTwoPlane, false, 90, 0, alt, last}),
		"v8-xplane-alt-trail-3": v(vee{fo.FourTwoPlane, false, 90, 0, alt, last}),
		"v8-xplane-alt-lead-2":  v(vee{fo.FourTwoPlane, false, 90, 0, alt, first}),
		"v8-xplane-bw-1":        v(vee{fo.FourTwoPlane, false, 90, 0, bw, first}),
		"v8-xplane-bw-2":        v(vee{fo.FourTwoPlane, false, 90, 0, bw, first}),
		"v8-xplane-bw-3":        v(vee{fo.FourTwoPlane, false, 90, 0, bw, first}),
		"v8-flat-bw-1":          v(vee{fo.FourSinglePlane, false, 90, 0, bw, first}),
		"v8-flat-bw-2":          v(vee{fo.FourSinglePlane, false, 90, 0, bw, first}),
		"v8-flat-bw-3":          v(vee{fo.FourSinglePlane, false, 90, 0, bw, first}),
		"v8-flat-bw-trail":      v(vee{fo.FourSinglePlane, false, 90, 0, bw, last}),
		"v10-72-alt":            v(vee{fo.FiveStar, false, 72, 0, alt, last}),
		"v10-72-bw":             v(vee{fo.FiveStar, false, 72, 0, bw, first}),
		"v10-90-split18":        v(vee{fo.FiveStar, false, 90, -18, alt, last}),
		"v12-60-bw-1":           v(vee{fo.SixEven, false, 60, 0, bw, first}),
		"v12-90-iso1204":        v(vee{fo.SixEven, false, 90, 0, bw, last}),
	} {
		t.Run(id, func(t *testing.T) {
			intervals, pairs := row[id+"-intervals"], row[id+"-pairs"]
			o, err := intervals.Input("order")
			if err != nil {
				t.Fatal(err)
			}
			c := fo.EngineConfig{Layout: l, Order: order(t, o)}
			if s, err := intervals.Input("second_turn_from"); err == nil {
				if c.SecondTurnFrom, err = strconv.Atoi(s); err != nil {
					t.Fatal(err)
				}
			}
			e, err := fo.NewEngine(c)
			if err != nil {
				t.Fatal(err)
			}
			if got := intervalText(e); got != intervals.Expected {
				t.Errorf("intervals %s, want %s", got, intervals.Expected)
			}
			want := strings.Fields(pairs.Expected)
			slices.Sort(want)
			if got := pairText(t, e); got != strings.Join(want, " ") {
				t.Errorf("companions %s, want %s", got, pairs.Expected)
			}
		})
	}
}

// In-line five: 1-2-4-5-3 is the trade's usual order (common practice, no
// source); 144 degrees apart by 720/5.
func TestInlineFive(t *testing.T) {
	e := engine(t, inline(t, fo.FiveInLine, false), "1-2-4-5-3")
	if got := intervalText(e); got != "144-144-144-144-144" || !e.Even() {
		t.Error(got)
	}
	if got := pairText(t, e); got != "none" { // odd number: none 360 apart
		t.Error(got)
	}
	// Counted up it is possible and uneven, and Even says so.
	if e := engine(t, inline(t, fo.FiveInLine, false), "1-2-3-4-5"); e.Even() {
		t.Error("1-2-3-4-5 fires evenly")
	}
}

// Mirroring the crank and turning the order round is the same engine running
// backwards: the intervals turn round with it.
func TestMirroredReversesTheOrder(t *testing.T) {
	for _, k := range []fo.Crank{fo.ThreeEven, fo.FourSinglePlane, fo.FiveInLine, fo.SixEven, fo.EightSplit, fo.EightTwoFours} {
		l, m := inline(t, k, false), inline(t, k, true)
		for c := 1; c <= l.Cylinders(); c++ {
			a, err1 := l.TDC(c)
			b, err2 := m.TDC(c)
			if err := errors.Join(err1, err2); err != nil || (a+b)%units.CrankTurn != 0 {
				t.Errorf("%v, cylinder %d: %v and %v, %v", k, c, a, b, err)
			}
		}
	}
}

func TestConstructorsRefuse(t *testing.T) {
	right := fo.VConfig{Crank: fo.FourTwoPlane, BankAngle: deg(t, 90), Numbering: fo.Alternating, BankOfOne: fo.PassedFirst}
	with := func(f func(*fo.VConfig)) func() (*fo.Layout, error) {
		c := right
		f(&c)
		return func() (*fo.Layout, error) { return fo.V(c) }
	}
	line := func(c fo.InlineConfig) func() (*fo.Layout, error) {
		return func() (*fo.Layout, error) { return fo.Inline(c) }
	}
	box := func(c fo.BoxerConfig) func() (*fo.Layout, error) {
		return func() (*fo.Layout, error) { return fo.Boxer(c) }
	}
	fine, err := fo.Fraction(1, 359_999_999_999)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		build func() (*fo.Layout, error)
		field string
		kind  error
	}{
		"no crank":              {line(fo.InlineConfig{}), "Crank", units.ErrMissing},
		"unknown crank":         {line(fo.InlineConfig{Crank: 200}), "Crank", units.ErrMissing},
		"unknown end":           {line(fo.InlineConfig{Crank: fo.SixEven, NumberedFrom: 3}), "NumberedFrom", units.ErrRange},
		"unknown rotation":      {line(fo.InlineConfig{Crank: fo.SixEven, Rotation: 3}), "Rotation", units.ErrRange},
		"V without crank":       {with(func(c *fo.VConfig) { c.Crank = 0 }), "Crank", units.ErrMissing},
		"V without numbering":   {with(func(c *fo.VConfig) { c.Numbering = 0 }), "Numbering", units.ErrMissing},
		"unknown numbering":     {with(func(c *fo.VConfig) { c.Numbering = 9 }), "Numbering", units.ErrMissing},
		"V without orientation": {with(func(c *fo.VConfig) { c.BankOfOne = 0 }), "BankOfOne", units.ErrMissing},
		"unknown orientation":   {with(func(c *fo.VConfig) { c.BankOfOne = 9 }), "BankOfOne", units.ErrMissing},
		"no bank angle":         {with(func(c *fo.VConfig) { c.BankAngle = fo.Turn{} }), "BankAngle", units.ErrRange},
		"negative bank angle":   {with(func(c *fo.VConfig) { c.BankAngle = deg(t, -90) }), "BankAngle", units.ErrRange},
		"bank angle over 180":   {with(func(c *fo.VConfig) { c.BankAngle = deg(t, 181) }), "BankAngle", units.ErrRange},
		"split too fine":        {with(func(c *fo.VConfig) { c.Split = fine }), "Split", units.ErrInexact},
		"boxer of none":         {box(fo.BoxerConfig{Numbering: fo.Bankwise}), "Cylinders", units.ErrRange},
		"boxer of three":        {box(fo.BoxerConfig{Cylinders: 3, Numbering: fo.Bankwise}), "Cylinders", units.ErrRange},
		"boxer of minus two":    {box(fo.BoxerConfig{Cylinders: -2, Numbering: fo.Bankwise}), "Cylinders", units.ErrRange},
		"boxer of eight":        {box(fo.BoxerConfig{Cylinders: 8, Numbering: fo.Bankwise}), "Cylinders", units.ErrRange},
		"boxer not numbered":    {box(fo.BoxerConfig{Cylinders: 4}), "Numbering", units.ErrMissing},
	} {
		l, err := c.build()
		refused(t, name, l != nil, err, c.field, c.kind)
	}
	for _, a := range []int64{1, 179, 180} { // the ends of the range
		if _, err := with(func(c *fo.VConfig) { c.BankAngle = deg(t, a) })(); err != nil {
			t.Errorf("bank angle %d: %v", a, err)
		}
	}
}

// refused fails unless err is a typed refusal of the field and no value came
// with it.
func refused(t *testing.T, name string, value bool, err error, field string, kind error) {
	t.Helper()
	var in *units.InputError
	switch {
	case value:
		t.Errorf("%s: a value with error %v", name, err)
	case !errors.Is(err, kind):
		t.Errorf("%s: %v, want %v", name, err, kind)
	case !errors.As(err, &in) || in.Package != "firingorder" || in.Field != field || in.Reason == "":
		t.Errorf("%s: %#v, want field %q with a reason", name, in, field)
	}
}

func TestNames(t *testing.T) {
	for _, c := range []struct {
		value fmt.Stringer
		want  string
	}{
		{fo.SixEven, "six pins at 120 degrees"},
		{fo.EightTwoFours, "eight pins, two fours at 90 degrees"},
		{fo.Crank(99), "99"},
		{fo.Bankwise, "bankwise"},
		{fo.PassedLast, "passed last"},
		{fo.DrivingEnd, "driving end"},
		{fo.CounterClockwise, "counter-clockwise"},
		{fo.TwoStroke, "two-stroke"},
		{fo.Compression, "compression"},
		{fo.NoStroke, "no stroke"},
		{fo.Stroke(9), "9"},
		{fo.Order{1, 3, 2}, "1-3-2"},
		{fo.Order(nil), ""},
	} {
		if got := c.value.String(); got != c.want {
			t.Errorf("%T %q, want %q", c.value, got, c.want)
		}
	}
}

// The table of the package documentation against the angles themselves: seen
// from the driving end, counter-clockwise is positive, and the crank turns that
// way; the bank on the left stands 90 + V/2 from the horizontal on the right,
// the bank on the right 90 - V/2. Sources of the rules: see the documentation.
func TestBankOfOneByStandard(t *testing.T) {
	const v = 60
	left, right := int64(90+v/2), int64(90-v/2)
	for name, c := range map[string]struct {
		one, other int64 // axes of the bank of cylinder 1 and of the other
		want       fo.Passed
	}{
		"ISO 1204, A on the left":                                         {left, right, fo.PassedLast},
		"DIN 73021, first on the left of the free end":                    {right, left, fo.PassedFirst},
		"SAE J824 method A, first rod on the right":                       {right, left, fo.PassedFirst},
		"SAE J824 method A, first rod on the left":                        {left, right, fo.PassedLast},
		"SAE J824 method B, R as bank A":                                  {right, left, fo.PassedFirst},
		"SAE J824 method B, L as bank A":                                  {left, right, fo.PassedLast},
		"ISO 1204, A on the left, turning the other way (angles negated)": {-left, -right, fo.PassedFirst},
	} {
		l, err := fo.V(fo.VConfig{Crank: fo.FourTwoPlane, BankAngle: deg(t, v), Numbering: fo.Bankwise, BankOfOne: c.want})
		if err != nil {
			t.Fatal(err)
		}
		// A crank passes an axis at that angle: TDC of facing cylinders on one
		// pin differs by the axes.
		a, err1 := l.TDC(1)
		b, err2 := l.TDC(5)
		want := (units.CrankAngle(c.other-c.one) * units.CrankDegree).WrapTurn()
		if err := errors.Join(err1, err2); err != nil || (b-a).WrapTurn() != want {
			t.Errorf("%s: %s puts the other bank %s later, the geometry %s (%v)", name, c.want, (b - a).WrapTurn(), want, err)
		}
	}
}
