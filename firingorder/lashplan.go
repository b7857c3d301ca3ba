package firingorder

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	"example.com/trialfit/units"
)

// LashPosition is a crank position and the valves to set there.
type LashPosition struct {
	At      units.CrankAngle // engine angle in [0, 720): after firing TDC of cylinder 1
	Firing  int              // the cylinder at firing TDC here, 0 if none
	Overlap int              // the cylinder at overlap TDC here ("rocking"), 0 if none
	Set     []FreeValve      // by cylinder, intake before exhaust
}

// LashPlan sets every valve of the engine once.
type LashPlan struct {
	Positions []LashPosition
	Room      units.CrankAngle // the smallest room of any valve
}

// PlanPositions says at which crank positions a plan may stop.
type PlanPositions uint8

// The positions.
const (
	AnyPosition PlanPositions = iota
	AtTDC                     // only where some cylinder is at TDC
	AtMarks                   // only at marks that are stated
)

// String returns the name of the choice.
func (p PlanPositions) String() string { return named(p, "any position", "at TDC", "at marks") }

// PlanRule restricts the positions of a plan. The zero value allows any.
type PlanRule struct {
	Positions PlanPositions
	// Marks, with AtMarks only, are the crank angles after TDC of cylinder 1
	// at which a mark stands at the pointer. Each comes by twice in a cycle.
	Marks []units.CrankAngle
	// WholeCylinders sets both valves of a cylinder at one position, in the
	// window around its firing TDC in which both are closed.
	WholeCylinders bool
}

const maxMarks = 720

// ShortestPlan answers at how few crank positions all valves can be set, and at
// which: the fewest positions such that every valve is free at one of them in the
// sense of AppendFree. Among the plans of that count it takes one with the
// largest smallest room; each valve is set where it has the most.
//
// The count is proved minimal over the continuum of positions. A position can
// be moved forward to the next end of a closed window without losing a valve, so
// that the ends suffice. Some position must lie in the window that holds the
// fewest ends; with each of these in turn taken as the first, the windows that
// do not hold it are intervals of a line, for which taking the earliest end
// that still has to be met, again and again, is known to be the fewest. Margins
// up to the largest for which the count stays the same are found by bisection
// on whole counts of 1e-9 degree. With WholeCylinders a cylinder has one window,
// from the later of the two beginnings before its firing TDC to the earlier of the
// two ends after it, and the same holds for these.
//
// Errors: those of AppendFree; units.ErrImpossible names a valve that is free at
// no position, or a cylinder whose valves are not both closed at its firing TDC; units.ErrMissing for AtMarks without marks, units.ErrConflict for
// marks without AtMarks, units.ErrRange for an unknown choice, more than 720
// marks or a mark beyond 720 crank degrees.
//
// Source: definition; the counts of the rows by brute force over a grid of
// positions.
//
// Rows: plan-i4-count, plan-i6-count, plan-v8-count, plan-i5-count, plan-v8-tdc,
// plan-i6-long-count, plan-i6-marks, plan-i6-room, plan-v12-count,
// adj-v8-four-stops, plan-i6-whole.
func (c LashSetting) ShortestPlan(r PlanRule) (LashPlan, error) {
	if err := c.check(); err != nil {
		return LashPlan{}, err
	}
	allowed, err := c.allowed(r)
	if err != nil {
		return LashPlan{}, err
	}
	all := c.arcs()
	if r.WholeCylinders {
		if all, err = c.common(all); err != nil {
			return LashPlan{}, err
		}
	}
	best, blocked := c.cover(all, c.Margin, allowed)
	if best == nil {
		return LashPlan{}, c.blocked(all[blocked], r)
	}
	// The largest margin of the same count: lo is feasible, hi is not.
	lo, hi := c.Margin, units.CrankTurn
	for hi-lo > 1 {
		mid := lo + (hi-lo)/2
		if s, _ := c.cover(all, mid, allowed); s != nil && len(s) == len(best) {
			best, lo = s, mid
		} else {
			hi = mid
		}
	}
	if r.Positions == AnyPosition {
		c.center(best, all, lo)
	}
	e := c.Engine
	slices.SortFunc(best, spot.compare)
	set := make([][]FreeValve, len(best))
	for _, a := range all {
		k, v := c.roomiest(a, best)
		if v.Valve != ValveUnstated {
			set[k] = append(set[k], v)
			continue
		}
		for v := IntakeValve; v <= ExhaustValve; v++ {
			f, _ := c.at(c.arc(a.valve.Cylinder, v), best[k])
			set[k] = append(set[k], f)
		}
	}
	var p LashPlan
	for i, s := range best {
		p.add(e.position(s, set[i]...))
	}
	return p, nil
}

