package firingorder_test

import (
	"errors"
	"math"
	"math/cmplx"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// TestPhaseSumInTheTimeDomain adds a periodic torque of every cylinder over the
// cycle, each shifted by its firing angle, and takes the Fourier amplitude of the
// sum over that of one cylinder.
func TestPhaseSumInTheTimeDomain(t *testing.T) {
	const samples = 1440
	torque := func(x float64) float64 { // a pulse rich in every order up to 40
		x = math.Mod(math.Mod(x, 720)+720, 720)
		s := 0.0
		for q := 1; q <= 80; q++ {
			s += math.Cos(float64(q)*x*math.Pi/360) / (1 + float64(q))
		}
		return s
	}
	for _, e := range []*fo.Engine{
		engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4"),
		engine(t, inline(t, fo.FiveInLine, false), "1-2-4-5-3"),
		engine(t, vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t), "1-8-4-3-6-5-7-2"),
		engine(t, vee{fo.ThreeEven, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t), "1-6-5-4-3-2"),
		engine(t, vee{fo.OnePin, false, 45, 0, fo.Alternating, fo.PassedFirst}.layout(t), "1-2"),
	} {
		n := e.Layout().Cylinders()
		shape := make([]float64, n)
		for i := range shape {
			shape[i] = 1 - 0.3*float64(i)
		}
		for _, a := range [][]float64{nil, shape} {
			var sum, one [samples]float64
			for i := range samples {
				x := 720 * float64(i) / samples
				one[i] = torque(x)
				for cy := 1; cy <= n; cy++ {
					f, err := e.FiringAngle(cy)
					if err != nil {
						t.Fatal(err)
					}
					w := 1.0
					if a != nil {
						w = a[cy-1]
					}
					sum[i] += w * torque(x-f.Degrees())
				}
			}
			project := func(x [samples]float64, h int) complex128 {
				var s complex128
				for i, v := range x {
					s += complex(v, 0) * cmplx.Exp(complex(0, -2*math.Pi*float64(h*i)/samples))
				}
				return s
			}
			for h := 1; h <= 24; h++ {
				p, err := e.PhaseSum(fo.HalfOrders(h), a)
				if err != nil {
					t.Fatal(err)
				}
				want := project(sum, h) / project(one, h)
				if math.Abs(p.Size-cmplx.Abs(want)) > 1e-9 {
					t.Fatalf("%s order %s: %v, want %v", e.Order(), p.Order, p.Size, cmplx.Abs(want))
				}
				// A later torque lags: the phase of the projection is the negative.
				if p.Size > 1e-6 && math.Abs(math.Remainder(p.Direction.Radians()+cmplx.Phase(want), 2*math.Pi)) > 1e-6 {
					t.Fatalf("%s order %s: direction %v, want %v", e.Order(), p.Order, p.Direction, -cmplx.Phase(want))
				}
				if a == nil && (p.Size < 1e-9) != (p.Size == 0) {
					t.Fatalf("%s order %s: %v is meant to be 0", e.Order(), p.Order, p.Size)
				}
				if major := e.Even() && h%n == 0; e.Even() && p.Major != major {
					t.Fatalf("%s order %s: major %v", e.Order(), p.Order, p.Major)
				}
				if p.Major && a == nil && math.Abs(p.Size-float64(n)) > 1e-12 {
					t.Fatalf("%s order %s: %v", e.Order(), p.Order, p.Size)
				}
				if len(p.Working()) != n+1 {
					t.Fatal(p.Working())
				}
			}
		}
	}
	// Only a 720/45 multiple brings the odd twin together.
	e := engine(t, vee{fo.OnePin, false, 45, 0, fo.Alternating, fo.PassedFirst}.layout(t), "1-2")
	for h := 1; h <= 32; h++ {
		if p, err := e.PhaseSum(fo.HalfOrders(h), nil); err != nil || p.Major != (h == 16 || h == 32) {
			t.Errorf("order %v: %v, %v", p.Order, p.Major, err)
		}
	}
}

func TestPhaseSumOfATwoStroke(t *testing.T) {
	e, err := fo.NewEngine(fo.EngineConfig{Layout: inline(t, fo.ThreeEven, false), Order: order(t, "1-3-2"), Cycle: fo.TwoStroke})
	if err != nil {
		if e, err = fo.NewEngine(fo.EngineConfig{Layout: inline(t, fo.ThreeEven, false), Order: order(t, "1-2-3"), Cycle: fo.TwoStroke}); err != nil {
			t.Fatal(err)
		}
	}
	for h := 2; h <= 12; h += 2 {
		want, major := 0.0, h%6 == 0
		if major {
			want = 3
		}
		if p, err := e.PhaseSum(fo.HalfOrders(h), nil); err != nil || math.Abs(p.Size-want) > 1e-12 || p.Major != major {
			t.Errorf("order %v: %+v, %v", p.Order, p, err)
		}
	}
	p, err := e.PhaseSum(1, nil)
	refused(t, "order 1/2 of a two-stroke", p.Order != 0, err, "order", units.ErrConflict)
}

