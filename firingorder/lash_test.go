package firingorder_test

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

const oneDeg = units.CrankDegree

// printed are the windows that reproduce the printed two-position lists: intake
// closed from 640 through 720 to 270, exhaust from 440 to 80 crank degrees after
// firing.
func printed() []fo.ClosedValves {
	return []fo.ClosedValves{{
		Intake:  fo.Window{From: 280 * oneDeg, To: -90 * oneDeg},
		Exhaust: fo.Window{From: 80 * oneDeg, To: -280 * oneDeg},
	}}
}

// shut is the definition kept apart from the package: firing angle and window in
// degrees as fractions, and how far a position is from the nearer end.
type shut struct {
	cylinder       int
	valve          fo.Valve
	from, duration *big.Rat // after firing TDC of cylinder 1
}

// room returns the degrees to the nearer end, negative outside.
func (s shut) room(at *big.Rat) *big.Rat {
	d := wrap(new(big.Rat).Sub(at, s.from), 720)
	left := new(big.Rat).Sub(s.duration, d)
	if left.Cmp(d) < 0 {
		return left
	}
	return d
}

func shutValves(c fo.LashSetting, f []*big.Rat) []shut {
	var all []shut
	for i := range f {
		w := c.Closed[0]
		if len(c.Closed) > 1 {
			w = c.Closed[i]
		}
		for v, x := range []fo.Window{w.Intake, w.Exhaust} {
			from := rat(int64(x.From), int64(oneDeg))
			from.Add(from, f[i]).Add(from, rat(360, 1))
			all = append(all, shut{i + 1, fo.IntakeValve + fo.Valve(v), wrap(from, 720), wrap(rat(int64(x.To-x.From), int64(oneDeg)), 720)})
		}
	}
	return all
}

// setting makes a random engine with random windows on multiples of 5 degrees, one
// for all or one for each cylinder.
func setting(t *testing.T, rnd *rand.Rand) (fo.LashSetting, []*big.Rat) {
	t.Helper()
	e, f := fired(t, rnd, fo.FourStroke)
	c := fo.LashSetting{Engine: e, Margin: units.CrankAngle(rnd.IntN(5)) * 10 * oneDeg}
	n := 1
	if rnd.IntN(3) == 0 {
		n = len(f)
	}
	for range n {
		var w [2]fo.Window
		for v := range w {
			from := units.CrankAngle(5*rnd.IntN(144)-360) * oneDeg
			w[v] = fo.Window{From: from, To: from + units.CrankAngle(60+5*rnd.IntN(88))*oneDeg}
			if w[v].To > units.CrankCycle || w[v].To > units.CrankTurn && rnd.IntN(2) == 0 {
				w[v].To -= units.CrankCycle
			}
		}
		c.Closed = append(c.Closed, fo.ClosedValves{Intake: w[0], Exhaust: w[1]})
	}
	return c, f
}

func inDegrees(a units.CrankAngle) *big.Rat { return rat(int64(a), int64(oneDeg)) }

// floorNano rounds degrees down to the count of a crank angle.
func floorNano(x *big.Rat) units.CrankAngle {
	n := new(big.Rat).Mul(x, inDegrees(oneDeg*oneDeg))
	return units.CrankAngle(new(big.Int).Div(n.Num(), n.Denom()).Int64())
}

func TestAppendFreeByDefinition(t *testing.T) {
	rnd := rand.New(rand.NewPCG(13, 14))
	for range 300 {
		c, f := setting(t, rnd)
		all := shutValves(c, f)
		for range 12 {
			at := units.CrankAngle(rnd.IntN(3000)-1500) * oneDeg
			if rnd.IntN(2) == 0 { // on an end, to the count
				s := all[rnd.IntN(len(all))]
				end := s.from
				if rnd.IntN(2) == 0 {
					end = new(big.Rat).Add(s.from, s.duration)
				}
				at = nano(t, end) + units.CrankAngle(rnd.IntN(3)-1)
			}
			var want []fo.FreeValve
			for _, s := range all {
				if r := s.room(inDegrees(at)); r.Sign() >= 0 && r.Cmp(inDegrees(c.Margin)) >= 0 {
					want = append(want, fo.FreeValve{Cylinder: s.cylinder, Valve: s.valve, Room: floorNano(r)})
				}
			}
			got, err := c.AppendFree(nil, at)
			if err != nil || !slices.Equal(got, want) {
				t.Fatalf("%v at %v: %v, want %v, %v", c.Closed, at, got, want, err)
			}
		}
	}
}

