package clearance

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

const (
	maxSize     = 100 * units.Meter
	maxReadings = 10_000
)

var (
	definition = units.Source{Text: "definition", Provenance: units.Computed}
	gum        = units.Source{Text: "JCGM 100:2008, 5.1.2", Provenance: units.Verified}
	trade      = units.Source{Text: "trade practice, no single source", Provenance: units.CommonPractice}
	asRead     = units.Source{Text: "as read", Provenance: units.Stated}
)

func fail(field, value string, kind error, reason string) error {
	return &units.InputError{Package: "clearance", Field: field, Value: value, Reason: reason, Kind: kind}
}

// checkSigned accepts any length up to the size limit.
func checkSigned(field string, l units.Length) error {
	if l > maxSize || l < -maxSize {
		return fail(field, l.String(), units.ErrRange, "want at most 100 m")
	}
	return nil
}

// checkSize accepts a positive size.
func checkSize(field string, l units.Length) error {
	switch {
	case l == 0:
		return fail(field, "", units.ErrMissing, "want a size over 0")
	case l < 0:
		return fail(field, l.String(), units.ErrRange, "want a size over 0")
	}
	return checkSigned(field, l)
}

func checkU(field string, m units.Measured[units.Length]) error {
	switch {
	case m.U < 0:
		return fail(field+".U", m.U.String(), units.ErrRange, "want a standard uncertainty that is not negative")
	case !m.Stated && m.U != 0:
		return fail(field+".U", m.U.String(), units.ErrConflict, "an uncertainty is given but not marked as stated")
	}
	if m.U > maxSize {
		return checkSigned(field+".U", m.U) // the name is built only for an error
	}
	return nil
}

func checkReading(field string, m units.Measured[units.Length]) error {
	if err := checkSigned(field, m.Value); err != nil {
		return err
	}
	return checkU(field, m)
}

func checkPositive(field string, m units.Measured[units.Length]) error {
	if err := checkSize(field, m.Value); err != nil {
		return err
	}
	return checkU(field, m)
}

func at(field string, i int) string { return field + "[" + strconv.Itoa(i) + "]" }

// round returns x as a count, half to even. Callers keep x in range.
func round(x float64) units.Length { return units.Length(math.RoundToEven(x)) }

// div returns a/n to the nearest count, half to even; n > 0.
func div(a units.Length, n int) units.Length {
	d := units.Length(n)
	q, r := a/d, a%d
	if r < 0 {
		q, r = q-1, r+d
	}
	if 2*r > d || (2*r == d && q%2 != 0) {
		q++
	}
	return q
}

// sub returns a-b with the uncertainties combined as uncorrelated.
func sub(a, b units.Measured[units.Length]) units.Measured[units.Length] {
	return result(a.Value-b.Value, a.Stated && b.Stated, math.Hypot(float64(a.U), float64(b.U)))
}

func result(v units.Length, stated bool, u float64) units.Measured[units.Length] {
	if !stated {
		return units.Unstated(v)
	}
	return units.WithU(v, round(u))
}

// num writes a length inside an expression, text one that stands alone.
func num(l units.Length) string { return l.Text(units.Millimeters, 4) }

func text(l units.Length) string { return num(l) + " (" + l.Text(units.Inches, 5) + ")" }

func measuredText(m units.Measured[units.Length]) string {
	if !m.Stated {
		return text(m.Value)
	}
	return text(m.Value) + " (u = " + text(m.U) + ")"
}

// worse returns the outcome that decides for two checks of one part: outside
// if either is, within only if both are.
func worse(a, b units.Outcome) units.Outcome {
	switch {
	case a == units.ProvedOutside || b == units.ProvedOutside:
		return units.ProvedOutside
	case a == units.ProvedWithin && b == units.ProvedWithin:
		return units.ProvedWithin
	default:
		return units.NotProved
	}
}
