package firingorder

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// CamDirection says which way a cam turns.
type CamDirection uint8

// The directions.
const (
	CamDirectionUnstated CamDirection = iota
	WithCrank                         // chain, belt, or two meshes of gears
	AgainstCrank                      // one mesh of gears
)

// String returns the name of the direction.
func (d CamDirection) String() string {
	return named(d, "not stated", "with the crank", "against the crank")
}

func (d CamDirection) check() error {
	if d == CamDirectionUnstated {
		return refuse("Direction", "", "want WithCrank or AgainstCrank", units.ErrMissing)
	}
	if d > AgainstCrank {
		return refuse("Direction", d.String(), "want WithCrank or AgainstCrank", units.ErrRange)
	}
	return nil
}

// Follower says from which side of the cam the followers of a bank are lifted,
// positive in crank rotation as the bank axes are. Only differences count.
type Follower struct {
	Bank            string
	Intake, Exhaust Turn
}

// CamConfig describes one camshaft.
type CamConfig struct {
	Direction CamDirection
	Banks     []string   // the banks that the cam serves; none is every bank
	Followers []Follower // one for each bank served; none puts all followers in one plane
}

// CamLobe is where the lobes of one cylinder stand on the cam, in cam degrees
// from the like lobe (intake from intake, exhaust from exhaust) of the first
// cylinder of the result, positive in cam rotation, in [0, 360).
type CamLobe struct {
	Cylinder        int
	Lag             units.CamAngle // by which the cylinder fires after the first one
	Intake, Exhaust units.CamAngle

	// Turns of the cam: the intake lobe, exact, and the exhaust lobe from the
	// intake lobe of the first cylinder at no separation.
	intake, apart *big.Rat
}

// CamLobes answers where the lobes stand on a cam at half crank speed, in the
// sequence in which the intake lobes pass a fixed point (those that pass together
// in firing order), beginning with the cylinder that fires first from cylinder 1
// on among those that the cam serves:
//
//	lobe = offset - (f - f1)/2   modulo 360 cam degrees
//
// with f = FiringAngle (crank deg), f1 that of the first cylinder and offset the
// angle from its follower to the follower of the cylinder, positive in cam
// rotation: as Followers give it for a cam that turns WithCrank, negative for one
// that turns AgainstCrank. Followers in one plane have no offset, and the sequence
// is the firing order; with two planes the same order needs another cam for each
// direction. A lobe ground e cam degrees off shifts its cylinder by 2 e crank
// degrees.
//
// Errors: units.ErrMissing for no direction, a bank served without followers, or
// an engine that NewEngine did not make; units.ErrRange for an unknown direction or
// bank; units.ErrConflict for a bank given twice or followers of a bank not
// served; units.ErrImpossible for a two-stroke engine and for a bank without
// cylinders.
//
// Source: geometry of a cam at half speed; 180 degrees of the crank are 90 of the
// cam and companions stand 180 apart (printed). No printed table of lobe angles
// was found.
//
// Rows: lobes-in-line-4, lobes-in-line-6, lobes-v8-valley, lobes-v8-gear,
// lobes-v8-bank, lobe-pitch-4, cam-lag.
func (e *Engine) CamLobes(c CamConfig) ([]CamLobe, error) {
	if err := e.check("engine", 1); err != nil {
		return nil, err
	}
	if e.cycle == TwoStroke {
		return nil, refuse("Cycle", e.cycle.String(), "a two-stroke engine has no cam at half speed", units.ErrImpossible)
	}
	if err := c.Direction.check(); err != nil {
		return nil, err
	}
	follower, err := e.followers(c)
	if err != nil {
		return nil, err
	}
	turn := func(t Turn) *big.Rat {
		r := big.NewRat(t.num, t.denMinus1+1)
		if c.Direction == AgainstCrank {
			r.Neg(r)
		}
		return r
	}
	var lobes []CamLobe
	var first Follower
	var start int64
	for _, cy := range e.order {
		f, served := follower[e.layout.config.Cylinders[cy-1].Bank]
		if !served {
			continue
		}
		if lobes == nil {
			first, start = f, e.fire[cy-1]
		}
		lag := big.NewRat(e.fire[cy-1]-start, 2*e.layout.turn)
		on := func(own, one Turn) *big.Rat { // own follower - one follower - lag
			r := turn(own)
			return r.Sub(r, turn(one)).Sub(r, lag)
		}
		l := CamLobe{Cylinder: cy, intake: fraction(on(f.Intake, first.Intake)), apart: on(f.Exhaust, first.Intake)}
		l.Lag, l.Intake, l.Exhaust = camAngle(lag), camAngle(l.intake), camAngle(fraction(on(f.Exhaust, first.Exhaust)))
		lobes = append(lobes, l)
	}
	if lobes == nil {
		return nil, refuse("Banks", fmt.Sprint(c.Banks), "no cylinder stands on these banks", units.ErrImpossible)
	}
	// The lobe that is farther ahead passes first; the first one passes now.
	behind := func(l CamLobe) *big.Rat { return fraction(new(big.Rat).Neg(l.intake)) }
	slices.SortStableFunc(lobes, func(a, b CamLobe) int { return behind(a).Cmp(behind(b)) })
	return lobes, nil
}

