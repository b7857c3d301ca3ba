package sheet

import "example.com/trialfit/units"

// Inapplicable is a group of checks that this engine does not need, and why.
type Inapplicable struct {
	// The group, by the name that reports give it.
	Group GroupWord `json:"group"`
	// Why it does not apply.
	Reason string `json:"reason"`
}

// TwistSuspect is how much a shaft may be twisted over a length.
type TwistSuspect struct {
	// Standard deviation of the change of advance, at the crank.
	Angle units.CrankAngle `json:"angle"`
	// The length along the camshaft over which it builds up.
	Over units.Reading `json:"over"`
}

// ValveLifts are the greatest lifts as read at the valves, with the running
// lash set.
type ValveLifts struct {
	// Instrument of the readings.
	Instrument string `json:"instrument"`
	// How far a valve may go beyond its lift at speed, with travel_limits.
	OverTravel *units.Reading `json:"over_travel,omitempty"`
	// Limits of the lift of an intake valve.
	Intake Limits `json:"intake"`
	// Limits of the lift of an exhaust valve.
	Exhaust Limits `json:"exhaust"`
	// One reading per valve.
	Readings []ValveReading `json:"readings"`
}

// ValveReading is a length read at one valve.
type ValveReading struct {
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Which of its valves.
	Valve ValveWord `json:"valve"`
	// The reading.
	Reading units.Reading `json:"reading"`
}

// ValveSprings are the springs of all valves: heights as fitted, forces from a
// tester, and limits. They need valve_lifts.
type ValveSprings struct {
	// Instrument of all heights.
	Instrument string `json:"instrument"`
	// Standard uncertainty of one force reading; without it the forces prove
	// nothing except by simple acceptance.
	ForceUncertainty *Force `json:"force_uncertainty,omitempty"`
	// A flat damper rides between the coils.
	Damper bool `json:"damper,omitempty"`
	// Limits for intake valves.
	Intake SpringLimits `json:"intake"`
	// Limits for exhaust valves.
	Exhaust SpringLimits `json:"exhaust"`
	// Spring shims at hand, to correct a seat force.
	Shims []Shim `json:"shims,omitempty"`
	// One entry per valve.
	Valves []SpringNest `json:"valves"`
}

// SpringLimits are the limits of the springs of one kind of valve.
type SpringLimits struct {
	// Force with the valve closed.
	Seat ForceLimits `json:"seat"`
	// Force at full lift.
	Open ForceLimits `json:"open"`
	// Room that every spring keeps at full lift until its coils are solid.
	CoilBind Limits `json:"coil_bind"`
}

// ForceLimits are the limits of a force: one or both, and who says so.
type ForceLimits struct {
	// Smallest force allowed.
	Min *Force `json:"min,omitempty"`
	// Largest force allowed.
	Max *Force `json:"max,omitempty"`
	// Who says so.
	Source string `json:"source"`
}

// Shim is a kind of spring shim at hand.
type Shim struct {
	// Its thickness, as measured.
	Thickness units.Reading `json:"thickness"`
	// How many there are.
	Count int `json:"count"`
}

// SpringNest are the springs of one valve, one inside the other.
type SpringNest struct {
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Which of its valves.
	Valve ValveWord `json:"valve"`
	// Installed height as fitted, valve closed.
	InstalledHeight units.Reading `json:"installed_height"`
	// The springs, one or more.
	Springs []Spring `json:"springs"`
}

// Spring is one spring as read on a tester.
type Spring struct {
	// Which spring of the nest.
	Name string `json:"name"`
	// How much lower it stands than the installed height.
	Step *units.Reading `json:"step,omitempty"`
	// Height with all coils closed; without it coil bind is not proved.
	Solid *units.Reading `json:"solid,omitempty"`
	// Forces at two heights or more.
	Loads []SpringLoad `json:"loads"`
}

// SpringLoad is one reading of a spring tester.
type SpringLoad struct {
	// Height of the spring.
	Height units.Reading `json:"height"`
	// Force that it gives there.
	Force Force `json:"force"`
}

