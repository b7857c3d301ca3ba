package clearance_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// bestMatch tries every pairing.
func bestMatch(m clearance.Matching) (largest, squares float64) {
	largest, squares = math.Inf(1), math.Inf(1)
	used := make([]bool, len(m.Shafts))
	var fill func(i int, l, q float64)
	fill = func(i int, l, q float64) {
		if i == len(m.Bores) {
			better := l < largest || l == largest && q < squares
			if m.Objective == clearance.SquaresFirst {
				better = q < squares || q == squares && l < largest
			}
			if better {
				largest, squares = l, q
			}
			return
		}
		for j, s := range m.Shafts {
			if used[j] {
				continue
			}
			d := (m.Bores[i].Value - s.Value - m.Target).Micrometers()
			used[j] = true
			fill(i+1, max(l, math.Abs(d)), q+d*d)
			used[j] = false
		}
	}
	fill(0, 0, 0)
	return largest, squares
}

// Pairing in the order of size finds what trying every pairing finds.
func TestMatchAgainstEveryPairing(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 1))
	for n := range 600 {
		m := clearance.Matching{Target: 90 * um, Objective: clearance.MatchObjective(n % 2)}
		bores := 1 + rng.IntN(5)
		width := 4 + rng.IntN(30) // narrow ones make ties
		for range bores {
			m.Bores = append(m.Bores, un(102*mm+units.Length(rng.IntN(width))*um))
		}
		for range bores + rng.IntN(3) {
			m.Shafts = append(m.Shafts, un(102*mm-units.Length(75+rng.IntN(width))*um))
		}
		got, err := m.Match()
		if err != nil {
			t.Fatal(err)
		}
		largest, squares := bestMatch(m)
		q := 0.0
		used := map[int]bool{}
		for i, p := range got.Matches {
			if used[p.Shaft] {
				t.Fatalf("shaft %d twice", p.Shaft)
			}
			used[p.Shaft] = true
			if d := m.Bores[i].Value - m.Shafts[p.Shaft].Value - m.Target; p.Deviation != d || p.Clearance.Value != d+m.Target {
				t.Fatalf("bore %d: %+v", i, p)
			}
			q += p.Deviation.Micrometers() * p.Deviation.Micrometers()
		}
		for _, s := range got.Spare {
			if used[s] {
				t.Fatalf("shaft %d used and spare", s)
			}
		}
		if len(got.Spare)+len(used) != len(m.Shafts) {
			t.Fatalf("%d used and %d spare of %d", len(used), len(got.Spare), len(m.Shafts))
		}
		if got.LargestDeviation.Micrometers() != largest || q != squares {
			t.Fatalf("case %d: largest %v, squares %v, want %v, %v: %+v", n, got.LargestDeviation.Micrometers(), q, largest, squares, m)
		}
	}
}

func TestMatchVerdictsAndUncertainty(t *testing.T) {
	m := clearance.Matching{
		Bores: []units.Measured[units.Length]{units.WithU(102*mm, 3*um)}, Shafts: []units.Measured[units.Length]{units.WithU(102*mm-90*um, 4*um)},
		Target: 90 * um, Limits: units.Some(units.Between(60*um, 120*um, card)),
	}
	got, err := m.Match()
	if err != nil || got.Matches[0].Clearance.U != 5*um || got.Matches[0].Verdict.Value.Outcome != units.ProvedWithin {
		t.Errorf("%+v, %v", got, err)
	}
	m.Limits = units.Some(units.Limits[units.Length]{})
	if got, err := m.Match(); err == nil || got.Matches != nil {
		t.Errorf("limits that limit nothing: %+v", got)
	}
}

