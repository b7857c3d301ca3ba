package valvetrain

import (
	"math"

	"example.com/trialfit/units"
)

// Surge is the lowest natural frequency of a spring seated at both ends.
type Surge struct {
	// Frequency as a speed of rotation: one cycle per second is one revolution
	// per second.
	Frequency units.AngularSpeed
	Rate      units.Stiffness
	Mass      units.Mass // of the acting coils
}

// SpringMass is a spring by its rate and the mass of its acting coils.
type SpringMass struct {
	Rate units.Stiffness
	// Mass of the acting coils: what the scale says of the whole spring times
	// active over total coils.
	Mass units.Mass
}

// Surge answers how fast a spring seated at both ends rings by itself:
//
//	f = (1/2) sqrt(k/m)
//
// with k = Rate and m = Mass. It is the wave that runs the length of the spring
// and back; the retainer's mass does not enter. A coil that closes changes it.
// A rate or mass not over 0 or not finite is ErrRange or ErrMissing.
//
// Source: wave equation of a uniform spring, both ends fixed; Wolford and Smith
// as cited in Shigley's Mechanical Engineering Design, 9th ed., eq. (10-25).
//
// Rows: surge-mass, surge-fixed-4-5p5.
func (s SpringMass) Surge() (Surge, error) {
	if err := checkOver("Rate", s.Rate, maxRate, "want a rate over 0 and up to 1e12 N/m"); err != nil {
		return Surge{}, err
	}
	if err := checkOver("Mass", s.Mass, 1e6, "want a mass over 0 and up to 1e6 kg"); err != nil {
		return Surge{}, err
	}
	f := math.Sqrt(float64(s.Rate)/float64(s.Mass)) / 2
	if math.IsInf(f, 0) || f == 0 {
		return Surge{}, fail("Mass", s.Mass.String(), units.ErrRange, "want a frequency that is finite and over 0")
	}
	return Surge{Frequency: units.RevolutionsPerSecond(f), Rate: s.Rate, Mass: s.Mass}, nil
}

// Surge answers how fast the spring rings by its wire and coil, with the wire's
// density rho:
//
//	m = rho (pi d^2/4)(pi D N)     f = (1/2) sqrt(k/m) = d/(2 pi N D^2) sqrt(G/(2 rho))
//
// Errors as for Rate; a density not over 0 or over 100,000 kg/m3 is refused.
//
// Source: as SpringMass.Surge; the second form in Brown, Marks' Calculations for
// Machine Design (2005), section 9.2.7.
//
// Rows: sad-8-1-fn, mar-9-f-us, mar-9-f-si, surge-fixed-4-5p5.
func (c Coil) Surge(wire units.Density) (Surge, error) {
	r, err := c.Rate()
	if err != nil {
		return Surge{}, err
	}
	if err := checkOver("wire", wire, 1e5, "want a density over 0 and up to 100000 kg/m3"); err != nil {
		return Surge{}, err
	}
	b, err := c.body(true)
	if err != nil {
		return Surge{}, err
	}
	m := float64(wire) * math.Pi * b.d * b.d / 4 * math.Pi * b.dm * b.n
	return SpringMass{Rate: r.Rate.Value, Mass: units.Mass(m)}.Surge()
}

// Working returns the derivation.
func (s Surge) Working() units.Working {
	return units.Working{{
		Symbol: "f", Formula: "(1/2) sqrt(k/m)", Numbers: "(1/2) sqrt(" + rateText(s.Rate) + "/" + plain(s.Mass.Grams()) + " g)",
		Value: plain(s.Frequency.RevolutionsPerSecond()) + " Hz", Source: units.Source{Text: "wave equation of a uniform spring, both ends fixed", Provenance: units.Computed},
	}}
}

// SurgeMargin is how a spring's frequency stands against a cam speed.
type SurgeMargin struct {
	Surge Surge
	Cam   units.AngularSpeed
	// Order is frequency over cam speed, a ratio: the harmonic of the cam that
	// would ring the spring, were it whole.
	Order float64
	// Harmonic is the whole harmonic nearest to Order, at least 1, and Critical
	// the cam speed at which it rings the spring.
	Harmonic int
	Critical units.AngularSpeed
	// Margin is Cam - Critical: negative below that speed.
	Margin units.AngularSpeed
}

