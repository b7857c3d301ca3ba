package clearance_test

import (
	"math"
	"testing"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

func TestCompressionUncertaintyByDifferences(t *testing.T) {
	c := workboatCylinder()
	for m, u := range map[*units.Measured[units.Length]]units.Length{
		&c.Bore: 10 * um, &c.Stroke: 20 * um, &c.GasketBore: 100 * um, &c.Gasket: 20 * um, &c.Deck: 20 * um, &c.Land: 30 * um, &c.TopRing: 80 * um,
	} {
		*m = units.WithU(m.Value, u)
	}
	c.Head, c.Crown = units.WithU(c.Head.Value, units.CubicCentimeters(0.2)), units.WithU(c.Crown.Value, units.CubicCentimeters(0.1))
	v := must(c.Volumes())
	var ratio, volume float64
	step := func(up, down clearance.CompressionVolumes) {
		ratio = math.Hypot(ratio, float64(up.Ratio.Value-down.Ratio.Value)/2)
		volume = math.Hypot(volume, float64(up.Clearance.Value-down.Clearance.Value)/2)
	}
	for _, m := range []*units.Measured[units.Length]{&c.Bore, &c.Stroke, &c.GasketBore, &c.Gasket, &c.Deck, &c.Land, &c.TopRing} {
		was := m.Value
		m.Value = was + m.U
		up := must(c.Volumes())
		m.Value = was - m.U
		down := must(c.Volumes())
		m.Value = was
		step(up, down)
	}
	for _, m := range []*units.Measured[units.Volume]{&c.Head, &c.Crown} {
		was := m.Value
		m.Value = was + m.U
		up := must(c.Volumes())
		m.Value = was - m.U
		down := must(c.Volumes())
		m.Value = was
		step(up, down)
	}
	if !v.Ratio.Stated || math.Abs(float64(v.Ratio.U)/ratio-1) > 1e-4 || math.Abs(float64(v.Clearance.U)/volume-1) > 1e-4 {
		t.Errorf("u %v and %v, differences give %v and %v", v.Ratio.U, v.Clearance.U, ratio, volume)
	}
	c.Deck.Stated, c.Deck.U = false, 0
	if must(c.Volumes()).Ratio.Stated {
		t.Error("stated without the deck's")
	}
}

// Each choice put in gives the ratio asked for.
func TestForRatioInverse(t *testing.T) {
	for _, wanted := range []clearance.CompressionRatio{7, 9.75, 12.25} {
		c := workboatCylinder()
		r := must(c.ForRatio(wanted))
		try := func(name string, c clearance.Compression) {
			t.Helper()
			v := must(c.Volumes())
			if d := float64(v.Ratio.Value - wanted); math.Abs(d) > 1e-9 {
				t.Errorf("%s: %v, want %v", name, v.Ratio.Value, wanted)
			}
			if math.Abs(float64(v.Clearance.Value/r.Clearance-1)) > 1e-9 {
				t.Errorf("%s: %v left, want %v", name, v.Clearance.Value, r.Clearance)
			}
		}
		d := c
		d.Deck.Value = r.Deck
		try("deck", d)
		d = c
		d.Head.Value = r.Head.Value
		try("head", d)
		d = c
		d.Crown.Value = r.Crown
		try("crown", d)
		if r.Gasket.Given {
			d = c
			d.Gasket.Value = r.Gasket.Value
			try("gasket", d)
		}
	}
	// So high a ratio needs less than the gasket at hand takes up.
	if r := must(workboatCylinder().ForRatio(60)); r.Gasket.Given || r.Head.Given {
		t.Errorf("%+v, want neither gasket nor chamber", r)
	}
}

func TestEffectiveAtBottom(t *testing.T) {
	c := workboatCylinder()
	k := slider(c.Stroke.Value/2, 178*mm, 0)
	e := must(c.Effective(clearance.IntakeClosing{Piston: k, IVC: 4 * units.CrankDegree, Advance: 4 * units.CrankDegree}))
	if d := float64(e.Ratio.Value - e.Static.Ratio.Value); math.Abs(d) > 1e-9 {
		t.Errorf("%v, want the static %v", e.Ratio.Value, e.Static.Ratio.Value)
	}
	last := math.Inf(1)
	for ivc := units.CrankAngle(0); ivc <= 90*units.CrankDegree; ivc += 5 * units.CrankDegree {
		r := float64(must(c.Effective(clearance.IntakeClosing{Piston: k, IVC: ivc})).Ratio.Value)
		if r >= last || r <= 1 {
			t.Errorf("%v at %v, want it to fall from %v", r, ivc, last)
		}
		last = r
	}
	if len(e.Working()) < 9 || len(e.Static.Working()) != 6 {
		t.Error("working")
	}
}

func TestCompressionBadInput(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*clearance.Compression)
		kind   error
		field  string
	}{
		"no bore":           {func(c *clearance.Compression) { c.Bore.Value = 0 }, units.ErrMissing, "Bore"},
		"negative bore":     {func(c *clearance.Compression) { c.Bore.Value = -1 }, units.ErrRange, "Bore"},
		"huge bore":         {func(c *clearance.Compression) { c.Bore.Value = units.MaxLength }, units.ErrRange, "Bore"},
		"wide bore":         {func(c *clearance.Compression) { c.Bore.Value = 11 * units.Meter }, units.ErrRange, "Bore"},
		"no stroke":         {func(c *clearance.Compression) { c.Stroke.Value = 0 }, units.ErrMissing, "Stroke"},
		"NaN head":          {func(c *clearance.Compression) { c.Head.Value = units.Volume(math.NaN()) }, units.ErrRange, "Head"},
		"negative head":     {func(c *clearance.Compression) { c.Head.Value = -1e-6 }, units.ErrRange, "Head"},
		"infinite crown":    {func(c *clearance.Compression) { c.Crown.Value = units.Volume(math.Inf(-1)) }, units.ErrRange, "Crown"},
		"NaN u":             {func(c *clearance.Compression) { c.Head = units.WithU(c.Head.Value, units.Volume(math.NaN())) }, units.ErrRange, "Head.U"},
		"u not stated":      {func(c *clearance.Compression) { c.Crown.U = 1e-7 }, units.ErrConflict, "Crown.U"},
		"gasket bore":       {func(c *clearance.Compression) { c.GasketBore.Value = 0 }, units.ErrMissing, "GasketBore"},
		"negative gasket":   {func(c *clearance.Compression) { c.Gasket.Value = -1 }, units.ErrRange, "Gasket"},
		"gasket u":          {func(c *clearance.Compression) { c.Gasket = units.Measured[units.Length]{U: -1, Stated: true} }, units.ErrRange, "Gasket.U"},
		"deck far":          {func(c *clearance.Compression) { c.Deck.Value = -2 * units.Meter }, units.ErrRange, "Deck"},
		"land alone":        {func(c *clearance.Compression) { c.TopRing = un(0) }, units.ErrMissing, "TopRing"},
		"ring alone":        {func(c *clearance.Compression) { c.Land = un(0) }, units.ErrMissing, "Land"},
		"land over bore":    {func(c *clearance.Compression) { c.Land = c.Bore }, units.ErrConflict, "Land"},
		"nothing left":      {func(c *clearance.Compression) { c.Deck.Value = -20 * mm }, units.ErrImpossible, "Head, Crown, Gasket, Deck"},
		"nothing but bores": {func(c *clearance.Compression) { *c = clearance.Compression{Bore: un(mm), Stroke: un(mm)} }, units.ErrImpossible, "Head, Crown, Gasket, Deck"},
	} {
		t.Run(name, func(t *testing.T) {
			x := workboatCylinder()
			c.change(&x)
			got, err := x.Volumes()
			wantError(t, got, func(v clearance.CompressionVolumes) bool { return v.Swept == 0 && v.Ratio.Value == 0 }, err, c.kind, c.field)
			r, err := x.ForRatio(10)
			wantError(t, r, func(r clearance.RatioChoices) bool { return r == clearance.RatioChoices{} }, err, c.kind, c.field)
		})
	}
	ok := workboatCylinder()
	k := slider(50800*um, 178*mm, 0)
	limits := units.AtLeast(mm, card)
	second := func(_ any, err error) error { return err }
	gaskets := []units.Measured[units.Length]{un(mm)}
	for name, c := range map[string]struct {
		err   error
		kind  error
		field string
	}{
		"ratio of 1":        {second(ok.ForRatio(1)), units.ErrRange, "wanted"},
		"NaN ratio":         {second(ok.ForRatio(clearance.CompressionRatio(math.NaN()))), units.ErrRange, "wanted"},
		"no deck":           {second(ok.ForRatio(1.001)), units.ErrImpossible, "wanted"},
		"no piston":         {second(ok.Effective(clearance.IntakeClosing{})), units.ErrMissing, "Piston, IVC"},
		"ivc":               {second(ok.Effective(clearance.IntakeClosing{Piston: k, IVC: 181 * units.CrankDegree})), units.ErrRange, "Piston, IVC"},
		"ivc overflow":      {second(ok.Effective(clearance.IntakeClosing{Piston: k, IVC: math.MaxInt64})), units.ErrRange, "IVC, Advance"},
		"other stroke":      {second(ok.Effective(clearance.IntakeClosing{Piston: slider(40*mm, 178*mm, 0)})), units.ErrConflict, "Stroke"},
		"effective of none": {second(clearance.Compression{}.Effective(clearance.IntakeClosing{Piston: k})), units.ErrMissing, "Bore"},
		"no cylinders":      {second(clearance.Displacement{Bore: mm, Stroke: mm}.Volume()), units.ErrRange, "Cylinders"},
		"displaced bore":    {second(clearance.Displacement{Stroke: mm, Cylinders: 1}.Volume()), units.ErrMissing, "Bore"},
		"displaced stroke":  {second(clearance.Displacement{Bore: mm, Stroke: -1, Cylinders: 1}.Volume()), units.ErrRange, "Stroke"},
		"burette bore":      {second(clearance.Burette{}.Crown()), units.ErrMissing, "Bore"},
		"burette drop":      {second(clearance.Burette{Bore: un(mm), Drop: un(-1)}.Crown()), units.ErrRange, "Drop"},
		"burette empty":     {second(clearance.Burette{Bore: un(mm)}.Crown()), units.ErrRange, "Filled"},
		"burette NaN":       {second(clearance.Burette{Bore: un(mm), Filled: unVolume(math.NaN())}.Crown()), units.ErrRange, "Filled"},
		"squish gasket":     {second(clearance.Squish{Gasket: un(-1)}.Clearance()), units.ErrRange, "Gasket"},
		"squish growth":     {second(clearance.Squish{Growth: un(-1)}.Clearance()), units.ErrRange, "Growth"},
		"squish far":        {second(clearance.Squish{Deck: un(units.MaxLength)}.Clearance()), units.ErrRange, "Deck"},
		"crush nothing":     {second(clearance.GasketPair{}.Crush()), units.ErrMissing, "New"},
		"crush one":         {second(clearance.GasketPair{New: un(mm)}.Crush()), units.ErrMissing, "Compressed"},
		"crush swapped":     {second(clearance.GasketPair{New: un(mm), Compressed: un(2 * mm)}.Crush()), units.ErrConflict, "Compressed"},
		"no gaskets":        {second(clearance.GasketChoice{Compression: ok, Squish: limits}.Table()), units.ErrMissing, "Gaskets"},
		"no limits":         {second(clearance.GasketChoice{Compression: ok, Gaskets: gaskets}.Table()), units.ErrMissing, "Ratio, Squish"},
		"a gasket of 0":     {second(clearance.GasketChoice{Compression: ok, Gaskets: []units.Measured[units.Length]{un(0)}, Squish: limits}.Table()), units.ErrMissing, "Gaskets[0]"},
		"many gaskets":      {second(clearance.GasketChoice{Compression: ok, Gaskets: make([]units.Measured[units.Length], 1001), Squish: limits}.Table()), units.ErrRange, "Gaskets"},
		"limits swapped":    {second(clearance.GasketChoice{Compression: ok, Gaskets: gaskets, Squish: units.Between(2*mm, mm, card)}.Table()), units.ErrConflict, "Squish"},
		"growth negative":   {second(clearance.GasketChoice{Compression: ok, Gaskets: gaskets, Growth: un(-1), Squish: limits}.Table()), units.ErrRange, "Growth"},
	} {
		wantError(t, 0, func(int) bool { return true }, c.err, c.kind, c.field)
		if t.Failed() {
			t.Fatal(name)
		}
	}
	_ = clearance.CompressionVolumes{}.Working()
	_ = clearance.EffectiveCompression{}.Working()
	_ = clearance.SquishClearance{}.Working()
	_ = clearance.GasketCrush{}.Working()
	if s := clearance.CompressionRatio(9.5).String(); s != "9.5:1" {
		t.Error(s)
	}
}

