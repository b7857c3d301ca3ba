package camtiming

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// PressureAngle is the angle between a follower's line of travel and the
// common normal at the contact, in degrees of arc: a plain angle, neither of
// the cam nor of the crank.
type PressureAngle float64

// Degrees returns the angle in degrees of arc.
//
// Rows: id-tan-pa-15.
func (p PressureAngle) Degrees() float64 { return float64(p) }

// String returns the angle in degrees of arc.
func (p PressureAngle) String() string { return strconv.FormatFloat(float64(p), 'g', -1, 64) + " deg" }

// Curvature is one over a radius, in 1/m: positive where the cam is convex,
// 0 where it is straight, negative where it is hollow, infinite at an edge.
type Curvature float64

// PerMillimeter returns the curvature in 1/mm.
//
// Rows: id-tan-curv-5, id-tan-curv-15.
func (c Curvature) PerMillimeter() float64 { return float64(c) / 1000 }

// Radius returns one over the curvature, negative where the cam is hollow. It
// reports false, and no radius, for one over 1000 m: straight for every
// practical end.
//
// Rows: id-tan-nose-30, id-tan-nose-75.
func (c Curvature) Radius() (units.Length, bool) {
	if r := 1 / float64(c); math.Abs(r) <= 1000 {
		return length(r), true
	}
	return 0, false
}

// String returns the curvature in 1/m.
func (c Curvature) String() string { return strconv.FormatFloat(float64(c), 'g', -1, 64) + " 1/m" }

// Stretch is a range of cam angle from the nose.
type Stretch struct{ From, To units.CamAngle }

// FlatContactSpec describes a lobe under a flat face that is square to its
// line of travel, which passes through the cam's center.
type FlatContactSpec struct {
	Curve LiftCurve    // a MotionCurve: its acceleration is needed
	Base  units.Length // radius of the base circle
}

// FlatPoint is the contact at one cam angle.
type FlatPoint struct {
	Lift units.Length
	// Eccentricity is how far the contact lies off the line of travel:
	// positive on the opening flank, negative on the closing one.
	Eccentricity units.Length
	// Radius is the cam's radius of curvature; 0 or less: undercut.
	Radius units.Length
}

// LengthAt is a length at a cam angle from the nose.
type LengthAt struct {
	Length units.Length
	At     units.CamAngle
}

// FlatLimits are the extremes of a contact with a flat face.
type FlatLimits struct {
	// Opening and Closing are the farthest contacts on the two sides.
	Opening, Closing LengthAt
	// FaceWidth is the distance between the two: the least width of the face
	// in the plane of the cam, without margin.
	FaceWidth units.Length
	// NoseRadius is the radius of curvature at the nose.
	NoseRadius units.Length
	// OpeningFlank and ClosingFlank are the largest radii of the two flanks,
	// LeastRadius is the smallest of the whole lobe.
	OpeningFlank, ClosingFlank, LeastRadius LengthAt
	// Undercut lists where the radius is 0 or less: no cam can give that lift
	// to a flat face. Empty on a lobe that can be made.
	Undercut []Stretch
}

// FlatContact is the contact of a lobe with a flat follower. It is safe for
// concurrent use; At does not allocate.
type FlatContact struct {
	d      deriver
	base   float64
	limits FlatLimits
}

