package assess

import (
	"math"
	"slices"
	"strconv"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/clearance"
	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// noDeck stands where a check needs the deck height of a piston not read.
const noDeck = "needs the deck height of this piston: read it and record it under deck"

// ringGrooves judges rings in their grooves.
func (e *evaluator) ringGrooves() error {
	for i := range e.sheet.RingGrooves {
		r, path := &e.sheet.RingGrooves[i], index("ring_grooves", i)
		if err := e.cylinderOf(path, r.Cylinder); err != nil {
			return err
		}
		if slices.ContainsFunc(e.sheet.RingGrooves[:i], func(p sheet.RingGroove) bool { return p.Cylinder == r.Cylinder && p.Name == r.Name }) {
			return fail(path+".name", r.Name, units.ErrConflict, "another ring of cylinder "+strconv.Itoa(r.Cylinder)+" has this name")
		}
		in, err := e.instrument(path+".instrument", r.Instrument)
		if err != nil {
			return err
		}
		name := r.Name + ", cylinder " + strconv.Itoa(r.Cylinder)
		// The zero of one instrument cancels between groove and ring.
		g := clearance.RingGroove{GrooveWidth: measured(in, r.GrooveWidth), RingWidth: measured(in, r.RingWidth)}
		side, err := g.SideClearance()
		if err != nil {
			return groovePlaces.put(path, err, e.instrumentPath(in))
		}
		l, text, err := limits(path+".side", r.Side)
		if err != nil {
			return err
		}
		if _, err := e.judge(path+".side", groupGroove, name+", side clearance", styleOf(r.GrooveWidth), side.Side, l, text); err != nil {
			return err
		}
		e.worked(name+", side clearance", side)
		if r.Back == nil {
			continue
		}
		g.Bore, g.Root, g.Thickness = measured(in, r.Back.Bore), measured(in, r.Back.Floor), withZero(in, r.Back.Thickness)
		back, err := g.BackClearance()
		if err != nil {
			return groovePlaces.put(path, err, e.instrumentPath(in))
		}
		if l, text, err = limits(path+".back.limits", r.Back.Limits); err != nil {
			return err
		}
		if _, err := e.judge(path+".back.limits", groupGroove, name+", back clearance", styleOf(r.Back.Thickness), back.Back, l, text); err != nil {
			return err
		}
		e.worked(name+", back clearance", back)
	}
	return nil
}

// deck works out how deep the pistons stand, and keeps it for what needs it.
func (e *evaluator) deck() error {
	e.decks = map[int]units.Measured[units.Length]{}
	s := e.sheet.Deck
	if s == nil {
		return nil
	}
	in, err := e.instrument("deck.instrument", s.Instrument)
	if err != nil {
		return err
	}
	if err := eachCylinder(e, "deck.readings", s.Readings, func(r *sheet.DeckReading) int { return r.Cylinder }); err != nil {
		return err
	}
	l, text, err := limits("deck.limits", s.Limits)
	if err != nil {
		return err
	}
	for i := range s.Readings {
		r, path := &s.Readings[i], index("deck.readings", i)
		d, err := clearance.CrownReadings{
			Thrust: readings(in, r.Thrust, measured), Opposite: readings(in, r.Opposite, measured),
			ThrustOffset: s.ThrustOffset.Length, OppositeOffset: s.OppositeOffset.Length,
		}.Deck()
		if err != nil {
			return deckPlaces.put(path, err, e.instrumentPath(in))
		}
		// The dial's zero on the deck is common to all readings.
		if z := in.ZeroUncertainty; z != nil && d.Height.Stated {
			d.Height.U = rootSum(d.Height.U, z.Length)
		}
		name, st := "cylinder "+strconv.Itoa(r.Cylinder)+", deck height", styleOf(r.Thrust[0])
		c, err := e.judge("deck.limits", groupDeck, name, st, d.Height, l, text)
		if err != nil {
			return err
		}
		c.Beside = "over the pin, rock of " + st.Text(d.Rock.Value.Abs()) + " taken out"
		if c.Outcome == units.ProvedOutside {
			c.Reason = "compare rod, pin height of the piston and stroke with the other cylinders before the deck is cut"
		}
		e.decks[r.Cylinder] = d.Height
		e.worked(name, d)
	}
	return nil
}

// stroke is the stroke of the crank, which what stands at path needs.
func (e *evaluator) stroke(path string) (units.Length, error) {
	s := e.sheet.Engine.Stroke
	if s == nil {
		return 0, fail("engine.stroke", "", units.ErrMissing, path+" needs the stroke")
	}
	return s.Length, size("engine.stroke", *s)
}

// piston is the slider-crank of the engine, which what stands at path needs.
func (e *evaluator) piston(path string) (*camtiming.SliderCrank, error) {
	s := &e.sheet.Engine
	stroke, err := e.stroke(path)
	if err != nil {
		return nil, err
	}
	if s.Rod == nil {
		return nil, fail("engine.rod", "", units.ErrMissing, path+" needs the length of the rods")
	}
	if err := size("engine.rod", *s.Rod); err != nil {
		return nil, err
	}
	p, err := camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: stroke / 2, Rod: s.Rod.Length, Offset: value(s.PinOffset)})
	if err != nil {
		return nil, crankPlaces.put("engine", err)
	}
	return p, nil
}

