package camtiming_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"strconv"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func stations(u float64, x, a []float64) []camtiming.Station {
	var s []camtiming.Station
	for i := range x {
		s = append(s, camtiming.Station{Cylinder: strconv.Itoa(i + 1), Position: pm(x[i]), Advance: units.WithU(crank(a[i]), crank(u))})
	}
	return s
}

// JCGM 100:2008 H.3, tables H.6 and H.7: the calibration line of a thermometer,
// b(t) = y1 + y2 (t - 20): y1 = -0.1712, y2 = 0.00218, s(y1) = 0.0029, s(y2) =
// 0.00067, s = 0.0035, correlation -0.930; b(30) = -0.1494 with u = 0.0041. Here t - 20 stands for
// meters along the shaft, the correction for crank degrees.
func TestSurveyGUMH3(t *testing.T) {
	x := []float64{1.521, 2.012, 2.512, 3.003, 3.507, 3.999, 4.513, 5.002, 5.503, 6.010, 6.511}
	a := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	r := must[camtiming.SurveyResult](t)(camtiming.Survey(camtiming.SurveyInput{Stations: stations(0.0035, x, a)}))
	near(t, "y1", r.Index.Value.Degrees(), -0.1712, 0.00005)
	near(t, "y2", r.Twist.Value.CrankDegreesPerMeter(), 0.00218, 0.000005)
	near(t, "s", r.Scatter.Degrees(), 0.0035, 0.00005)
	// The GUM takes its uncertainties from the scatter.
	scale := r.Scatter.Degrees() / 0.0035
	near(t, "s(y1)", r.Index.U.Degrees()*scale, 0.0029, 0.00005)
	near(t, "s(y2)", r.Twist.U.CrankDegreesPerMeter()*scale, 0.00067, 0.000005)
	if r.Freedom != 9 || !r.TwistSeen || !r.TwistTested {
		t.Errorf("%+v", r)
	}
	// y2 is 3.25 of its uncertainties, over the t of 9 at 97.5 %, 2.262 (table
	// G.2).
	if !r.TwistProved {
		t.Error("the slope of H.3 is not proved")
	}
	// b(30) with its uncertainty, from the middle: u^2 = s(mean)^2 + dx^2 s(y2)^2.
	dx := 10 - r.Middle.Meters()
	b := r.IndexAtMiddle.Value.Degrees() + dx*r.Twist.Value.CrankDegreesPerMeter()
	near(t, "b(30)", b, -0.1494, 0.00005)
	near(t, "u(b(30))", scale*math.Hypot(r.IndexAtMiddle.U.Degrees(), dx*r.Twist.U.CrankDegreesPerMeter()), 0.0041, 0.00005)
}

// line is the weighted line by the normal equations in exact fractions: [Sw Swx;
// Swx Swxx] [index; twist] = [Swa; Swxa].
type line struct{ index, twist, varIndex, varTwist, chi2 *big.Rat }

func normalEquations(st []camtiming.Station) line {
	rat := func(n int64, d int64) *big.Rat { return big.NewRat(n, d) }
	sum := func() *big.Rat { return new(big.Rat) }
	sw, sx, sxx, sa, sxa := sum(), sum(), sum(), sum(), sum()
	mul := func(f ...*big.Rat) *big.Rat {
		p := rat(1, 1)
		for _, x := range f {
			p.Mul(p, x)
		}
		return p
	}
	type row struct{ w, x, a *big.Rat }
	var rows []row
	for _, s := range st {
		u := rat(int64(s.Advance.U), 1e9)
		w := new(big.Rat).Inv(mul(u, u))
		x, a := rat(int64(s.Position), 1e12), rat(int64(s.Advance.Value), 1e9)
		rows = append(rows, row{w, x, a})
		sw.Add(sw, w)
		sx.Add(sx, mul(w, x))
		sxx.Add(sxx, mul(w, x, x))
		sa.Add(sa, mul(w, a))
		sxa.Add(sxa, mul(w, x, a))
	}
	det := new(big.Rat).Sub(mul(sw, sxx), mul(sx, sx))
	inv := new(big.Rat).Inv(det)
	l := line{
		index: mul(inv, new(big.Rat).Sub(mul(sxx, sa), mul(sx, sxa))), twist: mul(inv, new(big.Rat).Sub(mul(sw, sxa), mul(sx, sa))),
		varIndex: mul(inv, sxx), varTwist: mul(inv, sw), chi2: sum(),
	}
	for _, r := range rows {
		d := new(big.Rat).Sub(r.a, l.index)
		d.Sub(d, mul(l.twist, r.x))
		l.chi2.Add(l.chi2, mul(r.w, d, d))
	}
	return l
}

