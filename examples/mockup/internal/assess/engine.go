package assess

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// crankOf maps the sheet's words, which follow firingorder's constants.
func crankOf(w sheet.CrankWord) firingorder.Crank {
	return firingorder.Crank(slices.Index(w.Words(), string(w)) + 1)
}

func (e *evaluator) layout() (*firingorder.Layout, error) {
	s := &e.sheet.Engine
	end, rotation := firingorder.FreeEnd, firingorder.Clockwise
	if s.NumberedFrom == "driving end" {
		end = firingorder.DrivingEnd
	}
	if s.Rotation == "counterclockwise" {
		rotation = firingorder.CounterClockwise
	}
	numbering := firingorder.NumberingUnstated
	switch s.Numbering {
	case "alternating":
		numbering = firingorder.Alternating
	case "bankwise":
		numbering = firingorder.Bankwise
	}
	if s.Layout != "vee" {
		switch {
		case s.BankAngle != nil:
			return nil, fail("engine.bank_angle", s.BankAngle.String(), units.ErrConflict, "only a vee has one: leave it out")
		case s.PinSplit != nil:
			return nil, fail("engine.pin_split", s.PinSplit.String(), units.ErrConflict, "only a vee has one: leave it out")
		case s.BankOfOnePassed != "":
			return nil, fail("engine.bank_of_one_passed", string(s.BankOfOnePassed), units.ErrConflict, "only a vee has one: leave it out")
		}
	}
	if s.Layout != "boxer" && s.Crank == "" {
		return nil, fail("engine.crank", "", units.ErrMissing, "want one of "+strings.Join(s.Crank.Words(), ", "))
	}
	if s.Layout != "inline" && s.Numbering == "" {
		return nil, fail("engine.numbering", "", units.ErrMissing, "want one of "+strings.Join(s.Numbering.Words(), ", "))
	}
	switch s.Layout {
	case "boxer":
		if s.Crank != "" {
			return nil, fail("engine.crank", string(s.Crank), units.ErrConflict, "a boxer's crank follows from its cylinders: leave it out")
		}
		return firingorder.Boxer(firingorder.BoxerConfig{Cylinders: s.Cylinders, Mirrored: s.Mirrored, Numbering: numbering, NumberedFrom: end, Rotation: rotation})
	case "inline":
		if s.Numbering != "" {
			return nil, fail("engine.numbering", string(s.Numbering), units.ErrConflict, "an in-line engine is numbered along the shaft: leave it out")
		}
		return firingorder.Inline(firingorder.InlineConfig{Crank: crankOf(s.Crank), Mirrored: s.Mirrored, NumberedFrom: end, Rotation: rotation})
	}
	c := firingorder.VConfig{Crank: crankOf(s.Crank), Mirrored: s.Mirrored, Numbering: numbering, NumberedFrom: end, Rotation: rotation}
	switch s.BankOfOnePassed {
	case "first":
		c.BankOfOne = firingorder.PassedFirst
	case "last":
		c.BankOfOne = firingorder.PassedLast
	}
	if s.BankOfOnePassed == "" {
		return nil, fail("engine.bank_of_one_passed", "", units.ErrMissing, "want first or last")
	}
	if s.BankAngle == nil {
		return nil, fail("engine.bank_angle", "", units.ErrMissing, `want the angle between the banks, such as "90 deg"`)
	}
	var err error
	if c.BankAngle, err = firingorder.TurnOf(*s.BankAngle); err != nil {
		return nil, at("engine.bank_angle", err)
	}
	if s.PinSplit != nil {
		if c.Split, err = firingorder.TurnOf(*s.PinSplit); err != nil {
			return nil, at("engine.pin_split", err)
		}
	}
	return firingorder.V(c)
}

// engine builds the layout and checks the order against it.
func (e *evaluator) engine() error {
	s := &e.sheet.Engine
	l, err := e.layout()
	if err != nil {
		return engineError(err)
	}
	if l.Cylinders() != s.Cylinders {
		return fail("engine.cylinders", strconv.Itoa(s.Cylinders), units.ErrConflict, "this crank and layout have "+strconv.Itoa(l.Cylinders())+" cylinders")
	}
	order, err := firingorder.ParseOrder(s.FiringOrder)
	if err != nil {
		return at("engine.firing_order", err)
	}
	eng, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: order, SecondTurnFrom: s.SecondTurnFrom})
	if err != nil {
		return engineError(err)
	}
	e.res.Engine = eng
	if err := e.bankNames(l); err != nil {
		return err
	}
	for n := 1; n <= s.Cylinders; n++ {
		c, err := eng.CompanionOf(n)
		if err != nil {
			return engineError(err)
		}
		if c.Exists && c.Cylinder > n {
			e.res.Companions = append(e.res.Companions, [2]int{n, c.Cylinder})
		}
	}
	return nil
}

// bankNames checks the names of the banks against the layout.
func (e *evaluator) bankNames(l *firingorder.Layout) error {
	names := e.sheet.Engine.BankNames
	switch {
	case len(names) == 0:
		return nil
	case e.sheet.Engine.Layout == "inline":
		return fail("engine.bank_names", strings.Join(names, ", "), units.ErrConflict, "an in-line engine has one bank: leave them out")
	case len(names) != 2:
		return fail("engine.bank_names", strings.Join(names, ", "), units.ErrRange, "want the names of both banks, that of cylinder 1 first")
	case names[0] == names[1]:
		return fail("engine.bank_names[1]", names[1], units.ErrConflict, "both banks have this name")
	}
	e.banks = make([]string, l.Cylinders()+1)
	for n := 1; n <= l.Cylinders(); n++ {
		e.banks[n] = names[0]
		if bankOf(l, n) != bankOf(l, 1) {
			e.banks[n] = names[1]
		}
	}
	return nil
}

