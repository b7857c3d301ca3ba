package clearance

import (
	"math"
	"strings"

	"example.com/trialfit/units"
)

// DialReadings are the signed readings of one dial indicator that kept its
// zero, in the order taken.
type DialReadings []units.Measured[units.Length]

// Sweep is what a dial indicator showed over a turn or a stroke.
type Sweep struct {
	Min, Max units.Measured[units.Length]
	MinIndex int // reading it was, from 0
	MaxIndex int
	Total    units.Measured[units.Length] // Max - Min, total indicator reading
	Bend     units.Measured[units.Length] // Total/2: offset of a bent shaft's axis
}

// Sweep answers the total indicator reading of a dial and the bend it means:
//
//	total = largest - smallest reading     bend = total/2
//
// Readings are signed and are not added up. The bend holds for a round shaft
// turned between supports; out-of-round journals read as well. The common
// zero of the dial cancels. Errors: under two readings, a negative uncertainty.
//
// Source: US Army TM 10-3930-664-24 p. 3-41 (its worked figure; the page lays
// it out as a sum, which is not what it states).
//
// Rows: tir-example, tir-bend.
func (r DialReadings) Sweep() (Sweep, error) {
	if len(r) < 2 {
		return Sweep{}, fail("DialReadings", "", units.ErrMissing, "want at least two readings")
	}
	if len(r) > maxReadings {
		return Sweep{}, fail("DialReadings", "", units.ErrRange, "want at most 10000 readings")
	}
	s := Sweep{Min: r[0], Max: r[0]}
	for i, m := range r {
		if err := checkReading("DialReadings", m); err != nil {
			return Sweep{}, checkReading(at("DialReadings", i), m)
		}
		if m.Value < s.Min.Value {
			s.Min, s.MinIndex = m, i
		}
		if m.Value > s.Max.Value {
			s.Max, s.MaxIndex = m, i
		}
	}
	s.Total = sub(s.Max, s.Min)
	s.Bend = result(div(s.Total.Value, 2), s.Total.Stated, float64(s.Total.U)/2)
	return s, nil
}

// Working returns the derivation.
func (s Sweep) Working() units.Working {
	return units.Working{
		{Symbol: "TIR", Formula: "largest - smallest reading", Numbers: num(s.Max.Value) + " - (" + num(s.Min.Value) + ")", Value: measuredText(s.Total), Source: definition},
		{Symbol: "bend", Formula: "TIR/2", Numbers: num(s.Total.Value) + "/2", Value: measuredText(s.Bend), Source: definition},
	}
}

// EndPlayReadings are dial readings with the shaft pried each way.
type EndPlayReadings struct {
	Forward, Rearward DialReadings // readings with the shaft pried that way
}

// EndPlay is how far a shaft floats along its axis.
type EndPlay struct {
	Play              units.Measured[units.Length]
	Forward, Rearward units.Measured[units.Length] // means of the repeats
}

// EndPlay answers how far a shaft floats:
//
//	play = |mean forward - mean rearward|
//
// the largest minus the smallest reading where each side is read once; which
// way the dial counts does not matter. Errors: a side without a reading, a
// negative uncertainty.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: play-dial, tir-example.
func (r EndPlayReadings) EndPlay() (EndPlay, error) {
	f, err := meanOf("Forward", r.Forward)
	if err != nil {
		return EndPlay{}, err
	}
	b, err := meanOf("Rearward", r.Rearward)
	if err != nil {
		return EndPlay{}, err
	}
	p := sub(f, b)
	p.Value = p.Value.Abs()
	return EndPlay{Play: p, Forward: f, Rearward: b}, nil
}

func meanOf(field string, r DialReadings) (units.Measured[units.Length], error) {
	var none units.Measured[units.Length]
	if len(r) == 0 {
		return none, fail(field, "", units.ErrMissing, "want at least one reading")
	}
	if len(r) > maxReadings {
		return none, fail(field, "", units.ErrRange, "want at most 10000 readings")
	}
	var s sums
	for i, m := range r {
		if checkReading(field, m) != nil {
			return none, checkReading(at(field, i), m)
		}
		s.add(m)
	}
	return s.mean(0), nil
}

// Working returns the derivation.
func (e EndPlay) Working() units.Working {
	return units.Working{{Symbol: "play", Formula: "|forward - rearward|", Numbers: "|" + num(e.Forward.Value) + " - " + num(e.Rearward.Value) + "|", Value: measuredText(e.Play), Source: definition}}
}

// Feeler is a stack of feeler leaves that just goes into a gap.
type Feeler []units.Measured[units.Length]

// Gap answers how wide the gap is that a stack of leaves just fills:
//
//	gap = sum of the leaves
//
// Dirt or burrs between leaves add to it and are not seen. Errors: no leaf,
// over 20 leaves, a leaf not over 0, a negative uncertainty.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: feeler-stack.
func (f Feeler) Gap() (units.Measured[units.Length], error) {
	var none units.Measured[units.Length]
	if len(f) == 0 {
		return none, fail("Feeler", "", units.ErrMissing, "want at least one leaf")
	}
	if len(f) > 20 {
		return none, fail("Feeler", "", units.ErrRange, "want at most 20 leaves")
	}
	var sum units.Length
	stated, var2 := true, 0.0
	for i, m := range f {
		if checkPositive("Feeler", m) != nil {
			return none, checkPositive(at("Feeler", i), m)
		}
		sum += m.Value
		stated = stated && m.Stated
		var2 += float64(float64(m.U) * float64(m.U))
	}
	return result(sum, stated, math.Sqrt(var2)), nil
}

// RodsOnPin are the widths read of one crankpin and the rods beside each
// other on it.
type RodsOnPin struct {
	PinWidth  units.Measured[units.Length]   // between the cheeks
	RodWidths []units.Measured[units.Length] // big ends, one or two
}

// RodSide is the side clearance of the rods on one pin.
type RodSide struct {
	Rods  RodsOnPin
	Total units.Measured[units.Length] // all the gap there is, as a feeler reads it with the rods pushed together
}

// SideClearance answers how much side clearance the rods on a pin share:
//
//	total = PinWidth - sum of RodWidths
//
// A negative total is data: the rods do not go in. Errors: no rod or over
// two, a width not over 0, a negative uncertainty.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: rod-side-two.
func (r RodsOnPin) SideClearance() (RodSide, error) {
	if err := checkPositive("PinWidth", r.PinWidth); err != nil {
		return RodSide{}, err
	}
	if len(r.RodWidths) == 0 {
		return RodSide{}, fail("RodWidths", "", units.ErrMissing, "want one or two rods")
	}
	if len(r.RodWidths) > 2 {
		return RodSide{}, fail("RodWidths", "", units.ErrRange, "want one or two rods on a pin")
	}
	t := r.PinWidth
	for i, w := range r.RodWidths {
		if checkPositive("RodWidths", w) != nil {
			return RodSide{}, checkPositive(at("RodWidths", i), w)
		}
		t = sub(t, w)
	}
	return RodSide{Rods: r, Total: t}, nil
}

// Working returns the derivation.
func (s RodSide) Working() units.Working {
	n := []string{num(s.Rods.PinWidth.Value)}
	for _, w := range s.Rods.RodWidths {
		n = append(n, num(w.Value))
	}
	return units.Working{{Symbol: "side clearance", Formula: "pin width - rod widths", Numbers: strings.Join(n, " - "), Value: measuredText(s.Total), Source: definition}}
}