// gasket is the head gasket, which what stands at path needs.
func (e *evaluator) gasket(path string) (*sheet.HeadGasket, *sheet.Instrument, error) {
	g := e.sheet.HeadGasket
	if g == nil {
		return nil, nil, fail("head_gasket", "", units.ErrMissing, path+" needs the head gasket")
	}
	in, err := e.instrument("head_gasket.instrument", g.Instrument)
	if err != nil {
		return nil, nil, err
	}
	if err := size("head_gasket.thickness", g.Thickness); err != nil {
		return nil, nil, err
	}
	if len(g.AtHand) > 20 {
		return nil, nil, fail("head_gasket.at_hand", "", units.ErrRange, "want at most 20 gaskets")
	}
	for i, t := range g.AtHand {
		if err := size(index("head_gasket.at_hand", i), t); err != nil {
			return nil, nil, err
		}
	}
	return g, in, size("head_gasket.bore", g.Bore)
}

// compression judges ratio and distance from piston to head.
func (e *evaluator) compression() error {
	s := e.sheet.Compression
	if s == nil {
		return nil
	}
	in, err := e.instrument("compression.instrument", s.Instrument)
	if err != nil {
		return err
	}
	stroke, err := e.stroke("compression")
	if err != nil {
		return err
	}
	if e.sheet.Engine.PinOffset != nil { // which makes the stroke of the piston longer
		p, err := e.piston("compression, with a pin offset,")
		if err != nil {
			return err
		}
		stroke = p.DeadCenters().Stroke
	}
	g, gauge, err := e.gasket("compression")
	if err != nil {
		return err
	}
	if u := s.VolumeUncertainty; u != nil && u.Value < 0 {
		return fail("compression.volume_uncertainty", u.Text, units.ErrRange, "want a standard uncertainty that is not negative")
	}
	if x := s.Growth; x != nil && (x.Length < 0 || x.Length > coarsest) {
		return fail("compression.growth", x.String(), units.ErrRange, "want a growth of 0 to 100 mm")
	}
	if err := eachCylinder(e, "compression.cylinders", s.Cylinders, func(c *sheet.Chamber) int { return c.Cylinder }); err != nil {
		return err
	}
	ratio, ratioText, err := ratioLimits(s.Ratio)
	if err != nil {
		return err
	}
	head, headText, err := limits("compression.piston_to_head", s.PistonToHead)
	if err != nil {
		return err
	}
	for i := range s.Cylinders {
		c, path := &s.Cylinders[i], index("compression.cylinders", i)
		name := "cylinder " + strconv.Itoa(c.Cylinder)
		deck, read := e.decks[c.Cylinder]
		in := clearance.Compression{
			Bore: withZero(in, c.Bore), Stroke: units.WithU(stroke, 0), Head: volume(c.Head, s.VolumeUncertainty),
			GasketBore: withZero(gauge, g.Bore), Gasket: withZero(gauge, g.Thickness), Deck: deck,
		}
		if c.Crown != nil {
			in.Crown = volume(*c.Crown, s.VolumeUncertainty)
		}
		squish := clearance.Squish{Deck: deck, Gasket: in.Gasket}
		if s.Growth != nil {
			squish.Growth = units.WithU(s.Growth.Length, 0) // the sheet's own allowance
		}
		v, err := in.Volumes()
		if err != nil {
			return compressionPlaces.put(path, err, e.instrumentPath(e.inst[s.Instrument]), e.instrumentPath(gauge))
		}
		if !read {
			e.put(Check{Group: groupCompression, Name: name + ", compression ratio", Measured: unknown, Limits: ratioText, Source: ratio.Source, Reason: noDeck})
			e.put(Check{Group: groupCompression, Name: name + ", piston to head", Measured: unknown, Limits: headText, Source: head.Source, Reason: noDeck})
			continue
		}
		verdict, err := units.Judge(v.Ratio, ratio, e.res.Rule)
		if err != nil {
			return at("compression.ratio", err)
		}
		x := record(e, groupCompression, name+", compression ratio", ratioText, verdict, twoDecimals, threeDecimals)
		x.Beside = "swept " + cc(v.Swept) + ", left at the top " + cc(v.Clearance.Value)
		if x.Outcome == units.ProvedOutside {
			x.Reason = e.gasketFor(in, squish, ratio, head, gauge)
		}
		e.worked(name+", compression", v)
		near, err := squish.Clearance()
		if err != nil {
			return at(path, err)
		}
		st := styleOf(g.Thickness)
		k, err := e.judge("compression.piston_to_head", groupCompression, name+", piston to head", st, near.Running, head, headText)
		if err != nil {
			return err
		}
		k.Beside = st.Text(near.Static.Value) + " as assembled"
		if k.Outcome == units.ProvedOutside {
			k.Reason = e.gasketFor(in, squish, ratio, head, gauge)
		}
		e.worked(name+", piston to head", near)
	}
	return nil
}

