package camtiming

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// PistonVelocity is a piston's travel per crank angle in meters per crank
// degree, positive away from top dead center.
type PistonVelocity float64

// MillimetersPerCrankDegree returns the velocity in millimeters per crank
// degree.
//
// Rows: pos-mm-30-90.
func (v PistonVelocity) MillimetersPerCrankDegree() float64 { return float64(v) * 1e3 }

// InchesPerCrankDegree returns the velocity in inches per crank degree.
//
// Rows: pos-in-35-90.
func (v PistonVelocity) InchesPerCrankDegree() float64 {
	return float64(v) / units.Inch.Meters()
}

// At returns the piston's speed while the crank turns at w:
//
//	dx/dt = (dx/dtheta) w
//
// with dx/dtheta = the receiver and w in crank degrees per second; negative on
// the way up.
//
// Rows: ex-15-4-v-exact, mcad-v, mer-5-9-va.
func (v PistonVelocity) At(w units.AngularSpeed) units.Speed {
	return units.MetersPerSecond(float64(v) * degreesPerRadian * w.RadiansPerSecond())
}

// String returns the velocity in meters per crank degree.
func (v PistonVelocity) String() string {
	return strconv.FormatFloat(float64(v), 'g', -1, 64) + " m/crank deg"
}

// PistonAcceleration is the second derivative of a piston's travel in meters
// per crank degree squared, positive away from top dead center: positive near
// the top, negative near the bottom.
type PistonAcceleration float64

// MillimetersPerCrankDegree2 returns the value in millimeters per crank degree
// squared.
//
// Rows: pos-a-mm-30-90.
func (a PistonAcceleration) MillimetersPerCrankDegree2() float64 { return float64(a) * 1e3 }

// InchesPerCrankDegree2 returns the value in inches per crank degree squared.
//
// Rows: pos-a-in-35-90.
func (a PistonAcceleration) InchesPerCrankDegree2() float64 {
	return float64(a) / units.Inch.Meters()
}

// At returns the piston's acceleration while the crank turns evenly at w:
//
//	d2x/dt2 = (d2x/dtheta2) w^2
//
// Rows: ex-15-4-a-exact, mer-5-15-aa.
func (a PistonAcceleration) At(w units.AngularSpeed) units.Acceleration {
	k := degreesPerRadian * w.RadiansPerSecond()
	return units.MetersPerSecondSquared(float64(a) * k * k)
}

// String returns the value in meters per crank degree squared.
func (a PistonAcceleration) String() string {
	return strconv.FormatFloat(float64(a), 'g', -1, 64) + " m/crank deg2"
}

const degreesPerRadian = 180 / math.Pi

// RodAngle is the angle between a rod and its bore in radians. It is an angle
// neither of the crank nor of the cam.
type RodAngle float64

// Degrees returns the angle in degrees.
//
// Rows: pos-rod-30-60, mer-5-9-beta, khu-15-9-phi.
func (a RodAngle) Degrees() float64 { return float64(a) * degreesPerRadian }

// String returns the angle in degrees.
func (a RodAngle) String() string {
	return strconv.FormatFloat(a.Degrees(), 'g', -1, 64) + " deg of the rod"
}

// SliderCrankSpec is the geometry of a piston, its rod and its crank throw.
type SliderCrankSpec struct {
	// Throw is the radius of the crank pin's circle, half the stroke of an
	// engine without offset.
	Throw units.Length
	// Rod is the length of the rod between the centers of its two eyes.
	Rod units.Length
	// Offset is how far the line on which the piston pin moves lies to the
	// side of the crank's axis: of a pin set off in the piston, of a bore set
	// off from the crank, or of both together. Positive toward the side on
	// which the crank pin is just after top dead center, negative toward the
	// other; 0 for none.
	Offset units.Length
}

// SliderCrank is the exact motion of a piston over the crank angle. Make it
// with NewSliderCrank; the zero value stands still.
type SliderCrank struct {
	spec    SliderCrankSpec
	r, l, e float64 // meters
	top     float64 // height of the piston pin over the crank's axis at top dead center
	bottom  float64 // and at bottom dead center
	sinTDC  float64 // of the angle of top dead center from the bore-parallel
	cosTDC  float64
	nonzero bool
}

