package valvetrain_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// everyStack calls f with every stack of the stock.
func everyStack(stock []valvetrain.ShimStock, f func(sum units.Length, count int)) {
	var walk func(i int, sum units.Length, count int)
	walk = func(i int, sum units.Length, count int) {
		if i == len(stock) {
			f(sum, count)
			return
		}
		for n := range stock[i].Count + 1 {
			walk(i+1, sum+units.Length(n)*stock[i].Thickness, count+n)
		}
	}
	walk(0, 0, 0)
}

// The stack picked against all stacks there are, for a height and for a force,
// with stocks of round and of odd thicknesses.
func TestShimsAgainstAllStacks(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 300 {
		j := valvetrain.ShimJob{Unshimmed: mm(42) + units.Length(r.IntN(4000))*units.Micrometer, Most: r.IntN(5)}
		step := units.Thou * 5
		if r.IntN(2) == 0 {
			step = 1
		}
		for range 1 + r.IntN(4) {
			th := max((units.Length(r.IntN(int(2*units.Millimeter)))+units.Thou*5)/step*step, step)
			if !slices.ContainsFunc(j.Stock, func(s valvetrain.ShimStock) bool { return s.Thickness == th }) {
				j.Stock = append(j.Stock, valvetrain.ShimStock{Thickness: th, Count: r.IntN(4)})
			}
		}
		want := mm(40) + units.Length(r.IntN(5000))*units.Micrometer
		if r.IntN(3) == 0 {
			j.Lowest = want - units.Length(r.IntN(300))*units.Micrometer
		}
		if j.Unshimmed < j.Lowest {
			continue
		}
		type found struct {
			miss   float64
			height units.Length
			count  int
		}
		best := func(miss func(units.Length) (float64, bool)) found {
			b := found{miss: math.Inf(1)}
			everyStack(j.Stock, func(sum units.Length, count int) {
				h := j.Unshimmed - sum
				m, ok := miss(h)
				if !ok || h < j.Lowest || j.Most > 0 && count > j.Most {
					return
				}
				if m < b.miss || m == b.miss && (h > b.height || h == b.height && count < b.count) {
					b = found{m, h, count}
				}
			})
			return b
		}
		check := func(what string, p valvetrain.ShimPlan, b found) {
			t.Helper()
			if p.Height != b.height || p.Count != b.count {
				t.Errorf("%s: %+v\n picked %v with %d, best %v with %d", what, j, p.Height, p.Count, b.height, b.count)
			}
			var sum units.Length
			count := 0
			for _, s := range p.Shims {
				sum, count = sum+units.Length(s.Count)*s.Thickness, count+s.Count
				if i := slices.IndexFunc(j.Stock, func(o valvetrain.ShimStock) bool { return o.Thickness == s.Thickness }); i < 0 || j.Stock[i].Count < s.Count {
					t.Errorf("%s: %+v is not in stock", what, s)
				}
			}
			if sum != p.Total || count != p.Count || p.Height != j.Unshimmed-p.Total {
				t.Errorf("%s: the plan does not add up: %+v", what, p)
			}
			worked(t, what, p.Working())
		}
		p := must[valvetrain.ShimPlan](t)(j.ForHeight(want))
		check("height", p, best(func(h units.Length) (float64, bool) { return math.Abs(float64(h - want)), true }))
		if p.Error != p.Height-want || p.Force.Given {
			t.Errorf("error %v", p.Error)
		}
		for name, s := range map[string]valvetrain.Spring{
			"linear": outer, "beehive": must[valvetrain.SpringCurve](t)(hive.Curve()),
			"nest with a spring that stands higher": valvetrain.Nest{Springs: []valvetrain.NestSpring{{Spring: outer}, {Spring: outer, Step: -mm(2)}}},
		} {
			f := must[units.Force](t)(s.ForceAt(want))
			p := must[valvetrain.ShimPlan](t)(j.ForLoad(s, f))
			check(name, p, best(func(h units.Length) (float64, bool) {
				got, err := s.ForceAt(h)
				return math.Abs(float64(got - f)), err == nil
			}))
			if !p.ForceError.Given || p.ForceError.Value != p.Force.Value-f {
				t.Errorf("force error %v", p.ForceError)
			}
		}
	}
	if n := len((valvetrain.ShimPlan{}).Cautions()); n != 3 {
		t.Errorf("%d cautions", n)
	}
}

