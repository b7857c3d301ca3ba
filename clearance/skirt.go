package clearance

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

// SkirtPoint is the piston's diameter at one height.
type SkirtPoint struct {
	// Height is from the lower edge of the skirt, where the diameter is
	// measured; it is part of the maker's figure.
	Height   units.Length
	Diameter units.Measured[units.Length] // across the thrust faces
	// At is the temperature at work there.
	At units.Measured[units.Temperature]
}

// SkirtFit is a piston in its bore.
type SkirtFit struct {
	Bore   material.Part // diameter across the thrust faces, and when measured
	BoreAt units.Measured[units.Temperature]
	// Skirt are the points measured, by rising height, at PistonCold.
	Skirt      []SkirtPoint
	PistonCold units.Measured[units.Temperature]
	Piston     material.Expansion
	// GaugeHeight is the height at which the maker states the cold clearance.
	// It must be one of those measured.
	GaugeHeight units.Length
}

// SkirtClearance is the clearance of a piston, diametral.
type SkirtClearance struct {
	// Cold is at the gauge height with both parts as measured.
	Cold units.Measured[units.Length]
	// PerDiameter is Cold over the bore, a true ratio.
	PerDiameter float64
	// Hot are the clearances at work, in the order of Skirt; Tightest is the
	// index of the smallest.
	Hot      []material.HotClearance
	Tightest int

	from SkirtFit
}

// Clearance answers how much room a piston has in its bore, cold at the height
// where the maker states it and at work at every height measured:
//
//	cold = Bore.Size - Diameter at GaugeHeight
//	hot  = Bore at BoreAt - Diameter at its At
//
// by material.Pair.Hot, with Piston for the expansion of every point. A skirt is
// hotter and grows more toward the crown, which is why it is smaller there: the
// height that is tightest at work need not be the one that is cold. The skirt is
// taken to grow freely; one with slots, struts or a controlled shape grows
// less, as its maker knows. Bore and piston must be measured at one temperature
// for Cold to mean what the maker states. A negative clearance is data.
//
// Errors: no points, over 10,000; heights that do not rise; a gauge height that
// is not among them (ErrMissing): measured elsewhere, the skirt is another size;
// bore and piston measured over 5 K apart (ErrConflict); a cold clearance over
// a tenth of the bore either way (ErrConflict); those of material.Pair.Hot.
//
// Source: definition; material.Pair.Hot.
//
// Rows: skirt-cold, skirt-hot, skirt-hot-crown, skirt-hot-u, skirt-tightest,
// skirt-iron.
func (f SkirtFit) Clearance() (SkirtClearance, error) {
	if err := f.check(); err != nil {
		return SkirtClearance{}, err
	}
	r := SkirtClearance{Hot: make([]material.HotClearance, len(f.Skirt)), from: f}
	r.from.Skirt = slices.Clone(f.Skirt)
	gauge := false
	for i, p := range f.Skirt {
		pair := material.Pair{Bore: f.Bore, Shaft: material.Part{Size: p.Diameter, Cold: f.PistonCold, Expansion: f.Piston}}
		h, err := pair.Hot(material.Warm{Bore: f.BoreAt, Shaft: p.At})
		if err != nil {
			return SkirtClearance{}, f.named(i, err)
		}
		r.Hot[i] = h
		if h.Clearance.Value < r.Hot[r.Tightest].Clearance.Value {
			r.Tightest = i
		}
		if p.Height == f.GaugeHeight {
			gauge, r.Cold = true, sub(f.Bore.Size, p.Diameter)
		}
	}
	if !gauge {
		return SkirtClearance{}, fail("GaugeHeight", f.GaugeHeight.String(), units.ErrMissing, "the skirt was not measured at this height: measure it where its maker states it")
	}
	if r.Cold.Value.Abs() > f.Bore.Size.Value/10 {
		return SkirtClearance{}, fail("Skirt", text(r.Cold.Value), units.ErrConflict, "bore and piston differ by over a tenth: a misread inch or a mixed unit")
	}
	r.PerDiameter = float64(r.Cold.Value) / float64(f.Bore.Size.Value)
	return r, nil
}

