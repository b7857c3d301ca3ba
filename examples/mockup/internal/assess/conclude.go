package assess

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// conclude writes the findings and the outcome.
func (e *evaluator) conclude() {
	e.concludeCam()
	e.concludeTarget()
	e.concludeCause()
	e.concludeChecks()
	e.concludeMissing()
	e.concludeHand()
	if e.sheet.Cam.NewCamOrLifters {
		e.find(Note, "cam or lifters are new", "stated on the sheet", "run them in as planned: about 20 minutes off idle for a flat-lifter cam (common practice)")
	}
	slices.SortStableFunc(e.res.Findings, func(a, b Finding) int { return int(a.Severity) - int(b.Severity) })
	e.res.Outcome = units.ProvedWithin
	for i := range e.res.Checks {
		switch o := e.res.Checks[i].Outcome; {
		case o == units.ProvedOutside:
			e.res.Outcome = units.ProvedOutside
		case o == units.NotProved && e.res.Outcome == units.ProvedWithin:
			e.res.Outcome = units.NotProved
		}
	}
	if e.res.Outcome == units.ProvedWithin && (len(e.res.Missing) > 0 || e.unexplained() || slices.ContainsFunc(e.res.Hand, func(h HandItem) bool { return !h.OK() })) {
		e.res.Outcome = units.NotProved
	}
}

// unexplained reports whether no cause that was weighed explains the readings.
func (e *evaluator) unexplained() bool { return e.res.Diagnosis != nil && !e.res.Diagnosis.Explained }

// concludeCause reports readings that nothing explains.
func (e *evaluator) concludeCause() {
	if !e.unexplained() {
		return
	}
	best := &e.res.Diagnosis.Candidates[0]
	e.find(Doubt, fmt.Sprintf("the readings at overlap are not explained by any of the %d causes weighed", len(e.res.Diagnosis.Candidates)),
		fmt.Sprintf("the nearest is %s: as much or more by chance has p = %.2g, under 0.05", best, best.PValue),
		e.next()+"; give what else may be wrong under suspects")
}

// concludeMissing names the groups of checks and the cylinders that the sheet
// says nothing of.
func (e *evaluator) concludeMissing() {
	e.res.Missing = ofCylinders(nil, groupCam+": overlap readings", e.unread())
	for _, g := range e.groups() {
		switch {
		case e.exempted(g.word):
		case !g.given:
			e.res.Missing = append(e.res.Missing, string(g.word))
		default:
			for _, a := range g.absent {
				e.res.Missing = append(e.res.Missing, string(g.word)+": "+a)
			}
		}
	}
	if len(e.res.Missing) > 0 {
		e.find(Doubt, "not measured: "+strings.Join(e.res.Missing, "; "), "the sheet says nothing of it", "measure it and record it: what is missing is not proved")
	}
}

// open are checks of one group that are not proved within for the same reason.
type open struct {
	group, limits string
	outcome       units.Outcome
	rule          bool
	do            string
	names         []string
	worst         float64 // the least probability of conformance
	known         bool    // whether any was known
}

// concludeChecks reports the checks that are not proved within their limits;
// those that want the same thing done stand together.
func (e *evaluator) concludeChecks() {
	var all []*open
	for i := range e.res.Checks {
		c := &e.res.Checks[i]
		if c.Group == groupCam || c.Outcome == units.ProvedWithin {
			continue
		}
		x := open{group: c.Group, limits: c.Limits, outcome: c.Outcome, rule: c.ByRule, do: e.todo(c), worst: 1}
		at := slices.IndexFunc(all, func(o *open) bool {
			return o.group == x.group && o.limits == x.limits && o.outcome == x.outcome && o.rule == x.rule && o.do == x.do
		})
		if at < 0 {
			at, all = len(all), append(all, &x)
		}
		o, text := all[at], c.Name+" "+c.Measured
		if c.Outcome == units.ProvedOutside {
			text += " (outside by " + strings.TrimPrefix(c.Margin, "-") + ")"
			if c.Margin == "" {
				text = c.Name + " " + c.Measured
			}
		}
		o.names = append(o.names, text)
		if c.Conformance.Given {
			o.worst, o.known = min(o.worst, c.Conformance.Value), true
		}
	}
	for _, o := range all {
		e.concludeOpen(o)
	}
}

// todo says what to do about a check.
func (e *evaluator) todo(c *Check) string {
	switch {
	case c.ByRule && c.Outcome == units.NotProved:
		return c.Reason + "; get the part maker's figure and give it under limits"
	case c.Reason != "":
		return c.Reason
	case c.Outcome == units.ProvedOutside:
		return "measure again, then correct the part; limits from: " + c.Source.Text
	default:
		return "measure with a smaller uncertainty or bring the value farther inside the limits"
	}
}

func (e *evaluator) concludeOpen(o *open) {
	sure := "decided by " + e.res.Rule.String()
	switch {
	case o.known && len(o.names) > 1:
		sure = "least probability of being within the limits " + Percent(o.worst)
	case o.known:
		sure = "probability of being within the limits " + Percent(o.worst)
	}
	what := strings.Join(o.names, "; ") + "; limits " + o.limits
	if o.rule {
		what = strings.Join(o.names, "; ") + "; rule of thumb " + o.limits
	}
	if o.outcome == units.ProvedOutside {
		e.find(Fault, what, sure, o.do)
		return
	}
	e.find(Doubt, what+": not proved", sure, o.do)
}

