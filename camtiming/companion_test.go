package camtiming_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

var builder = units.Source{Text: "the builder's own limit", Provenance: units.Stated}

func TestComparePair(t *testing.T) {
	p := unequalPair
	k := p.cam(t)
	read := func(adv, u float64, stated bool) camtiming.SplitResult {
		d := units.Unstated(pm(p.diff(adv)))
		if stated {
			d = units.WithU(d.Value, pm(u*25.4e-6))
		}
		return must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: d, TDC: crank(0.8), Proof: rocked}))
	}
	tol := units.Between(crank(-1), crank(1), builder)
	for _, c := range []struct {
		name          string
		first, second float64 // advance
		u             float64 // thou
		stated        bool
		rule          units.DecisionRule
		want          camtiming.PairClass
	}{
		// u of the difference: sqrt(2)*0.2/2.5 = 0.11 degree or so. At 95 % the
		// guard band is 1.645 of it, about 0.19 degree.
		{"alike", 9, 9.3, 0.2, true, units.ProveAt95, camtiming.PairAgrees},
		{"alike far from the card", -12, -12.3, 0.2, true, units.ProveAt95, camtiming.PairAgrees},
		{"different", 4, 6, 0.2, true, units.ProveAt95, camtiming.PairDiffers},
		{"different the other way", 6, 4, 0.2, true, units.ProveAt95, camtiming.PairDiffers},
		{"inside the guard band", 4, 4.95, 0.2, true, units.ProveAt95, camtiming.PairUndecided},
		{"a coarse gauge", 4, 6, 4, true, units.ProveAt95, camtiming.PairUndecided},
		{"nothing stated", 4, 6, 0, false, units.ProveAt95, camtiming.PairUndecided},
		{"nothing stated, accepted simply", 4, 6, 0, false, units.SimpleAcceptance, camtiming.PairDiffers},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, b := read(c.first, c.u, c.stated), read(c.second, c.u, c.stated)
			r := must[camtiming.PairResult](t)(camtiming.ComparePair(camtiming.PairInput{First: a, Companion: b, Tolerance: tol, Rule: c.rule}))
			if r.Class != c.want {
				t.Errorf("class %v, want %v (%+v)", r.Class, c.want, r.Verdict)
			}
			near(t, "delta", r.Delta.Value.Degrees(), c.second-c.first, 1e-7)
			near(t, "mean", r.Mean.Value.Degrees(), (c.first+c.second)/2, 1e-7)
			if w := r.Working(); strings.Contains(w[1].Numbers, "not stated") == c.stated {
				t.Errorf("working %+v", w[1])
			}
			if r.Delta.Stated != c.stated || r.Mean.Stated != c.stated {
				t.Errorf("stated %v and %v", r.Delta.Stated, r.Mean.Stated)
			}
			if !c.stated {
				return
			}
			// The readings alone: each u over the slope there. Dead center is
			// common: it leaves the difference and stays whole in the mean.
			ua, ub := c.u*25.4e-6/p.slope(c.first), c.u*25.4e-6/p.slope(c.second)
			near(t, "u of delta", r.Delta.U.Degrees(), math.Hypot(ua, ub), 1e-6)
			near(t, "u of mean", r.Mean.U.Degrees(), math.Sqrt((ua*ua+ub*ub)/4+0.8*0.8), 1e-6)
			if w := r.Working(); len(w) != 2 || !w[1].Source.Given() {
				t.Errorf("working %+v", w)
			}
		})
	}
	// Swapped limits are refused, whoever refuses them.
	_, err := camtiming.ComparePair(camtiming.PairInput{First: read(4, 1, true), Companion: read(4, 1, true), Tolerance: units.Between(crank(1), crank(-1), builder)})
	var e *units.InputError
	if !errors.As(err, &e) {
		t.Errorf("swapped limits: %v", err)
	}
	for _, c := range []camtiming.PairClass{camtiming.PairAgrees, camtiming.PairDiffers, camtiming.PairUndecided} {
		if c.String() == "" {
			t.Errorf("class %d has no name", c)
		}
	}
}
