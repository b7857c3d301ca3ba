package camtiming_test

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// typed fails unless an error is a typed one with the zero value beside it.
func typed(t *testing.T, v any, err error) {
	t.Helper()
	var e *units.InputError
	if !errors.As(err, &e) || e.Kind == nil || e.Field == "" {
		t.Fatalf("untyped error %v", err)
	}
	if !reflect.ValueOf(v).IsZero() {
		t.Fatalf("%+v beside an error", v)
	}
}

func FuzzParseEvent(f *testing.F) {
	for _, s := range []string{"28 deg BTDC", "48 deg 30 min BBDC", "137° ABDC", "ATDC", "-5 deg ATDC", "5 deg cam ATDC", "", "\xff BTDC", "180 deg BTDC"} {
		for k := range uint8(6) {
			f.Add(k, s)
		}
	}
	f.Fuzz(func(t *testing.T, k uint8, s string) {
		a, err := camtiming.ParseEvent(camtiming.EventKind(k), s)
		if err != nil {
			typed(t, a, err)
			return
		}
		if a.Abs() > crank(180) {
			t.Fatalf("%q is %v", s, a)
		}
		// The same point of the crank circle, written from the other side, is the
		// same event.
		usual := map[camtiming.EventKind]string{
			camtiming.IntakeOpens: "BTDC", camtiming.IntakeCloses: "ABDC", camtiming.ExhaustOpens: "BBDC", camtiming.ExhaustCloses: "ATDC",
		}[camtiming.EventKind(k)]
		if a < 0 {
			usual = map[string]string{"BTDC": "ATDC", "ATDC": "BTDC", "BBDC": "ABDC", "ABDC": "BBDC"}[usual]
		}
		b, err := camtiming.ParseEvent(camtiming.EventKind(k), a.Abs().Text(9)+" "+usual)
		if err != nil || b != a {
			t.Fatalf("%q is %v; written out, %v, %v", s, a, b, err)
		}
	})
}

// fuzzLobe makes a lobe of whatever comes; lift in units of 0.0001 in, flanks
// in 0.01 cam degree.
func fuzzLobe(law uint8, lift, opening, closing uint16) (*camtiming.LawLobe, error) {
	return camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Law(law), MaxLift: units.Length(lift) * units.Thou / 10,
		Opening: units.CamAngle(opening) * units.CamDegree / 100, Closing: units.CamAngle(closing) * units.CamDegree / 100,
	})
}

func FuzzAdvance(f *testing.F) {
	f.Add(uint8(3), uint16(3500), uint16(6500), uint16(6500), uint8(4), uint16(3325), uint16(6400), uint16(6700), uint16(11200), int64(153208313), int64(2e9))
	f.Add(uint8(1), uint16(3000), uint16(5000), uint16(5000), uint8(1), uint16(3000), uint16(5000), uint16(5000), uint16(12000), int64(0), int64(-20e9))
	f.Add(uint8(5), uint16(1), uint16(1), uint16(17999), uint8(2), uint16(65535), uint16(17999), uint16(1), uint16(17999), int64(1), int64(100e9))
	f.Add(uint8(3), uint16(3500), uint16(6500), uint16(6500), uint8(3), uint16(3500), uint16(6500), uint16(6500), uint16(11000), int64(math.MinInt64), int64(math.MaxInt64))
	f.Fuzz(func(t *testing.T, lawI uint8, liftI, openI, closeI uint16, lawE uint8, liftE, openE, closeE, sep uint16, diff, adv int64) {
		i, err := fuzzLobe(lawI, liftI, openI, closeI)
		if err != nil {
			typed(t, i, err)
			return
		}
		e, err := fuzzLobe(lawE, liftE, openE, closeE)
		if err != nil {
			typed(t, e, err)
			return
		}
		k, err := camtiming.NewCam(camtiming.CamSpec{Intake: i, Exhaust: e, Separation: units.CamAngle(sep) * units.CamDegree / 100})
		if err != nil {
			typed(t, k, err)
			return
		}
		reach := k.Reach()
		check := func(d units.Length) {
			inv, err := k.Advance(d)
			if err != nil {
				typed(t, inv, err)
				// Refused only past the reach; at its very ends by the rounding.
				if d > reach.AtLowest && d < reach.AtHighest {
					t.Fatalf("%v lies in the reach of %v to %v: %v", d, reach.AtLowest, reach.AtHighest, err)
				}
				return
			}
			if inv.Low > inv.High || inv.Low < reach.Lowest || inv.High > reach.Highest {
				t.Fatalf("%v: %+v leaves %+v", d, inv, reach)
			}
			h := k.At(inv.Advance)
			if h.Intake < 0 || h.Exhaust < 0 || h.Intake > i.MaxLift() || h.Exhaust > e.MaxLift() || h.PerCrankDegree < 0 {
				t.Fatalf("%v: %+v", d, h)
			}
			// One count of advance on the steepest slope of any law, 2.19 lifts
			// a flank, half that per crank degree, and the rounding of three
			// lengths.
			steep := 2.2 * (float64(i.MaxLift())/float64(openI) + float64(e.MaxLift())/float64(closeE)) * 100 / 2 * 1e-9
			if off := (h.Difference - d).Abs(); float64(off) > 2+steep {
				t.Fatalf("%v: advance %v reads %v", d, inv.Advance, h.Difference)
			}
		}
		check(units.Length(diff))
		if a := units.CrankAngle(adv); a >= reach.Lowest && a <= reach.Highest {
			check(k.At(a).Difference)
		}
		k.AtCrank(units.CrankAngle(adv), units.CrankAngle(diff))
	})
}

