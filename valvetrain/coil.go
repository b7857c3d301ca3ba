package valvetrain

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// Coil is the acting part of a cylindrical compression spring of round wire.
type Coil struct {
	Wire units.Measured[units.Length] // d
	// One of the three diameters of the coil is given: Mean D, or Outside,
	// D = Outside - d, or Inside, D = Inside + d.
	Mean, Outside, Inside units.Measured[units.Length]
	// Active is the count of acting coils N (a count of turns) and ActiveU its
	// standard uncertainty. Winding.Coils counts them from all coils.
	Active, ActiveU float64
	// Shear is the shear modulus G of the wire; WireMaterial.Modulus has it.
	Shear units.Measured[units.Pressure]
}

// CoilRate is the rate that the wire and the coil give.
type CoilRate struct {
	Coil Coil
	Rate units.Measured[units.Stiffness]
	Mean units.Length // D
	// Index is C = D/d, a ratio.
	Index float64
}

// coilBody is a checked coil in SI units, and how its mean diameter changes
// with the wire: 0, -1 or +1.
type coilBody struct {
	d, dm, n, g float64
	dmPerWire   float64
	diameter    units.Measured[units.Length]
}

var (
	wahlSource = units.Source{Text: "Machinery's Handbook, 31st ed. (2020), compression springs; Carvill, Mechanical Engineer's Data Handbook, p. 32", Provenance: units.Verified}
	castSource = units.Source{Text: "strain energy of torsion, G d^4/(8 D^3 N)", Provenance: units.Computed}
)

// body checks wire, diameter and modulus; with coils also the count of coils.
func (c Coil) body(coils bool) (coilBody, error) {
	if err := checkMeasuredSize("Wire", c.Wire); err != nil {
		return coilBody{}, err
	}
	var b coilBody
	var field string
	given := 0
	for _, v := range [...]struct {
		name    string
		m       units.Measured[units.Length]
		perWire float64
	}{{"Mean", c.Mean, 0}, {"Outside", c.Outside, -1}, {"Inside", c.Inside, 1}} {
		if v.m == (units.Measured[units.Length]{}) {
			continue
		}
		if err := checkMeasuredSize(v.name, v.m); err != nil {
			return coilBody{}, err
		}
		given++
		field, b.diameter, b.dmPerWire = v.name, v.m, v.perWire
	}
	switch {
	case given == 0:
		return coilBody{}, fail("Mean", "", units.ErrMissing, "want the mean, outside or inside diameter of the coil")
	case given > 1:
		return coilBody{}, fail(field, text(b.diameter.Value), units.ErrConflict, "want one of mean, outside and inside diameter")
	}
	b.d = c.Wire.Value.Meters()
	b.dm = b.diameter.Value.Meters() + b.dmPerWire*b.d
	if b.dm <= b.d {
		return coilBody{}, fail(field, text(b.diameter.Value), units.ErrImpossible, "want a mean diameter over the wire diameter "+text(c.Wire.Value))
	}
	if !coils {
		return b, nil
	}
	if err := checkOver("Shear", c.Shear.Value, 1e13, "want a shear modulus over 0 and up to 1e13 Pa"); err != nil {
		return coilBody{}, err
	}
	if err := checkU("Shear", c.Shear); err != nil {
		return coilBody{}, err
	}
	b.g = c.Shear.Value.Pascals()
	if err := checkOver("Active", c.Active, 1000, "want active coils over 0 and up to 1000"); err != nil {
		return coilBody{}, err
	}
	if !(c.ActiveU >= 0 && c.ActiveU < c.Active) {
		return coilBody{}, fail("ActiveU", plain(c.ActiveU), units.ErrRange, "want a standard uncertainty of 0 or more, under the active coils")
	}
	b.n = c.Active
	return b, nil
}

// rate is G d^4/(8 D^3 N).
func (b coilBody) rate() float64 {
	return b.g * b.d * b.d * b.d * b.d / (8 * b.dm * b.dm * b.dm * b.n)
}

