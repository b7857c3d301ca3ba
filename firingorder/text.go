package firingorder

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"example.com/trialfit/units"
)

const (
	maxTurnText   = 64
	maxLayoutText = 64 << 10
)

// ParseTurn reads a fraction of a turn or an angle in degrees, in EBNF:
//
//	turn = [ "+" | "-" ] digits [ "/" digits ] ( "turn" | "turns" ) | angle .
//
// with angle as units.ParseCrankAngle reads it: "1/7 turn", "-1/4 turn", "-18 deg",
// "22.5 deg". Spaces may stand around the text and before the unit. It is exact:
// turn = a/360 for an angle a.
//
// Errors: units.ErrUnit for a missing unit or cam degrees, units.ErrRange for a
// denominator outside 1 to 360e9 or 1000 turns and more, units.ErrInexact for an
// angle finer than 1e-9 degree, units.ErrSyntax for another form or more than 64
// bytes.
//
// Source: a turn is 360 degrees, by definition.
//
// Rows: turn-text-seventh, turn-text-degrees, turn-text-turns.
func ParseTurn(s string) (Turn, error) {
	if len(s) > maxTurnText {
		return Turn{}, refuse("turn", "", "want at most 64 bytes", units.ErrSyntax)
	}
	text := strings.Trim(s, " ")
	body, ok := strings.CutSuffix(text, "turns")
	if !ok {
		body, ok = strings.CutSuffix(text, "turn")
	}
	if !ok {
		a, err := units.ParseCrankAngle(text)
		if in := (*units.InputError)(nil); errors.As(err, &in) {
			if !strings.Contains(s, "cam") && (errors.Is(err, units.ErrUnit) || strings.Contains(s, "/")) {
				return Turn{}, refuse("turn", s, `want a unit: "1/7 turn", "90 deg"`, units.ErrUnit)
			}
			return Turn{}, refuse("turn", s, in.Reason, in.Kind)
		}
		t, err := TurnOf(a)
		if err != nil {
			return Turn{}, refuse("turn", s, "want less than 1000 turns", units.ErrRange)
		}
		return t, nil
	}
	numText, denText, fraction := strings.Cut(strings.TrimRight(body, " "), "/")
	if !fraction {
		denText = "1"
	}
	negative := strings.HasPrefix(numText, "-")
	if negative || strings.HasPrefix(numText, "+") {
		numText = numText[1:]
	}
	for _, w := range []string{numText, denText} {
		if w == "" || strings.Trim(w, "0123456789") != "" {
			return Turn{}, refuse("turn", s, "want the form 1/7 turn or 90 deg", units.ErrSyntax)
		}
	}
	num, err1 := strconv.ParseInt(numText, 10, 64)
	den, err2 := strconv.ParseInt(denText, 10, 64)
	if negative {
		num = -num
	}
	t, err := Fraction(num, den)
	if err := errors.Join(err1, err2, err); err != nil {
		return Turn{}, refuse("turn", s, "want less than 1000 turns and a denominator from 1 to 360e9", units.ErrRange)
	}
	return t, nil
}

// MarshalText returns what ParseTurn reads back without loss: whole counts of 1e-9
// degree as degrees, "-18 deg", any other fraction as "1/7 turn".
func (t Turn) MarshalText() ([]byte, error) {
	if maxDenominator%(t.denMinus1+1) != 0 {
		return []byte(t.String()), nil
	}
	return []byte(number(t.Angle()) + " deg"), nil
}

// UnmarshalText reads what ParseTurn reads.
func (t *Turn) UnmarshalText(text []byte) error {
	u, err := ParseTurn(string(text))
	if err != nil {
		return err
	}
	*t = u
	return nil
}

// OrderText writes an order in the labels of the layout, "A1-B5-A5"; it is what
// Layout.ParseOrder reads.
//
// Errors: units.ErrRange for a cylinder that the layout does not have,
// units.ErrMissing for an empty order or no layout.
//
// Source: the way orders of engines with named banks are printed.
//
// Rows: labels-of-v12-90, labels-of-boxer6, labels-of-v6-60.
func (l *Layout) OrderText(o Order) (string, error) {
	if len(o) == 0 {
		return "", refuse("order", "", "want at least one cylinder", units.ErrMissing)
	}
	s := make([]string, len(o))
	for i, c := range o {
		if err := l.check("order", c); err != nil {
			return "", err
		}
		s[i] = l.labels[c-1]
	}
	return strings.Join(s, "-"), nil
}

