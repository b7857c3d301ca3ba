package evaluation

import (
	"errors"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
	"example.com/trialfit/valvetrain"
)

func (in *inputs) mass(name string) units.Mass {
	if !in.has(name) {
		return 0
	}
	return read(in, name, units.ParseMass)
}

func (in *inputs) spin(name string) units.AngularSpeed {
	return read(in, name, units.ParseAngularSpeed)
}

// lobeOf reads a lobe of arcs or, where the row names a law, one in closed form.
func lobeOf(in *inputs) (camtiming.MotionCurve, error) {
	if in.has("law") {
		return lawLobe(in, "")
	}
	return arcLobe(in)
}

func movingMasses(in *inputs) valvetrain.MovingMasses {
	pushrod := "pushrod"
	if in.has("pushrod mass") { // beside the length of one
		pushrod = "pushrod mass"
	}
	m := valvetrain.MovingMasses{
		Valve: in.mass("valve"), Retainer: in.mass("retainer"), Keepers: in.mass("keepers"), Cap: in.mass("cap"), Spring: in.mass("springs"),
		Rocker: valvetrain.Lever{Mass: in.mass("rocker")}, Pushrod: in.mass(pushrod), Lifter: in.mass("lifter"),
	}
	if m.Rocker.Mass > 0 {
		m.Rocker.Gyration, m.Rocker.ValveArm = in.length("gyration"), in.optionalLength("arm")
	}
	return m
}

func dynamicsOf(in *inputs) (*valvetrain.Dynamics, error) {
	lobe, err := lobeOf(in)
	if err != nil {
		return nil, err
	}
	s := valvetrain.DynamicsSpec{Curve: lobe, Installed: in.length("installed"), Masses: movingMasses(in)}
	switch {
	case in.has("cam arm"):
		if s.Curve, err = fingerOf(in, lobe); err != nil {
			return nil, err
		}
	case in.has("pushrod arm"):
		s.Gear, s.Lash = in.linkage(), units.Some(in.length("lash"))
	default:
		s.Gear = valvetrain.ConstantRatio{Ratio: in.float("gear"), Lash: in.length("lash")}
	}
	spring := valvetrain.LinearSpring{Height: s.Installed, Force: units.Unstated(in.force("force")), Rate: units.Unstated(in.stiffness("rate"))}
	if in.has("u force") {
		spring.Force, spring.Rate = units.WithU(spring.Force.Value, in.force("u force")), units.WithU(spring.Rate.Value, in.stiffness("u rate"))
	}
	s.Spring = spring
	if in.err != nil {
		return nil, in.err
	}
	return valvetrain.NewDynamics(s)
}

func turningOf(in *inputs) (valvetrain.Turning, error) {
	d, err := dynamicsOf(in)
	if err != nil {
		return valvetrain.Turning{}, err
	}
	return d.Turning(in.spin("cam"))
}

func surfacesOf(in *inputs) valvetrain.Surfaces {
	return valvetrain.Surfaces{
		First:  valvetrain.Elastic{Young: in.pressure("E1"), Poisson: in.float("nu1")},
		Second: valvetrain.Elastic{Young: in.pressure("E2"), Poisson: in.float("nu2")},
	}
}

