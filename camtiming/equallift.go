package camtiming

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// EqualLiftReading is one pair of wheel readings at the same dial reading
// before and after the nose.
type EqualLiftReading struct {
	// Drop below the nose or Lift over the base circle (over the seat at the
	// valve), as the dial shows it where it stands: one of the two.
	Drop, Lift units.Optional[units.Length]
	// Before and After are the wheel readings, in crank degrees after overlap TDC
	// (negative before it), with the standard uncertainty of reading the
	// wheel alone.
	Before, After units.Measured[units.CrankAngle]
}

// EqualLiftInput is a lobe dialed before and after its nose at one or several
// lifts.
type EqualLiftInput struct {
	Valve    Valve
	Readings []EqualLiftReading
	// AtValve is the gear behind which the dial stands at the valve; not given,
	// the dial stands on the lifter.
	AtValve units.Optional[ValveGear]
	// Dial is the standard uncertainty with which the dial meets the lift
	// again, where it stands.
	Dial units.Length
	// Lobe is the lobe as the card or a table gives it, for the slope at each
	// reading. Without it a drop is taken as that of a parabola; lifts need it
	// where Dial is over 0. Optional.
	Lobe LiftCurve
	// TDC is the standard uncertainty of top dead center.
	TDC      units.CrankAngle
	Approach Approach
}

// LiftMidpoint is the middle at one lift.
type LiftMidpoint struct {
	Centerline Centerline
	Width      units.CrankAngle // from before to after
	// Residual is the midpoint less the straight line through all, in the
	// sense of the centerline; 0 where no line was drawn.
	Residual units.CrankAngle
}

// EqualLiftResult is what the midpoints say together.
type EqualLiftResult struct {
	Midpoints []LiftMidpoint
	// Common tests whether the midpoints are one, Line whether they lie on a
	// straight line over the width (three or more).
	Common, Line Agreement
	// Mean is the weighted mean of the midpoints, given unless they drift by
	// more than 1.96 standard uncertainties, proved or not; of one reading it is
	// the midpoint itself.
	Mean units.Optional[Centerline]
	// Nose is the line carried to width 0, given with two or more widths. It
	// is exact for a lobe whose two flanks follow one law, and the lower the
	// drops the less it rests on that.
	Nose units.Optional[Centerline]
	// Skew is how much the midpoint moves after the nose for each degree of
	// half the width (a ratio), with its standard uncertainty where stated:
	// (closing - opening)/(closing + opening) of the two flanks.
	Skew, SkewU float64
	// Drift is the midpoint at the widest less that at the narrowest
	// reading by the line, in the sense of the centerline.
	Drift units.Measured[units.CrankAngle]
	// Asymmetric is set where the drift differs from zero at 95 %, both by the
	// stated uncertainties and by the scatter about the line.
	Asymmetric bool
}