// At answers how far the spring is from being rung by a harmonic of the cam at
// a cam speed (half of the crank's):
//
//	order = f/n_cam     critical = f/harmonic     margin = n_cam - critical
//
// How strong a harmonic is depends on the lobe; smooth lobes have little above
// the tenth. A speed not over 0 or not finite is refused, as is one so low that
// the harmonic is over a million.
//
// Source: definition.
//
// Rows: surge-order, surge-critical, surge-margin.
func (s Surge) At(cam units.AngularSpeed) (SurgeMargin, error) {
	if err := checkOver("Frequency", s.Frequency, 1e12, "want a frequency over 0: make the surge by Coil.Surge or SpringMass.Surge"); err != nil {
		return SurgeMargin{}, err
	}
	if err := checkOver("cam", cam, 1e12, "want a cam speed over 0"); err != nil {
		return SurgeMargin{}, err
	}
	order := float64(s.Frequency) / float64(cam)
	if !(order <= 1e6) {
		return SurgeMargin{}, fail("cam", cam.String(), units.ErrRange, "want a cam speed of at least a millionth of the spring's frequency")
	}
	n := max(int(math.RoundToEven(order)), 1)
	critical := s.Frequency / units.AngularSpeed(n)
	return SurgeMargin{Surge: s, Cam: cam, Order: order, Harmonic: n, Critical: critical, Margin: cam - critical}, nil
}

// Critical answers at which cam speed a harmonic rings the spring, f/harmonic.
// A harmonic under 1 is ErrRange.
//
// Source: definition.
//
// Rows: surge-critical.
func (s Surge) Critical(harmonic int) (units.AngularSpeed, error) {
	if harmonic < 1 || harmonic > 1_000_000 {
		return 0, fail("harmonic", plain(float64(harmonic)), units.ErrRange, "want a harmonic of 1 to 1000000")
	}
	if err := checkOver("Frequency", s.Frequency, 1e12, "want a frequency over 0: make the surge by Coil.Surge or SpringMass.Surge"); err != nil {
		return 0, err
	}
	return s.Frequency / units.AngularSpeed(harmonic), nil
}

// Working returns the derivation.
func (m SurgeMargin) Working() units.Working {
	rpm := func(a units.AngularSpeed) string { return plain(a.RevolutionsPerMinute()) + " rpm of the cam" }
	hz := plain(m.Surge.Frequency.RevolutionsPerSecond()) + " Hz"
	return append(m.Surge.Working(), units.Working{
		{Symbol: "order", Formula: "f/cam speed", Numbers: hz + "/" + plain(m.Cam.RevolutionsPerSecond()) + " rev/s", Value: plain(m.Order), Source: definition},
		{Symbol: "critical", Formula: "f/harmonic", Numbers: hz + "/" + plain(float64(m.Harmonic)), Value: rpm(m.Critical), Source: definition},
		{Symbol: "margin", Formula: "cam speed - critical", Numbers: rpm(m.Cam) + " - " + rpm(m.Critical), Value: rpm(m.Margin), Source: definition},
	}...)
}

// SurgeRule returns the limit on a spring's frequency by a rule of design: at
// least 15 times the cam speed, better 20. It is a rule for springs that ring
// little by themselves; many valve springs run under it with dampers. Use it
// with units.Judge on Surge.Frequency. A cam speed not over 0 or not finite is
// refused.
//
// Source: Brown, Marks' Calculations for Machine Design (2005), p. 383-384.
//
// Rows: surge-rule.
func SurgeRule(cam units.AngularSpeed) (units.Limits[units.AngularSpeed], error) {
	if err := checkOver("cam", cam, 1e12, "want a cam speed over 0"); err != nil {
		return units.Limits[units.AngularSpeed]{}, err
	}
	return units.AtLeast(15*cam, units.Source{Text: "Brown, Marks' Calculations for Machine Design (2005), p. 383-384: 15 to 20 times", Provenance: units.Verified}), nil
}
