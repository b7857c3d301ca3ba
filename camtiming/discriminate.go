package camtiming

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/floats"

	"example.com/trialfit/units"
)

// MeasurementKind is something that can be measured to tell causes apart.
type MeasurementKind uint8

// What can be measured next. Angles that depend on where the degree wheel stands
// carry its error.
const (
	// MeasureSplit is the height difference at overlap of one cylinder, with
	// proof, approached in normal rotation, the firing-TDC reading taken off.
	MeasureSplit MeasurementKind = iota + 1
	// MeasureLiftAtTDC is the lift of one lifter over its base circle at
	// overlap, with an indicator, approached in normal rotation.
	MeasureLiftAtTDC
	// MeasureCenterline is one lobe's centerline by equal lift on the degree
	// wheel: the midpoint at Measurement.Lift.
	MeasureCenterline
	// MeasureTDC is the error of the degree wheel, by a positive stop: the
	// advance that it adds to what is read.
	MeasureTDC
	// MeasureMarks is how far the timing marks stand off, by counting teeth:
	// the change of advance that they show.
	MeasureMarks
	// MeasureDriveParts is the change of advance by keyway, bushing, dowel or
	// key as found with the gear off.
	MeasureDriveParts
	// MeasureLobeLift is the greatest lift of one lobe.
	MeasureLobeLift
	measurementsEnd
)

// String names the measurement.
func (k MeasurementKind) String() string {
	switch k {
	case MeasureSplit:
		return "height difference at overlap, with zero and proof"
	case MeasureLiftAtTDC:
		return "lift at overlap TDC"
	case MeasureCenterline:
		return "centerline by equal lift"
	case MeasureTDC:
		return "top dead center by positive stop"
	case MeasureMarks:
		return "timing marks, teeth counted"
	case MeasureDriveParts:
		return "keyway, bushing and key with the gear off"
	case MeasureLobeLift:
		return "lobe lift"
	default:
		return "unknown measurement"
	}
}

// isLength reports whether the reading is a length, not an angle.
func (k MeasurementKind) isLength() bool {
	return k == MeasureSplit || k == MeasureLiftAtTDC || k == MeasureLobeLift
}

// onCylinder reports whether it is taken on one cylinder, oneLobe on one lobe.
func (k MeasurementKind) onCylinder() bool { return k == MeasureSplit || k.oneLobe() }

func (k MeasurementKind) oneLobe() bool {
	return k == MeasureLiftAtTDC || k == MeasureCenterline || k == MeasureLobeLift
}

// Measurement is one that can be taken next.
type Measurement struct {
	Kind MeasurementKind
	// Cylinder and Position say where, with MeasureSplit and the measurements
	// of one lobe: a cylinder that was read shares what is wrong with it.
	// Position is needed where Suspects.Twist is given and the cylinder was
	// not read.
	Cylinder string
	Position units.Optional[units.Length]
	// Valve says which, with the measurements of one lobe.
	Valve Valve
	// Lift over the base circle at which the midpoint is taken, with
	// MeasureCenterline.
	Lift units.Length
	// U is the standard uncertainty of the reading itself, top dead center
	// left out: of a height with MeasureSplit (the zero included),
	// MeasureLiftAtTDC and MeasureLobeLift.
	U units.Length
	// UAngle is the same of an angle, with the other kinds. Marks and parts
	// are seen, not read: a quarter of the smallest step is ample.
	UAngle units.CrankAngle
}

// String says what and where.
func (m Measurement) String() string {
	s := m.Kind.String()
	if m.Kind.oneLobe() {
		s += ", " + m.Valve.String()
	}
	if m.Kind.onCylinder() {
		s += ", cylinder " + m.Cylinder
	}
	return s
}

// PredictedReading is what one candidate predicts a measurement will show.
type PredictedReading struct {
	// Length or Angle is the reading, whichever the kind gives, with the
	// standard uncertainty of the prediction: that of the measurement and of
	// all that the readings so far leave open under the candidate. The other is
	// not stated.
	Length units.Measured[units.Length]
	Angle  units.Measured[units.CrankAngle]
	// Separation is how far the prediction lies from that of the first
	// candidate, in standard uncertainties (a statistic); 0 for the first.
	Separation float64
}

// String returns the reading.
func (p PredictedReading) String() string {
	if p.Angle.Stated {
		return p.Angle.Value.Text(2) + " (u = " + p.Angle.U.Text(2) + ")"
	}
	return p.Length.Value.Text(units.Inches, 4) + " (u = " + p.Length.U.Text(units.Inches, 4) + ")"
}

