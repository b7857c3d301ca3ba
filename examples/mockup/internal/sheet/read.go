package sheet

import (
	"bytes"
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.com/trialfit/units"
)

// MaxBytes is the largest sheet that is read, maxDepth the deepest nesting.
const (
	MaxBytes = 1 << 20
	maxDepth = 32
)

// Read reads one sheet. A refused sheet gives a *units.InputError whose Field
// is the path of what was refused, such as "cam.intake.durations[1].lift".
func Read(r io.Reader) (Sheet, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return Sheet{}, fmt.Errorf("sheet: %w", err)
	}
	return Parse(data)
}

// Parse is Read for text at hand. A byte order mark before it is passed over.
func Parse(data []byte) (Sheet, error) {
	if len(data) > MaxBytes {
		return Sheet{}, refuse("", "", units.ErrRange, fmt.Sprintf("want a sheet of at most %d bytes", MaxBytes))
	}
	if !utf8.Valid(data) {
		return Sheet{}, refuse("", "", units.ErrSyntax, "want UTF-8 text")
	}
	// Some editors put a byte order mark before UTF-8 text; it says nothing.
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	p := tokens{dec: json.NewDecoder(bytes.NewReader(data)), data: data}
	p.dec.UseNumber()
	n, err := p.value("", 0)
	if err != nil {
		return Sheet{}, err
	}
	if _, err := p.dec.Token(); !errors.Is(err, io.EOF) {
		return Sheet{}, refuse("", "", units.ErrSyntax, p.line()+"want nothing after the sheet")
	}
	var s Sheet
	if err := fill(reflect.ValueOf(&s).Elem(), n, ""); err != nil {
		return Sheet{}, err
	}
	return s, nil
}

func refuse(path, value string, kind error, reason string) error {
	if path == "" {
		path = "the sheet"
	}
	const most = 80
	if len(value) > most {
		value = strings.ToValidUTF8(value[:most], "") + "..."
	}
	return &units.InputError{Package: "sheet", Field: path, Value: value, Kind: kind, Reason: reason}
}

// node is a JSON value: nil, bool, json.Number, string, list or object.
type (
	node   any
	list   []node
	object struct {
		keys   []string
		values map[string]node
	}
)

// tokens builds nodes from tokens, so that duplicate keys are seen.
type tokens struct {
	dec  *json.Decoder
	data []byte
}

// line names the line that the reader has come to.
func (p *tokens) line() string {
	off := min(int(p.dec.InputOffset()), len(p.data))
	return "line " + strconv.Itoa(1+bytes.Count(p.data[:off], []byte("\n"))) + ": "
}

func (p *tokens) token(path string) (json.Token, error) {
	t, err := p.dec.Token()
	if err != nil {
		reason := "want valid JSON"
		var syn *json.SyntaxError
		switch {
		case errors.As(err, &syn):
			reason += ": " + syn.Error()
		case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
			reason += ": the text ends too early"
		}
		return nil, refuse(path, "", units.ErrSyntax, p.line()+reason)
	}
	return t, nil
}

func (p *tokens) value(path string, depth int) (node, error) {
	if depth > maxDepth {
		return nil, refuse(path, "", units.ErrRange, p.line()+"want at most "+strconv.Itoa(maxDepth)+" levels of nesting")
	}
	t, err := p.token(path)
	if err != nil {
		return nil, err
	}
	switch t {
	case json.Delim('{'):
		return p.object(path, depth)
	case json.Delim('['):
		l := list{}
		for p.dec.More() {
			v, err := p.value(path+"["+strconv.Itoa(len(l))+"]", depth+1)
			if err != nil {
				return nil, err
			}
			l = append(l, v)
		}
		_, err := p.token(path)
		return l, err
	}
	return t, nil
}

func (p *tokens) object(path string, depth int) (node, error) {
	o := object{values: map[string]node{}}
	for p.dec.More() {
		t, err := p.token(path)
		if err != nil {
			return nil, err
		}
		k, ok := t.(string)
		if !ok {
			return nil, refuse(path, "", units.ErrSyntax, p.line()+"want a field name in quotation marks")
		}
		at := join(path, k)
		if _, twice := o.values[k]; twice {
			return nil, refuse(at, "", units.ErrConflict, p.line()+"the field is given twice")
		}
		v, err := p.value(at, depth+1)
		if err != nil {
			return nil, err
		}
		o.keys = append(o.keys, k)
		o.values[k] = v
	}
	_, err := p.token(path)
	return o, err
}

