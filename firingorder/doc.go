// Package firingorder answers questions about a crank layout: when each piston
// is at top dead center (TDC), which cylinders share it, whether a firing order
// is possible on the layout and why not, and where every cylinder stands at an
// engine angle.
//
// Describe the layout with Inline, V, Boxer or, as data, NewLayout; check an
// order against it with NewEngine; ask the Engine. Companion, Phase and Engine
// show their Working.
//
// # Conventions
//
// Angles are positive in the direction of crank rotation, so no observer is
// needed. Only differences of pin and axis angles count; the constructors put pin
// 1 and the axis of bank A at 0. Engine angle 0 is firing TDC of cylinder 1. A
// cylinder's cycle angle runs over [-360, 360): 0 is overlap TDC, -360 firing TDC.
// A cylinder that fires f after cylinder 1 stands at
//
//	angle = wrap(engine - f - 360)
//
// Cylinder numbers start at 1; throws are counted along the shaft from the end
// named by NumberedFrom. A bank angle is positive for a bank that the crank passes
// after bank A. Numbering scheme and orientation are never guessed from an order:
// each of the common orders of the two-plane V8 is right under one of them only.
//
// # Exactness
//
// Layout angles are exact fractions of a turn, and whether two cylinders share
// TDC, are companions or fire evenly is decided on the fractions. Angles that are
// handed out are rounded once to the count of units.CrankAngle, 1e-9 degree.
//
// # Sources
//
// TDC = axis - pin follows from the geometry of a crank with no pin offset.
// Published orders: FAA-H-8083-32, chapter 1; Denton, Automobile Mechanical and
// Electrical Systems, p. 107; Auto Engine Repair (2021), p. 126, Fig. 6-2. The
// rows cited by each function name the others.
//
// # Limits
//
// No piston-pin offset and no articulated rods (the link rods of a real radial
// shift TDC slightly); two cylinders that fire at the same instant are refused; at
// most 64 cylinders.
package firingorder
