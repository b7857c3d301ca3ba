package clearance

import (
	"math"

	"example.com/trialfit/units"
)

// Strip is a flattened plastic gauge strip read against its scale. The scale
// gives a clearance for a width: the wider, the closer.
type Strip struct {
	AtWidest    units.Measured[units.Length] // clearance the scale gives for the widest place
	AtNarrowest units.Measured[units.Length] // and for the narrowest
	Range       Size                         // clearances that this strip can read, from its packet
}

// StripResult is the clearance that a strip shows.
type StripResult struct {
	Strip    Strip
	Smallest units.Measured[units.Length] // at the widest place
	Largest  units.Measured[units.Length] // at the narrowest
	Mean     units.Measured[units.Length] // of the two
	// Taper is Largest - Smallest along the strip, without a sign: which end
	// is closer is seen on the strip.
	Taper units.Measured[units.Length]
}

// Clearance answers what clearance and taper a plastic gauge strip shows:
//
//	smallest = AtWidest     largest = AtNarrowest
//	taper = AtNarrowest - AtWidest
//
// Errors: a reading that is missing or outside the strip's range (take
// another strip; the scale says nothing there), widest and narrowest swapped.
//
// Source: definition; the strip is read at its widest part, US Army TM
// 5-3895-383-24 p. 8-59.
//
// Rows: strip-min, strip-taper.
func (s Strip) Clearance() (StripResult, error) {
	if err := s.check(); err != nil {
		return StripResult{}, err
	}
	mean := result(div(s.AtWidest.Value+s.AtNarrowest.Value, 2), s.AtWidest.Stated && s.AtNarrowest.Stated, math.Hypot(float64(s.AtWidest.U), float64(s.AtNarrowest.U))/2)
	return StripResult{Strip: s, Smallest: s.AtWidest, Largest: s.AtNarrowest, Mean: mean, Taper: sub(s.AtNarrowest, s.AtWidest)}, nil
}

func (s Strip) check() error {
	if err := checkPositive("AtWidest", s.AtWidest); err != nil {
		return err
	}
	if err := checkPositive("AtNarrowest", s.AtNarrowest); err != nil {
		return err
	}
	if err := s.Range.check("Range"); err != nil {
		return err
	}
	if s.AtWidest.Value > s.AtNarrowest.Value {
		return fail("AtWidest", text(s.AtWidest.Value), units.ErrConflict, "the widest place of the strip has the smallest clearance: the two readings are swapped")
	}
	if s.AtWidest.Value < s.Range.Min {
		return fail("AtWidest", text(s.AtWidest.Value), units.ErrRange, "under the range of this strip, "+text(s.Range.Min)+": take a finer one")
	}
	if s.AtNarrowest.Value > s.Range.Max {
		return fail("AtNarrowest", text(s.AtNarrowest.Value), units.ErrRange, "over the range of this strip, "+text(s.Range.Max)+": take a coarser one")
	}
	return nil
}

// Working returns the derivation.
func (r StripResult) Working() units.Working {
	return units.Working{
		{Symbol: "smallest", Formula: "scale at the widest place", Value: measuredText(r.Smallest), Source: asRead},
		{Symbol: "largest", Formula: "scale at the narrowest place", Value: measuredText(r.Largest), Source: asRead},
		{Symbol: "taper", Formula: "largest - smallest", Numbers: num(r.Largest.Value) + " - " + num(r.Smallest.Value), Value: measuredText(r.Taper), Source: definition},
	}
}

// Cautions returns what to mind when a strip is used.
func (StripResult) Cautions() []units.Caution {
	tm := units.Source{Text: "US Army TM 5-3895-383-24 p. 8-59", Provenance: units.Verified}
	return []units.Caution{
		{Text: "do not turn the crank with the strip in place", Source: tm},
		{Text: "read the strip at its widest part", Source: tm},
		{Text: "with the crank upright, hold its weight with a jack", Source: tm},
		{Text: "use no lead wire or shim stock on precision shells: plastic gauge or a ball micrometer", Source: units.Source{Text: "NAVEDTRA 14076 p. 3-21", Provenance: units.Verified}},
	}
}

// Comparison is one result held against another: a strip against a
// micrometer, a checked gap against a computed one.
type Comparison struct {
	Difference units.Measured[units.Length] // first - second
	// Agree says that the difference is within 2u of it. It is known only
	// where both uncertainties were stated (Known).
	Agree, Known bool
}

// Compare answers whether a strip and the micrometers tell the same clearance.
// The strip's smallest clearance is held against a clearance computed
// from readings at the same place:
//
//	difference = strip - micrometer     agree: |difference| <= 2u
//
// with u = sqrt(u_strip^2 + u_micrometer^2). Where they disagree neither is
// assumed right: read both again. Errors: a micrometer figure over 100 m or
// with a negative uncertainty, a StripResult that no Strip made (ErrMissing).
//
// Source: JCGM 100:2008, 5.1.2 and 6.2.1 (k = 2).
//
// Rows: strip-compare.
func (r StripResult) Compare(micrometer units.Measured[units.Length]) (Comparison, error) {
	if r == (StripResult{}) {
		return Comparison{}, fail("StripResult", "", units.ErrMissing, "want the result of Strip.Clearance")
	}
	if err := checkReading("micrometer", micrometer); err != nil {
		return Comparison{}, err
	}
	d := sub(r.Smallest, micrometer)
	return Comparison{Difference: d, Known: d.Stated, Agree: d.Stated && d.Value.Abs() <= 2*d.U}, nil
}
