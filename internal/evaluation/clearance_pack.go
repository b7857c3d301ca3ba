package evaluation

import (
	"fmt"
	"strings"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

func (in *inputs) ringHeat() clearance.RingHeat {
	var h clearance.RingHeat
	h.Bore, h.BoreAt = in.part("bore ", "bore")
	h.Ring, h.RingAt = in.expansion("ring "), in.uncertainTemperature("ring ", "at")
	return h
}

func (in *inputs) coldGap() (clearance.ThermalGap, error) {
	var left units.Length
	if in.has("left") {
		left = in.length("left")
	}
	return in.ringHeat().MinimumGap(left)
}

func (in *inputs) gapAlong() (clearance.GapPlace, error) {
	g := clearance.GapTravel{Bore: in.round("bore"), Gap: in.lengthWithU("gap", "u gap"), At: in.length("at")}
	if in.has("u") {
		state(g.Bore, in.length("u"))
	}
	a, err := g.Along()
	if err != nil {
		return clearance.GapPlace{}, err
	}
	i := in.int("station") - 1
	if i < 0 || i >= len(a.Places) {
		return clearance.GapPlace{}, fmt.Errorf("evaluation: no station %d", i+1)
	}
	return a.Places[i], nil
}

func (in *inputs) stagger() (clearance.StaggerPlan, error) {
	g := clearance.GapStagger{Gaps: in.int("gaps")}
	if in.has("avoid") {
		g.Avoid = wordList(in, "avoid", func(w []string) (clearance.Arc, error) {
			if len(w) != 4 {
				return clearance.Arc{}, fmt.Errorf("evaluation: arc %q: want center and half width", w)
			}
			c, err := units.ParseCrankAngle(w[0] + " " + w[1])
			if err != nil {
				return clearance.Arc{}, err
			}
			h, err := units.ParseCrankAngle(w[2] + " " + w[3])
			return clearance.Arc{Center: c, HalfWidth: h}, err
		})
	}
	return g.Positions()
}

// clearancePack computes the rows of ring_pack.csv.
func clearancePack(add adder) {
	add("cold ring gap that closes at work", func(in *inputs) (Answer, error) {
		g, err := in.coldGap()
		return in.rowLength(g.Cold.Value, err)
	}, "RingHeat.MinimumGap")
	add("uncertainty of the cold ring gap that closes at work", func(in *inputs) (Answer, error) {
		g, err := in.coldGap()
		return in.rowLength(g.Cold.U, err)
	}, "RingHeat.MinimumGap")
	hot := func(in *inputs) (clearance.HotGap, error) {
		return in.ringHeat().HotGap(in.lengthWithU("cold", "u cold gap"))
	}
	add("ring gap at work", func(in *inputs) (Answer, error) {
		g, err := hot(in)
		return in.rowLength(g.Hot.Value, err)
	}, "RingHeat.HotGap")
	add("uncertainty of a ring gap at work", func(in *inputs) (Answer, error) {
		g, err := hot(in)
		return in.rowLength(g.Hot.U, err)
	}, "RingHeat.HotGap")
	add("ring gap at a station of the bore", func(in *inputs) (Answer, error) {
		p, err := in.gapAlong()
		return in.rowLength(p.Gap.Value, err)
	}, "GapTravel.Along")
	add("uncertainty of a ring gap at a station of the bore", func(in *inputs) (Answer, error) {
		p, err := in.gapAlong()
		return in.rowLength(p.Gap.U, err)
	}, "GapTravel.Along")
	add("ring set, gaps to file", func(in *inputs) (Answer, error) {
		gaps, targets := in.lengths("gaps"), in.lengths("targets")
		var p clearance.FilingPlan
		for i := range min(len(gaps), len(targets)) {
			p = append(p, clearance.Filing{Gap: gaps[i], Target: targets[i].Value})
		}
		steps, err := p.Plan()
		var out []string
		for _, s := range steps {
			t := strings.TrimSuffix(s.Remove.Value.Text(units.Inches, 4), " in")
			if s.Over {
				t = "over " + strings.TrimSuffix(s.Excess.Text(units.Inches, 4), " in")
			}
			out = append(out, t)
		}
		return Text(strings.Join(out, ", ")), err
	}, "FilingPlan.Plan")
	groove := func(in *inputs) clearance.RingGroove {
		g := clearance.RingGroove{GrooveWidth: in.lengthWithU("groove", "u"), RingWidth: in.lengthWithU("ring", "u")}
		if in.has("bore") {
			g.Bore, g.Root, g.Thickness = in.lengthWithU("bore", "u"), in.lengthWithU("root", "u"), in.lengthWithU("thickness", "u")
		}
		return g
	}
	add("ring side clearance", func(in *inputs) (Answer, error) {
		s, err := groove(in).SideClearance()
		return in.rowLength(s.Side.Value, err)
	}, "RingGroove.SideClearance")
	add("uncertainty of a ring side clearance", func(in *inputs) (Answer, error) {
		s, err := groove(in).SideClearance()
		return in.rowLength(s.Side.U, err)
	}, "RingGroove.SideClearance")
	add("ring back clearance", func(in *inputs) (Answer, error) {
		b, err := groove(in).BackClearance()
		return in.rowLength(b.Back.Value, err)
	}, "RingGroove.BackClearance")
	add("uncertainty of a ring back clearance", func(in *inputs) (Answer, error) {
		b, err := groove(in).BackClearance()
		return in.rowLength(b.Back.U, err)
	}, "RingGroove.BackClearance")
	add("smallest distance of ring gaps", func(in *inputs) (Answer, error) {
		p, err := in.stagger()
		return Number(p.Spacing.Degrees()), err
	}, "GapStagger.Positions")
	add("smallest distance of gaps of rings that follow each other", func(in *inputs) (Answer, error) {
		p, err := in.stagger()
		return Number(p.NextRing.Degrees()), err
	}, "GapStagger.Positions")
}
