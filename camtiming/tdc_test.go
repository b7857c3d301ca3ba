package camtiming_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// dialed turns angles from top dead center into readings of a wheel that reads
// zero degrees there.
func dialed(zero, fromTDC float64, numbering camtiming.WheelNumbering) units.CrankAngle {
	if numbering == camtiming.NumbersFall {
		return crank(zero - fromTDC)
	}
	return crank(zero + fromTDC)
}

// TestFindTDCOracle simulates the job: contacts found by bisection on the
// linkage alone, a wheel set anywhere, numbered either way.
func TestFindTDCOracle(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 7))
	for _, o := range someLinkages() {
		for _, numbering := range []camtiming.WheelNumbering{camtiming.NumbersRise, camtiming.NumbersFall} {
			zero := 1440*rnd.Float64() - 720
			in := camtiming.TDCInput{Numbering: numbering, Geometry: o.built(t)}
			stroke := in.Geometry.DeadCenters().Stroke.Millimeters()
			var depths, halves []float64
			for _, share := range []float64{0.1, 0.3} {
				depth := math.Round(share*stroke*1000) / 1000
				before, after := o.contacts(depth)
				depths, halves = append(depths, depth), append(halves, (before+after)/2)
				in.Stops = append(in.Stops, camtiming.StopContacts{
					Before: units.Unstated(dialed(zero, -before, numbering)), After: units.Unstated(dialed(zero, after, numbering)),
				})
				in.Drops = append(in.Drops, camtiming.PistonDrop{
					Depth:  units.Unstated(units.Length(math.Round(depth * 1e9))),
					Before: units.Unstated(dialed(zero, -before, numbering)), After: units.Unstated(dialed(zero, after, numbering) + units.CrankTurn),
				})
			}
			r := must[camtiming.TDCResult](t)(camtiming.FindTDC(in))
			w := r.Wheel
			want := crank(zero).WrapTurn().Degrees()
			near(t, fmt.Sprint(o, " ", numbering), w.TDC.Value.Degrees(), want, 1e-8)
			if w.TDC.Stated || w.TDC.U != 0 || r.PValue != 1 || r.ChiSquare != 0 || r.Freedom != 0 {
				t.Errorf("%v: claims an uncertainty that nobody stated: %+v", o, r)
			}
			for i, p := range r.Pairs {
				near(t, "residual", p.Residual.Degrees(), 0, 1e-8)
				near(t, "weight", p.Weight, 0.25, 1e-12)
				near(t, "half", p.Half.Degrees(), halves[i%2], 1e-8)
				near(t, "depth", p.Depth.Value.Millimeters(), depths[i%2], 1e-7)
				if p.Stop != (i < 2) || !p.Depth.Given || p.HalfExpected.Given == p.Stop {
					t.Errorf("%v: pair %d is %+v", o, i, p)
				}
				if !p.Stop {
					near(t, "half expected", p.HalfExpected.Value.Degrees(), halves[i%2], 1e-8)
				}
			}
			// Later readings of the same wheel, and back.
			for _, a := range []float64{-180, -106.25, 0, 14, 179.5} {
				m := must[units.Measured[units.CrankAngle]](t)(w.FromTDC(units.Unstated(dialed(zero, a, numbering))))
				near(t, "corrected reading", m.Value.Degrees()-360*math.Round((m.Value.Degrees()-a)/360), a, 1e-8)
				back := must[units.CrankAngle](t)(w.Reading(m.Value))
				near(t, "reading back", back.Degrees(), dialed(zero, a, numbering).WrapTurn().Degrees(), 1e-8)
			}
			// Moved by Shift, the wheel reads 0 at top dead center.
			if s := must[units.CrankAngle](t)(w.Shift()); (w.TDC.Value+s).WrapTurn() != 0 || s < -units.CrankTurn/2 || s >= units.CrankTurn/2 {
				t.Errorf("%v: shift %v of a wheel that reads %v", o, s, w.TDC.Value)
			}
			// Without the geometry the middle is late by the error of a
			// positive offset, early by that of a negative one.
			plain := in
			plain.Geometry = nil
			plain.Stops, plain.Drops = plain.Stops[:1], nil
			q := must[camtiming.TDCResult](t)(camtiming.FindTDC(plain))
			a := must[units.Measured[units.CrankAngle]](t)(w.FromTDC(q.Wheel.TDC)).Value
			before, after := o.contacts(depths[0])
			near(t, "uncorrected", a.Degrees(), (after-before)/2, 1e-8)
			if a.Abs() > 10 && (a > 0) != (o.e > 0) {
				t.Errorf("%v: the uncorrected middle is off by %v", o, a)
			}
		}
	}
}

