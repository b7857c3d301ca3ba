package camtiming

import (
	"strings"

	"example.com/trialfit/units"
)

func fail(field, value string, kind error, reason string) error {
	return &units.InputError{Package: "camtiming", Field: field, Value: value, Reason: reason, Kind: kind}
}

// within reports whether v lies in [-limit, limit]; unlike a magnitude it also
// refuses the smallest integer, which has none.
func within[T ~int64](v, limit T) bool { return -limit <= v && v <= limit }

// Events are the four valve events as the trade writes them, all positive
// when on their usual side of their dead center; a negative figure means the
// other side (an intake that opens after top dead center has a negative IVO).
// They hold at one checking lift, which the caller knows.
type Events struct {
	IVO units.CrankAngle // intake opens, before top dead center
	IVC units.CrankAngle // intake closes, after bottom dead center
	EVO units.CrankAngle // exhaust opens, before bottom dead center
	EVC units.CrankAngle // exhaust closes, after top dead center
}

// Timing is the same information as Events, written as durations and
// centerlines. The centerlines are midpoints of the events, which is the nose
// of the lobe only for a symmetric lobe.
type Timing struct {
	IntakeDuration    units.CrankAngle
	ExhaustDuration   units.CrankAngle
	IntakeCenterline  units.CrankAngle // after top dead center of overlap
	ExhaustCenterline units.CrankAngle // before top dead center of overlap
}

// Derived holds what follows from a Timing.
type Derived struct {
	Overlap    units.CrankAngle // IVO + EVC; negative is a gap
	Separation units.CamAngle   // lobe separation, in cam degrees
	Advance    units.CrankAngle // positive when every event comes earlier
	BothSeated units.CrankAngle // crank rotation per cycle with both valves seated
}

// validate refuses events that no valve can have: each duration must lie in
// (0, 720) crank degrees.
func (e Events) validate() error {
	for _, f := range [...]struct {
		name  string
		angle units.CrankAngle
	}{{"IVO", e.IVO}, {"IVC", e.IVC}, {"EVO", e.EVO}, {"EVC", e.EVC}} {
		if f.angle <= -units.CrankTurn || f.angle >= units.CrankTurn {
			return fail(f.name, f.angle.String(), units.ErrRange, "want an event within one turn of its dead center")
		}
	}
	if err := checkDuration("IVO+180+IVC", e.IVO+e.IVC+units.CrankTurn/2); err != nil {
		return err
	}
	return checkDuration("EVO+180+EVC", e.EVO+e.EVC+units.CrankTurn/2)
}

func checkDuration(field string, d units.CrankAngle) error {
	if d <= 0 || d >= units.CrankCycle {
		return fail(field, d.String(), units.ErrRange, "want a duration over 0 and under 720 crank degrees")
	}
	return nil
}

// Timing answers how long each valve is open and where the middle of each
// opening lies:
//
//	Di  = IVO + 180 + IVC       De  = EVO + 180 + EVC
//	ICL = Di/2 - IVO (ATDC)     ECL = De/2 - EVC (BTDC)
//
// with Di = IntakeDuration, De = ExhaustDuration, ICL = IntakeCenterline,
// ECL = ExhaustCenterline, all in crank degrees. Valid for events within one
// turn of their dead center, durations over 0 and under 720 and centerlines
// within one turn; otherwise ErrRange. Exact to one count (1e-9 degree; halving
// an odd count), and Timing.Events gives the events back without loss.
//
// Source: definition; TM 9-8000 (1985) p. 2-35 and DOE-HDBK-1018/1-93 print
// events with durations and overlap.
//
// Rows: doe-int-duration, doe-exh-duration, doe-int-centre, doe-exh-centre,
// tm9-8000-int-duration, ev-timing-di, ev-timing-de, ev-timing-icl.
func (e Events) Timing() (Timing, error) {
	if err := e.validate(); err != nil {
		return Timing{}, err
	}
	t := Timing{
		IntakeDuration:  e.IVO + units.CrankTurn/2 + e.IVC,
		ExhaustDuration: e.EVO + units.CrankTurn/2 + e.EVC,
	}
	t.IntakeCenterline = t.IntakeDuration/2 - e.IVO
	t.ExhaustCenterline = t.ExhaustDuration/2 - e.EVC
	if err := t.validate(); err != nil {
		return Timing{}, err
	}
	return t, nil
}

