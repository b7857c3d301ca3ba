// Package sheet reads mock-up sheets: what a builder measured and saw while
// trial-assembling an engine, as JSON text.
//
// Every quantity is text with its unit ("0.0250 in", "4 deg", "12 lbf ft",
// "68 degF"); counts and true ratios are bare numbers. The reader refuses
// unknown fields, duplicate keys, null, wrong types and missing fields, each
// with the exact path and what was expected.
package sheet

import "example.com/trialfit/units"

// Sheet is one trial assembly.
type Sheet struct {
	// Where the schema of this file is, for editors.
	Schema string `json:"$schema,omitempty"`
	// What was trial-assembled, in a few words.
	Title string `json:"title"`
	// Who measured, when, and at what temperature.
	Record Record `json:"record"`
	// What it takes to call a value inside or outside its limits.
	Decision Decision `json:"decision"`
	// The instruments used; readings refer to them by name.
	Instruments []Instrument `json:"instruments"`
	// The crank layout and the firing order.
	Engine Engine `json:"engine"`
	// The figures of the cam card, whichever it prints.
	Cam Card `json:"cam"`
	// The cam drive and the parts at hand to correct it.
	Drive Drive `json:"drive"`
	// How top dead center was found and how well.
	TopDeadCenter TopDeadCenter `json:"top_dead_center"`
	// Where the cam is wanted, if not where the card says.
	Wanted *Wanted `json:"wanted,omitempty"`
	// The lifter heights at top dead center of overlap.
	Overlap Overlap `json:"overlap"`
	// Faults to weigh besides those of the drive.
	Suspects Suspects `json:"suspects,omitempty"`
	// Bearings with their bore and journal readings.
	Bearings []Bearing `json:"bearings,omitempty"`
	// Piston rings with their end gaps.
	Rings []Ring `json:"rings,omitempty"`
	// End play of shafts.
	EndPlay []EndPlay `json:"end_play,omitempty"`
	// Side clearance of rods on their pins.
	SideClearance []SideClearance `json:"side_clearance,omitempty"`
	// Fits of two toleranced sizes.
	Fits []Fit `json:"fits,omitempty"`
	// Turning torque as parts are added one by one.
	Turning *Turning `json:"turning,omitempty"`
	// Rings in their grooves.
	RingGrooves []RingGroove `json:"ring_grooves,omitempty"`
	// Lifts read at the valves.
	ValveLifts *ValveLifts `json:"valve_lifts,omitempty"`
	// Valve springs as fitted.
	ValveSprings *ValveSprings `json:"valve_springs,omitempty"`
	// Where a part of the valve gear may run into another.
	TravelLimits *TravelLimits `json:"travel_limits,omitempty"`
	// Lash of solid lifters.
	Lash *Lash `json:"lash,omitempty"`
	// Preload of hydraulic lifters.
	Preload *Preload `json:"preload,omitempty"`
	// Lifters in their bores.
	LifterFits *LifterFits `json:"lifter_fits,omitempty"`
	// Deck height of the pistons.
	Deck *Deck `json:"deck,omitempty"`
	// The head gasket, which compression and valve_to_piston need.
	HeadGasket *HeadGasket `json:"head_gasket,omitempty"`
	// Compression ratio and distance from piston to head.
	Compression *Compression `json:"compression,omitempty"`
	// Valve to piston clearance.
	ValveToPiston *ValveToPiston `json:"valve_to_piston,omitempty"`
	// A ranking of clearances by their oil film; it proves nothing.
	OilFilm *OilFilm `json:"oil_film,omitempty"`
	// Groups of checks that do not apply to this engine, with the reason.
	NotApplicable []Inapplicable `json:"not_applicable,omitempty"`
	// The checks that a hand does and no number shows.
	Hand Hand `json:"hand"`
}

// Record says who, when and at what temperature.
type Record struct {
	// Who measured.
	By string `json:"by"`
	// The day, as year-month-day.
	Date Date `json:"date"`
	// Where, if worth recording.
	Place string `json:"place,omitempty"`
	// Temperature of parts and instruments.
	Temperature Temperature `json:"temperature"`
}

// Instrument is a measuring instrument.
type Instrument struct {
	// Name that readings refer to.
	Name string `json:"name"`
	// Smallest step that it shows.
	Resolution units.Reading `json:"resolution"`
	// Standard uncertainty (k = 1) of one reading. Without it readings of this
	// instrument prove nothing except by simple acceptance.
	Uncertainty *units.Reading `json:"uncertainty,omitempty"`
	// Standard uncertainty of its zero, common to all its readings.
	ZeroUncertainty *units.Reading `json:"zero_uncertainty,omitempty"`
}