// A thickness that two kinds make with fewer shims is still made without the
// thinner one, which then goes on top: 4 x 0.3 + 0.2 mm, though 1.0 + 0.2 mm is
// also 1.2 mm. Against every stack, with sizes that often make the same sums.
func TestShimsThatMakeTheSame(t *testing.T) {
	const tenth = units.Millimeter / 10
	j := valvetrain.ShimJob{Unshimmed: mm(45), Stock: []valvetrain.ShimStock{{10 * tenth, 1}, {3 * tenth, 4}, {2 * tenth, 1}}}
	p := must[valvetrain.ShimPlan](t)(j.ForHeight(mm(45) - 14*tenth))
	if p.Total != 14*tenth || p.Count != 5 {
		t.Errorf("%v with %d shims, want 1.4 mm with 5", p.Total, p.Count)
	}
	r := rand.New(rand.NewPCG(9, 10))
	for range 3000 {
		j := valvetrain.ShimJob{Unshimmed: mm(45), Most: r.IntN(8)}
		for _, k := range r.Perm(14)[:3+r.IntN(2)] {
			j.Stock = append(j.Stock, valvetrain.ShimStock{Thickness: units.Length(k+1) * tenth, Count: r.IntN(5)})
		}
		want := mm(45) - units.Length(1+r.IntN(40))*tenth
		var miss, height units.Length = math.MaxInt64, 0
		fewest := 0
		everyStack(j.Stock, func(sum units.Length, count int) {
			h := j.Unshimmed - sum
			m := (h - want).Abs()
			if j.Most > 0 && count > j.Most {
				return
			}
			if m < miss || m == miss && (h > height || h == height && count < fewest) {
				miss, height, fewest = m, h, count
			}
		})
		p := must[valvetrain.ShimPlan](t)(j.ForHeight(want))
		if p.Height != height || p.Count != fewest {
			t.Fatalf("%+v for %v: picked %v with %d, best %v with %d", j, want, p.Height, p.Count, height, fewest)
		}
	}
}

// Under the wanted height nothing helps, and an empty stock is no error.
func TestShimsNone(t *testing.T) {
	j := valvetrain.ShimJob{Unshimmed: mm(40), Stock: []valvetrain.ShimStock{{Thickness: mm(0.5), Count: 9}}}
	p := must[valvetrain.ShimPlan](t)(j.ForHeight(mm(41)))
	if p.Count != 0 || p.Error != -units.Millimeter {
		t.Errorf("%+v", p)
	}
	p = must[valvetrain.ShimPlan](t)(valvetrain.ShimJob{Unshimmed: mm(40)}.ForHeight(mm(39)))
	if p.Count != 0 || p.Error != units.Millimeter || len(p.Shims) != 0 {
		t.Errorf("%+v", p)
	}
}

// Median, MAD and scores do not care for order, move with a shift and grow
// with a scale; the median has half the set on each side.
func TestSetProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for n := 2; n < 30; n++ {
		var s valvetrain.Set[units.Length]
		for range n {
			s.Members = append(s.Members, valvetrain.Member[units.Length]{Value: units.WithU(mm(40)+units.Length(r.IntN(2000))*1000, 300)})
		}
		a := must[valvetrain.SetReport[units.Length]](t)(s.Compare())
		worked(t, "set", a.Working())
		below, above := 0, 0
		for _, m := range a.Members {
			if m.Value.Value < a.Median {
				below++
			}
			if m.Value.Value > a.Median {
				above++
			}
		}
		if 2*below > n || 2*above > n {
			t.Errorf("%d below, %d above the median of %d", below, above, n)
		}
		moved := valvetrain.Set[units.Length]{}
		for _, m := range s.Members {
			m.Value.Value = 3*m.Value.Value + mm(1)
			moved.Members = append(moved.Members, m)
		}
		r.Shuffle(n, func(i, j int) { moved.Members[i], moved.Members[j] = moved.Members[j], moved.Members[i] })
		b := must[valvetrain.SetReport[units.Length]](t)(moved.Compare())
		if (b.Median-3*a.Median-mm(1)).Abs() > 2 || (b.MAD-3*a.MAD).Abs() > 2 || b.Spread.Value != 3*a.Spread.Value || len(a.Outliers) != len(b.Outliers) {
			t.Errorf("moved: %v, %v, %v against %v, %v, %v", b.Median, b.MAD, b.Spread, a.Median, a.MAD, a.Spread)
		}
		if n < 4 && (len(a.Outliers) > 0 || a.Members[0].Score != 0) {
			t.Error("an outlier among fewer than four")
		}
		if a.Outcome != units.NotProved {
			t.Error("judged without limits")
		}
	}
	// A set all alike has no scores, and is judged.
	same := valvetrain.Set[time.Duration]{Each: units.Some(units.AtLeast(10*time.Second, own))}
	for range 5 {
		same.Members = append(same.Members, valvetrain.Member[time.Duration]{Value: units.WithU(12*time.Second, time.Second)})
	}
	r2 := must[valvetrain.SetReport[time.Duration]](t)(same.Compare())
	if r2.Outcome != units.ProvedWithin || len(r2.Outliers) != 0 || r2.MAD != 0 {
		t.Errorf("%+v", r2)
	}
}

