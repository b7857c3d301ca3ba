// Validation computes every row of the reference tables with the library and
// prints what was expected, what came out, and how far apart they are.
//
//	go run ./examples/validation [-json] [-table NAME]
//
// The exit code is 0 if every row agrees, 1 if one does not, 2 if the
// arguments or the tables are unusable.
package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strconv"
	"text/tabwriter"

	"example.com/trialfit/internal/evaluation"
	"example.com/trialfit/internal/reference"
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// line is one row of the report.
type line struct {
	Table        string `json:"table"`
	ID           string `json:"id"`
	Quantity     string `json:"quantity"`
	Inputs       string `json:"inputs"`
	Expected     string `json:"expected"`
	Unit         string `json:"unit"`
	Computed     string `json:"computed"`
	Error        string `json:"error"`
	Tolerance    string `json:"tolerance"`
	Pass         bool   `json:"pass"`
	OutsideCheck bool   `json:"outsideCheck"`
	Provenance   string `json:"provenance"`
	Source       string `json:"source"`
	Note         string `json:"note,omitempty"`
	Problem      string `json:"problem,omitempty"`
}

func run(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("validation", flag.ContinueOnError)
	flags.SetOutput(errs)
	asJSON := flags.Bool("json", false, "print one JSON array instead of a table")
	table := flags.String("table", "", "only the rows of the table of this `NAME`")
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return 0
		}
		return 2
	}
	if flags.NArg() > 0 {
		fmt.Fprintf(errs, "validation: unexpected argument %q\n", flags.Arg(0))
		return 2
	}
	rows, err := reference.Rows()
	if err != nil {
		fmt.Fprintln(errs, "validation:", err)
		return 2
	}
	var lines []line
	failed, outside := 0, 0
	for _, r := range rows {
		if *table != "" && r.Table != *table {
			continue
		}
		l := lineOf(evaluation.Evaluate(r))
		lines = append(lines, l)
		if !l.Pass {
			failed++
		}
		if l.OutsideCheck {
			outside++
		}
	}
	if len(lines) == 0 {
		fmt.Fprintf(errs, "validation: no table is called %q\n", *table)
		return 2
	}
	if *asJSON {
		e := json.NewEncoder(out)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		err = e.Encode(lines)
	} else {
		err = printTable(out, lines)
		if err == nil {
			_, err = fmt.Fprintf(out, "\n%d rows: %d agree, %d do not; %d count as an outside check\n",
				len(lines), len(lines)-failed, failed, outside)
		}
	}
	switch {
	case err != nil:
		fmt.Fprintln(errs, "validation:", err)
		return 2
	case failed > 0:
		return 1
	default:
		return 0
	}
}

func lineOf(res evaluation.Result) line {
	r := res.Row
	l := line{
		Table: r.Table, ID: r.ID, Quantity: r.Quantity, Inputs: r.Inputs,
		Expected: r.Expected, Unit: r.Unit, Computed: res.Answer.String(),
		Error: strconv.FormatFloat(res.Error, 'g', 3, 64), Tolerance: strconv.FormatFloat(res.Tolerance, 'g', 3, 64),
		Pass: res.Pass, OutsideCheck: r.OutsideCheck(), Provenance: r.Provenance, Source: r.Source, Note: r.Note,
	}
	if res.Tolerance == 0 {
		l.Tolerance = "exact"
	}
	if res.Err != nil {
		l.Computed, l.Error, l.Problem = "-", "-", res.Err.Error()
	}
	return l
}

func printTable(out io.Writer, lines []line) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "\tid\tquantity\texpected\tcomputed\tunit\terror\ttolerance\tprovenance\tsource")
	for _, l := range lines {
		mark := "ok"
		if !l.Pass {
			mark = "FAIL"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n",
			mark, l.ID, l.Quantity, l.Expected, l.Computed, l.Unit, l.Error, l.Tolerance, l.Provenance, l.Source)
		if l.Problem != "" {
			fmt.Fprintf(w, "\t\t%s\n", l.Problem)
		}
	}
	return w.Flush()
}
