package camtiming_test

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// The centerlines of single lobes show which lobe of a cylinder is off: here the
// exhaust of cylinder 3.
func ExampleCam_LobeStation() {
	cam := exampleCam()
	in := camtiming.SurveyInput{Common: units.CrankDegree / 2}
	for i, read := range []struct{ intake, exhaust string }{
		{"106.1 deg", "114.0 deg"}, {"105.9 deg", "114.1 deg"}, {"106.0 deg", "115.9 deg"}, {"106.0 deg", "113.9 deg"},
	} {
		for j, text := range []string{read.intake, read.exhaust} {
			c := camtiming.Centerline{Valve: camtiming.IntakeValve + camtiming.Valve(j), Basis: camtiming.BasisNose, UReading: units.CrankDegree / 4, UTDC: units.CrankDegree / 2}
			c.Angle = units.WithU(units.MustParseCrankAngle(text), units.MustParseCrankAngle("0.559 deg"))
			s, err := cam.LobeStation(c, strconv.Itoa(i+1), units.Length(80+110*i)*units.Millimeter)
			if err != nil {
				fmt.Println(err)
				return
			}
			in.Stations = append(in.Stations, s)
		}
	}
	s, err := camtiming.Survey(in)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("stands out:", s.Outliers)
	// Output: stands out: [3 exhaust]
}

// A V engine whose second bank stands 1.5 crank degrees behind the first.
func ExampleSurveyResult() {
	var in camtiming.SurveyInput
	for i, advance := range []string{"4.1 deg", "2.6 deg", "4.0 deg", "2.4 deg", "3.9 deg", "2.5 deg"} {
		in.Stations = append(in.Stations, camtiming.Station{
			Cylinder: strconv.Itoa(i + 1), Bank: []string{"left", "right"}[i%2],
			Position: units.Length(60+50*i) * units.Millimeter,
			Advance:  units.WithU(units.MustParseCrankAngle(advance), units.MustParseCrankAngle("0.2 deg")),
		})
	}
	s, err := camtiming.Survey(in)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Banks[1], "over", s.Banks[0], s.BankOffset.Value.Text(1), "proved:", s.BankProved)
	fmt.Println("twist proved:", s.TwistProved)
	// Output:
	// right over left -1.5 crank deg proved: true
	// twist proved: false
}

// solution is a weighted fit with any columns by Gauss-Jordan elimination of the
// normal equations in exact fractions.
type solution struct {
	coef []*big.Rat
	cov  [][]*big.Rat
	chi2 *big.Rat
}

func exactFit(st []camtiming.Station, columns func(camtiming.Station) []*big.Rat) solution {
	var a [][]*big.Rat
	k := len(columns(st[0]))
	for i := range k {
		a = append(a, nil)
		for j := range 2*k + 1 {
			x := new(big.Rat)
			if j == k+1+i {
				x.SetInt64(1)
			}
			a[i] = append(a[i], x)
		}
	}
	mul := func(f ...*big.Rat) *big.Rat {
		p := big.NewRat(1, 1)
		for _, x := range f {
			p.Mul(p, x)
		}
		return p
	}
	weight := func(s camtiming.Station) *big.Rat {
		u := big.NewRat(int64(s.Advance.U), 1e9)
		return new(big.Rat).Inv(mul(u, u))
	}
	value := func(s camtiming.Station) *big.Rat { return big.NewRat(int64(s.Advance.Value), 1e9) }
	for _, s := range st {
		c, w := columns(s), weight(s)
		for i := range k {
			for j := range k {
				a[i][j].Add(a[i][j], mul(w, c[i], c[j]))
			}
			a[i][k].Add(a[i][k], mul(w, c[i], value(s)))
		}
	}
	for i := range k {
		p := i
		for a[p][i].Sign() == 0 {
			p++
		}
		a[i], a[p] = a[p], a[i]
		inv := new(big.Rat).Inv(a[i][i])
		for j := range a[i] {
			a[i][j] = mul(a[i][j], inv)
		}
		for r := range k {
			if r == i {
				continue
			}
			f := new(big.Rat).Set(a[r][i])
			for j := range a[r] {
				a[r][j] = new(big.Rat).Sub(a[r][j], mul(f, a[i][j]))
			}
		}
	}
	s := solution{chi2: new(big.Rat)}
	for i := range k {
		s.coef = append(s.coef, a[i][k])
		s.cov = append(s.cov, a[i][k+1:])
	}
	for _, x := range st {
		r := new(big.Rat).Sub(value(x), s.at(columns(x)))
		s.chi2.Add(s.chi2, mul(weight(x), r, r))
	}
	return s
}

