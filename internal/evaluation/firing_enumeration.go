package evaluation

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/firingorder"
)

// firingorderEnumeration computes the rows of firing_enumeration.csv.
func firingorderEnumeration(add adder) {
	add("number of orders that a layout allows", func(in *inputs) (Answer, error) {
		s, err := orderSearch(in)
		if err != nil {
			return Answer{}, err
		}
		n, err := s.Count()
		listed, err2 := ordersOf(s)
		if err == nil && (err2 != nil || uint64(len(listed)) != n) {
			err = fmt.Errorf("%d counted, %d listed: %w", n, len(listed), err2)
		}
		return Number(float64(n)), err
	}, "OrderSearch.Count", "OrderSearch.All")
	add("orders that a layout allows", func(in *inputs) (Answer, error) {
		s, err := orderSearch(in)
		if err != nil {
			return Answer{}, err
		}
		o, err := ordersOf(s)
		return sortedText(o), err
	}, "OrderSearch.All")
	add("number of orders that fire neighbors in succession", func(in *inputs) (Answer, error) {
		s, err := orderSearch(in)
		if err != nil {
			return Answer{}, err
		}
		all, err := s.Count()
		if err != nil {
			return Answer{}, err
		}
		s.Filter.NoNeighbors = true
		without, err := s.Count()
		return Number(float64(all - without)), err
	}, "OrderSearch.Count")
	add("number of cranks and of their orders", func(in *inputs) (Answer, error) {
		s, err := crankSearch(in)
		if err != nil {
			return Answer{}, err
		}
		c, err := s.Count()
		if err != nil {
			return Answer{}, err
		}
		all, err := s.All()
		if err != nil {
			return Answer{}, err
		}
		listed := 0
		for range all {
			listed++
		}
		if c.Orders.String() != strconv.Itoa(listed) {
			return Answer{}, fmt.Errorf("%v orders counted, %d listed", c.Orders, listed)
		}
		return Text(fmt.Sprint(c.Cranks, c.Orders)), nil
	}, "CrankSearch.Count", "CrankSearch.All")
	add("orders over the cranks of a layout", func(in *inputs) (Answer, error) {
		s, err := crankSearch(in)
		if err != nil {
			return Answer{}, err
		}
		all, err := s.All()
		if err != nil {
			return Answer{}, err
		}
		var o []string
		for _, x := range all {
			o = append(o, x.String())
		}
		return sortedText(o), nil
	}, "CrankSearch.All")
	add("crank whose even orders include an order", func(in *inputs) (Answer, error) {
		var found []string
		for _, throws := range []string{in.text("throws"), in.text("other_throws")} {
			l, err := layoutOf(in, in.text("banks"), throws, in.text("cylinders"))
			if err != nil {
				return Answer{}, err
			}
			all, err := firingorder.CrankSearch{Layout: l, Filter: firingorder.OrderFilter{Even: true}}.All()
			if err != nil {
				return Answer{}, err
			}
			for pins, o := range all {
				if o.String() != in.text("order") {
					continue
				}
				var p []string
				for _, x := range pins {
					p = append(p, shortest(x.Angle().Degrees()))
				}
				found = append(found, strings.Join(p, " "))
			}
		}
		return sortedText(found), nil
	}, "CrankSearch.All")
	add("number of patterns of the orders of two cranks", func(in *inputs) (Answer, error) {
		p, err := patternsOf(in)
		return Number(float64(len(p))), err
	}, "Engine.Pattern", "OrderSearch.All")
	add("orders of two cranks with the pattern of one", func(in *inputs) (Answer, error) {
		p, err := patternsOf(in)
		if err != nil {
			return Answer{}, err
		}
		for _, o := range p {
			if slices.Contains(o, in.text("of")) {
				return sortedText(o), nil
			}
		}
		return Answer{}, fmt.Errorf("no pattern of %s", in.text("of"))
	}, "Engine.Pattern", "OrderSearch.All")
	add("numbers of an engine on another", func(in *inputs) (Answer, error) {
		var e [2]*firingorder.Engine
		for i, prefix := range []string{"", "other_"} {
			l, err := layoutOf(in, in.text(prefix+"banks"), in.text(prefix+"throws"), in.text(prefix+"cylinders"))
			if err != nil {
				return Answer{}, err
			}
			o := read(in, prefix+"order", firingorder.ParseOrder)
			if e[i], err = firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o}); err != nil {
				return Answer{}, err
			}
		}
		r, err := e[0].Renumber(e[1], symmetryOf(in))
		return Text(strings.ReplaceAll(r.String(), ";", " |")), err
	}, "Engine.Renumber")
}

