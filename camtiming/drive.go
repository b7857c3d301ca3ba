package camtiming

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// Drive are the wheels that turn the cam, by their teeth. Idlers, which turn
// nothing else, are left out.
type Drive struct {
	CrankTeeth, CamTeeth int
	// DrivenTeeth and DrivingTeeth are the two wheels of an intermediate
	// shaft: the one that the crank drives and the one that drives the cam.
	// Both 0: the crank drives the cam directly.
	DrivenTeeth, DrivingTeeth int
}

// DriveTeeth are the timing errors of wheels set one tooth off.
type DriveTeeth struct {
	// CrankMesh is the shift when the wheel on the crank is one tooth off,
	// CamMesh when the wheel on the cam is.
	CrankMesh, CamMesh units.CrankAngle
	// Finest is the smallest shift other than 0 that moving teeth in both
	// meshes can make: CrankMesh and CamMesh against each other.
	Finest units.CrankAngle
}

const mostTeeth = 1000

func checkTeeth(field string, n, least int) error {
	if n < least || n > mostTeeth {
		return fail(field, strconv.Itoa(n), units.ErrRange, "want "+strconv.Itoa(least)+" to "+strconv.Itoa(mostTeeth)+" teeth")
	}
	return nil
}

// Teeth answers how far one tooth shifts the cam against the crank, in crank
// degrees:
//
//	crank mesh = 360/CrankTeeth      cam mesh = 720/CamTeeth
//	finest     = 360 gcd(CamTeeth, 2 CrankTeeth)/(CrankTeeth CamTeeth)
//
// The two agree where the crank drives the cam directly; with an intermediate
// shaft they need not, because the wheel on the crank turns at crank speed
// whatever the intermediate turns at. Errors: teeth outside 3 to 1000 (ErrRange),
// one wheel of the intermediate shaft without the other (ErrMissing), and
// wheels that do not turn the cam at half the speed of the crank (ErrConflict):
//
//	DrivenTeeth/CrankTeeth * CamTeeth/DrivingTeeth = 2
//
// Source: arithmetic of the gear train.
//
// Rows: keyway-tooth, tooth-angle, drive-tooth-11deg,
// drive-half-speed-crank, drive-half-speed-cam, drive-third-finest.
func (d Drive) Teeth() (DriveTeeth, error) {
	if err := checkTeeth("CrankTeeth", d.CrankTeeth, 3); err != nil {
		return DriveTeeth{}, err
	}
	if err := checkTeeth("CamTeeth", d.CamTeeth, 3); err != nil {
		return DriveTeeth{}, err
	}
	in, out := d.DrivenTeeth, d.DrivingTeeth
	switch {
	case in == 0 && out == 0:
		in, out = 1, 1
	case in == 0:
		return DriveTeeth{}, fail("DrivenTeeth", "", units.ErrMissing, "want both wheels of the intermediate shaft")
	case out == 0:
		return DriveTeeth{}, fail("DrivingTeeth", "", units.ErrMissing, "want both wheels of the intermediate shaft")
	default:
		if err := checkTeeth("DrivenTeeth", in, 3); err != nil {
			return DriveTeeth{}, err
		}
		if err := checkTeeth("DrivingTeeth", out, 3); err != nil {
			return DriveTeeth{}, err
		}
	}
	if in*d.CamTeeth != 2*d.CrankTeeth*out {
		return DriveTeeth{}, fail("CamTeeth", strconv.Itoa(d.CamTeeth), units.ErrConflict, "want wheels that turn the cam at half the speed of the crank")
	}
	a, b := d.CamTeeth, 2*d.CrankTeeth
	for b != 0 {
		a, b = b, a%b
	}
	part := func(num, den int) units.CrankAngle {
		return crankAngle(360 * float64(num) / float64(den))
	}
	return DriveTeeth{
		CrankMesh: part(1, d.CrankTeeth), CamMesh: part(2, d.CamTeeth),
		Finest: part(a, d.CrankTeeth*d.CamTeeth),
	}, nil
}

// WheelSpeed says how fast a wheel of the drive turns.
type WheelSpeed uint8

// Speeds of a wheel.
const (
	AtCrankSpeed WheelSpeed = iota + 1 // on the crank
	AtCamSpeed                         // on the cam or a half-speed intermediate shaft
)

