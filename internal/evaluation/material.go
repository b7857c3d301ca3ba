package evaluation

import (
	"errors"
	"math"
	"strings"

	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

// materialCases computes the rows of package material.
func materialCases() []Case {
	return collect("material", materialFigures, materialParts)
}

// expansion reads the inputs of one expansion: a mean coefficient or a table,
// with "prefix " in front of each name.
func (in *inputs) expansion(prefix string) material.Expansion {
	e := material.Expansion{
		Base: units.Celsius(20), Lowest: units.Kelvins(50), Highest: units.Kelvins(1500),
		Source: units.Source{Text: "the row", Provenance: units.Stated},
	}
	if in.has(prefix + "base") {
		e.Base = read(in, prefix+"base", units.ParseTemperature)
	}
	if !in.has(prefix + "means") {
		e.Coefficient.Value = read(in, prefix+"a", units.ParseExpansion)
		if in.has(prefix + "u a") {
			e.Coefficient = units.WithU(e.Coefficient.Value, read(in, prefix+"u a", units.ParseExpansion))
		}
		return e
	}
	for mean := range strings.SplitSeq(in.text(prefix+"means"), ",") {
		to, a, _ := strings.Cut(mean, ":")
		t, err1 := units.ParseTemperature(to)
		c, err2 := units.ParseExpansion(a)
		if in.err == nil {
			in.err = errors.Join(err1, err2)
		}
		e.Means = append(e.Means, material.MeanTo{To: t, Coefficient: units.Unstated(c)})
	}
	e.Lowest, e.Highest = min(e.Base, e.Means[0].To), e.Means[len(e.Means)-1].To
	return e
}

// uncertainTemperature reads a temperature and, if the row gives it, its
// uncertainty.
func (in *inputs) uncertainTemperature(prefix, name string) units.Measured[units.Temperature] {
	t := units.Unstated(read(in, prefix+name, units.ParseTemperature))
	if in.has(prefix + "u " + name) {
		u := read(in, prefix+"u "+name, units.ParseTemperatureDifference)
		t = units.WithU(t.Value, units.Kelvins(u.Kelvins()))
	}
	return t
}

// part reads a part and the temperature it is taken to.
func (in *inputs) part(prefix, size string) (material.Part, units.Measured[units.Temperature]) {
	p := material.Part{Size: units.Unstated(in.length(size)), Cold: in.uncertainTemperature(prefix, "cold"), Expansion: in.expansion(prefix)}
	if in.has(prefix + "u") {
		p.Size = units.WithU(p.Size.Value, in.length(prefix+"u"))
	}
	if !in.has(prefix + "at") {
		return p, units.Measured[units.Temperature]{}
	}
	return p, in.uncertainTemperature(prefix, "at")
}

func (in *inputs) pair() (p material.Pair, w material.Warm) {
	p.Bore, w.Bore = in.part("bore ", "bore")
	p.Shaft, w.Shaft = in.part("shaft ", "shaft")
	return p, w
}

func materialFigures(add adder) {
	alloy := func(in *inputs) material.Material {
		a := read(in, "alloy", material.ParseAlloy)
		if in.err != nil {
			return material.Material{}
		}
		m, err := a.Material()
		in.err = err
		return m
	}
	coefficient := func(in *inputs) (units.Expansion, material.Material, error) {
		m, t := alloy(in), read(in, "at", units.ParseTemperature)
		if in.err != nil {
			return 0, m, in.err
		}
		a, err := m.Expansion.Mean(material.Change{From: t, To: t})
		return a, m, err
	}
	add("linear expansion coefficient", func(in *inputs) (Answer, error) {
		a, _, err := coefficient(in)
		return Number(a.PerKelvin() * 1e6), err
	}, "Alloy.Material", "ParseAlloy", "Expansion.Mean")
	add("linear expansion coefficient with its spread", func(in *inputs) (Answer, error) {
		a, m, err := coefficient(in)
		half := units.PerKelvin(m.Expansion.Coefficient.U.PerKelvin() * math.Sqrt(3))
		return Interval((a-half).PerDegreeFahrenheit()*1e6, (a+half).PerDegreeFahrenheit()*1e6), err
	}, "Alloy.Material", "ParseAlloy", "Expansion.Mean")
	add("coefficient per Fahrenheit degree", func(in *inputs) (Answer, error) {
		return Number(read(in, "a", units.ParseExpansion).PerKelvin() * 1e6), nil
	}, "units.ParseExpansion", "units.Expansion.PerKelvin")
	add("modulus of elasticity", func(in *inputs) (Answer, error) { return Number(alloy(in).Young.Value.Megapascals() / 1e3), nil }, "Alloy.Material", "ParseAlloy")
	add("Poisson's ratio", func(in *inputs) (Answer, error) { return Number(alloy(in).Poisson.Value), nil }, "Alloy.Material", "ParseAlloy")
	add("density", func(in *inputs) (Answer, error) {
		return Number(alloy(in).Density.Value.GramsPerCubicCentimeter()), nil
	}, "Alloy.Material", "ParseAlloy")
	add("shear modulus", func(in *inputs) (Answer, error) {
		src := units.Source{Text: "the row", Provenance: units.Stated}
		g, err := material.Material{
			Young:   material.Property[units.Pressure]{Value: read(in, "e", units.ParsePressure), Source: src},
			Poisson: material.Property[float64]{Value: in.float("nu"), Source: src},
		}.ShearModulus()
		return Number(g.Megapascals() / 1e3), err
	}, "Material.ShearModulus")
}

func materialParts(add adder) {
	change := func(in *inputs) material.Change {
		return material.Change{From: read(in, "from", units.ParseTemperature), To: read(in, "to", units.ParseTemperature)}
	}
	add("length ratio of a change of temperature", func(in *inputs) (Answer, error) {
		r, err := in.expansion("").Ratio(change(in))
		return Number(r), err
	}, "Expansion.Ratio")
	add("mean coefficient of a change of temperature", func(in *inputs) (Answer, error) {
		a, err := in.expansion("").Mean(change(in))
		return Number(a.PerKelvin() * 1e6), err
	}, "Expansion.Mean")
	growth := func(in *inputs) (units.Measured[units.Length], error) {
		p, t := in.part("", "size")
		return p.Growth(t)
	}
	at := func(in *inputs) (units.Measured[units.Length], error) {
		p, t := in.part("", "size")
		return p.At(t)
	}
	hot := func(in *inputs) (material.HotClearance, error) {
		p, w := in.pair()
		return p.Hot(w)
	}
	value := func(f func(*inputs) (units.Measured[units.Length], error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) { m, err := f(in); return Number(m.Value.Millimeters()), err }
	}
	uncertainty := func(f func(*inputs) (units.Measured[units.Length], error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			m, err := f(in)
			if err == nil && !m.Stated {
				err = errors.New("no uncertainty is stated")
			}
			return Number(m.U.Millimeters()), err
		}
	}
	add("growth of a part", value(growth), "Part.Growth")
	add("uncertainty of the growth of a part", uncertainty(growth), "Part.Growth")
	add("part at temperature", value(at), "Part.At")
	add("uncertainty of a part at temperature", uncertainty(at), "Part.At")
	clearance := func(in *inputs) (units.Measured[units.Length], error) { h, err := hot(in); return h.Clearance, err }
	add("clearance at temperature", value(clearance), "Pair.Hot")
	add("uncertainty of a clearance at temperature", uncertainty(clearance), "Pair.Hot")
	add("gain of a clearance on warming", func(in *inputs) (Answer, error) {
		h, err := hot(in)
		if in.row.Unit == "in" {
			return Number(h.Change.Value.Inches()), err
		}
		return Number(h.Change.Value.Millimeters()), err
	}, "Pair.Hot")
	sides := map[string]material.Side{"bore": material.TheBore, "shaft": material.TheShaft}
	add("temperature to assemble", func(in *inputs) (Answer, error) {
		p, _ := in.pair()
		t, err := p.Assemble(material.Assembly{Treat: sides[in.text("treat")], Other: read(in, "other", units.ParseTemperature), Clearance: in.length("clearance")})
		return Number(t.Celsius()), err
	}, "Pair.Assemble")
	gauging := func(in *inputs) material.Gauging {
		return material.Gauging{
			Part: in.expansion("part "), Gauge: in.expansion("gauge "), PartAt: read(in, "part at", units.ParseTemperature),
			GaugeAt: read(in, "gauge at", units.ParseTemperature), Reference: read(in, "reference", units.ParseTemperature),
		}
	}
	add("reading of a warm part", func(in *inputs) (Answer, error) {
		l, err := gauging(in).Reads(in.length("size"))
		return Number(l.Millimeters()), err
	}, "Gauging.Reads")
	add("size of a part read warm", func(in *inputs) (Answer, error) {
		l, err := gauging(in).Size(in.length("reading"))
		return Number(l.Millimeters()), err
	}, "Gauging.Size")
}
