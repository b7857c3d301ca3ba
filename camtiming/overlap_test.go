package camtiming_test

import (
	"fmt"
	"math"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func ExampleCam_Overlap() {
	c, err := equalLobesCam()
	if err != nil {
		fmt.Println(err)
		return
	}
	g := camtiming.ValveGear{Ratio: 1.5, Lash: 12 * units.Thou}
	o, err := c.Overlap(camtiming.Installation{Advance: 4 * units.CrankDegree, Intake: g, Exhaust: g})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("lasts", o.Duration.Text(1))
	fmt.Printf("area %.4f in crank deg, mean lift %s\n", o.Area.InchDegrees(), o.Mean.Text(units.Inches, 4))
	fmt.Println("level at", o.PeakAt.Text(1))
	// Output:
	// lasts 11.2 crank deg
	// area 0.0581 in crank deg, mean lift 0.0052 in
	// level at -4.0 crank deg
}

func ExampleSliderCrank_Trapped() {
	k, err := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: units.MustParseLength("47.5 mm"), Rod: units.MustParseLength("165 mm")})
	if err != nil {
		fmt.Println(err)
		return
	}
	t, err := k.Trapped(50 * units.CrankDegree)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f %% of the stroke, %s\n", 100*t.Fraction, t.Travel.Text(units.Millimeters, 2))
	// Output: 86.4 % of the stroke, 82.09 mm
}

func ExampleCam_CompareAdvances() {
	c, err := equalLobesCam()
	if err != nil {
		fmt.Println(err)
		return
	}
	k, err := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: units.MustParseLength("47.5 mm"), Rod: units.MustParseLength("165 mm")})
	if err != nil {
		fmt.Println(err)
		return
	}
	g := camtiming.ValveGear{Ratio: 1.5, Lash: 12 * units.Thou}
	lines, err := c.CompareAdvances(camtiming.AdvanceComparison{
		Installation: camtiming.Installation{Intake: g, Exhaust: g}, CheckLift: 6 * units.Thou,
		Advances: []units.CrankAngle{0, 4 * units.CrankDegree},
		Piston:   k,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range lines {
		fmt.Printf("%s: intake closes %s after bottom, traps %.1f %%\n", l.Advance.Text(0), l.Valves.Events.IVC.Text(1), 100*l.Trapped.Fraction)
	}
	// Output:
	// 0 crank deg: intake closes 42.3 crank deg after bottom, traps 90.3 %
	// 4 crank deg: intake closes 38.3 crank deg after bottom, traps 92.0 %
}

// sharedArea sums the lesser lift by the midpoint rule, from the closed forms.
func sharedArea(p pair, in camtiming.Installation) float64 {
	const n = 40000
	const from, to = -200.0, 200.0
	var sum float64
	for i := range n {
		x := from + (to-from)*(float64(i)+0.5)/n
		a := (x + in.Advance.Degrees()) / 2
		vi := math.Max(in.Intake.Ratio*p.intake.at(a-p.sep/2)-in.Intake.Lash.Meters(), 0)
		ve := math.Max(in.Exhaust.Ratio*p.exhaust.at(a+p.sep/2)-in.Exhaust.Lash.Meters(), 0)
		sum += math.Min(vi, ve)
	}
	return sum * (to - from) / n
}

func TestOverlapArea(t *testing.T) {
	long := pair{ // so long that the overlap reaches past both noses
		flanks{camtiming.Harmonic, 400 * units.Thou, 120, 118},
		flanks{camtiming.Cycloidal, 350 * units.Thou, 125, 121},
		100, 0,
	}
	inside := pair{ // the exhaust's lift covers the intake's whole
		flanks{camtiming.Poly345, 100 * units.Thou, 30, 30},
		flanks{camtiming.Harmonic, 600 * units.Thou, 120, 150},
		60, 0,
	}
	for name, p := range map[string]pair{"equal": equalPair, "unequal": unequalPair, "long": long, "inside": inside} {
		for _, in := range []camtiming.Installation{atLifter, rockers(3), rockers(-7)} {
			o := must[camtiming.Overlap](t)(p.cam(t).Overlap(in))
			near(t, name, float64(o.Area), sharedArea(p, in), 5e-8)
			near(t, name+" mean", o.Mean.Meters()*o.Duration.Degrees(), float64(o.Area), 1e-9)
			if o.Peak < o.Mean || o.PeakAt < o.Opens || o.PeakAt > o.Closes || o.Closes-o.Opens != o.Duration && (o.Closes-o.Opens-o.Duration).Abs() > 1 {
				t.Errorf("%s: %+v does not hang together", name, o)
			}
			if o.Working() == nil || o.Area.String() == "" {
				t.Error("no working or text")
			}
		}
	}
}

// TestOverlapAdvance: the advance moves the overlap and changes nothing else.
func TestOverlapAdvance(t *testing.T) {
	c := unequalPair.cam(t)
	base := must[camtiming.Overlap](t)(c.Overlap(rockers(0)))
	for adv := -12.0; adv <= 12; adv += 1.5 {
		o := must[camtiming.Overlap](t)(c.Overlap(rockers(adv)))
		o.Opens, o.Closes, o.PeakAt = o.Opens+crank(adv), o.Closes+crank(adv), o.PeakAt+crank(adv)
		if o != base {
			t.Errorf("advance %g: %+v, want %+v", adv, o, base)
		}
	}
	// A wider separation leaves less of it.
	in, last := rockers(0), math.Inf(1)
	for s := 100.0; s < 118; s++ {
		in.Separation = units.Some(cam(s))
		o := must[camtiming.Overlap](t)(c.Overlap(in))
		if a := float64(o.Area); !(a < last) {
			t.Errorf("separation %g: area %g after %g", s, a, last)
		} else if a == 0 {
			break
		} else {
			last = a
		}
	}
	if o := must[camtiming.Overlap](t)(deadPair.cam(t).Overlap(atLifter)); o != (camtiming.Overlap{}) {
		t.Errorf("never open together: %+v, want the zero value", o)
	}
}

// TestOverlapTable: the area of lobes measured every degree is that of their
// joined curves, summed here by the midpoint rule, and near that of the lobes
// they were sampled from.
func TestOverlapTable(t *testing.T) {
	for _, how := range []camtiming.Interpolation{camtiming.Monotone, camtiming.NaturalSpline} {
		table := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: sampled(equalPair.intake, 1, -75, 75), Interpolation: how}))
		c := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: table, Exhaust: table, Separation: cam(equalPair.sep)}))
		in := rockers(0)
		o := must[camtiming.Overlap](t)(c.Overlap(in))
		const n = 20000
		from, to := o.Opens.Degrees(), o.Closes.Degrees()
		var sum float64
		for i := range n {
			x := from + (to-from)*(float64(i)+0.5)/n
			vi := in.Intake.Ratio*table.Lift(cam(x/2-equalPair.sep/2)).Meters() - in.Intake.Lash.Meters()
			ve := in.Exhaust.Ratio*table.Lift(cam(x/2+equalPair.sep/2)).Meters() - in.Exhaust.Lash.Meters()
			sum += max(min(vi, ve), 0)
		}
		near(t, "area of a table", float64(o.Area)/(sum*(to-from)/n), 1, 1e-6)
		near(t, "area of the lobe", float64(o.Area)/sharedArea(equalPair, in), 1, 5e-3)
	}
}