// Working shows the derivation with the numbers of e.
func (e Events) Working() units.Working {
	t, err := e.Timing()
	if err != nil {
		return nil
	}
	src := units.Source{Text: "definition of duration and event midpoint", Provenance: units.Computed}
	d := func(a units.CrankAngle) string { return a.Text(2) }
	return units.Working{
		{Symbol: "Di", Formula: "IVO + 180 + IVC", Numbers: d(e.IVO) + " + 180 + " + d(e.IVC), Value: d(t.IntakeDuration), Source: src},
		{Symbol: "De", Formula: "EVO + 180 + EVC", Numbers: d(e.EVO) + " + 180 + " + d(e.EVC), Value: d(t.ExhaustDuration), Source: src},
		{Symbol: "ICL", Formula: "Di/2 - IVO", Numbers: d(t.IntakeDuration) + "/2 - " + d(e.IVO), Value: d(t.IntakeCenterline), Source: src},
		{Symbol: "ECL", Formula: "De/2 - EVC", Numbers: d(t.ExhaustDuration) + "/2 - " + d(e.EVC), Value: d(t.ExhaustCenterline), Source: src},
	}
}

// Events answers at which crank angles the valves open and close when
// durations and centerlines are known; the inverse of Events.Timing:
//
//	IVO = Di/2 - ICL            EVC = De/2 - ECL
//	IVC = Di/2 + ICL - 180      EVO = De/2 + ECL - 180
//
// Durations outside (0, 720) crank degrees, centerlines outside (-360, 360) and
// events that would lie a turn or more from their dead center are ErrRange.
//
// Rows: ev-io, ev-ic, ev-eo, ev-ec.
func (t Timing) Events() (Events, error) {
	if err := t.validate(); err != nil {
		return Events{}, err
	}
	ivo := t.IntakeDuration/2 - t.IntakeCenterline
	evc := t.ExhaustDuration/2 - t.ExhaustCenterline
	e := Events{
		IVO: ivo, IVC: t.IntakeDuration - units.CrankTurn/2 - ivo,
		EVO: t.ExhaustDuration - units.CrankTurn/2 - evc, EVC: evc,
	}
	if err := e.validate(); err != nil {
		return Events{}, err
	}
	return e, nil
}

func (t Timing) validate() error {
	if err := checkDuration("IntakeDuration", t.IntakeDuration); err != nil {
		return err
	}
	if err := checkDuration("ExhaustDuration", t.ExhaustDuration); err != nil {
		return err
	}
	if err := checkCenterline("IntakeCenterline", t.IntakeCenterline); err != nil {
		return err
	}
	return checkCenterline("ExhaustCenterline", t.ExhaustCenterline)
}

func checkCenterline(field string, a units.CrankAngle) error {
	if a <= -units.CrankTurn || a >= units.CrankTurn {
		return fail(field, a.String(), units.ErrRange, "want a centerline within one turn of top dead center of overlap")
	}
	return nil
}

// Derive answers what the centerlines and durations say together:
//
//	separation = (ICL + ECL).Cam()        [cam degrees: numerically (ICL+ECL)/2]
//	advance    = separation.Crank()/2 - ICL = (ECL - ICL)/2
//	overlap    = (Di + De)/2 - (ICL + ECL)
//	both seated = 720 - (Di + De - max(overlap, 0))
//
// Advance is positive when every event comes earlier than with ICL = ECL
// ("straight up"). BothSeated also counts what the valves share at the other
// end of the cycle, and no more than the shorter duration where one opening
// lies inside the other. Errors as for Events.
//
// Rows: doe-overlap, tm9-8000-overlap, doe-lsa, doe-advance, doe-both-closed,
// tractor-overlap, faa-both-seated, faa-overlap-15-15, sep-106-114,
// adv-106-114, sep-108-104, adv-108-104, adv-110-110, seated-106-114.
func (t Timing) Derive() (Derived, error) {
	if err := t.validate(); err != nil {
		return Derived{}, err
	}
	sep := (t.IntakeCenterline + t.ExhaustCenterline).Cam()
	d := Derived{
		Separation: sep,
		Advance:    sep.Crank()/2 - t.IntakeCenterline,
		Overlap:    t.IntakeDuration/2 + t.ExhaustDuration/2 - sep.Crank(),
	}
	// What the two openings share on this side of the cycle and on the other.
	apart := sep.Crank().Abs()
	shared := func(apart units.CrankAngle) units.CrankAngle {
		return min(max(t.IntakeDuration/2+t.ExhaustDuration/2-apart, 0), t.IntakeDuration, t.ExhaustDuration)
	}
	d.BothSeated = max(units.CrankCycle-t.IntakeDuration-t.ExhaustDuration+shared(apart)+shared(units.CrankCycle-apart), 0)
	return d, nil
}

