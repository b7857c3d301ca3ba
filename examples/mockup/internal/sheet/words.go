package sheet

import (
	"time"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
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

// Temperature is a temperature with the text it was written in.
type Temperature struct {
	Text  string
	Value units.Temperature
}

// UnmarshalText reads a temperature.
func (t *Temperature) UnmarshalText(text []byte) error {
	v, err := units.ParseTemperature(string(text))
	if err != nil {
		return err
	}
	*t = Temperature{string(text), v}
	return nil
}

// Torque is a torque with the text it was written in.
type Torque struct {
	Text  string
	Value units.Torque
}

// UnmarshalText reads a torque.
func (t *Torque) UnmarshalText(text []byte) error {
	v, err := units.ParseTorque(string(text))
	if err != nil {
		return err
	}
	*t = Torque{string(text), v}
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
