package camtiming_test

import (
	"math"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// Each derivative is the central difference of the one before it; the jerk of
// the modified trapezoid jumps at odd eighths.
func TestMoreLawDerivatives(t *testing.T) {
	const h = 1e-5
	for _, law := range []camtiming.Law{camtiming.ModifiedTrapezoid, camtiming.EighthDegree} {
		for i := 1; i < 400; i++ {
			u := float64(i) / 400
			if law == camtiming.ModifiedTrapezoid && math.Abs(math.Mod(u, 0.25)-0.125) < 2*h {
				continue
			}
			lo, at, hi := law.At(u-h), law.At(u), law.At(u+h)
			near(t, law.String()+" V", at.V, (hi.S-lo.S)/(2*h), 1e-7)
			near(t, law.String()+" A", at.A, (hi.V-lo.V)/(2*h), 1e-6)
			near(t, law.String()+" J", at.J, (hi.A-lo.A)/(2*h), 1e-5)
		}
	}
}

// From 0 to 1, monotone, at rest at both ends. The trapezoid is antisymmetric;
// the eighth degree is not: at half the flank it stands below half the lift, and
// its acceleration at the top equals the peak on the way up.
func TestMoreLawShape(t *testing.T) {
	for _, law := range []camtiming.Law{camtiming.ModifiedTrapezoid, camtiming.EighthDegree} {
		near(t, law.String()+" start", law.At(0).S, 0, 0)
		near(t, law.String()+" end", law.At(1).S, 1, 1e-14)
		near(t, law.String()+" rest", math.Abs(law.At(0).V)+math.Abs(law.At(1).V), 0, 1e-13)
		was, peak := -1.0, 0.0
		for i := range 20001 {
			u := float64(i) / 20000
			m := law.At(u)
			if m.S < was || m.V < -1e-13 {
				t.Errorf("%v falls at %g", law, u)
			}
			was, peak = m.S, math.Max(peak, m.A)
			if law == camtiming.ModifiedTrapezoid {
				near(t, "antisymmetry", m.S+law.At(1-u).S, 1, 5e-14)
			}
		}
		switch law {
		case camtiming.ModifiedTrapezoid:
			near(t, "trapezoid peak A", peak, 8*math.Pi/(2+math.Pi), 1e-14)
			near(t, "trapezoid level", law.At(0.2).A, law.At(0.3).A, 0)
			near(t, "trapezoid middle", law.At(0.5).S, 0.5, 1e-15)
		default:
			near(t, "eighth peak A", peak, 5.2683, 5e-5)
			near(t, "eighth at the top", law.At(1).A, -5.2683, 1e-12)
			near(t, "eighth jerk at the top", law.At(1).J, 0, 1e-11)
			if s := law.At(0.5).S; !(s < 0.49) {
				t.Errorf("the eighth degree stands at %g of its lift in the middle of its flank: as good as antisymmetric", s)
			}
		}
	}
}

// The trapezoid against Simpson's rule on its defining acceleration.
func TestModifiedTrapezoidAgainstQuadrature(t *testing.T) {
	accel := func(u float64) float64 {
		switch {
		case u < 0.125:
			return math.Sin(4 * math.Pi * u)
		case u <= 0.375:
			return 1
		case u < 0.625:
			return math.Cos(4 * math.Pi * (u - 0.375))
		case u <= 0.875:
			return -1
		default:
			return -math.Sin(4 * math.Pi * (1 - u))
		}
	}
	raw := func(u float64) float64 { // integral of (u - x) a(x) dx
		sum := 0.0
		for k := range 8 {
			lo := float64(k) / 8
			hi := math.Min(lo+0.125, u)
			if hi <= lo {
				break
			}
			const n = 200
			w := (hi - lo) / n
			for i := range n {
				a := lo + float64(i)*w
				sum += w / 6 * ((u-a)*accel(a) + 4*(u-a-w/2)*accel(a+w/2) + (u-a-w)*accel(a+w))
			}
		}
		return sum
	}
	total := raw(1)
	for i := range 101 {
		u := float64(i) / 100
		near(t, "modified trapezoid", camtiming.ModifiedTrapezoid.At(u).S, raw(u)/total, 1e-9)
	}
}

// A card of one point is met by every member of the family: five laws at four
// skews, whatever laws there are besides.
func TestCardFamilyIsFixed(t *testing.T) {
	c := must[*camtiming.CardLobe](t)(camtiming.NewCardLobe(camtiming.CardLobeSpec{
		MaxLift: 300 * units.Thou, Durations: []camtiming.DurationAt{{Lift: 50 * units.Thou, Duration: crank(224)}},
	}))
	if c.Family() != 4*len(allLaws) {
		t.Errorf("%d members, want %d", c.Family(), 4*len(allLaws))
	}
}

// The new laws serve a lobe and a cam as the old ones do.
func TestMoreLawLobes(t *testing.T) {
	for _, law := range []camtiming.Law{camtiming.ModifiedTrapezoid, camtiming.EighthDegree} {
		l := must[*camtiming.LawLobe](t)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: law, MaxLift: 300 * units.Thou, Opening: cam(66), Closing: cam(71)}))
		c := must[*camtiming.Cam](t)(camtiming.NewCam(camtiming.CamSpec{Intake: l, Exhaust: l, Separation: cam(110)}))
		for adv := -10.0; adv <= 10; adv++ {
			inv := must[camtiming.Inversion](t)(c.Advance(c.At(crank(adv)).Difference))
			near(t, law.String()+" advance", inv.Advance.Degrees(), adv, 1e-6)
		}
	}
}
