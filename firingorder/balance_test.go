package firingorder_test

import (
	"math"
	"math/big"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// fanned is the engine of the tests: three banks, four throws, nothing even.
func fanned(tb testing.TB) *fo.Layout {
	tb.Helper()
	l, err := fo.NewLayout(fo.Config{
		Banks:     []fo.Bank{{Name: "A"}, {Name: "B", Axis: deg(tb, -40)}, {Name: "C", Axis: deg(tb, 25)}},
		Throws:    []fo.Turn{deg(tb, 0), deg(tb, 90), deg(tb, 250), deg(tb, 130)},
		Cylinders: []fo.Cylinder{{Bank: "A", Throw: 1}, {Bank: "B", Throw: 1}, {Bank: "C", Throw: 2}, {Bank: "A", Throw: 3}, {Bank: "B", Throw: 4}},
	})
	if err != nil {
		tb.Fatal(err)
	}
	return l
}

func balance(tb testing.TB, c fo.BalanceConfig) *fo.Balance {
	tb.Helper()
	b, err := fo.NewBalance(c)
	if err != nil {
		tb.Fatal(err)
	}
	return b
}

// pistons are an engine in the time domain: the exact inertia force of every
// piston at a crank angle, added up. They know nothing of rotating parts.
type pistons struct {
	axis, tdc []float64 // radians from those of cylinder 1
	z         []float64 // meters from the plane
	k         fo.Reciprocating
}

func (s *pistons) add(r rational, cylinder int, z float64) {
	rad := func(x *big.Rat) float64 { f, _ := x.Float64(); return f * math.Pi / 180 }
	s.axis = append(s.axis, rad(r.axes[r.bank[cylinder-1]])-rad(r.axes[r.bank[0]]))
	s.tdc = append(s.tdc, rad(r.tdc(cylinder)))
	s.z = append(s.z, z)
}

// at returns force and couple as vectors, along the axis of cylinder 1 the real
// part.
func (s *pistons) at(phi float64) (force, couple complex128) {
	r, lambda := s.k.Stroke.Meters()/2, s.k.Stroke.Meters()/2/s.k.Rod.Meters()
	w := float64(s.k.Speed)
	for i := range s.z {
		sin, cos := math.Sincos(phi - s.tdc[i])
		q := math.Sqrt(1 - lambda*lambda*sin*sin)
		// The second derivative of cos psi + q/lambda.
		d2 := -cos - lambda*((cos*cos-sin*sin)/q+lambda*lambda*sin*sin*cos*cos/(q*q*q))
		f := complex(-float64(s.k.Mass)*r*w*w*d2, 0) * cmplx.Exp(complex(0, s.axis[i]))
		force += f
		couple += f * complex(s.z[i], 0)
	}
	return force, couple
}

func apart(a, b units.CrankAngle) units.CrankAngle {
	d := (a - b).WrapTurn()
	return min(d, units.CrankTurn-d)
}

// TestBalanceAgainstTheExactMotion projects the summed forces of the exact
// slider-crank on the harmonics, for random layouts and places.
func TestBalanceAgainstTheExactMotion(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 11))
	k := fo.Reciprocating{Mass: units.Kilograms(0.7), Stroke: 90 * units.Millimeter, Rod: 140 * units.Millimeter, Speed: units.RevolutionsPerMinute(3000), Series: true}
	const samples = 360
	for range 150 {
		r := random(rnd)
		c := fo.BalanceConfig{Layout: r.layout(t), Pitch: 100 * units.Millimeter, Plane: units.Some(units.Length(rnd.Int64N(1e12)))}
		s := pistons{k: k}
		for i := range r.bank {
			p := units.Length(rnd.Int64N(1e12))
			c.Positions = append(c.Positions, p)
			s.add(r, i+1, (p - c.Plane.Value).Meters())
		}
		b := balance(t, c)
		var force, couple [samples]complex128
		for i := range samples {
			force[i], couple[i] = s.at(2 * math.Pi * float64(i) / samples)
		}
		project := func(x [samples]complex128, q int) complex128 {
			var sum complex128
			for i, f := range x {
				sum += f * cmplx.Exp(complex(0, -2*math.Pi*float64(q*i)/samples))
			}
			return sum / samples
		}
		for _, q := range []int{1, 2, 4, 6, 8} {
			f, err := b.Force(q, k)
			if err != nil {
				t.Fatal(err)
			}
			m, err := b.Couple(q, k)
			if err != nil {
				t.Fatal(err)
			}
			agreed(t, "force", f, project(force, q), project(force, -q), 7*16000)
			agreed(t, "couple", m, project(couple, q), project(couple, -q), 7*16000)
		}
		for _, q := range []int{0, 3, 5, 7} { // no such orders
			if x := cmplx.Abs(project(force, q)) + cmplx.Abs(project(force, -q)); x > 1e-7 {
				t.Fatalf("order %d: %g N", q, x)
			}
		}
	}
}

