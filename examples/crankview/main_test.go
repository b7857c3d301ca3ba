package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/trialfit/firingorder"
)

// demos are the layouts in the folder and orders that they fire: FAA-H-8083-32,
// chapter 1, for the radial and the boxer; Auto Engine Repair (2021), p. 126, for the
// V8; the other three follow from their geometry.
func demos() map[string]string {
	return map[string]string{
		"workboat-six": "1-5-3-6-2-4", "two-plane-v8": "1-8-4-3-6-5-7-2", "boxer-four": "1-3-2-4", "shared-pin-twin": "1-2",
		"two-row-radial-14": "1-10-5-14-9-4-13-8-3-12-7-2-11-6", "broad-arrow-12": "1-11-3-7-5-9-10-2-12-4-8-6",
	}
}

func view(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if code := run(args, strings.NewReader(""), &out, &errs); code != exitView {
		t.Fatalf("%v: exit code %d, %s", args, code, &errs)
	}
	return out.String()
}

func drawing(t *testing.T, name string, more ...string) string {
	t.Helper()
	return view(t, append([]string{"-layout", filepath.Join("layouts", name+".json"), "-order", demos()[name], "-svg", "-"}, more...)...)
}

// element is an element of a drawing.
type element struct {
	name, text string
	attr       map[string]string
}

func (e element) number(t *testing.T, name string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(e.attr[name], 64)
	if err != nil {
		t.Fatalf("%s of %v: %v", name, e, err)
	}
	return x
}

// parse reads the drawing as XML.
func parse(t *testing.T, svg string) []element {
	t.Helper()
	var all []element
	var open []int
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch x := tok.(type) {
		case xml.StartElement:
			e := element{name: x.Name.Local, attr: map[string]string{}}
			for _, a := range x.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			open = append(open, len(all))
			all = append(all, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 {
				all[open[len(open)-1]].text += string(x)
			}
		}
	}
	return all
}

// clockOf returns the direction of a point in degrees clockwise from the top.
func clockOf(x, y float64) float64 {
	return math.Mod(math.Atan2(x, -y)*180/math.Pi+360, 360)
}

func apart(a, b float64) float64 { return math.Abs(math.Remainder(a-b, 360)) }

// Lines and circles stand where the layout says, worked out from TDC: a pin stands
// short of its cylinder's axis by TDC less the angle turned.
func TestDrawingAgainstLayout(t *testing.T) {
	for name := range demos() {
		for _, from := range []string{"free end", "driving end"} {
			for _, turned := range []float64{0, 100} {
				svg := drawing(t, name, "-seen-from", from, "-turned", fmt.Sprintf("%g deg", turned))
				data, err := os.ReadFile(filepath.Join("layouts", name+".json"))
				if err != nil {
					t.Fatal(err)
				}
				l, err := firingorder.ParseLayout(data)
				if err != nil {
					t.Fatal(err)
				}
				sense := 1.0
				if (l.Config().Rotation == firingorder.Clockwise) != (from == "free end") {
					sense = -1
				}
				axis, pin, fires := map[int]float64{}, map[int]float64{}, map[int]float64{}
				for _, e := range parse(t, svg) {
					var into map[int]float64
					var list []string
					var x, y float64
					switch e.attr["class"] {
					case "axis":
						into, list = axis, strings.Fields(e.attr["data-axis"])
						x, y = e.number(t, "x2")-e.number(t, "x1"), e.number(t, "y2")-e.number(t, "y1")
					case "web":
						x, y = e.number(t, "x2")-e.number(t, "x1"), e.number(t, "y2")-e.number(t, "y1")
						for w := range strings.FieldsSeq(e.attr["data-throws"]) {
							for k, cy := range l.Config().Cylinders {
								if strconv.Itoa(cy.Throw) == w {
									list = append(list, strconv.Itoa(k+1))
								}
							}
						}
						into = pin
					case "fire":
						into, list = fires, strings.Fields(e.attr["data-fires"])
						x, y = e.number(t, "cx")-ringX, e.number(t, "cy")-ringY
					default:
						continue
					}
					got := clockOf(x, y)
					if stated := e.number(t, "data-clock"); apart(got, stated) > 0.01 {
						t.Errorf("%s: %v is drawn at %g", name, e, got)
					}
					for _, w := range list {
						k, err := strconv.Atoi(w)
						if err != nil {
							t.Fatal(err)
						}
						into[k] = got
					}
				}
				e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: must(t, demos()[name])})
				if err != nil {
					t.Fatal(err)
				}
				for k := range l.Cylinders() {
					tdc, err1 := l.TDC(k + 1)
					f, err2 := e.FiringAngle(k + 1)
					if err := errors.Join(err1, err2); err != nil {
						t.Fatal(err)
					}
					if want := axis[k+1] - sense*(tdc.Degrees()-turned); apart(pin[k+1], want) > 0.01 {
						t.Errorf("%s from the %s at %g: the pin of cylinder %d at %g, want %g", name, from, turned, k+1, pin[k+1], want)
					}
					if want := f.Degrees() / 2; apart(fires[k+1], want) > 0.01 {
						t.Errorf("%s: cylinder %d fires at %g of the ring, want %g", name, k+1, fires[k+1], want)
					}
				}
				if len(axis) != l.Cylinders() || len(pin) != l.Cylinders() || len(fires) != l.Cylinders() {
					t.Errorf("%s: %d axes, %d pins, %d firings", name, len(axis), len(pin), len(fires))
				}
			}
		}
	}
}