// followers returns the followers of the banks that the cam serves.
func (e *Engine) followers(c CamConfig) (map[string]Follower, error) {
	served := map[string]Follower{}
	known := func(b string) bool {
		return slices.ContainsFunc(e.layout.config.Banks, func(k Bank) bool { return k.Name == b })
	}
	for i, b := range c.Banks {
		field := "Banks[" + strconv.Itoa(i) + "]"
		if !known(b) {
			return nil, refuse(field, b, "the layout has no such bank", units.ErrRange)
		}
		if _, twice := served[b]; twice {
			return nil, refuse(field, b, "given twice", units.ErrConflict)
		}
		served[b] = Follower{}
	}
	if len(c.Banks) == 0 {
		for _, b := range e.layout.config.Banks {
			served[b.Name] = Follower{}
		}
	}
	given := map[string]bool{}
	for i, f := range c.Followers {
		field := "Followers[" + strconv.Itoa(i) + "]"
		if !known(f.Bank) {
			return nil, refuse(field, f.Bank, "the layout has no such bank", units.ErrRange)
		}
		if _, ok := served[f.Bank]; !ok {
			return nil, refuse(field, f.Bank, "the cam does not serve this bank", units.ErrConflict)
		}
		if given[f.Bank] {
			return nil, refuse(field, f.Bank, "given twice", units.ErrConflict)
		}
		given[f.Bank], served[f.Bank] = true, f
	}
	if len(c.Followers) > 0 {
		for _, b := range e.layout.config.Banks {
			if _, ok := served[b.Name]; ok && !given[b.Name] {
				return nil, refuse("Followers", "", "want the followers of bank "+b.Name+", too", units.ErrMissing)
			}
		}
	}
	return served, nil
}

// fraction reduces r to [0, 1) in place.
func fraction(r *big.Rat) *big.Rat {
	floor := new(big.Int).Div(r.Num(), r.Denom()) // Euclidean, the denominator is positive
	return r.Sub(r, new(big.Rat).SetInt(floor))
}

// camAngle rounds a part of a turn of the cam in [0, 1) to nearest.
func camAngle(r *big.Rat) units.CamAngle {
	n := new(big.Int).Mul(r.Num(), big.NewInt(2*int64(units.CamTurn)))
	n.Add(n, r.Denom())
	n.Quo(n, new(big.Int).Lsh(r.Denom(), 1))
	return units.CamAngle(n.Int64()) % units.CamTurn
}

// ExhaustAt answers where the exhaust lobe of the cylinder stands from the
// INTAKE lobe of the first cylinder of the result, positive in cam rotation, in
// [0, 360) cam degrees:
//
//	exhaust = offset - (f - f1)/2 + separation   modulo 360
//
// with offset from the first intake follower to the exhaust follower and the
// separation of the lobes in cam degrees, (ICL + ECL).Cam() of the centerlines,
// over 0 and under 180: the exhaust nose leads the intake nose.
//
// Errors: units.ErrRange for another separation, units.ErrMissing for a lobe that
// CamLobes did not make.
//
// Source: definition of the lobe separation.
//
// Rows: exhaust-lobe-i4-1, exhaust-lobe-i6-5, exhaust-lobe-v8-8.
func (l CamLobe) ExhaustAt(separation units.CamAngle) (units.CamAngle, error) {
	if l.apart == nil {
		return 0, refuse("lobe", "", "want a lobe from CamLobes", units.ErrMissing)
	}
	if separation <= 0 || separation >= units.CamTurn/2 {
		return 0, refuse("separation", separation.String(), "want a lobe separation over 0 and under 180 cam degrees", units.ErrRange)
	}
	r := big.NewRat(int64(separation), int64(units.CamTurn))
	return camAngle(fraction(r.Add(r, l.apart))), nil
}

