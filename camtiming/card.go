package camtiming

import (
	"math"
	"slices"
	"strings"

	"example.com/trialfit/units"
)

// Card is a cam card: whichever figures it prints. Nothing is required by
// itself; Resolve says what is missing and which figures contradict.
type Card struct {
	Name            string
	Intake, Exhaust LobeFigures
	// Separation is the lobe separation in cam degrees.
	Separation units.Optional[units.CamAngle]
	// Centerlines after (intake) and before (exhaust) overlap TDC.
	IntakeCenterline, ExhaustCenterline units.Optional[units.CrankAngle]
	// GroundAdvance is the advance built into the cam, positive earlier.
	GroundAdvance units.Optional[units.CrankAngle]
	// Events at one or more checking lifts, and overlap at a checking lift.
	Events  []EventsAt
	Overlap []OverlapAt
	// Rounding is the largest rounding error of a printed angle: half a unit
	// of its last digit. Zero means half a degree, for a card printed in
	// whole degrees.
	Rounding units.CrankAngle
}

// LobeFigures are the figures that a card prints for one lobe.
type LobeFigures struct {
	// LobeLift is the lift at the lifter.
	LobeLift units.Optional[units.Length]
	// RockerRatio is the ratio the card assumes and ValveLift the lift at the
	// valve: LobeLift * RockerRatio - Lash.
	RockerRatio units.Optional[float64]
	ValveLift   units.Optional[units.Length]
	// Lash is the clearance the card states, at the valve. Not given means
	// that the card's valve lift is gross.
	Lash units.Optional[units.Length]
	// Durations at checking lifts at the lifter.
	Durations []DurationAt
	// Asymmetry is passed to the fitted lobe: see CardLobeSpec.
	Asymmetry units.CamAngle
}

// EventsAt are the four events at a checking lift at the lifter.
type EventsAt struct {
	Lift   units.Length
	Events Events
}

// OverlapAt is an overlap at a checking lift at the lifter.
type OverlapAt struct {
	Lift    units.Length
	Overlap units.CrankAngle
}

// Resolved is a card with every figure worked out.
type Resolved struct {
	Name                                string
	Separation                          units.CamAngle
	IntakeCenterline, ExhaustCenterline units.CrankAngle
	GroundAdvance                       units.CrankAngle
	Intake, Exhaust                     CardLobeSpec
	IntakeLash, ExhaustLash             units.Length
	// Basis says what the centerlines are: printed as such, or the midpoint
	// of the events. The two agree only for symmetric lobes.
	Basis Basis
}

// Basis says what a centerline is the middle of.
type Basis uint8

// Bases of a centerline.
const (
	BasisCard   Basis = iota + 1 // as the card prints it
	BasisEvents                  // midpoint of the card's events at a checking lift

	BasisNose      // the nose itself
	BasisMidpoint  // measured midpoint between two equal lifts
	BasisMidpoints // mean of measured midpoints at several lifts that agree
)

// String names the basis.
func (b Basis) String() string {
	switch b {
	case BasisCard:
		return "as printed on the card"
	case BasisEvents:
		return "midpoint of the card's events"
	case BasisNose:
		return "nose"
	case BasisMidpoint:
		return "midpoint of equal lifts"
	case BasisMidpoints:
		return "mean of midpoints at several lifts"
	default:
		return "unknown basis"
	}
}

// relation is one printed figure as a linear combination of the unknowns
// ICL, ECL and the durations.
type relation struct {
	field string
	coef  []float64
	value float64 // crank degrees
	// How far the figure may be off by rounding, and which figures it has
	// been combined with, by index and factor.
	parts map[int]float64
}