// maxCrank bounds throw, rod and offset.
const maxCrank = 10 * units.Meter

// NewSliderCrank checks the geometry and prepares it for evaluation. It can
// turn only if
//
//	l > r + |e|
//
// with r = Throw, l = Rod, e = Offset; anything else is ErrImpossible. Throw
// and Rod must be over 0, and all three within 10 m (ErrRange).
//
// Rows: off-tdc-10, off-tdc-m10, off-stroke-10.
func NewSliderCrank(s SliderCrankSpec) (*SliderCrank, error) {
	switch {
	case s.Throw <= 0 || s.Throw > maxCrank:
		return nil, fail("Throw", s.Throw.String(), units.ErrRange, "want a crank throw over 0 and at most 10 m")
	case s.Rod <= 0 || s.Rod > maxCrank:
		return nil, fail("Rod", s.Rod.String(), units.ErrRange, "want a rod length over 0 and at most 10 m")
	case !within(s.Offset, maxCrank):
		return nil, fail("Offset", s.Offset.String(), units.ErrRange, "want an offset within 10 m")
	case s.Rod <= s.Throw+s.Offset.Abs():
		return nil, fail("Rod", s.Rod.String(), units.ErrImpossible, "want a rod longer than throw and offset together, else the crank cannot turn; is the throw half the stroke?")
	}
	k := &SliderCrank{spec: s, r: s.Throw.Meters(), l: s.Rod.Meters(), e: s.Offset.Meters(), nonzero: true}
	// The sums are exact counts before they become float64.
	out, in := (s.Rod + s.Throw).Meters(), (s.Rod - s.Throw).Meters()
	k.top = math.Sqrt((out - k.e) * (out + k.e))
	k.bottom = math.Sqrt((in - k.e) * (in + k.e))
	k.sinTDC, k.cosTDC = k.e/out, k.top/out
	return k, nil
}

// Spec returns the geometry.
func (k *SliderCrank) Spec() SliderCrankSpec { return k.spec }

// sinCos returns what Sin and Cos of the angle do, with one reduction and one
// series for both: within 45 degrees of a multiple of 90 the cosine of the
// remainder is far enough from 0 to follow from its sine without loss.
func sinCos(a units.CrankAngle) (sin, cos float64) {
	const quarter = units.CrankTurn / 4
	a %= units.CrankTurn
	half := quarter / 2
	if a < 0 {
		half = -half
	}
	q := (a + half) / quarter
	s := math.Sin(float64(a-q*quarter) * (math.Pi / (180 * float64(units.CrankDegree))))
	c := math.Sqrt((1 - s) * (1 + s))
	switch q & 3 {
	case 0:
		return s, c
	case 1:
		return c, -s
	case 2:
		return -s, -c
	default:
		return -c, s
	}
}

// pin returns sine and cosine of the crank's angle from the bore-parallel.
func (k *SliderCrank) pin(fromTDC units.CrankAngle) (sin, cos float64) {
	s, c := sinCos(fromTDC)
	return s*k.cosTDC + c*k.sinTDC, c*k.cosTDC - s*k.sinTDC
}

// travel returns how far the piston is below its top dead center, in meters.
func (k *SliderCrank) travel(fromTDC units.CrankAngle) float64 {
	sin, cos := k.pin(fromTDC)
	u := k.r*sin - k.e
	return k.top - (k.r*cos + math.Sqrt((k.l-u)*(k.l+u)))
}

