// Package reference holds the reference tables against which the library is
// tested: one CSV file per topic, one row per figure, each row with its source
// and with how well that source is attested. The package imports nothing of
// the library; package evaluation compares the two.
package reference

import (
	"embed"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
)

//go:embed tables/*.csv
var tables embed.FS

// Row is one figure of a reference table.
type Row struct {
	Table      string // file name without the extension
	ID         string // unique over all tables
	Quantity   string // what is asked; selects the evaluation
	Inputs     string // "name=value; name=value"
	Expected   string // the figure as printed
	Unit       string // unit of Expected; "1" for a ratio, "" for text
	Tolerance  string // "" is half a unit of the last printed digit
	Source     string // author, title, edition, page
	Provenance string // one of Provenances
	Note       string // why the tolerance is wider, how the figure reads
}

// Columns returns the header that every table carries.
func Columns() []string {
	return []string{"id", "quantity", "inputs", "expected", "unit", "tolerance", "source", "provenance", "note"}
}

// Provenances returns the known words for how well a figure is attested.
func Provenances() []string {
	return []string{"verified", "verified (secondary)", "computed", "derived", "memory", "common practice"}
}

// OutsideCheck reports whether the row counts as a check of the library from
// outside: read in a source, or computed by a closed form or another program.
func (r Row) OutsideCheck() bool {
	switch r.Provenance {
	case "verified", "verified (secondary)", "computed":
		return true
	default:
		return false
	}
}

// Input returns the value of a named input.
func (r Row) Input(name string) (string, error) {
	for part := range strings.SplitSeq(r.Inputs, ";") {
		k, v, ok := strings.Cut(part, "=")
		if ok && strings.TrimSpace(k) == name {
			return strings.TrimSpace(v), nil
		}
	}
	return "", fmt.Errorf("reference: row %s has no input %q", r.ID, name)
}

// InputNames returns the names of the inputs in order.
func (r Row) InputNames() []string {
	var names []string
	for part := range strings.SplitSeq(r.Inputs, ";") {
		if k, _, ok := strings.Cut(part, "="); ok {
			names = append(names, strings.TrimSpace(k))
		}
	}
	return names
}

// Rows returns every row of every table, tables in the order of their names
// and rows in the order of the file. It refuses a table with other columns, a
// row without id, quantity, expectation or source, an unknown provenance,
// inputs in another form than name=value, and an id used twice.
func Rows() ([]Row, error) { return load(tables) }

func load(fsys fs.FS) ([]Row, error) {
	names, err := fs.Glob(fsys, "tables/*.csv")
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	var rows []Row
	seen := map[string]string{} // id -> table
	for _, name := range names {
		f, err := fsys.Open(name)
		if err != nil {
			return nil, err
		}
		table := strings.TrimSuffix(path.Base(name), ".csv")
		part, err := read(table, f)
		if err = errors.Join(err, f.Close()); err != nil {
			return nil, err
		}
		for _, r := range part {
			if other, twice := seen[r.ID]; twice {
				return nil, fmt.Errorf("reference: id %q of table %s is already in table %s", r.ID, table, other)
			}
			seen[r.ID] = table
		}
		rows = append(rows, part...)
	}
	return rows, nil
}

func read(table string, in io.Reader) ([]Row, error) {
	c := csv.NewReader(in)
	c.Comment = '#'
	c.FieldsPerRecord = len(Columns())
	header, err := c.Read()
	if err != nil {
		return nil, fmt.Errorf("reference: table %s: %w", table, err)
	}
	if !slices.Equal(header, Columns()) {
		return nil, fmt.Errorf("reference: table %s: want the columns %s", table, strings.Join(Columns(), ","))
	}
	var rows []Row
	for {
		f, err := c.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		if err != nil {
			return nil, fmt.Errorf("reference: table %s: %w", table, err)
		}
		r := Row{table, f[0], f[1], f[2], f[3], f[4], f[5], f[6], f[7], f[8]}
		if err := r.validate(); err != nil {
			line, _ := c.FieldPos(0)
			return nil, fmt.Errorf("reference: table %s line %d, row %q: %w", table, line, r.ID, err)
		}
		rows = append(rows, r)
	}
}

func (r Row) validate() error {
	for _, f := range []struct{ name, value string }{
		{"id", r.ID}, {"quantity", r.Quantity}, {"expected", r.Expected}, {"source", r.Source},
	} {
		if f.value == "" || f.value != strings.TrimSpace(f.value) {
			return fmt.Errorf("want a non-empty %s without spaces around it", f.name)
		}
	}
	if strings.ContainsAny(r.ID, " ,;/") {
		return errors.New("an id has no space, comma, semicolon or slash")
	}
	if !slices.Contains(Provenances(), r.Provenance) {
		return fmt.Errorf("unknown provenance %q", r.Provenance)
	}
	if r.Inputs == "" {
		return nil
	}
	names := map[string]bool{}
	for part := range strings.SplitSeq(r.Inputs, ";") {
		k, v, ok := strings.Cut(part, "=")
		k, v = strings.TrimSpace(k), strings.TrimSpace(v)
		if !ok || k == "" || v == "" {
			return fmt.Errorf("input %q: want name=value", strings.TrimSpace(part))
		}
		if names[k] {
			return fmt.Errorf("input %q given twice", k)
		}
		names[k] = true
	}
	return nil
}
