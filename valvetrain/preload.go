package valvetrain

import (
	"math/bits"
	"strconv"

	"example.com/trialfit/units"
)

// Thread is the thread of an adjuster, by one of its two measures.
type Thread struct {
	Pitch   units.Length // 1.25 mm of an M8 thread
	PerInch int          // threads per inch, 24 of a 3/8-24 thread
}

// Turns is a count of turns as it is spoken: {1, 1, 4} is 1 1/4 turns, {0, 5, 6}
// five flats of a hexagon nut.
type Turns struct {
	Whole, Parts, Of int
}

// String returns the turns as spoken: "1 1/4 turns".
func (t Turns) String() string {
	switch {
	case t.Parts == 0 && t.Whole == 1:
		return "1 turn"
	case t.Parts == 0:
		return strconv.Itoa(t.Whole) + " turns"
	case t.Whole == 0:
		return strconv.Itoa(t.Parts) + "/" + strconv.Itoa(t.Of) + " turn"
	default:
		return strconv.Itoa(t.Whole) + " " + strconv.Itoa(t.Parts) + "/" + strconv.Itoa(t.Of) + " turns"
	}
}

// AdjusterPlace is where an adjuster acts on a rocker. The zero AdjusterPlace
// is none.
type AdjusterPlace uint8

// Places of an adjuster.
const (
	// AtPushrod is a screw in the pushrod end of the rocker: the lifter moves as
	// the screw does.
	AtPushrod AdjusterPlace = iota + 1
	// AtPivot is a nut that lowers the pivot of the rocker, as on a stud: with
	// the valve end resting on a closed valve the pushrod end goes down by (1 +
	// 1/ratio) of it.
	AtPivot
	// AtValve is a screw in the valve end of the rocker: the pushrod end goes
	// down by 1/ratio of it.
	AtValve
)

// String names the place.
func (p AdjusterPlace) String() string {
	switch p {
	case AtPushrod:
		return "at the pushrod"
	case AtPivot:
		return "at the pivot"
	case AtValve:
		return "at the valve"
	default:
		return "AdjusterPlace(" + strconv.Itoa(int(p)) + ")"
	}
}

// Adjuster is how a valve is adjusted.
type Adjuster struct {
	Place  AdjusterPlace
	Thread Thread
	// Ratio is the rocker ratio near the closed valve (a ratio); not used at
	// the pushrod.
	Ratio float64
}

// pitch returns the pitch as a fraction of picometers, num/den.
func (t Thread) pitch() (num, den int64, err error) {
	switch {
	case t.Pitch == 0 && t.PerInch == 0:
		return 0, 0, fail("Thread", "", units.ErrMissing, "want a pitch or threads per inch")
	case t.Pitch != 0 && t.PerInch != 0:
		return 0, 0, fail("Thread", t.Pitch.String(), units.ErrConflict, "want a pitch or threads per inch, not both")
	case t.PerInch < 0 || t.PerInch > 1000:
		return 0, 0, fail("Thread.PerInch", strconv.Itoa(t.PerInch), units.ErrRange, "want 1 to 1000 threads per inch")
	case t.Pitch < 0 || t.Pitch > 100*units.Millimeter:
		return 0, 0, fail("Thread.Pitch", t.Pitch.String(), units.ErrRange, "want a pitch of over 0 to 100 mm")
	case t.PerInch > 0:
		return int64(units.Inch), int64(t.PerInch), nil
	default:
		return int64(t.Pitch), 1, nil
	}
}

// Travel answers how far a thread goes in a number of turns, turns times pitch
// or turns over threads per inch, exactly and rounded once to the picometer
// (half to even). Errors: no thread or both measures; a pitch over 100 mm or
// over 1000 threads per inch; negative parts, over 1000 whole turns, parts that
// are not under Of.
//
// Source: definition of the pitch.
//
// Rows: thread-24-half, thread-24-sixth, thread-metric, thread-20-quarters.
func (t Thread) Travel(turns Turns) (units.Length, error) {
	num, den, err := t.pitch()
	if err != nil {
		return 0, err
	}
	if turns.Whole < 0 || turns.Whole > 1000 {
		return 0, fail("turns.Whole", strconv.Itoa(turns.Whole), units.ErrRange, "want 0 to 1000 whole turns")
	}
	if turns.Parts < 0 || turns.Of < 0 || turns.Of > 3600 {
		return 0, fail("turns.Parts", turns.String(), units.ErrRange, "want parts of a turn that are not negative, at most 3600 to the turn")
	}
	if turns.Parts > 0 && turns.Parts >= turns.Of {
		return 0, fail("turns.Parts", turns.String(), units.ErrConflict, "want fewer parts than make a turn")
	}
	of := int64(max(turns.Of, 1))
	return ratio(num, int64(turns.Whole)*of+int64(turns.Parts), den*of), nil
}

