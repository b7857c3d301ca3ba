package firingorder

import (
	"fmt"
	"math/big"

	"example.com/trialfit/units"
)

// Turn is an exact fraction of a crank turn in lowest terms, so that equal
// fractions compare equal with ==. The zero value is no rotation.
type Turn struct{ num, denMinus1 int64 }

const (
	maxDenominator = int64(units.CrankTurn)
	maxTurns       = 1000
)

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return max(a, -a)
}

func reduced(num, den int64) Turn {
	g := gcd(num, den)
	return Turn{num / g, den/g - 1}
}

// Fraction returns num/den of a turn; 360/7 degrees is Fraction(1, 7). The
// denominator is 1 to 360e9 and the magnitude at most 1000 turns.
//
// Rows: v8-xplane-alt-trail-1-intervals, radial14-intervals.
func Fraction(num, den int64) (Turn, error) {
	if den < 1 || den > maxDenominator {
		return Turn{}, refuse("den", fmt.Sprint(den), "want a denominator from 1 to 360e9", units.ErrRange)
	}
	if num/den >= maxTurns || num/den <= -maxTurns {
		return Turn{}, refuse("num", fmt.Sprint(num), "want less than 1000 turns", units.ErrRange)
	}
	return reduced(num, den), nil
}

// TurnOf returns the exact fraction that a crank angle is; less than 1000 turns.
func TurnOf(a units.CrankAngle) (Turn, error) { return Fraction(int64(a), int64(units.CrankTurn)) }

// Degrees returns a whole number of crank degrees, less than 1000 turns.
//
// Rows: v8-xplane-alt-trail-1-intervals, radial14-intervals.
func Degrees(d int64) (Turn, error) { return Fraction(d, 360) }

// Angle returns the fraction as a crank angle, to the nearest 1e-9 degree.
func (t Turn) Angle() units.CrankAngle { return angleOf(t.num, t.denMinus1+1) }

// String returns the fraction, "1/7 turn".
func (t Turn) String() string { return fmt.Sprintf("%d/%d turn", t.num, t.denMinus1+1) }

// angleOf returns num/den turns to nearest, ties away from zero.
func angleOf(num, den int64) units.CrankAngle {
	n := new(big.Int).Mul(big.NewInt(num), big.NewInt(2*int64(units.CrankTurn)))
	d := big.NewInt(den)
	if num < 0 {
		n.Sub(n, d)
	} else {
		n.Add(n, d)
	}
	return units.CrankAngle(n.Quo(n, d.Mul(d, big.NewInt(2))).Int64())
}

func refuse(field, value, reason string, kind error) error {
	return &units.InputError{Package: "firingorder", Field: field, Value: value, Reason: reason, Kind: kind}
}
