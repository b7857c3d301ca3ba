package camtiming

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// WheelNumbering says which way the numbers of a degree wheel run.
type WheelNumbering uint8

// Numberings. A wheel marked before and after its zero counts as the first of
// them with the readings before written negative.
const (
	NumbersRise WheelNumbering = iota // the reading rises in normal rotation
	NumbersFall                       // the reading falls in normal rotation
)

// String describes the numbering.
func (n WheelNumbering) String() string {
	if n == NumbersFall {
		return "numbers fall in normal rotation"
	}
	return "numbers rise in normal rotation"
}

// StopContacts are the wheel readings at the two contacts with a positive stop
// that keeps the piston from its top.
type StopContacts struct {
	// Before is the reading where the piston meets the stop in normal
	// rotation, before top dead center, and After where it meets it turned
	// backward, after top dead center.
	Before, After units.Measured[units.CrankAngle]
}

// PistonDrop are the wheel readings at which a dial indicator on the piston
// shows one and the same depth below the top.
type PistonDrop struct {
	// Depth below the highest reading. Its uncertainty is that of setting the
	// piston to the depth once, not that of the depth itself: an error that
	// both sides share cancels.
	Depth units.Measured[units.Length]
	// Before is the reading on the way up, before top dead center, and After the one on
	// the way down.
	Before, After units.Measured[units.CrankAngle]
}

// TDCInput are the readings from which to find top dead center.
type TDCInput struct {
	// Stops and Drops are combined; one of either is enough. The wheel must
	// not have been moved between them.
	Stops     []StopContacts
	Drops     []PistonDrop
	Numbering WheelNumbering
	// Geometry corrects the middle of each pair for the offset of the piston
	// pin or bore, and turns the uncertainty of a depth into one of an angle.
	// Without it the engine is taken to have no offset.
	Geometry *SliderCrank
	// OffsetU is the standard uncertainty of the offset; it needs Geometry.
	OffsetU units.Length
	// Play is the standard uncertainty of how much higher the piston stands
	// when the rod pulls it than when the rod pushes it, from the play of
	// bearings and pin: on the way up it is pushed, on the way down pulled.
	// It touches drops, both sides of which are taken in normal rotation; a
	// stop presses the play out on both sides.
	Play units.Length
	// Common is the standard uncertainty that all readings share: of the
	// pointer and of the wheel's graduation. No number of readings lessens it.
	Common units.CrankAngle
}

// TDCPair is what one pair of readings says.
type TDCPair struct {
	// Stop tells a pair of stop contacts from a piston drop.
	Stop bool
	// Midpoint is the wheel reading halfway from Before to After in normal
	// rotation, TDC that less the error of the midpoint.
	Midpoint, TDC units.CrankAngle
	// Half is half the arc between the two readings.
	Half units.CrankAngle
	// Error is how far the midpoint lies after top dead center because of
	// the offset.
	Error units.CrankAngle
	// Depth is the depth below the top: as measured for a drop, and from
	// Half and the geometry for a stop.
	Depth units.Optional[units.Length]
	// HalfExpected is what Half should be by the geometry at the depth of a
	// drop. Far from Half it tells of a wrong rod, throw, offset or depth.
	HalfExpected units.Optional[units.CrankAngle]
	// UWheel and UDial are the standard uncertainties of TDC from reading
	// the wheel and from setting the depth; U is both together, Stated if
	// all of them were.
	UWheel, UDial, U units.CrankAngle
	Stated           bool
	// Weight is the pair's share in the result (a ratio, all together 1).
	Weight float64
	// Residual is the pair's TDC less the result.
	Residual units.CrankAngle
}

