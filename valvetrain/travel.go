package valvetrain

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// TravelPlace is where a part of the valve gear may run into another. The zero
// TravelPlace is none.
type TravelPlace uint8

// Places.
const (
	RetainerToGuide  TravelPlace = iota + 1 // underside of the retainer to the top of the guide
	RetainerToSeal                          // underside of the retainer to the top of the seal
	RetainerToRocker                        // retainer to the underside of the rocker
	CoilBind                                // the first spring of a nest to its solid height
	SlotToStud                              // end of the slot in a rocker to its stud
	PushrodToHead                           // pushrod to the edge of its hole
)

// String names the place.
func (p TravelPlace) String() string {
	switch p {
	case RetainerToGuide:
		return "retainer to guide"
	case RetainerToSeal:
		return "retainer to seal"
	case RetainerToRocker:
		return "retainer to rocker"
	case CoilBind:
		return "coil bind"
	case SlotToStud:
		return "rocker slot to stud"
	case PushrodToHead:
		return "pushrod to head"
	default:
		return "TravelPlace(" + strconv.Itoa(int(p)) + ")"
	}
}

// TravelRule returns the least gap that builders keep at a place: 0.060 in between
// retainer and guide or seal, 0.060 in to coil bind, 0.040 in between retainer and
// rocker and at either end of a rocker's slot. A rule of the trade: the part
// maker's figure takes precedence. There is none for a pushrod in its hole and
// for an unknown place (ErrMissing).
//
// Source: common practice.
func TravelRule(p TravelPlace) (units.Limits[units.Length], error) {
	least := 60 * units.Thou
	switch p {
	case RetainerToGuide, RetainerToSeal, CoilBind:
	case RetainerToRocker, SlotToStud:
		least = 40 * units.Thou
	default:
		return units.Limits[units.Length]{}, fail("TravelPlace", p.String(), units.ErrMissing, "there is no rule of the trade for this place: want a limit of your own")
	}
	return units.AtLeast(least, practice), nil
}

// GapAtLift is the gap at a place with the valve open.
type GapAtLift struct {
	Gap units.Measured[units.Length] // negative where the parts would overlap
	// Closing is how much of it each further lift takes (a ratio).
	Closing float64
}

// TravelGap is a gap that depends on how far the valve is open. ClosingGap,
// RockerSlot, PushrodHole and GapReadings are TravelGaps.
type TravelGap interface {
	// GapAt returns the least gap on the way from the closed valve to a lift.
	GapAt(lift units.Length) (GapAtLift, error)
}

// ClosingGap is the gap with the valve closed where it closes as the valve
// opens, lift for lift: under a retainer, or height less solid height of a spring.
type ClosingGap units.Measured[units.Length]

// GapAt answers what is left of the gap: closed - lift. Negative is data. Errors: a
// gap that is negative or over 10 m, a negative lift. It does not allocate.
//
// Rows: travel-seal, travel-seal-u.
func (g ClosingGap) GapAt(lift units.Length) (GapAtLift, error) {
	m := units.Measured[units.Length](g)
	if err := checkSpan("ClosingGap", m.Value); err != nil {
		return GapAtLift{}, err
	}
	if err := checkMeasuredU("ClosingGap", m); err != nil {
		return GapAtLift{}, err
	}
	if err := checkSpan("lift", lift); err != nil {
		return GapAtLift{}, err
	}
	m.Value -= lift
	return GapAtLift{m, 1}, nil
}

