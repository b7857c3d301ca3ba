package clearance_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// A lobed part set into a V by moving it until it touches both faces shows
// what the factor says.
func TestLobedReadingAgainstContact(t *testing.T) {
	for _, vee := range []float64{60, 72, 90, 108, 120, 150, 180} {
		for n := 2; n <= 12; n++ {
			beta := vee / 2 * math.Pi / 180
			lo, hi := math.Inf(1), math.Inf(-1)
			for k := range 3600 {
				turn := float64(k) * math.Pi / 1800
				form := func(a float64) float64 { return math.Cos(float64(n) * (a + turn)) } // a from straight up
				// Contacts lie at 90 degrees + beta either way from straight up. The faces keep
				// the sum of form and shift along each normal at 0.
				right, left := form(math.Pi/2+beta), form(-math.Pi/2-beta)
				up := (right + left) / (2 * math.Sin(beta))
				r := form(0) + up
				lo, hi = math.Min(lo, r), math.Max(hi, r)
			}
			want := (hi - lo) / 2 // form is 2 from hill to valley
			tir := units.WithU(units.Length(math.RoundToEven(want*2e9)), 0)
			got, err := clearance.LobedReading{Vee: units.CrankAngle(vee * 1e9), Lobes: n, TIR: tir}.Roundness()
			if want < 0.05 {
				if err == nil {
					t.Errorf("V %g, %d lobes: factor %g, but the setup is blind", vee, n, got.Factor)
				}
				continue
			}
			if err != nil || math.Abs(got.Factor-want) > 1e-4 || math.Abs(float64(got.Roundness.Value)-2e9) > 1e6 {
				t.Errorf("V %g, %d lobes: factor %g, want %g; roundness %v (%v)", vee, n, got.Factor, want, got.Roundness.Value, err)
			}
		}
	}
}

func TestLobedReadingBadInput(t *testing.T) {
	deg := units.CrankDegree
	for name, c := range map[string]struct {
		r     clearance.LobedReading
		kind  error
		field string
	}{
		"no V":         {clearance.LobedReading{Lobes: 3, TIR: un(um)}, units.ErrRange, "Vee"},
		"negative V":   {clearance.LobedReading{Vee: -90 * deg, Lobes: 3, TIR: un(um)}, units.ErrRange, "Vee"},
		"V over 180":   {clearance.LobedReading{Vee: 181 * deg, Lobes: 3, TIR: un(um)}, units.ErrRange, "Vee"},
		"one lobe":     {clearance.LobedReading{Vee: 90 * deg, Lobes: 1, TIR: un(um)}, units.ErrRange, "Lobes"},
		"many lobes":   {clearance.LobedReading{Vee: 90 * deg, Lobes: math.MaxInt, TIR: un(um)}, units.ErrRange, "Lobes"},
		"negative TIR": {clearance.LobedReading{Vee: 90 * deg, Lobes: 3, TIR: un(-um)}, units.ErrRange, "TIR"},
		"far TIR":      {clearance.LobedReading{Vee: 90 * deg, Lobes: 3, TIR: un(units.MaxLength)}, units.ErrRange, "TIR"},
		"blind":        {clearance.LobedReading{Vee: 60 * deg, Lobes: 2, TIR: un(um)}, units.ErrImpossible, "Vee"},
		"negative u":   {clearance.LobedReading{Vee: 90 * deg, Lobes: 3, TIR: units.WithU(um, -um)}, units.ErrRange, "TIR.U"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.r.Roundness()
			wantError(t, got, func(f clearance.LobedForm) bool { return f == clearance.LobedForm{} }, err, c.kind, c.field)
		})
	}
}

// A circle that is put off center comes back, and turning the part or moving
// the dial's zero does what it should.
func TestCircleComesBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	for range 200 {
		n := 3 + rng.IntN(20)
		e, toward := rng.Float64()*1e9, rng.Float64()*360
		zero := units.Length(rng.Int64N(int64(mm)))
		step := 360 / float64(n)
		var r clearance.RadialReadings
		for i := range n {
			a := float64(i)*step + rng.Float64()*step/3
			v := e * math.Cos((a-toward)*math.Pi/180)
			ca, _ := units.CrankDegrees(a)
			r = append(r, clearance.RadialReading{Around: ca, Reading: un(zero + units.Length(math.RoundToEven(v)))})
		}
		c, err := r.Circle()
		if err != nil {
			t.Fatal(err)
		}
		turn := math.Mod(math.Abs(c.Toward.Degrees()-toward), 360)
		if math.Abs(float64(c.Eccentricity.Value)-e) > 3 || math.Abs(float64(c.Mean.Value-zero)) > 3 || math.Min(turn, 360-turn) > 1e-6*(1+1e9/e) {
			t.Fatalf("%d readings: %v toward %v, mean %v; want %g toward %g, mean %v", n, c.Eccentricity.Value, c.Toward, c.Mean.Value, e, toward, zero)
		}
		if n > 3 && c.Roundness.Value.Value > 6 {
			t.Errorf("a circle is %v out of round", c.Roundness.Value.Value)
		}
	}
}

