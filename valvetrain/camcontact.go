package valvetrain

import (
	"math"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// CamFollower is what rides on the lobe. Under a *FingerCurve Base, Roller and
// Offset stay 0: they are those of the finger.
type CamFollower struct {
	Base units.Length // radius of the lobe's base circle
	// Roller is the radius of the roller; 0 is a flat face.
	Roller units.Length
	// Offset is that of a roller's line of travel, as in
	// camtiming.RollerContactSpec.
	Offset units.Length
	// Width is over which lobe and follower can touch, across the plane of the
	// cam.
	Width units.Length
	// Crown is the radius of the follower's crown: of a roller across the plane
	// of the cam and of the pad of a finger likewise, of a face in both planes,
	// like a ball. 0 is none: the two touch along a line.
	Crown units.Length
	// Surfaces are the materials, First of the lobe, Second of the follower.
	Surfaces Surfaces
	// Friction is the coefficient of friction, a ratio: of sliding for a flat
	// face or a pad; for a roller the drag at its rim over the load, which is
	// some hundredth of the sliding kind. 0 leaves friction out.
	Friction float64
}

// CamContact is the contact of a lobe and its follower at one speed. It is safe
// for concurrent use; At does not allocate.
type CamContact struct {
	turning  Turning
	follower CamFollower
	flat     *camtiming.FlatContact
	roller   *camtiming.RollerContact
	patches  *patches // with a crown
	modulus  float64

	across, second float64 // curvatures of the follower: across the plane of the cam, and in it
	height         float64 // of the roller's center over the cam's at no lift
	width, radius  float64 // of the follower and its roller, meters
}

// CamPoint is the contact at one cam angle from the nose.
type CamPoint struct {
	Forces ValveForces
	// Normal presses lobe and follower together; for a flat face and a finger
	// it is AtCam. 0 where contact is lost.
	Normal units.Force
	// Side presses the lifter against its bore: for a roller by the pressure
	// angle, positive where Slope is; for a flat face by friction. A finger
	// has no lifter, and neither of the two.
	Side units.Force
	// Slope is the tangent of the pressure angle, a ratio; 0 for a flat face
	// and a finger.
	Slope float64
	Peak  units.Pressure // in the middle of the patch
	// HalfRolling and HalfAcross are half the size of the patch in the plane of
	// the cam and across it: half of Width for a line.
	HalfRolling, HalfAcross units.Length
	// Truncated tells that a crown is so flat that its patch is longer than
	// Width: the true peak is higher.
	Truncated bool
	// Friction is the torque that friction at the lobe takes, on top of
	// Forces.Torque.
	Friction units.Torque
}

// Contact joins a follower to a lobe at this speed. The curve of the gear must be
// the lift of this follower. Errors: radii, offset and curve that
// camtiming.NewFlatContact or NewRollerContact refuses, a lobe that is undercut
// (ErrImpossible), a width not over 0, a crown, a friction or materials that are
// negative or out of range, an offset of a flat face (ErrConflict), a base circle,
// roller or offset beside a finger (ErrConflict).
//
// Rows: contact-flat-peak, contact-roller-side, contact-finger-peak.
func (t Turning) Contact(f CamFollower) (*CamContact, error) {
	if err := t.d.made(); err != nil {
		return nil, err
	}
	finger := t.d.finger
	if finger == nil {
		if err := checkSize("Base", f.Base); err != nil {
			return nil, err
		}
	}
	if err := checkSize("Width", f.Width); err != nil {
		return nil, err
	}
	if f.Crown < 0 || f.Crown > 1000*units.Meter {
		return nil, fail("Crown", f.Crown.String(), units.ErrRange, "want a radius of up to 1000 m, 0 for none")
	}
	if !(f.Friction >= 0 && f.Friction <= 2) {
		return nil, fail("Friction", plain(f.Friction), units.ErrRange, "want a coefficient of 0 to 2")
	}
	e, err := f.Surfaces.plane()
	if err != nil {
		return nil, prefixed("Surfaces", err)
	}
	c := &CamContact{turning: t, follower: f, modulus: e, across: invert(f.Crown), second: invert(f.Roller), width: f.Width.Meters(), radius: f.Roller.Meters()}
	switch {
	case finger != nil:
		err = c.onFinger(finger)
	case f.Roller == 0:
		err = c.onFace(t.d.lobe)
	default:
		err = c.onRoller(t.d.lobe)
	}
	if err != nil {
		return nil, err
	}
	if f.Crown != 0 {
		lo, hi := 1.0, leastFlatness
		for a := range t.d.sampled() {
			roll := c.curvature(a) + c.second
			q := min(roll, c.across) / max(roll, c.across)
			lo, hi = min(lo, q), max(hi, q)
		}
		c.patches = patchesOver(max(lo, leastFlatness), hi)
	}
	return c, nil
}

func (c *CamContact) onFinger(finger *FingerCurve) error {
	f := &c.follower
	for _, l := range [...]struct {
		field string
		l     units.Length
	}{{"Base", f.Base}, {"Roller", f.Roller}, {"Offset", f.Offset}} {
		if l.l != 0 {
			return fail(l.field, l.l.String(), units.ErrConflict, "the finger's own are known: want 0")
		}
	}
	c.second = 1 / finger.rf
	return nil
}

func (c *CamContact) onFace(lobe camtiming.MotionCurve) error {
	f := &c.follower
	if f.Offset != 0 {
		return fail("Offset", f.Offset.String(), units.ErrConflict, "a flat face has no offset: it is that of a roller")
	}
	var err error
	if c.flat, err = camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: lobe, Base: f.Base}); err != nil {
		return ofFollower(err)
	}
	c.second = c.across // a crowned face is a ball
	return c.undercut(c.flat.Limits().Undercut)
}

