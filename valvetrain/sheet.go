package valvetrain

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// EngineState says in which state of the engine a lash holds. The zero
// EngineState is not stated.
type EngineState uint8

// States.
const (
	ColdEngine EngineState = iota + 1 // at the temperature of the room
	HotEngine                         // at running temperature
)

// String names the state.
func (s EngineState) String() string {
	switch s {
	case ColdEngine:
		return "cold"
	case HotEngine:
		return "hot"
	default:
		return "state not given"
	}
}

// ValveSetting is what the valves of one kind are set to: a lash, or a preload of
// hydraulic lifters.
type ValveSetting struct {
	// Lash is the gap wanted between valve and rocker, or under the follower, and
	// State when it holds.
	Lash  units.Length
	State EngineState
	// Limits of the lash, if it is to be judged.
	Limits units.Optional[units.Limits[units.Length]]
	// Preload, in place of a lash, is how far the adjuster goes on from zero
	// lash.
	Preload Turns
}

func (s *ValveSetting) hydraulic() bool { return s.Preload != Turns{} }

func (s *ValveSetting) check() error {
	if s.hydraulic() {
		if s.Lash != 0 || s.Limits.Given {
			return fail("Preload", s.Preload.String(), units.ErrConflict, "want a lash or a preload, not both")
		}
		_, err := Thread{PerInch: 1}.Travel(s.Preload)
		return err
	}
	if s.Lash == 0 {
		return fail("Lash", "", units.ErrMissing, "want a lash or a preload")
	}
	if s.Lash < 0 || s.Lash > 10*units.Millimeter {
		return fail("Lash", s.Lash.String(), units.ErrRange, "want a lash of over 0 to 10 mm")
	}
	if s.State != ColdEngine && s.State != HotEngine {
		return fail("State", s.State.String(), units.ErrMissing, "want to know whether the lash holds cold or hot")
	}
	if !s.Limits.Given {
		return nil
	}
	v, err := units.Judge(units.Unstated(s.Lash), s.Limits.Value, units.SimpleAcceptance)
	if err != nil {
		return fail("Limits", s.Limits.Value.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
	}
	if v.Margin < 0 {
		return fail("Lash", text(s.Lash), units.ErrConflict, "want a lash within its limits, "+s.Limits.Value.String())
	}
	return nil
}

// Blades are the feeler blades that try a lash: Go must pass, NoGo must not.
type Blades struct {
	Go   units.Length
	NoGo units.Optional[units.Length]
}

// SheetJob is an engine whose valves are to be set.
type SheetJob struct {
	Engine *firingorder.Engine
	// Plan is one that package firingorder made for this engine.
	Plan            firingorder.LashPlan
	Intake, Exhaust ValveSetting
	// Start is where the crank stands to begin with, as an engine angle: 0 is
	// firing TDC of cylinder 1.
	Start units.CrankAngle
	// Blades at hand; none given, blades of the limits themselves are named.
	Blades []units.Length
}

// SheetLine is one valve to set.
type SheetLine struct {
	Cylinder int
	Label    string // bank and place, "A1"
	Valve    firingorder.Valve
	Setting  ValveSetting
	Blades   units.Optional[Blades] // not for a preload
	// Room is the crank rotation to where the valve may begin to lift.
	Room units.CrankAngle
}

// SheetStop is a crank position of the sheet.
type SheetStop struct {
	// Turn is how far to turn the crank in normal rotation, from the last stop
	// or from the start, and At the engine angle reached, in [0, 720).
	Turn, At units.CrankAngle
	// Firing and Overlap are the cylinders at firing and at overlap TDC there, 0
	// if none.
	Firing, Overlap int
	Lines           []SheetLine
}

// AdjustmentSheet is a list that a person follows.
type AdjustmentSheet struct {
	Job   SheetJob
	Stops []SheetStop
	// Turned is the crank rotation from the start to the last stop.
	Turned units.CrankAngle
}

// Sheet answers what to do, stop by stop, to set all valves of an engine by a plan:
//
//	turn = (At - At of the stop before) modulo 720, in normal rotation
//
// in the sequence of the plan. The blades of a lash with limits are the smallest
// blade at hand that is not under the least lash (it must pass) and the largest that
// is not over the greatest (it must not): together they prove the lash. With
// neither limits nor blades the lash itself is the blade that passes; without
// limits the next blade at hand must not.
//
// Errors: no engine, no plan; a plan that sets a valve twice, leaves one out or
// names one that the engine does not have (ErrConflict); a lash that is missing, out
// of its limits, over 10 mm or without its state; a lash and a preload; a start
// outside two turns; blades not over 0, or none at hand that proves the limits
// (ErrImpossible).
//
// Source: definition; the plans are those of package firingorder.
//
// Rows: sheet-i4-turns, sheet-i6-turns, sheet-i6-lines, sheet-start,
// sheet-blades, sheet-blades-stock.
func (j SheetJob) Sheet() (AdjustmentSheet, error) {
	if j.Engine == nil || j.Engine.Layout() == nil {
		return AdjustmentSheet{}, fail("Engine", "", units.ErrMissing, "want an engine from firingorder.NewEngine")
	}
	if len(j.Plan.Positions) == 0 {
		return AdjustmentSheet{}, fail("Plan", "", units.ErrMissing, "want a plan of firingorder.LashSetting")
	}
	if j.Start < -units.CrankCycle || j.Start > units.CrankCycle {
		return AdjustmentSheet{}, fail("Start", j.Start.String(), units.ErrRange, "want a start within 720 crank degrees")
	}
	blades, err := j.blades()
	if err != nil {
		return AdjustmentSheet{}, err
	}
	cylinders := len(j.Engine.Order())
	done := make([][2]bool, cylinders)
	left := 2 * cylinders
	s := AdjustmentSheet{Job: j}
	last := j.Start
	for i, p := range j.Plan.Positions {
		field := at("Plan.Positions", i)
		if p.At < 0 || p.At >= units.CrankCycle {
			return AdjustmentSheet{}, fail(field+".At", p.At.String(), units.ErrRange, "want an engine angle of 0 to under 720")
		}
		stop := SheetStop{Turn: ((p.At-last)%units.CrankCycle + units.CrankCycle) % units.CrankCycle, At: p.At, Firing: p.Firing, Overlap: p.Overlap}
		for k, v := range p.Set {
			if v.Cylinder < 1 || v.Cylinder > cylinders || v.Valve != firingorder.IntakeValve && v.Valve != firingorder.ExhaustValve {
				return AdjustmentSheet{}, fail(field+".Set", v.Valve.String()+" "+strconv.Itoa(v.Cylinder), units.ErrConflict, "the engine has no such valve")
			}
			kind := v.Valve - firingorder.IntakeValve
			if done[v.Cylinder-1][kind] {
				return AdjustmentSheet{}, fail(at(field+".Set", k), v.Valve.String()+" "+strconv.Itoa(v.Cylinder), units.ErrConflict, "the plan sets it twice")
			}
			done[v.Cylinder-1][kind] = true
			left--
			setting := j.setting(v.Valve)
			stop.Lines = append(stop.Lines, SheetLine{v.Cylinder, j.Engine.Layout().Label(v.Cylinder), v.Valve, *setting, blades[kind], v.Room})
		}
		s.Stops = append(s.Stops, stop)
		s.Turned += stop.Turn
		last = p.At
	}
	if left > 0 {
		return AdjustmentSheet{}, fail("Plan", strconv.Itoa(left)+" valves left", units.ErrConflict, "want a plan that sets every valve of the engine")
	}
	return s, nil
}

func (j *SheetJob) setting(v firingorder.Valve) *ValveSetting {
	if v == firingorder.ExhaustValve {
		return &j.Exhaust
	}
	return &j.Intake
}

// blades checks both settings and picks their blades.
func (j *SheetJob) blades() (picked [2]units.Optional[Blades], err error) {
	for i, b := range j.Blades {
		if err := checkSize(at("Blades", i), b); err != nil {
			return picked, err
		}
	}
	for k, name := range [...]string{"Intake", "Exhaust"} {
		s := j.setting(firingorder.IntakeValve + firingorder.Valve(k))
		if err := s.check(); err != nil {
			return picked, within(name, err)
		}
		if s.hydraulic() {
			continue
		}
		b, err := s.pick(j.Blades)
		if err != nil {
			return picked, within(name, err)
		}
		picked[k] = units.Some(b)
	}
	return picked, nil
}

func (s *ValveSetting) pick(stock []units.Length) (Blades, error) {
	least, most := s.Lash, units.Optional[units.Length]{}
	if l := s.Limits.Value; s.Limits.Given {
		if l.HasMin {
			least = l.Min
		}
		if l.HasMax {
			most = units.Some(l.Max)
		}
	}
	if len(stock) == 0 {
		return Blades{Go: max(least, 0), NoGo: most}, nil
	}
	var b Blades
	for _, x := range stock {
		if x >= least && (b.Go == 0 || x < b.Go) {
			b.Go = x
		}
	}
	for _, x := range stock {
		switch {
		case most.Given && x <= most.Value && x > b.Go && (!b.NoGo.Given || x > b.NoGo.Value):
			b.NoGo = units.Some(x)
		case !most.Given && x > max(s.Lash, b.Go) && (!b.NoGo.Given || x < b.NoGo.Value):
			b.NoGo = units.Some(x)
		}
	}
	if b.Go == 0 || most.Given && !b.NoGo.Given {
		return Blades{}, fail("Limits", s.Limits.Value.String(), units.ErrImpossible, "no two blades at hand prove the lash: one must pass and a thicker one must not")
	}
	return b, nil
}

// Cautions returns what to mind while valves are set by the sheet.
func (s AdjustmentSheet) Cautions() []units.Caution {
	c := turningCautions()
	c = append(c, units.Caution{Text: "come up to every stop in normal rotation: if it is passed, turn back a quarter turn and come up to it again", Source: practice})
	hot, hydraulic := false, false
	for _, v := range [...]ValveSetting{s.Job.Intake, s.Job.Exhaust} {
		hot, hydraulic = hot || v.State == HotEngine, hydraulic || v.hydraulic()
	}
	if hot {
		c = append(c, units.Caution{Text: "a hot engine burns, and its lash drifts as it cools: set it without delay and wear gloves", Source: practice})
	}
	if hydraulic {
		c = append(c,
			units.Caution{Text: "zero lash is where the pushrod just loses its play with the plunger at its stop: a lifter that has bled down reads as lash", Source: practice},
			units.Caution{Text: "after a preload is set give the lifter time to bleed before the crank is turned: a valve held open meets the piston", Source: practice})
	}
	return append(c, units.Caution{Text: "the part maker's lash goes before any other; try every valve once more after two turns of the crank", Source: practice})
}

// Working returns the derivation.
func (s AdjustmentSheet) Working() units.Working {
	var w units.Working
	last := s.Job.Start
	for i, p := range s.Stops {
		w = append(w, units.Step{
			Symbol: "turn " + strconv.Itoa(i+1), Formula: "(at - last) modulo 720", Numbers: p.At.Text(2) + " - " + last.Text(2),
			Value: p.Turn.Text(2), Source: definition,
		})
		last = p.At
	}
	return w
}

// LashReading is the lash of one valve as found or as left.
type LashReading struct {
	Cylinder int
	Valve    firingorder.Valve
	Lash     units.Measured[units.Length]
}

// LashRecord are the readings of a sheet.
type LashRecord struct {
	Readings []LashReading
	// Adjuster, if turns are to be told, and Of, into how many parts of a turn
	// they are rounded.
	Adjuster units.Optional[Adjuster]
	Of       int
	Rule     units.DecisionRule
}

// LashLine is what comes of one reading.
type LashLine struct {
	Reading LashReading
	Label   string
	Setting ValveSetting
	Verdict units.Optional[units.Verdict[units.Length]]
	// Change is the lash wanted minus the lash read: positive where the gap must
	// grow. A bucket's shim must become thinner by as much.
	Change units.Length
	// Turns is how far the adjuster goes, Back whether it is backed off, so that
	// the gap grows, and After the lash that it leaves; with an adjuster only.
	// Where After misses the limits, parts of 1/Of are too coarse.
	Turns units.Optional[Turns]
	Back  bool
	After units.Length
}

// LashReport is what comes of the readings, in their sequence.
type LashReport struct {
	Lines []LashLine
	// Unread are the valves of the sheet without a reading, by cylinder.
	Unread []firingorder.FreeValve
	// Outcome is the worst of the verdicts: within only if every valve of the
	// sheet was read, judged and is proved within.
	Outcome units.Outcome
}

// Record answers for every reading whether the lash is right and what corrects it:
//
//	change = lash wanted - lash read     turns = |change|/(pitch m)
//	m = Ratio at the pushrod, 1 + Ratio at the pivot, 1 at the valve
//
// with m the gap at the valve for each travel of the adjuster, by the lever of
// PreloadJob.Preload seen from the valve; turns in whole parts of 1/Of, of two as
// close the smaller. The lash is that between rocker and valve. A reading of 0 may
// be a valve held open: it says nothing of how far.
//
// Errors: a sheet that Sheet did not make; a reading of a valve that the sheet has
// not or has as a preload, or that is read twice (ErrConflict); a lash outside
// 0 to 100 mm; a negative uncertainty; an adjuster as Adjuster.TurnsFor refuses it
// or, at the pushrod, without its ratio; limits that units.Judge refuses.
//
// Source: definition of the pitch; lever of the rocker.
//
// Rows: record-change, record-turns-pushrod, record-turns-pivot,
// record-turns-valve, record-after, record-verdict.
func (s AdjustmentSheet) Record(r LashRecord) (LashReport, error) {
	if len(s.Stops) == 0 {
		return LashReport{}, fail("AdjustmentSheet", "", units.ErrMissing, "want a sheet from SheetJob.Sheet")
	}
	if r.Adjuster.Given {
		a := &r.Adjuster.Value
		switch {
		case a.Place == AtValve && a.Ratio == 0:
			a.Ratio = 1 // it cancels
		case a.Place == AtPushrod && a.Ratio == 0:
			return LashReport{}, fail("Adjuster.Ratio", "", units.ErrMissing, "want the rocker ratio: the lash is read at the valve")
		case a.Place == AtPushrod && !(a.Ratio >= 0.1 && a.Ratio <= 10):
			return LashReport{}, fail("Adjuster.Ratio", plain(a.Ratio), units.ErrRange, "want a rocker ratio of 0.1 to 10")
		}
		if _, err := a.TurnsFor(WantedPreload{Of: r.Of}); err != nil {
			return LashReport{}, within("Adjuster", err)
		}
	}
	type key struct {
		cylinder int
		valve    firingorder.Valve
	}
	lines := map[key]SheetLine{}
	for _, p := range s.Stops {
		for _, l := range p.Lines {
			lines[key{l.Cylinder, l.Valve}] = l
		}
	}
	rep := LashReport{Outcome: units.ProvedWithin}
	read := map[key]bool{}
	for i, x := range r.Readings {
		k := key{x.Cylinder, x.Valve}
		l, ok := lines[k]
		name := fmt.Sprintf("%s %d", x.Valve, x.Cylinder)
		switch {
		case !ok:
			return LashReport{}, fail(at("Readings", i), name, units.ErrConflict, "the sheet has no such valve")
		case read[k]:
			return LashReport{}, fail(at("Readings", i), name, units.ErrConflict, "it is read twice")
		case l.Setting.hydraulic():
			return LashReport{}, fail(at("Readings", i), name, units.ErrConflict, "it is set by a preload and has no lash")
		}
		read[k] = true
		line, err := x.line(l, r)
		if err != nil {
			return LashReport{}, within(at("Readings", i), err)
		}
		o := units.NotProved
		if line.Verdict.Given {
			o = line.Verdict.Value.Outcome
		}
		rep.Outcome = worse(rep.Outcome, o)
		rep.Lines = append(rep.Lines, line)
	}
	for k, l := range lines {
		if !read[k] {
			rep.Unread = append(rep.Unread, firingorder.FreeValve{Cylinder: k.cylinder, Valve: k.valve, Room: l.Room})
			rep.Outcome = worse(rep.Outcome, units.NotProved)
		}
	}
	slices.SortFunc(rep.Unread, func(a, b firingorder.FreeValve) int {
		return cmp.Or(cmp.Compare(a.Cylinder, b.Cylinder), cmp.Compare(a.Valve, b.Valve))
	})
	return rep, nil
}

func (x LashReading) line(l SheetLine, r LashRecord) (LashLine, error) {
	if x.Lash.Value < 0 || x.Lash.Value > 100*units.Millimeter {
		return LashLine{}, fail("Lash", x.Lash.Value.String(), units.ErrRange, "want a lash of 0 to 100 mm")
	}
	if err := checkMeasuredU("Lash", x.Lash); err != nil {
		return LashLine{}, err
	}
	line := LashLine{Reading: x, Label: l.Label, Setting: l.Setting, Change: l.Setting.Lash - x.Lash.Value}
	line.Back = line.Change > 0
	if l.Setting.Limits.Given {
		v, err := units.Judge(x.Lash, l.Setting.Limits.Value, r.Rule)
		if err != nil {
			return LashLine{}, fail("Rule", r.Rule.String(), units.ErrConflict, "cannot be judged: "+err.Error())
		}
		line.Verdict = units.Some(v)
	}
	if r.Adjuster.Given {
		a := r.Adjuster.Value
		// The gap seen at the pushrod, where TurnsFor counts.
		p, err := a.TurnsFor(WantedPreload{Preload: count(line.Change.Abs().Meters() / a.Ratio), Of: r.Of})
		if err != nil {
			return LashLine{}, within("Adjuster", err)
		}
		line.Turns = units.Some(p.Turns)
		moved := count(p.Preload.Meters() * a.Ratio)
		if line.Back {
			line.After = x.Lash.Value + moved
		} else {
			line.After = x.Lash.Value - moved
		}
	}
	return line, nil
}

// Working returns the derivation.
func (r LashReport) Working() units.Working {
	var w units.Working
	for _, l := range r.Lines {
		name := l.Label + " " + l.Reading.Valve.String()
		w = append(w, units.Step{
			Symbol: name, Formula: "change = lash wanted - lash read", Numbers: num(l.Setting.Lash) + " - " + num(l.Reading.Lash.Value),
			Value: text(l.Change), Source: definition,
		})
		if l.Turns.Given {
			way := "turned down"
			if l.Back {
				way = "backed off"
			}
			w = append(w, units.Step{Symbol: name, Formula: "turns = |change|/(pitch m), " + way, Numbers: "leaves " + num(l.After), Value: l.Turns.Value.String(), Source: definition})
		}
	}
	return w
}
