package clearance_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// A lobe of straight flanks: the least gap stands where the piston's speed along
// the line of measurement is that of the valve, found here by halving.
func TestPistonValveRamp(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 50 {
		flank := (60 + units.CamAngle(r.IntN(30))) * units.CamDegree
		lift := units.Length(6e9 + 6e9*r.Float64())
		lobe := must(camtiming.NewTableLobe(camtiming.TableLobeSpec{
			Samples:       []camtiming.LiftSample{{Angle: -flank}, {Angle: -flank / 2, Lift: lift / 2}, {Lift: lift}, {Angle: flank}},
			Interpolation: camtiming.Straight,
		}))
		k := slider(50*mm, units.Length(140e9+1e11*r.Float64()), units.Length(6e9*(r.Float64()-0.5)))
		lean := 25 * r.Float64()
		p := must(clearance.NewPistonValve(clearance.PistonValveSpec{
			Valve: camtiming.IntakeValve, Lobe: lobe, Piston: k, Face: clearance.PocketFloor, Lean: valvetrain.PlaneDegrees(lean), AtTDC: un(3 * mm),
		}))
		c := (95 + units.CrankAngle(r.IntN(20))) * units.CrankDegree
		cos := math.Cos(lean * math.Pi / 180)
		speed := lift.Meters() / flank.Degrees() / 2 / cos
		lo, hi := units.CrankAngle(0), 60*units.CrankDegree
		for hi-lo > 1 {
			if m := lo + (hi-lo)/2; float64(k.Motion(m).Velocity) < speed {
				lo = m
			} else {
				hi = m
			}
		}
		want := 3e-3 + cos*k.Travel(hi).Meters() - lift.Meters()*(1+(hi-c).Degrees()/2/flank.Degrees())
		m := must(p.Minimum(c))
		if math.Abs(m.Gap.Meters()-want) > 3e-12 || (m.FromTDC-hi).Abs() > 100 {
			t.Errorf("%v at %v, want %v at %v", m.Gap, m.FromTDC, want, hi)
		}
	}
}

func TestPistonValveSeveralMinima(t *testing.T) {
	spec := workboatIntake()
	spec.Gear = units.Optional[camtiming.ValveGear]{}
	spec.Lobe = bumpy{0.011, 66, 1.2, 9}
	p := must(clearance.NewPistonValve(spec))
	c := 106 * units.CrankDegree
	minima := 0
	var a, b units.Length
	for i := -20; i < 200; i++ {
		g := must(p.At(c, units.CrankAngle(i)*units.CrankDegree/2))
		if i > -18 && b < a && b < g.Gap {
			minima++
		}
		a, b = b, g.Gap
	}
	if minima < 2 {
		t.Fatalf("%d local minima: the case shows nothing", minima)
	}
	want, _ := scanGap(p, c)
	if m := must(p.Minimum(c)); (m.Gap - want).Abs() > units.Nanometer {
		t.Errorf("%v, a scan finds %v", m.Gap, want)
	}
}