// TestFindTDCUncertainty repeats the job many times with random errors: the
// scatter of the results is the uncertainty that is stated, and the worth of
// the pairs that of their weights.
func TestFindTDCUncertainty(t *testing.T) {
	o := linkage{40, 140, 6}
	k := o.built(t)
	const uWheel, uDial = 0.15, 0.015 // degrees, mm
	depths := []float64{2, 8, 30}
	slope := func(deg float64) float64 { return math.Abs(o.travel(deg+0.01)-o.travel(deg-0.01)) / 0.02 }
	rnd := rand.New(rand.NewPCG(11, 5))
	var sum, sum2, p05 float64
	const n = 4000
	var last camtiming.TDCResult
	type arc struct{ before, after, vb, va float64 }
	arcs := make([]arc, len(depths))
	for i, d := range depths {
		b, a := o.contacts(d)
		arcs[i] = arc{b, a, slope(-b), slope(a)}
	}
	for range n {
		in := camtiming.TDCInput{Geometry: k}
		for i, d := range depths {
			x := arcs[i]
			read := func(a, v float64) units.Measured[units.CrankAngle] {
				return units.WithU(crank(a+uWheel*rnd.NormFloat64()+uDial/v*rnd.NormFloat64()), crank(uWheel))
			}
			in.Drops = append(in.Drops, camtiming.PistonDrop{
				Depth:  units.WithU(units.Length(d*1e9), units.Length(uDial*1e9)),
				Before: read(-x.before, x.vb), After: read(x.after, x.va),
			})
		}
		last = must[camtiming.TDCResult](t)(camtiming.FindTDC(in))
		x := last.Wheel.TDC.Value.Degrees()
		x -= 360 * math.Round(x/360)
		sum, sum2 = sum+x, sum2+x*x
		if last.PValue < 0.05 {
			p05++
		}
	}
	mean := sum / n
	scatter := math.Sqrt(sum2/n - mean*mean)
	u := last.Wheel.TDC.U.Degrees()
	near(t, "mean of many", mean, 0, 5*u/math.Sqrt(n))
	near(t, "scatter of many", scatter/u, 1, 0.05) // four standard errors of a scatter from 4000
	near(t, "chi-square rejects", p05/n, 0.05, 4*math.Sqrt(0.05*0.95/n))
	// The dial counts for less the deeper the drop, and the weights follow.
	for i := 1; i < len(last.Pairs); i++ {
		if last.Pairs[i].UDial >= last.Pairs[i-1].UDial || last.Pairs[i].Weight <= last.Pairs[i-1].Weight {
			t.Errorf("pair %d is worth %+v, the shallower one %+v", i, last.Pairs[i], last.Pairs[i-1])
		}
	}
	total := 0.0
	for _, p := range last.Pairs {
		total += p.Weight
	}
	near(t, "weights", total, 1, 1e-12)
}

