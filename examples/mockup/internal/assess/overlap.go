package assess

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// unknown stands where a reading tells nothing.
const unknown = "not known"

// heightsUnknown says why a reading has no uncertainty.
const heightsUnknown = "no uncertainty is known: neither a zero at firing TDC nor overlap.lifter_mismatch says how much the lifters themselves differ in height"

// The groups of checks.
const (
	groupCam     = "cam timing"
	groupBearing = "bearings"
	groupRing    = "rings"
	groupPlay    = "end play and side clearance"
	groupFit     = "fits"
	groupTurning = "turning torque"

	groupGroove      = "ring grooves"
	groupLift        = "valve lift"
	groupSpring      = "valve springs"
	groupTravel      = "travel limits"
	groupLash        = "lash or preload"
	groupLifter      = "lifter fits"
	groupDeck        = "deck height"
	groupCompression = "compression"
	groupPiston      = "valve to piston"
)

func proofOf(r *sheet.OverlapReading, path string) (camtiming.Proof, error) {
	if (r.Proof == "rise measured") != (r.Rise != nil) {
		if r.Rise == nil {
			return camtiming.Proof{}, fail(path+".rise", "", units.ErrMissing, "want the rise from the base circle, as the proof says")
		}
		return camtiming.Proof{}, fail(path+".rise", r.Rise.String(), units.ErrConflict, `a rise goes with the proof "rise measured"`)
	}
	switch r.Proof {
	case "rise measured":
		return camtiming.Proof{Kind: camtiming.RiseMeasured, Rise: r.Rise.Length}, nil
	case "moves as the crank is rocked":
		return camtiming.Proof{Kind: camtiming.MovesWithCrank}, nil
	default:
		return camtiming.Proof{}, nil
	}
}

// split turns a reading of the sheet into the library's.
func (e *evaluator) split(in *sheet.Instrument, r *sheet.OverlapReading, path string) (camtiming.SplitReading, error) {
	out := camtiming.SplitReading{
		Difference: measured(in, r.Difference), TDC: e.sheet.TopDeadCenter.Uncertainty, Mismatch: value(e.sheet.Overlap.LifterMismatch),
	}
	if r.Zero != nil {
		out.Zero = units.Some(measured(in, *r.Zero))
	}
	switch r.Approach {
	case "normal rotation":
		out.Approach = camtiming.ApproachNormal
	case "reverse rotation":
		out.Approach = camtiming.ApproachReverse
	}
	var err error
	out.Proof, err = proofOf(r, path)
	return out, err
}

// overlap works out the installed advance and its cause.
func (e *evaluator) overlap() error {
	o := &e.sheet.Overlap
	in, err := e.instrument("overlap.instrument", o.Instrument)
	if err != nil {
		return err
	}
	if len(o.Readings) == 0 {
		return fail("overlap.readings", "", units.ErrMissing, "want the reading of at least one cylinder")
	}
	for _, t := range [...]struct {
		path string
		t    units.CrankAngle
	}{{"overlap.tolerance.within", o.Tolerance.Within}, {"overlap.companion_tolerance.within", o.CompanionTolerance.Within}} {
		if t.t <= 0 || t.t > 90*units.CrankDegree {
			return fail(t.path, t.t.String(), units.ErrRange, "want a tolerance over 0 and at most 90 crank degrees")
		}
	}
	e.res.Style = styleOf(o.Readings[0].Difference)
	var obs []camtiming.Observation
	for i := range o.Readings {
		r, path := &o.Readings[i], index("overlap.readings", i)
		if r.Cylinder < 1 || r.Cylinder > e.sheet.Engine.Cylinders {
			return fail(path+".cylinder", strconv.Itoa(r.Cylinder), units.ErrRange, "want a cylinder from 1 to "+strconv.Itoa(e.sheet.Engine.Cylinders))
		}
		if slices.ContainsFunc(o.Readings[:i], func(p sheet.OverlapReading) bool { return p.Cylinder == r.Cylinder }) {
			return fail(path+".cylinder", strconv.Itoa(r.Cylinder), units.ErrConflict, "the cylinder is listed twice")
		}
		sr, err := e.split(in, r, path)
		if err != nil {
			return err
		}
		obs = append(obs, camtiming.Observation{Cylinder: strconv.Itoa(r.Cylinder), Reading: sr, Position: length(r.Position)})
		if err := e.cylinder(r, sr, path, in); err != nil {
			return err
		}
	}
	if err := e.pairs(); err != nil {
		return err
	}
	if err := e.survey(); err != nil {
		return err
	}
	if err := e.diagnose(obs, in); err != nil {
		return err
	}
	e.nextMeasurements()
	return e.correct()
}

