package firingorder

import (
	"fmt"
	"slices"
	"strconv"
	"unicode"

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

// String returns the name of the end.
func (e End) String() string { return named(e, "not stated", "free end", "driving end") }

// String returns the name of the sense.
func (r Rotation) String() string { return named(r, "not stated", "clockwise", "counter-clockwise") }

// Bank is a row of cylinders.
type Bank struct {
	Name string // a letter, then letters and digits: "A", "left", "c3"
	Axis Turn   // direction of the cylinder axes, positive in crank rotation
}

// Cylinder says where a cylinder sits: the name of its bank and its throw,
// counted from 1.
type Cylinder struct {
	Bank  string
	Throw int
}

// Config describes a crank layout. Angles may have any common reference; only
// their differences count.
type Config struct {
	Banks     []Bank
	Throws    []Turn     // pin angles along the shaft from NumberedFrom, positive in rotation
	Cylinders []Cylinder // Cylinders[i] is cylinder i+1
	// NumberedFrom and Rotation record what the numbers and the sign refer to.
	// They change no result, and their zero values say that they were not stated.
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

// maxBankName keeps labels and error messages short.
const maxBankName = 32

// bankName reports whether labels made from the name can be read back.
func bankName(s string) bool {
	for i, r := range s {
		if !unicode.IsLetter(r) && (i == 0 || !unicode.IsDigit(r)) {
			return false
		}
	}
	return s != "" && len(s) <= maxBankName
}

// NewLayout checks a description and computes the crank position at which every
// cylinder reaches TDC, see Layout.TDC. It takes 1 to 64 cylinders, each on a
// named bank and an existing throw, no two on the same.
//
// Errors name the bank, throw or cylinder: units.ErrMissing for no cylinders, no
// name or a bank that is not there, units.ErrSyntax for a bank name that labels
// cannot carry, units.ErrConflict for a name or a place used twice,
// units.ErrRange for a throw or a number outside its range, units.ErrInexact for
// angles without a common denominator under 2^46.
//
// Source: geometry of a crank without pin offset.
//
// Rows: v8-xplane-alt-trail-1-intervals, radial14-intervals.
func NewLayout(c Config) (*Layout, error) {
	if len(c.Cylinders) == 0 {
		return nil, refuse("Cylinders", "", "want at least one", units.ErrMissing)
	}
	for _, f := range []struct {
		name string
		n    int
	}{{"Cylinders", len(c.Cylinders)}, {"Banks", len(c.Banks)}, {"Throws", len(c.Throws)}} {
		if f.n > maxCylinders {
			return nil, refuse(f.name, strconv.Itoa(f.n), "want at most 64", units.ErrRange)
		}
	}
	if c.NumberedFrom > DrivingEnd {
		return nil, refuse("NumberedFrom", c.NumberedFrom.String(), "want a named end", units.ErrRange)
	}
	if c.Rotation > CounterClockwise {
		return nil, refuse("Rotation", c.Rotation.String(), "want a named sense", units.ErrRange)
	}
	c.Banks, c.Throws, c.Cylinders = slices.Clone(c.Banks), slices.Clone(c.Throws), slices.Clone(c.Cylinders)
	l := &Layout{config: c, turn: 1}
	axis := map[string]Turn{}
	for i, b := range c.Banks {
		field := fmt.Sprintf("Banks[%d]", i)
		if b.Name == "" {
			return nil, refuse(field, "", "want a name", units.ErrMissing)
		}
		if !bankName(b.Name) {
			return nil, refuse(field, b.Name, "want a name of a letter, then letters and digits, at most 32 bytes", units.ErrSyntax)
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
	seen, labeled := map[Cylinder]int{}, map[string]int{}
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
		label := cy.Bank + strconv.Itoa(rank)
		if other := labeled[label]; other > 0 {
			return nil, refuse(field, label, fmt.Sprintf("cylinder %d has the same label: rename a bank", other), units.ErrConflict)
		}
		labeled[label] = i + 1
		l.labels = append(l.labels, label)
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

// Cylinders returns the number of cylinders; 0 for a layout that NewLayout did
// not make.
func (l *Layout) Cylinders() int {
	if l == nil {
		return 0
	}
	return len(l.tdc)
}

// Config returns a copy of the description.
func (l *Layout) Config() Config {
	if l == nil {
		return Config{}
	}
	c := l.config
	c.Banks, c.Throws, c.Cylinders = slices.Clone(c.Banks), slices.Clone(c.Throws), slices.Clone(c.Cylinders)
	return c
}

// Label returns bank and place in the bank counted along the shaft, "A1", or ""
// for no such cylinder.
func (l *Layout) Label(cylinder int) string {
	if l == nil || cylinder < 1 || cylinder > len(l.labels) {
		return ""
	}
	return l.labels[cylinder-1]
}

// TDC answers how far the crank turns from TDC of cylinder 1 to TDC of another:
//
//	TDC = (axis - pin) - (axis1 - pin1)   modulo 360, in [0, 360)
//
// with axis = Bank.Axis of the cylinder's bank and pin = the entry of
// Config.Throws that it sits on (crank deg, positive in rotation), axis1 and pin1
// those of cylinder 1. It is rounded once. No pin offset; main rods only.
//
// Errors: units.ErrRange for a cylinder that the layout does not have,
// units.ErrMissing for a layout that NewLayout did not make.
//
// Source: geometry of a crank without pin offset; the piston is at TDC when its
// pin points along the cylinder axis.
//
// Rows: tdc-v8-8, tdc-v6-90-split-4, tdc-radial14-10.
func (l *Layout) TDC(cylinder int) (units.CrankAngle, error) {
	if err := l.check("cylinder", cylinder); err != nil {
		return 0, err
	}
	return angleOf(l.tdc[cylinder-1], l.turn).WrapTurn(), nil // a hair under 360 rounds to 0
}

// SharedTDC answers which cylinders reach TDC together: groups of two or more
// whose Layout.TDC is exactly equal (compared as fractions, not as rounded
// angles), each group ascending, in the order of their lowest numbers; none
// where no two agree. It does not say which of them fires: Engine.CompanionOf
// does.
//
// Source: geometry of a crank without pin offset.
//
// Rows: v8-xplane-alt-trail-1-pairs, v6-90-oddfire-pairs, radial14-pairs.
func (l *Layout) SharedTDC() [][]int {
	if l == nil {
		return nil
	}
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
