package valvetrain_test

import (
	"fmt"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
	"example.com/trialfit/valvetrain"
)

// workboatRocker is the rocker gear of the straight-six of a restored wooden
// workboat; figures invented. The pivot is the origin.
func workboatRocker() valvetrain.Linkage {
	l := units.MustParseLength
	return valvetrain.Linkage{
		Lifter:  valvetrain.Track{At: valvetrain.Point{X: l("-27 mm"), Y: l("-199.1 mm")}, Direction: valvetrain.PlaneDegrees(92)},
		Pushrod: l("200 mm"),
		Rocker:  valvetrain.Rocker{PushrodArm: l("26 mm"), TipArm: l("39 mm"), Between: valvetrain.PlaneDegrees(-170), TipRadius: l("12 mm")},
		Valve:   valvetrain.Track{At: valvetrain.Point{X: l("38.8 mm"), Y: l("-7 mm")}, Direction: valvetrain.PlaneDegrees(-90)},
	}
}

func workboatLobe() *camtiming.LawLobe {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly4567, MaxLift: 8 * units.Millimeter, Opening: 65 * units.CamDegree, Closing: 68 * units.CamDegree})
	if err != nil {
		return nil
	}
	return lobe
}

func millimeters(l units.Length) string { return l.Text(units.Millimeters, 3) }

func ExamplePlaneAngle() {
	a := valvetrain.PlaneDegrees(30)
	fmt.Printf("%.4f rad, %.0f deg\n", float64(a), a.Degrees())
	// Output: 0.5236 rad, 30 deg
}

func ExampleLinkage() {
	rocker := workboatRocker()
	s, err := rocker.At(units.MustParseLength("5 mm"))
	show(err, "lift", millimeters(s.Lift), fmt.Sprintf("ratio %.4f, turned %.3f deg,", s.Ratio, s.Turn.Degrees()), "contact", millimeters(s.Contact))
	lifter, err := rocker.LifterFor(0)
	show(err, "lash taken up at", millimeters(lifter))
	lock, err := rocker.LocksAt()
	show(err, "locks at", millimeters(lock))
	sweep, err := rocker.Sweep(units.MustParseLength("8 mm"))
	show(err, "sweep", millimeters(sweep.Width), sweep.Path, fmt.Sprintf("ratio %.4f, %.4f, %.4f", sweep.Seat.Ratio, sweep.Mid.Ratio, sweep.Full.Ratio))
	rod, err := rocker.PushrodFor(units.MustParseLength("0.25 mm"))
	show(err, "pushrod for 0.25 mm", millimeters(rod))
	_, err = rocker.At(units.MustParseLength("28 mm"))
	fmt.Println(err)
	// Output:
	// lift 7.102 mm ratio 1.5330, turned 11.112 deg, contact 0.143 mm
	// lash taken up at 0.298 mm
	// locks at 27.377 mm
	// sweep 0.588 mm out and in ratio 1.4877, 1.5253, 1.5620
	// pushrod for 0.25 mm 200.130 mm
	// valvetrain: lifter: "28 mm": impossible: the linkage locks at a lift of 27.377 mm (1.0778 in) at the lifter, where pushrod and arm are in one line
}

func ExampleLinkage_PushrodForSweep() {
	c, err := workboatRocker().PushrodForSweep(valvetrain.PushrodSearch{
		Goal: valvetrain.NarrowestSweep, Lifter: units.MustParseLength("8 mm"), Lash: units.MustParseLength("0.3 mm"),
		Stud: valvetrain.PlaneDegrees(90), Within: units.MustParseLength("5 mm"),
	})
	show(err, "pushrod", millimeters(c.Pushrod), "pivot", millimeters(c.PivotMove), "sweep", millimeters(c.Sweep.Width))
	// Output: pushrod 198.551 mm pivot -0.923 mm sweep 0.452 mm
}

func ExampleLinkage_Adjust() {
	a, err := workboatRocker().Adjust(valvetrain.LashSetting{Place: valvetrain.AtPivot, Axis: valvetrain.PlaneDegrees(-90), Lash: units.MustParseLength("0.3 mm")})
	show(err, "nut down", millimeters(a.Travel))
	// Output: nut down 0.057 mm
}

