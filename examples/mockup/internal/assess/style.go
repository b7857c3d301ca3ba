package assess

import (
	"math"
	"strconv"
	"strings"

	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// Style is how a reading was written: unit and decimals.
type Style struct {
	Unit     units.LengthUnit
	Decimals int
}

// styleOf returns the style of a reading; a fraction is shown in decimals.
func styleOf(r units.Reading) Style {
	s := Style{r.Unit, int(r.Decimals)}
	if r.Denominator != 0 {
		s.Decimals = 4
	}
	return s
}

// orFiner is the style, or another of its unit that shows more decimals.
func (s Style) orFiner(o Style) Style {
	if o.Unit == s.Unit && o.Decimals > s.Decimals {
		return o
	}
	return s
}

// Text writes a length in the style, with one more decimal where the style's
// own would round it: a mean of readings falls between their last digits.
func (s Style) Text(l units.Length) string {
	step := s.Unit.Length()
	for range s.Decimals {
		step /= 10
	}
	if step > 0 && l%step != 0 {
		return s.Fine(l)
	}
	return l.Text(s.Unit, s.Decimals)
}

// Round writes a length in the style and rounds, for computed heights.
func (s Style) Round(l units.Length) string { return l.Text(s.Unit, s.Decimals) }

// Fine writes a length with one more decimal, for uncertainties and slopes.
func (s Style) Fine(l units.Length) string { return l.Text(s.Unit, s.Decimals+1) }

// Limits writes the limits that a rule computes, rounded.
func (s Style) Limits(l units.Limits[units.Length]) string {
	switch {
	case l.HasMin && l.HasMax:
		return s.Round(l.Min) + " to " + s.Round(l.Max)
	case l.HasMin:
		return "at least " + s.Round(l.Min)
	default:
		return "at most " + s.Round(l.Max)
	}
}

// Degrees writes an angle of the crank to a tenth of a degree.
func Degrees(a units.CrankAngle) string { return a.Text(1) }

// Signed writes an advance with its sign.
func Signed(a units.CrankAngle) string {
	t := a.Text(1)
	switch {
	case strings.HasPrefix(t, "-0.0 "):
		return t[1:]
	case a > 0 && !strings.HasPrefix(t, "0.0 "):
		return "+" + t
	default:
		return t
	}
}

// Percent writes a probability, never as certainty.
func Percent(p float64) string {
	switch {
	case p > 0.999:
		return "over 99.9 %"
	case p < 0.001:
		return "under 0.1 %"
	default:
		return strconv.FormatFloat(100*p, 'f', 1, 64) + " %"
	}
}

// torqueText writes a torque in the unit of another with its decimals.
func torqueText(t units.Torque, like sheet.Torque) string {
	return inUnitOf(like.Text, unitValue{"N m", t.NewtonMeters()}, unitValue{"lbf ft", t.PoundFeet()},
		unitValue{"lbf in", t.PoundInches()}, unitValue{"ozf in", t.OunceInches()}, unitValue{"kgf m", t.KilogramForceMeters()})
}

// forceText writes a force in the unit of another with one decimal more: it is
// drawn from a line through readings.
func forceText(f units.Force, like sheet.Force) string {
	text := strings.TrimSpace(like.Text)
	if number, unit, ok := strings.Cut(text, " "); ok && !strings.Contains(number, ".") {
		text = number + ".0 " + unit
	}
	return inUnitOf(text, unitValue{"N", f.Newtons()}, unitValue{"kN", f.Kilonewtons()},
		unitValue{"lbf", f.PoundsForce()}, unitValue{"ozf", f.OuncesForce()}, unitValue{"kgf", f.KilogramsForce()})
}

// unitValue is a quantity in one of its units.
type unitValue struct {
	unit string
	x    float64
}

// inUnitOf writes a quantity in the unit of a text with its decimals; the first
// choice holds where the text has none of the units.
func inUnitOf(text string, choices ...unitValue) string {
	text = strings.TrimSpace(text)
	best := choices[0]
	for _, c := range choices[1:] {
		if strings.HasSuffix(text, c.unit) && (len(c.unit) >= len(best.unit) || !strings.HasSuffix(text, best.unit)) {
			best = c
		}
	}
	decimals := 0
	if _, frac, ok := strings.Cut(strings.TrimSpace(strings.TrimSuffix(text, best.unit)), "."); ok {
		decimals = len(frac)
	}
	return strconv.FormatFloat(best.x, 'f', min(decimals, 6), 64) + " " + best.unit
}

func rootSum(a, b units.Length) units.Length {
	return units.Length(math.RoundToEven(math.Hypot(float64(a), float64(b))))
}
