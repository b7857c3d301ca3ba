package evaluation

import (
	"errors"
	"strconv"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// list reads a list separated by commas, with or without spaces.
func list[T any](in *inputs, name string, parse func(string) (T, error)) []T {
	return read(in, name, func(s string) (l []T, err error) {
		for p := range strings.SplitSeq(s, ",") {
			v, err := parse(strings.TrimSpace(p))
			if err != nil {
				return nil, err
			}
			l = append(l, v)
		}
		return l, nil
	})
}

func valveOf(in *inputs) camtiming.Valve {
	return read(in, "valve", func(s string) (camtiming.Valve, error) {
		switch s {
		case "intake":
			return camtiming.IntakeValve, nil
		case "exhaust":
			return camtiming.ExhaustValve, nil
		default:
			return 0, errors.New("want intake or exhaust, got " + s)
		}
	})
}

func optional[T any](in *inputs, name string, parse func(string) (T, error)) (v units.Optional[T]) {
	if in.has(name) {
		v = units.Some(read(in, name, parse))
	}
	return v
}

func pickup(in *inputs) (p units.Optional[camtiming.ValveGear]) {
	if in.has("ratio") {
		p = units.Some(camtiming.ValveGear{Ratio: in.float("ratio"), Lash: in.length("lash")})
	}
	return p
}

// camCenterline computes the rows of centerline.csv.
func camCenterline(add adder) {
	camEqualLift(add)
	camCenterlines(add)
	camNoseCurve(add)
	camLiftAtTDC(add)
	camGauges(add)
}

func camEqualLift(add adder) {
	measured := func(a units.CrankAngle, u units.Optional[units.CrankAngle]) units.Measured[units.CrankAngle] {
		return units.Measured[units.CrankAngle]{Value: a, U: u.Value, Stated: u.Given}
	}
	result := func(in *inputs) (camtiming.EqualLiftResult, error) {
		x := camtiming.EqualLiftInput{Valve: valveOf(in), AtValve: pickup(in)}
		uw := optional(in, "uw", units.ParseCrankAngle)
		x.Dial = optional(in, "dial", units.ParseLength).Value
		x.TDC = optional(in, "tdc", units.ParseCrankAngle).Value
		if in.has("law") {
			l, err := lawLobe(in, "")
			if err != nil {
				return camtiming.EqualLiftResult{}, err
			}
			x.Lobe = l
		}
		s := ""
		if in.has("befores") {
			s = "s"
		}
		names := "drop" + s
		if in.has("at" + s) {
			names = "at" + s
		}
		before, after := list(in, "before"+s, units.ParseCrankAngle), list(in, "after"+s, units.ParseCrankAngle)
		at := list(in, names, units.ParseLength)
		if in.err != nil || len(before) != len(after) || len(at) != len(before) {
			return camtiming.EqualLiftResult{}, errors.New("the lists differ in length")
		}
		for i := range before {
			r := camtiming.EqualLiftReading{Before: measured(before[i], uw), After: measured(after[i], uw)}
			if strings.HasPrefix(names, "drop") {
				r.Drop = units.Some(at[i])
			} else {
				r.Lift = units.Some(at[i])
			}
			x.Readings = append(x.Readings, r)
		}
		return camtiming.EqualLift(x)
	}
	with := func(f func(camtiming.EqualLiftResult) Answer) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			r, err := result(in)
			if err != nil {
				return Answer{}, err
			}
			return f(r), nil
		}
	}
	add("centerline by equal lift", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.Mean.Value.Angle.Value.Degrees()) }), "EqualLift")
	add("uncertainty of a centerline by equal lift", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.Mean.Value.Angle.U.Degrees()) }), "EqualLift")
	add("nose by equal lifts", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.Nose.Value.Angle.Value.Degrees()) }), "EqualLift")
	add("uncertainty of the nose by equal lifts", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.Nose.Value.Angle.U.Degrees()) }), "EqualLift")
	add("skew by equal lifts", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.Skew) }), "EqualLift")
	add("uncertainty of the skew by equal lifts", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.SkewU) }), "EqualLift")
	add("drift of midpoints", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.Drift.Value.Degrees()) }), "EqualLift")
	add("uncertainty of the drift of midpoints", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.Drift.U.Degrees()) }), "EqualLift")
	add("mean of midpoints", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.Mean.Value.Angle.Value.Degrees()) }), "EqualLift")
	add("uncertainty of the mean of midpoints", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.Mean.Value.Angle.U.Degrees()) }), "EqualLift")
	add("chi-square of midpoints", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.Common.ChiSquare) }), "EqualLift")
	add("chi-square of midpoints about the line", with(func(r camtiming.EqualLiftResult) Answer { return Number(r.Line.ChiSquare) }), "EqualLift")
	add("is the mean of midpoints given", with(func(r camtiming.EqualLiftResult) Answer { return Text(strconv.FormatBool(r.Mean.Given)) }), "EqualLift")
	add("are the flanks unlike", with(func(r camtiming.EqualLiftResult) Answer { return Text(strconv.FormatBool(r.Asymmetric)) }), "EqualLift")
}

