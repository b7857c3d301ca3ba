package firingorder

import (
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// Pins returns the pin angles that the crank is named for, along the shaft and
// positive in rotation, as fractions of a turn; the negatives of a mirrored crank
// are its mirror image or the same crank turning the other way.
//
// Errors: units.ErrMissing for no named crank.
//
// Source: definition, the list at Crank.
//
// Rows: w12-60-multibank, v8-90-multibank, v10-90-multibank.
func (k Crank) Pins() ([]Turn, error) { return pinTurns(k, false) }

// MultiBankConfig describes an engine of any number of banks on one crank, each
// bank with a cylinder at every place along the shaft.
type MultiBankConfig struct {
	Pins []Turn // pin of bank A at each place along the shaft, positive in rotation
	Axes []Turn // cylinder axes of banks A, B, C and so on, positive in rotation; 1 to 26
	// Splits[k] is the pin of bank k less the pin of bank A at the same place,
	// positive in rotation; Splits[0] is 0. None: every place is one pin.
	Splits []Turn
	// Individual gives every cylinder a throw of its own, whatever the splits;
	// otherwise banks of equal split share the pin of a place.
	Individual   bool
	Numbering    Numbering // Alternating: A1 B1 C1 A2 and so on; Bankwise: A1 A2 and so on, then B1
	NumberedFrom End
	Rotation     Rotation
}

// MultiBank returns the layout of an engine with any number of banks at any
// angles: in-line, V, W or broad arrow, X. For the cylinder of bank k at place p
//
//	TDC = (axis_k - split_k - pin_p) - (axis_1 - pin_1)   modulo 360
//
// with axis = Axes, split = Splits, pin = Pins (crank deg in rotation). A bank
// passed before bank A has a negative axis. Banks are named A, B, C; throws stand
// along the shaft place by place, the pins of a place in the order of the banks.
//
// An engine of two cranks geared together (an H) is data for NewLayout: all throws
// and axes are measured in the rotation of the crank they belong to, from its
// position at one common moment.
//
// Errors: units.ErrMissing for no pins, no axes or no numbering, units.ErrRange for
// more than 26 banks or 64 cylinders, units.ErrConflict for splits that are not one
// for each bank or not 0 for bank A, units.ErrInexact for fractions too fine to add.
//
// Source: geometry of a crank without pin offset; rods on one pin are taken side
// by side, none of them a link rod (LinkRod tells what one shifts).
//
// Rows: w12-60-multibank, w3-multibank, x8-multibank, v8-90-multibank,
// v10-90-multibank.
func MultiBank(c MultiBankConfig) (*Layout, error) {
	banks := len(c.Axes)
	switch {
	case len(c.Pins) == 0:
		return nil, refuse("Pins", "", "want at least one", units.ErrMissing)
	case banks == 0:
		return nil, refuse("Axes", "", "want at least one", units.ErrMissing)
	case banks > 26:
		return nil, refuse("Axes", strconv.Itoa(banks), "want at most 26 banks", units.ErrRange)
	case len(c.Pins) > maxCylinders/banks:
		return nil, refuse("Pins", strconv.Itoa(len(c.Pins)), "want at most 64 cylinders", units.ErrRange)
	case c.Splits != nil && len(c.Splits) != banks:
		return nil, refuse("Splits", strconv.Itoa(len(c.Splits)), "want none or one for each bank", units.ErrConflict)
	case c.Splits != nil && c.Splits[0] != Turn{}:
		return nil, refuse("Splits[0]", c.Splits[0].String(), "want 0 for bank A", units.ErrConflict)
	case c.Numbering != Alternating && c.Numbering != Bankwise:
		return nil, refuse("Numbering", c.Numbering.String(), "want Alternating or Bankwise", units.ErrMissing)
	}
	splits := c.Splits
	if splits == nil {
		splits = make([]Turn, banks)
	}
	cfg := Config{NumberedFrom: c.NumberedFrom, Rotation: c.Rotation}
	for k, a := range c.Axes {
		cfg.Banks = append(cfg.Banks, Bank{string(rune('A' + k)), a})
	}
	for _, p := range c.Pins { // Alternating
		for k, s := range splits {
			j := slices.Index(splits[:k], s)
			if j < 0 || c.Individual {
				q, ok := p.plus(s)
				if !ok {
					return nil, refuse("Splits["+strconv.Itoa(k)+"]", s.String(), "too fine a fraction", units.ErrInexact)
				}
				cfg.Throws = append(cfg.Throws, q)
				cfg.Cylinders = append(cfg.Cylinders, Cylinder{cfg.Banks[k].Name, len(cfg.Throws)})
				continue
			}
			cfg.Cylinders = append(cfg.Cylinders, Cylinder{cfg.Banks[k].Name, cfg.Cylinders[len(cfg.Cylinders)-k+j].Throw})
		}
	}
	if c.Numbering == Bankwise {
		alternating := cfg.Cylinders
		cfg.Cylinders = nil
		for k := range banks {
			for i := k; i < len(alternating); i += banks {
				cfg.Cylinders = append(cfg.Cylinders, alternating[i])
			}
		}
	}
	return NewLayout(cfg)
}

// RadialConfig describes a radial engine of one row or two.
type RadialConfig struct {
	Cylinders int // of all rows together
	Rows      int // 1, or 2 staggered by half a pitch with their pins 180 degrees apart
	// AgainstRotation says that the numbers run against crank rotation; false is
	// the numbering of FAA-H-8083-32, clockwise seen from the accessory end where
	// the crank turns clockwise seen from there.
	AgainstRotation bool
	NumberedFrom    End // the end of throw 1, the row of cylinder 1; FreeEnd in that handbook
	Rotation        Rotation
}

// Radial returns the layout of a radial with all rods of a row on one pin. With n
// cylinders in all, cylinder k stands at
//
//	axis = s (k - 1) 360/n,   pin = 0 for odd k, 180 for even k of two rows
//
// with n = Cylinders and s = +1, or -1 with AgainstRotation (crank deg). Every
// cylinder is a bank of its own, named c1, c2 and so on.
//
// The rods are taken as concentric with the pin; the link rods of a real radial
// shift TDC, see LinkRod. A row fires evenly on four strokes only with an odd
// number of cylinders; an even number is allowed (two-stroke).
//
// Errors: units.ErrRange for rows other than 1 and 2, fewer than 3 cylinders a row
// or more than 64 in all, units.ErrConflict for a number that the rows do not
// divide.
//
// Source: FAA-H-8083-32, chapter 1: numbering, and two rows with odd numbers in the
// rear; geometry of a crank without pin offset.
//
// Rows: radial5-layout, radial9-layout, radial14-layout, radial18-layout.
func Radial(c RadialConfig) (*Layout, error) {
	n := c.Cylinders
	switch {
	case c.Rows != 1 && c.Rows != 2:
		return nil, refuse("Rows", strconv.Itoa(c.Rows), "want 1 or 2", units.ErrRange)
	case n < 3*c.Rows || n > maxCylinders:
		return nil, refuse("Cylinders", strconv.Itoa(n), "want 3 a row to 64 in all", units.ErrRange)
	case n%c.Rows != 0:
		return nil, refuse("Cylinders", strconv.Itoa(n), "want as many in one row as in the other", units.ErrConflict)
	}
	cfg := Config{Throws: []Turn{{}, reduced(1, 2)}[:c.Rows], NumberedFrom: c.NumberedFrom, Rotation: c.Rotation}
	for k := range n {
		num := int64(k)
		if c.AgainstRotation {
			num = -num
		}
		name := "c" + strconv.Itoa(k+1)
		cfg.Banks = append(cfg.Banks, Bank{name, reduced(num, int64(n))})
		cfg.Cylinders = append(cfg.Cylinders, Cylinder{name, 1 + k%c.Rows})
	}
	return NewLayout(cfg)
}