// Resolve works out separation, centerlines, ground advance and durations
// from whatever the card prints:
//
//	IVO = Di/2 - ICL    IVC = Di/2 + ICL - 180    overlap = (Di + De)/2 - (ICL + ECL)
//	EVC = De/2 - ECL    EVO = De/2 + ECL - 180
//	separation = (ICL + ECL)/2 [cam deg as a number]    advance = (ECL - ICL)/2
//	valve lift = lobe lift * ratio - lash
//
// Figures that depend on each other must agree within their rounding, summed
// over the figures involved: half a unit of the last digit each, times its
// factor. If they do not, the error is ErrConflict and its Field lists
// exactly the figures that disagree. Lifts and lash are taken as printed to
// 0.001 in and the ratio to 0.01. Where figures that agree within their rounding
// give one unknown twice, the first in this order counts: separation, ground
// advance, centerlines, durations, events, overlap.
//
// What cannot be worked out is ErrMissing and says what to add. The lobe lift
// follows from valve lift, ratio and lash where it is not printed.
//
// Rows: card-overlap, card-ecl, card-lobe-lift, tm400-rocker.
func (c Card) Resolve() (Resolved, error) {
	rounding := 0.5
	if c.Rounding != 0 {
		if c.Rounding < 0 || c.Rounding > 10*units.CrankDegree {
			return Resolved{}, fail("Rounding", c.Rounding.String(), units.ErrRange, "want 0 to 10 crank degrees")
		}
		rounding = c.Rounding.Degrees()
	}
	if err := c.validate(); err != nil {
		return Resolved{}, err
	}
	// Unknowns: 0 = ICL, 1 = ECL, then a duration for every lift of each lobe.
	iLifts, eLifts := c.lifts(c.Intake), c.lifts(c.Exhaust)
	n := 2 + len(iLifts) + len(eLifts)
	di := func(l units.Length) int { return 2 + slices.Index(iLifts, l) }
	de := func(l units.Length) int { return 2 + len(iLifts) + slices.Index(eLifts, l) }
	var rel []relation
	put := func(field string, value float64, terms ...float64) {
		coef := make([]float64, n)
		for i := 0; i+1 < len(terms); i += 2 {
			coef[int(terms[i])] += terms[i+1]
		}
		rel = append(rel, relation{field: field, coef: coef, value: value, parts: map[int]float64{len(rel): 1}})
	}
	if c.Separation.Given {
		put("Separation", c.Separation.Value.Degrees(), 0, 0.5, 1, 0.5)
	}
	if c.GroundAdvance.Given {
		put("GroundAdvance", c.GroundAdvance.Value.Degrees(), 0, -0.5, 1, 0.5)
	}
	if c.IntakeCenterline.Given {
		put("IntakeCenterline", c.IntakeCenterline.Value.Degrees(), 0, 1)
	}
	if c.ExhaustCenterline.Given {
		put("ExhaustCenterline", c.ExhaustCenterline.Value.Degrees(), 1, 1)
	}
	centerlines := len(rel)
	for _, d := range c.Intake.Durations {
		put("Intake.Durations at "+liftName(d.Lift), d.Duration.Degrees(), float64(di(d.Lift)), 1)
	}
	for _, d := range c.Exhaust.Durations {
		put("Exhaust.Durations at "+liftName(d.Lift), d.Duration.Degrees(), float64(de(d.Lift)), 1)
	}
	for _, e := range c.Events {
		at := " at " + liftName(e.Lift)
		i, x := float64(di(e.Lift)), float64(de(e.Lift))
		put("Events.IVO"+at, e.Events.IVO.Degrees(), i, 0.5, 0, -1)
		put("Events.IVC"+at, e.Events.IVC.Degrees()+180, i, 0.5, 0, 1)
		put("Events.EVO"+at, e.Events.EVO.Degrees()+180, x, 0.5, 1, 1)
		put("Events.EVC"+at, e.Events.EVC.Degrees(), x, 0.5, 1, -1)
	}
	for _, o := range c.Overlap {
		put("Overlap at "+liftName(o.Lift), o.Overlap.Degrees(), float64(di(o.Lift)), 0.5, float64(de(o.Lift)), 0.5, 0, -1, 1, -1)
	}
	x, known, err := eliminate(rel, n, rounding)
	if err != nil {
		return Resolved{}, err
	}
	if !known[0] || !known[1] {
		return Resolved{}, fail("IntakeCenterline, ExhaustCenterline", "", units.ErrMissing,
			"the centerlines do not follow: want two of separation, ground advance, intake and exhaust centerline, or the events at a lift")
	}
	icl, ecl := crankAngle(x[0]), crankAngle(x[1])
	r := Resolved{Name: c.Name, IntakeCenterline: icl, ExhaustCenterline: ecl, Separation: (icl + ecl).Cam(), Basis: BasisEvents}
	r.GroundAdvance = r.Separation.Crank()/2 - icl
	if r.Separation <= 0 || r.Separation >= units.CamTurn/2 {
		return Resolved{}, fail("Separation", r.Separation.String(), units.ErrRange, "the figures make a lobe separation that is not over 0 and under 180 cam degrees")
	}
	if !within(r.GroundAdvance, r.Separation.Crank()/2-1) {
		return Resolved{}, fail("GroundAdvance", r.GroundAdvance.String(), units.ErrRange, "the figures make an advance that is not smaller than the separation")
	}
	if centerlines >= 2 {
		r.Basis = BasisCard
	}
	if r.Intake, r.IntakeLash, err = c.lobe("Intake", c.Intake, iLifts, x[2:], known[2:]); err != nil {
		return Resolved{}, err
	}
	if r.Exhaust, r.ExhaustLash, err = c.lobe("Exhaust", c.Exhaust, eLifts, x[2+len(iLifts):], known[2+len(iLifts):]); err != nil {
		return Resolved{}, err
	}
	return r, nil
}

