package camtiming

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/stat/distuv"

	"example.com/trialfit/units"
)

// Cause is a kind of fault that a set of readings may point to.
type Cause uint8

// The causes that Diagnose weighs.
const (
	AsGround             Cause = iota + 1 // installed as the card says
	ToothOff                              // the cam sprocket or gear is some teeth out
	WrongKeyway                           // another keyway of a multi-key gear is in use
	DowelOffset                           // an offset bushing or dowel is fitted, left out or turned round
	AdvanceReversed                       // the ground-in advance acts as retard (gear or bushing reversed)
	TDCMisset                             // the degree wheel's zero is off
	WrongTurn                             // read at firing TDC, one turn away from overlap
	SlackOnWrongSide                      // the crank came to the mark backward
	LifterMismatch                        // the lifters differ in height and no zero was taken
	OtherCam                              // the card belongs to another cam
	TwistOrGrinding                       // the cam is twisted or a lobe is ground wrong
	AdvanceLeftOut                        // straight up: the advance of the card is not there
	DeadCentersExchanged                  // the reading called overlap was taken at firing TDC and the zero at overlap
	IndexOff                              // the cam stands off by an unknown amount that marks and parts do not show
	Twisted                               // the advance changes in step along the shaft
	causesEnd
)

// String names the cause.
func (c Cause) String() string {
	switch c {
	case AsGround:
		return "installed as ground"
	case ToothOff:
		return "cam sprocket off by teeth"
	case WrongKeyway:
		return "wrong keyway"
	case DowelOffset:
		return "dowel or bushing offset"
	case AdvanceReversed:
		return "advance acts as retard"
	case TDCMisset:
		return "top dead center mis-set"
	case WrongTurn:
		return "read at firing TDC, one turn off"
	case SlackOnWrongSide:
		return "slack taken up on the wrong side"
	case LifterMismatch:
		return "lifters of unequal height"
	case OtherCam:
		return "card of another cam"
	case TwistOrGrinding:
		return "twist or grinding"
	case AdvanceLeftOut:
		return "straight up, card's advance missing"
	case DeadCentersExchanged:
		return "reading and zero exchanged"
	case IndexOff:
		return "index off by an unknown amount"
	case Twisted:
		return "cam twisted along its length"
	default:
		return "unknown cause"
	}
}

// NextMeasurement says in words what confirms or clears the cause by itself;
// Diagnosis.Next computes what tells several causes apart.
func (c Cause) NextMeasurement() string {
	switch c {
	case AsGround:
		return "repeat on the companion cylinder one crank turn later"
	case ToothOff:
		return "count the teeth or links between the timing marks; check the marks of both gears against the keyways"
	case WrongKeyway:
		return "pull the crank gear and read which keyway is on the key"
	case DowelOffset:
		return "take off the cam gear and measure the dowel or bushing eccentricity and its direction"
	case AdvanceReversed:
		return "check which way round the offset bushing, key or gear is fitted"
	case TDCMisset:
		return "find top dead center again with a positive stop from both sides"
	case WrongTurn:
		return "turn the crank once more and read again; a lifter must be off its base circle"
	case SlackOnWrongSide:
		return "turn back well past the mark, come up in normal rotation and read again"
	case LifterMismatch:
		return "read the same two lifters at firing TDC and take that off"
	case OtherCam:
		return "measure lobe lift and duration at two lifts and compare them with the card"
	case TwistOrGrinding:
		return "read every cylinder, then each lobe's own centerline by equal lift"
	case AdvanceLeftOut:
		return "measure the intake centerline by equal lift and check the gear's keyway and bushing"
	case DeadCentersExchanged:
		return "turn to the dead center that was called overlap and see a lifter move as the crank is rocked"
	case IndexOff:
		return "find top dead center again with a positive stop; look for a gear that slipped on its hub or an adjuster that moved"
	case Twisted:
		return "read every cylinder, then fit the advances to a line along the shaft"
	default:
		return ""
	}
}

// Observation is one height difference at top dead center of overlap.
type Observation struct {
	// Cylinder names it: readings of one name share what is wrong with that
	// cylinder. Without a name each reading is of a cylinder of its own.
	Cylinder string
	Reading  SplitReading
	// Position is where the middle of the two lobes lies along the camshaft
	// from the drive end; needed where Suspects.Twist is given.
	Position units.Optional[units.Length]
}

