package valvetrain_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func bucketValve(name string, shim, lash float64) valvetrain.BucketValve {
	return valvetrain.BucketValve{Name: name, Shim: mm(shim), Lash: exact(mm(lash)), Limits: units.Between(mm(0.20), mm(0.30), own)}
}

// leverOf is a change of shim at the lash, for levers by which it stays whole.
func leverOf(v valvetrain.BucketValve, change units.Length) units.Length {
	switch v.Lever {
	case 0.5:
		return change / 2
	case 2:
		return change * 2
	default:
		return change
	}
}

// bestPlan tries every way to give each valve a shim of the engine, one at hand or a
// size, and returns the least (new, moved, error).
func bestPlan(j valvetrain.BucketJob) (best [3]int64, found bool) {
	n := len(j.Valves)
	used := make([]bool, n)
	left := make([]int, len(j.Shims.AtHand))
	for i, k := range j.Shims.AtHand {
		left[i] = k.Count
	}
	var walk func(i int, at [3]int64)
	walk = func(i int, at [3]int64) {
		if i == n {
			if !found || at[0] < best[0] || at[0] == best[0] && (at[1] < best[1] || at[1] == best[1] && at[2] < best[2]) {
				best, found = at, true
			}
			return
		}
		v := j.Valves[i]
		wanted := v.Wanted
		if wanted == 0 {
			wanted = (v.Limits.Min + v.Limits.Max) / 2
		}
		try := func(t units.Length, isNew, moved int64) {
			lash := v.Lash.Value + leverOf(v, v.Shim-t)
			if lash < v.Limits.Min || lash > v.Limits.Max {
				return
			}
			walk(i+1, [3]int64{at[0] + isNew, at[1] + moved, at[2] + int64((lash - wanted).Abs())})
		}
		for k := range n {
			if !used[k] {
				used[k] = true
				moved := int64(1)
				if k == i {
					moved = 0
				}
				try(j.Valves[k].Shim, 0, moved)
				used[k] = false
			}
		}
		for k := range left {
			if left[k] > 0 {
				left[k]--
				try(j.Shims.AtHand[k].Thickness, 1, 0)
				left[k]++
			}
		}
		for _, t := range j.Shims.Sizes {
			try(t, 1, 0)
		}
	}
	walk(0, [3]int64{})
	return best, found
}

func TestBucketPlanAgainstEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	solved, refused := 0, 0
	for range 400 {
		var j valvetrain.BucketJob
		for range 1 + r.IntN(5) {
			v := bucketValve("v", 2+0.05*float64(r.IntN(10)), 0.01*float64(10+r.IntN(35)))
			if r.IntN(2) == 0 {
				v.Limits = units.Between(mm(0.25), mm(0.35), own)
			}
			if r.IntN(3) == 0 {
				v.Wanted = mm(0.28)
			}
			if r.IntN(3) == 0 {
				v.Lever = []float64{1, 0.5, 2}[r.IntN(3)]
			}
			j.Valves = append(j.Valves, v)
		}
		for range r.IntN(3) {
			j.Shims.AtHand = append(j.Shims.AtHand, valvetrain.ShimStock{Thickness: mm(2 + 0.025*float64(r.IntN(20))), Count: r.IntN(3)})
		}
		for range r.IntN(4) {
			j.Shims.Sizes = append(j.Shims.Sizes, mm(2+0.05*float64(r.IntN(10))))
		}
		want, ok := bestPlan(j)
		p, err := j.Plan()
		if ok != (err == nil) {
			t.Fatalf("%+v: enumeration %v, plan %v", j, ok, err)
		}
		if !ok {
			refused++
			continue
		}
		solved++
		if got := [3]int64{int64(p.New), int64(p.Moved), int64(p.Error)}; got != want {
			t.Fatalf("%+v: %v, enumeration %v", j, got, want)
		}
		// The plan is what it says: no shim of the engine twice, every lash inside.
		from := map[int]bool{}
		for i, s := range p.Valves {
			v := j.Valves[i]
			if s.Lash.Value != v.Lash.Value+leverOf(v, v.Shim-s.Shim) || s.Lash.Value < v.Limits.Min || s.Lash.Value > v.Limits.Max {
				t.Fatalf("%+v", s)
			}
			if s.From >= 0 {
				if from[s.From] || j.Valves[s.From].Shim != s.Shim {
					t.Fatalf("shim of %d twice or not its own", s.From)
				}
				from[s.From] = true
			}
		}
		if len(from)+len(p.Spare) != len(j.Valves) || len(p.Spare) != p.New {
			t.Fatalf("spare %v of %+v", p.Spare, p)
		}
		worked(t, "plan", p.Working())
	}
	if solved < 50 || refused < 20 {
		t.Errorf("solved %d, refused %d", solved, refused)
	}
}