// around is the tolerance around the target.
func around(center units.CrankAngle, t sheet.AngleTolerance) units.Limits[units.CrankAngle] {
	return units.Between(center-t.Within, center+t.Within, units.Source{Text: t.Source, Provenance: units.Stated})
}

// angleCheck records a verdict on an angle.
func (e *evaluator) angleCheck(name string, v units.Verdict[units.CrankAngle]) *Check {
	c := Check{
		Group: groupCam, Name: name, Measured: Signed(v.Measured.Value), Margin: Signed(v.Margin),
		Limits: Signed(v.Limits.Min) + " to " + Signed(v.Limits.Max), Outcome: v.Outcome, Source: v.Limits.Source, Reason: v.Reason,
	}
	if v.Measured.Stated {
		c.U = v.Measured.U.Text(2)
	}
	if v.HasConformance {
		c.Conformance = units.Some(v.Conformance)
	}
	return e.put(c)
}

// cylinder judges one reading.
func (e *evaluator) cylinder(r *sheet.OverlapReading, sr camtiming.SplitReading, path string, in *sheet.Instrument) error {
	name := "advance, cylinder " + strconv.Itoa(r.Cylinder)
	limits := around(e.res.Target.Advance, e.sheet.Overlap.Tolerance)
	s, err := e.res.Cam.Split(sr)
	line := Cylinder{Reading: r, Split: s, Known: err == nil && !s.Undetermined}
	check := Check{Group: groupCam, Name: name, Measured: unknown, Limits: Signed(limits.Min) + " to " + Signed(limits.Max), Source: limits.Source}
	switch {
	case errors.Is(err, units.ErrMissing):
		line.Reason = "no proof that a lifter is up: at firing top dead center every cam reads level"
	case errors.Is(err, units.ErrImpossible):
		line.Reason = "no advance of this cam gives this reading"
		check.Outcome = units.ProvedOutside
	case err != nil:
		return splitPlaces.put(path, err, e.instrumentPath(in))
	case !s.Undetermined && !s.Advance.Stated && sr.Difference.Stated:
		line.Reason = heightsUnknown
	case s.Undetermined:
		line.Reason = "both lifters may be on the base circle: anywhere from " + Signed(s.Low) + " to " + Signed(s.High)
	}
	e.res.Cylinders = append(e.res.Cylinders, line)
	if !line.Known {
		check.Reason = line.Reason
		e.put(check)
		return nil
	}
	v, err := units.Judge(s.Advance, limits, e.res.Rule)
	if err != nil {
		return at("overlap.tolerance", err)
	}
	c := e.angleCheck(name, v)
	if line.Reason != "" && v.Outcome == units.NotProved {
		c.Reason = line.Reason
	}
	c.Beside = "rule of thumb " + Signed(s.Rule.Advance) + " (" + s.Rule.Source.Provenance.String() + ")"
	e.worked("installed advance, cylinder "+strconv.Itoa(r.Cylinder), s)
	return nil
}

func (e *evaluator) known(cylinder int) *Cylinder {
	for i := range e.res.Cylinders {
		if c := &e.res.Cylinders[i]; c.Reading.Cylinder == cylinder {
			return c
		}
	}
	return nil
}

// pairs compares companions.
func (e *evaluator) pairs() error {
	for _, p := range e.res.Companions {
		a, b := e.known(p[0]), e.known(p[1])
		if a == nil && b == nil {
			continue
		}
		limits := around(0, e.sheet.Overlap.CompanionTolerance)
		name := fmt.Sprintf("companions, cylinder %d against %d", p[1], p[0])
		reason := ""
		for i, c := range [...]*Cylinder{a, b} {
			switch {
			case c == nil:
				reason = fmt.Sprintf("cylinder %d was not read: turn the crank once more and read it", p[i])
			case !c.Known:
				reason = fmt.Sprintf("cylinder %d tells no advance", p[i])
			}
		}
		if reason != "" {
			e.put(Check{Group: groupCam, Name: name, Measured: unknown, Limits: Signed(limits.Min) + " to " + Signed(limits.Max), Source: limits.Source, Reason: reason})
			continue
		}
		r, err := camtiming.ComparePair(camtiming.PairInput{First: a.Split, Companion: b.Split, Tolerance: limits, Rule: e.res.Rule})
		if err != nil {
			return at("overlap.companion_tolerance", err)
		}
		check := e.angleCheck(name, r.Verdict)
		check.Beside = r.Class.String()
		if why := a.Reason + b.Reason; why != "" && check.Outcome == units.NotProved {
			check.Reason = heightsUnknown
		}
		e.worked(name, r)
	}
	return nil
}