// NamedCam is another cam whose card may have been mistaken for this one's.
type NamedCam struct {
	Name string
	Cam  *Cam
}

// Suspects say which faults the engine's hardware makes possible. A zero
// field leaves its cause out: nothing is assumed.
type Suspects struct {
	// Teeth is the number of teeth on the cam sprocket or gear; one tooth is
	// 720/Teeth crank degrees. MostTeeth is how many teeth off to consider
	// either way.
	Teeth, MostTeeth int
	// Keyways are the other keyways of the gear, as the change of advance
	// each would make.
	Keyways []units.CrankAngle
	// Bushings are offset bushings or dowels, as the size of the change of
	// advance each makes; both directions are considered.
	Bushings []units.CrankAngle
	// TDCError is the standard deviation of a mis-set degree wheel.
	TDCError units.CrankAngle
	// Slack is the free movement of the drive at the crank.
	Slack units.CrankAngle
	// LifterHeights is the standard deviation of the height difference of two
	// lifters.
	LifterHeights units.Length
	// CylinderSpread is the standard deviation, from cylinder to cylinder,
	// of a twisted or badly ground cam.
	CylinderSpread units.CrankAngle
	// IndexError is the standard deviation of an index error of unknown size:
	// a gear that slipped on its hub, an adjuster that moved. Timing marks and
	// offset parts do not show it.
	IndexError units.CrankAngle
	// Twist is the standard deviation of a twist in step along the shaft,
	// from the drive end.
	Twist units.Twist
	// OtherCams are cams whose card this might be.
	OtherCams []NamedCam
}

// Candidate is one possible cause with what it predicts.
type Candidate struct {
	Cause  Cause
	Detail string // "1 tooth advanced (17.14 deg)", or empty
	// Shift is the change of advance that the cause makes against the card.
	Shift units.CrankAngle
	// Predicted holds the height difference the cause predicts at each
	// observation, and Residual what was read minus that.
	Predicted, Residual []units.Length
	// ChiSquare measures the residuals against the uncertainty, with all
	// correlations (a statistic); Freedom is the number of observations and
	// PValue the probability of as much or more by chance.
	ChiSquare float64
	Freedom   int
	PValue    float64
	// Prior is the probability before the readings, after what the record
	// rules out.
	Prior float64
	// Likelihood is the marginal likelihood of the readings over the highest
	// of all candidates not ruled out: 1 for that one (a ratio, free of the prior).
	Likelihood float64
	// Probability is that of the cause after the readings, given that one of
	// the candidates is at work; 0 throughout where none explains them.
	Probability float64
	// RuledOut says what excludes the cause whatever the readings, or is empty.
	RuledOut string
}

// DiagnosisInput is a set of readings and what may be wrong.
type DiagnosisInput struct {
	Cam          *Cam
	Observations []Observation
	Suspects     Suspects
	// Prior says how probable each cause is before the readings. The zero
	// value is EqualPrior.
	Prior Prior
	// Possible are the measurements that can be taken next, each with its
	// uncertainty; Diagnosis.Next ranks them.
	Possible []Measurement
}

// Diagnosis ranks the candidate causes.
type Diagnosis struct {
	// Candidates are sorted by probability, those ruled out last.
	Candidates []Candidate
	// Explained tells whether any cause explains the readings: whether a
	// candidate at least a hundredth as probable as the first leaves residuals
	// no larger than its uncertainty makes plausible (PValue at least 0.05).
	// Where it is false something is at work that was not suspected, the
	// order of the candidates is that of the least bad, and no probability
	// is given.
	Explained bool
	// Alike counts the first candidates that the readings do not tell apart:
	// each is at least a hundredth as probable as the first. At least 1, and 1
	// where nothing is explained.
	Alike int
	// Next are the possible measurements, by how well each tells the Alike
	// candidates apart, best first. Empty where there is one, or none was
	// given as possible.
	Next []Discrimination
	// PriorSource says where the prior came from.
	PriorSource units.Source
}

