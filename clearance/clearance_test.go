package clearance_test

import (
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

var (
	card = units.Source{Text: "the part maker's card", Provenance: units.Stated}
	mm   = units.Millimeter
	um   = units.Micrometer
)

func in(s string) units.Length { return units.MustParseLength(s + " in") }

func un(l units.Length) units.Measured[units.Length] { return units.Unstated(l) }

// wantError checks kind and field, and that nothing comes with the error.
func wantError[T any](t *testing.T, got T, zero func(T) bool, err, kind error, field string) {
	t.Helper()
	var ie *units.InputError
	if !errors.As(err, &ie) || !errors.Is(err, kind) {
		t.Fatalf("error %v, want an InputError of kind %v", err, kind)
	}
	if ie.Package != "clearance" || ie.Field != field {
		t.Errorf("error of %s, field %s, want field %s", ie.Package, ie.Field, field)
	}
	if !zero(got) {
		t.Errorf("a value came with the error: %+v", got)
	}
}

func one(l units.Length, around units.CrankAngle) clearance.Round {
	return clearance.Round{Stations: []clearance.Station{{Diameters: []clearance.Diameter{{Around: around, Reading: un(l)}}}}}
}

func TestFitBadInput(t *testing.T) {
	ok := clearance.Size{Min: 10 * mm, Max: 11 * mm}
	for name, c := range map[string]struct {
		fit   clearance.Fit
		kind  error
		field string
	}{
		"no bore":        {clearance.Fit{Shaft: ok}, units.ErrMissing, "Bore.Min"},
		"no shaft max":   {clearance.Fit{Bore: ok, Shaft: clearance.Size{Min: mm}}, units.ErrMissing, "Shaft.Max"},
		"negative bore":  {clearance.Fit{Bore: clearance.Size{Min: -mm, Max: mm}, Shaft: ok}, units.ErrRange, "Bore.Min"},
		"swapped shaft":  {clearance.Fit{Bore: ok, Shaft: clearance.Size{Min: 2 * mm, Max: mm}}, units.ErrConflict, "Shaft"},
		"overflow bore":  {clearance.Fit{Bore: clearance.Size{Min: mm, Max: units.MaxLength}, Shaft: ok}, units.ErrRange, "Bore.Max"},
		"overflow shaft": {clearance.Fit{Bore: ok, Shaft: clearance.Size{Min: units.MaxLength, Max: units.MaxLength}}, units.ErrRange, "Shaft.Min"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.fit.Clearance()
			wantError(t, got, func(r clearance.FitResult) bool { return r == clearance.FitResult{} }, err, c.kind, c.field)
		})
	}
}

func TestDeviationsBadInput(t *testing.T) {
	for name, c := range map[string]struct {
		d     clearance.Deviations
		kind  error
		field string
	}{
		"no nominal":       {clearance.Deviations{Upper: um}, units.ErrMissing, "Nominal"},
		"negative nominal": {clearance.Deviations{Nominal: -mm}, units.ErrRange, "Nominal"},
		"overflow upper":   {clearance.Deviations{Nominal: mm, Upper: units.MaxLength}, units.ErrRange, "Upper"},
		"overflow lower":   {clearance.Deviations{Nominal: mm, Lower: -units.MaxLength}, units.ErrRange, "Lower"},
		"swapped":          {clearance.Deviations{Nominal: mm, Upper: -um, Lower: um}, units.ErrConflict, "Lower"},
		"under zero":       {clearance.Deviations{Nominal: mm, Lower: -2 * mm}, units.ErrRange, "Size.Min"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.d.Size()
			wantError(t, got, func(s clearance.Size) bool { return s == clearance.Size{} }, err, c.kind, c.field)
		})
	}
}

// The class turns over exactly where a limit of the fit passes 0.
func TestFitClassBoundaries(t *testing.T) {
	shaft := clearance.Size{Min: 20 * mm, Max: 20*mm + 10*um}
	for _, c := range []struct {
		lo, hi units.Length // bore from the shaft's nominal
		want   clearance.FitClass
	}{
		{10 * um, 20 * um, clearance.ClearanceFit}, // min = 0
		{10*um - 1, 20 * um, clearance.TransitionFit},
		{-20 * um, 1, clearance.TransitionFit},
		{-20 * um, 0, clearance.InterferenceFit}, // max = 0
	} {
		r, err := clearance.Fit{Bore: clearance.Size{Min: 20*mm + c.lo, Max: 20*mm + c.hi}, Shaft: shaft}.Clearance()
		if err != nil || r.Class != c.want {
			t.Errorf("bore %+d..%+d pm: %v, %v, want %v", c.lo, c.hi, r.Class, err, c.want)
		}
	}
}

