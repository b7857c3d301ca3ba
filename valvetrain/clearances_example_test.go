package valvetrain_test

import (
	"fmt"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// The parts of these examples are those of the straight-six of a restored wooden
// workboat; the figures are invented.

func ExampleHeadPair_At() {
	mm := units.Millimeter
	p := valvetrain.HeadPair{
		Intake:  valvetrain.ValveHead{Diameter: units.Unstated(44 * mm), Margin: mm},
		Exhaust: valvetrain.ValveHead{Diameter: units.Unstated(36 * mm), Margin: mm, Center: valvetrain.HeadPlace{Y: 44 * mm}},
	}
	// Side by side the rims are 4 mm apart; with the intake valve 4 mm open it
	// stands 3 mm under the other's face, margin taken off.
	g, err := p.At(valvetrain.HeadLifts{Intake: 4 * mm})
	show(err, g.Gap.Value)
	// Output: 5 mm
}

func ExampleHeadGap() {
	mm := units.Millimeter
	// In line, too near, and open at the same time.
	p := valvetrain.HeadPair{
		Intake:  valvetrain.ValveHead{Diameter: units.Unstated(44 * mm), Margin: 2 * mm},
		Exhaust: valvetrain.ValveHead{Diameter: units.Unstated(36 * mm), Margin: 2 * mm, Center: valvetrain.HeadPlace{Y: 38 * mm}},
	}
	g, err := p.At(valvetrain.HeadLifts{Intake: 5 * mm, Exhaust: 4 * mm})
	show(err, "gap", g.Gap.Value)
	fmt.Println("intake valve back by", g.IntakeBack.Text(units.Millimeters, 3), "or exhaust valve by", g.ExhaustBack.Text(units.Millimeters, 3))
	fmt.Println("clearance", g.Clearance().Text(units.Millimeters, 3))
	// Output:
	// gap 0 mm
	// intake valve back by 3.000 mm or exhaust valve by 1.000 mm
	// clearance -1.000 mm
}

// hemispherical is a pair of valves that open toward each other, and its cam.
func hemispherical() (valvetrain.HeadPair, *camtiming.Cam, error) {
	um, deg := units.Micrometer, units.CamDegree
	intake, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Cycloidal, MaxLift: 6800 * um, Opening: 72 * deg, Closing: 72 * deg})
	if err != nil {
		return valvetrain.HeadPair{}, nil, err
	}
	exhaust, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Cycloidal, MaxLift: 6600 * um, Opening: 74 * deg, Closing: 74 * deg})
	if err != nil {
		return valvetrain.HeadPair{}, nil, err
	}
	cam, err := camtiming.NewCam(camtiming.CamSpec{Intake: intake, Exhaust: exhaust, Separation: 104 * deg})
	return valvetrain.HeadPair{
		Intake:  valvetrain.ValveHead{Diameter: units.Unstated(44000 * um), Margin: 1500 * um, Center: valvetrain.HeadPlace{Y: -20600 * um}, Lean: valvetrain.PlaneDegrees(-18)},
		Exhaust: valvetrain.ValveHead{Diameter: units.Unstated(37000 * um), Margin: 1500 * um, Center: valvetrain.HeadPlace{Y: 19400 * um}, Lean: valvetrain.PlaneDegrees(20)},
	}, cam, err
}

func gear() camtiming.Installation {
	return camtiming.Installation{
		Intake:  camtiming.ValveGear{Ratio: 1.5, Lash: 300 * units.Micrometer},
		Exhaust: camtiming.ValveGear{Ratio: 1.5, Lash: 450 * units.Micrometer},
	}
}

func ExampleHeadPair_Mount() {
	heads, cam, err := hemispherical()
	show(err, "a cam of", cam.Spec().Separation)
	in := gear()
	for _, separation := range []units.CamAngle{104 * units.CamDegree, 110 * units.CamDegree} {
		in.Separation = units.Some(separation)
		m, err := heads.Mount(valvetrain.HeadTiming{Cam: cam, Installation: in})
		if err != nil {
			fmt.Println(err)
			return
		}
		c, err := m.Closest()
		show(err, separation, "leaves", c.Clearance.Value.Text(units.Millimeters, 3))
	}
	// Output:
	// a cam of 104 cam deg
	// 104 cam deg leaves 1.069 mm
	// 110 cam deg leaves 1.364 mm
}

func ExampleMovingHeads() {
	heads, cam, err := hemispherical()
	if err != nil {
		fmt.Println(err)
		return
	}
	in := gear()
	in.Advance = 6 * units.CrankDegree
	m, err := heads.Mount(valvetrain.HeadTiming{Cam: cam, Installation: in})
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := m.Closest()
	show(err, "nearest at", c.At.Text(1), "after overlap TDC")
	l := m.Lifts(c.At)
	fmt.Println("valves open", l.Intake.Text(units.Millimeters, 2), "and", l.Exhaust.Text(units.Millimeters, 2))
	fmt.Println("gap there", m.At(c.At).Gap.Value.Text(units.Millimeters, 3))
	// Output:
	// nearest at -2.7 crank deg after overlap TDC
	// valves open 1.22 mm and 0.72 mm
	// gap there 1.069 mm
}

