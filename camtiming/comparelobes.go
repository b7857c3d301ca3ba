package camtiming

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/trialfit/units"
)

// LobeComparison sets a measured lobe against another: as measured against as
// ground, or one cylinder against the next.
type LobeComparison struct {
	// Reference is the lobe as it should be. A *SmoothLobe brings its own
	// uncertainty; any other curve counts as exact, the shape on the drawing.
	Reference LiftCurve
	Measured  *SmoothLobe
	// Lifts are the checking lifts at which durations are compared.
	Lifts []units.Length
	// Limits are those of the lift that the nose has lost. Not given, the rule of
	// thumb of 0.005 in at most (common practice).
	Limits units.Limits[units.Length]
	// Rule decides about the limits.
	Rule units.DecisionRule
}

// LobeDifference is how a measured lobe differs from its reference. Each
// Differs says whether the uncertainty supports that there is a difference at
// all, at 95 %.
type LobeDifference struct {
	// LiftLoss is how much lower the measured nose is.
	LiftLoss    units.Measured[units.Length]
	LiftDiffers bool
	// Verdict holds LiftLoss against the limits: proved outside is a worn lobe.
	Verdict   units.Verdict[units.Length]
	Durations []DurationDifference
	Phase     LobePhase
	Shape     LobeShape

	steps func() units.Working
}

// DurationDifference compares the durations at one checking lift.
type DurationDifference struct {
	Lift                units.Length
	Reference, Measured units.CrankAngle
	Difference          units.Measured[units.CrankAngle] // measured minus reference
	Differs             bool
}

// LobePhase is by how much a lobe stands later than its reference, each counted
// from its own origin. Two lobes that are both counted from their noses have a
// phase where their flanks lie differently about them.
type LobePhase struct {
	// Later holds in its uncertainty that of the nose of a measured lobe that
	// is counted from it: the flat top of a lobe is found to half a degree
	// where its flanks are to a hundredth. Count from the wheel (AsMeasured) to
	// leave it out. Not stated where such a nose has no uncertainty.
	Later   units.Measured[units.CamAngle]
	Differs bool
	// Height is the ratio of its flanks' lift to the reference's.
	Height   float64
	Readings int // on the flanks, that the fit rests on
	// Agreement tests whether the two flanks are those of the reference but
	// for shift and height. Where not, the uncertainty has grown by
	// sqrt(chi-square/freedom), and the shift is as much a matter of which flank
	// is worn as of phase.
	Agreement Agreement
}

// LobeShape is what is left between two lobes once the phase is taken out.
type LobeShape struct {
	// RMS is the root mean square difference of the curves over the readings
	// on the lobe, Noise what the uncertainty alone would leave of it.
	RMS, Noise units.Length
	// Greatest is the largest difference, measured minus reference, and At
	// where it stands from the reference's origin.
	Greatest units.Measured[units.Length]
	At       units.CamAngle
	// Differs is set where a difference anywhere exceeds the 95 % bound for the
	// worst of all readings.
	Differs bool
}

// wornRule is by the rule of thumb the most that a nose may have lost.
func wornRule() units.Limits[units.Length] {
	return units.AtMost(5*units.Thou, units.Source{Text: "a lobe that has lost more than 0.005 in of lift is worn", Provenance: units.CommonPractice})
}

