package evaluation

import (
	"errors"
	"fmt"
	"strconv"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// withRowU gives a reading the uncertainty of the row, if it has one.
func (in *inputs) withRowU(l units.Length) units.Measured[units.Length] {
	if in.has("u") {
		return units.WithU(l, in.length("u"))
	}
	return units.Unstated(l)
}

func (in *inputs) circle() (clearance.LeastSquaresCircle, error) {
	r := wordList(in, "readings", func(w []string) (clearance.RadialReading, error) {
		if len(w) != 4 {
			return clearance.RadialReading{}, fmt.Errorf("evaluation: reading %q: want an angle and a length", w)
		}
		a, err := units.ParseCrankAngle(w[0] + " " + w[1])
		if err != nil {
			return clearance.RadialReading{}, err
		}
		l, err := wordLengths(w[2:])
		if err != nil {
			return clearance.RadialReading{}, err
		}
		return clearance.RadialReading{Around: a, Reading: in.withRowU(l[0])}, nil
	})
	return clearance.RadialReadings(r).Circle()
}

func (in *inputs) alignment() (clearance.Alignment, error) {
	l := wordList(in, "bores", func(w []string) (clearance.LineReading, error) {
		v, err := wordLengths(w)
		if err != nil || len(v) < 2 {
			return clearance.LineReading{}, fmt.Errorf("evaluation: bore %q: want place and gap", w)
		}
		r := clearance.LineReading{At: v[0], Gap: in.withRowU(v[1])}
		if len(v) == 3 {
			r.Gap = units.WithU(v[1], v[2])
		}
		return r, nil
	})
	return clearance.BoreLine(l).Alignment()
}

func (in *inputs) bore(a clearance.Alignment, err error) (clearance.BoreOff, error) {
	if err != nil {
		return clearance.BoreOff{}, err
	}
	i := in.int("bore") - 1
	if i < 0 || i >= len(a.Bores) {
		return clearance.BoreOff{}, fmt.Errorf("evaluation: no bore %d", i+1)
	}
	return a.Bores[i], nil
}

func (in *inputs) regrind() (clearance.RegrindChoice, error) {
	r := clearance.Regrind{
		Standard: clearance.Size{Min: in.length("min"), Max: in.length("max")},
		Stock:    units.AtLeast(in.length("stock"), units.Source{Text: "the row", Provenance: units.Stated}),
		Rule:     map[string]units.DecisionRule{"simple": units.SimpleAcceptance, "95": units.ProveAt95}[in.text("rule")],
	}
	for _, m := range in.lengths("undersizes") {
		r.Undersizes = append(r.Undersizes, m.Value)
	}
	r.Journals = wordList(in, "journals", func(w []string) (clearance.WornJournal, error) {
		v, err := wordLengths(w)
		if err != nil || len(v) != 2 {
			return clearance.WornJournal{}, fmt.Errorf("evaluation: journal %q: want diameter and runout", w)
		}
		j := clearance.WornJournal{Smallest: in.withRowU(v[0]), Runout: units.Unstated(v[1])}
		if in.has("u runout") {
			j.Runout = units.WithU(v[1], in.length("u runout"))
		}
		return j, nil
	})
	return r.Choose()
}

func chosenUndersize(c clearance.RegrindChoice, err error) (clearance.UndersizeCheck, error) {
	if err != nil {
		return clearance.UndersizeCheck{}, err
	}
	if !c.Choice.Given {
		return clearance.UndersizeCheck{}, errors.New("evaluation: no undersize cleans up")
	}
	return c.Checks[c.Choice.Value], nil
}

// clearanceForm computes the rows of bearing_form.csv.
func clearanceForm(add adder) {
	lobed := func(in *inputs, tir units.Measured[units.Length]) (clearance.LobedForm, error) {
		return clearance.LobedReading{Vee: in.crank("vee"), Lobes: in.int("lobes"), TIR: tir}.Roundness()
	}
	add("factor of a V-block", func(in *inputs) (Answer, error) {
		f, err := lobed(in, units.Unstated(units.Millimeter))
		return Number(f.Factor), err
	}, "LobedReading.Roundness")
	add("setup blind to a form", func(in *inputs) (Answer, error) {
		_, err := lobed(in, units.Unstated(units.Millimeter))
		if errors.Is(err, units.ErrImpossible) {
			return Text("blind"), nil
		}
		return Text("sees it"), err
	}, "LobedReading.Roundness")
	add("roundness from a V-block", func(in *inputs) (Answer, error) {
		f, err := lobed(in, in.unstated("tir"))
		return in.rowLength(f.Roundness.Value, err)
	}, "LobedReading.Roundness")
	add("uncertainty of a roundness from a V-block", func(in *inputs) (Answer, error) {
		f, err := lobed(in, in.lengthWithU("tir", "u"))
		return in.rowLength(f.Roundness.U, err)
	}, "LobedReading.Roundness")
	circle := func(pick func(clearance.LeastSquaresCircle) units.Length) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			c, err := in.circle()
			return in.rowLength(pick(c), err)
		}
	}
	add("mean of a least squares circle", circle(func(c clearance.LeastSquaresCircle) units.Length { return c.Mean.Value }), "RadialReadings.Circle")
	add("eccentricity from readings around", circle(func(c clearance.LeastSquaresCircle) units.Length { return c.Eccentricity.Value }), "RadialReadings.Circle")
	add("roundness from readings around", circle(func(c clearance.LeastSquaresCircle) units.Length { return c.Roundness.Value.Value }), "RadialReadings.Circle")
	add("uncertainty of an eccentricity", circle(func(c clearance.LeastSquaresCircle) units.Length { return c.Eccentricity.U }), "RadialReadings.Circle")
	add("direction of an eccentricity", func(in *inputs) (Answer, error) {
		c, err := in.circle()
		return Number(c.Toward.Degrees()), err
	}, "RadialReadings.Circle")
	add("slope of a line of bores", func(in *inputs) (Answer, error) {
		a, err := in.alignment()
		return Number(a.Slope), err
	}, "BoreLine.Alignment")
	add("bore off the common line", func(in *inputs) (Answer, error) {
		b, err := in.bore(in.alignment())
		return in.rowLength(b.Residual.Value, err)
	}, "BoreLine.Alignment")
	add("bore off the line of the others", func(in *inputs) (Answer, error) {
		b, err := in.bore(in.alignment())
		return in.rowLength(b.Off.Value, err)
	}, "BoreLine.Alignment")
	add("uncertainty of a bore off the line of the others", func(in *inputs) (Answer, error) {
		b, err := in.bore(in.alignment())
		return in.rowLength(b.Off.U, err)
	}, "BoreLine.Alignment")
	add("root mean square of bores off the line", func(in *inputs) (Answer, error) {
		a, err := in.alignment()
		return in.rowLength(a.RMS, err)
	}, "BoreLine.Alignment")
	add("bore that is off", func(in *inputs) (Answer, error) {
		a, err := in.alignment()
		if err == nil && !a.Told {
			return Text("none told"), nil
		}
		return Text(strconv.Itoa(a.Worst+1) + ", told"), err
	}, "BoreLine.Alignment")
	add("step between bores side by side", func(in *inputs) (Answer, error) {
		a, err := in.alignment()
		return in.rowLength(a.LargestStep.Value, err)
	}, "BoreLine.Alignment")
	add("undersize that cleans up", func(in *inputs) (Answer, error) {
		c, err := in.regrind()
		if err == nil && !c.Choice.Given {
			return Text("none"), nil
		}
		u, err := chosenUndersize(c, err)
		return in.rowLength(u.Undersize, err)
	}, "Regrind.Choose")
	add("stock of a regrind", func(in *inputs) (Answer, error) {
		u, err := chosenUndersize(in.regrind())
		return in.rowLength(u.Stock.Value, err)
	}, "Regrind.Choose")
	add("uncertainty of the stock of a regrind", func(in *inputs) (Answer, error) {
		u, err := chosenUndersize(in.regrind())
		return in.rowLength(u.Stock.U, err)
	}, "Regrind.Choose")
	add("ground diameter of a regrind", func(in *inputs) (Answer, error) {
		u, err := chosenUndersize(in.regrind())
		return Interval(inRowUnit(in.row, u.Ground.Min), inRowUnit(in.row, u.Ground.Max)), err
	}, "Regrind.Choose")
}