func TestMatchBadInput(t *testing.T) {
	ok := func() clearance.Matching {
		return clearance.Matching{Bores: []units.Measured[units.Length]{un(102 * mm)}, Shafts: []units.Measured[units.Length]{un(102*mm - 90*um)}, Target: 90 * um}
	}
	z := func(m clearance.Matched) bool { return m.Matches == nil && m.Spare == nil }
	for name, c := range map[string]struct {
		change func(*clearance.Matching)
		kind   error
		field  string
	}{
		"no bores":       {func(m *clearance.Matching) { m.Bores = nil }, units.ErrMissing, "Bores"},
		"many bores":     {func(m *clearance.Matching) { m.Bores = make([]units.Measured[units.Length], 1001) }, units.ErrRange, "Bores"},
		"many shafts":    {func(m *clearance.Matching) { m.Shafts = make([]units.Measured[units.Length], 1001) }, units.ErrRange, "Shafts"},
		"few shafts":     {func(m *clearance.Matching) { m.Shafts = nil }, units.ErrConflict, "Shafts"},
		"empty bore":     {func(m *clearance.Matching) { m.Bores[0].Value = 0 }, units.ErrMissing, "Bores[0]"},
		"negative shaft": {func(m *clearance.Matching) { m.Shafts[0].Value = negative }, units.ErrRange, "Shafts[0]"},
		"mixed unit":     {func(m *clearance.Matching) { m.Shafts[0].Value = 4 * mm }, units.ErrConflict, "Shafts[0]"},
		"far target":     {func(m *clearance.Matching) { m.Target = units.MaxLength }, units.ErrRange, "Target"},
		"no objective":   {func(m *clearance.Matching) { m.Objective = 7 }, units.ErrRange, "Objective"},
		"other bore": {func(m *clearance.Matching) {
			m.Bores = append(m.Bores, un(4*mm))
			m.Shafts = append(m.Shafts, m.Shafts[0])
		}, units.ErrConflict, "Bores[1]"},
	} {
		t.Run(name, func(t *testing.T) {
			m := ok()
			c.change(&m)
			got, err := m.Match()
			wantError(t, got, z, err, c.kind, c.field)
		})
	}
	if s := clearance.MatchObjective(7).String(); s != "no objective" {
		t.Error(s)
	}
}

func TestSkirtBadInput(t *testing.T) {
	z := func(c clearance.SkirtClearance) bool { return c.Hot == nil && c.Cold.Value == 0 }
	for name, c := range map[string]struct {
		change func(*clearance.SkirtFit)
		kind   error
		field  string
	}{
		"no points":        {func(f *clearance.SkirtFit) { f.Skirt = nil }, units.ErrMissing, "Skirt"},
		"many points":      {func(f *clearance.SkirtFit) { f.Skirt = make([]clearance.SkirtPoint, 10_001) }, units.ErrRange, "Skirt"},
		"no diameter":      {func(f *clearance.SkirtFit) { f.Skirt[0].Diameter.Value = 0 }, units.ErrMissing, "Skirt[0].Diameter"},
		"far height":       {func(f *clearance.SkirtFit) { f.Skirt[1].Height = units.MaxLength }, units.ErrRange, "Skirt[1].Height"},
		"same height":      {func(f *clearance.SkirtFit) { f.Skirt[1].Height = f.Skirt[0].Height }, units.ErrConflict, "Skirt[1].Height"},
		"other height":     {func(f *clearance.SkirtFit) { f.GaugeHeight = 13 * mm }, units.ErrMissing, "GaugeHeight"},
		"cold bore":        {func(f *clearance.SkirtFit) { f.Bore.Cold = warm(5) }, units.ErrConflict, "PistonCold"},
		"mixed unit":       {func(f *clearance.SkirtFit) { f.Skirt[0].Diameter = un(4 * mm) }, units.ErrConflict, "Skirt"},
		"hot piston":       {func(f *clearance.SkirtFit) { f.Skirt[1].At = warm(4000) }, units.ErrRange, "Skirt[1].At"},
		"hot bore":         {func(f *clearance.SkirtFit) { f.BoreAt = warm(4000) }, units.ErrRange, "BoreAt"},
		"NaN":              {func(f *clearance.SkirtFit) { f.Skirt[0].At = warm(math.NaN()) }, units.ErrRange, "Skirt[0].At"},
		"no bore":          {func(f *clearance.SkirtFit) { f.Bore.Size.Value = 0 }, units.ErrMissing, "Bore.Size"},
		"no piston metal":  {func(f *clearance.SkirtFit) { f.Piston.Source = units.Source{} }, units.ErrMissing, "Piston.Source"},
		"both without one": {func(f *clearance.SkirtFit) { f.Bore.Expansion.Source = units.Source{} }, units.ErrMissing, "Bore.Expansion.Source"},
	} {
		t.Run(name, func(t *testing.T) {
			f := workboatPiston()
			f.Skirt = append([]clearance.SkirtPoint(nil), f.Skirt...)
			c.change(&f)
			got, err := f.Clearance()
			wantError(t, got, z, err, c.kind, c.field)
		})
	}
}

