package valvetrain_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func arc(deg float64) valvetrain.PlaneAngle { return valvetrain.PlaneDegrees(deg) }

// solid is the oracle's view of a valve head: a profile of height and radius about
// an axis, kept apart from the package.
type solid struct {
	c, a, e, f [3]float64 // center, axis, two directions square to it
	h, r       [3]float64
}

func dot3(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func solidOf(h valvetrain.ValveHead, lift units.Length) solid {
	var s solid
	s.a = [3]float64{math.Tan(float64(h.Cant)), math.Tan(float64(h.Lean)), 1}
	n := math.Sqrt(dot3(s.a, s.a))
	for k := range 3 {
		s.a[k] /= n
	}
	s.c = [3]float64{h.Center.X.Meters(), h.Center.Y.Meters(), h.Center.Z.Meters()}
	for k := range 3 {
		s.c[k] -= lift.Meters() * s.a[k]
	}
	// The axis is never near X+Y without Z, so (1,-1,0)-like works by Gram-Schmidt.
	s.e = [3]float64{1, 0, 0}
	if math.Abs(s.a[0]) > 0.9 {
		s.e = [3]float64{0, 1, 0}
	}
	p := dot3(s.e, s.a)
	for k := range 3 {
		s.e[k] -= p * s.a[k]
	}
	n = math.Sqrt(dot3(s.e, s.e))
	for k := range 3 {
		s.e[k] /= n
	}
	s.f = [3]float64{s.a[1]*s.e[2] - s.a[2]*s.e[1], s.a[2]*s.e[0] - s.a[0]*s.e[2], s.a[0]*s.e[1] - s.a[1]*s.e[0]}
	r, w := h.Diameter.Value.Meters()/2, h.FaceWidth.Meters()
	s.h = [3]float64{0, h.Margin.Meters(), h.Margin.Meters() + w*math.Sin(float64(h.FaceAngle))}
	s.r = [3]float64{r, r, r - w*math.Cos(float64(h.FaceAngle))}
	return s
}

// outline returns the point at u in [0, 5] along the profile, from the middle of the
// face over rim and seat face to the axis again.
func (s solid) outline(u float64) (h, r float64) {
	hs := [5]float64{s.h[0], s.h[0], s.h[1], s.h[2], s.h[2]}
	rs := [5]float64{0, s.r[0], s.r[1], s.r[2], 0}
	k := min(int(u), 3)
	t := u - float64(k)
	return hs[k] + t*(hs[k+1]-hs[k]), rs[k] + t*(rs[k+1]-rs[k])
}

func (s solid) point(u, angle float64) [3]float64 {
	h, r := s.outline(u)
	sin, cos := math.Sincos(angle)
	var p [3]float64
	for k := range 3 {
		p[k] = s.c[k] + h*s.a[k] + r*(cos*s.e[k]+sin*s.f[k])
	}
	return p
}

// from is the distance of a point from the solid, in the half plane of its axis.
func (s solid) from(p [3]float64) float64 {
	d := [3]float64{p[0] - s.c[0], p[1] - s.c[1], p[2] - s.c[2]}
	h := dot3(d, s.a)
	r := math.Sqrt(max(dot3(d, d)-h*h, 0))
	inside, best := true, math.Inf(1)
	for k := range 4 {
		h0, r0 := s.outline(float64(k))
		h1, r1 := s.outline(float64(k + 1))
		if k == 3 {
			h1, r1 = s.h[2], 0
		}
		dh, dr := h1-h0, r1-r0
		if l := dh*dh + dr*dr; l > 0 {
			t := min(max(((h-h0)*dh+(r-r0)*dr)/l, 0), 1)
			best = min(best, math.Hypot(h-h0-t*dh, r-r0-t*dr))
			inside = inside && dh*(r-r0)-dr*(h-h0) <= 0
		}
	}
	if inside {
		return 0
	}
	return best
}

// brute is the least distance of points of the surface of a from b, on a grid that
// is drawn together about the best point again and again.
func brute(a, b solid) float64 {
	best, u0, t0 := math.Inf(1), 0.0, 0.0
	try := func(u, t float64) {
		if u < 0 || u > 4 {
			return
		}
		if d := b.from(a.point(u, t)); d < best {
			best, u0, t0 = d, u, t
		}
	}
	for i := range 41 {
		for j := range 120 {
			try(float64(i)/10, float64(j)*2*math.Pi/120)
		}
	}
	du, dt := 0.1, 2*math.Pi/120
	for range 60 {
		u, t := u0, t0
		for i := -3; i <= 3; i++ {
			for j := -3; j <= 3; j++ {
				try(u+float64(i)*du/3, t+float64(j)*dt/3)
			}
		}
		du, dt = du*0.7, dt*0.7
	}
	return best
}

func randomHead(r *rand.Rand) valvetrain.ValveHead {
	l := func(lo, hi float64) units.Length { return mm(lo + (hi-lo)*r.Float64()) }
	h := valvetrain.ValveHead{
		Diameter: exact(l(5, 50)), Margin: l(0, 3),
		Center: valvetrain.HeadPlace{X: l(-30, 30), Y: l(-30, 30), Z: l(-20, 20)},
		Lean:   arc(-60 + 120*r.Float64()), Cant: arc(-60 + 120*r.Float64()),
	}
	switch r.IntN(4) {
	case 0:
		h.Margin = 0
	case 1:
		h.Lean, h.Cant = 0, 0
	case 2:
		h.FaceWidth, h.FaceAngle = l(0.5, 2.4), arc(20+50*r.Float64())
	}
	return h
}

// The distance of two heads against points sampled on their surfaces.
func TestHeadsAgainstSampledPoints(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 8))
	apart, touch := 0, 0
	for range 400 {
		p := valvetrain.HeadPair{Intake: randomHead(r), Exhaust: randomHead(r)}
		l := valvetrain.HeadLifts{Intake: mm(12 * r.Float64()), Exhaust: mm(12 * r.Float64())}
		g := must[valvetrain.HeadGap](t)(p.At(l))
		a, b := solidOf(p.Intake, l.Intake), solidOf(p.Exhaust, l.Exhaust)
		want := min(brute(a, b), brute(b, a))
		got := g.Gap.Value.Meters()
		// The sampled pair is never closer; it may miss by what its grid leaves.
		if got > want+1e-11 || got < want-2e-7 {
			t.Errorf("%+v at %+v: gap %v m, sampled %v m", p, l, got, want)
		}
		if want == 0 {
			touch++
			// Drawn back by the way found the heads just touch.
			for k, back := range []units.Length{g.IntakeBack, g.ExhaustBack} {
				q := p
				clear := func(extra units.Length) units.Length {
					q = p
					h, by := &q.Intake, back+extra-l.Intake
					other := valvetrain.HeadLifts{Exhaust: l.Exhaust}
					if k == 1 {
						h, by, other = &q.Exhaust, back+extra-l.Exhaust, valvetrain.HeadLifts{Intake: l.Intake}
					}
					s := solidOf(*h, -by)
					h.Center = valvetrain.HeadPlace{X: mm(s.c[0] * 1e3), Y: mm(s.c[1] * 1e3), Z: mm(s.c[2] * 1e3)}
					return must[valvetrain.HeadGap](t)(q.At(other)).Gap.Value
				}
				if back <= 0 || clear(-mm(0.0001)) != 0 && back > mm(0.0001) || clear(mm(0.01)) == 0 {
					t.Errorf("%+v at %+v: way back %v of %d: gap %v before, %v after", p, l, back, k, clear(-mm(0.0001)), clear(mm(0.01)))
				}
			}
		} else {
			apart++
		}
		// Which head is called first changes nothing; nor does a mirror.
		s := must[valvetrain.HeadGap](t)(valvetrain.HeadPair{Intake: p.Exhaust, Exhaust: p.Intake}.At(valvetrain.HeadLifts{Intake: l.Exhaust, Exhaust: l.Intake}))
		m := p
		for _, h := range []*valvetrain.ValveHead{&m.Intake, &m.Exhaust} {
			h.Center.X, h.Cant = -h.Center.X, -h.Cant
		}
		o := must[valvetrain.HeadGap](t)(m.At(l))
		if (s.Gap.Value-g.Gap.Value).Abs() > 2 || (o.Gap.Value-g.Gap.Value).Abs() > 2 {
			t.Errorf("gap %v, swapped %v, mirrored %v", g.Gap.Value, s.Gap.Value, o.Gap.Value)
		}
		// The rates are the slopes of the gap.
		if g.Gap.Value > mm(0.1) {
			step := mm(0.0001)
			up := must[valvetrain.HeadGap](t)(p.At(valvetrain.HeadLifts{Intake: l.Intake + step, Exhaust: l.Exhaust}))
			if got := float64(up.Gap.Value-g.Gap.Value) / float64(step); math.Abs(got-g.IntakeRate) > 2e-3 {
				t.Errorf("slope %v, rate %v", got, g.IntakeRate)
			}
			up = must[valvetrain.HeadGap](t)(p.At(valvetrain.HeadLifts{Intake: l.Intake, Exhaust: l.Exhaust + step}))
			if got := float64(up.Gap.Value-g.Gap.Value) / float64(step); math.Abs(got-g.ExhaustRate) > 2e-3 {
				t.Errorf("slope %v, rate %v", got, g.ExhaustRate)
			}
		}
	}
	if apart < 50 || touch < 50 {
		t.Errorf("%d apart, %d touching: not a fair sample", apart, touch)
	}
	_ = camtiming.ValveGear{}
}
