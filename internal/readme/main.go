// Readme writes into README.md, between their markers, the tables of accuracy
// and sources, one folded table a package, from the reference tables, and the program at the top with its
// output, from examples/firstlook:
//
//	go run ./internal/readme
package main

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/internal/evaluation"
	"example.com/trialfit/internal/reference"
)

const (
	programBegin = "<!-- program: begin; written by go run ./internal/readme -->\n"
	programEnd   = "<!-- program: end -->\n"

	beginMark = "<!-- accuracy: begin; written by go run ./internal/readme -->\n"
	endMark   = "<!-- accuracy: end -->\n"
)

func main() {
	if err := run("."); err != nil {
		fmt.Fprintln(os.Stderr, "readme:", err)
		os.Exit(1)
	}
}

func run(root string) error {
	path := filepath.Join(root, "README.md")
	old, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	text, err := update(string(old), root)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if text == string(old) {
		return nil
	}
	return os.WriteFile(path, []byte(text), 0o644)
}

// update returns the text with what stands between the markers made anew.
func update(text, root string) (string, error) {
	first, err := program(filepath.Join(root, "examples", "firstlook"))
	if err != nil {
		return "", err
	}
	if text, err = between(text, programBegin, programEnd, first); err != nil {
		return "", err
	}
	rows, err := reference.Rows()
	if err != nil {
		return "", err
	}
	return between(text, beginMark, endMark, table(rows))
}

// between replaces the text between two markers.
func between(text, begin, end, with string) (string, error) {
	head, rest, ok1 := strings.Cut(text, begin)
	_, tail, ok2 := strings.Cut(rest, end)
	if !ok1 || !ok2 {
		return "", fmt.Errorf("the marker %q or %q is missing", strings.TrimSpace(begin), strings.TrimSpace(end))
	}
	return head + begin + with + end + tail, nil
}

// program returns main.go and the output that the example in main_test.go
// proves, as two blocks.
func program(dir string) (string, error) {
	code, err1 := os.ReadFile(filepath.Join(dir, "main.go"))
	test, err2 := os.ReadFile(filepath.Join(dir, "main_test.go"))
	if err := errors.Join(err1, err2); err != nil {
		return "", err
	}
	_, after, ok1 := strings.Cut(string(test), "\t// Output:\n")
	output, _, ok2 := strings.Cut(after, "}\n")
	if !ok1 || !ok2 {
		return "", errors.New("main_test.go holds no output")
	}
	return "\n```go\n" + string(code) + "```\n\nprints\n\n```text\n" + strings.ReplaceAll(output, "\t// ", "") + "```\n\n", nil
}

// summary gathers the rows of one quantity.
type summary struct {
	pkg, table, quantity string
	provenances          map[string]int
	sources              []string
	tolerances           []float64
	units                []string
}

// table returns a folded table for each package that has rows.
func table(rows []reference.Row) string {
	var all []*summary
	byQuantity := map[string]*summary{}
	total, outside := map[string]int{}, map[string]int{}
	for _, r := range rows {
		s := byQuantity[r.Quantity]
		if s == nil {
			s = &summary{pkg: packageOf(r), table: r.Table, quantity: r.Quantity, provenances: map[string]int{}}
			byQuantity[r.Quantity] = s
			all = append(all, s)
		}
		s.add(r)
		for _, count := range []string{"", s.pkg} { // all, and of its package
			total[count]++
			if r.OutsideCheck() {
				outside[count]++
			}
		}
	}
	slices.SortStableFunc(all, func(a, b *summary) int {
		return cmp.Or(strings.Compare(a.table, b.table), strings.Compare(a.quantity, b.quantity))
	})
	// In the order of the cases, which is the order of the house.
	var packages []string
	for _, c := range evaluation.All() {
		addNew(&packages, c.Package())
	}
	var b strings.Builder
	fmt.Fprintf(&b, "\n%d rows, %d of them an outside check (verified or computed):\n", total[""], outside[""])
	for _, pkg := range packages {
		fmt.Fprintf(&b, "\n<details>\n<summary>%s: %d rows, %d of them an outside check</summary>\n\n", pkg, total[pkg], outside[pkg])
		b.WriteString("| quantity | rows | tolerance | sources |\n|---|---|---|---|\n")
		for _, s := range all {
			if s.pkg == pkg {
				fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", cell(s.quantity), s.counts(), cell(s.tolerance()), cell(s.sourceText()))
			}
		}
		b.WriteString("\n</details>\n")
	}
	b.WriteString("\n")
	return b.String()
}

// packageOf returns the package whose case computes the row.
func packageOf(r reference.Row) string {
	return evaluation.Evaluate(r).Case.Package()
}

func (s *summary) add(r reference.Row) {
	s.provenances[r.Provenance]++
	addNew(&s.sources, shortSource(r.Source))
	res := evaluation.Evaluate(r)
	s.tolerances = append(s.tolerances, res.Tolerance)
	if r.Unit != "" && r.Unit != "1" {
		addNew(&s.units, r.Unit)
	}
}

func addNew(list *[]string, s string) {
	if !slices.Contains(*list, s) {
		*list = append(*list, s)
	}
}

// shortSource drops the page, so that a book is listed once.
func shortSource(s string) string {
	for _, mark := range []string{", p. ", ", pp. ", " p. ", " pp. "} {
		if i := strings.Index(s, mark); i > 0 {
			s = s[:i]
		}
	}
	return s
}

func (s *summary) counts() string {
	var parts []string
	for _, p := range reference.Provenances() {
		if n := s.provenances[p]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, p))
		}
	}
	return strings.Join(parts, ", ")
}

func (s *summary) tolerance() string {
	lo, hi := slices.Min(s.tolerances), slices.Max(s.tolerances)
	figure := func(x float64) string {
		if x == 0 {
			return "exact"
		}
		return strconv.FormatFloat(x, 'g', 2, 64)
	}
	text := figure(lo)
	if figure(hi) != text {
		text += " to " + figure(hi)
	}
	if hi > 0 && len(s.units) == 1 {
		text += " " + s.units[0]
	}
	return text
}

func (s *summary) sourceText() string {
	const most = 2
	if len(s.sources) <= most {
		return strings.Join(s.sources, "; ")
	}
	return strings.Join(s.sources[:most], "; ") + fmt.Sprintf("; and %d more", len(s.sources)-most)
}

// cell keeps a text inside its cell.
func cell(s string) string { return strings.ReplaceAll(s, "|", `\|`) }
