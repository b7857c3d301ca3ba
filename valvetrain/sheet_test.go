package valvetrain_test

import (
	"math"
	"testing"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func crankDeg(x int64) units.CrankAngle { return units.CrankAngle(x) * units.CrankDegree }

// workboatLash is the straight-six of the workboat; windows invented.
func workboatLash(tb testing.TB) firingorder.LashSetting {
	tb.Helper()
	l := must[*firingorder.Layout](tb)(firingorder.Inline(firingorder.InlineConfig{Crank: firingorder.SixEven, NumberedFrom: firingorder.FreeEnd, Rotation: firingorder.Clockwise}))
	e := must[*firingorder.Engine](tb)(firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: must[firingorder.Order](tb)(firingorder.ParseOrder("1-5-3-6-2-4"))}))
	return firingorder.LashSetting{Engine: e, Closed: []firingorder.ClosedValves{{
		Intake: firingorder.Window{From: crankDeg(240), To: crankDeg(-30)}, Exhaust: firingorder.Window{From: crankDeg(30), To: crankDeg(-240)},
	}}}
}

func cold(lash, least, greatest float64) valvetrain.ValveSetting {
	return valvetrain.ValveSetting{Lash: mm(lash), State: valvetrain.ColdEngine, Limits: units.Some(units.Between(mm(least), mm(greatest), own))}
}

func workboatSheet(tb testing.TB) valvetrain.SheetJob {
	tb.Helper()
	c := workboatLash(tb)
	return valvetrain.SheetJob{
		Engine: c.Engine, Plan: must[firingorder.LashPlan](tb)(c.AtOverlap()),
		Intake: cold(0.3, 0.25, 0.35), Exhaust: cold(0.45, 0.4, 0.5),
	}
}

// Every plan of the package gives a sheet that turns forward, ends where its last
// position is, and sets every valve once.
func TestSheetOfEveryPlan(t *testing.T) {
	c := workboatLash(t)
	plans := map[string]firingorder.LashPlan{
		"overlap":     must[firingorder.LashPlan](t)(c.AtOverlap()),
		"one by one":  must[firingorder.LashPlan](t)(c.OneAtATime()),
		"two":         must[firingorder.LashPlan](t)(c.TwoPositions(1)),
		"shortest":    must[firingorder.LashPlan](t)(c.ShortestPlan(firingorder.PlanRule{})),
		"shortest at": must[firingorder.LashPlan](t)(c.ShortestPlan(firingorder.PlanRule{Positions: firingorder.AtTDC})),
	}
	for name, p := range plans {
		for _, start := range []int64{0, -360, 47, 700} {
			j := workboatSheet(t)
			j.Plan, j.Start = p, crankDeg(start)
			s := must[valvetrain.AdjustmentSheet](t)(j.Sheet())
			at, lines := j.Start, 0
			for i, stop := range s.Stops {
				if stop.Turn < 0 || stop.Turn >= units.CrankCycle {
					t.Errorf("%s: turn %v", name, stop.Turn)
				}
				at += stop.Turn
				if d := (at - stop.At) % units.CrankCycle; d != 0 || stop.At != p.Positions[i].At {
					t.Errorf("%s: stop %d reached at %v, want %v", name, i, at, stop.At)
				}
				free := must[[]firingorder.FreeValve](t)(c.AppendFree(nil, at))
				for _, l := range stop.Lines {
					lines++
					ok := false
					for _, f := range free {
						ok = ok || f.Cylinder == l.Cylinder && f.Valve == l.Valve && f.Room == l.Room
					}
					if !ok {
						t.Errorf("%s: %s %d is not free at %v", name, l.Valve, l.Cylinder, at)
					}
				}
			}
			if lines != 12 || s.Turned != at-j.Start {
				t.Errorf("%s: %d lines, turned %v", name, lines, s.Turned)
			}
			worked(t, name, s.Working())
		}
	}
}