// Engine is a crank layout by its geometry, and a firing order.
type Engine struct {
	// In-line, opposed or V.
	Layout LayoutWord `json:"layout"`
	// Number of cylinders.
	Cylinders int `json:"cylinders"`
	// The crank by its geometry (in-line and V).
	Crank CrankWord `json:"crank,omitempty"`
	// The mirror image of that crank.
	Mirrored bool `json:"mirrored,omitempty"`
	// How the cylinders of two banks are numbered (opposed and V).
	Numbering NumberingWord `json:"numbering,omitempty"`
	// The end from which cylinders are counted.
	NumberedFrom EndWord `json:"numbered_from"`
	// Sense of rotation, seen from the free end.
	Rotation RotationWord `json:"rotation"`
	// Angle between the banks (V).
	BankAngle *units.CrankAngle `json:"bank_angle,omitempty"`
	// Angle between the pins of two neighbors, zero for a shared pin (V).
	PinSplit *units.CrankAngle `json:"pin_split,omitempty"`
	// Whether the crank, turning across the bank angle, passes the bank of
	// cylinder 1 first or last (V).
	BankOfOnePassed PassedWord `json:"bank_of_one_passed,omitempty"`
	// Cylinder numbers as they fire, such as "1-5-3-6-2-4".
	FiringOrder string `json:"firing_order"`
	// First cylinder to fire in the second turn, where the order leaves that open.
	SecondTurnFrom int `json:"second_turn_from,omitempty"`
	// Names of the two banks (opposed and V), that of cylinder 1 first. With
	// them the advance of one bank is told from that of the other.
	BankNames []string `json:"bank_names,omitempty"`
	// Stroke of the crank, twice its throw, taken as exact: what it is off shows
	// in the deck height.
	Stroke *units.Reading `json:"stroke,omitempty"`
	// Length of the rods between the centers of their eyes, taken as exact.
	Rod *units.Reading `json:"rod,omitempty"`
	// How far the piston pin is offset, positive toward the side on which the
	// crank pin is just after top dead center.
	PinOffset *units.Reading `json:"pin_offset,omitempty"`
}

// Card is a cam card: whichever figures it prints.
type Card struct {
	// The card's own name or number.
	Name string `json:"name"`
	// Whether the cam or the lifters are new: they need a break-in.
	NewCamOrLifters bool `json:"new_cam_or_lifters,omitempty"`
	// The intake lobe.
	Intake Lobe `json:"intake"`
	// The exhaust lobe.
	Exhaust Lobe `json:"exhaust"`
	// Lobe separation, in cam degrees.
	Separation *units.CamAngle `json:"separation,omitempty"`
	// Intake centerline after top dead center, in crank degrees.
	IntakeCenterline *units.CrankAngle `json:"intake_centerline,omitempty"`
	// Exhaust centerline before top dead center, in crank degrees.
	ExhaustCenterline *units.CrankAngle `json:"exhaust_centerline,omitempty"`
	// Advance ground into the cam, positive when every event comes earlier.
	GroundAdvance *units.CrankAngle `json:"ground_advance,omitempty"`
	// The four events at checking lifts at the lifter.
	Events []EventsAt `json:"events,omitempty"`
	// Overlap at checking lifts at the lifter.
	Overlap []OverlapAt `json:"overlap,omitempty"`
	// Largest rounding error of a printed angle: half a unit of its last
	// digit. Half a degree if left out.
	Rounding *units.CrankAngle `json:"rounding,omitempty"`
}

// Lobe holds the figures of a card for one lobe.
type Lobe struct {
	// Lift at the lifter.
	LobeLift *units.Reading `json:"lobe_lift,omitempty"`
	// Rocker ratio that the card assumes, a bare number.
	RockerRatio *float64 `json:"rocker_ratio,omitempty"`
	// Lift at the valve.
	ValveLift *units.Reading `json:"valve_lift,omitempty"`
	// Clearance stated by the card, at the valve.
	Lash *units.Reading `json:"lash,omitempty"`
	// Durations at checking lifts at the lifter.
	Durations []DurationAt `json:"durations,omitempty"`
	// Standard uncertainty of where the flanks lie against the centerline.
	Asymmetry *units.CamAngle `json:"asymmetry,omitempty"`
}

