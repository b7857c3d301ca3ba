package evaluation

import (
	"bufio"
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// TestSymbolsNamed fails for a symbol that a case lists in Symbols and the
// source of the cases never names, be it in a call or as a value.
func TestSymbolsNamed(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	named := map[string]bool{}
	for _, path := range files {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok {
				named[s.Sel.Name] = true
			}
			return true
		})
	}
	for _, c := range All() {
		for _, name := range c.Symbols {
			if !named[name[strings.LastIndexByte(name, '.')+1:]] {
				t.Errorf("case %q lists %s, which no case names", c.Quantity, name)
			}
		}
	}
}

// block is a piece of source that a run went through.
type block struct {
	file       string // "units/length.go"
	begin, end int    // lines
}

// holds reports whether a block lies in the function.
func (s symbol) holds(b block) bool {
	return b.file == s.file && s.begin <= b.begin && b.end <= s.end
}

// TestSymbolsRun fails for a symbol that a case lists in Symbols and none of
// its rows goes through. It builds package whatran with coverage, which takes
// longer than all other tests.
func TestSymbolsRun(t *testing.T) {
	if os.Getenv("TRIALFIT_COVERAGE") == "" {
		t.Skip("set TRIALFIT_COVERAGE=1 to build with coverage and see what each case runs")
	}
	folder := t.TempDir()
	command := func(name string, args ...string) {
		t.Helper()
		if msg, err := exec.Command(name, args...).CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", name, err, msg)
		}
	}
	packages := []string{"./whatran"} // the counters start only in a covered main
	for _, p := range shipped(t) {
		packages = append(packages, "example.com/trialfit/"+p)
	}
	program := filepath.Join(t.TempDir(), "whatran")
	command("go", "build", "-o", program, "-cover", "-covermode=atomic", "-coverpkg="+strings.Join(packages, ","), "./whatran")
	command(program, folder)
	// The path of the tool: go tool looks it up anew at each call.
	path, err := exec.Command("go", "tool", "-n", "covdata").Output()
	if err != nil {
		t.Fatal(err)
	}
	covdata := strings.TrimSpace(string(path))
	known := symbols(t)
	for i, c := range All() {
		ran := blocksRun(t, covdata, filepath.Join(folder, strconv.Itoa(i)))
		if len(ran) == 0 {
			t.Fatalf("nothing ran for %q", c.Quantity)
		}
		for _, name := range c.Symbols {
			if s := known[name]; s.fn != nil && !slices.ContainsFunc(ran, s.holds) {
				t.Errorf("case %q lists %s, which none of its rows goes through", c.Quantity, name)
			}
		}
	}
}

// blocksRun reads what whatran wrote for one case.
func blocksRun(t *testing.T, covdata, dir string) []block {
	t.Helper()
	out := filepath.Join(dir, "profile")
	if msg, err := exec.Command(covdata, "textfmt", "-i", dir, "-o", out).CombinedOutput(); err != nil {
		t.Fatalf("covdata: %v\n%s", err, msg)
	}
	profile, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	var ran []block
	for lines := bufio.NewScanner(bytes.NewReader(profile)); lines.Scan(); {
		// example.com/trialfit/units/length.go:10.2,12.3 1 4
		path, place, ok := strings.Cut(strings.TrimPrefix(lines.Text(), "example.com/trialfit/"), ":")
		if !ok || path == "mode" {
			continue
		}
		b := block{file: path}
		var column, statements, count int
		if _, err := fmt.Sscanf(place, "%d.%d,%d.%d %d %d", &b.begin, &column, &b.end, &column, &statements, &count); err != nil {
			t.Fatalf("%q: %v", lines.Text(), err)
		}
		if count > 0 {
			ran = append(ran, b)
		}
	}
	return ran
}
