package valvetrain_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func arc(deg float64) valvetrain.PlaneAngle { return valvetrain.PlaneDegrees(deg) }

// solid is the oracle's view of a valve head: a profile of height and radius about
// an axis, kept apart from the package.
type solid struct {
	c, a, e, f [3]float64 // center, axis, two directions square to it
	h, r       [3]float64
}

func dot3(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func solidOf(h valvetrain.ValveHead, lift units.Length) solid {
	var s solid
	s.a = [3]float64{math.Tan(float64(h.Cant)), math.Tan(float64(h.Lean)), 1}
	n := math.Sqrt(dot3(s.a, s.a))
	for k := range 3 {
		s.a[k] /= n
	}
	s.c = [3]float64{h.Center.X.Meters(), h.Center.Y.Meters(), h.Center.Z.Meters()}
	for k := range 3 {
		s.c[k] -= lift.Meters() * s.a[k]
	}
	// The axis is never near X+Y without Z, so (1,-1,0)-like works by Gram-Schmidt.
	s.e = [3]float64{1, 0, 0}
	if math.Abs(s.a[0]) > 0.9 {
		s.e = [3]float64{0, 1, 0}
	}
	p := dot3(s.e, s.a)
	for k := range 3 {
		s.e[k] -= p * s.a[k]
	}
	n = math.Sqrt(dot3(s.e, s.e))
	for k := range 3 {
		s.e[k] /= n
	}
	s.f = [3]float64{s.a[1]*s.e[2] - s.a[2]*s.e[1], s.a[2]*s.e[0] - s.a[0]*s.e[2], s.a[0]*s.e[1] - s.a[1]*s.e[0]}
	r, w := h.Diameter.Value.Meters()/2, h.FaceWidth.Meters()
	s.h = [3]float64{0, h.Margin.Meters(), h.Margin.Meters() + w*math.Sin(float64(h.FaceAngle))}
	s.r = [3]float64{r, r, r - w*math.Cos(float64(h.FaceAngle))}
	return s
}

// outline returns the point at u in [0, 5] along the profile, from the middle of the
// face over rim and seat face to the axis again.
func (s solid) outline(u float64) (h, r float64) {
	hs := [5]float64{s.h[0], s.h[0], s.h[1], s.h[2], s.h[2]}
	rs := [5]float64{0, s.r[0], s.r[1], s.r[2], 0}
	k := min(int(u), 3)
	t := u - float64(k)
	return hs[k] + t*(hs[k+1]-hs[k]), rs[k] + t*(rs[k+1]-rs[k])
}

func (s solid) point(u, angle float64) [3]float64 {
	h, r := s.outline(u)
	sin, cos := math.Sincos(angle)
	var p [3]float64
	for k := range 3 {
		p[k] = s.c[k] + h*s.a[k] + r*(cos*s.e[k]+sin*s.f[k])
	}
	return p
}

// from is the distance of a point from the solid, in the half plane of its axis.
func (s solid) from(p [3]float64) float64 {
	d := [3]float64{p[0] - s.c[0], p[1] - s.c[1], p[2] - s.c[2]}
	h := dot3(d, s.a)
	r := math.Sqrt(max(dot3(d, d)-h*h, 0))
	inside, best := true, math.Inf(1)
	for k := range 4 {
		h0, r0 := s.outline(float64(k))
		h1, r1 := s.outline(float64(k + 1))
		if k == 3 {
			h1, r1 = s.h[2], 0
		}
		dh, dr := h1-h0, r1-r0
		if l := dh*dh + dr*dr; l > 0 {
			t := min(max(((h-h0)*dh+(r-r0)*dr)/l, 0), 1)
			best = min(best, math.Hypot(h-h0-t*dh, r-r0-t*dr))
			inside = inside && dh*(r-r0)-dr*(h-h0) <= 0
		}
	}
	if inside {
		return 0
	}
	return best
}

// brute is the least distance of points of the surface of a from b, on a grid that
// is drawn together about the best point again and again.
func brute(a, b solid) float64 {
	best, u0, t0 := math.Inf(1), 0.0, 0.0
	try := func(u, t float64) {
		if u < 0 || u > 4 {
			return
		}
		if d := b.from(a.point(u, t)); d < best {
			best, u0, t0 = d, u, t
		}
	}
	for i := range 41 {
		for j := range 120 {
			try(float64(i)/10, float64(j)*2*math.Pi/120)
		}
	}
	du, dt := 0.1, 2*math.Pi/120
	for range 60 {
		u, t := u0, t0
		for i := -3; i <= 3; i++ {
			for j := -3; j <= 3; j++ {
				try(u+float64(i)*du/3, t+float64(j)*dt/3)
			}
		}
		du, dt = du*0.7, dt*0.7
	}
	return best
}

func randomHead(r *rand.Rand) valvetrain.ValveHead {
	l := func(lo, hi float64) units.Length { return mm(lo + (hi-lo)*r.Float64()) }
	h := valvetrain.ValveHead{
		Diameter: exact(l(5, 50)), Margin: l(0, 3),
		Center: valvetrain.HeadPlace{X: l(-30, 30), Y: l(-30, 30), Z: l(-20, 20)},
		Lean:   arc(-60 + 120*r.Float64()), Cant: arc(-60 + 120*r.Float64()),
	}
	switch r.IntN(4) {
	case 0:
		h.Margin = 0
	case 1:
		h.Lean, h.Cant = 0, 0
	case 2:
		h.FaceWidth, h.FaceAngle = l(0.5, 2.4), arc(20+50*r.Float64())
	}
	return h
}

// The distance of two heads against points sampled on their surfaces.
func TestHeadsAgainstSampledPoints(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 8))
	apart, touch := 0, 0
	for i := range 400 {
		p := valvetrain.HeadPair{Intake: randomHead(r), Exhaust: randomHead(r)}
		switch i % 4 {
		case 1: // canted in one plane
			p.Intake.Cant, p.Exhaust.Cant, p.Exhaust.Center.X = 0, 0, p.Intake.Center.X
		case 2: // parallel stems
			p.Exhaust.Lean, p.Exhaust.Cant = p.Intake.Lean, p.Intake.Cant
		}
		l := valvetrain.HeadLifts{Intake: mm(12 * r.Float64()), Exhaust: mm(12 * r.Float64())}
		g := must[valvetrain.HeadGap](t)(p.At(l))
		a, b := solidOf(p.Intake, l.Intake), solidOf(p.Exhaust, l.Exhaust)
		want := min(brute(a, b), brute(b, a))
		got := g.Gap.Value.Meters()
		// The sampled pair is never closer; it may miss by what its grid leaves.
		if got > want+1e-11 || got < want-2e-7 {
			t.Errorf("%+v at %+v: gap %v m, sampled %v m", p, l, got, want)
		}
		if want == 0 {
			touch++
			// Drawn back by the way found the heads just touch.
			for k, back := range []units.Length{g.IntakeBack, g.ExhaustBack} {
				q := p
				gapAt := func(extra units.Length) units.Length {
					q = p
					h, by := &q.Intake, back+extra-l.Intake
					other := valvetrain.HeadLifts{Exhaust: l.Exhaust}
					if k == 1 {
						h, by, other = &q.Exhaust, back+extra-l.Exhaust, valvetrain.HeadLifts{Intake: l.Intake}
					}
					s := solidOf(*h, -by)
					h.Center = valvetrain.HeadPlace{X: mm(s.c[0] * 1e3), Y: mm(s.c[1] * 1e3), Z: mm(s.c[2] * 1e3)}
					return must[valvetrain.HeadGap](t)(q.At(other)).Gap.Value
				}
				if back <= 0 || gapAt(-mm(0.0001)) != 0 && back > mm(0.0001) || gapAt(mm(0.01)) == 0 {
					t.Errorf("%+v at %+v: way back %v of %d: gap %v before, %v after", p, l, back, k, gapAt(-mm(0.0001)), gapAt(mm(0.01)))
				}
			}
		} else {
			apart++
		}
		// Which head is called first changes nothing; nor does a mirror.
		s := must[valvetrain.HeadGap](t)(valvetrain.HeadPair{Intake: p.Exhaust, Exhaust: p.Intake}.At(valvetrain.HeadLifts{Intake: l.Exhaust, Exhaust: l.Intake}))
		m := p
		for _, h := range []*valvetrain.ValveHead{&m.Intake, &m.Exhaust} {
			h.Center.X, h.Cant = -h.Center.X, -h.Cant
		}
		o := must[valvetrain.HeadGap](t)(m.At(l))
		if (s.Gap.Value-g.Gap.Value).Abs() > 2 || (o.Gap.Value-g.Gap.Value).Abs() > 2 {
			t.Errorf("gap %v, swapped %v, mirrored %v", g.Gap.Value, s.Gap.Value, o.Gap.Value)
		}
		// The rates are the slopes of the gap.
		if g.Gap.Value > mm(0.1) {
			step := mm(0.0001)
			up := must[valvetrain.HeadGap](t)(p.At(valvetrain.HeadLifts{Intake: l.Intake + step, Exhaust: l.Exhaust}))
			if got := float64(up.Gap.Value-g.Gap.Value) / float64(step); math.Abs(got-g.IntakeRate) > 2e-3 {
				t.Errorf("slope %v, rate %v", got, g.IntakeRate)
			}
			up = must[valvetrain.HeadGap](t)(p.At(valvetrain.HeadLifts{Intake: l.Intake, Exhaust: l.Exhaust + step}))
			if got := float64(up.Gap.Value-g.Gap.Value) / float64(step); math.Abs(got-g.ExhaustRate) > 2e-3 {
				t.Errorf("slope %v, rate %v", got, g.ExhaustRate)
			}
		}
	}
	if apart < 50 || touch < 15 {
		t.Errorf("%d apart, %d touching: not a fair sample", apart, touch)
	}
}

