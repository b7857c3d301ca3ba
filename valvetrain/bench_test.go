package valvetrain_test

import (
	"testing"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// A force for a height never allocates.
func TestNoAllocation(t *testing.T) {
	curve := must[valvetrain.SpringCurve](t)(hive.Curve())
	three := valvetrain.Nest{Springs: append([]valvetrain.NestSpring{{Spring: curve}}, pair.Springs...)}
	for name, s := range map[string]valvetrain.Spring{"linear": outer, "pair": pair, "beehive": curve, "three": three} {
		if n := testing.AllocsPerRun(100, func() {
			for h := mm(36); h < mm(55); h += mm(0.25) {
				_, err1 := s.ForceAt(h)
				_, err2 := s.LoadAt(h)
				if err1 != nil || err2 != nil {
					t.Fatal(err1, err2)
				}
			}
		}); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
	if n := testing.AllocsPerRun(100, func() {
		_, err1 := wire4.Rate()
		_, err2 := wire4.Stress(500)
		_, err3 := pair.HeightAt(500)
		if err1 != nil || err2 != nil || err3 != nil {
			t.Fatal(err1, err2, err3)
		}
	}); n != 0 {
		t.Errorf("coil and height: %v allocations", n)
	}
}

func benchmarkForce(b *testing.B, s valvetrain.Spring, from, to units.Length) {
	b.Helper()
	b.ReportAllocs()
	var sum units.Force
	h := from
	for b.Loop() {
		f, err := s.ForceAt(h)
		if err != nil {
			b.Fatal(err)
		}
		sum += f
		if h += 10 * units.Micrometer; h > to {
			h = from
		}
	}
	if sum < 0 {
		b.Fatal(sum)
	}
}

func BenchmarkLinearForce(b *testing.B) { benchmarkForce(b, outer, mm(36), mm(55)) }

func BenchmarkNestForce(b *testing.B) { benchmarkForce(b, pair, mm(36), mm(55)) }

func BenchmarkBeehiveForce(b *testing.B) {
	benchmarkForce(b, must[valvetrain.SpringCurve](b)(hive.Curve()), mm(37), mm(52))
}

// The heights at which the cone closes, where the force has to be solved for.
func BenchmarkBeehiveClosing(b *testing.B) {
	benchmarkForce(b, must[valvetrain.SpringCurve](b)(hive.Curve()), mm(33.4), mm(36.6))
}

func BenchmarkNestCheck(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := pair.Check(stood); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkShims(b *testing.B) {
	j := valvetrain.ShimJob{Unshimmed: mm(44), Stock: []valvetrain.ShimStock{
		{Thickness: 15 * units.Thou, Count: 8},
		{Thickness: 30 * units.Thou, Count: 8},
		{Thickness: 60 * units.Thou, Count: 4},
		{Thickness: 151 * units.Thou / 10, Count: 4},
		{Thickness: 298 * units.Thou / 10, Count: 4},
	}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := j.ForHeight(mm(41.3)); err != nil {
			b.Fatal(err)
		}
	}
}