// join appends a field name to a path; a name that is no plain word is quoted.
func join(path, key string) string {
	plain := key != "" && len(key) <= 40
	for _, c := range key {
		plain = plain && (c == '_' || c == '$' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9')
	}
	if !plain {
		if len(key) > 40 {
			key = strings.ToValidUTF8(key[:40], "") + "..."
		}
		key = strconv.Quote(key)
	}
	if path == "" {
		return key
	}
	return path + "." + key
}

// describe says what a node is, and its value as text.
func describe(n node) (kind, value string) {
	switch v := n.(type) {
	case nil:
		return "null", ""
	case bool:
		return "true or false", strconv.FormatBool(v)
	case json.Number:
		return "a bare number", v.String()
	case string:
		return "text", v
	case list:
		return "a list", ""
	default:
		return "an object", ""
	}
}

func wrongType(path string, n node, want string) error {
	kind, value := describe(n)
	if n == nil {
		return refuse(path, "", units.ErrSyntax, "want "+want+", found null: leave the field out")
	}
	if _, isNumber := n.(json.Number); isNumber && strings.Contains(want, "unit") {
		return refuse(path, value, units.ErrUnit, "want "+want+", found a bare number")
	}
	return refuse(path, value, units.ErrSyntax, "want "+want+", found "+kind)
}

// wants says what each kind of text looks like.
var wants = map[reflect.Type]string{
	reflect.TypeFor[units.Reading]():      `a length with its unit in quotation marks, such as "0.0250 in"`,
	reflect.TypeFor[units.CrankAngle]():   `crank degrees with their unit in quotation marks, such as "106 deg"`,
	reflect.TypeFor[units.CamAngle]():     `cam degrees with their unit in quotation marks, such as "110 cam deg"`,
	reflect.TypeFor[Torque]():             `a torque with its unit in quotation marks, such as "12 lbf ft"`,
	reflect.TypeFor[Temperature]():        `a temperature with its unit in quotation marks, such as "68 degF"`,
	reflect.TypeFor[PlaneAngle]():         `an angle with its unit in quotation marks, such as "12.5 deg"`,
	reflect.TypeFor[Force]():              `a force with its unit in quotation marks, such as "85 lbf"`,
	reflect.TypeFor[Volume]():             `a volume with its unit in quotation marks, such as "122 cm3"`,
	reflect.TypeFor[Speed]():              `a speed of rotation with its unit in quotation marks, such as "1800 rpm"`,
	reflect.TypeFor[KinematicViscosity](): `a kinematic viscosity with its unit in quotation marks, such as "95 cSt"`,
	reflect.TypeFor[Density]():            `a density with its unit in quotation marks, such as "840 kg/m3"`,
	reflect.TypeFor[Date]():               `a day in quotation marks, such as "2026-05-14"`,
	reflect.TypeFor[IntakeOpens]():        `an event with its unit and dead center in quotation marks, such as "28 deg BTDC"`,
	reflect.TypeFor[IntakeCloses]():       `an event with its unit and dead center in quotation marks, such as "43 deg ABDC"`,
	reflect.TypeFor[ExhaustOpens]():       `an event with its unit and dead center in quotation marks, such as "48 deg BBDC"`,
	reflect.TypeFor[ExhaustCloses]():      `an event with its unit and dead center in quotation marks, such as "20 deg ATDC"`,
}

// fill sets v from n.
func fill(v reflect.Value, n node, path string) error {
	t := v.Type()
	if text, ok := n.(string); ok && strings.ContainsFunc(text, hidden) {
		return refuse(path, text, units.ErrSyntax, "want text without control characters, line separators or marks that turn the direction of writing")
	}
	if want, ok := wants[t]; ok {
		text, ok := n.(string)
		if !ok {
			return wrongType(path, n, want)
		}
		if err := v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(text)); err != nil { //nolint:forcetypeassert // every type in wants reads text
			kind, reason := units.ErrSyntax, err.Error()
			if e := (*units.InputError)(nil); errors.As(err, &e) {
				kind, reason = e.Kind, e.Reason
			}
			return refuse(path, text, kind, reason)
		}
		return nil
	}
	switch t.Kind() {
	case reflect.Pointer:
		p := reflect.New(t.Elem())
		if err := fill(p.Elem(), n, path); err != nil {
			return err
		}
		v.Set(p)
	case reflect.Struct:
		o, ok := n.(object)
		if !ok {
			return wrongType(path, n, "an object with the fields "+strings.Join(names(t), ", "))
		}
		return fillStruct(v, o, path)
	case reflect.Slice:
		l, ok := n.(list)
		if !ok {
			return wrongType(path, n, "a list")
		}
		s := reflect.MakeSlice(t, len(l), len(l))
		for i, e := range l {
			if err := fill(s.Index(i), e, path+"["+strconv.Itoa(i)+"]"); err != nil {
				return err
			}
		}
		v.Set(s)
	case reflect.String:
		return fillText(v, n, path)
	case reflect.Bool:
		b, ok := n.(bool)
		if !ok {
			return wrongType(path, n, "true or false")
		}
		v.SetBool(b)
	case reflect.Int:
		num, ok := n.(json.Number)
		if !ok {
			return wrongType(path, n, "a whole number")
		}
		i, err := strconv.ParseInt(num.String(), 10, 32)
		if err != nil {
			return refuse(path, num.String(), units.ErrRange, "want a whole number under two thousand million")
		}
		v.SetInt(i)
	case reflect.Float64:
		num, ok := n.(json.Number)
		if !ok {
			return wrongType(path, n, "a ratio as a bare number, such as 1.5")
		}
		f, err := num.Float64()
		if err != nil {
			return refuse(path, num.String(), units.ErrRange, "want a finite number")
		}
		v.SetFloat(f)
	default:
		return fmt.Errorf("sheet: %s: type %s is not supported", path, t)
	}
	return nil
}

