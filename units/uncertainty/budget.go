package uncertainty

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/mat"

	"example.com/trialfit/units"
)

// Contribution is what one input adds to the uncertainty of a result.
type Contribution[Q units.Quantity] struct {
	Name string
	// U is the standard uncertainty of the input times the sensitivity of the
	// result to it, in the result's quantity. Its sign is that of the
	// sensitivity and matters where inputs are correlated.
	U Q
	// Freedom is the degrees of freedom of the uncertainty, a statistic; 0 for
	// infinitely many.
	Freedom float64
}

// Correlation is the correlation of two contributions' inputs, by their places.
type Correlation struct {
	I, J        int
	Coefficient float64 // -1 to 1, a statistic
}

// Budget lists what a result's uncertainty is made of. Contributions is
// required; those that Correlations does not name are independent.
type Budget[Q units.Quantity] struct {
	Contributions []Contribution[Q]
	Correlations  []Correlation
}

// Combined is the uncertainty of a result.
type Combined[Q units.Quantity] struct {
	U Q // combined standard uncertainty
	// Freedom is the effective degrees of freedom, a statistic; 0 for infinitely
	// many.
	Freedom float64

	budget Budget[Q]
}

// Combine answers the combined standard uncertainty and its effective degrees of
// freedom (Welch and Satterthwaite):
//
//	U^2 = sum u_i^2 + 2 sum over i < j of r_ij u_i u_j
//	Freedom = U^4 / sum (u_i^4/v_i)
//
// with u_i = Contribution.U (signed), v_i = its Freedom, r_ij = Coefficient. The
// second holds for independent contributions; with correlated ones it needs
// infinite degrees of freedom of each that is correlated (ErrConflict). Errors:
// no contribution (ErrMissing); one that is not finite, degrees of freedom that
// are negative, a coefficient outside [-1, 1] or a place that does not exist
// (ErrRange); a pair named twice, or coefficients that no quantities can have
// together (ErrConflict).
//
// Source: JCGM 100:2008, 5.1.2, 5.2.2 and G.4.1.
//
// Rows: gum-515-uc, gum-g41-uc, gum-g41-veff, gum-h1-uc, gum-h1-vd,
// gum-h1-veff, gum-h1-uc2, s1-924-uc, s1-93-u1, unc-correlated.
func (b Budget[Q]) Combine() (Combined[Q], error) {
	if len(b.Contributions) == 0 {
		return Combined[Q]{}, fail("Contributions", "", units.ErrMissing, "want one contribution or more")
	}
	var sum, fourth float64
	for i, c := range b.Contributions {
		field := "Contributions[" + strconv.Itoa(i) + "]"
		u := float64(c.U)
		if !(math.Abs(u) <= 1e70) {
			return Combined[Q]{}, fail(field+".U", c.U.String(), units.ErrRange, "want a finite uncertainty")
		}
		if c.Freedom != 0 && !(c.Freedom >= 0.5 && c.Freedom <= math.MaxFloat64) {
			return Combined[Q]{}, fail(field+".Freedom", text(c.Freedom), units.ErrRange, "want 0 for infinitely many, or 0.5 or more")
		}
		sum += u * u
		if c.Freedom != 0 {
			fourth += u * u * u * u / c.Freedom
		}
	}
	if len(b.Correlations) > 0 {
		cross, err := b.correlated()
		if err != nil {
			return Combined[Q]{}, err
		}
		sum = max(sum+2*cross, 0) // 0 but for rounding, where all cancels
	}
	u, err := quantity[Q]("Contributions", math.Sqrt(sum))
	if err != nil {
		return Combined[Q]{}, err
	}
	c := Combined[Q]{U: u, budget: b}
	if fourth > 0 {
		c.Freedom = sum * sum / fourth
	}
	return c, nil
}