// BindGap answers how far a nest of springs can close before the first of its
// springs is solid: height - solid height, with u^2 the sum of their squares.
// Errors: no spring, a height that is missing; a solid height that is not known
// (ErrMissing) or over the height (ErrImpossible).
//
// Source: definition.
//
// Rows: travel-bind.
func (n Nest) BindGap(height units.Measured[units.Length]) (ClosingGap, error) {
	if err := n.check(); err != nil {
		return ClosingGap{}, err
	}
	if err := checkMeasuredSize("height", height); err != nil {
		return ClosingGap{}, err
	}
	solid := n.SolidHeight()
	switch {
	case solid.Value <= 0:
		return ClosingGap{}, fail("Springs", "", units.ErrMissing, "want the solid height of every spring")
	case solid.Value > height.Value:
		return ClosingGap{}, fail("height", text(height.Value), units.ErrImpossible, "want more than the solid height "+text(solid.Value))
	}
	if err := checkMeasuredU("Springs.Solid", solid); err != nil {
		return ClosingGap{}, err
	}
	g := units.Measured[units.Length]{Value: height.Value - solid.Value, Stated: height.Stated && solid.Stated}
	if g.Stated {
		g.U = root(height.U, solid.U)
	}
	return ClosingGap(g), nil
}

// RockerSlot is a rocker that turns on a ball or trunnion about a stud, which
// stands in a slot of it.
type RockerSlot struct {
	// Slot is the length of the slot along the rocker, centered on the pivot;
	// Stud the diameter of the stud.
	Slot, Stud units.Measured[units.Length]
	// Edge is how far the farther edge of the slot lies over or under the
	// pivot's center, along the stud.
	Edge units.Length
	// TipArm is the length from the pivot to the point that works on the valve.
	TipArm units.Length
	// Closed is the turn of the rocker from where its slot stands square to the
	// stud, with the valve closed: positive on the side to which it turns as the valve
	// opens, so negative as a rule.
	Closed PlaneAngle
	// TipClosed is the turn of the tip arm from square to the stem, with the
	// valve closed, with the sign of Closed: an arm that is square at half lift
	// starts at -asin(lift/(2 TipArm)).
	TipClosed PlaneAngle
}

func (s *RockerSlot) check() error {
	if err := checkMeasuredSize("Slot", s.Slot); err != nil {
		return err
	}
	if err := checkMeasuredSize("Stud", s.Stud); err != nil {
		return err
	}
	if err := checkSpan("Edge", s.Edge); err != nil {
		return err
	}
	if err := checkSize("TipArm", s.TipArm); err != nil {
		return err
	}
	const most = math.Pi / 3
	switch {
	case !(math.Abs(float64(s.Closed)) <= most):
		return fail("Closed", s.Closed.String(), units.ErrRange, "want an angle within 60 degrees")
	case !(math.Abs(float64(s.TipClosed)) <= most):
		return fail("TipClosed", s.TipClosed.String(), units.ErrRange, "want an angle within 60 degrees")
	case s.Slot.Value <= s.Stud.Value:
		return fail("Slot", text(s.Slot.Value), units.ErrImpossible, "want a slot longer than the stud is thick")
	}
	return nil
}

// TurnAt answers where a rocker stands at a valve lift, from where its slot is
// square to the stud:
//
//	turn = Closed + asin(sin TipClosed + lift/TipArm) - TipClosed
//
// the tip going straight along the stem. With the tip arm square at half lift the
// swing is 2 asin(lift/(2 TipArm)). Errors: a size that is missing or not over 0,
// an angle over 60 degrees, a slot no longer than the stud, a lift that the arm
// cannot make (ErrImpossible). It does not allocate.
//
// Source: plane geometry.
//
// Rows: travel-swing-1, travel-swing-2, travel-swing-3.
func (s RockerSlot) TurnAt(lift units.Length) (PlaneAngle, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if err := checkSpan("lift", lift); err != nil {
		return 0, err
	}
	x := math.Sin(float64(s.TipClosed)) + lift.Meters()/s.TipArm.Meters()
	if x > 1 {
		return 0, fail("lift", text(lift), units.ErrImpossible, "the tip arm cannot reach it")
	}
	return s.Closed + PlaneAngle(math.Asin(x)) - s.TipClosed, nil
}

