package firingorder_test

import (
	"fmt"
	"reflect"
	"slices"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func reversed(tb testing.TB, l *fo.Layout) *fo.Layout {
	tb.Helper()
	r, err := l.Reversed()
	if err != nil {
		tb.Fatal(err)
	}
	return r
}

// backward reads an order from its first cylinder the other way round.
func backward(o fo.Order) string {
	b := slices.Clone(o)
	slices.Reverse(b[1:])
	return b.String()
}

func orderSet(tb testing.TB, l *fo.Layout, text func(fo.Order) string) []string {
	tb.Helper()
	all, err := fo.OrderSearch{Layout: l}.All()
	if err != nil {
		tb.Fatal(err)
	}
	var s []string
	for o := range all {
		s = append(s, text(o))
	}
	slices.Sort(s)
	return s
}

func TestReversed(t *testing.T) {
	radial, err := fo.Radial(fo.RadialConfig{Cylinders: 7, Rows: 1, Rotation: fo.Clockwise, NumberedFrom: fo.FreeEnd})
	if err != nil {
		t.Fatal(err)
	}
	for name, l := range map[string]*fo.Layout{
		"six":            inline(t, fo.SixEven, false),
		"five":           inline(t, fo.FiveInLine, false),
		"two-plane V8":   vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t),
		"split V6":       vee{fo.ThreeEven, true, 90, -30, fo.Bankwise, fo.PassedFirst}.layout(t),
		"odd-fire V6":    vee{fo.ThreeEven, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t),
		"V twin, 45 deg": vee{fo.OnePin, false, 45, 0, fo.Alternating, fo.PassedFirst}.layout(t),
		"radial":         radial,
	} {
		r := reversed(t, l)
		for c := 1; c <= l.Cylinders(); c++ {
			a, err1 := l.TDC(c)
			b, err2 := r.TDC(c)
			// Each is rounded once, to either side.
			if sum := (a + b).WrapTurn(); err1 != nil || err2 != nil || min(sum, units.CrankTurn-sum) > 1 {
				t.Errorf("%s: TDC of %d at %v and %v, %v %v", name, c, a, b, err1, err2)
			}
			if l.Label(c) != r.Label(c) {
				t.Errorf("%s: %d is %s and %s", name, c, l.Label(c), r.Label(c))
			}
		}
		if !reflect.DeepEqual(l.SharedTDC(), r.SharedTDC()) {
			t.Errorf("%s: %v share TDC, and %v", name, l.SharedTDC(), r.SharedTDC())
		}
		if got, want := orderSet(t, r, fo.Order.String), orderSet(t, l, backward); !slices.Equal(got, want) || len(got) == 0 {
			t.Errorf("%s: orders %v, want %v", name, got, want)
		}
		if got := reversed(t, r).Config(); !reflect.DeepEqual(got, l.Config()) {
			t.Errorf("%s: twice reversed %v, want %v", name, got, l.Config())
		}
	}
	if c := reversed(t, radial).Config(); c.Rotation != fo.CounterClockwise || c.NumberedFrom != fo.FreeEnd {
		t.Error(c.Rotation, c.NumberedFrom)
	}
	// Built by hand for the other rotation: pins mirrored, the other bank first.
	v := vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}
	byHand := vee{fo.FourTwoPlane, true, 90, 0, fo.Alternating, fo.PassedFirst}.layout(t)
	if got := orderSet(t, reversed(t, v.layout(t)), fo.Order.String); !slices.Equal(got, orderSet(t, byHand, fo.Order.String)) {
		t.Error(got)
	}
	// At an intermediate angle the engine stands where the other comes from.
	fwd := engine(t, v.layout(t), "1-8-4-3-6-5-7-2")
	bwd := engine(t, reversed(t, v.layout(t)), backward(fwd.Order()))
	for c := 1; c <= 8; c++ {
		a, err1 := fwd.FiringAngle(c)
		b, err2 := bwd.FiringAngle(c)
		if err1 != nil || err2 != nil || (a+b)%(720*units.CrankDegree) != 0 {
			t.Error(c, a, b, err1, err2)
		}
	}
}

func TestReversedRefuses(t *testing.T) {
	for _, l := range []*fo.Layout{nil, {}} {
		r, err := l.Reversed()
		refused(t, "no layout", r != nil, err, "layout", units.ErrMissing)
	}
}

func ExampleLayout_Reversed() {
	// A boat with two screws has the same six once for each sense of rotation.
	starboard, err := fo.Inline(fo.InlineConfig{Crank: fo.SixEven, Rotation: fo.Clockwise})
	if err != nil {
		panic(err)
	}
	port, err := starboard.Reversed()
	if err != nil {
		panic(err)
	}
	fmt.Println(port.Config().Rotation)
	for _, o := range []fo.Order{{1, 5, 3, 6, 2, 4}, {1, 4, 2, 6, 3, 5}} {
		e, err := fo.NewEngine(fo.EngineConfig{Layout: port, Order: o})
		fmt.Println(o, e != nil && e.Even(), err != nil)
	}
	// Output:
	// counter-clockwise
	// 1-5-3-6-2-4 false true
	// 1-4-2-6-3-5 true false
}
