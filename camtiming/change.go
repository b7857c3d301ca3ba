package camtiming

import (
	"strconv"

	"example.com/trialfit/units"
)

// ValveGear is what stands between a lifter and its valve: a lever of constant
// ratio and the lash. Ratio is required.
type ValveGear struct {
	// Ratio is the travel of the valve over that of the lifter (a ratio): the
	// rocker ratio, 1 where the lifter sits on the valve.
	Ratio float64
	// Lash is the clearance at the valve, as a feeler gauge reads it between
	// rocker and valve; 0 for hydraulic lifters.
	Lash units.Length
}

func (g ValveGear) check() error {
	if !(g.Ratio >= 0.2 && g.Ratio <= 5) {
		return fail("Ratio", strconv.FormatFloat(g.Ratio, 'g', -1, 64), units.ErrRange, "want a ratio of 0.2 to 5")
	}
	if g.Lash < 0 || g.Lash > 10*units.Millimeter {
		return fail("Lash", g.Lash.String(), units.ErrRange, "want a lash of 0 to 10 mm")
	}
	return nil
}

func checkValveLift(field string, l units.Length) error {
	if l < 0 || l > units.Meter {
		return fail(field, l.String(), units.ErrRange, "want a lift of 0 to 1 m")
	}
	return nil
}

// ValveLift answers how far a valve is open at a lift of its lifter: lifter *
// Ratio - Lash, and 0 while the lash is not taken up. Errors: a ratio outside
// 0.2 to 5, a lash outside 0 to 10 mm, a lift outside 0 to 1 m (ErrRange).
// It does not allocate.
//
// Source: definition of lash and rocker ratio, as a cam card uses them.
//
// Rows: change-valve-lift, change-valve-lift-lash.
func (g ValveGear) ValveLift(lifter units.Length) (units.Length, error) {
	if err := g.check(); err != nil {
		return 0, err
	}
	if err := checkValveLift("lifter", lifter); err != nil {
		return 0, err
	}
	return length(g.valve(lifter.Meters())), nil
}

// valve is ValveLift on meters, unchecked.
func (g ValveGear) valve(lifter float64) float64 {
	return max(lifter*g.Ratio-g.Lash.Meters(), 0)
}

// LifterLift answers which lift of the lifter opens the valve by a lift:
// (valve + Lash)/Ratio. At a valve lift of 0 it is where the lash is taken up.
// It is how a checking lift at the valve becomes one at the lifter. Errors as
// for ValveLift. It does not allocate.
//
// Rows: change-lifter-lift, change-lifter-lash.
func (g ValveGear) LifterLift(valve units.Length) (units.Length, error) {
	if err := g.check(); err != nil {
		return 0, err
	}
	if err := checkValveLift("valve", valve); err != nil {
		return 0, err
	}
	return length((valve + g.Lash).Meters() / g.Ratio), nil
}

// ConvertDuration answers what a duration read at one checking lift is at
// another, both at the lifter: the lobe's curve adds what its flanks take
// between the two lifts,
//
//	D(to) = D(from) + Dc(to) - Dc(from)
//
// with Dc the duration of the curve (OpeningAt). With a curve that passes
// through the reading it is Dc(to). Errors: a lift outside the lobe's, a
// duration in or out that is not over 0 and under 720 degrees (ErrRange).
//
// Rows: change-duration, change-duration-down.
func ConvertDuration(c LiftCurve, from DurationAt, to units.Length) (DurationAt, error) {
	if err := checkDuration("from.Duration", from.Duration); err != nil {
		return DurationAt{}, err
	}
	f, err := OpeningAt(c, from.Lift)
	if err != nil {
		return DurationAt{}, err
	}
	t, err := OpeningAt(c, to)
	if err != nil {
		return DurationAt{}, err
	}
	d := DurationAt{Lift: to, Duration: from.Duration + t.Duration - f.Duration}
	if err := checkDuration("Duration", d.Duration); err != nil {
		return DurationAt{}, err
	}
	return d, nil
}

