package film_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/trialfit/clearance/film"
	"example.com/trialfit/units"
)

func nan() float64 { return math.NaN() }

// refused checks a refusal: the kind, the field, the package.
func refused(t *testing.T, name string, err, kind error, field string) {
	t.Helper()
	var in *units.InputError
	if !errors.Is(err, kind) || !errors.As(err, &in) || in.Field != field || in.Package != "film" {
		t.Errorf("%s: got %v, want %v of field %s", name, err, kind, field)
	}
}

func TestRefusals(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		x, eps float64
		kind   error
		field  string
	}{
		{0, 0.5, units.ErrMissing, "LengthRatio"},
		{-1, 0.5, units.ErrRange, "LengthRatio"},
		{nan(), 0.5, units.ErrRange, "LengthRatio"},
		{1, 0, units.ErrMissing, "Eccentricity"},
		{1, -0.1, units.ErrRange, "Eccentricity"},
		{1, 0.9901, units.ErrRange, "Eccentricity"},
		{1, nan(), units.ErrRange, "Eccentricity"},
		{1, inf, units.ErrRange, "Eccentricity"},
		{1e-200, 0.5, units.ErrRange, "LengthRatio"},
	} {
		v, err := film.Position{LengthRatio: c.x, Eccentricity: c.eps}.Variables()
		refused(t, "Position", err, c.kind, c.field)
		if v != (film.Variables{}) {
			t.Errorf("a value beside the error: %+v", v)
		}
		if _, err := (film.Position{LengthRatio: c.x, Eccentricity: c.eps}).ShortBearing(); c.eps != 0.9901 && c.x != 1e-200 {
			refused(t, "ShortBearing", err, c.kind, c.field)
		}
	}
	for _, c := range []struct {
		x, s  float64
		kind  error
		field string
	}{
		{0, 1, units.ErrMissing, "LengthRatio"},
		{1, 0, units.ErrMissing, "Sommerfeld"},
		{1, -1, units.ErrRange, "Sommerfeld"},
		{1, nan(), units.ErrRange, "Sommerfeld"},
		{1, inf, units.ErrRange, "Sommerfeld"},
		{1, 1e-9, units.ErrRange, "Sommerfeld"},
		{1, math.MaxFloat64, units.ErrRange, "Sommerfeld"},
		{inf, 1e-9, units.ErrRange, "Sommerfeld"},
	} {
		_, err := film.Loading{LengthRatio: c.x, Sommerfeld: c.s}.Variables()
		refused(t, "Loading", err, c.kind, c.field)
	}
	_, err := film.Loading{LengthRatio: 1, Sommerfeld: 1e-9}.Variables()
	if !strings.Contains(err.Error(), "want at least 0.00146") { // TestEnd solves the equation there
		t.Errorf("the end of the table is not named: %v", err)
	}
	_, err = film.Position{LengthRatio: inf, Eccentricity: 0.5}.ShortBearing()
	refused(t, "long short bearing", err, units.ErrRange, "LengthRatio")
	_, err = film.Loading{LengthRatio: inf, Sommerfeld: 1}.ShortBearing()
	refused(t, "long short bearing", err, units.ErrRange, "LengthRatio")
	_, err = film.Loading{LengthRatio: 1, Sommerfeld: nan()}.ShortBearing()
	refused(t, "short bearing", err, units.ErrRange, "Sommerfeld")
	_, err = film.LongFullFilm(1)
	refused(t, "LongFullFilm", err, units.ErrRange, "Eccentricity")
	_, err = film.LongHalfFilm(0)
	refused(t, "LongHalfFilm", err, units.ErrMissing, "Eccentricity")
	_, err = film.DesignInterpolation{LengthRatio: 0.2}.Value()
	refused(t, "interpolation", err, units.ErrRange, "LengthRatio")
	_, err = film.DesignInterpolation{LengthRatio: 1, Half: nan()}.Value()
	refused(t, "interpolation", err, units.ErrRange, "Half")
}