// Working shows what Derive makes of the timing; nil where it refuses it.
func (t Timing) Working() units.Working {
	r, err := t.Derive()
	if err != nil {
		return nil
	}
	src := units.Source{Text: "definition of lobe separation, advance and overlap", Provenance: units.Computed}
	d := func(a units.CrankAngle) string { return a.Text(2) }
	sum := t.IntakeCenterline + t.ExhaustCenterline
	both := t.IntakeDuration + t.ExhaustDuration
	shared := r.BothSeated - units.CrankCycle + both
	return units.Working{
		{Symbol: "separation", Formula: "(ICL + ECL)/2, in cam degrees", Numbers: "(" + d(t.IntakeCenterline) + " + " + d(t.ExhaustCenterline) + ")/2", Value: r.Separation.Text(2), Source: src},
		{Symbol: "advance", Formula: "(ECL - ICL)/2", Numbers: "(" + d(t.ExhaustCenterline) + " - " + d(t.IntakeCenterline) + ")/2", Value: d(r.Advance), Source: src},
		{Symbol: "overlap", Formula: "(Di + De)/2 - (ICL + ECL)", Numbers: "(" + d(t.IntakeDuration) + " + " + d(t.ExhaustDuration) + ")/2 - " + d(sum), Value: d(r.Overlap), Source: src},
		{Symbol: "both seated", Formula: "720 - Di - De + what the openings share", Numbers: "720 - " + d(t.IntakeDuration) + " - " + d(t.ExhaustDuration) + " + " + d(shared), Value: d(r.BothSeated), Source: src},
	}
}

// At returns the timing of the same cam installed with another advance: every
// event moves earlier by the difference, nothing else changes. It does not
// check its input; Events and Derive refuse a result out of range.
//
//	ICL = separation.Crank()/2 - advance    ECL = separation.Crank()/2 + advance
//
// Rows: at-advance-icl.
func (t Timing) At(advance units.CrankAngle) Timing {
	half := (t.IntakeCenterline + t.ExhaustCenterline) / 2
	t.ExhaustCenterline += t.IntakeCenterline
	t.IntakeCenterline = half - advance
	t.ExhaustCenterline -= t.IntakeCenterline
	return t
}

// EventKind is one of the four valve events.
type EventKind uint8

// The four valve events.
const (
	IntakeOpens EventKind = iota + 1
	IntakeCloses
	ExhaustOpens
	ExhaustCloses
)

// String returns "IVO", "IVC", "EVO" or "EVC".
func (k EventKind) String() string {
	switch k {
	case IntakeOpens:
		return "IVO"
	case IntakeCloses:
		return "IVC"
	case ExhaustOpens:
		return "EVO"
	case ExhaustCloses:
		return "EVC"
	default:
		return "unknown event"
	}
}

// ParseEvent reads one valve event as a card prints it, "28 deg BTDC",
// "43 deg ABDC", "5 deg ATDC", "48 deg 30 min BBDC", and returns the figure in the
// sense of Events: positive on the usual side of the usual dead center,
// negative on the other. The other dead center is understood too: an intake
// closing at 137 deg BTDC is 43 deg ABDC, because the two dead centers are 180
// crank degrees apart.
//
// Grammar: event = angle ( "BTDC" | "ATDC" | "BBDC" | "ABDC" ), with angle as
// units.ParseCrankAngle reads it, not negative and at most 180 degrees. A
// missing dead center is ErrMissing, an unknown event kind ErrRange.
//
// Rows: doe-ivo, doe-ivc, doe-evo, doe-evc, doe-ivc-alt, tractor-evo.
func ParseEvent(kind EventKind, text string) (units.CrankAngle, error) {
	if kind < IntakeOpens || kind > ExhaustCloses {
		return 0, fail("kind", "", units.ErrRange, "want IntakeOpens, IntakeCloses, ExhaustOpens or ExhaustCloses")
	}
	const want = `want an angle and its dead center: "28 deg BTDC", "43 deg ABDC"`
	if len(text) > 64 {
		return 0, fail(kind.String(), text[:64]+"...", units.ErrSyntax, "the text is longer than 64 bytes")
	}
	s := strings.TrimRight(text, " ")
	var mark string
	for _, m := range [...]string{"BTDC", "ATDC", "BBDC", "ABDC"} {
		if t, ok := strings.CutSuffix(s, m); ok {
			s, mark = t, m
			break
		}
	}
	if mark == "" {
		return 0, fail(kind.String(), text, units.ErrMissing, want)
	}
	a, err := units.ParseCrankAngle(s)
	if err != nil {
		e := err.(*units.InputError) //nolint:errorlint,forcetypeassert // the parser returns nothing else
		return 0, fail(kind.String(), text, e.Kind, want)
	}
	if a < 0 || a > units.CrankTurn/2 {
		return 0, fail(kind.String(), text, units.ErrRange, "want 0 to 180 degrees from the dead center; the letters B and A carry the sign")
	}
	// Usual: IVO before TDC, IVC after BDC, EVO before BDC, EVC after TDC.
	usual := [...]string{IntakeOpens: "BTDC", IntakeCloses: "ABDC", ExhaustOpens: "BBDC", ExhaustCloses: "ATDC"}[kind]
	if mark[0] != usual[0] {
		a = -a
	}
	if mark[1] != usual[1] {
		// The neighboring dead center: x on one side of it is 180 - x on the
		// near side of the usual one, counted the other way.
		if mark[0] == usual[0] {
			a -= units.CrankTurn / 2 // same letter: beyond the neighbor
		} else {
			a += units.CrankTurn / 2 // toward the neighbor
		}
	}
	return a, nil
}
