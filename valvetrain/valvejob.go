package valvetrain

import (
	"math"

	"example.com/trialfit/units"
)

// ValveJob is what was done to a valve and its seat. The zero value of a field is
// nothing.
type ValveJob struct {
	// SeatCut and FaceCut are what was taken off the seat and off the valve's face,
	// square to the cone.
	SeatCut, FaceCut units.Length
	// SeatAngle is that of the seat from the plane of the valve's head, 45 degrees
	// as a rule; required with a cut.
	SeatAngle PlaneAngle
	// TipCut is what was ground off the tip of the stem.
	TipCut units.Length
	// Insert is how much higher a new seat or valve brings the head, along the stem.
	Insert units.Length
}

// ValveSink is where a valve stands after a valve job.
type ValveSink struct {
	// Recession is how much deeper the valve sits in the head.
	Recession units.Length
	// Tip is how much higher the tip stands over the head, Retainer how much the
	// retainer does: both Recession, the tip less what was ground off it.
	Tip, Retainer units.Length
	// Grind is what is still to be taken off the tip so that it stands as before;
	// negative where it stands lower.
	Grind units.Length
	// SpringShim is the shim that brings the spring back to its installed height.
	SpringShim units.Length

	job ValveJob
}

// Sink answers how much a valve job lets a valve sink and what follows:
//
//	recession = (SeatCut + FaceCut)/cos(SeatAngle) - Insert
//	tip = recession - TipCut     retainer = shim = recession     grind = tip
//
// because a cone that is moved along its axis by s moves square to itself by
// s cos(SeatAngle): 45 degrees makes 1.414 of the cut, 30 degrees 1.155. A higher
// tip takes lash away; ShopWork.Tip says what it does to the pushrod. The spring
// stands longer by the recession and loses rate times that. How much a tip may be
// ground is limited by its hardened layer and by the rocker's room over the retainer.
//
// Errors: cuts that are negative or over 100 mm (ErrRange), an angle outside 0 to
// 80 degrees, or missing with a cut (ErrMissing); an insert over 100 mm either way.
//
// Source: plane geometry of a cone.
//
// Rows: valve-sink-45, valve-sink-30, valve-sink-tip, valve-sink-insert.
func (j ValveJob) Sink() (ValveSink, error) {
	for _, v := range [...]struct {
		name string
		l    units.Length
	}{{"SeatCut", j.SeatCut}, {"FaceCut", j.FaceCut}, {"TipCut", j.TipCut}} {
		if v.l < 0 || v.l > 100*units.Millimeter {
			return ValveSink{}, fail(v.name, v.l.String(), units.ErrRange, "want 0 to 100 mm")
		}
	}
	if j.Insert < -100*units.Millimeter || j.Insert > 100*units.Millimeter {
		return ValveSink{}, fail("Insert", j.Insert.String(), units.ErrRange, "want within 100 mm")
	}
	if !(j.SeatAngle >= 0 && j.SeatAngle <= PlaneDegrees(80)) {
		return ValveSink{}, fail("SeatAngle", j.SeatAngle.String(), units.ErrRange, "want 0 to 80 degrees from the plane of the head")
	}
	cut := j.SeatCut + j.FaceCut
	if cut > 0 && j.SeatAngle == 0 {
		return ValveSink{}, fail("SeatAngle", "", units.ErrMissing, "want the angle of the seat")
	}
	s := ValveSink{Recession: count(cut.Meters()/math.Cos(float64(j.SeatAngle))) - j.Insert, job: j}
	s.Tip, s.Retainer, s.SpringShim = s.Recession-j.TipCut, s.Recession, s.Recession
	s.Grind = s.Tip
	return s, nil
}

// Working returns the derivation.
func (s ValveSink) Working() units.Working {
	if s == (ValveSink{}) {
		return nil
	}
	return units.Working{
		{Symbol: "recession", Formula: "(SeatCut + FaceCut)/cos(SeatAngle) - Insert", Numbers: "(" + num(s.job.SeatCut) + " + " + num(s.job.FaceCut) + ")/cos(" + degreesText(s.job.SeatAngle) + ") - " + num(s.job.Insert), Value: text(s.Recession), Source: planar},
		{Symbol: "tip", Formula: "recession - TipCut", Numbers: num(s.Recession) + " - " + num(s.job.TipCut), Value: text(s.Tip), Source: definition},
	}
}

