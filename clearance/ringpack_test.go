package clearance_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

func metal(a float64) material.Expansion {
	return material.Expansion{
		Base: units.Celsius(20), Lowest: units.Celsius(-50), Highest: units.Celsius(500),
		Coefficient: units.WithU(units.Expansion(a), units.Expansion(a/50)), Source: card,
	}
}

func withT(c, u float64) units.Measured[units.Temperature] {
	return units.WithU(units.Celsius(c), units.Kelvins(u))
}

// The gap that is to be left comes out at work, for any metals and
// temperatures, also from a start off the base temperature.
func TestRingGapThereAndBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	for range 300 {
		h := clearance.RingHeat{
			Bore: material.Part{Size: units.WithU(units.Length(60+rng.IntN(100))*mm, 5*um), Cold: withT(10+20*rng.Float64(), 1), Expansion: metal(1e-5 + 1.4e-5*rng.Float64())},
			Ring: metal(1e-5 + 5e-6*rng.Float64()), BoreAt: withT(60+100*rng.Float64(), 5), RingAt: withT(100+200*rng.Float64(), 20),
		}
		left := units.Length(rng.IntN(300)) * um
		m, err := h.MinimumGap(left)
		if err != nil {
			t.Fatal(err)
		}
		if m.Cold.Value < 0 {
			continue
		}
		b, err := h.HotGap(m.Cold)
		if err != nil {
			t.Fatal(err)
		}
		if (b.Hot.Value - left).Abs() > 8 {
			t.Fatalf("left %v, but %v is left", left, b.Hot.Value)
		}
		// From the base temperature the first-order rule is near.
		h.Bore.Cold = withT(20, 1)
		m, err = h.MinimumGap(0)
		if err != nil {
			t.Fatal(err)
		}
		tb, tr := float64(h.BoreAt.Value-units.Celsius(20)), float64(h.RingAt.Value-units.Celsius(20))
		rule := math.Pi * float64(h.Bore.Size.Value) * (float64(h.Ring.Coefficient.Value)*tr - float64(h.Bore.Expansion.Coefficient.Value)*tb)
		if math.Abs(float64(m.Cold.Value)-rule) > 0.006*math.Abs(rule)+1e-6*float64(h.Bore.Size.Value) {
			t.Fatalf("gap %v, by the rule %g pm", m.Cold.Value, rule)
		}
		checkRingU(t, h, m.Cold.U)
	}
}

// checkRingU moves every input by its uncertainty and adds up the changes.
func checkRingU(t *testing.T, h clearance.RingHeat, u units.Length) {
	t.Helper()
	at := func(d [6]float64) float64 {
		x := float64(h.Bore.Size.Value) + d[0]*float64(h.Bore.Size.U)
		cold := float64(h.Bore.Cold.Value)
		grow := func(e material.Expansion, da, to, dc float64) float64 {
			a, base := float64(e.Coefficient.Value)+da*float64(e.Coefficient.U), float64(e.Base)
			return (1 + a*(to-base)) / (1 + a*(cold+dc-base))
		}
		rb := grow(h.Bore.Expansion, d[1], float64(h.BoreAt.Value)+d[2]*float64(h.BoreAt.U), 0)
		rr := grow(h.Ring, d[3], float64(h.RingAt.Value)+d[4]*float64(h.RingAt.U), 0)
		return math.Pi * x * (1 - rb/rr)
	}
	sum := 0.0
	for k := range 5 {
		var up, down [6]float64
		up[k], down[k] = 0.5, -0.5
		d := at(up) - at(down)
		sum += d * d
	}
	// The cold temperature, once for each part as the doc says.
	k := math.Pi * float64(h.Bore.Size.Value) * float64(h.Bore.Cold.U)
	sum += math.Pow(k*float64(h.Ring.Coefficient.Value), 2) + math.Pow(k*float64(h.Bore.Expansion.Coefficient.Value), 2)
	if want := math.Sqrt(sum); math.Abs(float64(u)-want) > 0.01*want {
		t.Fatalf("u %v, moved inputs give %g pm", u, want)
	}
}