// ConvertEvents answers what events read at one checking lift are at another,
// both at the lifter: each event moves by what its flank takes between the two
// lifts, in crank degrees,
//
//	IVO(to) = IVO(from) + opens_i(from) - opens_i(to)
//	IVC(to) = IVC(from) + closesi(to) - closesi(from)
//
// and so for the exhaust, with opens and closes the angles from the nose
// (OpeningAt). Where the cam stands does not enter: it is in the events.
// Errors: lifts outside the lobes', events that no valve can have (ErrRange).
//
// Rows: change-convert-ivo, change-convert-ivc, change-convert-evo,
// change-convert-evc.
func (c *Cam) ConvertEvents(from EventsAt, to units.Length) (EventsAt, error) {
	if err := from.Events.validate(); err != nil {
		return EventsAt{}, inField("from", err)
	}
	r := EventsAt{Lift: to, Events: from.Events}
	for _, l := range [...]struct {
		name          string
		lobe          LiftCurve
		opens, closes *units.CrankAngle
	}{
		{"Intake", c.spec.Intake, &r.Events.IVO, &r.Events.IVC},
		{"Exhaust", c.spec.Exhaust, &r.Events.EVO, &r.Events.EVC},
	} {
		f, err := OpeningAt(l.lobe, from.Lift)
		if err != nil {
			return EventsAt{}, inField(l.name, err)
		}
		t, err := OpeningAt(l.lobe, to)
		if err != nil {
			return EventsAt{}, inField(l.name, err)
		}
		*l.opens += (f.Opens - t.Opens).Crank()
		*l.closes += (t.Closes - f.Closes).Crank()
	}
	if err := r.Events.validate(); err != nil {
		return EventsAt{}, err
	}
	return r, nil
}

// Installation is how a pair of lobes stands and what it moves.
type Installation struct {
	// Advance is the installed advance over straight up.
	Advance units.CrankAngle
	// Separation is the lobe separation; where it is not given, the cam's own.
	// Another one is another cam with the same lobes, or two shafts turned
	// against each other.
	Separation      units.Optional[units.CamAngle]
	Intake, Exhaust ValveGear
}

// installed checks an installation and returns the cam with its separation.
func (c *Cam) installed(in Installation) (*Cam, error) {
	if !within(in.Advance, units.CrankTurn) {
		return nil, fail("Advance", in.Advance.String(), units.ErrRange, "want an advance within one turn")
	}
	if err := in.Intake.check(); err != nil {
		return nil, inField("Intake", err)
	}
	if err := in.Exhaust.check(); err != nil {
		return nil, inField("Exhaust", err)
	}
	if !in.Separation.Given {
		return c, nil
	}
	return NewCam(CamSpec{Intake: c.spec.Intake, Exhaust: c.spec.Exhaust, Separation: in.Separation.Value})
}

// ValveTiming is when and how far the valves of one cylinder open.
type ValveTiming struct {
	CheckLift units.Length // at the valves
	Events    Events       // at the checking lift
	Timing    Timing       // centerlines are the midpoints of the events
	Derived   Derived
	// IntakeLift and ExhaustLift are the greatest lifts of the valves, after
	// the lash.
	IntakeLift, ExhaustLift units.Length
	// IntakeAtTDC and ExhaustAtTDC are the lifts of the valves at top dead
	// center of overlap.
	IntakeAtTDC, ExhaustAtTDC units.Length
}

// ValveTiming answers when the valves open and close, at a checking lift at the
// valve: the lifter stands at (checkLift + Lash)/Ratio then, and
//
//	IVO = -opens_i - (separation - advance)    IVC = closes_i + (separation - advance) - 180
//	EVC = closes_e - (separation + advance)    EVO = -opens_e + (separation + advance) - 180
//
// with opens (negative) and closes in crank degrees from the nose at that lifter
// lift, and the separation as the number of its cam degrees. A checking lift of 0 means the moment at which the
// lash is taken up and needs some lash. Errors: an advance over a turn, a ratio,
// lash or separation out of range, a checking lift that a valve does not reach
// or of 0 without lash (ErrRange).
//
// Rows: change-before-ivo, change-before-ivc, change-before-evo,
// change-before-evc, change-before-lift, change-before-tdc, change-zero-lash.
func (c *Cam) ValveTiming(in Installation, checkLift units.Length) (ValveTiming, error) {
	k, err := c.installed(in)
	if err != nil {
		return ValveTiming{}, err
	}
	if err := checkValveLift("checkLift", checkLift); err != nil {
		return ValveTiming{}, err
	}
	open := func(name string, lobe LiftCurve, g ValveGear) (Opening, error) {
		at := length((checkLift + g.Lash).Meters() / g.Ratio)
		if at == 0 {
			return Opening{}, fail("checkLift", checkLift.String(), units.ErrRange, "want a checking lift over 0, or a lash")
		}
		o, err := OpeningAt(lobe, at)
		return o, inField(name, err)
	}
	i, err := open("Intake", k.spec.Intake, in.Intake)
	if err != nil {
		return ValveTiming{}, err
	}
	e, err := open("Exhaust", k.spec.Exhaust, in.Exhaust)
	if err != nil {
		return ValveTiming{}, err
	}
	half := k.spec.Separation.Crank() / 2
	v := ValveTiming{CheckLift: checkLift, Timing: Timing{
		IntakeDuration: i.Duration, ExhaustDuration: e.Duration,
		IntakeCenterline:  half - in.Advance + i.Midpoint.Crank(),
		ExhaustCenterline: half + in.Advance - e.Midpoint.Crank(),
	}}
	if v.Events, err = v.Timing.Events(); err != nil {
		return ValveTiming{}, err
	}
	if v.Derived, err = v.Timing.Derive(); err != nil {
		return ValveTiming{}, err
	}
	v.IntakeLift = length(in.Intake.valve(k.spec.Intake.MaxLift().Meters()))
	v.ExhaustLift = length(in.Exhaust.valve(k.spec.Exhaust.MaxLift().Meters()))
	h := k.At(in.Advance)
	v.IntakeAtTDC = length(in.Intake.valve(h.Intake.Meters()))
	v.ExhaustAtTDC = length(in.Exhaust.valve(h.Exhaust.Meters()))
	return v, nil
}

