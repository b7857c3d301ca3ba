package fit_test

import (
	"errors"
	"math"
	"testing"

	"example.com/trialfit/clearance/fit"
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

var card = units.Source{Text: "the card of the parts", Provenance: units.Stated}

func metal(gpa, nu, perMillion float64) material.Material {
	return material.Material{
		Young:   material.Property[units.Pressure]{Value: units.Megapascals(gpa * 1e3), Source: card},
		Poisson: material.Property[float64]{Value: nu, Source: card},
		Expansion: material.Expansion{
			Base: units.Celsius(20), Lowest: units.Celsius(-200), Highest: units.Celsius(500),
			Coefficient: units.WithU(units.PerKelvin(perMillion*1e-6), units.PerKelvin(0.3e-6)), Source: card,
		},
	}
}

// guide is a bronze guide in an aluminum head.
func guide() fit.Press {
	return fit.Press{
		Diameter: 14 * mm, ShaftBore: 8 * mm, HubOutside: 30 * mm, Interference: units.WithU(40*um, 2*um),
		Hub: metal(72.4, 0.33, 21.5), Shaft: metal(100, 0.34, 18),
	}
}

// ring solves one thick ring in plane stress for the radial displacement u at
// both surfaces, given the pressures on them, by finite differences of
// u” + u'/r - u/r^2 = 0 with the stresses as boundary conditions. Nothing of
// Lame's solution is in it.
func ring(ri, ro, e, nu, pi, po float64, n int) (ui, uo float64) {
	h := (ro - ri) / float64(n)
	c := e / (1 - nu*nu)
	// One ghost point on each side, index 0 and n+2.
	lower, diag, upper, rhs := make([]float64, n+3), make([]float64, n+3), make([]float64, n+3), make([]float64, n+3)
	for k := 1; k <= n+1; k++ {
		r := ri + float64(k-1)*h
		lower[k], diag[k], upper[k] = 1/(h*h)-1/(2*h*r), -2/(h*h)-1/(r*r), 1/(h*h)+1/(2*h*r)
	}
	// sigma_r = c (u' + nu u/r) = -p at the surfaces: eliminate the ghosts.
	// Inside: u[0] = u[2] - 2h(u'), u' = -pi/c - nu u[1]/ri.
	upper[1] += lower[1]
	diag[1] += lower[1] * 2 * h * nu / ri
	rhs[1] -= lower[1] * 2 * h * pi / c
	lower[1] = 0
	// Outside: u[n+2] = u[n] + 2h u', u' = -po/c - nu u[n+1]/ro.
	lower[n+1] += upper[n+1]
	diag[n+1] -= upper[n+1] * 2 * h * nu / ro
	rhs[n+1] += upper[n+1] * 2 * h * po / c
	upper[n+1] = 0
	for k := 2; k <= n+1; k++ {
		f := lower[k] / diag[k-1]
		diag[k] -= f * upper[k-1]
		rhs[k] -= f * rhs[k-1]
	}
	u := make([]float64, n+3)
	u[n+1] = rhs[n+1] / diag[n+1]
	for k := n; k >= 1; k-- {
		u[k] = (rhs[k] - upper[k]*u[k+1]) / diag[k]
	}
	return u[1], u[n+1]
}

// The pressure of Solve, put on both rings by finite differences, closes the
// interference; the bore closes and the outside grows as it says.
func TestPressAgainstFiniteDifferences(t *testing.T) {
	for _, p := range []fit.Press{
		guide(),
		{Diameter: 40 * mm, ShaftBore: 20 * mm, HubOutside: 60 * mm, Interference: units.Unstated(32 * um), Hub: metal(207, 0.3, 11), Shaft: metal(207, 0.3, 11)},
		{Diameter: 20 * mm, ShaftBore: 17 * mm, HubOutside: 24 * mm, Interference: units.Unstated(-1 + 15*um), Hub: metal(102, 0.26, 11), Shaft: metal(207, 0.3, 11)},
		{Diameter: 50 * mm, ShaftBore: 5 * mm, HubOutside: 300 * mm, Interference: units.Unstated(80 * um), Loss: 10 * um, Hub: metal(70, 0.33, 23), Shaft: metal(190, 0.29, 16)},
	} {
		r := must[fit.Pressed](t)(p.Solve())
		q := float64(r.Pressure.Value)
		const n = 4000
		hubIn, hubOut := ring(p.Diameter.Meters()/2, p.HubOutside.Meters()/2, float64(p.Hub.Young.Value), p.Hub.Poisson.Value, q, 0, n)
		shaftIn, shaftOut := ring(p.ShaftBore.Meters()/2, p.Diameter.Meters()/2, float64(p.Shaft.Young.Value), p.Shaft.Poisson.Value, 0, q, n)
		near(t, "interference", 2*(hubIn-shaftOut), r.Effective.Value.Meters(), 2e-5)
		near(t, "growth", 2*hubOut, r.OutsideGrowth.Meters(), 2e-5)
		near(t, "closing", -2*shaftIn, r.BoreClosing.Meters(), 2e-5)
		// Hoop stress from the strain: E u/r = hoop - nu radial.
		near(t, "hub hoop", float64(p.Hub.Young.Value)*hubIn/(p.Diameter.Meters()/2)-p.Hub.Poisson.Value*q, float64(r.HubBore.Hoop), 2e-5)
		near(t, "shaft bore hoop", float64(p.Shaft.Young.Value)*shaftIn/(p.ShaftBore.Meters()/2), float64(r.ShaftBore.Hoop), 2e-5)
	}
}

func near(t *testing.T, name string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: %.9g, want %.9g", name, got, want)
	}
}

