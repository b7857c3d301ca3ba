package camtiming_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// linkage is a slider-crank in millimeters, apart from the library: it knows
// the length of the rod and the line of the piston pin, and nothing else.
type linkage struct{ r, l, e float64 }

// height finds the piston pin over the crank's axis by bisection: the point
// of its line that is one rod away from the crank pin. t is in radians from
// the bore-parallel.
func (k linkage) height(t float64) float64 {
	x, y := k.r*math.Sin(t), k.r*math.Cos(t)
	lo, hi := y, y+k.l
	for range 100 {
		mid := (lo + hi) / 2
		if math.Hypot(k.e-x, mid-y) < k.l {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// center finds where crank pin, piston pin and the crank's axis are in one line, by
// bisection on the sine between throw and piston pin, near a given angle.
func (k linkage) center(near float64) float64 {
	side := math.Cos(near) // +1 at the top, -1 at the bottom
	lo, hi := near-math.Pi/2, near+math.Pi/2
	for range 100 {
		mid := (lo + hi) / 2
		if side*(k.height(mid)*math.Sin(mid)-k.e*math.Cos(mid)) < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// travel is how far the piston is below its top at an angle in degrees from top
// dead center.
func (k linkage) travel(deg float64) float64 {
	top := k.center(0)
	return k.height(top) - k.height(top+deg*math.Pi/180)
}

// contacts finds the angles before and after top dead center at one depth by
// bisection, both positive, in degrees.
func (k linkage) contacts(depth float64) (before, after float64) {
	top, bottom := k.center(0), k.center(math.Pi)
	h := k.height(top) - depth
	find := func(end float64) float64 {
		lo, hi := top, end
		for range 100 {
			mid := (lo + hi) / 2
			if k.height(mid) > h {
				lo = mid
			} else {
				hi = mid
			}
		}
		return math.Abs((lo+hi)/2-top) * 180 / math.Pi
	}
	return find(bottom - 2*math.Pi), find(bottom)
}

func (k linkage) spec() camtiming.SliderCrankSpec {
	mm := func(x float64) units.Length { return units.Length(math.RoundToEven(x * 1e9)) }
	return camtiming.SliderCrankSpec{Throw: mm(k.r), Rod: mm(k.l), Offset: mm(k.e)}
}

func (k linkage) built(tb testing.TB) *camtiming.SliderCrank {
	tb.Helper()
	return must[*camtiming.SliderCrank](tb)(camtiming.NewSliderCrank(k.spec()))
}

// someLinkages are a usual engine with offsets of either sign, a short rod, a
// long one, and random ones.
func someLinkages() []linkage {
	k := []linkage{
		{44.196, 144.78, 0},
		{40, 140, 1},
		{40, 140, -1},
		{40, 140, 10},
		{40, 140, -10},
		{50, 75, 12},
		{50, 75, -24},
		{5, 900, 0.5},
	}
	rnd := rand.New(rand.NewPCG(3, 1))
	for range 12 {
		r := 20 + 80*rnd.Float64()
		l := r * (1.3 + 3*rnd.Float64())
		e := (l - r) * (rnd.Float64() - 0.5)
		round := func(x float64) float64 { return math.Round(x*1000) / 1000 }
		k = append(k, linkage{round(r), round(l), round(e)})
	}
	return k
}

func TestSliderCrankOracle(t *testing.T) {
	for _, o := range someLinkages() {
		t.Run(fmt.Sprint(o), func(t *testing.T) {
			k := o.built(t)
			d := k.DeadCenters()
			const deg = 180 / math.Pi
			near(t, "TDC", d.TDC.Degrees(), o.center(0)*deg, 2e-9)
			near(t, "BDC", d.BDC.Degrees(), o.center(math.Pi)*deg, 2e-9)
			near(t, "stroke", d.Stroke.Millimeters(), o.height(o.center(0))-o.height(o.center(math.Pi)), 2e-9)
			if d.Down+d.Up != units.CrankTurn || d.Down != d.BDC-d.TDC {
				t.Errorf("strokes of %v down and %v up", d.Down, d.Up)
			}
			for a := -360.0; a <= 360; a += 7.5 {
				x := k.Travel(crank(a))
				near(t, fmt.Sprintf("travel at %g", a), x.Millimeters(), o.travel(a), 2e-9)
				m := k.Motion(crank(a))
				if m.Travel != x {
					t.Errorf("Motion has travel %v at %g, Travel %v", m.Travel, a, x)
				}
				const h = 1e-2
				v := (o.travel(a+h) - o.travel(a-h)) / (2 * h)
				near(t, fmt.Sprintf("velocity at %g", a), m.Velocity.MillimetersPerCrankDegree(), v, 1e-7*o.r)
				acc := (o.travel(a+h) - 2*o.travel(a) + o.travel(a-h)) / (h * h)
				near(t, fmt.Sprintf("acceleration at %g", a), m.Acceleration.MillimetersPerCrankDegree2(), acc, 1e-8*o.r)
				// The rod: from the positions of its two ends.
				top := o.center(0) + a*math.Pi/180
				near(t, fmt.Sprintf("rod at %g", a), m.Rod.Degrees(), math.Atan2(o.r*math.Sin(top)-o.e, o.height(top)-o.r*math.Cos(top))*deg, 1e-8)
				rod := func(a float64) float64 { return float64(k.Motion(crank(a)).Rod) }
				const w = 0.05
				near(t, fmt.Sprintf("rod speed at %g", a), m.RodSpeed, (rod(a+w)-rod(a-w))/(2*w)*deg, 2e-5)
				near(t, fmt.Sprintf("rod acceleration at %g", a), m.RodAcceleration, (rod(a+w)-2*rod(a)+rod(a-w))/(w*w)*deg*deg, 2e-4)
			}
			for _, share := range []float64{0.001, 0.01, 0.1, 0.3, 0.5, 0.8, 0.99} {
				depth := units.Length(math.Round(share * float64(d.Stroke)))
				before, after := o.contacts(depth.Millimeters())
				p := must[camtiming.PistonDropAngles](t)(k.Drop(depth))
				// Bisection sees heights to about 1e-13 mm, over a slope of
				// at least 1e-3 of the throw.
				near(t, fmt.Sprintf("before at %g", share), p.Before.Degrees(), before, 1e-8)
				near(t, fmt.Sprintf("after at %g", share), p.After.Degrees(), after, 1e-8)
				near(t, fmt.Sprintf("midpoint at %g", share), p.Midpoint.Degrees(), (after-before)/2, 1e-8)
				e := must[units.CrankAngle](t)(k.MidpointError(p.Half))
				near(t, fmt.Sprintf("midpoint error at %g", share), e.Degrees(), (after-before)/2, 1e-8)
				// Inverse of forward: within what a quantum of the angle makes.
				for _, a := range []units.CrankAngle{-p.Before, p.After} {
					if diff := (k.Travel(a) - depth).Abs(); diff > 4 {
						t.Errorf("Travel(Drop(%v)) is off by %v", depth, diff)
					}
				}
			}
		})
	}
}

func TestSliderCrankLimits(t *testing.T) {
	for _, o := range someLinkages() {
		k := o.built(t)
		mirror := linkage{o.r, o.l, -o.e}.built(t)
		d := k.DeadCenters()
		if x := k.Travel(0); x != 0 {
			t.Errorf("%v: travel %v at top dead center", o, x)
		}
		if x := (k.Travel(d.Down) - d.Stroke).Abs(); x > 1 {
			t.Errorf("%v: travel at bottom dead center differs from the stroke by %v", o, x)
		}
		near(t, "velocity at the top", k.Motion(0).Velocity.MillimetersPerCrankDegree(), 0, 1e-14)
		if o.e == 0 && (d.TDC != 0 || d.BDC != units.CrankTurn/2 || d.Stroke != 2*k.Spec().Throw) {
			t.Errorf("%v without offset has %+v", o, d)
		}
		if o.e != 0 && d.Stroke <= 2*k.Spec().Throw {
			t.Errorf("%v: stroke %v is not over twice the throw", o, d.Stroke)
		}
		if o.e != 0 && (d.TDC > 0) != (o.e > 0) {
			t.Errorf("%v: top dead center at %v", o, d.TDC)
		}
		last := units.Length(-1)
		for a := 0.0; a < d.Down.Degrees(); a += 3 {
			x := k.Travel(crank(a))
			if x <= last {
				t.Errorf("%v: travel %v at %g does not grow", o, x, a)
			}
			last = x
			if y := mirror.Travel(crank(-a)); y != x {
				t.Errorf("%v: the mirrored piston is at %v, not %v, at %g", o, y, x, a)
			}
		}
		if x, y := k.Travel(crank(33)), k.Travel(crank(33)+units.CrankTurn*1000); x != y {
			t.Errorf("%v: a thousand turns later %v, not %v", o, y, x)
		}
		// The fastest points are the largest of all, and each where it says.
		f := k.Fastest()
		down, up := 0.0, 0.0
		for a := -360.0; a < 360; a += 0.5 {
			v := float64(k.Motion(crank(a)).Velocity)
			down, up = max(down, v), min(up, v)
		}
		if v := float64(f.Down.Motion.Velocity); v < down || v > down*(1+1e-4) {
			t.Errorf("%v: fastest down %g, scan %g", o, v, down)
		}
		if v := float64(f.Up.Motion.Velocity); v > up || v < up*(1+1e-4) {
			t.Errorf("%v: fastest up %g, scan %g", o, v, up)
		}
		if o.e == 0 && f.Up.FromTDC != -f.Down.FromTDC {
			t.Errorf("%v: fastest at %v and %v", o, f.Down.FromTDC, f.Up.FromTDC)
		}
		zero := must[camtiming.PistonDropAngles](t)(k.Drop(0))
		if zero.Before != 0 || zero.After != 0 {
			t.Errorf("%v: no drop at %+v", o, zero)
		}
		all := must[camtiming.PistonDropAngles](t)(k.Drop(d.Stroke))
		// The stroke is rounded to 1 pm, and at the bottom a picometer is
		// about sqrt(2e-12/0.03) rad.
		near(t, "drop of the stroke", all.After.Degrees(), d.Down.Degrees(), 1e-3)
	}
	// A rod without end leaves the sine.
	long := linkage{1, 9999, 0}.built(t)
	near(t, "long rod", long.Travel(crank(60)).Millimeters(), 0.5, 0.75/(2*9999)*1.01)
	var none camtiming.SliderCrank
	if none.Travel(crank(40)) != 0 || none.Motion(crank(40)) != (camtiming.PistonMotion{}) || none.DeadCenters() != (camtiming.DeadCenters{}) || none.Fastest() != (camtiming.Fastest{}) || none.MeanSpeed(100) != 0 {
		t.Error("the zero SliderCrank moves")
	}
	if d, err := none.Drop(0); err != nil || d.Before != 0 || d.After != 0 {
		t.Errorf("the zero SliderCrank drops: %+v, %v", d, err)
	}
	if a, err := none.MidpointError(crank(40)); err != nil || a != 0 {
		t.Errorf("the zero SliderCrank has a midpoint error of %v, %v", a, err)
	}
}

// TestMidpointErrorSize holds the size against what a pin or bore offset does
// in practice: hundredths of a degree for 1 mm, most of a degree for 10 mm deep
// in the bore; its sign is that of the offset.
func TestMidpointErrorSize(t *testing.T) {
	for _, c := range []struct{ e, depth, lo, hi float64 }{
		{1, 12, 0.02, 0.03},
		{-1, 12, -0.03, -0.02},
		{10, 40, 0.85, 0.95},
		{-10, 40, -0.95, -0.85},
		{0, 40, 0, 0},
	} {
		o := linkage{40, 140, c.e}
		before, after := o.contacts(c.depth)
		got := must[camtiming.PistonDropAngles](t)(o.built(t).Drop(units.Length(c.depth * 1e9))).Midpoint.Degrees()
		if got < c.lo || got > c.hi {
			t.Errorf("offset %g mm at %g mm: midpoint off by %g, want %g to %g", c.e, c.depth, got, c.lo, c.hi)
		}
		near(t, "midpoint", got, (after-before)/2, 1e-8)
	}
}

// TestDialAtTop: 0.001 in is more than a degree either way on every engine
// with less than 6 in of stroke and no offset.
func TestDialAtTop(t *testing.T) {
	for stroke := 1.0; stroke < 6; stroke += 0.25 {
		for ratio := 1.05; ratio < 6; ratio += 0.3 {
			k := must[*camtiming.SliderCrank](t)(camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: inch(stroke / 2), Rod: inch(stroke / 2 * ratio)}))
			d := must[camtiming.TopDwell](t)(k.DialAtTop(units.Thou))
			if d.Before <= units.CrankDegree || d.After <= units.CrankDegree {
				t.Errorf("stroke %g in, l/r %g: %v before, %v after", stroke, ratio, d.Before, d.After)
			}
			// The approximation of the doc.
			r, l := stroke/2, stroke/2*ratio
			approx := 2 * math.Sqrt(2*0.001*l/(r*(l+r))) * 180 / math.Pi
			near(t, "approximation", d.Arc.Degrees(), approx, 2e-3*approx)
		}
	}
}

func TestBadSliderCrank(t *testing.T) {
	spec := func(f func(*camtiming.SliderCrankSpec)) func() (any, error) {
		s := camtiming.SliderCrankSpec{Throw: 40 * units.Millimeter, Rod: 140 * units.Millimeter, Offset: units.Millimeter}
		f(&s)
		return func() (any, error) {
			k, err := camtiming.NewSliderCrank(s)
			if k == nil {
				return (*camtiming.SliderCrank)(nil), err
			}
			return k, err
		}
	}
	k := linkage{40, 140, 1}.built(t)
	drop := func(x units.Length) func() (any, error) { return func() (any, error) { return k.Drop(x) } }
	mid := func(a units.CrankAngle) func() (any, error) { return func() (any, error) { return k.MidpointError(a) } }
	dial := func(x units.Length) func() (any, error) { return func() (any, error) { return k.DialAtTop(x) } }
	refuse(t, []bad{
		{"no throw", spec(func(s *camtiming.SliderCrankSpec) { s.Throw = 0 }), "Throw", units.ErrRange},
		{"negative throw", spec(func(s *camtiming.SliderCrankSpec) { s.Throw = -1 }), "Throw", units.ErrRange},
		{"throw overflow", spec(func(s *camtiming.SliderCrankSpec) { s.Throw = most }), "Throw", units.ErrRange},
		{"no rod", spec(func(s *camtiming.SliderCrankSpec) { s.Rod = 0 }), "Rod", units.ErrRange},
		{"rod overflow", spec(func(s *camtiming.SliderCrankSpec) { s.Rod = most }), "Rod", units.ErrRange},
		{"rod least", spec(func(s *camtiming.SliderCrankSpec) { s.Rod = least }), "Rod", units.ErrRange},
		{"rod as short as the throw", spec(func(s *camtiming.SliderCrankSpec) { s.Rod, s.Offset = s.Throw, 0 }), "Rod", units.ErrImpossible},
		{"swapped", spec(func(s *camtiming.SliderCrankSpec) { s.Rod, s.Throw = s.Throw, s.Rod }), "Rod", units.ErrImpossible},
		{"offset too large", spec(func(s *camtiming.SliderCrankSpec) { s.Offset = 100 * units.Millimeter }), "Rod", units.ErrImpossible},
		{"offset too large below", spec(func(s *camtiming.SliderCrankSpec) { s.Offset = -100 * units.Millimeter }), "Rod", units.ErrImpossible},
		{"offset overflow", spec(func(s *camtiming.SliderCrankSpec) { s.Offset = most }), "Offset", units.ErrRange},
		{"offset least", spec(func(s *camtiming.SliderCrankSpec) { s.Offset = least }), "Offset", units.ErrRange},
		{"negative drop", drop(-1), "depth", units.ErrRange},
		{"drop over the stroke", drop(k.DeadCenters().Stroke + 1), "depth", units.ErrRange},
		{"drop least", drop(least), "depth", units.ErrRange},
		{"drop overflow", drop(most), "depth", units.ErrRange},
		{"no arc", mid(0), "half", units.ErrRange},
		{"negative arc", mid(-1), "half", units.ErrRange},
		{"arc of half a turn", mid(units.CrankTurn / 2), "half", units.ErrRange},
		{"arc overflow", mid(most), "half", units.ErrRange},
		{"no resolution", dial(0), "resolution", units.ErrRange},
		{"negative resolution", dial(-1), "resolution", units.ErrRange},
		{"resolution over the stroke", dial(units.Meter), "resolution", units.ErrRange},
	})
	// Just possible: a picometer of room.
	s := k.Spec()
	s.Offset = s.Rod - s.Throw - 1
	tight := must[*camtiming.SliderCrank](t)(camtiming.NewSliderCrank(s))
	for a := -360.0; a <= 360; a += 0.25 {
		m := tight.Motion(crank(a))
		for _, x := range []float64{float64(m.Velocity), float64(m.Acceleration), m.RodSpeed, m.RodAcceleration, float64(m.Rod)} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("at %g: %+v", a, m)
			}
		}
	}
}

// TestSliderCrankQuadrants: exact at every multiple of a quarter turn, and the
// same as the sine and cosine of the angle everywhere else, any turn away.
func TestSliderCrankQuadrants(t *testing.T) {
	k := linkage{40, 140, 0}.built(t)
	rnd := rand.New(rand.NewPCG(1, 9))
	for range 20000 {
		a := units.CrankAngle(rnd.Uint64())
		if rnd.IntN(4) == 0 {
			a = a / (units.CrankTurn / 8) * (units.CrankTurn / 8)
		}
		s, c := a.Sin(), a.Cos()
		near(t, "travel at "+a.String(), k.Travel(a).Millimeters(), 180-40*c-math.Sqrt(140*140-1600*s*s), 1e-9)
		near(t, "rod at "+a.String(), float64(k.Motion(a).Rod), math.Asin(40*s/140), 4e-16)
	}
	for i := range 9 {
		a := units.CrankAngle(i-4) * units.CrankTurn / 2
		if m := k.Motion(a); m.Velocity != 0 || m.Rod != 0 {
			t.Errorf("at %v the piston moves: %+v", a, m)
		}
	}
}

func TestSliderCrankAllocs(t *testing.T) {
	k := linkage{40, 140, 1}.built(t)
	a := crank(33)
	for name, f := range map[string]func(){
		"Travel":        func() { sinkLength = k.Travel(a) },
		"Motion":        func() { sinkPiston = k.Motion(a) },
		"Drop":          func() { sinkDrop, _ = k.Drop(units.Millimeter) },
		"MidpointError": func() { sinkAngle, _ = k.MidpointError(a) },
		"DeadCenters":   func() { sinkCenters = k.DeadCenters() },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s allocates %g times", name, n)
		}
	}
}

var (
	sinkPiston  camtiming.PistonMotion
	sinkDrop    camtiming.PistonDropAngles
	sinkAngle   units.CrankAngle
	sinkCenters camtiming.DeadCenters
	sinkTDC     camtiming.TDCResult
)

func BenchmarkPiston(b *testing.B) {
	k := linkage{40, 140, 1}.built(b)
	var a [64]units.CrankAngle
	for i := range a {
		a[i] = crank(float64(i)*11.3 - 360)
	}
	for _, c := range []struct {
		name string
		f    func(units.CrankAngle)
	}{
		{"travel", func(x units.CrankAngle) { sinkLength = k.Travel(x) }},
		{"motion", func(x units.CrankAngle) { sinkPiston = k.Motion(x) }},
		{"drop", func(x units.CrankAngle) { sinkDrop, _ = k.Drop(units.Length(x.Abs() / 6)) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			i := 0
			b.ReportAllocs()
			for b.Loop() {
				c.f(a[i&63])
				i++
			}
		})
	}
}