// Sixteen valves whose shims were put in turned round by one place: swapping serves
// all without a new shim.
func TestBucketPlanSwaps(t *testing.T) {
	var j valvetrain.BucketJob
	for i := range 16 {
		// Each valve needs the shim of the next one.
		v := bucketValve("v", 2+0.2*float64(i), 0)
		v.Lash = exact(mm(0.25) + mm(0.2*float64((i+1)%16)) - mm(0.2*float64(i)) + mm(3))
		v.Shim = mm(2 + 0.2*float64(i))
		v.Limits = units.Between(mm(3.2), mm(3.3), own)
		j.Valves = append(j.Valves, v)
	}
	p := must[valvetrain.BucketPlan](t)(j.Plan())
	if p.New != 0 || p.Moved != 16 || p.Error != 0 {
		t.Errorf("%d new, %d moved, %v", p.New, p.Moved, p.Error)
	}
	for i, s := range p.Valves {
		if s.From != (i+1)%16 || s.Origin != valvetrain.Exchanged {
			t.Errorf("valve %d from %d", i, s.From)
		}
	}
}

func TestBucketFit(t *testing.T) {
	v := bucketValve("intake 1", 2.50, 0.34) // wants 2.59
	shims := valvetrain.LashShims{AtHand: []valvetrain.ShimStock{{Thickness: mm(2.62), Count: 1}, {Thickness: mm(2.56), Count: 2}, {Thickness: mm(2.59)}}}
	s := must[valvetrain.BucketShim](t)(v.Fit(shims))
	// 2.56 and 2.62 are as close; the thinner one wins, the one without a count is not there.
	if s.Shim != mm(2.56) || s.Origin != valvetrain.FromHand || s.Lash.Value != mm(0.28) || s.Error != mm(0.03) {
		t.Errorf("%+v", s)
	}
	shims.Sizes = []units.Length{mm(2.60), mm(2.55)}
	if s := must[valvetrain.BucketShim](t)(v.Fit(shims)); s.Shim != mm(2.60) || s.Origin != valvetrain.Bought {
		t.Errorf("%+v", s)
	}
	v.Lash = units.WithU(mm(0.34), mm(0.005))
	if s := must[valvetrain.BucketShim](t)(v.Fit(shims)); s.Verdict.Outcome != units.ProvedWithin || s.Lash.U != mm(0.005) {
		t.Errorf("%+v", s)
	}
	worked(t, "fit", s.Working())
	if (valvetrain.BucketShim{}).Working() != nil || (valvetrain.BucketPlan{}).Working() != nil || len((valvetrain.BucketPlan{}).Cautions()) == 0 {
		t.Error("zero values")
	}
	for o, want := range map[valvetrain.ShimOrigin]string{0: "none", valvetrain.Kept: "kept", valvetrain.Exchanged: "exchanged", valvetrain.FromHand: "at hand", valvetrain.Bought: "bought"} {
		if o.String() != want {
			t.Errorf("%v", o)
		}
	}
}

