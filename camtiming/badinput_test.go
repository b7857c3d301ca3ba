package camtiming_test

import (
	"math"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

const (
	least = math.MinInt64 // no angle and no length, yet it can be written
	most  = math.MaxInt64
)

func TestBadEvents(t *testing.T) {
	good := camtiming.Events{IVO: crank(28), IVC: crank(43), EVO: crank(48), EVC: crank(23)}
	ev := func(f func(*camtiming.Events)) func() (any, error) {
		e := good
		f(&e)
		return one(e.Timing)
	}
	tm := camtiming.Timing{IntakeDuration: crank(270), ExhaustDuration: crank(280), IntakeCenterline: crank(106), ExhaustCenterline: crank(114)}
	both := func(name string, f func(*camtiming.Timing), field string) []bad {
		x := tm
		f(&x)
		return []bad{{name + "/events", one(x.Events), field, units.ErrRange}, {name + "/derive", one(x.Derive), field, units.ErrRange}}
	}
	table := []bad{
		{"ivo a turn", ev(func(e *camtiming.Events) { e.IVO = units.CrankTurn }), "IVO", units.ErrRange},
		{"ivc overflow", ev(func(e *camtiming.Events) { e.IVC = most }), "IVC", units.ErrRange},
		{"evo least", ev(func(e *camtiming.Events) { e.EVO = least }), "EVO", units.ErrRange},
		{"evc minus a turn", ev(func(e *camtiming.Events) { e.EVC = -units.CrankTurn }), "EVC", units.ErrRange},
		{"intake duration zero", ev(func(e *camtiming.Events) { e.IVO, e.IVC = crank(-100), crank(-80) }), "IVO+180+IVC", units.ErrRange},
		{"exhaust duration negative", ev(func(e *camtiming.Events) { e.EVO, e.EVC = crank(-150), crank(-80) }), "EVO+180+EVC", units.ErrRange},
		{"intake duration a cycle", ev(func(e *camtiming.Events) { e.IVO, e.IVC = crank(300), crank(240) }), "IVO+180+IVC", units.ErrRange},
		{"intake centerline over a turn", ev(func(e *camtiming.Events) { e.IVO, e.IVC = crank(-359), crank(359) }), "IntakeCenterline", units.ErrRange},
		{"events of a centerline far off", one(camtiming.Timing{
			IntakeDuration: crank(700), ExhaustDuration: crank(280), IntakeCenterline: crank(-300), ExhaustCenterline: crank(110),
		}.Events), "IVO", units.ErrRange},
	}
	table = append(table, both("no intake duration", func(x *camtiming.Timing) { x.IntakeDuration = 0 }, "IntakeDuration")...)
	table = append(table, both("exhaust duration overflow", func(x *camtiming.Timing) { x.ExhaustDuration = most }, "ExhaustDuration")...)
	table = append(table, both("intake centerline overflow", func(x *camtiming.Timing) { x.IntakeCenterline = most }, "IntakeCenterline")...)
	table = append(table, both("exhaust centerline least", func(x *camtiming.Timing) { x.ExhaustCenterline = least }, "ExhaustCenterline")...)
	table = append(table, both("moved past the range", func(x *camtiming.Timing) { *x = x.At(most) }, "IntakeCenterline")...)
	table = append(table, both("moved to the least", func(x *camtiming.Timing) { *x = x.At(least) }, "IntakeCenterline")...)
	refuse(t, table)
}

func TestBadParseEvent(t *testing.T) {
	p := func(k camtiming.EventKind, s string) func() (any, error) {
		return func() (any, error) { return camtiming.ParseEvent(k, s) }
	}
	refuse(t, []bad{
		{"no kind", p(0, "28 deg BTDC"), "kind", units.ErrRange},
		{"unknown kind", p(9, "28 deg BTDC"), "kind", units.ErrRange},
		{"empty", p(camtiming.IntakeOpens, ""), "IVO", units.ErrMissing},
		{"no dead center", p(camtiming.IntakeCloses, "43 deg"), "IVC", units.ErrMissing},
		{"lower case dead center", p(camtiming.IntakeCloses, "43 deg abdc"), "IVC", units.ErrMissing},
		{"dead center alone", p(camtiming.IntakeCloses, "ABDC"), "IVC", units.ErrSyntax},
		{"no unit", p(camtiming.ExhaustOpens, "48 BBDC"), "EVO", units.ErrUnit},
		{"cam degrees", p(camtiming.ExhaustOpens, "24 deg cam BBDC"), "EVO", units.ErrUnit},
		{"negative", p(camtiming.ExhaustCloses, "-5 deg ATDC"), "EVC", units.ErrRange},
		{"over half a turn", p(camtiming.ExhaustCloses, "180.000000001 deg ATDC"), "EVC", units.ErrRange},
		{"overflow", p(camtiming.ExhaustCloses, "99999999999 deg ATDC"), "EVC", units.ErrRange},
		{"too fine", p(camtiming.ExhaustCloses, "5.0000000001 deg ATDC"), "EVC", units.ErrInexact},
		{"two dead centers", p(camtiming.ExhaustCloses, "5 deg ATDC BTDC"), "EVC", units.ErrSyntax},
		{"nan", p(camtiming.IntakeOpens, "NaN deg BTDC"), "IVO", units.ErrSyntax},
		{"long", p(camtiming.IntakeOpens, strings.Repeat(" ", 60)+"5 deg BTDC"), "IVO", units.ErrSyntax},
	})
}

func TestBadLobes(t *testing.T) {
	law := camtiming.LawLobeSpec{Law: camtiming.Poly345, MaxLift: 300 * units.Thou, Opening: cam(65), Closing: cam(65)}
	l := func(f func(*camtiming.LawLobeSpec)) func() (any, error) {
		s := law
		f(&s)
		return func() (any, error) { return camtiming.NewLawLobe(s) }
	}
	card := camtiming.CardLobeSpec{MaxLift: 300 * units.Thou, Durations: []camtiming.DurationAt{{6 * units.Thou, crank(270)}, {50 * units.Thou, crank(224)}}}
	c := func(f func(*camtiming.CardLobeSpec)) func() (any, error) {
		s := card
		s.Durations = append([]camtiming.DurationAt(nil), card.Durations...)
		f(&s)
		return func() (any, error) { return camtiming.NewCardLobe(s) }
	}
	tab := func(f func(*camtiming.TableLobeSpec)) func() (any, error) {
		s := camtiming.TableLobeSpec{}
		for d := -70.0; d <= 70; d += 10 {
			s.Samples = append(s.Samples, camtiming.LiftSample{Angle: cam(d), Lift: inch(0.3 * rise(camtiming.Harmonic, 1-math.Abs(d)/70))})
		}
		f(&s)
		return func() (any, error) { return camtiming.NewTableLobe(s) }
	}
	open := func(k camtiming.LiftCurve, at units.Length) func() (any, error) {
		return func() (any, error) { return camtiming.OpeningAt(k, at) }
	}
	good := must[*camtiming.LawLobe](t)(camtiming.NewLawLobe(law))
	refuse(t, []bad{
		{"law zero", l(func(s *camtiming.LawLobeSpec) { s.Law = 0 }), "Law", units.ErrRange},
		{"law unknown", l(func(s *camtiming.LawLobeSpec) { s.Law = 99 }), "Law", units.ErrRange},
		{"law lift zero", l(func(s *camtiming.LawLobeSpec) { s.MaxLift = 0 }), "MaxLift", units.ErrRange},
		{"law lift negative", l(func(s *camtiming.LawLobeSpec) { s.MaxLift = -1 }), "MaxLift", units.ErrRange},
		{"law lift overflow", l(func(s *camtiming.LawLobeSpec) { s.MaxLift = most }), "MaxLift", units.ErrRange},
		{"law opening missing", l(func(s *camtiming.LawLobeSpec) { s.Opening = 0 }), "Opening", units.ErrRange},
		{"law opening least", l(func(s *camtiming.LawLobeSpec) { s.Opening = least }), "Opening", units.ErrRange},
		{"law closing half a turn", l(func(s *camtiming.LawLobeSpec) { s.Closing = units.CamTurn / 2 }), "Closing", units.ErrRange},

		{"card lift zero", c(func(s *camtiming.CardLobeSpec) { s.MaxLift = 0 }), "MaxLift", units.ErrRange},
		{"card lift under the checking lift", c(func(s *camtiming.CardLobeSpec) { s.MaxLift = 50 * units.Thou }), "Durations.Lift", units.ErrRange},
		{"card without durations", c(func(s *camtiming.CardLobeSpec) { s.Durations = nil }), "Durations", units.ErrMissing},
		{"card lift of zero", c(func(s *camtiming.CardLobeSpec) { s.Durations[0].Lift = 0 }), "Durations.Lift", units.ErrRange},
		{"card lift least", c(func(s *camtiming.CardLobeSpec) { s.Durations[0].Lift = least }), "Durations.Lift", units.ErrRange},
		{"card duration zero", c(func(s *camtiming.CardLobeSpec) { s.Durations[1].Duration = 0 }), "Durations.Duration", units.ErrRange},
		{"card duration a cycle", c(func(s *camtiming.CardLobeSpec) { s.Durations[0].Duration = units.CrankCycle }), "Durations.Duration", units.ErrRange},
		{"card swapped durations", c(func(s *camtiming.CardLobeSpec) {
			s.Durations[0].Duration, s.Durations[1].Duration = s.Durations[1].Duration, s.Durations[0].Duration
		}), "Durations", units.ErrConflict},
		{"card one lift twice", c(func(s *camtiming.CardLobeSpec) { s.Durations[0].Lift = 50 * units.Thou }), "Durations.Lift", units.ErrConflict},
		{"card flank over half a turn", c(func(s *camtiming.CardLobeSpec) {
			s.Durations = []camtiming.DurationAt{{6 * units.Thou, crank(719)}}
		}), "Durations", units.ErrImpossible},
		{"card asymmetry negative", c(func(s *camtiming.CardLobeSpec) { s.Asymmetry = -1 }), "Asymmetry", units.ErrRange},
		{"card asymmetry overflow", c(func(s *camtiming.CardLobeSpec) { s.Asymmetry = most }), "Asymmetry", units.ErrRange},

		{"table of three", tab(func(s *camtiming.TableLobeSpec) { s.Samples = s.Samples[:3] }), "Samples", units.ErrMissing},
		{"table of too many", tab(func(s *camtiming.TableLobeSpec) { s.Samples = make([]camtiming.LiftSample, 1<<16+1) }), "Samples", units.ErrRange},
		{"table angles swapped", tab(func(s *camtiming.TableLobeSpec) { s.Samples[3], s.Samples[4] = s.Samples[4], s.Samples[3] }), "Samples.Angle", units.ErrConflict},
		{"table angle twice", tab(func(s *camtiming.TableLobeSpec) { s.Samples[3].Angle = s.Samples[2].Angle }), "Samples.Angle", units.ErrConflict},
		{"table angle overflow", tab(func(s *camtiming.TableLobeSpec) { s.Samples[14].Angle = most }), "Samples.Angle", units.ErrRange},
		{"table angle least", tab(func(s *camtiming.TableLobeSpec) { s.Samples[0].Angle = least }), "Samples.Angle", units.ErrRange},
		{"table over one turn", tab(func(s *camtiming.TableLobeSpec) { s.Samples[14].Angle = cam(291) }), "Samples.Angle", units.ErrRange},
		{"table lift negative", tab(func(s *camtiming.TableLobeSpec) { s.Samples[1].Lift = -1 }), "Samples.Lift", units.ErrRange},
		{"table lift overflow", tab(func(s *camtiming.TableLobeSpec) { s.Samples[1].Lift = most }), "Samples.Lift", units.ErrRange},
		{"table never lifts", tab(func(s *camtiming.TableLobeSpec) {
			for i := range s.Samples {
				s.Samples[i].Lift = 0
			}
		}), "Samples.Lift", units.ErrRange},
		{"table cut short", tab(func(s *camtiming.TableLobeSpec) { s.Samples = s.Samples[:11] }), "Samples", units.ErrMissing},
		{"table join unknown", tab(func(s *camtiming.TableLobeSpec) { s.Interpolation = 9 }), "Interpolation", units.ErrRange},
		{"table origin unknown", tab(func(s *camtiming.TableLobeSpec) { s.Origin = 9 }), "Origin", units.ErrRange},
		{"table origin off the lobe", tab(func(s *camtiming.TableLobeSpec) {
			s.Origin = camtiming.AsMeasured
			for i := range s.Samples {
				s.Samples[i].Angle += cam(100)
			}
		}), "Origin", units.ErrConflict},

		{"opening of nothing", open(nil, 1), "LiftCurve", units.ErrMissing},
		{"opening of a nil lobe", open((*camtiming.CardLobe)(nil), 1), "LiftCurve", units.ErrMissing},
		{"opening of an empty law lobe", open(&camtiming.LawLobe{}, 1), "LiftCurve.MaxLift", units.ErrRange},
		{"opening of an empty table lobe", open(&camtiming.TableLobe{}, 1), "LiftCurve.MaxLift", units.ErrRange},
		{"opening of an empty card lobe", open(&camtiming.CardLobe{}, 1), "LiftCurve.MaxLift", units.ErrRange},
		{"opening at zero", open(good, 0), "lift", units.ErrRange},
		{"opening at the nose", open(good, 300*units.Thou), "lift", units.ErrRange},
		{"opening least", open(good, least), "lift", units.ErrRange},
		{"opening under a table's ends", open(must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: []camtiming.LiftSample{
			{cam(-60), 1 * units.Thou}, {cam(-20), 100 * units.Thou}, {cam(0), 200 * units.Thou}, {cam(20), 100 * units.Thou}, {cam(60), 1 * units.Thou},
		}})), 500*units.Microinch), "lift", units.ErrRange},
		{"opening of a foreign curve with no slope", open(foreign{good, math.NaN()}, 50*units.Thou), "LiftCurve.Velocity", units.ErrRange},
		{"opening of a foreign curve with a steep slope", open(foreign{good, math.Inf(1)}, 50*units.Thou), "LiftCurve.Velocity", units.ErrRange},
	})
}

