package assess_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/examples/mockup/internal/assess"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// number reads the number in a quantity of a report, "0.1313 in".
func number(t *testing.T, text string) float64 {
	t.Helper()
	first, _, _ := strings.Cut(text, " ")
	x, err := strconv.ParseFloat(first, 64)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return x
}

// in is a length in the unit of its sheet.
func in(r units.Reading) float64 { return r.Length.In(r.Unit) }

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.8g, want %.8g within %.2g", what, got, want, within)
	}
}

// Forces of every nest by straight lines between the two readings of each
// spring, summed, and its room to coil bind by subtraction: closed form on the
// figures of the sheet. A force drawn from two readings has u^2 = sum of
// (w u_i)^2 with the weights of the line, u_i^2 = u_F^2 + (k u_h)^2, and the
// installed height adds (sum of k) u_h (JCGM 100:2008, 5.1.2).
func TestSpringsByHand(t *testing.T) {
	for _, name := range []string{six, toothed, metric} {
		s, r := load(t, name), evaluate(t, name)
		uh := 0.0005
		unit, tenth := 1.0, 0.051 // of the last digit printed, and what rounding leaves
		if name == metric {
			uh = 0.012
		}
		uF := number(t, s.ValveSprings.ForceUncertainty.Text)
		lifts := map[string]float64{}
		for _, l := range s.ValveLifts.Readings {
			lifts[fmt.Sprint(l.Cylinder, l.Valve)] = in(l.Reading)
		}
		for _, n := range s.ValveSprings.Valves {
			lift := lifts[fmt.Sprint(n.Cylinder, n.Valve)]
			var force [2]float64
			var u2, rates, room float64
			room = math.Inf(1)
			for _, p := range n.Springs {
				a, b := p.Loads[0], p.Loads[1]
				k := (number(t, b.Force.Text) - number(t, a.Force.Text)) / (in(a.Height) - in(b.Height))
				step := 0.0
				if p.Step != nil {
					step = in(*p.Step)
				}
				for i, h := range []float64{in(n.InstalledHeight) - step, in(n.InstalledHeight) - lift - step} {
					force[i] += number(t, a.Force.Text) + k*(in(a.Height)-h)
				}
				w := (in(n.InstalledHeight) - step - in(b.Height)) / (in(a.Height) - in(b.Height))
				u2 += (w*w + (1-w)*(1-w)) * (uF*uF + k*k*uh*uh)
				rates += k
				room = min(room, in(n.InstalledHeight)-step-lift-in(*p.Solid))
			}
			v := fmt.Sprintf("cylinder %d %s", n.Cylinder, n.Valve)
			seat := find(t, r, v+", seat force")
			near(t, name+": "+v+", seat", number(t, seat.Measured), force[0], tenth)
			near(t, name+": "+v+", open", number(t, find(t, r, v+", open force").Measured), force[1], tenth)
			near(t, name+": "+v+", u of seat", number(t, seat.U), math.Sqrt(u2+rates*rates*uh*uh), tenth*unit)
			least := math.Inf(1)
			for _, p := range n.Springs {
				least = min(least, number(t, find(t, r, v+", "+p.Name+" spring, room to coil bind").Measured))
			}
			near(t, name+": "+v+", room", least, room, 1e-9)
		}
	}
}

// stack is how the parts lie at top dead center, in the unit of the sheet, as
// the shipped sheets were made: gap along the valve of a pocket floor square to
// it, (deck + gasket + recess + pocket) cos(lean).
func (m truth) stack(t *testing.T, s *sheet.Sheet, cylinder int, own *sheet.ValveOverPiston) float64 {
	t.Helper()
	d := s.Deck.Readings[cylinder-1]
	if d.Cylinder != cylinder {
		t.Fatal("deck readings out of order")
	}
	deck := (in(d.Thrust[0]) + in(d.Opposite[0])) / 2
	return (deck + in(s.HeadGasket.Thickness) + in(own.Recess) + in(own.Pocket)) * math.Cos(own.Lean.Value.Degrees()*math.Pi/180)
}

// scan looks at every 0.001 crank degree around overlap top dead center for the
// least gap between an open valve and the piston, with the closed-form lobe that
// the sheet was made from; at is where. Without an open valve near, the closed
// one at top dead center.
func (m truth) scan(d0, lean, center float64, intake bool, stroke, rod, ratio, lash float64) (least, at float64) {
	return m.scanned(d0, math.Cos(lean), 1, center, intake, stroke, rod, ratio, lash)
}

// scanned is scan with the shares of travel and lift that count: cos(lean) and 1
// along the valve, 1 and cos(lean) along the bore over a flat crown.
func (m truth) scanned(d0, travel, share, center float64, intake bool, stroke, rod, ratio, lash float64) (least, at float64) {
	least = d0
	r := stroke / 2
	for i := -60000; i <= 60000; i++ {
		t := float64(i) / 1000
		lift, flank, n := m.lift, m.flank, (t-center)/2
		if !intake {
			lift, flank, n = m.exhaustLift, m.exhaustFlank, (t+center)/2
		}
		l := ratio*lift*rise(1-math.Abs(n)/flank) - lash
		if l <= 0 {
			continue
		}
		a := t * math.Pi / 180
		x := r + rod - (r*math.Cos(a) + math.Sqrt(rod*rod-r*r*math.Sin(a)*math.Sin(a)))
		if g := d0 + travel*x - share*l; g < least {
			least, at = g, t
		}
	}
	return least, at
}

// Every least gap between valve and piston covers that of a dense scan with the
// true lobe and the true advance within two standard uncertainties, and those
// are small: the search, the lobe fitted to the card and the installed advance
// are all in it.
func TestLeastGapCoversTheScan(t *testing.T) {
	for _, name := range []string{six, toothed, metric} {
		m, s, r := truths[name], load(t, name), evaluate(t, name)
		stroke, rod := in(*s.Engine.Stroke), in(*s.Engine.Rod)
		for n := 1; n <= 6; n++ {
			for _, own := range []*sheet.ValveOverPiston{s.ValveToPiston.Intake, s.ValveToPiston.Exhaust} {
				intake := own == s.ValveToPiston.Intake
				word, center, lobe := "intake", m.separation-m.advance[n-1], s.Cam.Intake
				if !intake {
					word, center, lobe = "exhaust", m.separation+m.advance[n-1], s.Cam.Exhaust
				}
				d0 := m.stack(t, s, n, own)
				want, _ := m.scan(d0, own.Lean.Value.Degrees()*math.Pi/180, center, intake, stroke, rod, *lobe.RockerRatio, in(*lobe.Lash))
				c := find(t, r, fmt.Sprintf("cylinder %d %s, least gap to the piston", n, word))
				got, u := number(t, c.Measured), number(t, c.U)
				if math.Abs(got-want) > 2*u || u > 0.02*d0 {
					t.Errorf("%s: cylinder %d %s: %.4f, u %.5f; the scan says %.5f", name, n, word, got, u, want)
				}
			}
		}
	}
	// A crown square to the bore is met along the bore: D0 is the sum of the stack
	// and the lift counts with cos(lean).
	s := load(t, six)
	s.ValveToPiston.Intake.Face, s.ValveToPiston.Exhaust.Face = "crown square to the bore", "crown square to the bore"
	s.ValveToPiston.Intake.Lean.Value *= 2 // 24 deg
	s.ValveToPiston.Measured, s.ValveToPiston.Exhaust.Lean = nil, s.ValveToPiston.Intake.Lean
	r := again(t, s)
	for n := 1; n <= 6; n++ {
		d0 := truths[six].stack(t, s, n, s.ValveToPiston.Intake) / math.Cos(24*math.Pi/180)
		for word, center := range map[string]float64{"intake": 106, "exhaust": 114} {
			want, _ := truths[six].scanned(d0, 1, math.Cos(24*math.Pi/180), center, word == "intake", 4.5, 7, 1.5, 0.010)
			c := find(t, r, fmt.Sprintf("cylinder %d %s, least gap to the piston", n, word))
			if got, u := number(t, c.Measured), number(t, c.U); math.Abs(got-want) > 2*u || u > 0.002 {
				t.Errorf("crown: cylinder %d %s: %.4f, u %.5f; the scan says %.5f", n, word, got, u, want)
			}
		}
	}
	// The range of advance is the same scan, inverted: at its ends the gap of the
	// highest piston, that of cylinder 3, is at its limit.
	m := truths[six]
	s, r = load(t, six), evaluate(t, six)
	lean := 12 * math.Pi / 180
	hi, lo := r.Safe.Range.Highest.Value.Degrees(), r.Safe.Range.Lowest.Value.Degrees()
	i, _ := m.scan(m.stack(t, s, 3, s.ValveToPiston.Intake), lean, 110-hi, true, 4.5, 7, 1.5, 0.010)
	x, _ := m.scan(m.stack(t, s, 3, s.ValveToPiston.Exhaust), lean, 110+lo, false, 4.5, 7, 1.5, 0.010)
	near(t, "intake at the highest advance", i, 0.080, 0.003)
	near(t, "exhaust at the lowest advance", x, 0.100, 0.003)
	if !r.Safe.Inside || lo > 4 || hi < 4 {
		t.Errorf("range %v to %v", lo, hi)
	}
}

