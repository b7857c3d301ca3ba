package firingorder

import (
	"fmt"
	"math"

	"example.com/trialfit/units"
)

// LinkRod describes a cylinder whose rod is pinned to the big end of a master rod,
// as in a radial or a V with articulated rods. Angles are positive in rotation.
type LinkRod struct {
	CrankRadius units.Length // half the stroke of the master cylinder
	MasterRod   units.Length // center to center
	LinkRadius  units.Length // center of the master big end to the center of the link pin
	Rod         units.Length // the link rod, center to center
	Axis        Turn         // cylinder axis from the axis of the master cylinder
	PinAngle    Turn         // link pin on the master big end, from the center line of the master rod; often Axis
}

// LinkRodTravel is what a link rod makes of its cylinder.
type LinkRodTravel struct {
	// Shift is the crank angle from the TDC that a rod concentric with the crank
	// pin would have to the real one; positive is later.
	Shift units.CrankAngle
	// Top is the distance of the piston pin from the crank axis at TDC, Stroke
	// how far it travels.
	Top, Stroke units.Length

	rod    LinkRod
	bottom units.CrankAngle
}

// Travel answers how far a link rod moves TDC against the approximation of this
// package, rods concentric with the crank pin, and what stroke the cylinder has.
// The crank pin stands at t from the master axis, the master rod leans by phi, and
// the link pin, the piston pin and TDC follow:
//
//	sin(phi) = R sin(t) / L
//	x = R cos(t - b) + p cos(k - phi - b)
//	y = R sin(t - b) + p sin(k - phi - b)
//	z = x + sqrt(l^2 - y^2),   Shift = t - b where z is largest
//
// with R = CrankRadius, L = MasterRod, p = LinkRadius, l = Rod, b = Axis, k =
// PinAngle. The largest z of half-degree steps is refined to the zero of dz/dt.
// Shift is good to about 1e-8 degree, lengths to 1e-9 mm for an engine under 1 m.
//
// Valid without pin offset, for any angles. Errors: units.ErrMissing for a length
// that is 0 (LinkRadius may be: then the rods are concentric), units.ErrRange for
// a negative length or one over 10 m, units.ErrImpossible for a master rod not
// longer than the crank radius or a link rod too short to follow its pin.
//
// Source: geometry of the articulated rod.
//
// Rows: link-72-shift, link-144-shift, link-m72-shift, link-v-shift, link-72-stroke,
// link-72-top.
func (r LinkRod) Travel() (LinkRodTravel, error) {
	for _, f := range []struct {
		name string
		l    units.Length
	}{{"CrankRadius", r.CrankRadius}, {"MasterRod", r.MasterRod}, {"Rod", r.Rod}, {"LinkRadius", r.LinkRadius}} {
		switch {
		case f.l == 0 && f.name != "LinkRadius":
			return LinkRodTravel{}, refuse(f.name, "", "want a length", units.ErrMissing)
		case f.l < 0 || f.l > 10*units.Meter:
			return LinkRodTravel{}, refuse(f.name, f.l.String(), "want at most 10 m and nothing negative", units.ErrRange)
		}
	}
	if r.MasterRod <= r.CrankRadius {
		return LinkRodTravel{}, refuse("MasterRod", r.MasterRod.String(), "want more than the crank radius", units.ErrImpossible)
	}
	const steps = 720
	high, low := 0, 0
	var zHigh, zLow float64
	for i := range steps {
		z, _ := r.at(2 * math.Pi * float64(i) / steps)
		if math.IsNaN(z) {
			return LinkRodTravel{}, r.short()
		}
		if i == 0 || z > zHigh {
			high, zHigh = i, z
		}
		if i == 0 || z < zLow {
			low, zLow = i, z
		}
	}
	// dz/dt falls through 0 at the top and rises through 0 at the bottom.
	refine := func(i int, sign float64) float64 {
		a, b := 2*math.Pi*float64(i-1)/steps, 2*math.Pi*float64(i+1)/steps
		for range 60 {
			m := (a + b) / 2
			if _, dz := r.at(m); sign*dz > 0 {
				a = m
			} else {
				b = m
			}
		}
		return (a + b) / 2
	}
	top, bottom := refine(high, 1), refine(low, -1)
	zHigh, _ = r.at(top)
	zLow, _ = r.at(bottom)
	if math.IsNaN(zHigh) || math.IsNaN(zLow) {
		return LinkRodTravel{}, r.short()
	}
	shift, err1 := units.CrankDegrees(math.Remainder(top-r.axis(), 2*math.Pi) * 180 / math.Pi)
	down, err2 := units.CrankDegrees(math.Remainder(bottom-r.axis()-math.Pi, 2*math.Pi) * 180 / math.Pi)
	height, err3 := units.LengthOf(zHigh, units.Millimeters)
	stroke, err4 := units.LengthOf(zHigh-zLow, units.Millimeters)
	for _, err := range []error{err1, err2, err3, err4} {
		if err != nil {
			return LinkRodTravel{}, refuse("Rod", r.Rod.String(), "the travel is out of range", units.ErrRange)
		}
	}
	return LinkRodTravel{shift, height, stroke, r, down}, nil
}