// fewest answers the same question by trying: the fewest of the positions such
// that every window holds one with the margin, over sets of valves as bits; 0 for
// none.
func fewest(all []shut, margin *big.Rat, positions []*big.Rat) int {
	full := 1<<len(all) - 1
	masks := map[int]bool{}
	for _, p := range positions {
		m := 0
		for i, s := range all {
			if r := s.room(p); r.Sign() >= 0 && r.Cmp(margin) >= 0 {
				m |= 1 << i
			}
		}
		masks[m] = true
	}
	for m := range masks { // what another position does better is not needed
		for o := range masks {
			if m != o && m&^o == 0 {
				delete(masks, m)
			}
		}
	}
	reached := map[int]bool{0: true}
	for count := 1; count <= len(all); count++ {
		next := map[int]bool{}
		for r := range reached {
			for m := range masks {
				if r|m == full {
					return count
				}
				next[r|m] = true
			}
		}
		reached = next
	}
	return 0
}

// grid is every third degree of the cycle and every end of a window with the
// margin taken off: the covers of the continuum and more.
func grid(all []shut, margin *big.Rat) []*big.Rat {
	var g []*big.Rat
	for d := range int64(240) {
		g = append(g, rat(3*d, 1))
	}
	for _, s := range all {
		from := new(big.Rat).Add(s.from, margin)
		to := new(big.Rat).Add(s.from, s.duration)
		g = append(g, wrap(from, 720), wrap(to.Sub(to, margin), 720))
	}
	return g
}

// soundPlan checks that a plan sets each valve once, where it is free, with the room
// that it tells.
func soundPlan(t *testing.T, c fo.LashSetting, p fo.LashPlan, all []shut) {
	t.Helper()
	set := map[string]bool{}
	least := units.CrankCycle
	for _, at := range p.Positions {
		if at.At < 0 || at.At >= units.CrankCycle {
			t.Fatalf("position %v", at.At)
		}
		for _, f := range at.Set {
			i := slices.IndexFunc(all, func(s shut) bool { return s.cylinder == f.Cylinder && s.valve == f.Valve })
			r := all[i].room(inDegrees(at.At))
			for _, next := range []units.CrankAngle{at.At - 1, at.At + 1} { // the position is rounded
				if x := all[i].room(inDegrees(next)); r.Sign() < 0 {
					r = x
				}
			}
			off := floorNano(r) - f.Room
			if r.Cmp(inDegrees(c.Margin-1)) < 0 || off < -1 || off > 1 {
				t.Fatalf("%v valve of %d at %v has room %v, told %v", f.Valve, f.Cylinder, at.At, r, f.Room)
			}
			key := fmt.Sprint(f.Cylinder, f.Valve)
			if set[key] {
				t.Fatalf("%s is set twice", key)
			}
			set[key] = true
			least = min(least, f.Room)
		}
	}
	if len(set) != len(all) || p.Room != least || p.Room < c.Margin || len(p.Working()) != len(p.Positions) {
		t.Fatalf("%d of %d valves are set, room %v, told %v", len(set), len(all), least, p.Room)
	}
}

