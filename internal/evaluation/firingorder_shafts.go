package evaluation

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// firingorderShafts computes the rows of cams_ignition.csv.
func firingorderShafts(add adder) {
	on := func(f func(*inputs, *firingorder.Engine) (Answer, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			e, err := rowEngine(in)
			if err != nil {
				return Answer{}, err
			}
			return f(in, e)
		}
	}
	add("where every cylinder stands", on(func(in *inputs, e *firingorder.Engine) (Answer, error) {
		p, err := e.AppendPhases(nil, in.crank("engine"))
		s := make([]string, len(p))
		for i, x := range p {
			s[i] = fmt.Sprintf("%d %s %s", i+1, shortest(x.Angle.Degrees()), x.Stroke)
		}
		return Text(strings.Join(s, ", ")), err
	}), "Engine.AppendPhases", "Engine.PhaseAt")
	add("next cylinder to fire", on(func(in *inputs, e *firingorder.Engine) (Answer, error) {
		n, err := e.NextToFire(in.crank("engine"))
		return Text(fmt.Sprintf("%d in %s", n.Cylinder, shortest(n.In.Degrees()))), err
	}), "Engine.NextToFire")
	add("coil pairs with a lost spark", on(func(_ *inputs, e *firingorder.Engine) (Answer, error) {
		pairs, err := e.LostSparkPairs()
		if err != nil {
			return refusal(err, func(e *units.InputError) string { return e.Field + " " + e.Value })
		}
		s := make([]string, len(pairs))
		for i, p := range pairs {
			s[i] = fmt.Sprintf("%d&%d", p.First, p.Second)
		}
		return Text(strings.Join(s, " ")), nil
	}), "Engine.LostSparkPairs")
	rotor := func(in *inputs) firingorder.Rotation {
		return map[string]firingorder.Rotation{"clockwise": firingorder.Clockwise, "counter-clockwise": firingorder.CounterClockwise}[in.text("rotor")]
	}
	add("speed of a distributor rotor", on(func(_ *inputs, e *firingorder.Engine) (Answer, error) {
		d, err := e.Distributor(firingorder.Clockwise)
		return Number(d.SpeedRatio), err
	}), "Engine.Distributor")
	add("angle between the terminals of a cap", func(in *inputs) (Answer, error) {
		e, err := evenLine(in)
		if err != nil {
			return Answer{}, err
		}
		d, err := e.Distributor(firingorder.Clockwise)
		if err != nil {
			return Answer{}, err
		}
		step := turnDegrees(d.Terminals[1].FromOne)
		for i, t := range d.Terminals {
			if turnDegrees(t.FromOne) != step*float64(i) {
				return Answer{}, fmt.Errorf("terminal %d at %s", t.Cylinder, t.FromOne)
			}
		}
		return Number(step), nil
	}, "Engine.Distributor")
	add("terminals of a cap, degrees clockwise", on(func(in *inputs, e *firingorder.Engine) (Answer, error) {
		d, err := e.Distributor(rotor(in))
		s := make([]string, len(d.Terminals))
		for i, t := range d.Terminals {
			s[i] = fmt.Sprintf("%d at %s", t.Cylinder, shortest(turnDegrees(t.Clockwise)))
		}
		return Text(strings.Join(s, ", ")), err
	}), "Engine.Distributor")
	add("lobe of a cylinder on the cam", on(func(in *inputs, e *firingorder.Engine) (Answer, error) {
		l, err := rowLobe(in, e)
		if err == nil && l.Intake != l.Exhaust {
			err = fmt.Errorf("intake at %s, exhaust at %s", l.Intake, l.Exhaust)
		}
		return Number(l.Intake.Degrees()), err
	}), "Engine.CamLobes")
	add("sequence of the intake lobes on a cam", on(func(in *inputs, e *firingorder.Engine) (Answer, error) {
		lobes, err := rowLobes(in, e)
		s := make([]string, len(lobes))
		for i, l := range lobes {
			s[i] = fmt.Sprintf("%d %s", l.Cylinder, shortest(l.Intake.Degrees()))
		}
		return Text(strings.Join(s, ", ")), err
	}), "Engine.CamLobes")
	add("lag of a lobe", on(func(in *inputs, e *firingorder.Engine) (Answer, error) {
		l, err := rowLobe(in, e)
		return Number(l.Lag.Degrees()), err
	}), "Engine.CamLobes")
	add("exhaust lobe from the intake lobe of cylinder 1", on(func(in *inputs, e *firingorder.Engine) (Answer, error) {
		l, err := rowLobe(in, e)
		if err != nil {
			return Answer{}, err
		}
		a, err := l.ExhaustAt(in.cam("separation"))
		return Number(a.Degrees()), err
	}), "CamLobe.ExhaustAt", "Engine.CamLobes")
	add("angle between like lobes of successive cylinders", func(in *inputs) (Answer, error) {
		e, err := evenLine(in)
		if err != nil {
			return Answer{}, err
		}
		lobes, err := e.CamLobes(firingorder.CamConfig{Direction: firingorder.WithCrank})
		if err != nil {
			return Answer{}, err
		}
		step := units.CamTurn - lobes[1].Intake
		for i, l := range lobes {
			if (l.Intake+units.CamAngle(i)*step)%units.CamTurn != 0 {
				return Answer{}, fmt.Errorf("lobe of cylinder %d at %s", l.Cylinder, l.Intake)
			}
		}
		return Number(step.Degrees()), nil
	}, "Engine.CamLobes")
	add("crank error of a lobe error", func(in *inputs) (Answer, error) {
		return Number(in.cam("error").Crank().Degrees()), nil
	}, "units.CamAngle.Crank")
	ring := func(f func(firingorder.CamRing) Answer) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			n, d := in.int("cylinders"), camDirection(in)
			if in.err != nil {
				return Answer{}, in.err
			}
			r, err := firingorder.RadialCamRing(n, d)
			if err != nil {
				return refusal(err, kindOnly)
			}
			return f(r), nil
		}
	}
	add("lobes of a radial cam ring", ring(func(r firingorder.CamRing) Answer { return Number(float64(r.Lobes)) }), "RadialCamRing")
	add("speed of a radial cam ring", ring(func(r firingorder.CamRing) Answer { return Text("1/" + strconv.Itoa(r.SpeedDivisor)) }), "RadialCamRing")
	add("lobe pitch of a radial cam ring", ring(func(r firingorder.CamRing) Answer { return Number(turnDegrees(r.LobePitch)) }), "RadialCamRing")
	add("step to the next cylinder of a radial row", ring(func(r firingorder.CamRing) Answer { return Number(turnDegrees(r.CylinderStep)) }), "RadialCamRing")
	add("turn of a radial cam ring from cylinder to cylinder", ring(func(r firingorder.CamRing) Answer { return Number(turnDegrees(r.RingStep)) }), "RadialCamRing")
}