func TestPistonValveDoesNotAllocate(t *testing.T) {
	p := must(clearance.NewPistonValve(workboatIntake()))
	c := 106 * units.CrankDegree
	gaps := make([]units.Length, 4)
	field := clearance.PistonValveMap{Separations: []units.CamAngle{108 * units.CamDegree, 110 * units.CamDegree}, Advances: []units.CrankAngle{0, units.CrankDegree}}
	for name, f := range map[string]func(){
		"Minimum":        func() { _, _ = p.Minimum(c) },
		"At":             func() { _, _ = p.At(c, c/10) },
		"Map":            func() { _ = p.Map(gaps, field) },
		"Sensitivity":    func() { _, _ = p.Sensitivity(c) },
		"SafeCenterline": func() { _, _ = p.SafeCenterline(2 * mm) },
		"SmallestLash":   func() { _, _ = p.SmallestLash(clearance.SafeLash{Centerline: c, Wanted: 5 * mm}) },
	} {
		if n := testing.AllocsPerRun(20, f); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}

// Both searches for a figure against Minimum, and the gap grows with the
// centerline and with the lash.
func TestPistonValveInverses(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for i := range 40 {
		spec, _ := randomValve(r, []int{0, 1, 3}[i%3])
		spec.Gear = units.Some(camtiming.ValveGear{Ratio: 1.5, Lash: 200 * um})
		p := must(clearance.NewPistonValve(spec))
		last := -units.Meter
		for c := units.CrankAngle(0); c <= 115*units.CrankDegree; c += 5 * units.CrankDegree {
			g := must(p.Minimum(c)).Gap
			if g < last-units.Nanometer {
				t.Errorf("%d: the gap falls to %v at %v", i, g, c)
			}
			last = g
		}
		at := (85 + units.CrankAngle(r.IntN(40))) * units.CrankDegree
		wanted := must(p.Minimum(at)).Gap
		s := must(p.SafeCenterline(wanted))
		if (s.Centerline - at).Abs() > 1000 {
			t.Errorf("%d: safe from %v, want %v", i, s.Centerline, at)
		}
		if g := must(p.Minimum(s.Centerline)).Gap; g < wanted-1 {
			t.Errorf("%d: %v left at the safe centerline, want %v", i, g, wanted)
		}
		spec.Gear.Value.Lash = units.Length(5e8 * r.Float64())
		q := must(clearance.NewPistonValve(spec))
		m := must(q.Minimum(at))
		if m.Place != clearance.Inside {
			continue
		}
		if l := must(p.SmallestLash(clearance.SafeLash{Centerline: at, Wanted: m.Gap})); (l - spec.Gear.Value.Lash).Abs() > 3 {
			t.Errorf("%d: lash %v, want %v", i, l, spec.Gear.Value.Lash)
		}
	}
}

func TestPistonValveSensitivityByDifferences(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	for i := range 40 {
		spec, _ := randomValve(r, 0)
		lobe := spec.Lobe.(*camtiming.LawLobe).Spec()
		lobe.Law = camtiming.Poly4567
		spec.Lobe = must(camtiming.NewLawLobe(lobe))
		spec.Gear = units.Some(camtiming.ValveGear{Ratio: 1.4, Lash: 200 * um})
		c := 100 * units.CrankDegree
		p := must(clearance.NewPistonValve(spec))
		s, err := p.Sensitivity(c)
		if err != nil {
			continue // the valve is closed where the piston is near
		}
		gap := func(spec clearance.PistonValveSpec, c units.CrankAngle) float64 {
			return float64(must(must(clearance.NewPistonValve(spec)).Minimum(c)).Gap)
		}
		check := func(name string, got, want float64) {
			t.Helper()
			if math.Abs(got-want) > 1e-4*math.Abs(want)+2e4 {
				t.Errorf("%d: %s %v, differences give %v", i, name, got, want)
			}
		}
		h := units.CrankDegree / 100
		fall := (gap(spec, c+h) - gap(spec, c-h)) / 0.02
		check("advance", float64(s.PerAdvance), -fall*sign(spec.Valve))
		check("separation", float64(s.PerSeparation), fall)
		a, b := spec, spec
		a.Gear.Value.Ratio, b.Gear.Value.Ratio = 1.4005, 1.3995
		check("ratio", float64(s.PerRatio), (gap(a, c)-gap(b, c))/0.001)
		a, b = spec, spec
		a.Gear.Value.Lash, b.Gear.Value.Lash = 201*um, 199*um
		check("lash", s.PerLash*1e9, (gap(a, c)-gap(b, c))/2e6*1e9)
		a, b = spec, spec
		a.Lean, b.Lean = spec.Lean+valvetrain.PlaneDegrees(0.01), spec.Lean-valvetrain.PlaneDegrees(0.01)
		if b.Lean > 0 {
			check("lean", float64(s.PerLean), (gap(a, c)-gap(b, c))/0.02)
		}
	}
}

// sign turns a change of centerline into one of advance: earlier is a smaller
// intake and a larger exhaust centerline.
func sign(v camtiming.Valve) float64 {
	if v == camtiming.ExhaustValve {
		return -1
	}
	return 1
}

func TestPistonValveMapIsMinimum(t *testing.T) {
	for _, spec := range []clearance.PistonValveSpec{workboatIntake(), workboatExhaust()} {
		p := must(clearance.NewPistonValve(spec))
		m := clearance.PistonValveMap{
			Separations: []units.CamAngle{104 * units.CamDegree, 111 * units.CamDegree}, Advances: []units.CrankAngle{-3 * units.CrankDegree, 0, 7 * units.CrankDegree},
		}
		gaps := make([]units.Length, 6)
		if err := p.Map(gaps, m); err != nil {
			t.Fatal(err)
		}
		for i, s := range m.Separations {
			for j, a := range m.Advances {
				c := must(units.CrankDegrees(s.Degrees() - sign(spec.Valve)*a.Degrees()))
				if want := must(p.Minimum(c)).Gap; (gaps[3*i+j] - want).Abs() > 1 {
					t.Errorf("%v at %v, %v: want %v", gaps[3*i+j], s, a, want)
				}
			}
		}
	}
}

// An intake that opens after top dead center, and one open there by an end.
func TestPistonValveAtAnEnd(t *testing.T) {
	spec := workboatIntake()
	p := must(clearance.NewPistonValve(spec))
	late := 170 * units.CrankDegree
	m := must(p.Minimum(late))
	if m.Place != clearance.AtOpening || m.FromTDC <= 0 || m.Gap <= spec.AtTDC.Value {
		t.Errorf("%+v, want the opening after top dead center", m.PistonValveGap)
	}
	_, err := p.Sensitivity(late)
	wantError(t, clearance.PistonValveSensitivity{}, func(clearance.PistonValveSensitivity) bool { return true }, err, units.ErrImpossible, "centerline")
	spec.Valve = camtiming.ExhaustValve
	if m := must(must(clearance.NewPistonValve(spec)).Minimum(late)); m.Place != clearance.AtClosing || m.FromTDC >= 0 {
		t.Errorf("%+v, want the closing before top dead center", m)
	}
	for p, want := range map[clearance.ValvePlace]string{0: "no place", clearance.Inside: "inside", clearance.AtOpening: "at opening", clearance.AtClosing: "at closing"} {
		if p.String() != want {
			t.Errorf("%q, want %q", p, want)
		}
	}
}

func TestPistonValveRadialAgainstScan(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 2))
	entered := 0
	for i := range 30 {
		spec, c := randomValve(r, i%4)
		spec.Face = clearance.PocketFloor
		p := must(clearance.NewPistonValve(spec))
		pocket := clearance.ValvePocket{
			Head: un(40 * mm), Pocket: un(45 * mm), Depth: units.Length(1e9 + 8e9*r.Float64()),
			Along: units.Length(3e9 * (r.Float64() - 0.5)), Across: units.Length(1e9 * r.Float64()),
		}
		got := must(p.Radial(c, pocket))
		worst := math.Inf(-1)
		for a := -360 * units.CrankDegree; a < 360*units.CrankDegree; a += units.CrankDegree / 20 {
			if g := must(p.At(c, a)); g.Valve > 0 && g.Gap < pocket.Depth {
				x := pocket.Along.Meters() - g.Travel.Meters()*math.Sin(float64(spec.Lean))
				worst = max(worst, math.Hypot(x, pocket.Across.Meters()))
			}
		}
		if got.Enters != !math.IsInf(worst, 0) {
			t.Errorf("%d: enters %v, a scan says %v", i, got.Enters, worst)
			continue
		}
		if !got.Enters {
			continue
		}
		entered++
		// The scan sees the rim passed a twentieth of a degree late at most.
		if d := 2.5e-3 - worst - got.Least.Value.Meters(); d < -1e-11 || d > 30e-6 {
			t.Errorf("%d: %v, a scan finds %v", i, got.Least.Value, 2.5e-3-worst)
		}
	}
	if entered < 5 {
		t.Errorf("only %d valves entered their pocket", entered)
	}
}