// gasketFor says which of the gaskets at hand brings ratio and distance inside
// their limits.
func (e *evaluator) gasketFor(c clearance.Compression, s clearance.Squish, ratio units.Limits[clearance.CompressionRatio], head units.Limits[units.Length], gauge *sheet.Instrument) string {
	g := e.sheet.HeadGasket
	if len(g.AtHand) == 0 {
		return "another gasket, or another deck: list the gaskets at hand under head_gasket.at_hand"
	}
	table, err := clearance.GasketChoice{
		Compression: c, Growth: s.Growth, Gaskets: readings(gauge, g.AtHand, withZero), Ratio: ratio, Squish: head, Rule: e.res.Rule,
	}.Table()
	if err == nil {
		for i, l := range table {
			if l.Outcome == units.ProvedWithin {
				return "the gasket of " + g.AtHand[i].String() + " at hand makes " + twoDecimals(l.Volumes.Ratio.Value) + " and leaves " + styleOf(g.AtHand[i]).Text(l.Squish.Running.Value) +
					" to the head, both within: judge the valves over it as well"
			}
		}
	}
	return "none of the " + strconv.Itoa(len(g.AtHand)) + " gaskets at hand brings ratio and distance inside their limits"
}

func volume(v sheet.Volume, u *sheet.Volume) units.Measured[units.Volume] {
	if u == nil {
		return units.Unstated(v.Value)
	}
	return units.WithU(v.Value, u.Value)
}

func cc(v units.Volume) string { return strconv.FormatFloat(v.CubicCentimeters(), 'f', 1, 64) + " cm3" }

func twoDecimals(r clearance.CompressionRatio) string {
	return strconv.FormatFloat(float64(r), 'f', 2, 64)
}

func threeDecimals(r clearance.CompressionRatio) string {
	return strconv.FormatFloat(float64(r), 'f', 3, 64)
}

// ratioLimits reads the limits of the compression ratio.
func ratioLimits(l sheet.RatioLimits) (units.Limits[clearance.CompressionRatio], string, error) {
	const path = "compression.ratio"
	src := units.Source{Text: l.Source, Provenance: units.Stated}
	plain := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	for _, b := range [...]struct {
		name string
		x    *float64
	}{{".min", l.Min}, {".max", l.Max}} {
		if b.x != nil && !(*b.x > 1 && *b.x <= 1000) {
			return units.Limits[clearance.CompressionRatio]{}, "", fail(path+b.name, plain(*b.x), units.ErrRange, "want a ratio over 1 and at most 1000")
		}
	}
	switch {
	case l.Min != nil && l.Max != nil:
		if *l.Min > *l.Max {
			return units.Limits[clearance.CompressionRatio]{}, "", fail(path, plain(*l.Min)+" to "+plain(*l.Max), units.ErrConflict, "the minimum is over the maximum: are they swapped?")
		}
		return units.Between(clearance.CompressionRatio(*l.Min), clearance.CompressionRatio(*l.Max), src), plain(*l.Min) + " to " + plain(*l.Max), nil
	case l.Min != nil:
		return units.AtLeast(clearance.CompressionRatio(*l.Min), src), "at least " + plain(*l.Min), nil
	case l.Max != nil:
		return units.AtMost(clearance.CompressionRatio(*l.Max), src), "at most " + plain(*l.Max), nil
	}
	return units.Limits[clearance.CompressionRatio]{}, "", fail(path, "", units.ErrMissing, "want min, max or both")
}