// CompareLobes answers in what a measured lobe differs from its reference:
//
//	LiftLoss = h_ref - h     u^2 = u(h_ref)^2 + u(h)^2
//	Difference of durations at a lift: u^2 = 4 sum (u_lift/slope)^2 over both flanks of both lobes
//	Phase d, height k: sum (y_i - k ref(x_i - d))^2 = least, over the readings where ref is at 10 % to 90 % of its lift
//	u(d)^2 = u_noise^2 times that of the inverse normal matrix, and as much again for a measured reference,
//	         and u(nose)^2 of each measured lobe with Origin FromNose
//	Shape: f(x_i) - ref(x_i - d) over the readings on the lobe
//
// The measured lobe must be one of NewSmoothLobe, whose noise is known. A
// missing lobe, and fewer than three readings on a flank of the reference, are
// ErrMissing. A checking lift over the lift of either lobe is ErrRange, lobes
// that stand half a lobe apart are ErrImpossible, limits that are upside down
// or without a source are refused as Judge does.
//
// Source: least squares, JCGM 100:2008 H.3 and 5.1.2.
//
// Rows: compare-loss, compare-loss-u, compare-duration, compare-duration-u,
// compare-phase, compare-phase-u, compare-height, compare-shape-rms, compare-shape-at,
// compare-verdict.
func CompareLobes(in LobeComparison) (LobeDifference, error) {
	if in.Measured == nil {
		return LobeDifference{}, fail("Measured", "", units.ErrMissing, "want a lift curve")
	}
	if err := checkCurve("Measured", in.Measured); err != nil {
		return LobeDifference{}, err
	}
	if err := checkCurve("Reference", in.Reference); err != nil {
		return LobeDifference{}, err
	}
	if in.Limits == (units.Limits[units.Length]{}) {
		in.Limits = wornRule()
	}
	ref := newCompared(in.Reference)
	m := newCompared(in.Measured)
	var res LobeDifference
	res.LiftLoss = units.WithU(in.Reference.MaxLift()-in.Measured.MaxLift(), length(math.Hypot(ref.peakU(), m.peakU())))
	res.LiftDiffers = differs(float64(res.LiftLoss.Value), float64(res.LiftLoss.U))
	var err error
	if res.Verdict, err = units.Judge(res.LiftLoss, in.Limits, in.Rule); err != nil {
		return LobeDifference{}, err
	}
	for i, lift := range in.Lifts {
		d, err := compareDurations(ref, m, lift)
		if err != nil {
			return LobeDifference{}, inField("Lifts["+strconv.Itoa(i)+"]", err)
		}
		res.Durations = append(res.Durations, d)
	}
	shift, err := res.Phase.fit(ref, m)
	if err != nil {
		return LobeDifference{}, err
	}
	res.Shape.compare(ref, m, shift.deg, shift.u)
	steps := res
	res.steps = steps.derive
	return res, nil
}

func differs(x, u float64) bool { return math.Abs(x) > normal95*u }

// compared is a lobe with its uncertainty, which an exact one has none of.
type compared struct {
	LiftCurve
	curve
	smooth *SmoothLobe
}

func newCompared(c LiftCurve) compared {
	s, _ := c.(*SmoothLobe)
	return compared{c, curveOf(c), s}
}

func (c compared) peakU() float64 {
	if c.smooth == nil {
		return 0
	}
	return c.smooth.fit.Peak.U.Meters()
}

// liftU is the standard uncertainty of the lift at an angle from the origin.
func (c compared) liftU(deg float64) float64 {
	if c.smooth == nil {
		return 0
	}
	return c.smooth.liftU(deg)
}

func compareDurations(ref, m compared, lift units.Length) (DurationDifference, error) {
	d := DurationDifference{Lift: lift}
	var u2 float64
	for _, c := range [...]struct {
		lobe     compared
		duration *units.CrankAngle
	}{{ref, &d.Reference}, {m, &d.Measured}} {
		o, err := OpeningAt(c.lobe.LiftCurve, lift)
		if err != nil {
			return DurationDifference{}, err
		}
		*c.duration = o.Duration
		if c.lobe.smooth == nil {
			continue
		}
		for _, x := range [...]float64{o.Opens.Degrees(), o.Closes.Degrees()} {
			_, v := c.lobe.eval(x)
			u2 += squared(2 * c.lobe.liftU(x) / v)
		}
	}
	u := math.Sqrt(u2)
	if !(u < 360) {
		return DurationDifference{}, fail("lift", lift.String(), units.ErrImpossible, "a flank is level at that lift: it has no duration that can be known")
	}
	d.Difference = units.WithU(d.Measured-d.Reference, crankAngle(u))
	d.Differs = differs(float64(d.Difference.Value), float64(d.Difference.U))
	return d, nil
}