func must(t *testing.T, order string) firingorder.Order {
	t.Helper()
	o, err := firingorder.ParseOrder(order)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// A reader who does not see it is told everything; nothing depends on color.
func TestDrawingIsAccessible(t *testing.T) {
	for name, order := range demos() {
		svg := drawing(t, name)
		all := parse(t, svg)
		if r := all[0]; r.name != "svg" || r.attr["role"] != "img" || r.attr["aria-labelledby"] != "title desc" {
			t.Errorf("%s: %v", name, r)
		}
		title, desc := all[1], all[2]
		if title.name != "title" || title.attr["id"] != "title" || !strings.Contains(title.text, order) {
			t.Errorf("%s: title %v", name, title)
		}
		if desc.name != "desc" || desc.attr["id"] != "desc" || !strings.Contains(desc.text, "turns") || !strings.Contains(desc.text, "Bank") {
			t.Errorf("%s: description %v", name, desc)
		}
		for _, m := range regexp.MustCompile(`(?:fill|stroke)(?:="|: )([^";]+)`).FindAllStringSubmatch(svg, -1) {
			if c := m[1]; c != "#000" && c != "#fff" && c != "none" {
				t.Errorf("%s: color %s", name, c)
			}
		}
		for _, m := range regexp.MustCompile(`#[0-9a-fA-F]{3,}`).FindAllString(svg, -1) {
			if m != "#000" && m != "#fff" {
				t.Errorf("%s: color %s", name, m)
			}
		}
		if svg != drawing(t, name) {
			t.Errorf("%s: two drawings differ", name)
		}
		if strings.Contains(svg, "NaN") || strings.Contains(svg, `"-0"`) || strings.Contains(svg, "Inf") {
			t.Errorf("%s: a coordinate that is none", name)
		}
	}
}

type box struct {
	x1, y1, x2, y2 float64
	text           string
}

// boxes returns the room that the texts take, a character being 0.6 of its size wide.
func boxes(t *testing.T, svg string) []box {
	t.Helper()
	var list []box
	for _, e := range parse(t, svg) {
		if e.name != "text" {
			continue
		}
		x, y, size := e.number(t, "x"), e.number(t, "y"), e.number(t, "font-size")
		w := 0.6 * size * float64(len([]rune(e.text)))
		switch e.attr["text-anchor"] {
		case "middle":
			x -= w / 2
		case "end":
			x -= w
		}
		list = append(list, box{x, y - 0.75*size, x + w, y + 0.1*size, e.text})
	}
	return list
}

// No text runs over another or off the sheet, from a single to a radial of 26.
func TestTextsHaveRoom(t *testing.T) {
	drawings := map[string]string{}
	for name := range demos() {
		drawings[name] = drawing(t, name)
		drawings[name+" from the driving end, turned"] = drawing(t, name, "-seen-from", "driving end", "-turned", "1/7 turn")
	}
	draw := func(name string, l *firingorder.Layout, o firingorder.Order) {
		text, err := l.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "layout.json")
		if err := os.WriteFile(file, text, 0o600); err != nil {
			t.Fatal(err)
		}
		drawings[name] = view(t, "-layout", file, "-order", o.String(), "-svg", "-")
	}
	for _, n := range []int{3, 5, 7, 9, 11} {
		l, err := firingorder.Radial(firingorder.RadialConfig{Cylinders: n, Rows: 1})
		if err != nil {
			t.Fatal(err)
		}
		var o firingorder.Order
		for k := range n {
			o = append(o, 2*k%n+1)
		}
		draw(fmt.Sprint("radial ", n), l, o)
	}
	for _, n := range []int{18, 22, 26} { // k and k + 1 + n/2, which have TDC 1/n apart
		l, err := firingorder.Radial(firingorder.RadialConfig{Cylinders: n, Rows: 2})
		if err != nil {
			t.Fatal(err)
		}
		o := firingorder.Order{1}
		for len(o) < n {
			next := o[len(o)-1] + n/2 + 2
			o = append(o, (next-1)%n+1)
		}
		draw(fmt.Sprint("radial ", n), l, o)
	}
	for k := firingorder.OnePin; k <= firingorder.EightTwoFours; k++ {
		l, err := firingorder.Inline(firingorder.InlineConfig{Crank: k})
		if err != nil {
			t.Fatal(err)
		}
		if o, ok := anyOrder(l); ok {
			draw("in-line, "+k.String(), l, o)
		}
	}
	for name, svg := range drawings {
		list := boxes(t, svg)
		for i, a := range list {
			if a.x1 < 0 || a.y1 < 0 || a.x2 > width || a.y2 > height {
				t.Errorf("%s: %q runs off the sheet: %+v", name, a.text, a)
			}
			for _, b := range list[:i] {
				if a.x1 < b.x2 && b.x1 < a.x2 && a.y1 < b.y2 && b.y1 < a.y2 {
					t.Errorf("%s: %q runs over %q: %+v %+v", name, a.text, b.text, a, b)
				}
			}
		}
	}
	if len(drawings) < 25 {
		t.Errorf("only %d drawings", len(drawings))
	}
}