// TestFindTDCNearTop: readings near the top claim little, and those that the dial
// cannot tell apart claim nothing.
func TestFindTDCNearTop(t *testing.T) {
	o := linkage{44.196, 144.78, 0}
	one := func(depth units.Length, k *camtiming.SliderCrank) units.CrankAngle {
		before, after := o.contacts(depth.Millimeters())
		r := must[camtiming.TDCResult](t)(camtiming.FindTDC(camtiming.TDCInput{
			Geometry: k,
			Drops: []camtiming.PistonDrop{{
				Depth: units.WithU(depth, units.Thou/2), Before: units.WithU(crank(-before), 0), After: units.WithU(crank(after), 0),
			}},
		}))
		return r.Wheel.TDC.U
	}
	if u := one(units.Thou, o.built(t)); u < units.CrankDegree/4 {
		t.Errorf("0.001 in below the top claims %v", u)
	}
	if u := one(200*units.Thou, o.built(t)); u > units.CrankDegree/20 {
		t.Errorf("0.200 in below the top claims only %v", u)
	}
	// Without geometry the slope is 2 x/half. The travel is a h^2 (1 - b h^2)
	// with b = (1 + 4 q - 3 q^3)/(12 (1 + q)), q = r/l, so the true one is less
	// by the factor 1 - b h^2.
	with, without := one(200*units.Thou, o.built(t)), one(200*units.Thou, nil)
	before, _ := o.contacts((200 * units.Thou).Millimeters())
	q, h := o.r/o.l, before*math.Pi/180
	near(t, "slope without geometry", without.Degrees()/with.Degrees(), 1-h*h*(1+4*q-3*q*q*q)/(12*(1+q)), 1e-3)
}

// Pairs that scatter three times as stated say so, and the result is as uncertain
// as they scatter; Common is not touched.
func TestFindTDCOfPairsThatDisagree(t *testing.T) {
	rng := rand.New(rand.NewPCG(57, 58))
	const trials, pairs, stated, k = 2000, 8, 0.2, 3
	var off, claimed float64
	wrong := 0
	for range trials {
		var in camtiming.TDCInput
		for i := range pairs {
			half := 30 + 4*float64(i)
			in.Stops = append(in.Stops, camtiming.StopContacts{
				Before: units.WithU(crank(-half+k*stated*rng.NormFloat64()), crank(stated)),
				After:  units.WithU(crank(half+k*stated*rng.NormFloat64()), crank(stated)),
			})
		}
		r := must[camtiming.TDCResult](t)(camtiming.FindTDC(in))
		tdc := r.Wheel.TDC.Value.Degrees()
		if tdc > 180 {
			tdc -= 360
		}
		off += tdc * tdc
		claimed += squareOf(r.Wheel.TDC.U.Degrees())
		if r.PValue >= 0.05 {
			wrong++
		}
	}
	near(t, "claimed over true variance", claimed/off, 1, 0.15)
	if wrong > trials/50 {
		t.Errorf("%d of %d agree", wrong, trials)
	}
}