// Discrimination is how well a measurement tells apart the candidates that the
// readings so far do not. Under each candidate k the reading y to come is normal,
// conditioned on the readings r, with k's covariances:
//
//	mean = m_k + c' C^-1 r        variance v = v_k - c' C^-1 c + u^2
//
// with m_k and v_k = mean and variance without readings, c = covariance of y
// and the readings. Between the first candidate and another,
//
//	Separation = |mean_1 - mean_k| / sqrt((v_1 + v_k)/2)
//
// and over all of them, weighed by their probabilities P_k, the measurement is
// expected to reduce the entropy of "which is it" by
//
//	Gain = sum of P_k E_k[ log2 (N_k(y) / sum of P_j N_j(y)) ]
//
// bits: 0 where all predict the same, the entropy itself where no two overlap.
//
// Two candidates that differ in nothing that can be measured have a Gain of 0
// throughout. What a lobe known only by a card or by readings that scatter leaves
// open is part of v: at a lift, at a midpoint (as Centerline.AtNose has it) and in
// the greatest lift of a smoothed lobe. But for MeasureSplit it is taken to be
// open anew, not shared with the readings so far. The greatest lift of a card
// is as the card says.
//
// Source: conditional of a multivariate normal, Gelman and others, Bayesian Data
// Analysis, 3rd ed. (2013), App. A; Lindley, On a Measure of the Information Provided by an Experiment,
// Ann. Math. Statist. 27 (1956); MacKay, Information Theory, Inference, and
// Learning Algorithms (2003), ch. 8.
//
// Rows: diag-stop-y, diag-stop-u, diag-stop-sep, diag-stop-gain,
// diag-centerline-y, diag-centerline-sep, diag-marks-sep, diag-marks-gain,
// diag-lift-y, diag-lift-u, diag-lift-gain, diag-split-y, diag-split-u,
// diag-split-sep, diag-split-gain.
type Discrimination struct {
	Measurement Measurement
	Gain        float64 // bits, a statistic
	// Predictions belong to the first Diagnosis.Alike candidates, in order.
	Predictions []PredictedReading
}

// Working shows predictions and gain.
func (d Discrimination) Working() units.Working {
	normal := units.Source{Text: "normal conditioned on the readings, Gelman and others, Bayesian Data Analysis, 3rd ed. (2013), App. A", Provenance: units.Memory}
	lindley := units.Source{Text: "Lindley, Ann. Math. Statist. 27 (1956)", Provenance: units.Memory}
	var w units.Working
	for i, p := range d.Predictions {
		w = append(w, units.Step{
			Symbol: "y" + strconv.Itoa(i+1), Formula: "m + c' C^-1 r", Numbers: d.Measurement.String(),
			Value: p.String() + ", " + strconv.FormatFloat(p.Separation, 'g', 3, 64) + " u from the first", Source: normal,
		})
	}
	return append(w, units.Step{Symbol: "gain", Formula: "sum P_k E_k[log2(N_k / sum P_j N_j)]", Numbers: strconv.Itoa(len(d.Predictions)) + " candidates", Value: strconv.FormatFloat(d.Gain, 'g', 3, 64) + " bit", Source: lindley})
}

const mostPossible = 256

// discriminate ranks the possible measurements for the first n models.
func (d *diagnoser) discriminate(possible []Measurement, n int) ([]Discrimination, error) {
	if len(possible) > mostPossible {
		return nil, fail("Possible", strconv.Itoa(len(possible)), units.ErrRange, "want at most 256 measurements")
	}
	for i := range possible {
		if err := d.checkMeasurement("Possible["+strconv.Itoa(i)+"]", &possible[i]); err != nil {
			return nil, err
		}
	}
	if n < 2 {
		return nil, nil
	}
	w := make([]float64, n)
	var sum float64
	for k := range w {
		w[k] = d.models[k].Probability
		sum += w[k]
	}
	for k := range w {
		w[k] /= sum
	}
	mean, sd := make([]float64, n), make([]float64, n)
	work := make([]float64, 2*len(d.obs))
	all := make([]PredictedReading, n*len(possible))
	out := make([]Discrimination, len(possible))
	for i := range possible {
		q := &possible[i]
		out[i] = Discrimination{Measurement: *q, Predictions: all[i*n : (i+1)*n : (i+1)*n]}
		for k := range n {
			var err error
			if mean[k], sd[k], err = d.forecast(d.models[k], q, work); err != nil {
				return nil, inField("Possible["+strconv.Itoa(i)+"]", err)
			}
			p := &out[i].Predictions[k]
			if q.Kind.isLength() {
				p.Length = units.WithU(length(mean[k]), length(sd[k]))
			} else {
				p.Angle = units.WithU(crankAngle(mean[k]), crankAngle(sd[k]))
			}
			p.Separation = math.Abs(mean[k]-mean[0]) * math.Sqrt2 / math.Hypot(sd[0], sd[k])
		}
		out[i].Gain = gain(w, mean, sd)
	}
	slices.SortStableFunc(out, func(a, b Discrimination) int { return cmp.Compare(b.Gain, a.Gain) })
	return out, nil
}

