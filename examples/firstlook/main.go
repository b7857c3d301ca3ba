package main

import (
	"fmt"
	"log"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func main() {
	in, deg := units.MustParseLength, units.MustParseCrankAngle
	lobe := camtiming.LobeFigures{
		LobeLift: units.Some(in("0.300 in")),
		Durations: []camtiming.DurationAt{
			{Lift: in("0.050 in"), Duration: deg("218 deg")},
			{Lift: in("0.100 in"), Duration: deg("176 deg")},
		},
	}
	cam, err := camtiming.Card{
		Intake: lobe, IntakeCenterline: units.Some(deg("106 deg")),
		Exhaust: lobe, ExhaustCenterline: units.Some(deg("114 deg")),
	}.Cam()
	if err != nil {
		log.Fatal(err)
	}
	// Intake lifter minus exhaust lifter at top dead center, of overlap and of firing.
	overlap, firing := in("0.0168 in"), in("0.0010 in")
	read, err := cam.Split(camtiming.SplitReading{
		Difference: units.WithU(overlap, in("0.0005 in")),
		Zero:       units.Some(units.WithU(firing, in("0.0005 in"))),
		TDC:        deg("0.25 deg"), // how well top dead center is known
		Proof:      camtiming.Proof{Kind: camtiming.MovesWithCrank},
	})
	if err != nil {
		log.Fatal(err)
	}
	a := read.Advance
	fmt.Printf("installed advance %s, u = %s; the card says 4\n", a.Value.Text(1), a.U.Text(1))
}
