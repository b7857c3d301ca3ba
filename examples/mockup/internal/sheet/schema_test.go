package sheet

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

var update = flag.Bool("update", false, "rewrite the published schema")

const schemaFile = "../../sheet.schema.json"

// hiddenClass is what no text may hold, inside a character class: controls,
// separators of lines and paragraphs, marks that turn the direction of writing.
const hiddenClass = `\x00-\x1f\x7f-\x9f` + "\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069"

// Patterns of the quantities; the reader is stricter (range, quantum, length).
const (
	numberPattern = `([0-9]+\.?[0-9]*|\.[0-9]+)`
	degreePattern = `(deg|degrees|°)`
)

func anglePattern(shaft string) string {
	return `[+-]? *(` + numberPattern + ` *(` + degreePattern + `( *` + shaft + `)?|` + shaft + ` +` + degreePattern + `)` +
		`|[0-9]+ *(` + shaft + ` +)?` + degreePattern + `( *` + shaft + `)? *` + numberPattern + ` *(min|'|′))`
}

func quantityPattern(unit string) string {
	return `^ *[+-]? *` + numberPattern + `([eE][+-]?[0-9]+)? *(` + unit + `) *$`
}

var quantities = map[string]struct{ name, pattern, about, example string }{
	"Reading": {
		"length", `^ *[+-]? *(` + numberPattern + `|([0-9]+ +)?[0-9]+ */ *[0-9]+) *(in|inch|inches|"|″|thou|uin|[µμ]in|ft|foot|feet|mm|cm|m|um|[µμ]m|nm) *$`,
		"A length with its unit, as it was read.", "0.0250 in",
	},
	"CrankAngle":    {"crank_angle", `^ *` + anglePattern("crank") + ` *$`, "An angle of the crankshaft with its unit.", "106 deg"},
	"CamAngle":      {"cam_angle", `^ *` + anglePattern("cam") + ` *$`, "An angle of the camshaft with its unit.", "110 cam deg"},
	"IntakeOpens":   {"event", `^ *` + anglePattern("crank") + ` *(BTDC|ATDC|BBDC|ABDC) *$`, "A valve event with its dead center.", "28 deg BTDC"},
	"IntakeCloses":  {"event", "", "", ""},
	"ExhaustOpens":  {"event", "", "", ""},
	"ExhaustCloses": {"event", "", "", ""},
	"Torque":        {"torque", quantityPattern("N m|lbf ft|lbf in|ozf in|kgf m"), "A torque with its unit.", "12 lbf ft"},
	"Temperature":   {"temperature", quantityPattern("degC|°C|degF|°F|K"), "A temperature with its unit.", "68 degF"},
	"PlaneAngle": {
		"plane_angle", `^ *[+-]? *(` + numberPattern + ` *` + degreePattern + `|[0-9]+ *` + degreePattern + ` *` + numberPattern + ` *(min|'|′)) *$`,
		"An angle with its unit, of neither crank nor cam.", "12.5 deg",
	},
	"Force":              {"force", quantityPattern("N|kN|lbf|ozf|kgf"), "A force with its unit.", "85 lbf"},
	"Volume":             {"volume", quantityPattern("m3|cm3|mm3|L|in3|ft3"), "A volume with its unit.", "122 cm3"},
	"Speed":              {"speed", quantityPattern("rad/s|rpm|rev/s|deg/s"), "A speed of rotation with its unit.", "1800 rpm"},
	"KinematicViscosity": {"kinematic_viscosity", quantityPattern("m2/s|cSt|St"), "A kinematic viscosity with its unit.", "95 cSt"},
	"Density":            {"density", quantityPattern("kg/m3|g/cm3|lb/in3"), "A density with its unit.", "850 kg/m3"},
	"Date":               {"date", `^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$`, "A day as year-month-day.", "2026-05-14"},
}

type ordered []struct {
	key   string
	value any
}

func (o ordered) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, f := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		k, err := marshal(f.key)
		if err != nil {
			return nil, err
		}
		v, err := marshal(f.value)
		if err != nil {
			return nil, err
		}
		b.Write(k)
		b.WriteByte(':')
		b.Write(v)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

func marshal(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(v)
	return bytes.TrimSpace(b.Bytes()), err
}

// docs reads the comments of the sheet's types and fields.
func docs(t *testing.T) map[string]string {
	t.Helper()
	text := func(g *ast.CommentGroup) string { return strings.Join(strings.Fields(g.Text()), " ") }
	out := map[string]string{}
	var decls []ast.Decl
	for _, name := range []string{"sheet.go", "groups.go"} {
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		decls = append(decls, f.Decls...)
	}
	for _, d := range decls {
		g, ok := d.(*ast.GenDecl)
		if !ok {
			continue
		}
		for _, s := range g.Specs {
			ts, ok := s.(*ast.TypeSpec)
			if !ok {
				continue
			}
			out[ts.Name.Name] = text(g.Doc)
			if st, ok := ts.Type.(*ast.StructType); ok {
				for _, fl := range st.Fields.List {
					out[ts.Name.Name+"."+fl.Names[0].Name] = text(fl.Doc)
				}
			}
		}
	}
	return out
}