// Travel answers how far the piston has come down from its top dead center
// when the crank stands at an angle from top dead center, positive after it:
//
//	x = sqrt((l+r)^2 - e^2) - r cos t - sqrt(l^2 - (r sin t - e)^2)
//	t = fromTDC + asin(e/(l+r))
//
// with r = Throw, l = Rod, e = Offset (meters) and t counted from where the
// throw is parallel to the bore. The equation is exact; any angle is valid. The
// result is rounded to 1 pm and is never negative.
//
// Source: geometry of the slider-crank; without offset Khurmi and Gupta, Theory
// of Machines, ch. 15; with offset H. N. Gupta, Fundamentals of Internal
// Combustion Engines, ch. 13.
//
// Rows: pos-30-60, pos-45-130, off-x-1-90, off-x-10-30, off-x-10-270,
// off-x-m10-30, off-x-m10-90.
func (k *SliderCrank) Travel(fromTDC units.CrankAngle) units.Length {
	return max(0, length(k.travel(fromTDC)))
}

// PistonMotion is where the piston is at one crank angle and how it moves.
type PistonMotion struct {
	// Travel is how far the piston is below its top dead center.
	Travel units.Length
	// Velocity and Acceleration are the first and second derivative of the
	// travel over the crank angle; their At methods give them at a speed.
	Velocity     PistonVelocity
	Acceleration PistonAcceleration
	// Rod is the angle between rod and bore, positive where the crank pin
	// stands to the side that it takes after top dead center.
	Rod RodAngle
	// RodSpeed is the ratio of the rod's angular speed to the crank's, and
	// RodAcceleration that of the rod's angular acceleration to the square of
	// the crank's speed.
	RodSpeed, RodAcceleration float64
}

// Motion answers position, velocity and acceleration of the piston and the rod
// at a crank angle from top dead center:
//
//	u = r sin t - e,  q = sqrt(l^2 - u^2),  c = r cos t
//	dx/dt   = r sin t + u c/q
//	d2x/dt2 = c + (c^2 - u r sin t)/q + u^2 c^2/q^3
//	sin(rod) = u/l,  d rod/dt = c/q,  d2 rod/dt2 = -r sin t/q + u c^2/q^3
//
// with t, r, l, e as for Travel and derivatives per crank radian, returned per
// crank degree. Exact at every angle; for an even speed of the crank.
//
// Source: derivatives of the equation of Travel; without offset they are those
// of Khurmi and Gupta, Theory of Machines, ch. 15, before its approximation.
//
// Rows: ex-15-4-v-exact, ex-15-4-a-exact, mcad-v, mcad-w3, mcad-th3, mer-5-9-wab,
// mer-5-9-beta, khu-15-9-phi, khu-15-2-apc, tay-21-5-w, pos-v-30-60, pos-a-30-60,
// pos-rod-30-60, pos-v-35-140, pos-a-35-140, motion-v-offset, motion-a-offset.
func (k *SliderCrank) Motion(fromTDC units.CrankAngle) PistonMotion {
	if !k.nonzero {
		return PistonMotion{}
	}
	sin, cos := k.pin(fromTDC)
	s, c := k.r*sin, k.r*cos
	u := s - k.e
	q := math.Sqrt((k.l - u) * (k.l + u))
	inv := 1 / q
	w := c * inv // the rod's angular speed over the crank's
	rod := (u*w*w - s) * inv
	v, a := s+u*w, c+c*w+u*rod
	const d = math.Pi / 180
	return PistonMotion{
		Travel:          max(0, length(k.top-(c+q))),
		Velocity:        PistonVelocity(v * d),
		Acceleration:    PistonAcceleration(a * d * d),
		Rod:             RodAngle(math.Atan(u * inv)),
		RodSpeed:        w,
		RodAcceleration: rod,
	}
}

// DeadCenters are the two ends of the stroke.
type DeadCenters struct {
	// TDC and BDC are the crank angles of top and bottom dead center, counted
	// from where the throw is parallel to the bore and points up it.
	TDC, BDC units.CrankAngle
	// Down and Up are the crank angles from top to bottom dead center and
	// from bottom to top; 180 degrees each only without offset.
	Down, Up units.CrankAngle
	// Stroke is how far the piston moves, over twice the throw with an offset.
	Stroke units.Length

	spec SliderCrankSpec
}

