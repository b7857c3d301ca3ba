package firingorder_test

import (
	"encoding/json"
	"fmt"
	"log"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func must[T any](v T, err error) T {
	if err != nil {
		log.Fatal(err)
	}
	return v
}

func degrees(list ...int64) []firingorder.Turn {
	var t []firingorder.Turn
	for _, d := range list {
		t = append(t, must(firingorder.Degrees(d)))
	}
	return t
}

// statedV8 is the two-plane V8, odd numbers in the bank on the left seen from the
// driving end, numbered from the free end.
func statedV8() *firingorder.Layout {
	return must(firingorder.V(firingorder.VConfig{
		Crank: firingorder.FourTwoPlane, BankAngle: must(firingorder.Degrees(90)),
		Numbering: firingorder.Alternating, BankOfOne: firingorder.PassedLast,
		NumberedFrom: firingorder.FreeEnd, Rotation: firingorder.Clockwise,
	}))
}

func named(s firingorder.Scheme) *firingorder.Naming {
	return must(firingorder.NewNaming(firingorder.NamingConfig{Layout: statedV8(), Scheme: s}))
}

func ExampleParseTurn() {
	a, err := firingorder.ParseTurn("1/7 turn")
	fmt.Println(a.Angle().Text(3), err)
	_, err = firingorder.ParseTurn("90")
	fmt.Println(err)
	// Output:
	// 51.429 crank deg <nil>
	// firingorder: turn: "90": unit missing or unknown: want a unit: "1/7 turn", "90 deg"
}

func ExampleLayout_OrderText() {
	s, err := statedV8().OrderText(firingorder.Order{1, 8, 4, 3, 6, 5, 7, 2})
	fmt.Println(s, err)
	// Output:
	// A1-B4-B2-A2-B3-A3-A4-B1 <nil>
}

// A V twin of 45 degrees, both rods on one pin.
func ExampleParseLayout() {
	l, err := firingorder.ParseLayout([]byte(`{
		"banks": [{"name": "A", "axis": "0 deg"}, {"name": "B", "axis": "45 deg"}],
		"throws": ["0 deg"],
		"cylinders": [{"bank": "A", "throw": 1}, {"bank": "B", "throw": 1}]
	}`))
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(l.TDC(2))
	_, err = firingorder.ParseLayout([]byte(`{"banks": [{"name": "A", "axis": 0}]}`))
	fmt.Println(err)
	// Output:
	// 45 crank deg <nil>
	// firingorder: banks[0].axis: "0": unit missing or unknown: want text with a unit, "90 deg" or "1/7 turn"
}

func ExampleLayout_MarshalJSON() {
	l := must(firingorder.Radial(firingorder.RadialConfig{Cylinders: 3, Rows: 1, Rotation: firingorder.Clockwise}))
	text, err := json.Marshal(l)
	fmt.Println(string(text), err)
	// Output:
	// {"banks":[{"name":"c1","axis":"0 deg"},{"name":"c2","axis":"120 deg"},{"name":"c3","axis":"240 deg"}],"throws":["0 deg"],"cylinders":[{"bank":"c1","throw":1},{"bank":"c2","throw":1},{"bank":"c3","throw":1}],"rotation_seen_from_free_end":"clockwise"} <nil>
}

func ExampleCrank_Pins() {
	pins, err := firingorder.FourTwoPlane.Pins()
	for _, p := range pins {
		fmt.Print(p.Angle().Text(0), ", ")
	}
	fmt.Println(err)
	// Output:
	// 0 crank deg, 90 crank deg, 270 crank deg, 180 crank deg, <nil>
}

// A broad arrow: three banks 60 degrees apart on one pin. Pistons reach TDC at 0,
// 60 and 120.
func ExampleMultiBank() {
	l, err := firingorder.MultiBank(firingorder.MultiBankConfig{
		Pins: degrees(0), Axes: degrees(0, 60, 120), Numbering: firingorder.Alternating,
	})
	if err != nil {
		log.Fatal(err)
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: firingorder.Order{1, 3, 2}})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(e.Intervals())
	// Output:
	// [120 crank deg 300 crank deg 300 crank deg]
}

