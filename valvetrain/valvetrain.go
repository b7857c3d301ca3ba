package valvetrain

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

const (
	// maxSize bounds every length of a part here, maxForce and maxRate what a
	// spring may give: far over any valve spring, and far under overflow.
	maxSize  = 10 * units.Meter
	maxForce = units.Force(1e9)
	maxRate  = units.Stiffness(1e12)
	maxCount = 10_000
)

var (
	definition = units.Source{Text: "definition", Provenance: units.Computed}
	asRead     = units.Source{Text: "as read", Provenance: units.Stated}
	practice   = units.Source{Text: "practice of the trade", Provenance: units.CommonPractice}
)

func fail(field, value string, kind error, reason string) error {
	return &units.InputError{Package: "valvetrain", Field: field, Value: value, Reason: reason, Kind: kind}
}

func at(field string, i int) string { return field + "[" + strconv.Itoa(i) + "]" }

// checkSize accepts a length over 0 and up to the limit of sizes.
func checkSize(field string, l units.Length) error {
	switch {
	case l == 0:
		return fail(field, "", units.ErrMissing, "want a length over 0")
	case l < 0 || l > maxSize:
		return fail(field, l.String(), units.ErrRange, "want a length over 0 and up to 10 m")
	}
	return nil
}

// checkSpan accepts a length of 0 or more.
func checkSpan(field string, l units.Length) error {
	if l < 0 || l > maxSize {
		return fail(field, l.String(), units.ErrRange, "want a length of 0 to 10 m")
	}
	return nil
}

// checkU refuses an uncertainty that is negative, not finite or so large that its
// square or its sums leave the range of numbers, or given without being marked as
// stated.
func checkU[Q units.Quantity](field string, m units.Measured[Q]) error {
	u := float64(m.U)
	if !(u >= 0 && u <= 1e18) {
		return fail(field+".U", m.U.String(), units.ErrRange, "want a standard uncertainty that is finite and not negative")
	}
	if u != 0 && !m.Stated {
		return fail(field+".U", m.U.String(), units.ErrConflict, "an uncertainty is given but not marked as stated")
	}
	return nil
}

// sound reports whether an uncertainty is surely none that checkU or checkMeasuredU
// refuses.
func sound[Q units.Quantity](m units.Measured[Q]) bool {
	return m.U == 0 || m.Stated && m.U > 0 && float64(m.U) <= 1e12
}

func checkMeasuredSize(field string, m units.Measured[units.Length]) error {
	if err := checkSize(field, m.Value); err != nil {
		return err
	}
	return checkMeasuredU(field, m)
}

func checkMeasuredU(field string, m units.Measured[units.Length]) error {
	if m.U > maxSize {
		return fail(field+".U", m.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 10 m")
	}
	return checkU(field, m)
}

// checkForce accepts a force of 0 or more.
func checkForce(field string, f units.Force) error {
	if !(f >= 0 && f <= maxForce) {
		return fail(field, f.String(), units.ErrRange, "want a force of 0 to 1e9 N")
	}
	return nil
}

func checkMeasuredForce(field string, m units.Measured[units.Force]) error {
	if err := checkForce(field, m.Value); err != nil {
		return err
	}
	return checkU(field, m)
}

// checkOver accepts a finite float over 0.
func checkOver[Q ~float64](field string, x Q, limit Q, want string) error {
	switch {
	case x > 0 && x <= limit:
		return nil
	case x == 0:
		return fail(field, "", units.ErrMissing, want)
	default:
		return fail(field, plain(float64(x)), units.ErrRange, want)
	}
}

// count returns x meters as a length, half to even. Callers keep x in range.
func count(x float64) units.Length { return units.Length(math.RoundToEven(x * 1e12)) }

func squared(x float64) float64 { return x * x }

func plain(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

// num writes a length inside an expression, text one that stands alone.
func num(l units.Length) string { return l.Text(units.Millimeters, 3) }

func text(l units.Length) string { return num(l) + " (" + l.Text(units.Inches, 4) + ")" }

func measuredText(m units.Measured[units.Length]) string {
	if !m.Stated {
		return text(m.Value)
	}
	return text(m.Value) + " (u = " + m.U.Text(units.Millimeters, 4) + ")"
}

func forceText(f units.Force) string {
	return strconv.FormatFloat(f.Newtons(), 'f', 1, 64) + " N (" + strconv.FormatFloat(f.PoundsForce(), 'f', 1, 64) + " lbf)"
}

func rateText(k units.Stiffness) string {
	return strconv.FormatFloat(k.NewtonsPerMillimeter(), 'f', 2, 64) + " N/mm (" + strconv.FormatFloat(k.PoundsPerInch(), 'f', 1, 64) + " lbf/in)"
}

func stressText(p units.Pressure) string {
	return strconv.FormatFloat(p.Megapascals(), 'f', 1, 64) + " MPa"
}

// root returns the square root of a sum of squares of lengths, as a length.
func root(us ...units.Length) units.Length {
	var s float64
	for _, u := range us {
		s += squared(float64(u))
	}
	return units.Length(math.RoundToEven(math.Sqrt(s)))
}

// springCautions are what to mind with any valve spring under load.
func springCautions() []units.Caution {
	return []units.Caution{
		{Text: "a compressed valve spring stores energy and injures when it slips: use a compressor that captures the retainer, wear eye protection, and keep face and hands out of the line of the spring", Source: practice},
		{Text: "never press a spring to its solid height to see where that is with the valve gear assembled: measure it on the bench", Source: practice},
	}
}
