package camtiming_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// TestDriveTeeth: a direct drive has one tooth error, half a turn of cam teeth
// is a turn of the crank, and a tooth of the cam is what ToothAngle says.
func TestDriveTeeth(t *testing.T) {
	for n := 10; n <= 60; n++ {
		d := must[camtiming.DriveTeeth](t)(camtiming.Drive{CrankTeeth: n, CamTeeth: 2 * n}.Teeth())
		if d.CrankMesh != d.CamMesh || d.CrankMesh != d.Finest || d.CamMesh != camtiming.ToothAngle(2*n) {
			t.Errorf("%d teeth: %+v, want one figure, %s", n, d, camtiming.ToothAngle(2*n))
		}
		// The finest step with an intermediate shaft divides both others.
		h, err := camtiming.Drive{CrankTeeth: n, DrivenTeeth: 2 * n, DrivingTeeth: 20, CamTeeth: 20}.Teeth()
		if err != nil {
			t.Fatal(err)
		}
		for _, mesh := range []units.CrankAngle{h.CrankMesh, h.CamMesh} {
			k := mesh.Degrees() / h.Finest.Degrees()
			near(t, "steps in a tooth", k, math.Round(k), 1e-6)
		}
	}
}

// TestHeadShiftFirstOrder compares with the derivative lowered cos(beta)/r2
// summed over small steps, and checks signs and limit cases.
func TestHeadShiftFirstOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 6))
	for range 300 {
		d1, d2 := 40+80*r.Float64(), 60+100*r.Float64()
		c := (d1+d2)/2 + 50 + 300*r.Float64()
		low := 4*r.Float64() - 1
		h := camtiming.HeadHeight{Wheels: camtiming.WheelPair{Driver: mm(d1), CamWheel: mm(d2), CenterDistance: mm(c)}}
		if low > 0 {
			h.Removed = mm(low)
		} else {
			h.Thicker = mm(-low)
		}
		s := must[camtiming.HeadShift](t)(h.Shift())
		const n = 2000
		var sum float64
		for i := range n {
			x := c - low*(float64(i)+0.5)/n
			sum += low / n * math.Sqrt(1-(d2-d1)*(d2-d1)/(4*x*x)) / (d2 / 2)
		}
		near(t, "retard", s.Retard.Degrees(), 2*sum*180/math.Pi, 2e-8)
		if (low > 0) != (s.Retard > 0) {
			t.Errorf("lowered by %g mm: retard %s has the wrong sign", low, s.Retard)
		}
	}
	// Equal wheels, no offset: exactly the arc of the change. No change: nothing.
	eq := camtiming.HeadHeight{Wheels: camtiming.WheelPair{Driver: mm(100), CamWheel: mm(100), CenterDistance: mm(300)}, Removed: mm(1)}
	near(t, "equal wheels", must[camtiming.HeadShift](t)(eq.Shift()).Retard.Degrees(), 2*180/math.Pi/50, 1e-9)
	eq.Offset, eq.Thicker = mm(30), mm(1)
	if s := must[camtiming.HeadShift](t)(eq.Shift()); s.Retard != 0 || s.Lowered != 0 {
		t.Errorf("a gasket as thick as the cut: %+v, want no change", s)
	}
	if w := must[camtiming.HeadShift](t)(eq.Shift()).Working(); len(w) != 4 {
		t.Errorf("working has %d steps, want 4", len(w))
	}
}

// TestHeadShiftThereAndBack: a cut and the shim that makes up for it cancel.
func TestHeadShiftThereAndBack(t *testing.T) {
	down := camtiming.HeadHeight{Wheels: camtiming.WheelPair{Driver: mm(55), CamWheel: mm(110), CenterDistance: mm(210)}, Offset: mm(15), Removed: mm(0.8)}
	s := must[camtiming.HeadShift](t)(down.Shift())
	up := camtiming.HeadHeight{Wheels: s.After, Offset: mm(15), Thicker: mm(0.8)}
	b := must[camtiming.HeadShift](t)(up.Shift())
	near(t, "there and back", (s.Retard + b.Retard).Degrees(), 0, 2e-9)
	near(t, "center distance", b.After.CenterDistance.Millimeters(), 210, 2e-9)
}

