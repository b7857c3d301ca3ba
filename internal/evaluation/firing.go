package evaluation

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat/combin"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/internal/reference"
	"example.com/trialfit/units"
)

func firingCases() []Case {
	layout := strings.Fields("firingorder.NewLayout firingorder.Fraction firingorder.Degrees")
	engine := append(slices.Clip(layout), "firingorder.ParseOrder", "firingorder.NewEngine")
	named := strings.Fields("firingorder.Inline firingorder.V firingorder.Boxer firingorder.TurnOf")
	with := func(base []string, more ...string) []string {
		var s []string
		for _, m := range more {
			s = append(s, "firingorder."+m)
		}
		return append(s, base...)
	}
	return []Case{
		{Quantity: "firing intervals of a layout", Symbols: with(engine, "Engine.Intervals"), Eval: func(r reference.Row) (Answer, error) {
			return onEngine(r, func(_ *inputs, e *firingorder.Engine) (Answer, error) {
				s := make([]string, 0, len(e.Order()))
				for _, g := range e.Intervals() {
					// The table prints four decimals.
					s = append(s, strconv.FormatFloat(math.Round(g.Degrees()*1e4)/1e4, 'f', -1, 64))
				}
				return Text(strings.Join(s, "-")), nil
			})
		}},
		{Quantity: "cylinders that share TDC 360 degrees apart", Symbols: with(engine, "Engine.CompanionOf", "Engine.Order", "Layout.SharedTDC"), Eval: func(r reference.Row) (Answer, error) {
			return onEngine(r, func(_ *inputs, e *firingorder.Engine) (Answer, error) { return companionText(e) })
		}},
		{Quantity: "crank that a 90 deg V8 order fits", Symbols: with(engine, "V", "TurnOf", "Engine.CompanionOf", "Engine.Even", "Layout.SharedTDC"), Eval: evalV8},
		{Quantity: "TDC of a cylinder after cylinder 1", Symbols: with(layout, "Layout.TDC"), Eval: func(r reference.Row) (Answer, error) {
			return onEngine(r, func(in *inputs, e *firingorder.Engine) (Answer, error) {
				a, err := e.Layout().TDC(in.int("cylinder"))
				return in.answer(Number(a.Degrees()), err)
			})
		}},
		{Quantity: "firing angle of a cylinder", Symbols: with(engine, "Engine.FiringAngle"), Eval: func(r reference.Row) (Answer, error) {
			return onEngine(r, func(in *inputs, e *firingorder.Engine) (Answer, error) {
				a, err := e.FiringAngle(in.int("cylinder"))
				return in.answer(Number(a.Degrees()), err)
			})
		}},
		{Quantity: "cycle angle and stroke of a cylinder", Symbols: with(engine, "Engine.PhaseAt"), Eval: func(r reference.Row) (Answer, error) {
			return onEngine(r, func(in *inputs, e *firingorder.Engine) (Answer, error) {
				p, err := e.PhaseAt(in.int("cylinder"), in.crank("engine"))
				return in.answer(Text(shortest(p.Angle.Degrees())+" "+p.Stroke.String()), err)
			})
		}},
		{Quantity: "whether firing is even", Symbols: with(engine, "Engine.Even"), Eval: func(r reference.Row) (Answer, error) {
			return onEngine(r, func(_ *inputs, e *firingorder.Engine) (Answer, error) {
				if e.Even() {
					return Text("yes"), nil
				}
				return Text("no"), nil
			})
		}},
		{Quantity: "order after companions change places", Symbols: with(engine, "Engine.CompanionOf"), Eval: evalSwap},
		{Quantity: "run within the firing order of a layout", Symbols: with(engine, "Engine.Order"), Eval: func(r reference.Row) (Answer, error) {
			return onEngine(r, func(in *inputs, e *firingorder.Engine) (Answer, error) {
				o, from, count := e.Order(), in.int("from"), in.int("count")
				i := slices.Index(o, from)
				if in.err != nil || i < 0 || count > len(o) {
					return Answer{}, fmt.Errorf("no run of %d from %d: %w", count, from, in.err)
				}
				return Text(append(o[i:], o[:i]...)[:count].String()), nil
			})
		}},
		{Quantity: "order written in labels", Symbols: with(layout, "Layout.ParseOrder"), Eval: func(r reference.Row) (Answer, error) {
			in := &inputs{row: r}
			l, err := firingLayout(in)
			if err != nil {
				return Answer{}, err
			}
			o, err := l.ParseOrder(in.text("labels"))
			if err != nil {
				return Answer{}, err
			}
			e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o})
			if err != nil {
				return Answer{}, err
			}
			return in.answer(Text(e.Order().String()), nil)
		}},
		{Quantity: "mean firing interval", Symbols: with(nil, "NewLayout", "Fraction", "NewEngine", "Engine.Even", "Engine.Intervals"), Eval: func(r reference.Row) (Answer, error) {
			in := &inputs{row: r}
			g, err := evenInterval(in)
			return in.answer(Number(g.Degrees()), err)
		}},
		{Quantity: "gap or overlap of power strokes", Symbols: with(nil, "NewLayout", "Fraction", "NewEngine", "Engine.Even", "Engine.Intervals"), Eval: func(r reference.Row) (Answer, error) {
			in := &inputs{row: r}
			g, err := evenInterval(in)
			return in.answer(Number((g - in.crank("power_stroke")).Abs().Degrees()), err)
		}},
		{Quantity: "fraction of a turn as an angle", Symbols: strings.Fields("firingorder.Fraction firingorder.TurnOf firingorder.Turn.Angle"), Eval: func(r reference.Row) (Answer, error) {
			in := &inputs{row: r}
			t, err := firingorder.Fraction(int64(in.int("num")), int64(in.int("den")))
			if err != nil {
				return Answer{}, err
			}
			back, err := firingorder.TurnOf(t.Angle())
			if err == nil && back.Angle() != t.Angle() {
				err = fmt.Errorf("%s reads back as %s", t.Angle(), back.Angle())
			}
			return in.answer(Number(t.Angle().Degrees()), err)
		}},
		{Quantity: "TDC of every cylinder of a named layout", Symbols: with(named, "Layout.TDC"), Eval: func(r reference.Row) (Answer, error) {
			return tdcText(namedLayout(&inputs{row: r}))
		}},
		{Quantity: "TDC of every cylinder with the crank turning the other way", Symbols: with(nil, "Layout.Reversed", "Layout.TDC"), Eval: func(r reference.Row) (Answer, error) {
			l, err := namedLayout(&inputs{row: r})
			if err != nil {
				return Answer{}, err
			}
			return tdcText(l.Reversed())
		}},
		{Quantity: "order that fires evenly with the crank turning the other way", Symbols: with(nil, "Layout.Reversed", "OrderSearch.All"), Eval: func(r reference.Row) (Answer, error) {
			in := &inputs{row: r}
			l, err := namedLayout(in)
			if err != nil {
				return Answer{}, err
			}
			if l, err = l.Reversed(); err != nil {
				return Answer{}, err
			}
			all, err := firingorder.OrderSearch{Layout: l, Filter: firingorder.OrderFilter{Even: true}}.All()
			if err != nil {
				return Answer{}, err
			}
			// The order that turned the first way, read backward, must be among them.
			o := read(in, "order", firingorder.ParseOrder)
			if in.err == nil {
				slices.Reverse(o[1:])
			}
			for x := range all {
				if slices.Equal(x, o) {
					return in.answer(Text(x.String()), nil)
				}
			}
			return in.answer(Text("none"), nil)
		}},
		{Quantity: "order that a named layout fires evenly", Symbols: with(named, "ParseOrder", "NewEngine", "Engine.Order", "Engine.Even"), Eval: func(r reference.Row) (Answer, error) {
			e, err := rowEngine(&inputs{row: r})
			if err != nil {
				return Answer{}, err
			}
			if !e.Even() {
				return Text("uneven"), nil
			}
			return Text(e.Order().String()), nil
		}},
		{Quantity: "number of orders that a named layout fires evenly", Symbols: with(named, "Radial", "OrderSearch.Count", "NewEngine", "Engine.Even"), Eval: evalCount},
		{Quantity: "pair of firing intervals of a twin", Symbols: with(named, "NewEngine", "Engine.Intervals"), Eval: func(r reference.Row) (Answer, error) {
			in := &inputs{row: r}
			l, err := namedLayout(in)
			if err != nil {
				return Answer{}, err
			}
			e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: firingorder.Order{1, 2}})
			if err != nil {
				return Answer{}, err
			}
			return Text(ascending(e.Intervals())), nil
		}},
		{Quantity: "intervals of a V on shared pins", Symbols: with(nil, "V", "TurnOf", "ParseOrder", "NewEngine", "Engine.Intervals"), Eval: func(r reference.Row) (Answer, error) {
			e, err := rowEngine(&inputs{row: r})
			if err != nil {
				return Answer{}, err
			}
			g := e.Intervals()
			for i := range g {
				if g[i] != g[i%2] {
					return Text("not alternating"), nil
				}
			}
			return Text(ascending(g[:2])), nil
		}},
		{Quantity: "smallest pin split with which a V fires evenly", Symbols: strings.Fields("firingorder.V firingorder.Degrees firingorder.Layout.TDC firingorder.NewEngine firingorder.Engine.Even"), Eval: evalSplit},
		{Quantity: "firing order of a radial", Symbols: with(layout, "Layout.TDC", "NewEngine", "Engine.Even"), Eval: evalRadial},
		{Quantity: "bankwise name of an alternating order", Symbols: with(nil, "V", "TurnOf", "NewLayout", "Layout.Label", "Layout.Config", "ParseOrder", "Layout.ParseOrder", "NewEngine", "Engine.Order"), Eval: evalRename},
	}
}

