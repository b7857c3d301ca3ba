package valvetrain

import (
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

// ElasticOf answers how far a material gives way in a contact: its Young and its
// Poisson. Hardening changes neither to speak of. Errors: a property without a
// source, which some alloys do not have (ErrMissing), a modulus not over 0 or over
// 1e13 Pa, a ratio outside (-1, 0.5] (ErrRange).
//
// Source: as the material states.
//
// Rows: hertz-alloys-width, hertz-alloys-peak.
func ElasticOf(m material.Material) (Elastic, error) {
	switch e, nu := m.Young, m.Poisson; {
	case !e.Source.Given():
		return Elastic{}, fail("Young", "", units.ErrMissing, "want the modulus of elasticity of "+m.Name+" and its source")
	case !nu.Source.Given():
		return Elastic{}, fail("Poisson", "", units.ErrMissing, "want Poisson's ratio of "+m.Name+" and its source")
	case !(e.Value > 0 && e.Value <= 1e13):
		return Elastic{}, fail("Young", e.Value.String(), units.ErrRange, "want a modulus over 0 and up to 1e13 Pa")
	case !(nu.Value > -1 && nu.Value <= 0.5):
		return Elastic{}, fail("Poisson", plain(nu.Value), units.ErrRange, "want a ratio over -1 and up to 0.5")
	}
	return Elastic{Young: m.Young.Value, Poisson: m.Poisson.Value}, nil
}
