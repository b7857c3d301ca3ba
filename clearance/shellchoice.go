package clearance

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// Bounds of a shell choice. Stock counts pack into four bits a grade, and a
// pair that misses its target by over maxMiss belongs to another undersize;
// 15 squares of it fit an int64, so every comparison is exact.
const (
	maxChoiceBearings = 15
	maxChoiceGrades   = 8
	maxMiss           = 700 * units.Micrometer
	maxChoiceSteps    = 5_000_000
)

// MatchObjective says what "nearest the targets" means for a whole set.
type MatchObjective uint8

// Objectives. Both are settled exactly, the second figure among the ties of
// the first.
const (
	// LargestFirst makes the largest deviation from a target as small as can
	// be, then the sum of the squares.
	LargestFirst MatchObjective = iota
	// SquaresFirst makes the sum of the squares as small as can be, then the
	// largest deviation.
	SquaresFirst
)

// String names the objective.
func (o MatchObjective) String() string {
	switch o {
	case LargestFirst:
		return "largest deviation first"
	case SquaresFirst:
		return "sum of squares first"
	default:
		return "no objective"
	}
}

// ShellGrade is a size of half shell with the pieces at hand.
type ShellGrade struct {
	Name string // color or number on the shell; for the reader only
	Wall units.Measured[units.Length]
	// Uppers and Lowers are the pieces at hand. Where the two halves are alike
	// (ShellChoice.AlikeHalves) their sum is one stock.
	Uppers, Lowers int
}

// ShellSeat is a bearing that wants shells.
type ShellSeat struct {
	Housing, Journal units.Measured[units.Length]
	// Target is the clearance wanted here where it differs from that of the
	// choice.
	Target units.Optional[units.Length]
}

// ShellChoice is a crank's bearings and the shells at hand for them.
type ShellChoice struct {
	Seats  []ShellSeat // in order along the crank, at most 15
	Grades []ShellGrade
	Target units.Length // clearance wanted
	// LargestMix is how far the walls of the two halves of one bearing may
	// differ; 0 allows halves of one wall only, not given allows any.
	LargestMix units.Optional[units.Length]
	// LargestStep is how far the clearances of bearings side by side may differ.
	LargestStep units.Optional[units.Length]
	AlikeHalves bool // an upper fits as a lower
	Objective   MatchObjective
	// Limits are the limits of every clearance, for the verdicts; they do not
	// steer the choice.
	Limits units.Optional[units.Limits[units.Length]]
	Rule   units.DecisionRule
}

// SeatChoice is the shells chosen for one bearing.
type SeatChoice struct {
	Upper, Lower int // index into Grades
	Clearance    units.Measured[units.Length]
	Deviation    units.Length // Clearance - target
	// Verdict is given if limits were.
	Verdict units.Optional[units.Verdict[units.Length]]
}

// ChosenShells is the best choice there is, proved.
type ChosenShells struct {
	Seats            []SeatChoice
	LargestDeviation units.Length // magnitude
	// RootSumSquares is the square root of the sum of the squared deviations.
	RootSumSquares units.Length
	// LargestStep is the largest difference of clearances side by side, 0 for
	// one bearing.
	LargestStep units.Length

	from ShellChoice
}

// seatPair is one way to fill a seat.
type seatPair struct {
	upper, lower int8
	dev          units.Length // signed
	clearance    units.Length
	use          uint64 // one from each stock, packed
}

type shellState struct {
	stock uint64 // pieces left, four bits a grade, uppers below
	last  uint16 // seat<<8 | pair of the seat before; the pair only where steps are limited
}

// shellSearch is a depth-first search over the seats in order.
type shellSearch struct {
	pairs   [][]seatPair   // by seat, nearest first
	tail    []int64        // least sum of squares of the seats from here on, by seat
	need    []units.Length // sum over the seats from here on of the walls wanted
	walls   []units.Length // rising
	order   []int          // of walls, as indexes into grades
	half    uint           // shift from the stock of uppers to that of lowers
	step    units.Length   // limit between neighbors, negative none
	limit   units.Length   // largest deviation allowed
	best    int64          // a sum of this and more is not wanted; math.MaxInt64 none
	stock   uint64
	free    bool // squares count nothing: any way to fill the seats will do
	seen    map[shellState]int64
	path    []int16
	found   []int16
	steps   int
	onlyOne bool // stop at the first
}

