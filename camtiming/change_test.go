package camtiming_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// rockers is a pair of ratios and lashes that differ.
func rockers(advance float64) camtiming.Installation {
	return camtiming.Installation{
		Advance: crank(advance),
		Intake:  camtiming.ValveGear{Ratio: 1.5, Lash: 12 * units.Thou},
		Exhaust: camtiming.ValveGear{Ratio: 1.6, Lash: 18 * units.Thou},
	}
}

// atLifter reads at the lifters.
var atLifter = camtiming.Installation{Intake: camtiming.ValveGear{Ratio: 1}, Exhaust: camtiming.ValveGear{Ratio: 1}}

func ExampleValveGear_LifterLift() {
	g := camtiming.ValveGear{Ratio: 1.5, Lash: units.MustParseLength("0.016 in")}
	l, err := g.LifterLift(units.MustParseLength("0.050 in"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.Text(units.Inches, 3))
	// Output: 0.044 in
}

func ExampleValveGear_ValveLift() {
	g := camtiming.ValveGear{Ratio: 1.5, Lash: units.MustParseLength("0.016 in")}
	l, err := g.ValveLift(units.MustParseLength("0.300 in"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(l.Text(units.Inches, 3))
	// Output: 0.434 in
}

func equalLobesCam() (*camtiming.Cam, error) {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: 300 * units.Thou, Opening: 68 * units.CamDegree, Closing: 68 * units.CamDegree,
	})
	if err != nil {
		return nil, err
	}
	return camtiming.NewCam(camtiming.CamSpec{Intake: lobe, Exhaust: lobe, Separation: 110 * units.CamDegree})
}

func ExampleConvertDuration() {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Poly345, MaxLift: 300 * units.Thou, Opening: 68 * units.CamDegree, Closing: 68 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := camtiming.ConvertDuration(lobe, camtiming.DurationAt{Lift: 50 * units.Thou, Duration: 180 * units.CrankDegree}, 20*units.Thou)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(d.Duration.Text(1), "at", d.Lift.Text(units.Inches, 3))
	// Output: 205.0 crank deg at 0.020 in
}

func ExampleCam_ConvertEvents() {
	c, err := equalLobesCam()
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := c.ConvertEvents(camtiming.EventsAt{Lift: 50 * units.Thou, Events: camtiming.Events{
		IVO: -14 * units.CrankDegree, IVC: 14 * units.CrankDegree, EVO: 22 * units.CrankDegree, EVC: -22 * units.CrankDegree,
	}}, 20*units.Thou)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("IVO", e.Events.IVO.Text(1))
	fmt.Println("IVC", e.Events.IVC.Text(1))
	// Output:
	// IVO -1.5 crank deg
	// IVC 26.5 crank deg
}

func ExampleCam_ValveTiming() {
	c, err := equalLobesCam()
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := c.ValveTiming(camtiming.Installation{
		Advance: 4 * units.CrankDegree,
		Intake:  camtiming.ValveGear{Ratio: 1.5, Lash: 16 * units.Thou},
		Exhaust: camtiming.ValveGear{Ratio: 1.5, Lash: 20 * units.Thou},
	}, 50*units.Thou)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("IVO", v.Events.IVO.Text(1))
	fmt.Println("IVC", v.Events.IVC.Text(1))
	fmt.Println("intake lift", v.IntakeLift.Text(units.Inches, 3))
	// Output:
	// IVO -9.1 crank deg
	// IVC 22.9 crank deg
	// intake lift 0.434 in
}

func ExampleCam_Change() {
	c, err := equalLobesCam()
	if err != nil {
		fmt.Println(err)
		return
	}
	cold := camtiming.Installation{
		Intake:  camtiming.ValveGear{Ratio: 1.5, Lash: 12 * units.Thou},
		Exhaust: camtiming.ValveGear{Ratio: 1.5, Lash: 14 * units.Thou},
	}
	hot := cold
	hot.Intake.Lash, hot.Exhaust.Lash = 16*units.Thou, 20*units.Thou
	change, err := c.Change(camtiming.ChangeInput{CheckLift: 20 * units.Thou, Before: cold, After: hot})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range change.Lines() {
		fmt.Printf("%-18s %6.1f %6.1f %6.1f\n", l.Name, l.Before.Degrees(), l.After.Degrees(), l.Change.Degrees())
	}
	// Output:
	// IVO                  -3.4   -4.8   -1.4
	// IVC                  36.6   35.2   -1.4
	// EVO                  35.9   34.0   -1.9
	// EVC                  -4.1   -6.0   -1.9
	// intake duration     213.2  210.5   -2.7
	// exhaust duration    211.8  207.9   -3.9
	// intake centerline   110.0  110.0    0.0
	// exhaust centerline  110.0  110.0    0.0
	// overlap              -7.5  -10.8   -3.3
}

func ExampleTimingChange_Lines() {
	c, err := equalLobesCam()
	if err != nil {
		fmt.Println(err)
		return
	}
	g := camtiming.ValveGear{Ratio: 1}
	change, err := c.Change(camtiming.ChangeInput{
		CheckLift: 50 * units.Thou,
		Before:    camtiming.Installation{Intake: g, Exhaust: g},
		After:     camtiming.Installation{Advance: 4 * units.CrankDegree, Intake: g, Exhaust: g},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range change.Lines()[:4] {
		fmt.Println(l.Name, l.Change.Text(1))
	}
	// Output:
	// IVO 4.0 crank deg
	// IVC -4.0 crank deg
	// EVO 4.0 crank deg
	// EVC -4.0 crank deg
}

// TestValveTimingAtLifter: with ratio 1 and no lash it is TimingAt.
func TestValveTimingAtLifter(t *testing.T) {
	c := unequalPair.cam(t)
	for adv := -10.0; adv <= 10; adv += 2.5 {
		in := atLifter
		in.Advance = crank(adv)
		v := must[camtiming.ValveTiming](t)(c.ValveTiming(in, 50*units.Thou))
		if want := must[camtiming.Timing](t)(c.TimingAt(50*units.Thou, crank(adv))); v.Timing != want {
			t.Errorf("advance %g: %+v, want %+v", adv, v.Timing, want)
		}
		if h := c.At(crank(adv)); v.IntakeAtTDC != h.Intake || v.ExhaustAtTDC != h.Exhaust {
			t.Errorf("advance %g: %s and %s at top, want %s and %s", adv, v.IntakeAtTDC, v.ExhaustAtTDC, h.Intake, h.Exhaust)
		}
		if v.IntakeLift != 300*units.Thou || v.ExhaustLift != 320*units.Thou {
			t.Errorf("lifts %s, %s", v.IntakeLift, v.ExhaustLift)
		}
	}
}

// TestChangeProperties: each kind of change does what it must and nothing else.
func TestChangeProperties(t *testing.T) {
	c := unequalPair.cam(t)
	change := func(f func(*camtiming.Installation)) camtiming.TimingChange {
		after := rockers(2)
		f(&after)
		return must[camtiming.TimingChange](t)(c.Change(camtiming.ChangeInput{CheckLift: 20 * units.Thou, Before: rockers(2), After: after}))
	}
	if ch := change(func(*camtiming.Installation) {}); ch.Before != ch.After || ch.Events != (camtiming.Events{}) {
		t.Errorf("no change: %+v", ch)
	}
	// Advance: every event earlier by as much; durations, overlap, lifts stay.
	ch := change(func(i *camtiming.Installation) { i.Advance += crank(3) })
	if ch.Events != (camtiming.Events{IVO: crank(3), IVC: crank(-3), EVO: crank(3), EVC: crank(-3)}) {
		t.Errorf("3 degrees of advance: %+v", ch.Events)
	}
	if ch.Before.Derived.Overlap != ch.After.Derived.Overlap || ch.Before.Timing.IntakeDuration != ch.After.Timing.IntakeDuration || ch.Before.IntakeLift != ch.After.IntakeLift {
		t.Error("advance changed a duration, the overlap or a lift")
	}
	// Separation wider by 2 cam degrees: the intake 2 crank degrees later, the exhaust as much earlier.
	ch = change(func(i *camtiming.Installation) { i.Separation = units.Some(cam(111)) })
	if ch.Events != (camtiming.Events{IVO: crank(-2), IVC: crank(2), EVO: crank(2), EVC: crank(-2)}) {
		t.Errorf("2 cam degrees of separation: %+v", ch.Events)
	}
	// Intake lash: only the intake, shorter at both ends, less lift by as much.
	ch = change(func(i *camtiming.Installation) { i.Intake.Lash += 6 * units.Thou })
	if e := ch.Events; e.IVO >= 0 || e.IVC >= 0 || e.EVO != 0 || e.EVC != 0 {
		t.Errorf("more intake lash: %+v", e)
	}
	if got := ch.Before.IntakeLift - ch.After.IntakeLift; got != 6*units.Thou {
		t.Errorf("lift lost %s, want 0.006 in", got)
	}
	// Exhaust ratio: only the exhaust, longer.
	ch = change(func(i *camtiming.Installation) { i.Exhaust.Ratio = 1.7 })
	if e := ch.Events; e.IVO != 0 || e.IVC != 0 || e.EVO <= 0 || e.EVC <= 0 {
		t.Errorf("more exhaust ratio: %+v", e)
	}
	if len(ch.Working()) != len(ch.Lines()) {
		t.Error("the working must show each line")
	}
}

// TestConvertThereAndBack: to another lift and back is the identity, and the
// events of the cam itself convert into the events of the cam itself.
func TestConvertThereAndBack(t *testing.T) {
	c := unequalPair.cam(t)
	r := rand.New(rand.NewPCG(5, 8))
	for range 200 {
		a, b := units.Length(1+r.IntN(280))*units.Thou, units.Length(1+r.IntN(280))*units.Thou
		tm := must[camtiming.Timing](t)(c.TimingAt(a, crank(3)))
		from := camtiming.EventsAt{Lift: a, Events: must[camtiming.Events](t)(tm.Events())}
		to := must[camtiming.EventsAt](t)(c.ConvertEvents(from, b))
		want := must[camtiming.Events](t)(must[camtiming.Timing](t)(c.TimingAt(b, crank(3))).Events())
		near(t, "IVO", to.Events.IVO.Degrees(), want.IVO.Degrees(), 5e-9)
		near(t, "EVC", to.Events.EVC.Degrees(), want.EVC.Degrees(), 5e-9)
		if back := must[camtiming.EventsAt](t)(c.ConvertEvents(to, a)); back != from {
			t.Errorf("%s to %s and back: %+v, want %+v", a, b, back, from)
		}
		lobe := c.Spec().Intake
		d := camtiming.DurationAt{Lift: a, Duration: tm.IntakeDuration}
		x := must[camtiming.DurationAt](t)(camtiming.ConvertDuration(lobe, d, b))
		if back := must[camtiming.DurationAt](t)(camtiming.ConvertDuration(lobe, x, a)); back != d {
			t.Errorf("duration at %s and back: %+v, want %+v", b, back, d)
		}
		if (b < a) != (x.Duration > d.Duration) && a != b {
			t.Errorf("duration %s at %s, %s at %s: it must fall with the lift", d.Duration, a, x.Duration, b)
		}
	}
}

func TestGearInverse(t *testing.T) {
	for ratio := 0.2; ratio <= 5; ratio += 0.31 {
		g := camtiming.ValveGear{Ratio: ratio, Lash: 15 * units.Thou}
		for l := units.Length(0); l < 500*units.Thou; l += 17 * units.Thou {
			x := must[units.Length](t)(g.LifterLift(l))
			back := must[units.Length](t)(g.ValveLift(x))
			if d := (back - l).Abs(); d > 3 {
				t.Errorf("ratio %g: %s and back differs by %s", ratio, l, d)
			}
		}
	}
	if l, err := (camtiming.ValveGear{Ratio: 1.5, Lash: 20 * units.Thou}).ValveLift(10 * units.Thou); l != 0 || err != nil {
		t.Errorf("a lifter still within the lash: %s, %v, want 0", l, err)
	}
}

func TestBadChange(t *testing.T) {
	c := unequalPair.cam(t)
	r := units.ErrRange
	gear := func(ratio float64, lash, lift units.Length) []func() (any, error) {
		g := camtiming.ValveGear{Ratio: ratio, Lash: lash}
		return []func() (any, error){
			func() (any, error) { return g.ValveLift(lift) },
			func() (any, error) { return g.LifterLift(lift) },
		}
	}
	var table []bad
	for _, x := range []struct {
		name       string
		ratio      float64
		lash, lift units.Length
		field      [2]string
	}{
		{"no ratio", 0, 0, 1, [2]string{"Ratio", "Ratio"}},
		{"ratio NaN", math.NaN(), 0, 1, [2]string{"Ratio", "Ratio"}},
		{"ratio Inf", math.Inf(1), 0, 1, [2]string{"Ratio", "Ratio"}},
		{"ratio negative", -1.5, 0, 1, [2]string{"Ratio", "Ratio"}},
		{"lash negative", 1.5, -1, 1, [2]string{"Lash", "Lash"}},
		{"lash most", 1.5, most, 1, [2]string{"Lash", "Lash"}},
		{"lift negative", 1.5, 0, -1, [2]string{"lifter", "valve"}},
		{"lift least", 1.5, 0, least, [2]string{"lifter", "valve"}},
		{"lift over 1 m", 1.5, 0, units.Meter + 1, [2]string{"lifter", "valve"}},
	} {
		f := gear(x.ratio, x.lash, x.lift)
		table = append(table, bad{x.name + "/valve", f[0], x.field[0], r}, bad{x.name + "/lifter", f[1], x.field[1], r})
	}
	timing := func(at units.Length, f func(*camtiming.Installation)) func() (any, error) {
		in := rockers(0)
		f(&in)
		return func() (any, error) { return c.ValveTiming(in, at) }
	}
	lobe := c.Spec().Intake
	dur := func(l camtiming.LiftCurve, from, to units.Length, d units.CrankAngle) func() (any, error) {
		return func() (any, error) {
			return camtiming.ConvertDuration(l, camtiming.DurationAt{Lift: from, Duration: d}, to)
		}
	}
	good := camtiming.Events{IVO: crank(2), IVC: crank(38), EVO: crank(40), EVC: crank(5)}
	ev := func(from, to units.Length, e camtiming.Events) func() (any, error) {
		return func() (any, error) { return c.ConvertEvents(camtiming.EventsAt{Lift: from, Events: e}, to) }
	}
	nothing := func(*camtiming.Installation) {}
	refuse(t, append(table, []bad{
		{"advance over a turn", timing(20*units.Thou, func(i *camtiming.Installation) { i.Advance = crank(361) }), "Advance", r},
		{"advance least", timing(20*units.Thou, func(i *camtiming.Installation) { i.Advance = least }), "Advance", r},
		{"intake ratio left out", timing(20*units.Thou, func(i *camtiming.Installation) { i.Intake.Ratio = 0 }), "Intake.Ratio", r},
		{"exhaust lash negative", timing(20*units.Thou, func(i *camtiming.Installation) { i.Exhaust.Lash = -1 }), "Exhaust.Lash", r},
		{"separation zero", timing(20*units.Thou, func(i *camtiming.Installation) { i.Separation = units.Some(cam(0)) }), "Separation", r},
		{"checking lift negative", timing(-1, nothing), "checkLift", r},
		{"checking lift most", timing(most, nothing), "checkLift", r},
		{"no checking lift and no lash", timing(0, func(i *camtiming.Installation) { i.Intake.Lash = 0 }), "checkLift", r},
		{"valve does not reach it", timing(438*units.Thou, nothing), "Intake.lift", r},
		{"only the intake reaches it", timing(300*units.Thou, func(i *camtiming.Installation) { i.Exhaust.Ratio = 0.9 }), "Exhaust.lift", r},
		{"events past a turn", timing(20*units.Thou, func(i *camtiming.Installation) { i.Advance = crank(359) }), "ExhaustCenterline", r},
		{"before", one(func() (camtiming.TimingChange, error) {
			return c.Change(camtiming.ChangeInput{CheckLift: 1, After: rockers(0)})
		}), "Before.Intake.Ratio", r},
		{"after", one(func() (camtiming.TimingChange, error) {
			return c.Change(camtiming.ChangeInput{CheckLift: 1, Before: rockers(0)})
		}), "After.Intake.Ratio", r},

		{"no duration", dur(lobe, 50*units.Thou, 20*units.Thou, 0), "from.Duration", r},
		{"duration a cycle", dur(lobe, 50*units.Thou, 20*units.Thou, crank(720)), "from.Duration", r},
		{"no lobe", dur(nil, 50*units.Thou, 20*units.Thou, crank(200)), "LiftCurve", units.ErrMissing},
		{"from over the lobe", dur(lobe, 301*units.Thou, 20*units.Thou, crank(200)), "lift", r},
		{"to over the lobe", dur(lobe, 50*units.Thou, 301*units.Thou, crank(200)), "lift", r},
		{"nothing left", dur(lobe, 50*units.Thou, 290*units.Thou, crank(20)), "Duration", r},

		{"bad events", ev(50*units.Thou, 20*units.Thou, camtiming.Events{IVO: crank(400)}), "from.IVO", r},
		{"events from no lift", ev(0, 20*units.Thou, good), "Intake.lift", r},
		{"events to over the intake", ev(50*units.Thou, 310*units.Thou, good), "Intake.lift", r},
		{"events over the exhaust", ev(50*units.Thou, most, good), "Intake.lift", r},
		{"events left with nothing", ev(20*units.Thou, 295*units.Thou, camtiming.Events{IVO: crank(-40), IVC: crank(-40), EVO: crank(40), EVC: crank(5)}), "IVO+180+IVC", r},
	}...))
}

func BenchmarkValveTiming(b *testing.B) {
	c := unequalPair.cam(b)
	in := rockers(0)
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		in.Advance = crank(float64(i&15) - 8)
		v, _ := c.ValveTiming(in, 20*units.Thou)
		sinkCrank = v.Events.IVO
		i++
	}
}
