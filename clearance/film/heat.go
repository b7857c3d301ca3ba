package film

import (
	"math"

	"example.com/trialfit/units"
)

// VolumetricHeat is the heat capacity of a volume of oil, density times specific
// heat, in J/(m3 K). Mineral oils have 1.5e6 to 1.9e6 J/(m3 K) (common practice).
type VolumetricHeat float64

// HeatBalance is a bearing whose heat leaves with its oil.
type HeatBalance struct {
	Bearing      Bearing
	Oil          ViscosityCurve
	Inlet        units.Temperature // of the oil as it enters the film
	HeatCapacity VolumetricHeat
}

// WarmFilm is a film at the temperature that its own friction gives it.
type WarmFilm struct {
	Film    Film
	Inlet   units.Temperature
	Rise    units.TemperatureDifference // of the oil through the bearing
	Mean    units.Temperature           // Inlet + Rise/2, at which the viscosity is taken
	Outlet  units.Temperature           // Inlet + Rise
	Caution units.Caution
}

// rise returns the rise in kelvins that the film at a viscosity gives.
func (h HeatBalance) rise(x si, mu float64) (float64, error) {
	p, r := x.w/(x.l*x.d), x.d/2
	v, err := Loading{x.l / x.d, (r / x.c) * (r / x.c) * mu * x.n / p}.Variables()
	if err != nil {
		return 0, err
	}
	return 4 * math.Pi * p / float64(h.HeatCapacity) * v.Friction / (v.Flow * (1 - v.SideShare/2)), nil
}

// Solve answers how warm the oil of a bearing gets and what film that leaves:
//
//	power = rho cp (Q - Qs/2) dT, that is  rho cp dT/P = 4 pi (r/c) f / (Q/(rcNl) (1 - Qs/(2 Q)))
//	T_mean = Inlet + dT/2     mu = Oil at T_mean
//
// with rho cp = HeatCapacity, dT = Rise and the film of Bearing.Film at mu: the
// side flow leaves at the mean temperature and the rest at the outlet's, and no
// heat goes through the metal, which makes the film thinner than it is. The rise
// that the friction gives falls as the oil thins, so there is one answer; it
// is bracketed and found to 1e-9 K. Errors: those of Bearing.Film and of the
// viscosity curve, a missing oil, inlet or heat capacity, a film that
// passes eccentricity 0.99 before the balance is reached.
//
// Source: Raimondi and Boyd (1958); Shigley, Mechanical Engineering Design,
// 12-9, with rho cp = 1.51e6 J/(m3 K) in its 0.120 dT/P.
//
// Rows: heat-rise, heat-h0.
func (h HeatBalance) Solve() (WarmFilm, error) {
	x, err := h.check()
	if err != nil {
		return WarmFilm{}, err
	}
	excess := func(dt float64) (float64, error) {
		mu, err := h.Oil.Dynamic(h.Inlet.Add(units.KelvinsDifference(dt / 2)))
		if err != nil {
			return 0, err
		}
		g, err := h.rise(x, float64(mu))
		return dt - g, err
	}
	dt, err := balance(excess)
	if err != nil {
		return WarmFilm{}, err
	}
	w := WarmFilm{Inlet: h.Inlet, Rise: units.KelvinsDifference(dt), Mean: h.Inlet.Add(units.KelvinsDifference(dt / 2)), Outlet: h.Inlet.Add(units.KelvinsDifference(dt)), Caution: steady()}
	mu, err := h.Oil.Dynamic(w.Mean)
	if err != nil {
		return WarmFilm{}, err
	}
	if w.Film, err = h.Bearing.Film(mu); err != nil {
		return WarmFilm{}, err
	}
	return w, nil
}

func (h HeatBalance) check() (si, error) {
	x, err := h.Bearing.check(true)
	if err != nil {
		return si{}, err
	}
	if h.Oil == nil {
		return si{}, fail("Oil", "", units.ErrMissing, "want a viscosity curve")
	}
	if err := checkTemperature("Inlet", h.Inlet); err != nil {
		return si{}, err
	}
	if err := positive("HeatCapacity", float64(h.HeatCapacity)); err != nil {
		return si{}, err
	}
	return x, nil
}

// balance finds the root of a function that grows from under 0 at 0. Where it
// cannot be had the oil is too thin, which lies past the root or past the last
// film of the table.
func balance(excess func(float64) (float64, error)) (float64, error) {
	a := 0.0
	fa, err := excess(0)
	if err != nil {
		return 0, err
	}
	b, fb := -fa, 0.0 // the rise at the inlet's viscosity is the most
	var last error
	for range 60 {
		if fb, last = excess(b); last == nil && fb >= 0 {
			break
		}
		m := a + (b-a)/2
		if last == nil { // rounding only
			a, fa, b = b, fb, b*(1+1e-12)+1e-12
			continue
		}
		fm, e := excess(m)
		if e != nil {
			b, last = m, e
			continue
		}
		if fm >= 0 {
			b, fb, last = m, fm, nil
			break
		}
		a, fa = m, fm
	}
	if last != nil {
		return 0, last
	}
	side := 0
	for range 100 {
		if b-a < 1e-10 || fb-fa == 0 {
			break
		}
		m := a - fa*(b-a)/(fb-fa)
		fm, err := excess(m)
		if err != nil {
			return 0, err
		}
		if math.Abs(fm) < 1e-10 {
			return m, nil
		}
		if fm < 0 {
			a, fa = m, fm
			if side == -1 { // Illinois
				fb /= 2
			}
			side = -1
		} else {
			b, fb = m, fm
			if side == 1 {
				fa /= 2
			}
			side = 1
		}
	}
	return (a + b) / 2, nil
}