// anyOrder sorts the cylinders by TDC, those that share it one turn apart.
func anyOrder(l *firingorder.Layout) (firingorder.Order, bool) {
	var first, second firingorder.Order
	seen := map[int64]bool{}
	all := make([]int, l.Cylinders())
	tdc := func(c int) int64 { a, _ := l.TDC(c); return int64(a) }
	for i := range all {
		all[i] = i + 1
	}
	slices.SortStableFunc(all, func(a, b int) int { return int(tdc(a)/1e6 - tdc(b)/1e6) })
	for _, c := range all {
		if seen[tdc(c)] {
			second = append(second, c)
			continue
		}
		seen[tdc(c)] = true
		first = append(first, c)
	}
	o := slices.Concat(first, second)
	_, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o})
	return o, err == nil
}

// The text names every throw, bank and firing once.
func TestText(t *testing.T) {
	six := view(t)
	for _, line := range []string{
		"Crank of 6 cylinders and firing order 1-5-3-6-2-4",
		"seen from the free end, turns clockwise, cylinder 1 at top dead center",
		"(1 6)", "(2 5)", "(3 4)", "[A]",
		"2      240    2", "A     0      1-6",
		"firing, four-stroke cycle: even, every 120 degrees",
		"5         120       120", "4         600       120",
	} {
		if !strings.Contains(six, line) {
			t.Errorf("no %q in\n%s", line, six)
		}
	}
	other := view(t, "-seen-from", "driving end", "-turned", "30 deg")
	for _, line := range []string{"seen from the driving end, turns counter-clockwise, 30 crank degrees after top dead center of cylinder 1", "1      330    1", "2      90     2"} {
		if !strings.Contains(other, line) {
			t.Errorf("no %q in\n%s", line, other)
		}
	}
	twin := view(t, "-layout", "layouts/shared-pin-twin.json", "-order", "A1-B1")
	for _, line := range []string{"uneven, 315 to 405 degrees", "2         405       315          B1", "A     22.5   1", "B     337.5  2"} {
		if !strings.Contains(twin, line) {
			t.Errorf("no %q in\n%s", line, twin)
		}
	}
	three := view(t, "-layout", write(t, `{"banks":[{"name":"A","axis":"0 deg"}],"throws":["0 deg","240 deg","120 deg"],
		"cylinders":[{"bank":"A","throw":1},{"bank":"A","throw":2},{"bank":"A","throw":3}]}`), "-order", "1-2-3", "-two-stroke", "-up", "90 deg")
	for _, line := range []string{"two-stroke cycle: even, every 120 degrees", "turns clockwise as seen; the end is not stated", "A     270    1-3"} {
		if !strings.Contains(three, line) {
			t.Errorf("no %q in\n%s", line, three)
		}
	}
}

