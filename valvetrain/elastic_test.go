package valvetrain_test

import (
	"fmt"
	"testing"

	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
	"example.com/trialfit/valvetrain"
)

// A chilled iron lobe under a lifter of steel, by the figures of the materials.
func ExampleElasticOf() {
	of := func(a material.Alloy) valvetrain.Elastic {
		m, err := a.Material()
		if err != nil {
			fmt.Println(err)
		}
		e, err := valvetrain.ElasticOf(m)
		if err != nil {
			fmt.Println(err)
		}
		return e
	}
	h, err := valvetrain.LineContact{
		Force: units.Newtons(1200), Length: units.MustParseLength("14 mm"), First: units.MustParseLength("20 mm"), Second: units.MustParseLength("8.5 mm"),
		Surfaces: valvetrain.Surfaces{First: of(material.GrayIron), Second: of(material.CarbonSteel)},
	}.Hertz()
	// By hand: E* = 1/((1 - 0.26^2)/102 + (1 - 0.3^2)/207) = 73.87 GPa, R = 5.965 mm,
	// sqrt(F E*/(pi l R)) = 581.3 MPa.
	show(err, h.HalfWidth.Text(units.Millimeters, 4), fmt.Sprintf("%.0f MPa", h.Peak.Megapascals()))
	// Output:
	// 0.0939 mm 581 MPa
}

func TestElasticOf(t *testing.T) {
	good := material.Material{
		Young:   material.Property[units.Pressure]{Value: 2e11, Source: own},
		Poisson: material.Property[float64]{Value: 0.3, Source: own},
	}
	if e := must[valvetrain.Elastic](t)(valvetrain.ElasticOf(good)); e != (valvetrain.Elastic{Young: 2e11, Poisson: 0.3}) {
		t.Errorf("%+v", e)
	}
	of := func(change func(*material.Material)) func() (any, error) {
		return with(good, change, valvetrain.ElasticOf)
	}
	type M = material.Material
	refuse(t, []bad{
		{"nothing", one(func() (valvetrain.Elastic, error) { return valvetrain.ElasticOf(M{}) }), "Young", units.ErrMissing},
		{"no source of the ratio", of(func(m *M) { m.Poisson.Source = units.Source{} }), "Poisson", units.ErrMissing},
		{"no modulus", of(func(m *M) { m.Young.Value = 0 }), "Young", units.ErrRange},
		{"modulus nan", of(func(m *M) { m.Young.Value = units.Pressure(nan) }), "Young", units.ErrRange},
		{"modulus inf", of(func(m *M) { m.Young.Value = units.Pressure(inf) }), "Young", units.ErrRange},
		{"ratio nan", of(func(m *M) { m.Poisson.Value = nan }), "Poisson", units.ErrRange},
		{"ratio", of(func(m *M) { m.Poisson.Value = 0.6 }), "Poisson", units.ErrRange},
	})
}
