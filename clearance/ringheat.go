package clearance

import (
	"errors"
	"math"
	"strings"

	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

// RingHeat is a ring and its bore at work, each at its own temperature.
type RingHeat struct {
	// Bore is the diameter where the ring is gapped and the temperature at
	// which ring and bore are gapped.
	Bore material.Part
	Ring material.Expansion
	// BoreAt and RingAt are the temperatures at work.
	BoreAt, RingAt units.Measured[units.Temperature]
}

// ThermalGap is the cold gap that a ring needs and what becomes of it.
type ThermalGap struct {
	Heat RingHeat
	// Left is the gap that is to be left at work.
	Left units.Length
	// Cold is the end gap as gapped.
	Cold units.Measured[units.Length]
	// HotBore is the bore at work.
	HotBore units.Measured[units.Length]
}

// MinimumGap answers which cold end gap leaves a gap of left at work; with left
// 0 the ends just meet and any less breaks the ring or scores the bore:
//
//	gap = pi D - (pi D rb - left)/rr
//
// with D = Bore.Size, rb and rr the growth ratios of bore and ring from
// Bore.Cold to BoreAt and RingAt (material.Expansion.Ratio). From the base
// temperature it is, to first order, pi D (ar dTr - ab dTb) + left. The ring
// counts at one mean temperature around; it is unknown in a running engine to
// some 50 K, and that is the caller's to state. A top ring is hotter than the
// room-temperature coefficients hold, which end at 150 degC: take one with means
// to higher temperatures, material.GrayIronGJL250 say. A negative gap is data:
// bore grows more than the ring, and any gap does.
//
// u^2 is that of the growth of ring and bore, each by material.Part.Growth over
// pi D, as independent.
//
// Errors: those of material.Part with Bore in front of the field, of
// material.Expansion with Ring; a left that is negative or over a tenth of the
// bore.
//
// Source: circumference of a circle; definition of the mean coefficient of
// linear thermal expansion; JCGM 100:2008, 5.1.2.
//
// Rows: ring-thermal-iron, ring-thermal-aluminum, ring-thermal-left,
// ring-thermal-u.
func (h RingHeat) MinimumGap(left units.Length) (ThermalGap, error) {
	hot, err := h.Bore.At(h.BoreAt)
	if err != nil {
		return ThermalGap{}, inField("Bore", "BoreAt", err)
	}
	if left < 0 || left > h.Bore.Size.Value/10 {
		return ThermalGap{}, fail("left", left.String(), units.ErrRange, "want a gap of 0 to a tenth of the bore")
	}
	rr, u, stated, err := h.ring()
	if err != nil {
		return ThermalGap{}, err
	}
	grown, err := h.Bore.Growth(h.BoreAt)
	if err != nil {
		return ThermalGap{}, inField("Bore", "BoreAt", err)
	}
	// Growth first, so that the small difference keeps its digits:
	// pi D - (pi D + pi G - left)/rr = (pi D (rr - 1) - pi G + left)/rr.
	d, g := float64(h.Bore.Size.Value), float64(grown.Value)
	gap := (math.Pi*(d*(rr-1)-g) + float64(left)) / rr
	// The bore's own size counts by (rr - rb)/rr only.
	rb := float64(hot.Value) / d
	ub := math.Hypot(math.Pi*float64(grown.U), math.Pi*(rr-rb)*float64(h.Bore.Size.U))
	return ThermalGap{
		Heat: h, Left: left, HotBore: hot,
		Cold: result(round(gap), stated && grown.Stated, math.Hypot(math.Pi*u, ub)/rr),
	}, nil
}

// inField names an error of a part after the field of ours that holds it.
func inField(field, temperature string, err error) error {
	var e *units.InputError
	if !errors.As(err, &e) {
		return err
	}
	f := *e
	f.Package, f.Field = "clearance", field+"."+e.Field
	if field == "Ring" { // a part made up of the ring's metal and the bore's size
		f.Field = strings.Replace(f.Field, "Ring.Expansion", "Ring", 1)
		f.Field = strings.Replace(f.Field, "Ring.Cold", "Bore.Cold", 1)
	}
	if e.Field == "t" || e.Field == "To" || strings.HasPrefix(e.Field, "t.") || strings.HasPrefix(e.Field, "At") {
		f.Field = temperature
	}
	return &f
}

// ring returns the growth ratio of the ring and the uncertainty of its growth
// over one diameter.
func (h RingHeat) ring() (ratio, u float64, stated bool, err error) {
	r := material.Part{Size: units.WithU(h.Bore.Size.Value, 0), Cold: h.Bore.Cold, Expansion: h.Ring}
	g, err := r.Growth(h.RingAt)
	if err != nil {
		return 0, 0, false, inField("Ring", "RingAt", err)
	}
	ratio, err = h.Ring.Ratio(material.Change{From: h.Bore.Cold.Value, To: h.RingAt.Value})
	if err != nil {
		return 0, 0, false, inField("Ring", "RingAt", err)
	}
	return ratio, float64(g.U), g.Stated, nil
}

// HotGap is a ring's gap at work.
type HotGap struct {
	Heat    RingHeat
	Cold    units.Measured[units.Length]
	Hot     units.Measured[units.Length]
	HotBore units.Measured[units.Length]
}

// HotGap answers what a cold end gap becomes at work:
//
//	hot = pi D rb - (pi D - cold) rr
//
// the inverse of MinimumGap, with its errors and its uncertainty joined to that
// of the gap. A negative hot gap is data and a warning: the ends butt before
// that. Further error: a cold gap that is negative or over a tenth of the bore.
//
// Source: as for MinimumGap.
//
// Rows: ring-hot-gap, ring-hot-butts, ring-hot-u.
func (h RingHeat) HotGap(cold units.Measured[units.Length]) (HotGap, error) {
	if err := checkReading("cold", cold); err != nil {
		return HotGap{}, err
	}
	m, err := h.MinimumGap(0)
	if err != nil {
		return HotGap{}, err
	}
	if cold.Value < 0 || cold.Value > h.Bore.Size.Value/10 {
		return HotGap{}, fail("cold", cold.Value.String(), units.ErrRange, "want a gap of 0 to a tenth of the bore")
	}
	rr, _, _, err := h.ring()
	if err != nil {
		return HotGap{}, err
	}
	// cold - minimum, grown with the ring.
	u := rr * math.Hypot(float64(cold.U), float64(m.Cold.U))
	hot := rr * float64(cold.Value-m.Cold.Value)
	return HotGap{Heat: h, Cold: cold, HotBore: m.HotBore, Hot: result(round(hot), cold.Stated && m.Cold.Stated, u)}, nil
}

// Working returns the derivation.
func (g ThermalGap) Working() units.Working {
	src := units.Source{Text: "circumference of a circle; linear thermal expansion", Provenance: units.Computed}
	return units.Working{
		{Symbol: "bore", Formula: "bore at " + g.Heat.BoreAt.Value.String(), Numbers: num(g.Heat.Bore.Size.Value), Value: measuredText(g.HotBore), Source: g.Heat.Bore.Expansion.Source},
		{Symbol: "gap", Formula: "pi D - (pi D rb - left)/rr, ring at " + g.Heat.RingAt.Value.String(), Numbers: "D = " + num(g.Heat.Bore.Size.Value) + ", left = " + num(g.Left), Value: measuredText(g.Cold), Source: src},
	}
}

// Working returns the derivation.
func (g HotGap) Working() units.Working {
	src := units.Source{Text: "circumference of a circle; linear thermal expansion", Provenance: units.Computed}
	return units.Working{
		{Symbol: "bore", Formula: "bore at " + g.Heat.BoreAt.Value.String(), Numbers: num(g.Heat.Bore.Size.Value), Value: measuredText(g.HotBore), Source: g.Heat.Bore.Expansion.Source},
		{Symbol: "hot gap", Formula: "pi D rb - (pi D - cold) rr, ring at " + g.Heat.RingAt.Value.String(), Numbers: "D = " + num(g.Heat.Bore.Size.Value) + ", cold = " + num(g.Cold.Value), Value: measuredText(g.Hot), Source: src},
	}
}
