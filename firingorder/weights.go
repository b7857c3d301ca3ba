package firingorder

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

var weighed = units.Source{Text: "as weighed", Provenance: units.Stated}

func grams(m units.Measured[units.Mass]) string {
	s := strconv.FormatFloat(m.Value.Grams(), 'f', 2, 64) + " g"
	if m.Stated {
		s += " (u = " + strconv.FormatFloat(m.U.Grams(), 'f', 2, 64) + " g)"
	}
	return s
}

// checkWeighed refuses a mass that is not finite, negative or, where needed, 0.
func checkWeighed(field string, m units.Measured[units.Mass], needed bool) error {
	if err := checkMass(field, m.Value); err != nil {
		return err
	}
	if needed && m.Value == 0 {
		return refuse(field, "", "want a mass", units.ErrMissing)
	}
	if !m.Stated && m.U != 0 {
		return refuse(field+".U", m.U.String(), "an uncertainty is given but not marked as stated", units.ErrConflict)
	}
	return checkMass(field+".U", m.U)
}

// RodWeight is a connecting rod as a mass with a center of gravity.
type RodWeight struct {
	Mass   units.Measured[units.Mass]
	Length units.Length // between the centers of its eyes
	// CG is the distance of the center of gravity from the center of the big end.
	CG units.Measured[units.Length]
	// Gyration is the radius of gyration about the center of gravity, if known:
	// the root of moment of inertia over mass.
	Gyration units.Optional[units.Length]
}

// RodSplit is a rod as two masses, one at each eye.
type RodSplit struct {
	// Rotating is the mass at the big end, Reciprocating that at the small end.
	Rotating, Reciprocating units.Measured[units.Mass]
	// Gyration is the radius of gyration with which the two masses stand for the
	// rod exactly.
	Gyration units.Length
	// InertiaRatio is the rod's own moment of inertia over that of the two masses,
	// if its radius of gyration was given; 1 is exact. A true ratio.
	InertiaRatio units.Optional[float64]

	from RodWeight
}

// Split answers how the mass of a rod divides between its ends by the center of
// gravity:
//
//	reciprocating = m a/l     rotating = m (l - a)/l
//	u^2 = (share u(m))^2 + (m u(a)/l)^2
//	exact if k^2 = a (l - a);  InertiaRatio = k^2/(a (l - a))
//
// with m = Mass (kg), a = CG, l = Length, k = Gyration (m). Mass and center of
// gravity of the two masses are those of the rod, so that the inertia forces on
// the bearings along and across the bore are right in sum; their moment of inertia
// is right only under the condition on k, and else the rod makes a torque of
// m (a (l - a) - k^2) times its angular acceleration besides. Real rods are near
// it, mostly under 1. An uncertainty is stated if those of mass and CG are.
//
// Errors: units.ErrRange for a length outside 0 to 10 m, a center of gravity that
// is not between the eyes, a radius of gyration outside 0 to the length, a mass or
// uncertainty that is negative or not finite; units.ErrMissing for no mass or no
// length; units.ErrConflict for an uncertainty not marked as stated.
//
// Source: dynamically equivalent two-mass system, any textbook of the theory of
// machines.
//
// Rows: rod-split-rec, rod-split-rot, rod-split-u, rod-split-k, rod-split-ratio.
func (r RodWeight) Split() (RodSplit, error) {
	if err := checkWeighed("Mass", r.Mass, true); err != nil {
		return RodSplit{}, err
	}
	if r.Length == 0 {
		return RodSplit{}, refuse("Length", "", "want the distance between the eyes", units.ErrMissing)
	}
	if r.Length < 0 || r.Length > 10*units.Meter {
		return RodSplit{}, refuse("Length", r.Length.String(), "want a length over 0 and at most 10 m", units.ErrRange)
	}
	if r.CG.Value <= 0 || r.CG.Value >= r.Length {
		return RodSplit{}, refuse("CG", r.CG.Value.String(), "want a center of gravity between the eyes", units.ErrRange)
	}
	switch {
	case !r.CG.Stated && r.CG.U != 0:
		return RodSplit{}, refuse("CG.U", r.CG.U.String(), "an uncertainty is given but not marked as stated", units.ErrConflict)
	case r.CG.U < 0 || r.CG.U > r.Length:
		return RodSplit{}, refuse("CG.U", r.CG.U.String(), "want an uncertainty from 0 to the length of the rod", units.ErrRange)
	case r.Gyration.Given && (r.Gyration.Value <= 0 || r.Gyration.Value > r.Length):
		return RodSplit{}, refuse("Gyration", r.Gyration.Value.String(), "want a radius over 0 and at most the length of the rod", units.ErrRange)
	}
	m, l, a := float64(r.Mass.Value), r.Length.Meters(), r.CG.Value.Meters()
	b := (r.Length - r.CG.Value).Meters()
	share := func(x float64) units.Measured[units.Mass] {
		v := units.Measured[units.Mass]{Value: units.Mass(m * (x / l)), Stated: r.Mass.Stated && r.CG.Stated}
		if v.Stated {
			v.U = units.Mass(math.Hypot(x/l*float64(r.Mass.U), m*(r.CG.U.Meters()/l)))
		}
		return v
	}
	s := RodSplit{Reciprocating: share(a), Rotating: share(b), from: r}
	k, err := units.LengthOf(math.Sqrt(a*b), units.Meters)
	if err != nil {
		return RodSplit{}, err
	}
	s.Gyration = k
	if g := r.Gyration.Value.Meters(); r.Gyration.Given {
		s.InertiaRatio = units.Some(g / a * (g / b))
	}
	return s, nil
}

