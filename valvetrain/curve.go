package valvetrain

import (
	"cmp"
	"math"
	"slices"

	"example.com/trialfit/units"
)

// CoilRun is a run of coils of one wire: cylindrical where both diameters are
// the same, conical where they differ.
type CoilRun struct {
	Turns    float64      // acting coils of the run (a count of turns)
	From, To units.Length // mean diameters at its two ends
	// Gap is the clear way that each turn can close before it rests on its
	// neighbor: pitch - d where the coils come to lie on each other.
	Gap units.Length
}

// WoundSpring is a spring by its wire and its runs of coils: progressive (runs
// of unequal pitch), conical, or a beehive (a cylinder with a cone on it).
type WoundSpring struct {
	Wire  units.Length
	Shear units.Pressure // G
	Free  units.Length   // free length, as measured
	Runs  []CoilRun
}

// Stage is a part of a spring with a rate of its own, and how far it can close.
type Stage struct {
	Rate   units.Stiffness
	Travel units.Length
}

// StagedSpring is a spring of stages one upon another, each of which closes as
// the force grows.
type StagedSpring struct {
	Free   units.Length
	Stages []Stage
}

// section is a run in SI units: flex is the deflection of one turn per force
// and per cubed diameter, so that a turn at diameter D gives flex D^3 F until it
// has closed by gap.
type section struct {
	turns, small, large, gap, flex float64
}

// deflect returns by how much a section closes under a force, and how fast it
// goes on.
func (s section) deflect(f float64) (x, compliance float64) {
	full := s.turns * s.gap
	if s.small == s.large {
		c := s.flex * s.turns * s.large * s.large * s.large
		if c*f >= full {
			return full, 0
		}
		return c * f, c
	}
	// Turns over the diameter dc have closed.
	dc := math.Cbrt(s.gap / (s.flex * f))
	switch {
	case f <= 0 || dc >= s.large:
		c := s.flex * s.turns * (s.small + s.large) * (s.small*s.small + s.large*s.large) / 4
		return c * f, c
	case dc <= s.small:
		return full, 0
	default:
		per := s.turns / (s.large - s.small)
		c := s.flex * per * (dc - s.small) * (dc + s.small) * (dc*dc + s.small*s.small) / 4
		return c*f + per*s.gap*(s.large-dc), c
	}
}

// closing returns the forces at which a section begins to close and at which
// it is closed.
func (s section) closing() (begins, closed float64) {
	cubed := func(d float64) float64 { return s.gap / (s.flex * d * d * d) }
	return cubed(s.large), cubed(s.small)
}

// knot is a force at which the law of a spring changes; straight says that the
// force goes in a straight line to the next.
type knot struct {
	force, deflection float64
	straight          bool
}

// coneKnots is how many knots a closing cone gets beside its two ends.
const coneKnots = 31

// SpringCurve is a spring whose rate changes as coils close. It is made by
// WoundSpring.Curve or StagedSpring.Curve; the zero SpringCurve refuses.
type SpringCurve struct {
	free, solid units.Length
	sections    []section
	knots       []knot
}

