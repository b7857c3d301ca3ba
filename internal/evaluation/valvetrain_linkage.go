package evaluation

import (
	"strconv"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func (in *inputs) plane(name string) valvetrain.PlaneAngle {
	return valvetrain.PlaneDegrees(in.float(name))
}

func (in *inputs) place(name string) valvetrain.Point {
	return valvetrain.Point{X: in.length(name + " x"), Y: in.length(name + " y")}
}

func (in *inputs) track(name string) valvetrain.Track {
	return valvetrain.Track{At: in.place(name), Direction: in.plane(name + " direction")}
}

func (in *inputs) linkage() valvetrain.Linkage {
	return valvetrain.Linkage{
		Lifter: in.track("lifter"), Pushrod: in.length("pushrod"), Valve: in.track("valve"),
		Rocker: valvetrain.Rocker{PushrodArm: in.length("pushrod arm"), TipArm: in.length("tip arm"), Between: in.plane("between"), TipRadius: in.length("tip radius")},
	}
}

// optionalLength is 0 where the row does not give it.
func (in *inputs) optionalLength(name string) units.Length {
	if !in.has(name) {
		return 0
	}
	return in.length(name)
}

func valvetrainLinkage(add adder) {
	add("plane angle in radians", func(in *inputs) (Answer, error) {
		a := in.plane("degrees")
		return Number(float64(a) + 0*a.Degrees()), nil
	}, "PlaneDegrees", "PlaneAngle.Degrees")
	state := func(quantity string, f func(*inputs, valvetrain.LinkageState) Answer, more ...string) {
		add(quantity, func(in *inputs) (Answer, error) {
			l := in.linkage()
			if in.err != nil {
				return Answer{}, in.err
			}
			s, err := l.At(in.length("lift"))
			return f(in, s), err
		}, append([]string{"Linkage.At"}, more...)...)
	}
	state("valve lift of a linkage", func(in *inputs, s valvetrain.LinkageState) Answer { return in.inUnit(s.Lift) })
	state("travel of a rocker tip", func(in *inputs, s valvetrain.LinkageState) Answer { return in.inUnit(s.Gross) })
	state("contact of a linkage", func(in *inputs, s valvetrain.LinkageState) Answer { return in.inUnit(s.Contact) })
	state("gap of a linkage", func(in *inputs, s valvetrain.LinkageState) Answer { return in.inUnit(s.Gap) })
	state("instantaneous ratio of a linkage", func(_ *inputs, s valvetrain.LinkageState) Answer { return Number(s.Ratio) })
	state("direction of a pushrod arm", func(_ *inputs, s valvetrain.LinkageState) Answer { return Number(s.Arm.Degrees()) }, "PlaneAngle.Degrees")
	state("turn of a rocker", func(_ *inputs, s valvetrain.LinkageState) Answer { return Number(s.Turn.Degrees()) }, "PlaneAngle.Degrees")
	state("tilt of a pushrod", func(_ *inputs, s valvetrain.LinkageState) Answer { return Number(s.Tilt.Degrees()) }, "PlaneAngle.Degrees")
	state("turn left until the tip arm is square", func(_ *inputs, s valvetrain.LinkageState) Answer { return Number(s.ToSquare.Degrees()) }, "PlaneAngle.Degrees")
	add("lifter lift for a valve lift", func(in *inputs) (Answer, error) {
		l, err := in.linkage().LifterFor(in.length("valve lift"))
		return in.inUnit(l), err
	}, "Linkage.LifterFor")
	add("lifter lift at which a linkage locks", func(in *inputs) (Answer, error) {
		l, err := in.linkage().LocksAt()
		return in.inUnit(l), err
	}, "Linkage.LocksAt")
	sweep := func(quantity string, f func(*inputs, valvetrain.ContactSweep) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			s, err := in.linkage().Sweep(in.length("lift"))
			return f(in, s), err
		}, "Linkage.Sweep")
	}
	sweep("contact sweep of a linkage", func(in *inputs, s valvetrain.ContactSweep) Answer { return in.inUnit(s.Width) })
	sweep("middle of a contact sweep", func(in *inputs, s valvetrain.ContactSweep) Answer { return in.inUnit(s.Middle) })
	sweep("outermost contact of a linkage", func(in *inputs, s valvetrain.ContactSweep) Answer { return in.inUnit(s.Outermost) })
	sweep("valve lift at which a contact turns back", func(in *inputs, s valvetrain.ContactSweep) Answer { return in.inUnit(s.TurnsAt.Value) })
	sweep("path of a contact", func(_ *inputs, s valvetrain.ContactSweep) Answer { return Text(s.Path.String()) })
	sweep("ratio of a linkage at the seat", func(_ *inputs, s valvetrain.ContactSweep) Answer { return Number(s.Seat.Ratio) })
	sweep("ratio of a linkage at half lift", func(_ *inputs, s valvetrain.ContactSweep) Answer { return Number(s.Mid.Ratio) })
	sweep("ratio of a linkage at full lift", func(_ *inputs, s valvetrain.ContactSweep) Answer { return Number(s.Full.Ratio) })
	tip := func(in *inputs) (valvetrain.LeastSweep, error) {
		return valvetrain.TipArm{Arm: in.length("arm"), Lift: in.length("lift")}.Least()
	}
	add("least rocker turn for a lift", func(in *inputs) (Answer, error) {
		s, err := tip(in)
		return Number(s.Turn.Degrees()), err
	}, "TipArm.Least", "PlaneAngle.Degrees")
	add("least contact sweep for a lift", func(in *inputs) (Answer, error) {
		s, err := tip(in)
		return in.inUnit(s.Width), err
	}, "TipArm.Least")
	choice := func(quantity string, f func(*inputs, valvetrain.PushrodChoice) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			c, err := in.linkage().PushrodForSweep(valvetrain.PushrodSearch{
				Goal:   named(in, "goal", valvetrain.NarrowestSweep, valvetrain.CenteredSweep, valvetrain.CenteredMidLift),
				Lifter: in.length("lift"), Lash: in.length("lash"), Stud: in.plane("stud"), Within: in.length("within"),
			})
			return f(in, c), err
		}, "Linkage.PushrodForSweep", "Linkage.PushrodFor", "Linkage.Sweep")
	}
	choice("pushrod length for a sweep", func(in *inputs, c valvetrain.PushrodChoice) Answer { return in.inUnit(c.Pushrod) })
	choice("pivot move for a sweep", func(in *inputs, c valvetrain.PushrodChoice) Answer { return in.inUnit(c.PivotMove) })
	choice("sweep that a pushrod length gives", func(in *inputs, c valvetrain.PushrodChoice) Answer { return in.inUnit(c.Sweep.Width) })
	add("pushrod length for a lash", func(in *inputs) (Answer, error) {
		l, err := in.linkage().PushrodFor(in.length("lash"))
		return in.inUnit(l), err
	}, "Linkage.PushrodFor")
	add("travel of an adjuster for a lash", func(in *inputs) (Answer, error) {
		a, err := in.linkage().Adjust(valvetrain.LashSetting{
			Place: named(in, "place", valvetrain.AtPushrod, valvetrain.AtPivot, valvetrain.AtValve), Axis: in.plane("axis"), Lash: in.length("lash"),
		})
		return in.inUnit(a.Travel), err
	}, "Linkage.Adjust")
	work := func(quantity string, f func(*inputs, valvetrain.PushrodChange) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			c, err := in.linkage().After(valvetrain.ShopWork{
				Deck: in.optionalLength("deck"), Head: in.optionalLength("head"), Gasket: in.optionalLength("gasket"), Stand: in.optionalLength("stand"),
				Tip: in.optionalLength("tip"), BaseRadius: in.optionalLength("base"), LifterSeat: in.optionalLength("lifter seat"), Up: in.plane("up"),
			})
			return f(in, c), err
		}, "Linkage.After")
	}
	work("lash after shop work", func(in *inputs, c valvetrain.PushrodChange) Answer { return in.inUnit(c.After) })
	work("pushrod change after shop work", func(in *inputs, c valvetrain.PushrodChange) Answer { return in.inUnit(c.Change) })
	work("pushrod change after shop work with the pivot moved", func(in *inputs, c valvetrain.PushrodChange) Answer { return in.inUnit(c.GeometryChange) })
}

