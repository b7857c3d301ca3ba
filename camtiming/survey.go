package camtiming

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"example.com/trialfit/units"
)

// Station is the advance read on one cylinder, or on one of its lobes, and where
// it sits.
type Station struct {
	Cylinder string
	// Valve says which lobe was read, by its centerline or by its height at
	// top dead center. The zero value is a height difference, which holds both
	// lobes and cannot tell which of them is off.
	Valve Valve
	// Bank names the bank of the cylinder. Where the stations name two, the
	// second gets an offset of its own; empty on all stations: one index for all.
	Bank string
	// Position is where the lobe, or the middle of the cylinder's two, lies
	// along the camshaft, from the drive end.
	Position units.Length
	// Advance is the advance there. Its uncertainty must be that of the
	// reading alone: top dead center is common to all stations and goes into
	// SurveyInput.Common.
	Advance units.Measured[units.CrankAngle]
}

// name is the cylinder with the lobe.
func (s *Station) name() string {
	if s.Valve == 0 {
		return s.Cylinder
	}
	return s.Cylinder + " " + s.Valve.String()
}

// Station returns the result as a station of a survey: the advance with the
// uncertainty of the reading alone, because top dead center and the shape of
// the lobes are common to all cylinders. An undetermined result has no
// advance to give and is not stated.
func (s SplitResult) Station(cylinder string, position units.Length) Station {
	m := units.Measured[units.CrankAngle]{Value: s.Advance.Value}
	if s.Advance.Stated && !s.Undetermined {
		m.U, m.Stated = s.UGauge, true
	}
	return Station{Cylinder: cylinder, Position: position, Advance: m}
}

// LobeStation returns a centerline of the nose as a station of its lobe alone:
//
//	advance = separation - ICL     advance = ECL - separation
//
// with the uncertainty of the reading, UReading, alone: UTDC is common to all
// stations, and so is UShape where their noses were found by lobes of one card;
// both go into SurveyInput.Common. Of a lobe that was smoothed from readings of
// its own UShape is its own: add it to the uncertainty of the station. The
// centerline may come from equal lift, from events or from a height at top dead
// center (SingleValve). Any basis but the nose is ErrConflict.
//
// Rows: lobe-station-int, lobe-station-exh, lobe-station-u.
func (c *Cam) LobeStation(m Centerline, cylinder string, position units.Length) (Station, error) {
	if c.intake == nil {
		return Station{}, fail("Cam", "", units.ErrMissing, "want a cam from NewCam")
	}
	a, err := c.AdvanceFrom(m)
	if err != nil {
		return Station{}, err
	}
	s := Station{Cylinder: cylinder, Valve: m.Valve, Position: position, Advance: units.Unstated(a.Value)}
	if a.Stated {
		s.Advance = units.WithU(a.Value, m.UReading)
	}
	return s, nil
}

// SurveyInput are the readings of all cylinders.
type SurveyInput struct {
	Stations []Station
	// Common is the standard uncertainty that all stations share: that of top
	// dead center, and of the lobes' own shape (root sum of squares of
	// the UTDC and UShape of the results). It goes into the index alone: no
	// averaging removes it.
	Common units.CrankAngle
}

// StationFit is what the fit makes of one station.
type StationFit struct {
	Cylinder string
	Valve    Valve            // zero for a height difference
	Bank     string           // as given
	Fitted   units.CrankAngle // index + twist * position, + offset on the second bank
	Residual units.CrankAngle // read minus fitted
	// Leverage is the station's share in its own fitted value, 0 to 1 (the
	// diagonal of the hat matrix, a ratio). A station of leverage 1 is fitted
	// whatever it reads, and its residual tells nothing.
	Leverage float64
	// Studentized is the residual over its own standard uncertainty as stated,
	// r/(u sqrt(1 - h)), a statistic; 0 where the fit leaves no freedom.
	Studentized float64
	// Outlier is set where the station stands out at 95 % by the stated
	// uncertainties, alone or with others: see Survey. It takes two degrees of
	// freedom: with one, every station stands out alike.
	Outlier bool
	// Shift is how far an outlier stands from the fit of the stations that are
	// none, in the sense of the residual; not stated for the others.
	Shift units.Measured[units.CrankAngle]
	// StudentizedByScatter is the same over the scatter of all other
	// stations, whatever u was stated (Student's t with Freedom - 1 degrees of
	// freedom; the stated u count by their ratios alone). 0 under two degrees of
	// freedom. OutlierByScatter is set where the station stands out so, alone
	// or with others.
	StudentizedByScatter float64
	OutlierByScatter     bool
}

