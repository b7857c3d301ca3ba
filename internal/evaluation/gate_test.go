package evaluation

import (
	"bufio"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/trialfit/internal/reference"
)

// shipped are the folders whose exported names the gate examines, with the
// packages below them. Names of packages are unique, so that "fit.Limits" says
// which one is meant.
func shipped(t *testing.T) []string {
	t.Helper()
	root := filepath.Join("..", "..")
	var folders []string
	for _, dir := range []string{"units", "firingorder", "camtiming", "valvetrain", "clearance"} {
		err := filepath.WalkDir(filepath.Join(root, dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil || !d.IsDir() {
				return err
			}
			if d.Name() == "testdata" {
				return filepath.SkipDir
			}
			rel, err := filepath.Rel(root, path)
			folders = append(folders, filepath.ToSlash(rel))
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return folders
}

// symbol is an exported function, method, type or variable of a shipped
// package. An exported method of an unexported type counts: a value of that
// type can be handed out.
type symbol struct {
	name  string // "pkg.Func", "pkg.Type", "pkg.Type.Method", "pkg.Var"
	pos   string
	doc   string
	fn    *ast.FuncDecl // for a function or method
	isVar bool
	value ast.Expr // of a variable, nil if it has none of its own

	file       string // "units/length.go"
	begin, end int    // lines of a function
}

// checked reports whether the gate asks for a proof. A type may cite rows, it
// need not.
func (s symbol) checked() bool { return s.fn != nil || s.isVar }

// symbols parses the shipped packages.
func symbols(t *testing.T) map[string]symbol {
	t.Helper()
	found := map[string]symbol{}
	fset := token.NewFileSet()
	for _, dir := range shipped(t) {
		files, err := filepath.Glob(filepath.Join("..", "..", dir, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range files {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			addSymbols(found, fset, file, dir)
		}
	}
	return found
}

// addSymbols adds the exported names of one file.
func addSymbols(found map[string]symbol, fset *token.FileSet, file *ast.File, dir string) {
	add := func(s symbol, pos token.Pos) {
		p := fset.Position(pos)
		s.name = file.Name.Name + "." + s.name
		s.file = dir + "/" + filepath.Base(p.Filename)
		s.pos = fmt.Sprintf("%s:%d", s.file, p.Line)
		if s.fn != nil {
			s.begin, s.end = p.Line, fset.Position(s.fn.End()).Line
		}
		found[s.name] = s
	}
	for _, decl := range file.Decls {
		switch decl := decl.(type) {
		case *ast.FuncDecl:
			if !decl.Name.IsExported() {
				continue
			}
			name := decl.Name.Name
			if recv := receiver(decl); recv != "" {
				name = recv + "." + name
			}
			add(symbol{name: name, doc: decl.Doc.Text(), fn: decl}, decl.Pos())
		case *ast.GenDecl:
			for _, spec := range decl.Specs {
				switch spec := spec.(type) {
				case *ast.TypeSpec:
					if spec.Name.IsExported() {
						add(symbol{name: spec.Name.Name, doc: decl.Doc.Text() + spec.Doc.Text()}, spec.Pos())
					}
				case *ast.ValueSpec:
					for i, name := range spec.Names {
						if decl.Tok != token.VAR || !name.IsExported() {
							continue
						}
						v := symbol{name: name.Name, doc: spec.Doc.Text(), isVar: true}
						if len(spec.Values) == len(spec.Names) {
							v.value = spec.Values[i]
						}
						add(v, name.Pos())
					}
				}
			}
		}
	}
}

// receiver returns the name of the receiver's type, "" for a function.
func receiver(f *ast.FuncDecl) string {
	if f.Recv == nil || len(f.Recv.List) == 0 {
		return ""
	}
	e := f.Recv.List[0].Type
	for {
		switch x := e.(type) {
		case *ast.StarExpr:
			e = x.X
		case *ast.IndexExpr:
			e = x.X
		case *ast.IndexListExpr:
			e = x.X
		case *ast.Ident:
			return x.Name
		default:
			return ""
		}
	}
}

// citedRows returns the ids of the "Rows:" paragraph of a doc comment.
func citedRows(doc string) []string {
	var ids []string
	for para := range strings.SplitSeq(doc, "\n\n") {
		list, ok := strings.CutPrefix(strings.TrimSpace(para), "Rows:")
		if !ok {
			continue
		}
		list = strings.TrimSuffix(strings.TrimSpace(strings.ReplaceAll(list, "\n", " ")), ".")
		for id := range strings.SplitSeq(list, ",") {
			ids = append(ids, strings.TrimSpace(id))
		}
	}
	return ids
}

// signatures are the methods that are text or error forms, with what they must
// look like to be one.
func signatures() map[string]string {
	return map[string]string{
		"String": "func() string", "GoString": "func() string", "Format": "func(fmt.State, rune)",
		"AppendText": "func([]byte) ([]byte, error)", "MarshalText": "func() ([]byte, error)", "UnmarshalText": "func([]byte) error",
		"MarshalJSON": "func() ([]byte, error)", "UnmarshalJSON": "func([]byte) error",
		"Error": "func() string", "Unwrap": "func() error", "Is": "func(error) bool",
	}
}

// signature writes a function's parameter and result types, names left out.
func signature(f *ast.FuncDecl) string {
	list := func(fields *ast.FieldList) []string {
		var l []string
		for _, field := range fields.List {
			for range max(1, len(field.Names)) {
				l = append(l, types.ExprString(field.Type))
			}
		}
		return l
	}
	s := "func(" + strings.Join(list(f.Type.Params), ", ") + ")"
	if f.Type.Results == nil {
		return s
	}
	if results := list(f.Type.Results); len(results) == 1 {
		s += " " + results[0]
	} else {
		s += " (" + strings.Join(results, ", ") + ")"
	}
	return s
}

// gate decides which symbols pass.
type gate struct {
	known  map[string]symbol
	exempt map[string]string
	proved map[string]bool // unit constructors, accessors and parsers
	rows   map[string]reference.Row
	run    func(reference.Row) Result
}

// automatic returns the class of symbols that compute nothing, or "".
func (g gate) automatic(s symbol) string {
	if s.isVar {
		if call, ok := s.value.(*ast.CallExpr); ok && types.ExprString(call.Fun) == "errors.New" {
			return "error sentinel"
		}
		return ""
	}
	stem, name := s.name[:strings.LastIndexByte(s.name, '.')+1], s.name[strings.LastIndexByte(s.name, '.')+1:]
	method, sig := s.fn.Recv != nil, signature(s.fn)
	if want, ok := signatures()[name]; ok && method && sig == want {
		return "text or error form, proved by round trips"
	}
	if name == "Working" && method && (sig == "func() units.Working" || sig == "func() Working" && strings.HasPrefix(s.name, "units.")) {
		return "tells how a result came about, adds no figure"
	}
	if twin, ok := strings.CutPrefix(name, "Must"); ok && calls(s.fn, twin) {
		if t, ok := g.known[stem+twin]; ok && t.fn != nil && g.passes(t) {
			return "wraps the function without Must, which is proved"
		}
	}
	if computesNothing(s.fn) {
		return "accessor or builder: one return of what it was given, no figure of its own"
	}
	return ""
}

// passes reports whether a symbol is proved, exempt or needs no proof.
func (g gate) passes(s symbol) bool {
	_, complaints := g.judge(s)
	return len(complaints) == 0
}

// calls reports whether the body calls a function or method of that name.
func calls(f *ast.FuncDecl, name string) bool {
	found := false
	ast.Inspect(f, func(n ast.Node) bool {
		call, ok := n.(*ast.CallExpr)
		if !ok {
			return true
		}
		switch fun := call.Fun.(type) {
		case *ast.Ident:
			found = found || fun.Name == name
		case *ast.SelectorExpr:
			found = found || fun.Sel.Name == name
		}
		return true
	})
	return found
}

// computesNothing reports whether a function is one return of what it was
// given: its receiver and parameters, their fields, their comparison with zero
// values, and composite literals of these. No call, no operator, no index, no
// constant and no literal but zero values, true and false, because each of these
// could bring a figure.
func computesNothing(f *ast.FuncDecl) bool {
	if f.Body == nil || len(f.Body.List) != 1 {
		return false
	}
	ret, ok := f.Body.List[0].(*ast.ReturnStmt)
	if !ok {
		return false
	}
	given := map[string]bool{"true": true, "false": true, "nil": true}
	for _, list := range []*ast.FieldList{f.Recv, f.Type.Params} {
		if list == nil {
			continue
		}
		for _, field := range list.List {
			for _, name := range field.Names {
				given[name.Name] = true
			}
		}
	}
	var plain func(ast.Expr) bool
	plain = func(e ast.Expr) bool {
		switch e := e.(type) {
		case *ast.Ident:
			return given[e.Name]
		case *ast.BasicLit:
			return e.Value == "0" || e.Value == `""`
		case *ast.SelectorExpr:
			return plain(e.X)
		case *ast.ParenExpr:
			return plain(e.X)
		case *ast.StarExpr:
			return plain(e.X)
		case *ast.UnaryExpr:
			return (e.Op == token.NOT || e.Op == token.AND) && plain(e.X)
		case *ast.BinaryExpr:
			switch e.Op {
			case token.EQL, token.NEQ, token.LAND, token.LOR:
				return plain(e.X) && plain(e.Y)
			default:
				return false
			}
		case *ast.CompositeLit: // the type may be an instance with an index
			for _, el := range e.Elts {
				if kv, ok := el.(*ast.KeyValueExpr); ok {
					el = kv.Value
				}
				if !plain(el) {
					return false
				}
			}
			return true
		default:
			return false
		}
	}
	return !slices.ContainsFunc(ret.Results, func(e ast.Expr) bool { return !plain(e) })
}

// exemptions reads exempt.txt: one symbol a line and the reason.
func exemptions(t *testing.T) map[string]string {
	t.Helper()
	f, err := os.Open("exempt.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	m := map[string]string{}
	for lines := bufio.NewScanner(f); lines.Scan(); {
		line := strings.TrimSpace(lines.Text())
		if line == "" || line[0] == '#' {
			continue
		}
		name, reason, _ := strings.Cut(line, " ")
		if reason = strings.TrimSpace(reason); reason == "" {
			t.Errorf("exempt.txt: %s has no reason", name)
		}
		if _, twice := m[name]; twice {
			t.Errorf("exempt.txt: %s twice", name)
		}
		m[name] = reason
	}
	return m
}

// provedUnits returns the symbols of the unit table that a passing row with
// an outside check takes a number through.
func provedUnits(rows []reference.Row) map[string]bool {
	proved := map[string]bool{}
	for _, r := range rows {
		if r.Quantity != "unit factor" && r.Quantity != "unit conversion" || !r.OutsideCheck() {
			continue
		}
		c, err := conversionOf(r)
		if err != nil || !Evaluate(r).Pass {
			continue
		}
		// convert goes there and back, so both sides are proved.
		for _, u := range []unit{c.from, c.to} {
			proved[u.constructor], proved[u.accessor] = true, true
		}
		proved[c.from.parser] = true
	}
	return proved
}

// judge returns how a symbol passes, or why it does not.
func (g gate) judge(s symbol) (class string, complaints []string) {
	complain := func(format string, args ...any) { complaints = append(complaints, fmt.Sprintf(format, args...)) }
	cited := citedRows(s.doc)
	outside := 0
	for _, id := range cited {
		r, ok := g.rows[id]
		if !ok {
			complain("cites row %q, which no table has", id)
			continue
		}
		res := g.run(r)
		switch {
		case !res.Pass:
			complain("cites row %q, which fails", id)
		case s.checked() && !slices.Contains(res.Case.Symbols, s.name):
			complain("cites row %q, but the case for %q does not list it in Symbols", id, r.Quantity)
		case r.OutsideCheck():
			outside++
		}
	}
	if !s.checked() {
		return "", complaints
	}
	reason, isExempt := g.exempt[s.name]
	if len(cited) > 0 {
		switch {
		case isExempt:
			complain("is exempt but cites rows: drop one")
		case outside == 0:
			complain("cites no row that counts as an outside check")
		}
		return "proved by rows of its doc", complaints
	}
	class = g.automatic(s)
	switch {
	case isExempt && class != "":
		complain("is exempt by itself (%s): drop the line %q of exempt.txt", class, reason)
	case isExempt:
		class = "listed in exempt.txt"
	case class != "":
	case g.proved[s.name]:
		class = "unit conversion, proved by the row of its unit"
	default:
		complain("has no \"Rows:\" in its doc and no exemption")
	}
	return class, complaints
}

// TestGate fails for every exported function, method or variable that no
// outside figure proves: its doc names no row, or a row that does not exist,
// does not pass or does not exercise it, or only rows that do not count as an
// outside check.
func TestGate(t *testing.T) {
	rows, err := reference.Rows()
	if err != nil {
		t.Fatal(err)
	}
	g := gate{known: symbols(t), exempt: exemptions(t), proved: provedUnits(rows), rows: map[string]reference.Row{}, run: Evaluate}
	for _, r := range rows {
		g.rows[r.ID] = r
	}
	classes := map[string]int{}
	for _, name := range slices.Sorted(maps.Keys(g.known)) {
		s := g.known[name]
		class, complaints := g.judge(s)
		for _, c := range complaints {
			t.Errorf("%s: %s %s", s.pos, name, c)
		}
		if class != "" {
			classes[class]++
		}
	}
	for name := range g.exempt {
		if s, ok := g.known[name]; !ok || !s.checked() {
			t.Errorf("exempt.txt: no exported function, method or variable is called %s", name)
		}
	}
	for _, c := range slices.Sorted(maps.Keys(classes)) {
		t.Logf("%4d  %s", classes[c], c)
	}
}

// TestGateRefuses gives the gate small packages, each with something that a
// gate could let slip, and the honest counterparts.
func TestGateRefuses(t *testing.T) {
	row := func(id, quantity, provenance string) reference.Row {
		return reference.Row{ID: id, Quantity: quantity, Provenance: provenance}
	}
	rows := map[string]reference.Row{}
	for _, r := range []reference.Row{
		row("good", "slip", "verified"), row("weak", "slip", "common practice"), row("bad", "wrong", "verified"), row("other", "other", "verified"),
	} {
		rows[r.ID] = r
	}
	run := func(r reference.Row) Result {
		return Result{Pass: r.Quantity != "wrong", Case: Case{Symbols: []string{"p.Slip", "p.ParseSlip"}[:map[string]int{"slip": 2}[r.Quantity]]}}
	}
	const head = "package p\nimport (\"errors\"; \"example.com/trialfit/units\")\n" +
		"type R struct { x, y units.Length; list []units.Length }\ntype T struct { Value units.Length; Given bool; List []units.Length }\n" +
		"var rates = [3]units.Length{1, 2, 3}\nconst rate units.Length = 7\nvar _ = errors.New\n"
	for _, tt := range []struct {
		name, source string
		refused      string // "" if the gate lets it pass
	}{
		{"a literal", "func Slip() units.Length { return 4242 }", "p.Slip"},
		{"a constant", "func Slip() units.Length { return rate }", "p.Slip"},
		{"a constant of another package", "func Slip() units.Length { return units.Inch }", "p.Slip"},
		{"a negative literal", "func Slip() units.Length { return -1 }", "p.Slip"},
		{"a text", "func Slip() string { return \"4242\" }", "p.Slip"},
		{"a table", "func Slip(d int) units.Length { return rates[d] }", "p.Slip"},
		{"a table in a field", "func (r R) Slip(d int) units.Length { return r.list[d] }", "p.R.Slip"},
		{"a slice", "func (r R) Slip() []units.Length { return r.list[1:] }", "p.R.Slip"},
		{"a slice of figures", "func Slip() []units.Length { return []units.Length{1, 2} }", "p.Slip"},
		{"a figure in a literal", "func Slip() T { return T{Value: 42, Given: true} }", "p.Slip"},
		{"a figure deep in a literal", "func Slip() []T { return []T{{List: []units.Length{1}}} }", "p.Slip"},
		{"a comparison with a figure", "func (r R) Slip() bool { return r.x == 42 }", "p.R.Slip"},
		{"a quotient", "func (r R) Slip() units.Length { return r.x / 2 }", "p.R.Slip"},
		{"a sign", "func (r R) Slip() units.Length { return -r.x }", "p.R.Slip"},
		{"a call", "func (r R) Slip() units.Length { return r.x.Abs() }", "p.R.Slip"},
		{"an order", "func (r R) Slip() bool { return r.x > 0 }", "p.R.Slip"},
		{"two statements", "func (r R) Slip() units.Length { y := r.x; return y }", "p.R.Slip"},
		{"a named result", "func (r R) Slip() (x units.Length) { x = 42; return }", "p.R.Slip"},
		{"Must without a twin", "func MustSlip(x units.Length) units.Length { return 2 * x }", "p.MustSlip"},
		{"Must that does not call its twin", "// Rows: good.\nfunc Slip() units.Length { return 2 }\nfunc MustSlip(x units.Length) units.Length { return 2 * x }", "p.MustSlip"},
		{"Must of an unproved twin", "func Slip() units.Length { return 2 }\nfunc MustSlip() units.Length { return Slip() }", "p.MustSlip p.Slip"},
		{"Must of a twin that is a type", "type Slip units.Length\nfunc MustSlip(x int64) Slip { return Slip(2 * x) }", "p.MustSlip"},
		{"Must of a method's name", "// Rows: good.\nfunc Slip() units.Length { return 2 }\nfunc (r R) MustSlip() units.Length { return Slip() }", "p.R.MustSlip"},
		{"Working of something else", "func (r R) Working() units.Length { return r.x / 2 }", "p.R.Working"},
		{"Working with a parameter", "func (r R) Working(n int) units.Working { return nil }", ""}, // returns nothing at all
		{"Working with a parameter and steps", "func (r R) Working(n int) units.Working { return make(units.Working, n) }", "p.R.Working"},
		{"Working that is a function", "func Working() units.Working { return make(units.Working, 1) }", "p.Working"},
		{"Working of a namesake", "type Working float64\nfunc (r R) Working() Working { return 2 * Working(r.x) }", "p.R.Working"},
		{"String that is a length", "func (r R) String() units.Length { return r.x / 2 }", "p.R.String"},
		{"String with a parameter", "func (r R) String(n int) string { return string(rune(n)) }", "p.R.String"},
		{"Error that is a figure", "func (r R) Error() float64 { return float64(r.x) }", "p.R.Error"},
		{"String that is a function", "func String() string { return \"1.5\" }", "p.String"},
		{"a method of a hidden type", "type hidden int\nfunc (h hidden) Slip() units.Length { return units.Length(h) / 2 }", "p.hidden.Slip"},
		{"a method of a pointer to a hidden type", "type hidden int\nfunc (h *hidden) Slip() units.Length { return units.Length(*h) / 2 }", "p.hidden.Slip"},
		{"a method of a hidden generic type", "type hidden[Q any] struct { x units.Length }\nfunc (h hidden[Q]) Slip() units.Length { return h.x / 2 }", "p.hidden.Slip"},
		{"a variable with a function", "var Slip = func(x units.Length) units.Length { return x / 2 }", "p.Slip"},
		{"a variable with a hidden function", "func slip(x units.Length) units.Length { return x / 2 }\nvar Slip = slip", "p.Slip"},
		{"a variable with a figure", "var Slip units.Length = 42", "p.Slip"},
		{"a variable without a value", "var Slip func(units.Length) units.Length", "p.Slip"},
		{"one of two variables", "var ErrX, Slip = errors.New(\"x\"), rates[0]", "p.Slip"},
		{"no such row", "// Rows: none.\nfunc Slip() units.Length { return 1 }", "p.Slip"},
		{"a row that fails", "// Rows: bad.\nfunc Slip() units.Length { return 1 }", "p.Slip"},
		{"a row of another symbol", "// Rows: other.\nfunc Slip() units.Length { return 1 }", "p.Slip"},
		{"only common practice", "// Rows: weak.\nfunc Slip() units.Length { return 1 }", "p.Slip"},

		{"a field", "func (r R) X() units.Length { return r.x }", ""},
		{"a field through a pointer", "func (r *R) X() *units.Length { return &r.x }", ""},
		{"a builder", "func Some(v units.Length) T { return T{Value: v, Given: true} }", ""},
		{"a generic builder", "type G[Q any] struct { V Q }\nfunc Some[Q any](v Q) G[Q] { return G[Q]{V: v} }", ""},
		{"comparisons with zero", "func (r R) Given() bool { return r.x != 0 && r.list != nil }", ""},
		{"text forms", "func (r R) String() string { return \"x\" }\nfunc (r *R) UnmarshalText(text []byte) error { return nil }\nfunc (r R) MarshalText() ([]byte, error) { return []byte(\"x\"), nil }", ""},
		{"working", "func (r R) Working() units.Working { return make(units.Working, 1) }", ""},
		{"proved", "// Rows: good.\nfunc Slip() units.Length { return 1 }", ""},
		{"proved, with a weak row beside", "// Rows: weak, good.\nfunc Slip() units.Length { return 1 }", ""},
		{"Must of a proved twin", "// Rows: good.\nfunc ParseSlip() units.Length { return 1 }\nfunc MustParseSlip() units.Length { return ParseSlip() }", ""},
		{"error sentinels", "var ErrSlip = errors.New(\"slip\")", ""},
		{"hidden names", "func slip() units.Length { return 4242 }\nfunc (r R) slip() units.Length { return 4242 }\nvar slips = 42", ""},
	} {
		fset := token.NewFileSet()
		// A comment of its own line is a doc comment.
		source := strings.ReplaceAll(tt.source, "// Rows:", "// Doc.\n//\n// Rows:")
		file, err := parser.ParseFile(fset, "p.go", head+source, parser.ParseComments)
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		checkTypes(t, tt.name, fset, file)
		g := gate{known: map[string]symbol{}, rows: rows, run: run}
		addSymbols(g.known, fset, file, "p")
		var refused []string
		for _, name := range slices.Sorted(maps.Keys(g.known)) {
			if !g.passes(g.known[name]) {
				refused = append(refused, name)
			}
		}
		if got := strings.Join(refused, " "); got != tt.refused {
			t.Errorf("%s: the gate refuses %q, want %q\n%s", tt.name, got, tt.refused, tt.source)
		}
	}
}

// checkTypes makes sure that a source of the self-test compiles, so that what
// it shows could be written.
func checkTypes(t *testing.T, name string, fset *token.FileSet, file *ast.File) {
	t.Helper()
	_, err := (&types.Config{Importer: stand{}}).Check("p", fset, []*ast.File{file}, nil)
	if err != nil {
		t.Errorf("%s: %v", name, err)
	}
}

// stand imports the two packages that the self-test needs, cut down to it.
type stand struct{}

func (stand) Import(path string) (*types.Package, error) {
	source := map[string]string{
		"errors":                     "package errors\nfunc New(text string) error { return nil }",
		"example.com/trialfit/units": "package units\ntype Length int64\nconst Inch Length = 25400\nfunc (l Length) Abs() Length { return l }\ntype Working []string",
	}[path]
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, path, source, 0)
	if err != nil {
		return nil, err
	}
	return new(types.Config).Check(path, fset, []*ast.File{file}, nil)
}

// TestCaseSymbolsExist keeps the Symbols of the cases honest.
func TestCaseSymbolsExist(t *testing.T) {
	known := symbols(t)
	for _, c := range All() {
		for _, name := range c.Symbols {
			if _, ok := known[name]; !ok {
				t.Errorf("case %q lists %s, which is not exported by a shipped package", c.Quantity, name)
			}
		}
	}
}

// TestCasesUsed fails for a case that no row selects.
func TestCasesUsed(t *testing.T) {
	rows, err := reference.Rows()
	if err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	for _, r := range rows {
		used[r.Quantity] = true
	}
	for _, c := range All() {
		if !used[c.Quantity] {
			t.Errorf("no row asks for %q", c.Quantity)
		}
	}
}

// TestCitedRows checks the reading of a doc comment on which the gate stands.
func TestCitedRows(t *testing.T) {
	doc := "Foo answers x.\n\nSource: a book.\n\nRows: a-1, gb-5.5,\nb-2.\n"
	if got, want := strings.Join(citedRows(doc), "|"), "a-1|gb-5.5|b-2"; got != want {
		t.Errorf("citedRows = %s, want %s", got, want)
	}
	if got := citedRows("Foo reads Rows: of a table.\n"); got != nil {
		t.Errorf("citedRows of a text without the paragraph = %q", got)
	}
}