// agreed compares a force or couple with its two complex amplitudes, and its
// extremes with a search.
func agreed[Q ~float64](t *testing.T, what string, r fo.Rotating[Q], f, g complex128, scale float64) {
	t.Helper()
	near := func(x, want float64) bool { return math.Abs(x-want) <= 1e-9*scale }
	part := func(p fo.Part[Q]) complex128 {
		s, c := math.Sincos(p.Direction.Radians())
		return complex(float64(p.Size)*c, float64(p.Size)*s)
	}
	if !near(cmplx.Abs(part(r.Forward)-f), 0) || !near(cmplx.Abs(part(r.Backward)-g), 0) {
		t.Fatalf("%s order %d: %v and %v, want %v and %v", what, r.Order, part(r.Forward), part(r.Backward), f, g)
	}
	size := func(a units.CrankAngle) float64 {
		x := float64(r.Order) * a.Radians()
		return cmplx.Abs(f*cmplx.Exp(complex(0, x)) + g*cmplx.Exp(complex(0, -x)))
	}
	lo, hi := math.Inf(1), 0.0
	for i := range 720 {
		s := size(units.CrankAngle(i) * units.CrankDegree / 2)
		lo, hi = min(lo, s), max(hi, s)
	}
	// The search steps up to 0.25 degree beside the extremes.
	miss := float64(r.Order) * 0.25 * math.Pi / 180
	if float64(r.Max) < hi-1e-9*scale || float64(r.Max) > hi+(miss*miss+1e-9)*scale ||
		float64(r.Min) > lo+1e-9*scale || float64(r.Min) < lo-(miss+1e-9)*scale {
		t.Fatalf("%s order %d: %v to %v, a search finds %v to %v", what, r.Order, r.Min, r.Max, lo, hi)
	}
	if !near(size(r.MaxAt), float64(r.Max)) || !near(size(r.MinAt), float64(r.Min)) {
		t.Fatalf("%s order %d: %v at %v and %v at %v, want %v and %v", what, r.Order, size(r.MaxAt), r.MaxAt, size(r.MinAt), r.MinAt, r.Max, r.Min)
	}
	if again := units.CrankTurn / 2 / units.CrankAngle(r.Order); r.MaxAt < 0 || r.MaxAt >= again || r.MinAt < 0 || r.MinAt >= again {
		t.Fatalf("%s order %d: extremes at %v and %v", what, r.Order, r.MaxAt, r.MinAt)
	}
	for _, a := range []units.CrankAngle{0, 37 * units.CrankDegree, -1234 * units.CrankDegree} {
		x := float64(r.Order) * a.Radians()
		want := f*cmplx.Exp(complex(0, x)) + g*cmplx.Exp(complex(0, -x))
		got := r.At(a)
		if !near(cmplx.Abs(complex(float64(got.Along), float64(got.Across))-want), 0) || !near(float64(got.Size), cmplx.Abs(want)) {
			t.Fatalf("%s order %d at %v: %v, want %v", what, r.Order, a, got, want)
		}
		if cmplx.Abs(want) > 1e-3*scale && got.Direction != 0 && math.Abs(math.Remainder(got.Direction.Radians()-cmplx.Phase(want), 2*math.Pi)) > 1e-5 {
			t.Fatalf("%s order %d at %v: direction %v, want %v", what, r.Order, a, got.Direction, cmplx.Phase(want))
		}
	}
}