// Diagnose ranks candidate causes by their probability after the readings
// (Bayes' theorem). Each candidate predicts the reading of every observation from
// the lobe curves; never is a reading compared with a fixed band. To first
// order about its own advance every candidate is a linear model with normal
// errors,
//
//	r = read - predicted = s t z1 + s b z2 + h z3 + e,   z1, z2, z3 ~ N(0, 1)
//
// with s = slope of the difference per crank degree, t = SplitReading.TDC
// (common to all readings), h = spread of lobes known by a card (common), e =
// error of the reading, and b = the standard deviation of the candidate's own
// unknown amount: TDCError, IndexError, or Twist times Position. Amounts that
// differ from cylinder to cylinder (LifterHeights, CylinderSpread) add to the
// variance of e. Integrating over z1, z2, z3 leaves again a normal distribution
// with covariance C, so that the marginal likelihood is closed:
//
//	p(r) = (2 pi)^(-n/2) det(C)^(-1/2) exp(-chi2/2),   chi2 = r' C^-1 r
//	Probability_k = Prior_k p_k(r) / sum over j of Prior_j p_j(r)
//
// det C is the Occam factor: a candidate that could have explained many other
// readings pays for it by the width of its prior. A width is the caller's
// statement; doubling one that is far wider than the readings halves that
// cause's probability against the others.
//
// Probabilities mean something only if one of the candidates is at work. That is
// tested by chi-square with as many degrees of freedom as readings (nothing is
// fitted: every unknown amount is part of C): a true candidate has PValue
// under 0.05 one time in twenty. If no candidate passes, Explained is false.
//
// What it cannot tell: an index error from an equal error of top dead
// center, whatever the number of cylinders; which lobe of a pair is wrong.
// Discrimination says how Next finds the measurement that can.
//
// Errors: no cam or no observations (ErrMissing), a reading without a stated
// uncertainty over 0 (ErrMissing), suspects out of range, a twist without
// positions (ErrMissing), a prior that is negative, not finite or missing for
// a cause that is weighed. Proof that a lifter is up is not required here,
// because a reading taken one turn off is one of the candidates; proof rules
// that candidate out.
//
// Source: MacKay, Information Theory, Inference, and Learning Algorithms
// (2003), ch. 28 (evidence and Occam factor); a hundredth is the grade
// "decisive" of Jeffreys, Theory of Probability, 3rd ed. (1961), App. B.
//
// Rows: tooth-36, tooth-40, tooth-42, diag-tooth-reading, diag-p-tdc,
// diag-p-tdc-two, diag-p-tdc-prior, diag-p-index, diag-p-tooth, diag-p-twist,
// diag-p-spread, diag-like-tdc, diag-chi2-tdc, diag-pv-tdc.
func Diagnose(in DiagnosisInput) (Diagnosis, error) {
	d, err := newDiagnoser(in)
	if err != nil {
		return Diagnosis{}, err
	}
	g := d.cam.spec.GroundAdvance
	d.add(model{Candidate: Candidate{Cause: AsGround}})
	s := in.Suspects
	for n := 1; s.Teeth > 0 && n <= s.MostTeeth; n++ {
		tooth := ToothAngle(s.Teeth) * units.CrankAngle(n)
		word := " teeth "
		if n == 1 {
			word = " tooth "
		}
		for _, k := range [...]Candidate{
			{Detail: strconv.Itoa(n) + word + "advanced (" + tooth.Text(2) + ")", Shift: tooth},
			{Detail: strconv.Itoa(n) + word + "retarded (" + tooth.Text(2) + ")", Shift: -tooth},
		} {
			k.Cause = ToothOff
			d.add(model{Candidate: k, marks: k.Shift})
		}
	}
	parts := func(c Cause, detail string, shift units.CrankAngle) {
		d.add(model{Candidate: Candidate{Cause: c, Detail: detail, Shift: shift}, parts: shift})
	}
	for _, k := range s.Keyways {
		parts(WrongKeyway, "keyway of "+k.Text(1), k)
	}
	for _, b := range s.Bushings {
		parts(DowelOffset, b.Text(1)+" advancing", b)
		parts(DowelOffset, b.Text(1)+" retarding", -b)
	}
	if g != 0 {
		parts(AdvanceReversed, "", -2*g)
		parts(AdvanceLeftOut, "", -g)
	}
	if s.TDCError > 0 {
		d.add(model{Candidate: Candidate{Cause: TDCMisset}, tdc: s.TDCError.Degrees()})
	}
	if s.IndexError > 0 {
		d.add(model{Candidate: Candidate{Cause: IndexOff}, index: s.IndexError.Degrees()})
	}
	if s.Twist > 0 {
		why := ""
		if len(in.Observations) < 2 {
			why = "one cylinder alone cannot show it"
		}
		d.add(model{Candidate: Candidate{Cause: Twisted, RuledOut: why}, twist: s.Twist.CrankDegreesPerMeter()})
	}
	if s.Slack > 0 {
		d.addSlack(s.Slack)
	}
	if s.LifterHeights > 0 {
		why := ""
		if d.all(func(o *Observation) bool { return o.Reading.Zero.Given }) {
			why = "the readings at firing TDC were taken off"
		}
		d.add(model{Candidate: Candidate{Cause: LifterMismatch, RuledOut: why}, heights: s.LifterHeights.Meters()})
	}
	if s.CylinderSpread > 0 {
		why := ""
		if len(in.Observations) < 2 {
			why = "one cylinder alone cannot show it"
		}
		d.add(model{Candidate: Candidate{Cause: TwistOrGrinding, RuledOut: why}, spread: s.CylinderSpread.Degrees()})
	}
	d.addWrongTurn()
	for _, o := range s.OtherCams {
		d.add(model{Candidate: Candidate{Cause: OtherCam, Detail: o.Name}, cam: o.Cam})
	}
	if d.digits {
		return Diagnosis{}, fail("Observations", "", units.ErrRange, "want uncertainties of readings and of what is common to them less unlike in size")
	}
	source, err := d.setPriors(in.Prior)
	if err != nil {
		return Diagnosis{}, err
	}
	out := d.rank()
	out.PriorSource = source
	if out.Next, err = d.discriminate(in.Possible, out.Alike); err != nil {
		return Diagnosis{}, err
	}
	return out, nil
}