// gap returns the gap between the stud and the nearer end of the slot at a turn,
// and how fast it closes with the turn, in meters.
func (s *RockerSlot) gap(turn PlaneAngle) (gap, closing float64) {
	sin, cos := math.Sincos(math.Abs(float64(turn)))
	half, edge := s.Slot.Value.Meters()/2, s.Edge.Meters()
	return half*cos - edge*sin - s.Stud.Value.Meters()/2, half*sin + edge*cos
}

// GapAt answers how near the ends of the slot come to the stud on the way from the
// closed valve to a lift:
//
//	gap = (Slot/2) cos t - Edge |sin t| - Stud/2     u^2 = (u_Slot cos t/2)^2 + (u_Stud/2)^2
//
// square to the stud, with t the turn of TurnAt; it falls with |t|, so that the
// least is at one of the two ends of the swing. Errors: those of TurnAt. It
// does not allocate.
//
// Source: plane geometry: the distance of the edge from the stud's axis.
//
// Rows: travel-slot, travel-slot-closed, travel-slot-u.
func (s RockerSlot) GapAt(lift units.Length) (GapAtLift, error) {
	turn, err := s.TurnAt(lift)
	if err != nil {
		return GapAtLift{}, err
	}
	worst, moving := turn, true
	if math.Abs(float64(s.Closed)) > math.Abs(float64(turn)) {
		worst, moving = s.Closed, false
	}
	gap, closing := s.gap(worst)
	g := GapAtLift{Gap: units.Measured[units.Length]{Value: count(gap), Stated: s.Slot.Stated && s.Stud.Stated}}
	if g.Gap.Stated {
		g.Gap.U = count(math.Hypot(s.Slot.U.Meters()*math.Cos(float64(worst))/2, s.Stud.U.Meters()/2))
	}
	if cos := math.Cos(float64(turn - s.Closed + s.TipClosed)); moving && turn > 0 && cos > 1e-6 {
		g.Closing = closing / (s.TipArm.Meters() * cos)
	}
	return g, nil
}

// PushrodStand is where the two ends of a pushrod are at one valve lift, their
// centers in the axes of HeadPlace.
type PushrodStand struct {
	Lift         units.Length
	Lower, Upper HeadPlace
}

// PushrodHole is a pushrod that goes through a round hole or a guide plate along
// Z.
type PushrodHole struct {
	// Hole and Rod are diameters.
	Hole, Rod units.Measured[units.Length]
	// Center is the middle of the hole at its lower edge (Z counts), Top the Z
	// of its upper edge.
	Center HeadPlace
	Top    units.Length
	// Stands are two or more stands of the pushrod, lifts increasing from 0, as
	// measured or from a linkage. Between two of them, and past the last, the
	// ends go straight on.
	Stands []PushrodStand
}

func (h *PushrodHole) check() error {
	if err := checkMeasuredSize("Hole", h.Hole); err != nil {
		return err
	}
	if err := checkMeasuredSize("Rod", h.Rod); err != nil {
		return err
	}
	if err := checkPlace("Center", h.Center); err != nil {
		return err
	}
	switch {
	case h.Rod.Value >= h.Hole.Value:
		return fail("Rod", text(h.Rod.Value), units.ErrImpossible, "want a rod thinner than the hole")
	case h.Top < h.Center.Z || h.Top > maxSize:
		return fail("Top", h.Top.String(), units.ErrConflict, "want an upper edge that is not under the lower one")
	case len(h.Stands) < 2:
		return fail("Stands", "", units.ErrMissing, "want two or more stands of the pushrod")
	case len(h.Stands) > maxCount:
		return fail("Stands", "", units.ErrRange, "want at most 10000 stands")
	}
	for i := range h.Stands {
		s := &h.Stands[i]
		if err := s.check(h); err != nil {
			return within(at("Stands", i), err)
		}
		if i == 0 && s.Lift != 0 || i > 0 && s.Lift <= h.Stands[i-1].Lift || s.Lift > maxSize {
			return fail(at("Stands", i)+".Lift", s.Lift.String(), units.ErrConflict, "want lifts that increase from 0")
		}
	}
	return nil
}