// tdcText lists the TDCs of a layout.
func tdcText(l *firingorder.Layout, err error) (Answer, error) {
	if err != nil {
		return Answer{}, err
	}
	s := make([]string, l.Cylinders())
	for i := range s {
		a, err := l.TDC(i + 1)
		if err != nil {
			return Answer{}, err
		}
		s[i] = shortest(a.Degrees())
	}
	return Text(strings.Join(s, " ")), nil
}

// ascending joins the intervals, smallest first.
func ascending(g []units.CrankAngle) string {
	slices.Sort(g)
	s := make([]string, len(g))
	for i := range g {
		s[i] = shortest(g[i].Degrees())
	}
	return strings.Join(s, " ")
}

// onEngine builds the engine of the row's layout and order.
func onEngine(r reference.Row, f func(*inputs, *firingorder.Engine) (Answer, error)) (Answer, error) {
	in := &inputs{row: r}
	e, err := rowEngine(in)
	if err != nil {
		return Answer{}, err
	}
	return f(in, e)
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
	// Cylinders of a four-stroke engine that share TDC are companions.
	var shared []string
	for _, g := range e.Layout().SharedTDC() {
		if len(g) != 2 {
			return Answer{}, fmt.Errorf("%v share TDC", g)
		}
		shared = append(shared, fmt.Sprintf("%d&%d", g[0], g[1]))
	}
	sorted := slices.Sorted(slices.Values(s))
	slices.Sort(shared)
	if !slices.Equal(sorted, shared) {
		return Answer{}, fmt.Errorf("companions %v, but TDC is shared by %v", sorted, shared)
	}
	if s == nil {
		return Text("none"), nil
	}
	return Text(strings.Join(s, " ")), nil
}