// TDCResult is where top dead center lies on the wheel.
type TDCResult struct {
	// Wheel holds the reading at top dead center with its standard uncertainty
	// and corrects later readings.
	Wheel DegreeWheel
	Pairs []TDCPair
	// UReadings, UOffset, UPlay and UCommon are the parts of the standard
	// uncertainty.
	UReadings, UOffset, UPlay, UCommon units.CrankAngle
	// ChiSquare is the sum of (residual/u)^2, Freedom its degrees of freedom
	// and PValue the probability of as much or more by chance (statistics); 0,
	// 0 and 1 with one pair or without stated uncertainties. Where PValue is
	// under 0.05 the scatter stands for the readings in UReadings.
	ChiSquare float64
	Freedom   int
	PValue    float64
	// Spread is the largest less the smallest TDC of the pairs.
	Spread units.CrankAngle

	offset bool
}

// FindTDC answers at which reading of the degree wheel the piston is at top
// dead center, wherever the wheel's zero stands. For each pair of readings at
// one height of the piston, and then for all of them:
//
//	half     = (after - before)/2, in normal rotation, modulo a turn
//	midpoint = before + half
//	TDC      = midpoint - error,  error = asin(e/p) - asin(e/(l+r))
//	w        = 1/u^2,  TDC = sum w TDC_i / sum w
//
// with before, after = the wheel readings and p as for
// [SliderCrank.MidpointError] (from half, for a stop) or [SliderCrank.Drop]
// (from the depth, for a drop). Uncertainties:
//
//	u^2 = (u_before^2 + u_after^2)/4 + (1/v_before^2 + 1/v_after^2) u_depth^2/4
//	u_play = (1/v_before + 1/v_after) Play/4, the mean by weight
//	u(TDC)^2 = R^2/sum w + u_offset^2 + u_play^2 + u_common^2
//
// with R = sqrt(chi-square/(n - 1)) where the pairs disagree at 95 %, else 1; v the travel per crank degree: a dial is worth more the deeper the drop,
// and nothing at the top (see [SliderCrank.DialAtTop]). Without Geometry v is
// 2 x/half, right for small drops. u_offset is the change of the weighted error when the offset grows by
// OffsetU.
//
// Where no pair has its uncertainties stated (of both readings, and of the depth
// for a drop), the pairs weigh alike and the result states none. Where only
// some have, it is ErrMissing: weights need them all.
//
// Valid for contacts less than 90 degrees from top dead center; a wider pair is
// ErrConflict: before and after are swapped or the numbers run the other way.
// Pairs that disagree by over 10 degrees are ErrConflict. No pair is
// ErrMissing, as is OffsetU without Geometry; readings beyond 10 turns,
// negative uncertainties, a stated 0 among several pairs and a drop that is not
// over 0 are ErrRange.
//
// What it cannot tell: an offset that nobody gave shifts every pair alike. Nor
// whether the top is of overlap or of firing: the wheel knows one turn only.
// With play, a drop comes late on both sides, by half the play over v, and its
// middle with them; a deeper drop is late by less, so that midpoints that fall
// back as the drops deepen show play.
//
// Source: symmetry of the slider-crank about the line of its piston pin, see
// [SliderCrank.Drop]; weighted mean and uncertainty, JCGM 100:2008, 5.1.2; R: Birge,
// Physical Review 40 (1932) 207.
//
// Rows: tdc-stop, tdc-stop-zero, tdc-stop-fall, tdc-stop-10, tdc-stop-m10,
// tdc-drop-10, tdc-weighted, tdc-weighted-u, tdc-u-stop, tdc-u-drop, tdc-u-offset,
// tdc-u-play, tdc-chi, tdc-u-disagree.
func FindTDC(in TDCInput) (TDCResult, error) {
	n := len(in.Stops) + len(in.Drops)
	switch {
	case n == 0:
		return TDCResult{}, fail("Stops", "", units.ErrMissing, "want at least one pair of stop contacts or of equal piston drops")
	case in.Numbering > NumbersFall:
		return TDCResult{}, fail("Numbering", "", units.ErrRange, "want one of the WheelNumbering constants")
	case in.OffsetU < 0 || in.OffsetU > maxCrank:
		return TDCResult{}, fail("OffsetU", in.OffsetU.String(), units.ErrRange, "want a standard uncertainty of 0 to 10 m")
	case in.Play < 0 || in.Play > units.Meter:
		return TDCResult{}, fail("Play", in.Play.String(), units.ErrRange, "want a standard uncertainty of 0 to 1 m")
	case in.Geometry == nil && in.OffsetU > 0:
		return TDCResult{}, fail("Geometry", "", units.ErrMissing, "want the geometry: the uncertainty of the offset counts only through it")
	case in.Geometry != nil && !in.Geometry.nonzero:
		return TDCResult{}, fail("Geometry", "", units.ErrMissing, "want a geometry made by NewSliderCrank")
	case in.Common < 0 || in.Common > 90*units.CrankDegree:
		return TDCResult{}, fail("Common", in.Common.String(), units.ErrRange, "want a standard uncertainty of 0 to 90 crank degrees")
	}
	var wider *SliderCrank // the same with the offset changed by its uncertainty
	if in.OffsetU > 0 {
		var err error
		if wider, err = in.Geometry.moved(in.OffsetU); err != nil {
			return TDCResult{}, err
		}
	}
	res := TDCResult{Pairs: make([]TDCPair, 0, n), PValue: 1, offset: in.Geometry != nil}
	moves := make([]common, 0, n)
	for i, s := range in.Stops {
		p, c, err := in.pair(s.Before, s.After, units.Optional[units.Measured[units.Length]]{}, wider)
		if err != nil {
			return TDCResult{}, inField("Stops["+strconv.Itoa(i)+"]", err)
		}
		res.Pairs, moves = append(res.Pairs, p), append(moves, c)
	}
	for i, d := range in.Drops {
		p, c, err := in.pair(d.Before, d.After, units.Some(d.Depth), wider)
		if err != nil {
			return TDCResult{}, inField("Drops["+strconv.Itoa(i)+"]", err)
		}
		res.Pairs, moves = append(res.Pairs, p), append(moves, c)
	}
	return res.combine(in, moves)
}