// The uncertainty of a least gap has three parts: that of the stack, that of the
// advance times the slope of the lift where the gap is least, and how far the
// card leaves the lift open there (JCGM 100:2008, 5.1.2).
func TestUncertaintyOfTheLeastGap(t *testing.T) {
	m, r := truths[six], evaluate(t, six)
	lean := 12 * math.Pi / 180
	for word, center := range map[string]float64{"intake": 106, "exhaust": 114} {
		own, curve, sign := load(t, six).ValveToPiston.Intake, r.Cam.Spec().Intake, 1.0
		if word == "exhaust" {
			own, curve, sign = load(t, six).ValveToPiston.Exhaust, r.Cam.Spec().Exhaust, -1
		}
		_, at := m.scan(m.stack(t, load(t, six), 1, own), lean, center, word == "intake", 4.5, 7, 1.5, 0.010)
		nose := (at - sign*center) / 2 // cam degrees from the nose
		lift := func(n float64) float64 { return 1.5 * m.lift * rise(1-math.Abs(n)/m.flank) }
		slope := (lift(nose+0.01) - lift(nose-0.01)) / 0.04 // per crank degree
		// Deck: four readings of 0.0003 in, of which each side averages two and the
		// height two sides; gasket by micrometer with its zero, recess and pocket by depth micrometer.
		stack := math.Cos(lean) * math.Sqrt(0.00015*0.00015+0.00006*0.00006+0.00005*0.00005+2*0.0003*0.0003)
		card, ok := curve.(*camtiming.CardLobe)
		if !ok {
			t.Fatal("no lobe of a card")
		}
		spread := 1.5 * card.Spread(units.CamAngle(math.Round(nose*float64(units.CamDegree)))).In(units.Inches)
		c := r.Cylinders[0].Split.Advance.U.Degrees()
		want := math.Sqrt(stack*stack + slope*slope*c*c + spread*spread)
		if spread < stack/4 || math.Abs(slope)*c < stack/4 {
			t.Errorf("%s: stack %.5f, advance %.5f, lobe %.5f: nothing to tell apart", word, stack, slope*c, spread)
		}
		near(t, word+": u", number(t, find(t, r, "cylinder 1 "+word+", least gap to the piston").U), want, 0.03*want)
	}
}

// The range of advance is that of the piston that stands highest, wherever it
// is.
func TestHighestPistonSetsTheRange(t *testing.T) {
	s := load(t, six)
	for i := range s.Deck.Readings[4].Thrust {
		s.Deck.Readings[4].Thrust[i], s.Deck.Readings[4].Opposite[i] = units.MustParseReading("-0.0100 in"), units.MustParseReading("-0.0110 in")
	}
	s.Deck.Limits.Min = reading("-0.020 in")
	r, err := assess.Evaluate(s)
	if err != nil {
		t.Fatal(err)
	}
	m := truths[six]
	g, _ := m.scan(m.stack(t, s, 5, s.ValveToPiston.Intake), 12*math.Pi/180, 110-r.Safe.Range.Highest.Value.Degrees(), true, 4.5, 7, 1.5, 0.010)
	near(t, "intake of cylinder 5 at the highest advance", g, 0.080, 0.003)
	if before := evaluate(t, six).Safe.Range; r.Safe.Range.Highest.Value >= before.Highest.Value || r.Safe.Range.Lowest.Value <= before.Lowest.Value {
		t.Errorf("%+v, without the high piston %+v", r.Safe.Range, before)
	}
}

// An intake so late that the open valve does not approach the piston: clay shows
// the closed valve, which no lash moves, and there is no gap to hold it against.
func TestLashDoesNotMoveAClosedValve(t *testing.T) {
	s := load(t, toothed)
	s.ValveToPiston.Measured = append(s.ValveToPiston.Measured, sheet.MeasuredGap{
		Cylinder: 1, Valve: "intake", Method: "clay", Instrument: "clay and caliper", Reading: units.MustParseReading("0.171 in"), GasketAtCheck: &s.HeadGasket.Thickness,
	})
	r := again(t, s)
	if c := find(t, r, "cylinder 1 intake, gap to the piston by clay"); c.Measured != "0.171 in" || !strings.Contains(c.Beside, "the gasket alone") {
		t.Errorf("%+v", c)
	}
	if slices.ContainsFunc(r.Checks, func(c assess.Check) bool { return c.Name == "cylinder 1 intake, measured gap less computed" }) {
		t.Error("a closed valve was held against an open one")
	}
	// The same with another gasket at the check: 0.010 in less of it takes
	// cos(12 deg) of that.
	s.ValveToPiston.Measured[1].GasketAtCheck = reading("0.0550 in")
	near(t, "thinner gasket", number(t, find(t, again(t, s), "cylinder 1 intake, gap to the piston by clay").Measured), 0.171-0.010*math.Cos(12*math.Pi/180), 0.0001)
}

// The clay in the shipped sheets is the scan without lash, rounded to the
// instrument, and not anything the library printed.
func TestClayIsTheForwardCalculation(t *testing.T) {
	for name, step := range map[string]float64{six: 0.001, toothed: 0.001, metric: 0.01} {
		m, s := truths[name], load(t, name)
		for _, g := range s.ValveToPiston.Measured {
			own, center := s.ValveToPiston.Intake, m.separation-m.advance[0]
			if g.Valve == "exhaust" {
				own, center = s.ValveToPiston.Exhaust, m.separation+m.advance[0]
			}
			want, _ := m.scan(m.stack(t, s, g.Cylinder, own), own.Lean.Value.Degrees()*math.Pi/180, center, g.Valve == "intake", in(*s.Engine.Stroke), in(*s.Engine.Rod), 1.5, 0)
			near(t, name+": clay, "+string(g.Valve), in(g.Reading), want, step/2+1e-9)
		}
	}
}

// Volumes by their closed forms on the sheet's own figures.
func TestCompressionByHand(t *testing.T) {
	for name, mm := range map[string]float64{six: 25.4, metric: 1} {
		s, r := load(t, name), evaluate(t, name)
		for i, c := range s.Compression.Cylinders {
			area := func(d float64) float64 { return math.Pi / 4 * d * d }
			deck := (in(s.Deck.Readings[i].Thrust[0]) + in(s.Deck.Readings[i].Opposite[0])) / 2
			cm := mm / 10
			swept := area(in(c.Bore)*cm) * in(*s.Engine.Stroke) * cm
			left := number(t, c.Head.Text) + number(t, c.Crown.Text) + area(in(s.HeadGasket.Bore)*cm)*in(s.HeadGasket.Thickness)*cm + area(in(c.Bore)*cm)*deck*cm
			v := fmt.Sprintf("cylinder %d", c.Cylinder)
			near(t, name+": "+v+", ratio", number(t, find(t, r, v+", compression ratio").Measured), 1+swept/left, 0.0051)
			near(t, name+": "+v+", piston to head", number(t, find(t, r, v+", piston to head").Measured), deck+in(s.HeadGasket.Thickness)-in(*s.Compression.Growth), 1e-9)
			near(t, name+": "+v+", deck", number(t, find(t, r, v+", deck height").Measured), deck, 1e-9)
		}
	}
}

// Subtractions on the figures of the default sheet.
func TestNewGroupsByHand(t *testing.T) {
	r := evaluate(t, six)
	for _, c := range []struct{ name, measured, margin string }{
		{"top ring, cylinder 2, side clearance", "0.0019 in", "0.0009 in"}, // 0.0956 - 0.0937
		// (4.0005 - 3.6400)/2 - 0.1700
		{"top ring, cylinder 2, back clearance", "0.01025 in", "0.00725 in"},
		{"cylinder 1 exhaust, lift at the valve", "0.4405 in", "0.0095 in"}, // to 0.450
		// 0.540 less the lift of 0.440 and 0.010 of over-travel.
		{"cylinder 1 intake, retainer to guide", "0.090 in", "0.030 in"},
		{"cylinder 6 exhaust, lash cold", "0.010 in", "0.002 in"},
		// Bores 0.8740 and 0.8741, bodies 0.8725 and 0.8724.
		{"cylinder 1 intake, lifter in its bore, smallest clearance", "0.0015 in", "0.0007 in"},
		{"cylinder 1 intake, lifter in its bore, largest clearance", "0.0017 in", "0.0008 in"},
	} {
		got := find(t, r, c.name)
		if got.Measured != c.measured || got.Margin != c.margin || got.Outcome != units.ProvedWithin {
			t.Errorf("%s: measured %s, margin %s, %v; want %s and %s", c.name, got.Measured, got.Margin, got.Outcome, c.measured, c.margin)
		}
	}
	// Lobe lift times ratio less lash, 0.300 * 1.5 - 0.010.
	if c := find(t, r, "cylinder 1 intake, lift at the valve"); !strings.Contains(c.Beside, "make 0.4400 in") {
		t.Errorf("%+v", c)
	}
}