func TestPhaseSumRefuses(t *testing.T) {
	e := engine(t, inline(t, fo.TwoParallel, false), "1-2")
	for _, c := range []struct {
		order fo.HalfOrders
		shape []float64
		field string
		kind  error
	}{
		{0, nil, "order", units.ErrRange},
		{-1, nil, "order", units.ErrRange},
		{201, nil, "order", units.ErrRange},
		{math.MaxInt, nil, "order", units.ErrRange},
		{1, []float64{}, "shape", units.ErrConflict},
		{1, []float64{1}, "shape", units.ErrConflict},
		{1, []float64{1, 2, 3}, "shape", units.ErrConflict},
		{1, []float64{1, math.NaN()}, "shape[1]", units.ErrRange},
		{1, []float64{math.Inf(-1), 0}, "shape[0]", units.ErrRange},
		{1, []float64{1e101, 0}, "shape[0]", units.ErrRange},
	} {
		p, err := e.PhaseSum(c.order, c.shape)
		refused(t, c.field, p.Order != 0, err, c.field, c.kind)
	}
	for _, e := range []*fo.Engine{nil, {}} {
		_, err1 := e.PhaseSum(1, nil)
		_, err2 := e.Pulses(1)
		_, err3 := e.BankPulses("A")
		_, err4 := e.MainBearings(1)
		for _, err := range []error{err1, err2, err3, err4} {
			if !errors.Is(err, units.ErrMissing) {
				t.Errorf("%v, want a refusal", err)
			}
		}
	}
	if (fo.PhaseSum{}).Working() != nil || (fo.Pulses{}).Working() != nil || (fo.MainBearings{}).Working() != nil {
		t.Error("a zero value has a working")
	}
}

// Any group of any engine: the pulses are those of the order, counted by brute
// force in fractions, and the bearings those of the throws.
func TestPulsesAgainstTheOrder(t *testing.T) {
	for _, e := range []*fo.Engine{
		engine(t, vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t), "1-8-4-3-6-5-7-2"),
		engine(t, vee{fo.ThreeEven, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t), "1-6-5-4-3-2"),
		engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4"),
	} {
		n := e.Layout().Cylinders()
		for set := 1; set < 1<<n; set++ {
			var group []int
			for c := n; c >= 1; c-- { // any sequence will do
				if set>>(c-1)&1 == 1 {
					group = append(group, c)
				}
			}
			p, err := e.Pulses(group...)
			if err != nil || len(p.Each) != len(group) || len(p.Working()) != len(group) {
				t.Fatalf("%v: %v, %v", group, p, err)
			}
			sum, shortest, closest := units.CrankAngle(0), units.CrankCycle, 0
			for i, q := range p.Each {
				sum += q.Interval
				// The next of the group is the one with the least wait.
				wait, next := units.CrankCycle+1, 0
				for _, c := range group {
					f, _ := e.FiringAngle(q.Cylinder)
					g, _ := e.FiringAngle(c)
					d := (g - f + units.CrankCycle) % units.CrankCycle
					if d == 0 {
						d = units.CrankCycle
					}
					if d < wait {
						wait, next = d, c
					}
				}
				if q.Next != next || q.Interval != wait || p.Each[(i+1)%len(p.Each)].Cylinder != next {
					t.Fatalf("%v: %v, want %d after %v", group, q, next, wait)
				}
				shortest = min(shortest, wait)
			}
			even := true
			for _, q := range p.Each {
				if q.Interval == shortest {
					closest++
				} else {
					even = false
				}
			}
			if sum != units.CrankCycle || p.Shortest != shortest || len(p.Closest) != closest || p.Even != even {
				t.Fatalf("%v: %+v", group, p)
			}
		}
	}
	// Sevenths: rounded intervals differ by a count, yet firing is even.
	var c fo.Config
	c.Throws = []fo.Turn{{}}
	for k := range int64(7) {
		axis, err := fo.Fraction(k, 7)
		if err != nil {
			t.Fatal(err)
		}
		name := string(rune('a' + k))
		c.Banks = append(c.Banks, fo.Bank{Name: name, Axis: axis})
		c.Cylinders = append(c.Cylinders, fo.Cylinder{Bank: name, Throw: 1})
	}
	l, err := fo.NewLayout(c)
	if err != nil {
		t.Fatal(err)
	}
	p, err := engine(t, l, "1-3-5-7-2-4-6").Pulses(1, 2, 3, 4, 5, 6, 7)
	if err != nil || !p.Even || len(p.Closest) != 7 {
		t.Errorf("%+v, %v", p, err)
	}
}