func TestRingHeatBadInput(t *testing.T) {
	ok := ironRing
	zm := func(g clearance.ThermalGap) bool { return g.Cold.Value == 0 && g.HotBore.Value == 0 }
	for name, c := range map[string]struct {
		change func(*clearance.RingHeat)
		left   units.Length
		kind   error
		field  string
	}{
		"no bore":       {func(h *clearance.RingHeat) { h.Bore.Size.Value = 0 }, 0, units.ErrMissing, "Bore.Size"},
		"negative bore": {func(h *clearance.RingHeat) { h.Bore.Size.Value = negative }, 0, units.ErrRange, "Bore.Size"},
		"no ring":       {func(h *clearance.RingHeat) { h.Ring = material.Expansion{} }, 0, units.ErrMissing, "Ring.Base"},
		"NaN bore":      {func(h *clearance.RingHeat) { h.BoreAt.Value = units.Temperature(math.NaN()) }, 0, units.ErrRange, "BoreAt"},
		"hot ring":      {func(h *clearance.RingHeat) { h.RingAt = warm(5000) }, 0, units.ErrRange, "RingAt"},
		"no cold":       {func(h *clearance.RingHeat) { h.Bore.Cold.Value = 0 }, 0, units.ErrMissing, "Bore.Cold"},
		"negative left": {func(*clearance.RingHeat) {}, -1, units.ErrRange, "left"},
		"wide left":     {func(*clearance.RingHeat) {}, units.Inch, units.ErrRange, "left"},
	} {
		t.Run(name, func(t *testing.T) {
			h := ok()
			c.change(&h)
			got, err := h.MinimumGap(c.left)
			wantError(t, got, zm, err, c.kind, c.field)
		})
	}
	zh := func(g clearance.HotGap) bool { return g.Hot.Value == 0 && g.HotBore.Value == 0 }
	g, err := ok().HotGap(un(-um))
	wantError(t, g, zh, err, units.ErrRange, "cold")
	g, err = ok().HotGap(un(units.Inch))
	wantError(t, g, zh, err, units.ErrRange, "cold")
	g, err = ok().HotGap(units.WithU(um, -um))
	wantError(t, g, zh, err, units.ErrRange, "cold.U")
	g, err = clearance.RingHeat{}.HotGap(un(um))
	if err == nil || !zh(g) {
		t.Errorf("an empty heat gives %+v", g)
	}
}

func TestGapAlongBadInput(t *testing.T) {
	z := func(g clearance.GapAlong) bool { return g.Places == nil }
	bore := clearance.Round{Stations: []clearance.Station{{At: 0, Diameters: []clearance.Diameter{{Reading: un(100 * mm)}}}, {At: 50 * mm, Diameters: []clearance.Diameter{{Reading: un(100*mm - 200*um)}}}}}
	g, err := clearance.GapTravel{Gap: un(um)}.Along()
	wantError(t, g, z, err, units.ErrMissing, "Bore.Stations")
	g, err = clearance.GapTravel{Bore: bore, Gap: un(mm), At: 51 * mm}.Along()
	wantError(t, g, z, err, units.ErrRange, "At")
	g, err = clearance.GapTravel{Bore: bore, Gap: un(mm), At: -1}.Along()
	wantError(t, g, z, err, units.ErrRange, "At")
	g, err = clearance.GapTravel{Bore: bore, Gap: un(-mm)}.Along()
	wantError(t, g, z, err, units.ErrRange, "Gap")
	g, err = clearance.GapTravel{Bore: bore, Gap: un(500 * um)}.Along()
	wantError(t, g, z, err, units.ErrImpossible, "To") // 500 - 200 pi um
}

func TestRingPackBadInput(t *testing.T) {
	zp := func(p []clearance.FilingStep) bool { return p == nil }
	p, err := clearance.FilingPlan{}.Plan()
	wantError(t, p, zp, err, units.ErrMissing, "FilingPlan")
	p, err = make(clearance.FilingPlan, 10_001).Plan()
	wantError(t, p, zp, err, units.ErrRange, "FilingPlan")
	p, err = clearance.FilingPlan{{Gap: un(um), Target: mm}, {Gap: un(um)}}.Plan()
	wantError(t, p, zp, err, units.ErrMissing, "FilingPlan[1].Target")
	p, err = clearance.FilingPlan{{Gap: un(-um), Target: mm}}.Plan()
	wantError(t, p, zp, err, units.ErrRange, "FilingPlan[0].Gap")
	zs := func(s clearance.RingSide) bool { return s == clearance.RingSide{} }
	s, err := clearance.RingGroove{RingWidth: un(mm)}.SideClearance()
	wantError(t, s, zs, err, units.ErrMissing, "GrooveWidth")
	s, err = clearance.RingGroove{GrooveWidth: un(mm), RingWidth: un(-mm)}.SideClearance()
	wantError(t, s, zs, err, units.ErrRange, "RingWidth")
	zb := func(b clearance.RingBack) bool { return b == clearance.RingBack{} }
	b, err := clearance.RingGroove{Bore: un(mm), Root: un(mm)}.BackClearance()
	wantError(t, b, zb, err, units.ErrMissing, "Thickness")
	b, err = clearance.RingGroove{Bore: un(mm), Root: un(mm), Thickness: un(mm)}.BackClearance()
	wantError(t, b, zb, err, units.ErrConflict, "Root")
	b, err = clearance.RingGroove{Bore: un(units.MaxLength), Root: un(mm), Thickness: un(mm)}.BackClearance()
	wantError(t, b, zb, err, units.ErrRange, "Bore")
}

