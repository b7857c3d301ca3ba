package firingorder

import (
	"fmt"
	"math"
	"math/cmplx"
	"strconv"

	"example.com/trialfit/units"
)

// Residual is what a crank with counterweights leaves of the first order.
type Residual[F, M ~float64] struct {
	Force  Rotating[F]
	Couple Rotating[M]

	// For Working: the forward parts of the bare crank, what is added to them and
	// the unit symbols.
	bareForce   Part[F]
	bareCouple  Part[M]
	how, fu, mu string
}

// Working shows the forward parts before and after, and what is left.
func (r Residual[F, M]) Working() units.Working {
	if r.how == "" {
		return nil
	}
	src := units.Source{Text: "geometry: what turns with the crank reaches the forward part alone", Provenance: units.Computed}
	text := func(x float64, unit string) string { return strconv.FormatFloat(x, 'g', 6, 64) + unit }
	at := func(x float64, a units.CrankAngle, unit string) string { return text(x, unit) + " at " + number(a) }
	return units.Working{
		{Symbol: "Ff0", Formula: "forward force of the bare crank", Value: at(float64(r.bareForce.Size), r.bareForce.Direction, r.fu), Source: src},
		{Symbol: "Ff", Formula: "forward force with the weights", Numbers: r.how, Value: at(float64(r.Force.Forward.Size), r.Force.Forward.Direction, r.fu), Source: src},
		{Symbol: "F", Formula: "Ff + backward, largest", Numbers: text(float64(r.Force.Forward.Size), r.fu) + " + " + text(float64(r.Force.Backward.Size), r.fu), Value: text(float64(r.Force.Max), r.fu), Source: src},
		{Symbol: "Mf0", Formula: "forward couple of the bare crank", Value: at(float64(r.bareCouple.Size), r.bareCouple.Direction, r.mu), Source: src},
		{Symbol: "Mf", Formula: "forward couple with the weights", Numbers: r.how, Value: at(float64(r.Couple.Forward.Size), r.Couple.Forward.Direction, r.mu), Source: src},
		{Symbol: "M", Formula: "Mf + backward, largest", Numbers: text(float64(r.Couple.Forward.Size), r.mu) + " + " + text(float64(r.Couple.Backward.Size), r.mu), Value: text(float64(r.Couple.Max), r.mu), Source: src},
	}
}

// Counterweight answers what is left of the first-order force and couple when
// the crank carries, opposite each pin and in its plane, a given share of the
// reciprocating mass of every cylinder on it, beside all of the rotating mass. A
// counterweight turns with the crank and so reaches the forward part alone:
//
//	Forward = (1 - 2 f) Forward of the bare crank     Backward unchanged
//
// with f = fraction, a true ratio from 0 to 1. At f = 1/2 the forward part is
// exactly 0; what turns backward needs a shaft that does.
//
// Errors: units.ErrRange for a fraction outside 0 to 1, units.ErrMissing for a
// balance that NewBalance did not make.
//
// Source: geometry, from the two parts of Balance.ForceRatio.
//
// Rows: residual-v8-half, residual-v6-90-split-half, residual-v2-60-half,
// residual-v2-60-most, residual-i1-half.
func (b *Balance) Counterweight(fraction float64) (Residual[Coefficient, Coefficient], error) {
	none := Residual[Coefficient, Coefficient]{}
	if err := checkFraction("fraction", fraction); err != nil {
		return none, err
	}
	f, err := b.ForceRatio(1)
	if err != nil {
		return none, err
	}
	m, err := b.CoupleRatio(1)
	if err != nil {
		return none, err
	}
	k := Coefficient(1 - 2*fraction)
	left := func(r Rotating[Coefficient]) Rotating[Coefficient] {
		r.of = nil // the sums of its Working are those of the bare crank
		p := &r.Forward
		p.Size *= max(k, -k)
		switch {
		case p.Size == 0:
			p.Direction = 0
		case k < 0:
			p.Direction = (p.Direction + units.CrankTurn/2).WrapTurn()
		}
		return r.extremes()
	}
	how := "1 - 2 " + strconv.FormatFloat(fraction, 'g', -1, 64)
	return Residual[Coefficient, Coefficient]{Force: left(f), Couple: left(m), bareForce: f.Forward, bareCouple: m.Forward, how: how}, nil
}