func (r LinkRod) short() error {
	return refuse("Rod", r.Rod.String(), "too short to follow its pin through a turn", units.ErrImpossible)
}

func (r LinkRod) axis() float64 { return radians(r.Axis) }

func radians(t Turn) float64 {
	d := t.denMinus1 + 1
	return 2 * math.Pi * float64(t.num%d) / float64(d)
}

// at returns z in millimeters and dz/dt; z is NaN where the rod does not reach.
func (r LinkRod) at(t float64) (z, dz float64) {
	cr, l, p := r.CrankRadius.Millimeters(), r.Rod.Millimeters(), r.LinkRadius.Millimeters()
	b, k, ratio := r.axis(), radians(r.PinAngle), cr/r.MasterRod.Millimeters()
	sin, cos := math.Sincos(t)
	phi := math.Asin(ratio * sin)
	lean := ratio * cos / math.Sqrt(1-ratio*ratio*sin*sin) // d phi / dt
	s1, c1 := math.Sincos(t - b)
	s2, c2 := math.Sincos(k - phi - b)
	x, y := cr*c1+p*c2, cr*s1+p*s2
	dx, dy := -cr*s1+lean*p*s2, cr*c1-lean*p*c2
	up := math.Sqrt(l*l - y*y)
	if up == 0 {
		return math.NaN(), 0
	}
	return x + up, dx - y*dy/up
}

// Working shows the geometry at TDC and BDC.
func (t LinkRodTravel) Working() units.Working {
	if t.rod == (LinkRod{}) {
		return nil
	}
	r := t.rod
	src := units.Source{Text: "geometry of the articulated rod", Provenance: units.Computed}
	numbers := fmt.Sprintf("R = %s, L = %s, p = %s, l = %s, b = %s, k = %s", r.CrankRadius, r.MasterRod, r.LinkRadius, r.Rod, r.Axis.Angle(), r.PinAngle.Angle())
	return units.Working{
		{Symbol: "z", Formula: "R cos(t - b) + p cos(k - phi - b) + sqrt(l^2 - (R sin(t - b) + p sin(k - phi - b))^2), sin(phi) = R sin(t)/L", Numbers: numbers, Value: t.Top.String() + " at TDC", Source: src},
		{Symbol: "shift", Formula: "t - b where z is largest", Numbers: "dz/dt = 0", Value: t.Shift.String(), Source: src},
		{Symbol: "shift of BDC", Formula: "t - b - 180 where z is smallest", Numbers: "dz/dt = 0", Value: t.bottom.String(), Source: src},
		{Symbol: "stroke", Formula: "z at TDC - z at BDC", Numbers: t.Top.String() + " - " + (t.Top - t.Stroke).String(), Value: t.Stroke.String(), Source: src},
	}
}
