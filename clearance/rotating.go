package clearance

import (
	"math"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// RodSweep is a corner of a rod, a bolt head as a rule, that swings past a round
// obstacle: the circle that the tip of a cam lobe runs on, a boss, a cylinder's
// lower edge. All is seen along the crankshaft, with the crank's axis at 0, Up
// along the bore and Side toward where the crank pin stands just after top dead
// center.
type RodSweep struct {
	Crank camtiming.SliderCrankSpec
	// CornerAlong is how far the corner lies from the crank pin's center toward
	// the piston pin, negative beyond the cap; CornerSide how far off the line
	// of the rod, positive to that side on which Side is positive at top dead center.
	CornerAlong, CornerSide units.Length
	// ObstacleSide, ObstacleUp place the center of the obstacle, Radius is its
	// own: for a cam lobe that of the base circle and the lobe lift.
	ObstacleSide, ObstacleUp units.Length
	Radius                   units.Length
}

// SweptGap is the least gap of a sweep and the crank angle where it is.
type SweptGap struct {
	Gap units.Length       // negative where the corner strikes
	At  units.CrankAngle   // after top dead center, in [0, 360)
	Rod camtiming.RodAngle // of the rod there
	s   RodSweep           // for Working
}

// LeastGap answers how close the corner comes to the obstacle in a turn of the
// crank, and where:
//
//	pin = (r sin t, r cos t)    a = ((e - r sin t)/l, q/l),  q = sqrt(l^2 - (r sin t - e)^2)
//	corner = pin + u a + v (a_up, -a_side)
//	gap = least over t of |corner - obstacle| - R
//
// with r = Throw, l = Rod, e = Offset, u = CornerAlong, v = CornerSide, R =
// Radius. The obstacle counts at its largest all round: a lobe whose nose points
// elsewhere when the rod passes is safer than that, never less safe. Every local
// minimum is refined to 1e-9 of its arc. Errors: those of
// camtiming.NewSliderCrank; a corner or an obstacle over 10 m away, a radius
// that is not over 0 (ErrRange).
//
// Source: geometry of the slider-crank.
//
// Rows: rod-sweep-gap, rod-sweep-at, rod-sweep-cap, rod-sweep-offset.
func (s RodSweep) LeastGap() (SweptGap, error) {
	k, err := camtiming.NewSliderCrank(s.Crank)
	if err != nil {
		return SweptGap{}, err
	}
	for _, c := range [...]struct {
		name string
		l    units.Length
	}{{"CornerAlong", s.CornerAlong}, {"CornerSide", s.CornerSide}, {"ObstacleSide", s.ObstacleSide}, {"ObstacleUp", s.ObstacleUp}} {
		if c.l < -10*units.Meter || c.l > 10*units.Meter {
			return SweptGap{}, fail(c.name, c.l.String(), units.ErrRange, "want a place within 10 m")
		}
	}
	if s.Radius <= 0 || s.Radius > 10*units.Meter {
		return SweptGap{}, fail("Radius", s.Radius.String(), units.ErrRange, "want a radius over 0 and up to 10 m")
	}
	const steps = 1440
	step := 2 * math.Pi / steps
	best, at := math.Inf(1), 0.0
	before, here := s.gap(-step), s.gap(0)
	for i := range steps {
		t := float64(i) * step
		after := s.gap(t + step)
		if here <= before && here <= after {
			if x, y := s.refine(t-step, t+step); y < best {
				at, best = x, y
			}
		}
		before, here = here, after
	}
	bore := k.DeadCenters().TDC // t counts from where the throw is parallel to the bore
	a := units.CrankAngle(math.RoundToEven(at*180/math.Pi*float64(units.CrankDegree))) - bore
	a = (a%units.CrankTurn + units.CrankTurn) % units.CrankTurn
	return SweptGap{Gap: round(best * float64(units.Meter)), At: a, Rod: k.Motion(a).Rod, s: s}, nil
}

// gap is the gap in meters at t radians from where the throw points up the bore.
func (s RodSweep) gap(t float64) float64 {
	r, l, e := s.Crank.Throw.Meters(), s.Crank.Rod.Meters(), s.Crank.Offset.Meters()
	sin, cos := math.Sincos(t)
	x, y := r*sin, r*cos
	ax := (e - x) / l
	ay := math.Sqrt(1 - ax*ax)
	u, v := s.CornerAlong.Meters(), s.CornerSide.Meters()
	return math.Hypot(x+u*ax+v*ay-s.ObstacleSide.Meters(), y+u*ay-v*ax-s.ObstacleUp.Meters()) - s.Radius.Meters()
}

// refine finds the least gap between two angles that enclose one, by the golden
// section.
func (s RodSweep) refine(lo, hi float64) (at, gap float64) {
	const g = 0.6180339887498949
	a, b := hi-g*(hi-lo), lo+g*(hi-lo)
	fa, fb := s.gap(a), s.gap(b)
	for range 45 {
		if fa < fb {
			hi, b, fb = b, a, fa
			a = hi - g*(hi-lo)
			fa = s.gap(a)
		} else {
			lo, a, fa = a, b, fb
			b = lo + g*(hi-lo)
			fb = s.gap(b)
		}
	}
	at = (lo + hi) / 2
	return at, s.gap(at)
}

// Working shows where the corner comes closest.
func (g SweptGap) Working() units.Working {
	src := units.Source{Text: "geometry of the slider-crank", Provenance: units.Computed}
	return units.Working{
		{Symbol: "corner", Formula: "pin + u a + v (a_up, -a_side)", Numbers: "u = " + num(g.s.CornerAlong) + ", v = " + num(g.s.CornerSide), Value: "closest at " + g.At.Text(2) + " after top dead center", Source: src},
		{Symbol: "gap", Formula: "|corner - obstacle| - R", Numbers: "obstacle at " + num(g.s.ObstacleSide) + ", " + num(g.s.ObstacleUp) + ", R = " + num(g.s.Radius), Value: text(g.Gap), Source: src},
	}
}

// CounterweightRoom is a piston whose skirt comes down to the counterweights.
type CounterweightRoom struct {
	Crank camtiming.SliderCrankSpec
	// SkirtBelowPin is how far the skirt, or the pin boss that the counterweight
	// passes, reaches below the center of the piston pin.
	SkirtBelowPin units.Length
	// Radius is that of the counterweight's outer edge about the crank's axis.
	Radius units.Length
}

// Gap answers what is left between counterweight and skirt at bottom dead
// center, where the piston is lowest and the counterweight points up at it:
//
//	gap = sqrt((l - r)^2 - e^2) - SkirtBelowPin - Radius
//
// with r = Throw, l = Rod, e = Offset. Negative is a part that strikes. Errors:
// those of camtiming.NewSliderCrank; a skirt or a radius that is not over 0, or
// over 10 m (ErrRange).
//
// Source: geometry of the slider-crank.
//
// Rows: counterweight-skirt, counterweight-skirt-offset.
func (c CounterweightRoom) Gap() (units.Length, error) {
	if _, err := camtiming.NewSliderCrank(c.Crank); err != nil {
		return 0, err
	}
	for _, p := range [...]struct {
		name string
		l    units.Length
	}{{"SkirtBelowPin", c.SkirtBelowPin}, {"Radius", c.Radius}} {
		if p.l <= 0 || p.l > 10*units.Meter {
			return 0, fail(p.name, p.l.String(), units.ErrRange, "want a length over 0 and up to 10 m")
		}
	}
	d, e := float64(c.Crank.Rod-c.Crank.Throw), float64(c.Crank.Offset)
	return round(math.Sqrt((d-e)*(d+e))) - c.SkirtBelowPin - c.Radius, nil
}

// Working returns the derivation of Gap; nil where it has none.
func (c CounterweightRoom) Working() units.Working {
	g, err := c.Gap()
	if err != nil {
		return nil
	}
	return units.Working{{
		Symbol: "gap", Formula: "sqrt((l - r)^2 - e^2) - skirt below pin - radius",
		Numbers: "sqrt((" + num(c.Crank.Rod) + " - " + num(c.Crank.Throw) + ")^2 - " + num(c.Crank.Offset) + "^2) - " + num(c.SkirtBelowPin) + " - " + num(c.Radius),
		Value:   text(g), Source: units.Source{Text: "geometry of the slider-crank", Provenance: units.Computed},
	}}
}

// PickupRoom is an oil pickup in its pan, both read from the pan rail.
type PickupRoom struct {
	PanDepth    units.Measured[units.Length] // rail of the pan to its floor
	Gasket      units.Measured[units.Length] // as compressed; 0 for sealant
	PickupDepth units.Measured[units.Length] // rail of the block to the foot of the pickup
}

// Gap answers how far the pickup stands over the floor of the pan:
// PanDepth + Gasket - PickupDepth. Too little starves the pump and too much draws
// air. The uncertainty is stated where those of both depths are, and that of a
// gasket. Errors: depths that are not over 0, a gasket that is negative, sizes over
// 100 m (ErrRange, ErrMissing).
//
// Source: definition.
//
// Rows: pickup-gap, pickup-gap-u.
func (p PickupRoom) Gap() (units.Measured[units.Length], error) {
	if err := checkPositive("PanDepth", p.PanDepth); err != nil {
		return units.Measured[units.Length]{}, err
	}
	if err := checkPositive("PickupDepth", p.PickupDepth); err != nil {
		return units.Measured[units.Length]{}, err
	}
	if p.Gasket.Value < 0 {
		return units.Measured[units.Length]{}, fail("Gasket", p.Gasket.Value.String(), units.ErrRange, "want a thickness of 0 or more")
	}
	if err := checkReading("Gasket", p.Gasket); err != nil {
		return units.Measured[units.Length]{}, err
	}
	u := math.Hypot(math.Hypot(float64(p.PanDepth.U), float64(p.Gasket.U)), float64(p.PickupDepth.U))
	gasket := p.Gasket.Stated || p.Gasket == units.Measured[units.Length]{}
	return result(p.PanDepth.Value+p.Gasket.Value-p.PickupDepth.Value, p.PanDepth.Stated && gasket && p.PickupDepth.Stated, u), nil
}

// Working returns the derivation of Gap; nil where it has none.
func (p PickupRoom) Working() units.Working {
	g, err := p.Gap()
	if err != nil {
		return nil
	}
	return units.Working{{Symbol: "gap", Formula: "pan + gasket - pickup", Numbers: num(p.PanDepth.Value) + " + " + num(p.Gasket.Value) + " - " + num(p.PickupDepth.Value), Value: measuredText(g), Source: definition}}
}

// RodAlignment is a rod on a mandrel with a bar through its small end, read at
// two places of the bar: at equal heights across it for bend, fore and aft for
// twist.
type RodAlignment struct {
	One, Other units.Measured[units.Length]
	Span       units.Length // between the two places
	Over       units.Length // the length that the limit is stated for
}

// Misalignment answers how much the two eyes are out of parallel over the length of a
// limit: (One - Other) Over/Span. The sign says which way; a limit must hold
// either way, as those of RodTwist (Over 4 in) and RodBendOrTwist do. Errors: a
// span or length that is not over 0 (ErrMissing, ErrRange), readings over 100 m.
//
// Source: similar triangles.
//
// Rows: rod-align, rod-align-u.
func (r RodAlignment) Misalignment() (units.Measured[units.Length], error) {
	for _, c := range [...]struct {
		name string
		m    units.Measured[units.Length]
	}{{"One", r.One}, {"Other", r.Other}} {
		if err := checkReading(c.name, c.m); err != nil {
			return units.Measured[units.Length]{}, err
		}
	}
	if err := checkSize("Span", r.Span); err != nil {
		return units.Measured[units.Length]{}, err
	}
	if err := checkSize("Over", r.Over); err != nil {
		return units.Measured[units.Length]{}, err
	}
	k := float64(r.Over) / float64(r.Span)
	d := sub(r.One, r.Other)
	v := float64(d.Value) * k
	if math.Abs(v) > float64(maxSize) || float64(d.U)*k > float64(maxSize) {
		return units.Measured[units.Length]{}, fail("Span", r.Span.String(), units.ErrRange, "the error over that length is over 100 m")
	}
	return result(round(v), d.Stated, float64(d.U)*k), nil
}

// Working returns the derivation of Misalignment; nil where it has none.
func (r RodAlignment) Working() units.Working {
	m, err := r.Misalignment()
	if err != nil {
		return nil
	}
	return units.Working{{
		Symbol: "error", Formula: "(one - other) over/span", Numbers: "(" + num(r.One.Value) + " - " + num(r.Other.Value) + ") " + num(r.Over) + "/" + num(r.Span),
		Value: measuredText(m), Source: units.Source{Text: "similar triangles", Provenance: units.Computed},
	}}
}

// DriveTang is the tang of a distributor or pump that engages a slot, with depths
// from the face that its flange sits on.
type DriveTang struct {
	Tang      units.Measured[units.Length] // flange to the end of the tang
	SlotTop   units.Measured[units.Length] // face to the top of the slot
	SlotDepth units.Measured[units.Length]
}

// TangFit is how a tang sits in its slot.
type TangFit struct {
	Engaged units.Measured[units.Length] // depth of the tang in the slot; negative: it does not reach
	EndRoom units.Measured[units.Length] // from its end to the slot's floor; negative: it bottoms

	of DriveTang
}

// Fit answers how deep a drive engages and what room is left at its end:
//
//	Engaged = Tang - SlotTop    EndRoom = SlotDepth - Engaged
//
// A tang that bottoms carries the thrust of its gear and wears the end away: some
// room there must be, hot and with the gear's end play taken up. How deep it should
// engage and how much room it wants go by the drive; the package knows no usual
// figure, and the limits are the caller's. Errors: sizes that are not over 0, or over 100 m.
//
// Source: definition.
//
// Rows: tang-engaged, tang-room.
func (d DriveTang) Fit() (TangFit, error) {
	for _, c := range [...]struct {
		name string
		m    units.Measured[units.Length]
	}{{"Tang", d.Tang}, {"SlotTop", d.SlotTop}, {"SlotDepth", d.SlotDepth}} {
		if err := checkPositive(c.name, c.m); err != nil {
			return TangFit{}, err
		}
	}
	f := TangFit{Engaged: sub(d.Tang, d.SlotTop), of: d}
	f.EndRoom = sub(d.SlotDepth, f.Engaged)
	return f, nil
}

// Working returns the derivation; nil for the zero value.
func (f TangFit) Working() units.Working {
	if f.of.Tang.Value == 0 {
		return nil
	}
	return units.Working{
		{Symbol: "engaged", Formula: "tang - top of the slot", Numbers: num(f.of.Tang.Value) + " - " + num(f.of.SlotTop.Value), Value: measuredText(f.Engaged), Source: definition},
		{Symbol: "end room", Formula: "depth of the slot - engaged", Numbers: num(f.of.SlotDepth.Value) + " - " + num(f.Engaged.Value), Value: measuredText(f.EndRoom), Source: definition},
	}
}

// BacklashReading is the backlash of a gear read with a dial away from its pitch
// circle: at an arm clamped to the shaft, or on a tooth's tip.
type BacklashReading struct {
	Dial          units.Measured[units.Length]
	DialRadius    units.Length // from the shaft's axis to where the dial stands
	PitchDiameter units.Length
}

// Backlash answers the backlash at the pitch circle: Dial times half of
// PitchDiameter over DialRadius. Errors: sizes that are not over 0, or over 100 m.
//
// Source: similar arcs.
//
// Rows: backlash-at-pitch, backlash-at-pitch-u.
func (b BacklashReading) Backlash() (units.Measured[units.Length], error) {
	if err := checkPositive("Dial", b.Dial); err != nil {
		return units.Measured[units.Length]{}, err
	}
	if err := checkSize("DialRadius", b.DialRadius); err != nil {
		return units.Measured[units.Length]{}, err
	}
	if err := checkSize("PitchDiameter", b.PitchDiameter); err != nil {
		return units.Measured[units.Length]{}, err
	}
	k := float64(b.PitchDiameter) / 2 / float64(b.DialRadius)
	v := float64(b.Dial.Value) * k
	if v > float64(maxSize) || float64(b.Dial.U)*k > float64(maxSize) {
		return units.Measured[units.Length]{}, fail("DialRadius", b.DialRadius.String(), units.ErrRange, "the backlash is over 100 m")
	}
	return result(round(v), b.Dial.Stated, float64(b.Dial.U)*k), nil
}

// Working returns the derivation of Backlash; nil where it has none.
func (b BacklashReading) Working() units.Working {
	m, err := b.Backlash()
	if err != nil {
		return nil
	}
	return units.Working{{
		Symbol: "backlash", Formula: "dial (pitch diameter/2)/radius of the dial", Numbers: num(b.Dial.Value) + " (" + num(b.PitchDiameter) + "/2)/" + num(b.DialRadius),
		Value: measuredText(m), Source: units.Source{Text: "similar arcs", Provenance: units.Computed},
	}}
}

// FreeSpan is a run of chain or belt between two wheels, pushed aside at its
// middle until it is tight.
type FreeSpan struct {
	Span       units.Length // free length between the points where it leaves the wheels
	Deflection units.Length // of the middle, from the straight line to one side
}

// Slack answers how much longer the run is than its span:
//
//	slack = 2 sqrt((L/2)^2 + d^2) - L
//
// with L = Span, d = Deflection. It grows as the square of the deflection: half
// the deflection is a quarter of the slack. Errors: a span that is not over 0, a
// deflection that is negative, sizes over 100 m.
//
// Source: the run as two straight lines.
//
// Rows: span-slack, span-slack-345.
func (f FreeSpan) Slack() (units.Length, error) {
	if err := checkSize("Span", f.Span); err != nil {
		return 0, err
	}
	if f.Deflection < 0 {
		return 0, fail("Deflection", f.Deflection.String(), units.ErrRange, "want a deflection of 0 or more")
	}
	if err := checkSigned("Deflection", f.Deflection); err != nil {
		return 0, err
	}
	half, d := float64(f.Span)/2, float64(f.Deflection)
	return round(2 * d * d / (math.Hypot(half, d) + half)), nil
}

// Working returns the derivation of Slack; nil where it has none.
func (f FreeSpan) Working() units.Working {
	l, err := f.Slack()
	if err != nil {
		return nil
	}
	return units.Working{{
		Symbol: "slack", Formula: "2 sqrt((L/2)^2 + d^2) - L", Numbers: "L = " + num(f.Span) + ", d = " + num(f.Deflection),
		Value: text(l), Source: units.Source{Text: "the run as two straight lines", Provenance: units.Computed},
	}}
}