// originU is the standard uncertainty of the angle that a lobe is counted from,
// in cam degrees; false where it has one that is not known.
func (c compared) originU() (float64, bool) {
	if c.smooth == nil {
		return 0, true
	}
	return c.smooth.originU()
}

// flankShift is a shift of the flanks in cam degrees. Its uncertainty is that of
// the flanks alone: an error of the origin moves the shift with the readings.
type flankShift struct{ deg, u float64 }

// fit shifts the reference until it lies closest to the readings on the flanks.
func (p *LobePhase) fit(ref, m compared) (flankShift, error) {
	h := min(ref.MaxLift(), m.MaxLift()) / 2
	a, err := OpeningAt(ref.LiftCurve, h)
	if err != nil {
		return flankShift{}, inField("Reference", err)
	}
	b, err := OpeningAt(m.LiftCurve, h)
	if err != nil {
		return flankShift{}, inField("Measured", err)
	}
	// From the middles at half lift, with the readings that lie on the flanks
	// there; each stays in the fit.
	shift := (b.Midpoint - a.Midpoint).Degrees()
	s, low, high := m.smooth, 0.1*ref.MaxLift().Meters(), 0.9*ref.MaxLift().Meters()
	var on []int
	sides := [2]int{}
	for i, x := range s.x {
		y, v := ref.eval(x - s.shift - shift)
		if y < low || y > high || v == 0 {
			continue
		}
		on = append(on, i)
		if v > 0 {
			sides[0]++
		} else {
			sides[1]++
		}
	}
	p.Readings = len(on)
	if min(sides[0], sides[1]) < 3 {
		return flankShift{}, fail("Measured", strconv.Itoa(sides[0])+" and "+strconv.Itoa(sides[1]), units.ErrMissing, "want three readings or more on either flank")
	}
	start, k := shift, 1.0
	var normal flankNormal
	for range 50 {
		var g, e float64
		normal = flankNormal{}
		for _, i := range on {
			y, v := ref.eval(s.x[i] - s.shift - shift)
			left := s.y[i] - k*y
			g -= k * v * left // later is lower on a rising flank
			e += y * left
			normal.add(-k*v, y)
		}
		det := normal.vv*normal.yy - normal.vy*normal.vy
		step := (g*normal.yy - e*normal.vy) / det
		shift += step
		k += (e*normal.vv - g*normal.vy) / det
		if !(math.Abs(shift-start) < (a.Closes-a.Opens).Degrees()/2 && k > 0.1 && k < 10) {
			return flankShift{}, fail("Measured", "", units.ErrImpossible, "the two lobes cannot be laid on each other by a shift")
		}
		if math.Abs(step) < 1e-10 {
			break
		}
	}
	p.Height = k
	u2 := squared(s.sigma) * normal.shift()
	if r := ref.smooth; r != nil {
		var own flankNormal
		for _, x := range r.x {
			if y, v := ref.eval(x - r.shift); y >= low && y <= high {
				own.add(-v, y)
			}
		}
		u2 += squared(r.sigma) * own.shift()
	}
	var chi2 float64
	for _, i := range on {
		x := s.x[i] - s.shift - shift
		y, _ := ref.eval(x)
		chi2 += squared(s.y[i]-k*y) / (squared(s.sigma) + squared(ref.liftU(x)))
	}
	p.Agreement = agreement(chi2, len(on)-2)
	u := math.Sqrt(u2) * p.Agreement.widening()
	if !(u < 360) {
		return flankShift{}, fail("Measured", "", units.ErrImpossible, "the flanks do not hold the shift")
	}
	p.Later = units.Unstated(camAngle(shift))
	ur, okR := ref.originU()
	um, okM := m.originU()
	if okR && okM {
		all := math.Sqrt(u*u + ur*ur + um*um)
		p.Later = units.WithU(p.Later.Value, camAngle(all))
		p.Differs = differs(shift, all)
	}
	return flankShift{shift, u}, nil
}

