// Lashsheet prints the list by which the valves of the workboat's straight-six
// are set, and what corrects the lashes that were read.
//
// Usage:
//
//	lashsheet [-plan PLAN] [-start ANGLE]
//
// The flags:
//
//	-plan PLAN    "rocking": cylinder by cylinder while its companion rocks;
//	              "two": two stops; "one": valve by valve, for any cam;
//	              "fewest": the fewest stops
//	-start ANGLE  where the crank stands, as crank degrees after firing TDC of
//	              cylinder 1, "90 deg"
//
// The engine and its readings are invented. Exit codes: 0 for a sheet, 1 if it
// could not be written, 2 for bad input.
package main

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

const (
	exitSheet  = 0
	exitOutput = 1
	exitInput  = 2
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("lashsheet", flag.ContinueOnError)
	flags.SetOutput(errs)
	plan := flags.String("plan", "rocking", `"rocking", "two", "one" or "fewest"`)
	start := flags.String("start", "0 deg", "where the crank stands")
	if err := flags.Parse(args); err != nil {
		return exitInput
	}
	var text bytes.Buffer
	if err := write(&text, *plan, *start, flags.Args()); err != nil {
		fmt.Fprintln(errs, "lashsheet:", err)
		return exitInput
	}
	if _, err := out.Write(text.Bytes()); err != nil {
		fmt.Fprintln(errs, "lashsheet:", err)
		return exitOutput
	}
	return exitSheet
}

// setting is the workboat's engine and the windows in which its valves are closed.
func setting() (firingorder.LashSetting, error) {
	l, err := firingorder.Inline(firingorder.InlineConfig{Crank: firingorder.SixEven, NumberedFrom: firingorder.FreeEnd, Rotation: firingorder.Clockwise})
	if err != nil {
		return firingorder.LashSetting{}, err
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: firingorder.Order{1, 5, 3, 6, 2, 4}})
	if err != nil {
		return firingorder.LashSetting{}, err
	}
	deg := units.CrankDegree
	closed, err := camtiming.Events{IVO: 12 * deg, IVC: 48 * deg, EVO: 50 * deg, EVC: 14 * deg}.ClosedWindows(10 * deg)
	return firingorder.LashSetting{Engine: e, Closed: []firingorder.ClosedValves{closed}}, err
}

func planOf(c firingorder.LashSetting, name string) (firingorder.LashPlan, error) {
	switch name {
	case "rocking":
		return c.AtOverlap()
	case "two":
		return c.TwoPositions(1)
	case "one":
		return c.OneAtATime()
	case "fewest":
		return c.ShortestPlan(firingorder.PlanRule{})
	default:
		return firingorder.LashPlan{}, fmt.Errorf("unknown plan %q", name)
	}
}

// readings are the lashes as found before the work.
func readings() []valvetrain.LashReading {
	um := units.Micrometer
	read := func(cylinder int, v firingorder.Valve, lash units.Length) valvetrain.LashReading {
		return valvetrain.LashReading{Cylinder: cylinder, Valve: v, Lash: units.WithU(lash, 10*um)}
	}
	return []valvetrain.LashReading{
		read(1, firingorder.IntakeValve, 300*um), read(1, firingorder.ExhaustValve, 420*um),
		read(2, firingorder.IntakeValve, 230*um), read(3, firingorder.ExhaustValve, 620*um),
	}
}

func write(w io.Writer, plan, start string, rest []string) error {
	if len(rest) > 0 {
		return fmt.Errorf("unexpected argument %q", rest[0])
	}
	from, err := units.ParseCrankAngle(start)
	if err != nil {
		return err
	}
	c, err := setting()
	if err != nil {
		return err
	}
	p, err := planOf(c, plan)
	if err != nil {
		return err
	}
	card := units.Source{Text: "the engine's card", Provenance: units.Stated}
	um := units.Micrometer
	sheet, err := valvetrain.SheetJob{
		Engine: c.Engine, Plan: p, Start: from,
		Intake:  valvetrain.ValveSetting{Lash: 300 * um, State: valvetrain.ColdEngine, Limits: units.Some(units.Between(250*um, 350*um, card))},
		Exhaust: valvetrain.ValveSetting{Lash: 450 * um, State: valvetrain.ColdEngine, Limits: units.Some(units.Between(400*um, 500*um, card))},
	}.Sheet()
	if err != nil {
		return err
	}
	fmt.Fprintln(w, "Valves of the workboat's straight-six, firing", c.Engine.Order())
	fmt.Fprintln(w, "\nCautions")
	for _, x := range sheet.Cautions() {
		fmt.Fprintln(w, "  -", x.Text)
	}
	for i, stop := range sheet.Stops {
		fmt.Fprintf(w, "\nStop %d: %s\n", i+1, where(stop))
		for _, l := range stop.Lines {
			fmt.Fprintf(w, "  [ ] %s\n", line(l))
		}
	}
	fmt.Fprintf(w, "\n%s of crank in all.\n", strings.TrimSuffix(sheet.Turned.Text(0), " crank deg")+" degrees")
	return record(w, sheet)
}

// where says how to come to a stop and how to know it.
func where(s valvetrain.SheetStop) string {
	t := "the crank stays where it is"
	if s.Turn > 0 {
		t = "turn the crank on by " + strings.TrimSuffix(s.Turn.Text(0), " crank deg") + " degrees in normal rotation"
	}
	if s.Firing > 0 {
		t += fmt.Sprintf(", cylinder %d at firing TDC", s.Firing)
	}
	if s.Overlap > 0 {
		t += fmt.Sprintf(" and the valves of %d rocking", s.Overlap)
	}
	return t
}

func mm(l units.Length) string { return l.Text(units.Millimeters, 2) }

func line(l valvetrain.SheetLine) string {
	name := fmt.Sprintf("%-7s %d", l.Valve, l.Cylinder)
	if !l.Blades.Given {
		return name + "  zero lash, then down " + l.Setting.Preload.String()
	}
	t := fmt.Sprintf("%s  %s %s; blade %s passes", name, mm(l.Setting.Lash), l.Setting.State, mm(l.Blades.Value.Go))
	if b := l.Blades.Value.NoGo; b.Given {
		t += ", " + mm(b.Value) + " does not"
	}
	return t
}

// record writes what comes of the readings.
func record(w io.Writer, s valvetrain.AdjustmentSheet) error {
	r, err := s.Record(valvetrain.LashRecord{
		Readings: readings(), Of: 24,
		Adjuster: units.Some(valvetrain.Adjuster{Place: valvetrain.AtPushrod, Thread: valvetrain.Thread{Pitch: units.Millimeter}, Ratio: 1.5}),
	})
	if err != nil {
		return err
	}
	fmt.Fprintln(w, "\nAs found")
	for _, l := range r.Lines {
		fmt.Fprintf(w, "  %-7s %d  %s read, %s wanted: %s", l.Reading.Valve, l.Reading.Cylinder, mm(l.Reading.Lash.Value), mm(l.Setting.Lash), l.Verdict.Value.Outcome)
		if way := "down"; l.Verdict.Value.Outcome != units.ProvedWithin {
			if l.Back {
				way = "back"
			}
			fmt.Fprintf(w, "; adjuster %s %s, leaves %s", way, l.Turns.Value, mm(l.After))
		}
		fmt.Fprintln(w)
	}
	fmt.Fprintf(w, "  %d valves not read\n", len(r.Unread))
	return nil
}