func TestFindTDCStates(t *testing.T) {
	wheel := func(deg float64) units.Measured[units.CrankAngle] { return units.WithU(crank(deg), crank(0.5)) }
	stop := camtiming.StopContacts{Before: wheel(-40), After: wheel(41)}
	// Nothing but the depth is without an uncertainty: none is claimed.
	r := must[camtiming.TDCResult](t)(camtiming.FindTDC(camtiming.TDCInput{Drops: []camtiming.PistonDrop{{Depth: units.Unstated(100 * units.Thou), Before: wheel(-20), After: wheel(20)}}}))
	if r.Wheel.TDC.Stated || r.Wheel.TDC.U != 0 {
		t.Errorf("claims %v", r.Wheel.TDC)
	}
	m := must[units.Measured[units.CrankAngle]](t)(r.Wheel.FromTDC(wheel(30)))
	if m.Stated || m.U != 0 {
		t.Errorf("a reading of that wheel claims %v", m)
	}
	// Common counts once, whatever the number of pairs.
	many := camtiming.TDCInput{Common: crank(0.4)}
	for range 100 {
		many.Stops = append(many.Stops, stop)
	}
	r = must[camtiming.TDCResult](t)(camtiming.FindTDC(many))
	near(t, "u of a hundred", r.Wheel.TDC.U.Degrees(), math.Sqrt(0.125/100+0.16), 1e-8)
	near(t, "u of a later reading", must[units.Measured[units.CrankAngle]](t)(r.Wheel.FromTDC(wheel(30))).U.Degrees(), math.Sqrt(0.125/100+0.16+0.25), 1e-8)
	// The working tells the pairs, the weights and the uncertainty.
	in := many
	in.Stops = in.Stops[:2]
	in.Geometry = linkage{40, 140, 3}.built(t)
	in.OffsetU = units.Millimeter
	r = must[camtiming.TDCResult](t)(camtiming.FindTDC(in))
	var symbols []string
	for _, s := range r.Working() {
		symbols = append(symbols, s.Symbol)
		if s.Value == "" || s.Formula == "" || !s.Source.Given() {
			t.Errorf("step %+v lacks something", s)
		}
	}
	if got, want := strings.Join(symbols, ", "), "midpoint 1, TDC 1, u 1, midpoint 2, TDC 2, u 2, TDC, chi2, u"; got != want {
		t.Errorf("working of %s, want %s", got, want)
	}
	// Its offset is uncertain by 1 mm either way: the error grows with it.
	e3 := must[units.CrankAngle](t)(linkage{40, 140, 3}.built(t).MidpointError(crank(40.5)))
	e4 := must[units.CrankAngle](t)(linkage{40, 140, 4}.built(t).MidpointError(crank(40.5)))
	near(t, "u of the offset", r.UOffset.Degrees(), (e4 - e3).Degrees(), 2e-9)
	for _, k := range []interface{ Working() units.Working }{
		in.Geometry.DeadCenters(), must[camtiming.PistonDropAngles](t)(in.Geometry.Drop(units.Millimeter)),
	} {
		for _, s := range k.Working() {
			if s.Value == "" || !s.Source.Given() {
				t.Errorf("step %+v lacks something", s)
			}
		}
	}
}

// TestFindTDCPlay: a piston that stands low while the rod pushes it and high
// while it pulls makes every drop late, a deep one less, and a stop not at all.
func TestFindTDCPlay(t *testing.T) {
	o := linkage{40, 140, 2}
	k := o.built(t)
	const play = 0.02 // mm
	last := math.Inf(1)
	for _, depth := range []float64{1, 5, 20, 35} {
		before, _ := o.contacts(depth - play/2)
		_, after := o.contacts(depth + play/2)
		in := camtiming.TDCInput{Geometry: k, Play: 20 * units.Micrometer, Drops: []camtiming.PistonDrop{{
			Depth:  units.WithU(units.Length(depth*1e9), 0),
			Before: units.WithU(crank(-before), 0), After: units.WithU(crank(after), 0),
		}}}
		r := must[camtiming.TDCResult](t)(camtiming.FindTDC(in))
		late := halfTurned(r.Wheel.TDC.Value)
		if late <= 0 || late >= last {
			t.Errorf("%g mm down: late by %g, shallower by %g", depth, late, last)
		}
		// Linear against exact: the slope changes over the play itself.
		near(t, fmt.Sprintf("u of the play at %g mm", depth), r.UPlay.Degrees()/late, 1, 1e-4)
		if r.Wheel.TDC.U != r.UPlay {
			t.Errorf("u %v, of which play %v", r.Wheel.TDC.U, r.UPlay)
		}
		last = late
	}
	r := must[camtiming.TDCResult](t)(camtiming.FindTDC(camtiming.TDCInput{Play: units.Millimeter, Stops: []camtiming.StopContacts{{Before: units.WithU(crank(-40), 0), After: units.WithU(crank(41), 0)}}}))
	if r.UPlay != 0 || r.Wheel.TDC.U != 0 {
		t.Errorf("play of %v at a stop", r.UPlay)
	}
	// At the bottom the piston does not move and a dial says nothing.
	d := k.DeadCenters()
	r = must[camtiming.TDCResult](t)(camtiming.FindTDC(camtiming.TDCInput{Geometry: k, Play: units.Micrometer, Drops: []camtiming.PistonDrop{{
		Depth:  units.WithU(d.Stroke-1, units.Micrometer),
		Before: units.WithU(crank(-179.9), 0), After: units.WithU(crank(0.05), 0),
	}}}))
	if r.Wheel.TDC.U < 45*units.CrankDegree {
		t.Errorf("a drop of the whole stroke claims %v", r.Wheel.TDC.U)
	}
}

