package firingorder_test

import (
	"fmt"
	"log"

	"example.com/trialfit/firingorder"
)

func straightSix() *firingorder.Layout {
	l, err := firingorder.Inline(firingorder.InlineConfig{Crank: firingorder.SixEven})
	if err != nil {
		log.Fatal(err)
	}
	return l
}

// Which other orders could the crank of the workboat run with another camshaft?
// By hand: 1 and 6, 2 and 5, 3 and 4 are companions, and either of the last two
// pairs may change places.
func ExampleOrderSearch_All() {
	s := firingorder.OrderSearch{Layout: straightSix(), Filter: firingorder.OrderFilter{Even: true}}
	all, err := s.All()
	if err != nil {
		log.Fatal(err)
	}
	for order := range all {
		fmt.Println(order)
	}
	s.Filter.NoNeighbors = true
	if all, err = s.All(); err != nil {
		log.Fatal(err)
	}
	fmt.Println("without neighbors in succession:")
	for order := range all {
		fmt.Println(order)
	}
	// Output:
	// 1-2-3-6-5-4
	// 1-2-4-6-5-3
	// 1-5-3-6-2-4
	// 1-5-4-6-2-3
	// without neighbors in succession:
	// 1-5-3-6-2-4
}

// 2^(8/2-1) orders of a two-plane V8, each with neighbors of a bank in succession.
func ExampleOrderSearch_Count() {
	s := firingorder.OrderSearch{Layout: twoPlaneV8(), Filter: firingorder.OrderFilter{Even: true}}
	n, err := s.Count()
	if err != nil {
		log.Fatal(err)
	}
	s.Filter.NoNeighbors = true
	without, err := s.Count()
	fmt.Println(n, without, err)
	// Output:
	// 8 0 <nil>
}

// The symmetric cranks of a six are one and its mirror image.
func ExampleCrankSearch_All() {
	all, err := firingorder.CrankSearch{
		Layout: straightSix(), Symmetric: true,
		Filter: firingorder.OrderFilter{Even: true, NoNeighbors: true},
	}.All()
	if err != nil {
		log.Fatal(err)
	}
	for pins, order := range all {
		fmt.Println(pins[1].Angle(), order)
	}
	// Output:
	// 240 crank deg 1-5-3-6-2-4
	// 120 crank deg 1-4-2-6-3-5
}

// Six sequences of the pins of a two-plane V8 with eight orders each.
func ExampleCrankSearch_Count() {
	c, err := firingorder.CrankSearch{Layout: twoPlaneV8(), Filter: firingorder.OrderFilter{Even: true}}.Count()
	fmt.Println(c.Cranks, c.Orders, err)
	// Output:
	// 6 48 <nil>
}

// alternatingV8 and bankwiseV8 are the same engine, numbered throw by throw with
// the bank passed last first, and bank by bank with the bank passed first first.
func alternatingV8() *firingorder.Engine {
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: twoPlaneV8(), Order: firingorder.Order{1, 8, 7, 2, 6, 5, 4, 3}})
	if err != nil {
		log.Fatal(err)
	}
	return e
}

func bankwiseV8() *firingorder.Engine {
	angle, err := firingorder.Degrees(90)
	if err != nil {
		log.Fatal(err)
	}
	l, err := firingorder.V(firingorder.VConfig{
		Crank: firingorder.FourTwoPlane, BankAngle: angle,
		Numbering: firingorder.Bankwise, BankOfOne: firingorder.PassedFirst,
	})
	if err != nil {
		log.Fatal(err)
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: l, Order: firingorder.Order{1, 3, 7, 2, 6, 5, 4, 8}})
	if err != nil {
		log.Fatal(err)
	}
	return e
}

// Cylinder 2 of the one is the first of the other bank, cylinder 1 of the other.
func ExampleEngine_Renumber() {
	r, err := alternatingV8().Renumber(bankwiseV8(), firingorder.Symmetry{})
	fmt.Println(r, err)
	fmt.Println(r.Numbers[2-1])
	// Output:
	// 1 > 5, 2 > 1, 3 > 6, 4 > 2, 5 > 7, 6 > 3, 7 > 8, 8 > 4 <nil>
	// 1
}

func ExampleRenumbering_String() {
	fmt.Println(firingorder.Renumbering{})
	fmt.Println(firingorder.Renumbering{Exists: true, Numbers: []int{2, 1}, Change: firingorder.Symmetry{OtherEnd: true}})
	// Output:
	// none
	// 1 > 2, 2 > 1; from the other end
}

// Two lists of numbers, one pattern. By hand, bank by bank: A1-A3-B3-A2-B2-B1-A4-B4,
// throw by throw A1 = 1, B1 = 2, A2 = 3 and so on.
func ExampleEngine_Pattern() {
	a, err := alternatingV8().Pattern(firingorder.Symmetry{})
	if err != nil {
		log.Fatal(err)
	}
	b, err := bankwiseV8().Pattern(firingorder.Symmetry{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(a.Order, a.Key == b.Key)
	// Output:
	// 1-5-6-3-4-2-7-8 true
}
