package clearance_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// exhaust tries every choice there is and returns the least (largest
// deviation, sum of squares) in the order of the objective.
func exhaust(c clearance.ShellChoice) (largest, squares float64, ok bool) {
	up, low := make([]int, len(c.Grades)), make([]int, len(c.Grades))
	for i, g := range c.Grades {
		up[i], low[i] = g.Uppers, g.Lowers
		if c.AlikeHalves {
			up[i] += g.Lowers
		}
	}
	if c.AlikeHalves {
		low = up // one stock
	}
	largest, squares = math.Inf(1), math.Inf(1)
	var fill func(i int, before units.Length, l, q float64)
	fill = func(i int, before units.Length, l, q float64) {
		if i == len(c.Seats) {
			better := l < largest || l == largest && q < squares
			if c.Objective == clearance.SquaresFirst {
				better = q < squares || q == squares && l < largest
			}
			if better {
				largest, squares, ok = l, q, true
			}
			return
		}
		target := c.Target
		if t := c.Seats[i].Target; t.Given {
			target = t.Value
		}
		for u, gu := range c.Grades {
			for v, gv := range c.Grades {
				if c.LargestMix.Given && (gu.Wall.Value-gv.Wall.Value).Abs() > c.LargestMix.Value {
					continue
				}
				clr := c.Seats[i].Housing.Value - c.Seats[i].Journal.Value - gu.Wall.Value - gv.Wall.Value
				if c.LargestStep.Given && i > 0 && (clr-before).Abs() > c.LargestStep.Value {
					continue
				}
				up[u]--
				low[v]--
				if up[u] >= 0 && low[v] >= 0 {
					d := math.Abs((clr - target).Micrometers())
					fill(i+1, clr, max(l, d), q+d*d)
				}
				up[u]++
				low[v]++
			}
		}
	}
	fill(0, 0, 0, 0)
	return largest, squares, ok
}

// randomCrank makes a crank in whole micrometers, so that the oracle's sums are
// exact.
func randomCrank(rng *rand.Rand, seats, grades, pieces int) clearance.ShellChoice {
	c := clearance.ShellChoice{Target: 40 * um}
	for i := range grades {
		c.Grades = append(c.Grades, clearance.ShellGrade{
			Name: strconv.Itoa(i), Wall: un(2*mm + units.Length(rng.IntN(25))*um),
			Uppers: rng.IntN(pieces + 1), Lowers: rng.IntN(pieces + 1),
		})
	}
	for range seats {
		c.Seats = append(c.Seats, clearance.ShellSeat{
			Housing: un(64*mm + units.Length(rng.IntN(20))*um),
			Journal: un(60*mm - 65*um + units.Length(rng.IntN(20))*um),
		})
	}
	return c
}

// The search finds what trying everything finds, with every constraint, stock
// short or plenty, and says so where there is nothing to find.
func TestChooseAgainstEveryChoice(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	impossible := 0
	for n := range 700 {
		c := randomCrank(rng, 1+rng.IntN(4), 1+rng.IntN(4), 1+rng.IntN(4))
		c.Objective = clearance.MatchObjective(n % 2)
		c.AlikeHalves = rng.IntN(3) == 0
		if rng.IntN(3) == 0 {
			c.LargestMix = units.Some(units.Length(rng.IntN(15)) * um)
		}
		if rng.IntN(3) == 0 {
			c.LargestStep = units.Some(units.Length(rng.IntN(20)) * um)
		}
		if rng.IntN(3) == 0 {
			c.Seats[0].Target = units.Some(units.Length(rng.IntN(80)) * um)
		}
		largest, squares, ok := exhaust(c)
		got, err := c.Choose()
		if !ok {
			impossible++
			if err == nil {
				t.Fatalf("case %d: a choice where there is none: %+v", n, got)
			}
			continue
		}
		if err != nil {
			t.Fatalf("case %d: %v", n, err)
		}
		q := 0.0
		for _, s := range got.Seats {
			q += s.Deviation.Micrometers() * s.Deviation.Micrometers()
		}
		if got.LargestDeviation.Micrometers() != largest || q != squares {
			t.Fatalf("case %d: largest %v, squares %v; want %v, %v\n%+v", n, got.LargestDeviation.Micrometers(), q, largest, squares, c)
		}
		checkChoice(t, c, got)
	}
	if impossible < 20 || impossible > 500 {
		t.Errorf("%d impossible cases of 700: the cases prove too little", impossible)
	}
}

