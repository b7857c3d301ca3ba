package camtiming

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/interp"

	"example.com/trialfit/units"
)

// DurationAt is one line of a cam card: how long the valve (or lifter) stands
// above a checking lift.
type DurationAt struct {
	Lift     units.Length     // at the lifter
	Duration units.CrankAngle // over 0, under 720 crank degrees
}

// CardLobeSpec is what a card says of one lobe.
type CardLobeSpec struct {
	MaxLift   units.Length // lobe lift at the lifter
	Durations []DurationAt // one or more, at different lifts
	// Asymmetry is the standard uncertainty of where the two flanks lie
	// against the centerline of the card: half the difference of their
	// lengths. Zero takes the flanks as alike.
	Asymmetry units.CamAngle
}

// CardLobe is a smooth monotone lobe that passes through every duration of a
// card exactly.
//
// A card gives only a few numbers, so its lobe is one of a family. Each
// member takes one closed-form law s, moves its steepest point toward the base
// circle or the nose (lobes with short flanks and long noses, and the
// contrary), and bends the angle scale just enough to meet the card:
//
//	lift = MaxLift * s(g(w(angle)))    g(w) = w (1 + c)/(1 + c w)
//
// with c the skew (steepest at w = 1/(2 + c)) and w a monotone curve through
// w(0) = 1 and the card's points, straight beyond the last one down to the base
// circle. The member whose scale is bent least is the curve used; how far the
// others stray from it says how little the card tells.
// The card says nothing of asymmetry either: both flanks are taken alike, and
// Asymmetry says how far that may be wrong.
type CardLobe struct {
	spec    CardLobeSpec
	used    int // index into members
	members []cardMember
}

// cardMember is one curve of the family: the law and its angle scale.
type cardMember struct {
	law   Law
	skew  float64 // c above
	h     float64
	scale pieces  // w over the angle from the nose in cam degrees
	end   float64 // angle of the last card point
	slope float64 // dw/dangle beyond it
	w     float64 // w there
	base  float64 // angle at which the lift reaches zero
	bend  float64 // how far the scale is from straight
}

// NewCardLobe fits the family to a card. Needs a lift over 0 and one or more
// durations at lifts over 0 and under the lobe lift; a longer duration at a
// higher lift is ErrConflict, and durations that no law can join are
// ErrImpossible.
//
// Rows: fit-recover-a-ang, fit-recover-a-lift, fit-recover-a-vel,
// fit-through-card.
func NewCardLobe(spec CardLobeSpec) (*CardLobe, error) {
	spec, err := spec.checked()
	if err != nil {
		return nil, err
	}
	c := &CardLobe{spec: spec, members: make([]cardMember, 0, len(skews)*len(laws))}
	for _, skew := range skews {
		for _, law := range laws {
			if m, ok := fitMember(law, skew, spec); ok {
				c.members = append(c.members, m)
			}
		}
	}
	if len(c.members) == 0 {
		return nil, fail("Durations", "", units.ErrImpossible, "no smooth lobe of under 180 cam degrees a flank joins these durations")
	}
	for i, m := range c.members {
		if m.bend < c.members[c.used].bend-1e-12 {
			c.used = i
		}
	}
	return c, nil
}

// checked returns the spec with its durations sorted by falling lift.
func (spec CardLobeSpec) checked() (CardLobeSpec, error) {
	if err := checkLift("MaxLift", spec.MaxLift); err != nil {
		return CardLobeSpec{}, err
	}
	if spec.Asymmetry < 0 || spec.Asymmetry > 20*units.CamDegree {
		return CardLobeSpec{}, fail("Asymmetry", spec.Asymmetry.String(), units.ErrRange, "want 0 to 20 cam degrees")
	}
	if len(spec.Durations) == 0 {
		return CardLobeSpec{}, fail("Durations", "", units.ErrMissing, "want at least one duration at a stated lift")
	}
	d := slices.Clone(spec.Durations)
	slices.SortFunc(d, func(a, b DurationAt) int { return cmp.Compare(b.Lift, a.Lift) })
	for i, p := range d {
		if p.Lift <= 0 || p.Lift >= spec.MaxLift {
			return CardLobeSpec{}, fail("Durations.Lift", p.Lift.String(), units.ErrRange, "want a checking lift over 0 and under the lobe lift "+spec.MaxLift.String())
		}
		if err := checkDuration("Durations.Duration", p.Duration); err != nil {
			return CardLobeSpec{}, err
		}
		if i > 0 && p.Lift == d[i-1].Lift {
			return CardLobeSpec{}, fail("Durations.Lift", p.Lift.String(), units.ErrConflict, "two durations at one lift")
		}
		if i > 0 && p.Duration <= d[i-1].Duration {
			return CardLobeSpec{}, fail("Durations", p.Duration.String()+" at "+p.Lift.String(), units.ErrConflict,
				"the duration at "+d[i-1].Lift.String()+" is "+d[i-1].Duration.String()+": it must shrink as the lift grows")
		}
	}
	spec.Durations = d
	return spec, nil
}

// skews are the skews of the family: the steepest point of the flank at 0.50,
// 0.59, 0.40 and 0.31 of it from the base circle. The plain laws come first: of
// those that fit equally well the first is used.
var skews = [...]float64{0, -0.3, 0.5, 1.2}

