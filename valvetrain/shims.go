package valvetrain

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	"example.com/trialfit/units"
)

// ShimStock is one kind of spring shim at hand.
type ShimStock struct {
	Thickness units.Length // as measured
	Count     int
}

// ShimJob is a spring to be shimmed with what is at hand. A shim under the
// spring lowers its installed height by its thickness.
type ShimJob struct {
	// Unshimmed is the installed height with no shim.
	Unshimmed units.Length
	Stock     []ShimStock
	// Most is the most shims in one stack; 0 is no limit.
	Most int
	// Lowest is the least installed height allowed, for the sake of coil bind:
	// lift plus solid height plus the room that must remain. 0 is no limit.
	Lowest units.Length
}

// ShimPlan is the stack to fit.
type ShimPlan struct {
	Shims  []ShimStock  // kinds used, thickest first; empty for none
	Count  int          // shims in the stack
	Total  units.Length // their thickness
	Height units.Length // installed height with the stack
	// Error is Height minus the height wanted: positive where it stays high.
	Error units.Length
	// Force with the stack and ForceError, that minus the force wanted; given by
	// ForLoad alone.
	Force, ForceError units.Optional[units.Force]

	unshimmed units.Length
}

// maxStacks bounds the thicknesses that are tried.
const maxStacks = 500_000

// stack is one reachable thickness with the fewest shims that make it.
type stack struct {
	sum    units.Length
	count  int
	kind   int // the last kind put on, and how many of it
	number int
	from   int // index of the stack below
}

// ForHeight answers which shims bring the installed height closest to a wanted
// one: of all stacks that can be made of the stock, that with the least
// |Height - wanted|, of these that which stays higher (further from coil bind),
// of these the one with the fewest shims. All lengths are exact counts, and
// every thickness that can be made is tried, so that no stack is better.
//
// Errors: a height, thickness or wanted height that is missing or not over 0;
// negative counts; a kind listed twice (ErrConflict); over 100 kinds; a wanted
// height or an unshimmed height under Lowest (ErrConflict); so many different
// thicknesses that not all can be tried (ErrRange: lower Most or leave kinds
// out). A spring that already stands lower than wanted gets no shim, with
// Error negative: only a deeper seat or another retainer raises it.
//
// Source: definition; enumeration.
//
// Rows: shim-height, shim-height-total, shim-height-count, shim-lowest,
// shim-most.
func (j ShimJob) ForHeight(wanted units.Length) (ShimPlan, error) {
	if err := checkSize("wanted", wanted); err != nil {
		return ShimPlan{}, err
	}
	if wanted < j.Lowest {
		return ShimPlan{}, fail("wanted", text(wanted), units.ErrConflict, "want at least the lowest height allowed, "+text(j.Lowest))
	}
	return j.pick(wanted, func(p *ShimPlan) (float64, error) {
		p.Error = p.Height - wanted
		return math.Abs(float64(p.Error)), nil
	})
}

// ForLoad answers which shims bring a spring, or a nest, closest to a wanted
// force with the valve closed: of all stacks that with the least |force -
// wanted|, then as for ForHeight. Heights at which a spring is solid are out.
// Where Lowest keeps the force from being reached, the error says by how much.
//
// Errors: as for ForHeight; no spring; a force not over 0, or that the spring
// does not reach at any height (ErrRange).
//
// Source: definition; enumeration.
//
// Rows: shim-load, shim-load-height.
func (j ShimJob) ForLoad(spring Spring, wanted units.Force) (ShimPlan, error) {
	if spring == nil {
		return ShimPlan{}, fail("spring", "", units.ErrMissing, "want a spring or a nest")
	}
	n, ok := spring.(Nest)
	if !ok {
		n = Nest{Springs: []NestSpring{{Spring: spring}}}
	}
	target, err := n.HeightAt(wanted)
	if err != nil {
		return ShimPlan{}, err
	}
	return j.pick(target, func(p *ShimPlan) (float64, error) {
		f, err := spring.ForceAt(p.Height)
		if err != nil {
			return 0, err
		}
		p.Error = p.Height - target
		p.Force, p.ForceError = units.Some(f), units.Some(f-wanted)
		return math.Abs(float64(f - wanted)), nil
	})
}

func (j ShimJob) check() error {
	if err := checkSize("Unshimmed", j.Unshimmed); err != nil {
		return err
	}
	if err := checkSpan("Lowest", j.Lowest); err != nil {
		return err
	}
	if j.Unshimmed < j.Lowest {
		return fail("Unshimmed", text(j.Unshimmed), units.ErrConflict, "the spring stands under the lowest height allowed, "+text(j.Lowest)+", without a shim")
	}
	if j.Most < 0 {
		return fail("Most", plain(float64(j.Most)), units.ErrRange, "want 0 or more shims")
	}
	if len(j.Stock) > 100 {
		return fail("Stock", plain(float64(len(j.Stock))), units.ErrRange, "want at most 100 kinds")
	}
	for i, s := range j.Stock {
		if err := checkSize(at("Stock", i)+".Thickness", s.Thickness); err != nil {
			return err
		}
		if s.Count < 0 {
			return fail(at("Stock", i)+".Count", plain(float64(s.Count)), units.ErrRange, "want 0 or more")
		}
		if slices.ContainsFunc(j.Stock[:i], func(o ShimStock) bool { return o.Thickness == s.Thickness }) {
			return fail(at("Stock", i)+".Thickness", text(s.Thickness), units.ErrConflict, "the thickness is listed twice: add up the counts")
		}
	}
	return nil
}