// SafeAdvance is the range of advance in which valve and piston keep their
// limits, for the pistons that stand highest.
type SafeAdvance struct {
	Range  clearance.SafeAdvance
	Inside bool // whether the target lies in it
	ByRule bool // whether a rule of thumb stands in for a limit
}

// Text says where the range, which is not empty, begins and ends.
func (s *SafeAdvance) Text() string {
	switch lo, hi := Signed(s.Range.Lowest.Value), Signed(s.Range.Highest.Value); {
	case s.Range.Lowest.Given && s.Range.Highest.Given:
		return "from " + lo + " to " + hi + " of advance"
	case s.Range.Lowest.Given:
		return "from " + lo + " of advance on"
	default:
		return "up to " + hi + " of advance"
	}
}

// overPiston is what is worked out for the valves of one kind.
type overPiston struct {
	word   sheet.ValveWord
	own    *sheet.ValveOverPiston
	in     *sheet.Instrument
	spec   clearance.PistonValveSpec
	stack  clearance.ValveStack
	limits units.Limits[units.Length]
	text   string
	// made holds the valves by their gap at top dead center: pistons that stand
	// alike share one.
	made  map[units.Measured[units.Length]]*clearance.PistonValve
	tight *clearance.PistonValve // over the piston that stands highest
	// least are the gaps where an open valve approaches its piston.
	least map[int]units.Measured[units.Length]
}

// over returns the valve with a gap at top dead center.
func (k *overPiston) over(top units.Measured[units.Length]) (*clearance.PistonValve, error) {
	p := k.made[top]
	if p == nil {
		var err error
		if k.tight == nil {
			spec := k.spec
			spec.AtTDC = top
			p, err = clearance.NewPistonValve(spec)
		} else {
			p, err = k.tight.Over(top)
		}
		if err != nil {
			return nil, err
		}
		k.made[top] = p
	}
	if k.tight == nil || top.Value < k.tight.Spec().AtTDC.Value {
		k.tight = p
	}
	return p, nil
}

// valveToPiston judges how near the valves come to the pistons, with the cam as
// it is installed.
func (e *evaluator) valveToPiston() error {
	s := e.sheet.ValveToPiston
	if s == nil {
		return nil
	}
	const path = "valve_to_piston"
	if s.Intake == nil && s.Exhaust == nil {
		return fail(path+".intake", "", units.ErrMissing, "want the intake valves, the exhaust valves or both")
	}
	piston, err := e.piston(path)
	if err != nil {
		return err
	}
	g, gauge, err := e.gasket(path)
	if err != nil {
		return err
	}
	kinds := map[sheet.ValveWord]*overPiston{}
	for _, w := range sheet.ValveWord("").Words() {
		word := sheet.ValveWord(w)
		own := either(word, s.Intake, s.Exhaust)
		if own == nil {
			continue
		}
		k, err := e.overPiston(path+"."+w, word, own, piston)
		if err != nil {
			return err
		}
		k.stack.Gasket = withZero(gauge, g.Thickness)
		kinds[word] = k
		for n := 1; n <= e.sheet.Engine.Cylinders; n++ {
			if err := e.leastGap(path+"."+w, k, n); err != nil {
				return err
			}
		}
	}
	if err := e.safeAdvance(kinds); err != nil {
		return err
	}
	for i := range s.Measured {
		if err := e.measuredGap(index(path+".measured", i), i, kinds); err != nil {
			return err
		}
	}
	return nil
}