func (d *diagnoser) checkMeasurement(field string, m *Measurement) error {
	k := m.Kind
	switch {
	case k == 0:
		return fail(field+".Kind", "", units.ErrMissing, "want one of the MeasurementKind constants")
	case k >= measurementsEnd:
		return fail(field+".Kind", strconv.Itoa(int(k)), units.ErrRange, "want one of the MeasurementKind constants")
	case k.onCylinder() && m.Cylinder == "":
		return fail(field+".Cylinder", "", units.ErrMissing, "want the cylinder's name")
	case k.oneLobe() && m.Valve != IntakeValve && m.Valve != ExhaustValve:
		return fail(field+".Valve", "", units.ErrMissing, "want IntakeValve or ExhaustValve")
	case k.isLength() && (m.U < units.Nanometer || m.U > units.Meter):
		return fail(field+".U", m.U.String(), units.ErrRange, "want a standard uncertainty of 1 nm to 1 m")
	case k.isLength() && m.UAngle != 0:
		return fail(field+".UAngle", m.UAngle.String(), units.ErrConflict, "the reading is a length: give U")
	case !k.isLength() && m.U != 0:
		return fail(field+".U", m.U.String(), units.ErrConflict, "the reading is an angle: give UAngle")
	case !k.isLength() && (m.UAngle < units.CrankDegree/1_000_000 || m.UAngle > 90*units.CrankDegree):
		return fail(field+".UAngle", m.UAngle.String(), units.ErrRange, "want a standard uncertainty of 0.000001 to 90 crank degrees")
	case k != MeasureCenterline && m.Lift != 0:
		return fail(field+".Lift", m.Lift.String(), units.ErrConflict, "only a centerline is taken at a lift")
	case m.Position.Given && !within(m.Position.Value, 10*units.Meter):
		return fail(field+".Position", m.Position.Value.String(), units.ErrRange, "want a position within 10 m of the drive end")
	}
	if k == MeasureCenterline && (m.Lift <= 0 || m.Lift >= m.lobe(d.cam).MaxLift()) {
		return fail(field+".Lift", m.Lift.String(), units.ErrRange, "want a lift over 0 and under the lobe lift")
	}
	if !k.onCylinder() || m.Position.Given || k == MeasureLobeLift {
		return nil
	}
	twist := false
	for i := range d.models {
		twist = twist || d.models[i].twist > 0
	}
	if twist && !slices.ContainsFunc(d.obs, func(o Observation) bool { return o.Cylinder == m.Cylinder }) {
		return fail(field+".Position", "", units.ErrMissing, "want where the lobes sit along the shaft: a twist is suspected")
	}
	return nil
}

func (m *Measurement) lobe(c *Cam) LiftCurve {
	if m.Valve == ExhaustValve {
		return c.spec.Exhaust
	}
	return c.spec.Intake
}

// position is where the measurement is taken along the shaft, in meters.
func (d *diagnoser) position(q *Measurement) float64 {
	if !q.Position.Given {
		for i := range d.obs {
			if d.obs[i].Cylinder == q.Cylinder {
				return d.obs[i].Position.Value.Meters()
			}
		}
	}
	return q.Position.Value.Meters()
}

// response is a reading to come by the model, in meters or crank degrees: its
// value, how it follows the advance and the wheel's error, and what lobes known
// by a card leave open, shared with the readings so far or not.
type response struct{ value, advance, wheel, shape, alone float64 }