// layoutText is the JSON form of a layout.
type layoutText struct {
	Banks        []bankText     `json:"banks"`
	Throws       []Turn         `json:"throws"`
	Cylinders    []cylinderText `json:"cylinders"`
	NumberedFrom string         `json:"numbered_from,omitempty"`
	Rotation     string         `json:"rotation_seen_from_free_end,omitempty"`
}

type bankText struct {
	Name string `json:"name"`
	Axis Turn   `json:"axis"`
}

type cylinderText struct {
	Bank  string `json:"bank"`
	Throw int    `json:"throw"`
}

// MarshalJSON writes the description that ParseLayout reads back without loss:
//
//	{"banks": [{"name": "A", "axis": "0 deg"}, {"name": "B", "axis": "-90 deg"}],
//	 "throws": ["0 deg", "90 deg", "270 deg", "180 deg"],
//	 "cylinders": [{"bank": "A", "throw": 1}, {"bank": "B", "throw": 1}, ...],
//	 "numbered_from": "free end",
//	 "rotation_seen_from_free_end": "clockwise"}
//
// Entry i of cylinders is cylinder i+1, so it carries the numbering; angles are
// what Turn.MarshalText writes. An end or a rotation that was not stated is left
// out.
func (l *Layout) MarshalJSON() ([]byte, error) {
	if l.Cylinders() == 0 {
		return nil, refuse("layout", "", "want a layout from NewLayout", units.ErrMissing)
	}
	c := &l.config
	t := layoutText{Throws: c.Throws}
	for _, b := range c.Banks {
		t.Banks = append(t.Banks, bankText(b))
	}
	for _, cy := range c.Cylinders {
		t.Cylinders = append(t.Cylinders, cylinderText(cy))
	}
	if c.NumberedFrom != EndUnstated {
		t.NumberedFrom = c.NumberedFrom.String()
	}
	if c.Rotation != RotationUnstated {
		t.Rotation = c.Rotation.String()
	}
	return json.Marshal(t)
}

// UnmarshalJSON reads what ParseLayout reads.
func (l *Layout) UnmarshalJSON(data []byte) error {
	m, err := ParseLayout(data)
	if err != nil {
		return err
	}
	*l = *m
	return nil
}

// ParseLayout reads a layout from JSON in the form that Layout.MarshalJSON writes
// and checks it as NewLayout does. Angles are text as ParseTurn reads it. Nothing
// is guessed and nothing skipped.
//
// Errors name the place, "banks[1].axis": units.ErrSyntax for what is not JSON or
// not this form, an unknown field, an unknown word, or more than 64 KiB;
// units.ErrConflict for a field given twice; units.ErrMissing for a field left out
// or null; units.ErrUnit for an angle without a unit; otherwise those of NewLayout
// and ParseTurn.
//
// Source: RFC 8259, with its members each once.
//
// Rows: json-v12-90-tdc, json-radial7-tdc, json-v6-90-split-tdc.
func ParseLayout(data []byte) (*Layout, error) {
	if len(data) > maxLayoutText {
		return nil, refuse("layout", "", "want at most 64 KiB", units.ErrSyntax)
	}
	var c Config
	err := members(data, "", []member{
		{"banks", true, elements(func(data []byte, path string) error {
			var b Bank
			err := members(data, path, []member{{"name", true, textInto(&b.Name)}, {"axis", true, turnInto(&b.Axis)}})
			c.Banks = append(c.Banks, b)
			return err
		})},
		{"throws", true, elements(func(data []byte, path string) error {
			var t Turn
			err := turnInto(&t)(data, path)
			c.Throws = append(c.Throws, t)
			return err
		})},
		{"cylinders", true, elements(func(data []byte, path string) error {
			var cy Cylinder
			err := members(data, path, []member{{"bank", true, textInto(&cy.Bank)}, {"throw", true, func(data []byte, path string) error {
				n, err := strconv.Atoi(string(data))
				if err != nil {
					return refuse(path, clip(data), "want a whole number", units.ErrSyntax)
				}
				cy.Throw = n
				return nil
			}}})
			c.Cylinders = append(c.Cylinders, cy)
			return err
		})},
		{"numbered_from", false, wordInto(&c.NumberedFrom, FreeEnd, DrivingEnd)},
		{"rotation_seen_from_free_end", false, wordInto(&c.Rotation, Clockwise, CounterClockwise)},
	})
	if err != nil {
		return nil, err
	}
	return NewLayout(c)
}