func square(l units.Length) int64 { return int64(l) * int64(l) }

// Choose answers which shells to put into every bearing of a crank so that the
// clearances come nearest their targets with the pieces at hand:
//
//	clearance = Housing - Upper wall - Lower wall - Journal
//	deviation = clearance - Target
//
// with halves of different walls in one bearing where LargestMix allows, no
// more pieces of a grade than there are, and no step between neighbors over
// LargestStep. Since a bearing takes two pieces from two stocks this is no
// assignment problem: it is solved by branch and bound over the seats, with
// the stock left as the state that is never searched twice at no less cost.
// The result is the optimum of Objective, in exact counts, not an
// approximation; of several equal ones the first in the order of seats,
// nearness and grades.
//
// u(clearance) is that of the four parts as independent: take the wall's
// uncertainty as that of one piece of its grade.
//
// Errors: no seats, over 15; no grades, over 8; a size that is missing, negative
// or not of its bearing; a stock that is negative; a seat that no pair of shells
// brings within 0.7 mm of its target (ErrConflict: the wrong undersize); a stock
// or constraints that no choice meets (ErrImpossible); an unknown objective; the
// errors of units.Judge; a stock with so many equal choices that the optimum
// is not proved in 5 million steps (ErrRange).
//
// Source: definition of clearance; branch and bound, an exact method.
//
// Rows: shells-largest, shells-squares, shells-squares-first, shells-alike,
// shells-matched, shells-step, shells-grades.
func (c ShellChoice) Choose() (ChosenShells, error) {
	if err := c.check(); err != nil {
		return ChosenShells{}, err
	}
	s, err := c.search()
	if err != nil {
		return ChosenShells{}, err
	}
	s.solve(c.Objective)
	if s.steps > maxChoiceSteps {
		return ChosenShells{}, fail("Grades", strconv.Itoa(len(c.Grades)), units.ErrRange, "too many equal choices to prove the best in 5 million steps: give fewer grades or bearings at a time")
	}
	if s.found == nil {
		return ChosenShells{}, fail("Grades", strconv.Itoa(len(c.Grades)), units.ErrImpossible, "the shells at hand do not fill every bearing within the constraints")
	}
	return c.chosen(s)
}

func (c ShellChoice) check() error {
	if len(c.Seats) == 0 {
		return fail("Seats", "", units.ErrMissing, "want at least one bearing")
	}
	if len(c.Seats) > maxChoiceBearings {
		return fail("Seats", strconv.Itoa(len(c.Seats)), units.ErrRange, "want at most 15 bearings")
	}
	if len(c.Grades) == 0 {
		return fail("Grades", "", units.ErrMissing, "want at least one grade")
	}
	if len(c.Grades) > maxChoiceGrades {
		return fail("Grades", strconv.Itoa(len(c.Grades)), units.ErrRange, "want at most 8 grades")
	}
	if c.Objective > SquaresFirst {
		return fail("Objective", c.Objective.String(), units.ErrRange, "want LargestFirst or SquaresFirst")
	}
	if err := checkSigned("Target", c.Target); err != nil {
		return err
	}
	for i, g := range c.Grades {
		if err := checkPositive(at("Grades", i)+".Wall", g.Wall); err != nil {
			return err
		}
		if g.Uppers < 0 {
			return fail(at("Grades", i)+".Uppers", strconv.Itoa(g.Uppers), units.ErrRange, "want a number of pieces that is not negative")
		}
		if g.Lowers < 0 {
			return fail(at("Grades", i)+".Lowers", strconv.Itoa(g.Lowers), units.ErrRange, "want a number of pieces that is not negative")
		}
	}
	for _, o := range []struct {
		name string
		l    units.Optional[units.Length]
	}{{"LargestMix", c.LargestMix}, {"LargestStep", c.LargestStep}} {
		if !o.l.Given {
			continue
		}
		if o.l.Value < 0 {
			return fail(o.name, o.l.Value.String(), units.ErrRange, "want a difference that is not negative")
		}
		if err := checkSigned(o.name, o.l.Value); err != nil {
			return err
		}
	}
	for i, s := range c.Seats {
		if err := c.checkSeat(at("Seats", i), s); err != nil {
			return err
		}
	}
	return nil
}