func (c *CamContact) onRoller(lobe camtiming.MotionCurve) error {
	f := &c.follower
	if err := checkSize("Roller", f.Roller); err != nil {
		return err
	}
	var err error
	if c.roller, err = camtiming.NewRollerContact(camtiming.RollerContactSpec{Curve: lobe, Base: f.Base, Roller: f.Roller, Offset: f.Offset}); err != nil {
		return ofFollower(err)
	}
	rp, e := (f.Base + f.Roller).Meters(), f.Offset.Meters()
	c.height = math.Sqrt((rp - e) * (rp + e))
	return c.undercut(c.roller.Limits().Undercut)
}

func (c *CamContact) undercut(where []camtiming.Stretch) error {
	if len(where) == 0 {
		return nil
	}
	return fail("Base", text(c.follower.Base), units.ErrImpossible, "the lobe is undercut at "+where[0].From.Text(1)+" from the nose: want a larger base circle or another follower")
}

// made tells whether Turning.Contact made it.
func (c *CamContact) made() bool { return c != nil && c.modulus > 0 }

// curvature returns that of the lobe where the follower touches it.
func (c *CamContact) curvature(a units.CamAngle) float64 {
	if f := c.turning.d.finger; f != nil {
		lobe, _ := f.table.contact(a.Radians(), f.rf)
		return lobe
	}
	m := c.turning.d.lobe.Motion(a)
	if c.flat != nil {
		return 1 / c.faceRadius(&m)
	}
	return float64(c.roller.AtMotion(m).Surface)
}

// faceRadius returns the radius of curvature of the lobe under a flat
// face, as FlatContact.At has it.
func (c *CamContact) faceRadius(m *camtiming.LobeMotion) float64 {
	return (c.follower.Base + m.Lift).Meters() + float64(m.Acceleration)*squared(180/math.Pi)
}

// ofFollower gives an error of a contact the names of this package.
func ofFollower(err error) error {
	e, ok := err.(*units.InputError) //nolint:errorlint // made by camtiming, never wrapped
	if !ok {
		return err
	}
	p := *e
	p.Package = "valvetrain"
	return &p
}

