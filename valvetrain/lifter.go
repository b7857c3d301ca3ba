package valvetrain

import (
	"math"

	"example.com/trialfit/units"
)

// LifterFit are the diameters read of a lifter's bore and of its body, each at
// as many places as were read (top and bottom, along and across).
type LifterFit struct {
	Bore, Body []units.Measured[units.Length]
	// Limits of the clearance, if it is to be judged, and Rule by which rule.
	Limits units.Optional[units.Limits[units.Length]]
	Rule   units.DecisionRule
}

// LifterClearance is the clearance of a lifter in its bore.
type LifterClearance struct {
	// Smallest is the smallest bore minus the largest body, Largest the
	// largest bore minus the smallest body; between them lies the clearance of
	// every place.
	Smallest, Largest units.Measured[units.Length]
	// Mean is the mean bore minus the mean body.
	Mean units.Measured[units.Length]
	// BoreSpread and BodySpread are largest minus smallest reading: out of
	// round and taper together.
	BoreSpread, BodySpread units.Measured[units.Length]
	// SmallestVerdict and LargestVerdict judge both ends, if there are limits;
	// Outcome is the worse of the two.
	SmallestVerdict, LargestVerdict units.Optional[units.Verdict[units.Length]]
	Outcome                         units.Outcome

	fit LifterFit
}

// diameters are what readings of one diameter come to.
type diameters struct {
	least, most, mean, spread units.Measured[units.Length]
}

func readDiameters(field string, m []units.Measured[units.Length]) (diameters, error) {
	if len(m) == 0 {
		return diameters{}, fail(field, "", units.ErrMissing, "want at least one reading")
	}
	if len(m) > maxCount {
		return diameters{}, fail(field, "", units.ErrRange, "want at most 10000 readings")
	}
	d := diameters{least: m[0], most: m[0]}
	var sum units.Length
	stated, u2 := true, 0.0
	for i, r := range m {
		if err := checkMeasuredSize(at(field, i), r); err != nil {
			return diameters{}, err
		}
		sum += r.Value
		stated = stated && r.Stated
		u2 += squared(float64(r.U))
		if r.Value < d.least.Value {
			d.least = r
		}
		if r.Value > d.most.Value {
			d.most = r
		}
	}
	n := units.Length(len(m))
	d.mean = units.Unstated(ratio(int64(sum), 1, int64(n)))
	if stated {
		d.mean = units.WithU(d.mean.Value, units.Length(math.RoundToEven(math.Sqrt(u2)/float64(n))))
	}
	d.spread = minus(d.most, d.least)
	if len(m) == 1 {
		d.spread.U = 0 // a reading against itself
	}
	return d, nil
}

// minus returns a-b with the uncertainties combined as uncorrelated.
func minus(a, b units.Measured[units.Length]) units.Measured[units.Length] {
	d := units.Measured[units.Length]{Value: a.Value - b.Value, Stated: a.Stated && b.Stated}
	if d.Stated {
		d.U = root(a.U, b.U)
	}
	return d
}

