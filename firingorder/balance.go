package firingorder

import (
	"fmt"
	"math"
	"math/cmplx"
	"strconv"
	"strings"

	"example.com/trialfit/units"
)

// BalanceConfig says where the cylinders of a layout stand along the shaft. All
// have the same reciprocating mass.
type BalanceConfig struct {
	Layout *Layout
	// PinsPerThrow is how many neighboring entries of Config.Throws stand at one
	// place along the shaft: 2 for the split pins of a V whose rod offset is
	// neglected; 0 counts as 1.
	PinsPerThrow int
	// Pitch is the distance from one throw to the next and the unit of the
	// couples. 0 leaves it open: couples are then known as multiples of it only.
	Pitch units.Length
	// RodOffset is how far the cylinders of each bank stand further along the
	// shaft than those of the bank before it in Config.Banks, rods side by side
	// on one pin. Either sign; needs Pitch.
	RodOffset units.Length
	// Positions are the places of the cylinder axes, cylinder 1 first, counted
	// along the shaft from any plane, instead of PinsPerThrow and RodOffset.
	// They need Pitch, as the unit of the couples.
	Positions []units.Length
	// Plane is the plane that the couples are taken about, in the count of
	// Positions, or from the first throw where there are none. Not given, it is
	// the middle between the first and the last cylinder. It needs Pitch.
	Plane units.Optional[units.Length]
}

// Balance holds a layout with its cylinders placed along the shaft. Make it with
// NewBalance; it does not change and may be used concurrently.
type Balance struct {
	layout    *Layout
	pin, axis []int64 // ticks from pin and axis of cylinder 1
	one, arm  []int64 // weights: 1, and the place from the plane in halves of a count
	pitch     units.Length
	halves    float64      // arms in one pitch
	plane     units.Length // from the first throw or the zero of Positions
}

// maxAlong bounds a place along the shaft.
const maxAlong = 100 * units.Meter

// NewBalance checks the places of the cylinders and prepares a layout for Force
// and Couple. Without Positions cylinder i of throw t (from 1) on bank b (from 0)
// stands at
//
//	z = Pitch floor((t - 1)/PinsPerThrow) + b RodOffset
//
// Errors: units.ErrMissing for no layout, or no Pitch where RodOffset, Positions
// or Plane need it; units.ErrRange for PinsPerThrow outside 0 to 64, a negative
// Pitch, a length over 100 m; units.ErrConflict for another number of positions
// than of cylinders, or positions beside PinsPerThrow or RodOffset.
//
// Source: geometry.
//
// Rows: balance-i5-m1, balance-v6-90-bw-a-m1, balance-v8-xplane-alt-trail-m1.
func NewBalance(c BalanceConfig) (*Balance, error) {
	l := c.Layout
	n := l.Cylinders()
	if n == 0 {
		return nil, refuse("Layout", "", "want a layout from NewLayout", units.ErrMissing)
	}
	if c.PinsPerThrow < 0 || c.PinsPerThrow > maxCylinders {
		return nil, refuse("PinsPerThrow", strconv.Itoa(c.PinsPerThrow), "want 1 to 64, or 0 for 1", units.ErrRange)
	}
	if c.Pitch < 0 || c.Pitch > maxAlong {
		return nil, refuse("Pitch", c.Pitch.String(), "want 0 to 100 m", units.ErrRange)
	}
	if c.RodOffset.Abs() > maxAlong || c.RodOffset < -maxAlong {
		return nil, refuse("RodOffset", c.RodOffset.String(), "want a length within 100 m", units.ErrRange)
	}
	if c.Plane.Value.Abs() > maxAlong || c.Plane.Value < -maxAlong {
		return nil, refuse("Plane", c.Plane.Value.String(), "want a length within 100 m", units.ErrRange)
	}
	if len(c.Positions) > 0 {
		switch {
		case len(c.Positions) != n:
			return nil, refuse("Positions", strconv.Itoa(len(c.Positions)), fmt.Sprintf("want one for each of %d cylinders", n), units.ErrConflict)
		case c.PinsPerThrow != 0:
			return nil, refuse("PinsPerThrow", strconv.Itoa(c.PinsPerThrow), "the positions are given", units.ErrConflict)
		case c.RodOffset != 0:
			return nil, refuse("RodOffset", c.RodOffset.String(), "the positions are given", units.ErrConflict)
		}
	}
	if c.Pitch == 0 {
		switch {
		case len(c.Positions) > 0:
			return nil, refuse("Pitch", "", "positions need the pitch that couples are counted in", units.ErrMissing)
		case c.RodOffset != 0:
			return nil, refuse("Pitch", "", "a rod offset needs the pitch of the throws", units.ErrMissing)
		case c.Plane.Given:
			return nil, refuse("Pitch", "", "a plane needs the pitch of the throws", units.ErrMissing)
		}
	}
	b := &Balance{layout: l, pitch: c.Pitch, halves: 2 * float64(max(1, c.Pitch))}
	z := make([]int64, n)
	first := l.config.Cylinders[0]
	bank := map[string]int{}
	for i, k := range l.config.Banks {
		bank[k.Name] = i
	}
	axis1 := l.ticks(l.config.Banks[bank[first.Bank]].Axis)
	pin1 := l.ticks(l.config.Throws[first.Throw-1])
	for i, cy := range l.config.Cylinders {
		k := bank[cy.Bank]
		b.axis = append(b.axis, l.mod(l.ticks(l.config.Banks[k].Axis)-axis1))
		b.pin = append(b.pin, l.mod(l.ticks(l.config.Throws[cy.Throw-1])-pin1))
		b.one = append(b.one, 1)
		if len(c.Positions) > 0 {
			if z[i] = int64(c.Positions[i]); c.Positions[i] > maxAlong || c.Positions[i] < -maxAlong {
				return nil, refuse(fmt.Sprintf("Positions[%d]", i), c.Positions[i].String(), "want a length within 100 m", units.ErrRange)
			}
			continue
		}
		place := int64((cy.Throw - 1) / max(1, c.PinsPerThrow))
		z[i] = place*int64(max(1, c.Pitch)) + int64(k)*int64(c.RodOffset)
	}
	lo, hi := z[0], z[0]
	for _, x := range z {
		lo, hi = min(lo, x), max(hi, x)
	}
	twice := lo + hi
	if c.Plane.Given {
		twice = 2 * int64(c.Plane.Value)
	}
	b.plane = units.Length(twice / 2)
	for _, x := range z {
		b.arm = append(b.arm, 2*x-twice)
	}
	return b, nil
}