func (s *PushrodStand) check(h *PushrodHole) error {
	if err := checkPlace("Lower", s.Lower); err != nil {
		return err
	}
	if err := checkPlace("Upper", s.Upper); err != nil {
		return err
	}
	if s.Lower.Z >= h.Center.Z || s.Upper.Z <= h.Top {
		return fail("Lower.Z", s.Lower.Z.String(), units.ErrImpossible, "want the ends of the pushrod under and over the hole")
	}
	return nil
}

// at returns the stand at a lift over the first: straight from one to the next.
func (h *PushrodHole) at(lift units.Length) (lower, upper space) {
	k := 1
	for k < len(h.Stands)-1 && lift > h.Stands[k].Lift {
		k++
	}
	a, b := &h.Stands[k-1], &h.Stands[k]
	t := float64(lift-a.Lift) / float64(b.Lift-a.Lift)
	return mix(a.Lower.meters(), b.Lower.meters(), t), mix(a.Upper.meters(), b.Upper.meters(), t)
}

func (p HeadPlace) meters() space { return space{p.X.Meters(), p.Y.Meters(), p.Z.Meters()} }

// gap returns the gap at one stand, at the nearer of the two edges.
func (h *PushrodHole) gap(lift units.Length) float64 {
	lower, upper := h.at(lift)
	along := upper.less(lower)
	most := 0.0
	for _, z := range [...]float64{h.Center.Z.Meters(), h.Top.Meters()} {
		p := mix(lower, upper, (z-lower.z)/along.z)
		most = max(most, math.Hypot(p.x-h.Center.X.Meters(), p.y-h.Center.Y.Meters()))
	}
	return h.Hole.Value.Meters()/2 - most - h.Rod.Value.Meters()/2*along.length()/along.z
}

// GapAt answers how near a pushrod comes to the edges of its hole on the way from
// the closed valve to a lift:
//
//	gap = Hole/2 - e - (Rod/2)/cos g     u^2 = (u_Hole/2)^2 + (u_Rod/2)^2
//
// with e the offset of the rod's axis from that of the hole at the lower or the
// upper edge, whichever is more, and g the angle between the two axes. The rod is
// cut as an ellipse there, and its longer half counts whichever way it lies: the gap
// is stated too small by no more than (Rod/2)(1/cos g - 1). The least of all
// stands up to the lift counts, and that at the lift; give stands where
// the rod turns back sideways, between which the gap is not looked at. Errors: a diameter missing
// or not over 0, a rod as thick as the hole, ends that are not under and over the
// hole, lifts that do not increase from 0, under two stands. It does not allocate.
//
// Source: geometry.
//
// Rows: travel-pushrod, travel-pushrod-u, travel-pushrod-mid.
func (h PushrodHole) GapAt(lift units.Length) (GapAtLift, error) {
	if err := h.check(); err != nil {
		return GapAtLift{}, err
	}
	if err := checkSpan("lift", lift); err != nil {
		return GapAtLift{}, err
	}
	last := h.gap(lift)
	least := last
	for i := range h.Stands {
		if l := h.Stands[i].Lift; l < lift {
			least = min(least, h.gap(l))
		}
	}
	if lower, upper := h.at(lift); !(lower.z < h.Center.Z.Meters() && upper.z > h.Top.Meters()) {
		return GapAtLift{}, fail("lift", text(lift), units.ErrRange, "the stands leave the hole at that lift")
	}
	if !(math.Abs(least) <= farOff) {
		return GapAtLift{}, fail("lift", text(lift), units.ErrRange, "the last stands lie too near each other to be drawn on so far")
	}
	g := GapAtLift{Gap: units.Measured[units.Length]{Value: count(least), Stated: h.Hole.Stated && h.Rod.Stated}}
	if g.Gap.Stated {
		g.Gap.U = root(h.Hole.U, h.Rod.U) / 2
	}
	if step := units.Micrometer; last <= least {
		g.Closing = max((last-h.gap(lift+step))/step.Meters(), 0)
	}
	return g, nil
}

