package firingorder_test

import (
	"encoding/json"
	"errors"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func TestParseTurn(t *testing.T) {
	for s, want := range map[string][2]int64{
		"1/7 turn": {1, 7}, "-1/7 turn": {-1, 7}, "+2/14 turns": {1, 7}, "3 turns": {3, 1}, "0/1 turn": {0, 1}, " 1/4turn ": {1, 4},
		"90 deg": {1, 4}, "-18 deg": {-1, 20}, "22.5 crank deg": {1, 16}, "720°": {2, 1}, "1/360000000000 turn": {1, 360_000_000_000},
		"0.000000001 deg": {1, 360_000_000_000}, "999 turns": {999, 1},
	} {
		x, err := fo.ParseTurn(s)
		f, err2 := fo.Fraction(want[0], want[1])
		if err := errors.Join(err, err2); err != nil || x != f {
			t.Errorf("%q reads as %v, want %v: %v", s, x, f, err)
		}
	}
	for s, kind := range map[string]error{
		"": units.ErrSyntax, "turn": units.ErrSyntax, "1//7 turn": units.ErrSyntax, "1/-7 turn": units.ErrSyntax, "1/7.5 turn": units.ErrSyntax,
		"1.5 turns": units.ErrSyntax, "1e3 turn": units.ErrSyntax, "- 1/7 turn": units.ErrSyntax, "--1 turn": units.ErrSyntax, "٣ turn": units.ErrSyntax,
		"NaN deg": units.ErrSyntax, "Inf turn": units.ErrSyntax, strings.Repeat("1", 70) + " turn": units.ErrSyntax,
		"1/7": units.ErrUnit, "90": units.ErrUnit, "90 cam deg": units.ErrUnit, "90 rad": units.ErrUnit, "90 mm": units.ErrUnit,
		"1/0 turn": units.ErrRange, "1000 turns": units.ErrRange, "-1000 turns": units.ErrRange, "360000 deg": units.ErrRange,
		"1/360000000001 turn": units.ErrRange, "99999999999999999999 turns": units.ErrRange, "1/99999999999999999999 turn": units.ErrRange,
		"0.0000000001 deg": units.ErrInexact,
	} {
		x, err := fo.ParseTurn(s)
		refused(t, s, x != fo.Turn{}, err, "turn", kind)
		var y fo.Turn
		refused(t, s, y != fo.Turn{}, y.UnmarshalText([]byte(s)), "turn", kind)
	}
}

func TestTurnText(t *testing.T) {
	for s, want := range map[string]string{
		"1/4 turn": "90 deg", "-1/20 turn": "-18 deg", "1/7 turn": "1/7 turn", "-15/11 turns": "-15/11 turn", "0 turns": "0 deg", "1/16 turn": "22.5 deg",
	} {
		x, err := fo.ParseTurn(s)
		text, err2 := x.MarshalText()
		if err := errors.Join(err, err2); err != nil || string(text) != want {
			t.Errorf("%s prints as %s: %v", s, text, err)
		}
	}
}

// sameLayout compares descriptions.
func sameLayout(a, b *fo.Layout) bool { return reflect.DeepEqual(a.Config(), b.Config()) }

// Everything of a description comes back: numbering, splits, exact fractions, what
// was stated and what was not.
func TestLayoutJSONRoundTrip(t *testing.T) {
	rnd := rand.New(rand.NewPCG(4, 1))
	for range 300 {
		c := random(rnd).layout(t).Config()
		c.NumberedFrom, c.Rotation = fo.End(rnd.IntN(3)), fo.Rotation(rnd.IntN(3))
		l, err := fo.NewLayout(c)
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(l)
		if err != nil {
			t.Fatal(err)
		}
		back, err := fo.ParseLayout(text)
		if err != nil || !sameLayout(l, back) {
			t.Fatalf("%s: %v", text, err)
		}
		var in struct{ Layout *fo.Layout }
		if err := json.Unmarshal([]byte(`{"Layout":`+string(text)+`}`), &in); err != nil || !sameLayout(l, in.Layout) {
			t.Fatalf("%s: %v", text, err)
		}
	}
}

const goodLayout = `{"banks":[{"name":"A","axis":"0 deg"},{"name":"B","axis":"-90 deg"}],"throws":["0 deg","1/2 turn"],
 "cylinders":[{"bank":"A","throw":1},{"bank":"B","throw":1},{"bank":"A","throw":2},{"bank":"B","throw":2}],
 "numbered_from":"free end","rotation_seen_from_free_end":"clockwise"}`

func TestParseLayoutRefuses(t *testing.T) {
	if _, err := fo.ParseLayout([]byte(goodLayout)); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		from, to, field string
		kind            error
	}{
		"empty":                      {goodLayout, "", "layout", units.ErrSyntax},
		"not JSON":                   {goodLayout, "A1-B5", "layout", units.ErrSyntax},
		"null":                       {goodLayout, "null", "layout", units.ErrSyntax},
		"an array":                   {goodLayout, "[]", "layout", units.ErrSyntax},
		"a number":                   {goodLayout, "8", "layout", units.ErrSyntax},
		"no end":                     {`"clockwise"}`, `"clockwise"`, "layout", units.ErrSyntax},
		"more after it":              {`"clockwise"}`, `"clockwise"} {}`, "layout", units.ErrSyntax},
		"no comma":                   {`"free end",`, `"free end"`, "layout", units.ErrSyntax},
		"too long":                   {`"clockwise"}`, `"clockwise"}` + strings.Repeat(" ", 64<<10), "layout", units.ErrSyntax},
		"unknown field":              {`"numbered_from"`, `"numberd_from"`, "numberd_from", units.ErrSyntax},
		"other case":                 {`"throws"`, `"Throws"`, "Throws", units.ErrSyntax},
		"unknown field of a bank":    {`"name":"B"`, `"name":"B","x":1`, "banks[1].x", units.ErrSyntax},
		"unknown field of cylinder":  {`{"bank":"A","throw":1}`, `{"bank":"A","throw":1,"pin":1}`, "cylinders[0].pin", units.ErrSyntax},
		"field twice":                {`"numbered_from"`, `"throws":[],"numbered_from"`, "throws", units.ErrConflict},
		"field of a bank twice":      {`"name":"B"`, `"name":"B","name":"B"`, "banks[1].name", units.ErrConflict},
		"field twice, escaped":       {`"name":"B"`, `"name":"B","n\u0061me":"B"`, "banks[1].name", units.ErrConflict},
		"no banks":                   {`"banks":[{"name":"A","axis":"0 deg"},{"name":"B","axis":"-90 deg"}],`, ``, "banks", units.ErrMissing},
		"throws null":                {`["0 deg","1/2 turn"]`, `null`, "throws", units.ErrMissing},
		"a bank null":                {`{"name":"B","axis":"-90 deg"}`, `null`, "banks[1]", units.ErrMissing},
		"a throw null":               {`"1/2 turn"`, `null`, "throws[1]", units.ErrMissing},
		"axis left out":              {`"B","axis":"-90 deg"`, `"B"`, "banks[1].axis", units.ErrMissing},
		"bare number":                {`"-90 deg"`, `-90`, "banks[1].axis", units.ErrUnit},
		"bare 0":                     {`["0 deg"`, `[0`, "throws[0]", units.ErrUnit},
		"number without a unit":      {`"-90 deg"`, `"-90"`, "banks[1].axis", units.ErrUnit},
		"fraction without a unit":    {`"1/2 turn"`, `"1/2"`, "throws[1]", units.ErrUnit},
		"cam degrees":                {`"-90 deg"`, `"-90 cam deg"`, "banks[1].axis", units.ErrUnit},
		"1000 turns":                 {`"-90 deg"`, `"1000 turns"`, "banks[1].axis", units.ErrRange},
		"too fine":                   {`"-90 deg"`, `"0.0000000001 deg"`, "banks[1].axis", units.ErrInexact},
		"angle an object":            {`"-90 deg"`, `{}`, "banks[1].axis", units.ErrSyntax},
		"banks an object":            {`[{"name":"A","axis":"0 deg"},{"name":"B","axis":"-90 deg"}]`, `{}`, "banks", units.ErrSyntax},
		"a bank a string":            {`{"name":"B","axis":"-90 deg"}`, `"B"`, "banks[1]", units.ErrSyntax},
		"name a number":              {`"name":"B"`, `"name":2`, "banks[1].name", units.ErrSyntax},
		"throw text":                 {`"B","throw":2`, `"B","throw":"2"`, "cylinders[3].throw", units.ErrSyntax},
		"throw with a point":         {`"B","throw":2`, `"B","throw":2.0`, "cylinders[3].throw", units.ErrSyntax},
		"throw with an exponent":     {`"B","throw":2`, `"B","throw":2e0`, "cylinders[3].throw", units.ErrSyntax},
		"throw too large for an int": {`"B","throw":2`, `"B","throw":99999999999999999999`, "cylinders[3].throw", units.ErrSyntax},
		"unknown end":                {`"free end"`, `"front"`, "numbered_from", units.ErrSyntax},
		"end a number":               {`"free end"`, `1`, "numbered_from", units.ErrSyntax},
		"end null":                   {`"free end"`, `null`, "numbered_from", units.ErrMissing},
		"unknown rotation":           {`"clockwise"`, `"Clockwise"`, "rotation_seen_from_free_end", units.ErrSyntax},
		"rotation not stated":        {`"clockwise"`, `"not stated"`, "rotation_seen_from_free_end", units.ErrSyntax},
		"too many throws":            {`["0 deg","1/2 turn"]`, `["0 deg"` + strings.Repeat(`,"0 deg"`, 64) + `]`, "throws", units.ErrRange},
		"no cylinders":               {`"cylinders":[{"bank":"A","throw":1},{"bank":"B","throw":1},{"bank":"A","throw":2},{"bank":"B","throw":2}]`, `"cylinders":[]`, "Cylinders", units.ErrMissing},
		"throw out of range":         {`"B","throw":2`, `"B","throw":3`, "cylinder 4", units.ErrRange},
		"unknown bank":               {`{"bank":"B","throw":2}`, `{"bank":"C","throw":2}`, "cylinder 4", units.ErrMissing},
		"place twice":                {`{"bank":"B","throw":2}`, `{"bank":"B","throw":1}`, "cylinder 4", units.ErrConflict},
		"bank name not UTF-8":        {`"name":"B"`, "\"name\":\"B\xff\"", "Banks[1]", units.ErrSyntax},
	} {
		s := strings.Replace(goodLayout, c.from, c.to, 1)
		if s == goodLayout {
			t.Fatalf("%s breaks nothing", name)
		}
		l, err := fo.ParseLayout([]byte(s))
		refused(t, name, l != nil, err, c.field, c.kind)
	}
	var l fo.Layout
	if err := l.UnmarshalJSON([]byte("{}")); err == nil || l.Cylinders() != 0 {
		t.Error("read from an empty object")
	}
	var none *fo.Layout
	for _, l := range []*fo.Layout{none, {}} {
		text, err := l.MarshalJSON()
		refused(t, "MarshalJSON of no layout", text != nil, err, "layout", units.ErrMissing)
		s, err := l.OrderText(fo.Order{1})
		refused(t, "OrderText of no layout", s != "", err, "layout", units.ErrMissing)
	}
	deep := strings.Replace(goodLayout, `"free end"`, strings.Repeat("[", 20000), 1)
	if _, err := fo.ParseLayout([]byte(deep)); err == nil {
		t.Error("20,000 deep")
	}
}

