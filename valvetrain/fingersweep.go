package valvetrain

import (
	"math"

	"example.com/trialfit/units"
)

// FingerSweep is how the contact of a finger wanders over the stem's tip, and how
// its lever changes.
type FingerSweep struct {
	// Seat is the finger as the valve leaves its seat, Mid at half of the valve's
	// full lift on the opening side, Full at full lift.
	Seat, Mid, Full FingerState
	// Innermost and Outermost bound the contact from the stem's axis, positive
	// away from the pivot; Width is between them and Middle halfway.
	Innermost, Outermost, Width, Middle units.Length
	Path                                SweepPath
	// TurnsAt is the valve lift at which the contact turns back.
	TurnsAt units.Optional[units.Length]
}

// Sweep answers how the contact of a finger wanders over the stem's tip while the
// valve opens, and what its lever is at the seat, at half and at full lift (At).
// With b = TipArm, V and P the places of the stem's tip and of the pivot, d the
// direction of the opening valve, n square to it and rho = TipRadius:
//
//	contact = sqrt(b^2 - (d.(V - P) - rho + lift)^2) - n.(V - P)
//
// whichever way the lift comes about, so that both flanks of the lobe sweep the
// same; it is farthest out where the tip arm is square to the stem. The zero
// FingerCurve is ErrMissing.
//
// Source: Pythagoras.
//
// Rows: finger-sweep-width, finger-sweep-middle, finger-sweep-outermost,
// finger-sweep-turns, finger-sweep-path, finger-sweep-mid, finger-sweep-lever-full.
func (c *FingerCurve) Sweep() (FingerSweep, error) {
	if !c.made() {
		return FingerSweep{}, fail("FingerCurve", "", units.ErrMissing, "want a curve of NewFingerCurve")
	}
	var s FingerSweep
	var err error
	for _, v := range [...]struct {
		at    units.CamAngle
		state *FingerState
	}{{c.from, &s.Seat}, {c.half(), &s.Mid}, {0, &s.Full}} {
		if *v.state, err = c.At(v.at); err != nil {
			return FingerSweep{}, err
		}
	}
	s.Innermost, s.Outermost = min(s.Seat.Contact, s.Full.Contact), max(s.Seat.Contact, s.Full.Contact)
	s.Path = GoesOut
	switch square := count(-c.face); {
	case square > 0 && square < c.most:
		s.Path, s.TurnsAt = GoesOutAndIn, units.Some(square)
		s.Outermost = count(math.Sqrt(c.tip2) - c.axis)
	case s.Full.Contact < s.Seat.Contact:
		s.Path = GoesIn
	}
	s.Width = s.Outermost - s.Innermost
	s.Middle = s.Innermost + s.Width/2
	return s, nil
}

// half returns where the valve is half open on its way up.
func (c *FingerCurve) half() units.CamAngle {
	lo, hi, half := c.from, units.CamAngle(0), c.most/2
	for hi-lo > 1 {
		if mid := lo + (hi-lo)/2; c.Lift(mid) < half {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// Working returns the derivation.
func (s FingerSweep) Working() units.Working {
	if s.Path == 0 {
		return nil
	}
	w := units.Working{}
	for _, v := range [...]struct {
		name  string
		state FingerState
	}{{"seat", s.Seat}, {"half lift", s.Mid}, {"full lift", s.Full}} {
		w = append(w, units.Step{
			Symbol: v.name, Formula: "sqrt(b^2 - (d.(V - P) - rho + lift)^2) - n.(V - P)", Numbers: "lift " + num(v.state.Lift), Source: planar,
			Value: "contact " + num(v.state.Contact) + ", lever " + plain(v.state.Lever) + ", turned " + plain(math.Round(v.state.Turn.Degrees()*1e3)/1e3) + " deg",
		})
	}
	return append(w, units.Step{Symbol: "width", Formula: "outermost - innermost", Numbers: num(s.Outermost) + " - (" + num(s.Innermost) + ")", Value: text(s.Width) + ", " + s.Path.String(), Source: planar})
}
