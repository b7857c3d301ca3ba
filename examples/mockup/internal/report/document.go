// Package report writes the result of a mock-up as text, as JSON and as a
// self-contained HTML page. All three come from one Document.
package report

import (
	"math"
	"strconv"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/examples/mockup/internal/assess"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// Document is a report. Its JSON names are stable: fields may be added, never
// renamed or given another meaning. Quantities are text with their unit, as in
// the sheet; counts, probabilities and statistics are numbers.
type Document struct {
	Title    string    `json:"title"`
	Recorded Recorded  `json:"recorded"`
	Rule     string    `json:"decision_rule"`
	Outcome  string    `json:"outcome"` // "all proved", "not proved" or "failed"
	Findings []Finding `json:"findings"`
	Checks   []Check   `json:"checks"`
	Engine   Engine    `json:"engine"`
	Card     Card      `json:"card"`
	Target   Target    `json:"target"`
	// Installed is left out where no reading tells the advance.
	Installed *Installed `json:"installed,omitempty"`
	Readings  []Reading  `json:"readings"`
	// Survey is left out with a single reading or without uncertainties.
	Survey *Survey `json:"survey,omitempty"`
	// Causes are in order of rank; the first Alike of them are not told
	// apart by these readings. Next is what to measure next.
	Causes      []Cause      `json:"causes"`
	Alike       int          `json:"causes_alike"`
	Explained   bool         `json:"explained"`
	Next        []string     `json:"measure_next"`
	Exact       string       `json:"exact_correction,omitempty"`
	Corrections []Correction `json:"corrections"`
	Turning     []Turning    `json:"turning"`
	Hand        []Hand       `json:"hand_checks"`
	Missing     []string     `json:"missing"` // groups of checks, cylinders and hand checks the sheet says nothing of
	// NotApplicable are the groups that the sheet says do not apply.
	NotApplicable []NotApplicable `json:"not_applicable"`
	// Safe is left out where valve and piston were not looked at or no advance
	// keeps their limits.
	Safe *SafeAdvance `json:"safe_advance,omitempty"`
	// OilFilm ranks clearances; it proves nothing and enters no verdict.
	OilFilm  *OilFilm     `json:"oil_film,omitempty"`
	Working  []Derivation `json:"working,omitempty"`
	Cautions []string     `json:"cautions"`
}

// NotApplicable is a group of checks that does not apply, and why.
type NotApplicable struct {
	Group  string `json:"group"`
	Reason string `json:"reason"`
}

// SafeAdvance is the range of advance that keeps the limits of valve and piston.
type SafeAdvance struct {
	Lowest  string `json:"lowest,omitempty"`  // as the exhaust allows
	Highest string `json:"highest,omitempty"` // as the intake allows
	Target  bool   `json:"holds_target"`      // whether the target lies in it
	Words   string `json:"-"`                 // the range in words
}

// OilFilm is a ranking of clearances by their film under a steady load.
type OilFilm struct {
	Oil         string     `json:"oil"`
	Temperature string     `json:"film_temperature"`
	Speed       string     `json:"speed"`
	Worth       string     `json:"what_it_is_worth"`
	Lines       []FilmLine `json:"ranking"`
}

// FilmLine is one clearance of a bearing.
type FilmLine struct {
	Bearing      string `json:"bearing"`
	Which        string `json:"which"`
	Clearance    string `json:"clearance"`
	Film         string `json:"smallest_film"`
	Eccentricity string `json:"eccentricity"`
	Rank         int    `json:"rank"` // 1 is the thickest film of the bearing
}

// Recorded says who, when and with what.
type Recorded struct {
	By          string       `json:"by"`
	Date        string       `json:"date"`
	Place       string       `json:"place,omitempty"`
	Temperature string       `json:"temperature"`
	TopDead     string       `json:"top_dead_center"`
	TopDeadU    string       `json:"top_dead_center_uncertainty"`
	Instruments []Instrument `json:"instruments"`
}

// Instrument is an instrument as recorded.
type Instrument struct {
	Name        string `json:"name"`
	Resolution  string `json:"resolution"`
	Uncertainty string `json:"uncertainty,omitempty"`
	Zero        string `json:"zero_uncertainty,omitempty"`
}

// Finding is what is wrong, how sure that is and what to do.
type Finding struct {
	Severity string `json:"severity"` // "fault", "not proved" or "note"
	What     string `json:"what"`
	Sure     string `json:"how_sure"`
	Do       string `json:"what_to_do"`
}

// Check is one verdict.
type Check struct {
	Group       string   `json:"group"`
	Name        string   `json:"name"`
	Measured    string   `json:"measured"`
	U           string   `json:"uncertainty,omitempty"`
	Limits      string   `json:"limits"`
	Margin      string   `json:"margin,omitempty"`
	Verdict     string   `json:"verdict"` // "within", "outside" or "not proved"
	Conformance *float64 `json:"conformance_probability,omitempty"`
	Source      string   `json:"source"`
	Provenance  string   `json:"provenance"`
	// ByRule is set where a rule of thumb stands in for limits that nobody
	// gave; within it the verdict is "not proved".
	ByRule bool   `json:"rule_of_thumb_only,omitempty"`
	Reason string `json:"reason,omitempty"`
	Beside string `json:"beside,omitempty"`
}

// Engine is what follows from layout and order.
type Engine struct {
	Order      string   `json:"firing_order"`
	Intervals  []string `json:"firing_intervals"`
	Companions [][2]int `json:"companions"`
}

// Card is the card with every figure worked out.
type Card struct {
	Name              string   `json:"name"`
	Separation        string   `json:"separation"`
	IntakeCenterline  string   `json:"intake_centerline"`
	ExhaustCenterline string   `json:"exhaust_centerline"`
	GroundAdvance     string   `json:"ground_advance"`
	Basis             string   `json:"centerline_basis"`
	Timing            []Timing `json:"timing"`
	AtCard            string   `json:"expected_at_ground_advance"`
	StraightUp        string   `json:"expected_at_straight_up"`
	Level             string   `json:"level_at,omitempty"`
	ReachLow          string   `json:"reach_low"`
	ReachHigh         string   `json:"reach_high"`
	Dead              string   `json:"both_lifters_down,omitempty"`
}

// Timing is the card's timing at a checking lift.
type Timing struct {
	Lift     string `json:"lift"`
	Intake   string `json:"intake_duration"`
	Exhaust  string `json:"exhaust_duration"`
	IVO      string `json:"intake_opens"`
	IVC      string `json:"intake_closes"`
	EVO      string `json:"exhaust_opens"`
	EVC      string `json:"exhaust_closes"`
	Overlaps string `json:"overlap"`
}

// Target is the advance that the readings are judged against.
type Target struct {
	Advance string `json:"advance"`
	Source  string `json:"source"`
}

// Installed is where the cam stands.
type Installed struct {
	Advance          string `json:"advance"`
	U                string `json:"uncertainty,omitempty"`
	IntakeCenterline string `json:"intake_centerline"`
	FromTarget       string `json:"from_target"`
}

// Reading is one overlap reading with its result.
type Reading struct {
	Cylinder   int    `json:"cylinder"`
	Difference string `json:"difference"`
	Zero       string `json:"zero,omitempty"`
	Net        string `json:"net,omitempty"`
	Proof      string `json:"proof"`
	Approach   string `json:"approach"`
	Advance    string `json:"advance,omitempty"`
	U          string `json:"uncertainty,omitempty"`
	UReading   string `json:"uncertainty_of_reading,omitempty"`
	UTDC       string `json:"uncertainty_of_top_dead_center,omitempty"`
	UShape     string `json:"uncertainty_of_lobe_shape,omitempty"`
	Low        string `json:"low,omitempty"`
	High       string `json:"high,omitempty"`
	FromCard   string `json:"from_card,omitempty"`
	Slope      string `json:"slope_per_crank_degree,omitempty"`
	Thumb      string `json:"rule_of_thumb,omitempty"` // common practice
	Reason     string `json:"reason,omitempty"`
}

// Survey is what all readings say together.
type Survey struct {
	AtDriveEnd  string `json:"advance_at_drive_end"`
	AtMiddle    string `json:"advance_at_middle"`
	Middle      string `json:"middle"`
	Twist       string `json:"twist_over_shaft,omitempty"`
	TwistU      string `json:"twist_uncertainty,omitempty"`
	TwistProved bool   `json:"twist_proved"`
	// BankOffset is the advance of the second bank over the first, left out where
	// the sheet names no banks.
	BankOffset string    `json:"bank_offset,omitempty"`
	BankU      string    `json:"bank_offset_uncertainty,omitempty"`
	Banks      []string  `json:"banks,omitempty"`
	BankProved bool      `json:"bank_offset_proved,omitempty"`
	ChiSquare  float64   `json:"chi_square"`
	Freedom    int       `json:"degrees_of_freedom"`
	PValue     float64   `json:"p_value"`
	Stations   []Station `json:"stations"`
}

// Station is one cylinder on the fitted line.
type Station struct {
	Cylinder string  `json:"cylinder"`
	Bank     string  `json:"bank,omitempty"`
	Position string  `json:"position"`
	Advance  string  `json:"advance"`
	Fitted   string  `json:"fitted"`
	Residual string  `json:"residual"`
	Student  float64 `json:"studentized"`
	Outlier  bool    `json:"outlier"`
}

// Cause is one candidate cause.
type Cause struct {
	Cause       string   `json:"cause"`
	Shift       string   `json:"shift"`
	Predicted   []string `json:"predicted"` // at each reading
	Residuals   []string `json:"residuals"`
	ChiSquare   float64  `json:"chi_square"`
	PValue      float64  `json:"p_value"`
	Probability float64  `json:"probability"`
	RuledOut    string   `json:"ruled_out,omitempty"`
}

// Correction is one combination of the steps at hand.
type Correction struct {
	Change string `json:"change"`
	Shift  string `json:"shift"`
	Result string `json:"result"`
	Left   string `json:"left"`
}

// Turning is a turning torque.
type Turning struct {
	With   string `json:"with"`
	Torque string `json:"torque"`
	Added  string `json:"added,omitempty"`
}

// Hand is a hand check; State is "missing" where the sheet is silent.
type Hand struct {
	Name   string `json:"name"`
	State  string `json:"state"`
	Reason string `json:"reason,omitempty"`
}

// Derivation is a derivation in order.
type Derivation struct {
	Title string `json:"title"`
	Steps []Step `json:"steps"`
}

// Step is one line of it.
type Step struct {
	Symbol  string `json:"symbol"`
	Formula string `json:"formula"`
	Numbers string `json:"numbers,omitempty"`
	Value   string `json:"value"`
	Source  string `json:"source"`
}

// mostMissing is how many missing things the first line of a report names;
// all of them follow.
const mostMissing = 8

// mostCorrections is how many combinations a report lists.
const mostCorrections = 5

// New makes the report of a result, with derivations if asked.
func New(r *assess.Result, working bool) Document {
	rec := &r.Sheet.Record
	d := Document{
		Title: r.Sheet.Title, Rule: r.Rule.String(), Outcome: outcome(r.Outcome), Cautions: r.Cautions,
		Recorded: Recorded{
			By: rec.By, Date: string(rec.Date), Place: rec.Place, Temperature: rec.Temperature.Text,
			TopDead: r.Sheet.TopDeadCenter.Method, TopDeadU: r.Sheet.TopDeadCenter.Uncertainty.Text(2),
		},
		Target:   Target{assess.Signed(r.Target.Advance), r.Target.Source},
		Findings: []Finding{}, Checks: []Check{}, Readings: []Reading{}, Causes: []Cause{}, Next: []string{},
		Corrections: []Correction{}, Turning: []Turning{}, Hand: []Hand{}, Missing: append([]string{}, r.Missing...),
		NotApplicable: []NotApplicable{},
	}
	for _, x := range r.Exempt {
		d.NotApplicable = append(d.NotApplicable, NotApplicable(x))
	}
	for _, in := range r.Sheet.Instruments {
		d.Recorded.Instruments = append(d.Recorded.Instruments, Instrument{in.Name, in.Resolution.String(), written(in.Uncertainty), written(in.ZeroUncertainty)})
	}
	for _, f := range r.Findings {
		d.Findings = append(d.Findings, Finding{f.Severity.String(), f.What, f.Sure, f.Do})
	}
	for i := range r.Checks {
		c := &r.Checks[i]
		out := Check{
			Group: c.Group, Name: c.Name, Measured: c.Measured, U: c.U, Limits: c.Limits, Margin: c.Margin, Verdict: c.Outcome.String(),
			Source: c.Source.Text, Provenance: c.Source.Provenance.String(), ByRule: c.ByRule, Reason: c.Reason, Beside: c.Beside,
		}
		if c.Conformance.Given {
			p := places(c.Conformance.Value, 4)
			out.Conformance = &p
		}
		d.Checks = append(d.Checks, out)
	}
	for _, t := range r.Turning {
		d.Turning = append(d.Turning, Turning(t))
	}
	d.cam(r)
	d.safe(r)
	d.film(r)
	d.hand(r)
	if working {
		d.Working = []Derivation{}
		for _, w := range r.Worked {
			d.Working = append(d.Working, derivation(w))
		}
	}
	return d
}

func outcome(o units.Outcome) string {
	switch o {
	case units.ProvedWithin:
		return "all proved"
	case units.ProvedOutside:
		return "failed"
	default:
		return "not proved"
	}
}

func written(r *units.Reading) string {
	if r == nil {
		return ""
	}
	return r.String()
}

// places rounds a statistic to so many decimals.
func places(x float64, n int) float64 {
	p := math.Pow10(n)
	if y := math.Round(x * p); !math.IsInf(y, 0) && !math.IsNaN(y) {
		return y / p
	}
	return math.MaxFloat64 // JSON has no infinity
}

func derivation(w assess.Worked) Derivation {
	d := Derivation{Title: w.Title, Steps: []Step{}}
	for _, s := range w.Of.Working() {
		d.Steps = append(d.Steps, Step{s.Symbol, s.Formula, s.Numbers, s.Value, s.Source.String()})
	}
	return d
}

func (d *Document) hand(r *assess.Result) {
	for _, h := range r.Hand {
		out := Hand{h.Name, string(h.State), h.Reason}
		if h.State == "" {
			out.State = "missing"
			d.Missing = append(d.Missing, h.Name)
		}
		d.Hand = append(d.Hand, out)
	}
}

// safe fills in the range of advance that keeps valve and piston apart.
func (d *Document) safe(r *assess.Result) {
	if r.Safe == nil || r.Safe.Range.None {
		return
	}
	d.Safe = &SafeAdvance{Words: r.Safe.Text(), Target: r.Safe.Inside}
	if l := r.Safe.Range.Lowest; l.Given {
		d.Safe.Lowest = assess.Signed(l.Value)
	}
	if h := r.Safe.Range.Highest; h.Given {
		d.Safe.Highest = assess.Signed(h.Value)
	}
}

// film fills in the ranking of clearances.
func (d *Document) film(r *assess.Result) {
	if len(r.Films) == 0 {
		return
	}
	o := r.Sheet.OilFilm
	d.OilFilm = &OilFilm{Oil: o.Oil.Name, Temperature: o.Temperature.Text, Speed: o.Speed.Text, Worth: r.FilmCaution}
	for _, f := range r.Films {
		d.OilFilm.Lines = append(d.OilFilm.Lines, FilmLine(f))
	}
}

// cam fills in what concerns the cam.
func (d *Document) cam(r *assess.Result) {
	deg, st := assess.Signed, r.Style
	d.Engine = Engine{Order: r.Engine.Order().String(), Companions: append([][2]int{}, r.Companions...)}
	for _, i := range r.Engine.Intervals() {
		d.Engine.Intervals = append(d.Engine.Intervals, assess.Degrees(i))
	}
	reach := r.Cam.Reach()
	c := &r.Card
	d.Card = Card{
		Name: c.Name, Separation: c.Separation.Text(1), IntakeCenterline: assess.Degrees(c.IntakeCenterline) + " ATDC",
		ExhaustCenterline: assess.Degrees(c.ExhaustCenterline) + " BTDC", GroundAdvance: deg(c.GroundAdvance), Basis: c.Basis.String(),
		Timing: []Timing{},
		AtCard: st.Round(r.Cam.At(c.GroundAdvance).Difference), StraightUp: st.Round(r.Cam.At(0).Difference),
		ReachLow: deg(reach.Lowest), ReachHigh: deg(reach.Highest),
	}
	if l, err := r.Cam.Level(); err == nil && !l.Undetermined {
		d.Card.Level = deg(l.Advance)
	}
	if reach.Dead {
		d.Card.Dead = deg(reach.DeadLow) + " to " + deg(reach.DeadHigh)
	}
	for _, e := range r.Events {
		d.Card.Timing = append(d.Card.Timing, Timing{
			Lift: e.Lift, Intake: assess.Degrees(e.Timing.IntakeDuration), Exhaust: assess.Degrees(e.Timing.ExhaustDuration),
			IVO: event(e.Events.IVO, "BTDC", "ATDC"), IVC: event(e.Events.IVC, "ABDC", "BBDC"),
			EVO: event(e.Events.EVO, "BBDC", "ABDC"), EVC: event(e.Events.EVC, "ATDC", "BTDC"), Overlaps: assess.Degrees(e.Overlap),
		})
	}
	if r.Known {
		d.Installed = &Installed{
			Advance: deg(r.Advance.Value), IntakeCenterline: assess.Degrees(c.Separation.Crank()/2-r.Advance.Value) + " ATDC",
			FromTarget: deg(r.Advance.Value - r.Target.Advance),
		}
		if r.Advance.Stated {
			d.Installed.U = r.Advance.U.Text(2)
		}
	}
	for i := range r.Cylinders {
		d.Readings = append(d.Readings, reading(&r.Cylinders[i], st))
	}
	d.survey(r)
	d.causes(r)
}

// event writes an event on the side of its dead center where it lies.
func event(a units.CrankAngle, usual, other string) string {
	if a < 0 {
		return assess.Degrees(-a) + " " + other
	}
	return assess.Degrees(a) + " " + usual
}

func reading(c *assess.Cylinder, st assess.Style) Reading {
	out := Reading{
		Cylinder: c.Reading.Cylinder, Difference: c.Reading.Difference.String(), Zero: written(c.Reading.Zero),
		Proof: string(c.Reading.Proof), Approach: string(c.Reading.Approach), Reason: c.Reason,
	}
	s := &c.Split
	if s.High > s.Low {
		out.Low, out.High = assess.Signed(s.Low), assess.Signed(s.High)
	}
	if !c.Known {
		return out
	}
	out.Net, out.Proof = st.Text(s.Net.Value), s.Proof.Kind.String()
	out.Advance, out.FromCard = assess.Signed(s.Advance.Value), assess.Signed(s.FromGround)
	if s.Advance.Stated {
		out.U = s.Advance.U.Text(2)
	}
	if s.Advance.Stated {
		out.UReading, out.UTDC, out.UShape = s.UGauge.Text(2), s.UTDC.Text(2), s.UShape.Text(2)
	}
	out.Slope = st.Fine(s.At.PerCrankDegree)
	out.Thumb = assess.Signed(s.Rule.Advance)
	return out
}

func (d *Document) survey(r *assess.Result) {
	s := r.Survey
	if s == nil {
		return
	}
	d.Survey = &Survey{
		AtDriveEnd: assess.Signed(s.Index.Value), AtMiddle: assess.Signed(s.IndexAtMiddle.Value), Middle: r.Style.Round(s.Middle),
		TwistProved: s.TwistProved, ChiSquare: places(s.ChiSquare, 2), Freedom: s.Freedom, PValue: places(s.PValue, 4),
	}
	if s.TwistSeen {
		d.Survey.Twist, d.Survey.TwistU = assess.Signed(s.TwistOverShaft.Value), s.TwistOverShaft.U.Text(2)
	}
	if s.BankSeen {
		d.Survey.BankOffset, d.Survey.BankU = assess.Signed(s.BankOffset.Value), s.BankOffset.U.Text(2)
		d.Survey.Banks, d.Survey.BankProved = s.Banks[:], s.BankProved
	}
	for i := range s.Stations {
		f := &s.Stations[i]
		st := Station{Cylinder: f.Cylinder, Bank: f.Bank, Fitted: assess.Signed(f.Fitted), Residual: f.Residual.Text(2), Student: places(f.Studentized, 2), Outlier: f.Outlier}
		for j := range r.Cylinders {
			if c := &r.Cylinders[j]; strconv.Itoa(c.Reading.Cylinder) == f.Cylinder {
				st.Position, st.Advance = written(c.Reading.Position), assess.Signed(c.Split.Advance.Value)
			}
		}
		d.Survey.Stations = append(d.Survey.Stations, st)
	}
}

func (d *Document) causes(r *assess.Result) {
	if g := r.Diagnosis; g != nil {
		d.Alike, d.Explained, d.Next = g.Alike, g.Explained, append(d.Next, r.Next...)
		for i := range g.Candidates {
			c := &g.Candidates[i]
			out := Cause{
				Cause: c.String(), Shift: assess.Signed(c.Shift), Predicted: []string{}, Residuals: []string{},
				ChiSquare: places(c.ChiSquare, 2), PValue: places(c.PValue, 4), Probability: places(c.Probability, 4), RuledOut: c.RuledOut,
			}
			for j := range c.Predicted {
				out.Predicted = append(out.Predicted, r.Style.Round(c.Predicted[j]))
				out.Residuals = append(out.Residuals, r.Style.Round(c.Residual[j]))
			}
			d.Causes = append(d.Causes, out)
		}
	}
	if c := r.Correction; c != nil {
		d.Exact = assess.Signed(c.Exact)
		for _, o := range c.Options[:min(len(c.Options), mostCorrections)] {
			d.Corrections = append(d.Corrections, correction(o))
		}
		// Leaving it alone is always among the choices shown.
		for i, o := range c.Options {
			if o.Parts == 0 && i >= mostCorrections {
				d.Corrections = append(d.Corrections, correction(o))
			}
		}
	}
}

func correction(o camtiming.CorrectionStep) Correction {
	return Correction{assess.StepText(o), assess.Signed(o.Shift), assess.Signed(o.Result), assess.Signed(o.Left)}
}

// done reports whether a hand check needs nothing more.
func (h Hand) done() bool {
	return h.State == string(sheet.Done) || h.State == string(sheet.NotApplicable)
}

// sources lists the sources of the checks, each once, and the number of each
// check's source.
func (d *Document) sources() (texts []string, number []int) {
	seen := map[string]int{}
	for i := range d.Checks {
		t := d.Checks[i].Source + " (" + d.Checks[i].Provenance + ")"
		if seen[t] == 0 {
			texts = append(texts, t)
			seen[t] = len(texts)
		}
		number = append(number, seen[t])
	}
	return texts, number
}

// lead is the one line that sums the report up.
func (d *Document) lead() string {
	var within, outside, doubt, rule, open int
	for i := range d.Checks {
		switch d.Checks[i].Verdict {
		case "within":
			within++
		case "outside":
			outside++
		default:
			doubt++
			if d.Checks[i].ByRule {
				rule++
			}
		}
	}
	for _, h := range d.Hand {
		if !h.done() {
			open++
		}
	}
	text := strings.ToUpper(d.Outcome) + ": " + strconv.Itoa(within) + " checks within, " + strconv.Itoa(outside) + " outside, " + strconv.Itoa(doubt) + " not proved"
	if rule > 0 {
		text += " (" + strconv.Itoa(rule) + " judged by a rule of thumb alone)"
	}
	text += "; " + strconv.Itoa(len(d.Hand)-open) + " of " + strconv.Itoa(len(d.Hand)) + " hand checks done or not applicable"
	if len(d.Causes) > 0 && !d.Explained {
		text += "; the readings are not explained"
	}
	if n := len(d.NotApplicable); n > 0 {
		names := make([]string, n)
		for i, x := range d.NotApplicable {
			names[i] = x.Group
		}
		text += "; does not apply: " + strings.Join(names, ", ")
	}
	if n := len(d.Missing); n > 0 {
		text += "; missing: " + strings.Join(d.Missing[:min(n, mostMissing)], "; ")
		if n > mostMissing {
			text += " and " + strconv.Itoa(n-mostMissing) + " more"
		}
	}
	return text
}