// survey fits index and twist, or takes the mean of what can be fitted to no
// line.
func (e *evaluator) survey() error {
	var in camtiming.SurveyInput
	var reading []int // of each station
	stated, positions, gauge := true, true, true
	var shape, most units.CrankAngle
	for i := range e.res.Cylinders {
		c := &e.res.Cylinders[i]
		if !c.Known {
			continue
		}
		positions = positions && c.Reading.Position != nil
		stated = stated && c.Split.Advance.Stated
		gauge = gauge && c.Split.UGauge > 0
		shape, most = max(shape, c.Split.UShape), max(most, c.Split.Advance.U)
		reading = append(reading, i)
		st := c.Split.Station(strconv.Itoa(c.Reading.Cylinder), value(c.Reading.Position))
		st.Bank = e.bank(c.Reading.Cylinder)
		in.Stations = append(in.Stations, st)
	}
	if len(in.Stations) == 0 {
		return nil
	}
	e.res.Known = true
	if len(in.Stations) == 1 || !stated || !gauge || !positions && len(in.Stations) > 2 {
		var sum float64
		for _, s := range in.Stations {
			sum += float64(s.Advance.Value)
		}
		e.res.Advance = units.Unstated(units.CrankAngle(math.RoundToEven(sum / float64(len(in.Stations)))))
		if stated {
			e.res.Advance = units.WithU(e.res.Advance.Value, most)
		}
		return nil
	}
	// What is common to all stations does not average out: top dead center and
	// the shape of lobes that only a card describes.
	in.Common = units.CrankAngle(math.RoundToEven(math.Hypot(float64(e.sheet.TopDeadCenter.Uncertainty), float64(shape))))
	r, err := camtiming.Survey(in)
	if err != nil {
		return surveyError(reading, err)
	}
	e.res.Survey, e.res.Advance = &r, r.IndexAtMiddle
	e.worked("all cylinders: index and twist", r)
	return nil
}

// surveyError finds the reading of a refused station; readings without an
// advance are no stations.
func surveyError(reading []int, err error) error {
	var e *units.InputError
	if !errors.As(err, &e) {
		return err
	}
	key, indices := strip(e.Field)
	switch key {
	case "Common":
		return at("top_dead_center.uncertainty", err)
	case "Stations.Position": // of all of them
		var all []string
		for _, i := range reading {
			all = append(all, index("overlap.readings", i)+".position")
		}
		return at(strings.Join(all, ", "), err)
	}
	if len(indices) == 1 {
		if i, bad := strconv.Atoi(indices[0]); bad == nil && i >= 0 && i < len(reading) {
			path := index("overlap.readings", reading[i])
			return places{"Stations[].Position": "position", "Stations[].Cylinder": "cylinder"}.put(path, err)
		}
	}
	return at("overlap.readings", err)
}

// steps are what the drive allows.
func steps(d *sheet.Drive) (teeth, most int, keys, bushings []units.CrankAngle) {
	return d.Teeth, d.MostTeeth, d.Keyways, d.Bushings
}

// diagnose ranks the causes.
func (e *evaluator) diagnose(obs []camtiming.Observation, inst *sheet.Instrument) error {
	teeth, most, keys, bushings := steps(&e.sheet.Drive)
	su := &e.sheet.Suspects
	for _, l := range [...]struct {
		path string
		n    int
	}{{"drive.keyways", len(keys)}, {"drive.bushings", len(bushings)}, {"suspects.other_cards", len(su.OtherCards)}} {
		if l.n > 64 {
			return fail(l.path, "", units.ErrRange, "want at most 64")
		}
	}
	in := camtiming.DiagnosisInput{Cam: e.res.Cam, Observations: obs, Suspects: camtiming.Suspects{
		Teeth: teeth, MostTeeth: most, Keyways: keys, Bushings: bushings, Slack: angle(e.sheet.Drive.Slack),
		TDCError: angle(su.TDCError), LifterHeights: value(su.LifterHeights), CylinderSpread: angle(su.CylinderSpread), IndexError: angle(su.IndexError),
	}}
	if t := su.Twist; t != nil {
		if err := size("suspects.twist.over", t.Over); err != nil {
			return err
		}
		twist, err := units.TwistOf(t.Angle, t.Over.Length)
		if err != nil {
			return at("suspects.twist", err)
		}
		in.Suspects.Twist = twist
	}
	for i := range su.OtherCards {
		c, path := &su.OtherCards[i], index("suspects.other_cards", i)
		other, err := card(c).Cam()
		if err != nil {
			return cardError(path, c, err)
		}
		in.Suspects.OtherCams = append(in.Suspects.OtherCams, camtiming.NamedCam{Name: c.Name, Cam: other})
	}
	for _, o := range obs {
		if !o.Reading.Difference.Stated || o.Reading.Difference.U == 0 {
			return nil // without an uncertainty no cause can be weighed
		}
	}
	in.Possible = e.possible(obs, &in.Suspects)
	d, err := camtiming.Diagnose(in)
	if err != nil {
		return e.diagnosisError(err, inst)
	}
	e.res.Diagnosis = &d
	for i := range d.Candidates[:d.Alike] {
		e.worked("cause: "+d.Candidates[i].String(), d.Candidates[i])
	}
	return nil
}