// String names the speed.
func (w WheelSpeed) String() string {
	switch w {
	case AtCrankSpeed:
		return "crank speed"
	case AtCamSpeed:
		return "cam speed"
	default:
		return "unknown speed"
	}
}

func (w WheelSpeed) check() error {
	if w != AtCrankSpeed && w != AtCamSpeed {
		return fail("Speed", "", units.ErrMissing, "want AtCrankSpeed or AtCamSpeed")
	}
	return nil
}

// crank returns the crank angle while a wheel turns through radians.
func (w WheelSpeed) crank(radians float64) units.CrankAngle {
	if w == AtCamSpeed {
		radians *= 2
	}
	return crankAngle(radians * 180 / math.Pi)
}

func checkSize(field string, l units.Length) error {
	if l <= 0 || l > 10*units.Meter {
		return fail(field, l.String(), units.ErrRange, "want a size over 0 and at most 10 m")
	}
	return nil
}

// Mesh is the free movement where two gears meet.
type Mesh struct {
	// Backlash is the free movement along the pitch circle with the other
	// gear held.
	Backlash units.Length
	// PitchDiameter is that of the gear that is moved, Speed its speed.
	PitchDiameter units.Length
	Speed         WheelSpeed
}

// Play answers how far the crank can turn before the backlash is taken up:
//
//	play = 360 B/(pi D), twice as much for a gear at cam speed
//
// with B = Backlash, D = PitchDiameter, in crank degrees. It does not matter
// which gear of the pair is described: the one at half the speed is twice as
// large. Errors: a diameter outside (0, 10 m], a backlash that is negative or
// over a tenth of the diameter (ErrRange), no speed (ErrMissing). It does not
// allocate.
//
// Source: arc over the circumference of the pitch circle.
//
// Rows: lash-angle, drive-lash-cam.
func (m Mesh) Play() (units.CrankAngle, error) {
	if err := checkSize("PitchDiameter", m.PitchDiameter); err != nil {
		return 0, err
	}
	if m.Backlash < 0 || m.Backlash > m.PitchDiameter/10 {
		return 0, fail("Backlash", m.Backlash.String(), units.ErrRange, "want 0 to a tenth of the pitch diameter")
	}
	if err := m.Speed.check(); err != nil {
		return 0, err
	}
	return m.Speed.crank(2 * m.Backlash.Meters() / m.PitchDiameter.Meters()), nil
}

// DrivePlay returns the play of all meshes of a drive together, in crank
// degrees: their sum. That is what the crank moves freely both ways with the
// cam held; a drive always pushed one way keeps its timing whatever its play.
// Errors: those of Mesh.Play, and no or more than 64 meshes.
//
// Rows: drive-lash-sum.
func DrivePlay(meshes []Mesh) (units.CrankAngle, error) {
	if len(meshes) == 0 {
		return 0, fail("meshes", "", units.ErrMissing, "want one mesh or more")
	}
	if len(meshes) > 64 {
		return 0, fail("meshes", strconv.Itoa(len(meshes)), units.ErrRange, "want at most 64 meshes")
	}
	var sum units.CrankAngle
	for i, m := range meshes {
		a, err := m.Play()
		if err != nil {
			return 0, inField("meshes["+strconv.Itoa(i)+"]", err)
		}
		sum += a
	}
	return sum, nil
}

// WheelKind tells wheels whose pitch is a chord from those whose pitch is an arc.
type WheelKind uint8

// Kinds of wheel.
const (
	ChainWheel WheelKind = iota + 1 // pitch between roller centers, a chord
	BeltWheel                       // pitch along the pitch circle, as of a gear
)

// String names the kind.
func (k WheelKind) String() string {
	switch k {
	case ChainWheel:
		return "chain wheel"
	case BeltWheel:
		return "belt wheel"
	default:
		return "unknown wheel"
	}
}

// DriveWheel is a sprocket of a chain, a pulley of a toothed belt or a gear. Every
// field is required.
type DriveWheel struct {
	Kind  WheelKind
	Pitch units.Length // of the chain or belt; the circular pitch of a gear
	Teeth int
}