func TestPistonValveBadInput(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*clearance.PistonValveSpec)
		kind   error
		field  string
	}{
		"no valve":      {func(s *clearance.PistonValveSpec) { s.Valve = 0 }, units.ErrMissing, "Valve"},
		"unknown valve": {func(s *clearance.PistonValveSpec) { s.Valve = 7 }, units.ErrMissing, "Valve"},
		"no lobe":       {func(s *clearance.PistonValveSpec) { s.Lobe = nil }, units.ErrMissing, "Lobe"},
		"nil lobe":      {func(s *clearance.PistonValveSpec) { s.Lobe = (*camtiming.LawLobe)(nil) }, units.ErrMissing, "Lobe"},
		"NaN lobe":      {func(s *clearance.PistonValveSpec) { s.Lobe = bumpy{math.NaN(), 60, 0, 1} }, units.ErrRange, "Lobe"},
		"hidden NaN":    {func(s *clearance.PistonValveSpec) { s.Lobe = broken{bumpy{0.01, 60, 0, 1}} }, units.ErrRange, "Lobe.Velocity"},
		"no piston":     {func(s *clearance.PistonValveSpec) { s.Piston = nil }, units.ErrMissing, "Piston"},
		"zero piston":   {func(s *clearance.PistonValveSpec) { s.Piston = &camtiming.SliderCrank{} }, units.ErrMissing, "Piston"},
		"no face":       {func(s *clearance.PistonValveSpec) { s.Face = 0 }, units.ErrMissing, "Face"},
		"NaN lean":      {func(s *clearance.PistonValveSpec) { s.Lean = valvetrain.PlaneAngle(math.NaN()) }, units.ErrRange, "Lean"},
		"negative lean": {func(s *clearance.PistonValveSpec) { s.Lean = -0.1 }, units.ErrRange, "Lean"},
		"flat lean":     {func(s *clearance.PistonValveSpec) { s.Lean = valvetrain.PlaneDegrees(90) }, units.ErrRange, "Lean"},
		"far":           {func(s *clearance.PistonValveSpec) { s.AtTDC.Value = units.MaxLength }, units.ErrRange, "AtTDC"},
		"negative u":    {func(s *clearance.PistonValveSpec) { s.AtTDC.U = -1 }, units.ErrRange, "AtTDC.U"},
		"ratio":         {func(s *clearance.PistonValveSpec) { s.Gear.Value.Ratio = math.Inf(1) }, units.ErrRange, "Gear"},
		"no ratio":      {func(s *clearance.PistonValveSpec) { s.Gear.Value.Ratio = 0 }, units.ErrRange, "Gear"},
		"negative lash": {func(s *clearance.PistonValveSpec) { s.Gear.Value.Lash = -1 }, units.ErrRange, "Gear"},
		"too much lash": {func(s *clearance.PistonValveSpec) {
			s.Gear.Value = camtiming.ValveGear{Ratio: 0.5, Lash: 9 * mm}
		}, units.ErrImpossible, "Gear.Lash"},
		"gear not given": {func(s *clearance.PistonValveSpec) { s.Gear.Given = false }, units.ErrConflict, "Gear"},
	} {
		t.Run(name, func(t *testing.T) {
			spec := workboatIntake()
			c.change(&spec)
			got, err := clearance.NewPistonValve(spec)
			wantError(t, got, func(p *clearance.PistonValve) bool { return p == nil }, err, c.kind, c.field)
		})
	}
	var zero clearance.PistonValve
	p := must(clearance.NewPistonValve(workboatIntake()))
	q := must(clearance.NewPistonValve(workboatExhaust()))
	crown := workboatIntake()
	crown.Face = clearance.FlatCrown
	curve := workboatIntake()
	curve.Gear = units.Optional[camtiming.ValveGear]{}
	ok := clearance.ValvePocket{Head: un(40 * mm), Pocket: un(44 * mm), Depth: 4 * mm}
	u := must(p.Sensitivity(106 * units.CrankDegree))
	second := func(_ any, err error) error { return err }
	for name, c := range map[string]struct {
		err   error
		kind  error
		field string
	}{
		"zero minimum":     {second(zero.Minimum(0)), units.ErrMissing, "PistonValve"},
		"nil minimum":      {second((*clearance.PistonValve)(nil).Minimum(0)), units.ErrMissing, "PistonValve"},
		"zero at":          {second(zero.At(0, 0)), units.ErrMissing, "PistonValve"},
		"zero sensitivity": {second(zero.Sensitivity(0)), units.ErrMissing, "PistonValve"},
		"zero safe":        {second(zero.SafeCenterline(0)), units.ErrMissing, "PistonValve"},
		"zero lash":        {second(zero.SmallestLash(clearance.SafeLash{})), units.ErrMissing, "PistonValve"},
		"zero radial":      {second(zero.Radial(0, ok)), units.ErrMissing, "PistonValve"},
		"zero map":         {zero.Map(nil, clearance.PistonValveMap{}), units.ErrMissing, "PistonValve"},
		"a turn away":      {second(p.Minimum(units.CrankTurn)), units.ErrRange, "centerline"},
		"overflow":         {second(p.Minimum(math.MaxInt64)), units.ErrRange, "centerline"},
		"map size":         {p.Map(make([]units.Length, 2), clearance.PistonValveMap{Separations: []units.CamAngle{0}, Advances: []units.CrankAngle{0}}), units.ErrConflict, "gaps"},
		"map overflow":     {p.Map(make([]units.Length, 1), clearance.PistonValveMap{Separations: []units.CamAngle{math.MaxInt64}, Advances: []units.CrankAngle{0}}), units.ErrRange, "Separations, Advances"},
		"map far":          {p.Map(make([]units.Length, 1), clearance.PistonValveMap{Separations: []units.CamAngle{200 * units.CamDegree}, Advances: []units.CrankAngle{-300 * units.CrankDegree}}), units.ErrRange, "Separations, Advances"},
		"wanted far":       {second(p.SafeCenterline(2 * units.Meter)), units.ErrRange, "wanted"},
		"wanted never":     {second(p.SafeCenterline(900 * mm)), units.ErrImpossible, "wanted"},
		"lash never":       {second(p.SmallestLash(clearance.SafeLash{Centerline: 60 * units.CrankDegree, Wanted: 900 * mm})), units.ErrImpossible, "Wanted"},
		"lash far":         {second(p.SmallestLash(clearance.SafeLash{Wanted: 2 * units.Meter})), units.ErrRange, "Wanted"},
		"lash of a valve":  {second(must(clearance.NewPistonValve(curve)).SmallestLash(clearance.SafeLash{})), units.ErrMissing, "Gear"},
		"no window":        {second(clearance.AdvanceWindow{Separation: 110 * units.CamDegree}.Safe()), units.ErrMissing, "Intake, Exhaust"},
		"no separation":    {second(clearance.AdvanceWindow{Intake: p}.Safe()), units.ErrRange, "Separation"},
		"swapped window":   {second(clearance.AdvanceWindow{Intake: q, Separation: 110 * units.CamDegree}.Safe()), units.ErrConflict, "Intake"},
		"zero window":      {second(clearance.AdvanceWindow{Exhaust: &zero, Separation: 110 * units.CamDegree}.Safe()), units.ErrMissing, "Exhaust"},
		"window never":     {second(clearance.AdvanceWindow{Exhaust: q, ExhaustWanted: 900 * mm, Separation: 110 * units.CamDegree}.Safe()), units.ErrImpossible, "ExhaustWanted"},
		"radial crown":     {second(must(clearance.NewPistonValve(crown)).Radial(0, ok)), units.ErrConflict, "Face"},
		"no head":          {second(p.Radial(0, clearance.ValvePocket{Pocket: un(mm), Depth: mm})), units.ErrMissing, "Head"},
		"no depth":         {second(p.Radial(0, clearance.ValvePocket{Head: un(mm), Pocket: un(mm)})), units.ErrMissing, "Depth"},
		"pocket far":       {second(p.Radial(0, clearance.ValvePocket{Head: un(mm), Pocket: un(2 * units.Meter), Depth: mm})), units.ErrRange, "Pocket"},
		"along far":        {second(p.Radial(0, clearance.ValvePocket{Head: un(mm), Pocket: un(mm), Depth: mm, Along: 2 * units.Meter})), units.ErrRange, "Along, Across"},
		"u ratio":          {second(u.Gap(clearance.PistonValveU{Ratio: math.NaN()})), units.ErrRange, "Ratio"},
		"u lean":           {second(u.Gap(clearance.PistonValveU{Lean: -1})), units.ErrRange, "Lean"},
		"u centerline":     {second(u.Gap(clearance.PistonValveU{Centerline: -1})), units.ErrRange, "Centerline"},
		"u lash":           {second(u.Gap(clearance.PistonValveU{Lash: -1})), units.ErrRange, "Lash"},
		"u deck":           {second(u.Gap(clearance.PistonValveU{Deck: units.MaxLength})), units.ErrRange, "Deck"},
		"u of nothing":     {second(clearance.PistonValveSensitivity{}.Gap(clearance.PistonValveU{})), units.ErrMissing, "PistonValveSensitivity"},
		"limits":           {second(clearance.PistonValveLimits(0)), units.ErrMissing, "Valve"},
		"over far":         {func() error { _, err := p.Over(un(units.MaxLength)); return err }(), units.ErrRange, "AtTDC"},
		"over zero valve":  {func() error { _, err := new(clearance.PistonValve).Over(un(1)); return err }(), units.ErrMissing, "PistonValve"},
		"stack face":       {second(clearance.ValveStack{}.AtTDC()), units.ErrMissing, "Face"},
		"stack gasket":     {second(clearance.ValveStack{Face: clearance.FlatCrown, Gasket: un(-1)}.AtTDC()), units.ErrRange, "Gasket"},
		"stack far":        {second(clearance.ValveStack{Face: clearance.FlatCrown, Pocket: un(units.MaxLength)}.AtTDC()), units.ErrRange, "Pocket"},
		"check face":       {second(clearance.ValveCheck{}.Corrected()), units.ErrMissing, "Face"},
		"check ratio":      {second(clearance.ValveCheck{Face: clearance.FlatCrown, Collapse: un(mm), Ratio: math.NaN()}.Corrected()), units.ErrRange, "Ratio"},
		"check lash":       {second(clearance.ValveCheck{Face: clearance.FlatCrown, LashRunning: un(-1)}.Corrected()), units.ErrRange, "LashRunning"},
		"check far":        {second(clearance.ValveCheck{Face: clearance.FlatCrown, Reading: un(units.MaxLength)}.Corrected()), units.ErrRange, "Reading"},
		"compare far":      {second(clearance.CheckedGap{Gap: un(mm)}.Compare(un(units.MaxLength))), units.ErrRange, "computed"},
		"compare nothing":  {second(clearance.CheckedGap{}.Compare(un(mm))), units.ErrMissing, "CheckedGap"},
		"judge nothing":    {second(clearance.CheckedGap{}.Judge(units.AtMost(mm, units.Source{Text: "card", Provenance: units.Stated}), units.SimpleAcceptance)), units.ErrMissing, "CheckedGap"},
	} {
		wantError(t, 0, func(int) bool { return true }, c.err, c.kind, c.field)
		if t.Failed() {
			t.Fatal(name)
		}
	}
	if m := (clearance.PistonValveMinimum{}); m.Working() != nil {
		t.Error("working of nothing")
	}
	_ = clearance.PocketRadial{}.Working()
	_ = clearance.SafeAdvance{}.Working()
	_ = clearance.CheckedGap{}.Working()
	_ = clearance.TDCClearance{}.Working()
	if clearance.PistonFace(0).String() != "no face" {
		t.Error("a face of nothing")
	}
}