// Every pair of sizes within the limits has its clearance in the result, and
// the ends are reached: brute force over a small grid.
func TestFitHoldsEveryPair(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		b := clearance.Size{Min: units.Length(100 + rng.IntN(20))}
		b.Max = b.Min + units.Length(rng.IntN(9))
		s := clearance.Size{Min: units.Length(100 + rng.IntN(20))}
		s.Max = s.Min + units.Length(rng.IntN(9))
		r, err := clearance.Fit{Bore: b, Shaft: s}.Clearance()
		if err != nil {
			t.Fatal(err)
		}
		lo, hi := units.MaxLength, -units.MaxLength
		for x := b.Min; x <= b.Max; x++ {
			for y := s.Min; y <= s.Max; y++ {
				lo, hi = min(lo, x-y), max(hi, x-y)
			}
		}
		if r.Min != lo || r.Max != hi {
			t.Fatalf("%v on %v: %d..%d, brute force %d..%d", b, s, r.Min, r.Max, lo, hi)
		}
		if r.Statistical.Low < r.Min || r.Statistical.High > r.Max {
			t.Fatalf("statistical band %v outside %d..%d", r.Statistical, r.Min, r.Max)
		}
	}
}

// ratMean is the slow oracle of the mean of station means.
func ratMean(r clearance.Round) *big.Rat {
	sum := new(big.Rat)
	for _, s := range r.Stations {
		st := new(big.Rat)
		for _, d := range s.Diameters {
			st.Add(st, big.NewRat(int64(d.Reading.Value), 1))
		}
		sum.Add(sum, st.Quo(st, big.NewRat(int64(len(s.Diameters)), 1)))
	}
	return sum.Quo(sum, big.NewRat(int64(len(r.Stations)), 1))
}

func randomRound(rng *rand.Rand, size units.Length, flip bool) clearance.Round {
	r := clearance.Round{}
	for i := range 1 + rng.IntN(4) {
		s := clearance.Station{At: units.Length(i) * 10 * mm}
		for k := range 1 + rng.IntN(4) {
			v := size + units.Length(rng.Int64N(int64(20*um))) - 10*um
			if flip {
				v = -v + 2*size
			}
			s.Diameters = append(s.Diameters, clearance.Diameter{Around: units.CrankAngle(k) * 40 * units.CrankDegree, Reading: units.WithU(v, um)})
		}
		r.Stations = append(r.Stations, s)
	}
	return r
}

func TestShapeAgainstExactMean(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 500 {
		r := randomRound(rng, 60*mm, false)
		s, err := r.Shape()
		if err != nil {
			t.Fatal(err)
		}
		// Station means and their mean are each rounded to 1 pm.
		d := new(big.Rat).Sub(big.NewRat(int64(s.Mean.Value), 1), ratMean(r))
		if d.Abs(d).Cmp(big.NewRat(1, 1)) > 0 {
			t.Fatalf("mean %d, exact %v", s.Mean.Value, ratMean(r).FloatString(3))
		}
	}
}

// Turning a part end for end turns the sign of taper and leaves the rest.
func TestShapeEndForEnd(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 200 {
		r := randomRound(rng, 60*mm, false)
		back := clearance.Round{}
		n := len(r.Stations) - 1
		for i := range r.Stations {
			s := r.Stations[n-i]
			s.At = r.Stations[n].At - s.At
			back.Stations = append(back.Stations, s)
		}
		a, err1 := r.Shape()
		b, err2 := back.Shape()
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		if a.Taper.Value.Value != -b.Taper.Value.Value || a.OutOfRound.Value.Value != b.OutOfRound.Value.Value {
			t.Fatalf("taper %v and %v, out-of-round %v and %v", a.Taper, b.Taper, a.OutOfRound, b.OutOfRound)
		}
	}
}

// The middle station at a quarter of the length: the line between the ends
// lies there at 3/4 a + 1/4 b = 10 um, so 30 um departs from it by 20 um, with
// u^2 = 12^2 + (3/4 4)^2 + (1/4 16)^2 = 13^2 um^2 (JCGM 100:2008, 5.1.2).
func TestBarrelOffCenter(t *testing.T) {
	station := func(along, over, u units.Length) clearance.Station {
		return clearance.Station{At: along, Diameters: []clearance.Diameter{{Reading: units.WithU(60*mm+over, u)}}}
	}
	near, quarter, far := station(5*mm, 0, 4*um), station(15*mm, 30*um, 12*um), station(45*mm, 40*um, 16*um)
	s, err := clearance.Round{Stations: []clearance.Station{near, quarter, far}}.Shape()
	if want := units.Some(units.WithU(20*um, 13*um)); err != nil || s.Barrel != want {
		t.Errorf("barrel %v, %v; want %v", s.Barrel, err, want)
	}
	// The same part from the other end.
	near.At, quarter.At, far.At = 45*mm, 35*mm, 5*mm
	s, err = clearance.Round{Stations: []clearance.Station{far, quarter, near}}.Shape()
	if want := units.Some(units.WithU(20*um, 13*um)); err != nil || s.Barrel != want {
		t.Errorf("from the other end: barrel %v, %v; want %v", s.Barrel, err, want)
	}
}