func camCenterlines(add adder) {
	events := func(f func(camtiming.Centerline) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			e := camtiming.CheckedEvents{
				Valve: valveOf(in), Opens: units.Unstated(in.crank("opens")), Closes: units.Unstated(in.crank("closes")),
				Lift: in.length("at"), AtValve: pickup(in), TDC: optional(in, "tdc", units.ParseCrankAngle).Value,
			}
			if in.has("uo") {
				e.Opens, e.Closes = units.WithU(e.Opens.Value, in.crank("uo")), units.WithU(e.Closes.Value, in.crank("uc"))
			}
			c, err := e.Centerline()
			return Number(f(c)), err
		}
	}
	add("centerline of events", events(func(c camtiming.Centerline) float64 { return c.Angle.Value.Degrees() }), "CheckedEvents.Centerline")
	add("uncertainty of a centerline of events", events(func(c camtiming.Centerline) float64 { return c.Angle.U.Degrees() }), "CheckedEvents.Centerline")
	add("lift of the lifter at a checking lift", events(func(c camtiming.Centerline) float64 { return c.Lift.Value.Inches() }), "CheckedEvents.Centerline")
	add("nose from a midpoint", func(in *inputs) (Answer, error) {
		l, err := lawLobe(in, "")
		if err != nil {
			return Answer{}, err
		}
		c, err := camtiming.Centerline{
			Valve: valveOf(in), Basis: camtiming.BasisMidpoint, Angle: units.Unstated(in.crank("angle")),
			Lift: optional(in, "at", units.ParseLength), Drop: optional(in, "drop", units.ParseLength),
		}.AtNose(l)
		return Number(c.Angle.Value.Degrees()), err
	}, "Centerline.AtNose")
	add("advance from one centerline", func(in *inputs) (Answer, error) {
		l, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly345, MaxLift: 300 * units.Thou, Opening: 65 * units.CamDegree, Closing: 65 * units.CamDegree})
		if err != nil {
			return Answer{}, err
		}
		c, err := camtiming.NewCam(camtiming.CamSpec{Intake: l, Exhaust: l, Separation: in.cam("separation")})
		if err != nil {
			return Answer{}, err
		}
		a, err := c.AdvanceFrom(camtiming.Centerline{Valve: valveOf(in), Basis: camtiming.BasisNose, Angle: units.Unstated(in.crank("angle"))})
		return Number(a.Value.Degrees()), err
	}, "Cam.AdvanceFrom")
	combined := func(f func(camtiming.CombinedCenterline) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			a, u := list(in, "angles", units.ParseCrankAngle), list(in, "us", units.ParseCrankAngle)
			if in.err != nil || len(a) != len(u) {
				return Answer{}, errors.New("the lists differ in length")
			}
			tdc := in.crank("tdc")
			shapes := make([]units.CrankAngle, len(a))
			if in.has("shapes") {
				shapes = list(in, "shapes", units.ParseCrankAngle)
			}
			if in.err != nil || len(a) != len(shapes) {
				return Answer{}, errors.New("the lists differ in length")
			}
			var c []camtiming.Centerline
			for i := range a {
				c = append(c, camtiming.Centerline{
					Valve: valveOf(in), Basis: camtiming.BasisNose,
					Angle: units.WithU(a[i], u[i]), UReading: u[i], UTDC: tdc, UShape: shapes[i],
				})
			}
			r, err := camtiming.CombineCenterlines(c)
			return Number(f(r)), err
		}
	}
	add("combined centerline", combined(func(r camtiming.CombinedCenterline) float64 { return r.Centerline.Angle.Value.Degrees() }), "CombineCenterlines")
	add("uncertainty of a combined centerline", combined(func(r camtiming.CombinedCenterline) float64 { return r.Centerline.Angle.U.Degrees() }), "CombineCenterlines")
	add("scatter of a combined centerline", combined(func(r camtiming.CombinedCenterline) float64 { return r.External.Degrees() }), "CombineCenterlines")
	add("chi-square of centerlines", combined(func(r camtiming.CombinedCenterline) float64 { return r.Agreement.ChiSquare }), "CombineCenterlines")
	add("probability of centerlines", combined(func(r camtiming.CombinedCenterline) float64 { return r.Agreement.PValue }), "CombineCenterlines")
}