// NewFlatContact answers where a flat face touches the lobe, how wide it must
// be and whether the lobe can be made. With y = Lift, ' per cam radian, Rb = Base:
//
//	eccentricity = y'
//	radius of curvature = Rb + y + y''      undercut where it is 0 or less
//	face width = max y' - min y'
//
// The base must be a radius over 0 and up to 100 m (ErrRange), the curve a
// MotionCurve (ErrMissing) and no table without a spline (ErrImpossible). A lobe
// of arcs with another base or a roller is ErrConflict.
//
// Source: Rothbart (ed.), Cam Design Handbook (2004), chapter on cam
// profiles; identities of arcs.
//
// Rows: flat-shm-face, arc15-3, arc15-4, id-arc-A-6, id-arc-A-17, id-arc-C-65.
func NewFlatContact(spec FlatContactSpec) (*FlatContact, error) {
	d, err := deriverOf("Curve", spec.Curve)
	if err != nil {
		return nil, err
	}
	if err := checkRadius("Base", spec.Base); err != nil {
		return nil, err
	}
	if l, ok := spec.Curve.(*ArcLobe); ok && (l.roller != 0 || l.geometry.Base != spec.Base) {
		return nil, fail("Curve", "", units.ErrConflict, "the lobe of arcs was made for another follower or base circle")
	}
	f := &FlatContact{d: d, base: spec.Base.Meters()}
	b := d.breaks()
	lo, hi := b[0], b[len(b)-1]
	v := walk(b, func(x float64) (float64, float64) { s := d.derive(x).perRadian(); return s.v, s.a })
	r := walk(b, f.radius)
	at := func(p place) LengthAt { return LengthAt{length(p.y), camAngle(p.x)} }
	nose, _ := f.radius(0)
	f.limits = FlatLimits{
		Opening: at(greatest(v, lo, 0)), Closing: at(least(v, 0, hi)), NoseRadius: length(nose),
		OpeningFlank: at(greatest(r, lo, 0)), ClosingFlank: at(greatest(r, 0, hi)),
		LeastRadius: at(least(r, lo, hi)), Undercut: below(r, func(x float64) float64 { r, _ := f.radius(x); return r }),
	}
	f.limits.FaceWidth = f.limits.Opening.Length - f.limits.Closing.Length
	return f, nil
}

// radius returns the radius of curvature and a figure with the sign of its slope.
func (f *FlatContact) radius(deg float64) (r, slope float64) {
	s := f.d.derive(deg).perRadian()
	return f.base + s.y + s.a, s.v + s.j
}

// At returns the contact at a cam angle from the nose; the zero FlatContact gives
// zeros.
//
// Rows: id-arc-A-6, id-arc-A-17, id-arc-A-56, id-arc-C-10, id-arc-C-25,
// id-arc-C-65, shape-flat-ecc.
func (f *FlatContact) At(fromNose units.CamAngle) FlatPoint {
	if f == nil || f.d == nil {
		return FlatPoint{}
	}
	s := f.d.derive(fromNose.Degrees()).perRadian()
	return FlatPoint{length(s.y), length(0 + s.v), length(f.base + s.y + s.a)}
}

// Limits returns the extremes of the contact.
//
// Rows: flat-shm-face, arc15-3, shape-arc15-flank, shape-arc15-noseradius.
func (f *FlatContact) Limits() FlatLimits { return f.limits }

// TappetDiameter answers how large a round face must be so that the contact
// line of a lobe of the given width, in the middle of the face, stays on it:
//
//	d = 2 sqrt(e^2 + (W/2)^2)
//
// with e = the larger of the two eccentricities, W = lobeWidth; without margin
// and without the offset that makes a tappet turn. A width that is negative or
// over 1 m is ErrRange.
//
// Source: Pythagoras.
//
// Rows: arc15-4.
func (f *FlatContact) TappetDiameter(lobeWidth units.Length) (units.Length, error) {
	if lobeWidth < 0 || lobeWidth > units.Meter {
		return 0, fail("lobeWidth", lobeWidth.String(), units.ErrRange, "want a width of 0 to 1 m")
	}
	e := max(f.limits.Opening.Length, -f.limits.Closing.Length).Meters()
	return length(2 * math.Hypot(e, lobeWidth.Meters()/2)), nil
}

