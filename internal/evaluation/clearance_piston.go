package evaluation

import (
	"fmt"
	"strconv"
	"strings"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

func (in *inputs) skirt() (clearance.SkirtClearance, clearance.SkirtFit, error) {
	var f clearance.SkirtFit
	f.Bore, f.BoreAt = in.part("bore ", "bore")
	f.Piston, f.PistonCold = in.expansion("piston "), in.uncertainTemperature("piston ", "cold")
	f.GaugeHeight = in.length("gauge")
	f.Skirt = wordList(in, "skirt", func(w []string) (clearance.SkirtPoint, error) {
		if len(w) != 6 {
			return clearance.SkirtPoint{}, fmt.Errorf("evaluation: skirt %q: want height, diameter and temperature", w)
		}
		l, err := wordLengths(w[:4])
		if err != nil {
			return clearance.SkirtPoint{}, err
		}
		t, err := units.ParseTemperature(w[4] + " " + w[5])
		p := clearance.SkirtPoint{Height: l[0], Diameter: units.Unstated(l[1]), At: units.Unstated(t)}
		if in.has("piston u") {
			p.Diameter = units.WithU(l[1], in.length("piston u"))
		}
		if in.has("piston u at") {
			p.At = units.WithU(t, units.Kelvins(read(in, "piston u at", units.ParseTemperatureDifference).Kelvins()))
		}
		return p, err
	})
	c, err := f.Clearance()
	return c, f, err
}

func (in *inputs) hotPoint() (units.Measured[units.Length], error) {
	c, _, err := in.skirt()
	if err != nil {
		return units.Measured[units.Length]{}, err
	}
	i := in.int("point") - 1
	if i < 0 || i >= len(c.Hot) {
		return units.Measured[units.Length]{}, fmt.Errorf("evaluation: no point %d", i+1)
	}
	return c.Hot[i].Clearance, nil
}

func (in *inputs) matched() (clearance.Matched, error) {
	m := clearance.Matching{Bores: in.lengths("bores"), Shafts: in.lengths("shafts"), Target: in.length("target")}
	if in.text("objective") == "squares" {
		m.Objective = clearance.SquaresFirst
	}
	return m.Match()
}

// clearancePiston computes the rows of piston_fit.csv.
func clearancePiston(add adder) {
	add("piston clearance, cold", func(in *inputs) (Answer, error) {
		c, _, err := in.skirt()
		return in.rowLength(c.Cold.Value, err)
	}, "SkirtFit.Clearance")
	add("piston clearance at work", func(in *inputs) (Answer, error) {
		m, err := in.hotPoint()
		return in.rowLength(m.Value, err)
	}, "SkirtFit.Clearance")
	add("uncertainty of a piston clearance at work", func(in *inputs) (Answer, error) {
		m, err := in.hotPoint()
		return in.rowLength(m.U, err)
	}, "SkirtFit.Clearance")
	add("height at which a piston is tightest at work", func(in *inputs) (Answer, error) {
		c, f, err := in.skirt()
		if err != nil {
			return Answer{}, err
		}
		return in.rowLength(f.Skirt[c.Tightest].Height, nil)
	}, "SkirtFit.Clearance")
	add("piston clearance from a ribbon pull", func(in *inputs) (Answer, error) {
		c, err := clearance.RibbonPull{Ribbon: in.unstated("ribbon")}.Clearance()
		return in.rowLength(c.Value, err)
	}, "RibbonPull.Clearance")
	plate := func(pick func(clearance.PlateChange) units.Length) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			c, err := clearance.TorquePlate{Free: in.round("free"), Clamped: in.round("clamped")}.Change()
			return in.rowLength(pick(c), err)
		}
	}
	add("change of the mean bore by a plate", plate(func(c clearance.PlateChange) units.Length { return c.Mean.Value }), "TorquePlate.Change")
	add("change of the out-of-round by a plate", plate(func(c clearance.PlateChange) units.Length { return c.OutOfRound.Value }), "TorquePlate.Change")
	add("change of the taper by a plate", plate(func(c clearance.PlateChange) units.Length { return c.Taper.Value }), "TorquePlate.Change")
	add("diameter that a plate moves most", plate(func(c clearance.PlateChange) units.Length { return c.Most.Change.Value }), "TorquePlate.Change")
	add("pairing, largest deviation", func(in *inputs) (Answer, error) {
		m, err := in.matched()
		return in.rowLength(m.LargestDeviation, err)
	}, "Matching.Match")
	add("pairing, root of the sum of squares", func(in *inputs) (Answer, error) {
		m, err := in.matched()
		return in.rowLength(m.RootSumSquares, err)
	}, "Matching.Match")
	add("pairing, order", func(in *inputs) (Answer, error) {
		m, err := in.matched()
		var out []string
		for _, p := range m.Matches {
			out = append(out, strconv.Itoa(p.Shaft+1))
		}
		return Text(strings.Join(out, " ")), err
	}, "Matching.Match")
	add("pairing, left over", func(in *inputs) (Answer, error) {
		m, err := in.matched()
		var out []string
		for _, s := range m.Spare {
			out = append(out, strconv.Itoa(s+1))
		}
		return Text(strings.Join(out, " ")), err
	}, "Matching.Match")
	repeats := func(in *inputs, name string) clearance.DialReadings {
		r := in.lengths(name)
		for i := range r {
			r[i] = in.withRowU(r[i].Value)
		}
		return r
	}
	deck := func(pick func(clearance.Deck) units.Length) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			d, err := clearance.CrownReadings{
				Thrust: repeats(in, "thrust"), Opposite: repeats(in, "opposite"),
				ThrustOffset: in.length("thrust offset"), OppositeOffset: in.length("opposite offset"),
			}.Deck()
			return in.rowLength(pick(d), err)
		}
	}
	add("deck height at the pin axis", deck(func(d clearance.Deck) units.Length { return d.Height.Value }), "CrownReadings.Deck")
	add("uncertainty of a deck height", deck(func(d clearance.Deck) units.Length { return d.Height.U }), "CrownReadings.Deck")
	add("rock of a piston at top dead center", deck(func(d clearance.Deck) units.Length { return d.Rock.Value }), "CrownReadings.Deck")
	rock := func(in *inputs) (clearance.Rock, error) {
		return clearance.RockRoom{Clearance: in.lengthWithU("clearance", "u clearance"), Guided: in.lengthWithU("guided", "u guided"), Offset: in.length("offset")}.Rock()
	}
	add("rise of a rocking crown", func(in *inputs) (Answer, error) {
		r, err := rock(in)
		return in.rowLength(r.Rise.Value, err)
	}, "RockRoom.Rock")
	add("uncertainty of the rise of a rocking crown", func(in *inputs) (Answer, error) {
		r, err := rock(in)
		return in.rowLength(r.Rise.U, err)
	}, "RockRoom.Rock")
	add("lean of a rocking piston", func(in *inputs) (Answer, error) {
		r, err := rock(in)
		return Number(r.Angle.Degrees()), err
	}, "RockRoom.Rock")
}
