package main

import (
	"fmt"
	"log"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func main() {
	in, deg := units.MustParseLength, units.MustParseCrankAngle
	lobe := camtiming.LobeFigures{LobeLift: units.Some(in("0.300 in")), Durations: []camtiming.DurationAt{{Lift: in("0.050 in"), Duration: deg("218 deg")}}}
	cam, err := camtiming.Card{Intake: lobe, Exhaust: lobe, IntakeCenterline: units.Some(deg("106 deg")), ExhaustCenterline: units.Some(deg("114 deg"))}.Cam()
	if err != nil {
		log.Fatal(err)
	}
	// Intake lifter minus exhaust lifter at top dead center of overlap.
	read, err := cam.Split(camtiming.SplitReading{Difference: units.WithU(in("0.0205 in"), in("0.0005 in")), TDC: deg("0.25 deg"), Proof: camtiming.Proof{Kind: camtiming.MovesWithCrank}})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("installed advance", read.Advance.Value.Text(1), "with u =", read.Advance.U.Text(1), "- the card says 4")
}