// common is how far one pair moves, in crank degrees, with what all pairs share.
type common struct{ offset, play float64 }

// moved returns the geometry with an offset larger by u, in magnitude.
func (k *SliderCrank) moved(u units.Length) (*SliderCrank, error) {
	s := k.spec
	if s.Offset < 0 {
		u = -u
	}
	s.Offset += u
	m, err := NewSliderCrank(s)
	if err != nil {
		return nil, fail("OffsetU", u.Abs().String(), units.ErrImpossible, "want an uncertainty that leaves the crank able to turn")
	}
	return m, nil
}

// combine weighs the pairs.
func (res TDCResult) combine(in TDCInput, moves []common) (TDCResult, error) {
	n := len(res.Pairs)
	name := func(i int) string {
		if i < len(in.Stops) {
			return "Stops[" + strconv.Itoa(i) + "]"
		}
		return "Drops[" + strconv.Itoa(i-len(in.Stops)) + "]"
	}
	stated := 0
	for _, p := range res.Pairs {
		if p.Stated {
			stated++
		}
	}
	first := res.Pairs[0].TDC
	var sw, sx, offset, play float64
	lo, hi := 0.0, 0.0
	for i := range res.Pairs {
		p := &res.Pairs[i]
		switch {
		case stated > 0 && !p.Stated:
			return TDCResult{}, fail(name(i), "", units.ErrMissing, "want a stated uncertainty of both wheel readings and of the depth: other pairs have one, and a weight needs both")
		case n > 1 && p.Stated && p.U == 0:
			return TDCResult{}, fail(name(i), p.U.String(), units.ErrRange, "want a standard uncertainty over 0 to weigh by")
		}
		x := halfTurn(p.TDC - first).Degrees()
		if math.Abs(x) > 10 {
			return TDCResult{}, fail(name(i), p.TDC.String(), units.ErrConflict, "want pairs that agree within 10 crank degrees; was the wheel moved between them?")
		}
		lo, hi = min(lo, x), max(hi, x)
		p.Weight = 1
		if n > 1 && p.Stated {
			p.Weight = 1 / (p.U.Degrees() * p.U.Degrees())
		}
		sw, sx = sw+p.Weight, sx+p.Weight*x
		offset, play = offset+p.Weight*moves[i].offset, play+p.Weight*moves[i].play
	}
	mean := sx / sw
	res.Spread = crankAngle(hi - lo)
	tdc := first + crankAngle(mean)
	for i := range res.Pairs {
		p := &res.Pairs[i]
		p.Weight /= sw
		p.Residual = halfTurn(p.TDC - tdc)
		if n > 1 && p.Stated {
			t := p.Residual.Degrees() / p.U.Degrees()
			res.ChiSquare += t * t
		}
	}
	res.UOffset, res.UPlay, res.UCommon = crankAngle(math.Abs(offset/sw)), crankAngle(play/sw), in.Common
	m := units.Measured[units.CrankAngle]{Value: tdc.WrapTurn(), Stated: stated > 0}
	if m.Stated {
		res.UReadings = res.Pairs[0].U
		if n > 1 {
			a := agreement(res.ChiSquare, n-1)
			res.UReadings = crankAngle(a.widening() / math.Sqrt(sw))
			res.Freedom, res.PValue = a.Freedom, a.PValue
		}
		m.U = crankAngle(math.Sqrt(square(res.UReadings) + square(res.UOffset) + square(res.UPlay) + square(res.UCommon)))
	}
	res.Wheel = DegreeWheel{TDC: m, Numbering: in.Numbering}
	return res, nil
}