// EqualLift answers where the nose of a lobe stands from wheel readings at
// equal lift on both sides of it:
//
//	midpoint = (before + after)/2          x = (after - before)/2
//	u^2 = (u_before^2 + u_after^2)/4 + (u_dial/slope_o)^2/4 + (u_dial/slope_c)^2/4
//	line: midpoint = nose + skew x, weights 1/u^2
//
// with slopes per crank degree of the lobe at that lift, or 2 drop/x as of a
// parabola. About the weighted mean of x the covariance of the line is diagonal,
// and where the scatter about the line is larger than stated at 95 % all of it
// grows by the square of the Birge ratio R, else R = 1:
//
//	R^2 = sum w (midpoint - line)^2/(n - 2)     Sxx = sum w (x - xm)^2
//	u(skew) = R/sqrt(Sxx)     u(nose) = R sqrt(1/sum w + xm^2/Sxx)
//	drift = skew (x_widest - x_narrowest), u(drift) likewise
//
// A lobe with unlike flanks shows a midpoint that drifts with the lift. That the
// drift is not zero is claimed (Asymmetric) where it exceeds both bounds,
//
//	1.96 u(drift) with R = 1     t(0.975, n - 2) u(drift) with R as found, under 1 too
//
// which is wrong in at most one of twenty, whatever the readings scatter: the
// second bound alone is Student's for any scatter, the first keeps a chance
// agreement of few readings from proving more than their uncertainty allows. Two
// lifts leave no scatter to see and rest on the first. The mean is withheld
// sooner, over 1.96 u(drift), because a drift that is not proved may
// still be there; the nose, the line at x = 0, is given throughout. What the
// dial misses on both sides alike (its zero, the lash, the ratio) changes the
// lift at which the middle holds, and moves it only along that line. Top dead
// center is common to all and enters each result once, u_TDC.
//
// Before must lie before After (ErrConflict), within a turn of overlap TDC and
// less than 720 degrees apart; each reading gives a drop or a lift (ErrMissing,
// ErrConflict for both). With several readings stated uncertainties must be over 0.
// Unstated ones give equal weights and prove nothing.
//
// Source: definition; weighted line, JCGM 100:2008 H.3; ratio R: Birge, Physical
// Review 40 (1932) 207; Student's t, JCGM 100:2008 G.3. That a lobe is
// dialed 0.050 in below its peak is common practice.
//
// Rows: cl-b-0p006, cl-b-0p020, cl-b-0p050, cl-b-0p100, cl-b-0p200, cl-b-nose,
// cl-b-skew, cl-eq-u, cl-eq-nose-u, cl-eq-valve, cl-eq-drop-u, cl-eq-chi2,
// cl-eq-skew-u, cl-eq-drift-u, cl-eq-nose-u-wide, cl-eq-skew-u-wide,
// cl-eq-drift-wide, cl-eq-drift-u-wide, cl-eq-unproved, cl-eq-proved.
func EqualLift(in EqualLiftInput) (EqualLiftResult, error) {
	if err := in.check(); err != nil {
		return EqualLiftResult{}, err
	}
	n := len(in.Readings)
	res := EqualLiftResult{Midpoints: make([]LiftMidpoint, 0, n)}
	stated := true
	x, y := make([]float64, n), make([]float64, n)
	ref := in.Readings[0].Before.Value // near the figures, so that differences keep their digits
	for i, r := range in.Readings {
		m, err := in.midpoint(i)
		if err != nil {
			return EqualLiftResult{}, err
		}
		stated = stated && m.Centerline.Angle.Stated
		res.Midpoints = append(res.Midpoints, m)
		x[i] = m.Width.Degrees() / 2
		y[i] = ((r.Before.Value - ref).Degrees() + (r.After.Value - ref).Degrees()) / 2
	}
	if n == 1 {
		res.Mean = units.Some(res.Midpoints[0].Centerline)
		return res, nil
	}
	var sw, swx, swy float64
	w := make([]float64, n)
	for i, m := range res.Midpoints {
		w[i] = 1
		if stated {
			u := m.Centerline.UReading.Degrees()
			if u == 0 {
				return EqualLiftResult{}, fail("Readings["+strconv.Itoa(i)+"]", "", units.ErrMissing, "want an uncertainty over 0 to weigh several readings: that of the wheel or of the dial")
			}
			w[i] = 1 / (u * u)
		}
		sw, swx, swy = sw+w[i], swx+w[i]*x[i], swy+w[i]*y[i]
	}
	xm, ym := swx/sw, swy/sw
	var sxx, sxy, common, line float64
	narrow, wide := x[0], x[0]
	for i := range x {
		sxx += w[i] * (x[i] - xm) * (x[i] - xm)
		sxy += w[i] * (x[i] - xm) * (y[i] - ym)
		common += w[i] * (y[i] - ym) * (y[i] - ym)
		narrow, wide = min(narrow, x[i]), max(wide, x[i])
	}
	angle := func(v float64) units.CrankAngle { return in.Valve.usual(ref + crankAngle(v)) }
	drifts := false
	if wide-narrow > 1e-6 { // less than any wheel shows
		res.Skew = sxy / sxx
		nose := in.centerline(angle(ym - res.Skew*xm))
		nose.Basis = BasisNose
		res.Drift.Value = in.Valve.usual(crankAngle(res.Skew * (wide - narrow)))
		for i := range x {
			r := y[i] - ym - res.Skew*(x[i]-xm)
			line += w[i] * r * r
			res.Midpoints[i].Residual = in.Valve.usual(crankAngle(r))
		}
		if stated {
			res.Line = agreement(line, n-2)
			wider := res.Line.widening()
			res.SkewU = wider / math.Sqrt(sxx)
			res.Drift = units.WithU(res.Drift.Value, crankAngle((wide-narrow)*res.SkewU))
			drifts = math.Abs(res.Skew) > normal95*res.SkewU
			res.Asymmetric = math.Abs(res.Skew) > res.Line.bound95()/math.Sqrt(sxx)
			nose.setU(crankAngle(wider*math.Sqrt(1/sw+xm*xm/sxx)), in.TDC, 0)
		}
		res.Nose = units.Some(nose)
	}
	if stated {
		res.Common = agreement(common, n-1)
	}
	if !drifts {
		mean := in.centerline(angle(ym))
		mean.Basis = BasisMidpoints
		if stated {
			mean.setU(crankAngle(res.Common.widening()/math.Sqrt(sw)), in.TDC, 0)
		}
		res.Mean = units.Some(mean)
	}
	return res, nil
}

