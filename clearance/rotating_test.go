package clearance_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

var workboatCrank = camtiming.SliderCrankSpec{Throw: units.MustParseLength("45 mm"), Rod: units.MustParseLength("150 mm")}

// The bolt head of a rod past the lobe of a camshaft beside the crank: base
// circle 18 mm and lift 8 mm, numbers invented.
func ExampleRodSweep_LeastGap() {
	mm := units.MustParseLength
	g, err := clearance.RodSweep{
		Crank: workboatCrank, CornerAlong: mm("22 mm"), CornerSide: mm("38 mm"),
		ObstacleSide: mm("78 mm"), ObstacleUp: mm("118 mm"), Radius: mm("26 mm"),
	}.LeastGap()
	if err != nil {
		fmt.Println(err)
		return
	}
	limits, err := clearance.RodToCam.Limits()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(g.Gap.Text(units.Millimeters, 2), "at", g.At.Text(1), "after top dead center")
	fmt.Println("usual:", limits.Min.Text(units.Inches, 3), "or more,", limits.Source.Provenance)
	// Output:
	// 29.78 mm at 29.7 crank deg after top dead center
	// usual: 0.050 in or more, common practice
}

func ExampleCounterweightRoom_Gap() {
	g, err := clearance.CounterweightRoom{Crank: workboatCrank, SkirtBelowPin: units.MustParseLength("32 mm"), Radius: units.MustParseLength("70 mm")}.Gap()
	fmt.Println(g.Text(units.Millimeters, 1), err)
	// Output: 3.0 mm <nil>
}

func ExamplePickupRoom_Gap() {
	in := units.MustParseLength
	g, err := clearance.PickupRoom{
		PanDepth: units.WithU(in("7.250 in"), in("0.010 in")), Gasket: units.WithU(in("0.060 in"), in("0.005 in")), PickupDepth: units.WithU(in("6.935 in"), in("0.010 in")),
	}.Gap()
	fmt.Println(g.Value.Text(units.Inches, 3), "u", g.U.Text(units.Inches, 3), err)
	// Output: 0.375 in u 0.015 in <nil>
}

func ExampleRodAlignment_Misalignment() {
	in := units.MustParseLength
	m, err := clearance.RodAlignment{One: units.Unstated(in("0.0030 in")), Other: units.Unstated(in("0.0006 in")), Span: in("8 in"), Over: in("4 in")}.Misalignment()
	if err != nil {
		fmt.Println(err)
		return
	}
	limits, err := clearance.RodTwist.Limits()
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := units.Judge(m, limits, units.SimpleAcceptance)
	fmt.Println(m.Value.Text(units.Inches, 4), "over 4 in:", v.Outcome, err)
	// Output: 0.0012 in over 4 in: within <nil>
}

func ExampleDriveTang_Fit() {
	in := func(s string) units.Measured[units.Length] { return units.Unstated(units.MustParseLength(s)) }
	f, err := clearance.DriveTang{Tang: in("2.410 in"), SlotTop: in("2.130 in"), SlotDepth: in("0.320 in")}.Fit()
	fmt.Println(f.Engaged.Value.Text(units.Inches, 2), "engaged,", f.EndRoom.Value.Text(units.Inches, 2), "left", err)
	// Output: 0.28 in engaged, 0.04 in left <nil>
}

func ExampleBacklashReading_Backlash() {
	in := units.MustParseLength
	b, err := clearance.BacklashReading{Dial: units.Unstated(in("0.0090 in")), DialRadius: in("3 in"), PitchDiameter: in("4 in")}.Backlash()
	fmt.Println(b.Value.Text(units.Inches, 4), err)
	// Output: 0.0060 in <nil>
}

func ExampleFreeSpan_Slack() {
	s, err := clearance.FreeSpan{Span: units.MustParseLength("8 in"), Deflection: units.MustParseLength("3 in")}.Slack()
	fmt.Println(s.Text(units.Inches, 1), err)
	// Output: 2.0 in <nil>
}