// A ring that is as thick as half the room is left nothing, and widening the
// bore adds half of it behind the ring.
func TestBackClearanceHalves(t *testing.T) {
	for extra := range units.Length(5) {
		g := clearance.RingGroove{Bore: un(100*mm + 2*extra*um), Root: un(90 * mm), Thickness: un(5 * mm)}
		b, err := g.BackClearance()
		if err != nil || b.Back.Value != extra*um {
			t.Errorf("back %v, want %v um (%v)", b.Back.Value, extra, err)
		}
	}
}

func TestStaggerBadInput(t *testing.T) {
	deg := units.CrankDegree
	z := func(p clearance.StaggerPlan) bool { return p.Gaps == nil && p.Spacing == 0 }
	for name, c := range map[string]struct {
		g     clearance.GapStagger
		kind  error
		field string
	}{
		"none":           {clearance.GapStagger{}, units.ErrRange, "Gaps"},
		"nine":           {clearance.GapStagger{Gaps: 9}, units.ErrRange, "Gaps"},
		"no width":       {clearance.GapStagger{Gaps: 2, Avoid: []clearance.Arc{{}}}, units.ErrRange, "Avoid[0].HalfWidth"},
		"wide":           {clearance.GapStagger{Gaps: 2, Avoid: []clearance.Arc{{HalfWidth: 181 * deg}}}, units.ErrRange, "Avoid[0].HalfWidth"},
		"negative width": {clearance.GapStagger{Gaps: 2, Avoid: []clearance.Arc{{HalfWidth: -deg}}}, units.ErrRange, "Avoid[0].HalfWidth"},
		"covered":        {clearance.GapStagger{Gaps: 2, Avoid: []clearance.Arc{{Center: 0, HalfWidth: 100 * deg}, {Center: 180 * deg, HalfWidth: 100 * deg}}}, units.ErrImpossible, "Avoid"},
		"many arcs":      {clearance.GapStagger{Gaps: 2, Avoid: make([]clearance.Arc, 65)}, units.ErrRange, "Avoid"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.g.Positions()
			wantError(t, got, z, err, c.kind, c.field)
		})
	}
}

// bestStagger tries every layout on a grid.
func bestStagger(n int, free []int, turn int) int {
	best := 0
	pick := make([]int, 0, n)
	var fill func(from, least int)
	fill = func(from, least int) {
		if len(pick) == n {
			best = max(best, least)
			return
		}
		for i := from; i < len(free); i++ {
			l := least
			for _, p := range pick {
				d := free[i] - p
				l = min(l, d, turn-d)
			}
			if l > best {
				pick = append(pick, free[i])
				fill(i+1, l)
				pick = pick[:len(pick)-1]
			}
		}
	}
	fill(0, turn)
	return best
}

