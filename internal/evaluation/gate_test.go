package evaluation

import (
	"bufio"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/trialfit/internal/reference"
)

// shipped are the folders whose exported names the gate examines.
func shipped() []string {
	return []string{"units", "firingorder", "camtiming", "valvetrain", "clearance"}
}

// symbol is an exported function, method or type of a shipped package.
type symbol struct {
	name string // "pkg.Func", "pkg.Type", "pkg.Type.Method"
	pos  string
	doc  string
	fn   *ast.FuncDecl // nil for a type
}

// symbols parses the shipped packages.
func symbols(t *testing.T) map[string]symbol {
	t.Helper()
	found := map[string]symbol{}
	fset := token.NewFileSet()
	for _, dir := range shipped() {
		root := filepath.Join("..", "..", dir)
		err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			file, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
			if err != nil {
				return err
			}
			pkg := file.Name.Name
			add := func(name string, pos token.Pos, doc string, fn *ast.FuncDecl) {
				p := fset.Position(pos)
				found[pkg+"."+name] = symbol{pkg + "." + name, fmt.Sprintf("%s/%s:%d", dir, filepath.Base(p.Filename), p.Line), doc, fn}
			}
			for _, decl := range file.Decls {
				switch decl := decl.(type) {
				case *ast.FuncDecl:
					if recv := receiver(decl); decl.Name.IsExported() && recv == "" {
						add(decl.Name.Name, decl.Pos(), decl.Doc.Text(), decl)
					} else if decl.Name.IsExported() && ast.IsExported(recv) {
						add(recv+"."+decl.Name.Name, decl.Pos(), decl.Doc.Text(), decl)
					}
				case *ast.GenDecl:
					for _, spec := range decl.Specs {
						if s, ok := spec.(*ast.TypeSpec); ok && s.Name.IsExported() {
							add(s.Name.Name, s.Pos(), decl.Doc.Text()+s.Doc.Text(), nil)
						}
					}
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return found
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

// automatic returns the class of names that compute nothing, or "".
func automatic(s symbol) string {
	name := s.name[strings.LastIndexByte(s.name, '.')+1:]
	switch name {
	case "String", "GoString", "Format", "AppendText", "MarshalText", "UnmarshalText", "MarshalJSON", "UnmarshalJSON":
		return "text form, proved by round trips"
	case "Error", "Unwrap", "Is":
		return "error form"
	case "Working":
		return "tells how a result came about, adds no figure"
	}
	if strings.HasPrefix(name, "Must") {
		return "wraps the function without Must"
	}
	if computesNothing(s.fn) {
		return "accessor or builder: one return, no operator, no call"
	}
	return ""
}

// computesNothing reports whether a function is one return of fields,
// literals and comparisons with zero: no operator, no call.
func computesNothing(f *ast.FuncDecl) bool {
	if f.Body == nil || len(f.Body.List) != 1 {
		return false
	}
	ret, ok := f.Body.List[0].(*ast.ReturnStmt)
	if !ok {
		return false
	}
	plain := true
	ast.Inspect(ret, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CallExpr, *ast.FuncLit:
			plain = false
		case *ast.BinaryExpr:
			switch n.Op {
			case token.EQL, token.NEQ, token.LAND, token.LOR:
			default:
				plain = false
			}
		case *ast.UnaryExpr:
			if n.Op == token.SUB {
				plain = false
			}
		}
		return plain
	})
	return plain
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

// TestGate fails for every exported function or method that no outside figure
// proves: its doc names no row, or a row that does not exist, does not pass or
// does not exercise it, or only rows that do not count as an outside check.
func TestGate(t *testing.T) {
	rows, err := reference.Rows()
	if err != nil {
		t.Fatal(err)
	}
	byID := map[string]reference.Row{}
	for _, r := range rows {
		byID[r.ID] = r
	}
	known, exempt, proved := symbols(t), exemptions(t), provedUnits(rows)
	classes := map[string]int{}
	for _, name := range slices.Sorted(maps.Keys(known)) {
		s := known[name]
		cited := citedRows(s.doc)
		outside := 0
		for _, id := range cited {
			r, ok := byID[id]
			if !ok {
				t.Errorf("%s: %s cites row %q, which no table has", s.pos, name, id)
				continue
			}
			res := Evaluate(r)
			switch {
			case !res.Pass:
				t.Errorf("%s: %s cites row %q, which fails", s.pos, name, id)
			case s.fn != nil && !slices.Contains(res.Case.Symbols, name):
				t.Errorf("%s: %s cites row %q, but the case for %q does not list it in Symbols", s.pos, name, id, r.Quantity)
			case r.OutsideCheck():
				outside++
			}
		}
		if s.fn == nil {
			continue // a type may cite rows, it need not
		}
		class := automatic(s)
		reason, isExempt := exempt[name]
		switch {
		case len(cited) > 0 && isExempt:
			t.Errorf("exempt.txt: %s is exempt but cites rows: drop one", name)
		case len(cited) > 0 && outside == 0:
			t.Errorf("%s: %s cites no row that counts as an outside check", s.pos, name)
		case len(cited) > 0:
			classes["proved by rows of its doc"]++
		case isExempt && class != "":
			t.Errorf("exempt.txt: %s is exempt by itself (%s): drop the line %q", name, class, reason)
		case isExempt:
			classes["listed in exempt.txt"]++
		case class != "":
			classes[class]++
		case proved[name]:
			classes["unit conversion, proved by the row of its unit"]++
		default:
			t.Errorf("%s: %s has no \"Rows:\" in its doc and no exemption", s.pos, name)
		}
	}
	for name := range exempt {
		if _, ok := known[name]; !ok {
			t.Errorf("exempt.txt: no exported function or method is called %s", name)
		}
	}
	for _, c := range slices.Sorted(maps.Keys(classes)) {
		t.Logf("%4d  %s", classes[c], c)
	}
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

// TestGateHelpers checks the two readings on which the gate stands.
func TestGateHelpers(t *testing.T) {
	doc := "Foo answers x.\n\nSource: a book.\n\nRows: a-1, gb-5.5,\nb-2.\n"
	if got, want := strings.Join(citedRows(doc), "|"), "a-1|gb-5.5|b-2"; got != want {
		t.Errorf("citedRows = %s, want %s", got, want)
	}
	if got := citedRows("Foo reads Rows: of a table.\n"); got != nil {
		t.Errorf("citedRows of a text without the paragraph = %q", got)
	}
	for body, want := range map[string]bool{
		"return r.x":                      true,
		"return T{Value: v, Given: true}": true,
		"return r.a != \"\" && r.b != 0":  true,
		"return r.x / 2":                  false,
		"return -r.x":                     false,
		"return f(r.x)":                   false,
		"return r.x > 0":                  false,
		"y := r.x\nreturn y":              false,
	} {
		file, err := parser.ParseFile(token.NewFileSet(), "", "package p\nfunc (r R) F() T {\n"+body+"\n}", 0)
		if err != nil {
			t.Fatal(err)
		}
		if got := computesNothing(file.Decls[0].(*ast.FuncDecl)); got != want {
			t.Errorf("computesNothing of %q = %v", body, got)
		}
	}
}