// Half of the diametral clearance with half of its uncertainty, by the
// 3-4-5 triangle.
func TestRadialHalvesBoth(t *testing.T) {
	round := func(size, u units.Length) clearance.Round {
		return clearance.Round{Stations: []clearance.Station{{Diameters: []clearance.Diameter{{Reading: units.WithU(size, u)}}}}}
	}
	c, err := clearance.Bearing{Bore: round(60*mm+50*um, 3*um), Journal: round(60*mm, 4*um)}.OilClearance()
	if err != nil || c.Mean != units.WithU(50*um, 5*um) || c.Radial != units.WithU(25*um, 5*um/2) {
		t.Errorf("mean %v, radial %v, %v; want 50 um (u 5) and 25 um (u 2.5)", c.Mean, c.Radial, err)
	}
}

// A result that somebody made by hand shows what it holds, without a panic.
func TestWorkingOfHandMadeResults(t *testing.T) {
	taper := units.Some(un(um))
	for _, s := range []clearance.Shape{{Taper: taper}, {Taper: taper, Stations: make([]clearance.StationShape, 1)}} {
		w := s.Working()
		if last := w[len(w)-1]; last.Symbol != "taper" || last.Numbers != "" || !strings.HasPrefix(last.Value, "0.0010 mm") {
			t.Errorf("taper of %d stations: %+v", len(s.Stations), last)
		}
	}
	for _, w := range []units.Worked{
		clearance.Shape{},
		clearance.OilClearance{},
		clearance.FitResult{},
		clearance.StripResult{},
		clearance.RingGap{},
		clearance.GapMoved{},
		clearance.FilingResult{},
		clearance.Sweep{},
		clearance.EndPlay{},
		clearance.RodSide{},
	} {
		if len(w.Working()) == 0 {
			t.Errorf("%T: no steps", w)
		}
	}
}

func TestShapeNotGiven(t *testing.T) {
	s, err := one(60*mm, 0).Shape()
	if err != nil {
		t.Fatal(err)
	}
	if s.OutOfRound.Given || s.Taper.Given || s.Barrel.Given {
		t.Errorf("one reading shows no form, got %+v", s)
	}
}

// A three-lobed shape of constant width reads round at every direction: the
// limit that the package states.
func TestShapeBlindToThreeLobes(t *testing.T) {
	r := clearance.Round{Stations: []clearance.Station{{}}}
	for k := range 12 {
		a := float64(k) * 15 * math.Pi / 180
		radius := func(th float64) float64 { return 30e9 + 1e7*math.Cos(3*th) } // support function, pm
		w := radius(a) + radius(a+math.Pi)
		r.Stations[0].Diameters = append(r.Stations[0].Diameters, clearance.Diameter{Around: units.CrankAngle(k) * 15 * units.CrankDegree, Reading: un(units.Length(math.Round(w)))})
	}
	s, err := r.Shape()
	if err != nil || s.OutOfRound.Value.Value > 1 {
		t.Errorf("out-of-round %v, %v, want 0 to 1 pm", s.OutOfRound.Value, err)
	}
}

