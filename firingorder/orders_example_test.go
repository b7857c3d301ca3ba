package firingorder_test

import (
	"fmt"
	"log"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// The crank stands 100 degrees past firing TDC of cylinder 1. By hand: cylinder 5
// fires at 120 and is 20 degrees short of it.
func ExampleEngine_AppendPhases() {
	phases, err := workboat().AppendPhases(nil, 100*units.CrankDegree)
	if err != nil {
		log.Fatal(err)
	}
	for i, p := range phases {
		fmt.Println(i+1, p.Angle, p.Stroke)
	}
	// Output:
	// 1 -260 crank deg power
	// 2 -20 crank deg exhaust
	// 3 220 crank deg compression
	// 4 -140 crank deg exhaust
	// 5 340 crank deg compression
	// 6 100 crank deg intake
}

// At 405 degrees the second cylinder of a 45 degree twin fires; the next is the
// first, 315 degrees later.
func ExampleEngine_NextToFire() {
	n, err := oddTwin().NextToFire(405 * units.CrankDegree)
	fmt.Println(n.Cylinder, n.In, err)
	for _, s := range n.Working() {
		fmt.Printf("%s = %s = %s\n", s.Symbol, s.Numbers, s.Value)
	}
	// Output:
	// 1 315 crank deg <nil>
	// f = 720 = 720 crank deg
	// in = 720 - 405 = 315 crank deg
}

// Three coils for the workboat's six; none can be shared on the odd twin.
func ExampleEngine_LostSparkPairs() {
	pairs, err := workboat().LostSparkPairs()
	fmt.Println(pairs, err)
	_, err = oddTwin().LostSparkPairs()
	fmt.Println(err)
	// Output:
	// [{1 6 0 crank deg} {5 2 120 crank deg} {3 4 240 crank deg}] <nil>
	// firingorder: cylinder: "1": impossible: has no companion: no cylinder is at overlap TDC while it fires
}

// The leads of the workboat's distributor, whose rotor turns counter-clockwise
// as one looks onto the cap: 5 is a sixth of a turn further that way.
func ExampleEngine_Distributor() {
	d, err := workboat().Distributor(firingorder.CounterClockwise)
	if err != nil {
		log.Fatal(err)
	}
	for _, t := range d.Terminals {
		fmt.Printf("cylinder %d: %v with the rotor, %.0f degrees clockwise\n", t.Cylinder, t.FromOne, t.Clockwise.Angle().Degrees())
	}
	// Output:
	// cylinder 1: 0/1 turn with the rotor, 0 degrees clockwise
	// cylinder 5: 1/6 turn with the rotor, 300 degrees clockwise
	// cylinder 3: 1/3 turn with the rotor, 240 degrees clockwise
	// cylinder 6: 1/2 turn with the rotor, 180 degrees clockwise
	// cylinder 2: 2/3 turn with the rotor, 120 degrees clockwise
	// cylinder 4: 5/6 turn with the rotor, 60 degrees clockwise
}

// One cam in the valley of a two-plane V8, its followers 90 degrees apart: the
// lobes do not pass in firing order. By hand for cylinder 8: it fires 90 crank
// degrees after 1, 45 of the cam, and its follower stands 90 before: -90 - 45.
func ExampleEngine_CamLobes() {
	order, err := firingorder.ParseOrder("1-8-4-3-6-5-7-2")
	if err != nil {
		log.Fatal(err)
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: twoPlaneV8(), Order: order})
	if err != nil {
		log.Fatal(err)
	}
	back, err := firingorder.Degrees(-90)
	if err != nil {
		log.Fatal(err)
	}
	lobes, err := e.CamLobes(firingorder.CamConfig{
		Direction: firingorder.WithCrank,
		Followers: []firingorder.Follower{{Bank: "A"}, {Bank: "B", Intake: back, Exhaust: back}},
	})
	if err != nil {
		log.Fatal(err)
	}
	for _, l := range lobes {
		fmt.Println(l.Cylinder, l.Intake)
	}
	// Output:
	// 1 0 cam deg
	// 2 315 cam deg
	// 8 225 cam deg
	// 3 225 cam deg
	// 4 180 cam deg
	// 5 135 cam deg
	// 6 90 cam deg
	// 7 90 cam deg
}

// With lobes 110 cam degrees apart the exhaust nose of cylinder 1 leads its
// intake nose by as much, and that of cylinder 6 stands half a turn on.
func ExampleCamLobe_ExhaustAt() {
	lobes, err := workboat().CamLobes(firingorder.CamConfig{Direction: firingorder.AgainstCrank})
	if err != nil {
		log.Fatal(err)
	}
	for _, l := range lobes {
		if l.Cylinder == 1 || l.Cylinder == 6 {
			at, err := l.ExhaustAt(110 * units.CamDegree)
			fmt.Println(l.Cylinder, l.Intake, at, err)
		}
	}
	// Output:
	// 1 0 cam deg 110 cam deg <nil>
	// 6 180 cam deg 290 cam deg <nil>
}

