package camtiming

import (
	"cmp"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// Steps are the corrections at hand. A zero field offers nothing.
type Steps struct {
	// Teeth is the number of teeth of the cam sprocket, MostTeeth how many
	// teeth to move it at most.
	Teeth, MostTeeth int
	// Keyways are the changes of advance that the other keyways of the gear
	// make, measured from the one in use.
	Keyways []units.CrankAngle
	// Bushings are the changes of advance of the offset bushings or keys at
	// hand; each may be fitted to advance or to retard.
	Bushings []units.CrankAngle
}

// CorrectionInput says where the cam stands and where it should.
type CorrectionInput struct {
	// Measured is the installed advance.
	Measured units.Measured[units.CrankAngle]
	// Wanted is the advance wanted; for a wanted intake centerline it is the
	// separation minus that (Cam.AdvanceForCenterline).
	Wanted units.CrankAngle
	Steps  Steps
}

// CorrectionStep is one combination of parts.
type CorrectionStep struct {
	Teeth   int              // cam sprocket teeth to move, positive advancing
	Keyway  units.CrankAngle // change by another keyway, 0 for the one in use
	Bushing units.CrankAngle // change by an offset bushing or key, 0 for none
	Shift   units.CrankAngle // the three together
	Result  units.CrankAngle // advance afterward
	Left    units.CrankAngle // Result - Wanted
	Parts   int              // how many of the three are changed
}

// Correction is what brings the cam to the wanted advance.
type Correction struct {
	// Exact is the shift that would do it exactly, positive advancing.
	Exact units.CrankAngle
	// Options are the combinations of steps at hand, nearest first, fewest
	// parts first among equals. The first is the nearest; the one that
	// changes nothing is among them.
	Options []CorrectionStep
	// Worthwhile tells whether the nearest option brings the cam nearer than
	// leaving it does, by more than the measurement's standard uncertainty.
	Worthwhile bool

	input CorrectionInput
}

// Correct answers which of the steps at hand brings the cam nearest to the
// wanted advance: every combination of a tooth shift (n * 720/Teeth), one
// keyway and one offset bushing either way, sorted by what it leaves. Errors:
// an advance beyond one turn, steps out of range (ErrRange), more than 64
// keyways or bushings.
//
// Rows: correct-tooth-36, correct-bushing.
func Correct(in CorrectionInput) (Correction, error) {
	s := in.Steps
	switch {
	case !within(in.Measured.Value, units.CrankTurn):
		return Correction{}, fail("Measured", in.Measured.Value.String(), units.ErrRange, "want an advance within one turn")
	case !in.Measured.Stated && in.Measured.U != 0:
		return Correction{}, fail("Measured.U", in.Measured.U.String(), units.ErrConflict, "an uncertainty is given but not marked as stated")
	case in.Measured.Stated && in.Measured.U < 0:
		return Correction{}, fail("Measured.U", in.Measured.U.String(), units.ErrRange, "want a standard uncertainty, not negative")
	case !within(in.Wanted, units.CrankTurn):
		return Correction{}, fail("Wanted", in.Wanted.String(), units.ErrRange, "want an advance within one turn")
	case s.Teeth < 0 || s.Teeth > 1000:
		return Correction{}, fail("Steps.Teeth", strconv.Itoa(s.Teeth), units.ErrRange, "want 0 to 1000 teeth")
	case s.MostTeeth < 0 || s.MostTeeth > 10:
		return Correction{}, fail("Steps.MostTeeth", strconv.Itoa(s.MostTeeth), units.ErrRange, "want 0 to 10 teeth")
	case len(s.Keyways) > 64 || len(s.Bushings) > 64:
		return Correction{}, fail("Steps", "", units.ErrRange, "want at most 64 keyways and 64 bushings")
	}
	keyways := []units.CrankAngle{0}
	for i, k := range s.Keyways {
		if !within(k, 90*units.CrankDegree) {
			return Correction{}, fail("Steps.Keyways["+strconv.Itoa(i)+"]", k.String(), units.ErrRange, "want a change within 90 crank degrees")
		}
		if !slices.Contains(keyways, k) {
			keyways = append(keyways, k)
		}
	}
	bushings := []units.CrankAngle{0}
	for i, b := range s.Bushings {
		if b <= 0 || b > 90*units.CrankDegree {
			return Correction{}, fail("Steps.Bushings["+strconv.Itoa(i)+"]", b.String(), units.ErrRange, "want a size over 0 and at most 90 crank degrees")
		}
		if !slices.Contains(bushings, b) {
			bushings = append(bushings, b, -b)
		}
	}
	most := s.MostTeeth
	if s.Teeth == 0 {
		most = 0
	}
	c := Correction{Exact: in.Wanted - in.Measured.Value, input: in}
	for n := -most; n <= most; n++ {
		for _, k := range keyways {
			for _, b := range bushings {
				o := CorrectionStep{Teeth: n, Keyway: k, Bushing: b}
				o.Shift = units.CrankAngle(n)*ToothAngle(s.Teeth) + k + b
				o.Result = in.Measured.Value + o.Shift
				o.Left = o.Result - in.Wanted
				for _, used := range [...]bool{n != 0, k != 0, b != 0} {
					if used {
						o.Parts++
					}
				}
				c.Options = append(c.Options, o)
			}
		}
	}
	slices.SortStableFunc(c.Options, func(a, b CorrectionStep) int {
		return cmp.Or(cmp.Compare(a.Left.Abs(), b.Left.Abs()), cmp.Compare(a.Parts, b.Parts))
	})
	c.Worthwhile = c.Options[0].Parts > 0 && c.Exact.Abs()-c.Options[0].Left.Abs() > in.Measured.U
	return c, nil
}

// AdvanceForCenterline returns the advance that puts the intake centerline
// (of the nose) at icl after top dead center: separation.Crank()/2 - icl. A
// centerline beyond one turn is ErrRange.
//
// Rows: centerline-advance.
func (c *Cam) AdvanceForCenterline(icl units.CrankAngle) (units.CrankAngle, error) {
	if err := checkCenterline("icl", icl); err != nil {
		return 0, err
	}
	return c.spec.Separation.Crank()/2 - icl, nil
}

// Working shows the exact shift and the nearest option.
func (c Correction) Working() units.Working {
	src := units.Source{Text: "sum of the steps at hand; a tooth is 720/N crank degrees", Provenance: units.Computed}
	if len(c.Options) == 0 {
		return nil
	}
	o := c.Options[0]
	return units.Working{
		{Symbol: "exact", Formula: "wanted - measured", Numbers: c.input.Wanted.Text(2) + " - " + c.input.Measured.Value.Text(2), Value: c.Exact.Text(2), Source: src},
		{Symbol: "nearest", Formula: "teeth * 720/N + keyway + bushing", Numbers: strconv.Itoa(o.Teeth) + " teeth, " + o.Keyway.Text(1) + ", " + o.Bushing.Text(1), Value: o.Shift.Text(2) + ", leaves " + o.Left.Text(2), Source: src},
	}
}