// farOff bounds what readings are drawn on to, in meters.
const farOff = 1e5

// GapReading is a gap as read at one valve lift.
type GapReading struct {
	Lift units.Length
	Gap  units.Measured[units.Length]
}

// GapReadings are two or more readings of one gap, lifts increasing from 0.
// Between two of them the gap runs straight, and past the last it goes on as
// between the last two, unless it would grow.
type GapReadings []GapReading

// GapAt answers what the readings tell of the least gap on the way from the closed
// valve to a lift: the least of the readings up to there and of the straight line
// at the lift. The uncertainty is that of the reading, on a line the larger of its
// two, past the last that of the line drawn on, u^2 = (1 + t)^2 u_n^2 + t^2 u_(n-1)^2
// with t the way past the last in steps of the last two. Errors: under two
// readings, lifts that do not increase from 0, a gap outside 10 m, a negative
// uncertainty. It does not allocate.
//
// Source: definition.
//
// Rows: travel-read, travel-read-beyond, travel-read-u.
func (r GapReadings) GapAt(lift units.Length) (GapAtLift, error) {
	if len(r) < 2 {
		return GapAtLift{}, fail("GapReadings", "", units.ErrMissing, "want two or more readings")
	}
	if err := checkSpan("lift", lift); err != nil {
		return GapAtLift{}, err
	}
	for i := range r {
		if r[i].Gap.Value < -maxSize || r[i].Gap.Value > maxSize {
			return GapAtLift{}, fail(at("GapReadings", i)+".Gap", r[i].Gap.Value.String(), units.ErrRange, "want a gap within 10 m")
		}
		if r[i].Gap.Stated || r[i].Gap.U != 0 {
			if err := checkMeasuredU("Gap", r[i].Gap); err != nil {
				return GapAtLift{}, within(at("GapReadings", i), err)
			}
		}
		if i == 0 && r[i].Lift != 0 || i > 0 && r[i].Lift <= r[i-1].Lift || r[i].Lift > maxSize {
			return GapAtLift{}, fail(at("GapReadings", i)+".Lift", r[i].Lift.String(), units.ErrConflict, "want lifts that increase from 0")
		}
	}
	k := 1
	for k < len(r)-1 && lift > r[k].Lift {
		k++
	}
	a, b := r[k-1], r[k]
	step := (b.Lift - a.Lift).Meters()
	fall := (a.Gap.Value - b.Gap.Value).Meters() / step
	t := (lift - b.Lift).Meters() / step
	g := GapAtLift{Gap: units.Measured[units.Length]{Stated: a.Gap.Stated && b.Gap.Stated}}
	if t > 0 && fall < 0 {
		t, fall = 0, 0 // it would grow past the last
	}
	closed, u := t*step*fall, max(a.Gap.U, b.Gap.U).Meters()
	if t > 0 {
		u = math.Hypot((1+t)*b.Gap.U.Meters(), t*a.Gap.U.Meters())
	}
	if !(math.Abs(closed) <= farOff && u <= farOff) {
		return GapAtLift{}, fail("lift", text(lift), units.ErrRange, "the last readings lie too near each other to be drawn on so far")
	}
	g.Gap.Value = b.Gap.Value - count(closed)
	if g.Gap.Stated {
		g.Gap.U = count(u)
	}
	g.Closing = max(fall, 0)
	for i := range r {
		if r[i].Lift <= lift && r[i].Gap.Value < g.Gap.Value {
			g = GapAtLift{Gap: r[i].Gap}
		}
	}
	return g, nil
}

// TravelLimit is one place to look at.
type TravelLimit struct {
	Place TravelPlace
	Gap   TravelGap
	// Least is the gap that must remain, if it is to be judged; TravelRule has
	// the trade's. An upper limit is judged, too, but stops no travel.
	Least units.Optional[units.Limits[units.Length]]
}