// Radii and a radial interference are the same joint as diameters and a
// diametral one.
func TestPressConventions(t *testing.T) {
	p := guide()
	r := must[fit.Pressed](t)(p.Solve())
	// Shigley (3-56) in radii, with half the interference.
	R, ro, ri, d := 7., 15., 4., 0.020
	q := d / (R/72400*((ro*ro+R*R)/(ro*ro-R*R)+0.33) + R/100000*((R*R+ri*ri)/(R*R-ri*ri)-0.34))
	near(t, "pressure", r.Pressure.Value.Megapascals(), q, 1e-12)
	// Same metal: the short form (3-57).
	p.Hub = p.Shaft
	r = must[fit.Pressed](t)(p.Solve())
	near(t, "one metal", r.Pressure.Value.Megapascals(), 100000*d*(ro*ro-R*R)*(R*R-ri*ri)/(2*R*R*R*(ro*ro-ri*ri)), 1e-12)
}

func TestPressProperties(t *testing.T) {
	p := guide()
	r := must[fit.Pressed](t)(p.Solve())
	back := must[fit.Pressed](t)(p.AtPressure(r.Pressure.Value))
	if (back.Press.Interference.Value - p.Interference.Value).Abs() > 1 {
		t.Errorf("back from the pressure: %v", back.Press.Interference)
	}
	hoop := must[fit.Pressed](t)(p.AtHubHoop(r.HubBore.Hoop))
	if (hoop.Press.Interference.Value - p.Interference.Value).Abs() > 1 {
		t.Errorf("back from the hoop stress: %v", hoop.Press.Interference)
	}
	// A growing hub is stiffer, twice the interference twice the pressure.
	q := p
	q.HubOutside *= 2
	if must[fit.Pressed](t)(q.Solve()).Pressure.Value <= r.Pressure.Value {
		t.Error("a larger hub presses less")
	}
	q = p
	q.Interference.Value *= 2
	near(t, "twice", float64(must[fit.Pressed](t)(q.Solve()).Pressure.Value), 2*float64(r.Pressure.Value), 1e-12)
	// Equilibrium: the mean hoop stress across the hub's wall is p D/(Do - D).
	// Lame's hoop is A + B/r^2, from its values at both surfaces.
	a, b := p.Diameter.Meters()/2, p.HubOutside.Meters()/2
	B := float64(r.HubBore.Hoop-r.HubOutside.Hoop) / (1/(a*a) - 1/(b*b))
	A := float64(r.HubBore.Hoop) - B/(a*a)
	near(t, "equilibrium", A*(b-a)+B*(1/a-1/b), float64(r.Pressure.Value)*a, 1e-12)
	// A hub without end: the compliance goes to D (1 + nu)/E.
	q = p
	q.HubOutside, q.ShaftBore = 90*units.Meter, 0
	s := must[fit.Pressed](t)(q.Solve())
	near(t, "endless", s.Pressure.Value.Megapascals(), 0.040/14/(1.33/72400+0.66/100000), 1e-6)
	if s.ShaftBore != (fit.Stress{Hoop: -s.Pressure.Value, Radial: -s.Pressure.Value}) || s.BoreClosing != 0 {
		t.Errorf("a solid shaft: %+v", s.ShaftBore)
	}
	// Nothing left.
	for _, left := range []units.Length{0, -5 * um} {
		q = p
		q.Interference.Value = left
		l := must[fit.Pressed](t)(q.Solve())
		if !l.Loose || l.Pressure.Value != 0 || l.HubBore != (fit.Stress{}) {
			t.Errorf("%v: %+v", left, l)
		}
		if h := must[fit.Holding](t)(l.Hold(fit.Grip{Length: mm, Friction: 0.1})); h.Force.Value != 0 {
			t.Errorf("a loose joint holds %v", h.Force)
		}
	}
	// The warm head loses grip; at its own temperature nothing changes.
	hot := must[fit.Press](t)(p.At(fit.Temperatures{Cold: units.Celsius(20), Hub: units.WithU(units.Celsius(180), 1), Shaft: units.WithU(units.Celsius(180), 1)}))
	if hot.Interference.Value >= p.Interference.Value || !hot.Interference.Stated || hot.Interference.U <= p.Interference.U {
		t.Errorf("hot: %v", hot.Interference)
	}
	if same := must[fit.Press](t)(p.At(fit.Temperatures{Cold: units.Celsius(20), Hub: units.WithU(units.Celsius(20), 0), Shaft: units.WithU(units.Celsius(20), 0)})); same.Interference.Value != p.Interference.Value {
		t.Errorf("cold: %v", same.Interference)
	}
	// What is not stated stays so.
	p.Interference = units.Unstated(p.Interference.Value)
	u := must[fit.Pressed](t)(p.Solve())
	if u.Pressure.Stated || must[fit.Holding](t)(u.Hold(fit.Grip{Length: mm, Friction: 0.1})).Force.Stated {
		t.Error("an uncertainty was made up")
	}
	if len(u.Working()) != 6 || len(must[fit.Holding](t)(u.Hold(fit.Grip{Length: mm, Friction: 0.1})).Working()) != 2 {
		t.Error("steps are missing")
	}
}