func TestShortestPlanAgainstEveryCover(t *testing.T) {
	rnd := rand.New(rand.NewPCG(15, 16))
	counts, refusals := map[int]int{}, 0
	for range 150 {
		c, f := setting(t, rnd)
		if len(f) > 5 {
			continue
		}
		all := shutValves(c, f)
		want := fewest(all, inDegrees(c.Margin), grid(all, inDegrees(c.Margin)))
		p, err := c.ShortestPlan(fo.PlanRule{})
		if want == 0 {
			refusals++
			if err == nil || p.Positions != nil {
				t.Fatalf("%v: %v, but a valve is free nowhere", c, p)
			}
			continue
		}
		if err != nil || len(p.Positions) != want {
			t.Fatalf("%v margin %v: %d positions, want %d, %v", c.Closed, c.Margin, len(p.Positions), want, err)
		}
		counts[want]++
		soundPlan(t, c, p, all)
		// No plan of that count has more room: one count more and more are needed.
		more := inDegrees(p.Room + 1)
		if n := fewest(all, more, grid(all, more)); n == want {
			t.Fatalf("%v margin %v: a plan of %d has more room than %v", c.Closed, c.Margin, want, p.Room)
		}
		if p.Room > c.Margin {
			less := inDegrees(p.Room)
			if n := fewest(all, less, grid(all, less)); n != want {
				t.Fatalf("%v: no plan of %d has room %v", c.Closed, want, p.Room)
			}
		}
	}
	if len(counts) < 4 {
		t.Errorf("counts %v, %d refused: want more kinds of plans", counts, refusals)
	}
	t.Log("plans by count", counts, "refused", refusals)
}

func TestShortestPlanAtPermittedPositions(t *testing.T) {
	rnd := rand.New(rand.NewPCG(17, 18))
	made, refusals := 0, 0
	for i := range 200 {
		c, f := setting(t, rnd)
		if len(f) > 5 {
			continue
		}
		all := shutValves(c, f)
		var permitted []*big.Rat
		r := fo.PlanRule{Positions: fo.AtTDC}
		if i%2 == 0 {
			r.Positions = fo.AtMarks
			for range 1 + rnd.IntN(6) {
				m := int64(rnd.IntN(800) - 400)
				r.Marks = append(r.Marks, units.CrankAngle(m)*oneDeg)
				permitted = append(permitted, wrap(rat(m, 1), 720), wrap(rat(m+360, 1), 720))
			}
		} else {
			for _, x := range f {
				permitted = append(permitted, x, wrap(new(big.Rat).Add(x, rat(360, 1)), 720))
			}
		}
		want := fewest(all, inDegrees(c.Margin), permitted)
		p, err := c.ShortestPlan(r)
		if want == 0 {
			refusals++
			if p.Positions != nil || err == nil || !strings.Contains(err.Error(), "valve of cylinder") {
				t.Fatalf("%v, %v", p, err)
			}
			continue
		}
		made++
		if err != nil || len(p.Positions) != want {
			t.Fatalf("%v %v margin %v: %d positions, want %d, %v", c.Closed, r, c.Margin, len(p.Positions), want, err)
		}
		soundPlan(t, c, p, all)
		for _, at := range p.Positions {
			if !slices.ContainsFunc(permitted, func(x *big.Rat) bool { return nano(t, x) == at.At }) {
				t.Fatalf("%v is no permitted position", at.At)
			}
		}
	}
	if made < 20 || refusals < 20 {
		t.Errorf("%d plans, %d refused", made, refusals)
	}
}