// ratio returns a*b/c to the nearest count, half to even; a, b, c not negative,
// the result in range.
func ratio(a, b, c int64) units.Length {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	q, r := bits.Div64(hi, lo, uint64(c))
	if 2*r > uint64(c) || 2*r == uint64(c) && q%2 == 1 {
		q++
	}
	return units.Length(q)
}

// leverage returns how far the plunger goes for a travel of the adjuster.
func (a Adjuster) leverage() (float64, error) {
	if a.Place == AtPushrod {
		return 1, nil
	}
	if a.Place == 0 || a.Place > AtValve {
		return 0, fail("Place", a.Place.String(), units.ErrMissing, "want where the adjuster acts")
	}
	if a.Ratio == 0 {
		return 0, fail("Ratio", "", units.ErrMissing, "want the rocker ratio: the adjuster does not act on the pushrod alone")
	}
	if !(a.Ratio >= 0.1 && a.Ratio <= 10) {
		return 0, fail("Ratio", plain(a.Ratio), units.ErrRange, "want a rocker ratio of 0.1 to 10")
	}
	if a.Place == AtPivot {
		return 1 + 1/a.Ratio, nil
	}
	return 1 / a.Ratio, nil
}

// PreloadJob is a hydraulic lifter that is being adjusted: from zero lash, with
// the lifter on the base circle and the plunger at its stop, the adjuster goes on
// by Turns.
type PreloadJob struct {
	Adjuster Adjuster
	Turns    Turns
	// Travel is how far the plunger goes from its stop to the bottom.
	Travel units.Measured[units.Length]
	// Limits of the preload, if it is to be judged, and Rule by which rule. A
	// count of turns has no stated uncertainty: under the rules that prove,
	// state TurnsU.
	Limits units.Optional[units.Limits[units.Length]]
	Rule   units.DecisionRule
	// TurnsU is the standard uncertainty of the turns, a share of a turn: that
	// of finding zero lash and of the wrench.
	TurnsU units.Optional[float64]
}

// Preload is how far the plunger is pressed down.
type Preload struct {
	Job PreloadJob
	// AtAdjuster is the travel of the thread, and Leverage what the plunger
	// goes for it (a ratio).
	AtAdjuster units.Length
	Leverage   float64
	// Preload is the way of the plunger from its stop.
	Preload units.Measured[units.Length]
	// Left is the way that remains to the bottom, negative where the lifter
	// would hold the valve open.
	Left units.Measured[units.Length]
	// Share is Preload/Travel, a ratio.
	Share   float64
	Verdict units.Optional[units.Verdict[units.Length]]
}