// common returns for each cylinder the window around its firing TDC in which both
// of its valves are closed; all has the intake and the exhaust valve in turn.
func (c LashSetting) common(all []arc) ([]arc, error) {
	e := c.Engine
	var both []arc
	for cy := range e.order {
		fires := e.layout.spotOf(e.fire[cy])
		back, ahead := int64(units.CrankCycle), int64(units.CrankCycle)
		for _, a := range all[2*cy : 2*cy+2] {
			d := fires.from(a.start, e.layout.turn).nano // the parts of a count are the same
			back, ahead = min(back, d), min(ahead, a.length-d)
		}
		if ahead < 0 {
			return nil, refuse("cylinder", strconv.Itoa(cy+1), "its valves are not both closed at its firing TDC", units.ErrImpossible)
		}
		both = append(both, arc{fires.plus(units.CrankAngle(-back)), back + ahead, FreeValve{Cylinder: cy + 1}})
	}
	return both, nil
}

// allowed returns the positions that the rule allows, in order; nil for any.
func (c LashSetting) allowed(r PlanRule) ([]spot, error) {
	l := c.Engine.layout
	if r.Positions != AtMarks && len(r.Marks) > 0 {
		return nil, refuse("Marks", strconv.Itoa(len(r.Marks)), "marks are given but the positions are not AtMarks", units.ErrConflict)
	}
	var s []spot
	switch r.Positions {
	case AnyPosition:
		return nil, nil
	case AtTDC:
		for _, t := range l.tdc {
			s = append(s, l.spotOf(t), l.spotOf(t+l.turn))
		}
	case AtMarks:
		if len(r.Marks) == 0 {
			return nil, refuse("Marks", "", "want the marks", units.ErrMissing)
		}
		if len(r.Marks) > maxMarks {
			return nil, refuse("Marks", strconv.Itoa(len(r.Marks)), "want at most 720", units.ErrRange)
		}
		for i, m := range r.Marks {
			if m < -units.CrankCycle || m > units.CrankCycle {
				return nil, refuse("Marks["+strconv.Itoa(i)+"]", m.String(), "want a mark within 720 crank degrees", units.ErrRange)
			}
			s = append(s, spot{}.plus(m), spot{}.plus(m+units.CrankTurn))
		}
	default:
		return nil, refuse("Positions", r.Positions.String(), "want AnyPosition, AtTDC or AtMarks", units.ErrRange)
	}
	slices.SortFunc(s, spot.compare)
	return slices.Compact(s), nil
}

// cover returns the fewest positions that meet every window with the margin
// taken off, or nil and the index of a window that none meets.
func (c LashSetting) cover(all []arc, margin units.CrankAngle, allowed []spot) ([]spot, int) {
	turn := c.Engine.layout.turn
	cands := allowed
	if cands == nil {
		for i, a := range all {
			w := a.within(margin)
			if w.length < 0 {
				return nil, i
			}
			cands = append(cands, w.start.plus(units.CrankAngle(w.length)))
		}
		slices.SortFunc(cands, spot.compare)
		cands = slices.Compact(cands)
	}
	n := len(cands)
	// On the circle of candidates, unrolled twice, the window that begins at or
	// after i and ends first ends at last[i].
	last := make([]int, 2*n+1)
	for i := range last {
		last[i] = 3 * n
	}
	pivot, fewest := 0, n+1
	for i, a := range all {
		w := a.within(margin)
		lo, _ := slices.BinarySearchFunc(cands, w.start, spot.compare)
		// The candidates of a window follow each other on the circle.
		count := sort.Search(n, func(k int) bool {
			_, in := w.room(cands[(lo+k)%n], turn)
			return !in
		})
		if count == 0 {
			return nil, i
		}
		lo %= n
		if count < fewest {
			pivot, fewest = lo, count
		}
		last[lo] = min(last[lo], lo+count-1)
		last[lo+n] = min(last[lo+n], lo+n+count-1)
	}
	for i := 2*n - 1; i >= 0; i-- {
		last[i] = min(last[i], last[i+1])
	}
	var best []int
	for k := pivot; k < pivot+fewest; k++ {
		first := k % n
		chain := []int{first}
		for at := last[first+1]; at < first+n && (best == nil || len(chain) < len(best)); at = last[at+1] {
			chain = append(chain, at)
		}
		if best == nil || len(chain) < len(best) {
			best = chain
		}
	}
	s := make([]spot, len(best))
	for i, k := range best {
		s[i] = cands[k%n]
	}
	return s, 0
}