// Where the answer is a closed form: over one another, side by side, parallel,
// square, a rim over a face.
func TestHeadsLimitCases(t *testing.T) {
	head := func(d, margin, y, z, lean float64) valvetrain.ValveHead {
		return valvetrain.ValveHead{Diameter: exact(mm(d)), Margin: mm(margin), Center: valvetrain.HeadPlace{Y: mm(y), Z: mm(z)}, Lean: arc(lean)}
	}
	r2 := math.Sqrt2
	for _, c := range []struct {
		name string
		a, b valvetrain.ValveHead
		want float64 // mm
	}{
		{"over one another", head(40, 2, 0, 0, 0), head(30, 2, 0, 7, 0), 5},
		{"over one another, off center", head(40, 2, 0, 0, 0), head(30, 2, 3, 7, 0), 5},
		{"side by side", head(40, 2, 0, 0, 0), head(30, 2, 38, 0, 0), 3},
		{"side by side, in touch", head(40, 2, 0, 0, 0), head(30, 2, 35, 0, 0), 0},
		{"parallel, rim to rim", head(40, 0, 0, 0, 0), head(30, 0, 38, 4, 0), 5},
		{"parallel and leaning", head(40, 0, 0, 0, 45), head(30, 0, 0, 50, 45), math.Hypot(50/r2, 50/r2-35)},
		// A sharp disc edge on, over the middle of a flat one.
		{"square, rim over a face", head(40, 2, 0, 0, 45), head(10, 0, 20/r2, 20/r2, -45), 20 - 5 - 2},
		{"leaning rim over a face", head(60, 1, 0, 0, 0), head(20, 0, 0, 15, 30), 15 - 10*math.Sin(math.Pi/6) - 1},
	} {
		got := must[valvetrain.HeadGap](t)(valvetrain.HeadPair{Intake: c.a, Exhaust: c.b}.At(valvetrain.HeadLifts{}))
		if math.Abs(got.Gap.Value.Millimeters()-c.want) > 2e-9 {
			t.Errorf("%s: gap %v, want %v mm", c.name, got.Gap.Value, c.want)
		}
		worked(t, c.name, got.Working())
	}
	// One inside the other in every way: the least of the ways out is known.
	g := must[valvetrain.HeadGap](t)(valvetrain.HeadPair{Intake: head(40, 2, 0, 0, 0), Exhaust: head(30, 2, 0, 0.5, 0)}.At(valvetrain.HeadLifts{}))
	if g.Gap.Value != 0 || (g.IntakeBack-mm(2.5)).Abs() > 2 || (g.ExhaustBack-mm(1.5)).Abs() > 2 || g.Clearance() != -g.ExhaustBack {
		t.Errorf("overlap %+v", g)
	}
	worked(t, "overlap", g.Working())
	same := must[valvetrain.HeadGap](t)(valvetrain.HeadPair{Intake: head(40, 2, 0, 0, 0), Exhaust: head(40, 2, 0, 0, 0)}.At(valvetrain.HeadLifts{}))
	if (same.IntakeBack - mm(2)).Abs() > 2 {
		t.Errorf("the same place: %+v", same)
	}
}

