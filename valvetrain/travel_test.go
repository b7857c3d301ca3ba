package valvetrain_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

var (
	slot24 = valvetrain.RockerSlot{Slot: units.WithU(mm(24), mm(0.05)), Stud: units.WithU(mm(9.5), mm(0.02)), Edge: mm(5.5), TipArm: mm(38), Closed: arc(-8), TipClosed: arc(-9.5)}
	rod8   = valvetrain.PushrodHole{
		Hole: units.WithU(mm(16), mm(0.08)), Rod: units.WithU(mm(8), mm(0.06)),
		Center: valvetrain.HeadPlace{X: mm(1.2), Y: mm(10.9), Z: mm(100)}, Top: mm(130),
		Stands: []valvetrain.PushrodStand{
			{Upper: valvetrain.HeadPlace{X: mm(2), Y: mm(18), Z: mm(190)}},
			{Lift: mm(12), Lower: valvetrain.HeadPlace{Z: mm(8)}, Upper: valvetrain.HeadPlace{X: mm(2.2), Y: mm(15.5), Z: mm(198)}},
		},
	}
	swings = valvetrain.GapReadings{{Gap: exact(mm(3.1))}, {Lift: mm(6), Gap: exact(mm(2.5))}, {Lift: mm(12), Gap: exact(mm(2))}}
	limits = valvetrain.Travel{
		Lift: units.WithU(mm(12), mm(0.05)), OverTravel: units.WithU(mm(0.5), mm(0)),
		Limits: []valvetrain.TravelLimit{
			{Place: valvetrain.RetainerToSeal, Gap: valvetrain.ClosingGap(units.WithU(mm(14.4), mm(0.05))), Least: units.Some(units.AtLeast(mm(1.2), own))},
			{Place: valvetrain.SlotToStud, Gap: slot24, Least: units.Some(units.AtLeast(mm(0.6), own))},
			{Place: valvetrain.PushrodToHead, Gap: rod8, Least: units.Some(units.AtLeast(mm(0.5), own))},
			{Place: valvetrain.RetainerToRocker, Gap: swings, Least: units.Some(units.AtLeast(mm(1), own))},
		},
	}
)

// The slot against its corners turned point by point.
func TestRockerSlotAgainstTurnedCorners(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		s := slot24
		s.Closed, s.TipClosed = arc(-15+30*r.Float64()), arc(-20+25*r.Float64())
		s.Edge, s.Slot.Value = mm(8*r.Float64()), mm(14+14*r.Float64())
		lift := mm(0.5 + 12*r.Float64())
		want := math.Inf(1)
		for k := range 501 {
			// The tip at a height above the pivot that grows by the lift.
			y := s.TipArm.Millimeters()*math.Sin(float64(s.TipClosed)) + lift.Millimeters()*float64(k)/500
			turn := float64(s.Closed) + math.Atan2(y, math.Sqrt(squaredMM(s.TipArm)-y*y)) - float64(s.TipClosed)
			for _, e := range []float64{-1, 1} {
				for _, z := range []float64{-1, 1} {
					x, h := e*s.Slot.Value.Millimeters()/2, z*s.Edge.Millimeters()
					want = min(want, e*(x*math.Cos(turn)-h*math.Sin(turn))-s.Stud.Value.Millimeters()/2)
				}
			}
		}
		g := must[valvetrain.GapAtLift](t)(s.GapAt(lift))
		if math.Abs(g.Gap.Value.Millimeters()-want) > 1e-8 {
			t.Fatalf("%+v at %v: gap %v, want %v mm", s, lift, g.Gap.Value, want)
		}
		further := must[valvetrain.GapAtLift](t)(s.GapAt(lift + units.Micrometer))
		if slope := float64(g.Gap.Value-further.Gap.Value) / float64(units.Micrometer); g.Closing > 0 && math.Abs(slope-g.Closing) > 1e-4 {
			t.Errorf("closing %v, by difference %v", g.Closing, slope)
		}
	}
}

