package camtiming

import (
	"math"

	"example.com/trialfit/units"
)

// CamSpec describes the two lobes of one cylinder on one shaft.
type CamSpec struct {
	Intake, Exhaust LiftCurve
	// Separation is the lobe separation between the two noses, in cam degrees.
	Separation units.CamAngle
	// GroundAdvance is the advance that the card builds in, in crank degrees:
	// positive when the card's intake centerline is smaller than the separation.
	GroundAdvance units.CrankAngle
}

// Cam is a pair of lobes ready for evaluation: how high the two lifters of a
// cylinder stand at top dead center of overlap for any advance, and back.
// Build it once; its methods do not allocate and are safe for concurrent use.
type Cam struct {
	spec            CamSpec
	intake, exhaust curve
	half            float64 // half the separation, cam degrees
	// Advances between which both lifters stand on the base circle, crank
	// degrees; deadLow < deadHigh only where such advances exist.
	deadLow, deadHigh float64
}

// NewCam returns the pair. Both curves are required (ErrMissing), with a lift
// over 0, a span about the nose and finite slopes (ErrRange); the separation must
// lie in (0, 180) cam degrees and the ground advance within it (a centerline
// before top dead center is no ground advance).
//
// Rows: split-i, split-e, split-diff-0.
func NewCam(spec CamSpec) (*Cam, error) {
	if err := checkCurve("Intake", spec.Intake); err != nil {
		return nil, err
	}
	if err := checkCurve("Exhaust", spec.Exhaust); err != nil {
		return nil, err
	}
	if spec.Separation <= 0 || spec.Separation >= units.CamTurn/2 {
		return nil, fail("Separation", spec.Separation.String(), units.ErrRange, "want a lobe separation over 0 and under 180 cam degrees")
	}
	if !within(spec.GroundAdvance, spec.Separation.Crank()/2-1) {
		return nil, fail("GroundAdvance", spec.GroundAdvance.String(), units.ErrRange, "want an advance smaller than the centerlines")
	}
	c := &Cam{spec: spec, intake: curveOf(spec.Intake), exhaust: curveOf(spec.Exhaust)}
	sep := spec.Separation.Degrees()
	c.half = sep / 2
	// The intake lifter is down while 0 - ICL is before its opening: advance
	// under separation - 2*opening flank. The exhaust lifter is down while ECL
	// is past its closing: advance over 2*closing flank - separation.
	limit := sep
	c.deadLow = min(max(2*spec.Exhaust.Span().Closes.Degrees()-sep, -limit), limit)
	c.deadHigh = min(max(sep+2*spec.Intake.Span().Opens.Degrees(), -limit), limit)
	return c, nil
}

// Spec returns what the cam was made from.
func (c *Cam) Spec() CamSpec { return c.spec }

// difference returns intake minus exhaust at overlap TDC and its slope per
// crank degree of advance, both in meters.
func (c *Cam) difference(adv float64) (d, slope float64) {
	if c.intake == nil { // the zero Cam
		return 0, 0
	}
	li, vi := c.intake.eval(adv/2 - c.half)
	le, ve := c.exhaust.eval(adv/2 + c.half)
	return li - le, (vi - ve) / 2
}

// Heights are the two lifters of one cylinder at one crank position.
type Heights struct {
	Intake, Exhaust units.Length // lift of each
	Difference      units.Length // intake minus exhaust: what straightedge and feeler read
	// PerCrankDegree is how much the difference grows for one crank degree of
	// advance there.
	PerCrankDegree units.Length
}

// At answers how high the two lifters stand at top dead center of overlap when
// the cam is installed with the given advance:
//
//	intake  = L_i((0 - ICL)/2)     ICL = separation - advance
//	exhaust = L_e((0 + ECL)/2)     ECL = separation + advance
//	difference per crank degree = (L_i' - L_e')/2
//
// with arguments in cam degrees from the nose and slopes per cam degree; the
// bare numbers of ICL and ECL are crank degrees. For equal symmetric lobes
// the slope is |L'| at half the separation. Intake higher means advanced only
// for such lobes. Whole cycles of 720 degrees in the advance change nothing.
//
// Rows: split-i, split-e, split-diff-m2, split-diff-0, split-diff-p2,
// split-diff-p4, split-slope.
func (c *Cam) At(advance units.CrankAngle) Heights {
	return c.AtCrank(advance, 0)
}

// AtCrank is At with the crank standing phi after top dead center of overlap
// instead of on it: one degree of error there is one degree of indicated
// advance. At firing TDC (phi = 360 degrees) both lifters are on the base
// circle of any usual cam and the difference is 0.
//
// Rows: split-phi-2, firing-tdc-level.
func (c *Cam) AtCrank(advance, phi units.CrankAngle) Heights {
	// The lobes repeat every cam turn: reduce the angle from each nose.
	if c.intake == nil { // the zero Cam
		return Heights{}
	}
	wrap := func(a float64) float64 { return math.Remainder(a, 360) }
	a := (phi.Wrap() + advance.Wrap()).Degrees() / 2
	li, vi := c.intake.eval(wrap(a - c.half))
	le, ve := c.exhaust.eval(wrap(a + c.half))
	return Heights{length(li), length(le), length(li - le), length((vi - ve) / 2)}
}

