package camtiming

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/mat"
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
	default:
		return "unknown cause"
	}
}

// NextMeasurement says what to measure to confirm or clear the cause.
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
	default:
		return ""
	}
}

// Observation is one height difference at top dead center of overlap.
type Observation struct {
	Cylinder string
	Reading  SplitReading
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
	// Weight is the candidate's share of the likelihood of all candidates
	// not ruled out (a probability under equal priors).
	Weight float64
	// RuledOut says what excludes the cause whatever the readings, or is empty.
	RuledOut string
	score    float64
	cov      *mat.SymDense
}

// DiagnosisInput is a set of readings and what may be wrong.
type DiagnosisInput struct {
	Cam          *Cam
	Observations []Observation
	Suspects     Suspects
}

// Diagnosis ranks the candidate causes.
type Diagnosis struct {
	// Candidates are sorted by how well they explain the readings, those
	// ruled out last; those that cannot be told from the first follow it
	// directly (see Alike).
	Candidates []Candidate
	// Explained tells whether the first candidate's residuals are no larger
	// than its uncertainty makes plausible (PValue at least 0.05).
	Explained bool
	// Alike counts how many of the first candidates these readings cannot
	// tell apart: they explain the readings, at least a hundredth as likely as
	// the first, and their predictions differ from its by less than two
	// standard uncertainties. At least 1.
	Alike int
	// Next is what to measure next: the measurements of the candidates that
	// cannot be told apart. Empty where nothing more is asked for.
	Next []string
}

// Diagnose ranks candidate causes by the residual each leaves against the
// uncertainty. Each candidate predicts the reading of every observation from
// the lobe curves; never is a reading compared with a fixed band. With
// residuals r and covariance C (readings independent, top dead center common
// to all, the shape of the lobes common to all, the candidate's own unknown
// size added):
//
//	chi2 = r' C^-1 r          score = chi2 + ln det C
//
// A candidate of unknown size (mis-set top dead center, unequal lifters,
// twist or grinding) pays for its freedom through ln det C.
//
// What it cannot tell: an index error from an equal error of top dead
// center, whatever the number of cylinders; which lobe of a pair is wrong.
//
// Errors: no cam or no observations (ErrMissing), a reading without a stated
// uncertainty over 0 (ErrMissing), suspects out of range. Proof that a lifter
// is up is not required here, because a reading taken one turn off is one of
// the candidates; proof rules that candidate out.
//
// Rows: tooth-36, tooth-40, tooth-42, diag-tooth-reading.
func Diagnose(in DiagnosisInput) (Diagnosis, error) {
	d, err := newDiagnoser(in)
	if err != nil {
		return Diagnosis{}, err
	}
	g := d.cam.spec.GroundAdvance
	d.add(AsGround, "", 0, nil, 0, "")
	s := in.Suspects
	for n := 1; s.Teeth > 0 && n <= s.MostTeeth; n++ {
		tooth := ToothAngle(s.Teeth) * units.CrankAngle(n)
		word := " teeth "
		if n == 1 {
			word = " tooth "
		}
		d.add(ToothOff, strconv.Itoa(n)+word+"advanced ("+tooth.Text(2)+")", tooth, nil, 0, "")
		d.add(ToothOff, strconv.Itoa(n)+word+"retarded ("+tooth.Text(2)+")", -tooth, nil, 0, "")
	}
	for _, k := range s.Keyways {
		d.add(WrongKeyway, "keyway of "+k.Text(1), k, nil, 0, "")
	}
	for _, b := range s.Bushings {
		d.add(DowelOffset, b.Text(1)+" advancing", b, nil, 0, "")
		d.add(DowelOffset, b.Text(1)+" retarding", -b, nil, 0, "")
	}
	if g != 0 {
		d.add(AdvanceReversed, "", -2*g, nil, 0, "")
		d.add(AdvanceLeftOut, "", -g, nil, 0, "")
	}
	if s.TDCError > 0 {
		d.add(TDCMisset, "", 0, nil, s.TDCError, "")
	}
	if s.Slack > 0 {
		// Coming backward the cam is still ahead by the slack when the crank
		// reaches the mark: it reads advanced.
		why := ""
		if d.all(func(o *Observation) bool { return o.Reading.Approach == ApproachNormal }) {
			why = "every reading was approached in normal rotation"
		}
		c := Candidate{Cause: SlackOnWrongSide, Detail: s.Slack.Text(1), Shift: s.Slack, RuledOut: why}
		right := d.predict(d.cam, g.Degrees())
		wrong := d.predict(d.cam, min((g+s.Slack).Degrees(), 2*d.cam.half))
		d.weigh(&c, func(i int) prediction {
			if in.Observations[i].Reading.Approach == ApproachNormal {
				return right
			}
			return wrong
		}, 0, nil)
	}
	if s.LifterHeights > 0 {
		why := ""
		if d.all(func(o *Observation) bool { return o.Reading.Zero.Given }) {
			why = "the readings at firing TDC were taken off"
		}
		d.addSpread(LifterMismatch, func(i int, _ float64) float64 {
			if in.Observations[i].Reading.Zero.Given {
				return 0
			}
			return s.LifterHeights.Meters()
		}, why)
	}
	if s.CylinderSpread > 0 {
		why := ""
		if len(in.Observations) < 2 {
			why = "one cylinder alone cannot show it"
		}
		d.addSpread(TwistOrGrinding, func(_ int, slope float64) float64 { return slope * s.CylinderSpread.Degrees() }, why)
	}
	d.addWrongTurn()
	for _, o := range s.OtherCams {
		d.add(OtherCam, o.Name, 0, o.Cam, 0, "")
	}
	return d.rank(), nil
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
	cam        *Cam
	obs        []Observation
	net        []units.Measured[units.Length]
	proved     []bool // a lifter was shown to be up
	candidates []Candidate
}

