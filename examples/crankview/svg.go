package main

import (
	"encoding/xml"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/firingorder"
)

// The sheet and its two drawings, in user units.
const (
	width, height = 1080, 620
	viewX, viewY  = 300, 330
	ringX, ringY  = 800, 330
	pinRadius     = 84.0  // of the circle of the pins
	boreNear      = 140.0 // cylinders, from the crank axis
	boreFar       = 190.0
	nameRadius    = 212.0
	ringRadius    = 170.0
)

// paper writes elements.
type paper struct{ strings.Builder }

func (p *paper) line(s string) { p.WriteString(s + "\n") }

// f writes a coordinate with three decimals and no negative zero.
func f(x float64) string {
	s := strconv.FormatFloat(x, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

func escape(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a strings.Builder does not fail
	return b.String()
}

// point returns the place at a radius in a direction.
func point(cx, cy, r float64, d firingorder.Direction) (x, y float64) {
	return cx + r*d.X, cy - r*d.Y
}

func (p *paper) segment(class, data string, x1, y1, x2, y2 float64) {
	p.line(fmt.Sprintf(`<line class="%s"%s x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, data, f(x1), f(y1), f(x2), f(y2)))
}

func (p *paper) circle(class, data string, x, y, r float64) {
	p.line(fmt.Sprintf(`<circle class="%s"%s cx="%s" cy="%s" r="%s"/>`, class, data, f(x), f(y), f(r)))
}

func (p *paper) words(class, anchor string, x, y, size float64, s string) {
	p.line(fmt.Sprintf(`<text class="%s" text-anchor="%s" x="%s" y="%s" font-size="%s">%s</text>`, class, anchor, f(x), f(y+size*0.35), f(size), escape(s)))
}

// data says in words and degrees what an element stands for, for a program.
func data(kind string, list []int, d firingorder.Direction) string {
	s := make([]string, len(list))
	for i, n := range list {
		s[i] = strconv.Itoa(n)
	}
	return fmt.Sprintf(` data-%s="%s" data-clock="%s"`, kind, strings.Join(s, " "), deg(d.Clock.Angle()))
}

// room returns a size of type in which a text of so many characters fits.
func room(most, space float64, longest int) float64 {
	return math.Max(6, math.Min(most, space/(0.62*float64(max(longest, 1)))))
}

// anchor turns a text away from the middle of a drawing.
func anchor(d firingorder.Direction) string {
	switch {
	case d.X > 0.3:
		return "start"
	case d.X < -0.3:
		return "end"
	default:
		return "middle"
	}
}

const style = `
text { font-family: sans-serif; fill: #000; stroke: #fff; stroke-width: 4px; stroke-linejoin: round; paint-order: stroke; }
.head { font-weight: bold; }
.pins, .ring { fill: none; stroke: #000; stroke-width: 1.5; }
.axis, .turn { stroke: #000; stroke-width: 1.5; stroke-dasharray: 7 4; }
.bore { fill: #fff; stroke: #000; stroke-width: 1.5; }
.web { stroke: #000; stroke-width: 7; stroke-linecap: round; }
.pin { fill: #fff; stroke: #000; stroke-width: 3; }
.shaft { fill: #000; }
.fire { fill: #fff; stroke: #000; stroke-width: 2; }
.mark { stroke: #000; stroke-width: 2; }
.arrow { fill: none; stroke: #000; stroke-width: 2; }
.tip { fill: #000; }
`

func (s *scene) svg() string {
	p := &paper{}
	p.line(fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %d %d" role="img" aria-labelledby="title desc">`, width, height, width, height))
	p.line(`<title id="title">` + escape(s.title()) + `</title>`)
	p.line(`<desc id="desc">` + escape(s.sentence()) + `</desc>`)
	p.line(`<style>` + style + `</style>`)
	p.line(fmt.Sprintf(`<rect x="0" y="0" width="%d" height="%d" fill="#fff"/>`, width, height))
	s.drawEnd(p)
	s.drawRing(p)
	p.line(`</svg>`)
	return p.String()
}

func (s *scene) drawEnd(p *paper) {
	p.line(`<g id="end-view">`)
	head := "Crank, cylinder 1 at top dead center"
	if s.turned != (firingorder.Turn{}) {
		head = "Crank, " + deg(s.turned.Angle()) + "° after TDC of cylinder 1"
	}
	p.words("head", "middle", viewX, 28, 18, head)
	p.words("note", "middle", viewX, 52, 14, s.seen())
	axes := s.axisSpokes()
	n := len(axes)
	gap := 2 * nameRadius * math.Sin(math.Pi/float64(max(n, 2)))
	bore := math.Min(48, 1.7*boreNear*math.Sin(math.Pi/float64(max(n, 3))))
	names, longest := make([]string, n), 0
	for i, a := range axes {
		names[i] = strings.Join(a.banks, " ")
		if list := numbers(a.cylinders); n <= 6 {
			names[i] += ": " + list
		} else if !strings.HasSuffix(names[i], list) {
			names[i] += " " + list
		}
		longest = max(longest, len(names[i]))
	}
	for _, a := range axes {
		x, y := point(viewX, viewY, boreFar, a.at)
		p.segment("axis", data("axis", a.cylinders, a.at), viewX, viewY, x, y)
	}
	for i, a := range axes {
		// Two corners on each side of the axis; the across direction is (Y, -X).
		var corners []string
		for _, c := range [4][2]float64{{boreNear, -1}, {boreFar, -1}, {boreFar, 1}, {boreNear, 1}} {
			x, y := point(viewX, viewY, c[0], a.at)
			corners = append(corners, f(x+c[1]*bore/2*a.at.Y)+","+f(y+c[1]*bore/2*a.at.X))
		}
		p.line(`<polygon class="bore" points="` + strings.Join(corners, " ") + `"/>`)
		x, y := point(viewX, viewY, nameRadius, a.at)
		turn, size := anchor(a.at), 15.0
		if n > 6 {
			turn, size = "middle", room(15, gap, longest)
		}
		p.words("name", turn, x, y, size, names[i])
	}
	p.circle("pins", "", viewX, viewY, pinRadius)
	spokes := s.pinSpokes()
	for _, w := range spokes {
		x, y := point(viewX, viewY, pinRadius, w.at)
		p.segment("web", data("throws", w.throws, w.at), viewX, viewY, x, y)
	}
	p.circle("shaft", "", viewX, viewY, 12)
	pinGap := 2 * pinRadius * math.Sin(math.Pi/float64(max(len(spokes), 3)))
	for _, w := range spokes {
		x, y := point(viewX, viewY, pinRadius, w.at)
		label := numbers(w.throws)
		size := room(14, 46, len(label))
		r := math.Min(math.Max(13, 0.31*size*float64(len(label))+5), math.Max(9, pinGap/2-2))
		p.circle("pin", "", x, y, r)
		p.words("throw", "middle", x, y, math.Min(size, 1.9*r/math.Max(1, 0.62*float64(len(label)))), label)
	}
	s.drawSense(p)
	p.words("note", "middle", viewX, height-38, 13, "Round pins: throws by number. Dashed lines: cylinder axes")
	p.words("note", "middle", viewX, height-20, 13, "with bank and cylinders. A pin on an axis: top dead center.")
	p.line(`</g>`)
}

// drawSense draws the arrow of rotation in the corner.
func (s *scene) drawSense(p *paper) {
	const x, y, r = 52.0, 104.0, 24.0
	sense, sweep := 1.0, 1
	if !s.view.Clockwise {
		sense, sweep = -1, 0
	}
	// From 220 degrees through the top to 120, mirrored for the other sense.
	at := func(clock float64) (float64, float64) {
		sin, cos := math.Sincos(clock * math.Pi / 180)
		return x + sense*r*sin, y - r*cos
	}
	x1, y1 := at(-130)
	x2, y2 := at(100)
	p.line(fmt.Sprintf(`<path class="arrow" d="M %s %s A %s %s 0 1 %d %s %s"/>`, f(x1), f(y1), f(r), f(r), sweep, f(x2), f(y2)))
	tipX, tipY := at(128)
	p.line(fmt.Sprintf(`<polygon class="tip" points="%s,%s %s,%s %s,%s"/>`, f(x2-sense*8), f(y2-1), f(x2+sense*8), f(y2+3), f(tipX), f(tipY)))
	p.words("note", "middle", x, y+42, 12, "rotation")
}

func (s *scene) drawRing(p *paper) {
	ring := s.engine.Ring()
	n := len(ring)
	cycle := "720"
	if s.cycle == firingorder.TwoStroke {
		cycle = "360"
	}
	p.line(`<g id="order-ring">`)
	p.words("head", "middle", ringX, 28, 18, "Firing order")
	for i, row := range wrap(s.engine.Order().String(), 46) {
		p.words("note", "middle", ringX, 52+18*float64(i), 14, row)
	}
	p.circle("ring", "", ringX, ringY, ringRadius)
	if s.cycle == firingorder.FourStroke {
		p.segment("turn", "", ringX, ringY-ringRadius, ringX, ringY-62)
		p.segment("turn", "", ringX, ringY+62, ringX, ringY+ringRadius)
	}
	gap := 2 * ringRadius * math.Sin(math.Pi/float64(max(n, 3)))
	r := math.Min(20, math.Max(6, gap/2-2))
	widest := 0
	for _, m := range ring {
		widest = max(widest, len(deg(m.Interval))+1)
	}
	inner := ringRadius - r - 18
	size := room(13, 2*inner*math.Sin(math.Pi/float64(max(n, 3)))-4, widest)
	for _, m := range ring {
		x, y := point(ringX, ringY, ringRadius, m.At)
		p.circle("fire", data("fires", []int{m.Cylinder}, m.At), x, y, r)
		p.words("number", "middle", x, y, math.Min(16, 0.95*r), strconv.Itoa(m.Cylinder))
		if s.labels() && n <= 24 {
			x, y := point(ringX, ringY, ringRadius+r+8, m.At)
			p.words("label", anchor(m.At), x, y-4*m.At.Y, 12, s.label(m.Cylinder))
		}
		if size >= 9 || size > 6 && !s.engine.Even() { // the middle says it, too, where firing is even
			x, y := point(ringX, ringY, inner, m.Middle)
			p.words("interval", "middle", x, y, size, deg(m.Interval)+"°")
		}
	}
	p.words("head", "middle", ringX, ringY-22, 14, "time runs clockwise")
	p.words("note", "middle", ringX, ringY, 13, "ring: "+cycle+" crank degrees")
	rest := []string{s.spacing()}
	if !s.engine.Even() {
		rest = strings.SplitAfter(s.spacing(), ", ")
	}
	for i, row := range rest {
		p.words("note", "middle", ringX, ringY+20+17*float64(i), 13, strings.TrimSpace(row))
	}
	p.words("note", "middle", ringX, height-38, 13, "In circles: cylinders as they fire, from cylinder 1 at the top.")
	p.words("note", "middle", ringX, height-20, 13, "Between them: crank degrees from one firing to the next.")
	p.line(`</g>`)
}

// wrap breaks an order into rows of at most so many characters.
func wrap(order string, most int) []string {
	var rows []string
	row := ""
	for _, w := range slices.Collect(strings.SplitAfterSeq(order, "-")) {
		if row != "" && len(row)+len(w) > most {
			rows = append(rows, row)
			row = ""
		}
		row += w
	}
	return append(rows, row)
}
