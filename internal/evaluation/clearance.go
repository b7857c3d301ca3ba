package evaluation

import (
	"fmt"
	"slices"
	"strings"

	"example.com/trialfit/clearance"
	"example.com/trialfit/internal/reference"
	"example.com/trialfit/units"
)

func clearanceCases() []Case {
	return slices.Concat(clearanceFitCases(), clearanceBearingCases(), clearanceOtherCases())
}

// inRowUnit gives a length in the unit of the row.
func inRowUnit(r reference.Row, l units.Length) float64 {
	switch r.Unit {
	case "in":
		return l.Inches()
	case "um":
		return l.Micrometers()
	case "m":
		return l.Meters()
	default:
		return l.Millimeters()
	}
}

// lengthCase is a case whose answer is one length.
func lengthCase(quantity, symbols string, eval func(*inputs) (units.Length, error)) Case {
	return Case{Quantity: quantity, Symbols: strings.Fields(symbols), Eval: func(r reference.Row) (Answer, error) {
		in := &inputs{row: r}
		l, err := eval(in)
		return in.answer(Number(inRowUnit(r, l)), err)
	}}
}

// bandCase is a case whose answer is two lengths.
func bandCase(quantity, symbols string, eval func(*inputs) (clearance.Band, error)) Case {
	return Case{Quantity: quantity, Symbols: strings.Fields(symbols), Eval: func(r reference.Row) (Answer, error) {
		in := &inputs{row: r}
		b, err := eval(in)
		return in.answer(Interval(inRowUnit(r, b.Low), inRowUnit(r, b.High)), err)
	}}
}

// lengths reads "0.001 in, 0.002 in".
func (in *inputs) lengths(name string) []units.Measured[units.Length] {
	return read(in, name, func(s string) ([]units.Measured[units.Length], error) {
		var out []units.Measured[units.Length]
		for part := range strings.SplitSeq(s, ",") {
			l, err := units.ParseLength(part)
			if err != nil {
				return nil, err
			}
			out = append(out, units.Unstated(l))
		}
		return out, nil
	})
}

func (in *inputs) unstated(name string) units.Measured[units.Length] {
	return units.Unstated(in.length(name))
}

func (in *inputs) deviations(prefix string) (clearance.Size, error) {
	return clearance.Deviations{Nominal: in.length("nominal"), Upper: in.length(prefix + "upper"), Lower: in.length(prefix + "lower")}.Size()
}

func (in *inputs) fit() (clearance.FitResult, error) {
	var f clearance.Fit
	if in.has("nominal") {
		var err error
		if f.Bore, err = in.deviations("bore_"); err != nil {
			return clearance.FitResult{}, err
		}
		if f.Shaft, err = in.deviations("shaft_"); err != nil {
			return clearance.FitResult{}, err
		}
	} else {
		f.Bore = clearance.Size{Min: in.length("bore_min"), Max: in.length("bore_max")}
		f.Shaft = clearance.Size{Min: in.length("shaft_min"), Max: in.length("shaft_max")}
	}
	return f.Clearance()
}

func clearanceFitCases() []Case {
	const symbol = "clearance.Fit.Clearance clearance.Deviations.Size"
	one := func(quantity string, pick func(clearance.FitResult) units.Length) Case {
		return lengthCase(quantity, symbol, func(in *inputs) (units.Length, error) {
			r, err := in.fit()
			return pick(r), err
		})
	}
	return []Case{
		bandCase("fit clearance limits", "clearance.Fit.Clearance", func(in *inputs) (clearance.Band, error) {
			r, err := in.fit()
			return clearance.Band{Low: r.Min, High: r.Max}, err
		}),
		bandCase("fit statistical band", "clearance.Fit.Clearance", func(in *inputs) (clearance.Band, error) {
			r, err := in.fit()
			return r.Statistical, err
		}),
		one("fit smallest clearance", func(r clearance.FitResult) units.Length { return r.Min }),
		one("fit largest clearance", func(r clearance.FitResult) units.Length { return r.Max }),
		one("fit mean clearance", func(r clearance.FitResult) units.Length { return r.Mean }),
		one("fit largest interference", func(r clearance.FitResult) units.Length { return -r.Min }),
		one("fit smallest interference", func(r clearance.FitResult) units.Length { return -r.Max }),
		{Quantity: "fit class", Symbols: []string{"clearance.Fit.Clearance"}, Eval: func(r reference.Row) (Answer, error) {
			in := &inputs{row: r}
			f, err := in.fit()
			return in.answer(Text(f.Class.String()), err)
		}},
		lengthCase("size largest limit", "clearance.Deviations.Size", func(in *inputs) (units.Length, error) {
			s, err := in.deviations("")
			return s.Max, err
		}),
		lengthCase("size smallest limit", "clearance.Deviations.Size", func(in *inputs) (units.Length, error) {
			s, err := in.deviations("")
			return s.Min, err
		}),
	}
}