func (in *inputs) lobeOf(law camtiming.Law) *camtiming.LawLobe {
	l, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: law, MaxLift: in.length("lobe lift"), Opening: in.cam("opening"), Closing: in.cam("closing")})
	if in.err == nil {
		in.err = err
	}
	return l
}

func valvetrainLiftCurves(add adder) {
	spec := func(in *inputs) (valvetrain.ValveCurveSpec, error) {
		s := valvetrain.ValveCurveSpec{Lobe: in.lobeOf(camtiming.Poly4567)}
		if in.has("ratio") {
			s.Gear = valvetrain.ConstantRatio{Ratio: in.float("ratio"), Lash: in.length("lash")}
		} else {
			s.Gear = in.linkage()
		}
		return s, in.err
	}
	curve := func(in *inputs) (*valvetrain.ValveCurve, error) {
		s, err := spec(in)
		if err != nil {
			return nil, err
		}
		return valvetrain.NewValveCurve(s)
	}
	motion := func(quantity string, f func(camtiming.LobeMotion) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			s, err := spec(in)
			if err != nil {
				return Answer{}, err
			}
			c, err := valvetrain.NewValveMotion(s)
			if err != nil {
				return Answer{}, err
			}
			return Number(f(c.Motion(in.cam("at"))) * 1000), nil
		}, "NewValveMotion", "ValveMotion.Motion")
	}
	at := func(quantity string, f func(*inputs, *valvetrain.ValveCurve, units.CamAngle) Answer, symbols ...string) {
		add(quantity, func(in *inputs) (Answer, error) {
			c, err := curve(in)
			if err != nil {
				return Answer{}, err
			}
			return f(in, c, in.cam("at")), nil
		}, append([]string{"NewValveCurve"}, symbols...)...)
	}
	at("valve lift over the cam angle", func(in *inputs, c *valvetrain.ValveCurve, a units.CamAngle) Answer { return in.inUnit(c.Lift(a)) }, "ValveCurve.Lift")
	at("valve velocity over the cam angle", func(_ *inputs, c *valvetrain.ValveCurve, a units.CamAngle) Answer {
		return Number(float64(c.Velocity(a)) * 1000)
	}, "ValveCurve.Velocity")
	motion("valve acceleration over the cam angle", func(m camtiming.LobeMotion) float64 { return float64(m.Acceleration) })
	motion("valve jerk over the cam angle", func(m camtiming.LobeMotion) float64 { return float64(m.Jerk) })
	lifts := func(quantity string, f func(*inputs, *valvetrain.ValveCurve) Answer, symbols ...string) {
		add(quantity, func(in *inputs) (Answer, error) {
			c, err := curve(in)
			if err != nil {
				return Answer{}, err
			}
			return f(in, c), nil
		}, append([]string{"NewValveCurve"}, symbols...)...)
	}
	lifts("net valve lift", func(in *inputs, c *valvetrain.ValveCurve) Answer {
		if c.Lifts().Net != c.MaxLift() {
			return Answer{}
		}
		return in.inUnit(c.MaxLift())
	}, "ValveCurve.MaxLift", "ValveCurve.Lifts")
	lifts("gross valve lift", func(in *inputs, c *valvetrain.ValveCurve) Answer { return in.inUnit(c.Lifts().Gross) }, "ValveCurve.Lifts")
	lifts("lobe lift that the lash uses up", func(in *inputs, c *valvetrain.ValveCurve) Answer { return in.inUnit(c.Lifts().TakeUp) }, "ValveCurve.Lifts")
	lifts("mean ratio of a valve gear", func(_ *inputs, c *valvetrain.ValveCurve) Answer { return Number(c.Lifts().Mean) }, "ValveCurve.Lifts")
	lifts("cam angle at which a valve opens", func(_ *inputs, c *valvetrain.ValveCurve) Answer { return Number(c.Span().Opens.Degrees()) }, "ValveCurve.Span")
	lifts("cam angle at which a valve closes", func(_ *inputs, c *valvetrain.ValveCurve) Answer { return Number(c.Span().Closes.Degrees()) }, "ValveCurve.Span")
}

