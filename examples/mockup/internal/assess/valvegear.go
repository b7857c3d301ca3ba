package assess

import (
	"errors"
	"strconv"
	"strings"

	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// noLift stands where a check needs the lift of a valve that was not read.
const noLift = "needs the lift of this valve: read it and record it under valve_lifts"

// valveLifts judges the lifts read at the valves.
func (e *evaluator) valveLifts() error {
	s := e.sheet.ValveLifts
	if s == nil {
		return nil
	}
	in, err := e.instrument("valve_lifts.instrument", s.Instrument)
	if err != nil {
		return err
	}
	if o := s.OverTravel; o != nil && (o.Length < 0 || o.Length > coarsest) {
		return fail("valve_lifts.over_travel", o.String(), units.ErrRange, "want an over-travel of 0 to 100 mm")
	}
	if err := eachValve(e, "valve_lifts.readings", s.Readings, ofReading); err != nil {
		return err
	}
	for i := range s.Readings {
		r, path := &s.Readings[i], index("valve_lifts.readings", i)
		if err := size(path+".reading", r.Reading); err != nil {
			return err
		}
		where := "valve_lifts." + string(r.Valve)
		l, text, err := limits(where, either(r.Valve, s.Intake, s.Exhaust))
		if err != nil {
			return err
		}
		c, err := e.judge(where, groupLift, ofReading(r).String()+", lift at the valve", styleOf(r.Reading), withZero(in, r.Reading), l, text)
		if err != nil {
			return err
		}
		if card, ok := e.cardLift(r.Valve); ok {
			c.Beside = "the card's lobe, ratio and lash make " + styleOf(r.Reading).Round(card)
		}
		if c.Outcome == units.ProvedOutside {
			c.Reason = "compare with what the card makes: look at the rocker's ratio, at the lash and for a worn lobe"
		}
	}
	return nil
}

// gear is what stands between the lobe of a valve and the valve, by the card.
func (e *evaluator) gear(w sheet.ValveWord) (ratio float64, lash units.Length, ok bool) {
	l := either(w, &e.sheet.Cam.Intake, &e.sheet.Cam.Exhaust)
	if l.RockerRatio == nil {
		return 0, 0, false
	}
	return *l.RockerRatio, either(w, e.res.Card.IntakeLash, e.res.Card.ExhaustLash), true
}

// cardLift is the lift at a valve that the card makes.
func (e *evaluator) cardLift(w sheet.ValveWord) (units.Length, bool) {
	ratio, lash, ok := e.gear(w)
	if !ok {
		return 0, false
	}
	lobe := either(w, e.res.Card.Intake, e.res.Card.Exhaust).MaxLift
	return units.Length(float64(lobe)*ratio) - lash, true
}

// liftOf is the lift read at a valve, and its style.
func (e *evaluator) liftOf(v valve) (units.Measured[units.Length], bool) {
	s := e.sheet.ValveLifts
	if s == nil {
		return units.Measured[units.Length]{}, false
	}
	r := find(s.Readings, v, ofReading)
	if r == nil {
		return units.Measured[units.Length]{}, false
	}
	return withZero(e.inst[s.Instrument], r.Reading), true
}

// springs judges the springs of every valve.
func (e *evaluator) springs() error {
	s := e.sheet.ValveSprings
	if s == nil {
		return nil
	}
	const at = "valve_springs"
	in, err := e.instrument(at+".instrument", s.Instrument)
	if err != nil {
		return err
	}
	if u := s.ForceUncertainty; u != nil && u.Value < 0 {
		return fail(at+".force_uncertainty", u.Text, units.ErrRange, "want a standard uncertainty that is not negative")
	}
	if err := checkShims(at+".shims", s.Shims); err != nil {
		return err
	}
	if err := eachValve(e, at+".valves", s.Valves, ofNest); err != nil {
		return err
	}
	for i := range s.Valves {
		if err := e.nest(index(at+".valves", i), in, &s.Valves[i]); err != nil {
			return err
		}
	}
	return nil
}

func checkShims(path string, shims []sheet.Shim) error {
	if len(shims) > 20 {
		return fail(path, "", units.ErrRange, "want at most 20 kinds of shims")
	}
	for i, s := range shims {
		p := index(path, i)
		if s.Thickness.Length <= 0 || s.Thickness.Length > coarsest {
			return fail(p+".thickness", s.Thickness.String(), units.ErrRange, "want a thickness over 0 and at most 100 mm")
		}
		if s.Count < 1 || s.Count > 1000 {
			return fail(p+".count", strconv.Itoa(s.Count), units.ErrRange, "want 1 to 1000 shims of a kind")
		}
		for _, q := range shims[:i] {
			if q.Thickness.Length == s.Thickness.Length {
				return fail(p+".thickness", s.Thickness.String(), units.ErrConflict, "the kind is listed twice")
			}
		}
	}
	return nil
}

// nest judges the springs of one valve.
func (e *evaluator) nest(path string, in *sheet.Instrument, n *sheet.SpringNest) error {
	s := e.sheet.ValveSprings
	if err := size(path+".installed_height", n.InstalledHeight); err != nil {
		return err
	}
	v := ofNest(n)
	springs := valvetrain.Nest{Damper: s.Damper}
	var names []string
	for i := range n.Springs {
		p, at := &n.Springs[i], index(path+".springs", i)
		names = append(names, p.Name)
		if err := unique(path+".springs", i, p.Name, names); err != nil {
			return err
		}
		spring, err := e.spring(at, v.String()+", "+p.Name+" spring", in, p)
		if err != nil {
			return err
		}
		springs.Springs = append(springs.Springs, valvetrain.NestSpring{Name: p.Name, Spring: spring, Step: value(p.Step)})
	}
	limits := either(n.Valve, s.Intake, s.Exhaust)
	kind := "valve_springs." + string(n.Valve)
	seat, seatText, err := forceLimits(kind+".seat", limits.Seat)
	if err != nil {
		return err
	}
	open, openText, err := forceLimits(kind+".open", limits.Open)
	if err != nil {
		return err
	}
	bind, bindText, err := e.leastBind(kind+".coil_bind", limits.CoilBind)
	if err != nil {
		return err
	}
	lift, read := e.liftOf(v)
	r, err := springs.Check(valvetrain.Installed{
		Height: measured(in, n.InstalledHeight), Lift: lift, LeastBind: units.Some(bind), Rule: e.res.Rule,
	})
	if err != nil {
		return nestPlaces.put(path, err, e.instrumentPath(in))
	}
	if read {
		e.worked(v.String()+", springs", r)
	}
	like := n.Springs[0].Loads[0].Force
	c, err := e.forceCheck(kind+".seat", v.String()+", seat force", like, r.Seat, seat, seatText)
	if err != nil {
		return err
	}
	seatOutcome := c.Outcome
	if seatOutcome == units.ProvedOutside {
		c.Reason = e.shims(springs, n, r, read, bind.Min, seat, like)
	}
	st := styleOf(n.InstalledHeight)
	c.Beside = "at an installed height of " + n.InstalledHeight.String()
	openName := v.String() + ", open force"
	if !read || !r.Open.Given {
		x := Check{Group: groupSpring, Name: openName, Measured: unknown, Limits: openText, Source: open.Source, Reason: noLift}
		if read {
			x.Outcome, x.Reason = units.ProvedOutside, "a spring is solid before full lift: do not turn the engine; raise the installed height"
		}
		e.put(x)
	} else {
		c, err := e.forceCheck(kind+".open", openName, like, r.Open.Value, open, openText)
		if err != nil {
			return err
		}
		if seatOutcome == units.ProvedOutside && c.Outcome != units.ProvedWithin {
			c.Reason = "set the seat force right first: the open force follows the installed height"
		}
	}
	for _, p := range r.Springs {
		name := v.String() + ", " + p.Name + " spring, room to coil bind"
		switch {
		case !read:
			e.put(Check{Group: groupSpring, Name: name, Measured: unknown, Limits: bindText, Source: bind.Source, Reason: noLift})
		case !p.Bind.Given:
			e.put(Check{Group: groupSpring, Name: name, Measured: unknown, Limits: bindText, Source: bind.Source, Reason: "needs the solid height of the spring"})
		default:
			c := e.add(groupSpring, name, st, p.Bind.Value, bindText)
			if c.Outcome == units.ProvedOutside {
				c.Reason = "raise the installed height by at least " + st.Text(-p.Bind.Value.Margin) + ", with a thinner shim or another retainer, and look at the seat force again"
			}
		}
	}
	return nil
}

// spring is one spring through the readings of its tester.
func (e *evaluator) spring(path, title string, in *sheet.Instrument, p *sheet.Spring) (valvetrain.Spring, error) {
	u := e.sheet.ValveSprings.ForceUncertainty
	var bench valvetrain.Bench
	for _, l := range p.Loads {
		f := units.Unstated(l.Force.Value)
		if u != nil {
			f = units.WithU(l.Force.Value, u.Value)
		}
		bench = append(bench, valvetrain.LoadReading{Height: measured(in, l.Height), Force: f})
	}
	line, err := bench.Line()
	if err != nil {
		return nil, springPlaces.put(path, err, e.instrumentPath(in))
	}
	out := line.Spring
	if p.Solid != nil {
		out.Solid = measured(in, *p.Solid)
	}
	// Refused here, where the field is known, whatever is refused of it.
	if _, err := out.ForceAt(out.Height); err != nil {
		return nil, springPlaces.put(path, err, e.instrumentPath(in))
	}
	e.worked(title, line)
	return out, nil
}

// leastBind reads the limits of the room to coil bind, which want a least.
func (e *evaluator) leastBind(path string, l sheet.Limits) (units.Limits[units.Length], string, error) {
	if l.Min == nil {
		return units.Limits[units.Length]{}, "", fail(path+".min", "", units.ErrMissing, "want the least room to coil bind")
	}
	return limits(path, l)
}

// shims says what brings a seat force to the middle of its limits: which shims,
// or where the spring has to stand.
func (e *evaluator) shims(springs valvetrain.Nest, n *sheet.SpringNest, r valvetrain.NestReport, read bool, least units.Length, seat units.Limits[units.Force], like sheet.Force) string {
	wanted := seat.Min
	switch {
	case seat.HasMin && seat.HasMax:
		wanted = (seat.Min + seat.Max) / 2
	case seat.HasMax:
		wanted = seat.Max
	}
	st := styleOf(n.InstalledHeight)
	at := ""
	if h, err := springs.HeightAt(wanted); err == nil {
		at = "; " + forceText(wanted, like) + " stands at an installed height of " + st.Round(h)
	}
	known := read
	for _, p := range n.Springs {
		known = known && p.Solid != nil
	}
	switch {
	case r.Seat.Value > wanted:
		return "raise the installed height: take out a shim if one is fitted, or fit another retainer or another spring" + at
	case len(e.sheet.ValveSprings.Shims) == 0:
		return "correct the installed height and read again" + at
	case !known:
		return "a shim takes from the room to coil bind, which is not known: read the lift (valve_lifts) and every solid height, then choose shims" + at
	}
	lift, _ := e.liftOf(ofNest(n))
	job := valvetrain.ShimJob{Unshimmed: n.InstalledHeight.Length, Lowest: springs.SolidHeight().Value + lift.Value + least}
	for _, s := range e.sheet.ValveSprings.Shims {
		job.Stock = append(job.Stock, valvetrain.ShimStock{Thickness: s.Thickness.Length, Count: s.Count})
	}
	plan, err := job.ForLoad(springs, wanted)
	in := (*units.InputError)(nil)
	switch {
	case errors.As(err, &in):
		return "no stack of the shims at hand helps: " + in.Reason + at
	case plan.Count == 0:
		return "no stack of the shims at hand helps: it would leave less than the least room to coil bind or pass the wanted force by more; another spring" + at
	}
	var parts []string
	for _, s := range plan.Shims {
		parts = append(parts, strconv.Itoa(s.Count)+" of "+st.Text(s.Thickness))
	}
	e.worked(ofNest(n).String()+", shims", plan)
	open := ""
	if f, err := springs.ForceAt(plan.Height - lift.Value); err == nil {
		open = " and the open force to " + forceText(f, like)
	}
	return "fit more shims, " + strings.Join(parts, " and ") + ": the installed height comes to " + st.Text(plan.Height) + ", the seat force to " +
		forceText(plan.Force.Value, like) + open + "; room to coil bind is kept; read them again"
}

// forceLimits reads the limits of a force.
func forceLimits(path string, l sheet.ForceLimits) (units.Limits[units.Force], string, error) {
	src := units.Source{Text: l.Source, Provenance: units.Stated}
	switch {
	case l.Min != nil && l.Max != nil:
		if l.Min.Value > l.Max.Value {
			return units.Limits[units.Force]{}, "", fail(path, l.Min.Text+" to "+l.Max.Text, units.ErrConflict, "the minimum is over the maximum: are they swapped?")
		}
		return units.Between(l.Min.Value, l.Max.Value, src), l.Min.Text + " to " + l.Max.Text, nil
	case l.Min != nil:
		return units.AtLeast(l.Min.Value, src), "at least " + l.Min.Text, nil
	case l.Max != nil:
		return units.AtMost(l.Max.Value, src), "at most " + l.Max.Text, nil
	}
	return units.Limits[units.Force]{}, "", fail(path, "", units.ErrMissing, "want min, max or both")
}

// forceCheck judges a force and records it; path is where its limits stand.
func (e *evaluator) forceCheck(path, name string, like sheet.Force, m units.Measured[units.Force], l units.Limits[units.Force], limitText string) (*Check, error) {
	v, err := units.Judge(m, l, e.res.Rule)
	if err != nil {
		return nil, at(path, err)
	}
	text := func(f units.Force) string { return forceText(f, like) }
	return record(e, groupSpring, name, limitText, v, text, text), nil
}

// travel looks at the places where a part may run into another.
func (e *evaluator) travel() error {
	s := e.sheet.TravelLimits
	if s == nil {
		return nil
	}
	const at = "travel_limits"
	in, err := e.instrument(at+".instrument", s.Instrument)
	if err != nil {
		return err
	}
	if err := eachValve(e, at+".valves", s.Valves, ofGaps); err != nil {
		return err
	}
	for i := range s.Valves {
		if err := e.travelOf(index(at+".valves", i), in, &s.Valves[i]); err != nil {
			return err
		}
	}
	return nil
}

// place is one place of a travel check.
type place struct {
	field  string
	place  valvetrain.TravelPlace
	gap    valvetrain.TravelGap
	read   units.Reading
	own    *sheet.Limits
	remedy string
}

func (e *evaluator) travelOf(path string, in *sheet.Instrument, g *sheet.TravelGaps) error {
	s := e.sheet.TravelLimits
	var list []place
	closing := func(field string, p valvetrain.TravelPlace, r *units.Reading, own *sheet.Limits, remedy string) {
		if r != nil {
			list = append(list, place{field, p, valvetrain.ClosingGap(withZero(in, *r)), *r, own, remedy})
		}
	}
	closing("retainer_to_guide", valvetrain.RetainerToGuide, g.RetainerToGuide, s.RetainerToGuide, "shorten the guide or fit another retainer")
	closing("retainer_to_seal", valvetrain.RetainerToSeal, g.RetainerToSeal, s.RetainerToSeal, "fit a lower seal or another retainer, or shorten the guide under it")
	if len(g.RetainerToRocker) > 0 {
		var r valvetrain.GapReadings
		for _, x := range g.RetainerToRocker {
			r = append(r, valvetrain.GapReading{Lift: x.Lift.Length, Gap: withZero(in, x.Gap)})
		}
		list = append(list, place{"retainer_to_rocker", valvetrain.RetainerToRocker, r, g.RetainerToRocker[0].Gap, s.RetainerToRocker, "relieve the rocker or fit another rocker or retainer"})
	}
	if len(list) == 0 {
		return fail(path, "", units.ErrMissing, "want the gap of at least one place")
	}
	v := ofGaps(g)
	lift, read := e.liftOf(v)
	t := valvetrain.Travel{Lift: lift, Rule: e.res.Rule, OverTravel: units.WithU(units.Length(0), 0)}
	if e.sheet.ValveLifts != nil {
		t.OverTravel.Value = value(e.sheet.ValveLifts.OverTravel)
	}
	texts := make([]string, len(list))
	for i, p := range list {
		if _, err := p.gap.GapAt(0); err != nil {
			return gapPlaces.put(path, err, e.instrumentPath(in))
		}
		least, err := valvetrain.TravelRule(p.place)
		if err != nil {
			return at(path, err)
		}
		if p.own != nil {
			if least, texts[i], err = limits("travel_limits."+p.field, *p.own); err != nil {
				return err
			}
		}
		t.Limits = append(t.Limits, valvetrain.TravelLimit{Place: p.place, Gap: p.gap, Least: units.Some(least)})
	}
	if !read {
		for i, p := range list {
			e.put(Check{
				Group: groupTravel, Name: v.String() + ", " + p.place.String(), Measured: unknown, Limits: styleOf(p.read).Limits(t.Limits[i].Least.Value),
				Source: t.Limits[i].Least.Value.Source, Reason: noLift,
			})
		}
		return nil
	}
	r, err := t.Check()
	if err != nil {
		return at(path, err)
	}
	e.worked(v.String()+", travel limits", r)
	for i, c := range r.Checks {
		st := styleOf(list[i].read)
		x := e.add(groupTravel, v.String()+", "+c.Place.String(), st, c.Verdict.Value, texts[i])
		x.Beside = st.Text(c.AtLift.Value) + " at full lift; judged with the over-travel"
		if i == r.First {
			x.Beside += "; reached first, with " + st.Text(r.Left) + " more lift"
		}
		if x.Outcome == units.ProvedOutside {
			x.Reason = "make " + st.Text(-c.Verdict.Value.Margin) + " more room at least: " + list[i].remedy
			if c.AtLift.Value <= 0 {
				x.Reason = "do not turn the engine, the parts meet before full lift; " + x.Reason
			}
		}
		if list[i].own == nil {
			byRule(x)
		}
	}
	return nil
}

// adjuster turns the adjuster of the sheet into the library's.
func adjuster(a *sheet.Adjuster) valvetrain.Adjuster {
	out := valvetrain.Adjuster{Thread: valvetrain.Thread{Pitch: value(a.Pitch), PerInch: a.PerInch}}
	for i, w := range a.Place.Words() {
		if w == string(a.Place) {
			out.Place = valvetrain.AtPushrod + valvetrain.AdjusterPlace(i)
		}
	}
	if a.RockerRatio != nil {
		out.Ratio = *a.RockerRatio
	}
	return out
}

// How finely turns of an adjuster are told: a preload in half flats of its nut; a
// lash twice as finely, since a whole half flat may pass both of its limits.
const (
	preloadParts = 12
	lashParts    = 24
)

// lash judges the lash of solid lifters.
func (e *evaluator) lash() error {
	s := e.sheet.Lash
	if s == nil {
		return nil
	}
	in, err := e.instrument("lash.instrument", s.Instrument)
	if err != nil {
		return err
	}
	if err := eachValve(e, "lash.readings", s.Readings, ofReading); err != nil {
		return err
	}
	var set [2]valvetrain.ValveSetting
	var texts [2]string
	for i, w := range sheet.ValveWord("").Words() {
		l := either(sheet.ValveWord(w), &s.Intake, &s.Exhaust)
		lim, text, err := limits("lash."+w+".limits", l.Limits)
		if err != nil {
			return err
		}
		set[i] = valvetrain.ValveSetting{Lash: l.Lash.Length, State: valvetrain.ColdEngine, Limits: units.Some(lim)}
		if s.State == "hot" {
			set[i].State = valvetrain.HotEngine
		}
		texts[i] = text
	}
	lines, err := e.lashLines(in, set)
	if err != nil {
		return err
	}
	for i := range s.Readings {
		r, path := &s.Readings[i], index("lash.readings", i)
		k := either(r.Valve, 0, 1)
		if r.Reading.Length < 0 || r.Reading.Length > coarsest {
			return fail(path+".reading", r.Reading.String(), units.ErrRange, "want a lash of 0 to 100 mm")
		}
		c, err := e.judge("lash."+string(r.Valve)+".limits", groupLash, ofReading(r).String()+", lash "+string(s.State), styleOf(r.Reading), withZero(in, r.Reading), set[k].Limits.Value, texts[k])
		if err != nil {
			return err
		}
		if c.Outcome == units.ProvedOutside {
			c.Reason = turnText(styleOf(r.Reading), set[k].Lash, r.Reading.Length, lines[ofReading(r)])
		}
	}
	return nil
}

// lashLines are what corrects each reading, empty without an adjuster or where
// the card tells no closed windows.
func (e *evaluator) lashLines(in *sheet.Instrument, set [2]valvetrain.ValveSetting) (map[valve]valvetrain.LashLine, error) {
	s := e.sheet.Lash
	job := valvetrain.SheetJob{Engine: e.res.Engine, Intake: set[0], Exhaust: set[1]}
	// Both valves of a cylinder are down at its firing top dead center: all that
	// the record asks of a plan is that it names every valve.
	for n := 1; n <= e.sheet.Engine.Cylinders; n++ {
		a, err := e.res.Engine.FiringAngle(n)
		if err != nil {
			return nil, engineError(err)
		}
		job.Plan.Positions = append(job.Plan.Positions, firingorder.LashPosition{At: a, Firing: n, Set: []firingorder.FreeValve{
			{Cylinder: n, Valve: firingorder.IntakeValve}, {Cylinder: n, Valve: firingorder.ExhaustValve},
		}})
	}
	plan, err := job.Sheet()
	if err != nil {
		return nil, lashPlaces.put("lash", err)
	}
	rec := valvetrain.LashRecord{Of: lashParts, Rule: e.res.Rule}
	if s.Adjuster != nil {
		rec.Adjuster = units.Some(adjuster(s.Adjuster))
	}
	for i := range s.Readings {
		r := &s.Readings[i]
		if r.Reading.Length < 0 || r.Reading.Length > coarsest {
			continue // refused by name afterwards
		}
		rec.Readings = append(rec.Readings, valvetrain.LashReading{
			Cylinder: r.Cylinder, Valve: either(r.Valve, firingorder.IntakeValve, firingorder.ExhaustValve), Lash: withZero(in, r.Reading),
		})
	}
	rep, err := plan.Record(rec)
	if err != nil {
		return nil, lashPlaces.put("lash", err)
	}
	e.worked("lash of every valve", rep)
	out := map[valve]valvetrain.LashLine{}
	for _, l := range rep.Lines {
		w := sheet.ValveWord("intake")
		if l.Reading.Valve == firingorder.ExhaustValve {
			w = "exhaust"
		}
		out[valve{l.Reading.Cylinder, w}] = l
	}
	return out, nil
}

// turnText says how a lash is corrected.
func turnText(st Style, wanted, read units.Length, l valvetrain.LashLine) string {
	way := "open it by " + st.Text(wanted-read)
	if wanted < read {
		way = "close it by " + st.Text(read-wanted)
	}
	if !l.Turns.Given {
		return way + " to the wanted " + st.Text(wanted)
	}
	turn := "in"
	if l.Back {
		turn = "back"
	}
	if l.Turns.Value.Whole == 0 && l.Turns.Value.Parts == 0 {
		return way + " to the wanted " + st.Text(wanted) + ": adjuster " + turn + " by less than 1/" + strconv.Itoa(lashParts) + " turn; read again"
	}
	return way + " to the wanted " + st.Text(wanted) + ": adjuster " + turn + " by " + l.Turns.Value.String() + ", which leaves " + st.Round(l.After) + "; read again"
}

// preload judges the preload of hydraulic lifters.
func (e *evaluator) preload() error {
	s := e.sheet.Preload
	if s == nil {
		return nil
	}
	in, err := e.instrument("preload.instrument", s.Instrument)
	if err != nil {
		return err
	}
	if err := eachValve(e, "preload.valves", s.Valves, ofTurns); err != nil {
		return err
	}
	l, text, err := limits("preload.limits", s.Limits)
	if err != nil {
		return err
	}
	for i := range s.Valves {
		p, path := &s.Valves[i], index("preload.valves", i)
		v := ofTurns(p)
		if e.sheet.Lash != nil && find(e.sheet.Lash.Readings, v, ofReading) != nil {
			return fail(path, v.String(), units.ErrConflict, "the valve has a lash, too: a solid lifter has no preload")
		}
		r, err := valvetrain.PreloadJob{
			Adjuster: adjuster(&s.Adjuster), Turns: valvetrain.Turns{Whole: p.Whole, Parts: p.Parts, Of: p.Of}, Travel: withZero(in, s.PlungerTravel),
			Limits: units.Some(l), Rule: e.res.Rule, TurnsU: optional(s.TurnsUncertainty),
		}.Preload()
		if err != nil {
			return preloadPlaces.put(path, err, e.instrumentPath(in))
		}
		st := styleOf(s.PlungerTravel)
		c := record(e, groupLash, v.String()+", preload", text, r.Verdict.Value, st.Round, st.Fine)
		c.Beside = r.Job.Turns.String() + " from zero lash; the plunger keeps " + st.Round(r.Left.Value) + " of its travel"
		switch {
		case r.Left.Value < 0:
			c.Outcome, c.Reason = units.ProvedOutside, "the plunger is at its bottom and the valve does not close: begin again from zero lash"
		case c.Outcome == units.ProvedOutside:
			c.Reason = e.turnsFor(s, l)
		}
		e.worked(v.String()+", preload", r)
	}
	return nil
}

// turnsFor says how many turns bring a preload to the middle of its limits.
func (e *evaluator) turnsFor(s *sheet.Preload, l units.Limits[units.Length]) string {
	wanted := l.Min
	switch {
	case l.HasMin && l.HasMax:
		wanted = l.Min + (l.Max-l.Min)/2
	case l.HasMax:
		wanted = l.Max
	}
	t, err := adjuster(&s.Adjuster).TurnsFor(valvetrain.WantedPreload{Preload: max(wanted, 0), Of: preloadParts})
	if err != nil {
		return "begin again from zero lash"
	}
	return "begin again from zero lash and turn by " + t.Turns.String()
}

// lifterFits judges lifters in their bores.
func (e *evaluator) lifterFits() error {
	s := e.sheet.LifterFits
	if s == nil {
		return nil
	}
	bore, err := e.instrument("lifter_fits.bore_instrument", s.BoreInstrument)
	if err != nil {
		return err
	}
	body, err := e.instrument("lifter_fits.body_instrument", s.BodyInstrument)
	if err != nil {
		return err
	}
	if err := eachValve(e, "lifter_fits.lifters", s.Lifters, ofLifter); err != nil {
		return err
	}
	l, text, err := limits("lifter_fits.limits", s.Limits)
	if err != nil {
		return err
	}
	for i := range s.Lifters {
		x, path := &s.Lifters[i], index("lifter_fits.lifters", i)
		c, err := valvetrain.LifterFit{Bore: readings(bore, x.Bore, withZero), Body: readings(body, x.Body, withZero), Limits: units.Some(l), Rule: e.res.Rule}.Clearance()
		if err != nil {
			return lifterPlaces.put(path, err, e.instrumentPath(bore), e.instrumentPath(body))
		}
		name, st := ofLifter(x).String()+", lifter in its bore", styleOf(x.Bore[0])
		for _, r := range [...]struct {
			name string
			v    units.Verdict[units.Length]
		}{{", smallest clearance", c.SmallestVerdict.Value}, {", largest clearance", c.LargestVerdict.Value}} {
			k := e.add(groupLifter, name+r.name, st, r.v, text)
			if k.Outcome == units.ProvedOutside {
				k.Reason = "pair it with another bore, or fit a lifter of another size"
			}
		}
		e.worked(name, c)
	}
	return nil
}
