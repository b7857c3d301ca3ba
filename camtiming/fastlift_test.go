package camtiming_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// Lift evaluates a law with one sine of its own; Law.Angle takes those of package
// math. On a lobe of the greatest lift they agree to the picometer, 1e-12.
func TestLiftAgainstLaw(t *testing.T) {
	for _, law := range append([]camtiming.Law{camtiming.ModifiedTrapezoid, camtiming.EighthDegree}, allLaws...) {
		l := must[*camtiming.LawLobe](t)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: law, MaxLift: units.Meter, Opening: cam(64), Closing: cam(80)}))
		for i := range 20001 {
			u := float64(i) / 20000
			want := law.At(u).S * 1e12
			for _, a := range []units.CamAngle{cam(-64 * (1 - u)), cam(80 * (1 - u))} {
				// an angle is a whole count: u is off by up to 4e-12 of the flank
				slack := 1 + 2.5e-12*law.At(u).V*1e12
				if got := float64(l.Lift(a)); math.Abs(got-want) > slack {
					t.Fatalf("%v at u = %g: %v pm, want %v", law, u, got, want)
				}
			}
		}
	}
}

// Uneven steps of any size are looked up right: straight pieces against a walk
// along the samples.
func TestUnevenTableLookUp(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for range 200 {
		n := 4 + r.IntN(60)
		x := make([]float64, n)
		x[0] = -70
		for i := 1; i < n; i++ {
			x[i] = x[i-1] + math.Exp(-6*r.Float64())*4 + 1e-3 // steps from 0.01 to 4 degrees
		}
		peak := 1 + r.IntN(n-2)
		samples := make([]camtiming.LiftSample, n)
		for i := range samples {
			up := float64(i) / float64(peak)
			if i > peak {
				up = float64(n-1-i) / float64(n-1-peak)
			}
			samples[i] = camtiming.LiftSample{Angle: cam(x[i]), Lift: units.Length(math.Round(up * 8e9))}
		}
		l := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: samples, Interpolation: camtiming.Straight}))
		for range 300 {
			a := samples[0].Angle + units.CamAngle(r.Int64N(int64(samples[n-1].Angle-samples[0].Angle)+1))
			if r.IntN(4) == 0 {
				a = samples[r.IntN(n)].Angle
			}
			i := 0
			for i < n-2 && a >= samples[i+1].Angle {
				i++
			}
			s, e := samples[i], samples[i+1]
			want := float64(s.Lift) + float64(e.Lift-s.Lift)*float64(a-s.Angle)/float64(e.Angle-s.Angle)
			if got := float64(l.Lift(a - samples[peak].Angle)); math.Abs(got-want) > 2 {
				t.Fatalf("%d samples at %v: %v, want %v", n, a, got, want)
			}
		}
	}
}
