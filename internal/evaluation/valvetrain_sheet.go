package evaluation

import (
	"fmt"
	"strings"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// sheet makes the adjustment sheet of a row.
func sheet(in *inputs) (valvetrain.AdjustmentSheet, error) {
	e, err := rowEngine(in)
	if err != nil {
		return valvetrain.AdjustmentSheet{}, err
	}
	c := firingorder.LashSetting{Engine: e, Closed: []firingorder.ClosedValves{{
		Intake:  firingorder.Window{From: in.crank("intake_from"), To: in.crank("intake_to")},
		Exhaust: firingorder.Window{From: in.crank("exhaust_from"), To: in.crank("exhaust_to")},
	}}}
	p, err := c.AtOverlap()
	if err != nil {
		return valvetrain.AdjustmentSheet{}, err
	}
	v := valvetrain.ValveSetting{Lash: 200 * units.Micrometer, State: valvetrain.ColdEngine}
	if in.has("lash") {
		v.Lash = in.length("lash")
		v.Limits = units.Some(units.Between(in.length("least"), in.length("most"), stated))
	}
	j := valvetrain.SheetJob{Engine: e, Plan: p, Intake: v, Exhaust: v, Start: in.crank("start")}
	if in.has("blades") {
		j.Blades = list(in, "blades", units.ParseLength)
	}
	if in.err != nil {
		return valvetrain.AdjustmentSheet{}, in.err
	}
	return j.Sheet()
}

func valvetrainSheet(add adder) {
	on := func(quantity string, f func(valvetrain.AdjustmentSheet) string) {
		add(quantity, func(in *inputs) (Answer, error) {
			s, err := sheet(in)
			if err != nil {
				return Answer{}, err
			}
			return Text(f(s)), nil
		}, "SheetJob.Sheet")
	}
	on("crank turns between the stops of an adjustment sheet", func(s valvetrain.AdjustmentSheet) string {
		var w []string
		for _, p := range s.Stops {
			w = append(w, shortest(p.Turn.Degrees()))
		}
		return strings.Join(w, " ")
	})
	on("valves of an adjustment sheet", func(s valvetrain.AdjustmentSheet) string {
		var w []string
		for _, p := range s.Stops {
			for _, l := range p.Lines {
				w = append(w, fmt.Sprintf("%d%c", l.Cylinder, l.Valve.String()[0]))
			}
		}
		return strings.Join(w, " ")
	})
	on("feeler blades that prove a lash", func(s valvetrain.AdjustmentSheet) string {
		b := s.Stops[0].Lines[0].Blades.Value
		return b.Go.Text(units.Millimeters, 2) + " passes, " + b.NoGo.Value.Text(units.Millimeters, 2) + " does not"
	})
	record := func(quantity string, f func(*inputs, valvetrain.LashLine) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			s, err := sheet(in)
			if err != nil {
				return Answer{}, err
			}
			r := valvetrain.LashRecord{Readings: []valvetrain.LashReading{{Cylinder: in.int("cylinder"), Valve: rowValve(in.text("valve")), Lash: measured(in, "read", "u")}}}
			if in.has("place") {
				r.Adjuster, r.Of = units.Some(adjuster(in)), in.int("of")
			}
			rep, err := s.Record(r)
			if err != nil {
				return Answer{}, err
			}
			return f(in, rep.Lines[0]), nil
		}, "SheetJob.Sheet", "AdjustmentSheet.Record")
	}
	record("correction of a lash", func(in *inputs, l valvetrain.LashLine) Answer { return in.inUnit(l.Change) })
	record("turns that correct a lash", func(_ *inputs, l valvetrain.LashLine) Answer {
		if l.Back {
			return Text(l.Turns.Value.String() + " back")
		}
		return Text(l.Turns.Value.String() + " down")
	})
	record("lash after the turns that correct it", func(in *inputs, l valvetrain.LashLine) Answer { return in.inUnit(l.After) })
	record("verdict on a lash as read", func(_ *inputs, l valvetrain.LashLine) Answer { return outcome(l.Verdict) })
}
