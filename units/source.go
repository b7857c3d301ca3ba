package units

// Provenance says how well a figure is attested.
type Provenance uint8

// Kinds of provenance, from none to a caller's own statement. Verified and
// Computed count as an outside check of this library.
const (
	NoProvenance      Provenance = iota // not stated: refused wherever a source is required
	Verified                            // read in a copy of the named source
	VerifiedSecondary                   // read in a transcription that names the source
	Computed                            // closed form or independent program
	Derived                             // arithmetic on verified figures
	Memory                              // recalled from the named source, not seen
	CommonPractice                      // a fact of the trade with no single source
	Stated                              // stated by the caller: the part maker's card, the builder's own limit
)

// String returns the word used in reference tables and reports.
func (p Provenance) String() string {
	switch p {
	case Verified:
		return "verified"
	case VerifiedSecondary:
		return "verified (secondary)"
	case Computed:
		return "computed"
	case Derived:
		return "derived"
	case Memory:
		return "memory"
	case CommonPractice:
		return "common practice"
	case Stated:
		return "stated"
	default:
		return "no provenance"
	}
}

// OutsideCheck reports whether figures of this provenance count as a check of
// the library from outside it.
func (p Provenance) OutsideCheck() bool {
	return p == Verified || p == VerifiedSecondary || p == Computed
}

// Source says where a limit, a rule or a factor comes from. The zero Source
// names nothing; Given reports whether one was stated.
type Source struct {
	Text       string // title, edition, section; or "the part maker's card"
	Provenance Provenance
}

// Given reports whether the source names something.
func (s Source) Given() bool { return s.Text != "" && s.Provenance != NoProvenance }

// String returns "text (provenance)".
func (s Source) String() string {
	if !s.Given() {
		return "no source"
	}
	return s.Text + " (" + s.Provenance.String() + ")"
}

// Step is one line of a derivation: the symbol it defines, the formula, the
// formula with its numbers and units, the value with its unit, and the source
// of the formula or figure.
type Step struct {
	Symbol  string
	Formula string
	Numbers string
	Value   string
	Source  Source
}

// Working is a derivation in order, for a worksheet or a report to print and
// for software to read. Results build it only when asked.
type Working []Step

// Worked is implemented by every result that can show its derivation.
type Worked interface {
	Working() Working
}

// Optional is a value that may not have been given. The zero Optional is not
// given; Some makes a given one.
type Optional[T any] struct {
	Value T
	Given bool
}

// Some returns v as a given value.
func Some[T any](v T) Optional[T] { return Optional[T]{Value: v, Given: true} }