// diagnosisError finds the field of the sheet for a refused reading or suspect.
func (e *evaluator) diagnosisError(err error, inst *sheet.Instrument) error {
	var in *units.InputError
	if !errors.As(err, &in) {
		return err
	}
	if _, indices := strip(in.Field); strings.HasPrefix(in.Field, "Observations[") {
		_, field, _ := strings.Cut(in.Field, "].")
		return splitPlaces.put("overlap.readings["+indices[0]+"]", fail(field, in.Value, in.Kind, in.Reason), e.instrumentPath(inst))
	}
	return drivePlaces.put("suspects", fail(strings.TrimPrefix(in.Field, "Suspects."), in.Value, in.Kind, in.Reason))
}

// nextMeasurements lists what to measure next: the measurement that best tells
// the causes apart that the readings do not, if any does, then what confirms
// each by itself, less what was measured already.
func (e *evaluator) nextMeasurements() {
	d := e.res.Diagnosis
	if d == nil {
		return
	}
	if len(d.Next) > 0 && d.Next[0].Gain >= leastGain {
		best := &d.Next[0]
		e.res.Next = append(e.res.Next, best.Measurement.String()+", which tells "+d.Candidates[0].String()+" from "+rival(d, best))
	}
	for i := range d.Candidates[:d.Alike] {
		next := d.Candidates[i].Cause.NextMeasurement()
		if c := d.Candidates[i].Cause; c == camtiming.AsGround && !e.companionOpen() {
			continue
		} else if c == camtiming.TwistOrGrinding {
			next = e.twistNext()
		}
		if !slices.Contains(e.res.Next, next) {
			e.res.Next = append(e.res.Next, next)
		}
	}
	if !d.Explained {
		// Nothing weighed fits, so that no cause says what to measure.
		e.res.Next = append(e.res.Next, "read again", camtiming.OtherCam.NextMeasurement())
	}
}

// leastGain, in bits, is what a measurement must be expected to tell to be
// asked for.
const leastGain = 0.05

// rival is the cause that a measurement tells farthest from the first.
func rival(d *camtiming.Diagnosis, m *camtiming.Discrimination) string {
	at := 1
	for i := range m.Predictions {
		if m.Predictions[i].Separation > m.Predictions[at].Separation {
			at = i
		}
	}
	p := &m.Predictions[at]
	return fmt.Sprintf("%s: predicted %s against %s, %.1f standard uncertainties apart", d.Candidates[at], m.Predictions[0], p, p.Separation)
}