// overPiston reads what the valves of one kind meet.
func (e *evaluator) overPiston(path string, w sheet.ValveWord, own *sheet.ValveOverPiston, piston *camtiming.SliderCrank) (*overPiston, error) {
	in, err := e.instrument(path+".instrument", own.Instrument)
	if err != nil {
		return nil, err
	}
	ratio, lash, ok := e.gear(w)
	if !ok {
		return nil, fail("cam."+string(w)+".rocker_ratio", "", units.ErrMissing, "valve_to_piston needs the rocker ratio")
	}
	k := &overPiston{word: w, own: own, in: in, least: map[int]units.Measured[units.Length]{}, made: map[units.Measured[units.Length]]*clearance.PistonValve{}}
	k.spec = clearance.PistonValveSpec{
		Valve: either(w, camtiming.IntakeValve, camtiming.ExhaustValve), Lobe: either(w, e.res.Cam.Spec().Intake, e.res.Cam.Spec().Exhaust),
		Gear: units.Some(camtiming.ValveGear{Ratio: ratio, Lash: lash}), Piston: piston, Lean: own.Lean.Value,
		Face: clearance.PocketFloor + clearance.PistonFace(slices.Index(own.Face.Words(), string(own.Face))),
	}
	k.stack = clearance.ValveStack{Face: k.spec.Face, Lean: k.spec.Lean, Recess: withZero(in, own.Recess), Pocket: withZero(in, own.Pocket)}
	if k.limits, err = clearance.PistonValveLimits(k.spec.Valve); err != nil {
		return nil, at(path, err)
	}
	if own.Limits != nil {
		if k.limits, k.text, err = limits(path+".limits", *own.Limits); err != nil {
			return nil, err
		}
	}
	if !k.limits.HasMin {
		return nil, fail(path+".limits.min", "", units.ErrMissing, "want the least gap")
	}
	if _, err := k.stack.AtTDC(); err != nil { // without deck and gasket
		return nil, k.places().put(path, err, e.instrumentPath(in))
	}
	return k, nil
}

// installed is the advance of one cylinder: its own reading, else that of the
// whole cam.
func (e *evaluator) installed(cylinder int) (units.Measured[units.CrankAngle], bool) {
	if c := e.known(cylinder); c != nil && c.Known {
		return c.Split.Advance, true
	}
	return e.res.Advance, e.res.Known
}

// leastGap judges the least gap of one valve.
func (e *evaluator) leastGap(path string, k *overPiston, cylinder int) error {
	v := valve{cylinder, k.word}
	name, st := v.String()+", least gap to the piston", styleOf(k.own.Recess).orFiner(styleOf(k.own.Pocket))
	nothing := Check{Group: groupPiston, Name: name, Measured: unknown, Limits: k.text, Source: k.limits.Source}
	if nothing.Limits == "" {
		nothing.Limits = st.Limits(k.limits)
	}
	deck, read := e.decks[cylinder]
	advance, known := e.installed(cylinder)
	switch {
	case !read:
		nothing.Reason = noDeck
	case !known:
		nothing.Reason = "needs the installed advance, which no reading tells"
	}
	if nothing.Reason != "" {
		e.put(nothing)
		return nil
	}
	k.stack.Deck = deck
	top, err := k.stack.AtTDC()
	if err != nil {
		return k.places().put(path, err, e.instrumentPath(k.in))
	}
	p, err := k.over(top.Clearance)
	if err != nil {
		return k.places().put(path, err, e.instrumentPath(k.in))
	}
	m, gap, err := e.gapAt(k, p, advance)
	if err != nil {
		return at(path, err)
	}
	verdict, err := units.Judge(gap, k.limits, e.res.Rule)
	if err != nil {
		return at(path+".limits", err)
	}
	c := record(e, groupPiston, name, nothing.Limits, verdict, st.Round, st.Fine)
	c.Beside = "computed for " + Signed(advance.Value) + " of advance, least " + turnsFrom(m.FromTDC) + " overlap TDC, valve open " + st.Round(m.Valve) + ", piston down " + st.Round(m.Travel)
	if m.Place == clearance.Inside {
		k.least[cylinder] = gap
	} else {
		c.Beside = "computed for " + Signed(advance.Value) + " of advance, least at TDC with the valve closed: the open valve does not approach the piston"
	}
	if c.Outcome == units.ProvedOutside {
		c.Reason = e.pistonRemedy(k, p, gap.Value, st)
	}
	if k.own.Limits == nil {
		byRule(c)
	}
	e.worked(v.String()+", closed valve over the piston", top)
	e.worked(name, m)
	return nil
}