func TestSurveyAgainstNormalEquations(t *testing.T) {
	rng := rand.New(rand.NewPCG(41, 42))
	f := func(r *big.Rat) float64 { v, _ := r.Float64(); return v }
	for range 200 {
		n := 3 + rng.IntN(10)
		in := camtiming.SurveyInput{Common: crank(rng.Float64())}
		for i := range n {
			in.Stations = append(in.Stations, camtiming.Station{
				Cylinder: strconv.Itoa(i), Position: pm(2*rng.Float64() - 0.2),
				Advance: units.WithU(crank(4+rng.NormFloat64()), crank(0.1+rng.Float64())),
			})
		}
		r := must[camtiming.SurveyResult](t)(camtiming.Survey(in))
		l := normalEquations(in.Stations)
		tdc := in.Common.Degrees()
		near(t, "index", r.Index.Value.Degrees(), f(l.index), 2e-9)
		near(t, "twist", r.Twist.Value.CrankDegreesPerMeter(), f(l.twist), 1e-9)
		near(t, "u index", r.Index.U.Degrees(), math.Sqrt(f(l.varIndex)+tdc*tdc), 2e-9)
		near(t, "u twist", r.Twist.U.CrankDegreesPerMeter(), math.Sqrt(f(l.varTwist)), 1e-9)
		near(t, "chi2", r.ChiSquare, f(l.chi2), 1e-8*(1+f(l.chi2)))
		if r.Freedom != n-2 || !r.TwistSeen || r.TwistTested != (n >= 4) {
			t.Errorf("n = %d: %+v", n, r)
		}
		for i, s := range r.Stations {
			fit := f(l.index) + f(l.twist)*in.Stations[i].Position.Meters()
			near(t, "fitted", s.Fitted.Degrees(), fit, 3e-9)
			near(t, "residual", s.Residual.Degrees(), in.Stations[i].Advance.Value.Degrees()-fit, 3e-9)
			// Leave the station out: the residual against the line of the
			// others, over its uncertainty, is the studentized one (identity of
			// the hat matrix); a line takes two others.
			if n < 4 {
				continue
			}
			var rest []camtiming.Station
			rest = append(append(rest, in.Stations[:i]...), in.Stations[i+1:]...)
			o := normalEquations(rest)
			x := in.Stations[i].Position.Meters()
			// var of the others' line at x: their middle is uncorrelated.
			var sw, sx float64
			for _, q := range rest {
				w := 1 / (q.Advance.U.Degrees() * q.Advance.U.Degrees())
				sw, sx = sw+w, sx+w*q.Position.Meters()
			}
			dx, u := x-sx/sw, in.Stations[i].Advance.U.Degrees()
			out := in.Stations[i].Advance.Value.Degrees() - f(o.index) - f(o.twist)*x
			near(t, "studentized", s.Studentized, out/math.Sqrt(u*u+1/sw+dx*dx*f(o.varTwist)), 1e-6*(1+math.Abs(s.Studentized)))
		}
	}
}

// Two stations: the index alone, their mean, and no word on twist or outliers.
func TestSurveyOfTwo(t *testing.T) {
	in := camtiming.SurveyInput{Stations: stations(0.3, []float64{0.1, 0.9}, []float64{2, 6}), Common: crank(0.4)}
	r := must[camtiming.SurveyResult](t)(camtiming.Survey(in))
	if r.TwistSeen || r.TwistTested || r.TwistProved || r.Twist.Stated || r.Freedom != 1 {
		t.Errorf("%+v", r)
	}
	near(t, "index", r.Index.Value.Degrees(), 4, 1e-9)
	near(t, "u", r.Index.U.Degrees(), math.Sqrt(0.09/2+0.16), 1e-9)
	near(t, "middle", r.Middle.Meters(), 0.5, 1e-12)
	// (2/0.3)^2 twice; both stand out alike, so neither is named.
	near(t, "chi2", r.ChiSquare, 2*4/0.09, 1e-9)
	for _, s := range r.Stations {
		if s.Outlier {
			t.Errorf("%s of two is an outlier", s.Cylinder)
		}
	}
}

// Three stations leave one degree of freedom: a twist is seen, not tested, and
// the residuals all stand out alike.
func TestSurveyOfThree(t *testing.T) {
	in := camtiming.SurveyInput{Stations: stations(0.2, []float64{0, 0.4, 0.8}, []float64{4, 9, 5})}
	r := must[camtiming.SurveyResult](t)(camtiming.Survey(in))
	if !r.TwistSeen || r.TwistTested || r.TwistProved || r.Freedom != 1 {
		t.Errorf("%+v", r)
	}
	for i, s := range r.Stations {
		if s.Outlier {
			t.Errorf("%s of three is an outlier", s.Cylinder)
		}
		near(t, "studentized", math.Abs(s.Studentized), math.Abs(r.Stations[0].Studentized), 1e-9)
		_ = i
	}
}

