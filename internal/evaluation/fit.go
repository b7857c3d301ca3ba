package evaluation

import (
	"errors"
	"strconv"
	"strings"

	"example.com/trialfit/clearance"
	"example.com/trialfit/clearance/fit"
	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

// fitLimits computes the rows of iso_fits.csv and inch_fits.csv.
func fitLimits(add adder) {
	add("standard tolerance unit", func(in *inputs) (Answer, error) {
		l, err := fit.ToleranceUnit(in.length("nominal"))
		return Number(l.Micrometers()), err
	}, "ToleranceUnit")
	grade := func(s string) (fit.Grade, error) {
		c, err := fit.ParseClass("h" + strings.TrimPrefix(s, "IT"))
		return c.Grade, err
	}
	add("standard tolerance", func(in *inputs) (Answer, error) {
		l, err := read(in, "grade", grade).Tolerance(in.length("nominal"))
		return Number(l.Micrometers()), err
	}, "Grade.Tolerance")
	um := func(l units.Length) string { return strconv.FormatFloat(l.Micrometers(), 'g', -1, 64) }
	add("standard tolerances IT01 to IT18", func(in *inputs) (Answer, error) {
		var list []string
		for g := fit.IT01; g <= fit.IT18; g++ {
			l, err := g.Tolerance(in.length("nominal"))
			if err != nil {
				return Answer{}, err
			}
			list = append(list, um(l))
		}
		return Text(strings.Join(list, " ")), nil
	}, "Grade.Tolerance")
	limits := func(in *inputs) (clearance.Deviations, error) {
		return read(in, "class", fit.ParseClass).Limits(in.length("nominal"))
	}
	for _, side := range []struct {
		name string
		pick func(clearance.Deviations) units.Length
	}{
		{"upper deviation of a class", func(d clearance.Deviations) units.Length { return d.Upper }},
		{"lower deviation of a class", func(d clearance.Deviations) units.Length { return d.Lower }},
	} {
		add(side.name, func(in *inputs) (Answer, error) {
			d, err := limits(in)
			return Number(inRowUnit(in.row, side.pick(d))), err
		}, "Class.Limits", "ParseClass")
	}
	add("limit deviations of a class", func(in *inputs) (Answer, error) {
		d, err := limits(in)
		return Interval(d.Lower.Micrometers(), d.Upper.Micrometers()), err
	}, "Class.Limits", "ParseClass")
	// One line of the table: the deviation nearest the nominal size for each
	// letter, "-" where there is none.
	add("deviations of the letters at a grade", func(in *inputs) (Answer, error) {
		var list []string
		for l := range strings.FieldsSeq(in.text("letters")) {
			c, err := fit.ParseClass(l + in.text("grade"))
			if err != nil {
				return Answer{}, err
			}
			d, err := c.Limits(in.length("nominal"))
			nearest := d.Upper
			if d.Lower.Abs() < d.Upper.Abs() {
				nearest = d.Lower
			}
			var refused *units.InputError
			switch {
			case err == nil:
				list = append(list, um(nearest))
			case errors.As(err, &refused) && refused.Field == "Class":
				list = append(list, "-")
			default:
				return Answer{}, err
			}
		}
		return Text(strings.Join(list, " ")), nil
	}, "Class.Limits", "ParseClass")
	add("Delta of the grades of a hole", func(in *inputs) (Answer, error) {
		var list []string
		for g := range strings.FieldsSeq("3 4 5 6 7 8") {
			letter, plain := "P", "P9"
			if g == "8" { // Delta of IT8 is that of M
				letter, plain = "M", "M9"
			}
			with, err1 := fit.ParseClass(letter + g)
			without, err2 := fit.ParseClass(plain)
			a, err3 := with.Limits(in.length("nominal"))
			b, err4 := without.Limits(in.length("nominal"))
			if err := errors.Join(err1, err2, err3, err4); err != nil {
				return Answer{}, err
			}
			list = append(list, um(a.Upper-b.Upper))
		}
		return Text(strings.Join(list, " ")), nil
	}, "Class.Limits", "ParseClass")

	designated := func(in *inputs) (fit.Result, error) {
		return read(in, "fit", fit.ParseDesignation).Fit()
	}
	inch := func(in *inputs) (fit.Result, error) {
		return read(in, "fit", fit.ParseInchClass).Fit(in.length("nominal"))
	}
	for _, family := range []struct {
		name    string
		eval    func(*inputs) (fit.Result, error)
		symbols []string
	}{
		{"ISO fit", designated, []string{"Designation.Fit", "ParseDesignation", "Class.Limits"}},
		{"inch fit", inch, []string{"InchClass.Fit", "ParseInchClass"}},
	} {
		for _, one := range []struct {
			name string
			pick func(fit.Result) units.Length
		}{
			{"smallest clearance", func(r fit.Result) units.Length { return r.Clearance.Min }},
			{"largest clearance", func(r fit.Result) units.Length { return r.Clearance.Max }},
			{"largest interference", func(r fit.Result) units.Length { return -r.Clearance.Min }},
			{"smallest interference", func(r fit.Result) units.Length { return -r.Clearance.Max }},
			{"largest radial interference", func(r fit.Result) units.Length { return -r.Clearance.Min / 2 }},
			{"hole smallest", func(r fit.Result) units.Length { return r.Clearance.Fit.Bore.Min }},
			{"hole largest", func(r fit.Result) units.Length { return r.Clearance.Fit.Bore.Max }},
			{"shaft smallest", func(r fit.Result) units.Length { return r.Clearance.Fit.Shaft.Min }},
			{"shaft largest", func(r fit.Result) units.Length { return r.Clearance.Fit.Shaft.Max }},
		} {
			if family.name == "inch fit" && (strings.HasSuffix(one.name, "interference") || one.name == "shaft smallest") {
				continue // the limits of the table's own columns
			}
			add(family.name+" "+one.name, func(in *inputs) (Answer, error) {
				r, err := family.eval(in)
				return Number(inRowUnit(in.row, one.pick(r))), err
			}, family.symbols...)
		}
	}
	thou := func(name string, pick func(fit.Result) [2]units.Length) {
		add(name, func(in *inputs) (Answer, error) {
			r, err := inch(in)
			b := pick(r)
			return Interval(b[0].Thousandths(), b[1].Thousandths()), err
		}, "InchClass.Fit", "ParseInchClass")
	}
	thou("inch fit hole deviations", func(r fit.Result) [2]units.Length { return [2]units.Length{r.Hole.Lower, r.Hole.Upper} })
	thou("inch fit shaft deviations", func(r fit.Result) [2]units.Length { return [2]units.Length{r.Shaft.Lower, r.Shaft.Upper} })
	thou("inch fit clearance", func(r fit.Result) [2]units.Length { return [2]units.Length{r.Clearance.Min, r.Clearance.Max} })
	thou("inch fit interference", func(r fit.Result) [2]units.Length {
		return [2]units.Length{-r.Clearance.Max, -r.Clearance.Min}
	})
	radial := func(name string, pick func(clearance.FitResult) units.Length) {
		add(name, func(in *inputs) (Answer, error) {
			r, err := in.fit()
			return Number(inRowUnit(in.row, pick(r)) / 2), err
		}, "clearance.Fit.Clearance")
	}
	radial("fit largest radial interference", func(r clearance.FitResult) units.Length { return -r.Min })
	radial("fit smallest radial interference", func(r clearance.FitResult) units.Length { return -r.Max })
}

// asGiven is the source of figures that a row gives.
var asGiven = units.Source{Text: "the row", Provenance: units.Stated}

// elastic reads a material: "hub E", "hub nu", or E and nu for both.
func (in *inputs) elastic(prefix string) material.Material {
	if !in.has(prefix + "E") {
		prefix = ""
	}
	m := material.Material{
		Young:   material.Property[units.Pressure]{Value: in.pressure(prefix + "E"), Source: asGiven},
		Poisson: material.Property[float64]{Value: in.float(prefix + "nu"), Source: asGiven},
	}
	if in.has(prefix + "half E") {
		m.Young.HalfWidth = in.pressure(prefix + "half E")
	}
	return m
}

// press reads a press fit in radii or in diameters.
func (in *inputs) press() fit.Press {
	twice := units.Length(1)
	size := func(name string) units.Length {
		if !in.has(name) {
			return 0
		}
		return twice * in.length(name)
	}
	p := fit.Press{Hub: in.elastic("hub "), Shaft: in.elastic("shaft ")}
	if in.has("R") {
		twice = 2
		p.Diameter, p.ShaftBore, p.HubOutside = size("R"), size("ri"), size("ro")
		p.Interference = units.Unstated(size("radial interference"))
	} else {
		p.Diameter, p.ShaftBore, p.HubOutside = size("D"), size("Di"), size("Do")
		p.Interference = units.Unstated(size("interference"))
	}
	twice = 1
	if in.has("u") {
		p.Interference = units.WithU(p.Interference.Value, in.length("u"))
	}
	if in.has("loss") {
		p.Loss = in.length("loss")
	}
	return p
}

func inPressureUnit(in *inputs, p units.Pressure) float64 {
	if in.row.Unit == "psi" {
		return p.PoundsPerSquareInch()
	}
	return p.Megapascals()
}

// fitPress computes the rows of press_fits.csv.
func fitPress(add adder) {
	stress := func(name string, pick func(fit.Pressed) units.Pressure) {
		add(name, func(in *inputs) (Answer, error) {
			r, err := in.press().Solve()
			return Number(inPressureUnit(in, pick(r))), err
		}, "Press.Solve")
	}
	stress("press fit pressure", func(r fit.Pressed) units.Pressure { return r.Pressure.Value })
	stress("press fit pressure uncertainty", func(r fit.Pressed) units.Pressure { return r.Pressure.U })
	stress("press fit hub bore hoop stress", func(r fit.Pressed) units.Pressure { return r.HubBore.Hoop })
	stress("press fit hub outside hoop stress", func(r fit.Pressed) units.Pressure { return r.HubOutside.Hoop })
	stress("press fit hub bore radial stress", func(r fit.Pressed) units.Pressure { return r.HubBore.Radial })
	stress("press fit shaft surface hoop stress", func(r fit.Pressed) units.Pressure { return r.ShaftSurface.Hoop })
	stress("press fit shaft bore hoop stress", func(r fit.Pressed) units.Pressure { return r.ShaftBore.Hoop })
	length := func(name string, pick func(fit.Pressed) units.Length) {
		add(name, func(in *inputs) (Answer, error) {
			r, err := in.press().Solve()
			return Number(inRowUnit(in.row, pick(r))), err
		}, "Press.Solve")
	}
	length("press fit bore closing", func(r fit.Pressed) units.Length { return r.BoreClosing })
	length("press fit hub growth", func(r fit.Pressed) units.Length { return r.OutsideGrowth })
	add("interference of a press fit at a pressure", func(in *inputs) (Answer, error) {
		r, err := in.press().AtPressure(in.pressure("p"))
		return Number(inRowUnit(in.row, r.Press.Interference.Value)), err
	}, "Press.AtPressure")
	add("radial interference of a press fit at a pressure", func(in *inputs) (Answer, error) {
		r, err := in.press().AtPressure(in.pressure("p"))
		return Number(inRowUnit(in.row, r.Press.Interference.Value) / 2), err
	}, "Press.AtPressure")
	add("interference of a press fit at a hub hoop stress", func(in *inputs) (Answer, error) {
		r, err := in.press().AtHubHoop(in.pressure("hoop"))
		return Number(inRowUnit(in.row, r.Press.Interference.Value)), err
	}, "Press.AtHubHoop", "Press.AtPressure")
	add("hub bore before a shrink fit at a hub hoop stress", func(in *inputs) (Answer, error) {
		p := in.press()
		r, err := p.AtHubHoop(in.pressure("hoop"))
		return Number((p.Diameter - r.Press.Interference.Value).Millimeters()), err
	}, "Press.AtHubHoop", "Press.AtPressure")
	criteria := map[string]fit.Criterion{"Tresca": fit.Tresca, "von Mises": fit.VonMises}
	equivalent := func(name string, pick func(fit.Pressed) fit.Stress) {
		add(name, func(in *inputs) (Answer, error) {
			r, err := in.press().Solve()
			if err != nil {
				return Answer{}, err
			}
			e, err := pick(r).Equivalent(criteria[in.text("criterion")])
			return Number(inPressureUnit(in, e)), err
		}, "Stress.Equivalent", "Press.Solve")
	}
	equivalent("press fit hub equivalent stress", func(r fit.Pressed) fit.Stress { return r.HubBore })
	equivalent("press fit shaft equivalent stress", func(r fit.Pressed) fit.Stress { return r.ShaftBore })
	judge := func(name string, pick func(fit.YieldVerdict) units.Outcome) {
		add(name, func(in *inputs) (Answer, error) {
			r, err := in.press().Solve()
			if err != nil {
				return Answer{}, err
			}
			v, err := r.Judge(fit.Yield{Criterion: criteria[in.text("criterion")], Hub: units.AtMost(in.pressure("hub limit"), asGiven), Shaft: units.AtMost(in.pressure("shaft limit"), asGiven), Rule: units.ProveAt95})
			return Text(pick(v).String()), err
		}, "Pressed.Judge", "Press.Solve", "Stress.Equivalent")
	}
	judge("press fit hub against a limit", func(v fit.YieldVerdict) units.Outcome { return v.Hub.Outcome })
	judge("press fit shaft against a limit", func(v fit.YieldVerdict) units.Outcome { return v.Shaft.Outcome })
	hold := func(name string, pick func(fit.Holding) float64) {
		add(name, func(in *inputs) (Answer, error) {
			r, err := in.press().Solve()
			if err != nil {
				return Answer{}, err
			}
			g := fit.Grip{Length: in.length("length"), Friction: in.float("friction")}
			if in.has("u friction") {
				g.FrictionU = in.float("u friction")
			}
			h, err := r.Hold(g)
			return Number(pick(h)), err
		}, "Pressed.Hold", "Press.Solve")
	}
	hold("press fit axial force", func(h fit.Holding) float64 { return h.Force.Value.Newtons() })
	hold("press fit axial force uncertainty", func(h fit.Holding) float64 { return h.Force.U.Newtons() })
	hold("press fit torque", func(h fit.Holding) float64 { return h.Torque.Value.NewtonMeters() })
	add("loss of interference to roughness", func(in *inputs) (Answer, error) {
		l, err := fit.Roughness{Hub: in.length("hub Rz"), Shaft: in.length("shaft Rz")}.Loss()
		return Number(l.Micrometers()), err
	}, "Roughness.Loss")
	celsius := func(in *inputs, name string) units.Temperature { return read(in, name, units.ParseTemperature) }
	warmed := func(in *inputs) fit.Press {
		p := in.press()
		p.Hub.Expansion, p.Shaft.Expansion = in.expansion("hub "), in.expansion("shaft ")
		return p
	}
	assemble := func(name string, side material.Side, other string) {
		add(name, func(in *inputs) (Answer, error) {
			pair, err := warmed(in).Pair(celsius(in, "cold"))
			if err != nil {
				return Answer{}, err
			}
			t, err := pair.Assemble(material.Assembly{Treat: side, Other: celsius(in, other), Clearance: in.length("gap")})
			return Number(t.Celsius()), err
		}, "Press.Pair", "material.Pair.Assemble")
	}
	assemble("temperature of a hub to go over its shaft", material.TheBore, "shaft at")
	assemble("temperature of a shaft to go into its hub", material.TheShaft, "hub at")
	hot := func(name string, pick func(units.Measured[units.Length]) units.Length) {
		add(name, func(in *inputs) (Answer, error) {
			p, err := warmed(in).At(fit.Temperatures{Cold: celsius(in, "cold"), Hub: units.WithU(celsius(in, "hub at"), 0), Shaft: units.WithU(celsius(in, "shaft at"), 0)})
			return Number(pick(p.Interference).Micrometers()), err
		}, "Press.At", "material.Pair.Hot")
	}
	hot("interference at temperature", func(m units.Measured[units.Length]) units.Length { return m.Value })
	hot("interference at temperature uncertainty", func(m units.Measured[units.Length]) units.Length { return m.U })
}
