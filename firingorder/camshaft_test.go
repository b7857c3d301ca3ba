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

// camNano rounds cam degrees in [0, 360) to the count of a cam angle.
func camNano(x *big.Rat) units.CamAngle {
	n := new(big.Rat).Mul(x, rat(2_000_000_000, 1))
	n.Add(n, rat(1, 2))
	return units.CamAngle(new(big.Int).Div(n.Num(), n.Denom()).Int64()) % units.CamTurn
}

// The cam is turned until each lobe stands under its follower: in space, positive
// in cam rotation, a lobe lies at its place on the cam plus half the crank
// angle. From that the place on the cam follows, and the differences are what the
// library answers. Intake noses stand ICL after, exhaust noses ECL before
// overlap TDC.
func TestCamLobesByTurningTheCam(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	for range 1500 {
		e, f := fired(t, rnd, fo.FourStroke)
		cfg := e.Layout().Config()
		c := fo.CamConfig{Direction: fo.WithCrank}
		sign := int64(1)
		if rnd.IntN(2) == 0 {
			c.Direction, sign = fo.AgainstCrank, -1
		}
		onBank := func(b string) bool {
			return slices.ContainsFunc(cfg.Cylinders, func(x fo.Cylinder) bool { return x.Bank == b })
		}
		if rnd.IntN(3) == 0 { // one bank only
			c.Banks = []string{cfg.Cylinders[rnd.IntN(len(cfg.Cylinders))].Bank}
		}
		follower := map[string][2]int64{} // degrees in crank rotation
		for _, b := range cfg.Banks {
			if len(c.Banks) > 0 && c.Banks[0] != b.Name || !onBank(b.Name) && rnd.IntN(2) == 0 && len(cfg.Banks) == 1 {
				continue
			}
			follower[b.Name] = [2]int64{int64(rnd.IntN(720) - 360), int64(rnd.IntN(720) - 360)}
			c.Followers = append(c.Followers, fo.Follower{Bank: b.Name, Intake: deg(t, follower[b.Name][0]), Exhaust: deg(t, follower[b.Name][1])})
		}
		if rnd.IntN(3) == 0 {
			c.Followers, follower = nil, map[string][2]int64{}
		}
		icl, ecl := int64(90+rnd.IntN(40)), int64(90+rnd.IntN(40))
		place := func(cy, valve int) *big.Rat {
			at := new(big.Rat).Add(f[cy-1], rat(360, 1)) // overlap TDC
			if valve == 0 {
				at.Add(at, rat(icl, 1))
			} else {
				at.Sub(at, rat(ecl, 1))
			}
			x := rat(sign*follower[cfg.Cylinders[cy-1].Bank][valve], 1)
			return x.Sub(x, at.Quo(at, rat(2, 1)))
		}
		lobes, err := e.CamLobes(c)
		if err != nil {
			t.Fatal(err)
		}
		var served []int
		for _, cy := range e.Order() {
			if len(c.Banks) == 0 || cfg.Cylinders[cy-1].Bank == c.Banks[0] {
				served = append(served, cy)
			}
		}
		if len(lobes) != len(served) || lobes[0].Cylinder != served[0] {
			t.Fatalf("%v serves %v: %v", c, served, lobes)
		}
		one := served[0]
		behind := rat(-1, 1)
		for _, l := range lobes {
			in := wrap(new(big.Rat).Sub(place(l.Cylinder, 0), place(one, 0)), 360)
			ex := wrap(new(big.Rat).Sub(place(l.Cylinder, 1), place(one, 1)), 360)
			across := wrap(new(big.Rat).Sub(place(l.Cylinder, 1), place(one, 0)), 360)
			lag := new(big.Rat).Sub(f[l.Cylinder-1], f[one-1])
			if l.Intake != camNano(in) || l.Exhaust != camNano(ex) || l.Lag != camNano(lag.Quo(lag, rat(2, 1))) {
				t.Fatalf("cylinder %d: %v, want intake %v, exhaust %v", l.Cylinder, l, in, ex)
			}
			sep := (units.CrankAngle(icl+ecl) * units.CrankDegree).Cam()
			if a, err := l.ExhaustAt(sep); err != nil || a != camNano(across) {
				t.Fatalf("cylinder %d: exhaust at %v, want %v, %v", l.Cylinder, a, across, err)
			}
			if w := l.Working(); len(w) != 3 {
				t.Fatal(w)
			}
			// Later in the list is later at a fixed point.
			next := wrap(in.Neg(in), 360)
			if next.Cmp(behind) < 0 {
				t.Fatalf("sequence of %v", lobes)
			}
			behind = next
		}
		if len(c.Followers) == 0 && len(c.Banks) == 0 { // one plane: the firing order
			for i, l := range lobes {
				if l.Cylinder != e.Order()[i] {
					t.Fatalf("lobes %v, order %v", lobes, e.Order())
				}
			}
		}
	}
}