// hemi are the valves of a hemispherical chamber on the workboat's cam; figures
// invented.
func hemi(tb testing.TB, seats, separation, advance float64) *valvetrain.MovingHeads {
	tb.Helper()
	lobe := func(lift, flank float64) camtiming.LiftCurve {
		f := must[units.CamAngle](tb)(units.CamDegrees(flank))
		return must[*camtiming.LawLobe](tb)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly4567, MaxLift: mm(lift), Opening: f, Closing: f}))
	}
	cam := must[*camtiming.Cam](tb)(camtiming.NewCam(camtiming.CamSpec{Intake: lobe(6.8, 78), Exhaust: lobe(6.6, 80), Separation: must[units.CamAngle](tb)(units.CamDegrees(separation))}))
	p := valvetrain.HeadPair{
		Intake:  valvetrain.ValveHead{Diameter: units.WithU(mm(44), mm(0.02)), Margin: mm(1.5), FaceWidth: mm(1.8), FaceAngle: arc(45), Center: valvetrain.HeadPlace{X: mm(2), Y: mm(-seats)}, CenterU: units.Some(mm(0.05)), Lean: arc(-18), Cant: arc(4)},
		Exhaust: valvetrain.ValveHead{Diameter: units.WithU(mm(37), mm(0.02)), Margin: mm(1.6), FaceWidth: mm(2), FaceAngle: arc(45), Center: valvetrain.HeadPlace{X: mm(-1), Y: mm(seats), Z: mm(0.4)}, CenterU: units.Some(mm(0.05)), Lean: arc(20), Cant: arc(-3)},
	}
	return must[*valvetrain.MovingHeads](tb)(p.Mount(valvetrain.HeadTiming{
		Cam: cam, Installation: camtiming.Installation{
			Advance: must[units.CrankAngle](tb)(units.CrankDegrees(advance)),
			Intake:  camtiming.ValveGear{Ratio: 1.5, Lash: mm(0.3)}, Exhaust: camtiming.ValveGear{Ratio: 1.5, Lash: mm(0.45)},
		},
		Least: units.Some(units.AtLeast(mm(0.5), own)),
	}))
}

