package firingorder_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// near reports whether two clock directions agree to within the rounding of an angle.
func near(a, b units.CrankAngle) bool {
	d := (a - b).WrapTurn()
	return d <= 2 || d >= units.CrankTurn-2
}

// Turned to the TDC of a cylinder, its pin covers its axis, from whichever end and
// in whichever sense; the two ends are mirror images; the points lie on the unit
// circle in the direction of the clock.
func TestEndViewAtTDC(t *testing.T) {
	rnd := rand.New(rand.NewPCG(4, 3))
	for range 300 {
		c := random(rnd).layout(t).Config()
		c.Rotation = fo.Rotation(rnd.IntN(3))
		l, err := fo.NewLayout(c)
		if err != nil {
			t.Fatal(err)
		}
		up := deg(t, int64(rnd.IntN(24))*15)
		for k, cy := range c.Cylinders {
			tdc, err := l.TDC(k + 1)
			if err != nil {
				t.Fatal(err)
			}
			turned, err := fo.TurnOf(tdc)
			if err != nil {
				t.Fatal(err)
			}
			cfg := fo.EndViewConfig{Turned: turned}
			if rnd.IntN(2) == 0 {
				cfg.Up = &up
			}
			v, err := l.EndView(cfg)
			if err != nil {
				t.Fatal(err)
			}
			bank := slices.IndexFunc(v.Banks, func(b fo.BankView) bool { return b.Name == cy.Bank })
			if pin, axis := v.Throws[cy.Throw-1].Pin.Clock.Angle(), v.Banks[bank].Axis.Clock.Angle(); !near(pin, axis) {
				t.Fatalf("at TDC of cylinder %d its pin is at %v, its axis at %v", k+1, pin, axis)
			}
			if !slices.Contains(v.Throws[cy.Throw-1].Cylinders, k+1) || !slices.Contains(v.Banks[bank].Cylinders, k+1) {
				t.Fatalf("cylinder %d is not where it sits: %+v", k+1, v)
			}
			for _, th := range v.Throws {
				sin, cos := math.Sincos(th.Pin.Clock.Angle().Radians())
				if math.Hypot(sin-th.Pin.X, cos-th.Pin.Y) > 1e-12 {
					t.Fatalf("%+v", th.Pin)
				}
			}
			if c.Rotation == fo.RotationUnstated {
				if !v.Clockwise || v.SeenFrom != fo.EndUnstated {
					t.Fatalf("%+v", v)
				}
				continue
			}
			cfg.SeenFrom = fo.DrivingEnd
			w, err := l.EndView(cfg)
			if err != nil || w.Clockwise == v.Clockwise || v.SeenFrom != fo.FreeEnd || w.SeenFrom != fo.DrivingEnd {
				t.Fatalf("%+v %+v %v", v, w, err)
			}
			if v.Clockwise != (c.Rotation == fo.Clockwise) {
				t.Fatal("the crank turns the wrong way")
			}
			for i := range v.Throws {
				a, b := v.Throws[i].Pin, w.Throws[i].Pin
				if math.Hypot(a.X+b.X, a.Y-b.Y) > 1e-12 {
					t.Fatalf("%+v is no mirror image of %+v", b, a)
				}
			}
		}
	}
}

