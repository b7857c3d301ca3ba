package evaluation

import (
	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// measuredLength reads a length that may be missing, with its uncertainty where
// the row gives one.
func (in *inputs) measuredLength(name string) units.Measured[units.Length] {
	if !in.has(name) {
		return units.Measured[units.Length]{}
	}
	m := units.Unstated(in.length(name))
	for _, u := range []string{"u " + name, "u all"} {
		if in.has(u) {
			m = units.WithU(m.Value, in.length(u))
		}
	}
	return m
}

func (in *inputs) measuredVolume(name string) units.Measured[units.Volume] {
	if !in.has(name) {
		return units.Measured[units.Volume]{}
	}
	m := units.Unstated(read(in, name, units.ParseVolume))
	if in.has("u " + name) {
		m = units.WithU(m.Value, read(in, "u "+name, units.ParseVolume))
	}
	return m
}

// inVolume gives a volume in the unit of the row.
func (in *inputs) inVolume(v units.Volume) Answer {
	switch in.row.Unit {
	case "in3":
		return Number(v.CubicInches())
	case "L":
		return Number(v.Liters())
	default:
		return Number(v.CubicCentimeters())
	}
}

// compression reads a cylinder: a chamber, or a static ratio with nothing else.
func compression(in *inputs) clearance.Compression {
	c := clearance.Compression{
		Bore: in.measuredLength("bore"), Stroke: in.measuredLength("stroke"),
		Head: in.measuredVolume("head"), Crown: in.measuredVolume("crown"),
		GasketBore: in.measuredLength("gasket bore"), Gasket: in.measuredLength("gasket"),
		Deck: in.measuredLength("deck"), Land: in.measuredLength("land"), TopRing: in.measuredLength("top ring"),
	}
	if in.has("throw") && !in.has("stroke") {
		c.Stroke = units.Unstated(2 * in.length("throw"))
	}
	if in.has("static") {
		v, err := clearance.Displacement{Bore: c.Bore.Value, Stroke: c.Stroke.Value, Cylinders: 1}.Volume()
		if in.err == nil {
			in.err = err
		}
		c.Head = units.Unstated(v / units.Volume(in.float("static")-1))
	}
	return c
}

func clearanceCompression(add adder) {
	add("engine displacement", func(in *inputs) (Answer, error) {
		v, err := clearance.Displacement{Bore: in.length("bore"), Stroke: in.length("stroke"), Cylinders: in.int("cylinders")}.Volume()
		return in.inVolume(v), err
	}, "Displacement.Volume")
	volumes := func(quantity string, f func(*inputs, clearance.CompressionVolumes) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			v, err := compression(in).Volumes()
			return f(in, v), err
		}, "Compression.Volumes")
	}
	volumes("compression ratio", func(_ *inputs, v clearance.CompressionVolumes) Answer { return Number(float64(v.Ratio.Value)) })
	volumes("uncertainty of a compression ratio", func(_ *inputs, v clearance.CompressionVolumes) Answer { return Number(float64(v.Ratio.U)) })
	volumes("clearance volume", func(in *inputs, v clearance.CompressionVolumes) Answer { return in.inVolume(v.Clearance.Value) })
	volumes("uncertainty of a clearance volume", func(in *inputs, v clearance.CompressionVolumes) Answer { return in.inVolume(v.Clearance.U) })
	volumes("gasket volume", func(in *inputs, v clearance.CompressionVolumes) Answer { return in.inVolume(v.Gasket) })
	volumes("deck volume", func(in *inputs, v clearance.CompressionVolumes) Answer { return in.inVolume(v.Deck) })
	volumes("crevice volume", func(in *inputs, v clearance.CompressionVolumes) Answer { return in.inVolume(v.Crevice) })
	volumes("ratio per millimeter of bore", func(_ *inputs, v clearance.CompressionVolumes) Answer { return Number(v.Sensitivity.PerMillimeterBore) })
	volumes("ratio per millimeter of stroke", func(_ *inputs, v clearance.CompressionVolumes) Answer {
		return Number(v.Sensitivity.PerMillimeterStroke)
	})
	volumes("ratio per millimeter of gasket", func(_ *inputs, v clearance.CompressionVolumes) Answer {
		return Number(v.Sensitivity.PerMillimeterGasket)
	})
	volumes("ratio per millimeter of deck", func(_ *inputs, v clearance.CompressionVolumes) Answer { return Number(v.Sensitivity.PerMillimeterDeck) })
	volumes("ratio per cubic centimeter", func(_ *inputs, v clearance.CompressionVolumes) Answer {
		return Number(v.Sensitivity.PerCubicCentimeter)
	})
	wanted := func(quantity string, f func(*inputs, clearance.RatioChoices) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			r, err := compression(in).ForRatio(clearance.CompressionRatio(in.float("wanted")))
			return f(in, r), err
		}, "Compression.ForRatio")
	}
	wanted("clearance volume for a ratio", func(in *inputs, r clearance.RatioChoices) Answer { return in.inVolume(r.Clearance) })
	wanted("gasket for a ratio", func(in *inputs, r clearance.RatioChoices) Answer { return in.inUnit(r.Gasket.Value) })
	wanted("deck for a ratio", func(in *inputs, r clearance.RatioChoices) Answer { return in.inUnit(r.Deck) })
	wanted("chamber for a ratio", func(in *inputs, r clearance.RatioChoices) Answer { return in.inVolume(r.Head.Value) })
	wanted("crown for a ratio", func(in *inputs, r clearance.RatioChoices) Answer { return in.inVolume(r.Crown) })
	burette := func(in *inputs) (units.Measured[units.Volume], error) {
		return clearance.Burette{Bore: in.measuredLength("bore"), Drop: in.measuredLength("drop"), Filled: in.measuredVolume("filled")}.Crown()
	}
	add("crown volume by burette", func(in *inputs) (Answer, error) {
		v, err := burette(in)
		return in.inVolume(v.Value), err
	}, "Burette.Crown")
	add("uncertainty of a crown volume", func(in *inputs) (Answer, error) {
		v, err := burette(in)
		return in.inVolume(v.U), err
	}, "Burette.Crown")
	effective := func(quantity string, f func(*inputs, clearance.EffectiveCompression) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			k, err := sliderCrank(in)
			if err != nil {
				return Answer{}, err
			}
			s := clearance.IntakeClosing{Piston: k, IVC: in.crank("ivc")}
			if in.has("advance") {
				s.Advance = in.crank("advance")
			}
			e, err := compression(in).Effective(s)
			return f(in, e), err
		}, "Compression.Effective", "camtiming.SliderCrank.Trapped")
	}
	effective("effective compression ratio", func(_ *inputs, e clearance.EffectiveCompression) Answer { return Number(float64(e.Ratio.Value)) })
	effective("uncertainty of an effective ratio", func(_ *inputs, e clearance.EffectiveCompression) Answer { return Number(float64(e.Ratio.U)) })
	effective("travel left of an effective ratio", func(in *inputs, e clearance.EffectiveCompression) Answer {
		if in.row.Unit == "10 nm" {
			return Number(e.Trapped.Travel.Meters() * 1e8)
		}
		return in.inUnit(e.Trapped.Travel)
	})
	squish := func(quantity string, f func(*inputs, clearance.SquishClearance) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			c, err := clearance.Squish{Deck: in.measuredLength("deck"), Gasket: in.measuredLength("gasket"), Recess: in.measuredLength("recess"), Growth: in.measuredLength("growth")}.Clearance()
			return f(in, c), err
		}, "Squish.Clearance")
	}
	squish("squish clearance", func(in *inputs, c clearance.SquishClearance) Answer { return in.inUnit(c.Static.Value) })
	squish("running squish clearance", func(in *inputs, c clearance.SquishClearance) Answer { return in.inUnit(c.Running.Value) })
	squish("uncertainty of a running squish clearance", func(in *inputs, c clearance.SquishClearance) Answer { return in.inUnit(c.Running.U) })
	crush := func(quantity string, f func(*inputs, clearance.GasketCrush) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			c, err := clearance.GasketPair{New: in.measuredLength("new"), Compressed: in.measuredLength("compressed")}.Crush()
			return f(in, c), err
		}, "GasketPair.Crush")
	}
	crush("gasket crush", func(in *inputs, c clearance.GasketCrush) Answer { return in.inUnit(c.Crush.Value) })
	crush("gasket crush over new thickness", func(_ *inputs, c clearance.GasketCrush) Answer { return Number(c.OfNew) })
	crush("uncertainty of a gasket crush", func(in *inputs, c clearance.GasketCrush) Answer { return in.inUnit(c.Crush.U) })
	table := func(quantity string, f func(*inputs, clearance.GasketLine) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			stated := units.Source{Text: "the row", Provenance: units.Stated}
			lines, err := clearance.GasketChoice{
				Compression: compression(in), Growth: in.measuredLength("growth"), Gaskets: in.lengths("gaskets"), Rule: units.SimpleAcceptance,
				Ratio:  units.Between(clearance.CompressionRatio(in.float("ratio min")), clearance.CompressionRatio(in.float("ratio max")), stated),
				Squish: units.Between(in.length("squish min"), in.length("squish max"), stated),
			}.Table()
			if err != nil {
				return Answer{}, err
			}
			return f(in, lines[in.int("index")]), nil
		}, "GasketChoice.Table")
	}
	table("ratio of a gasket in the table", func(_ *inputs, l clearance.GasketLine) Answer { return Number(float64(l.Volumes.Ratio.Value)) })
	table("squish of a gasket in the table", func(in *inputs, l clearance.GasketLine) Answer { return in.inUnit(l.Squish.Running.Value) })
	table("verdict on a gasket in the table", func(_ *inputs, l clearance.GasketLine) Answer { return Text(l.Outcome.String()) })
}