// fingerOf reads a finger on a lobe.
func fingerOf(in *inputs, lobe camtiming.MotionCurve) (*valvetrain.FingerCurve, error) {
	s := valvetrain.FingerSpec{
		Finger: valvetrain.Finger{
			Pivot: in.place("pivot"), CamArm: in.length("cam arm"), TipArm: in.length("tip arm"), Between: in.plane("between"),
			CamRadius: in.length("cam radius"), TipRadius: in.length("tip radius"), Valve: in.track("valve"),
		},
		Turn: valvetrain.TurnsCounterclockwise, CamSide: valvetrain.LeftSide,
		Lobe: lobe, Base: in.length("base"), Roller: in.optionalLength("roller"),
	}
	if in.err != nil {
		return nil, in.err
	}
	return valvetrain.NewFingerCurve(s)
}

func valvetrainFinger(add adder) {
	curve := func(quantity string, f func(*inputs, *valvetrain.FingerCurve) (Answer, error), symbols ...string) {
		add(quantity, func(in *inputs) (Answer, error) {
			c, err := fingerOf(in, in.lobeOf(camtiming.Poly345))
			if err != nil {
				return Answer{}, err
			}
			return f(in, c)
		}, append([]string{"NewFingerCurve"}, symbols...)...)
	}
	number := func(x float64) (Answer, error) { return Number(x), nil }
	curve("valve lift under a finger", func(in *inputs, c *valvetrain.FingerCurve) (Answer, error) {
		return in.inUnit(c.Lift(in.cam("at"))), nil
	}, "FingerCurve.Lift")
	curve("valve velocity under a finger", func(in *inputs, c *valvetrain.FingerCurve) (Answer, error) {
		a := in.cam("at")
		v := c.Velocity(a)
		if d := v - c.Motion(a).Velocity; d > 1e-13 || d < -1e-13 {
			return Answer{}, nil
		}
		return number(float64(v) * 1000)
	}, "FingerCurve.Velocity", "FingerCurve.Motion")
	curve("valve acceleration under a finger", func(in *inputs, c *valvetrain.FingerCurve) (Answer, error) {
		return number(float64(c.Motion(in.cam("at")).Acceleration) * 1000)
	}, "FingerCurve.Motion")
	curve("valve jerk under a finger", func(in *inputs, c *valvetrain.FingerCurve) (Answer, error) {
		return number(float64(c.Motion(in.cam("at")).Jerk) * 1000)
	}, "FingerCurve.Motion")
	curve("greatest valve lift under a finger", func(in *inputs, c *valvetrain.FingerCurve) (Answer, error) { return in.inUnit(c.MaxLift()), nil }, "FingerCurve.MaxLift")
	curve("cam angle at which a finger opens", func(_ *inputs, c *valvetrain.FingerCurve) (Answer, error) { return number(c.Span().Opens.Degrees()) }, "FingerCurve.Span")
	curve("cam angle at which a finger closes", func(_ *inputs, c *valvetrain.FingerCurve) (Answer, error) { return number(c.Span().Closes.Degrees()) }, "FingerCurve.Span")
	state := func(quantity string, f func(*inputs, valvetrain.FingerState) Answer) {
		curve(quantity, func(in *inputs, c *valvetrain.FingerCurve) (Answer, error) {
			s, err := c.At(in.cam("at"))
			return f(in, s), err
		}, "FingerCurve.At")
	}
	state("gap of a finger", func(in *inputs, s valvetrain.FingerState) Answer { return in.inUnit(s.Gap) })
	state("contact of a finger on the stem", func(in *inputs, s valvetrain.FingerState) Answer { return in.inUnit(s.Contact) })
	state("turn of a finger", func(_ *inputs, s valvetrain.FingerState) Answer { return Number(s.Turn.Degrees()) })
	state("lever of a finger", func(_ *inputs, s valvetrain.FingerState) Answer { return Number(s.Lever) })
	sweep := func(quantity string, f func(*inputs, valvetrain.FingerSweep) Answer) {
		curve(quantity, func(in *inputs, c *valvetrain.FingerCurve) (Answer, error) {
			s, err := c.Sweep()
			return f(in, s), err
		}, "FingerCurve.Sweep")
	}
	sweep("sweep of a finger", func(in *inputs, s valvetrain.FingerSweep) Answer { return in.inUnit(s.Width) })
	sweep("middle of the sweep of a finger", func(in *inputs, s valvetrain.FingerSweep) Answer { return in.inUnit(s.Middle) })
	sweep("outermost contact of a finger", func(in *inputs, s valvetrain.FingerSweep) Answer { return in.inUnit(s.Outermost) })
	sweep("valve lift at which the contact of a finger turns", func(in *inputs, s valvetrain.FingerSweep) Answer { return in.inUnit(s.TurnsAt.Value) })
	sweep("path of the contact of a finger", func(_ *inputs, s valvetrain.FingerSweep) Answer { return Text(s.Path.String()) })
	sweep("contact of a finger at half lift", func(in *inputs, s valvetrain.FingerSweep) Answer { return in.inUnit(s.Mid.Contact) })
	sweep("lever of a finger at full lift", func(_ *inputs, s valvetrain.FingerSweep) Answer { return Number(s.Full.Lever) })
}