func square(a units.CrankAngle) float64 { return a.Degrees() * a.Degrees() }

// halfTurn returns an angle reduced to [-180, 180).
func halfTurn(a units.CrankAngle) units.CrankAngle {
	return (a + units.CrankTurn/2).WrapTurn() - units.CrankTurn/2
}

// maxWheel bounds a wheel reading.
const maxWheel = 10 * units.CrankTurn

// checkAngle refuses a wheel reading out of range.
func checkAngle(field string, m units.Measured[units.CrankAngle]) error {
	if !within(m.Value, maxWheel) {
		return fail(field, m.Value.String(), units.ErrRange, "want a wheel reading within 10 turns")
	}
	if m.Stated && (m.U < 0 || m.U > 90*units.CrankDegree) {
		return fail(field+".U", m.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 90 crank degrees")
	}
	return nil
}

// pair evaluates two readings at one height, and how far they move with the
// wider offset and with the play.
func (in TDCInput) pair(before, after units.Measured[units.CrankAngle], depth units.Optional[units.Measured[units.Length]], wider *SliderCrank) (TDCPair, common, error) {
	if err := checkAngle("Before", before); err != nil {
		return TDCPair{}, common{}, err
	}
	if err := checkAngle("After", after); err != nil {
		return TDCPair{}, common{}, err
	}
	d := depth.Value
	if depth.Given {
		switch {
		case d.Value <= 0 || d.Value > maxCrank:
			return TDCPair{}, common{}, fail("Depth", d.Value.String(), units.ErrRange, "want a drop over 0 and at most 10 m")
		case d.Stated && (d.U < 0 || d.U > units.Meter):
			return TDCPair{}, common{}, fail("Depth.U", d.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 1 m")
		}
	}
	sign := units.CrankAngle(1)
	if in.Numbering == NumbersFall {
		sign = -1
	}
	arc := (sign * (after.Value - before.Value)).WrapTurn()
	if arc == 0 || arc >= units.CrankTurn/2 {
		return TDCPair{}, common{}, fail("After", after.Value.String(), units.ErrConflict, "want After less than 180 crank degrees past Before in normal rotation: are the two swapped, or do the numbers run the other way?")
	}
	p := TDCPair{Stop: !depth.Given, Half: arc / 2, Stated: before.Stated && after.Stated && (!depth.Given || d.Stated)}
	p.Midpoint = (before.Value + sign*p.Half).WrapTurn()
	var c common
	var err error
	c.offset, err = p.correct(in.Geometry, wider, depth)
	if err != nil {
		return TDCPair{}, common{}, err
	}
	p.TDC = (p.Midpoint - sign*p.Error).WrapTurn()
	var up, down float64 // crank degrees per meter of height, by which a dial counts
	if depth.Given {
		up, down = in.perHeight(p.Half, d.Value)
		c.play = min(180, (up+down)*in.Play.Meters()/4)
	}
	if p.Stated {
		p.UWheel = crankAngle(math.Hypot(before.U.Degrees(), after.U.Degrees()) / 2)
		p.UDial = crankAngle(min(90, math.Hypot(up, down)*d.U.Meters()/2))
		p.U = crankAngle(math.Hypot(p.UWheel.Degrees(), p.UDial.Degrees()))
	}
	return p, c, nil
}

// correct fills in what the geometry says of the pair.
func (p *TDCPair) correct(k, wider *SliderCrank, depth units.Optional[units.Measured[units.Length]]) (move float64, err error) {
	if depth.Given {
		p.Depth = units.Some(depth.Value.Value)
	}
	if k == nil {
		return 0, nil
	}
	mid := func(k *SliderCrank) (float64, error) {
		if depth.Given {
			a, err := k.Drop(depth.Value.Value)
			if err != nil {
				return 0, fail("Depth", depth.Value.Value.String(), units.ErrConflict, "want a drop of at most the stroke of "+k.stroke().String())
			}
			p.HalfExpected = units.Some(a.Half)
			return a.Midpoint.Degrees(), nil
		}
		x, m, err := k.contact(p.Half)
		p.Depth = units.Some(length(x))
		return m * degreesPerRadian, err
	}
	if wider != nil { // first, so that k has the last word on the fields
		if move, err = mid(wider); err != nil {
			return 0, err
		}
	}
	e, err := mid(k)
	if err != nil {
		return 0, err
	}
	p.Error = crankAngle(e)
	if wider != nil {
		move -= e
	}
	return move, nil
}

// perHeight returns by how many crank degrees the readings before and after
// move with a meter of the piston's height.
func (in TDCInput) perHeight(half units.CrankAngle, depth units.Length) (before, after float64) {
	// At the very bottom the slope is 0 and the dial says nothing.
	const most = 1e15
	k := in.Geometry
	if k == nil {
		v := half.Degrees() / (2 * depth.Meters())
		return v, v
	}
	// The depth is within the stroke: correct has asked for it.
	h, mid := k.drop(depth.Meters())
	at := func(rad float64) float64 {
		return min(most, 1/math.Abs(float64(k.Motion(crankAngle(rad*degreesPerRadian)).Velocity)))
	}
	return at(mid - h), at(mid + h)
}

// DegreeWheel is a degree wheel whose top dead center is known.
type DegreeWheel struct {
	// TDC is the wheel's reading at top dead center.
	TDC       units.Measured[units.CrankAngle]
	Numbering WheelNumbering
}

// FromTDC answers which crank angle from the nearest top dead center a later
// reading of the same wheel means, positive after it, in [-180, 180):
//
//	angle = reading - TDC  (numbers that rise), TDC - reading  (that fall)
//	u^2   = u_reading^2 + u_TDC^2
//
// The uncertainty is stated if both are. That of TDC is common to all readings
// of the wheel and no averaging removes it. A reading beyond 10 turns or a
// negative uncertainty is ErrRange.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: wheel-106, wheel-fall, wheel-btdc.
func (w DegreeWheel) FromTDC(reading units.Measured[units.CrankAngle]) (units.Measured[units.CrankAngle], error) {
	var none units.Measured[units.CrankAngle]
	if err := w.check(); err != nil {
		return none, err
	}
	if err := checkAngle("reading", reading); err != nil {
		return none, err
	}
	a := reading.Value - w.TDC.Value
	if w.Numbering == NumbersFall {
		a = -a
	}
	m := units.Measured[units.CrankAngle]{Value: halfTurn(a), Stated: reading.Stated && w.TDC.Stated}
	if m.Stated {
		m.U = crankAngle(math.Hypot(reading.U.Degrees(), w.TDC.U.Degrees()))
	}
	return m, nil
}

// Reading answers what the wheel reads, in [0, 360), when the crank stands at an
// angle from top dead center; the inverse of FromTDC. An angle beyond 10 turns
// is ErrRange.
//
// Rows: wheel-back, wheel-back-fall.
func (w DegreeWheel) Reading(fromTDC units.CrankAngle) (units.CrankAngle, error) {
	if err := w.check(); err != nil {
		return 0, err
	}
	if !within(fromTDC, maxWheel) {
		return 0, fail("fromTDC", fromTDC.String(), units.ErrRange, "want an angle within 10 turns")
	}
	if w.Numbering == NumbersFall {
		fromTDC = -fromTDC
	}
	return (w.TDC.Value + fromTDC).WrapTurn(), nil
}

// Shift answers by how much to change the wheel's reading at any one position, by
// turning the wheel on the crank or bending the pointer, so that it reads 0 at
// top dead center: -TDC, in [-180, 180). Wheels with either numbering take the
// same change of reading.
//
// Rows: wheel-shift.
func (w DegreeWheel) Shift() (units.CrankAngle, error) {
	if err := w.check(); err != nil {
		return 0, err
	}
	return halfTurn(-w.TDC.Value), nil
}

func (w DegreeWheel) check() error {
	if err := checkAngle("TDC", w.TDC); err != nil {
		return err
	}
	if w.Numbering > NumbersFall {
		return fail("Numbering", "", units.ErrRange, "want one of the WheelNumbering constants")
	}
	return nil
}

// Working shows each pair, the weights and the uncertainty.
func (res TDCResult) Working() units.Working {
	sym := units.Source{Text: "equal heights of the piston on both sides of its pin's line", Provenance: units.Computed}
	gum := units.Source{Text: "JCGM 100:2008, 5.1.2", Provenance: units.Verified}
	var w units.Working
	for i, p := range res.Pairs {
		no := strconv.Itoa(i + 1)
		kind := "drop"
		if p.Stop {
			kind = "stop"
		}
		w = append(w, units.Step{Symbol: "midpoint " + no, Formula: "before + half, of a " + kind, Numbers: "half = " + p.Half.Text(3), Value: p.Midpoint.Text(3), Source: sym})
		if res.offset {
			w = append(w, units.Step{Symbol: "TDC " + no, Formula: "midpoint - (asin(e/p) - asin(e/(l+r)))", Numbers: p.Midpoint.Text(3) + ", error " + p.Error.Text(3), Value: p.TDC.Text(3), Source: sym})
		}
		if p.Stated {
			w = append(w, units.Step{Symbol: "u " + no, Formula: "sqrt(u_wheel^2 + u_dial^2)", Numbers: p.UWheel.Text(3) + ", " + p.UDial.Text(3), Value: p.U.Text(3), Source: gum})
		}
	}
	if len(res.Pairs) > 1 {
		w = append(w, units.Step{Symbol: "TDC", Formula: "sum w TDC_i / sum w", Numbers: strconv.Itoa(len(res.Pairs)) + " pairs, spread " + res.Spread.Text(3), Value: res.Wheel.TDC.Value.Text(3), Source: gum})
		if res.Freedom > 0 {
			w = append(w, agreement(res.ChiSquare, res.Freedom).step())
		}
	}
	if res.Wheel.TDC.Stated {
		w = append(w, units.Step{
			Symbol: "u", Formula: "sqrt(u_readings^2 + u_offset^2 + u_play^2 + u_common^2)",
			Numbers: res.UReadings.Text(3) + ", " + res.UOffset.Text(3) + ", " + res.UPlay.Text(3) + ", " + res.UCommon.Text(3), Value: res.Wheel.TDC.U.Text(3), Source: gum,
		})
	}
	return w
}
