package firingorder

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/units"
)

// Pulse is one firing of a group and the wait for the next.
type Pulse struct {
	Cylinder, Next int
	Interval       units.CrankAngle // from firing TDC of Cylinder to that of Next
}

// Pulses are the firings that a bank or a manifold sees.
type Pulses struct {
	// Each has the cylinders of the group as they fire, the first after firing TDC
	// of cylinder 1 first. The intervals add up to 720 (two-stroke: 360) exactly.
	Each []Pulse
	// Closest are those with the shortest interval, compared as fractions, and
	// Shortest is that interval.
	Closest  []Pulse
	Shortest units.CrankAngle
	// Even says that every interval is exactly the same.
	Even bool

	engine *Engine // for Working
}

// Pulses answers in which order and at which intervals a group of cylinders
// fires, such as those on one branch of a manifold, and which of them follow each
// other the closest:
//
//	interval = f(next of the group) - f(this)
//
// with f = FiringAngle (crank deg), rounded as for Intervals. A group of one
// waits a whole cycle for itself.
//
// Errors: units.ErrMissing for an empty group, units.ErrRange for a cylinder that
// the engine does not have, units.ErrConflict for one that stands twice.
//
// Source: definition; that the two-plane V8 fires neighbors 90 degrees apart once
// on each bank is common practice and follows.
//
// Rows: pulses-v8-trail-a, pulses-v8-trail-b, pulses-v8-flat-a, pulses-i6-front,
// pulses-i6-rear, pulses-i4-pair, pulses-v6-90-odd-a.
func (e *Engine) Pulses(group ...int) (Pulses, error) {
	if err := e.check("engine", 1); err != nil {
		return Pulses{}, err
	}
	if len(group) == 0 {
		return Pulses{}, refuse("group", "", "want at least one cylinder", units.ErrMissing)
	}
	var in [maxCylinders + 1]bool
	for _, c := range group {
		if err := e.check("group", c); err != nil {
			return Pulses{}, err
		}
		if in[c] {
			return Pulses{}, refuse("group", strconv.Itoa(c), "the cylinder stands twice", units.ErrConflict)
		}
		in[c] = true
	}
	p := Pulses{Each: make([]Pulse, 0, len(group)), Even: true, engine: e}
	first, last := 0, 0
	for _, c := range e.order {
		switch {
		case !in[c]:
			continue
		case first == 0:
			first = c
		default:
			p.Each = append(p.Each, Pulse{last, c, e.angle[c-1] - e.angle[last-1]})
		}
		last = c
	}
	cycle := units.CrankCycle
	if e.cycle == TwoStroke {
		cycle = units.CrankTurn
	}
	p.Each = append(p.Each, Pulse{last, first, cycle + e.angle[first-1] - e.angle[last-1]})
	short := e.gap(p.Each[0])
	for _, q := range p.Each {
		g := e.gap(q)
		p.Even = p.Even && g == e.gap(p.Each[0])
		if g < short {
			short, p.Closest = g, p.Closest[:0]
		}
		if g == short {
			p.Closest = append(p.Closest, q)
		}
	}
	p.Shortest = p.Closest[0].Interval
	return p, nil
}

// gap returns the interval in ticks.
func (e *Engine) gap(p Pulse) int64 {
	cycle := e.layout.turn
	if e.cycle == FourStroke {
		cycle *= 2
	}
	g := e.fire[p.Next-1] - e.fire[p.Cylinder-1]
	if g <= 0 {
		g += cycle
	}
	return g
}

// BankPulses answers the same for the cylinders of one bank, by its name.
//
// Errors: units.ErrMissing for no bank of that name, or one without cylinders.
//
// Source: as for Pulses.
//
// Rows: pulses-v8-trail-a, pulses-v8-trail-b, pulses-v8-flat-a, pulses-v6-90-odd-a.
func (e *Engine) BankPulses(bank string) (Pulses, error) {
	if err := e.check("engine", 1); err != nil {
		return Pulses{}, err
	}
	var group []int
	for i, c := range e.layout.config.Cylinders {
		if c.Bank == bank {
			group = append(group, i+1)
		}
	}
	if group == nil {
		return Pulses{}, refuse("bank", bank, "no cylinder stands on a bank of this name", units.ErrMissing)
	}
	return e.Pulses(group...)
}

// Working shows the firing angles and the intervals.
func (p Pulses) Working() units.Working {
	if p.engine == nil {
		return nil
	}
	src := units.Source{Text: "definition", Provenance: units.Computed}
	var w units.Working
	for _, q := range p.Each {
		w = append(w, units.Step{
			Symbol: fmt.Sprintf("%d to %d", q.Cylinder, q.Next), Formula: "f(next) - f(this), one cycle more for the last",
			Numbers: number(p.engine.angle[q.Next-1]) + " - " + number(p.engine.angle[q.Cylinder-1]), Value: q.Interval.String(), Source: src,
		})
	}
	return w
}

