package clearance_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// slider returns a workboat-sized slider-crank.
func slider(throw, rod, offset units.Length) *camtiming.SliderCrank {
	k, err := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: throw, Rod: rod, Offset: offset})
	if err != nil {
		panic(err)
	}
	return k
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// bumpy is a foreign lift curve with a hump on its opening flank, so that the gap
// has several local minima: harmonic, with waves on it.
type bumpy struct {
	lift, flank, wave, count float64 // meters, cam degrees
}

func (b bumpy) at(deg float64) (y, v float64) {
	if math.Abs(deg) >= b.flank {
		return 0, 0
	}
	k := math.Pi / b.flank
	w := k * b.count
	s, c := math.Sincos(k * deg)
	ws, wc := math.Sincos(w * deg)
	e := (1 + c) / 2
	de := -k * s / 2
	g := 1 + b.wave*(ws*ws)
	return b.lift * e * g, b.lift * (de*g + e*b.wave*2*ws*wc*w)
}

func (b bumpy) Lift(a units.CamAngle) units.Length {
	y, _ := b.at(a.Degrees())
	return units.Length(math.RoundToEven(y * 1e12))
}

func (b bumpy) Velocity(a units.CamAngle) units.LiftVelocity {
	_, v := b.at(a.Degrees())
	return units.LiftVelocity(v)
}
func (b bumpy) MaxLift() units.Length { return b.Lift(0) }
func (b bumpy) Span() camtiming.Span {
	a := must(units.CamDegrees(b.flank))
	return camtiming.Span{Opens: -a, Closes: a}
}

// randomLobe draws one of the kinds of lobe.
func randomLobe(r *rand.Rand, kind int) camtiming.LiftCurve {
	length := func(lo, hi float64) units.Length { return units.Length((lo + (hi-lo)*r.Float64()) * 1e9) }
	cam := func(lo, hi float64) units.CamAngle { return must(units.CamDegrees(lo + (hi-lo)*r.Float64())) }
	law := func() camtiming.LiftCurve {
		return must(camtiming.NewLawLobe(camtiming.LawLobeSpec{
			Law: camtiming.Law(1 + r.IntN(7)), MaxLift: length(5, 14), Opening: cam(45, 90), Closing: cam(45, 90),
		}))
	}
	switch kind {
	case 0:
		return law()
	case 1:
		lift := length(6, 12)
		d := 180 + 60*r.Float64()
		crank := func(x float64) units.CrankAngle { return must(units.CrankDegrees(x)) }
		l, err := camtiming.NewCardLobe(camtiming.CardLobeSpec{MaxLift: lift, Durations: []camtiming.DurationAt{
			{Lift: 150 * um, Duration: crank(d + 50)}, {Lift: 1270 * um, Duration: crank(d)},
		}})
		if err != nil {
			return law()
		}
		return l
	case 2: // a table of any joining, with even or uneven steps and noise
		l := law()
		s := l.Span()
		n := 20 + r.IntN(120)
		var t []camtiming.LiftSample
		for i := range n + 1 {
			a := s.Opens + (s.Closes-s.Opens)*units.CamAngle(i)/units.CamAngle(n)
			y := l.Lift(a)
			if i > 0 && i < n {
				y = max(0, y+units.Length(r.NormFloat64()*2e6))
			}
			t = append(t, camtiming.LiftSample{Angle: a, Lift: y})
		}
		how := []camtiming.Interpolation{camtiming.Monotone, camtiming.NaturalSpline, camtiming.NotAKnotSpline, camtiming.Straight, camtiming.ClampedSpline}[r.IntN(5)]
		return must(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: t, Interpolation: how}))
	case 3:
		spec := camtiming.ArcLobeSpec{Base: length(14, 20), Nose: units.Some(length(2, 6)), Lift: units.Some(length(6, 11)), Ascent: units.Some(cam(55, 75))}
		if r.IntN(2) == 0 {
			spec.Roller = length(8, 20)
		}
		l, err := camtiming.NewArcLobe(spec)
		if err != nil {
			return law()
		}
		return l
	default:
		return bumpy{0.006 + 0.006*r.Float64(), 50 + 40*r.Float64(), 0.5 * r.Float64(), float64(1 + r.IntN(9))}
	}
}

func randomValve(r *rand.Rand, kind int) (clearance.PistonValveSpec, units.CrankAngle) {
	throw := units.Length(30e9 + 30e9*r.Float64())
	spec := clearance.PistonValveSpec{
		Valve: camtiming.Valve(1 + r.IntN(2)), Lobe: randomLobe(r, kind),
		Piston: slider(throw, units.Length(float64(throw)*(2.6+2*r.Float64())), units.Length(8e9*(r.Float64()-0.5))),
		Face:   clearance.PistonFace(1 + r.IntN(2)), Lean: valvetrain.PlaneDegrees(30 * r.Float64()), AtTDC: un(units.Length(8e9 * r.Float64())),
	}
	if r.IntN(3) > 0 {
		spec.Gear = units.Some(camtiming.ValveGear{Ratio: 1 + r.Float64(), Lash: units.Length(r.IntN(2)) * units.Length(4e8*r.Float64())})
	}
	c := 70 + 80*r.Float64()
	if r.IntN(5) == 0 {
		c = 700*r.Float64() - 350
	}
	return spec, must(units.CrankDegrees(c))
}