// PitchDiameter answers how large a wheel is:
//
//	chain: D = p/sin(180 deg/z)      belt or gear: D = p z/pi
//
// with p = Pitch and z = Teeth. Errors: an unknown kind (ErrMissing), a pitch
// outside (0, 1 m], teeth outside 3 to 1000 (ErrRange).
//
// Source: the chord and the arc of a circle.
//
// Rows: tw-8, tw-17, tw-60, sprocket-pd-152, bha-14-4-D1,
// bha-14-4-D2, khm-21-d1, khm-21-d2, drive-belt-diameter,
// drive-gear-module-6.
func (w DriveWheel) PitchDiameter() (units.Length, error) {
	if w.Kind != ChainWheel && w.Kind != BeltWheel {
		return 0, fail("Kind", "", units.ErrMissing, "want ChainWheel or BeltWheel")
	}
	if w.Pitch <= 0 || w.Pitch > units.Meter {
		return 0, fail("Pitch", w.Pitch.String(), units.ErrRange, "want a pitch over 0 and at most 1 m")
	}
	if err := checkTeeth("Teeth", w.Teeth, 3); err != nil {
		return 0, err
	}
	z := float64(w.Teeth)
	if w.Kind == BeltWheel {
		return length(w.Pitch.Meters() * z / math.Pi), nil
	}
	return length(w.Pitch.Meters() / math.Sin(math.Pi/z)), nil
}

// WheelPair are two wheels joined by a chain or belt, with the straight run
// between them unguided.
type WheelPair struct {
	Driver, CamWheel units.Length // pitch diameters
	CenterDistance   units.Length
}

func (p WheelPair) check() error {
	if err := checkSize("Driver", p.Driver); err != nil {
		return err
	}
	if err := checkSize("CamWheel", p.CamWheel); err != nil {
		return err
	}
	if err := checkSize("CenterDistance", p.CenterDistance); err != nil {
		return err
	}
	if 2*p.CenterDistance <= p.Driver+p.CamWheel {
		return fail("CenterDistance", p.CenterDistance.String(), units.ErrImpossible, "the wheels run into each other: want more than half the sum of the diameters")
	}
	return nil
}

// TightRun answers how long the straight run between two wheels is:
//
//	Lt = sqrt(C^2 - ((D2 - D1)/2)^2)
//
// with C = CenterDistance and D the pitch diameters. It equals the center
// distance only for equal wheels. Errors: sizes outside (0, 10 m] (ErrRange),
// wheels that run into each other (ErrImpossible). It does not allocate.
//
// Source: Pythagoras.
//
// Rows: tight-run.
func (p WheelPair) TightRun() (units.Length, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	return length(tangent(p.CenterDistance.Meters(), (p.CamWheel-p.Driver).Meters()/2)), nil
}

// tangent is the length of the outer tangent of two circles a distance apart
// whose radii differ by dr.
func tangent(apart, dr float64) float64 { return math.Sqrt((apart - dr) * (apart + dr)) }

// ChainLength is a length of chain as measured, pulled straight.
type ChainLength struct {
	Pitch  units.Length // nominal
	Links  int          // pitches measured over
	Length units.Length // between the same edges of the end pins or rollers
}

// Elongation answers by what share of its nominal length a chain has worn
// longer (a ratio, 0.01 is one percent): Length/(Links Pitch) - 1. A chain
// shorter than nominal gives a negative share. Errors: a pitch outside (0, 1 m],
// links outside 1 to 1000, a length more than a tenth off nominal (ErrRange).
//
// Rows: drive-elongation.
func (c ChainLength) Elongation() (float64, error) {
	if c.Pitch <= 0 || c.Pitch > units.Meter {
		return 0, fail("Pitch", c.Pitch.String(), units.ErrRange, "want a pitch over 0 and at most 1 m")
	}
	if c.Links < 1 || c.Links > 1000 {
		return 0, fail("Links", strconv.Itoa(c.Links), units.ErrRange, "want 1 to 1000 pitches")
	}
	nominal := c.Pitch * units.Length(c.Links)
	if !within(c.Length-nominal, nominal/10) {
		return 0, fail("Length", c.Length.String(), units.ErrRange, "want a length within a tenth of the nominal "+nominal.String())
	}
	return float64(c.Length-nominal) / float64(nominal), nil
}

// ChainWear is a worn chain on its wheels.
type ChainWear struct {
	// Elongation is the share by which the chain is longer (a ratio).
	Elongation float64
	// TightRun is the straight run that pulls the cam, CamWheel the pitch
	// diameter of the wheel on the cam.
	TightRun, CamWheel units.Length
}