// Preload answers how far the turns of an adjuster press the plunger and how
// much of its way is left:
//
//	preload = turns pitch g     left = Travel - preload
//	g = 1 at the pushrod, 1 + 1/Ratio at the pivot, 1/Ratio at the valve
//
// by the lever of a rocker whose valve end rests on the closed valve, arms
// square to their motion. At the pushrod the travel is exact. The uncertainty is
// that of TurnsU and Travel. Left negative is data: the valve would not close.
//
// A lifter that still holds oil pumps up while it is turned down: wait until it
// has bled, or the preload is not there yet.
//
// Errors: as for Thread.Travel; no place or, but at the pushrod, no ratio; a
// plunger travel not over 0; a negative uncertainty; limits that units.Judge
// refuses.
//
// Source: definition of the pitch; lever with the valve end as fulcrum.
//
// Rows: preload-pushrod, preload-pivot, preload-valve, preload-left, preload-u,
// preload-left-u, preload-verdict.
func (j PreloadJob) Preload() (Preload, error) {
	way, err := j.Adjuster.Thread.Travel(j.Turns)
	if err != nil {
		return Preload{}, err
	}
	g, err := j.Adjuster.leverage()
	if err != nil {
		return Preload{}, err
	}
	if err := checkMeasuredSize("Travel", j.Travel); err != nil {
		return Preload{}, err
	}
	if j.TurnsU.Given && !(j.TurnsU.Value >= 0 && j.TurnsU.Value <= 100) {
		return Preload{}, fail("TurnsU", plain(j.TurnsU.Value), units.ErrRange, "want a standard uncertainty of 0 to 100 turns")
	}
	p := Preload{Job: j, AtAdjuster: way, Leverage: g, Preload: units.Unstated(way)}
	if j.Adjuster.Place != AtPushrod {
		p.Preload.Value = count(way.Meters() * g)
	}
	if p.Preload.Value > maxSize {
		return Preload{}, fail("Turns", j.Turns.String(), units.ErrRange, "want a preload of up to 10 m")
	}
	if j.TurnsU.Given {
		one, err := j.Adjuster.Thread.Travel(Turns{Whole: 1})
		if err != nil {
			return Preload{}, err
		}
		p.Preload = units.WithU(p.Preload.Value, count(one.Meters()*g*j.TurnsU.Value))
	}
	p.Left = units.Measured[units.Length]{Value: j.Travel.Value - p.Preload.Value, Stated: p.Preload.Stated && j.Travel.Stated}
	if p.Left.Stated {
		p.Left.U = root(p.Preload.U, j.Travel.U)
	}
	p.Share = p.Preload.Value.Meters() / j.Travel.Value.Meters()
	if j.Limits.Given {
		v, err := units.Judge(p.Preload, j.Limits.Value, j.Rule)
		if err != nil {
			return Preload{}, fail("Limits", j.Limits.Value.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
		}
		p.Verdict = units.Some(v)
	}
	return p, nil
}

// Working returns the derivation.
func (p Preload) Working() units.Working {
	a := p.Job.Adjuster
	g := "1"
	switch a.Place {
	case AtPivot:
		g = "1 + 1/ratio"
	case AtValve:
		g = "1/ratio"
	default:
	}
	return units.Working{
		{Symbol: "x", Formula: "turns x pitch", Numbers: p.Job.Turns.String() + " of " + a.Thread.String(), Value: text(p.AtAdjuster), Source: definition},
		{Symbol: "g", Formula: g + ", " + a.Place.String(), Value: plain(p.Leverage), Source: units.Source{Text: "lever with the valve end as fulcrum", Provenance: units.Computed}},
		{Symbol: "preload", Formula: "x g", Numbers: num(p.AtAdjuster) + " x " + plain(p.Leverage), Value: measuredText(p.Preload), Source: definition},
		{Symbol: "left", Formula: "plunger travel - preload", Numbers: num(p.Job.Travel.Value) + " - " + num(p.Preload.Value), Value: measuredText(p.Left), Source: definition},
	}
}

// Cautions returns what to mind when a preload is set.
func (p Preload) Cautions() []units.Caution {
	c := []units.Caution{
		{Text: "set zero lash with the lifter on the base circle and the plunger at its stop: a lifter that has bled down reads as lash", Source: practice},
		{Text: "after the preload is set give every lifter time to bleed before the crank is turned: a valve held open meets the piston", Source: practice},
	}
	if p.Left.Value < 0 {
		c = append(c, units.Caution{Text: "the plunger is at its bottom: the valve does not close", Source: definition})
	}
	return c
}

// String names the thread.
func (t Thread) String() string {
	if t.PerInch != 0 {
		return strconv.Itoa(t.PerInch) + " threads/in"
	}
	return num(t.Pitch) + " pitch"
}

// TurnsPlan is how far to turn an adjuster.
type TurnsPlan struct {
	Turns Turns
	// Preload that these turns give, and Error, that minus the one wanted.
	Preload, Error units.Length
}

// WantedPreload is a preload to be set in whole parts of a turn.
type WantedPreload struct {
	Preload units.Length
	Of      int // parts of a turn that the wrench is turned by: 4, 6, 8
}

// TurnsFor answers how many turns from zero lash give a preload, in whole parts
// of a turn: the count that comes closest, of two as close the smaller.
//
//	turns = preload/(pitch g)
//
// with g as in PreloadJob.Preload. Errors as there; a preload that is negative
// or takes over 1000 turns, and parts outside 1 to 3600, are ErrRange.
//
// Source: as PreloadJob.Preload.
//
// Rows: turns-pushrod, turns-error, turns-pivot.
func (a Adjuster) TurnsFor(w WantedPreload) (TurnsPlan, error) {
	pitch, den, err := a.Thread.pitch()
	if err != nil {
		return TurnsPlan{}, err
	}
	g, err := a.leverage()
	if err != nil {
		return TurnsPlan{}, err
	}
	if err := checkSpan("Preload", w.Preload); err != nil {
		return TurnsPlan{}, err
	}
	if w.Of < 1 || w.Of > 3600 {
		return TurnsPlan{}, fail("Of", strconv.Itoa(w.Of), units.ErrRange, "want 1 to 3600 parts of a turn")
	}
	exact := w.Preload.Meters() / g / (float64(pitch) * 1e-12 / float64(den)) * float64(w.Of)
	if !(exact <= 1000*float64(w.Of)) {
		return TurnsPlan{}, fail("Preload", text(w.Preload), units.ErrRange, "want a preload of up to 1000 turns")
	}
	var best TurnsPlan
	for i, n := range [...]int{int(exact), min(int(exact)+1, 1000*w.Of)} {
		p := TurnsPlan{Turns: Turns{Whole: n / w.Of, Parts: n % w.Of, Of: w.Of}}
		way, err := a.Thread.Travel(p.Turns)
		if err != nil {
			return TurnsPlan{}, err
		}
		p.Preload = way
		if a.Place != AtPushrod {
			p.Preload = count(way.Meters() * g)
		}
		p.Error = p.Preload - w.Preload
		if i == 0 || p.Error.Abs() < best.Error.Abs() {
			best = p
		}
	}
	return best, nil
}

// Working returns the derivation.
func (p TurnsPlan) Working() units.Working {
	return units.Working{{
		Symbol: "turns", Formula: "whole parts of a turn closest to the preload wanted", Numbers: "gives " + num(p.Preload) + ", off by " + num(p.Error),
		Value: p.Turns.String(), Source: definition,
	}}
}