// The spring that stands too high is found, and the shims are those of every
// stack of the stock that come closest to the middle of the limits.
func TestShimsMendTheSpring(t *testing.T) {
	s, r := load(t, toothed), evaluate(t, toothed)
	const rate, wanted = 150 + 70, (78 + 95) / 2.0
	// Forces of the sheet: 60.0 and 25.0 lbf at 1.700 in and 1.620 in.
	forceAt := func(h float64) float64 { return 85 + rate*(1.700-h) }
	best, height := math.Inf(1), 0.0
	for a := range s.ValveSprings.Shims[0].Count + 1 {
		for b := range s.ValveSprings.Shims[1].Count + 1 {
			for c := range s.ValveSprings.Shims[2].Count + 1 {
				h := 1.760 - 0.015*float64(a) - 0.030*float64(b) - 0.060*float64(c)
				if d := math.Abs(forceAt(h) - wanted); d < best-1e-9 {
					best, height = d, h
				}
			}
		}
	}
	c := find(t, r, "cylinder 4 exhaust, seat force")
	// The exhaust valves lift 0.440 in.
	want := fmt.Sprintf("the installed height comes to %.3f in, the seat force to %.1f lbf and the open force to %.1f lbf", height, forceAt(height), forceAt(height-0.440))
	if c.Outcome != units.ProvedOutside || !strings.Contains(c.Reason, want) || !strings.Contains(c.Reason, "1 of 0.060 in") {
		t.Errorf("%+v\nwant %q", c, want)
	}
	outside := 0
	for _, c := range r.Checks {
		if c.Group == "valve springs" && c.Outcome == units.ProvedOutside {
			outside++
		}
	}
	if outside != 1 {
		t.Errorf("%d springs outside, want that of cylinder 4 alone", outside)
	}
	// Without shims the height is named: 85 + 220 (1.700 - h) = 86.5.
	s.ValveSprings.Shims = nil
	r = again(t, s)
	if c := find(t, r, "cylinder 4 exhaust, seat force"); !strings.Contains(c.Reason, "86.5 lbf stands at an installed height of 1.693 in") {
		t.Errorf("%s", c.Reason)
	}
}

// A stack of shims is promised to keep the room to coil bind only where that
// room is known: without the lift, or with one solid height unread, the same
// shims may make a spring solid before full lift. With all known and a spring
// that is solid at 1.260 in, 1.760 in less 0.440 in less 0.060 in leaves no
// shim at all.
func TestShimsPromiseNoUnknownRoom(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(*sheet.Sheet)
		want string
	}{
		{"no lift", func(s *sheet.Sheet) { s.ValveLifts = nil }, "valve_lifts"},
		{"lift of another valve", func(s *sheet.Sheet) { s.ValveLifts.Readings = s.ValveLifts.Readings[:4] }, "valve_lifts"},
		{"no solid height", func(s *sheet.Sheet) {
			for i := range s.ValveSprings.Valves {
				s.ValveSprings.Valves[i].Springs[1].Solid = nil
			}
		}, "solid"},
		{"no room", func(s *sheet.Sheet) {
			for i := range s.ValveSprings.Valves {
				s.ValveSprings.Valves[i].Springs[0].Solid = reading("1.260 in")
			}
		}, "no stack of the shims at hand helps"},
		{"force too high", func(s *sheet.Sheet) {
			most := new(sheet.Force)
			most.Value, most.Text = units.PoundsForce(60), "60 lbf"
			s.ValveSprings.Exhaust.Seat = sheet.ForceLimits{Max: most, Source: "invented"}
		}, "take out a shim"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := load(t, toothed)
			c.edit(s)
			got := find(t, again(t, s), "cylinder 4 exhaust, seat force")
			if got.Outcome != units.ProvedOutside || strings.Contains(got.Reason, "is kept") || strings.Contains(got.Reason, "fit more shims") || !strings.Contains(got.Reason, c.want) {
				t.Errorf("%+v", got)
			}
		})
	}
}

// again evaluates a sheet that a test has changed.
func again(t *testing.T, s *sheet.Sheet) *assess.Result {
	t.Helper()
	r, err := assess.Evaluate(s)
	if err != nil {
		t.Fatal(err)
	}
	consistent(t, r)
	return r
}

// said reports whether a fault or doubt says all of the words.
func said(r *assess.Result, words ...string) bool {
	return slices.ContainsFunc(r.Findings, func(f assess.Finding) bool {
		return f.Severity != assess.Note && !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(f.What+f.Sure+f.Do, w) })
	})
}

// The faulty sheet says which valves come too near and what mends it; all of
// them stand in one finding, since one change mends all.
func TestRetardedCamBringsTheExhaustNear(t *testing.T) {
	r := evaluate(t, toothed)
	if !said(r, "cylinder 1 exhaust, least gap to the piston", "cylinder 6 exhaust, least gap to the piston", "correct the cam first") {
		t.Errorf("%+v", r.Findings)
	}
	for _, c := range r.Checks {
		if c.Group == "valve to piston" && strings.Contains(c.Name, "least gap") && (c.Outcome == units.ProvedOutside) != strings.Contains(c.Name, "exhaust") {
			t.Errorf("%s: %v", c.Name, c.Outcome)
		}
	}
	// With the cam where it belongs and the pocket too shallow, the parts have to
	// give: the intake stands at 0.1313 in, 0.050 in less pocket takes cos(12 deg)
	// of that.
	s := load(t, six)
	s.ValveToPiston.Intake.Pocket = units.MustParseReading("-0.0200 in")
	s.ValveToPiston.Measured = nil
	r = again(t, s)
	gap := number(t, find(t, r, "cylinder 1 intake, least gap to the piston").Measured)
	near(t, "shallow pocket", gap, 0.1313-0.060*math.Cos(12*math.Pi/180), 1e-4)
	c := find(t, r, "cylinder 1 intake, least gap to the piston")
	_, more, ok := strings.Cut(c.Reason, "has to give at least ")
	if c.Outcome != units.ProvedOutside || !ok {
		t.Fatalf("%+v", c)
	}
	near(t, "more pocket", number(t, more), (0.080-gap)/math.Cos(12*math.Pi/180), 1.1e-4)
}

// A retarded cam hides a shallow intake pocket: 0.060 in less of it leaves
// 0.1313 - 0.0587 = 0.0726 in at the target, under 0.080 in, while the intake keeps
// clear as the cam stands. Whoever sets the cam to its target first is warned.
func TestTargetThatBringsTheIntakeNear(t *testing.T) {
	s := load(t, toothed)
	s.ValveToPiston.Intake.Pocket = units.MustParseReading("-0.0200 in")
	s.ValveToPiston.Measured = nil
	r := again(t, s)
	for n := 1; n <= 6; n++ {
		if c := find(t, r, fmt.Sprintf("cylinder %d intake, least gap to the piston", n)); c.Outcome != units.ProvedWithin {
			t.Fatalf("as it stands: %+v", c)
		}
	}
	warned, first := false, false
	for _, f := range r.Findings {
		warned = warned || f.Severity == assess.Fault && strings.Contains(f.What, "at the target of +4.0 crank deg of advance the valves come too near") && strings.Contains(f.Do, "before the cam is set")
		first = first || strings.Contains(f.Do, "then give the valves their room over the pistons at that advance, then cam sprocket 1 tooth advancing")
	}
	if !warned || !first || r.Safe.Inside {
		t.Errorf("warned %v, in the remedy %v, %+v", warned, first, r.Findings)
	}
	// By a rule of thumb it is a doubt.
	s.ValveToPiston.Intake.Limits = nil
	r = again(t, s)
	if !slices.ContainsFunc(r.Findings, func(f assess.Finding) bool {
		return f.Severity == assess.Doubt && strings.Contains(f.What, "the rules of thumb of the least gap hold")
	}) {
		t.Errorf("%+v", r.Findings)
	}
	// The exhaust lacks more as the cam stands than at its target, of a pocket
	// 0.080 in shallower: both figures are there.
	s = load(t, toothed)
	s.ValveToPiston.Exhaust.Pocket.Length -= 80 * units.Thou
	s.ValveToPiston.Measured = nil
	c := find(t, again(t, s), "cylinder 1 exhaust, least gap to the piston")
	_, more, _ := strings.Cut(c.Reason, "has to give at least ")
	_, then, ok := strings.Cut(more, "as the cam stands, ")
	if !ok {
		t.Fatalf("%s", c.Reason)
	}
	now, at := 0.100-(0.0755-0.080*math.Cos(12*math.Pi/180)), 0.100-(0.1569-0.080*math.Cos(12*math.Pi/180))
	near(t, "as it stands", number(t, more), now/math.Cos(12*math.Pi/180), 1.1e-4)
	near(t, "at the target", number(t, then), at/math.Cos(12*math.Pi/180), 3e-4)
}