func checkFraction(field string, f float64) error {
	if !(f >= 0 && f <= 1) {
		return refuse(field, strconv.FormatFloat(f, 'g', -1, 64), "want a share from 0 to 1", units.ErrRange)
	}
	return nil
}

// Fractions are shares of the reciprocating mass that counterweights may carry,
// true ratios.
type Fractions struct {
	// Forward removes the forward part and leaves the smallest Max; 1/2 for
	// every layout and bank angle.
	Forward float64
	// OnePlaneLow and OnePlaneHigh leave forward and backward part equal, so that
	// all that remains lies in one plane: across the direction of the bare crank's
	// Max with High, along it with Low.
	OnePlaneLow, OnePlaneHigh float64

	// For Working: the two parts of the bare crank and their unit.
	forward, backward float64
	symbol            string
}

// Working shows how the shares follow from the two parts of the bare crank; nil
// for Fractions that Rotating.Fractions did not make.
func (f Fractions) Working() units.Working {
	if f.forward == 0 {
		return nil
	}
	src := units.Source{Text: "geometry: a share f of the reciprocating mass leaves |1 - 2 f| of the forward part", Provenance: units.Computed}
	text := func(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }
	k := text(f.backward / f.forward)
	return units.Working{
		{Symbol: "B/F", Formula: "backward part/forward part of the bare crank", Numbers: text(f.backward) + f.symbol + "/" + text(f.forward) + f.symbol, Value: k, Source: src},
		{Symbol: "Forward", Formula: "1 - 2 f = 0", Numbers: "1/2", Value: text(f.Forward), Source: src},
		{Symbol: "OnePlaneLow", Formula: "1 - 2 f = B/F", Numbers: "(1 - " + k + ")/2", Value: text(f.OnePlaneLow), Source: src},
		{Symbol: "OnePlaneHigh", Formula: "2 f - 1 = B/F", Numbers: "(1 + " + k + ")/2", Value: text(f.OnePlaneHigh), Source: src},
	}
}

// Fractions answers which share of the reciprocating mass belongs into the
// counterweights, and so into the bob weights that the crank is balanced with:
//
//	Forward = 1/2
//	OnePlaneLow, OnePlaneHigh = 1/2 (1 -+ B/F)
//
// with F = Forward.Size and B = Backward.Size of the bare first-order force or
// couple. For a V of bank angle V on shared pins B/F = |cos V|, so that 90
// degrees need 1/2 and nothing remains, and 1/2 (1 + |cos V|) is cos^2(V/2) for
// less; for a 90 degree V6 with pins split by 30 degrees Low is 1/2 (1 - tan 15
// deg) = 0.366. Builders also take a little over 1/2 for high speeds (common
// practice, no source). OnePlaneLow is negative where B is over F.
//
// Errors: units.ErrRange for another order than 1, units.ErrImpossible where the
// forward part is 0 and no counterweight changes the outcome.
//
// Source: derived from Balance.Counterweight: |1 - 2 f| F = B.
//
// Rows: fractions-v2-45, fractions-v2-90, fractions-v2-60, fractions-v6-90-split,
// fractions-v10-72.
func (r Rotating[Q]) Fractions() (Fractions, error) {
	switch {
	case r.Order != 1:
		return Fractions{}, refuse("Order", strconv.Itoa(r.Order), "counterweights turn at crank speed: want order 1", units.ErrRange)
	case !(r.Forward.Size > 0 && r.Backward.Size >= 0 && float64(r.Forward.Size) <= math.MaxFloat64):
		return Fractions{}, refuse("Forward", "", "no part turns with the crank, no counterweight changes the rest", units.ErrImpossible)
	}
	k := float64(r.Backward.Size) / float64(r.Forward.Size)
	return Fractions{
		Forward: 0.5, OnePlaneLow: (1 - k) / 2, OnePlaneHigh: (1 + k) / 2,
		forward: float64(r.Forward.Size), backward: float64(r.Backward.Size), symbol: r.symbol,
	}, nil
}

// CrankWeight is a mass that turns with the crank.
type CrankWeight struct {
	Mass     units.Mass
	Radius   units.Length // of its center of gravity
	Angle    units.CrankAngle
	Position units.Length // along the shaft, from the first throw or the zero of Positions
}

// CrankMasses are the masses and the weights on a crank.
type CrankMasses struct {
	Engine Reciprocating
	// Rotating is the mass of one cylinder that turns with its pin at the crank
	// radius, see RodWeight.Split; 0 where it is balanced already.
	Rotating units.Mass
	// Weights are the counterweights; their Angle is from the pin of cylinder 1
	// in the sense of rotation.
	Weights []CrankWeight
}

