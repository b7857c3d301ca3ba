package clearance

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// Matching is a set of bore-like parts to be paired with shaft-like ones:
// pistons with bores, pins with pistons, shafts with bushings.
type Matching struct {
	Bores []units.Measured[units.Length]
	// Shafts are at least as many; the ones left over stay on the shelf.
	Shafts    []units.Measured[units.Length]
	Target    units.Length // clearance wanted
	Objective MatchObjective
	// Limits are the limits of every clearance, for the verdicts; they do not
	// steer the pairing.
	Limits units.Optional[units.Limits[units.Length]]
	Rule   units.DecisionRule
}

// Match is what one bore gets.
type Match struct {
	Shaft     int // index into Shafts
	Clearance units.Measured[units.Length]
	Deviation units.Length // Clearance - Target
	// Verdict is given if limits were.
	Verdict units.Optional[units.Verdict[units.Length]]
}

// Matched is the best pairing there is.
type Matched struct {
	Matches          []Match      // in the order of Bores
	LargestDeviation units.Length // magnitude
	// RootSumSquares is the square root of the sum of the squared deviations.
	RootSumSquares units.Length
	Spare          []int // indexes of the shafts left over, rising

	from Matching
}

const maxMatched = 1000

// squares is an exact sum of squares.
type squares struct{ hi, lo uint64 }

func (s squares) plus(d units.Length) squares {
	hi, lo := bits.Mul64(uint64(d), uint64(d))
	var carry uint64
	s.lo, carry = bits.Add64(s.lo, lo, 0)
	s.hi, _ = bits.Add64(s.hi, hi, carry)
	return s
}

func (s squares) less(t squares) bool { return s.hi < t.hi || s.hi == t.hi && s.lo < t.lo }

// Match answers which part goes into which so that the clearances come nearest
// the target:
//
//	clearance = bore - shaft     deviation = clearance - Target
//
// An assignment problem with a cost that is convex in the difference of two
// sizes, for which pairing in the order of size is optimal: where two pairs
// cross, uncrossing them makes neither the larger deviation nor the sum of
// squares larger. So the best pairing in that order is the best of all, and
// where shafts are to spare dynamic programming over bores and shafts in the
// order of size finds which stay out. The optimum of Objective is exact, in
// whole counts.
//
// Errors: no bores, over 1000 parts of a kind, fewer shafts than bores
// (ErrConflict), a size that is missing or negative, a shaft over a tenth off
// a bore (ErrConflict), a target over 100 m, an unknown objective; those of
// units.Judge.
//
// Source: definition; exchange argument for convex costs on the line.
//
// Rows: match-largest, match-squares, match-order, match-spare.
func (m Matching) Match() (Matched, error) {
	if err := m.check(); err != nil {
		return Matched{}, err
	}
	bores, shafts := bySize(m.Bores), bySize(m.Shafts)
	pair := matchGrid{bores: make([]units.Length, len(bores)), shafts: make([]units.Length, len(shafts))}
	for i, b := range bores {
		pair.bores[i] = m.Bores[b].Value - m.Target
	}
	for j, s := range shafts {
		pair.shafts[j] = m.Shafts[s].Value
	}
	pair.solve(m.Objective)
	r := Matched{Matches: make([]Match, len(bores)), from: m}
	used := make([]bool, len(shafts))
	sum := 0.0
	for i, j := range pair.pick {
		b, s := bores[i], shafts[j]
		used[s] = true
		v := Match{Shaft: s, Clearance: sub(m.Bores[b], m.Shafts[s])}
		v.Deviation = v.Clearance.Value - m.Target
		if m.Limits.Given {
			j, err := units.Judge(v.Clearance, m.Limits.Value, m.Rule)
			if err != nil {
				return Matched{}, err
			}
			v.Verdict = units.Some(j)
		}
		r.LargestDeviation = max(r.LargestDeviation, v.Deviation.Abs())
		sum += float64(v.Deviation) * float64(v.Deviation)
		r.Matches[b] = v
	}
	for s, u := range used {
		if !u {
			r.Spare = append(r.Spare, s)
		}
	}
	r.RootSumSquares = round(math.Sqrt(sum))
	r.from.Bores, r.from.Shafts = slices.Clone(m.Bores), slices.Clone(m.Shafts)
	return r, nil
}

func (m Matching) check() error {
	switch {
	case len(m.Bores) == 0:
		return fail("Bores", "", units.ErrMissing, "want at least one bore")
	case len(m.Bores) > maxMatched:
		return fail("Bores", strconv.Itoa(len(m.Bores)), units.ErrRange, "want at most 1000 parts of a kind")
	case len(m.Shafts) > maxMatched:
		return fail("Shafts", strconv.Itoa(len(m.Shafts)), units.ErrRange, "want at most 1000 parts of a kind")
	case len(m.Shafts) < len(m.Bores):
		return fail("Shafts", strconv.Itoa(len(m.Shafts)), units.ErrConflict, "fewer shafts than bores")
	case m.Objective > SquaresFirst:
		return fail("Objective", m.Objective.String(), units.ErrRange, "want LargestFirst or SquaresFirst")
	}
	if err := checkSigned("Target", m.Target); err != nil {
		return err
	}
	for i, b := range m.Bores {
		if checkPositive("Bores", b) != nil {
			return checkPositive(at("Bores", i), b)
		}
	}
	for i, s := range m.Shafts {
		if checkPositive("Shafts", s) != nil {
			return checkPositive(at("Shafts", i), s)
		}
		if (s.Value - m.Bores[0].Value).Abs() > m.Bores[0].Value/10 {
			return fail(at("Shafts", i), text(s.Value), units.ErrConflict, "over a tenth off the first bore: a misread inch or a mixed unit")
		}
	}
	for i, b := range m.Bores {
		if (b.Value - m.Bores[0].Value).Abs() > m.Bores[0].Value/10 {
			return fail(at("Bores", i), text(b.Value), units.ErrConflict, "over a tenth off the first bore: a misread inch or a mixed unit")
		}
	}
	return nil
}