// foreign is a curve from outside the package whose slope is spoiled.
type foreign struct {
	*camtiming.LawLobe
	v float64
}

func (f foreign) Velocity(units.CamAngle) units.LiftVelocity { return units.LiftVelocity(f.v) }

// spanned is a foreign curve with a span of its own.
type spanned struct {
	plain
	span camtiming.Span
}

func (s spanned) Span() camtiming.Span { return s.span }

// plain hides everything of a lobe but the interface.
type plain struct{ l camtiming.LiftCurve }

func (p plain) Lift(a units.CamAngle) units.Length           { return p.l.Lift(a) }
func (p plain) Velocity(a units.CamAngle) units.LiftVelocity { return p.l.Velocity(a) }
func (p plain) MaxLift() units.Length                        { return p.l.MaxLift() }
func (p plain) Span() camtiming.Span                         { return p.l.Span() }

func TestBadCam(t *testing.T) {
	l := equalPair.intake.lobe(t)
	good := camtiming.CamSpec{Intake: l, Exhaust: l, Separation: cam(110)}
	c := func(f func(*camtiming.CamSpec)) func() (any, error) {
		s := good
		f(&s)
		return func() (any, error) { return camtiming.NewCam(s) }
	}
	k := must[*camtiming.Cam](t)(camtiming.NewCam(good))
	refuse(t, []bad{
		{"no intake", c(func(s *camtiming.CamSpec) { s.Intake = nil }), "Intake", units.ErrMissing},
		{"nil intake", c(func(s *camtiming.CamSpec) { s.Intake = (*camtiming.LawLobe)(nil) }), "Intake", units.ErrMissing},
		{"nil exhaust table", c(func(s *camtiming.CamSpec) { s.Exhaust = (*camtiming.TableLobe)(nil) }), "Exhaust", units.ErrMissing},
		{"no exhaust", c(func(s *camtiming.CamSpec) { s.Exhaust = nil }), "Exhaust", units.ErrMissing},
		{"empty lobe", c(func(s *camtiming.CamSpec) { s.Exhaust = &camtiming.CardLobe{} }), "Exhaust.MaxLift", units.ErrRange},
		{"slope nan", c(func(s *camtiming.CamSpec) { s.Intake = foreign{l, math.NaN()} }), "Intake.Velocity", units.ErrRange},
		{"span turned round", c(func(s *camtiming.CamSpec) { s.Intake = spanned{plain{l}, camtiming.Span{cam(65), cam(-65)}} }), "Intake.Span", units.ErrRange},
		{"span overflow", c(func(s *camtiming.CamSpec) { s.Exhaust = spanned{plain{l}, camtiming.Span{least, most}} }), "Exhaust.Span", units.ErrRange},
		{"separation zero", c(func(s *camtiming.CamSpec) { s.Separation = 0 }), "Separation", units.ErrRange},
		{"separation half a turn", c(func(s *camtiming.CamSpec) { s.Separation = units.CamTurn / 2 }), "Separation", units.ErrRange},
		{"separation least", c(func(s *camtiming.CamSpec) { s.Separation = least }), "Separation", units.ErrRange},
		{"ground advance of the separation", c(func(s *camtiming.CamSpec) { s.GroundAdvance = crank(110) }), "GroundAdvance", units.ErrRange},
		{"ground advance least", c(func(s *camtiming.CamSpec) { s.GroundAdvance = least }), "GroundAdvance", units.ErrRange},

		{"advance over the reach", func() (any, error) { return k.Advance(351 * units.Thou) }, "difference", units.ErrImpossible},
		{"advance under the reach", func() (any, error) { return k.Advance(-351 * units.Thou) }, "difference", units.ErrImpossible},
		{"advance overflow", func() (any, error) { return k.Advance(most) }, "difference", units.ErrImpossible},
		{"advance least", func() (any, error) { return k.Advance(least) }, "difference", units.ErrImpossible},
		{"timing at no lift", func() (any, error) { return k.TimingAt(0, 0) }, "Intake.lift", units.ErrRange},
		{"timing over a turn of advance", func() (any, error) { return k.TimingAt(50*units.Thou, crank(361)) }, "advance", units.ErrRange},
		{"timing least advance", func() (any, error) { return k.TimingAt(50*units.Thou, least) }, "advance", units.ErrRange},
		{"timing centerline over a turn", func() (any, error) { return k.TimingAt(50*units.Thou, crank(-300)) }, "IntakeCenterline", units.ErrRange},
	})
}