// Residual answers what is left of the first-order force and couple with given
// counterweights, each adding to the forward part
//
//	-> mass radius w^2 exp(i angle), and that times (position - plane)
//
// with the plane of BalanceConfig.Plane. The rotating masses of the cylinders
// count as twice their share in the forward part.
//
// Errors: those of Balance.Couple; units.ErrRange for a mass that is negative or
// not finite, a radius outside 0 to 10 m, a position over 100 m.
//
// Source: geometry.
//
// Rows: weights-v8-1, weights-v8-4, radial3-lb-b.
func (b *Balance) Residual(c CrankMasses) (Residual[units.Force, units.Torque], error) {
	none := Residual[units.Force, units.Torque]{}
	f, err := b.Force(1, c.Engine)
	if err != nil {
		return none, err
	}
	m, err := b.Couple(1, c.Engine)
	if err != nil {
		return none, err
	}
	if err := checkMass("Rotating", c.Rotating); err != nil {
		return none, err
	}
	k := complex(1+2*float64(c.Rotating/c.Engine.Mass), 0)
	force, couple := k*vector(f.Forward), k*vector(m.Forward)
	w := float64(c.Engine.Speed)
	for i, x := range c.Weights {
		field := fmt.Sprintf("Weights[%d]", i)
		if err := checkMass(field+".Mass", x.Mass); err != nil {
			return none, err
		}
		if x.Radius < 0 || x.Radius > 10*units.Meter {
			return none, refuse(field+".Radius", x.Radius.String(), "want 0 to 10 m", units.ErrRange)
		}
		if x.Position < -maxAlong || x.Position > maxAlong {
			return none, refuse(field+".Position", x.Position.String(), "want a length within 100 m", units.ErrRange)
		}
		a := vector(Part[units.Force]{units.Force(float64(x.Mass) * x.Radius.Meters() * w * w), x.Angle})
		force += a
		couple += a * complex((x.Position-b.plane).Meters(), 0)
	}
	r := Residual[units.Force, units.Torque]{bareForce: f.Forward, bareCouple: m.Forward, fu: " N", mu: " N m"}
	r.how = fmt.Sprintf("%d weights, rotating mass %g of the reciprocating", len(c.Weights), float64(c.Rotating/c.Engine.Mass))
	f.Forward, m.Forward = toPart[units.Force](force), toPart[units.Torque](couple)
	f.of, m.of = nil, nil // their sums are those of the bare crank
	r.Force, r.Couple = f.extremes(), m.extremes()
	if !(math.Abs(float64(r.Force.Max)) <= math.MaxFloat64 && math.Abs(float64(r.Couple.Max)) <= math.MaxFloat64) {
		return none, refuse("Weights", "", "the force overflows", units.ErrRange)
	}
	return r, nil
}

func checkMass(field string, m units.Mass) error {
	if !(m >= 0 && m <= math.MaxFloat64) {
		return refuse(field, m.String(), "want a finite mass of 0 or more", units.ErrRange)
	}
	return nil
}

func vector[Q ~float64](p Part[Q]) complex128 {
	return complex(float64(p.Size)*p.Direction.Cos(), float64(p.Size)*p.Direction.Sin())
}

func toPart[Q ~float64](v complex128) Part[Q] {
	return Part[Q]{Q(cmplx.Abs(v)), direction(real(v), imag(v))}
}

// EndPlanes are two planes for the counterweights that balance a crank.
type EndPlanes struct {
	Reciprocating units.Mass // of one cylinder
	Rotating      units.Mass // of one cylinder; 0 where it is balanced already
	Stroke        units.Length
	Radius        units.Length // at which the weights are to sit
	First, Second units.Length // along the shaft, from the first throw or the zero of Positions
}

// EndWeights are the counterweights in two planes.
type EndWeights struct {
	First, Second CrankWeight

	force, couple Part[units.Mass] // at 1 m, for Working
	plane         units.Length
}