// StemHeight are heights of one valve over the head, read from one face.
type StemHeight struct {
	// Tip is the height of the stem's tip over the spring seat, Retainer that of the
	// spring's underside of the retainer, which is the installed height.
	Tip, Retainer units.Measured[units.Length]
	// TipLimits judge the tip, if given, and Rule by which rule.
	TipLimits units.Optional[units.Limits[units.Length]]
	// Head is how far the valve's head stands under the face of the head,
	// negative where it stands out; HeadLimits judge it.
	Head       units.Optional[units.Measured[units.Length]]
	HeadLimits units.Optional[units.Limits[units.Length]]
	Rule       units.DecisionRule
}

// StemReport is how a valve stands in its head.
type StemReport struct {
	// Protrusion is how far the tip stands over the underside of the retainer.
	Protrusion units.Measured[units.Length]
	// TipVerdict and HeadVerdict, where limits were given.
	TipVerdict, HeadVerdict units.Optional[units.Verdict[units.Length]]
	// Grind is how much to grind off the tip to reach the most allowed: 0 where
	// it stands within the limits or too low.
	Grind units.Length

	read StemHeight
}

// Check answers whether a valve stands where it should after a valve job:
//
//	protrusion = Tip - Retainer     grind = Tip - most allowed, if over 0
//
// A tip under its least is worn or ground too far: a seat cut deeper would raise
// it and is no cure. Errors: a height not over 0, a negative uncertainty,
// limits that units.Judge refuses or limits of a head that was not read
// (ErrMissing).
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: stem-protrusion, stem-protrusion-u, stem-tip-verdict, stem-head-verdict,
// stem-grind.
func (h StemHeight) Check() (StemReport, error) {
	if err := checkMeasuredSize("Tip", h.Tip); err != nil {
		return StemReport{}, err
	}
	if err := checkMeasuredSize("Retainer", h.Retainer); err != nil {
		return StemReport{}, err
	}
	if h.Head.Given {
		if err := checkDial("Head", h.Head.Value); err != nil {
			return StemReport{}, err
		}
	} else if h.HeadLimits.Given {
		return StemReport{}, fail("Head", "", units.ErrMissing, "want the reading that the limits are for")
	}
	r := StemReport{Protrusion: minus(h.Tip, h.Retainer), read: h}
	var err error
	if r.TipVerdict, err = judged("TipLimits", h.Tip, h.TipLimits, h.Rule); err != nil {
		return StemReport{}, err
	}
	if r.HeadVerdict, err = judged("HeadLimits", h.Head.Value, h.HeadLimits, h.Rule); err != nil {
		return StemReport{}, err
	}
	if l := h.TipLimits; l.Given && l.Value.HasMax {
		r.Grind = max(0, h.Tip.Value-l.Value.Max)
	}
	return r, nil
}

