package camtiming

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// VernierInput asks for a shift of the cam by moving teeth in the meshes of a
// drive.
type VernierInput struct {
	Drive Drive
	// Wanted is the shift, positive advancing.
	Wanted units.CrankAngle
	// Most is how many teeth each mesh may be moved either way, 1 to 100.
	Most int
}

// ToothMove is a move of teeth and what it does. A move is positive in the sense
// that turns the cam forward against the crank, so advances it.
type ToothMove struct {
	CrankMesh, CamMesh int
	Shift              units.CrankAngle // of both together, in [-360, 360)
	Left               units.CrankAngle // Shift - Wanted, in [-360, 360)
}

// Vernier answers which moves of teeth in the two meshes of a drive bring a cam
// nearest to a wanted shift: all moves of up to Most teeth a mesh either way,
//
//	Shift = a 360/CrankTeeth + b 720/CamTeeth
//
// with a = CrankMesh and b = CamMesh, nearest first, and among equals the fewest
// teeth. An intermediate shaft at half speed or any other makes the two steps
// differ, so that one against the other is finer than either; without one the
// two meshes are the same and only CamMesh is moved. The move that changes
// nothing is among them. A tooth moved the wrong way doubles the error: check with
// the degree wheel. Errors: those of Drive.Teeth, a shift beyond one turn, Most
// outside 1 to 100 (ErrRange).
//
// Source: count of teeth.
//
// Rows: vernier-half-speed, vernier-half-speed-left, vernier-third, vernier-direct.
func Vernier(in VernierInput) ([]ToothMove, error) {
	if _, err := in.Drive.Teeth(); err != nil {
		return nil, inField("Drive", err)
	}
	if !within(in.Wanted, units.CrankTurn) {
		return nil, fail("Wanted", in.Wanted.String(), units.ErrRange, "want a shift within one turn")
	}
	if in.Most < 1 || in.Most > 100 {
		return nil, fail("Most", strconv.Itoa(in.Most), units.ErrRange, "want 1 to 100 teeth")
	}
	first := in.Most
	if in.Drive.DrivenTeeth == 0 {
		first = 0
	}
	moves := make([]ToothMove, 0, (2*first+1)*(2*in.Most+1))
	c, k := int64(in.Drive.CrankTeeth), int64(in.Drive.CamTeeth)
	for a := -first; a <= first; a++ {
		for b := -in.Most; b <= in.Most; b++ {
			// 360 (a k + 2 b c)/(c k), whole turns of the cycle taken off before
			// dividing, so that equal shifts come out equal.
			n := (int64(a)*k + 2*int64(b)*c) % (2 * c * k)
			if n < 0 {
				n += 2 * c * k
			}
			shift := crankAngle(360 * float64(n) / float64(c*k)).Wrap()
			moves = append(moves, ToothMove{CrankMesh: a, CamMesh: b, Shift: shift, Left: (shift - in.Wanted).Wrap()})
		}
	}
	teeth := func(m ToothMove) int {
		return int(math.Abs(float64(m.CrankMesh)) + math.Abs(float64(m.CamMesh)))
	}
	slices.SortFunc(moves, func(p, q ToothMove) int {
		return cmp.Or(cmp.Compare(p.Left.Abs(), q.Left.Abs()), teeth(p)-teeth(q), p.CrankMesh-q.CrankMesh, p.CamMesh-q.CamMesh)
	})
	return moves, nil
}
