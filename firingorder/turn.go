package firingorder

import (
	"fmt"
	"math/big"
	"strconv"

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

// Fraction returns num/den of a turn exactly; a cylinder of a seven-cylinder
// row stands Fraction(1, 7) from the next. The denominator is 1 to 360e9, the
// magnitude less than 1000 turns; anything else is units.ErrRange.
//
// Source: a turn is 360 degrees, by definition.
//
// Rows: radial7-intervals, radial14-intervals.
func Fraction(num, den int64) (Turn, error) {
	if den < 1 || den > maxDenominator {
		return Turn{}, refuse("den", strconv.FormatInt(den, 10), "want a denominator from 1 to 360e9", units.ErrRange)
	}
	if num/den >= maxTurns || num/den <= -maxTurns {
		return Turn{}, refuse("num", strconv.FormatInt(num, 10), "want less than 1000 turns", units.ErrRange)
	}
	return reduced(num, den), nil
}

// TurnOf returns the exact fraction of a turn that a crank angle is:
//
//	turn = a / 360
//
// with a (crank deg) under 1000 turns in magnitude; more is units.ErrRange.
//
// Source: a turn is 360 degrees, by definition.
//
// Rows: turn-1-7, turn-m72.
func TurnOf(a units.CrankAngle) (Turn, error) { return Fraction(int64(a), int64(units.CrankTurn)) }

// Degrees returns a whole number of crank degrees as a fraction of a turn. The
// magnitude is less than 1000 turns; more is units.ErrRange.
//
// Source: a turn is 360 degrees, by definition.
//
// Rows: v8-xplane-alt-trail-1-intervals, v6-72-bw-intervals.
func Degrees(d int64) (Turn, error) { return Fraction(d, 360) }

// Angle returns the fraction as a crank angle, 360 num/den, to the nearest
// 1e-9 degree, ties away from zero.
//
// Source: a turn is 360 degrees, by definition.
//
// Rows: turn-1-7, turn-m72.
func (t Turn) Angle() units.CrankAngle { return angleOf(t.num, t.denMinus1+1) }

// plus returns the sum, the whole turns of both left out, and whether it fits.
func (t Turn) plus(u Turn) (Turn, bool) {
	td, ud := t.denMinus1+1, u.denMinus1+1
	if ud > maxDenominator/td {
		return Turn{}, false
	}
	return reduced(t.num%td*ud+u.num%ud*td, td*ud), true
}

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

// named returns the name that stands at the place k of an enumeration.
func named[E ~uint8](k E, names ...string) string {
	if int(k) < len(names) {
		return names[k]
	}
	return strconv.Itoa(int(k))
}