// SurveyUncertainty are standard uncertainties of a survey.
type SurveyUncertainty struct {
	Index, IndexAtMiddle, BankOffset, TwistOverShaft units.CrankAngle
	Twist                                            units.Twist
}

// SurveyResult separates what is common (index), what a bank has to itself
// (offset), what grows along the shaft (twist) and what belongs to single
// cylinders or lobes (residual). The uncertainties are those of the stated
// ones (known u); ByScatter are those that the residuals show (estimated s).
type SurveyResult struct {
	// Index is the fitted advance at the drive end, on the first bank, with the
	// common part in its uncertainty.
	Index units.Measured[units.CrankAngle]
	// IndexAtMiddle is the fitted advance at the weighted middle of the
	// stations and of the banks, the best known point of the line.
	IndexAtMiddle units.Measured[units.CrankAngle]
	Middle        units.Length
	// Twist is the change of advance along the shaft, in crank degrees per
	// meter; what is common does not touch it.
	Twist units.Measured[units.Twist]
	// TwistOverShaft is the twist between the first and last station.
	TwistOverShaft units.Measured[units.CrankAngle]
	// TwistSeen tells whether a twist was fitted at all: it takes three
	// cylinders, not all within 1 mm. TwistTested tells whether it could be
	// tested against the scatter: it takes four. TwistProved tells whether
	// it differs from zero at 95 %. A bank offset takes one cylinder more.
	TwistSeen, TwistTested, TwistProved bool
	// Banks are the two banks, the first as the first station names it, and
	// BankOffset is the advance of the second over the first; what is common
	// does not touch it. BankSeen tells whether it was fitted; BankTested and
	// BankProved are as for the twist and take two degrees of freedom.
	Banks                            [2]string
	BankOffset                       units.Measured[units.CrankAngle]
	BankSeen, BankTested, BankProved bool
	Stations                         []StationFit
	// Outliers name the stations that stand out by the stated uncertainty:
	// the cylinder, and the lobe where one was read.
	Outliers []string
	// ChiSquare is the sum of (residual/u)^2, Freedom its degrees of freedom
	// and PValue the probability of as much or more by chance (statistics).
	ChiSquare float64
	Freedom   int
	PValue    float64
	// Scatter is the standard deviation of a station as the residuals show
	// it, to compare with the stated uncertainty; 0 without freedom.
	Scatter units.CrankAngle
	// ByScatter are the uncertainties with the stated ones multiplied by the
	// ratio sqrt(ChiSquare/Freedom); an interval at 95 % takes Student's t with
	// Freedom degrees of freedom. All 0 without freedom.
	ByScatter SurveyUncertainty
}

// surveyFit is the weighted fit, in crank degrees and meters.
type surveyFit struct {
	sw, xm, bm, am float64 // sum of weights, weighted means
	columns        int     // besides the mean
	coef           [2]float64
	cov            [2][2]float64
}