// pick tries the two reachable heights that lie next to the target on either
// side and takes the one that measure likes better; measure fills the plan.
func (j ShimJob) pick(target units.Length, measure func(*ShimPlan) (float64, error)) (ShimPlan, error) {
	if err := j.check(); err != nil {
		return ShimPlan{}, err
	}
	kinds := slices.Clone(j.Stock)
	slices.SortFunc(kinds, func(a, b ShimStock) int { return cmp.Compare(b.Thickness, a.Thickness) })
	all, best, err := j.stacks(kinds, target)
	if err != nil {
		return ShimPlan{}, err
	}
	over, under := units.Length(-1), units.Length(-1) // stacks that leave the height at or over the target, and under it
	for sum := range best {
		if j.Unshimmed-sum >= target {
			over = max(over, sum)
		} else if under < 0 || sum < under {
			under = sum
		}
	}
	var plan ShimPlan
	least := math.Inf(1)
	for _, sum := range [...]units.Length{over, under} { // the higher one wins a tie
		if sum < 0 {
			continue
		}
		p := j.plan(kinds, all, best[sum])
		miss, e := measure(&p)
		if e != nil {
			err = e
		} else if miss < least {
			plan, least = p, miss
		}
	}
	if math.IsInf(least, 1) {
		return ShimPlan{}, err
	}
	return plan, nil
}

// stacks returns every thickness that can be made and could be the closest,
// each with the fewest shims; best is the index of each.
func (j ShimJob) stacks(kinds []ShimStock, target units.Length) (all []stack, best map[units.Length]int, err error) {
	all = []stack{{from: -1}}
	best = map[units.Length]int{0: 0}
	want := max(j.Unshimmed-target, 0)
	// The closest stack past the target is no longer past it with any one of
	// its shims taken away.
	limit := want
	for _, k := range kinds {
		limit = max(limit, want+k.Thickness)
	}
	limit = min(limit, j.Unshimmed-max(j.Lowest, 1))
	most := j.Most
	if most == 0 {
		most = math.MaxInt
	}
	for k, kind := range kinds {
		// What this kind goes on is what was best without it: a stack of fewer
		// shims that already holds some of this kind leaves fewer of it to add.
		below := len(all)
		bases := slices.Collect(maps.Values(best))
		slices.Sort(bases)
		for _, i := range bases {
			base := all[i]
			for n := 1; n <= kind.Count && n <= most-base.count; n++ {
				s := stack{sum: base.sum + units.Length(n)*kind.Thickness, count: base.count + n, kind: k, number: n, from: i}
				if s.sum > limit {
					break
				}
				switch old, seen := best[s.sum]; {
				case !seen || s.count < all[old].count && old < below: // what stands on the old one stays
					best[s.sum] = len(all)
					all = append(all, s)
				case s.count < all[old].count:
					all[old] = s
				}
				if len(all) > maxStacks {
					return nil, nil, fail("Stock", "", units.ErrRange, "too many different thicknesses to try: lower Most or leave kinds out")
				}
			}
		}
	}
	return all, best, nil
}

// plan reads a stack back.
func (j ShimJob) plan(kinds []ShimStock, all []stack, i int) ShimPlan {
	p := ShimPlan{Total: all[i].sum, Count: all[i].count, Height: j.Unshimmed - all[i].sum, unshimmed: j.Unshimmed}
	for ; all[i].from >= 0; i = all[i].from {
		p.Shims = append(p.Shims, ShimStock{Thickness: kinds[all[i].kind].Thickness, Count: all[i].number})
	}
	slices.Reverse(p.Shims)
	return p
}

// Working returns the derivation.
func (p ShimPlan) Working() units.Working {
	terms := make([]string, len(p.Shims))
	for i, s := range p.Shims {
		terms[i] = plain(float64(s.Count)) + " x " + num(s.Thickness)
	}
	numbers := strings.Join(terms, " + ")
	if len(terms) == 0 {
		numbers = "no shim"
	}
	w := units.Working{
		{Symbol: "stack", Formula: "sum of the shims", Numbers: numbers, Value: text(p.Total), Source: definition},
		{Symbol: "height", Formula: "unshimmed height - stack", Numbers: num(p.unshimmed) + " - " + num(p.Total), Value: text(p.Height), Source: definition},
	}
	if p.Force.Given {
		w = append(w, units.Step{Symbol: "F", Formula: "force at that height", Value: forceText(p.Force.Value), Source: definition})
	}
	return w
}

// Cautions returns what to mind when a spring is shimmed.
func (ShimPlan) Cautions() []units.Caution {
	return append(springCautions(), units.Caution{Text: "a shim takes its thickness from the room to coil bind of every spring of the nest: check it again at full lift", Source: definition})
}
