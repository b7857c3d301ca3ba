package camtiming_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/interp"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// Each way of joining against the fit of another library through the same
// points, over uneven steps: lift and slope.
func TestTableJoins(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 14))
	type fitted interface {
		interp.FittablePredictor
		interp.DerivativePredictor
	}
	for _, n := range []int{4, 5, 6, 33, 200} {
		for name, c := range map[string]struct {
			how   camtiming.Interpolation
			other fitted
		}{
			"monotone":   {camtiming.Monotone, new(interp.FritschButland)},
			"natural":    {camtiming.NaturalSpline, new(interp.NaturalCubic)},
			"not a knot": {camtiming.NotAKnotSpline, new(interp.NotAKnotCubic)},
			"clamped":    {camtiming.ClampedSpline, new(interp.ClampedCubic)},
			"straight":   {camtiming.Straight, nil},
		} {
			t.Run(name+" "+strconv.Itoa(n), func(t *testing.T) {
				s := make([]camtiming.LiftSample, n)
				x, y := make([]float64, n), make([]float64, n)
				for i := range s {
					x[i] = -60 + 120*(float64(i)+0.6*(r.Float64()-0.5))/float64(n-1)
					s[i].Angle = cam(x[i])
					if i > 0 && i < n-1 {
						s[i].Lift = units.Length(r.Int64N(9e9))
					}
					x[i], y[i] = s[i].Angle.Degrees(), s[i].Lift.Meters()
				}
				l := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s, Interpolation: c.how, Origin: camtiming.AsMeasured}))
				if c.other != nil {
					if err := c.other.Fit(x, y); err != nil {
						t.Fatal(err)
					}
				}
				for range 300 {
					a := cam(x[0] + (x[n-1]-x[0])*r.Float64())
					d := a.Degrees()
					if c.other == nil {
						i := 0
						for x[i+1] < d {
							i++
						}
						near(t, "lift", l.Lift(a).Meters(), y[i]+(y[i+1]-y[i])*(d-x[i])/(x[i+1]-x[i]), 1e-12)
						continue
					}
					near(t, "lift", l.Lift(a).Meters(), c.other.Predict(d), 2e-12)
					near(t, "slope", float64(l.Velocity(a)), c.other.PredictDerivative(d), 1e-10)
				}
			})
		}
	}
}

// A periodic spline is one curve around the cam: on a table read twice around,
// the middle turn of the natural spline is the same. Its derivatives meet at
// the ends.
func TestPeriodicTable(t *testing.T) {
	lift := func(d float64) float64 { return math.Exp(3*math.Cos((d-100)*math.Pi/180)) - math.Exp(-3) }
	var s []camtiming.LiftSample
	var x, y []float64
	for d := -80.0; d <= 280; d += 10 { // the lowest point is at both ends
		s = append(s, camtiming.LiftSample{Angle: cam(d), Lift: pm(lift(d) * 1e-3)})
	}
	for turn := -2; turn <= 2; turn++ {
		for _, p := range s[:36] {
			x, y = append(x, p.Angle.Degrees()+360*float64(turn)), append(y, p.Lift.Meters())
		}
	}
	var long interp.NaturalCubic
	if err := long.Fit(x, y); err != nil {
		t.Fatal(err)
	}
	l := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s, Interpolation: camtiming.PeriodicSpline, Origin: camtiming.AsMeasured}))
	for d := -80.0; d <= 280; d += 0.7 {
		near(t, "lift", l.Lift(cam(d)).Meters(), long.Predict(d), 1e-12)
		near(t, "slope", float64(l.Velocity(cam(d))), long.PredictDerivative(d), 1e-14)
	}
	first, last := l.Motion(cam(-80)), l.Motion(cam(280))
	near(t, "slopes meet", float64(first.Velocity), float64(last.Velocity), 1e-16)
	near(t, "bends meet", float64(first.Acceleration), float64(last.Acceleration), 1e-17)
	s[0].Lift++
	_, err := camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s, Interpolation: camtiming.PeriodicSpline, Origin: camtiming.AsMeasured})
	refuse(t, []bad{{"open", func() (any, error) { return (*camtiming.TableLobe)(nil), err }, "Samples", units.ErrConflict}})
}

// A table whose nose was not read: the joined curve finds it between the
// points beside it.
func TestMissingNose(t *testing.T) {
	f := flanks{camtiming.Poly4567, 330 * units.Thou, 64, 64}
	var s []camtiming.LiftSample
	for d := -70.0; d <= 70; d += 2 {
		if math.Abs(d) > 3 { // no point from -2 to 2, the nose among them
			s = append(s, camtiming.LiftSample{Angle: cam(d + 3.3), Lift: pm(f.at(d))})
		}
	}
	for _, how := range []camtiming.Interpolation{camtiming.NaturalSpline, camtiming.NotAKnotSpline, camtiming.ClampedSpline} {
		l := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s, Interpolation: how, Origin: camtiming.AsMeasured}))
		near(t, "nose", l.Nose().Degrees(), 3.3, 1e-6)
		// A cubic over the gap of 8 degrees is off by about h^4 y4/384 = 330
		// 840 (8/64)^4/384 = 0.18 thousandths in its middle, y4 the fourth derivative.
		near(t, "lift", l.MaxLift().Thousandths(), 330, 0.25)
		l = must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s, Interpolation: how}))
		near(t, "opens", l.Span().Opens.Degrees(), -64, 2.01)
	}
}

func BenchmarkNewTableLobe(b *testing.B) {
	s := sampled(flanks{camtiming.Poly345, 300 * units.Thou, 66, 70}, 0.2, -72, 71.8)
	for name, how := range map[string]camtiming.Interpolation{
		"monotone": camtiming.Monotone, "natural": camtiming.NaturalSpline, "not_a_knot": camtiming.NotAKnotSpline,
		"clamped": camtiming.ClampedSpline, "straight": camtiming.Straight,
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s, Interpolation: how}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
