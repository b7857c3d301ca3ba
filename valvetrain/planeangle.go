package valvetrain

import (
	"math"
	"strconv"
)

// PlaneAngle is an angle in the plane of a rocker or follower, in radians: one
// of neither the crank nor the cam. Directions count counterclockwise from the
// X axis.
type PlaneAngle float64

// PlaneDegrees returns an angle of x degrees of arc.
//
// Rows: heads-angle.
func PlaneDegrees(x float64) PlaneAngle { return PlaneAngle(x * math.Pi / 180) }

// Degrees returns the angle in degrees of arc.
//
// Rows: heads-angle.
func (a PlaneAngle) Degrees() float64 { return float64(a) * 180 / math.Pi }

// String returns the angle in degrees of arc.
func (a PlaneAngle) String() string { return strconv.FormatFloat(a.Degrees(), 'g', -1, 64) + " deg" }
