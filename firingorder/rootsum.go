package firingorder

import (
	"math"
	"math/big"
	"slices"
)

// rootTerm is w exp(2 pi i exp/n), for an n that goes with it.
type rootTerm struct {
	exp int64
	w   *big.Int
}

// rootSumSlack times the sum of the magnitudes of the weights is far over the
// rounding error of a float64 sum of at most 64 terms, each good to a few units
// of 1e-16: a sum over it is not zero, and only one under it needs the exact
// decision of vanishes.
const rootSumSlack = 1e-12

// rootPoint returns exp(2 pi i k/n), exact at the quarters of a turn.
func rootPoint(k, n int64) complex128 {
	k = (k%n + n) % n
	s, c := math.Sincos(math.Pi / 2 * float64(4*k%n) / float64(n))
	switch 4 * k / n {
	case 0:
		return complex(c, s)
	case 1:
		return complex(-s, c)
	case 2:
		return complex(-c, -s)
	default:
		return complex(s, -c)
	}
}

// rootSum returns sum w[i] exp(2 pi i exp[i]/n), exactly 0 where it vanishes.
func rootSum(exp, w []int64, n int64) complex128 {
	var sum complex128
	size := 0.0
	for i, e := range exp {
		p, f := rootPoint(e, n), float64(w[i])
		sum += complex(f*real(p), f*imag(p))
		size += math.Abs(f)
	}
	if math.Hypot(real(sum), imag(sum)) > rootSumSlack*size {
		return sum
	}
	terms := make([]rootTerm, len(exp))
	for i, e := range exp {
		terms[i] = rootTerm{e, big.NewInt(w[i])}
	}
	switch {
	case vanishes(terms, n):
		return 0
	case sum == 0: // too small for float64, but not zero
		return complex(rootSumSlack*rootSumSlack*size, 0)
	default:
		return sum
	}
}

// sameSize decides exactly whether two such sums have the same magnitude: the
// difference of their squares is a sum of that kind itself.
func sameSize(a, b, w []int64, n int64) bool {
	// The conjugate of a sum, turned, has its size: all of an in-line or opposed
	// engine.
	mirrored := true
	for i := range a {
		mirrored = mirrored && (a[i]+b[i]-a[0]-b[0])%n == 0
	}
	if mirrored {
		return true
	}
	terms := make([]rootTerm, 0, 2*len(w)*len(w))
	for i := range w {
		for j := range w {
			p := new(big.Int).Mul(big.NewInt(w[i]), big.NewInt(w[j]))
			terms = append(terms, rootTerm{a[i] - a[j], p}, rootTerm{b[i] - b[j], new(big.Int).Neg(p)})
		}
	}
	return vanishes(terms, n)
}

// vanishes decides exactly whether the sum of w exp(2 pi i exp/n) is zero, by
// the degrees of the cyclotomic fields, in integers alone:
//
//   - divided by one of its terms and written with the smallest n;
//   - where p^2 divides n, the powers 0 to p-1 of the n-th root are independent
//     over the field of the (n/p)-th, so that the terms of each exponent modulo p
//     must vanish by themselves;
//   - where p divides n once, the only relation among the p-th roots is that
//     they add up to zero, so that the factors of all p of them must be equal;
//     with fewer terms than p one of these is 0, and so must be the others.
//
// The last holds for every prime over the number of terms at once, so that n
// needs no factoring beyond that.
func vanishes(terms []rootTerm, n int64) bool {
	terms = merged(terms, n)
	if len(terms) < 2 {
		return len(terms) == 0
	}
	first, g := terms[0].exp, n
	for _, t := range terms {
		g = gcd(g, t.exp-first)
	}
	n /= g
	for i := range terms {
		terms[i].exp = (terms[i].exp - first) / g
	}
	// The part of n whose primes are over the number of terms.
	small, rest := int64(0), n
	for p := int64(2); p <= int64(len(terms)); p++ {
		for rest%p == 0 {
			rest /= p
			if small == 0 {
				small = p
			}
		}
	}
	if rest > 1 {
		return eachVanishes(terms, n, rest)
	}
	p := small // over 0: two different terms have n over 1
	if n/p%p == 0 {
		return eachVanishes(terms, n, p)
	}
	// The j-th p-th root is exp = j m: take it out of the terms that it divides.
	m := n / p
	group := make([][]rootTerm, p)
	for _, t := range terms {
		for j := range p {
			if (t.exp-j*m)%p == 0 {
				group[j] = append(group[j], rootTerm{t.exp - j*m, t.w})
			}
		}
	}
	least := slices.MinFunc(group, func(a, b []rootTerm) int { return len(a) - len(b) })
	less := make([]rootTerm, len(least))
	for i, t := range least {
		less[i] = rootTerm{t.exp, new(big.Int).Neg(t.w)}
	}
	for _, g := range group {
		if !vanishes(slices.Concat(g, less), n) {
			return false
		}
	}
	return true
}

// eachVanishes reports whether the terms of each exponent modulo q vanish.
func eachVanishes(terms []rootTerm, n, q int64) bool {
	group := map[int64][]rootTerm{}
	for _, t := range terms {
		group[t.exp%q] = append(group[t.exp%q], t)
	}
	for _, g := range group {
		if !vanishes(g, n) {
			return false
		}
	}
	return true
}

// merged returns the terms by exponent in [0, n), none of weight 0.
func merged(terms []rootTerm, n int64) []rootTerm {
	terms = slices.Clone(terms)
	for i := range terms {
		terms[i].exp = (terms[i].exp%n + n) % n
	}
	slices.SortFunc(terms, func(a, b rootTerm) int { return int(min(1, max(-1, a.exp-b.exp))) })
	out := terms[:0]
	for i := 0; i < len(terms); {
		t := rootTerm{terms[i].exp, new(big.Int)}
		for ; i < len(terms) && terms[i].exp == t.exp; i++ {
			t.w.Add(t.w, terms[i].w)
		}
		if t.w.Sign() != 0 {
			out = append(out, t)
		}
	}
	return out
}
