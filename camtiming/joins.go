package camtiming

import (
	"example.com/trialfit/units"
)

// Joins answers where a lift curve is put together: the ends of its span and
// the angles between them at which a derivative jumps, from the nose and in
// increasing order. Between two of them lift, velocity and acceleration run
// without a jump, so that a search or an integral taken from join to join misses
// nothing. Of a curve of another package no more is known than its span, which is
// then split into 64 even steps on each flank.
//
// A curve that cannot be a lobe is refused, as by OpeningAt.
//
// Rows: joins-arc15-opening, joins-arc15-closing, joins-law-span.
func Joins(c LiftCurve) ([]units.CamAngle, error) {
	if err := checkCurve("LiftCurve", c); err != nil {
		return nil, err
	}
	b := evenBreaks(c.Span())
	if own(c) {
		b = c.(pieced).breaks()
	}
	span := c.Span()
	out := make([]units.CamAngle, 0, len(b)+2)
	out = append(out, span.Opens)
	for _, x := range b {
		if a := camAngle(x); a > out[len(out)-1] && a < span.Closes {
			out = append(out, a)
		}
	}
	return append(out, span.Closes), nil
}