// cyclotomic returns the n-th cyclotomic polynomial, lowest power first, by
// dividing x^n - 1 by those of the divisors.
func cyclotomic(n int) []*big.Int {
	p := make([]*big.Int, n+1)
	for i := range p {
		p[i] = new(big.Int)
	}
	p[0].SetInt64(-1)
	p[n].SetInt64(1)
	for d := 1; d < n; d++ {
		if n%d == 0 {
			p, _ = divided(p, cyclotomic(d))
		}
	}
	return p
}

// divided divides by a polynomial with leading coefficient 1.
func divided(p, by []*big.Int) (q, rest []*big.Int) {
	rest = make([]*big.Int, len(p))
	for i := range p {
		rest[i] = new(big.Int).Set(p[i])
	}
	k := len(by) - 1
	for i := len(p) - 1; i >= k; i-- {
		f := new(big.Int).Set(rest[i])
		q = append([]*big.Int{f}, q...)
		for j := range by {
			rest[i-k+j].Sub(rest[i-k+j], new(big.Int).Mul(f, by[j]))
		}
	}
	return q, rest[:min(k, len(rest))]
}

// TestZeroIsDecidedExactly compares with the textbook test, division by the
// cyclotomic polynomial, for sums that vanish and sums that just do not. The
// places of an in-line engine are the weights.
func TestZeroIsDecidedExactly(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 5))
	zeros, others := 0, 0
	orders := []int{12, 30, 36, 42, 60, 77, 90, 105, 210, 13, 49, 64}
	phi := map[int][]*big.Int{}
	for _, n := range orders {
		phi[n] = cyclotomic(n)
	}
	for range 1500 {
		n := orders[rnd.IntN(len(orders))]
		weight := make([]int64, n)
		// A few turned polygons of weights, some of them spoiled.
		for range 1 + rnd.IntN(3) {
			w, at := rnd.Int64N(9)-4, rnd.IntN(n)
			for p := 2; p <= 13; p++ {
				if n%p == 0 && rnd.IntN(2) == 0 {
					for j := range p {
						weight[(at+j*n/p)%n] += w
					}
					break
				}
			}
		}
		if rnd.IntN(2) == 0 {
			weight[rnd.IntN(n)] += rnd.Int64N(3) - 1
		}
		c := fo.Config{Banks: []fo.Bank{{Name: "A"}}}
		bc := fo.BalanceConfig{Pitch: units.Meter, Plane: units.Some(units.Length(0))}
		poly := make([]*big.Int, n)
		for k, w := range weight {
			poly[k] = big.NewInt(w)
			for w != 0 && len(c.Cylinders) < 64 {
				f, err := fo.Fraction(int64(k), int64(n))
				if err != nil {
					t.Fatal(err)
				}
				c.Throws = append(c.Throws, f)
				c.Cylinders = append(c.Cylinders, fo.Cylinder{Bank: "A", Throw: len(c.Throws)})
				bc.Positions = append(bc.Positions, units.Length(w))
				break
			}
		}
		if len(c.Cylinders) == 0 || len(c.Cylinders) == 64 {
			continue
		}
		l, err := fo.NewLayout(c)
		if err != nil {
			t.Fatal(err)
		}
		bc.Layout = l
		r, err := balance(t, bc).CoupleRatio(1)
		if err != nil {
			t.Fatal(err)
		}
		want := true
		_, rest := divided(poly, phi[n])
		for _, x := range rest {
			want = want && x.Sign() == 0
		}
		if got := r.Forward.Size == 0; got != want || (r.Max == 0) != want || r.Forward.Size != r.Backward.Size || r.Min != 0 {
			t.Fatalf("n %d weights %v: %v and %v, zero: %v", n, weight, r.Forward, r.Backward, want)
		}
		if want {
			zeros++
		} else {
			others++
		}
	}
	if zeros < 300 || others < 300 {
		t.Errorf("%d sums vanish, %d do not", zeros, others)
	}
}

