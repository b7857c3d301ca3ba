package evaluation

import (
	"math"
	"strconv"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func planeAngle(in *inputs, name string) valvetrain.PlaneAngle {
	return valvetrain.PlaneDegrees(in.float(name))
}

// valveHead reads a valve head whose inputs carry a suffix.
func valveHead(in *inputs, s string) valvetrain.ValveHead {
	h := valvetrain.ValveHead{
		Diameter: units.Unstated(in.length("diameter" + s)), Margin: in.length("margin" + s),
		Lean: planeAngle(in, "lean"+s), Cant: planeAngle(in, "cant"+s),
	}
	if p := list(in, "place"+s, units.ParseLength); len(p) == 3 {
		h.Center = valvetrain.HeadPlace{X: p[0], Y: p[1], Z: p[2]}
	}
	if in.has("face" + s) {
		h.FaceWidth, h.FaceAngle = in.length("face"+s), planeAngle(in, "angle"+s)
	}
	if in.has("u_place" + s) {
		h.Diameter = units.WithU(h.Diameter.Value, in.length("u_diameter"+s))
		h.CenterU = units.Some(in.length("u_place" + s))
	}
	return h
}

func valvetrainHeads(add adder) {
	add("sine of a plane angle", func(in *inputs) (Answer, error) {
		return Number(math.Sin(float64(valvetrain.PlaneDegrees(planeAngle(in, "angle").Degrees())))), nil
	}, "PlaneDegrees", "PlaneAngle.Degrees")
	pair := func(in *inputs) valvetrain.HeadPair {
		return valvetrain.HeadPair{Intake: valveHead(in, "_i"), Exhaust: valveHead(in, "_e")}
	}
	at := func(in *inputs) (valvetrain.HeadGap, error) {
		return pair(in).At(valvetrain.HeadLifts{Intake: in.length("lift_i"), Exhaust: in.length("lift_e")})
	}
	add("gap between two valve heads", func(in *inputs) (Answer, error) {
		g, err := at(in)
		if g.Clearance() != g.Gap.Value {
			return Text("overlap"), err
		}
		return in.inUnit(g.Gap.Value), err
	}, "HeadPair.At", "HeadGap.Clearance")
	add("clearance of two valve heads at given lifts", func(in *inputs) (Answer, error) {
		g, err := at(in)
		return in.inUnit(g.Clearance()), err
	}, "HeadPair.At", "HeadGap.Clearance")
	add("uncertainty of the gap between two valve heads", func(in *inputs) (Answer, error) {
		g, err := at(in)
		return in.inUnit(g.Gap.U), err
	}, "HeadPair.At")
	mount := func(in *inputs) (*valvetrain.MovingHeads, error) {
		lobe := func(s string) (camtiming.LiftCurve, error) {
			f := in.cam("flank" + s)
			return camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Cycloidal, MaxLift: in.length("lift" + s), Opening: f, Closing: f})
		}
		i, err := lobe("_i")
		if err != nil {
			return nil, err
		}
		e, err := lobe("_e")
		if err != nil {
			return nil, err
		}
		// The cam of the row has another separation, so that the installation's counts.
		c, err := camtiming.NewCam(camtiming.CamSpec{Intake: i, Exhaust: e, Separation: 100 * units.CamDegree})
		if err != nil {
			return nil, err
		}
		t := valvetrain.HeadTiming{Cam: c, Installation: camtiming.Installation{
			Advance: in.crank("advance"), Separation: units.Some(in.cam("separation")),
			Intake:  camtiming.ValveGear{Ratio: in.float("ratio"), Lash: in.length("lash_i")},
			Exhaust: camtiming.ValveGear{Ratio: in.float("ratio"), Lash: in.length("lash_e")},
		}}
		p := pair(in)
		if in.has("least") {
			t.Least = units.Some(units.AtLeast(in.length("least"), stated))
			for _, h := range []*valvetrain.ValveHead{&p.Intake, &p.Exhaust} {
				h.Diameter.Stated = true
				h.CenterU = units.Some(units.Length(0))
			}
			p.Exhaust.CenterU = units.Some(in.length("u"))
		}
		if in.err != nil {
			return nil, in.err
		}
		return p.Mount(t)
	}
	moving := func(quantity string, f func(*inputs, *valvetrain.MovingHeads) Answer, symbols ...string) {
		add(quantity, func(in *inputs) (Answer, error) {
			m, err := mount(in)
			if err != nil {
				return Answer{}, err
			}
			return f(in, m), nil
		}, append(symbols, "HeadPair.Mount")...)
	}
	moving("intake valve lift at a crank angle", func(in *inputs, m *valvetrain.MovingHeads) Answer { return in.inUnit(m.Lifts(in.crank("at")).Intake) }, "MovingHeads.Lifts")
	moving("gap between two valve heads at a crank angle", func(in *inputs, m *valvetrain.MovingHeads) Answer { return in.inUnit(m.At(in.crank("at")).Gap.Value) }, "MovingHeads.At")
	nearest := func(quantity string, f func(*inputs, valvetrain.HeadClearance) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			m, err := mount(in)
			if err != nil {
				return Answer{}, err
			}
			c, err := m.Closest()
			if err != nil {
				return Answer{}, err
			}
			return f(in, c), nil
		}, "HeadPair.Mount", "MovingHeads.Closest")
	}
	nearest("least gap between two valve heads on a cam", func(in *inputs, c valvetrain.HeadClearance) Answer { return in.inUnit(c.Clearance.Value) })
	nearest("crank angle of the least gap between two valve heads", func(_ *inputs, c valvetrain.HeadClearance) Answer { return Number(c.At.Degrees()) })
	nearest("verdict on two valve heads on a cam", func(_ *inputs, c valvetrain.HeadClearance) Answer { return outcome(c.Verdict) })
	touch := func(c valvetrain.HeadClearance, f func(valvetrain.CrankSpan) units.CrankAngle) Answer {
		if len(c.Touch) != 1 {
			return Text(strconv.Itoa(len(c.Touch)) + " stretches")
		}
		return Number(f(c.Touch[0]).Degrees())
	}
	nearest("crank angle at which two valve heads begin to touch", func(_ *inputs, c valvetrain.HeadClearance) Answer {
		return touch(c, func(s valvetrain.CrankSpan) units.CrankAngle { return s.From })
	})
	nearest("crank angle at which two valve heads cease to touch", func(_ *inputs, c valvetrain.HeadClearance) Answer {
		return touch(c, func(s valvetrain.CrankSpan) units.CrankAngle { return s.To })
	})
}
