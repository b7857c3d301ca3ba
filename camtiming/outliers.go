package camtiming

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/combin"
	"gonum.org/v1/gonum/stat/distuv"
)

// tableau holds I - H of a weighted fit bordered by the residuals, all over the
// stated uncertainties, with chi-square in the corner. Sweeping a station leaves
// it out of the fit (Goodnight, The American Statistician 33 (1979) 149): then
// the corner is chi-square of the rest, the border holds the residuals of the
// rest and how far those left out stand off it, and the diagonal the variances
// of either. Sweeping it again takes it back.
type tableau struct {
	n int       // stations
	a []float64 // n + 1 rows
}

func (t *tableau) at(i, j int) float64 { return t.a[i*(t.n+1)+j] }
func (t *tableau) chi2() float64       { return max(t.at(t.n, t.n), 0) }

// standing is how far a station stands off the fit of the rest, over its
// uncertainty, whether it is left out or not.
func (t *tableau) standing(i int) float64 {
	if t.fixed(i) {
		return 0
	}
	return t.at(i, t.n) / math.Sqrt(t.at(i, i))
}

// fixed reports whether the fit would lose a coefficient without the station.
func (t *tableau) fixed(i int) bool { return t.at(i, i) < 1e-9 }

// drop is what chi-square loses when a station is left out too.
func (t *tableau) drop(i int) float64 {
	s := t.standing(i)
	return s * s
}

func (t *tableau) sweep(k int) {
	m := t.n + 1
	row, d := t.a[k*m:(k+1)*m], t.at(k, k)
	for j := range row {
		row[j] /= d
	}
	for i := range m {
		b := t.at(i, k)
		if i == k || b == 0 {
			continue
		}
		other := t.a[i*m : (i+1)*m]
		for j, v := range row {
			other[j] -= b * v
		}
		other[k] = -b / d
	}
	row[k] = 1 / d
}

// without leaves a set out.
func (t *tableau) without(set []int) *tableau {
	r := &tableau{t.n, slices.Clone(t.a)}
	for _, k := range set {
		r.sweep(k)
	}
	return r
}

// suspects is a set of stations and chi-square of the others.
type suspects struct {
	set  []int
	chi2 float64
}

// mostStationsTried is up to how many stations all sets are tried, mostOutliers
// how many are sought.
const mostStationsTried, mostOutliers = 12, 12

// search finds for every size up to most the set whose leaving out lowers
// chi-square most; index 0 is no station. An entry without a set found none.
func (t *tableau) search(most int) []suspects {
	best := make([]suspects, most+1)
	for m := range best {
		best[m].chi2 = math.Inf(1)
	}
	if t.n > mostStationsTried {
		t.exchange(best)
		return best
	}
	levels := make([]tableau, most)
	for i := range levels {
		levels[i] = tableau{t.n, make([]float64, len(t.a))}
	}
	set := make([]int, 0, most)
	var try func(t *tableau, from int)
	try = func(t *tableau, from int) {
		m := len(set) + 1
		for k := from; k < t.n; k++ {
			if t.fixed(k) {
				continue
			}
			if c := t.chi2() - t.drop(k); c < best[m].chi2 {
				best[m] = suspects{append(append(best[m].set[:0], set...), k), c}
			}
			if m < most && k+1 < t.n {
				next := &levels[m]
				copy(next.a, t.a)
				next.sweep(k)
				set = append(set, k)
				try(next, k+1)
				set = set[:m-1]
			}
		}
	}
	try(t, 0)
	return best
}

// exchange fills best from size to size: it leaves out the worst of the rest,
// then changes one of the set for one of the rest as long as that lowers
// chi-square.
func (t *tableau) exchange(best []suspects) {
	r := t.without(nil)
	var set []int
	out := make([]bool, t.n)
	worst := func() int {
		k := -1
		for i := range r.n {
			if !out[i] && !r.fixed(i) && (k < 0 || r.drop(i) > r.drop(k)) {
				k = i
			}
		}
		return k
	}
	move := func(k int) {
		r.sweep(k)
		out[k] = !out[k]
	}
	for m := 1; m < len(best); m++ {
		k := worst()
		if k < 0 {
			return
		}
		move(k)
		set = append(set, k)
		for i, last := 0, 0; i-last < m && i < 100*m; i++ {
			old, before := set[i%m], r.chi2()
			move(old)
			if set[i%m] = worst(); set[i%m] < 0 {
				set[i%m] = old
			}
			move(set[i%m])
			if set[i%m] != old && r.chi2() < before*(1-1e-12) {
				last = i
			}
		}
		r = t.without(set) // anew, against rounding
		best[m] = suspects{slices.Clone(set), r.chi2()}
	}
}

// named returns the largest set found that stands out at 95 %: together, by
// chi-square or F over all sets of its size, and each member alone against
// the rest, by the normal or Student's quantile over all stations (Bonferroni).
// By the scatter a set of the best fit looks good by choice alone, so there the
// 5 % are shared among the sizes; by stated uncertainties sets of two and more
// hardly add a false alarm. Freedom is that of the fit of all.
func (t *tableau) named(best []suspects, freedom int, byScatter bool) (set []int, rest *tableau) {
	all, alpha := t.chi2(), 0.05
	if byScatter {
		alpha /= float64(len(best) - 1)
	}
	one := 1 - alpha/2/float64(t.n)
	for m := len(best) - 1; m > 0; m-- {
		if best[m].set == nil {
			continue
		}
		r := t.without(best[m].set)
		chi2, f, k := r.chi2(), float64(freedom-m), float64(m)
		if byScatter {
			chi2 = max(chi2, 1e-9*all) // where the rest lie on the fit exactly
		}
		drop := all - chi2
		var p, alone float64
		if byScatter {
			p = distuv.F{D1: k, D2: f}.Survival(drop / k / (chi2 / f))
			alone = math.Sqrt(chi2/f) * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: f}.Quantile(one)
		} else {
			p = distuv.ChiSquared{K: k}.Survival(drop)
			alone = distuv.UnitNormal.Quantile(one)
		}
		stands := math.Log(p)+combin.LogGeneralizedBinomial(float64(t.n), k) < math.Log(alpha) || m == 1
		for _, i := range best[m].set {
			stands = stands && math.Abs(r.standing(i)) > alone
		}
		if stands {
			return best[m].set, r
		}
	}
	return nil, t
}
