package clearance_test

import (
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// rodBolt is an invented bolt of the workboat's rods.
func rodBolt() clearance.Bolt {
	return clearance.Bolt{
		Segments: []clearance.Segment{
			{Length: 30 * units.Millimeter, Area: units.SquareMillimeters(52.8)},
			{Length: 12 * units.Millimeter, Area: units.SquareMillimeters(61.2)},
		},
		Young: units.WithU(units.Megapascals(206e3), units.Megapascals(3e3)),
	}
}

func get[T any](tb testing.TB) func(T, error) T {
	tb.Helper()
	return func(v T, err error) T {
		tb.Helper()
		if err != nil {
			tb.Fatal(err)
		}
		return v
	}
}

func close9(t *testing.T, name string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9*math.Abs(want)) {
		t.Errorf("%s: %.12g, want %.12g", name, got, want)
	}
}

// Slicing a bolt changes nothing; a bar of one section is F L/(A E) in exact
// arithmetic; load and stretch are inverse.
func TestBoltProperties(t *testing.T) {
	b := rodBolt()
	f := units.WithU(units.Kilonewtons(30), units.Kilonewtons(1))
	whole := get[clearance.BoltStretch](t)(b.UnderLoad(f))
	var sliced clearance.Bolt
	sliced.Young = b.Young
	for _, s := range b.Segments {
		for range 10 {
			sliced.Segments = append(sliced.Segments, clearance.Segment{Length: s.Length / 10, Area: s.Area})
		}
	}
	parts := get[clearance.BoltStretch](t)(sliced.UnderLoad(f))
	if (parts.Stretch.Value - whole.Stretch.Value).Abs() > 1 {
		t.Errorf("sliced: %v, want %v", parts.Stretch, whole.Stretch)
	}
	back := get[clearance.BoltStretch](t)(b.AtStretch(whole.Stretch))
	if math.Abs(float64(back.Load.Value)-30e3) > 1e-3 { // 1 pm of stretch is 0.25 mN
		t.Errorf("back: %v", back.Load)
	}
	close9(t, "thinnest", float64(whole.Stress), 30e3/52.8e-6)

	bar := clearance.Bolt{Segments: []clearance.Segment{{Length: 5 * units.Inch, Area: units.SquareMillimeters(200)}}, Young: units.Unstated(units.Megapascals(200e3))}
	want, _ := new(big.Rat).SetFrac64(10e3*127, 200*200e3).Float64() // mm
	got := get[clearance.BoltStretch](t)(bar.UnderLoad(units.Unstated(units.Kilonewtons(10))))
	if math.Abs(got.Stretch.Value.Millimeters()-want) > 1e-9 || got.Stretch.Stated || got.Load.Stated {
		t.Errorf("bar: %v, want %v mm", got.Stretch, want)
	}

	// A Monte Carlo of the readings against the root of squares.
	free, tight := units.WithU(55320*um, 2*um), units.WithU(55455*um, 2*um)
	r := get[clearance.BoltStretch](t)(clearance.StretchReadings{Free: free, Tightened: tight, Bolt: b}.Preload())
	k, e := float64(r.Stiffness.Value), 3.0/206
	seed, sum, n := uint64(1), 0.0, 20000
	uniform := func() float64 { // of unit deviation, from a linear congruence
		seed = seed*6364136223846793005 + 1442695040888963407
		return (float64(seed>>11)/(1<<53) - 0.5) * math.Sqrt(12)
	}
	for range n {
		d := k * (1 + e*uniform()) * (135e-6 + 2e-6*(uniform()-uniform()))
		x := d - float64(r.Load.Value)
		sum += x * x
	}
	if sd := math.Sqrt(sum / float64(n)); math.Abs(sd/float64(r.Load.U)-1) > 0.03 {
		t.Errorf("u = %v, the Monte Carlo gives %.1f N", r.Load.U, sd)
	}
	if len(r.Working()) != 4 || (clearance.BoltStretch{}).Working() != nil {
		t.Error("working")
	}
}