func (e *evaluator) concludeHand() {
	var missing []string
	for _, h := range e.res.Hand {
		switch h.State {
		case sheet.NotDone:
			e.find(Doubt, "not done: "+h.Name, "stated on the sheet: "+h.Reason, "do it and record it under hand."+h.Key)
		case sheet.Done, sheet.NotApplicable:
		case "":
			missing = append(missing, h.Name)
		}
	}
	if len(missing) > 0 {
		e.find(Doubt, "not recorded: "+strings.Join(missing, "; "), "the sheet says nothing of it", "do it, or record why it does not apply")
	}
}

// concludeCam puts what the cam checks say together into as few findings as
// they need: the index, what differs between cylinders, and what is not known.
func (e *evaluator) concludeCam() {
	outside, doubt, differ := e.camChecks()
	within := len(outside)+len(doubt)+len(differ) == 0
	r := e.res
	if !r.Known {
		do := e.next()
		if do == "" {
			do = "read again at overlap, with a lifter seen to move"
		}
		e.find(Doubt, "the installed advance is not known: "+r.Cylinders[0].Reason, "no reading tells it", do)
		return
	}
	twist := r.Survey != nil && r.Survey.TwistProved
	v, err := units.Judge(r.Advance, around(r.Target.Advance, e.sheet.Overlap.Tolerance), r.Rule)
	index := units.NotProved
	if err == nil {
		index = v.Outcome
	}
	sure := e.unstated()
	if err == nil && v.HasConformance {
		sure = "u = " + r.Advance.U.Text(2) + "; probability of being within the tolerance " + Percent(v.Conformance)
	}
	switch index {
	case units.ProvedOutside:
		e.find(Fault, e.standing()+": outside the tolerance of "+Degrees(e.sheet.Overlap.Tolerance.Within), sure+"; "+e.cause(), e.remedy())
	case units.NotProved:
		do := join("reduce the uncertainty of top dead center and of the readings", e.next())
		if sure == heightsUnknown {
			do = camtiming.LifterMismatch.NextMeasurement() + ", or state overlap.lifter_mismatch"
		}
		e.find(Doubt, e.standing()+": not proved within the tolerance of "+Degrees(e.sheet.Overlap.Tolerance.Within), sure, do)
	default:
		text := e.standing()
		if twist {
			text += ", taken in the middle of the cam"
		}
		e.find(Note, text, sure+"; "+e.cause(), "nothing for the index")
	}
	if twist {
		s := r.Survey
		first, last := e.ends()
		severity := Fault
		if within {
			severity = Note // real, and inside every tolerance of the sheet
		}
		e.find(severity, "the cam is twisted, or its lobes are ground off in step along it: the advance changes by "+Signed(s.TwistOverShaft.Value)+
			" from the drive end to the far end ("+Signed(first.Fitted)+" at cylinder "+first.Cylinder+", "+Signed(last.Fitted)+" at cylinder "+last.Cylinder+")",
			fmt.Sprintf("proved at 95 %% with u = %s over the shaft; what the straight line leaves: chi-square %.1f, %d degrees of freedom, p = %.2f", s.TwistOverShaft.U.Text(2), s.ChiSquare, s.Freedom, s.PValue),
			"measure each lobe's own centerline by equal lift; top dead center cannot cause this, and no index setting cures it")
	} else if len(differ) > 0 {
		e.find(Fault, "companions differ: "+strings.Join(differ, "; "), "proved outside the tolerance; two readings cannot tell twist from a grinding error", e.twistNext())
	}
	if s := r.Survey; s != nil && s.BankProved {
		severity := Fault
		if within {
			severity = Note
		}
		e.find(severity, "the "+s.Banks[1]+" bank stands "+Signed(s.BankOffset.Value)+" against the "+s.Banks[0]+" bank, beside index and twist",
			"proved at 95 % with u = "+s.BankOffset.U.Text(2), "one cam drives both: read the lobes of both banks by equal lift; with a cam to each bank, index that bank by itself")
	}
	if r.Survey != nil {
		for _, s := range r.Survey.Stations {
			if s.Outlier {
				severity := Doubt
				if within {
					severity = Note
				}
				e.find(severity, "cylinder "+s.Cylinder+" stands "+Signed(s.Shift.Value)+" off the line through those that do not stand out", fmt.Sprintf("%.1f of its own standard uncertainties, beyond the 95 %% bound for the worst of all", s.Shift.Value.Degrees()/s.Shift.U.Degrees()), "read it again; then measure its two lobes by equal lift")
			}
		}
	}
	// An index that is off explains its cylinders; one without an advance not.
	if index == units.ProvedOutside && !twist {
		outside = slices.DeleteFunc(outside, func(s string) bool { return !strings.Contains(s, unknown) })
	}
	if len(outside) > 0 {
		do := e.next()
		if do == "" {
			do = "read them again; then measure their lobes by equal lift"
		}
		if twist {
			do = "they lie on the line of the twist: settle that first"
		}
		e.find(Fault, "single cylinders outside the tolerance: "+strings.Join(outside, "; "), "proved outside, each by its own reading", do)
	}
	if len(doubt) > 0 {
		e.find(Doubt, strings.Join(doubt, "; "), "inside the uncertainty, or not read", "read again with less uncertainty, or read what is missing")
	}
}