// roomiest returns the position at which the valve has the most room, the
// earlier one of two.
func (c LashSetting) roomiest(a arc, at []spot) (int, FreeValve) {
	best, place := a.valve, -1
	for k, p := range at {
		if v, ok := c.at(a, p); ok && (place < 0 || v.Room > best.Room) {
			best, place = v, k
		}
	}
	return place, best
}

// center moves each position to the middle of the windows of the valves that are
// set there, to a whole count, where that keeps the room.
func (c LashSetting) center(at []spot, all []arc, room units.CrankAngle) {
	turn := c.Engine.layout.turn
	served := make([][]arc, len(at))
	for _, a := range all {
		k, _ := c.roomiest(a, at)
		served[k] = append(served[k], a)
	}
	for k, p := range at {
		back, ahead := int64(units.CrankCycle), int64(units.CrankCycle)
		for _, a := range served[k] {
			d := p.from(a.start, turn)
			back, ahead = min(back, d.nano), min(ahead, a.length-d.nano-b2i(d.part != 0))
		}
		moved := spot{wrapNano(p.nano + b2i(p.part != 0) + (ahead-back)/2), 0}
		if !slices.ContainsFunc(served[k], func(a arc) bool {
			r, in := a.room(moved, turn)
			return !in || units.CrankAngle(r) < room
		}) {
			at[k] = moved
		}
	}
}

func (c LashSetting) blocked(a arc, r PlanRule) error {
	w := a.length
	reason := fmt.Sprintf("its closed window of %s leaves no room for the margin on both sides", units.CrankAngle(w))
	if w >= 2*int64(c.Margin) {
		reason = "it is free with the margin at no position of the rule: " + r.Positions.String()
	}
	field := fmt.Sprintf("%s valve of cylinder %d", a.valve.Valve, a.valve.Cylinder)
	if a.valve.Valve == ValveUnstated {
		field = fmt.Sprintf("valves of cylinder %d", a.valve.Cylinder)
	}
	return refuse(field, "", reason, units.ErrImpossible)
}

func (e *Engine) position(p spot, set ...FreeValve) LashPosition {
	return LashPosition{
		At: p.angle(e.layout.turn), Firing: e.standing(p), Overlap: e.standing(p.plus(units.CrankTurn)), Set: set,
	}
}

// add appends a position. Room counts down from a whole cycle.
func (p *LashPlan) add(at LashPosition) {
	if len(p.Positions) == 0 {
		p.Room = units.CrankCycle
	}
	for _, v := range at.Set {
		p.Room = min(p.Room, v.Room)
	}
	p.Positions = append(p.Positions, at)
}

// TwoPositions answers which valves to set at firing TDC of a cylinder and which
// one turn later, where that sets all of them: each is free at one of the two in
// the sense of AppendFree, and set where it has more room.
//
// Errors: those of AppendFree; units.ErrImpossible names a valve that is free at
// neither; units.ErrRange for a cylinder that the engine does not have.
//
// Source: printed lists: TM 5-3895-383-24 p. 6-60 (in-line four), makers' workshop
// manuals (in-line six, V8), operating manual (2012) of a family of V engines,
// p. 74 (V10, V12).
//
// Rows: adj-4-tdc4, adj-6-tdc1, adj-6-tdc6, adj-v8-tdc1, adj-v8-tdc6,
// two-pos-i6-2e, lash-v12-1, lash-v10-2, lash-i5-1.
func (c LashSetting) TwoPositions(cylinder int) (LashPlan, error) {
	if err := c.check(); err != nil {
		return LashPlan{}, err
	}
	e := c.Engine
	if err := e.check("cylinder", cylinder); err != nil {
		return LashPlan{}, err
	}
	first := e.layout.spotOf(e.fire[cylinder-1])
	at := []spot{first, first.plus(units.CrankTurn)}
	var set [2][]FreeValve
	for _, a := range c.arcs() {
		k, v := c.roomiest(a, at)
		if k < 0 {
			return LashPlan{}, refuse(fmt.Sprintf("%s valve of cylinder %d", v.Valve, v.Cylinder), "",
				fmt.Sprintf("it is free with the margin neither at firing TDC of cylinder %d nor one turn later", cylinder), units.ErrImpossible)
		}
		set[k] = append(set[k], v)
	}
	var p LashPlan
	for k := range at {
		p.add(e.position(at[k], set[k]...))
	}
	return p, nil
}

