package camtiming

import (
	"math"

	"example.com/trialfit/units"
)

// ProofKind is what shows that a lifter of the cylinder is off the base
// circle, that is, that the crank stands at overlap and not one turn away at
// firing TDC, where every cam reads level.
type ProofKind uint8

// Kinds of proof.
const (
	NoProof        ProofKind = iota // none: Split refuses the reading
	RiseMeasured                    // an indicator saw a lifter rise from its base circle; Rise says how far
	MovesWithCrank                  // a lifter moves when the crank is rocked a few degrees either way
)

// String describes the proof.
func (k ProofKind) String() string {
	switch k {
	case RiseMeasured:
		return "rise from the base circle measured"
	case MovesWithCrank:
		return "lifter moves as the crank is rocked"
	default:
		return "no proof"
	}
}

// Proof shows that a lifter is up. A reading that changed from one top dead
// center to the other is no proof: it does not say which of the two was
// overlap, and the wrong choice turns the sign.
type Proof struct {
	Kind ProofKind
	Rise units.Length // with RiseMeasured: over 0
}

// Approach is the direction in which the crank came to the position.
type Approach uint8

// Directions of approach. Normal rotation is the only one that keeps the
// drive's slack where it is in the running engine.
const (
	ApproachUnknown Approach = iota
	ApproachNormal           // in normal rotation
	ApproachReverse          // backward
)

// String names the direction.
func (a Approach) String() string {
	switch a {
	case ApproachNormal:
		return "normal rotation"
	case ApproachReverse:
		return "reverse rotation"
	default:
		return "direction not recorded"
	}
}

// SplitReading is the height difference of the two lifters of one cylinder at
// top dead center of overlap, as straightedge and feeler or two depth readings give it.
type SplitReading struct {
	// Difference is intake minus exhaust: positive when the intake lifter
	// stands higher.
	Difference units.Measured[units.Length]
	// Zero is the same reading at firing TDC, where both lifters are on the
	// base circle; it removes what the lifters differ in height. Optional.
	Zero units.Optional[units.Measured[units.Length]]
	// Mismatch is the standard uncertainty of the lifters' own height
	// difference, used when no Zero was taken. Zero value: not stated, and
	// without a Zero the advance then has no stated uncertainty.
	Mismatch units.Length
	// TDC is the standard uncertainty of top dead center, in crank degrees.
	TDC units.CrankAngle
	// Proof shows that a lifter is up.
	Proof Proof
	// Approach is recorded and reported, and used by Diagnose.
	Approach Approach
}