func TestRoundBadInput(t *testing.T) {
	d := func(l units.Length) []clearance.Diameter { return []clearance.Diameter{{Reading: un(l)}} }
	for name, c := range map[string]struct {
		r     clearance.Round
		kind  error
		field string
	}{
		"empty":          {clearance.Round{}, units.ErrMissing, "Round.Stations"},
		"no reading":     {clearance.Round{Stations: []clearance.Station{{}}}, units.ErrMissing, "Round.Stations[0].Diameters"},
		"zero":           {one(0, 0), units.ErrMissing, "Round.Stations[0].Diameters[0].Reading"},
		"negative":       {one(-mm, 0), units.ErrRange, "Round.Stations[0].Diameters[0].Reading"},
		"overflow":       {one(units.MaxLength, 0), units.ErrRange, "Round.Stations[0].Diameters[0].Reading"},
		"negative zero":  {clearance.Round{ZeroU: -1, Stations: []clearance.Station{{Diameters: d(mm)}}}, units.ErrRange, "Round.ZeroU"},
		"huge zero":      {clearance.Round{ZeroU: units.MaxLength, Stations: []clearance.Station{{Diameters: d(mm)}}}, units.ErrRange, "Round.ZeroU"},
		"out of order":   {clearance.Round{Stations: []clearance.Station{{At: 2, Diameters: d(mm)}, {At: 1, Diameters: d(mm)}}}, units.ErrConflict, "Round.Stations[1].At"},
		"same place":     {clearance.Round{Stations: []clearance.Station{{At: 1, Diameters: d(mm)}, {At: 1, Diameters: d(mm)}}}, units.ErrConflict, "Round.Stations[1].At"},
		"negative place": {clearance.Round{Stations: []clearance.Station{{At: -1, Diameters: d(mm)}}}, units.ErrRange, "Round.Stations[0].At"},
		"same direction": {clearance.Round{Stations: []clearance.Station{{Diameters: []clearance.Diameter{{Around: 10 * units.CrankDegree, Reading: un(mm)}, {Around: -170 * units.CrankDegree, Reading: un(mm)}}}}}, units.ErrConflict, "Round.Stations[0].Diameters[1].Around"},
		"negative u":     {clearance.Round{Stations: []clearance.Station{{Diameters: []clearance.Diameter{{Reading: units.WithU(mm, -1)}}}}}, units.ErrRange, "Round.Stations[0].Diameters[0].Reading.U"},
		"u not marked":   {clearance.Round{Stations: []clearance.Station{{Diameters: []clearance.Diameter{{Reading: units.Measured[units.Length]{Value: mm, U: 1}}}}}}, units.ErrConflict, "Round.Stations[0].Diameters[0].Reading.U"},
		"too many":       {clearance.Round{Stations: []clearance.Station{{Diameters: make([]clearance.Diameter, 10_001)}}}, units.ErrRange, "Round.Stations[0].Diameters"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.r.Shape()
			wantError(t, got, func(s clearance.Shape) bool { return s.Stations == nil && s.Mean.Value == 0 }, err, c.kind, c.field)
		})
	}
}

func TestBearingBadInput(t *testing.T) {
	for name, c := range map[string]struct {
		b     clearance.Bearing
		kind  error
		field string
	}{
		"no bore":    {clearance.Bearing{Journal: one(60*mm, 0)}, units.ErrMissing, "Bore.Stations"},
		"no journal": {clearance.Bearing{Bore: one(60*mm, 0)}, units.ErrMissing, "Journal.Stations"},
		"no crown":   {clearance.Bearing{SplitBore: true, Bore: one(60*mm, 30*units.CrankDegree), Journal: one(60*mm, 0)}, units.ErrMissing, "Bore.Stations[0].Diameters"},
		"misread":    {clearance.Bearing{Bore: one(in("3.0625"), 0), Journal: one(in("2.0600"), 0)}, units.ErrConflict, "Bore"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.b.OilClearance()
			wantError(t, got, func(o clearance.OilClearance) bool { return o.Mean.Value == 0 && o.Bore.Stations == nil }, err, c.kind, c.field)
		})
	}
	// 45 and 135 degrees are still near the crown, either side of the split's own sign.
	for _, a := range []units.CrankAngle{45, 90, 135, -90, -45, 270} {
		if _, err := (clearance.Bearing{SplitBore: true, Bore: one(60*mm+50*um, a*units.CrankDegree), Journal: one(60*mm, 0)}).OilClearance(); err != nil {
			t.Errorf("%d degrees: %v", a, err)
		}
	}
}

// The smallest clearance can be under, and the largest over, what the means
// say, and a pinch is data.
func TestOilClearanceOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for range 300 {
		b := clearance.Bearing{Bore: randomRound(rng, 60*mm+15*um, false), Journal: randomRound(rng, 60*mm, true)}
		c, err := b.OilClearance()
		if err != nil {
			t.Fatal(err)
		}
		if lo, hi := c.Smallest.Clearance.Value, c.Largest.Clearance.Value; lo > hi {
			t.Fatalf("smallest %v over largest %v", lo, hi)
		} else if !c.SameStation && (lo > c.Mean.Value || hi < c.Mean.Value) {
			t.Fatalf("mean %v outside %v to %v", c.Mean.Value, lo, hi)
		}
		if got := c.Mean.Value - 2*c.Radial.Value; got.Abs() > 1 {
			t.Fatalf("radial %v is not half of %v", c.Radial.Value, c.Mean.Value)
		}
	}
	pinch, err := clearance.Bearing{Bore: one(60*mm, 0), Journal: one(60*mm+5*um, 0)}.OilClearance()
	if err != nil || pinch.Mean.Value != -5*um {
		t.Errorf("pinch %v, %v, want -5 um", pinch.Mean.Value, err)
	}
	if pinch.Mean.Stated {
		t.Error("an uncertainty that nobody stated came out as stated")
	}
}

