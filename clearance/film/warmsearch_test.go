package film_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/clearance/film"
	"example.com/trialfit/units"
)

// workboatWarm is a main of the workboat at work: which clearances keep a film of
// 6 um and an oil that leaves at no more than 132.95 degC?
func workboatWarm() film.WarmSearch {
	b := workboatMain()
	b.Speed, b.Load = units.RevolutionsPerMinute(2393.7), units.Newtons(6000)
	oil, err := workboatOil().Oil()
	if err != nil {
		panic(err)
	}
	return film.WarmSearch{
		Balance: film.HeatBalance{Bearing: b, Oil: oil, Inlet: units.Celsius(90), HeatCapacity: 1.7e6},
		Least:   6 * um, Hottest: units.Celsius(132.95244), From: 10 * um, To: 600 * um,
	}
}

// The figures are those of the reference solutions at eps = 0.7 and 0.9, by hand.
func ExampleWarmSearch() {
	r, err := workboatWarm().Range()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("from %.1f um, by heat: %v, to %.1f um\n", r.Low.Micrometers(), r.LowByHeat, r.High.Micrometers())
	fmt.Println(r.Caution.Text[:17])
	// Output:
	// from 41.2 um, by heat: true, to 120.0 um
	// for a steady load
}

// A scan of the search finds the same clearances, in one piece.
func TestWarmRangeAgainstScan(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 8))
	found, byHeat := 0, 0
	for range 40 {
		w := workboatWarm()
		w.Balance.Bearing.Length = units.Length(15+r.IntN(60)) * mm
		w.Balance.Bearing.Load = units.Newtons(math.Exp(6 + 4*r.Float64()))
		w.Balance.Bearing.Speed = units.RevolutionsPerMinute(500 + 4000*r.Float64())
		w.Least = units.Length(1+r.IntN(8)) * um
		w.Hottest = units.Celsius(95 + 60*r.Float64())
		if r.IntN(4) == 0 {
			w.Hottest = 0
		}
		h := w.Balance
		var low, high, best, thickest units.Length
		pieces, inside := 0, false
		const step = 1_000_000 // 1 um
		for c := w.From; c <= w.To; c += step {
			h.Bearing.Clearance = units.Unstated(c)
			f, err := h.Solve()
			ok := err == nil && f.Film.Minimum.Value >= w.Least && (w.Hottest == 0 || f.Outlet <= w.Hottest)
			if ok && !inside {
				pieces++
				if low == 0 {
					low = c
				}
			}
			if inside = ok; ok {
				high = c
				if f.Film.Minimum.Value > thickest {
					best, thickest = c, f.Film.Minimum.Value
				}
			}
		}
		got, err := w.Range()
		switch {
		case pieces > 1:
			t.Fatalf("%d pieces: %+v", pieces, w)
		case pieces == 0 && err != nil:
			continue
		case pieces == 0:
			if got.High-got.Low > step {
				t.Errorf("%+v where a scan finds none", got)
			}
			continue
		case err != nil:
			t.Errorf("%v, a scan finds %v to %v", err, low, high)
			continue
		}
		found++
		if got.LowByHeat {
			byHeat++
		}
		if got.Low > low || low-got.Low > step || got.High < high || got.High-high > step || got.LowIsFrom != (low == w.From) || got.HighIsTo != (high == w.To) {
			t.Errorf("%v to %v, a scan finds %v to %v", got.Low, got.High, low, high)
		}
		if got.BestFilm.Film.Minimum.Value < thickest || got.BestFilm.Film.Minimum.Value-thickest > 100*units.Nanometer || got.Best < got.Low || got.Best > got.High {
			t.Errorf("best %v with %v, a scan finds %v with %v", got.Best, got.BestFilm.Film.Minimum.Value, best, thickest)
		}
		if n := len(got.Working()); n < 5 {
			t.Errorf("%d steps", n)
		}
	}
	if found < 10 || byHeat < 4 {
		t.Errorf("%d ranges, %d by heat: the cases show little", found, byHeat)
	}
}

// With its heat the bearing wants more clearance than at the viscosity of the inlet.
func TestWarmIsWiderThanCold(t *testing.T) {
	w := workboatWarm()
	w.Least, w.Hottest = 3*um, 0
	warm, err := w.Range()
	if err != nil {
		t.Fatal(err)
	}
	mu, err := w.Balance.Oil.Dynamic(w.Balance.Inlet)
	if err != nil {
		t.Fatal(err)
	}
	cold, err := film.ClearanceSearch{Bearing: w.Balance.Bearing, Viscosity: mu, Least: w.Least, From: w.From, To: w.To}.Range()
	if err != nil || warm.Best <= cold.Best || warm.High > cold.High || warm.Low < cold.Low {
		t.Errorf("warm %v to %v, best %v; cold %v to %v, best %v (%v)", warm.Low, warm.High, warm.Best, cold.Low, cold.High, cold.Best, err)
	}
}

func TestRefusedWarmSearches(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*film.WarmSearch)
		kind  error
		field string
	}{
		{"nothing", func(w *film.WarmSearch) { *w = film.WarmSearch{} }, units.ErrMissing, "From"},
		{"negative from", func(w *film.WarmSearch) { w.From = -1 }, units.ErrRange, "From"},
		{"swapped", func(w *film.WarmSearch) { w.From, w.To = w.To, w.From }, units.ErrConflict, "To"},
		{"wide", func(w *film.WarmSearch) { w.To = 10 * mm }, units.ErrRange, "To"},
		{"no film", func(w *film.WarmSearch) { w.Least = 0 }, units.ErrRange, "Least"},
		{"thick film", func(w *film.WarmSearch) { w.Least = mm }, units.ErrImpossible, "Least"},
		{"no oil", func(w *film.WarmSearch) { w.Balance.Oil = nil }, units.ErrMissing, "Oil"},
		{"no inlet", func(w *film.WarmSearch) { w.Balance.Inlet = 0 }, units.ErrMissing, "Inlet"},
		{"no load", func(w *film.WarmSearch) { w.Balance.Bearing.Load = 0 }, units.ErrMissing, "Load"},
		{"heat", func(w *film.WarmSearch) { w.Balance.HeatCapacity = film.VolumetricHeat(nan()) }, units.ErrRange, "HeatCapacity"},
		{"hottest", func(w *film.WarmSearch) { w.Hottest = units.Temperature(nan()) }, units.ErrRange, "Hottest"},
		{"under the inlet", func(w *film.WarmSearch) { w.Hottest = units.Celsius(80) }, units.ErrConflict, "Hottest"},
		{"never so cool", func(w *film.WarmSearch) { w.Hottest = units.Celsius(91) }, units.ErrImpossible, "Hottest"},
		{"no balance", func(w *film.WarmSearch) { w.Balance.Bearing.Load = units.Newtons(1e9) }, units.ErrRange, "Sommerfeld"},
	} {
		w := workboatWarm()
		c.spoil(&w)
		r, err := w.Range()
		refused(t, c.name, err, c.kind, c.field)
		if r.Low != 0 || r.High != 0 || r.Best != 0 {
			t.Errorf("%s: %v beside an error", c.name, r)
		}
	}
	if (film.WarmRange{}).Working() != nil {
		t.Error("working of nothing")
	}
}

func BenchmarkWarmRange(b *testing.B) {
	w := workboatWarm()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := w.Range(); err != nil {
			b.Fatal(err)
		}
	}
}