func TestRefusedBearings(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*film.Bearing)
		kind  error
		field string
	}{
		{"no diameter", func(b *film.Bearing) { b.Diameter = 0 }, units.ErrMissing, "Diameter"},
		{"negative length", func(b *film.Bearing) { b.Length = -1 }, units.ErrRange, "Length"},
		{"no clearance", func(b *film.Bearing) { b.Clearance.Value = 0 }, units.ErrMissing, "Clearance"},
		{"interference", func(b *film.Bearing) { b.Clearance.Value = -um }, units.ErrRange, "Clearance"},
		{"misread inch", func(b *film.Bearing) { b.Clearance.Value = 4 * mm }, units.ErrConflict, "Clearance"},
		{"negative u", func(b *film.Bearing) { b.Clearance.U = -1 }, units.ErrRange, "Clearance.U"},
		{"unmarked u", func(b *film.Bearing) { b.Clearance.Stated = false }, units.ErrRange, "Clearance.U"},
		{"no speed", func(b *film.Bearing) { b.Speed = 0 }, units.ErrMissing, "Speed"},
		{"backward", func(b *film.Bearing) { b.Speed = -1 }, units.ErrRange, "Speed"},
		{"infinite speed", func(b *film.Bearing) { b.Speed = units.AngularSpeed(math.Inf(1)) }, units.ErrRange, "Speed"},
		{"no load", func(b *film.Bearing) { b.Load = 0 }, units.ErrMissing, "Load"},
		{"NaN load", func(b *film.Bearing) { b.Load = units.Force(nan()) }, units.ErrRange, "Load"},
		{"huge load", func(b *film.Bearing) { b.Load = 1e308 }, units.ErrRange, "Bearing"},
		{"too much load", func(b *film.Bearing) { b.Load = units.Kilonewtons(1000) }, units.ErrRange, "Sommerfeld"},
	} {
		b := workboatMain()
		c.spoil(&b)
		f, err := b.Film(units.Centipoises(10))
		refused(t, c.name, err, c.kind, c.field)
		if f != (film.Film{}) {
			t.Errorf("%s: a value beside the error", c.name)
		}
		if c.field == "Load" || c.field == "Bearing" || c.field == "Sommerfeld" {
			continue
		}
		_, err = b.Petroff(units.Centipoises(10))
		refused(t, c.name, err, c.kind, c.field)
		_, err = b.Regime(units.Centistokes(10))
		refused(t, c.name, err, c.kind, c.field)
		_, err = b.UnitLoad()
		refused(t, c.name, err, c.kind, c.field)
	}
	b := workboatMain()
	_, err := b.Film(0)
	refused(t, "no viscosity", err, units.ErrMissing, "Viscosity")
	_, err = b.Petroff(units.DynamicViscosity(nan()))
	refused(t, "NaN viscosity", err, units.ErrRange, "Viscosity")
	_, err = b.Regime(-1)
	refused(t, "negative viscosity", err, units.ErrRange, "Viscosity")
}

