package camtiming

import (
	"cmp"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// Unroll answers in which order readings off a wheel make a table: readings in
// the order in which they were taken, whichever way the cam was turned, at
// angles that may run through zero or start again after a turn (358, 0, 2 or 2, 0,
// -2 or 2, 0, 358 cam degrees). It returns them with angles that increase,
// counted from the wheel's zero, and the highest reading within half a turn of
// it. Angles always count in cam rotation, also where the cam was turned back.
//
// Readings all around the cam that begin or end on the lobe are cut open
// opposite the highest one. They go all around where the step from the last to
// the first is no wider than the widest other; a last reading a whole turn after
// the first is the same place read twice, and goes.
//
// Fewer than four readings is ErrMissing; an angle beyond ten cam turns ErrRange;
// two readings at one angle or half a turn apart, or a change of direction,
// ErrConflict; more than one turn ErrRange.
//
// Rows: unroll-wrap, unroll-back, unroll-nose-first, unroll-nose-off.
func Unroll(samples []LiftSample) ([]LiftSample, error) {
	n := len(samples)
	if n < 4 {
		return nil, fail("samples", strconv.Itoa(n), units.ErrMissing, "want four readings or more")
	}
	out := slices.Clone(samples)
	var direction, widest units.CamAngle
	top := 0
	for i, s := range samples {
		if !within(s.Angle, 10*units.CamTurn) {
			return nil, fail("samples.Angle", s.Angle.String(), units.ErrRange, "want an angle within ten cam turns")
		}
		if s.Lift > samples[top].Lift {
			top = i
		}
		if i == 0 {
			continue
		}
		step := nearZero(s.Angle - samples[i-1].Angle)
		if step == 0 || step == units.CamTurn/2 || i > 1 && (step > 0) != (direction > 0) {
			return nil, fail("samples.Angle", s.Angle.String(), units.ErrConflict, "want every reading farther on in one and the same direction, by less than half a turn")
		}
		direction, widest = step, max(widest, step.Abs())
		out[i].Angle = out[i-1].Angle + step
	}
	length := (out[n-1].Angle - out[0].Angle).Abs()
	if length > units.CamTurn {
		return nil, fail("samples.Angle", length.String(), units.ErrRange, "the readings go on for more than one cam turn")
	}
	nose := out[top].Angle
	onLobe := func(s LiftSample) bool { return 200*float64(s.Lift) > float64(out[top].Lift) }
	if gap := units.CamTurn - length; gap <= widest && (onLobe(out[0]) || onLobe(out[n-1])) {
		if gap == 0 {
			out = out[:n-1]
		}
		for i := range out {
			out[i].Angle = nose + nearZero(out[i].Angle-nose)
		}
	}
	back := nose - nearZero(nose)
	for i := range out {
		out[i].Angle -= back
	}
	slices.SortFunc(out, func(a, b LiftSample) int { return cmp.Compare(a.Angle, b.Angle) })
	return out, nil
}

// nearZero takes whole cam turns off until the angle is over minus half a turn
// and at most half a turn.
func nearZero(a units.CamAngle) units.CamAngle {
	a %= units.CamTurn
	switch {
	case a > units.CamTurn/2:
		a -= units.CamTurn
	case a <= -units.CamTurn/2:
		a += units.CamTurn
	}
	return a
}
