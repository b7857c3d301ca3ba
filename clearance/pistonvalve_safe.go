package clearance

import (
	"math"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// PistonValveSensitivity tells how the least gap answers to each figure.
type PistonValveSensitivity struct {
	Minimum PistonValveMinimum
	// PerAdvance is for one crank degree of advance, negative for an intake;
	// PerSeparation for one cam degree of lobe separation.
	PerAdvance, PerSeparation units.Length
	// PerLash and PerDeck are ratios: the gap gained for a lash more, and for
	// deck, gasket or pocket depth more, along the bore.
	PerLash, PerDeck float64
	// PerRatio is for one whole unit of rocker ratio, negative.
	PerRatio units.Length
	// PerLean is for one degree more of lean, D0 unchanged.
	PerLean units.Length
}

// PistonValveU are the standard uncertainties of what a least gap was computed
// from, beside that of D0; 0 for those that count for nothing.
type PistonValveU struct {
	Centerline units.CrankAngle
	Lash, Deck units.Length
	Ratio      float64 // of the rocker ratio
	Lean       valvetrain.PlaneAngle
}

// Sensitivity answers how the least gap answers to each figure, with the nose of
// the lobe at a centerline. At the minimum the gap does not change with the crank
// angle, so that each figure counts by its own derivative there alone:
//
//	advance     -k L'/2 per crank degree
//	separation  +k L'/2 (intake), -k L'/2 (exhaust) per cam degree
//	lash        +k              deck   cos g (PocketFloor), 1 (FlatCrown)
//	ratio       -k lobe lift
//	lean        -x sin g (PocketFloor), +L sin g (FlatCrown) per radian
//
// with L' the slope of the valve's lift per cam degree, k = 1 for a PocketFloor
// and cos g for a FlatCrown. Without a gear lash and ratio are those of what
// stands behind the curve: only PerLash is given, for a gap taken off its lift.
// Errors: a centerline a turn or more away; a minimum that stands at an end of
// the opening (ErrImpossible), where the piston is not approached at all.
//
// Source: envelope theorem; JCGM 100:2008, 5.1.3.
//
// Rows: ptv-d-advance, ptv-d-separation, ptv-d-lash, ptv-d-deck, ptv-d-ratio,
// ptv-d-lean.
func (p *PistonValve) Sensitivity(centerline units.CrankAngle) (PistonValveSensitivity, error) {
	m, err := p.Minimum(centerline)
	if err != nil {
		return PistonValveSensitivity{}, err
	}
	if m.Place != Inside {
		return PistonValveSensitivity{}, fail("centerline", centerline.String(), units.ErrImpossible, "the gap is least "+m.Place.String()+": the open valve does not approach the piston")
	}
	s := p.search
	fromNose := units.CamAngle((m.FromTDC - p.nose(centerline)).Wrap())
	half := s.lift * s.ratio * s.slope(int64(fromNose)) / 2
	r := PistonValveSensitivity{
		Minimum: m, PerAdvance: meters(-half), PerSeparation: meters(half), PerLash: s.lift, PerDeck: s.travel,
	}
	if p.spec.Valve == camtiming.ExhaustValve {
		r.PerSeparation = -r.PerSeparation
	}
	if p.hasGear {
		r.PerRatio = meters(-s.lift * s.height(int64(fromNose)))
	}
	sin := math.Sin(float64(p.spec.Lean)) * math.Pi / 180
	if p.spec.Face == PocketFloor {
		r.PerLean = meters(-m.Travel.Meters() * sin)
	} else {
		r.PerLean = meters(m.Valve.Meters() * sin)
	}
	return r, nil
}

// Gap answers how uncertain the least gap is from the uncertainties of its
// figures:
//
//	u^2 = u_D0^2 + sum of (derivative * u)^2
//
// with the derivatives of Sensitivity. The uncertainty of D0 stands in
// PistonValveSpec.AtTDC; where that states none, none is stated here. A
// Deck counts only what is not in D0 already. Errors: an uncertainty that is
// negative or not finite, a result of the zero value.
//
// Source: JCGM 100:2008, 5.1.2.
//
// Rows: ptv-u.
func (s PistonValveSensitivity) Gap(u PistonValveU) (units.Measured[units.Length], error) {
	if s.Minimum.of == nil {
		return units.Measured[units.Length]{}, fail("PistonValveSensitivity", "", units.ErrMissing, "want one from Sensitivity")
	}
	for _, c := range [...]struct {
		name, text string
		ok         bool
	}{
		{"Centerline", u.Centerline.String(), u.Centerline >= 0 && u.Centerline <= units.CrankTurn},
		{"Lash", u.Lash.String(), u.Lash >= 0 && u.Lash <= units.Meter},
		{"Deck", u.Deck.String(), u.Deck >= 0 && u.Deck <= units.Meter},
		{"Ratio", "", u.Ratio >= 0 && u.Ratio <= 5},
		{"Lean", u.Lean.String(), u.Lean >= 0 && u.Lean.Degrees() <= 80},
	} {
		if !c.ok {
			return units.Measured[units.Length]{}, fail(c.name, c.text, units.ErrRange, "want a standard uncertainty that is not negative and smaller than the figure")
		}
	}
	d0 := s.Minimum.of.spec.AtTDC
	x := float64(d0.U)
	for _, t := range [...]float64{
		float64(s.PerAdvance) * u.Centerline.Degrees(), s.PerLash * float64(u.Lash), s.PerDeck * float64(u.Deck),
		float64(s.PerRatio) * u.Ratio, float64(s.PerLean) * u.Lean.Degrees(),
	} {
		x = math.Hypot(x, t)
	}
	return result(s.Minimum.Gap, d0.Stated, x), nil
}

// Working returns the derivation; nil for the zero value.
func (s PistonValveSensitivity) Working() units.Working {
	p := s.Minimum.of
	if p == nil {
		return nil
	}
	src := units.Source{Text: "envelope theorem: at the least gap the crank angle does not count", Provenance: units.Computed}
	k, m, g := "1", s.Minimum, leanText(p.spec.Lean)
	if p.spec.Face == FlatCrown {
		k = "cos(" + g + ")"
	}
	w := append(m.Working(),
		units.Step{Symbol: "per advance", Formula: "-k L'/2 for one crank degree, L' per cam degree", Numbers: "k = " + k, Value: text(s.PerAdvance), Source: src},
		units.Step{Symbol: "per separation", Formula: "k L'/2 (intake), -k L'/2 (exhaust) for one cam degree", Numbers: "k = " + k, Value: text(s.PerSeparation), Source: src},
		units.Step{Symbol: "per lash", Formula: "k", Numbers: k, Value: plainNumber(s.PerLash), Source: src},
	)
	deck := units.Step{Symbol: "per deck", Formula: "cos g", Numbers: "cos(" + g + ")", Value: plainNumber(s.PerDeck), Source: src}
	lean := units.Step{Symbol: "per lean", Formula: "-x sin g pi/180 for one degree", Numbers: num(m.Travel) + " sin(" + g + ")", Value: text(s.PerLean), Source: src}
	if p.spec.Face == FlatCrown {
		deck.Formula, deck.Numbers = "1", ""
		lean.Formula, lean.Numbers = "L sin g pi/180 for one degree", num(m.Valve)+" sin("+g+")"
	}
	w = append(w, deck, lean)
	if p.hasGear {
		w = append(w, units.Step{Symbol: "per ratio", Formula: "-k lobe lift for a whole unit", Numbers: "k = " + k, Value: text(s.PerRatio), Source: src})
	}
	return w
}

// SafeCenterline is the earliest centerline that leaves a wanted gap.
type SafeCenterline struct {
	Centerline units.CrankAngle
	// Any is set where every centerline leaves it, even with the nose at top
	// dead center; Centerline is then 0.
	Any bool
}

// SafeCenterline answers how small the centerline of a lobe may be (intake after,
// exhaust before overlap top dead center) so that a wanted gap is left: the
// inverse of Minimum. From 0 on the gap grows with the centerline, because a
// lobe that stands farther from top dead center lifts less near it, until the
// valve is still open as the piston comes to the top on its other stroke. The
// first centerline up to 180 crank degrees is sought in steps of 5 and then
// inside that bracket, to the quantum, on the safe side. Where none leaves the
// gap the error is ErrImpossible. A measured table with noise may have the same gap at
// more than one centerline; one of them is returned.
//
// Rows: ptv-safe-int, ptv-safe-exh.
func (p *PistonValve) SafeCenterline(wanted units.Length) (SafeCenterline, error) {
	if _, err := p.ready(0); err != nil {
		return SafeCenterline{}, err
	}
	if wanted.Abs() > units.Meter {
		return SafeCenterline{}, fail("wanted", wanted.String(), units.ErrRange, "want at most 1 m")
	}
	want := wanted.Meters() - p.atTDC
	at := func(c int64) float64 {
		_, v := p.search.minimum(int64(p.nose(units.CrankAngle(c))), p.edges)
		return v - want
	}
	if at(0) >= 0 {
		return SafeCenterline{Any: true}, nil
	}
	const step = 5 * degree
	for c := step; c <= 180*degree; c += step {
		if at(c) >= 0 {
			return SafeCenterline{Centerline: units.CrankAngle(rising(c-step, c, at))}, nil
		}
	}
	return SafeCenterline{}, fail("wanted", wanted.String(), units.ErrImpossible, "no centerline up to 180 crank degrees leaves that gap")
}

// rising returns the smallest count at which an increasing function is not
// negative, between one where it is negative and one where it is not: regula
// falsi with the weights of Illinois, and halves where that is slow.
func rising(lo, hi int64, f func(int64) float64) int64 {
	flo, fhi := f(lo), f(hi)
	side := 0
	width := hi - lo
	for i := 0; hi-lo > 1; i++ {
		m := lo + int64(float64(hi-lo)*(flo/(flo-fhi)))
		if i%4 == 3 {
			if hi-lo > width/4 {
				m = lo + (hi-lo)/2
			}
			width = hi - lo
		}
		m = min(max(m, lo+1), hi-1)
		if v := f(m); v < 0 {
			lo, flo = m, v
			if side == -1 {
				fhi /= 2
			}
			side = -1
		} else {
			hi, fhi = m, v
			if side == 1 {
				flo /= 2
			}
			side = 1
		}
	}
	return hi
}

// AdvanceWindow asks between which advances one cam keeps both valves of a
// cylinder clear of the piston. Either valve may be left out.
type AdvanceWindow struct {
	Intake, Exhaust             *PistonValve
	IntakeWanted, ExhaustWanted units.Length // the least gaps wanted
	Separation                  units.CamAngle
}

// SafeAdvance is the range of advance that keeps the wanted gaps.
type SafeAdvance struct {
	// Highest is the most advance that the intake allows, Lowest the least
	// that the exhaust allows; not given where that valve was left out.
	Lowest, Highest units.Optional[units.CrankAngle]
	// None is set where Lowest is over Highest: no advance keeps both gaps.
	None bool

	window AdvanceWindow
}

// Safe answers between which advances a cam keeps the wanted gaps:
//
//	Highest = separation - SafeCenterline(intake)
//	Lowest  = SafeCenterline(exhaust) - separation
//
// as bare numbers. Advance brings the intake toward the piston and takes the
// exhaust away from it. Where every centerline leaves the gap (SafeCenterline.Any)
// the limit is the advance that puts the nose at top dead center: nothing is
// asked beyond it. Errors: both valves left out, or under the other's name
// (ErrMissing, ErrConflict), a separation outside (0, 180) cam degrees, those of
// SafeCenterline.
//
// Source: definition of the advance; geometry as PistonValve.At.
//
// Rows: ptv-window-high, ptv-window-low.
func (w AdvanceWindow) Safe() (SafeAdvance, error) {
	if w.Intake == nil && w.Exhaust == nil {
		return SafeAdvance{}, fail("Intake, Exhaust", "", units.ErrMissing, "want at least one valve")
	}
	if w.Separation <= 0 || w.Separation >= units.CamTurn/2 {
		return SafeAdvance{}, fail("Separation", w.Separation.String(), units.ErrRange, "want a lobe separation over 0 and under 180 cam degrees")
	}
	r := SafeAdvance{window: w}
	for _, v := range [...]struct {
		name   string
		valve  camtiming.Valve
		p      *PistonValve
		wanted units.Length
	}{{"Intake", camtiming.IntakeValve, w.Intake, w.IntakeWanted}, {"Exhaust", camtiming.ExhaustValve, w.Exhaust, w.ExhaustWanted}} {
		if v.p == nil {
			continue
		}
		if _, err := v.p.ready(0); err != nil {
			return SafeAdvance{}, asField(v.name, err)
		}
		if v.p.spec.Valve != v.valve {
			return SafeAdvance{}, fail(v.name, v.p.spec.Valve.String(), units.ErrConflict, "the other valve stands under this name")
		}
		c, err := v.p.SafeCenterline(v.wanted)
		if err != nil {
			return SafeAdvance{}, asField(v.name+"Wanted", err)
		}
		if half := w.Separation.Crank() / 2; v.valve == camtiming.IntakeValve {
			r.Highest = units.Some(half - c.Centerline)
		} else {
			r.Lowest = units.Some(c.Centerline - half)
		}
	}
	r.None = r.Lowest.Given && r.Highest.Given && r.Lowest.Value > r.Highest.Value
	return r, nil
}

// Working returns the derivation.
func (s SafeAdvance) Working() units.Working {
	src := units.Source{Text: "the least gap, inverted inside a bracket", Provenance: units.Computed}
	sep := s.window.Separation
	var w units.Working
	if s.Lowest.Given {
		w = append(w, units.Step{Symbol: "lowest", Formula: "safe exhaust centerline - separation", Numbers: (s.Lowest.Value + sep.Crank()/2).Text(2) + " - " + sep.Text(2), Value: s.Lowest.Value.Text(2), Source: src})
	}
	if s.Highest.Given {
		w = append(w, units.Step{Symbol: "highest", Formula: "separation - safe intake centerline", Numbers: sep.Text(2) + " - " + (sep.Crank()/2 - s.Highest.Value).Text(2), Value: s.Highest.Value.Text(2), Source: src})
	}
	return w
}

// SafeLash asks for the lash that leaves a wanted gap.
type SafeLash struct {
	Centerline units.CrankAngle
	Wanted     units.Length
}

// SmallestLash answers how small the lash of a solid lifter may be so that a wanted
// gap is left, with the nose of the lobe at a centerline. More lash opens the
// valve later and less far, so that the gap grows with it: the inverse of
// Minimum, found inside a bracket to the picometer; 0 where even no lash
// leaves it. Lash is set by the cam's card and buys little; a lash over the card's
// is no cure. Errors: a valve without a gear (ErrMissing), a gap that no lash up to
// 10 mm with which the valve still opens leaves (ErrImpossible), those of
// Minimum.
//
// Rows: ptv-lash.
func (p *PistonValve) SmallestLash(q SafeLash) (units.Length, error) {
	nose, err := p.ready(q.Centerline)
	switch {
	case err != nil:
		return 0, err
	case !p.hasGear:
		return 0, fail("Gear", "", units.ErrMissing, "want a lifter's lobe behind a gear: the curve is the valve's already")
	case q.Wanted.Abs() > units.Meter:
		return 0, fail("Wanted", q.Wanted.String(), units.ErrRange, "want at most 1 m")
	}
	want := q.Wanted.Meters() - p.atTDC
	at := func(lash int64) float64 {
		e, err := p.search.edges(camtiming.ValveGear{Ratio: p.search.ratio, Lash: units.Length(lash)}, true)
		if err != nil {
			// The valve stays closed, or opens less than a table's first point.
			return math.Inf(1)
		}
		_, v := p.search.minimum(int64(nose), e)
		return v - want
	}
	if at(0) >= 0 {
		return 0, nil
	}
	// Twice the range of a gear: past where the valve stays closed.
	most := int64(min(10*units.Millimeter, meters(p.search.ratio*p.spec.Lobe.MaxLift().Meters())-units.Micrometer))
	if v := at(most); v < 0 || math.IsInf(v, 1) {
		return 0, fail("Wanted", q.Wanted.String(), units.ErrImpossible, "no lash with which the valve still opens leaves that gap")
	}
	return units.Length(rising(0, most, at)), nil
}
