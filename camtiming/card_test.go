package camtiming_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// workboatCard is the invented card of the workboat's straight-six: 270/280
// at 0.006 in, 224/232 at 0.050 in, separation 110, ground four degrees
// advanced.
func workboatCard() camtiming.Card {
	lobe := func(seat, at50 float64, lift units.Length) camtiming.LobeFigures {
		return camtiming.LobeFigures{
			LobeLift: units.Some(lift),
			Durations: []camtiming.DurationAt{
				{Lift: 6 * units.Thou, Duration: crank(seat)},
				{Lift: 50 * units.Thou, Duration: crank(at50)},
			},
		}
	}
	return camtiming.Card{
		Name:   "workboat six",
		Intake: lobe(270, 224, 300*units.Thou), Exhaust: lobe(280, 232, 310*units.Thou),
		Separation: units.Some(cam(110)), GroundAdvance: units.Some(crank(4)),
	}
}

// figure is one figure that a card may print.
type figure struct {
	name string
	put  func(*camtiming.Card)
	// The figure as a combination of ICL, ECL, Di, De.
	row [4]float64
}

// Every subset of eleven printed figures either determines the card, and then
// to the same result, or is refused as missing something. Which subsets
// determine it is worked out in the test by the rank of the definitions.
func TestEverySubsetOfFigures(t *testing.T) {
	at := 50 * units.Thou
	// ICL 106, ECL 114, Di 224, De 232 at 0.050 in, by the definitions:
	// IVO 112-106 = 6, IVC 112+106-180 = 38, EVO 116+114-180 = 50, EVC 116-114
	// = 2, overlap 228 - 220 = 8.
	figures := []figure{
		{"Separation", func(c *camtiming.Card) { c.Separation = units.Some(cam(110)) }, [4]float64{.5, .5, 0, 0}},
		{"GroundAdvance", func(c *camtiming.Card) { c.GroundAdvance = units.Some(crank(4)) }, [4]float64{-.5, .5, 0, 0}},
		{"IntakeCenterline", func(c *camtiming.Card) { c.IntakeCenterline = units.Some(crank(106)) }, [4]float64{1, 0, 0, 0}},
		{"ExhaustCenterline", func(c *camtiming.Card) { c.ExhaustCenterline = units.Some(crank(114)) }, [4]float64{0, 1, 0, 0}},
		{"Intake.Durations", func(c *camtiming.Card) {
			c.Intake.Durations = []camtiming.DurationAt{{at, crank(224)}}
		}, [4]float64{0, 0, 1, 0}},
		{"Exhaust.Durations", func(c *camtiming.Card) {
			c.Exhaust.Durations = []camtiming.DurationAt{{at, crank(232)}}
		}, [4]float64{0, 0, 0, 1}},
		{"Overlap", func(c *camtiming.Card) { c.Overlap = []camtiming.OverlapAt{{at, crank(8)}} }, [4]float64{-1, -1, .5, .5}},
	}
	events := camtiming.EventsAt{Lift: at, Events: camtiming.Events{IVO: crank(6), IVC: crank(38), EVO: crank(50), EVC: crank(2)}}
	eventRows := [][4]float64{{-1, 0, .5, 0}, {1, 0, .5, 0}, {0, 1, 0, .5}, {0, -1, 0, .5}}
	determined := 0
	for set := range 1 << (len(figures) + 1) {
		c := camtiming.Card{
			Intake: camtiming.LobeFigures{LobeLift: units.Some(300 * units.Thou)}, Exhaust: camtiming.LobeFigures{LobeLift: units.Some(310 * units.Thou)},
		}
		var rows [][4]float64
		var names []string
		for i, f := range figures {
			if set>>i&1 == 1 {
				f.put(&c)
				rows, names = append(rows, f.row), append(names, f.name)
			}
		}
		if set>>len(figures)&1 == 1 {
			c.Events = []camtiming.EventsAt{events}
			rows, names = append(rows, eventRows...), append(names, "Events")
		}
		r, err := c.Resolve()
		// Determined when adding the unit rows one by one leaves the rank 4.
		if rank(rows) < 4 {
			if !errors.Is(err, units.ErrMissing) {
				t.Errorf("%v: %+v, %v, want ErrMissing", names, r, err)
			}
			continue
		}
		determined++
		if err != nil {
			t.Errorf("%v: %v", names, err)
			continue
		}
		if r.IntakeCenterline != crank(106) || r.ExhaustCenterline != crank(114) || r.Separation != cam(110) || r.GroundAdvance != crank(4) ||
			len(r.Intake.Durations) != 1 || r.Intake.Durations[0] != (camtiming.DurationAt{at, crank(224)}) ||
			len(r.Exhaust.Durations) != 1 || r.Exhaust.Durations[0] != (camtiming.DurationAt{at, crank(232)}) {
			t.Errorf("%v: %+v", names, r)
		}
		printed := 0
		for _, n := range names {
			if slices.Contains([]string{"Separation", "GroundAdvance", "IntakeCenterline", "ExhaustCenterline"}, n) {
				printed++
			}
		}
		want := camtiming.BasisEvents
		if printed >= 2 {
			want = camtiming.BasisCard
		}
		if r.Basis != want {
			t.Errorf("%v: basis %v, want %v", names, r.Basis, want)
		}
		// Every figure on the card comes back from the result.
		d := must[camtiming.Derived](t)(must[camtiming.Timing](t)(r.Timing(at)).Derive())
		if d.Overlap != crank(8) || d.Separation != cam(110) || d.Advance != crank(4) {
			t.Errorf("%v: derived %+v", names, d)
		}
	}
	if determined < 100 {
		t.Errorf("only %d subsets determined the card", determined)
	}
}