// possible are the measurements that the sheet's own uncertainties allow: the
// height difference of every cylinder not read or read without care, a lifter
// of the first one read, top dead center found again, marks and parts looked at.
func (e *evaluator) possible(obs []camtiming.Observation, d *camtiming.Suspects) []camtiming.Measurement {
	// A reading of height less its zero; no finer than the library weighs.
	u := max(obs[0].Reading.Difference.U, units.Nanometer)
	if z := obs[0].Reading.Zero; z.Given && z.Value.Stated {
		u = units.Length(math.Hypot(float64(u), float64(z.Value.U)))
	}
	fine := func(a units.CrankAngle) units.CrankAngle { return max(a, units.CrankDegree/1_000_000) }
	var out []camtiming.Measurement
	for _, o := range obs {
		if r := &o.Reading; r.Proof.Kind == camtiming.NoProof || !r.Zero.Given || r.Approach != camtiming.ApproachNormal {
			out = append(out, camtiming.Measurement{Kind: camtiming.MeasureSplit, Cylinder: o.Cylinder, U: u})
		}
	}
	for _, n := range e.unread() {
		if d.Twist != 0 {
			break // where their lobes sit, and so what they would read, is not known
		}
		out = append(out, camtiming.Measurement{Kind: camtiming.MeasureSplit, Cylinder: strconv.Itoa(n), U: u})
	}
	for _, v := range [...]camtiming.Valve{camtiming.IntakeValve, camtiming.ExhaustValve} {
		out = append(out, camtiming.Measurement{Kind: camtiming.MeasureLiftAtTDC, Cylinder: obs[0].Cylinder, Valve: v, U: u})
	}
	if tdc := e.sheet.TopDeadCenter.Uncertainty; tdc > 0 {
		out = append(out, camtiming.Measurement{Kind: camtiming.MeasureTDC, UAngle: fine(tdc)})
	}
	// What is seen, not read: a quarter of the smallest step.
	if d.Teeth > 0 && d.MostTeeth > 0 {
		out = append(out, camtiming.Measurement{Kind: camtiming.MeasureMarks, UAngle: camtiming.ToothAngle(d.Teeth) / 4})
	}
	var smallest units.CrankAngle
	for _, step := range slices.Concat(d.Keyways, d.Bushings) {
		if step != 0 && (smallest == 0 || step.Abs() < smallest) {
			smallest = step.Abs()
		}
	}
	if smallest > 0 {
		out = append(out, camtiming.Measurement{Kind: camtiming.MeasureDriveParts, UAngle: fine(smallest / 4)})
	}
	return out
}

// companionOpen reports whether a cylinder was read whose companion was not.
func (e *evaluator) companionOpen() bool {
	return slices.ContainsFunc(e.res.Companions, func(p [2]int) bool { return (e.known(p[0]) == nil) != (e.known(p[1]) == nil) })
}

// unread lists the cylinders without a reading at overlap.
func (e *evaluator) unread() []int {
	var out []int
	for n := 1; n <= e.sheet.Engine.Cylinders; n++ {
		if e.known(n) == nil {
			out = append(out, n)
		}
	}
	return out
}

// twistNext is what tells twist from grinding once every cylinder is read.
func (e *evaluator) twistNext() string {
	if len(e.unread()) > 0 {
		return camtiming.TwistOrGrinding.NextMeasurement()
	}
	return "measure each lobe's own centerline by equal lift"
}

// correct lists the steps that bring the cam to its target.
func (e *evaluator) correct() error {
	if !e.res.Known {
		return nil
	}
	var st camtiming.Steps
	st.Teeth, st.MostTeeth, st.Keyways, st.Bushings = steps(&e.sheet.Drive)
	c, err := camtiming.Correct(camtiming.CorrectionInput{Measured: e.res.Advance, Wanted: e.res.Target.Advance, Steps: st})
	if err != nil {
		return e.correctionError(err)
	}
	e.res.Correction = &c
	e.worked("correction", c)
	return nil
}

// correctionError finds the field of the sheet for a refused step or target.
func (e *evaluator) correctionError(err error) error {
	var in *units.InputError
	if !errors.As(err, &in) {
		return err
	}
	switch w := e.sheet.Wanted; {
	case in.Field == "Wanted" && w == nil:
		return at("cam.ground_advance", err)
	case in.Field == "Wanted" && w.Advance != nil:
		return at("wanted.advance", err)
	case in.Field == "Wanted":
		return at("wanted.intake_centerline", err)
	case strings.HasPrefix(in.Field, "Measured"):
		return at("overlap.readings", err)
	}
	return drivePlaces.put("drive", fail(strings.TrimPrefix(in.Field, "Steps."), in.Value, in.Kind, in.Reason))
}

// StepText says what a correction changes.
func StepText(s camtiming.CorrectionStep) string {
	var parts []string
	if s.Teeth != 0 {
		word, way := " teeth", " advancing"
		if s.Teeth == 1 || s.Teeth == -1 {
			word = " tooth"
		}
		n := s.Teeth
		if n < 0 {
			n, way = -n, " retarding"
		}
		parts = append(parts, "cam sprocket "+strconv.Itoa(n)+word+way)
	}
	if s.Keyway != 0 {
		parts = append(parts, "keyway of "+Signed(s.Keyway))
	}
	if s.Bushing != 0 {
		parts = append(parts, "bushing of "+Signed(s.Bushing))
	}
	if len(parts) == 0 {
		return "leave as it is"
	}
	return strings.Join(parts, " and ")
}