// DeadCenters answers where the piston turns round and how long its stroke is:
//
//	TDC = asin(e/(l+r)),  BDC = 180 deg + asin(e/(l-r))
//	S   = sqrt((l+r)^2 - e^2) - sqrt((l-r)^2 - e^2)
//
// with r = Throw, l = Rod, e = Offset. With a positive offset top dead center
// lies after the bore-parallel position. Without offset: 0, 180 and 2 r.
//
// Source: throw and rod in one line; H. N. Gupta, Fundamentals of Internal
// Combustion Engines, ch. 13.
//
// Rows: off-tdc-0, off-tdc-1, off-tdc-10, off-tdc-m10, off-bdc-0, off-bdc-1,
// off-bdc-2, off-bdc-10, off-stroke-1, off-stroke-2, off-stroke-10, off-stroke-m10.
func (k *SliderCrank) DeadCenters() DeadCenters {
	if !k.nonzero {
		return DeadCenters{}
	}
	up := crankAngle(math.Atan2(k.e, k.top) * degreesPerRadian)
	down := units.CrankTurn/2 + crankAngle(math.Atan2(k.e, k.bottom)*degreesPerRadian)
	return DeadCenters{TDC: up, BDC: down, Down: down - up, Up: units.CrankTurn - (down - up), Stroke: k.stroke(), spec: k.spec}
}

func (k *SliderCrank) stroke() units.Length { return length(k.top - k.bottom) }

// Working shows the two angles and the stroke.
func (d DeadCenters) Working() units.Working {
	src := units.Source{Text: "throw and rod in one line", Provenance: units.Computed}
	given := d.spec.String()
	return units.Working{
		{Symbol: "TDC", Formula: "asin(e/(l+r))", Numbers: given, Value: d.TDC.Text(3), Source: src},
		{Symbol: "BDC", Formula: "180 deg + asin(e/(l-r))", Numbers: given, Value: d.BDC.Text(3), Source: src},
		{Symbol: "S", Formula: "sqrt((l+r)^2 - e^2) - sqrt((l-r)^2 - e^2)", Numbers: given, Value: d.Stroke.Text(units.Millimeters, 4) + " (" + d.Stroke.Text(units.Inches, 5) + ")", Source: src},
	}
}

// String returns throw, rod and offset in millimeters.
func (s SliderCrankSpec) String() string {
	return "r = " + s.Throw.String() + ", l = " + s.Rod.String() + ", e = " + s.Offset.String()
}

// MeanSpeed answers how fast the piston moves on average while the crank turns
// at w:
//
//	mean = 2 S n = S w/pi
//
// with S = the stroke of DeadCenters, n in revolutions per second, w in radians
// per second.
//
// Source: definition; Heywood, Internal Combustion Engine Fundamentals, ch. 2.
//
// Rows: mps-90, mps-85, hey-sp-30, hey-sp-90, hey-sp-120, pul-2-1-ups.
func (k *SliderCrank) MeanSpeed(w units.AngularSpeed) units.Speed {
	return units.MetersPerSecond((k.top - k.bottom) * math.Abs(w.RadiansPerSecond()) / math.Pi)
}

// FastestPoint is where the piston is fastest on one stroke.
type FastestPoint struct {
	// FromTDC is the crank angle there: positive on the way down, negative
	// (before top dead center) on the way up.
	FromTDC units.CrankAngle
	Motion  PistonMotion
}

// Fastest are the two places where the piston's acceleration is 0.
type Fastest struct {
	Down, Up FastestPoint
}

// Fastest answers at which crank angles the piston is fastest, on its way down
// and on its way up: where d2x/dt2 of Motion is 0. The two lie at equal angles
// from top dead center only without offset.
//
// Source: as for Motion.
//
// Rows: vmax-6-2, vmax-6-2-rod, vmax-6-2-corner, ex-15-3-vmax-exact,
// ex-15-4-zero-exact, fast-up-offset.
func (k *SliderCrank) Fastest() Fastest {
	if !k.nonzero {
		return Fastest{}
	}
	d := k.DeadCenters()
	at := func(end units.CrankAngle) FastestPoint {
		// The acceleration is positive at the top and negative at the bottom.
		x, _ := root(0, end.Degrees(), func(deg float64) (float64, float64) {
			return -float64(k.Motion(crankAngle(deg)).Acceleration), math.NaN()
		})
		a := crankAngle(x)
		return FastestPoint{FromTDC: a, Motion: k.Motion(a)}
	}
	return Fastest{Down: at(d.Down), Up: at(-d.Up)}
}