// Survey fits the advances of all cylinders to
//
//	advance = index + twist * position + offset (second bank only)
//
// by weighted least squares, with weights w = 1/u^2 of the readings. About the
// weighted means the coefficients c = (twist, offset) solve the normal
// equations, and the mean is free of them:
//
//	(A' W A) c = A' W (a - am),   A = (x - xm, bank - bm),   cov(c) = (A' W A)^-1
//	u(mean)^2 = 1/sum w + Common^2
//	index = am - (xm, bm) c,   u(index)^2 = 1/sum w + (xm, bm) cov(c) (xm, bm)' + Common^2
//	leverage h = w/sum w + w A cov(c) A'     (of one station)
//	studentized, known u:      t = r/(u sqrt(1 - h)), normal
//	studentized, estimated s:  t sqrt((f - 1)/(f s^2 - t^2)) with s^2 = chi2/f,
//	                           Student's t with f - 1 degrees of freedom
//
// Without a second bank twist = sum w (x - xm)(a - am) / sum w (x - xm)^2.
//
// Outliers are sought as sets, because two may hide each other, or drag the fit so
// far that a good station stands out in their place. For every size m up to half
// the degrees of freedom (beyond, the good ones could not outvote them) and 12 the set
// whose leaving out lowers chi-square most is found: with up to 12 stations of
// all sets; with more from size to size, leaving out the worst and then changing
// single stations as long as that helps, which finds nearly always the same. The
// largest m is named at which both hold, with n stations and f freedom:
//
//	together: P(chi2 m) or P(F m, f - m) of what the set takes from chi-square under a/C(n, m)
//	each:     |t| against the fit of all outside the set over the quantile at 1 - a/2n,
//	          normal, or Student's with f - m degrees of freedom
//
// with a = 0.05 by the stated uncertainties, 0.05 shared equally among the sizes
// by the scatter. For m = 1 the two are one, the bound for the worst of n. The fit
// itself keeps all stations: leave the outliers out and survey again to have
// it without. Sets of one size that lower chi-square alike, as a pattern of readings
// that is the same from either end has them, are not told apart: one of them is named.
//
// Two cylinders give the index only, three show a twist and four test it; an
// offset of the second bank takes one more throughout, and at least three. Where two
// lobes of a cylinder are read, each has a residual of its own, and the
// cylinder counts once.
//
// Every station needs a stated uncertainty over 0 (ErrMissing), a name, with its
// lobe, of its own (ErrConflict) and a position within 10 m (ErrRange); fewer
// than two cylinders is ErrMissing, and so is a bank named on some stations
// only; more than two banks, 1000 stations, or uncertainties over a factor of a
// million apart are ErrRange. Positions within 1 mm
// of each other, on each bank where there are two, are ErrConflict: a twist
// cannot be told from the index, or from the offset.
//
// What it cannot tell: which lobe of a height difference is wrong; with three
// cylinders whether a twist is more than scatter; an index error from an error
// of top dead center.
//
// Source: weighted straight line, JCGM 100:2008 H.3; both studentized residuals and
// the test of m stations: Cook and Weisberg, Residuals and Influence in
// Regression (1982), 2.2.1 and 2.2.2; testing sizes from the largest down,
// Rosner, Technometrics 25 (1983) 165.
//
// Rows: gum-h3-y1, gum-h3-y2, gum-h3-sy2, survey-twist, survey-index,
// norris-b0, norris-b1, norris-s-b0, norris-s-b1, norris-s, survey-v-index,
// survey-v-twist, survey-v-offset, survey-v-u-offset, survey-v-u-twist,
// survey-v-chi2, survey-v-t3, survey-v-ts3, survey-v-h1, survey-two-out,
// survey-two-shift7, survey-two-u7.
func Survey(in SurveyInput) (SurveyResult, error) {
	var res SurveyResult
	cylinders, err := in.check(&res)
	if err != nil {
		return SurveyResult{}, err
	}
	n, needed := len(in.Stations), 3
	if res.BankSeen {
		needed++
	}
	res.TwistSeen = cylinders >= needed
	if res.TwistSeen {
		if err := in.checkPositions(&res); err != nil {
			return SurveyResult{}, err
		}
	}
	fit, err := in.fit(&res)
	if err != nil {
		return SurveyResult{}, err
	}
	res.Freedom = n - 1 - fit.columns
	first, last := in.Stations[0].Position, in.Stations[0].Position
	for i := range in.Stations {
		s := &in.Stations[i]
		first, last = min(first, s.Position), max(last, s.Position)
		u := s.Advance.U.Degrees()
		row := fit.row(s, &res)
		fitted := fit.at(row)
		r := s.Advance.Value.Degrees() - fitted
		f := StationFit{
			Cylinder: s.Cylinder, Valve: s.Valve, Bank: s.Bank, Fitted: crankAngle(fitted), Residual: crankAngle(r),
			Leverage: min(fit.shared(row, row)/(u*u), 1),
		}
		if free := 1 - f.Leverage; free > 1e-9 && res.Freedom > 0 {
			f.Studentized = r / (u * math.Sqrt(free))
		}
		res.ChiSquare += r * r / (u * u)
		res.Stations = append(res.Stations, f)
	}
	res.PValue = 1
	ratio := 0.0
	if res.Freedom > 0 {
		res.PValue = distuv.ChiSquared{K: float64(res.Freedom)}.Survival(res.ChiSquare)
		ratio = math.Sqrt(res.ChiSquare / float64(res.Freedom))
		res.Scatter = crankAngle(ratio * math.Sqrt(float64(n)/fit.sw))
	}
	res.findOutliers(in.Stations, &fit)

	span := (last - first).Meters()
	tdc := in.Common.Degrees()
	mean, atEnd := 1/fit.sw, fit.variance([2]float64{fit.xm, fit.bm})
	twist, offset := math.Sqrt(fit.cov[0][0]), math.Sqrt(fit.cov[1][1])
	res.Middle = length(fit.xm)
	stated := res.uncertainty(tdc, mean, atEnd, twist, offset, span, 1)
	res.IndexAtMiddle = units.WithU(crankAngle(fit.am), stated.IndexAtMiddle)
	res.Index = units.WithU(crankAngle(fit.am-fit.xm*fit.coef[0]-fit.bm*fit.coef[1]), stated.Index)
	if res.TwistSeen {
		res.Twist = units.WithU(units.Twist(fit.coef[0]), stated.Twist)
		res.TwistOverShaft = units.WithU(crankAngle(fit.coef[0]*span), stated.TwistOverShaft)
		if res.TwistTested = cylinders > needed; res.TwistTested {
			res.TwistProved = math.Abs(fit.coef[0]) > res.bound(ratio)*twist
		}
	}
	if res.BankSeen {
		res.BankOffset = units.WithU(crankAngle(fit.coef[1]), stated.BankOffset)
		if res.BankTested = res.Freedom > 1; res.BankTested {
			res.BankProved = math.Abs(fit.coef[1]) > res.bound(ratio)*offset
		}
	}
	if res.Freedom > 0 {
		res.ByScatter = res.uncertainty(tdc, mean, atEnd, twist, offset, span, ratio)
	}
	return res, nil
}

