package fit

import (
	"strings"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// InchClass is a standard fit of ANSI B4.1. The zero InchClass is none.
type InchClass uint8

// Running and sliding fits, locational clearance and interference fits, force
// fits.
const (
	RC1 InchClass = iota + 1 // close sliding
	RC2                      // sliding
	RC3                      // precision running
	RC4                      // close running
	RC5                      // medium running
	RC6                      // medium running, wider
	RC7                      // free running
	LC1                      // locational clearance
	LC2
	LC3
	LC4
	LC5
	LC6
	LC7
	LN1 // locational interference
	LN2
	LN3
	FN1 // light drive
	FN2 // medium drive
	FN3 // heavy drive
	FN4 // force
	FN5 // force, for the highest stress
)

// inchFit is the make-up of a fit: the grades of hole and shaft, and the shaft's
// deviation nearest the nominal size for each band, in 0.1 thou, negative for
// a clearance.
type inchFit struct {
	name        string
	hole, shaft Grade
	nearest     [5]int8
}

// inchBands are the upper borders of the bands in 0.01 in, each with the band of
// the tolerances it belongs to; the first begins over 1.19 in.
var inchBands = [5]struct {
	upTo  int16
	width uint8
}{{158, 0}, {197, 0}, {256, 1}, {315, 1}, {394, 2}}

// inchLast is the upper border of the last band where the table is not FN's.
const inchLast = 473

// inchWidths are the tolerances of grades 4 to 10 in 0.1 thou for the bands
// 1.19 to 1.97, to 3.15 and to 4.73 in (ANSI B4.1, table of standard tolerances).
var inchWidths = [3][7]uint8{
	{3, 4, 6, 10, 16, 25, 40},
	{3, 5, 7, 12, 18, 30, 45},
	{4, 6, 9, 14, 22, 35, 50},
}

var inchFits = [FN5 + 1]inchFit{
	RC1: {"RC1", IT5, IT4, [5]int8{-4, -4, -4, -4, -5}},
	RC2: {"RC2", IT6, IT5, [5]int8{-4, -4, -4, -4, -5}},
	RC3: {"RC3", IT7, IT6, [5]int8{-10, -10, -12, -12, -14}},
	RC4: {"RC4", IT8, IT7, [5]int8{-10, -10, -12, -12, -14}},
	RC5: {"RC5", IT8, IT7, [5]int8{-20, -20, -25, -25, -30}},
	RC6: {"RC6", IT9, IT8, [5]int8{-20, -20, -25, -25, -30}},
	RC7: {"RC7", IT9, IT8, [5]int8{-30, -30, -40, -40, -50}},
	LC1: {"LC1", IT6, IT5, [5]int8{}},
	LC2: {"LC2", IT7, IT6, [5]int8{}},
	LC3: {"LC3", IT8, IT7, [5]int8{}},
	LC4: {"LC4", IT10, IT9, [5]int8{}},
	LC5: {"LC5", IT7, IT6, [5]int8{-4, -4, -4, -4, -5}},
	LC6: {"LC6", IT9, IT8, [5]int8{-10, -10}},
	LC7: {"LC7", IT10, IT9, [5]int8{-20, -20}},
	LN1: {"LN1", IT6, IT5, [5]int8{6, 6, 8, 8, 10}},
	LN2: {"LN2", IT7, IT6, [5]int8{10, 10, 14, 14, 16}},
	LN3: {"LN3", IT7, IT6, [5]int8{14, 14, 16, 16, 20}},
	FN1: {"FN1", IT6, IT5, [5]int8{9, 10, 13, 14, 18}},
	FN2: {"FN2", IT7, IT6, [5]int8{18, 18, 20, 22, 28}},
	FN3: {"FN3", IT7, IT6, [5]int8{20, 22, 25, 30, 35}},
	FN4: {"FN4", IT7, IT6, [5]int8{25, 28, 35, 40, 50}},
	FN5: {"FN5", IT8, IT7, [5]int8{30, 40, 50, 60, 70}},
}

// String returns "FN2", or "no fit".
func (c InchClass) String() string {
	if c == 0 || c > FN5 {
		return "no fit"
	}
	return inchFits[c].name
}

// ParseInchClass reads "RC5", "rc5" or "RC 5".
//
// Rows: b41-RC5-1.97-hole, b41-FN2-1.97-interference.
func ParseInchClass(s string) (InchClass, error) {
	t := shorten(strings.TrimSpace(s))
	for c := RC1; c <= FN5; c++ {
		name := inchFits[c].name
		if strings.EqualFold(t, name) || strings.EqualFold(t, name[:2]+" "+name[2:]) {
			return c, nil
		}
	}
	return 0, fail("InchClass", shorten(s), units.ErrSyntax, "want RC1 to RC7, LC1 to LC7, LN1 to LN3 or FN1 to FN5")
}

// MarshalText returns the name; no fit is refused.
func (c InchClass) MarshalText() ([]byte, error) {
	if c == 0 || c > FN5 {
		return nil, fail("InchClass", "", units.ErrMissing, "want RC1 to FN5")
	}
	return []byte(c.String()), nil
}

// UnmarshalText reads what ParseInchClass reads.
func (c *InchClass) UnmarshalText(text []byte) error {
	v, err := ParseInchClass(string(text))
	if err == nil {
		*c = v
	}
	return err
}

// Source says where the figures are from and how well that is attested: LC1 to
// LC5 are recalled.
func (c InchClass) Source() units.Source {
	src := units.Source{Text: "ANSI B4.1-1967, preferred hole basis fits", Provenance: units.VerifiedSecondary}
	if c >= LC1 && c <= LC5 {
		src.Provenance = units.Memory
	}
	return src
}

// Fit answers what limits and what clearance an inch fit has at a nominal
// size, from the table of the band "over lo to hi":
//
//	hole = +width/0     shaft = nearest deviation and the width of its grade beyond
//
// Held: RC1 to RC7, LC1 to LC5 and LN over 1.19 to 4.73 in, LC6 and LC7 over
// 1.19 to 1.97 in, FN over 1.19 to 3.94 in. Errors: no fit, a missing size,
// one outside those bands (ErrRange).
//
// Source: ANSI B4.1-1967.
//
// Rows: b41-RC5-1.97-hole, b41-RC5-1.97-shaft, b41-RC5-1.97-clearance,
// b41-FN2-1.97-interference, b41-LN2-3.15-interference, b41-LC6-1.19-clearance.
func (c InchClass) Fit(nominal units.Length) (Result, error) {
	const hundredth = units.Inch / 100
	switch {
	case c == 0:
		return Result{}, fail("InchClass", "", units.ErrMissing, "want RC1 to FN5")
	case c > FN5:
		return Result{}, fail("InchClass", "", units.ErrRange, "want RC1 to FN5")
	case nominal == 0:
		return Result{}, fail("Nominal", "", units.ErrMissing, "want a size over 1.19 in")
	}
	last := units.Length(inchLast)
	switch {
	case c == LC6 || c == LC7:
		last = 197
	case c >= FN1:
		last = 394
	}
	if nominal <= 119*hundredth || nominal > last*hundredth {
		return Result{}, fail("Nominal", nominal.Text(units.Inches, 4), units.ErrRange, "want a size over 1.19 in to "+(last*hundredth).Text(units.Inches, 2)+" for "+c.String()+": no other band is held")
	}
	band := 0
	for band < len(inchBands)-1 && nominal > units.Length(inchBands[band].upTo)*hundredth {
		band++
	}
	f := &inchFits[c]
	near := f.nearest[band]
	width := func(g Grade) units.Length {
		return units.Length(inchWidths[inchBands[band].width][g-IT4]) * (units.Thou / 10)
	}
	hole := clearance.Deviations{Nominal: nominal, Upper: width(f.hole)}
	shaft := clearance.Deviations{Nominal: nominal, Upper: units.Length(near) * (units.Thou / 10)}
	if near > 0 {
		shaft.Upper += width(f.shaft)
	}
	if c == LN1 && band < 2 {
		shaft.Upper += units.Thou / 10 // as printed: 0.5 thou where grade 5 has 0.4
	}
	shaft.Lower = units.Length(near) * (units.Thou / 10)
	if near <= 0 {
		shaft.Lower = shaft.Upper - width(f.shaft)
	}
	return pair(hole, shaft, c.Source())
}
