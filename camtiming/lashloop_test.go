package camtiming_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

func metal(e6 float64) material.Expansion {
	return material.Expansion{
		Base: units.Celsius(20), Lowest: units.Celsius(-50), Highest: units.Celsius(700),
		Coefficient: units.WithU(units.PerKelvin(e6*1e-6), units.PerKelvin(e6*3e-8)),
		Source:      units.Source{Text: "test", Provenance: units.Stated},
	}
}

func member(place camtiming.LoopPlace, l, e6, hot float64) camtiming.LoopMember {
	return camtiming.LoopMember{
		Name: place.String(), Place: place, Hot: units.WithU(units.Celsius(hot), units.Kelvins(4)),
		Part: material.Part{Size: units.WithU(mm(l), 0), Cold: units.WithU(units.Celsius(20), units.Kelvins(1)), Expansion: metal(e6)},
	}
}

// The loop against the lever itself: heights stacked up, the lever laid on the
// pushrod, the gap at the tip measured, cold and hot.
func TestLashLoopAgainstTheLever(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for range 200 {
		ratio := 1 + r.Float64()
		block, gasket, pivot, seat := 200+60*r.Float64(), 1+r.Float64(), 80+40*r.Float64(), 30+20*r.Float64()
		base, lifter, valve := 15+3*r.Float64(), 60+10*r.Float64(), 100+30*r.Float64()
		places := []camtiming.LoopPlace{
			camtiming.UnderPivotAndSeat, camtiming.UnderPivotAndSeat, camtiming.UnderPivot, camtiming.UnderSeat,
			camtiming.OnLifterSide, camtiming.OnLifterSide, camtiming.OnLifterSide, camtiming.OnValveSide,
		}
		const arm = 28.0
		// A pushrod and an adjuster at the valve make the cold lash 0.4 mm, with the
		// lever level.
		pushrod := block + gasket + pivot - base - lifter
		reach := block + gasket + pivot - (block + gasket + seat + valve) - 0.4
		sizes := []float64{block, gasket, pivot, seat, base, lifter, pushrod, valve}
		lash := func(h []float64, reach float64) float64 {
			v := h[0] + h[1] + h[2]
			phi := math.Asin((h[4] + h[5] + h[6] - v) / arm)
			return v - ratio*arm*math.Sin(phi) - (h[0] + h[1] + h[3] + h[7] + reach)
		}
		l := camtiming.LashLoop{Ratio: ratio, Lash: units.WithU(mm(lash(sizes, reach)), mm(0.01))}
		hot := make([]float64, len(sizes))
		for i, s := range sizes {
			e6, at := 10+14*r.Float64(), 60+60*r.Float64()
			l.Members = append(l.Members, member(places[i], s, e6, at))
			hot[i] = s * (1 + e6*1e-6*(at-20))
		}
		h := must[camtiming.HotLash](t)(l.Hot())
		near(t, "hot lash", h.Lash.Value.Millimeters(), lash(hot, reach), 1e-7)
		if h.Lash.Value != l.Lash.Value+h.Change.Value || !h.Lash.Stated {
			t.Fatalf("lash %v, change %v", h.Lash, h.Change)
		}
		// The uncertainty by shifting one figure after another.
		u := 0.01e-3
		for i := range l.Members {
			for _, f := range []func(*camtiming.LoopMember){
				func(m *camtiming.LoopMember) { m.Hot.Value += m.Hot.U },
				func(m *camtiming.LoopMember) { m.Part.Cold.Value += m.Part.Cold.U },
				func(m *camtiming.LoopMember) {
					m.Part.Expansion.Coefficient.Value += m.Part.Expansion.Coefficient.U
				},
			} {
				k := l
				k.Members = append([]camtiming.LoopMember(nil), l.Members...)
				f(&k.Members[i])
				u = math.Hypot(u, (must[camtiming.HotLash](t)(k.Hot()).Lash.Value - h.Lash.Value).Meters())
			}
		}
		near(t, "u", h.Lash.U.Meters(), u, 0.01*u)
		cold := must[units.Measured[units.Length]](t)(l.ColdFor(h.Lash.Value.Abs()))
		if cold.Value != h.Lash.Value.Abs()-h.Change.Value || cold.U != h.Change.U || !cold.Stated {
			t.Fatalf("cold for %v: %v", h.Lash.Value, cold)
		}
		for _, s := range h.Working() {
			if s.Symbol == "" || s.Formula == "" || s.Numbers == "" || s.Value == "" || !s.Source.Given() {
				t.Fatalf("step %+v", s)
			}
		}
	}
}

