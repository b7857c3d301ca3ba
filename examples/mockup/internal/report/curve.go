package report

import (
	"fmt"
	"strings"

	"example.com/trialfit/examples/mockup/internal/assess"
	"example.com/trialfit/units"
)

// Curve is the picture of lifter difference against advance, in the
// coordinates of its drawing.
type Curve struct {
	Line         string // points of the curve
	Points       []Mark // the readings
	Target       Mark   // where the cam should stand
	XTicks       []Mark
	YTicks       []Mark
	Left, Bottom float64
	Right, Top   float64
	XLabel       string
	YLabel       string
}

// Mark is a point with its label.
type Mark struct {
	X, Y  float64
	Label string
}

// NewCurve samples the curve around the target and every reading.
func NewCurve(r *assess.Result) Curve {
	const step = 5 * units.CrankDegree
	c := Curve{Left: 70, Right: 690, Top: 15, Bottom: 285, XLabel: "advance, crank degrees", YLabel: "intake minus exhaust, " + r.Style.Unit.Symbol()}
	reach := r.Cam.Reach()
	lo, hi := min(0, r.Target.Advance), max(0, r.Target.Advance)
	for i := range r.Cylinders {
		if k := &r.Cylinders[i]; k.Known {
			lo, hi = min(lo, k.Split.Advance.Value), max(hi, k.Split.Advance.Value)
		}
	}
	// Whole steps, with a margin, inside the reach.
	lo = max((lo/step-2)*step, (reach.Lowest/step)*step)
	hi = min((hi/step+2)*step, (reach.Highest/step)*step)
	if hi <= lo {
		hi = lo + step
	}
	dlo, dhi := r.Cam.At(lo).Difference, r.Cam.At(hi).Difference
	if dhi <= dlo {
		dhi = dlo + 1
	}
	x := func(a units.CrankAngle) float64 {
		return c.Left + (c.Right-c.Left)*float64(a-lo)/float64(hi-lo)
	}
	y := func(d units.Length) float64 {
		return c.Bottom - (c.Bottom-c.Top)*float64(d-dlo)/float64(dhi-dlo)
	}
	const pieces = 100
	var line strings.Builder
	for i := range pieces + 1 {
		a := lo + (hi-lo)/pieces*units.CrankAngle(i)
		fmt.Fprintf(&line, "%.1f,%.1f ", x(a), y(r.Cam.At(a).Difference))
	}
	c.Line = strings.TrimSpace(line.String())
	for i := range r.Cylinders {
		if k := &r.Cylinders[i]; k.Known {
			c.Points = append(c.Points, Mark{x(k.Split.Advance.Value), y(k.Split.Net.Value), fmt.Sprintf("cylinder %d", k.Reading.Cylinder)})
		}
	}
	t := r.Target.Advance
	c.Target = Mark{x(t), y(r.Cam.At(t).Difference), "target " + assess.Signed(t)}
	tick := step
	for (hi-lo)/tick > 12 {
		tick *= 2
	}
	for a := lo / tick * tick; a <= hi; a += tick {
		if a >= lo {
			c.XTicks = append(c.XTicks, Mark{X: x(a), Y: c.Bottom, Label: strings.TrimSuffix(a.Text(0), " crank deg")})
		}
	}
	// Round figures of the unit: 1, 2 or 5 of some decimal.
	rise := roundStep(dhi-dlo, r.Style)
	for d := dlo / rise * rise; d <= dhi; d += rise {
		if d >= dlo {
			text, _, _ := strings.Cut(r.Style.Round(d), " ")
			c.YTicks = append(c.YTicks, Mark{X: c.Left, Y: y(d), Label: text})
		}
	}
	return c
}

// roundStep returns the smallest round step that divides a span into at most
// six pieces.
func roundStep(span units.Length, st assess.Style) units.Length {
	step := st.Unit.Length()
	for range st.Decimals {
		step /= 10
	}
	step = max(step, 1)
	for i := 0; span/step > 6; i++ {
		if i%3 == 1 {
			step = step / 2 * 5 // 2 to 5
		} else {
			step *= 2 // 1 to 2, 5 to 10
		}
	}
	return step
}