// With whole cylinders the windows are the parts around firing TDC in which both
// valves are closed.
func TestWholeCylindersAgainstEveryCover(t *testing.T) {
	rnd := rand.New(rand.NewPCG(21, 22))
	made, refusals, open := 0, 0, 0
	for range 250 {
		c, f := setting(t, rnd)
		if len(f) > 5 {
			continue
		}
		if rnd.IntN(5) > 0 { // mostly windows that a cam could leave
			w := func(from, to int) fo.Window {
				return fo.Window{From: units.CrankAngle(from+5*rnd.IntN(30)) * oneDeg, To: units.CrankAngle(to-5*rnd.IntN(30)) * oneDeg}
			}
			c.Closed, c.Margin = []fo.ClosedValves{{Intake: w(200, -30), Exhaust: w(20, -200)}}, units.CrankAngle(rnd.IntN(7))*20*oneDeg
		}
		all := shutValves(c, f)
		var both []shut
		for i := range f {
			back, ahead := rat(720, 1), rat(720, 1)
			for _, s := range all[2*i : 2*i+2] {
				d := wrap(new(big.Rat).Sub(f[i], s.from), 720)
				if d.Cmp(back) < 0 {
					back = d
				}
				if left := new(big.Rat).Sub(s.duration, d); left.Cmp(ahead) < 0 {
					ahead = left
				}
			}
			if ahead.Sign() >= 0 {
				both = append(both, shut{i + 1, fo.ValveUnstated, wrap(new(big.Rat).Sub(f[i], back), 720), back.Add(back, ahead)})
			}
		}
		p, err := c.ShortestPlan(fo.PlanRule{WholeCylinders: true})
		want := 0
		if len(both) == len(f) {
			want = fewest(both, inDegrees(c.Margin), grid(both, inDegrees(c.Margin)))
		} else {
			open++
		}
		if want == 0 {
			refusals++
			if p.Positions != nil || !errors.Is(err, units.ErrImpossible) {
				t.Fatalf("%v, %v", p, err)
			}
			continue
		}
		made++
		if err != nil || len(p.Positions) != want {
			t.Fatalf("%v margin %v: %d positions, want %d, %v", c.Closed, c.Margin, len(p.Positions), want, err)
		}
		soundPlan(t, c, p, all)
		for _, at := range p.Positions {
			for i := 0; i < len(at.Set); i += 2 {
				if at.Set[i].Cylinder != at.Set[i+1].Cylinder {
					t.Fatalf("one valve of a cylinder is set at %v: %v", at.At, at.Set)
				}
			}
		}
		more := inDegrees(p.Room + 1)
		if n := fewest(both, more, grid(both, more)); n == want {
			t.Fatalf("a plan of %d has more room than %v", want, p.Room)
		}
	}
	if made < 20 || refusals-open < 5 || open < 20 {
		t.Errorf("%d plans, %d refused, %d of them open at firing TDC", made, refusals, open)
	}
}

// Positions, rooms and refusals of the fixed plans against the definition.
func TestFixedPlansByDefinition(t *testing.T) {
	rnd := rand.New(rand.NewPCG(19, 20))
	outcomes := map[string]int{}
	six := engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4")
	for i := range 3000 {
		c, f := setting(t, rnd)
		if i%5 == 0 {
			c.Engine, c.Closed, f = six, c.Closed[:1], nil
			for _, d := range []int64{0, 480, 240, 600, 120, 360} {
				f = append(f, rat(d, 1))
			}
		}
		all := shutValves(c, f)
		of := func(cy int, v fo.Valve) shut { return all[2*(cy-1)+int(v-fo.IntakeValve)] }
		free := func(s shut, at *big.Rat) bool {
			r := s.room(at)
			return r.Sign() >= 0 && r.Cmp(inDegrees(c.Margin)) >= 0
		}
		// Two positions one turn apart.
		first := 1 + rnd.IntN(len(f))
		can := true
		for _, s := range all {
			can = can && (free(s, f[first-1]) || free(s, new(big.Rat).Add(f[first-1], rat(360, 1))))
		}
		p, err := c.TwoPositions(first)
		if (err == nil) != can {
			t.Fatalf("two positions: %v, want %v", err, can)
		}
		if can {
			outcomes["two"]++
			soundPlan(t, c, p, all)
			if len(p.Positions) != 2 || p.Positions[0].Firing != first || p.Positions[1].Overlap != first {
				t.Fatalf("positions %v", p.Positions)
			}
		}
		// One at a time.
		can = true
		at := map[string]units.CrankAngle{}
		for cy := 1; cy <= len(f); cy++ {
			in, ex := of(cy, fo.IntakeValve), of(cy, fo.ExhaustValve)
			opens := wrap(new(big.Rat).Add(ex.from, ex.duration), 720)
			can = can && free(in, opens) && free(ex, in.from)
			at[fmt.Sprint(cy, fo.IntakeValve)] = nano(t, opens) % units.CrankCycle
			at[fmt.Sprint(cy, fo.ExhaustValve)] = nano(t, in.from) % units.CrankCycle
		}
		p, err = c.OneAtATime()
		if (err == nil) != can {
			t.Fatalf("one at a time: %v, want %v", err, can)
		}
		if can {
			outcomes["one"]++
			soundPlan(t, c, p, all)
			last := units.CrankAngle(0)
			for _, x := range p.Positions {
				if x.At < last || len(x.Set) != 1 || at[fmt.Sprint(x.Set[0].Cylinder, x.Set[0].Valve)] != x.At {
					t.Fatalf("positions %v, want %v", p.Positions, at)
				}
				last = x.At
			}
		}
		// At overlap of the companion.
		can = true
		for cy := range f {
			can = can && free(all[2*cy], f[cy]) && free(all[2*cy+1], f[cy]) && slices.ContainsFunc(f, func(x *big.Rat) bool {
				d := new(big.Rat).Sub(x, f[cy])
				return d.Abs(d).Cmp(rat(360, 1)) == 0
			})
		}
		p, err = c.AtOverlap()
		if (err == nil) != can {
			t.Fatalf("at overlap: %v, want %v", err, can)
		}
		if can {
			outcomes["overlap"]++
			soundPlan(t, c, p, all)
			for i, x := range p.Positions {
				k, err := c.Engine.CompanionOf(x.Firing)
				if err != nil || x.Firing != c.Engine.Order()[i] || x.Overlap != k.Cylinder || x.At != nano(t, f[x.Firing-1]) || len(x.Set) != 2 {
					t.Fatalf("position %v, %v", x, err)
				}
			}
		}
	}
	for _, k := range []string{"two", "one", "overlap"} {
		if outcomes[k] < 10 {
			t.Errorf("only %d plans of kind %q", outcomes[k], k)
		}
	}
	t.Log(outcomes)
}