func firingLayout(in *inputs) (*firingorder.Layout, error) {
	return layoutOf(in, in.text("banks"), in.text("throws"), in.text("cylinders"))
}

// layoutOf reads banks as name:num/den of a turn, throws as degrees or as num/den
// of a turn, and cylinders as number:bank/throw.
func layoutOf(in *inputs, banks, throws, cylinders string) (*firingorder.Layout, error) {
	if in.err != nil {
		return nil, in.err
	}
	fraction := func(s string) (firingorder.Turn, error) {
		p, q, ok := strings.Cut(s, "/")
		if !ok {
			q = "360"
		}
		num, err1 := strconv.ParseInt(p, 10, 64)
		den, err2 := strconv.ParseInt(q, 10, 64)
		if err := errors.Join(err1, err2); err != nil {
			return firingorder.Turn{}, err
		}
		if !ok {
			return firingorder.Degrees(num)
		}
		return firingorder.Fraction(num, den)
	}
	var c firingorder.Config
	for w := range strings.FieldsSeq(banks) {
		name, a, _ := strings.Cut(w, ":")
		t, err := fraction(a)
		if err != nil {
			return nil, fmt.Errorf("bank %q is not name:num/den of a turn", w)
		}
		c.Banks = append(c.Banks, firingorder.Bank{Name: name, Axis: t})
	}
	for w := range strings.FieldsSeq(throws) {
		t, err := fraction(w)
		if err != nil {
			return nil, err
		}
		c.Throws = append(c.Throws, t)
	}
	c.Cylinders = make([]firingorder.Cylinder, len(strings.Fields(cylinders)))
	for w := range strings.FieldsSeq(cylinders) {
		number, at, _ := strings.Cut(w, ":")
		b, t, _ := strings.Cut(at, "/")
		k, err1 := strconv.Atoi(number)
		n, err2 := strconv.Atoi(t)
		if err1 != nil || err2 != nil || k < 1 || k > len(c.Cylinders) {
			return nil, fmt.Errorf("cylinder %q is not number:bank/throw", w)
		}
		c.Cylinders[k-1] = firingorder.Cylinder{Bank: b, Throw: n}
	}
	return firingorder.NewLayout(c)
}

