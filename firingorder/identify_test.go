package firingorder_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func reading(cylinder int, degrees, u float64) fo.TDCReading {
	return fo.TDCReading{Cylinder: cylinder, Angle: units.WithU(nanodegrees(degrees), nanodegrees(u))}
}

func nanodegrees(x float64) units.CrankAngle {
	return units.CrankAngle(math.Round(x * float64(units.CrankDegree)))
}

// read gives the readings that a layout has, with normal errors.
func readWheel(t *testing.T, l *fo.Layout, rnd *rand.Rand, zero units.CrankAngle, sense fo.WheelSense, u float64, cylinders ...int) []fo.TDCReading {
	t.Helper()
	var r []fo.TDCReading
	for _, c := range cylinders {
		a, err := l.TDC(c)
		if err != nil {
			t.Fatal(err)
		}
		if sense == fo.WheelBackward {
			a = -a
		}
		r = append(r, fo.TDCReading{Cylinder: c, Angle: units.WithU((zero + a + nanodegrees(u*rnd.NormFloat64())).WrapTurn(), nanodegrees(u))})
	}
	return r
}

// Exact readings give back zero and sense with no residual, whichever the zero.
func TestIdentifyExact(t *testing.T) {
	rnd := rand.New(rand.NewPCG(20, 21))
	layouts := []*fo.Layout{inline(t, fo.EightSplit, false), inline(t, fo.EightTwoFours, false), inline(t, fo.EightSplit, true)}
	all := []int{1, 2, 3, 4, 5, 6, 7, 8}
	for range 50 {
		k, sense := rnd.IntN(3), fo.WheelForward+fo.WheelSense(rnd.IntN(2))
		zero := units.CrankAngle(rnd.Int64N(int64(units.CrankTurn)))
		found, err := fo.Identification{Candidates: layouts, Readings: readWheel(t, layouts[k], rnd, zero, sense, 0, all...), Sense: sense}.Identify()
		refused(t, "no uncertainty", found.Fits != nil, err, "Readings[0]", units.ErrRange)
		r := readWheel(t, layouts[k], rnd, zero, sense, 0, all...)
		for i := range r {
			r[i].Angle.U = units.CrankDegree
		}
		found, err = fo.Identification{Candidates: layouts, Readings: r, Sense: sense}.Identify()
		if err != nil || len(found.Fits) != 1 {
			t.Fatalf("%+v, %v", found, err)
		}
		f := found.Fits[0]
		if f.Candidate != k || f.Sense != sense || f.Zero.Value != zero || f.ChiSquare > 1e-15 || f.Freedom != 7 || len(found.Rejected) != 2 {
			t.Fatalf("%+v, want layout %d %v zero %v", f, k, sense, zero)
		}
	}
}

// The zero is where chi-square is smallest: against a search over a fine grid of
// zeros, readings all over the circle.
func TestIdentifyZeroAgainstGrid(t *testing.T) {
	rnd := rand.New(rand.NewPCG(22, 23))
	l := inline(t, fo.FiveInLine, false)
	for range 30 {
		var r []fo.TDCReading
		for _, c := range rnd.Perm(5)[:1+rnd.IntN(5)] {
			r = append(r, reading(c+1, 360*rnd.Float64(), 10+80*rnd.Float64()))
		}
		found, err := fo.Identification{Candidates: []*fo.Layout{l}, Readings: r, Sense: fo.WheelForward}.Identify()
		if err != nil {
			t.Fatal(err)
		}
		f := append(found.Fits, found.Rejected...)[0]
		chi := func(zero float64) float64 {
			s := 0.0
			for _, x := range r {
				tdc, err := l.TDC(x.Cylinder)
				if err != nil {
					t.Fatal(err)
				}
				d := math.Remainder(x.Angle.Value.Degrees()-zero-tdc.Degrees(), 360) / x.Angle.U.Degrees()
				s += d * d
			}
			return s
		}
		best := math.Inf(1)
		for z := 0.0; z < 360; z += 0.1 {
			best = min(best, chi(z))
		}
		if f.ChiSquare > best+1e-9 || math.Abs(chi(f.Zero.Value.Degrees())-f.ChiSquare) > 1e-6 || f.ChiSquare < best-0.01 {
			t.Fatalf("chi-square %v at %v, the grid has %v", f.ChiSquare, f.Zero, best)
		}
	}
}