// turnsFrom says on which side of a dead center an angle lies.
func turnsFrom(a units.CrankAngle) string {
	if a < 0 {
		return Degrees(-a) + " before"
	}
	return Degrees(a) + " after"
}

// gapAt is the least gap at an advance with what is uncertain in it: the
// figures that it was computed from, and how far the card leaves the lobe open.
func (e *evaluator) gapAt(k *overPiston, p *clearance.PistonValve, advance units.Measured[units.CrankAngle]) (clearance.PistonValveMinimum, units.Measured[units.Length], error) {
	center := e.centerline(k.word, advance.Value)
	m, err := p.Minimum(center)
	if err != nil || m.Place != clearance.Inside {
		// The open valve does not come nearer than the closed one at the top.
		return m, p.Spec().AtTDC, err
	}
	s, err := p.Sensitivity(center)
	if err != nil {
		return m, units.Unstated(m.Gap), err
	}
	gap, err := s.Gap(clearance.PistonValveU{Centerline: advance.U})
	if err != nil || !gap.Stated || !advance.Stated {
		return m, units.Unstated(m.Gap), err
	}
	if card, ok := p.Spec().Lobe.(*camtiming.CardLobe); ok {
		nose := center
		if k.word == "exhaust" {
			nose = -center
		}
		spread := float64(card.Spread(units.CamAngle((m.FromTDC - nose).Wrap())))
		gap.U = rootSum(gap.U, units.Length(spread*p.Spec().Gear.Value.Ratio*s.PerLash))
	}
	return m, gap, nil
}

// centerline is that of a lobe at an advance.
func (e *evaluator) centerline(w sheet.ValveWord, advance units.CrankAngle) units.CrankAngle {
	half := e.res.Card.Separation.Crank() / 2
	return either(w, half-advance, half+advance)
}

// pistonRemedy says what gives a valve its gap.
func (e *evaluator) pistonRemedy(k *overPiston, p *clearance.PistonValve, gap units.Length, st Style) string {
	text := "do not run the engine; "
	if gap <= 0 {
		text = "do not turn the engine, the valve meets the piston; "
	}
	target := e.res.Target.Advance
	more := func(gap units.Length) string {
		need := float64(k.limits.Min - gap)
		if k.spec.Face == clearance.PocketFloor {
			need /= math.Cos(float64(k.spec.Lean))
		}
		return st.Round(units.Length(need)) + " more along the bore"
	}
	need := more(gap)
	if m, err := p.Minimum(e.centerline(k.word, target)); err == nil {
		if m.Gap >= k.limits.Min {
			return text + "with the cam at its target of " + Signed(target) + " the gap keeps its limit: correct the cam first, then measure by clay or over a checking spring"
		}
		if then := more(m.Gap); then != need {
			need += " as the cam stands, " + then + " with the cam at its target of " + Signed(target)
		}
	}
	return text + "the pocket, the deck or the gasket has to give at least " + need + "; measure by clay or over a checking spring before anything is cut"
}

// concludeTarget warns of a target at which the valves come too near, where the
// gaps as the cam stands do not say so already.
func (e *evaluator) concludeTarget() {
	s := e.res.Safe
	if s == nil || s.Inside || e.res.Known && (e.res.Advance.Value-e.res.Target.Advance).Abs() <= e.sheet.Overlap.Tolerance.Within {
		return
	}
	severity, limits := Fault, "the limits"
	if s.ByRule {
		severity, limits = Doubt, "the rules of thumb"
	}
	what := "no advance keeps " + limits + " of the least gap of both valves over the piston"
	if !s.Range.None {
		what = "at the target of " + Signed(e.res.Target.Advance) + " of advance the valves come too near the pistons: " + limits + " of the least gap hold " + s.Text()
	}
	e.find(severity, what, "computed over the pistons that stand highest, uncertainty left out",
		"before the cam is set to its target give the valves their room, or choose a target in that range; then turn by hand and stop at any resistance")
}