func TestBadCard(t *testing.T) {
	r := func(f func(*camtiming.Card)) func() (any, error) {
		c := workboatCard()
		f(&c)
		return one(c.Resolve)
	}
	bare := func(f func(*camtiming.Card)) func() (any, error) {
		return r(func(c *camtiming.Card) {
			c.Separation, c.GroundAdvance = units.Optional[units.CamAngle]{}, units.Optional[units.CrankAngle]{}
			c.IntakeCenterline, c.ExhaustCenterline = units.Optional[units.CrankAngle]{}, units.Optional[units.CrankAngle]{}
			f(c)
		})
	}
	at := 50 * units.Thou
	refuse(t, []bad{
		{"rounding negative", r(func(c *camtiming.Card) { c.Rounding = -1 }), "Rounding", units.ErrRange},
		{"rounding overflow", r(func(c *camtiming.Card) { c.Rounding = most }), "Rounding", units.ErrRange},
		{"separation zero", r(func(c *camtiming.Card) { c.Separation = units.Some(units.CamAngle(0)) }), "Separation", units.ErrRange},
		{"separation overflow", r(func(c *camtiming.Card) { c.Separation = units.Some(units.CamAngle(most)) }), "Separation", units.ErrRange},
		{"advance least", r(func(c *camtiming.Card) { c.GroundAdvance = units.Some(units.CrankAngle(least)) }), "GroundAdvance", units.ErrRange},
		{"intake centerline a turn", r(func(c *camtiming.Card) { c.IntakeCenterline = units.Some(units.CrankTurn) }), "IntakeCenterline", units.ErrRange},
		{"exhaust centerline overflow", r(func(c *camtiming.Card) { c.ExhaustCenterline = units.Some(units.CrankAngle(most)) }), "ExhaustCenterline", units.ErrRange},
		{"duration lift zero", r(func(c *camtiming.Card) { c.Intake.Durations[0].Lift = 0 }), "Intake.Durations.Lift", units.ErrRange},
		{"duration zero", r(func(c *camtiming.Card) { c.Exhaust.Durations[0].Duration = 0 }), "Exhaust.Durations.Duration", units.ErrRange},
		{"ratio nan", r(func(c *camtiming.Card) { c.Intake.RockerRatio = units.Some(math.NaN()) }), "Intake.RockerRatio", units.ErrRange},
		{"ratio infinite", r(func(c *camtiming.Card) { c.Exhaust.RockerRatio = units.Some(math.Inf(1)) }), "Exhaust.RockerRatio", units.ErrRange},
		{"ratio zero", r(func(c *camtiming.Card) { c.Exhaust.RockerRatio = units.Some(0.0) }), "Exhaust.RockerRatio", units.ErrRange},
		{"ratio negative", r(func(c *camtiming.Card) { c.Exhaust.RockerRatio = units.Some(-1.5) }), "Exhaust.RockerRatio", units.ErrRange},
		{"ratio next to nothing", r(func(c *camtiming.Card) {
			c.Intake.LobeLift = units.Optional[units.Length]{}
			c.Intake.ValveLift, c.Intake.RockerRatio = units.Some(450*units.Thou), units.Some(5e-324)
		}), "Intake.RockerRatio", units.ErrRange},
		{"lobe lift of a kilometer", r(func(c *camtiming.Card) {
			c.Intake.LobeLift = units.Optional[units.Length]{}
			c.Intake.ValveLift, c.Intake.RockerRatio = units.Some(450*units.Thou), units.Some(1e-5)
		}), "Intake.LobeLift", units.ErrRange},
		{"lobe lift negative", r(func(c *camtiming.Card) { c.Intake.LobeLift = units.Some(units.Length(-1)) }), "Intake.LobeLift", units.ErrRange},
		{"valve lift zero", r(func(c *camtiming.Card) { c.Exhaust.ValveLift = units.Some(units.Length(0)) }), "Exhaust.ValveLift", units.ErrRange},
		{"lash negative", r(func(c *camtiming.Card) { c.Exhaust.Lash = units.Some(units.Length(-1)) }), "Exhaust.Lash", units.ErrRange},
		{"lash overflow", r(func(c *camtiming.Card) { c.Intake.Lash = units.Some(units.Length(most)) }), "Intake.Lash", units.ErrRange},
		{"events at no lift", r(func(c *camtiming.Card) { c.Events = []camtiming.EventsAt{{}} }), "Events.Lift", units.ErrRange},
		{"events overflow", r(func(c *camtiming.Card) {
			c.Events = []camtiming.EventsAt{{at, camtiming.Events{IVO: most}}}
		}), "Events.IVO", units.ErrRange},
		{"events duration", r(func(c *camtiming.Card) {
			c.Events = []camtiming.EventsAt{{at, camtiming.Events{EVO: crank(-100), EVC: crank(-90)}}}
		}), "Events.EVO+180+EVC", units.ErrRange},
		{"overlap at no lift", r(func(c *camtiming.Card) { c.Overlap = []camtiming.OverlapAt{{0, crank(50)}} }), "Overlap.Lift", units.ErrRange},
		{"overlap least", r(func(c *camtiming.Card) { c.Overlap = []camtiming.OverlapAt{{at, least}} }), "Overlap", units.ErrRange},

		{"nothing of the centerlines", bare(func(*camtiming.Card) {}), "IntakeCenterline, ExhaustCenterline", units.ErrMissing},
		{"one centerline", bare(func(c *camtiming.Card) { c.IntakeCenterline = units.Some(crank(106)) }), "IntakeCenterline, ExhaustCenterline", units.ErrMissing},
		{"no lobe lift", r(func(c *camtiming.Card) { c.Intake.LobeLift = units.Optional[units.Length]{} }), "Intake.LobeLift", units.ErrMissing},
		{"no lobe lift without ratio", r(func(c *camtiming.Card) {
			c.Exhaust.LobeLift = units.Optional[units.Length]{}
			c.Exhaust.ValveLift = units.Some(450 * units.Thou)
		}), "Exhaust.LobeLift", units.ErrMissing},
		{"no durations", r(func(c *camtiming.Card) { c.Exhaust.Durations = nil }), "Exhaust.Durations", units.ErrMissing},
		{"separation of nothing", bare(func(c *camtiming.Card) {
			c.IntakeCenterline, c.ExhaustCenterline = units.Some(crank(10)), units.Some(crank(-10))
		}), "Separation", units.ErrRange},
		{"advance over the separation", bare(func(c *camtiming.Card) {
			c.Separation, c.GroundAdvance = units.Some(cam(20)), units.Some(crank(21))
		}), "GroundAdvance", units.ErrRange},

		{"timing at another lift", func() (any, error) {
			return must[camtiming.Resolved](t)(workboatCard().Resolve()).Timing(51 * units.Thou)
		}, "Intake.Durations", units.ErrMissing},
		{"asymmetry", func() (any, error) {
			c := workboatCard()
			c.Exhaust.Asymmetry = cam(21)
			return c.Resolve()
		}, "Exhaust.Asymmetry", units.ErrRange},
		{"growing durations", func() (any, error) {
			c := workboatCard()
			c.Intake.Durations[1].Duration = crank(275)
			return c.Resolve()
		}, "Intake.Durations", units.ErrConflict},
		{"cam of nothing", one(camtiming.Resolved{}.Cam), "Intake.MaxLift", units.ErrRange},
	})
}

