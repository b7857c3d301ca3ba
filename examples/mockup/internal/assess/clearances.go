package assess

import (
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/clearance"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// round turns readings of a bore or journal into the library's.
func (e *evaluator) round(path string, r *sheet.Round) (clearance.Round, Style, error) {
	in, err := e.instrument(path+".instrument", r.Instrument)
	if err != nil {
		return clearance.Round{}, Style{}, err
	}
	out := clearance.Round{ZeroU: value(in.ZeroUncertainty)}
	var st Style
	for _, s := range r.Stations {
		o := clearance.Station{At: s.At.Length}
		for _, d := range s.Diameters {
			st = styleOf(d.Reading)
			o.Diameters = append(o.Diameters, clearance.Diameter{Around: d.Around, Reading: measured(in, d.Reading)})
		}
		out.Stations = append(out.Stations, o)
	}
	return out, st, nil
}

func (e *evaluator) bearings() error {
	e.oils = map[string]oilOf{}
	names := make([]string, 0, len(e.sheet.Bearings))
	for i := range e.sheet.Bearings {
		b, path := &e.sheet.Bearings[i], index("bearings", i)
		names = append(names, b.Name)
		if err := unique("bearings", i, b.Name, names); err != nil {
			return err
		}
		switch {
		case b.Bore == nil && b.Journal == nil && b.Strip == nil:
			return fail(path+".bore", "", units.ErrMissing, "want bore and journal readings, a plastic gauge strip, or both")
		case b.Bore == nil && b.Journal != nil:
			return fail(path+".bore", "", units.ErrMissing, "want bore readings beside those of the journal")
		case b.Bore != nil && b.Journal == nil:
			return fail(path+".journal", "", units.ErrMissing, "want journal readings beside those of the bore")
		}
		lim, text, err := limits(path+".clearance", b.Clearance)
		if err != nil {
			return err
		}
		var oil *clearance.OilClearance
		if b.Bore != nil {
			if oil, err = e.oil(path, b, lim, text); err != nil {
				return err
			}
		}
		if b.Strip != nil {
			if err := e.strip(path+".strip", b, lim, text, oil); err != nil {
				return err
			}
		}
	}
	return nil
}

// oil judges the clearance and the form of a measured bearing.
func (e *evaluator) oil(path string, b *sheet.Bearing, lim units.Limits[units.Length], text string) (*clearance.OilClearance, error) {
	bore, st, err := e.round(path+".bore", b.Bore)
	if err != nil {
		return nil, err
	}
	journal, _, err := e.round(path+".journal", b.Journal)
	if err != nil {
		return nil, err
	}
	c, err := clearance.Bearing{Bore: bore, Journal: journal, SplitBore: b.SplitBore, SetFromMicrometer: b.SetFromMicrometer}.OilClearance()
	if err != nil {
		return nil, bearingPlaces.put(path, err, e.instrumentPath(e.inst[b.Bore.Instrument]), e.instrumentPath(e.inst[b.Journal.Instrument]))
	}
	v, err := c.Judge(lim, e.res.Rule)
	if err != nil {
		return nil, at(path+".clearance", err)
	}
	rule, err := clearance.OilClearanceByDiameter.Limits(c.Journal.Mean.Value)
	if err != nil {
		return nil, at(path+".journal", err)
	}
	e.add(groupBearing, b.Name+", smallest oil clearance", st, v.Smallest, text).Beside = "mean " + st.Text(c.Mean.Value) +
		"; by diameter " + st.Limits(rule) + " (" + rule.Source.Provenance.String() + ")"
	e.add(groupBearing, b.Name+", largest oil clearance", st, v.Largest, text)
	e.worked(b.Name+", oil clearance", c)
	e.oils[b.Name] = oilOf{c, lim, st}
	for _, f := range [...]struct {
		name, path, need string
		m                units.Optional[units.Measured[units.Length]]
		l                *sheet.Limits
	}{
		{"journal out-of-round", ".out_of_round", "needs readings in two directions at a station", c.Journal.OutOfRound, b.OutOfRound},
		{"journal taper", ".taper", "needs readings at two stations", c.Journal.Taper, b.Taper},
	} {
		if f.l == nil {
			continue
		}
		l, text, err := limits(path+f.path, *f.l)
		if err != nil {
			return nil, err
		}
		if !f.m.Given {
			e.put(Check{Group: groupBearing, Name: b.Name + ", " + f.name, Measured: unknown, Limits: text, Source: l.Source, Reason: f.need})
			continue
		}
		m := f.m.Value
		m.Value = m.Value.Abs()
		if _, err := e.judge(path+f.path, groupBearing, b.Name+", "+f.name, st, m, l, text); err != nil {
			return nil, err
		}
	}
	return &c, nil
}

// strip judges a plastic gauge strip and holds it against the micrometers.
func (e *evaluator) strip(path string, b *sheet.Bearing, lim units.Limits[units.Length], text string, oil *clearance.OilClearance) error {
	in, err := e.instrument(path+".instrument", b.Strip.Instrument)
	if err != nil {
		return err
	}
	r, err := clearance.Strip{
		AtWidest: withZero(in, b.Strip.AtWidest), AtNarrowest: withZero(in, b.Strip.AtNarrowest),
		Range: clearance.Size{Min: b.Strip.RangeMin.Length, Max: b.Strip.RangeMax.Length},
	}.Clearance()
	if err != nil {
		return stripPlaces.put(path, err, e.instrumentPath(in))
	}
	st := styleOf(b.Strip.AtWidest)
	e.worked(b.Name+", plastic gauge", r)
	where := strings.TrimSuffix(path, ".strip") + ".clearance"
	if _, err := e.judge(where, groupBearing, b.Name+", plastic gauge at its widest", st, r.Smallest, lim, text); err != nil {
		return err
	}
	if _, err := e.judge(where, groupBearing, b.Name+", plastic gauge at its narrowest", st, r.Largest, lim, text); err != nil {
		return err
	}
	if oil == nil {
		return nil
	}
	cmp, err := r.Compare(oil.Smallest.Clearance)
	if err != nil {
		return at(path, err)
	}
	e.agree(groupBearing, b.Name+", plastic gauge less micrometer", st, cmp, "strip and micrometers disagree and neither is assumed right: read both again")
	return nil
}

// agree records whether two ways to measure one clearance tell the same.
func (e *evaluator) agree(group, name string, st Style, cmp clearance.Comparison, disagree string) {
	c := Check{
		Group: group, Name: name, Measured: st.Text(cmp.Difference.Value),
		Source: units.Source{Text: "JCGM 100:2008, 5.1.2 and 6.2.1 (k = 2)", Provenance: units.Verified},
		Reason: "no uncertainty was stated", Limits: "within 2 u",
	}
	if cmp.Known {
		c.U = st.Fine(cmp.Difference.U)
		c.Limits = "-" + st.Fine(2*cmp.Difference.U) + " to " + st.Fine(2*cmp.Difference.U)
		c.Margin = st.Fine(2*cmp.Difference.U - cmp.Difference.Value.Abs())
		c.Reason = disagree
		if cmp.Agree {
			c.Outcome, c.Reason = units.ProvedWithin, ""
		}
	}
	e.put(c)
}

func (e *evaluator) rings() error {
	for i := range e.sheet.Rings {
		r, path := &e.sheet.Rings[i], index("rings", i)
		if r.Cylinder < 1 || r.Cylinder > e.sheet.Engine.Cylinders {
			return fail(path+".cylinder", strconv.Itoa(r.Cylinder), units.ErrRange, "want a cylinder from 1 to "+strconv.Itoa(e.sheet.Engine.Cylinders))
		}
		if slices.ContainsFunc(e.sheet.Rings[:i], func(p sheet.Ring) bool { return p.Cylinder == r.Cylinder && p.Name == r.Name }) {
			return fail(path+".name", r.Name, units.ErrConflict, "another ring of cylinder "+strconv.Itoa(r.Cylinder)+" has this name")
		}
		if err := e.ring(path, r.Name+", cylinder "+strconv.Itoa(r.Cylinder), r); err != nil {
			return err
		}
	}
	return nil
}

// ring judges one end gap.
func (e *evaluator) ring(path, name string, r *sheet.Ring) error {
	in, err := e.instrument(path+".instrument", r.Instrument)
	if err != nil {
		return err
	}
	st := styleOf(r.Gap)
	ring := clearance.Ring{Bore: r.Bore.Length, Duty: clearance.NaturallyAspirated}
	if r.Duty == "boosted" {
		ring.Duty = clearance.Boosted
	}
	text := ""
	if r.Limits != nil {
		l, t, err := limits(path+".limits", *r.Limits)
		if err != nil {
			return err
		}
		ring.Maker, text = units.Some(l), t
	}
	aim, err := ring.EndGap()
	if err != nil {
		return ringPlaces.put(path, err)
	}
	gap, err := e.gap(path, name, r, in)
	if err != nil {
		return err
	}
	if gap.Value < 0 {
		return fail(path+".gap", r.Gap.String(), units.ErrRange, "want a gap that is not negative")
	}
	v, err := units.Judge(gap, aim.Limits, e.res.Rule)
	if err != nil {
		return at(path+".gap", err)
	}
	c := e.add(groupRing, name+", end gap", st, v, text)
	if r.ReadIn != nil {
		c.Beside = "read as " + r.Gap.String() + " in " + r.ReadIn.String() + ", moved to " + r.Bore.String() + " by pi times the difference"
	}
	e.worked(name+", end gap", aim)
	if !aim.ByRule {
		rule, err := clearance.Ring{Bore: ring.Bore, Duty: ring.Duty}.EndGap()
		if err != nil {
			return ringPlaces.put(path, err)
		}
		if c.Beside != "" {
			c.Beside += "; "
		}
		c.Beside += "rule of thumb for a top ring " + st.Limits(rule.Limits) + " (" + rule.Limits.Source.Provenance.String() + ")"
	}
	if aim.Limits.HasMin && gap.Value < aim.Limits.Min {
		f, err := clearance.Filing{Gap: gap, Target: aim.Limits.Min}.Remove()
		if err != nil {
			return at(path+".gap", err)
		}
		c.Reason = "take at least " + st.Text(f.Remove.Value) + " off the two ends together, a little at a time, and read again"
	}
	if aim.ByRule {
		byRule(c)
	}
	return nil
}

// byRule turns a verdict by a rule of thumb into what it is worth: inside the
// rule nothing is proved.
func byRule(c *Check) {
	c.ByRule = true
	switch c.Outcome {
	case units.ProvedWithin:
		c.Outcome, c.Reason = units.NotProved, "within the rule of thumb, common practice: not proved against the maker's figure"
	case units.ProvedOutside:
		c.Reason = join("outside the rule of thumb, common practice: get the maker's figure", c.Reason)
	default:
		c.Reason = join("not proved even by the rule of thumb, common practice: get the maker's figure", c.Reason)
	}
}

// join puts two remarks together.
func join(a, b string) string {
	if b == "" {
		return a
	}
	return a + "; " + b
}

// gap is the end gap where the ring will run.
func (e *evaluator) gap(path, name string, r *sheet.Ring, in *sheet.Instrument) (units.Measured[units.Length], error) {
	gap := withZero(in, r.Gap)
	if r.ReadIn == nil {
		if r.BoreInstrument != "" {
			return gap, fail(path+".bore_instrument", r.BoreInstrument, units.ErrConflict, "only read_in needs it: leave it out")
		}
		return gap, nil
	}
	bi, err := e.instrument(path+".bore_instrument", r.BoreInstrument)
	if err != nil {
		return gap, err
	}
	// The zero of the bore gauge cancels between the two diameters.
	m, err := clearance.GapMove{Gap: gap, From: measured(bi, *r.ReadIn), To: measured(bi, r.Bore)}.Moved()
	if err != nil {
		return gap, ringPlaces.put(path, err, e.instrumentPath(in), e.instrumentPath(bi))
	}
	e.worked(name+", gap moved to the bore where it runs", m)
	return m.Gap, nil
}

func (e *evaluator) plays() error {
	var names []string
	for i := range e.sheet.EndPlay {
		p, path := &e.sheet.EndPlay[i], index("end_play", i)
		names = append(names, p.Name)
		if err := unique("end_play", i, p.Name, names); err != nil {
			return err
		}
		in, err := e.instrument(path+".instrument", p.Instrument)
		if err != nil {
			return err
		}
		var r clearance.EndPlayReadings
		for _, x := range p.Forward {
			r.Forward = append(r.Forward, measured(in, x))
		}
		for _, x := range p.Rearward {
			r.Rearward = append(r.Rearward, measured(in, x))
		}
		play, err := r.EndPlay()
		if err != nil {
			return playPlaces.put(path, err, e.instrumentPath(in))
		}
		l, text, err := limits(path+".limits", p.Limits)
		if err != nil {
			return err
		}
		if _, err := e.judge(path+".limits", groupPlay, p.Name+", end play", styleOf(p.Forward[0]), play.Play, l, text); err != nil {
			return err
		}
		e.worked(p.Name+", end play", play)
	}
	names = names[:0]
	for i := range e.sheet.SideClearance {
		p, path := &e.sheet.SideClearance[i], index("side_clearance", i)
		names = append(names, p.Name)
		if err := unique("side_clearance", i, p.Name, names); err != nil {
			return err
		}
		in, err := e.instrument(path+".instrument", p.Instrument)
		if err != nil {
			return err
		}
		r := clearance.RodsOnPin{PinWidth: measured(in, p.PinWidth)}
		for _, w := range p.RodWidths {
			r.RodWidths = append(r.RodWidths, measured(in, w))
		}
		side, err := r.SideClearance()
		if err != nil {
			return playPlaces.put(path, err, e.instrumentPath(in))
		}
		l, text, err := limits(path+".limits", p.Limits)
		if err != nil {
			return err
		}
		if _, err := e.judge(path+".limits", groupPlay, p.Name+", side clearance", styleOf(p.PinWidth), side.Total, l, text); err != nil {
			return err
		}
		e.worked(p.Name+", side clearance", side)
	}
	return nil
}

func (e *evaluator) fits() error {
	var names []string
	for i := range e.sheet.Fits {
		f, path := &e.sheet.Fits[i], index("fits", i)
		names = append(names, f.Name)
		if err := unique("fits", i, f.Name, names); err != nil {
			return err
		}
		r, err := clearance.Fit{
			Bore:  clearance.Size{Min: f.Bore.Min.Length, Max: f.Bore.Max.Length},
			Shaft: clearance.Size{Min: f.Shaft.Min.Length, Max: f.Shaft.Max.Length},
		}.Clearance()
		if err != nil {
			return fitPlaces.put(path, err)
		}
		l, text, err := limits(path+".limits", f.Limits)
		if err != nil {
			return err
		}
		// Limits of size are exact, so their clearance has no uncertainty.
		for _, x := range [...]struct {
			name string
			v    units.Length
		}{{", smallest clearance", r.Min}, {", largest clearance", r.Max}} {
			c, err := e.judge(path+".limits", groupFit, f.Name+x.name, styleOf(f.Bore.Min), units.WithU(x.v, 0), l, text)
			if err != nil {
				return err
			}
			c.Beside = r.Class.String() + " fit"
		}
		e.worked(f.Name+", fit", r)
	}
	return nil
}

func (e *evaluator) turning() error {
	t := e.sheet.Turning
	if t == nil {
		return nil
	}
	if len(t.Steps) == 0 {
		return fail("turning.steps", "", units.ErrMissing, "want the torque after each part")
	}
	for i, s := range t.Steps {
		if s.Torque.Value < 0 {
			return fail(index("turning.steps", i)+".torque", s.Torque.Text, units.ErrRange, "want a torque that is not negative")
		}
		line := TurningLine{With: s.With, Torque: s.Torque.Text}
		if i > 0 {
			line.Added = torqueText(s.Torque.Value-t.Steps[i-1].Torque.Value, s.Torque)
		}
		e.res.Turning = append(e.res.Turning, line)
	}
	if t.Max == nil {
		return nil
	}
	last := t.Steps[len(t.Steps)-1]
	m := units.Unstated(last.Torque.Value)
	if t.Uncertainty != nil {
		m = units.WithU(last.Torque.Value, t.Uncertainty.Value)
	}
	v, err := units.Judge(m, units.AtMost(t.Max.Torque.Value, units.Source{Text: t.Max.Source, Provenance: units.Stated}), e.res.Rule)
	if err != nil {
		return turningPlaces.put("turning", err)
	}
	c := Check{
		Group: groupTurning, Name: "after " + last.With + " (" + strconv.Itoa(len(t.Steps)) + " readings)", Measured: last.Torque.Text,
		Limits: "at most " + t.Max.Torque.Text, Margin: torqueText(v.Margin, last.Torque), Outcome: v.Outcome, Source: v.Limits.Source, Reason: v.Reason,
	}
	if t.Uncertainty != nil {
		c.U = t.Uncertainty.Text
	}
	if v.HasConformance {
		c.Conformance = units.Some(v.Conformance)
	}
	e.put(c)
	return nil
}