// Succession is a firing and the next one of the order, and what they have in
// common.
type Succession struct {
	Pulse
	// Main is the main bearing beside both throws, counted from 1 from the end
	// that throws are counted from, 0 for none. Where both sit between the same
	// two main bearings it is the first of these.
	Main     int
	SameBay  bool // between the same two main bearings
	SamePin  bool
	Neighbor bool // next to each other on one bank
}

// MainBearings are the successive firings of an order against the main bearings.
type MainBearings struct {
	Mains       int // main bearings
	Successions []Succession
	// Shared counts the successions that load one main bearing twice running,
	// Neighbors those of cylinders next to each other on one bank.
	Shared, Neighbors int

	bays int // throws between two main bearings
}

// MainBearings answers which firings that follow each other load the same main
// bearing, and which are those of neighbors on one bank. Main bearings stand at
// both ends and after every throwsPerBay entries of Config.Throws: 1 for a shaft
// with a main bearing on either side of each pin, 2 for split pins in pairs. The
// throw t (from 1) stands between the bearings k and k + 1,
//
//	k = 1 + floor((t - 1)/throwsPerBay)
//
// and two throws share a bearing where k is the same or differs by 1. Fewer shared
// ones spread the load; the count is a measure for comparing the orders of one
// layout, not a load.
//
// Errors: units.ErrRange for throwsPerBay outside 1 to 64.
//
// Source: geometry; that an order should not fire neighbors in succession is
// common practice.
//
// Rows: mains-i6-1-5-3-6-2-4, mains-i6-1-2-4-6-5-3, mains-v8-trail-1,
// mains-v8-trail-3, mains-i4.
func (e *Engine) MainBearings(throwsPerBay int) (MainBearings, error) {
	if err := e.check("engine", 1); err != nil {
		return MainBearings{}, err
	}
	if throwsPerBay < 1 || throwsPerBay > maxCylinders {
		return MainBearings{}, refuse("throwsPerBay", strconv.Itoa(throwsPerBay), "want 1 to 64", units.ErrRange)
	}
	c := e.layout.config
	m := MainBearings{
		Mains: 2 + (len(c.Throws)-1)/throwsPerBay, bays: throwsPerBay,
		Successions: make([]Succession, 0, len(e.order)),
	}
	for i, interval := range e.Intervals() {
		s := Succession{Pulse: Pulse{e.order[i], e.order[(i+1)%len(e.order)], interval}}
		a, b := c.Cylinders[s.Cylinder-1], c.Cylinders[s.Next-1]
		j, k := (a.Throw-1)/throwsPerBay, (b.Throw-1)/throwsPerBay
		s.SameBay, s.SamePin = j == k, a.Throw == b.Throw
		if j-k <= 1 && k-j <= 1 {
			s.Main = 1 + max(j, k)
			m.Shared++
		}
		s.Neighbor = e.layout.neighbors(a, b)
		if s.Neighbor {
			m.Neighbors++
		}
		m.Successions = append(m.Successions, s)
	}
	return m, nil
}

// neighbors reports whether two cylinders are of one bank and none of it stands
// between them.
func (l *Layout) neighbors(a, b Cylinder) bool {
	lo, hi := min(a.Throw, b.Throw), max(a.Throw, b.Throw)
	return a.Bank == b.Bank && lo < hi && !slices.ContainsFunc(l.config.Cylinders, func(c Cylinder) bool {
		return c.Bank == a.Bank && lo < c.Throw && c.Throw < hi
	})
}

// Working shows each succession and what it shares.
func (m MainBearings) Working() units.Working {
	src := units.Source{Text: "geometry", Provenance: units.Computed}
	var w units.Working
	for _, s := range m.Successions {
		what := []string{"no main bearing shared"}
		if s.Main > 0 {
			what[0] = "main bearing " + strconv.Itoa(s.Main)
			if s.SameBay {
				what[0] += " and " + strconv.Itoa(s.Main+1)
			}
		}
		if s.Neighbor {
			what = append(what, "neighbors")
		}
		w = append(w, units.Step{
			Symbol: fmt.Sprintf("%d to %d", s.Cylinder, s.Next), Formula: fmt.Sprintf("bearing beside both throws, %d to a bay", m.bays),
			Numbers: number(s.Interval), Value: strings.Join(what, ", "), Source: src,
		})
	}
	return w
}
