package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"example.com/trialfit/firingorder"
)

// The text view: a character is twice as high as wide.
const (
	rows    = 21
	columns = 64
)

type canvas [rows][columns]rune

// put writes a text centered at a place and reports whether it was free.
func (c *canvas) put(x, y float64, s string) bool {
	n := utf8.RuneCountInString(s)
	col, row := int(math.Round(x))-n/2, int(math.Round(y))
	col = min(max(col, 0), columns-n)
	if n > columns || row < 0 || row >= rows {
		return false
	}
	for i := max(col-1, 0); i < min(col+n+1, columns); i++ {
		if c[row][i] != ' ' && c[row][i] != '.' {
			return false
		}
	}
	for i, r := range []rune(s) {
		c[row][col+i] = r
	}
	return true
}

// endView draws throws and banks; what finds no room stands in the table alone.
func (s *scene) endView() string {
	var c canvas
	for i := range c {
		for j := range c[i] {
			c[i][j] = ' '
		}
	}
	at := func(d firingorder.Direction, r float64) (x, y float64) {
		return columns/2 + 2*r*d.X, rows/2 - r*d.Y
	}
	for k := range 36 { // the circle of the pins
		sin, cos := math.Sincos(float64(k) * math.Pi / 18)
		x, y := at(firingorder.Direction{X: sin, Y: cos}, 6)
		c[int(math.Round(y))][int(math.Round(x))] = '.'
	}
	c[rows/2][columns/2] = '+'
	for _, p := range s.pinSpokes() {
		x, y := at(p.at, 6)
		c.put(x, y, "("+numbers(p.throws)+")")
	}
	for _, p := range s.axisSpokes() {
		x, y := at(p.at, 9.5)
		c.put(x, y, "["+strings.Join(p.banks, " ")+"]")
	}
	var b strings.Builder
	for _, row := range c {
		if line := strings.TrimRight(string(row[:]), " "); line != "" {
			b.WriteString(line + "\n")
		}
	}
	return b.String()
}

func (s *scene) text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n%s, %s\n(throws) on the circle of the pins, [banks] outside; angles clockwise from the top\n\n", s.title(), s.seen(), s.position())
	b.WriteString(s.endView())
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	row := func(cells ...string) { fmt.Fprintln(w, strings.Join(cells, "\t")) }
	flush := func() { _ = w.Flush() } // a strings.Builder does not fail
	row("\nthrow", "angle", "cylinders")
	for _, t := range s.view.Throws {
		row(strconv.Itoa(t.Throw), deg(t.Pin.Clock.Angle()), numbers(t.Cylinders))
	}
	flush()
	row("\nbank", "angle", "cylinders")
	for _, t := range s.view.Banks {
		row(t.Name, deg(t.Axis.Clock.Angle()), numbers(t.Cylinders))
	}
	flush()
	fmt.Fprintf(&b, "\nfiring, %s cycle: %s\n", s.cycle, s.spacing())
	head := []string{"cylinder", "fires at", "to the next"}
	if s.labels() {
		head = append(head, "label")
	}
	row(head...)
	for _, m := range s.engine.Ring() {
		cells := []string{strconv.Itoa(m.Cylinder), deg(m.Fires), deg(m.Interval)}
		if s.labels() {
			cells = append(cells, s.label(m.Cylinder))
		}
		row(cells...)
	}
	flush()
	return b.String()
}