// Travel is how far a valve is moved and what may stop it.
type Travel struct {
	// Lift is the greatest lift of the valve, OverTravel what it may go beyond
	// at speed; not given it is 0.
	Lift, OverTravel units.Measured[units.Length]
	Limits           []TravelLimit
	Rule             units.DecisionRule
}

// TravelCheck is what is found at one place.
type TravelCheck struct {
	Place TravelPlace
	// AtLift is the gap at full lift, AtMost that with the over-travel, which
	// is the one that is judged.
	AtLift, AtMost units.Measured[units.Length]
	Verdict        units.Optional[units.Verdict[units.Length]]
	// Reached is the lift at which the gap comes down to the least that must
	// remain, 0 where no least is given, and Left what remains to it from Lift:
	// negative where it is already passed. Not given where the gap does not
	// come down to it within ten times the lift.
	Reached, Left units.Optional[units.Length]
}

// TravelReport is what stops a valve.
type TravelReport struct {
	Travel Travel
	Checks []TravelCheck
	// First is the check that is reached first, -1 where none is, and Left the
	// lift that remains to it, over-travel not taken off.
	First int
	Left  units.Length
	// Outcome is the worst of the verdicts: within only if every place was
	// judged and is proved within.
	Outcome units.Outcome
}

// Check answers whether all parts keep clear of each other at full lift and with
// the over-travel, which limit is reached first and how much lift remains to it.
// With gap(l) of each TravelGap and c its closing:
//
//	at lift  gap(Lift)     at most  gap(Lift + OverTravel)
//	u^2 = u_gap^2 + (c u_Lift)^2 (+ (c u_OverTravel)^2 at most)
//	left = largest l with gap(l) >= least - Lift
//
// found by halving on whole counts: a least gap on the way never grows with the
// lift. The uncertainty is stated where those of the gap and of the lift are, an
// over-travel that is not given counting as stated. Errors: a lift not over 0, a negative
// over-travel, no limits or over 100, a limit without a place or a gap; those of the
// gaps under the name of the limit; limits that units.Judge refuses.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: travel-seal, travel-seal-u, travel-slot, travel-slot-closed,
// travel-slot-u, travel-bind, travel-pushrod, travel-pushrod-u,
// travel-pushrod-mid, travel-read, travel-read-beyond, travel-read-u,
// travel-left, travel-left-slot, travel-first, travel-verdict,
// travel-verdict-not, travel-verdict-outside.
func (t Travel) Check() (TravelReport, error) {
	if err := checkMeasuredSize("Lift", t.Lift); err != nil {
		return TravelReport{}, err
	}
	if err := checkSpan("OverTravel", t.OverTravel.Value); err != nil {
		return TravelReport{}, err
	}
	if err := checkMeasuredU("OverTravel", t.OverTravel); err != nil {
		return TravelReport{}, err
	}
	if len(t.Limits) == 0 {
		return TravelReport{}, fail("Limits", "", units.ErrMissing, "want at least one place to look at")
	}
	if len(t.Limits) > 100 {
		return TravelReport{}, fail("Limits", strconv.Itoa(len(t.Limits)), units.ErrRange, "want at most 100 places")
	}
	r := TravelReport{Travel: t, Checks: make([]TravelCheck, len(t.Limits)), First: -1, Outcome: units.ProvedWithin}
	for i, l := range t.Limits {
		c, err := t.check(l)
		if err != nil {
			return TravelReport{}, within(at("Limits", i), err)
		}
		r.Checks[i] = c
		if c.Left.Given && (r.First < 0 || c.Left.Value < r.Left) {
			r.First, r.Left = i, c.Left.Value
		}
		o := units.NotProved
		if c.Verdict.Given {
			o = c.Verdict.Value.Outcome
		}
		r.Outcome = worse(r.Outcome, o)
	}
	return r, nil
}