// At answers how lobe and follower press on each other at a cam angle from the
// nose:
//
//	flat face: N = AtCam      Side = mu N          Friction = mu N (Base + y)
//	roller:    N = AtCam/cos(phi)   Side = AtCam tan(phi)   Friction = mu N ds/dtheta
//	finger:    N = AtCam      Side = 0             Friction = mu N |H - rho - db/dtheta (g - rho)|
//
// with tan(phi) = Slope, mu = CamFollower.Friction, y = lift of the lifter, ds = the way
// the roller rolls along the lobe, and for a finger the speed at which the lobe passes
// its pad or roller: H = support of the path of the pad's center (NewFingerCurve),
// rho = Finger.CamRadius, g = the arm of the tangent there about the pivot, b = the
// finger's turn. Peak and patch are those of LineContact.Hertz, and of PointContact.Hertz where
// there is a crown, with the radius of curvature of the lobe there. The friction of lifter
// bores, rocker and guide is not in it, nor that of the drag on the force itself. It does
// not allocate. The zero CamContact gives zeros.
//
// Source: Johnson, Contact Mechanics (1985), section 4.2; statics.
//
// Rows: contact-flat-peak, contact-flat-friction, contact-roller-side,
// contact-roller-normal, contact-roller-peak, contact-roller-friction,
// contact-crown-peak, contact-face-peak, contact-finger-peak,
// contact-finger-friction.
func (c *CamContact) At(fromNose units.CamAngle) (p CamPoint) {
	if !c.made() || !c.turning.lifted(fromNose) {
		return p
	}
	d := c.turning.d
	f := &c.follower
	var at pose
	var n, lobe, drag float64 // normal force, curvature of the lobe, arm of the friction
	if d.finger != nil {
		d.fingerPose(fromNose, &at)
		c.turning.forces(&at, &p.Forces)
		n = float64(p.Forces.AtCam)
		if !(n > 0) {
			return p
		}
		lobe, drag = d.finger.table.contact(fromNose.Radians(), d.finger.rf)
		drag = math.Abs(drag)
	} else {
		m := d.lobe.Motion(fromNose)
		d.pose(&m, &at)
		c.turning.forces(&at, &p.Forces)
		n = float64(p.Forces.AtCam)
		if !(n > 0) {
			return p
		}
		if c.flat != nil {
			drag = (f.Base + m.Lift).Meters()
			lobe = 1 / c.faceRadius(&m)
			p.Side = units.Force(f.Friction * n)
		} else {
			q := c.roller.AtMotion(m)
			p.Slope = q.Slope
			p.Side = units.Force(n * q.Slope)
			along := math.Sqrt(1 + q.Slope*q.Slope) // 1/cos(phi)
			n *= along
			lobe = float64(q.Surface)
			// The roller's center runs height/cos a radian along its path; the
			// lobe under it is nearer by the roller's radius.
			drag = (q.Lift.Meters() + c.height) * along * (1 - c.radius*float64(q.Pitch))
		}
	}
	p.Normal = units.Force(n)
	p.Friction = units.Torque(f.Friction * n * drag)
	roll := lobe + c.second
	var b, a, peak float64
	if c.patches == nil {
		b, peak = line(n/c.width, roll, c.modulus)
		a = c.width / 2
	} else {
		b, a, peak = c.patches.at(n, min(roll, c.across)/2, max(roll, c.across)/2, c.modulus)
		if roll < c.across {
			a, b = b, a
		}
		p.Truncated = a > c.width/2
	}
	p.Peak, p.HalfRolling, p.HalfAcross = units.Pressure(peak), count(min(b, 1)), count(min(a, 1))
	return p
}

// invert returns one over a radius, 0 for a flat face.
func invert(r units.Length) float64 {
	if r == 0 {
		return 0
	}
	return 1 / r.Meters()
}

// PressurePeak is a contact pressure at a cam angle from the nose, with what the
// uncertainty of the springs leaves in it, where they state one.
type PressurePeak struct {
	Pressure units.Measured[units.Pressure]
	At       units.CamAngle
}

// CamLimits are the extremes of a contact over a turn of the cam.
type CamLimits struct {
	Follower CamFollower
	Peak     PressurePeak // the greatest contact pressure
	Side     ForcePeak    // the greatest load on the lifter's side, without sign
	Normal   ForcePeak    // the greatest force between lobe and follower
	// Greatest is the greatest torque of forces and friction together, Mean its
	// mean over a turn of the cam.
	Greatest TorquePeak
	Mean     units.Torque
	// Loss is the energy that friction at the lobe takes each turn of the cam.
	Loss units.Energy
	// Truncated tells that somewhere a crown's patch is longer than Width.
	Truncated bool
}

// normal returns Normal at an angle with the uncertainty that the springs leave in it.
func (c *CamContact) normal(a units.CamAngle) units.Measured[units.Force] {
	d := c.turning.d
	p := c.At(a)
	if !(p.Normal > 0) {
		return units.Unstated(p.Normal)
	}
	var at pose
	d.at(a, &at)
	return d.carried(p.Normal, at.ratio/at.arm*float64(p.Normal/p.Forces.AtCam), &at)
}

// power is that of the normal force with which the pressure grows.
func (c *CamContact) power() float64 {
	if c.patches == nil {
		return 1.0 / 2
	}
	return 1.0 / 3
}

