package clearance

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// Squish is what lies between the flat of a piston at top dead center and the flat
// of the head over it.
type Squish struct {
	// Deck is how far the piston's flat stands below the deck, negative where
	// it stands proud. Gasket is the head gasket, compressed.
	Deck, Gasket units.Measured[units.Length]
	// Recess is how far the head's flat stands up from its face; 0 for a head
	// whose squish flat is its face.
	Recess units.Measured[units.Length]
	// Growth is how much nearer the piston comes hot and at speed: rod stretch,
	// expansion, slack of bearings and pin, piston rock, together; the caller's figure.
	Growth units.Measured[units.Length]
}

// SquishClearance is the distance from piston to head.
type SquishClearance struct {
	Squish Squish
	// Static is it as assembled, Running less the growth; negative is contact.
	Static, Running units.Measured[units.Length]
}

// Clearance answers how near a piston comes to the head at top dead center:
//
//	static = Deck + Gasket + Recess     running = static - Growth
//
// PistonToHead holds what the trade leaves, static.
//
// Uncertainty: by root sum of squares; stated where all figures that are not zero
// state theirs. Errors: a figure over 1 m, a negative gasket or growth, a
// negative uncertainty.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: squish-static, squish-running, squish-u.
func (s Squish) Clearance() (SquishClearance, error) {
	var sum units.Length
	var u float64
	stated := true
	r := SquishClearance{Squish: s}
	for i, f := range [...]struct {
		name   string
		m      units.Measured[units.Length]
		signed bool
	}{{"Deck", s.Deck, true}, {"Gasket", s.Gasket, false}, {"Recess", s.Recess, true}, {"Growth", s.Growth, false}} {
		if err := checkSmall(f.name, f.m); err != nil {
			return SquishClearance{}, err
		}
		if !f.signed && f.m.Value < 0 {
			return SquishClearance{}, fail(f.name, f.m.Value.String(), units.ErrRange, "want a figure that is not negative")
		}
		if i == 3 {
			r.Static = result(sum, stated, u)
			sum -= f.m.Value
		} else {
			sum += f.m.Value
		}
		if f.m != (units.Measured[units.Length]{}) {
			stated = stated && f.m.Stated
			u = math.Hypot(u, float64(f.m.U))
		}
	}
	r.Running = result(sum, stated, u)
	return r, nil
}

// Working returns the derivation.
func (c SquishClearance) Working() units.Working {
	s := c.Squish
	return units.Working{
		{Symbol: "static", Formula: "deck + gasket + recess", Numbers: num(s.Deck.Value) + " + " + num(s.Gasket.Value) + " + " + num(s.Recess.Value), Value: measuredText(c.Static), Source: definition},
		{Symbol: "running", Formula: "static - growth", Numbers: num(c.Static.Value) + " - " + num(s.Growth.Value), Value: measuredText(c.Running), Source: definition},
	}
}

// GasketPair is a head gasket measured new and after it was torqued down.
type GasketPair struct {
	New, Compressed units.Measured[units.Length]
}

// GasketCrush is how much a gasket gave way.
type GasketCrush struct {
	Pair  GasketPair
	Crush units.Measured[units.Length]
	// OfNew is the crush over the new thickness, a ratio.
	OfNew float64
}

// Crush answers how much a gasket gives way when torqued:
//
//	crush = New - Compressed     of new = crush/New
//
// A removed gasket has sprung back a little: its thickness is an upper bound of
// that under torque. Errors: a thickness that is not over 0, one that is thicker compressed than new
// (ErrConflict), a negative uncertainty.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: gasket-crush, gasket-crush-share, gasket-crush-u.
func (p GasketPair) Crush() (GasketCrush, error) {
	if err := checkPart("New", p.New); err != nil {
		return GasketCrush{}, err
	}
	if err := checkPart("Compressed", p.Compressed); err != nil {
		return GasketCrush{}, err
	}
	if p.Compressed.Value > p.New.Value {
		return GasketCrush{}, fail("Compressed", p.Compressed.Value.String(), units.ErrConflict, "want at most the new thickness of "+p.New.Value.String())
	}
	c := sub(p.New, p.Compressed)
	return GasketCrush{Pair: p, Crush: c, OfNew: float64(c.Value) / float64(p.New.Value)}, nil
}