// Rate answers how stiff a spring is by its wire and coil:
//
//	k = G d^4/(8 D^3 N)
//
// with d = Wire, D the mean diameter, N = Active, G = Shear. The uncertainty,
// with s = 0 for a mean diameter given, 1 for an outside and -1 for an inside
// one (the wire then counts in D as well):
//
//	(u/k)^2 = ((4/d + 3 s/D) u_d)^2 + (3 u_D/D)^2 + (u_N/N)^2 + (u_G/G)^2
//
// stated where that of wire, diameter and modulus is. One percent of wire is
// four percent of rate: a bench reading is better than this figure.
//
// It holds for round wire, a small pitch angle and coils that do not touch.
// Errors: a size, count or modulus that is missing, not over 0 or not finite;
// two diameters (ErrConflict); a mean diameter not over the wire
// (ErrImpossible).
//
// Source: Machinery's Handbook, 31st ed. (2020), compression springs; the strain
// energy of torsion gives the same.
//
// Rows: sad-8-3-k, wen-8-2-k, jin-8-1-k, dan-2-k, shi-10-1-k, khm-23-18-b,
// coil-rate-outside, coil-rate-u-mean, coil-rate-u-outside, coil-rate-u-inside.
func (c Coil) Rate() (CoilRate, error) {
	b, err := c.body(true)
	if err != nil {
		return CoilRate{}, err
	}
	k := b.rate()
	if !(k > 0 && k <= float64(maxRate)) {
		return CoilRate{}, fail("Wire", text(c.Wire.Value), units.ErrRange, "want a rate over 0 and up to 1e12 N/m, got "+plain(k))
	}
	r := CoilRate{Coil: c, Rate: units.Unstated(units.Stiffness(k)), Mean: count(b.dm), Index: b.dm / b.d}
	if c.Wire.Stated && b.diameter.Stated && c.Shear.Stated {
		rel := squared((4/b.d-3*b.dmPerWire/b.dm)*c.Wire.U.Meters()) + squared(3*b.diameter.U.Meters()/b.dm) + squared(c.ActiveU/b.n) + squared(c.Shear.U.Pascals()/b.g)
		u := k * math.Sqrt(rel)
		if !(u <= math.MaxFloat64) {
			return CoilRate{}, fail("Shear.U", c.Shear.U.String(), units.ErrRange, "want an uncertainty that leaves that of the rate finite")
		}
		r.Rate = units.WithU(r.Rate.Value, units.Stiffness(u))
	}
	return r, nil
}

// Working returns the derivation.
func (r CoilRate) Working() units.Working {
	return units.Working{
		{Symbol: "D", Formula: "mean diameter of the coil", Value: text(r.Mean), Source: asRead},
		{Symbol: "C", Formula: "D/d", Numbers: num(r.Mean) + "/" + num(r.Coil.Wire.Value), Value: plain(r.Index), Source: definition},
		{
			Symbol: "k", Formula: "G d^4/(8 D^3 N)", Source: castSource, Value: rateText(r.Rate.Value),
			Numbers: r.Coil.Shear.Value.String() + " x (" + num(r.Coil.Wire.Value) + ")^4/(8 x (" + num(r.Mean) + ")^3 x " + plain(r.Coil.Active) + ")",
		},
	}
}

// ActiveFor answers how many coils would have to act for the spring to have a
// rate, N = G d^4/(8 D^3 k) (a count of turns); the coil's own count is not
// used. A rate read on the bench gives the count that cannot be seen at ground
// ends. Errors as for Rate.
//
// Source: as Rate.
//
// Rows: sad-8-7-n, bha-10-1-n, wen-8-2-nt, active-inverse.
func (c Coil) ActiveFor(rate units.Stiffness) (float64, error) {
	c.Active, c.ActiveU = 1, 0
	b, err := c.body(true)
	if err != nil {
		return 0, err
	}
	if err := checkOver("rate", rate, maxRate, "want a rate over 0 and up to 1e12 N/m"); err != nil {
		return 0, err
	}
	n := b.rate() / float64(rate)
	if !(n > 0 && n <= 1000) {
		return 0, fail("rate", rate.String(), units.ErrRange, "want a rate that 1000 coils or fewer give")
	}
	return n, nil
}

// StressFactor says how the stress of a straight bar in torsion is corrected
// for a coil. The zero StressFactor is none chosen.
type StressFactor uint8

// Stress factors.
const (
	NoFactor            StressFactor = iota + 1 // 8 F D/(pi d^3) alone, as some tables print it
	StaticFactor                                // direct shear only, 1 + 1/(2C): for a load that stays, and for the solid spring
	WahlFactor                                  // direct shear and curvature: for a load that comes and goes
	BergstraesserFactor                         // the same in a simpler form, up to 1.4 % lower than Wahl from C = 4 up
)