// The search against a dense scan, and what advance and separation do.
func TestClosestHeads(t *testing.T) {
	var before units.Length
	for i, separation := range []float64{98, 100, 103, 107, 112} {
		m := hemi(t, 20, separation, 0)
		c := must[valvetrain.HeadClearance](t)(m.Closest())
		scan, at := units.MaxLength, units.CrankAngle(0)
		for a := -units.CrankTurn; a < units.CrankTurn; a += units.CrankDegree / 20 {
			if g := m.At(a).Gap.Value; g < scan {
				scan, at = g, a
			}
		}
		if c.Clearance.Value > scan+1000 || c.Clearance.Value < scan-mm(0.0005) || (c.At-at).Abs() > units.CrankDegree/5 {
			t.Errorf("separation %v: least %v at %v, scan %v at %v", separation, c.Clearance.Value, c.At, scan, at)
		}
		if g := m.At(c.At); g.Gap != c.Clearance || len(c.Touch) != 0 {
			t.Errorf("separation %v: %+v at its own angle, %+v", separation, g.Gap, c)
		}
		if i > 0 && c.Clearance.Value <= before {
			t.Errorf("separation %v: a wider one leaves less", separation)
		}
		before = c.Clearance.Value
		moved := must[valvetrain.HeadClearance](t)(hemi(t, 20, separation, 5).Closest())
		if (moved.Clearance.Value-c.Clearance.Value).Abs() > 1000 || (moved.At+5*units.CrankDegree-c.At).Abs() > units.CrankDegree/1000 {
			t.Errorf("5 degrees of advance: %v at %v from %v at %v", moved.Clearance.Value, moved.At, c.Clearance.Value, c.At)
		}
		worked(t, "clearance", c.Working())
	}
	// Heads that meet: the stretch of contact against a scan.
	m := hemi(t, 19.6, 90, 0)
	c := must[valvetrain.HeadClearance](t)(m.Closest())
	if len(c.Touch) != 1 || c.Clearance.Value >= 0 || c.Verdict.Value.Outcome != units.ProvedOutside {
		t.Fatalf("%+v", c)
	}
	deepest := units.Length(0)
	for a := -60 * units.CrankDegree; a < 60*units.CrankDegree; a += units.CrankDegree / 50 {
		g := m.At(a)
		if in := a >= c.Touch[0].From && a <= c.Touch[0].To; in != (g.Gap.Value == 0) {
			t.Errorf("%v: gap %v, touch %+v", a, g.Gap.Value, c.Touch)
		}
		deepest = min(deepest, g.Clearance())
	}
	if c.Clearance.Value > deepest || c.Clearance.Value < deepest-mm(0.001) {
		t.Errorf("deepest %v, scan %v", c.Clearance.Value, deepest)
	}
	worked(t, "touch", c.Working())
	if len(c.Cautions()) < 4 {
		t.Error("no caution that the heads meet")
	}
}

