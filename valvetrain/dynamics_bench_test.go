package valvetrain_test

import (
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// swept moves an angle over the lobe.
func swept(a units.CamAngle) units.CamAngle {
	if a += 1_000_003; a > camDeg(60) {
		return -camDeg(60)
	}
	return a
}

func benchContact(tb testing.TB, tr valvetrain.Turning, roller, crown units.Length) *valvetrain.CamContact {
	tb.Helper()
	return must[*valvetrain.CamContact](tb)(tr.Contact(valvetrain.CamFollower{Base: mm(60), Roller: roller, Width: mm(14), Crown: crown, Surfaces: steels, Friction: 0.1}))
}

// What runs per angle and the search for the float speed never allocate.
func TestDynamicsNoAllocation(t *testing.T) {
	port := valvetrain.FlowValve{Head: mm(38), Seat: mm(1.8), Angle: valvetrain.PlaneDegrees(45), Port: mm(31), Stem: mm(8)}
	for shape, c := range gearShapes(t) {
		if shape == "arcs" || shape == "tangent" {
			continue // made for other followers than those below
		}
		d := dynamicsFor(t, c, pair, valvetrain.ConstantRatio{Ratio: 1.4, Lash: mm(0.2)})
		tr := must[valvetrain.Turning](t)(d.Turning(150))
		var contacts []*valvetrain.CamContact
		if shape != "table" {
			contacts = append(contacts, benchContact(t, tr, 0, 0), benchContact(t, tr, 0, mm(800)), benchContact(t, tr, mm(9), 0), benchContact(t, tr, mm(9), mm(700)))
		}
		var sum float64
		if n := testing.AllocsPerRun(20, func() {
			f, err := d.Float()
			if err != nil {
				t.Fatal(err)
			}
			sum += float64(f.Cam.Value)
			for a := -camDeg(60); a < camDeg(60); a += camDeg(3) {
				sum += float64(tr.At(a).AtCam)
				for _, k := range contacts {
					sum += float64(k.At(a).Peak)
				}
			}
			x, err := port.FlowArea(mm(5))
			if err != nil {
				t.Fatal(err)
			}
			sum += float64(x.Area)
		}); n != 0 {
			t.Errorf("%s: %v allocations", shape, n)
		}
	}
}

func TestVaryingRatioDoesNotAllocate(t *testing.T) {
	for name, d := range map[string]*valvetrain.Dynamics{"linkage": boatLinkage(t), "finger": fingerDynamics(t, boatFinger(t))} {
		tr := must[valvetrain.Turning](t)(d.Turning(100))
		if n := testing.AllocsPerRun(20, func() { _, _ = d.Float(); tr.At(camDeg(-20)) }); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}

func BenchmarkFloat(b *testing.B) {
	for _, shape := range []string{"3-4-5 polynomial", "arcs", "table"} {
		c, ok := gearShapes(b)[shape]
		if !ok {
			b.Fatal(shape)
		}
		for name, s := range map[string]valvetrain.Spring{"linear": outer, "nest": pair} {
			b.Run(shape+"/"+name, func(b *testing.B) {
				d := dynamicsFor(b, c, s, valvetrain.ConstantRatio{Ratio: 1.4, Lash: mm(0.2)})
				b.ReportAllocs()
				var sum units.AngularSpeed
				for b.Loop() {
					f, err := d.Float()
					if err != nil {
						b.Fatal(err)
					}
					sum += f.Cam.Value
				}
				sink = float64(sum)
			})
		}
	}
}

var sink float64 //nolint:gochecknoglobals // keeps the compiler from dropping what is measured

func BenchmarkTurningAt(b *testing.B) {
	d := dynamicsFor(b, lawOf(b, camtiming.Poly345, 7.5, 62, 68), outer, valvetrain.ConstantRatio{Ratio: 1.4})
	tr := must[valvetrain.Turning](b)(d.Turning(150))
	b.Run("forces", func(b *testing.B) {
		b.ReportAllocs()
		var sum float64
		a := -camDeg(60)
		for b.Loop() {
			sum += float64(tr.At(a).AtCam)
			a = swept(a)
		}
		sink = sum
	})
	for _, k := range []struct {
		name          string
		roller, crown units.Length
	}{{"flat", 0, 0}, {"roller", mm(9), 0}, {"crowned roller", mm(9), mm(700)}} {
		b.Run(k.name, func(b *testing.B) {
			c := benchContact(b, tr, k.roller, k.crown)
			b.ReportAllocs()
			var sum float64
			a := -camDeg(60)
			for b.Loop() {
				sum += float64(c.At(a).Peak)
				a = swept(a)
			}
			sink = sum
		})
	}
}

func BenchmarkTurningLimits(b *testing.B) {
	d := dynamicsFor(b, lawOf(b, camtiming.Poly345, 7.5, 62, 68), outer, valvetrain.ConstantRatio{Ratio: 1.4})
	tr := must[valvetrain.Turning](b)(d.Turning(150))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := tr.Limits(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkResponse(b *testing.B) {
	d := dynamicsFor(b, lawOf(b, camtiming.Poly345, 7.5, 62, 68), outer, valvetrain.ConstantRatio{Ratio: 1.4})
	tr := must[valvetrain.Turning](b)(d.Turning(150))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := tr.Response(valvetrain.FlexibleTrain{Stiffness: 5e6, Damping: 0.05}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFlowArea(b *testing.B) {
	v := valvetrain.FlowValve{Head: mm(38), Seat: mm(1.8), Angle: valvetrain.PlaneDegrees(45), Port: mm(31), Stem: mm(8)}
	b.ReportAllocs()
	var sum units.Area
	l := units.Length(0)
	for b.Loop() {
		a, err := v.FlowArea(l)
		if err != nil {
			b.Fatal(err)
		}
		sum += a.Area
		if l += mm(0.01); l > mm(12) {
			l = 0
		}
	}
	sink = float64(sum)
}

// A rocker whose ratio varies, and a finger.
func BenchmarkVaryingRatio(b *testing.B) {
	for name, d := range map[string]*valvetrain.Dynamics{"linkage": boatLinkage(b), "finger": fingerDynamics(b, boatFinger(b))} {
		b.Run(name+" float", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := d.Float(); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(name+" forces", func(b *testing.B) {
			tr := must[valvetrain.Turning](b)(d.Turning(150))
			b.ReportAllocs()
			var sum float64
			a := -camDeg(60)
			for b.Loop() {
				sum += float64(tr.At(a).AtCam)
				a = swept(a)
			}
			sink = sum
		})
	}
}
