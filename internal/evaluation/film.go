package evaluation

import (
	"math"

	"example.com/trialfit/clearance/film"
	"example.com/trialfit/units"
)

// filmTable computes the rows of the tabulated solution and its limits.
func filmTable(add adder) {
	values := map[string]func(film.Variables) float64{
		"Sommerfeld number": func(v film.Variables) float64 { return v.Sommerfeld },
		"attitude angle":    func(v film.Variables) float64 { return v.Attitude.Degrees() },
		"friction variable": func(v film.Variables) float64 { return v.Friction },
		"flow variable":     func(v film.Variables) float64 { return v.Flow },
		"side share":        func(v film.Variables) float64 { return v.SideShare },
		"pressure ratio":    func(v film.Variables) float64 { return v.PressureRatio },
		"eccentricity":      func(v film.Variables) float64 { return v.Eccentricity },
		"ratio":             func(v film.Variables) float64 { return v.FilmRatio },
		"load number":       func(v film.Variables) float64 { return 1 / (2 * math.Pi * v.Sommerfeld) },
	}
	position := func(in *inputs) film.Position {
		return film.Position{LengthRatio: in.float("length_ratio"), Eccentricity: in.float("eccentricity")}
	}
	for _, name := range []string{"Sommerfeld number", "attitude angle", "friction variable", "flow variable", "side share", "pressure ratio", "load number"} {
		add("film "+name+" at an eccentricity", func(in *inputs) (Answer, error) {
			v, err := position(in).Variables()
			return Number(values[name](v)), err
		}, "Position.Variables")
	}
	for _, name := range []string{"eccentricity", "ratio", "friction variable", "flow variable", "side share", "pressure ratio", "attitude angle"} {
		add("film "+name+" under a load", func(in *inputs) (Answer, error) {
			v, err := film.Loading{LengthRatio: in.float("length_ratio"), Sommerfeld: in.float("sommerfeld")}.Variables()
			return Number(values[name](v)), err
		}, "Loading.Variables")
	}
	for _, name := range []string{"Sommerfeld number", "attitude angle", "flow variable", "side share"} {
		add("short bearing "+name, func(in *inputs) (Answer, error) {
			v, err := position(in).ShortBearing()
			return Number(values[name](v)), err
		}, "Position.ShortBearing")
	}
	add("short bearing eccentricity", func(in *inputs) (Answer, error) {
		b := in.filmBearing()
		p, err := b.UnitLoad()
		if err != nil {
			return Answer{}, err
		}
		r := b.Diameter.Meters() / b.Clearance.Value.Meters()
		s := r * r * in.viscosity().PascalSeconds() * b.Speed.RevolutionsPerSecond() / p.Pascals()
		v, err := film.Loading{LengthRatio: b.Length.Meters() / b.Diameter.Meters(), Sommerfeld: s}.ShortBearing()
		return Number(v.Eccentricity), err
	}, "Loading.ShortBearing", "Bearing.UnitLoad")
	add("short bearing load", func(in *inputs) (Answer, error) {
		d, l, c := in.length("diameter").Meters(), in.length("length").Meters(), in.length("clearance").Meters()
		v, err := film.Position{LengthRatio: l / d, Eccentricity: in.float("eccentricity")}.ShortBearing()
		n := read(in, "speed", units.ParseAngularSpeed).RevolutionsPerSecond()
		return Number(d / c * d / c * in.viscosity().PascalSeconds() * n / v.Sommerfeld * l * d), err
	}, "Position.ShortBearing")
	long := func(name string, f func(float64) (film.LongVariables, error), value func(film.LongVariables) float64, symbol string) {
		add(name, func(in *inputs) (Answer, error) {
			v, err := f(in.float("eccentricity"))
			return Number(value(v)), err
		}, symbol)
	}
	long("long full film Sommerfeld number", film.LongFullFilm, func(v film.LongVariables) float64 { return v.Sommerfeld }, "LongFullFilm")
	long("long full film friction variable", film.LongFullFilm, func(v film.LongVariables) float64 { return v.Friction }, "LongFullFilm")
	long("long half film Sommerfeld number", film.LongHalfFilm, func(v film.LongVariables) float64 { return v.Sommerfeld }, "LongHalfFilm")
	long("long half film attitude angle", film.LongHalfFilm, func(v film.LongVariables) float64 { return v.Attitude.Degrees() }, "LongHalfFilm")
	add("film design interpolation", func(in *inputs) (Answer, error) {
		y, err := film.DesignInterpolation{LengthRatio: in.float("length_ratio"), Long: in.float("long"), One: in.float("one"), Half: in.float("half"), Quarter: in.float("quarter")}.Value()
		return Number(y), err
	}, "DesignInterpolation.Value")
}