func TestCamLobesRefuse(t *testing.T) {
	v := engine(t, vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(t), "1-8-4-3-6-5-7-2")
	two, err := fo.NewEngine(fo.EngineConfig{Layout: inline(t, fo.ThreeEven, false), Order: order(t, "1-2-3"), Cycle: fo.TwoStroke})
	if err != nil {
		t.Fatal(err)
	}
	spare := inline(t, fo.TwoParallel, false).Config()
	spare.Banks = append(spare.Banks, fo.Bank{Name: "spare"})
	l, err := fo.NewLayout(spare)
	if err != nil {
		t.Fatal(err)
	}
	twin := engine(t, l, "1-2")
	with := fo.WithCrank
	for name, c := range map[string]struct {
		e      *fo.Engine
		config fo.CamConfig
		field  string
		kind   error
	}{
		"nothing":                        {v, fo.CamConfig{}, "Direction", units.ErrMissing},
		"unknown direction":              {v, fo.CamConfig{Direction: 3}, "Direction", units.ErrRange},
		"no engine":                      {nil, fo.CamConfig{Direction: with}, "engine", units.ErrMissing},
		"zero engine":                    {&fo.Engine{}, fo.CamConfig{Direction: with}, "engine", units.ErrMissing},
		"two-stroke":                     {two, fo.CamConfig{Direction: with}, "Cycle", units.ErrImpossible},
		"unknown bank":                   {v, fo.CamConfig{Direction: with, Banks: []string{"C"}}, "Banks[0]", units.ErrRange},
		"bank twice":                     {v, fo.CamConfig{Direction: with, Banks: []string{"A", "A"}}, "Banks[1]", units.ErrConflict},
		"bank with nothing":              {twin, fo.CamConfig{Direction: with, Banks: []string{"spare"}}, "Banks", units.ErrImpossible},
		"followers of no bank":           {v, fo.CamConfig{Direction: with, Followers: []fo.Follower{{Bank: "C"}}}, "Followers[0]", units.ErrRange},
		"followers twice":                {v, fo.CamConfig{Direction: with, Followers: []fo.Follower{{Bank: "A"}, {Bank: "A"}}}, "Followers[1]", units.ErrConflict},
		"followers missing":              {v, fo.CamConfig{Direction: with, Followers: []fo.Follower{{Bank: "A"}}}, "Followers", units.ErrMissing},
		"followers of a bank not served": {v, fo.CamConfig{Direction: with, Banks: []string{"A"}, Followers: []fo.Follower{{Bank: "B"}}}, "Followers[0]", units.ErrConflict},
	} {
		got, err := c.e.CamLobes(c.config)
		refused(t, name, got != nil, err, c.field, c.kind)
	}
	lobes, err := v.CamLobes(fo.CamConfig{Direction: with})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []units.CamAngle{0, -1, units.CamTurn / 2, math.MaxInt64, math.MinInt64} {
		a, err := lobes[0].ExhaustAt(s)
		refused(t, s.String(), a != 0, err, "separation", units.ErrRange)
	}
	a, err := (fo.CamLobe{}).ExhaustAt(110 * units.CamDegree)
	refused(t, "zero lobe", a != 0, err, "lobe", units.ErrMissing)
	if (fo.CamLobe{}).Working() != nil || (fo.CamRing{}).Working() != nil {
		t.Error("zero values have working")
	}
}

