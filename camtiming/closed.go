package camtiming

import (
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// ClosedWindows answers through which part of its cycle each valve of a cylinder
// is certainly down on the base circle, for the adjustment plans of package
// firingorder, in cycle angles (0 is overlap TDC, -360 firing TDC):
//
//	intake  closed from  180 + IVC + ramp  to  -IVO - ramp
//	exhaust closed from  EVC + ramp        to  -180 - EVO - ramp
//
// each counted forward in rotation, the ends reduced to [-360, 360). ramp (crank
// deg) is how far the lobe still lifts outside the events: at a checking lift of
// 0.050 in or 1 mm it is large, the quieting ramp on either side of the events as
// set with the running lash. 0 takes the events as the ends of the lobe.
//
// Valid for events as Timing takes them. Errors: units.ErrRange for a duration
// outside 0 to 720, a negative ramp or one that leaves no window.
//
// Source: definition of the events; DOE-HDBK-1018/1-93 prints events that leave the
// windows of the rows.
//
// Rows: closed-doe-intake, closed-doe-exhaust, closed-doe-ramp,
// closed-late-intake.
func (e Events) ClosedWindows(ramp units.CrankAngle) (firingorder.ClosedValves, error) {
	if err := e.validate(); err != nil {
		return firingorder.ClosedValves{}, err
	}
	longest := max(e.IVO+e.IVC, e.EVO+e.EVC) + units.CrankTurn/2
	if ramp < 0 || ramp >= units.CrankTurn || longest+2*ramp >= units.CrankCycle {
		return firingorder.ClosedValves{}, fail("ramp", ramp.String(), units.ErrRange, "want 0 or more, and less than leaves no window beside a duration of "+longest.String())
	}
	return firingorder.ClosedValves{
		Intake:  firingorder.Window{From: (units.CrankTurn/2 + e.IVC + ramp).Wrap(), To: (-e.IVO - ramp).Wrap()},
		Exhaust: firingorder.Window{From: (e.EVC + ramp).Wrap(), To: (-units.CrankTurn/2 - e.EVO - ramp).Wrap()},
	}, nil
}