// Coefficient is a free force as a multiple of one cylinder's force amplitude of
// that order, or a free couple as a multiple of that amplitude times the pitch.
type Coefficient float64

// String returns the number.
func (c Coefficient) String() string { return strconv.FormatFloat(float64(c), 'g', -1, 64) }

// Part is one of the two vectors that a free force or couple is made of.
type Part[Q ~float64] struct {
	Size Q
	// Direction is where it points when cylinder 1 is at TDC, from the axis of
	// cylinder 1 in the sense of rotation, in [0, 360); 0 where Size is 0. A
	// couple's is that of its force at the end of the shaft away from the one
	// that throws are counted from.
	Direction units.CrankAngle
}

// Rotating is a free force or couple of one order: a part that turns with the
// crank and one that turns against it, both at Order times its speed.
type Rotating[Q ~float64] struct {
	Order             int
	Forward, Backward Part[Q]
	// Max and Min are the largest and the smallest resultant over a turn,
	//
	//	Max = Forward.Size + Backward.Size    Min = |Forward.Size - Backward.Size|
	//
	// A Size of 0 and a Min of 0 are decided exactly.
	Max, Min Q
	// MaxAt and MinAt are the first crank angles after TDC of cylinder 1 at which
	// they occur; they come again every 180/Order. Both are 0 where Max = Min.
	MaxAt, MinAt units.CrankAngle

	of     *Balance // for Working
	couple bool
	unit   Q // value of a coefficient of 1
	symbol string
}

// Resultant is a free force or couple at one crank angle.
type Resultant[Q ~float64] struct {
	// Along is the component along the axis of cylinder 1, positive outward;
	// Across the one 90 degrees from it in the sense of rotation.
	Along, Across Q
	Size          Q
	Direction     units.CrankAngle // from the axis of cylinder 1, in [0, 360)
}