func newDiagnoser(in DiagnosisInput) (*diagnoser, error) {
	if in.Cam == nil || in.Cam.intake == nil {
		return nil, fail("Cam", "", units.ErrMissing, "want the cam of the card")
	}
	if len(in.Observations) == 0 {
		return nil, fail("Observations", "", units.ErrMissing, "want at least one reading")
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

// add weighs a cause that shifts every cylinder alike; own is a standard
// deviation of that shift, another cam replaces the card's.
func (d *diagnoser) add(cause Cause, detail string, shift units.CrankAngle, other *Cam, own units.CrankAngle, ruledOut string) {
	cam := d.cam
	if other != nil {
		cam = other
	}
	adv := (cam.spec.GroundAdvance + shift).Degrees()
	limit := 2 * cam.half
	if math.Abs(adv) > limit {
		ruledOut = "the cam would stand more than its lobe separation away"
		adv = math.Copysign(limit, adv)
	}
	p := d.predict(cam, adv)
	c := Candidate{Cause: cause, Detail: detail, Shift: shift, RuledOut: ruledOut}
	d.weigh(&c, func(int) prediction { return p }, own.Degrees(), nil)
}

// prediction is what a cause makes of one reading, in meters and crank degrees:
// the difference, its slope and the uncertainty that the card leaves.
type prediction struct{ diff, slope, shape float64 }

func (d *diagnoser) predict(cam *Cam, adv float64) prediction {
	diff, slope := cam.difference(adv)
	return prediction{diff, slope, cam.shapeSpread(adv)}
}

// addSpread weighs a cause that makes single cylinders differ.
func (d *diagnoser) addSpread(cause Cause, sd func(i int, slope float64) float64, ruledOut string) {
	p := d.predict(d.cam, d.cam.spec.GroundAdvance.Degrees())
	c := Candidate{Cause: cause, RuledOut: ruledOut}
	d.weigh(&c, func(int) prediction { return p }, 0, sd)
}

// addWrongTurn weighs two mistakes about which top dead center was which, for
// the readings without proof, the others as ground: all taken at firing TDC,
// where every cam reads level; and reading and zero exchanged, which turns the
// sign.
func (d *diagnoser) addWrongTurn() {
	right := d.predict(d.cam, d.cam.spec.GroundAdvance.Degrees())
	level := prediction{diff: d.cam.AtCrank(d.cam.spec.GroundAdvance, units.CrankTurn).Difference.Meters()}
	turned := prediction{-right.diff, -right.slope, -right.shape}
	turn, exchange := Candidate{Cause: WrongTurn}, Candidate{Cause: DeadCentersExchanged}
	if !slices.Contains(d.proved, false) {
		turn.RuledOut = "a lifter was shown to be off its base circle"
		exchange.RuledOut = turn.RuledOut
	} else if d.all(func(o *Observation) bool { return !o.Reading.Zero.Given || o.Reading.Proof.Kind != NoProof }) {
		exchange.RuledOut = "no reading without proof has one at firing TDC to be exchanged with"
	}
	d.weigh(&turn, func(i int) prediction {
		if d.proved[i] {
			return right
		}
		return level
	}, 0, nil)
	d.weigh(&exchange, func(i int) prediction {
		if d.proved[i] || !d.obs[i].Reading.Zero.Given {
			return right
		}
		return turned
	}, 0, nil)
}

// weigh fills in predictions, chi-square and score.
func (d *diagnoser) weigh(c *Candidate, predict func(int) prediction, own float64, sd func(int, float64) float64) {
	n := len(d.obs)
	cov := mat.NewSymDense(n, nil)
	r := mat.NewVecDense(n, nil)
	for i := range n {
		p, ui := predict(i), d.net[i].U.Meters()
		for j := i; j < n; j++ {
			// Common to all: top dead center, shape, the cause's own size.
			q := predict(j)
			tdc := d.obs[i].Reading.TDC.Degrees() * d.obs[j].Reading.TDC.Degrees()
			v := p.slope*q.slope*(tdc+own*own) + p.shape*q.shape
			if i == j {
				v += ui * ui
				if sd != nil {
					x := sd(i, p.slope)
					v += x * x
				}
			}
			cov.SetSym(i, j, v)
		}
		res := d.net[i].Value.Meters() - p.diff
		r.SetVec(i, res)
		c.Predicted = append(c.Predicted, length(p.diff))
		c.Residual = append(c.Residual, length(res))
	}
	c.cov, c.Freedom = cov, n
	c.ChiSquare, c.score = quadraticForm(cov, r)
	c.PValue = distuv.ChiSquared{K: float64(n)}.Survival(c.ChiSquare)
	d.candidates = append(d.candidates, *c)
}

// quadraticForm returns r' C^-1 r and that plus ln det C.
func quadraticForm(cov *mat.SymDense, r *mat.VecDense) (chi2, score float64) {
	var ch mat.Cholesky
	if !ch.Factorize(cov) {
		return math.Inf(1), math.Inf(1)
	}
	var x mat.VecDense
	if ch.SolveVecTo(&x, r) != nil {
		return math.Inf(1), math.Inf(1)
	}
	chi2 = mat.Dot(r, &x)
	return chi2, chi2 + ch.LogDet()
}

func (d *diagnoser) rank() Diagnosis {
	c := d.candidates
	slices.SortStableFunc(c, func(a, b Candidate) int {
		if (a.RuledOut == "") != (b.RuledOut == "") {
			if a.RuledOut == "" {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.score, b.score)
	})
	best := c[0].score
	var sum float64
	for i := range c {
		if c[i].RuledOut == "" {
			c[i].Weight = math.Exp(-(c[i].score - best) / 2)
			sum += c[i].Weight
		}
	}
	for i := range c {
		c[i].Weight /= sum
	}
	out := Diagnosis{Candidates: c, Explained: c[0].PValue >= 0.05, Alike: 1}
	// Those that cannot be told from the first follow it.
	for i := 1; i < len(c) && c[i].RuledOut == ""; i++ {
		if c[i].PValue >= 0.05 && c[i].Weight >= 0.01*c[0].Weight && alike(&c[0], &c[i]) {
			k := c[i]
			copy(c[out.Alike+1:i+1], c[out.Alike:i])
			c[out.Alike] = k
			out.Alike++
		}
	}
	for i := range c[:out.Alike] {
		next := c[i].Cause.NextMeasurement()
		if c[i].Cause == AsGround && len(d.obs) > 1 {
			continue // it asks for another cylinder, and others were read
		}
		if !slices.Contains(out.Next, next) {
			out.Next = append(out.Next, next)
		}
	}
	return out
}

// alike reports whether two candidates predict readings that differ by less
// than two standard uncertainties.
func alike(a, b *Candidate) bool {
	n := a.Freedom
	diff := mat.NewVecDense(n, nil)
	sum := mat.NewSymDense(n, nil)
	sum.CopySym(a.cov)
	if b.cov.At(0, 0) > sum.At(0, 0) {
		sum.CopySym(b.cov)
	}
	for i := range n {
		diff.SetVec(i, (a.Predicted[i] - b.Predicted[i]).Meters())
	}
	chi2, _ := quadraticForm(sum, diff)
	return chi2 < 4
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
	w := units.Working{}
	for i := range c.Predicted {
		w = append(w, units.Step{
			Symbol: "r" + strconv.Itoa(i+1), Formula: "read - predicted", Numbers: "predicted " + c.Predicted[i].Text(units.Inches, 4),
			Value: c.Residual[i].Text(units.Inches, 4), Source: src,
		})
	}
	return append(w, units.Step{Symbol: "chi2", Formula: "r' C^-1 r", Numbers: fmt.Sprintf("%d readings", c.Freedom), Value: fmt.Sprintf("%.3g, p = %.3g", c.ChiSquare, c.PValue), Source: src})
}
