package camtiming_test

import (
	"math/rand/v2"
	"strconv"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// Results are kept so that nothing is optimized away; inputs are cycled.
var (
	sinkInversion camtiming.Inversion
	sinkLength    units.Length
)

func workboatCam(tb testing.TB) *camtiming.Cam {
	tb.Helper()
	return must[*camtiming.Cam](tb)(must[camtiming.Resolved](tb)(workboatCard().Resolve()).Cam())
}

func BenchmarkAdvance(b *testing.B) {
	table := must[*camtiming.TableLobe](b)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: sampled(flanks{camtiming.Poly345, 300 * units.Thou, 68, 68}, 1, -75, 75)}))
	for _, c := range []struct {
		name string
		cam  *camtiming.Cam
	}{
		{"fitted", workboatCam(b)},
		{"closed", unequalPair.cam(b)},
		{"table", must[*camtiming.Cam](b)(camtiming.NewCam(camtiming.CamSpec{Intake: table, Exhaust: table, Separation: cam(110)}))},
	} {
		b.Run(c.name, func(b *testing.B) {
			var d [64]units.Length
			for i := range d {
				d[i] = c.cam.At(crank(float64(i)/4 - 8)).Difference
			}
			i := 0
			b.ReportAllocs()
			for b.Loop() {
				sinkInversion, _ = c.cam.Advance(d[i&63])
				i++
			}
		})
	}
}

func BenchmarkLift(b *testing.B) {
	for name, c := range someLobes(b) {
		b.Run(name, func(b *testing.B) {
			var x [64]units.CamAngle
			for i := range x {
				x[i] = cam(float64(i)*2 - 64)
			}
			i := 0
			b.ReportAllocs()
			for b.Loop() {
				sinkLength = c.Lift(x[i&63])
				i++
			}
		})
	}
}

func BenchmarkSplit(b *testing.B) {
	k := workboatCam(b)
	var r [16]camtiming.SplitReading
	for i := range r {
		r[i] = camtiming.SplitReading{Zero: sameHeight, Difference: units.WithU(k.At(crank(float64(i)-8)).Difference, units.Thou/2), TDC: crank(0.5), Proof: rocked}
	}
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		if _, err := k.Split(r[i&15]); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

func BenchmarkDiagnose(b *testing.B) {
	p := unequalPair
	in := camtiming.DiagnosisInput{
		Cam: p.cam(b), Observations: engine{p: p, off: 20, zero: true, proof: rocked}.read(rand.New(rand.NewPCG(1, 1))),
		Suspects: camtiming.Suspects{
			Teeth: 36, MostTeeth: 2, Keyways: []units.CrankAngle{crank(6)}, Bushings: []units.CrankAngle{crank(3)},
			TDCError: crank(1), Slack: crank(2), CylinderSpread: crank(1),
		},
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.Diagnose(in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSurvey(b *testing.B) {
	var in camtiming.SurveyInput
	for i := range 6 {
		in.Stations = append(in.Stations, camtiming.Station{Cylinder: strconv.Itoa(i + 1), Position: units.Length(i) * 100 * units.Millimeter, Advance: units.WithU(crank(4+0.1*float64(i%3)), crank(0.2))})
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.Survey(in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNewCardLobe(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.NewCardLobe(workboatLobe); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCardResolve(b *testing.B) {
	c := workboatCard()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.Resolve(); err != nil {
			b.Fatal(err)
		}
	}
}