func TestBadSplit(t *testing.T) {
	k := equalPair.cam(t)
	good := camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(11*units.Thou, units.Thou/2), Proof: rocked}
	s := func(f func(*camtiming.SplitReading)) func() (any, error) {
		r := good
		f(&r)
		return func() (any, error) { return k.Split(r) }
	}
	refuse(t, []bad{
		{"no proof", s(func(r *camtiming.SplitReading) { r.Proof = camtiming.Proof{} }), "Proof", units.ErrMissing},
		{"level at firing TDC", s(func(r *camtiming.SplitReading) {
			r.Difference.Value, r.Proof = 0, camtiming.Proof{}
			r.Zero = units.Some(units.WithU(units.Length(0), units.Thou/2))
		}), "Proof", units.ErrMissing},
		{"changed from one dead center to the other", s(func(r *camtiming.SplitReading) {
			r.Proof = camtiming.Proof{}
			r.Zero = units.Some(units.WithU(units.Length(0), units.Thou/2))
		}), "Proof", units.ErrMissing},
		{"proof unknown", s(func(r *camtiming.SplitReading) { r.Proof.Kind = 9 }), "Proof.Kind", units.ErrRange},
		{"rise missing", s(func(r *camtiming.SplitReading) { r.Proof.Kind = camtiming.RiseMeasured }), "Proof.Rise", units.ErrRange},
		{"rise overflow", s(func(r *camtiming.SplitReading) { r.Proof = camtiming.Proof{camtiming.RiseMeasured, most} }), "Proof.Rise", units.ErrRange},
		{"difference least", s(func(r *camtiming.SplitReading) { r.Difference.Value = least }), "Difference", units.ErrRange},
		{"difference over the reach", s(func(r *camtiming.SplitReading) { r.Difference.Value = 400 * units.Thou }), "difference", units.ErrImpossible},
		{"u negative", s(func(r *camtiming.SplitReading) { r.Difference.U = -1 }), "Difference.U", units.ErrRange},
		{"u overflow", s(func(r *camtiming.SplitReading) { r.Difference.U = most }), "Difference.U", units.ErrRange},
		{"zero overflow", s(func(r *camtiming.SplitReading) { r.Zero = units.Some(units.Unstated(units.Length(most))) }), "Zero", units.ErrRange},
		{"zero u negative", s(func(r *camtiming.SplitReading) { r.Zero = units.Some(units.WithU(units.Length(0), -1)) }), "Zero.U", units.ErrRange},
		{"u not marked as stated", s(func(r *camtiming.SplitReading) { r.Difference.Stated = false }), "Difference.U", units.ErrConflict},
		{"mismatch negative", s(func(r *camtiming.SplitReading) { r.Mismatch = -1 }), "Mismatch", units.ErrRange},
		{"tdc negative", s(func(r *camtiming.SplitReading) { r.TDC = -1 }), "TDC", units.ErrRange},
		{"tdc overflow", s(func(r *camtiming.SplitReading) { r.TDC = most }), "TDC", units.ErrRange},
		{"approach unknown", s(func(r *camtiming.SplitReading) { r.Approach = 9 }), "Approach", units.ErrRange},
	})
}

