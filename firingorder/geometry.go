package firingorder

import (
	"fmt"
	"slices"

	"example.com/trialfit/units"
)

// Crank names a crank by its geometry: the pin angles of one bank.
type Crank uint8

// The cranks, pin angles in degrees in rotation. Mirrored takes their negatives.
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
		return nil, refuse("Crank", fmt.Sprint(uint8(k)), "want a named crank", units.ErrMissing)
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
	Crank        Crank
	Mirrored     bool
	NumberedFrom End
	Rotation     Rotation
}

// Inline returns the layout of an in-line engine of 1 to 6 or 8 cylinders.
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

// Numbering is how the cylinders of two banks are numbered.
type Numbering uint8

// The schemes. Cylinder 1 is the first of bank A in both.
const (
	NumberingUnstated Numbering = iota
	Alternating                 // A1 = 1, B1 = 2, A2 = 3
	Bankwise                    // all of bank A, then all of bank B
)

// Passed says when the crank passes the bank of cylinder 1 across the bank angle.
type Passed uint8

// The orientations.
const (
	PassedUnstated Passed = iota
	PassedFirst           // bank B lies the bank angle after bank A in rotation
	PassedLast            // bank B lies the bank angle before bank A
)

// VConfig describes an engine with two banks.
type VConfig struct {
	Crank     Crank // the pins of bank A
	Mirrored  bool
	BankAngle Turn // over 0, at most half a turn
	// Split is the pin of bank B less the pin of its neighbor in bank A,
	// positive in rotation; 0 is a shared pin.
	Split        Turn
	Numbering    Numbering
	BankOfOne    Passed
	NumberedFrom End
	Rotation     Rotation
}

// V returns the layout of a V engine. Numbering and orientation must be stated:
// the same order is right under one of them and impossible under another.
//
// Rows: v8-feasible-1-8-4-3-6-5-7-2-alternating-last, v8-feasible-1-8-4-3-6-5-7-2-bankwise-first.
func V(c VConfig) (*Layout, error) {
	pins, err := pinTurns(c.Crank, c.Mirrored)
	if err != nil {
		return nil, err
	}
	if c.Numbering != Alternating && c.Numbering != Bankwise {
		return nil, refuse("Numbering", "", "want Alternating or Bankwise", units.ErrMissing)
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
		return nil, refuse("BankOfOne", "", "want PassedFirst or PassedLast", units.ErrMissing)
	}
	cfg := Config{Banks: []Bank{{Name: "A"}, {"B", v}}, Throws: pins, NumberedFrom: c.NumberedFrom, Rotation: c.Rotation}
	split := c.Split.num != 0
	if split {
		cfg.Throws = nil
		for _, p := range pins {
			pd, sd := p.denMinus1+1, c.Split.denMinus1+1
			if sd > maxDenominator/pd {
				return nil, refuse("Split", c.Split.String(), "too fine a fraction", units.ErrInexact)
			}
			num := p.num*sd + c.Split.num%sd*pd
			cfg.Throws = append(cfg.Throws, p, reduced(num, pd*sd))
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
	Cylinders    int // 2, 4 or 6
	Mirrored     bool
	Numbering    Numbering
	NumberedFrom End
	Rotation     Rotation
}

// Boxer returns the layout of an opposed engine.
func Boxer(c BoxerConfig) (*Layout, error) {
	v := VConfig{Mirrored: c.Mirrored, BankAngle: reduced(1, 2), Split: reduced(1, 2), Numbering: c.Numbering,
		BankOfOne: PassedFirst, NumberedFrom: c.NumberedFrom, Rotation: c.Rotation}
	switch c.Cylinders {
	case 2:
		v.Crank = OnePin
	case 4:
		v.Crank = TwoOpposed
	case 6:
		v.Crank = ThreeEven
	default:
		return nil, refuse("Cylinders", fmt.Sprint(c.Cylinders), "want 2, 4 or 6", units.ErrRange)
	}
	return V(v)
}
