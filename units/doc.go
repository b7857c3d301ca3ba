// Package units holds the quantities, readings, limits and verdicts that the
// other packages of this module calculate with.
//
// Lengths and angles are exact counts; the other quantities are float64 values
// in SI units. Each kind has its own type, so that a cam angle cannot be added
// to a crank angle nor a torque to an energy.
//
// # Conventions
//
// A unit is always written, in code as a constructor or a constant and in text
// as a symbol; none is ever assumed. CrankAngle counts degrees of the
// crankshaft and CamAngle degrees of the camshaft, one of which is two of the
// crank; CrankAngle.Cam and CamAngle.Crank convert without loss. Lobe
// separation is in cam degrees; centerlines, events, durations and advance are
// in crank degrees.
//
// An uncertainty is a standard uncertainty (k = 1). "Not stated" differs from
// zero, see Measured. Limits name their Source.
//
// A refused input gives an *InputError that wraps one of the Err sentinels,
// with the zero value beside it. Only the Must functions panic.
//
// # Exactness
//
// Length is a whole count of picometers and an angle a whole count of 1e-9
// crank degrees. Exact: their constants, sums, differences and comparison;
// text in metric units; every inch reading of up to 8 decimals; the sine and
// cosine of multiples of 90 degrees; conversion between cam and crank. Rounded
// once: text in inches at the decimals asked for (half to even), minutes of
// arc, and anything that passes through float64. Length and CrankAngle give
// the full lists.
//
// # Text forms
//
// Text is read by the Parse functions and UnmarshalText, in EBNF:
//
//	length   = [ sign ] ( decimal | fraction ) lengthunit .
//	angle    = [ sign ] ( decimal angleunit | digits [ shaft ] degree minutes ) .
//	quantity = [ sign ] decimal [ ( "e" | "E" ) [ sign ] digits ] unit .
//
//	decimal    = digits [ "." { digit } ] | "." digits .
//	fraction   = [ digits " " ] digits "/" digits .
//	digits     = digit { digit } .
//	digit      = "0" ... "9" .
//	sign       = "+" | "-" .
//	lengthunit = "in" | "inch" | "inches" | `"` | "″" | "thou" | "uin" | "µin"
//	           | "ft" | "foot" | "feet" | "mm" | "cm" | "m" | "um" | "µm" | "nm" .
//	angleunit  = shaft " " degree | degree [ shaft ] .
//	degree     = "deg" | "degrees" | "°" .
//	minutes    = decimal ( "min" | "'" | "′" ) .
//	shaft      = "crank" | "cam" .
//
// Spaces may stand around the text and between its parts. Both micro signs are
// read, U+00B5 and U+03BC; the ASCII "um" and "uin" are written. The units of
// a quantity stand in the comment of its Parse function. JSON and other
// encodings hold the same text; a bare number is refused.
//
// # Decision rules
//
// Judge gives one of three outcomes: proved within the limits, proved outside,
// or not proved. ProveAt95, the zero value, asks for 95 % probability;
// ProveBeyondU for the expanded uncertainty U = 2 u inside the limit;
// SimpleAcceptance ignores the uncertainty and must be asked for. A
// measurement without a stated uncertainty proves nothing under the first two.
//
// # Sources
//
// Unit factors: NIST Special Publication 811 (2008), Appendix B.8, from the
// international inch and pound of 1959 and the standard acceleration of
// gravity 9.80665 m/s2. Conformity: JCGM 106:2012 and ISO 14253-1:2017 (read
// in secondary sources). Resolution: JCGM 100:2008, F.2.2.1.
//
// # Limits
//
// Length reaches 9,223 km, CrankAngle 25 million turns, text 64 bytes; the
// smallest int64 is not a length or an angle. The operators + - * wrap past
// the range as Go integers do; Length.Add, Sub and Mul report it. Judge takes
// the error of measurement as normal and the limits as exact.
package units
