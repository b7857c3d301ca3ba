package valvetrain_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// The rate against Castigliano's theorem, with the energy of torsion and no
// closed form for the whole coil: the wire is cut into short pieces, each twisted
// by the force at its own arm.
func TestRateByEnergy(t *testing.T) {
	for _, c := range []valvetrain.Coil{
		wire4,
		{Wire: exact(mm(3)), Outside: exact(mm(21)), Active: 7.25, Shear: exact(units.Megapascals(78500))},
		{Wire: exact(mm(5)), Inside: exact(mm(30)), Active: 4, Shear: exact(units.Megapascals(77200))},
	} {
		r := must[valvetrain.CoilRate](t)(c.Rate())
		d, arm, g := c.Wire.Value.Meters(), r.Mean.Meters()/2, c.Shear.Value.Pascals()
		polar := math.Pi * math.Pow(d/2, 4) / 2
		const pieces = 10000
		ds := 2 * math.Pi * arm * c.Active / pieces
		var compliance float64
		for range pieces {
			compliance += arm * arm * ds / (g * polar)
		}
		near(t, "rate", float64(r.Rate.Value), 1/compliance, 1e-9)
		n := must[float64](t)(c.ActiveFor(r.Rate.Value))
		near(t, "active coils back", n, c.Active, 1e-12)
		worked(t, "rate", r.Working())
	}
}

// A force at the stress limit gives that stress back, and the wire that was
// sized for it has it.
func TestStressInverse(t *testing.T) {
	for _, which := range []valvetrain.StressFactor{valvetrain.NoFactor, valvetrain.StaticFactor, valvetrain.WahlFactor, valvetrain.BergstraesserFactor} {
		limit := valvetrain.StressLimit{Stress: units.Megapascals(620), Factor: which}
		f := must[units.Force](t)(wire4.ForceFor(limit))
		s := must[valvetrain.CoilStress](t)(wire4.Stress(f))
		got := map[valvetrain.StressFactor]units.Pressure{valvetrain.NoFactor: s.Uncorrected, valvetrain.StaticFactor: s.Static, valvetrain.WahlFactor: s.Wahl, valvetrain.BergstraesserFactor: s.Bergstraesser}[which]
		near(t, which.String(), got.Megapascals(), 620, 1e-12)
		d := must[units.Length](t)(valvetrain.WireSizing{Force: f, Index: 6.5, Limit: limit}.Wire())
		near(t, which.String()+" wire", d.Millimeters(), 4, 1e-9)
		worked(t, "stress", s.Working())
	}
	// The factors fall with the index toward 1, and Bergstraesser stays within
	// 1.4 % of Wahl from 4 to 15.
	last := must[valvetrain.StressFactors](t)(valvetrain.FactorsOf(3))
	for c := 4.0; c <= 15; c += 0.25 {
		f := must[valvetrain.StressFactors](t)(valvetrain.FactorsOf(c))
		if !(f.Static < last.Static && f.Wahl < last.Wahl && f.Bergstraesser < last.Bergstraesser && f.Static > 1 && f.Wahl > f.Static) {
			t.Errorf("C = %v: %+v after %+v", c, f, last)
		}
		near(t, "Bergstraesser against Wahl", f.Bergstraesser, f.Wahl, 0.014)
		last = f
	}
}

