package camtiming

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/trialfit/units"
)

// Station is the advance read on one cylinder and where its lobes sit.
type Station struct {
	Cylinder string
	// Position is where the middle of the cylinder's two lobes lies along the
	// camshaft, from the drive end.
	Position units.Length
	// Advance is the advance there. Its uncertainty must be that of the
	// reading alone: top dead center is common to all stations and goes into
	// SurveyInput.Common.
	Advance units.Measured[units.CrankAngle]
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

// SurveyInput are the readings of all cylinders.
type SurveyInput struct {
	Stations []Station
	// Common is the standard uncertainty that all stations share: that of top
	// dead center, and of lobes known only by a card (root sum of squares of
	// the UTDC and UShape of the results). It goes into the index alone: no
	// averaging removes it.
	Common units.CrankAngle
}

// StationFit is what the fit makes of one station.
type StationFit struct {
	Cylinder string
	Fitted   units.CrankAngle // index + twist * position
	Residual units.CrankAngle // read minus fitted
	// Studentized is the residual over its own standard uncertainty,
	// r/(u sqrt(1 - h)), a statistic; 0 where the fit leaves no freedom.
	Studentized float64
	// Outlier is set beyond the 95 % bound for the worst of all stations. It
	// takes two degrees of freedom: with one, every station stands out alike.
	Outlier bool
}

// SurveyResult separates what is common (index), what grows along the shaft
// (twist) and what belongs to single cylinders (residual).
type SurveyResult struct {
	// Index is the fitted advance at the drive end, with the common part in its uncertainty.
	Index units.Measured[units.CrankAngle]
	// IndexAtMiddle is the fitted advance at the weighted middle of the
	// stations, the best known point of the line.
	IndexAtMiddle units.Measured[units.CrankAngle]
	Middle        units.Length
	// Twist is the change of advance along the shaft, in crank degrees per
	// meter; what is common does not touch it.
	Twist units.Measured[units.Twist]
	// TwistOverShaft is the twist between the first and last station.
	TwistOverShaft units.Measured[units.CrankAngle]
	// TwistSeen tells whether a twist was fitted at all: it takes three
	// stations, not all within 1 mm. TwistTested tells whether it could be
	// tested against the scatter: it takes four. TwistProved tells whether
	// it differs from zero at 95 %.
	TwistSeen, TwistTested, TwistProved bool
	Stations                            []StationFit
	// ChiSquare is the sum of (residual/u)^2, Freedom its degrees of freedom
	// and PValue the probability of as much or more by chance (statistics).
	ChiSquare float64
	Freedom   int
	PValue    float64
	// Scatter is the standard deviation of a station as the residuals show
	// it, to compare with the stated uncertainty; 0 without freedom.
	Scatter units.CrankAngle
}

// Survey fits the advances of all cylinders to index + twist * position by
// weighted least squares, with weights 1/u^2 of the readings:
//
//	twist = sum w (x - xm)(a - am) / sum w (x - xm)^2,  xm, am weighted means
//	u(twist)^2 = 1 / sum w (x - xm)^2,  u(am)^2 = 1 / sum w + u_common^2
//
// Two stations give the index only. Every station needs a stated uncertainty
// over 0 (ErrMissing), a name of its own (ErrConflict) and a position within
// 10 m (ErrRange); fewer than two stations is ErrMissing. Three or more
// within 1 mm of each other are ErrConflict.
//
// What it cannot tell: which lobe of a cylinder is wrong (a difference holds
// both), and with three stations whether a twist is more than scatter.
//
// Source: weighted straight line, JCGM 100:2008 H.3; studentized residuals as
// usual in regression.
//
// Rows: gum-h3-y1, gum-h3-y2, gum-h3-sy2, survey-twist, survey-index.
func Survey(in SurveyInput) (SurveyResult, error) {
	n := len(in.Stations)
	if n < 2 {
		return SurveyResult{}, fail("Stations", "", units.ErrMissing, "want two cylinders or more")
	}
	if in.Common < 0 || in.Common > 90*units.CrankDegree {
		return SurveyResult{}, fail("Common", in.Common.String(), units.ErrRange, "want a standard uncertainty of 0 to 90 crank degrees")
	}
	seen := make(map[string]bool, n)
	var sw, swx, swa float64
	first, last := in.Stations[0].Position, in.Stations[0].Position
	for i, s := range in.Stations {
		field := "Stations[" + strconv.Itoa(i) + "]"
		switch {
		case s.Cylinder == "":
			return SurveyResult{}, fail(field+".Cylinder", "", units.ErrMissing, "want the cylinder's name")
		case seen[s.Cylinder]:
			return SurveyResult{}, fail(field+".Cylinder", s.Cylinder, units.ErrConflict, "the cylinder is listed twice")
		case !within(s.Position, 10*units.Meter):
			return SurveyResult{}, fail(field+".Position", s.Position.String(), units.ErrRange, "want a position within 10 m of the drive end")
		case !s.Advance.Stated || s.Advance.U <= 0:
			return SurveyResult{}, fail(field+".Advance.U", s.Advance.U.String(), units.ErrMissing, "want the standard uncertainty of the reading, over 0")
		case !within(s.Advance.Value, units.CrankTurn) || s.Advance.U > units.CrankTurn:
			return SurveyResult{}, fail(field+".Advance", s.Advance.Value.String(), units.ErrRange, "want an advance within one turn")
		}
		seen[s.Cylinder] = true
		u := s.Advance.U.Degrees()
		w := 1 / (u * u)
		sw += w
		swx += w * s.Position.Meters()
		swa += w * s.Advance.Value.Degrees()
		first, last = min(first, s.Position), max(last, s.Position)
	}
	xm, am := swx/sw, swa/sw
	var sxx, sxa float64
	for _, s := range in.Stations {
		u, dx := s.Advance.U.Degrees(), s.Position.Meters()-xm
		sxx += dx * dx / (u * u)
		sxa += dx * (s.Advance.Value.Degrees() - am) / (u * u)
	}
	res := SurveyResult{Middle: length(xm), Freedom: n - 1}
	if n >= 3 && last-first < units.Millimeter {
		return SurveyResult{}, fail("Stations.Position", (last - first).String(), units.ErrConflict, "all stations lie within 1 mm: give where the lobes sit along the shaft")
	}
	var twist, utwist float64
	if n >= 3 {
		res.TwistSeen = true
		res.Freedom = n - 2
		twist, utwist = sxa/sxx, 1/math.Sqrt(sxx)
		res.Twist = units.WithU(units.Twist(twist), units.Twist(utwist))
		span := (last - first).Meters()
		res.TwistOverShaft = units.WithU(crankAngle(twist*span), crankAngle(utwist*span))
	}
	// The worst of n residuals: Bonferroni's bound on the normal quantile.
	bound := distuv.UnitNormal.Quantile(1 - 0.025/float64(n))
	for _, s := range in.Stations {
		u, dx := s.Advance.U.Degrees(), s.Position.Meters()-xm
		fitted := am + twist*dx
		r := s.Advance.Value.Degrees() - fitted
		leverage := 1 / (u * u * sw)
		if res.TwistSeen {
			leverage += dx * dx / (u * u * sxx)
		}
		f := StationFit{Cylinder: s.Cylinder, Fitted: crankAngle(fitted), Residual: crankAngle(r)}
		if free := 1 - leverage; free > 1e-9 {
			f.Studentized = r / (u * math.Sqrt(free))
			f.Outlier = res.Freedom > 1 && math.Abs(f.Studentized) > bound
		}
		res.ChiSquare += r * r / (u * u)
		res.Stations = append(res.Stations, f)
	}
	tdc := in.Common.Degrees()
	uMid := 1 / math.Sqrt(sw)
	res.IndexAtMiddle = units.WithU(crankAngle(am), crankAngle(math.Hypot(uMid, tdc)))
	res.Index = units.WithU(crankAngle(am-twist*xm), crankAngle(math.Sqrt(uMid*uMid+xm*xm*utwist*utwist+tdc*tdc)))
	res.PValue = 1
	if res.Freedom > 0 {
		res.PValue = distuv.ChiSquared{K: float64(res.Freedom)}.Survival(res.ChiSquare)
		res.Scatter = crankAngle(math.Sqrt(res.ChiSquare / float64(res.Freedom) * float64(n) / sw))
	}
	if res.TwistSeen && n >= 4 {
		res.TwistTested = true
		// By the stated uncertainties, and by the scatter seen where that is
		// the larger: a twist is proved only if both say so.
		worse := math.Max(1, math.Sqrt(res.ChiSquare/float64(res.Freedom)))
		k := distuv.UnitNormal.Quantile(0.975)
		if worse > 1 {
			k = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(res.Freedom)}.Quantile(0.975)
		}
		res.TwistProved = math.Abs(twist) > k*worse*utwist
	}
	return res, nil
}