// Curve answers how a spring of unequal coils gives its force. By the strain
// energy of torsion a turn of mean diameter D gives way by 8 D^3 F/(G d^4) until
// it has closed by Gap. Over a run whose diameter goes evenly from D1 to D2 the
// open turns give
//
//	x = F 8/(G d^4) n (D1 + D2)(D1^2 + D2^2)/4
//
// and the closed ones n Gap; of a cone the large turns close first, at F = Gap G
// d^4/(8 D^3). For one cylinder it is the rate of Coil.Rate, for one cone that of
// a conical spring, k = G d^4/(2 n (D1 + D2)(D1^2 + D2^2)), before coils close.
// The solid height is Free minus all gaps.
//
// It holds for small pitch angles and coils that rest on their neighbors one
// after another; ends count as solid. Build it once, evaluate it often.
// Errors: no run or over 100; a wire, modulus, diameter, gap or count that is
// missing, negative or not finite; a mean diameter not over the wire
// (ErrImpossible); a free length that the gaps use up (ErrConflict).
//
// Source: strain energy of torsion (Castigliano) over the coil; conical rate as
// in Wahl, Mechanical Springs, 2nd ed. (from memory).
//
// Rows: curve-cylinder, curve-cone-tangent, curve-cone-rate, curve-cone-closing,
// curve-beehive, curve-beehive-early, curve-beehive-late, curve-progressive.
func (w WoundSpring) Curve() (SpringCurve, error) {
	if err := checkSize("Wire", w.Wire); err != nil {
		return SpringCurve{}, err
	}
	if err := checkOver("Shear", w.Shear, 1e13, "want a shear modulus over 0 and up to 1e13 Pa"); err != nil {
		return SpringCurve{}, err
	}
	d := w.Wire.Meters()
	flex := 8 / (w.Shear.Pascals() * d * d * d * d)
	s := make([]section, len(w.Runs))
	for i, r := range w.Runs {
		field := at("Runs", i)
		if err := checkOver(field+".Turns", r.Turns, 1000, "want turns over 0 and up to 1000"); err != nil {
			return SpringCurve{}, err
		}
		for _, v := range [...]struct {
			name string
			l    units.Length
		}{{".From", r.From}, {".To", r.To}, {".Gap", r.Gap}} {
			if err := checkSize(field+v.name, v.l); err != nil {
				return SpringCurve{}, err
			}
		}
		if min(r.From, r.To) <= w.Wire {
			return SpringCurve{}, fail(field+".From", text(min(r.From, r.To)), units.ErrImpossible, "want mean diameters over the wire diameter "+text(w.Wire))
		}
		s[i] = section{turns: r.Turns, small: min(r.From, r.To).Meters(), large: max(r.From, r.To).Meters(), gap: r.Gap.Meters(), flex: flex}
	}
	return newCurve(w.Free, "Runs", s)
}

// Curve answers how a spring of stages gives its force: every stage closes by
// F/Rate until its travel is used up, so that under the force F the spring has
// closed by
//
//	x = sum of min(F/Rate_i, Travel_i)
//
// and the rate goes up, 1/k = sum 1/k_i of the open stages, as one after the
// other closes. Errors: no stage or over 100; a rate or travel that is missing,
// negative or not finite; a free length that the travels use up (ErrConflict).
//
// Source: definition: springs one upon another.
//
// Rows: curve-stages, curve-stages-rate.
func (w StagedSpring) Curve() (SpringCurve, error) {
	s := make([]section, len(w.Stages))
	for i, g := range w.Stages {
		if err := checkOver(at("Stages", i)+".Rate", g.Rate, maxRate, "want a rate over 0 and up to 1e12 N/m"); err != nil {
			return SpringCurve{}, err
		}
		if err := checkSize(at("Stages", i)+".Travel", g.Travel); err != nil {
			return SpringCurve{}, err
		}
		s[i] = section{turns: 1, small: 1, large: 1, gap: g.Travel.Meters(), flex: 1 / float64(g.Rate)}
	}
	return newCurve(w.Free, "Stages", s)
}

func newCurve(free units.Length, field string, s []section) (SpringCurve, error) {
	if err := checkSize("Free", free); err != nil {
		return SpringCurve{}, err
	}
	if len(s) == 0 || len(s) > 100 {
		kind := units.ErrRange
		if len(s) == 0 {
			kind = units.ErrMissing
		}
		return SpringCurve{}, fail(field, plain(float64(len(s))), kind, "want 1 to 100 of them")
	}
	c := SpringCurve{free: free, sections: s}
	var travel float64
	c.knots = append(c.knots, knot{})
	for _, x := range s {
		travel += x.turns * x.gap
		begins, closed := x.closing()
		if !(closed <= float64(maxForce)) || x.flex == 0 {
			return SpringCurve{}, fail(field, plain(closed), units.ErrRange, "want coils that close under at most 1e9 N")
		}
		c.knots = append(c.knots, knot{force: begins}, knot{force: closed})
		for i := range coneKnots { // between the two, so that a solution starts near
			if begins < closed {
				c.knots = append(c.knots, knot{force: begins + (closed-begins)*float64(i+1)/(coneKnots+1)})
			}
		}
	}
	if !(travel < free.Meters()) {
		return SpringCurve{}, fail("Free", text(free), units.ErrConflict, "want more than the gaps of all coils, "+plain(travel*1e3)+" mm")
	}
	c.solid = free - count(travel)
	slices.SortFunc(c.knots, func(a, b knot) int { return cmp.Compare(a.force, b.force) })
	c.knots = slices.CompactFunc(c.knots, func(a, b knot) bool { return a.force == b.force })
	for i := range c.knots {
		c.knots[i].deflection, _ = c.deflect(c.knots[i].force)
		c.knots[i].straight = true
		for _, x := range s {
			begins, closed := x.closing()
			if x.small != x.large && begins <= c.knots[i].force && c.knots[i].force < closed {
				c.knots[i].straight = false
			}
		}
	}
	return c, nil
}