// Working shows how the place of the lobes follows from the lag.
func (l CamLobe) Working() units.Working {
	if l.apart == nil {
		return nil
	}
	src := units.Source{Text: "geometry of a cam at half speed", Provenance: units.Computed}
	deg := func(a units.CamAngle) string { return a.Text(3) }
	line := func(symbol string, at units.CamAngle) units.Step {
		offset := fraction(big.NewRat(int64(at)+int64(l.Lag), int64(units.CamTurn)))
		return units.Step{Symbol: symbol, Formula: "offset - lag modulo 360", Numbers: deg(camAngle(offset)) + " - " + deg(l.Lag), Value: deg(at), Source: src}
	}
	return units.Working{
		{Symbol: "lag", Formula: "(f - f1)/2", Numbers: number(l.Lag.Crank()) + "/2", Value: deg(l.Lag), Source: src},
		line("intake lobe", l.Intake), line("exhaust lobe", l.Exhaust),
	}
}

// CamRing is the cam ring of one row of a radial engine, one track of lobes for
// all intake or all exhaust valves.
type CamRing struct {
	Lobes        int
	SpeedDivisor int  // the ring turns once in so many turns of the crank
	LobePitch    Turn // from lobe to lobe, part of a turn of the ring
	CylinderStep Turn // from a cylinder to the next to fire, part of a turn, in crank rotation
	RingStep     Turn // by which the ring turns meanwhile, in its own direction
}

// RadialCamRing answers how many lobes the cam ring of a row of n cylinders has
// and how fast it turns:
//
//	against the crank: (n - 1)/2 lobes at 1/(n - 1) of crank speed
//	with the crank:    (n + 1)/2 lobes at 1/(n + 1) of crank speed
//
// so that the lobe pitch 360/lobes is the step of 720/n to the next cylinder plus
// (against) or minus (with) what the ring turns meanwhile. n is odd, from 3 to
// 63, and the order is every second cylinder.
//
// Errors: units.ErrImpossible for an even n, which no even firing of one pin
// allows; units.ErrRange for n outside 3 to 63 or an unknown direction,
// units.ErrMissing for no direction.
//
// Source: the rule is printed; nine cylinders against the crank: 80 + 10 = 90
// degrees is a printed example.
//
// Rows: radial-cam-9a, radial-cam-9b, ring-3-against, ring-5-with, ring-7-with,
// ring-9-with.
func RadialCamRing(cylinders int, d CamDirection) (CamRing, error) {
	if err := d.check(); err != nil {
		return CamRing{}, err
	}
	if cylinders < 3 || cylinders >= maxCylinders {
		return CamRing{}, refuse("cylinders", strconv.Itoa(cylinders), "want 3 to 63 cylinders in the row", units.ErrRange)
	}
	if cylinders%2 == 0 {
		return CamRing{}, refuse("cylinders", strconv.Itoa(cylinders), "a row on one pin fires evenly only with an odd number of cylinders", units.ErrImpossible)
	}
	div := cylinders - 1
	if d == WithCrank {
		div = cylinders + 1
	}
	n, k := int64(cylinders), int64(div)
	return CamRing{
		Lobes: div / 2, SpeedDivisor: div,
		LobePitch: reduced(2, k), CylinderStep: reduced(2, n), RingStep: reduced(2, n*k),
	}, nil
}

// Working shows that the lobe pitch is what the ring must bring.
func (r CamRing) Working() units.Working {
	if r.Lobes == 0 {
		return nil
	}
	src := units.Source{Text: "rule for the cam ring of a radial row, printed", Provenance: units.Verified}
	sign := "+"
	if r.LobePitch.Angle() < r.CylinderStep.Angle() {
		sign = "-"
	}
	return units.Working{
		{Symbol: "lobes", Formula: "speed divisor / 2", Numbers: strconv.Itoa(r.SpeedDivisor) + "/2", Value: strconv.Itoa(r.Lobes), Source: src},
		{Symbol: "lobe pitch", Formula: "step to the next cylinder " + sign + " turn of the ring meanwhile", Numbers: r.CylinderStep.String() + " " + sign + " " + r.RingStep.String(), Value: r.LobePitch.String(), Source: src},
	}
}
