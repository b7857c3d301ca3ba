package valvetrain

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// SpringEnds is how the ends of a compression spring are made. The zero
// SpringEnds is none.
type SpringEnds uint8

// Kinds of ends.
const (
	PlainEnds        SpringEnds = iota + 1 // open, not ground
	PlainGroundEnds                        // open, ground flat
	ClosedEnds                             // squared, not ground
	ClosedGroundEnds                       // squared and ground flat, as valve springs are
)

// String names the ends.
func (e SpringEnds) String() string {
	switch e {
	case PlainEnds:
		return "plain"
	case PlainGroundEnds:
		return "plain, ground"
	case ClosedEnds:
		return "closed"
	case ClosedGroundEnds:
		return "closed, ground"
	default:
		return "SpringEnds(" + strconv.Itoa(int(e)) + ")"
	}
}

// counts returns the coils that do not act, the wires that a solid spring is
// higher than its total coils, and the wires that the free length has beside
// its pitches; perTotal says that the pitches are counted over the total coils.
func (e SpringEnds) counts() (inactive, solid, free float64, perTotal, ok bool) {
	switch e {
	case PlainEnds:
		return 0, 1, 1, true, true
	case PlainGroundEnds:
		return 1, 0, 0, true, true
	case ClosedEnds:
		return 2, 1, 3, false, true
	case ClosedGroundEnds:
		return 2, 0, 2, false, true
	default:
		return 0, 0, 0, false, false
	}
}

// Winding is how a compression spring is wound: its ends, its wire and all the
// coils that can be counted.
type Winding struct {
	Ends SpringEnds
	Wire units.Measured[units.Length] // d
	// Total is the count of all coils, end coils with them (a count of turns;
	// parts of a turn count), and TotalU its standard uncertainty.
	Total, TotalU float64
}

// Wound is what a winding makes of a spring.
type Wound struct {
	Winding Winding
	Active  float64 // N, coils that act (a count of turns)
	// Solid is the height with all coils closed. Its uncertainty is stated
	// where that of the wire is.
	Solid units.Measured[units.Length]
}

// Coils answers how many coils act and how high the spring is with all of them
// closed:
//
//	plain           N = Total       solid = (Total + 1) d
//	plain, ground   N = Total - 1   solid = Total d
//	closed          N = Total - 2   solid = (Total + 1) d
//	closed, ground  N = Total - 2   solid = Total d
//
// with d = Wire and u^2 = (n u_d)^2 + (d TotalU)^2, n the coils of the height.
// For plain ground ends one textbook counts N = Total - 1/2. The count of coils
// of a ground end is uncertain by some tenths, and paint or plating adds to the
// wire: a solid height read on the bench goes before this one.
//
// Unknown ends are ErrMissing; a wire not over 0, a count that leaves no active
// coil or is over 1000 ErrRange.
//
// Source: Machinery's Handbook, 31st ed. (2020), p. 318, Table 3.
//
// Rows: ends-plain-n, ends-plain-sh, ends-plain-ground-n, ends-plain-ground-sh,
// ends-closed-n, ends-closed-sh, ends-closed-ground-n, ends-closed-ground-sh,
// mh31-ex-sh, wind-solid-u.
func (w Winding) Coils() (Wound, error) {
	if err := checkMeasuredSize("Wire", w.Wire); err != nil {
		return Wound{}, err
	}
	inactive, solid, _, _, ok := w.Ends.counts()
	if !ok {
		return Wound{}, fail("Ends", w.Ends.String(), units.ErrMissing, "want the kind of ends")
	}
	if !(w.Total > inactive && w.Total <= 1000) {
		return Wound{}, fail("Total", plain(w.Total), units.ErrRange, "want over "+plain(inactive)+" and up to 1000 coils")
	}
	if !(w.TotalU >= 0 && w.TotalU <= 1000) {
		return Wound{}, fail("TotalU", plain(w.TotalU), units.ErrRange, "want a standard uncertainty of 0 to 1000 coils")
	}
	d, n := w.Wire.Value.Meters(), w.Total+solid
	r := Wound{Winding: w, Active: w.Total - inactive, Solid: units.Unstated(count(n * d))}
	if r.Solid.Value > maxSize {
		return Wound{}, fail("Total", plain(w.Total), units.ErrRange, "want a solid height of up to 10 m")
	}
	if w.Wire.Stated {
		r.Solid = units.WithU(r.Solid.Value, count(math.Hypot(n*w.Wire.U.Meters(), d*w.TotalU)))
	}
	return r, nil
}

// Working returns the derivation.
func (w Wound) Working() units.Working {
	inactive, solid, _, _, ok := w.Winding.Ends.counts()
	if !ok {
		return nil
	}
	t := plain(w.Winding.Total)
	return units.Working{
		{Symbol: "N", Formula: "total coils - " + plain(inactive), Numbers: t + " - " + plain(inactive), Value: plain(w.Active), Source: endTypes},
		{Symbol: "solid", Formula: "(total coils + " + plain(solid) + ") d", Numbers: "(" + t + " + " + plain(solid) + ") " + num(w.Winding.Wire.Value), Value: measuredText(w.Solid), Source: endTypes},
	}
}

var endTypes = units.Source{Text: "Machinery's Handbook, 31st ed. (2020), p. 318, Table 3", Provenance: units.Verified}