// deflect returns by how much the spring closes under a force, and its
// compliance there.
func (c SpringCurve) deflect(f float64) (x, compliance float64) {
	for i := range c.sections {
		dx, dc := c.sections[i].deflect(f)
		x, compliance = x+dx, compliance+dc
	}
	return x, compliance
}

// FreeLength returns the free length as given.
func (c SpringCurve) FreeLength() units.Length { return c.free }

// SolidHeight returns the free length less all gaps; its uncertainty is not
// known.
//
// Rows: curve-solid.
func (c SpringCurve) SolidHeight() units.Measured[units.Length] { return units.Unstated(c.solid) }

// force returns the force at a height.
func (c SpringCurve) force(height units.Length) (float64, error) {
	if len(c.knots) == 0 {
		return 0, fail("SpringCurve", "", units.ErrMissing, "want a curve made by Curve")
	}
	if err := checkSize("height", height); err != nil {
		return 0, err
	}
	if height < c.solid {
		return 0, underSolid("height", height, c.solid)
	}
	if height >= c.free {
		return 0, nil
	}
	x := (c.free - height).Meters()
	i, last := 1, len(c.knots)-1 // the first knot past x, or the last
	for i < last {
		if mid := (i + last) / 2; c.knots[mid].deflection < x {
			i = mid + 1
		} else {
			last = mid
		}
	}
	a, b := c.knots[i-1], c.knots[i]
	if x >= b.deflection { // the last picometer before solid
		return b.force, nil
	}
	if a.straight {
		return a.force + (b.force-a.force)*(x-a.deflection)/(b.deflection-a.deflection), nil
	}
	// The deflection grows ever slower with the force: Newton's steps from
	// below stay below and close in.
	f := a.force
	for range 60 {
		y, slope := c.deflect(f)
		if !(slope > 0) {
			break
		}
		next := f + (x-y)/slope
		if !(next > f) || next >= b.force {
			break
		}
		if next-f <= 1e-9*next { // the error of next is of the square of that
			return next, nil
		}
		f = next
	}
	return f, nil
}

// ForceAt answers what force the spring gives at a height, the inverse of the
// deflection that Curve describes; 0 at the free length and above. It does not
// allocate. A height that is not over 0 is ErrRange, one under the solid height
// ErrImpossible.
//
// Source: as WoundSpring.Curve.
//
// Rows: curve-cylinder, curve-cone-rate, curve-cone-closing, curve-beehive,
// curve-progressive, curve-stages.
func (c SpringCurve) ForceAt(height units.Length) (units.Force, error) {
	f, err := c.force(height)
	return units.Force(f), err
}

// LoadAt answers what force the spring gives at a height and its rate there;
// the uncertainty is not stated. Where the spring is loose the rate is 0, where
// it is solid that just before. Errors as for ForceAt.
//
// Source: as WoundSpring.Curve.
//
// Rows: curve-stages-rate, curve-stages-rate-late, curve-cone-tangent.
func (c SpringCurve) LoadAt(height units.Length) (SpringLoad, error) {
	f, err := c.force(height)
	if err != nil {
		return SpringLoad{}, err
	}
	if height >= c.free {
		return SpringLoad{}, nil
	}
	_, compliance := c.deflect(f)
	if !(compliance > 0) {
		_, compliance = c.deflect(f * (1 - 1e-9))
	}
	l := SpringLoad{Force: units.Unstated(units.Force(f))}
	if compliance > 0 {
		l.Rate = units.Stiffness(1 / compliance)
	}
	return l, nil
}