// A V stands upright by itself, opposed banks lie flat with the first on the side
// that the crank comes up on, a radial has cylinder 1 on top.
func TestEndViewUp(t *testing.T) {
	clocks := func(l *fo.Layout, c fo.EndViewConfig) []units.CrankAngle {
		v, err := l.EndView(c)
		if err != nil {
			t.Fatal(err)
		}
		var a []units.CrankAngle
		for _, b := range v.Banks {
			a = append(a, b.Axis.Clock.Angle()/units.CrankDegree)
		}
		return a
	}
	// Clockwise rotation: the bank passed first is on the left.
	if got := clocks(stated(t, []int64{0, 60}, []int64{0}, fo.Alternating, false, fo.Clockwise), fo.EndViewConfig{}); !slices.Equal(got, []units.CrankAngle{330, 30}) {
		t.Error(got)
	}
	if got := clocks(stated(t, []int64{0, 60}, []int64{0}, fo.Alternating, false, fo.CounterClockwise), fo.EndViewConfig{}); !slices.Equal(got, []units.CrankAngle{30, 330}) {
		t.Error(got)
	}
	if got := clocks(stated(t, []int64{350, 50, 20}, []int64{0}, fo.Alternating, false, fo.Clockwise), fo.EndViewConfig{}); !slices.Equal(got, []units.CrankAngle{330, 30, 0}) {
		t.Error(got)
	}
	if got := clocks(stated(t, []int64{10, 190}, []int64{0}, fo.Alternating, false, fo.Clockwise), fo.EndViewConfig{}); !slices.Equal(got, []units.CrankAngle{270, 90}) {
		t.Error(got)
	}
	if got := clocks(stated(t, []int64{30, 150, 270}, []int64{0}, fo.Alternating, false, fo.Clockwise), fo.EndViewConfig{}); !slices.Equal(got, []units.CrankAngle{0, 120, 240}) {
		t.Error(got)
	}
	up := deg(t, 30)
	if got := clocks(stated(t, []int64{0, 60}, []int64{0}, fo.Alternating, false, fo.CounterClockwise), fo.EndViewConfig{SeenFrom: fo.DrivingEnd, Up: &up}); !slices.Equal(got, []units.CrankAngle{330, 30}) {
		t.Error(got)
	}
}

func TestEndViewRefuses(t *testing.T) {
	l := stated(t, []int64{0, 60}, []int64{0}, fo.Alternating, false, fo.RotationUnstated)
	hair, err1 := fo.Fraction(1, 359_999_999_999)
	hair2, err2 := fo.Fraction(1, 359_999_999_998)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	var none *fo.Layout
	for name, c := range map[string]struct {
		l     *fo.Layout
		c     fo.EndViewConfig
		field string
		kind  error
	}{
		"no layout":           {none, fo.EndViewConfig{}, "layout", units.ErrMissing},
		"zero layout":         {&fo.Layout{}, fo.EndViewConfig{}, "layout", units.ErrMissing},
		"unknown end":         {l, fo.EndViewConfig{SeenFrom: 9}, "SeenFrom", units.ErrRange},
		"rotation not stated": {l, fo.EndViewConfig{SeenFrom: fo.FreeEnd}, "Layout.Rotation", units.ErrMissing},
		"too fine":            {l, fo.EndViewConfig{Turned: hair, Up: &hair2}, "Turned", units.ErrInexact},
	} {
		v, err := c.l.EndView(c.c)
		refused(t, name, v.Throws != nil || v.Banks != nil, err, c.field, c.kind)
	}
}

// The finest angles are drawn to the nearest count.
func TestEndViewOfAHair(t *testing.T) {
	a, err1 := fo.Fraction(1, 1<<23)
	b, err2 := fo.Fraction(1, 1<<23-1)
	l, err3 := fo.NewLayout(fo.Config{
		Banks: []fo.Bank{{Name: "A"}}, Throws: []fo.Turn{a, b},
		Cylinders: []fo.Cylinder{{Bank: "A", Throw: 1}, {Bank: "A", Throw: 2}},
	})
	if err := errors.Join(err1, err2, err3); err != nil {
		t.Fatal(err)
	}
	v, err := l.EndView(fo.EndViewConfig{})
	if err != nil || v.Throws[1].Pin.Clock != (fo.Turn{}) || v.Throws[1].Pin.Y != 1 {
		t.Error(v, err)
	}
}

// The marks of a ring stand in order, and the middles between them.
func TestRing(t *testing.T) {
	for _, e := range []*fo.Engine{
		engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4"),
		engine(t, vee{fo.OnePin, false, 45, 0, fo.Alternating, fo.PassedFirst}.layout(t), "1-2"),
		engine(t, vee{fo.ThreeEven, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t), "1-6-5-4-3-2"),
	} {
		var sum units.CrankAngle
		for _, m := range e.Ring() {
			f, err := e.FiringAngle(m.Cylinder)
			if err != nil || m.Fires != f || !near(2*m.At.Clock.Angle(), f) || !near(2*m.Middle.Clock.Angle(), f+m.Interval/2) {
				t.Errorf("%+v, fires at %v, %v", m, f, err)
			}
			sum += m.Interval
		}
		if sum != units.CrankCycle {
			t.Errorf("the ring is %v round", sum)
		}
	}
	var none *fo.Engine
	if none.Ring() != nil || new(fo.Engine).Ring() != nil {
		t.Error("an engine that was not built has a ring")
	}
}