// Clearance answers how a lifter fits its bore, at the tightest, at the loosest
// and in the mean:
//
//	smallest = least bore - most body     largest = most bore - least body
//	mean = mean bore - mean body
//
// with the uncertainties of the two readings combined. A negative clearance is
// data: it does not go in. Errors: no reading; a diameter not over 0; a
// negative uncertainty; limits that units.Judge refuses.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: lifter-smallest, lifter-largest, lifter-mean, lifter-mean-u,
// lifter-smallest-u, lifter-bore-spread, lifter-body-spread, lifter-outcome.
func (f LifterFit) Clearance() (LifterClearance, error) {
	bore, err := readDiameters("Bore", f.Bore)
	if err != nil {
		return LifterClearance{}, err
	}
	body, err := readDiameters("Body", f.Body)
	if err != nil {
		return LifterClearance{}, err
	}
	c := LifterClearance{
		Smallest: minus(bore.least, body.most), Largest: minus(bore.most, body.least), Mean: minus(bore.mean, body.mean),
		BoreSpread: bore.spread, BodySpread: body.spread, fit: f,
	}
	if !f.Limits.Given {
		return c, nil
	}
	lo, err := units.Judge(c.Smallest, f.Limits.Value, f.Rule)
	if err == nil {
		var hi units.Verdict[units.Length]
		if hi, err = units.Judge(c.Largest, f.Limits.Value, f.Rule); err == nil {
			c.SmallestVerdict, c.LargestVerdict = units.Some(lo), units.Some(hi)
			c.Outcome = worse(lo.Outcome, hi.Outcome)
			return c, nil
		}
	}
	return LifterClearance{}, fail("Limits", f.Limits.Value.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
}

// Working returns the derivation.
func (c LifterClearance) Working() units.Working {
	bore, err1 := readDiameters("Bore", c.fit.Bore)
	body, err2 := readDiameters("Body", c.fit.Body)
	if err1 != nil || err2 != nil {
		return nil
	}
	return units.Working{
		{Symbol: "smallest", Formula: "least bore - most body", Numbers: num(bore.least.Value) + " - " + num(body.most.Value), Value: measuredText(c.Smallest), Source: definition},
		{Symbol: "largest", Formula: "most bore - least body", Numbers: num(bore.most.Value) + " - " + num(body.least.Value), Value: measuredText(c.Largest), Source: definition},
		{Symbol: "mean", Formula: "mean bore - mean body", Numbers: num(bore.mean.Value) + " - " + num(body.mean.Value), Value: measuredText(c.Mean), Source: definition},
	}
}

// HandCheck is what a hand found in a check that no figure decides. The zero
// HandCheck says that it was not done.
type HandCheck uint8

// Findings of a check by hand.
const (
	NotDone HandCheck = iota
	Passed
	Failed
)

// String names the finding.
func (h HandCheck) String() string {
	switch h {
	case Passed:
		return "passed"
	case Failed:
		return "failed"
	default:
		return "not done"
	}
}

// LifterHandChecks are the checks of a clean, dry lifter in its bore.
type LifterHandChecks struct {
	FreeFall     HandCheck // falls through its bore by its own weight
	FreeRotation HandCheck // turns in it without resistance
}

// CheckRecord is one check by hand as a report holds it.
type CheckRecord struct {
	Name    string
	Finding HandCheck
	// Outcome is within where it passed, outside where it failed.
	Outcome units.Outcome
	Reason  string // why it is done, and what to look for where it failed
	Source  units.Source
}

// Records returns both checks with what they mean. That a dry lifter must fall
// freely and turn freely is a rule of the trade without a single source: a flat
// lifter is turned by the offset of a tapered lobe and wears both where it
// sticks.
func (c LifterHandChecks) Records() []CheckRecord {
	record := func(name string, h HandCheck, reason string) CheckRecord {
		r := CheckRecord{Name: name, Finding: h, Reason: reason, Source: practice}
		switch h {
		case Passed:
			r.Outcome = units.ProvedWithin
		case Failed:
			r.Outcome = units.ProvedOutside
		default:
		}
		return r
	}
	return []CheckRecord{
		record("free fall", c.FreeFall, "a dry lifter falls through its bore by its own weight; one that does not has a burr, varnish, too little clearance or a bore out of line"),
		record("free rotation", c.FreeRotation, "a dry lifter turns in its bore without resistance; a flat one that cannot turn wears itself and its lobe"),
	}
}

// FaceReadings are dial readings on the face of a flat lifter, positive toward
// the cam, all with one zero.
type FaceReadings struct {
	Center units.Measured[units.Length]
	// Rim are readings on a circle about the center, while the lifter turns or
	// the dial goes round: three or more, evenly spaced.
	Rim []units.Measured[units.Length]
	// RimRadius is the radius of that circle.
	RimRadius units.Length
	// CrownLimits and RunoutLimits, if they are to be judged; Rule by which rule.
	CrownLimits, RunoutLimits units.Optional[units.Limits[units.Length]]
	Rule                      units.DecisionRule
}

// Face is the form of a lifter's face.
type Face struct {
	// Crown is how far the center stands over the mean of the rim; negative is
	// a face worn hollow.
	Crown units.Measured[units.Length]
	// Radius is that of the sphere with this crown, if the face is crowned.
	Radius units.Optional[units.Length]
	// Runout is the largest rim reading minus the smallest.
	Runout                      units.Measured[units.Length]
	CrownVerdict, RunoutVerdict units.Optional[units.Verdict[units.Length]]

	readings FaceReadings
}

// Face answers how a lifter's face is crowned and how it runs:
//
//	crown = Center - mean of Rim     runout = largest - smallest of Rim
//	radius = (a^2 + crown^2)/(2 crown),  a = RimRadius
//
// The mean over an evenly spaced rim cancels a face that stands askew, which
// shows as runout. A crown that is 0 or negative is data: a flat lifter that was
// ground with a crown and has none left is worn. Errors: fewer than three rim
// readings (ErrMissing), a rim radius not over 0, readings outside 10 m, a
// negative uncertainty, limits that units.Judge refuses.
//
// Source: definition; the sphere through a circle and its pole.
//
// Rows: face-crown, face-crown-u, face-radius, face-runout, face-runout-u,
// face-verdict.
func (r FaceReadings) Face() (Face, error) {
	if len(r.Rim) < 3 {
		return Face{}, fail("Rim", "", units.ErrMissing, "want three readings or more around the rim")
	}
	if len(r.Rim) > maxCount {
		return Face{}, fail("Rim", "", units.ErrRange, "want at most 10000 readings")
	}
	if err := checkSize("RimRadius", r.RimRadius); err != nil {
		return Face{}, err
	}
	if err := checkDial("Center", r.Center); err != nil {
		return Face{}, err
	}
	least, most := r.Rim[0], r.Rim[0]
	var sum units.Length
	stated, u2 := true, 0.0
	for i, m := range r.Rim {
		if err := checkDial(at("Rim", i), m); err != nil {
			return Face{}, err
		}
		sum += m.Value
		stated = stated && m.Stated
		u2 += squared(float64(m.U))
		if m.Value < least.Value {
			least = m
		}
		if m.Value > most.Value {
			most = m
		}
	}
	n := float64(len(r.Rim))
	mean := units.Measured[units.Length]{Value: ratio(int64(sum.Abs()), 1, int64(len(r.Rim))), Stated: stated}
	if sum < 0 {
		mean.Value = -mean.Value
	}
	if stated {
		mean.U = units.Length(math.RoundToEven(math.Sqrt(u2) / n))
	}
	f := Face{Crown: minus(r.Center, mean), Runout: minus(most, least), readings: r}
	if h := f.Crown.Value.Meters(); h > 0 {
		a := r.RimRadius.Meters()
		if radius := (a*a + h*h) / (2 * h); radius <= 1e6 {
			f.Radius = units.Some(count(radius))
		}
	}
	for _, v := range [...]struct {
		field   string
		m       units.Measured[units.Length]
		limits  units.Optional[units.Limits[units.Length]]
		verdict *units.Optional[units.Verdict[units.Length]]
	}{{"CrownLimits", f.Crown, r.CrownLimits, &f.CrownVerdict}, {"RunoutLimits", f.Runout, r.RunoutLimits, &f.RunoutVerdict}} {
		if !v.limits.Given {
			continue
		}
		got, err := units.Judge(v.m, v.limits.Value, r.Rule)
		if err != nil {
			return Face{}, fail(v.field, v.limits.Value.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
		}
		*v.verdict = units.Some(got)
	}
	return f, nil
}

// checkDial accepts a signed reading.
func checkDial(field string, m units.Measured[units.Length]) error {
	if m.Value > maxSize || m.Value < -maxSize {
		return fail(field, m.Value.String(), units.ErrRange, "want a reading within 10 m")
	}
	return checkMeasuredU(field, m)
}

// Working returns the derivation.
func (f Face) Working() units.Working {
	w := units.Working{
		{Symbol: "crown", Formula: "center - mean of the rim", Numbers: num(f.readings.Center.Value) + " - (" + num(f.readings.Center.Value-f.Crown.Value) + ")", Value: measuredText(f.Crown), Source: definition},
		{Symbol: "runout", Formula: "largest - smallest of the rim", Value: measuredText(f.Runout), Source: definition},
	}
	if f.Radius.Given {
		w = append(w, units.Step{Symbol: "R", Formula: "(a^2 + crown^2)/(2 crown)", Numbers: "a = " + num(f.readings.RimRadius), Value: text(f.Radius.Value), Source: definition})
	}
	return w
}