func (t *Travel) check(l TravelLimit) (TravelCheck, error) {
	if l.Place == 0 || l.Place > PushrodToHead {
		return TravelCheck{}, fail("Place", l.Place.String(), units.ErrMissing, "want a place")
	}
	if l.Gap == nil {
		return TravelCheck{}, fail("Gap", "", units.ErrMissing, "want a gap")
	}
	c := TravelCheck{Place: l.Place}
	full, err := l.Gap.GapAt(t.Lift.Value)
	if err != nil {
		return TravelCheck{}, err
	}
	over, err := l.Gap.GapAt(t.Lift.Value + t.OverTravel.Value)
	if err != nil {
		return TravelCheck{}, err
	}
	c.AtLift = full.with(t.Lift)
	c.AtMost = over.with(t.Lift)
	if t.OverTravel != (units.Measured[units.Length]{}) {
		c.AtMost = GapAtLift{c.AtMost, over.Closing}.with(t.OverTravel)
	}
	var least units.Length
	if l.Least.Given {
		v, err := units.Judge(c.AtMost, l.Least.Value, t.Rule)
		if err != nil {
			return TravelCheck{}, fail("Least", l.Least.Value.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
		}
		c.Verdict = units.Some(v)
		if l.Least.Value.HasMin {
			least = l.Least.Value.Min
		}
	}
	c.reach(l.Gap, least, t.Lift.Value)
	return c, nil
}

// with returns the gap with the uncertainty of a lift added.
func (g GapAtLift) with(lift units.Measured[units.Length]) units.Measured[units.Length] {
	if !g.Gap.Stated || !lift.Stated {
		return units.Unstated(g.Gap.Value)
	}
	return units.WithU(g.Gap.Value, count(math.Hypot(g.Gap.U.Meters(), g.Closing*lift.U.Meters())))
}

// reach finds the largest lift at which a gap is not under the least. A lift that
// the parts cannot make counts as one that is stopped before.
func (c *TravelCheck) reach(gap TravelGap, least, lift units.Length) {
	keeps := func(l units.Length) bool {
		g, err := gap.GapAt(l)
		return err == nil && g.Gap.Value >= least
	}
	lo, hi := units.Length(0), min(10*lift, maxSize)
	if keeps(hi) {
		return
	}
	if !keeps(lo) {
		hi = lo // already too near with the valve closed
	}
	for hi-lo > 1 {
		if mid := lo + (hi-lo)/2; keeps(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	c.Reached, c.Left = units.Some(lo), units.Some(lo-lift)
}

// Working returns the derivation.
func (r TravelReport) Working() units.Working {
	var w units.Working
	for _, c := range r.Checks {
		name := c.Place.String()
		w = append(w, units.Step{Symbol: name, Formula: "gap at full lift", Numbers: "lift " + num(r.Travel.Lift.Value), Value: measuredText(c.AtLift), Source: definition})
		if r.Travel.OverTravel.Value != 0 {
			w = append(w, units.Step{Symbol: name, Formula: "gap with the over-travel", Numbers: num(r.Travel.Lift.Value) + " + " + num(r.Travel.OverTravel.Value), Value: measuredText(c.AtMost), Source: definition})
		}
		if c.Left.Given {
			w = append(w, units.Step{Symbol: name, Formula: "lift left until the least gap", Numbers: num(c.Reached.Value) + " - " + num(r.Travel.Lift.Value), Value: text(c.Left.Value), Source: definition})
		}
	}
	if r.First >= 0 && r.First < len(r.Checks) {
		w = append(w, units.Step{Symbol: "left", Formula: "reached first: " + r.Checks[r.First].Place.String(), Value: text(r.Left), Source: definition})
	}
	return w
}

// Cautions returns what to mind when travel limits are tried.
func (r TravelReport) Cautions() []units.Caution {
	c := append(turningCautions(), springCautions()...)
	if r.First >= 0 && r.First < len(r.Checks) && r.Left < r.Travel.OverTravel.Value {
		c = append(c, units.Caution{Text: r.Checks[r.First].Place.String() + " is reached before full lift and over-travel: do not run the engine", Source: definition})
	}
	return c
}