func TestCircleBadInput(t *testing.T) {
	at := func(a units.CrankAngle, m units.Measured[units.Length]) clearance.RadialReading {
		return clearance.RadialReading{Around: a * units.CrankDegree, Reading: m}
	}
	for name, c := range map[string]struct {
		r     clearance.RadialReadings
		kind  error
		field string
	}{
		"none":         {nil, units.ErrMissing, "RadialReadings"},
		"two":          {clearance.RadialReadings{at(0, un(um)), at(90, un(um))}, units.ErrMissing, "RadialReadings"},
		"too many":     {make(clearance.RadialReadings, 10_001), units.ErrRange, "RadialReadings"},
		"twice":        {clearance.RadialReadings{at(0, un(um)), at(90, un(um)), at(360, un(um))}, units.ErrConflict, "RadialReadings[2].Around"},
		"crowded":      {clearance.RadialReadings{{Around: 1}, {Around: 2}, {Around: 3}, {Around: 4}}, units.ErrConflict, "RadialReadings"},
		"far":          {clearance.RadialReadings{at(0, un(units.MaxLength)), at(90, un(um)), at(180, un(um))}, units.ErrRange, "RadialReadings[0].Reading"},
		"negative u":   {clearance.RadialReadings{at(0, un(um)), at(90, units.WithU(um, -1)), at(180, un(um))}, units.ErrRange, "RadialReadings[1].Reading.U"},
		"u not stated": {clearance.RadialReadings{at(0, un(um)), at(90, un(um)), at(180, units.Measured[units.Length]{U: 1})}, units.ErrConflict, "RadialReadings[2].Reading.U"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.r.Circle()
			wantError(t, got, func(c clearance.LeastSquaresCircle) bool { return c.Residuals == nil && c.Mean.Value == 0 }, err, c.kind, c.field)
		})
	}
}

func randomLine(rng *rand.Rand, n int, off int, by units.Length) clearance.BoreLine {
	var l clearance.BoreLine
	x := units.Length(0)
	for i := range n {
		x += units.Length(60+rng.IntN(60)) * mm
		g := 50*um + x/10_000 + units.Length(rng.NormFloat64()*float64(um))
		if i == off {
			g += by
		}
		l = append(l, clearance.LineReading{At: x, Gap: units.WithU(g, um)})
	}
	return l
}

// The bore that was moved is the bore that is told, by about as much; nothing
// is told where nothing was moved but for the 5 % and their many tries.
func TestAlignmentTellsTheBore(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	for range 300 {
		n := 5 + rng.IntN(4)
		k := rng.IntN(n)
		l := randomLine(rng, n, k, 30*um)
		a, err := l.Alignment()
		if err != nil {
			t.Fatal(err)
		}
		b := a.Bores[k].Off
		if a.Worst != k || !a.Told || math.Abs(float64(b.Value-30*um)) > 5*float64(b.U) {
			t.Fatalf("bore %d of %d moved by 30 um: told %v, worst %d, off %v", k, n, a.Told, a.Worst, b)
		}
	}
}

// Off is the distance from the line through the other bores, and a tilt or a
// shift of the straightedge changes no residual.
func TestAlignmentAgainstRefit(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for range 100 {
		n := 3 + rng.IntN(6)
		l := randomLine(rng, n, -1, 0)
		for i := range l {
			l[i].Gap.U = units.Length(1+rng.IntN(4)) * um
		}
		a, err := l.Alignment()
		if err != nil {
			t.Fatal(err)
		}
		for k := range l {
			var sw, sx, sy, sxx, sxy float64
			for i, r := range l {
				if i == k {
					continue
				}
				w := 1 / (float64(r.Gap.U) * float64(r.Gap.U))
				x, y := float64(r.At-l[k].At), float64(r.Gap.Value)
				sw, sx, sy, sxx, sxy = sw+w, sx+w*x, sy+w*y, sxx+w*x*x, sxy+w*x*y
			}
			d := sw*sxx - sx*sx
			line, variance := (sxx*sy-sx*sxy)/d, sxx/d // at the bore left out
			if off := float64(l[k].Gap.Value) - line; math.Abs(off-float64(a.Bores[k].Off.Value)) > 2 {
				t.Fatalf("bore %d off by %v, want %g", k, a.Bores[k].Off.Value, off)
			}
			u := math.Hypot(float64(l[k].Gap.U), math.Sqrt(variance))
			if math.Abs(u-float64(a.Bores[k].Off.U)) > 2 {
				t.Fatalf("bore %d: u %v, want %g", k, a.Bores[k].Off.U, u)
			}
		}
		moved := append(clearance.BoreLine(nil), l...)
		for i := range moved {
			moved[i].Gap.Value += 300*um - l[i].At/1000
		}
		b, err := moved.Alignment()
		if err != nil {
			t.Fatal(err)
		}
		for k := range l {
			if (a.Bores[k].Residual.Value - b.Bores[k].Residual.Value).Abs() > 2 {
				t.Fatalf("the straightedge moved bore %d", k)
			}
		}
	}
}

