package fit

import (
	"strconv"

	"example.com/trialfit/units"
)

func mpa(p units.Pressure) string { return strconv.FormatFloat(p.Megapascals(), 'g', 6, 64) + " MPa" }

func plain(x float64, unit string) string { return strconv.FormatFloat(x, 'g', 6, 64) + unit }

// Working returns the derivation; nil for the zero Pressed.
func (r Pressed) Working() units.Working {
	p := r.Press
	if p.Diameter <= 0 || p.HubOutside <= p.Diameter {
		return nil
	}
	w := units.Working{{Symbol: "delta", Formula: "interference - loss", Numbers: num(p.Interference.Value) + " - " + num(p.Loss), Value: num(r.Effective.Value), Source: units.Source{Text: "definition", Provenance: units.Computed}}}
	if r.Loose {
		return append(w, units.Step{Symbol: "p", Formula: "nothing is left of the interference", Value: mpa(0), Source: lame})
	}
	kh, ks := thick(p.HubOutside, p.Diameter), thick(p.Diameter, p.ShaftBore)
	return append(w,
		units.Step{Symbol: "kh", Formula: "(Do^2 + D^2)/(Do^2 - D^2)", Numbers: "Do = " + num(p.HubOutside) + ", D = " + num(p.Diameter), Value: plain(kh, ""), Source: lame},
		units.Step{Symbol: "ks", Formula: "(D^2 + Di^2)/(D^2 - Di^2)", Numbers: "D = " + num(p.Diameter) + ", Di = " + num(p.ShaftBore), Value: plain(ks, ""), Source: lame},
		units.Step{Symbol: "p", Formula: "delta/{D [(kh + no)/Eo + (ks - ni)/Ei]}", Numbers: "Eo = " + mpa(p.Hub.Young.Value) + ", no = " + plain(p.Hub.Poisson.Value, "") + ", Ei = " + mpa(p.Shaft.Young.Value) + ", ni = " + plain(p.Shaft.Poisson.Value, ""), Value: mpa(r.Pressure.Value), Source: lame},
		units.Step{Symbol: "hub hoop", Formula: "p kh", Numbers: mpa(r.Pressure.Value) + " * " + plain(kh, ""), Value: mpa(r.HubBore.Hoop), Source: lame},
		units.Step{Symbol: "shaft hoop", Formula: "-p ks", Numbers: "-" + mpa(r.Pressure.Value) + " * " + plain(ks, ""), Value: mpa(r.ShaftSurface.Hoop), Source: lame},
	)
}

// Working returns the derivation; nil for the zero Holding.
func (h Holding) Working() units.Working {
	if h.from.Press.Diameter <= 0 {
		return nil
	}
	coulomb := units.Source{Text: "Coulomb friction on the contact", Provenance: units.Computed}
	d := num(h.from.Press.Diameter)
	return units.Working{
		{Symbol: "F", Formula: "friction p pi D length", Numbers: plain(h.grip.Friction, "") + " * " + mpa(h.from.Pressure.Value) + " * pi * " + d + " * " + num(h.grip.Length), Value: plain(h.Force.Value.Newtons(), " N"), Source: coulomb},
		{Symbol: "T", Formula: "F D/2", Numbers: plain(h.Force.Value.Newtons(), " N") + " * " + d + "/2", Value: plain(h.Torque.Value.NewtonMeters(), " N m"), Source: coulomb},
	}
}

// Working returns the equivalent stresses and what they were compared with.
func (v YieldVerdict) Working() units.Working {
	part := func(symbol string, x units.Verdict[units.Pressure]) units.Step {
		return units.Step{Symbol: symbol, Formula: v.Criterion.String() + " equivalent stress against " + x.Limits.String(), Numbers: x.Measured.String(), Value: x.String(), Source: yielding}
	}
	return units.Working{part("hub", v.Hub), part("shaft", v.Shaft)}
}
