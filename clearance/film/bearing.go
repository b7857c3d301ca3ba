package film

import (
	"math"

	"example.com/trialfit/units"
)

const steadyText = "for a steady load: under the pulsating load of an engine it ranks clearances and is no pass or fail proof"

// steady is the caution that every result carries.
func steady() units.Caution {
	return units.Caution{Text: steadyText, Source: units.Source{Text: "Raimondi and Boyd (1958): steady load and speed", Provenance: units.VerifiedSecondary}}
}

// Bearing is a full plain bearing at work.
type Bearing struct {
	Diameter units.Length // of the journal
	// Length is that of the bearing along the shaft. For a bearing with an
	// oil groove round its middle take one land and half the load.
	Length    units.Length
	Clearance units.Measured[units.Length] // diametral: bore - journal
	Speed     units.AngularSpeed           // of the journal, the bearing at rest
	Load      units.Force                  // steady
}

// si is a checked bearing in SI units.
type si struct{ d, l, c, n, w float64 } // c radial, n in revolutions per second

const perMeter = float64(units.Meter)

func (b Bearing) check(load bool) (si, error) {
	for _, f := range [...]struct {
		name string
		l    units.Length
	}{{"Diameter", b.Diameter}, {"Length", b.Length}, {"Clearance", b.Clearance.Value}} {
		if f.l == 0 {
			return si{}, fail(f.name, "", units.ErrMissing, "want a length over 0")
		}
		if f.l < 0 {
			return si{}, fail(f.name, f.l.String(), units.ErrRange, "want a length over 0")
		}
	}
	if b.Clearance.Value > b.Diameter/20 {
		return si{}, fail("Clearance", b.Clearance.Value.String(), units.ErrConflict, "over a twentieth of the diameter: a misread inch or a mixed unit; the equation is for a thin film")
	}
	if u := b.Clearance.U; u < 0 || u > 0 && !b.Clearance.Stated {
		return si{}, fail("Clearance.U", u.String(), units.ErrRange, "want a standard uncertainty that is not negative and marked as stated")
	}
	if err := over("Speed", b.Speed); err != nil {
		return si{}, err
	}
	if load {
		if err := over("Load", b.Load); err != nil {
			return si{}, err
		}
	}
	return si{d: float64(b.Diameter) / perMeter, l: float64(b.Length) / perMeter, c: float64(b.Clearance.Value) / (2 * perMeter), n: float64(b.Speed) / (2 * math.Pi), w: float64(b.Load)}, nil
}

// UnitLoad answers the load on the projected area: P = W/(l d), with W = Load,
// l = Length, d = Diameter. Errors: those of Film.
//
// Source: definition.
//
// Rows: sh8-1-P, sh8-2-P, sh8-3-P, sh8-11-P, sh10-1-P, sh10-2-P.
func (b Bearing) UnitLoad() (units.Pressure, error) {
	x, err := b.check(true)
	if err != nil {
		return 0, err
	}
	return units.Pressure(x.w / (x.l * x.d)), nil
}

// Film is the steady film of a bearing at one viscosity.
type Film struct {
	Bearing   Bearing
	Viscosity units.DynamicViscosity
	Variables Variables
	UnitLoad  units.Pressure // P = W/(l d)
	// Minimum is the smallest film, with the uncertainty that the clearance
	// leaves in it.
	Minimum     units.Measured[units.Length]
	Coefficient float64        // of friction, f
	Torque      units.Torque   // of friction, f W r
	Power       units.Power    // lost, 2 pi N torque
	Flow        units.FlowRate // drawn in at the widest gap, Q
	SideFlow    units.FlowRate // leaves at the ends, Qs: what the supply must replace
	Peak        units.Pressure // highest pressure in the film
	Caution     units.Caution  // the film is for a steady load
}

// Film answers what film a steady load leaves at one viscosity of the oil:
//
//	P  = W/(l d)                 S = (r/c)^2 mu N/P
//	h0 = c (1 - eps)             f = Variables.Friction c/r
//	torque = f W r               power = 2 pi N torque
//	Q  = Variables.Flow r c N l  Qs = SideShare Q    pmax = P/PressureRatio
//
// with d = Diameter, r = d/2, l = Length, c = Clearance/2 (the RADIAL
// clearance), N = Speed in revolutions per second, W = Load, mu the viscosity,
// and Variables from Loading.Variables at L/D = l/d. The uncertainty of h0 is
// |dh0/dc| u(c) with W, N and mu held. Errors: a quantity that is missing, not
// over 0 or not finite; a clearance over a twentieth of the diameter; a load so
// high that the eccentricity passes 0.99.
//
// Source: as Position.Variables; JCGM 100:2008, 5.1.2.
//
// Rows: sh8-1-S, sh8-1-H, sh8-1-Q, sh8-1-Qs, sh8-2-Q, sh8-11-S, sh8-11-h0,
// sh8-12-pmax, sh8-12-T, sh10-1-h0, sh10-1-f, sh10-1-H, sh10-1-Qs,
// sweep-h0.
func (b Bearing) Film(mu units.DynamicViscosity) (f Film, err error) {
	if err = b.film(mu, &f); err != nil {
		f = Film{}
	}
	return f, err
}