// DurationAt is a duration at a checking lift.
type DurationAt struct {
	// Checking lift at the lifter.
	Lift units.Reading `json:"lift"`
	// How long the lifter stands above it, in crank degrees.
	Duration units.CrankAngle `json:"duration"`
}

// EventsAt are the four events at a checking lift.
type EventsAt struct {
	// Checking lift at the lifter.
	Lift units.Reading `json:"lift"`
	// Intake opens.
	IVO IntakeOpens `json:"ivo"`
	// Intake closes.
	IVC IntakeCloses `json:"ivc"`
	// Exhaust opens.
	EVO ExhaustOpens `json:"evo"`
	// Exhaust closes.
	EVC ExhaustCloses `json:"evc"`
}

// OverlapAt is an overlap at a checking lift.
type OverlapAt struct {
	// Checking lift at the lifter.
	Lift units.Reading `json:"lift"`
	// Overlap in crank degrees, negative for a gap.
	Overlap units.CrankAngle `json:"overlap"`
}

// Drive is the cam drive with the steps it allows.
type Drive struct {
	// Chain, belt or gears.
	Kind DriveWord `json:"kind"`
	// Teeth of the cam sprocket or gear; one tooth is 720/teeth crank degrees.
	Teeth int `json:"teeth"`
	// How many teeth off to weigh and to move at most.
	MostTeeth int `json:"most_teeth"`
	// Changes of advance that the other keyways make, against the one in use.
	Keyways []units.CrankAngle `json:"keyways,omitempty"`
	// Sizes of the offset bushings or keys at hand.
	Bushings []units.CrankAngle `json:"bushings,omitempty"`
	// Free movement of the drive, at the crank.
	Slack *units.CrankAngle `json:"slack,omitempty"`
}

// TopDeadCenter says how top dead center was found.
type TopDeadCenter struct {
	// Standard uncertainty of the degree wheel's zero.
	Uncertainty units.CrankAngle `json:"uncertainty"`
	// How it was found.
	Method string `json:"method"`
}

// Wanted is where the cam should stand: one of the two figures.
type Wanted struct {
	// Advance over straight up.
	Advance *units.CrankAngle `json:"advance,omitempty"`
	// Intake centerline after top dead center.
	IntakeCenterline *units.CrankAngle `json:"intake_centerline,omitempty"`
	// Who says so.
	Source string `json:"source"`
}

// Overlap holds the lifter heights at top dead center of overlap.
type Overlap struct {
	// Instrument of the readings.
	Instrument string `json:"instrument"`
	// How far the advance may be from the card's, or from the wanted one.
	Tolerance AngleTolerance `json:"tolerance"`
	// How far the advance of two companions may differ.
	CompanionTolerance AngleTolerance `json:"companion_tolerance"`
	// Standard uncertainty of the lifters' own height difference, for
	// readings without a zero. With neither, a reading has no known
	// uncertainty and proves nothing except by simple acceptance.
	LifterMismatch *units.Reading `json:"lifter_mismatch,omitempty"`
	// One reading per cylinder.
	Readings []OverlapReading `json:"readings"`
}

// AngleTolerance is a tolerance to both sides.
type AngleTolerance struct {
	// Plus or minus this.
	Within units.CrankAngle `json:"within"`
	// Who says so.
	Source string `json:"source"`
}

// OverlapReading is the height difference of the two lifters of a cylinder.
type OverlapReading struct {
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Intake minus exhaust at top dead center of overlap, positive when the
	// intake lifter stands higher.
	Difference units.Reading `json:"difference"`
	// The same at firing top dead center: the zero that removes what the
	// lifters differ in height.
	Zero *units.Reading `json:"zero,omitempty"`
	// What shows that a lifter is up; at firing top dead center every cam
	// reads level. That a reading differs from its zero shows nothing: it does
	// not say which of the two was taken at overlap.
	Proof ProofWord `json:"proof"`
	// Rise from the base circle, with proof "rise measured".
	Rise *units.Reading `json:"rise,omitempty"`
	// Direction in which the crank came to the mark.
	Approach ApproachWord `json:"approach"`
	// Where the cylinder's lobes sit along the cam, from the drive end.
	Position *units.Reading `json:"position,omitempty"`
}

