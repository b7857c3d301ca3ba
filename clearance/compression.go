package clearance

import (
	"math"
	"strconv"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// CompressionRatio is the volume above a piston at the bottom over that at the
// top, a true ratio over 1.
type CompressionRatio float64

// String returns the ratio as "9.5:1".
func (r CompressionRatio) String() string {
	return strconv.FormatFloat(float64(r), 'g', -1, 64) + ":1"
}

// Displacement is what the pistons of an engine sweep.
type Displacement struct {
	Bore, Stroke units.Length
	Cylinders    int
}

// Volume answers how much an engine displaces:
//
//	V = pi/4 Bore^2 Stroke Cylinders
//
// Errors: a bore or stroke that is not over 0 or over 10 m, cylinders outside 1 to
// 100.
//
// Source: volume of a cylinder.
//
// Rows: navedtra-disp-8, tm315-disp, tm382-disp-l, tm383-disp-l, tm383-disp-in,
// tm300-disp, mk160-6, mk160-8, mk-v8-66, mk-84x84, mk-99x110, mat-1-1-cc.
func (d Displacement) Volume() (units.Volume, error) {
	if err := checkPart("Bore", units.Unstated(d.Bore)); err != nil {
		return 0, err
	}
	if err := checkPart("Stroke", units.Unstated(d.Stroke)); err != nil {
		return 0, err
	}
	if d.Cylinders < 1 || d.Cylinders > 100 {
		return 0, fail("Cylinders", strconv.Itoa(d.Cylinders), units.ErrRange, "want 1 to 100 cylinders")
	}
	return cylinder(d.Bore.Meters(), d.Stroke.Meters()) * units.Volume(d.Cylinders), nil
}

func cylinder(bore, height float64) units.Volume {
	return units.CubicMeters(math.Pi / 4 * bore * bore * height)
}

// checkPart accepts a size over 0 and up to 10 m.
func checkPart(field string, m units.Measured[units.Length]) error {
	if err := checkPositive(field, m); err != nil {
		return err
	}
	if m.Value > 10*units.Meter || m.U > 10*units.Meter {
		return fail(field, m.Value.String(), units.ErrRange, "want at most 10 m")
	}
	return nil
}

// maxVolume bounds a chamber.
const maxVolume = units.Volume(1000)

func checkVolume(field string, m units.Measured[units.Volume]) error {
	v, u := float64(m.Value), float64(m.U)
	switch {
	case !(math.Abs(v) <= float64(maxVolume)):
		return fail(field, m.Value.String(), units.ErrRange, "want a finite volume of at most 1000 m3")
	case !(u >= 0 && u <= float64(maxVolume)):
		return fail(field+".U", m.U.String(), units.ErrRange, "want a standard uncertainty that is not negative")
	case !m.Stated && u != 0:
		return fail(field+".U", m.U.String(), units.ErrConflict, "an uncertainty is given but not marked as stated")
	}
	return nil
}

// Burette is a volume over a piston, filled from a burette through a plate with
// the piston a known depth down its bore.
type Burette struct {
	Bore units.Measured[units.Length]
	// Drop is how far the piston's flat stands below the plate.
	Drop units.Measured[units.Length]
	// Filled is what the burette gave.
	Filled units.Measured[units.Volume]
}

// Crown answers which volume a piston's crown adds to the chamber:
//
//	V = Filled - pi/4 Bore^2 Drop
//
// positive for a dish and valve pockets, negative for a dome. The gap around
// the top land is sealed with grease; if it is not, it is in the figure.
//
// Uncertainty: u^2 = u_filled^2 + (pi/2 Bore Drop u_bore)^2 + (pi/4 Bore^2 u_drop)^2.
// Errors: a bore that is not over 0, a drop that is negative, a filled volume that
// is not over 0.
//
// Source: volume of a cylinder; JCGM 100:2008, 5.1.2.
//
// Rows: comp-dome, comp-dish, comp-crown-u.
func (b Burette) Crown() (units.Measured[units.Volume], error) {
	if err := checkPart("Bore", b.Bore); err != nil {
		return units.Measured[units.Volume]{}, err
	}
	if err := checkSmall("Drop", b.Drop); err != nil {
		return units.Measured[units.Volume]{}, err
	}
	if b.Drop.Value < 0 {
		return units.Measured[units.Volume]{}, fail("Drop", b.Drop.Value.String(), units.ErrRange, "want a drop that is not negative")
	}
	if err := checkVolume("Filled", b.Filled); err != nil {
		return units.Measured[units.Volume]{}, err
	}
	if b.Filled.Value <= 0 {
		return units.Measured[units.Volume]{}, fail("Filled", b.Filled.Value.String(), units.ErrRange, "want a volume over 0")
	}
	d, h := b.Bore.Value.Meters(), b.Drop.Value.Meters()
	r := units.Unstated(b.Filled.Value - cylinder(d, h))
	if b.Bore.Stated && b.Drop.Stated && b.Filled.Stated {
		u := math.Hypot(math.Pi/2*d*h*b.Bore.U.Meters(), math.Pi/4*d*d*b.Drop.U.Meters())
		r = units.WithU(r.Value, units.Volume(math.Hypot(u, float64(b.Filled.U))))
	}
	return r, nil
}

// Working returns the derivation of Crown; nil where it has none.
func (b Burette) Working() units.Working {
	v, err := b.Crown()
	if err != nil {
		return nil
	}
	return units.Working{{
		Symbol: "V", Formula: "filled - pi/4 B^2 drop", Numbers: ccText(b.Filled.Value) + " - pi/4 " + num(b.Bore.Value) + "^2 " + num(b.Drop.Value),
		Value: ccText(v.Value), Source: units.Source{Text: "volumes of cylinders", Provenance: units.Computed},
	}}
}

// Compression is what shuts in the charge of one cylinder. Bore, Stroke and a
// chamber are required.
type Compression struct {
	Bore units.Measured[units.Length]
	// Stroke is that of the piston: DeadCenters().Stroke of its slider-crank.
	Stroke units.Measured[units.Length]
	// Head is the chamber in the head, by burette, plug and valves in place.
	Head units.Measured[units.Volume]
	// Crown is what the piston's crown adds: 0 for a flat one, positive for a
	// dish and valve pockets, negative for a dome (Burette.Crown).
	Crown units.Measured[units.Volume]
	// GasketBore and Gasket are the fire ring's bore and the thickness of the gasket,
	// compressed; both 0 for none.
	GasketBore, Gasket units.Measured[units.Length]
	// Deck is how far the piston's flat stands below the deck, negative where
	// it stands proud.
	Deck units.Measured[units.Length]
	// Land and TopRing are the diameter of the piston above its top ring and
	// the height of that land: the crevice around it. Both 0 leave it out.
	Land, TopRing units.Measured[units.Length]
}

// CompressionVolumes are the volumes of one cylinder and their ratio.
type CompressionVolumes struct {
	Swept                 units.Volume
	Deck, Gasket, Crevice units.Volume
	// Clearance is all that is left at the top: head, crown, gasket, deck
	// and crevice.
	Clearance units.Measured[units.Volume]
	Ratio     units.Measured[CompressionRatio]
	// Sensitivity tells what each figure does to the ratio.
	Sensitivity RatioSensitivity

	of Compression
}

// RatioSensitivity tells how much the ratio changes when one figure grows.
type RatioSensitivity struct {
	PerMillimeterBore, PerMillimeterStroke float64 // change of the ratio (a number) for one millimeter
	PerMillimeterGasket, PerMillimeterDeck float64
	PerCubicCentimeter                     float64 // for one cubic centimeter of head or crown
}

// parts are the pieces of a ratio in SI units.
type compressionParts struct{ bore, stroke, gasketBore, gasket, deck, land, ring, swept, vd, vg, vc, clear float64 }

func (c Compression) parts() (compressionParts, error) {
	var z compressionParts
	if err := checkPart("Bore", c.Bore); err != nil {
		return z, err
	}
	if err := checkPart("Stroke", c.Stroke); err != nil {
		return z, err
	}
	if err := checkVolume("Head", c.Head); err != nil {
		return z, err
	}
	if c.Head.Value < 0 {
		return z, fail("Head", c.Head.Value.String(), units.ErrRange, "want a chamber that is not negative")
	}
	if err := checkVolume("Crown", c.Crown); err != nil {
		return z, err
	}
	none := units.Measured[units.Length]{}
	for _, f := range [...]struct {
		name string
		m    units.Measured[units.Length]
		with units.Measured[units.Length]
	}{{"GasketBore", c.GasketBore, c.Gasket}, {"Gasket", c.Gasket, none}, {"Land", c.Land, c.TopRing}, {"TopRing", c.TopRing, c.Land}} {
		if f.m == none && f.with == none {
			continue
		}
		if f.name == "Gasket" && f.m.Value == 0 { // a bore with no thickness yet
			if err := checkU(f.name, f.m); err != nil {
				return z, err
			}
			continue
		}
		if err := checkPart(f.name, f.m); err != nil {
			return z, err
		}
	}
	if err := checkSmall("Deck", c.Deck); err != nil {
		return z, err
	}
	if c.Land.Value >= c.Bore.Value {
		return z, fail("Land", c.Land.Value.String(), units.ErrConflict, "want a land smaller than the bore")
	}
	p := compressionParts{
		bore: c.Bore.Value.Meters(), stroke: c.Stroke.Value.Meters(), gasketBore: c.GasketBore.Value.Meters(),
		gasket: c.Gasket.Value.Meters(), deck: c.Deck.Value.Meters(), land: c.Land.Value.Meters(), ring: c.TopRing.Value.Meters(),
	}
	const k = math.Pi / 4
	p.swept, p.vd = k*p.bore*p.bore*p.stroke, k*p.bore*p.bore*p.deck
	p.vg = k * p.gasketBore * p.gasketBore * p.gasket
	if p.land > 0 {
		p.vc = k * (p.bore - p.land) * (p.bore + p.land) * p.ring
	}
	p.clear = float64(c.Head.Value) + float64(c.Crown.Value) + p.vg + p.vd + p.vc
	if !(p.clear > 0) {
		return z, fail("Head, Crown, Gasket, Deck", ccText(units.CubicMeters(p.clear)), units.ErrImpossible, "want a volume over 0 left above the piston at the top")
	}
	return p, nil
}

// Volumes answers which volumes a cylinder has and how high it compresses:
//
//	swept     = pi/4 Bore^2 Stroke
//	deck      = pi/4 Bore^2 Deck          gasket = pi/4 GasketBore^2 Gasket
//	crevice   = pi/4 (Bore^2 - Land^2) TopRing
//	clearance = Head + Crown + gasket + deck + crevice
//	ratio     = 1 + swept/clearance
//
// Cold and by geometry alone: what burns sees less of it, and the crevice is left out
// of many printed ratios.
//
// Uncertainty: that of ratio and clearance by the derivatives with each figure
// (the bore stands in swept, deck and crevice at once), by root sum of squares;
// stated where all figures that are not zero state theirs. Errors: a size that is
// missing or negative, a figure over 10 m or 1000 m3, a land not smaller than
// the bore (ErrConflict), a clearance that is not over 0 (ErrImpossible).
//
// Source: volumes of cylinders; JCGM 100:2008, 5.1.2.
//
// Rows: raj-3-8-r, raj-3-18-r, gup-2-1-r, comp-ratio, comp-clearance, comp-gasket,
// comp-deck, comp-crevice, comp-ratio-u, comp-clearance-u, comp-per-gasket,
// comp-per-deck, comp-per-cc, comp-per-bore, comp-per-stroke.
func (c Compression) Volumes() (CompressionVolumes, error) {
	p, err := c.parts()
	if err != nil {
		return CompressionVolumes{}, err
	}
	const k = math.Pi / 4
	q := p.swept / p.clear
	r := CompressionVolumes{
		Swept: units.Volume(p.swept), Deck: units.Volume(p.vd), Gasket: units.Volume(p.vg), Crevice: units.Volume(p.vc),
		Clearance: units.Unstated(units.Volume(p.clear)), Ratio: units.Unstated(CompressionRatio(1 + q)), of: c,
	}
	// Derivatives of clearance and swept; d ratio = (d swept - q d clearance)/clearance.
	var uc, ur float64
	stated := true
	dRatio := func(dSwept, dClear float64) float64 { return (dSwept - q*dClear) / p.clear }
	count := func(given, isStated bool, u, dSwept, dClear float64) float64 {
		d := dRatio(dSwept, dClear)
		if given {
			stated = stated && isStated
			uc, ur = math.Hypot(uc, dClear*u), math.Hypot(ur, d*u)
		}
		return d
	}
	length := func(m units.Measured[units.Length], dSwept, dClear float64) float64 {
		return count(m != (units.Measured[units.Length]{}), m.Stated, m.U.Meters(), dSwept, dClear)
	}
	volume := func(m units.Measured[units.Volume]) float64 {
		return count(m != (units.Measured[units.Volume]{}), m.Stated, float64(m.U), 0, 1)
	}
	ring := p.ring
	if p.land == 0 {
		ring = 0
	}
	s := &r.Sensitivity
	s.PerMillimeterBore = length(c.Bore, 2*k*p.bore*p.stroke, 2*k*p.bore*(p.deck+ring)) / 1e3
	s.PerMillimeterStroke = length(c.Stroke, k*p.bore*p.bore, 0) / 1e3
	s.PerMillimeterDeck = length(c.Deck, 0, k*p.bore*p.bore) / 1e3
	s.PerMillimeterGasket = length(c.Gasket, 0, k*p.gasketBore*p.gasketBore) / 1e3
	length(c.GasketBore, 0, 2*k*p.gasketBore*p.gasket)
	length(c.Land, 0, -2*k*p.land*ring)
	length(c.TopRing, 0, k*(p.bore-p.land)*(p.bore+p.land))
	s.PerCubicCentimeter = volume(c.Head) / 1e6
	volume(c.Crown)
	if stated {
		r.Clearance = units.WithU(r.Clearance.Value, units.Volume(uc))
		r.Ratio = units.WithU(r.Ratio.Value, CompressionRatio(ur))
	}
	return r, nil
}

func ccText(v units.Volume) string {
	return strconv.FormatFloat(v.CubicCentimeters(), 'f', 3, 64) + " cm3"
}

// Working returns the derivation; nil for the zero value.
func (v CompressionVolumes) Working() units.Working {
	if v.Swept == 0 {
		return nil
	}
	c := v.of
	src := units.Source{Text: "volumes of cylinders", Provenance: units.Computed}
	return units.Working{
		{Symbol: "swept", Formula: "pi/4 B^2 S", Numbers: "B = " + num(c.Bore.Value) + ", S = " + num(c.Stroke.Value), Value: ccText(v.Swept), Source: src},
		{Symbol: "deck", Formula: "pi/4 B^2 deck", Numbers: "deck = " + num(c.Deck.Value), Value: ccText(v.Deck), Source: src},
		{Symbol: "gasket", Formula: "pi/4 Bg^2 t", Numbers: "Bg = " + num(c.GasketBore.Value) + ", t = " + num(c.Gasket.Value), Value: ccText(v.Gasket), Source: src},
		{Symbol: "crevice", Formula: "pi/4 (B^2 - Bl^2) h", Numbers: "Bl = " + num(c.Land.Value) + ", h = " + num(c.TopRing.Value), Value: ccText(v.Crevice), Source: src},
		{Symbol: "clearance", Formula: "head + crown + gasket + deck + crevice", Numbers: ccText(c.Head.Value) + " + " + ccText(c.Crown.Value) + " + " + ccText(v.Gasket) + " + " + ccText(v.Deck) + " + " + ccText(v.Crevice), Value: ccText(v.Clearance.Value), Source: src},
		{Symbol: "ratio", Formula: "1 + swept/clearance", Numbers: "1 + " + ccText(v.Swept) + "/" + ccText(v.Clearance.Value), Value: strconv.FormatFloat(float64(v.Ratio.Value), 'f', 3, 64), Source: src},
	}
}

// RatioChoices are the single changes that each bring a wanted ratio about,
// everything else left as it is.
type RatioChoices struct {
	Clearance units.Volume // what must be left at the top
	// Gasket is the thickness that does it, compressed; Head the chamber; not given where none over 0 does.
	Gasket units.Optional[units.Length]
	Head   units.Optional[units.Volume]
	// Deck is where the piston's flat must stand, negative above the deck.
	Deck  units.Length
	Crown units.Volume

	of     Compression
	wanted CompressionRatio
	// swept and present are the volumes as they stand.
	swept, present units.Volume
}

// ForRatio answers which gasket, which deck, which chamber or which crown gives a
// wanted ratio, each alone:
//
//	clearance = swept/(ratio - 1)      over = clearance - present clearance
//	gasket = Gasket + over/(pi/4 GasketBore^2)   deck = Deck + over/(pi/4 Bore^2)
//	head = Head + over                           crown = Crown + over
//
// A deck to be cut is the present Deck less the one returned. Whether a valve or
// the squish still has room is not asked here. Errors: a ratio not over 1 or
// over 1000 (ErrRange), a deck over 10 m away (ErrImpossible), those of Volumes,
// save that the present clearance may be anything over 0.
//
// Source: definition of the ratio, solved.
//
// Rows: mat-1-1-vc, comp-for-gasket, comp-for-deck, comp-for-head, comp-for-crown.
func (c Compression) ForRatio(wanted CompressionRatio) (RatioChoices, error) {
	if !(wanted > 1 && wanted <= 1000) {
		return RatioChoices{}, fail("wanted", wanted.String(), units.ErrRange, "want a ratio over 1 and at most 1000")
	}
	p, err := c.parts()
	if err != nil {
		return RatioChoices{}, err
	}
	const k = math.Pi / 4
	left := p.swept / float64(wanted-1)
	over := left - p.clear
	deck := p.deck + over/(k*p.bore*p.bore)
	if math.Abs(deck) > 10 {
		return RatioChoices{}, fail("wanted", wanted.String(), units.ErrImpossible, "no deck within 10 m gives that ratio")
	}
	r := RatioChoices{
		Clearance: units.Volume(left), Deck: meters(deck), Crown: c.Crown.Value + units.Volume(over),
		of: c, wanted: wanted, swept: units.Volume(p.swept), present: units.Volume(p.clear),
	}
	if p.gasketBore > 0 {
		if t := p.gasket + over/(k*p.gasketBore*p.gasketBore); t > 0 && t <= 10 {
			r.Gasket = units.Some(meters(t))
		}
	}
	if h := float64(c.Head.Value) + over; h > 0 {
		r.Head = units.Some(units.Volume(h))
	}
	return r, nil
}

// Working returns the derivation; nil for the zero RatioChoices.
func (r RatioChoices) Working() units.Working {
	if r.wanted == 0 {
		return nil
	}
	src := units.Source{Text: "definition of the ratio, solved", Provenance: units.Computed}
	over := ccText(r.Clearance - r.present)
	w := units.Working{
		{Symbol: "clearance", Formula: "swept/(ratio - 1)", Numbers: ccText(r.swept) + "/(" + plainNumber(float64(r.wanted)) + " - 1)", Value: ccText(r.Clearance), Source: src},
		{Symbol: "over", Formula: "clearance - present clearance", Numbers: ccText(r.Clearance) + " - " + ccText(r.present), Value: over, Source: src},
	}
	if r.Gasket.Given {
		w = append(w, units.Step{Symbol: "gasket", Formula: "gasket + over/(pi/4 Bg^2)", Numbers: num(r.of.Gasket.Value) + " + " + over + "/(pi/4 " + num(r.of.GasketBore.Value) + "^2)", Value: text(r.Gasket.Value), Source: src})
	}
	w = append(w, units.Step{Symbol: "deck", Formula: "deck + over/(pi/4 B^2)", Numbers: num(r.of.Deck.Value) + " + " + over + "/(pi/4 " + num(r.of.Bore.Value) + "^2)", Value: text(r.Deck), Source: src})
	if r.Head.Given {
		w = append(w, units.Step{Symbol: "head", Formula: "head + over", Numbers: ccText(r.of.Head.Value) + " + " + over, Value: ccText(r.Head.Value), Source: src})
	}
	return append(w, units.Step{Symbol: "crown", Formula: "crown + over", Numbers: ccText(r.of.Crown.Value) + " + " + over, Value: ccText(r.Crown), Source: src})
}

// IntakeClosing is the piston that compresses and where its intake valve shuts.
type IntakeClosing struct {
	Piston *camtiming.SliderCrank
	// IVC is where the valve shuts as the card says, after the half turn from
	// top dead center that a degree wheel counts as bottom dead center.
	IVC units.CrankAngle
	// Advance is how much earlier the cam is installed than IVC was stated for.
	Advance units.CrankAngle
}

// EffectiveCompression is how much is compressed once the intake valve has shut.
type EffectiveCompression struct {
	Static  CompressionVolumes
	Trapped camtiming.Trapped
	// Ratio is the effective ratio; it is also called dynamic.
	Ratio units.Measured[CompressionRatio]
}

// Effective answers how high a cylinder compresses from where its intake valve
// shuts:
//
//	effective = 1 + (static - 1) travel/S,  travel = Travel(180 deg + IVC - Advance)
//
// with the travel left of camtiming.SliderCrank.Trapped, from the real rod and pin offset,
// and S the stroke. Which lift counts as shut is the caller's choice: the seat
// gives less than a checking lift. It is geometry: at speed the charge goes on
// filling past the shutting of the valve, so that it ranks cams and is no
// pressure.
//
// Uncertainty: that of the static ratio, times travel/S; the angle is taken as
// exact. Errors: those of Volumes and Trapped; a stroke that is not that of the
// slider-crank to 1 um (ErrConflict).
//
// Source: definition; position from the exact slider-crank.
//
// Rows: dcr-3p48-5p7-10-60, dcr-3p48-5p7-10-40, dcr-3p48-5p7-10-75,
// dcr-86-143-11-50, comp-effective-advance, comp-effective-u.
func (c Compression) Effective(in IntakeClosing) (EffectiveCompression, error) {
	v, err := c.Volumes()
	if err != nil {
		return EffectiveCompression{}, err
	}
	if in.Advance.Abs() > units.CrankTurn || in.IVC.Abs() > units.CrankTurn {
		return EffectiveCompression{}, fail("IVC, Advance", in.IVC.String()+", "+in.Advance.String(), units.ErrRange, "want angles within one turn")
	}
	t, err := in.Piston.Trapped(in.IVC - in.Advance)
	if err != nil {
		return EffectiveCompression{}, asField("Piston, IVC", err)
	}
	if s := in.Piston.DeadCenters().Stroke; (s - c.Stroke.Value).Abs() > units.Micrometer {
		return EffectiveCompression{}, fail("Stroke", c.Stroke.Value.String(), units.ErrConflict, "the slider-crank has a stroke of "+s.String())
	}
	e := EffectiveCompression{Static: v, Trapped: t, Ratio: units.Unstated(1 + (v.Ratio.Value-1)*CompressionRatio(t.Fraction))}
	if v.Ratio.Stated {
		e.Ratio = units.WithU(e.Ratio.Value, v.Ratio.U*CompressionRatio(t.Fraction))
	}
	return e, nil
}

// Working returns the derivation.
func (e EffectiveCompression) Working() units.Working {
	w := append(e.Static.Working(), e.Trapped.Working()...)
	return append(w, units.Step{
		Symbol: "effective", Formula: "1 + (ratio - 1) fraction", Numbers: "1 + (" + plainNumber(float64(e.Static.Ratio.Value)) + " - 1) " + plainNumber(e.Trapped.Fraction),
		Value: strconv.FormatFloat(float64(e.Ratio.Value), 'f', 3, 64), Source: definition,
	})
}