// check tests the stations, finds the banks and returns how many cylinders
// there are.
func (in *SurveyInput) check(res *SurveyResult) (cylinders int, err error) {
	n := len(in.Stations)
	if n < 2 {
		return 0, fail("Stations", "", units.ErrMissing, "want two cylinders or more")
	}
	if n > 1000 {
		return 0, fail("Stations", strconv.Itoa(n), units.ErrRange, "want at most 1000 stations")
	}
	if in.Common < 0 || in.Common > 90*units.CrankDegree {
		return 0, fail("Common", in.Common.String(), units.ErrRange, "want a standard uncertainty of 0 to 90 crank degrees")
	}
	type key struct {
		cylinder string
		valve    Valve
	}
	var finest, coarsest units.CrankAngle
	seen := make(map[key]bool, n)
	banks := make(map[string]string, n) // by cylinder
	for i := range in.Stations {
		s := &in.Stations[i]
		field := "Stations[" + strconv.Itoa(i) + "]"
		bank, known := banks[s.Cylinder]
		switch {
		case s.Cylinder == "":
			return 0, fail(field+".Cylinder", "", units.ErrMissing, "want the cylinder's name")
		case s.Valve > ExhaustValve:
			return 0, fail(field+".Valve", strconv.Itoa(int(s.Valve)), units.ErrRange, "want IntakeValve, ExhaustValve or none")
		case seen[key{s.Cylinder, s.Valve}]:
			return 0, fail(field+".Cylinder", s.name(), units.ErrConflict, "the cylinder is listed twice")
		case (s.Bank == "") != (in.Stations[0].Bank == ""):
			return 0, fail(field+".Bank", s.Bank, units.ErrMissing, "want the bank of every station, or of none")
		case known && bank != s.Bank:
			return 0, fail(field+".Bank", s.Bank, units.ErrConflict, "the cylinder is listed on another bank")
		case s.Bank != in.Stations[0].Bank && res.BankSeen && s.Bank != res.Banks[1]:
			return 0, fail(field+".Bank", s.Bank, units.ErrRange, "want at most two banks; fit a third by itself")
		case !within(s.Position, 10*units.Meter):
			return 0, fail(field+".Position", s.Position.String(), units.ErrRange, "want a position within 10 m of the drive end")
		case !s.Advance.Stated || s.Advance.U <= 0:
			return 0, fail(field+".Advance.U", s.Advance.U.String(), units.ErrMissing, "want the standard uncertainty of the reading, over 0")
		case !within(s.Advance.Value, units.CrankTurn) || s.Advance.U > units.CrankTurn:
			return 0, fail(field+".Advance", s.Advance.Value.String(), units.ErrRange, "want an advance within one turn")
		}
		if finest == 0 || s.Advance.U < finest {
			finest = s.Advance.U
		}
		coarsest = max(coarsest, s.Advance.U)
		if coarsest/1_000_000 > finest { // the fit would lose its digits
			return 0, fail(field+".Advance.U", s.Advance.U.String(), units.ErrRange, "want uncertainties within a factor of a million of each other")
		}
		seen[key{s.Cylinder, s.Valve}] = true
		banks[s.Cylinder] = s.Bank
		if s.Bank != in.Stations[0].Bank {
			res.BankSeen, res.Banks = true, [2]string{in.Stations[0].Bank, s.Bank}
		}
	}
	switch {
	case len(banks) < 2:
		return 0, fail("Stations", "", units.ErrMissing, "want two cylinders or more")
	case res.BankSeen && len(banks) < 3:
		return 0, fail("Stations", "", units.ErrMissing, "want three cylinders or more where there are two banks")
	}
	return len(banks), nil
}