func TestAlignmentBadInput(t *testing.T) {
	ok := func() clearance.BoreLine {
		return clearance.BoreLine{{At: 0, Gap: units.WithU(um, um)}, {At: mm, Gap: units.WithU(um, um)}, {At: 2 * mm, Gap: units.WithU(um, um)}}
	}
	for name, c := range map[string]struct {
		change func(clearance.BoreLine) clearance.BoreLine
		kind   error
		field  string
	}{
		"none":        {func(clearance.BoreLine) clearance.BoreLine { return nil }, units.ErrMissing, "BoreLine"},
		"two":         {func(l clearance.BoreLine) clearance.BoreLine { return l[:2] }, units.ErrMissing, "BoreLine"},
		"too many":    {func(clearance.BoreLine) clearance.BoreLine { return make(clearance.BoreLine, 10_001) }, units.ErrRange, "BoreLine"},
		"same place":  {func(l clearance.BoreLine) clearance.BoreLine { l[1].At = 0; return l }, units.ErrConflict, "BoreLine[1].At"},
		"far":         {func(l clearance.BoreLine) clearance.BoreLine { l[2].At = units.MaxLength; return l }, units.ErrRange, "BoreLine[2].At"},
		"far gap":     {func(l clearance.BoreLine) clearance.BoreLine { l[0].Gap.Value = units.MaxLength; return l }, units.ErrRange, "BoreLine[0].Gap"},
		"one without": {func(l clearance.BoreLine) clearance.BoreLine { l[1].Gap = un(um); return l }, units.ErrConflict, "BoreLine[1].Gap"},
		"u of 0":      {func(l clearance.BoreLine) clearance.BoreLine { l[1].Gap.U = 0; return l }, units.ErrConflict, "BoreLine[1].Gap.U"},
		"blind": {func(l clearance.BoreLine) clearance.BoreLine {
			l[1].Gap.U = 1
			l[2].Gap.U = 1
			l[0].Gap.U = mm
			return l
		}, units.ErrConflict, "BoreLine[1].Gap.U"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.change(ok()).Alignment()
			wantError(t, got, func(a clearance.Alignment) bool { return a.Bores == nil && a.Slope == 0 }, err, c.kind, c.field)
		})
	}
}

// An undersize is chosen exactly if grinding to its largest diameter leaves
// the stock on every journal, and no smaller one does.
func TestRegrindAgainstEveryJournal(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	sizes := []units.Length{0, 250 * um, 500 * um, 750 * um}
	none := 0
	for range 300 {
		r := clearance.Regrind{
			Standard: clearance.Size{Min: 60*mm - 20*um, Max: 60 * mm}, Undersizes: []units.Length{sizes[2], sizes[0], sizes[3], sizes[1]},
			Stock: units.AtLeast(30*um, card), Rule: units.SimpleAcceptance,
		}
		for range 1 + rng.IntN(6) {
			r.Journals = append(r.Journals, clearance.WornJournal{
				Smallest: un(60*mm - units.Length(rng.IntN(800))*um), Runout: un(units.Length(rng.IntN(60)) * um),
			})
		}
		want := -1
		for i, s := range sizes {
			cleans := true
			for _, j := range r.Journals {
				// The low side of an eccentric journal: radius about the axis
				// less half of the reading.
				low := float64(j.Smallest.Value)/2 - float64(j.Runout.Value)/2
				cleans = cleans && 2*low-float64(60*mm-s) >= float64(30*um)
			}
			if cleans {
				want = i
				break
			}
		}
		c, err := r.Choose()
		if err != nil {
			t.Fatal(err)
		}
		if want < 0 {
			none++
		}
		if c.Choice.Given != (want >= 0) || c.Choice.Given && c.Checks[c.Choice.Value].Undersize != sizes[want] {
			t.Fatalf("choice %+v, want %d", c.Choice, want)
		}
	}
	if none == 0 || none == 300 {
		t.Errorf("%d without a choice", none)
	}
}

