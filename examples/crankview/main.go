// Crankview draws a crank layout and a firing order: the crank seen from its end,
// with throws and banks, and the order as a ring with its intervals.
//
// Usage:
//
//	crankview [-layout FILE] [-order ORDER] [-two-stroke] [-second-turn-from N]
//	          [-seen-from END] [-up ANGLE] [-turned ANGLE] [-svg FILE]
//
// Without arguments it shows the straight-six of the workboat. The flags:
//
//	-layout FILE          a layout in JSON as firingorder.ParseLayout reads it;
//	                      "-" is standard input
//	-order ORDER          "1-5-3-6-2-4" or labels, "A1-B5-A5"
//	-two-stroke           the order is that of a two-stroke engine
//	-second-turn-from N   the first cylinder to fire in the second turn, where
//	                      the order leaves it open
//	-seen-from END        "free end" or "driving end"
//	-up ANGLE             the direction that points up, on the scale of the bank
//	                      axes, "90 deg"
//	-turned ANGLE         how far the crank has turned since TDC of cylinder 1
//	-svg FILE             also write the drawing; "-" writes it instead of text
//
// The drawing needs no color and prints in black and white. Its title and its
// description say in words what it shows. Equal input gives equal output.
//
// Exit codes: 0 for a view, 1 if it could not be written, 2 for bad input.
package main

import (
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"
	"strconv"

	"example.com/trialfit/firingorder"
)

//go:embed layouts/workboat-six.json
var workboat []byte

const workboatOrder = "1-5-3-6-2-4"

const (
	exitView   = 0
	exitOutput = 1
	exitInput  = 2
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// scene is what is drawn.
type scene struct {
	engine *firingorder.Engine
	view   firingorder.EndView
	turned firingorder.Turn
	cycle  firingorder.Cycle
}

func run(args []string, in io.Reader, out, errs io.Writer) int {
	flags := flag.NewFlagSet("crankview", flag.ContinueOnError)
	flags.SetOutput(errs)
	layout := flags.String("layout", "", "a layout in JSON, - for standard input")
	order := flags.String("order", "", "the firing order")
	twoStroke := flags.Bool("two-stroke", false, "the order is that of a two-stroke engine")
	second := flags.Int("second-turn-from", 0, "first cylinder to fire in the second turn")
	seenFrom := flags.String("seen-from", "", `"free end" or "driving end"`)
	up := flags.String("up", "", "direction that points up")
	turned := flags.String("turned", "0 deg", "crank angle since TDC of cylinder 1")
	svgFile := flags.String("svg", "", "file for the drawing, - for standard output")
	if err := flags.Parse(args); err != nil {
		return exitInput
	}
	refuse := func(err error) int {
		fmt.Fprintln(errs, "crankview:", err)
		return exitInput
	}
	if flags.NArg() > 0 {
		return refuse(fmt.Errorf("want flags only, not %s", strconv.Quote(flags.Arg(0))))
	}
	data, err := readLayout(*layout, in)
	if err != nil {
		return refuse(err)
	}
	if *layout == "" && *order == "" {
		*order = workboatOrder
	}
	s, err := build(data, sceneText{*order, *seenFrom, *up, *turned, *twoStroke, *second})
	if err != nil {
		return refuse(err)
	}
	fail := func(err error) int {
		fmt.Fprintln(errs, "crankview:", err)
		return exitOutput
	}
	if *svgFile == "-" {
		if _, err := io.WriteString(out, s.svg()); err != nil {
			return fail(err)
		}
		return exitView
	}
	if *svgFile != "" {
		if err := os.WriteFile(*svgFile, []byte(s.svg()), 0o644); err != nil {
			return fail(err)
		}
	}
	if _, err := io.WriteString(out, s.text()); err != nil {
		return fail(err)
	}
	return exitView
}

func readLayout(name string, in io.Reader) ([]byte, error) {
	const most = 64<<10 + 1 // one more than a layout may have
	switch name {
	case "":
		return workboat, nil
	case "-":
		return io.ReadAll(io.LimitReader(in, most))
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, most))
}

// sceneText is the command line.
type sceneText struct {
	order, seenFrom, up, turned string
	twoStroke                   bool
	second                      int
}

func build(data []byte, t sceneText) (*scene, error) {
	l, err := firingorder.ParseLayout(data)
	if err != nil {
		return nil, err
	}
	o, err := l.ParseOrder(t.order)
	if err != nil {
		return nil, err
	}
	s := &scene{}
	if t.twoStroke {
		s.cycle = firingorder.TwoStroke
	}
	s.engine, err = firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: o, Cycle: s.cycle, SecondTurnFrom: t.second})
	if err != nil {
		return nil, err
	}
	if s.turned, err = firingorder.ParseTurn(t.turned); err != nil {
		return nil, err
	}
	c := firingorder.EndViewConfig{Turned: s.turned}
	if t.up != "" {
		up, err := firingorder.ParseTurn(t.up)
		if err != nil {
			return nil, err
		}
		c.Up = &up
	}
	switch t.seenFrom {
	case "":
	case firingorder.FreeEnd.String():
		c.SeenFrom = firingorder.FreeEnd
	case firingorder.DrivingEnd.String():
		c.SeenFrom = firingorder.DrivingEnd
	default:
		return nil, fmt.Errorf("-seen-from %q: want %q or %q", t.seenFrom, firingorder.FreeEnd, firingorder.DrivingEnd)
	}
	s.view, err = l.EndView(c)
	return s, err
}
