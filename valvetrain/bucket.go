package valvetrain

import (
	"math"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// BucketValve is a valve whose lash is set by the thickness of a shim: in or under
// a bucket, or between a finger and the stem.
type BucketValve struct {
	Name string
	// Shim is the thickness of the one in place, as measured.
	Shim units.Length
	// Lash is what the feeler says between base circle and shim, cold.
	Lash units.Measured[units.Length]
	// Limits of the lash, both ends, and Wanted the lash to come closest to;
	// 0 is the middle of the limits, half to even.
	Limits units.Limits[units.Length]
	Wanted units.Length
	// Lever is how much a thicker shim takes from the lash where that is read (a
	// ratio): 0 and 1 where it is read in line with the shim, as at a bucket; for
	// a finger with its shim on the stem and its lash read at the cam, its arm at
	// the cam over that at the stem.
	Lever float64
}

// LashShims are the shims that may be fitted.
type LashShims struct {
	// AtHand are those in the drawer, as measured.
	AtHand []ShimStock
	// Sizes are thicknesses that can be had in any number.
	Sizes []units.Length
}

// BucketJob are the valves of an engine whose shims may change places.
type BucketJob struct {
	Valves []BucketValve
	Shims  LashShims
	// Rule is how the lash that is reached is judged. It does not steer the choice.
	Rule units.DecisionRule
}

// ShimOrigin says where a shim comes from. The zero ShimOrigin is none.
type ShimOrigin uint8

// Origins of a shim.
const (
	Kept      ShimOrigin = iota + 1 // it stays where it is
	Exchanged                       // it comes from another valve of the engine
	FromHand                        // out of the drawer
	Bought                          // of a size that can be had
)

// String names the origin.
func (o ShimOrigin) String() string {
	switch o {
	case Kept:
		return "kept"
	case Exchanged:
		return "exchanged"
	case FromHand:
		return "at hand"
	case Bought:
		return "bought"
	default:
		return "none"
	}
}

// BucketShim is the shim that a valve gets.
type BucketShim struct {
	Name   string
	Shim   units.Length
	Origin ShimOrigin
	// From is the valve that it comes from, with Kept and Exchanged, else -1.
	From int
	// Lash is what it will be, Error that minus the lash wanted.
	Lash    units.Measured[units.Length]
	Error   units.Length
	Verdict units.Verdict[units.Length]

	old BucketValve
}

// BucketPlan says which shim goes where.
type BucketPlan struct {
	Valves []BucketShim
	// New shims come from the drawer or are bought, Moved from another valve.
	New, Moved int
	// Error is the sum of the magnitudes of the errors of lash.
	Error units.Length
	// Spare are the valves whose shims are left over.
	Spare []int
}

const (
	maxBuckets = 64
	maxKinds   = 200
)

func (v *BucketValve) wanted() units.Length {
	if v.Wanted != 0 {
		return v.Wanted
	}
	sum := v.Limits.Min + v.Limits.Max
	half := sum / 2
	if sum%2 != 0 && half%2 != 0 {
		half++
	}
	return half
}

// lever returns a change of the shim as felt at the lash, or with the inverse of
// the lever the other way about.
func (v *BucketValve) lever(change units.Length, by float64) units.Length {
	if v.Lever == 0 || v.Lever == 1 {
		return change
	}
	return count(change.Meters() * by)
}

// with returns the lash that a shim gives and whether it is inside the limits.
func (v *BucketValve) with(shim units.Length) (units.Length, bool) {
	lash := v.Lash.Value + v.lever(v.Shim-shim, v.Lever)
	return lash, lash >= v.Limits.Min && lash <= v.Limits.Max
}

func (v *BucketValve) check(field string) error {
	in := func(err error, sub string) error { return refield(err, field+sub) }
	if err := checkSize("", v.Shim); err != nil {
		return in(err, "Shim")
	}
	if v.Lash.Value < 0 || v.Lash.Value > 10*units.Millimeter {
		return fail(field+"Lash", v.Lash.Value.String(), units.ErrRange, "want a lash of 0 to 10 mm; one that cannot be felt needs a thinner shim first")
	}
	if err := checkMeasuredU(field+"Lash", v.Lash); err != nil {
		return err
	}
	if v.Lever != 0 && !(v.Lever >= 0.1 && v.Lever <= 10) {
		return fail(field+"Lever", plain(v.Lever), units.ErrRange, "want a ratio of 0.1 to 10, or 0 for 1")
	}
	switch l := v.Limits; {
	case !l.HasMin || !l.HasMax:
		return fail(field+"Limits", "", units.ErrMissing, "want the least and the most lash")
	case l.Min < 0 || l.Max > 10*units.Millimeter:
		return fail(field+"Limits", l.String(), units.ErrRange, "want limits of 0 to 10 mm")
	case l.Min > l.Max:
		return fail(field+"Limits", l.String(), units.ErrConflict, "want the least under the most")
	case v.Wanted != 0 && (v.Wanted < l.Min || v.Wanted > l.Max):
		return fail(field+"Wanted", v.Wanted.String(), units.ErrConflict, "want a lash within the limits, "+l.String())
	}
	return nil
}

// refield puts an error under the name of another field.
func refield(err error, field string) error {
	if e, ok := err.(*units.InputError); ok { //nolint:errorlint // made here, never wrapped
		return fail(field, e.Value, e.Kind, e.Reason)
	}
	return err
}

func (s *LashShims) check(field string) error {
	if len(s.AtHand) > maxKinds || len(s.Sizes) > maxKinds {
		return fail(field, strconv.Itoa(max(len(s.AtHand), len(s.Sizes))), units.ErrRange, "want at most 200 kinds")
	}
	for i, k := range s.AtHand {
		name := at(field+".AtHand", i)
		if err := checkSize(name+".Thickness", k.Thickness); err != nil {
			return err
		}
		if k.Count < 0 {
			return fail(name+".Count", strconv.Itoa(k.Count), units.ErrRange, "want a count of 0 or more")
		}
	}
	for i, t := range s.Sizes {
		if err := checkSize(at(field+".Sizes", i), t); err != nil {
			return err
		}
	}
	return nil
}

// Fit answers which shim to fit to one valve: of those at hand and the sizes that
// can be had, the one whose lash
//
//	lash = Lash + Lever (Shim - thickness)
//
// comes closest to the wanted one inside the limits, of two as close the thinner
// one (more lash), of two as thick the one at hand. A valve that is inside its
// limits already is fitted all the same: whether it needs to be is the caller's to
// say, or Plan's. All lengths are exact counts; nothing is rounded but, with a
// lever that is not 1, the lash to the picometer. Errors: a shim, lash, limit or
// lever that is missing or out of range; none that fits (ErrImpossible, with the
// thickness that is wanted).
//
// Source: definition; lever of the finger about its pivot.
//
// Rows: bucket-fit, bucket-fit-lash, bucket-fit-tie, bucket-fit-finger,
// bucket-fit-finger-lash.
func (v BucketValve) Fit(shims LashShims) (BucketShim, error) {
	if err := v.check(""); err != nil {
		return BucketShim{}, err
	}
	if err := shims.check("shims"); err != nil {
		return BucketShim{}, err
	}
	best, origin := v.closest(shims)
	if origin == 0 {
		return BucketShim{}, v.none("shims")
	}
	return v.shim(best, origin, -1, units.ProveAt95)
}

// thickness returns the shim that leaves a lash.
func (v *BucketValve) thickness(lash units.Length) units.Length {
	return v.Shim + v.lever(v.Lash.Value-lash, 1/v.Lever)
}

func (v *BucketValve) none(field string) error {
	return fail(field, "", units.ErrImpossible, "none leaves the lash of "+strconv.Quote(v.Name)+" in its limits: want one of "+num(v.thickness(v.Limits.Max))+" to "+num(v.thickness(v.Limits.Min)))
}

func (v *BucketValve) closest(shims LashShims) (units.Length, ShimOrigin) {
	var best units.Length
	var origin ShimOrigin
	try := func(t units.Length, o ShimOrigin) {
		lash, ok := v.with(t)
		if !ok {
			return
		}
		d := (lash - v.wanted()).Abs()
		was, _ := v.with(best)
		b := (was - v.wanted()).Abs()
		if origin == 0 || d < b || d == b && t < best {
			best, origin = t, o
		}
	}
	for _, k := range shims.AtHand {
		if k.Count > 0 {
			try(k.Thickness, FromHand)
		}
	}
	for _, t := range shims.Sizes {
		try(t, Bought)
	}
	return best, origin
}

func (v *BucketValve) shim(t units.Length, o ShimOrigin, from int, rule units.DecisionRule) (BucketShim, error) {
	lash, _ := v.with(t)
	m := units.Measured[units.Length]{Value: lash, U: v.Lash.U, Stated: v.Lash.Stated}
	verdict, err := units.Judge(m, v.Limits, rule)
	if err != nil {
		return BucketShim{}, fail("Limits", v.Limits.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
	}
	return BucketShim{Name: v.Name, Shim: t, Origin: o, From: from, Lash: m, Error: lash - v.wanted(), Verdict: verdict, old: *v}, nil
}

// Weights of the three aims: a new shim outweighs every move, a move every error.
const (
	weighMove = int64(1e12) // over 64 errors of 10 mm
	weighNew  = int64(1e14) // over 64 moves
	weighNone = int64(5e16)
)

// Plan answers which shim goes to which valve of an engine so that every lash is
// inside its limits with the fewest new shims; of all such plans the one that
// moves the fewest, and of these the one with the least sum of |lash - wanted|.
// Shims of the engine go to any valve. It is an assignment of valves to shims of
// least weight, solved by the Hungarian method, which ends with a price for every
// valve and shim that no plan can undercut: the optimum is proved, not searched for.
// All weights are whole counts.
//
// Shims of one thickness as measured are alike, and a valve keeps its own. Errors:
// as for Fit, with the valve in front of the field; no or more than 64 valves;
// valves that cannot all be served (ErrImpossible).
//
// Source: Kuhn, The Hungarian Method for the Assignment Problem, Naval Research
// Logistics Quarterly 2 (1955) 83 (from memory); checked by enumeration.
//
// Rows: bucket-plan-new, bucket-plan-moved, bucket-plan-error, bucket-plan-shims.
func (j BucketJob) Plan() (BucketPlan, error) {
	if len(j.Valves) == 0 {
		return BucketPlan{}, fail("Valves", "", units.ErrMissing, "want the valves")
	}
	n := len(j.Valves)
	if n > maxBuckets {
		return BucketPlan{}, fail("Valves", strconv.Itoa(n), units.ErrRange, "want at most 64 valves")
	}
	for i := range j.Valves {
		if err := j.Valves[i].check(at("Valves", i) + "."); err != nil {
			return BucketPlan{}, err
		}
	}
	if err := j.Shims.check("Shims"); err != nil {
		return BucketPlan{}, err
	}
	// One column for each shim of the engine, each in the drawer, and each valve's
	// best size to be had.
	type column struct {
		t      units.Length
		origin ShimOrigin
		only   int // the valve it is for, or -1
	}
	var columns []column
	for i := range j.Valves {
		columns = append(columns, column{j.Valves[i].Shim, Exchanged, -1})
	}
	for _, k := range j.Shims.AtHand {
		for range min(k.Count, n) {
			columns = append(columns, column{k.Thickness, FromHand, -1})
		}
	}
	for i := range j.Valves {
		t, o := j.Valves[i].closest(LashShims{Sizes: j.Shims.Sizes})
		if o == 0 {
			t = -1
		}
		columns = append(columns, column{t, Bought, i})
	}
	cost := make([][]int64, n)
	for i := range j.Valves {
		v := &j.Valves[i]
		cost[i] = make([]int64, len(columns))
		served := false
		for c, k := range columns {
			cost[i][c] = weighNone
			lash, ok := v.with(k.t)
			if !ok || k.t < 0 || k.only >= 0 && k.only != i {
				continue
			}
			served = true
			w := int64((lash - v.wanted()).Abs())
			switch {
			case k.origin != Exchanged:
				w += weighNew
			case c != i:
				w += weighMove
			}
			cost[i][c] = w
		}
		if !served {
			return BucketPlan{}, v.none(at("Valves", i))
		}
	}
	fit := assign(cost)
	p := BucketPlan{Valves: make([]BucketShim, n)}
	used := make([]bool, n)
	for i, c := range fit {
		if cost[i][c] >= weighNone {
			return BucketPlan{}, fail("Shims", "", units.ErrImpossible, "the shims at hand and the sizes that can be had do not serve all valves at once")
		}
		k, from := columns[c], -1
		switch {
		case c == i:
			k.origin, from = Kept, i
		case k.origin == Exchanged:
			from = c
			p.Moved++
		default:
			p.New++
		}
		if from >= 0 {
			used[from] = true
		}
		var err error
		if p.Valves[i], err = j.Valves[i].shim(k.t, k.origin, from, j.Rule); err != nil {
			return BucketPlan{}, refield(err, at("Valves", i)+".Limits")
		}
		p.Error += p.Valves[i].Error.Abs()
	}
	for i, u := range used {
		if !u {
			p.Spare = append(p.Spare, i)
		}
	}
	return p, nil
}

// assign returns the column of each row with the least sum, by the Hungarian
// method with shortest paths; there are at least as many columns as rows.
func assign(cost [][]int64) []int {
	n, m := len(cost), len(cost[0])
	u, v := make([]int64, n+1), make([]int64, m+1)
	row, way := make([]int, m+1), make([]int, m+1) // row of a column, 0 none
	for i := 1; i <= n; i++ {
		row[0] = i
		c := 0
		short := slices.Repeat([]int64{math.MaxInt64}, m+1)
		done := make([]bool, m+1)
		for row[c] != 0 {
			done[c] = true
			r, next, delta := row[c], 0, int64(math.MaxInt64)
			for k := 1; k <= m; k++ {
				if done[k] {
					continue
				}
				if d := cost[r-1][k-1] - u[r] - v[k]; d < short[k] {
					short[k], way[k] = d, c
				}
				if short[k] < delta {
					delta, next = short[k], k
				}
			}
			for k := range m + 1 {
				if done[k] {
					u[row[k]] += delta
					v[k] -= delta
				} else if short[k] != math.MaxInt64 {
					short[k] -= delta
				}
			}
			c = next
		}
		for c != 0 {
			row[c] = row[way[c]]
			c = way[c]
		}
	}
	fit := make([]int, n)
	for k := 1; k <= m; k++ {
		if row[k] > 0 {
			fit[row[k]-1] = k - 1
		}
	}
	return fit
}

// Cautions returns what to mind when shims are changed.
func (BucketPlan) Cautions() []units.Caution {
	return []units.Caution{
		{Text: "measure every shim with a micrometer: the figure on it is what it was, not what it is", Source: practice},
		{Text: "read every lash again after two turns of the crank by hand: a shim that is not seated reads as less lash", Source: practice},
	}
}

// Working returns the derivation.
func (s BucketShim) Working() units.Working {
	if s.Origin == 0 {
		return nil
	}
	old, over, lever := s.old, "", ""
	if old.Lever != 0 && old.Lever != 1 {
		over, lever = "/"+plain(old.Lever), plain(old.Lever)+" x "
	}
	return units.Working{
		{Symbol: "wanted shim", Formula: "shim + (lash - wanted lash)/lever", Numbers: num(old.Shim) + " + (" + num(old.Lash.Value) + " - " + num(old.wanted()) + ")" + over, Value: text(old.thickness(old.wanted())), Source: definition},
		{Symbol: "lash", Formula: "lash + lever (shim - fitted shim), " + s.Origin.String(), Numbers: num(old.Lash.Value) + " + " + lever + "(" + num(old.Shim) + " - " + num(s.Shim) + ")", Value: measuredText(s.Lash), Source: definition},
	}
}

// Working returns the derivation, valve by valve.
func (p BucketPlan) Working() units.Working {
	var w units.Working
	for _, v := range p.Valves {
		for _, s := range v.Working() {
			s.Symbol = v.Name + " " + s.Symbol
			w = append(w, s)
		}
	}
	return w
}
