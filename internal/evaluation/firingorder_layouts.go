package evaluation

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// firingorderLayouts computes the rows of layouts.csv.
func firingorderLayouts(add adder) {
	add("text of a turn as an angle", func(in *inputs) (Answer, error) {
		t := read(in, "text", firingorder.ParseTurn)
		return Number(t.Angle().Degrees()), nil
	}, "ParseTurn", "Turn.Angle")
	add("labels of an order", func(in *inputs) (Answer, error) {
		l, err := firingLayout(in)
		if err != nil {
			return Answer{}, err
		}
		o := read(in, "order", firingorder.ParseOrder)
		s, err := l.OrderText(o)
		if err != nil {
			return Answer{}, err
		}
		if back, err := l.ParseOrder(s); err != nil || back.String() != o.String() {
			return Answer{}, fmt.Errorf("%s reads back as %s: %w", s, back, err)
		}
		return Text(s), nil
	}, "Layout.OrderText", "Layout.ParseOrder", "ParseOrder")
	add("TDC of every cylinder of a layout in JSON", func(in *inputs) (Answer, error) {
		l, err := firingorder.ParseLayout([]byte(in.text("json")))
		if err != nil {
			return Answer{}, err
		}
		text, err := json.Marshal(l)
		if err != nil {
			return Answer{}, err
		}
		back, err := firingorder.ParseLayout(text)
		if err != nil || !reflect.DeepEqual(back.Config(), l.Config()) {
			return Answer{}, fmt.Errorf("%s reads back as another layout: %w", text, err)
		}
		s := make([]string, l.Cylinders())
		for i := range s {
			a, err := l.TDC(i + 1)
			if err != nil {
				return Answer{}, err
			}
			s[i] = strings.TrimSuffix(a.String(), " crank deg")
		}
		return Text(strings.Join(s, " ")), nil
	}, "ParseLayout", "Layout.TDC")
	add("order that a radial fires evenly", func(in *inputs) (Answer, error) {
		l, err := firingorder.Radial(firingorder.RadialConfig{Cylinders: in.int("cylinders"), Rows: in.int("rows"), AgainstRotation: in.has("against_rotation")})
		if err != nil {
			return Answer{}, err
		}
		e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: read(in, "order", firingorder.ParseOrder)})
		if err != nil {
			return Answer{}, err
		}
		if !e.Even() {
			return Text("uneven"), nil
		}
		return Text(e.Order().String()), nil
	}, "Radial", "NewEngine", "Engine.Even", "Engine.Order")
	add("firing intervals of an engine with several banks", func(in *inputs) (Answer, error) {
		c := firingorder.MultiBankConfig{Axes: turns(in, "axes"), Pins: turns(in, "pins"), Numbering: numberings()[in.text("numbering")]}
		// Where the pins are those of a named crank the crank must say so.
		for k := firingorder.OnePin; k <= firingorder.EightTwoFours; k++ {
			if p, err := k.Pins(); err != nil || reflect.DeepEqual(p, c.Pins) {
				c.Pins = p
			}
		}
		if in.has("splits") {
			c.Splits = turns(in, "splits")
		}
		if in.err != nil {
			return Answer{}, in.err
		}
		l, err := firingorder.MultiBank(c)
		if err != nil {
			return Answer{}, err
		}
		e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: read(in, "order", firingorder.ParseOrder)})
		if err != nil {
			return Answer{}, err
		}
		s := make([]string, 0, len(e.Order()))
		for _, g := range e.Intervals() {
			s = append(s, rounded(g))
		}
		return Text(strings.Join(s, "-")), nil
	}, "MultiBank", "Crank.Pins", "Degrees", "NewEngine", "Engine.Intervals")

	add("pin split of an even-firing V", func(in *inputs) (Answer, error) {
		c := firingorder.VConfig{Numbering: firingorder.Bankwise, BankOfOne: firingorder.PassedFirst, BankAngle: read(in, "bank_angle", firingorder.ParseTurn)}
		if in.text("bank_of_one") == "last" {
			c.BankOfOne = firingorder.PassedLast
		}
		for k := firingorder.OnePin; k <= firingorder.EightTwoFours; k++ {
			if k.String() == in.text("crank") {
				c.Crank = k
			}
		}
		s, err := c.EvenSplit(firingorder.FourStroke)
		return Number(s.Angle().Abs().Degrees()), err
	}, "VConfig.EvenSplit", "ParseTurn")

	naming := []string{"NewNaming", "NewLayout"}
	documents := strings.Fields("ISO1204 DIN73021 TGL6864 SAEJ824A SAEJ824B OpposedPractice RadialPractice")
	add("cylinder names under a scheme", func(in *inputs) (Answer, error) {
		n, _, err := rowNaming(in, "scheme")
		if err != nil {
			return Answer{}, err
		}
		// Named again in its own numbers, the engine keeps them.
		for i, c := range n.Numbers() {
			if want := n.Names()[i]; n.Layout().Label(c) != want && strconv.Itoa(c) != want && side(n.Layout().Label(c)) != want {
				return Answer{}, fmt.Errorf("cylinder %d is %s and number %d", i+1, want, c)
			}
		}
		return Text(strings.Join(n.Names(), " ")), nil
	}, append(append(documents, naming...), "Naming.Names", "Naming.Numbers", "Naming.Layout")...)
	add("name of a cylinder in another scheme", func(in *inputs) (Answer, error) {
		n, l, err := rowNaming(in, "scheme")
		if err != nil {
			return Answer{}, err
		}
		m, err := namingOf(in, l, "other")
		if err != nil {
			return Answer{}, err
		}
		name := in.text("name")
		s, err := n.To(m, name)
		if err != nil {
			return Answer{}, err
		}
		c1, err1 := n.Cylinder(name)
		c2, err2 := m.Cylinder(s)
		if err := errors.Join(err1, err2); err != nil || c1 != c2 {
			return Answer{}, fmt.Errorf("%s is cylinder %d, %s cylinder %d: %w", name, c1, s, c2, err)
		}
		return Text(s), nil
	}, append(naming, "Naming.To", "Naming.Cylinder")...)
	add("order under a scheme", func(in *inputs) (Answer, error) {
		n, l, err := rowNaming(in, "scheme")
		if err != nil {
			return Answer{}, err
		}
		o := read(in, "order", firingorder.ParseOrder)
		text, err := n.OrderText(o)
		if err != nil {
			return Answer{}, err
		}
		back, err1 := n.ParseOrder(text)
		before, err2 := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: back})
		r, err3 := n.Order(o)
		if err := errors.Join(err1, err2, err3); err != nil {
			return Answer{}, err
		}
		// The same engine in other numbers fires at the same intervals.
		after, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: n.Layout(), Order: r})
		if err != nil {
			return Answer{}, err
		}
		if before.Order().String() != o.String() || before.Even() != after.Even() {
			return Answer{}, fmt.Errorf("%s comes back as %s", o, before.Order())
		}
		return Text(text), nil
	}, append(naming, "Naming.Order", "Naming.OrderText", "Naming.ParseOrder", "Naming.Layout")...)

	add("angle of the second bank after the first under a scheme", func(in *inputs) (Answer, error) {
		n, _, err := rowNaming(in, "scheme")
		if err != nil {
			return Answer{}, err
		}
		b := n.Layout().Config().Banks
		first, second := b[0].Axis.Angle(), b[1].Axis.Angle()
		return Number((second - first).Degrees()), nil
	}, append(naming, "ISO1204", "DIN73021", "SAEJ824B", "Naming.Layout")...)
	add("end view of a layout", func(in *inputs) (Answer, error) {
		l, err := statedLayout(in)
		if err != nil {
			return Answer{}, err
		}
		c := firingorder.EndViewConfig{SeenFrom: end(in.text("seen_from")), Up: up(in)}
		if in.has("turned") {
			c.Turned = read(in, "turned", firingorder.ParseTurn)
		}
		v, err := l.EndView(c)
		if err != nil {
			return Answer{}, err
		}
		s := []string{"pins"}
		for i, t := range v.Throws {
			s = append(s, clock(in, t.Pin))
			if i == len(v.Throws)-1 {
				s[i+1] += ";"
			}
		}
		s = append(s, "axes")
		for _, b := range v.Banks {
			s = append(s, clock(in, b.Axis))
		}
		return Text(strings.Join(s, " ")), nil
	}, "Layout.EndView", "ParseTurn")
	add("sense of rotation seen from an end", func(in *inputs) (Answer, error) {
		c := firingorder.InlineConfig{Crank: firingorder.OnePin, Rotation: firingorder.Clockwise}
		if in.text("rotation") == firingorder.CounterClockwise.String() {
			c.Rotation = firingorder.CounterClockwise
		}
		l, err := firingorder.Inline(c)
		if err != nil {
			return Answer{}, err
		}
		v, err := l.EndView(firingorder.EndViewConfig{SeenFrom: end(in.text("seen_from"))})
		if v.Clockwise {
			return Text(firingorder.Clockwise.String()), err
		}
		return Text(firingorder.CounterClockwise.String()), err
	}, "Layout.EndView", "Inline")
	add("firings on a ring of one cycle", func(in *inputs) (Answer, error) {
		l, err := firingLayout(in)
		if err != nil {
			return Answer{}, err
		}
		c := firingorder.EngineConfig{Layout: l, Order: read(in, "order", firingorder.ParseOrder)}
		if in.text("cycle") == firingorder.TwoStroke.String() {
			c.Cycle = firingorder.TwoStroke
		}
		e, err := firingorder.NewEngine(c)
		if err != nil {
			return Answer{}, err
		}
		var at, middle []string
		for _, m := range e.Ring() {
			at, middle = append(at, clock(in, m.At)), append(middle, clock(in, m.Middle))
		}
		return Text(strings.Join(at, " ") + "; middles " + strings.Join(middle, " ")), nil
	}, "Engine.Ring")

	link := func(f func(firingorder.LinkRodTravel) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			t, err := firingorder.LinkRod{
				CrankRadius: in.length("crank_radius"), MasterRod: in.length("master_rod"),
				LinkRadius: in.length("link_radius"), Rod: in.length("rod"),
				Axis: read(in, "axis", firingorder.ParseTurn), PinAngle: read(in, "pin_angle", firingorder.ParseTurn),
			}.Travel()
			return Number(f(t)), err
		}
	}
	add("TDC shift of a link rod", link(func(t firingorder.LinkRodTravel) float64 { return t.Shift.Degrees() }), "LinkRod.Travel")
	add("stroke of a link rod", link(func(t firingorder.LinkRodTravel) float64 { return t.Stroke.Millimeters() }), "LinkRod.Travel")
	add("top of a link rod", link(func(t firingorder.LinkRodTravel) float64 { return t.Top.Millimeters() }), "LinkRod.Travel")
}