// Arcs that end on a grid of 24 parts: the best distance is a difference of two
// ends over 1, 2 or 3, so a grid six times as fine holds the best layout.
func TestStaggerAgainstEveryLayout(t *testing.T) {
	const turn, fine = 24, 6
	part := units.CrankTurn / (turn * fine)
	rng := rand.New(rand.NewPCG(8, 8))
	for n := range 250 {
		g := clearance.GapStagger{Gaps: 2 + rng.IntN(2)}
		blocked := make([]bool, turn*fine)
		for range rng.IntN(5) {
			c, w := rng.IntN(turn)*fine, (1+rng.IntN(3))*fine
			g.Avoid = append(g.Avoid, clearance.Arc{Center: units.CrankAngle(c-2*turn*fine*rng.IntN(2)) * part, HalfWidth: units.CrankAngle(w) * part})
			for k := c - w + 1; k < c+w; k++ {
				blocked[(k+turn*fine)%(turn*fine)] = true
			}
		}
		var free []int
		for i, b := range blocked {
			if !b {
				free = append(free, i)
			}
		}
		p, err := g.Positions()
		if len(free) == 0 {
			if err == nil {
				t.Fatalf("case %d: positions in no free place", n)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		want := units.CrankAngle(bestStagger(g.Gaps, free, turn*fine)) * part
		if p.Spacing != want {
			t.Fatalf("case %d: %d gaps %v apart, want %v; avoid %v", n, g.Gaps, p.Spacing, want, g.Avoid)
		}
		checkStagger(t, g, p)
	}
}

func checkStagger(t *testing.T, g clearance.GapStagger, p clearance.StaggerPlan) {
	t.Helper()
	if len(p.Gaps) != g.Gaps {
		t.Fatalf("%d places for %d gaps", len(p.Gaps), g.Gaps)
	}
	apart := func(a, b units.CrankAngle) units.CrankAngle {
		d := ((a-b)%units.CrankTurn + units.CrankTurn) % units.CrankTurn
		return min(d, units.CrankTurn-d)
	}
	least, next := units.CrankTurn, units.CrankTurn
	for i, a := range p.Gaps {
		if a < 0 || a >= units.CrankTurn {
			t.Fatalf("gap at %v", a)
		}
		for _, v := range g.Avoid {
			if apart(a, v.Center) < v.HalfWidth {
				t.Fatalf("gap at %v in %v", a, v)
			}
		}
		for j := range i {
			least = min(least, apart(a, p.Gaps[j]))
		}
		if i > 0 {
			next = min(next, apart(a, p.Gaps[i-1]))
		}
	}
	if least != p.Spacing || next != p.NextRing {
		t.Fatalf("spacing %v and next %v, want %v and %v", p.Spacing, p.NextRing, least, next)
	}
}

// Rings that follow each other never stand closer than in any other order of
// the same places.
func TestStaggerOrder(t *testing.T) {
	for n := 2; n <= 6; n++ {
		p, err := clearance.GapStagger{Gaps: n}.Positions()
		if err != nil {
			t.Fatal(err)
		}
		checkStagger(t, clearance.GapStagger{Gaps: n}, p)
		best := units.CrankAngle(0)
		var permute func(k int, x []units.CrankAngle)
		permute = func(k int, x []units.CrankAngle) {
			if k == len(x) {
				least := units.CrankTurn
				for i := 1; i < len(x); i++ {
					d := (x[i] - x[i-1]).Abs()
					least = min(least, d, units.CrankTurn-d)
				}
				best = max(best, least)
				return
			}
			for i := k; i < len(x); i++ {
				x[k], x[i] = x[i], x[k]
				permute(k+1, x)
				x[k], x[i] = x[i], x[k]
			}
		}
		permute(0, slices.Clone(p.Gaps))
		if p.NextRing != best {
			t.Errorf("%d gaps: next ring %v away, best %v", n, p.NextRing, best)
		}
	}
	one, err := clearance.GapStagger{Gaps: 1, Avoid: []clearance.Arc{{Center: 0, HalfWidth: 30 * units.CrankDegree}}}.Positions()
	if err != nil || len(one.Gaps) != 1 || one.Gaps[0] != 30*units.CrankDegree {
		t.Errorf("one gap: %+v, %v", one, err)
	}
}

func FuzzStagger(f *testing.F) {
	f.Add(uint8(3), int64(90e9), int64(30e9), int64(270e9), int64(30e9))
	f.Add(uint8(4), int64(-1), int64(1), int64(math.MaxInt64), int64(180e9))
	f.Add(uint8(8), int64(math.MinInt64), int64(179e9), int64(180e9), int64(1e9))
	f.Fuzz(func(t *testing.T, n uint8, a, wa, b, wb int64) {
		g := clearance.GapStagger{Gaps: int(n), Avoid: []clearance.Arc{{Center: units.CrankAngle(a), HalfWidth: units.CrankAngle(wa)}, {Center: units.CrankAngle(b), HalfWidth: units.CrankAngle(wb)}}}
		p, err := g.Positions()
		if err != nil {
			return
		}
		for i := range g.Avoid {
			g.Avoid[i].Center %= units.CrankTurn
		}
		checkStaggerOf(t, g, p)
	})
}

func checkStaggerOf(t *testing.T, g clearance.GapStagger, p clearance.StaggerPlan) {
	t.Helper()
	if g.Gaps == 1 {
		return
	}
	checkStagger(t, g, p)
}

func BenchmarkRingHotGap(b *testing.B) {
	b.ReportAllocs()
	h := ironRing()
	i := 0
	for b.Loop() {
		g, _ := h.HotGap(un(units.Length(300+i%200) * um))
		sink += g.Hot.Value
		i++
	}
}

func BenchmarkStaggerFour(b *testing.B) {
	b.ReportAllocs()
	deg := units.CrankDegree
	g := clearance.GapStagger{Gaps: 4, Avoid: []clearance.Arc{{Center: 90 * deg, HalfWidth: 30 * deg}, {Center: 270 * deg, HalfWidth: 30 * deg}, {Center: 0, HalfWidth: 15 * deg}, {Center: 180 * deg, HalfWidth: 15 * deg}}}
	for b.Loop() {
		p, _ := g.Positions()
		sink += units.Length(p.Spacing)
	}
}