func TestBadPair(t *testing.T) {
	k, d := equalPair.cam(t), deadPair.cam(t)
	read := func(k *camtiming.Cam, at units.Length) camtiming.SplitResult {
		return must[camtiming.SplitResult](t)(k.Split(camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(at, units.Thou/2), Proof: rocked}))
	}
	tol := units.Between(crank(-1), crank(1), units.Source{Text: "the builder", Provenance: units.Stated})
	good := camtiming.PairInput{First: read(k, 11*units.Thou), Companion: read(k, 12*units.Thou), Tolerance: tol}
	p := func(f func(*camtiming.PairInput)) func() (any, error) {
		in := good
		f(&in)
		return func() (any, error) { return camtiming.ComparePair(in) }
	}
	refuse(t, []bad{
		{"no first", p(func(in *camtiming.PairInput) { in.First = camtiming.SplitResult{} }), "First", units.ErrMissing},
		{"no companion", p(func(in *camtiming.PairInput) { in.Companion = camtiming.SplitResult{} }), "Companion", units.ErrMissing},
		{"undetermined", p(func(in *camtiming.PairInput) { in.Companion = read(d, 0) }), "Companion", units.ErrMissing},
		{"no tolerance", p(func(in *camtiming.PairInput) { in.Tolerance = units.Limits[units.CrankAngle]{} }), "Tolerance", units.ErrMissing},
		{"one-sided tolerance", p(func(in *camtiming.PairInput) { in.Tolerance = units.AtMost(crank(1), tol.Source) }), "Tolerance", units.ErrMissing},
	})
}