func halfTurned(a units.CrankAngle) float64 {
	return a.Degrees() - 360*math.Round(a.Degrees()/360)
}

func TestBadFindTDC(t *testing.T) {
	wheel := func(deg float64) units.Measured[units.CrankAngle] { return units.WithU(crank(deg), crank(0.5)) }
	k := linkage{40, 140, 1}.built(t)
	in := func(f func(*camtiming.TDCInput)) func() (any, error) {
		x := camtiming.TDCInput{
			Stops:    []camtiming.StopContacts{{Before: wheel(-40), After: wheel(41)}},
			Drops:    []camtiming.PistonDrop{{Depth: units.WithU(5*units.Millimeter, units.Micrometer), Before: wheel(-24), After: wheel(25)}},
			Geometry: k,
		}
		f(&x)
		return func() (any, error) { return camtiming.FindTDC(x) }
	}
	if _, err := in(func(*camtiming.TDCInput) {})(); err != nil {
		t.Fatal(err)
	}
	w := camtiming.DegreeWheel{TDC: wheel(357.5)}
	from := func(w camtiming.DegreeWheel, m units.Measured[units.CrankAngle]) func() (any, error) {
		return func() (any, error) { return w.FromTDC(m) }
	}
	refuse(t, []bad{
		{"nothing", in(func(x *camtiming.TDCInput) { x.Stops, x.Drops = nil, nil }), "Stops", units.ErrMissing},
		{"numbering", in(func(x *camtiming.TDCInput) { x.Numbering = 9 }), "Numbering", units.ErrRange},
		{"geometry not built", in(func(x *camtiming.TDCInput) { x.Geometry = &camtiming.SliderCrank{} }), "Geometry", units.ErrMissing},
		{"offset without geometry", in(func(x *camtiming.TDCInput) { x.Geometry, x.OffsetU = nil, 1 }), "Geometry", units.ErrMissing},
		{"offset negative", in(func(x *camtiming.TDCInput) { x.OffsetU = -1 }), "OffsetU", units.ErrRange},
		{"offset overflow", in(func(x *camtiming.TDCInput) { x.OffsetU = most }), "OffsetU", units.ErrRange},
		{"offset impossible", in(func(x *camtiming.TDCInput) { x.OffsetU = 100 * units.Millimeter }), "OffsetU", units.ErrImpossible},
		{"play negative", in(func(x *camtiming.TDCInput) { x.Play = -1 }), "Play", units.ErrRange},
		{"play overflow", in(func(x *camtiming.TDCInput) { x.Play = most }), "Play", units.ErrRange},
		{"common negative", in(func(x *camtiming.TDCInput) { x.Common = -1 }), "Common", units.ErrRange},
		{"common overflow", in(func(x *camtiming.TDCInput) { x.Common = most }), "Common", units.ErrRange},
		{"swapped", in(func(x *camtiming.TDCInput) {
			x.Stops[0].Before, x.Stops[0].After = x.Stops[0].After, x.Stops[0].Before
		}), "Stops[0].After", units.ErrConflict},
		{"wrong numbering", in(func(x *camtiming.TDCInput) { x.Numbering = camtiming.NumbersFall }), "Stops[0].After", units.ErrConflict},
		{"equal", in(func(x *camtiming.TDCInput) { x.Drops[0].After = x.Drops[0].Before }), "Drops[0].After", units.ErrConflict},
		{"before overflow", in(func(x *camtiming.TDCInput) { x.Stops[0].Before.Value = most }), "Stops[0].Before", units.ErrRange},
		{"before least", in(func(x *camtiming.TDCInput) { x.Stops[0].Before.Value = least }), "Stops[0].Before", units.ErrRange},
		{"after overflow", in(func(x *camtiming.TDCInput) { x.Drops[0].After.Value = most }), "Drops[0].After", units.ErrRange},
		{"u negative", in(func(x *camtiming.TDCInput) { x.Stops[0].After.U = -1 }), "Stops[0].After.U", units.ErrRange},
		{"u overflow", in(func(x *camtiming.TDCInput) { x.Drops[0].Before.U = most }), "Drops[0].Before.U", units.ErrRange},
		{"depth zero", in(func(x *camtiming.TDCInput) { x.Drops[0].Depth.Value = 0 }), "Drops[0].Depth", units.ErrRange},
		{"depth negative", in(func(x *camtiming.TDCInput) { x.Drops[0].Depth.Value = -1 }), "Drops[0].Depth", units.ErrRange},
		{"depth overflow", in(func(x *camtiming.TDCInput) { x.Drops[0].Depth.Value = most }), "Drops[0].Depth", units.ErrRange},
		{"depth over the stroke", in(func(x *camtiming.TDCInput) { x.Drops[0].Depth.Value = 81 * units.Millimeter }), "Drops[0].Depth", units.ErrConflict},
		{"depth u negative", in(func(x *camtiming.TDCInput) { x.Drops[0].Depth.U = -1 }), "Drops[0].Depth.U", units.ErrRange},
		{"depth u overflow", in(func(x *camtiming.TDCInput) { x.Drops[0].Depth.U = most }), "Drops[0].Depth.U", units.ErrRange},
		{"one of two unstated", in(func(x *camtiming.TDCInput) { x.Drops[0].Depth.Stated = false }), "Drops[0]", units.ErrMissing},
		{"one certain", in(func(x *camtiming.TDCInput) { x.Stops[0].Before.U, x.Stops[0].After.U = 0, 0 }), "Stops[0]", units.ErrRange},
		{"wheel moved", in(func(x *camtiming.TDCInput) { x.Drops[0].Before, x.Drops[0].After = wheel(16), wheel(65) }), "Drops[0]", units.ErrConflict},
		{"reading overflow", from(w, units.Unstated[units.CrankAngle](most)), "reading", units.ErrRange},
		{"reading least", from(w, units.Unstated[units.CrankAngle](least)), "reading", units.ErrRange},
		{"reading u", from(w, units.WithU[units.CrankAngle](0, -1)), "reading.U", units.ErrRange},
		{"wheel overflow", from(camtiming.DegreeWheel{TDC: units.Unstated[units.CrankAngle](most)}, wheel(0)), "TDC", units.ErrRange},
		{"wheel numbering", from(camtiming.DegreeWheel{Numbering: 7}, wheel(0)), "Numbering", units.ErrRange},
		{"angle overflow", func() (any, error) { return w.Reading(most) }, "fromTDC", units.ErrRange},
		{"angle least", func() (any, error) { return w.Reading(least) }, "fromTDC", units.ErrRange},
		{"wheel of the angle", func() (any, error) { return camtiming.DegreeWheel{Numbering: 7}.Reading(0) }, "Numbering", units.ErrRange},
		{"wheel of the shift", func() (any, error) {
			return camtiming.DegreeWheel{TDC: units.Unstated[units.CrankAngle](least)}.Shift()
		}, "TDC", units.ErrRange},
	})
}