// correlated checks the coefficients and returns the sum of r u u.
func (b Budget[Q]) correlated() (cross float64, err error) {
	n := len(b.Contributions)
	r := mat.NewSymDense(n, nil)
	for i := range n {
		r.SetSym(i, i, 1)
	}
	seen := map[[2]int]bool{}
	for k, c := range b.Correlations {
		field := "Correlations[" + strconv.Itoa(k) + "]"
		i, j := min(c.I, c.J), max(c.I, c.J)
		switch {
		case i < 0 || j >= n || i == j:
			return 0, fail(field, strconv.Itoa(c.I)+", "+strconv.Itoa(c.J), units.ErrRange, "want the places of two contributions")
		case !(math.Abs(c.Coefficient) <= 1):
			return 0, fail(field+".Coefficient", text(c.Coefficient), units.ErrRange, "want a coefficient from -1 to 1")
		case seen[[2]int{i, j}]:
			return 0, fail(field, strconv.Itoa(c.I)+", "+strconv.Itoa(c.J), units.ErrConflict, "the pair is named twice")
		case c.Coefficient != 0 && (b.Contributions[i].Freedom != 0 || b.Contributions[j].Freedom != 0):
			return 0, fail(field, "", units.ErrConflict, "effective degrees of freedom are not defined for correlated contributions: leave their Freedom at 0")
		}
		seen[[2]int{i, j}] = true
		r.SetSym(i, j, c.Coefficient)
		cross += c.Coefficient * float64(b.Contributions[i].U) * float64(b.Contributions[j].U)
	}
	var e mat.EigenSym
	if !e.Factorize(r, false) || e.Values(nil)[0] < -1e-9 {
		return 0, fail("Correlations", "", units.ErrConflict, "no quantities are correlated like this all together: the matrix has a negative eigenvalue")
	}
	return cross, nil
}

// Stated is an expanded uncertainty as a report states it.
type Stated[Q units.Quantity] struct {
	U           Q
	K           float64 // coverage factor, a ratio
	Probability float64
	// Freedom is the whole number of degrees of freedom that K was taken for; 0
	// for infinitely many.
	Freedom int
}

// Expand answers the expanded uncertainty for a two-sided probability: U = k u,
// k = CoverageFactor for the effective degrees of freedom cut off to a whole
// number. Fewer than one is ErrImpossible: too little is known to state an
// interval.
//
// Source: JCGM 100:2008, G.4.1 and G.6.4.
//
// Rows: gum-h1-u99, gum-h1-vtrunc, s1-922-U, s1-924-U.
func (c Combined[Q]) Expand(probability float64) (Stated[Q], error) {
	s := Stated[Q]{Probability: probability}
	if c.Freedom != 0 {
		// A whole number that rounding has left a little under itself stays whole.
		whole := math.Floor(c.Freedom * (1 + 1e-12))
		if !(whole >= 1) {
			return Stated[Q]{}, fail("Freedom", text(c.Freedom), units.ErrImpossible, "under one effective degree of freedom: too little is known to state an interval")
		}
		s.Freedom = int(min(whole, 1e9))
	}
	var err error
	if s.K, err = CoverageFactor(probability, float64(s.Freedom)); err != nil {
		return Stated[Q]{}, err
	}
	if s.U, err = quantity[Q]("U", s.K*float64(c.U)); err != nil {
		return Stated[Q]{}, err
	}
	return s, nil
}

// Working lists the contributions and their sum.
func (c Combined[Q]) Working() units.Working {
	src := units.Source{Text: "JCGM 100:2008, 5.1.2 and G.4.1", Provenance: units.Verified}
	w := make(units.Working, 0, len(c.budget.Contributions)+1)
	for i, p := range c.budget.Contributions {
		name := p.Name
		if name == "" {
			name = "contribution " + strconv.Itoa(i+1)
		}
		freedom := "infinitely many degrees of freedom"
		if p.Freedom != 0 {
			freedom = text(p.Freedom) + " degrees of freedom"
		}
		w = append(w, units.Step{Symbol: name, Formula: "sensitivity times uncertainty", Numbers: freedom, Value: p.U.String(), Source: src})
	}
	numbers := strconv.Itoa(len(c.budget.Contributions)) + " contributions"
	if n := len(c.budget.Correlations); n > 0 {
		numbers += ", " + strconv.Itoa(n) + " correlations"
	}
	return append(w, units.Step{Symbol: "u", Formula: "sqrt(sum u_i^2 + 2 sum r_ij u_i u_j)", Numbers: numbers, Value: c.U.String(), Source: src})
}
