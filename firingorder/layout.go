package firingorder

import (
	"fmt"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// End is an end of the crankshaft.
type End uint8

// The ends. The zero value says that the end was not stated.
const (
	EndUnstated End = iota
	FreeEnd
	DrivingEnd
)

// Rotation is the sense of crank rotation seen from the free end. Angles are
// positive in rotation, so it changes no result; it records the observer.
type Rotation uint8

// The senses. The zero value says that the sense was not stated.
const (
	RotationUnstated Rotation = iota
	Clockwise
	CounterClockwise
)

// Bank is a row of cylinders: its name and the direction of its axis.
type Bank struct {
	Name string
	Axis Turn
}

// Cylinder says where a cylinder sits: the name of its bank and its throw,
// counted from 1.
type Cylinder struct {
	Bank  string
	Throw int
}

// Config describes a crank layout. Cylinders[i] is cylinder i+1.
type Config struct {
	Banks        []Bank
	Throws       []Turn // pin angles along the shaft from NumberedFrom
	Cylinders    []Cylinder
	NumberedFrom End
	Rotation     Rotation
}

// Layout is a checked crank layout. Build it with NewLayout; it does not change
// and may be used concurrently.
type Layout struct {
	config Config
	turn   int64   // ticks in one turn
	tdc    []int64 // ticks from TDC of cylinder 1, in [0, turn)
	labels []string
}

const maxCylinders = 64

// NewLayout checks a description and computes the TDC position of every
// cylinder. Errors name the bank, throw or cylinder.
//
// Rows: v8-xplane-alt-trail-1-intervals, radial14-intervals.
func NewLayout(c Config) (*Layout, error) {
	if len(c.Cylinders) == 0 {
		return nil, refuse("Cylinders", "", "want at least one", units.ErrMissing)
	}
	if len(c.Cylinders) > maxCylinders {
		return nil, refuse("Cylinders", strconv.Itoa(len(c.Cylinders)), "want at most 64", units.ErrRange)
	}
	if c.NumberedFrom > DrivingEnd {
		return nil, refuse("NumberedFrom", fmt.Sprint(c.NumberedFrom), "want a named end", units.ErrRange)
	}
	if c.Rotation > CounterClockwise {
		return nil, refuse("Rotation", fmt.Sprint(c.Rotation), "want a named sense", units.ErrRange)
	}
	c.Banks, c.Throws, c.Cylinders = slices.Clone(c.Banks), slices.Clone(c.Throws), slices.Clone(c.Cylinders)
	l := &Layout{config: c, turn: 1}
	axis := map[string]Turn{}
	for i, b := range c.Banks {
		field := fmt.Sprintf("Banks[%d]", i)
		if b.Name == "" {
			return nil, refuse(field, "", "want a name", units.ErrMissing)
		}
		if _, twice := axis[b.Name]; twice {
			return nil, refuse(field, b.Name, "another bank has this name", units.ErrConflict)
		}
		axis[b.Name] = b.Axis
		if err := l.refine(field, b.Axis); err != nil {
			return nil, err
		}
	}
	for i, t := range c.Throws {
		if err := l.refine(fmt.Sprintf("Throws[%d]", i), t); err != nil {
			return nil, err
		}
	}
	seen := map[Cylinder]int{}
	for i, cy := range c.Cylinders {
		field := fmt.Sprintf("cylinder %d", i+1)
		a, ok := axis[cy.Bank]
		if !ok {
			return nil, refuse(field, cy.Bank, "no bank has this name", units.ErrMissing)
		}
		if cy.Throw < 1 || cy.Throw > len(c.Throws) {
			return nil, refuse(field, strconv.Itoa(cy.Throw), fmt.Sprintf("want a throw from 1 to %d", len(c.Throws)), units.ErrRange)
		}
		if other := seen[cy]; other > 0 {
			return nil, refuse(field, "", fmt.Sprintf("cylinder %d has the same bank and throw", other), units.ErrConflict)
		}
		seen[cy] = i + 1
		l.tdc = append(l.tdc, l.mod(l.ticks(a)-l.ticks(c.Throws[cy.Throw-1])))
		rank := 1
		for _, o := range c.Cylinders {
			if o.Bank == cy.Bank && o.Throw < cy.Throw {
				rank++
			}
		}
		l.labels = append(l.labels, cy.Bank+strconv.Itoa(rank))
	}
	for i, first := 0, l.tdc[0]; i < len(l.tdc); i++ {
		l.tdc[i] = l.mod(l.tdc[i] - first)
	}
	return l, nil
}

// refine makes the tick fine enough for t.
func (l *Layout) refine(field string, t Turn) error {
	d := t.denMinus1 + 1
	f := d / gcd(d, l.turn)
	if l.turn > (1<<46)/f {
		return refuse(field, t.String(), "the angles have no common denominator under 2^46", units.ErrInexact)
	}
	l.turn *= f
	return nil
}

func (l *Layout) ticks(t Turn) int64 { d := t.denMinus1 + 1; return t.num % d * (l.turn / d) }

func (l *Layout) mod(x int64) int64 { x %= l.turn; return (x + l.turn) % l.turn }

// Cylinders returns the number of cylinders.
func (l *Layout) Cylinders() int { return len(l.tdc) }

// Label returns bank and place in the bank, "A1", or "" for no such cylinder.
func (l *Layout) Label(cylinder int) string {
	if cylinder < 1 || cylinder > len(l.labels) {
		return ""
	}
	return l.labels[cylinder-1]
}

// TDC answers how far the crank turns from TDC of cylinder 1 to TDC of another:
//
//	TDC = (axis - pin) - (axis1 - pin1)   modulo 360, in [0, 360)
func (l *Layout) TDC(cylinder int) (units.CrankAngle, error) {
	if err := l.check("cylinder", cylinder); err != nil {
		return 0, err
	}
	return angleOf(l.tdc[cylinder-1], l.turn), nil
}

// SharedTDC returns the groups of two or more cylinders that reach TDC at the
// same crank position, ordered by lowest number. It does not say which fires.
func (l *Layout) SharedTDC() [][]int {
	var groups [][]int
	for i, t := range l.tdc {
		if slices.Index(l.tdc, t) != i {
			continue
		}
		var g []int
		for j, u := range l.tdc {
			if u == t {
				g = append(g, j+1)
			}
		}
		if len(g) > 1 {
			groups = append(groups, g)
		}
	}
	return groups
}

func (l *Layout) check(field string, cylinder int) error {
	if l == nil || len(l.tdc) == 0 {
		return refuse("layout", "", "want a layout from NewLayout", units.ErrMissing)
	}
	if cylinder < 1 || cylinder > len(l.tdc) {
		return refuse(field, strconv.Itoa(cylinder), fmt.Sprintf("want a cylinder from 1 to %d", len(l.tdc)), units.ErrRange)
	}
	return nil
}
