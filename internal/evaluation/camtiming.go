package evaluation

import (
	"fmt"
	"math"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// camtimingCases computes the rows of package camtiming: camtiming.csv,
// lobes.csv, cam_motion.csv and those named in the camtiming_*.go files.
func camtimingCases() []Case {
	return collect("camtiming", camEvents, camCards, camLobes, camSplit, camSurvey, camPiston, camTDC, camDrive, camChange, camOverlap, camShapes, camCenterline, camDiagnosis, camSmooth, camSplines, camLash, camRing)
}

func degrees(a units.CrankAngle) (Answer, error) { return Number(a.Degrees()), nil }

func camEvents(add adder) {
	events := func(in *inputs) camtiming.Events {
		return camtiming.Events{IVO: in.crank("ivo"), IVC: in.crank("ivc"), EVO: in.crank("evo"), EVC: in.crank("evc")}
	}
	timing := func(f func(camtiming.Timing) units.CrankAngle) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			t, err := events(in).Timing()
			if err != nil {
				return Answer{}, err
			}
			return degrees(f(t))
		}
	}
	add("intake duration", timing(func(t camtiming.Timing) units.CrankAngle { return t.IntakeDuration }), "Events.Timing")
	add("exhaust duration", timing(func(t camtiming.Timing) units.CrankAngle { return t.ExhaustDuration }), "Events.Timing")
	add("intake centerline of events", timing(func(t camtiming.Timing) units.CrankAngle { return t.IntakeCenterline }), "Events.Timing")
	add("exhaust centerline of events", timing(func(t camtiming.Timing) units.CrankAngle { return t.ExhaustCenterline }), "Events.Timing")
	fromEvents := func(in *inputs) (camtiming.Timing, error) { return events(in).Timing() }
	fromCenterlines := func(in *inputs) (camtiming.Timing, error) {
		return camtiming.Timing{
			IntakeDuration: in.crank("di"), ExhaustDuration: in.crank("de"),
			IntakeCenterline: in.crank("icl"), ExhaustCenterline: in.crank("ecl"),
		}, nil
	}
	derived := func(from func(*inputs) (camtiming.Timing, error), f func(camtiming.Derived) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			t, err := from(in)
			if err != nil {
				return Answer{}, err
			}
			d, err := t.Derive()
			return Number(f(d)), err
		}
	}
	overlap := func(d camtiming.Derived) float64 { return d.Overlap.Degrees() }
	separation := func(d camtiming.Derived) float64 { return d.Separation.Degrees() }
	advance := func(d camtiming.Derived) float64 { return d.Advance.Degrees() }
	seated := func(d camtiming.Derived) float64 { return d.BothSeated.Degrees() }
	add("valve overlap", derived(fromEvents, overlap), "Events.Timing", "Timing.Derive")
	add("lobe separation", derived(fromEvents, separation), "Timing.Derive")
	add("installed advance", derived(fromEvents, advance), "Timing.Derive")
	add("both valves seated", derived(fromEvents, seated), "Timing.Derive")
	add("lobe separation of centerlines", derived(fromCenterlines, separation), "Timing.Derive")
	add("advance of centerlines", derived(fromCenterlines, advance), "Timing.Derive")
	add("both seated of centerlines", derived(fromCenterlines, seated), "Timing.Derive")
	add("intake centerline at another advance", func(in *inputs) (Answer, error) {
		t, err := fromCenterlines(in)
		if err != nil {
			return Answer{}, err
		}
		return degrees(t.At(in.crank("advance")).IntakeCenterline)
	}, "Timing.At")
	add("valve event as printed", func(in *inputs) (Answer, error) {
		kinds := map[string]camtiming.EventKind{"IVO": camtiming.IntakeOpens, "IVC": camtiming.IntakeCloses, "EVO": camtiming.ExhaustOpens, "EVC": camtiming.ExhaustCloses}
		a, err := camtiming.ParseEvent(kinds[in.text("kind")], in.text("text"))
		return Number(a.Degrees()), err
	}, "ParseEvent")
}