func TestPistonBadInput(t *testing.T) {
	zm := func(m units.Measured[units.Length]) bool { return m == units.Measured[units.Length]{} }
	m, err := clearance.RibbonPull{}.Clearance()
	wantError(t, m, zm, err, units.ErrMissing, "Ribbon")
	m, err = clearance.RibbonPull{Ribbon: un(2 * mm)}.Clearance()
	wantError(t, m, zm, err, units.ErrRange, "Ribbon")

	zp := func(p clearance.PlateChange) bool { return p.Free.Stations == nil && p.Mean.Value == 0 }
	a, b := one(100*mm, 0), one(100*mm, 90*units.CrankDegree)
	p, err := clearance.TorquePlate{Clamped: a}.Change()
	wantError(t, p, zp, err, units.ErrMissing, "Free.Stations")
	p, err = clearance.TorquePlate{Free: a}.Change()
	wantError(t, p, zp, err, units.ErrMissing, "Clamped.Stations")
	p, err = clearance.TorquePlate{Free: a, Clamped: b}.Change()
	wantError(t, p, zp, err, units.ErrConflict, "Free.Stations[0].Diameters[0].Around")
	two := clearance.Round{Stations: []clearance.Station{a.Stations[0], {At: mm, Diameters: a.Stations[0].Diameters}}}
	p, err = clearance.TorquePlate{Free: a, Clamped: two}.Change()
	wantError(t, p, zp, err, units.ErrConflict, "Clamped.Stations")
	more := clearance.Round{Stations: []clearance.Station{{Diameters: append(append([]clearance.Diameter(nil), a.Stations[0].Diameters...), b.Stations[0].Diameters...)}}}
	p, err = clearance.TorquePlate{Free: a, Clamped: more}.Change()
	wantError(t, p, zp, err, units.ErrConflict, "Clamped.Stations[0].Diameters")

	zd := func(d clearance.Deck) bool { return d.Height.Value == 0 && d.Tilt == 0 }
	ok := clearance.CrownReadings{Thrust: clearance.DialReadings{un(um)}, Opposite: clearance.DialReadings{un(um)}, ThrustOffset: mm, OppositeOffset: mm}
	for name, c := range map[string]struct {
		change func(*clearance.CrownReadings)
		kind   error
		field  string
	}{
		"no thrust":   {func(c *clearance.CrownReadings) { c.Thrust = nil }, units.ErrMissing, "Thrust"},
		"no opposite": {func(c *clearance.CrownReadings) { c.Opposite = nil }, units.ErrMissing, "Opposite"},
		"no offset":   {func(c *clearance.CrownReadings) { c.ThrustOffset = 0 }, units.ErrMissing, "ThrustOffset"},
		"negative":    {func(c *clearance.CrownReadings) { c.OppositeOffset = -mm }, units.ErrRange, "OppositeOffset"},
		"leans":       {func(c *clearance.CrownReadings) { c.Thrust = clearance.DialReadings{un(mm)} }, units.ErrConflict, "Opposite"},
		"far":         {func(c *clearance.CrownReadings) { c.Opposite = clearance.DialReadings{un(units.MaxLength)} }, units.ErrRange, "Opposite[0]"},
	} {
		t.Run(name, func(t *testing.T) {
			r := ok
			c.change(&r)
			got, err := r.Deck()
			wantError(t, got, zd, err, c.kind, c.field)
		})
	}

	zr := func(r clearance.Rock) bool { return r == clearance.Rock{} }
	r, err := clearance.RockRoom{Clearance: un(-um), Guided: un(mm)}.Rock()
	wantError(t, r, zr, err, units.ErrRange, "Clearance")
	r, err = clearance.RockRoom{Clearance: un(um)}.Rock()
	wantError(t, r, zr, err, units.ErrMissing, "Guided")
	r, err = clearance.RockRoom{Clearance: un(mm), Guided: un(mm)}.Rock()
	wantError(t, r, zr, err, units.ErrConflict, "Clearance")
	r, err = clearance.RockRoom{Guided: un(mm), Offset: -1}.Rock()
	wantError(t, r, zr, err, units.ErrRange, "Offset")
	r, err = clearance.RockRoom{Guided: un(mm), Offset: units.MaxLength}.Rock()
	wantError(t, r, zr, err, units.ErrRange, "Offset")
}

