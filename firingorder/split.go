package firingorder

import (
	"cmp"
	"slices"

	"example.com/trialfit/units"
)

// EvenSplit answers with which pin split a V fires evenly: of
//
//	split = s V - k 720/n   (two-stroke: 360/n), k whole,
//
// the one nearest to a shared pin with which the cylinders of this crank can fire
// at equal intervals; of two that are equally near the one against s V. V =
// BankAngle, s = +1 if the bank of cylinder 1 is passed first and -1 if last, n =
// the number of cylinders (crank deg, positive in rotation). It is exact; put it
// into Split.
//
// Errors: units.ErrConflict for a Split that is stated already,
// units.ErrImpossible for a crank that no split makes even, units.ErrRange for an
// unknown cycle, otherwise those of V.
//
// Source: geometry of a crank without pin offset; printed splits: web text on V6
// layouts, service manual on the crankshaft of a 72 degree V6.
//
// Rows: even-split-v6-60, even-split-v6-72, even-split-v6-90, even-split-v6-120,
// even-split-v10-72, even-split-v10-90, even-split-v8-90, even-split-v12-60.
func (c VConfig) EvenSplit(cycle Cycle) (Turn, error) {
	turns := int64(2)
	switch cycle {
	case FourStroke:
	case TwoStroke:
		turns = 1
	default:
		return Turn{}, refuse("cycle", cycle.String(), "want FourStroke or TwoStroke", units.ErrRange)
	}
	if c.Split != (Turn{}) {
		return Turn{}, refuse("Split", c.Split.String(), "want none: it is the answer", units.ErrConflict)
	}
	l, err := V(c)
	if err != nil {
		return Turn{}, err
	}
	v := c.BankAngle
	if c.BankOfOne == PassedLast {
		v.num = -v.num
	}
	n := int64(l.Cylinders())
	var splits []Turn
	for k := range n {
		s, ok := v.plus(reduced(-k*turns, n))
		if !ok {
			return Turn{}, refuse("BankAngle", c.BankAngle.String(), "too fine a fraction", units.ErrInexact)
		}
		den := s.denMinus1 + 1
		s.num = (s.num%den + den) % den
		if 2*s.num > den || 2*s.num == den && v.num > 0 { // within half a turn, against s V
			s.num -= den
		}
		splits = append(splits, s)
	}
	against := func(s Turn) int {
		if s.num != 0 && (s.num > 0) == (v.num > 0) {
			return 1
		}
		return 0
	}
	slices.SortFunc(splits, func(a, b Turn) int {
		// |a| - |b|: one denominator divides den(v) n, so the products fit.
		x, y := max(a.num, -a.num)*(b.denMinus1+1), max(b.num, -b.num)*(a.denMinus1+1)
		return cmp.Or(cmp.Compare(x, y), against(a)-against(b))
	})
	for _, s := range splits {
		c.Split = s
		if l, err = V(c); err != nil {
			return Turn{}, err
		}
		if l.even(turns) {
			return s, nil
		}
	}
	return Turn{}, refuse("Crank", c.Crank.String(), "no split makes this crank fire evenly", units.ErrImpossible)
}