// Suspects are further faults to weigh. A field left out leaves its cause out.
type Suspects struct {
	// Standard deviation of a mis-set degree wheel.
	TDCError *units.CrankAngle `json:"tdc_error,omitempty"`
	// Standard deviation of the height difference of two lifters.
	LifterHeights *units.Reading `json:"lifter_heights,omitempty"`
	// Standard deviation of a twisted or badly ground cam, from cylinder to
	// cylinder.
	CylinderSpread *units.CrankAngle `json:"cylinder_spread,omitempty"`
	// Standard deviation of an index error of unknown size, which marks and
	// offset parts do not show.
	IndexError *units.CrankAngle `json:"index_error,omitempty"`
	// A twist in step along the shaft; every reading needs its position.
	Twist *TwistSuspect `json:"twist,omitempty"`
	// Cards that this cam might belong to instead.
	OtherCards []Card `json:"other_cards,omitempty"`
}

// Limits are the limits of a length: one or both, and who says so.
type Limits struct {
	// Smallest value allowed.
	Min *units.Reading `json:"min,omitempty"`
	// Largest value allowed.
	Max *units.Reading `json:"max,omitempty"`
	// Who says so: the part maker's sheet, the builder, a handbook.
	Source string `json:"source"`
}

// Bearing is a bearing bore and its journal.
type Bearing struct {
	// Which bearing.
	Name string `json:"name"`
	// Bore readings; needs journal readings beside them.
	Bore *Round `json:"bore,omitempty"`
	// Journal readings.
	Journal *Round `json:"journal,omitempty"`
	// The bore is two shells: angles count from the split, and only readings
	// near the crown enter the clearance.
	SplitBore bool `json:"split_bore,omitempty"`
	// The bore gauge was set in the micrometer that read the journal.
	SetFromMicrometer bool `json:"set_from_micrometer,omitempty"`
	// A plastic gauge strip flattened in this bearing.
	Strip *Strip `json:"strip,omitempty"`
	// Limits of the diametral oil clearance.
	Clearance Limits `json:"clearance"`
	// Limits of the journal's out-of-round.
	OutOfRound *Limits `json:"out_of_round,omitempty"`
	// Limits of the journal's taper over its length, in size.
	Taper *Limits `json:"taper,omitempty"`
}

// Round is a bore or a journal as read.
type Round struct {
	// Instrument of the readings.
	Instrument string `json:"instrument"`
	// Stations in order along the part.
	Stations []Station `json:"stations"`
}

// Station is one place along a bearing.
type Station struct {
	// Distance from one end, the same end for bore and journal.
	At units.Reading `json:"at"`
	// Readings around.
	Diameters []Diameter `json:"diameters"`
}

// Diameter is one two-point reading.
type Diameter struct {
	// Direction around the part, in a bore from the split line.
	Around units.CrankAngle `json:"around"`
	// The diameter read.
	Reading units.Reading `json:"reading"`
}

// Strip is a flattened plastic gauge strip.
type Strip struct {
	// Instrument entry for the strip.
	Instrument string `json:"instrument"`
	// Clearance the scale gives for the widest place.
	AtWidest units.Reading `json:"at_widest"`
	// Clearance the scale gives for the narrowest place.
	AtNarrowest units.Reading `json:"at_narrowest"`
	// Smallest clearance this strip can read, from its packet.
	RangeMin units.Reading `json:"range_min"`
	// Largest clearance this strip can read, from its packet.
	RangeMax units.Reading `json:"range_max"`
}

// Ring is a piston ring with its end gap.
type Ring struct {
	// Which ring of the cylinder.
	Name string `json:"name"`
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Instrument of the gap.
	Instrument string `json:"instrument"`
	// Diameter of the bore where the ring will run.
	Bore units.Reading `json:"bore"`
	// Diameter where the gap was read, if elsewhere.
	ReadIn *units.Reading `json:"read_in,omitempty"`
	// Instrument of the two diameters, with read_in.
	BoreInstrument string `json:"bore_instrument,omitempty"`
	// End gap as read.
	Gap units.Reading `json:"gap"`
	// How hard the engine heats its rings.
	Duty DutyWord `json:"duty"`
	// The ring maker's figures; without them the gap is held against the
	// trade's rule of thumb for a top ring, which proves nothing.
	Limits *Limits `json:"limits,omitempty"`
}