func (m *model) response(q *Measurement) (response, error) {
	switch q.Kind {
	case MeasureSplit:
		d, s := m.cam.difference(m.advance)
		return response{d, s, s, m.cam.shapeSpread(m.advance), 0}, nil
	case MeasureLiftAtTDC:
		lobe, x := q.lobe(m.cam), m.advance/2-m.cam.half
		if q.Valve == ExhaustValve {
			x = m.advance/2 + m.cam.half
		}
		y, v := curveOf(lobe).eval(x)
		r := response{y, v / 2, v / 2, 0, 0}
		r.alone = math.Sqrt(liftVariance(lobe, x))
		return r, nil
	case MeasureCenterline:
		o, err := OpeningAt(q.lobe(m.cam), q.Lift)
		if err != nil { // another cam whose lobe is lower
			return response{}, fail("Lift", q.Lift.String(), units.ErrRange, "want a lift that the lobes of every candidate pass")
		}
		// After overlap TDC; an exhaust before it.
		u := midpointU(q.lobe(m.cam), o)
		if q.Valve == ExhaustValve {
			return response{2*m.cam.half + m.advance - o.Midpoint.Crank().Degrees(), 1, 1, 0, u}, nil
		}
		return response{2*m.cam.half - m.advance + o.Midpoint.Crank().Degrees(), -1, -1, 0, u}, nil
	case MeasureTDC:
		return response{wheel: 1}, nil
	case MeasureMarks:
		return response{value: m.marks.Degrees()}, nil
	case MeasureDriveParts:
		return response{value: m.parts.Degrees()}, nil
	default: // MeasureLobeLift, the last that checkMeasurement lets pass
		lobe := q.lobe(m.cam)
		return response{value: lobe.MaxLift().Meters(), alone: peakU(lobe)}, nil
	}
}

// forecast returns mean and standard deviation of a reading to come, given the
// readings so far.
func (d *diagnoser) forecast(m *model, q *Measurement, work []float64) (mean, sd float64, err error) {
	y, err := m.response(q)
	if err != nil {
		return 0, 0, err
	}
	u := q.UAngle.Degrees()
	if q.Kind.isLength() {
		u = q.U.Meters()
	}
	// The wheel has one error; it is as uncertain as the worst reading says.
	wheel := 0.0
	for i := range d.obs {
		wheel = max(wheel, d.obs[i].Reading.TDC.Degrees())
	}
	own := y.wheel*m.tdc + y.advance*m.index
	if m.twist > 0 {
		own += y.advance * m.twist * d.position(q)
	}
	common := y.wheel * wheel
	each := y.advance * m.spread
	v := own*own + common*common + each*each + y.shape*y.shape + y.alone*y.alone
	c, solved := work[:len(d.obs)], work[len(d.obs):]
	for i := range d.obs {
		x := own*m.own[i] + common*m.at[i].slope*d.obs[i].Reading.TDC.Degrees() + y.shape*m.at[i].shape
		if each != 0 && d.obs[i].Cylinder == q.Cylinder {
			x += each * m.at[i].slope * m.spread
		}
		c[i], solved[i] = x, x
	}
	m.solve(solved)
	v = max(v-floats.Dot(c, solved), 0) + u*u
	return y.value + floats.Dot(c, m.solved), math.Sqrt(v), nil
}

// gain is the mutual information, in bits, of which of several normal
// distributions is drawn from and the value drawn: the mean of log2 of the
// component over the mixture, by the trapezoidal rule over each component, which
// for such integrands converges faster than any power of the step. The step
// follows the narrowest component, down to an eighth of the one integrated over.
func gain(w, mean, sd []float64) float64 {
	const reach = 5.5
	narrowest := slices.Min(sd)
	total := 0.0
	for k := range w {
		step := 0.25 * max(narrowest/sd[k], 0.125)
		n := int(reach / step)
		sum, norm, alone := 0.0, 0.0, math.Log(w[k])
		for i := -n; i <= n; i++ {
			z := float64(i) * step
			phi := math.Exp(-z * z / 2)
			y := mean[k] + sd[k]*z
			mix := w[k] // over the component itself
			for j := range w {
				if j == k {
					continue
				}
				x := (y - mean[j]) / sd[j]
				if e := (z*z - x*x) / 2; e > -40 {
					mix += w[j] * sd[k] / sd[j] * math.Exp(e)
				}
			}
			if norm += phi; mix > w[k] {
				sum -= phi * math.Log(mix)
			} else {
				sum -= phi * alone
			}
		}
		total += w[k] * sum / norm
	}
	return max(total/math.Ln2, 0)
}
