package report

import (
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// JSON writes the report for software.
func (d *Document) JSON(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(d)
}

// page collects text of at most width columns where the words allow.
type page struct{ strings.Builder }

const width = 100

func (p *page) line(s string) { p.WriteString(strings.TrimRight(s, " ") + "\n") }

func (p *page) head(s string) { p.line("\n" + strings.ToUpper(s)) }

// para writes words after a first prefix, further lines indented by its width
// if it is short.
func (p *page) para(first, words string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(first))
	if len(indent) > 16 {
		indent = "      "
	}
	line, n := first, 0
	for w := range strings.FieldsSeq(words) {
		if n > 0 && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(w) > width {
			p.line(line)
			line, n = indent, 0
		}
		if n > 0 {
			line += " "
		}
		line += w
		n++
	}
	p.line(line)
}

// table writes rows in columns; a row of one cell is a remark under the row
// before it, a nil row is skipped.
func (p *page) table(rows [][]string) {
	var widths []int
	for _, r := range rows {
		for i, c := range r {
			if len(r) == 1 {
				continue
			}
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], utf8.RuneCountInString(c))
		}
	}
	for _, r := range rows {
		if len(r) == 1 {
			p.para(strings.Repeat(" ", widths[0]+6), r[0])
			continue
		}
		var b strings.Builder
		for i, c := range r {
			b.WriteString("  " + c + strings.Repeat(" ", widths[i]-utf8.RuneCountInString(c)))
		}
		p.line(b.String())
	}
}

// Text writes the report to read.
func (d *Document) Text(w io.Writer) error {
	var p page
	p.para("", "MOCK-UP REPORT: "+d.Title)
	place := ""
	if d.Recorded.Place != "" {
		place = ", " + d.Recorded.Place
	}
	p.line("measured by " + d.Recorded.By + " on " + d.Recorded.Date + place + ", at " + d.Recorded.Temperature)
	p.line("decision rule: " + d.Rule)
	p.line("")
	p.para("", d.lead())
	d.findings(&p)
	if len(d.Missing) > 0 {
		p.head("Missing")
		for _, m := range d.Missing {
			p.para("  - ", m)
		}
	}
	if len(d.NotApplicable) > 0 {
		p.head("Does not apply")
		for _, x := range d.NotApplicable {
			p.para("  - ", x.Group+": "+x.Reason)
		}
	}
	d.checks(&p)
	d.filmText(&p)
	d.camText(&p)
	d.handText(&p)
	if len(d.Turning) > 0 {
		p.head("Turning torque, part by part")
		var rows [][]string
		for _, t := range d.Turning {
			added := ""
			if t.Added != "" {
				added = "added " + t.Added
			}
			rows = append(rows, []string{t.With, t.Torque, added})
		}
		p.table(rows)
	}
	p.head("Instruments")
	rows := [][]string{{"", "resolution", "standard u", "u of zero"}}
	for _, i := range d.Recorded.Instruments {
		rows = append(rows, []string{i.Name, i.Resolution, or(i.Uncertainty, "not stated"), i.Zero})
	}
	p.table(rows)
	p.para("  top dead center: ", d.Recorded.TopDead+"; u = "+d.Recorded.TopDeadU)
	for i, wk := range d.Working {
		if i == 0 {
			p.head("Working")
		}
		p.line("\n  " + wk.Title)
		for _, s := range wk.Steps {
			eq := s.Formula
			if s.Numbers != "" && s.Numbers != s.Value {
				eq += ": " + s.Numbers
			}
			p.para("    "+s.Symbol+" = ", eq+" gives "+s.Value+" ["+s.Source+"]")
		}
	}
	p.head("Cautions")
	for _, c := range d.Cautions {
		p.para("  - ", c)
	}
	_, err := io.WriteString(w, p.String())
	return err
}

// nothingNext stands where no measurement is asked for.
const nothingNext = "nothing more would tell these causes apart"

func or(s, none string) string {
	if s == "" {
		return none
	}
	return s
}

func (d *Document) findings(p *page) {
	p.head("Findings")
	for i, f := range d.Findings {
		p.para(fmt.Sprintf("  %d. ", i+1), strings.ToUpper(f.Severity)+": "+f.What)
		p.para("     how sure: ", f.Sure)
		p.para("     do: ", f.Do)
	}
	if len(d.Findings) == 0 {
		p.line("  none")
	}
}

