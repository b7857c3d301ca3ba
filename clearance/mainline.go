package clearance

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat"

	"example.com/trialfit/units"
)

// LineReading is a main bore as read under a straightedge or a bar that lies
// along the bores.
type LineReading struct {
	At units.Length // along the block, from any point
	// Gap is the feeler gap between the edge and the bottom of the bore, or a
	// height read from the edge: larger where the bore lies farther away.
	Gap units.Measured[units.Length]
}

// BoreLine are the main bores of a block in order along it, read in one plane.
type BoreLine []LineReading

// BoreOff is how one bore lies.
type BoreOff struct {
	// Residual is the reading less the line through all bores; positive lies
	// farther from the edge.
	Residual units.Measured[units.Length]
	// Off is the reading less the line through all the others: how far this
	// bore is off if the others are in line.
	Off units.Measured[units.Length]
	// Rest is the root mean square of the others about their own line, what
	// remains unexplained if only this bore is off.
	Rest units.Length
}

// Alignment is how straight the main bores lie.
type Alignment struct {
	Bores []BoreOff
	// Slope is how much the gap grows along the block, a true ratio: the edge
	// does not lie parallel and that is no fault.
	Slope float64
	// RMS is the root mean square of the residuals and Straightness the
	// largest less the smallest.
	RMS, Straightness units.Length
	// Worst is the index of the bore that explains the readings best if one
	// bore alone is off. Told says that the readings tell it from the next best:
	// with this bore left out the others fit a line better than with any other
	// left out, by more than the stated uncertainties explain. It needs four
	// bores; of three in a bend each may be the one that is off.
	Worst int
	Told  bool
	// LargestStep is the largest difference of the residuals of bores side by
	// side, StepFirst the index of the first of the two.
	LargestStep units.Measured[units.Length]
	StepFirst   int

	from BoreLine
}

// Alignment answers how far each main bore lies off the common line and which
// one is off, by least squares with the weights 1/u^2 (alike where no
// uncertainties are stated):
//
//	gap(At) = c + Slope At + Residual     off = Residual/(1 - h)
//	h = w/sum(w) + w (At - mean)^2 / sum(w (At - mean)^2)
//	u(Residual)^2 = u^2 (1 - h)     u(Off)^2 = u^2/(1 - h)
//
// Off is exactly the reading less the line through the others. A straightedge
// that sags or bends itself goes into the residuals: turn it over and read
// again, and take the mean. Read a second plane for the other direction.
//
// Told compares the best and the next best explanation by one bore: the
// weighted sums of squares of the rest differ by over 3.84, the 95 % point of
// chi-square with one degree of freedom. Since neither explanation contains the
// other that is a yardstick, not a test of known level.
//
// Errors: fewer than three bores, over 10,000, places that do not rise, a place
// or gap over 100 m, a negative uncertainty, uncertainties stated for some
// bores only or of 0 beside others, a bore that the others say nothing about
// (ErrConflict).
//
// Source: linear least squares; deleted residuals, Belsley, Kuh and Welsch,
// Regression Diagnostics, ch. 2.
//
// Rows: line-slope, line-residual, line-off, line-off-u, line-rms, line-worst,
// line-step, line-weighted.
func (l BoreLine) Alignment() (Alignment, error) {
	if err := l.check(); err != nil {
		return Alignment{}, err
	}
	n := len(l)
	x, y, w := make([]float64, n), make([]float64, n), []float64(nil)
	stated, small := true, math.Inf(1)
	for i, r := range l {
		// Counted from the first bore, so that no digits are lost.
		x[i], y[i] = float64(r.At-l[0].At), float64(r.Gap.Value-l[0].Gap.Value)
		stated = stated && r.Gap.Stated
		small = math.Min(small, float64(r.Gap.U))
	}
	weighted := stated && small > 0
	if weighted {
		w = make([]float64, n)
		for i, r := range l {
			q := small / float64(r.Gap.U)
			w[i] = q * q
		}
	}
	c, slope := stat.LinearRegression(x, y, w, false)
	a := Alignment{Bores: make([]BoreOff, n), Slope: slope, from: append(BoreLine(nil), l...)}
	mean := stat.Mean(x, w)
	sw, sxx := 0.0, 0.0
	weight := func(i int) float64 {
		if w == nil {
			return 1
		}
		return w[i]
	}
	for i := range x {
		sw += weight(i)
		sxx += weight(i) * (x[i] - mean) * (x[i] - mean)
	}
	sum, total := 0.0, 0.0
	res, lever := make([]float64, n), make([]float64, n)
	for i := range x {
		res[i] = y[i] - c - slope*x[i]
		lever[i] = weight(i)/sw + weight(i)*(x[i]-mean)*(x[i]-mean)/sxx
		if lever[i] > 1-1e-9 {
			return Alignment{}, fail(at("BoreLine", i)+".Gap.U", l[i].Gap.U.String(), units.ErrConflict, "so much smaller than the other uncertainties, or so far from the other bores, that the others say nothing about this one")
		}
		sum += res[i] * res[i]
		total += weight(i) * res[i] * res[i]
	}
	best, next := math.Inf(1), math.Inf(1)
	lo, hi := res[0], res[0]
	for i := range x {
		u := float64(l[i].Gap.U)
		b := &a.Bores[i]
		b.Residual = result(round(res[i]), stated, u*math.Sqrt(max(0, 1-lever[i])))
		off := res[i] / (1 - lever[i])
		b.Off = result(round(off), stated, u/math.Sqrt(1-lever[i]))
		rest := max(0, total-weight(i)*res[i]*off)
		b.Rest = l.rest(i, x, y, w)
		switch {
		case rest < best:
			best, next, a.Worst = rest, best, i
		case rest < next:
			next = rest
		}
		lo, hi = math.Min(lo, res[i]), math.Max(hi, res[i])
		if i > 0 {
			if d := round(res[i] - res[i-1]).Abs(); i == 1 || d > a.LargestStep.Value {
				a.StepFirst = i - 1
				a.LargestStep = result(d, stated, l.stepU(i, x, weight, lever, sxx, sw, mean))
			}
		}
	}
	a.RMS, a.Straightness = round(math.Sqrt(sum/float64(n))), round(hi-lo)
	a.Told = n > 3 && weighted && (next-best)/(small*small) > 3.84
	return a, nil
}

