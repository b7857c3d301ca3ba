package firingorder_test

import (
	"fmt"
	"log"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// The straight-six of the workboat, cylinder 1 at the free end: who is at
// overlap, ready for the lifter check, while each cylinder fires?
func Example() {
	six, err := firingorder.Inline(firingorder.InlineConfig{
		Crank: firingorder.SixEven, NumberedFrom: firingorder.FreeEnd, Rotation: firingorder.Clockwise,
	})
	if err != nil {
		log.Fatal(err)
	}
	order, err := firingorder.ParseOrder("1-5-3-6-2-4")
	if err != nil {
		log.Fatal(err)
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: six, Order: order})
	if err != nil {
		log.Fatal(err)
	}
	for _, cylinder := range e.Order() {
		at, err := e.FiringAngle(cylinder)
		if err != nil {
			log.Fatal(err)
		}
		c, err := e.CompanionOf(cylinder)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("%v: cylinder %d fires, cylinder %d is at overlap\n", at, cylinder, c.Cylinder)
	}
	// Output:
	// 0 crank deg: cylinder 1 fires, cylinder 6 is at overlap
	// 120 crank deg: cylinder 5 fires, cylinder 2 is at overlap
	// 240 crank deg: cylinder 3 fires, cylinder 4 is at overlap
	// 360 crank deg: cylinder 6 fires, cylinder 1 is at overlap
	// 480 crank deg: cylinder 2 fires, cylinder 5 is at overlap
	// 600 crank deg: cylinder 4 fires, cylinder 3 is at overlap
}

func workboat() *firingorder.Engine {
	six, err := firingorder.Inline(firingorder.InlineConfig{Crank: firingorder.SixEven})
	if err != nil {
		log.Fatal(err)
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: six, Order: firingorder.Order{1, 5, 3, 6, 2, 4}})
	if err != nil {
		log.Fatal(err)
	}
	return e
}

func twoPlaneV8() *firingorder.Layout {
	bank, err := firingorder.Degrees(90)
	if err != nil {
		log.Fatal(err)
	}
	l, err := firingorder.V(firingorder.VConfig{
		Crank: firingorder.FourTwoPlane, BankAngle: bank,
		Numbering: firingorder.Alternating, BankOfOne: firingorder.PassedLast,
	})
	if err != nil {
		log.Fatal(err)
	}
	return l
}

// oddTwin is a V twin with both rods on one pin.
func oddTwin() *firingorder.Engine {
	bank, err := firingorder.Degrees(45)
	if err != nil {
		log.Fatal(err)
	}
	l, err := firingorder.V(firingorder.VConfig{
		Crank: firingorder.OnePin, BankAngle: bank,
		Numbering: firingorder.Alternating, BankOfOne: firingorder.PassedFirst,
	})
	if err != nil {
		log.Fatal(err)
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: firingorder.Order{1, 2}})
	if err != nil {
		log.Fatal(err)
	}
	return e
}

func ExampleInline() {
	l, err := firingorder.Inline(firingorder.InlineConfig{Crank: firingorder.SixEven})
	fmt.Println(l.Cylinders(), l.SharedTDC(), err)
	// Output:
	// 6 [[1 6] [2 5] [3 4]] <nil>
}

// The two-plane V8, odd numbers in the bank that the crank passes last.
func ExampleV() {
	bank, err := firingorder.Degrees(90)
	if err != nil {
		log.Fatal(err)
	}
	l, err := firingorder.V(firingorder.VConfig{
		Crank: firingorder.FourTwoPlane, BankAngle: bank,
		Numbering: firingorder.Alternating, BankOfOne: firingorder.PassedLast,
	})
	fmt.Println(l.SharedTDC(), err)
	// Output:
	// [[1 6] [2 3] [4 7] [5 8]] <nil>
}

func ExampleBoxer() {
	l, err := firingorder.Boxer(firingorder.BoxerConfig{Cylinders: 4, Numbering: firingorder.Alternating})
	if err != nil {
		log.Fatal(err)
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: firingorder.Order{1, 3, 2, 4}})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(l.SharedTDC(), e.Intervals())
	// Output:
	// [[1 2] [3 4]] [180 crank deg 180 crank deg 180 crank deg 180 crank deg]
}

// A seven-cylinder radial on one pin: the axes are sevenths of a turn.
func ExampleNewLayout() {
	c := firingorder.Config{Throws: make([]firingorder.Turn, 1)}
	for i := range int64(7) {
		axis, err := firingorder.Fraction(i, 7)
		if err != nil {
			log.Fatal(err)
		}
		name := fmt.Sprintf("c%d", i+1)
		c.Banks = append(c.Banks, firingorder.Bank{Name: name, Axis: axis})
		c.Cylinders = append(c.Cylinders, firingorder.Cylinder{Bank: name, Throw: 1})
	}
	l, err := firingorder.NewLayout(c)
	if err != nil {
		log.Fatal(err)
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: firingorder.Order{1, 3, 5, 7, 2, 4, 6}})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(e.Intervals()[0].Text(3), e.Even())
	// Output:
	// 102.857 crank deg true
}