// checkChoice proves that a choice keeps the stock and the constraints.
func checkChoice(t *testing.T, c clearance.ShellChoice, got clearance.ChosenShells) {
	t.Helper()
	up, low := map[int]int{}, map[int]int{}
	for i, s := range got.Seats {
		up[s.Upper]++
		low[s.Lower]++
		d := c.Grades[s.Upper].Wall.Value - c.Grades[s.Lower].Wall.Value
		if c.LargestMix.Given && d.Abs() > c.LargestMix.Value {
			t.Fatalf("seat %d mixes %v", i, d)
		}
		if want := c.Seats[i].Housing.Value - c.Seats[i].Journal.Value - c.Grades[s.Upper].Wall.Value - c.Grades[s.Lower].Wall.Value; s.Clearance.Value != want {
			t.Fatalf("seat %d: clearance %v, want %v", i, s.Clearance.Value, want)
		}
		if i > 0 && c.LargestStep.Given && (s.Clearance.Value-got.Seats[i-1].Clearance.Value).Abs() > c.LargestStep.Value {
			t.Fatalf("step at seat %d", i)
		}
	}
	for i, g := range c.Grades {
		if c.AlikeHalves {
			if up[i]+low[i] > g.Uppers+g.Lowers {
				t.Fatalf("grade %d: %d pieces of %d", i, up[i]+low[i], g.Uppers+g.Lowers)
			}
		} else if up[i] > g.Uppers || low[i] > g.Lowers {
			t.Fatalf("grade %d: %d and %d pieces of %d and %d", i, up[i], low[i], g.Uppers, g.Lowers)
		}
	}
}

// More shells never make the best choice worse, and a permutation of the
// grades leaves its figures.
func TestChooseProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for range 60 {
		c := randomCrank(rng, 7, 5, 4)
		a, err := c.Choose()
		if err != nil {
			continue
		}
		checkChoice(t, c, a)
		more := c
		more.Grades = append([]clearance.ShellGrade(nil), c.Grades...)
		more.Grades[rng.IntN(5)].Uppers += 2
		b, err := more.Choose()
		if err != nil || b.LargestDeviation > a.LargestDeviation {
			t.Fatalf("more shells: %v after %v, %v", b.LargestDeviation, a.LargestDeviation, err)
		}
		back := c
		back.Grades = append([]clearance.ShellGrade(nil), c.Grades...)
		for i, j := 0, len(back.Grades)-1; i < j; i, j = i+1, j-1 {
			back.Grades[i], back.Grades[j] = back.Grades[j], back.Grades[i]
		}
		d, err := back.Choose()
		if err != nil || d.LargestDeviation != a.LargestDeviation || d.RootSumSquares != a.RootSumSquares {
			t.Fatalf("grades reversed: %v %v, want %v %v (%v)", d.LargestDeviation, d.RootSumSquares, a.LargestDeviation, a.RootSumSquares, err)
		}
		sq := c
		sq.Objective = clearance.SquaresFirst
		e, err := sq.Choose()
		if err != nil || e.RootSumSquares > a.RootSumSquares || e.LargestDeviation < a.LargestDeviation {
			t.Fatalf("squares first: %v %v against %v %v (%v)", e.RootSumSquares, e.LargestDeviation, a.RootSumSquares, a.LargestDeviation, err)
		}
	}
}

func sevenMains(rng *rand.Rand, pieces int) clearance.ShellChoice {
	c := randomCrank(rng, 7, 5, 0)
	for i := range c.Grades {
		c.Grades[i].Wall = un(2*mm + units.Length(4*i)*um)
		c.Grades[i].Uppers, c.Grades[i].Lowers = pieces, pieces
	}
	return c
}

// The worst stock there is: no piece or hardly one to spare, and a limit to the
// steps.
func BenchmarkChooseScarce(b *testing.B) {
	b.ReportAllocs()
	rng := rand.New(rand.NewPCG(9, 9))
	cranks := make([]clearance.ShellChoice, 64)
	for i := range cranks {
		c := randomCrank(rng, 7, 5, 0)
		for range 7 + rng.IntN(3) {
			c.Grades[rng.IntN(5)].Uppers++
		}
		for range 7 + rng.IntN(3) {
			c.Grades[rng.IntN(5)].Lowers++
		}
		c.LargestStep = units.Some(units.Length(4+rng.IntN(12)) * um)
		cranks[i] = c
	}
	i := 0
	for b.Loop() {
		c, _ := cranks[i%64].Choose()
		sink += c.LargestDeviation
		i++
	}
}

func BenchmarkChooseSevenMains(b *testing.B) {
	for _, pieces := range []int{2, 3, 7} {
		for _, o := range []clearance.MatchObjective{clearance.LargestFirst, clearance.SquaresFirst} {
			b.Run(fmt.Sprintf("%d of each grade, %v", pieces, o), func(b *testing.B) {
				b.ReportAllocs()
				rng := rand.New(rand.NewPCG(1, 2))
				cranks := make([]clearance.ShellChoice, 64)
				for i := range cranks {
					cranks[i] = sevenMains(rng, pieces)
					cranks[i].Objective = o
				}
				i := 0
				for b.Loop() {
					c, _ := cranks[i%64].Choose()
					sink += c.LargestDeviation
					i++
				}
			})
		}
	}
}
