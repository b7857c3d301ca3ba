package clearance

import (
	"math"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// ValvePocket is a round pocket cut into the piston along the valve's stem, and
// the head of the valve that dips into it.
type ValvePocket struct {
	Head, Pocket units.Measured[units.Length] // diameters
	// Depth is that of the pocket's wall, along the valve.
	Depth units.Length
	// Along and Across are how far the pocket's center stands from the valve's axis
	// at top dead center: Along toward the side to which the valve leans as it
	// opens, Across square to that. Both 0 for a pocket cut through the guide
	// with the piston at the top.
	Along, Across units.Length
}

// PocketRadial is the room around a valve's head in its pocket.
type PocketRadial struct {
	// Enters says that the head dips into the pocket at all; the rest is given
	// only if it does.
	Enters bool
	// Least is the least distance from the head's edge to the wall, at FromTDC with
	// the piston Travel below its top; negative is contact.
	Least   units.Measured[units.Length]
	FromTDC units.CrankAngle
	Travel  units.Length
	// Offset is how far the two axes are apart there.
	Offset units.Length

	pocket ValvePocket
}

// Radial answers how near the edge of a valve's head comes to the wall of its
// pocket while the valve is off its seat and its head in the pocket, with the nose
// of the lobe at a centerline. The valve moves along its stem and the piston along
// the bore, so that the pocket wanders sideways under the head by x sin g:
//
//	offset = sqrt((Along - x sin g)^2 + Across^2)
//	radial = (Pocket - Head)/2 - offset
//
// with x = travel of the piston, g = Lean. The head is in the pocket where the gap
// of At is under Depth; radial is least at an end of such a stretch, or at the
// place in it nearest to top dead center. The ends are bracketed at every sixteenth of a piece of the
// lobe and then halved to the quantum. The wall is taken as equally deep all
// around and the head as flat. PocketRadialRoom holds what the trade leaves.
//
// Uncertainty: half of each diameter's, by root sum of squares. Errors: a face that
// is not a PocketFloor (ErrConflict), diameters or a depth not over 0, an offset
// over 1 m, those of Minimum.
//
// Source: geometry of two translations at an angle; JCGM 100:2008, 5.1.2.
//
// Rows: ptv-radial, ptv-radial-offset, ptv-radial-u.
func (p *PistonValve) Radial(centerline units.CrankAngle, v ValvePocket) (PocketRadial, error) {
	nose, err := p.ready(centerline)
	if err != nil {
		return PocketRadial{}, err
	}
	if p.spec.Face != PocketFloor {
		return PocketRadial{}, fail("Face", p.spec.Face.String(), units.ErrConflict, "want a pocket cut square to the valve")
	}
	for _, f := range [...]struct {
		name string
		m    units.Measured[units.Length]
	}{{"Head", v.Head}, {"Pocket", v.Pocket}, {"Depth", units.Unstated(v.Depth)}} {
		if err := checkPositive(f.name, f.m); err != nil {
			return PocketRadial{}, err
		}
		if err := checkSmall(f.name, f.m); err != nil {
			return PocketRadial{}, err
		}
	}
	if v.Along.Abs() > units.Meter || v.Across.Abs() > units.Meter {
		return PocketRadial{}, fail("Along, Across", v.Along.String()+", "+v.Across.String(), units.ErrRange, "want at most 1 m")
	}
	sin := math.Sin(float64(p.spec.Lean))
	offset := func(x units.Length) float64 {
		return math.Hypot(v.Along.Meters()-x.Meters()*sin, v.Across.Meters())
	}
	r := PocketRadial{pocket: v}
	worst := math.Inf(-1)
	in := func(n int64) bool {
		return p.gap(nose+units.CrankAngle(n), units.CamAngle(n)).Gap < v.Depth
	}
	offer := func(n int64) {
		t := nose + units.CrankAngle(n)
		x := p.spec.Piston.Travel(t)
		if o := offset(x); o > worst {
			worst = o
			r.Enters, r.FromTDC, r.Travel, r.Offset = true, t.Wrap(), x, meters(o)
		}
	}
	open, shut := int64(p.edges.open), int64(p.edges.close)
	at, _ := p.search.minimum(int64(nose), p.edges)
	n0, in0 := open, in(open)
	step := func(n int64) {
		if n <= n0 || n > shut {
			return
		}
		now := in(n)
		if now != in0 { // halve to where the head passes the rim
			a, b := n0, n
			for b-a > 1 {
				if m := a + (b-a)/2; in(m) == in0 {
					a = m
				} else {
					b = m
				}
			}
			if now {
				offer(b)
			} else {
				offer(a)
			}
		}
		if now {
			offer(n)
		}
		n0, in0 = n, now
	}
	if in0 {
		offer(open)
	}
	// Top dead center and the place of the least gap are looked at, too.
	top := -int64(nose)
	for i := range p.search.pieces {
		c := &p.search.pieces[i]
		lo := c.lo
		for k := int64(1); k <= readings; k++ {
			hi := c.lo + (c.hi-c.lo)*k/readings
			for _, n := range [...]int64{min(at, top), max(at, top)} {
				if n > lo && n < hi {
					step(n)
				}
			}
			step(hi)
			lo = hi
		}
	}
	step(shut)
	if !r.Enters {
		return PocketRadial{pocket: v}, nil
	}
	half := meters((v.Pocket.Value - v.Head.Value).Meters() / 2)
	r.Least = result(half-r.Offset, v.Head.Stated && v.Pocket.Stated, math.Hypot(float64(v.Head.U), float64(v.Pocket.U))/2)
	return r, nil
}

// Working returns the derivation.
func (r PocketRadial) Working() units.Working {
	if !r.Enters {
		return nil
	}
	v := r.pocket
	src := units.Source{Text: "geometry of two translations at an angle", Provenance: units.Computed}
	return units.Working{
		{Symbol: "offset", Formula: "sqrt((along - x sin g)^2 + across^2)", Numbers: "along = " + num(v.Along) + ", across = " + num(v.Across) + ", x = " + num(r.Travel), Value: text(r.Offset), Source: src},
		{Symbol: "radial", Formula: "(pocket - head)/2 - offset", Numbers: "(" + num(v.Pocket.Value) + " - " + num(v.Head.Value) + ")/2 - " + num(r.Offset), Value: measuredText(r.Least), Source: src},
	}
}

// ValveCheck is a gap between valve and piston that was measured, by clay on the
// piston or by a dial over a checking spring, and what differed then from the engine as
// it will run. Fields that did not differ stay zero.
type ValveCheck struct {
	Reading units.Measured[units.Length] // along the line that Face names
	Face    PistonFace
	Lean    valvetrain.PlaneAngle
	// Ratio is the rocker ratio; needed only with Collapse.
	Ratio float64
	// LashAtCheck is the lash at the valve during the check, LashRunning that set
	// to run: a solid lifter is often checked at no lash.
	LashAtCheck, LashRunning units.Measured[units.Length]
	// Collapse is how far a hydraulic lifter's plunger gave way during the check,
	// at the lifter: pumped up, it lifts the valve by that much more. 0 for
	// a solid lifter, or a hydraulic one replaced by a solid one for the check.
	Collapse units.Measured[units.Length]
	// GasketAtCheck and GasketRunning are the gasket's thickness then and when
	// torqued, 0 for a head laid on bare.
	GasketAtCheck, GasketRunning units.Measured[units.Length]
	// Spring is how much thicker the clay was than the gap: it rises where it
	// is cut and sticks where it is sheared. Positive is taken off.
	Spring units.Measured[units.Length]
}

// CheckedGap is a measured gap set right for the engine as it will run.
type CheckedGap struct {
	Check ValveCheck
	Gap   units.Measured[units.Length]
}

// Corrected answers what gap a check stands for in the engine as it will run:
//
//	gap = Reading + k (LashRunning - LashAtCheck) - k Ratio Collapse
//	      + c (GasketRunning - GasketAtCheck) - Spring
//
// with k = 1, c = cos g for a PocketFloor, k = cos g, c = 1 for a FlatCrown, g =
// Lean. Checking with no lash shows less than there will be, checking with a
// collapsed lifter or on a thicker gasket more. It is the same for clay and for
// a checking spring: soft springs keep a hydraulic lifter from giving way. Where the
// valve is closed when it is nearest (a Minimum whose Place is not Inside), leave the
// lash and the collapse out: they do not move a closed valve.
//
// Uncertainty: each figure's, times its factor, by root sum of squares; stated
// where all that are not zero are. Errors: a face or lean that is none; a negative
// lash, gasket or collapse, a figure over 1 m, a ratio outside 0.2 to 5 where
// there is a collapse (ErrRange).
//
// Source: geometry of At; trade practice, no single source (common practice).
//
// Rows: ptv-check-pocket, ptv-check-crown, ptv-check-u.
func (c ValveCheck) Corrected() (CheckedGap, error) {
	if err := c.Face.check(c.Lean); err != nil {
		return CheckedGap{}, err
	}
	travel, lift := c.Face.factors(c.Lean)
	if c.Collapse != (units.Measured[units.Length]{}) && !(c.Ratio >= 0.2 && c.Ratio <= 5) {
		return CheckedGap{}, fail("Ratio", "", units.ErrRange, "want a rocker ratio of 0.2 to 5 with a collapsed lifter")
	}
	var sum, u float64
	stated := c.Reading.Stated
	for _, f := range [...]struct {
		name   string
		m      units.Measured[units.Length]
		factor float64
		signed bool
	}{
		{"Reading", c.Reading, 1, true},
		{"LashRunning", c.LashRunning, lift, false},
		{"LashAtCheck", c.LashAtCheck, -lift, false},
		{"Collapse", c.Collapse, -lift * c.Ratio, false},
		{"GasketRunning", c.GasketRunning, travel, false},
		{"GasketAtCheck", c.GasketAtCheck, -travel, false},
		{"Spring", c.Spring, -1, true},
	} {
		if err := checkSmall(f.name, f.m); err != nil {
			return CheckedGap{}, err
		}
		if !f.signed && f.m.Value < 0 {
			return CheckedGap{}, fail(f.name, f.m.Value.String(), units.ErrRange, "want a figure that is not negative")
		}
		if f.m == (units.Measured[units.Length]{}) {
			continue
		}
		stated = stated && f.m.Stated
		sum += f.factor * float64(f.m.Value)
		u = math.Hypot(u, f.factor*float64(f.m.U))
	}
	return CheckedGap{Check: c, Gap: result(round(sum), stated, u)}, nil
}

// Compare answers whether a check and a computed gap tell the same:
//
//	difference = check - computed     agree: |difference| <= 2u
//
// with u = sqrt(u_check^2 + u_computed^2). Where they disagree neither is
// assumed right: look for a wrong lobe, ratio or degree of advance first, then
// check again. Errors: a computed gap over 1 m or with a negative uncertainty, a
// CheckedGap that no ValveCheck made (ErrMissing).
//
// Source: JCGM 100:2008, 5.1.2 and 6.2.1 (k = 2).
//
// Rows: ptv-compare.
func (g CheckedGap) Compare(computed units.Measured[units.Length]) (Comparison, error) {
	if g == (CheckedGap{}) {
		return Comparison{}, fail("CheckedGap", "", units.ErrMissing, "want the result of ValveCheck.Corrected")
	}
	if err := checkSmall("computed", computed); err != nil {
		return Comparison{}, err
	}
	d := sub(g.Gap, computed)
	return Comparison{Difference: d, Known: d.Stated, Agree: d.Stated && d.Value.Abs() <= 2*d.U}, nil
}

// Judge compares a checked gap with the least one wanted: the maker's or the
// builder's limits, or those of PistonValveLimits. See units.Judge for the rules and
// errors; a CheckedGap that no ValveCheck made is ErrMissing.
//
// Source: ISO 14253-1:2017 and JCGM 106:2012 clause 8, through units.Judge.
//
// Rows: ptv-judge-within, ptv-judge-outside.
func (g CheckedGap) Judge(l units.Limits[units.Length], rule units.DecisionRule) (units.Verdict[units.Length], error) {
	if g == (CheckedGap{}) {
		return units.Verdict[units.Length]{}, fail("CheckedGap", "", units.ErrMissing, "want the result of ValveCheck.Corrected")
	}
	return units.Judge(g.Gap, l, rule)
}

// Cautions returns what to mind when valve to piston clearance is checked.
func (CheckedGap) Cautions() []units.Caution { return pistonValveCautions() }

// Working returns the derivation; nil for the zero value.
func (g CheckedGap) Working() units.Working {
	if g == (CheckedGap{}) {
		return nil
	}
	c := g.Check
	k, t := "", " cos("+leanText(c.Lean)+")"
	if c.Face == FlatCrown {
		k, t = t, ""
	}
	return units.Working{{
		Symbol: "gap", Formula: "reading + k (lash running - at check) - k ratio collapse + c (gasket running - at check) - spring",
		Numbers: num(c.Reading.Value) + " + (" + num(c.LashRunning.Value) + " - " + num(c.LashAtCheck.Value) + ")" + k + " - " + plainNumber(c.Ratio) + " " + num(c.Collapse.Value) + k +
			" + (" + num(c.GasketRunning.Value) + " - " + num(c.GasketAtCheck.Value) + ")" + t + " - " + num(c.Spring.Value),
		Value: measuredText(g.Gap), Source: trade,
	}}
}