// Each correction is worked out by hand beside the report.
func TestCorrections(t *testing.T) {
	for _, c := range []struct {
		name  string
		edit  func(*sheet.Sheet)
		check string
		words []string
	}{
		// 0.016 in read, 0.010 in wanted. A turn of the screw at the pushrod is 1/24
		// in, 1.5 times that at the valve: 0.096 turn, 2 of 24 parts, which leaves
		// 0.016 - 1.5/24/12 = 0.0108.
		{
			"lash", func(s *sheet.Sheet) { s.Lash.Readings[3].Reading = units.MustParseReading("0.016 in") }, "cylinder 2 exhaust, lash cold",
			[]string{"close it by 0.006 in", "adjuster in by 2/24 turn, which leaves 0.011 in"},
		},
		{
			"lash too small", func(s *sheet.Sheet) { s.Lash.Readings[3].Reading = units.MustParseReading("0.003 in") }, "cylinder 2 exhaust, lash cold",
			[]string{"open it by 0.007 in", "adjuster back by 3/24 turn, which leaves 0.011 in"},
		},
		// 0.0007 in is 0.011 turn, under half a part.
		{"lash by a hair", func(s *sheet.Sheet) {
			s.Lash.Instrument, s.Lash.Intake.Limits = "micrometer", sheet.Limits{Min: reading("0.0098 in"), Max: reading("0.0102 in"), Source: "invented"}
			s.Lash.Readings[2].Reading = units.MustParseReading("0.0107 in")
		}, "cylinder 2 intake, lash cold", []string{"close it by 0.0007 in", "adjuster in by less than 1/24 turn"}},
		{"lash without an adjuster", func(s *sheet.Sheet) {
			s.Lash.Readings[3].Reading, s.Lash.Adjuster = units.MustParseReading("0.016 in"), nil
		}, "cylinder 2 exhaust, lash cold", []string{"close it by 0.006 in to the wanted 0.010 in"}},
		// 115 cm3: left at the top 134.7, ratio 1 + 926.9/134.7 = 7.88. The gasket of
		// 0.060 in adds pi/4 4.06^2 0.015 in3 = 3.18 cm3: 7.72, and 0.070 to the head.
		{
			"ratio", func(s *sheet.Sheet) { s.Compression.Cylinders[0].Head = volume("115.0 cm3") }, "cylinder 1, compression ratio",
			[]string{"the gasket of 0.0600 in at hand makes 7.72 and leaves 0.0700 in"},
		},
		{
			"ratio, no gasket helps", func(s *sheet.Sheet) { s.Compression.Cylinders[0].Head = volume("105.0 cm3") }, "cylinder 1, compression ratio",
			[]string{"none of the 2 gaskets at hand"},
		},
		{"ratio, no gasket at hand", func(s *sheet.Sheet) {
			s.Compression.Cylinders[0].Head, s.HeadGasket.AtHand = volume("105.0 cm3"), nil
		}, "cylinder 1, compression ratio", []string{"head_gasket.at_hand"}},
		// 1.700 - 0.440 - 1.230 = 0.030 in where 0.060 in is wanted.
		{
			"coil bind", func(s *sheet.Sheet) { s.ValveSprings.Valves[0].Springs[0].Solid = reading("1.230 in") }, "cylinder 1 intake, outer spring, room to coil bind",
			[]string{"raise the installed height by at least 0.030 in"},
		},
		{
			"solid before full lift", func(s *sheet.Sheet) { s.ValveSprings.Valves[0].Springs[0].Solid = reading("1.270 in") }, "cylinder 1 intake, open force",
			[]string{"solid before full lift"},
		},
		// 0.500 - 0.440 - 0.010 = 0.050 in.
		{
			"retainer near", func(s *sheet.Sheet) { s.TravelLimits.Valves[0].RetainerToGuide = reading("0.500 in") }, "cylinder 1 intake, retainer to guide",
			[]string{"make 0.010 in more room at least: shorten the guide"},
		},
		// No guide and no seal gives a rocker room: 0.040 - 0.020 in.
		{
			"retainer near its rocker", func(s *sheet.Sheet) {
				for i := range s.TravelLimits.Valves[0].RetainerToRocker {
					s.TravelLimits.Valves[0].RetainerToRocker[i].Gap = units.MustParseReading("0.020 in")
				}
			}, "cylinder 1 intake, retainer to rocker",
			[]string{"make 0.020 in more room at least: relieve the rocker"},
		},
		// 0.430 - 0.440 - 0.010 = -0.020 in: it meets the guide.
		{
			"retainer meets its guide", func(s *sheet.Sheet) { s.TravelLimits.Valves[0].RetainerToGuide = reading("0.430 in") }, "cylinder 1 intake, retainer to guide",
			[]string{"do not turn the engine, the parts meet before full lift; make 0.080 in more room at least"},
		},
		// 0.1313 - 0.140 cos(12 deg) = -0.0056 in.
		{
			"valve meets its piston", func(s *sheet.Sheet) { s.ValveToPiston.Intake.Pocket.Length -= 140 * units.Thou }, "cylinder 1 intake, least gap to the piston",
			[]string{"do not turn the engine, the valve meets the piston"},
		},
		{
			"valve near its piston", func(s *sheet.Sheet) { s.ValveToPiston.Intake.Pocket.Length -= 100 * units.Thou }, "cylinder 1 intake, least gap to the piston",
			[]string{"do not run the engine"},
		},
		{
			"lifter loose", func(s *sheet.Sheet) { s.LifterFits.Lifters[0].Body[0] = units.MustParseReading("0.8700 in") }, "cylinder 1 intake, lifter in its bore, largest clearance",
			[]string{"another size"},
		},
		{
			"lift short", func(s *sheet.Sheet) { s.ValveLifts.Readings[0].Reading = units.MustParseReading("0.4000 in") }, "cylinder 1 intake, lift at the valve",
			[]string{"rocker's ratio"},
		},
		{"deck low", func(s *sheet.Sheet) {
			s.Deck.Readings[1].Thrust = []units.Reading{units.MustParseReading("0.0405 in")}
			s.Deck.Readings[1].Opposite = []units.Reading{units.MustParseReading("0.0395 in")}
		}, "cylinder 2, deck height", []string{"before the deck is cut"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := load(t, six)
			c.edit(s)
			r := again(t, s)
			got := find(t, r, c.check)
			if got.Outcome != units.ProvedOutside || r.Outcome != units.ProvedOutside || !said(r, append(c.words, c.check)...) {
				t.Errorf("%+v\nwant %q", got, c.words)
			}
		})
	}
}

func reading(text string) *units.Reading {
	r := units.MustParseReading(text)
	return &r
}

func volume(text string) (v sheet.Volume) {
	if v.UnmarshalText([]byte(text)) != nil {
		v.Value = units.Volume(math.NaN())
	}
	return v
}