func TestOffsetInverse(t *testing.T) {
	for _, kind := range []camtiming.OffsetKind{camtiming.OffsetBushing, camtiming.OffsetKey} {
		for _, speed := range []camtiming.WheelSpeed{camtiming.AtCrankSpeed, camtiming.AtCamSpeed} {
			for e := 0.01; e < 11; e *= 1.7 {
				p := camtiming.OffsetPart{Kind: kind, Offset: mm(e), Radius: mm(12), Speed: speed}
				a := must[units.CrankAngle](t)(p.Shift())
				p.Offset = 0
				near(t, kind.String()+" "+speed.String(), must[units.Length](t)(p.OffsetFor(a)).Millimeters(), e, 1e-9)
			}
		}
	}
}

func TestRimInverse(t *testing.T) {
	rim := camtiming.Rim{Diameter: mm(203)}
	for d := -360.0; d <= 360; d += 7.5 {
		l := must[units.Length](t)(rim.Distance(crank(d)))
		near(t, "rim", must[units.CrankAngle](t)(rim.Angle(l)).Degrees(), d, 2e-9)
	}
	// A whole turn is the circumference.
	near(t, "turn", must[units.Length](t)(rim.Distance(units.CrankTurn)).Millimeters(), math.Pi*203, 1e-9)
}

func TestMarkUnstated(t *testing.T) {
	c := camtiming.MarkCheck{Rim: camtiming.Rim{Diameter: mm(160)}, Past: units.Unstated(mm(-2)), TDC: crank(0.2)}
	e := must[camtiming.MarkError](t)(c.Check())
	if e.Early.Stated || e.Judged || e.Early.Value >= 0 {
		t.Errorf("a mark before the pointer: %+v, want a negative error, unstated, not judged", e)
	}
	if len(e.Working()) == 0 {
		t.Error("no working")
	}
	c.Limits, c.Rule = camtiming.GearTrainTimingLimit(), units.SimpleAcceptance
	if e := must[camtiming.MarkError](t)(c.Check()); !e.Judged || e.Verdict.Outcome != units.ProvedWithin {
		t.Errorf("%+v, want it accepted simply", e)
	}
}