func (d *Document) checks(p *page) {
	p.head("Checks")
	texts, number := d.sources()
	var rows [][]string
	for i := range d.Checks {
		c := &d.Checks[i]
		if i == 0 || c.Group != d.Checks[i-1].Group {
			rows = append(rows, []string{"", strings.ToUpper(c.Group), "measured", "standard u", "limits", "margin", ""})
		}
		rows = append(rows, []string{c.Verdict, c.Name, c.Measured, c.U, c.Limits, c.Margin, fmt.Sprintf("[%d]", number[i])})
		if c.Reason != "" {
			rows = append(rows, []string{c.Reason})
		}
		if c.Beside != "" {
			rows = append(rows, []string{c.Beside})
		}
	}
	p.table(rows)
	for i, t := range texts {
		p.para(fmt.Sprintf("  [%d] ", i+1), t)
	}
}

func (d *Document) camText(p *page) {
	c := &d.Card
	p.head("Engine and cam")
	pairs := make([]string, len(d.Engine.Companions))
	for i, x := range d.Engine.Companions {
		pairs[i] = fmt.Sprintf("%d&%d", x[0], x[1])
	}
	p.para("  firing order ", d.Engine.Order+", at intervals of "+strings.Join(d.Engine.Intervals, ", ")+
		"; companions, which share top dead center one turn apart: "+or(strings.Join(pairs, " "), "none"))
	p.para("  card ", c.Name+": separation "+c.Separation+", intake centerline "+c.IntakeCenterline+", exhaust "+c.ExhaustCenterline+
		", ground advance "+c.GroundAdvance+"; centerlines "+c.Basis)
	rows := [][]string{{"at lift", "intake", "exhaust", "IVO", "IVC", "EVO", "EVC", "overlap"}}
	for _, t := range c.Timing {
		rows = append(rows, []string{t.Lift, t.Intake, t.Exhaust, t.IVO, t.IVC, t.EVO, t.EVC, t.Overlaps})
	}
	p.table(rows)
	p.para("  lifter difference to expect at overlap, intake minus exhaust: ", c.AtCard+" as the card says, "+c.StraightUp+" straight up, level at "+or(c.Level, "no single advance"))
	if c.Dead != "" {
		p.para("  both lifters are down, and the method knows nothing, from ", c.Dead)
	}
	p.para("  target: ", d.Target.Advance+" of advance, "+d.Target.Source)
	if d.Installed != nil {
		u := ""
		if d.Installed.U != "" {
			u = " (u = " + d.Installed.U + ")"
		}
		p.para("  installed: ", d.Installed.Advance+u+", intake centerline "+d.Installed.IntakeCenterline+", "+d.Installed.FromTarget+" from the target")
	}
	if d.Safe != nil {
		p.para("  valve to piston: ", d.Safe.text())
	}
	p.head("Lifter heights at overlap top dead center")
	rows = [][]string{{"cylinder", "difference", "zero", "net", "advance", "u", "from card", "slope per crank deg", "rule of thumb"}}
	for i := range d.Readings {
		r := &d.Readings[i]
		rows = append(rows, []string{strconv.Itoa(r.Cylinder), r.Difference, r.Zero, r.Net, or(r.Advance, "not known"), r.U, r.FromCard, r.Slope, r.Thumb})
		if r.Reason != "" {
			rows = append(rows, []string{r.Reason})
		}
	}
	p.table(rows)
	p.line("  The rule of thumb, 0.003 in per crank degree, is common practice and decides nothing here.")
	for i := range d.Readings {
		if r := &d.Readings[i]; i == 0 && r.UTDC != "" {
			p.para("  u is made of: ", "reading "+r.UReading+", top dead center "+r.UTDC+", shape of the lobes "+r.UShape+" (cylinder "+strconv.Itoa(r.Cylinder)+")")
		}
	}
	d.surveyText(p)
	d.causesText(p)
}

// text says in which range of advance valve and piston keep their limits.
func (s *SafeAdvance) text() string {
	t := "the limits of the least gap hold " + s.Words
	t += ", computed, uncertainty left out"
	if !s.Target {
		t += "; the target lies outside"
	}
	return t
}