// TravelLimits are the places where a part of the valve gear may run into
// another. They need valve_lifts. A place without limits is held against the
// trade's rule of thumb, which proves nothing.
type TravelLimits struct {
	// Instrument of the gaps.
	Instrument string `json:"instrument"`
	// Limits of the gap from retainer to guide.
	RetainerToGuide *Limits `json:"retainer_to_guide,omitempty"`
	// Limits of the gap from retainer to seal.
	RetainerToSeal *Limits `json:"retainer_to_seal,omitempty"`
	// Limits of the gap from retainer to rocker.
	RetainerToRocker *Limits `json:"retainer_to_rocker,omitempty"`
	// One entry per valve.
	Valves []TravelGaps `json:"valves"`
}

// TravelGaps are the gaps at one valve; at least one.
type TravelGaps struct {
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Which of its valves.
	Valve ValveWord `json:"valve"`
	// Underside of the retainer to the top of the guide, valve closed.
	RetainerToGuide *units.Reading `json:"retainer_to_guide,omitempty"`
	// Underside of the retainer to the top of the seal, valve closed.
	RetainerToSeal *units.Reading `json:"retainer_to_seal,omitempty"`
	// Retainer to the underside of the rocker, at two lifts or more, the first
	// of them none.
	RetainerToRocker []GapAtLift `json:"retainer_to_rocker,omitempty"`
}

// GapAtLift is a gap at one valve lift.
type GapAtLift struct {
	// Lift of the valve.
	Lift units.Reading `json:"lift"`
	// The gap there.
	Gap units.Reading `json:"gap"`
}

// Lash is the lash of solid lifters as read.
type Lash struct {
	// Instrument of the readings.
	Instrument string `json:"instrument"`
	// Whether the lash holds cold or hot.
	State EngineStateWord `json:"state"`
	// How a valve is adjusted, to tell a correction in turns.
	Adjuster *Adjuster `json:"adjuster,omitempty"`
	// The lash of an intake valve.
	Intake LashSetting `json:"intake"`
	// The lash of an exhaust valve.
	Exhaust LashSetting `json:"exhaust"`
	// One reading per valve.
	Readings []ValveReading `json:"readings"`
}

// LashSetting is what a lash is set to.
type LashSetting struct {
	// The lash wanted, at the valve.
	Lash units.Reading `json:"lash"`
	// Its limits.
	Limits Limits `json:"limits"`
}

// Adjuster is the adjuster of a rocker: a pitch or a number of threads per inch.
type Adjuster struct {
	// Where it acts.
	Place AdjusterWord `json:"place"`
	// Pitch of its thread.
	Pitch *units.Reading `json:"pitch,omitempty"`
	// Threads per inch.
	PerInch int `json:"threads_per_inch,omitempty"`
	// Rocker ratio near the closed valve, a bare number.
	RockerRatio *float64 `json:"rocker_ratio,omitempty"`
}

// Preload is the preload of hydraulic lifters as set.
type Preload struct {
	// The adjuster.
	Adjuster Adjuster `json:"adjuster"`
	// Standard uncertainty of the turns, as a share of one turn, a bare number.
	TurnsUncertainty *float64 `json:"turns_uncertainty,omitempty"`
	// Instrument of the plunger's travel.
	Instrument string `json:"instrument"`
	// How far the plunger goes from its stop to the bottom.
	PlungerTravel units.Reading `json:"plunger_travel"`
	// Limits of the preload.
	Limits Limits `json:"limits"`
	// One entry per valve.
	Valves []PreloadTurns `json:"valves"`
}

// PreloadTurns is how far an adjuster was turned from zero lash.
type PreloadTurns struct {
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Which of its valves.
	Valve ValveWord `json:"valve"`
	// Whole turns.
	Whole int `json:"whole,omitempty"`
	// Parts of a turn beyond them.
	Parts int `json:"parts,omitempty"`
	// How many parts make a turn.
	Of int `json:"of,omitempty"`
}