// rest is the root mean square of all bores but one about their own line.
func (l BoreLine) rest(skip int, x, y, w []float64) units.Length {
	if len(l) < 4 {
		return 0 // two bores are always in line
	}
	var xs, ys, ws []float64
	for i := range x {
		if i == skip {
			continue
		}
		xs, ys = append(xs, x[i]), append(ys, y[i])
		if w != nil {
			ws = append(ws, w[i])
		}
	}
	c, slope := stat.LinearRegression(xs, ys, ws, false)
	sum := 0.0
	for i := range xs {
		r := ys[i] - c - slope*xs[i]
		sum += r * r
	}
	return round(math.Sqrt(sum / float64(len(xs))))
}

// stepU is the uncertainty of the difference of two residuals side by side:
// u_i^2 + u_j^2 less the variance of the line's rise between them.
func (l BoreLine) stepU(i int, x []float64, weight func(int) float64, lever []float64, sxx, sw, mean float64) float64 {
	ui, uj := float64(l[i].Gap.U), float64(l[i-1].Gap.U)
	if ui == 0 && uj == 0 {
		return 0
	}
	// Covariance of two residuals: -(1/sw + (xi-m)(xj-m)/sxx) in units of
	// the variance of unit weight, u_i^2 w_i.
	cov := -(ui * ui * weight(i)) * (1/sw + (x[i]-mean)*(x[i-1]-mean)/sxx)
	v := ui*ui*(1-lever[i]) + uj*uj*(1-lever[i-1]) - 2*cov
	return math.Sqrt(max(0, v))
}

func (l BoreLine) check() error {
	if len(l) < 3 {
		return fail("BoreLine", strconv.Itoa(len(l)), units.ErrMissing, "want three bores or more: two are always in line")
	}
	if len(l) > maxReadings {
		return fail("BoreLine", strconv.Itoa(len(l)), units.ErrRange, "want at most 10000 bores")
	}
	for i, r := range l {
		f := at("BoreLine", i)
		if err := checkSigned(f+".At", r.At); err != nil {
			return err
		}
		if err := checkReading(f+".Gap", r.Gap); err != nil {
			return err
		}
		if i == 0 {
			continue
		}
		if r.At <= l[i-1].At {
			return fail(f+".At", r.At.String(), units.ErrConflict, "want each bore farther along than the one before")
		}
		if r.Gap.Stated != l[0].Gap.Stated {
			return fail(f+".Gap", r.Gap.String(), units.ErrConflict, "want an uncertainty for every bore or for none")
		}
		if (r.Gap.U == 0) != (l[0].Gap.U == 0) {
			return fail(f+".Gap.U", r.Gap.U.String(), units.ErrConflict, "an uncertainty of 0 beside others: a reading that cannot be wrong would bend the line")
		}
	}
	return nil
}

// Working returns the derivation.
func (a Alignment) Working() units.Working {
	src := units.Source{Text: "linear least squares", Provenance: units.Computed}
	w := units.Working{{Symbol: "slope", Formula: "least squares line through all bores", Value: strconv.FormatFloat(a.Slope, 'g', 4, 64), Source: src}}
	for i, b := range a.Bores {
		if i >= len(a.from) {
			return nil // a result that somebody filled in
		}
		w = append(w, units.Step{Symbol: "bore " + strconv.Itoa(i+1), Formula: "reading - line", Numbers: num(a.from[i].Gap.Value) + " at " + num(a.from[i].At), Value: measuredText(b.Residual), Source: src})
	}
	return w
}
