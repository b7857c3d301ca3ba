package fit

import (
	"math"

	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

var (
	lame     = units.Source{Text: "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., eq. (3-50), (3-56), p. 114-116", Provenance: units.Verified}
	yielding = units.Source{Text: "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., ch. 5, maximum shear stress and distortion energy", Provenance: units.Memory}
)

// Press is a hub with an interference on a shaft: a seat or a guide (the
// shaft) in a head (the hub), a gear on a nose, a bushing in a rod's eye. All
// sizes are diameters and the interference is diametral.
type Press struct {
	// Diameter is that of the joint.
	Diameter units.Length
	// Interference is shaft minus bore before assembly, positive; negative is
	// a gap. -Clearance.Min and -Clearance.Max of a Result are its limits.
	Interference units.Measured[units.Length]
	// Loss is what the interference loses as the surfaces smooth each other,
	// diametral; 0 for none. Roughness.Loss is one rule for it.
	Loss units.Length
	// ShaftBore is the bore through the shaft, 0 for a solid one; HubOutside
	// the outside diameter of the hub. For a seat in a head it is that of the
	// thinnest ring of metal around it.
	ShaftBore, HubOutside units.Length
	// Hub and Shaft need Young and Poisson; Pair and At need Expansion too.
	Hub, Shaft material.Material
}

// Stress is the state at one point of a part in plane stress: hoop and radial,
// tension positive.
type Stress struct {
	Hoop, Radial units.Pressure
}

// Criterion is a way to compare a state of stress with a strength in tension.
// The zero Criterion is none.
type Criterion uint8

// Criteria of yielding for ductile metals.
const (
	Tresca   Criterion = iota + 1 // largest shear stress
	VonMises                      // distortion energy
)

// String returns "Tresca" or "von Mises".
func (c Criterion) String() string {
	switch c {
	case Tresca:
		return "Tresca"
	case VonMises:
		return "von Mises"
	default:
		return "no criterion"
	}
}

// Equivalent answers which plain tension is as near to yielding as a state of
// plane stress, the third principal stress being 0:
//
//	Tresca:    largest minus smallest of Hoop, Radial, 0
//	von Mises: sqrt(Hoop^2 - Hoop Radial + Radial^2)
//
// Errors: no criterion, a stress that is not finite or over 10 TPa.
//
// Source: Shigley, 9th ed., ch. 5.
//
// Rows: press-hub-tresca, press-hub-mises, press-shaft-tresca.
func (s Stress) Equivalent(c Criterion) (units.Pressure, error) {
	for _, v := range [...]struct {
		field string
		p     units.Pressure
	}{{"Hoop", s.Hoop}, {"Radial", s.Radial}} {
		if !(math.Abs(float64(v.p)) <= maxPressure) {
			return 0, fail(v.field, v.p.String(), units.ErrRange, "want a stress of at most 10 TPa")
		}
	}
	switch c {
	case Tresca:
		return max(s.Hoop, s.Radial, 0) - min(s.Hoop, s.Radial, 0), nil
	case VonMises:
		h, r := float64(s.Hoop), float64(s.Radial)
		return units.Pressure(math.Sqrt(max(0, h*h-h*r+r*r))), nil
	case 0:
		return 0, fail("Criterion", "", units.ErrMissing, "want Tresca or VonMises")
	default:
		return 0, fail("Criterion", c.String(), units.ErrRange, "want Tresca or VonMises")
	}
}

// Pressed is a press fit together.
type Pressed struct {
	Press Press
	// Effective is the interference that is left after Loss; negative is a gap.
	Effective units.Measured[units.Length]
	// Loose is set where nothing is left: no pressure, no stress.
	Loose    bool
	Pressure units.Measured[units.Pressure]
	// HubBore and ShaftSurface are the states at the joint, HubOutside and
	// ShaftBore those at the free surfaces. ShaftBore of a solid shaft is the
	// state at its center, the same as at its surface.
	HubBore, HubOutside, ShaftSurface, ShaftBore Stress
	// OutsideGrowth is how much the outside diameter of the hub grows, BoreClosing
	// how much the bore through the shaft closes: what a pressed-in guide must
	// be reamed for.
	OutsideGrowth, BoreClosing units.Length
}

const (
	maxPressure = 1e13 // Pa
	maxSize     = 100 * units.Meter
)

func (p Press) check() error {
	for _, l := range [...]struct {
		field   string
		size    units.Length
		missing bool
	}{{"Diameter", p.Diameter, true}, {"HubOutside", p.HubOutside, true}, {"ShaftBore", p.ShaftBore, false}, {"Loss", p.Loss, false}} {
		switch {
		case l.size == 0 && l.missing:
			return fail(l.field, "", units.ErrMissing, "want a diameter over 0")
		case l.size < 0 || l.size > maxSize:
			return fail(l.field, l.size.String(), units.ErrRange, "want 0 to 100 m")
		}
	}
	if p.HubOutside <= p.Diameter {
		return fail("HubOutside", p.HubOutside.String(), units.ErrImpossible, "want a hub that is larger than the joint, "+p.Diameter.String())
	}
	if p.ShaftBore >= p.Diameter {
		return fail("ShaftBore", p.ShaftBore.String(), units.ErrImpossible, "want a bore that is smaller than the joint, "+p.Diameter.String())
	}
	if err := checkElastic("Hub", p.Hub); err != nil {
		return err
	}
	return checkElastic("Shaft", p.Shaft)
}

func (p Press) checkInterference() error {
	i := p.Interference
	switch {
	case i.Value > p.Diameter/10 || i.Value < -p.Diameter/10:
		return fail("Interference", i.Value.String(), units.ErrRange, "want at most a tenth of the diameter")
	case i.U < 0 || i.U > p.Diameter:
		return fail("Interference.U", i.U.String(), units.ErrRange, "want a standard uncertainty that is not negative, at most the diameter")
	case !i.Stated && i.U != 0:
		return fail("Interference.U", i.U.String(), units.ErrConflict, "an uncertainty is given but not marked as stated")
	}
	return nil
}

func checkElastic(field string, m material.Material) error {
	switch e, nu := m.Young, m.Poisson; {
	case !e.Source.Given():
		return fail(field+".Young", "", units.ErrMissing, "want the modulus of elasticity and its source")
	case !nu.Source.Given():
		return fail(field+".Poisson", "", units.ErrMissing, "want Poisson's ratio and its source")
	case !(e.Value > 0 && float64(e.Value) <= maxPressure):
		return fail(field+".Young", e.Value.String(), units.ErrRange, "want a modulus over 0 and up to 10 TPa")
	case !(e.HalfWidth >= 0 && e.HalfWidth < e.Value):
		return fail(field+".Young.HalfWidth", e.HalfWidth.String(), units.ErrRange, "want 0 to the modulus")
	case !(nu.Value > -1 && nu.Value <= 0.5):
		return fail(field+".Poisson", "", units.ErrRange, "want a ratio over -1 and up to 0.5")
	}
	return nil
}

// compliance is the diametral interference that one unit of pressure takes up.
type compliance struct{ hub, shaft float64 } // pm/Pa

func (c compliance) sum() float64 { return c.hub + c.shaft }

// thick returns (a^2 + b^2)/(a^2 - b^2) for a > b, without loss for a thin wall.
func thick(a, b units.Length) float64 {
	x, y := float64(a), float64(b)
	return (x*x + y*y) / (float64(a-b) * (x + y))
}

// twice returns 2 b^2/(a^2 - b^2).
func twice(a, b units.Length) float64 {
	x, y := float64(a), float64(b)
	return 2 * y * y / (float64(a-b) * (x + y))
}

func (p Press) compliance() compliance {
	d := pm(p.Diameter)
	return compliance{
		hub:   d / float64(p.Hub.Young.Value) * (thick(p.HubOutside, p.Diameter) + p.Hub.Poisson.Value),
		shaft: d / float64(p.Shaft.Young.Value) * (thick(p.Diameter, p.ShaftBore) - p.Shaft.Poisson.Value),
	}
}

// Solve answers what an interference does to both parts (Lame's thick rings):
//
//	p = (Interference - Loss) / { (D/Eo)[(Do^2 + D^2)/(Do^2 - D^2) + no] + (D/Ei)[(D^2 + Di^2)/(D^2 - Di^2) - ni] }
//	hub bore hoop    =  p (Do^2 + D^2)/(Do^2 - D^2)     hub outside hoop = 2 p D^2/(Do^2 - D^2)
//	shaft hoop       = -p (D^2 + Di^2)/(D^2 - Di^2)     shaft bore hoop  = -2 p D^2/(D^2 - Di^2)
//	hub outside grows by Do 2 p D^2/(Do^2 - D^2)/Eo     shaft bore closes by Di 2 p D^2/(D^2 - Di^2)/Ei
//
// with D = Diameter, Do = HubOutside, Di = ShaftBore, E and n = Young and
// Poisson of Hub (o) and Shaft (i), all lengths diametral. The same equation
// with radii takes a radial interference: half of ours. The radial stress is -p
// at the joint and 0 at the free surfaces. A solid shaft is under -p
// everywhere. Where nothing is left of the interference the result is Loose.
//
// The uncertainty is that of the interference and of the moduli (their half-width
// as rectangular), stated where that of the interference is.
//
// Valid: elastic, both parts of one length, no end effect, plane stress, one
// temperature. Errors: missing or negative sizes, a hub not larger or a bore
// not smaller than the joint (ErrImpossible), an interference over a tenth of
// the diameter, a modulus or ratio without a source or out of range.
// It does not allocate.
//
// Source: Shigley, 9th ed., eq. (3-50) and (3-56); JCGM 100:2008, 5.1.2.
//
// Rows: shig-3-68-p, shig-3-68-st, shig-3-64-pmax, shig-3-65-pmin,
// shig-3-66-pmax, shig-3-67-pmin, press-unlike-p, press-unlike-hub,
// press-unlike-shaft, press-unlike-bore, press-unlike-closing,
// press-unlike-growth, press-unlike-u.
func (p Press) Solve() (Pressed, error) {
	if err := p.check(); err != nil {
		return Pressed{}, err
	}
	if err := p.checkInterference(); err != nil {
		return Pressed{}, err
	}
	c := p.compliance()
	left := p.Interference.Value - p.Loss
	return p.state(units.Pressure(pm(left)/c.sum()), left, c)
}

// state completes a result; left is the effective interference.
func (p Press) state(pressure units.Pressure, left units.Length, c compliance) (Pressed, error) {
	r := Pressed{Press: p, Effective: p.Interference}
	r.Effective.Value = left
	if left <= 0 {
		r.Loose = true
		if r.Effective.Stated {
			r.Pressure.Stated = true
		}
		return r, nil
	}
	if !(float64(pressure) <= maxPressure) {
		return Pressed{}, fail("Pressure", pressure.String(), units.ErrRange, "want at most 10 TPa")
	}
	r.Pressure = units.Unstated(pressure)
	if p.Interference.Stated {
		// d ln p: the interference, and each modulus with its part of the compliance.
		share := func(e material.Property[units.Pressure], part float64) float64 {
			return part / c.sum() * float64(e.HalfWidth/e.Value) / math.Sqrt(3)
		}
		rel := math.Hypot(pm(p.Interference.U)/pm(left), math.Hypot(share(p.Hub.Young, c.hub), share(p.Shaft.Young, c.shaft)))
		r.Pressure = units.WithU(pressure, units.Pressure(rel*float64(pressure)))
	}
	q := float64(pressure)
	out := twice(p.HubOutside, p.Diameter)
	if p.ShaftBore > 0 {
		d, i := pm(p.Diameter), pm(p.ShaftBore)
		in := 2 * d * d / (pm(p.Diameter-p.ShaftBore) * (d + i))
		r.ShaftBore = Stress{Hoop: units.Pressure(-q * in)}
		r.BoreClosing = round(i * q * in / float64(p.Shaft.Young.Value))
	} else {
		r.ShaftBore = Stress{Hoop: -pressure, Radial: -pressure}
	}
	r.HubBore = Stress{Hoop: units.Pressure(q * thick(p.HubOutside, p.Diameter)), Radial: -pressure}
	r.HubOutside = Stress{Hoop: units.Pressure(q * out)}
	r.ShaftSurface = Stress{Hoop: units.Pressure(-q * thick(p.Diameter, p.ShaftBore)), Radial: -pressure}
	r.OutsideGrowth = round(pm(p.HubOutside) * q * out / float64(p.Hub.Young.Value))
	return r, nil
}

// AtPressure answers which interference gives a pressure, the inverse of
// Solve: Interference = p (hub + shaft compliance) + Loss. Interference in the
// receiver is not used, the result's has no uncertainty.
//
// Errors: those of Solve, a pressure that is not over 0 and up to 10 TPa, one
// that asks for over a tenth of the diameter.
//
// Source: Shigley, 9th ed., eq. (3-56).
//
// Rows: timo-shrink, press-at-pressure.
func (p Press) AtPressure(pressure units.Pressure) (Pressed, error) {
	if !(pressure > 0 && float64(pressure) <= maxPressure) {
		return Pressed{}, fail("Pressure", pressure.String(), units.ErrRange, "want a pressure over 0 and up to 10 TPa")
	}
	if err := p.check(); err != nil {
		return Pressed{}, err
	}
	c := p.compliance()
	x := float64(pressure) * c.sum()
	if !(x <= pm(p.Diameter)/10) {
		return Pressed{}, fail("Pressure", pressure.String(), units.ErrRange, "it takes an interference over a tenth of the diameter")
	}
	left := round(x)
	p.Interference = units.Unstated(left + p.Loss)
	if err := p.checkInterference(); err != nil {
		return Pressed{}, err
	}
	return p.state(pressure, left, c)
}

// AtHubHoop answers which interference brings the hoop stress at the hub's bore
// to a figure, say the share of its strength that the caller allows:
//
//	p = hoop (Do^2 - D^2)/(Do^2 + D^2)
//
// and then AtPressure. Errors: those of AtPressure, the stress in the place of
// the pressure.
//
// Source: Shigley, 9th ed., eq. (3-50), (3-56).
//
// Rows: bhandari-22-6, press-at-hoop.
func (p Press) AtHubHoop(hoop units.Pressure) (Pressed, error) {
	if !(hoop > 0 && float64(hoop) <= maxPressure) {
		return Pressed{}, fail("Hoop", hoop.String(), units.ErrRange, "want a stress over 0 and up to 10 TPa")
	}
	if err := p.check(); err != nil {
		return Pressed{}, err
	}
	return p.AtPressure(units.Pressure(float64(hoop) / thick(p.HubOutside, p.Diameter)))
}

// Yield are the limits of a check against yielding, from the caller: the
// equivalent stress that each part may see.
type Yield struct {
	Criterion  Criterion
	Hub, Shaft units.Limits[units.Pressure]
	Rule       units.DecisionRule
}

// YieldVerdict is the check of both parts. Hub is judged at its bore, Shaft at
// its bore or, solid, throughout: where each is nearest to yielding.
type YieldVerdict struct {
	Criterion  Criterion
	Hub, Shaft units.Verdict[units.Pressure]
}

// Judge compares the equivalent stresses with the caller's limits; their
// uncertainty is that of the pressure, in proportion. A loose joint is under no
// stress. Errors: no criterion, those of units.Judge, a Pressed that no method of
// Press has made (ErrMissing).
//
// Source: Shigley, 9th ed., ch. 5.
//
// Rows: press-judge-hub, press-judge-shaft.
func (r Pressed) Judge(y Yield) (YieldVerdict, error) {
	if r.Press.Diameter <= 0 {
		return YieldVerdict{}, fail("Press", "", units.ErrMissing, "want the result of Press.Solve")
	}
	v := YieldVerdict{Criterion: y.Criterion}
	for _, part := range [...]struct {
		stress Stress
		limits units.Limits[units.Pressure]
		to     *units.Verdict[units.Pressure]
	}{{r.HubBore, y.Hub, &v.Hub}, {r.ShaftBore, y.Shaft, &v.Shaft}} {
		e, err := part.stress.Equivalent(y.Criterion)
		if err != nil {
			return YieldVerdict{}, err
		}
		m := units.Unstated(e)
		if r.Pressure.Stated {
			m = units.WithU(e, 0)
			if r.Pressure.Value > 0 {
				m.U = e / r.Pressure.Value * r.Pressure.U
			}
		}
		if *part.to, err = units.Judge(m, part.limits, y.Rule); err != nil {
			return YieldVerdict{}, err
		}
	}
	return v, nil
}

// Grip is what turns a pressure into holding power.
type Grip struct {
	// Length is that of the contact.
	Length units.Length
	// Friction is the coefficient between the surfaces (a ratio), FrictionU
	// its standard uncertainty.
	Friction, FrictionU float64
}

// Holding is what a press fit holds before it slips.
type Holding struct {
	// Force is along the axis (also what it takes to press the parts together
	// at the last moment), Torque about it, each acting alone.
	Force  units.Measured[units.Force]
	Torque units.Measured[units.Torque]

	from Pressed
	grip Grip
}

// Hold answers what force or torque makes the joint slip:
//
//	F = Friction p pi D Length     T = F D/2     (u_F/F)^2 = (u_p/p)^2 + (u_Friction/Friction)^2
//
// Errors: a length that is missing, negative or over 100 m, a friction that is
// missing or outside (0, 2], an uncertainty that is not finite or negative,
// a Pressed that no method of Press has made (ErrMissing). A loose joint
// holds nothing. It does not allocate.
//
// Source: Coulomb friction on the contact; Shigley, 9th ed., 7-8.
//
// Rows: press-force, press-torque, press-force-u.
func (r Pressed) Hold(g Grip) (Holding, error) {
	switch {
	case r.Press.Diameter <= 0:
		return Holding{}, fail("Press", "", units.ErrMissing, "want the result of Press.Solve")
	case g.Length == 0:
		return Holding{}, fail("Length", "", units.ErrMissing, "want the length of the contact")
	case g.Length < 0 || g.Length > maxSize:
		return Holding{}, fail("Length", g.Length.String(), units.ErrRange, "want 0 to 100 m")
	case g.Friction == 0:
		return Holding{}, fail("Friction", "", units.ErrMissing, "want a coefficient of friction")
	case !(g.Friction > 0 && g.Friction <= 2):
		return Holding{}, fail("Friction", "", units.ErrRange, "want a coefficient over 0 and up to 2")
	case !(g.FrictionU >= 0 && g.FrictionU <= 2):
		return Holding{}, fail("FrictionU", "", units.ErrRange, "want a standard uncertainty of 0 to 2")
	}
	d := r.Press.Diameter.Meters()
	f := g.Friction * float64(r.Pressure.Value) * math.Pi * d * g.Length.Meters()
	h := Holding{Force: units.Unstated(units.Newtons(f)), Torque: units.Unstated(units.NewtonMeters(f * d / 2)), from: r, grip: g}
	if r.Pressure.Stated {
		u := 0.0
		if f > 0 {
			u = f * math.Hypot(float64(r.Pressure.U/r.Pressure.Value), g.FrictionU/g.Friction)
		}
		h.Force = units.WithU(h.Force.Value, units.Newtons(u))
		h.Torque = units.WithU(h.Torque.Value, units.NewtonMeters(u*d/2))
	}
	return h, nil
}

// Roughness are the mean peak-to-valley heights Rz of the two surfaces.
type Roughness struct {
	Hub, Shaft units.Length
}

// Loss answers how much of the diametral interference is lost as a press fit
// smooths its surfaces:
//
//	loss = 0.8 (Hub + Shaft)
//
// four tenths of each height on each side. Valid for turned and ground metal of
// Rz to 100 um. Errors: a height that is negative or over 100 um.
//
// Source: DIN 7190-1, loss of interference by smoothing (from memory).
//
// Rows: press-loss, press-loss-memory.
func (r Roughness) Loss() (units.Length, error) {
	for _, h := range [...]struct {
		field string
		rz    units.Length
	}{{"Hub", r.Hub}, {"Shaft", r.Shaft}} {
		if h.rz < 0 || h.rz > 100*units.Micrometer {
			return 0, fail(h.field, h.rz.String(), units.ErrRange, "want a height Rz of 0 to 100 um")
		}
	}
	return round(0.8 * pm(r.Hub+r.Shaft)), nil
}

// Pair gives the two parts at the temperature at which they were measured, to
// find by material.Pair.Assemble to what the hub must be heated or the shaft
// cooled to go together with a clearance. Loss is not taken off: the surfaces are
// still rough.
//
// Errors: those of Solve; the temperature and the expansions are judged by what
// uses them.
//
// Source: definition.
//
// Rows: press-heat-hub, press-cool-shaft.
func (p Press) Pair(cold units.Temperature) (material.Pair, error) {
	if err := p.check(); err != nil {
		return material.Pair{}, err
	}
	if err := p.checkInterference(); err != nil {
		return material.Pair{}, err
	}
	at := units.WithU(cold, 0)
	shaft := p.Interference
	shaft.Value += p.Diameter
	return material.Pair{
		Bore:  material.Part{Size: units.WithU(p.Diameter, 0), Cold: at, Expansion: p.Hub.Expansion},
		Shaft: material.Part{Size: shaft, Cold: at, Expansion: p.Shaft.Expansion},
	}, nil
}

// Temperatures are those of a press fit: where its interference was measured
// and where it works.
type Temperatures struct {
	Cold units.Temperature
	// Hub and Shaft are the working temperatures.
	Hub, Shaft units.Measured[units.Temperature]
}

// At answers what the interference is at working temperature: that of
// material.Pair.Hot with its sign turned,
//
//	interference(T) = shaft(T_shaft) - bore(T_hub)
//
// in a Press with everything else unchanged, ready for Solve: an aluminum
// head loses its grip of a guide as it warms. The moduli are those of the
// cold part. The uncertainty is stated where those of the interference, the
// expansions and the temperatures are.
//
// Errors: those of Pair and of material.Pair.Hot.
//
// Source: as material.Pair.Hot.
//
// Rows: press-hot-interference, press-hot-u.
func (p Press) At(t Temperatures) (Press, error) {
	parts, err := p.Pair(t.Cold)
	if err != nil {
		return Press{}, err
	}
	hot, err := parts.Hot(material.Warm{Bore: t.Hub, Shaft: t.Shaft})
	if err != nil {
		return Press{}, err
	}
	p.Interference = hot.Clearance
	p.Interference.Value = -hot.Clearance.Value
	if err := p.checkInterference(); err != nil {
		return Press{}, err
	}
	return p, nil
}