// LifterFits are lifters and their bores as read.
type LifterFits struct {
	// Instrument of the bores.
	BoreInstrument string `json:"bore_instrument"`
	// Instrument of the bodies.
	BodyInstrument string `json:"body_instrument"`
	// Limits of the clearance.
	Limits Limits `json:"limits"`
	// One entry per lifter.
	Lifters []LifterFit `json:"lifters"`
}

// LifterFit is one lifter in its bore.
type LifterFit struct {
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Which valve it works.
	Valve ValveWord `json:"valve"`
	// Diameters of the bore, at as many places as were read.
	Bore []units.Reading `json:"bore"`
	// Diameters of the body, likewise.
	Body []units.Reading `json:"body"`
}

// RingGroove is a piston ring in its groove.
type RingGroove struct {
	// Which ring of the cylinder.
	Name string `json:"name"`
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Instrument of all readings here.
	Instrument string `json:"instrument"`
	// Width of the groove, along the bore.
	GrooveWidth units.Reading `json:"groove_width"`
	// Width of the ring, along the bore.
	RingWidth units.Reading `json:"ring_width"`
	// Limits of the side clearance, both sides together.
	Side Limits `json:"side"`
	// Back clearance, if it is to be judged.
	Back *RingBack `json:"back,omitempty"`
}

// RingBack is the room behind a ring.
type RingBack struct {
	// Diameter of the bore.
	Bore units.Reading `json:"bore"`
	// Diameter of the floor of the groove.
	Floor units.Reading `json:"groove_floor"`
	// Thickness of the ring, along the radius.
	Thickness units.Reading `json:"ring_thickness"`
	// Limits of the back clearance.
	Limits Limits `json:"limits"`
}

// Deck is how deep the pistons stand at top dead center.
type Deck struct {
	// Dial indicator, zeroed on the deck.
	Instrument string `json:"instrument"`
	// How far the readings on the thrust side lie from the pin's axis.
	ThrustOffset units.Reading `json:"thrust_offset"`
	// The same on the opposite side.
	OppositeOffset units.Reading `json:"opposite_offset"`
	// Limits of the height, positive below the deck.
	Limits Limits `json:"limits"`
	// One entry per cylinder.
	Readings []DeckReading `json:"readings"`
}

// DeckReading is one piston at top dead center, positive below the deck.
type DeckReading struct {
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Readings on the thrust side.
	Thrust []units.Reading `json:"thrust"`
	// Readings on the opposite side.
	Opposite []units.Reading `json:"opposite"`
}

// HeadGasket is the head gasket that will be fitted.
type HeadGasket struct {
	// Instrument of thickness and bore.
	Instrument string `json:"instrument"`
	// Thickness, compressed.
	Thickness units.Reading `json:"thickness"`
	// Bore of its fire ring.
	Bore units.Reading `json:"bore"`
	// Thicknesses, compressed, of the other gaskets at hand.
	AtHand []units.Reading `json:"at_hand,omitempty"`
}

// Compression is the volume over each piston and how near it comes to the head.
// It needs engine.stroke, deck and head_gasket.
type Compression struct {
	// Instrument of the bores.
	Instrument string `json:"instrument"`
	// Standard uncertainty of one volume; without it the ratio proves nothing
	// except by simple acceptance.
	VolumeUncertainty *Volume `json:"volume_uncertainty,omitempty"`
	// How much nearer to the head a piston comes hot and at speed.
	Growth *units.Reading `json:"growth,omitempty"`
	// Limits of the compression ratio.
	Ratio RatioLimits `json:"ratio"`
	// Limits of the distance from piston to head, less growth.
	PistonToHead Limits `json:"piston_to_head"`
	// One entry per cylinder.
	Cylinders []Chamber `json:"cylinders"`
}

// RatioLimits are the limits of a compression ratio, bare numbers: one or both.
type RatioLimits struct {
	// Smallest ratio allowed.
	Min *float64 `json:"min,omitempty"`
	// Largest ratio allowed.
	Max *float64 `json:"max,omitempty"`
	// Who says so.
	Source string `json:"source"`
}

