package clearance

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// CrownReadings are dial readings of a piston's crown at top dead center,
// zeroed on the deck: positive where the crown lies below it. Each side is read
// at a place off the pin's axis, at right angles to it.
type CrownReadings struct {
	Thrust, Opposite DialReadings // repeats at the one place and at the other
	// ThrustOffset and OppositeOffset are how far the places lie from the
	// pin's axis, over 0.
	ThrustOffset, OppositeOffset units.Length
}

// Deck is how far a piston's crown stays below the deck.
type Deck struct {
	Readings CrownReadings
	// Height is at the pin's axis, free of the rock of the piston; negative
	// stands out of the block.
	Height units.Measured[units.Length]
	// Thrust and Opposite are the means of the repeats; Rock is Thrust less
	// Opposite.
	Thrust, Opposite, Rock units.Measured[units.Length]
	// Tilt is Rock over the distance of the places, a true ratio.
	Tilt float64
}

// Deck answers how deep a piston stands at top dead center, rock taken out:
//
//	height = (Thrust OppositeOffset + Opposite ThrustOffset)/(ThrustOffset + OppositeOffset)
//
// since the piston rocks about its pin, the line through the two places gives
// the height over the pin; at equal offsets it is their mean. A reading on the
// pin's axis needs no correction. u by the weights. Errors: a side without a
// reading, over 10,000, a negative uncertainty, an offset that is missing,
// negative or over 100 m, a tilt over a tenth (ErrConflict).
//
// Source: straight line through two points; JCGM 100:2008, 5.1.2.
//
// Rows: deck-mean, deck-offsets, deck-rock, deck-u.
func (c CrownReadings) Deck() (Deck, error) {
	a, err := meanOf("Thrust", c.Thrust)
	if err != nil {
		return Deck{}, err
	}
	b, err := meanOf("Opposite", c.Opposite)
	if err != nil {
		return Deck{}, err
	}
	if err := checkSize("ThrustOffset", c.ThrustOffset); err != nil {
		return Deck{}, err
	}
	if err := checkSize("OppositeOffset", c.OppositeOffset); err != nil {
		return Deck{}, err
	}
	span := float64(c.ThrustOffset + c.OppositeOffset)
	t := float64(c.ThrustOffset) / span // share of the opposite reading
	d := Deck{Readings: c, Thrust: a, Opposite: b, Rock: sub(a, b)}
	if d.Tilt = float64(d.Rock.Value) / span; math.Abs(d.Tilt) > 0.1 {
		return Deck{}, fail("Opposite", text(b.Value), units.ErrConflict, "the crown would lean over a tenth: a misread inch or a mixed unit")
	}
	// From one reading and the difference, which keeps the digits.
	v := a.Value - round(t*float64(a.Value-b.Value))
	if c.ThrustOffset == c.OppositeOffset {
		v = div(a.Value+b.Value, 2)
	}
	d.Height = result(v, a.Stated && b.Stated, math.Hypot((1-t)*float64(a.U), t*float64(b.U)))
	return d, nil
}

// Working returns the derivation.
func (d Deck) Working() units.Working {
	line := units.Source{Text: "straight line through two points", Provenance: units.Computed}
	return units.Working{
		{Symbol: "rock", Formula: "thrust side - opposite side", Numbers: num(d.Thrust.Value) + " - " + num(d.Opposite.Value), Value: measuredText(d.Rock), Source: definition},
		{Symbol: "height", Formula: "(thrust * opposite offset + opposite * thrust offset)/(sum of offsets)", Numbers: "offsets " + num(d.Readings.ThrustOffset) + ", " + num(d.Readings.OppositeOffset), Value: measuredText(d.Height), Source: line},
	}
}

// RockRoom is what lets a piston rock at top dead center.
type RockRoom struct {
	Clearance units.Measured[units.Length] // of the skirt in its bore, diametral
	// Guided is the length over which the skirt bears on the bore.
	Guided units.Measured[units.Length]
	// Offset is how far from the pin's axis the crown is looked at, at right
	// angles to the pin.
	Offset units.Length
}

// Rock is how far a piston can rock.
type Rock struct {
	Room RockRoom
	// Rise is how far the crown moves up or down at the offset, either way from
	// upright.
	Rise units.Measured[units.Length]
	// Tilt is the largest lean, a true ratio; Angle is it in degrees.
	Tilt  float64
	Angle units.CrankAngle
}

// Rock answers how far the crown's edge can rise as the piston rocks in its
// clearance, which a piston-to-head distance has to allow for:
//
//	tilt = Clearance/Guided     rise = Offset tilt
//
// for a straight skirt and small angles: corner to corner it leans by the
// clearance over its guided length. A barrel-shaped skirt leans farther before
// it touches, rings and oil hold it back. Errors: a clearance that is negative,
// a length that is missing or negative, a clearance over a tenth of Guided
// (ErrConflict), an offset that is negative or over 100 m.
//
// Source: geometry of small angles; JCGM 100:2008, 5.1.2.
//
// Rows: rock-rise, rock-rise-u, rock-angle.
func (r RockRoom) Rock() (Rock, error) {
	if err := checkReading("Clearance", r.Clearance); err != nil {
		return Rock{}, err
	}
	if r.Clearance.Value < 0 {
		return Rock{}, fail("Clearance", r.Clearance.Value.String(), units.ErrRange, "want a clearance that is not negative: a piston with none does not rock")
	}
	if err := checkPositive("Guided", r.Guided); err != nil {
		return Rock{}, err
	}
	if err := checkSigned("Offset", r.Offset); err != nil {
		return Rock{}, err
	}
	if r.Offset < 0 {
		return Rock{}, fail("Offset", r.Offset.String(), units.ErrRange, "want a distance from the pin's axis, not negative")
	}
	if r.Clearance.Value > r.Guided.Value/10 {
		return Rock{}, fail("Clearance", text(r.Clearance.Value), units.ErrConflict, "over a tenth of the guided length: a misread inch or a mixed unit")
	}
	k := Rock{Room: r, Tilt: float64(r.Clearance.Value) / float64(r.Guided.Value)}
	a, err := units.CrankDegrees(math.Atan(k.Tilt) * 180 / math.Pi)
	if err != nil {
		return Rock{}, err
	}
	k.Angle = a
	arm := float64(r.Offset) / float64(r.Guided.Value)
	u := math.Abs(arm) * math.Hypot(float64(r.Clearance.U), k.Tilt*float64(r.Guided.U))
	k.Rise = result(round(arm*float64(r.Clearance.Value)), r.Clearance.Stated && r.Guided.Stated, u)
	return k, nil
}

// Working returns the derivation.
func (r Rock) Working() units.Working {
	src := units.Source{Text: "geometry of small angles", Provenance: units.Computed}
	return units.Working{
		{Symbol: "tilt", Formula: "clearance/guided length", Numbers: num(r.Room.Clearance.Value) + "/" + num(r.Room.Guided.Value), Value: strconv.FormatFloat(r.Tilt, 'g', 4, 64) + " (" + r.Angle.Text(3) + ")", Source: src},
		{Symbol: "rise", Formula: "offset * tilt", Numbers: num(r.Room.Offset) + " * " + strconv.FormatFloat(r.Tilt, 'g', 4, 64), Value: measuredText(r.Rise), Source: src},
	}
}
