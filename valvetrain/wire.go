package valvetrain

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// WireMaterial is what a spring's wire is made of. The zero WireMaterial is
// none.
type WireMaterial uint8

// Wire materials of the table of moduli.
const (
	HardDrawnWire WireMaterial = iota + 1
	MusicWire
	OilTemperedWire
	ChromeVanadiumWire
	ChromeSiliconWire
	SiliconManganeseWire
	AusteniticStainlessWire    // types 302, 304, 316
	PrecipitationStainlessWire // type 17-7 PH
	MartensiticStainlessWire   // type 420
	BerylliumCopperWire        // cold drawn, 4 numbers hard
	PhosphorBronzeWire         // 5 % tin
	SpringBrassWire            // 70-30
	NickelChromiumWire         // alloy 600
	lastWire                   = NickelChromiumWire
)

// String names the material.
func (m WireMaterial) String() string {
	if m == 0 || m > lastWire {
		return "WireMaterial(" + strconv.Itoa(int(m)) + ")"
	}
	return [...]string{
		"hard drawn", "music wire", "oil tempered", "chrome vanadium", "chrome silicon", "silicon manganese",
		"stainless 302, 304, 316", "stainless 17-7 PH", "stainless 420", "beryllium copper", "phosphor bronze", "spring brass", "nickel chromium 600",
	}[m-1]
}

// WireModulus are the elastic moduli of a wire.
type WireModulus struct {
	Shear units.Pressure // G, for compression springs
	Young units.Pressure // E
	// Over and UpTo bound the wire diameters for which the figures are
	// printed; both 0 where the table does not depend on the diameter.
	Over, UpTo units.Length
	Source     units.Source
}

// wireStep is one line of the table, in millions of psi.
type wireStep struct {
	upTo         units.Length
	shear, young float64
}

var moduli = units.Source{Text: "Machinery's Handbook, 31st ed. (2020), p. 346, Table 20", Provenance: units.Verified}

// steps returns the lines of a material, by rising diameter.
func (m WireMaterial) steps() []wireStep {
	switch m {
	case HardDrawnWire:
		return []wireStep{{32 * units.Thou, 11.7, 28.8}, {63 * units.Thou, 11.6, 28.7}, {125 * units.Thou, 11.5, 28.6}, {625 * units.Thou, 11.4, 28.5}}
	case MusicWire:
		return []wireStep{{32 * units.Thou, 12.0, 29.5}, {63 * units.Thou, 11.85, 29.0}, {125 * units.Thou, 11.75, 28.5}, {250 * units.Thou, 11.6, 28.0}}
	case OilTemperedWire, ChromeVanadiumWire:
		return []wireStep{{0, 11.2, 28.5}}
	case ChromeSiliconWire:
		return []wireStep{{0, 11.2, 29.5}}
	case SiliconManganeseWire:
		return []wireStep{{0, 10.75, 29.0}}
	case AusteniticStainlessWire:
		return []wireStep{{0, 10.0, 28.0}}
	case PrecipitationStainlessWire:
		return []wireStep{{0, 10.5, 29.5}}
	case MartensiticStainlessWire:
		return []wireStep{{0, 11.0, 29.0}}
	case BerylliumCopperWire:
		return []wireStep{{0, 7.0, 17.0}}
	case PhosphorBronzeWire:
		return []wireStep{{0, 6.0, 15.0}}
	case SpringBrassWire:
		return []wireStep{{0, 5.0, 15.0}}
	case NickelChromiumWire:
		return []wireStep{{0, 10.5, 31.0}}
	default:
		return nil
	}
}

// Modulus answers what moduli a wire of a diameter has. Music wire and hard
// drawn wire go down in steps of the diameter; the table prints the steps to
// 0.001 in ("to 0.032", "0.033 to 0.063"), and a wire between two steps takes
// the thicker one: over 0.032 in is the second step. The others are one figure
// for all diameters.
//
// The figures are those of new wire at room temperature; that the table gives
// no uncertainty is passed on: state your own in Coil.Shear. Another handbook
// prints E of chrome vanadium as 29.5 in place of 28.5 million psi; G is the
// same in both.
//
// An unknown material is ErrMissing, a diameter that is not over 0 or over the
// largest of the table (0.250 in for music wire, 0.625 in for hard drawn wire)
// ErrRange.
//
// Source: Machinery's Handbook, 31st ed. (2020), p. 346, Table 20.
//
// Rows: mod-music-32, mod-music-33, mod-music-125, mod-music-126, mod-hard-625,
// mod-music-e, mod-chrome-vanadium, mod-chrome-silicon, mod-17-7,
// mod-brass, mod-nickel-e.
func (m WireMaterial) Modulus(wire units.Length) (WireModulus, error) {
	steps := m.steps()
	if steps == nil {
		return WireModulus{}, fail("WireMaterial", m.String(), units.ErrMissing, "want a wire material of the table")
	}
	if err := checkSize("wire", wire); err != nil {
		return WireModulus{}, err
	}
	var over units.Length
	for _, s := range steps {
		if s.upTo == 0 || wire <= s.upTo {
			return WireModulus{
				Shear: units.PoundsPerSquareInch(s.shear * 1e6), Young: units.PoundsPerSquareInch(s.young * 1e6),
				Over: over, UpTo: s.upTo, Source: moduli,
			}, nil
		}
		over = s.upTo
	}
	return WireModulus{}, fail("wire", text(wire), units.ErrRange, "the table of "+m.String()+" ends at "+text(over))
}

// WireStrength is the tensile strength of a wire that grows as it is drawn
// thinner, by a law of the diameter.
type WireStrength struct {
	Coefficient units.Pressure // A, at the reference diameter
	Reference   units.Length   // 1 mm or 1 in, whichever A is printed for
	Exponent    float64        // m, a number
}

// Tensile answers what strength a wire of a diameter d has:
//
//	Sut = A/(d/Reference)^m
//
// A torsional yield is a share of it that the caller knows the source of (0.45
// in one textbook). The law is a minimum fitted over the diameters of its table.
// Errors: a coefficient, reference or wire that is missing, negative or not
// finite; an exponent outside 0 to 1.
//
// Source: Jindal, Machine Design, ch. 8; Shigley's Mechanical Engineering Design,
// 9th ed., Table 10-4 (from memory).
//
// Rows: jin-8-7-tys, shi-10-1-sut.
func (s WireStrength) Tensile(wire units.Length) (units.Pressure, error) {
	if err := checkOver("Coefficient", s.Coefficient, 1e12, "want a strength over 0 and up to 1e12 Pa"); err != nil {
		return 0, err
	}
	if err := checkSize("Reference", s.Reference); err != nil {
		return 0, err
	}
	if !(s.Exponent >= 0 && s.Exponent <= 1) {
		return 0, fail("Exponent", plain(s.Exponent), units.ErrRange, "want an exponent of 0 to 1")
	}
	if err := checkSize("wire", wire); err != nil {
		return 0, err
	}
	return s.Coefficient / units.Pressure(math.Pow(wire.Meters()/s.Reference.Meters(), s.Exponent)), nil
}