// A sum 1e27 times smaller than its terms is not zero: Fibonacci numbers over
// each other come as near to 2 cos 72 as that.
func TestAlmostZeroIsNotZero(t *testing.T) {
	a, b := int64(1), int64(1)
	for b < 5e13 {
		a, b = b, a+b
	}
	l, err := fo.NewLayout(fo.Config{
		Banks: []fo.Bank{{Name: "A"}}, Throws: []fo.Turn{deg(t, 0), deg(t, 72), deg(t, 288)},
		Cylinders: []fo.Cylinder{{Bank: "A", Throw: 1}, {Bank: "A", Throw: 2}, {Bank: "A", Throw: 3}},
	})
	if err != nil {
		t.Fatal(err)
	}
	c := fo.BalanceConfig{Layout: l, Pitch: units.Meter, Plane: units.Some(units.Length(0)), Positions: []units.Length{units.Length(-a), units.Length(b), units.Length(b)}}
	r, err := balance(t, c).CoupleRatio(1)
	if err != nil || r.Forward.Size <= 0 || r.Forward.Size > 1e-10 {
		t.Errorf("%v, %v", r.Forward, err)
	}
	// The same with the throw that makes it vanish: 1 + 2 cos 120 = 0.
	l, err = fo.NewLayout(fo.Config{
		Banks: []fo.Bank{{Name: "A"}}, Throws: []fo.Turn{deg(t, 0), deg(t, 120), deg(t, 240)},
		Cylinders: []fo.Cylinder{{Bank: "A", Throw: 1}, {Bank: "A", Throw: 2}, {Bank: "A", Throw: 3}},
	})
	if err != nil {
		t.Fatal(err)
	}
	c.Layout, c.Positions = l, []units.Length{units.Length(b), units.Length(b), units.Length(b)}
	if r, err = balance(t, c).CoupleRatio(1); err != nil || r.Forward.Size != 0 {
		t.Errorf("%v, %v", r.Forward, err)
	}
}