func TestJudgeBearing(t *testing.T) {
	c, err := clearance.Bearing{Bore: one(60*mm+50*um, 0), Journal: one(60*mm, 0)}.OilClearance()
	if err != nil {
		t.Fatal(err)
	}
	limits := units.Between(30*um, 60*um, card)
	if v, err := c.Judge(limits, units.ProveAt95); err != nil || v.Outcome != units.NotProved {
		t.Errorf("without uncertainty: %v, %v, want not proved", v.Outcome, err)
	}
	if v, err := c.Judge(limits, units.SimpleAcceptance); err != nil || v.Outcome != units.ProvedWithin {
		t.Errorf("simple acceptance: %v, %v, want within", v.Outcome, err)
	}
	if v, err := c.Judge(units.Limits[units.Length]{}, units.ProveAt95); !errors.Is(err, units.ErrMissing) || v.Outcome != 0 {
		t.Errorf("no limits: %v, %v", v.Outcome, err)
	}
}

func TestStripBadInput(t *testing.T) {
	rng := clearance.Size{Min: in("0.001"), Max: in("0.003")}
	zero := func(r clearance.StripResult) bool { return r == clearance.StripResult{} }
	for name, c := range map[string]struct {
		s     clearance.Strip
		kind  error
		field string
	}{
		"missing":  {clearance.Strip{AtNarrowest: un(in("0.002")), Range: rng}, units.ErrMissing, "AtWidest"},
		"negative": {clearance.Strip{AtWidest: un(-um), AtNarrowest: un(in("0.002")), Range: rng}, units.ErrRange, "AtWidest"},
		"swapped":  {clearance.Strip{AtWidest: un(in("0.0025")), AtNarrowest: un(in("0.002")), Range: rng}, units.ErrConflict, "AtWidest"},
		"too fine": {clearance.Strip{AtWidest: un(in("0.0009")), AtNarrowest: un(in("0.002")), Range: rng}, units.ErrRange, "AtWidest"},
		"too wide": {clearance.Strip{AtWidest: un(in("0.002")), AtNarrowest: un(in("0.0031")), Range: rng}, units.ErrRange, "AtNarrowest"},
		"no range": {clearance.Strip{AtWidest: un(in("0.002")), AtNarrowest: un(in("0.002"))}, units.ErrMissing, "Range.Min"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.s.Clearance()
			wantError(t, got, zero, err, c.kind, c.field)
		})
	}
	ends, err := clearance.Strip{AtWidest: un(rng.Min), AtNarrowest: un(rng.Max), Range: rng}.Clearance()
	if err != nil {
		t.Fatalf("the ends of the range can be read: %v", err)
	}
	_, err = ends.Compare(un(units.MaxLength))
	if !errors.Is(err, units.ErrRange) {
		t.Errorf("compare with overflow: %v", err)
	}
}

// Agreement turns over at 2u and is unknown without uncertainties.
func TestStripCompare(t *testing.T) {
	r := clearance.StripResult{Smallest: units.WithU(50*um, 3*um)}
	for _, c := range []struct {
		m            units.Measured[units.Length]
		agree, known bool
	}{
		{units.WithU(60*um, 4*um), true, true}, // u = 5 um, the difference 2u
		{units.WithU(60*um+1, 4*um), false, true},
		{units.WithU(40*um, 4*um), true, true},
		{un(50 * um), false, false},
	} {
		got, err := r.Compare(c.m)
		if err != nil || got.Agree != c.agree || got.Known != c.known {
			t.Errorf("%v: %+v, %v", c.m, got, err)
		}
	}
}

func TestRulesBadInput(t *testing.T) {
	zero := func(l units.Limits[units.Length]) bool { return l == units.Limits[units.Length]{} }
	got, err := clearance.SizeRule(0).Limits(mm)
	wantError(t, got, zero, err, units.ErrRange, "SizeRule")
	got, err = clearance.SizeRule(99).Limits(mm)
	wantError(t, got, zero, err, units.ErrRange, "SizeRule")
	got, err = clearance.BoreWear.Limits(0)
	wantError(t, got, zero, err, units.ErrMissing, "diameter")
	got, err = clearance.BoreWear.Limits(-mm)
	wantError(t, got, zero, err, units.ErrRange, "diameter")
	got, err = clearance.BoreWear.Limits(units.MaxLength)
	wantError(t, got, zero, err, units.ErrRange, "diameter")
	got, err = clearance.PlayRule(0).Limits(mm)
	wantError(t, got, zero, err, units.ErrRange, "PlayRule")
	got, err = clearance.CamEndPlayGrowth.Limits(-mm)
	wantError(t, got, zero, err, units.ErrRange, "newHigh")
	for r := clearance.OilClearanceByDiameter; r <= clearance.OlderRingGap; r++ {
		l, err := r.Limits(mm)
		if err != nil || !l.Source.Given() || l.Source != r.Source() {
			t.Errorf("%v: %v, %v", r, l, err)
		}
	}
	if clearance.OilClearanceByDiameter.Source().Provenance != units.CommonPractice {
		t.Error("the trade rule must be labeled common practice")
	}
}