// net returns the difference with the zero taken off and its standard
// uncertainty.
func (r SplitReading) net() (units.Measured[units.Length], error) {
	var none units.Measured[units.Length]
	u2 := 0.0
	n := r.Difference.Value
	for _, m := range [...]struct {
		name  string
		m     units.Measured[units.Length]
		given bool
	}{{"Difference", r.Difference, true}, {"Zero", r.Zero.Value, r.Zero.Given}} {
		if !m.given {
			continue
		}
		if !within(m.m.Value, units.Meter) {
			return none, fail(m.name, m.m.Value.String(), units.ErrRange, "want a reading within 1 m")
		}
		if !m.m.Stated && m.m.U != 0 {
			return none, fail(m.name+".U", m.m.U.String(), units.ErrConflict, "an uncertainty is given but not marked as stated")
		}
		if m.m.Stated && (m.m.U < 0 || m.m.U > units.Meter) {
			return none, fail(m.name+".U", m.m.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 1 m")
		}
		u2 += float64(m.m.U) * float64(m.m.U)
	}
	if r.Mismatch < 0 || r.Mismatch > units.Meter {
		return none, fail("Mismatch", r.Mismatch.String(), units.ErrRange, "want a standard uncertainty of 0 to 1 m")
	}
	if r.TDC < 0 || r.TDC > 90*units.CrankDegree {
		return none, fail("TDC", r.TDC.String(), units.ErrRange, "want a standard uncertainty of 0 to 90 crank degrees")
	}
	stated := r.Difference.Stated
	if r.Zero.Given {
		n -= r.Zero.Value.Value
		stated = stated && r.Zero.Value.Stated
	} else {
		u2 += float64(r.Mismatch) * float64(r.Mismatch)
	}
	m := units.Measured[units.Length]{Value: n, Stated: stated}
	if stated {
		m.U = units.Length(math.RoundToEven(math.Sqrt(u2)))
	}
	switch p := r.Proof; p.Kind {
	case RiseMeasured:
		if p.Rise <= 0 || p.Rise > units.Meter {
			return none, fail("Proof.Rise", p.Rise.String(), units.ErrRange, "want a rise over 0 and at most 1 m")
		}
	case NoProof, MovesWithCrank:
	default:
		return none, fail("Proof.Kind", "", units.ErrRange, "want one of the ProofKind constants")
	}
	if r.Approach > ApproachReverse {
		return none, fail("Approach", "", units.ErrRange, "want one of the Approach constants")
	}
	return m, nil
}

// Expected are the readings to expect of this cam, to hold beside the
// measured one.
type Expected struct {
	AtGround     units.Length // with the card's own ground advance
	AtStraightUp units.Length // with ICL = ECL
	// Level is the advance at which the lifters are level; undetermined over
	// the whole reach where the lobes are so unequal that none is.
	Level Inversion
}

// RuleOfThumb is the trade's rule beside the computed figure: 0.006 in of
// height difference for 2 crank degrees of advance. It implies a lobe slope
// of 0.003 in per cam degree at half the lobe separation: near that of a 0.350
// in lobe of 260 degrees from base circle to base circle, half that of many
// with 220 degrees or more at 0.050 in. It never decides anything here.
type RuleOfThumb struct {
	Advance units.CrankAngle
	Source  units.Source
}

// ruleSlope is 0.003 in per crank degree of advance.
const ruleSlope = 3 * units.Thou

// ThumbAdvance returns what the rule of thumb makes of a difference: advance
// = difference / (0.003 in per crank degree). Common practice, no source; the
// rows thumb-006 and thumb-012 repeat the trade's figures.
func ThumbAdvance(difference units.Length) (RuleOfThumb, error) {
	if !within(difference, units.Meter) {
		return RuleOfThumb{}, fail("difference", difference.String(), units.ErrRange, "want a difference within 1 m")
	}
	return thumb(difference), nil
}

func thumb(difference units.Length) RuleOfThumb {
	return RuleOfThumb{
		Advance: crankAngle(float64(difference) / float64(ruleSlope)),
		Source:  units.Source{Text: "rule of thumb, 0.006 in for 2 crank degrees; equal symmetric lobes only", Provenance: units.CommonPractice},
	}
}

// SplitResult is the installed advance from a split-overlap reading.
type SplitResult struct {
	// Advance is the installed advance with its standard uncertainty, over
	// straight up. It means nothing where Undetermined is set, and has no
	// stated uncertainty there.
	Advance units.Measured[units.CrankAngle]
	// FromGround is the advance over the card's own ground advance: 0 when
	// the cam is installed as the card says. It shares the uncertainty.
	FromGround units.CrankAngle
	// Low and High bound the advance with two standard uncertainties on each
	// side, from the curve itself and not from its slope. Where the reading's
	// own uncertainty was not stated they hold top dead center and the shape
	// of the lobes alone.
	Low, High units.CrankAngle
	// Undetermined is set where within the uncertainty both lifters may be on
	// the base circle: only Low to High is known.
	Undetermined bool
	// Net is the reading with the zero taken off.
	Net units.Measured[units.Length]
	// Proof is what shows that a lifter is up.
	Proof Proof
	// At holds the computed heights at that advance and the slope used.
	At Heights
	// UGauge, UTDC and UShape are the parts of the standard uncertainty that
	// come from the reading, from top dead center and from lobes known only
	// by a card or by readings that scatter (SmoothLobe). None exceeds the lobe separation: where the slope runs out,
	// near the ends of the reach, only Low and High mean anything.
	UGauge, UTDC, UShape units.CrankAngle
	Expected             Expected
	Reach                Reach
	Rule                 RuleOfThumb

	reading SplitReading
	spec    CamSpec
}

// Split answers how far the cam is advanced from the height difference of the
// two lifters of one cylinder at top dead center of overlap: it inverts
//
//	difference = L_i((advance - separation)/2) - L_e((advance + separation)/2)
//
// for the reading less the one at firing TDC. Uncertainty (JCGM 100:2008 5.1.2):
//
//	u^2 = (u_reading/slope)^2 + u_TDC^2 + (u_shape/slope)^2
//
// and the bounds Low and High invert the reading shifted by two standard
// uncertainties, so they stay right where the curve bends.
//
// Without a Zero and without a Mismatch the lifters' own heights are unknown:
// the advance then comes without a stated uncertainty.
//
// Valid for advances within the lobe separation. Errors: no proof that a
// lifter is up (ErrMissing: firing TDC reads level on any cam), a difference
// that no advance of this cam gives (ErrImpossible), values out of range.
//
// Rows: inv-m2, inv-0, inv-p2, inv-p4, split-u, split-u-gauge, smooth-split-advance,
// smooth-split-u-one, smooth-split-u-two.
func (c *Cam) Split(r SplitReading) (SplitResult, error) {
	net, err := r.net()
	if err != nil {
		return SplitResult{}, err
	}
	if r.Proof.Kind == NoProof {
		return SplitResult{}, fail("Proof", "", units.ErrMissing,
			"want proof that a lifter is up: at firing TDC every cam reads level; measure a rise or rock the crank and watch a lifter move")
	}
	ud := net.U.Meters()
	if !r.Zero.Given && r.Mismatch == 0 { // lifters of unknown height leave the uncertainty unknown
		net = units.Unstated(net.Value)
	}
	inv, err := c.Advance(net.Value)
	if err != nil {
		return SplitResult{}, err
	}
	adv := inv.Advance.Degrees()
	res := SplitResult{
		Advance: units.Measured[units.CrankAngle]{Value: inv.Advance, Stated: net.Stated},
		Net:     net, Proof: r.Proof, At: c.At(inv.Advance),
		Low: inv.Low, High: inv.High, Undetermined: inv.Undetermined,
		FromGround: inv.Advance - c.spec.GroundAdvance,
		Reach:      c.Reach(), Rule: thumb(net.Value),
		reading: r, spec: c.spec,
	}
	res.Expected.AtGround = c.At(c.spec.GroundAdvance).Difference
	res.Expected.AtStraightUp = c.At(0).Difference
	if res.Expected.Level, err = c.Level(); err != nil {
		// Lobes so unequal that no advance within reach levels them.
		res.Expected.Level = Inversion{Undetermined: true, Low: res.Reach.Lowest, High: res.Reach.Highest}
	}
	shape := c.shapeSpread(adv)
	both := 2 * math.Hypot(ud, shape)
	tdc := 2 * r.TDC.Degrees()
	lo := c.bound(net.Value.Meters()-both, -1)
	hi := c.bound(net.Value.Meters()+both, +1)
	mid := adv
	if inv.Undetermined {
		res.Advance.Stated, res.UTDC = false, r.TDC
		res.Low = crankAngle(lo - tdc)
		res.High = crankAngle(hi + tdc)
		return res, nil
	}
	res.Low = crankAngle(mid - math.Hypot(mid-lo, tdc))
	res.High = crankAngle(mid + math.Hypot(hi-mid, tdc))
	res.Undetermined = c.deadLow < c.deadHigh && math.Abs(net.Value.Meters()) <= both
	_, slope := c.difference(adv)
	res.UGauge = c.inAdvance(ud, slope)
	res.UShape = c.inAdvance(shape, slope)
	res.UTDC = r.TDC
	if res.Undetermined {
		res.Advance.Stated = false
		return res, nil
	}
	if net.Stated {
		res.Advance.U = units.CrankAngle(math.RoundToEven(math.Sqrt(
			float64(res.UGauge)*float64(res.UGauge) + float64(res.UShape)*float64(res.UShape) + float64(r.TDC)*float64(r.TDC))))
	}
	return res, nil
}

// inAdvance turns an uncertainty of the difference, in meters, into one of the
// advance; at most the separation, where the slope runs out.
func (c *Cam) inAdvance(u, slope float64) units.CrankAngle {
	if u == 0 {
		return 0
	}
	most := 2 * c.half
	if !(slope*most > u) {
		return crankAngle(most)
	}
	return crankAngle(u / slope)
}

// bound inverts a reading shifted to one side, staying within the reach; both
// lifters down bound it by the end of that interval.
func (c *Cam) bound(d float64, side float64) float64 {
	a, status := c.invert(d)
	switch {
	case status == beyond:
		return side * 2 * c.half
	case status == dead && side < 0:
		return c.deadLow
	case status == dead:
		return c.deadHigh
	default:
		return a
	}
}

// Working shows the derivation.
func (s SplitResult) Working() units.Working {
	def := units.Source{Text: "lift curves of the two lobes, inverted", Provenance: units.Computed}
	gum := units.Source{Text: "JCGM 100:2008, 5.1.2", Provenance: units.Verified}
	stated := units.Source{Text: "as read", Provenance: units.Stated}
	num := func(l units.Length) string { return l.Text(units.Inches, 4) }
	in := func(l units.Length) string { return num(l) + " (" + l.Text(units.Millimeters, 3) + ")" }
	deg := func(a units.CrankAngle) string { return a.Text(2) }
	w := units.Working{{Symbol: "d", Formula: "intake - exhaust at overlap TDC", Numbers: num(s.reading.Difference.Value), Value: in(s.reading.Difference.Value), Source: stated}}
	if s.reading.Zero.Given {
		w = append(w,
			units.Step{Symbol: "d0", Formula: "intake - exhaust at firing TDC", Numbers: num(s.reading.Zero.Value.Value), Value: in(s.reading.Zero.Value.Value), Source: stated},
			units.Step{Symbol: "D", Formula: "d - d0", Numbers: num(s.reading.Difference.Value) + " - " + num(s.reading.Zero.Value.Value), Value: in(s.Net.Value), Source: def})
	}
	numbers := "sep = " + s.spec.Separation.Text(1) + ", D = " + in(s.Net.Value)
	if s.Undetermined {
		return append(w, units.Step{Symbol: "range", Formula: "both lifters may be on the base circle: only a range is known", Numbers: numbers, Value: deg(s.Low) + " to " + deg(s.High), Source: def})
	}
	w = append(w,
		units.Step{Symbol: "advance", Formula: "solve L_i((advance - sep)/2) - L_e((advance + sep)/2) = D", Numbers: numbers, Value: deg(s.Advance.Value), Source: def},
		units.Step{Symbol: "slope", Formula: "(L_i' - L_e')/2 there", Numbers: "intake lift " + num(s.At.Intake) + ", exhaust lift " + num(s.At.Exhaust), Value: s.At.PerCrankDegree.Text(units.Inches, 5) + " per crank deg", Source: def},
		units.Step{Symbol: "from card", Formula: "advance - ground advance", Numbers: deg(s.Advance.Value) + " - " + deg(s.spec.GroundAdvance), Value: deg(s.FromGround), Source: def},
		units.Step{Symbol: "rule", Formula: "D / 0.003 in per crank deg", Numbers: num(s.Net.Value), Value: deg(s.Rule.Advance), Source: s.Rule.Source})
	if s.Advance.Stated {
		w = append(w, units.Step{
			Symbol: "u", Formula: "sqrt((u_D/slope)^2 + u_TDC^2 + (u_shape/slope)^2)",
			Numbers: "u_D = " + s.Net.U.Text(units.Inches, 5) + ", " + deg(s.UGauge) + ", " + deg(s.UTDC) + ", " + deg(s.UShape), Value: deg(s.Advance.U), Source: gum,
		})
	}
	return w
}