type generator struct {
	docs map[string]string
	defs map[string]any
}

func (g *generator) ref(name string) any { return ordered{{"$ref", "#/$defs/" + name}} }

func (g *generator) of(t reflect.Type) any {
	if t.Kind() == reflect.Pointer {
		return g.of(t.Elem())
	}
	if q, ok := quantities[t.Name()]; ok {
		if q.pattern != "" {
			g.defs[q.name] = ordered{{"description", q.about}, {"type", "string"}, {"maxLength", 64}, {"pattern", q.pattern}, {"examples", []string{q.example}}}
		}
		return g.ref(q.name)
	}
	if w, ok := reflect.TypeAssert[worder](reflect.Zero(t)); ok {
		return ordered{{"enum", w.Words()}}
	}
	switch t.Kind() {
	case reflect.Struct:
		name := defName(t.Name())
		if _, seen := g.defs[name]; !seen {
			g.defs[name] = nil // a card may hold cards
			g.defs[name] = g.object(t)
		}
		return g.ref(name)
	case reflect.Slice:
		return ordered{{"type", "array"}, {"items", g.of(t.Elem())}}
	case reflect.String:
		g.defs["text"] = ordered{{"type", "string"}, {"minLength", 1}, {"pattern", "^[^" + hiddenClass + `]*[^\s` + hiddenClass + "][^" + hiddenClass + "]*$"}, {"maxLength", 1000}}
		return g.ref("text")
	case reflect.Bool:
		return ordered{{"type", "boolean"}}
	case reflect.Int:
		return ordered{{"type", "integer"}}
	case reflect.Float64:
		return ordered{{"type", "number"}}
	default:
		panic("no schema for " + t.String())
	}
}

func defName(s string) string {
	var b strings.Builder
	for i, c := range s {
		if i > 0 && c >= 'A' && c <= 'Z' && s[i-1] >= 'a' && s[i-1] <= 'z' {
			b.WriteByte('_')
		}
		b.WriteString(strings.ToLower(string(c)))
	}
	return b.String()
}

func (g *generator) object(t reflect.Type) ordered {
	var props ordered
	var required []string
	for i := range t.NumField() {
		name, optional := field(t.Field(i))
		v := g.of(t.Field(i).Type)
		about := ordered{{"description", g.docs[t.Name()+"."+t.Field(i).Name]}}
		o, ok := v.(ordered)
		if !ok {
			panic("no object for " + name)
		}
		props = append(props, struct {
			key   string
			value any
		}{name, append(about, o...)})
		if !optional {
			required = append(required, name)
		}
	}
	o := ordered{{"description", g.docs[t.Name()]}, {"type", "object"}, {"additionalProperties", false}}
	if len(required) > 0 {
		o = append(o, struct {
			key   string
			value any
		}{"required", required})
	}
	return append(o, struct {
		key   string
		value any
	}{"properties", props})
}

func generate(t *testing.T) []byte {
	t.Helper()
	g := generator{docs: docs(t), defs: map[string]any{}}
	root := ordered{
		{"$schema", "https://json-schema.org/draft/2020-12/schema"},
		{"title", "mock-up sheet"},
	}
	root = append(root, g.object(reflect.TypeFor[Sheet]())...)
	root = append(root, struct {
		key   string
		value any
	}{"$defs", g.defs})
	raw, err := marshal(root)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := json.Indent(&b, raw, "", "  "); err != nil {
		t.Fatal(err)
	}
	b.WriteByte('\n')
	// Marks that nobody sees are written as escapes.
	var out strings.Builder
	for _, c := range b.String() {
		if hidden(c) && c != '\n' {
			fmt.Fprintf(&out, `\u%04x`, c)
		} else {
			out.WriteRune(c)
		}
	}
	return []byte(out.String())
}

func TestSchemaIsInStep(t *testing.T) {
	want := generate(t)
	if *update {
		if err := os.WriteFile(schemaFile, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is out of step with the types of this package: go test -run Schema -update", schemaFile)
	}
}

// Walks the types apart from the generator: every field has its place and a
// description in the published file.
func TestSchemaHoldsEveryField(t *testing.T) {
	raw, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Properties map[string]map[string]any
		Defs       map[string]struct {
			Properties map[string]map[string]any
		} `json:"$defs"`
	}
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	seen := map[reflect.Type]bool{}
	fields := 0
	var walk func(t2 reflect.Type, props map[string]map[string]any)
	walk = func(t2 reflect.Type, props map[string]map[string]any) {
		seen[t2] = true
		if len(props) != t2.NumField() {
			t.Errorf("%s: %d properties for %d fields", t2, len(props), t2.NumField())
		}
		for i := range t2.NumField() {
			name, _ := field(t2.Field(i))
			fields++
			if about, _ := props[name]["description"].(string); about == "" {
				t.Errorf("%s: field %q has no description in the schema", t2, name)
			}
			ft := t2.Field(i).Type
			for ft.Kind() == reflect.Pointer || ft.Kind() == reflect.Slice {
				ft = ft.Elem()
			}
			_, quantity := wants[ft]
			if ft.Kind() == reflect.Struct && !quantity && !seen[ft] {
				walk(ft, doc.Defs[defName(ft.Name())].Properties)
			}
		}
	}
	walk(reflect.TypeFor[Sheet](), doc.Properties)
	if fields < 100 {
		t.Errorf("walked only %d fields", fields)
	}
}

