package camtiming_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// unsteady reads a lobe of like flanks at n lifts with errors of k times the
// stated uncertainty; its midpoints lean by skew.
func unsteady(rng *rand.Rand, n int, k, skew float64) camtiming.EqualLiftInput {
	const uw = 0.3
	in := camtiming.EqualLiftInput{Valve: camtiming.IntakeValve}
	for i := range n {
		half := 45 + 12*float64(i)
		middle := 106 + skew*half
		in.Readings = append(in.Readings, camtiming.EqualLiftReading{
			Drop:   units.Some(inch(0.04 + 0.03*float64(i))),
			Before: units.WithU(crank(middle-half+k*uw*rng.NormFloat64()), crank(uw)),
			After:  units.WithU(crank(middle+half+k*uw*rng.NormFloat64()), crank(uw)),
		})
	}
	return in
}

// However much more than stated the readings scatter, like flanks are called
// unlike in at most 5 % of cases: 1.96 of the stated uncertainty holds that for as
// much as stated, Student's t of the scatter for any.
func TestEqualLiftFalseAsymmetry(t *testing.T) {
	rng := rand.New(rand.NewPCG(51, 52))
	const trials = 2500
	se := math.Sqrt(0.05 * 0.95 / trials)
	for _, n := range []int{3, 4, 5, 7} {
		for _, k := range []float64{0.5, 1, 1.3, 2, 4, 10} {
			wrong, covered := 0, 0
			for range trials {
				r := must[camtiming.EqualLiftResult](t)(camtiming.EqualLift(unsteady(rng, n, k, 0)))
				if r.Asymmetric {
					wrong++
				}
				// The widened uncertainty is that of the scatter where the line
				// does not fit, else the stated one, whatever the drift is.
				z := math.Abs(r.Drift.Value.Degrees())
				if z <= 1.96*r.Drift.U.Degrees() {
					covered++
				}
				if r.Asymmetric && r.Mean.Given {
					t.Fatal("a drift is proved and the mean given")
				}
				if r.Mean.Given != (z <= 1.959964*r.Drift.U.Degrees()) && math.Abs(z-1.96*r.Drift.U.Degrees()) > 1e-6 {
					t.Fatalf("mean given %v, drift %v", r.Mean.Given, r.Drift)
				}
			}
			if p := float64(wrong) / trials; p > 0.05+4*se {
				t.Errorf("%d lifts, scatter %g times as stated: unlike flanks in %g of cases", n, k, p)
			}
			if p := float64(covered) / trials; k <= 1 && p < 0.95-4*se {
				t.Errorf("%d lifts, scatter %g times as stated: 1.96 u(drift) covers %g", n, k, p)
			}
		}
	}
}

// With scatter as stated, a drift of six uncertainties is found nearly always
// by five lifts.
func TestEqualLiftFindsAsymmetry(t *testing.T) {
	rng := rand.New(rand.NewPCG(53, 54))
	const trials = 2000
	found := 0
	for range trials {
		// u(skew) = u/sqrt(Sxx), u = 0.3/sqrt 2, Sxx = 12^2 (4 + 1 + 0 + 1 + 4) = 1440.
		r := must[camtiming.EqualLiftResult](t)(camtiming.EqualLift(unsteady(rng, 5, 1, 6*0.3/math.Sqrt(2*1440))))
		if r.Asymmetric {
			found++
		}
	}
	// Python with a generator of its own: |6 + z| over max(1.96, 3.18245 s) in
	// 0.967 of 400,000 draws.
	near(t, "found", float64(found)/trials, 0.967, 4*math.Sqrt(0.967*0.033/trials))
}

// A drift between the two bounds: nothing is claimed, and the mean is withheld.
func TestEqualLiftBetween(t *testing.T) {
	// Midpoints at half widths 50, 60, 70: 105.4, 106.3, 106.6.
	in := camtiming.EqualLiftInput{Valve: camtiming.IntakeValve}
	for i, m := range []float64{105.4, 106.3, 106.6} {
		half := 50 + 10*float64(i)
		in.Readings = append(in.Readings, camtiming.EqualLiftReading{
			Drop: units.Some(inch(0.05 + 0.04*float64(i))), Before: units.WithU(crank(m-half), crank(0.4)), After: units.WithU(crank(m+half), crank(0.4)),
		})
	}
	r := must[camtiming.EqualLiftResult](t)(camtiming.EqualLift(in))
	// By hand: u = 0.4/sqrt 2, skew = 1.2/20 = 0.06, u(skew) = u/sqrt(200) =
	// 0.02: 3 u. Residuals 0.1 (-1, 2, -1): chi-square = 0.06/0.08 = 0.75 of one degree of
	// freedom, R = 0.866, and 12.7062 R u = 11.0 u.
	near(t, "skew", r.Skew, 0.06, 1e-9)
	near(t, "u(skew)", r.SkewU, 0.02, 1e-9)
	near(t, "chi-square", r.Line.ChiSquare, 0.75, 1e-7)
	if r.Asymmetric || r.Mean.Given || !r.Nose.Given {
		t.Errorf("3 u of drift by three lifts: asymmetric %v, mean %v, nose %v", r.Asymmetric, r.Mean.Given, r.Nose.Given)
	}
	var b strings.Builder
	for _, s := range r.Working() {
		b.WriteString(s.Symbol + " " + s.Numbers + " " + s.Value + "\n")
	}
	text := b.String()
	// 12.7062 x 0.8660 x 0.02 x 20 = 4.4016.
	if !strings.Contains(text, "drift 1.20 crank deg against 4.40 crank deg not proved") || !strings.Contains(text, "chi2 line 1 degrees of freedom 0.75") {
		t.Errorf("working:\n%s", text)
	}
}