func TestSheetBlades(t *testing.T) {
	first := func(change func(*valvetrain.SheetJob)) valvetrain.SheetLine {
		j := workboatSheet(t)
		change(&j)
		return must[valvetrain.AdjustmentSheet](t)(j.Sheet()).Stops[0].Lines[0]
	}
	some := func(l units.Length) units.Optional[units.Length] { return units.Some(l) }
	for name, c := range map[string]struct {
		change func(*valvetrain.SheetJob)
		want   units.Optional[valvetrain.Blades]
	}{
		"limits":     {func(*valvetrain.SheetJob) {}, units.Some(valvetrain.Blades{Go: mm(0.25), NoGo: some(mm(0.35))})},
		"lash alone": {func(j *valvetrain.SheetJob) { j.Intake.Limits.Given = false }, units.Some(valvetrain.Blades{Go: mm(0.3)})},
		"lash and blades": {func(j *valvetrain.SheetJob) {
			j.Intake.Limits.Given = false
			j.Exhaust.Limits.Given = false
			j.Blades = []units.Length{mm(0.6), mm(0.45), mm(0.35), mm(0.3), mm(0.1)}
		}, units.Some(valvetrain.Blades{Go: mm(0.3), NoGo: some(mm(0.35))})},
		"least alone": {func(j *valvetrain.SheetJob) { j.Intake.Limits.Value.HasMax = false }, units.Some(valvetrain.Blades{Go: mm(0.25)})},
		"preload": {func(j *valvetrain.SheetJob) {
			j.Intake = valvetrain.ValveSetting{Preload: valvetrain.Turns{Parts: 3, Of: 4}}
		}, units.Optional[valvetrain.Blades]{}},
	} {
		if got := first(c.change).Blades; got != c.want {
			t.Errorf("%s: %+v, want %+v", name, got, c.want)
		}
	}
}

// The turns leave a lash that no other count of parts betters, found by trying all
// of them through the lever itself.
func TestRecordTurns(t *testing.T) {
	s := must[valvetrain.AdjustmentSheet](t)(workboatSheet(t).Sheet())
	for _, place := range []valvetrain.AdjusterPlace{valvetrain.AtPushrod, valvetrain.AtPivot, valvetrain.AtValve} {
		for read := 0.02; read < 1; read += 0.0371 {
			a := valvetrain.Adjuster{Place: place, Thread: valvetrain.Thread{PerInch: 24}, Ratio: 1.5}
			r := must[valvetrain.LashReport](t)(s.Record(valvetrain.LashRecord{
				Readings: []valvetrain.LashReading{{Cylinder: 4, Valve: firingorder.ExhaustValve, Lash: exact(mm(read))}}, Adjuster: units.Some(a), Of: 6,
			}))
			l := r.Lines[0]
			lever := map[valvetrain.AdjusterPlace]float64{valvetrain.AtPushrod: 1.5, valvetrain.AtPivot: 2.5, valvetrain.AtValve: 1}[place]
			best, after := math.Inf(1), 0.0
			for n := -60; n <= 60; n++ {
				x := l.Reading.Lash.Value.Millimeters() + float64(n)/6*25.4/24*lever
				if d := math.Abs(x - 0.45); d < best-1e-9 {
					best, after = d, x
				}
			}
			if math.Abs(l.After.Millimeters()-after) > 1e-6 {
				t.Errorf("%s, read %v: leaves %v, best %v mm", place, read, l.After, after)
			}
			if l.Back != (l.Reading.Lash.Value < mm(0.45)) || l.Change != mm(0.45)-l.Reading.Lash.Value {
				t.Errorf("%s, read %v: %+v", place, read, l)
			}
			if len(r.Unread) != 11 || r.Outcome == units.ProvedWithin {
				t.Errorf("%d unread, %v", len(r.Unread), r.Outcome)
			}
			worked(t, "record", r.Working())
		}
	}
	// All read and right.
	var all []valvetrain.LashReading
	for cy := 1; cy <= 6; cy++ {
		all = append(all, valvetrain.LashReading{Cylinder: cy, Valve: firingorder.IntakeValve, Lash: units.WithU(mm(0.3), mm(0.005))},
			valvetrain.LashReading{Cylinder: cy, Valve: firingorder.ExhaustValve, Lash: units.WithU(mm(0.45), mm(0.005))})
	}
	r := must[valvetrain.LashReport](t)(s.Record(valvetrain.LashRecord{Readings: all}))
	if r.Outcome != units.ProvedWithin || len(r.Unread) != 0 {
		t.Errorf("%+v", r)
	}
	all[5].Lash.Value = mm(0.6)
	if r := must[valvetrain.LashReport](t)(s.Record(valvetrain.LashRecord{Readings: all})); r.Outcome != units.ProvedOutside {
		t.Errorf("%+v", r)
	}
	// At the valve the ratio cancels and need not be known.
	r = must[valvetrain.LashReport](t)(s.Record(valvetrain.LashRecord{Readings: all[:1], Of: 4, Adjuster: units.Some(valvetrain.Adjuster{Place: valvetrain.AtValve, Thread: valvetrain.Thread{Pitch: mm(1)}})}))
	if r.Lines[0].After != mm(0.3) {
		t.Errorf("%+v", r)
	}
}