func TestBucketRefuses(t *testing.T) {
	good := bucketValve("a", 2.5, 0.34)
	sizes := valvetrain.LashShims{Sizes: []units.Length{mm(2.6)}}
	fit := func(v valvetrain.BucketValve) (valvetrain.BucketShim, error) { return v.Fit(sizes) }
	stock := func(s valvetrain.LashShims) (valvetrain.BucketShim, error) { return good.Fit(s) }
	plan := func(j valvetrain.BucketJob) (valvetrain.BucketPlan, error) { return j.Plan() }
	job := func() valvetrain.BucketJob {
		return valvetrain.BucketJob{Valves: []valvetrain.BucketValve{good, good}, Shims: sizes}
	}
	refuse(t, []bad{
		{"nothing", one(func() (valvetrain.BucketShim, error) { return valvetrain.BucketValve{}.Fit(sizes) }), "Shim", units.ErrMissing},
		{"thick", with(good, func(v *valvetrain.BucketValve) { v.Shim = most }, fit), "Shim", units.ErrRange},
		{"negative lash", with(good, func(v *valvetrain.BucketValve) { v.Lash.Value = -1 }, fit), "Lash", units.ErrRange},
		{"endless lash", with(good, func(v *valvetrain.BucketValve) { v.Lash.Value = most }, fit), "Lash", units.ErrRange},
		{"negative u", with(good, func(v *valvetrain.BucketValve) { v.Lash = units.WithU(mm(0.3), -1) }, fit), "Lash.U", units.ErrRange},
		{"one limit", with(good, func(v *valvetrain.BucketValve) { v.Limits = units.AtLeast(mm(0.2), own) }, fit), "Limits", units.ErrMissing},
		{"endless limit", with(good, func(v *valvetrain.BucketValve) { v.Limits.Max = most }, fit), "Limits", units.ErrRange},
		{"swapped limits", with(good, func(v *valvetrain.BucketValve) { v.Limits = units.Between(mm(0.3), mm(0.2), own) }, fit), "Limits", units.ErrConflict},
		{"wanted outside", with(good, func(v *valvetrain.BucketValve) { v.Wanted = mm(0.4) }, fit), "Wanted", units.ErrConflict},
		{"none at hand", with(valvetrain.LashShims{}, func(*valvetrain.LashShims) {}, stock), "shims", units.ErrImpossible},
		{"lever nan", with(good, func(v *valvetrain.BucketValve) { v.Lever = nan }, fit), "Lever", units.ErrRange},
		{"lever negative", with(good, func(v *valvetrain.BucketValve) { v.Lever = -0.5 }, fit), "Lever", units.ErrRange},
		{"lever long", with(good, func(v *valvetrain.BucketValve) { v.Lever = 11 }, fit), "Lever", units.ErrRange},
		{"thin size", with(sizes, func(s *valvetrain.LashShims) { s.Sizes = []units.Length{0} }, stock), "shims.Sizes[0]", units.ErrMissing},
		{"thin shim", with(sizes, func(s *valvetrain.LashShims) { s.AtHand = []valvetrain.ShimStock{{Count: 1}} }, stock), "shims.AtHand[0].Thickness", units.ErrMissing},
		{"negative count", with(sizes, func(s *valvetrain.LashShims) { s.AtHand = []valvetrain.ShimStock{{mm(2), -1}} }, stock), "shims.AtHand[0].Count", units.ErrRange},
		{"many kinds", with(sizes, func(s *valvetrain.LashShims) { s.Sizes = make([]units.Length, 201) }, stock), "shims", units.ErrRange},
		{"no valves", one(valvetrain.BucketJob{}.Plan), "Valves", units.ErrMissing},
		{"many valves", with(job(), func(j *valvetrain.BucketJob) { j.Valves = make([]valvetrain.BucketValve, 65) }, plan), "Valves", units.ErrRange},
		{"second valve", with(job(), func(j *valvetrain.BucketJob) { j.Valves[1].Shim = 0 }, plan), "Valves[1].Shim", units.ErrMissing},
		{"bad stock", with(job(), func(j *valvetrain.BucketJob) { j.Shims.AtHand = []valvetrain.ShimStock{{-1, 1}} }, plan), "Shims.AtHand[0].Thickness", units.ErrRange},
		{"no shim for one", with(job(), func(j *valvetrain.BucketJob) { j.Shims = valvetrain.LashShims{} }, plan), "Valves[0]", units.ErrImpossible},
		{"one shim for two", with(job(), func(j *valvetrain.BucketJob) {
			j.Shims = valvetrain.LashShims{AtHand: []valvetrain.ShimStock{{mm(2.6), 1}}}
		}, plan), "Shims", units.ErrImpossible},
	})
}

func BenchmarkBucketPlan(b *testing.B) {
	r := rand.New(rand.NewPCG(7, 2))
	var j valvetrain.BucketJob
	for range 24 {
		j.Valves = append(j.Valves, bucketValve("v", 2+0.05*float64(r.IntN(20)), 0.01*float64(10+r.IntN(35))))
	}
	for i := range 40 {
		j.Shims.Sizes = append(j.Shims.Sizes, mm(1.8+0.05*float64(i)))
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := j.Plan(); err != nil {
			b.Fatal(err)
		}
	}
}

// A finger's shim by the lever of its arms, worked by hand: 0.09 mm at the cam are
// 0.09/0.75 = 0.12 mm of shim at the stem. The error of one that does not fit names
// thicknesses that do.
func TestBucketLever(t *testing.T) {
	v := bucketValve("finger", 2.5, 0.34)
	v.Lever = 0.75
	s := must[valvetrain.BucketShim](t)(v.Fit(valvetrain.LashShims{Sizes: []units.Length{mm(2.58), mm(2.62), mm(2.66)}}))
	if s.Shim != mm(2.62) || s.Lash.Value != mm(0.25) || s.Error != 0 {
		t.Errorf("%+v", s)
	}
	worked(t, "finger", s.Working())
	if w := s.Working(); w[0].Value != "2.620 mm (0.1031 in)" {
		t.Errorf("%+v", w)
	}
	_, err := v.Fit(valvetrain.LashShims{Sizes: []units.Length{mm(2.5)}})
	if err == nil || !strings.Contains(err.Error(), "2.553 mm to 2.687 mm") {
		t.Errorf("%v", err)
	}
}
