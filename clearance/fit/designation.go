package fit

import (
	"strings"

	"example.com/trialfit/units"
)

// Designation is a size with the class of a hole, of a shaft, or of both, as a
// drawing writes it: "25 H7/p6", "40 h6", "H7/g6". The zero Nominal is none.
type Designation struct {
	Nominal     units.Length
	Hole, Shaft Class
}

// maxText limits the text of a designation, as units limits that of a length.
const maxText = 64

// ParseClass reads a class, "H7", "js6", "ZA8". Grades are 01, 0 and 1 to 18
// without leading zeros. Errors: a text that is no class (ErrSyntax). Whether the
// standard has a figure for it depends on the size: see Class.Limits.
//
// Rows: iso-K7-ES-30, iso-c6-es-30.
func ParseClass(s string) (Class, error) {
	c, rest, ok := cutClass(strings.TrimSpace(shorten(s)))
	if !ok || rest != "" {
		return Class{}, fail("", shorten(s), units.ErrSyntax, `want a letter and a grade, "H7" or "js6"`)
	}
	return c, nil
}

// shorten cuts a text that is too long to be anything, so that no error quotes
// all of it.
func shorten(s string) string {
	if len(s) > maxText {
		return s[:maxText] + "..."
	}
	return s
}

// cutClass takes a class off the end of a text.
func cutClass(s string) (c Class, before string, ok bool) {
	i := len(s)
	for i > 0 && s[i-1] >= '0' && s[i-1] <= '9' {
		i--
	}
	switch digits := s[i:]; {
	case digits == "01":
		c.Grade = IT01
	case digits == "0":
		c.Grade = IT0
	case digits == "" || digits[0] == '0' || len(digits) > 2:
		return Class{}, s, false
	default:
		n := 0
		for _, d := range []byte(digits) {
			n = 10*n + int(d-'0')
		}
		if n > 18 {
			return Class{}, s, false
		}
		c.Grade = IT0 + Grade(n)
	}
	// Two letters of one case where they name a deviation, else one.
	for _, k := range [...]int{2, 1} {
		if i < k {
			continue
		}
		if id, _ := letterOf(s[i-k : i]); id != noLetter {
			c.Letter = s[i-k : i]
			return c, s[:i-k], true
		}
	}
	return Class{}, s, false
}

// ParseDesignation reads a size with one class or two, the hole's first:
//
//	designation = [ "Ø" | "⌀" ] [ nominal ] ( hole [ "/" shaft ] | shaft ) .
//	nominal     = decimal | length .
//
// A bare decimal is in millimeters, as ISO 286-1 defines the text; a length
// has its unit as in units.ParseLength: "1.5 in H7/s6". Spaces may stand
// between the parts.
//
// Errors: a text in another form or over 64 bytes, two holes, a shaft first
// (ErrSyntax); a nominal size that is none (as ParseLength, ErrRange).
//
// Source: ISO 286-1:1988, for the form of the text (from memory).
//
// Rows: shigley-7-7-dmin, desig-50-h7-p6-cmax.
func ParseDesignation(text string) (Designation, error) {
	bad := func(reason string) (Designation, error) {
		return Designation{}, fail("", shorten(text), units.ErrSyntax, reason)
	}
	const want = `want "25 H7/p6", "25 H7" or "H7/p6"`
	if len(text) > maxText {
		return bad("want at most 64 bytes")
	}
	front, back, two := strings.Cut(text, "/")
	c, before, ok := cutClass(strings.TrimSpace(front))
	if !ok {
		return bad(want)
	}
	var d Designation
	if _, hole := letterOf(c.Letter); hole {
		d.Hole = c
	} else {
		d.Shaft = c
	}
	if two {
		s, rest, ok := cutClass(strings.TrimSpace(back))
		if !ok || rest != "" {
			return bad(want)
		}
		if _, hole := letterOf(s.Letter); hole || d.Hole == (Class{}) {
			return bad("want the hole first, with a capital letter, and the shaft second: " + want)
		}
		d.Shaft = s
	}
	before = strings.TrimSpace(before)
	diameter := false
	for _, sign := range []string{"Ø", "⌀"} {
		if rest, ok := strings.CutPrefix(before, sign); ok {
			before, diameter = strings.TrimSpace(rest), true
			break
		}
	}
	if before == "" {
		if diameter {
			return bad("want a size after the sign of a diameter")
		}
		return d, nil
	}
	if last := before[len(before)-1]; last == '.' || last >= '0' && last <= '9' {
		if strings.ContainsAny(before, " +-/") {
			return bad("want a plain number of millimeters, or a unit: " + want)
		}
		before += " mm"
	}
	l, err := units.ParseLength(before)
	if err != nil {
		return Designation{}, err
	}
	if l <= 0 || l > 500*units.Millimeter {
		return Designation{}, fail("Nominal", l.String(), units.ErrRange, "want a size over 0 to 500 mm")
	}
	d.Nominal = l
	return d, nil
}

