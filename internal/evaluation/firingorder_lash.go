package evaluation

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// firingorderLash computes the rows of valve_adjustment.csv.
func firingorderLash(add adder) {
	on := func(f func(*inputs, firingorder.LashSetting) (Answer, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			e, err := rowEngine(in)
			if err != nil {
				return Answer{}, err
			}
			c := firingorder.LashSetting{Engine: e, Closed: []firingorder.ClosedValves{{
				Intake:  firingorder.Window{From: in.crank("intake_from"), To: in.crank("intake_to")},
				Exhaust: firingorder.Window{From: in.crank("exhaust_from"), To: in.crank("exhaust_to")},
			}}}
			if in.has("margin") {
				c.Margin = in.crank("margin")
			}
			if in.err != nil {
				return Answer{}, in.err
			}
			return f(in, c)
		}
	}
	add("valves that may be set at a crank position", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		free, err := c.AppendFree(nil, in.crank("engine"))
		return Text(valveList(free, "intake exhaust", strconv.Itoa)), err
	}), "LashSetting.AppendFree")
	add("room of a valve at a crank position", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		free, err := c.AppendFree(nil, in.crank("engine"))
		cy, v := in.int("cylinder"), rowValve(in.text("valve"))
		for _, f := range free {
			if f.Cylinder == cy && f.Valve == v {
				return Number(f.Room.Degrees()), err
			}
		}
		return Text("not free"), err
	}), "LashSetting.AppendFree")
	add("closed window of a valve", func(in *inputs) (Answer, error) {
		w, err := camtiming.Events{IVO: in.crank("ivo"), IVC: in.crank("ivc"), EVO: in.crank("evo"), EVC: in.crank("evc")}.ClosedWindows(in.crank("ramp"))
		x := w.Intake
		if in.text("valve") == "exhaust" {
			x = w.Exhaust
		}
		return Text(shortest(x.From.Degrees()) + " to " + shortest(x.To.Degrees()) + " deg"), err
	}, "camtiming.Events.ClosedWindows")
	add("valves to set at one of two positions", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		p, err := rowPosition(in, c)
		if err != nil {
			return refusal(err, fieldOnly)
		}
		name := strconv.Itoa
		if in.has("labels") {
			name = c.Engine.Layout().Label
		}
		return Text(valveList(p.Set, in.text("list"), name)), nil
	}), "LashSetting.TwoPositions")
	add("two-position table of a V engine", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		p, err := rowPosition(in, c)
		if err != nil {
			return Answer{}, err
		}
		l := c.Engine.Layout()
		s := make([]string, l.Cylinders())
		for i := range s {
			in := slices.ContainsFunc(p.Set, func(f firingorder.FreeValve) bool { return f.Cylinder == i+1 && f.Valve == firingorder.IntakeValve })
			ex := slices.ContainsFunc(p.Set, func(f firingorder.FreeValve) bool { return f.Cylinder == i+1 && f.Valve == firingorder.ExhaustValve })
			letters := map[[2]bool]string{{true, true}: "IE", {true, false}: "I", {false, true}: "E"}[[2]bool{in, ex}]
			if letters == "" {
				letters = "-"
			}
			s[i] = l.Label(i+1) + ":" + letters
		}
		return Text(strings.Join(s, " ")), nil
	}), "LashSetting.TwoPositions")
	add("two-position row of a bank", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		p, err := rowPosition(in, c)
		if err != nil {
			return Answer{}, err
		}
		l := c.Engine.Layout()
		var s []string
		for i, at := range l.Config().Cylinders {
			if at.Bank != in.text("bank") {
				continue
			}
			letters := []byte("--")
			for _, f := range p.Set {
				if f.Cylinder == i+1 {
					letters[f.Valve-firingorder.IntakeValve] = "EA"[f.Valve-firingorder.IntakeValve]
				}
			}
			s = append(s, string(letters))
		}
		return Text(strings.Join(s, " ")), nil
	}), "LashSetting.TwoPositions")
	plan := func(in *inputs, c firingorder.LashSetting) (firingorder.LashPlan, error) {
		r := firingorder.PlanRule{Positions: map[string]firingorder.PlanPositions{"any": firingorder.AnyPosition, "tdc": firingorder.AtTDC, "marks": firingorder.AtMarks}[in.text("positions")]}
		if in.has("marks") {
			for w := range strings.FieldsSeq(in.text("marks")) {
				m, err := units.ParseCrankAngle(w + " deg")
				if err != nil {
					return firingorder.LashPlan{}, err
				}
				r.Marks = append(r.Marks, m)
			}
		}
		r.WholeCylinders = in.has("whole")
		p, err := c.ShortestPlan(r)
		if err != nil {
			return p, err
		}
		return p, everyValveOnce(c, p)
	}
	add("fewest crank positions that set all valves", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		p, err := plan(in, c)
		if err != nil {
			return refusal(err, kindOnly)
		}
		return Number(float64(len(p.Positions))), nil
	}), "LashSetting.ShortestPlan")
	add("cylinders set at each stop", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		p, err := plan(in, c)
		s := make([]string, len(p.Positions))
		for i, at := range p.Positions {
			var cylinders []string
			for _, f := range at.Set {
				if f.Valve == firingorder.IntakeValve {
					cylinders = append(cylinders, strconv.Itoa(f.Cylinder))
				}
			}
			s[i] = strings.Join(cylinders, ",")
		}
		return Text(strings.Join(s, " / ")), err
	}), "LashSetting.ShortestPlan")
	add("room of the shortest plan", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		p, err := plan(in, c)
		return Number(p.Room.Degrees()), err
	}), "LashSetting.ShortestPlan")
	add("one valve at a time", on(func(_ *inputs, c firingorder.LashSetting) (Answer, error) {
		p, err := c.OneAtATime()
		if err != nil {
			return refusal(err, fieldOnly)
		}
		s := make([]string, len(p.Positions))
		for i, at := range p.Positions {
			s[i] = fmt.Sprintf("%s %d at %s", at.Set[0].Valve, at.Set[0].Cylinder, shortest(at.At.Degrees()))
		}
		return Text(strings.Join(s, ", ")), everyValveOnce(c, p)
	}), "LashSetting.OneAtATime")
	add("room of one valve at a time", on(func(_ *inputs, c firingorder.LashSetting) (Answer, error) {
		p, err := c.OneAtATime()
		return Number(p.Room.Degrees()), err
	}), "LashSetting.OneAtATime")
	rocking := func(in *inputs, c firingorder.LashSetting, name string) (firingorder.LashPosition, error) {
		p, err := c.AtOverlap()
		if err != nil {
			return firingorder.LashPosition{}, err
		}
		cy := in.int(name)
		k := slices.IndexFunc(p.Positions, func(at firingorder.LashPosition) bool {
			return name == "cylinder" && at.Set[0].Cylinder == cy || name == "overlap" && at.Overlap == cy
		})
		if in.err != nil || k < 0 {
			return firingorder.LashPosition{}, fmt.Errorf("no position for %s %d: %w", name, cy, in.err)
		}
		return p.Positions[k], everyValveOnce(c, p)
	}
	add("cylinder set while another is at overlap", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		at, err := rocking(in, c, "overlap")
		if err != nil {
			return refusal(err, fieldOnly)
		}
		return Number(float64(at.Set[0].Cylinder)), nil
	}), "LashSetting.AtOverlap")
	add("sign that a cylinder is on compression", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		at, err := rocking(in, c, "cylinder")
		return Text(fmt.Sprintf("No %d exhaust nearly closed and intake just opening", at.Overlap)), err
	}), "LashSetting.AtOverlap")
	add("rocking pair", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		at, err := rocking(in, c, "cylinder")
		return Text(fmt.Sprintf("No %d TDC compression <-> No %d rocking", at.Firing, at.Overlap)), err
	}), "LashSetting.AtOverlap")
	add("crank turn from a cylinder's own overlap to where it is set", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		at, err := rocking(in, c, "cylinder")
		if err != nil {
			return Answer{}, err
		}
		p, err := c.Engine.PhaseAt(in.int("cylinder"), at.At)
		return Number(p.Angle.Abs().Degrees()), err
	}), "LashSetting.AtOverlap")
	sum := func(in *inputs, c firingorder.LashSetting) (firingorder.SumRule, error) {
		var kinds []firingorder.Valve
		for w := range strings.FieldsSeq(in.text("sequence")) {
			kinds = append(kinds, rowValve(w))
		}
		return c.SumRule(kinds)
	}
	add("valve to set while another is fully open", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		r, err := sum(in, c)
		if err != nil {
			// The part of the reason that names the geometry.
			return refusal(err, func(e *units.InputError) string {
				_, after, ok := strings.Cut(e.Reason, " stands ")
				if !ok {
					_, after, _ = strings.Cut(e.Reason, "its ")
				}
				before, _, _ := strings.Cut(after, " instead")
				before, _, _ = strings.Cut(before, ",")
				return before
			})
		}
		v, err := r.Partner(in.int("open"))
		return Number(float64(v)), err
	}), "LashSetting.SumRule", "SumRule.Partner")
	add("smallest room of the sum rule", on(func(in *inputs, c firingorder.LashSetting) (Answer, error) {
		r, err := sum(in, c)
		return Number(r.Room.Degrees()), err
	}), "LashSetting.SumRule")
}

