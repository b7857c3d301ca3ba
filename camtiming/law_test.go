package camtiming_test

import (
	"math"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
)

var allLaws = []camtiming.Law{camtiming.Harmonic, camtiming.Cycloidal, camtiming.Poly345, camtiming.Poly4567, camtiming.ModifiedSine}

// Each derivative is the central difference of the one before it. The joins of
// the modified sine at 1/8 and 7/8, where its jerk jumps, are left out there.
func TestLawDerivatives(t *testing.T) {
	const h = 1e-5
	for _, law := range allLaws {
		for i := 1; i < 400; i++ {
			u := float64(i) / 400
			if law == camtiming.ModifiedSine && (math.Abs(u-0.125) < 2*h || math.Abs(u-0.875) < 2*h) {
				continue
			}
			lo, at, hi := law.At(u-h), law.At(u), law.At(u+h)
			near(t, law.String()+" V", at.V, (hi.S-lo.S)/(2*h), 1e-7)
			near(t, law.String()+" A", at.A, (hi.V-lo.V)/(2*h), 1e-6)
			near(t, law.String()+" J", at.J, (hi.A-lo.A)/(2*h), 1e-5)
		}
	}
}

// The lift against forms written apart from the library, and the modified sine
// against Simpson's rule on its defining acceleration: quarter sines of period
// 1/2 at the ends and one half sine of period 3/2 between (Rothbart, Cam Design
// Handbook, ch. 3), scaled to a total lift of 1.
func TestLawAgainstClosedForm(t *testing.T) {
	accel := func(u float64) float64 {
		switch {
		case u < 0.125:
			return math.Sin(4 * math.Pi * u)
		case u <= 0.875:
			return math.Cos(4 * math.Pi / 3 * (u - 0.125))
		default:
			return -math.Cos(4 * math.Pi * (u - 0.875))
		}
	}
	// s(u) = integral of (u - x) a(x) dx, split at the joins.
	raw := func(u float64) float64 {
		sum := 0.0
		for _, p := range [][2]float64{{0, 0.125}, {0.125, 0.875}, {0.875, 1}} {
			lo, hi := p[0], math.Min(p[1], u)
			if hi <= lo {
				break
			}
			const n = 400
			w := (hi - lo) / n
			for i := range n {
				a, b := lo+float64(i)*w, lo+float64(i+1)*w
				m := (a + b) / 2
				at := func(x, side float64) float64 { return (u - x) * accel(x+side) }
				sum += w / 6 * (at(a, 1e-15) + 4*at(m, 0) + at(b, -1e-15))
			}
		}
		return sum
	}
	total := raw(1)
	for i := range 101 {
		u := float64(i) / 100
		for _, law := range allLaws[:4] {
			near(t, law.String(), law.At(u).S, rise(law, u), 1e-14)
		}
		near(t, "modified sine", camtiming.ModifiedSine.At(u).S, raw(u)/total, 1e-10)
	}
}

// From 0 to 1, monotone, antisymmetric about the middle, at rest at the ends.
func TestLawShape(t *testing.T) {
	for _, law := range allLaws {
		if strings.Contains(law.String(), "unknown") {
			t.Errorf("law %d has no name", law)
		}
		near(t, law.String()+" start", law.At(0).S, 0, 0)
		near(t, law.String()+" end", law.At(1).S, 1, 1e-14)
		near(t, law.String()+" rest", math.Abs(law.At(0).V)+math.Abs(law.At(1).V), 0, 1e-14)
		was := -1.0
		for i := range 2001 {
			u := float64(i) / 2000
			m, o := law.At(u), law.At(1-u)
			near(t, law.String()+" antisymmetry", m.S+o.S, 1, 5e-14)
			if m.S < was || m.V < 0 {
				t.Errorf("%v falls at %g", law, u)
			}
			was = m.S
		}
	}
	if camtiming.Law(0).String() != "unknown law" {
		t.Error("law 0 has a name")
	}
}

// Peak factors of the textbooks: 3-4-5 V 1.875, A 5.7735; cycloidal V 2, A 2 pi;
// harmonic V pi/2, A pi^2/2; 4-5-6-7 V 2.1875, A 7.5132; modified sine V 1.7596,
// A 5.5280 (Cam Design Handbook, table 4.2 and ch. 3).
func TestLawPeaks(t *testing.T) {
	for law, want := range map[camtiming.Law][2]float64{
		camtiming.Poly345: {1.875, 5.7735}, camtiming.Cycloidal: {2, 6.2832}, camtiming.Harmonic: {1.5708, 4.9348},
		camtiming.Poly4567: {2.1875, 7.5132}, camtiming.ModifiedSine: {1.7596, 5.5280},
	} {
		var v, a float64
		for i := range 100001 {
			m := law.At(float64(i) / 100000)
			v, a = math.Max(v, m.V), math.Max(a, m.A)
		}
		near(t, law.String()+" peak V", v, want[0], 5e-5)
		near(t, law.String()+" peak A", a, want[1], 5e-5)
	}
}