// Working shows the shares and the condition on the inertia.
func (s RodSplit) Working() units.Working {
	r := s.from
	if r.Length == 0 {
		return nil
	}
	src := units.Source{Text: "dynamically equivalent two-mass system", Provenance: units.Computed}
	rest := r.Length - r.CG.Value
	w := units.Working{
		{Symbol: "reciprocating", Formula: "m a/l", Numbers: grams(r.Mass) + " " + r.CG.Value.String() + "/" + r.Length.String(), Value: grams(s.Reciprocating), Source: src},
		{Symbol: "rotating", Formula: "m (l - a)/l", Numbers: grams(r.Mass) + " " + rest.String() + "/" + r.Length.String(), Value: grams(s.Rotating), Source: src},
		{Symbol: "k", Formula: "sqrt(a (l - a)) for an exact inertia", Numbers: "sqrt(" + r.CG.Value.String() + " " + rest.String() + ")", Value: s.Gyration.Text(units.Millimeters, 3), Source: src},
	}
	if s.InertiaRatio.Given {
		w = append(w, units.Step{Symbol: "ratio", Formula: "k^2/(a (l - a)) with the rod's own k", Numbers: "k = " + r.Gyration.Value.String(), Value: strconv.FormatFloat(s.InertiaRatio.Value, 'g', 6, 64), Source: src})
	}
	return w
}

// RodEnds is a rod weighed end by end: one eye on the scale, the other hung level
// with it.
type RodEnds struct {
	Small, Big units.Measured[units.Mass] // readings under the small and the big end
	Length     units.Length               // between the centers of its eyes
}

// Weight answers mass and center of gravity of a rod from its two readings:
//
//	m = Small + Big     a = Length Small/(Small + Big)
//	u(m)^2 = u(Small)^2 + u(Big)^2
//	u(a) = Length sqrt((Big u(Small))^2 + (Small u(Big))^2)/m^2
//
// The readings themselves are the reciprocating and the rotating mass: RodWeight.Split
// gives them back, with an uncertainty that is larger since it takes m and a as
// independent. Errors: as for RodWeight.Split, units.ErrMissing for a reading of 0.
//
// Source: statics of a beam on two supports.
//
// Rows: rod-ends-m, rod-ends-a, rod-ends-u.
func (e RodEnds) Weight() (RodWeight, error) {
	if err := checkWeighed("Small", e.Small, true); err != nil {
		return RodWeight{}, err
	}
	if err := checkWeighed("Big", e.Big, true); err != nil {
		return RodWeight{}, err
	}
	if e.Length == 0 {
		return RodWeight{}, refuse("Length", "", "want the distance between the eyes", units.ErrMissing)
	}
	if e.Length < 0 || e.Length > 10*units.Meter {
		return RodWeight{}, refuse("Length", e.Length.String(), "want a length over 0 and at most 10 m", units.ErrRange)
	}
	s, b := float64(e.Small.Value), float64(e.Big.Value)
	m := s + b
	if math.IsInf(m, 0) {
		return RodWeight{}, refuse("Big", e.Big.Value.String(), "the sum overflows", units.ErrRange)
	}
	r := RodWeight{Length: e.Length, Mass: units.Measured[units.Mass]{Value: units.Mass(m), Stated: e.Small.Stated && e.Big.Stated}}
	a, err := e.Length.Scale(s / m)
	if err != nil {
		return RodWeight{}, err
	}
	r.CG = units.Measured[units.Length]{Value: a, Stated: r.Mass.Stated}
	if r.Mass.Stated {
		us, ub := float64(e.Small.U), float64(e.Big.U)
		r.Mass.U = units.Mass(math.Hypot(us, ub))
		if r.CG.U, err = e.Length.Scale(math.Hypot(b/m*(us/m), s/m*(ub/m))); err != nil {
			return RodWeight{}, refuse("Small.U", e.Small.U.String(), "want an uncertainty that means something", units.ErrRange)
		}
	}
	return r, nil
}