func TestHeadsDoNotAllocate(t *testing.T) {
	m := hemi(t, 20, 104, 0)
	p := valvetrain.HeadPair{
		Intake:  valvetrain.ValveHead{Diameter: exact(mm(44)), Center: valvetrain.HeadPlace{Y: mm(-25)}},
		Exhaust: valvetrain.ValveHead{Diameter: exact(mm(36)), Center: valvetrain.HeadPlace{Y: mm(25)}},
	}
	a := -60 * units.CrankDegree
	if n := testing.AllocsPerRun(500, func() {
		m.At(a)
		if _, err := p.At(valvetrain.HeadLifts{Intake: mm(1)}); err != nil {
			t.Fatal(err)
		}
		a += units.CrankDegree / 4
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func TestBadHeads(t *testing.T) {
	good := valvetrain.HeadPair{
		Intake:  valvetrain.ValveHead{Diameter: exact(mm(44)), Margin: mm(1), Center: valvetrain.HeadPlace{Y: mm(-25)}},
		Exhaust: valvetrain.ValveHead{Diameter: exact(mm(36)), Margin: mm(1), Center: valvetrain.HeadPlace{Y: mm(25)}},
	}
	type pair = valvetrain.HeadPair
	gap := func(change func(*pair)) func() (any, error) {
		return with(good, change, func(p pair) (valvetrain.HeadGap, error) { return p.At(valvetrain.HeadLifts{}) })
	}
	timing := valvetrain.HeadTiming{Cam: must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{
		Intake:     must[*camtiming.LawLobe](t)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly345, MaxLift: mm(6), Opening: 70 * units.CamDegree, Closing: 70 * units.CamDegree})),
		Exhaust:    must[*camtiming.LawLobe](t)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly345, MaxLift: mm(6), Opening: 70 * units.CamDegree, Closing: 70 * units.CamDegree})),
		Separation: 108 * units.CamDegree,
	})), Installation: camtiming.Installation{Intake: camtiming.ValveGear{Ratio: 1.5}, Exhaust: camtiming.ValveGear{Ratio: 1.5}}}
	type tm = valvetrain.HeadTiming
	mount := func(change func(*tm)) func() (any, error) { return with(timing, change, good.Mount) }
	refuse(t, []bad{
		{"no diameter", gap(func(p *pair) { p.Intake.Diameter.Value = 0 }), "Intake.Diameter", units.ErrMissing},
		{"negative diameter", gap(func(p *pair) { p.Exhaust.Diameter.Value = -1 }), "Exhaust.Diameter", units.ErrRange},
		{"diameter u", gap(func(p *pair) { p.Exhaust.Diameter = units.WithU(mm(36), -1) }), "Exhaust.Diameter.U", units.ErrRange},
		{"margin", gap(func(p *pair) { p.Intake.Margin = -1 }), "Intake.Margin", units.ErrRange},
		{"face", gap(func(p *pair) { p.Intake.FaceWidth = most }), "Intake.FaceWidth", units.ErrRange},
		{"face without angle", gap(func(p *pair) { p.Intake.FaceWidth = mm(1) }), "Intake.FaceAngle", units.ErrRange},
		{"face angle nan", gap(func(p *pair) { p.Intake.FaceWidth, p.Intake.FaceAngle = mm(1), valvetrain.PlaneAngle(nan) }), "Intake.FaceAngle", units.ErrRange},
		{"angle without face", gap(func(p *pair) { p.Intake.FaceAngle = arc(45) }), "Intake.FaceWidth", units.ErrMissing},
		{"face past the axis", gap(func(p *pair) { p.Intake.FaceWidth, p.Intake.FaceAngle = mm(40), arc(45) }), "Intake.FaceWidth", units.ErrImpossible},
		{"place", gap(func(p *pair) { p.Intake.Center.Z = most }), "Intake.Center.Z", units.ErrRange},
		{"place x", gap(func(p *pair) { p.Intake.Center.X = -most }), "Intake.Center.X", units.ErrRange},
		{"place y", gap(func(p *pair) { p.Exhaust.Center.Y = most }), "Exhaust.Center.Y", units.ErrRange},
		{"place u", gap(func(p *pair) { p.Exhaust.CenterU = units.Some(units.Length(-1)) }), "Exhaust.CenterU", units.ErrRange},
		{"lean nan", gap(func(p *pair) { p.Intake.Lean = valvetrain.PlaneAngle(nan) }), "Intake.Lean", units.ErrRange},
		{"cant flat", gap(func(p *pair) { p.Intake.Cant = arc(90) }), "Intake.Cant", units.ErrRange},
		{"lift", one(func() (valvetrain.HeadGap, error) { return good.At(valvetrain.HeadLifts{Intake: -1}) }), "Lifts.Intake", units.ErrRange},
		{"exhaust lift", one(func() (valvetrain.HeadGap, error) { return good.At(valvetrain.HeadLifts{Exhaust: most}) }), "Lifts.Exhaust", units.ErrRange},
		{"no cam", mount(func(m *tm) { m.Cam = nil }), "Cam", units.ErrMissing},
		{"zero cam", mount(func(m *tm) { m.Cam = &camtiming.Cam{} }), "Cam", units.ErrMissing},
		{"advance", mount(func(m *tm) { m.Installation.Advance = 2 * units.CrankCycle }), "Installation.Advance", units.ErrRange},
		{"ratio", mount(func(m *tm) { m.Installation.Intake.Ratio = nan }), "Installation.Intake.Ratio", units.ErrRange},
		{"lash", mount(func(m *tm) { m.Installation.Exhaust.Lash = -1 }), "Installation.Exhaust.Lash", units.ErrRange},
		{"separation", mount(func(m *tm) { m.Installation.Separation = units.Some(units.CamAngle(-1)) }), "Installation.Separation", units.ErrRange},
		{"limits", mount(func(m *tm) { m.Least = units.Some(units.Limits[units.Length]{}) }), "Least", units.ErrConflict},
		{"seats too near", one(func() (*valvetrain.MovingHeads, error) {
			p := good
			p.Intake.Center.Y = mm(-10)
			return p.Mount(timing)
		}), "Intake.Center", units.ErrImpossible},
		{"not mounted", one(func() (valvetrain.HeadClearance, error) { return new(valvetrain.MovingHeads).Closest() }), "MovingHeads", units.ErrMissing},
		{"none", one(func() (valvetrain.HeadClearance, error) { return (*valvetrain.MovingHeads)(nil).Closest() }), "MovingHeads", units.ErrMissing},
	})
	var zero valvetrain.MovingHeads
	if zero.At(0) != (valvetrain.HeadGap{}) || zero.Lifts(0) != (valvetrain.HeadLifts{}) {
		t.Error("zero MovingHeads")
	}
	_, _, _ = valvetrain.HeadClearance{}.Working(), valvetrain.HeadClearance{}.Cautions(), valvetrain.HeadGap{}.Working()
}

