package camtiming

import (
	"math"

	"example.com/trialfit/units"
)

// ArcLobeSpec describes a symmetric lobe of circular arcs: base circle, convex
// flank, nose. Base is required, and exactly three of Flank, Nose, Lift and
// Ascent, which fix the fourth.
type ArcLobeSpec struct {
	Base   units.Length // radius of the base circle
	Roller units.Length // radius of the roller; 0: a flat face square to its travel
	Flank  units.Optional[units.Length]
	Nose   units.Optional[units.Length]
	Lift   units.Optional[units.Length] // of the follower, at the nose
	Ascent units.Optional[units.CamAngle]
}

// TangentLobeSpec describes a symmetric lobe with straight flanks, tangent to
// base circle and nose, under a roller. Base and Roller are required, and
// exactly two of Nose, Lift and Ascent, which fix the third.
type TangentLobeSpec struct {
	Base   units.Length // radius of the base circle
	Roller units.Length // radius of the roller
	Nose   units.Optional[units.Length]
	Lift   units.Optional[units.Length]
	Ascent units.Optional[units.CamAngle]
}

// ArcGeometry is the shape of a lobe of arcs.
type ArcGeometry struct {
	Base, Nose units.Length // radii
	// Flank is the radius of the flank; 0 where Straight is set.
	Flank    units.Length
	Straight bool
	Roller   units.Length // 0: a flat follower
	Lift     units.Length
	// NoseCenter is the distance from the cam's center to the nose's.
	NoseCenter units.Length
	// Ascent is the cam angle from the start of lift to the nose.
	Ascent units.CamAngle
	// FlankAngle is the cam angle from the start of lift over which the
	// follower runs on the flank, FlankLift the lift at its end.
	FlankAngle units.CamAngle
	FlankLift  units.Length
}

// ArcLobe is a lobe of circular arcs, or of straight flanks and arcs, with its
// follower. Lift and velocity are continuous; the acceleration jumps at both
// ends of a flank.
type ArcLobe struct {
	base, flank, nose, roller float64 // meters; flank is +Inf for a straight one
	center                    float64 // cam center to nose center, meters
	ascent, junction          float64 // cam degrees from the start of lift
	lift                      float64
	geometry                  ArcGeometry
}

// NewArcLobe returns the lobe of a convex flank. With r1 = Base, R = Flank, r3 =
// Nose, a = Ascent, OQ = r1 + Lift - r3 the distance of the nose's center:
//
//	R = (r1^2 - r3^2 + OQ^2 - 2 r1 OQ cos a) / (2 (r1 - r3 - OQ cos a))
//
// solved for whichever is not given. The flank's center lies R - r1 beyond the
// cam's center, opposite to where the lift starts. Needs radii over 0 and at
// most 100 m, a flank larger than base and nose, a lift over 0 and at most 1 m
// and an ascent in (0, 180) cam degrees. More or fewer than three of the four is
// ErrConflict or ErrMissing; figures from which no convex flank follows are
// ErrImpossible (r1 - r3 > OQ cos a is needed).
//
// Source: three-arc cam with flat follower, textbooks of the theory of machines
// (Khurmi and Gupta, ch. 20); the roller from the same geometry.
//
// Rows: arc-suction-R, arc30-R, arc15-0, shape-arc15-nose, shape-arc15-lift,
// shape-arc15-ascent.
func NewArcLobe(spec ArcLobeSpec) (*ArcLobe, error) {
	if err := checkRadius("Base", spec.Base); err != nil {
		return nil, err
	}
	if spec.Roller != 0 {
		if err := checkRadius("Roller", spec.Roller); err != nil {
			return nil, err
		}
	}
	if err := checkGiven("Flank, Nose, Lift, Ascent", 3, spec.Flank.Given, spec.Nose.Given, spec.Lift.Given, spec.Ascent.Given); err != nil {
		return nil, err
	}
	if err := checkArc(spec.Flank, spec.Nose, spec.Lift, spec.Ascent); err != nil {
		return nil, err
	}
	r1 := spec.Base.Meters()
	big, r3, h := spec.Flank.Value.Meters(), spec.Nose.Value.Meters(), spec.Lift.Value.Meters()
	sin, cos := spec.Ascent.Value.Sin(), spec.Ascent.Value.Cos()
	q, s := r1+h-r3, big-r1 // OQ and the flank's center
	ascent := spec.Ascent.Value.Degrees()
	switch {
	case !spec.Flank.Given:
		big = (r1*r1 - r3*r3 + q*q - 2*r1*q*cos) / (2 * (r1 - r3 - q*cos))
	case !spec.Nose.Given:
		q = h * (2*s - h) / (2 * (s*(1-cos) - h))
		r3 = r1 + h - q
	case !spec.Lift.Given:
		q = math.Sqrt((big-r3)*(big-r3)-s*s*sin*sin) - s*cos
		h = q + r3 - r1
	default:
		ascent = math.Acos(((big-r3)*(big-r3)-s*s-q*q)/(2*s*q)) * 180 / math.Pi
	}
	l := &ArcLobe{base: r1, flank: big, nose: r3, roller: spec.Roller.Meters(), center: q, ascent: ascent, lift: h}
	if !(big > r1 && big > r3) { // also NaN
		return nil, fail("Flank", "", units.ErrImpossible, "these figures leave no convex flank larger than base and nose")
	}
	return l.made()
}