// At answers what the force or couple is at a crank angle, counted from TDC of
// cylinder 1:
//
//	R = Forward exp(i (forward + q crank)) + Backward exp(i (backward - q crank))
//
// with q = Order, forward and backward = the parts' Direction (crank deg). It
// allocates nothing. Directions are rounded to 1e-9 degree, so that R is good to
// 1e-10 of Max.
//
// Source: definition of the two parts.
//
// Rows: balance-at-v8-90, balance-at-v2-60-0, balance-at-v2-60-90,
// balance-at-radial3.
func (r Rotating[Q]) At(crank units.CrankAngle) Resultant[Q] {
	turned := crank.WrapTurn() * units.CrankAngle(r.Order)
	f, b := (r.Forward.Direction + turned).WrapTurn(), (r.Backward.Direction - turned).WrapTurn()
	x := float64(r.Forward.Size)*f.Cos() + float64(r.Backward.Size)*b.Cos()
	y := float64(r.Forward.Size)*f.Sin() + float64(r.Backward.Size)*b.Sin()
	return Resultant[Q]{Q(x), Q(y), Q(math.Hypot(x, y)), direction(x, y)}
}

// direction returns the angle of a vector in [0, 360).
func direction(x, y float64) units.CrankAngle {
	if x == 0 && y == 0 {
		return 0
	}
	return units.CrankAngle(math.Round(math.Atan2(y, x) * 180 / math.Pi * float64(units.CrankDegree))).WrapTurn()
}

// ForceRatio answers what free force of an order a layout has, as a multiple of
// the force amplitude of one cylinder. Every piston acts along its axis with
// cos(q psi), psi the crank angle from its TDC, which is half a vector turning
// with the crank and half of one turning against it:
//
//	Forward  = 1/2 sum exp(i (q pin + (1 - q) axis))
//	Backward = 1/2 sum exp(i ((1 + q) axis - q pin))
//
// with q = order, pin and axis (crank deg) those of each cylinder, both from
// those of cylinder 1. The order is 1 (primary), or even: 2 (secondary), 4, 6 and
// so on to 100. No other order exists without a pin offset.
//
// Whether a sum is 0, and whether the parts are equal, is decided on the exact
// fractions of a turn: a sum of roots of unity with whole weights is zero if and
// only if its parts in the cyclotomic subfields are. A sum that is not zero is
// good to 1e-12 of the sum of its terms.
//
// Errors: units.ErrRange for another order, units.ErrMissing for a balance that
// NewBalance did not make.
//
// Source: Josephs and Huston, Dynamics of Mechanical Systems, 15.7 and 15.10, for
// the sums; the parts are derived.
//
// Rows: balance-i4-flat-f2, balance-v2-45-f1, balance-w12-60-f2,
// balance-radial7-f1.
func (b *Balance) ForceRatio(order int) (Rotating[Coefficient], error) { return b.ratio(order, false) }

// CoupleRatio answers what free couple of an order a layout has, as a multiple of
// one cylinder's force amplitude times the pitch:
//
//	Forward  = 1/2 sum z exp(i (q pin + (1 - q) axis))
//	Backward = 1/2 sum z exp(i ((1 + q) axis - q pin))
//
// with z = the cylinder's place from BalanceConfig.Plane in pitches and the rest
// as for ForceRatio. Where there is a free force of the order too, the couple
// depends on the plane.
//
// Errors and exactness as for ForceRatio.
//
// Source: as for ForceRatio.
//
// Rows: balance-i5-m1, balance-i5-m2, balance-v8-xplane-alt-trail-m1,
// balance-v6-90-bw-a-m1, v8-bank-moment.
func (b *Balance) CoupleRatio(order int) (Rotating[Coefficient], error) { return b.ratio(order, true) }

func (b *Balance) ratio(order int, couple bool) (Rotating[Coefficient], error) {
	var r Rotating[Coefficient]
	if b == nil || b.layout == nil {
		return r, refuse("balance", "", "want a balance from NewBalance", units.ErrMissing)
	}
	if err := checkOrder(order); err != nil {
		return r, err
	}
	w, half := b.one, 0.5
	if couple {
		w, half = b.arm, 0.5/b.halves
	}
	q, n := int64(order), b.layout.turn
	fwd, bwd := make([]int64, len(w)), make([]int64, len(w))
	size := 0.0
	for i := range w {
		fwd[i] = b.layout.mod(q*b.pin[i] + (1-q)*b.axis[i])
		bwd[i] = b.layout.mod((1+q)*b.axis[i] - q*b.pin[i])
		size += math.Abs(float64(w[i]))
	}
	f, g := rootSum(fwd, w, n), rootSum(bwd, w, n)
	r = Rotating[Coefficient]{Order: order, Forward: part(f, half), Backward: part(g, half), of: b, couple: couple, unit: 1}
	if f != 0 && g != 0 && math.Abs(cmplx.Abs(f)-cmplx.Abs(g)) <= rootSumSlack*size && sameSize(fwd, bwd, w, n) {
		r.Backward.Size = r.Forward.Size
	}
	return r.extremes(), nil
}