// safeAdvance finds the range of advance that keeps the limits of both valves.
func (e *evaluator) safeAdvance(kinds map[sheet.ValveWord]*overPiston) error {
	w := clearance.AdvanceWindow{Separation: e.res.Card.Separation}
	if k := kinds["intake"]; k != nil && k.tight != nil {
		w.Intake, w.IntakeWanted = k.tight, k.limits.Min
	}
	if k := kinds["exhaust"]; k != nil && k.tight != nil {
		w.Exhaust, w.ExhaustWanted = k.tight, k.limits.Min
	}
	if w.Intake == nil && w.Exhaust == nil {
		return nil
	}
	r, err := w.Safe()
	if err != nil {
		return nil //nolint:nilerr // no advance keeps the limits, as the checks say valve by valve
	}
	t := e.res.Target.Advance
	e.res.Safe = &SafeAdvance{Range: r, Inside: (!r.Lowest.Given || t >= r.Lowest.Value) && (!r.Highest.Given || t <= r.Highest.Value)}
	for _, k := range kinds {
		e.res.Safe.ByRule = e.res.Safe.ByRule || k.own.Limits == nil
	}
	e.worked("range of advance that keeps valve and piston apart", r)
	return nil
}

// measuredGap judges a gap measured by clay or over a checking spring, and
// holds it against the computed one.
func (e *evaluator) measuredGap(path string, i int, kinds map[sheet.ValveWord]*overPiston) error {
	list := e.sheet.ValveToPiston.Measured
	m := &list[i]
	v := valve{m.Cylinder, m.Valve}
	if err := e.cylinderOf(path, m.Cylinder); err != nil {
		return err
	}
	if slices.ContainsFunc(list[:i], func(p sheet.MeasuredGap) bool {
		return p.Cylinder == m.Cylinder && p.Valve == m.Valve && p.Method == m.Method
	}) {
		return fail(path+".method", m.Method, units.ErrConflict, "the valve is listed twice with this method")
	}
	k := kinds[m.Valve]
	if k == nil {
		return fail("valve_to_piston."+string(m.Valve), "", units.ErrMissing, "want what this valve meets: face, lean, recess and pocket")
	}
	in, err := e.instrument(path+".instrument", m.Instrument)
	if err != nil {
		return err
	}
	g, gauge, err := e.gasket(path)
	if err != nil {
		return err
	}
	check := clearance.ValveCheck{
		Reading: withZero(in, m.Reading), Face: k.spec.Face, Lean: k.spec.Lean,
		LashRunning: units.WithU(k.spec.Gear.Value.Lash, 0), GasketRunning: withZero(gauge, g.Thickness),
	}
	if m.LashAtCheck != nil {
		check.LashAtCheck = withZero(in, *m.LashAtCheck)
	}
	computed, approaches := k.least[m.Cylinder]
	said := "read as " + m.Reading.String() + ", set right for lash and gasket"
	if !approaches {
		// A lash changes nothing while the valve is closed.
		check.LashAtCheck, check.LashRunning = units.Measured[units.Length]{}, units.Measured[units.Length]{}
		said = "read as " + m.Reading.String() + ", set right for the gasket alone"
	}
	if m.GasketAtCheck != nil {
		check.GasketAtCheck = withZero(in, *m.GasketAtCheck)
		if m.GasketAtCheck.Length == g.Thickness.Length {
			// The same gasket: what is unknown of it cancels.
			check.GasketAtCheck, check.GasketRunning = units.Measured[units.Length]{}, units.Measured[units.Length]{}
		}
	}
	r, err := check.Corrected()
	if err != nil {
		return measuredPlaces.put(path, err, e.instrumentPath(in))
	}
	st, name := styleOf(m.Reading), v.String()+", gap to the piston by "+m.Method
	verdict, err := r.Judge(k.limits, e.res.Rule)
	if err != nil {
		return at("valve_to_piston."+string(m.Valve)+".limits", err)
	}
	c := e.add(groupPiston, name, st, verdict, k.text)
	c.Beside = said
	if c.Outcome == units.ProvedOutside {
		c.Reason = "do not run the engine; see the computed gap of this valve for what mends it"
	}
	if k.own.Limits == nil {
		byRule(c)
	}
	e.worked(name, r)
	if !approaches {
		return nil
	}
	cmp, err := r.Compare(computed)
	if err != nil {
		return at(path, err)
	}
	e.agree(groupPiston, v.String()+", measured gap less computed", st, cmp, "measured and computed gap disagree and neither is assumed right: look for a wrong lobe, ratio or advance, then measure again")
	return nil
}