// filmBearing reads a bearing; the load is optional.
func (in *inputs) filmBearing() film.Bearing {
	b := film.Bearing{
		Diameter: in.length("diameter"), Length: in.length("length"),
		Speed: read(in, "speed", units.ParseAngularSpeed), Load: read(in, "load", units.ParseForce),
	}
	if in.has("clearance") {
		b.Clearance = in.unstated("clearance")
	}
	return b
}

func (in *inputs) viscosity() units.DynamicViscosity {
	return read(in, "viscosity", units.ParseDynamicViscosity)
}

func (in *inputs) temperature(name string) units.Temperature {
	return read(in, name, units.ParseTemperature)
}

// filmBearings computes the rows of bearings with their dimensions.
func filmBearings(add adder) {
	add("bearing unit load", func(in *inputs) (Answer, error) {
		p, err := in.filmBearing().UnitLoad()
		if in.row.Unit == "psi" {
			return Number(p.PoundsPerSquareInch()), err
		}
		return Number(p.Megapascals()), err
	}, "Bearing.UnitLoad")
	of := func(name string, value func(*inputs, film.Film) float64, symbols ...string) {
		add(name, func(in *inputs) (Answer, error) {
			f, err := in.filmBearing().Film(in.viscosity())
			return Number(value(in, f)), err
		}, append(symbols, "Bearing.Film")...)
	}
	of("bearing Sommerfeld number", func(_ *inputs, f film.Film) float64 { return f.Variables.Sommerfeld })
	of("film smallest film", func(in *inputs, f film.Film) float64 { return inRowUnit(in.row, f.Minimum.Value) })
	of("film friction coefficient", func(_ *inputs, f film.Film) float64 { return f.Coefficient })
	of("film friction torque", func(in *inputs, f film.Film) float64 {
		if in.row.Unit == "lbf in" {
			return f.Torque.PoundInches()
		}
		return f.Torque.NewtonMeters()
	})
	power := func(in *inputs, p units.Power) float64 {
		switch in.row.Unit {
		case "hp":
			return p.Horsepower()
		case "Btu/s": // the source's 778 ft lbf
			return p.Watts() / units.FootPounds(778).Joules()
		default:
			return p.Watts()
		}
	}
	flow := func(in *inputs, q units.FlowRate) float64 {
		if in.row.Unit == "in3/s" {
			return q.CubicMetersPerSecond() / units.CubicInches(1).CubicMeters()
		}
		return q.CubicMetersPerSecond() * 1e9
	}
	of("film power loss", func(in *inputs, f film.Film) float64 { return power(in, f.Power) })
	of("film flow", func(in *inputs, f film.Film) float64 { return flow(in, f.Flow) })
	of("film side flow", func(in *inputs, f film.Film) float64 { return flow(in, f.SideFlow) })
	of("film peak pressure", func(_ *inputs, f film.Film) float64 { return f.Peak.PoundsPerSquareInch() })
	petroff := func(name string, value func(*inputs, film.Drag) float64) {
		add(name, func(in *inputs) (Answer, error) {
			d, err := in.filmBearing().Petroff(in.viscosity())
			return Number(value(in, d)), err
		}, "Bearing.Petroff")
	}
	petroff("Petroff force", func(_ *inputs, d film.Drag) float64 { return d.Force.PoundsForce() })
	petroff("Petroff power", func(in *inputs, d film.Drag) float64 { return power(in, d.Power) })
	petroff("Petroff friction coefficient", func(in *inputs, d film.Drag) float64 { return float64(d.Force / in.filmBearing().Load) })
	regime := func(name string, value func(film.Regime) float64) {
		add(name, func(in *inputs) (Answer, error) {
			g, err := in.filmBearing().Regime(read(in, "kinematic", units.ParseKinematicViscosity))
			return Number(value(g)), err
		}, "Bearing.Regime")
	}
	regime("film Reynolds number", func(g film.Regime) float64 { return g.Reynolds })
	regime("film critical Reynolds number", func(g film.Regime) float64 { return g.Critical })
	search := func(name string, value func(film.ClearanceRange) units.Length) {
		add(name, func(in *inputs) (Answer, error) {
			r, err := film.ClearanceSearch{Bearing: in.filmBearing(), Viscosity: in.viscosity(), Least: in.length("least"), From: in.length("from"), To: in.length("to")}.Range()
			return Number(inRowUnit(in.row, value(r))), err
		}, "ClearanceSearch.Range")
	}
	search("lowest safe clearance", func(r film.ClearanceRange) units.Length { return r.Low })
	search("highest safe clearance", func(r film.ClearanceRange) units.Length { return r.High })
	add("sweep film", func(in *inputs) (Answer, error) {
		b := in.filmBearing()
		l, err := film.TrumplerFilm(b.Diameter)
		if err != nil {
			return Answer{}, err
		}
		pts, err := film.Sweep{
			Bearing: b, Clearances: []units.Length{b.Clearance.Value}, Speeds: []units.AngularSpeed{b.Speed}, Loads: []units.Force{b.Load},
			Viscosities: []units.DynamicViscosity{in.viscosity()}, Least: l, Rule: units.SimpleAcceptance,
		}.Points()
		if err != nil {
			return Answer{}, err
		}
		return Number(inRowUnit(in.row, pts[0].Film.Minimum.Value)), nil
	}, "Sweep.Points", "Bearing.Film", "TrumplerFilm")
	add("film against Trumpler", func(in *inputs) (Answer, error) {
		b := in.filmBearing()
		f, err := b.Film(in.viscosity())
		if err != nil {
			return Answer{}, err
		}
		l, err := film.TrumplerFilm(b.Diameter)
		if err != nil {
			return Answer{}, err
		}
		v, err := f.Check(l, units.SimpleAcceptance)
		return Text(v.Outcome.String()), err
	}, "Film.Check", "Bearing.Film", "TrumplerFilm")
}