// NewTangentLobe returns the lobe of a straight flank under a roller. With r1 =
// Base, r3 = Nose, a = Ascent, OQ = r1 + Lift - r3:
//
//	r1 - r3 = OQ cos a
//
// solved for whichever is not given. Errors as for NewArcLobe, with two of the
// three; an ascent of 90 cam degrees needs the lift.
//
// Source: tangent cam with roller follower, textbooks of the theory of machines
// (Khurmi and Gupta, ch. 20).
//
// Rows: tan-r3, shape-tan-lift, shape-tan-ascent.
func NewTangentLobe(spec TangentLobeSpec) (*ArcLobe, error) {
	if err := checkRadius("Base", spec.Base); err != nil {
		return nil, err
	}
	if err := checkRadius("Roller", spec.Roller); err != nil {
		return nil, err
	}
	if err := checkGiven("Nose, Lift, Ascent", 2, spec.Nose.Given, spec.Lift.Given, spec.Ascent.Given); err != nil {
		return nil, err
	}
	if err := checkArc(units.Optional[units.Length]{}, spec.Nose, spec.Lift, spec.Ascent); err != nil {
		return nil, err
	}
	r1, r3, h := spec.Base.Meters(), spec.Nose.Value.Meters(), spec.Lift.Value.Meters()
	cos, ascent := spec.Ascent.Value.Cos(), spec.Ascent.Value.Degrees()
	var q float64
	switch {
	case !spec.Nose.Given:
		r3 = (r1 - (r1+h)*cos) / (1 - cos)
		q = r1 + h - r3
	case !spec.Lift.Given:
		q = (r1 - r3) / cos
		h = q + r3 - r1
	default:
		q = r1 + h - r3
		ascent = math.Acos((r1-r3)/q) * 180 / math.Pi
	}
	return (&ArcLobe{base: r1, flank: math.Inf(1), nose: r3, roller: spec.Roller.Meters(), center: q, ascent: ascent, lift: h}).made()
}

func checkRadius(field string, r units.Length) error {
	if r <= 0 || r > 100*units.Meter {
		return fail(field, r.String(), units.ErrRange, "want a radius over 0 and at most 100 m")
	}
	return nil
}

func checkGiven(field string, want int, given ...bool) error {
	n := 0
	for _, g := range given {
		if g {
			n++
		}
	}
	switch {
	case n < want:
		return fail(field, "", units.ErrMissing, "want all but one of them: the rest follows")
	case n > want:
		return fail(field, "", units.ErrConflict, "want all but one of them: they depend on each other")
	default:
		return nil
	}
}

// checkArc refuses what is given and cannot be.
func checkArc(flank, nose, lift units.Optional[units.Length], ascent units.Optional[units.CamAngle]) error {
	if flank.Given {
		if err := checkRadius("Flank", flank.Value); err != nil {
			return err
		}
	}
	if nose.Given {
		if err := checkRadius("Nose", nose.Value); err != nil {
			return err
		}
	}
	if lift.Given {
		if err := checkLift("Lift", lift.Value); err != nil {
			return err
		}
	}
	if ascent.Given {
		return checkFlank("Ascent", ascent.Value)
	}
	return nil
}