// String names the factor.
func (f StressFactor) String() string {
	switch f {
	case NoFactor:
		return "uncorrected"
	case StaticFactor:
		return "static"
	case WahlFactor:
		return "Wahl"
	case BergstraesserFactor:
		return "Bergstraesser"
	default:
		return "StressFactor(" + strconv.Itoa(int(f)) + ")"
	}
}

// StressFactors are the factors of one spring index, all of them ratios.
type StressFactors struct {
	Index         float64 // C = D/d
	Static        float64 // 1 + 1/(2C)
	Wahl          float64 // (4C - 1)/(4C - 4) + 0.615/C
	Bergstraesser float64 // (4C + 2)/(4C - 3)
}

// FactorsOf answers by what factors a coil of the spring index C = D/d (a
// ratio) has more stress than a straight bar in torsion:
//
//	static         Ks = 1 + 1/(2C)
//	Wahl           K  = (4C - 1)/(4C - 4) + 0.615/C
//	Bergstraesser  KB = (4C + 2)/(4C - 3)
//
// An index not over 1 or not finite is ErrRange: the wire would fill the coil.
// Under 3 nobody winds a spring, and the factors are not tested there.
//
// Source: Wahl and static factor, Carvill, Mechanical Engineer's Data Handbook,
// p. 32, and Bhandari, Design of Machine Elements, ch. 10; Bergstraesser factor,
// Shigley's Mechanical Engineering Design, 9th ed., ch. 10 (from memory).
//
// Rows: wahl-3, wahl-5, wahl-7, sad-8-1-K, sad-8-3-K, sad-8-9-K, ks-3, ks-5,
// ks-10, bergstraesser-5, shi-10-1-kb.
func FactorsOf(index float64) (StressFactors, error) {
	if !(index > 1 && index <= 1e6) {
		return StressFactors{}, fail("index", plain(index), units.ErrRange, "want an index D/d over 1 and up to 1e6")
	}
	return StressFactors{
		Index: index, Static: 1 + 1/(2*index),
		Wahl: (4*index-1)/(4*index-4) + 0.615/index, Bergstraesser: (4*index + 2) / (4*index - 3),
	}, nil
}

// factor returns the chosen factor.
func (f StressFactors) factor(field string, which StressFactor) (float64, error) {
	switch which {
	case NoFactor:
		return 1, nil
	case StaticFactor:
		return f.Static, nil
	case WahlFactor:
		return f.Wahl, nil
	case BergstraesserFactor:
		return f.Bergstraesser, nil
	default:
		return 0, fail(field, which.String(), units.ErrMissing, "want a stress factor")
	}
}

// CoilStress is the shear stress in the wire under a force, by each of the
// factors.
type CoilStress struct {
	Force         units.Force
	Factors       StressFactors
	Uncorrected   units.Pressure // 8 F D/(pi d^3)
	Static        units.Pressure
	Wahl          units.Pressure
	Bergstraesser units.Pressure

	wire, mean units.Length
}

// Stress answers how high the shear stress in the wire is under a force:
//
//	tau = K 8 F D/(pi d^3)
//
// with d = Wire, D the mean diameter and K of FactorsOf. A spring that opens
// and closes a valve is judged by the Wahl (or Bergstraesser) factor, one that
// is pressed solid once by the static one: a source that uses the other
// differs by 15 % at C = 6. Stress from winding and heat are not in it.
//
// Errors as for Rate (coils and modulus are not used); a force that is
// negative or not finite is ErrRange.
//
// Source: Carvill, Mechanical Engineer's Data Handbook, p. 32; Machinery's
// Handbook, 31st ed. (2020), compression springs.
//
// Rows: sad-8-3-tau, sad-8-9-tau, bha-10-4-tau, dan-2-tau, khm-23-1-tau,
// stress-bergstraesser, stress-plain.
func (c Coil) Stress(force units.Force) (CoilStress, error) {
	b, err := c.body(false)
	if err != nil {
		return CoilStress{}, err
	}
	if err := checkForce("force", force); err != nil {
		return CoilStress{}, err
	}
	f, err := FactorsOf(b.dm / b.d)
	if err != nil {
		return CoilStress{}, err
	}
	tau := 8 * force.Newtons() * b.dm / (math.Pi * b.d * b.d * b.d)
	return CoilStress{
		Force: force, Factors: f, Uncorrected: units.Pressure(tau), Static: units.Pressure(tau * f.Static),
		Wahl: units.Pressure(tau * f.Wahl), Bergstraesser: units.Pressure(tau * f.Bergstraesser),
		wire: c.Wire.Value, mean: count(b.dm),
	}, nil
}