func TestBadSheet(t *testing.T) {
	good := workboatSheet(t)
	type job = valvetrain.SheetJob
	sheet := func(change func(*job)) func() (any, error) {
		return with(good, func(j *job) {
			j.Plan.Positions = append([]firingorder.LashPosition(nil), j.Plan.Positions...)
			change(j)
		}, func(j job) (int, error) { s, err := j.Sheet(); return len(s.Stops), err })
	}
	made := must[valvetrain.AdjustmentSheet](t)(good.Sheet())
	type rec = valvetrain.LashRecord
	one3 := valvetrain.LashReading{Cylinder: 3, Valve: firingorder.IntakeValve, Lash: exact(mm(0.3))}
	record := func(change func(*rec)) func() (any, error) {
		return with(rec{Readings: []valvetrain.LashReading{one3}, Of: 6, Adjuster: units.Some(valvetrain.Adjuster{Place: valvetrain.AtPushrod, Thread: valvetrain.Thread{Pitch: mm(1)}, Ratio: 1.5})}, func(r *rec) {
			r.Readings = append([]valvetrain.LashReading(nil), r.Readings...)
			change(r)
		}, func(r rec) (int, error) { x, err := made.Record(r); return len(x.Lines), err })
	}
	oil := good
	oil.Intake = valvetrain.ValveSetting{Preload: valvetrain.Turns{Whole: 1}}
	oiled := must[valvetrain.AdjustmentSheet](t)(oil.Sheet())
	refuse(t, []bad{
		{"no engine", sheet(func(j *job) { j.Engine = nil }), "Engine", units.ErrMissing},
		{"zero engine", sheet(func(j *job) { j.Engine = &firingorder.Engine{} }), "Engine", units.ErrMissing},
		{"no plan", sheet(func(j *job) { j.Plan = firingorder.LashPlan{} }), "Plan", units.ErrMissing},
		{"start", sheet(func(j *job) { j.Start = crankDeg(721) }), "Start", units.ErrRange},
		{"position", sheet(func(j *job) { j.Plan.Positions[1].At = crankDeg(720) }), "Plan.Positions[1].At", units.ErrRange},
		{"no such valve", sheet(func(j *job) {
			j.Plan.Positions[0].Set = []firingorder.FreeValve{{Cylinder: 7, Valve: firingorder.IntakeValve}}
		}), "Plan.Positions[0].Set", units.ErrConflict},
		{"no such kind", sheet(func(j *job) { j.Plan.Positions[0].Set = []firingorder.FreeValve{{Cylinder: 1}} }), "Plan.Positions[0].Set", units.ErrConflict},
		{"twice", sheet(func(j *job) { j.Plan.Positions[1].Set = j.Plan.Positions[0].Set }), "Plan.Positions[1].Set[0]", units.ErrConflict},
		{"valves left", sheet(func(j *job) { j.Plan.Positions = j.Plan.Positions[:5] }), "Plan", units.ErrConflict},
		{"no lash", sheet(func(j *job) { j.Intake.Lash = 0 }), "Intake.Lash", units.ErrMissing},
		{"lash", sheet(func(j *job) { j.Exhaust.Lash = -1 }), "Exhaust.Lash", units.ErrRange},
		{"huge lash", sheet(func(j *job) { j.Exhaust.Lash = most }), "Exhaust.Lash", units.ErrRange},
		{"cold or hot", sheet(func(j *job) { j.Intake.State = 0 }), "Intake.State", units.ErrMissing},
		{"lash and preload", sheet(func(j *job) { j.Intake.Preload = valvetrain.Turns{Whole: 1} }), "Intake.Preload", units.ErrConflict},
		{"preload", sheet(func(j *job) { j.Intake = valvetrain.ValveSetting{Preload: valvetrain.Turns{Whole: -1}} }), "Intake.turns.Whole", units.ErrRange},
		{"limits without source", sheet(func(j *job) { j.Intake.Limits.Value.Source = units.Source{} }), "Intake.Limits", units.ErrConflict},
		{"lash out of limits", sheet(func(j *job) { j.Intake.Lash = mm(0.4) }), "Intake.Lash", units.ErrConflict},
		{"blade", sheet(func(j *job) { j.Blades = []units.Length{mm(0.2), 0} }), "Blades[1]", units.ErrMissing},
		{"no blades that prove it", sheet(func(j *job) { j.Blades = []units.Length{mm(0.3), mm(0.45)} }), "Intake.Limits", units.ErrImpossible},
		{"zero sheet", one(func() (int, error) { _, err := (valvetrain.AdjustmentSheet{}).Record(rec{}); return 0, err }), "AdjustmentSheet", units.ErrMissing},
		{"reading of none", record(func(r *rec) { r.Readings[0].Cylinder = 7 }), "Readings[0]", units.ErrConflict},
		{"read twice", record(func(r *rec) { r.Readings = append(r.Readings, r.Readings[0]) }), "Readings[1]", units.ErrConflict},
		{"negative reading", record(func(r *rec) { r.Readings[0].Lash.Value = -1 }), "Readings[0].Lash", units.ErrRange},
		{"reading u", record(func(r *rec) { r.Readings[0].Lash = units.WithU(mm(0.3), -1) }), "Readings[0].Lash.U", units.ErrRange},
		{"rule", record(func(r *rec) { r.Rule = 9 }), "Readings[0].Rule", units.ErrConflict},
		{"no ratio", record(func(r *rec) { r.Adjuster.Value.Ratio = 0 }), "Adjuster.Ratio", units.ErrMissing},
		{"ratio nan", record(func(r *rec) { r.Adjuster.Value.Ratio = nan }), "Adjuster.Ratio", units.ErrRange},
		{"no place", record(func(r *rec) { r.Adjuster.Value.Place = 0 }), "Adjuster.Place", units.ErrMissing},
		{"no parts", record(func(r *rec) { r.Of = 0 }), "Adjuster.Of", units.ErrRange},
		{"no thread", record(func(r *rec) { r.Adjuster.Value.Thread = valvetrain.Thread{} }), "Adjuster.Thread", units.ErrMissing},
		{"hydraulic", one(func() (int, error) {
			_, err := oiled.Record(rec{Readings: []valvetrain.LashReading{one3}})
			return 0, err
		}), "Readings[0]", units.ErrConflict},
	})
	if len(oiled.Cautions()) <= len(made.Cautions()) {
		t.Error("no caution for hydraulic lifters")
	}
	hot := good
	hot.Exhaust.State = valvetrain.HotEngine
	if h := must[valvetrain.AdjustmentSheet](t)(hot.Sheet()); len(h.Cautions()) <= len(made.Cautions()) {
		t.Error("no caution for a hot engine")
	}
	_, _, _ = valvetrain.AdjustmentSheet{}.Working(), valvetrain.AdjustmentSheet{}.Cautions(), valvetrain.LashReport{}.Working()
	if s := valvetrain.EngineState(7).String(); s != "state not given" {
		t.Error(s)
	}
}

func BenchmarkSheet(b *testing.B) {
	j := workboatSheet(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := j.Sheet(); err != nil {
			b.Fatal(err)
		}
	}
}