// Reach tells over which advances the height difference can tell anything.
type Reach struct {
	// Lowest and Highest bound the advances considered: minus and plus the
	// separation, where a nose stands at top dead center.
	Lowest, Highest units.CrankAngle
	// AtLowest and AtHighest are the differences there: readings beyond them
	// belong to no advance of this cam.
	AtLowest, AtHighest units.Length
	// BothUpLow and BothUpHigh bound the advances at which both lifters are
	// off the base circle: full slope between them, about half outside.
	// Equal where there are none.
	BothUpLow, BothUpHigh units.CrankAngle
	// Dead tells whether there are advances with both lifters down, and
	// DeadLow and DeadHigh bound them: there the method knows nothing.
	Dead              bool
	DeadLow, DeadHigh units.CrankAngle
}

// Reach returns the range in which the method can tell.
//
// Rows: reach-highest, reach-both-up, reach-dead.
func (c *Cam) Reach() Reach {
	sep := c.spec.Separation.Degrees()
	lo, _ := c.difference(-sep)
	hi, _ := c.difference(sep)
	r := Reach{Lowest: crankAngle(-sep), Highest: crankAngle(sep), AtLowest: length(lo), AtHighest: length(hi)}
	if c.deadLow < c.deadHigh {
		r.Dead, r.DeadLow, r.DeadHigh = true, crankAngle(c.deadLow), crankAngle(c.deadHigh)
	} else {
		r.BothUpLow, r.BothUpHigh = crankAngle(c.deadHigh), crankAngle(c.deadLow)
	}
	return r
}

// Inversion is the advance that belongs to a height difference.
type Inversion struct {
	Advance units.CrankAngle
	// Undetermined is set where both lifters are on the base circle over a
	// whole interval, Low to High, that gives the difference 0; Advance is
	// then its middle and means nothing by itself. Otherwise Low = High =
	// Advance.
	Undetermined bool
	Low, High    units.CrankAngle
}

// Advance answers which advance gives the height difference (intake minus
// exhaust) at top dead center of overlap: it inverts At over advances from
// minus to plus the separation, where the difference grows with the advance.
//
// A difference that no advance gives is ErrImpossible. A difference of 0 on a cam
// with both lifters down is an interval, marked undetermined. The result is exact to
// the quantum of the reading: 1 pm over the slope. A measured table with noise,
// or one that is highest away from its origin, may give a difference at more than
// one advance; one of them is returned. It does not allocate.
//
// Rows: inv-m2, inv-0, inv-p2, inv-p4, inv-level-345, inv-level-unequal,
// reach-dead.
func (c *Cam) Advance(difference units.Length) (Inversion, error) {
	if c.intake == nil {
		return Inversion{}, fail("Cam", "", units.ErrMissing, "want a cam from NewCam")
	}
	a, status := c.invert(difference.Meters())
	switch status {
	case beyond:
		r := c.Reach()
		return Inversion{}, fail("difference", difference.String(), units.ErrImpossible,
			"no advance of this cam gives it: want "+r.AtLowest.String()+" to "+r.AtHighest.String())
	case dead:
		lo, hi := crankAngle(c.deadLow), crankAngle(c.deadHigh)
		return Inversion{Advance: lo + (hi-lo)/2, Undetermined: true, Low: lo, High: hi}, nil
	case found:
	}
	x := crankAngle(a)
	return Inversion{Advance: x, Low: x, High: x}, nil
}

type inversionStatus uint8

const (
	found  inversionStatus = iota
	dead                   // both lifters down: an interval
	beyond                 // outside the reach
)

// invert finds the advance in crank degrees for a difference in meters.
func (c *Cam) invert(d float64) (float64, inversionStatus) {
	sep := 2 * c.half
	lo, hi := -sep, sep
	if c.deadLow < c.deadHigh {
		switch {
		case d == 0:
			return 0, dead
		case d < 0:
			hi = c.deadLow
		default:
			lo = c.deadHigh
		}
	} else if c.deadHigh < c.deadLow {
		// Both up over most of the useful range: try that first, its curve is
		// the smoothest.
		a, _ := c.difference(c.deadHigh)
		b, _ := c.difference(c.deadLow)
		switch {
		case d < a:
			hi = c.deadHigh
		case d > b:
			lo = c.deadLow
		default:
			lo, hi = c.deadHigh, c.deadLow
		}
	}
	x, ok := c.solve(lo, hi, d)
	if !ok && (lo > -sep || hi < sep) { // a table may swing at its ends
		x, ok = c.solve(-sep, sep, d)
	}
	if !ok {
		return 0, beyond
	}
	return x, found
}

// solve is root on the difference, written out so that nothing escapes.
func (c *Cam) solve(lo, hi, d float64) (float64, bool) {
	return root(lo, hi, func(a float64) (float64, float64) {
		y, v := c.difference(a)
		return y - d, v
	})
}