// checkPositions refuses stations between which a twist makes no difference, or
// none that the offset of the second bank would not make as well.
func (in *SurveyInput) checkPositions(res *SurveyResult) error {
	widest := units.Length(0)
	for i := range in.Stations {
		for j := range in.Stations[:i] {
			if in.Stations[i].Bank == in.Stations[j].Bank {
				widest = max(widest, (in.Stations[i].Position - in.Stations[j].Position).Abs())
			}
		}
	}
	switch {
	case widest >= units.Millimeter:
		return nil
	case res.BankSeen:
		return fail("Stations.Position", widest.String(), units.ErrConflict, "each bank lies within 1 mm: a twist cannot be told from the offset of the banks")
	default:
		return fail("Stations.Position", widest.String(), units.ErrConflict, "all stations lie within 1 mm: give where the lobes sit along the shaft")
	}
}

// fit solves the weighted least squares about the weighted means.
func (in *SurveyInput) fit(res *SurveyResult) (surveyFit, error) {
	var f surveyFit
	for i := range in.Stations {
		s := &in.Stations[i]
		u := s.Advance.U.Degrees()
		w := 1 / (u * u)
		f.sw += w
		f.xm += w * s.Position.Meters()
		f.am += w * s.Advance.Value.Degrees()
		if res.second(s) {
			f.bm += w
		}
	}
	f.xm, f.bm, f.am = f.xm/f.sw, f.bm/f.sw, f.am/f.sw
	var use []int // columns of row
	if res.TwistSeen {
		use = append(use, 0)
	}
	if res.BankSeen {
		use = append(use, 1)
	}
	f.columns = len(use)
	if f.columns == 0 {
		return f, nil
	}
	a := mat.NewDense(len(in.Stations), f.columns, nil)
	b := mat.NewVecDense(len(in.Stations), nil)
	for i := range in.Stations {
		s := &in.Stations[i]
		u := s.Advance.U.Degrees()
		row := f.row(s, res)
		for j, c := range use {
			a.Set(i, j, row[c]/u)
		}
		b.SetVec(i, (s.Advance.Value.Degrees()-f.am)/u)
	}
	var qr mat.QR
	qr.Factorize(a)
	var x mat.VecDense
	var r, inverse mat.Dense
	qr.RTo(&r)
	if qr.SolveVecTo(&x, false, b) != nil || inverse.Inverse(r.Slice(0, f.columns, 0, f.columns)) != nil {
		return surveyFit{}, fail("Stations.Position", "", units.ErrConflict, "the positions tell a twist from the rest by too little for their uncertainties")
	}
	for j, c := range use { // (R'R)^-1 = R^-1 R^-T
		f.coef[c] = x.AtVec(j)
		for k, d := range use {
			f.cov[c][d] = mat.Dot(inverse.RowView(j), inverse.RowView(k))
		}
	}
	return f, nil
}

