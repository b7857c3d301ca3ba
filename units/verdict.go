package units

import (
	"fmt"
	"math"
)

// Quantity is any quantity of this package: an exact count or an SI float
// that prints itself with its unit.
type Quantity interface {
	~int64 | ~float64
	fmt.Stringer
}

// Measured is a measured value with its standard uncertainty, if one was
// stated. An uncertainty that was not stated is not the same as one of zero.
type Measured[Q Quantity] struct {
	Value  Q
	U      Q    // standard uncertainty (k = 1), not negative; 0 if not stated
	Stated bool // whether U was stated; a U without it is refused
}

// Unstated returns a measured value whose uncertainty nobody stated.
func Unstated[Q Quantity](v Q) Measured[Q] { return Measured[Q]{Value: v} }

// WithU returns a measured value with the standard uncertainty u.
func WithU[Q Quantity](v, u Q) Measured[Q] { return Measured[Q]{Value: v, U: u, Stated: true} }

// String returns "value" or "value (u = uncertainty)".
func (m Measured[Q]) String() string {
	if !m.Stated {
		return m.Value.String()
	}
	return m.Value.String() + " (u = " + m.U.String() + ")"
}

// Limits are the limits of a check, closed on both sides where given, with
// the source they come from. The zero Limits limit nothing and are refused by
// Judge. Between, AtLeast and AtMost make valid ones.
type Limits[Q Quantity] struct {
	Min, Max       Q
	HasMin, HasMax bool
	Source         Source
}

// Between returns the limits min <= value <= max.
func Between[Q Quantity](minimum, maximum Q, src Source) Limits[Q] {
	return Limits[Q]{Min: minimum, Max: maximum, HasMin: true, HasMax: true, Source: src}
}

// AtLeast returns the limit value >= min.
func AtLeast[Q Quantity](minimum Q, src Source) Limits[Q] {
	return Limits[Q]{Min: minimum, HasMin: true, Source: src}
}

// AtMost returns the limit value <= max.
func AtMost[Q Quantity](maximum Q, src Source) Limits[Q] {
	return Limits[Q]{Max: maximum, HasMax: true, Source: src}
}

// String returns "min to max", "at least min" or "at most max".
func (l Limits[Q]) String() string {
	switch {
	case l.HasMin && l.HasMax:
		return l.Min.String() + " to " + l.Max.String()
	case l.HasMin:
		return "at least " + l.Min.String()
	case l.HasMax:
		return "at most " + l.Max.String()
	default:
		return "no limits"
	}
}