// made checks the solved lobe and finds where the flank ends.
func (l *ArcLobe) made() (*ArcLobe, error) {
	for _, f := range [...]struct {
		name   string
		value  float64
		least  float64
		most   float64
		reason string
	}{
		{"Ascent", l.ascent, 0, 180, "no ascent between 0 and 180 cam degrees follows from these figures"},
		{"Nose", l.nose, 0, 100, "no nose radius over 0 and up to 100 m follows from these figures"},
		{"Lift", l.lift, 0, 1, "no lift over 0 and up to 1 m follows from these figures"},
		{"Lift, Nose", l.center, 0, 200, "the nose's center does not lie beyond the cam's"},
	} {
		if !(f.value > f.least && f.value < f.most || f.value == f.most && f.name != "Ascent") { // also NaN
			return nil, fail(f.name, "", units.ErrImpossible, f.reason)
		}
	}
	sin, cos := math.Sincos(l.ascent * math.Pi / 180)
	straight := math.IsInf(l.flank, 1)
	// The normal at the end of the flank points from the flank's center through
	// the nose's; a roller's center stands on it, beyond the nose.
	nx, ny := 1.0, 0.0
	if !straight {
		x, y := l.center*cos+l.flank-l.base, l.center*sin
		d := math.Hypot(x, y)
		nx, ny = x/d, y/d
		if !(l.flank <= 100) {
			return nil, fail("Flank", "", units.ErrImpossible, "the flank that follows is over 100 m: as good as straight or hollow")
		}
	}
	if l.roller == 0 {
		l.junction = math.Atan2(ny, nx) * 180 / math.Pi
	} else {
		d := l.nose + l.roller
		l.junction = math.Atan2(l.center*sin+d*ny, l.center*cos+d*nx) * 180 / math.Pi
	}
	if !(l.junction > 0 && l.junction < l.ascent) {
		return nil, fail("Ascent", "", units.ErrImpossible, "the flank does not end between the start of lift and the nose")
	}
	g := ArcGeometry{
		Base: length(l.base), Nose: length(l.nose), Straight: straight, Roller: length(l.roller),
		Lift: length(l.lift), NoseCenter: length(l.center),
		Ascent: camAngle(l.ascent), FlankAngle: camAngle(l.junction), FlankLift: length(l.onFlank(l.junction).y),
	}
	if !straight {
		g.Flank = length(l.flank)
	}
	if g.Lift <= 0 || g.Nose <= 0 || g.Ascent <= 0 {
		return nil, fail("Lift", "", units.ErrImpossible, "the lobe that follows is smaller than a picometer")
	}
	l.geometry = g
	return l, nil
}

// Geometry returns radii, lift and angles, those that were given and those
// that follow:
//
//	straight flank: tan(FlankAngle) = OQ sin(a) / (r1 + r2)
//	convex flank, flat follower: sin(FlankAngle) = OQ sin(a) / (R - r3)
//
// with OQ = NoseCenter, a = Ascent, r1 = Base, r2 = Roller, r3 = Nose, R = Flank.
//
// Rows: tan-phi, tan-y-flank-end, arc-suction-phi, arc30-phi, arc15-2.
func (l *ArcLobe) Geometry() ArcGeometry { return l.geometry }