// valvetrainDynamics computes the rows of valve_dynamics.csv.
func valvetrainDynamics(add adder) {
	add("join of a lobe", func(in *inputs) (Answer, error) {
		lobe, err := lobeOf(in)
		if err != nil {
			return Answer{}, err
		}
		j, err := camtiming.Joins(lobe)
		if err != nil {
			return Answer{}, err
		}
		i := in.int("index")
		if i < 0 {
			i += len(j)
		}
		if i < 0 || i >= len(j) {
			return Answer{}, errors.New("no such join")
		}
		return Number(j[i].Degrees()), nil
	}, "camtiming.Joins")
	mass := func(quantity string, f func(valvetrain.EffectiveMass) units.Mass) {
		add(quantity, func(in *inputs) (Answer, error) {
			e, err := movingMasses(in).AtValve(in.float("gear"))
			return Number(f(e).Grams()), err
		}, "MovingMasses.AtValve")
	}
	mass("effective mass at the valve", func(e valvetrain.EffectiveMass) units.Mass { return e.Total })
	mass("share of the springs in the effective mass", func(e valvetrain.EffectiveMass) units.Mass { return e.Spring })
	mass("share of the rocker in the effective mass", func(e valvetrain.EffectiveMass) units.Mass { return e.Rocker })
	mass("share of the lifter side in the effective mass", func(e valvetrain.EffectiveMass) units.Mass { return e.Lifter })
	float := func(quantity string, f func(valvetrain.Float) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			d, err := dynamicsOf(in)
			if err != nil {
				return Answer{}, err
			}
			fl, err := d.Float()
			return Number(f(fl)), err
		}, "Dynamics.Float", "NewDynamics")
	}
	float("float speed of the cam", func(f valvetrain.Float) float64 { return f.Cam.Value.RevolutionsPerMinute() })
	float("float speed of the crank", func(f valvetrain.Float) float64 { return f.Crank.Value.RevolutionsPerMinute() })
	float("uncertainty of the float speed of the cam", func(f valvetrain.Float) float64 { return f.Cam.U.RevolutionsPerMinute() })
	float("place of the float speed", func(f valvetrain.Float) float64 { return f.At.Degrees() })
	at := func(quantity string, f func(valvetrain.ValveForces) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			t, err := turningOf(in)
			return Number(f(t.At(in.cam("angle")))), err
		}, "Turning.At", "Dynamics.Turning", "NewDynamics")
	}
	at("force on the lobe", func(f valvetrain.ValveForces) float64 { return float64(f.AtCam) })
	at("force on the valve tip", func(f valvetrain.ValveForces) float64 { return float64(f.AtTip) })
	at("speed of the valve", func(f valvetrain.ValveForces) float64 { return float64(f.Velocity) })
	at("acceleration of the valve", func(f valvetrain.ValveForces) float64 { return float64(f.Acceleration) })
	at("torque of the cam", func(f valvetrain.ValveForces) float64 { return float64(f.Torque) })
	at("spring cover", func(f valvetrain.ValveForces) float64 { return f.Cover })
	limits := func(quantity string, f func(valvetrain.TurningLimits) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			t, err := turningOf(in)
			if err != nil {
				return Answer{}, err
			}
			l, err := t.Limits()
			if err != nil {
				return Answer{}, err
			}
			return Number(f(l)), nil
		}, "Turning.Limits", "Dynamics.Turning")
	}
	limits("least force on the lobe", func(l valvetrain.TurningLimits) float64 { return float64(l.LeastAtCam.Force.Value) })
	limits("uncertainty of the least force on the lobe", func(l valvetrain.TurningLimits) float64 { return float64(l.LeastAtCam.Force.U) })
	limits("uncertainty of the least spring cover", func(l valvetrain.TurningLimits) float64 { return l.CoverU.Value })
	limits("greatest force on the lobe", func(l valvetrain.TurningLimits) float64 { return float64(l.GreatestAtCam.Force.Value) })
	limits("least spring cover", func(l valvetrain.TurningLimits) float64 { return l.Cover })
	lost := func(l valvetrain.TurningLimits) camtiming.Stretch {
		if len(l.Lost) == 1 {
			return l.Lost[0]
		}
		return camtiming.Stretch{}
	}
	limits("start of lost contact", func(l valvetrain.TurningLimits) float64 { return lost(l).From.Degrees() })
	limits("end of lost contact", func(l valvetrain.TurningLimits) float64 { return lost(l).To.Degrees() })
	limits("greatest torque of the cam", func(l valvetrain.TurningLimits) float64 { return float64(l.Greatest.Torque) })
	limits("mean torque of the cam", func(l valvetrain.TurningLimits) float64 { return float64(l.Mean) })
	limits("energy stored in the springs", func(l valvetrain.TurningLimits) float64 { return float64(l.Stored) })
	limits("seating speed of stiff parts", func(l valvetrain.TurningLimits) float64 { return float64(l.Seating) })
	valvetrainContact(add)
	valvetrainResponse(add)
}