func camCards(add adder) {
	resolved := func(in *inputs) (camtiming.Resolved, error) {
		at := 50 * units.Thou
		lobe := func(d units.CrankAngle) camtiming.LobeFigures {
			return camtiming.LobeFigures{LobeLift: units.Some(300 * units.Thou), Durations: []camtiming.DurationAt{{Lift: at, Duration: d}}}
		}
		return camtiming.Card{
			Separation: units.Some(in.cam("separation")), GroundAdvance: units.Some(in.crank("advance")),
			Intake: lobe(in.crank("di")), Exhaust: lobe(in.crank("de")),
		}.Resolve()
	}
	add("overlap of a card", func(in *inputs) (Answer, error) {
		r, err := resolved(in)
		if err != nil {
			return Answer{}, err
		}
		t, err := r.Timing(50 * units.Thou)
		if err != nil {
			return Answer{}, err
		}
		d, err := t.Derive()
		return Number(d.Overlap.Degrees()), err
	}, "Card.Resolve", "Resolved.Timing")
	add("exhaust centerline of a card", func(in *inputs) (Answer, error) {
		r, err := resolved(in)
		return Number(r.ExhaustCenterline.Degrees()), err
	}, "Card.Resolve")
	add("lobe lift of a card", func(in *inputs) (Answer, error) {
		f := camtiming.LobeFigures{
			ValveLift: units.Some(in.length("valve lift")), Lash: units.Some(in.length("lash")),
			RockerRatio: units.Some(in.float("ratio")),
			Durations:   []camtiming.DurationAt{{Lift: 50 * units.Thou, Duration: 220 * units.CrankDegree}},
		}
		r, err := camtiming.Card{Intake: f, Exhaust: f, Separation: units.Some(110 * units.CamDegree), GroundAdvance: units.Some(units.CrankAngle(0))}.Resolve()
		return Number(r.Intake.MaxLift.Inches()), err
	}, "Card.Resolve")
	add("one cam tooth", func(in *inputs) (Answer, error) {
		tooth := camtiming.ToothAngle(in.int("teeth"))
		return Number(tooth.Degrees()), suspectsTooth(in.int("teeth"), tooth)
	}, "ToothAngle", "Diagnose")
	add("damper rim arc of one cam tooth", func(in *inputs) (Answer, error) {
		turn := camtiming.ToothAngle(in.int("teeth")).Radians()
		return Number(in.length("diameter").Millimeters() / 2 * turn), nil
	}, "ToothAngle")
	add("rule of thumb for split overlap", func(in *inputs) (Answer, error) {
		r, err := camtiming.ThumbAdvance(in.length("difference"))
		return Number(r.Advance.Degrees()), err
	}, "ThumbAdvance")
	add("nearest correction", func(in *inputs) (Answer, error) {
		x := camtiming.CorrectionInput{Measured: units.Unstated(in.crank("measured")), Wanted: in.crank("wanted")}
		if in.has("teeth") {
			x.Steps.Teeth, x.Steps.MostTeeth = in.int("teeth"), in.int("most")
		}
		if in.has("bushings") {
			x.Steps.Bushings = read(in, "bushings", func(s string) (l []units.CrankAngle, err error) {
				for p := range strings.SplitSeq(s, ",") {
					a, err := units.ParseCrankAngle(p)
					if err != nil {
						return nil, err
					}
					l = append(l, a)
				}
				return l, nil
			})
		}
		r, err := camtiming.Correct(x)
		if err != nil {
			return Answer{}, err
		}
		return degrees(r.Options[0].Left)
	}, "Correct")
	add("advance for a centerline", func(in *inputs) (Answer, error) {
		c, err := plainCam(in.cam("separation"))
		if err != nil {
			return Answer{}, err
		}
		a, err := c.AdvanceForCenterline(in.crank("icl"))
		return Number(a.Degrees()), err
	}, "Cam.AdvanceForCenterline")
}

// plainCam makes a cam of two equal lobes.
func plainCam(separation units.CamAngle) (*camtiming.Cam, error) {
	l, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly345, MaxLift: 300 * units.Thou, Opening: 65 * units.CamDegree, Closing: 65 * units.CamDegree})
	if err != nil {
		return nil, err
	}
	return camtiming.NewCam(camtiming.CamSpec{Intake: l, Exhaust: l, Separation: separation})
}