// One question alone decides where only one is asked.
func TestGasketTableOneLimit(t *testing.T) {
	g := clearance.GasketChoice{
		Compression: workboatCylinder(), Gaskets: []units.Measured[units.Length]{un(mm), un(2 * mm)}, Squish: units.AtMost(1500*um, card), Rule: units.SimpleAcceptance,
	}
	lines := must(g.Table())
	if lines[0].Outcome != units.ProvedWithin || lines[1].Outcome != units.ProvedOutside || lines[0].Ratio.Given || !lines[0].Running.Given {
		t.Errorf("%+v", lines)
	}
	g.Rule = units.ProveAt95
	if must(g.Table())[0].Outcome != units.NotProved {
		t.Error("proved without an uncertainty")
	}
}

func TestCompressionDoesNotAllocate(t *testing.T) {
	c := workboatCylinder()
	k := slider(50800*um, 178*mm, 0)
	in := clearance.IntakeClosing{Piston: k, IVC: 60 * units.CrankDegree}
	for name, f := range map[string]func(){
		"Volumes":   func() { _, _ = c.Volumes() },
		"ForRatio":  func() { _, _ = c.ForRatio(9) },
		"Effective": func() { _, _ = c.Effective(in) },
	} {
		if n := testing.AllocsPerRun(50, f); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}

func BenchmarkCompressionVolumes(b *testing.B) {
	b.ReportAllocs()
	c := workboatCylinder()
	i := 0
	for b.Loop() {
		c.Deck.Value = units.Length(i%64) * um
		v, _ := c.Volumes()
		sink += units.Length(v.Ratio.Value)
		i++
	}
}