// namedLayout builds the layout that the row names by its geometry.
func namedLayout(in *inputs) (*firingorder.Layout, error) {
	turn := func(name string) firingorder.Turn {
		if !in.has(name) {
			return firingorder.Turn{}
		}
		t, err := firingorder.TurnOf(in.crank(name))
		if in.err == nil {
			in.err = err
		}
		return t
	}
	var crank firingorder.Crank
	if in.has("crank") {
		for k := firingorder.OnePin; k <= firingorder.EightTwoFours; k++ {
			if k.String() == in.text("crank") {
				crank = k
			}
		}
	}
	numbering := firingorder.NumberingUnstated
	if in.has("numbering") {
		numbering = map[string]firingorder.Numbering{"alternating": firingorder.Alternating, "bankwise": firingorder.Bankwise}[in.text("numbering")]
	}
	mirrored := in.has("mirrored")
	switch kind := in.text("kind"); kind {
	case "in-line":
		return firingorder.Inline(firingorder.InlineConfig{Crank: crank, Mirrored: mirrored})
	case "boxer":
		n := in.int("cylinders")
		if in.err != nil {
			return nil, in.err
		}
		return firingorder.Boxer(firingorder.BoxerConfig{Cylinders: n, Mirrored: mirrored, Numbering: numbering})
	case "V":
		v := firingorder.VConfig{Crank: crank, Mirrored: mirrored, BankAngle: turn("bank_angle"), Split: turn("split"), Numbering: numbering}
		v.BankOfOne = map[string]firingorder.Passed{"first": firingorder.PassedFirst, "last": firingorder.PassedLast}[in.text("bank_of_one")]
		if in.err != nil {
			return nil, in.err
		}
		return firingorder.V(v)
	case "radial":
		c := firingorder.RadialConfig{Cylinders: in.int("cylinders"), Rows: in.int("rows")}
		if in.err != nil {
			return nil, in.err
		}
		return firingorder.Radial(c)
	default:
		return nil, fmt.Errorf("no kind of layout %q", kind)
	}
}

// evenInterval returns the interval of an engine that fires evenly in line.
func evenInterval(in *inputs) (units.CrankAngle, error) {
	e, err := evenLine(in)
	if err != nil {
		return 0, err
	}
	if !e.Even() {
		return 0, fmt.Errorf("intervals %v differ", e.Intervals())
	}
	return e.Intervals()[0], nil
}