// oil reads an oil's data sheet.
func (in *inputs) oil() (film.Oil, error) {
	d := film.OilData{
		Cold: film.OilPoint{Temperature: in.temperature("cold"), Viscosity: read(in, "cold_viscosity", units.ParseKinematicViscosity)},
		Hot:  film.OilPoint{Temperature: in.temperature("hot"), Viscosity: read(in, "hot_viscosity", units.ParseKinematicViscosity)},
	}
	if in.has("density") {
		d.Density, d.DensityAt = read(in, "density", units.ParseDensity), in.temperature("density_at")
	}
	if in.has("expansion") {
		d.VolumeExpansion = read(in, "expansion", units.ParseExpansion)
	}
	return d.Oil()
}

// filmOils computes the rows of viscosities and of the heat balance.
func filmOils(add adder) {
	oil := func(name string, value func(*inputs, film.Oil) (float64, error), symbols ...string) {
		add(name, func(in *inputs) (Answer, error) {
			o, err := in.oil()
			if err != nil {
				return Answer{}, err
			}
			x, err := value(in, o)
			return Number(x), err
		}, append(symbols, "OilData.Oil")...)
	}
	oil("Walther constant A", func(_ *inputs, o film.Oil) (float64, error) { return o.Constants().A, nil }, "Oil.Constants")
	oil("kinematic viscosity of an oil", func(in *inputs, o film.Oil) (float64, error) {
		nu, err := o.Kinematic(in.temperature("temperature"))
		return nu.Centistokes(), err
	}, "Oil.Kinematic")
	oil("density of an oil", func(in *inputs, o film.Oil) (float64, error) {
		rho, err := o.Density(in.temperature("temperature"))
		return rho.KilogramsPerCubicMeter(), err
	}, "Oil.Density")
	oil("dynamic viscosity of an oil", func(in *inputs, o film.Oil) (float64, error) {
		mu, err := o.Dynamic(in.temperature("temperature"))
		return mu.Centipoises(), err
	}, "Oil.Dynamic", "Oil.Kinematic", "Oil.Density")
	add("historic grade viscosity", func(in *inputs) (Answer, error) {
		mu, err := film.HistoricGrade(in.int("grade")).Dynamic(in.temperature("temperature"))
		if in.row.Unit == "1e-6 reyn" {
			return Number(mu.Reyns() * 1e6), err
		}
		return Number(mu.Centipoises()), err
	}, "HistoricGrade.Dynamic")
	grade := func(name string, value func(film.EngineOil) float64) {
		add(name, func(in *inputs) (Answer, error) {
			o, err := film.ParseEngineOil(in.text("grade"))
			return Number(value(o)), err
		}, "ParseEngineOil")
	}
	grade("least kinematic viscosity of an engine oil", func(o film.EngineOil) float64 { return o.Least.Centistokes() })
	grade("kinematic viscosity under which an engine oil stays", func(o film.EngineOil) float64 { return o.Below.Value.Centistokes() })
	grade("least high-shear viscosity of an engine oil", func(o film.EngineOil) float64 { return o.HTHS.Value.Centipoises() })
	grade("most cranking viscosity of an engine oil", func(o film.EngineOil) float64 { return o.Crank.Value.Viscosity.Centipoises() })
	grade("cranking temperature of an engine oil", func(o film.EngineOil) float64 { return o.Crank.Value.At.Celsius() })
	grade("pumping temperature of an engine oil", func(o film.EngineOil) float64 { return o.Pumping.Value.At.Celsius() })
	add("middle viscosity of an industrial oil", func(in *inputs) (Answer, error) {
		v, err := film.IndustrialGrade(in.int("grade")).Viscosity()
		return Number(v.Middle.Centistokes()), err
	}, "IndustrialGrade.Viscosity")
	add("viscosity limits of an industrial oil", func(in *inputs) (Answer, error) {
		v, err := film.IndustrialGrade(in.int("grade")).Viscosity()
		return Interval(v.Limits.Min.Centistokes(), v.Limits.Max.Centistokes()), err
	}, "IndustrialGrade.Viscosity")
	balance := func(in *inputs, curve film.ViscosityCurve) (film.WarmFilm, error) {
		return film.HeatBalance{Bearing: in.filmBearing(), Oil: curve, Inlet: in.temperature("inlet"), HeatCapacity: film.VolumetricHeat(in.float("heat"))}.Solve()
	}
	warm := func(name string, value func(film.WarmRange) units.Length) {
		oil(name, func(in *inputs, o film.Oil) (float64, error) {
			w := film.WarmSearch{
				Balance: film.HeatBalance{Bearing: in.filmBearing(), Oil: o, Inlet: in.temperature("inlet"), HeatCapacity: film.VolumetricHeat(in.float("heat"))},
				Least:   in.length("least"), From: in.length("from"), To: in.length("to"),
			}
			if in.has("hottest") {
				w.Hottest = in.temperature("hottest")
			}
			r, err := w.Range()
			return value(r).Micrometers(), err
		}, "WarmSearch.Range", "HeatBalance.Solve")
	}
	warm("lowest safe clearance with its heat", func(r film.WarmRange) units.Length { return r.Low })
	warm("highest safe clearance with its heat", func(r film.WarmRange) units.Length { return r.High })
	oil("heat balance rise", func(in *inputs, o film.Oil) (float64, error) {
		w, err := balance(in, o)
		return w.Rise.Kelvins(), err
	}, "HeatBalance.Solve")
	oil("heat balance film", func(in *inputs, o film.Oil) (float64, error) {
		w, err := balance(in, o)
		return w.Film.Minimum.Value.Micrometers(), err
	}, "HeatBalance.Solve")
	chart := func(in *inputs) film.ChartRise {
		return film.ChartRise{HalfLength: in.text("length_ratio") == "0.5", Sommerfeld: in.float("sommerfeld")}
	}
	add("film temperature-rise variable", func(in *inputs) (Answer, error) {
		y, err := chart(in).Variable()
		return Number(y), err
	}, "ChartRise.Variable")
	add("film chart temperature rise", func(in *inputs) (Answer, error) {
		c := chart(in)
		c.UnitLoad = read(in, "unit_load", units.ParsePressure)
		d, err := c.Rise()
		if in.row.Unit == "degF" {
			return Number(d.FahrenheitDegrees()), err
		}
		return Number(d.Kelvins()), err
	}, "ChartRise.Rise", "ChartRise.Variable")
	add("film pressure-fed temperature rise", func(in *inputs) (Answer, error) {
		d, err := film.PressureFed{
			Eccentricity: in.float("eccentricity"), Friction: in.float("friction"), Sommerfeld: in.float("sommerfeld"),
			Load: read(in, "load", units.ParseForce), Supply: read(in, "supply", units.ParsePressure), Radius: in.length("radius"),
		}.Rise()
		return Number(d.Kelvins()), err
	}, "PressureFed.Rise")
}