func TestBadSurvey(t *testing.T) {
	s := func(f func(*camtiming.SurveyInput)) func() (any, error) {
		in := camtiming.SurveyInput{}
		for i, c := range []string{"1", "2", "3", "4"} {
			in.Stations = append(in.Stations, camtiming.Station{Cylinder: c, Position: units.Length(i) * 100 * units.Millimeter, Advance: units.WithU(crank(4), crank(0.3))})
		}
		f(&in)
		return func() (any, error) { return camtiming.Survey(in) }
	}
	refuse(t, []bad{
		{"none", s(func(in *camtiming.SurveyInput) { in.Stations = nil }), "Stations", units.ErrMissing},
		{"one", s(func(in *camtiming.SurveyInput) { in.Stations = in.Stations[:1] }), "Stations", units.ErrMissing},
		{"tdc negative", s(func(in *camtiming.SurveyInput) { in.Common = -1 }), "Common", units.ErrRange},
		{"tdc overflow", s(func(in *camtiming.SurveyInput) { in.Common = most }), "Common", units.ErrRange},
		{"no name", s(func(in *camtiming.SurveyInput) { in.Stations[2].Cylinder = "" }), "Stations[2].Cylinder", units.ErrMissing},
		{"a name twice", s(func(in *camtiming.SurveyInput) { in.Stations[2].Cylinder = "1" }), "Stations[2].Cylinder", units.ErrConflict},
		{"position overflow", s(func(in *camtiming.SurveyInput) { in.Stations[1].Position = most }), "Stations[1].Position", units.ErrRange},
		{"position least", s(func(in *camtiming.SurveyInput) { in.Stations[1].Position = least }), "Stations[1].Position", units.ErrRange},
		{"u not stated", s(func(in *camtiming.SurveyInput) { in.Stations[3].Advance = units.Unstated(crank(4)) }), "Stations[3].Advance.U", units.ErrMissing},
		{"u zero", s(func(in *camtiming.SurveyInput) { in.Stations[3].Advance.U = 0 }), "Stations[3].Advance.U", units.ErrMissing},
		{"u negative", s(func(in *camtiming.SurveyInput) { in.Stations[3].Advance.U = -1 }), "Stations[3].Advance.U", units.ErrMissing},
		{"advance overflow", s(func(in *camtiming.SurveyInput) { in.Stations[3].Advance.Value = most }), "Stations[3].Advance", units.ErrRange},
		{"advance least", s(func(in *camtiming.SurveyInput) { in.Stations[3].Advance.Value = least }), "Stations[3].Advance", units.ErrRange},
		{"one position", s(func(in *camtiming.SurveyInput) {
			for i := range in.Stations {
				in.Stations[i].Position = units.Inch
			}
		}), "Stations.Position", units.ErrConflict},
	})
}