// evalV8 tries the order on every crank of four pins at multiples of 90 degrees,
// two banks 90 degrees apart and facing cylinders on one pin.
func evalV8(r reference.Row) (Answer, error) {
	in := &inputs{row: r}
	o := read(in, "order", firingorder.ParseOrder)
	bankwise, last := in.text("numbering") == "bankwise", in.text("bank_of_one") == "last"
	if in.err != nil {
		return Answer{}, in.err
	}
	axis, err := firingorder.TurnOf(90 * units.CrankDegree)
	if err != nil {
		return Answer{}, err
	}
	v := firingorder.VConfig{Crank: firingorder.FourTwoPlane, BankAngle: axis, Numbering: firingorder.Alternating, BankOfOne: firingorder.PassedFirst}
	if bankwise {
		v.Numbering = firingorder.Bankwise
	}
	if last {
		v.BankOfOne = firingorder.PassedLast
	}
	base, err := firingorder.V(v)
	if err != nil {
		return Answer{}, err
	}
	found := Text("impossible")
	for k := range 64 {
		c := base.Config()
		pins := []int64{0, int64(k & 3 * 90), int64(k >> 2 & 3 * 90), int64(k >> 4 * 90)}
		for i, p := range pins {
			if c.Throws[i], err = firingorder.Degrees(p); err != nil {
				return Answer{}, err
			}
		}
		l, err := firingorder.NewLayout(c)
		if err != nil {
			return Answer{}, err
		}
		e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o})
		if err != nil || !e.Even() {
			continue
		}
		if found.text != "impossible" {
			return Answer{}, fmt.Errorf("both %s and pins %v fit", found, pins)
		}
		a, err := companionText(e)
		if err != nil {
			return Answer{}, err
		}
		plane := "two-plane"
		if slices.Max(pins) == 180 && !slices.Contains(pins, 90) {
			plane = "single-plane"
		}
		found = Text(fmt.Sprintf("%s %d %d %d %d: %s", plane, pins[0], pins[1], pins[2], pins[3], a.text))
	}
	// The named cranks must agree with their pins.
	for _, k := range []firingorder.Crank{firingorder.FourTwoPlane, firingorder.FourSinglePlane} {
		v.Crank = k
		l, err := firingorder.V(v)
		if err != nil {
			return Answer{}, err
		}
		pins := "two-plane 0 90 270 180:"
		if k == firingorder.FourSinglePlane {
			pins = "single-plane 0 180 180 0:"
		}
		_, err = firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o})
		if (err == nil) != strings.HasPrefix(found.text, pins) {
			return Answer{}, fmt.Errorf("pins give %q, the crank %q says: %w", found.text, k, err)
		}
	}
	return found, nil
}

// evalSwap exchanges companions in the order; the result must be possible.
func evalSwap(r reference.Row) (Answer, error) {
	return onEngine(r, func(in *inputs, e *firingorder.Engine) (Answer, error) {
		o := e.Order()
		for w := range strings.FieldsSeq(in.text("swap")) {
			p, q, _ := strings.Cut(w, "&")
			a, err1 := strconv.Atoi(p)
			b, err2 := strconv.Atoi(q)
			k, err3 := e.CompanionOf(a)
			if err := errors.Join(err1, err2, err3); err != nil || k.Cylinder != b {
				return Answer{}, fmt.Errorf("%s are no companions: %w", w, err)
			}
			i, j := slices.Index(o, a), slices.Index(o, b)
			o[i], o[j] = o[j], o[i]
		}
		s, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: e.Layout(), Order: o})
		if err != nil {
			return Answer{}, err
		}
		return Text(s.Order().String()), nil
	})
}

// evalCount counts the even orders and, where they are few, tries every order
// that begins with cylinder 1 as well.
func evalCount(r reference.Row) (Answer, error) {
	l, err := namedLayout(&inputs{row: r})
	if err != nil {
		return Answer{}, err
	}
	count, err := firingorder.OrderSearch{Layout: l, Filter: firingorder.OrderFilter{Even: true}}.Count()
	if err != nil || l.Cylinders() > 8 {
		return Number(float64(count)), err
	}
	o := make(firingorder.Order, l.Cylinders())
	for i := range o {
		o[i] = i + 1
	}
	var found uint64
	for _, p := range combin.Permutations(len(o)-1, len(o)-1) {
		for i, k := range p {
			o[i+1] = k + 2
		}
		if e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o}); err == nil && e.Even() {
			found++
		}
	}
	if found != count {
		return Answer{}, fmt.Errorf("%d counted, %d found", count, found)
	}
	return Number(float64(count)), nil
}

