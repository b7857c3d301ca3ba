package units

// Caution is a warning of harm, to a person or to a part, with the source it
// comes from.
type Caution struct {
	Text   string
	Source Source
}
