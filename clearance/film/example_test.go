package film_test

import (
	"errors"
	"fmt"

	"example.com/trialfit/clearance/film"
	"example.com/trialfit/units"
)

const (
	mm = units.Millimeter
	um = units.Micrometer
)

// workboatMain is a main bearing of the workboat's six: one land of it.
func workboatMain() film.Bearing {
	return film.Bearing{
		Diameter: 60 * mm, Length: 30 * mm, Clearance: units.WithU(60*um, 2*um),
		Speed: units.RevolutionsPerMinute(3000), Load: units.Newtons(2000),
	}
}

// workboatOil is the data sheet of its oil.
func workboatOil() film.OilData {
	return film.OilData{
		Cold:    film.OilPoint{Temperature: units.Celsius(40), Viscosity: units.Centistokes(95)},
		Hot:     film.OilPoint{Temperature: units.Celsius(100), Viscosity: units.Centistokes(11.5)},
		Density: units.KilogramsPerCubicMeter(880), DensityAt: units.Celsius(15), VolumeExpansion: units.PerKelvin(0.0007),
	}
}

func ExampleBearing() {
	b := workboatMain()
	p, _ := b.UnitLoad()
	fmt.Printf("%.3f MPa\n", p.Megapascals())
	f, err := b.Film(units.Centipoises(10))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("smallest film %.1f um, S = %.3f\n", f.Minimum.Value.Micrometers(), f.Variables.Sommerfeld)
	fmt.Println(f.Caution.Text)
	d, _ := b.Petroff(units.Centipoises(10))
	fmt.Printf("centered: %.2f W\n", d.Power.Watts())
	r, _ := b.Regime(units.Centistokes(10))
	fmt.Printf("Re %.1f of %.0f, laminar %t\n", r.Reynolds, r.Critical, r.Laminar)
	// Output:
	// 1.111 MPa
	// smallest film 14.2 um, S = 0.450
	// for a steady load: under the pulsating load of an engine it ranks clearances and is no pass or fail proof
	// centered: 167.43 W
	// Re 28.3 of 1303, laminar true
}

func ExampleFilm_Check() {
	f, _ := workboatMain().Film(units.Centipoises(10))
	least, _ := film.TrumplerFilm(60 * mm)
	v, err := f.Check(least, units.ProveAt95)
	fmt.Println(v.Outcome, err)
	// Output: within <nil>
}

func ExamplePosition() {
	p := film.Position{LengthRatio: 1, Eccentricity: 0.6}
	v, _ := p.Variables()
	fmt.Printf("S = %.3f, phi = %.1f deg, Q/(rcNl) = %.2f\n", v.Sommerfeld, v.Attitude.Degrees(), v.Flow)
	s, _ := p.ShortBearing()
	fmt.Printf("short-bearing theory: S = %.4f, unsafe\n", s.Sommerfeld)
	// Output:
	// S = 0.121, phi = 50.5 deg, Q/(rcNl) = 4.33
	// short-bearing theory: S = 0.0625, unsafe
}

func ExampleLoading() {
	l := film.Loading{LengthRatio: 1, Sommerfeld: 0.135}
	v, _ := l.Variables()
	fmt.Printf("h0/c = %.2f, (r/c) f = %.2f, P/pmax = %.2f\n", v.FilmRatio, v.Friction, v.PressureRatio)
	_, err := film.Loading{LengthRatio: 1, Sommerfeld: 1e-6}.Variables()
	fmt.Println(errors.Is(err, units.ErrRange))
	// Output:
	// h0/c = 0.43, (r/c) f = 3.48, P/pmax = 0.43
	// true
}

func ExampleLoading_ShortBearing() {
	// The closed form at eps = 0.5 and L/D = 1 has S = 0.106049.
	v, _ := film.Loading{LengthRatio: 1, Sommerfeld: 0.106049}.ShortBearing()
	fmt.Printf("%.4f\n", v.Eccentricity)
	// Output: 0.5000
}

func ExampleLongFullFilm() {
	v, _ := film.LongFullFilm(0.5)
	fmt.Printf("S = %.6f, (r/c) f = %.0f\n", v.Sommerfeld, v.Friction)
	// Output: S = 0.032905, (r/c) f = 1
}

