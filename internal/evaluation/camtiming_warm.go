package evaluation

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

// loop reads a lash loop: ratio, lash and the members m1, m2, ..., each with
// its place, length, coefficient, cold and hot temperature and, if stated, the
// uncertainties of the last three.
func (in *inputs) loop(prefix, lash string) camtiming.LashLoop {
	places := map[string]camtiming.LoopPlace{}
	for p := camtiming.UnderPivotAndSeat; p <= camtiming.UnderCam; p++ {
		places[p.String()] = p
	}
	l := camtiming.LashLoop{Ratio: in.float(prefix + "ratio"), Lash: units.Unstated(in.length(prefix + lash))}
	if in.has(prefix + "u") {
		l.Lash = units.WithU(l.Lash.Value, in.length(prefix+"u"))
	}
	for i := 1; in.has(prefix + "m" + strconv.Itoa(i)); i++ {
		f := strings.Split(in.text(prefix+"m"+strconv.Itoa(i)), ", ")
		if len(f) != 5 && len(f) != 8 {
			in.err = fmt.Errorf("member %d has %d figures", i, len(f))
			return l
		}
		size, err1 := units.ParseLength(f[1])
		a, err2 := units.ParseExpansion(f[2])
		cold, err3 := units.ParseTemperature(f[3])
		hot, err4 := units.ParseTemperature(f[4])
		m := camtiming.LoopMember{Name: f[0], Place: places[f[0]], Hot: units.Unstated(hot), Part: material.Part{
			Size: units.Unstated(size), Cold: units.Unstated(cold), Expansion: material.Expansion{
				Base: units.Celsius(20), Lowest: units.Celsius(-50), Highest: units.Celsius(700), Coefficient: units.Unstated(a),
				Source: units.Source{Text: "the row", Provenance: units.Stated},
			},
		}}
		if in.err = errors.Join(in.err, err1, err2, err3, err4); in.err != nil {
			return l
		}
		if len(f) == 8 {
			ua, err1 := units.ParseExpansion(f[5])
			uc, err2 := units.ParseTemperatureDifference(f[6])
			uh, err3 := units.ParseTemperatureDifference(f[7])
			in.err = errors.Join(in.err, err1, err2, err3)
			m.Part.Size = units.WithU(size, 0)
			m.Part.Expansion.Coefficient = units.WithU(a, ua)
			m.Part.Cold, m.Hot = units.WithU(cold, units.Kelvins(uc.Kelvins())), units.WithU(hot, units.Kelvins(uh.Kelvins()))
		}
		l.Members = append(l.Members, m)
	}
	return l
}