func ExampleCamLobe_Working() {
	lobes, err := workboat().CamLobes(firingorder.CamConfig{Direction: firingorder.WithCrank})
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range lobes[1].Working()[:2] {
		fmt.Printf("%s = %s = %s\n", s.Symbol, s.Numbers, s.Value)
	}
	// Output:
	// lag = 120/2 = 60.000 cam deg
	// intake lobe = 0.000 cam deg - 60.000 cam deg = 300.000 cam deg
}

// Nine cylinders, the ring turning against the crank: 80 degrees to the next
// cylinder and 10 of the ring make the lobe pitch of 90.
func ExampleRadialCamRing() {
	r, err := firingorder.RadialCamRing(9, firingorder.AgainstCrank)
	fmt.Printf("%d lobes, 1/%d of crank speed, %v\n", r.Lobes, r.SpeedDivisor, err)
	for _, t := range []firingorder.Turn{r.CylinderStep, r.RingStep, r.LobePitch} {
		fmt.Println(t.Angle().Degrees())
	}
	// Output:
	// 4 lobes, 1/8 of crank speed, <nil>
	// 80
	// 10
	// 90
}

// workboatLash is the workboat with the windows in which the valves of an
// ordinary cam are certainly down.
func workboatLash() firingorder.LashSetting {
	const deg = units.CrankDegree
	return firingorder.LashSetting{Engine: workboat(), Closed: []firingorder.ClosedValves{{
		Intake:  firingorder.Window{From: 280 * deg, To: -90 * deg},
		Exhaust: firingorder.Window{From: 80 * deg, To: -280 * deg},
	}}}
}

// Cylinder 1 stands at firing TDC. By hand for the intake valve of 4: it fired 120
// degrees before, stands at -240, and may be set until -90.
func ExampleLashSetting_AppendFree() {
	free, err := workboatLash().AppendFree(nil, 0)
	for _, f := range free {
		fmt.Println(f.Cylinder, f.Valve, f.Room)
	}
	fmt.Println(err)
	// Output:
	// 1 intake 80 crank deg
	// 1 exhaust 80 crank deg
	// 2 intake 30 crank deg
	// 3 exhaust 40 crank deg
	// 4 intake 150 crank deg
	// 5 exhaust 160 crank deg
	// <nil>
}