func (c Card) validate() error {
	if c.Separation.Given && (c.Separation.Value <= 0 || c.Separation.Value >= units.CamTurn/2) {
		return fail("Separation", c.Separation.Value.String(), units.ErrRange, "want a lobe separation over 0 and under 180 cam degrees")
	}
	for _, a := range [...]struct {
		name string
		v    units.Optional[units.CrankAngle]
	}{{"IntakeCenterline", c.IntakeCenterline}, {"ExhaustCenterline", c.ExhaustCenterline}, {"GroundAdvance", c.GroundAdvance}} {
		if a.v.Given {
			if err := checkCenterline(a.name, a.v.Value); err != nil {
				return err
			}
		}
	}
	for _, l := range [...]struct {
		name string
		f    LobeFigures
	}{{"Intake", c.Intake}, {"Exhaust", c.Exhaust}} {
		for _, d := range l.f.Durations {
			if d.Lift <= 0 || d.Lift > units.Meter {
				return fail(l.name+".Durations.Lift", d.Lift.String(), units.ErrRange, "want a checking lift over 0")
			}
			if err := checkDuration(l.name+".Durations.Duration", d.Duration); err != nil {
				return err
			}
		}
		if l.f.RockerRatio.Given && !(l.f.RockerRatio.Value > 0 && l.f.RockerRatio.Value < 10) {
			return fail(l.name+".RockerRatio", "", units.ErrRange, "want a ratio over 0 and under 10")
		}
		for _, v := range [...]struct {
			name string
			v    units.Optional[units.Length]
		}{{".LobeLift", l.f.LobeLift}, {".ValveLift", l.f.ValveLift}} {
			if v.v.Given {
				if err := checkLift(l.name+v.name, v.v.Value); err != nil {
					return err
				}
			}
		}
		if l.f.Lash.Given && (l.f.Lash.Value < 0 || l.f.Lash.Value > 10*units.Millimeter) {
			return fail(l.name+".Lash", l.f.Lash.Value.String(), units.ErrRange, "want a lash of 0 to 10 mm")
		}
	}
	for _, e := range c.Events {
		if e.Lift <= 0 || e.Lift > units.Meter {
			return fail("Events.Lift", e.Lift.String(), units.ErrRange, "want a checking lift over 0")
		}
		if err := e.Events.validate(); err != nil {
			return inField("Events", err)
		}
	}
	for _, o := range c.Overlap {
		if o.Lift <= 0 || o.Lift > units.Meter {
			return fail("Overlap.Lift", o.Lift.String(), units.ErrRange, "want a checking lift over 0")
		}
		if !within(o.Overlap, units.CrankCycle-1) {
			return fail("Overlap", o.Overlap.String(), units.ErrRange, "want an overlap within one cycle")
		}
	}
	return nil
}

