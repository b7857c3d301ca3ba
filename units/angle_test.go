package units_test

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"example.com/trialfit/units"
)

// The trap: lobe separation is in cam degrees, centerlines are in crank
// degrees. LSA = (ICL + ECL)/2 in crank numbers read as cam degrees, advance =
// (ECL - ICL)/2 crank degrees: definitions, closed form.
func TestCenterlineTrap(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ icl, ecl, lsa, adv int }{
		{106, 114, 110, 4}, {104, 112, 108, 4}, {110, 110, 110, 0}, {112, 108, 110, -2},
	} {
		icl, ecl := units.CrankAngle(c.icl)*units.CrankDegree, units.CrankAngle(c.ecl)*units.CrankDegree
		sep := (icl + ecl).Cam()
		if want := units.CamAngle(c.lsa) * units.CamDegree; sep != want {
			t.Errorf("%d/%d: separation %v, want %v", c.icl, c.ecl, sep, want)
		}
		adv := sep.Crank()/2 - icl
		if want := units.CrankAngle(c.adv) * units.CrankDegree; adv != want || adv != (ecl-icl)/2 {
			t.Errorf("%d/%d: advance %v, want %v", c.icl, c.ecl, adv, want)
		}
		// In cam degrees the same advance is half the number.
		if got := adv.Cam().Degrees(); got != float64(c.adv)/2 {
			t.Errorf("advance %v cam degrees", got)
		}
		// The naive difference of the angles is wrong by the separation.
		naive := sep.Crank() - icl
		if naive-adv != units.CrankAngle(c.lsa)*units.CrankDegree {
			t.Errorf("naive %v is off by %v, want the separation", naive, naive-adv)
		}
	}
}

func TestSinCosExact(t *testing.T) {
	t.Parallel()
	want := []float64{0, 1, 0, -1} // sine of 0, 90, 180, 270
	for k := -4000; k <= 4000; k++ {
		s, c := want[((k%4)+4)%4], want[(((k+1)%4)+4)%4]
		crank, cam := units.CrankAngle(k)*90*units.CrankDegree, units.CamAngle(k)*90*units.CamDegree
		for _, got := range [][2]float64{{crank.Sin(), crank.Cos()}, {cam.Sin(), cam.Cos()}} {
			if got != [2]float64{s, c} || math.Signbit(got[0]) != (s < 0) || math.Signbit(got[1]) != (c < 0) {
				t.Fatalf("%d x 90: %v, want %v %v without a negative zero", k, got, s, c)
			}
		}
	}
}

// bigSin sums the Taylor series of n nanodegrees in 300 bits: an independent
// implementation. Pi to 60 digits from the OEIS sequence A000796.
func bigSin(n int64) float64 {
	pi, _, _ := big.ParseFloat("3.14159265358979323846264338327950288419716939937510582097494", 10, 300, big.ToNearestEven)
	f := func() *big.Float { return new(big.Float).SetPrec(300) }
	x := f().Mul(f().SetInt64(n%360e9), pi)
	x.Quo(x, f().SetInt64(180e9))
	sum, term, x2 := f().Set(x), f().Set(x), f().Mul(x, x)
	for k := int64(1); k < 60; k++ {
		term.Mul(term, x2)
		term.Quo(term, f().SetInt64(-(2*k)*(2*k+1)))
		sum.Add(sum, term)
	}
	y, _ := sum.Float64()
	return y
}

func TestSinAgainstSeries(t *testing.T) {
	t.Parallel()
	n := int64(-math.MaxInt64)
	for i := range 4000 {
		if i > 2000 {
			n = int64(i-3000) * 720_000_000_007 / 1000
		} else {
			n += math.MaxInt64 / 1001
		}
		a := units.CrankAngle(n)
		if d := math.Abs(a.Sin() - bigSin(n)); d > 2.3e-16 { // 1 ulp at 1
			t.Errorf("sin %v is off by %g", a, d)
		}
		if a.Sin() != -(-a).Sin() || a.Cos() != (-a).Cos() {
			t.Errorf("%v: symmetry", a)
		}
		if a.WrapTurn().Sin() != a.Sin() || a.Wrap().Cos() != a.Cos() {
			t.Errorf("%v: period", a)
		}
		if d := math.Abs(math.Hypot(a.Sin(), a.Cos()) - 1); d > 4.5e-16 {
			t.Errorf("%v: sin2+cos2 off by %g", a, d)
		}
		if a%2 == 0 && units.CamAngle(a).Sin() != (a/2).Sin() {
			t.Errorf("cam %v", units.CamAngle(a))
		}
	}
}

func TestWrap(t *testing.T) {
	t.Parallel()
	const cycle, turn = int64(720e9), int64(360e9)
	m := func(n, q int64) int64 { // big integer oracle
		return new(big.Int).Mod(big.NewInt(n), big.NewInt(q)).Int64()
	}
	values := []int64{0, 1, -1, turn, -turn, turn - 1, -turn - 1, cycle, -cycle, cycle + 1, 359e9, 361e9, -361e9, math.MaxInt64, math.MaxInt64 - 1, math.MaxInt64 - turn, math.MaxInt64 - turn + 1, -math.MaxInt64, -math.MaxInt64 + turn}
	for i := range int64(2000) {
		values = append(values, (i-1000)*(math.MaxInt64/1000))
	}
	for _, n := range values {
		got := int64(units.CrankAngle(n).Wrap())
		if got < -turn || got >= turn || m(got, cycle) != m(n, cycle) {
			t.Errorf("Wrap(%d) = %d", n, got)
		}
		if got := int64(units.CrankAngle(n).WrapTurn()); got != m(n, turn) {
			t.Errorf("WrapTurn(%d) = %d, want %d", n, got, m(n, turn))
		}
	}
}

func TestAngleConversions(t *testing.T) {
	t.Parallel()
	for _, n := range []int64{0, 1, -1, 4e9, math.MaxInt64, -math.MaxInt64} {
		if units.CrankAngle(n).Cam().Crank() != units.CrankAngle(n) {
			t.Errorf("%d: crank, cam, crank", n)
		}
		if a := units.CrankAngle(n); a.Cam().Degrees()*2 != a.Degrees() {
			t.Errorf("%d: one cam degree is two crank degrees", n)
		}
		if units.CrankAngle(n).Abs() < 0 || units.CamAngle(n).Abs() < 0 {
			t.Errorf("%d: Abs", n)
		}
	}
	if got := (180 * units.CrankDegree).Radians(); got != math.Pi {
		t.Errorf("180 crank degrees = %v rad", got)
	}
	if got := (180 * units.CamDegree).Radians(); got != math.Pi {
		t.Errorf("180 cam degrees = %v rad", got)
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e30, -1e30, 9223372036.9} {
		if a, err := units.CrankDegrees(x); !errors.Is(err, units.ErrRange) || a != 0 {
			t.Errorf("CrankDegrees(%v) = %v, %v", x, a, err)
		}
		if a, err := units.CamDegrees(x); !errors.Is(err, units.ErrRange) || a != 0 {
			t.Errorf("CamDegrees(%v) = %v, %v", x, a, err)
		}
	}
	if a, err := units.CrankDegrees(106.5); err != nil || a != 106_500_000_000 {
		t.Errorf("CrankDegrees(106.5) = %v, %v", a, err)
	}
	if a, err := units.CamDegrees(-0.25); err != nil || a != -500_000_000 {
		t.Errorf("CamDegrees(-0.25) = %v, %v", a, err)
	}
}
