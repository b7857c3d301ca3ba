// Package assess evaluates a mock-up sheet: it turns readings into verdicts,
// causes and corrections. It does no input or output, keeps no state and is
// safe for concurrent use.
package assess

import (
	"slices"
	"strconv"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// Result is everything that a report prints.
type Result struct {
	Sheet *sheet.Sheet
	Rule  units.DecisionRule
	// Outcome is within only if every check is, every hand check is done or
	// does not apply, nothing is missing and the readings are explained;
	// outside if a check is proved outside its limits.
	Outcome units.Outcome
	// Missing names the groups of checks and the cylinders that the sheet says
	// nothing of; missing hand checks are under Hand.
	Missing []string
	// Exempt are the groups that the sheet says do not apply, with the reason.
	Exempt   []Exempt
	Findings []Finding // worst first
	Checks   []Check
	Hand     []HandItem

	Engine *firingorder.Engine
	// Companions are the pairs of cylinders that share top dead center one
	// turn apart.
	Companions [][2]int
	Card       camtiming.Resolved
	Cam        *camtiming.Cam
	Events     []EventsLine
	// Style is how the overlap readings were written.
	Style  Style
	Target Target
	// Cylinders are the overlap readings in the order of the sheet.
	Cylinders []Cylinder
	// Advance is the installed advance of the whole cam, if Known.
	Advance   units.Measured[units.CrankAngle]
	Known     bool
	Survey    *camtiming.SurveyResult
	Diagnosis *camtiming.Diagnosis
	// Next is what to measure next; empty where nothing more would tell.
	Next       []string
	Correction *camtiming.Correction
	Turning    []TurningLine
	// Safe is the range of advance that keeps valve and piston apart, nil where
	// it is not known or there is none.
	Safe *SafeAdvance
	// Films rank clearances under a steady load, and FilmCaution says what they
	// are worth: they prove nothing.
	Films       []FilmLine
	FilmCaution string
	Worked      []Worked
	Cautions    []string
}

// Severity ranks findings.
type Severity uint8

// The severities, worst first.
const (
	Fault Severity = iota + 1 // proved wrong
	Doubt                     // not proved
	Note                      // good to know
)

// String returns the word that reports use.
func (s Severity) String() string {
	switch s {
	case Fault:
		return "fault"
	case Doubt:
		return "not proved"
	default:
		return "note"
	}
}

// Finding is what is wrong, how sure that is and what to do.
type Finding struct {
	Severity       Severity
	What, Sure, Do string
}

// Check is one verdict, its quantities as text in the unit of the reading.
type Check struct {
	Group, Name                 string
	Measured, U, Limits, Margin string
	Outcome                     units.Outcome
	// Conformance is the probability of being within the limits, if known.
	Conformance units.Optional[float64]
	Source      units.Source
	// ByRule is set where a rule of thumb stands in for limits that nobody
	// gave: such a check never proves that a value is within.
	ByRule bool
	// Reason says why nothing was proved, Beside what stands beside the
	// verdict without deciding it.
	Reason, Beside string
}

// HandItem is one hand check; State is empty where the sheet is silent.
type HandItem struct {
	Name, Key string
	State     sheet.StateWord
	Reason    string
}

// OK reports whether the check needs nothing more.
func (h HandItem) OK() bool { return h.State == sheet.Done || h.State == sheet.NotApplicable }

// Target is the advance that the readings are judged against.
type Target struct {
	Advance units.CrankAngle
	Source  string
	Wanted  bool // the sheet wants another advance than the card's
}

// Cylinder is one overlap reading with its result.
type Cylinder struct {
	Reading *sheet.OverlapReading
	// Split is the result, if Known; else Reason says why there is none. Where
	// Known but without a stated uncertainty, Reason says why.
	Split  camtiming.SplitResult
	Known  bool
	Reason string
}

// EventsLine holds the card's events at one checking lift.
type EventsLine struct {
	Lift    string
	Timing  camtiming.Timing
	Events  camtiming.Events
	Overlap units.CrankAngle
}

// TurningLine is one turning torque with what the last part added.
type TurningLine struct{ With, Torque, Added string }

// Worked is a result that can show its derivation.
type Worked struct {
	Title string
	Of    units.Worked
}

// Evaluate works a sheet out. A sheet that contradicts itself gives a
// *units.InputError whose Field is the path in the sheet.
func Evaluate(s *sheet.Sheet) (*Result, error) {
	e := &evaluator{sheet: s, res: &Result{
		Sheet: s, Rule: s.Decision.Rule(), Cautions: slices.Clone(cautions),
		Checks: make([]Check, 0, 256), Worked: make([]Worked, 0, 256), Hand: make([]HandItem, 0, 32),
	}}
	for _, step := range []func() error{
		e.instruments, e.engine, e.exempt, e.cam, e.overlap, e.bearings, e.rings, e.ringGrooves, e.plays, e.fits, e.valveLifts, e.springs, e.travel,
		e.lash, e.preload, e.lifterFits, e.deck, e.compression, e.valveToPiston, e.turning, e.films, e.hand,
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	e.conclude()
	return e.res, nil
}

var cautions = []string{
	"These results support your own measurements. The part maker's figures and a qualified engine machinist take precedence.",
	"Disconnect the battery, remove the plugs, turn by hand and stop at any resistance.",
	"Compressed valve springs and a turning crank injure.",
	"Never start an engine to test a doubtful clearance.",
	"Local codes apply to aircraft, marine and emissions-controlled engines.",
}

type evaluator struct {
	sheet *sheet.Sheet
	res   *Result
	inst  map[string]*sheet.Instrument
	// What later steps need of earlier ones: names of the banks and deck heights
	// by cylinder, oil clearances by bearing.
	banks []string
	decks map[int]units.Measured[units.Length]
	oils  map[string]oilOf
}

// unique refuses a name that an earlier entry of the list has.
func unique(list string, i int, name string, names []string) error {
	if slices.Contains(names[:i], name) {
		return fail(index(list, i)+".name", name, units.ErrConflict, "another entry of "+list+" has this name: two readings of one part contradict each other or are to be averaged first")
	}
	return nil
}

func index(path string, i int) string { return path + "[" + strconv.Itoa(i) + "]" }

// coarsest bounds what an instrument may be said to leave open.
const coarsest = 100 * units.Millimeter

func (e *evaluator) instruments() error {
	e.inst = make(map[string]*sheet.Instrument, len(e.sheet.Instruments))
	for i := range e.sheet.Instruments {
		in, path := &e.sheet.Instruments[i], index("instruments", i)
		if e.inst[in.Name] != nil {
			return fail(path+".name", in.Name, units.ErrConflict, "another instrument has this name")
		}
		e.inst[in.Name] = in
		if in.Resolution.Length <= 0 || in.Resolution.Length > coarsest {
			return fail(path+".resolution", in.Resolution.String(), units.ErrRange, "want a resolution over 0 and at most 100 mm")
		}
		if u := in.Uncertainty; u != nil {
			if u.Length > coarsest {
				return fail(path+".uncertainty", u.String(), units.ErrRange, "want a standard uncertainty of at most 100 mm")
			}
			// The resolution alone leaves d/sqrt(12) (JCGM 100:2008 F.2.2.1);
			// a figure rounded down to two digits passes.
			if float64(u.Length) < 0.95*float64(in.Resolution.Length)/3.4641016151377544 {
				return fail(path+".uncertainty", u.String(), units.ErrConflict, "under what the resolution of "+in.Resolution.String()+" alone leaves, resolution/sqrt(12)")
			}
		}
		if z := in.ZeroUncertainty; z != nil && (z.Length < 0 || z.Length > coarsest) {
			return fail(path+".zero_uncertainty", z.String(), units.ErrRange, "want a standard uncertainty of 0 to 100 mm")
		}
	}
	return nil
}

// instrument finds the instrument of a reading.
func (e *evaluator) instrument(path, name string) (*sheet.Instrument, error) {
	in := e.inst[name]
	if in == nil {
		return nil, fail(path, name, units.ErrConflict, "no instrument of this name is listed under instruments")
	}
	return in, nil
}

// measured is a reading with the uncertainty of its instrument.
func measured(in *sheet.Instrument, r units.Reading) units.Measured[units.Length] {
	if in.Uncertainty == nil {
		return units.Unstated(r.Length)
	}
	return units.WithU(r.Length, in.Uncertainty.Length)
}

// withZero also counts the instrument's zero, where a reading stands alone.
func withZero(in *sheet.Instrument, r units.Reading) units.Measured[units.Length] {
	m := measured(in, r)
	if m.Stated && in.ZeroUncertainty != nil {
		m.U = rootSum(m.U, in.ZeroUncertainty.Length)
	}
	return m
}

// limits reads the limits of a length.
func limits(path string, l sheet.Limits) (units.Limits[units.Length], string, error) {
	src := units.Source{Text: l.Source, Provenance: units.Stated}
	switch {
	case l.Min != nil && l.Max != nil:
		if l.Min.Length > l.Max.Length {
			return units.Limits[units.Length]{}, "", fail(path, l.Min.String()+" to "+l.Max.String(), units.ErrConflict, "the minimum is over the maximum: are they swapped?")
		}
		return units.Between(l.Min.Length, l.Max.Length, src), l.Min.String() + " to " + l.Max.String(), nil
	case l.Min != nil:
		return units.AtLeast(l.Min.Length, src), "at least " + l.Min.String(), nil
	case l.Max != nil:
		return units.AtMost(l.Max.Length, src), "at most " + l.Max.String(), nil
	}
	return units.Limits[units.Length]{}, "", fail(path, "", units.ErrMissing, "want min, max or both")
}

// add records a verdict on a length.
func (e *evaluator) add(group, name string, st Style, v units.Verdict[units.Length], limitText string) *Check {
	if limitText == "" {
		limitText = st.Limits(v.Limits)
	}
	return record(e, group, name, limitText, v, st.Text, st.Fine)
}

// record records a verdict on any quantity; text writes it and fine its
// uncertainty.
func record[Q units.Quantity](e *evaluator, group, name, limitText string, v units.Verdict[Q], text, fine func(Q) string) *Check {
	c := Check{
		Group: group, Name: name, Measured: text(v.Measured.Value), Limits: limitText, Margin: text(v.Margin),
		Outcome: v.Outcome, Source: v.Limits.Source, Reason: v.Reason,
	}
	switch {
	case v.Measured.Stated && v.Measured.U == 0:
		c.U = "exact"
	case v.Measured.Stated:
		c.U = fine(v.Measured.U)
	}
	if v.HasConformance {
		c.Conformance = units.Some(v.Conformance)
	}
	return e.put(c)
}

// put appends a check.
func (e *evaluator) put(c Check) *Check {
	e.res.Checks = append(e.res.Checks, c)
	return &e.res.Checks[len(e.res.Checks)-1]
}

// judge judges a length and records it; path is where its limits stand.
func (e *evaluator) judge(path, group, name string, st Style, m units.Measured[units.Length], l units.Limits[units.Length], limitText string) (*Check, error) {
	v, err := units.Judge(m, l, e.res.Rule)
	if err != nil {
		return nil, at(path, err)
	}
	return e.add(group, name, st, v, limitText), nil
}

func (e *evaluator) worked(title string, w units.Worked) {
	e.res.Worked = append(e.res.Worked, Worked{title, w})
}

func (e *evaluator) find(s Severity, what, sure, do string) {
	e.res.Findings = append(e.res.Findings, Finding{s, what, sure, do})
}