// Working shows the two sums and the two weights.
func (w EndWeights) Working() units.Working {
	if w.First.Radius == 0 {
		return nil
	}
	src := units.Source{Text: "statics of two parallel planes", Provenance: units.Computed}
	at := func(x float64, unit string, a units.CrankAngle) string {
		return strconv.FormatFloat(x, 'g', 6, 64) + unit + " at " + number(a)
	}
	weight := func(x CrankWeight) string { return at(x.Mass.Grams(), " g", x.Angle) }
	return units.Working{
		{Symbol: "F", Formula: "forward (m + 2 mrot) r", Value: at(float64(w.force.Size), " kg m", w.force.Direction), Source: src},
		{Symbol: "M", Formula: "forward couple pitch (m + 2 mrot) r", Value: at(float64(w.couple.Size), " kg m2", w.couple.Direction), Source: src},
		{
			Symbol: "second", Formula: "|(z1 - p) F - M|/((z2 - z1) radius)", Value: weight(w.Second), Source: src,
			Numbers: fmt.Sprintf("z1 %s, z2 %s, p %s, radius %s", w.First.Position, w.Second.Position, w.plane, w.First.Radius),
		},
		{Symbol: "first", Formula: "|F + U2|/radius", Numbers: "U2 = " + weight(w.Second) + " at the radius", Value: weight(w.First), Source: src},
	}
}

// EndWeights answers which two counterweights remove the whole forward part of
// the first order, force and couple. In vectors of mass times radius,
//
//	U1 + U2 = -F     (z1 - p) U1 + (z2 - p) U2 = -M
//	F = Forward (m + 2 mrot) r     M = Forward couple Pitch (m + 2 mrot) r
//
// with m = Reciprocating, mrot = Rotating (kg), r = Stroke/2 (m), z = First and
// Second, p = BalanceConfig.Plane (m), Forward the sizes of ForceRatio and
// CoupleRatio; mass = |U|/Radius at the angle of U from the pin of cylinder 1. A
// layout with neither needs none, and gets two of 0.
//
// Errors: units.ErrRange for masses that are negative or not finite, a stroke or
// radius that is not over 0 and at most 10 m, a plane over 100 m away;
// units.ErrConflict for one plane twice; units.ErrMissing for no reciprocating
// mass, or no Pitch.
//
// Source: statics of two parallel planes.
//
// Rows: ends-v8-mass, ends-v8-angle, ends-v6-90-mass, radial3-lb-b.
func (b *Balance) EndWeights(e EndPlanes) (EndWeights, error) {
	f, err := b.ForceRatio(1)
	if err != nil {
		return EndWeights{}, err
	}
	c, err := b.CoupleRatio(1)
	if err != nil {
		return EndWeights{}, err
	}
	if err := checkMass("Reciprocating", e.Reciprocating); err != nil {
		return EndWeights{}, err
	}
	if err := checkMass("Rotating", e.Rotating); err != nil {
		return EndWeights{}, err
	}
	if e.Reciprocating == 0 {
		return EndWeights{}, refuse("Reciprocating", "", "want the mass of one cylinder", units.ErrMissing)
	}
	for _, v := range [...]struct {
		name string
		l    units.Length
	}{{"Stroke", e.Stroke}, {"Radius", e.Radius}} {
		if v.l <= 0 || v.l > 10*units.Meter {
			return EndWeights{}, refuse(v.name, v.l.String(), "want a length over 0 and at most 10 m", units.ErrRange)
		}
	}
	for _, v := range [...]struct {
		name string
		l    units.Length
	}{{"First", e.First}, {"Second", e.Second}} {
		if v.l < -maxAlong || v.l > maxAlong {
			return EndWeights{}, refuse(v.name, v.l.String(), "want a length within 100 m", units.ErrRange)
		}
	}
	if e.First == e.Second {
		return EndWeights{}, refuse("Second", e.Second.String(), "want two planes apart", units.ErrConflict)
	}
	if b.pitch == 0 {
		return EndWeights{}, refuse("Pitch", "", "places along the shaft need the pitch", units.ErrMissing)
	}
	unit := (float64(e.Reciprocating) + 2*float64(e.Rotating)) * e.Stroke.Meters() / 2 / e.Radius.Meters()
	if math.IsInf(unit*b.pitch.Meters(), 0) {
		return EndWeights{}, refuse("Reciprocating", e.Reciprocating.String(), "the product overflows", units.ErrRange)
	}
	force := vector(f.Forward) * complex(unit, 0)
	couple := vector(c.Forward) * complex(unit*b.pitch.Meters(), 0)
	second := (complex((e.First-b.plane).Meters(), 0)*force - couple) / complex((e.Second-e.First).Meters(), 0)
	weight := func(v complex128, at units.Length) CrankWeight {
		p := toPart[units.Mass](v)
		return CrankWeight{Mass: p.Size, Radius: e.Radius, Angle: p.Direction, Position: at}
	}
	radius := complex(e.Radius.Meters(), 0)
	return EndWeights{
		First: weight(-force-second, e.First), Second: weight(second, e.Second),
		force: toPart[units.Mass](force * radius), couple: toPart[units.Mass](couple * radius), plane: b.plane,
	}, nil
}

