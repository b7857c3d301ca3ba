package camtiming_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// Readings of one lobe, begun anywhere on a wheel with its zero anywhere, turned
// either way, give the same table.
func TestUnroll(t *testing.T) {
	r := rand.New(rand.NewPCG(40, 41))
	f := flanks{camtiming.Poly345, 300 * units.Thou, 60, 66}
	for range 300 {
		step := []float64{2, 5, 7.5}[r.IntN(3)]
		zero := float64(r.IntN(360)) // wheel reading at the nose
		var want, wheel []camtiming.LiftSample
		for k := math.Ceil(-75 / step); k*step <= 75; k++ {
			d := k * step
			at := math.Mod(zero+d+720, 360)
			wheel = append(wheel, camtiming.LiftSample{Angle: cam(at), Lift: pm(f.at(d))})
			base := zero
			if base > 180 {
				base -= 360
			}
			want = append(want, camtiming.LiftSample{Angle: cam(base + d), Lift: pm(f.at(d))})
		}
		if r.IntN(2) == 0 {
			slices.Reverse(wheel)
		}
		got := must[[]camtiming.LiftSample](t)(camtiming.Unroll(wheel))
		if !slices.Equal(got, want) {
			t.Fatalf("zero at %g: %v, want %v", zero, got, want)
		}
		// All around the cam, begun anywhere: cut open opposite the nose.
		var around []camtiming.LiftSample
		n := int(math.Round(360 / step))
		from := r.IntN(n)
		for k := range n {
			d := float64((k+from)%n) * step // from the nose
			lift := pm(f.at(math.Mod(d+180, 360) - 180))
			around = append(around, camtiming.LiftSample{Angle: cam(math.Mod(zero+d, 360)), Lift: lift})
		}
		closed := r.IntN(2) == 0
		if closed {
			around = append(around, around[0])
		}
		onLobe := func(s camtiming.LiftSample) bool { return s.Lift > 300*units.Thou/200 }
		cut := onLobe(around[0]) || onLobe(around[len(around)-1])
		if r.IntN(2) == 0 {
			slices.Reverse(around)
		}
		got = must[[]camtiming.LiftSample](t)(camtiming.Unroll(around))
		top := slices.IndexFunc(got, func(s camtiming.LiftSample) bool { return s.Lift == 300*units.Thou })
		nose := got[top].Angle
		near(t, "nose", math.Mod((nose.Degrees()-zero)+720, 360), 0, 1e-9)
		if nose <= -units.CamTurn/2 || nose > units.CamTurn/2 {
			t.Fatalf("nose at %v", nose)
		}
		if !slices.IsSortedFunc(got, func(a, b camtiming.LiftSample) int { return int((a.Angle - b.Angle) / units.CamDegree) }) {
			t.Fatalf("%v", got)
		}
		if cut && (len(got) != n || got[0].Angle < nose-units.CamTurn/2 || got[n-1].Angle > nose+units.CamTurn/2) {
			t.Fatalf("cut from %v to %v, nose %v", got[0].Angle, got[len(got)-1].Angle, nose)
		}
		// The table makes a lobe.
		l := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: got, Interpolation: camtiming.NaturalSpline}))
		near(t, "lift", l.MaxLift().Inches(), 0.3, 0.001)
	}
}

func TestUnrollBadInput(t *testing.T) {
	s := func(deg ...float64) func() (any, error) {
		return func() (any, error) {
			var x []camtiming.LiftSample
			for i, d := range deg {
				x = append(x, camtiming.LiftSample{Angle: cam(d), Lift: units.Length(i) * units.Thou})
			}
			got, err := camtiming.Unroll(x)
			return got, err
		}
	}
	extreme := func(a units.CamAngle) func() (any, error) {
		return func() (any, error) {
			got, err := camtiming.Unroll([]camtiming.LiftSample{{Angle: a}, {Angle: cam(1)}, {Angle: cam(2)}, {Angle: cam(3)}})
			return got, err
		}
	}
	refuse(t, []bad{
		{"none", s(), "samples", units.ErrMissing},
		{"three", s(1, 2, 3), "samples", units.ErrMissing},
		{"twice", s(1, 2, 2, 3), "samples.Angle", units.ErrConflict},
		{"a turn on", s(1, 2, 362, 3), "samples.Angle", units.ErrConflict},
		{"to and fro", s(1, 2, 3, 2), "samples.Angle", units.ErrConflict},
		{"half a turn", s(0, 10, 190, 200), "samples.Angle", units.ErrConflict},
		{"over a turn", s(0, 100, 200, 300, 30), "samples.Angle", units.ErrRange},
		{"least", extreme(math.MinInt64), "samples.Angle", units.ErrRange},
		{"most", extreme(math.MaxInt64), "samples.Angle", units.ErrRange},
		{"eleven turns", s(0, 1, 2, 3961), "samples.Angle", units.ErrRange},
	})
}

func BenchmarkUnroll(b *testing.B) {
	var s []camtiming.LiftSample
	for i := range 720 {
		s = append(s, camtiming.LiftSample{Angle: cam(math.Mod(200+float64(i)/2, 360)), Lift: pm(1e-3 * math.Max(0, math.Cos(float64(i-300)/60)))})
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.Unroll(s); err != nil {
			b.Fatal(err)
		}
	}
}