// Travel of a thread against rational numbers; turns for a preload against all
// parts of a turn.
func TestThreadExact(t *testing.T) {
	for _, th := range []valvetrain.Thread{{PerInch: 20}, {PerInch: 24}, {PerInch: 28}, {Pitch: mm(1.25)}, {Pitch: mm(0.75)}} {
		for _, of := range []int{1, 2, 3, 4, 6, 8, 12, 360} {
			for parts := range of {
				turns := valvetrain.Turns{Whole: parts % 3, Parts: parts, Of: of}
				got := must[units.Length](t)(th.Travel(turns))
				want := new(big.Rat).SetInt64(int64(th.Pitch))
				if th.PerInch > 0 {
					want.SetFrac64(int64(units.Inch), int64(th.PerInch))
				}
				want.Mul(want, new(big.Rat).SetFrac64(int64(turns.Whole*of+parts), int64(of)))
				off := new(big.Rat).Sub(want, new(big.Rat).SetInt64(int64(got)))
				if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 {
					t.Errorf("%v of %v: %v", turns, th, got)
				}
			}
		}
	}
	for _, place := range []valvetrain.AdjusterPlace{valvetrain.AtPushrod, valvetrain.AtPivot, valvetrain.AtValve} {
		a := valvetrain.Adjuster{Place: place, Thread: valvetrain.Thread{PerInch: 24}, Ratio: 1.55}
		for w := units.Length(0); w < 2*units.Millimeter; w += 71 * units.Micrometer {
			for _, of := range []int{1, 4, 6} {
				p := must[valvetrain.TurnsPlan](t)(a.TurnsFor(valvetrain.WantedPreload{Preload: w, Of: of}))
				best := units.MaxLength
				for n := range 10 * of {
					got := must[valvetrain.Preload](t)(valvetrain.PreloadJob{Adjuster: a, Turns: valvetrain.Turns{Whole: n / of, Parts: n % of, Of: of}, Travel: exact(mm(4))}.Preload())
					best = min(best, (got.Preload.Value - w).Abs())
				}
				if p.Error.Abs() != best || p.Error != p.Preload-w {
					t.Errorf("%v, %v in 1/%d: %+v, best %v", place, w, of, p, best)
				}
				worked(t, "turns", p.Working())
			}
		}
	}
}

// The lever of each place against a rocker drawn out: pivot, pushrod end and
// valve end on a line that is tilted until the valve end stays where it was.
func TestPreloadLever(t *testing.T) {
	const arm, ratio, x = 30.0, 1.6, 0.5 // mm
	valve := arm * ratio
	// Heights of the pushrod end at -arm and of the valve end at +valve for a
	// pivot height and a tilt; a screw in an end carries its tip down by x.
	tilt := func(pivot, screw float64) float64 { return (0 + screw - pivot) / valve } // valve tip at 0
	for place, down := range map[valvetrain.AdjusterPlace]float64{
		valvetrain.AtPushrod: x,
		valvetrain.AtPivot:   -(-x - arm*tilt(-x, 0)),
		valvetrain.AtValve:   -(0 - arm*tilt(0, x)),
	} {
		p := must[valvetrain.Preload](t)(valvetrain.PreloadJob{
			Adjuster: valvetrain.Adjuster{Place: place, Thread: valvetrain.Thread{Pitch: mm(1)}, Ratio: ratio},
			Turns:    valvetrain.Turns{Parts: 1, Of: 2}, Travel: exact(mm(0.7)),
		}.Preload())
		near(t, place.String(), p.Preload.Value.Millimeters(), down, 1e-9)
		if p.Left.Value != mm(0.7)-p.Preload.Value || (p.Left.Value < 0) != (len(p.Cautions()) == 3) {
			t.Errorf("%v: left %v, %d cautions", place, p.Left, len(p.Cautions()))
		}
		worked(t, "preload", p.Working())
	}
}