// ToothAngle returns how far one tooth of the cam sprocket moves the cam
// against the crank: 720/teeth crank degrees, rounded to 1e-9 degree; 0 for
// no teeth.
//
// Rows: tooth-36, tooth-40, tooth-42, tooth-arc-203, tooth-arc-310, tooth-arc-327.
func ToothAngle(teeth int) units.CrankAngle {
	if teeth <= 0 {
		return 0
	}
	n := units.CrankAngle(teeth)
	return (units.CrankCycle + n/2) / n
}

// diagnoser holds what every candidate shares.
type diagnoser struct {
	cam    *Cam
	obs    []Observation
	net    []units.Measured[units.Length]
	proved []bool // a lifter was shown to be up
	models []*model
	digits bool // a covariance has lost its digits
}

const mostObservations = 256

func newDiagnoser(in DiagnosisInput) (*diagnoser, error) {
	if in.Cam == nil || in.Cam.intake == nil {
		return nil, fail("Cam", "", units.ErrMissing, "want the cam of the card")
	}
	if len(in.Observations) == 0 {
		return nil, fail("Observations", "", units.ErrMissing, "want at least one reading")
	}
	if len(in.Observations) > mostObservations {
		return nil, fail("Observations", strconv.Itoa(len(in.Observations)), units.ErrRange, "want at most 256 readings")
	}
	s := in.Suspects
	switch {
	case s.Teeth < 0 || s.Teeth > 1000:
		return nil, fail("Suspects.Teeth", strconv.Itoa(s.Teeth), units.ErrRange, "want 0 to 1000 teeth")
	case s.MostTeeth < 0 || s.MostTeeth > 10:
		return nil, fail("Suspects.MostTeeth", strconv.Itoa(s.MostTeeth), units.ErrRange, "want 0 to 10 teeth")
	case s.TDCError < 0 || s.TDCError > 90*units.CrankDegree:
		return nil, fail("Suspects.TDCError", s.TDCError.String(), units.ErrRange, "want 0 to 90 crank degrees")
	case s.Slack < 0 || s.Slack > 90*units.CrankDegree:
		return nil, fail("Suspects.Slack", s.Slack.String(), units.ErrRange, "want 0 to 90 crank degrees")
	case s.LifterHeights < 0 || s.LifterHeights > units.Meter:
		return nil, fail("Suspects.LifterHeights", s.LifterHeights.String(), units.ErrRange, "want 0 to 1 m")
	case s.CylinderSpread < 0 || s.CylinderSpread > 90*units.CrankDegree:
		return nil, fail("Suspects.CylinderSpread", s.CylinderSpread.String(), units.ErrRange, "want 0 to 90 crank degrees")
	}
	if s.IndexError < 0 || s.IndexError > 90*units.CrankDegree {
		return nil, fail("Suspects.IndexError", s.IndexError.String(), units.ErrRange, "want 0 to 90 crank degrees")
	}
	if !(s.Twist >= 0 && s.Twist.CrankDegreesPerMeter() <= 1000) {
		return nil, fail("Suspects.Twist", s.Twist.String(), units.ErrRange, "want 0 to 1000 crank degrees per meter")
	}
	if len(s.Keyways) > 64 || len(s.Bushings) > 64 || len(s.OtherCams) > 64 {
		return nil, fail("Suspects", "", units.ErrRange, "want at most 64 keyways, 64 bushings and 64 other cams")
	}
	for i, k := range s.Keyways {
		if !within(k, 90*units.CrankDegree) {
			return nil, fail("Suspects.Keyways["+strconv.Itoa(i)+"]", k.String(), units.ErrRange, "want a change within 90 crank degrees")
		}
	}
	for i, b := range s.Bushings {
		if b <= 0 || b > 90*units.CrankDegree {
			return nil, fail("Suspects.Bushings["+strconv.Itoa(i)+"]", b.String(), units.ErrRange, "want a size over 0 and at most 90 crank degrees")
		}
	}
	for i, o := range s.OtherCams {
		if o.Cam == nil || o.Cam.intake == nil {
			return nil, fail("Suspects.OtherCams["+strconv.Itoa(i)+"]", o.Name, units.ErrMissing, "want its cam")
		}
	}
	d := &diagnoser{cam: in.Cam, obs: in.Observations}
	for i := range in.Observations {
		o := &in.Observations[i]
		net, err := o.Reading.net()
		if err != nil {
			e := err.(*units.InputError) //nolint:errorlint,forcetypeassert // net returns nothing else
			return nil, fail("Observations["+strconv.Itoa(i)+"]."+e.Field, e.Value, e.Kind, e.Reason)
		}
		if !net.Stated || net.U <= 0 {
			return nil, fail("Observations["+strconv.Itoa(i)+"].Difference.U", "", units.ErrMissing, "want the standard uncertainty of the reading, over 0")
		}
		if net.U < units.Nanometer { // the covariance would lose its digits
			return nil, fail("Observations["+strconv.Itoa(i)+"].Difference.U", net.U.String(), units.ErrRange, "want a standard uncertainty of 1 nm or more")
		}
		if s.Twist > 0 && !o.Position.Given {
			return nil, fail("Observations["+strconv.Itoa(i)+"].Position", "", units.ErrMissing, "want where the lobes sit along the shaft: a twist is suspected")
		}
		if o.Position.Given && !within(o.Position.Value, 10*units.Meter) {
			return nil, fail("Observations["+strconv.Itoa(i)+"].Position", o.Position.Value.String(), units.ErrRange, "want a position within 10 m of the drive end")
		}
		d.net = append(d.net, net)
		d.proved = append(d.proved, o.Reading.Proof.Kind != NoProof)
	}
	return d, nil
}

