package firingorder_test

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func kg(x float64) units.Measured[units.Mass] { return units.Unstated(units.Mass(x)) }

// With counterweights at the pins the pistons and the weights, added one by one
// over a turn, leave what Counterweight says.
func TestCounterweightAgainstTheSum(t *testing.T) {
	rnd := rand.New(rand.NewPCG(21, 4))
	for range 200 {
		r := random(rnd)
		f := rnd.Float64()
		if rnd.IntN(4) == 0 {
			f = 0.5
		}
		left, err := balance(t, fo.BalanceConfig{Layout: r.layout(t)}).Counterweight(f)
		if err != nil {
			t.Fatal(err)
		}
		type placed struct{ axis, tdc float64 }
		var at []placed
		for c := range r.bank {
			axis, _ := r.axes[r.bank[c]].Float64()
			tdc, _ := r.tdc(c + 1).Float64()
			at = append(at, placed{axis * math.Pi / 180, tdc * math.Pi / 180})
		}
		lo, hi := math.Inf(1), 0.0
		const steps = 720
		for i := range steps {
			phi := 2 * math.Pi * float64(i) / steps
			var sum complex128
			for _, p := range at {
				// The pin stands in the axis at TDC.
				sum += complex(math.Cos(phi-p.tdc), 0)*cmplx.Exp(complex(0, p.axis)) - complex(f, 0)*cmplx.Exp(complex(0, p.axis+phi-p.tdc))
			}
			lo, hi = min(lo, cmplx.Abs(sum)), max(hi, cmplx.Abs(sum))
		}
		miss := float64(len(r.bank)) * math.Pi / steps
		if got := left.Force; float64(got.Max) < hi-1e-9 || float64(got.Max) > hi+miss*miss+1e-9 || float64(got.Min) > lo+1e-9 || float64(got.Min) < lo-miss-1e-9 {
			t.Fatalf("%v with %v: %v to %v, the sum says %v to %v", r, f, got.Min, got.Max, lo, hi)
		}
		if f == 0.5 && (left.Force.Forward.Size != 0 || left.Couple.Forward.Size != 0) {
			t.Fatalf("%v is left", left)
		}
	}
}

// One half leaves the least, over every other share; and with OnePlaneLow and
// High one plane is free.
func TestFractions(t *testing.T) {
	for _, v := range []int64{15, 45, 60, 72, 90, 120, 135} {
		b := balance(t, fo.BalanceConfig{Layout: vee{fo.OnePin, false, v, 0, fo.Bankwise, fo.PassedFirst}.layout(t)})
		r, err := b.ForceRatio(1)
		if err != nil {
			t.Fatal(err)
		}
		f, err := r.Fractions()
		if err != nil {
			t.Fatal(err)
		}
		if want := math.Abs(math.Cos(float64(v) * math.Pi / 180)); f.Forward != 0.5 || math.Abs(f.OnePlaneHigh-(1+want)/2) > 1e-12 || math.Abs(f.OnePlaneLow-(1-want)/2) > 1e-12 {
			t.Errorf("V %d: %v", v, f)
		}
		half, err := b.Counterweight(f.Forward)
		if err != nil {
			t.Fatal(err)
		}
		for x := 0.0; x <= 1; x += 1.0 / 64 {
			if other, err := b.Counterweight(x); err != nil || other.Force.Max < half.Force.Max {
				t.Errorf("V %d: %v leaves %v, one half %v, %v", v, x, other.Force.Max, half.Force.Max, err)
			}
		}
		for _, x := range []float64{f.OnePlaneLow, f.OnePlaneHigh} {
			left, err := b.Counterweight(x)
			if err != nil || left.Force.Min > 1e-12 {
				t.Errorf("V %d: %v leaves %v, %v", v, x, left.Force, err)
			}
		}
	}
}

