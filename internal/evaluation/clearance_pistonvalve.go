package evaluation

import (
	"errors"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

func (in *inputs) face() clearance.PistonFace {
	return read(in, "face", func(s string) (clearance.PistonFace, error) {
		switch s {
		case "pocket":
			return clearance.PocketFloor, nil
		case "crown":
			return clearance.FlatCrown, nil
		default:
			return 0, errors.New("want pocket or crown, got " + s)
		}
	})
}

// ramp is the lobe of two straight flanks.
func ramp(in *inputs) (camtiming.LiftCurve, error) {
	h, o, c := in.length("lift"), in.cam("opening"), in.cam("closing")
	return camtiming.NewTableLobe(camtiming.TableLobeSpec{
		Samples:       []camtiming.LiftSample{{Angle: -o}, {Angle: -o / 2, Lift: h / 2}, {Lift: h}, {Angle: c}},
		Interpolation: camtiming.Straight,
	})
}

func pistonValveSpec(in *inputs) (clearance.PistonValveSpec, error) {
	k, err := sliderCrank(in)
	if err != nil {
		return clearance.PistonValveSpec{}, err
	}
	s := clearance.PistonValveSpec{
		Valve: valveOf(in), Piston: k, Face: in.face(), Lean: planeAngle(in, "lean"), AtTDC: in.measuredLength("d0"),
	}
	if in.text("law") == "linear" {
		s.Lobe, err = ramp(in)
	} else {
		s.Lobe, err = lawLobe(in, "")
	}
	if err != nil {
		return clearance.PistonValveSpec{}, err
	}
	if !in.has("gear") {
		s.Gear = units.Some(camtiming.ValveGear{Ratio: in.float("ratio"), Lash: in.length("lash")})
	}
	return s, in.err
}

func clearancePistonValve(add adder) {
	valve := func(quantity string, f func(*inputs, *clearance.PistonValve) (Answer, error), symbols ...string) {
		add(quantity, func(in *inputs) (Answer, error) {
			s, err := pistonValveSpec(in)
			if err != nil {
				return Answer{}, err
			}
			p, err := clearance.NewPistonValve(s)
			if err != nil {
				return Answer{}, err
			}
			return f(in, p)
		}, append(symbols, "NewPistonValve")...)
	}
	stack := func(quantity string, f func(clearance.TDCClearance) units.Length) {
		add(quantity, func(in *inputs) (Answer, error) {
			c, err := clearance.ValveStack{
				Face: in.face(), Lean: planeAngle(in, "lean"),
				Deck: in.measuredLength("deck"), Gasket: in.measuredLength("gasket"), Recess: in.measuredLength("recess"), Pocket: in.measuredLength("pocket"),
			}.AtTDC()
			return in.inUnit(f(c)), err
		}, "ValveStack.AtTDC")
	}
	stack("closed valve to piston at the top", func(c clearance.TDCClearance) units.Length { return c.Clearance.Value })
	stack("uncertainty of a closed valve to piston", func(c clearance.TDCClearance) units.Length { return c.Clearance.U })
	valve("least gap of valve and piston", func(in *inputs, p *clearance.PistonValve) (Answer, error) {
		m, err := p.Minimum(in.crank("centerline"))
		return in.inUnit(m.Gap), err
	}, "PistonValve.Minimum")
	valve("least gap over another piston", func(in *inputs, p *clearance.PistonValve) (Answer, error) {
		q, err := p.Over(in.measuredLength("other d0"))
		if err != nil {
			return Answer{}, err
		}
		m, err := q.Minimum(in.crank("centerline"))
		return in.inUnit(m.Gap), err
	}, "PistonValve.Over", "PistonValve.Minimum")
	valve("crank angle of the least gap", func(in *inputs, p *clearance.PistonValve) (Answer, error) {
		m, err := p.Minimum(in.crank("centerline"))
		return Number(m.FromTDC.Degrees()), err
	}, "PistonValve.Minimum")
	valve("gap of valve and piston at a crank angle", func(in *inputs, p *clearance.PistonValve) (Answer, error) {
		g, err := p.At(in.crank("centerline"), in.crank("angle"))
		return in.inUnit(g.Gap), err
	}, "PistonValve.At")
	for quantity, f := range map[string]func(clearance.PistonValveSensitivity) float64{
		"least gap per crank degree of advance":  func(s clearance.PistonValveSensitivity) float64 { return s.PerAdvance.Millimeters() },
		"least gap per cam degree of separation": func(s clearance.PistonValveSensitivity) float64 { return s.PerSeparation.Millimeters() },
		"least gap per lash":                     func(s clearance.PistonValveSensitivity) float64 { return s.PerLash },
		"least gap per deck":                     func(s clearance.PistonValveSensitivity) float64 { return s.PerDeck },
		"least gap per unit of ratio":            func(s clearance.PistonValveSensitivity) float64 { return s.PerRatio.Millimeters() },
		"least gap per degree of lean":           func(s clearance.PistonValveSensitivity) float64 { return s.PerLean.Millimeters() },
	} {
		valve(quantity, func(in *inputs, p *clearance.PistonValve) (Answer, error) {
			s, err := p.Sensitivity(in.crank("centerline"))
			return Number(f(s)), err
		}, "PistonValve.Sensitivity")
	}
	valve("uncertainty of a least gap", func(in *inputs, p *clearance.PistonValve) (Answer, error) {
		s, err := p.Sensitivity(in.crank("centerline"))
		if err != nil {
			return Answer{}, err
		}
		m, err := s.Gap(clearance.PistonValveU{
			Centerline: in.crank("u centerline"), Lash: in.length("u lash"), Deck: in.length("u deck"),
			Ratio: in.float("u ratio"), Lean: planeAngle(in, "u lean"),
		})
		return in.inUnit(m.U), err
	}, "PistonValve.Sensitivity", "PistonValveSensitivity.Gap")
	valve("smallest safe centerline", func(in *inputs, p *clearance.PistonValve) (Answer, error) {
		c, err := p.SafeCenterline(in.length("wanted"))
		return Number(c.Centerline.Degrees()), err
	}, "PistonValve.SafeCenterline")
	window := func(quantity string, f func(clearance.SafeAdvance) units.CrankAngle) {
		valve(quantity, func(in *inputs, p *clearance.PistonValve) (Answer, error) {
			s := p.Spec()
			s.Valve, s.Gear.Value.Lash = camtiming.ExhaustValve, in.length("e lash")
			e, err := clearance.NewPistonValve(s)
			if err != nil {
				return Answer{}, err
			}
			r, err := clearance.AdvanceWindow{
				Intake: p, Exhaust: e, IntakeWanted: in.length("wanted"), ExhaustWanted: in.length("e wanted"), Separation: in.cam("separation"),
			}.Safe()
			return Number(f(r).Degrees()), err
		}, "AdvanceWindow.Safe", "PistonValve.SafeCenterline")
	}
	window("most advance that keeps the gap", func(s clearance.SafeAdvance) units.CrankAngle { return s.Highest.Value })
	window("least advance that keeps the gap", func(s clearance.SafeAdvance) units.CrankAngle { return s.Lowest.Value })
	valve("smallest lash that keeps the gap", func(in *inputs, p *clearance.PistonValve) (Answer, error) {
		l, err := p.SmallestLash(clearance.SafeLash{Centerline: in.crank("centerline"), Wanted: in.length("wanted")})
		return in.inUnit(l), err
	}, "PistonValve.SmallestLash")
	valve("least gap in a map", func(in *inputs, p *clearance.PistonValve) (Answer, error) {
		m := clearance.PistonValveMap{Separations: list(in, "separations", units.ParseCamAngle), Advances: list(in, "advances", units.ParseCrankAngle)}
		gaps := make([]units.Length, len(m.Separations)*len(m.Advances))
		err := p.Map(gaps, m)
		return in.inUnit(gaps[in.int("row")*len(m.Advances)+in.int("column")]), err
	}, "PistonValve.Map")
	radial := func(quantity string, f func(clearance.PocketRadial) units.Length) {
		valve(quantity, func(in *inputs, p *clearance.PistonValve) (Answer, error) {
			r, err := p.Radial(in.crank("centerline"), clearance.ValvePocket{
				Head: in.measuredLength("head"), Pocket: in.measuredLength("pocket"), Depth: in.length("depth"), Along: in.length("along"), Across: in.length("across"),
			})
			return in.inUnit(f(r)), err
		}, "PistonValve.Radial")
	}
	radial("least radial room in a pocket", func(r clearance.PocketRadial) units.Length { return r.Least.Value })
	radial("uncertainty of the radial room in a pocket", func(r clearance.PocketRadial) units.Length { return r.Least.U })
	checked := func(quantity string, f func(*inputs, clearance.CheckedGap) (Answer, error), symbols ...string) {
		add(quantity, func(in *inputs) (Answer, error) {
			g, err := clearance.ValveCheck{
				Reading: in.measuredLength("reading"), Face: in.face(), Lean: planeAngle(in, "lean"), Ratio: in.float("ratio"),
				LashAtCheck: in.measuredLength("lash at check"), LashRunning: in.measuredLength("lash running"), Collapse: in.measuredLength("collapse"),
				GasketAtCheck: in.measuredLength("gasket at check"), GasketRunning: in.measuredLength("gasket running"), Spring: in.measuredLength("spring"),
			}.Corrected()
			if err != nil {
				return Answer{}, err
			}
			return f(in, g)
		}, append(symbols, "ValveCheck.Corrected")...)
	}
	checked("checked gap set right", func(in *inputs, g clearance.CheckedGap) (Answer, error) { return in.inUnit(g.Gap.Value), nil })
	checked("uncertainty of a checked gap", func(in *inputs, g clearance.CheckedGap) (Answer, error) { return in.inUnit(g.Gap.U), nil })
	checked("checked gap less computed gap", func(in *inputs, g clearance.CheckedGap) (Answer, error) {
		c, err := g.Compare(in.measuredLength("computed"))
		return in.inUnit(c.Difference.Value), err
	}, "CheckedGap.Compare")
	checked("verdict on a checked gap", func(in *inputs, g clearance.CheckedGap) (Answer, error) {
		v, err := g.Judge(units.AtLeast(in.length("least"), units.Source{Text: "the row", Provenance: units.Stated}), units.ProveAt95)
		return Text(v.Outcome.String()), err
	}, "CheckedGap.Judge")
	add("least valve to piston gap by the rule of the trade", func(in *inputs) (Answer, error) {
		l, err := clearance.PistonValveLimits(valveOf(in))
		return in.inUnit(l.Min), err
	}, "PistonValveLimits")
}