// rank by plain elimination.
func rank(rows [][4]float64) int {
	m := slices.Clone(rows)
	r := 0
	for col := range 4 {
		p := -1
		for i := r; i < len(m); i++ {
			if math.Abs(m[i][col]) > 1e-9 {
				p = i
				break
			}
		}
		if p < 0 {
			continue
		}
		m[r], m[p] = m[p], m[r]
		for i := r + 1; i < len(m); i++ {
			f := m[i][col] / m[r][col]
			for j := range 4 {
				m[i][j] -= f * m[r][j]
			}
		}
		r++
	}
	return r
}

// A card that contradicts itself is told exactly which figures disagree.
func TestContradictions(t *testing.T) {
	at := 50 * units.Thou
	cases := []struct {
		name string
		spec func(*camtiming.Card)
		want string
	}{
		{
			"intake centerline", func(c *camtiming.Card) { c.IntakeCenterline = units.Some(crank(110)) },
			"Separation, GroundAdvance, IntakeCenterline",
		},
		// A right figure among the wrong ones is not named.
		{"right one left out", func(c *camtiming.Card) {
			c.IntakeCenterline, c.ExhaustCenterline = units.Some(crank(106)), units.Some(crank(118))
		}, "Separation, GroundAdvance, ExhaustCenterline"},
		{"one duration twice", func(c *camtiming.Card) {
			c.Intake.Durations = append(c.Intake.Durations, camtiming.DurationAt{at, crank(230)})
		}, "Intake.Durations at 0.0500 in, Intake.Durations at 0.0500 in"},
		{
			"overlap", func(c *camtiming.Card) { c.Overlap = []camtiming.OverlapAt{{at, crank(20)}} },
			"Separation, Intake.Durations at 0.0500 in, Exhaust.Durations at 0.0500 in, Overlap at 0.0500 in",
		},
		{"event", func(c *camtiming.Card) {
			c.Events = []camtiming.EventsAt{{at, camtiming.Events{IVO: crank(6), IVC: crank(38), EVO: crank(50), EVC: crank(9)}}}
		}, "Separation, GroundAdvance, Exhaust.Durations at 0.0500 in, Events.EVC at 0.0500 in"},
		{"valve lift", func(c *camtiming.Card) {
			c.Intake.RockerRatio, c.Intake.ValveLift = units.Some(1.5), units.Some(460*units.Thou)
		}, "Intake.LobeLift, Intake.RockerRatio, Intake.ValveLift"},
		{"valve lift and lash", func(c *camtiming.Card) {
			c.Exhaust.RockerRatio, c.Exhaust.ValveLift, c.Exhaust.Lash = units.Some(1.5), units.Some(465*units.Thou), units.Some(12*units.Thou)
		}, "Exhaust.LobeLift, Exhaust.RockerRatio, Exhaust.ValveLift, Exhaust.Lash"},
	}
	for _, k := range cases {
		t.Run(k.name, func(t *testing.T) {
			c := workboatCard()
			k.spec(&c)
			r, err := c.Resolve()
			var e *units.InputError
			if !errors.As(err, &e) || !errors.Is(err, units.ErrConflict) {
				t.Fatalf("%+v, %v, want ErrConflict", r, err)
			}
			if e.Field != k.want {
				t.Errorf("field %q, want %q", e.Field, k.want)
			}
		})
	}
}