// A part that is not there, the zero value, does not take the uncertainty away.
func TestValveStackWithoutAPocket(t *testing.T) {
	s := clearance.ValveStack{Face: clearance.FlatCrown, Deck: units.WithU(mm, 3), Gasket: units.WithU(mm, 4)}
	if c := must(s.AtTDC()).Clearance; !c.Stated || c.U != 5 || c.Value != 2*mm {
		t.Errorf("%v", c)
	}
	s.Recess = un(mm)
	if c := must(s.AtTDC()).Clearance; c.Stated || c.Value != 3*mm {
		t.Errorf("a recess of unknown uncertainty: %v", c)
	}
	if c := must(clearance.ValveStack{Face: clearance.FlatCrown}.AtTDC()).Clearance; c.Stated || c.Value != 0 {
		t.Errorf("nothing given: %v", c)
	}
}

// broken has a slope that is no number in a place that no usual check looks at.
type broken struct{ bumpy }

func (b broken) Velocity(a units.CamAngle) units.LiftVelocity {
	if x := a.Degrees(); x > -20 && x < -17 {
		return units.LiftVelocity(math.NaN())
	}
	return b.bumpy.Velocity(a)
}

// What must hold whatever the figures: nothing on the way is lower than the least.
func FuzzPistonValveMinimum(f *testing.F) {
	f.Add(uint64(1), uint8(0), 106.0)
	f.Add(uint64(2), uint8(2), 300.0)
	f.Add(uint64(3), uint8(4), -20.0)
	f.Fuzz(func(t *testing.T, seed uint64, kind uint8, deg float64) {
		c, err := units.CrankDegrees(math.Mod(deg, 360))
		if err != nil {
			t.Skip()
		}
		r := rand.New(rand.NewPCG(seed, 1))
		spec, _ := randomValve(r, int(kind%5))
		p, err := clearance.NewPistonValve(spec)
		if err != nil {
			t.Skip()
		}
		m, err := p.Minimum(c)
		if err != nil {
			t.Fatal(err)
		}
		for range 2000 {
			a := units.CrankAngle(720e9 * r.Float64())
			if g := must(p.At(c, a)); g.Valve > 0 && g.Gap < m.Gap-units.Nanometer {
				t.Fatalf("%v at %v is under the least, %v at %v", g.Gap, g.FromTDC, m.Gap, m.FromTDC)
			}
		}
	})
}