func TestDriveNames(t *testing.T) {
	for got, want := range map[string]string{
		camtiming.AtCrankSpeed.String(): "crank speed", camtiming.AtCamSpeed.String(): "cam speed", camtiming.WheelSpeed(0).String(): "unknown speed",
		camtiming.ChainWheel.String(): "chain wheel", camtiming.BeltWheel.String(): "belt wheel", camtiming.WheelKind(9).String(): "unknown wheel",
		camtiming.OffsetBushing.String(): "offset bushing", camtiming.OffsetKey.String(): "offset key", camtiming.OffsetKind(0).String(): "unknown offset part",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestBadDrive(t *testing.T) {
	drive := func(a, b, c, d int) func() (any, error) {
		return one(camtiming.Drive{CrankTeeth: a, CamTeeth: b, DrivenTeeth: c, DrivingTeeth: d}.Teeth)
	}
	mesh := camtiming.Mesh{Backlash: mm(0.1), PitchDiameter: mm(100), Speed: camtiming.AtCrankSpeed}
	m := func(f func(*camtiming.Mesh)) func() (any, error) {
		x := mesh
		f(&x)
		return one(x.Play)
	}
	plays := func(l []camtiming.Mesh) func() (any, error) {
		return func() (any, error) { return camtiming.DrivePlay(l) }
	}
	w := func(k camtiming.WheelKind, p units.Length, z int) func() (any, error) {
		return one(camtiming.DriveWheel{Kind: k, Pitch: p, Teeth: z}.PitchDiameter)
	}
	pair := camtiming.WheelPair{Driver: mm(60), CamWheel: mm(120), CenterDistance: mm(400)}
	p := func(f func(*camtiming.WheelPair)) func() (any, error) {
		x := pair
		f(&x)
		return one(x.TightRun)
	}
	length := func(pitch units.Length, n int, l units.Length) func() (any, error) {
		return one(camtiming.ChainLength{Pitch: pitch, Links: n, Length: l}.Elongation)
	}
	wear := func(e float64, run, d units.Length) func() (any, error) {
		return one(camtiming.ChainWear{Elongation: e, TightRun: run, CamWheel: d}.Retard)
	}
	h := func(f func(*camtiming.HeadHeight)) func() (any, error) {
		x := camtiming.HeadHeight{Wheels: pair, Removed: mm(0.5)}
		f(&x)
		return one(x.Shift)
	}
	part := camtiming.OffsetPart{Kind: camtiming.OffsetBushing, Offset: mm(1), Radius: mm(20), Speed: camtiming.AtCamSpeed}
	o := func(f func(*camtiming.OffsetPart)) func() (any, error) {
		x := part
		f(&x)
		return one(x.Shift)
	}
	of := func(a units.CrankAngle, f func(*camtiming.OffsetPart)) func() (any, error) {
		x := part
		f(&x)
		return func() (any, error) { return x.OffsetFor(a) }
	}
	rim := func(d units.Length, a units.CrankAngle) func() (any, error) {
		return func() (any, error) { return camtiming.Rim{Diameter: d}.Distance(a) }
	}
	back := func(d, l units.Length) func() (any, error) {
		return func() (any, error) { return camtiming.Rim{Diameter: d}.Angle(l) }
	}
	mark := func(f func(*camtiming.MarkCheck)) func() (any, error) {
		x := camtiming.MarkCheck{Rim: camtiming.Rim{Diameter: mm(160)}, Past: units.WithU(mm(2), mm(0.2)), TDC: crank(0.1)}
		f(&x)
		return one(x.Check)
	}
	r := units.ErrRange
	refuse(t, []bad{
		{"no crank teeth", drive(0, 36, 0, 0), "CrankTeeth", r},
		{"negative cam teeth", drive(18, -36, 0, 0), "CamTeeth", r},
		{"too many teeth", drive(501, 1002, 0, 0), "CamTeeth", r},
		{"cam turns with the crank", drive(18, 18, 0, 0), "CamTeeth", units.ErrConflict},
		{"teeth swapped", drive(36, 18, 0, 0), "CamTeeth", units.ErrConflict},
		{"no driven wheel", drive(21, 20, 0, 20), "DrivenTeeth", units.ErrMissing},
		{"no driving wheel", drive(21, 20, 42, 0), "DrivingTeeth", units.ErrMissing},
		{"two teeth driven", drive(21, 20, 2, 20), "DrivenTeeth", r},
		{"two teeth driving", drive(21, 20, 42, 2), "DrivingTeeth", r},
		{"intermediate at a quarter", drive(21, 40, 42, 20), "CamTeeth", units.ErrConflict},

		{"no diameter", m(func(x *camtiming.Mesh) { x.PitchDiameter = 0 }), "PitchDiameter", r},
		{"negative backlash", m(func(x *camtiming.Mesh) { x.Backlash = -1 }), "Backlash", r},
		{"backlash and diameter swapped", m(func(x *camtiming.Mesh) { x.Backlash, x.PitchDiameter = x.PitchDiameter, x.Backlash }), "Backlash", r},
		{"no speed", m(func(x *camtiming.Mesh) { x.Speed = 0 }), "Speed", units.ErrMissing},
		{"unknown speed", m(func(x *camtiming.Mesh) { x.Speed = 7 }), "Speed", units.ErrMissing},
		{"no meshes", plays(nil), "meshes", units.ErrMissing},
		{"65 meshes", plays(make([]camtiming.Mesh, 65)), "meshes", r},
		{"second mesh empty", plays([]camtiming.Mesh{mesh, {}}), "meshes[1].PitchDiameter", r},

		{"no kind of wheel", w(0, mm(9.525), 36), "Kind", units.ErrMissing},
		{"no pitch", w(camtiming.ChainWheel, 0, 36), "Pitch", r},
		{"pitch overflow", w(camtiming.BeltWheel, most, 36), "Pitch", r},
		{"two teeth", w(camtiming.ChainWheel, mm(9.525), 2), "Teeth", r},

		{"no driver", p(func(x *camtiming.WheelPair) { x.Driver = 0 }), "Driver", r},
		{"cam wheel least", p(func(x *camtiming.WheelPair) { x.CamWheel = least }), "CamWheel", r},
		{"center distance most", p(func(x *camtiming.WheelPair) { x.CenterDistance = most }), "CenterDistance", r},
		{"wheels run into each other", p(func(x *camtiming.WheelPair) { x.CenterDistance = mm(90) }), "CenterDistance", units.ErrImpossible},

		{"chain without pitch", length(0, 40, mm(380)), "Pitch", r},
		{"no links", length(mm(9.525), 0, mm(380)), "Links", r},
		{"a link too many", length(mm(9.525), 10, mm(106)), "Length", r},
		{"length least", length(mm(9.525), 10, least), "Length", r},
		{"elongation NaN", wear(math.NaN(), mm(120), mm(110)), "Elongation", r},
		{"elongation Inf", wear(math.Inf(1), mm(120), mm(110)), "Elongation", r},
		{"elongation negative", wear(-0.01, mm(120), mm(110)), "Elongation", r},
		{"elongation in percent", wear(1, mm(120), mm(110)), "Elongation", r},
		{"no tight run", wear(0.01, 0, mm(110)), "TightRun", r},
		{"no cam wheel", wear(0.01, mm(120), 0), "CamWheel", r},

		{"head without wheels", h(func(x *camtiming.HeadHeight) { x.Wheels = camtiming.WheelPair{} }), "Wheels.Driver", r},
		{"removed negative", h(func(x *camtiming.HeadHeight) { x.Removed = -1 }), "Removed", r},
		{"removed too much", h(func(x *camtiming.HeadHeight) { x.Removed = mm(41) }), "Removed", r},
		{"gasket least", h(func(x *camtiming.HeadHeight) { x.Thicker = least }), "Thicker", r},
		{"offset as the distance", h(func(x *camtiming.HeadHeight) { x.Offset = mm(400) }), "Offset", units.ErrImpossible},
		{"offset least", h(func(x *camtiming.HeadHeight) { x.Offset = least }), "Offset", units.ErrImpossible},
		{"cam past the driver", h(func(x *camtiming.HeadHeight) { x.Offset, x.Removed = mm(399.9), mm(20) }), "Offset", units.ErrImpossible},
		{"cam into the driver", h(func(x *camtiming.HeadHeight) { x.Wheels.CenterDistance, x.Removed = mm(91), mm(2) }), "Removed", units.ErrImpossible},

		{"no kind of part", o(func(x *camtiming.OffsetPart) { x.Kind = 0 }), "Kind", units.ErrMissing},
		{"no radius", o(func(x *camtiming.OffsetPart) { x.Radius = 0 }), "Radius", r},
		{"part without speed", o(func(x *camtiming.OffsetPart) { x.Speed = 0 }), "Speed", units.ErrMissing},
		{"no offset", o(func(x *camtiming.OffsetPart) { x.Offset = 0 }), "Offset", r},
		{"offset and radius swapped", o(func(x *camtiming.OffsetPart) { x.Offset, x.Radius = x.Radius, x.Offset }), "Offset", r},
		{"shift zero", of(0, func(*camtiming.OffsetPart) {}), "shift", r},
		{"shift negative", of(least, func(*camtiming.OffsetPart) {}), "shift", r},
		{"shift past the radius", of(crank(120), func(*camtiming.OffsetPart) {}), "shift", r},
		{"key past the radius", of(crank(180), func(x *camtiming.OffsetPart) { x.Kind = camtiming.OffsetKey }), "shift", r},
		{"shift without kind", of(crank(4), func(x *camtiming.OffsetPart) { x.Kind = 0 }), "Kind", units.ErrMissing},

		{"rim without diameter", rim(0, crank(1)), "Diameter", r},
		{"over a turn", rim(mm(200), crank(361)), "angle", r},
		{"angle least", rim(mm(200), least), "angle", r},
		{"back without diameter", back(-1, mm(1)), "Diameter", r},
		{"over a circumference", back(mm(200), mm(629)), "distance", r},

		{"mark past a turn", mark(func(x *camtiming.MarkCheck) { x.Past.Value = mm(700) }), "Past", r},
		{"mark without rim", mark(func(x *camtiming.MarkCheck) { x.Rim.Diameter = 0 }), "Rim.Diameter", r},
		{"mark u negative", mark(func(x *camtiming.MarkCheck) { x.Past.U = -1 }), "Past.U", r},
		{"TDC u negative", mark(func(x *camtiming.MarkCheck) { x.TDC = -1 }), "TDC", r},
		{"TDC u over 90", mark(func(x *camtiming.MarkCheck) { x.TDC = crank(91) }), "TDC", r},
		{"limits swapped", mark(func(x *camtiming.MarkCheck) {
			x.Limits = units.Between(crank(2), crank(-2), camtiming.GearTrainTimingLimit().Source)
		}), "Limits", units.ErrConflict},
		{"limits without source", mark(func(x *camtiming.MarkCheck) { x.Limits = units.AtMost(crank(2), units.Source{}) }), "Limits.Source", units.ErrMissing},
	})
}

var sinkCrank units.CrankAngle

func TestDriveAllocates(t *testing.T) {
	head := camtiming.HeadHeight{Wheels: camtiming.WheelPair{Driver: mm(60), CamWheel: mm(120), CenterDistance: mm(400)}, Removed: mm(0.5)}
	rim := camtiming.Rim{Diameter: mm(203)}
	part := camtiming.OffsetPart{Kind: camtiming.OffsetBushing, Offset: mm(1), Radius: mm(20), Speed: camtiming.AtCamSpeed}
	mesh := camtiming.Mesh{Backlash: mm(0.1), PitchDiameter: mm(100), Speed: camtiming.AtCrankSpeed}
	wear := camtiming.ChainWear{Elongation: 0.01, TightRun: mm(120), CamWheel: mm(110)}
	for name, f := range map[string]func(){
		"head": func() { s, _ := head.Shift(); sinkCrank = s.Retard },
		"rim":  func() { sinkCrank, _ = rim.Angle(mm(2)) },
		"part": func() { sinkCrank, _ = part.Shift() },
		"mesh": func() { sinkCrank, _ = mesh.Play() },
		"wear": func() { sinkCrank, _ = wear.Retard() },
		"run":  func() { sinkLength, _ = head.Wheels.TightRun() },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s: %g allocations, want none", name, n)
		}
	}
}

func BenchmarkHeadShift(b *testing.B) {
	h := camtiming.HeadHeight{Wheels: camtiming.WheelPair{Driver: mm(60), CamWheel: mm(120), CenterDistance: mm(400)}, Offset: mm(20)}
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		h.Removed = mm(0.01 * float64(i&63))
		s, _ := h.Shift()
		sinkCrank = s.Retard
		i++
	}
}

