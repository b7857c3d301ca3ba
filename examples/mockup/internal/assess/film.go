package assess

import (
	"slices"
	"strconv"

	"example.com/trialfit/clearance"
	"example.com/trialfit/clearance/film"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// FilmLine is one clearance of a bearing with the film that it leaves.
type FilmLine struct {
	Bearing, Which, Clearance, Film, Eccentricity string
	Rank                                          int // 1 is the thickest film of the bearing
}

// oneTemperature is what a ranking leaves out that would lead to too tight a
// bearing.
const oneTemperature = "; one film temperature stands for all: a tighter bearing lets less oil through and runs hotter, with less film than shown"

// films ranks clearances by their oil film: those that were read and those that
// the limits allow. A steady film proves nothing for an engine, so that nothing
// here enters a verdict.
func (e *evaluator) films() error {
	s := e.sheet.OilFilm
	if s == nil {
		return nil
	}
	oil, err := film.OilData{
		Cold:    film.OilPoint{Temperature: s.Oil.Cold.Temperature.Value, Viscosity: s.Oil.Cold.Viscosity.Value},
		Hot:     film.OilPoint{Temperature: s.Oil.Hot.Temperature.Value, Viscosity: s.Oil.Hot.Viscosity.Value},
		Density: s.Oil.Density.Value, DensityAt: s.Temperature.Value,
	}.Oil()
	if err != nil {
		return oilPlaces.put("oil_film.oil", err)
	}
	mu, err := oil.Dynamic(s.Temperature.Value)
	if err != nil {
		return at("oil_film.temperature", err)
	}
	if len(s.Bearings) == 0 {
		return fail("oil_film.bearings", "", units.ErrMissing, "want at least one bearing")
	}
	var names []string
	for i := range s.Bearings {
		b, path := &s.Bearings[i], index("oil_film.bearings", i)
		names = append(names, b.Name)
		if err := unique("oil_film.bearings", i, b.Name, names); err != nil {
			return err
		}
		oil, ok := e.oils[b.Name]
		if !ok {
			return fail(path+".name", b.Name, units.ErrConflict, "want the name of an entry of bearings that has bore and journal readings")
		}
		if err := e.film(path, b, oil, mu); err != nil {
			return err
		}
	}
	return nil
}

// oilOf is what is known of the clearance of a bearing.
type oilOf struct {
	clearance clearance.OilClearance
	limits    units.Limits[units.Length]
	style     Style
}

func (e *evaluator) film(path string, b *sheet.FilmBearing, o oilOf, mu units.DynamicViscosity) error {
	d := o.clearance.Journal.Mean.Value
	least, err := film.TrumplerFilm(d)
	if err != nil {
		return at(path, err)
	}
	type choice struct {
		which string
		c     units.Length
	}
	var list []choice
	if o.limits.HasMin {
		list = append(list, choice{"least allowed", o.limits.Min})
	}
	list = append(list,
		choice{"smallest read", o.clearance.Smallest.Clearance.Value}, choice{"mean read", o.clearance.Mean.Value},
		choice{"largest read", o.clearance.Largest.Clearance.Value})
	if o.limits.HasMax {
		list = append(list, choice{"most allowed", o.limits.Max})
	}
	list = slices.DeleteFunc(list, func(c choice) bool { return c.c <= 0 || c.c > d/20 })
	sweep := film.Sweep{
		Bearing: film.Bearing{Diameter: d, Length: b.Length.Length}, Speeds: []units.AngularSpeed{e.sheet.OilFilm.Speed.Value},
		Loads: []units.Force{b.Load.Value}, Viscosities: []units.DynamicViscosity{mu}, Least: least, Rule: units.SimpleAcceptance,
	}
	for _, c := range list {
		sweep.Clearances = append(sweep.Clearances, c.c)
	}
	if len(list) == 0 {
		return fail(path+".name", b.Name, units.ErrImpossible, "no clearance of this bearing is over 0 and under a twentieth of its diameter")
	}
	points, err := sweep.Points()
	if err != nil {
		return filmPlaces.put(path, err)
	}
	for i, p := range points {
		e.res.FilmCaution = p.Verdict.Caution.Text + oneTemperature
		line := FilmLine{Bearing: b.Name, Which: list[i].which, Clearance: o.style.Text(list[i].c), Rank: 1}
		for _, q := range points {
			if q.Film.Minimum.Value > p.Film.Minimum.Value {
				line.Rank++
			}
		}
		if p.OutsideTable {
			line.Film, line.Eccentricity = "too thin to tell", "over "+strconv.FormatFloat(film.MaxEccentricity, 'f', -1, 64)
		} else {
			line.Film, line.Eccentricity = Style{o.style.Unit, o.style.Decimals + 2}.Round(p.Film.Minimum.Value), strconv.FormatFloat(p.Film.Variables.Eccentricity, 'f', 2, 64)
		}
		e.res.Films = append(e.res.Films, line)
	}
	return nil
}