const maxOrder = 100

func checkOrder(order int) error {
	if order != 1 && (order < 2 || order%2 != 0 || order > maxOrder) {
		return refuse("order", strconv.Itoa(order), "want 1, or an even order from 2 to 100", units.ErrRange)
	}
	return nil
}

func part(s complex128, half float64) Part[Coefficient] {
	return Part[Coefficient]{Coefficient(half * cmplx.Abs(s)), direction(real(s), imag(s))}
}

// extremes fills in Max, Min and where they are. The parts line up where
// forward + q crank = backward - q crank.
func (r Rotating[Q]) extremes() Rotating[Q] {
	f, b := r.Forward, r.Backward
	r.Max, r.Min, r.MaxAt, r.MinAt = f.Size+b.Size, max(f.Size-b.Size, b.Size-f.Size), 0, 0
	if f.Size == 0 || b.Size == 0 {
		return r
	}
	apart := (b.Direction - f.Direction).WrapTurn()
	if units.CrankTurn-apart <= 2 { // a count of rounding of each
		apart = 0
	}
	twice := units.CrankAngle(2 * r.Order)
	r.MaxAt = (apart + twice/2) / twice
	r.MinAt = r.MaxAt + units.CrankTurn/2/twice
	if again := units.CrankTurn / twice; r.MinAt >= again {
		r.MinAt -= again
	}
	return r
}

// Working shows the sums that the parts come from.
func (r Rotating[Q]) Working() units.Working {
	if r.of == nil {
		return nil
	}
	b := r.of
	src := units.Source{Text: "geometry: a force along an axis is half a vector turning with the crank and half of one turning against it", Provenance: units.Computed}
	q, weight := strconv.Itoa(r.Order), ""
	if r.couple {
		weight = "z "
	}
	var w units.Working
	var fwd, bwd []string
	for i := range b.pin {
		pin, axis := angleOf(b.pin[i], b.layout.turn), angleOf(b.axis[i], b.layout.turn)
		z := ""
		if r.couple {
			z = strconv.FormatFloat(float64(b.arm[i])/b.halves, 'g', 6, 64) + " "
		}
		fwd = append(fwd, fmt.Sprintf("%sexp(i (%s %s + %d %s))", z, q, number(pin), 1-r.Order, number(axis)))
		bwd = append(bwd, fmt.Sprintf("%sexp(i (%d %s - %s %s))", z, 1+r.Order, number(axis), q, number(pin)))
	}
	text := func(x Q) string {
		return strconv.FormatFloat(float64(x), 'g', 6, 64) + r.symbol
	}
	if r.symbol != "" {
		w = append(w, units.Step{Symbol: "U", Formula: "amplitude of one cylinder, times the pitch for a couple", Value: text(r.unit), Source: src})
	}
	return append(w,
		units.Step{Symbol: "Forward", Formula: "1/2 |sum " + weight + "exp(i (q pin + (1 - q) axis))|", Numbers: "1/2 |" + strings.Join(fwd, " + ") + "|", Value: text(r.Forward.Size), Source: src},
		units.Step{Symbol: "Backward", Formula: "1/2 |sum " + weight + "exp(i ((1 + q) axis - q pin))|", Numbers: "1/2 |" + strings.Join(bwd, " + ") + "|", Value: text(r.Backward.Size), Source: src},
		units.Step{Symbol: "Max", Formula: "Forward + Backward", Numbers: text(r.Forward.Size) + " + " + text(r.Backward.Size), Value: text(r.Max), Source: src},
		units.Step{Symbol: "Min", Formula: "|Forward - Backward|", Numbers: "|" + text(r.Forward.Size) + " - " + text(r.Backward.Size) + "|", Value: text(r.Min), Source: src})
}