// The stress area lies between those of the pitch and the minor diameter.
func TestThreads(t *testing.T) {
	for s, want := range map[string]string{
		"M8x1.25": "M8x1.25", " M16 x 1.5 ": "M16x1.5", "3/8-24 UNF": "0.375-24 UN", "1 1/4-12": "1.25-12 UN", "0.4375-20UNF": "0.4375-20 UN", "2-8 UN": "2-8 UN", ".5-13 UNC": "0.5-13 UN",
	} {
		th, err := clearance.ParseThread(s)
		if err != nil || th.String() != want {
			t.Errorf("%q: %q, %v", s, th, err)
		}
		a := get[units.Area](t)(th.StressArea())
		d2 := get[units.Length](t)(th.PitchDiameter())
		pitch := th.Pitch.Meters()
		if th.PerInch > 0 {
			pitch = 0.0254 / float64(th.PerInch)
		}
		circle := func(d float64) float64 { return math.Pi / 4 * d * d }
		// The mean of pitch diameter and root: ISO's root is d - 1.22687 P, the
		// unified convention's d - 1.2990 P.
		root := 1.22687
		if th.PerInch > 0 {
			root = 1.2990
		}
		want := circle((d2.Meters() + th.Major.Meters() - root*pitch) / 2)
		if math.Abs(float64(a)/want-1) > 1e-4 {
			t.Errorf("%v: area %v, want %v", th, a, want)
		}
	}
	for _, s := range []string{"", "M8", "M8x", "x1", "Mx1", "M8x1.25x3", "8x1.25", "M-8x1.25", "M8x-1", "3/8", "3/8-", "3/8-0", "-24", "3/8-2.5", "3/8-+4", "3/8-1", "1/0-20", "M8x9", "M0x0", "M1e3x1", "M8 x 1.25 mm", "0-20", "3/8-24 BSF", strings.Repeat("1", 90) + "-20", "M4000x1", "1/4-999"} {
		th, err := clearance.ParseThread(s)
		var e *units.InputError
		if !errors.As(err, &e) || th != (clearance.Thread{}) || e.Package != "clearance" {
			t.Errorf("%q: %v, %v", s, th, err)
		}
	}
	for name, th := range map[string]clearance.Thread{
		"zero": {}, "form": {Form: 9, Major: mm}, "both": {Form: clearance.MetricThread, Major: 8 * mm, Pitch: mm, PerInch: 20},
		"metric per inch": {Form: clearance.MetricThread, Major: 8 * mm, PerInch: 20}, "unified pitch": {Form: clearance.UnifiedThread, Major: 8 * mm, Pitch: mm},
		"no count": {Form: clearance.UnifiedThread, Major: 8 * mm}, "negative count": {Form: clearance.UnifiedThread, Major: 8 * mm, PerInch: -20},
		"negative": {Form: clearance.MetricThread, Major: -8 * mm, Pitch: mm}, "huge": {Form: clearance.MetricThread, Major: units.MaxLength, Pitch: mm},
	} {
		if a, err := th.StressArea(); err == nil || a != 0 {
			t.Errorf("%s: %v", name, a)
		}
		if d, err := th.PitchDiameter(); err == nil || d != 0 {
			t.Errorf("%s: %v", name, d)
		}
		_ = th.String()
	}
}

func metricFriction() clearance.ThreadFriction {
	return clearance.ThreadFriction{Diameter: 10 * mm, Mean: 9026 * um, Lead: 1500 * um, Thread: clearance.Friction{Coefficient: 0.14, U: 0.02}, Head: clearance.Friction{Coefficient: 0.12, U: 0.015}, Stated: true}
}