// round reads "2 mm | 0 deg 60.00 mm | 90 deg 60.01 mm / 22 mm | ...".
func (in *inputs) round(name string) clearance.Round {
	return read(in, name, func(s string) (clearance.Round, error) {
		var r clearance.Round
		for part := range strings.SplitSeq(s, " / ") {
			fields := strings.Split(part, " | ")
			along, err := units.ParseLength(fields[0])
			if err != nil {
				return clearance.Round{}, err
			}
			st := clearance.Station{At: along}
			for _, f := range fields[1:] {
				i := strings.Index(f, "deg ")
				if i < 0 {
					return clearance.Round{}, fmt.Errorf("evaluation: reading %q: want an angle and a length", f)
				}
				a, err := units.ParseCrankAngle(f[:i+3])
				if err != nil {
					return clearance.Round{}, err
				}
				l, err := units.ParseLength(f[i+4:])
				if err != nil {
					return clearance.Round{}, err
				}
				st.Diameters = append(st.Diameters, clearance.Diameter{Around: a, Reading: units.Unstated(l)})
			}
			r.Stations = append(r.Stations, st)
		}
		return r, nil
	})
}

func state(r clearance.Round, u units.Length) {
	for _, s := range r.Stations {
		for i := range s.Diameters {
			s.Diameters[i].Reading = units.WithU(s.Diameters[i].Reading.Value, u)
		}
	}
}

func (in *inputs) bearing() (clearance.OilClearance, error) {
	b := clearance.Bearing{Bore: in.round("bore"), Journal: in.round("journal"), SplitBore: in.text("split") == "yes"}
	if in.has("u_bore") {
		state(b.Bore, in.length("u_bore"))
		state(b.Journal, in.length("u_journal"))
		b.Bore.ZeroU, b.Journal.ZeroU = in.length("zero_bore"), in.length("zero_journal")
		b.SetFromMicrometer = in.text("set") == "yes"
	}
	return b.OilClearance()
}

func clearanceBearingCases() []Case {
	shape := func(quantity string, pick func(clearance.Shape) units.Length) Case {
		return lengthCase(quantity, "clearance.Round.Shape", func(in *inputs) (units.Length, error) {
			s, err := in.round("readings").Shape()
			return pick(s), err
		})
	}
	oil := func(quantity string, pick func(clearance.OilClearance) units.Length) Case {
		return lengthCase(quantity, "clearance.Bearing.OilClearance", func(in *inputs) (units.Length, error) {
			c, err := in.bearing()
			return pick(c), err
		})
	}
	return []Case{
		shape("mean diameter", func(s clearance.Shape) units.Length { return s.Mean.Value }),
		shape("out-of-round", func(s clearance.Shape) units.Length { return s.OutOfRound.Value.Value }),
		shape("taper", func(s clearance.Shape) units.Length { return s.Taper.Value.Value }),
		shape("barrel", func(s clearance.Shape) units.Length { return s.Barrel.Value.Value }),
		oil("oil clearance, mean", func(c clearance.OilClearance) units.Length { return c.Mean.Value }),
		oil("oil clearance, smallest", func(c clearance.OilClearance) units.Length { return c.Smallest.Clearance.Value }),
		oil("oil clearance, largest", func(c clearance.OilClearance) units.Length { return c.Largest.Clearance.Value }),
		oil("oil clearance, standard uncertainty of the mean", func(c clearance.OilClearance) units.Length { return c.Mean.U }),
		{Quantity: "oil clearance, verdict", Symbols: []string{"clearance.OilClearance.Judge", "clearance.Bearing.OilClearance"}, Eval: func(r reference.Row) (Answer, error) {
			in := &inputs{row: r}
			c, err := in.bearing()
			if err != nil {
				return Answer{}, err
			}
			src := units.Source{Text: "limits of the row", Provenance: units.Stated}
			v, err := c.Judge(units.Between(in.length("min"), in.length("max"), src), units.ProveAt95)
			return in.answer(Text(v.Outcome.String()), err)
		}},
	}
}

func (in *inputs) strip() (clearance.StripResult, error) {
	return clearance.Strip{
		AtWidest: in.unstated("widest"), AtNarrowest: in.unstated("narrowest"),
		Range: clearance.Size{Min: in.length("range_min"), Max: in.length("range_max")},
	}.Clearance()
}

func (in *inputs) sizeRule() clearance.SizeRule {
	name := in.text("rule")
	for r := clearance.OilClearanceByDiameter; r <= clearance.JournalTaperByLength; r++ {
		if r.String() == name {
			return r
		}
	}
	return 0
}