func squaredMM(l units.Length) float64 { return l.Millimeters() * l.Millimeters() }

// The pushrod against the true outline of the cut rod: the gap stated is never too
// large, and too small by no more than its doc says.
func TestPushrodAgainstCutOutline(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 100 {
		h := rod8
		h.Stands = []valvetrain.PushrodStand{rod8.Stands[0], rod8.Stands[1]}
		h.Stands[1].Upper.X, h.Stands[1].Upper.Y = mm(-12+24*r.Float64()), mm(5+20*r.Float64())
		lift := h.Stands[1].Lift
		want, tilt := math.Inf(1), 1.0
		for _, s := range h.Stands {
			dx, dy, dz := (s.Upper.X - s.Lower.X).Millimeters(), (s.Upper.Y - s.Lower.Y).Millimeters(), (s.Upper.Z - s.Lower.Z).Millimeters()
			n := math.Sqrt(dx*dx + dy*dy + dz*dz)
			tilt = min(tilt, dz/n)
			for _, z := range []units.Length{h.Center.Z, h.Top} {
				q := (z - s.Lower.Z).Millimeters() / dz
				cx, cy := s.Lower.X.Millimeters()+q*dx-h.Center.X.Millimeters(), s.Lower.Y.Millimeters()+q*dy-h.Center.Y.Millimeters()
				for k := range 720 {
					sin, cos := math.Sincos(float64(k) * math.Pi / 360)
					long, wide := 4*n/dz, 4.0
					flat := math.Hypot(dx, dy)
					ux, uy := dx/flat, dy/flat
					px, py := cx+long*cos*ux-wide*sin*uy, cy+long*cos*uy+wide*sin*ux
					want = min(want, 8-math.Hypot(px, py))
				}
			}
		}
		g := must[valvetrain.GapAtLift](t)(h.GapAt(lift)).Gap.Value.Millimeters()
		if short := want - g; short < -1e-3 || short > 4*(1/tilt-1)+1e-3 {
			t.Errorf("gap %v, outline %v mm, tilt %v", g, want, tilt)
		}
	}
}

// The lift that is reached keeps the gap, one picometer more does not; a gap on the
// way never grows with the lift.
func TestTravelReach(t *testing.T) {
	r := must[valvetrain.TravelReport](t)(limits.Check())
	first := 0
	for i, c := range r.Checks {
		l := limits.Limits[i]
		if !c.Reached.Given {
			t.Errorf("%s: not reached", c.Place)
			continue
		}
		keep := must[valvetrain.GapAtLift](t)(l.Gap.GapAt(c.Reached.Value)).Gap.Value
		pass := must[valvetrain.GapAtLift](t)(l.Gap.GapAt(c.Reached.Value + 5)).Gap.Value
		if least := l.Least.Value.Min; keep < least || pass >= least {
			t.Errorf("%s: %v at the lift reached, %v past it, least %v", c.Place, keep, pass, least)
		}
		if c.Left.Value != c.Reached.Value-limits.Lift.Value {
			t.Errorf("%s: left %v", c.Place, c.Left.Value)
		}
		if c.Left.Value < r.Checks[first].Left.Value {
			first = i
		}
		before := units.MaxLength
		for lift := units.Length(0); lift < mm(14); lift += mm(0.25) {
			g := must[valvetrain.GapAtLift](t)(l.Gap.GapAt(lift))
			if g.Gap.Value > before || g.Closing < 0 {
				t.Errorf("%s: %+v at %v after %v", c.Place, g, lift, before)
			}
			before = g.Gap.Value
		}
	}
	if r.First != first || r.Left != r.Checks[first].Left.Value {
		t.Errorf("first %d with %v left, want %d", r.First, r.Left, first)
	}
	worked(t, "travel", r.Working())
	if len(r.Cautions()) < 4 {
		t.Error("no cautions")
	}
	// Without a least the gap itself is the limit; a seal that is met.
	met := must[valvetrain.TravelReport](t)(valvetrain.Travel{Lift: exact(mm(12)), OverTravel: exact(mm(0.5)), Limits: []valvetrain.TravelLimit{
		{Place: valvetrain.RetainerToGuide, Gap: valvetrain.ClosingGap(exact(mm(12.25)))},
	}}.Check())
	if met.Left != mm(0.25) || met.Checks[0].AtMost.Value != -mm(0.25) || met.Outcome != units.NotProved || len(met.Cautions()) < 5 {
		t.Errorf("%+v", met)
	}
	// Readings that open again stop no travel, and those too near when closed stop all.
	open := must[valvetrain.TravelReport](t)(valvetrain.Travel{Lift: exact(mm(12)), Limits: []valvetrain.TravelLimit{
		{Place: valvetrain.RetainerToRocker, Gap: valvetrain.GapReadings{{Gap: exact(mm(1))}, {Lift: mm(12), Gap: exact(mm(2))}}},
	}}.Check())
	if open.First != -1 || open.Checks[0].Reached.Given {
		t.Errorf("%+v", open)
	}
	near := must[valvetrain.TravelReport](t)(valvetrain.Travel{Lift: exact(mm(12)), Limits: []valvetrain.TravelLimit{
		{Place: valvetrain.RetainerToRocker, Gap: swings, Least: units.Some(units.AtLeast(mm(5), own))},
	}}.Check())
	if near.Left != -mm(12) {
		t.Errorf("%+v", near)
	}
}