func FuzzCardResolve(f *testing.F) {
	f.Add(uint16(0xffff), int64(110e9), int64(4e9), int64(106e9), int64(114e9), int64(224e9), int64(232e9), int64(8e9), int64(7620e6), int64(11430e6), 1.5, int64(0))
	f.Add(uint16(0x0f3), int64(110e9), int64(4e9), int64(106e9), int64(114e9), int64(224e9), int64(232e9), int64(9e9), int64(7620e6), int64(11430e6), 1.5, int64(5e7))
	f.Add(uint16(0x1ff0), int64(1), int64(math.MinInt64), int64(math.MaxInt64), int64(0), int64(1), int64(719e9), int64(-8e9), int64(1), int64(-1), math.NaN(), int64(-1))
	f.Fuzz(func(t *testing.T, given uint16, sep, adv, icl, ecl, di, de, overlap, lobe, valve int64, ratio float64, rounding int64) {
		bit := func(n int) bool { return given>>n&1 == 1 }
		at := 50 * units.Thou
		c := camtiming.Card{
			Separation: units.Optional[units.CamAngle]{Value: units.CamAngle(sep), Given: bit(0)}, GroundAdvance: units.Optional[units.CrankAngle]{Value: units.CrankAngle(adv), Given: bit(1)},
			IntakeCenterline: units.Optional[units.CrankAngle]{Value: units.CrankAngle(icl), Given: bit(2)}, ExhaustCenterline: units.Optional[units.CrankAngle]{Value: units.CrankAngle(ecl), Given: bit(3)},
			Rounding: units.CrankAngle(rounding),
		}
		figures := func(d int64, with bool) camtiming.LobeFigures {
			l := camtiming.LobeFigures{
				LobeLift: units.Optional[units.Length]{Value: units.Length(lobe), Given: bit(7)}, ValveLift: units.Optional[units.Length]{Value: units.Length(valve), Given: bit(8)},
				RockerRatio: units.Optional[float64]{Value: ratio, Given: bit(9)},
			}
			if with {
				l.Durations = []camtiming.DurationAt{{at, units.CrankAngle(d)}}
			}
			return l
		}
		c.Intake, c.Exhaust = figures(di, bit(4)), figures(de, bit(5))
		if bit(6) {
			c.Overlap = []camtiming.OverlapAt{{at, units.CrankAngle(overlap)}}
		}
		if bit(10) {
			c.Events = []camtiming.EventsAt{{at, camtiming.Events{
				IVO: units.CrankAngle(di/2 - icl), IVC: units.CrankAngle(di/2 + icl - 180e9), EVO: units.CrankAngle(de/2 + ecl - 180e9), EVC: units.CrankAngle(de/2 - ecl),
			}}}
		}
		r, err := c.Resolve()
		if err != nil {
			typed(t, r, err)
			return
		}
		// Every printed figure is met within three of its roundings.
		tol := 1.5 + 1e-6
		if rounding != 0 {
			tol = 3*units.CrankAngle(rounding).Degrees() + 1e-6
		}
		for _, p := range []struct {
			name      string
			got, want units.CrankAngle
			given     bool
		}{
			{"separation", r.Separation.Crank() / 2, units.CamAngle(sep).Crank() / 2, bit(0)},
			{"advance", r.GroundAdvance, units.CrankAngle(adv), bit(1)},
			{"intake centerline", r.IntakeCenterline, units.CrankAngle(icl), bit(2)},
			{"exhaust centerline", r.ExhaustCenterline, units.CrankAngle(ecl), bit(3)},
			{"intake duration", r.Intake.Durations[0].Duration, units.CrankAngle(di), bit(4)},
			{"exhaust duration", r.Exhaust.Durations[0].Duration, units.CrankAngle(de), bit(5)},
		} {
			if p.given && math.Abs((p.got-p.want).Degrees()) > tol {
				t.Fatalf("%s %v, printed %v", p.name, p.got, p.want)
			}
		}
		tm, err := r.Timing(at)
		if err != nil {
			t.Fatal(err)
		}
		d, err := tm.Derive()
		if err != nil {
			t.Fatal(err)
		}
		if (d.Advance-r.GroundAdvance).Abs() > 1 || d.Separation != r.Separation {
			t.Fatalf("%+v derives %+v", r, d)
		}
		if k, err := r.Cam(); err != nil {
			typed(t, k, err)
		}
	})
}