// PistonDropAngles are the two crank angles at which the piston stands at one
// depth below its top dead center.
type PistonDropAngles struct {
	// Depth is the drop asked for.
	Depth units.Length
	// Before and After are the angles from top dead center to the piston at that
	// depth, both positive: on its way up, and on its way down.
	Before, After units.CrankAngle
	// Half is half the arc between the two.
	Half units.CrankAngle
	// Midpoint is how far the middle of the two lies after top dead center:
	// (After - Before)/2, 0 without offset.
	Midpoint units.CrankAngle

	spec SliderCrankSpec
}

// Drop answers at which crank angles before and after top dead center the
// piston stands at a depth below its highest point. With D the height of the
// piston pin over the crank's axis and p its distance from it:
//
//	D = sqrt((l+r)^2 - e^2) - x,  p = sqrt(D^2 + e^2)
//	cos(half) = (r^2 + p^2 - l^2)/(2 r p)
//	midpoint  = asin(e/p) - asin(e/(l+r))
//	after = half + midpoint,  before = half - midpoint
//
// with x = depth, r = Throw, l = Rod, e = Offset: the triangle of throw, rod
// and p is the same on both sides, so the two angles lie equally far from the
// direction of p, which leans past the direction of top dead center by the
// midpoint. It is evaluated by the half angles of the triangle, which keeps its
// digits at both dead centers. The inverse of Travel to its quantum.
//
// A depth under 0 or over the stroke is ErrRange; 0 gives 0, the stroke gives
// bottom dead center.
//
// Source: law of cosines; without offset Khurmi and Gupta, Theory of Machines,
// ch. 15, example 15.9.
//
// Rows: drop-0p05, drop-0p1, drop-0p2, khu-15-9-theta, khu-15-9-theta-exact,
// sar-5-5-theta, drop-after-10, drop-before-10, drop-after-m10.
func (k *SliderCrank) Drop(depth units.Length) (PistonDropAngles, error) {
	if depth < 0 || depth > k.stroke() {
		return PistonDropAngles{}, fail("depth", depth.String(), units.ErrRange, "want a drop from 0 to the stroke of "+k.stroke().String())
	}
	half, mid := k.drop(depth.Meters())
	d := PistonDropAngles{Depth: depth, Half: crankAngle(half * degreesPerRadian), Midpoint: crankAngle(mid * degreesPerRadian), spec: k.spec}
	d.Before = crankAngle((half - mid) * degreesPerRadian)
	d.After = crankAngle((half + mid) * degreesPerRadian)
	return d, nil
}

// drop returns half the arc between the two angles of a drop, and how far its
// middle lies after top dead center, in radians.
func (k *SliderCrank) drop(x float64) (half, mid float64) {
	if !k.nonzero {
		return 0, 0
	}
	d := k.top - x
	p := math.Hypot(d, k.e)
	out, in := k.l+k.r, k.l-k.r
	// l+r-p and p-(l-r) without the difference of near equals.
	short := x * (k.top + d) / (out + p)
	long := max(0, k.top-k.bottom-x) * (d + k.bottom) / (p + in)
	half = 2 * math.Atan2(math.Sqrt(short*(p+in)), math.Sqrt(long*(p+out)))
	return half, math.Atan2(k.e*x, d*k.top+k.e*k.e)
}