// String returns the text that ParseDesignation reads, the size in millimeters:
// "25 H7/p6".
func (d Designation) String() string {
	var b strings.Builder
	if d.Nominal != 0 {
		b.WriteString(strings.TrimSuffix(d.Nominal.String(), " mm"))
	}
	part := func(c Class, sep string) {
		if c == (Class{}) {
			return
		}
		if b.Len() > 0 {
			b.WriteString(sep)
		}
		b.WriteString(c.String())
	}
	part(d.Hole, " ")
	if d.Hole == (Class{}) {
		part(d.Shaft, " ")
	} else {
		part(d.Shaft, "/")
	}
	return b.String()
}

// MarshalText returns what String returns; a designation that
// ParseDesignation would refuse is refused.
func (d Designation) MarshalText() ([]byte, error) {
	s := d.String()
	if back, err := ParseDesignation(s); err != nil {
		return nil, err
	} else if back != d {
		return nil, fail("", shorten(s), units.ErrConflict, "want a hole of capital letters and a shaft of small ones")
	}
	return []byte(s), nil
}

// UnmarshalText reads what ParseDesignation reads.
func (d *Designation) UnmarshalText(text []byte) error {
	v, err := ParseDesignation(string(text))
	if err == nil {
		*d = v
	}
	return err
}

// Fit answers what limits and what clearance a hole and a shaft of two classes
// have: Class.Limits of both, then clearance.Fit.Clearance. For a part alone
// use Class.Limits.
//
// Errors: a missing size or class, a hole in the place of the shaft or the
// other way round (ErrConflict), and those of Class.Limits.
//
// Source: ISO 286-1:1988.
//
// Rows: shigley-7-7-dmin, desig-50-h7-p6-cmax, desig-20-h7-s6-imin,
// desig-50-h7-s6-imin, desig-10-h11-c11-cmax, desig-40-h7-u6-imax.
func (d Designation) Fit() (Result, error) {
	for _, p := range [...]struct {
		field string
		class Class
		hole  bool
	}{{"Hole", d.Hole, true}, {"Shaft", d.Shaft, false}} {
		if p.class == (Class{}) {
			return Result{}, fail(p.field, "", units.ErrMissing, `want a class, "H7" or "p6"`)
		}
		if id, hole := letterOf(p.class.Letter); id != noLetter && hole != p.hole {
			return Result{}, fail(p.field, p.class.String(), units.ErrConflict, "want a capital letter for the hole and a small one for the shaft")
		}
	}
	hole, err := d.Hole.Limits(d.Nominal)
	if err != nil {
		return Result{}, err
	}
	shaft, err := d.Shaft.Limits(d.Nominal)
	if err != nil {
		return Result{}, err
	}
	src := d.Hole.Source()
	if s := d.Shaft.Source(); s.Provenance == units.Memory {
		src = s
	}
	return pair(hole, shaft, src)
}