func ExampleLongHalfFilm() {
	v, _ := film.LongHalfFilm(0.5)
	fmt.Printf("S = %.5f, phi = %.2f deg\n", v.Sommerfeld, v.Attitude.Degrees())
	// Output: S = 0.06177, phi = 69.82 deg
}

func ExampleDesignInterpolation() {
	y, _ := film.DesignInterpolation{LengthRatio: 2, Long: 0.96, One: 0.77, Half: 0.54, Quarter: 0.31}.Value()
	fmt.Printf("%.2f\n", y)
	// Output: 0.88
}

func ExampleOilData() {
	oil, err := workboatOil().Oil()
	if err != nil {
		fmt.Println(err)
		return
	}
	t := units.Celsius(90)
	nu, _ := oil.Kinematic(t)
	rho, _ := oil.Density(t)
	mu, _ := oil.Dynamic(t)
	fmt.Printf("%.2f cSt, %.1f kg/m3, %.2f mPa s\n", nu.Centistokes(), rho.KilogramsPerCubicMeter(), mu.Centipoises())
	// Output: 14.87 cSt, 836.1 kg/m3, 12.43 mPa s
}

func ExampleOil() {
	oil, _ := film.OilData{
		Cold: film.OilPoint{Temperature: units.Kelvins(313), Viscosity: units.Centistokes(32)},
		Hot:  film.OilPoint{Temperature: units.Kelvins(373), Viscosity: units.Centistokes(5.4)},
	}.Oil()
	nu, _ := oil.Kinematic(units.Kelvins(353))
	fmt.Printf("A = %.4f, %.1f cSt\n", oil.Constants().A, nu.Centistokes())
	_, err := oil.Dynamic(units.Kelvins(353))
	_, err2 := oil.Density(units.Kelvins(353))
	fmt.Println(errors.Is(err, units.ErrMissing), errors.Is(err2, units.ErrMissing)) // no density was given
	// Output:
	// A = 9.5259, 8.5 cSt
	// true true
}

func ExampleHistoricGrade() {
	mu, _ := film.HistoricGrade(30).Dynamic(units.Celsius(100))
	fmt.Printf("%.2f mPa s\n", mu.Centipoises())
	// Output: 8.16 mPa s
}

func ExampleParseEngineOil() {
	o, _ := film.ParseEngineOil("10W-40")
	fmt.Printf("%.1f to under %.1f cSt at 100 degC, at least %.1f mPa s at high shear\n",
		o.Least.Centistokes(), o.Below.Value.Centistokes(), o.HTHS.Value.Centipoises())
	// Output: 12.5 to under 16.3 cSt at 100 degC, at least 3.5 mPa s at high shear
}

func ExampleIndustrialGrade() {
	v, _ := film.IndustrialGrade(46).Viscosity()
	fmt.Printf("%.1f to %.1f cSt at 40 degC\n", v.Limits.Min.Centistokes(), v.Limits.Max.Centistokes())
	// Output: 41.4 to 50.6 cSt at 40 degC
}

func ExampleHeatBalance() {
	oil, _ := workboatOil().Oil()
	b := workboatMain()
	b.Load = units.Newtons(6000)
	w, err := film.HeatBalance{Bearing: b, Oil: oil, Inlet: units.Celsius(90), HeatCapacity: 1.7e6}.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("rise %.1f K, smallest film %.2f um\n", w.Rise.Kelvins(), w.Film.Minimum.Value.Micrometers())
	// Output: rise 32.2 K, smallest film 7.16 um
}

func ExampleChartRise() {
	c := film.ChartRise{Sommerfeld: 0.358, UnitLoad: units.Megapascals(0.469)}
	y, _ := c.Variable()
	d, _ := c.Rise()
	fmt.Printf("%.1f, %.1f degC\n", y, d.Kelvins())
	// Output: 2.5, 9.8 degC
}

func ExamplePressureFed() {
	d, _ := film.PressureFed{
		Eccentricity: 0.9, Friction: 1.6, Sommerfeld: 0.0296,
		Load: units.Kilonewtons(10), Supply: units.Kilopascals(200), Radius: 25 * mm,
	}.Rise()
	fmt.Printf("%.1f degC\n", d.Kelvins())
	// Output: 26.8 degC
}

func ExampleTrumplerFilm() {
	l, _ := film.TrumplerFilm(4 * units.Inch)
	fmt.Println(l.Min.Text(units.Inches, 6))
	// Output: 0.000360 in
}