// Reciprocating is what makes the inertia force of one piston.
type Reciprocating struct {
	Mass   units.Mass   // piston, pin, rings and the rod's share, see RodWeight.Split
	Stroke units.Length // twice the crank radius
	Rod    units.Length // between the centers of its eyes
	Speed  units.AngularSpeed
	// Series takes the whole Fourier series of the exact slider-crank for each
	// order. Without it the force is r/l for order 2 and nothing beyond, the
	// usual truncation, and the Rod counts for order 2 only.
	Series bool
}

// HarmonicRatio answers which share of m r w^2 the inertia force of an order has
// on a piston without pin offset, a true ratio: 1 for order 1, and for an even
// order q with lambda = crank radius / rod length
//
//	A2 = lambda + lambda^3/4 + 15 lambda^5/128 + ...
//	A4 = -(lambda^3/4 + 3 lambda^5/16 + ...)
//	A6 = 9 lambda^5/128 + ...
//
// in a = r w^2 (cos psi + sum Aq cos(q psi)), summed to float64 precision from
//
//	Aq = q^2/lambda sum c_j (-1)^(q/2) 2 C(2j, j - q/2) / 4^j lambda^(2j),   j from q/2
//
// where c_j are the coefficients of sqrt(1 - x). lambda is over 0 and at most
// 0.99; units.ErrRange else, and for an order that is not 1 nor even.
//
// Source: binomial series of x = r cos psi + l sqrt(1 - lambda^2 sin^2 psi),
// differentiated twice; its first terms as in Den Hartog, Mechanical Vibrations,
// and Taylor, The Internal-Combustion Engine in Theory and Practice (from memory).
//
// Rows: harmonic-a2-4, harmonic-a4-4, harmonic-a6-4, harmonic-a2-3,
// harmonic-a4-3, harmonic-a6-3.
func HarmonicRatio(order int, lambda float64) (float64, error) {
	if err := checkOrder(order); err != nil {
		return 0, err
	}
	if !(lambda > 0 && lambda <= 0.99) {
		return 0, refuse("lambda", strconv.FormatFloat(lambda, 'g', -1, 64), "want a crank radius over 0 and at most 0.99 of the rod length", units.ErrRange)
	}
	if order == 1 {
		return 1, nil
	}
	k := order / 2
	// term = c_j 2 C(2j, j-k) (lambda/2)^(2j), from one j to the next by ratio.
	term := 2.0
	for j := 1; j <= k; j++ {
		term *= float64(2*j-3) / float64(2*j) * lambda * lambda / 4
	}
	sum := term
	for j := k + 1; math.Abs(term) > 1e-17*math.Abs(sum); j++ {
		x := float64(j)
		term *= (2*x - 3) / (2 * x) * lambda * lambda / 4 * (2 * x) * (2*x - 1) / ((x - float64(k)) * (x + float64(k)))
		sum += term
	}
	if k%2 == 1 {
		sum = -sum
	}
	return sum * float64(order) * float64(order) / lambda, nil
}