func valvetrainContact(add adder) {
	contact := func(in *inputs) (*valvetrain.CamContact, error) {
		t, err := turningOf(in)
		if err != nil {
			return nil, err
		}
		f := valvetrain.CamFollower{
			Roller: optionalLength(in, "roller").Value, Width: in.length("width"), Crown: in.length("crown"),
			Surfaces: surfacesOf(in), Friction: in.float("friction"),
		}
		if !in.has("cam arm") { // a finger has its own
			f.Base = in.length("base")
		}
		if in.err != nil {
			return nil, in.err
		}
		return t.Contact(f)
	}
	at := func(quantity string, f func(valvetrain.CamPoint) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			c, err := contact(in)
			if err != nil {
				return Answer{}, err
			}
			return Number(f(c.At(in.cam("angle")))), nil
		}, "CamContact.At", "Turning.Contact")
	}
	at("contact pressure at the lobe", func(p valvetrain.CamPoint) float64 { return p.Peak.Megapascals() })
	at("friction torque at the lobe", func(p valvetrain.CamPoint) float64 { return float64(p.Friction) })
	at("side load of a roller", func(p valvetrain.CamPoint) float64 { return float64(p.Side) })
	at("normal force at the lobe", func(p valvetrain.CamPoint) float64 { return float64(p.Normal) })
	limits := func(quantity string, f func(valvetrain.CamLimits) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			c, err := contact(in)
			if err != nil {
				return Answer{}, err
			}
			l, err := c.Limits()
			return Number(f(l)), err
		}, "CamContact.Limits", "Turning.Contact")
	}
	limits("greatest contact pressure at the lobe", func(l valvetrain.CamLimits) float64 { return l.Peak.Pressure.Value.Megapascals() })
	limits("uncertainty of the greatest contact pressure at the lobe", func(l valvetrain.CamLimits) float64 { return l.Peak.Pressure.U.Megapascals() })
	limits("uncertainty of the greatest side load of the lobe", func(l valvetrain.CamLimits) float64 { return float64(l.Side.Force.U) })
	limits("greatest side load of the lobe", func(l valvetrain.CamLimits) float64 { return float64(l.Side.Force.Value) })
	limits("energy lost to friction at the lobe", func(l valvetrain.CamLimits) float64 { return float64(l.Loss) })
	limits("mean torque with friction at the lobe", func(l valvetrain.CamLimits) float64 { return float64(l.Mean) })
	face := func(quantity string, f func(*inputs, valvetrain.FaceMargin) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			lobe, err := lobeOf(in)
			if err != nil {
				return Answer{}, err
			}
			c, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: lobe, Base: in.length("base")})
			if err != nil {
				return Answer{}, err
			}
			s := valvetrain.FlatFace{
				Contact: c, Face: units.Unstated(in.length("face")), Chamfer: in.length("chamfer"), Lobe: in.length("lobe"), Offset: in.length("offset"),
			}
			if in.has("u face") {
				s.Face = units.WithU(s.Face.Value, in.length("u face"))
			}
			if in.has("least") {
				s.Limits = units.Some(units.AtLeast(in.length("least"), stated))
			}
			m, err := s.Margin()
			return f(in, m), err
		}, "FlatFace.Margin")
	}
	face("least margin of a flat face", func(in *inputs, m valvetrain.FaceMargin) Answer { return in.inUnit(m.Least.Value) })
	face("margin of a flat face on the closing flank", func(in *inputs, m valvetrain.FaceMargin) Answer { return in.inUnit(m.Closing) })
	face("largest slope on a flat face", func(_ *inputs, m valvetrain.FaceMargin) Answer { return Number(m.Largest.InchesPerCamDegree()) })
	face("verdict on a flat face", func(_ *inputs, m valvetrain.FaceMargin) Answer { return outcome(m.Verdict) })
}

