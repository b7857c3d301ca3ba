package clearance

import (
	"errors"
	"math"
	"strconv"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// PistonFace says what a valve meets in the piston, and with it along which
// line the gap between the two is measured. The zero PistonFace is none.
type PistonFace uint8

const (
	// PocketFloor is a pocket whose floor is square to the valve's stem. The
	// gap is measured along the valve, between the head and the floor.
	PocketFloor PistonFace = iota + 1
	// FlatCrown is a crown, or the floor of a pocket, square to the bore. The gap
	// is measured along the bore, from the lowest edge of the valve's head.
	FlatCrown
)

// String says what the valve meets.
func (f PistonFace) String() string {
	switch f {
	case PocketFloor:
		return "pocket floor square to the valve, along the valve"
	case FlatCrown:
		return "flat crown, along the bore"
	default:
		return "no face"
	}
}

// check refuses an unknown face and a lean that no valve has.
func (f PistonFace) check(lean valvetrain.PlaneAngle) error {
	if f != PocketFloor && f != FlatCrown {
		return fail("Face", "", units.ErrMissing, "want PocketFloor or FlatCrown")
	}
	if !(lean >= 0 && lean.Degrees() <= 80) {
		return fail("Lean", lean.String(), units.ErrRange, "want an angle of the valve to its bore from 0 to 80 degrees")
	}
	return nil
}

// factors returns how much of the piston's travel and of the valve's lift counts
// along the line on which the gap is measured.
func (f PistonFace) factors(lean valvetrain.PlaneAngle) (travel, lift float64) {
	c := math.Cos(float64(lean))
	if f == PocketFloor {
		return c, 1
	}
	return 1, c
}

// ValveStack is what lies between a closed valve and the piston at top dead
// center, each figure along the bore and at the place where the two would meet.
type ValveStack struct {
	Face PistonFace
	Lean valvetrain.PlaneAngle
	// Deck is how far the piston's flat stands below the deck, negative where
	// it stands proud of it. Gasket is the head gasket, compressed.
	Deck, Gasket units.Measured[units.Length]
	// Recess is how far the closed valve stands up in the head above the head's
	// face, negative where it hangs out of it: the plane of its head at the place
	// meant (PocketFloor), or its lowest edge (FlatCrown).
	Recess units.Measured[units.Length]
	// Pocket is the depth of the pocket under the piston's flat, at the place
	// meant; 0 for none, negative over a dome.
	Pocket units.Measured[units.Length]
}

// TDCClearance is how far a closed valve stands from the piston at top dead
// center.
type TDCClearance struct {
	Stack ValveStack
	// Along is the sum of the stack, along the bore.
	Along units.Measured[units.Length]
	// Clearance is D0: along the valve for a PocketFloor, along the bore for a
	// FlatCrown.
	Clearance units.Measured[units.Length]
}

// AtTDC answers how far a closed valve stands from the piston at top dead
// center:
//
//	along = Deck + Gasket + Recess + Pocket
//	D0 = along cos g (PocketFloor)     D0 = along (FlatCrown)
//
// with g = Lean. The head of the valve and a floor square to it are two parallel
// planes, whose distance is that along the bore times the cosine of the angle
// between bore and stem. A negative D0 is data: the closed valve would touch.
//
// Uncertainty: the four by root sum of squares, times cos g for a PocketFloor;
// stated where all that are not the zero value are. Errors: a face or lean that is none, a figure over
// 1 m (ErrRange), a negative uncertainty.
//
// Source: distance of parallel planes; JCGM 100:2008, 5.1.2.
//
// Rows: ptv-stack-pocket, ptv-stack-crown, ptv-stack-u.
func (s ValveStack) AtTDC() (TDCClearance, error) {
	if err := s.Face.check(s.Lean); err != nil {
		return TDCClearance{}, err
	}
	var sum units.Length
	var u float64
	none := units.Measured[units.Length]{}
	stated := s != ValveStack{Face: s.Face, Lean: s.Lean}
	for _, f := range [...]struct {
		name string
		m    units.Measured[units.Length]
	}{{"Deck", s.Deck}, {"Gasket", s.Gasket}, {"Recess", s.Recess}, {"Pocket", s.Pocket}} {
		if err := checkSmall(f.name, f.m); err != nil {
			return TDCClearance{}, err
		}
		sum += f.m.Value
		u = math.Hypot(u, float64(f.m.U))
		stated = stated && (f.m.Stated || f.m == none)
	}
	if s.Gasket.Value < 0 {
		return TDCClearance{}, fail("Gasket", s.Gasket.Value.String(), units.ErrRange, "want a thickness that is not negative")
	}
	a, _ := s.Face.factors(s.Lean)
	return TDCClearance{
		Stack: s, Along: result(sum, stated, u), Clearance: result(round(a*float64(sum)), stated, a*u),
	}, nil
}

// Working returns the derivation; nil for the zero value.
func (c TDCClearance) Working() units.Working {
	if c.Stack.Face == 0 {
		return nil
	}
	s := c.Stack
	w := units.Working{{
		Symbol: "along", Formula: "deck + gasket + recess + pocket",
		Numbers: num(s.Deck.Value) + " + " + num(s.Gasket.Value) + " + (" + num(s.Recess.Value) + ") + " + num(s.Pocket.Value),
		Value:   measuredText(c.Along), Source: definition,
	}}
	step := units.Step{Symbol: "D0", Formula: "along", Numbers: num(c.Along.Value), Value: measuredText(c.Clearance), Source: definition}
	if s.Face == PocketFloor {
		step.Formula, step.Numbers = "along cos g", num(c.Along.Value)+" cos("+leanText(s.Lean)+")"
	}
	return append(w, step)
}

func leanText(l valvetrain.PlaneAngle) string {
	return strconv.FormatFloat(l.Degrees(), 'f', 2, 64) + " deg"
}

// checkSmall accepts a reading within 1 m either way.
func checkSmall(field string, m units.Measured[units.Length]) error {
	if m.Value.Abs() > units.Meter || m.U > units.Meter {
		return fail(field, m.Value.String(), units.ErrRange, "want at most 1 m")
	}
	return checkU(field, m)
}

// PistonValveSpec is one valve and the piston under it.
type PistonValveSpec struct {
	Valve camtiming.Valve
	// Lobe is the lift over the cam angle: of the lifter where Gear is given,
	// else of the valve itself, as a rocker linkage computes it.
	Lobe camtiming.LiftCurve
	Gear units.Optional[camtiming.ValveGear]
	// Piston is rod, throw and pin offset.
	Piston *camtiming.SliderCrank
	Face   PistonFace
	Lean   valvetrain.PlaneAngle
	// AtTDC is D0, the gap at top dead center with the valve closed: along the
	// valve for a PocketFloor, along the bore for a FlatCrown. ValveStack finds
	// it from the parts. Its uncertainty goes into PistonValveSensitivity.
	AtTDC units.Measured[units.Length]
}

// PistonValve is a valve over its piston, ready for evaluation. Make it with
// NewPistonValve. It is safe for concurrent use as its lobe is.
type PistonValve struct {
	spec    PistonValveSpec
	search  *valveSearch // read alone once prepared
	atTDC   float64
	edges   valveEdges
	cos     float64
	hasGear bool
}

// NewPistonValve checks the parts and prepares the search: it reads the lobe at
// sixteen places or more in every cam degree and finds where its slope jumps.
//
// A missing lobe, piston, valve or face is ErrMissing; a lean outside 0 to 80
// degrees, a D0 over 1 m either way and a gear outside the limits of
// camtiming.ValveGear are ErrRange; a lash that the lobe never takes up is
// ErrImpossible.
//
// Rows: ptv-int-pocket, ptv-exh-pocket.
func NewPistonValve(spec PistonValveSpec) (*PistonValve, error) {
	if spec.Valve != camtiming.IntakeValve && spec.Valve != camtiming.ExhaustValve {
		return nil, fail("Valve", "", units.ErrMissing, "want IntakeValve or ExhaustValve")
	}
	if spec.Lobe == nil {
		return nil, fail("Lobe", "", units.ErrMissing, "want a lift curve")
	}
	// A cam of this lobe alone is refused where the lobe cannot be one.
	if _, err := camtiming.NewCam(camtiming.CamSpec{Intake: spec.Lobe, Exhaust: spec.Lobe, Separation: 110 * units.CamDegree}); err != nil {
		return nil, asField("Lobe", err)
	}
	if spec.Piston == nil || spec.Piston.Spec() == (camtiming.SliderCrankSpec{}) {
		return nil, fail("Piston", "", units.ErrMissing, "want a slider-crank from NewSliderCrank")
	}
	if err := spec.Face.check(spec.Lean); err != nil {
		return nil, err
	}
	if err := checkSmall("AtTDC", spec.AtTDC); err != nil {
		return nil, err
	}
	p := &PistonValve{spec: spec, search: new(valveSearch), cos: math.Cos(float64(spec.Lean)), atTDC: spec.AtTDC.Value.Meters(), hasGear: spec.Gear.Given}
	s := p.search
	s.piston, s.lobe, s.ratio = spec.Piston, spec.Lobe, 1
	s.travel, s.lift = spec.Face.factors(spec.Lean)
	if spec.Gear.Given {
		s.ratio = spec.Gear.Value.Ratio
	} else if spec.Gear.Value != (camtiming.ValveGear{}) {
		return nil, fail("Gear", "", units.ErrConflict, "a gear stands there but is not marked as given")
	}
	e, err := s.edges(spec.Gear.Value, spec.Gear.Given)
	if err != nil {
		return nil, err
	}
	p.edges = e
	if err := s.prepare(); err != nil {
		return nil, err
	}
	return p, nil
}

// Over returns the same valve over a piston that stands elsewhere: with another D0,
// which is a term of the gap. It shares what was prepared and costs next to
// nothing, where a cylinder's valves differ by their decks and pockets alone.
// Errors: a D0 over 1 m either way; a PistonValve that NewPistonValve did not make.
//
// Source: geometry as At.
//
// Rows: ptv-over.
func (p *PistonValve) Over(atTDC units.Measured[units.Length]) (*PistonValve, error) {
	if p == nil || p.spec.Lobe == nil {
		return nil, fail("PistonValve", "", units.ErrMissing, "want one from NewPistonValve")
	}
	if err := checkSmall("AtTDC", atTDC); err != nil {
		return nil, err
	}
	q := *p
	q.spec.AtTDC, q.atTDC = atTDC, atTDC.Value.Meters()
	return &q, nil
}

// asField moves an error of another package to a field of this one.
func asField(field string, err error) error {
	var ie *units.InputError
	if !errors.As(err, &ie) {
		return err
	}
	e := *ie
	e.Package, e.Field = "clearance", field
	return &e
}

// Spec returns what it was made from.
func (p *PistonValve) Spec() PistonValveSpec { return p.spec }

// ready refuses the zero PistonValve and a centerline a turn or more away, and
// returns where the nose stands after overlap top dead center.
func (p *PistonValve) ready(centerline units.CrankAngle) (units.CrankAngle, error) {
	if p == nil || p.spec.Lobe == nil {
		return 0, fail("PistonValve", "", units.ErrMissing, "want one from NewPistonValve")
	}
	if centerline.Abs() >= units.CrankTurn {
		return 0, fail("centerline", centerline.String(), units.ErrRange, "want a centerline within one turn")
	}
	return p.nose(centerline), nil
}

func (p *PistonValve) nose(centerline units.CrankAngle) units.CrankAngle {
	if p.spec.Valve == camtiming.ExhaustValve {
		return -centerline
	}
	return centerline
}

// ValvePlace says where in the opening of a valve something stands.
type ValvePlace uint8

// Places in the opening.
const (
	Inside    ValvePlace = iota + 1 // while the valve is off its seat
	AtOpening                       // as it leaves its seat
	AtClosing                       // as it meets its seat
)

// String names the place.
func (w ValvePlace) String() string {
	switch w {
	case Inside:
		return "inside"
	case AtOpening:
		return "at opening"
	case AtClosing:
		return "at closing"
	default:
		return "no place"
	}
}

// PistonValveGap is valve and piston at one crank angle.
type PistonValveGap struct {
	FromTDC units.CrankAngle // after top dead center of overlap
	Gap     units.Length     // a negative gap is contact
	Valve   units.Length     // lift along the stem
	Travel  units.Length     // of the piston below its top, along the bore
}

// At answers how far valve and piston are apart at one crank angle, with the nose
// of the lobe at a centerline (intake after, exhaust before overlap top dead
// center):
//
//	gap = D0 + x cos g - L   PocketFloor, along the valve
//	gap = D0 + x - L cos g   FlatCrown, along the bore
//
// with D0 = AtTDC, x = travel of the piston, L = lift of the valve, g = Lean. A
// floor square to the stem goes away from the head, seen along the stem, by the
// part x cos g of the piston's travel; a valve that opens by L comes down the
// bore with its lowest edge by L cos g. L is the lobe's lift behind the gear,
// 0 while the valve is closed. Errors: a centerline a turn or more away. It
// does not allocate.
//
// Source: geometry of two translations at an angle; travel as
// camtiming.SliderCrank.Travel.
//
// Rows: ptv-at-pocket, ptv-at-crown, ptv-at-exhaust.
func (p *PistonValve) At(centerline, fromTDC units.CrankAngle) (PistonValveGap, error) {
	nose, err := p.ready(centerline)
	if err != nil {
		return PistonValveGap{}, err
	}
	fromTDC = fromTDC.Wrap()
	n := (fromTDC - nose).Wrap()
	for _, m := range [...]units.CrankAngle{n, n - units.CrankCycle, n + units.CrankCycle} {
		if a := units.CamAngle(m); a >= p.edges.open && a <= p.edges.close {
			return p.gap(fromTDC, a), nil
		}
	}
	x := p.spec.Piston.Travel(fromTDC)
	return PistonValveGap{FromTDC: fromTDC, Gap: meters(p.atTDC + p.search.travel*x.Meters()), Travel: x}, nil
}

// gap is At for a valve off its seat.
func (p *PistonValve) gap(fromTDC units.CrankAngle, fromNose units.CamAngle) PistonValveGap {
	s := p.search
	x := s.piston.Travel(fromTDC)
	l := max(0, s.ratio*s.lobe.Lift(fromNose).Meters()-p.edges.lash)
	return PistonValveGap{
		FromTDC: fromTDC, Gap: meters(p.atTDC + (s.travel*x.Meters() - s.lift*l)), Valve: meters(l), Travel: x,
	}
}

// PistonValveMinimum is where valve and piston come nearest while the valve is
// open.
type PistonValveMinimum struct {
	PistonValveGap
	// Place is Inside for a true minimum. It is one end of the opening where the
	// valve is closed at top dead center and the gap only grows from there:
	// then D0, at top dead center, is smaller than anything while it is open.
	Place ValvePlace

	of *PistonValve
}

// Minimum answers how near a valve comes to its piston from where it leaves its
// seat to where it meets it again, and at which crank angle, with the nose of the
// lobe at a centerline (intake after, exhaust before overlap top dead center):
//
//	minimum over t of D0 + x(t) cos g - L((t - C)/2)   PocketFloor
//	minimum over t of D0 + x(t) - L((t - C)/2) cos g   FlatCrown
//
// with t in crank degrees from overlap top dead center, C = centerline, -C for an
// exhaust, L = Ratio * lobe - Lash behind a gear. An intake comes nearest some
// degrees after top dead center, where it chases the piston down; an exhaust
// before it, where the piston chases the valve. For a cam installed at an advance
// the centerline is separation - advance, or separation + advance for an
// exhaust, as bare numbers.
//
// It is found by a search, not a scan: pieces of the lobe that cannot hold the
// minimum are discarded by a bound from below, on the others the slope
//
//	d gap/dt = x' cos g - L'/2
//
// is brought to 0 inside a bracket, and a piece is searched on until its lower
// bound, from the greatest curvature of the lobe on it, is within 0.1 nm. All
// local minima are compared. The curvature is read off the lobe's slope every
// sixteenth of a cam degree: a lobe with features narrower than that is followed
// no closer. The calculation takes all parts as rigid and is no proof of
// clearance at speed. Errors: a centerline a turn or more away. It does not
// allocate.
//
// Source: geometry as At; the search is checked against scans.
//
// Rows: ptv-int-pocket, ptv-int-crown, ptv-exh-pocket, ptv-exh-crown,
// ptv-int-angle, ptv-exh-angle, ptv-linear, ptv-linear-angle, ptv-harmonic,
// ptv-offset, ptv-offset-angle, ptv-valve-curve.
func (p *PistonValve) Minimum(centerline units.CrankAngle) (PistonValveMinimum, error) {
	nose, err := p.ready(centerline)
	if err != nil {
		return PistonValveMinimum{}, err
	}
	n, _ := p.search.minimum(int64(nose), p.edges)
	a := units.CamAngle(n)
	m := PistonValveMinimum{PistonValveGap: p.gap(nose+units.CrankAngle(n), a), Place: p.edges.place(a), of: p}
	m.FromTDC = m.FromTDC.Wrap()
	return m, nil
}

// Working returns the derivation.
func (m PistonValveMinimum) Working() units.Working {
	if m.of == nil {
		return nil
	}
	s := m.of.spec
	src := units.Source{Text: "geometry of two translations at an angle", Provenance: units.Computed}
	gap := units.Step{Symbol: "gap", Formula: "D0 + x cos g - L", Value: text(m.Gap), Source: src}
	d0, x, l, g := num(s.AtTDC.Value), num(m.Travel), num(m.Valve), leanText(s.Lean)
	gap.Numbers = d0 + " + " + x + " cos(" + g + ") - " + l
	if s.Face == FlatCrown {
		gap.Formula, gap.Numbers = "D0 + x - L cos g", d0+" + "+x+" - "+l+" cos("+g+")"
	}
	return units.Working{
		{Symbol: "t", Formula: "where d gap/dt = 0, of all the opening the least", Numbers: m.Place.String(), Value: m.FromTDC.Text(3) + " after overlap top dead center", Source: src},
		{Symbol: "x", Formula: "travel of the piston at t", Numbers: s.Piston.Spec().String(), Value: text(m.Travel), Source: src},
		{Symbol: "L", Formula: "lift of the valve at t", Numbers: "", Value: text(m.Valve), Source: src},
		gap,
	}
}

// Cautions returns what to mind when valve to piston clearance is checked.
func (PistonValveMinimum) Cautions() []units.Caution { return pistonValveCautions() }

func pistonValveCautions() []units.Caution {
	return []units.Caution{
		{Text: "Turn the engine by hand, with the plugs out, and never against a resistance: a valve may stand on the piston and bends.", Source: trade},
		{Text: "Use checking springs or a bled lifter only to check, never to run; keep fingers out of a compressed spring's way and the valve from falling into the cylinder.", Source: trade},
		{Text: "The figure is for rigid parts turned slowly. Rods stretch, valves float and chains lag at speed: measure the engine itself, and let the part maker's limits and a qualified machinist decide.", Source: trade},
	}
}

// PistonValveLimits answers which gap the trade leaves between valve and piston
// at least, cold: 0.080 in for an intake, which the piston runs away from, and 0.100
// in for an exhaust, which it runs after. The limits of the part maker take
// precedence. Errors: an unknown valve.
//
// Source: trade practice, no single source (common practice).
//
// Rows: ptv-rule-intake, ptv-rule-exhaust.
func PistonValveLimits(v camtiming.Valve) (units.Limits[units.Length], error) {
	trade := units.Source{Text: "trade practice, no single source: 0.080 in intake, 0.100 in exhaust", Provenance: units.CommonPractice}
	switch v {
	case camtiming.IntakeValve:
		return units.AtLeast(80*units.Thou, trade), nil
	case camtiming.ExhaustValve:
		return units.AtLeast(100*units.Thou, trade), nil
	default:
		return units.Limits[units.Length]{}, fail("Valve", "", units.ErrMissing, "want IntakeValve or ExhaustValve")
	}
}

// PistonValveMap asks for the least gap over a field of separations and advances.
type PistonValveMap struct {
	Separations []units.CamAngle
	Advances    []units.CrankAngle
}

// Map answers how near valve and piston come for every separation and every
// advance of a cam: it fills gaps, row by row of Separations, with the gap of
// Minimum at the centerline
//
//	intake: separation - advance     exhaust: separation + advance
//
// as bare numbers: separations are cam degrees, and one cam degree of separation
// moves each centerline by one crank degree. Only the centerline counts, so that
// lines of equal gap run straight across the field. Errors: gaps not of
// the size of the field (ErrConflict), a centerline a turn or more away. It does
// not allocate.
//
// Rows: ptv-map-int, ptv-map-exh.
func (p *PistonValve) Map(gaps []units.Length, m PistonValveMap) error {
	if _, err := p.ready(0); err != nil {
		return err
	}
	if len(gaps) != len(m.Separations)*len(m.Advances) {
		return fail("gaps", strconv.Itoa(len(gaps)), units.ErrConflict, "want one place for every separation and advance")
	}
	for _, s := range m.Separations {
		for _, a := range m.Advances {
			if s < -units.CamTurn || s > units.CamTurn || a.Abs() > units.CrankTurn {
				return fail("Separations, Advances", s.String()+", "+a.String(), units.ErrRange, "want a separation and an advance within one turn")
			}
			if c := p.centerline(s, a); c.Abs() >= units.CrankTurn {
				return fail("Separations, Advances", s.String()+", "+a.String(), units.ErrRange, "want a centerline within one turn")
			}
		}
	}
	i := 0
	for _, s := range m.Separations {
		for _, a := range m.Advances {
			_, f := p.search.minimum(int64(p.nose(p.centerline(s, a))), p.edges)
			gaps[i] = meters(p.atTDC + f)
			i++
		}
	}
	return nil
}

// centerline of a cam with a separation, installed at an advance.
func (p *PistonValve) centerline(separation units.CamAngle, advance units.CrankAngle) units.CrankAngle {
	if p.spec.Valve == camtiming.ExhaustValve {
		return separation.Crank()/2 + advance
	}
	return separation.Crank()/2 - advance
}
