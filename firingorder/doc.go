// Package firingorder answers questions about a crank layout: when each piston
// is at top dead center (TDC), which cylinders share it, whether a firing order
// is possible on the layout and why not, and where every cylinder stands at an
// engine angle.
//
// Describe the layout with Inline, V, Boxer, Radial, MultiBank or, as data,
// NewLayout or ParseLayout; check an order against it with NewEngine; ask the
// Engine. Layout.Reversed is the same hardware with the crank turning the other
// way. NewNaming names and renumbers its cylinders under another scheme;
// Layout.EndView and Engine.Ring give the geometry of a drawing. Companion, Phase,
// Naming, LinkRodTravel and Engine show their Working.
//
// OrderSearch and CrankSearch list and count the orders that a layout or its
// cranks allow. Engine.Renumber and Engine.Pattern tell one engine under two
// numberings. TDCComparison and Identification work back from the TDCs that were
// read off a degree wheel to who shares TDC and to the layout.
//
// Strokes, the next to fire, lost-spark pairs, the distributor, the lobes of a cam
// and of a radial ring are methods of Engine or stand beside it; LashSetting finds
// the valves that are on the base circle at a crank position and the fewest
// positions that set them all. NewBalance places the cylinders along the shaft:
// free forces and couples come as parts that turn with the crank and against it.
// Engine.PhaseSum, Pulses and MainBearings tell what an order does to the shaft,
// the manifolds and the bearings.
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
// # What the standards say
//
// V is the bank angle. Bank A of this package is the bank of cylinder 1. For a
// crank that turns counter-clockwise seen from the driving end, clockwise seen
// from the free end (the standard rotation of SAE J824, the right-hand running of
// DIN 73021), which passes the bank on the right of an observer at the driving end
// first:
//
//	document             NumberedFrom  numbers                BankOfOne
//	ISO 1204:1990        DrivingEnd    A1 A2 .. B1 B2 ..,     PassedLast: the left bank is A,
//	                                   bank by bank           B = A - V
//	DIN 73021 (1953)     FreeEnd       1 to n/2, then n/2+1   PassedFirst: the left bank seen from
//	                                   to n: Bankwise         the free end is first, second = first + V
//	SAE J824, method A   FreeEnd       along the crank:       PassedFirst if the rod farthest from the
//	                                   Alternating            driving end is in R, PassedLast if in L
//	SAE J824, method B   FreeEnd       1R 2R .., 1L 2L ..,    PassedFirst with R as bank A, PassedLast
//	                                   bank by bank           with L: L = R + V
//
// Right and left are seen from the driving end, in DIN 73021 from the free end.
// On an engine that turns the other way PassedFirst and PassedLast change places.
// ISO 1204 and SAE J824 method B name cylinders by bank and place and know no
// cylinder 1; Bankwise gives the same numbers to the places in that sequence.
// NewNaming applies these documents to any layout whose end and rotation are stated.
//
// The rules come from an engine operating manual of 2009, p. 25, whose names
// follow DIN ISO 1204 (verified (secondary): the clause text of the standard was
// not seen); two trade articles on DIN 73021, one of which quotes it (verified
// (secondary)); and the first page and summary of SAE J824 (reaffirmed June 1995;
// verified, its figures were not seen). The last column is derived from them.
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
// No piston-pin offset. Rods are taken as concentric with the crank pin: the link
// rods of a real radial shift the TDC of all cylinders but the master's, by 2.5 and
// 3.3 crank degrees in a radial of five with rods 3.9 crank radii long; LinkRod
// computes it. Two cylinders that fire at the same instant are refused; at most 64
// cylinders.
package firingorder