// With the two weights that EndWeights gives nothing of the first order turns
// forward, in the time domain of the weights and the pins.
func TestEndWeightsRemoveTheForwardPart(t *testing.T) {
	rnd := rand.New(rand.NewPCG(8, 30))
	for range 200 {
		r := random(rnd)
		b := balance(t, fo.BalanceConfig{Layout: r.layout(t), Pitch: 110 * units.Millimeter})
		p := fo.EndPlanes{
			Reciprocating: 0.6, Rotating: units.Mass(rnd.Float64()), Stroke: 90 * units.Millimeter, Radius: 60 * units.Millimeter,
			First: units.Length(-rnd.Int64N(5e10)), Second: units.Length(1 + rnd.Int64N(9e11)),
		}
		w, err := b.EndWeights(p)
		if err != nil {
			t.Fatal(err)
		}
		// By the pins: each carries half of the reciprocating mass and all of the
		// rotating mass of its cylinder.
		var force, couple, size complex128
		add := func(m float64, angle float64, at units.Length) {
			v := complex(m, 0) * cmplx.Exp(complex(0, angle))
			force += v
			couple += v * complex(at.Meters(), 0)
			size += complex(m, 0)
		}
		pin1, _ := r.pins[r.pin[0]].Float64()
		for i := range r.bank {
			pin, _ := r.pins[r.pin[i]].Float64()
			add((0.3+float64(p.Rotating))*0.045, (pin-pin1)*math.Pi/180, units.Length(r.pin[i])*110*units.Millimeter)
		}
		for _, x := range []fo.CrankWeight{w.First, w.Second} {
			add(float64(x.Mass)*x.Radius.Meters(), x.Angle.Radians(), x.Position)
		}
		if cmplx.Abs(force) > 1e-9*real(size) || cmplx.Abs(couple) > 1e-9*real(size) {
			t.Fatalf("%v: %v and %v are left of %v", r, force, couple, size)
		}
		k := fo.Reciprocating{Mass: p.Reciprocating, Stroke: p.Stroke, Speed: 100}
		left, err := b.Residual(fo.CrankMasses{Engine: k, Rotating: p.Rotating, Weights: []fo.CrankWeight{w.First, w.Second}})
		if err != nil || float64(left.Force.Forward.Size) > 1e-9*real(size)*1e4 || float64(left.Couple.Forward.Size) > 1e-9*real(size)*1e4 {
			t.Fatalf("%v, %v", left, err)
		}
		if len(w.Working()) != 4 || len(left.Working()) != 6 {
			t.Fatal(w.Working(), left.Working())
		}
		bare, err := b.Force(1, k)
		if err != nil || left.Force.Backward != bare.Backward {
			t.Fatalf("%v and %v, %v", left.Force.Backward, bare.Backward, err)
		}
	}
}