// evenOrder returns an order that fires the layout evenly, cylinders of rows in
// turn if there are two, or nil.
func evenOrder(l *firingorder.Layout, rows int) (firingorder.Order, error) {
	n := l.Cylinders()
	o := make(firingorder.Order, 0, n)
	for k := range n {
		want, err := firingorder.Fraction(2*int64(k), int64(n))
		if err != nil {
			return nil, err
		}
		for c := 1; c <= n && len(o) == k; c++ {
			a, err := l.TDC(c)
			if err != nil {
				return nil, err
			}
			if a == want.Angle().WrapTurn() && !slices.Contains(o, c) && (rows < 2 || k == 0 || (c-o[k-1])%2 != 0) {
				o = append(o, c)
			}
		}
		if len(o) == k {
			return nil, nil
		}
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o})
	if err != nil {
		return nil, err
	}
	if !e.Even() {
		return nil, fmt.Errorf("%s is not even", o)
	}
	return e.Order(), nil
}

// evalSplit tries whole degrees, nearest to a shared pin first.
func evalSplit(r reference.Row) (Answer, error) {
	in := &inputs{row: r}
	angle, crank := in.crank("bank_angle"), firingorder.ThreeEven
	if in.text("crank") == firingorder.FiveStar.String() {
		crank = firingorder.FiveStar
	}
	if in.err != nil {
		return Answer{}, in.err
	}
	v := firingorder.VConfig{Crank: crank, Numbering: firingorder.Alternating, BankOfOne: firingorder.PassedFirst}
	var err error
	if v.BankAngle, err = firingorder.TurnOf(angle); err != nil {
		return Answer{}, err
	}
	for d := range int64(181) {
		for _, sign := range []int64{-1, 1} {
			if v.Split, err = firingorder.Degrees(sign * d); err != nil {
				return Answer{}, err
			}
			l, err := firingorder.V(v)
			if err != nil {
				return Answer{}, err
			}
			if o, err := evenOrder(l, 1); err != nil || o != nil {
				return Number(float64(d)), err
			}
		}
	}
	return Text("none"), nil
}

// evalRadial lays out one row on one pin, or two rows on pins 180 degrees apart
// with odd numbers in the first.
func evalRadial(r reference.Row) (Answer, error) {
	in := &inputs{row: r}
	n, rows := in.int("cylinders"), in.int("rows")
	if in.err != nil {
		return Answer{}, in.err
	}
	half, err := firingorder.Degrees(180)
	if err != nil {
		return Answer{}, err
	}
	c := firingorder.Config{Throws: []firingorder.Turn{{}, half}}
	for k := range n {
		axis, err := firingorder.Fraction(int64(k), int64(n))
		if err != nil {
			return Answer{}, err
		}
		name := fmt.Sprintf("c%d", k+1)
		c.Banks = append(c.Banks, firingorder.Bank{Name: name, Axis: axis})
		c.Cylinders = append(c.Cylinders, firingorder.Cylinder{Bank: name, Throw: 1 + k%rows})
	}
	l, err := firingorder.NewLayout(c)
	if err != nil {
		return Answer{}, err
	}
	o, err := evenOrder(l, rows)
	if o == nil {
		return Text("none"), err
	}
	return Text(o.String()), err
}

// evalRename reads the alternating order by its labels on the same engine
// numbered bankwise.
func evalRename(r reference.Row) (Answer, error) {
	in := &inputs{row: r}
	e, err := rowEngine(in)
	if err != nil {
		return Answer{}, err
	}
	swap := in.text("banks_change_names") == "yes"
	labels := make([]string, len(e.Order()))
	for i, c := range e.Order() {
		labels[i] = e.Layout().Label(c)
		if swap {
			labels[i] = strings.NewReplacer("A", "B", "B", "A").Replace(labels[i])
		}
	}
	// The same crank and banks, the numbers dealt bank by bank.
	c := e.Layout().Config()
	if swap {
		c.Banks[0].Name, c.Banks[1].Name = c.Banks[1].Name, c.Banks[0].Name
		for i := range c.Cylinders {
			c.Cylinders[i].Bank = strings.NewReplacer("A", "B", "B", "A").Replace(c.Cylinders[i].Bank)
		}
	}
	slices.SortStableFunc(c.Cylinders, func(a, b firingorder.Cylinder) int { return strings.Compare(a.Bank, b.Bank) })
	l, err := firingorder.NewLayout(c)
	if err != nil {
		return Answer{}, err
	}
	o, err := l.ParseOrder(strings.Join(labels, "-"))
	if err != nil {
		return Answer{}, err
	}
	b, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o})
	if err != nil {
		return Answer{}, err
	}
	return in.answer(Text(b.Order().String()), nil)
}