// Every position has a gap that no pair of points on the axes undercuts, and the
// solver comes to an end.
func FuzzHeads(f *testing.F) {
	f.Add(int64(44e9), int64(36e9), int64(15e8), int64(0), int64(-25e9), int64(0), 20.0, -10.0, int64(5e9))
	f.Add(int64(44e9), int64(36e9), int64(0), int64(0), int64(0), int64(0), 0.0, 0.0, int64(0))
	f.Add(int64(1), int64(10e12), int64(1), int64(1), int64(1), int64(1), 80.0, 80.0, int64(1))
	f.Fuzz(func(t *testing.T, d1, d2, margin, x, y, z int64, lean, cant float64, lift int64) {
		p := valvetrain.HeadPair{
			Intake:  valvetrain.ValveHead{Diameter: exact(units.Length(d1)), Margin: units.Length(margin), Center: valvetrain.HeadPlace{X: units.Length(x), Y: units.Length(y), Z: units.Length(z)}, Lean: arc(lean), Cant: arc(cant)},
			Exhaust: valvetrain.ValveHead{Diameter: exact(units.Length(d2)), Margin: units.Length(margin)},
		}
		g, err := p.At(valvetrain.HeadLifts{Intake: units.Length(lift)})
		if err != nil {
			return
		}
		a, b := solidOf(p.Intake, units.Length(lift)), solidOf(p.Exhaust, 0)
		far := math.Sqrt(dot3([3]float64{a.c[0] - b.c[0], a.c[1] - b.c[1], a.c[2] - b.c[2]}, [3]float64{a.c[0] - b.c[0], a.c[1] - b.c[1], a.c[2] - b.c[2]}))
		if d := g.Gap.Value.Meters(); d < 0 || d > far*(1+1e-12)+2e-12 || d > b.from(a.c)*(1+1e-9)+1e-9 {
			t.Errorf("gap %v between faces %v m apart", g.Gap.Value, far)
		}
		if g.Clearance() > 0 && g.Gap.Value == 0 {
			t.Errorf("%+v", g)
		}
	})
}