// Figures may differ by their rounding, summed with their factors: sep = ICL/2
// + ECL/2 over three figures of half a degree each allows 0.5 + 0.25 + 0.25 = 1;
// in the terms of the second, ICL = sep - advance over three allows 1.5.
func TestRounding(t *testing.T) {
	for _, k := range [...]struct {
		name string
		off  units.CrankAngle
		unit units.CrankAngle // Rounding
		ok   bool
	}{
		{"just under", crank(1.5) - 1, 0, true},
		{"on", crank(1.5), 0, true},
		{"just over", crank(1.5) + 10, 0, false},
		{"below, just over", -crank(1.5) - 10, 0, false},
		{"tenths, just under", crank(0.15) - 1, crank(0.05), true},
		{"tenths, just over", crank(0.15) + 10, crank(0.05), false},
	} {
		c := workboatCard()
		c.Rounding = k.unit
		c.IntakeCenterline = units.Some(crank(106) + k.off)
		_, err := c.Resolve()
		if (err == nil) != k.ok {
			t.Errorf("%s: %v", k.name, err)
		}
		c = workboatCard()
		c.GroundAdvance = units.Optional[units.CrankAngle]{}
		c.IntakeCenterline, c.ExhaustCenterline = units.Some(crank(106)), units.Some(crank(114)+k.off*4/3)
		c.Rounding = k.unit
		if _, err := c.Resolve(); (err == nil) != k.ok && k.name != "on" {
			t.Errorf("%s, separation and both centerlines: %v", k.name, err)
		}
	}
	// The valve lift: 0.300 in * 1.5 = 0.450 in; half a thou there, half a thou
	// * 1.5 from the lobe, 0.005 * 0.300 in from the ratio: 0.00275 in.
	for _, k := range [...]struct {
		lift units.Length
		ok   bool
	}{{inch(0.45274), true}, {inch(0.45276), false}, {inch(0.44726), true}, {inch(0.44724), false}} {
		c := workboatCard()
		c.Intake.RockerRatio, c.Intake.ValveLift = units.Some(1.5), units.Some(k.lift)
		if _, err := c.Resolve(); (err == nil) != k.ok {
			t.Errorf("valve lift %v: %v", k.lift, err)
		}
	}
}

