package camtiming

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/trialfit/units"
)

// Valve says which lobe of a cylinder is meant.
type Valve uint8

// The two valves.
const (
	IntakeValve Valve = iota + 1
	ExhaustValve
)

// String names the valve.
func (v Valve) String() string {
	switch v {
	case IntakeValve:
		return "intake"
	case ExhaustValve:
		return "exhaust"
	default:
		return "unknown valve"
	}
}

func (v Valve) check() error {
	if v != IntakeValve && v != ExhaustValve {
		return fail("Valve", "", units.ErrMissing, "want IntakeValve or ExhaustValve")
	}
	return nil
}

// usual turns an angle after overlap TDC into the sense of a centerline, and
// back: after TDC for an intake, before it for an exhaust.
func (v Valve) usual(a units.CrankAngle) units.CrankAngle {
	if v == ExhaustValve {
		return -a
	}
	return a
}

// pickup is where a dial stands: at the valve, behind the gear that is given,
// or on the lifter. Drops from the nose do not see the lash.
type pickup = units.Optional[ValveGear]

func checkPickup(p pickup) error {
	if !p.Given {
		if p.Value != (ValveGear{}) {
			return fail("AtValve", "", units.ErrConflict, "a ratio or lash stands there but is not marked as given: use units.Some, or leave it out for a dial on the lifter")
		}
		return nil
	}
	return inField("AtValve", p.Value.check())
}

// dropOf and liftOf return in meters at the lifter what the dial shows.
func dropOf(p pickup, l units.Length) float64 {
	if p.Given {
		return l.Meters() / p.Value.Ratio
	}
	return l.Meters()
}

func liftOf(p pickup, l units.Length) float64 { return dropOf(p, l+p.Value.Lash) }

// CenterlineMethod is how a centerline was found.
type CenterlineMethod uint8

// Ways to find a centerline.
const (
	ByEqualLift   CenterlineMethod = iota + 1 // equal lifts before and after the nose
	ByEvents                                  // opening and closing at a checking lift
	ByNoseCurve                               // peak of a curve fitted around the nose
	ByLiftAtTDC                               // lift of the one valve at overlap TDC
	ByCombination                             // weighted mean of several
)

// String names the method.
func (m CenterlineMethod) String() string {
	switch m {
	case ByEqualLift:
		return "equal lifts"
	case ByEvents:
		return "events"
	case ByNoseCurve:
		return "peak of a fitted curve"
	case ByLiftAtTDC:
		return "lift at TDC"
	case ByCombination:
		return "weighted mean"
	default:
		return "unknown method"
	}
}

// Centerline is a measured centerline with what it is the middle of. Two of
// unlike basis are not compared; AtNose brings midpoints to the nose.
type Centerline struct {
	Valve Valve
	// Angle is after overlap TDC for an intake, before it for an exhaust. Its
	// uncertainty holds the parts below.
	Angle units.Measured[units.CrankAngle]
	// UReading is the part of the readings; UTDC that of top dead center, which
	// is common to everything read off one wheel; UShape that of the lobe by
	// which the nose was found, known by a card or by readings that scatter
	// (AtNose, SingleValve), common to everything found by that lobe.
	UReading, UTDC, UShape units.CrankAngle
	Basis                  Basis
	// Lift over the base circle and Drop from the nose say, at the lifter,
	// where a midpoint was taken; either may be unknown.
	Lift, Drop units.Optional[units.Length]
	Method     CenterlineMethod
	Approach   Approach

	steps func() units.Working
}

// Working shows how the centerline came about and what its uncertainty is
// made of; EqualLiftResult, NosePeak and CombinedCenterline show more of theirs.
func (c Centerline) Working() units.Working {
	var w units.Working
	if c.steps != nil {
		w = c.steps()
	} else {
		w = units.Working{{Symbol: "c", Formula: c.Method.String(), Numbers: c.Basis.String(), Value: c.Angle.Value.Text(2), Source: sourceMid}}
	}
	if !c.Angle.Stated {
		return w
	}
	u := units.Step{Symbol: "u", Formula: "sqrt(u_reading^2 + u_TDC^2)", Numbers: c.UReading.Text(3) + ", " + c.UTDC.Text(3), Value: c.Angle.U.Text(3), Source: sourceMid}
	if c.UShape != 0 {
		u.Formula, u.Numbers = "sqrt(u_reading^2 + u_TDC^2 + u_shape^2)", u.Numbers+", "+c.UShape.Text(3)
	}
	return append(w, u)
}