func ExampleTrumplerFilmMetric() {
	l, _ := film.TrumplerFilmMetric(60 * mm)
	fmt.Println(l.Min.Text(units.Millimeters, 4))
	// Output: 0.0074 mm
}

func ExampleTrumplerLimits() {
	l := film.TrumplerLimits()
	fmt.Printf("%.0f degC, %.2f MPa, %.0f\n", l.Temperature.Max.Celsius(), l.StartingLoad.Max.Megapascals(), l.DesignFactor)
	// Output: 121 degC, 2.07 MPa, 2
}

func ExamplePeakRoughness() {
	l, _ := film.PeakRoughness{Journal: 8 * um / 10, Bearing: 12 * um / 10}.Film()
	fmt.Println(l.Min.Text(units.Millimeters, 4))
	// Output: 0.0020 mm
}

func ExampleFinish() {
	x, _ := film.Finish{Film: 15 * um, Journal: 3 * um, Bearing: 4 * um}.SpecificFilm()
	fmt.Println(x >= film.FullFilm, x)
	// Output: true 3
}

func ExampleSliding() {
	s := film.Sliding{Diameter: 60 * mm, Speed: units.MetersPerSecond(9.4)}
	l, _ := s.StandardFilm()
	c, _ := s.IndustrialClearance()
	fmt.Println(l.Min.Text(units.Millimeters, 3), "and", c.Clearance.Text(units.Millimeters, 3))
	fmt.Println(l.Source)
	// Output:
	// 0.005 mm and 0.096 mm
	// ISO 7902-3, table 1 (memory)
}

func ExampleStandardClearances() {
	l, _ := film.StandardClearances(100 * mm)
	fmt.Println(l.Min.Text(units.Millimeters, 3), l.Max.Text(units.Millimeters, 3))
	// Output: 0.056 mm 0.315 mm
}

func ExampleLubrication() {
	x, _ := film.Lubrication{Viscosity: units.Centipoises(1), Speed: units.RevolutionsPerMinute(60), UnitLoad: units.PoundsPerSquareInch(1)}.Parameter()
	fmt.Println(x > film.StableParameter) // 60 of cP rpm/psi against 30
	// Output: true
}

func ExampleClearanceSearch() {
	s := film.ClearanceSearch{Bearing: workboatMain(), Viscosity: units.Centipoises(10), Least: 12 * um, From: 10 * um, To: 400 * um}
	r, err := s.Range()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("from %.1f um\n", r.Low.Micrometers())
	s.Least = 30 * um
	_, err = s.Range()
	fmt.Println(errors.Is(err, units.ErrImpossible))
	// Output:
	// from 31.7 um
	// true
}

func ExampleSweep() {
	least, _ := film.TrumplerFilm(60 * mm)
	pts, err := film.Sweep{
		Bearing: workboatMain(), Clearances: []units.Length{40 * um, 60 * um}, Speeds: []units.AngularSpeed{units.RevolutionsPerMinute(3000)},
		Loads: []units.Force{units.Newtons(2000), units.Kilonewtons(2000)}, Viscosities: []units.DynamicViscosity{units.Centipoises(10)},
		Least: least,
	}.Points()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range pts[2:] {
		fmt.Println(p.Bearing.Clearance.Value.Text(units.Millimeters, 3), p.Bearing.Load, p.OutsideTable, p.Verdict.Outcome)
	}
	// Output:
	// 0.060 mm 2000 N false within
	// 0.060 mm 2e+06 N true outside
}

func ExampleVariables_Caution() {
	v, err := film.Loading{LengthRatio: 0.5, Sommerfeld: 0.2}.Variables()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(v.Caution().Text)
	// Output: for a steady load: under the pulsating load of an engine it ranks clearances and is no pass or fail proof
}

func ExampleLongVariables_Caution() {
	v, err := film.LongHalfFilm(0.5)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(v.Caution().Text[:17])
	// Output: for a steady load
}

func ExampleChartRise_Caution() {
	fmt.Println(film.ChartRise{}.Caution().Text[:17])
	// Output: for a steady load
}

func ExamplePressureFed_Caution() {
	fmt.Println(film.PressureFed{}.Caution().Text[:17])
	// Output: for a steady load
}

func ExampleDesignInterpolation_Caution() {
	fmt.Println(film.DesignInterpolation{}.Caution().Text[:17])
	// Output: for a steady load
}