func TestBadDiagnosis(t *testing.T) {
	k := equalPair.cam(t)
	d := func(f func(*camtiming.DiagnosisInput)) func() (any, error) {
		in := camtiming.DiagnosisInput{Cam: k, Observations: []camtiming.Observation{{Cylinder: "1", Reading: camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(11*units.Thou, units.Thou/2)}}}}
		f(&in)
		return func() (any, error) { return camtiming.Diagnose(in) }
	}
	obs := func(f func(*camtiming.SplitReading)) func() (any, error) {
		return d(func(in *camtiming.DiagnosisInput) { f(&in.Observations[0].Reading) })
	}
	sus := func(f func(*camtiming.Suspects)) func() (any, error) {
		return d(func(in *camtiming.DiagnosisInput) { f(&in.Suspects) })
	}
	refuse(t, []bad{
		{"no cam", d(func(in *camtiming.DiagnosisInput) { in.Cam = nil }), "Cam", units.ErrMissing},
		{"no observations", d(func(in *camtiming.DiagnosisInput) { in.Observations = nil }), "Observations", units.ErrMissing},
		{"u not stated", obs(func(r *camtiming.SplitReading) { r.Difference = units.Unstated(r.Difference.Value) }), "Observations[0].Difference.U", units.ErrMissing},
		{"u zero", obs(func(r *camtiming.SplitReading) { r.Difference.U = 0 }), "Observations[0].Difference.U", units.ErrMissing},
		{"u of a picometer", obs(func(r *camtiming.SplitReading) { r.Difference.U = 1 }), "Observations[0].Difference.U", units.ErrRange},
		{"u negative", obs(func(r *camtiming.SplitReading) { r.Difference.U = -1 }), "Observations[0].Difference.U", units.ErrRange},
		{"difference least", obs(func(r *camtiming.SplitReading) { r.Difference.Value = least }), "Observations[0].Difference", units.ErrRange},
		{"proof unknown", obs(func(r *camtiming.SplitReading) { r.Proof.Kind = 9 }), "Observations[0].Proof.Kind", units.ErrRange},
		{"teeth negative", sus(func(s *camtiming.Suspects) { s.Teeth = -1 }), "Suspects.Teeth", units.ErrRange},
		{"teeth too many", sus(func(s *camtiming.Suspects) { s.Teeth = 1001 }), "Suspects.Teeth", units.ErrRange},
		{"most teeth negative", sus(func(s *camtiming.Suspects) { s.MostTeeth = -1 }), "Suspects.MostTeeth", units.ErrRange},
		{"tdc error overflow", sus(func(s *camtiming.Suspects) { s.TDCError = most }), "Suspects.TDCError", units.ErrRange},
		{"slack negative", sus(func(s *camtiming.Suspects) { s.Slack = -1 }), "Suspects.Slack", units.ErrRange},
		{"lifter heights negative", sus(func(s *camtiming.Suspects) { s.LifterHeights = -1 }), "Suspects.LifterHeights", units.ErrRange},
		{"cylinder spread overflow", sus(func(s *camtiming.Suspects) { s.CylinderSpread = most }), "Suspects.CylinderSpread", units.ErrRange},
		{"keyway least", sus(func(s *camtiming.Suspects) { s.Keyways = []units.CrankAngle{0, least} }), "Suspects.Keyways[1]", units.ErrRange},
		{"bushing zero", sus(func(s *camtiming.Suspects) { s.Bushings = []units.CrankAngle{0} }), "Suspects.Bushings[0]", units.ErrRange},
		{"other cam missing", sus(func(s *camtiming.Suspects) { s.OtherCams = []camtiming.NamedCam{{Name: "spare"}} }), "Suspects.OtherCams[0]", units.ErrMissing},
	})
}