// normal95 is the two-sided 95 % quantile of the normal distribution.
const normal95 = 1.959963984540054

func (in *EqualLiftInput) centerline(a units.CrankAngle) Centerline {
	return Centerline{Valve: in.Valve, Method: ByEqualLift, Approach: in.Approach, Angle: units.Measured[units.CrankAngle]{Value: a}}
}

func (in *EqualLiftInput) check() error {
	if err := in.Valve.check(); err != nil {
		return err
	}
	if len(in.Readings) == 0 {
		return fail("Readings", "", units.ErrMissing, "want wheel readings before and after the nose")
	}
	if err := checkPickup(in.AtValve); err != nil {
		return err
	}
	for _, r := range in.Readings {
		if r.Lift.Given && in.Dial > 0 && in.Lobe == nil {
			return fail("Lobe", "", units.ErrMissing, "want the lobe: what the dial's uncertainty means in degrees depends on the slope at that lift")
		}
	}
	if in.Dial < 0 || in.Dial > units.Millimeter {
		return fail("Dial", in.Dial.String(), units.ErrRange, "want a standard uncertainty of 0 to 1 mm")
	}
	if in.Lobe != nil {
		if err := checkCurve("Lobe", in.Lobe); err != nil {
			return err
		}
	}
	if err := checkTDC(in.TDC); err != nil {
		return err
	}
	return checkApproach(in.Approach)
}

// midpoint works out one pair of readings.
func (in *EqualLiftInput) midpoint(i int) (LiftMidpoint, error) {
	r := &in.Readings[i]
	field := "Readings[" + strconv.Itoa(i) + "]"
	if err := checkWheel(field+".Before", r.Before); err != nil {
		return LiftMidpoint{}, err
	}
	if err := checkWheel(field+".After", r.After); err != nil {
		return LiftMidpoint{}, err
	}
	width := r.After.Value - r.Before.Value
	if width <= 0 || width >= units.CrankCycle {
		return LiftMidpoint{}, fail(field, r.Before.Value.String()+" and "+r.After.Value.String(), units.ErrConflict, "want Before earlier than After, in degrees after overlap TDC, and less than a cycle between them")
	}
	if r.Drop.Given && r.Lift.Given {
		return LiftMidpoint{}, fail(field, "", units.ErrConflict, "a drop and a lift are given: want one of them")
	}
	if !r.Drop.Given && !r.Lift.Given {
		return LiftMidpoint{}, fail(field, "", units.ErrMissing, "want the drop below the nose or the lift at which both were read")
	}
	c := in.centerline(in.Valve.usual(r.Before.Value + width/2))
	c.Basis = BasisMidpoint
	if r.Drop.Given {
		if err := checkLift(field+".Drop", r.Drop.Value); err != nil {
			return LiftMidpoint{}, err
		}
		c.Drop = units.Some(length(dropOf(in.AtValve, r.Drop.Value)))
	} else {
		if err := checkLift(field+".Lift", r.Lift.Value); err != nil {
			return LiftMidpoint{}, err
		}
		c.Lift = units.Some(length(liftOf(in.AtValve, r.Lift.Value)))
	}
	if in.Lobe != nil {
		if c.Drop.Given {
			c.Lift = units.Some(in.Lobe.MaxLift() - c.Drop.Value)
		} else {
			c.Drop = units.Some(in.Lobe.MaxLift() - c.Lift.Value)
		}
		if c.Lift.Value <= 0 || c.Drop.Value <= 0 {
			return LiftMidpoint{}, fail(field, "", units.ErrConflict, "the lobe's lift is "+in.Lobe.MaxLift().String()+": it does not pass there")
		}
	}
	before, after, ok := in.slopes(c, width)
	if !ok {
		return LiftMidpoint{}, fail(field, "", units.ErrConflict, "the lobe does not pass that lift on both sides")
	}
	if r.Before.Stated && r.After.Stated {
		d := dropOf(in.AtValve, in.Dial)
		u2 := 0.0
		for _, u := range [...]float64{r.Before.U.Degrees(), r.After.U.Degrees(), d / before, d / after} {
			u2 += u * u / 4
		}
		u := math.Sqrt(u2)
		if !(u < 360) {
			return LiftMidpoint{}, fail(field, "", units.ErrRange, "the lobe is so flat there that the dial finds no angle")
		}
		c.setU(crankAngle(u), in.TDC, 0)
	}
	return LiftMidpoint{Centerline: c, Width: width}, nil
}