// Working shows how the shape follows from its radii.
func (g ArcGeometry) Working() units.Working {
	src := units.Source{Text: "geometry of tangent arcs", Provenance: units.Computed}
	mm := func(x units.Length) string { return x.Text(units.Millimeters, 4) }
	deg := func(a units.CamAngle) string { return a.Text(3) }
	w := units.Working{{
		Symbol: "OQ", Formula: "r1 + h - r3", Numbers: mm(g.Base) + " + " + mm(g.Lift) + " - " + mm(g.Nose), Value: mm(g.NoseCenter), Source: src,
	}}
	if g.Straight {
		return append(w, units.Step{
			Symbol: "a", Formula: "acos((r1 - r3)/OQ)", Numbers: "acos((" + mm(g.Base) + " - " + mm(g.Nose) + ")/" + mm(g.NoseCenter) + ")", Value: deg(g.Ascent), Source: src,
		}, units.Step{
			Symbol: "phi", Formula: "atan(OQ sin(a)/(r1 + r2))", Numbers: "atan(" + mm(g.NoseCenter) + " sin(" + deg(g.Ascent) + ")/(" + mm(g.Base) + " + " + mm(g.Roller) + "))", Value: deg(g.FlankAngle), Source: src,
		})
	}
	w = append(w, units.Step{
		Symbol: "R", Formula: "(r1^2 - r3^2 + OQ^2 - 2 r1 OQ cos(a)) / (2 (r1 - r3 - OQ cos(a)))",
		Numbers: "r1 = " + mm(g.Base) + ", r3 = " + mm(g.Nose) + ", OQ = " + mm(g.NoseCenter) + ", a = " + deg(g.Ascent), Value: mm(g.Flank), Source: src,
	})
	if g.Roller == 0 {
		w = append(w, units.Step{
			Symbol: "phi", Formula: "asin(OQ sin(a)/(R - r3))", Numbers: "asin(" + mm(g.NoseCenter) + " sin(" + deg(g.Ascent) + ")/(" + mm(g.Flank) + " - " + mm(g.Nose) + "))", Value: deg(g.FlankAngle), Source: src,
		})
	}
	return w
}

// onFlank returns the motion per cam radian at t cam degrees after the start of lift.
func (l *ArcLobe) onFlank(t float64) state {
	sin, cos := math.Sincos(t * math.Pi / 180)
	rise := sin * sin / (1 + cos) // 1 - cos, without its loss of digits
	switch s := l.flank - l.base; {
	case math.IsInf(s, 1):
		p, sec := l.base+l.roller, 1/cos
		tan := sin * sec
		return state{
			p * rise * sec, p * sec * tan, p * sec * (sec*sec + tan*tan), p * sec * tan * (5*sec*sec + tan*tan),
		}
	case l.roller == 0:
		return state{s * rise, s * sin, s * cos, -s * sin}
	default:
		m := rodAndCrank(-s, l.flank+l.roller, sin, cos)
		m.y -= l.base + l.roller
		return m
	}
}

// onNose returns the motion per cam radian at t cam degrees from the nose.
func (l *ArcLobe) onNose(t float64) state {
	sin, cos := math.Sincos(t * math.Pi / 180)
	q := l.center
	if l.roller == 0 {
		return state{l.nose + q*cos - l.base, -q * sin, -q * cos, q * sin}
	}
	m := rodAndCrank(q, l.nose+l.roller, sin, cos)
	m.y -= l.base + l.roller
	return m
}

// rodAndCrank is the motion of a slider-crank, crank c and rod r, at the crank
// angle whose sine and cosine are given: x = c cos + sqrt(r^2 - c^2 sin^2).
func rodAndCrank(c, r, sin, cos float64) state {
	c2, sin2, cos2 := c*c, 2*sin*cos, cos*cos-sin*sin
	q := math.Sqrt(r*r - c2*sin*sin)
	q3 := q * q * q
	return state{
		c*cos + q,
		-c*sin - c2*sin2/(2*q),
		-c*cos - c2*cos2/q - c2*c2*sin2*sin2/(4*q3),
		c*sin + 2*c2*sin2/q - 1.5*c2*c2*sin2*cos2/q3 - 0.375*c2*c2*c2*sin2*sin2*sin2/(q3*q*q),
	}
}

func (l *ArcLobe) derive(deg float64) state {
	const k = math.Pi / 180
	sign, x := 1.0, -deg
	if deg >= 0 {
		sign, x = -1, deg
	}
	t := l.ascent - x
	if t < 0 {
		return state{}
	}
	var m state
	if t <= l.junction {
		m = l.onFlank(t)
	} else { // counted from the nose, so that the slope has the other sign
		m = l.onNose(x)
		m.v, m.j = -m.v, -m.j
	}
	return state{m.y, sign * m.v * k, m.a * k * k, sign * m.j * k * k * k}
}