// Working shows the fit.
func (r SurveyResult) Working() units.Working {
	src := units.Source{Text: "weighted straight line, JCGM 100:2008 H.3", Provenance: units.Verified}
	w := units.Working{
		{Symbol: "index", Formula: "weighted mean of the advances", Numbers: "at " + r.Middle.Text(units.Millimeters, 1) + " from the drive end", Value: r.IndexAtMiddle.Value.Text(2) + " (u = " + r.IndexAtMiddle.U.Text(2) + ")", Source: src},
	}
	if r.TwistSeen {
		w = append(w, units.Step{Symbol: "twist", Formula: "sum w (x-xm)(a-am) / sum w (x-xm)^2", Numbers: "over the shaft " + r.TwistOverShaft.Value.Text(2) + " (u = " + r.TwistOverShaft.U.Text(2) + ")", Value: strconv.FormatFloat(r.Twist.Value.CrankDegreesPerMeter(), 'g', 4, 64) + " crank deg/m", Source: src})
	}
	return append(w, units.Step{Symbol: "chi2", Formula: "sum (residual/u)^2", Numbers: strconv.Itoa(r.Freedom) + " degrees of freedom", Value: strconv.FormatFloat(r.ChiSquare, 'g', 4, 64) + ", p = " + strconv.FormatFloat(r.PValue, 'g', 3, 64), Source: src})
}