// slopes returns the lift of the lifter per crank degree before and after the
// nose, in meters; 1 where the dial adds no uncertainty.
func (in *EqualLiftInput) slopes(c Centerline, width units.CrankAngle) (before, after float64, ok bool) {
	switch {
	case in.Dial == 0:
		return 1, 1, true
	case in.Lobe != nil:
		o, err := OpeningAt(in.Lobe, c.Lift.Value)
		if err != nil {
			return 0, 0, false
		}
		k := curveOf(in.Lobe)
		_, before = k.eval(o.Opens.Degrees())
		_, after = k.eval(o.Closes.Degrees())
		return math.Abs(before) / 2, math.Abs(after) / 2, true
	case c.Drop.Given:
		s := 2 * c.Drop.Value.Meters() / (width.Degrees() / 2)
		return s, s, true
	default: // refused by check
		return 0, 0, false
	}
}

// Working shows the midpoints and what was made of them.
func (r EqualLiftResult) Working() units.Working {
	var w units.Working
	for i, m := range r.Midpoints {
		u := "u not stated"
		if m.Centerline.Angle.Stated {
			u = "u_reading = " + m.Centerline.UReading.Text(3)
		}
		w = append(w, units.Step{Symbol: "m" + strconv.Itoa(i+1), Formula: "(before + after)/2", Numbers: "width " + m.Width.Text(2) + ", " + u, Value: m.Centerline.Angle.Value.Text(2), Source: sourceMid})
	}
	src := units.Source{Text: "weighted straight line, JCGM 100:2008 H.3", Provenance: units.Verified}
	if r.Nose.Given {
		u := ""
		if r.Drift.Stated {
			u = "drift " + r.Drift.Value.Text(2) + " (u = " + r.Drift.U.Text(2) + ")"
		}
		w = append(w, units.Step{Symbol: "nose", Formula: "line of the midpoints over half the width, at 0", Numbers: u, Value: r.Nose.Value.Angle.Value.Text(2), Source: src})
		if r.Drift.Stated {
			if r.Line.Tested {
				s := r.Line.step()
				s.Symbol, s.Formula = "chi2 line", "sum w (m - line)^2"
				w = append(w, s)
			}
			verdict := "not proved"
			if r.Asymmetric {
				verdict = "proved at 95 %: unlike flanks"
			}
			bound := r.Line.bound95() / r.Line.widening() * r.Drift.U.Degrees()
			w = append(w, units.Step{
				Symbol: "drift", Formula: "|drift| > max(1.96, t(n - 2) R) u_stated(drift)", Numbers: crankAngle(math.Abs(r.Drift.Value.Degrees())).Text(2) + " against " + crankAngle(bound).Text(2),
				Value: verdict, Source: units.Source{Text: "Student's t, JCGM 100:2008 G.3", Provenance: units.Verified},
			})
		}
	}
	if r.Mean.Given && len(r.Midpoints) > 1 {
		w = append(w, units.Step{Symbol: "mean", Formula: "sum w m / sum w, w = 1/u_reading^2", Numbers: strconv.Itoa(len(r.Midpoints)) + " midpoints", Value: r.Mean.Value.Angle.Value.Text(2), Source: sourceBirge}, r.Common.step())
	}
	return w
}
