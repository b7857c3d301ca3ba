package firingorder

import (
	"slices"

	"example.com/trialfit/units"
)

// posture is how the banks of a layout lie in space, in ticks fine enough for a
// quarter turn and for half a bank angle.
type posture struct {
	turn  int64   // ticks in one turn
	axis  []int64 // of every bank of the configuration, in [0, turn)
	gap   int64   // the widest between neighboring axes; a turn where all axes agree
	after int64   // the axis that follows the widest gap in rotation
	only  bool    // no other gap is as wide
}

func (l *Layout) posture(also ...Turn) (posture, bool) {
	t := 8 * l.turn // at most 2^49
	for _, a := range also {
		d := a.denMinus1 + 1
		f := d / gcd(d, t)
		if t > (1<<61)/f {
			return posture{}, false
		}
		t *= f
	}
	p := posture{turn: t}
	for _, b := range l.config.Banks {
		p.axis = append(p.axis, p.ticks(b.Axis))
	}
	a := slices.Compact(slices.Sorted(slices.Values(p.axis)))
	for i, x := range a {
		prev := a[(i+len(a)-1)%len(a)]
		g := p.mod(x - prev)
		if len(a) == 1 {
			g = t
		}
		if g > p.gap {
			p.gap, p.after, p.only = g, x, true
		} else if g == p.gap {
			p.only = false
		}
	}
	return p, true
}

func (p posture) ticks(t Turn) int64 {
	d := t.denMinus1 + 1
	return p.mod(t.num % d * (p.turn / d))
}

func (p posture) mod(x int64) int64 { x %= p.turn; return (x + p.turn) % p.turn }

// middle returns the direction in the middle of banks that lie within less than
// half a turn, and whether they do.
func (p posture) middle() (int64, bool) {
	spread := p.turn - p.gap
	return p.mod(p.after + spread/2), 2*spread < p.turn
}

// up returns the direction that points up: as stated, or the middle of the banks.
func (p posture) up(stated *Turn) (int64, error) {
	if stated != nil {
		return p.ticks(*stated), nil
	}
	if m, ok := p.middle(); ok {
		return m, nil
	}
	return 0, refuse("Up", "", "want the direction that points up: the banks lie half a turn apart or more", units.ErrMissing)
}
