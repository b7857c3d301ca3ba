package clearance

import (
	"math"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// GapTravel is a ring gapped at one place of a bore that is not the same size
// all along: worn, tapered, or bored at one end only.
type GapTravel struct {
	Bore Round // stations along the travel of the ring
	Gap  units.Measured[units.Length]
	At   units.Length // where the gap was read, from the same end
}

// GapPlace is the gap at one station.
type GapPlace struct {
	At   units.Length
	Bore units.Measured[units.Length] // mean diameter there
	Gap  units.Measured[units.Length]
}

// GapAlong is the gap along the travel.
type GapAlong struct {
	Places            []GapPlace
	Smallest, Largest int // indexes into Places, the first of several
	// From is the bore where the gap was read.
	From units.Measured[units.Length]
}

// Along answers which end gap a ring has at each station of its bore, in the
// worn part and in the new:
//
//	gap = Gap + pi (mean diameter at the station - mean diameter at At)
//
// with the diameter at At on the straight line between the stations on either
// side. The zero of the bore gauge is common and cancels. Errors: those of
// Round.Shape with Bore in front, an At outside the stations, those of
// GapMove.Moved: where the ends would butt, ErrImpossible.
//
// Source: as for GapMove.Moved.
//
// Rows: gap-along-worn, gap-along-new, gap-along-between, gap-along-u.
func (g GapTravel) Along() (GapAlong, error) {
	if err := g.Bore.check("Bore"); err != nil {
		return GapAlong{}, err
	}
	if err := checkDirections("Bore", g.Bore); err != nil {
		return GapAlong{}, err
	}
	st := g.Bore.Stations
	if g.At < st[0].At || g.At > st[len(st)-1].At {
		return GapAlong{}, fail("At", g.At.String(), units.ErrRange, "want a place between the first and the last station of the bore")
	}
	own := g.Bore
	own.ZeroU = 0
	shape := own.shape()
	from, weights := between(shape.Stations, g.At)
	r := GapAlong{From: from, Places: make([]GapPlace, 0, len(st))}
	for i, s := range shape.Stations {
		m, err := GapMove{Gap: g.Gap, From: from, To: s.Mean}.Moved()
		if err != nil {
			return GapAlong{}, err
		}
		// A station that From is made of is no other reading.
		if v := m.Gap; v.Stated {
			u := float64(g.Gap.U)
			for j, w := range weights {
				if j == i {
					w--
				}
				u = math.Hypot(u, math.Pi*w*float64(shape.Stations[j].Mean.U))
			}
			if _, in := weights[i]; !in {
				u = math.Hypot(u, math.Pi*float64(s.Mean.U))
			}
			m.Gap.U = round(u)
		}
		r.Places = append(r.Places, GapPlace{At: s.At, Bore: s.Mean, Gap: m.Gap})
		if m.Gap.Value < r.Places[r.Smallest].Gap.Value {
			r.Smallest = i
		}
		if m.Gap.Value > r.Places[r.Largest].Gap.Value {
			r.Largest = i
		}
	}
	return r, nil
}

// between interpolates the mean diameter and returns the shares of the stations.
func between(s []StationShape, x units.Length) (units.Measured[units.Length], map[int]float64) {
	i := 0
	for i < len(s)-1 && s[i+1].At <= x {
		i++
	}
	if s[i].At == x || i == len(s)-1 {
		return s[i].Mean, map[int]float64{i: 1}
	}
	a, b := s[i], s[i+1]
	t := float64(x-a.At) / float64(b.At-a.At)
	v := a.Mean.Value + round(t*float64(b.Mean.Value-a.Mean.Value))
	u := math.Hypot((1-t)*float64(a.Mean.U), t*float64(b.Mean.U))
	return result(v, a.Mean.Stated && b.Mean.Stated, u), map[int]float64{i: 1 - t, i + 1: t}
}

// Working returns the derivation.
func (g GapAlong) Working() units.Working {
	src := units.Source{Text: "circumference of a circle", Provenance: units.Computed}
	var w units.Working
	for _, p := range g.Places {
		w = append(w, units.Step{Symbol: "gap at " + p.At.Text(units.Millimeters, 2), Formula: "gap as read + pi (bore here - bore where read)", Numbers: "pi (" + num(p.Bore.Value) + " - " + num(g.From.Value) + ")", Value: measuredText(p.Gap), Source: src})
	}
	return w
}

// FilingPlan is a set of rings to be filed, each to its own target.
type FilingPlan []Filing

// FilingStep is what to do with one ring of a plan.
type FilingStep struct {
	// Remove is what to take off the ends together; 0 and Over true where the
	// gap is over its target already by Excess.
	Remove units.Measured[units.Length]
	Over   bool
	Excess units.Length
}

// Plan answers how much to file off each ring of a set:
//
//	remove = Target - Gap
//
// and which rings are over their target already, where no file helps. Errors:
// no rings, over 10,000; those of Filing.Remove, a gap over its target aside.
//
// Source: definition.
//
// Rows: file-plan, file-plan-over.
func (p FilingPlan) Plan() ([]FilingStep, error) {
	if len(p) == 0 {
		return nil, fail("FilingPlan", "", units.ErrMissing, "want at least one ring")
	}
	if len(p) > maxReadings {
		return nil, fail("FilingPlan", strconv.Itoa(len(p)), units.ErrRange, "want at most 10000 rings")
	}
	out := make([]FilingStep, len(p))
	for i, f := range p {
		if err := checkSize(at("FilingPlan", i)+".Target", f.Target); err != nil {
			return nil, err
		}
		if err := checkReading(at("FilingPlan", i)+".Gap", f.Gap); err != nil {
			return nil, err
		}
		if f.Gap.Value < 0 {
			return nil, fail(at("FilingPlan", i)+".Gap", f.Gap.Value.String(), units.ErrRange, "want a gap that is not negative")
		}
		if f.Gap.Value > f.Target {
			out[i] = FilingStep{Over: true, Excess: f.Gap.Value - f.Target, Remove: result(0, f.Gap.Stated, float64(f.Gap.U))}
			continue
		}
		r, err := f.Remove()
		if err != nil {
			return nil, err
		}
		out[i].Remove = r.Remove
	}
	return out, nil
}

// RingGroove is a ring and the groove it runs in.
type RingGroove struct {
	GrooveWidth units.Measured[units.Length] // along the bore
	RingWidth   units.Measured[units.Length] // along the bore
	// The rest is needed for the back clearance only.
	Bore      units.Measured[units.Length]
	Root      units.Measured[units.Length] // diameter of the groove's floor
	Thickness units.Measured[units.Length] // of the ring, along the radius
}

// RingSide is the side clearance of a ring.
type RingSide struct {
	Groove RingGroove
	Side   units.Measured[units.Length] // all of it, on both sides together
}

// RingBack is the back clearance of a ring.
type RingBack struct {
	Groove RingGroove
	// Back is the radial room behind the ring while it touches the bore all
	// around and the piston stands central.
	Back units.Measured[units.Length]
}

// SideClearance answers how much a ring can move along the bore in its groove:
//
//	side = GrooveWidth - RingWidth
//
// A feeler between ring and groove reads all of it with the ring held to the
// other side. A negative figure is data: the ring does not go in. Errors: a
// width that is missing or negative, a negative uncertainty.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: ring-side, ring-side-u.
func (g RingGroove) SideClearance() (RingSide, error) {
	if err := checkPositive("GrooveWidth", g.GrooveWidth); err != nil {
		return RingSide{}, err
	}
	if err := checkPositive("RingWidth", g.RingWidth); err != nil {
		return RingSide{}, err
	}
	return RingSide{Groove: g, Side: sub(g.GrooveWidth, g.RingWidth)}, nil
}

// BackClearance answers how much room there is behind a ring:
//
//	back = (Bore - Root)/2 - Thickness
//
// It must be over the radial play of the piston, half its clearance, or the
// ring carries the piston. A negative figure is data: the ring bottoms. Errors:
// a size that is missing or negative, a floor that is not inside the bore
// (ErrConflict), a negative uncertainty.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: ring-back, ring-back-u.
func (g RingGroove) BackClearance() (RingBack, error) {
	for _, p := range []struct {
		name string
		m    units.Measured[units.Length]
	}{{"Bore", g.Bore}, {"Root", g.Root}, {"Thickness", g.Thickness}} {
		if err := checkPositive(p.name, p.m); err != nil {
			return RingBack{}, err
		}
	}
	if g.Root.Value >= g.Bore.Value {
		return RingBack{}, fail("Root", text(g.Root.Value), units.ErrConflict, "the groove's floor is not inside the bore")
	}
	// Twice the clearance is exact.
	d := g.Bore.Value - g.Root.Value - 2*g.Thickness.Value
	u := math.Hypot(math.Hypot(float64(g.Bore.U), float64(g.Root.U))/2, float64(g.Thickness.U))
	return RingBack{Groove: g, Back: result(div(d, 2), g.Bore.Stated && g.Root.Stated && g.Thickness.Stated, u)}, nil
}

// Working returns the derivation.
func (s RingSide) Working() units.Working {
	return units.Working{{Symbol: "side", Formula: "groove width - ring width", Numbers: num(s.Groove.GrooveWidth.Value) + " - " + num(s.Groove.RingWidth.Value), Value: measuredText(s.Side), Source: definition}}
}

// Working returns the derivation.
func (b RingBack) Working() units.Working {
	return units.Working{{Symbol: "back", Formula: "(bore - groove floor)/2 - ring thickness", Numbers: "(" + num(b.Groove.Bore.Value) + " - " + num(b.Groove.Root.Value) + ")/2 - " + num(b.Groove.Thickness.Value), Value: measuredText(b.Back), Source: definition}}
}

// Arc is a part of the piston's circumference: a thrust face, a pin end.
type Arc struct {
	Center    units.CrankAngle
	HalfWidth units.CrankAngle // over 0, at most 180 degrees; its ends are allowed
}

// GapStagger is a ring pack to be laid out around the piston. Angles are
// around the piston in degrees, from any mark, as Diameter.Around.
type GapStagger struct {
	Gaps int // ring gaps, steel rails and expander counted as well; 1 to 8, top first
	// Avoid is where no gap may stand.
	Avoid []Arc
}

// StaggerPlan is where to put the gaps.
type StaggerPlan struct {
	// Gaps are the angles in [0, 360), top ring first.
	Gaps []units.CrankAngle
	// Spacing is the smallest distance of any two gaps around the piston,
	// proved the largest there is; a full turn for one gap.
	Spacing units.CrankAngle
	// NextRing is the smallest distance of gaps of rings next to each other
	// in the pack.
	NextRing units.CrankAngle
}

// Positions answers where the gaps of a ring pack go so that they stand as far
// apart as can be and away from the arcs to avoid:
//
//	maximize the smallest distance of any two gaps around the circle
//
// For a given distance the gaps fit if, begun at the start of some free arc,
// each gap set as early as the distance and the arcs allow, the last keeps the
// distance from the first: any layout can be turned back until a gap meets the
// start of a free arc, or all the way where none is avoided. The distance is
// bisected in whole counts, so that it is the largest one exactly. Which ring
// takes which place is then tried in every order, for the largest smallest
// distance between rings that follow each other; the first ring takes the
// first place found among equals.
//
// Errors: gaps outside 1 to 8, an arc outside 0 to 180 degrees of half width,
// over 64 arcs, arcs that cover the piston (ErrImpossible).
//
// Source: exhaustive in the order, exact greedy decision and bisection in the
// distance.
//
// Rows: stagger-three, stagger-free, stagger-thrust-pins, stagger-next,
// stagger-one-sided, stagger-crowded.
func (g GapStagger) Positions() (StaggerPlan, error) {
	if g.Gaps < 1 || g.Gaps > 8 {
		return StaggerPlan{}, fail("Gaps", strconv.Itoa(g.Gaps), units.ErrRange, "want 1 to 8 gaps")
	}
	if len(g.Avoid) > 64 {
		return StaggerPlan{}, fail("Avoid", strconv.Itoa(len(g.Avoid)), units.ErrRange, "want at most 64 arcs")
	}
	for i, a := range g.Avoid {
		if a.HalfWidth <= 0 || a.HalfWidth > halfTurn {
			return StaggerPlan{}, fail(at("Avoid", i)+".HalfWidth", a.HalfWidth.String(), units.ErrRange, "want a half width over 0 and up to 180 degrees")
		}
	}
	free := g.free()
	if len(free) == 0 {
		return StaggerPlan{}, fail("Avoid", strconv.Itoa(len(g.Avoid)), units.ErrImpossible, "the arcs to avoid cover the piston")
	}
	if g.Gaps == 1 {
		return StaggerPlan{Gaps: []units.CrankAngle{free[0].from % units.CrankTurn}, Spacing: units.CrankTurn, NextRing: units.CrankTurn}, nil
	}
	buf := make([]units.CrankAngle, g.Gaps)
	lo, hi := units.CrankAngle(0), units.CrankTurn/units.CrankAngle(g.Gaps) // lo is feasible
	for lo < hi {
		mid := lo + (hi-lo+1)/2
		if place(free, mid, buf) {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	place(free, lo, buf)
	for i := range buf {
		buf[i] %= units.CrankTurn
	}
	return order(buf, lo), nil
}

// span is a free arc, 0 <= from < 360 and from <= to.
type span struct{ from, to units.CrankAngle }

// free returns the free arcs in rising order. One that runs through 0 starts
// before it and ends past 360.
func (g GapStagger) free() []span {
	if len(g.Avoid) == 0 {
		return []span{{0, units.CrankTurn - 1}}
	}
	var blocked []span
	for _, a := range g.Avoid {
		from := ((a.Center%units.CrankTurn-a.HalfWidth)%units.CrankTurn + units.CrankTurn) % units.CrankTurn
		blocked = append(blocked, span{from, from + 2*a.HalfWidth})
	}
	slices.SortFunc(blocked, func(a, b span) int {
		if a.from != b.from {
			return int(min(max(a.from-b.from, -1), 1))
		}
		return int(min(max(a.to-b.to, -1), 1))
	})
	// A free arc begins at the end of a blocked one that no other covers, and
	// runs to where the next begins.
	var out []span
	for _, b := range blocked {
		start, next, inside := b.to, b.from+units.CrankTurn, false
		for _, c := range blocked {
			for turn := -units.CrankTurn; turn <= units.CrankTurn; turn += units.CrankTurn {
				from, to := c.from+turn, c.to+turn
				if from < start && start < to {
					inside = true
				}
				if from >= start {
					next = min(next, from)
				}
			}
		}
		if inside || next < start {
			continue
		}
		f := start % units.CrankTurn
		if s := (span{f, f + next - start}); !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	slices.SortFunc(out, func(a, b span) int { return int(min(max(a.from-b.from, -1), 1)) })
	return out
}

// place tries to set the gaps at a distance of d or more, beginning at the
// start of each free arc.
func place(free []span, d units.CrankAngle, out []units.CrankAngle) bool {
	for _, f := range free {
		out[0] = f.from
		ok := true
		for i := 1; i < len(out) && ok; i++ {
			out[i] = earliest(free, out[i-1]+d)
			ok = out[i] <= f.from+units.CrankTurn-d
		}
		if ok {
			return true
		}
	}
	return false
}

// earliest returns the first free place at or after x, which is under three turns.
func earliest(free []span, x units.CrankAngle) units.CrankAngle {
	best := units.CrankAngle(math.MaxInt64)
	for turn := -units.CrankTurn; turn <= 3*units.CrankTurn; turn += units.CrankTurn {
		for _, f := range free {
			if f.to+turn >= x {
				best = min(best, max(x, f.from+turn))
			}
		}
	}
	return best
}

// around returns the distance of two places around the circle.
func around(a, b units.CrankAngle) units.CrankAngle {
	d := (a - b).Abs()
	return min(d, units.CrankTurn-d)
}

// order deals the places out to the rings: every order is tried.
func order(places []units.CrankAngle, spacing units.CrankAngle) StaggerPlan {
	best := StaggerPlan{Spacing: spacing, NextRing: -1}
	pick := make([]units.CrankAngle, 0, len(places))
	used := make([]bool, len(places))
	var deal func(least units.CrankAngle)
	deal = func(least units.CrankAngle) {
		if len(pick) == len(places) {
			best.Gaps, best.NextRing = append(best.Gaps[:0], pick...), least
			return
		}
		for i, p := range places {
			if used[i] {
				continue
			}
			l := least
			if n := len(pick); n > 0 {
				l = min(l, around(p, pick[n-1]))
			}
			if l <= best.NextRing {
				continue
			}
			used[i] = true
			pick = append(pick, p)
			deal(l)
			pick = pick[:len(pick)-1]
			used[i] = false
		}
	}
	deal(units.CrankTurn)
	return best
}

// Working returns the places and how far apart they are; nil for the zero value.
func (p StaggerPlan) Working() units.Working {
	if len(p.Gaps) == 0 {
		return nil
	}
	src := units.Source{Text: "exhaustive in the order, bisection in the distance", Provenance: units.Computed}
	var w units.Working
	for i, a := range p.Gaps {
		w = append(w, units.Step{Symbol: "gap " + strconv.Itoa(i+1), Formula: "place around the piston, top ring first", Value: a.Text(2), Source: src})
	}
	return append(w,
		units.Step{Symbol: "spacing", Formula: "smallest distance of any two gaps, the largest there is", Value: p.Spacing.Text(2), Source: src},
		units.Step{Symbol: "next ring", Formula: "smallest distance of gaps of rings next to each other", Value: p.NextRing.Text(2), Source: src})
}