// Working returns the derivation.
func (s CoilStress) Working() units.Working {
	return units.Working{
		{Symbol: "C", Formula: "D/d", Numbers: num(s.mean) + "/" + num(s.wire), Value: plain(s.Factors.Index), Source: definition},
		{Symbol: "tau0", Formula: "8 F D/(pi d^3)", Numbers: "8 x " + forceText(s.Force) + " x " + num(s.mean) + "/(pi x (" + num(s.wire) + ")^3)", Value: stressText(s.Uncorrected), Source: wahlSource},
		{Symbol: "static", Formula: "(1 + 1/(2C)) tau0", Numbers: plain(s.Factors.Static) + " x " + stressText(s.Uncorrected), Value: stressText(s.Static), Source: wahlSource},
		{Symbol: "Wahl", Formula: "((4C - 1)/(4C - 4) + 0.615/C) tau0", Numbers: plain(s.Factors.Wahl) + " x " + stressText(s.Uncorrected), Value: stressText(s.Wahl), Source: wahlSource},
	}
}

// StressLimit is a shear stress that a wire may bear, and the factor by which
// it is to be compared.
type StressLimit struct {
	Stress units.Pressure
	Factor StressFactor
}

// ForceFor answers at which force the wire reaches a stress, the reverse of
// Stress:
//
//	F = tau pi d^3/(8 K D)
//
// Errors as for Stress; a stress not over 0 is ErrRange, no factor ErrMissing.
//
// Source: as Stress.
//
// Rows: sad-8-3-F, jin-8-7-W, khm-23-2-W1, mh31-t5-0.875-0.125-P.
func (c Coil) ForceFor(l StressLimit) (units.Force, error) {
	b, err := c.body(false)
	if err != nil {
		return 0, err
	}
	f, err := FactorsOf(b.dm / b.d)
	if err != nil {
		return 0, err
	}
	k, err := f.factor("Factor", l.Factor)
	if err != nil {
		return 0, err
	}
	if err := checkOver("Stress", l.Stress, 1e12, "want a stress over 0 and up to 1e12 Pa"); err != nil {
		return 0, err
	}
	return units.Force(l.Stress.Pascals() * math.Pi * b.d * b.d * b.d / (8 * k * b.dm)), nil
}

// WireSizing is what decides how thick the wire of a spring must be.
type WireSizing struct {
	Force units.Force // greatest force, F
	Index float64     // C = D/d, a ratio
	Limit StressLimit // tau and which factor K
}

// Wire answers how thick the wire must be for the stress to stay at the limit:
//
//	d = sqrt(8 K F C/(pi tau))
//
// Errors: a force or stress not over 0 or not finite, an index not over 1, no
// factor.
//
// Source: as Coil.Stress, with D = C d.
//
// Rows: sad-8-1-d, sad-8-7-d, bha-10-1-d.
func (w WireSizing) Wire() (units.Length, error) {
	if err := checkOver("Force", w.Force, maxForce, "want a force over 0 and up to 1e9 N"); err != nil {
		return 0, err
	}
	if !(w.Index > 1 && w.Index <= 1e6) {
		return 0, fail("Index", plain(w.Index), units.ErrRange, "want an index D/d over 1 and up to 1e6")
	}
	f, err := FactorsOf(w.Index)
	if err != nil {
		return 0, err
	}
	k, err := f.factor("Limit.Factor", w.Limit.Factor)
	if err != nil {
		return 0, err
	}
	if err := checkOver("Limit.Stress", w.Limit.Stress, 1e12, "want a stress over 0 and up to 1e12 Pa"); err != nil {
		return 0, err
	}
	d := math.Sqrt(8 * k * w.Force.Newtons() * w.Index / (math.Pi * w.Limit.Stress.Pascals()))
	if d > maxSize.Meters() {
		return 0, fail("Limit.Stress", w.Limit.Stress.String(), units.ErrRange, "want a wire of up to 10 m")
	}
	return count(d), nil
}