func ExampleLinkage_After() {
	l := units.MustParseLength
	// A reground cam with a base circle smaller by 0.6 mm in radius.
	c, err := workboatRocker().After(valvetrain.ShopWork{BaseRadius: l("-0.6 mm"), Up: valvetrain.PlaneDegrees(90)})
	show(err, "lash", millimeters(c.Before), "to", millimeters(c.After), "pushrod longer by", millimeters(c.Change))
	// A valve job that lets the stem stand 0.3 mm higher.
	c, err = workboatRocker().After(valvetrain.ShopWork{Tip: l("0.3 mm"), Up: valvetrain.PlaneDegrees(90)})
	show(err, "lash", millimeters(c.After), "pushrod", millimeters(c.Change), "or with the pivot moved too", millimeters(c.GeometryChange))
	// Output:
	// lash 0.443 mm to 1.332 mm pushrod longer by 0.600 mm
	// lash 0.143 mm pushrod -0.202 mm or with the pivot moved too 0.300 mm
}

func ExampleTipArm_Least() {
	s, err := valvetrain.TipArm{Arm: units.MustParseLength("1.65 in"), Lift: units.MustParseLength("0.6 in")}.Least()
	show(err, fmt.Sprintf("turn %.3f deg, sweep", s.Turn.Degrees()), s.Width.Text(units.Inches, 4))
	// Output: turn 20.951 deg, sweep 0.0275 in
}

func ExampleValveCurve() {
	c, err := valvetrain.NewValveCurve(valvetrain.ValveCurveSpec{Lobe: workboatLobe(), Gear: workboatRocker()})
	if err != nil {
		fmt.Println(err)
		return
	}
	at := units.MustParseCamAngle("-25 cam deg")
	fmt.Println("lift", millimeters(c.Lift(at)), fmt.Sprintf("slope %.5f mm per cam degree", float64(c.Velocity(at))*1000))
	fmt.Println("greatest", millimeters(c.MaxLift()), "from", c.Span().Opens.Text(2), "to", c.Span().Closes.Text(2))
	l := c.Lifts()
	fmt.Println("gross", millimeters(l.Gross), "net", millimeters(l.Net), fmt.Sprintf("mean ratio %.4f", l.Mean))
	// Output:
	// lift 8.509 mm slope 0.35227 mm per cam degree
	// greatest 11.745 mm from -51.58 cam deg to 53.96 cam deg
	// gross 12.187 mm net 11.745 mm mean ratio 1.5234
}

func ExampleValveMotion() {
	c, err := valvetrain.NewValveMotion(valvetrain.ValveCurveSpec{Lobe: workboatLobe(), Gear: workboatRocker()})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := c.Motion(units.MustParseCamAngle("-25 cam deg"))
	fmt.Printf("acceleration %.6f mm per cam degree squared\n", float64(m.Acceleration)*1000)
	// Output: acceleration -0.015348 mm per cam degree squared
}