// The ring is turned through two turns of the crank: under the follower of every
// cylinder exactly one lobe passes, at the firing angle of the cylinder.
func TestRadialCamRingByTurningIt(t *testing.T) {
	for _, n := range []int64{3, 5, 7, 9, 11, 13, 27} {
		for _, d := range []fo.CamDirection{fo.WithCrank, fo.AgainstCrank} {
			r, err := fo.RadialCamRing(int(n), d)
			if err != nil {
				t.Fatal(err)
			}
			sign := int64(1)
			if d == fo.AgainstCrank {
				sign = -1
			}
			seen := 0
			for k := range n { // cylinder at k/n of a turn; fires at 2j/n with 2j = k mod n
				fires := rat(k+n*(k%2), n)
				for lobe := range int64(r.Lobes) {
					// lobe/L + sign t/D = k/n mod 1, one solution in t for each whole number m
					for m := int64(-70); m <= 70; m++ {
						x := rat(k, n)
						x.Sub(x, rat(lobe, int64(r.Lobes))).Add(x, rat(m, 1)).Mul(x, rat(sign*int64(r.SpeedDivisor), 1))
						if x.Sign() >= 0 && x.Cmp(rat(2, 1)) < 0 {
							seen++
							if x.Cmp(fires) != 0 {
								t.Fatalf("%d cylinders %v: lobe under cylinder %d after %v turns, want %v", n, d, k+1, x, fires)
							}
						}
					}
				}
			}
			if seen != int(n) {
				t.Errorf("%d cylinders %v: %d lobes passed", n, d, seen)
			}
			// The printed sum: step +- ring = pitch.
			sum := r.CylinderStep.Angle() - units.CrankAngle(sign)*r.RingStep.Angle()
			if diff := sum - r.LobePitch.Angle(); diff.Abs() > 2 {
				t.Errorf("%d cylinders %v: %v, want %v", n, d, sum, r.LobePitch.Angle())
			}
			if len(r.Working()) != 2 {
				t.Error("working")
			}
		}
	}
}

func TestRadialCamRingRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		n     int
		d     fo.CamDirection
		field string
		kind  error
	}{
		"even":         {8, fo.WithCrank, "cylinders", units.ErrImpossible},
		"none":         {0, fo.WithCrank, "cylinders", units.ErrRange},
		"one":          {1, fo.WithCrank, "cylinders", units.ErrRange},
		"negative":     {-9, fo.WithCrank, "cylinders", units.ErrRange},
		"too many":     {65, fo.WithCrank, "cylinders", units.ErrRange},
		"no direction": {9, fo.CamDirectionUnstated, "Direction", units.ErrMissing},
		"unknown":      {9, 3, "Direction", units.ErrRange},
	} {
		r, err := fo.RadialCamRing(c.n, c.d)
		refused(t, name, r != fo.CamRing{}, err, c.field, c.kind)
	}
	if fo.WithCrank.String() != "with the crank" || fo.CamDirection(9).String() != "9" || fo.ExhaustValve.String() != "exhaust" || fo.AtTDC.String() != "at TDC" {
		t.Error("names")
	}
}

func BenchmarkCamLobes(b *testing.B) {
	e := engine(b, vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(b), "1-8-4-3-6-5-7-2")
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		l, err := e.CamLobes(fo.CamConfig{Direction: fo.WithCrank})
		if err != nil {
			b.Fatal(err)
		}
		n += len(l)
	}
	_ = n
}