// Working shows the limits.
func (f *FlatContact) Working() units.Working {
	src := units.Source{Text: "flat-faced follower, Rothbart (ed.), Cam Design Handbook (2004)", Provenance: units.Computed}
	mm := func(x units.Length) string { return x.Text(units.Millimeters, 4) }
	l := f.limits
	return units.Working{
		{Symbol: "e max", Formula: "max dy/dtheta", Numbers: "at " + l.Opening.At.Text(2), Value: mm(l.Opening.Length), Source: src},
		{Symbol: "e min", Formula: "min dy/dtheta", Numbers: "at " + l.Closing.At.Text(2), Value: mm(l.Closing.Length), Source: src},
		{Symbol: "face", Formula: "e max - e min", Numbers: mm(l.Opening.Length) + " - " + mm(l.Closing.Length), Value: mm(l.FaceWidth), Source: src},
		{Symbol: "rho min", Formula: "min (Rb + y + d2y/dtheta2)", Numbers: "at " + l.LeastRadius.At.Text(2), Value: mm(l.LeastRadius.Length), Source: src},
	}
}

// below returns where a walked function is 0 or less.
func below(p []place, f func(float64) float64) []Stretch {
	var out []Stretch
	var from float64
	in := false
	for i, q := range p {
		switch {
		case q.y <= 0 && !in:
			from, in = q.x, true
			if i > 0 {
				from = zero(p[i-1], q, f)
			}
		case q.y > 0 && in:
			out, in = append(out, Stretch{camAngle(from), camAngle(zero(p[i-1], q, f))}), false
		}
	}
	if in {
		out = append(out, Stretch{camAngle(from), camAngle(p[len(p)-1].x)})
	}
	return out
}

// zero halves its way to where f crosses 0 between two places.
func zero(a, b place, f func(float64) float64) float64 {
	if x, ok := root(a.x, b.x, func(x float64) (float64, float64) { return f(x), 0 }); ok {
		return x
	}
	return b.x
}

// RollerContactSpec describes a lobe under a roller that travels in a straight
// line. The lift of Curve is that of the roller.
type RollerContactSpec struct {
	Curve  LiftCurve    // a MotionCurve: its acceleration is needed
	Base   units.Length // radius of the base circle
	Roller units.Length // radius of the roller
	// Offset is how far the line of travel passes from the cam's center,
	// positive to the side that lowers the pressure angle on the opening flank.
	Offset units.Length
}

// RollerPoint is the contact at one cam angle.
type RollerPoint struct {
	Lift units.Length
	// Slope is the tangent of the pressure angle, a ratio: positive where the cam
	// pushes the roller up, on the opening flank of a roller without offset.
	Slope float64
	// Pitch is the curvature of the path of the roller's center around the
	// cam, Surface that of the cam itself.
	Pitch, Surface Curvature
}

// PressureAt is a pressure angle at a cam angle from the nose.
type PressureAt struct {
	Angle PressureAngle
	At    units.CamAngle
}

// CurvatureAt is a curvature at a cam angle from the nose.
type CurvatureAt struct {
	Curvature Curvature
	At        units.CamAngle
}

// RollerLimits are the extremes of a contact with a roller.
type RollerLimits struct {
	// Opening is the greatest, Closing the least (most negative) pressure angle.
	Opening, Closing PressureAt
	// Nose is the cam's own curvature at the nose.
	Nose Curvature
	// OpeningFlank and ClosingFlank are the least of the cam's own curvature on
	// the two flanks: the flattest place or, negative, the most hollow one,
	// whose radius a grinding wheel may not exceed.
	OpeningFlank, ClosingFlank CurvatureAt
	// LeastPitchRadius is the smallest convex radius of the path of the
	// roller's center; the cam's own is smaller by the roller's radius.
	LeastPitchRadius LengthAt
	// Undercut lists where the path's convex radius is no larger than the
	// roller: no cam can give that lift to it. Empty on a lobe that can be made.
	Undercut []Stretch
}

// RollerContact is the contact of a lobe with a roller follower. It is safe
// for concurrent use; At does not allocate.
type RollerContact struct {
	d                    deriver
	roller, offset, rise float64 // rise: height of the roller's center at no lift
	limits               RollerLimits
}