// filmText writes the ranking of clearances.
func (d *Document) filmText(p *page) {
	f := d.OilFilm
	if f == nil {
		return
	}
	p.head("Oil film: a ranking of clearances, no proof")
	p.para("  ", f.Oil+" at "+f.Temperature+", "+f.Speed+"; "+f.Worth)
	rows := [][]string{{"bearing", "clearance", "", "smallest film", "eccentricity", "rank"}}
	last := ""
	for _, l := range f.Lines {
		name := l.Bearing
		if name == last {
			name = ""
		}
		last = l.Bearing
		rows = append(rows, []string{name, l.Clearance, l.Which, l.Film, l.Eccentricity, strconv.Itoa(l.Rank)})
	}
	p.table(rows)
}

func (d *Document) surveyText(p *page) {
	s := d.Survey
	if s == nil {
		return
	}
	p.head("All cylinders on one line: index and twist")
	first := "cylinder"
	if len(s.Banks) > 0 {
		first = "cylinder and bank"
	}
	rows := [][]string{{first, "position", "advance", "line", "off the line", "studentized", ""}}
	for _, x := range s.Stations {
		mark := ""
		if x.Outlier {
			mark = "stands out"
		}
		rows = append(rows, []string{strings.TrimSpace(x.Cylinder + " " + x.Bank), x.Position, x.Advance, x.Fitted, x.Residual, fmt.Sprintf("%.2f", x.Student), mark})
	}
	p.table(rows)
	twist := "too few cylinders to see a twist"
	if s.Twist != "" {
		proved := "not proved to differ from none"
		if s.TwistProved {
			proved = "proved at 95 %"
		}
		twist = "twist " + s.Twist + " from the first to the last cylinder (u = " + s.TwistU + "), " + proved
	}
	if s.BankOffset != "" {
		proved := "not proved to differ from none"
		if s.BankProved {
			proved = "proved at 95 %"
		}
		twist += "; the " + s.Banks[1] + " bank against the " + s.Banks[0] + " bank " + s.BankOffset + " (u = " + s.BankU + "), " + proved
	}
	p.para("  ", fmt.Sprintf("at the drive end %s, at %s %s; %s; chi-square %.2f, %d degrees of freedom, p = %.2f", s.AtDriveEnd, s.Middle, s.AtMiddle, twist, s.ChiSquare, s.Freedom, s.PValue))
}

func (d *Document) causesText(p *page) {
	if len(d.Causes) > 0 {
		p.head("Causes weighed, each by the reading it predicts")
		rows := [][]string{{"", "cause", "shift", "predicts", "leaves", "chi-square", "p", "probability"}}
		for i := range d.Causes {
			c := &d.Causes[i]
			mark := ""
			if i < d.Alike {
				mark = "*"
			}
			if c.RuledOut != "" {
				mark = "x"
			}
			rows = append(rows, []string{mark, c.Cause, c.Shift, c.Predicted[0], c.Residuals[0], fmt.Sprintf("%.1f", c.ChiSquare), fmt.Sprintf("%.3f", c.PValue), fmt.Sprintf("%.3f", c.Probability)})
			if c.RuledOut != "" {
				rows = append(rows, []string{"ruled out: " + c.RuledOut})
			}
		}
		p.table(rows)
		p.para("  ", fmt.Sprintf("* not told from the first by these readings; x ruled out; predictions are shown for cylinder %d, the statistics are over all readings", d.Readings[0].Cylinder))
		p.para("  measure next: ", or(strings.Join(d.Next, "; "), nothingNext))
	}
	if len(d.Corrections) > 0 {
		p.head("Correction: steps at hand, nearest first")
		rows := [][]string{{"", "moves", "to", "leaves"}}
		for _, c := range d.Corrections {
			rows = append(rows, []string{c.Change, c.Shift, c.Result, c.Left})
		}
		p.table(rows)
		p.line("  exact: " + d.Exact)
	}
}

func (d *Document) handText(p *page) {
	p.head("Hand checks")
	var rows [][]string
	for _, h := range d.Hand {
		rows = append(rows, []string{h.State, h.Name, h.Reason})
	}
	p.table(rows)
}