// judged judges a value where there are limits.
func judged(field string, m units.Measured[units.Length], l units.Optional[units.Limits[units.Length]], rule units.DecisionRule) (units.Optional[units.Verdict[units.Length]], error) {
	if !l.Given {
		return units.Optional[units.Verdict[units.Length]]{}, nil
	}
	v, err := units.Judge(m, l.Value, rule)
	if err != nil {
		return units.Optional[units.Verdict[units.Length]]{}, fail(field, l.Value.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
	}
	return units.Some(v), nil
}

// Working returns the derivation.
func (r StemReport) Working() units.Working {
	if r.read.Tip.Value == 0 {
		return nil
	}
	return units.Working{{Symbol: "protrusion", Formula: "Tip - Retainer", Numbers: num(r.read.Tip.Value) + " - " + num(r.read.Retainer.Value), Value: measuredText(r.Protrusion), Source: definition}}
}

// KeeperKind is how a pair of keepers holds. The zero KeeperKind is none.
type KeeperKind uint8

// Kinds of keeper.
const (
	// ClampingKeepers grip the stem by the taper: a gap stays between the halves.
	ClampingKeepers KeeperKind = iota + 1
	// AbuttingKeepers meet each other and leave the valve free to turn: no gap, and
	// play in the groove.
	AbuttingKeepers
)

// String names the kind.
func (k KeeperKind) String() string {
	switch k {
	case ClampingKeepers:
		return "clamping"
	case AbuttingKeepers:
		return "abutting"
	default:
		return "none"
	}
}

// KeeperFit are the readings of a pair of keepers on a stem, in their retainer.
type KeeperFit struct {
	Kind KeeperKind
	// Gap is the gap between the halves on one side, Other that on the other,
	// with the retainer pulled up.
	Gap, Other units.Measured[units.Length]
	// Groove is the width of the groove in the stem, Bead the height of the keeper's
	// bead that sits in it.
	Groove, Bead units.Measured[units.Length]
	// Proud is how far the keepers stand over the retainer, negative below it.
	Proud units.Measured[units.Length]
	// Taper is the angle of the cone in the retainer from its axis.
	Taper PlaneAngle
	// GapLimits, PlayLimits and ProudLimits, if they are to be judged, and Rule by
	// which.
	GapLimits, PlayLimits, ProudLimits units.Optional[units.Limits[units.Length]]
	Rule                               units.DecisionRule
}

// KeeperReport is how a pair of keepers fits.
type KeeperReport struct {
	// Play is the axial play of the bead in its groove, Gap the mean gap.
	Play, Gap units.Measured[units.Length]
	// Settle is how far the retainer would rise until a clamping pair's halves
	// met: what the grip has in hand.
	Settle units.Length
	// Grips says whether the kind does what it is for: a gap on both sides of a
	// clamping pair, none on either side of an abutting one; and a bead that goes
	// into its groove.
	Grips                                 bool
	GapVerdict, PlayVerdict, ProudVerdict units.Optional[units.Verdict[units.Length]]
	// Findings say in words what is wrong.
	Findings []string

	fit KeeperFit
}

// Check answers whether keepers hold a valve as they should:
//
//	play = Groove - Bead     gap = (Gap + Other)/2     settle = gap/(2 tan Taper)
//
// A clamping pair that has closed its gap no longer grips the stem, and an abutting
// pair with a gap grips where it should not. When both halves come nearer by the
// gap each moves by half of it inward, and the cone rises by that over the tangent
// of its angle. A negative play is data: the bead does not go in. Errors: no kind,
// groove or bead (ErrMissing); sizes out of range; gaps that are negative; a taper
// outside 0 to 45 degrees, missing for a clamping pair; limits that units.Judge
// refuses.
//
// Source: plane geometry; that the one kind must have a gap and the other must not
// is a rule of the trade without a single source.
//
// Rows: keeper-play, keeper-gap, keeper-gap-u, keeper-settle, keeper-grips,
// keeper-closed, keeper-verdict.
func (f KeeperFit) Check() (KeeperReport, error) {
	if f.Kind != ClampingKeepers && f.Kind != AbuttingKeepers {
		return KeeperReport{}, fail("Kind", "", units.ErrMissing, "want clamping or abutting keepers")
	}
	if err := checkMeasuredSize("Groove", f.Groove); err != nil {
		return KeeperReport{}, err
	}
	if err := checkMeasuredSize("Bead", f.Bead); err != nil {
		return KeeperReport{}, err
	}
	for _, v := range [...]struct {
		name string
		m    units.Measured[units.Length]
	}{{"Gap", f.Gap}, {"Other", f.Other}} {
		if err := checkSpan(v.name, v.m.Value); err != nil {
			return KeeperReport{}, err
		}
		if err := checkMeasuredU(v.name, v.m); err != nil {
			return KeeperReport{}, err
		}
	}
	if err := checkDial("Proud", f.Proud); err != nil {
		return KeeperReport{}, err
	}
	if !(f.Taper >= 0 && f.Taper <= PlaneDegrees(45)) {
		return KeeperReport{}, fail("Taper", f.Taper.String(), units.ErrRange, "want 0 to 45 degrees from the axis")
	}
	if f.Taper == 0 && f.Kind == ClampingKeepers {
		return KeeperReport{}, fail("Taper", "", units.ErrMissing, "want the angle of the retainer's cone from its axis")
	}
	r := KeeperReport{Play: minus(f.Groove, f.Bead), fit: f}
	sum := f.Gap.Value + f.Other.Value
	r.Gap = units.Measured[units.Length]{Value: ratio(int64(sum), 1, 2), Stated: f.Gap.Stated && f.Other.Stated}
	if r.Gap.Stated {
		r.Gap.U = root(f.Gap.U, f.Other.U) / 2
	}
	if f.Kind == ClampingKeepers {
		settle := r.Gap.Value.Meters() / (2 * math.Tan(float64(f.Taper)))
		if settle > maxSize.Meters() {
			return KeeperReport{}, fail("Taper", f.Taper.String(), units.ErrRange, "want a taper in which the halves meet within 10 m")
		}
		r.Settle = count(settle)
	}
	if f.Kind == ClampingKeepers && (f.Gap.Value == 0 || f.Other.Value == 0) {
		r.Findings = append(r.Findings, "the halves meet: the pair does not clamp the stem")
	}
	if f.Kind == AbuttingKeepers && sum > 0 {
		r.Findings = append(r.Findings, "the halves do not meet: the pair grips the stem and keeps the valve from turning")
	}
	if r.Play.Value < 0 {
		r.Findings = append(r.Findings, "the bead is higher than its groove: it does not go in")
	}
	r.Grips = len(r.Findings) == 0
	var err error
	if r.GapVerdict, err = judged("GapLimits", r.Gap, f.GapLimits, f.Rule); err != nil {
		return KeeperReport{}, err
	}
	if r.PlayVerdict, err = judged("PlayLimits", r.Play, f.PlayLimits, f.Rule); err != nil {
		return KeeperReport{}, err
	}
	if r.ProudVerdict, err = judged("ProudLimits", f.Proud, f.ProudLimits, f.Rule); err != nil {
		return KeeperReport{}, err
	}
	return r, nil
}

// Working returns the derivation.
func (r KeeperReport) Working() units.Working {
	if r.fit.Kind == 0 {
		return nil
	}
	return units.Working{
		{Symbol: "play", Formula: "Groove - Bead", Numbers: num(r.fit.Groove.Value) + " - " + num(r.fit.Bead.Value), Value: measuredText(r.Play), Source: definition},
		{Symbol: "gap", Formula: "(Gap + Other)/2", Numbers: "(" + num(r.fit.Gap.Value) + " + " + num(r.fit.Other.Value) + ")/2", Value: measuredText(r.Gap), Source: definition},
	}
}

// LifterFilling is what stands in a lifter while lift or clearance is measured. The
// zero LifterFilling is unknown.
type LifterFilling uint8

// Fillings of a lifter.
const (
	SolidLifter   LifterFilling = iota + 1 // a solid lifter, or a hydraulic one blocked solid at its working height
	PumpedUp                               // a hydraulic lifter full of oil, its plunger held by it
	BledDown                               // a hydraulic lifter without oil, on its own spring or a checking spring
	CollapsedHard                          // a bled lifter pressed to the bottom of its travel
)

// String names the filling.
func (f LifterFilling) String() string {
	switch f {
	case SolidLifter:
		return "solid"
	case PumpedUp:
		return "pumped up"
	case BledDown:
		return "bled down"
	case CollapsedHard:
		return "collapsed to the bottom"
	default:
		return "unknown"
	}
}

// MeasuredAt is what a measurement is of. The zero MeasuredAt is none.
type MeasuredAt uint8

// Kinds of measurement.
const (
	MeasuredLift      MeasuredAt = iota + 1 // lift at the valve, or room that lift takes up: valve to piston, retainer to guide
	MeasuredTiming                          // events and centerlines at a checking lift at the valve
	MeasuredClearance                       // rocker to valve with the lifter at the bottom, for lifters without adjuster
)

// String names the measurement.
func (m MeasuredAt) String() string {
	switch m {
	case MeasuredLift:
		return "lift and room"
	case MeasuredTiming:
		return "timing"
	case MeasuredClearance:
		return "clearance of the collapsed lifter"
	default:
		return "none"
	}
}

// LifterReading is a measurement with what stood in the lifter.
type LifterReading struct {
	Of      MeasuredAt
	Filling LifterFilling
	// Value is what was read at the valve.
	Value units.Measured[units.Length]
	// Give is how far the plunger was pressed from its working place, at the
	// lifter, by the valve's or the checking spring: 0 for a solid one.
	Give units.Measured[units.Length]
	// Ratio is the rocker ratio near full lift (a ratio).
	Ratio float64
}

// LifterEffect is what the lifter's state does to a reading.
type LifterEffect struct {
	// Lost is the travel of the valve that the plunger has taken, Ratio Give.
	Lost units.Measured[units.Length]
	// Lift is the reading put right: Value + Lost for a lift. A room that was
	// read, as from valve to piston, is too large by Lost, see Room.
	Lift, Room units.Measured[units.Length]
	// Check records whether the lifter was in the state that the measurement
	// needs, with the reason.
	Check CheckRecord

	read LifterReading
}

// Effect answers whether a lifter was as it must be when something was measured, and
// what its give has done to the reading:
//
//	lost = Ratio Give     lift = Value + lost     room = Value - lost
//	u^2 = u(Value)^2 + (Ratio u(Give))^2
//
// Lift, room and timing want the lifter solid, or blocked or pumped up so that it does
// not give; light checking springs keep a full one from bleeding. A bled lifter
// shows less lift than the engine will have, and more room than there will be: the
// dangerous way. The clearance of a lifter without adjuster is read the other way round,
// with the lifter pressed to the bottom. The check is passed where the state is
// right, failed where it is not, and not done where it is unknown.
//
// Errors: no kind of measurement (ErrMissing), a value outside 10 m, a give that is
// negative or that a solid lifter cannot have (ErrConflict), a ratio outside 0.2 to 5.
//
// Source: lever; the rule of state is a rule of the trade without a single source.
//
// Rows: lifter-give-lost, lifter-give-lift, lifter-give-room, lifter-give-u,
// lifter-state-bled, lifter-state-solid, lifter-state-collapsed.
func (r LifterReading) Effect() (LifterEffect, error) {
	if r.Of < MeasuredLift || r.Of > MeasuredClearance {
		return LifterEffect{}, fail("Of", "", units.ErrMissing, "want what was measured")
	}
	if r.Filling > CollapsedHard {
		return LifterEffect{}, fail("Filling", "", units.ErrRange, "want a known state of the lifter")
	}
	if err := checkDial("Value", r.Value); err != nil {
		return LifterEffect{}, err
	}
	if err := checkSpan("Give", r.Give.Value); err != nil {
		return LifterEffect{}, err
	}
	if err := checkMeasuredU("Give", r.Give); err != nil {
		return LifterEffect{}, err
	}
	if r.Filling == SolidLifter && r.Give.Value != 0 {
		return LifterEffect{}, fail("Give", r.Give.Value.String(), units.ErrConflict, "a solid lifter does not give")
	}
	if !(r.Ratio >= 0.2 && r.Ratio <= 5) {
		return LifterEffect{}, fail("Ratio", plain(r.Ratio), units.ErrRange, "want a ratio of 0.2 to 5")
	}
	e := LifterEffect{read: r}
	e.Lost = units.Measured[units.Length]{Value: count(r.Ratio * r.Give.Value.Meters()), Stated: r.Give.Stated || r.Filling == SolidLifter}
	if r.Give.Stated {
		e.Lost.U = count(r.Ratio * r.Give.U.Meters())
	}
	stated := r.Value.Stated && e.Lost.Stated
	e.Lift = units.Measured[units.Length]{Value: r.Value.Value + e.Lost.Value, Stated: stated}
	e.Room = units.Measured[units.Length]{Value: r.Value.Value - e.Lost.Value, Stated: stated}
	if stated {
		u := root(r.Value.U, e.Lost.U)
		e.Lift.U, e.Room.U = u, u
	}
	e.Check = CheckRecord{Name: "lifter for " + r.Of.String() + ": " + r.Filling.String(), Source: practice}
	right := r.Filling == SolidLifter || r.Filling == PumpedUp
	e.Check.Reason = "lift, room and timing are read with the lifter solid, blocked or full: a bled plunger gives under the spring, shows less lift than the engine has and more room than there is"
	if r.Of == MeasuredClearance {
		right = r.Filling == CollapsedHard
		e.Check.Reason = "a lifter without adjuster is read pressed to the bottom: only then is the clearance the plunger's way, which must lie within its travel"
	}
	switch {
	case r.Filling == 0:
	case right:
		e.Check.Finding, e.Check.Outcome = Passed, units.ProvedWithin
	default:
		e.Check.Finding, e.Check.Outcome = Failed, units.ProvedOutside
	}
	return e, nil
}

// Working returns the derivation.
func (e LifterEffect) Working() units.Working {
	if e.read.Of == 0 {
		return nil
	}
	return units.Working{
		{Symbol: "lost", Formula: "Ratio x Give", Numbers: plain(e.read.Ratio) + " x " + num(e.read.Give.Value), Value: measuredText(e.Lost), Source: definition},
		{Symbol: "lift", Formula: "Value + lost", Numbers: num(e.read.Value.Value) + " + " + num(e.Lost.Value), Value: measuredText(e.Lift), Source: definition},
		{Symbol: "room", Formula: "Value - lost", Numbers: num(e.read.Value.Value) + " - " + num(e.Lost.Value), Value: measuredText(e.Room), Source: definition},
	}
}

// Cautions returns what to mind when keepers are fitted or taken out.
func (KeeperReport) Cautions() []units.Caution { return springCautions() }
