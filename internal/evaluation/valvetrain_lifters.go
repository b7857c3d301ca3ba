package evaluation

import (
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func thread(in *inputs) valvetrain.Thread {
	if in.has("pitch") {
		return valvetrain.Thread{Pitch: in.length("pitch")}
	}
	return valvetrain.Thread{PerInch: in.int("per inch")}
}

func adjuster(in *inputs) valvetrain.Adjuster {
	return valvetrain.Adjuster{
		Place: named(in, "place", valvetrain.AtPushrod, valvetrain.AtPivot, valvetrain.AtValve), Thread: thread(in), Ratio: in.float("ratio"),
	}
}

func valvetrainPreload(add adder) {
	turns := func(in *inputs) valvetrain.Turns {
		return valvetrain.Turns{Whole: in.int("whole"), Parts: in.int("parts"), Of: in.int("of")}
	}
	add("travel of a thread", func(in *inputs) (Answer, error) {
		l, err := thread(in).Travel(turns(in))
		return in.inUnit(l), err
	}, "Thread.Travel")
	preload := func(quantity string, f func(*inputs, valvetrain.Preload) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			j := valvetrain.PreloadJob{Adjuster: adjuster(in), Turns: turns(in), Travel: units.Unstated(in.length("travel"))}
			if in.has("u turns") {
				j.TurnsU, j.Travel = units.Some(in.float("u turns")), units.WithU(j.Travel.Value, in.length("u travel"))
			}
			if in.has("least") {
				j.Limits = units.Some(units.Between(in.length("least"), in.length("most"), stated))
			}
			p, err := j.Preload()
			if err != nil {
				return Answer{}, err
			}
			return f(in, p), nil
		}, "PreloadJob.Preload", "Thread.Travel")
	}
	preload("hydraulic preload", func(in *inputs, p valvetrain.Preload) Answer { return in.inUnit(p.Preload.Value) })
	preload("uncertainty of a preload", func(in *inputs, p valvetrain.Preload) Answer { return in.inUnit(p.Preload.U) })
	preload("plunger travel left", func(in *inputs, p valvetrain.Preload) Answer { return in.inUnit(p.Left.Value) })
	preload("uncertainty of the plunger travel left", func(in *inputs, p valvetrain.Preload) Answer { return in.inUnit(p.Left.U) })
	preload("verdict on a preload", func(_ *inputs, p valvetrain.Preload) Answer { return outcome(p.Verdict) })
	plan := func(in *inputs) (valvetrain.TurnsPlan, error) {
		return adjuster(in).TurnsFor(valvetrain.WantedPreload{Preload: in.length("preload"), Of: in.int("of")})
	}
	add("turns for a preload", func(in *inputs) (Answer, error) {
		p, err := plan(in)
		return Number(float64(p.Turns.Whole) + float64(p.Turns.Parts)/float64(max(p.Turns.Of, 1))), err
	}, "Adjuster.TurnsFor")
	add("error of the turns for a preload", func(in *inputs) (Answer, error) {
		p, err := plan(in)
		return in.inUnit(p.Error), err
	}, "Adjuster.TurnsFor")
}

func valvetrainLifters(add adder) {
	readings := func(in *inputs, name, u string) []units.Measured[units.Length] {
		var m []units.Measured[units.Length]
		for _, l := range list(in, name, units.ParseLength) {
			if in.has(u) {
				m = append(m, units.WithU(l, in.length(u)))
			} else {
				m = append(m, units.Unstated(l))
			}
		}
		return m
	}
	fit := func(quantity string, f func(*inputs, valvetrain.LifterClearance) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			l := valvetrain.LifterFit{Bore: readings(in, "bore", "u bore"), Body: readings(in, "body", "u body")}
			if in.has("least") {
				l.Limits = units.Some(units.Between(in.length("least"), in.length("most"), stated))
			}
			c, err := l.Clearance()
			if err != nil {
				return Answer{}, err
			}
			return f(in, c), nil
		}, "LifterFit.Clearance")
	}
	fit("smallest clearance of a lifter", func(in *inputs, c valvetrain.LifterClearance) Answer { return in.inUnit(c.Smallest.Value) })
	fit("uncertainty of the smallest clearance of a lifter", func(in *inputs, c valvetrain.LifterClearance) Answer { return in.inUnit(c.Smallest.U) })
	fit("largest clearance of a lifter", func(in *inputs, c valvetrain.LifterClearance) Answer { return in.inUnit(c.Largest.Value) })
	fit("mean clearance of a lifter", func(in *inputs, c valvetrain.LifterClearance) Answer { return in.inUnit(c.Mean.Value) })
	fit("uncertainty of the mean clearance of a lifter", func(in *inputs, c valvetrain.LifterClearance) Answer { return in.inUnit(c.Mean.U) })
	fit("spread of a lifter bore", func(in *inputs, c valvetrain.LifterClearance) Answer { return in.inUnit(c.BoreSpread.Value) })
	fit("spread of a lifter body", func(in *inputs, c valvetrain.LifterClearance) Answer { return in.inUnit(c.BodySpread.Value) })
	fit("verdict on a lifter in its bore", func(_ *inputs, c valvetrain.LifterClearance) Answer { return Text(c.Outcome.String()) })
	face := func(quantity string, f func(*inputs, valvetrain.Face) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			r := valvetrain.FaceReadings{Center: units.Unstated(in.length("center")), Rim: readings(in, "rim", "u"), RimRadius: in.length("radius")}
			if in.has("u") {
				r.Center = units.WithU(r.Center.Value, in.length("u"))
			}
			if in.has("least") {
				r.CrownLimits = units.Some(units.AtLeast(in.length("least"), stated))
			}
			if in.has("most") {
				r.RunoutLimits = units.Some(units.AtMost(in.length("most"), stated))
			}
			c, err := r.Face()
			if err != nil {
				return Answer{}, err
			}
			return f(in, c), nil
		}, "FaceReadings.Face")
	}
	face("crown of a lifter face", func(in *inputs, f valvetrain.Face) Answer { return in.inUnit(f.Crown.Value) })
	face("uncertainty of the crown of a lifter face", func(in *inputs, f valvetrain.Face) Answer { return in.inUnit(f.Crown.U) })
	face("radius of a lifter face", func(in *inputs, f valvetrain.Face) Answer { return in.inUnit(f.Radius.Value) })
	face("runout of a lifter face", func(in *inputs, f valvetrain.Face) Answer { return in.inUnit(f.Runout.Value) })
	face("uncertainty of the runout of a lifter face", func(in *inputs, f valvetrain.Face) Answer { return in.inUnit(f.Runout.U) })
	face("verdict on the crown of a lifter face", func(_ *inputs, f valvetrain.Face) Answer { return outcome(f.CrownVerdict) })
	face("verdict on the runout of a lifter face", func(_ *inputs, f valvetrain.Face) Answer { return outcome(f.RunoutVerdict) })
}