func clearanceOtherCases() []Case {
	return []Case{
		lengthCase("plastic strip, smallest clearance", "clearance.Strip.Clearance", func(in *inputs) (units.Length, error) {
			s, err := in.strip()
			return s.Smallest.Value, err
		}),
		lengthCase("plastic strip, taper", "clearance.Strip.Clearance", func(in *inputs) (units.Length, error) {
			s, err := in.strip()
			return s.Taper.Value, err
		}),
		lengthCase("plastic strip, difference from micrometer", "clearance.StripResult.Compare", func(in *inputs) (units.Length, error) {
			s, err := in.strip()
			if err != nil {
				return 0, err
			}
			c, err := s.Compare(in.unstated("micrometer"))
			return c.Difference.Value, err
		}),
		{Quantity: "limit by diameter", Symbols: []string{"clearance.SizeRule.Limits"}, Eval: func(r reference.Row) (Answer, error) {
			in := &inputs{row: r}
			l, err := in.sizeRule().Limits(in.length("diameter"))
			if l.HasMin {
				return in.answer(Interval(inRowUnit(r, l.Min), inRowUnit(r, l.Max)), err)
			}
			return in.answer(Number(inRowUnit(r, l.Max)), err)
		}},
		lengthCase("highest limit by diameter", "clearance.SizeRule.Limits", func(in *inputs) (units.Length, error) {
			l, err := in.sizeRule().Limits(in.length("diameter"))
			return l.Max, err
		}),
		lengthCase("worn end play over new high limit", "clearance.PlayRule.Limits", func(in *inputs) (units.Length, error) {
			rule := clearance.CrankEndPlayGrowth
			if in.text("rule") == clearance.CamEndPlayGrowth.String() {
				rule = clearance.CamEndPlayGrowth
			}
			l, err := rule.Limits(in.length("new"))
			return l.Max - in.length("new"), err
		}),
		bandCase("ring end gap, maker's figure", "clearance.Ring.EndGap", func(in *inputs) (clearance.Band, error) {
			maker := units.Between(in.length("maker_min"), in.length("maker_max"), units.Source{Text: "the ring maker's figure", Provenance: units.Stated})
			// A bore and a duty whose rule would give other figures must not count.
			g, err := clearance.Ring{Bore: 10 * units.Inch, Duty: clearance.Boosted, Maker: units.Some(maker)}.EndGap()
			return clearance.Band{Low: g.Limits.Min, High: g.Limits.Max}, err
		}),
		bandCase("ring end gap by duty", "clearance.Ring.EndGap", func(in *inputs) (clearance.Band, error) {
			duty := clearance.NaturallyAspirated
			if in.text("duty") == clearance.Boosted.String() {
				duty = clearance.Boosted
			}
			g, err := clearance.Ring{Bore: in.length("bore"), Duty: duty}.EndGap()
			return clearance.Band{Low: g.Limits.Min, High: g.Limits.Max}, err
		}),
		lengthCase("ring end gap at another diameter", "clearance.GapMove.Moved", func(in *inputs) (units.Length, error) {
			g, err := clearance.GapMove{Gap: in.unstated("gap"), From: in.unstated("from"), To: in.unstated("to")}.Moved()
			return g.Gap.Value, err
		}),
		lengthCase("ring end gap loss in an undersize bore", "clearance.GapMove.Moved", func(in *inputs) (units.Length, error) {
			// Any bore and a gap that stays open: the loss depends on neither.
			bore := 4 * units.Inch
			g, err := clearance.GapMove{Gap: units.Unstated(bore), From: units.Unstated(bore), To: units.Unstated(bore - in.length("undersize"))}.Moved()
			return -g.Change, err
		}),
		lengthCase("ring end gap to file", "clearance.Filing.Remove", func(in *inputs) (units.Length, error) {
			f, err := clearance.Filing{Gap: in.unstated("gap"), Target: in.length("target")}.Remove()
			return f.Remove.Value, err
		}),
		lengthCase("total indicator reading", "clearance.DialReadings.Sweep clearance.EndPlayReadings.EndPlay", func(in *inputs) (units.Length, error) {
			s, err := clearance.DialReadings(in.lengths("readings")).Sweep()
			if err != nil {
				return 0, err
			}
			// The same dial differences read as a float between two stops.
			p, err := clearance.EndPlayReadings{Forward: clearance.DialReadings{s.Min}, Rearward: clearance.DialReadings{s.Max}}.EndPlay()
			if err == nil && p.Play.Value != s.Total.Value {
				err = fmt.Errorf("evaluation: end play %s is not the sweep %s", p.Play.Value, s.Total.Value)
			}
			return s.Total.Value, err
		}),
		lengthCase("bend from indicator readings", "clearance.DialReadings.Sweep", func(in *inputs) (units.Length, error) {
			s, err := clearance.DialReadings(in.lengths("readings")).Sweep()
			return s.Bend.Value, err
		}),
		lengthCase("end play from dial readings", "clearance.EndPlayReadings.EndPlay", func(in *inputs) (units.Length, error) {
			p, err := clearance.EndPlayReadings{Forward: in.lengths("forward"), Rearward: in.lengths("rearward")}.EndPlay()
			return p.Play.Value, err
		}),
		lengthCase("feeler stack", "clearance.Feeler.Gap", func(in *inputs) (units.Length, error) {
			g, err := clearance.Feeler(in.lengths("leaves")).Gap()
			return g.Value, err
		}),
		lengthCase("rod side clearance", "clearance.RodsOnPin.SideClearance", func(in *inputs) (units.Length, error) {
			s, err := clearance.RodsOnPin{PinWidth: in.unstated("pin"), RodWidths: in.lengths("rods")}.SideClearance()
			return s.Total.Value, err
		}),
	}
}