func (f SkirtFit) check() error {
	if len(f.Skirt) == 0 {
		return fail("Skirt", "", units.ErrMissing, "want at least one diameter")
	}
	if len(f.Skirt) > maxReadings {
		return fail("Skirt", strconv.Itoa(len(f.Skirt)), units.ErrRange, "want at most 10000 diameters")
	}
	for i, p := range f.Skirt {
		if err := checkPositive(at("Skirt", i)+".Diameter", p.Diameter); err != nil {
			return err
		}
		if err := checkSigned(at("Skirt", i)+".Height", p.Height); err != nil {
			return err
		}
		if i > 0 && p.Height <= f.Skirt[i-1].Height {
			return fail(at("Skirt", i)+".Height", p.Height.String(), units.ErrConflict, "want each point higher than the one before")
		}
	}
	if d := f.Bore.Cold.Value - f.PistonCold.Value; d > 5 || d < -5 {
		return fail("PistonCold", f.PistonCold.Value.String(), units.ErrConflict, "bore and piston were measured over 5 K apart: let them reach one temperature")
	}
	return nil
}

// named moves an error of the pair to the fields of the fit.
func (f SkirtFit) named(i int, err error) error {
	var e *units.InputError
	if !errors.As(err, &e) {
		return err
	}
	n := *e
	n.Package = "clearance"
	switch side, rest, _ := strings.Cut(e.Field, "."); {
	case side == "Bore" && strings.HasPrefix(rest, "At"):
		n.Field = "BoreAt"
	case side == "Shaft" && strings.HasPrefix(rest, "At"):
		n.Field = at("Skirt", i) + ".At"
	case side == "Shaft" && strings.HasPrefix(rest, "Cold"):
		n.Field = "PistonCold"
	case side == "Shaft":
		n.Field = strings.Replace(rest, "Expansion", "Piston", 1)
	}
	return &n
}

// Working returns the derivation.
func (c SkirtClearance) Working() units.Working {
	var w units.Working
	for i, h := range c.Hot {
		if i >= len(c.from.Skirt) {
			return nil // a result that somebody filled in
		}
		p := c.from.Skirt[i]
		if p.Height == c.from.GaugeHeight {
			w = append(w, units.Step{Symbol: "cold", Formula: "bore - skirt at " + num(p.Height), Numbers: num(c.from.Bore.Size.Value) + " - " + num(p.Diameter.Value), Value: measuredText(c.Cold), Source: definition})
		}
		w = append(w, units.Step{Symbol: "hot at " + num(p.Height), Formula: "bore - skirt, each at its temperature", Numbers: num(h.Bore.Value) + " - " + num(h.Shaft.Value), Value: measuredText(h.Clearance), Source: c.from.Piston.Source})
	}
	return w
}

// RibbonPull is the feeler ribbon between piston and bore that just needs a
// pull of about 6 lb to come out.
type RibbonPull struct {
	Ribbon units.Measured[units.Length] // its thickness
}

// Clearance answers what piston clearance a ribbon pulled out at 6 lb means, by
// a rule of one handbook:
//
//	clearance = Ribbon + 0.001 in
//
// read at four places 90 degrees apart. The pull is the rule's own: another
// ribbon width or pull has another figure. Errors: a ribbon that is missing,
// negative or over 1 mm, a negative uncertainty.
//
// Source: US Army TM 5-4210-233-14&P-2 p. 6-185.
//
// Rows: tm233-pull-rule.
func (r RibbonPull) Clearance() (units.Measured[units.Length], error) {
	if err := checkPositive("Ribbon", r.Ribbon); err != nil {
		return units.Measured[units.Length]{}, err
	}
	if r.Ribbon.Value > units.Millimeter {
		return units.Measured[units.Length]{}, fail("Ribbon", text(r.Ribbon.Value), units.ErrRange, "want a ribbon of up to 1 mm")
	}
	return units.Measured[units.Length]{Value: r.Ribbon.Value + units.Thou, U: r.Ribbon.U, Stated: r.Ribbon.Stated}, nil
}