// Smallest and largest clearance against every pair of places.
func TestLifterPairs(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 100 {
		var f valvetrain.LifterFit
		for range 1 + r.IntN(6) {
			f.Bore = append(f.Bore, exact(mm(23)+units.Length(r.IntN(60))*units.Micrometer))
		}
		for range 1 + r.IntN(6) {
			f.Body = append(f.Body, exact(mm(22.95)+units.Length(r.IntN(60))*units.Micrometer))
		}
		c := must[valvetrain.LifterClearance](t)(f.Clearance())
		lo, hi := units.MaxLength, -units.MaxLength
		var sum units.Length
		for _, b := range f.Bore {
			for _, y := range f.Body {
				lo, hi, sum = min(lo, b.Value-y.Value), max(hi, b.Value-y.Value), sum+b.Value-y.Value
			}
		}
		if c.Smallest.Value != lo || c.Largest.Value != hi || c.BoreSpread.Value+c.BodySpread.Value != hi-lo {
			t.Errorf("%v to %v, want %v to %v", c.Smallest, c.Largest, lo, hi)
		}
		if mean := sum / units.Length(len(f.Bore)*len(f.Body)); (c.Mean.Value - mean).Abs() > 2 {
			t.Errorf("mean %v, want %v", c.Mean.Value, mean)
		}
		worked(t, "lifter", c.Working())
	}
}

// A sphere set askew: evenly spaced rim readings give its crown and radius,
// whatever the tilt; the tilt is the runout.
func TestFaceOfTiltedSphere(t *testing.T) {
	const radius, a = 1270.0, 9.0 // mm
	crown := radius - math.Sqrt(radius*radius-a*a)
	for _, tilt := range []float64{0, 0.0004, 0.003} {
		for _, n := range []int{4, 6, 36} {
			r := valvetrain.FaceReadings{Center: exact(mm(0.05)), RimRadius: mm(a)}
			for i := range n {
				r.Rim = append(r.Rim, exact(mm(0.05-crown+tilt*a*math.Cos(2*math.Pi*float64(i)/float64(n)))))
			}
			f := must[valvetrain.Face](t)(r.Face())
			near(t, "crown", f.Crown.Value.Millimeters(), crown, 1e-6)
			near(t, "radius", f.Radius.Value.Millimeters(), radius, 1e-6)
			if d := f.Runout.Value.Millimeters() - 2*tilt*a; math.Abs(d) > 1e-6 {
				t.Errorf("runout %v", f.Runout)
			}
			worked(t, "face", f.Working())
		}
	}
	hollow := must[valvetrain.Face](t)(valvetrain.FaceReadings{Center: exact(-mm(0.01)), Rim: []units.Measured[units.Length]{exact(mm(0)), exact(mm(0)), exact(mm(0))}, RimRadius: mm(9)}.Face())
	if hollow.Crown.Value != -mm(0.01) || hollow.Radius.Given {
		t.Errorf("hollow: %+v", hollow)
	}
}

func TestHandChecks(t *testing.T) {
	got := valvetrain.LifterHandChecks{FreeFall: valvetrain.Passed, FreeRotation: valvetrain.Failed}.Records()
	if len(got) != 2 || got[0].Outcome != units.ProvedWithin || got[1].Outcome != units.ProvedOutside {
		t.Errorf("%+v", got)
	}
	for _, r := range append(got, valvetrain.LifterHandChecks{}.Records()...) {
		if r.Reason == "" || r.Source.Provenance != units.CommonPractice || r.Finding == valvetrain.NotDone && r.Outcome != units.NotProved {
			t.Errorf("%+v", r)
		}
	}
}

func TestLossOfNothing(t *testing.T) {
	r := must[valvetrain.SpringLossResult](t)(valvetrain.SpringLoss{New: exact(units.Newtons(500)), Now: exact(units.Newtons(510))}.Check())
	if r.Loss.Value != units.Newtons(-10) || r.Loss.Stated || r.ShareU != 0 || r.Verdict.Given {
		t.Errorf("%+v", r)
	}
	near(t, "share", r.Share, -0.02, 1e-12)
	worked(t, "loss", r.Working())
}
