// Package clearance holds the arithmetic of the gaps in a trial-assembled
// engine: oil clearance from bore and journal readings or from housing, shells
// and journal, the choice of shells for a whole crank, plastic gauge strips,
// the form of round parts and the line of the main bores, the undersize of a
// regrind; ring end gaps cold, at work and along a worn bore, the places of the
// gaps; pistons in their bores cold and at work, paired and at the deck; end
// play and side clearance, runout, the fit of two toleranced sizes, compression
// and squish, the gap between valve and piston, the parts that turn past each
// other, stacks of tolerances, and the bolts on which the clearances depend:
// preload by stretch, torque and angle. Package fit below it holds the standard
// fits and press fits, package film the oil film under a steady load.
//
// Beside it stand the weights of a set of pistons and rods (firingorder.WeightSet),
// how long a piston dwells (camtiming.SliderCrank.DialAtTop), the wear of chains
// and teeth in degrees of the cam (package camtiming), springs, retainers and valve
// heads (package valvetrain).
//
// # Conventions
//
// A positive clearance is a gap, a negative one an interference. The
// bore-like size comes first, the shaft-like size second. Clearances of round
// parts are diametral; the radial clearance is half of that and is named so.
//
// Readings are taken at stations along the length, At counted from one end,
// and at angles around. A bearing bore of two shells is read at the crown, 90
// degrees from the split: fitted shells are wider at the split by design, so
// readings there do not belong in the clearance. Taper is far end minus near
// end, positive where the diameter grows with At. Barrel is the middle minus
// the straight line between the ends, positive where the middle is larger; a
// negative figure is an hourglass.
//
// Out-of-round is the largest minus the smallest diameter at one station.
// Two-point readings (micrometer, bore gauge) cannot see a three-lobed form:
// its diameters are all alike. That needs a three-point gauge or a V-block, which
// is blind to other numbers of lobes (LobedReading), or readings around the part
// about a fixed axis (RadialReadings).
//
// Uncertainty is optional. It is stated as one standard uncertainty per
// reading and combined by root sum of squares; a zero error common to all
// readings of one gauge is a term of its own, which averaging does not reduce
// and which cancels in a difference of two readings of the same gauge. The
// result has a stated uncertainty only where every reading it uses has one.
// A largest or smallest of several noisy readings lies a little outside the
// true one; no allowance is made for that.
//
// Valve to piston clearance is measured along the valve over a pocket floor that
// is square to it, along the bore over a flat crown; PistonFace says which. Crank
// angles there count from top dead center of overlap, positive after it.
//
// # Sources
//
// Fits and clearance: the definitions of limits and fits (ISO 286-1).
// Uncertainty: JCGM 100:2008, 5.1.2 and 5.2. Verdicts: units.Judge. Wear
// limits: US Army TM 10-3930-647-14&P, wear limits list. No filing of caps: US
// Army TM 5-3805-255-14 WP 0094. Shells thinner at the split, by 0.0002 to
// 0.001 in each side: trade practice, no single source. Rules of the trade
// are labeled units.CommonPractice. Limits always come from the caller or
// from a rule that names its source.
//
// Bolts: Shigley's Mechanical Engineering Design, 9th ed., ch. 8, for nut
// factors, thread friction and joints; SAE J429 and ISO 898-1 for strengths;
// NASA-STD-5020B for scatter. A rule from memory says so in its source.
//
// # Limits
//
// A bolt is elastic and carries tension alone; heads, engaged threads and faces
// that give a little are not in its stiffness. The stiffness of the clamped parts
// comes from the caller. A table says nothing of one bolt: measure its stretch where
// it matters.
//
// Sizes at the temperature of measurement: let parts and gauges reach one
// temperature first. The clearance at work of any pair is material.Pair.Hot,
// of a piston SkirtFit, of a ring's gap RingHeat; the others here are cold.
// Sizes are taken up to 100 m and 10,000 readings to a part.
//
// # Cautions
//
// A calculation supports the builder's own measurements; it does not replace
// them. The part maker's figures and a qualified machinist take precedence.
// Do not file or lap bearing caps to close a clearance: it makes the bore out
// of round and spoils the crush.
package clearance
