package camtiming

import (
	"maps"
	"math"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// Prior says how probable each cause is before any reading, by the record of
// a shop or the history of an engine. The zero Prior is EqualPrior.
//
//	Prior of a cause = Weights[cause] / sum of the weights of the causes weighed
//
// The candidates of one cause (a tooth either way, several keyways) share its
// prior equally; a candidate that the record rules out takes no part.
type Prior struct {
	// Weights are relative: each finite and 0 or more, only their ratios
	// matter. Every cause that is weighed needs one (ErrMissing), so that none
	// is left out by oversight; 0 leaves a cause out by intent. Causes that are
	// not weighed are passed over. Nil is one for each cause.
	Weights map[Cause]float64
	// Source says where the weights come from; not given, the caller.
	Source units.Source
}

// EqualPrior gives every cause the same probability: common practice where no
// record says more, and no more than a convention. It is equal by cause, not by
// candidate: four bushings on the bench make no bushing likelier.
//
// Rows: diag-p-tdc, diag-p-tdc-two, diag-p-tooth.
func EqualPrior() Prior {
	p := Prior{Weights: make(map[Cause]float64, causesEnd), Source: units.Source{Text: "equal for every cause", Provenance: units.CommonPractice}}
	for c := AsGround; c < causesEnd; c++ {
		p.Weights[c] = 1
	}
	return p
}

// setPriors shares the prior out among the models.
func (d *diagnoser) setPriors(p Prior) (units.Source, error) {
	if p.Weights == nil {
		given := p.Source
		p = EqualPrior()
		if given.Given() {
			p.Source = given
		}
	}
	if !p.Source.Given() {
		p.Source = units.Source{Text: "as the caller states", Provenance: units.Stated}
	}
	for _, c := range slices.Sorted(maps.Keys(p.Weights)) {
		w := p.Weights[c]
		switch {
		case c < AsGround || c >= causesEnd:
			return units.Source{}, fail("Prior.Weights", c.String(), units.ErrRange, "want causes that Diagnose weighs")
		case !(w >= 0) || math.IsInf(w, 0):
			return units.Source{}, fail("Prior.Weights["+c.String()+"]", strconv.FormatFloat(w, 'g', -1, 64), units.ErrRange, "want a finite weight of 0 or more")
		}
	}
	var candidates [causesEnd]int
	for _, m := range d.models {
		if m.RuledOut == "" {
			candidates[m.Cause]++
		}
	}
	largest := 0.0
	for c, n := range candidates {
		w, given := p.Weights[Cause(c)]
		if n > 0 && !given {
			return units.Source{}, fail("Prior.Weights["+Cause(c).String()+"]", "", units.ErrMissing, "want a weight for every cause that is weighed; 0 leaves it out")
		}
		if n > 0 {
			largest = max(largest, w)
		}
	}
	if largest == 0 {
		return units.Source{}, fail("Prior.Weights", "", units.ErrConflict, "every cause of weight over 0 is ruled out or not weighed")
	}
	sum := 0.0
	for c, n := range candidates {
		if n > 0 {
			sum += p.Weights[Cause(c)] / largest // no overflow
		}
	}
	for _, m := range d.models {
		if m.RuledOut == "" {
			m.Prior = p.Weights[m.Cause] / largest / sum / float64(candidates[m.Cause])
		}
	}
	return p.Source, nil
}
