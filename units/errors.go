package units

import (
	"errors"
	"strconv"
)

// The kinds of refusal. Every error of this library that concerns an input
// wraps exactly one of them, so that errors.Is tells the kind and errors.As
// with *InputError tells the field.
var (
	// ErrSyntax: the text is not in an accepted form.
	ErrSyntax = errors.New("not in an accepted form")
	// ErrUnit: the unit is missing or is not one of those accepted.
	ErrUnit = errors.New("unit missing or unknown")
	// ErrRange: the value is outside the range in which it means anything
	// (NaN, infinite, overflow, negative size, duration over one cycle).
	ErrRange = errors.New("out of range")
	// ErrInexact: the value is finer than the quantum of its type.
	ErrInexact = errors.New("finer than the quantum")
	// ErrMissing: a field that the answer needs was not given.
	ErrMissing = errors.New("missing")
	// ErrConflict: two or more fields contradict each other.
	ErrConflict = errors.New("contradictory")
	// ErrImpossible: the geometry cannot exist.
	ErrImpossible = errors.New("impossible")
)

// InputError reports one refused input: which package refused it, the field,
// the value as given, the reason and what was expected. Kind is one of the
// sentinel errors above.
type InputError struct {
	Package string // package that refused, "units"
	Field   string // field or argument, "Intake.Lift"
	Value   string // as given; empty where there is none to show
	Reason  string // why, and what was expected
	Kind    error  // one of the Err sentinels
}

// Error returns "package: field: "value": kind: reason" with the empty parts
// left out.
func (e *InputError) Error() string {
	s := e.Package
	if e.Field != "" {
		s += ": " + e.Field
	}
	if e.Value != "" {
		s += ": " + strconv.Quote(e.Value)
	}
	if e.Kind != nil {
		s += ": " + e.Kind.Error()
	}
	if e.Reason != "" {
		s += ": " + e.Reason
	}
	return s
}

// Unwrap returns the kind, for errors.Is.
func (e *InputError) Unwrap() error { return e.Kind }

func fail(field, value string, kind error, reason string) error {
	const most = 80
	if len(value) > most {
		value = value[:most] + "..."
	}
	return &InputError{Package: "units", Field: field, Value: value, Reason: reason, Kind: kind}
}