func (d *diagnoser) all(f func(*Observation) bool) bool {
	for i := range d.obs {
		if !f(&d.obs[i]) {
			return false
		}
	}
	return true
}

// model is a candidate as a linear model with normal errors. Of the standard
// deviations of its own unknown amount at most one is over 0.
type model struct {
	Candidate
	cam          *Cam              // whose lobes turn; the card's if nil
	advance      float64           // as installed, crank degrees
	tdc, index   float64           // crank degrees, common to all
	twist        float64           // crank degrees per meter
	spread       float64           // crank degrees, each cylinder by itself
	heights      float64           // meters, where no zero was taken
	marks, parts units.CrankAngle  // what a look at marks and at parts would show
	at           []prediction      // of each observation
	own          []float64         // shift of each reading by one standard deviation of the own amount, meters
	log, post    float64           // logarithms of likelihood and probability, each but for a constant
	factor       blas64.Triangular // Cholesky factor of the covariance C of the readings
	solved       []float64         // C^-1 residuals
}

// prediction is what a cause makes of one reading, in meters and crank degrees:
// the difference, its slope and the uncertainty that the card leaves.
type prediction struct{ diff, slope, shape float64 }

func (d *diagnoser) predict(cam *Cam, adv float64) prediction {
	diff, slope := cam.difference(adv)
	return prediction{diff, slope, cam.shapeSpread(adv)}
}