// lifts returns every lift at which a duration of the lobe is involved.
func (c Card) lifts(f LobeFigures) []units.Length {
	var l []units.Length
	add := func(v units.Length) {
		if !slices.Contains(l, v) {
			l = append(l, v)
		}
	}
	for _, d := range f.Durations {
		add(d.Lift)
	}
	for _, e := range c.Events {
		add(e.Lift)
	}
	for _, o := range c.Overlap {
		add(o.Lift)
	}
	return l
}

// eliminate solves the relations in their order and checks those that are
// already settled by earlier ones.
func eliminate(rel []relation, n int, rounding float64) (x []float64, known []bool, err error) {
	const tiny = 1e-9
	var basis []relation
	var pivots []int
	names := func(parts map[int]float64) (string, float64) {
		var idx []int
		tol := 0.0
		for i, f := range parts {
			if math.Abs(f) > tiny {
				idx = append(idx, i)
				tol += math.Abs(f) * rounding
			}
		}
		slices.Sort(idx)
		var s []string
		for _, i := range idx {
			s = append(s, rel[i].field)
		}
		return strings.Join(s, ", "), tol
	}
	subtract := func(r *relation, b *relation, f float64) {
		for j := range r.coef {
			r.coef[j] -= f * b.coef[j]
		}
		r.value -= f * b.value
		for i, p := range b.parts {
			r.parts[i] -= f * p
		}
	}
	for k := range rel {
		r := relation{field: rel[k].field, coef: slices.Clone(rel[k].coef), value: rel[k].value, parts: map[int]float64{k: 1}}
		for i := range basis {
			subtract(&r, &basis[i], r.coef[pivots[i]])
		}
		p := -1
		for j := range r.coef {
			if math.Abs(r.coef[j]) > tiny && (p < 0 || math.Abs(r.coef[j]) > math.Abs(r.coef[p])+tiny) {
				p = j
			}
		}
		if p < 0 { // nothing new: the figure must agree
			if who, tol := names(r.parts); math.Abs(r.value) > tol+tiny {
				return nil, nil, fail(who, "", units.ErrConflict,
					"these figures contradict each other by "+crankAngle(math.Abs(r.value)).Text(2)+", more than their rounding of "+crankAngle(tol).Text(2)+" allows")
			}
			continue
		}
		f := r.coef[p]
		for j := range r.coef {
			r.coef[j] /= f
		}
		r.value /= f
		for i := range r.parts {
			r.parts[i] /= f
		}
		for i := range basis { // keep the basis reduced
			subtract(&basis[i], &r, basis[i].coef[p])
		}
		basis, pivots = append(basis, r), append(pivots, p)
	}
	x, known = make([]float64, n), make([]bool, n)
	for i, b := range basis {
		free := false
		for j, v := range b.coef {
			free = free || j != pivots[i] && math.Abs(v) > tiny
		}
		if !free {
			x[pivots[i]], known[pivots[i]] = b.value, true
		}
	}
	return x, known, nil
}