func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	s, err := jsonschema.NewCompiler().Compile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func instance(t *testing.T, raw []byte) any {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestSchemaAcceptsGoodSheets(t *testing.T) {
	files, err := filepath.Glob("../../sheets/*.json")
	if err != nil || len(files) < 4 {
		t.Fatalf("%d sheets, %v", len(files), err)
	}
	s := compiled(t)
	for _, f := range files {
		raw, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(instance(t, raw)); err != nil {
			t.Errorf("%s: %v", f, err)
		}
		if _, err := Parse(raw); err != nil {
			t.Errorf("%s: %v", f, err)
		}
	}
}

// The schema sees the form of a sheet, not what its figures say together.
func TestSchemaRefusesBadForm(t *testing.T) {
	s := compiled(t)
	for _, f := range []string{"missing-unit", "unknown-field", "bare-number", "cam-degrees-for-crank", "reading-left-out", "spring-force-in-mass", "lifter-without-its-body"} {
		raw, err := os.ReadFile("../../sheets/bad/" + f + ".json")
		if err != nil {
			t.Fatal(err)
		}
		if s.Validate(instance(t, raw)) == nil {
			t.Errorf("the schema accepts %s", f)
		}
		if _, err := Parse(raw); err == nil {
			t.Errorf("the reader accepts %s", f)
		}
	}
}

// Reader and schema agree on every mutation of a sheet: a field left out, an
// unknown field, and each value replaced by one of another type.
func TestReaderAgreesWithSchema(t *testing.T) {
	s := compiled(t)
	raw, err := os.ReadFile("../../sheets/workboat-six.json")
	if err != nil {
		t.Fatal(err)
	}
	var whole map[string]any
	if err := json.Unmarshal(raw, &whole); err != nil {
		t.Fatal(err)
	}
	shorten(whole)
	whole["not_applicable"] = []any{map[string]any{"group": "fits", "reason": "none"}}
	var doc any = whole
	tried, refused := 0, 0
	check := func(what string) {
		t.Helper()
		b, err := json.Marshal(doc)
		if err != nil {
			t.Fatal(err)
		}
		_, readErr := Parse(b)
		schemaErr := s.Validate(instance(t, b))
		tried++
		if readErr != nil {
			refused++
		}
		if (readErr == nil) != (schemaErr == nil) {
			t.Errorf("%s: reader says %v, schema says %v", what, readErr, schemaErr)
		}
	}
	check("unchanged")
	var mutate func(path string, get func() any, set func(any))
	mutate = func(path string, get func() any, set func(any)) {
		was := get()
		for _, v := range []any{nil, 12.5, 7, true, "text", "", []any{}, map[string]any{}, "1 furlong", "two\nlines", "turned\u202eround", "two\u2028lines", "0.5 in\t", "0.5 in", "3 deg", "3 cam deg"} {
			set(v)
			check(fmt.Sprintf("%s = %v", path, v))
		}
		set(was)
		switch v := was.(type) {
		case map[string]any:
			v["unheard_of"] = "x"
			check(path + " with an unknown field")
			delete(v, "unheard_of")
			for k, x := range v {
				delete(v, k)
				check(path + " without " + k)
				v[k] = x
				mutate(path+"."+k, func() any { return v[k] }, func(n any) { v[k] = n })
			}
		case []any:
			for i := range v {
				mutate(fmt.Sprintf("%s[%d]", path, i), func() any { return v[i] }, func(n any) { v[i] = n })
			}
		}
	}
	// The parts that a sheet may leave out are mutated one by one beside those
	// that it may not, so that a mutation is not lost in a large sheet.
	base, optional := map[string]any{}, []string{}
	for i := range reflect.TypeFor[Sheet]().NumField() {
		name, may := field(reflect.TypeFor[Sheet]().Field(i))
		v, given := whole[name]
		switch {
		case may && given:
			optional = append(optional, name)
		case given:
			base[name] = v
		}
	}
	if len(optional) < 15 {
		t.Errorf("the sheet has only the optional parts %q", optional)
	}
	doc = base
	mutate("sheet", func() any { return doc }, func(v any) { doc = v })
	for _, name := range optional {
		base[name] = whole[name]
		mutate("sheet."+name, func() any { return base[name] }, func(v any) { base[name] = v })
		delete(base, name)
	}
	t.Logf("%d mutations, %d refused by both", tried, refused)
	if tried < 2000 || refused < tried/2 {
		t.Errorf("only %d mutations, %d refused", tried, refused)
	}
}

// shorten keeps the first of every list.
func shorten(n any) {
	switch v := n.(type) {
	case map[string]any:
		for k, x := range v {
			if l, ok := x.([]any); ok && len(l) > 1 {
				v[k] = slices.Clip(l[:1])
			}
			shorten(v[k])
		}
	case []any:
		for _, x := range v {
			shorten(x)
		}
	}
}