func (s solution) at(c []*big.Rat) *big.Rat {
	sum := new(big.Rat)
	for i := range c {
		sum.Add(sum, new(big.Rat).Mul(c[i], s.coef[i]))
	}
	return sum
}

func (s solution) variance(c []*big.Rat) float64 {
	sum := new(big.Rat)
	for i := range c {
		for j := range c {
			sum.Add(sum, new(big.Rat).Mul(new(big.Rat).Mul(c[i], c[j]), s.cov[i][j]))
		}
	}
	return ratio(sum)
}

func ratio(r *big.Rat) float64 { v, _ := r.Float64(); return v }

// Two banks and single lobes against exact fractions; the studentized residuals
// against a fit without the station, whose own scatter is then the estimate.
func TestSurveyAgainstExactFit(t *testing.T) {
	rng := rand.New(rand.NewPCG(91, 92))
	for range 100 {
		n := 6 + rng.IntN(6)
		in := camtiming.SurveyInput{Common: crank(rng.Float64())}
		for i := range n {
			in.Stations = append(in.Stations, camtiming.Station{
				Cylinder: strconv.Itoa(i), Bank: []string{"left", "right"}[(i+i/3)%2], Valve: camtiming.Valve(rng.IntN(3)),
				Position: pm(0.1*float64(i) + 0.05*rng.Float64()), Advance: units.WithU(crank(4+rng.NormFloat64()), crank(0.1+rng.Float64())),
			})
		}
		columns := func(s camtiming.Station) []*big.Rat {
			b := big.NewRat(0, 1)
			if s.Bank == "right" {
				b.SetInt64(1)
			}
			return []*big.Rat{big.NewRat(1, 1), big.NewRat(int64(s.Position), 1e12), b}
		}
		r := must[camtiming.SurveyResult](t)(camtiming.Survey(in))
		x := exactFit(in.Stations, columns)
		tdc := in.Common.Degrees()
		f := n - 3
		if r.Freedom != f || !r.BankSeen || !r.TwistSeen || !r.TwistTested || !r.BankTested || r.Banks != [2]string{"left", "right"} {
			t.Fatalf("%+v", r)
		}
		near(t, "index", r.Index.Value.Degrees(), ratio(x.coef[0]), 2e-9)
		near(t, "twist", r.Twist.Value.CrankDegreesPerMeter(), ratio(x.coef[1]), 1e-9)
		near(t, "offset", r.BankOffset.Value.Degrees(), ratio(x.coef[2]), 2e-9)
		near(t, "u index", r.Index.U.Degrees(), math.Sqrt(ratio(x.cov[0][0])+tdc*tdc), 2e-9)
		near(t, "u twist", r.Twist.U.CrankDegreesPerMeter(), math.Sqrt(ratio(x.cov[1][1])), 1e-9)
		near(t, "u offset", r.BankOffset.U.Degrees(), math.Sqrt(ratio(x.cov[2][2])), 2e-9)
		near(t, "chi2", r.ChiSquare, ratio(x.chi2), 1e-8*(1+ratio(x.chi2)))
		s2 := ratio(x.chi2) / float64(f)
		near(t, "s index", r.ByScatter.Index.Degrees(), math.Sqrt(s2*ratio(x.cov[0][0])+tdc*tdc), 2e-9)
		near(t, "s offset", r.ByScatter.BankOffset.Degrees(), math.Sqrt(s2*ratio(x.cov[2][2])), 2e-9)
		near(t, "s twist", r.ByScatter.Twist.CrankDegreesPerMeter(), math.Sqrt(s2*ratio(x.cov[1][1])), 1e-8)
		leverages := 0.0
		for i, s := range in.Stations {
			fit := r.Stations[i]
			leverages += fit.Leverage
			rest := slices.Delete(slices.Clone(in.Stations), i, i+1)
			if slices.IndexFunc(rest, func(q camtiming.Station) bool { return q.Bank == "left" }) < 0 ||
				slices.IndexFunc(rest, func(q camtiming.Station) bool { return q.Bank == "right" }) < 0 {
				continue
			}
			o := exactFit(rest, columns)
			u := s.Advance.U.Degrees()
			out := s.Advance.Value.Degrees() - ratio(o.at(columns(s)))
			sd := math.Sqrt(u*u + o.variance(columns(s)))
			near(t, "studentized", fit.Studentized, out/sd, 1e-6*(1+math.Abs(out/sd)))
			want := out / sd / math.Sqrt(ratio(o.chi2)/float64(f-1))
			near(t, "studentized by scatter", fit.StudentizedByScatter, want, 1e-5*(1+math.Abs(want)))
			near(t, "leverage", fit.Leverage, x.variance(columns(s))/(u*u), 1e-9)
		}
		// The hat matrix has as trace the number of parameters.
		near(t, "leverages", leverages, 3, 1e-9)
	}
}