// second reports whether a station is on the second bank.
func (r *SurveyResult) second(s *Station) bool { return r.BankSeen && s.Bank == r.Banks[1] }

// row is the station about the weighted means.
func (f *surveyFit) row(s *Station, res *SurveyResult) [2]float64 {
	bank := -f.bm
	if res.second(s) {
		bank++
	}
	return [2]float64{s.Position.Meters() - f.xm, bank}
}

// at is the fitted value of a row.
func (f *surveyFit) at(row [2]float64) float64 { return f.am + row[0]*f.coef[0] + row[1]*f.coef[1] }

// shared is the covariance of the fitted values of two rows.
func (f *surveyFit) shared(a, b [2]float64) float64 {
	return 1/f.sw + a[0]*b[0]*f.cov[0][0] + (a[0]*b[1]+a[1]*b[0])*f.cov[0][1] + a[1]*b[1]*f.cov[1][1]
}

// variance of row times the coefficients.
func (f *surveyFit) variance(row [2]float64) float64 {
	return row[0]*row[0]*f.cov[0][0] + 2*row[0]*row[1]*f.cov[0][1] + row[1]*row[1]*f.cov[1][1]
}

// uncertainty scales those of the fit; what is common is not scaled.
func (r *SurveyResult) uncertainty(tdc, mean, atEnd, twist, offset, span, scale float64) SurveyUncertainty {
	return SurveyUncertainty{
		IndexAtMiddle: crankAngle(math.Hypot(scale*math.Sqrt(mean), tdc)), Index: crankAngle(math.Hypot(scale*math.Sqrt(mean+atEnd), tdc)),
		Twist: units.Twist(scale * twist), TwistOverShaft: crankAngle(scale * twist * span), BankOffset: crankAngle(scale * offset),
	}
}

// bound is how many stated uncertainties prove a difference at 95 %: by the
// stated uncertainties and by the scatter seen, whichever asks for more, as
// Agreement.bound95.
func (r *SurveyResult) bound(ratio float64) float64 {
	if r.Freedom == 0 {
		return normal95
	}
	return math.Max(normal95, ratio*distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(r.Freedom)}.Quantile(0.975))
}