func rowValve(s string) firingorder.Valve {
	return map[string]firingorder.Valve{"intake": firingorder.IntakeValve, "exhaust": firingorder.ExhaustValve}[s]
}

// valveList writes "intake 1,2; exhaust 1,3", the kinds in the sequence asked for.
func valveList(set []firingorder.FreeValve, kinds string, name func(int) string) string {
	var lists []string
	for kind := range strings.FieldsSeq(kinds) {
		var s []string
		for _, f := range set {
			if f.Valve == rowValve(kind) {
				s = append(s, name(f.Cylinder))
			}
		}
		lists = append(lists, kind+" "+strings.Join(s, ","))
	}
	return strings.Join(lists, "; ")
}

func rowPosition(in *inputs, c firingorder.LashSetting) (firingorder.LashPosition, error) {
	p, err := c.TwoPositions(in.int("first"))
	if err != nil {
		return firingorder.LashPosition{}, err
	}
	if err := everyValveOnce(c, p); err != nil {
		return firingorder.LashPosition{}, err
	}
	k := in.int("position")
	if in.err != nil || k < 1 || k > len(p.Positions) {
		return firingorder.LashPosition{}, fmt.Errorf("no position %d: %w", k, in.err)
	}
	return p.Positions[k-1], nil
}

// everyValveOnce checks that a plan sets each valve at one position where it is
// free.
func everyValveOnce(c firingorder.LashSetting, p firingorder.LashPlan) error {
	count := map[firingorder.FreeValve]int{}
	for _, at := range p.Positions {
		free, err := c.AppendFree(nil, at.At)
		if err != nil {
			return err
		}
		for _, f := range at.Set {
			if !slices.ContainsFunc(free, func(x firingorder.FreeValve) bool { return x.Cylinder == f.Cylinder && x.Valve == f.Valve }) {
				return fmt.Errorf("%s valve of cylinder %d is not free at %s", f.Valve, f.Cylinder, at.At)
			}
			count[firingorder.FreeValve{Cylinder: f.Cylinder, Valve: f.Valve}]++
		}
	}
	for f, n := range count {
		if n != 1 {
			return fmt.Errorf("%s valve of cylinder %d is set %d times", f.Valve, f.Cylinder, n)
		}
	}
	if len(count) != 2*len(c.Engine.Order()) {
		return fmt.Errorf("only %d valves are set", len(count))
	}
	return nil
}
