package evaluation

import (
	"fmt"
	"strconv"
	"strings"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// rowLength answers with a length in the unit of the row.
func (in *inputs) rowLength(l units.Length, err error) (Answer, error) {
	return Number(inRowUnit(in.row, l)), err
}

// lengthWithU reads a length and, if the row gives it, its uncertainty under a
// name of its own.
func (in *inputs) lengthWithU(name, u string) units.Measured[units.Length] {
	m := in.unstated(name)
	if in.has(u) {
		m = units.WithU(m.Value, in.length(u))
	}
	return m
}

// wordList reads parts that are separated by commas, each of words that parse takes.
func wordList[T any](in *inputs, name string, parse func([]string) (T, error)) []T {
	return read(in, name, func(s string) ([]T, error) {
		var out []T
		for part := range strings.SplitSeq(s, ",") {
			v, err := parse(strings.Fields(part))
			if err != nil {
				return nil, err
			}
			out = append(out, v)
		}
		return out, nil
	})
}

// wordLengths reads lengths out of words, "60 mm 2 mm".
func wordLengths(words []string) ([]units.Length, error) {
	var out []units.Length
	for i := 0; i+1 < len(words); i += 2 {
		l, err := units.ParseLength(words[i] + " " + words[i+1])
		if err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	if len(words) == 0 || len(words)%2 != 0 {
		return nil, fmt.Errorf("evaluation: %q: want numbers with units", words)
	}
	return out, nil
}

func (in *inputs) shellChoice() (clearance.ChosenShells, error) {
	c := clearance.ShellChoice{Target: in.length("target"), AlikeHalves: in.has("alike")}
	if in.text("objective") == "squares" {
		c.Objective = clearance.SquaresFirst
	}
	for _, o := range []struct {
		name string
		to   *units.Optional[units.Length]
	}{{"mix", &c.LargestMix}, {"step", &c.LargestStep}} {
		if in.has(o.name) {
			*o.to = units.Some(in.length(o.name))
		}
	}
	c.Seats = wordList(in, "seats", func(w []string) (clearance.ShellSeat, error) {
		l, err := wordLengths(w)
		if err != nil || len(l) != 2 {
			return clearance.ShellSeat{}, fmt.Errorf("evaluation: seat %q: want housing and journal", w)
		}
		return clearance.ShellSeat{Housing: units.Unstated(l[0]), Journal: units.Unstated(l[1])}, nil
	})
	c.Grades = wordList(in, "grades", func(w []string) (clearance.ShellGrade, error) {
		if len(w) != 4 {
			return clearance.ShellGrade{}, fmt.Errorf("evaluation: grade %q: want wall, uppers and lowers", w)
		}
		l, err := wordLengths(w[:2])
		if err != nil {
			return clearance.ShellGrade{}, err
		}
		up, err := strconv.Atoi(w[2])
		if err != nil {
			return clearance.ShellGrade{}, err
		}
		low, err := strconv.Atoi(w[3])
		return clearance.ShellGrade{Wall: units.Unstated(l[0]), Uppers: up, Lowers: low}, err
	})
	if in.err != nil {
		return clearance.ChosenShells{}, in.err
	}
	return c.Choose()
}

// clearanceShells computes the rows of shells.csv.
func clearanceShells(add adder) {
	stack := func(in *inputs) (clearance.StackClearance, error) {
		return clearance.ShellStack{
			Housing: in.lengthWithU("housing", "u housing"), Upper: in.lengthWithU("upper", "u upper"),
			Lower: in.lengthWithU("lower", "u lower"), Journal: in.lengthWithU("journal", "u journal"),
		}.Clearance()
	}
	add("clearance of a shell stack", func(in *inputs) (Answer, error) {
		c, err := stack(in)
		return in.rowLength(c.Clearance.Value, err)
	}, "ShellStack.Clearance")
	add("uncertainty of a shell stack", func(in *inputs) (Answer, error) {
		c, err := stack(in)
		return in.rowLength(c.Clearance.U, err)
	}, "ShellStack.Clearance")
	add("spread of a free shell", func(in *inputs) (Answer, error) {
		s, err := clearance.FreeShell{Across: in.unstated("across"), Housing: in.unstated("housing")}.Spread()
		return in.rowLength(s.Spread.Value, err)
	}, "FreeShell.Spread")
	crush := func(in *inputs) (clearance.Crush, error) {
		return clearance.CrushHeights{Upper: in.unstated("upper"), Lower: in.unstated("lower"), Housing: in.unstated("housing")}.Crush()
	}
	add("crush of two halves", func(in *inputs) (Answer, error) {
		c, err := crush(in)
		return in.rowLength(c.Total.Value, err)
	}, "CrushHeights.Crush")
	add("interference of a crush", func(in *inputs) (Answer, error) {
		c, err := crush(in)
		return in.rowLength(c.Interference.Value, err)
	}, "CrushHeights.Crush")
	add("strain of a crush", func(in *inputs) (Answer, error) {
		c, err := crush(in)
		return Number(c.Strain), err
	}, "CrushHeights.Crush")
	add("step between neighbors", func(in *inputs) (Answer, error) {
		s, err := clearance.Neighbors(in.lengths("clearances")).LargestStep()
		return in.rowLength(s.Step.Value, err)
	}, "Neighbors.LargestStep")
	add("first of the neighbors with the largest step", func(in *inputs) (Answer, error) {
		s, err := clearance.Neighbors(in.lengths("clearances")).LargestStep()
		return Number(float64(s.First)), err
	}, "Neighbors.LargestStep")
	named := func(in *inputs) (units.Limits[units.Length], error) {
		name := in.text("limit")
		for u := clearance.UsualLimit(1); u.String() != "no limit"; u++ {
			if u.String() == name {
				return u.Limits()
			}
		}
		return units.Limits[units.Length]{}, fmt.Errorf("evaluation: no limit %q", name)
	}
	add("highest named limit", func(in *inputs) (Answer, error) {
		l, err := named(in)
		return in.rowLength(l.Max, err)
	}, "UsualLimit.Limits")
	add("lowest named limit", func(in *inputs) (Answer, error) {
		l, err := named(in)
		return in.rowLength(l.Min, err)
	}, "UsualLimit.Limits")
	add("named limits", func(in *inputs) (Answer, error) {
		l, err := named(in)
		return Interval(inRowUnit(in.row, l.Min), inRowUnit(in.row, l.Max)), err
	}, "UsualLimit.Limits")
	add("shell choice, largest deviation", func(in *inputs) (Answer, error) {
		c, err := in.shellChoice()
		return in.rowLength(c.LargestDeviation, err)
	}, "ShellChoice.Choose")
	add("shell choice, root of the sum of squares", func(in *inputs) (Answer, error) {
		c, err := in.shellChoice()
		return in.rowLength(c.RootSumSquares, err)
	}, "ShellChoice.Choose")
	add("shell choice, grades", func(in *inputs) (Answer, error) {
		c, err := in.shellChoice()
		var b []string
		for _, s := range c.Seats {
			b = append(b, fmt.Sprintf("%d/%d", s.Upper+1, s.Lower+1))
		}
		return Text(strings.Join(b, " ")), err
	}, "ShellChoice.Choose")
}