func camNoseCurve(add adder) {
	with := func(f func(camtiming.NosePeak) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			x := camtiming.NoseCurveInput{
				Valve: valveOf(in), Degree: in.int("degree"), Dial: optional(in, "ud", units.ParseLength),
				Wheel: optional(in, "uwheel", units.ParseCrankAngle).Value, TDC: optional(in, "tdc", units.ParseCrankAngle).Value,
			}
			a, d := list(in, "angles", units.ParseCrankAngle), list(in, "dials", units.ParseLength)
			if in.err != nil || len(a) != len(d) {
				return Answer{}, errors.New("the lists differ in length")
			}
			for i := range a {
				x.Readings = append(x.Readings, camtiming.DialPoint{At: a[i], Dial: d[i]})
			}
			p, err := camtiming.NoseCurve(x)
			return Number(f(p)), err
		}
	}
	add("peak of a fitted curve", with(func(p camtiming.NosePeak) float64 { return p.Centerline.Angle.Value.Degrees() }), "NoseCurve")
	add("uncertainty of the peak of a fitted curve", with(func(p camtiming.NosePeak) float64 { return p.Centerline.Angle.U.Degrees() }), "NoseCurve")
	add("scatter about a fitted curve", with(func(p camtiming.NosePeak) float64 { return p.Scatter.Millimeters() }), "NoseCurve")
	add("chi-square of a fitted curve", with(func(p camtiming.NosePeak) float64 { return p.Agreement.ChiSquare }), "NoseCurve")
}

func camLiftAtTDC(add adder) {
	valve := func(in *inputs) (camtiming.SingleValve, error) {
		l, err := lawLobe(in, "")
		return camtiming.SingleValve{Valve: valveOf(in), Lobe: l, AtValve: pickup(in)}, err
	}
	at := func(f func(camtiming.LiftAtTDC) units.Length) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			v, err := valve(in)
			if err != nil {
				return Answer{}, err
			}
			l, err := v.At(in.crank("centerline"))
			return Number(f(l).Inches()), err
		}
	}
	add("lift of one valve at TDC", at(func(l camtiming.LiftAtTDC) units.Length { return l.Dial }), "SingleValve.At")
	add("lift of one valve at TDC per crank degree of advance", at(func(l camtiming.LiftAtTDC) units.Length { return l.PerCrankDegree }), "SingleValve.At")
	back := func(f func(camtiming.Centerline) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			v, err := valve(in)
			if err != nil {
				return Answer{}, err
			}
			r := camtiming.LiftAtTDCReading{Lift: units.Unstated(in.length("at"))}
			if in.has("u") {
				r.Lift, r.TDC = units.WithU(r.Lift.Value, in.length("u")), in.crank("tdc")
			}
			c, err := v.Centerline(r)
			return Number(f(c)), err
		}
	}
	add("centerline from the lift of one valve at TDC", back(func(c camtiming.Centerline) float64 { return c.Angle.Value.Degrees() }), "SingleValve.Centerline")
	add("centerlines that a band of lift at TDC allows", func(in *inputs) (Answer, error) {
		v, err := valve(in)
		if err != nil {
			return Answer{}, err
		}
		low, err1 := v.Centerline(camtiming.LiftAtTDCReading{Lift: units.Unstated(in.length("low"))})
		high, err2 := v.Centerline(camtiming.LiftAtTDCReading{Lift: units.Unstated(in.length("high"))})
		return Interval(high.Angle.Value.Degrees(), low.Angle.Value.Degrees()), errors.Join(err1, err2)
	}, "SingleValve.Centerline")
	add("uncertainty of a centerline from the lift of one valve at TDC", back(func(c camtiming.Centerline) float64 { return c.Angle.U.Degrees() }), "SingleValve.Centerline")
}