// suspectsTooth fails unless the diagnosis suspects a cam one tooth off either
// way, shifted by the angle of a tooth.
func suspectsTooth(teeth int, tooth units.CrankAngle) error {
	c, err := plainCam(110 * units.CamDegree)
	if err != nil {
		return err
	}
	d, err := camtiming.Diagnose(camtiming.DiagnosisInput{
		Cam: c,
		Observations: []camtiming.Observation{{Cylinder: "1", Reading: camtiming.SplitReading{
			Difference: units.WithU(units.Length(0), units.Thou/2), Zero: units.Some(units.WithU(units.Length(0), 0)),
			Proof: camtiming.Proof{Kind: camtiming.MovesWithCrank},
		}}},
		Suspects: camtiming.Suspects{Teeth: teeth, MostTeeth: 1},
	})
	if err != nil {
		return err
	}
	var advanced, retarded bool
	for _, k := range d.Candidates {
		if k.Cause == camtiming.ToothOff {
			advanced, retarded = advanced || k.Shift == tooth, retarded || k.Shift == -tooth
		}
	}
	if !advanced || !retarded {
		return fmt.Errorf("the diagnosis does not suspect %s either way", tooth)
	}
	return nil
}

var lawNames = map[string]camtiming.Law{
	"harmonic": camtiming.Harmonic, "cycloidal": camtiming.Cycloidal, "345": camtiming.Poly345,
	"4567": camtiming.Poly4567, "modified sine": camtiming.ModifiedSine,
	"modified trapezoid": camtiming.ModifiedTrapezoid, "eighth degree": camtiming.EighthDegree,
}

// lawLobe reads a closed-form lobe whose inputs carry a prefix.
func lawLobe(in *inputs, prefix string) (*camtiming.LawLobe, error) {
	s := camtiming.LawLobeSpec{
		Law: lawNames[in.text(prefix+"law")], MaxLift: in.length(prefix + "lift"),
		Opening: in.cam(prefix + "opening"), Closing: in.cam(prefix + "closing"),
	}
	if in.err != nil {
		return nil, in.err
	}
	return camtiming.NewLawLobe(s)
}

// tableLobe samples lobe A as the reference program did.
func tableLobe(in *inputs, round units.Length) (*camtiming.TableLobe, error) {
	a, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly345, MaxLift: 350 * units.Thou, Opening: 65 * units.CamDegree, Closing: 65 * units.CamDegree})
	if err != nil {
		return nil, err
	}
	joined := map[string]camtiming.Interpolation{"natural": camtiming.NaturalSpline, "notaknot": camtiming.NotAKnotSpline, "linear": camtiming.Straight}
	spec := camtiming.TableLobeSpec{Interpolation: joined[in.text("joined")], Origin: camtiming.AsMeasured}
	step := in.crank("step")
	if in.err != nil {
		return nil, in.err
	}
	for x := -140 * units.CrankDegree; x <= 140*units.CrankDegree; x += step {
		l := a.Lift(x.Cam())
		if round > 0 {
			// To the nearest half thousandth, ties to even, as NumPy rounds.
			l = units.Length(math.RoundToEven(float64(l)/float64(round))) * round
		}
		spec.Samples = append(spec.Samples, camtiming.LiftSample{Angle: x.Cam(), Lift: l})
	}
	return camtiming.NewTableLobe(spec)
}

func cardLobe(in *inputs) (*camtiming.CardLobe, error) {
	s := camtiming.CardLobeSpec{MaxLift: in.length("lift")}
	s.Durations = read(in, "durations", func(t string) (d []camtiming.DurationAt, err error) {
		for p := range strings.SplitSeq(t, ",") {
			lift, dur, ok := strings.Cut(p, ":")
			if !ok {
				return nil, fmt.Errorf("want lift:duration, got %q", p)
			}
			l, err1 := units.ParseLength(lift)
			a, err2 := units.ParseCrankAngle(dur)
			if err1 != nil || err2 != nil {
				return nil, fmt.Errorf("want lift:duration, got %q", p)
			}
			d = append(d, camtiming.DurationAt{Lift: l, Duration: a})
		}
		return d, nil
	})
	if in.err != nil {
		return nil, in.err
	}
	return camtiming.NewCardLobe(s)
}