// Amplitude answers how large the inertia force of an order is on one piston:
//
//	F1 = m r w^2     F2 = (r/l) m r w^2
//
// with m = Mass (kg), r = Stroke/2 (m), l = Rod (m), w = Speed (rad/s), or
// HarmonicRatio times m r w^2 with Series. F4 is negative there: at TDC that part
// pulls toward the crank. The truncation is good to about (r/l)^3/4 of F1.
//
// Errors: units.ErrRange for a mass, stroke, rod or speed that is not over 0 and
// finite or over 10 m, for another order than HarmonicRatio takes, and for a force
// that overflows; units.ErrMissing for no rod where it counts; units.ErrImpossible
// for a rod not longer than half the stroke.
//
// Source: Josephs and Huston, Dynamics of Mechanical Systems, 15.10, and any
// textbook of the theory of machines.
//
// Rows: v2-60-f1max, v2-90-f2, radial3-f1, radial3-f2.
func (r Reciprocating) Amplitude(order int) (units.Force, error) {
	if err := checkOrder(order); err != nil {
		return 0, err
	}
	for _, v := range [...]struct {
		name, text string
		x          float64
	}{{"Mass", r.Mass.String(), float64(r.Mass)}, {"Stroke", r.Stroke.String(), r.Stroke.Meters() / 10}, {"Speed", r.Speed.String(), float64(r.Speed)}} {
		if !(v.x > 0 && v.x <= math.MaxFloat64) || v.name == "Stroke" && v.x > 1 {
			return 0, refuse(v.name, v.text, "want a finite value over 0, a length of at most 10 m", units.ErrRange)
		}
	}
	force := float64(r.Mass) * r.Stroke.Meters() / 2 * float64(r.Speed) * float64(r.Speed)
	if order > 1 {
		switch {
		case r.Rod == 0:
			return 0, refuse("Rod", "", "orders over the first need the length of the rod", units.ErrMissing)
		case r.Rod < 0 || r.Rod > 10*units.Meter:
			return 0, refuse("Rod", r.Rod.String(), "want a length over 0 and at most 10 m", units.ErrRange)
		case r.Rod <= r.Stroke-r.Rod:
			return 0, refuse("Rod", r.Rod.String(), "want a rod longer than half the stroke, else the crank cannot turn", units.ErrImpossible)
		}
		lambda := r.Stroke.Meters() / 2 / r.Rod.Meters()
		switch {
		case r.Series:
			a, err := HarmonicRatio(order, lambda)
			if err != nil {
				return 0, refuse("Rod", r.Rod.String(), "want half the stroke at most 0.99 of it", units.ErrRange)
			}
			force *= a
		case order == 2:
			force *= lambda
		default:
			force = 0
		}
	}
	if math.IsInf(force, 0) {
		return 0, refuse("Speed", r.Speed.String(), "the force overflows", units.ErrRange)
	}
	return units.Force(force), nil
}

// Force answers what free force of an order an engine has: ForceRatio times
// Reciprocating.Amplitude.
//
// Errors: those of both.
//
// Source: as for ForceRatio and Amplitude.
//
// Rows: v2-90-f2, v2-60-f1max, v2-60-f1min, v2-60-f2, radial3-f1, radial3-f2,
// radial3-lb-f2, w12-f2min, w12-f2max.
func (b *Balance) Force(order int, r Reciprocating) (Rotating[units.Force], error) {
	c, err := b.ForceRatio(order)
	if err != nil {
		return Rotating[units.Force]{}, err
	}
	f, err := r.Amplitude(order)
	if err != nil {
		return Rotating[units.Force]{}, err
	}
	return scaled(c, f, " N")
}

// Couple answers what free couple of an order an engine has: CoupleRatio times
// Reciprocating.Amplitude times BalanceConfig.Pitch.
//
// Errors: those of both, and units.ErrMissing for no Pitch.
//
// Source: as for CoupleRatio and Amplitude.
//
// Rows: i4-90-m1, i4-90-m2, i4-90-m1-b, i4-90-m2-b.
func (b *Balance) Couple(order int, r Reciprocating) (Rotating[units.Torque], error) {
	c, err := b.CoupleRatio(order)
	if err != nil {
		return Rotating[units.Torque]{}, err
	}
	if b.pitch == 0 {
		return Rotating[units.Torque]{}, refuse("Pitch", "", "a couple in units of torque needs the pitch", units.ErrMissing)
	}
	f, err := r.Amplitude(order)
	if err != nil {
		return Rotating[units.Torque]{}, err
	}
	return scaled(c, units.Torque(float64(f)*b.pitch.Meters()), " N m")
}

// scaled returns unit times a free force or couple; a negative unit turns it half
// a turn.
func scaled[Q ~float64](c Rotating[Coefficient], unit Q, symbol string) (Rotating[Q], error) {
	of := func(p Part[Coefficient]) Part[Q] {
		s := Part[Q]{Q(p.Size) * max(unit, -unit), p.Direction}
		if s.Size == 0 {
			return Part[Q]{}
		}
		if unit < 0 {
			s.Direction = (s.Direction + units.CrankTurn/2).WrapTurn()
		}
		return s
	}
	r := Rotating[Q]{Order: c.Order, Forward: of(c.Forward), Backward: of(c.Backward), of: c.of, couple: c.couple, unit: unit, symbol: symbol}.extremes()
	if math.IsInf(float64(r.Max), 0) {
		return Rotating[Q]{}, refuse("Mass", "", "the force overflows", units.ErrRange)
	}
	return r, nil
}