// WeightSet is a set of parts that must weigh the same, cylinder 1 first.
type WeightSet struct {
	Masses []units.Measured[units.Mass]
	// Spread is the largest difference allowed, with its source. Optional.
	Spread units.Optional[units.Limits[units.Mass]]
	Rule   units.DecisionRule
}

// WeightSpread is how far a set of weights is apart.
type WeightSpread struct {
	Lightest, Heaviest int // cylinders; the first of several
	Spread             units.Measured[units.Mass]
	Mean               units.Mass
	// Remove is what each part must lose to weigh as the lightest, cylinder 1
	// first.
	Remove []units.Mass
	// Verdict is given if a limit was.
	Verdict units.Optional[units.Verdict[units.Mass]]

	from WeightSet
}

// Check answers how far the weights of a set are apart, which parts are to lose
// how much to match the lightest, and whether the spread keeps within a limit:
//
//	spread = heaviest - lightest     u^2 = u(heaviest)^2 + u(lightest)^2
//	remove = mass - lightest
//
// An uncertainty is stated if those of all masses are; an error of the scale that
// is the same for all leaves the difference.
//
// Errors: units.ErrMissing for fewer than two masses or one of 0, units.ErrRange
// for more than 64, a mass or uncertainty that is negative or not finite;
// units.ErrConflict for an uncertainty not marked as stated; those of units.Judge.
//
// Source: definition; units.Judge for the verdict.
//
// Rows: weights-spread, weights-spread-u, weights-remove, weights-verdict.
func (s WeightSet) Check() (WeightSpread, error) {
	if len(s.Masses) < 2 {
		return WeightSpread{}, refuse("Masses", strconv.Itoa(len(s.Masses)), "want two or more", units.ErrMissing)
	}
	if len(s.Masses) > maxCylinders {
		return WeightSpread{}, refuse("Masses", strconv.Itoa(len(s.Masses)), "want at most 64", units.ErrRange)
	}
	w := WeightSpread{Remove: make([]units.Mass, len(s.Masses))}
	lo, hi, stated := 0, 0, true
	mean := 0.0
	for i, m := range s.Masses {
		if err := checkWeighed(fmt.Sprintf("Masses[%d]", i), m, true); err != nil {
			return WeightSpread{}, err
		}
		if m.Value < s.Masses[lo].Value {
			lo = i
		}
		if m.Value > s.Masses[hi].Value {
			hi = i
		}
		stated = stated && m.Stated
		mean += float64(m.Value) / float64(len(s.Masses))
	}
	light, heavy := s.Masses[lo], s.Masses[hi]
	w.Lightest, w.Heaviest, w.Mean = lo+1, hi+1, units.Mass(mean)
	w.Spread = units.Measured[units.Mass]{Value: heavy.Value - light.Value, Stated: stated}
	if stated {
		w.Spread.U = units.Mass(math.Hypot(float64(heavy.U), float64(light.U)))
	}
	for i, m := range s.Masses {
		w.Remove[i] = m.Value - light.Value
	}
	if s.Spread.Given {
		v, err := units.Judge(w.Spread, s.Spread.Value, s.Rule)
		if err != nil {
			return WeightSpread{}, err
		}
		w.Verdict = units.Some(v)
	}
	w.from = WeightSet{Masses: slices.Clone(s.Masses)}
	return w, nil
}

// Working shows the heaviest and the lightest and their difference.
func (w WeightSpread) Working() units.Working {
	m := w.from.Masses
	if w.Lightest < 1 || w.Lightest > len(m) || w.Heaviest < 1 || w.Heaviest > len(m) {
		return nil
	}
	light, heavy := grams(m[w.Lightest-1]), grams(m[w.Heaviest-1])
	return units.Working{
		{Symbol: "lightest", Formula: "cylinder " + strconv.Itoa(w.Lightest), Value: light, Source: weighed},
		{Symbol: "heaviest", Formula: "cylinder " + strconv.Itoa(w.Heaviest), Value: heavy, Source: weighed},
		{Symbol: "spread", Formula: "heaviest - lightest", Numbers: heavy + " - " + light, Value: grams(w.Spread), Source: units.Source{Text: "definition", Provenance: units.Computed}},
	}
}