// Retard answers how much later a worn chain turns the cam: the tight run is
// longer by eps Lt, and the cam wheel lags by that arc,
//
//	retard = 2 eps Lt/D [cam radians], in crank degrees twice as much
//
// with eps = Elongation, Lt = TightRun, D = CamWheel. Taken as small: that a
// longer pitch also seats farther out on the teeth. Where an intermediate wheel
// drives the cam, each chain adds its own. Errors: an elongation outside [0,
// 0.1], sizes outside (0, 10 m] (ErrRange). It does not allocate.
//
// Source: plane geometry, first order in the elongation.
//
// Rows: chain-wear.
func (c ChainWear) Retard() (units.CrankAngle, error) {
	if !(c.Elongation >= 0 && c.Elongation <= 0.1) {
		return 0, fail("Elongation", strconv.FormatFloat(c.Elongation, 'g', -1, 64), units.ErrRange, "want a share of 0 to 0.1")
	}
	if err := checkSize("TightRun", c.TightRun); err != nil {
		return 0, err
	}
	if err := checkSize("CamWheel", c.CamWheel); err != nil {
		return 0, err
	}
	return AtCamSpeed.crank(2 * c.Elongation * c.TightRun.Meters() / c.CamWheel.Meters()), nil
}

// HeadHeight describes a cam in the head whose head comes nearer to the crank
// or farther from it. The wheel that drives it stays with the block: the crank's,
// or the second wheel of an intermediate shaft.
type HeadHeight struct {
	Wheels WheelPair // as they were
	// Offset is how far the cam's axis lies beside the plane through the
	// driver's axis square to the deck; positive toward the tight run.
	Offset units.Length
	// Removed is what was cut off head and deck together; Thicker what the new
	// gasket measures more than the old, both compressed.
	Removed, Thicker units.Length
}

// HeadShift is what a change of head height does to the timing.
type HeadShift struct {
	// Retard is how much later the cam runs; negative where it runs earlier.
	// The advance changes by -Retard.
	Retard units.CrankAngle
	// Lowered is how much nearer the cam came along the square to the deck.
	Lowered units.Length
	// After are the wheels as they are now; the tight runs before and after.
	After                         WheelPair
	TightRunBefore, TightRunAfter units.Length

	input HeadHeight
}

// Shift answers how a milled head or deck, or another gasket, moves the timing
// of a cam in the head. The chain or belt keeps its length between a tooth of
// the driver and a tooth of the cam wheel, along the tight run:
//
//	r2 (phi - t2) + Lt + r1 (t1 - phi) = constant
//	retard = (G0 - G1)/r2 [cam radians],  G = Lt + (r2 - r1)(beta + tau)
//
// with r1, r2 = half of Driver and CamWheel, Lt = tight run, t1, t2 = angles
// of the two teeth, phi = 90 deg + beta + tau the direction of the points of
// contact, sin beta = (r2 - r1)/C, sin tau = Offset/C; 0 before and 1 after.
// In crank degrees it is twice as much. For a small change and Offset = 0 it
// is lowered cos(beta)/r2, because what changes at the wraps cancels. A lower
// head leaves the tight run slack, and the cam late.
//
// Taken for granted: an inelastic chain or belt on its pitch circles, a straight
// tight run without a guide that bends it, the tensioner on the slack run.
// Errors: those of WheelPair; Removed or Offset out of range, a change of
// more than a tenth of the center distance (ErrRange); a cam that comes to run
// into the driver, an offset as long as the center distance (ErrImpossible).
// It does not allocate.
//
// Source: plane geometry, derived above; the rows come from a separate program
// that follows the chain around both wheels.
//
// Rows: drive-head-mill, drive-head-equal, drive-head-gasket,
// drive-head-offset, drive-head-offset-away, drive-head-small.
func (h HeadHeight) Shift() (HeadShift, error) {
	if err := h.Wheels.check(); err != nil {
		return HeadShift{}, inField("Wheels", err)
	}
	most := h.Wheels.CenterDistance / 10
	switch {
	case h.Removed < 0 || h.Removed > most:
		return HeadShift{}, fail("Removed", h.Removed.String(), units.ErrRange, "want 0 to a tenth of the center distance")
	case !within(h.Thicker, most):
		return HeadShift{}, fail("Thicker", h.Thicker.String(), units.ErrRange, "want a change within a tenth of the center distance")
	case !within(h.Offset, h.Wheels.CenterDistance-1):
		return HeadShift{}, fail("Offset", h.Offset.String(), units.ErrImpossible, "want an offset shorter than the center distance")
	}
	r := HeadShift{Lowered: h.Removed - h.Thicker, After: h.Wheels, input: h}
	c0, off := h.Wheels.CenterDistance.Meters(), h.Offset.Meters()
	r2 := h.Wheels.CamWheel.Meters() / 2
	dr := (h.Wheels.CamWheel - h.Wheels.Driver).Meters() / 2
	upright := tangent(c0, off) - r.Lowered.Meters()
	if upright <= 0 {
		return HeadShift{}, fail("Offset", h.Offset.String(), units.ErrImpossible, "the cam comes down past the driver: the offset is too long")
	}
	c1 := math.Hypot(upright, off)
	r.After.CenterDistance = length(c1)
	if err := r.After.check(); err != nil {
		return HeadShift{}, fail("Removed", h.Removed.String(), units.ErrImpossible, "the cam wheel comes to run into the driver")
	}
	l0, l1 := tangent(c0, dr), tangent(c1, dr)
	turn := math.Asin(dr/c0) - math.Asin(dr/c1) + math.Asin(off/c0) - math.Asin(off/c1)
	r.Retard = AtCamSpeed.crank((l0 - l1 + dr*turn) / r2)
	r.TightRunBefore, r.TightRunAfter = length(l0), length(l1)
	return r, nil
}