// NewRollerContact answers how a lobe pushes a roller and whether the lobe can
// be made. With y = Lift, ' per cam radian, Rb = Base, Rr = Roller, e = Offset,
// s = y + sqrt((Rb + Rr)^2 - e^2):
//
//	tan(pressure angle) = (y' - e)/s
//	pitch curvature = (s^2 - s y'' + (y' - e)(2 y' - e)) / (s^2 + (y' - e)^2)^1.5
//	surface curvature = pitch/(1 - Rr pitch)      undercut where Rr pitch >= 1
//
// For e = 0, with Rp = Rb + Rr, one over the pitch curvature is
//
//	((Rp + y)^2 + y'^2)^1.5 / ((Rp + y)^2 + 2 y'^2 - (Rp + y) y'')
//
// Radii must be over 0 and up to 100 m, the offset smaller than their sum
// (ErrRange), the curve a MotionCurve (ErrMissing) and no table without a spline
// (ErrImpossible). A lobe of arcs with another base, roller or offset than its
// own is ErrConflict.
//
// Source: Rothbart (ed.), Cam Design Handbook (2004), chapters on pressure
// angle and curvature; the offset from the plane motion of the roller's center.
//
// Rows: id-tan-pa-15, id-tan-curv-5, id-tan-curv-15, id-tan-nose-30,
// id-tan-nose-75.
func NewRollerContact(spec RollerContactSpec) (*RollerContact, error) {
	d, err := deriverOf("Curve", spec.Curve)
	if err != nil {
		return nil, err
	}
	if err := checkRadius("Base", spec.Base); err != nil {
		return nil, err
	}
	if err := checkRadius("Roller", spec.Roller); err != nil {
		return nil, err
	}
	rp := spec.Base + spec.Roller
	if !within(spec.Offset, rp-1) {
		return nil, fail("Offset", spec.Offset.String(), units.ErrRange, "want an offset smaller than the radii of base circle and roller together, "+rp.String())
	}
	if l, ok := spec.Curve.(*ArcLobe); ok && (l.geometry.Roller != spec.Roller || l.geometry.Base != spec.Base || spec.Offset != 0) {
		return nil, fail("Curve", "", units.ErrConflict, "the lobe of arcs was made for another follower or base circle")
	}
	e := spec.Offset.Meters()
	c := &RollerContact{d: d, roller: spec.Roller.Meters(), offset: e, rise: math.Sqrt((rp.Meters() - e) * (rp.Meters() + e))}
	b := d.breaks()
	lo, hi := b[0], b[len(b)-1]
	pressure := walk(b, func(x float64) (float64, float64) {
		m := d.derive(x).perRadian()
		s, w := c.rise+m.y, m.v-e
		return math.Atan2(w, s) * 180 / math.Pi, m.a*s - w*m.v
	})
	pitch := walk(b, c.pitch)
	spare := func(x float64) float64 { k, _ := c.pitch(x); return 1 - c.roller*k }
	room := make([]place, len(pitch))
	for i, p := range pitch {
		room[i] = place{p.x, 1 - c.roller*p.y}
	}
	press := func(p place) PressureAt { return PressureAt{PressureAngle(p.y), camAngle(p.x)} }
	flank := func(p place) CurvatureAt { return CurvatureAt{c.surface(p.y), camAngle(p.x)} }
	nose, _ := c.pitch(0)
	most := greatest(pitch, lo, hi)
	c.limits = RollerLimits{
		Opening: press(greatest(pressure, lo, hi)), Closing: press(least(pressure, lo, hi)), Nose: c.surface(nose),
		OpeningFlank: flank(least(pitch, lo, 0)), ClosingFlank: flank(least(pitch, 0, hi)),
		Undercut: below(room, spare),
	}
	if most.y > 0 {
		c.limits.LeastPitchRadius = LengthAt{length(1 / most.y), camAngle(most.x)}
	}
	return c, nil
}