// With normal errors of the stated size the right layout is refused one time in
// twenty, and the zero lies within two standard uncertainties as often as normal
// errors do.
func TestIdentifyRates(t *testing.T) {
	rnd := rand.New(rand.NewPCG(24, 25))
	l := inline(t, fo.SixEven, false)
	const runs = 4000
	refusals, outside := 0, 0
	for range runs {
		zero := units.CrankAngle(rnd.Int64N(int64(units.CrankTurn)))
		found, err := fo.Identification{Candidates: []*fo.Layout{l}, Readings: readWheel(t, l, rnd, zero, fo.WheelForward, 0.7, 1, 2, 3, 4, 5), Sense: fo.WheelForward}.Identify()
		if err != nil {
			t.Fatal(err)
		}
		if len(found.Fits) == 0 {
			refusals++
		}
		f := append(found.Fits, found.Rejected...)[0]
		if (f.Zero.Value-zero+units.CrankTurn/2).WrapTurn()-units.CrankTurn/2 > 2*f.Zero.U || (zero-f.Zero.Value+units.CrankTurn/2).WrapTurn()-units.CrankTurn/2 > 2*f.Zero.U {
			outside++
		}
	}
	// Five standard deviations of a binomial count either way.
	for _, x := range []struct {
		name string
		got  int
		p    float64
	}{{"refused", refusals, 0.05}, {"zero outside", outside, 0.0455}} {
		mean, sd := x.p*runs, math.Sqrt(x.p*(1-x.p)*runs)
		if math.Abs(float64(x.got)-mean) > 5*sd {
			t.Errorf("%s %d times of %d, want about %.0f", x.name, x.got, runs, mean)
		}
	}
}

// Numbers mixed up in the notes, and one angle misread.
func TestIdentifyWrongNumber(t *testing.T) {
	l := inline(t, fo.SixEven, false)
	good := []fo.TDCReading{reading(1, 30, 1), reading(2, 150, 1), reading(3, 270, 1), reading(4, 270.5, 1), reading(5, 149.5, 1), reading(6, 29, 1)}
	q := fo.Identification{Candidates: []*fo.Layout{l}, Readings: slices.Clone(good), Sense: fo.WheelForward}
	q.Readings[1].Angle, q.Readings[2].Angle = good[2].Angle, good[1].Angle
	found, err := q.Identify()
	if err != nil || len(found.Rejected) != 1 {
		t.Fatal(found, err)
	}
	// 2 goes with 5 and 3 with 4, so only exchanging the two puts it right.
	if f := found.Rejected[0]; !slices.Equal(f.Swapped, [][2]int{{2, 3}}) || f.Suspects != nil {
		t.Errorf("swapped %v, suspects %v", f.Swapped, f.Suspects)
	}
	q.Readings = slices.Clone(good)
	q.Readings[2] = reading(3, 262, 1)
	found, err = q.Identify()
	if err != nil || len(found.Rejected) != 1 {
		t.Fatal(found, err)
	}
	if f := found.Rejected[0]; !slices.Equal(f.Suspects, []int{3}) || f.Swapped != nil {
		t.Errorf("swapped %v, suspects %v", f.Swapped, f.Suspects)
	}
	if len(found.Rejected[0].Working()) != 9 { // zero, six residuals, chi-square, probability
		t.Error(found.Rejected[0].Working())
	}
	if (fo.LayoutFit{}).Working() != nil {
		t.Error("working of nothing")
	}
}

// What Next promises holds: reading that cylinder leaves fewer layouts.
func TestIdentifyNextSeparates(t *testing.T) {
	rnd := rand.New(rand.NewPCG(26, 27))
	layouts := []*fo.Layout{inline(t, fo.EightSplit, false), inline(t, fo.EightTwoFours, false), inline(t, fo.EightSplit, true), inline(t, fo.EightTwoFours, true)}
	for truth, l := range layouts {
		cylinders := []int{1}
		for range 8 {
			r := readWheel(t, l, rnd, 77*units.CrankDegree, fo.WheelForward, 0, cylinders...)
			for i := range r {
				r[i].Angle.U = units.CrankDegree
			}
			found, err := fo.Identification{Candidates: layouts, Readings: r, Sense: fo.WheelForward}.Identify()
			if err != nil {
				t.Fatal(err)
			}
			if !slices.ContainsFunc(found.Fits, func(f fo.LayoutFit) bool { return f.Candidate == truth }) {
				t.Fatal("the right layout is gone")
			}
			if len(found.Next) == 0 {
				if len(found.Fits) != 1 {
					t.Fatalf("%d fit and nothing to read", len(found.Fits))
				}
				break
			}
			cylinders = append(cylinders, found.Next[0].Cylinder)
		}
		if len(cylinders) > 3 {
			t.Errorf("layout %d took the cylinders %v", truth, cylinders)
		}
	}
}