// A cam straight above the valve: what grows under it opens, what stands
// between it and the seat closes.
func TestLashLoopBucket(t *testing.T) {
	l := camtiming.LashLoop{Ratio: 1, Lash: units.Unstated(mm(0.25)), Members: []camtiming.LoopMember{
		member(camtiming.UnderCam, 95, 20, 120), member(camtiming.OnValveSide, 95, 20, 120),
	}}
	h := must[camtiming.HotLash](t)(l.Hot())
	if h.Lash != units.Unstated(mm(0.25)) || h.Change.Value != 0 || !h.Change.Stated {
		t.Errorf("one metal at one temperature: %v, %v", h.Lash, h.Change)
	}
	if h.Members[0].Change.Value != mm(0.19) || h.Members[1].Change.Value != -mm(0.19) {
		t.Errorf("members %v", h.Members)
	}
}

// Unchanged temperatures change nothing, and the timing of both sides agrees
// with ValveTiming at the lash by hand.
func TestWarmUp(t *testing.T) {
	k := unequalPair.cam(t)
	loop := func(ratio, lash float64, hot float64) camtiming.LashLoop {
		return camtiming.LashLoop{Ratio: ratio, Lash: units.WithU(mm(lash), mm(0.01)), Members: []camtiming.LoopMember{
			member(camtiming.UnderPivotAndSeat, 230, 11.4, hot), member(camtiming.OnLifterSide, 300, 11.7, hot), member(camtiming.OnValveSide, 118, 11, hot),
		}}
	}
	in := camtiming.WarmUpInput{CheckLift: mm(0.1), Advance: crank(2), Intake: loop(1.5, 0.4, 20), Exhaust: loop(1.6, 0.5, 20)}
	w := must[camtiming.WarmUp](t)(k.WarmUp(in))
	if w.Timing.Events != (camtiming.Events{}) || w.Intake.Change.Value != 0 {
		t.Errorf("nothing warmed: %v", w.Timing.Events)
	}
	in.Intake, in.Exhaust = loop(1.5, 0.4, 90), loop(1.6, 0.5, 140)
	w = must[camtiming.WarmUp](t)(k.WarmUp(in))
	hot := camtiming.Installation{Advance: crank(2), Intake: must[camtiming.ValveGear](t)(w.Intake.Gear()), Exhaust: must[camtiming.ValveGear](t)(w.Exhaust.Gear())}
	want := must[camtiming.ValveTiming](t)(k.ValveTiming(hot, mm(0.1)))
	if w.Timing.After != want || hot.Intake.Lash != w.Intake.Lash.Value || hot.Exhaust.Ratio != 1.6 {
		t.Errorf("hot timing %v, want %v", w.Timing.After, want)
	}
	// Less lash lengthens both openings.
	if w.Intake.Change.Value >= 0 || w.Timing.Events.IVO <= 0 || w.Timing.Events.IVC <= 0 || w.Timing.Events.EVO <= 0 || w.Timing.Events.EVC <= 0 {
		t.Errorf("change %v, events %v", w.Intake.Change, w.Timing.Events)
	}
	if len(w.Working()) != 4+4+9 {
		t.Errorf("%d steps", len(w.Working()))
	}
	if (camtiming.WarmUp{}).Working() != nil || (camtiming.HotLash{}).Working() != nil {
		t.Error("zero values show working")
	}
	for p, s := range map[camtiming.LoopPlace]string{0: "no place", camtiming.UnderCam: "under the cam", 77: "no place"} {
		if p.String() != s {
			t.Errorf("%d: %q", p, p)
		}
	}
}