// camLash computes the rows of lash_ramp.csv.
func camLash(add adder) {
	hot := func(f func(camtiming.HotLash) units.Length) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			h, err := in.loop("", "lash").Hot()
			return Number(f(h).Millimeters()), err
		}
	}
	add("lash in the running engine", hot(func(h camtiming.HotLash) units.Length { return h.Lash.Value }), "LashLoop.Hot")
	add("uncertainty of the lash in the running engine", hot(func(h camtiming.HotLash) units.Length { return h.Lash.U }), "LashLoop.Hot")
	add("change of lash on warming", hot(func(h camtiming.HotLash) units.Length { return h.Change.Value }), "LashLoop.Hot")
	add("cold lash for a hot one", func(in *inputs) (Answer, error) {
		l, err := in.loop("", "hot").ColdFor(in.length("hot"))
		return Number(l.Value.Millimeters()), err
	}, "LashLoop.ColdFor")
	warm := func(in *inputs) (camtiming.WarmUp, error) {
		c, err := changeCam(in)
		if err != nil {
			return camtiming.WarmUp{}, err
		}
		return c.WarmUp(camtiming.WarmUpInput{
			CheckLift: in.length("check"), Advance: in.crank("advance"), Intake: in.loop("i-", "lash"), Exhaust: in.loop("e-", "lash"),
		})
	}
	add("event in the running engine", func(in *inputs) (Answer, error) {
		w, err := warm(in)
		if err != nil {
			return Answer{}, err
		}
		if _, err := w.Intake.Gear(); err != nil {
			return Answer{}, err
		}
		return eventOf(in, w.Timing.After.Events)
	}, "Cam.WarmUp", "HotLash.Gear", "LashLoop.Hot")
	add("exhaust duration in the running engine", func(in *inputs) (Answer, error) {
		w, err := warm(in)
		if err != nil {
			return Answer{}, err
		}
		_, err = w.Exhaust.Gear()
		return Number(w.Timing.After.Timing.ExhaustDuration.Degrees()), err
	}, "Cam.WarmUp", "HotLash.Gear", "LashLoop.Hot")

	lobe := func(in *inputs) (*camtiming.RampLobe, error) {
		l, err := lawLobe(in, "")
		if err != nil {
			return nil, err
		}
		ramp := func(p string) camtiming.Ramp {
			return camtiming.Ramp{Height: in.length(p + "height"), Length: in.cam(p + "length"), Start: in.cam(p + "start"), Blend: in.cam(p + "blend")}
		}
		s := camtiming.RampLobeSpec{Lobe: l, Opening: ramp("o-"), Closing: ramp("c-")}
		if in.err != nil {
			return nil, in.err
		}
		return camtiming.NewRampLobe(s)
	}
	ramped := func(f func(*inputs, *camtiming.RampLobe) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := lobe(in)
			if err != nil {
				return Answer{}, err
			}
			return Number(f(in, l)), nil
		}
	}
	add("lift of a lobe with ramps", ramped(func(in *inputs, l *camtiming.RampLobe) float64 { return l.Lift(in.cam("at")).Millimeters() }), "NewRampLobe", "RampLobe.Lift")
	add("velocity of a lobe with ramps", ramped(func(in *inputs, l *camtiming.RampLobe) float64 {
		return l.Velocity(in.cam("at")).MillimetersPerCamDegree()
	}), "NewRampLobe", "RampLobe.Velocity")
	rampMotion := func(f func(camtiming.LobeMotion) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := lobe(in)
			if err != nil {
				return Answer{}, err
			}
			m, err := camtiming.MotionOf(l)
			if err != nil {
				return Answer{}, err
			}
			return Number(f(m.Motion(in.cam("at")))), nil
		}
	}
	add("acceleration of a lobe with ramps", rampMotion(func(m camtiming.LobeMotion) float64 { return float64(m.Acceleration) * 1000 }), "MotionOf", "RampLobe.Motion")
	add("jerk of a lobe with ramps", rampMotion(func(m camtiming.LobeMotion) float64 { return float64(m.Jerk) * 1000 }), "MotionOf", "RampLobe.Motion")
	add("lobe lift with ramps", ramped(func(_ *inputs, l *camtiming.RampLobe) float64 { return l.MaxLift().Millimeters() }), "NewRampLobe", "RampLobe.MaxLift")
	add("closing span of a lobe with ramps", ramped(func(_ *inputs, l *camtiming.RampLobe) float64 { return l.Span().Closes.Degrees() }), "NewRampLobe", "RampLobe.Span")
	add("steady part of a ramp from", ramped(func(_ *inputs, l *camtiming.RampLobe) float64 { return l.Zones().Opening.From.Millimeters() }), "NewRampLobe", "RampLobe.Zones")
	add("steady part of a ramp to", ramped(func(_ *inputs, l *camtiming.RampLobe) float64 { return l.Zones().Opening.To.Millimeters() }), "NewRampLobe", "RampLobe.Zones")

	takeUp := func(in *inputs) (camtiming.TakeUp, error) {
		l, err := lobe(in)
		if err != nil {
			return camtiming.TakeUp{}, err
		}
		t := camtiming.TakeUpInput{
			Curve: l, Ratio: in.float("ratio"), Lash: units.Unstated(in.length("lash")), Ramps: l.Zones(),
			Source: units.Source{Text: "the row", Provenance: units.Stated},
		}
		if in.has("u") {
			t.Lash = units.WithU(t.Lash.Value, in.length("u"))
		}
		return camtiming.TakeUpOf(t)
	}
	number := func(f func(camtiming.TakeUp) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) { t, err := takeUp(in); return Number(f(t)), err }
	}
	add("lifter lift at take-up", number(func(t camtiming.TakeUp) float64 { return t.Lifter.Value.Millimeters() }), "TakeUpOf")
	add("velocity of the valve at take-up", number(func(t camtiming.TakeUp) float64 { return t.Impact.MillimetersPerCamDegree() }), "TakeUpOf")
	add("velocity of the valve at touchdown", number(func(t camtiming.TakeUp) float64 { return t.Touchdown.MillimetersPerCamDegree() }), "TakeUpOf")
	add("duration off the seat", number(func(t camtiming.TakeUp) float64 { return t.Duration.Value.Degrees() }), "TakeUpOf")
	add("uncertainty of the duration off the seat", number(func(t camtiming.TakeUp) float64 { return t.Duration.U.Degrees() }), "TakeUpOf")
	add("take-up on the opening ramp", func(in *inputs) (Answer, error) {
		t, err := takeUp(in)
		return Text(t.OnOpening.Value.Outcome.String()), err
	}, "TakeUpOf")
	add("take-up on the closing ramp", func(in *inputs) (Answer, error) {
		t, err := takeUp(in)
		return Text(t.OnClosing.Value.Outcome.String()), err
	}, "TakeUpOf")
	add("seating speed of the valve", func(in *inputs) (Answer, error) {
		t, err := takeUp(in)
		if err != nil {
			return Answer{}, err
		}
		v, err := t.SeatingSpeed(read(in, "speed", units.ParseAngularSpeed))
		return Number(v.MetersPerSecond()), err
	}, "TakeUp.SeatingSpeed", "TakeUpOf")

	hydraulic := func(f func(camtiming.HydraulicEvent) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := lawLobe(in, "")
			if err != nil {
				return Answer{}, err
			}
			e, err := camtiming.HydraulicLifter{Ratio: in.float("ratio"), Collapse: in.length("collapse")}.Event(l, in.length("check"))
			return Number(f(e)), err
		}
	}
	add("closing under a hydraulic lifter", hydraulic(func(e camtiming.HydraulicEvent) float64 { return e.Closes.Degrees() }), "HydraulicLifter.Event")
	add("earlier closing under a hydraulic lifter", hydraulic(func(e camtiming.HydraulicEvent) float64 { return e.Early.Degrees() }), "HydraulicLifter.Event")
	add("duration under a hydraulic lifter", hydraulic(func(e camtiming.HydraulicEvent) float64 { return e.Duration.Degrees() }), "HydraulicLifter.Event")
	add("touchdown velocity under a hydraulic lifter", hydraulic(func(e camtiming.HydraulicEvent) float64 { return e.Touchdown.MillimetersPerCamDegree() }), "HydraulicLifter.Event")
	add("least lift under a hydraulic lifter", hydraulic(func(e camtiming.HydraulicEvent) float64 { return e.LeastLift.Millimeters() }), "HydraulicLifter.Event")
}