// A piston that rocks about its pin changes both readings and not the deck.
func TestDeckKeepsStillAsThePistonRocks(t *testing.T) {
	const a, b = 40 * units.Millimeter, 25 * units.Millimeter
	for lean := -3; lean <= 3; lean++ {
		x := units.Length(lean) * um / 1000 // per mm
		d, err := clearance.CrownReadings{
			Thrust: clearance.DialReadings{un(200*um + 40*x)}, Opposite: clearance.DialReadings{un(200*um - 25*x)},
			ThrustOffset: a, OppositeOffset: b,
		}.Deck()
		if err != nil || (d.Height.Value-200*um).Abs() > 1 || d.Rock.Value != 65*x {
			t.Errorf("lean %d: height %v, rock %v (%v)", lean, d.Height.Value, d.Rock.Value, err)
		}
	}
}

// Free and clamped exchanged, every change turns its sign.
func TestPlateBothWays(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 4))
	for range 50 {
		free := randomRound(rng, 100*mm, false)
		clamped := clearance.Round{}
		for _, s := range free.Stations {
			n := clearance.Station{At: s.At}
			for _, d := range s.Diameters {
				d.Reading.Value += units.Length(rng.IntN(40)-20) * um
				n.Diameters = append(n.Diameters, d)
			}
			clamped.Stations = append(clamped.Stations, n)
		}
		x, err := clearance.TorquePlate{Free: free, Clamped: clamped}.Change()
		if err != nil {
			t.Fatal(err)
		}
		y, err := clearance.TorquePlate{Free: clamped, Clamped: free}.Change()
		if err != nil {
			t.Fatal(err)
		}
		if x.Mean.Value != -y.Mean.Value || x.Most.Change.Value != -y.Most.Change.Value || x.OutOfRound.Value != -y.OutOfRound.Value || x.Taper.Value != -y.Taper.Value {
			t.Fatalf("%+v against %+v", x, y)
		}
	}
}

func TestWorkingHasNumbersAndSources(t *testing.T) {
	skirt, _ := workboatPiston().Clearance()
	thermal, _ := ironRing().MinimumGap(0)
	hot, _ := ironRing().HotGap(un(mm))
	rock, _ := clearance.RockRoom{Clearance: un(90 * um), Guided: un(60 * mm), Offset: 40 * mm}.Rock()
	matched, _ := clearance.Matching{Bores: []units.Measured[units.Length]{un(102 * mm)}, Shafts: []units.Measured[units.Length]{un(101 * mm)}}.Match()
	for name, w := range map[string]units.Working{
		"skirt": skirt.Working(), "thermal": thermal.Working(), "hot": hot.Working(), "rock": rock.Working(), "matched": matched.Working(),
	} {
		if len(w) == 0 {
			t.Errorf("%s: no working", name)
		}
		for _, s := range w {
			if s.Symbol == "" || s.Formula == "" || s.Value == "" || !s.Source.Given() {
				t.Errorf("%s: %+v", name, s)
			}
		}
	}
}