// Level is the advance at which the two lifters stand level at overlap TDC.
//
// For equal symmetric lobes it is 0; with unequal lobes it is where the two
// durations at that lift l say, (De(l) - Di(l))/4, exactly for symmetric ones.
// Where both lifters are down it is an interval, marked undetermined.
//
// Rows: inv-level-345, inv-level-unequal, inv-level-pair, split-lift,
// inv-level-durations.
func (c *Cam) Level() (Inversion, error) { return c.Advance(0) }

// TimingAt returns durations and nose centerlines at a checking lift with the
// cam installed at the given advance. The centerlines are those of the
// noses, shifted to the midpoint at that lift where the lobe is not symmetric:
// the events come out right, and the basis of the centerlines is "midpoint at
// this lift". A lift that either lobe does not reach and centerlines outside
// (-360, 360) are ErrRange.
//
// Rows: ev-io, ev-ic, ev-eo, ev-ec, ev-overlap, inv-level-durations.
func (c *Cam) TimingAt(lift units.Length, advance units.CrankAngle) (Timing, error) {
	i, err := OpeningAt(c.spec.Intake, lift)
	if err != nil {
		return Timing{}, inField("Intake", err)
	}
	e, err := OpeningAt(c.spec.Exhaust, lift)
	if err != nil {
		return Timing{}, inField("Exhaust", err)
	}
	if !within(advance, units.CrankTurn) {
		return Timing{}, fail("advance", advance.String(), units.ErrRange, "want an advance within one turn")
	}
	half := c.spec.Separation.Crank() / 2
	t := Timing{
		IntakeDuration: i.Duration, ExhaustDuration: e.Duration,
		IntakeCenterline:  half - advance + i.Midpoint.Crank(),
		ExhaustCenterline: half + advance - e.Midpoint.Crank(),
	}
	if err := t.validate(); err != nil {
		return Timing{}, err
	}
	return t, nil
}

// shapeSpread returns the standard uncertainty of the height difference, in
// meters, that comes from lobes known only by a card, the spread of the
// family and the asymmetry, or by readings that scatter. Lobes of one card share their unknown shape, so
// what cancels in the difference cancels here; one smoothed lobe that stands for
// both shares the angle that it is counted from, an error of which is one of
// index. Its two flanks lie too far apart to share their scatter.
func (c *Cam) shapeSpread(adv float64) float64 {
	i, e := unsure(c.spec.Intake, adv/2-c.half), unsure(c.spec.Exhaust, adv/2+c.half)
	switch {
	case i.card != nil && e.card != nil && i.card.sameCard(e.card):
		// The same member stands for both lobes.
		_, vi := i.card.eval(i.deg)
		_, ve := e.card.eval(e.deg)
		return math.Hypot((i.scale*vi-e.scale*ve)*i.card.spec.Asymmetry.Degrees(), i.card.spread(func(m *cardMember) float64 {
			a, _ := m.eval(i.deg)
			b, _ := m.eval(e.deg)
			return i.scale*a - e.scale*b
		}))
	case i.smooth != nil && i.smooth == e.smooth:
		_, vi := i.smooth.eval(i.deg)
		_, ve := e.smooth.eval(e.deg)
		return math.Sqrt(squared(i.scale*i.smooth.liftU(i.deg)) + squared(e.scale*e.smooth.liftU(e.deg)) +
			squared((i.scale*vi-e.scale*ve)*i.smooth.spreadOfOrigin()))
	default:
		return math.Sqrt(i.variance() + e.variance())
	}
}

// liftVariance returns how well a lobe itself is known at an angle, in square
// meters: 0 for any but one fitted to a card or smoothed, by
// itself or in a RingLobe or RampLobe.
func liftVariance(c LiftCurve, deg float64) float64 { return unsure(c, deg).variance() }

// unsureLobe is the lobe that an uncertainty comes from, the angle at which it is
// met and how many times its lift counts there; without a lobe nothing is unsure.
type unsureLobe struct {
	card       *CardLobe
	smooth     *SmoothLobe
	deg, scale float64
}

func unsure(c LiftCurve, deg float64) unsureLobe {
	switch k := c.(type) {
	case *CardLobe:
		return unsureLobe{card: k, deg: deg, scale: 1}
	case *SmoothLobe:
		return unsureLobe{smooth: k, deg: deg, scale: 1}
	case *RingLobe:
		return unsure(k.spec.Lobe, deg/k.lobes)
	case *RampLobe:
		r := &k.closing
		if deg < 0 {
			r = &k.opening
		}
		u := unsure(k.spec.Lobe, deg)
		u.scale *= r.scale
		return u
	default:
		return unsureLobe{}
	}
}

func (u unsureLobe) variance() float64 {
	switch {
	case u.card != nil:
		return squared(u.scale) * u.card.variance(u.deg)
	case u.smooth != nil:
		return squared(u.scale) * u.smooth.variance(u.deg)
	default:
		return 0
	}
}

// variance of the lift at an angle, in square meters.
func (c *CardLobe) variance(deg float64) float64 {
	u := c.spread(func(m *cardMember) float64 { y, _ := m.eval(deg); return y })
	_, v := c.eval(deg)
	v *= c.spec.Asymmetry.Degrees()
	return u*u + v*v
}