// Working returns the derivation.
func (w WarmFilm) Working() units.Working {
	steps := units.Working{
		{Symbol: "dT", Formula: "rho cp dT/P = 4 pi (r/c) f/(Q/(rcNl) (1 - Qs/(2 Q)))", Value: w.Rise.String(), Source: textbook},
		{Symbol: "T_mean", Formula: "T_in + dT/2", Numbers: w.Inlet.String() + " + " + w.Rise.String() + "/2", Value: w.Mean.String(), Source: textbook},
		{Symbol: "mu", Formula: "viscosity curve at T_mean", Value: w.Film.Viscosity.String(), Source: definition},
	}
	return append(steps, w.Film.Working()...)
}

// ChartRise is a reading of the temperature-rise chart.
type ChartRise struct {
	HalfLength bool // L/D = 1/2; else L/D = 1
	Sommerfeld float64
	UnitLoad   units.Pressure
}

// Variable answers the temperature-rise variable of the design chart,
// 9.70 dT_F/P_psi = 0.120 dT_C/P_MPa, by its printed fits:
//
//	L/D = 1:    0.349109 + 6.00940 S + 0.047467 S^2
//	L/D = 1/2:  0.394552 + 6.392527 S - 0.036013 S^2
//
// with S = Sommerfeld from 0.01 to 1, for a steady load. The fits take the oil of
// the book; HeatBalance takes the caller's. Errors: S outside 0.01 to 1.
//
// Source: Shigley, Mechanical Engineering Design, fig. 12-24 (9th and later
// editions).
//
// Rows: sh8-11-tr1, sh8-11-tr2, sh8-11-tr3.
func (c ChartRise) Variable() (float64, error) {
	s := c.Sommerfeld
	if !(s >= 0.01 && s <= 1) {
		return 0, fail("Sommerfeld", show(s), units.ErrRange, "want 0.01 to 1, the range of the chart")
	}
	if c.HalfLength {
		return 0.394552 + s*(6.392527-0.036013*s), nil
	}
	return 0.349109 + s*(6.00940+0.047467*s), nil
}

// Rise answers the temperature rise from the chart under a steady load:
// dT = Variable P/0.120 in degC and MPa, with P = UnitLoad. Errors: those of Variable, a unit load
// that is not over 0.
//
// Source: as Variable.
//
// Rows: sh8-11-dT1, sh8-11-dT3, sh8-12-dT-150, sh8-12-dT-124.
func (c ChartRise) Rise() (units.TemperatureDifference, error) {
	v, err := c.Variable()
	if err != nil {
		return 0, err
	}
	if err := over("UnitLoad", c.UnitLoad); err != nil {
		return 0, err
	}
	return units.KelvinsDifference(v * c.UnitLoad.Megapascals() / 0.120), nil
}

// PressureFed is a bearing that is fed under pressure through a groove round
// its middle.
type PressureFed struct {
	Eccentricity float64
	Friction     float64 // (r/c) f
	Sommerfeld   float64 // of one land: L/D with the land's length, half the load
	Load         units.Force
	Supply       units.Pressure // over ambient
	Radius       units.Length
}

// Rise answers the temperature rise of the oil that the supply pressure drives
// through a bearing with a central groove:
//
//	dT_C = 978e6/(1 + 1.5 eps^2) * (f r/c) S W^2/(p_s r^4)
//
// with eps = Eccentricity, (f r/c) = Friction, S = Sommerfeld, W = Load in kN,
// p_s = Supply in kPa, r = Radius in mm, and the oil of the book, for a steady
// load: a pulsating one it only ranks. A main bearing
// with an oil groove is of this kind: enter the table with the length of one
// land. Errors: a value that is missing or not over 0, an eccentricity of 1 or
// more.
//
// Source: Shigley, Mechanical Engineering Design, eq. 12-25.
//
// Rows: sh8-pf-dT1, sh8-pf-dT2, sh8-pf-dT3.
func (p PressureFed) Rise() (units.TemperatureDifference, error) {
	if err := checkEccentricity(p.Eccentricity, math.Nextafter(1, 0)); err != nil {
		return 0, err
	}
	for _, f := range []struct {
		name string
		x    float64
	}{{"Friction", p.Friction}, {"Sommerfeld", p.Sommerfeld}, {"Load", float64(p.Load)}, {"Supply", float64(p.Supply)}, {"Radius", float64(p.Radius)}} {
		if err := positive(f.name, f.x); err != nil {
			return 0, err
		}
	}
	r, w := p.Radius.Millimeters(), p.Load.Kilonewtons()
	dt := 978e6 / (1 + 1.5*p.Eccentricity*p.Eccentricity) * p.Friction * p.Sommerfeld * (w / r / r) * (w / r / r) / p.Supply.Kilopascals()
	if !finite(dt) {
		return 0, fail("PressureFed", "", units.ErrRange, "the rise passes the range of numbers")
	}
	return units.KelvinsDifference(dt), nil
}