// The sweep against a walk in small steps with the rod laid out by its angle.
func TestRodSweepAgainstWalk(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	mm := func(lo, hi float64) units.Length {
		return units.Length(math.Round((lo + (hi-lo)*r.Float64()) * float64(units.Millimeter)))
	}
	for range 60 {
		s := clearance.RodSweep{
			Crank:       camtiming.SliderCrankSpec{Throw: mm(30, 50), Rod: mm(110, 200), Offset: mm(-15, 15)},
			CornerAlong: mm(-50, 60), CornerSide: mm(-50, 50), ObstacleSide: mm(-120, 120), ObstacleUp: mm(-120, 200), Radius: mm(5, 30),
		}
		got, err := s.LeastGap()
		if err != nil {
			t.Fatal(err)
		}
		throw, rod, e := s.Crank.Throw.Millimeters(), s.Crank.Rod.Millimeters(), s.Crank.Offset.Millimeters()
		gap := func(deg float64) float64 { // after top dead center
			a := deg*math.Pi/180 + math.Asin(e/(rod+throw))
			x, y := throw*math.Sin(a), throw*math.Cos(a)
			lean := math.Asin((x - e) / rod)
			u, v := s.CornerAlong.Millimeters(), s.CornerSide.Millimeters()
			return math.Hypot(x-u*math.Sin(lean)+v*math.Cos(lean)-s.ObstacleSide.Millimeters(), y+u*math.Cos(lean)+v*math.Sin(lean)-s.ObstacleUp.Millimeters()) - s.Radius.Millimeters()
		}
		least := math.Inf(1)
		for i := range 36000 {
			least = min(least, gap(float64(i)/100))
		}
		if g := got.Gap.Millimeters(); g > least+1e-9 || g < least-1e-4 || math.Abs(gap(got.At.Degrees())-g) > 1e-9 {
			t.Errorf("%+v: %v at %v, walked %.9f", s, got.Gap, got.At, least)
		}
		// Mirrored across the bore it is the same, on the other side of the turn.
		m := s
		m.Crank.Offset, m.CornerSide, m.ObstacleSide = -s.Crank.Offset, -s.CornerSide, -s.ObstacleSide
		mirror, err := m.LeastGap()
		if err != nil || (mirror.Gap-got.Gap).Abs() > 10 {
			t.Errorf("mirrored: %v, want %v (%v)", mirror.Gap, got.Gap, err)
		}
		if len(got.Working()) != 2 {
			t.Error("want two steps")
		}
	}
}

func TestRotatingUncertainty(t *testing.T) {
	in := units.MustParseLength
	f, err := clearance.DriveTang{Tang: units.WithU(in("2 in"), 30), SlotTop: units.WithU(in("1.8 in"), 40), SlotDepth: units.WithU(in("0.3 in"), 120)}.Fit()
	if err != nil || f.Engaged.U != 50 || f.EndRoom.U != 130 || !f.EndRoom.Stated {
		t.Errorf("%+v (%v)", f, err)
	}
	p := clearance.PickupRoom{PanDepth: units.WithU(in("7 in"), 3), PickupDepth: units.WithU(in("6 in"), 4)}
	if g, err := p.Gap(); err != nil || !g.Stated || g.U != 5 {
		t.Errorf("no gasket: %+v (%v)", g, err)
	}
	p.Gasket = units.Unstated(in("0.06 in"))
	if g, err := p.Gap(); err != nil || g.Stated || g.U != 0 {
		t.Errorf("one not stated: %+v (%v)", g, err)
	}
	// Slack and its deflection: small ones grow as the square.
	one, _ := clearance.FreeSpan{Span: units.Meter, Deflection: units.Millimeter}.Slack()
	two, _ := clearance.FreeSpan{Span: units.Meter, Deflection: 2 * units.Millimeter}.Slack()
	if q := float64(two) / float64(one); math.Abs(q-4) > 1e-4 {
		t.Errorf("twice the deflection: %v times the slack", q)
	}
}