// Two positions do, but not at TDC of cylinder 1 if every valve is to have the
// most room. By hand: at 355 the tightest are the intake valve of 5, at -125 with
// 35 degrees to go to -90, and the exhaust valve of 4, at 115 and 35 degrees past 80;
// any other position takes room from one of them.
func ExampleLashSetting_ShortestPlan() {
	p, err := workboatLash().ShortestPlan(firingorder.PlanRule{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("positions:", len(p.Positions), "smallest room:", p.Room)
	for _, at := range p.Positions {
		fmt.Printf("%v:", at.At)
		for _, f := range at.Set {
			fmt.Printf(" %v %d", f.Valve, f.Cylinder)
		}
		fmt.Println()
	}
	// Output:
	// positions: 2 smallest room: 35 crank deg
	// 355 crank deg: exhaust 2 intake 3 exhaust 4 intake 5 intake 6 exhaust 6
	// 715 crank deg: intake 1 exhaust 1 intake 2 exhaust 3 intake 4 exhaust 5
}

// The list of the workshop manuals.
func ExampleLashSetting_TwoPositions() {
	p, err := workboatLash().TwoPositions(1)
	if err != nil {
		log.Fatal(err)
	}
	for _, at := range p.Positions {
		fmt.Printf("%v, cylinder %d at firing TDC, %d rocking:", at.At, at.Firing, at.Overlap)
		for _, f := range at.Set {
			fmt.Printf(" %v %d", f.Valve, f.Cylinder)
		}
		fmt.Println()
	}
	// Output:
	// 0 crank deg, cylinder 1 at firing TDC, 6 rocking: intake 1 exhaust 1 intake 2 exhaust 3 intake 4 exhaust 5
	// 360 crank deg, cylinder 6 at firing TDC, 1 rocking: exhaust 2 intake 3 exhaust 4 intake 5 intake 6 exhaust 6
}

// By hand: the exhaust valve of cylinder 1 begins to open 80 degrees after firing
// TDC, 160 degrees after its intake window began and 190 before it ends.
func ExampleLashSetting_OneAtATime() {
	p, err := workboatLash().OneAtATime()
	if err != nil {
		log.Fatal(err)
	}
	for _, at := range p.Positions[:3] {
		fmt.Println(at.At, at.Set[0].Valve, at.Set[0].Cylinder, at.Set[0].Room)
	}
	// Output:
	// 40 crank deg exhaust 5 160 crank deg
	// 80 crank deg intake 1 160 crank deg
	// 160 crank deg exhaust 3 160 crank deg
}

// Each cylinder is set while its companion rocks.
func ExampleLashSetting_AtOverlap() {
	p, err := workboatLash().AtOverlap()
	if err != nil {
		log.Fatal(err)
	}
	for _, at := range p.Positions {
		fmt.Printf("%d rocking: set %d\n", at.Overlap, at.Firing)
	}
	// Output:
	// 6 rocking: set 1
	// 2 rocking: set 5
	// 4 rocking: set 3
	// 1 rocking: set 6
	// 5 rocking: set 2
	// 3 rocking: set 4
}

// The rule of thirteen holds on the six with mirrored pairs of valves, and not
// where they alternate: while exhaust 1 is fully open, at -100, cylinder 6 stands at
// 260, and the middle of its intake opening is at 95.
func ExampleLashSetting_SumRule() {
	const in, ex = firingorder.IntakeValve, firingorder.ExhaustValve
	s := workboatLash()
	r, err := s.SumRule([]firingorder.Valve{ex, in, in, ex, ex, in, in, ex, ex, in, in, ex})
	if err != nil {
		log.Fatal(err)
	}
	v, err := r.Partner(3)
	fmt.Println("sum", r.Valves, "- while valve 3 is open set", v, err)
	_, err = s.SumRule([]firingorder.Valve{ex, in, ex, in, ex, in, ex, in, ex, in, ex, in})
	fmt.Println(err)
	// Output:
	// sum 13 - while valve 3 is open set 10 <nil>
	// firingorder: sequence: "valves 1 and 12": impossible: they are of different kinds: while the exhaust valve of cylinder 1 is fully open the intake valve of cylinder 6 stands 165 crank deg from its own peak instead of 360
}

func ExampleSumRule_Partner() {
	v, err := firingorder.SumRule{Cylinders: 5, Valves: 9}.Partner(8)
	fmt.Println(v, err)
	// Output:
	// 1 <nil>
}

func ExampleLashPlan_Working() {
	p, err := workboatLash().TwoPositions(1)
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range p.Working() {
		fmt.Printf("%s: %s\n", s.Value, s.Numbers)
	}
	// Output:
	// 0 crank deg: intake 1 (room 80), exhaust 1 (room 80), intake 2 (room 30), exhaust 3 (room 40), intake 4 (room 150), exhaust 5 (room 160)
	// 360 crank deg: exhaust 2 (room 160), intake 3 (room 150), exhaust 4 (room 40), intake 5 (room 30), intake 6 (room 80), exhaust 6 (room 80)
}

// The exhaust is open from -280 to 80, fully at -100, which is 260 after firing TDC;
// it is closed for 360 degrees. The intake, open from -90 to 280, is fully so at 95
// and closed for 350.
func ExampleSumRule_Working() {
	const in, ex = firingorder.IntakeValve, firingorder.ExhaustValve
	r, err := workboatLash().SumRule([]firingorder.Valve{ex, in, in, ex, ex, in, in, ex, ex, in, in, ex})
	if err != nil {
		log.Fatal(err)
	}
	w := r.Working()
	for _, s := range w[1:4] {
		fmt.Printf("%s: %s: %s\n", s.Symbol, s.Numbers, s.Value)
	}
	fmt.Println(w[len(w)-1].Symbol, w[len(w)-1].Value)
	// Output:
	// valves: 2 x 6 + 1: 13
	// valve 1 open: 13 - 1 = 12: exhaust 1 open at 260, exhaust 6 closed: 180 crank deg
	// valve 2 open: 13 - 2 = 11: intake 1 open at 455, intake 6 closed: 175 crank deg
	// room 175 crank deg
}

func ExampleSparkPair_Working() {
	pairs, err := workboat().LostSparkPairs()
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range pairs[1].Working() {
		fmt.Printf("%s = %s = %s\n", s.Symbol, s.Formula, s.Value)
	}
	// Output:
	// f5 = firing angle = 120 crank deg
	// f2 = f5 + 360 = 480 crank deg
	// cylinder 2 = engine - f - 360 while cylinder 5 fires, mod 720 = 0 crank deg, overlap TDC
}