func BenchmarkHeadsAt(b *testing.B) {
	m := hemi(b, 20, 104, 0)
	b.ReportAllocs()
	var sum units.Length
	a := -60 * units.CrankDegree
	for b.Loop() {
		sum += m.At(a).Gap.Value
		if a += units.CrankDegree / 4; a > 60*units.CrankDegree {
			a = -60 * units.CrankDegree
		}
	}
	if sum <= 0 {
		b.Fatal(sum)
	}
}

func BenchmarkClosestHeads(b *testing.B) {
	m := hemi(b, 20, 104, 0)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Closest(); err != nil {
			b.Fatal(err)
		}
	}
}

// Level heads of which one lies over the other are as far apart as their faces,
// wherever the one lies over the other.
func TestHeadsOverEachOther(t *testing.T) {
	for i := range 400 {
		x := 0.1 * float64(i)
		if i >= 200 { // hardly so: the rims pass each other at 49.125, and at 49.069 where they lean
			x = 48.66 + 0.001*float64(i)
		}
		p := valvetrain.HeadPair{
			Intake:  valvetrain.ValveHead{Diameter: exact(mm(34)), Margin: mm(1.2)},
			Exhaust: valvetrain.ValveHead{Diameter: exact(mm(68)), Margin: mm(1.5), Center: valvetrain.HeadPlace{X: mm(x), Y: mm(13.7), Z: mm(-3)}},
		}
		if i%2 == 1 { // stems that lean alike: the gap is the way between the faces
			p.Intake.Lean, p.Exhaust.Lean = deg(20), deg(20)
		}
		g := must[valvetrain.HeadGap](t)(p.At(valvetrain.HeadLifts{Exhaust: mm(7)}))
		want := 10.0 - 1.5
		if i%2 == 1 {
			sin, cos := math.Sincos(20 * math.Pi / 180)
			want = 3*cos - 13.7*sin + 7 - 1.5
		}
		if d := g.Gap.Value.Millimeters() - want; math.Abs(d) > 1e-9 {
			t.Errorf("offset %d: gap %v, off by %g mm", i, g.Gap.Value, d)
		}
	}
}
