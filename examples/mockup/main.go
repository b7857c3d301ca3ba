// Mockup reads a mock-up sheet, what a builder measured and saw while
// trial-assembling an engine, and reports what it proves: the installed cam
// advance, its cause and its correction, every clearance verdict with its
// limits and their source, and the hand checks that are still open.
//
// Usage:
//
//	mockup [-working] [-json] [-html FILE] [SHEET | -]
//	mockup -schema
//
// Without an argument it runs the embedded sheet, workboat-six.json; "-" reads
// a sheet from standard input. The flags:
//
//	-working    print the derivation of every result
//	-json       write JSON instead of text; field names are stable and
//	            documented with the Document type of internal/report
//	-html FILE  also write a self-contained page that prints well
//	-schema     print the JSON Schema of a sheet and stop
//
// Exit codes:
//
//	0  every check is proved within its limits, every hand check is done or
//	   does not apply, every group of checks is there or does not apply, a
//	   cause that was weighed explains the readings, and everything asked for
//	   was written
//	1  something failed, is not proved, not done, not explained or missing; or
//	   the report or the page could not be written (standard error says so)
//	2  bad input: the sheet cannot be read or is refused (standard error names
//	   the field's path and what was expected), or the command line is wrong
//
// # The sheet
//
// A sheet is JSON. Every quantity is text with its unit, "0.0250 in", "4 deg",
// "12 lbf ft", "68 degF", "85 lbf", "122 cm3"; counts and true ratios are bare
// numbers. Unknown fields, duplicate keys, null and control characters are
// refused; at most 1 MiB is read. The file sheet.schema.json describes every
// field; these are the parts:
//
//	record            who, when, where, temperature
//	decision          "prove at 95 %", "prove beyond U" or "simple acceptance"
//	instruments       name, resolution, standard uncertainty, that of the zero
//	engine            layout by geometry, numbering, rotation, firing order;
//	                  names of the banks, stroke, rod, pin offset
//	cam               the card, whichever figures it prints
//	drive             teeth, keyways, bushings, slack
//	top_dead_center   how it was found and its standard uncertainty
//	wanted            another advance or intake centerline than the card's
//	overlap           intake lifter minus exhaust lifter at overlap top dead
//	                  center, per cylinder, with the zero at firing top dead
//	                  center, the proof that a lifter is up, the approach and
//	                  the position along the cam; tolerances
//	suspects          further faults to weigh, a twist among them
//	bearings          bore and journal readings, plastic gauge, limits
//	rings, ring_grooves, end_play, side_clearance, fits, turning
//	valve_lifts       lifts read at the valves, and the over-travel
//	valve_springs     installed heights, forces from a tester, solid heights;
//	                  shims at hand
//	travel_limits     retainer to guide, to seal, to rocker
//	lash, preload     of solid and of hydraulic lifters, with the adjuster
//	lifter_fits       bores and bodies
//	deck              pistons at top dead center, both sides
//	head_gasket       the one to be fitted and those at hand
//	compression       chambers and crowns by burette; ratio, piston to head
//	valve_to_piston   what the valves meet, and gaps measured by clay or over a
//	                  checking spring
//	oil_film          oil, temperature, speed, loads: ranks clearances
//	hand              the checks a hand does and no number shows, each done,
//	                  not done or not applicable with its reason
//	not_applicable    groups of checks that do not apply, each with its reason
//
// From rings to valve_to_piston every group may be left out. It is then named as
// missing and nothing is called proved, unless not_applicable gives a reason why
// the engine does not need it; the report repeats the reason. The cam timing and
// the hand checks cannot be declared away.
//
// Limits are the sheet's own and name their source; rules of thumb stand beside
// them, are labeled common practice and decide nothing. Where nobody gives a
// figure for an end gap, for a travel limit or for the gap between valve and
// piston, it is held against the rule of thumb; within it nothing is proved, and
// the report says so. An oil film is computed for a steady load, which an engine
// has not: it ranks clearances, enters no verdict and is never missing.
package main

import (
	"bytes"
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"

	"example.com/trialfit/examples/mockup/internal/assess"
	"example.com/trialfit/examples/mockup/internal/report"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/examples/mockup/sheets"
	"example.com/trialfit/units"
)

// The exit codes.
const (
	exitProved   = 0 // every check is proved within, nothing is open or missing
	exitUnproved = 1 // something failed, output included, or is not proved
	exitInput    = 2 // the sheet or the command line is not usable
)

//go:embed sheet.schema.json
var schema []byte

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	fs := flag.NewFlagSet("mockup", flag.ContinueOnError)
	fs.SetOutput(stderr)
	fs.Usage = func() {
		fmt.Fprintln(stderr, "usage: mockup [-working] [-json] [-html FILE] [SHEET | -]")
		fs.PrintDefaults()
	}
	working := fs.Bool("working", false, "print the derivation of every result")
	asJSON := fs.Bool("json", false, "write JSON instead of text")
	page := fs.String("html", "", "write a self-contained page to `FILE` as well")
	printSchema := fs.Bool("schema", false, "print the JSON Schema of a sheet and stop")
	if err := fs.Parse(args); err != nil {
		if err == flag.ErrHelp { //nolint:errorlint // returned as such by Parse
			return exitProved
		}
		return exitInput
	}
	if *printSchema {
		return written(stderr, write(stdout, schema), exitProved)
	}
	s, err := load(fs.Args(), stdin)
	if err != nil {
		fmt.Fprintln(stderr, "mockup:", err)
		return exitInput
	}
	res, err := assess.Evaluate(&s)
	if err != nil {
		fmt.Fprintln(stderr, "mockup:", err)
		return exitInput
	}
	doc := report.New(res, *working)
	out := doc.Text
	if *asJSON {
		out = doc.JSON
	}
	code := exitProved
	if res.Outcome != units.ProvedWithin {
		code = exitUnproved
	}
	code = written(stderr, out(stdout), code)
	if *page != "" {
		var b bytes.Buffer
		err := doc.HTML(&b, report.NewCurve(res))
		if err == nil {
			err = os.WriteFile(*page, b.Bytes(), 0o644)
		}
		code = written(stderr, err, code)
	}
	return code
}

// load reads the sheet that the arguments name.
func load(args []string, stdin io.Reader) (sheet.Sheet, error) {
	switch {
	case len(args) > 1:
		return sheet.Sheet{}, fmt.Errorf("want at most one sheet, found %d", len(args))
	case len(args) == 0:
		return sheet.Parse(sheets.Default())
	case args[0] == "-":
		return sheet.Read(stdin)
	}
	f, err := os.Open(args[0])
	if err != nil {
		return sheet.Sheet{}, err
	}
	defer f.Close()
	return sheet.Read(f)
}

func write(w io.Writer, b []byte) error {
	_, err := w.Write(b)
	return err
}

// written reports a failure to write; code is what to return without one.
func written(stderr io.Writer, err error, code int) int {
	if err != nil {
		fmt.Fprintln(stderr, "mockup:", err)
		return exitUnproved
	}
	return code
}
