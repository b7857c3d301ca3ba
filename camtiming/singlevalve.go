package camtiming

import (
	"math"

	"example.com/trialfit/units"
)

// SingleValve is one valve with its lobe and the place of the dial: the check
// by lift at top dead center of overlap, which needs no second lobe on the
// same shaft.
type SingleValve struct {
	Valve Valve
	Lobe  LiftCurve
	// AtValve is the gear behind which the dial stands at the valve; not given,
	// the dial stands on the lifter.
	AtValve units.Optional[ValveGear]
}

func (s SingleValve) check() error {
	if err := s.Valve.check(); err != nil {
		return err
	}
	if err := checkCurve("Lobe", s.Lobe); err != nil {
		return err
	}
	return checkPickup(s.AtValve)
}

// LiftAtTDC is how high one valve stands at top dead center of overlap.
type LiftAtTDC struct {
	Lifter units.Length // at the lifter
	Dial   units.Length // where the dial stands; 0 for a valve on its seat
	// PerCrankDegree is how much the dial shows more for one crank degree
	// of advance: positive for an intake, negative for an exhaust.
	PerCrankDegree units.Length
}

// At answers what the dial shows at top dead center of overlap with the nose
// of the lobe at a centerline (intake after, exhaust before):
//
//	lifter = L((0 - ICL)/2)     lifter = L((0 + ECL)/2)
//	at the valve: dial = max(lifter * Ratio - Lash, 0)
//
// with arguments in cam degrees from the nose. A centerline a turn or more
// away is ErrRange.
//
// Rows: cl-tdc-int-lift, cl-tdc-exh-lift, cl-tdc-slope, cl-tdc-slope-exh,
// cl-tdc-split-i, cl-tdc-split-e.
func (s SingleValve) At(centerline units.CrankAngle) (LiftAtTDC, error) {
	if err := s.check(); err != nil {
		return LiftAtTDC{}, err
	}
	if err := checkCenterline("centerline", centerline); err != nil {
		return LiftAtTDC{}, err
	}
	y, v := curveOf(s.Lobe).eval(-s.Valve.usual(centerline).Degrees() / 2)
	res := LiftAtTDC{Lifter: length(y)}
	v /= 2
	if g := s.AtValve.Value; s.AtValve.Given {
		y = y*g.Ratio - g.Lash.Meters()
		v *= g.Ratio
	}
	if y > 0 {
		res.Dial, res.PerCrankDegree = length(y), length(v)
	}
	return res, nil
}

// LiftAtTDCReading is the dial at top dead center of overlap, zeroed on the
// base circle (on the seat at the valve).
type LiftAtTDCReading struct {
	Lift units.Measured[units.Length]
	// TDC is the standard uncertainty of top dead center.
	TDC      units.CrankAngle
	Approach Approach
}

// Centerline answers where the nose of the lobe stands when the dial shows a
// lift at top dead center of overlap; the inverse of At:
//
//	lifter = (Lift + Lash)/Ratio at the valve
//	ICL = -(opening angle of the lobe at that lift).Crank(), ECL = (closing angle).Crank()
//	u^2 = (u_lift/slope)^2 + (u_lobe/slope)^2 + u_TDC^2
//
// A larger lift means an earlier intake or a later exhaust. It takes the nose
// after overlap TDC for an intake and before it for an exhaust, as in any usual
// cam. The lobe must be known: its error is read as one of timing, and for a lobe
// fitted to a card the spread of its family is u_lobe, for a smoothed one the
// uncertainty of its curve and, counted from its nose, of that nose. u_lobe/slope
// is UShape. The basis is the nose.
//
// A lift of 0 (a valve on its seat, its lifter anywhere within the lash) is
// ErrImpossible, and so is one that the lobe does not reach; a lift outside 1 m
// ErrRange.
//
// Rows: cl-tdc-int, cl-tdc-exh, cl-tdc-u, lift-at-tdc-a, lift-at-tdc-b.
func (s SingleValve) Centerline(r LiftAtTDCReading) (Centerline, error) {
	if err := s.check(); err != nil {
		return Centerline{}, err
	}
	if err := checkTDC(r.TDC); err != nil {
		return Centerline{}, err
	}
	if err := checkApproach(r.Approach); err != nil {
		return Centerline{}, err
	}
	switch {
	case r.Lift.Value < 0 || r.Lift.Value > units.Meter:
		return Centerline{}, fail("Lift", r.Lift.Value.String(), units.ErrRange, "want a lift of 0 to 1 m")
	case r.Lift.Stated && (r.Lift.U < 0 || r.Lift.U > units.Meter):
		return Centerline{}, fail("Lift.U", r.Lift.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 1 m")
	case r.Lift.Value == 0:
		return Centerline{}, fail("Lift", r.Lift.Value.String(), units.ErrImpossible, "the valve is closed at top dead center: its lift tells nothing of the timing")
	}
	y := length(liftOf(s.AtValve, r.Lift.Value))
	if y >= s.Lobe.MaxLift() {
		return Centerline{}, fail("Lift", r.Lift.Value.String(), units.ErrImpossible, "the lobe lifts no more than "+s.Lobe.MaxLift().String()+" at the lifter")
	}
	o, err := OpeningAt(s.Lobe, y)
	if err != nil {
		return Centerline{}, fail("Lift", r.Lift.Value.String(), units.ErrImpossible, "the lobe does not pass that lift on both sides")
	}
	at := o.Opens
	if s.Valve == ExhaustValve {
		at = o.Closes
	}
	c := Centerline{
		Valve: s.Valve, Basis: BasisNose, Method: ByLiftAtTDC, Approach: r.Approach,
		Angle: units.Measured[units.CrankAngle]{Value: -s.Valve.usual(at.Crank())},
	}
	c.steps = func() units.Working {
		name, flank := "ICL", "opening"
		if s.Valve == ExhaustValve {
			name, flank = "ECL", "closing"
		}
		return units.Working{
			{Symbol: "lifter", Formula: "lift at the lifter", Numbers: inches(r.Lift.Value) + " where the dial stands", Value: inches(y), Source: asRead},
			{Symbol: name, Formula: flank + " flank of the lobe at that lift", Numbers: at.Text(2) + " from the nose", Value: at.Crank().Abs().Text(2), Source: sourceLobe},
		}
	}
	if r.Lift.Stated {
		_, slope := curveOf(s.Lobe).eval(at.Degrees())
		slope = math.Abs(slope) / 2 // per crank degree
		inAngle := func(u float64) float64 {
			if u == 0 {
				return 0
			}
			return u / slope
		}
		u, shape := inAngle(dropOf(s.AtValve, r.Lift.U)), inAngle(math.Sqrt(liftVariance(s.Lobe, at.Degrees())))
		if !(math.Hypot(u, shape) < 360) {
			return Centerline{}, fail("Lift", r.Lift.Value.String(), units.ErrImpossible, "the lobe is so flat there that its lift finds no angle")
		}
		c.setU(crankAngle(u), r.TDC, crankAngle(shape))
	}
	return c, nil
}