// What a check needs of another group and does not find is said, not assumed.
func TestNeedsAreSaid(t *testing.T) {
	s := load(t, six)
	s.ValveLifts, s.Deck = nil, nil
	r := again(t, s)
	if r.Outcome != units.NotProved || !slices.Equal(r.Missing, []string{"valve lift", "deck height"}) {
		t.Errorf("outcome %v, missing %q", r.Outcome, r.Missing)
	}
	for name, words := range map[string]string{
		"cylinder 1 intake, open force": "valve_lifts", "cylinder 1 intake, inner spring, room to coil bind": "valve_lifts", "cylinder 1 intake, retainer to guide": "valve_lifts",
		"cylinder 1, compression ratio": "under deck", "cylinder 1, piston to head": "under deck", "cylinder 1 exhaust, least gap to the piston": "under deck",
	} {
		if c := find(t, r, name); c.Outcome != units.NotProved || c.Measured != "not known" || !strings.Contains(c.Reason, words) {
			t.Errorf("%+v", c)
		}
	}
	if c := find(t, r, "cylinder 1 intake, seat force"); c.Outcome != units.ProvedWithin {
		t.Errorf("the seat force needs no lift: %+v", c)
	}
	// No reading tells the advance: no gap is computed from a guess.
	s = load(t, six)
	for i := range s.Overlap.Readings {
		s.Overlap.Readings[i].Zero, s.Overlap.Readings[i].Proof = nil, "none"
	}
	if c := find(t, again(t, s), "cylinder 1 exhaust, least gap to the piston"); c.Outcome != units.NotProved || !strings.Contains(c.Reason, "installed advance") {
		t.Errorf("%+v", c)
	}
	// Forces without an uncertainty: that, not the seat force, is what the open
	// force wants.
	s = load(t, six)
	s.ValveSprings.ForceUncertainty = nil
	if c := find(t, again(t, s), "cylinder 1 intake, open force"); c.Outcome != units.NotProved || !strings.Contains(c.Reason, "no uncertainty was stated") {
		t.Errorf("%+v", c)
	}
	// A recess written with one decimal does not hide the gap.
	s = load(t, six)
	s.ValveToPiston.Intake.Recess.Decimals = 1
	if c := find(t, again(t, s), "cylinder 1 intake, least gap to the piston"); c.Measured != "0.1313 in" {
		t.Errorf("%+v", c)
	}
	// A lift that no spring can follow is named where it was read.
	s = load(t, six)
	s.ValveLifts.Readings[0].Reading = units.MustParseReading("1.900 in")
	if _, err := assess.Evaluate(s); err == nil || !strings.Contains(err.Error(), "valve_lifts.readings") {
		t.Errorf("%v", err)
	}
	// A spring whose solid height nobody read.
	s = load(t, six)
	s.ValveSprings.Valves[0].Springs[1].Solid = nil
	if c := find(t, again(t, s), "cylinder 1 intake, inner spring, room to coil bind"); c.Outcome != units.NotProved || !strings.Contains(c.Reason, "solid height") {
		t.Errorf("%+v", c)
	}
}

// Where nobody gives a limit the trade's rule of thumb stands in and proves
// nothing within; the rules are those that the documentation of the library
// labels common practice: 0.060 in at the guide, 0.080 in and 0.100 in over the
// piston.
func TestNewRulesProveNothing(t *testing.T) {
	s := load(t, six)
	s.TravelLimits.RetainerToGuide, s.ValveToPiston.Intake.Limits, s.ValveToPiston.Exhaust.Limits = nil, nil, nil
	r := again(t, s)
	for name, limit := range map[string]string{
		"cylinder 3 intake, retainer to guide": "at least 0.060 in", "cylinder 3 intake, least gap to the piston": "at least 0.0800 in",
		"cylinder 3 exhaust, least gap to the piston": "at least 0.1000 in", "cylinder 1 intake, gap to the piston by clay": "at least 0.080 in",
	} {
		if c := find(t, r, name); c.Outcome != units.NotProved || !c.ByRule || c.Limits != limit || c.Source.Provenance != units.CommonPractice {
			t.Errorf("%+v, want %s", c, limit)
		}
	}
	if r.Outcome != units.NotProved || !said(r, "cylinder 6 exhaust, least gap", "get the part maker's figure") {
		t.Errorf("outcome %v, %+v", r.Outcome, r.Findings)
	}
}

// hydraulic is the default sheet with hydraulic lifters, one turn of a nut of 24
// threads per inch at the pivot down from zero lash.
func hydraulic(t *testing.T) *sheet.Sheet {
	t.Helper()
	s := load(t, six)
	ratio, u := 1.5, 0.03
	s.Preload = &sheet.Preload{
		Adjuster: sheet.Adjuster{Place: "at the pivot", PerInch: 24, RockerRatio: &ratio}, TurnsUncertainty: &u, Instrument: "dial indicator",
		PlungerTravel: units.MustParseReading("0.150 in"), Limits: sheet.Limits{Min: reading("0.020 in"), Max: reading("0.060 in"), Source: "invented"},
	}
	for _, r := range s.Lash.Readings {
		s.Preload.Valves = append(s.Preload.Valves, sheet.PreloadTurns{Cylinder: r.Cylinder, Valve: r.Valve, Parts: 1, Of: 2})
	}
	s.Lash = nil
	return s
}

// Half a turn of 1/24 in at the pivot presses the plunger by 1 + 1/1.5 times as
// much, 0.0347 in; its u is 0.03 turns.
func TestPreload(t *testing.T) {
	s := hydraulic(t)
	r := again(t, s)
	if r.Outcome != units.ProvedWithin || len(r.Missing) != 0 {
		t.Errorf("outcome %v, missing %q", r.Outcome, r.Missing)
	}
	c := find(t, r, "cylinder 1 intake, preload")
	near(t, "preload", number(t, c.Measured), 1/24.0/2*(1+1/1.5), 0.0006)
	near(t, "u", number(t, c.U), 0.03/24*(1+1/1.5), 0.00006)
	if !strings.Contains(c.Beside, "the plunger keeps 0.115 in") { // 0.150 - 0.0347
		t.Errorf("%+v", c)
	}
	// A turn and a half is 0.104 in; the middle, 0.040 in, takes 0.576 turn, which
	// is 7/12.
	s.Preload.Valves[0] = sheet.PreloadTurns{Cylinder: 1, Valve: "intake", Whole: 1, Parts: 1, Of: 2}
	if r = again(t, s); !said(r, "cylinder 1 intake, preload 0.104 in", "turn by 7/12 turn") {
		t.Errorf("%+v", r.Findings)
	}
	s.Preload.Valves[0].Whole = 2 // 0.174 in: the plunger is down
	if r = again(t, s); !said(r, "the plunger is at its bottom") {
		t.Errorf("%+v", r.Findings)
	}
	s.Preload.Valves = s.Preload.Valves[:11]
	s.Preload.Valves[0].Whole = 0
	missing(t, s, "lash or preload: exhaust of cylinder 6")
}

// A group that does not apply is neither missing nor proved: it is said, with
// its reason.
func TestGroupsThatDoNotApply(t *testing.T) {
	drop := map[sheet.GroupWord]func(*sheet.Sheet){
		sheet.Bearings:      func(s *sheet.Sheet) { s.Bearings, s.OilFilm = nil, nil },
		sheet.Rings:         func(s *sheet.Sheet) { s.Rings = nil },
		sheet.RingGrooves:   func(s *sheet.Sheet) { s.RingGrooves = nil },
		sheet.EndPlays:      func(s *sheet.Sheet) { s.EndPlay = nil },
		sheet.Sides:         func(s *sheet.Sheet) { s.SideClearance = nil },
		sheet.Fits:          func(s *sheet.Sheet) { s.Fits = nil },
		sheet.Lifts:         func(s *sheet.Sheet) { s.ValveLifts, s.ValveSprings, s.TravelLimits = nil, nil, nil },
		sheet.Springs:       func(s *sheet.Sheet) { s.ValveSprings = nil },
		sheet.Travels:       func(s *sheet.Sheet) { s.TravelLimits = nil },
		sheet.LashOrPreload: func(s *sheet.Sheet) { s.Lash = nil },
		sheet.LifterBores:   func(s *sheet.Sheet) { s.LifterFits = nil },
		sheet.DeckHeight:    func(s *sheet.Sheet) { s.Deck, s.Compression, s.ValveToPiston = nil, nil, nil },
		sheet.Compressions:  func(s *sheet.Sheet) { s.Compression = nil },
		sheet.ValvePiston:   func(s *sheet.Sheet) { s.ValveToPiston = nil },
		sheet.TurningTorque: func(s *sheet.Sheet) { s.Turning = nil },
	}
	if len(drop) != len(sheet.GroupWord("").Words()) {
		t.Errorf("%d groups of %d", len(drop), len(sheet.GroupWord("").Words()))
	}
	with := map[sheet.GroupWord][]sheet.GroupWord{sheet.Lifts: {sheet.Springs, sheet.Travels}, sheet.DeckHeight: {sheet.Compressions, sheet.ValvePiston}}
	for word, edit := range drop {
		s := load(t, six)
		edit(s)
		for _, w := range append(with[word], word) {
			s.NotApplicable = append(s.NotApplicable, sheet.Inapplicable{Group: w, Reason: "not on this engine"})
		}
		r := again(t, s)
		if r.Outcome != units.ProvedWithin || len(r.Missing) != 0 || len(r.Exempt) != len(s.NotApplicable) || r.Exempt[0].Reason != "not on this engine" {
			t.Errorf("%s: outcome %v, missing %q, %+v", word, r.Outcome, r.Missing, r.Exempt)
		}
	}
}

