package film

import (
	"math"

	"example.com/trialfit/units"
)

// WarmSearch asks which clearances leave a film when the oil is as warm as the
// bearing makes it.
type WarmSearch struct {
	Balance HeatBalance  // the Clearance of its Bearing is not used
	Least   units.Length // the film wanted
	// Hottest is the highest temperature at which the oil may leave, as that of
	// TrumplerLimits; the zero Temperature asks for none.
	Hottest units.Temperature
	// From and To bound the search, diametral; To at most a twentieth of the
	// diameter.
	From, To units.Length
}

// WarmRange are the diametral clearances whose film is thick and cool enough.
type WarmRange struct {
	Low, High units.Length
	// LowIsFrom and HighIsTo say that the range may go on past the search.
	LowIsFrom, HighIsTo bool
	// LowByHeat says that a tighter clearance would leave the film but pass
	// Hottest.
	LowByHeat bool
	Best      units.Length // the clearance of the range with the thickest film
	BestFilm  WarmFilm
	Caution   units.Caution

	search WarmSearch
}

// Range answers which clearances leave at least a film under a load and speed
// with oil of an inlet temperature, and keep that oil cool enough: all C from Low
// to High with
//
//	h0(C) = (C/2) (1 - eps(C)) >= Least     Outlet(C) <= Hottest
//
// of HeatBalance.Solve. A tighter bearing shears its oil more and lets less of it
// through: it runs hotter, so that the thickest film stands at a wider clearance
// than at one viscosity for all, and a clearance that is far too tight is found
// too hot. A clearance without a balance, its oil under the viscosity that the
// curve holds or its film past eccentricity 0.99, leaves none. The thickest film is
// found on a grid of 48 clearances and by golden section beside the best of
// them, the ends by bisection to 1 nm, inward. Errors: those of HeatBalance.Solve
// but for a film that is not there; a film, a temperature or bounds missing or
// swapped; ErrImpossible where no clearance leaves the film, naming the best, or
// none that does is cool enough.
//
// Source: as HeatBalance.Solve.
//
// Rows: warm-range-high, warm-range-low, warm-range-cool.
func (w WarmSearch) Range() (WarmRange, error) {
	if err := checkFrom(w.From); err != nil {
		return WarmRange{}, err
	}
	h := w.Balance
	h.Bearing.Clearance = units.Unstated(w.From)
	if _, err := h.check(); err != nil {
		return WarmRange{}, err
	}
	if w.Least <= 0 {
		return WarmRange{}, fail("Least", w.Least.String(), units.ErrRange, "want a film over 0")
	}
	if w.Hottest != 0 {
		if err := checkTemperature("Hottest", w.Hottest); err != nil {
			return WarmRange{}, err
		}
		if w.Hottest <= h.Inlet {
			return WarmRange{}, fail("Hottest", w.Hottest.String(), units.ErrConflict, "want it over the inlet, "+h.Inlet.String())
		}
	}
	if w.To <= w.From {
		return WarmRange{}, fail("To", w.To.String(), units.ErrConflict, "want it over From, "+w.From.String())
	}
	if w.To > h.Bearing.Diameter/20 {
		return WarmRange{}, fail("To", w.To.String(), units.ErrRange, "want at most a twentieth of the diameter")
	}
	solve := func(dia float64) (WarmFilm, error) {
		h.Bearing.Clearance.Value = units.Length(math.RoundToEven(dia))
		return h.Solve()
	}
	height := func(dia float64) float64 { // 0 where there is no balance
		f, err := solve(dia)
		if err != nil {
			return 0
		}
		return float64(f.Film.Minimum.Value)
	}
	const grid = 48
	from, to := float64(w.From), float64(w.To)
	place := func(i int) float64 { return from * math.Pow(to/from, float64(min(max(i, 0), grid))/grid) }
	top, most := 0, 0.0
	for i := range grid + 1 {
		if x := height(place(i)); x > most {
			top, most = i, x
		}
	}
	best := peak(height, max(place(top-1), from), min(place(top+1), to))
	if height(best) < most {
		best = place(top)
	}
	out := WarmRange{Caution: steady(), search: w}
	film, err := solve(best)
	if err != nil {
		return WarmRange{}, err
	}
	if film.Film.Minimum.Value < w.Least {
		return WarmRange{}, fail("Least", w.Least.String(), units.ErrImpossible, "no clearance of the search leaves it: the best, "+h.Bearing.Clearance.Value.String()+", leaves "+film.Film.Minimum.Value.String())
	}
	thick := func(dia float64) bool { return height(dia) >= float64(w.Least) }
	out.Low, out.LowIsFrom = edge(thick, best, from)
	out.High, out.HighIsTo = edge(thick, best, to)
	if w.Hottest != 0 {
		cool := func(dia float64) bool {
			f, err := solve(dia)
			return err == nil && f.Outlet <= w.Hottest
		}
		if !cool(float64(out.High)) {
			return WarmRange{}, fail("Hottest", w.Hottest.String(), units.ErrImpossible, "no clearance that leaves the film is that cool: the widest, "+out.High.String()+", is the coolest")
		}
		if low, same := edge(cool, float64(out.High), float64(out.Low)); !same {
			out.Low, out.LowIsFrom, out.LowByHeat = low, false, true
			best = max(best, float64(low))
		}
	}
	out.Best = units.Length(math.RoundToEven(best))
	if out.BestFilm, err = solve(best); err != nil {
		return WarmRange{}, err
	}
	return out, nil
}

// Working returns the derivation; nil for the zero WarmRange.
func (r WarmRange) Working() units.Working {
	w := r.search
	if w.Least == 0 {
		return nil
	}
	low := units.Step{Symbol: "low", Formula: "where the film is " + w.Least.String(), Value: r.Low.String(), Source: solved}
	switch {
	case r.LowByHeat:
		low.Formula = "where the oil leaves at " + w.Hottest.String()
	case r.LowIsFrom:
		low.Formula = "the end of the search, thick and cool enough yet"
	}
	high := units.Step{Symbol: "high", Formula: "where the film is " + w.Least.String(), Value: r.High.String(), Source: solved}
	if r.HighIsTo {
		high.Formula = "the end of the search, thick enough yet"
	}
	steps := units.Working{low, high, {Symbol: "best", Formula: "the thickest film of the range", Numbers: "h0 = " + r.BestFilm.Film.Minimum.Value.String(), Value: r.Best.String(), Source: solved}}
	return append(steps, r.BestFilm.Working()...)
}
