package assess

import (
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// Exempt is a group of checks that the sheet says does not apply, and why.
type Exempt struct{ Group, Reason string }

// group is a group of checks that a sheet may leave out: whether it is given,
// where it stands in the sheet, and the cylinders or valves that it leaves out.
type group struct {
	word   sheet.GroupWord
	given  bool
	path   string
	absent []string // what it says nothing of, such as "end gaps of cylinder 6"
}

// groups lists the groups in the order of a report.
func (e *evaluator) groups() []group {
	s := e.sheet
	g := []group{
		{sheet.Bearings, len(s.Bearings) > 0, "bearings", nil},
		{sheet.Rings, len(s.Rings) > 0, "rings", e.cylinders("end gaps", func(n int) bool {
			return slices.ContainsFunc(s.Rings, func(r sheet.Ring) bool { return r.Cylinder == n })
		})},
		{sheet.RingGrooves, len(s.RingGrooves) > 0, "ring_grooves", e.cylinders("grooves", func(n int) bool {
			return slices.ContainsFunc(s.RingGrooves, func(r sheet.RingGroove) bool { return r.Cylinder == n })
		})},
		{sheet.EndPlays, len(s.EndPlay) > 0, "end_play", nil},
		{sheet.Sides, len(s.SideClearance) > 0, "side_clearance", nil},
		{sheet.Fits, len(s.Fits) > 0, "fits", nil},
	}
	add := func(w sheet.GroupWord, given bool, path string, absent func() []string) {
		x := group{word: w, given: given, path: path}
		if given {
			x.absent = absent()
		}
		g = append(g, x)
	}
	add(sheet.Lifts, s.ValveLifts != nil, "valve_lifts", func() []string {
		return e.valves(func(v valve) bool { return find(s.ValveLifts.Readings, v, ofReading) != nil })
	})
	add(sheet.Springs, s.ValveSprings != nil, "valve_springs", func() []string {
		return e.valves(func(v valve) bool { return find(s.ValveSprings.Valves, v, ofNest) != nil })
	})
	add(sheet.Travels, s.TravelLimits != nil, "travel_limits", func() []string {
		return e.valves(func(v valve) bool { return find(s.TravelLimits.Valves, v, ofGaps) != nil })
	})
	add(sheet.LashOrPreload, s.Lash != nil || s.Preload != nil, "lash", func() []string {
		return e.valves(func(v valve) bool {
			return s.Lash != nil && find(s.Lash.Readings, v, ofReading) != nil || s.Preload != nil && find(s.Preload.Valves, v, ofTurns) != nil
		})
	})
	add(sheet.LifterBores, s.LifterFits != nil, "lifter_fits", func() []string {
		return e.valves(func(v valve) bool { return find(s.LifterFits.Lifters, v, ofLifter) != nil })
	})
	add(sheet.DeckHeight, s.Deck != nil, "deck", func() []string {
		return e.cylinders("readings", func(n int) bool {
			return slices.ContainsFunc(s.Deck.Readings, func(r sheet.DeckReading) bool { return r.Cylinder == n })
		})
	})
	add(sheet.Compressions, s.Compression != nil, "compression", func() []string {
		return e.cylinders("volumes", func(n int) bool {
			return slices.ContainsFunc(s.Compression.Cylinders, func(c sheet.Chamber) bool { return c.Cylinder == n })
		})
	})
	add(sheet.ValvePiston, s.ValveToPiston != nil, "valve_to_piston", func() []string {
		var out []string
		if s.ValveToPiston.Intake == nil {
			out = append(out, "intake valves")
		}
		if s.ValveToPiston.Exhaust == nil {
			out = append(out, "exhaust valves")
		}
		return out
	})
	add(sheet.TurningTorque, s.Turning != nil, "turning", func() []string {
		if s.Turning.Max == nil {
			return []string{"a limit for the readings"}
		}
		return nil
	})
	return g
}

// exempt checks the groups that the sheet says do not apply. A reason that
// stands beside readings of the same group contradicts them.
func (e *evaluator) exempt() error {
	groups := e.groups()
	for i, x := range e.sheet.NotApplicable {
		path := index("not_applicable", i) + ".group"
		if slices.ContainsFunc(e.sheet.NotApplicable[:i], func(p sheet.Inapplicable) bool { return p.Group == x.Group }) {
			return fail(path, string(x.Group), units.ErrConflict, "the group is listed twice")
		}
		for _, g := range groups {
			if g.word == x.Group && g.given {
				return fail(path, string(x.Group), units.ErrConflict, "the sheet has readings of it: leave out one of the two")
			}
		}
		e.res.Exempt = append(e.res.Exempt, Exempt{string(x.Group), x.Reason})
	}
	return nil
}

// exempted reports whether the sheet says that a group does not apply.
func (e *evaluator) exempted(w sheet.GroupWord) bool {
	return slices.ContainsFunc(e.sheet.NotApplicable, func(x sheet.Inapplicable) bool { return x.Group == w })
}

// cylinders names the cylinders that lack something.
func (e *evaluator) cylinders(what string, have func(n int) bool) []string {
	var lack []int
	for n := 1; n <= e.sheet.Engine.Cylinders; n++ {
		if !have(n) {
			lack = append(lack, n)
		}
	}
	return ofCylinders(nil, what, lack)
}

// valves names the valves that lack something.
func (e *evaluator) valves(have func(v valve) bool) []string {
	var out []string
	for _, w := range sheet.ValveWord("").Words() {
		var lack []int
		for n := 1; n <= e.sheet.Engine.Cylinders; n++ {
			if !have(valve{n, sheet.ValveWord(w)}) {
				lack = append(lack, n)
			}
		}
		out = ofCylinders(out, w, lack)
	}
	return out
}

func ofCylinders(out []string, what string, cylinders []int) []string {
	if len(cylinders) == 0 {
		return out
	}
	word := " of cylinder "
	if len(cylinders) > 1 {
		word = " of cylinders "
	}
	list := make([]string, len(cylinders))
	for i, n := range cylinders {
		list[i] = strconv.Itoa(n)
	}
	return append(out, what+word+strings.Join(list, ", "))
}

// valve names a valve of the engine.
type valve struct {
	cylinder int
	word     sheet.ValveWord
}

// String names it as reports do.
func (v valve) String() string { return "cylinder " + strconv.Itoa(v.cylinder) + " " + string(v.word) }

func ofReading(r *sheet.ValveReading) valve { return valve{r.Cylinder, r.Valve} }
func ofNest(n *sheet.SpringNest) valve      { return valve{n.Cylinder, n.Valve} }
func ofGaps(g *sheet.TravelGaps) valve      { return valve{g.Cylinder, g.Valve} }
func ofTurns(p *sheet.PreloadTurns) valve   { return valve{p.Cylinder, p.Valve} }
func ofLifter(l *sheet.LifterFit) valve     { return valve{l.Cylinder, l.Valve} }

// find returns the entry of a valve, if there is one.
func find[T any](list []T, v valve, of func(*T) valve) *T {
	for i := range list {
		if of(&list[i]) == v {
			return &list[i]
		}
	}
	return nil
}

// eachValve checks that every entry is of a valve of the engine and that none
// is listed twice.
func eachValve[T any](e *evaluator, path string, list []T, of func(*T) valve) error {
	if len(list) == 0 {
		return fail(path, "", units.ErrMissing, "want the readings of at least one valve")
	}
	for i := range list {
		v, at := of(&list[i]), index(path, i)
		if err := e.cylinderOf(at, v.cylinder); err != nil {
			return err
		}
		if find(list[:i], v, of) != nil {
			return fail(at+".cylinder", strconv.Itoa(v.cylinder), units.ErrConflict, "the "+string(v.word)+" valve of the cylinder is listed twice")
		}
	}
	return nil
}

// cylinderOf refuses a cylinder that the engine does not have.
func (e *evaluator) cylinderOf(path string, n int) error {
	if n < 1 || n > e.sheet.Engine.Cylinders {
		return fail(path+".cylinder", strconv.Itoa(n), units.ErrRange, "want a cylinder from 1 to "+strconv.Itoa(e.sheet.Engine.Cylinders))
	}
	return nil
}

// eachCylinder checks that every entry is of a cylinder of the engine and that
// none is listed twice.
func eachCylinder[T any](e *evaluator, path string, list []T, of func(*T) int) error {
	if len(list) == 0 {
		return fail(path, "", units.ErrMissing, "want the readings of at least one cylinder")
	}
	for i := range list {
		n, at := of(&list[i]), index(path, i)
		if err := e.cylinderOf(at, n); err != nil {
			return err
		}
		for j := range i {
			if of(&list[j]) == n {
				return fail(at+".cylinder", strconv.Itoa(n), units.ErrConflict, "the cylinder is listed twice")
			}
		}
	}
	return nil
}

// either returns what holds for a kind of valve.
func either[T any](w sheet.ValveWord, intake, exhaust T) T {
	if w == "exhaust" {
		return exhaust
	}
	return intake
}

// size refuses a length that is not over 0.
func size(path string, r units.Reading) error {
	if r.Length <= 0 || r.Length > coarsest*100 {
		return fail(path, r.String(), units.ErrRange, "want a length over 0 and at most 10 m")
	}
	return nil
}

// readings are lengths read with one instrument, each by what of its
// uncertainty counts: measured where the zero cancels or is counted once, else
// withZero.
func readings(in *sheet.Instrument, r []units.Reading, counts func(*sheet.Instrument, units.Reading) units.Measured[units.Length]) []units.Measured[units.Length] {
	out := make([]units.Measured[units.Length], len(r))
	for i := range r {
		out[i] = counts(in, r[i])
	}
	return out
}