func TestBadLashLoop(t *testing.T) {
	good := func() camtiming.LashLoop {
		return camtiming.LashLoop{Ratio: 1.5, Lash: units.WithU(mm(0.4), mm(0.01)), Members: []camtiming.LoopMember{
			member(camtiming.UnderPivot, 100, 11, 90), member(camtiming.OnLifterSide, 300, 11.7, 90),
		}}
	}
	loop := func(f func(*camtiming.LashLoop)) func() (any, error) {
		l := good()
		f(&l)
		return func() (any, error) { h, err := l.Hot(); return h.Lash, err }
	}
	warm := func(f func(*camtiming.WarmUpInput)) func() (any, error) {
		in := camtiming.WarmUpInput{CheckLift: mm(0.1), Intake: good(), Exhaust: good()}
		f(&in)
		k := unequalPair.cam(t)
		return func() (any, error) { w, err := k.WarmUp(in); return w.Timing, err }
	}
	cold := func(hot units.Length, f func(*camtiming.LashLoop)) func() (any, error) {
		l := good()
		f(&l)
		return func() (any, error) { return l.ColdFor(hot) }
	}
	same := func(*camtiming.LashLoop) {}
	refuse(t, []bad{
		{"zero loop", func() (any, error) { h, err := camtiming.LashLoop{}.Hot(); return h.Lash, err }, "Ratio", units.ErrRange},
		{"ratio nan", loop(func(l *camtiming.LashLoop) { l.Ratio = math.NaN() }), "Ratio", units.ErrRange},
		{"ratio inf", loop(func(l *camtiming.LashLoop) { l.Ratio = math.Inf(1) }), "Ratio", units.ErrRange},
		{"lash negative", loop(func(l *camtiming.LashLoop) { l.Lash.Value = -1 }), "Lash", units.ErrRange},
		{"lash overflow", loop(func(l *camtiming.LashLoop) { l.Lash.Value = most }), "Lash", units.ErrRange},
		{"lash u", loop(func(l *camtiming.LashLoop) { l.Lash.U = least }), "Lash.U", units.ErrRange},
		{"no members", loop(func(l *camtiming.LashLoop) { l.Members = nil }), "Members", units.ErrMissing},
		{"too many", loop(func(l *camtiming.LashLoop) { l.Members = make([]camtiming.LoopMember, 65) }), "Members", units.ErrRange},
		{"no place", loop(func(l *camtiming.LashLoop) { l.Members[1].Place = 0 }), "Members[1].Place", units.ErrMissing},
		{"unknown place", loop(func(l *camtiming.LashLoop) { l.Members[0].Place = 7 }), "Members[0].Place", units.ErrMissing},
		{"no size", loop(func(l *camtiming.LashLoop) { l.Members[1].Part.Size.Value = 0 }), "Members[1].Part.Size", units.ErrMissing},
		{"no material", loop(func(l *camtiming.LashLoop) { l.Members[1].Part.Expansion = material.Expansion{} }), "Members[1].Part.Expansion.Base", units.ErrMissing},
		{"hot missing", loop(func(l *camtiming.LashLoop) { l.Members[1].Hot.Value = 0 }), "Members[1].Hot", units.ErrMissing},
		{"hot past the source", loop(func(l *camtiming.LashLoop) { l.Members[0].Hot.Value = units.Celsius(701) }), "Members[0].Hot", units.ErrRange},
		{"hot u", loop(func(l *camtiming.LashLoop) { l.Members[0].Hot.U = -1 }), "Members[0].Hot.U", units.ErrRange},
		{"cold for negative", cold(-1, same), "hot", units.ErrRange},
		{"cold for overflow", cold(most, same), "hot", units.ErrRange},
		{"cold for opens more", cold(0, func(l *camtiming.LashLoop) { l.Members = l.Members[:1] }), "hot", units.ErrImpossible},
		{"cold for no loop", cold(mm(0.1), func(l *camtiming.LashLoop) { l.Members = nil }), "Members", units.ErrMissing},
		{"gear of nothing", func() (any, error) { return camtiming.HotLash{}.Gear() }, "HotLash", units.ErrMissing},
		{"warm intake", warm(func(w *camtiming.WarmUpInput) { w.Intake.Members = nil }), "Intake.Members", units.ErrMissing},
		{"warm exhaust gone", warm(func(w *camtiming.WarmUpInput) {
			w.Exhaust.Lash.Value = 0
			w.Exhaust.Members = w.Exhaust.Members[1:]
		}), "Exhaust.Lash", units.ErrImpossible},
		{"warm check lift", warm(func(w *camtiming.WarmUpInput) { w.CheckLift = -1 }), "Before.checkLift", units.ErrRange},
		{"warm advance", warm(func(w *camtiming.WarmUpInput) { w.Advance = 2 * units.CrankTurn }), "Before.Advance", units.ErrRange},
		{"warm zero cam", func() (any, error) {
			w, err := new(camtiming.Cam).WarmUp(camtiming.WarmUpInput{CheckLift: mm(0.1), Intake: good(), Exhaust: good()})
			return w.Timing, err
		}, "Before.Intake.LiftCurve", units.ErrMissing},
	})
}