// Working returns the derivation.
func (c GasketCrush) Working() units.Working {
	return units.Working{
		{Symbol: "crush", Formula: "new - compressed", Numbers: num(c.Pair.New.Value) + " - " + num(c.Pair.Compressed.Value), Value: measuredText(c.Crush), Source: definition},
		{Symbol: "of new", Formula: "crush/new", Numbers: num(c.Crush.Value) + "/" + num(c.Pair.New.Value), Value: strconv.FormatFloat(c.OfNew*100, 'f', 1, 64) + " %", Source: definition},
	}
}

// GasketChoice asks which of the gaskets at hand suits a cylinder.
type GasketChoice struct {
	// Compression is the cylinder; its Gasket is replaced by each of Gaskets.
	Compression Compression
	// Recess and Growth are those of Squish.
	Recess, Growth units.Measured[units.Length]
	Gaskets        []units.Measured[units.Length] // thicknesses, compressed
	// Ratio and Squish are what is wanted; the squish is judged running. At least
	// one is needed; the zero one is not asked.
	Ratio  units.Limits[CompressionRatio]
	Squish units.Limits[units.Length]
	Rule   units.DecisionRule
}

// GasketLine is what one gasket gives.
type GasketLine struct {
	Gasket  units.Measured[units.Length]
	Volumes CompressionVolumes
	Squish  SquishClearance
	// Ratio and Running are the verdicts, given where limits were.
	Ratio   units.Optional[units.Verdict[CompressionRatio]]
	Running units.Optional[units.Verdict[units.Length]]
	// Outcome is within only if all that was asked is, outside if anything is.
	Outcome units.Outcome
}

// Table answers what ratio and what squish each gasket at hand gives, and which of
// them meet the limits, in the order given. Errors: no gasket or over 1000, no
// limits, those of Compression.Volumes, Squish.Clearance and units.Judge.
//
// Source: as Compression.Volumes and Squish.Clearance; verdicts by units.Judge.
//
// Rows: gasket-table-ratio, gasket-table-squish, gasket-table-within,
// gasket-table-outside.
func (g GasketChoice) Table() ([]GasketLine, error) {
	switch {
	case len(g.Gaskets) == 0:
		return nil, fail("Gaskets", "", units.ErrMissing, "want the thicknesses at hand")
	case len(g.Gaskets) > 1000:
		return nil, fail("Gaskets", strconv.Itoa(len(g.Gaskets)), units.ErrRange, "want at most 1000 thicknesses")
	}
	askRatio, askSquish := g.Ratio != (units.Limits[CompressionRatio]{}), g.Squish != (units.Limits[units.Length]{})
	if !askRatio && !askSquish {
		return nil, fail("Ratio, Squish", "", units.ErrMissing, "want limits of at least one")
	}
	lines := make([]GasketLine, len(g.Gaskets))
	for i, t := range g.Gaskets {
		if err := checkPart(at("Gaskets", i), t); err != nil {
			return nil, err
		}
		c := g.Compression
		c.Gasket = t
		l := &lines[i]
		l.Gasket = t
		var err error
		if l.Volumes, err = c.Volumes(); err != nil {
			return nil, err
		}
		if l.Squish, err = (Squish{Deck: c.Deck, Gasket: t, Recess: g.Recess, Growth: g.Growth}).Clearance(); err != nil {
			return nil, err
		}
		l.Outcome = units.ProvedWithin
		if askRatio {
			v, err := units.Judge(l.Volumes.Ratio, g.Ratio, g.Rule)
			if err != nil {
				return nil, asField("Ratio", err)
			}
			l.Ratio, l.Outcome = units.Some(v), worse(l.Outcome, v.Outcome)
		}
		if askSquish {
			v, err := units.Judge(l.Squish.Running, g.Squish, g.Rule)
			if err != nil {
				return nil, asField("Squish", err)
			}
			l.Running, l.Outcome = units.Some(v), worse(l.Outcome, v.Outcome)
		}
	}
	return lines, nil
}