func FuzzFindTDC(f *testing.F) {
	f.Add(int64(40e9), int64(140e9), int64(1e9), int64(-40e9), int64(41e9), int64(5e9), int64(1e6), int64(5e8), false)
	f.Add(int64(40e9), int64(140e9), int64(-99e9), int64(350e9), int64(9e9), int64(80e9), int64(0), int64(1), true)
	f.Add(int64(1), int64(3), int64(1), int64(0), int64(1), int64(2), int64(1), int64(0), false)
	f.Fuzz(func(t *testing.T, throw, rod, offset, before, after, depth, uDepth, u int64, fall bool) {
		in := camtiming.TDCInput{}
		if fall {
			in.Numbering = camtiming.NumbersFall
		}
		k, err := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: units.Length(throw), Rod: units.Length(rod), Offset: units.Length(offset)})
		if err == nil {
			in.Geometry = k
		}
		b, a := units.WithU(units.CrankAngle(before), units.CrankAngle(u)), units.WithU(units.CrankAngle(after), units.CrankAngle(u))
		in.Play = units.Length(uDepth)
		in.Stops = []camtiming.StopContacts{{Before: b, After: a}}
		in.Drops = []camtiming.PistonDrop{{Depth: units.WithU(units.Length(depth), units.Length(uDepth)), Before: b, After: a}}
		r, err := camtiming.FindTDC(in)
		if err != nil {
			var e *units.InputError
			if !errors.As(err, &e) || !reflect.ValueOf(r).IsZero() {
				t.Fatalf("%v beside %+v", err, r)
			}
			return
		}
		tdc := r.Wheel.TDC
		if tdc.Value < 0 || tdc.Value >= units.CrankTurn || !tdc.Stated || tdc.U < 0 || math.IsNaN(r.ChiSquare) || math.IsNaN(r.PValue) {
			t.Fatalf("%+v", r)
		}
		total := 0.0
		for _, p := range r.Pairs {
			total += p.Weight
		}
		if !(math.Abs(total-1) < 1e-9) {
			t.Fatalf("weights add to %g", total)
		}
		if m, err := r.Wheel.FromTDC(tdc); err != nil || m.Value != 0 {
			t.Fatalf("top dead center is at %v of its own wheel, %v", m, err)
		}
	})
}

