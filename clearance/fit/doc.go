// Package fit holds limits and fits, and what an interference does to the two
// parts: ISO 286 limit deviations of any class for sizes to 500 mm, the inch
// fits of ANSI B4.1, and the pressure, stress, holding power and assembly
// temperature of a press or shrink fit after Lame.
//
// A Class is a letter and a grade, "H7" or "js6"; Class.Limits gives its
// deviations for a size. A Designation is a size with one class or two,
// "25 H7/p6"; its Fit gives both parts with their clearance. InchClass names
// a fit of ANSI B4.1. Press is a hub on a shaft: a seat in a head, a guide in
// its bore, a gear on a crank nose.
//
// # Conventions
//
// Holes first, shafts second; a positive clearance is a gap, a negative one an
// interference. Deviations are signed from the nominal size. Diameters and
// interferences are DIAMETRAL throughout: a source that gives a radial
// interference gives half of ours. Pressures and tensile stresses are
// positive; a radial stress at a loaded surface is minus the pressure. Sizes
// and interferences are those at 20 degC unless a method says otherwise.
//
// In a Designation a bare nominal size is in millimeters, as ISO 286-1 defines
// the text; that is the one place where no unit is written.
//
// # Sources
//
// ISO 286-1:1988 tables 1 to 3 (IT grades, fundamental deviations, the
// differences Delta for holes) as recalled, and proved cell by cell for IT01
// to IT18, c to u and C to U against public transcriptions. The letters a, b,
// cd, ef, fg, j, v to zc and their holes are from memory alone; where the
// standard gives a formula the tests hold the cells against it. Class.Source
// says which. The table holds, not the formula: 14 of the 78 cells of IT5 to
// IT10 differ from it. ANSI B4.1-1967 for the bands from 1.19 to 4.73 in (FN
// to 3.94 in). Press fits: Budynas and Nisbett, Shigley's Mechanical
// Engineering Design, 9th ed., eq. (3-56), (3-57).
//
// # Limits
//
// What a table does not hold is refused: j beyond IT8, t to 24 mm, K over IT8
// and 3 mm, cd, ef and fg over 10 mm (the later edition that extends them was
// not at hand), sizes over 500 mm. Of ANSI B4.1 the transition fits LT, RC8 and
// RC9, LC8 to LC11 and the other bands are not held.
//
// The press fit is elastic, both parts of one length, without end effect, in
// plane stress, at one temperature; expansion is a mean coefficient and the
// modulus does not change with temperature. Limits of stress come from the
// caller.
package fit