// Durations at several lifts, some from events and overlap, come out sorted
// and each to its own lift.
func TestSeveralLifts(t *testing.T) {
	c := workboatCard()
	// At 0.100 in: events of Di 180, De 188 about 106 and 114.
	c.Events = []camtiming.EventsAt{{100 * units.Thou, camtiming.Events{IVO: crank(-16), IVC: crank(16), EVO: crank(28), EVC: crank(-20)}}}
	// At 0.006 in: (270 + 280)/2 - 220 = 55.
	c.Overlap = []camtiming.OverlapAt{{6 * units.Thou, crank(55)}, {200 * units.Thou, crank(-100)}}
	r := must[camtiming.Resolved](t)(c.Resolve())
	wantI := []camtiming.DurationAt{{6 * units.Thou, crank(270)}, {50 * units.Thou, crank(224)}, {100 * units.Thou, crank(180)}}
	wantE := []camtiming.DurationAt{{6 * units.Thou, crank(280)}, {50 * units.Thou, crank(232)}, {100 * units.Thou, crank(188)}}
	if !slices.Equal(r.Intake.Durations, wantI) || !slices.Equal(r.Exhaust.Durations, wantE) {
		t.Errorf("durations %v and %v", r.Intake.Durations, r.Exhaust.Durations)
	}
}

// lobe lift = (valve lift + lash)/ratio: (0.438 + 0.012)/1.5 = 0.300 in.
func TestLobeLiftFromValve(t *testing.T) {
	c := workboatCard()
	c.Intake.LobeLift = units.Optional[units.Length]{}
	c.Intake.ValveLift, c.Intake.RockerRatio, c.Intake.Lash = units.Some(438*units.Thou), units.Some(1.5), units.Some(12*units.Thou)
	r := must[camtiming.Resolved](t)(c.Resolve())
	if r.Intake.MaxLift != 300*units.Thou || r.IntakeLash != 12*units.Thou || r.ExhaustLash != 0 || r.Name != "workboat six" {
		t.Errorf("%+v", r)
	}
}

// lobe lift * ratio - lash = valve lift: 0.300 * 1.5 - 0.012 = 0.438 in. The
// lash adds half a thou to the 0.00275 in allowed without it.
func TestValveLiftWithLash(t *testing.T) {
	for _, k := range [...]struct {
		lift float64
		ok   bool
	}{{0.438, true}, {0.44124, true}, {0.44126, false}, {0.43476, true}, {0.43474, false}} {
		c := workboatCard()
		c.Intake.RockerRatio, c.Intake.ValveLift, c.Intake.Lash = units.Some(1.5), units.Some(inch(k.lift)), units.Some(12*units.Thou)
		r, err := c.Resolve()
		if (err == nil) != k.ok || err == nil && r.IntakeLash != 12*units.Thou {
			t.Errorf("valve lift %g in: %v", k.lift, err)
		}
	}
}

// The cam of a card stands at the card's own durations and centerlines.
func TestCardCamReproducesCard(t *testing.T) {
	r := must[camtiming.Resolved](t)(workboatCard().Resolve())
	k := must[*camtiming.Cam](t)(r.Cam())
	if k.Spec().GroundAdvance != crank(4) || k.Spec().Separation != cam(110) {
		t.Errorf("spec %+v", k.Spec())
	}
	for _, at := range []units.Length{6 * units.Thou, 50 * units.Thou} {
		want := must[camtiming.Timing](t)(r.Timing(at))
		got := must[camtiming.Timing](t)(k.TimingAt(at, r.GroundAdvance))
		for _, d := range []units.CrankAngle{
			got.IntakeDuration - want.IntakeDuration, got.ExhaustDuration - want.ExhaustDuration,
			got.IntakeCenterline - want.IntakeCenterline, got.ExhaustCenterline - want.ExhaustCenterline,
		} {
			if d.Abs() > 1 {
				t.Errorf("at %v: %+v, want %+v", at, got, want)
			}
		}
	}
}

func TestBasisNames(t *testing.T) {
	for _, b := range []camtiming.Basis{camtiming.BasisCard, camtiming.BasisEvents} {
		if strings.Contains(b.String(), "unknown") {
			t.Errorf("%d has no name", b)
		}
	}
	if camtiming.Basis(0).String() != "unknown basis" {
		t.Error("basis 0 has a name")
	}
}
