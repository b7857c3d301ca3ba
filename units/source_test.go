package units_test

import (
	"testing"

	"example.com/trialfit/units"
)

// What counts as an outside check, by the table in DEVELOPERS.md, and that a
// source needs both a text and a provenance.
func TestProvenance(t *testing.T) {
	t.Parallel()
	for p, want := range map[units.Provenance]bool{
		units.NoProvenance: false, units.Verified: true, units.VerifiedSecondary: true, units.Computed: true,
		units.Derived: false, units.Memory: false, units.CommonPractice: false, units.Stated: false, 99: false,
	} {
		if p.OutsideCheck() != want {
			t.Errorf("%v.OutsideCheck() = %v", p, !want)
		}
		if got := (units.Source{Text: "a card", Provenance: p}).Given(); got != (p != units.NoProvenance) {
			t.Errorf("a text with %v: given %v", p, got)
		}
		if (units.Source{Provenance: p}).Given() {
			t.Errorf("%v without a text is given", p)
		}
	}
}
