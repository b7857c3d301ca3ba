package units

import "math"

// LiftVelocity is the slope of a lift curve in meters per cam degree. The
// angle is always of the cam; the accessors per crank degree halve it.
type LiftVelocity float64

// LiftAcceleration is the second derivative of lift in meters per cam degree squared.
type LiftAcceleration float64

// LiftJerk is the third derivative of lift in meters per cam degree cubed.
type LiftJerk float64

// InchesPerCamDegree returns the slope in inches per cam degree.
//
// Rows: slope-in-cam.
func (v LiftVelocity) InchesPerCamDegree() float64 { return float64(v) / inch }

// InchesPerCrankDegree returns the slope in inches per crank degree, half as much.
//
// Rows: slope-in-crank.
func (v LiftVelocity) InchesPerCrankDegree() float64 { return float64(v) / (2 * inch) }

// MillimetersPerCamDegree returns the slope in millimeters per cam degree.
//
// Rows: slope-mm-cam.
func (v LiftVelocity) MillimetersPerCamDegree() float64 { return float64(v) * 1000 }

// String returns the slope in meters per cam degree.
func (v LiftVelocity) String() string { return quantityText(float64(v), "m/cam deg") }

// InchesPerCamDegree2 returns the value in inches per cam degree squared.
//
// Rows: accel-in-cam.
func (a LiftAcceleration) InchesPerCamDegree2() float64 { return float64(a) / inch }

// String returns the value in meters per cam degree squared.
func (a LiftAcceleration) String() string { return quantityText(float64(a), "m/cam deg2") }

// InchesPerCamDegree3 returns the value in inches per cam degree cubed.
//
// Rows: jerk-in-cam.
func (j LiftJerk) InchesPerCamDegree3() float64 { return float64(j) / inch }

// String returns the value in meters per cam degree cubed.
func (j LiftJerk) String() string { return quantityText(float64(j), "m/cam deg3") }

// Twist is an angle of the crank per length along the camshaft, in crank
// degrees per meter: how fast the indexing of a cam drifts from one end to
// the other.
type Twist float64

// TwistOf returns the twist of an angle over a length; a length of 0 is ErrRange.
//
// Rows: twist-in, twist-m, twist-ft.
func TwistOf(a CrankAngle, over Length) (Twist, error) {
	if over == 0 {
		return 0, fail("over", over.String(), ErrRange, "want a length other than 0")
	}
	return Twist(a.Degrees() / over.Meters()), nil
}

// CrankDegreesPerMeter returns the twist in crank degrees per meter.
//
// Rows: twist-m.
func (t Twist) CrankDegreesPerMeter() float64 { return float64(t) }

// CrankDegreesPerInch returns the twist in crank degrees per inch.
//
// Rows: twist-in.
func (t Twist) CrankDegreesPerInch() float64 { return float64(t) * inch }

// Over returns the angle gathered over a length, to nearest; a twist that is
// not finite or an angle past the range is ErrRange.
//
// Rows: twist-ft.
func (t Twist) Over(l Length) (CrankAngle, error) { return CrankDegrees(float64(t) * l.Meters()) }

// String returns the twist in crank degrees per meter.
func (t Twist) String() string { return quantityText(float64(t), "crank deg/m") }

// round9 rounds to 9 decimals, for text that should not show the last bits of
// an offset scale.
func round9(x float64) float64 {
	if r := math.Round(x*1e9) / 1e9; finite(r) {
		return r
	}
	return x
}