// filmCriteria computes the rows of the criteria.
func filmCriteria(add adder) {
	least := func(name string, f func(*inputs) (units.Limits[units.Length], error), symbol string) {
		add(name, func(in *inputs) (Answer, error) {
			l, err := f(in)
			return Number(inRowUnit(in.row, l.Min)), err
		}, symbol)
	}
	least("Trumpler film", func(in *inputs) (units.Limits[units.Length], error) { return film.TrumplerFilm(in.length("diameter")) }, "TrumplerFilm")
	least("Trumpler film, metric", func(in *inputs) (units.Limits[units.Length], error) {
		return film.TrumplerFilmMetric(in.length("diameter"))
	}, "TrumplerFilmMetric")
	add("Trumpler oil temperature", func(*inputs) (Answer, error) { return Number(film.TrumplerLimits().Temperature.Max.Celsius()), nil }, "TrumplerLimits")
	add("Trumpler starting load", func(*inputs) (Answer, error) {
		return Number(film.TrumplerLimits().StartingLoad.Max.Megapascals()), nil
	}, "TrumplerLimits")
	add("Trumpler design factor", func(*inputs) (Answer, error) { return Number(film.TrumplerLimits().DesignFactor), nil }, "TrumplerLimits")
	least("peak roughness film", func(in *inputs) (units.Limits[units.Length], error) {
		return film.PeakRoughness{Journal: in.length("journal"), Bearing: in.length("bearing")}.Film()
	}, "PeakRoughness.Film")
	add("specific film", func(in *inputs) (Answer, error) {
		x, err := film.Finish{Film: in.length("film"), Journal: in.length("journal"), Bearing: in.length("bearing")}.SpecificFilm()
		return Number(x), err
	}, "Finish.SpecificFilm")
	sliding := func(in *inputs) film.Sliding {
		return film.Sliding{Diameter: in.length("diameter"), Speed: read(in, "sliding", units.ParseSpeed)}
	}
	least("ISO 7902-3 film", func(in *inputs) (units.Limits[units.Length], error) { return sliding(in).StandardFilm() }, "Sliding.StandardFilm")
	add("industrial relative clearance", func(in *inputs) (Answer, error) {
		r, err := sliding(in).IndustrialClearance()
		return Number(r.Ratio * 1000), err
	}, "Sliding.IndustrialClearance")
	add("standard clearances", func(in *inputs) (Answer, error) {
		l, err := film.StandardClearances(in.length("diameter"))
		return Interval(inRowUnit(in.row, l.Min), inRowUnit(in.row, l.Max)), err
	}, "StandardClearances")
	add("lubrication parameter", func(in *inputs) (Answer, error) {
		x, err := film.Lubrication{Viscosity: in.viscosity(), Speed: read(in, "speed", units.ParseAngularSpeed), UnitLoad: read(in, "unit_load", units.ParsePressure)}.Parameter()
		return Number(x), err
	}, "Lubrication.Parameter")
}