// bankOf is the bank of a cylinder in its label, "A1" without the place.
func bankOf(l *firingorder.Layout, n int) string { return strings.TrimRight(l.Label(n), "0123456789") }

// bank is the name of a cylinder's bank, empty where the sheet names none.
func (e *evaluator) bank(cylinder int) string {
	if e.banks == nil {
		return ""
	}
	return e.banks[cylinder]
}

// engineError names the sheet's field.
func engineError(err error) error {
	var e *units.InputError
	if errors.As(err, &e) && e.Package == "sheet" {
		return err
	}
	return enginePlaces.put("engine", err)
}

// card turns the sheet's card into the library's.
func card(c *sheet.Card) camtiming.Card {
	out := camtiming.Card{
		Name: c.Name, Intake: lobe(&c.Intake), Exhaust: lobe(&c.Exhaust),
		Separation: optional(c.Separation), IntakeCenterline: optional(c.IntakeCenterline),
		ExhaustCenterline: optional(c.ExhaustCenterline), GroundAdvance: optional(c.GroundAdvance),
	}
	for _, v := range c.Events {
		out.Events = append(out.Events, camtiming.EventsAt{Lift: v.Lift.Length, Events: camtiming.Events{
			IVO: units.CrankAngle(v.IVO), IVC: units.CrankAngle(v.IVC), EVO: units.CrankAngle(v.EVO), EVC: units.CrankAngle(v.EVC),
		}})
	}
	for _, o := range c.Overlap {
		out.Overlap = append(out.Overlap, camtiming.OverlapAt{Lift: o.Lift.Length, Overlap: o.Overlap})
	}
	if c.Rounding != nil {
		out.Rounding = *c.Rounding
	}
	return out
}

func lobe(l *sheet.Lobe) camtiming.LobeFigures {
	out := camtiming.LobeFigures{
		LobeLift: length(l.LobeLift), RockerRatio: optional(l.RockerRatio), ValveLift: length(l.ValveLift), Lash: length(l.Lash),
	}
	for _, d := range l.Durations {
		out.Durations = append(out.Durations, camtiming.DurationAt{Lift: d.Lift.Length, Duration: d.Duration})
	}
	if l.Asymmetry != nil {
		out.Asymmetry = *l.Asymmetry
	}
	return out
}

func optional[T any](p *T) units.Optional[T] {
	if p == nil {
		return units.Optional[T]{}
	}
	return units.Some(*p)
}

func length(r *units.Reading) units.Optional[units.Length] {
	if r == nil {
		return units.Optional[units.Length]{}
	}
	return units.Some(r.Length)
}

// value is a reading that may have been left out, as a length.
func value(r *units.Reading) units.Length {
	if r == nil {
		return 0
	}
	return r.Length
}

func angle(a *units.CrankAngle) units.CrankAngle {
	if a == nil {
		return 0
	}
	return *a
}

// cam resolves the card, fits the lobes and sets the target.
func (e *evaluator) cam() error {
	s := &e.sheet.Cam
	r, err := card(s).Resolve()
	if err != nil {
		return cardError("cam", s, err)
	}
	c, err := r.Cam()
	if err != nil {
		return cardError("cam", s, err)
	}
	e.res.Card, e.res.Cam = r, c
	written := map[units.Length]string{}
	var order []units.Length
	note := func(l units.Reading) {
		if _, seen := written[l.Length]; !seen {
			written[l.Length] = l.String()
			order = append(order, l.Length)
		}
	}
	for _, d := range s.Intake.Durations {
		note(d.Lift)
	}
	for _, v := range s.Events {
		note(v.Lift)
	}
	slices.Sort(order)
	for _, l := range order {
		t, err := r.Timing(l)
		if err != nil {
			continue // only one of the lobes has a duration there
		}
		ev, err := t.Events()
		if err != nil {
			return at("cam", err)
		}
		d, err := t.Derive()
		if err != nil {
			return at("cam", err)
		}
		e.res.Events = append(e.res.Events, EventsLine{written[l], t, ev, d.Overlap})
	}
	e.res.Target = Target{Advance: r.GroundAdvance, Source: "the card's own advance"}
	if w := e.sheet.Wanted; w != nil {
		e.res.Target = Target{Source: w.Source, Wanted: true}
		switch {
		case w.Advance != nil && w.IntakeCenterline != nil:
			return fail("wanted", "", units.ErrConflict, "want either advance or intake_centerline, not both")
		case w.Advance != nil:
			e.res.Target.Advance = *w.Advance
		case w.IntakeCenterline != nil:
			if e.res.Target.Advance, err = c.AdvanceForCenterline(*w.IntakeCenterline); err != nil {
				return at("wanted.intake_centerline", err)
			}
		default:
			return fail("wanted", "", units.ErrMissing, "want advance or intake_centerline")
		}
	}
	return nil
}