// Working shows the derivation.
func (s HeadShift) Working() units.Working {
	src := units.Source{Text: "plane geometry of two wheels and a tight run of constant length", Provenance: units.Computed}
	mm := func(l units.Length) string { return l.Text(units.Millimeters, 3) }
	return units.Working{
		{Symbol: "lowered", Formula: "removed - thicker gasket", Numbers: mm(s.input.Removed) + " - " + mm(s.input.Thicker), Value: mm(s.Lowered), Source: src},
		{Symbol: "C1", Formula: "sqrt((sqrt(C^2 - offset^2) - lowered)^2 + offset^2)", Numbers: "C = " + mm(s.input.Wheels.CenterDistance) + ", offset " + mm(s.input.Offset), Value: mm(s.After.CenterDistance), Source: src},
		{Symbol: "Lt", Formula: "sqrt(C^2 - ((D2 - D1)/2)^2)", Numbers: "before " + mm(s.TightRunBefore), Value: mm(s.TightRunAfter), Source: src},
		{Symbol: "retard", Formula: "2 (G0 - G1)/r2, G = Lt + (r2 - r1)(beta + tau)", Numbers: "r2 = " + mm(s.input.Wheels.CamWheel/2), Value: s.Retard.Text(3), Source: src},
	}
}

// OffsetKind is how an offset part turns one wheel against its shaft.
type OffsetKind uint8

// Kinds of offset part.
const (
	OffsetBushing OffsetKind = iota + 1 // an eccentric bushing around a dowel
	OffsetKey                           // a key whose upper half is set sideways
)

// String names the kind.
func (k OffsetKind) String() string {
	switch k {
	case OffsetBushing:
		return "offset bushing"
	case OffsetKey:
		return "offset key"
	default:
		return "unknown offset part"
	}
}

// OffsetPart is a bushing or key that turns a wheel against its shaft. Every
// field is required.
type OffsetPart struct {
	Kind OffsetKind
	// Offset is the eccentricity of the bushing's hole against its outside, or
	// the sideways step of the key.
	Offset units.Length
	// Radius is where the offset acts: the radius of the dowel circle, or that
	// of the middle of the key's offset half (the shaft's radius is the usual
	// figure, within the key's height).
	Radius units.Length
	Speed  WheelSpeed // of the shaft that it sits on
}

func (o OffsetPart) check() error {
	if o.Kind != OffsetBushing && o.Kind != OffsetKey {
		return fail("Kind", "", units.ErrMissing, "want OffsetBushing or OffsetKey")
	}
	if err := checkSize("Radius", o.Radius); err != nil {
		return err
	}
	return o.Speed.check()
}