func TestRegrindBadInput(t *testing.T) {
	ok := func() clearance.Regrind {
		return clearance.Regrind{
			Journals: []clearance.WornJournal{{Smallest: un(60*mm - 100*um)}}, Standard: clearance.Size{Min: 60*mm - 20*um, Max: 60 * mm},
			Undersizes: []units.Length{250 * um}, Stock: units.AtLeast(units.Length(0), card),
		}
	}
	if _, err := ok().Choose(); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		change func(*clearance.Regrind)
		kind   error
		field  string
	}{
		"no journals":        {func(r *clearance.Regrind) { r.Journals = nil }, units.ErrMissing, "Journals"},
		"too many":           {func(r *clearance.Regrind) { r.Journals = make([]clearance.WornJournal, 10_001) }, units.ErrRange, "Journals"},
		"no standard":        {func(r *clearance.Regrind) { r.Standard = clearance.Size{} }, units.ErrMissing, "Standard.Min"},
		"swapped standard":   {func(r *clearance.Regrind) { r.Standard = clearance.Size{Min: 2 * mm, Max: mm} }, units.ErrConflict, "Standard"},
		"no undersizes":      {func(r *clearance.Regrind) { r.Undersizes = nil }, units.ErrMissing, "Undersizes"},
		"negative undersize": {func(r *clearance.Regrind) { r.Undersizes = []units.Length{-250 * um} }, units.ErrRange, "Undersizes"},
		"twice":              {func(r *clearance.Regrind) { r.Undersizes = []units.Length{250 * um, 250 * um} }, units.ErrConflict, "Undersizes"},
		"misread undersize":  {func(r *clearance.Regrind) { r.Undersizes = []units.Length{units.MaxLength} }, units.ErrConflict, "Undersizes"},
		"no stock":           {func(r *clearance.Regrind) { r.Stock = units.AtMost(um, card) }, units.ErrMissing, "Stock"},
		"stock with a most":  {func(r *clearance.Regrind) { r.Stock = units.Between(0*um, um, card) }, units.ErrMissing, "Stock"},
		"negative stock":     {func(r *clearance.Regrind) { r.Stock = units.AtLeast(-um, card) }, units.ErrRange, "Stock"},
		"no diameter":        {func(r *clearance.Regrind) { r.Journals[0].Smallest.Value = 0 }, units.ErrMissing, "Journals[0].Smallest"},
		"misread diameter":   {func(r *clearance.Regrind) { r.Journals[0].Smallest.Value = 6 * mm }, units.ErrConflict, "Journals[0].Smallest"},
		"negative runout":    {func(r *clearance.Regrind) { r.Journals[0].Runout.Value = -um }, units.ErrRange, "Journals[0].Runout"},
	} {
		t.Run(name, func(t *testing.T) {
			r := ok()
			c.change(&r)
			got, err := r.Choose()
			wantError(t, got, func(c clearance.RegrindChoice) bool { return c.Checks == nil && !c.Choice.Given }, err, c.kind, c.field)
		})
	}
}

// A result that somebody filled in by hand gives a working or none, and no panic.
func TestWorkingOfHandMadeForms(t *testing.T) {
	for i, w := range []units.Working{
		clearance.StackClearance{}.Working(),
		clearance.ShellSpread{}.Working(),
		clearance.Crush{}.Working(),
		clearance.NeighborStep{}.Working(),
		clearance.ChosenShells{Seats: make([]clearance.SeatChoice, 2)}.Working(),
		clearance.LobedForm{}.Working(),
		clearance.LeastSquaresCircle{}.Working(),
		clearance.Alignment{Bores: make([]clearance.BoreOff, 2)}.Working(),
		clearance.RegrindChoice{Checks: make([]clearance.UndersizeCheck, 1)}.Working(),
		clearance.ThermalGap{}.Working(),
		clearance.HotGap{}.Working(),
		clearance.GapAlong{Places: make([]clearance.GapPlace, 1)}.Working(),
		clearance.RingSide{}.Working(),
		clearance.RingBack{}.Working(),
		clearance.SkirtClearance{Hot: nil}.Working(),
		clearance.PlateChange{}.Working(),
		clearance.Matched{Matches: make([]clearance.Match, 1)}.Working(),
		clearance.Deck{}.Working(),
		clearance.Rock{}.Working(),
	} {
		for _, s := range w {
			if s.Symbol == "" || s.Formula == "" {
				t.Errorf("working %d: %+v", i, s)
			}
		}
	}
}

func BenchmarkCircle(b *testing.B) {
	b.ReportAllocs()
	var r clearance.RadialReadings
	for i := range 24 {
		r = append(r, clearance.RadialReading{Around: units.CrankAngle(15*i) * units.CrankDegree, Reading: un(units.Length(i*i%7) * um)})
	}
	for b.Loop() {
		c, _ := r.Circle()
		sink += c.Eccentricity.Value
	}
}

func BenchmarkAlignmentSevenMains(b *testing.B) {
	b.ReportAllocs()
	l := randomLine(rand.New(rand.NewPCG(1, 1)), 7, 3, 20*um)
	for b.Loop() {
		a, _ := l.Alignment()
		sink += a.RMS
	}
}