func TestRingBadInput(t *testing.T) {
	zero := func(g clearance.RingGap) bool { return g == clearance.RingGap{} }
	maker := func(l units.Limits[units.Length]) clearance.Ring {
		return clearance.Ring{Bore: 100 * mm, Duty: clearance.Boosted, Maker: units.Some(l)}
	}
	for name, c := range map[string]struct {
		r     clearance.Ring
		kind  error
		field string
	}{
		"no bore":        {clearance.Ring{Duty: clearance.Boosted}, units.ErrMissing, "Bore"},
		"negative bore":  {clearance.Ring{Bore: -mm, Duty: clearance.Boosted}, units.ErrRange, "Bore"},
		"overflow bore":  {clearance.Ring{Bore: units.MaxLength, Duty: clearance.Boosted}, units.ErrRange, "Bore"},
		"no duty":        {clearance.Ring{Bore: mm}, units.ErrMissing, "Duty"},
		"unknown duty":   {clearance.Ring{Bore: mm, Duty: 9}, units.ErrMissing, "Duty"},
		"maker empty":    {maker(units.Limits[units.Length]{Source: card}), units.ErrMissing, "Maker"},
		"maker negative": {maker(units.AtLeast(-um, card)), units.ErrRange, "Maker"},
		"maker swapped":  {maker(units.Between(2*um, um, card)), units.ErrConflict, "Maker"},
		"maker unknown":  {maker(units.AtLeast(um, units.Source{})), units.ErrMissing, "Maker.Source"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.r.EndGap()
			wantError(t, got, zero, err, c.kind, c.field)
		})
	}
}

func TestGapMoveBadInput(t *testing.T) {
	zero := func(g clearance.GapMoved) bool { return g == clearance.GapMoved{} }
	for name, c := range map[string]struct {
		m     clearance.GapMove
		kind  error
		field string
	}{
		"negative gap": {clearance.GapMove{Gap: un(-1), From: un(mm), To: un(mm)}, units.ErrRange, "Gap"},
		"overflow gap": {clearance.GapMove{Gap: un(units.MaxLength), From: un(mm), To: un(mm)}, units.ErrRange, "Gap"},
		"no from":      {clearance.GapMove{To: un(mm)}, units.ErrMissing, "From"},
		"no to":        {clearance.GapMove{From: un(mm)}, units.ErrMissing, "To"},
		"negative u":   {clearance.GapMove{From: units.WithU(mm, -1), To: un(mm)}, units.ErrRange, "From.U"},
		"butts":        {clearance.GapMove{Gap: un(um), From: un(80 * mm), To: un(79 * mm)}, units.ErrImpossible, "To"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.m.Moved()
			wantError(t, got, zero, err, c.kind, c.field)
		})
	}
}

// The change is pi times the change of diameter, against a 38-digit pi, and
// moving there and back gives the gap again.
func TestGapMovedPi(t *testing.T) {
	pi, _ := new(big.Rat).SetString("3.1415926535897932384626433832795028842")
	rng := rand.New(rand.NewPCG(9, 10))
	for range 1000 {
		from := 60*mm + units.Length(rng.Int64N(int64(80*mm)))
		to := from + units.Length(rng.Int64N(int64(2*mm))) - mm
		m := clearance.GapMove{Gap: units.WithU(5*mm, 10*um), From: units.WithU(from, 3*um), To: units.WithU(to, 4*um)}
		g, err := m.Moved()
		if err != nil {
			t.Fatal(err)
		}
		want := new(big.Rat).Mul(pi, big.NewRat(int64(to-from), 1))
		d := want.Sub(want, big.NewRat(int64(g.Change), 1))
		if d.Abs(d).Cmp(big.NewRat(51, 100)) > 0 {
			t.Fatalf("change %d pm for %d pm", g.Change, to-from)
		}
		back, err := clearance.GapMove{Gap: g.Gap, From: m.To, To: m.From}.Moved()
		if err != nil || back.Gap.Value != m.Gap.Value {
			t.Fatalf("there and back %v, %v", back.Gap, err)
		}
		// u = sqrt(10^2 + pi^2 (3^2 + 4^2)) = 18.6210 um.
		if math.Abs(g.Gap.U.Micrometers()-18.6210) > 5e-4 {
			t.Fatalf("u = %v um", g.Gap.U.Micrometers())
		}
	}
}