// Shift answers how far an offset part turns the cam against the crank:
//
//	bushing: 2 asin(e/(2 R))      key: asin(e/R)
//
// with e = Offset and R = Radius, of the shaft's own angle; in crank degrees as
// it is for a part on the crank, and twice as much on the cam. The dowel and
// the hole in the wheel keep one radius, so that the eccentricity is the chord
// between them; the key's step is square to the radius that leads to it. Which
// way it shifts depends on which way round it is fitted. Errors: a radius outside (0,
// 10 m], an offset that is not over 0 and under the radius (ErrRange),
// no kind or speed (ErrMissing). It does not allocate.
//
// Source: plane geometry; for small offsets both are e/R.
//
// Rows: drive-bushing-2deg, drive-bushing-large, drive-key-crank,
// drive-key-cam.
func (o OffsetPart) Shift() (units.CrankAngle, error) {
	if err := o.check(); err != nil {
		return 0, err
	}
	if o.Offset <= 0 || o.Offset >= o.Radius {
		return 0, fail("Offset", o.Offset.String(), units.ErrRange, "want an offset over 0 and under the radius")
	}
	x := o.Offset.Meters() / o.Radius.Meters()
	if o.Kind == OffsetBushing {
		return o.Speed.crank(2 * math.Asin(x/2)), nil
	}
	return o.Speed.crank(math.Asin(x)), nil
}

// OffsetFor answers which offset shifts the cam by a wanted crank angle: the
// inverse of Shift, whatever Offset says. The angle must be over 0 and give an
// offset under the radius (ErrRange).
//
// Rows: drive-bushing-for-4deg, drive-key-for-2deg.
func (o OffsetPart) OffsetFor(shift units.CrankAngle) (units.Length, error) {
	if err := o.check(); err != nil {
		return 0, err
	}
	turn := shift
	if o.Speed == AtCamSpeed {
		turn /= 2
	}
	most := units.CrankTurn / 4
	if o.Kind == OffsetBushing {
		most = units.CrankTurn / 6
	}
	if shift <= 0 || turn >= most {
		return 0, fail("shift", shift.String(), units.ErrRange, "want a shift over 0 that an offset under the radius can make")
	}
	a := shift.Radians()
	if o.Speed == AtCamSpeed {
		a /= 2
	}
	if o.Kind == OffsetBushing {
		return length(2 * o.Radius.Meters() * math.Sin(a/2)), nil
	}
	return length(o.Radius.Meters() * math.Sin(a)), nil
}

// Rim is the rim of a damper, flywheel or pulley on the crank, on which timing
// marks stand.
type Rim struct {
	Diameter units.Length
}

// Distance answers how far along the rim an angle of the crank reaches:
// C P/360, with C = pi Diameter the circumference and P the angle; the arc, as
// a tape laid around the rim shows it. The angle keeps its sign. Errors: a
// diameter outside (0, 10 m], an angle beyond one turn (ErrRange). It does
// not allocate.
//
// Source: US Army TM 5-3895-382-24, table 13.
//
// Rows: drive-rim-203, drive-rim-310, drive-rim-327, arc-formula.
func (r Rim) Distance(angle units.CrankAngle) (units.Length, error) {
	if err := checkSize("Diameter", r.Diameter); err != nil {
		return 0, err
	}
	if !within(angle, units.CrankTurn) {
		return 0, fail("angle", angle.String(), units.ErrRange, "want an angle within one turn")
	}
	return length(r.Diameter.Meters() / 2 * angle.Radians()), nil
}

// Angle answers which crank angle a distance along the rim stands for, the
// inverse of Distance. Errors: a diameter outside (0, 10 m], a distance over one
// circumference (ErrRange). It does not allocate.
//
// Rows: drive-rim-back.
func (r Rim) Angle(distance units.Length) (units.CrankAngle, error) {
	if err := checkSize("Diameter", r.Diameter); err != nil {
		return 0, err
	}
	if !within(distance, length(math.Pi*r.Diameter.Meters())) {
		return 0, fail("distance", distance.String(), units.ErrRange, "want a distance within one circumference")
	}
	return AtCrankSpeed.crank(2 * distance.Meters() / r.Diameter.Meters()), nil
}

// GearTrainTimingLimit returns the error of cam timing that one service manual
// of a heavy engine with a gear train permits: within 2.5 crank degrees either way.
//
// Source: US Army TM 5-3895-382-24, step 8.
//
// Rows: cam-check-tol.
func GearTrainTimingLimit() units.Limits[units.CrankAngle] {
	const most = 5 * units.CrankDegree / 2
	return units.Between(-most, most, units.Source{Text: "US Army TM 5-3895-382-24, step 8", Provenance: units.Verified})
}