// Working shows the triangle.
func (d PistonDropAngles) Working() units.Working {
	src := units.Source{Text: "law of cosines on throw, rod and the pin's distance", Provenance: units.Computed}
	return units.Working{
		{Symbol: "half", Formula: "acos((r^2 + p^2 - l^2)/(2 r p)), p = sqrt(D^2 + e^2), D = sqrt((l+r)^2 - e^2) - x", Numbers: d.spec.String() + ", x = " + d.Depth.String(), Value: d.Half.Text(3), Source: src},
		{Symbol: "midpoint", Formula: "asin(e/p) - asin(e/(l+r))", Numbers: d.spec.String(), Value: d.Midpoint.Text(3), Source: src},
		{Symbol: "before", Formula: "half - midpoint", Numbers: d.Half.Text(3) + " - " + d.Midpoint.Text(3), Value: d.Before.Text(3), Source: src},
		{Symbol: "after", Formula: "half + midpoint", Numbers: d.Half.Text(3) + " + " + d.Midpoint.Text(3), Value: d.After.Text(3), Source: src},
	}
}

// MidpointError answers how far the middle of two crank angles at which the
// piston stands equally high lies after the true top dead center, from half the
// arc between them alone, as two contacts with a stop of unknown length give it:
//
//	p = r cos(half) + sqrt(l^2 - r^2 sin^2(half))
//	error = asin(e/p) - asin(e/(l+r))
//
// with r = Throw, l = Rod, e = Offset. It has the sign of the offset: with a
// positive one the middle comes late and true top dead center = middle - error.
// Zero without offset. half must be over 0 and under 180 crank degrees
// (ErrRange).
//
// Source: the triangle of Drop, solved for p.
//
// Rows: mid-10, mid-m10, mid-1.
func (k *SliderCrank) MidpointError(half units.CrankAngle) (units.CrankAngle, error) {
	_, mid, err := k.contact(half)
	return crankAngle(mid * degreesPerRadian), err
}

// contact returns the depth in meters at which the piston stands at both ends
// of an arc, and the error of its middle in radians.
func (k *SliderCrank) contact(half units.CrankAngle) (depth, mid float64, err error) {
	if half <= 0 || half >= units.CrankTurn/2 {
		return 0, 0, fail("half", half.String(), units.ErrRange, "want half an arc over 0 and under 180 crank degrees")
	}
	s := k.r * half.Sin()
	p := k.r*half.Cos() + math.Sqrt((k.l-s)*(k.l+s))
	e := math.Abs(k.e)
	d := math.Sqrt(max(0, (p-e)*(p+e)))
	x := max(0, k.top-d)
	return x, math.Atan2(k.e*x, d*k.top+k.e*k.e), nil
}

// TopDwell is the arc over which an indicator that resolves no more than a
// given drop cannot tell the crank's position.
type TopDwell struct {
	// Before and After bound the arc around top dead center.
	Before, After units.CrankAngle
	// Arc is the whole of it.
	Arc units.CrankAngle
	// U is the standard uncertainty of a top dead center called by the highest
	// reading alone: rectangular over the arc, Arc/sqrt(12).
	U units.CrankAngle
}

// DialAtTop answers how badly a dial indicator finds top dead center by the
// highest reading alone: over which arc the piston stays within one resolution
// of its top.
//
//	Drop(resolution);  Arc = before + after;  U = Arc/sqrt(12)
//
// For small drops the arc is close to 2 sqrt(2 x l/(r (l+r))): it shrinks only
// with the root of the resolution, so a finer dial hardly helps. 0.001 in is
// more than a degree either way on any engine with less than 6 in of stroke
// and no offset.
// FindTDC uses readings on both flanks, where the piston moves.
//
// A resolution that is not over 0, or over the stroke, is ErrRange.
//
// Source: Drop; rectangular distribution, JCGM 100:2008, 4.3.7.
//
// Rows: dwell-1thou, dwell-u-1thou.
func (k *SliderCrank) DialAtTop(resolution units.Length) (TopDwell, error) {
	if resolution <= 0 {
		return TopDwell{}, fail("resolution", resolution.String(), units.ErrRange, "want a resolution over 0")
	}
	d, err := k.Drop(resolution)
	if err != nil {
		return TopDwell{}, fail("resolution", resolution.String(), units.ErrRange, "want a resolution under the stroke")
	}
	arc := d.Before + d.After
	return TopDwell{Before: d.Before, After: d.After, Arc: arc, U: crankAngle(arc.Degrees() / math.Sqrt(12))}, nil
}