func FuzzSplit(f *testing.F) {
	card := workboatCard()
	r, err := card.Resolve()
	if err != nil {
		f.Fatal(err)
	}
	fitted, err := r.Cam()
	if err != nil {
		f.Fatal(err)
	}
	cams := []*camtiming.Cam{equalPair.cam(f), unequalPair.cam(f), deadPair.cam(f), fitted}
	f.Add(uint8(0), int64(279e6), int64(12e6), true, int64(0), int64(12e6), true, true, int64(0), int64(5e8), uint8(2), int64(0), uint8(1))
	f.Add(uint8(2), int64(0), int64(1), true, int64(0), int64(0), false, true, int64(0), int64(0), uint8(1), int64(5e8), uint8(2))
	f.Add(uint8(3), int64(math.MinInt64), int64(-1), false, int64(math.MaxInt64), int64(-1), true, true, int64(-1), int64(-1), uint8(9), int64(-1), uint8(9))
	f.Add(uint8(1), int64(7620e6), int64(1e12), true, int64(0), int64(1), true, false, int64(1e12), int64(90e9), uint8(0), int64(0), uint8(0))
	f.Fuzz(func(t *testing.T, which uint8, d, u int64, stated bool, z, zu int64, zStated, zGiven bool, mismatch, tdc int64, proof uint8, rise int64, approach uint8) {
		k := cams[int(which)%len(cams)]
		in := camtiming.SplitReading{
			Difference: units.Measured[units.Length]{Value: units.Length(d), U: units.Length(u), Stated: stated},
			Zero:       units.Optional[units.Measured[units.Length]]{Value: units.Measured[units.Length]{Value: units.Length(z), U: units.Length(zu), Stated: zStated}, Given: zGiven},
			Mismatch:   units.Length(mismatch), TDC: units.CrankAngle(tdc),
			Proof: camtiming.Proof{Kind: camtiming.ProofKind(proof), Rise: units.Length(rise)}, Approach: camtiming.Approach(approach),
		}
		s, err := k.Split(in)
		if err != nil {
			typed(t, s, err)
			return
		}
		if s.Low > s.Advance.Value || s.High < s.Advance.Value {
			t.Fatalf("%v lies outside %v to %v", s.Advance, s.Low, s.High)
		}
		sep := k.Spec().Separation.Crank() / 2
		for _, x := range []units.CrankAngle{s.UGauge, s.UShape, s.Advance.U} {
			if x < 0 || x > 2*sep {
				t.Fatalf("uncertainty %v of %+v", x, s)
			}
		}
		if s.Advance.Value.Abs() > sep || s.Advance.Stated && s.Undetermined || s.Proof.Kind == camtiming.NoProof {
			t.Fatalf("%+v", s)
		}
		if s.Advance.Stated && s.Net.U > 0 && (s.UGauge == 0 || s.Low >= s.High) {
			t.Fatalf("the uncertainty of the reading got lost: %+v", s)
		}
		for _, w := range s.Working() {
			if w.Value == "" {
				t.Fatalf("empty step %+v", w)
			}
		}
	})
}
