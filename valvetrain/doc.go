// Package valvetrain holds the springs, the hydraulic lifters and their
// adjustment: whether a spring has its force, keeps clear of coil bind and is
// not rung by the cam, which shims to fit, how far an adjuster presses a plunger,
// and whether a lifter fits its bore.
//
// # Conventions
//
// A spring is described by its height: free, installed (valve closed), open
// (installed height less valve lift), solid (all coils closed). The force grows
// as the height falls and is 0 from the free length up. Rates are positive.
// Room to coil bind, clearance and plunger travel left are positive where there
// is a gap; a negative one is data, not an error. A shim lowers the installed
// height by its thickness. Counts of coils and turns, ratios, shares and
// statistics are bare numbers and named so.
//
// An uncertainty is stated on a result where every reading that it comes from
// states its own.
//
// # Which spring to take
//
// LinearSpring is a force at a height and a rate, off a card or out of
// Bench.Line, and does for most. SpringCurve is for springs whose rate changes as
// coils close: progressive, conical, beehive. Nest puts springs inside each
// other. All three are a Spring, and a Spring gives a force for every height
// without allocating.
//
// # Lift at the valve
//
// A Linkage is lifter, pushrod, rocker and valve in one plane; its ratio changes
// through the lift. A FingerSpec is a cam that acts on a swinging follower, a
// ConstantRatio what a card states. NewValveCurve, NewValveMotion and NewFingerCurve
// make the lift at the valve over the cam angle of them, which is a lift curve of
// package camtiming. A PlaneAngle is of neither crank nor cam; directions count
// counterclockwise in axes that the caller lays. Contact on the stem is positive
// away from the rocker's pivot. A valve that stands higher over its head after a
// valve job takes lash away.
//
// # Motion
//
// NewDynamics joins a lobe, a gear of one ratio or a Linkage, springs and the moving
// parts; a FingerCurve is lobe and gear in one. Dynamics.Float tells at which speed, and where on the lobe, the springs no
// longer hold the parts to the cam; Dynamics.Turning sets a speed, for the forces at
// an angle (Turning.At), their extremes and the torque (Turning.Limits), the contact
// of lobe and follower (Turning.Contact) and the motion of parts that give way
// (Turning.Response). Speeds are of the cam, half those of the crank, and angles are
// cam degrees from the nose. FlowValve and ValveEvent are the way through the port.
//
// # Clearances and adjustment
//
// Travel looks at every place where a part of the valve gear may run into
// another at full lift and beyond. HeadPair and MovingHeads are two valve heads
// in space and on their cam. SheetJob makes a list by which the valves are set
// out of a plan of package firingorder; AdjustmentSheet.Record tells what corrects a
// lash that was read.
//
// # Sources
//
// Machinery's Handbook, 31st ed. (2020), tables 3, 5 and 20 of the chapter on
// springs: end types, loads, moduli. Carvill, Mechanical Engineer's Data
// Handbook, p. 32: stress factors. Brown, Marks' Calculations for Machine Design
// (2005), section 9.2.7: surge. Johnson, Contact Mechanics (1985), chapter 4:
// contact. Heywood, Internal Combustion Engine Fundamentals, section 6.3: flow
// areas. Dormand and Prince (1980): integration. JCGM 100:2008: uncertainties.
//
// # Limits
//
// Springs are of round wire with a small pitch angle, at room temperature;
// friction, dampers, set in use and the spring's own mass in motion are not in
// the forces. Limits of force, clearance and room come from the caller.
//
// # Cautions
//
// A compressed valve spring stores energy and injures when it slips: use a
// compressor that captures the retainer, wear eye protection, and keep face and
// hands out of the line of the spring. The reports of this package carry their
// cautions with them (Cautions).
package valvetrain