// bySize returns the indexes by rising size, equal ones in their order.
func bySize(p []units.Measured[units.Length]) []int {
	x := make([]int, len(p))
	for i := range x {
		x[i] = i
	}
	slices.SortStableFunc(x, func(a, b int) int { return cmp.Compare(p[a].Value, p[b].Value) })
	return x
}

// matchGrid pairs sizes in rising order.
type matchGrid struct {
	bores, shafts []units.Length // bores less the target
	pick          []int          // shaft of each bore
}

func (g *matchGrid) dev(i, j int) units.Length { return (g.bores[i] - g.shafts[j]).Abs() }

func (g *matchGrid) solve(o MatchObjective) {
	limit := units.Length(math.MaxInt64)
	if o == LargestFirst {
		limit = g.leastLargest()
	}
	total := g.leastSquares(limit)
	if o == LargestFirst {
		return
	}
	// Among the pairings of the least sum the one with the smallest largest.
	var all []units.Length
	for i := range g.bores {
		for j := i; j <= i+len(g.shafts)-len(g.bores); j++ {
			all = append(all, g.dev(i, j))
		}
	}
	slices.Sort(all)
	all = slices.Compact(all)
	k, _ := slices.BinarySearchFunc(all, 0, func(l units.Length, _ int) int {
		if t, ok := g.sum(l); !ok || t != total {
			return -1
		}
		return 1
	})
	g.leastSquares(all[min(k, len(all)-1)])
}

// leastLargest returns the least largest deviation.
func (g *matchGrid) leastLargest() units.Length {
	spare := len(g.shafts) - len(g.bores)
	row := make([]units.Length, spare+1) // by shafts left out so far
	for i := range g.bores {
		for k := range row {
			d := g.dev(i, i+k)
			if i > 0 {
				d = max(d, row[k])
			}
			if k > 0 {
				d = min(d, row[k-1])
			}
			row[k] = d
		}
	}
	return row[spare]
}

// sum returns the least sum of squares with no deviation over limit.
func (g *matchGrid) sum(limit units.Length) (squares, bool) {
	t := g.table(limit)
	last := t[len(t)-1]
	c := last[len(last)-1]
	return c.sum, c.ok
}

type matchCell struct {
	sum  squares
	ok   bool
	skip bool // the shaft of this cell stays out
}

// table holds by bore and shafts left out the least sum of the bores so far.
func (g *matchGrid) table(limit units.Length) [][]matchCell {
	spare := len(g.shafts) - len(g.bores)
	t := make([][]matchCell, len(g.bores))
	for i := range t {
		t[i] = make([]matchCell, spare+1)
		for k := range t[i] {
			c := &t[i][k]
			if d := g.dev(i, i+k); d <= limit && (i == 0 || t[i-1][k].ok) {
				c.ok = true
				if i > 0 {
					c.sum = t[i-1][k].sum
				}
				c.sum = c.sum.plus(d)
			}
			if k > 0 && t[i][k-1].ok && (!c.ok || !c.sum.less(t[i][k-1].sum)) {
				*c = t[i][k-1]
				c.skip = true
			}
		}
	}
	return t
}

// leastSquares fills pick and returns the least sum of squares under a limit
// that allows a pairing.
func (g *matchGrid) leastSquares(limit units.Length) squares {
	t := g.table(limit)
	g.pick = make([]int, len(g.bores))
	k := len(g.shafts) - len(g.bores)
	total := t[len(t)-1][k].sum
	for i := len(t) - 1; i >= 0; i-- {
		for t[i][k].skip {
			k--
		}
		g.pick[i] = i + k
	}
	return total
}

// Working shows every pair.
func (m Matched) Working() units.Working {
	var w units.Working
	for i, p := range m.Matches {
		if i >= len(m.from.Bores) || p.Shaft < 0 || p.Shaft >= len(m.from.Shafts) {
			return nil // a result that somebody filled in
		}
		w = append(w, units.Step{
			Symbol: "bore " + strconv.Itoa(i+1), Formula: "bore - shaft " + strconv.Itoa(p.Shaft+1),
			Numbers: num(m.from.Bores[i].Value) + " - " + num(m.from.Shafts[p.Shaft].Value), Value: measuredText(p.Clearance), Source: definition,
		})
	}
	search := units.Source{Text: "order of size, exact for convex costs (" + m.from.Objective.String() + ")", Provenance: units.Computed}
	return append(w, units.Step{Symbol: "largest", Formula: "largest |clearance - target|", Value: text(m.LargestDeviation), Source: search})
}
