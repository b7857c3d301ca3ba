// Package material answers how large parts are at another temperature, and holds
// the figures for it: the expansion, stiffness and weight of the metals that
// engines are made of.
//
// An Expansion is a mean coefficient, or a table of them, with the temperature
// it counts from and the range in which its source holds. A Part is a size as
// measured at a temperature; Part.At is its size at another. A Pair is a hole
// with what sits in it; Pair.Hot is their clearance at two temperatures and
// Pair.Assemble the temperature at which they go together. Gauging corrects a
// reading taken on a warm part with an instrument of another metal. Alloy names
// the materials that the package knows; a caller gives any other one as a
// Material of its own.
//
// # Conventions
//
// A mean coefficient belongs to its base temperature: a length at the base grows by
// L a (T - base). From another temperature the ratio of the two lengths is
// taken, not a (T2 - T1), so that going there and back is the identity.
// Bore-like sizes come first; a positive clearance is a gap. Temperatures are
// uniform in a part, and a part is free to grow: an iron cap, a steel shell or a
// press fit that holds an aluminum housing back makes it grow less.
//
// Uncertainties are standard uncertainties (k = 1). A result states one only
// where every figure in it does: sizes, temperatures and coefficients.
//
// # Sources
//
// Each figure carries its own. Room-temperature coefficients: Callister,
// Fundamentals of Materials Science and Engineering, 3rd ed., Table B.6. The
// spread between handbooks is real, 5 % for gray iron; the coefficients of the
// alloys carry it as half a rectangular width.
//
// # Limits
//
// Sizes over 0 and up to 100 m, coefficients over 0 and up to 0.001 per kelvin.
// A temperature outside the range of the source is refused; a caller who knows
// better widens Lowest and Highest and answers for it.
package material