func (c ShellChoice) checkSeat(field string, s ShellSeat) error {
	if err := checkPositive(field+".Housing", s.Housing); err != nil {
		return err
	}
	if err := checkPositive(field+".Journal", s.Journal); err != nil {
		return err
	}
	if s.Journal.Value >= s.Housing.Value {
		return fail(field+".Journal", text(s.Journal.Value), units.ErrConflict, "the journal fills its housing: no room for shells")
	}
	return checkSigned(field+".Target", s.Target.Value)
}

func (c ShellChoice) target(i int) units.Length {
	if t := c.Seats[i].Target; t.Given {
		return t.Value
	}
	return c.Target
}

// search sets the tables of a search up.
func (c ShellChoice) search() (*shellSearch, error) {
	n := len(c.Seats)
	s := &shellSearch{
		pairs: make([][]seatPair, n), tail: make([]int64, n+1), need: make([]units.Length, n+1),
		step: -1, best: math.MaxInt64, seen: map[shellState]int64{}, path: make([]int16, n), half: 32, stock: c.stock(),
	}
	if c.AlikeHalves {
		s.half = 0
	}
	if c.LargestStep.Given {
		s.step = c.LargestStep.Value
	}
	for i := range c.Grades {
		s.order = append(s.order, i)
	}
	slices.SortStableFunc(s.order, func(a, b int) int { return cmp.Compare(c.Grades[a].Wall.Value, c.Grades[b].Wall.Value) })
	for _, g := range s.order {
		s.walls = append(s.walls, c.Grades[g].Wall.Value)
	}
	for i := n - 1; i >= 0; i-- {
		s.pairs[i] = c.pairs(i, s.half)
		if len(s.pairs[i]) == 0 {
			return nil, fail(at("Seats", i), text(c.Seats[i].Housing.Value)+" on "+text(c.Seats[i].Journal.Value), units.ErrConflict, "no pair of shells that may go together comes within 0.7 mm of the target: the wrong undersize, a misread inch or a mixed unit")
		}
		s.tail[i] = s.tail[i+1] + square(s.pairs[i][0].dev)
		s.need[i] = s.need[i+1] + c.Seats[i].Housing.Value - c.Seats[i].Journal.Value - c.target(i)
	}
	return s, nil
}