// Tresca is never under von Mises and at most 2/sqrt(3) over it.
func TestEquivalent(t *testing.T) {
	for h := -100.0; h <= 100; h += 7 {
		for r := -100.0; r <= 100; r += 9 {
			s := fit.Stress{Hoop: units.Pascals(h), Radial: units.Pascals(r)}
			a, b := must[units.Pressure](t)(s.Equivalent(fit.Tresca)), must[units.Pressure](t)(s.Equivalent(fit.VonMises))
			if a < b-1e-9 || float64(a) > 2/math.Sqrt(3)*float64(b)+1e-9 {
				t.Errorf("%v: Tresca %v, von Mises %v", s, a, b)
			}
			// The largest of the three differences of principal stresses.
			if want := max(math.Abs(h-r), math.Abs(h), math.Abs(r)); math.Abs(float64(a)-want) > 1e-12 {
				t.Errorf("%v: Tresca %v, want %v", s, a, want)
			}
		}
	}
}

// A press fit that nothing has solved is under no limit.
func TestJudgeOfNothing(t *testing.T) {
	most := units.AtMost(units.Megapascals(200), card)
	v, err := fit.Pressed{}.Judge(fit.Yield{Criterion: fit.VonMises, Hub: most, Shaft: most})
	var in *units.InputError
	if !errors.Is(err, units.ErrMissing) || !errors.As(err, &in) || in.Field != "Press" || v != (fit.YieldVerdict{}) {
		t.Errorf("%v, %v", v, err)
	}
}

func TestPressRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	change := func(f func(*fit.Press)) fit.Press { p := guide(); f(&p); return p }
	for name, c := range map[string]struct {
		p     fit.Press
		field string
		kind  error
	}{
		"zero":           {fit.Press{}, "Diameter", units.ErrMissing},
		"negative":       {change(func(p *fit.Press) { p.Diameter = -mm }), "Diameter", units.ErrRange},
		"huge":           {change(func(p *fit.Press) { p.HubOutside = units.MaxLength }), "HubOutside", units.ErrRange},
		"no hub":         {change(func(p *fit.Press) { p.HubOutside = 0 }), "HubOutside", units.ErrMissing},
		"thin hub":       {change(func(p *fit.Press) { p.HubOutside = p.Diameter }), "HubOutside", units.ErrImpossible},
		"all bore":       {change(func(p *fit.Press) { p.ShaftBore = p.Diameter }), "ShaftBore", units.ErrImpossible},
		"negative bore":  {change(func(p *fit.Press) { p.ShaftBore = -1 }), "ShaftBore", units.ErrRange},
		"negative loss":  {change(func(p *fit.Press) { p.Loss = -1 }), "Loss", units.ErrRange},
		"interference":   {change(func(p *fit.Press) { p.Interference.Value = 2 * mm }), "Interference", units.ErrRange},
		"gap":            {change(func(p *fit.Press) { p.Interference.Value = -2 * mm }), "Interference", units.ErrRange},
		"u":              {change(func(p *fit.Press) { p.Interference.U = -1 }), "Interference.U", units.ErrRange},
		"u not stated":   {change(func(p *fit.Press) { p.Interference.Stated = false }), "Interference.U", units.ErrConflict},
		"no modulus":     {change(func(p *fit.Press) { p.Hub = material.Material{} }), "Hub.Young", units.ErrMissing},
		"no ratio":       {change(func(p *fit.Press) { p.Shaft.Poisson.Source = units.Source{} }), "Shaft.Poisson", units.ErrMissing},
		"modulus NaN":    {change(func(p *fit.Press) { p.Hub.Young.Value = units.Pascals(nan) }), "Hub.Young", units.ErrRange},
		"modulus Inf":    {change(func(p *fit.Press) { p.Hub.Young.Value = units.Pascals(inf) }), "Hub.Young", units.ErrRange},
		"modulus 0":      {change(func(p *fit.Press) { p.Shaft.Young.Value = 0 }), "Shaft.Young", units.ErrRange},
		"half width":     {change(func(p *fit.Press) { p.Hub.Young.HalfWidth = units.Pascals(nan) }), "Hub.Young.HalfWidth", units.ErrRange},
		"ratio NaN":      {change(func(p *fit.Press) { p.Hub.Poisson.Value = nan }), "Hub.Poisson", units.ErrRange},
		"ratio too high": {change(func(p *fit.Press) { p.Hub.Poisson.Value = 0.6 }), "Hub.Poisson", units.ErrRange},
	} {
		r, err := c.p.Solve()
		var e *units.InputError
		if !errors.As(err, &e) || !errors.Is(err, c.kind) || e.Field != c.field || e.Package != "fit" || r.Pressure.Value != 0 {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := c.p.Pair(units.Celsius(20)); err == nil {
			t.Errorf("%s: Pair took it", name)
		}
		if _, err := c.p.At(fit.Temperatures{}); err == nil {
			t.Errorf("%s: At took it", name)
		}
	}
	p := guide()
	for name, x := range map[string]float64{"NaN": nan, "Inf": inf, "0": 0, "negative": -1, "crushing": 1e12} {
		if _, err := p.AtPressure(units.Pascals(x)); !errors.Is(err, units.ErrRange) {
			t.Errorf("pressure %s: %v", name, err)
		}
		if _, err := p.AtHubHoop(units.Pascals(x)); !errors.Is(err, units.ErrRange) {
			t.Errorf("hoop %s: %v", name, err)
		}
	}
	if _, err := (fit.Press{}).AtPressure(1); !errors.Is(err, units.ErrMissing) {
		t.Error(err)
	}
	if _, err := (fit.Press{}).AtHubHoop(1); !errors.Is(err, units.ErrMissing) {
		t.Error(err)
	}
	if _, err := p.At(fit.Temperatures{Cold: units.Celsius(20), Hub: units.WithU(units.Kelvins(nan), 0), Shaft: units.WithU(units.Celsius(20), 0)}); err == nil {
		t.Error("no temperature was taken")
	}
	r := must[fit.Pressed](t)(p.Solve())
	for name, g := range map[string]fit.Grip{
		"zero": {}, "no friction": {Length: mm}, "no length": {Friction: 0.1}, "negative": {Length: -mm, Friction: 0.1}, "NaN": {Length: mm, Friction: nan},
		"Inf": {Length: mm, Friction: inf}, "u NaN": {Length: mm, Friction: 0.1, FrictionU: nan}, "u negative": {Length: mm, Friction: 0.1, FrictionU: -1}, "huge": {Length: units.MaxLength, Friction: 0.1},
	} {
		if h, err := r.Hold(g); err == nil || h.Force.Value != 0 {
			t.Errorf("grip %s was taken", name)
		}
	}
	// Zero values refuse and do not panic.
	if _, err := (fit.Pressed{}).Hold(fit.Grip{Length: mm, Friction: 0.1}); !errors.Is(err, units.ErrMissing) {
		t.Error(err)
	}
	if _, err := (fit.Pressed{}).Judge(fit.Yield{}); err == nil {
		t.Error("nothing was judged")
	}
	if _, err := r.Judge(fit.Yield{Criterion: 9}); !errors.Is(err, units.ErrRange) {
		t.Error(err)
	}
	if _, err := r.Judge(fit.Yield{Criterion: fit.Tresca}); err == nil {
		t.Error("no limits were taken")
	}
	if (fit.Pressed{}).Working() != nil || (fit.Holding{}).Working() != nil || (fit.YieldVerdict{}).Working() == nil {
		t.Error("working of nothing")
	}
	for _, s := range []fit.Stress{{Hoop: units.Pascals(nan)}, {Radial: units.Pascals(inf)}} {
		if _, err := s.Equivalent(fit.Tresca); !errors.Is(err, units.ErrRange) {
			t.Error(err)
		}
	}
	for _, x := range []fit.Roughness{{Hub: -1}, {Shaft: mm}} {
		if _, err := x.Loss(); !errors.Is(err, units.ErrRange) {
			t.Error(err)
		}
	}
}