// pitch returns the curvature of the path of the roller's center and a figure
// with the sign of its slope.
func (c *RollerContact) pitch(deg float64) (k, slope float64) {
	return c.pitchOf(c.d.derive(deg).perRadian())
}

// path returns height and side way of the roller's center, and its curvature as
// num/den^1.5.
func (c *RollerContact) path(m state) (s, w, num, den float64) {
	s, w = c.rise+m.y, m.v-c.offset
	return s, w, s*s - s*m.a + w*(2*m.v-c.offset), s*s + w*w
}

func (c *RollerContact) pitchOf(m state) (k, slope float64) {
	s, w, num, den := c.path(m)
	dnum := 2*s*m.v + 3*m.a*w - s*m.j
	dden := 2*s*m.v + 2*w*m.a
	return num / (den * math.Sqrt(den)), dnum*den - 1.5*num*dden
}

func (c *RollerContact) surface(pitch float64) Curvature {
	return Curvature(pitch / (1 - c.roller*pitch))
}

// Pressure returns the pressure angle, between the normal of the contact and the
// roller's line of travel: atan(Slope).
//
// Source: definition.
//
// Rows: id-tan-pa-15, shape-offset-pressure-open, shape-motion-pressure-close.
func (p RollerPoint) Pressure() PressureAngle {
	return PressureAngle(math.Atan(p.Slope) * (180 / math.Pi))
}

// At returns the contact at a cam angle from the nose; the zero RollerContact gives
// zeros.
//
// Rows: id-tan-pa-15, id-tan-curv-5, id-tan-curv-15, id-tan-nose-30,
// id-tan-nose-75, shape-tan-nose-surface.
func (c *RollerContact) At(fromNose units.CamAngle) RollerPoint {
	if c == nil || c.d == nil {
		return RollerPoint{}
	}
	return c.point(c.d.derive(fromNose.Degrees()).perRadian())
}

// AtMotion is At for what the curve's own Motion gave at an angle, for a caller who
// has it already. Its lift is rounded to 1 pm.
//
// Rows: shape-motion-pitch-open, shape-motion-pressure-close.
func (c *RollerContact) AtMotion(m LobeMotion) RollerPoint {
	if c == nil || c.d == nil {
		return RollerPoint{}
	}
	return c.point(state{m.Lift.Meters(), float64(m.Velocity), float64(m.Acceleration), float64(m.Jerk)}.perRadian())
}

func (c *RollerContact) point(m state) (p RollerPoint) {
	s, w, num, den := c.path(m)
	k := num / (den * math.Sqrt(den))
	p.Lift, p.Slope = length(m.y), w/s
	p.Pitch, p.Surface = Curvature(k), c.surface(k)
	return p
}

// Limits returns the extremes of the contact.
//
// Rows: shape-tan-pressure, shape-tan-least-pitch.
func (c *RollerContact) Limits() RollerLimits { return c.limits }

// Working shows the limits.
func (c *RollerContact) Working() units.Working {
	src := units.Source{Text: "roller follower, Rothbart (ed.), Cam Design Handbook (2004)", Provenance: units.Computed}
	deg := func(p PressureAt) string { return strconv.FormatFloat(p.Angle.Degrees(), 'f', 2, 64) + " deg" }
	l := c.limits
	return units.Working{
		{Symbol: "phi max", Formula: "max atan((dy/dtheta - e)/s)", Numbers: "at " + l.Opening.At.Text(2), Value: deg(l.Opening), Source: src},
		{Symbol: "phi min", Formula: "min atan((dy/dtheta - e)/s)", Numbers: "at " + l.Closing.At.Text(2), Value: deg(l.Closing), Source: src},
		{Symbol: "rho min", Formula: "1/max pitch curvature", Numbers: "at " + l.LeastPitchRadius.At.Text(2), Value: l.LeastPitchRadius.Length.Text(units.Millimeters, 4), Source: src},
	}
}
