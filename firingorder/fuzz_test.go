package firingorder_test

import (
	"encoding/binary"
	"errors"
	"strings"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// typed fails unless the error is a refusal of this package.
func typed(t *testing.T, err error) {
	t.Helper()
	var in *units.InputError
	if !errors.As(err, &in) || in.Package != "firingorder" || in.Field == "" || in.Kind == nil {
		t.Fatalf("an error of no type: %#v", err)
	}
}

// What is read prints back as it was; what is refused gives nothing.
func FuzzParseOrder(f *testing.F) {
	for _, s := range []string{"1-5-3-6-2-4", "", "1--2", "1-1", "-1", "01", "64-65", "A1-B5", "A1-B2-A2-B1", "A1-2"} {
		f.Add(s)
	}
	l, err := fo.NewLayout(two(f))
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, s string) {
		o, err := fo.ParseOrder(s)
		switch {
		case err != nil && o != nil:
			t.Fatal("a value with an error")
		case err != nil:
			typed(t, err)
		case o.String() != s:
			t.Fatalf("%q reads as %q", s, o)
		}
		p, err := l.ParseOrder(s)
		if err != nil {
			typed(t, err)
			if p != nil {
				t.Fatal("a value with an error")
			}
			return
		}
		var names []string
		for _, c := range p {
			names = append(names, l.Label(c))
		}
		labels := strings.Join(names, "-")
		if s != p.String() && s != labels {
			t.Fatalf("%q reads as %q, %q", s, p, labels)
		}
	})
}

// reader deals out bytes, then zeros.
type reader []byte

func (r *reader) byte() byte {
	if len(*r) == 0 {
		return 0
	}
	b := (*r)[0]
	*r = (*r)[1:]
	return b
}

// turn deals small fractions, whole degrees and, rarely, anything.
func (r *reader) turn() fo.Turn {
	var f fo.Turn
	switch k := r.byte(); {
	case k < 120:
		f, _ = fo.Degrees(int64(int8(r.byte())) * 15)
	case k < 240:
		f, _ = fo.Fraction(int64(int8(r.byte())), 1+int64(r.byte()))
	default:
		var b [16]byte
		for i := range b {
			b[i] = r.byte()
		}
		f, _ = fo.Fraction(int64(binary.LittleEndian.Uint64(b[:8])), int64(binary.LittleEndian.Uint64(b[8:])))
	}
	return f
}

// Whatever a layout, an order or an angle holds, the answer is a refusal with a
// type or an engine that keeps the rules of its cycle.
func FuzzEngine(f *testing.F) {
	f.Add([]byte{}, int64(0))
	f.Add([]byte{1, 0, 0, 6, 0, 0, 0, 16, 0, 8, 0, 8, 0, 16, 0, 0, 6, 0, 0, 0, 1, 0, 2, 0, 3, 0, 4, 0, 5, 1, 5, 3, 6, 2, 4}, int64(-1))
	f.Add([]byte{2, 0, 0, 0, 6, 1, 0, 0, 2, 0, 0, 1, 0, 1, 2}, int64(1)<<62)
	f.Add([]byte{3, 200, 1, 6, 200, 2, 6, 241, 1, 255, 9, 9, 9, 9, 0, 0, 0, 1, 2, 3, 4, 5, 6, 7, 0, 3, 0, 0, 0, 4, 0, 1, 1, 1, 2, 2}, int64(-1)<<63)
	f.Fuzz(func(t *testing.T, data []byte, at int64) {
		r := reader(data)
		var c fo.Config
		names := []string{"A", "B", "C", "A1", "", "x y", "A\x80"}
		for range r.byte() % 5 {
			c.Banks = append(c.Banks, fo.Bank{Name: names[min(len(c.Banks), 3)], Axis: r.turn()})
		}
		for range r.byte() % 9 {
			c.Throws = append(c.Throws, r.turn())
		}
		for range r.byte() % 13 {
			c.Cylinders = append(c.Cylinders, fo.Cylinder{Bank: names[int(r.byte())%len(names)], Throw: int(int8(r.byte() % 16))})
		}
		c.NumberedFrom, c.Rotation = fo.End(r.byte()%4), fo.Rotation(r.byte()%4)
		l, err := fo.NewLayout(c)
		if err != nil {
			typed(t, err)
			if l != nil {
				t.Fatal("a layout with an error")
			}
		}
		n := l.Cylinders()
		x := fo.EngineConfig{Layout: l, Cycle: fo.Cycle(r.byte() % 3), SecondTurnFrom: int(int8(r.byte()))}
		for range n {
			x.Order = append(x.Order, int(int8(r.byte()))%(n+2))
		}
		if r.byte()%2 == 0 && n > 0 { // mostly a right set of numbers
			for i := range x.Order {
				x.Order[i] = i + 1
			}
			for i := range x.Order {
				j := int(r.byte()) % n
				x.Order[i], x.Order[j] = x.Order[j], x.Order[i]
			}
		}
		for range 2 {
			e, err := fo.NewEngine(x)
			if err != nil {
				typed(t, err)
				if e != nil {
					t.Fatal("an engine with an error")
				}
			} else {
				sound(t, e, units.CrankAngle(at))
			}
			x.SecondTurnFrom = 0
		}
	})
}

func sound(t *testing.T, e *fo.Engine, at units.CrankAngle) {
	t.Helper()
	l, o, cycle := e.Layout(), e.Order(), units.CrankAngle(0)
	for i, g := range e.Intervals() {
		if g < 0 { // 0 only where two differ by less than the quantum
			t.Fatalf("interval %v", g)
		}
		cycle += g
		c := o[i]
		f, err1 := e.FiringAngle(c)
		tdc, err2 := l.TDC(c)
		k, err3 := e.CompanionOf(c)
		p, err4 := e.PhaseAt(c, f)
		q, err5 := e.PhaseAt(c, at)
		if err := errors.Join(err1, err2, err3, err4, err5); err != nil {
			t.Fatal(err)
		}
		if (f-tdc)%units.CrankTurn != 0 {
			t.Fatalf("cylinder %d fires at %v, TDC %v", c, f, tdc)
		}
		if p.Stroke == fo.Power && p.Angle != -units.CrankTurn || p.Stroke == fo.NoStroke && p.Angle != 0 {
			t.Fatalf("cylinder %d stands at %v when it fires", c, p.Angle)
		}
		if q.Angle < -units.CrankTurn || q.Angle >= units.CrankTurn || q.Stroke == fo.NoStroke && q.Angle < 0 {
			t.Fatalf("phase %v", q)
		}
		if k.Exists {
			back, err1 := e.CompanionOf(k.Cylinder)
			over, err2 := e.PhaseAt(k.Cylinder, f)
			if err := errors.Join(err1, err2); err != nil || back.Cylinder != c || over.Angle != 0 || over.Stroke != fo.Intake {
				t.Fatalf("companion %d of %d: %v, %v, %v", k.Cylinder, c, back, over, err)
			}
		}
		if len(k.Working()) == 0 || len(p.Working()) == 0 {
			t.Fatal("no working")
		}
	}
	if cycle != units.CrankTurn && cycle != units.CrankCycle {
		t.Fatalf("the intervals add up to %v", cycle)
	}
	if len(e.Working()) != len(o) {
		t.Fatal("the working lacks cylinders")
	}
}