func TestFilingBadInput(t *testing.T) {
	zero := func(r clearance.FilingResult) bool { return r == clearance.FilingResult{} }
	for name, c := range map[string]struct {
		f     clearance.Filing
		kind  error
		field string
	}{
		"negative":  {clearance.Filing{Gap: un(-1), Target: um}, units.ErrRange, "Gap"},
		"no target": {clearance.Filing{Gap: un(um)}, units.ErrMissing, "Target"},
		"overflow":  {clearance.Filing{Gap: un(um), Target: units.MaxLength}, units.ErrRange, "Target"},
		"over":      {clearance.Filing{Gap: un(um + 1), Target: um}, units.ErrImpossible, "Gap"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := c.f.Remove()
			wantError(t, got, zero, err, c.kind, c.field)
		})
	}
	if r, err := (clearance.Filing{Gap: un(um), Target: um}).Remove(); err != nil || r.Remove.Value != 0 {
		t.Errorf("at the target: %v, %v, want 0", r.Remove, err)
	}
}

func TestPlayBadInput(t *testing.T) {
	s, err := clearance.DialReadings{un(0)}.Sweep()
	wantError(t, s, func(s clearance.Sweep) bool { return s == clearance.Sweep{} }, err, units.ErrMissing, "DialReadings")
	s, err = clearance.DialReadings{un(0), un(units.MaxLength)}.Sweep()
	wantError(t, s, func(s clearance.Sweep) bool { return s == clearance.Sweep{} }, err, units.ErrRange, "DialReadings[1]")
	s, err = make(clearance.DialReadings, 10_001).Sweep()
	wantError(t, s, func(s clearance.Sweep) bool { return s == clearance.Sweep{} }, err, units.ErrRange, "DialReadings")

	noPlay := func(e clearance.EndPlay) bool { return e == clearance.EndPlay{} }
	e, err := clearance.EndPlayReadings{Rearward: clearance.DialReadings{un(0)}}.EndPlay()
	wantError(t, e, noPlay, err, units.ErrMissing, "Forward")
	e, err = clearance.EndPlayReadings{Forward: clearance.DialReadings{un(0)}, Rearward: clearance.DialReadings{units.WithU[units.Length](0, -1)}}.EndPlay()
	wantError(t, e, noPlay, err, units.ErrRange, "Rearward[0].U")

	noGap := func(m units.Measured[units.Length]) bool { return m == units.Measured[units.Length]{} }
	g, err := clearance.Feeler{}.Gap()
	wantError(t, g, noGap, err, units.ErrMissing, "Feeler")
	g, err = clearance.Feeler{un(um), un(0)}.Gap()
	wantError(t, g, noGap, err, units.ErrMissing, "Feeler[1]")
	g, err = make(clearance.Feeler, 21).Gap()
	wantError(t, g, noGap, err, units.ErrRange, "Feeler")

	noSide := func(r clearance.RodSide) bool { return r.Total.Value == 0 && r.Rods.RodWidths == nil }
	r, err := clearance.RodsOnPin{PinWidth: un(50 * mm)}.SideClearance()
	wantError(t, r, noSide, err, units.ErrMissing, "RodWidths")
	r, err = clearance.RodsOnPin{PinWidth: un(50 * mm), RodWidths: []units.Measured[units.Length]{un(mm), un(-mm)}}.SideClearance()
	wantError(t, r, noSide, err, units.ErrRange, "RodWidths[1]")
	r, err = clearance.RodsOnPin{PinWidth: un(50 * mm), RodWidths: make([]units.Measured[units.Length], 3)}.SideClearance()
	wantError(t, r, noSide, err, units.ErrRange, "RodWidths")
	r, err = clearance.RodsOnPin{RodWidths: make([]units.Measured[units.Length], 1)}.SideClearance()
	wantError(t, r, noSide, err, units.ErrMissing, "PinWidth")
}

// Uncertainties of differences combine by root sum of squares: 3-4-5.
func TestPlayUncertainty(t *testing.T) {
	s, err := clearance.DialReadings{units.WithU(0*um, 3*um), units.WithU(-20*um, 4*um)}.Sweep()
	if err != nil || s.Total.U != 5*um || s.Bend.U != 5*um/2 {
		t.Errorf("sweep %+v, %v", s, err)
	}
	e, err := clearance.EndPlayReadings{Forward: clearance.DialReadings{units.WithU(0*um, 3*um)}, Rearward: clearance.DialReadings{units.WithU(-20*um, 4*um)}}.EndPlay()
	if err != nil || e.Play != units.WithU(20*um, 5*um) {
		t.Errorf("play %v, %v", e.Play, err)
	}
}

