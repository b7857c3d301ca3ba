// Package firingorder answers questions about a crank layout: when each piston
// is at top dead center, which cylinders share it, whether a firing order is
// possible, and where every cylinder stands at an engine angle.
//
// # Conventions
//
// Angles are positive in the direction of crank rotation. Pin 1 and the axis of
// the first bank are normally 0. Engine angle 0 is firing TDC of cylinder 1. A
// cylinder's cycle angle runs over [-360, 360): 0 is overlap TDC, -360 firing
// TDC. Cylinder numbers start at 1 and throws are counted from the end named by
// NumberedFrom. Layout angles are exact fractions of a turn; results are
// rounded once to the count of units.CrankAngle.
//
// # Sources
//
// TDC = axis - pin follows from the geometry of a crank with no pin offset.
// Published orders: FAA-H-8083-32, chapter 1; Denton, Automobile Mechanical and
// Electrical Systems, p. 107; Auto Engine Repair (2021), p. 126, Fig. 6-2.
//
// # Limits
//
// No piston-pin offset and no articulated rods; two cylinders that fire
// together are refused; at most 64 cylinders.
package firingorder