// TestTrapped compares with the position by the law of cosines, found by
// halving.
func TestTrapped(t *testing.T) {
	for _, rod := range []float64{41, 60, 140, 1000} {
		for ivc := -180.0; ivc <= 180; ivc += 7.5 {
			got := must[camtiming.Trapped](t)(piston(t, 40, rod, 0).Trapped(crank(ivc)))
			a := (180 + ivc) * math.Pi / 180
			lo, hi := 0.0, 40+rod // pin height: r^2 + y^2 - 2 r y cos a = l^2
			for range 200 {
				y := (lo + hi) / 2
				if 1600+y*y-80*y*math.Cos(a) < rod*rod {
					lo = y
				} else {
					hi = y
				}
			}
			near(t, "trapped", got.Fraction, (40+rod-lo)/80, 6.3e-12) // half a picometer of 80 mm
			near(t, "travel", got.Travel.Millimeters(), 40+rod-lo, 1e-9)
		}
	}
	x := must[camtiming.Trapped](t)(piston(t, 40, 140, 10).Trapped(crank(50)))
	if w := x.Working(); len(w) != 2 || w[0].Value != x.Travel.Text(units.Millimeters, 3) {
		t.Errorf("working %+v", w)
	}
	// With an offset the whole stroke is left where the piston turns round.
	for _, e := range []float64{10, -10, 1} {
		k := piston(t, 40, 140, e)
		x := must[camtiming.Trapped](t)(k.Trapped(k.DeadCenters().Down - units.CrankTurn/2))
		near(t, "all of the stroke", x.Fraction, 1, 1e-11)
	}
}

// piston is a slider-crank in millimeters.
func piston(tb testing.TB, throw, rod, offset float64) *camtiming.SliderCrank {
	tb.Helper()
	return must[*camtiming.SliderCrank](tb)(camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: mm(throw), Rod: mm(rod), Offset: mm(offset)}))
}