// A name for each bank tells the advance of one from that of the other.
func TestBanksAreTold(t *testing.T) {
	r := evaluate(t, twisted)
	if s := r.Survey; !s.BankSeen || s.BankProved || s.Banks != [2]string{"left", "right"} || s.Freedom != 5 {
		t.Errorf("%+v", r.Survey)
	}
	// The readings of the right bank, the even cylinders of an alternating
	// numbering, 2 degrees more advanced: made with the closed-form lobes.
	m, s := truths[twisted], load(t, twisted)
	for i := range s.Overlap.Readings {
		if n := s.Overlap.Readings[i].Cylinder; n%2 == 0 {
			d := m.difference(m.advance[n-1]+2) - m.difference(m.advance[n-1])
			s.Overlap.Readings[i].Difference.Length += units.Length(math.Round(d/m.step)) * units.Length(m.step*float64(units.Inch))
		}
	}
	r = again(t, s)
	if o := r.Survey.BankOffset; !r.Survey.BankProved || math.Abs(o.Value.Degrees()-2) > 2*o.U.Degrees() || !said(r, "the right bank stands +2.", "against the left bank") {
		t.Errorf("%+v, %+v", r.Survey.BankOffset, r.Findings)
	}
}

// With a twist suspected the positions enter the causes.
func TestPositionsEnterTheCauses(t *testing.T) {
	s := load(t, twisted)
	// The same cam with its drive end where the card says: what is left is a
	// twist from there on, and nothing else explains it as well.
	m := truths[twisted]
	for i := range s.Overlap.Readings {
		r := &s.Overlap.Readings[i]
		a := 4 - 0.25*in(*r.Position)
		r.Difference.Length = r.Zero.Length + units.Length(math.Round(m.difference(a)/m.step))*units.Length(m.step*float64(units.Inch))
	}
	s.Suspects.CylinderSpread = nil
	r := again(t, s)
	if c := r.Diagnosis.Candidates[0]; !strings.Contains(c.String(), "twisted along its length") || !r.Diagnosis.Explained {
		t.Errorf("first cause %v, explained %v", c, r.Diagnosis.Explained)
	}
	s.Suspects.Twist = nil
	if r = again(t, s); r.Diagnosis.Explained {
		t.Errorf("%v explains a twist that is not suspected", r.Diagnosis.Candidates[0])
	}
}

// sommerfeld solves the Reynolds equation of a full bearing by finite
// differences at one eccentricity,
//
//	d/dt(H^3 dP/dt) + (r/l)^2 d/dz(H^3 dP/dz) = dH/dt,  H = 1 + eps cos t
//
// with the film ruptured where its pressure would fall under 0 (projected
// relaxation, which finds Swift and Stieber's condition), z over the length and
// half of it solved. The load is 12 pi mu N r^3 l w/c^2 with w the integral of
// the pressure, so that S = 1/(6 pi w).
func sommerfeld(lengthRatio, eps float64) float64 {
	const n, m = 240, 12 // around, along half the length
	dt, dz := 2*math.Pi/n, 0.5/m
	var p [n + 1][m + 1]float64 // z = 0 is the end
	h3 := func(i float64) float64 { return math.Pow(1+eps*math.Cos(i*dt), 3) }
	for range 3000 {
		worst, most := 0.0, 0.0
		for i := 1; i < n; i++ {
			e, w := h3(float64(i)+0.5)/(dt*dt), h3(float64(i)-0.5)/(dt*dt)
			z := h3(float64(i)) / (4 * lengthRatio * lengthRatio) / (dz * dz)
			source := -eps * math.Sin(float64(i)*dt)
			for j := 1; j <= m; j++ {
				inner := p[i][m-1] // mirrored in the middle
				if j < m {
					inner = p[i][j+1]
				}
				v := (e*p[i+1][j] + w*p[i-1][j] + z*(inner+p[i][j-1]) - source) / (e + w + 2*z)
				v = max(0, p[i][j]+1.5*(v-p[i][j]))
				worst, most = max(worst, math.Abs(v-p[i][j])), max(most, v)
				p[i][j] = v
			}
		}
		if worst < 1e-7*most {
			break
		}
	}
	var x, y float64
	for i := 1; i < n; i++ {
		line := p[i][m] / 2
		for j := 1; j < m; j++ {
			line += p[i][j]
		}
		x += 2 * line * dz * dt * math.Cos(float64(i)*dt)
		y += 2 * line * dz * dt * math.Sin(float64(i)*dt)
	}
	return 1 / (6 * math.Pi * math.Hypot(x, y))
}

// Every film of the ranking belongs to its load by a solution of the Reynolds
// equation of our own, the ranks are in the order of the films, and none of it
// enters a verdict.
func TestFilmRanksAndProvesNothing(t *testing.T) {
	s, r := load(t, six), evaluate(t, six)
	// log10 log10(nu + 0.7) = A - B log10 T through the two points (ASTM D341),
	// 180 degF in kelvin.
	y := func(nu float64) float64 { return math.Log10(math.Log10(nu + 0.7)) }
	slope := (y(130) - y(14)) / (math.Log10(313.15) - math.Log10(373.15))
	film := (180-32)/1.8 + 273.15
	nu := math.Pow(10, math.Pow(10, y(130)+slope*(math.Log10(film)-math.Log10(313.15)))) - 0.7
	mu := nu * 1e-6 * 850
	const inch, lbf, speed = 0.0254, 4.4482216152605, 1800.0 / 60
	diameter := map[string]float64{"main 1": 2.5, "rod 1": 2.125} // to 0.0003 in
	last := map[string]float64{}
	for i, l := range r.Films {
		b := s.OilFilm.Bearings[slices.IndexFunc(s.OilFilm.Bearings, func(b sheet.FilmBearing) bool { return b.Name == l.Bearing })]
		d, c := diameter[l.Bearing]*inch, number(t, l.Clearance)*inch
		unit := number(t, b.Load.Text) * lbf / (in(b.Length) * inch * d)
		want := d / c * d / c * mu * speed / unit
		eps := 1 - number(t, l.Film)*inch/(c/2)
		got := sommerfeld(in(b.Length)*inch/d, eps)
		if math.Abs(got/want-1) > 0.03 {
			t.Errorf("%s at %s: film %s, eccentricity %.3f has S = %.5f, the load %.5f", l.Bearing, l.Clearance, l.Film, eps, got, want)
		}
		near(t, "eccentricity", number(t, l.Eccentricity), eps, 0.006)
		if f := number(t, l.Film); l.Rank > 1 && f > last[l.Bearing] || i%5+1 != l.Rank {
			t.Errorf("%+v after a film of %g", l, last[l.Bearing])
		} else {
			last[l.Bearing] = f
		}
	}
	if len(r.Films) != 10 || !strings.Contains(r.FilmCaution, "steady load") || !strings.Contains(r.FilmCaution, "no pass or fail proof") || !strings.Contains(r.FilmCaution, "runs hotter") {
		t.Errorf("%d films, %q", len(r.Films), r.FilmCaution)
	}
	checks := len(r.Checks)
	s.OilFilm = nil
	if r = again(t, s); r.Outcome != units.ProvedWithin || len(r.Missing) != 0 || len(r.Films) != 0 || len(r.Checks) != checks {
		t.Errorf("without a film: outcome %v, missing %q, %d checks", r.Outcome, r.Missing, len(r.Checks))
	}
	// A load past the table is said, not refused, and ranks last.
	s = load(t, six)
	s.OilFilm.Bearings[0].Load.Value *= 200
	r = again(t, s)
	if l := r.Films[4]; l.Film != "too thin to tell" || l.Eccentricity != "over 0.99" || r.Outcome != units.ProvedWithin {
		t.Errorf("%+v, outcome %v", l, r.Outcome)
	}
}

