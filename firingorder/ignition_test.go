package firingorder_test

import (
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// By definition on fractions: a pair for each cylinder that fires in the first
// turn and one that fires exactly one turn later, or a refusal that names the
// first cylinder without.
func TestLostSparkPairs(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	pairs, refusals := 0, 0
	for range 3000 {
		e, f := fired(t, rnd, fo.FourStroke)
		var want []fo.SparkPair
		blocked := 0
		for _, c := range e.Order() {
			partner := slices.IndexFunc(f, func(x *big.Rat) bool {
				d := new(big.Rat).Sub(x, f[c-1])
				return d.Abs(d).Cmp(rat(360, 1)) == 0
			}) + 1
			if partner == 0 {
				blocked = c
				break
			}
			if f[c-1].Cmp(rat(360, 1)) < 0 {
				want = append(want, fo.SparkPair{First: c, Second: partner, At: nano(t, f[c-1])})
			}
		}
		got, err := e.LostSparkPairs()
		if blocked > 0 {
			refusals++
			refused(t, "no companion", got != nil, err, "cylinder", units.ErrImpossible)
			if err != nil && !strings.Contains(err.Error(), `"`+fo.Order{blocked}.String()+`"`) {
				t.Fatalf("%v does not name cylinder %d", err, blocked)
			}
			continue
		}
		pairs++
		if err != nil || !slices.Equal(got, want) {
			t.Fatalf("%v: %v, want %v, %v", e.Order(), got, want, err)
		}
	}
	if pairs < 20 || refusals < 500 {
		t.Errorf("%d with pairs, %d without", pairs, refusals)
	}
	two, err := fo.NewEngine(fo.EngineConfig{Layout: inline(t, fo.ThreeEven, false), Order: order(t, "1-2-3"), Cycle: fo.TwoStroke})
	if err != nil {
		t.Fatal(err)
	}
	p, err := two.LostSparkPairs()
	refused(t, "two-stroke", p != nil, err, "Cycle", units.ErrImpossible)
}

// The rotor is turned to each firing: it must point at the terminal of the
// cylinder, and terminals must follow each other in its sense.
func TestDistributorByTurningTheRotor(t *testing.T) {
	rnd := rand.New(rand.NewPCG(9, 10))
	for i := range 2000 {
		cycle, per := fo.FourStroke, int64(720)
		if i%4 == 0 {
			cycle, per = fo.TwoStroke, 360
		}
		e, f := fired(t, rnd, cycle)
		rotor := fo.Clockwise
		if i%2 == 0 {
			rotor = fo.CounterClockwise
		}
		d, err := e.Distributor(rotor)
		if err != nil || len(d.Terminals) != len(f) || len(d.Working()) != len(f) {
			t.Fatal(d, err)
		}
		if d.SpeedRatio != 360/float64(per) {
			t.Fatalf("ratio %v", d.SpeedRatio)
		}
		for k, x := range d.Terminals {
			if x.Cylinder != e.Order()[k] || x.Fires != nano(t, f[x.Cylinder-1]) {
				t.Fatalf("terminal %d is %v", k, x)
			}
			// Degrees by which the rotor has turned in its own sense, then clockwise.
			own := new(big.Rat).Mul(f[x.Cylinder-1], rat(360, per))
			cw := new(big.Rat).Set(own)
			if rotor == fo.CounterClockwise {
				cw = wrap(cw.Neg(cw), 360)
			}
			if x.FromOne.Angle() != nano(t, own) || x.Clockwise.Angle() != nano(t, cw) {
				t.Fatalf("terminal of %d at %v, clockwise %v, want %v, %v", x.Cylinder, x.FromOne, x.Clockwise, own, cw)
			}
		}
	}
}

func TestDistributorRefuses(t *testing.T) {
	e := engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4")
	d, err := e.Distributor(fo.RotationUnstated)
	refused(t, "no sense", d.Terminals != nil, err, "rotor", units.ErrMissing)
	d, err = e.Distributor(3)
	refused(t, "unknown sense", d.Terminals != nil, err, "rotor", units.ErrRange)
	var none *fo.Engine
	for name, e := range map[string]*fo.Engine{"nil": none, "zero": {}} {
		d, err = e.Distributor(fo.Clockwise)
		refused(t, name, d.Terminals != nil, err, "engine", units.ErrMissing)
		p, err := e.LostSparkPairs()
		refused(t, name, p != nil, err, "engine", units.ErrMissing)
	}
	if (fo.Distributor{}).Working() != nil {
		t.Error("no distributor has working")
	}
}

func BenchmarkDistributor(b *testing.B) {
	e := engine(b, inline(b, fo.SixEven, false), "1-5-3-6-2-4")
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		d, err := e.Distributor(fo.Clockwise)
		if err != nil {
			b.Fatal(err)
		}
		n += len(d.Terminals)
	}
	_ = n
}
