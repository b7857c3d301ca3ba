package evaluation

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// rowCycle reads the cycle of a row, four-stroke where it has none.
func rowCycle(in *inputs) (firingorder.Cycle, int64) {
	if in.has("cycle") && in.text("cycle") == firingorder.TwoStroke.String() {
		return firingorder.TwoStroke, 1
	}
	return firingorder.FourStroke, 2
}

// rowEngine builds the engine of a row, its layout given by name or in numbers.
func rowEngine(in *inputs) (*firingorder.Engine, error) {
	build := firingLayout
	if in.has("kind") {
		build = namedLayout
	}
	l, err := build(in)
	if err != nil {
		return nil, err
	}
	c := firingorder.EngineConfig{Layout: l, Order: read(in, "order", firingorder.ParseOrder)}
	c.Cycle, _ = rowCycle(in)
	if in.has("second_turn_from") {
		c.SecondTurnFrom = in.int("second_turn_from")
	}
	if in.err != nil {
		return nil, in.err
	}
	return firingorder.NewEngine(c)
}

// evenLine builds an in-line engine that fires evenly in numerical order.
func evenLine(in *inputs) (*firingorder.Engine, error) {
	n := in.int("cylinders")
	cycle, turns := rowCycle(in)
	if in.err != nil {
		return nil, in.err
	}
	c := firingorder.Config{Banks: []firingorder.Bank{{Name: "A"}}}
	var o firingorder.Order
	for k := range n {
		t, err := firingorder.Fraction(-turns*int64(k), int64(n))
		if err != nil {
			return nil, err
		}
		c.Throws = append(c.Throws, t)
		c.Cylinders = append(c.Cylinders, firingorder.Cylinder{Bank: "A", Throw: k + 1})
		o = append(o, k+1)
	}
	l, err := firingorder.NewLayout(c)
	if err != nil {
		return nil, err
	}
	return firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o, Cycle: cycle})
}

// refusal turns a refusal of impossible input into an answer: the field and, if
// the reason holds it, the given text.
func refusal(err error, says func(*units.InputError) string) (Answer, error) {
	var e *units.InputError
	if !errors.As(err, &e) || !errors.Is(err, units.ErrImpossible) {
		return Answer{}, err
	}
	return Text("refused: " + says(e)), nil
}

func kindOnly(e *units.InputError) string  { return e.Kind.Error() }
func fieldOnly(e *units.InputError) string { return e.Field }

// wholeDegrees reads "A:0 B:-90".
func wholeDegrees(s string) (map[string]firingorder.Turn, error) {
	m := map[string]firingorder.Turn{}
	for w := range strings.FieldsSeq(s) {
		name, d, _ := strings.Cut(w, ":")
		n, err := strconv.ParseInt(d, 10, 64)
		if err != nil {
			return nil, fmt.Errorf("%q is not bank:degrees: %w", w, err)
		}
		if m[name], err = firingorder.Degrees(n); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// turnDegrees returns a part of a turn in degrees.
func turnDegrees(t firingorder.Turn) float64 { return t.Angle().Degrees() }
