package evaluation

import (
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestExamples fails for an exported function or method without a runnable
// example: one of its own name, or one of its type in whose source it is
// called. Methods that only write or read text, errors, Working, and functions
// that panic where their counterpart returns an error, need none.
func TestExamples(t *testing.T) {
	calls := map[string]map[string]bool{} // "units.Force" -> names called in ExampleForce and ExampleForce_...
	own := map[string]bool{}              // "units.Force.Newtons" for ExampleForce_Newtons
	for _, dir := range shipped(t) {
		files, err := filepath.Glob(filepath.Join("..", "..", dir, "*_test.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range files {
			file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			for _, decl := range file.Decls {
				f, ok := decl.(*ast.FuncDecl)
				if !ok || !strings.HasPrefix(f.Name.Name, "Example") || !hasOutput(file, f) {
					continue
				}
				name := strings.Split(strings.TrimPrefix(f.Name.Name, "Example"), "_")
				first := path.Base(dir) + "." + name[0]
				own[first] = true
				if len(name) > 1 {
					own[first+"."+name[1]] = true
				}
				if calls[first] == nil {
					calls[first] = map[string]bool{}
				}
				ast.Inspect(f, func(n ast.Node) bool {
					if s, ok := n.(*ast.SelectorExpr); ok {
						calls[first][s.Sel.Name] = true
					}
					return true
				})
			}
		}
	}
	known := symbols(t)
	functions, byOwn, byType := 0, 0, 0
	for _, name := range slices.Sorted(maps.Keys(known)) {
		s := known[name]
		parts := strings.Split(name, ".")
		last := parts[len(parts)-1]
		if s.fn == nil || noExample(s) || len(parts) == 3 && !ast.IsExported(parts[1]) {
			continue
		}
		functions++
		typ := parts[0] + "." + parts[1]
		if len(parts) == 2 {
			typ = parts[0] + "." + resultType(s.fn)
		}
		switch {
		case own[name]:
			byOwn++
		case calls[typ][last]:
			byType++
		default:
			t.Errorf("%s: %s has no runnable example of its own and is not called in one of %s", s.pos, name, typ)
		}
	}
	t.Logf("%d functions and methods: %d with an example of their own, %d in one of their type", functions, byOwn, byType)
}

// noExample reports whether a function needs no example.
func noExample(s symbol) bool {
	name := s.name[strings.LastIndexByte(s.name, '.')+1:]
	want, text := signatures()[name]
	return text && s.fn.Recv != nil && signature(s.fn) == want || name == "Working" && s.fn.Recv != nil || strings.HasPrefix(name, "Must")
}

// hasOutput reports whether an example runs: it has an Output comment.
func hasOutput(file *ast.File, f *ast.FuncDecl) bool {
	return slices.ContainsFunc(file.Comments, func(c *ast.CommentGroup) bool {
		return f.Body.Lbrace < c.Pos() && c.End() < f.Body.Rbrace && strings.HasPrefix(c.Text(), "Output:")
	})
}

// resultType returns the name of the type that a function makes.
func resultType(f *ast.FuncDecl) string {
	if f.Type.Results == nil {
		return ""
	}
	name, _, _ := strings.Cut(types.ExprString(f.Type.Results.List[0].Type), "[")
	return strings.TrimPrefix(name, "*")
}