// BobWeight is what a bob weight on one crank pin stands for.
type BobWeight struct {
	Rods int // on the pin
	// Rotating and Reciprocating are the masses of one cylinder: big end with
	// bearing shells, and piston, pin, rings and small end.
	Rotating, Reciprocating units.Measured[units.Mass]
	// Oil is the oil in and about the pin, an allowance (common practice).
	Oil units.Measured[units.Mass]
	// Fraction is the share of the reciprocating mass to be carried, a true
	// ratio; Rotating.Fractions says which.
	Fraction float64
}

// BobMass is the mass of a bob weight.
type BobMass struct {
	Mass units.Measured[units.Mass]
	from BobWeight
}

// Mass answers what a bob weight on one pin has to weigh:
//
//	mass = n (mrot + f m) + oil
//	u^2 = (n u(mrot))^2 + (n f u(m))^2 + u(oil)^2
//
// with n = Rods, mrot = Rotating, m = Reciprocating, oil = Oil (kg), f = Fraction.
// The cylinders of a pin are taken to be matched, so that their errors add. An
// uncertainty is stated if those of both masses are.
//
// Errors: units.ErrRange for rods outside 1 to 64, a mass or uncertainty that is
// negative or not finite, a fraction outside 0 to 1; units.ErrMissing for no
// rotating or reciprocating mass; units.ErrConflict for an uncertainty not marked
// as stated.
//
// Source: definition; half of the reciprocating mass from Balance.Counterweight.
//
// Rows: bob-v8, bob-v8-u, bob-v6-split.
func (b BobWeight) Mass() (BobMass, error) {
	if b.Rods < 1 || b.Rods > maxCylinders {
		return BobMass{}, refuse("Rods", strconv.Itoa(b.Rods), "want 1 to 64 rods on the pin", units.ErrRange)
	}
	for _, v := range [...]struct {
		name   string
		m      units.Measured[units.Mass]
		needed bool
	}{{"Rotating", b.Rotating, true}, {"Reciprocating", b.Reciprocating, true}, {"Oil", b.Oil, false}} {
		if err := checkWeighed(v.name, v.m, v.needed); err != nil {
			return BobMass{}, err
		}
	}
	if err := checkFraction("Fraction", b.Fraction); err != nil {
		return BobMass{}, err
	}
	n := float64(b.Rods)
	m := units.Measured[units.Mass]{
		Value:  units.Mass(n*(float64(b.Rotating.Value)+b.Fraction*float64(b.Reciprocating.Value)) + float64(b.Oil.Value)),
		Stated: b.Rotating.Stated && b.Reciprocating.Stated,
	}
	if m.Stated {
		m.U = units.Mass(math.Hypot(math.Hypot(n*float64(b.Rotating.U), n*b.Fraction*float64(b.Reciprocating.U)), float64(b.Oil.U)))
	}
	if math.IsInf(float64(m.Value), 0) || math.IsInf(float64(m.U), 0) {
		return BobMass{}, refuse("Rotating", b.Rotating.Value.String(), "the sum overflows", units.ErrRange)
	}
	return BobMass{m, b}, nil
}

// Working shows the sum.
func (m BobMass) Working() units.Working {
	b := m.from
	if b.Rods == 0 {
		return nil
	}
	return units.Working{
		{Symbol: "mrot", Formula: "rotating mass of one cylinder", Value: grams(b.Rotating), Source: weighed},
		{Symbol: "m", Formula: "reciprocating mass of one cylinder", Value: grams(b.Reciprocating), Source: weighed},
		{
			Symbol: "mass", Formula: "n (mrot + f m) + oil",
			Numbers: fmt.Sprintf("%d (%s + %g %s) + %s", b.Rods, grams(b.Rotating), b.Fraction, grams(b.Reciprocating), grams(b.Oil)),
			Value:   grams(m.Mass), Source: units.Source{Text: "definition", Provenance: units.Computed},
		},
	}
}
