package valvetrain_test

import (
	"math"
	"testing"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func TestValveSink(t *testing.T) {
	for angle := 5.0; angle <= 75; angle += 10 {
		s := must[valvetrain.ValveSink](t)(valvetrain.ValveJob{SeatCut: mm(0.2), FaceCut: mm(0.13), SeatAngle: deg(angle), TipCut: mm(0.1), Insert: mm(0.05)}.Sink())
		// The cone moved along the axis by what the cuts let it: its distance square
		// to its line, by the two lines y = x tan a and y = x tan a + s.
		m := math.Tan(angle * math.Pi / 180)
		near(t, "distance of the cones", (s.Recession+mm(0.05)).Millimeters()/math.Sqrt(1+m*m), 0.33, 1e-8)
		if s.Tip != s.Recession-mm(0.1) || s.Grind != s.Tip || s.Retainer != s.Recession || s.SpringShim != s.Recession {
			t.Errorf("%+v", s)
		}
		worked(t, "sink", s.Working())
	}
	// What the tip does to a rocker: the lash closes by as much.
	s := must[valvetrain.ValveSink](t)(valvetrain.ValveJob{SeatCut: mm(0.1), SeatAngle: deg(45)}.Sink())
	before := must[valvetrain.LinkageState](t)(boatRocker.At(0))
	c := must[valvetrain.PushrodChange](t)(boatRocker.After(valvetrain.ShopWork{Tip: s.Tip, Up: deg(90)}))
	if (before.Gap - c.After - s.Tip).Abs() > 2 {
		t.Errorf("lash from %v to %v by %v", before.Gap, c.After, s.Tip)
	}
}

func TestStemKeepersAndFilling(t *testing.T) {
	r := must[valvetrain.StemReport](t)(valvetrain.StemHeight{Tip: exact(mm(48)), Retainer: exact(mm(40))}.Check())
	if r.Protrusion.Stated || r.Protrusion.Value != mm(8) || r.TipVerdict.Given || r.Grind != 0 {
		t.Errorf("%+v", r)
	}
	worked(t, "stem", r.Working())
	good := valvetrain.KeeperFit{Kind: valvetrain.AbuttingKeepers, Groove: exact(mm(1.7)), Bead: exact(mm(1.6))}
	k := must[valvetrain.KeeperReport](t)(good.Check())
	if !k.Grips || k.Settle != 0 || k.Play.Value != mm(0.1) {
		t.Errorf("%+v", k)
	}
	worked(t, "keepers", k.Working())
	good.Gap, good.Bead = exact(mm(0.1)), exact(mm(1.8))
	if k := must[valvetrain.KeeperReport](t)(good.Check()); k.Grips || len(k.Findings) != 2 || k.Play.Value != -mm(0.1) {
		t.Errorf("%+v", k)
	}
	good.Kind, good.Other, good.Taper = valvetrain.ClampingKeepers, exact(mm(0.3)), deg(45)
	// On a cone of 45 degrees the retainer rises by what each half moves in.
	if k := must[valvetrain.KeeperReport](t)(good.Check()); k.Settle != mm(0.1) {
		t.Errorf("%+v", k)
	}
	for of := valvetrain.MeasuredLift; of <= valvetrain.MeasuredClearance; of++ {
		for f := valvetrain.LifterFilling(0); f <= valvetrain.CollapsedHard; f++ {
			e := must[valvetrain.LifterEffect](t)(valvetrain.LifterReading{Of: of, Filling: f, Value: exact(mm(3)), Ratio: 1.6}.Effect())
			right := f == valvetrain.SolidLifter || f == valvetrain.PumpedUp
			if of == valvetrain.MeasuredClearance {
				right = f == valvetrain.CollapsedHard
			}
			want := valvetrain.Failed
			if right {
				want = valvetrain.Passed
			}
			if f == 0 {
				want = valvetrain.NotDone
			}
			if e.Check.Finding != want || e.Check.Reason == "" || !e.Check.Source.Given() || e.Lift.Value != mm(3) {
				t.Errorf("%v, %v: %+v", of, f, e.Check)
			}
			worked(t, "effect", e.Working())
		}
	}
	for _, w := range []units.Working{valvetrain.ValveSink{}.Working(), valvetrain.StemReport{}.Working(), valvetrain.KeeperReport{}.Working(), valvetrain.LifterEffect{}.Working()} {
		if w != nil {
			t.Error("a zero result has a working")
		}
	}
	if valvetrain.KeeperKind(0).String() != "none" || valvetrain.LifterFilling(9).String() != "unknown" || valvetrain.MeasuredAt(0).String() != "none" || valvetrain.SweepPath(0).String() != "none" || valvetrain.SweepGoal(0).String() != "none" {
		t.Error("names")
	}
}

func TestValveJobRefuses(t *testing.T) {
	job := valvetrain.ValveJob{SeatCut: mm(0.1), SeatAngle: deg(45)}
	sink := func(j valvetrain.ValveJob) (valvetrain.ValveSink, error) { return j.Sink() }
	height := valvetrain.StemHeight{Tip: exact(mm(48)), Retainer: exact(mm(40))}
	stem := func(h valvetrain.StemHeight) (valvetrain.StemReport, error) { return h.Check() }
	fit := valvetrain.KeeperFit{Kind: valvetrain.ClampingKeepers, Gap: exact(mm(0.5)), Other: exact(mm(0.5)), Groove: exact(mm(1.7)), Bead: exact(mm(1.6)), Taper: deg(7)}
	keeper := func(f valvetrain.KeeperFit) (valvetrain.KeeperReport, error) { return f.Check() }
	read := valvetrain.LifterReading{Of: valvetrain.MeasuredLift, Filling: valvetrain.BledDown, Value: exact(mm(10)), Give: exact(mm(1)), Ratio: 1.5}
	effect := func(r valvetrain.LifterReading) (valvetrain.LifterEffect, error) { return r.Effect() }
	swapped := units.Some(units.Between(mm(2), mm(1), own))
	refuse(t, []bad{
		{"negative cut", with(job, func(j *valvetrain.ValveJob) { j.SeatCut = -1 }, sink), "SeatCut", units.ErrRange},
		{"endless cut", with(job, func(j *valvetrain.ValveJob) { j.FaceCut = most }, sink), "FaceCut", units.ErrRange},
		{"tip", with(job, func(j *valvetrain.ValveJob) { j.TipCut = -1 }, sink), "TipCut", units.ErrRange},
		{"insert", with(job, func(j *valvetrain.ValveJob) { j.Insert = -most }, sink), "Insert", units.ErrRange},
		{"no angle", with(job, func(j *valvetrain.ValveJob) { j.SeatAngle = 0 }, sink), "SeatAngle", units.ErrMissing},
		{"NaN", with(job, func(j *valvetrain.ValveJob) { j.SeatAngle = valvetrain.PlaneAngle(nan) }, sink), "SeatAngle", units.ErrRange},
		{"flat", with(job, func(j *valvetrain.ValveJob) { j.SeatAngle = deg(90) }, sink), "SeatAngle", units.ErrRange},
		{"no stem", one(valvetrain.StemHeight{}.Check), "Tip", units.ErrMissing},
		{"retainer", with(height, func(h *valvetrain.StemHeight) { h.Retainer.Value = -1 }, stem), "Retainer", units.ErrRange},
		{"u", with(height, func(h *valvetrain.StemHeight) { h.Tip = units.WithU(mm(40), -1) }, stem), "Tip.U", units.ErrRange},
		{"head", with(height, func(h *valvetrain.StemHeight) { h.Head = units.Some(exact(most)) }, stem), "Head", units.ErrRange},
		{"head limits", with(height, func(h *valvetrain.StemHeight) { h.HeadLimits = swapped }, stem), "Head", units.ErrMissing},
		{"swapped", with(height, func(h *valvetrain.StemHeight) { h.TipLimits = swapped }, stem), "TipLimits", units.ErrConflict},
		{"swapped head", with(height, func(h *valvetrain.StemHeight) { h.Head, h.HeadLimits = units.Some(exact(mm(1))), swapped }, stem), "HeadLimits", units.ErrConflict},
		{"no keepers", one(valvetrain.KeeperFit{}.Check), "Kind", units.ErrMissing},
		{"no groove", with(fit, func(f *valvetrain.KeeperFit) { f.Groove.Value = 0 }, keeper), "Groove", units.ErrMissing},
		{"no bead", with(fit, func(f *valvetrain.KeeperFit) { f.Bead.Value = 0 }, keeper), "Bead", units.ErrMissing},
		{"gap", with(fit, func(f *valvetrain.KeeperFit) { f.Gap.Value = -1 }, keeper), "Gap", units.ErrRange},
		{"other u", with(fit, func(f *valvetrain.KeeperFit) { f.Other = units.WithU(mm(1), -1) }, keeper), "Other.U", units.ErrRange},
		{"proud", with(fit, func(f *valvetrain.KeeperFit) { f.Proud.Value = most }, keeper), "Proud", units.ErrRange},
		{"no taper", with(fit, func(f *valvetrain.KeeperFit) { f.Taper = 0 }, keeper), "Taper", units.ErrMissing},
		{"steep", with(fit, func(f *valvetrain.KeeperFit) { f.Taper = deg(60) }, keeper), "Taper", units.ErrRange},
		{"gap limits", with(fit, func(f *valvetrain.KeeperFit) { f.GapLimits = swapped }, keeper), "GapLimits", units.ErrConflict},
		{"play limits", with(fit, func(f *valvetrain.KeeperFit) { f.PlayLimits = swapped }, keeper), "PlayLimits", units.ErrConflict},
		{"proud limits", with(fit, func(f *valvetrain.KeeperFit) { f.ProudLimits = swapped }, keeper), "ProudLimits", units.ErrConflict},
		{"nothing measured", one(valvetrain.LifterReading{}.Effect), "Of", units.ErrMissing},
		{"filling", with(read, func(r *valvetrain.LifterReading) { r.Filling = 9 }, effect), "Filling", units.ErrRange},
		{"value", with(read, func(r *valvetrain.LifterReading) { r.Value.Value = most }, effect), "Value", units.ErrRange},
		{"give", with(read, func(r *valvetrain.LifterReading) { r.Give.Value = -1 }, effect), "Give", units.ErrRange},
		{"give u", with(read, func(r *valvetrain.LifterReading) { r.Give.U = 1 }, effect), "Give.U", units.ErrConflict},
		{"solid give", with(read, func(r *valvetrain.LifterReading) { r.Filling = valvetrain.SolidLifter }, effect), "Give", units.ErrConflict},
		{"no ratio", with(read, func(r *valvetrain.LifterReading) { r.Ratio = nan }, effect), "Ratio", units.ErrRange},
	})
}