func camLobes(add adder) {
	opening := func(lobe func(*inputs) (camtiming.LiftCurve, error), f func(camtiming.Opening) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			l, err := lobe(in)
			if err != nil {
				return Answer{}, err
			}
			o, err := camtiming.OpeningAt(l, in.length("at"))
			return Number(f(o)), err
		}
	}
	law := func(in *inputs) (camtiming.LiftCurve, error) { return lawLobe(in, "") }
	table := func(in *inputs) (camtiming.LiftCurve, error) { return tableLobe(in, 0) }
	dial := func(in *inputs) (camtiming.LiftCurve, error) { return tableLobe(in, units.Thou/2) }
	card := func(in *inputs) (camtiming.LiftCurve, error) { return cardLobe(in) }
	duration := func(o camtiming.Opening) float64 { return o.Duration.Degrees() }
	closes := func(o camtiming.Opening) float64 { return o.Closes.Crank().Degrees() }
	add("closing angle of a lobe", opening(law, closes), "NewLawLobe", "OpeningAt")
	add("opening angle of a lobe", opening(law, func(o camtiming.Opening) float64 { return o.Opens.Crank().Degrees() }), "NewLawLobe", "OpeningAt")
	add("duration of a lobe", opening(law, duration), "NewLawLobe", "OpeningAt")
	add("midpoint of a lobe", opening(law, func(o camtiming.Opening) float64 { return o.Midpoint.Crank().Degrees() }), "NewLawLobe", "OpeningAt")
	add("closing angle of a table", opening(table, closes), "NewTableLobe", "OpeningAt")
	add("duration of a table", opening(table, duration), "NewTableLobe", "OpeningAt")
	add("closing angle of a dial table", opening(dial, closes), "NewTableLobe", "OpeningAt")
	add("closing angle of a card lobe", opening(card, closes), "NewCardLobe", "OpeningAt")
	add("duration of a card lobe", opening(card, duration), "NewCardLobe", "OpeningAt")
	add("lift of a table", func(in *inputs) (Answer, error) {
		l, err := tableLobe(in, 0)
		if err != nil {
			return Answer{}, err
		}
		return Number(l.Lift(in.crank("angle").Cam()).Inches()), nil
	}, "TableLobe.Lift", "NewTableLobe")
	add("greatest lift of a table", func(in *inputs) (Answer, error) {
		l, err := tableLobe(in, 0)
		if err != nil {
			return Answer{}, err
		}
		return Number(l.MaxLift().Inches()), nil
	}, "TableLobe.MaxLift", "NewTableLobe")
	add("nose of a table", func(in *inputs) (Answer, error) {
		l, err := tableLobe(in, 0)
		if err != nil {
			return Answer{}, err
		}
		return Number(l.Nose().Degrees()), nil
	}, "TableLobe.Nose", "NewTableLobe")
	add("lift velocity of a table", func(in *inputs) (Answer, error) {
		l, err := tableLobe(in, 0)
		if err != nil {
			return Answer{}, err
		}
		return Number(l.Velocity(in.crank("angle").Cam()).InchesPerCrankDegree()), nil
	}, "TableLobe.Velocity", "NewTableLobe")
	add("lift of a card lobe", func(in *inputs) (Answer, error) {
		l, err := cardLobe(in)
		if err != nil {
			return Answer{}, err
		}
		return Number(l.Lift(in.crank("angle").Cam()).Inches()), nil
	}, "CardLobe.Lift", "NewCardLobe")
	add("lift velocity of a card lobe", func(in *inputs) (Answer, error) {
		l, err := cardLobe(in)
		if err != nil {
			return Answer{}, err
		}
		return Number(l.Velocity(in.crank("angle").Cam()).InchesPerCrankDegree()), nil
	}, "CardLobe.Velocity", "NewCardLobe")
	add("spread of a card lobe", func(in *inputs) (Answer, error) {
		l, err := cardLobe(in)
		if err != nil {
			return Answer{}, err
		}
		return Number(l.Spread(in.crank("angle").Cam()).Inches()), nil
	}, "CardLobe.Spread")
	add("peak lift velocity of a lobe", func(in *inputs) (Answer, error) {
		l, err := lawLobe(in, "")
		if err != nil {
			return Answer{}, err
		}
		return Number(math.Abs(l.Velocity(in.cam("angle")).InchesPerCrankDegree())), nil
	}, "LawLobe.Velocity")
	for _, d := range [...]struct {
		name string
		of   func(camtiming.Motion) float64
	}{
		{"lift", func(m camtiming.Motion) float64 { return m.S }},
		{"velocity", func(m camtiming.Motion) float64 { return m.V }},
		{"acceleration", func(m camtiming.Motion) float64 { return m.A }},
		{"jerk", func(m camtiming.Motion) float64 { return m.J }},
	} {
		add("rise law "+d.name, func(in *inputs) (Answer, error) {
			return Number(math.Abs(d.of(lawNames[in.text("law")].At(in.float("u")))) * sign(in.row.Expected)), nil
		}, "Law.At")
	}
}