// lobe works out lift and durations of one lobe.
func (c Card) lobe(name string, f LobeFigures, lifts []units.Length, x []float64, known []bool) (CardLobeSpec, units.Length, error) {
	s := CardLobeSpec{MaxLift: f.LobeLift.Value, Asymmetry: f.Asymmetry}
	switch {
	case f.LobeLift.Given && f.ValveLift.Given && f.RockerRatio.Given:
		valve, err := f.LobeLift.Value.Scale(f.RockerRatio.Value)
		if err != nil {
			return CardLobeSpec{}, 0, fail(name+".RockerRatio", "", units.ErrRange, "lobe lift times ratio is no length")
		}
		valve -= f.Lash.Value
		// Printed to 0.001 in: half of it at the valve and in the lash, half of
		// it times the ratio from the lobe, and the ratio's own last digit, 0.005.
		tol := float64(units.Thou)/2*(1+f.RockerRatio.Value) + 0.005*float64(f.LobeLift.Value)
		if f.Lash.Given {
			tol += float64(units.Thou) / 2
		}
		if d := (valve - f.ValveLift.Value).Abs(); float64(d) > tol {
			who := name + ".LobeLift, " + name + ".RockerRatio, " + name + ".ValveLift"
			if f.Lash.Given {
				who += ", " + name + ".Lash"
			}
			return CardLobeSpec{}, 0, fail(who, "", units.ErrConflict,
				"lobe lift times ratio less lash is "+valve.Text(units.Inches, 4)+", the card prints a valve lift of "+f.ValveLift.Value.Text(units.Inches, 4))
		}
	case !f.LobeLift.Given && f.ValveLift.Given && f.RockerRatio.Given:
		l, err := (f.ValveLift.Value + f.Lash.Value).Scale(1 / f.RockerRatio.Value)
		if err != nil {
			return CardLobeSpec{}, 0, fail(name+".RockerRatio", "", units.ErrRange, "valve lift over ratio is no length")
		}
		if err := checkLift(name+".LobeLift", l); err != nil {
			return CardLobeSpec{}, 0, err
		}
		s.MaxLift = l
	case !f.LobeLift.Given:
		return CardLobeSpec{}, 0, fail(name+".LobeLift", "", units.ErrMissing, "want the lobe lift, or valve lift and rocker ratio")
	}
	for i, l := range lifts {
		if known[i] {
			d := crankAngle(x[i])
			if err := checkDuration(name+".Durations at "+liftName(l), d); err != nil {
				return CardLobeSpec{}, 0, err
			}
			s.Durations = append(s.Durations, DurationAt{l, d})
		}
	}
	if len(s.Durations) == 0 {
		return CardLobeSpec{}, 0, fail(name+".Durations", "", units.ErrMissing, "want a duration at a stated lift, or the events there")
	}
	s, err := s.checked()
	if err != nil {
		return CardLobeSpec{}, 0, inField(name, err)
	}
	slices.Reverse(s.Durations) // as a card prints them, by rising lift
	return s, f.Lash.Value, nil
}

// liftName writes a checking lift as a card of its kind would.
func liftName(l units.Length) string {
	if l%(units.Thou/10) == 0 {
		return l.Text(units.Inches, 4)
	}
	return l.String()
}

// Cam fits both lobes to the resolved card and pairs them.
//
// Rows: fit-recover-a-diff.
func (r Resolved) Cam() (*Cam, error) {
	i, err := NewCardLobe(r.Intake)
	if err != nil {
		return nil, inField("Intake", err)
	}
	e := i // a lobe does not change: alike ones are fitted once
	if !r.Intake.same(r.Exhaust) {
		if e, err = NewCardLobe(r.Exhaust); err != nil {
			return nil, inField("Exhaust", err)
		}
	}
	return NewCam(CamSpec{Intake: i, Exhaust: e, Separation: r.Separation, GroundAdvance: r.GroundAdvance})
}

// inField puts the name of the enclosing field before that of the error.
func inField(field string, err error) error {
	if e, ok := err.(*units.InputError); ok { //nolint:errorlint // made by this package, never wrapped
		f := *e
		f.Field = field + "." + e.Field
		return &f
	}
	return err
}

// Cam resolves the card, fits both lobes and pairs them: Resolve and
// Resolved.Cam in one, with the errors of both.
//
// Rows: fit-recover-a-diff.
func (c Card) Cam() (*Cam, error) {
	r, err := c.Resolve()
	if err != nil {
		return nil, err
	}
	return r.Cam()
}

// Timing returns durations and centerlines at one of the card's lifts.
//
// Rows: card-overlap.
func (r Resolved) Timing(lift units.Length) (Timing, error) {
	find := func(name string, s CardLobeSpec) (units.CrankAngle, error) {
		for _, d := range s.Durations {
			if d.Lift == lift {
				return d.Duration, nil
			}
		}
		return 0, fail(name+".Durations", lift.String(), units.ErrMissing, "the card gives no duration at that lift")
	}
	di, err := find("Intake", r.Intake)
	if err != nil {
		return Timing{}, err
	}
	de, err := find("Exhaust", r.Exhaust)
	if err != nil {
		return Timing{}, err
	}
	return Timing{di, de, r.IntakeCenterline, r.ExhaustCenterline}, nil
}