// OneAtATime answers at which crank positions each valve is set by watching the
// other valve of its cylinder, the way for a cam of any duration: the intake valve
// when the exhaust valve begins to open, the exhaust valve when the intake valve
// has come down,
//
//	intake set at  f + 360 + To of the exhaust window
//	exhaust set at f + 360 + From of the intake window
//
// with f = FiringAngle (crank deg), one position to a valve, in the sequence in
// which they come in two turns from firing TDC of cylinder 1.
//
// Errors: those of AppendFree; units.ErrImpossible names a valve that is not
// free with the margin at that point.
//
// Source: common practice for long cams; the positions follow from the windows.
//
// Rows: one-at-a-time-i4, one-at-a-time-i6-room, one-at-a-time-too-long.
func (c LashSetting) OneAtATime() (LashPlan, error) {
	if err := c.check(); err != nil {
		return LashPlan{}, err
	}
	e := c.Engine
	type stop struct {
		at  spot
		set FreeValve
	}
	stops := make([]stop, 0, 2*len(e.order))
	for cy := 1; cy <= len(e.order); cy++ {
		in, ex := c.arc(cy, IntakeValve), c.arc(cy, ExhaustValve)
		for _, w := range []struct {
			set  arc
			at   spot
			sign string
		}{
			{in, ex.start.plus(units.CrankAngle(ex.length)), "the exhaust valve begins to open"},
			{ex, in.start, "the intake valve has closed"},
		} {
			v, ok := c.at(w.set, w.at)
			if !ok {
				return LashPlan{}, refuse(fmt.Sprintf("%s valve of cylinder %d", v.Valve, cy), "", "it is not free with the margin when "+w.sign, units.ErrImpossible)
			}
			stops = append(stops, stop{w.at, v})
		}
	}
	slices.SortStableFunc(stops, func(a, b stop) int { return a.at.compare(b.at) })
	var p LashPlan
	for _, s := range stops {
		p.add(e.position(s.at, s.set))
	}
	return p, nil
}

// AtOverlap answers at which crank positions both valves of each cylinder are set
// while its companion is at overlap TDC, its valves rocking: at firing TDC of
// each cylinder, in firing order.
//
// Errors: those of AppendFree; units.ErrImpossible names a cylinder without a
// companion (nothing rocks while it fires) or a valve that is not free with the
// margin at firing TDC.
//
// Source: TM 5-6115-400-12, fig. 3-11 (in-line six); TM 10-3930-671-24 (in-line
// four).
//
// Rows: overlap-set-1, adj-6-rock, adj-4-rock, adj-360, rocking-v2-45.
func (c LashSetting) AtOverlap() (LashPlan, error) {
	if err := c.check(); err != nil {
		return LashPlan{}, err
	}
	e := c.Engine
	var p LashPlan
	for _, cy := range e.order {
		if e.companion[cy-1] == 0 {
			return LashPlan{}, refuse("cylinder", strconv.Itoa(cy), "has no companion: no cylinder rocks at overlap TDC while it is at firing TDC", units.ErrImpossible)
		}
		at := e.layout.spotOf(e.fire[cy-1])
		var set [2]FreeValve
		for i, v := range []Valve{IntakeValve, ExhaustValve} {
			f, ok := c.at(c.arc(cy, v), at)
			if !ok {
				return LashPlan{}, refuse(fmt.Sprintf("%s valve of cylinder %d", v, cy), "", "it is not free with the margin at firing TDC of its cylinder", units.ErrImpossible)
			}
			set[i] = f
		}
		p.add(e.position(at, set[:]...))
	}
	return p, nil
}