// findOutliers holds every station against the fit of the others.
func (r *SurveyResult) findOutliers(stations []Station, fit *surveyFit) {
	if r.Freedom < 2 {
		return
	}
	n, f := len(stations), float64(r.Freedom)
	t := &tableau{n, make([]float64, (n+1)*(n+1))}
	for i := range stations {
		u, row := stations[i].Advance.U.Degrees(), fit.row(&stations[i], r)
		for j := range i {
			h := -fit.shared(row, fit.row(&stations[j], r)) / (u * stations[j].Advance.U.Degrees())
			t.a[i*(n+1)+j], t.a[j*(n+1)+i] = h, h
		}
		t.a[i*(n+1)+i] = 1 - r.Stations[i].Leverage
		res := (stations[i].Advance.Value.Degrees() - fit.at(row)) / u
		t.a[i*(n+1)+n], t.a[n*(n+1)+i] = res, res
	}
	t.a[len(t.a)-1] = r.ChiSquare
	best := t.search(min(r.Freedom/2, mostOutliers))
	set, rest := t.named(best, r.Freedom, false)
	for _, i := range set {
		s, u := &r.Stations[i], stations[i].Advance.U.Degrees()
		s.Outlier = true
		s.Shift = units.WithU(crankAngle(u*rest.at(i, n)), crankAngle(u*math.Sqrt(rest.at(i, i))))
	}
	for i := range stations {
		if r.Stations[i].Outlier {
			r.Outliers = append(r.Outliers, stations[i].name())
		}
	}
	if r.ChiSquare == 0 {
		return
	}
	for i := range r.Stations {
		// Where the others lie on the line exactly no finite number says it.
		s := &r.Stations[i]
		t2 := s.Studentized * s.Studentized / r.ChiSquare * f
		s.StudentizedByScatter = s.Studentized * math.Sqrt(f/r.ChiSquare*(f-1)/max(f-t2, 1e-9*f))
	}
	set, _ = t.named(best, r.Freedom, true)
	for _, i := range set {
		r.Stations[i].OutlierByScatter = true
	}
}

var outlierRule = units.Source{Text: "Cook and Weisberg, Residuals and Influence in Regression (1982), 2.2.2", Provenance: units.Memory}

// Working shows the fit and what stands off it.
func (r SurveyResult) Working() units.Working {
	src := units.Source{Text: "weighted straight line, JCGM 100:2008 H.3", Provenance: units.Verified}
	w := units.Working{
		{Symbol: "index", Formula: "weighted mean of the advances", Numbers: "at " + r.Middle.Text(units.Millimeters, 1) + " from the drive end", Value: r.IndexAtMiddle.Value.Text(2) + " (u = " + r.IndexAtMiddle.U.Text(2) + ")", Source: src},
	}
	if r.TwistSeen {
		w = append(w, units.Step{Symbol: "twist", Formula: "sum w (x-xm)(a-am) / sum w (x-xm)^2", Numbers: "over the shaft " + r.TwistOverShaft.Value.Text(2) + " (u = " + r.TwistOverShaft.U.Text(2) + ")", Value: strconv.FormatFloat(r.Twist.Value.CrankDegreesPerMeter(), 'g', 4, 64) + " crank deg/m", Source: src})
	}
	if r.BankSeen {
		w = append(w, units.Step{Symbol: "offset", Formula: "second bank over the first, fitted with the twist", Numbers: r.Banks[1] + " over " + r.Banks[0], Value: r.BankOffset.Value.Text(2) + " (u = " + r.BankOffset.U.Text(2) + ")", Source: src})
	}
	w = append(w, units.Step{Symbol: "chi2", Formula: "sum (residual/u)^2", Numbers: strconv.Itoa(r.Freedom) + " degrees of freedom", Value: strconv.FormatFloat(r.ChiSquare, 'g', 4, 64) + ", p = " + strconv.FormatFloat(r.PValue, 'g', 3, 64), Source: src})
	for _, s := range r.Stations {
		if s.Outlier {
			t := s.Shift.Value.Degrees() / s.Shift.U.Degrees()
			w = append(w, units.Step{
				Symbol: (&Station{Cylinder: s.Cylinder, Valve: s.Valve}).name(), Formula: "off the fit of the stations that are no outliers", Numbers: strconv.FormatFloat(t, 'f', 2, 64) + " u",
				Value: s.Shift.Value.Text(2) + " (u = " + s.Shift.U.Text(2) + ")", Source: outlierRule,
			})
		}
	}
	return w
}