// rounded prints an angle with the four decimals of the tables.
func rounded(a units.CrankAngle) string {
	return strconv.FormatFloat(math.Round(a.Degrees()*1e4)/1e4, 'f', -1, 64)
}

// clock prints a direction and checks its coordinates.
func clock(in *inputs, d firingorder.Direction) string {
	s, c := math.Sincos(d.Clock.Angle().Radians())
	if in.err == nil && math.Hypot(d.X-s, d.Y-c) > 1e-9 {
		in.err = fmt.Errorf("%v points to %g, %g", d.Clock, d.X, d.Y)
	}
	return rounded(d.Clock.Angle())
}

func turns(in *inputs, name string) []firingorder.Turn {
	return read(in, name, func(s string) ([]firingorder.Turn, error) {
		var list []firingorder.Turn
		for w := range strings.FieldsSeq(s) {
			d, err := strconv.ParseInt(w, 10, 64)
			if err != nil {
				return nil, err
			}
			t, err := firingorder.Degrees(d)
			if err != nil {
				return nil, err
			}
			list = append(list, t)
		}
		return list, nil
	})
}

func numberings() map[string]firingorder.Numbering {
	return map[string]firingorder.Numbering{"alternating": firingorder.Alternating, "bankwise": firingorder.Bankwise}
}