// eval is derive for lift and slope alone, spelled out for a flat follower.
func (l *ArcLobe) eval(deg float64) (lift, slope float64) {
	if l.roller != 0 {
		s := l.derive(deg)
		return s.y, s.v
	}
	const k = math.Pi / 180
	sign, x := 1.0, -deg
	if deg >= 0 {
		sign, x = -1, deg
	}
	t := l.ascent - x
	switch {
	case t < 0:
		return 0, 0
	case t <= l.junction:
		sin, cos := math.Sincos(t * math.Pi / 180)
		s := l.flank - l.base
		return s * (sin * sin / (1 + cos)), sign * (s * sin) * k
	default:
		sin, cos := math.Sincos(x * math.Pi / 180)
		return l.nose + l.center*cos - l.base, sign * (l.center * sin) * k
	}
}

func (l *ArcLobe) breaks() []float64 {
	j := l.ascent - l.junction
	return []float64{-l.ascent, -j, 0, j, l.ascent}
}

// Lift returns the lift of the follower at a cam angle from the nose. With t
// the angle from the start of lift, t' that from the nose and r2 = Roller:
//
//	straight flank: y = (r1 + r2)(1 - cos t)/cos t
//	convex flank, flat follower: y = (R - r1)(1 - cos t)
//	convex flank, roller: y = sqrt((R + r2)^2 - (R - r1)^2 sin^2 t) - (R - r1) cos t - (r1 + r2)
//	nose, flat follower: y = r3 + OQ cos t' - r1
//	nose, roller: y = OQ cos t' + sqrt((r3 + r2)^2 - OQ^2 sin^2 t') - (r1 + r2)
//
// Rows: shape-arcA-15-y, shape-arcB-40-y, shape-arcC-25-y, shape-arcT-15-y,
// shape-arcT-40-y, shape-arc-roller-y.
func (l *ArcLobe) Lift(fromNose units.CamAngle) units.Length {
	return length(l.height(math.Abs(fromNose.Degrees())))
}

// height is the lift x cam degrees off the nose. All branches need only
// v = 1 - cos = 2 sin^2 of half the angle: sin^2 = v (2 - v).
func (l *ArcLobe) height(x float64) float64 {
	t := l.ascent - x
	if t < 0 || l.base == 0 { // the zero ArcLobe never lifts
		return 0
	}
	nose := t > l.junction
	if nose {
		t = x
	}
	sin := sine(t * (math.Pi / 360))
	v := 2 * sin * sin
	switch {
	case nose && l.roller == 0:
		return l.lift - l.center*v
	case nose:
		// sqrt(d^2 - q^2 sin^2) = d - what the roller's center falls behind.
		d, q2 := l.nose+l.roller, l.center*l.center*v*(2-v)
		return l.lift - l.center*v - q2/(d+math.Sqrt(d*d-q2))
	case math.IsInf(l.flank, 1):
		return (l.base + l.roller) * v / (1 - v)
	case l.roller == 0:
		return (l.flank - l.base) * v
	default:
		d, s := l.flank+l.roller, l.flank-l.base
		s2 := s * s * v * (2 - v)
		return s*v - s2/(d+math.Sqrt(d*d-s2))
	}
}

// Velocity returns the slope of the lift at a cam angle from the nose.
//
// Rows: shape-arcA-15-dy, shape-arcB-40-dy, shape-arcC-25-dy, shape-arcT-15-dy,
// shape-arcT-40-dy.
func (l *ArcLobe) Velocity(fromNose units.CamAngle) units.LiftVelocity {
	_, v := l.eval(fromNose.Degrees())
	return units.LiftVelocity(0 + v)
}

// Motion returns lift, velocity, acceleration and jerk at a cam angle from the
// nose, the derivatives of Lift. At the ends of a flank, where the
// acceleration jumps, it is that of the flank. It does not allocate.
//
// Rows: tan-flank-a0, tan-a-nose-start, tan40-a0, shape-arcA-15-d2y,
// shape-arcT-15-d2y, shape-arcT-40-d2y, shape-arc-roller-a, shape-arc-roller-j.
func (l *ArcLobe) Motion(fromNose units.CamAngle) LobeMotion {
	return l.derive(fromNose.Degrees()).motion()
}

// MaxLift returns the lift at the nose.
func (l *ArcLobe) MaxLift() units.Length { return l.geometry.Lift }

// Span returns the ascent on both sides of the nose.
func (l *ArcLobe) Span() Span { return Span{-l.geometry.Ascent, l.geometry.Ascent} }