func TestIdentifyRefuses(t *testing.T) {
	six, four := inline(t, fo.SixEven, false), inline(t, fo.FourSinglePlane, false)
	one := []fo.TDCReading{reading(1, 0, 1)}
	with := func(r fo.TDCReading) fo.Identification {
		return fo.Identification{Candidates: []*fo.Layout{six}, Readings: []fo.TDCReading{reading(1, 0, 1), r}}
	}
	unstated := fo.TDCReading{Cylinder: 2, Angle: units.Unstated(units.CrankDegree)}
	halfStated := unstated
	halfStated.Angle.U = 1
	for _, c := range []struct {
		name  string
		q     fo.Identification
		field string
		kind  error
	}{
		{"nothing", fo.Identification{}, "Candidates", units.ErrMissing},
		{"nil layout", fo.Identification{Candidates: []*fo.Layout{six, nil}, Readings: one}, "Candidates[1]", units.ErrMissing},
		{"zero layout", fo.Identification{Candidates: []*fo.Layout{new(fo.Layout)}, Readings: one}, "Candidates[0]", units.ErrMissing},
		{"a four among sixes", fo.Identification{Candidates: []*fo.Layout{six, four}, Readings: one}, "Candidates[1]", units.ErrConflict},
		{"no readings", fo.Identification{Candidates: []*fo.Layout{six}}, "Readings", units.ErrMissing},
		{"sense", fo.Identification{Candidates: []*fo.Layout{six}, Readings: one, Sense: 3}, "Sense", units.ErrRange},
		{"cylinder 0", with(reading(0, 0, 1)), "Readings[1]", units.ErrRange},
		{"cylinder 7", with(reading(7, 0, 1)), "Readings[1]", units.ErrRange},
		{"twice", with(reading(1, 0, 1)), "Readings[1]", units.ErrConflict},
		{"unstated", with(unstated), "Readings[1]", units.ErrMissing},
		{"half stated", with(halfStated), "Readings[1]", units.ErrConflict},
		{"u zero", with(reading(2, 0, 0)), "Readings[1]", units.ErrRange},
		{"u negative", with(reading(2, 0, -1)), "Readings[1]", units.ErrRange},
		{"u of half a turn", with(reading(2, 0, 180)), "Readings[1]", units.ErrRange},
	} {
		found, err := c.q.Identify()
		refused(t, c.name, found.Fits != nil || found.Rejected != nil, err, c.field, c.kind)
	}
	pair := []fo.TDCReading{reading(1, 0, 1), reading(2, 1, 1)}
	for _, c := range []struct {
		name  string
		q     fo.TDCComparison
		field string
		kind  error
	}{
		{"nothing", fo.TDCComparison{}, "Readings", units.ErrMissing},
		{"spacing missing", fo.TDCComparison{Readings: pair}, "Spacing", units.ErrMissing},
		{"spacing negative", fo.TDCComparison{Readings: pair, Spacing: -1}, "Spacing", units.ErrRange},
		{"spacing over half a turn", fo.TDCComparison{Readings: pair, Spacing: units.CrankTurn/2 + 1}, "Spacing", units.ErrRange},
		{"too uncertain", fo.TDCComparison{Readings: pair, Spacing: 5 * units.CrankDegree}, "Readings", units.ErrImpossible},
		{"cylinder 65", fo.TDCComparison{Readings: []fo.TDCReading{reading(65, 0, 1)}, Spacing: units.CrankDegree}, "Readings[0]", units.ErrRange},
		{"unstated", fo.TDCComparison{Readings: []fo.TDCReading{unstated}, Spacing: units.CrankDegree}, "Readings[0]", units.ErrMissing},
	} {
		g, err := c.q.Compare()
		refused(t, c.name, g.Shared != nil || g.Alone != nil || g.Unclear != nil, err, c.field, c.kind)
	}
	// Angles at the ends of their range neither overflow nor shift.
	far := []fo.TDCReading{
		{Cylinder: 1, Angle: units.WithU(units.CrankAngle(math.MaxInt64), units.CrankDegree)},
		{Cylinder: 6, Angle: units.WithU(units.CrankAngle(math.MaxInt64).WrapTurn(), units.CrankDegree)},
		{Cylinder: 2, Angle: units.WithU(units.CrankAngle(-math.MaxInt64), units.CrankDegree)},
		{Cylinder: 5, Angle: units.WithU(units.CrankAngle(-math.MaxInt64).WrapTurn(), units.CrankDegree)},
	}
	g, err := fo.TDCComparison{Readings: far, Spacing: 9 * units.CrankDegree}.Compare()
	if err != nil || len(g.Shared) != 2 {
		t.Errorf("%+v, %v", g, err)
	}
}