// film sets what Film returns.
func (b *Bearing) film(mu units.DynamicViscosity, f *Film) error {
	x, err := b.check(true)
	if err != nil {
		return err
	}
	if err := over("Viscosity", mu); err != nil {
		return err
	}
	p, r := x.w/(x.l*x.d), x.d/2
	s := (r / x.c) * (r / x.c) * float64(mu) * x.n / p
	if !finite(p) || !finite(s) || s == 0 {
		return fail("Bearing", "", units.ErrRange, "the Sommerfeld number passes the range of numbers")
	}
	v := &f.Variables
	rate, err := Loading{x.l / x.d, s}.solve(v)
	if err != nil {
		return err
	}
	f.Bearing, f.Viscosity, f.UnitLoad, f.Caution = *b, mu, units.Pressure(p), steady()
	c := float64(b.Clearance.Value) / 2
	// S goes as 1/c^2: d h0/dc = 1 - eps + 2 d eps/d ln S.
	f.Minimum = units.Measured[units.Length]{
		Value: units.Length(math.RoundToEven(c * v.FilmRatio)), Stated: b.Clearance.Stated,
		U: units.Length(math.RoundToEven(math.Abs(v.FilmRatio+2*rate) * float64(b.Clearance.U) / 2)),
	}
	f.Coefficient = v.Friction * x.c / r
	f.Torque = units.Torque(f.Coefficient * x.w * r)
	f.Power = units.Power(2 * math.Pi * x.n * float64(f.Torque))
	f.Flow = units.FlowRate(v.Flow * r * x.c * x.n * x.l)
	f.SideFlow = units.FlowRate(v.SideShare * float64(f.Flow))
	f.Peak = units.Pressure(p / v.PressureRatio)
	if !finite(float64(f.Power)) || !finite(float64(f.Peak)) || !finite(float64(f.Flow)) {
		return fail("Bearing", "", units.ErrRange, "the power, flow or pressure passes the range of numbers")
	}
	return nil
}

var (
	definition = units.Source{Text: "definition", Provenance: units.Computed}
	solved     = units.Source{Text: "Reynolds equation, Swift-Stieber rupture, solved on a grid", Provenance: units.Computed}
	textbook   = units.Source{Text: "Raimondi and Boyd (1958), as in Shigley, Mechanical Engineering Design, ch. 12", Provenance: units.VerifiedSecondary}
)

// Working returns the derivation.
func (f Film) Working() units.Working {
	b, v := f.Bearing, f.Variables
	return units.Working{
		{Symbol: "P", Formula: "W/(l d)", Numbers: b.Load.String() + "/(" + b.Length.String() + " x " + b.Diameter.String() + ")", Value: f.UnitLoad.String(), Source: definition},
		{Symbol: "L/D", Formula: "l/d", Numbers: b.Length.String() + "/" + b.Diameter.String(), Value: show(v.LengthRatio), Source: definition},
		{Symbol: "S", Formula: "(d/C)^2 mu N/P", Numbers: "(" + b.Diameter.String() + "/" + b.Clearance.Value.String() + ")^2 x " + f.Viscosity.String() + " x " + show(b.Speed.RevolutionsPerSecond()) + " rev/s/" + f.UnitLoad.String(), Value: show(v.Sommerfeld), Source: textbook},
		{Symbol: "eps", Formula: "table at L/D and S", Value: show(v.Eccentricity), Source: solved},
		{Symbol: "h0", Formula: "(C/2) (1 - eps)", Numbers: b.Clearance.Value.String() + "/2 x (1 - " + show(v.Eccentricity) + ")", Value: f.Minimum.String(), Source: definition},
		{Symbol: "phi", Formula: "table", Value: show(v.Attitude.Degrees()) + " deg", Source: solved},
		{Symbol: "(r/c) f", Formula: "2 pi^2 S/sqrt(1 - eps^2) + (eps/2) sin phi", Value: show(v.Friction), Source: textbook},
		{Symbol: "power", Formula: "2 pi N f W r", Value: f.Power.String(), Source: definition},
		{Symbol: "Q", Formula: "Q/(rcNl) r c N l", Numbers: "Q/(rcNl) = " + show(v.Flow), Value: f.Flow.String(), Source: solved},
		{Symbol: "Qs", Formula: "Qs/Q Q", Numbers: "Qs/Q = " + show(v.SideShare), Value: f.SideFlow.String(), Source: solved},
		{Symbol: "pmax", Formula: "P/(P/pmax)", Numbers: "P/pmax = " + show(v.PressureRatio), Value: f.Peak.String(), Source: solved},
		{Symbol: "caution", Formula: f.Caution.Text, Source: f.Caution.Source},
	}
}

// Drag is the friction of a centered journal.
type Drag struct {
	Force   units.Force
	Torque  units.Torque
	Power   units.Power
	Caution units.Caution

	bearing   Bearing
	viscosity units.DynamicViscosity
}