func TestOrderText(t *testing.T) {
	l, err := fo.NewLayout(two(t))
	if err != nil {
		t.Fatal(err)
	}
	s, err := l.OrderText(fo.Order{3, 2, 1, 4})
	if err != nil || s != "A2-B1-A1-B2" {
		t.Error(s, err)
	}
	for name, o := range map[string]fo.Order{"zero": {0}, "negative": {-1}, "too large": {1, 5}} {
		s, err := l.OrderText(o)
		refused(t, name, s != "", err, "order", units.ErrRange)
	}
	s, err = l.OrderText(nil)
	refused(t, "empty", s != "", err, "order", units.ErrMissing)
}

// What is read writes a text that reads the same; what is refused has a type.
func FuzzParseTurn(f *testing.F) {
	for _, s := range []string{"1/7 turn", "-18 deg", "3 turns", "22.5 crank deg", "90° 30'", "1/0 turn", "/ turn", "-0/5turn", "turn", "5'"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		x, err := fo.ParseTurn(s)
		if err != nil {
			typed(t, err)
			if x != (fo.Turn{}) {
				t.Fatal("a value with an error")
			}
			return
		}
		text, err := x.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		for _, again := range []string{string(text), x.String()} {
			if y, err := fo.ParseTurn(again); err != nil || y != x {
				t.Fatalf("%q reads as %v, written %q, which reads as %v: %v", s, x, again, y, err)
			}
		}
	})
}

func FuzzParseLayout(f *testing.F) {
	f.Add([]byte(goodLayout))
	f.Add([]byte(`{"banks":[{"name":"c1","axis":"1/7 turn"}],"throws":["0 deg"],"cylinders":[{"bank":"c1","throw":1}]}`))
	f.Add([]byte(`{"banks":[{"name":"A","axis":90}]}`))
	f.Add([]byte(`{"throws":[],"throws":[]}`))
	f.Add([]byte(`{"x":{"banks":[[[]]]}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := fo.ParseLayout(data)
		if err != nil {
			typed(t, err)
			if l != nil {
				t.Fatal("a layout with an error")
			}
			return
		}
		text, err := json.Marshal(l)
		if err != nil {
			t.Fatal(err)
		}
		back, err := fo.ParseLayout(text)
		if err != nil || !sameLayout(l, back) {
			t.Fatalf("%s: %v", text, err)
		}
		var loose any
		if err := json.Unmarshal(data, &loose); err != nil {
			t.Fatalf("read what is not JSON: %v", err)
		}
	})
}
