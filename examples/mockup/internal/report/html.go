package report

import (
	_ "embed"
	"html/template"
	"io"
)

//go:embed page.html
var pageText string

// HTML writes the report as one page that needs nothing else. It parses the
// template each time: a page is written once per run.
func (d *Document) HTML(w io.Writer, c Curve) error {
	t, err := template.New("page").Parse(pageText)
	if err != nil {
		return err
	}
	texts, number := d.sources()
	return t.Execute(w, struct {
		*Document
		Lead    string
		Curve   Curve
		Sources []string
		Number  []int
		Nothing string
	}{d, d.lead(), c, texts, number, nothingNext})
}