func TestTravelRule(t *testing.T) {
	// Practice of the trade, no source.
	for p, want := range map[valvetrain.TravelPlace]float64{
		valvetrain.RetainerToGuide: 0.060, valvetrain.RetainerToSeal: 0.060, valvetrain.CoilBind: 0.060,
		valvetrain.RetainerToRocker: 0.040, valvetrain.SlotToStud: 0.040,
	} {
		l := must[units.Limits[units.Length]](t)(valvetrain.TravelRule(p))
		if l.Min.Inches() != want || l.HasMax || l.Source.Provenance != units.CommonPractice {
			t.Errorf("%s: %+v", p, l)
		}
	}
	if _, err := valvetrain.TravelRule(valvetrain.PushrodToHead); err == nil {
		t.Error("a rule for pushrods")
	}
}

func TestBadTravel(t *testing.T) {
	type slot = valvetrain.RockerSlot
	type hole = valvetrain.PushrodHole
	type travel = valvetrain.Travel
	at := func(g valvetrain.TravelGap, lift units.Length) func() (any, error) {
		return one(func() (valvetrain.GapAtLift, error) { return g.GapAt(lift) })
	}
	turn := func(change func(*slot)) func() (any, error) {
		return with(slot24, change, func(s slot) (valvetrain.PlaneAngle, error) { return s.TurnAt(mm(10)) })
	}
	rod := func(change func(*hole)) func() (any, error) {
		return with(rod8, func(h *hole) {
			h.Stands = append([]valvetrain.PushrodStand(nil), h.Stands...)
			change(h)
		}, func(h hole) (valvetrain.GapAtLift, error) { return h.GapAt(mm(10)) })
	}
	check := func(change func(*travel)) func() (any, error) {
		return with(limits, func(x *travel) {
			x.Limits = append([]valvetrain.TravelLimit(nil), x.Limits...)
			change(x)
		}, func(x travel) (valvetrain.GapAtLift, error) { _, err := x.Check(); return valvetrain.GapAtLift{}, err })
	}
	bind := func(n valvetrain.Nest, h units.Measured[units.Length]) func() (any, error) {
		return one(func() (valvetrain.ClosingGap, error) { return n.BindGap(h) })
	}
	loose := outer
	loose.Solid = units.Measured[units.Length]{}
	refuse(t, []bad{
		{"negative closed gap", at(valvetrain.ClosingGap(exact(mm(-1))), 0), "ClosingGap", units.ErrRange},
		{"closed gap u", at(valvetrain.ClosingGap(units.WithU(mm(1), -1)), 0), "ClosingGap.U", units.ErrRange},
		{"negative lift", at(valvetrain.ClosingGap(exact(mm(1))), -1), "lift", units.ErrRange},
		{"slot lift", at(slot24, most), "lift", units.ErrRange},
		{"arm too short", at(slot24, mm(60)), "lift", units.ErrImpossible},
		{"no slot", turn(func(s *slot) { s.Slot.Value = 0 }), "Slot", units.ErrMissing},
		{"no stud", turn(func(s *slot) { s.Stud.Value = 0 }), "Stud", units.ErrMissing},
		{"edge", turn(func(s *slot) { s.Edge = -1 }), "Edge", units.ErrRange},
		{"no arm", turn(func(s *slot) { s.TipArm = 0 }), "TipArm", units.ErrMissing},
		{"slot like the stud", turn(func(s *slot) { s.Slot.Value = s.Stud.Value }), "Slot", units.ErrImpossible},
		{"closed nan", turn(func(s *slot) { s.Closed = valvetrain.PlaneAngle(nan) }), "Closed", units.ErrRange},
		{"tip inf", turn(func(s *slot) { s.TipClosed = valvetrain.PlaneAngle(inf) }), "TipClosed", units.ErrRange},
		{"no hole", rod(func(h *hole) { h.Hole.Value = 0 }), "Hole", units.ErrMissing},
		{"no rod", rod(func(h *hole) { h.Rod.Value = 0 }), "Rod", units.ErrMissing},
		{"rod fills the hole", rod(func(h *hole) { h.Rod.Value = h.Hole.Value }), "Rod", units.ErrImpossible},
		{"center", rod(func(h *hole) { h.Center.X = most }), "Center.X", units.ErrRange},
		{"top under the hole", rod(func(h *hole) { h.Top = 0 }), "Top", units.ErrConflict},
		{"one stand", rod(func(h *hole) { h.Stands = h.Stands[:1] }), "Stands", units.ErrMissing},
		{"stand over the hole", rod(func(h *hole) { h.Stands[1].Lower.Z = mm(110) }), "Stands[1].Lower.Z", units.ErrImpossible},
		{"stand far off", rod(func(h *hole) { h.Stands[1].Upper.Y = most }), "Stands[1].Upper.Y", units.ErrRange},
		{"lower far off", rod(func(h *hole) { h.Stands[1].Lower.Y = most }), "Stands[1].Lower.Y", units.ErrRange},
		{"first stand lifted", rod(func(h *hole) { h.Stands[0].Lift = 1 }), "Stands[0].Lift", units.ErrConflict},
		{"same lift", rod(func(h *hole) { h.Stands[1].Lift = 0 }), "Stands[1].Lift", units.ErrConflict},
		{"rod lift", at(rod8, -1), "lift", units.ErrRange},
		{"out of the hole", at(rod8, mm(500)), "lift", units.ErrRange},
		{"one reading", at(swings[:1], 0), "GapReadings", units.ErrMissing},
		{"reading lift", at(swings, -1), "lift", units.ErrRange},
		{"reading gap", at(valvetrain.GapReadings{{}, {Lift: 1, Gap: exact(most)}}, 0), "GapReadings[1].Gap", units.ErrRange},
		{"reading u", at(valvetrain.GapReadings{{}, {Lift: 1, Gap: units.WithU(mm(1), -1)}}, 0), "GapReadings[1].Gap.U", units.ErrRange},
		{"readings out of order", at(valvetrain.GapReadings{{}, {}}, 0), "GapReadings[1].Lift", units.ErrConflict},
		{"no lift", check(func(x *travel) { x.Lift.Value = 0 }), "Lift", units.ErrMissing},
		{"lift u", check(func(x *travel) { x.Lift.U = -1 }), "Lift.U", units.ErrRange},
		{"over", check(func(x *travel) { x.OverTravel.Value = -1 }), "OverTravel", units.ErrRange},
		{"over u", check(func(x *travel) { x.OverTravel.U = -1 }), "OverTravel.U", units.ErrRange},
		{"no limits", check(func(x *travel) { x.Limits = nil }), "Limits", units.ErrMissing},
		{"many limits", check(func(x *travel) { x.Limits = make([]valvetrain.TravelLimit, 101) }), "Limits", units.ErrRange},
		{"no place", check(func(x *travel) { x.Limits[1].Place = 0 }), "Limits[1].Place", units.ErrMissing},
		{"unknown place", check(func(x *travel) { x.Limits[1].Place = 99 }), "Limits[1].Place", units.ErrMissing},
		{"no gap", check(func(x *travel) { x.Limits[1].Gap = nil }), "Limits[1].Gap", units.ErrMissing},
		{"bad gap", check(func(x *travel) { x.Limits[1].Gap = valvetrain.RockerSlot{} }), "Limits[1].Slot", units.ErrMissing},
		{"over the arm", check(func(x *travel) { x.OverTravel.Value = mm(100) }), "Limits[1].lift", units.ErrImpossible},
		{"no source", check(func(x *travel) { x.Limits[0].Least = units.Some(units.Limits[units.Length]{Min: 1, HasMin: true}) }), "Limits[0].Least", units.ErrConflict},
		{"no rule", one(func() (units.Limits[units.Length], error) { return valvetrain.TravelRule(0) }), "TravelPlace", units.ErrMissing},
		{"no springs", bind(valvetrain.Nest{}, exact(mm(42))), "Springs", units.ErrMissing},
		{"no height", bind(pair, exact(mm(0))), "height", units.ErrMissing},
		{"solid unknown", bind(valvetrain.Nest{Springs: []valvetrain.NestSpring{{Spring: loose}}}, exact(mm(42))), "Springs", units.ErrMissing},
		{"solid", bind(pair, exact(mm(20))), "height", units.ErrImpossible},
	})
	_, _ = valvetrain.TravelReport{}.Working(), valvetrain.TravelReport{}.Cautions()
	if s := valvetrain.TravelPlace(9).String(); s != "TravelPlace(9)" {
		t.Error(s)
	}
}

