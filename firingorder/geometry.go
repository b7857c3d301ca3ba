package firingorder

import (
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// Crank names a crank by its geometry: the angles of the pins that one bank sits
// on, in the order along the shaft.
type Crank uint8

// The cranks with their pin angles, crank degrees in rotation. A config's
// Mirrored takes their negatives: the mirror image of the crank, or the same one
// turning the other way.
const (
	CrankUnstated   Crank = iota
	OnePin                // 0
	TwoParallel           // 0 0
	TwoOpposed            // 0 180
	TwoQuarter            // 0 90
	ThreeEven             // 0 240 120
	FourSinglePlane       // 0 180 180 0
	FourTwoPlane          // 0 90 270 180
	FiveInLine            // 0 216 144 72 288
	FiveStar              // 0 72 288 144 216
	SixEven               // 0 240 120 120 240 0
	EightSplit            // 0 180 270 90 90 270 180 0: a four inside a four
	EightTwoFours         // 0 180 180 0 270 90 90 270
)

// String returns the name of the crank.
func (k Crank) String() string {
	return named(k, "not stated", "one pin", "two pins in line", "two pins opposed", "two pins at 90 degrees",
		"three pins at 120 degrees", "four pins in one plane", "four pins in two planes", "five pins in line order", "five pins in star order",
		"six pins at 120 degrees", "eight pins, a four inside a four", "eight pins, two fours at 90 degrees")
}

func (k Crank) pins() []int64 {
	switch k {
	case OnePin:
		return []int64{0}
	case TwoParallel:
		return []int64{0, 0}
	case TwoOpposed:
		return []int64{0, 180}
	case TwoQuarter:
		return []int64{0, 90}
	case ThreeEven:
		return []int64{0, 240, 120}
	case FourSinglePlane:
		return []int64{0, 180, 180, 0}
	case FourTwoPlane:
		return []int64{0, 90, 270, 180}
	case FiveInLine:
		return []int64{0, 216, 144, 72, 288}
	case FiveStar:
		return []int64{0, 72, 288, 144, 216}
	case SixEven:
		return []int64{0, 240, 120, 120, 240, 0}
	case EightSplit:
		return []int64{0, 180, 270, 90, 90, 270, 180, 0}
	case EightTwoFours:
		return []int64{0, 180, 180, 0, 270, 90, 90, 270}
	default:
		return nil
	}
}

func pinTurns(k Crank, mirrored bool) ([]Turn, error) {
	p := k.pins()
	if p == nil {
		return nil, refuse("Crank", k.String(), "want a named crank", units.ErrMissing)
	}
	t := make([]Turn, len(p))
	for i, d := range p {
		if mirrored {
			d = (360 - d) % 360
		}
		t[i] = reduced(d, 360)
	}
	return t, nil
}

// InlineConfig describes an in-line engine, numbered along the shaft.
type InlineConfig struct {
	Crank        Crank // sets the number of cylinders; CrankUnstated is refused
	Mirrored     bool  // every pin angle negative
	NumberedFrom End
	Rotation     Rotation
}

// Inline returns the layout of an in-line engine of 1 to 6 or 8 cylinders, one
// bank "A", each cylinder on a pin of its own:
//
//	TDC = pin1 - pin   modulo 360
//
// with the pins that Crank lists (crank deg in rotation), their negatives if
// Mirrored.
//
// Errors: units.ErrMissing for no named crank, units.ErrRange for an unknown end
// or rotation.
//
// Source: geometry of a crank without pin offset; the cranks follow from the
// orders that the rows print (pin = axis - firing angle), the one of the in-line
// five from the order 1-2-4-5-3, which is common practice.
//
// Rows: inline-1-tdc, inline-2-tdc, inline-3-tdc, inline-4-tdc,
// inline-4-two-plane-tdc, inline-5-tdc, inline-6-tdc, inline-6-mirrored-tdc,
// inline-8-split-tdc, inline-8-two-fours-tdc, fo-in-line-six,
// fo-in-line-four-alternative, fo-in-line-eight.
func Inline(c InlineConfig) (*Layout, error) {
	t, err := pinTurns(c.Crank, c.Mirrored)
	if err != nil {
		return nil, err
	}
	cfg := Config{Banks: []Bank{{Name: "A"}}, Throws: t, NumberedFrom: c.NumberedFrom, Rotation: c.Rotation}
	for i := range t {
		cfg.Cylinders = append(cfg.Cylinders, Cylinder{"A", i + 1})
	}
	return NewLayout(cfg)
}

// Numbering is how the cylinders of two or more banks are numbered.
type Numbering uint8

// The ways. Cylinder 1 is the first of bank A in the first two; n is the number of
// cylinders. AlongShaft is for a Scheme alone; the constructors refuse it.
const (
	NumberingUnstated Numbering = iota
	Alternating                 // A1 = 1, B1 = 2, A2 = 3
	Bankwise                    // A1 = 1, A2 = 2, then B1 = n/2 + 1
	AlongShaft                  // in the sequence of the throws, whatever the bank
)

// String returns the name of the scheme.
func (n Numbering) String() string {
	return named(n, "not stated", "alternating", "bankwise", "along the shaft")
}

// Passed says when the crank passes the bank of cylinder 1 across the bank angle.
type Passed uint8

// The orientations.
const (
	PassedUnstated Passed = iota
	PassedFirst           // bank B lies the bank angle after bank A in rotation
	PassedLast            // bank B lies the bank angle before bank A
)

// String returns the name of the orientation.
func (p Passed) String() string { return named(p, "not stated", "passed first", "passed last") }

// VConfig describes an engine with two banks.
type VConfig struct {
	Crank     Crank // the pins of bank A; sets half the number of cylinders
	Mirrored  bool  // every pin angle of Crank negative; Split keeps its sign
	BankAngle Turn  // over 0, at most half a turn
	// Split is the pin of bank B less the pin of its neighbor in bank A,
	// positive in rotation; 0 is a shared pin.
	Split        Turn
	Numbering    Numbering
	BankOfOne    Passed
	NumberedFrom End
	Rotation     Rotation
}

// V returns the layout of a V engine, banks "A" and "B". For a cylinder of bank
// A, and for its neighbor in bank B,
//
//	TDC(A) = pin1 - pin
//	TDC(B) = TDC(A) + s V - split   modulo 360
//
// with the pins that Crank lists (crank deg in rotation), V = BankAngle, s = +1
// if the bank of cylinder 1 is passed first and -1 if last, split = Split. Firing
// is even with split = s V - k 720/n for some whole k: for a V6 of 60, 72, 90 and
// 120 degrees passed first -60, -48, -30 and 0. Numbering and orientation must be
// stated: an order is right under one of them and impossible under another.
//
// Errors: units.ErrMissing for no crank, numbering or orientation, units.ErrRange
// for a bank angle of 0, less, or over half a turn, units.ErrInexact for
// fractions too fine to add.
//
// Source: geometry of a crank without pin offset; printed split: service manual on
// the crankshaft of a 72 degree V6; order: Auto Engine Repair (2021), p. 126, Fig.
// 6-2.
//
// Rows: v8-feasible-1-8-4-3-6-5-7-2-alternating-last,
// v8-feasible-1-8-4-3-6-5-7-2-bankwise-first, v6-60-split, v6-72-split,
// v6-90-split, v10-72-split, v2-45-spacing, v10-90-oddfire,
// v6-90-tdc, v12-60-tdc, fo-v12, same-pattern-v8.
func V(c VConfig) (*Layout, error) {
	pins, err := pinTurns(c.Crank, c.Mirrored)
	if err != nil {
		return nil, err
	}
	if c.Numbering != Alternating && c.Numbering != Bankwise {
		return nil, refuse("Numbering", c.Numbering.String(), "want Alternating or Bankwise", units.ErrMissing)
	}
	v := c.BankAngle
	if v.num <= 0 || v.num > (v.denMinus1+1)/2 {
		return nil, refuse("BankAngle", v.String(), "want over 0 and at most half a turn", units.ErrRange)
	}
	switch c.BankOfOne {
	case PassedFirst:
	case PassedLast:
		v.num = -v.num
	default:
		return nil, refuse("BankOfOne", c.BankOfOne.String(), "want PassedFirst or PassedLast", units.ErrMissing)
	}
	cfg := Config{Banks: []Bank{{Name: "A"}, {"B", v}}, Throws: pins, NumberedFrom: c.NumberedFrom, Rotation: c.Rotation}
	split := c.Split.num != 0
	if split {
		cfg.Throws = nil
		for _, p := range pins {
			q, ok := p.plus(c.Split)
			if !ok {
				return nil, refuse("Split", c.Split.String(), "too fine a fraction", units.ErrInexact)
			}
			cfg.Throws = append(cfg.Throws, p, q)
		}
	}
	var a, b []Cylinder
	for i := range pins {
		ta, tb := i+1, i+1
		if split {
			ta, tb = 2*i+1, 2*i+2
		}
		a, b = append(a, Cylinder{"A", ta}), append(b, Cylinder{"B", tb})
	}
	if c.Numbering == Bankwise {
		cfg.Cylinders = slices.Concat(a, b)
	} else {
		for i := range a {
			cfg.Cylinders = append(cfg.Cylinders, a[i], b[i])
		}
	}
	return NewLayout(cfg)
}

// BoxerConfig describes an opposed engine in which facing pistons move against
// each other: banks and neighboring pins 180 degrees apart.
type BoxerConfig struct {
	Cylinders    int  // 2, 4 or 6
	Mirrored     bool // every pin angle negative
	Numbering    Numbering
	NumberedFrom End
	Rotation     Rotation
}

// Boxer returns the layout of an opposed engine of 2, 4 or 6 cylinders: a V with
// BankAngle and Split of 180 crank degrees, so that facing cylinders reach TDC
// together,
//
//	TDC(A) = TDC(B) = pin1 - pin   modulo 360
//
// with the pins of bank A (crank deg in rotation) 0, 0 180 or 0 240 120, their
// negatives if Mirrored.
//
// Errors: units.ErrRange for another number of cylinders, units.ErrMissing for no
// numbering.
//
// Source: FAA-H-8083-32, chapter 1, for the orders of the four and the six.
//
// Rows: boxer-2-tdc, boxer-4-tdc, boxer-6-tdc, fo-opposed-six, fo-opposed-four-a,
// boxer-6-order, boxer-4-order.
func Boxer(c BoxerConfig) (*Layout, error) {
	v := VConfig{
		Mirrored: c.Mirrored, BankAngle: reduced(1, 2), Split: reduced(1, 2), Numbering: c.Numbering,
		BankOfOne: PassedFirst, NumberedFrom: c.NumberedFrom, Rotation: c.Rotation,
	}
	switch c.Cylinders {
	case 2:
		v.Crank = OnePin
	case 4:
		v.Crank = TwoOpposed
	case 6:
		v.Crank = ThreeEven
	default:
		return nil, refuse("Cylinders", strconv.Itoa(c.Cylinders), "want 2, 4 or 6", units.ErrRange)
	}
	return V(v)
}