// Four are enough to test; twist and one bad cylinder are told apart.
func TestSurveyFindsTwistAndOutlier(t *testing.T) {
	x := []float64{0.1, 0.25, 0.4, 0.55, 0.7, 0.85}
	straight := []float64{4.1, 3.9, 4, 4.1, 3.95, 4.05}
	twisted := []float64{4.1, 4.5, 5.2, 5.9, 6.35, 7.05} // 4 degrees per meter and the same scatter
	bad := []float64{4.1, 3.9, 4, 5.1, 3.95, 4.05}       // the fourth a degree off
	for _, c := range []struct {
		name   string
		n      int
		a      []float64
		proved bool
		out    string
	}{
		{"straight", 6, straight, false, ""},
		{"twisted", 6, twisted, true, ""},
		{"four twisted", 4, twisted, true, ""},
		{"four straight", 4, straight, false, ""},
		{"one bad", 6, bad, false, "4"},
	} {
		r := must[camtiming.SurveyResult](t)(camtiming.Survey(camtiming.SurveyInput{Stations: stations(0.15, x[:c.n], c.a[:c.n])}))
		if r.TwistProved != c.proved || !r.TwistTested {
			t.Errorf("%s: twist %v, proved %v", c.name, r.Twist, r.TwistProved)
		}
		for _, s := range r.Stations {
			if s.Outlier != (s.Cylinder == c.out) {
				t.Errorf("%s: cylinder %s outlier %v, studentized %g", c.name, s.Cylinder, s.Outlier, s.Studentized)
			}
		}
		if (r.PValue < 0.05) != (c.out != "") {
			t.Errorf("%s: p = %g", c.name, r.PValue)
		}
		near(t, "over the shaft", r.TwistOverShaft.Value.Degrees(), r.Twist.Value.CrankDegreesPerMeter()*(x[c.n-1]-x[0]), 1e-8)
		if w := r.Working(); len(w) != 3+len(r.Outliers) {
			t.Errorf("working %+v", w)
		}
	}
}

// Dead center goes into the index alone, and shifting every reading shifts
// nothing else.
func TestSurveyTDC(t *testing.T) {
	x, a := []float64{0.1, 0.3, 0.5, 0.8}, []float64{4, 4.3, 4.2, 4.9}
	in := camtiming.SurveyInput{Stations: stations(0.2, x, a)}
	plain := must[camtiming.SurveyResult](t)(camtiming.Survey(in))
	in.Common = crank(1.2)
	for i := range in.Stations {
		in.Stations[i].Advance.Value += crank(1.5)
	}
	r := must[camtiming.SurveyResult](t)(camtiming.Survey(in))
	near(t, "index", (r.Index.Value - plain.Index.Value).Degrees(), 1.5, 2e-9)
	near(t, "u index", r.Index.U.Degrees(), math.Hypot(plain.Index.U.Degrees(), 1.2), 2e-9)
	near(t, "u middle", r.IndexAtMiddle.U.Degrees(), math.Hypot(0.1, 1.2), 2e-9) // 0.2/sqrt(4)
	near(t, "twist", r.Twist.Value.CrankDegreesPerMeter(), plain.Twist.Value.CrankDegreesPerMeter(), 1e-9)
	near(t, "u twist", r.Twist.U.CrankDegreesPerMeter(), plain.Twist.U.CrankDegreesPerMeter(), 1e-12)
	near(t, "chi2", r.ChiSquare, plain.ChiSquare, 1e-7)
}

// With no twist in truth, 5 % or fewer of the surveys prove one; the residuals'
// chi-square has its degrees of freedom as mean.
func TestSurveyFalseAlarms(t *testing.T) {
	rng := rand.New(rand.NewPCG(43, 44))
	x := []float64{0.1, 0.25, 0.4, 0.55, 0.7, 0.85}
	const n = 4000
	proved, outlying, chi2 := 0, 0, 0.0
	for range n {
		a := make([]float64, len(x))
		for i := range a {
			a[i] = 4 + 0.2*rng.NormFloat64()
		}
		r := must[camtiming.SurveyResult](t)(camtiming.Survey(camtiming.SurveyInput{Stations: stations(0.2, x, a)}))
		if r.TwistProved {
			proved++
		}
		for _, s := range r.Stations {
			if s.Outlier {
				outlying++
				break
			}
		}
		chi2 += r.ChiSquare
	}
	se := 4 * math.Sqrt(0.05*0.95/n)
	if p := float64(proved) / n; p > 0.05+se {
		t.Errorf("a twist is proved %g of the time", p)
	}
	if p := float64(outlying) / n; p > 0.05+se {
		t.Errorf("an outlier is named %g of the time", p)
	}
	near(t, "mean chi2", chi2/n, 4, 4*math.Sqrt(8.0/n))
}

// With more scatter than stated a twist that is not there is proved in at
// most 5 % too: by four cylinders, which leave two degrees of freedom.
func TestSurveyFalseTwistByScatter(t *testing.T) {
	rng := rand.New(rand.NewPCG(45, 46))
	const n = 8000
	for _, k := range []float64{1, 1.5, 2, 4} {
		proved := 0
		for range n {
			a := make([]float64, 4)
			for i := range a {
				a[i] = 4 + 0.2*k*rng.NormFloat64()
			}
			if must[camtiming.SurveyResult](t)(camtiming.Survey(camtiming.SurveyInput{Stations: stations(0.2, []float64{0.1, 0.3, 0.5, 0.7}, a)})).TwistProved {
				proved++
			}
		}
		if p := float64(proved) / n; p > 0.05+4*math.Sqrt(0.05*0.95/n) {
			t.Errorf("scatter %g times as stated: a twist is proved %g of the time", k, p)
		}
	}
}