// fitMember bends one law to the card; durations are sorted by falling lift.
func fitMember(law Law, skew float64, spec CardLobeSpec) (cardMember, bool) {
	n := len(spec.Durations)
	x, w := make([]float64, n+1), make([]float64, n+1)
	w[0] = 1
	for i, p := range spec.Durations {
		x[i+1] = p.Duration.Degrees() / 4 // half the duration, in cam degrees
		g := law.inverse(float64(p.Lift) / float64(spec.MaxLift))
		w[i+1] = g / (1 + skew - skew*g)
	}
	m := cardMember{law: law, skew: skew, h: spec.MaxLift.Meters(), end: x[n], w: w[n]}
	if n == 1 {
		m.scale, _ = join(x, w, Straight)
		m.slope = (w[1] - w[0]) / x[1]
	} else {
		how := NaturalSpline
		var spline interp.NaturalCubic
		if spline.Fit(x, w) != nil || !falls(&spline, x) {
			how = Monotone
		}
		var err error
		if m.scale, err = join(x, w, how); err != nil {
			return cardMember{}, false
		}
		_, m.slope = m.scale.piece(n-1, x[n]-x[n-1])
	}
	m.base = m.end - m.w/m.slope
	if !(m.slope < 0 && m.base < 180) {
		return cardMember{}, false
	}
	for i := range n {
		straight := 1 - x[i+1]/m.base
		m.bend = max(m.bend, math.Abs(w[i+1]-straight))
	}
	return m, true
}

// falls reports whether a spline falls all the way, tried ten times a piece;
// the slope of a cubic piece is a parabola, so a rise that short is harmless.
func falls(f interp.DerivativePredictor, x []float64) bool {
	for i := range len(x) - 1 {
		for k := range 11 {
			if f.PredictDerivative(x[i]+(x[i+1]-x[i])*float64(k)/10) >= 0 {
				return false
			}
		}
	}
	return true
}

func (m *cardMember) eval(deg float64) (lift, slope float64) {
	sign := -1.0
	if deg < 0 {
		deg, sign = -deg, 1
	}
	var w, dw float64
	if deg > m.end {
		w, dw = m.w+m.slope*(deg-m.end), m.slope
		if w <= 0 {
			return 0, 0
		}
	} else {
		w, dw = m.scale.eval(deg)
	}
	if m.skew != 0 {
		d := 1 + m.skew*w
		w, dw = w*(1+m.skew)/d, dw*(1+m.skew)/(d*d)
	}
	s, v := m.law.sv(w)
	return m.h * s, -sign * m.h * v * dw
}

// lift is eval without the slope.
func (m *cardMember) lift(deg float64) float64 {
	deg = math.Abs(deg)
	var w float64
	if deg > m.end {
		if w = m.w + m.slope*(deg-m.end); w <= 0 {
			return 0
		}
	} else {
		w = m.scale.value(deg)
	}
	if m.skew != 0 {
		w *= (1 + m.skew) / (1 + m.skew*w)
	}
	return m.h * m.law.s(w)
}

func (c *CardLobe) eval(deg float64) (lift, slope float64) {
	if len(c.members) == 0 { // the zero CardLobe never lifts
		return 0, 0
	}
	return c.members[c.used].eval(deg)
}

// Lift returns the lift at a cam angle from the nose.
//
// Rows: fit-recover-a-lift.
func (c *CardLobe) Lift(fromNose units.CamAngle) units.Length {
	if len(c.members) == 0 {
		return 0
	}
	return length(c.members[c.used].lift(fromNose.Degrees()))
}

// Velocity returns the slope at a cam angle from the nose.
//
// Rows: fit-recover-a-vel.
func (c *CardLobe) Velocity(fromNose units.CamAngle) units.LiftVelocity {
	_, v := c.eval(fromNose.Degrees())
	return units.LiftVelocity(0 + v) // no minus zero at the nose
}

// MaxLift returns the lift at the nose.
func (c *CardLobe) MaxLift() units.Length { return c.spec.MaxLift }

// Span returns where the curve reaches the base circle on both sides.
func (c *CardLobe) Span() Span {
	if len(c.members) == 0 {
		return Span{}
	}
	b := camAngle(c.members[c.used].base)
	return Span{-b, b}
}

// Law returns the law whose scale had to be bent least.
//
// It is 0, no law, for the zero CardLobe.
func (c *CardLobe) Law() Law {
	if len(c.members) == 0 {
		return 0
	}
	return c.members[c.used].law
}

// Family returns how many curves pass through the same card.
func (c *CardLobe) Family() int { return len(c.members) }

// Spread answers how well the card fixes the lift at an angle: the standard
// uncertainty of a rectangular distribution whose half-width is how far any
// member of the family strays from the curve used, that over the square root
// of 3 (JCGM 100:2008 4.3.7).
//
// It is zero on the card's own points.
//
// Rows: fit-spread-at-card, fit-spread-one.
func (c *CardLobe) Spread(fromNose units.CamAngle) units.Length {
	return length(c.spread(func(m *cardMember) float64 {
		return m.lift(fromNose.Degrees())
	}))
}

// spread is that uncertainty for any figure f of a member.
func (c *CardLobe) spread(f func(*cardMember) float64) float64 {
	if len(c.members) == 0 {
		return 0
	}
	used, far := f(&c.members[c.used]), 0.0
	for k := range c.members {
		far = max(far, math.Abs(f(&c.members[k])-used))
	}
	return far / math.Sqrt(3)
}

// sameCard reports whether two lobes come from the same numbers, so that the
// unknown shape is common to both.
func (c *CardLobe) sameCard(d *CardLobe) bool {
	return c == d || c.spec.same(d.spec)
}

// same reports whether two specs are of the same numbers in the same order.
func (spec CardLobeSpec) same(d CardLobeSpec) bool {
	return spec.MaxLift == d.MaxLift && spec.Asymmetry == d.Asymmetry && slices.Equal(spec.Durations, d.Durations)
}