func camGauges(add adder) {
	value := func(m units.Measured[units.Length]) float64 { return m.Value.Inches() }
	uncertainty := func(m units.Measured[units.Length]) float64 { return m.U.Inches() }
	type pick func(units.Measured[units.Length]) float64
	// edge turns a signed difference into the straightedge's way to say it.
	edge := func(d, u units.Length) camtiming.StraightedgeGap {
		s := camtiming.StraightedgeGap{Higher: camtiming.IntakeValve, Gap: units.WithU(d.Abs(), u)}
		if d < 0 {
			s.Higher = camtiming.ExhaustValve
		}
		return s
	}
	feeler := func(f pick) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			g, err := camtiming.FeelerPair{Enters: in.length("enters"), Refused: in.length("refused"), Leaf: in.length("leaf")}.Gap()
			return Number(f(g)), err
		}
	}
	add("gap between two leaves", feeler(value), "FeelerPair.Gap")
	add("uncertainty of a gap between two leaves", feeler(uncertainty), "FeelerPair.Gap")
	add("difference by straightedge and feeler", func(in *inputs) (Answer, error) {
		s := camtiming.StraightedgeGap{Higher: camtiming.IntakeValve, Gap: units.Unstated(in.length("gap"))}
		if in.text("higher") == "exhaust" {
			s.Higher = camtiming.ExhaustValve
		}
		g, err := s.Gauge()
		return Number(value(g.Difference)), err
	}, "StraightedgeGap.Gauge")
	add("uncertainty of level by straightedge and feeler", func(in *inputs) (Answer, error) {
		g, err := camtiming.StraightedgeGap{Level: true, Gap: units.Unstated(in.length("gap"))}.Gauge()
		return Number(uncertainty(g.Difference)), err
	}, "StraightedgeGap.Gauge")
	rock := func(f pick) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			u := in.length("u")
			g, err := camtiming.RockingStraightedge{One: edge(in.length("one"), u), Other: edge(in.length("other"), u)}.Gauge()
			return Number(f(g.Difference)), err
		}
	}
	add("difference by a rocking straightedge", rock(value), "RockingStraightedge.Gauge")
	add("uncertainty of a rocking straightedge", rock(uncertainty), "RockingStraightedge.Gauge")
	spaced := func(f func(camtiming.SpacedGauge) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			u := in.length("u")
			s := camtiming.SpacedStraightedge{Read: edge(in.length("read"), u), Mismatch: optional(in, "mismatch", units.ParseLength)}
			if in.has("swapped") {
				s.Swapped = units.Some(edge(in.length("swapped"), u))
			}
			g, err := s.Gauge()
			return Number(f(g)), err
		}
	}
	add("difference over swapped spacers", spaced(func(g camtiming.SpacedGauge) float64 { return value(g.Difference) }), "SpacedStraightedge.Gauge")
	add("uncertainty over swapped spacers", spaced(func(g camtiming.SpacedGauge) float64 { return uncertainty(g.Difference) }), "SpacedStraightedge.Gauge")
	add("uncertainty over two spacers", spaced(func(g camtiming.SpacedGauge) float64 { return uncertainty(g.Difference) }), "SpacedStraightedge.Gauge")
	add("mismatch of two spacers", spaced(func(g camtiming.SpacedGauge) float64 { return value(g.SpacerMismatch.Value) }), "SpacedStraightedge.Gauge")
	depths := func(f pick) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			g, err := camtiming.DepthPair{Intake: units.WithU(in.length("intake"), in.length("ui")), Exhaust: units.WithU(in.length("exhaust"), in.length("ue"))}.Gauge()
			return Number(f(g.Difference)), err
		}
	}
	add("difference of two depths", depths(value), "DepthPair.Gauge")
	add("uncertainty of two depths", depths(uncertainty), "DepthPair.Gauge")
	retainers := func(f pick) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			side := func(p string) camtiming.RetainerLift {
				return camtiming.RetainerLift{
					Lift: units.WithU(in.length(p+"lift"), in.length("u")), Lash: units.WithU(in.length(p+"lash"), in.length("ulash")),
					Ratio: in.float(p + "ratio"), RatioU: in.float("uratio"),
				}
			}
			g, err := camtiming.RetainerPair{Intake: side("i"), Exhaust: side("e")}.Gauge()
			return Number(f(g.Difference)), err
		}
	}
	add("difference at the retainers", retainers(value), "RetainerPair.Gauge")
	add("uncertainty at the retainers", retainers(uncertainty), "RetainerPair.Gauge")
	add("advance from differences over spacers", func(in *inputs) (Answer, error) {
		c, err := pairCam(in)
		if err != nil {
			return Answer{}, err
		}
		u := 5 * units.Micrometer
		gauge := func(name string) (camtiming.SpacedGauge, error) {
			swapped := strings.TrimSpace(name + " swapped")
			if name == "overlap" {
				swapped = "swapped"
			}
			return camtiming.SpacedStraightedge{Read: edge(in.length(name), u), Swapped: units.Some(edge(in.length(swapped), u))}.Gauge()
		}
		overlap, err1 := gauge("overlap")
		firing, err2 := gauge("firing")
		if err := errors.Join(err1, err2); err != nil {
			return Answer{}, err
		}
		s, err := c.Split(camtiming.SplitReading{Proof: camtiming.Proof{Kind: camtiming.MovesWithCrank}}.At(overlap.Gauged).ZeroAt(firing.Gauged))
		return Number(s.Advance.Value.Degrees()), err
	}, "SplitReading.At", "SplitReading.ZeroAt", "SpacedStraightedge.Gauge", "Cam.Split")
}