// sameCylinder reports whether two readings are of one cylinder; without a name
// each is of its own.
func (d *diagnoser) sameCylinder(i, j int) bool {
	return i == j || d.obs[i].Cylinder != "" && d.obs[i].Cylinder == d.obs[j].Cylinder
}

// add weighs a cause by which every reading comes from the same advance.
func (d *diagnoser) add(m model) {
	if m.cam == nil {
		m.cam = d.cam
	}
	m.advance = (m.cam.spec.GroundAdvance + m.Shift).Degrees()
	if limit := 2 * m.cam.half; math.Abs(m.advance) > limit {
		m.RuledOut = "the cam would stand more than its lobe separation away"
		m.advance = math.Copysign(limit, m.advance)
	}
	p := d.predict(m.cam, m.advance)
	d.weigh(m, func(int) prediction { return p })
}

// addSlack weighs a crank that came to the mark backward: the cam is then still
// ahead by the slack and reads advanced.
func (d *diagnoser) addSlack(slack units.CrankAngle) {
	g := d.cam.spec.GroundAdvance
	why := ""
	if d.all(func(o *Observation) bool { return o.Reading.Approach == ApproachNormal }) {
		why = "every reading was approached in normal rotation"
	}
	right := d.predict(d.cam, g.Degrees())
	wrong := d.predict(d.cam, min((g+slack).Degrees(), 2*d.cam.half))
	d.weigh(model{
		Candidate: Candidate{Cause: SlackOnWrongSide, Detail: slack.Text(1), Shift: slack, RuledOut: why},
		cam:       d.cam, advance: g.Degrees(),
	}, func(i int) prediction {
		if d.obs[i].Reading.Approach == ApproachNormal {
			return right
		}
		return wrong
	})
}

// addWrongTurn weighs two mistakes about which top dead center was which, for
// the readings without proof, the others as ground: all taken at firing TDC,
// where every cam reads level; and reading and zero exchanged, which turns the
// sign.
func (d *diagnoser) addWrongTurn() {
	g := d.cam.spec.GroundAdvance
	right := d.predict(d.cam, g.Degrees())
	level := prediction{diff: d.cam.AtCrank(g, units.CrankTurn).Difference.Meters()}
	turned := prediction{-right.diff, -right.slope, -right.shape}
	turn := model{Candidate: Candidate{Cause: WrongTurn}, cam: d.cam, advance: g.Degrees()}
	exchange := model{Candidate: Candidate{Cause: DeadCentersExchanged}, cam: d.cam, advance: g.Degrees()}
	if !slices.Contains(d.proved, false) {
		turn.RuledOut = "a lifter was shown to be off its base circle"
		exchange.RuledOut = turn.RuledOut
	} else if d.all(func(o *Observation) bool { return !o.Reading.Zero.Given || o.Reading.Proof.Kind != NoProof }) {
		exchange.RuledOut = "no reading without proof has one at firing TDC to be exchanged with"
	}
	d.weigh(turn, func(i int) prediction {
		if d.proved[i] {
			return right
		}
		return level
	})
	d.weigh(exchange, func(i int) prediction {
		if d.proved[i] || !d.obs[i].Reading.Zero.Given {
			return right
		}
		return turned
	})
}