func ExampleHeadClearance() {
	heads, cam, err := hemispherical()
	if err != nil {
		fmt.Println(err)
		return
	}
	in := gear()
	in.Separation = units.Some(86 * units.CamDegree)
	m, err := heads.Mount(valvetrain.HeadTiming{Cam: cam, Installation: in})
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := m.Closest()
	show(err, "clearance", c.Clearance.Value.Text(units.Millimeters, 2))
	for _, t := range c.Touch {
		fmt.Println("they touch from", t.From.Text(2), "to", t.To.Text(2))
	}
	fmt.Println(c.Cautions()[2].Text)
	// Output:
	// clearance -0.30 mm
	// they touch from -0.25 crank deg to 4.52 crank deg
	// the valve heads meet: do not turn the engine over with this cam and timing
}

func ExampleTravel_Check() {
	mm := units.Millimeter
	seal, err := valvetrain.TravelRule(valvetrain.RetainerToSeal)
	show(err, "at least", seal.Min.Text(units.Inches, 3), "by", seal.Source.Provenance)
	own := units.Source{Text: "the builder's own limit", Provenance: units.Stated}
	r, err := valvetrain.Travel{
		Lift: units.WithU(12*mm, 30*units.Micrometer), OverTravel: units.Unstated(0 * mm),
		Limits: []valvetrain.TravelLimit{
			{Place: valvetrain.RetainerToSeal, Gap: valvetrain.ClosingGap(units.WithU(14200*units.Micrometer, 40*units.Micrometer)), Least: units.Some(seal)},
			{Place: valvetrain.RetainerToRocker, Gap: valvetrain.GapReadings{
				{Gap: units.Unstated(3 * mm)}, {Lift: 12 * mm, Gap: units.Unstated(2 * mm)},
			}, Least: units.Some(units.AtLeast(mm, own))},
		},
		Rule: units.ProveBeyondU,
	}.Check()
	show(err, "first", r.Checks[r.First].Place, "with", r.Left.Text(units.Millimeters, 3), "of lift left")
	for _, c := range r.Checks {
		fmt.Println(c.Place, c.AtMost.Value.Text(units.Millimeters, 2), c.Verdict.Value.Outcome)
	}
	fmt.Println(r.Outcome)
	// Output:
	// at least 0.060 in by common practice
	// first retainer to seal with 0.676 mm of lift left
	// retainer to seal 2.20 mm within
	// retainer to rocker 2.00 mm not proved
	// not proved
}

func ExampleTravelRule() {
	l, err := valvetrain.TravelRule(valvetrain.SlotToStud)
	show(err, "at least", l.Min.Text(units.Inches, 3))
	// Output: at least 0.040 in
}

func ExampleTravelReport() {
	r, err := valvetrain.Travel{
		Lift: units.Unstated(12 * units.Millimeter), OverTravel: units.Unstated(units.Millimeter),
		Limits: []valvetrain.TravelLimit{{Place: valvetrain.CoilBind, Gap: valvetrain.ClosingGap(units.Unstated(12600 * units.Micrometer))}},
	}.Check()
	show(err, r.Left)
	c := r.Cautions()
	fmt.Println(c[len(c)-1].Text)
	// Output:
	// 0.6 mm
	// coil bind is reached before full lift and over-travel: do not run the engine
}

func ExampleClosingGap_GapAt() {
	g, err := valvetrain.ClosingGap(units.Unstated(14 * units.Millimeter)).GapAt(12 * units.Millimeter)
	show(err, g.Gap.Value)
	// Output: 2 mm
}

func ExampleNest_BindGap() {
	s := valvetrain.LinearSpring{
		Height: 42 * units.Millimeter, Force: units.Unstated(units.Newtons(320)), Rate: units.Unstated(units.NewtonsPerMillimeter(28)),
		Solid: units.Unstated(26 * units.Millimeter),
	}
	g, err := valvetrain.Nest{Springs: []valvetrain.NestSpring{{Name: "single", Spring: s}}}.BindGap(units.Unstated(42 * units.Millimeter))
	show(err, units.Measured[units.Length](g))
	// Output: 16 mm
}

func ExampleRockerSlot() {
	mm := units.Millimeter
	s := valvetrain.RockerSlot{
		Slot: units.Unstated(24 * mm), Stud: units.Unstated(9500 * units.Micrometer), Edge: 5500 * units.Micrometer, TipArm: 38 * mm,
		Closed: valvetrain.PlaneDegrees(-8), TipClosed: valvetrain.PlaneDegrees(-9.5),
	}
	t, err := s.TurnAt(13100 * units.Micrometer)
	show(err, fmt.Sprintf("%.2f deg past square", t.Degrees()))
	g, err := s.GapAt(13100 * units.Micrometer)
	show(err, g.Gap.Value.Text(units.Millimeters, 2))
	// Output:
	// 11.85 deg past square
	// 5.86 mm
}