func ExampleRadial() {
	l, err := firingorder.Radial(firingorder.RadialConfig{Cylinders: 9, Rows: 1})
	if err != nil {
		log.Fatal(err)
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: firingorder.Order{1, 3, 5, 7, 9, 2, 4, 6, 8}})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(e.Intervals()[0], e.Even())
	// Output:
	// 80 crank deg true
}

// One engine, six names: cylinder 2 is the frontmost of the right bank.
func ExampleScheme() {
	for _, s := range []firingorder.Scheme{
		firingorder.ISO1204(), firingorder.DIN73021(), firingorder.TGL6864(),
		firingorder.SAEJ824A(firingorder.BanksFromLeft), firingorder.SAEJ824B(),
		{Numbering: firingorder.Alternating, CountFrom: firingorder.DrivingEnd},
	} {
		n, err := firingorder.NewNaming(firingorder.NamingConfig{Layout: statedV8(), Scheme: s})
		if err != nil {
			log.Fatal(err)
		}
		fmt.Println(n.Names()[1])
	}
	// Output:
	// B4
	// 1
	// 8
	// 2
	// 1R
	// 8
}

func ExampleISO1204() {
	fmt.Println(named(firingorder.ISO1204()).Names())
	// Output:
	// [A4 B4 A3 B3 A2 B2 A1 B1]
}

func ExampleDIN73021() {
	fmt.Println(named(firingorder.DIN73021()).Names())
	// Output:
	// [5 1 6 2 7 3 8 4]
}

func ExampleTGL6864() {
	fmt.Println(named(firingorder.TGL6864()).Names())
	// Output:
	// [4 8 3 7 2 6 1 5]
}

// The rods of the left bank sit nearer the free end.
func ExampleSAEJ824A() {
	fmt.Println(named(firingorder.SAEJ824A(firingorder.BanksFromLeft)).Names())
	// Output:
	// [1 2 3 4 5 6 7 8]
}

func ExampleSAEJ824B() {
	fmt.Println(named(firingorder.SAEJ824B()).Names())
	// Output:
	// [1L 1R 2L 2R 3L 3R 4L 4R]
}

// Of two opposed banks nobody knows which is on the right until up is stated.
func ExampleOpposedPractice() {
	l := must(firingorder.Boxer(firingorder.BoxerConfig{
		Cylinders: 4, Numbering: firingorder.Bankwise, NumberedFrom: firingorder.FreeEnd, Rotation: firingorder.Clockwise,
	}))
	_, err := firingorder.NewNaming(firingorder.NamingConfig{Layout: l, Scheme: firingorder.OpposedPractice()})
	fmt.Println(err)
	up := must(firingorder.Degrees(-90)) // bank A a quarter turn after up: the right one seen from the free end
	n, err := firingorder.NewNaming(firingorder.NamingConfig{Layout: l, Scheme: firingorder.OpposedPractice(), Up: &up})
	fmt.Println(n.Names(), err)
	// Output:
	// firingorder: Up: missing: want the direction that points up: the banks lie half a turn apart or more
	// [1 3 2 4] <nil>
}

func ExampleRadialPractice() {
	l := must(firingorder.Radial(firingorder.RadialConfig{Cylinders: 5, Rows: 1, AgainstRotation: true, Rotation: firingorder.Clockwise}))
	up := must(firingorder.Degrees(0))
	n, err := firingorder.NewNaming(firingorder.NamingConfig{Layout: l, Scheme: firingorder.RadialPractice(), Up: &up})
	fmt.Println(n.Names(), err)
	// Output:
	// [1 5 4 3 2] <nil>
}

func ExampleNewNaming() {
	n, err := firingorder.NewNaming(firingorder.NamingConfig{Layout: statedV8(), Scheme: firingorder.ISO1204()})
	if err != nil {
		log.Fatal(err)
	}
	s, err := n.OrderText(firingorder.Order{1, 8, 4, 3, 6, 5, 7, 2})
	fmt.Println(s, err)
	// Output:
	// A1-B4-A4-B1-B3-A3-B2-A2 <nil>
}