func FuzzPistonDrop(f *testing.F) {
	f.Add(int64(40e9), int64(140e9), int64(1e9), int64(5e9))
	f.Add(int64(40e9), int64(140e9), int64(-99e9), int64(0))
	f.Add(int64(1), int64(3), int64(1), int64(2))
	f.Fuzz(func(t *testing.T, throw, rod, offset, depth int64) {
		k, err := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: units.Length(throw), Rod: units.Length(rod), Offset: units.Length(offset)})
		if err != nil {
			if k != nil {
				t.Fatal("a geometry beside an error")
			}
			return
		}
		d, err := k.Drop(units.Length(depth))
		if err != nil {
			if d != (camtiming.PistonDropAngles{}) {
				t.Fatalf("%+v beside an error", d)
			}
			return
		}
		// A quantum of the angle moves the piston by no more than the speed of
		// its fastest point; the length adds its own quantum.
		f := k.Fastest()
		v := max(float64(f.Down.Motion.Velocity), -float64(f.Up.Motion.Velocity))
		tol := units.Length(2 + 1e-9*v*1e12 + 1e-15*float64(rod))
		for _, a := range []units.CrankAngle{-d.Before, d.After} {
			if diff := (k.Travel(a) - d.Depth).Abs(); diff > tol {
				t.Fatalf("%+v: drop %v comes back off by %v at %v", k.Spec(), d.Depth, diff, a)
			}
		}
	})
}

func BenchmarkFindTDC(b *testing.B) {
	k := linkage{40, 140, 1}.built(b)
	wheel := func(deg float64) units.Measured[units.CrankAngle] { return units.WithU(crank(deg), crank(0.5)) }
	in := camtiming.TDCInput{Geometry: k, OffsetU: units.Millimeter / 10, Stops: []camtiming.StopContacts{{Before: wheel(-40), After: wheel(41)}}}
	for i := range 3 {
		d := float64(i)
		in.Drops = append(in.Drops, camtiming.PistonDrop{Depth: units.WithU(units.Millimeter*units.Length(2+i), units.Micrometer), Before: wheel(-20 - d), After: wheel(20 + d)})
	}
	b.ReportAllocs()
	for b.Loop() {
		sinkTDC, _ = camtiming.FindTDC(in)
	}
}