// Petroff answers the friction of a journal that runs centered, the limit of a
// light load or a high speed; the load is not used:
//
//	F = 4 pi^2 r^2 l mu N/c    torque = F r    power = 2 pi N torque
//
// with r = Diameter/2, l = Length, c = Clearance/2, N = Speed in revolutions per
// second, mu the viscosity; the gap full of oil. Errors: those of Film but for
// the load.
//
// Source: Petroff (1883), as in Shigley, Mechanical Engineering Design, 12-3.
//
// Rows: pump-fhp, crank-petroff, faires-551a-F, faires-551a-hp, faires-551b-F.
func (b Bearing) Petroff(mu units.DynamicViscosity) (Drag, error) {
	x, err := b.check(false)
	if err != nil {
		return Drag{}, err
	}
	if err := over("Viscosity", mu); err != nil {
		return Drag{}, err
	}
	r := x.d / 2
	force := 4 * math.Pi * math.Pi * r * r * x.l * float64(mu) * x.n / x.c
	d := Drag{Force: units.Force(force), Torque: units.Torque(force * r), Power: units.Power(2 * math.Pi * x.n * force * r), Caution: steady(), bearing: b, viscosity: mu}
	if !finite(float64(d.Power)) {
		return Drag{}, fail("Bearing", "", units.ErrRange, "the power passes the range of numbers")
	}
	return d, nil
}

// Working returns the derivation; nil for the zero Drag.
func (d Drag) Working() units.Working {
	b := d.bearing
	if b.Diameter == 0 {
		return nil
	}
	return units.Working{
		{Symbol: "F", Formula: "4 pi^2 r^2 l mu N/c", Numbers: "r = " + b.Diameter.String() + "/2, l = " + b.Length.String() + ", mu = " + d.viscosity.String() + ", N = " + show(b.Speed.RevolutionsPerSecond()) + " rev/s, c = " + b.Clearance.Value.String() + "/2", Value: d.Force.String(), Source: textbook},
		{Symbol: "torque", Formula: "F r", Numbers: d.Force.String() + " x " + b.Diameter.String() + "/2", Value: d.Torque.String(), Source: textbook},
		{Symbol: "power", Formula: "2 pi N torque", Numbers: "2 pi " + show(b.Speed.RevolutionsPerSecond()) + " rev/s x " + d.Torque.String(), Value: d.Power.String(), Source: textbook},
		{Symbol: "caution", Formula: d.Caution.Text, Source: d.Caution.Source},
	}
}

// Regime says whether the film is laminar.
type Regime struct {
	Reynolds float64 // U c/nu with the radial clearance c
	Critical float64 // 41.2 sqrt(r/c), where vortices begin
	Laminar  bool    // Reynolds < Critical

	bearing   Bearing
	viscosity units.KinematicViscosity
}

// Working returns the derivation; nil for the zero Regime.
func (r Regime) Working() units.Working {
	b := r.bearing
	if b.Diameter == 0 {
		return nil
	}
	laminar := "laminar"
	if !r.Laminar {
		laminar = "not laminar: the film of this package does not hold"
	}
	return units.Working{
		{Symbol: "Re", Formula: "2 pi N r c/nu", Numbers: "N = " + show(b.Speed.RevolutionsPerSecond()) + " rev/s, r = " + b.Diameter.String() + "/2, c = " + b.Clearance.Value.String() + "/2, nu = " + r.viscosity.String(), Value: show(r.Reynolds), Source: definition},
		{Symbol: "Re critical", Formula: "41.2 sqrt(r/c)", Value: show(r.Critical), Source: vortices},
		{Symbol: "regime", Formula: "Re < Re critical", Numbers: show(r.Reynolds) + " against " + show(r.Critical), Value: laminar, Source: vortices},
	}
}

var vortices = units.Source{Text: "Taylor, Phil. Trans. A 223 (1923), as ISO 7902-1 uses it", Provenance: units.Memory}

// Regime answers whether the film is laminar, as all of this package takes it
// to be:
//
//	Re = U c/nu = 2 pi N r c/nu   laminar while Re < 41.2 sqrt(r/c)
//
// with r = Diameter/2, c = Clearance/2, N = Speed, nu the kinematic viscosity at
// the film's temperature. The bound is Taylor's for vortices between concentric
// cylinders; an eccentric journal holds out a little longer. Errors: as
// Petroff, a kinematic viscosity not over 0.
//
// Source: Taylor, Stability of a Viscous Liquid Contained between Two Rotating
// Cylinders, Phil. Trans. A 223 (1923), as ISO 7902-1 uses it (41.3).
//
// Rows: regime-re, regime-limit.
func (b Bearing) Regime(nu units.KinematicViscosity) (Regime, error) {
	x, err := b.check(false)
	if err != nil {
		return Regime{}, err
	}
	if err := over("Viscosity", nu); err != nil {
		return Regime{}, err
	}
	r := x.d / 2
	re, crit := 2*math.Pi*x.n*r*x.c/float64(nu), 41.2*math.Sqrt(r/x.c)
	if !finite(re) {
		return Regime{}, fail("Bearing", "", units.ErrRange, "the Reynolds number passes the range of numbers")
	}
	return Regime{Reynolds: re, Critical: crit, Laminar: re < crit, bearing: b, viscosity: nu}, nil
}
