package firingorder

import (
	"fmt"
	"strconv"

	"example.com/trialfit/units"
)

// SparkPair is two cylinders that one coil with two outputs serves.
type SparkPair struct {
	First, Second int              // First fires at At, Second one turn later
	At            units.CrankAngle // firing angle of First, in [0, 360)
}

// Working shows that one spark of the pair is lost: where the second cylinder
// stands while the first fires. Nil for the zero SparkPair.
func (p SparkPair) Working() units.Working {
	if p.First == 0 {
		return nil
	}
	src := units.Source{Text: "a cylinder's cycle angle is engine - f - 360, and 0 is overlap TDC", Provenance: units.Computed}
	one, two := strconv.Itoa(p.First), strconv.Itoa(p.Second)
	second := p.At + units.CrankTurn
	return units.Working{
		{Symbol: "f" + one, Formula: "firing angle", Value: p.At.String(), Source: src},
		{Symbol: "f" + two, Formula: "f" + one + " + 360", Numbers: number(p.At) + " + 360", Value: second.String(), Source: src},
		{Symbol: "cylinder " + two, Formula: "engine - f - 360 while cylinder " + one + " fires, mod 720", Numbers: number(p.At) + " - " + number(second) + " - 360", Value: (p.At - second - units.CrankTurn).Wrap().String() + ", overlap TDC", Source: src},
	}
}

// LostSparkPairs answers which cylinders can share a coil that fires both plugs
// once a turn, one of them in a cylinder at overlap TDC where the spark is lost:
// the companions, in the order in which they fire. It never pairs by halves of
// the order: where a cylinder has no companion the other spark would fall into
// some other part of its cycle, and the answer is a refusal.
//
//	f(second) = f(first) + 360
//
// with f = FiringAngle (crank deg), compared as fractions.
//
// Errors: units.ErrImpossible names the first cylinder of the order without a
// companion, or says that a two-stroke engine has no overlap TDC;
// units.ErrMissing for an engine that NewEngine did not make.
//
// Source: Denton, Automobile Mechanical and Electrical Systems, p. 107, for the
// pairs of the four and the six; definition.
//
// Rows: spark-i4, spark-i6, spark-v8, spark-v2-45, spark-i5.
func (e *Engine) LostSparkPairs() ([]SparkPair, error) {
	if err := e.check("engine", 1); err != nil {
		return nil, err
	}
	if e.cycle == TwoStroke {
		return nil, refuse("Cycle", e.cycle.String(), "every cylinder fires at every TDC: no spark falls into an overlap", units.ErrImpossible)
	}
	pairs := make([]SparkPair, 0, len(e.order)/2)
	for _, c := range e.order {
		k := e.companion[c-1]
		if k == 0 {
			return nil, refuse("cylinder", strconv.Itoa(c), "has no companion: no cylinder is at overlap TDC while it fires", units.ErrImpossible)
		}
		if e.fire[c-1] < e.layout.turn {
			pairs = append(pairs, SparkPair{c, k, e.angle[c-1]})
		}
	}
	return pairs, nil
}

// Terminal is a terminal of a distributor cap.
type Terminal struct {
	Cylinder int
	// FromOne is the part of a turn of the cap from the terminal of cylinder 1
	// in the sense in which the rotor turns, Clockwise the same counted
	// clockwise as one looks onto the cap, each exact and in [0, 1).
	FromOne, Clockwise Turn
	Fires              units.CrankAngle // firing angle of the cylinder
}

// Distributor is how the leads go round a distributor cap.
type Distributor struct {
	SpeedRatio float64    // turns of the rotor to one of the crank (ratio): 0.5, or 1 for a two-stroke
	Terminals  []Terminal // as the rotor reaches them, from cylinder 1
}

// Distributor answers in which sequence and how far apart the terminals of a cap
// stand for a rotor that turns in the given sense, as one looks onto the cap from
// outside: in firing order in the sense of the rotor, at
//
//	from one  = f/720                four-stroke, rotor at half crank speed
//	from one  = f/360                two-stroke, rotor at crank speed
//	clockwise = from one, or 1 - from one for a rotor that turns counter-clockwise
//
// with f = FiringAngle (crank deg), as parts of a turn of the cap. An engine that
// fires unevenly has uneven terminals. One terminal to a cylinder; the plugs of
// an engine with two to a cylinder need a cap each.
//
// Errors: units.ErrMissing for no stated sense or an engine that NewEngine did
// not make, units.ErrRange for an unknown sense.
//
// Source: TM 10-3930-644-14&P prints the half speed; terminals 90 degrees apart
// for four cylinders are printed, the sequence in the sense of rotor rotation is
// common practice.
//
// Rows: distributor-speed, distributor-pitch-4, distributor-i6-clockwise,
// distributor-i6-counter, distributor-v2-45, distributor-two-stroke.
func (e *Engine) Distributor(rotor Rotation) (Distributor, error) {
	if err := e.check("engine", 1); err != nil {
		return Distributor{}, err
	}
	switch rotor {
	case Clockwise, CounterClockwise:
	case RotationUnstated:
		return Distributor{}, refuse("rotor", "", "want the sense in which the rotor turns, looking onto the cap", units.ErrMissing)
	default:
		return Distributor{}, refuse("rotor", rotor.String(), "want Clockwise or CounterClockwise", units.ErrRange)
	}
	d := Distributor{SpeedRatio: 0.5, Terminals: make([]Terminal, len(e.order))}
	whole := 2 * e.layout.turn
	if e.cycle == TwoStroke {
		d.SpeedRatio, whole = 1, e.layout.turn
	}
	for i, c := range e.order {
		f := e.fire[c-1]
		t := Terminal{Cylinder: c, FromOne: reduced(f, whole), Fires: e.angle[c-1]}
		t.Clockwise = t.FromOne
		if rotor == CounterClockwise {
			t.Clockwise = reduced((whole-f)%whole, whole)
		}
		d.Terminals[i] = t
	}
	return d, nil
}

// Working shows for each terminal how its place on the cap follows from the
// firing angle.
func (d Distributor) Working() units.Working {
	if len(d.Terminals) == 0 {
		return nil
	}
	src := units.Source{Text: "the rotor turns with the crank at a fixed ratio", Provenance: units.Computed}
	cycle := "720"
	if d.SpeedRatio > 0.75 { // a ratio of 1: two-stroke
		cycle = "360"
	}
	w := make(units.Working, len(d.Terminals))
	for i, t := range d.Terminals {
		w[i] = units.Step{
			Symbol: "terminal " + strconv.Itoa(t.Cylinder), Formula: "f/" + cycle + " of a turn of the cap in the sense of the rotor",
			Numbers: number(t.Fires) + "/" + cycle, Value: fmt.Sprintf("%s, clockwise %s", t.FromOne, t.Clockwise), Source: src,
		}
	}
	return w
}