func camDirection(in *inputs) firingorder.CamDirection {
	return map[string]firingorder.CamDirection{"with": firingorder.WithCrank, "against": firingorder.AgainstCrank}[in.text("direction")]
}

func rowLobes(in *inputs, e *firingorder.Engine) ([]firingorder.CamLobe, error) {
	c := firingorder.CamConfig{Direction: camDirection(in)}
	if in.has("cam_banks") {
		c.Banks = strings.Fields(in.text("cam_banks"))
	}
	if in.has("followers") {
		axes, err := wholeDegrees(in.text("followers"))
		if err != nil {
			return nil, err
		}
		for b, t := range axes {
			c.Followers = append(c.Followers, firingorder.Follower{Bank: b, Intake: t, Exhaust: t})
		}
	}
	if in.err != nil {
		return nil, in.err
	}
	return e.CamLobes(c)
}

func rowLobe(in *inputs, e *firingorder.Engine) (firingorder.CamLobe, error) {
	lobes, err := rowLobes(in, e)
	if err != nil {
		return firingorder.CamLobe{}, err
	}
	cy := in.int("cylinder")
	k := slices.IndexFunc(lobes, func(l firingorder.CamLobe) bool { return l.Cylinder == cy })
	if in.err != nil || k < 0 {
		return firingorder.CamLobe{}, fmt.Errorf("cylinder %d has no lobe: %w", cy, in.err)
	}
	return lobes[k], nil
}