// Every sequence of kinds of the four, and every order of the layouts below: the
// rule holds if and only if turning the engine to the middle of the opening of
// each valve puts the valve with the complementary number at the middle of its
// closed window.
func TestSumRuleByTurning(t *testing.T) {
	closed := []fo.ClosedValves{{ // peaks 107 after and 113 before overlap
		Intake:  fo.Window{From: 247 * oneDeg, To: -33 * oneDeg},
		Exhaust: fo.Window{From: 27 * oneDeg, To: -253 * oneDeg},
	}}
	held := 0
	for _, e := range []*fo.Engine{
		engine(t, inline(t, fo.FourSinglePlane, false), "1-3-4-2"),
		engine(t, inline(t, fo.FourTwoPlane, false), "1-3-2-4"),
		engine(t, boxer(t, 4, fo.Alternating), "1-3-2-4"),
		engine(t, inline(t, fo.ThreeEven, false), "1-3-2"),
		engine(t, vee{fo.TwoOpposed, false, 180, 180, fo.Bankwise, fo.PassedFirst}.layout(t), "1-4-3-2"),
	} {
		n := len(e.Order())
		for bits := range 1 << n {
			var s []fo.Valve
			for c := range n {
				if bits>>c&1 == 0 {
					s = append(s, fo.ExhaustValve, fo.IntakeValve)
				} else {
					s = append(s, fo.IntakeValve, fo.ExhaustValve)
				}
			}
			want := true
			for i := range s {
				k := 2*n - 1 - i
				peak := map[fo.Valve]units.CrankAngle{fo.IntakeValve: 107 * oneDeg, fo.ExhaustValve: -113 * oneDeg}
				f, err := e.FiringAngle(i/2 + 1)
				if err != nil {
					t.Fatal(err)
				}
				p, err := e.PhaseAt(k/2+1, f+units.CrankTurn+peak[s[i]])
				if err != nil {
					t.Fatal(err)
				}
				want = want && (p.Angle-peak[s[k]]-units.CrankTurn).Wrap() == 0
			}
			c := fo.LashSetting{Engine: e, Closed: closed}
			r, err := c.SumRule(s)
			if (err == nil) != want {
				t.Fatalf("%v with %v: %v, want %v", e.Order(), s, err, want)
			}
			if !want {
				continue
			}
			held++
			// Half the window of 440 degrees; cylinders n+1, valves 2n+1.
			if r.Room != 220*oneDeg || r.Cylinders != n+1 || r.Valves != 2*n+1 {
				t.Fatalf("rule %v", r)
			}
			for v := 1; v <= 2*n; v++ {
				if k, err := r.Partner(v); err != nil || k+v != 2*n+1 {
					t.Fatal(k, err)
				}
			}
			c.Margin = 220*oneDeg + 1
			r, err = c.SumRule(s)
			if r != (fo.SumRule{}) || !errors.Is(err, units.ErrImpossible) || !strings.Contains(err.Error(), "is not free") {
				t.Error(r, err)
			}
		}
	}
	if held == 0 {
		t.Error("the rule never held")
	}
}