// Readings from any layout, in any sequence, give back who shares TDC.
func TestCompareAgainstLayouts(t *testing.T) {
	rnd := rand.New(rand.NewPCG(28, 29))
	for range 500 {
		l := random(rnd).layout(t)
		n := l.Cylinders()
		cylinders := rnd.Perm(n)
		for i := range cylinders {
			cylinders[i]++
		}
		r := readWheel(t, l, rnd, units.CrankAngle(rnd.Int64N(int64(units.CrankTurn))), fo.WheelBackward, 0, cylinders...)
		for i := range r { // an error of under u on each, less than 2 sqrt(2) u on a difference
			r[i].Angle.U = units.CrankDegree
			r[i].Angle.Value += units.CrankAngle(rnd.Int64N(int64(2*units.CrankDegree))) - units.CrankDegree
		}
		// The TDCs of a random layout are 30 degrees apart at least, less 2 of error.
		g, err := fo.TDCComparison{Readings: r, Spacing: 20 * units.CrankDegree}.Compare()
		if err != nil {
			t.Fatal(err)
		}
		if len(g.Unclear) > 0 {
			t.Fatalf("unclear %v", g.Unclear)
		}
		if want := l.SharedTDC(); !slices.EqualFunc(g.Shared, want, slices.Equal) {
			t.Fatalf("%v, want %v", g.Shared, want)
		}
	}
}

func BenchmarkIdentify(b *testing.B) {
	q := fo.Identification{Candidates: []*fo.Layout{inline(b, fo.SixEven, false), inline(b, fo.SixEven, true)}}
	for i, a := range []float64{30, 150, 270, 270, 150, 30} {
		q.Readings = append(q.Readings, reading(i+1, a, 1))
	}
	b.ReportAllocs()
	for b.Loop() {
		found, err := q.Identify()
		if err != nil || len(found.Fits) != 2 {
			b.Fatal(found, err)
		}
	}
}

// Whatever the readings, the answer is a refusal with a type or a fit that adds up.
func FuzzIdentify(f *testing.F) {
	f.Add(uint64(1), int64(0), int64(1_000_000_000), int64(120_000_000_000))
	f.Add(uint64(2), int64(math.MaxInt64), int64(-1), int64(1))
	f.Add(uint64(3), int64(-5), int64(1), int64(180_000_000_000))
	f.Add(uint64(4), int64(math.MinInt64), int64(179_999_999_999), int64(math.MinInt64))
	f.Fuzz(func(t *testing.T, seed uint64, a, u, spacing int64) {
		rnd := rand.New(rand.NewPCG(seed, 1))
		l := random(rnd).layout(t)
		n := l.Cylinders()
		var r []fo.TDCReading
		for _, c := range rnd.Perm(n)[:rnd.IntN(n+1)] {
			x := fo.TDCReading{Cylinder: c + 1, Angle: units.WithU(units.CrankAngle(a), units.CrankAngle(u))}
			if rnd.IntN(3) > 0 {
				x.Angle = units.WithU(units.CrankAngle(rnd.Uint64()), units.CrankAngle(1+rnd.Int64N(int64(units.CrankTurn/3))))
			}
			r = append(r, x)
		}
		found, err := fo.Identification{Candidates: []*fo.Layout{l, l}, Readings: r}.Identify()
		if err != nil {
			typed(t, err)
			if found.Fits != nil || found.Rejected != nil {
				t.Fatal("a value with an error")
			}
		} else if len(found.Fits)+len(found.Rejected) != 4 || len(found.Fits) > 1 && len(found.Alike) == 0 {
			t.Fatalf("%+v", found)
		}
		for _, f := range append(found.Fits, found.Rejected...) {
			if !(f.Probability >= 0 && f.Probability <= 1) || f.ChiSquare < 0 || f.Zero.Value < 0 || f.Zero.Value >= units.CrankTurn || f.Zero.U < 0 {
				t.Fatalf("%+v", f)
			}
			sum := 0.0
			for i, x := range f.Residuals {
				q := float64(x) / float64(r[i].Angle.U)
				sum += q * q
			}
			// The zero is rounded to the quantum and residuals with it.
			if len(r) > 1 && math.Abs(sum-f.ChiSquare) > 1e-6*(1+f.ChiSquare) && smallest(r) > 1000 {
				t.Fatalf("residuals add up to %v, chi-square is %v", sum, f.ChiSquare)
			}
			if len(f.Working()) != len(r)+3 {
				t.Fatal("the working lacks readings")
			}
		}
		g, err := fo.TDCComparison{Readings: r, Spacing: units.CrankAngle(spacing)}.Compare()
		if err != nil {
			typed(t, err)
			return
		}
		seen := len(g.Alone)
		for _, s := range g.Shared {
			seen += len(s)
		}
		if seen > len(r) || seen < len(r) && len(g.Unclear) == 0 {
			t.Fatalf("%d of %d accounted for: %+v", seen, len(r), g)
		}
	})
}

func smallest(r []fo.TDCReading) units.CrankAngle {
	u := r[0].Angle.U
	for _, x := range r {
		u = min(u, x.Angle.U)
	}
	return u
}