// Equal parts leave exactly nothing at the minimum, decided and not rounded: a V
// of equal forward and backward parts, bank angles in sevenths.
func TestSmallestIsExactlyZero(t *testing.T) {
	for _, c := range []struct {
		name  string
		l     *fo.Layout
		order int
		zero  bool
	}{
		{"90 degree V twin, second order", vee{fo.OnePin, false, 90, 0, fo.Bankwise, fo.PassedFirst}.layout(t), 2, true},
		{"V8 in one plane, second order", vee{fo.FourSinglePlane, false, 90, 0, fo.Bankwise, fo.PassedFirst}.layout(t), 2, true},
		{"90 degree V twin, first order", vee{fo.OnePin, false, 90, 0, fo.Bankwise, fo.PassedFirst}.layout(t), 1, false},
		{"60 degree V twin, second order", vee{fo.OnePin, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(t), 2, false},
		{"V of 89 degrees, second order", vee{fo.OnePin, false, 89, 0, fo.Bankwise, fo.PassedFirst}.layout(t), 2, false},
	} {
		r, err := balance(t, fo.BalanceConfig{Layout: c.l}).ForceRatio(c.order)
		if err != nil || (r.Min == 0) != c.zero || r.Max == 0 {
			t.Errorf("%s: %v, %v", c.name, r, err)
		}
	}
}

// A V of any angle on one pin: 1 + cos V and |1 - cos V| of the first order, and
// the second-order closed forms; Khurmi and Gupta, Theory of Machines, ch. 22
// (recalled).
func TestVTwinOfAnyAngle(t *testing.T) {
	for v := int64(1); v <= 180; v++ {
		b := balance(t, fo.BalanceConfig{Layout: vee{fo.OnePin, false, v, 0, fo.Bankwise, fo.PassedFirst}.layout(t)})
		rad := float64(v) * math.Pi / 180
		first, err1 := b.ForceRatio(1)
		second, err2 := b.ForceRatio(2)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		// Along the bisector 2 cos(V/2) cos V, across it 2 sin(V/2) sin V.
		along, across := math.Abs(2*math.Cos(rad/2)*math.Cos(rad)), math.Abs(2*math.Sin(rad/2)*math.Sin(rad))
		c := math.Cos(rad)
		for _, x := range [][2]float64{
			{float64(first.Max), max(1+c, 1-c)},
			{float64(first.Min), min(1+c, 1-c)},
			{float64(second.Max), max(along, across)},
			{float64(second.Min), min(along, across)},
		} {
			if math.Abs(x[0]-x[1]) > 1e-12 {
				t.Errorf("V %d: %v and %v, want %v", v, first, second, x)
			}
		}
	}
}

// Turning the numbering around the shaft end for end, or giving all angles
// another reference, changes no size.
func TestBalanceInvariants(t *testing.T) {
	rnd := rand.New(rand.NewPCG(9, 9))
	for range 300 {
		r := random(rnd)
		turned := rational{bank: r.bank, pin: r.pin}
		for _, x := range r.axes {
			turned.axes = append(turned.axes, new(big.Rat).Add(x, rat(123, 7)))
		}
		for _, x := range r.pins {
			turned.pins = append(turned.pins, new(big.Rat).Add(x, rat(123, 7)))
		}
		mirrored := rational{bank: r.bank, pin: r.pin}
		for _, x := range r.axes {
			mirrored.axes = append(mirrored.axes, new(big.Rat).Neg(x))
		}
		for _, x := range r.pins {
			mirrored.pins = append(mirrored.pins, new(big.Rat).Neg(x))
		}
		for _, q := range []int{1, 2, 4} {
			a, err1 := balance(t, fo.BalanceConfig{Layout: r.layout(t)}).CoupleRatio(q)
			b, err2 := balance(t, fo.BalanceConfig{Layout: turned.layout(t)}).CoupleRatio(q)
			c, err3 := balance(t, fo.BalanceConfig{Layout: mirrored.layout(t)}).CoupleRatio(q)
			if err1 != nil || err2 != nil || err3 != nil {
				t.Fatal(err1, err2, err3)
			}
			// The cylinder axes turn along, so the directions keep.
			if math.Abs(float64(a.Max-b.Max)) > 1e-12 || math.Abs(float64(a.Min-b.Min)) > 1e-12 || a.Max > 1e-3 && apart(a.Forward.Direction, b.Forward.Direction) > 1 && a.Forward.Size > 1e-9 {
				t.Fatalf("%v turned: %v, %v", r, a, b)
			}
			if math.Abs(float64(a.Max-c.Max)) > 1e-12 || math.Abs(float64(a.Forward.Size-c.Forward.Size)) > 1e-12 ||
				a.Forward.Size > 0 && apart(a.Forward.Direction, -c.Forward.Direction) > 1 {
				t.Fatalf("%v mirrored: %v, %v", r, a, c)
			}
		}
	}
}

// Rods side by side: the V twin of 90 degrees gets a couple from its offset
// alone, half of it per cylinder.
func TestRodOffset(t *testing.T) {
	l := vee{fo.OnePin, false, 90, 0, fo.Bankwise, fo.PassedFirst}.layout(t)
	b := balance(t, fo.BalanceConfig{Layout: l, Pitch: 100 * units.Millimeter, RodOffset: 20 * units.Millimeter})
	r, err := b.CoupleRatio(1)
	// At TDC of cylinder 1 only it pushes, at -10 mm of the middle.
	if at := r.At(0); err != nil || math.Abs(float64(at.Along)+0.1) > 1e-9 || math.Abs(float64(at.Across)) > 1e-9 {
		t.Errorf("%v, %v", at, err)
	}
	same := balance(t, fo.BalanceConfig{Layout: l, Pitch: 100 * units.Millimeter, Positions: []units.Length{0, 20 * units.Millimeter}})
	if s, err := same.CoupleRatio(1); err != nil || s.Max != r.Max || s.Forward != r.Forward || s.Backward != r.Backward {
		t.Errorf("%v, %v, %v", s, r, err)
	}
}

// The first terms of the series, derived by hand from the binomial expansion:
// A2 = L + L^3/4 + 15 L^5/128, A4 = -(L^3/4 + 3 L^5/16), A6 = 9 L^5/128.
func TestHarmonicSeries(t *testing.T) {
	for _, l := range []float64{1e-3, 1e-2, 0.05} {
		for q, want := range map[int]float64{2: l + l*l*l/4 + 15*math.Pow(l, 5)/128, 4: -(l*l*l/4 + 3*math.Pow(l, 5)/16), 6: 9 * math.Pow(l, 5) / 128} {
			if a, err := fo.HarmonicRatio(q, l); err != nil || math.Abs(a-want) > 0.2*math.Pow(l, 7)+1e-16 {
				t.Errorf("A%d at %v: %v, want %v, %v", q, l, a, want, err)
			}
		}
	}
	// At TDC and BDC the acceleration is 1 + lambda and 1 - lambda exactly.
	for _, l := range []float64{0.2, 0.35, 0.9} {
		top, bottom := 1.0, -1.0
		for q := 2; q <= 100; q += 2 {
			a, err := fo.HarmonicRatio(q, l)
			if err != nil {
				t.Fatal(err)
			}
			top, bottom = top+a, bottom+a
		}
		if math.Abs(top-1-l) > 1e-3 || math.Abs(bottom+1-l) > 1e-3 || l < 0.5 && math.Abs(top-1-l) > 1e-12 {
			t.Errorf("lambda %v: %v and %v", l, top, bottom)
		}
	}
}

func TestNewBalanceRefuses(t *testing.T) {
	l := fanned(t)
	five := make([]units.Length, 5)
	ok := fo.BalanceConfig{Layout: l, Pitch: units.Inch, Positions: five}
	if _, err := fo.NewBalance(ok); err != nil {
		t.Fatal(err)
	}
	far := append([]units.Length{101 * units.Meter}, five[1:]...)
	for name, c := range map[string]struct {
		c     fo.BalanceConfig
		field string
		kind  error
	}{
		"nothing":              {fo.BalanceConfig{}, "Layout", units.ErrMissing},
		"a zero layout":        {fo.BalanceConfig{Layout: &fo.Layout{}}, "Layout", units.ErrMissing},
		"negative pins":        {fo.BalanceConfig{Layout: l, PinsPerThrow: -1}, "PinsPerThrow", units.ErrRange},
		"many pins":            {fo.BalanceConfig{Layout: l, PinsPerThrow: 65}, "PinsPerThrow", units.ErrRange},
		"negative pitch":       {fo.BalanceConfig{Layout: l, Pitch: -1}, "Pitch", units.ErrRange},
		"long pitch":           {fo.BalanceConfig{Layout: l, Pitch: units.MaxLength}, "Pitch", units.ErrRange},
		"long offset":          {fo.BalanceConfig{Layout: l, Pitch: units.Inch, RodOffset: math.MinInt64}, "RodOffset", units.ErrRange},
		"long plane":           {fo.BalanceConfig{Layout: l, Pitch: units.Inch, Plane: units.Some(units.Length(math.MinInt64))}, "Plane", units.ErrRange},
		"four positions":       {fo.BalanceConfig{Layout: l, Pitch: units.Inch, Positions: five[:4]}, "Positions", units.ErrConflict},
		"positions and pins":   {fo.BalanceConfig{Layout: l, Pitch: units.Inch, Positions: five, PinsPerThrow: 1}, "PinsPerThrow", units.ErrConflict},
		"positions and offset": {fo.BalanceConfig{Layout: l, Pitch: units.Inch, Positions: five, RodOffset: 1}, "RodOffset", units.ErrConflict},
		"positions, no pitch":  {fo.BalanceConfig{Layout: l, Positions: five}, "Pitch", units.ErrMissing},
		"offset, no pitch":     {fo.BalanceConfig{Layout: l, RodOffset: 1}, "Pitch", units.ErrMissing},
		"plane, no pitch":      {fo.BalanceConfig{Layout: l, Plane: units.Some(units.Length(0))}, "Pitch", units.ErrMissing},
		"a far position":       {fo.BalanceConfig{Layout: l, Pitch: units.Inch, Positions: far}, "Positions[0]", units.ErrRange},
	} {
		b, err := fo.NewBalance(c.c)
		refused(t, name, b != nil, err, c.field, c.kind)
	}
}

func TestBalanceRefuses(t *testing.T) {
	b := balance(t, fo.BalanceConfig{Layout: fanned(t)})
	k := fo.Reciprocating{Mass: 1, Stroke: 90 * units.Millimeter, Rod: 140 * units.Millimeter, Speed: 100}
	for _, q := range []int{-2, -1, 0, 3, 5, 101, 102, math.MaxInt, math.MinInt} {
		r, err := b.ForceRatio(q)
		refused(t, "force ratio", r.Max != 0, err, "order", units.ErrRange)
		r, err = b.CoupleRatio(q)
		refused(t, "couple ratio", r.Max != 0, err, "order", units.ErrRange)
		f, err := k.Amplitude(q)
		refused(t, "amplitude", f != 0, err, "order", units.ErrRange)
		x, err := fo.HarmonicRatio(q, 0.3)
		refused(t, "harmonic", x != 0, err, "order", units.ErrRange)
	}
	for _, l := range []float64{math.NaN(), math.Inf(1), 0, -0.3, 1, 0.991} {
		x, err := fo.HarmonicRatio(2, l)
		refused(t, "lambda", x != 0, err, "lambda", units.ErrRange)
	}
	m, err := b.Couple(1, k)
	refused(t, "no pitch", m.Max != 0, err, "Pitch", units.ErrMissing)
	for name, c := range map[string]struct {
		change func(*fo.Reciprocating)
		field  string
		kind   error
	}{
		"no mass":       {func(k *fo.Reciprocating) { k.Mass = 0 }, "Mass", units.ErrRange},
		"NaN mass":      {func(k *fo.Reciprocating) { k.Mass = units.Mass(math.NaN()) }, "Mass", units.ErrRange},
		"infinite mass": {func(k *fo.Reciprocating) { k.Mass = units.Mass(math.Inf(1)) }, "Mass", units.ErrRange},
		"no stroke":     {func(k *fo.Reciprocating) { k.Stroke = 0 }, "Stroke", units.ErrRange},
		"long stroke":   {func(k *fo.Reciprocating) { k.Stroke = units.MaxLength }, "Stroke", units.ErrRange},
		"no speed":      {func(k *fo.Reciprocating) { k.Speed = 0 }, "Speed", units.ErrRange},
		"back":          {func(k *fo.Reciprocating) { k.Speed = -100 }, "Speed", units.ErrRange},
		"NaN speed":     {func(k *fo.Reciprocating) { k.Speed = units.AngularSpeed(math.NaN()) }, "Speed", units.ErrRange},
		"overflow":      {func(k *fo.Reciprocating) { k.Speed = 1e200 }, "Speed", units.ErrRange},
		"no rod":        {func(k *fo.Reciprocating) { k.Rod = 0 }, "Rod", units.ErrMissing},
		"negative rod":  {func(k *fo.Reciprocating) { k.Rod = -1 }, "Rod", units.ErrRange},
		"long rod":      {func(k *fo.Reciprocating) { k.Rod = units.MaxLength }, "Rod", units.ErrRange},
		"short rod":     {func(k *fo.Reciprocating) { k.Rod = 45 * units.Millimeter }, "Rod", units.ErrImpossible},
		"barely turns":  {func(k *fo.Reciprocating) { k.Rod, k.Series = 451*units.Millimeter/10, true }, "Rod", units.ErrRange},
	} {
		bad := k
		c.change(&bad)
		f, err := bad.Amplitude(2)
		refused(t, name, f != 0, err, c.field, c.kind)
		r, err := b.Force(2, bad)
		refused(t, name, r.Max != 0, err, c.field, c.kind)
		pitched := balance(t, fo.BalanceConfig{Layout: fanned(t), Pitch: units.Inch})
		m, err := pitched.Couple(2, bad)
		refused(t, name, m.Max != 0, err, c.field, c.kind)
	}
	// The rod does not matter to the first order, nor beyond the truncation.
	k.Rod = 0
	if f, err := k.Amplitude(1); err != nil || f <= 0 {
		t.Errorf("%v, %v", f, err)
	}
	k.Rod = 140 * units.Millimeter
	if f, err := b.Force(4, k); err != nil || f.Max != 0 || f.MaxAt != 0 {
		t.Errorf("%v, %v", f, err)
	}
	// A force that fits and a sum of five that does not.
	k.Speed, k.Mass = 1e150, 3e9
	if f, err := k.Amplitude(1); err != nil || f < 1e300 {
		t.Fatal(f, err)
	}
	heavy := fo.Reciprocating{Mass: 3.9e9, Stroke: 2 * units.Meter, Rod: 3 * units.Meter, Speed: 2.146e149}
	if f, err := heavy.Amplitude(1); err != nil || f < 1.7e308 {
		t.Fatal(f, err)
	}
	row := balance(t, fo.BalanceConfig{Layout: inline(t, fo.TwoParallel, false)})
	r, err := row.Force(1, heavy)
	refused(t, "the sum overflows", r.Max != 0, err, "Mass", units.ErrRange)
}

func TestBalanceZeroValues(t *testing.T) {
	for _, b := range []*fo.Balance{nil, {}} {
		k := fo.Reciprocating{Mass: 1, Stroke: 90 * units.Millimeter, Rod: 140 * units.Millimeter, Speed: 100}
		_, err1 := b.ForceRatio(1)
		_, err2 := b.CoupleRatio(2)
		_, err3 := b.Force(1, k)
		_, err4 := b.Couple(1, k)
		_, err5 := b.Counterweight(0.5)
		_, err6 := b.Residual(fo.CrankMasses{Engine: k})
		_, err7 := b.EndWeights(fo.EndPlanes{})
		for _, err := range []error{err1, err2, err3, err4, err5, err6, err7} {
			refused(t, "no balance", false, err, "balance", units.ErrMissing)
		}
	}
	var r fo.Rotating[units.Force]
	if a := r.At(90 * units.CrankDegree); a != (fo.Resultant[units.Force]{}) || r.Working() != nil {
		t.Errorf("%v", a)
	}
}

func TestBalanceWorking(t *testing.T) {
	b := balance(t, fo.BalanceConfig{Layout: fanned(t), Pitch: units.Inch})
	r, err := b.CoupleRatio(1)
	if err != nil {
		t.Fatal(err)
	}
	f, err := b.Force(2, fo.Reciprocating{Mass: 1, Stroke: 90 * units.Millimeter, Rod: 140 * units.Millimeter, Speed: 100})
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range []units.Working{r.Working(), f.Working()} {
		if len(w) < 4 {
			t.Errorf("%v", w)
		}
		for _, s := range w {
			if s.Symbol == "" || s.Formula == "" || s.Value == "" || !s.Source.Given() {
				t.Errorf("%+v", s)
			}
		}
	}
}

// At allocates nothing.
func TestBalanceAllocatesNothing(t *testing.T) {
	r, err := balance(t, fo.BalanceConfig{Layout: fanned(t)}).ForceRatio(2)
	if err != nil {
		t.Fatal(err)
	}
	e := engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4")
	shape := []float64{6, 5, 4, 3, 2, 1}
	i := units.CrankAngle(0)
	if n := testing.AllocsPerRun(100, func() {
		i += 7 * units.CrankDegree
		balSink.at = r.At(i)
		balSink.sum, _ = e.PhaseSum(3, shape)
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

var balSink struct {
	at  fo.Resultant[fo.Coefficient]
	sum fo.PhaseSum
	r   fo.Rotating[fo.Coefficient]
	p   fo.Pulses
}

func BenchmarkResultantAt(b *testing.B) {
	r, err := balance(b, fo.BalanceConfig{Layout: fanned(b)}).ForceRatio(2)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	i := units.CrankAngle(0)
	for b.Loop() {
		i += units.CrankDegree
		balSink.at = r.At(i)
	}
}

// Everything about this one vanishes and takes the exact decision.
func BenchmarkCoupleRatioV12(b *testing.B) {
	v := balance(b, fo.BalanceConfig{Layout: vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(b)})
	b.ReportAllocs()
	for b.Loop() {
		r, err := v.CoupleRatio(1)
		if err != nil {
			b.Fatal(err)
		}
		balSink.r = r
	}
}

func BenchmarkCoupleRatioV8(b *testing.B) {
	v := balance(b, fo.BalanceConfig{Layout: vee{fo.FourTwoPlane, false, 90, 0, fo.Bankwise, fo.PassedFirst}.layout(b)})
	b.ReportAllocs()
	for b.Loop() {
		r, err := v.CoupleRatio(1)
		if err != nil {
			b.Fatal(err)
		}
		balSink.r = r
	}
}

func BenchmarkPhaseSum(b *testing.B) {
	e := engine(b, inline(b, fo.SixEven, false), "1-5-3-6-2-4")
	shape := []float64{6, 5, 4, 3, 2, 1}
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		i++
		s, err := e.PhaseSum(fo.HalfOrders(1+i%12), shape)
		if err != nil {
			b.Fatal(err)
		}
		balSink.sum = s
	}
}

func BenchmarkBankPulses(b *testing.B) {
	e := engine(b, vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(b), "1-8-4-3-6-5-7-2")
	b.ReportAllocs()
	for b.Loop() {
		p, err := e.BankPulses("A")
		if err != nil {
			b.Fatal(err)
		}
		balSink.p = p
	}
}
