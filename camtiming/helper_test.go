package camtiming_test

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// bad is one refused call: what it returned, the field named and the kind.
type bad struct {
	name  string
	call  func() (any, error)
	field string
	kind  error
}

// refuse checks that every call gives a typed error that names the field, and
// the zero value beside it.
func refuse(t *testing.T, table []bad) {
	t.Helper()
	for _, b := range table {
		t.Run(b.name, func(t *testing.T) {
			got, err := b.call()
			var e *units.InputError
			if !errors.As(err, &e) {
				t.Fatalf("error %v, want *units.InputError", err)
			}
			if e.Package != "camtiming" || e.Field != b.field {
				t.Errorf("refused by %s, field %q, want camtiming, %q", e.Package, e.Field, b.field)
			}
			if !errors.Is(err, b.kind) {
				t.Errorf("kind %v, want %v", e.Kind, b.kind)
			}
			if e.Reason == "" {
				t.Error("no reason given")
			}
			if !reflect.ValueOf(got).IsZero() {
				t.Errorf("value %+v beside an error, want the zero value", got)
			}
		})
	}
}

// one turns a call with two results into what refuse needs.
func one[T any](f func() (T, error)) func() (any, error) {
	return func() (any, error) { v, err := f(); return v, err }
}

func must[T any](tb testing.TB) func(T, error) T {
	tb.Helper()
	return func(v T, err error) T {
		tb.Helper()
		if err != nil {
			tb.Fatal(err)
		}
		return v
	}
}

func crank(deg float64) units.CrankAngle {
	return units.CrankAngle(math.RoundToEven(deg * 1e9))
}

func cam(deg float64) units.CamAngle { return units.CamAngle(math.RoundToEven(deg * 2e9)) }

func inch(x float64) units.Length { return units.Length(math.RoundToEven(x * 25.4e9)) }

// rise is the lift fraction of a law, written apart from the library: the two
// polynomials as sums of binomial terms (regularized incomplete beta functions
// I_u(3,3) and I_u(4,4)), the trigonometric ones by half angles.
func rise(law camtiming.Law, u float64) float64 {
	u = math.Max(0, math.Min(1, u))
	switch law {
	case camtiming.Poly345:
		return binomialTail(5, 3, u)
	case camtiming.Poly4567:
		return binomialTail(7, 4, u)
	case camtiming.Harmonic:
		return math.Pow(math.Sin(math.Pi*u/2), 2)
	case camtiming.Cycloidal:
		return u - math.Sin(math.Pi*u)*math.Cos(math.Pi*u)/math.Pi
	default:
		panic("no closed form here")
	}
}

func binomialTail(n, from int, u float64) float64 {
	sum, c := 0.0, 1.0
	for k := 0; k <= n; k++ {
		if k >= from {
			sum += c * math.Pow(u, float64(k)) * math.Pow(1-u, float64(n-k))
		}
		c = c * float64(n-k) / float64(k+1)
	}
	return sum
}

// flanks is a lobe in closed form, apart from the library: cam degrees, meters.
type flanks struct {
	law              camtiming.Law
	lift             units.Length
	opening, closing float64
}

func (f flanks) at(deg float64) float64 {
	side := f.closing
	if deg < 0 {
		side = f.opening
	}
	return float64(f.lift) * 1e-12 * rise(f.law, 1-math.Abs(deg)/side)
}

func (f flanks) lobe(tb testing.TB) *camtiming.LawLobe {
	tb.Helper()
	return must[*camtiming.LawLobe](tb)(camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: f.law, MaxLift: f.lift, Opening: cam(f.opening), Closing: cam(f.closing),
	}))
}

// pair is a cam in closed form, apart from the library.
type pair struct {
	intake, exhaust flanks
	sep             float64 // cam degrees
	ground          float64 // crank degrees
}

// diff is the height difference in meters: DESIGN of the method, intake at
// (0 - ICL)/2 and exhaust at (0 + ECL)/2 cam degrees from the nose.
func (p pair) diff(adv float64) float64 {
	icl, ecl := p.sep-adv, p.sep+adv
	return p.intake.at(-icl/2) - p.exhaust.at(ecl/2)
}

// slope is the central difference of diff, meters per crank degree.
func (p pair) slope(adv float64) float64 {
	const h = 1e-4
	return (p.diff(adv+h) - p.diff(adv-h)) / (2 * h)
}

// invert is plain bisection over the whole reach.
func (p pair) invert(d float64) float64 {
	lo, hi := -p.sep, p.sep
	for range 200 {
		mid := (lo + hi) / 2
		if p.diff(mid) < d {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

func (p pair) cam(tb testing.TB) *camtiming.Cam {
	tb.Helper()
	return must[*camtiming.Cam](tb)(camtiming.NewCam(camtiming.CamSpec{
		Intake: p.intake.lobe(tb), Exhaust: p.exhaust.lobe(tb), Separation: cam(p.sep), GroundAdvance: crank(p.ground),
	}))
}

// equalPair has two equal symmetric lobes, ground four degrees advanced.
var equalPair = pair{
	flanks{camtiming.Poly345, 350 * units.Thou, 65, 65},
	flanks{camtiming.Poly345, 350 * units.Thou, 65, 65},
	110, 4,
}

// unequalPair has unlike lobes with unlike flanks.
var unequalPair = pair{
	flanks{camtiming.Poly345, 300 * units.Thou, 66, 70},
	flanks{camtiming.Poly4567, 320 * units.Thou, 72, 75},
	109, 3,
}

// deadPair leaves both lifters down between -20 and 20 crank degrees: flanks of
// 50 cam degrees with a separation of 120, so that 2*50 - 120 = -20.
var deadPair = pair{
	flanks{camtiming.Harmonic, 300 * units.Thou, 50, 50},
	flanks{camtiming.Harmonic, 300 * units.Thou, 50, 50},
	120, 0,
}

var rocked = camtiming.Proof{Kind: camtiming.MovesWithCrank}

// sameHeight is a reading at firing TDC that found both lifters exactly alike.
var sameHeight = units.Some(units.WithU(units.Length(0), 0))

// near fails unless got is within tol of want.
func near(tb testing.TB, what string, got, want, tol float64) {
	tb.Helper()
	if !(math.Abs(got-want) <= tol) {
		tb.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tol)
	}
}

// mm is a length in millimeters.
func mm(x float64) units.Length { return units.Length(math.RoundToEven(x * 1e9)) }