func TestLashRefuses(t *testing.T) {
	six := engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4")
	two, err := fo.NewEngine(fo.EngineConfig{Layout: inline(t, fo.ThreeEven, false), Order: order(t, "1-2-3"), Cycle: fo.TwoStroke})
	if err != nil {
		t.Fatal(err)
	}
	with := func(in, ex fo.Window) []fo.ClosedValves { return []fo.ClosedValves{{in, ex}} }
	good := printed()[0]
	for name, c := range map[string]struct {
		s     fo.LashSetting
		field string
		kind  error
	}{
		"nothing":          {fo.LashSetting{}, "Engine", units.ErrMissing},
		"zero engine":      {fo.LashSetting{Engine: &fo.Engine{}, Closed: printed()}, "Engine", units.ErrMissing},
		"two-stroke":       {fo.LashSetting{Engine: two, Closed: printed()}, "Engine", units.ErrImpossible},
		"no windows":       {fo.LashSetting{Engine: six}, "Closed", units.ErrMissing},
		"windows of two":   {fo.LashSetting{Engine: six, Closed: []fo.ClosedValves{good, good}}, "Closed", units.ErrConflict},
		"windows of ten":   {fo.LashSetting{Engine: six, Closed: make([]fo.ClosedValves, 10)}, "Closed", units.ErrConflict},
		"no intake":        {fo.LashSetting{Engine: six, Closed: with(fo.Window{}, good.Exhaust)}, "Closed[0].Intake", units.ErrMissing},
		"no exhaust":       {fo.LashSetting{Engine: six, Closed: with(good.Intake, fo.Window{})}, "Closed[0].Exhaust", units.ErrMissing},
		"no sixth":         {fo.LashSetting{Engine: six, Closed: []fo.ClosedValves{good, good, good, good, good, {}}}, "Closed[5].Intake", units.ErrMissing},
		"never closed":     {fo.LashSetting{Engine: six, Closed: with(fo.Window{From: oneDeg, To: oneDeg}, good.Exhaust)}, "Closed[0].Intake", units.ErrRange},
		"always closed":    {fo.LashSetting{Engine: six, Closed: with(good.Intake, fo.Window{From: -360 * oneDeg, To: 360 * oneDeg})}, "Closed[0].Exhaust", units.ErrRange},
		"end too far":      {fo.LashSetting{Engine: six, Closed: with(fo.Window{From: 0, To: 721 * oneDeg}, good.Exhaust)}, "Closed[0].Intake", units.ErrRange},
		"end least":        {fo.LashSetting{Engine: six, Closed: with(fo.Window{From: math.MinInt64, To: 0}, good.Exhaust)}, "Closed[0].Intake", units.ErrRange},
		"end largest":      {fo.LashSetting{Engine: six, Closed: with(good.Intake, fo.Window{From: 0, To: math.MaxInt64})}, "Closed[0].Exhaust", units.ErrRange},
		"negative margin":  {fo.LashSetting{Engine: six, Closed: printed(), Margin: -1}, "Margin", units.ErrRange},
		"margin least":     {fo.LashSetting{Engine: six, Closed: printed(), Margin: math.MinInt64}, "Margin", units.ErrRange},
		"margin of a turn": {fo.LashSetting{Engine: six, Closed: printed(), Margin: units.CrankTurn}, "Margin", units.ErrRange},
	} {
		dst := make([]fo.FreeValve, 1, 4)
		f, err := c.s.AppendFree(dst, 0)
		refused(t, name, len(f) != 1, err, c.field, c.kind)
		for _, plan := range []func() (fo.LashPlan, error){
			func() (fo.LashPlan, error) { return c.s.ShortestPlan(fo.PlanRule{}) },
			func() (fo.LashPlan, error) { return c.s.TwoPositions(1) },
			c.s.OneAtATime, c.s.AtOverlap,
		} {
			p, err := plan()
			refused(t, name, p.Positions != nil || p.Room != 0, err, c.field, c.kind)
		}
		r, err := c.s.SumRule(nil)
		refused(t, name, r != fo.SumRule{}, err, c.field, c.kind)
	}
	c := fo.LashSetting{Engine: six, Closed: printed()}
	for name, x := range map[string]struct {
		r     fo.PlanRule
		field string
		kind  error
	}{
		"unknown choice":    {fo.PlanRule{Positions: 3}, "Positions", units.ErrRange},
		"no marks":          {fo.PlanRule{Positions: fo.AtMarks}, "Marks", units.ErrMissing},
		"marks for nothing": {fo.PlanRule{Marks: []units.CrankAngle{0}}, "Marks", units.ErrConflict},
		"marks with TDC":    {fo.PlanRule{Positions: fo.AtTDC, Marks: []units.CrankAngle{0}}, "Marks", units.ErrConflict},
		"mark too far":      {fo.PlanRule{Positions: fo.AtMarks, Marks: []units.CrankAngle{0, math.MaxInt64}}, "Marks[1]", units.ErrRange},
		"mark least":        {fo.PlanRule{Positions: fo.AtMarks, Marks: []units.CrankAngle{math.MinInt64}}, "Marks[0]", units.ErrRange},
		"too many marks":    {fo.PlanRule{Positions: fo.AtMarks, Marks: make([]units.CrankAngle, 721)}, "Marks", units.ErrRange},
	} {
		p, err := c.ShortestPlan(x.r)
		refused(t, name, p.Positions != nil, err, x.field, x.kind)
	}
	for _, cy := range []int{0, -1, 7, math.MaxInt, math.MinInt} {
		p, err := c.TwoPositions(cy)
		refused(t, "cylinder", p.Positions != nil, err, "cylinder", units.ErrRange)
	}
	// A margin that no window keeps on both sides: closed for 350 and 360 degrees.
	c.Margin = 176 * oneDeg
	p, err := c.ShortestPlan(fo.PlanRule{})
	refused(t, "margin over half the window", p.Positions != nil, err, "intake valve of cylinder 1", units.ErrImpossible)
	if err != nil && !strings.Contains(err.Error(), "350 crank deg leaves no room") {
		t.Error(err)
	}
	if f, err := c.AppendFree(nil, 0); err != nil || slices.ContainsFunc(f, func(x fo.FreeValve) bool { return x.Valve == fo.IntakeValve }) {
		t.Error(f, err)
	}
	// Sequences that are none.
	c.Margin = 0
	in, ex := fo.IntakeValve, fo.ExhaustValve
	for name, x := range map[string]struct {
		s     []fo.Valve
		field string
		kind  error
	}{
		"none":             {nil, "sequence", units.ErrMissing},
		"of a four":        {[]fo.Valve{ex, in, in, ex, ex, in, in, ex}, "sequence", units.ErrConflict},
		"two intake":       {[]fo.Valve{ex, in, in, in, ex, in, in, ex, ex, in, in, ex}, "sequence[2]", units.ErrConflict},
		"a kind not given": {make([]fo.Valve, 12), "sequence[0]", units.ErrConflict},
		"unknown kind":     {[]fo.Valve{ex, in, in, ex, ex, in, in, ex, ex, in, in, 3}, "sequence[10]", units.ErrConflict},
	} {
		r, err := c.SumRule(x.s)
		refused(t, name, r != fo.SumRule{}, err, x.field, x.kind)
	}
	k, err := (fo.SumRule{}).Partner(1)
	refused(t, "zero rule", k != 0, err, "rule", units.ErrMissing)
	for _, v := range []int{0, -1, 9, math.MaxInt, math.MinInt} {
		k, err := (fo.SumRule{Cylinders: 5, Valves: 9}).Partner(v)
		refused(t, "valve", k != 0, err, "valve", units.ErrRange)
	}
	if (fo.LashPlan{}).Working() != nil {
		t.Error("no plan has working")
	}
}