func TestTravelDoesNotAllocate(t *testing.T) {
	for name, g := range map[string]valvetrain.TravelGap{"closing": valvetrain.ClosingGap(exact(mm(14))), "slot": slot24, "rod": rod8, "readings": swings} {
		if n := testing.AllocsPerRun(100, func() {
			for l := units.Length(0); l < mm(13); l += mm(1) {
				if _, err := g.GapAt(l); err != nil {
					t.Fatal(err)
				}
			}
		}); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}

func BenchmarkTravelCheck(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := limits.Check(); err != nil {
			b.Fatal(err)
		}
	}
}

// An over-travel of 0 that is not known for certain is no certainty: 0.3, 0.4
// and 1.2 mm make 1.3 mm, and without a stated one 0.5 mm.
func TestOverTravelOfNothing(t *testing.T) {
	at := func(over units.Measured[units.Length]) units.Length {
		r := must[valvetrain.TravelReport](t)(valvetrain.Travel{
			Lift: units.WithU(mm(12), mm(0.4)), OverTravel: over,
			Limits: []valvetrain.TravelLimit{{Place: valvetrain.RetainerToSeal, Gap: valvetrain.ClosingGap(units.WithU(mm(14), mm(0.3)))}},
		}.Check())
		if c := r.Checks[0]; c.AtMost.Value != mm(2) || !c.AtMost.Stated || c.AtLift.U != mm(0.5) {
			t.Errorf("%+v", c)
		}
		return r.Checks[0].AtMost.U
	}
	if u := at(units.WithU(units.Length(0), mm(1.2))); u != mm(1.3) {
		t.Errorf("u = %v", u)
	}
	if u := at(units.Measured[units.Length]{}); u != mm(0.5) {
		t.Errorf("u = %v", u)
	}
}