// Limits answers how hard lobe and follower press on each other at most over a
// turn, and what turning the cam takes with the friction at the lobe:
//
//	Mean = integral of (Forces.Torque + Friction) over a turn/(2 pi)
//	Loss = integral of Friction over a turn
//	u(N)/N = u(Side)/Side = ratio u(F)/AtCam     u(p0)/p0 = u(N)/(2 N), u(N)/(3 N) with a crown
//
// with u(F) that of the springs, where they state one.
//
// Where contact is lost the forces of At are what would be needed to keep it, and
// the friction is 0. Extremes are placed to about 0.001 cam degree, their values are
// exact to far more. A zero CamContact is ErrMissing.
//
// Source: as At; quadrature by gonum; JCGM 100:2008, 5.1.2.
//
// Rows: contact-limits-side, contact-limits-loss, contact-limits-mean,
// contact-limits-peak, contact-limits-peak-u, contact-limits-side-u.
func (c *CamContact) Limits() (CamLimits, error) {
	if !c.made() {
		return CamLimits{}, fail("CamContact", "", units.ErrMissing, "want one made by Turning.Contact")
	}
	d := c.turning.d
	l := CamLimits{Follower: c.follower}
	y, a := d.hump(func(a units.CamAngle) float64 {
		p := c.At(a)
		l.Truncated = l.Truncated || p.Truncated
		return float64(p.Peak)
	})
	l.Peak = PressurePeak{units.Unstated(units.Pressure(y)), a}
	if n := c.normal(a); n.Stated && n.Value > 0 {
		l.Peak.Pressure = units.WithU(units.Pressure(y), units.Pressure(y*c.power()*float64(n.U/n.Value)))
	}
	y, a = d.hump(func(a units.CamAngle) float64 { return math.Abs(float64(c.At(a).Side)) })
	side := c.normal(a)
	if side.Value > 0 {
		side.U *= units.Force(y) / side.Value
	}
	side.Value = units.Force(y)
	l.Side = ForcePeak{side, a}
	_, a = d.hump(func(a units.CamAngle) float64 { return float64(c.At(a).Normal) })
	l.Normal = ForcePeak{c.normal(a), a}
	y, a = d.hump(func(a units.CamAngle) float64 {
		p := c.At(a)
		return float64(p.Forces.Torque + p.Friction)
	})
	l.Greatest = TorquePeak{units.Torque(y), a}
	// The friction ends with the contact: where that is lost it has joins.
	var lost []units.CamAngle
	turning, err := c.turning.Limits()
	if err != nil {
		return CamLimits{}, err
	}
	for _, s := range turning.Lost {
		lost = append(lost, s.From, s.To)
	}
	drag := d.integral(func(a units.CamAngle) float64 { return float64(c.At(a).Friction) }, lost...) * math.Pi / 180
	drive := d.integral(func(a units.CamAngle) float64 { return float64(c.turning.At(a).Torque) }) * math.Pi / 180
	l.Loss, l.Mean = units.Energy(drag), units.Torque((drag+drive)/(2*math.Pi))
	return l, nil
}

// Working returns the derivation.
func (l CamLimits) Working() units.Working {
	src := lineSource
	if l.Follower.Crown != 0 {
		src = pointSource
	}
	nm := func(t units.Torque) string { return plain(t.NewtonMeters()) + " N m" }
	return units.Working{
		{Symbol: "p0", Formula: "greatest contact pressure", Numbers: "at " + l.Peak.At.Text(2) + " from the nose", Value: pressed(l.Peak.Pressure), Source: src},
		{Symbol: "side", Formula: "F cam tan(phi), or mu F cam of a flat face", Numbers: "at " + l.Side.At.Text(2), Value: springText(l.Side.Force), Source: newton},
		{Symbol: "T max", Formula: "F cam dy/dtheta + friction", Numbers: "at " + l.Greatest.At.Text(2), Value: nm(l.Greatest.Torque), Source: newton},
		{Symbol: "T mean", Formula: "integral of T/(2 pi)", Numbers: "friction coefficient " + plain(l.Follower.Friction), Value: nm(l.Mean), Source: newton},
	}
}

// pressed writes a pressure with its uncertainty, if it has one.
func pressed(p units.Measured[units.Pressure]) string {
	if !p.Stated {
		return stressText(p.Value)
	}
	return stressText(p.Value) + ", u = " + plain(p.U.Megapascals()) + " MPa"
}

// Cautions returns what to mind with forces computed for a speed.
func (CamLimits) Cautions() []units.Caution { return floatCautions() }

// FlatFace is a round flat-faced lifter over its lobe.
type FlatFace struct {
	Contact *camtiming.FlatContact
	Face    units.Measured[units.Length] // diameter of the lifter's face
	Chamfer units.Length                 // radial width of the chamfer at its edge
	Lobe    units.Length                 // width of the lobe
	// Offset is how far the middle of the lobe's width stands off the lifter's
	// axis, which makes the lifter turn; the sign does not matter.
	Offset units.Length
	Limits units.Optional[units.Limits[units.Length]] // of the least margin
	Rule   units.DecisionRule
}