// EndPlay is how far a shaft floats.
type EndPlay struct {
	// Which shaft.
	Name string `json:"name"`
	// Instrument of the readings.
	Instrument string `json:"instrument"`
	// Dial readings with the shaft pried forward.
	Forward []units.Reading `json:"forward"`
	// Dial readings with the shaft pried rearward.
	Rearward []units.Reading `json:"rearward"`
	// Limits of the end play.
	Limits Limits `json:"limits"`
}

// SideClearance is the side clearance of the rods on a pin.
type SideClearance struct {
	// Which pin.
	Name string `json:"name"`
	// Instrument of the readings.
	Instrument string `json:"instrument"`
	// Width of the pin between the cheeks.
	PinWidth units.Reading `json:"pin_width"`
	// Widths of the big ends on it, one or two.
	RodWidths []units.Reading `json:"rod_widths"`
	// Limits of all the gap there is.
	Limits Limits `json:"limits"`
}

// Fit is a bore-like and a shaft-like part by their limits of size.
type Fit struct {
	// Which parts.
	Name string `json:"name"`
	// Limits of size of the bore-like part.
	Bore Size `json:"bore"`
	// Limits of size of the shaft-like part.
	Shaft Size `json:"shaft"`
	// Limits of the clearance, negative for an interference.
	Limits Limits `json:"limits"`
}

// Size is a toleranced size.
type Size struct {
	// Smallest.
	Min units.Reading `json:"min"`
	// Largest.
	Max units.Reading `json:"max"`
}

// Turning is the torque to turn the crank as parts are added one by one.
type Turning struct {
	// Standard uncertainty of one reading; without it the readings prove
	// nothing except by simple acceptance.
	Uncertainty *Torque `json:"uncertainty,omitempty"`
	// The readings in order.
	Steps []TurningStep `json:"steps"`
	// Largest torque allowed at the end.
	Max *TorqueLimit `json:"max,omitempty"`
}

// TurningStep is the torque after a part was added.
type TurningStep struct {
	// What was added.
	With string `json:"with"`
	// The torque to keep the crank turning.
	Torque Torque `json:"torque"`
}

// TorqueLimit is a largest torque and who says so.
type TorqueLimit struct {
	// The limit.
	Torque Torque `json:"torque"`
	// Who says so.
	Source string `json:"source"`
}

// Hand holds the checks that a hand does and no number shows. A check that
// is left out is reported as missing.
type Hand struct {
	// Index marks seen aligned.
	IndexMarks *HandCheck `json:"index_marks_aligned,omitempty"`
	// Each lifter, dry, falls by its own weight and turns in its bore.
	Lifters []LifterCheck `json:"lifters_fall_and_turn,omitempty"`
	// Oil pump primed and drawing.
	OilPump *HandCheck `json:"oil_pump_primed_and_drawing,omitempty"`
	// Timing chain oiled.
	ChainOiled *HandCheck `json:"timing_chain_oiled,omitempty"`
	// Thread locker on the cam gear bolts.
	ThreadLocker *HandCheck `json:"thread_locker_on_cam_gear_bolts,omitempty"`
	// Break-in planned if cam or lifters are new.
	BreakIn *HandCheck `json:"break_in_planned,omitempty"`
	// Two full turns by hand before measuring.
	TurnsBefore *HandCheck `json:"two_turns_by_hand_before,omitempty"`
	// Two full turns by hand after the last correction.
	TurnsAfter *HandCheck `json:"two_turns_by_hand_after,omitempty"`
	// Turning torque felt or read with parts added one by one.
	TurningTorque *HandCheck `json:"turning_torque_part_by_part,omitempty"`
	// Keepers seated.
	Keepers *HandCheck `json:"keepers_seated,omitempty"`
	// Bolts torqued in sequence.
	TorqueSequence *HandCheck `json:"torque_sequence,omitempty"`
	// Everything checked again after the final torque.
	Recheck *HandCheck `json:"recheck_after_final_torque,omitempty"`
}

// HandCheck is what became of a check and why.
type HandCheck struct {
	// Done, not done or not applicable.
	State StateWord `json:"state"`
	// What was seen, why it was not done, or why it does not apply.
	Reason string `json:"reason"`
}

// LifterCheck is the check of one lifter.
type LifterCheck struct {
	// Cylinder number.
	Cylinder int `json:"cylinder"`
	// Which of its valves.
	Valve ValveWord `json:"valve"`
	// Done, not done or not applicable.
	State StateWord `json:"state"`
	// What was seen, why it was not done, or why it does not apply.
	Reason string `json:"reason"`
}
