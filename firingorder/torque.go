package firingorder

import (
	"fmt"
	"math"
	"math/cmplx"
	"strconv"

	"example.com/trialfit/units"
)

// HalfOrders is an order of the torque harmonics counted in halves: 1 is order
// 1/2, once per two turns; 2 is order 1, once per turn; 6 is order 3.
type HalfOrders int

// String returns the order, "1.5".
func (q HalfOrders) String() string { return strconv.FormatFloat(float64(q)/2, 'g', -1, 64) }

// PhaseSum is the vector sum of the torque harmonics of one order over the
// cylinders.
type PhaseSum struct {
	Order HalfOrders
	// Size is the length of the sum, a true ratio to the vector of a cylinder
	// with amplitude 1. Without a shape a sum of 0 is decided exactly.
	Size float64
	// Direction is the phase of the sum from the vector of cylinder 1, in
	// [0, 360) degrees of the order's own cycle; 0 where Size is 0.
	Direction units.CrankAngle
	// Major says that the vectors of all cylinders point the same way, decided
	// exactly: for even firing the multiples of n/2 (two-stroke: of n).
	Major bool

	engine *Engine // for Working
	shape  []float64
}

// PhaseSum answers how the torque harmonics of an order add up over the cylinders
// of a firing order:
//
//	sum = |sum a exp(i q f)|
//
// with q = order/2, f = FiringAngle (crank deg) of each cylinder, a = its amplitude.
// shape are these amplitudes, cylinder 1 first, true ratios, such as the shape of
// a mode of torsional vibration at the throws; nil means 1 for all, a rigid
// shaft, whose major orders then add up to n. A sum with a shape is good to 1e-13
// of the sum of the amplitudes and not decided to be 0. It allocates nothing with a
// shape, which it keeps for Working.
//
// Errors: units.ErrRange for an order under 1/2 or over 100, an amplitude that is
// not finite or over 1e100; units.ErrConflict for another number of amplitudes
// than of cylinders, or a half order of a two-stroke engine, which has none;
// units.ErrMissing for an engine that NewEngine did not make.
//
// Source: phase-vector diagrams, as in Den Hartog, Mechanical Vibrations, ch. 5
// (from memory); the sums are computed.
//
// Rows: torque-i6-1-5-3-6-2-4-0.5, torque-i6-1-5-3-6-2-4-3.0,
// torque-v8-1-8-4-3-6-5-7-2-1.0, torque-v8-1-8-4-3-6-5-7-2-4.0,
// torque-i5-1-2-4-5-3-2.5, torque-i4-1-3-4-2-2.0.
func (e *Engine) PhaseSum(order HalfOrders, shape []float64) (PhaseSum, error) {
	if err := e.check("engine", 1); err != nil {
		return PhaseSum{}, err
	}
	n := e.layout.Cylinders()
	switch {
	case order < 1 || order > 2*maxOrder:
		return PhaseSum{}, refuse("order", order.String(), "want 1/2 to 100", units.ErrRange)
	case order%2 != 0 && e.cycle == TwoStroke:
		return PhaseSum{}, refuse("order", order.String(), "a two-stroke cycle has whole orders only", units.ErrConflict)
	case shape != nil && len(shape) != n:
		return PhaseSum{}, refuse("shape", strconv.Itoa(len(shape)), fmt.Sprintf("want one amplitude for each of %d cylinders", n), units.ErrConflict)
	}
	p := PhaseSum{Order: order, Major: true, engine: e, shape: shape}
	var sum complex128
	cycle := 2 * e.layout.turn
	for i, f := range e.fire {
		k := int64(order) * f % cycle
		p.Major = p.Major && k == 0
		a := 1.0
		if shape != nil {
			if a = shape[i]; !(math.Abs(a) <= 1e100) {
				return PhaseSum{}, refuse(fmt.Sprintf("shape[%d]", i), strconv.FormatFloat(a, 'g', -1, 64), "want an amplitude within 1e100", units.ErrRange)
			}
		}
		sum += complex(a, 0) * rootPoint(k, cycle)
	}
	if shape == nil && cmplx.Abs(sum) <= rootSumSlack*float64(n) {
		exp, one := make([]int64, n), make([]int64, n)
		for i, f := range e.fire {
			exp[i], one[i] = int64(order)*f%cycle, 1
		}
		sum = rootSum(exp, one, cycle)
	}
	p.Size, p.Direction = cmplx.Abs(sum), direction(real(sum), imag(sum))
	return p, nil
}

// Working shows the phase of every cylinder and the sum.
func (p PhaseSum) Working() units.Working {
	if p.engine == nil {
		return nil
	}
	src := units.Source{Text: "vector sum of the torque harmonics, each at order times firing angle", Provenance: units.Computed}
	e, cycle := p.engine, 2*p.engine.layout.turn
	var w units.Working
	for i, f := range e.fire {
		a := 1.0
		if p.shape != nil {
			a = p.shape[i]
		}
		w = append(w, units.Step{
			Symbol: "v" + strconv.Itoa(i+1), Formula: "a at q f", Numbers: p.Order.String() + " " + number(e.angle[i]),
			Value: strconv.FormatFloat(a, 'g', 6, 64) + " at " + number(angleOf(int64(p.Order)*f%cycle, cycle)), Source: src,
		})
	}
	return append(w, units.Step{Symbol: "sum", Formula: "|v1 + v2 + ...|", Value: strconv.FormatFloat(p.Size, 'g', 6, 64), Source: src})
}