// How many cylinders each statement takes, with and without a second bank.
func TestSurveyDegreesOfFreedom(t *testing.T) {
	survey := func(n int, banks bool) camtiming.SurveyInput {
		var in camtiming.SurveyInput
		for i := range n {
			s := camtiming.Station{Cylinder: strconv.Itoa(i), Position: units.Length(i) * 100 * units.Millimeter, Advance: units.WithU(crank(4+0.1*float64(i*i%5)), crank(0.2))}
			if banks {
				s.Bank = strconv.Itoa(i % 2)
			}
			in.Stations = append(in.Stations, s)
		}
		return in
	}
	for _, c := range []struct {
		n                                int
		banks                            bool
		freedom                          int
		seen, tested, bankSeen, bankTest bool
	}{
		{2, false, 1, false, false, false, false},
		{3, false, 1, true, false, false, false},
		{4, false, 2, true, true, false, false},
		{3, true, 1, false, false, true, false},
		{4, true, 1, true, false, true, false},
		{5, true, 2, true, true, true, true},
	} {
		r := must[camtiming.SurveyResult](t)(camtiming.Survey(survey(c.n, c.banks)))
		if r.Freedom != c.freedom || r.TwistSeen != c.seen || r.TwistTested != c.tested || r.BankSeen != c.bankSeen || r.BankTested != c.bankTest {
			t.Errorf("%d cylinders, two banks %v: freedom %d, twist %v %v, bank %v %v", c.n, c.banks, r.Freedom, r.TwistSeen, r.TwistTested, r.BankSeen, r.BankTested)
		}
		if r.Twist.Stated != c.seen || r.BankOffset.Stated != c.bankSeen {
			t.Errorf("%d cylinders: twist %+v, offset %+v", c.n, r.Twist, r.BankOffset)
		}
		if w := r.Working(); len(w) != 2+b2i(c.seen)+b2i(c.bankSeen) {
			t.Errorf("working of %d steps", len(w))
		}
	}
	// Both lobes of two cylinders are four stations and two cylinders.
	in := survey(4, false)
	for i := range in.Stations {
		in.Stations[i].Cylinder, in.Stations[i].Valve = strconv.Itoa(i/2), camtiming.Valve(1+i%2)
	}
	if r := must[camtiming.SurveyResult](t)(camtiming.Survey(in)); r.TwistSeen || r.Freedom != 3 {
		t.Errorf("two cylinders: twist %v, freedom %d", r.TwistSeen, r.Freedom)
	}
	// A bank named alike on all stations is no second bank.
	in = survey(4, false)
	for i := range in.Stations {
		in.Stations[i].Bank = "left"
	}
	if r := must[camtiming.SurveyResult](t)(camtiming.Survey(in)); r.BankSeen || r.Freedom != 2 {
		t.Errorf("one bank: %+v", r)
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// A bank of a single cylinder is fitted exactly: leverage 1 and no word on it.
func TestSurveyLoneCylinderOfABank(t *testing.T) {
	in := camtiming.SurveyInput{Stations: stations(0.2, []float64{0.1, 0.2, 0.3, 0.4, 0.5}, []float64{4, 4.1, 3.9, 4, 30})}
	for i := range in.Stations {
		in.Stations[i].Bank = "left"
	}
	in.Stations[4].Bank = "right"
	r := must[camtiming.SurveyResult](t)(camtiming.Survey(in))
	last := r.Stations[4]
	near(t, "leverage", last.Leverage, 1, 1e-9)
	near(t, "residual", last.Residual.Degrees(), 0, 1e-8)
	if last.Studentized != 0 || last.StudentizedByScatter != 0 || last.Outlier || last.OutlierByScatter || r.Outliers != nil {
		t.Errorf("%+v", last)
	}
}

// What is common and what a bank has to itself leave the rest alone: shifting all
// moves the index, shifting one bank its offset, turning the shaft the twist.
func TestSurveyShifts(t *testing.T) {
	in := camtiming.SurveyInput{Stations: stations(0.2, []float64{0.1, 0.15, 0.3, 0.35, 0.5, 0.55}, []float64{4, 3.1, 4.3, 3.2, 4.2, 3.6})}
	for i := range in.Stations {
		in.Stations[i].Bank = []string{"left", "right"}[i%2]
	}
	plain := must[camtiming.SurveyResult](t)(camtiming.Survey(in))
	for i := range in.Stations {
		s := &in.Stations[i]
		s.Advance.Value += crank(1.5) + crank(2*s.Position.Meters())
		if i%2 == 1 {
			s.Advance.Value -= crank(0.75)
		}
	}
	in.Common = crank(0.5)
	r := must[camtiming.SurveyResult](t)(camtiming.Survey(in))
	near(t, "index", (r.Index.Value - plain.Index.Value).Degrees(), 1.5, 5e-9)
	near(t, "twist", r.Twist.Value.CrankDegreesPerMeter()-plain.Twist.Value.CrankDegreesPerMeter(), 2, 5e-8)
	near(t, "offset", (r.BankOffset.Value - plain.BankOffset.Value).Degrees(), -0.75, 5e-9)
	near(t, "u offset", r.BankOffset.U.Degrees(), plain.BankOffset.U.Degrees(), 0)
	near(t, "u twist", r.Twist.U.CrankDegreesPerMeter(), plain.Twist.U.CrankDegreesPerMeter(), 0)
	near(t, "u index", r.Index.U.Degrees(), math.Hypot(plain.Index.U.Degrees(), 0.5), 2e-9)
	near(t, "u middle", r.IndexAtMiddle.U.Degrees(), math.Hypot(0.2/math.Sqrt(6), 0.5), 2e-9)
	near(t, "chi2", r.ChiSquare, plain.ChiSquare, 1e-6)
	for i := range r.Stations {
		near(t, "residual", r.Stations[i].Residual.Degrees(), plain.Stations[i].Residual.Degrees(), 5e-9)
	}
}

// An uncertainty stated three times too large hides an outlier that the scatter
// shows, and one stated three times too small makes outliers of all: the two
// forms answer two questions. Neither raises more false alarms than 5 % if
// the stated ones are right.
func TestSurveyKnownAndEstimated(t *testing.T) {
	x := []float64{0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8}
	a := []float64{4.05, 3.9, 4.1, 5.5, 3.95, 4, 4.1, 3.95}
	large := must[camtiming.SurveyResult](t)(camtiming.Survey(camtiming.SurveyInput{Stations: stations(1, x, a)}))
	if s := large.Stations[3]; s.Outlier || !s.OutlierByScatter || large.Outliers != nil {
		t.Errorf("u too large: %+v", s)
	}
	rng := rand.New(rand.NewPCG(93, 94))
	const n = 4000
	known, estimated, offset := 0, 0, 0
	for range n {
		in := camtiming.SurveyInput{Stations: stations(0.2, x, a)}
		for i := range in.Stations {
			in.Stations[i].Advance.Value = crank(4 + 0.2*rng.NormFloat64())
			in.Stations[i].Bank = []string{"left", "right"}[i%2]
		}
		r := must[camtiming.SurveyResult](t)(camtiming.Survey(in))
		if r.Outliers != nil {
			known++
		}
		if slices.ContainsFunc(r.Stations, func(s camtiming.StationFit) bool { return s.OutlierByScatter }) {
			estimated++
		}
		if r.BankProved {
			offset++
		}
	}
	se := 4 * math.Sqrt(0.05*0.95/n)
	for what, k := range map[string]int{"outlier, known u": known, "outlier, estimated s": estimated, "offset": offset} {
		p := float64(k) / n
		if p > 0.05+se {
			t.Errorf("%s: false alarm %g of the time", what, p)
		}
		if what != "offset" && p < 0.05-0.015-se { // Bonferroni's bound is close for eight
			t.Errorf("%s: only %g of the time, the bound is far too wide", what, p)
		}
	}
}

func TestBadSurveyOfBanks(t *testing.T) {
	s := func(f func(*camtiming.SurveyInput)) func() (any, error) {
		var in camtiming.SurveyInput
		for i := range 6 {
			in.Stations = append(in.Stations, camtiming.Station{Cylinder: strconv.Itoa(i + 1), Bank: []string{"left", "right"}[i%2], Position: units.Length(i) * 100 * units.Millimeter, Advance: units.WithU(crank(4), crank(0.3))})
		}
		f(&in)
		return func() (any, error) { return camtiming.Survey(in) }
	}
	refuse(t, []bad{
		{"bank left out", s(func(in *camtiming.SurveyInput) { in.Stations[3].Bank = "" }), "Stations[3].Bank", units.ErrMissing},
		{"first bank left out", s(func(in *camtiming.SurveyInput) { in.Stations[0].Bank = "" }), "Stations[1].Bank", units.ErrMissing},
		{"three banks", s(func(in *camtiming.SurveyInput) { in.Stations[4].Bank = "middle" }), "Stations[4].Bank", units.ErrRange},
		{"uncertainties too unlike", s(func(in *camtiming.SurveyInput) { in.Stations[4].Advance.U = 100 }), "Stations[4].Advance.U", units.ErrRange},
		{"lobe unknown", s(func(in *camtiming.SurveyInput) { in.Stations[4].Valve = 3 }), "Stations[4].Valve", units.ErrRange},
		{"lobe twice", s(func(in *camtiming.SurveyInput) {
			in.Stations[2].Cylinder, in.Stations[0].Valve, in.Stations[2].Valve = "1", camtiming.IntakeValve, camtiming.IntakeValve
		}), "Stations[2].Cylinder", units.ErrConflict},
		{"lobes on two banks", s(func(in *camtiming.SurveyInput) {
			in.Stations[1].Cylinder, in.Stations[0].Valve, in.Stations[1].Valve = "1", camtiming.IntakeValve, camtiming.ExhaustValve
		}), "Stations[1].Bank", units.ErrConflict},
		{"a cylinder on each bank", s(func(in *camtiming.SurveyInput) { in.Stations = in.Stations[:2] }), "Stations", units.ErrMissing},
		{"two lobes of one cylinder", s(func(in *camtiming.SurveyInput) {
			in.Stations = in.Stations[:2]
			in.Stations[1].Cylinder, in.Stations[1].Bank, in.Stations[0].Valve, in.Stations[1].Valve = "1", "left", camtiming.IntakeValve, camtiming.ExhaustValve
		}), "Stations", units.ErrMissing},
		{"bank and position are one", s(func(in *camtiming.SurveyInput) {
			for i := range in.Stations {
				in.Stations[i].Position = units.Length(i%2) * 100 * units.Millimeter
			}
		}), "Stations.Position", units.ErrConflict},
		{"too many", s(func(in *camtiming.SurveyInput) { in.Stations = make([]camtiming.Station, 1001) }), "Stations", units.ErrRange},
	})
	k := equalPair.cam(t)
	cl := camtiming.Centerline{Valve: camtiming.IntakeValve, Basis: camtiming.BasisNose, Angle: units.WithU(crank(106), crank(0.3)), UReading: crank(0.3)}
	lobe := func(f func(*camtiming.Centerline)) func() (any, error) {
		c := cl
		f(&c)
		return func() (any, error) { return k.LobeStation(c, "1", 0) }
	}
	refuse(t, []bad{
		{"no cam", func() (any, error) { return (&camtiming.Cam{}).LobeStation(cl, "1", 0) }, "Cam", units.ErrMissing},
		{"no valve", lobe(func(c *camtiming.Centerline) { c.Valve = 0 }), "Valve", units.ErrMissing},
		{"midpoint", lobe(func(c *camtiming.Centerline) { c.Basis = camtiming.BasisMidpoint }), "Basis", units.ErrConflict},
		{"angle overflow", lobe(func(c *camtiming.Centerline) { c.Angle.Value = most }), "Angle", units.ErrRange},
	})
	// Without a stated uncertainty the station has none either.
	c := cl
	c.Angle.Stated = false
	if s := must[camtiming.Station](t)(k.LobeStation(c, "1", 0)); s.Advance.Stated {
		t.Errorf("%+v", s)
	}
}

func BenchmarkSurveyBanks(b *testing.B) {
	var in camtiming.SurveyInput
	for i := range 8 {
		in.Stations = append(in.Stations, camtiming.Station{Cylinder: strconv.Itoa(i + 1), Bank: []string{"left", "right"}[i%2], Position: units.Length(i) * 100 * units.Millimeter, Advance: units.WithU(crank(4+0.1*float64(i%3)), crank(0.2))})
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.Survey(in); err != nil {
			b.Fatal(err)
		}
	}
}

// Whatever the stations, a survey is refused or has finite figures, residuals that
// add up and leverages that sum to the parameters.
func FuzzSurvey(f *testing.F) {
	f.Add(uint8(6), uint8(2), int64(1e11), int64(3e8), int64(4e9), int64(12345))
	f.Add(uint8(5), uint8(1), int64(1e9), int64(1), int64(0), int64(7))
	f.Fuzz(func(t *testing.T, n, banks uint8, pitch, u, advance, seed int64) {
		rng := rand.New(rand.NewPCG(uint64(seed), 1))
		var in camtiming.SurveyInput
		for i := range n % 20 {
			s := camtiming.Station{
				Cylinder: strconv.Itoa(int(i)), Position: units.Length(i) * units.Length(pitch%1e12),
				Advance: units.WithU(units.CrankAngle(advance%3.6e11), units.CrankAngle(u)),
			}
			if rng.IntN(2) == 0 {
				s.Advance.Value += units.CrankAngle(rng.Int64N(2e9))
				s.Advance.U = units.CrankAngle(rng.Int64N(1e9) + 1)
			}
			if banks%3 > 0 {
				s.Bank = strconv.Itoa(rng.IntN(int(banks % 3)))
			}
			in.Stations = append(in.Stations, s)
		}
		r, err := camtiming.Survey(in)
		if err != nil {
			return
		}
		h, parameters := 0.0, len(in.Stations)-r.Freedom
		for i, s := range r.Stations {
			h += s.Leverage
			if d := s.Fitted + s.Residual - in.Stations[i].Advance.Value; d.Abs() > 2 {
				t.Errorf("station %d does not add up by %v", i, d)
			}
			for _, x := range []float64{s.Leverage, s.Studentized, s.StudentizedByScatter} {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Errorf("%+v", s)
				}
			}
		}
		near(t, "leverages", h, float64(parameters), 1e-6)
		for _, x := range []float64{r.ChiSquare, r.PValue, r.Twist.Value.CrankDegreesPerMeter(), r.ByScatter.Twist.CrankDegreesPerMeter()} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Errorf("%+v", r)
			}
		}
	})
}