// weigh fills in predictions, chi-square and likelihood.
func (d *diagnoser) weigh(m model, predict func(int) prediction) {
	n := len(d.obs)
	figures := make([]float64, n*n+2*n)
	m.own, m.solved = figures[:n:n], figures[n:2*n:2*n]
	cov := blas64.Symmetric{Uplo: blas.Upper, N: n, Stride: n, Data: figures[2*n:]}
	lengths := make([]units.Length, 2*n)
	m.Predicted, m.Residual = lengths[:n:n], lengths[n:]
	m.at = make([]prediction, n)
	for i := range n {
		p := predict(i)
		m.at[i] = p
		m.own[i] = p.slope * (m.tdc + m.index + m.twist*d.obs[i].Position.Value.Meters())
		res := d.net[i].Value.Meters() - p.diff
		m.solved[i] = res
		m.Predicted[i], m.Residual[i] = length(p.diff), length(res)
	}
	variance := 0.0
	for i := range n {
		for j := i; j < n; j++ {
			// Common to all: top dead center, the cause's own amount, shape.
			tdc := d.obs[i].Reading.TDC.Degrees() * d.obs[j].Reading.TDC.Degrees()
			v := m.at[i].slope*m.at[j].slope*tdc + m.own[i]*m.own[j] + m.at[i].shape*m.at[j].shape
			if i == j {
				u := d.net[i].U.Meters()
				v += u * u
			}
			if d.sameCylinder(i, j) {
				v += m.at[i].slope * m.at[j].slope * m.spread * m.spread
				if !d.obs[i].Reading.Zero.Given && !d.obs[j].Reading.Zero.Given {
					v += m.heights * m.heights
				}
			}
			cov.Data[i*n+j] = v
		}
		variance = max(variance, cov.Data[i*n+i])
	}
	m.Freedom = n
	factor, ok := lapack64.Potrf(cov)
	if !ok {
		d.digits = true
		return
	}
	m.factor = factor
	logDet := 0.0
	for i := range n {
		pivot := factor.Data[i*n+i]
		d.digits = d.digits || pivot*pivot < 1e-14*variance
		logDet += 2 * math.Log(pivot)
	}
	res := slices.Clone(m.solved)
	m.solve(m.solved)
	m.ChiSquare = floats.Dot(res, m.solved)
	m.log = -(m.ChiSquare + logDet) / 2
	m.PValue = distuv.ChiSquared{K: float64(n)}.Survival(m.ChiSquare)
	d.models = append(d.models, &m)
}

// solve overwrites x with C^-1 x.
func (m *model) solve(x []float64) {
	lapack64.Potrs(m.factor, blas64.General{Rows: len(x), Cols: 1, Stride: 1, Data: x})
}

// decisive is the ratio of probabilities under which a cause is no longer
// entertained.
const decisive = 0.01

// rank sorts the models by probability and takes out the candidates.
func (d *diagnoser) rank() Diagnosis {
	best, top := math.Inf(-1), math.Inf(-1)
	for _, m := range d.models {
		m.post = math.Inf(-1)
		if m.RuledOut == "" {
			m.post = math.Log(m.Prior) + m.log
			best, top = max(best, m.log), max(top, m.post)
		}
	}
	slices.SortStableFunc(d.models, func(a, b *model) int {
		if (a.RuledOut == "") != (b.RuledOut == "") {
			if a.RuledOut == "" {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.post, a.post)
	})
	out := Diagnosis{Candidates: make([]Candidate, len(d.models))}
	var sum float64
	for _, m := range d.models {
		if m.RuledOut == "" {
			m.Likelihood = math.Exp(m.log - best)
			m.Probability = math.Exp(m.post - top)
			sum += m.Probability
		}
		if m.Probability >= decisive {
			out.Alike++
			out.Explained = out.Explained || m.PValue >= 0.05
		}
	}
	for i, m := range d.models {
		m.Probability /= sum
		if !out.Explained {
			m.Probability = 0
		}
		out.Candidates[i] = m.Candidate
	}
	if !out.Explained {
		out.Alike = 1
	}
	return out
}

// String names cause and detail.
func (c Candidate) String() string {
	if c.Detail == "" {
		return c.Cause.String()
	}
	return c.Cause.String() + ": " + c.Detail
}

// Working shows how the candidate was weighed.
func (c Candidate) Working() units.Working {
	src := units.Source{Text: "reading predicted from the lobe curves", Provenance: units.Computed}
	bayes := units.Source{Text: "MacKay, Information Theory, Inference, and Learning Algorithms (2003), ch. 28", Provenance: units.Memory}
	w := units.Working{}
	for i := range c.Predicted {
		w = append(w, units.Step{
			Symbol: "r" + strconv.Itoa(i+1), Formula: "read - predicted", Numbers: "predicted " + c.Predicted[i].Text(units.Inches, 4),
			Value: c.Residual[i].Text(units.Inches, 4), Source: src,
		})
	}
	return append(w,
		units.Step{Symbol: "chi2", Formula: "r' C^-1 r", Numbers: fmt.Sprintf("%d readings", c.Freedom), Value: fmt.Sprintf("%.3g, p = %.3g", c.ChiSquare, c.PValue), Source: src},
		units.Step{Symbol: "P", Formula: "prior x likelihood / sum over all", Numbers: fmt.Sprintf("prior %.3g, likelihood %.3g of the highest", c.Prior, c.Likelihood), Value: fmt.Sprintf("%.3g", c.Probability), Source: bayes})
}