// Working lists the positions with their valves and rooms.
func (p LashPlan) Working() units.Working {
	src := units.Source{Text: "the closed windows as given, moved by the firing angles", Provenance: units.Computed}
	var w units.Working
	for i, at := range p.Positions {
		s := make([]string, len(at.Set))
		for k, v := range at.Set {
			s[k] = fmt.Sprintf("%s %d (room %s)", v.Valve, v.Cylinder, number(v.Room))
		}
		w = append(w, units.Step{
			Symbol: "position " + strconv.Itoa(i+1), Formula: "From + Margin <= engine - f - 360 <= To - Margin",
			Numbers: strings.Join(s, ", "), Value: at.At.String(), Source: src,
		})
	}
	return w
}

// SumRule is the rule of adding numbers: what is set while something else is
// fully open or rocking.
type SumRule struct {
	Cylinders int // a cylinder is set while the one that makes this sum rocks: n + 1
	Valves    int // a valve is set while the one that makes this sum is fully open: 2 n + 1
	// Room is the smallest room that a valve has when its counterpart is fully
	// open, taken as the middle of its opening.
	Room units.CrankAngle

	from *sumRuleFrom // for Working
}

// sumRuleFrom is what a rule was found from.
type sumRuleFrom struct {
	setting  LashSetting
	sequence []Valve
}

// counterparts returns a valve, by its index along the engine, and the one to be
// set while it is fully open.
func (f *sumRuleFrom) counterparts(i int) (open, set arc) {
	k := len(f.sequence) - 1 - i
	return f.setting.arc(i/2+1, f.sequence[i]), f.setting.arc(k/2+1, f.sequence[k])
}

// Working shows the two sums and the room of every valve while its counterpart is
// fully open; nil for a rule that LashSetting.SumRule did not make.
func (r SumRule) Working() units.Working {
	if r.from == nil {
		return nil
	}
	n, c := len(r.from.sequence)/2, &r.from.setting
	geometry := units.Source{Text: "the counterpart stands 360 crank degrees from its own peak", Provenance: units.Computed}
	w := units.Working{
		{Symbol: "cylinders", Formula: "n + 1", Numbers: strconv.Itoa(n) + " + 1", Value: strconv.Itoa(r.Cylinders), Source: geometry},
		{Symbol: "valves", Formula: "2 n + 1", Numbers: "2 x " + strconv.Itoa(n) + " + 1", Value: strconv.Itoa(r.Valves), Source: geometry},
	}
	for i := range 2 * n {
		open, set := r.from.counterparts(i)
		peak := open.peak()
		v, _ := c.at(set, peak)
		w = append(w, units.Step{
			Symbol: fmt.Sprintf("valve %d open", i+1), Formula: "set the valve of number sum - v; room to the nearer end of its closed window",
			Numbers: fmt.Sprintf("%d - %d = %d: %s %d open at %s, %s %d closed", r.Valves, i+1, r.Valves-1-i,
				open.valve.Valve, open.valve.Cylinder, number(peak.angle(c.Engine.layout.turn)), set.valve.Valve, set.valve.Cylinder),
			Value: v.Room.String(), Source: geometry,
		})
	}
	return append(w, units.Step{Symbol: "room", Formula: "smallest of these", Value: r.Room.String(), Source: geometry})
}