func TestRefusedOils(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*film.OilData)
		kind  error
		field string
	}{
		{"no cold", func(d *film.OilData) { d.Cold = film.OilPoint{} }, units.ErrMissing, "Cold.Temperature"},
		{"no hot viscosity", func(d *film.OilData) { d.Hot.Viscosity = 0 }, units.ErrMissing, "Hot.Viscosity"},
		{"NaN", func(d *film.OilData) { d.Cold.Viscosity = units.KinematicViscosity(nan()) }, units.ErrRange, "Cold.Viscosity"},
		{"thin", func(d *film.OilData) { d.Hot.Viscosity = units.Centistokes(1.9) }, units.ErrRange, "Hot.Viscosity"},
		{"swapped", func(d *film.OilData) { d.Cold, d.Hot = d.Hot, d.Cold }, units.ErrConflict, "Hot.Temperature"},
		{"rising", func(d *film.OilData) { d.Hot.Viscosity = units.Centistokes(100) }, units.ErrConflict, "Hot.Viscosity"},
		{"negative density", func(d *film.OilData) { d.Density = -1 }, units.ErrRange, "Density"},
		{"no density temperature", func(d *film.OilData) { d.DensityAt = 0 }, units.ErrMissing, "DensityAt"},
		{"shrinking", func(d *film.OilData) { d.VolumeExpansion = -1 }, units.ErrRange, "VolumeExpansion"},
		{"NaN expansion", func(d *film.OilData) { d.VolumeExpansion = units.Expansion(nan()) }, units.ErrRange, "VolumeExpansion"},
	} {
		d := workboatOil()
		c.spoil(&d)
		_, err := d.Oil()
		refused(t, c.name, err, c.kind, c.field)
	}
	_, err := film.Oil{}.Kinematic(units.Celsius(40))
	refused(t, "zero oil", err, units.ErrMissing, "Oil")
	_, err = film.Oil{}.Density(units.Celsius(40))
	refused(t, "zero oil", err, units.ErrMissing, "Density")
	oil, err := workboatOil().Oil()
	if err != nil {
		t.Fatal(err)
	}
	_, err = oil.Dynamic(0)
	refused(t, "no temperature", err, units.ErrMissing, "Temperature")
	_, err = oil.Dynamic(units.Temperature(nan()))
	refused(t, "NaN temperature", err, units.ErrRange, "Temperature")
	_, err = oil.Kinematic(1)
	refused(t, "too cold", err, units.ErrRange, "Temperature")
	_, err = film.HistoricGrade(35).Dynamic(units.Celsius(40))
	refused(t, "grade", err, units.ErrRange, "HistoricGrade")
	_, err = film.HistoricGrade(30).Dynamic(units.Fahrenheit(500))
	refused(t, "hot", err, units.ErrRange, "Temperature")
	_, err = film.IndustrialGrade(33).Viscosity()
	refused(t, "grade", err, units.ErrRange, "IndustrialGrade")
	for _, s := range []string{"", "W", "10", "10W-", "10W-5W", "30-40", "25W-8", "SAE", "-40", "10W40", strings.Repeat("0", 100)} {
		_, err := film.ParseEngineOil(s)
		refused(t, s, err, units.ErrSyntax, "grade")
	}
	for _, s := range []string{"sae 10w-40", " SAE 30 ", "SAE30", "sae10w-40", "5W", "0w-8"} {
		if _, err := film.ParseEngineOil(s); err != nil {
			t.Errorf("%q: %v", s, err)
		}
	}
}

func TestCheckOfNothing(t *testing.T) {
	_, err := film.Film{}.Check(units.AtMost(units.Micrometer, units.Source{Text: "card", Provenance: units.Stated}), units.SimpleAcceptance)
	refused(t, "no film", err, units.ErrMissing, "Film")
}