// The same order is right on one engine and impossible on the next; the error
// says which cylinders are in the way. By hand: pin = axis - firing angle, for
// cylinder 3 0 - 90, for cylinder 4 on the other bank -90 - 540.
func ExampleNewEngine() {
	order, err := firingorder.ParseOrder("1-3-7-2-6-5-4-8")
	if err != nil {
		log.Fatal(err)
	}
	_, err = firingorder.NewEngine(firingorder.EngineConfig{Layout: twoPlaneV8(), Order: order})
	fmt.Println(err)
	// Output:
	// firingorder: Order: "1-3-7-2-6-5-4-8": impossible: cylinders 3 and 4 share a pin, but to fire evenly cylinder 3 needs it at 270 crank deg and cylinder 4 at 90 crank deg
}

func ExampleParseOrder() {
	o, err := firingorder.ParseOrder("1-5-3-6-2-4")
	fmt.Println(len(o), o, err)
	_, err = firingorder.ParseOrder("1-5-3-5-2-4")
	fmt.Println(err)
	// Output:
	// 6 1-5-3-6-2-4 <nil>
	// firingorder: order: "1-5-3-5-2-4": contradictory: cylinder 5 fires twice
}

func ExampleLayout_ParseOrder() {
	o, err := twoPlaneV8().ParseOrder("A1-B4-B2-A2-B3-A3-A4-B1")
	fmt.Println(o, err)
	// Output:
	// 1-8-4-3-6-5-7-2 <nil>
}

func ExampleLayout_TDC() {
	tdc, err := twoPlaneV8().TDC(8)
	fmt.Println(tdc, err)
	// Output:
	// 90 crank deg <nil>
}

func ExampleLayout_SharedTDC() {
	fmt.Println(twoPlaneV8().SharedTDC())
	// Output:
	// [[1 6] [2 3] [4 7] [5 8]]
}

func ExampleLayout_Label() {
	fmt.Println(twoPlaneV8().Label(8))
	// Output:
	// B4
}

func ExampleLayout_Config() {
	for i, pin := range twoPlaneV8().Config().Throws {
		fmt.Printf("pin %d at %v\n", i+1, pin.Angle())
	}
	// Output:
	// pin 1 at 0 crank deg
	// pin 2 at 90 crank deg
	// pin 3 at 270 crank deg
	// pin 4 at 180 crank deg
}

func ExampleLayout_Cylinders() {
	fmt.Println(twoPlaneV8().Cylinders())
	// Output:
	// 8
}

func ExampleEngine_Order() {
	fmt.Println(workboat().Order())
	// Output:
	// 1-5-3-6-2-4
}

func ExampleEngine_Layout() {
	fmt.Println(workboat().Layout().Cylinders())
	// Output:
	// 6
}

func ExampleEngine_Intervals() {
	fmt.Println(oddTwin().Intervals())
	// Output:
	// [405 crank deg 315 crank deg]
}

func ExampleEngine_Even() {
	fmt.Println(workboat().Even(), oddTwin().Even())
	// Output:
	// true false
}

func ExampleEngine_FiringAngle() {
	f, err := workboat().FiringAngle(6)
	fmt.Println(f, err)
	// Output:
	// 360 crank deg <nil>
}

// Geometry gives an odd-firing twin no companion, whatever its order looks like.
func ExampleEngine_CompanionOf() {
	c, err := workboat().CompanionOf(5)
	fmt.Println(c.Exists, c.Cylinder, err)
	c, err = oddTwin().CompanionOf(1)
	fmt.Println(c.Exists, c.Cylinder, err)
	// Output:
	// true 2 <nil>
	// false 0 <nil>
}

func ExampleCompanion_Working() {
	c, err := workboat().CompanionOf(5)
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range c.Working() {
		fmt.Printf("%s = %s = %s\n", s.Symbol, s.Numbers, s.Value)
	}
	// Output:
	// f = 120 = 120 crank deg
	// f' = (120 + 360) mod 720 = 480 crank deg
	// companion = 1 at 0, 5 at 120, 3 at 240, 6 at 360, 2 at 480, 4 at 600 = cylinder 2
}

// The crank has turned 90 degrees past firing TDC of cylinder 1.
func ExampleEngine_PhaseAt() {
	e := workboat()
	for _, cylinder := range []int{1, 6, 5} {
		p, err := e.PhaseAt(cylinder, 90*units.CrankDegree)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Println(cylinder, p.Angle, p.Stroke)
	}
	// Output:
	// 1 -270 crank deg power
	// 6 90 crank deg intake
	// 5 330 crank deg compression
}

func ExampleEngine_Working() {
	for _, s := range workboat().Working()[:2] {
		fmt.Printf("%s = %s = %s\n", s.Symbol, s.Numbers, s.Value)
	}
	// Output:
	// f1 = (0 - 0) - (0) mod 360 = 0 crank deg
	// f5 = (0 - 240) - (0) mod 360 = 120 crank deg
}

func ExampleFraction() {
	t, err := firingorder.Fraction(2, 14)
	fmt.Println(t, t.Angle().Text(3), err)
	// Output:
	// 1/7 turn 51.429 crank deg <nil>
}

func ExampleTurn() {
	t, err := firingorder.Fraction(1, 16)
	fmt.Println(t.Angle(), err)
	// Output:
	// 22.5 crank deg <nil>
}

func ExampleTurnOf() {
	t, err := firingorder.TurnOf(-72 * units.CrankDegree)
	fmt.Println(t, err)
	// Output:
	// -1/5 turn <nil>
}

func ExampleDegrees() {
	t, err := firingorder.Degrees(90)
	fmt.Println(t, err)
	// Output:
	// 1/4 turn <nil>
}