// flankNormal is the normal matrix of shift and height.
type flankNormal struct{ vv, vy, yy float64 }

func (n *flankNormal) add(v, y float64) {
	n.vv += v * v
	n.vy += v * y
	n.yy += y * y
}

// shift is the variance of the shift in that of one reading.
func (n *flankNormal) shift() float64 { return n.yy / (n.vv*n.yy - n.vy*n.vy) }

// compare takes the difference of the curves over the readings on the lobe.
func (l *LobeShape) compare(ref, m compared, shift, shiftU float64) {
	s, span := m.smooth, ref.Span()
	var sum, noise, worst, most float64
	n := 0
	for _, x := range s.x {
		at := x - s.shift - shift
		if at < span.Opens.Degrees() || at > span.Closes.Degrees() {
			continue
		}
		y, v := ref.eval(at)
		d := s.at(x).y - y
		u := math.Sqrt(squared(s.u(x)[0]) + squared(ref.liftU(at)) + squared(v*shiftU))
		sum += d * d
		noise += u * u
		n++
		worst = max(worst, math.Abs(d)/u)
		if math.Abs(d) > most {
			most = math.Abs(d)
			l.Greatest, l.At = units.WithU(length(d), length(u)), camAngle(at)
		}
	}
	if n == 0 { // cannot be: the flanks lie inside the span
		return
	}
	l.RMS, l.Noise = length(math.Sqrt(sum/float64(n))), length(math.Sqrt(noise/float64(n)))
	l.Differs = worst > distuv.UnitNormal.Quantile(1-0.025/float64(n))
}

// Working shows the comparison.
func (d LobeDifference) Working() units.Working {
	if d.steps == nil {
		return nil
	}
	return d.steps()
}

func (d *LobeDifference) derive() units.Working {
	src := units.Source{Text: "least squares, JCGM 100:2008 H.3 and 5.1.2", Provenance: units.Verified}
	said := func(b bool) string {
		if b {
			return "differs"
		}
		return "no difference proved"
	}
	w := units.Working{{Symbol: "loss", Formula: "h_ref - h, " + d.Verdict.Limits.String(), Numbers: said(d.LiftDiffers) + ", " + d.Verdict.String(), Value: measuredInches(d.LiftLoss), Source: d.Verdict.Limits.Source}}
	for _, x := range d.Durations {
		w = append(w, units.Step{
			Symbol: "D(" + inches(x.Lift) + ")", Formula: "measured - reference", Numbers: x.Measured.Text(2) + " - " + x.Reference.Text(2) + ", " + said(x.Differs),
			Value: x.Difference.Value.Text(2) + ", u = " + x.Difference.U.Text(3), Source: src,
		})
	}
	later := "u not stated"
	if d.Phase.Later.Stated {
		later = "u = " + d.Phase.Later.U.Text(3)
	}
	return append(w,
		units.Step{Symbol: "d", Formula: "sum (y - k ref(x - d))^2 least over the flanks", Numbers: strconv.Itoa(d.Phase.Readings) + " readings, " + said(d.Phase.Differs), Value: d.Phase.Later.Value.Text(3) + ", " + later, Source: src},
		d.Phase.Agreement.step(),
		units.Step{
			Symbol: "shape", Formula: "f(x) - ref(x - d)", Numbers: "rms " + d.Shape.RMS.Text(units.Inches, 5) + ", noise " + d.Shape.Noise.Text(units.Inches, 5) + ", " + said(d.Shape.Differs),
			Value: measuredInches(d.Shape.Greatest) + " at " + d.Shape.At.Text(1), Source: src,
		})
}
