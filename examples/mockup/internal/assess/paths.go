package assess

import (
	"errors"
	"strings"

	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// fail refuses a field of the sheet.
func fail(path, value string, kind error, reason string) error {
	return &units.InputError{Package: "sheet", Field: path, Value: value, Kind: kind, Reason: reason}
}

// at puts an error of the library at one path, whatever its own field.
func at(path string, err error) error {
	var e *units.InputError
	if !errors.As(err, &e) {
		return err
	}
	return fail(path, e.Value, e.Kind, e.Reason)
}

// places says where the fields of a library call stand in the sheet. A key is
// a field of the library with its indices taken out, "Forward[]"; its value is
// the path below the part that was worked on, with the indices put back in
// order, "forward[]". A value that begins with a slash counts from the top of
// the sheet, one that begins with "1." or "2." from that instrument of the
// call. A field that is not listed stands at the part itself.
type places map[string]string

// The fields of each library call.
var (
	enginePlaces = places{
		"Order": "firing_order", "order": "firing_order", "Split": "pin_split", "Crank": "crank", "Numbering": "numbering", "BankAngle": "bank_angle",
		"BankOfOne": "bank_of_one_passed", "Cylinders": "cylinders", "NumberedFrom": "numbered_from", "Rotation": "rotation", "SecondTurnFrom": "second_turn_from",
	}
	splitPlaces = places{
		"Difference": "difference", "Difference.U": "1.uncertainty", "Zero": "zero", "Zero.U": "1.uncertainty", "Proof": "proof", "Proof.Kind": "proof",
		"Proof.Rise": "rise", "Approach": "approach", "Position": "position", "Mismatch": "/overlap.lifter_mismatch", "TDC": "/top_dead_center.uncertainty",
	}
	drivePlaces = places{
		"Teeth": "/drive.teeth", "MostTeeth": "/drive.most_teeth", "Keyways[]": "/drive.keyways[]", "Bushings[]": "/drive.bushings[]", "Slack": "/drive.slack",
		"TDCError": "/suspects.tdc_error", "LifterHeights": "/suspects.lifter_heights", "CylinderSpread": "/suspects.cylinder_spread",
		"IndexError": "/suspects.index_error", "Twist": "/suspects.twist.angle",
		"OtherCams[]": "/suspects.other_cards[]",
	}
	bearingPlaces = places{
		"Bore": "bore", "Bore.Stations": "bore.stations", "Bore.ZeroU": "1.zero_uncertainty", "Bore.Stations[].At": "bore.stations[].at",
		"Bore.Stations[].Diameters": "bore.stations[].diameters", "Bore.Stations[].Diameters[].Around": "bore.stations[].diameters[].around",
		"Bore.Stations[].Diameters[].Reading": "bore.stations[].diameters[].reading", "Bore.Stations[].Diameters[].Reading.U": "1.uncertainty",
		"Journal": "journal", "Journal.Stations": "journal.stations", "Journal.ZeroU": "2.zero_uncertainty", "Journal.Stations[].At": "journal.stations[].at",
		"Journal.Stations[].Diameters": "journal.stations[].diameters", "Journal.Stations[].Diameters[].Around": "journal.stations[].diameters[].around",
		"Journal.Stations[].Diameters[].Reading": "journal.stations[].diameters[].reading", "Journal.Stations[].Diameters[].Reading.U": "2.uncertainty",
	}
	stripPlaces = places{
		"AtWidest": "at_widest", "AtWidest.U": "1.uncertainty", "AtNarrowest": "at_narrowest", "AtNarrowest.U": "1.uncertainty",
		"Range.Min": "range_min", "Range.Max": "range_max", "Range": "range_min, range_max",
	}
	ringPlaces = places{
		"Maker": "limits", "Maker.Source": "limits.source", "Bore": "bore", "Duty": "duty", "Gap": "gap", "Gap.U": "1.uncertainty",
		"From": "read_in", "From.U": "2.uncertainty", "To": "bore", "To.U": "2.uncertainty",
	}
	playPlaces = places{
		"Forward": "forward", "Forward[]": "forward[]", "Forward[].U": "1.uncertainty", "Rearward": "rearward", "Rearward[]": "rearward[]", "Rearward[].U": "1.uncertainty",
		"PinWidth": "pin_width", "PinWidth.U": "1.uncertainty", "RodWidths": "rod_widths", "RodWidths[]": "rod_widths[]", "RodWidths[].U": "1.uncertainty",
	}
	fitPlaces = places{
		"Bore": "bore", "Bore.Min": "bore.min", "Bore.Max": "bore.max", "Shaft": "shaft", "Shaft.Min": "shaft.min", "Shaft.Max": "shaft.max",
	}
	springPlaces = places{
		"Bench": "loads", "Bench[].Height": "loads[].height", "Bench[].Height.U": "1.uncertainty", "Bench[].Force": "loads[].force",
		"Bench[].Force.U": "/valve_springs.force_uncertainty", "Solid": "solid", "Solid.U": "1.uncertainty", "Height": "loads", "Force": "loads", "Rate": "loads",
	}
	nestPlaces = places{
		"Height": "installed_height", "Height.U": "1.uncertainty", "height": "installed_height", "Lift": "/valve_lifts.readings, installed_height", "Springs": "springs", "Springs[].Step": "springs[].step",
	}
	gapPlaces = places{
		"GapReadings": "retainer_to_rocker", "GapReadings[].Lift": "retainer_to_rocker[].lift", "GapReadings[].Gap": "retainer_to_rocker[].gap", "GapReadings[].Gap.U": "1.uncertainty",
	}
	lashPlaces = places{
		"Intake.Lash": "intake.lash", "Intake.Limits": "intake.limits", "Exhaust.Lash": "exhaust.lash", "Exhaust.Limits": "exhaust.limits",
		"Adjuster.Ratio": "adjuster.rocker_ratio", "Adjuster.Place": "adjuster.place", "Adjuster.Thread": "adjuster.pitch",
		"Adjuster.Thread.Pitch": "adjuster.pitch", "Adjuster.Thread.PerInch": "adjuster.threads_per_inch", "Readings[].Lash": "readings[].reading",
	}
	preloadPlaces = places{
		"Thread": "/preload.adjuster.pitch", "Thread.Pitch": "/preload.adjuster.pitch", "Thread.PerInch": "/preload.adjuster.threads_per_inch",
		"Place": "/preload.adjuster.place", "Ratio": "/preload.adjuster.rocker_ratio", "Travel": "/preload.plunger_travel", "Travel.U": "1.uncertainty",
		"TurnsU": "/preload.turns_uncertainty", "Limits": "/preload.limits", "turns.Whole": "whole", "turns.Parts": "parts", "Turns": "whole",
	}
	lifterPlaces = places{
		"Bore": "bore", "Bore[]": "bore[]", "Bore[].U": "1.uncertainty", "Body": "body", "Body[]": "body[]", "Body[].U": "2.uncertainty", "Limits": "/lifter_fits.limits",
	}
	groovePlaces = places{
		"GrooveWidth": "groove_width", "GrooveWidth.U": "1.uncertainty", "RingWidth": "ring_width", "RingWidth.U": "1.uncertainty", "Bore": "back.bore",
		"Bore.U": "1.uncertainty", "Root": "back.groove_floor", "Root.U": "1.uncertainty", "Thickness": "back.ring_thickness", "Thickness.U": "1.uncertainty",
	}
	deckPlaces = places{
		"Thrust": "thrust", "Thrust[]": "thrust[]", "Thrust[].U": "1.uncertainty", "Opposite": "opposite", "Opposite[]": "opposite[]", "Opposite[].U": "1.uncertainty",
		"ThrustOffset": "/deck.thrust_offset", "OppositeOffset": "/deck.opposite_offset",
	}
	compressionPlaces = places{
		"Bore": "bore", "Bore.U": "1.uncertainty", "Stroke": "/engine.stroke", "Head": "head", "Crown": "crown", "Head.U": "/compression.volume_uncertainty",
		"Crown.U": "/compression.volume_uncertainty", "GasketBore": "/head_gasket.bore", "GasketBore.U": "2.uncertainty", "Gasket": "/head_gasket.thickness",
		"Gasket.U": "2.uncertainty", "Deck": "/deck.readings",
	}
	crankPlaces    = places{"Throw": "stroke", "Rod": "rod", "Offset": "pin_offset"}
	measuredPlaces = places{
		"Reading": "reading", "Reading.U": "1.uncertainty", "LashAtCheck": "lash_at_check", "LashAtCheck.U": "1.uncertainty",
		"GasketAtCheck": "gasket_at_check", "GasketAtCheck.U": "1.uncertainty", "GasketRunning": "/head_gasket.thickness",
	}
	oilPlaces = places{
		"Cold": "cold", "Cold.Viscosity": "cold.viscosity", "Cold.Temperature": "cold.temperature", "Hot": "hot", "Hot.Viscosity": "hot.viscosity",
		"Hot.Temperature": "hot.temperature", "Density": "density", "DensityAt": "/oil_film.temperature",
	}
	filmPlaces    = places{"Length": "length", "Load": "load", "Speed": "/oil_film.speed"}
	turningPlaces = places{"Measured.U": "uncertainty", "Limits.Max": "max.torque", "Limits.Source": "max.source"}
)

// places are the fields of valve over piston for one kind of valve.
func (k *overPiston) places() places {
	lobe := "/cam." + string(k.word)
	return places{
		"Deck": "/deck.readings", "Gasket": "/head_gasket.thickness", "Recess": "recess", "Recess.U": "1.uncertainty", "Pocket": "pocket", "Pocket.U": "1.uncertainty",
		"Lean": "lean", "Face": "face", "Lobe": lobe, "Gear": lobe, "Gear.Ratio": lobe + ".rocker_ratio", "Ratio": lobe + ".rocker_ratio", "Gear.Lash": lobe + ".lash", "Lash": lobe + ".lash",
	}
}

// put places an error of the library that concerns the part at path.
func (p places) put(path string, err error, instruments ...string) error {
	var e *units.InputError
	if !errors.As(err, &e) {
		return err
	}
	var out []string
	for f := range strings.SplitSeq(e.Field, ", ") {
		key, indices := strip(f)
		to, ok := p[key]
		if !ok {
			out = append(out, path)
			continue
		}
		for t := range strings.SplitSeq(restore(to, indices), ", ") {
			switch t[0] {
			case '/':
				t = t[1:]
			case '1', '2':
				t = instruments[t[0]-'1'] + t[1:]
			default:
				t = path + "." + t
			}
			out = append(out, t)
		}
	}
	return fail(strings.Join(out, ", "), e.Value, e.Kind, e.Reason)
}

// strip takes the indices out of a field: "A[3].B" gives "A[].B" and "3".
func strip(field string) (key string, indices []string) {
	var b strings.Builder
	for {
		before, rest, ok := strings.Cut(field, "[")
		b.WriteString(before)
		if !ok {
			return b.String(), indices
		}
		n, after, _ := strings.Cut(rest, "]")
		indices = append(indices, n)
		b.WriteString("[]")
		field = after
	}
}

// restore puts indices back in order.
func restore(key string, indices []string) string {
	for _, n := range indices {
		key = strings.Replace(key, "[]", "["+n+"]", 1)
	}
	return key
}

// instrumentPath is where an instrument stands in the sheet.
func (e *evaluator) instrumentPath(in *sheet.Instrument) string {
	for i := range e.sheet.Instruments {
		if &e.sheet.Instruments[i] == in {
			return index("instruments", i)
		}
	}
	return "instruments"
}

// cardPlaces are the fields of a card that stand alone.
var cardPlaces = places{
	"Rounding": "rounding", "Separation": "separation", "GroundAdvance": "ground_advance",
	"IntakeCenterline": "intake_centerline", "ExhaustCenterline": "exhaust_centerline",
}

// lobePlaces are the fields of one of its lobes; the last are of the fitted
// curve, which every figure of the lobe shapes.
var lobePlaces = places{
	"LobeLift": "lobe_lift", "MaxLift": "lobe_lift", "RockerRatio": "rocker_ratio", "ValveLift": "valve_lift", "Lash": "lash",
	"Asymmetry": "asymmetry", "Durations": "durations",
}

// cardError names the field of the sheet. The library names durations, events
// and overlaps by their lift and refused values by their text, so the lists of
// the card are searched for them.
func cardError(path string, c *sheet.Card, err error) error {
	var e *units.InputError
	if !errors.As(err, &e) {
		return err
	}
	var out []string
	met := map[string]int{} // how often a figure was named
	for f := range strings.SplitSeq(e.Field, ", ") {
		out = append(out, path+cardField(c, f, e.Value, met[f]))
		met[f]++
	}
	return fail(strings.Join(out, ", "), e.Value, e.Kind, e.Reason)
}

// cardField returns the path of a field below its card; nth counts how often
// the same figure was named before.
func cardField(c *sheet.Card, field, value string, nth int) string {
	if p := cardPlaces[field]; p != "" {
		return "." + p
	}
	name, lift, _ := strings.Cut(field, " at ")
	list, rest, _ := strings.Cut(name, ".")
	switch list {
	case "Intake", "Exhaust":
		return lobeField(c, list, rest, lift, value, nth)
	case "Events":
		var found []string
		for i, v := range c.Events {
			if named(v.Lift, lift) || rest == "Lift" && v.Lift.Length.String() == value {
				found = append(found, index(".events", i))
				continue
			}
			if lift == "" && eventValue(v, rest) == value {
				found = append(found, index(".events", i))
			}
		}
		under := map[string]string{"IVO": ".ivo", "IVC": ".ivc", "EVO": ".evo", "EVC": ".evc", "Lift": ".lift"}[rest]
		return pick(found, nth, ".events", under)
	case "Overlap":
		var found []string
		for i, v := range c.Overlap {
			if named(v.Lift, lift) || rest == "Lift" && v.Lift.Length.String() == value || lift == "" && rest == "" && v.Overlap.String() == value {
				found = append(found, index(".overlap", i))
			}
		}
		under := ".overlap"
		if rest == "Lift" {
			under = ".lift"
		}
		return pick(found, nth, ".overlap", under)
	}
	return ""
}

// lobeField is cardField for a figure of a lobe. A lobe without a duration at
// some lift takes it from the events or the overlap there.
func lobeField(c *sheet.Card, name, field, lift, value string, nth int) string {
	l, lobe := &c.Intake, ".intake"
	if name == "Exhaust" {
		l, lobe = &c.Exhaust, ".exhaust"
	}
	if field == "MaxLift" && l.LobeLift == nil {
		field = "ValveLift"
	}
	matches := func(r units.Reading) bool {
		return named(r, lift) || field == "Durations.Lift" && r.Length.String() == value
	}
	var found []string
	for i, d := range l.Durations {
		if matches(d.Lift) || field == "Durations.Duration" && d.Duration.String() == value {
			found = append(found, index(lobe+".durations", i))
		}
	}
	under := map[string]string{"Durations.Lift": ".lift", "Durations.Duration": ".duration", "Durations": ".duration"}[field]
	if len(found) > 0 {
		return pick(found, nth, "", under)
	}
	for i, v := range c.Events {
		if matches(v.Lift) {
			return index(".events", i)
		}
	}
	for i, v := range c.Overlap {
		if matches(v.Lift) {
			return index(".overlap", i)
		}
	}
	first, _, _ := strings.Cut(field, ".")
	if p := lobePlaces[first]; p != "" {
		return lobe + "." + p
	}
	return lobe
}

// pick takes the nth of the paths found, with the field under it; none found
// leaves the whole list.
func pick(found []string, nth int, list, under string) string {
	if len(found) == 0 {
		return list
	}
	return found[min(nth, len(found)-1)] + under
}

// named reports whether the library's name of a lift is that of a reading.
func named(r units.Reading, lift string) bool {
	return lift != "" && (r.Length.Text(units.Inches, 4) == lift || r.Length.String() == lift)
}

// eventValue is the text of the figure that the library refuses by that name.
func eventValue(v sheet.EventsAt, name string) string {
	ivo, ivc, evo, evc := units.CrankAngle(v.IVO), units.CrankAngle(v.IVC), units.CrankAngle(v.EVO), units.CrankAngle(v.EVC)
	switch name {
	case "IVO":
		return ivo.String()
	case "IVC":
		return ivc.String()
	case "EVO":
		return evo.String()
	case "EVC":
		return evc.String()
	case "IVO+180+IVC":
		return (ivo + units.CrankTurn/2 + ivc).String()
	case "EVO+180+EVC":
		return (evo + units.CrankTurn/2 + evc).String()
	}
	return ""
}