func symmetryOf(in *inputs) firingorder.Symmetry {
	return firingorder.Symmetry{OtherEnd: in.has("other_end"), Reversed: in.has("reversed")}
}

func sortedText(s []string) Answer {
	if len(s) == 0 {
		return Text("none")
	}
	slices.Sort(s)
	return Text(strings.Join(s, " "))
}

func ordersOf(s firingorder.OrderSearch) ([]string, error) {
	all, err := s.All()
	if err != nil {
		return nil, err
	}
	var o []string
	for x := range all {
		o = append(o, x.String())
	}
	return o, nil
}

// patternsOf groups the orders of two cranks by their pattern.
func patternsOf(in *inputs) (map[string][]string, error) {
	found := map[string][]string{}
	s, err := orderSearch(in)
	if err != nil {
		return nil, err
	}
	for _, throws := range []string{in.text("throws"), in.text("other_throws")} {
		if s.Layout, err = layoutOf(in, in.text("banks"), throws, in.text("cylinders")); err != nil {
			return nil, err
		}
		all, err := s.All()
		if err != nil {
			return nil, err
		}
		for o := range all {
			e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: s.Layout, Order: o, Cycle: s.Cycle})
			if err != nil {
				return nil, err
			}
			p, err := e.Pattern(symmetryOf(in))
			if err != nil {
				return nil, err
			}
			found[p.Key] = append(found[p.Key], o.String())
		}
	}
	return found, nil
}

func orderSearch(in *inputs) (firingorder.OrderSearch, error) {
	var s firingorder.OrderSearch
	var err error
	if s.Layout, err = firingLayout(in); err != nil {
		return s, err
	}
	if in.has("cycle") && in.text("cycle") == "two-stroke" {
		s.Cycle = firingorder.TwoStroke
	}
	f := &s.Filter
	f.Even, f.NoNeighbors = in.has("even"), in.has("no_neighbors")
	f.AlternateBanks, f.AlternateThrows = in.has("alternate_banks"), in.has("alternate_throws")
	if in.has("longest") {
		p, q, _ := strings.Cut(in.text("longest"), "/")
		num, err := strconv.ParseInt(p, 10, 64)
		if err != nil {
			return s, err
		}
		den, err := strconv.ParseInt(q, 10, 64)
		if err != nil {
			return s, err
		}
		if f.MaxInterval, err = firingorder.Fraction(num, den); err != nil {
			return s, err
		}
	}
	if in.has("apart") {
		for g := range strings.FieldsSeq(in.text("apart")) {
			var group []int
			for c := range strings.SplitSeq(g, "+") {
				k, err := strconv.Atoi(c)
				if err != nil {
					return s, err
				}
				group = append(group, k)
			}
			f.Apart = append(f.Apart, group)
		}
	}
	return s, in.err
}

func crankSearch(in *inputs) (firingorder.CrankSearch, error) {
	o, err := orderSearch(in)
	s := firingorder.CrankSearch{Layout: o.Layout, Cycle: o.Cycle, Filter: o.Filter, Symmetric: in.has("symmetric")}
	if in.has("pins_per_throw") {
		s.PinsPerThrow = in.int("pins_per_throw")
	}
	if err == nil {
		err = in.err
	}
	return s, err
}