func BenchmarkLashLoopHot(b *testing.B) {
	l := camtiming.LashLoop{Ratio: 1.5, Lash: units.WithU(mm(0.4), mm(0.01)), Members: []camtiming.LoopMember{
		member(camtiming.UnderPivotAndSeat, 230, 11.4, 85), member(camtiming.UnderPivot, 100, 11, 90), member(camtiming.OnLifterSide, 300, 11.7, 90), member(camtiming.OnValveSide, 118, 15.5, 180),
	}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := l.Hot(); err != nil {
			b.Fatal(err)
		}
	}
}

// workboatLoop is the intake side of the workboat: iron block and head, steel
// pushrod, a valve that runs hotter than the rest.
func workboatLoop() camtiming.LashLoop {
	iron, _ := material.GrayIron.Material()
	steel, _ := material.Steel1020.Material()
	valve, _ := material.ValveSteelX45CrSi93.Material()
	bench := units.WithU(units.Celsius(20), units.Kelvins(1))
	part := func(name string, place camtiming.LoopPlace, l string, m material.Material, hot float64) camtiming.LoopMember {
		return camtiming.LoopMember{
			Name: name, Place: place, Hot: units.WithU(units.Celsius(hot), units.Kelvins(5)),
			Part: material.Part{Size: units.WithU(units.MustParseLength(l), units.Millimeter/10), Cold: bench, Expansion: m.Expansion},
		}
	}
	return camtiming.LashLoop{
		Ratio: 1.5, Lash: units.WithU(units.MustParseLength("0.40 mm"), 10*units.Micrometer),
		Members: []camtiming.LoopMember{
			part("block to deck", camtiming.UnderPivotAndSeat, "230 mm", iron, 80),
			part("head to rocker stand", camtiming.UnderPivot, "100 mm", iron, 85),
			part("head to seat", camtiming.UnderSeat, "20 mm", iron, 100),
			part("pushrod and lifter", camtiming.OnLifterSide, "312 mm", steel, 80),
			part("valve", camtiming.OnValveSide, "120 mm", valve, 170),
		},
	}
}

func ExampleLashLoop() {
	l := workboatLoop()
	h, err := l.Hot()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range h.Members {
		fmt.Println(m.Name, m.Change.Value.Text(units.Millimeters, 3))
	}
	fmt.Println("hot", h.Lash.Value.Text(units.Millimeters, 3))
	cold, _ := l.ColdFor(units.MustParseLength("0.35 mm"))
	fmt.Println("for 0.35 mm hot set", cold.Value.Text(units.Millimeters, 3))
	g, _ := h.Gear()
	fmt.Println(g.Ratio, g.Lash.Text(units.Millimeters, 3))
	// Output:
	// block to deck 0.236 mm
	// head to rocker stand 0.185 mm
	// head to seat -0.018 mm
	// pushrod and lifter -0.329 mm
	// valve -0.198 mm
	// hot 0.276 mm
	// for 0.35 mm hot set 0.474 mm
	// 1.5 0.276 mm
}

func ExampleHotLash_Gear() {
	l := workboatLoop()
	l.Lash.Value = units.MustParseLength("0.10 mm")
	h, _ := l.Hot()
	_, err := h.Gear()
	fmt.Println(h.Lash.Value.Text(units.Millimeters, 3))
	fmt.Println(err != nil)
	// Output:
	// -0.024 mm
	// true
}

func ExampleCam_WarmUp() {
	k, err := equalLobesCam()
	if err != nil {
		fmt.Println(err)
		return
	}
	w, err := k.WarmUp(camtiming.WarmUpInput{CheckLift: units.MustParseLength("0.10 mm"), Intake: workboatLoop(), Exhaust: workboatLoop()})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("lash", w.Intake.Change.Value.Text(units.Millimeters, 3))
	fmt.Println("IVO", w.Timing.Before.Events.IVO.Text(1), "to", w.Timing.After.Events.IVO.Text(1))
	// Output:
	// lash -0.124 mm
	// IVO 1.5 crank deg to 3.9 crank deg
}