// sign of a printed figure; a peak factor is printed without one.
func sign(s string) float64 {
	if strings.HasPrefix(s, "-") {
		return -1
	}
	return 1
}

// pairCam reads the two lobes of a cam.
func pairCam(in *inputs) (*camtiming.Cam, error) {
	i, err := lawLobe(in, "intake ")
	if err != nil {
		return nil, err
	}
	e, err := lawLobe(in, "exhaust ")
	if err != nil {
		return nil, err
	}
	s := camtiming.CamSpec{Intake: i, Exhaust: e, Separation: in.cam("separation")}
	if in.has("ground") {
		s.GroundAdvance = in.crank("ground")
	}
	if in.err != nil {
		return nil, in.err
	}
	return camtiming.NewCam(s)
}

func camSplit(add adder) {
	with := func(f func(*inputs, *camtiming.Cam) (Answer, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			c, err := pairCam(in)
			if err != nil {
				return Answer{}, err
			}
			return f(in, c)
		}
	}
	// The lift of one lobe at the angle from its nose that its lifter has at
	// overlap TDC, by the lobe itself; the cam must say the same.
	lift := func(prefix string, angle func(halfway, advance units.CrankAngle) units.CrankAngle, f func(camtiming.Heights) units.Length) func(*inputs) (Answer, error) {
		return with(func(in *inputs, c *camtiming.Cam) (Answer, error) {
			l, err := lawLobe(in, prefix)
			if err != nil {
				return Answer{}, err
			}
			x := l.Lift(angle(in.cam("separation").Crank()/2, in.crank("advance")).Cam())
			if h := f(c.At(in.crank("advance"))); (h - x).Abs() > 1 {
				err = fmt.Errorf("the cam says %s, the lobe %s", h, x)
			}
			return Number(x.Inches()), err
		})
	}
	heights := func(f func(camtiming.Heights) units.Length) func(*inputs) (Answer, error) {
		return with(func(in *inputs, c *camtiming.Cam) (Answer, error) {
			return Number(f(c.At(in.crank("advance"))).Inches()), nil
		})
	}
	add("intake lift at overlap TDC", lift("intake ", func(half, a units.CrankAngle) units.CrankAngle { return a - half }, func(h camtiming.Heights) units.Length { return h.Intake }), "NewCam", "Cam.At", "LawLobe.Lift")
	add("exhaust lift at overlap TDC", lift("exhaust ", func(half, a units.CrankAngle) units.CrankAngle { return half + a }, func(h camtiming.Heights) units.Length { return h.Exhaust }), "NewCam", "Cam.At", "LawLobe.Lift")
	add("height difference at overlap TDC", heights(func(h camtiming.Heights) units.Length { return h.Difference }), "NewCam", "Cam.At")
	add("height difference per crank degree", heights(func(h camtiming.Heights) units.Length { return h.PerCrankDegree }), "Cam.At")
	add("height difference with the crank off TDC", with(func(in *inputs, c *camtiming.Cam) (Answer, error) {
		return Number(c.AtCrank(in.crank("advance"), in.crank("phi")).Difference.Inches()), nil
	}), "Cam.AtCrank")
	add("difference at firing TDC", with(func(_ *inputs, c *camtiming.Cam) (Answer, error) {
		return Number(c.AtCrank(0, units.CrankTurn).Difference.Inches()), nil
	}), "Cam.AtCrank")
	add("advance from the height difference", with(func(in *inputs, c *camtiming.Cam) (Answer, error) {
		inv, err := c.Advance(in.length("difference"))
		if err != nil {
			return Answer{}, err
		}
		// The same through the full method, with proof that a lifter is up.
		s, err := c.Split(camtiming.SplitReading{
			Difference: units.Unstated(in.length("difference")),
			Proof:      camtiming.Proof{Kind: camtiming.MovesWithCrank},
		})
		if err == nil && s.Advance.Value != inv.Advance {
			err = fmt.Errorf("two answers: %v and %v", s.Advance.Value, inv.Advance)
		}
		return Number(inv.Advance.Degrees()), err
	}), "Cam.Advance", "Cam.Split")
	add("advance at level", with(func(_ *inputs, c *camtiming.Cam) (Answer, error) {
		inv, err := c.Level()
		return Number(inv.Advance.Degrees()), err
	}), "Cam.Level", "Cam.Advance")
	add("lift at level", with(func(_ *inputs, c *camtiming.Cam) (Answer, error) {
		inv, err := c.Level()
		return Number(c.At(inv.Advance).Intake.Inches()), err
	}), "Cam.Level", "Cam.At")
	add("quarter of the duration difference at the level lift", with(func(_ *inputs, c *camtiming.Cam) (Answer, error) {
		inv, err := c.Level()
		if err != nil {
			return Answer{}, err
		}
		t, err := c.TimingAt(c.At(inv.Advance).Intake, inv.Advance)
		return Number((t.ExhaustDuration - t.IntakeDuration).Degrees() / 4), err
	}), "Cam.TimingAt", "Cam.Level")
	add("highest difference within reach", with(func(_ *inputs, c *camtiming.Cam) (Answer, error) {
		return Number(c.Reach().AtHighest.Inches()), nil
	}), "Cam.Reach")
	add("advances with both lifters up", with(func(_ *inputs, c *camtiming.Cam) (Answer, error) {
		r := c.Reach()
		return Interval(r.BothUpLow.Degrees(), r.BothUpHigh.Degrees()), nil
	}), "Cam.Reach")
	add("advances with both lifters down", with(func(_ *inputs, c *camtiming.Cam) (Answer, error) {
		inv, err := c.Advance(0)
		if err == nil && !inv.Undetermined {
			err = fmt.Errorf("a difference of 0 was taken for an advance of %v", inv.Advance)
		}
		if r := c.Reach(); err == nil && (!r.Dead || r.DeadLow != inv.Low || r.DeadHigh != inv.High) {
			err = fmt.Errorf("the reach is %+v, the advances of a difference of 0 are %v to %v", r, inv.Low, inv.High)
		}
		return Interval(inv.Low.Degrees(), inv.High.Degrees()), err
	}), "Cam.Reach", "Cam.Advance")
	events := func(f func(camtiming.Events) units.CrankAngle) func(*inputs) (Answer, error) {
		return with(func(in *inputs, c *camtiming.Cam) (Answer, error) {
			t, err := c.TimingAt(in.length("at"), in.crank("advance"))
			if err != nil {
				return Answer{}, err
			}
			e, err := t.Events()
			return Number(f(e).Degrees()), err
		})
	}
	add("intake opening of a cam", events(func(e camtiming.Events) units.CrankAngle { return e.IVO }), "Cam.TimingAt", "Timing.Events")
	add("intake closing of a cam", events(func(e camtiming.Events) units.CrankAngle { return e.IVC }), "Cam.TimingAt", "Timing.Events")
	add("exhaust opening of a cam", events(func(e camtiming.Events) units.CrankAngle { return e.EVO }), "Cam.TimingAt", "Timing.Events")
	add("exhaust closing of a cam", events(func(e camtiming.Events) units.CrankAngle { return e.EVC }), "Cam.TimingAt", "Timing.Events")
	add("overlap of a cam", events(func(e camtiming.Events) units.CrankAngle { return e.IVO + e.EVC }), "Cam.TimingAt", "Timing.Events")
	split := func(in *inputs, c *camtiming.Cam, name string) (camtiming.SplitResult, error) {
		r := camtiming.SplitReading{
			Difference: units.WithU(in.length(name), in.length("u")),
			Zero:       units.Some(units.WithU(units.Length(0), 0)),
			Proof:      camtiming.Proof{Kind: camtiming.MovesWithCrank},
		}
		if in.has("tdc") {
			r.TDC = in.crank("tdc")
		}
		return c.Split(r)
	}
	add("advance uncertainty from the reading and TDC", with(func(in *inputs, c *camtiming.Cam) (Answer, error) {
		s, err := split(in, c, "difference")
		return Number(s.Advance.U.Degrees()), err
	}), "Cam.Split")
	add("advance uncertainty from the reading", with(func(in *inputs, c *camtiming.Cam) (Answer, error) {
		s, err := split(in, c, "difference")
		return Number(s.UGauge.Degrees()), err
	}), "Cam.Split")
	pair := func(f func(camtiming.PairResult) Answer) func(*inputs) (Answer, error) {
		return with(func(in *inputs, c *camtiming.Cam) (Answer, error) {
			a, err := split(in, c, "first")
			if err != nil {
				return Answer{}, err
			}
			b, err := split(in, c, "companion")
			if err != nil {
				return Answer{}, err
			}
			tol := units.CrankDegree
			if in.has("tolerance") {
				tol = in.crank("tolerance")
			}
			p, err := camtiming.ComparePair(camtiming.PairInput{
				First: a, Companion: b,
				Tolerance: units.Between(-tol, tol, units.Source{Text: "the row", Provenance: units.Stated}),
			})
			return f(p), err
		})
	}
	add("companion minus first", pair(func(p camtiming.PairResult) Answer { return Number(p.Delta.Value.Degrees()) }), "ComparePair")
	add("uncertainty of companion minus first", pair(func(p camtiming.PairResult) Answer { return Number(p.Delta.U.Degrees()) }), "ComparePair")
	add("class of a pair", pair(func(p camtiming.PairResult) Answer { return Text(p.Class.String()) }), "ComparePair")
	predicted := func(cause camtiming.Cause, shift float64) func(*inputs) (Answer, error) {
		return with(func(in *inputs, c *camtiming.Cam) (Answer, error) {
			d, err := camtiming.Diagnose(camtiming.DiagnosisInput{
				Cam: c,
				Observations: []camtiming.Observation{{Cylinder: "1", Reading: camtiming.SplitReading{
					Difference: units.WithU(units.Length(0), units.Thou/2), Proof: camtiming.Proof{Kind: camtiming.MovesWithCrank},
				}}},
				Suspects: camtiming.Suspects{Teeth: in.int("teeth"), MostTeeth: 1},
			})
			if err != nil {
				return Answer{}, err
			}
			for _, k := range d.Candidates {
				if k.Cause == cause && float64(k.Shift)*shift > 0 {
					return Number(k.Predicted[0].Inches()), nil
				}
			}
			return Answer{}, fmt.Errorf("no candidate %v", cause)
		})
	}
	add("height difference predicted for one tooth", predicted(camtiming.ToothOff, 1), "Diagnose")
	add("height difference predicted for reversed advance", predicted(camtiming.AdvanceReversed, -1), "Diagnose")
	add("height difference of a card", func(in *inputs) (Answer, error) {
		l, err := cardLobe(in)
		if err != nil {
			return Answer{}, err
		}
		var durations []camtiming.DurationAt
		for t := range strings.SplitSeq(in.text("durations"), ",") {
			lift, dur, _ := strings.Cut(t, ":")
			durations = append(durations, camtiming.DurationAt{Lift: units.MustParseLength(lift), Duration: units.MustParseCrankAngle(dur)})
		}
		f := camtiming.LobeFigures{LobeLift: units.Some(l.MaxLift()), Durations: durations}
		c, err := camtiming.Card{Intake: f, Exhaust: f, Separation: units.Some(in.cam("separation")), GroundAdvance: units.Some(in.crank("advance"))}.Cam()
		if err != nil {
			return Answer{}, err
		}
		return Number(c.At(in.crank("advance")).Difference.Inches()), nil
	}, "Card.Cam", "Resolved.Cam", "Card.Resolve", "Cam.At")
}