func valvetrainBuckets(add adder) {
	job := func(in *inputs) valvetrain.BucketJob {
		var j valvetrain.BucketJob
		shims, lash := list(in, "shim", units.ParseLength), list(in, "lash", units.ParseLength)
		if len(shims) != len(lash) && in.err == nil {
			in.err = errListLengths
			return j
		}
		for i, s := range shims {
			j.Valves = append(j.Valves, valvetrain.BucketValve{
				Name: strconv.Itoa(i + 1), Shim: s, Lash: units.Unstated(lash[i]), Limits: units.Between(in.length("least"), in.length("most"), stated),
			})
			if in.has("lever") {
				j.Valves[i].Lever = in.float("lever")
			}
		}
		j.Shims.Sizes = list(in, "sizes", units.ParseLength)
		return j
	}
	fit := func(quantity string, f func(valvetrain.BucketShim) units.Length) {
		add(quantity, func(in *inputs) (Answer, error) {
			j := job(in)
			if in.err != nil {
				return Answer{}, in.err
			}
			s, err := j.Valves[0].Fit(j.Shims)
			return in.inUnit(f(s)), err
		}, "BucketValve.Fit")
	}
	fit("bucket shim to fit", func(s valvetrain.BucketShim) units.Length { return s.Shim })
	fit("lash with a bucket shim", func(s valvetrain.BucketShim) units.Length { return s.Lash.Value })
	plan := func(quantity string, f func(*inputs, valvetrain.BucketPlan) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			p, err := job(in).Plan()
			return f(in, p), err
		}, "BucketJob.Plan")
	}
	plan("new bucket shims of an engine", func(_ *inputs, p valvetrain.BucketPlan) Answer { return Number(float64(p.New)) })
	plan("bucket shims moved in an engine", func(_ *inputs, p valvetrain.BucketPlan) Answer { return Number(float64(p.Moved)) })
	plan("sum of lash errors of an engine", func(in *inputs, p valvetrain.BucketPlan) Answer { return in.inUnit(p.Error) })
	plan("bucket shims of an engine", func(_ *inputs, p valvetrain.BucketPlan) Answer {
		var s []string
		for _, v := range p.Valves {
			s = append(s, v.Shim.String())
		}
		return Text(strings.Join(s, ", "))
	})
}