func TestCounterweightRefuses(t *testing.T) {
	b := balance(t, fo.BalanceConfig{Layout: fanned(t), Pitch: units.Inch})
	for _, f := range []float64{math.NaN(), math.Inf(1), -0.1, 1.1} {
		r, err := b.Counterweight(f)
		refused(t, "fraction", r.Force.Max != 0, err, "fraction", units.ErrRange)
	}
	second, err := b.ForceRatio(2)
	if err != nil {
		t.Fatal(err)
	}
	_, err = second.Fractions()
	refused(t, "order 2", false, err, "Order", units.ErrRange)
	_, err = fo.Rotating[units.Force]{Order: 1}.Fractions()
	refused(t, "no forward part", false, err, "Forward", units.ErrImpossible)
	_, err = fo.Rotating[units.Force]{Order: 1, Forward: fo.Part[units.Force]{Size: units.Force(math.NaN())}}.Fractions()
	refused(t, "NaN", false, err, "Forward", units.ErrImpossible)

	k := fo.Reciprocating{Mass: 1, Stroke: 90 * units.Millimeter, Speed: 100}
	nan, inf := units.Mass(math.NaN()), units.Mass(math.Inf(1))
	weight := func(m units.Mass, r, z units.Length) fo.CrankMasses {
		return fo.CrankMasses{Engine: k, Weights: []fo.CrankWeight{{Mass: m, Radius: r, Position: z}}}
	}
	for _, c := range []struct {
		c     fo.CrankMasses
		field string
	}{
		{fo.CrankMasses{}, "Mass"},
		{fo.CrankMasses{Engine: k, Rotating: -1}, "Rotating"},
		{fo.CrankMasses{Engine: k, Rotating: nan}, "Rotating"},
		{weight(inf, 1, 0), "Weights[0].Mass"},
		{weight(-1, 1, 0), "Weights[0].Mass"},
		{weight(1, -1, 0), "Weights[0].Radius"},
		{weight(1, units.MaxLength, 0), "Weights[0].Radius"},
		{weight(1, 1, math.MinInt64), "Weights[0].Position"},
		{weight(1, 1, units.MaxLength), "Weights[0].Position"},
		{weight(math.MaxFloat64, units.Meter, 0), "Weights"},
	} {
		r, err := b.Residual(c.c)
		refused(t, c.field, r.Force.Max != 0, err, c.field, units.ErrRange)
	}
	p := fo.EndPlanes{Reciprocating: 1, Stroke: units.Inch, Radius: units.Inch, Second: units.Inch}
	if _, err := b.EndWeights(p); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		change func(*fo.EndPlanes)
		field  string
		kind   error
	}{
		{func(p *fo.EndPlanes) { p.Reciprocating = nan }, "Reciprocating", units.ErrRange},
		{func(p *fo.EndPlanes) { p.Reciprocating = 0 }, "Reciprocating", units.ErrMissing},
		{func(p *fo.EndPlanes) { p.Reciprocating = math.MaxFloat64; p.Stroke = 3 * units.Meter }, "Reciprocating", units.ErrRange},
		{func(p *fo.EndPlanes) { p.Rotating = inf }, "Rotating", units.ErrRange},
		{func(p *fo.EndPlanes) { p.Stroke = 0 }, "Stroke", units.ErrRange},
		{func(p *fo.EndPlanes) { p.Radius = -1 }, "Radius", units.ErrRange},
		{func(p *fo.EndPlanes) { p.First = math.MinInt64 }, "First", units.ErrRange},
		{func(p *fo.EndPlanes) { p.Second = units.MaxLength }, "Second", units.ErrRange},
		{func(p *fo.EndPlanes) { p.Second = 0 }, "Second", units.ErrConflict},
	} {
		bad := p
		c.change(&bad)
		w, err := b.EndWeights(bad)
		refused(t, c.field, w.First.Mass != 0, err, c.field, c.kind)
	}
	_, err = balance(t, fo.BalanceConfig{Layout: fanned(t)}).EndWeights(p)
	refused(t, "no pitch", false, err, "Pitch", units.ErrMissing)

	good := fo.BobWeight{Rods: 2, Rotating: kg(0.5), Reciprocating: kg(0.7), Fraction: 0.5}
	if m, err := good.Mass(); err != nil || len(m.Working()) != 3 || m.Mass.Stated {
		t.Error(m, err)
	}
	for _, c := range []struct {
		change func(*fo.BobWeight)
		field  string
		kind   error
	}{
		{func(b *fo.BobWeight) { b.Rods = 0 }, "Rods", units.ErrRange},
		{func(b *fo.BobWeight) { b.Rods = 65 }, "Rods", units.ErrRange},
		{func(b *fo.BobWeight) { b.Rotating = kg(0) }, "Rotating", units.ErrMissing},
		{func(b *fo.BobWeight) { b.Rotating = kg(-1) }, "Rotating", units.ErrRange},
		{func(b *fo.BobWeight) { b.Rotating = kg(math.MaxFloat64) }, "Rotating", units.ErrRange},
		{func(b *fo.BobWeight) { b.Reciprocating = kg(math.NaN()) }, "Reciprocating", units.ErrRange},
		{func(b *fo.BobWeight) { b.Reciprocating.U = 1 }, "Reciprocating.U", units.ErrConflict},
		{func(b *fo.BobWeight) { b.Oil = units.WithU(units.Mass(0), -1) }, "Oil.U", units.ErrRange},
		{func(b *fo.BobWeight) { b.Fraction = math.NaN() }, "Fraction", units.ErrRange},
		{func(b *fo.BobWeight) { b.Fraction = 1.5 }, "Fraction", units.ErrRange},
	} {
		bad := good
		c.change(&bad)
		m, err := bad.Mass()
		refused(t, c.field, m.Mass.Value != 0, err, c.field, c.kind)
	}
	if (fo.BobMass{}).Working() != nil || (fo.EndWeights{}).Working() != nil || (fo.Residual[units.Force, units.Torque]{}).Working() != nil {
		t.Error("a zero value has a working")
	}
}