// String returns angle, basis and lift.
func (c Centerline) String() string {
	s := c.Valve.String() + " " + c.Angle.Value.Text(2)
	if c.Angle.Stated {
		s += " (u = " + c.Angle.U.Text(2) + ")"
	}
	s += ", " + c.Basis.String()
	switch {
	case c.Lift.Given:
		s += " at " + c.Lift.Value.Text(units.Inches, 4)
	case c.Drop.Given:
		s += " at " + c.Drop.Value.Text(units.Inches, 4) + " below the nose"
	}
	return s
}

// setU states the uncertainty.
func (c *Centerline) setU(reading, tdc, shape units.CrankAngle) {
	c.UReading, c.UTDC, c.UShape = reading, tdc, shape
	c.Angle.Stated = true
	c.Angle.U = units.CrankAngle(math.RoundToEven(math.Hypot(math.Hypot(float64(reading), float64(tdc)), float64(shape))))
}

// checkMeasured refuses a wheel reading that no wheel shows.
func checkWheel(field string, m units.Measured[units.CrankAngle]) error {
	if !within(m.Value, units.CrankTurn) {
		return fail(field, m.Value.String(), units.ErrRange, "want a wheel reading within one turn of overlap TDC")
	}
	if m.Stated && (m.U < 0 || m.U > 90*units.CrankDegree) {
		return fail(field+".U", m.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 90 crank degrees")
	}
	return nil
}

func checkTDC(tdc units.CrankAngle) error {
	if tdc < 0 || tdc > 90*units.CrankDegree {
		return fail("TDC", tdc.String(), units.ErrRange, "want a standard uncertainty of 0 to 90 crank degrees")
	}
	return nil
}

func checkApproach(a Approach) error {
	if a > ApproachReverse {
		return fail("Approach", "", units.ErrRange, "want one of the Approach constants")
	}
	return nil
}

// AtNose answers where the nose lies when a midpoint at one lift was
// measured on a lobe of known shape:
//
//	ICL(nose) = ICL(midpoint) - M.Crank()     ECL(nose) = ECL(midpoint) + M.Crank()
//
// with M = OpeningAt(lobe, lift).Midpoint in cam degrees. The lift is that of
// the centerline at the lifter, or the lobe's lift less the drop. The possible
// asymmetry of a lobe known only by a card enters the uncertainty as UShape, and so
// do, of a smoothed one, both flanks and the nose that it is counted from. A centerline of
// the nose is returned as it is; a mean over several lifts, a card's figure
// and one without lift or drop are ErrMissing; a lift that the lobe does not reach
// is ErrRange.
//
// Rows: cl-atnose-int, cl-atnose-exh, cl-atnose-drop.
func (c Centerline) AtNose(lobe LiftCurve) (Centerline, error) {
	if err := c.Valve.check(); err != nil {
		return Centerline{}, err
	}
	if c.Basis == BasisNose {
		return c, nil
	}
	if err := checkCurve("lobe", lobe); err != nil {
		return Centerline{}, err
	}
	var lift units.Length
	switch {
	case c.Basis != BasisMidpoint && c.Basis != BasisEvents:
		return Centerline{}, fail("Basis", c.Basis.String(), units.ErrMissing, "want a midpoint at one known lift")
	case c.Lift.Given:
		lift = c.Lift.Value
	case c.Drop.Given:
		if c.Drop.Value <= 0 || c.Drop.Value >= lobe.MaxLift() {
			return Centerline{}, fail("Drop", c.Drop.Value.String(), units.ErrRange, "want a drop over 0 and under the lobe lift")
		}
		lift = lobe.MaxLift() - c.Drop.Value
	default:
		return Centerline{}, fail("Lift", "", units.ErrMissing, "want the lift or the drop at which the midpoint was taken")
	}
	o, err := OpeningAt(lobe, lift)
	if err != nil {
		return Centerline{}, fail("Lift", lift.String(), units.ErrRange, "want a lift that the lobe passes on both sides, under "+lobe.MaxLift().String())
	}
	if !within(c.Angle.Value, units.CrankCycle) {
		return Centerline{}, fail("Angle", c.Angle.Value.String(), units.ErrRange, "want a centerline within a cycle")
	}
	from := c
	c.Angle.Value -= c.Valve.usual(o.Midpoint.Crank())
	nose := c.Angle.Value
	c.steps = func() units.Working {
		sign := " - "
		if from.Valve == ExhaustValve {
			sign = " + "
		}
		return append(from.Working(),
			units.Step{Symbol: "M", Formula: "midpoint of the lobe from its nose", Numbers: "at " + inches(lift), Value: o.Midpoint.Crank().Text(2), Source: sourceLobe},
			units.Step{Symbol: "nose", Formula: "midpoint" + sign + "M", Numbers: from.Angle.Value.Text(2) + sign + o.Midpoint.Crank().Text(2), Value: nose.Text(2), Source: sourceMid})
	}
	if u := midpointU(lobe, o); u > 0 && c.Angle.Stated {
		c.setU(c.UReading, c.UTDC, crankAngle(min(360, math.Hypot(c.UShape.Degrees(), u))))
	}
	c.Basis = BasisNose
	c.Lift, c.Drop = units.Optional[units.Length]{}, units.Optional[units.Length]{}
	return c, nil
}

// midpointU is how well a lobe itself knows its midpoint at a lift from its nose,
// in crank degrees.
func midpointU(lobe LiftCurve, o Opening) float64 {
	switch k := lobe.(type) {
	case *CardLobe:
		return k.spec.Asymmetry.Crank().Degrees()
	case *SmoothLobe:
		u2 := squared(2 * k.spreadOfOrigin())
		for _, x := range [...]float64{o.Opens.Degrees(), o.Closes.Degrees()} {
			if _, v := k.eval(x); v != 0 {
				u2 += squared(k.liftU(x) / v)
			}
		}
		return math.Sqrt(u2)
	case *RingLobe:
		n := units.CamAngle(k.spec.Ring.Lobes)
		return k.lobes * midpointU(k.spec.Lobe, Opening{Opens: o.Opens / n, Closes: o.Closes / n})
	case *RampLobe:
		return midpointU(k.spec.Lobe, o)
	default:
		return 0
	}
}

// peakU is how well a lobe itself knows its greatest lift, in meters: ramps of
// exact height and a ring do not change it.
func peakU(lobe LiftCurve) float64 {
	switch k := lobe.(type) {
	case *SmoothLobe:
		return k.fit.Peak.U.Meters()
	case *RingLobe:
		return peakU(k.spec.Lobe)
	case *RampLobe:
		return peakU(k.spec.Lobe)
	default:
		return 0
	}
}

// AdvanceFrom answers how far the cam is advanced when one centerline of the
// nose was measured:
//
//	advance = separation - ICL     advance = ECL - separation
//
// as bare numbers of crank degrees for the centerlines and cam degrees for
// the separation. Any basis but the nose is ErrConflict: use Centerline.AtNose.
//
// Rows: cl-advance-int, cl-advance-exh.
func (c *Cam) AdvanceFrom(m Centerline) (units.Measured[units.CrankAngle], error) {
	none := units.Measured[units.CrankAngle]{}
	if err := m.Valve.check(); err != nil {
		return none, err
	}
	if m.Basis != BasisNose {
		return none, fail("Basis", m.Basis.String(), units.ErrConflict, "want a centerline of the nose; AtNose converts a midpoint")
	}
	if !within(m.Angle.Value, units.CrankTurn) {
		return none, fail("Angle", m.Angle.Value.String(), units.ErrRange, "want a centerline within one turn of overlap TDC")
	}
	m.Angle.Value = m.Valve.usual(c.spec.Separation.Crank()/2 - m.Angle.Value)
	return m.Angle, nil
}

// Agreement tells whether figures that should be one are one within their
// uncertainty: the sum of (residual/u)^2 with its degrees of freedom and the
// probability of as much or more by chance (statistics).
type Agreement struct {
	Tested    bool // uncertainties stated and a degree of freedom left
	ChiSquare float64
	Freedom   int
	PValue    float64
	Agrees    bool // PValue of 0.05 or more
}

func agreement(chi2 float64, freedom int) Agreement {
	if freedom < 1 {
		return Agreement{PValue: 1}
	}
	p := distuv.ChiSquared{K: float64(freedom)}.Survival(chi2)
	return Agreement{Tested: true, ChiSquare: chi2, Freedom: freedom, PValue: p, Agrees: p >= 0.05}
}

// widening is the ratio by which a standard uncertainty grows where the
// figures disagree at 95 %: sqrt(chi-square/freedom), else 1.
func (a Agreement) widening() float64 {
	if !a.Tested || a.Agrees {
		return 1
	}
	return math.Max(1, math.Sqrt(a.ChiSquare/float64(a.Freedom)))
}

// bound95 is how many stated uncertainties prove a difference from zero at 95 %:
// by them and, whatever the figures scatter, by Student's t. With errors k times
// as large as stated a difference that is not there passes the second bound, k t
// times a scatter, in 5 % of cases, whatever k.
func (a Agreement) bound95() float64 {
	if !a.Tested {
		return normal95
	}
	f := float64(a.Freedom)
	return math.Max(normal95, math.Sqrt(a.ChiSquare/f)*distuv.StudentsT{Mu: 0, Sigma: 1, Nu: f}.Quantile(0.975))
}

func (a Agreement) step() units.Step {
	s := units.Step{Symbol: "chi2", Formula: "sum (residual/u)^2", Numbers: strconv.Itoa(a.Freedom) + " degrees of freedom", Source: sourceBirge}
	s.Value = strconv.FormatFloat(a.ChiSquare, 'g', 4, 64) + ", p = " + strconv.FormatFloat(a.PValue, 'g', 3, 64)
	if !a.Tested {
		s.Value = "not tested"
	}
	return s
}

// The text behind weighted means and their widening.
var (
	sourceBirge = units.Source{Text: "R. T. Birge, Physical Review 40 (1932) 207: weighted mean, internal and external consistency", Provenance: units.Memory}
	sourceLobe  = units.Source{Text: "lift curve of the lobe, inverted", Provenance: units.Computed}
	sourceMid   = units.Source{Text: "midpoint of two wheel readings; JCGM 100:2008, 5.1.2", Provenance: units.Computed}
)

// EstimateFit is one estimate beside the combination.
type EstimateFit struct {
	Centerline Centerline
	Residual   units.CrankAngle // estimate minus combination
	// Normalized is the residual over its own standard uncertainty, sqrt(u^2 -
	// u_mean^2), a statistic; 0 where the estimate alone makes the mean.
	Normalized float64
}

// CombinedCenterline is the weighted mean of several estimates.
type CombinedCenterline struct {
	Centerline Centerline
	Agreement  Agreement
	// Internal is the standard uncertainty of the mean by the stated
	// uncertainties, External by the scatter seen; both without top dead
	// center and the shape of the lobe. The centerline carries External where the estimates disagree at
	// 95 % and it is the larger, else Internal.
	Internal, External units.CrankAngle
	Estimates          []EstimateFit
}

// CombineCenterlines answers what several centerlines of one lobe and one
// basis say together, each weighted by the uncertainty of its readings:
//
//	w = 1/(u_reading^2 + u_shape^2)     mean = sum w c / sum w
//	u_internal = sqrt(sum w^2 u_reading^2)/sum w, without shapes 1/sqrt(sum w)
//	chi-square = sum w (c - mean)^2, n - 1 degrees of freedom
//	u_external = u_internal sqrt(chi-square/(n - 1))
//	u^2 = u_mean^2 + u_TDC^2 + u_shape^2     u_shape = sum w UShape / sum w
//
// Top dead center is taken as common to all (the largest UTDC): it does not
// average out and chi-square does not see it. So is the shape of the lobe by which
// the noses were found, which is of one lobe: it counts in the weights and
// does not average out either. Needs two estimates or more with
// stated uncertainty of the readings over 0 (ErrMissing). Valves or bases that
// differ, midpoints at different or unknown lifts and means over several lifts
// are ErrConflict: bring midpoints to the nose with Centerline.AtNose first.
//
// Source: Birge, Physical Review 40 (1932) 207.
//
// Rows: cl-comb-mean, cl-comb-u, cl-comb-chi2, cl-comb-p, cl-comb-u-disagree,
// cl-gum-442-mean, cl-gum-442-smean, cl-comb-shape-mean, cl-comb-shape-u.
func CombineCenterlines(estimates []Centerline) (CombinedCenterline, error) {
	n := len(estimates)
	if n < 2 {
		return CombinedCenterline{}, fail("estimates", strconv.Itoa(n), units.ErrMissing, "want two centerlines or more")
	}
	first := estimates[0]
	var sw, swc, reading, shape float64
	var tdc units.CrankAngle
	for i, c := range estimates {
		field := "estimates[" + strconv.Itoa(i) + "]"
		if err := c.Valve.check(); err != nil {
			return CombinedCenterline{}, inField(field, err)
		}
		switch {
		case c.Basis == 0:
			return CombinedCenterline{}, fail(field+".Basis", "", units.ErrMissing, "want what the centerline is the middle of")
		case c.Valve != first.Valve:
			return CombinedCenterline{}, fail(field+".Valve", c.Valve.String(), units.ErrConflict, "the first is of the "+first.Valve.String())
		case !sameBasis(first, c):
			return CombinedCenterline{}, fail(field+".Basis", c.String(), units.ErrConflict, "the first is "+first.String()+": bring both to the nose with AtNose")
		case !within(c.Angle.Value, units.CrankTurn):
			return CombinedCenterline{}, fail(field+".Angle", c.Angle.Value.String(), units.ErrRange, "want a centerline within one turn of overlap TDC")
		case !c.Angle.Stated || c.UReading <= 0:
			return CombinedCenterline{}, fail(field+".UReading", c.UReading.String(), units.ErrMissing, "want the standard uncertainty of the readings, over 0")
		case c.UReading > units.CrankTurn:
			return CombinedCenterline{}, fail(field+".UReading", c.UReading.String(), units.ErrRange, "want at most a turn")
		case c.UTDC < 0 || c.UTDC > units.CrankTurn:
			return CombinedCenterline{}, fail(field+".UTDC", c.UTDC.String(), units.ErrRange, "want 0 to a turn")
		case c.UShape < 0 || c.UShape > units.CrankTurn:
			return CombinedCenterline{}, fail(field+".UShape", c.UShape.String(), units.ErrRange, "want 0 to a turn")
		}
		w := 1 / (squared(c.UReading.Degrees()) + squared(c.UShape.Degrees()))
		reading += squared(w * c.UReading.Degrees())
		shape += w * c.UShape.Degrees()
		sw += w
		swc += w * (c.Angle.Value - first.Angle.Value).Degrees()
		tdc = max(tdc, c.UTDC)
	}
	mean := first.Angle.Value + crankAngle(swc/sw)
	internal := math.Sqrt(reading) / sw
	res := CombinedCenterline{Internal: crankAngle(internal)}
	var chi2 float64
	approach := first.Approach
	for _, c := range estimates {
		u := math.Hypot(c.UReading.Degrees(), c.UShape.Degrees())
		r := (c.Angle.Value - first.Angle.Value).Degrees() - swc/sw
		f := EstimateFit{Centerline: c, Residual: c.Angle.Value - mean}
		if free := 1 - 1/(u*u*sw); free > 1e-9 {
			f.Normalized = r / (u * math.Sqrt(free))
		}
		chi2 += r * r / (u * u)
		res.Estimates = append(res.Estimates, f)
		if c.Approach != approach {
			approach = ApproachUnknown
		}
	}
	res.Agreement = agreement(chi2, n-1)
	res.External = crankAngle(internal * math.Sqrt(chi2/float64(n-1)))
	res.Centerline = Centerline{
		Valve: first.Valve, Basis: first.Basis, Lift: first.Lift, Drop: first.Drop, Method: ByCombination, Approach: approach,
		Angle: units.Measured[units.CrankAngle]{Value: mean},
	}
	res.Centerline.setU(crankAngle(res.Agreement.widening()*internal), tdc, crankAngle(shape/sw))
	return res, nil
}

// sameBasis reports whether two centerlines are middles of one and the same thing.
func sameBasis(a, b Centerline) bool {
	midpoint := func(x Basis) bool { return x == BasisMidpoint || x == BasisEvents }
	same := func(x, y units.Optional[units.Length]) bool { return x.Given && y.Given && x.Value == y.Value }
	if midpoint(a.Basis) && midpoint(b.Basis) {
		return same(a.Lift, b.Lift) || same(a.Drop, b.Drop)
	}
	return a.Basis == b.Basis && a.Basis != BasisMidpoints // means over unlike lifts
}

// Working shows the combination.
func (r CombinedCenterline) Working() units.Working {
	w := units.Working{}
	for i, e := range r.Estimates {
		w = append(w, units.Step{
			Symbol: "c" + strconv.Itoa(i+1), Formula: e.Centerline.Method.String(), Numbers: "u_reading = " + e.Centerline.UReading.Text(3),
			Value: e.Centerline.Angle.Value.Text(2), Source: sourceMid,
		})
	}
	mean := units.Step{Symbol: "mean", Formula: "sum w c / sum w, w = 1/u_reading^2", Numbers: r.Centerline.Basis.String(), Value: r.Centerline.Angle.Value.Text(2), Source: sourceBirge}
	u := units.Step{Symbol: "u", Formula: "sqrt(u_mean^2 + u_TDC^2)", Numbers: "internal " + r.Internal.Text(3) + ", external " + r.External.Text(3) + ", TDC " + r.Centerline.UTDC.Text(3), Value: r.Centerline.Angle.U.Text(3), Source: sourceBirge}
	if r.Centerline.UShape != 0 {
		mean.Formula = "sum w c / sum w, w = 1/(u_reading^2 + u_shape^2)"
		u.Formula, u.Numbers = "sqrt(u_mean^2 + u_TDC^2 + u_shape^2)", u.Numbers+", shape "+r.Centerline.UShape.Text(3)
	}
	return append(w, mean, r.Agreement.step(), u)
}

// CheckedEvents are the opening and closing of one valve as the wheel shows
// them at a checking lift.
type CheckedEvents struct {
	Valve Valve
	// Opens and Closes are positive on their usual side: IVO before top, IVC
	// after bottom, EVO before bottom, EVC after top dead center.
	Opens, Closes units.Measured[units.CrankAngle]
	// Lift is the checking lift where the dial stands, over 0.
	Lift units.Length
	// AtValve is the gear behind which the dial stands at the valve; not given,
	// the dial stands on the lifter.
	AtValve units.Optional[ValveGear]
	// TDC is the standard uncertainty of top dead center.
	TDC      units.CrankAngle
	Approach Approach
}

// Centerline answers where the middle between a valve's two events lies:
//
//	ICL = (180 + IVC - IVO)/2     ECL = (180 + EVO - EVC)/2
//	u^2 = (u_opens^2 + u_closes^2)/4 + u_TDC^2
//	lift at the lifter = (Lift + Lash)/Ratio at the valve
//
// in crank degrees. It is the midpoint at that lift, which is the nose only for
// a symmetric lobe. How well the dial finds the lift belongs into the two
// uncertainties. Ratio and lash do not move the middle; they change at which
// lift of the lifter it holds. Events a turn away and durations outside (0, 720)
// are ErrRange.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: doe-int-mid, doe-exh-mid, cl-events-u, cl-events-lift.
func (e CheckedEvents) Centerline() (Centerline, error) {
	if err := e.Valve.check(); err != nil {
		return Centerline{}, err
	}
	if err := checkWheel("Opens", e.Opens); err != nil {
		return Centerline{}, err
	}
	if err := checkWheel("Closes", e.Closes); err != nil {
		return Centerline{}, err
	}
	if err := checkDuration("Opens+180+Closes", e.Opens.Value+units.CrankTurn/2+e.Closes.Value); err != nil {
		return Centerline{}, err
	}
	if err := checkLift("Lift", e.Lift); err != nil {
		return Centerline{}, err
	}
	if err := checkPickup(e.AtValve); err != nil {
		return Centerline{}, err
	}
	if err := checkTDC(e.TDC); err != nil {
		return Centerline{}, err
	}
	if err := checkApproach(e.Approach); err != nil {
		return Centerline{}, err
	}
	// The event at top dead center counts against, the one at bottom for.
	top, bottom := e.Opens.Value, e.Closes.Value
	if e.Valve == ExhaustValve {
		top, bottom = bottom, top
	}
	c := Centerline{
		Valve: e.Valve, Basis: BasisMidpoint, Method: ByEvents, Approach: e.Approach,
		Lift:  units.Some(length(liftOf(e.AtValve, e.Lift))),
		Angle: units.Measured[units.CrankAngle]{Value: (units.CrankTurn/2 + bottom - top) / 2},
	}
	c.steps = func() units.Working {
		formula := "(180 + IVC - IVO)/2"
		if e.Valve == ExhaustValve {
			formula = "(180 + EVO - EVC)/2"
		}
		return units.Working{
			{Symbol: "c", Formula: formula, Numbers: "(180 + " + bottom.Text(2) + " - " + top.Text(2) + ")/2", Value: ((units.CrankTurn/2 + bottom - top) / 2).Text(2), Source: sourceMid},
			{Symbol: "lift", Formula: "at the lifter", Numbers: inches(e.Lift) + " where the dial stands", Value: inches(c.Lift.Value), Source: asRead},
		}
	}
	if e.Opens.Stated && e.Closes.Stated {
		c.setU(crankAngle(math.Hypot(e.Opens.U.Degrees(), e.Closes.U.Degrees())/2), e.TDC, 0)
	}
	return c, nil
}