// A rod bent or twisted by the same amount the other way is as bad.
func TestRodLimitsHoldEitherWay(t *testing.T) {
	in := units.MustParseLength
	twist, err := clearance.RodTwist.Limits()
	if err != nil {
		t.Fatal(err)
	}
	near, err := clearance.RodBendOrTwist.Limits(in("6 in"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		one, other, over string
		limits           units.Limits[units.Length]
		want             units.Outcome
	}{
		{"0.010 in", "0 in", "4 in", twist, units.ProvedOutside},
		{"0 in", "0.010 in", "4 in", twist, units.ProvedOutside},
		{"0 in", "0.004 in", "4 in", twist, units.ProvedWithin},
		{"0 in", "0.0015 in", "6 in", near, units.ProvedOutside},
		{"0.0015 in", "0 in", "6 in", near, units.ProvedOutside},
		{"0 in", "0.0013 in", "6 in", near, units.ProvedWithin},
	} {
		m, err := clearance.RodAlignment{One: units.Unstated(in(c.one)), Other: units.Unstated(in(c.other)), Span: in("8 in"), Over: in(c.over)}.Misalignment()
		if err != nil {
			t.Fatal(err)
		}
		v, err := units.Judge(m, c.limits, units.SimpleAcceptance)
		if err != nil || v.Outcome != c.want {
			t.Errorf("%v: %v (%v), want %v", c, v, err, c.want)
		}
	}
}

// A slack chain on a level run of 24 in and a belt on a span of 20 in.
func ExampleSizeRule_Limits_span() {
	in := units.MustParseLength
	sag, err := clearance.LevelChainSag.Limits(in("24 in"))
	fmt.Println("chain", sag.Min.Text(units.Inches, 2), "to", sag.Max.Text(units.Inches, 2), err)
	belt, err := clearance.VBeltDeflection.Limits(in("20 in"))
	fmt.Println("belt at most", belt.Max.Text(units.Inches, 3), err)
	fmt.Println(belt.Source)
	// Output:
	// chain 0.48 in to 0.72 in <nil>
	// belt at most 0.312 in <nil>
	// trade practice from memory, no source (common practice)
}

func TestBadRotating(t *testing.T) {
	in := units.MustParseLength
	read := units.Unstated[units.Length]
	sweep := func(change func(*clearance.RodSweep)) func() error {
		return func() error {
			s := clearance.RodSweep{Crank: workboatCrank, Radius: units.Millimeter}
			change(&s)
			g, err := s.LeastGap()
			if g.Gap != 0 || g.At != 0 {
				t.Errorf("%+v beside an error", g)
			}
			return err
		}
	}
	tang := func(a, b, c units.Length) func() error {
		return func() error {
			_, err := clearance.DriveTang{Tang: read(a), SlotTop: read(b), SlotDepth: read(c)}.Fit()
			return err
		}
	}
	pickup := func(a, b, c units.Length) func() error {
		return func() error {
			_, err := clearance.PickupRoom{PanDepth: read(a), Gasket: read(b), PickupDepth: read(c)}.Gap()
			return err
		}
	}
	rod := func(a, span, over units.Length) func() error {
		return func() error {
			_, err := clearance.RodAlignment{One: read(a), Span: span, Over: over}.Misalignment()
			return err
		}
	}
	backlash := func(a, b, c units.Length) func() error {
		return func() error {
			_, err := clearance.BacklashReading{Dial: read(a), DialRadius: b, PitchDiameter: c}.Backlash()
			return err
		}
	}
	slack := func(a, b units.Length) func() error {
		return func() error { _, err := clearance.FreeSpan{Span: a, Deflection: b}.Slack(); return err }
	}
	room := func(c clearance.CounterweightRoom) func() error {
		return func() error { _, err := c.Gap(); return err }
	}
	const most, least = units.Length(math.MaxInt64), units.Length(math.MinInt64)
	for name, c := range map[string]struct {
		f     func() error
		field string
		kind  error
	}{
		"no crank":       {sweep(func(s *clearance.RodSweep) { s.Crank = camtiming.SliderCrankSpec{} }), "Throw", units.ErrRange},
		"short rod":      {sweep(func(s *clearance.RodSweep) { s.Crank.Rod = in("44 mm") }), "Rod", units.ErrImpossible},
		"no radius":      {sweep(func(s *clearance.RodSweep) { s.Radius = 0 }), "Radius", units.ErrRange},
		"corner over":    {sweep(func(s *clearance.RodSweep) { s.CornerAlong = most }), "CornerAlong", units.ErrRange},
		"corner least":   {sweep(func(s *clearance.RodSweep) { s.CornerSide = least }), "CornerSide", units.ErrRange},
		"obstacle":       {sweep(func(s *clearance.RodSweep) { s.ObstacleUp = most }), "ObstacleUp", units.ErrRange},
		"no skirt":       {room(clearance.CounterweightRoom{Crank: workboatCrank, Radius: 1}), "SkirtBelowPin", units.ErrRange},
		"no weight":      {room(clearance.CounterweightRoom{Crank: workboatCrank, SkirtBelowPin: 1, Radius: least}), "Radius", units.ErrRange},
		"empty room":     {room(clearance.CounterweightRoom{}), "Throw", units.ErrRange},
		"no pan":         {pickup(0, 0, 1), "PanDepth", units.ErrMissing},
		"no pickup":      {pickup(1, 0, 0), "PickupDepth", units.ErrMissing},
		"gasket":         {pickup(1, -1, 1), "Gasket", units.ErrRange},
		"gasket over":    {pickup(1, most, 1), "Gasket", units.ErrRange},
		"rod over":       {rod(most, 1, 1), "One", units.ErrRange},
		"no span":        {rod(1, 0, 1), "Span", units.ErrMissing},
		"span least":     {rod(1, least, 1), "Span", units.ErrRange},
		"no length":      {rod(1, 1, 0), "Over", units.ErrMissing},
		"far too steep":  {rod(in("1 m"), 1, in("1 m")), "Span", units.ErrRange},
		"no tang":        {tang(0, 1, 1), "Tang", units.ErrMissing},
		"no top":         {tang(1, 0, 1), "SlotTop", units.ErrMissing},
		"depth negative": {tang(1, 1, -1), "SlotDepth", units.ErrRange},
		"no dial":        {backlash(0, 1, 1), "Dial", units.ErrMissing},
		"no arm":         {backlash(1, 0, 1), "DialRadius", units.ErrMissing},
		"no gear":        {backlash(1, 1, 0), "PitchDiameter", units.ErrMissing},
		"arm too short":  {backlash(in("1 m"), 1, in("1 m")), "DialRadius", units.ErrRange},
		"no run":         {slack(0, 1), "Span", units.ErrMissing},
		"pulled back":    {slack(1, -1), "Deflection", units.ErrRange},
		"pulled over":    {slack(1, most), "Deflection", units.ErrRange},
	} {
		err := c.f()
		var e *units.InputError
		if !errors.As(err, &e) || e.Field != c.field || !errors.Is(err, c.kind) {
			t.Errorf("%s: %v, want field %q and %v", name, err, c.field, c.kind)
		}
	}
}

func BenchmarkRodSweep(b *testing.B) {
	mm := units.MustParseLength
	s := clearance.RodSweep{Crank: workboatCrank, CornerAlong: mm("22 mm"), CornerSide: mm("38 mm"), ObstacleSide: mm("78 mm"), ObstacleUp: mm("118 mm"), Radius: mm("26 mm")}
	b.ReportAllocs()
	for b.Loop() {
		_, _ = s.LeastGap()
	}
}