// Chamber is what lies over one piston.
type Chamber struct {
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Diameter of the bore.
	Bore units.Reading `json:"bore"`
	// Volume of the chamber in the head, by burette, plug and valves in place.
	Head Volume `json:"head"`
	// What the piston's crown adds: positive for a dish and valve pockets,
	// negative for a dome. A flat crown if left out.
	Crown *Volume `json:"crown,omitempty"`
}

// ValveToPiston is how near the valves come to the pistons. It needs
// engine.stroke, engine.rod, deck and head_gasket, and from the card lobe lift
// and rocker ratio.
type ValveToPiston struct {
	// The intake valves.
	Intake *ValveOverPiston `json:"intake,omitempty"`
	// The exhaust valves.
	Exhaust *ValveOverPiston `json:"exhaust,omitempty"`
	// Gaps measured by clay or over a checking spring.
	Measured []MeasuredGap `json:"measured,omitempty"`
}

// ValveOverPiston is what the valves of one kind meet in the piston.
type ValveOverPiston struct {
	// Instrument of recess and pocket.
	Instrument string `json:"instrument"`
	// What the valve meets, and along which line the gap is measured.
	Face FaceWord `json:"face"`
	// Angle of the valve to its bore.
	Lean PlaneAngle `json:"lean"`
	// How far the closed valve stands up in the head above its face, along the
	// bore, negative where it hangs out of it.
	Recess units.Reading `json:"recess"`
	// Depth of the pocket under the piston's flat, along the bore; 0 for none.
	Pocket units.Reading `json:"pocket"`
	// Limits of the least gap; without them it is held against the trade's rule
	// of thumb, which proves nothing.
	Limits *Limits `json:"limits,omitempty"`
}

// MeasuredGap is a gap measured between valve and piston, and what differed
// then from the engine as it will run.
type MeasuredGap struct {
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Which of its valves.
	Valve ValveWord `json:"valve"`
	// How it was measured.
	Method string `json:"method"`
	// Instrument of the readings here.
	Instrument string `json:"instrument"`
	// The gap, along the line that the face names.
	Reading units.Reading `json:"reading"`
	// Lash at the valve during the check; none if left out.
	LashAtCheck *units.Reading `json:"lash_at_check,omitempty"`
	// Gasket, compressed, during the check; none if left out.
	GasketAtCheck *units.Reading `json:"gasket_at_check,omitempty"`
}

// OilFilm ranks clearances by the oil film that they leave under a steady load.
// It proves nothing for an engine, whose load pulsates, and is never missing.
type OilFilm struct {
	// The oil.
	Oil Oil `json:"oil"`
	// Temperature of the film.
	Temperature Temperature `json:"temperature"`
	// Speed of the shaft.
	Speed Speed `json:"speed"`
	// The bearings to rank, by their names under bearings.
	Bearings []FilmBearing `json:"bearings"`
}

// Oil is what the data sheet of an oil says.
type Oil struct {
	// Name or grade.
	Name string `json:"name"`
	// Kinematic viscosity at the lower temperature.
	Cold OilPoint `json:"cold"`
	// Kinematic viscosity at the higher temperature.
	Hot OilPoint `json:"hot"`
	// Density at the temperature of the film.
	Density Density `json:"density"`
}

// OilPoint is one line of an oil's data sheet.
type OilPoint struct {
	// The temperature.
	Temperature Temperature `json:"temperature"`
	// The kinematic viscosity there.
	Viscosity KinematicViscosity `json:"viscosity"`
}

// FilmBearing is a bearing under a steady load.
type FilmBearing struct {
	// Its name under bearings, where its readings and limits stand.
	Name string `json:"name"`
	// Length along the shaft; of one land where a groove runs round the middle.
	Length units.Reading `json:"length"`
	// Steady load; that of one land likewise.
	Load Force `json:"load"`
}