// Working returns the derivation of Clearance; nil where it has none.
func (r RibbonPull) Working() units.Working {
	m, err := r.Clearance()
	if err != nil {
		return nil
	}
	return units.Working{{Symbol: "clearance", Formula: "ribbon + 0.001 in, at a pull of 6 lb", Numbers: num(r.Ribbon.Value) + " + 0.0254 mm", Value: measuredText(m), Source: units.Source{Text: "US Army TM 5-4210-233-14&P-2 p. 6-185", Provenance: units.Verified}}}
}

// TorquePlate is a bore read free and read with a plate, or its head, tightened
// on it: same stations, same directions.
type TorquePlate struct {
	Free, Clamped Round
}

// BoreMove is how one diameter moved.
type BoreMove struct {
	At     units.Length
	Around units.CrankAngle
	Change units.Measured[units.Length] // Clamped - Free
}

// PlateChange is what tightening does to a bore.
type PlateChange struct {
	Free, Clamped Shape
	// Mean is the change of the mean diameter. OutOfRound and Taper are changes
	// of theirs, given where the shapes have them.
	Mean              units.Measured[units.Length]
	OutOfRound, Taper units.Optional[units.Length]
	// Most is the diameter that moved most either way.
	Most BoreMove
}

// Change answers what a torque plate does to a bore:
//
//	change = clamped - free, diameter by diameter
//
// The zero of the gauge cancels where both were read with one setting; give
// ZeroU 0 then, else it counts for each. A bore that is honed free takes the
// clamped form when the head goes on; honed clamped, it runs round. Errors:
// those of Round.Shape with Free or Clamped in front, stations or directions
// that are not the same in both (ErrConflict).
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: plate-mean, plate-oor, plate-most.
func (p TorquePlate) Change() (PlateChange, error) {
	for _, r := range []struct {
		name string
		r    Round
	}{{"Free", p.Free}, {"Clamped", p.Clamped}} {
		if err := r.r.check(r.name); err != nil {
			return PlateChange{}, err
		}
		if err := checkDirections(r.name, r.r); err != nil {
			return PlateChange{}, err
		}
	}
	if !sameStations(p.Free, p.Clamped) {
		return PlateChange{}, fail("Clamped.Stations", "", units.ErrConflict, "want the stations at which the bore was read free")
	}
	c := PlateChange{Free: p.Free.shape(), Clamped: p.Clamped.shape()}
	c.Mean = sub(c.Clamped.Mean, c.Free.Mean)
	if c.Free.OutOfRound.Given {
		c.OutOfRound = units.Some(c.Clamped.OutOfRound.Value.Value - c.Free.OutOfRound.Value.Value)
	}
	if c.Free.Taper.Given {
		c.Taper = units.Some(c.Clamped.Taper.Value.Value - c.Free.Taper.Value.Value)
	}
	first := true
	for i, s := range p.Free.Stations {
		if len(s.Diameters) != len(p.Clamped.Stations[i].Diameters) {
			return PlateChange{}, fail(at("Clamped.Stations", i)+".Diameters", strconv.Itoa(len(p.Clamped.Stations[i].Diameters)), units.ErrConflict, "want the directions in which the bore was read free")
		}
		clamped := make(map[units.CrankAngle]units.Measured[units.Length], len(s.Diameters))
		for _, d := range p.Clamped.Stations[i].Diameters {
			clamped[direction(d.Around)] = d.Reading
		}
		for j, d := range s.Diameters {
			r, ok := clamped[direction(d.Around)]
			if !ok {
				return PlateChange{}, fail(at(at("Free.Stations", i)+".Diameters", j)+".Around", d.Around.String(), units.ErrConflict, "this direction was not read clamped")
			}
			if m := sub(r, d.Reading); first || m.Value.Abs() > c.Most.Change.Value.Abs() {
				c.Most, first = BoreMove{At: s.At, Around: d.Around, Change: m}, false
			}
		}
	}
	return c, nil
}

// Working returns the derivation.
func (c PlateChange) Working() units.Working {
	return units.Working{
		{Symbol: "mean", Formula: "clamped - free", Numbers: num(c.Clamped.Mean.Value) + " - " + num(c.Free.Mean.Value), Value: measuredText(c.Mean), Source: definition},
		{Symbol: "most", Formula: "the diameter that moved most, " + c.Most.Around.Text(0) + " at " + num(c.Most.At), Value: measuredText(c.Most.Change), Source: definition},
	}
}