// SumRule answers whether the rule of adding numbers holds on the engine: valves
// counted along the engine from cylinder 1 (two to a cylinder, in the given
// sequence, so that 2c-1 and 2c are those of cylinder c), a valve may be set
// while the one that makes the sum 2 n + 1 with it is fully open. That is so only if
//
//	companions are c and n + 1 - c, for every cylinder, and
//	valves v and 2 n + 1 - v are of one kind, as in EIIEEIIE of a four
//
// because then the counterpart stands 360 crank degrees from its own peak.
// Otherwise it may be on its flank, and the rule is refused.
//
// Errors: those of AppendFree; units.ErrImpossible says which companions or
// which valves break the rule and how far the counterpart stands from its own
// peak, or names a counterpart that is not free with the margin;
// units.ErrMissing and units.ErrConflict for a sequence that has not the two
// valves of each cylinder.
//
// Source: the rule is printed (two copies) for an in-line four with the sequence
// above and for an in-line six; its conditions follow from the geometry.
//
// Rows: rule9-8, rule9-6, rule9-7, rule9-5, rule9-2, rule13-12, rule13-10,
// rule-refused-alternating, rule-refused-v8, rule-room-i4.
func (c LashSetting) SumRule(sequence []Valve) (SumRule, error) {
	if err := c.check(); err != nil {
		return SumRule{}, err
	}
	e := c.Engine
	n := len(e.order)
	if len(sequence) == 0 {
		return SumRule{}, refuse("sequence", "", "want the kinds of the valves along the engine", units.ErrMissing)
	}
	if len(sequence) != 2*n {
		return SumRule{}, refuse("sequence", strconv.Itoa(len(sequence)), "want two valves for each of the "+strconv.Itoa(n)+" cylinders", units.ErrConflict)
	}
	for i := range n {
		a, b := sequence[2*i], sequence[2*i+1]
		if (a != IntakeValve || b != ExhaustValve) && (a != ExhaustValve || b != IntakeValve) {
			return SumRule{}, refuse(fmt.Sprintf("sequence[%d]", 2*i), a.String()+" "+b.String(), fmt.Sprintf("want the intake and the exhaust valve of cylinder %d", i+1), units.ErrConflict)
		}
	}
	for i, k := range e.companion {
		want := n - i
		if k == want {
			continue
		}
		says := fmt.Sprintf("its companion is cylinder %d, the rule needs cylinder %d", k, want)
		if k == 0 {
			says = fmt.Sprintf("it has no companion, the rule needs cylinder %d", want)
		}
		return SumRule{}, refuse("cylinder", strconv.Itoa(i+1), says, units.ErrImpossible)
	}
	from := &sumRuleFrom{setting: c, sequence: slices.Clone(sequence)}
	from.setting.Closed = slices.Clone(c.Closed)
	r := SumRule{Cylinders: n + 1, Valves: 2*n + 1, Room: units.CrankCycle, from: from}
	turn := e.layout.turn
	for i := range 2 * n {
		k := 2*n - 1 - i
		open, set := from.counterparts(i)
		peak := open.peak()
		if sequence[i] != sequence[k] {
			off := peak.from(set.peak(), turn).nano
			return SumRule{}, refuse("sequence", fmt.Sprintf("valves %d and %d", i+1, k+1),
				fmt.Sprintf("they are of different kinds: while the %s valve of cylinder %d is fully open the %s valve of cylinder %d stands %s from its own peak instead of 360",
					open.valve.Valve, open.valve.Cylinder, set.valve.Valve, set.valve.Cylinder,
					units.CrankAngle(min(off, int64(units.CrankCycle)-off))), units.ErrImpossible)
		}
		v, ok := c.at(set, peak)
		if !ok {
			return SumRule{}, refuse(fmt.Sprintf("%s valve of cylinder %d", v.Valve, v.Cylinder), "",
				fmt.Sprintf("it is not free with the margin while the %s valve of cylinder %d is fully open", open.valve.Valve, open.valve.Cylinder), units.ErrImpossible)
		}
		r.Room = min(r.Room, v.Room)
	}
	return r, nil
}

// peak returns the middle of the opening, rounded down to the quantum.
func (a arc) peak() spot {
	open := int64(units.CrankCycle) - a.length
	return a.start.plus(units.CrankAngle(a.length + open/2))
}

// Partner answers which valve may be set while a valve is fully open:
//
//	partner = sum - valve
//
// with sum = SumRule.Valves, valves counted from cylinder 1.
//
// Errors: units.ErrRange for a valve that the engine does not have,
// units.ErrMissing for a rule that LashSetting.SumRule did not make.
//
// Source: the rule is printed, see LashSetting.SumRule.
//
// Rows: rule9-8, rule9-6, rule13-12, rule13-10.
func (r SumRule) Partner(valve int) (int, error) {
	if r.Valves == 0 {
		return 0, refuse("rule", "", "want a rule from LashSetting.SumRule", units.ErrMissing)
	}
	if valve < 1 || valve >= r.Valves {
		return 0, refuse("valve", strconv.Itoa(valve), fmt.Sprintf("want a valve from 1 to %d", r.Valves-1), units.ErrRange)
	}
	return r.Valves - valve, nil
}