func TestAppendFreeDoesNotAllocate(t *testing.T) {
	c := fo.LashSetting{Engine: engine(t, vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(t), "1-7-5-11-3-9-6-12-2-8-4-10"), Closed: printed(), Margin: oneDeg}
	dst := make([]fo.FreeValve, 0, 24)
	at := units.CrankAngle(0)
	if n := testing.AllocsPerRun(100, func() {
		at += 7 * oneDeg
		if _, err := c.AppendFree(dst, at); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// Whatever the windows, the plan is a refusal with a type or sets every valve once
// where it is free.
func FuzzShortestPlan(f *testing.F) {
	f.Add(uint8(0), int64(280), int64(-90), int64(80), int64(-280), int64(0), uint8(0), int64(0))
	f.Add(uint8(1), int64(300), int64(-200), int64(100), int64(-300), int64(20), uint8(1), int64(0))
	f.Add(uint8(2), int64(-1)<<40, int64(1)<<50, int64(7), int64(-7), int64(1)<<33, uint8(2), int64(90))
	f.Fuzz(func(t *testing.T, which uint8, a, b, x, y, margin int64, positions uint8, mark int64) {
		e := []*fo.Engine{
			engine(t, inline(t, fo.SixEven, false), "1-5-3-6-2-4"),
			engine(t, vee{fo.OnePin, false, 45, 0, fo.Alternating, fo.PassedFirst}.layout(t), "1-2"),
			engine(t, inline(t, fo.FiveInLine, false), "1-2-4-5-3"),
		}[which%3]
		scale := units.CrankAngle(1)
		if which&128 == 0 {
			scale = oneDeg
		}
		c := fo.LashSetting{Engine: e, Margin: units.CrankAngle(margin) * scale, Closed: []fo.ClosedValves{{
			Intake:  fo.Window{From: units.CrankAngle(a) * scale, To: units.CrankAngle(b) * scale},
			Exhaust: fo.Window{From: units.CrankAngle(x) * scale, To: units.CrankAngle(y) * scale},
		}}}
		r := fo.PlanRule{Positions: fo.PlanPositions(positions % 4), WholeCylinders: positions&64 != 0}
		if r.Positions == fo.AtMarks {
			r.Marks = []units.CrankAngle{units.CrankAngle(mark) * scale, 0}
		}
		p, err := c.ShortestPlan(r)
		if err != nil {
			typed(t, err)
			if p.Positions != nil {
				t.Fatal("a plan with an error")
			}
			return
		}
		var firing []*big.Rat
		for cy := range e.Order() {
			a, err := e.FiringAngle(cy + 1)
			if err != nil {
				t.Fatal(err)
			}
			firing = append(firing, inDegrees(a))
		}
		soundPlan(t, c, p, shutValves(c, firing))
		for i := range p.Positions[1:] {
			if p.Positions[i].At >= p.Positions[i+1].At {
				t.Fatal("positions out of order")
			}
		}
	})
}

func BenchmarkAppendFree(b *testing.B) {
	c := fo.LashSetting{Engine: engine(b, vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(b), "1-7-5-11-3-9-6-12-2-8-4-10"), Closed: printed()}
	dst := make([]fo.FreeValve, 0, 24)
	b.ReportAllocs()
	i, n := 0, 0
	for b.Loop() {
		i++
		f, err := c.AppendFree(dst, units.CrankAngle(i)*oneDeg)
		if err != nil {
			b.Fatal(err)
		}
		n += len(f)
	}
	_ = n
}

func BenchmarkShortestPlan(b *testing.B) {
	c := fo.LashSetting{Engine: engine(b, vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(b), "1-7-5-11-3-9-6-12-2-8-4-10"), Closed: printed()}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		p, err := c.ShortestPlan(fo.PlanRule{})
		if err != nil {
			b.Fatal(err)
		}
		n += len(p.Positions)
	}
	_ = n
}