// What a check of two or three figures shows, with its last value by hand.
func TestWorkingOfShortChecks(t *testing.T) {
	in := units.MustParseLength
	read := func(s string) units.Measured[units.Length] { return units.Unstated(in(s)) }
	square := clearance.Compression{Bore: un(100 * mm), Stroke: un(100 * mm), Head: units.Unstated(units.CubicCentimeters(250 * math.Pi / 9)), GasketBore: un(100 * mm), Gasket: un(mm), Deck: un(-mm)}
	ratio := must(square.ForRatio(9)) // 10 as it stands; 1/8 - 1/9 of 100 mm more
	tang := must(clearance.DriveTang{Tang: read("2.410 in"), SlotTop: read("2.130 in"), SlotDepth: read("0.320 in")}.Fit())
	plan := must(clearance.GapStagger{Gaps: 3}.Positions())
	stack := clearance.Stack{
		Parts:  []clearance.StackPart{{Smallest: 0, Largest: 2 * mm, Sensitivity: 1, Spread: clearance.SpreadEven}, {Smallest: 0, Largest: 2 * mm, Sensitivity: -1, Spread: clearance.SpreadEven}},
		Limits: units.Between(-3*mm, 3*mm, units.Source{Text: "card", Provenance: units.Stated}),
	}
	share := must(stack.RootSumSquare())
	drawn := must(stack.Simulate(clearance.SimulationRun{Samples: 1000, Seed: 1, Quantiles: []float64{0.5}}))
	intake := must(must(clearance.NewPistonValve(workboatIntake())).Sensitivity(106 * units.CrankDegree))
	for name, c := range map[string]struct {
		w     units.Working
		steps int
		at    int // of the step whose value is known
		want  string
	}{
		"ratio":         {ratio.Working(), 6, 2, "2.3889 mm (0.09405 in)"},
		"deck":          {ratio.Working(), 6, 3, "0.3889 mm (0.01531 in)"},
		"crown":         {clearance.Burette{Bore: un(100 * mm), Drop: un(10 * mm), Filled: units.Unstated(units.CubicCentimeters(80))}.Working(), 1, 0, "1.460 cm3"},
		"tang":          {tang.Working(), 2, 1, "1.0160 mm (0.04000 in)"},
		"counterweight": {clearance.CounterweightRoom{Crank: camtiming.SliderCrankSpec{Throw: 45 * mm, Rod: 150 * mm}, SkirtBelowPin: 32 * mm, Radius: 70 * mm}.Working(), 1, 0, "3.0000 mm (0.11811 in)"},
		"pickup":        {clearance.PickupRoom{PanDepth: read("7.25 in"), PickupDepth: read("6.875 in")}.Working(), 1, 0, "9.5250 mm (0.37500 in)"},
		"rod":           {clearance.RodAlignment{One: read("0.003 in"), Span: in("6 in"), Over: in("4 in")}.Working(), 1, 0, "0.0508 mm (0.00200 in)"},
		"backlash":      {clearance.BacklashReading{Dial: read("0.009 in"), DialRadius: in("3 in"), PitchDiameter: in("4 in")}.Working(), 1, 0, "0.1524 mm (0.00600 in)"},
		"slack":         {clearance.FreeSpan{Span: in("8 in"), Deflection: in("3 in")}.Working(), 1, 0, "50.8000 mm (2.00000 in)"},
		"ribbon":        {clearance.RibbonPull{Ribbon: read("0.004 in")}.Working(), 1, 0, "0.1270 mm (0.00500 in)"},
		"plan":          {plan.Working(), 5, 3, "120.00 crank deg"},
		"share":         {share.Working(), 5, 1, "0.8165 mm (0.03215 in)"},
		"drawn":         {drawn.Working(), 6, 1, "1"},
		"intake":        {intake.Working(), 10, 6, "1"},
	} {
		if len(c.w) != c.steps || c.w[c.at].Value != c.want {
			t.Errorf("%s: %d steps, %+v", name, len(c.w), c.w)
			continue
		}
		for _, s := range c.w {
			if s.Symbol == "" || s.Formula == "" || s.Value == "" || !s.Source.Given() {
				t.Errorf("%s: %+v", name, s)
			}
		}
	}
	for name, w := range map[string]units.Working{
		"ratio": clearance.RatioChoices{}.Working(), "crown": clearance.Burette{}.Working(), "counterweight": clearance.CounterweightRoom{}.Working(),
		"pickup": clearance.PickupRoom{}.Working(), "rod": clearance.RodAlignment{}.Working(), "backlash": clearance.BacklashReading{}.Working(),
		"ribbon": clearance.RibbonPull{}.Working(), "slack": clearance.FreeSpan{}.Working(), "drawn": clearance.Simulation{}.Working(), "intake": clearance.PistonValveSensitivity{}.Working(),
	} {
		if w != nil {
			t.Errorf("%s: working of nothing, %v", name, w)
		}
	}
	_, _, _ = clearance.TangFit{}.Working(), clearance.StaggerPlan{}.Working(), clearance.StackShare{}.Working()
}