func valvetrainValveJob(add adder) {
	sink := func(quantity string, f func(valvetrain.ValveSink) units.Length) {
		add(quantity, func(in *inputs) (Answer, error) {
			s, err := valvetrain.ValveJob{
				SeatCut: in.length("seat cut"), FaceCut: in.length("face cut"), SeatAngle: in.plane("angle"),
				TipCut: in.optionalLength("tip cut"), Insert: in.optionalLength("insert"),
			}.Sink()
			return in.inUnit(f(s)), err
		}, "ValveJob.Sink")
	}
	sink("recession of a valve job", func(s valvetrain.ValveSink) units.Length { return s.Recession })
	sink("rise of a stem tip", func(s valvetrain.ValveSink) units.Length { return s.Tip })
	between := func(in *inputs, name string) units.Optional[units.Limits[units.Length]] {
		return units.Some(units.Between(in.length(name+" least"), in.length(name+" most"), stated))
	}
	stem := func(quantity string, f func(*inputs, valvetrain.StemReport) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			u := in.length("u")
			r, err := valvetrain.StemHeight{
				Tip: units.WithU(in.length("tip"), u), Retainer: units.WithU(in.length("retainer"), u), Head: units.Some(units.WithU(in.length("head"), u)),
				TipLimits: between(in, "tip"), HeadLimits: between(in, "head"),
			}.Check()
			return f(in, r), err
		}, "StemHeight.Check")
	}
	stem("protrusion of a stem", func(in *inputs, r valvetrain.StemReport) Answer { return in.inUnit(r.Protrusion.Value) })
	stem("uncertainty of the protrusion of a stem", func(in *inputs, r valvetrain.StemReport) Answer { return in.inUnit(r.Protrusion.U) })
	stem("tip to be ground off a stem", func(in *inputs, r valvetrain.StemReport) Answer { return in.inUnit(r.Grind) })
	stem("verdict on a stem tip", func(_ *inputs, r valvetrain.StemReport) Answer { return outcome(r.TipVerdict) })
	stem("verdict on a valve head", func(_ *inputs, r valvetrain.StemReport) Answer { return outcome(r.HeadVerdict) })
	keeper := func(quantity string, f func(*inputs, valvetrain.KeeperReport) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			m := func(name string) units.Measured[units.Length] { return units.WithU(in.length(name), in.length("u")) }
			r, err := valvetrain.KeeperFit{
				Kind: named(in, "kind", valvetrain.ClampingKeepers, valvetrain.AbuttingKeepers), Gap: m("gap"), Other: m("other"), Groove: m("groove"), Bead: m("bead"),
				Taper: in.plane("taper"), GapLimits: between(in, "gap"),
			}.Check()
			return f(in, r), err
		}, "KeeperFit.Check")
	}
	keeper("axial play of keepers", func(in *inputs, r valvetrain.KeeperReport) Answer { return in.inUnit(r.Play.Value) })
	keeper("gap of keepers", func(in *inputs, r valvetrain.KeeperReport) Answer { return in.inUnit(r.Gap.Value) })
	keeper("uncertainty of the gap of keepers", func(in *inputs, r valvetrain.KeeperReport) Answer { return in.inUnit(r.Gap.U) })
	keeper("rise of a retainer until keepers meet", func(in *inputs, r valvetrain.KeeperReport) Answer { return in.inUnit(r.Settle) })
	keeper("whether keepers do what they are for", func(_ *inputs, r valvetrain.KeeperReport) Answer { return Text(strconv.FormatBool(r.Grips)) })
	keeper("verdict on the gap of keepers", func(_ *inputs, r valvetrain.KeeperReport) Answer { return outcome(r.GapVerdict) })
	lifter := func(quantity string, f func(*inputs, valvetrain.LifterEffect) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			r := valvetrain.LifterReading{
				Of:      named(in, "of", valvetrain.MeasuredLift, valvetrain.MeasuredTiming, valvetrain.MeasuredClearance),
				Filling: named(in, "filling", valvetrain.SolidLifter, valvetrain.PumpedUp, valvetrain.BledDown, valvetrain.CollapsedHard),
				Value:   units.Unstated(in.length("value")), Give: units.Unstated(in.length("give")), Ratio: in.float("ratio"),
			}
			if in.has("u value") {
				r.Value, r.Give = units.WithU(r.Value.Value, in.length("u value")), units.WithU(r.Give.Value, in.length("u give"))
			}
			e, err := r.Effect()
			return f(in, e), err
		}, "LifterReading.Effect")
	}
	lifter("valve travel lost in a lifter", func(in *inputs, e valvetrain.LifterEffect) Answer { return in.inUnit(e.Lost.Value) })
	lifter("lift put right for a lifter", func(in *inputs, e valvetrain.LifterEffect) Answer { return in.inUnit(e.Lift.Value) })
	lifter("room put right for a lifter", func(in *inputs, e valvetrain.LifterEffect) Answer { return in.inUnit(e.Room.Value) })
	lifter("uncertainty of a lift put right for a lifter", func(in *inputs, e valvetrain.LifterEffect) Answer { return in.inUnit(e.Lift.U) })
	lifter("check of the state of a lifter", func(_ *inputs, e valvetrain.LifterEffect) Answer { return Text(e.Check.Finding.String()) })
}