// The surge frequency against a chain of 400 masses and springs between two
// fixed ends: the lowest speed at which the shape comes back to rest at the far
// end, found by shooting.
func TestSurgeByChain(t *testing.T) {
	s := must[valvetrain.Surge](t)(wire4.Surge(units.KilogramsPerCubicMeter(7850)))
	const n = 400
	k, m := float64(s.Rate)*(n+1), float64(s.Mass)/n
	end := func(w float64) float64 {
		before, x := 0.0, 1.0
		for range n {
			before, x = x, (2-w*w*m/k)*x-before
		}
		return x
	}
	lo, hi := 1.0, 1.0
	for end(hi) > 0 {
		hi *= 1.02
	}
	for range 80 {
		if mid := (lo + hi) / 2; end(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	near(t, "surge, rad/s", s.Frequency.RadiansPerSecond(), lo, 2e-3)
	for _, rpm := range []float64{500, 1700, 3000, 90000} {
		g := must[valvetrain.SurgeMargin](t)(s.At(units.RevolutionsPerMinute(rpm)))
		near(t, "harmonic", g.Critical.RadiansPerSecond()*float64(g.Harmonic), s.Frequency.RadiansPerSecond(), 1e-12)
		near(t, "margin", (g.Cam - g.Margin).RadiansPerSecond(), g.Critical.RadiansPerSecond(), 1e-9)
		if math.Abs(g.Order-float64(g.Harmonic)) > 0.5 && g.Harmonic > 1 {
			t.Errorf("harmonic %d of order %v", g.Harmonic, g.Order)
		}
		worked(t, "margin", g.Working())
	}
}

// Every kind of ends: free length and pitch are inverse, the coils counted by
// the pitch are those wound, and the pitch that lies solid gives no travel.
func TestWindingInverse(t *testing.T) {
	for _, e := range []valvetrain.SpringEnds{valvetrain.PlainEnds, valvetrain.PlainGroundEnds, valvetrain.ClosedEnds, valvetrain.ClosedGroundEnds} {
		w := valvetrain.Winding{Ends: e, Wire: exact(mm(4)), Total: 7.5}
		c := must[valvetrain.Wound](t)(w.Coils())
		free := must[units.Length](t)(w.FreeLength(mm(8)))
		if p := must[units.Length](t)(w.Pitch(free)); p != mm(8) {
			t.Errorf("%v: pitch %v back", e, p)
		}
		n := must[float64](t)(valvetrain.PitchReading{Ends: e, Wire: mm(4), Pitch: mm(8), Free: free}.Total())
		near(t, e.String()+" total", n, 7.5, 1e-12)
		near(t, e.String()+" total from active", must[float64](t)(e.TotalFor(c.Active)), 7.5, 1e-15)
		if solid := must[units.Length](t)(w.FreeLength(mm(4))); solid != c.Solid.Value {
			t.Errorf("%v: with coils at the wire's pitch %v, solid %v", e, solid, c.Solid.Value)
		}
		worked(t, "winding", c.Working())
	}
}

// The uncertainty of the fitted spring at any height against differentiation
// of the force there by every reading, whatever the anchor.
func TestBenchUncertainty(t *testing.T) {
	b := valvetrain.Bench{
		{Height: units.WithU(mm(45), mm(0.02)), Force: units.WithU(units.Newtons(240), units.Newtons(9))},
		{Height: units.WithU(mm(39), mm(0.2)), Force: units.WithU(units.Newtons(420), units.Newtons(5))},
		{Height: units.WithU(mm(31), mm(0.05)), Force: units.WithU(units.Newtons(663), units.Newtons(14))},
	}
	l := must[valvetrain.BenchLine](t)(b.Line())
	if l.FromScatter || l.Freedom != 1 {
		t.Errorf("from scatter %v, freedom %d", l.FromScatter, l.Freedom)
	}
	worked(t, "bench", l.Working())
	for _, h := range []float64{47, 40, 33, 28} {
		force := func(b valvetrain.Bench) float64 {
			return must[units.Force](t)(must[valvetrain.BenchLine](t)(b.Line()).Spring.ForceAt(mm(h))).Newtons()
		}
		var u2 float64
		for i := range b {
			for _, r := range []valvetrain.LoadReading{
				{Height: exact(b[i].Height.U / 100)}, {Force: exact(b[i].Force.U / 100)},
			} {
				up, down := append(valvetrain.Bench{}, b...), append(valvetrain.Bench{}, b...)
				up[i].Height.Value += r.Height.Value
				up[i].Force.Value += r.Force.Value
				down[i].Height.Value -= r.Height.Value
				down[i].Force.Value -= r.Force.Value
				u2 += math.Pow((force(up)-force(down))*50, 2)
			}
		}
		got := must[valvetrain.SpringLoad](t)(l.Spring.LoadAt(mm(h))).Force.U.Newtons()
		// The height error of a reading acts through the line's slope; the
		// readings' own distance from the line, here under 1 %, is left out.
		near(t, "u of the force", got, math.Sqrt(u2), 0.01)
	}
}

// Readings on a line give it back exactly, in any order and in any number; one
// that is off is found.
func TestBenchLine(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := 2; n < 12; n++ {
		var b valvetrain.Bench
		for i := range n {
			h := 45 - float64(i) - r.Float64()/2
			b = append(b, valvetrain.LoadReading{Height: exact(mm(h)), Force: exact(units.Newtons(33.5 * (52.25 - mm(h).Millimeters())))})
		}
		r.Shuffle(n, func(i, j int) { b[i], b[j] = b[j], b[i] })
		l := must[valvetrain.BenchLine](t)(b.Line())
		near(t, "rate", l.Rate.Value.NewtonsPerMillimeter(), 33.5, 1e-9)
		near(t, "free", l.Free.Value.Millimeters(), 52.25, 1e-10)
		near(t, "share explained", l.RSquared, 1, 1e-12)
		if l.Rate.Stated != (n > 2) || l.Scatter > 1e-6 {
			t.Errorf("%d readings: stated %v, scatter %v", n, l.Rate.Stated, l.Scatter)
		}
		if n > 3 {
			b[n-2].Force.Value += 40
			if l = must[valvetrain.BenchLine](t)(b.Line()); l.Worst != n-2 && n > 5 {
				t.Errorf("%d readings: worst %d, want %d", n, l.Worst, n-2)
			}
		}
	}
}

// Height and force are inverse to each other for every kind of spring, and the
// force never grows with the height.
func TestHeightAndForce(t *testing.T) {
	curve := must[valvetrain.SpringCurve](t)(hive.Curve())
	single := func(s valvetrain.Spring) valvetrain.Nest {
		return valvetrain.Nest{Springs: []valvetrain.NestSpring{{Spring: s}}}
	}
	for name, n := range map[string]valvetrain.Nest{"linear": single(outer), "pair": pair, "beehive": single(curve), "nest in a nest": single(pair)} {
		last := units.Force(math.Inf(1))
		for h := n.SolidHeight().Value; h < mm(60); h += mm(0.37) {
			f := must[units.Force](t)(n.ForceAt(h))
			if f > last || f < 0 {
				t.Fatalf("%s: %v at %v after %v", name, f, h, last)
			}
			last = f
			l := must[valvetrain.SpringLoad](t)(n.LoadAt(h))
			near(t, name+" load", l.Force.Value.Newtons(), f.Newtons(), 1e-12)
			if f < 1 {
				continue
			}
			back := must[units.Length](t)(n.HeightAt(f))
			if (back - h).Abs() > units.Nanometer {
				t.Errorf("%s: %v back for %v", name, back, h)
			}
			step := units.Micrometer
			if lower, err := n.ForceAt(h - step); err == nil {
				// Where a coil closes within the step the slope lies between.
				slope := (lower - f).Newtons() / step.Meters()
				if after := must[valvetrain.SpringLoad](t)(n.LoadAt(h - step)); slope < float64(l.Rate)*(1-1e-6) || slope > float64(after.Rate)*(1+1e-6) {
					t.Errorf("%s at %v: slope %v, rates %v to %v", name, h, slope, l.Rate, after.Rate)
				}
			}
		}
	}
	for f := units.Newtons(10); f < 700; f += 37 {
		h := must[units.Length](t)(outer.HeightAt(f))
		near(t, "linear", must[units.Force](t)(outer.ForceAt(h)).Newtons(), f.Newtons(), 1e-8) // heights are whole picometers
	}
}

// One cylinder of a wound spring is the spring of Coil.Rate; a cone cut into
// many short cylinders is the cone.
func TestCurveOfCylinders(t *testing.T) {
	k := must[valvetrain.CoilRate](t)(wire4.Rate()).Rate.Value
	w := valvetrain.WoundSpring{Wire: mm(4), Shear: wire4.Shear.Value, Free: mm(50), Runs: []valvetrain.CoilRun{{Turns: 5.5, From: mm(26), To: mm(26), Gap: mm(4)}}}
	c := must[valvetrain.SpringCurve](t)(w.Curve())
	for x := 0.5; x < 22; x++ {
		near(t, "cylinder", must[units.Force](t)(c.ForceAt(mm(50-x))).Newtons(), k.NewtonsPerMillimeter()*x, 1e-9)
	}
	if got := must[units.Force](t)(c.ForceAt(mm(50))); got != 0 || c.FreeLength() != mm(50) || c.SolidHeight().Value != mm(28) {
		t.Errorf("free: %v, %v, solid %v", got, c.FreeLength(), c.SolidHeight())
	}
	cone := valvetrain.WoundSpring{Wire: mm(4), Shear: wire4.Shear.Value, Free: mm(45), Runs: []valvetrain.CoilRun{{Turns: 5, From: mm(20), To: mm(30), Gap: mm(3)}}}
	cut := cone
	cut.Runs = nil
	for i := range 100 {
		d := mm(20 + 10*(float64(i)+0.5)/100)
		cut.Runs = append(cut.Runs, valvetrain.CoilRun{Turns: 0.05, From: d, To: d, Gap: mm(3)})
	}
	a, b := must[valvetrain.SpringCurve](t)(cone.Curve()), must[valvetrain.SpringCurve](t)(cut.Curve())
	turned := cone
	turned.Runs = []valvetrain.CoilRun{{Turns: 5, From: mm(30), To: mm(20), Gap: mm(3)}}
	other := must[valvetrain.SpringCurve](t)(turned.Curve())
	for x := 0.3; x < 14.9; x += 0.4 {
		f := must[units.Force](t)(a.ForceAt(mm(45 - x)))
		near(t, "cone", f.Newtons(), must[units.Force](t)(b.ForceAt(mm(45-x))).Newtons(), 2e-3)
		near(t, "cone upside down", must[units.Force](t)(other.ForceAt(mm(45-x))).Newtons(), f.Newtons(), 1e-12)
	}
	near(t, "solid", must[units.Force](t)(a.ForceAt(mm(30))).Newtons(), 3*79300*256/(8*8000.), 1e-9)
}

// A nest is judged spring by spring: the step counts, a spring that binds has
// no open force, a loose one is named, and what is unknown is not judged.
func TestNestReport(t *testing.T) {
	in := stood
	in.LeastBind = units.Some(units.AtLeast(mm(1), own))
	r := must[valvetrain.NestReport](t)(pair.Check(in))
	near(t, "outer room", r.Springs[0].Room.Value.Value.Millimeters(), 42-12-25.8, 1e-12)
	near(t, "inner room", r.Springs[1].Room.Value.Value.Millimeters(), 42-2-12-24.9, 1e-12)
	near(t, "seat", r.Seat.Value.Newtons(), 320+140, 1e-12)
	near(t, "open", r.Open.Value.Value.Newtons(), 320+12*28+140+12*13, 1e-12)
	near(t, "rate", r.Rate.NewtonsPerMillimeter(), 41, 1e-12)
	if r.Tightest != 1 || r.Outcome != units.ProvedWithin || len(r.Cautions()) != 2 {
		t.Errorf("tightest %d, %v, %d cautions", r.Tightest, r.Outcome, len(r.Cautions()))
	}
	worked(t, "nest", r.Working())
	in.Lift.Value = mm(15.5)
	r = must[valvetrain.NestReport](t)(pair.Check(in))
	if r.Open.Given || r.Springs[1].Open.Given || !r.Springs[0].Open.Given || r.Outcome != units.ProvedOutside || len(r.Cautions()) != 3 || r.Rate != 0 {
		t.Errorf("a bound spring: %+v", r)
	}
	worked(t, "bound nest", r.Working())
	soft := pair
	soft.Damper = true
	soft.Springs = append([]valvetrain.NestSpring{}, pair.Springs...)
	soft.Springs[1].Step = -mm(12)
	unknown := outer
	unknown.Solid = units.Measured[units.Length]{}
	soft.Springs[0].Spring = unknown
	in.Lift.Value = mm(6)
	r = must[valvetrain.NestReport](t)(soft.Check(in))
	if !r.Springs[1].Loose || r.Springs[0].Room.Given || r.Springs[0].Bind.Given || r.Outcome != units.NotProved || !r.Damper || len(r.Cautions()) != 4 {
		t.Errorf("a loose spring: %+v, %v", r, r.Cautions())
	}
	if r.Tightest != 1 || soft.SolidHeight().Value != 0 {
		t.Errorf("tightest %d, solid %v", r.Tightest, soft.SolidHeight())
	}
	// Without stated uncertainties nothing is stated, and nothing proved.
	in = valvetrain.Installed{Height: exact(mm(42)), Lift: exact(mm(12)), LeastBind: in.LeastBind}
	r = must[valvetrain.NestReport](t)(pair.Check(in))
	if r.Seat.Stated || r.Open.Value.Stated || r.Springs[0].Room.Value.Stated || r.Outcome != units.NotProved {
		t.Errorf("unstated: %+v", r)
	}
}

// The uncertainty of a nest, whose springs share one height, against chance:
// heights and springs drawn 40,000 times.
func TestNestUncertaintyByChance(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	rep := must[valvetrain.NestReport](t)(pair.Check(stood))
	const n = 40000
	var sum, sum2 float64
	for range n {
		h := 42 + 0.1*r.NormFloat64() - 12 - 0.05*r.NormFloat64()
		f := 320 + 4*r.NormFloat64() + (28+0.3*r.NormFloat64())*(42-h) + 140 + 2*r.NormFloat64() + (13+0.2*r.NormFloat64())*(42-h)
		sum, sum2 = sum+f, sum2+f*f
	}
	mean := sum / n
	near(t, "u of the open force", rep.Open.Value.U.Newtons(), math.Sqrt(sum2/n-mean*mean), 0.02)
}