func TestRefusedOthers(t *testing.T) {
	oil, err := workboatOil().Oil()
	if err != nil {
		t.Fatal(err)
	}
	h := film.HeatBalance{Bearing: workboatMain(), Oil: oil, Inlet: units.Celsius(90), HeatCapacity: 1.7e6}
	for _, c := range []struct {
		name  string
		spoil func(*film.HeatBalance)
		kind  error
		field string
	}{
		{"no oil", func(h *film.HeatBalance) { h.Oil = nil }, units.ErrMissing, "Oil"},
		{"no inlet", func(h *film.HeatBalance) { h.Inlet = 0 }, units.ErrMissing, "Inlet"},
		{"no heat", func(h *film.HeatBalance) { h.HeatCapacity = 0 }, units.ErrMissing, "HeatCapacity"},
		{"NaN heat", func(h *film.HeatBalance) { h.HeatCapacity = film.VolumetricHeat(nan()) }, units.ErrRange, "HeatCapacity"},
		{"no load", func(h *film.HeatBalance) { h.Bearing.Load = 0 }, units.ErrMissing, "Load"},
		{"hot inlet", func(h *film.HeatBalance) { h.Inlet = units.Celsius(400) }, units.ErrRange, "Temperature"},
	} {
		x := h
		c.spoil(&x)
		_, err := x.Solve()
		refused(t, c.name, err, c.kind, c.field)
	}
	_, err = film.ChartRise{Sommerfeld: 2}.Variable()
	refused(t, "chart", err, units.ErrRange, "Sommerfeld")
	_, err = film.ChartRise{Sommerfeld: 0.5}.Rise()
	refused(t, "chart", err, units.ErrMissing, "UnitLoad")
	_, err = film.ChartRise{}.Rise()
	refused(t, "chart", err, units.ErrRange, "Sommerfeld")
	_, err = film.PressureFed{}.Rise()
	refused(t, "fed", err, units.ErrMissing, "Eccentricity")
	_, err = film.PressureFed{Eccentricity: 0.5, Friction: 1, Sommerfeld: 1, Load: 1, Supply: -1, Radius: mm}.Rise()
	refused(t, "fed", err, units.ErrRange, "Supply")
	_, err = film.PressureFed{Eccentricity: 0.5, Friction: 1, Sommerfeld: 1, Load: 1e300, Supply: 1, Radius: 1}.Rise()
	refused(t, "fed", err, units.ErrRange, "PressureFed")
	_, err = film.TrumplerFilm(0)
	refused(t, "Trumpler", err, units.ErrMissing, "Diameter")
	_, err = film.TrumplerFilmMetric(-1)
	refused(t, "Trumpler", err, units.ErrRange, "Diameter")
	_, err = film.StandardClearances(units.MaxLength)
	refused(t, "standard", err, units.ErrRange, "Diameter")
	_, err = film.PeakRoughness{}.Film()
	refused(t, "peaks", err, units.ErrMissing, "Journal")
	_, err = film.PeakRoughness{Journal: um, Bearing: -1}.Film()
	refused(t, "peaks", err, units.ErrRange, "Bearing")
	_, err = film.Finish{Film: um}.SpecificFilm()
	refused(t, "finish", err, units.ErrMissing, "Journal")
	_, err = film.Finish{Film: -um, Journal: um}.SpecificFilm()
	refused(t, "finish", err, units.ErrRange, "Film")
	_, err = film.Sliding{Diameter: 500 * mm, Speed: 1}.StandardFilm()
	refused(t, "sliding", err, units.ErrRange, "Diameter")
	_, err = film.Sliding{Diameter: 50 * mm}.StandardFilm()
	refused(t, "sliding", err, units.ErrMissing, "Speed")
	_, err = film.Sliding{Diameter: 50 * mm, Speed: 51}.IndustrialClearance()
	refused(t, "sliding", err, units.ErrRange, "Speed")
	_, err = film.Lubrication{}.Parameter()
	refused(t, "lubrication", err, units.ErrMissing, "Viscosity")
	_, err = film.Lubrication{Viscosity: 1e300, Speed: 1, UnitLoad: 1e-300}.Parameter()
	refused(t, "lubrication", err, units.ErrRange, "Lubrication")
	s := film.ClearanceSearch{Bearing: workboatMain(), Viscosity: units.Centipoises(10), Least: um, From: 10 * um, To: 100 * um}
	for _, c := range []struct {
		name  string
		spoil func(*film.ClearanceSearch)
		kind  error
		field string
	}{
		{"no from", func(s *film.ClearanceSearch) { s.From = 0 }, units.ErrMissing, "From"},
		{"negative from", func(s *film.ClearanceSearch) { s.From = -1 }, units.ErrRange, "From"},
		{"swapped", func(s *film.ClearanceSearch) { s.From, s.To = s.To, s.From }, units.ErrConflict, "To"},
		{"wide", func(s *film.ClearanceSearch) { s.To = 10 * mm }, units.ErrRange, "To"},
		{"no film", func(s *film.ClearanceSearch) { s.Least = 0 }, units.ErrRange, "Least"},
		{"thick film", func(s *film.ClearanceSearch) { s.Least = mm }, units.ErrImpossible, "Least"},
		{"no viscosity", func(s *film.ClearanceSearch) { s.Viscosity = 0 }, units.ErrMissing, "Viscosity"},
	} {
		x := s
		c.spoil(&x)
		_, err := x.Range()
		refused(t, c.name, err, c.kind, c.field)
	}
	_, err = film.Sweep{}.Points()
	refused(t, "sweep", err, units.ErrMissing, "Clearances")
	big := film.Sweep{Clearances: make([]units.Length, 1001), Speeds: make([]units.AngularSpeed, 1001)}
	_, err = big.Points()
	refused(t, "sweep", err, units.ErrRange, "Speeds")
	// A criterion is wanted.
	f, err := workboatMain().Film(units.Centipoises(10))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Check(units.Limits[units.Length]{}, units.ProveAt95); err == nil {
		t.Error("a check without limits passes")
	}
	// Zero values show their working without a panic.
	_ = film.Film{}.Working()
	_ = film.WarmFilm{}.Working()
	if film.Drag.Working(film.Drag{}) != nil || film.ClearanceRange.Working(film.ClearanceRange{}) != nil {
		t.Error("working of nothing")
	}
	_ = film.Oil{}.Constants()
}