func (l Limits[Q]) validate() error {
	switch {
	case !l.HasMin && !l.HasMax:
		return fail("Limits", "", ErrMissing, "want a minimum, a maximum or both")
	case l.HasMin && !finite(float64(l.Min)):
		return fail("Limits.Min", "", ErrRange, "want a finite limit")
	case l.HasMax && !finite(float64(l.Max)):
		return fail("Limits.Max", "", ErrRange, "want a finite limit")
	case l.HasMin && l.HasMax && l.Min > l.Max:
		return fail("Limits", l.String(), ErrConflict, "the minimum is over the maximum")
	case !l.Source.Given():
		return fail("Limits.Source", l.String(), ErrMissing, "limits need a source and its provenance")
	}
	return nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// DecisionRule says what it takes to call a value inside or outside its
// limits when the measurement is uncertain.
type DecisionRule uint8

const (
	// ProveAt95 is the rule of ISO 14253-1:2017: conformity and
	// non-conformity are each proved with at least 95 % probability. One
	// limit: guard band 1.645 u. Two limits: the band that leaves 95 %
	// between both, JCGM 106:2012 eq. (11); under a tolerance of 3.92 u no
	// value proves conformity.
	ProveAt95 DecisionRule = iota
	// ProveBeyondU is the rule of ISO 14253-1:1998 and 2013 as JCGM 106:2012
	// 8.3.2.3 describes it: the guard band is the expanded uncertainty
	// U = 2 u on each side.
	ProveBeyondU
	// SimpleAcceptance compares the value with the limits and lets both sides
	// share the risk (JCGM 106:2012 8.2; at the limit it is 50 %). It is
	// never a default: the caller chooses it.
	SimpleAcceptance
)

// String names the rule.
func (r DecisionRule) String() string {
	switch r {
	case ProveAt95:
		return "ISO 14253-1:2017, 95 %"
	case ProveBeyondU:
		return "ISO 14253-1:2013, U = 2u"
	case SimpleAcceptance:
		return "simple acceptance, JCGM 106:2012 8.2"
	default:
		return "unknown rule"
	}
}

// Outcome is what a check proves. The zero Outcome proves nothing.
type Outcome uint8

// The three outcomes, after ISO 14253-1 and JCGM 106.
const (
	NotProved     Outcome = iota // inside the uncertainty zone, or no uncertainty was stated
	ProvedWithin                 // within the limits
	ProvedOutside                // outside the limits
)

// String returns "not proved", "within" or "outside".
func (o Outcome) String() string {
	switch o {
	case ProvedWithin:
		return "within"
	case ProvedOutside:
		return "outside"
	default:
		return "not proved"
	}
}

// Verdict is the result of a check: the outcome, what it was judged from, and
// how far the value is from its limits.
type Verdict[Q Quantity] struct {
	Outcome  Outcome
	Measured Measured[Q]
	Limits   Limits[Q]
	Rule     DecisionRule
	// Margin is the distance to the nearest limit: positive inside, negative
	// outside, 0 on it.
	Margin Q
	// GuardWithin is how far inside a limit a value must lie to prove
	// conformity, GuardOutside how far outside to prove the contrary; 0 under
	// simple acceptance.
	GuardWithin, GuardOutside Q
	// Conformance is the probability that the true value is within the
	// limits, if an uncertainty was stated (HasConformance).
	Conformance    float64
	HasConformance bool
	// Reason says why nothing was proved, or is empty.
	Reason string
}

// String returns the outcome and the rule: "within (ISO 14253-1:2017, 95 %)".
func (v Verdict[Q]) String() string { return v.Outcome.String() + " (" + v.Rule.String() + ")" }

// z95 is the 0.95 quantile of the standard normal distribution; rows
// ca-z-0.95 and gum-g1-90.
const z95 = 1.6448536269514722

// normalCDF is the distribution function of the standard normal.
func normalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// ConformanceProbability answers how probable it is that the true value lies
// within the limits when the measured value is y with standard uncertainty u
// and the distribution is normal:
//
//	pc = Phi((TU - y)/u) - Phi((TL - y)/u)
//
// with y = Measured.Value, u = Measured.U, TL = Limits.Min, TU = Limits.Max;
// a missing limit drops its term. With u = 0 it is 1 inside and 0 outside.
// Errors: no uncertainty stated, u negative, not finite or given without being
// marked as stated, limits that are none or swapped.
//
// Source: JCGM 106:2012, 7.3.3 and 7.4, eq. (9) to (11).
//
// Rows: ca-upper, ca-lower, ca-two, ca-res-pc.
func ConformanceProbability[Q Quantity](m Measured[Q], l Limits[Q]) (float64, error) {
	if err := m.validate(); err != nil {
		return 0, err
	}
	if !m.Stated {
		return 0, fail("Measured.U", "", ErrMissing, "a probability needs a standard uncertainty")
	}
	if err := l.validate(); err != nil {
		return 0, err
	}
	return conformance(m, l), nil
}

func (m Measured[Q]) validate() error {
	switch {
	case !finite(float64(m.Value)):
		return fail("Measured.Value", "", ErrRange, "want a finite value")
	case m.Stated && (!finite(float64(m.U)) || m.U < 0):
		return fail("Measured.U", m.U.String(), ErrRange, "want a finite standard uncertainty, not negative")
	case !m.Stated && m.U != 0:
		return fail("Measured.U", m.U.String(), ErrConflict, "an uncertainty is given but not marked as stated")
	}
	return nil
}

func conformance[Q Quantity](m Measured[Q], l Limits[Q]) float64 {
	if m.U == 0 {
		if (l.HasMin && m.Value < l.Min) || (l.HasMax && m.Value > l.Max) {
			return 0
		}
		return 1
	}
	u, y := float64(m.U), float64(m.Value)
	p := 1.0
	switch {
	case l.HasMin && l.HasMax && float64(l.Min)-y > 0:
		// Both limits above the value: the upper tails keep the digits.
		p = normalCDF((y-float64(l.Min))/u) - normalCDF((y-float64(l.Max))/u)
	case l.HasMin && l.HasMax:
		p = normalCDF((float64(l.Max)-y)/u) - normalCDF((float64(l.Min)-y)/u)
	case l.HasMax:
		p = normalCDF((float64(l.Max) - y) / u)
	case l.HasMin:
		p = normalCDF((y - float64(l.Min)) / u)
	}
	return min(max(p, 0), 1)
}

// GuardFactor answers how many standard uncertainties inside a limit a value
// must lie so that the probability of conformity is at least 95 %: 1.645
// against one limit, and for a tolerance zone of toleranceOverU standard
// uncertainties the g that solves
//
//	Phi(T/u - g) - Phi(-g) = 0.95
//
// (JCGM 106:2012 eq. (11) at y = TL + g u, normal distribution). Under
// T/u = 3.92 no value reaches 95 % and the error is ErrImpossible; a NaN or
// negative argument is ErrRange. Infinity stands for a single limit.
//
// Rows: gb-50, gb-20, gb-10, gb-8, gb-7, gb-6, gb-5.5, gb-5, gb-4.75, gb-4.5,
// gb-4.25, gb-4.1, gb-4, gb-3.95.
func GuardFactor(toleranceOverU float64) (float64, error) {
	t := toleranceOverU
	if math.IsNaN(t) || t < 0 {
		return 0, fail("toleranceOverU", "", ErrRange, "want T/u of 0 or more")
	}
	// The probability grows with g up to the middle of the zone.
	lo, hi := 0.0, t/2
	if math.IsInf(t, 1) || t > 12 {
		return z95, nil
	}
	if normalCDF(t/2)-normalCDF(-t/2) < 0.95 {
		return 0, fail("toleranceOverU", "", ErrImpossible, "a tolerance under 3.92 u leaves no value that proves conformity at 95 %")
	}
	for range 60 {
		g := (lo + hi) / 2
		if normalCDF(t-g)-normalCDF(-g) < 0.95 {
			lo = g
		} else {
			hi = g
		}
	}
	return hi, nil
}

// Judge compares a measured value with its limits under a decision rule.
//
// Outcome: proved within where Min + g <= y <= Max - g, proved outside where
// y < Min - g' or y > Max + g', else not proved, with the guard bands g and g'
// of the rule. A value whose uncertainty was not stated proves nothing except
// under SimpleAcceptance. Errors: a value or uncertainty that is not finite
// or negative, an uncertainty that is given but not marked as stated, limits
// that are none, swapped or without a source, an unknown rule.
//
// Source: ISO 14253-1:2017 (read in secondary sources) and JCGM 106:2012
// clause 8.
//
// Rows: ca-14253-risk, ca-simple, ilac-083-pfa, ilac-1-pfa.
func Judge[Q Quantity](m Measured[Q], l Limits[Q], rule DecisionRule) (Verdict[Q], error) {
	if err := m.validate(); err != nil {
		return Verdict[Q]{}, err
	}
	if err := l.validate(); err != nil {
		return Verdict[Q]{}, err
	}
	if err := comparable64(m, l); err != nil {
		return Verdict[Q]{}, err
	}
	v := Verdict[Q]{Measured: m, Limits: l, Rule: rule}
	v.Margin = margin(m.Value, l)
	if m.Stated {
		v.Conformance, v.HasConformance = conformance(m, l), true
	}
	inZone := true // whether any value at all can prove conformity
	switch rule {
	case SimpleAcceptance:
	case ProveAt95:
		v.GuardOutside = Q(z95 * float64(m.U))
		v.GuardWithin = guardUp[Q](z95 * float64(m.U))
		if l.HasMin && l.HasMax && m.U > 0 {
			g, err := GuardFactor((float64(l.Max) - float64(l.Min)) / float64(m.U))
			inZone = err == nil
			v.GuardWithin = guardUp[Q](g * float64(m.U))
		}
	case ProveBeyondU:
		v.GuardWithin, v.GuardOutside = 2*m.U, 2*m.U
	default:
		return Verdict[Q]{}, fail("rule", "", ErrRange, "want ProveAt95, ProveBeyondU or SimpleAcceptance")
	}
	switch {
	case rule != SimpleAcceptance && !m.Stated:
		v.Reason = "no uncertainty was stated: state one, or choose simple acceptance"
	case v.Margin >= v.GuardWithin && inZone:
		v.Outcome = ProvedWithin
	case v.Margin < 0 && -v.Margin > v.GuardOutside:
		v.Outcome = ProvedOutside
	case !inZone:
		v.Reason = "the tolerance is narrower than 3.92 times the standard uncertainty: no reading can prove conformity"
	default:
		v.Reason = "the distance to the limit is inside the uncertainty"
	}
	return v, nil
}

// guardUp returns a guard band as a quantity, rounded up where Q is a count:
// a band cut short would prove conformity at less than 95 %.
func guardUp[Q Quantity](x float64) Q {
	g := Q(x)
	if float64(g) < x {
		g++
	}
	return g
}

// comparable64 refuses values so far apart that a margin or a guard band
// would overflow Q.
func comparable64[Q Quantity](m Measured[Q], l Limits[Q]) error {
	most, half := math.MaxFloat64, 0.5
	if Q(half) == 0 { // a count
		most = 1<<63 - 1<<10
	}
	y := float64(m.Value)
	far := m.Stated && !(2*float64(m.U) <= most)
	far = far || (l.HasMin && !(math.Abs(y-float64(l.Min)) <= most))
	far = far || (l.HasMax && !(math.Abs(float64(l.Max)-y) <= most))
	if far {
		return fail("Measured", m.Value.String(), ErrRange, "the value, its uncertainty and the limits are too far apart to compare")
	}
	return nil
}

func margin[Q Quantity](y Q, l Limits[Q]) Q {
	switch {
	case l.HasMin && l.HasMax:
		return min(y-l.Min, l.Max-y)
	case l.HasMin:
		return y - l.Min
	default:
		return l.Max - y
	}
}