// ends returns the fitted stations nearest to the drive end and farthest from it.
func (e *evaluator) ends() (first, last camtiming.StationFit) {
	var lo, hi units.Length
	for i, s := range e.res.Survey.Stations {
		n, err := strconv.Atoi(s.Cylinder) // a number written by survey
		if err != nil {
			continue
		}
		at := value(e.known(n).Reading.Position)
		if i == 0 || at < lo {
			lo, first = at, s
		}
		if i == 0 || at > hi {
			hi, last = at, s
		}
	}
	return first, last
}

// camChecks sorts the cam checks that are not within; what is not proved for
// one reason stands together.
func (e *evaluator) camChecks() (outside, doubts, differ []string) {
	var reasons []string
	var doubt [][]string // by reason
	for i := range e.res.Checks {
		c := &e.res.Checks[i]
		if c.Group != groupCam || c.Outcome == units.ProvedWithin {
			continue
		}
		text := c.Name + " " + c.Measured
		if c.Outcome == units.NotProved {
			at := slices.Index(reasons, c.Reason)
			if at < 0 {
				at, reasons, doubt = len(reasons), append(reasons, c.Reason), append(doubt, nil)
			}
			doubt[at] = append(doubt[at], text)
			continue
		}
		if c.Reason != "" {
			text += " (" + c.Reason + ")"
		}
		switch {
		case strings.HasPrefix(c.Name, "companions"):
			differ = append(differ, text)
		default:
			outside = append(outside, text)
		}
	}
	for i, names := range doubt {
		text := strings.Join(names, "; ")
		switch {
		case reasons[i] == "":
		case len(names) > 1:
			text += " (all: " + reasons[i] + ")"
		default:
			text += " (" + reasons[i] + ")"
		}
		doubts = append(doubts, text)
	}
	return outside, doubts, differ
}

// standing says where the cam stands.
func (e *evaluator) standing() string {
	r := e.res
	off := r.Advance.Value - r.Target.Advance
	against := "the card (" + Signed(r.Target.Advance) + ")"
	if r.Target.Wanted {
		against = "the wanted " + Signed(r.Target.Advance)
	}
	where := "cam installed at " + Signed(r.Advance.Value) + " of advance, "
	switch {
	case off.Abs() < units.CrankDegree/20:
		return where + "as " + against
	case off < 0:
		return where + Degrees(-off) + " retarded against " + against
	default:
		return where + Degrees(off) + " advanced against " + against
	}
}

// unstated says why the advance has no uncertainty.
func (e *evaluator) unstated() string {
	for i := range e.res.Cylinders {
		if c := &e.res.Cylinders[i]; c.Known && c.Reason != "" {
			return c.Reason
		}
	}
	return "no uncertainty was stated"
}

// cause names what explains the readings.
func (e *evaluator) cause() string {
	d := e.res.Diagnosis
	if d == nil {
		return "no cause was weighed, because no uncertainty was stated"
	}
	best := &d.Candidates[0]
	if !d.Explained {
		return fmt.Sprintf("none of the %d causes weighed explains the readings", len(d.Candidates))
	}
	text := fmt.Sprintf("%s explains the readings (p = %.2f), with probability %s among the %d causes weighed (prior %s)", best, best.PValue, Percent(best.Probability), len(d.Candidates), d.PriorSource.Text)
	if d.Alike > 1 {
		var others []string
		for i := range d.Candidates[1:d.Alike] {
			others = append(others, d.Candidates[1+i].String())
		}
		text += "; these readings cannot tell it from " + strings.Join(others, ", ")
	}
	return text
}

// next is what to measure next, empty where nothing more would tell.
func (e *evaluator) next() string {
	if e.res.Diagnosis == nil {
		return "state the uncertainty of the instruments"
	}
	return strings.Join(e.res.Next, "; ")
}

// remedy says what to measure and what to change then.
func (e *evaluator) remedy() string {
	first, then := "", ""
	if next := e.next(); next != "" {
		first, then = "first "+next+"; ", "then "
	}
	c := e.res.Correction
	if c == nil || len(c.Options) == 0 {
		return first + "no step is at hand"
	}
	if o := c.Options[0]; c.Worthwhile {
		if s := e.res.Safe; s != nil && !s.Inside {
			then += "give the valves their room over the pistons at that advance, then "
		}
		return first + then + StepText(o) + ", which leaves " + Signed(o.Left) + " of the " + Signed(c.Exact) + " to go; turn twice by hand and read again"
	}
	return first + "no step at hand brings the cam nearer: " + Signed(c.Exact) + " would be exact (" + strconv.Itoa(len(c.Options)) + " combinations tried)"
}