func TestWorkingHasSources(t *testing.T) {
	b := clearance.Bearing{Bore: one(60*mm+50*um, 0), Journal: one(60*mm, 0)}
	o, _ := b.OilClearance()
	f, _ := clearance.Fit{Bore: clearance.Size{Min: mm, Max: mm}, Shaft: clearance.Size{Min: mm, Max: mm}}.Clearance()
	st, _ := clearance.Strip{AtWidest: un(um), AtNarrowest: un(um), Range: clearance.Size{Min: um, Max: um}}.Clearance()
	g, _ := clearance.Ring{Bore: mm, Duty: clearance.Boosted}.EndGap()
	mv, _ := clearance.GapMove{From: un(mm), To: un(mm)}.Moved()
	fi, _ := clearance.Filing{Gap: un(0), Target: um}.Remove()
	sw, _ := clearance.DialReadings{un(0), un(um)}.Sweep()
	ep, _ := clearance.EndPlayReadings{Forward: clearance.DialReadings{un(0)}, Rearward: clearance.DialReadings{un(0)}}.EndPlay()
	rs, _ := clearance.RodsOnPin{PinWidth: un(mm), RodWidths: []units.Measured[units.Length]{un(um)}}.SideClearance()
	for _, w := range []units.Worked{o, o.Journal, f, st, g, mv, fi, sw, ep, rs} {
		steps := w.Working()
		if len(steps) == 0 {
			t.Errorf("%T: no steps", w)
		}
		for _, s := range steps {
			if s.Symbol == "" || s.Formula == "" || s.Value == "" || !s.Source.Given() || strings.Contains(s.Value, "NaN") {
				t.Errorf("%T: incomplete step %+v", w, s)
			}
		}
	}
	for _, c := range st.Cautions() {
		if c.Text == "" || !c.Source.Given() {
			t.Errorf("caution without text or source: %+v", c)
		}
	}
}

func TestNoAllocations(t *testing.T) {
	f := clearance.Fit{Bore: clearance.Size{Min: 20 * mm, Max: 20*mm + 21*um}, Shaft: clearance.Size{Min: 20*mm - 20*um, Max: 20*mm - 7*um}}
	m := clearance.GapMove{Gap: un(mm), From: un(80 * mm), To: un(80*mm + um)}
	d := clearance.DialReadings{un(0), un(3 * um), un(-um)}
	r := clearance.Ring{Bore: 80 * mm, Duty: clearance.Boosted}
	for name, run := range map[string]func() error{
		"Fit.Clearance":      func() error { _, err := f.Clearance(); return err },
		"GapMove.Moved":      func() error { _, err := m.Moved(); return err },
		"DialReadings.Sweep": func() error { _, err := d.Sweep(); return err },
		"Ring.EndGap":        func() error { _, err := r.EndGap(); return err },
		"SizeRule.Limits":    func() error { _, err := clearance.BoreWear.Limits(80 * mm); return err },
	} {
		var err error
		if n := testing.AllocsPerRun(100, func() { err = run() }); n != 0 || err != nil {
			t.Errorf("%s: %v allocations, %v", name, n, err)
		}
	}
}

// Any numbers give a result or a typed error, and never a panic.
func FuzzBearing(f *testing.F) {
	f.Add(int64(60e9), int64(60.05e9), int64(60e9), int64(60e9), int64(0), int64(1e9), int64(90e9), int64(1e6), true)
	f.Fuzz(func(t *testing.T, b1, b2, j1, j2, at1, at2, around, u int64, split bool) {
		r := func(x, y int64) clearance.Round {
			d := func(v int64) []clearance.Diameter {
				return []clearance.Diameter{{Around: units.CrankAngle(around), Reading: units.WithU(units.Length(v), units.Length(u))}}
			}
			return clearance.Round{ZeroU: units.Length(u), Stations: []clearance.Station{{At: units.Length(at1), Diameters: d(x)}, {At: units.Length(at2), Diameters: d(y)}}}
		}
		c, err := clearance.Bearing{Bore: r(b1, b2), Journal: r(j1, j2), SplitBore: split}.OilClearance()
		var ie *units.InputError
		if err != nil && !errors.As(err, &ie) {
			t.Fatal(err)
		}
		if err == nil && (c.Smallest.Clearance.Value > c.Largest.Clearance.Value || math.IsNaN(c.PerDiameter) || c.Mean.U < 0) {
			t.Fatalf("%+v", c)
		}
	})
}