func BenchmarkRim(b *testing.B) {
	rim := camtiming.Rim{Diameter: mm(203)}
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		sinkCrank, _ = rim.Angle(units.Length(i&63) * units.Millimeter)
		i++
	}
}

func FuzzHeadShift(f *testing.F) {
	f.Add(int64(mm(60)), int64(mm(120)), int64(mm(400)), int64(0), int64(mm(0.5)), int64(0))
	f.Add(int64(mm(55)), int64(mm(110)), int64(mm(210)), int64(mm(-200)), int64(mm(1)), int64(mm(2)))
	f.Add(int64(least), int64(most), int64(most), int64(least), int64(most), int64(least))
	f.Fuzz(func(t *testing.T, d1, d2, c, off, removed, thicker int64) {
		h := camtiming.HeadHeight{
			Wheels: camtiming.WheelPair{Driver: units.Length(d1), CamWheel: units.Length(d2), CenterDistance: units.Length(c)},
			Offset: units.Length(off), Removed: units.Length(removed), Thicker: units.Length(thicker),
		}
		s, err := h.Shift()
		if err != nil {
			if s.Retard != 0 || s.After != (camtiming.WheelPair{}) {
				t.Fatalf("%+v beside an error", s)
			}
			return
		}
		if s.Lowered != h.Removed-h.Thicker || s.Lowered == 0 && s.Retard != 0 {
			t.Fatalf("%+v of %+v", s, h)
		}
	})
}

func FuzzOffsetPart(f *testing.F) {
	f.Add(uint8(1), uint8(2), int64(mm(0.35)), int64(mm(20)))
	f.Add(uint8(2), uint8(1), int64(mm(0.8)), int64(mm(16)))
	f.Fuzz(func(t *testing.T, kind, speed uint8, e, radius int64) {
		p := camtiming.OffsetPart{Kind: camtiming.OffsetKind(kind), Speed: camtiming.WheelSpeed(speed), Offset: units.Length(e), Radius: units.Length(radius)}
		a, err := p.Shift()
		if err != nil {
			if a != 0 {
				t.Fatalf("%s beside an error", a)
			}
			return
		}
		if a < 0 || a > units.CrankTurn/2 {
			t.Fatalf("%+v shifts by %s", p, a)
		}
		if back, err := p.OffsetFor(a); err == nil { // an angle rounds to 1e-9 degree, which is radius * 1.8e-11
			if d := (back - p.Offset).Abs(); float64(d) > 1+2e-11*float64(p.Radius) {
				t.Fatalf("%+v: back %s", p, back)
			}
		}
	})
}
