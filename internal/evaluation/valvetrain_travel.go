package evaluation

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func travelPlace(in *inputs) valvetrain.TravelPlace {
	return named(in, "place", valvetrain.RetainerToGuide, valvetrain.RetainerToSeal, valvetrain.RetainerToRocker, valvetrain.CoilBind, valvetrain.SlotToStud, valvetrain.PushrodToHead)
}

// measured reads a length and its uncertainty, if the row states one.
func measured(in *inputs, name, u string) units.Measured[units.Length] {
	if in.has(u) {
		return units.WithU(in.length(name), in.length(u))
	}
	return units.Unstated(in.length(name))
}

func bindGap(in *inputs) (valvetrain.ClosingGap, error) {
	var n valvetrain.Nest
	steps := list(in, "steps", units.ParseLength)
	for i, s := range list(in, "solid", units.ParseLength) {
		n.Springs = append(n.Springs, valvetrain.NestSpring{Name: strconv.Itoa(i), Step: steps[i], Spring: valvetrain.LinearSpring{
			Height: in.length("height"), Force: units.Unstated(units.Newtons(300)), Rate: units.Unstated(units.NewtonsPerMillimeter(20)), Solid: units.Unstated(s),
		}})
	}
	return n.BindGap(units.Unstated(in.length("height")))
}

func rockerSlot(in *inputs) valvetrain.RockerSlot {
	return valvetrain.RockerSlot{
		Slot: measured(in, "slot", "u"), Stud: measured(in, "stud", "u_stud"), Edge: in.length("edge"), TipArm: in.length("arm"),
		Closed: planeAngle(in, "closed"), TipClosed: planeAngle(in, "tip"),
	}
}

func travelGap(in *inputs, p valvetrain.TravelPlace) (valvetrain.TravelGap, error) {
	switch p {
	case valvetrain.CoilBind:
		return bindGap(in)
	case valvetrain.SlotToStud:
		return rockerSlot(in), nil
	case valvetrain.PushrodToHead:
		h := valvetrain.PushrodHole{Hole: measured(in, "hole", "u"), Rod: measured(in, "rod", "u_rod"), Top: in.length("top")}
		if c := list(in, "center", units.ParseLength); len(c) == 3 {
			h.Center = valvetrain.HeadPlace{X: c[0], Y: c[1], Z: c[2]}
		}
		for s := range strings.SplitSeq(in.text("stands"), "/") {
			var l [7]units.Length
			for i, w := range strings.Split(s, ",") {
				v, err := units.ParseLength(strings.TrimSpace(w))
				if err != nil || i >= len(l) {
					return nil, err
				}
				l[i] = v
			}
			h.Stands = append(h.Stands, valvetrain.PushrodStand{Lift: l[0], Lower: valvetrain.HeadPlace{X: l[1], Y: l[2], Z: l[3]}, Upper: valvetrain.HeadPlace{X: l[4], Y: l[5], Z: l[6]}})
		}
		return h, nil
	case valvetrain.RetainerToRocker:
		var g valvetrain.GapReadings
		gaps := list(in, "gaps", units.ParseLength)
		for i, l := range list(in, "lifts", units.ParseLength) {
			r := valvetrain.GapReading{Lift: l, Gap: units.Unstated(gaps[i])}
			if in.has("u") {
				r.Gap = units.WithU(gaps[i], in.length("u"))
			}
			g = append(g, r)
		}
		return g, nil
	default:
		return valvetrain.ClosingGap(measured(in, "closed", "u")), nil
	}
}

func valvetrainTravel(add adder) {
	check := func(quantity string, f func(*inputs, valvetrain.TravelCheck) Answer, symbols ...string) {
		add(quantity, func(in *inputs) (Answer, error) {
			p := travelPlace(in)
			g, err := travelGap(in, p)
			if err != nil || in.err != nil {
				return Answer{}, err
			}
			l := valvetrain.TravelLimit{Place: p, Gap: g}
			if in.has("least") {
				l.Least = units.Some(units.AtLeast(in.length("least"), stated))
			}
			t := valvetrain.Travel{Lift: measured(in, "lift", "u_lift"), OverTravel: measured(in, "over", "u_over"), Limits: []valvetrain.TravelLimit{l}}
			r, err := t.Check()
			if err != nil {
				return Answer{}, err
			}
			// The same gap asked for by itself.
			if d, err := g.GapAt(t.Lift.Value); err != nil || d.Gap.Value != r.Checks[0].AtLift.Value {
				return Answer{}, fmt.Errorf("%v by itself, %v in the report: %w", d.Gap.Value, r.Checks[0].AtLift.Value, err)
			}
			return f(in, r.Checks[0]), nil
		}, append(symbols, "Travel.Check")...)
	}
	check("gap in the valve gear with over-travel", func(in *inputs, c valvetrain.TravelCheck) Answer { return in.inUnit(c.AtMost.Value) },
		"ClosingGap.GapAt", "RockerSlot.GapAt", "PushrodHole.GapAt", "GapReadings.GapAt", "Nest.BindGap")
	check("uncertainty of a gap in the valve gear", func(in *inputs, c valvetrain.TravelCheck) Answer { return in.inUnit(c.AtMost.U) },
		"ClosingGap.GapAt", "RockerSlot.GapAt", "PushrodHole.GapAt", "GapReadings.GapAt")
	check("lift left to a limit in the valve gear", func(in *inputs, c valvetrain.TravelCheck) Answer { return in.inUnit(c.Left.Value) }, "ClosingGap.GapAt", "RockerSlot.GapAt")
	check("verdict on a gap in the valve gear", func(_ *inputs, c valvetrain.TravelCheck) Answer { return outcome(c.Verdict) })
	add("swing of a rocker with its tip arm square at half lift", func(in *inputs) (Answer, error) {
		lift, arm := in.length("lift"), in.length("arm")
		half := valvetrain.PlaneAngle(math.Asin(lift.Meters() / (2 * arm.Meters())))
		turn, err := valvetrain.RockerSlot{Slot: units.Unstated(2 * units.Inch), Stud: units.Unstated(units.Inch), TipArm: arm, TipClosed: -half}.TurnAt(lift)
		return Number(turn.Degrees()), err
	}, "RockerSlot.TurnAt")
	add("limit that is reached first", func(in *inputs) (Answer, error) {
		bind, err := bindGap(in)
		if err != nil {
			return Answer{}, err
		}
		r, err := valvetrain.Travel{Lift: units.Unstated(in.length("lift")), Limits: []valvetrain.TravelLimit{
			{Place: valvetrain.CoilBind, Gap: bind, Least: units.Some(units.AtLeast(in.length("bind"), stated))},
			{Place: valvetrain.RetainerToSeal, Gap: valvetrain.ClosingGap(measured(in, "closed", "u")), Least: units.Some(units.AtLeast(in.length("seal"), stated))},
		}}.Check()
		if err != nil {
			return Answer{}, err
		}
		return Text(r.Checks[r.First].Place.String()), nil
	}, "Travel.Check", "Nest.BindGap")
	add("least gap by the rule of the trade", func(in *inputs) (Answer, error) {
		l, err := valvetrain.TravelRule(travelPlace(in))
		return in.inUnit(l.Min), err
	}, "TravelRule")
}