// Pitch answers how far the coils stand apart, middle to middle, in a spring of
// this winding with a free length FL:
//
//	plain           p = (FL - d)/N
//	plain, ground   p = FL/Total
//	closed          p = (FL - 3 d)/N
//	closed, ground  p = (FL - 2 d)/N
//
// Errors as for Coils; a free length under the solid height is ErrImpossible, a
// pitch over 10 m ErrRange.
//
// Source: Machinery's Handbook, 31st ed. (2020), p. 318, Table 3.
//
// Rows: ends-plain-p, ends-plain-ground-p, ends-closed-p, ends-closed-ground-p.
func (w Winding) Pitch(free units.Length) (units.Length, error) {
	c, err := w.Coils()
	if err != nil {
		return 0, err
	}
	if err := checkSize("free", free); err != nil {
		return 0, err
	}
	if free < c.Solid.Value {
		return 0, fail("free", text(free), units.ErrImpossible, "want at least the solid height, "+text(c.Solid.Value))
	}
	_, _, wires, perTotal, _ := w.Ends.counts()
	n := c.Active
	if perTotal {
		n = w.Total
	}
	p := (free.Meters() - wires*w.Wire.Value.Meters()) / n
	if p > maxSize.Meters() {
		return 0, fail("Total", plain(w.Total), units.ErrRange, "want enough coils for a pitch of up to 10 m")
	}
	return count(p), nil
}

// FreeLength answers how long a spring of this winding is with its coils at a
// pitch, the reverse of Pitch. Errors as for Coils; a pitch under the wire
// diameter is ErrImpossible.
//
// Source: Machinery's Handbook, 31st ed. (2020), p. 318, Table 3.
//
// Rows: ends-plain-fl, ends-plain-ground-fl, ends-closed-fl,
// ends-closed-ground-fl.
func (w Winding) FreeLength(pitch units.Length) (units.Length, error) {
	c, err := w.Coils()
	if err != nil {
		return 0, err
	}
	if err := checkSize("pitch", pitch); err != nil {
		return 0, err
	}
	if pitch < w.Wire.Value {
		return 0, fail("pitch", text(pitch), units.ErrImpossible, "want at least the wire diameter, "+text(w.Wire.Value))
	}
	_, _, wires, perTotal, _ := w.Ends.counts()
	n := c.Active
	if perTotal {
		n = w.Total
	}
	f := n*pitch.Meters() + wires*w.Wire.Value.Meters()
	if f > maxSize.Meters() {
		return 0, fail("pitch", text(pitch), units.ErrRange, "want a free length of up to 10 m")
	}
	return count(f), nil
}

// TotalFor answers how many coils a spring of these ends has in all where so
// many act (counts of turns): N, N + 1, N + 2 and N + 2. Unknown ends are
// ErrMissing, a count not over 0 or over 1000 ErrRange.
//
// Source: Machinery's Handbook, 31st ed. (2020), p. 318, Table 3.
//
// Rows: mh31-ex-tc, sad-8-1-nt, wen-8-2-nt, ends-plain-ground-tc.
func (e SpringEnds) TotalFor(active float64) (float64, error) {
	inactive, _, _, _, ok := e.counts()
	if !ok {
		return 0, fail("SpringEnds", e.String(), units.ErrMissing, "want the kind of ends")
	}
	if !(active > 0 && active <= 1000) {
		return 0, fail("active", plain(active), units.ErrRange, "want over 0 and up to 1000 coils")
	}
	return active + inactive, nil
}

// PitchReading is a spring whose coils are counted by their pitch.
type PitchReading struct {
	Ends              SpringEnds
	Wire, Pitch, Free units.Length
}

// Total answers how many coils there are in all (a count of turns), by the
// pitch and the free length FL:
//
//	plain (FL - d)/p, plain ground FL/p, closed (FL - 3 d)/p + 2,
//	closed ground (FL - 2 d)/p + 2
//
// Errors: unknown ends; a length not over 0; a pitch under the wire diameter or
// a free length that leaves no coil (ErrImpossible).
//
// Source: Machinery's Handbook, 31st ed. (2020), p. 318, Table 3.
//
// Rows: ends-plain-count, ends-plain-ground-count, ends-closed-count,
// ends-closed-ground-count.
func (r PitchReading) Total() (float64, error) {
	inactive, _, wires, perTotal, ok := r.Ends.counts()
	if !ok {
		return 0, fail("Ends", r.Ends.String(), units.ErrMissing, "want the kind of ends")
	}
	for _, v := range [...]struct {
		name string
		l    units.Length
	}{{"Wire", r.Wire}, {"Pitch", r.Pitch}, {"Free", r.Free}} {
		if err := checkSize(v.name, v.l); err != nil {
			return 0, err
		}
	}
	if r.Pitch < r.Wire {
		return 0, fail("Pitch", text(r.Pitch), units.ErrImpossible, "want at least the wire diameter, "+text(r.Wire))
	}
	n := (r.Free.Meters() - wires*r.Wire.Meters()) / r.Pitch.Meters()
	if !(n > 0) {
		return 0, fail("Free", text(r.Free), units.ErrImpossible, "want a free length that holds more than the end coils")
	}
	if perTotal {
		return n, nil
	}
	return n + inactive, nil
}
