package film_test

import (
	"testing"

	"example.com/trialfit/clearance/film"
	"example.com/trialfit/units"
)

var (
	sinkFilm   film.Film
	sinkLength units.Length
	sinkVars   film.Variables
	sinkWarm   film.WarmFilm
)

func BenchmarkLoadingVariables(b *testing.B) {
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		sinkVars, _ = film.Loading{LengthRatio: 0.3 + float64(i%32)/40, Sommerfeld: 0.02 + float64(i%37)/30}.Variables()
		i++
	}
}

func BenchmarkBearingFilm(b *testing.B) {
	b.ReportAllocs()
	w := workboatMain()
	i := 0
	for b.Loop() {
		w.Load = units.Newtons(1000 + float64(i%64)*200)
		f, err := w.Film(units.Centipoises(10))
		if err != nil {
			b.Fatal(err)
		}
		sinkLength += f.Minimum.Value
		i++
	}
}

func BenchmarkHeatBalance(b *testing.B) {
	b.ReportAllocs()
	oil, err := workboatOil().Oil()
	if err != nil {
		b.Fatal(err)
	}
	h := film.HeatBalance{Bearing: workboatMain(), Oil: oil, Inlet: units.Celsius(90), HeatCapacity: 1.7e6}
	i := 0
	for b.Loop() {
		h.Bearing.Load = units.Newtons(1000 + float64(i%64)*200)
		sinkWarm, _ = h.Solve()
		i++
	}
}

func BenchmarkClearanceRange(b *testing.B) {
	b.ReportAllocs()
	s := film.ClearanceSearch{Bearing: workboatMain(), Viscosity: units.Centipoises(10), Least: 12 * um, From: 10 * um, To: 400 * um}
	for b.Loop() {
		if _, err := s.Range(); err != nil {
			b.Fatal(err)
		}
	}
}

func TestNoAllocation(t *testing.T) {
	w := workboatMain()
	if n := testing.AllocsPerRun(100, func() { sinkFilm, _ = w.Film(units.Centipoises(10)) }); n != 0 {
		t.Errorf("Bearing.Film allocates %v times", n)
	}
	if n := testing.AllocsPerRun(100, func() { sinkVars, _ = film.Loading{LengthRatio: 0.5, Sommerfeld: 0.3}.Variables() }); n != 0 {
		t.Errorf("Loading.Variables allocates %v times", n)
	}
	if n := testing.AllocsPerRun(100, func() { sinkVars, _ = film.Position{LengthRatio: 0.5, Eccentricity: 0.3}.Variables() }); n != 0 {
		t.Errorf("Position.Variables allocates %v times", n)
	}
	oil, err := workboatOil().Oil()
	if err != nil {
		t.Fatal(err)
	}
	h := film.HeatBalance{Bearing: w, Oil: oil, Inlet: units.Celsius(90), HeatCapacity: 1.7e6}
	if n := testing.AllocsPerRun(100, func() { sinkWarm, _ = h.Solve() }); n != 0 {
		t.Errorf("HeatBalance.Solve allocates %v times", n)
	}
}