// camRing computes the rows of cam_ring.csv.
func camRing(add adder) {
	rotations := map[string]firingorder.CamDirection{"with crank": firingorder.WithCrank, "against crank": firingorder.AgainstCrank}
	ring := func(in *inputs) camtiming.CamRing {
		return camtiming.CamRing{Lobes: in.int("lobes"), Rotation: rotations[in.text("rotation")]}
	}
	angle := func(in *inputs, name string) camtiming.RingAngle {
		a, err := camtiming.RingDegrees(in.float(name))
		in.err = errors.Join(in.err, err)
		return a
	}
	add("turn of a cam ring", func(in *inputs) (Answer, error) {
		a, err := ring(in).Ring(in.crank("crank"))
		return Number(a.Degrees()), err
	}, "CamRing.Ring", "RingAngle.Degrees")
	add("cam angle of a ring angle", func(in *inputs) (Answer, error) {
		a, err := ring(in).Cam(angle(in, "ring"))
		return Number(a.Degrees()), err
	}, "CamRing.Cam", "RingDegrees")
	add("crank angle of a ring angle", func(in *inputs) (Answer, error) {
		a, err := ring(in).Crank(angle(in, "ring"))
		return Number(a.Degrees()), err
	}, "CamRing.Crank", "RingDegrees")
	phase := func(f func(camtiming.FollowerPhase) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			p, err := ring(in).Phase(camtiming.RingFollower{Inclination: angle(in, "inclination"), Fires: in.crank("fires"), Lobe: angle(in, "lobe")})
			return Number(f(p)), err
		}
	}
	add("delay of an inclined follower", phase(func(p camtiming.FollowerPhase) float64 { return p.Delay.Degrees() }), "CamRing.Phase")
	add("lateness of an inclined follower", phase(func(p camtiming.FollowerPhase) float64 { return p.Late.Degrees() }), "CamRing.Phase")
	add("lobe of an inclined follower", phase(func(p camtiming.FollowerPhase) float64 { return p.Right.Degrees() }), "CamRing.Phase")

	lobe := func(in *inputs) (*camtiming.RingLobe, error) {
		l, err := lawLobe(in, "")
		if err != nil {
			return nil, err
		}
		return camtiming.NewRingLobe(camtiming.RingLobeSpec{Ring: ring(in), Lobe: l})
	}
	ringed := func(f func(*inputs, *camtiming.RingLobe) (Answer, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := lobe(in)
			if err != nil {
				return Answer{}, err
			}
			return f(in, l)
		}
	}
	add("lift of a ring lobe", ringed(func(in *inputs, l *camtiming.RingLobe) (Answer, error) {
		return Number(l.Lift(in.cam("at")).Millimeters()), nil
	}), "NewRingLobe", "RingLobe.Lift")
	add("velocity of a ring lobe", ringed(func(in *inputs, l *camtiming.RingLobe) (Answer, error) {
		return Number(l.Velocity(in.cam("at")).MillimetersPerCamDegree()), nil
	}), "NewRingLobe", "RingLobe.Velocity")
	add("duration of a ring lobe", ringed(func(in *inputs, l *camtiming.RingLobe) (Answer, error) {
		o, err := camtiming.OpeningAt(l, in.length("check"))
		return Number(o.Duration.Degrees()), err
	}), "NewRingLobe", "OpeningAt")
	add("lobe lift of a ring lobe", ringed(func(_ *inputs, l *camtiming.RingLobe) (Answer, error) {
		return Number(l.MaxLift().Millimeters()), nil
	}), "NewRingLobe", "RingLobe.MaxLift")
	add("closing span of a ring lobe", ringed(func(_ *inputs, l *camtiming.RingLobe) (Answer, error) {
		return Number(l.Span().Closes.Degrees()), nil
	}), "NewRingLobe", "RingLobe.Span")
	add("intake opening on a cam ring", ringed(func(in *inputs, l *camtiming.RingLobe) (Answer, error) {
		sep, err := ring(in).Cam(angle(in, "separation"))
		if err != nil {
			return Answer{}, err
		}
		c, err := camtiming.NewCam(camtiming.CamSpec{Intake: l, Exhaust: l, Separation: sep})
		if err != nil {
			return Answer{}, err
		}
		t, err := c.ValveTiming(camtiming.Installation{
			Advance: in.crank("advance"), Intake: camtiming.ValveGear{Ratio: 1}, Exhaust: camtiming.ValveGear{Ratio: 1},
		}, in.length("check"))
		return Number(t.Events.IVO.Degrees()), err
	}), "NewRingLobe", "CamRing.Cam")

	vernier := func(in *inputs) (camtiming.ToothMove, error) {
		d := camtiming.Drive{CrankTeeth: in.int("crank"), CamTeeth: in.int("cam")}
		if in.has("driven") {
			d.DrivenTeeth, d.DrivingTeeth = in.int("driven"), in.int("driving")
		}
		m, err := camtiming.Vernier(camtiming.VernierInput{Drive: d, Wanted: in.crank("wanted"), Most: in.int("most")})
		if err != nil {
			return camtiming.ToothMove{}, err
		}
		return m[0], nil
	}
	add("nearest tooth move", func(in *inputs) (Answer, error) {
		m, err := vernier(in)
		return Text(strconv.Itoa(m.CrankMesh) + "/" + strconv.Itoa(m.CamMesh)), err
	}, "Vernier")
	add("what the nearest tooth move leaves", func(in *inputs) (Answer, error) {
		m, err := vernier(in)
		return Number(m.Left.Degrees()), err
	}, "Vernier")
}
