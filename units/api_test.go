package units_test

import (
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"regexp"
	"strings"
	"testing"
)

// load type-checks the package from its source.
func load(t *testing.T) (*token.FileSet, types.Importer, *types.Package) {
	t.Helper()
	fset := token.NewFileSet()
	imp := importer.ForCompiler(fset, "source", nil)
	pkg, err := imp.Import("example.com/trialfit/units")
	if err != nil {
		t.Fatal(err)
	}
	return fset, imp, pkg
}

// The angle types do not mix: proof that the compiler refuses it, beside a
// twin of each snippet that it accepts.
func TestTypesDoNotMix(t *testing.T) {
	fset, imp, _ := load(t)
	for name, c := range map[string]struct {
		body string
		ok   bool
	}{
		"crank + cam":            {"_ = units.CrankDegree + units.CamDegree", false},
		"crank + cam.Crank":      {"_ = units.CrankDegree + units.CamDegree.Crank()", true},
		"cam = crank":            {"var a units.CamAngle = units.CrankDegree; _ = a", false},
		"cam = crank.Cam":        {"var a units.CamAngle = units.CrankDegree.Cam(); _ = a", true},
		"crank < cam":            {"_ = units.CrankTurn < units.CamTurn", false},
		"length + angle":         {"_ = units.Inch + units.CrankDegree", false},
		"length + length":        {"_ = units.Inch + units.Millimeter", true},
		"torque + energy":        {"_ = units.PoundFeet(1) + units.FootPounds(1)", false},
		"temperature difference": {"_ = units.Celsius(1).Add(units.Celsius(1))", false},
		"temperature + delta":    {"_ = units.Celsius(1).Add(units.KelvinsDifference(1))", true},
		"mixed limits":           {"_, _ = units.Judge(units.WithU(units.Inch, 0), units.AtLeast(units.CrankDegree, units.Source{}), 0)", false},
	} {
		src := "package p\nimport \"example.com/trialfit/units\"\nfunc _() { " + c.body + " }\n"
		f, err := parser.ParseFile(fset, name, src, 0)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		_, err = (&types.Config{Importer: imp}).Check("p", fset, []*ast.File{f}, nil)
		if (err == nil) != c.ok {
			t.Errorf("%s: compiles = %v (%v), want %v", name, err == nil, err, c.ok)
		}
		if err != nil && !strings.Contains(err.Error(), "mismatched types") && !strings.Contains(err.Error(), "cannot use") && !strings.Contains(err.Error(), "does not match") {
			t.Errorf("%s: refused for another reason: %v", name, err)
		}
	}
}

// No exported signature takes a bare float64, but for constructors named
// after their unit and these.
func TestNoBareFloats(t *testing.T) {
	allowed := map[string]string{
		"LengthOf":             "the unit is the other argument",
		"Scale":                "a true ratio",
		"GuardFactor":          "a true ratio, tolerance over uncertainty",
		"CrankDegrees":         "constructor named after its unit",
		"CamDegrees":           "constructor named after its unit",
		"KelvinsDifference":    "constructor named after its unit",
		"FahrenheitDifference": "constructor named after its unit",
	}
	used := map[string]bool{}
	_, _, pkg := load(t)
	float := types.Typ[types.Float64]
	unitConstructor := func(f *types.Func) bool {
		sig := f.Signature()
		if sig.Recv() != nil || sig.Params().Len() != 1 || sig.Results().Len() != 1 {
			return false
		}
		named, ok := sig.Results().At(0).Type().(*types.Named)
		if !ok || named.Obj().Pkg() != pkg {
			return false
		}
		// The quantity reads itself back by the accessor of the same name.
		m, _, _ := types.LookupFieldOrMethod(named, true, pkg, f.Name())
		return m != nil
	}
	check := func(f *types.Func) {
		for v := range f.Signature().Params().Variables() {
			if !types.Identical(v.Type(), float) || unitConstructor(f) {
				continue
			}
			if allowed[f.Name()] == "" {
				t.Errorf("%s takes a bare float64 %q", f.FullName(), v.Name())
			}
			used[f.Name()] = true
		}
	}
	for _, name := range pkg.Scope().Names() {
		switch o := pkg.Scope().Lookup(name).(type) {
		case *types.Func:
			if o.Exported() {
				check(o)
			}
		case *types.TypeName:
			if named, ok := o.Type().(*types.Named); ok && o.Exported() {
				for m := range named.Methods() {
					if m.Exported() {
						check(m)
					}
				}
			}
		}
	}
	for name := range allowed {
		if !used[name] {
			t.Errorf("%s is on the allow list for nothing", name)
		}
	}
}

// Every exported name has a doc comment that begins with it, and doc.go has
// the headings a reader looks for.
func TestDocComments(t *testing.T) {
	fset := token.NewFileSet()
	pkgs, err := parser.ParseDir(fset, ".", nil, parser.ParseComments) //nolint:staticcheck // one directory, no build tags
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range pkgs["units"].Files {
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Name.IsExported() && !strings.HasPrefix(fn.Doc.Text(), fn.Name.Name) {
				t.Errorf("%s: the comment does not begin with the name", fn.Name.Name)
			}
		}
		if f.Doc != nil {
			for _, h := range []string{"Conventions", "Exactness", "Text forms", "Decision rules", "Sources", "Limits"} {
				if !regexp.MustCompile(`(?m)^# ` + h + `$`).MatchString(f.Doc.Text()) {
					t.Errorf("the package comment has no heading %s", h)
				}
			}
		}
	}
}