func ExamplePushrodHole_GapAt() {
	mm := units.Millimeter
	h := valvetrain.PushrodHole{
		Hole: units.Unstated(15 * mm), Rod: units.Unstated(8 * mm), Center: valvetrain.HeadPlace{Z: 100 * mm}, Top: 120 * mm,
		Stands: []valvetrain.PushrodStand{
			{Upper: valvetrain.HeadPlace{Z: 200 * mm}},
			{Lift: 12 * mm, Lower: valvetrain.HeadPlace{Z: 8 * mm}, Upper: valvetrain.HeadPlace{Y: 4 * mm, Z: 208 * mm}},
		},
	}
	// At full lift the rod is 112/200 of 4 mm off center at the upper edge.
	g, err := h.GapAt(12 * mm)
	show(err, g.Gap.Value.Text(units.Millimeters, 2))
	// Output: 1.26 mm
}

func ExampleGapReadings_GapAt() {
	mm := units.Millimeter
	r := valvetrain.GapReadings{{Gap: units.Unstated(3 * mm)}, {Lift: 12 * mm, Gap: units.Unstated(2 * mm)}}
	g, err := r.GapAt(15 * mm)
	show(err, g.Gap.Value)
	// Output: 1.75 mm
}

// lashJob is the workboat's six, its valves set cylinder by cylinder.
func lashJob() (valvetrain.SheetJob, error) {
	l, err := firingorder.Inline(firingorder.InlineConfig{Crank: firingorder.SixEven, NumberedFrom: firingorder.FreeEnd, Rotation: firingorder.Clockwise})
	if err != nil {
		return valvetrain.SheetJob{}, err
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: firingorder.Order{1, 5, 3, 6, 2, 4}})
	if err != nil {
		return valvetrain.SheetJob{}, err
	}
	deg, um := units.CrankDegree, units.Micrometer
	closed, err := camtiming.Events{IVO: 12 * deg, IVC: 48 * deg, EVO: 50 * deg, EVC: 14 * deg}.ClosedWindows(10 * deg)
	if err != nil {
		return valvetrain.SheetJob{}, err
	}
	plan, err := firingorder.LashSetting{Engine: e, Closed: []firingorder.ClosedValves{closed}}.AtOverlap()
	card := units.Source{Text: "the engine's card", Provenance: units.Stated}
	return valvetrain.SheetJob{
		Engine: e, Plan: plan,
		Intake:  valvetrain.ValveSetting{Lash: 300 * um, State: valvetrain.ColdEngine, Limits: units.Some(units.Between(250*um, 350*um, card))},
		Exhaust: valvetrain.ValveSetting{Lash: 450 * um, State: valvetrain.ColdEngine, Limits: units.Some(units.Between(400*um, 500*um, card))},
	}, err
}

func ExampleSheetJob_Sheet() {
	j, err := lashJob()
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := j.Sheet()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range s.Stops[:2] {
		fmt.Printf("turn %s: cylinder %d fires, %d rocks\n", p.Turn.Text(0), p.Firing, p.Overlap)
		for _, l := range p.Lines {
			b := l.Blades.Value
			fmt.Printf("  %s %d: %s %s, %s passes, %s does not\n", l.Valve, l.Cylinder, l.Setting.Lash, l.Setting.State, b.Go, b.NoGo.Value)
		}
	}
	// Output:
	// turn 0 crank deg: cylinder 1 fires, 6 rocks
	//   intake 1: 0.3 mm cold, 0.25 mm passes, 0.35 mm does not
	//   exhaust 1: 0.45 mm cold, 0.4 mm passes, 0.5 mm does not
	// turn 120 crank deg: cylinder 5 fires, 2 rocks
	//   intake 5: 0.3 mm cold, 0.25 mm passes, 0.35 mm does not
	//   exhaust 5: 0.45 mm cold, 0.4 mm passes, 0.5 mm does not
}

func ExampleAdjustmentSheet() {
	j, err := lashJob()
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := j.Sheet()
	show(err, s.Cautions()[0].Text)
	r, err := s.Record(valvetrain.LashRecord{
		Readings: []valvetrain.LashReading{{Cylinder: 3, Valve: firingorder.ExhaustValve, Lash: units.WithU(620*units.Micrometer, 10*units.Micrometer)}},
		Adjuster: units.Some(valvetrain.Adjuster{Place: valvetrain.AtPushrod, Thread: valvetrain.Thread{Pitch: units.Millimeter}, Ratio: 1.5}),
		Of:       12,
	})
	show(err, len(r.Unread), "valves not read")
	l := r.Lines[0]
	fmt.Println(l.Verdict.Value.Outcome, "- change", l.Change, "- down", l.Turns.Value, "- leaves", l.After)
	// Output:
	// disconnect the battery, remove the plugs, turn the crank by hand in normal rotation and stop at any resistance
	// 11 valves not read
	// outside - change -0.17 mm - down 1/12 turn - leaves 0.495 mm
}