func ExampleFingerCurve() {
	l, deg := units.MustParseLength, valvetrain.PlaneDegrees
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly345, MaxLift: l("5 mm"), Opening: 72 * units.CamDegree, Closing: 76 * units.CamDegree})
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := valvetrain.NewFingerCurve(valvetrain.FingerSpec{
		Finger: valvetrain.Finger{
			Pivot: valvetrain.Point{X: l("-32 mm"), Y: l("-31 mm")}, CamArm: l("33 mm"), TipArm: l("48 mm"), Between: deg(-4),
			CamRadius: l("10 mm"), TipRadius: l("8 mm"),
			Valve: valvetrain.Track{At: valvetrain.Point{X: l("16 mm"), Y: l("-38.2 mm")}, Direction: deg(-90)},
		},
		Turn: valvetrain.TurnsCounterclockwise, CamSide: valvetrain.LeftSide, Lobe: lobe, Base: l("18 mm"),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	at := units.MustParseCamAngle("-30 cam deg")
	fmt.Println("lift", millimeters(c.Lift(at)), fmt.Sprintf("slope %.5f mm per cam degree", float64(c.Velocity(at))*1000))
	fmt.Printf("acceleration %.5f mm per cam degree squared\n", float64(c.Motion(at).Acceleration)*1000)
	fmt.Println("greatest", millimeters(c.MaxLift()), "from", c.Span().Opens.Text(2), "to", c.Span().Closes.Text(2))
	s, err := c.At(at)
	show(err, "contact", millimeters(s.Contact), fmt.Sprintf("lever %.4f", s.Lever))
	// By hand at full lift: 48 - sqrt(48^2 - (7.025 - 0.8)^2) mm.
	w, err := c.Sweep()
	show(err, "sweep", millimeters(w.Width), w.Path, fmt.Sprintf("lever %.3f, %.3f, %.3f", w.Seat.Lever, w.Mid.Lever, w.Full.Lever))
	// Output:
	// lift 3.196 mm slope 0.17908 mm per cam degree
	// acceleration 0.00367 mm per cam degree squared
	// greatest 7.025 mm from -58.24 cam deg to 61.98 cam deg
	// contact -0.060 mm lever 1.4959
	// sweep 0.405 mm out and in lever 1.454, 1.500, 1.448
}

func ExampleBucketValve_Fit() {
	l := units.MustParseLength
	v := valvetrain.BucketValve{
		Name: "exhaust 3", Shim: l("2.50 mm"), Lash: units.WithU(l("0.34 mm"), l("0.005 mm")),
		Limits: units.Between(l("0.20 mm"), l("0.30 mm"), units.Source{Text: "engine card", Provenance: units.Stated}),
	}
	s, err := v.Fit(valvetrain.LashShims{Sizes: []units.Length{l("2.55 mm"), l("2.60 mm"), l("2.65 mm")}})
	show(err, s.Shim, "leaves", s.Lash.Value, s.Verdict.Outcome)
	// Output: 2.6 mm leaves 0.24 mm within
}

// A finger with its shim on the stem and its lash read at the cam: arms of 33 and
// 44 mm.
func ExampleBucketValve_Fit_finger() {
	l := units.MustParseLength
	v := valvetrain.BucketValve{
		Name: "intake 2", Shim: l("2.50 mm"), Lash: units.Unstated(l("0.34 mm")), Lever: 33.0 / 44,
		Limits: units.Between(l("0.20 mm"), l("0.30 mm"), units.Source{Text: "engine card", Provenance: units.Stated}),
	}
	// By hand: 2.50 mm + (0.34 - 0.25) mm/0.75 = 2.62 mm.
	s, err := v.Fit(valvetrain.LashShims{Sizes: []units.Length{l("2.58 mm"), l("2.60 mm"), l("2.65 mm")}})
	show(err, s.Shim, "leaves", s.Lash.Value)
	// Output: 2.6 mm leaves 0.265 mm
}

func ExampleBucketJob() {
	l := units.MustParseLength
	limits := units.Between(l("0.20 mm"), l("0.30 mm"), units.Source{Text: "engine card", Provenance: units.Stated})
	valve := func(name, shim, lash string) valvetrain.BucketValve {
		return valvetrain.BucketValve{Name: name, Shim: l(shim), Lash: units.Unstated(l(lash)), Limits: limits}
	}
	p, err := valvetrain.BucketJob{
		Valves: []valvetrain.BucketValve{valve("1", "2.50 mm", "0.35 mm"), valve("2", "2.60 mm", "0.15 mm"), valve("3", "2.70 mm", "0.24 mm")},
		Shims:  valvetrain.LashShims{Sizes: []units.Length{l("2.50 mm"), l("2.60 mm")}},
		Rule:   units.SimpleAcceptance,
	}.Plan()
	show(err, p.New, "new,", p.Moved, "moved")
	for _, v := range p.Valves {
		fmt.Println(v.Name, v.Shim, v.Origin, v.Lash.Value)
	}
	// Output:
	// 0 new, 2 moved
	// 1 2.6 mm exchanged 0.25 mm
	// 2 2.5 mm exchanged 0.25 mm
	// 3 2.7 mm kept 0.24 mm
}

func ExampleBucketPlan_Cautions() {
	for _, c := range (valvetrain.BucketPlan{}).Cautions() {
		fmt.Println(c.Text)
	}
	// Output:
	// measure every shim with a micrometer: the figure on it is what it was, not what it is
	// read every lash again after two turns of the crank by hand: a shim that is not seated reads as less lash
}

func ExampleValveJob_Sink() {
	l := units.MustParseLength
	s, err := valvetrain.ValveJob{SeatCut: l("0.2 mm"), FaceCut: l("0.1 mm"), SeatAngle: valvetrain.PlaneDegrees(45), TipCut: l("0.15 mm")}.Sink()
	show(err, "sunk", millimeters(s.Recession), "tip higher", millimeters(s.Tip), "spring shim", millimeters(s.SpringShim))
	// Output: sunk 0.424 mm tip higher 0.274 mm spring shim 0.424 mm
}

func ExampleStemHeight_Check() {
	l := units.MustParseLength
	r, err := valvetrain.StemHeight{
		Tip: units.WithU(l("48.30 mm"), l("0.03 mm")), Retainer: units.WithU(l("40.10 mm"), l("0.03 mm")),
		TipLimits: units.Some(units.Between(l("47.5 mm"), l("48.2 mm"), units.Source{Text: "engine card", Provenance: units.Stated})),
	}.Check()
	show(err, "protrusion", r.Protrusion.Value, r.TipVerdict.Value.Outcome, "grind", r.Grind)
	// Output: protrusion 8.2 mm outside grind 0.1 mm
}

func ExampleKeeperFit_Check() {
	l := units.MustParseLength
	m := func(s string) units.Measured[units.Length] { return units.Unstated(l(s)) }
	r, err := valvetrain.KeeperFit{Kind: valvetrain.ClampingKeepers, Gap: m("0.5 mm"), Other: m("0 mm"), Groove: m("1.65 mm"), Bead: m("1.60 mm"), Taper: valvetrain.PlaneDegrees(7)}.Check()
	show(err, "play", r.Play.Value, r.Findings)
	// Output: play 0.05 mm [the halves meet: the pair does not clamp the stem]
}

func ExampleLifterReading_Effect() {
	l := units.MustParseLength
	e, err := valvetrain.LifterReading{Of: valvetrain.MeasuredLift, Filling: valvetrain.BledDown, Value: units.Unstated(l("11.2 mm")), Give: units.Unstated(l("0.5 mm")), Ratio: 1.5}.Effect()
	show(err, e.Check.Name+":", e.Check.Finding, "lift", e.Lift.Value)
	// Output: lifter for lift and room: bled down: failed lift 11.95 mm
}

// The lash that is left hot, by the loop of parts, gives the hot lift.
func ExampleNewValveCurve_hot() {
	l := units.MustParseLength
	steel := material.Expansion{
		Base: units.Celsius(20), Lowest: units.Celsius(-20), Highest: units.Celsius(600),
		Coefficient: units.Unstated(units.PerKelvin(12e-6)), Source: units.Source{Text: "invented for the example", Provenance: units.Stated},
	}
	hot, err := camtiming.LashLoop{
		Ratio: 1.5, Lash: units.Unstated(l("0.40 mm")),
		Members: []camtiming.LoopMember{{
			Name: "valve, hotter than its head", Place: camtiming.OnValveSide, Hot: units.Unstated(units.Celsius(120)),
			Part: material.Part{Size: units.Unstated(l("100 mm")), Cold: units.Unstated(units.Celsius(20)), Expansion: steel},
		}},
	}.Hot()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, lash := range []units.Length{l("0.40 mm"), hot.Lash.Value} {
		c, err := valvetrain.NewValveCurve(valvetrain.ValveCurveSpec{Lobe: workboatLobe(), Gear: valvetrain.ConstantRatio{Ratio: 1.5}, Lash: units.Some(lash)})
		show(err, "lash", lash, "net lift", c.Lifts().Net, "gross", c.Lifts().Gross)
	}
	// Output:
	// lash 0.4 mm net lift 11.6 mm gross 12 mm
	// lash 0.28 mm net lift 11.72 mm gross 12 mm
}