func valvetrainResponse(add adder) {
	response := func(quantity string, f func(*inputs, valvetrain.Response) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			t, err := turningOf(in)
			if err != nil {
				return Answer{}, err
			}
			r, err := t.Response(valvetrain.FlexibleTrain{Stiffness: in.stiffness("stiffness"), Damping: in.float("damping")})
			return Number(f(in, r)), err
		}, "Turning.Response")
	}
	point := func(f func(valvetrain.ResponsePoint) float64) func(*inputs, valvetrain.Response) float64 {
		return func(in *inputs, r valvetrain.Response) float64 {
			a := in.cam("angle")
			for _, p := range r.Points {
				if p.At == a {
					return f(p)
				}
			}
			if in.err == nil {
				in.err = errors.New("no point at that angle")
			}
			return 0
		}
	}
	response("lift of a flexible train", point(func(p valvetrain.ResponsePoint) float64 { return p.Lift.Millimeters() }))
	response("force of a flexible train", point(func(p valvetrain.ResponsePoint) float64 { return float64(p.Force) }))
	response("speed of a flexible train", point(func(p valvetrain.ResponsePoint) float64 { return float64(p.Speed) }))
	response("largest gap of a flexible train", func(_ *inputs, r valvetrain.Response) float64 { return r.LargestGap.Millimeters() })
	response("angle of lost contact of a flexible train", func(_ *inputs, r valvetrain.Response) float64 { return r.LostAt.Degrees() })
	response("angle at which a flexible train seats", func(_ *inputs, r valvetrain.Response) float64 { return r.Closes.Degrees() })
	response("seating speed of a flexible train", func(_ *inputs, r valvetrain.Response) float64 { return float64(r.Seating) })
}

// valvetrainHertz computes the rows of hertz.csv.
func valvetrainHertz(add adder) {
	line := func(quantity string, f func(valvetrain.HertzLine) any) {
		add(quantity, func(in *inputs) (Answer, error) {
			h, err := valvetrain.LineContact{
				Force: in.force("force"), Length: in.length("length"), First: in.length("first"), Second: in.length("second"), Surfaces: surfacesOf(in),
			}.Hertz()
			return in.inUnit(f(h)), err
		}, "LineContact.Hertz")
	}
	line("peak pressure of a line contact", func(h valvetrain.HertzLine) any { return h.Peak })
	line("greatest shear of a line contact", func(h valvetrain.HertzLine) any { return h.Shear })
	line("half width of a line contact", func(h valvetrain.HertzLine) any { return h.HalfWidth })
	alloys := func(quantity string, f func(valvetrain.HertzLine) any) {
		add(quantity, func(in *inputs) (Answer, error) {
			of := func(name string) valvetrain.Elastic {
				a, err := material.ParseAlloy(in.text(name))
				if err == nil {
					var m material.Material
					if m, err = a.Material(); err == nil {
						var e valvetrain.Elastic
						if e, err = valvetrain.ElasticOf(m); err == nil {
							return e
						}
					}
				}
				if in.err == nil {
					in.err = err
				}
				return valvetrain.Elastic{}
			}
			h, err := valvetrain.LineContact{
				Force: in.force("force"), Length: in.length("length"), First: in.length("first"), Second: in.length("second"),
				Surfaces: valvetrain.Surfaces{First: of("first alloy"), Second: of("second alloy")},
			}.Hertz()
			return in.inUnit(f(h)), err
		}, "ElasticOf", "LineContact.Hertz")
	}
	alloys("half width of a line contact of two alloys", func(h valvetrain.HertzLine) any { return h.HalfWidth })
	alloys("peak pressure of a line contact of two alloys", func(h valvetrain.HertzLine) any { return h.Peak })
	point := func(quantity string, f func(valvetrain.HertzPoint) any) {
		add(quantity, func(in *inputs) (Answer, error) {
			h, err := valvetrain.PointContact{
				Force: in.force("force"), First: in.length("first"), Second: in.length("second"),
				FirstAcross: in.length("first across"), SecondAcross: in.length("second across"), Surfaces: surfacesOf(in),
			}.Hertz()
			return in.inUnit(f(h)), err
		}, "PointContact.Hertz")
	}
	point("peak pressure of a point contact", func(h valvetrain.HertzPoint) any { return h.Peak })
	point("half axis of a point contact in the plane of rolling", func(h valvetrain.HertzPoint) any { return h.Rolling })
	point("half axis of a point contact across", func(h valvetrain.HertzPoint) any { return h.Across })
	point("approach of a point contact", func(h valvetrain.HertzPoint) any { return h.Approach })
}