// MarkCheck is a timing mark looked at with the crank on true top dead center,
// as a stop or a dial has found it.
type MarkCheck struct {
	Rim Rim
	// Past is how far along the rim the mark has gone past the pointer in the
	// direction of normal rotation; negative where it has not yet reached it.
	Past units.Measured[units.Length]
	// TDC is the standard uncertainty of top dead center.
	TDC units.CrankAngle
	// Limits are those of the mark's error. The zero value judges nothing.
	Limits units.Limits[units.CrankAngle]
	Rule   units.DecisionRule
}

// MarkError is the error of a mark and its pointer.
type MarkError struct {
	// Early is by how much the mark meets the pointer before top dead center;
	// negative after it. An angle read against the mark reads as much later
	// than it is.
	Early units.Measured[units.CrankAngle]
	// Verdict holds only where Judged is set.
	Verdict units.Verdict[units.CrankAngle]
	Judged  bool

	input MarkCheck
}

// Check answers how far a damper's mark and pointer are off:
//
//	early = 360 past/(pi D)       u^2 = (360 u_past/(pi D))^2 + u_TDC^2
//
// with past = Past, D = Rim.Diameter. To put it right the pointer moves along
// the rim by Past in the direction of rotation, or the readings are corrected
// with MarkError.True. An uncertainty of Past that was not stated leaves that
// of the error unstated. Errors: those of Rim.Angle, a negative uncertainty, a
// TDC uncertainty over 90 degrees (ErrRange), and limits that units.Judge refuses.
//
// Source: arc over the circumference; JCGM 100:2008, 5.1.2.
//
// Rows: drive-mark-early, drive-mark-u, drive-mark-verdict.
func (m MarkCheck) Check() (MarkError, error) {
	if err := checkSize("Rim.Diameter", m.Rim.Diameter); err != nil {
		return MarkError{}, err
	}
	early, err := m.Rim.Angle(m.Past.Value)
	if err != nil {
		return MarkError{}, fail("Past", m.Past.Value.String(), units.ErrRange, "want a distance within one circumference")
	}
	switch {
	case m.Past.Stated && (m.Past.U < 0 || m.Past.U > m.Rim.Diameter):
		return MarkError{}, fail("Past.U", m.Past.U.String(), units.ErrRange, "want a standard uncertainty, not negative and under the diameter")
	case m.TDC < 0 || m.TDC > units.CrankTurn/4:
		return MarkError{}, fail("TDC", m.TDC.String(), units.ErrRange, "want a standard uncertainty of 0 to 90 crank degrees")
	}
	r := MarkError{Early: units.Unstated(early), input: m}
	if m.Past.Stated {
		u := 2 * m.Past.U.Meters() / m.Rim.Diameter.Meters() * 180 / math.Pi
		r.Early = units.WithU(early, crankAngle(math.Hypot(u, m.TDC.Degrees())))
	}
	if m.Limits != (units.Limits[units.CrankAngle]{}) {
		v, err := units.Judge(r.Early, m.Limits, m.Rule)
		if err != nil {
			e := err.(*units.InputError) //nolint:errorlint,forcetypeassert // Judge returns nothing else
			return MarkError{}, fail(e.Field, e.Value, e.Kind, e.Reason)
		}
		r.Verdict, r.Judged = v, true
	}
	return r, nil
}

// True returns the crank angle after top dead center that belongs to an angle
// read against the mark, both positive after top dead center: read - early. A
// mark that comes early shows 10 degrees before top dead center when it is
// more. It does not check its input.
//
// Rows: drive-mark-true.
func (e MarkError) True(read units.CrankAngle) units.CrankAngle { return read - e.Early.Value }

// Working shows the derivation.
func (e MarkError) Working() units.Working {
	src := units.Source{Text: "US Army TM 5-3895-382-24, table 13: arc = circumference x angle/360", Provenance: units.Verified}
	return units.Working{
		{Symbol: "early", Formula: "360 past/(pi D)", Numbers: "360 * " + e.input.Past.Value.Text(units.Millimeters, 3) + "/(pi * " + e.input.Rim.Diameter.Text(units.Millimeters, 3) + ")", Value: e.Early.Value.Text(2), Source: src},
	}
}
