package firingorder_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// fired makes a random engine with the firing angles that the definition gives
// it, by cylinder - 1, kept apart from the package.
func fired(t *testing.T, rnd *rand.Rand, cycle fo.Cycle) (*fo.Engine, []*big.Rat) {
	t.Helper()
	for {
		r := random(rnd)
		n := len(r.bank)
		f := make([]*big.Rat, n)
		o := make([]int, n)
		for i := range f {
			o[i], f[i] = i+1, r.tdc(i+1)
			if i > 0 && cycle == fo.FourStroke && rnd.IntN(2) == 0 {
				f[i].Add(f[i], rat(360, 1))
			}
		}
		slices.SortFunc(o, func(a, b int) int { return f[a-1].Cmp(f[b-1]) })
		second, together := 0, false
		if cycle == fo.FourStroke {
			second = 1
		}
		for i, c := range o {
			if second == 1 && f[c-1].Cmp(rat(360, 1)) >= 0 {
				second = c
			}
			together = together || i > 0 && f[c-1].Cmp(f[o[i-1]-1]) == 0
		}
		if together {
			continue
		}
		e, err := fo.NewEngine(fo.EngineConfig{Layout: r.layout(t), Order: o, Cycle: cycle, SecondTurnFrom: second})
		if err != nil {
			t.Fatal(err)
		}
		return e, f
	}
}

// Scanned: the first firing angle of this cycle or the next that is over the
// angle, on the rounded firing angles.
func TestNextToFireScanned(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for i := range 3000 {
		cycle, full := fo.FourStroke, units.CrankCycle
		if i%3 == 0 {
			cycle, full = fo.TwoStroke, units.CrankTurn
		}
		e, f := fired(t, rnd, cycle)
		at := units.CrankAngle(rnd.Int64N(int64(4*full))) - 2*full
		if rnd.IntN(2) == 0 { // often exactly where one fires
			at = nano(t, f[rnd.IntN(len(f))]) - full
		}
		want := fo.NextFiring{In: math.MaxInt64}
		for c := range f {
			for k := units.CrankAngle(-3); k <= 4; k++ {
				if d := nano(t, f[c]) + k*full - at; d > 0 && d < want.In {
					want.Cylinder, want.In = c+1, d
				}
			}
		}
		got, err := e.NextToFire(at)
		if err != nil || got.Cylinder != want.Cylinder || got.In != want.In {
			t.Fatalf("%v at %v: %d in %v, want %d in %v, %v", e.Order(), at, got.Cylinder, got.In, want.Cylinder, want.In, err)
		}
		if w := got.Working(); len(w) != 2 || w[1].Value != got.In.String() {
			t.Fatal(w)
		}
		// There it fires.
		p, err := e.PhaseAt(got.Cylinder, at+got.In)
		if err != nil || cycle == fo.FourStroke && p.Angle != -units.CrankTurn || cycle == fo.TwoStroke && p.Angle != 0 {
			t.Fatalf("cylinder %d stands at %v, %v", got.Cylinder, p.Angle, err)
		}
	}
}

func TestNextToFireAtTheEndsOfTheRange(t *testing.T) {
	e := engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4")
	for _, at := range []units.CrankAngle{math.MaxInt64, -math.MaxInt64, math.MinInt64} {
		rest := new(big.Int).Mod(big.NewInt(int64(at)), big.NewInt(int64(units.CrankCycle))).Int64()
		step := int64(120 * units.CrankDegree)
		want := units.CrankAngle(step - rest%step)
		if n, err := e.NextToFire(at); err != nil || n.In != want || n.Cylinder != e.Order()[(rest/step+1)%6] {
			t.Errorf("at %d: %v in %v, want in %v, %v", int64(at), n.Cylinder, n.In, want, err)
		}
	}
}

func TestAppendPhasesIsPhaseAt(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 300 {
		e, f := fired(t, rnd, fo.Cycle(rnd.IntN(2)))
		at := units.CrankAngle(rnd.Int64() - rnd.Int64())
		kept := fo.Phase{Stroke: fo.Exhaust}
		p, err := e.AppendPhases([]fo.Phase{kept}, at)
		if err != nil || len(p) != len(f)+1 || p[0] != kept {
			t.Fatal(p, err)
		}
		for c := 1; c <= len(f); c++ {
			if want, err := e.PhaseAt(c, at); err != nil || p[c] != want {
				t.Fatalf("cylinder %d: %v, want %v, %v", c, p[c], want, err)
			}
		}
	}
}

// In an even four-stroke six, three power strokes begin in each turn, so that
// over a cycle one or two cylinders are on power at every angle: 180 of each 120.
func TestSomeCylinderIsAlwaysOnPower(t *testing.T) {
	e := engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4")
	for d := range units.CrankAngle(720) {
		p, err := e.AppendPhases(nil, d*units.CrankDegree)
		if err != nil {
			t.Fatal(err)
		}
		count := 0
		for _, x := range p {
			if x.Stroke == fo.Power {
				count++
			}
		}
		want := 1
		if d%120 < 60 { // the one before still has 60 degrees to go
			want = 2
		}
		if count != want {
			t.Errorf("at %d: %d cylinders on power, want %d", d, count, want)
		}
	}
}

func TestStrokesOfNoEngine(t *testing.T) {
	var none *fo.Engine
	for name, e := range map[string]*fo.Engine{"nil": none, "zero": {}} {
		dst := make([]fo.Phase, 1, 8)
		p, err := e.AppendPhases(dst, 0)
		if len(p) != 1 {
			t.Error(name, p)
		}
		refused(t, name, false, err, "engine", units.ErrMissing)
		n, err := e.NextToFire(0)
		refused(t, name, n != fo.NextFiring{}, err, "engine", units.ErrMissing)
	}
	if (fo.NextFiring{}).Working() != nil {
		t.Error("no firing has working")
	}
}

func TestStrokesDoNotAllocate(t *testing.T) {
	e := engine(t, vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(t), "1-7-5-11-3-9-6-12-2-8-4-10")
	dst := make([]fo.Phase, 0, 12)
	at := units.CrankAngle(0)
	if n := testing.AllocsPerRun(100, func() {
		at += 7 * units.CrankDegree
		if _, err := e.AppendPhases(dst, at); err != nil {
			t.Fatal(err)
		}
		if _, err := e.NextToFire(at); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkAppendPhases(b *testing.B) {
	e := engine(b, vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(b), "1-7-5-11-3-9-6-12-2-8-4-10")
	dst := make([]fo.Phase, 0, 12)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		i++
		p, err := e.AppendPhases(dst, units.CrankAngle(i)*units.CrankDegree)
		if err != nil {
			b.Fatal(err)
		}
		sink.phase = p[i%12]
	}
}

func BenchmarkNextToFire(b *testing.B) {
	e := engine(b, vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(b), "1-7-5-11-3-9-6-12-2-8-4-10")
	b.ReportAllocs()
	i, n := 0, 0
	for b.Loop() {
		i++
		x, err := e.NextToFire(units.CrankAngle(i) * units.CrankDegree)
		if err != nil {
			b.Fatal(err)
		}
		n += x.Cylinder
	}
	_ = n
}