func (c ShellChoice) pairs(i int, half uint) []seatPair {
	seat, target := c.Seats[i], c.target(i)
	var out []seatPair
	for u, gu := range c.Grades {
		for l, gl := range c.Grades {
			if c.AlikeHalves && l < u {
				continue
			}
			if c.LargestMix.Given && (gu.Wall.Value-gl.Wall.Value).Abs() > c.LargestMix.Value {
				continue
			}
			clr := seat.Housing.Value - gu.Wall.Value - gl.Wall.Value - seat.Journal.Value
			if d := clr - target; d.Abs() <= maxMiss {
				out = append(out, seatPair{upper: int8(u), lower: int8(l), dev: d, clearance: clr, use: 1<<(4*u) + 1<<(4*uint(l)+half)})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b seatPair) int { return cmp.Compare(a.dev.Abs(), b.dev.Abs()) })
	return out
}

// stock packs the pieces at hand. More than can be used count as that many.
func (c ShellChoice) stock() uint64 {
	var v uint64
	n := len(c.Seats)
	for i, g := range c.Grades {
		if c.AlikeHalves {
			// 30 pieces at most would be used, but 15 of one grade are counted
			// apart in the free bits of the lowers.
			k := min(g.Uppers, 2*n) + min(g.Lowers, 2*n)
			k = min(k, 2*n)
			v |= uint64(min(k, 15))<<(4*i) | uint64(max(0, k-15))<<(4*i+32)
			continue
		}
		v |= uint64(min(g.Uppers, n))<<(4*i) | uint64(min(g.Lowers, n))<<(4*i+32)
	}
	return v
}

func left(stock uint64, grade int, shift uint) int { return int(stock >> (4*uint(grade) + shift) & 15) }

// take removes the pieces of a pair; ok false where one is not there.
func (s *shellSearch) take(stock uint64, p *seatPair) (uint64, bool) {
	if s.half != 0 {
		if left(stock, int(p.upper), 0) == 0 || left(stock, int(p.lower), 32) == 0 {
			return 0, false
		}
		return stock - p.use, true
	}
	for _, g := range [2]int8{p.upper, p.lower} {
		switch {
		case left(stock, int(g), 32) > 0:
			stock -= 1 << (4*uint(g) + 32)
		case left(stock, int(g), 0) > 0:
			stock -= 1 << (4 * uint(g))
		default:
			return 0, false
		}
	}
	return stock, true
}

// reach bounds the seats from i on by the walls left: with all of them as
// thick, or as thin, as the stock allows, the deviations sum up to at least
// short. It returns that and whether the stock is enough at all.
func (s *shellSearch) reach(i int, stock uint64) (short units.Length, ok bool) {
	k := len(s.path) - i
	thin, ok := s.sum(stock, k, false)
	if !ok {
		return 0, false
	}
	thick, _ := s.sum(stock, k, true)
	switch need := s.need[i]; {
	case need > thick:
		return need - thick, true
	case need < thin:
		return thin - need, true
	default:
		return 0, true
	}
}

// sum adds up the thickest or thinnest pieces for k seats.
func (s *shellSearch) sum(stock uint64, k int, thick bool) (units.Length, bool) {
	uppers, lowers := k, k
	if s.half == 0 {
		uppers, lowers = 2*k, 0
	}
	var sum units.Length
	for j := range s.walls {
		if thick {
			j = len(s.walls) - 1 - j
		}
		u, l := left(stock, s.order[j], 0), left(stock, s.order[j], 32)
		if s.half == 0 {
			u, l = u+l, 0
		}
		u, l = min(u, uppers), min(l, lowers)
		sum += units.Length(u+l) * s.walls[j]
		uppers, lowers = uppers-u, lowers-l
	}
	return sum, uppers+lowers == 0
}

// descend fills the seats from i on. cost is the sum so far.
func (s *shellSearch) descend(i int, stock uint64, cost int64) {
	if i == len(s.path) {
		if cost < s.best {
			s.best = cost
			s.found = append(s.found[:0], s.path...)
		}
		return
	}
	if s.steps++; s.steps > maxChoiceSteps {
		return
	}
	short, ok := s.reach(i, stock)
	if !ok {
		return
	}
	k := int64(len(s.path) - i)
	q, r := int64(short)/k, int64(short)%k
	if q > int64(s.limit) || (q == int64(s.limit) && r > 0) {
		return // some deviation would pass the limit
	}
	// The least sum of k squares of whole counts whose sum is short.
	spread := (k-r)*q*q + r*(q+1)*(q+1)
	if s.hopeless(cost, max(s.tail[i], spread)) {
		return
	}
	key := shellState{stock: stock, last: uint16(i) << 8}
	var before *seatPair
	if i > 0 && s.step >= 0 {
		key.last |= uint16(s.path[i-1])
		before = &s.pairs[i-1][s.path[i-1]]
	}
	if c, dup := s.seen[key]; dup && c <= cost {
		return
	}
	s.seen[key] = cost
	for j := range s.pairs[i] {
		p := &s.pairs[i][j]
		if p.dev.Abs() > s.limit || s.hopeless(cost, square(p.dev)+s.tail[i+1]) {
			return // the rest is no nearer
		}
		if before != nil && (p.clearance-before.clearance).Abs() > s.step {
			continue
		}
		next, ok := s.take(stock, p)
		if !ok {
			continue
		}
		s.path[i] = int16(j)
		add := square(p.dev)
		if s.free {
			add = 0
		}
		s.descend(i+1, next, cost+add)
		if s.onlyOne && s.found != nil {
			return
		}
	}
}

// hopeless reports that nothing from here can be better.
func (s *shellSearch) hopeless(cost, rest int64) bool {
	return s.best != math.MaxInt64 && cost+rest >= s.best
}

// run searches for a sum under best with no deviation over limit and reports
// whether there is one. Then found holds it.
func (s *shellSearch) run(limit units.Length, best int64) bool {
	s.limit, s.best, s.found = limit, best, nil
	clear(s.seen)
	s.descend(0, s.stock, 0)
	return s.found != nil
}

// leastLimit returns the least deviation limit with which a sum under best can
// be had, by bisection over the deviations there are, and leaves its choice in
// found. ok is false if there is none.
func (s *shellSearch) leastLimit(best int64) (limit units.Length, ok bool) {
	var floor units.Length
	var all []units.Length
	for _, p := range s.pairs {
		floor = max(floor, p[0].dev.Abs())
	}
	for _, p := range s.pairs {
		for _, q := range p {
			if d := q.dev.Abs(); d >= floor {
				all = append(all, d)
			}
		}
	}
	slices.Sort(all)
	all = slices.Compact(all)
	s.onlyOne = true
	defer func() { s.onlyOne = false }()
	lo, hi := 0, len(all) // the answer is in [lo, hi]; hi stands for none
	var found []int16
	for lo < hi && s.steps <= maxChoiceSteps {
		mid := lo + (hi-lo)/2
		if lo == 0 && hi == len(all) {
			mid = 0 // most often the stock holds every bearing's nearest
		}
		if s.run(all[mid], best) {
			hi, found = mid, s.found
		} else {
			lo = mid + 1
		}
	}
	s.found = found
	if found == nil {
		return 0, false
	}
	return all[hi], true
}

// solve leaves the best choice in found, nil if there is none.
func (s *shellSearch) solve(o MatchObjective) {
	if o == SquaresFirst {
		if !s.run(maxMiss, math.MaxInt64) {
			return
		}
		if _, ok := s.leastLimit(s.best + 1); !ok {
			s.found = nil
		}
		return
	}
	s.free = true
	limit, ok := s.leastLimit(math.MaxInt64)
	s.free = false
	if ok {
		s.run(limit, math.MaxInt64)
	}
}

// chosen writes the choice down.
func (c ShellChoice) chosen(s *shellSearch) (ChosenShells, error) {
	r := ChosenShells{Seats: make([]SeatChoice, len(c.Seats)), from: c}
	r.from.Seats, r.from.Grades = slices.Clone(c.Seats), slices.Clone(c.Grades)
	sum := 0.0
	for i, j := range s.found {
		p := s.pairs[i][j]
		up, low := c.Grades[p.upper].Wall, c.Grades[p.lower].Wall
		m := sub(sub(sub(c.Seats[i].Housing, up), low), c.Seats[i].Journal)
		u := math.Hypot(math.Hypot(float64(c.Seats[i].Housing.U), float64(c.Seats[i].Journal.U)), math.Hypot(float64(up.U), float64(low.U)))
		v := SeatChoice{Upper: int(p.upper), Lower: int(p.lower), Clearance: result(m.Value, m.Stated, u), Deviation: p.dev}
		if c.Limits.Given {
			j, err := units.Judge(v.Clearance, c.Limits.Value, c.Rule)
			if err != nil {
				return ChosenShells{}, err
			}
			v.Verdict = units.Some(j)
		}
		r.LargestDeviation = max(r.LargestDeviation, p.dev.Abs())
		sum += float64(p.dev) * float64(p.dev)
		if i > 0 {
			r.LargestStep = max(r.LargestStep, (p.clearance - r.Seats[i-1].Clearance.Value).Abs())
		}
		r.Seats[i] = v
	}
	r.RootSumSquares = round(math.Sqrt(sum))
	return r, nil
}

// Working shows every bearing's parts and clearance.
func (c ChosenShells) Working() units.Working {
	var w units.Working
	for i, s := range c.Seats {
		if i >= len(c.from.Seats) || s.Upper < 0 || s.Upper >= len(c.from.Grades) || s.Lower < 0 || s.Lower >= len(c.from.Grades) {
			return nil // a result that somebody filled in
		}
		up, low := c.from.Grades[s.Upper], c.from.Grades[s.Lower]
		w = append(w, units.Step{
			Symbol: "bearing " + strconv.Itoa(i+1), Formula: "housing - upper wall - lower wall - journal",
			Numbers: num(c.from.Seats[i].Housing.Value) + " - " + num(up.Wall.Value) + " - " + num(low.Wall.Value) + " - " + num(c.from.Seats[i].Journal.Value),
			Value:   measuredText(s.Clearance) + ", upper " + up.Name + ", lower " + low.Name, Source: definition,
		})
	}
	search := units.Source{Text: "branch and bound over every choice (" + c.from.Objective.String() + ")", Provenance: units.Computed}
	return append(w,
		units.Step{Symbol: "largest", Formula: "largest |clearance - target|", Value: text(c.LargestDeviation), Source: search},
		units.Step{Symbol: "spread", Formula: "root of the sum of (clearance - target)^2", Value: text(c.RootSumSquares), Source: search})
}