func FuzzLoading(f *testing.F) {
	f.Add(1.0, 0.135)
	f.Add(0.25, 16.0)
	f.Add(math.Inf(1), 0.01)
	f.Add(1e-300, 1e300)
	f.Fuzz(func(t *testing.T, x, s float64) {
		v, err := film.Loading{LengthRatio: x, Sommerfeld: s}.Variables()
		if err != nil {
			var in *units.InputError
			if !errors.As(err, &in) || v != (film.Variables{}) {
				t.Fatalf("%v %+v", err, v)
			}
			return
		}
		if !(v.Eccentricity > 0 && v.Eccentricity <= film.MaxEccentricity*(1+1e-9)) || math.IsNaN(v.Friction) || math.IsNaN(v.Flow) {
			t.Fatalf("%+v", v)
		}
		if v.Eccentricity > 1e-300 && v.Eccentricity < film.MaxEccentricity {
			w, err := film.Position{LengthRatio: x, Eccentricity: v.Eccentricity}.Variables()
			if err == nil && math.Abs(w.Sommerfeld/s-1) > 1e-6 {
				t.Fatalf("L/D %v, S %v: eps %v gives back S %v", x, s, v.Eccentricity, w.Sommerfeld)
			}
		}
	})
}

func FuzzParseEngineOil(f *testing.F) {
	for _, s := range []string{"30", "10W-40", "SAE 5W", "0W-8", "-"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		o, err := film.ParseEngineOil(s)
		if (err == nil) != (o.Grade != "") {
			t.Fatalf("%q: %+v, %v", s, o, err)
		}
		if err == nil {
			if again, err := film.ParseEngineOil(o.Grade); err != nil || again != o {
				t.Fatalf("%q: %+v, %+v, %v", s, o, again, err)
			}
		}
	})
}

// What is refused is written with its unit.
func TestRefusedWithUnit(t *testing.T) {
	b := workboatMain()
	b.Speed = units.RevolutionsPerMinute(-1800)
	_, err := b.Film(units.Centipoises(10))
	var e *units.InputError
	if !errors.As(err, &e) || e.Field != "Speed" || e.Value != b.Speed.String() {
		t.Errorf("%v", err)
	}
}