// Work of one turn: without friction the torque lifts the load by the lead.
func TestTorqueWork(t *testing.T) {
	f := metricFriction()
	f.Thread, f.Head = clearance.Friction{Coefficient: 1e-12}, clearance.Friction{Coefficient: 1e-12}
	f.Stated = false
	r := get[clearance.FrictionFactor](t)(f.Factor())
	w := get[clearance.Tightened](t)(clearance.Tightening{Diameter: f.Diameter, Factor: r.NutFactor}.Torque(units.Unstated(units.Kilonewtons(20))))
	close9(t, "work of a turn", 2*math.Pi*float64(w.Torque.Value), 20e3*1.5e-3)
	// More friction, more torque; K is what its parts are.
	last := 0.0
	for c := 0.05; c < 0.4; c += 0.01 {
		f.Thread.Coefficient, f.Head.Coefficient = c, c
		r := get[clearance.FrictionFactor](t)(f.Factor())
		if r.NutFactor.K <= last || r.NutFactor.K != r.ThreadPart+r.HeadPart || r.NutFactor.Stated {
			t.Errorf("friction %v: %+v", c, r)
		}
		last = r.NutFactor.K
	}
	// Torque and preload are inverse, with the uncertainty that goes with each.
	k := get[clearance.FrictionFactor](t)(metricFriction().Factor())
	b := clearance.Tightening{Diameter: 10 * mm, Factor: k.NutFactor}
	tq := get[clearance.Tightened](t)(b.Torque(units.WithU(units.Kilonewtons(30), 0)))
	back := get[clearance.Tightened](t)(b.Preload(units.WithU(tq.Torque.Value, 0)))
	close9(t, "back", float64(back.Preload.Value), 30e3)
	close9(t, "relative u", float64(back.Preload.U/back.Preload.Value), k.NutFactor.U/k.NutFactor.K)
	if len(k.Working()) != 4 || len(back.Working()) != 4 || (clearance.FrictionFactor{}).Working() != nil || (clearance.Tightened{}).Working() != nil {
		t.Error("working")
	}
}

// A working goes the way that was asked: each result stands once, after what it
// was made from.
func TestFastenerWorkingDirection(t *testing.T) {
	b := clearance.Tightening{Diameter: 10 * mm, Factor: clearance.NutFactor{K: 0.2, U: 0.03, Stated: true}}
	force := units.WithU(units.Kilonewtons(30), units.Kilonewtons(1.2))
	torque := units.WithU(units.NewtonMeters(60), units.NewtonMeters(2.4)) // 0.2 x 30 kN x 10 mm, 4 % each
	bolt := rodBolt()
	line := func(w units.Working) string {
		var symbols []string
		for _, s := range w {
			symbols = append(symbols, s.Symbol+" = "+s.Formula)
		}
		return strings.Join(symbols, "; ")
	}
	for _, c := range []struct {
		name string
		w    units.Working
		want string
	}{
		{"torque", get[clearance.Tightened](t)(b.Torque(force)).Working(), "K = nut factor; F = preload; T = K F d; u_T/T = sqrt((u_K/K)^2 + (u_F/F)^2)"},
		{"preload", get[clearance.Tightened](t)(b.Preload(torque)).Working(), "K = nut factor; T = torque; F = T/(K d); u_F/F = sqrt((u_K/K)^2 + (u_T/T)^2)"},
		{"torque, nothing stated", get[clearance.Tightened](t)(b.Torque(units.Unstated(force.Value))).Working(), "K = nut factor; F = preload; T = K F d"},
		{"load", get[clearance.BoltStretch](t)(bolt.UnderLoad(force)).Working(), "k = E / sum(L/A); F = load; stretch = F/k; stress = F / thinnest area"},
		{"stretch", get[clearance.BoltStretch](t)(bolt.AtStretch(units.Unstated(50 * um))).Working(), "k = E / sum(L/A); stretch = stretch; F = k stretch; stress = F / thinnest area"},
	} {
		if got := line(c.w); got != c.want {
			t.Errorf("%s: %s", c.name, got)
		}
	}
	// sqrt(0.15^2 + 0.04^2) = 0.155242, and the figures of the step that was used.
	w := get[clearance.Tightened](t)(b.Preload(torque)).Working()
	if w[2].Numbers != "60 N m / (0.2 * 10.0000 mm)" || w[3].Numbers != "0.15, 0.04" || w[3].Value != "0.155242" || !strings.HasPrefix(w[2].Value, "30000 N") {
		t.Errorf("%+v", w)
	}
	w = get[clearance.Tightened](t)(b.Torque(force)).Working()
	if w[2].Numbers != "0.2 * 30000 N * 10.0000 mm" || w[3].Value != "0.155242" || !strings.HasPrefix(w[2].Value, "60 N m") {
		t.Errorf("%+v", w)
	}
}

