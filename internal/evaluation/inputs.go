package evaluation

import (
	"go/token"
	"strconv"

	"example.com/trialfit/internal/reference"
	"example.com/trialfit/units"
)

// adder takes one case. A symbol without a package ("Drive.Teeth") is of the
// package whose cases are collected.
type adder func(quantity string, eval func(*inputs) (Answer, error), symbols ...string)

// collect returns the cases of a package, topic by topic.
func collect(pkg string, topics ...func(adder)) []Case {
	var cases []Case
	for _, topic := range topics {
		topic(func(quantity string, eval func(*inputs) (Answer, error), symbols ...string) {
			qualified := make([]string, len(symbols))
			for i, s := range symbols {
				qualified[i] = s
				if token.IsExported(s) {
					qualified[i] = pkg + "." + s
				}
			}
			cases = append(cases, Case{Quantity: quantity, Symbols: qualified, Eval: func(r reference.Row) (Answer, error) {
				in := &inputs{row: r}
				return in.answer(eval(in))
			}})
		})
	}
	return cases
}

// inputs reads the inputs of a row and keeps the first error, so that a case
// reads all it needs and checks once.
type inputs struct {
	row reference.Row
	err error
}

func read[T any](in *inputs, name string, parse func(string) (T, error)) T {
	var zero T
	s, err := in.row.Input(name)
	if err == nil {
		var v T
		if v, err = parse(s); err == nil {
			return v
		}
	}
	if in.err == nil {
		in.err = err
	}
	return zero
}

// has reports whether the row gives the input.
func (in *inputs) has(name string) bool {
	_, err := in.row.Input(name)
	return err == nil
}

func (in *inputs) text(name string) string {
	return read(in, name, func(s string) (string, error) { return s, nil })
}

func (in *inputs) float(name string) float64 {
	return read(in, name, func(s string) (float64, error) { return strconv.ParseFloat(s, 64) })
}

func (in *inputs) int(name string) int { return read(in, name, strconv.Atoi) }

func (in *inputs) length(name string) units.Length { return read(in, name, units.ParseLength) }

func (in *inputs) crank(name string) units.CrankAngle { return read(in, name, units.ParseCrankAngle) }

func (in *inputs) cam(name string) units.CamAngle { return read(in, name, units.ParseCamAngle) }

// answer returns the number unless an input was wrong.
func (in *inputs) answer(a Answer, err error) (Answer, error) {
	if in.err != nil {
		return Answer{}, in.err
	}
	if err != nil {
		return Answer{}, err
	}
	return a, nil
}