func TestNewContradictionsNameTheField(t *testing.T) {
	length := units.MustParseReading
	for _, c := range []struct {
		name string
		edit func(*sheet.Sheet)
		path string
		kind error
	}{
		{"ring of cylinder 7", func(s *sheet.Sheet) { s.RingGrooves[5].Cylinder = 7 }, "ring_grooves[5].cylinder", units.ErrRange},
		{"ring twice", func(s *sheet.Sheet) { s.RingGrooves[1].Cylinder = 1 }, "ring_grooves[1].name", units.ErrConflict},
		{"groove of no width", func(s *sheet.Sheet) { s.RingGrooves[0].GrooveWidth = length("0 in") }, "ring_grooves[0].groove_width", units.ErrMissing},
		{"floor outside the bore", func(s *sheet.Sheet) { s.RingGrooves[0].Back.Floor = length("4.1 in") }, "ring_grooves[0].back.groove_floor", units.ErrConflict},
		{"side limits swapped", func(s *sheet.Sheet) { s.RingGrooves[0].Side.Min = reading("0.1 in") }, "ring_grooves[0].side", units.ErrConflict},
		{"lift not over 0", func(s *sheet.Sheet) { s.ValveLifts.Readings[2].Reading = length("0 in") }, "valve_lifts.readings[2].reading", units.ErrRange},
		{"lift twice", func(s *sheet.Sheet) { s.ValveLifts.Readings[2].Cylinder = 1 }, "valve_lifts.readings[2].cylinder", units.ErrConflict},
		{"lift of cylinder 9", func(s *sheet.Sheet) { s.ValveLifts.Readings[2].Cylinder = 9 }, "valve_lifts.readings[2].cylinder", units.ErrRange},
		{"over-travel negative", func(s *sheet.Sheet) { s.ValveLifts.OverTravel = reading("-0.010 in") }, "valve_lifts.over_travel", units.ErrRange},
		{"lift limits swapped", func(s *sheet.Sheet) { s.ValveLifts.Exhaust.Min = reading("1 in") }, "valve_lifts.exhaust", units.ErrConflict},
		{"no lifts", func(s *sheet.Sheet) { s.ValveLifts.Readings = nil }, "valve_lifts.readings", units.ErrMissing},
		{"force falls as the spring is pressed", func(s *sheet.Sheet) { s.ValveSprings.Valves[0].Springs[0].Loads[1].Force.Value = 1 }, "valve_springs.valves[0].springs[0].loads", units.ErrConflict},
		{"one height", func(s *sheet.Sheet) { s.ValveSprings.Valves[0].Springs[0].Loads[1].Height = length("1.700 in") }, "valve_springs.valves[0].springs[0].loads", units.ErrConflict},
		{"one load", func(s *sheet.Sheet) {
			s.ValveSprings.Valves[0].Springs[0].Loads = s.ValveSprings.Valves[0].Springs[0].Loads[:1]
		}, "valve_springs.valves[0].springs[0].loads", units.ErrMissing},
		{"no spring", func(s *sheet.Sheet) { s.ValveSprings.Valves[0].Springs = nil }, "valve_springs.valves[0].springs", units.ErrMissing},
		{"spring twice", func(s *sheet.Sheet) { s.ValveSprings.Valves[0].Springs[1].Name = "outer" }, "valve_springs.valves[0].springs[1].name", units.ErrConflict},
		{"solid over the readings", func(s *sheet.Sheet) { s.ValveSprings.Valves[0].Springs[0].Solid = reading("1.6 in") }, "valve_springs.valves[0].springs[0].solid", units.ErrConflict},
		{"installed under solid", func(s *sheet.Sheet) { s.ValveSprings.Valves[0].InstalledHeight = length("1.1 in") }, "valve_springs.valves[0].installed_height", units.ErrImpossible},
		{"lift over the height", func(s *sheet.Sheet) { s.ValveLifts.Readings[0].Reading = length("1.8 in") }, "valve_lifts.readings, valve_springs.valves[0].installed_height", units.ErrImpossible},
		{"force uncertainty negative", func(s *sheet.Sheet) { s.ValveSprings.ForceUncertainty.Value = -1 }, "valve_springs.force_uncertainty", units.ErrRange},
		{"seat limits swapped", func(s *sheet.Sheet) { s.ValveSprings.Intake.Seat.Max.Value = 1 }, "valve_springs.intake.seat", units.ErrConflict},
		{"open limits missing", func(s *sheet.Sheet) { s.ValveSprings.Exhaust.Open = sheet.ForceLimits{Source: "x"} }, "valve_springs.exhaust.open", units.ErrMissing},
		{"no least room", func(s *sheet.Sheet) { s.ValveSprings.Intake.CoilBind = sheet.Limits{Max: reading("1 in"), Source: "x"} }, "valve_springs.intake.coil_bind.min", units.ErrMissing},
		{"shim of no thickness", func(s *sheet.Sheet) { s.ValveSprings.Shims[1].Thickness = length("0 in") }, "valve_springs.shims[1].thickness", units.ErrRange},
		{"shim twice", func(s *sheet.Sheet) { s.ValveSprings.Shims[1].Thickness = s.ValveSprings.Shims[0].Thickness }, "valve_springs.shims[1].thickness", units.ErrConflict},
		{"no shims of a kind", func(s *sheet.Sheet) { s.ValveSprings.Shims[1].Count = 0 }, "valve_springs.shims[1].count", units.ErrRange},
		{"instrument not listed", func(s *sheet.Sheet) { s.ValveSprings.Instrument = "ruler" }, "valve_springs.instrument", units.ErrConflict},
		{"no place", func(s *sheet.Sheet) { s.TravelLimits.Valves[3] = sheet.TravelGaps{Cylinder: 2, Valve: "exhaust"} }, "travel_limits.valves[3]", units.ErrMissing},
		{"one gap at the rocker", func(s *sheet.Sheet) {
			s.TravelLimits.Valves[0].RetainerToRocker = s.TravelLimits.Valves[0].RetainerToRocker[:1]
		}, "travel_limits.valves[0].retainer_to_rocker", units.ErrMissing},
		{"lifts fall", func(s *sheet.Sheet) { s.TravelLimits.Valves[0].RetainerToRocker[1].Lift = length("0 in") }, "travel_limits.valves[0].retainer_to_rocker[1].lift", units.ErrConflict},
		{"guide over the retainer", func(s *sheet.Sheet) { s.TravelLimits.Valves[0].RetainerToGuide = reading("-0.1 in") }, "travel_limits.valves[0]", units.ErrRange},
		{"lash outside its limits", func(s *sheet.Sheet) { s.Lash.Intake.Lash = length("0.020 in") }, "lash.intake.lash", units.ErrConflict},
		{"no lash", func(s *sheet.Sheet) { s.Lash.Exhaust.Lash = length("0 in") }, "lash.exhaust.lash", units.ErrMissing},
		{"lash negative", func(s *sheet.Sheet) { s.Lash.Readings[0].Reading = length("-0.010 in") }, "lash.readings[0].reading", units.ErrRange},
		{"no thread", func(s *sheet.Sheet) { s.Lash.Adjuster.PerInch = 0 }, "lash.adjuster.pitch", units.ErrMissing},
		{"two threads", func(s *sheet.Sheet) { s.Lash.Adjuster.Pitch = reading("1 mm") }, "lash.adjuster.pitch", units.ErrConflict},
		{"no ratio", func(s *sheet.Sheet) { s.Lash.Adjuster.RockerRatio = nil }, "lash.adjuster.rocker_ratio", units.ErrMissing},
		{"lash and preload", func(s *sheet.Sheet) {
			s.Preload = hydraulic(t).Preload
		}, "preload.valves[0]", units.ErrConflict},
		{"preload of too many turns", func(s *sheet.Sheet) { s.Preload, s.Lash = hydraulic(t).Preload, nil; s.Preload.Valves[0].Whole = 2000 }, "preload.valves[0].whole", units.ErrRange},
		{"preload with parts over the whole", func(s *sheet.Sheet) { s.Preload, s.Lash = hydraulic(t).Preload, nil; s.Preload.Valves[0].Parts = 3 }, "preload.valves[0].parts", units.ErrConflict},
		{"preload without a thread", func(s *sheet.Sheet) { s.Preload, s.Lash = hydraulic(t).Preload, nil; s.Preload.Adjuster.PerInch = 0 }, "preload.adjuster.pitch", units.ErrMissing},
		{"preload without a ratio", func(s *sheet.Sheet) {
			s.Preload, s.Lash = hydraulic(t).Preload, nil
			s.Preload.Adjuster.RockerRatio = nil
		}, "preload.adjuster.rocker_ratio", units.ErrMissing},
		{"plunger without travel", func(s *sheet.Sheet) {
			s.Preload, s.Lash = hydraulic(t).Preload, nil
			s.Preload.PlungerTravel = length("0 in")
		}, "preload.plunger_travel", units.ErrMissing},
		{"no body", func(s *sheet.Sheet) { s.LifterFits.Lifters[0].Body = nil }, "lifter_fits.lifters[0].body", units.ErrMissing},
		{"bore of no size", func(s *sheet.Sheet) { s.LifterFits.Lifters[0].Bore[1] = length("0 in") }, "lifter_fits.lifters[0].bore[1]", units.ErrMissing},
		{"deck leans", func(s *sheet.Sheet) { s.Deck.Readings[0].Thrust[0] = length("2 in") }, "deck.readings[0].opposite", units.ErrConflict},
		{"deck without a side", func(s *sheet.Sheet) { s.Deck.Readings[0].Opposite = nil }, "deck.readings[0].opposite", units.ErrMissing},
		{"deck of no offset", func(s *sheet.Sheet) { s.Deck.ThrustOffset = length("0 in") }, "deck.thrust_offset", units.ErrMissing},
		{"deck twice", func(s *sheet.Sheet) { s.Deck.Readings[1].Cylinder = 1 }, "deck.readings[1].cylinder", units.ErrConflict},
		{"no stroke", func(s *sheet.Sheet) { s.Engine.Stroke = nil }, "engine.stroke", units.ErrMissing},
		{"no rod", func(s *sheet.Sheet) { s.Engine.Rod = nil }, "engine.rod", units.ErrMissing},
		{"rod shorter than the throw", func(s *sheet.Sheet) { s.Engine.Rod = reading("2 in") }, "engine.rod", units.ErrImpossible},
		{"no gasket", func(s *sheet.Sheet) { s.HeadGasket = nil }, "head_gasket", units.ErrMissing},
		{"gasket of no thickness", func(s *sheet.Sheet) { s.HeadGasket.Thickness = length("0 in") }, "head_gasket.thickness", units.ErrRange},
		{"gasket at hand of no thickness", func(s *sheet.Sheet) { s.HeadGasket.AtHand[1] = length("0 in") }, "head_gasket.at_hand[1]", units.ErrRange},
		{"no room over the piston", func(s *sheet.Sheet) { s.Compression.Cylinders[0].Crown.Value = -1e-3 }, "compression.cylinders[0].head, compression.cylinders[0].crown, head_gasket.thickness, deck.readings", units.ErrImpossible},
		{"chamber negative", func(s *sheet.Sheet) { s.Compression.Cylinders[0].Head.Value = -1e-4 }, "compression.cylinders[0].head", units.ErrRange},
		{"ratio limits swapped", func(s *sheet.Sheet) { *s.Compression.Ratio.Min = 9 }, "compression.ratio", units.ErrConflict},
		{"ratio under 1", func(s *sheet.Sheet) { *s.Compression.Ratio.Min = 0.5 }, "compression.ratio.min", units.ErrRange},
		{"no ratio limits", func(s *sheet.Sheet) { s.Compression.Ratio = sheet.RatioLimits{Source: "x"} }, "compression.ratio", units.ErrMissing},
		{"growth negative", func(s *sheet.Sheet) { s.Compression.Growth = reading("-0.010 in") }, "compression.growth", units.ErrRange},
		{"no valves", func(s *sheet.Sheet) { s.ValveToPiston.Intake, s.ValveToPiston.Exhaust = nil, nil }, "valve_to_piston.intake", units.ErrMissing},
		{"valve leans too far", func(s *sheet.Sheet) { s.ValveToPiston.Exhaust.Lean.Value = 2 }, "valve_to_piston.exhaust.lean", units.ErrRange},
		{"no rocker ratio", func(s *sheet.Sheet) {
			s.Cam.Exhaust.RockerRatio = nil
			s.Cam.Exhaust.ValveLift, s.Cam.Exhaust.Lash = nil, nil
		}, "cam.exhaust.rocker_ratio", units.ErrMissing},
		{"no least gap", func(s *sheet.Sheet) { s.ValveToPiston.Intake.Limits = &sheet.Limits{Max: reading("1 in"), Source: "x"} }, "valve_to_piston.intake.limits.min", units.ErrMissing},
		{"recess of another size", func(s *sheet.Sheet) { s.ValveToPiston.Intake.Recess = length("70 in") }, "valve_to_piston.intake.recess", units.ErrRange},
		{"measured, but not what it meets", func(s *sheet.Sheet) { s.ValveToPiston.Exhaust = nil }, "valve_to_piston.exhaust", units.ErrMissing},
		{"measured twice", func(s *sheet.Sheet) { s.ValveToPiston.Measured[1] = s.ValveToPiston.Measured[0] }, "valve_to_piston.measured[1].method", units.ErrConflict},
		{"lash at check negative", func(s *sheet.Sheet) { s.ValveToPiston.Measured[1].LashAtCheck = reading("-0.010 in") }, "valve_to_piston.measured[1].lash_at_check", units.ErrRange},
		{"film of no bearing", func(s *sheet.Sheet) { s.OilFilm.Bearings[0].Name = "main 9" }, "oil_film.bearings[0].name", units.ErrConflict},
		{"film of one bearing twice", func(s *sheet.Sheet) { s.OilFilm.Bearings[1].Name = "main 1" }, "oil_film.bearings[1].name", units.ErrConflict},
		{"no bearing", func(s *sheet.Sheet) { s.OilFilm.Bearings = nil }, "oil_film.bearings", units.ErrMissing},
		{"bearing of no length", func(s *sheet.Sheet) { s.OilFilm.Bearings[0].Length = length("0 in") }, "oil_film.bearings[0].length", units.ErrMissing},
		{"no load", func(s *sheet.Sheet) { s.OilFilm.Bearings[0].Load.Value = 0 }, "oil_film.bearings[0].load", units.ErrMissing},
		{"no speed", func(s *sheet.Sheet) { s.OilFilm.Speed.Value = 0 }, "oil_film.speed", units.ErrMissing},
		{"oil thickens", func(s *sheet.Sheet) { s.OilFilm.Oil.Hot.Viscosity.Value = 1 }, "oil_film.oil.hot.viscosity", units.ErrConflict},
		{"oil of one temperature", func(s *sheet.Sheet) { s.OilFilm.Oil.Hot.Temperature = s.OilFilm.Oil.Cold.Temperature }, "oil_film.oil.hot.temperature", units.ErrConflict},
		{"does not apply, but was read", func(s *sheet.Sheet) {
			s.NotApplicable = []sheet.Inapplicable{{Group: sheet.Fits, Reason: "x"}}
		}, "not_applicable[0].group", units.ErrConflict},
		{"does not apply twice", func(s *sheet.Sheet) {
			s.Fits = nil
			s.NotApplicable = []sheet.Inapplicable{{Group: sheet.Fits, Reason: "x"}, {Group: sheet.Fits, Reason: "y"}}
		}, "not_applicable[1].group", units.ErrConflict},
		{"banks of an in-line engine", func(s *sheet.Sheet) { s.Engine.BankNames = []string{"left", "right"} }, "engine.bank_names", units.ErrConflict},
		{"twist without a length", func(s *sheet.Sheet) { s.Suspects.Twist = &sheet.TwistSuspect{Angle: units.CrankDegree} }, "suspects.twist.over", units.ErrRange},
		{"twist negative", func(s *sheet.Sheet) {
			s.Suspects.Twist = &sheet.TwistSuspect{Angle: -units.CrankDegree, Over: length("20 in")}
		}, "suspects.twist.angle", units.ErrRange},
		{"twist without positions", func(s *sheet.Sheet) {
			s.Suspects.Twist = &sheet.TwistSuspect{Angle: units.CrankDegree, Over: length("20 in")}
			s.Overlap.Readings[2].Position = nil
		}, "overlap.readings[2].position", units.ErrMissing},
		{"index error negative", func(s *sheet.Sheet) { a := -units.CrankDegree; s.Suspects.IndexError = &a }, "suspects.index_error", units.ErrRange},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := load(t, six)
			c.edit(s)
			r, err := assess.Evaluate(s)
			e := (*units.InputError)(nil)
			if r != nil || !errors.As(err, &e) {
				t.Fatalf("result %v, error %v", r != nil, err)
			}
			if e.Package != "sheet" || e.Field != c.path || !errors.Is(err, c.kind) || e.Reason == "" {
				t.Errorf("got %v\nwant %s, kind %v", err, c.path, c.kind)
			}
		})
	}
	// Both banks, each by its own name.
	for _, c := range []struct {
		names []string
		path  string
	}{{[]string{"left"}, "engine.bank_names"}, {[]string{"left", "left"}, "engine.bank_names[1]"}, {[]string{"a", "b", "c"}, "engine.bank_names"}} {
		s := load(t, twisted)
		s.Engine.BankNames = c.names
		_, err := assess.Evaluate(s)
		if e := (*units.InputError)(nil); !errors.As(err, &e) || e.Field != c.path {
			t.Errorf("%q: %v", c.names, err)
		}
	}
}

// Two cylinders at one end that stand off together drag the line through all, so
// that neither passes the bound for the worst of six there, 2.638 (normal
// quantile at 1 - 0.025/6). Each is told by how far it stands off the line of the
// others, and passes the bound that is named.
func TestOutliersAreToldAgainstTheOthers(t *testing.T) {
	s := load(t, six)
	for i := 4; i < 6; i++ {
		s.Overlap.Readings[i].Difference.Length += 5 * units.Thou
	}
	r := again(t, s)
	hidden := false
	for _, f := range r.Survey.Stations {
		hidden = hidden || f.Outlier && math.Abs(f.Studentized) < 2.638
	}
	found := 0
	for _, f := range r.Findings {
		if !strings.Contains(f.What, "off the line through those that do not stand out") {
			continue
		}
		found++
		if math.Abs(number(t, f.Sure)) < 2.6 {
			t.Errorf("%+v", f)
		}
	}
	if !hidden || found != 2 {
		t.Errorf("hidden %v, %d found: %+v\n%+v", hidden, found, r.Survey.Stations, r.Findings)
	}
}