func end(s string) firingorder.End {
	switch s {
	case firingorder.FreeEnd.String():
		return firingorder.FreeEnd
	case firingorder.DrivingEnd.String():
		return firingorder.DrivingEnd
	default:
		return firingorder.EndUnstated
	}
}

func up(in *inputs) *firingorder.Turn {
	if !in.has("up") {
		return nil
	}
	t := read(in, "up", firingorder.ParseTurn)
	return &t
}

// side turns the label R1 into the name 1R.
func side(label string) string { return label[1:] + label[:1] }

// statedLayout is the layout of a row with its end and its rotation.
func statedLayout(in *inputs) (*firingorder.Layout, error) {
	l, err := firingLayout(in)
	if err != nil {
		return nil, err
	}
	c := l.Config()
	c.NumberedFrom = end(in.text("numbered_from"))
	c.Rotation = firingorder.Clockwise
	if in.text("rotation") == firingorder.CounterClockwise.String() {
		c.Rotation = firingorder.CounterClockwise
	}
	return firingorder.NewLayout(c)
}

func namingOf(in *inputs, l *firingorder.Layout, input string) (*firingorder.Naming, error) {
	schemes := map[string]firingorder.Scheme{
		"ISO 1204":                         firingorder.ISO1204(),
		"DIN 73021":                        firingorder.DIN73021(),
		"TGL 6864":                         firingorder.TGL6864(),
		"SAE J824 A left":                  firingorder.SAEJ824A(firingorder.BanksFromLeft),
		"SAE J824 A right":                 firingorder.SAEJ824A(firingorder.BanksFromRight),
		"SAE J824 B":                       firingorder.SAEJ824B(),
		"FAA opposed":                      firingorder.OpposedPractice(),
		"FAA radial":                       firingorder.RadialPractice(),
		"bankwise":                         {Numbering: firingorder.Bankwise},
		"bankwise from the driving end":    {Numbering: firingorder.Bankwise, CountFrom: firingorder.DrivingEnd},
		"alternating from the driving end": {Numbering: firingorder.Alternating, CountFrom: firingorder.DrivingEnd},
		"bankwise in rotation":             {Numbering: firingorder.Bankwise, Banks: firingorder.BanksInRotation},
	}
	s, ok := schemes[in.text(input)]
	if !ok {
		return nil, fmt.Errorf("no scheme %q", in.text(input))
	}
	return firingorder.NewNaming(firingorder.NamingConfig{Layout: l, Scheme: s, Up: up(in)})
}

func rowNaming(in *inputs, input string) (*firingorder.Naming, *firingorder.Layout, error) {
	l, err := statedLayout(in)
	if err != nil {
		return nil, nil, err
	}
	n, err := namingOf(in, l, input)
	return n, l, err
}