func TestNewChecksDoNotAllocate(t *testing.T) {
	stack := clearance.ShellStack{Housing: un(64 * mm), Upper: un(2 * mm), Lower: un(2 * mm), Journal: un(60*mm - 40*um)}
	near := clearance.Neighbors{un(um), un(3 * um), un(2 * um)}
	lobed := clearance.LobedReading{Vee: 90 * units.CrankDegree, Lobes: 3, TIR: un(um)}
	h := ironRing()
	groove := clearance.RingGroove{GrooveWidth: un(mm), RingWidth: un(mm), Bore: un(100 * mm), Root: un(90 * mm), Thickness: un(mm)}
	deck := clearance.CrownReadings{Thrust: clearance.DialReadings{un(um)}, Opposite: clearance.DialReadings{un(um)}, ThrustOffset: mm, OppositeOffset: mm}
	rock := clearance.RockRoom{Clearance: un(90 * um), Guided: un(60 * mm), Offset: 40 * mm}
	for name, f := range map[string]func() error{
		"stack":     func() error { _, err := stack.Clearance(); return err },
		"neighbors": func() error { _, err := near.LargestStep(); return err },
		"lobed":     func() error { _, err := lobed.Roundness(); return err },
		"minimum":   func() error { _, err := h.MinimumGap(0); return err },
		"hot":       func() error { _, err := h.HotGap(un(mm)); return err },
		"side":      func() error { _, err := groove.SideClearance(); return err },
		"back":      func() error { _, err := groove.BackClearance(); return err },
		"deck":      func() error { _, err := deck.Deck(); return err },
		"rock":      func() error { _, err := rock.Rock(); return err },
	} {
		if err := f(); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if n := testing.AllocsPerRun(50, func() { _ = f() }); n != 0 {
			t.Errorf("%s: %g allocations", name, n)
		}
	}
}

func BenchmarkMatch(b *testing.B) {
	for _, n := range []int{8, 100} {
		b.Run(fmt.Sprint(n, " bores"), func(b *testing.B) {
			b.ReportAllocs()
			rng := rand.New(rand.NewPCG(1, 1))
			m := clearance.Matching{Target: 90 * um}
			for range n {
				m.Bores = append(m.Bores, un(102*mm+units.Length(rng.IntN(30))*um))
			}
			for range n + n/4 {
				m.Shafts = append(m.Shafts, un(102*mm-units.Length(75+rng.IntN(30))*um))
			}
			for b.Loop() {
				r, _ := m.Match()
				sink += r.LargestDeviation
			}
		})
	}
}