func TestBadOverlap(t *testing.T) {
	c := unequalPair.cam(t)
	r := units.ErrRange
	over := func(f func(*camtiming.Installation)) func() (any, error) {
		in := rockers(0)
		f(&in)
		return func() (any, error) { return c.Overlap(in) }
	}
	trapped := func(k *camtiming.SliderCrank, ivc units.CrankAngle) func() (any, error) {
		return func() (any, error) { return k.Trapped(ivc) }
	}
	comp := func(f func(*camtiming.AdvanceComparison)) func() (any, error) {
		x := camtiming.AdvanceComparison{Installation: rockers(0), CheckLift: 20 * units.Thou, Advances: []units.CrankAngle{0, crank(4)}, Piston: piston(t, 40, 140, 0)}
		f(&x)
		return func() (any, error) { return c.CompareAdvances(x) }
	}
	refuse(t, []bad{
		{"overlap advance", over(func(i *camtiming.Installation) { i.Advance = most }), "Advance", r},
		{"overlap ratio", over(func(i *camtiming.Installation) { i.Exhaust.Ratio = math.NaN() }), "Exhaust.Ratio", r},
		{"intake lash takes it all", over(func(i *camtiming.Installation) { i.Intake = camtiming.ValveGear{Ratio: 1, Lash: 350 * units.Thou} }), "Intake.lift", r},
		{"exhaust lash takes it all", over(func(i *camtiming.Installation) { i.Exhaust = camtiming.ValveGear{Ratio: 1, Lash: 350 * units.Thou} }), "Exhaust.lift", r},
		{"separation over the cam", over(func(i *camtiming.Installation) { i.Separation = units.Some(cam(180)) }), "Separation", r},

		{"no slider-crank", trapped(nil, 0), "SliderCrank", units.ErrMissing},
		{"empty slider-crank", trapped(new(camtiming.SliderCrank), 0), "SliderCrank", units.ErrMissing},
		{"ivc over", trapped(piston(t, 40, 140, 0), crank(181)), "ivc", r},
		{"ivc least", trapped(piston(t, 40, 140, 0), least), "ivc", r},

		{"no advances", comp(func(x *camtiming.AdvanceComparison) { x.Advances = nil }), "Advances", units.ErrMissing},
		{"too many advances", comp(func(x *camtiming.AdvanceComparison) { x.Advances = make([]units.CrankAngle, 1001) }), "Advances", r},
		{"one advance over", comp(func(x *camtiming.AdvanceComparison) { x.Advances[1] = crank(400) }), "Advances[1].Advance", r},
		{"empty piston", comp(func(x *camtiming.AdvanceComparison) { x.Piston = new(camtiming.SliderCrank) }), "SliderCrank", units.ErrMissing},
	})
}

func TestOverlapAllocates(t *testing.T) {
	g := camtiming.ValveGear{Ratio: 1.5, Lash: 10 * units.Thou}
	tr := piston(t, 40, 140, 0)
	for name, f := range map[string]func(){
		"valve":   func() { sinkLength, _ = g.ValveLift(100 * units.Thou) },
		"lifter":  func() { sinkLength, _ = g.LifterLift(100 * units.Thou) },
		"trapped": func() { x, _ := tr.Trapped(crank(50)); sinkLength = x.Travel },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s: %g allocations, want none", name, n)
		}
	}
}

func BenchmarkOverlap(b *testing.B) {
	c := unequalPair.cam(b)
	in := rockers(0)
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		in.Advance = crank(float64(i&15) - 8)
		o, _ := c.Overlap(in)
		sinkLength = o.Mean
		i++
	}
}

func BenchmarkTrapped(b *testing.B) {
	k := piston(b, 40, 140, 0)
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		x, _ := k.Trapped(units.CrankAngle(i&63) * units.CrankDegree)
		sinkLength = x.Travel
		i++
	}
}

func FuzzOverlap(f *testing.F) {
	c := unequalPair.cam(f)
	f.Add(int64(0), int64(crank(218)), 1.5, 1.6, int64(12*units.Thou), int64(18*units.Thou))
	f.Add(int64(crank(-30)), int64(crank(150)), 1.0, 1.0, int64(0), int64(1))
	f.Fuzz(func(t *testing.T, adv, sep int64, ri, re float64, li, le int64) {
		o, err := c.Overlap(camtiming.Installation{
			Advance: units.CrankAngle(adv), Separation: units.Some(units.CamAngle(sep)),
			Intake: camtiming.ValveGear{Ratio: ri, Lash: units.Length(li)}, Exhaust: camtiming.ValveGear{Ratio: re, Lash: units.Length(le)},
		})
		switch {
		case err != nil && o != (camtiming.Overlap{}):
			t.Fatalf("%+v beside an error", o)
		case o.Area < 0 || math.IsNaN(float64(o.Area)) || o.Duration < 0 || o.Peak < o.Mean-1:
			t.Fatalf("%+v", o)
		}
	})
}
