package camtiming

import (
	"math"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// Ramp is a clearance ramp in front of one flank of a lobe: a slow rise of
// constant velocity on which the lash is taken up or given back.
type Ramp struct {
	// Height is the lift of the lifter that the ramp adds; 0: no ramp there.
	Height units.Length
	// Length is from the base circle to where the flank proper begins.
	Length units.CamAngle
	// Start is the part of Length over which the velocity grows evenly from 0;
	// 0: the ramp begins with a corner.
	Start units.CamAngle
	// Blend is over how much of the flank the ramp's velocity fades evenly, while
	// the flank's own grows; 0: the velocity falls where the flank begins.
	Blend units.CamAngle
}

// RampLobeSpec describes a lobe with clearance ramps. Lobe is required, and a
// ramp on one flank at least.
type RampLobeSpec struct {
	// Lobe is the lobe without its ramps.
	Lobe             LiftCurve
	Opening, Closing Ramp
}

// ramp is one flank, in cam degrees counted outward from the nose and meters.
type ramp struct {
	flank              float64 // where the flank proper ends
	length, start, end float64 // end: the blend
	height, v          float64 // v: velocity of the steady part, m per cam degree
	scale              float64 // of the lobe's own lift on this side
}

// RampLobe is a lobe with clearance ramps. It is safe for concurrent use; its
// methods do not allocate.
type RampLobe struct {
	spec             RampLobeSpec
	lobe             curve
	inner            deriver // of Lobe; nil where it has no acceleration
	opening, closing ramp
	lift             float64 // meters, at the nose
}

func checkRamp(field string, r Ramp, flank units.CamAngle) error {
	switch {
	case r.Height == 0 && r != (Ramp{}):
		return fail(field+".Height", "", units.ErrMissing, "want the height of the ramp")
	case r.Height == 0:
		return nil
	case r.Height < 0 || r.Height > 100*units.Millimeter:
		return fail(field+".Height", r.Height.String(), units.ErrRange, "want a height of 0 to 100 mm")
	case r.Length == 0:
		return fail(field+".Length", "", units.ErrMissing, "want the length of the ramp in cam degrees")
	case r.Length < 0 || r.Length >= units.CamTurn/2:
		return fail(field+".Length", r.Length.String(), units.ErrRange, "want a length over 0 and under 180 cam degrees")
	case r.Start < 0 || r.Start > r.Length:
		return fail(field+".Start", r.Start.String(), units.ErrRange, "want 0 up to the length of the ramp")
	case r.Blend < 0 || r.Blend > flank:
		return fail(field+".Blend", r.Blend.String(), units.ErrRange, "want 0 up to the flank, "+flank.String())
	case flank+r.Length > units.CamTurn/2:
		return fail(field+".Length", r.Length.String(), units.ErrRange, "want flank and ramp within 180 cam degrees")
	default:
		return nil
	}
}

func newRamp(r Ramp, flank units.CamAngle) ramp {
	k := ramp{flank: flank.Degrees(), length: r.Length.Degrees(), start: r.Start.Degrees(), end: r.Blend.Degrees(), height: r.Height.Meters(), scale: 1}
	if k.height > 0 {
		// Height = v (Length - Start/2 + Blend/2).
		k.v = k.height / (k.length - k.start/2 + k.end/2)
	}
	return k
}

// eval returns the ramp's lift at an angle outward from the nose, and its slope
// and second derivative inward.
func (r *ramp) eval(out float64) (y, v, a float64) {
	if r.v == 0 {
		return 0, 0, 0
	}
	switch x := r.flank + r.length - out; { // from the base circle inward
	case x <= 0:
		return 0, 0, 0
	case x < r.start:
		return r.v * x * x / (2 * r.start), r.v * x / r.start, r.v / r.start
	case x <= r.length:
		return r.v * (x - r.start/2), r.v, 0
	case x < r.length+r.end:
		left := r.length + r.end - x
		return r.height - r.v*left*left/(2*r.end), r.v * left / r.end, -r.v / r.end
	default:
		return r.height, 0, 0
	}
}

// NewRampLobe answers what a lobe is with a clearance ramp added in front of its
// flanks. On each flank, with x = the angle from the base circle, h = Height, L
// = Length, s = Start, B = Blend:
//
//	v = h / (L - s/2 + B/2)                 the ramp's velocity
//	ramp: v x^2/(2 s) to x = s, v (x - s/2) to L,
//	      h - v (L + B - x)^2/(2 B) to L + B, then h
//	lift = ramp + k lobe       k = (H + max h - h)/H
//
// with H the lift of the lobe without ramps: with equal heights the lobe rides
// unchanged on its ramps, and the lobe lift grows by the height; of unequal ones
// the flank with the lower ramp is stretched so that both meet at the nose. The
// velocity is steady but for a Start or Blend of 0. A measured ramp needs no
// RampLobe: a TableLobe of the whole lobe has it.
//
// Errors: no lobe, no ramp at all, a ramp without height or length (ErrMissing);
// a height outside 0 to 100 mm, lengths that are negative or do not fit the flank
// or 180 cam degrees, a lobe lift over 1 m (ErrRange); a lobe that has ramps
// already, or that ends over 1 um above its base circle (ErrConflict).
//
// Source: definition of a constant-velocity ramp with parabolic ends.
//
// Rows: ramp-lift-start, ramp-lift-steady, ramp-lift-blend, ramp-lift-flank,
// ramp-lift-unequal, ramp-velocity.
func NewRampLobe(spec RampLobeSpec) (*RampLobe, error) {
	if err := checkCurve("Lobe", spec.Lobe); err != nil {
		return nil, err
	}
	if _, twice := spec.Lobe.(*RampLobe); twice {
		return nil, fail("Lobe", "", units.ErrConflict, "want the lobe without its ramps")
	}
	s := spec.Lobe.Span()
	if err := checkRamp("Opening", spec.Opening, -s.Opens); err != nil {
		return nil, err
	}
	if err := checkRamp("Closing", spec.Closing, s.Closes); err != nil {
		return nil, err
	}
	if spec.Opening == (Ramp{}) && spec.Closing == (Ramp{}) {
		return nil, fail("Opening", "", units.ErrMissing, "want a ramp on one flank at least")
	}
	for _, end := range [...]units.CamAngle{s.Opens, s.Closes} {
		if y := spec.Lobe.Lift(end); y > units.Micrometer {
			return nil, fail("Lobe", y.String(), units.ErrConflict, "the lobe ends above its base circle, at "+end.String()+": a step would be left between ramp and flank")
		}
	}
	most := max(spec.Opening.Height, spec.Closing.Height)
	lift := spec.Lobe.MaxLift()
	if err := checkLift("Lobe.MaxLift", lift+most); err != nil {
		return nil, err
	}
	l := &RampLobe{spec: spec, lobe: curveOf(spec.Lobe), opening: newRamp(spec.Opening, -s.Opens), closing: newRamp(spec.Closing, s.Closes), lift: (lift + most).Meters()}
	for _, r := range [...]*ramp{&l.opening, &l.closing} {
		r.scale = (l.lift - r.height) / lift.Meters()
	}
	if d, err := deriverOf("Lobe", spec.Lobe); err == nil {
		l.inner = d
	}
	return l, nil
}

// Spec returns what the lobe was made from.
func (l *RampLobe) Spec() RampLobeSpec { return l.spec }

func (l *RampLobe) eval(deg float64) (lift, slope float64) {
	if l == nil || l.lobe == nil { // the zero RampLobe never lifts
		return 0, 0
	}
	y, v := l.lobe.eval(deg)
	if deg < 0 {
		r, s, _ := l.opening.eval(-deg)
		return r + l.opening.scale*y, s + l.opening.scale*v
	}
	r, s, _ := l.closing.eval(deg)
	return r + l.closing.scale*y, l.closing.scale*v - s
}

// Lift returns the lift at a cam angle from the nose.
//
// Rows: ramp-lift-start, ramp-lift-steady, ramp-lift-blend, ramp-lift-flank,
// ramp-lift-unequal.
func (l *RampLobe) Lift(fromNose units.CamAngle) units.Length {
	y, _ := l.eval(fromNose.Degrees())
	return length(y)
}

// Velocity returns the slope at a cam angle from the nose.
//
// Rows: ramp-velocity.
func (l *RampLobe) Velocity(fromNose units.CamAngle) units.LiftVelocity {
	_, v := l.eval(fromNose.Degrees())
	return units.LiftVelocity(0 + v)
}

// Motion returns lift, velocity, acceleration and jerk at a cam angle from the
// nose. The ramp adds
//
//	a = v/s at its start, -v/B in its blend, 0 between them     j = 0
//
// with the symbols of NewRampLobe, to k times the motion of the lobe. The
// acceleration jumps where the parts of a ramp meet, and where k differs at the nose.
// A ramp with a Start or Blend of 0 has a corner there, whose acceleration no figure
// tells. On a lobe without acceleration (MotionOf says so) acceleration and jerk are
// those of the ramp alone: they tell nothing of the cam. It does not allocate.
//
// Source: definition of a constant-velocity ramp with parabolic ends.
//
// Rows: ramp-acceleration, ramp-acceleration-closing, ramp-jerk.
func (l *RampLobe) Motion(fromNose units.CamAngle) LobeMotion {
	return l.derive(fromNose.Degrees()).motion()
}

func (l *RampLobe) derive(deg float64) state {
	if l == nil || l.lobe == nil {
		return state{}
	}
	var s state
	if l.inner != nil {
		s = l.inner.derive(deg)
	} else {
		s.y, s.v = l.lobe.eval(deg)
	}
	r, sign := &l.closing, -1.0
	if deg < 0 {
		r, sign, deg = &l.opening, 1, -deg
	}
	y, v, a := r.eval(deg)
	return state{y + r.scale*s.y, sign*v + r.scale*s.v, a + r.scale*s.a, r.scale * s.j}
}

func (l *RampLobe) breaks() []float64 {
	b := evenBreaks(l.spec.Lobe.Span())
	if p, ok := l.inner.(pieced); ok {
		b = p.breaks()
	}
	b = append(slices.Clone(b), 0)
	for _, r := range [...]struct {
		ramp
		side float64
	}{{l.opening, -1}, {l.closing, 1}} {
		if r.v > 0 {
			b = append(b, r.side*(r.flank+r.length), r.side*(r.flank+r.length-r.start), r.side*r.flank, r.side*(r.flank-r.end))
		}
	}
	slices.Sort(b)
	return slices.Compact(b)
}

// corners tells whether the velocity jumps.
func (l *RampLobe) corners() bool {
	return l.opening.v > 0 && (l.opening.start == 0 || l.opening.end == 0) || l.closing.v > 0 && (l.closing.start == 0 || l.closing.end == 0)
}

// MaxLift returns the lift at the nose, with the ramps.
//
// Rows: ramp-max-lift.
func (l *RampLobe) MaxLift() units.Length {
	if l == nil {
		return 0
	}
	return length(l.lift)
}

// Span returns the flanks with their ramps.
//
// Rows: ramp-span.
func (l *RampLobe) Span() Span {
	if l == nil || l.lobe == nil {
		return Span{}
	}
	s := l.spec.Lobe.Span()
	return Span{s.Opens - l.spec.Opening.Length, s.Closes + l.spec.Closing.Length}
}

// RampZone are the lifts at the lifter between which a ramp runs at its steady
// velocity, where the lash should be taken up.
type RampZone struct{ From, To units.Length }

// RampZones are the two ramps of a lobe; the zero RampZone where there is none or
// it is not known.
type RampZones struct{ Opening, Closing RampZone }

// Zones returns where the two ramps run steadily:
//
//	From = v s/2     To = v (L - s/2)
//
// with the symbols of NewRampLobe; the zero RampZone where there is no ramp.
//
// Source: as NewRampLobe.
//
// Rows: ramp-zone-from, ramp-zone-to.
func (l *RampLobe) Zones() RampZones {
	if l == nil {
		return RampZones{}
	}
	return RampZones{l.opening.zone(), l.closing.zone()}
}

func (r *ramp) zone() RampZone {
	return RampZone{length(r.v * r.start / 2), length(r.v * (r.length - r.start/2))}
}

// TakeUpInput asks how a lobe takes up the lash.
type TakeUpInput struct {
	// Curve is any lobe; its lift counts from the base circle.
	Curve LiftCurve
	// Ratio is the rocker ratio (a ratio), Lash the clearance at the valve,
	// over 0, cold or hot.
	Ratio float64
	Lash  units.Measured[units.Length]
	// Ramps are the steady parts of the ramps: RampLobe.Zones, or read off a
	// measured lobe.
	Ramps RampZones
	// Source says where the ramps are known from; required with them.
	Source units.Source
	Rule   units.DecisionRule
}

// TakeUp is how a lobe takes up the lash on opening and gives it back on closing.
type TakeUp struct {
	// Lifter is the lift of the lifter at which the lash is taken up.
	Lifter units.Measured[units.Length]
	// Opens and Closes are the cam angles from the nose.
	Opens, Closes units.CamAngle
	// Duration is for how long the valve is off its seat.
	Duration units.Measured[units.CrankAngle]
	// Impact is the velocity of the valve at the moment of take-up, Touchdown
	// that at which it meets its seat, both positive.
	Impact, Touchdown units.LiftVelocity
	// OnOpening and OnClosing say whether Lifter lies on the steady part of the
	// ramp. Not given where there is no ramp.
	OnOpening, OnClosing units.Optional[units.Verdict[units.Length]]

	ratio float64
	lash  units.Measured[units.Length]
}

// TakeUpOf answers at which point of a lobe the lash is taken up and given back,
// how fast, and whether inside the ramps:
//
//	Lifter = Lash/Ratio          Impact = Ratio dL/da (Opens)     Touchdown = -Ratio dL/da (Closes)
//	Duration = (Closes - Opens) in crank degrees
//	u_duration = 2 (u_lash/Ratio) (1/|dL/da (Opens)| + 1/|dL/da (Closes)|)
//
// the last of first order. Called with the cold and the hot lash (LashLoop.Hot)
// it tells whether both stay on the ramp and what the change does to the
// duration. A lash under the ramp's steady part is taken up at its curved start;
// one over it on the flank, at the flank's velocity, which hammers the seat.
// The gear is taken as rigid: its give under the spring comes on top of the lash.
// Errors: a curve that is none or a lash that it does not reach (ErrRange), a lash
// of 0 (ErrMissing: a hydraulic lifter takes none up, see HydraulicLifter), a
// zone that is turned round (ErrConflict) or without a source (ErrMissing).
//
// Source: definition of lash and ratio; JCGM 100:2008, 5.1.2; units.Judge.
//
// Rows: takeup-lifter, takeup-impact, takeup-touchdown, takeup-duration-cold,
// takeup-duration-hot, takeup-duration-u, takeup-on-ramp, takeup-off-ramp.
func TakeUpOf(in TakeUpInput) (TakeUp, error) {
	if err := checkCurve("Curve", in.Curve); err != nil {
		return TakeUp{}, err
	}
	if in.Lash.Value == 0 {
		return TakeUp{}, fail("Lash", "", units.ErrMissing, "want a lash over 0; without one nothing is taken up")
	}
	g := ValveGear{Ratio: in.Ratio, Lash: in.Lash.Value}
	if err := g.check(); err != nil {
		return TakeUp{}, err
	}
	if in.Lash.Stated && (in.Lash.U < 0 || in.Lash.U > 10*units.Millimeter) {
		return TakeUp{}, fail("Lash.U", in.Lash.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 10 mm")
	}
	for _, z := range [...]struct {
		name string
		zone RampZone
	}{{"Ramps.Opening", in.Ramps.Opening}, {"Ramps.Closing", in.Ramps.Closing}} {
		switch {
		case z.zone == (RampZone{}):
		case z.zone.From < 0 || z.zone.To > units.Meter:
			return TakeUp{}, fail(z.name, z.zone.From.String()+" to "+z.zone.To.String(), units.ErrRange, "want lifts of 0 to 1 m")
		case z.zone.To <= z.zone.From:
			return TakeUp{}, fail(z.name, z.zone.From.String()+" to "+z.zone.To.String(), units.ErrConflict, "want To over From")
		case !in.Source.Given():
			return TakeUp{}, fail("Source", "", units.ErrMissing, "want where the ramps are known from")
		}
	}
	y := in.Lash.Value.Meters() / in.Ratio
	o, err := OpeningAt(in.Curve, length(y))
	if err != nil {
		return TakeUp{}, inField("Lash", err)
	}
	k := curveOf(in.Curve)
	_, vo := k.eval(o.Opens.Degrees())
	_, vc := k.eval(o.Closes.Degrees())
	t := TakeUp{
		Lifter: units.Measured[units.Length]{Value: length(y), Stated: in.Lash.Stated},
		Opens:  o.Opens, Closes: o.Closes, Duration: units.Unstated(o.Duration),
		Impact: units.LiftVelocity(in.Ratio * vo), Touchdown: units.LiftVelocity(0 - in.Ratio*vc),
		ratio: in.Ratio, lash: in.Lash,
	}
	if in.Lash.Stated {
		u := in.Lash.U.Meters() / in.Ratio
		t.Lifter.U = length(u)
		if u == 0 {
			t.Duration.Stated = true
		} else if spread := 2 * u * (1/math.Abs(vo) + 1/math.Abs(vc)); spread < 720 { // else the slope tells nothing
			t.Duration = units.WithU(o.Duration, crankAngle(spread))
		}
	}
	for _, z := range [...]struct {
		zone    RampZone
		verdict *units.Optional[units.Verdict[units.Length]]
	}{{in.Ramps.Opening, &t.OnOpening}, {in.Ramps.Closing, &t.OnClosing}} {
		if z.zone == (RampZone{}) {
			continue
		}
		v, err := units.Judge(t.Lifter, units.Between(z.zone.From, z.zone.To, in.Source), in.Rule)
		if err != nil {
			return TakeUp{}, err
		}
		*z.verdict = units.Some(v)
	}
	return t, nil
}

// SeatingSpeed answers how fast the valve meets its seat at a speed of the crank:
//
//	speed = Touchdown (m per cam degree) x crank speed/2 (degrees per second)
//
// The speed must be over 0 and up to 100,000 rpm (ErrRange).
//
// Source: the camshaft of a four-stroke engine turns at half the speed of the crank.
//
// Rows: takeup-seating-speed.
func (t TakeUp) SeatingSpeed(crank units.AngularSpeed) (units.Speed, error) {
	if !(crank > 0 && crank.RevolutionsPerMinute() <= 1e5) {
		return 0, fail("crank", crank.String(), units.ErrRange, "want a speed over 0 and up to 100,000 rpm")
	}
	return units.MetersPerSecond(float64(t.Touchdown) * crank.DegreesPerSecond() / 2), nil
}

// Working shows where the lash is taken up.
func (t TakeUp) Working() units.Working {
	if t.ratio == 0 {
		return nil
	}
	src := units.Source{Text: "definition of lash and ratio", Provenance: units.Computed}
	ratio := strconv.FormatFloat(t.ratio, 'g', 6, 64)
	mm := func(v units.LiftVelocity) string {
		return strconv.FormatFloat(v.MillimetersPerCamDegree(), 'g', 4, 64) + " mm/cam deg"
	}
	slope := func(v units.LiftVelocity, at units.CamAngle) string {
		return mm(units.LiftVelocity(float64(v)/t.ratio)) + " at " + at.Text(3)
	}
	w := units.Working{
		{Symbol: "lifter", Formula: "lash/ratio", Numbers: t.lash.Value.String() + "/" + ratio, Value: t.Lifter.String(), Source: src},
		{Symbol: "duration", Formula: "closes - opens", Numbers: t.Closes.Text(3) + " - " + t.Opens.Text(3), Value: t.Duration.Value.Text(3), Source: src},
		{Symbol: "impact", Formula: "ratio x slope at opening", Numbers: ratio + " x " + slope(t.Impact, t.Opens), Value: mm(t.Impact), Source: src},
		{Symbol: "touchdown", Formula: "-ratio x slope at closing", Numbers: "-" + ratio + " x " + slope(0-t.Touchdown, t.Closes), Value: mm(t.Touchdown), Source: src},
	}
	if t.Duration.Stated {
		w = append(w, units.Step{
			Symbol: "u", Formula: "2 (u_lash/ratio) (1/|slope at opening| + 1/|slope at closing|)", Numbers: "u_lash = " + t.lash.U.String(),
			Value: t.Duration.U.Text(3), Source: units.Source{Text: "JCGM 100:2008, 5.1.2", Provenance: units.Verified},
		})
	}
	return w
}

// HydraulicLifter is a lifter that takes up all lash on the base circle and
// gives a little under load.
type HydraulicLifter struct {
	// Ratio is the rocker ratio (a ratio).
	Ratio float64
	// Collapse is by how much the lifter has become shorter, at the lifter, when
	// the valve closes: what leaked past its plunger while the valve was open.
	Collapse units.Length
}

// HydraulicEvent is one opening of a valve under a hydraulic lifter.
type HydraulicEvent struct {
	// Opens and Closes are the cam angles from the nose at the checking lift.
	Opens, Closes units.CamAngle
	Duration      units.CrankAngle
	// Early is by how much the collapse brings the closing forward.
	Early units.CrankAngle
	// MostLift is the lift of the valve had nothing leaked by the nose yet,
	// LeastLift had all of it.
	MostLift, LeastLift units.Length
	// Touchdown is the velocity at which the valve meets its seat, positive.
	Touchdown units.LiftVelocity

	// For Working: lobe lift at opening, and where the seat is met.
	from HydraulicLifter
	at   units.Length
	seat units.CamAngle
}

// Working shows at which lifts of the lobe the valve opens, closes and meets its
// seat; nil for the zero HydraulicEvent.
func (e HydraulicEvent) Working() units.Working {
	if e.from.Ratio == 0 {
		return nil
	}
	src := units.Source{Text: "definition: the lifter is full at opening and has lost its collapse at closing", Provenance: units.Computed}
	ratio := strconv.FormatFloat(e.from.Ratio, 'g', 6, 64)
	mm := strconv.FormatFloat(e.Touchdown.MillimetersPerCamDegree(), 'g', 4, 64) + " mm/cam deg"
	c := e.from.Collapse.String()
	return units.Working{
		{Symbol: "opens", Formula: "lobe lift checkLift/ratio", Numbers: e.at.Text(units.Millimeters, 4) + " on the opening flank", Value: e.Opens.Text(3), Source: src},
		{Symbol: "closes", Formula: "lobe lift checkLift/ratio + collapse", Numbers: e.at.Text(units.Millimeters, 4) + " + " + c + " on the closing flank", Value: e.Closes.Text(3), Source: src},
		{Symbol: "duration", Formula: "closes - opens", Numbers: e.Closes.Text(3) + " - " + e.Opens.Text(3), Value: e.Duration.Text(3), Source: src},
		{Symbol: "touchdown", Formula: "-ratio x slope at lobe lift collapse", Numbers: "-" + ratio + " x slope at " + e.seat.Text(3) + ", lobe lift " + c, Value: mm, Source: src},
	}
}

// Event answers when a valve under a hydraulic lifter opens and closes, at a
// checking lift at the valve. The lifter is full when the valve opens and has
// lost Collapse when it closes:
//
//	lobe lift at opening = checkLift/Ratio     at closing = checkLift/Ratio + Collapse
//
// The touchdown is at a lobe lift of Collapse. When the oil leaks in between does
// not enter; a collapse of the leak-down rate times the open time is the usual
// estimate, and grows as the engine turns slower. At a checking lift of 0 the
// valve opens where the curve leaves the base circle and closes at Collapse,
// which must be over 0 then. Errors: a ratio outside 0.2 to 5, a collapse outside
// 0 to 100 mm, a lift that the lobe does not reach (ErrRange), a checking lift of 0
// without a collapse (ErrMissing).
//
// Source: definition.
//
// Rows: hydraulic-closes, hydraulic-early, hydraulic-duration,
// hydraulic-touchdown, hydraulic-least-lift.
func (h HydraulicLifter) Event(c LiftCurve, checkLift units.Length) (HydraulicEvent, error) {
	if err := checkCurve("LiftCurve", c); err != nil {
		return HydraulicEvent{}, err
	}
	if err := (ValveGear{Ratio: h.Ratio}).check(); err != nil {
		return HydraulicEvent{}, err
	}
	if h.Collapse < 0 || h.Collapse > 100*units.Millimeter {
		return HydraulicEvent{}, fail("Collapse", h.Collapse.String(), units.ErrRange, "want a collapse of 0 to 100 mm")
	}
	if err := checkValveLift("checkLift", checkLift); err != nil {
		return HydraulicEvent{}, err
	}
	if checkLift == 0 && h.Collapse == 0 {
		return HydraulicEvent{}, fail("Collapse", "", units.ErrMissing, "want a collapse, or a checking lift over 0")
	}
	at := length(checkLift.Meters() / h.Ratio)
	full := Opening{Opens: c.Span().Opens, Closes: c.Span().Closes}
	if at > 0 {
		var err error
		if full, err = OpeningAt(c, at); err != nil {
			return HydraulicEvent{}, inField("checkLift", err)
		}
	}
	leaked := full
	if h.Collapse > 0 {
		var err error
		if leaked, err = OpeningAt(c, at+h.Collapse); err != nil {
			return HydraulicEvent{}, inField("Collapse", err)
		}
	}
	k, seat := curveOf(c), c.Span().Closes
	if h.Collapse > 0 {
		o, err := OpeningAt(c, h.Collapse)
		if err != nil {
			return HydraulicEvent{}, inField("Collapse", err)
		}
		seat = o.Closes
	}
	_, v := k.eval(seat.Degrees())
	return HydraulicEvent{
		Opens: full.Opens, Closes: leaked.Closes, Duration: (leaked.Closes - full.Opens).Crank(),
		Early:    (full.Closes - leaked.Closes).Crank(),
		MostLift: length(h.Ratio * c.MaxLift().Meters()), LeastLift: length(h.Ratio * (c.MaxLift() - h.Collapse).Meters()),
		Touchdown: units.LiftVelocity(0 - h.Ratio*v),
		from:      h, at: at, seat: seat,
	}, nil
}