// hidden reports characters that change how a terminal or a page shows what
// stands beside them: controls, line and paragraph separators, and the marks
// that turn the direction of writing.
func hidden(c rune) bool {
	return unicode.IsControl(c) || unicode.In(c, unicode.Zl, unicode.Zp, unicode.Bidi_Control)
}

// fillText sets plain text and words.
func fillText(v reflect.Value, n node, path string) error {
	w, isWord := reflect.TypeAssert[worder](v)
	want := "text"
	if isWord {
		want = quoted(w.Words())
	}
	text, ok := n.(string)
	if !ok {
		return wrongType(path, n, want)
	}
	if isWord {
		if !slices.Contains(w.Words(), text) {
			return refuse(path, text, units.ErrSyntax, "want "+want)
		}
		v.SetString(text)
		return nil
	}
	if strings.TrimSpace(text) == "" {
		return refuse(path, text, units.ErrMissing, "want text that is not empty")
	}
	if utf8.RuneCountInString(text) > 1000 {
		return refuse(path, text, units.ErrRange, "want at most 1000 characters")
	}
	v.SetString(text)
	return nil
}

func quoted(words []string) string {
	q := make([]string, len(words))
	for i, w := range words {
		q[i] = strconv.Quote(w)
	}
	if len(q) == 1 {
		return q[0]
	}
	return strings.Join(q[:len(q)-1], ", ") + " or " + q[len(q)-1]
}

// field returns the name of a struct field and whether it may be left out.
func field(f reflect.StructField) (name string, optional bool) {
	name, rest, _ := strings.Cut(f.Tag.Get("json"), ",")
	return name, rest == "omitempty"
}

func names(t reflect.Type) []string {
	var s []string
	for i := range t.NumField() {
		name, _ := field(t.Field(i))
		s = append(s, name)
	}
	return s
}

func fillStruct(v reflect.Value, o object, path string) error {
	t := v.Type()
	index := make(map[string]int, t.NumField())
	for i := range t.NumField() {
		name, _ := field(t.Field(i))
		index[name] = i
	}
	// In the order of the file, so that the first fault is the one reported.
	for _, k := range o.keys {
		i, known := index[k]
		if !known {
			return refuse(join(path, k), "", units.ErrSyntax, "unknown field: want one of "+strings.Join(names(t), ", "))
		}
		if err := fill(v.Field(i), o.values[k], join(path, k)); err != nil {
			return err
		}
	}
	for i := range t.NumField() {
		name, optional := field(t.Field(i))
		if _, given := o.values[name]; !given && !optional {
			return refuse(join(path, name), "", units.ErrMissing, "want "+expectation(t.Field(i).Type))
		}
	}
	return nil
}

// expectation says what a field of a type holds.
func expectation(t reflect.Type) string {
	if w, ok := wants[t]; ok {
		return w
	}
	if w, ok := reflect.TypeAssert[worder](reflect.Zero(t)); ok {
		return quoted(w.Words())
	}
	switch t.Kind() {
	case reflect.Slice:
		return "a list"
	case reflect.Int:
		return "a whole number"
	case reflect.Struct:
		return "an object with the fields " + strings.Join(names(t), ", ")
	default:
		return "text"
	}
}