// scanGap is the slow oracle: every hundredth of a crank degree of the cycle at
// which the valve is open, and around each low place every millionth.
func scanGap(p *clearance.PistonValve, c units.CrankAngle) (least units.Length, at units.CrankAngle) {
	spec := p.Spec()
	open := func(t units.CrankAngle) (units.Length, bool) {
		g := must(p.At(c, t))
		return g.Gap, g.Valve > 0
	}
	s := spec.Lobe.Span()
	nose := c
	if spec.Valve == camtiming.ExhaustValve {
		nose = -c
	}
	least = units.MaxLength
	const step = units.CrankDegree / 50
	scan := func(lo, hi, step units.CrankAngle) {
		for t := lo; t <= hi; t += step {
			if g, ok := open(t); ok && g < least {
				least, at = g, t
			}
		}
	}
	lo, hi := nose+s.Opens.Crank(), nose+s.Closes.Crank()
	scan(lo, hi, step)
	for d := step; d > 100; d /= 8 {
		scan(max(at-d, lo), min(at+d, hi), d/8)
	}
	return least, at
}

// The search against the scan. The scan cannot be lower by more than a nanometer;
// where it is higher, the search has found a place that stands for its gap.
func TestPistonValveMinimumAgainstScan(t *testing.T) {
	for kind, name := range []string{"law", "card", "table", "arc", "foreign"} {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(7, uint64(kind)))
			for i := range 120 {
				spec, c := randomValve(r, kind)
				p, err := clearance.NewPistonValve(spec)
				if err != nil {
					t.Fatalf("%d: %v", i, err)
				}
				m := must(p.Minimum(c))
				want, at := scanGap(p, c)
				if m.Gap > want+units.Nanometer {
					t.Errorf("%d: %v at %v, a scan finds %v at %v (%+v)", i, m.Gap, m.FromTDC, want, at, spec)
				}
				if g := must(p.At(c, m.FromTDC)); g.Gap != m.Gap || g.FromTDC != m.FromTDC {
					t.Errorf("%d: gap %v at %v, At says %v", i, m.Gap, m.FromTDC, g.Gap)
				}
			}
		})
	}
}

func workboatIntake() clearance.PistonValveSpec {
	return clearance.PistonValveSpec{
		Valve: camtiming.IntakeValve,
		Lobe: must(camtiming.NewLawLobe(camtiming.LawLobeSpec{
			Law: camtiming.Poly345, MaxLift: in("0.300"), Opening: 66 * units.CamDegree, Closing: 66 * units.CamDegree,
		})),
		Gear:   units.Some(camtiming.ValveGear{Ratio: 1.5, Lash: in("0.012")}),
		Piston: slider(in("2.0"), in("7.0"), 0),
		Face:   clearance.PocketFloor, Lean: valvetrain.PlaneDegrees(12), AtTDC: units.WithU(in("0.250"), in("0.002")),
	}
}

func workboatExhaust() clearance.PistonValveSpec {
	s := workboatIntake()
	s.Valve, s.Gear.Value.Lash = camtiming.ExhaustValve, in("0.018")
	return s
}

func BenchmarkPistonValveMinimum(b *testing.B) {
	b.ReportAllocs()
	p := must(clearance.NewPistonValve(workboatIntake()))
	i := 0
	for b.Loop() {
		m, _ := p.Minimum(units.CrankAngle(100+i%16) * units.CrankDegree)
		sink += m.Gap
		i++
	}
}

func BenchmarkPistonValveMinimumTable(b *testing.B) {
	b.ReportAllocs()
	spec := workboatIntake()
	var t []camtiming.LiftSample
	for a := -66 * units.CamDegree; a <= 66*units.CamDegree; a += units.CamDegree {
		t = append(t, camtiming.LiftSample{Angle: a, Lift: spec.Lobe.Lift(a)})
	}
	spec.Lobe = must(camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: t}))
	p := must(clearance.NewPistonValve(spec))
	i := 0
	for b.Loop() {
		m, _ := p.Minimum(units.CrankAngle(100+i%16) * units.CrankDegree)
		sink += m.Gap
		i++
	}
}

func BenchmarkPistonValveMap41(b *testing.B) {
	b.ReportAllocs()
	p := must(clearance.NewPistonValve(workboatIntake()))
	var m clearance.PistonValveMap
	for i := range 41 {
		m.Separations = append(m.Separations, 100*units.CamDegree+units.CamAngle(i)*units.CamDegree/2)
		m.Advances = append(m.Advances, -10*units.CrankDegree+units.CrankAngle(i)*units.CrankDegree/2)
	}
	gaps := make([]units.Length, 41*41)
	for b.Loop() {
		if err := p.Map(gaps, m); err != nil {
			b.Fatal(err)
		}
		sink += gaps[7]
	}
}

func BenchmarkNewPistonValve(b *testing.B) {
	b.ReportAllocs()
	spec := workboatIntake()
	for b.Loop() {
		_, _ = clearance.NewPistonValve(spec)
	}
}