// FaceMargin is how far the contact line stays from the edge of a face.
type FaceMargin struct {
	Spec FlatFace
	// Opening and Closing are the margins where the contact is farthest out on
	// the two flanks; negative: it runs over the edge.
	Opening, Closing units.Length
	// Least is the smaller of the two; its uncertainty is half that of Face.
	Least units.Measured[units.Length]
	// Largest is the slope of a lift curve that just reaches the edge.
	Largest units.LiftVelocity
	Verdict units.Optional[units.Verdict[units.Length]] // of Least
}

// Margin answers how much of the face is left beyond the contact:
//
//	margin = Face/2 - Chamfer - sqrt(e^2 + (Lobe/2 + |Offset|)^2)
//	Largest = sqrt((Face/2 - Chamfer)^2 - (Lobe/2 + |Offset|)^2) per radian
//
// with e = the largest eccentricity of the contact on each flank. A missing contact or face, a lobe or offset that is negative or
// reaches over the face by itself, and a chamfer of half the face are refused.
//
// Source: contact eccentricity = dy/dtheta, Rothbart (ed.), Cam Design Handbook
// (2004); Pythagoras.
//
// Rows: tappet-v-875, tappet-v-904, face-margin, face-margin-offset,
// flat-face-verdict.
func (f FlatFace) Margin() (FaceMargin, error) {
	if f.Contact == nil || f.Contact.Limits().FaceWidth == 0 {
		return FaceMargin{}, fail("Contact", "", units.ErrMissing, "want one made by camtiming.NewFlatContact")
	}
	if err := checkMeasuredSize("Face", f.Face); err != nil {
		return FaceMargin{}, err
	}
	if err := checkSpan("Chamfer", f.Chamfer); err != nil {
		return FaceMargin{}, err
	}
	if 2*f.Chamfer >= f.Face.Value {
		return FaceMargin{}, fail("Chamfer", text(f.Chamfer), units.ErrImpossible, "want less than half the face, "+text(f.Face.Value/2))
	}
	if err := checkSpan("Lobe", f.Lobe); err != nil {
		return FaceMargin{}, err
	}
	if f.Offset < -maxSize || f.Offset > maxSize {
		return FaceMargin{}, fail("Offset", f.Offset.String(), units.ErrRange, "want an offset of up to 10 m")
	}
	r, w := f.Face.Value.Meters()/2-f.Chamfer.Meters(), f.Lobe.Meters()/2+math.Abs(f.Offset.Meters())
	if !(w < r) {
		return FaceMargin{}, fail("Lobe", text(f.Lobe), units.ErrImpossible, "the lobe reaches over the edge of the face by its width alone")
	}
	l := f.Contact.Limits()
	margin := func(e units.Length) units.Length { return count(r - math.Hypot(e.Meters(), w)) }
	m := FaceMargin{
		Spec: f, Opening: margin(l.Opening.Length), Closing: margin(l.Closing.Length),
		Largest: units.LiftVelocity(math.Sqrt((r-w)*(r+w)) * math.Pi / 180),
	}
	m.Least = units.Unstated(min(m.Opening, m.Closing))
	if f.Face.Stated {
		m.Least = units.WithU(m.Least.Value, f.Face.U/2)
	}
	if f.Limits.Given {
		v, err := units.Judge(m.Least, f.Limits.Value, f.Rule)
		if err != nil {
			return FaceMargin{}, fail("Limits", f.Limits.Value.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
		}
		m.Verdict = units.Some(v)
	}
	return m, nil
}

// Working returns the derivation.
func (m FaceMargin) Working() units.Working {
	f := m.Spec
	if f.Contact == nil {
		return nil
	}
	l := f.Contact.Limits()
	src := units.Source{Text: "contact eccentricity = dy/dtheta, Rothbart (ed.), Cam Design Handbook (2004); Pythagoras", Provenance: units.Computed}
	step := func(symbol string, e camtiming.LengthAt, v units.Length) units.Step {
		return units.Step{
			Symbol: symbol, Formula: "face/2 - chamfer - sqrt(e^2 + (lobe/2 + offset)^2)",
			Numbers: num(f.Face.Value) + "/2 - " + num(f.Chamfer) + " - sqrt((" + num(e.Length) + ")^2 + (" + num(f.Lobe) + "/2 + " + num(f.Offset.Abs()) + ")^2), at " + e.At.Text(2),
			Value:   text(v), Source: src,
		}
	}
	return units.Working{step("opening", l.Opening, m.Opening), step("closing", l.Closing, m.Closing)}
}
