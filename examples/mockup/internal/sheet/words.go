package sheet

import (
	"encoding"
	"strings"
	"time"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// worder is a text that must be one of a few words.
type worder interface{ Words() []string }

// Decision names a decision rule.
type Decision string

// Words lists the decision rules.
func (Decision) Words() []string {
	return []string{"prove at 95 %", "prove beyond U", "simple acceptance"}
}

// Rule returns the rule that the word names.
func (d Decision) Rule() units.DecisionRule {
	switch d {
	case "prove beyond U":
		return units.ProveBeyondU
	case "simple acceptance":
		return units.SimpleAcceptance
	default:
		return units.ProveAt95
	}
}

// LayoutWord names a cylinder arrangement.
type LayoutWord string

// Words lists the arrangements.
func (LayoutWord) Words() []string { return []string{"inline", "boxer", "vee"} }

// CrankWord names a crank by the angles of its pins in one bank.
type CrankWord string

// Words lists the cranks, in the order of firingorder's constants from OnePin.
func (CrankWord) Words() []string {
	return []string{
		"one pin", "two parallel", "two opposed", "two quarter", "three even", "four single-plane", "four two-plane",
		"five in-line", "five star", "six even", "eight split", "eight two fours",
	}
}

// NumberingWord names a numbering of two banks.
type NumberingWord string

// Words lists the numberings.
func (NumberingWord) Words() []string { return []string{"alternating", "bankwise"} }

// EndWord names an end of the crankshaft.
type EndWord string

// Words lists the ends.
func (EndWord) Words() []string { return []string{"free end", "driving end"} }

// RotationWord names a sense of rotation.
type RotationWord string

// Words lists the senses.
func (RotationWord) Words() []string { return []string{"clockwise", "counterclockwise"} }

// PassedWord says whether the bank of cylinder 1 is passed first or last.
type PassedWord string

// Words lists the two.
func (PassedWord) Words() []string { return []string{"first", "last"} }

// DriveWord names a cam drive.
type DriveWord string

// Words lists the drives.
func (DriveWord) Words() []string { return []string{"chain", "belt", "gears"} }

// ProofWord says what shows that a lifter is up.
type ProofWord string

// Words lists the proofs.
func (ProofWord) Words() []string {
	return []string{"none", "rise measured", "moves as the crank is rocked"}
}

// ApproachWord says how the crank came to its mark.
type ApproachWord string

// Words lists the directions.
func (ApproachWord) Words() []string {
	return []string{"normal rotation", "reverse rotation", "not recorded"}
}

// DutyWord says how hard the engine heats its rings.
type DutyWord string

// Words lists the duties.
func (DutyWord) Words() []string { return []string{"naturally aspirated", "boosted"} }

// StateWord says what became of a hand check.
type StateWord string

// The states of a hand check.
const (
	Done          StateWord = "done"
	NotDone       StateWord = "not done"
	NotApplicable StateWord = "not applicable"
)

// Words lists the states.
func (StateWord) Words() []string {
	return []string{string(Done), string(NotDone), string(NotApplicable)}
}

// ValveWord names a valve of a cylinder.
type ValveWord string

// Words lists the valves.
func (ValveWord) Words() []string { return []string{"intake", "exhaust"} }

// GroupWord names a group of checks that a sheet may declare not applicable.
type GroupWord string

// The groups of checks that may be left out with a reason.
const (
	Bearings      GroupWord = "bearings"
	Rings         GroupWord = "rings"
	RingGrooves   GroupWord = "ring grooves"
	EndPlays      GroupWord = "end play"
	Sides         GroupWord = "side clearance"
	Fits          GroupWord = "fits"
	TurningTorque GroupWord = "turning torque"
	Lifts         GroupWord = "valve lift"
	Springs       GroupWord = "valve springs"
	Travels       GroupWord = "travel limits"
	LashOrPreload GroupWord = "lash or preload"
	LifterBores   GroupWord = "lifter fits"
	DeckHeight    GroupWord = "deck height"
	Compressions  GroupWord = "compression"
	ValvePiston   GroupWord = "valve to piston"
)

// Words lists the groups, in the order of a report.
func (GroupWord) Words() []string {
	return []string{
		string(Bearings), string(Rings), string(RingGrooves), string(EndPlays), string(Sides), string(Fits), string(Lifts), string(Springs),
		string(Travels), string(LashOrPreload), string(LifterBores), string(DeckHeight), string(Compressions), string(ValvePiston), string(TurningTorque),
	}
}

// EngineStateWord says in which state of the engine a lash holds.
type EngineStateWord string

// Words lists the states.
func (EngineStateWord) Words() []string { return []string{"cold", "hot"} }

// AdjusterWord says where an adjuster acts.
type AdjusterWord string

// Words lists the places, in the order of valvetrain's constants.
func (AdjusterWord) Words() []string {
	return []string{"at the pushrod", "at the pivot", "at the valve"}
}

// FaceWord says what a valve meets in the piston.
type FaceWord string

// Words lists the faces, in the order of clearance's constants.
func (FaceWord) Words() []string {
	return []string{"pocket floor square to the valve", "crown square to the bore"}
}

// Date is a day, written year-month-day.
type Date string

// UnmarshalText reads a day.
func (d *Date) UnmarshalText(text []byte) error {
	if _, err := time.Parse(time.DateOnly, string(text)); err != nil {
		return &units.InputError{Package: "sheet", Value: string(text), Kind: units.ErrSyntax, Reason: `want a day as year-month-day, such as "2026-05-14"`}
	}
	*d = Date(text)
	return nil
}

// written is a quantity with the text it was written in.
type written[Q any, P interface {
	*Q
	encoding.TextUnmarshaler
}] struct {
	Text  string
	Value Q
}

// UnmarshalText reads a quantity and keeps its text.
func (w *written[Q, P]) UnmarshalText(text []byte) error {
	var v Q
	if err := P(&v).UnmarshalText(text); err != nil {
		return err
	}
	w.Text, w.Value = string(text), v
	return nil
}

// Quantities with the text they were written in.
type (
	// Temperature is a temperature.
	Temperature struct {
		written[units.Temperature, *units.Temperature]
	}
	// Torque is a torque.
	Torque struct {
		written[units.Torque, *units.Torque]
	}
	// Force is a force.
	Force struct {
		written[units.Force, *units.Force]
	}
	// Volume is a volume.
	Volume struct {
		written[units.Volume, *units.Volume]
	}
	// Speed is a speed of rotation.
	Speed struct {
		written[units.AngularSpeed, *units.AngularSpeed]
	}
	// KinematicViscosity is a kinematic viscosity.
	KinematicViscosity struct {
		written[units.KinematicViscosity, *units.KinematicViscosity]
	}
	// Density is a density.
	Density struct {
		written[units.Density, *units.Density]
	}
)

// PlaneAngle is an angle of neither crank nor cam with the text it was written
// in.
type PlaneAngle struct {
	Text  string
	Value valvetrain.PlaneAngle
}

// UnmarshalText reads an angle such as "12.5 deg".
func (a *PlaneAngle) UnmarshalText(text []byte) error {
	c, err := units.ParseCrankAngle(string(text))
	if err != nil || strings.Contains(string(text), "crank") {
		return &units.InputError{Package: "sheet", Value: string(text), Kind: units.ErrUnit, Reason: `want an angle in degrees, such as "12.5 deg"`}
	}
	*a = PlaneAngle{string(text), valvetrain.PlaneDegrees(c.Degrees())}
	return nil
}

// The four valve events, each read with the dead center it is counted from.
type (
	// IntakeOpens is an intake opening, positive before top dead center.
	IntakeOpens units.CrankAngle
	// IntakeCloses is an intake closing, positive after bottom dead center.
	IntakeCloses units.CrankAngle
	// ExhaustOpens is an exhaust opening, positive before bottom dead center.
	ExhaustOpens units.CrankAngle
	// ExhaustCloses is an exhaust closing, positive after top dead center.
	ExhaustCloses units.CrankAngle
)

// UnmarshalText reads an event such as "28 deg BTDC".
func (e *IntakeOpens) UnmarshalText(text []byte) error {
	return readEvent(e, camtiming.IntakeOpens, text)
}

// UnmarshalText reads an event such as "43 deg ABDC".
func (e *IntakeCloses) UnmarshalText(text []byte) error {
	return readEvent(e, camtiming.IntakeCloses, text)
}

// UnmarshalText reads an event such as "48 deg BBDC".
func (e *ExhaustOpens) UnmarshalText(text []byte) error {
	return readEvent(e, camtiming.ExhaustOpens, text)
}

// UnmarshalText reads an event such as "20 deg ATDC".
func (e *ExhaustCloses) UnmarshalText(text []byte) error {
	return readEvent(e, camtiming.ExhaustCloses, text)
}

func readEvent[E ~int64](e *E, kind camtiming.EventKind, text []byte) error {
	a, err := camtiming.ParseEvent(kind, string(text))
	if err != nil {
		return err
	}
	*e = E(a)
	return nil
}
