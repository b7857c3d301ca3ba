package reference

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

const header = "id,quantity,inputs,expected,unit,tolerance,source,provenance,note\n"

func TestRows(t *testing.T) {
	rows, err := Rows()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 90 {
		t.Errorf("only %d rows: want at least the unit factors", len(rows))
	}
	for _, r := range rows {
		// A source names a publication or says what it is, never an address.
		for _, bad := range []string{"http", "www.", ".com", ".org", ".edu", ".gov", ".net"} {
			if s := strings.ToLower(r.Source + r.Note); strings.Contains(s, bad) {
				t.Errorf("row %s: the source or note holds %q", r.ID, bad)
			}
		}
	}
}

func TestLoadRefuses(t *testing.T) {
	good := "a-1,length,x=1 in,25.4,mm,,a handbook,verified,\n"
	tests := []struct {
		name  string
		files map[string]string
		want  string
	}{
		{"good", map[string]string{"a": header + good}, ""},
		{"comment", map[string]string{"a": "# text\n" + header + good}, ""},
		{"other columns", map[string]string{"a": strings.Replace(header, "note", "remark", 1) + good}, "want the columns"},
		{"empty file", map[string]string{"a": ""}, "EOF"},
		{"short record", map[string]string{"a": header + "a-1,length\n"}, "wrong number of fields"},
		{"no source", map[string]string{"a": header + "a-1,length,x=1 in,25.4,mm,,,verified,\n"}, "non-empty source"},
		{"blank source", map[string]string{"a": header + "a-1,length,x=1 in,25.4,mm,, ,verified,\n"}, "non-empty source"},
		{"no id", map[string]string{"a": header + ",length,x=1 in,25.4,mm,,s,verified,\n"}, "want a non-empty id"},
		{"id with space", map[string]string{"a": header + "a 1,length,x=1 in,25.4,mm,,s,verified,\n"}, "an id has no space"},
		{"no quantity", map[string]string{"a": header + "a-1,,x=1 in,25.4,mm,,s,verified,\n"}, "non-empty quantity"},
		{"no expectation", map[string]string{"a": header + "a-1,length,x=1 in,,mm,,s,verified,\n"}, "non-empty expected"},
		{"unknown provenance", map[string]string{"a": header + "a-1,length,x=1 in,25.4,mm,,s,seen,\n"}, `unknown provenance "seen"`},
		{"loose input", map[string]string{"a": header + "a-1,length,1 in,25.4,mm,,s,verified,\n"}, "want name=value"},
		{"input twice", map[string]string{"a": header + "a-1,length,x=1 in; x=2 in,25.4,mm,,s,verified,\n"}, "given twice"},
		{"id twice", map[string]string{"a": header + good + good}, "already in table a"},
		{"id in two tables", map[string]string{"a": header + good, "b": header + good}, "of table b is already in table a"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			fsys := fstest.MapFS{}
			for name, text := range tt.files {
				fsys["tables/"+name+".csv"] = &fstest.MapFile{Data: []byte(text)}
			}
			rows, err := load(fsys)
			switch {
			case tt.want == "" && err != nil:
				t.Errorf("refused: %v", err)
			case tt.want != "" && err == nil:
				t.Errorf("accepted %v, want an error with %q", rows, tt.want)
			case tt.want != "" && !strings.Contains(err.Error(), tt.want):
				t.Errorf("error %q lacks %q", err, tt.want)
			case tt.want != "" && rows != nil:
				t.Error("rows returned with an error")
			}
		})
	}
}

func TestLoadKeepsEveryColumn(t *testing.T) {
	text := "# a comment\n" + header +
		`a-1,length,"x=1 in; y=2 in",25.4,mm,exact,"A. Author, A Book, 2nd ed., p. 3",verified,a note` + "\n"
	rows, err := load(fstest.MapFS{"tables/one.csv": {Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	want := []Row{{
		Table: "one", ID: "a-1", Quantity: "length", Inputs: "x=1 in; y=2 in", Expected: "25.4", Unit: "mm",
		Tolerance: "exact", Source: "A. Author, A Book, 2nd ed., p. 3", Provenance: "verified", Note: "a note",
	}}
	if diff := cmp.Diff(want, rows); diff != "" {
		t.Errorf("rows differ (-want +got):\n%s", diff)
	}
}

func TestInput(t *testing.T) {
	r := Row{ID: "a-1", Inputs: "bore=3.5 in;  cam = 110 cam deg"}
	if v, err := r.Input("cam"); err != nil || v != "110 cam deg" {
		t.Errorf(`Input("cam") = %q, %v`, v, err)
	}
	if v, err := r.Input("ca"); err == nil {
		t.Errorf(`Input("ca") = %q, want an error`, v)
	}
	if got := strings.Join(r.InputNames(), "|"); got != "bore|cam" {
		t.Errorf("InputNames = %q", got)
	}
}

func TestOutsideCheck(t *testing.T) {
	want := map[string]bool{
		"verified": true, "verified (secondary)": true, "computed": true,
		"derived": false, "memory": false, "common practice": false,
	}
	for _, p := range Provenances() {
		w, ok := want[p]
		if got := (Row{Provenance: p}).OutsideCheck(); !ok || got != w {
			t.Errorf("OutsideCheck of %q = %v", p, got)
		}
	}
}
