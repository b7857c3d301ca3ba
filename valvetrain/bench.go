package valvetrain

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"example.com/trialfit/units"
)

// LoadReading is one reading of a spring tester.
type LoadReading struct {
	Height units.Measured[units.Length]
	Force  units.Measured[units.Force]
}

// Bench are readings of one spring at different heights, in any order; two or
// more.
type Bench []LoadReading

// BenchLine is the straight line through the readings of a spring.
type BenchLine struct {
	// Spring is the line as a spring: the force at the height where it is known
	// best, and the rate. Its solid height is not known from the line: set it.
	Spring LinearSpring
	Rate   units.Measured[units.Stiffness]
	Free   units.Measured[units.Length] // where the line reaches no force
	// Residuals are read minus fitted, one for each reading, and Worst the
	// index of the largest in magnitude.
	Residuals []units.Force
	Worst     int
	// Scatter is the standard deviation of a reading as the residuals show it,
	// with Freedom degrees of freedom; 0 with two readings.
	Scatter units.Force
	Freedom int
	// RSquared is the share of the variance that the line explains (a
	// statistic).
	RSquared float64
	// FromScatter says that the uncertainties come from the scatter, because it
	// was the larger or the readings did not state theirs.
	FromScatter bool
}

// Line answers what rate and free length the readings of a tester give: the
// line F = k (free - h) by least squares of the force,
//
//	k = -Sxy/Sxx     free = h_mean + F_mean/k
//
// where Sxx is the sum of (h - h_mean)^2 and Sxy that of (h - h_mean)(F -
// F_mean); two readings give k = (F2 - F1)/(h1 - h2). The uncertainty is carried
// from the readings, v = u_F^2 + k^2 u_h^2 each, and from the scatter s of three
// or more readings about the line, u(k)^2 = s^2/Sxx; the larger of the two
// counts. With few degrees of freedom (Freedom) the scatter itself is poorly
// known. A common error of the tester's scale does not show in either.
//
// Residuals that bend to one side mean a rate that grows: the line is then a
// mean. Fewer than two readings are ErrMissing; a height not over 0, a negative
// force and over 10,000 readings ErrRange; heights all the same, and forces that
// do not grow as the spring is pressed, ErrConflict.
//
// Source: least squares as in JCGM 100:2008, H.3.
//
// Rows: inst-rate, inst-free, sad-8-7-k, bench-rate, bench-free, bench-scatter,
// bench-rate-u-scatter, bench-free-u-scatter, bench-two-u, bench-two-free-u,
// bench-r2.
func (b Bench) Line() (BenchLine, error) {
	if len(b) < 2 {
		return BenchLine{}, fail("Bench", "", units.ErrMissing, "want two readings or more")
	}
	if len(b) > maxCount {
		return BenchLine{}, fail("Bench", "", units.ErrRange, "want at most 10000 readings")
	}
	n := float64(len(b))
	x, y := make([]float64, len(b)), make([]float64, len(b))
	stated := true
	for i, r := range b {
		if err := checkMeasuredSize(at("Bench", i)+".Height", r.Height); err != nil {
			return BenchLine{}, err
		}
		if err := checkMeasuredForce(at("Bench", i)+".Force", r.Force); err != nil {
			return BenchLine{}, err
		}
		stated = stated && r.Height.Stated && r.Force.Stated
		x[i], y[i] = r.Height.Value.Meters(), r.Force.Value.Newtons()
	}
	hm, fm := stat.Mean(x, nil), stat.Mean(y, nil)
	var sxx float64
	for i := range x {
		x[i], y[i] = hm-x[i], y[i]-fm
		sxx += squared(x[i])
	}
	if !(sxx > 0) || b.oneHeight() {
		return BenchLine{}, fail("Bench", "", units.ErrConflict, "want readings at two different heights or more")
	}
	off, k := stat.LinearRegression(x, y, nil, false)
	if !(k > 0 && k <= float64(maxRate)) {
		return BenchLine{}, fail("Bench", "", units.ErrConflict, "want forces that grow as the spring is pressed")
	}
	l := BenchLine{Residuals: make([]units.Force, len(b)), Freedom: len(b) - 2, RSquared: 1}
	var ssr, syy, varK, varF, cov, mean float64
	for i, r := range b {
		e := y[i] - off - k*x[i]
		l.Residuals[i] = units.Force(e)
		if math.Abs(e) > math.Abs(float64(l.Residuals[l.Worst])) {
			l.Worst = i
		}
		ssr, syy = ssr+e*e, syy+y[i]*y[i]
		v := squared(r.Force.U.Newtons()) + squared(k*r.Height.U.Meters())
		c := x[i] / sxx
		varK, varF, cov, mean = varK+c*c*v, varF+v/(n*n), cov+c*v/n, mean+v/n
	}
	if syy > 0 {
		l.RSquared = 1 - ssr/syy
	}
	if l.Freedom > 0 {
		s2 := ssr / float64(l.Freedom)
		l.Scatter = units.Force(math.Sqrt(s2))
		if !stated || s2 > mean {
			varK, varF, cov, stated, l.FromScatter = s2/sxx, s2/n, 0, true, true
		}
	}
	// The anchor is where the force is known best; rate and force there are
	// uncorrelated.
	h, f := count(hm), fm+off
	if stated && varK > 0 {
		h = count(hm + cov/varK)
		varF = math.Max(varF-cov*cov/varK, 0)
	}
	f += k * (hm - h.Meters())
	l.Rate = units.Unstated(units.Stiffness(k))
	l.Spring = LinearSpring{Height: h, Force: units.Unstated(units.Force(f)), Rate: l.Rate}
	if stated {
		l.Rate.U, l.Rate.Stated = units.Stiffness(math.Sqrt(varK)), true
		l.Spring.Rate = l.Rate
		l.Spring.Force = units.WithU(units.Force(f), units.Force(math.Sqrt(varF)))
	}
	free, err := l.Spring.FreeLength()
	if err != nil {
		return BenchLine{}, fail("Bench", "", units.ErrConflict, "want readings whose line meets no force at a height of 0 to 10 m")
	}
	l.Free = free
	return l, nil
}

// oneHeight reports whether all readings stand at the same height.
func (b Bench) oneHeight() bool {
	for _, r := range b {
		if r.Height.Value != b[0].Height.Value {
			return false
		}
	}
	return true
}

// Working returns the derivation.
func (l BenchLine) Working() units.Working {
	src := units.Source{Text: "JCGM 100:2008, H.3", Provenance: units.Verified}
	return units.Working{
		{Symbol: "k", Formula: "-Sxy/Sxx of " + plain(float64(len(l.Residuals))) + " readings", Value: rateText(l.Rate.Value) + uRate(l.Rate), Source: src},
		{Symbol: "F", Formula: "force on the line at " + num(l.Spring.Height), Value: forceText(l.Spring.Force.Value), Source: src},
		{Symbol: "free", Formula: "h + F/k", Numbers: num(l.Spring.Height) + " + " + forceText(l.Spring.Force.Value) + "/" + rateText(l.Rate.Value), Value: measuredText(l.Free), Source: definition},
	}
}

func uRate(k units.Measured[units.Stiffness]) string {
	if !k.Stated {
		return ""
	}
	return ", u = " + rateText(k.U)
}

// Cautions returns what to mind at the tester.
func (BenchLine) Cautions() []units.Caution { return springCautions() }