func ExampleNaming() {
	n := named(firingorder.SAEJ824B())
	fmt.Println(n.Names())
	fmt.Println(n.Numbers())
	fmt.Println(n.Layout().Label(1), n.Layout().Label(5))
	fmt.Println(n.Working()[0].Numbers, "is", n.Working()[0].Value)
	// Output:
	// [1L 1R 2L 2R 3L 3R 4L 4R]
	// [5 1 6 2 7 3 8 4]
	// R1 L1
	// bank R, place 1, throw 1 from there is 1R
}

func ExampleNaming_Cylinder() {
	fmt.Println(named(firingorder.SAEJ824B()).Cylinder("2R"))
	// Output:
	// 4 <nil>
}

// What one book calls 2R another calls B3.
func ExampleNaming_To() {
	l := statedV8()
	sae := must(firingorder.NewNaming(firingorder.NamingConfig{Layout: l, Scheme: firingorder.SAEJ824B()}))
	iso := must(firingorder.NewNaming(firingorder.NamingConfig{Layout: l, Scheme: firingorder.ISO1204()}))
	fmt.Println(sae.To(iso, "2R"))
	fmt.Println(iso.To(sae, "B3"))
	// Output:
	// B3 <nil>
	// 2R <nil>
}

// An order in alternating numbers, in numbers bank by bank.
func ExampleNaming_Order() {
	n := named(firingorder.Scheme{Numbering: firingorder.Bankwise, Banks: firingorder.BanksInRotation})
	fmt.Println(n.Order(firingorder.Order{1, 8, 4, 3, 6, 5, 7, 2}))
	// Output:
	// 1-5-4-2-6-3-7-8 <nil>
}

func ExampleNaming_OrderText() {
	fmt.Println(named(firingorder.SAEJ824B()).OrderText(firingorder.Order{1, 8, 4, 3, 6, 5, 7, 2}))
	// Output:
	// 1R-1L-4R-2R-2L-3R-3L-4L <nil>
}

func ExampleNaming_ParseOrder() {
	fmt.Println(named(firingorder.SAEJ824B()).ParseOrder("1R-1L-4R-2R-2L-3R-3L-4L"))
	// Output:
	// 2-1-8-4-3-6-5-7 <nil>
}

// Cylinder 1 of the V8 at TDC, seen from the free end.
func ExampleLayout_EndView() {
	v, err := statedV8().EndView(firingorder.EndViewConfig{SeenFrom: firingorder.FreeEnd})
	if err != nil {
		log.Fatal(err)
	}
	for _, t := range v.Throws {
		fmt.Printf("throw %d, cylinders %v: %v clockwise from the top, x %.3f, y %.3f\n", t.Throw, t.Cylinders, t.Pin.Clock.Angle().Text(0), t.Pin.X, t.Pin.Y)
	}
	for _, b := range v.Banks {
		fmt.Println("bank", b.Name, b.Axis.Clock.Angle().Text(0))
	}
	// Output:
	// throw 1, cylinders [1 2]: 45 crank deg clockwise from the top, x 0.707, y 0.707
	// throw 2, cylinders [3 4]: 135 crank deg clockwise from the top, x 0.707, y -0.707
	// throw 3, cylinders [5 6]: 315 crank deg clockwise from the top, x -0.707, y 0.707
	// throw 4, cylinders [7 8]: 225 crank deg clockwise from the top, x -0.707, y -0.707
	// bank A 45 crank deg
	// bank B 315 crank deg
}

func ExampleEngine_Ring() {
	for _, m := range oddTwin().Ring() {
		fmt.Println(m.Cylinder, m.At.Clock.Angle(), m.Interval, m.Middle.Clock.Angle())
	}
	// Output:
	// 1 0 crank deg 405 crank deg 101.25 crank deg
	// 2 202.5 crank deg 315 crank deg 281.25 crank deg
}

// The second cylinder of a radial of five, the link pin straight below its axis.
func ExampleLinkRod() {
	fifth := must(firingorder.Fraction(1, 5))
	mm := units.Millimeter
	t, err := firingorder.LinkRod{
		CrankRadius: 70 * mm, MasterRod: 270 * mm, LinkRadius: 65 * mm, Rod: 205 * mm,
		Axis: fifth, PinAngle: fifth,
	}.Travel()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("TDC", t.Shift.Text(3), "late, stroke", t.Stroke.Text(units.Millimeters, 3))
	// Output:
	// TDC 2.501 crank deg late, stroke 140.211 mm
}