// The stretch of the bolt and the squeeze of the joint are the nut's travel.
func TestTurnIsTravel(t *testing.T) {
	j := clearance.BoltedJoint{Bolt: units.NewtonsPerMillimeter(2e5), Members: units.NewtonsPerMillimeter(8e5), Lead: 1500 * um}
	a := get[units.CrankAngle](t)(j.Turn(units.Kilonewtons(30)))
	travel := a.Degrees() / 360 * 1.5e-3
	close9(t, "travel", travel, 30e3/2e8+30e3/8e8)
	if f := get[units.Force](t)(j.Gain(a)); math.Abs(float64(f)-30e3) > 1e-3 {
		t.Errorf("back: %v", f)
	}
	for p := 0.0; p < 60; p += 3 {
		s := get[clearance.JointState](t)(clearance.JointLoad{Joint: j, Preload: units.Kilonewtons(30), External: units.Kilonewtons(p), Area: units.SquareMillimeters(58)}.State())
		// Equilibrium of the part between bolt and clamp.
		if math.Abs(float64(s.Bolt-s.Clamp)-p*1e3) > 1e-6 || s.Separated != (p*1e3 >= float64(s.Separation)) {
			t.Errorf("at %v kN: %+v", p, s)
		}
		if len(s.Working()) != 3 {
			t.Error("working")
		}
	}
	if (clearance.JointState{}).Working() != nil {
		t.Error("working of nothing")
	}
}

func TestGrades(t *testing.T) {
	for _, g := range []string{"4.6", "4.8", "5.8", "8.8", "9.8", "10.9", "12.9"} {
		s := get[clearance.BoltStrength](t)(clearance.BoltGrade{Standard: clearance.ISO898, Name: g}.Strength(12 * mm))
		// The name: a hundredth of the tensile strength, then the yield ratio in
		// tenths; the printed least figures are at or above it.
		a, b, _ := strings.Cut(g, ".")
		n, _ := new(big.Rat).SetString(a)
		nominal, _ := n.Float64()
		y, _ := new(big.Rat).SetString(b)
		share, _ := y.Float64()
		if s.Tensile.Megapascals() < nominal*100-1e-6 || s.Tensile.Megapascals() > nominal*100*1.07 || s.Yield.Megapascals() < nominal*share*10-1e-6 || s.Proof >= s.Yield {
			t.Errorf("%s: %+v", g, s)
		}
		if (s.Source.Provenance == units.Memory) != (g == "8.8") {
			t.Errorf("%s: %v", g, s.Source)
		}
	}
	edge := 16 * mm
	g := clearance.BoltGrade{Standard: clearance.ISO898, Name: "8.8"}
	if get[clearance.BoltStrength](t)(g.Strength(edge)).Proof >= get[clearance.BoltStrength](t)(g.Strength(edge+1)).Proof {
		t.Error("8.8 does not change over 16 mm")
	}
	for name, c := range map[string]struct {
		g    clearance.BoltGrade
		at   units.Length
		kind error
	}{
		"zero":     {clearance.BoltGrade{}, mm, units.ErrMissing},
		"standard": {clearance.BoltGrade{Standard: 7, Name: "8"}, mm, units.ErrRange},
		"no name":  {clearance.BoltGrade{Standard: clearance.SAEJ429}, units.Inch, units.ErrMissing},
		"name":     {clearance.BoltGrade{Standard: clearance.SAEJ429, Name: "10.9"}, units.Inch, units.ErrSyntax},
		"long":     {clearance.BoltGrade{Standard: clearance.SAEJ429, Name: strings.Repeat("8", 99)}, units.Inch, units.ErrSyntax},
		"no size":  {clearance.BoltGrade{Standard: clearance.SAEJ429, Name: "8"}, 0, units.ErrMissing},
		"negative": {clearance.BoltGrade{Standard: clearance.SAEJ429, Name: "8"}, -1, units.ErrRange},
		"small":    {clearance.BoltGrade{Standard: clearance.SAEJ429, Name: "8"}, units.Inch/4 - 1, units.ErrRange},
		"large":    {clearance.BoltGrade{Standard: clearance.SAEJ429, Name: "5"}, units.Inch*3/2 + 1, units.ErrRange},
		"8.2":      {clearance.BoltGrade{Standard: clearance.SAEJ429, Name: "8.2"}, units.Inch + 1, units.ErrRange},
	} {
		s, err := c.g.Strength(c.at)
		var e *units.InputError
		if !errors.Is(err, c.kind) || !errors.As(err, &e) || s != (clearance.BoltStrength{}) {
			t.Errorf("%s: %v", name, err)
		}
		_ = c.g.String()
	}
}

