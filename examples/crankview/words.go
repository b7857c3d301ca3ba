package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// spoke is everything that points the same way.
type spoke struct {
	at        firingorder.Direction
	throws    []int
	cylinders []int
	banks     []string
}

// pinSpokes gathers throws that point the same way, in the order of the shaft.
func (s *scene) pinSpokes() []spoke {
	var list []spoke
	for _, t := range s.view.Throws {
		list = gather(list, t.Pin, func(p *spoke) {
			p.throws, p.cylinders = append(p.throws, t.Throw), append(p.cylinders, t.Cylinders...)
		})
	}
	return list
}

// axisSpokes gathers banks that lie the same way.
func (s *scene) axisSpokes() []spoke {
	var list []spoke
	for _, b := range s.view.Banks {
		list = gather(list, b.Axis, func(p *spoke) {
			p.banks, p.cylinders = append(p.banks, b.Name), append(p.cylinders, b.Cylinders...)
		})
	}
	return list
}

func gather(list []spoke, d firingorder.Direction, put func(*spoke)) []spoke {
	i := slices.IndexFunc(list, func(p spoke) bool { return p.at.Clock == d.Clock })
	if i < 0 {
		list = append(list, spoke{at: d})
		i = len(list) - 1
	}
	put(&list[i])
	slices.Sort(list[i].cylinders)
	return list
}

// numbers writes 1 2 3 4 as "1-4" and 1 3 5 as "1 3 5".
func numbers(list []int) string {
	var parts []string
	for i := 0; i < len(list); {
		j := i
		for j+1 < len(list) && list[j+1] == list[j]+1 {
			j++
		}
		switch j - i {
		case 0:
			parts = append(parts, strconv.Itoa(list[i]))
		case 1:
			parts = append(parts, strconv.Itoa(list[i]), strconv.Itoa(list[j]))
		default:
			parts = append(parts, fmt.Sprintf("%d-%d", list[i], list[j]))
		}
		i = j + 1
	}
	return strings.Join(parts, " ")
}

// deg writes an angle with at most three decimals.
func deg(a units.CrankAngle) string {
	return strconv.FormatFloat(math.Round(a.Degrees()*1000)/1000, 'f', -1, 64)
}

func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + one + "s"
}

func (s *scene) title() string {
	return fmt.Sprintf("Crank of %s and firing order %s", plural(len(s.engine.Order()), "cylinder"), s.engine.Order())
}

// seen says from where and which way.
func (s *scene) seen() string {
	turns := "turns clockwise"
	if !s.view.Clockwise {
		turns = "turns counter-clockwise"
	}
	if s.view.SeenFrom == firingorder.EndUnstated {
		return turns + " as seen; the end is not stated"
	}
	return "seen from the " + s.view.SeenFrom.String() + ", " + turns
}

func (s *scene) position() string {
	if s.turned == (firingorder.Turn{}) {
		return "cylinder 1 at top dead center"
	}
	return deg(s.turned.Angle()) + " crank degrees after top dead center of cylinder 1"
}

// spacing says how even the firing is.
func (s *scene) spacing() string {
	g := s.engine.Intervals()
	if s.engine.Even() {
		return "even, every " + deg(g[0]) + " degrees"
	}
	return fmt.Sprintf("uneven, %s to %s degrees", deg(slices.Min(g)), deg(slices.Max(g)))
}

// labels reports whether the labels of the layout say more than its numbers: not
// on one bank, and not where every cylinder is a bank of its own.
func (s *scene) labels() bool {
	n := len(s.view.Banks)
	return n == 2 || n > 2 && n < len(s.engine.Order())
}

func (s *scene) label(cylinder int) string { return s.engine.Layout().Label(cylinder) }

// sentence describes the whole drawing in words.
func (s *scene) sentence() string {
	var b strings.Builder
	fmt.Fprintf(&b, "The crank, %s, %s. ", s.seen(), s.position())
	for _, p := range s.pinSpokes() {
		word := "Throw"
		if len(p.throws) > 1 {
			word = "Throws"
		}
		fmt.Fprintf(&b, "%s %s at %s degrees clockwise from the top. ", word, numbers(p.throws), deg(p.at.Clock.Angle()))
	}
	for _, p := range s.axisSpokes() {
		word := "Bank"
		if len(p.banks) > 1 {
			word = "Banks"
		}
		fmt.Fprintf(&b, "%s %s with cylinder %s at %s degrees. ", word, strings.Join(p.banks, " "), numbers(p.cylinders), deg(p.at.Clock.Angle()))
	}
	fmt.Fprintf(&b, "Firing is %s: ", s.spacing())
	for i, m := range s.engine.Ring() {
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "cylinder %d at %s", m.Cylinder, deg(m.Fires))
	}
	b.WriteString(" crank degrees.")
	return b.String()
}