type member struct {
	name     string
	required bool
	read     func(data []byte, path string) error
}

// members reads an object whose members are known and each given once.
func members(data []byte, path string, known []member) error {
	here := path
	if here == "" {
		here = "layout"
	}
	at := func(name string) string {
		if name == "" {
			return here
		}
		return strings.TrimPrefix(path+"."+clip([]byte(name)), ".")
	}
	d := json.NewDecoder(bytes.NewReader(data))
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return refuse(here, clip(data), "want a JSON object", units.ErrSyntax)
	}
	seen := map[string]bool{}
	for d.More() {
		t, err := d.Token()
		name, ok := t.(string)
		if err != nil || !ok {
			return refuse(here, "", "want a JSON object", units.ErrSyntax)
		}
		var value json.RawMessage
		if err := d.Decode(&value); err != nil {
			return refuse(at(name), "", "want JSON", units.ErrSyntax)
		}
		if seen[name] {
			return refuse(at(name), "", "the field is given twice", units.ErrConflict)
		}
		seen[name] = true
		found := false
		for _, m := range known {
			if m.name != name {
				continue
			}
			found = true
			if string(value) == "null" {
				return refuse(at(name), "null", "want a value", units.ErrMissing)
			}
			if err := m.read(value, at(name)); err != nil {
				return err
			}
		}
		if !found {
			return refuse(at(name), "", "no field has this name", units.ErrSyntax)
		}
	}
	if _, err := d.Token(); err != nil {
		return refuse(here, "", "the JSON object does not end", units.ErrSyntax)
	}
	if len(bytes.TrimSpace(data[d.InputOffset():])) != 0 {
		return refuse(here, "", "want one JSON object and nothing after it", units.ErrSyntax)
	}
	for _, m := range known {
		if m.required && !seen[m.name] {
			return refuse(at(m.name), "", "want this field", units.ErrMissing)
		}
	}
	return nil
}

// elements reads an array of at most 64 elements.
func elements(read func(data []byte, path string) error) func([]byte, string) error {
	return func(data []byte, path string) error {
		var list []json.RawMessage
		if json.Unmarshal(data, &list) != nil {
			return refuse(path, clip(data), "want a JSON array", units.ErrSyntax)
		}
		if len(list) > maxCylinders {
			return refuse(path, strconv.Itoa(len(list)), "want at most 64", units.ErrRange)
		}
		for i, e := range list {
			here := fmt.Sprintf("%s[%d]", path, i)
			if string(e) == "null" {
				return refuse(here, "null", "want a value", units.ErrMissing)
			}
			if err := read(e, here); err != nil {
				return err
			}
		}
		return nil
	}
}

func textInto(s *string) func([]byte, string) error {
	return func(data []byte, path string) error {
		if json.Unmarshal(data, s) != nil {
			return refuse(path, clip(data), "want a JSON string", units.ErrSyntax)
		}
		return nil
	}
}

func turnInto(t *Turn) func([]byte, string) error {
	return func(data []byte, path string) error {
		if data[0] == '-' || data[0] >= '0' && data[0] <= '9' {
			return refuse(path, clip(data), `want text with a unit, "90 deg" or "1/7 turn"`, units.ErrUnit)
		}
		var s string
		if err := textInto(&s)(data, path); err != nil {
			return err
		}
		u, err := ParseTurn(s)
		if in := (*units.InputError)(nil); errors.As(err, &in) {
			return refuse(path, in.Value, in.Reason, in.Kind)
		}
		*t = u
		return nil
	}
}

// wordInto reads one of the words of an enumeration.
func wordInto[E interface {
	~uint8
	String() string
}](e *E, words ...E) func([]byte, string) error {
	return func(data []byte, path string) error {
		var s string
		if err := textInto(&s)(data, path); err != nil {
			return err
		}
		var want []string
		for _, w := range words {
			if w.String() == s {
				*e = w
				return nil
			}
			want = append(want, strconv.Quote(w.String()))
		}
		return refuse(path, clip([]byte(s)), "want "+strings.Join(want, " or "), units.ErrSyntax)
	}
}

// clip keeps what was given short enough for an error.
func clip(data []byte) string {
	const most = 40
	if len(data) > most {
		data = append(data[:most:most], "..."...)
	}
	return strings.ToValidUTF8(string(data), "?")
}