func write(t *testing.T, text string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "layout.json")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestRunRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		args []string
		says string
	}{
		"unknown flag":       {[]string{"-color"}, "color"},
		"argument":           {[]string{"x.json"}, "x.json"},
		"no such file":       {[]string{"-layout", "nowhere.json", "-order", "1"}, "nowhere.json"},
		"no order":           {[]string{"-layout", "layouts/two-plane-v8.json"}, "order"},
		"impossible order":   {[]string{"-order", "1-2-3-4-5-6"}, "impossible"},
		"order for another":  {[]string{"-order", "1-2"}, "does not fire"},
		"end":                {[]string{"-seen-from", "front"}, "free end"},
		"up without a unit":  {[]string{"-up", "90"}, "unit"},
		"turned no angle":    {[]string{"-turned", "a bit"}, "turn"},
		"standard input":     {[]string{"-layout", "-", "-order", "1"}, "JSON object"},
		"second turn, other": {[]string{"-order", "1-5-3-6-2-4", "-second-turn-from", "5"}, "cylinder 6"},
	} {
		var out, errs bytes.Buffer
		if code := run(c.args, strings.NewReader(""), &out, &errs); code != exitInput || out.Len() > 0 || !strings.Contains(errs.String(), c.says) {
			t.Errorf("%s: exit code %d, %q, %q", name, code, &out, &errs)
		}
	}
	var errs bytes.Buffer
	if code := run([]string{"-svg", filepath.Join(t.TempDir(), "no", "such.svg")}, nil, io.Discard, &errs); code != exitOutput {
		t.Errorf("exit code %d", code)
	}
	for _, args := range [][]string{nil, {"-svg", "-"}} {
		if code := run(args, nil, full{}, &errs); code != exitOutput {
			t.Errorf("%v: exit code %d", args, code)
		}
	}
}

// full is a disk without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestSVGFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "six.svg")
	if text := view(t, "-svg", file); !strings.Contains(text, "firing") {
		t.Error(text)
	}
	got, err := os.ReadFile(file)
	if err != nil || string(got) != view(t, "-svg", "-") {
		t.Error("the file differs from the output", err)
	}
}
