package evaluation

import (
	"fmt"
	"strconv"
	"strings"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/internal/reference"
	"example.com/trialfit/units"
)

func firingCases() []Case {
	build := strings.Fields("firingorder.NewLayout firingorder.Fraction firingorder.Degrees firingorder.ParseOrder firingorder.NewEngine")
	return []Case{
		{Quantity: "firing intervals of a layout", Symbols: append(build[:len(build):len(build)], "firingorder.Engine.Intervals"), Eval: func(r reference.Row) (Answer, error) {
			e, _, err := firingEngine(r)
			if err != nil {
				return Answer{}, err
			}
			var s []string
			for _, g := range e.Intervals() {
				// The table prints four decimals.
				s = append(s, strconv.FormatFloat(float64(int64(g.Degrees()*1e4+0.5))/1e4, 'f', -1, 64))
			}
			return Text(strings.Join(s, "-")), nil
		}},
		{Quantity: "cylinders that share TDC 360 degrees apart", Symbols: append(build[:len(build):len(build)], "firingorder.Engine.CompanionOf", "firingorder.Engine.Order"), Eval: func(r reference.Row) (Answer, error) {
			e, _, err := firingEngine(r)
			if err != nil {
				return Answer{}, err
			}
			return companionText(e)
		}},
		{Quantity: "crank that a 90 deg V8 order fits", Symbols: strings.Fields("firingorder.V firingorder.NewEngine firingorder.ParseOrder firingorder.Engine.CompanionOf"), Eval: evalV8},
	}
}

func companionText(e *firingorder.Engine) (Answer, error) {
	var s []string
	done := map[int]bool{}
	for _, c := range e.Order() {
		k, err := e.CompanionOf(c)
		if err != nil {
			return Answer{}, err
		}
		if k.Exists && !done[c] {
			done[k.Cylinder] = true
			s = append(s, fmt.Sprintf("%d&%d", min(c, k.Cylinder), max(c, k.Cylinder)))
		}
	}
	if s == nil {
		return Text("none"), nil
	}
	return Text(strings.Join(s, " ")), nil
}

func firingEngine(r reference.Row) (*firingorder.Engine, *firingorder.Layout, error) {
	in := &inputs{row: r}
	var c firingorder.Config
	for _, w := range strings.Fields(in.text("banks")) {
		name, a, _ := strings.Cut(w, ":")
		p, q, _ := strings.Cut(a, "/")
		num, err1 := strconv.ParseInt(p, 10, 64)
		den, err2 := strconv.ParseInt(q, 10, 64)
		t, err := firingorder.Fraction(num, den)
		if err1 != nil || err2 != nil || err != nil {
			return nil, nil, fmt.Errorf("bank %q is not name:num/den of a turn", w)
		}
		c.Banks = append(c.Banks, firingorder.Bank{Name: name, Axis: t})
	}
	for _, w := range strings.Fields(in.text("throws")) {
		d, err := strconv.ParseInt(w, 10, 64)
		if err != nil {
			return nil, nil, err
		}
		t, err := firingorder.Degrees(d)
		if err != nil {
			return nil, nil, err
		}
		c.Throws = append(c.Throws, t)
	}
	for _, w := range strings.Fields(in.text("cylinders")) {
		_, at, _ := strings.Cut(w, ":")
		b, t, _ := strings.Cut(at, "/")
		n, err := strconv.Atoi(t)
		if err != nil {
			return nil, nil, err
		}
		c.Cylinders = append(c.Cylinders, firingorder.Cylinder{Bank: b, Throw: n})
	}
	o := read(in, "order", firingorder.ParseOrder)
	second := 0
	if in.has("second_turn_from") {
		second = in.int("second_turn_from")
	}
	if in.err != nil {
		return nil, nil, in.err
	}
	l, err := firingorder.NewLayout(c)
	if err != nil {
		return nil, nil, err
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o, SecondTurnFrom: second})
	return e, l, err
}

func evalV8(r reference.Row) (Answer, error) {
	in := &inputs{row: r}
	o := read(in, "order", firingorder.ParseOrder)
	v := firingorder.VConfig{Numbering: firingorder.Alternating, BankOfOne: firingorder.PassedFirst}
	if in.text("numbering") == "bankwise" {
		v.Numbering = firingorder.Bankwise
	}
	if in.text("bank_of_one") == "last" {
		v.BankOfOne = firingorder.PassedLast
	}
	if in.err != nil {
		return Answer{}, in.err
	}
	var err error
	if v.BankAngle, err = firingorder.TurnOf(90 * units.CrankDegree); err != nil {
		return Answer{}, err
	}
	for _, v.Mirrored = range []bool{false, true} {
		for _, k := range []firingorder.Crank{firingorder.FourTwoPlane, firingorder.FourSinglePlane} {
			v.Crank = k
			l, err := firingorder.V(v)
			if err != nil {
				return Answer{}, err
			}
			e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o})
			if err != nil {
				continue
			}
			a, err := companionText(e)
			name := "two-plane "
			if k == firingorder.FourSinglePlane {
				name = "single-plane "
			}
			return Text(name + a.text), err
		}
	}
	return Text("impossible"), nil
}
