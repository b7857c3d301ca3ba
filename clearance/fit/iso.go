package fit

import (
	"math"
	"strconv"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// Grade is a standard tolerance grade of ISO 286-1. The zero Grade is none.
type Grade uint8

// Grades, finest first.
const (
	IT01 Grade = iota + 1
	IT0
	IT1
	IT2
	IT3
	IT4
	IT5
	IT6
	IT7
	IT8
	IT9
	IT10
	IT11
	IT12
	IT13
	IT14
	IT15
	IT16
	IT17
	IT18
)

// digits returns the grade as a class writes it, "01", "0", "7".
func (g Grade) digits() string {
	switch {
	case g == IT01:
		return "01"
	case g >= IT0 && g <= IT18:
		return strconv.Itoa(int(g - IT0))
	default:
		return ""
	}
}

// String returns "IT7", or "no grade".
func (g Grade) String() string {
	if d := g.digits(); d != "" {
		return "IT" + d
	}
	return "no grade"
}

// Tolerance answers how wide the tolerance of a grade is for a nominal size:
// the cell of the table of ISO 286-1 for the step "over lo up to and including
// hi", so that a size on a border belongs to the lower step. The table holds,
// not the formula behind it: IT6 of 6 mm is 8 um, where 10 i gives 7.3.
//
// Valid over 0 to 500 mm. Errors: no grade, a size outside that range, IT14 to
// IT18 to 1 mm, which the standard does not use.
//
// Source: ISO 286-1:1988, table 1.
//
// Rows: it6-6mm, it-0-IT7, it-3-IT11, it-250-IT6, it-400-IT18, it-400-IT01.
func (g Grade) Tolerance(nominal units.Length) (units.Length, error) {
	s, err := stepOf(nominal)
	if err != nil {
		return 0, err
	}
	return g.tolerance(s, nominal)
}

func (g Grade) tolerance(s step, nominal units.Length) (units.Length, error) {
	if g == 0 {
		return 0, fail("Grade", "", units.ErrMissing, "want IT01 to IT18")
	}
	if g > IT18 {
		return 0, fail("Grade", strconv.Itoa(int(g)), units.ErrRange, "want IT01 to IT18")
	}
	if g >= IT14 && nominal <= units.Millimeter {
		return 0, fail("Grade", g.String(), units.ErrRange, "ISO 286-1 does not use IT14 to IT18 for sizes to 1 mm")
	}
	return tenths(gradeTable[s.main][g-IT01]), nil
}

// Class is a tolerance class: the letter of the fundamental deviation and the
// grade. A capital letter is a hole, a small one a shaft: {"H", IT7}, {"js",
// IT6}. The zero Class is none.
type Class struct {
	Letter string
	Grade  Grade
}

// String returns "H7"; "no class" for the zero Class. A class with a letter
// that does not exist is written as it stands.
func (c Class) String() string {
	if c == (Class{}) {
		return "no class"
	}
	return c.Letter + c.Grade.digits()
}

// Source says where the figures of a class are from and how well that is
// attested: the letters c to u (h, k, js with them) were compared cell by cell
// with transcriptions, the others are recalled.
func (c Class) Source() units.Source {
	src := units.Source{Text: "ISO 286-1:1988, tables 1 to 3", Provenance: units.Memory}
	if id, _ := letterOf(c.Letter); id.attested() {
		src.Provenance = units.VerifiedSecondary
	}
	return src
}

// Limits answers what the limit deviations of a class are for a nominal size:
//
//	shaft a to h:  es = table        ei = es - IT
//	shaft j to zc: ei = table        es = ei + IT
//	hole A to H:   EI = -es          ES = EI + IT
//	hole J to ZC:  ES = table or -ei + Delta, EI = ES - IT
//	js, JS:        +-IT/2, unrounded
//
// with es, ei of the shaft of the same letter, IT = Grade.Tolerance and Delta
// the tabulated difference of the step and grade (um), which applies to K, M
// and N to IT8 and to P to ZC to IT7. M6 over 250 to 315 mm is -9 um and not
// -11. k has its deviation from IT4 to IT7 and 0 elsewhere; N over IT8 is 0 above
// 3 mm. Steps are the 25 fine ones where the letter needs them.
//
// Valid over 0 to 500 mm. Errors: a letter, grade or size that does not exist;
// a cell that the table does not hold (ErrRange, and the reason says so): see
// the package's Limits. A rounded js7 of a handbook, 12 for 12.5 um, differs by
// the half.
//
// Source: ISO 286-1:1988, tables 2 and 3.
//
// Rows: iso-c6-es-30, iso-f7-es-50, iso-k6-ei-30, iso-s6-ei-50, iso-u6-ei-450,
// iso-K7-ES-30, iso-M6-ES-250, iso-N7-ES-30, iso-P7-ES-30, iso-S7-ES-65,
// iso-js6-50, shigley-7-7-dmin.
func (c Class) Limits(nominal units.Length) (clearance.Deviations, error) {
	s, err := stepOf(nominal)
	if err != nil {
		return clearance.Deviations{}, err
	}
	id, hole := letterOf(c.Letter)
	if id == noLetter {
		if c.Letter == "" {
			return clearance.Deviations{}, fail("Letter", "", units.ErrMissing, "want a letter from a to zc or A to ZC")
		}
		return clearance.Deviations{}, fail("Letter", c.Letter, units.ErrSyntax, "want a letter from a to zc or A to ZC")
	}
	it, err := c.Grade.tolerance(s, nominal)
	if err != nil {
		return clearance.Deviations{}, err
	}
	d := clearance.Deviations{Nominal: nominal}
	if id == devJS {
		// IT is a whole count of 0.1 um: the half is exact.
		d.Upper, d.Lower = it/2, -it/2
		return d, nil
	}
	v, reason := id.deviation(s, c.Grade, hole, nominal)
	if reason != "" {
		return clearance.Deviations{}, fail("Class", c.String()+" at "+nominal.String(), units.ErrRange, "not in the table of ISO 286-1: "+reason)
	}
	switch {
	case id <= devH && hole: // lower deviation of a hole
		d.Lower, d.Upper = v, v+it
	case id <= devH, hole: // upper deviation of a shaft, or of a hole past H
		d.Upper, d.Lower = v, v-it
	default:
		d.Lower, d.Upper = v, v+it
	}
	if nominal+d.Lower <= 0 {
		return clearance.Deviations{}, fail("Class", c.String()+" at "+nominal.String(), units.ErrImpossible, "the tolerance is wider than the size")
	}
	return d, nil
}

// deviation returns the fundamental deviation, or why there is none.
func (id letter) deviation(s step, g Grade, hole bool, nominal units.Length) (units.Length, string) {
	if nominal <= units.Millimeter {
		switch {
		case id <= devB:
			return 0, "a and b are not used for sizes to 1 mm"
		case id == devN && hole && g > IT8:
			return 0, "N over IT8 is not used for sizes to 1 mm"
		}
	}
	if id == devJ {
		return deviationJ(s, g, hole)
	}
	x := id.cell(s)
	if x == none {
		return 0, "no deviation for this letter and size"
	}
	if id == devK && (g < IT4 || g > IT7) && !hole {
		x = 0
	}
	v := units.Length(x) * units.Micrometer
	if !hole {
		return v, ""
	}
	last := IT7 // the last grade with Delta
	switch id {
	case devK, devM, devN:
		last = IT8
	default:
	}
	switch {
	case id <= devH, s.main == 0: // the mirror image; Delta is 0 in the first step
		return -v, ""
	case g <= last:
		if g < IT3 {
			return 0, "Delta is tabulated from IT3"
		}
		if id == devM && g == IT6 && s.main == 10 { // over 250 to 315 mm
			return -9 * units.Micrometer, ""
		}
		return -v + tenths(deltaTable[s.main-1][g-IT3]), ""
	case id == devK:
		return 0, "K is tabulated to IT8 over 3 mm"
	case id == devN:
		return 0, ""
	default:
		return -v, ""
	}
}

func deviationJ(s step, g Grade, hole bool) (units.Length, string) {
	if hole {
		if g < IT6 || g > IT8 {
			return 0, "J is tabulated for IT6 to IT8"
		}
		return units.Length(holeJ[g-IT6][s.main]) * units.Micrometer, ""
	}
	switch {
	case g == IT5 || g == IT6:
		return units.Length(shaftJ[0][s.main]) * units.Micrometer, ""
	case g == IT7:
		return units.Length(shaftJ[1][s.main]) * units.Micrometer, ""
	case g == IT8 && s.main == 0:
		return -6 * units.Micrometer, ""
	default:
		return 0, "j is tabulated for IT5 to IT7, and IT8 to 3 mm"
	}
}

// step is a step of nominal sizes: one of 13 main ones and of 25 fine ones.
type step struct{ main, fine int }

func stepOf(nominal units.Length) (step, error) {
	switch {
	case nominal == 0:
		return step{}, fail("Nominal", "", units.ErrMissing, "want a size over 0 to 500 mm")
	case nominal < 0, nominal > 500*units.Millimeter:
		return step{}, fail("Nominal", nominal.String(), units.ErrRange, "want a size over 0 to 500 mm")
	}
	lo, hi := 0, len(fineSteps)-1
	for lo < hi {
		mid := (lo + hi) / 2
		if nominal <= units.Length(fineSteps[mid].upTo)*units.Millimeter {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return step{main: int(fineSteps[lo].main), fine: lo}, nil
}

// tenths returns x um, x a multiple of 0.1, exactly.
func tenths(x float64) units.Length { return round(x*10) * (100 * units.Nanometer) }

// letter numbers the fundamental deviations in the order of the standard.
type letter uint8

const (
	noLetter letter = iota
	devA
	devB
	devC
	devCD
	devD
	devE
	devEF
	devF
	devFG
	devG
	devH
	devJS
	devJ
	devK
	devM
	devN
	devP
	devR
	devS
	devT
	devU
	devV
	devX
	devY
	devZ
	devZA
	devZB
	devZC
)

// letterOf reads a letter and whether it is a hole's.
func letterOf(text string) (letter, bool) {
	var l [2]byte
	if len(text) == 0 || len(text) > 2 {
		return noLetter, false
	}
	hole := text[0] >= 'A' && text[0] <= 'Z'
	for i := range len(text) {
		ch := text[i]
		if hole {
			if ch < 'A' || ch > 'Z' {
				return noLetter, false
			}
			ch += 'a' - 'A'
		}
		l[i] = ch
	}
	if l[1] == 0 {
		if l[0] < 'a' || l[0] > 'z' {
			return noLetter, false
		}
		return oneLetter[l[0]-'a'], hole
	}
	switch string(l[:]) {
	case "cd":
		return devCD, hole
	case "ef":
		return devEF, hole
	case "fg":
		return devFG, hole
	case "js":
		return devJS, hole
	case "za":
		return devZA, hole
	case "zb":
		return devZB, hole
	case "zc":
		return devZC, hole
	default:
		return noLetter, false
	}
}

// attested reports whether the cells were compared with transcriptions.
func (id letter) attested() bool {
	switch id {
	case devC, devD, devE, devF, devG, devH, devJS, devK, devM, devN, devP, devR, devS, devT, devU:
		return true
	default:
		return false
	}
}

// cell returns the shaft's deviation in um, or none.
func (id letter) cell(st step) int16 {
	if col := &fineTable[id]; col[len(col)-1] != 0 {
		return col[st.fine]
	}
	return mainTable[id][st.main]
}

// ToleranceUnit answers what the standard tolerance unit i is for the step of a
// nominal size:
//
//	i = 0.45 D^(1/3) + 0.001 D     (um, D in mm)
//
// with D the geometric mean of the step's borders, sqrt(3) mm for the first. IT5
// to IT18 were once 7, 10, 16, 25, 40 ... 2500 times i, rounded; the table
// (Grade.Tolerance) holds where the two differ. Errors: a size outside 0 to
// 500 mm.
//
// Source: ISO 286-1:1988, annex.
//
// Rows: i-6mm, i-50mm.
func ToleranceUnit(nominal units.Length) (units.Length, error) {
	s, err := stepOf(nominal)
	if err != nil {
		return 0, err
	}
	hi := 0.0
	lo := 1.0
	for _, f := range fineSteps {
		if int(f.main) < s.main {
			lo = float64(f.upTo)
		}
		if int(f.main) == s.main {
			hi = float64(f.upTo)
		}
	}
	d := math.Sqrt(lo * hi)
	return round((0.45*math.Cbrt(d) + 0.001*d) * pm(units.Micrometer)), nil
}