func TestBadCorrection(t *testing.T) {
	c := func(f func(*camtiming.CorrectionInput)) func() (any, error) {
		in := camtiming.CorrectionInput{Measured: units.WithU(crank(8), crank(0.5)), Wanted: crank(4)}
		f(&in)
		return func() (any, error) { return camtiming.Correct(in) }
	}
	refuse(t, []bad{
		{"measured overflow", c(func(in *camtiming.CorrectionInput) { in.Measured.Value = most }), "Measured", units.ErrRange},
		{"measured least", c(func(in *camtiming.CorrectionInput) { in.Measured.Value = least }), "Measured", units.ErrRange},
		{"u negative", c(func(in *camtiming.CorrectionInput) { in.Measured.U = -1 }), "Measured.U", units.ErrRange},
		{"wanted least", c(func(in *camtiming.CorrectionInput) { in.Wanted = least }), "Wanted", units.ErrRange},
		{"teeth negative", c(func(in *camtiming.CorrectionInput) { in.Steps.Teeth = -36 }), "Steps.Teeth", units.ErrRange},
		{"most teeth too many", c(func(in *camtiming.CorrectionInput) { in.Steps.MostTeeth = 11 }), "Steps.MostTeeth", units.ErrRange},
		{"keyways too many", c(func(in *camtiming.CorrectionInput) { in.Steps.Keyways = make([]units.CrankAngle, 65) }), "Steps", units.ErrRange},
		{"keyway least", c(func(in *camtiming.CorrectionInput) { in.Steps.Keyways = []units.CrankAngle{least} }), "Steps.Keyways[0]", units.ErrRange},
		{"bushing negative", c(func(in *camtiming.CorrectionInput) { in.Steps.Bushings = []units.CrankAngle{crank(2), -1} }), "Steps.Bushings[1]", units.ErrRange},
		{"bushing overflow", c(func(in *camtiming.CorrectionInput) { in.Steps.Bushings = []units.CrankAngle{most} }), "Steps.Bushings[0]", units.ErrRange},
	})
}

// What has no error to give answers nothing rather than nonsense.
func TestBadWithoutError(t *testing.T) {
	for _, u := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 2} {
		for law := range camtiming.Law(8) {
			m := law.At(u)
			for _, x := range []float64{m.S, m.V, m.A, m.J} {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Errorf("%v at %g: %+v", law, u, m)
				}
			}
		}
	}
	if camtiming.Law(0).At(0.5) != (camtiming.Motion{}) || camtiming.Poly345.At(math.NaN()) != (camtiming.Motion{}) {
		t.Error("an unknown law or NaN gives a motion")
	}
	for _, n := range []int{0, -1, math.MinInt} {
		if camtiming.ToothAngle(n) != 0 {
			t.Errorf("a tooth of %d is %v", n, camtiming.ToothAngle(n))
		}
	}
	// A whole number of cycles changes nothing, at the ends of the range too.
	k := unequalPair.cam(t)
	for _, a := range []units.CrankAngle{most, least + 1, most - units.CrankTurn} {
		if got, want := k.AtCrank(a, a), k.AtCrank(a%units.CrankCycle, a%units.CrankCycle); got != want {
			t.Errorf("at %d: %+v, a whole number of cycles away %+v", a, got, want)
		}
		if got, want := k.At(a), k.At(a%units.CrankCycle); got != want {
			t.Errorf("advance %d: %+v, a whole number of cycles away %+v", a, got, want)
		}
	}
	l := unequalPair.intake.lobe(t)
	for _, a := range []units.CamAngle{most, least, 0} {
		if y := l.Lift(a); y < 0 || y > l.MaxLift() {
			t.Errorf("lift %v at %d", y, a)
		}
	}
}