func TestPulsesOfATwoStroke(t *testing.T) {
	e, err := fo.NewEngine(fo.EngineConfig{Layout: inline(t, fo.TwoOpposed, false), Order: order(t, "1-2"), Cycle: fo.TwoStroke})
	if err != nil {
		t.Fatal(err)
	}
	if p, err := e.Pulses(2); err != nil || p.Shortest != units.CrankTurn {
		t.Errorf("%+v, %v", p, err)
	}
	if p, err := e.Pulses(1, 2); err != nil || p.Shortest != units.CrankTurn/2 || !p.Even {
		t.Errorf("%+v, %v", p, err)
	}
}

func TestPulsesRefuse(t *testing.T) {
	e := engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4")
	for _, c := range []struct {
		group []int
		kind  error
	}{
		{nil, units.ErrMissing},
		{[]int{0}, units.ErrRange},
		{[]int{7}, units.ErrRange},
		{[]int{-1}, units.ErrRange},
		{[]int{1, 2, 1}, units.ErrConflict},
	} {
		p, err := e.Pulses(c.group...)
		refused(t, "group", p.Each != nil, err, "group", c.kind)
	}
	for _, b := range []string{"", "B"} {
		p, err := e.BankPulses(b)
		refused(t, b, p.Each != nil, err, "bank", units.ErrMissing)
	}
	for _, n := range []int{0, -1, 65} {
		m, err := e.MainBearings(n)
		refused(t, "throws", m.Mains != 0, err, "throwsPerBay", units.ErrRange)
	}
}

// The order that keeps neighbors apart against the ones that do not: all 8 even
// orders of the in-line six, counted by the definition.
func TestMainBearingsOfTheInlineSix(t *testing.T) {
	count := 0
	for _, mirrored := range []bool{false, true} {
		for _, o := range []string{"1-5-3-6-2-4", "1-2-4-6-5-3", "1-5-4-6-2-3", "1-2-3-6-5-4", "1-3-5-6-4-2", "1-4-2-6-3-5", "1-4-5-6-3-2", "1-3-2-6-4-5"} {
			e, err := fo.NewEngine(fo.EngineConfig{Layout: inline(t, fo.SixEven, mirrored), Order: order(t, o)})
			if err != nil || !e.Even() {
				continue
			}
			count++
			want := 0
			list := e.Order()
			for i, c := range list {
				if d := c - list[(i+1)%6]; d == 1 || d == -1 {
					want++
				}
			}
			m, err := e.MainBearings(1)
			if err != nil || m.Mains != 7 || m.Shared != want || m.Neighbors != want || len(m.Working()) != 6 {
				t.Errorf("%s: %+v, want %d, %v", o, m, want, err)
			}
		}
	}
	if count != 8 {
		t.Errorf("%d orders", count)
	}
}

func FuzzBalance(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9})
	f.Add([]byte{7, 0, 3, 200, 90, 14, 255, 1, 1, 1, 2, 2, 2, 9})
	f.Fuzz(func(t *testing.T, data []byte) {
		next := func() int64 {
			if len(data) == 0 {
				return 0
			}
			x := int64(data[0])
			data = data[1:]
			return x
		}
		den := 1 + next()
		c := fo.Config{}
		for i := range 1 + next()%3 {
			axis, err := fo.Fraction(next()-128, den)
			if err != nil {
				t.Fatal(err)
			}
			c.Banks = append(c.Banks, fo.Bank{Name: string(rune('A' + i)), Axis: axis})
		}
		for range 1 + next()%9 {
			pin, err := fo.Fraction(next()-128, den)
			if err != nil {
				t.Fatal(err)
			}
			c.Throws = append(c.Throws, pin)
			b := c.Banks[next()%int64(len(c.Banks))].Name
			c.Cylinders = append(c.Cylinders, fo.Cylinder{Bank: b, Throw: len(c.Throws)})
		}
		l, err := fo.NewLayout(c)
		if err != nil {
			typed(t, err)
			return
		}
		bc := fo.BalanceConfig{Layout: l, PinsPerThrow: int(next()%4) - 1, Pitch: units.Length(next()-3) * units.Millimeter}
		b, err := fo.NewBalance(bc)
		if err != nil {
			typed(t, err)
			return
		}
		for _, q := range []int{1, 2, 4, 6} {
			for _, of := range []func(int) (fo.Rotating[fo.Coefficient], error){b.ForceRatio, b.CoupleRatio} {
				r, err := of(q)
				if err != nil {
					t.Fatal(err)
				}
				if !(r.Min >= 0 && r.Min <= r.Max && r.Max <= 1000) {
					t.Fatalf("%+v", r)
				}
				at := r.At(0)
				if s := float64(at.Size); s > float64(r.Max)*(1+1e-9)+1e-12 || s < float64(r.Min)-1e-9 {
					t.Fatalf("%v outside %v to %v", s, r.Min, r.Max)
				}
				if hi := r.At(r.MaxAt).Size; math.Abs(float64(hi-r.Max)) > 1e-7 {
					t.Fatalf("%v at %v, want %v", hi, r.MaxAt, r.Max)
				}
			}
		}
	})
}