func TestFastenersRefuse(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	bad := map[string]error{}
	add := func(name string, err error) { bad[name] = err }
	bolt := func(f func(*clearance.Bolt)) clearance.Bolt { b := rodBolt(); f(&b); return b }
	load := units.Unstated(units.Kilonewtons(10))
	for name, b := range map[string]clearance.Bolt{
		"bolt zero": {}, "many": {Segments: make([]clearance.Segment, 101), Young: rodBolt().Young},
		"no length":   bolt(func(b *clearance.Bolt) { b.Segments[1].Length = 0 }),
		"length":      bolt(func(b *clearance.Bolt) { b.Segments[1].Length = -1 }),
		"long":        bolt(func(b *clearance.Bolt) { b.Segments[1].Length = units.MaxLength }),
		"no area":     bolt(func(b *clearance.Bolt) { b.Segments[0].Area = 0 }),
		"area NaN":    bolt(func(b *clearance.Bolt) { b.Segments[0].Area = units.SquareMeters(nan) }),
		"area neg":    bolt(func(b *clearance.Bolt) { b.Segments[0].Area = -1 }),
		"no modulus":  bolt(func(b *clearance.Bolt) { b.Young = units.Measured[units.Pressure]{} }),
		"modulus NaN": bolt(func(b *clearance.Bolt) { b.Young.Value = units.Pascals(nan) }),
		"modulus Inf": bolt(func(b *clearance.Bolt) { b.Young.Value = units.Pascals(inf) }),
		"modulus neg": bolt(func(b *clearance.Bolt) { b.Young.Value = -1 }),
		"u NaN":       bolt(func(b *clearance.Bolt) { b.Young.U = units.Pascals(nan) }),
		"u unstated":  bolt(func(b *clearance.Bolt) { b.Young.Stated = false }),
	} {
		_, err := b.UnderLoad(load)
		add(name, err)
		_, err = b.AtStretch(units.Unstated(um))
		add(name+" at stretch", err)
	}
	for name, f := range map[string]units.Measured[units.Force]{
		"no load": {}, "load NaN": units.Unstated(units.Newtons(nan)), "load Inf": units.Unstated(units.Newtons(inf)), "load neg": units.Unstated(units.Newtons(-1)),
		"load u": units.WithU(units.Newtons(1), units.Newtons(nan)), "load u unstated": {Value: 1, U: 1}, "yielding": units.Unstated(units.Newtons(5e8)),
	} {
		_, err := rodBolt().UnderLoad(f)
		add(name, err)
		if name != "yielding" {
			_, err = clearance.Tightening{Diameter: mm, Factor: clearance.NutFactor{K: 0.2}}.Torque(f)
			add(name+" torque", err)
		}
	}
	for name, l := range map[string]units.Measured[units.Length]{"no stretch": {}, "stretch neg": units.Unstated(-um), "stretch long": units.Unstated(5 * mm), "stretch u": {Value: um, U: -1, Stated: true}, "u alone": {Value: um, U: 1}} {
		_, err := rodBolt().AtStretch(l)
		add(name, err)
	}
	readings := func(a, b units.Length) error {
		_, err := clearance.StretchReadings{Free: units.Unstated(a), Tightened: units.Unstated(b), Bolt: rodBolt()}.Preload()
		return err
	}
	add("readings", readings(0, 0))
	add("swapped", readings(55*mm, 54*mm))
	add("equal", readings(55*mm, 55*mm))
	add("no tightened", readings(55*mm, 0))
	add("negative", readings(-mm, mm))
	_, err := clearance.BoltStretch{}.Rise(units.PerKelvin(1e-5))
	add("rise of nothing", err)
	_, err = get[clearance.BoltStretch](t)(rodBolt().UnderLoad(load)).Rise(units.PerKelvin(nan))
	add("rise NaN", err)
	friction := func(f func(*clearance.ThreadFriction)) error {
		x := metricFriction()
		f(&x)
		_, err := x.Factor()
		return err
	}
	_, err = clearance.ThreadFriction{}.Factor()
	add("friction zero", err)
	add("friction mean", friction(func(f *clearance.ThreadFriction) { f.Mean = 11 * mm }))
	add("friction small mean", friction(func(f *clearance.ThreadFriction) { f.Mean = mm }))
	add("friction root and mean", friction(func(f *clearance.ThreadFriction) { f.Root = 8 * mm }))
	add("friction root", friction(func(f *clearance.ThreadFriction) { f.Mean, f.Root = 0, 11*mm }))
	add("friction lead", friction(func(f *clearance.ThreadFriction) { f.Lead = 6 * mm }))
	add("friction no lead", friction(func(f *clearance.ThreadFriction) { f.Lead = 0 }))
	add("friction bearing", friction(func(f *clearance.ThreadFriction) { f.Bearing = 8 * mm }))
	add("friction bearing neg", friction(func(f *clearance.ThreadFriction) { f.Bearing = -8 * mm }))
	add("friction huge", friction(func(f *clearance.ThreadFriction) { f.Diameter = units.MaxLength }))
	add("friction NaN", friction(func(f *clearance.ThreadFriction) { f.Thread.Coefficient = nan }))
	add("friction none", friction(func(f *clearance.ThreadFriction) { f.Head.Coefficient = 0 }))
	add("friction over 1", friction(func(f *clearance.ThreadFriction) { f.Head.Coefficient = 1.1 }))
	add("friction u", friction(func(f *clearance.ThreadFriction) { f.Head.U = nan }))
	add("friction u unstated", friction(func(f *clearance.ThreadFriction) { f.Stated = false }))
	for name, x := range map[string]clearance.Tightening{
		"tightening zero": {}, "no K": {Diameter: mm}, "K NaN": {Diameter: mm, Factor: clearance.NutFactor{K: nan}}, "K over": {Diameter: mm, Factor: clearance.NutFactor{K: 3}}, "no diameter": {Factor: clearance.NutFactor{K: 0.2}},
		"K u": {Diameter: mm, Factor: clearance.NutFactor{K: 0.2, U: nan, Stated: true}}, "K u unstated": {Diameter: mm, Factor: clearance.NutFactor{K: 0.2, U: 0.1}},
	} {
		_, err := x.Torque(load)
		add(name, err)
		_, err = x.Preload(units.Unstated(units.NewtonMeters(1)))
		add(name+" preload", err)
	}
	for name, x := range map[string]units.Measured[units.Torque]{"no torque": {}, "torque NaN": units.Unstated(units.NewtonMeters(nan)), "torque neg": units.Unstated(units.NewtonMeters(-1)), "torque u": {Value: 1, U: 1}, "torque u NaN": units.WithU(units.NewtonMeters(1), units.NewtonMeters(nan))} {
		_, err := clearance.Tightening{Diameter: mm, Factor: clearance.NutFactor{K: 0.2}}.Preload(x)
		add(name, err)
	}
	for _, c := range []clearance.NutCondition{0, 77} {
		_, err := c.Factor()
		add("condition "+c.String(), err)
	}
	for i, s := range []clearance.TensionScatter{0, 77, clearance.ByStretch} {
		_, err := s.Band(units.Newtons(float64(-i)))
		add("scatter "+s.String(), err)
	}
	for name, s := range map[string]clearance.PreloadSample{"sample none": nil, "sample one": {1}, "sample NaN": {1, units.Newtons(nan)}, "sample neg": {1, -1}, "sample many": make(clearance.PreloadSample, 10001)} {
		_, err := s.Scatter()
		add(name, err)
	}
	for name, j := range map[string]clearance.BoltedJoint{"joint zero": {}, "one spring": {Bolt: 1}, "spring NaN": {Bolt: 1, Members: units.NewtonsPerMeter(nan)}, "spring neg": {Bolt: -1, Members: 1}, "spring Inf": {Bolt: units.NewtonsPerMeter(inf), Members: 1}} {
		_, err := j.BoltShare()
		add(name, err)
		_, err = j.Turn(1)
		add(name+" turn", err)
		_, err = j.Gain(units.CrankDegree)
		add(name+" gain", err)
		_, err = clearance.JointLoad{Joint: j, Preload: 1, Area: 1}.State()
		add(name+" state", err)
	}
	j := clearance.BoltedJoint{Bolt: 1e8, Members: 1e9, Lead: mm}
	_, err = j.Turn(0)
	add("no gain", err)
	_, err = j.Gain(0)
	add("no angle", err)
	_, err = j.Gain(-units.CrankDegree)
	add("angle neg", err)
	j.Lead = 2 * units.Meter
	_, err = j.Turn(1)
	add("long lead", err)
	_, err = clearance.BoltedJoint{Bolt: 1, Members: 1, Lead: 1}.Turn(1e9)
	add("endless turn", err)
	for name, l := range map[string]clearance.JointLoad{"no preload": {Joint: j, Area: 1}, "pull neg": {Joint: j, Preload: 1, External: -1, Area: 1}, "pull NaN": {Joint: j, Preload: 1, External: units.Newtons(nan), Area: 1}, "joint area": {Joint: j, Preload: 1}} {
		_, err := l.State()
		add(name, err)
	}
	for name, p := range map[string]clearance.ProofShare{"proof zero": {}, "proof NaN": {Proof: units.Pascals(nan), Area: 1}, "proof neg": {Proof: -1, Area: 1}, "proof area": {Proof: 1}, "proof area NaN": {Proof: 1, Area: units.SquareMeters(nan)}} {
		_, err := p.ProofLoad()
		add(name, err)
		_, err = p.Preload(0.75)
		add(name+" preload", err)
		_, err = p.ShareOf(1)
		add(name+" share", err)
	}
	for _, x := range []float64{0, -1, nan, 3} {
		_, err := clearance.ProofShare{Proof: 1e9, Area: 1e-4}.Preload(x)
		add("share", err)
	}
	_, err = clearance.ProofShare{Proof: 1e9, Area: 1e-4}.ShareOf(units.Newtons(nan))
	add("share of NaN", err)
	for _, r := range []clearance.PreloadRule{0, 9} {
		_, err := r.Share()
		add("rule "+r.String(), err)
	}
	y := clearance.YieldTightening{PitchDiameter: 9026 * um, RootDiameter: 8160 * um, Lead: 1500 * um, Thread: 0.12, Yield: units.Megapascals(640), Share: 0.9}
	for name, f := range map[string]func(*clearance.YieldTightening){
		"yield zero": func(y *clearance.YieldTightening) { *y = clearance.YieldTightening{} }, "yield root": func(y *clearance.YieldTightening) { y.RootDiameter = mm * 10 },
		"yield friction": func(y *clearance.YieldTightening) { y.Thread = nan }, "yield strength": func(y *clearance.YieldTightening) { y.Yield = 0 }, "yield NaN": func(y *clearance.YieldTightening) { y.Yield = units.Pascals(nan) },
		"yield no share": func(y *clearance.YieldTightening) { y.Share = 0 }, "yield share": func(y *clearance.YieldTightening) { y.Share = 1.1 }, "yield large": func(y *clearance.YieldTightening) { y.Lead = 2 * units.Meter },
	} {
		x := y
		f(&x)
		_, err := x.Preload()
		add(name, err)
	}
	for name, err := range bad {
		var e *units.InputError
		if !errors.As(err, &e) || e.Field == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if len(bad) < 120 {
		t.Errorf("only %d cases", len(bad))
	}
}

// Figures at the ends of their ranges give an error or a number, never an infinity.
func TestFastenersDoNotOverflow(t *testing.T) {
	none := func(units.Force) bool { return true }
	soft := clearance.JointLoad{Joint: clearance.BoltedJoint{Bolt: 1e15, Members: 1e-3}, Preload: 1e3, Area: 1e-4}
	s, err := soft.State()
	if err != nil || math.Abs(float64(s.Separation)/1e21-1) > 1e-12 {
		t.Errorf("1e3 N (1 + 1e15/1e-3): %v, %v", s.Separation, err)
	}
	soft.Joint.Members = 1e-300
	s, err = soft.State()
	wantError(t, s.Bolt, none, err, units.ErrRange, "Joint.Members")
	s, err = clearance.JointLoad{Joint: clearance.BoltedJoint{Bolt: 1e8, Members: 1e8}, Preload: 1e9, Area: 1e-300}.State()
	wantError(t, s.Bolt, none, err, units.ErrRange, "Area")
	x, err := clearance.ProofShare{Proof: 1, Area: 1e-301}.ShareOf(1e9)
	wantError(t, x, func(x float64) bool { return x == 0 }, err, units.ErrRange, "Area")
	p, err := clearance.Tightening{Diameter: 1, Factor: clearance.NutFactor{K: 1e-300}}.Preload(units.Unstated(units.NewtonMeters(1)))
	wantError(t, p.Preload.Value, none, err, units.ErrRange, "Preload")
	b, err := clearance.Bolt{Segments: []clearance.Segment{{Length: mm, Area: 1e-4}}, Young: units.Unstated(units.Pressure(2e11))}.AtStretch(un(1))
	if err != nil {
		t.Fatal(err)
	}
	r, err := b.Rise(1e-320)
	wantError(t, r, func(r units.TemperatureDifference) bool { return r == 0 }, err, units.ErrRange, "Expansion")
}

func TestFastenersDoNotAllocate(t *testing.T) {
	b, f := rodBolt(), metricFriction()
	g := clearance.BoltGrade{Standard: clearance.ISO898, Name: "10.9"}
	th := get[clearance.Thread](t)(clearance.ParseThread("M10x1.5"))
	for name, call := range map[string]func(){
		"stretch": func() { _, _ = b.UnderLoad(units.Unstated(units.Kilonewtons(30))) },
		"load":    func() { _, _ = b.AtStretch(units.Unstated(100 * um)) },
		"grade":   func() { _, _ = g.Strength(12 * mm) },
		"area":    func() { _, _ = th.StressArea() },
		"torque": func() {
			k, _ := f.Factor()
			_, _ = clearance.Tightening{Diameter: 10 * mm, Factor: k.NutFactor}.Torque(units.Unstated(units.Kilonewtons(30)))
		},
	} {
		if n := testing.AllocsPerRun(100, call); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}

func FuzzParseThread(f *testing.F) {
	for _, s := range []string{"M8x1.25", "3/8-24 UNF", "1 1/4-12", "M 16 x 1.5", ".5-13UNC", "M8", "1/3-20"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		th, err := clearance.ParseThread(s)
		if err != nil {
			var e *units.InputError
			if !errors.As(err, &e) || th != (clearance.Thread{}) {
				t.Fatalf("%q: %v, %v", s, th, err)
			}
			return
		}
		if back, err := clearance.ParseThread(th.String()); err != nil || back != th {
			t.Fatalf("%q -> %q -> %v, %v", s, th, back, err)
		}
		if a, err := th.StressArea(); err != nil || !(a > 0) {
			t.Fatalf("%q: %v, %v", s, a, err)
		}
	})
}

func BenchmarkBoltUnderLoad(b *testing.B) {
	b.ReportAllocs()
	bolt := rodBolt()
	i := 0
	for b.Loop() {
		s, _ := bolt.UnderLoad(units.Unstated(units.Newtons(float64(i%64+1) * 100)))
		sink += s.Stretch.Value
		i++
	}
}

func BenchmarkBoltGradeStrength(b *testing.B) {
	b.ReportAllocs()
	g := clearance.BoltGrade{Standard: clearance.ISO898, Name: "10.9"}
	i := 0
	for b.Loop() {
		s, _ := g.Strength(units.Length(i%20+6) * mm)
		if s.Proof > 0 {
			sink++
		}
		i++
	}
}

func BenchmarkThreadFrictionFactor(b *testing.B) {
	b.ReportAllocs()
	f := metricFriction()
	i := 0
	for b.Loop() {
		f.Thread.Coefficient = 0.08 + float64(i%64)/1000
		k, _ := f.Factor()
		sink += k.Mean
		i++
	}
}

func TestWorkingOfScatter(t *testing.T) {
	b, err := clearance.ByStretch.Band(units.Kilonewtons(40))
	if err != nil {
		t.Fatal(err)
	}
	r, err := clearance.PreloadSample{38000, 40000, 42000}.Scatter()
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 40 kN less and plus a tenth; 2 kN about 40 kN.
	if w := b.Working(); len(w) != 2 || w[0].Value != "36000 N" || w[1].Value != "44000 N" {
		t.Errorf("%v", w)
	}
	if w := r.Working(); len(w) != 3 || w[0].Value != "40000 N" || w[1].Value != "2000 N" || w[2].Value != "0.05" {
		t.Errorf("%v", w)
	}
	if (clearance.PreloadBand{}).Working() != nil || (clearance.SampleScatter{}).Working() != nil {
		t.Error("nothing has a derivation")
	}
}