func TestValveCheckUncertaintyByDifferences(t *testing.T) {
	read := func(v, u float64) units.Measured[units.Length] {
		return units.WithU(units.Length(v*1e9), units.Length(u*1e9))
	}
	for _, face := range []clearance.PistonFace{clearance.PocketFloor, clearance.FlatCrown} {
		c := clearance.ValveCheck{
			Reading: read(2, 0.05), Face: face, Lean: valvetrain.PlaneDegrees(15), Ratio: 1.6, LashAtCheck: read(0.05, 0.01), LashRunning: read(0.3, 0.02),
			Collapse: read(0.5, 0.03), GasketAtCheck: read(1, 0.02), GasketRunning: read(1.2, 0.03), Spring: read(0.05, 0.04),
		}
		base := must(c.Corrected()).Gap
		var sum float64
		for _, m := range []*units.Measured[units.Length]{&c.Reading, &c.LashAtCheck, &c.LashRunning, &c.Collapse, &c.GasketAtCheck, &c.GasketRunning, &c.Spring} {
			m.Value += m.U
			sum = math.Hypot(sum, float64(must(c.Corrected()).Gap.Value-base.Value))
			m.Value -= m.U
		}
		if !base.Stated || math.Abs(float64(base.U)-sum) > 5 {
			t.Errorf("%v: u %v, differences give %v pm", face, base.U, sum)
		}
		c.Spring.Stated, c.Spring.U = false, 0
		if must(c.Corrected()).Gap.Stated {
			t.Error("stated without the spring's")
		}
	}
}

func TestAdvanceWindowNone(t *testing.T) {
	w := clearance.AdvanceWindow{
		Intake: must(clearance.NewPistonValve(workboatIntake())), Exhaust: must(clearance.NewPistonValve(workboatExhaust())),
		IntakeWanted: 7 * mm, ExhaustWanted: 7 * mm, Separation: 100 * units.CamDegree,
	}
	r := must(w.Safe())
	if !r.None || len(r.Working()) != 2 {
		t.Errorf("%+v, want no advance", r)
	}
	w.Intake, w.ExhaustWanted = nil, -900*mm
	if r = must(w.Safe()); r.None || r.Highest.Given || r.Lowest.Value != -100*units.CrankDegree {
		t.Errorf("%+v, want every advance down to the nose at top dead center", r)
	}
}