// ChangeInput says what is changed.
type ChangeInput struct {
	// CheckLift is the checking lift at the valves, the same before and after.
	CheckLift     units.Length
	Before, After Installation
}

// ChangeLine is one figure before and after.
type ChangeLine struct {
	Name          string
	Before, After units.CrankAngle
	// Change is after minus before. A figure that grows is earlier for IVO
	// and EVO and later for IVC and EVC.
	Change units.CrankAngle
}

// TimingChange is what a change of advance, separation, rocker ratio or lash does.
type TimingChange struct {
	Before, After ValveTiming
	// Events holds after minus before of the four event figures: what grows is
	// earlier for IVO and EVO and later for IVC and EVC.
	Events Events
}

// Change answers what a change of advance, lobe separation, rocker ratio or lash
// (another setting, or cold against hot) does to every event, each computed by
// ValveTiming before and after. In short: more advance moves all events
// earlier by as much and nothing else; more separation moves the intake later
// and the exhaust earlier by as many crank degrees as it is cam degrees and
// takes twice that off the overlap; more lash shortens both openings and takes
// as much off the lift; more ratio lengthens them at a checking lift. Errors:
// those of ValveTiming, with Before or After in front of the field.
//
// Rows: change-lash-ivo, change-lash-ivc, change-ratio-ivo, change-ratio-evc,
// change-sep-overlap, change-sep-ivo, change-advance-ivc, change-all-evo.
func (c *Cam) Change(in ChangeInput) (TimingChange, error) {
	b, err := c.ValveTiming(in.Before, in.CheckLift)
	if err != nil {
		return TimingChange{}, inField("Before", err)
	}
	a, err := c.ValveTiming(in.After, in.CheckLift)
	if err != nil {
		return TimingChange{}, inField("After", err)
	}
	return TimingChange{Before: b, After: a, Events: Events{
		IVO: a.Events.IVO - b.Events.IVO, IVC: a.Events.IVC - b.Events.IVC,
		EVO: a.Events.EVO - b.Events.EVO, EVC: a.Events.EVC - b.Events.EVC,
	}}, nil
}

// Lines returns the table of before and after: the four events, the durations,
// the centerlines and the overlap.
//
// Rows: change-sep-overlap.
func (t TimingChange) Lines() []ChangeLine {
	line := func(name string, f func(ValveTiming) units.CrankAngle) ChangeLine {
		b, a := f(t.Before), f(t.After)
		return ChangeLine{Name: name, Before: b, After: a, Change: a - b}
	}
	return []ChangeLine{
		line("IVO", func(v ValveTiming) units.CrankAngle { return v.Events.IVO }),
		line("IVC", func(v ValveTiming) units.CrankAngle { return v.Events.IVC }),
		line("EVO", func(v ValveTiming) units.CrankAngle { return v.Events.EVO }),
		line("EVC", func(v ValveTiming) units.CrankAngle { return v.Events.EVC }),
		line("intake duration", func(v ValveTiming) units.CrankAngle { return v.Timing.IntakeDuration }),
		line("exhaust duration", func(v ValveTiming) units.CrankAngle { return v.Timing.ExhaustDuration }),
		line("intake centerline", func(v ValveTiming) units.CrankAngle { return v.Timing.IntakeCenterline }),
		line("exhaust centerline", func(v ValveTiming) units.CrankAngle { return v.Timing.ExhaustCenterline }),
		line("overlap", func(v ValveTiming) units.CrankAngle { return v.Derived.Overlap }),
	}
}

// Working shows the change of each figure.
func (t TimingChange) Working() units.Working {
	src := units.Source{Text: "events of the lobes at (checking lift + lash)/ratio", Provenance: units.Computed}
	var w units.Working
	for _, l := range t.Lines() {
		w = append(w, units.Step{Symbol: l.Name, Formula: "after - before", Numbers: l.After.Text(2) + " - " + l.Before.Text(2), Value: l.Change.Text(2), Source: src})
	}
	return w
}
