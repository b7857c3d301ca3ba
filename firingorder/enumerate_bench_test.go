package firingorder_test

import (
	"testing"

	fo "example.com/trialfit/firingorder"
)

// The 32 even orders of one V12 of 60 degrees, set-up included.
func BenchmarkOrdersV12(b *testing.B) {
	s := fo.OrderSearch{
		Layout: vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(b),
		Filter: fo.OrderFilter{Even: true},
	}
	b.ReportAllocs()
	for b.Loop() {
		all, err := s.All()
		if err != nil {
			b.Fatal(err)
		}
		n := 0
		for o := range all {
			sink.order = o
			n++
		}
		if n != 32 {
			b.Fatal(n)
		}
	}
}

// The 3840 even orders of the symmetric cranks of twelve cylinders.
func BenchmarkOrdersSymmetricTwelve(b *testing.B) {
	s := fo.CrankSearch{Layout: symmetricLine(b, 12), Filter: fo.OrderFilter{Even: true}, Symmetric: true}
	b.ReportAllocs()
	for b.Loop() {
		all, err := s.All()
		if err != nil {
			b.Fatal(err)
		}
		n := 0
		for _, o := range all {
			sink.order = o
			n++
		}
		if n != 3840 {
			b.Fatal(n)
		}
	}
}

func BenchmarkOrdersFiltered(b *testing.B) {
	s := fo.OrderSearch{
		Layout: vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(b),
		Filter: fo.OrderFilter{Even: true, AlternateBanks: true, NoNeighbors: true},
	}
	b.ReportAllocs()
	for b.Loop() {
		all, err := s.All()
		if err != nil {
			b.Fatal(err)
		}
		for o := range all {
			sink.order = o
		}
	}
}

func BenchmarkCountLarge(b *testing.B) {
	s := fo.OrderSearch{Layout: line(b, 64, pinsUpTo(64)...)}
	b.ReportAllocs()
	for b.Loop() {
		c, err := s.Count()
		if err != nil {
			b.Fatal(err)
		}
		sink.order = fo.Order{int(c & 1)}
	}
}

func BenchmarkPattern(b *testing.B) {
	e := engine(b, vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(b), "1-8-4-3-6-5-7-2")
	b.ReportAllocs()
	for b.Loop() {
		p, err := e.Pattern(fo.Symmetry{OtherEnd: true, Reversed: true})
		if err != nil {
			b.Fatal(err)
		}
		sink.order = p.Order
	}
}
