package evaluation

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// valvetrainCases computes the rows of package valvetrain.
func valvetrainCases() []Case {
	return collect("valvetrain",
		valvetrainWire, valvetrainCoils, valvetrainSurge, valvetrainLoads, valvetrainNests, valvetrainCurves,
		valvetrainShims, valvetrainSets, valvetrainPreload, valvetrainLifters, valvetrainLinkage, valvetrainLiftCurves,
		valvetrainFinger, valvetrainBuckets, valvetrainValveJob, valvetrainFlow, valvetrainHertz, valvetrainDynamics,
		valvetrainHeads, valvetrainTravel, valvetrainSheet,
	)
}

var errListLengths = errors.New("the lists differ in length")

func (in *inputs) force(name string) units.Force { return read(in, name, units.ParseForce) }

func (in *inputs) stiffness(name string) units.Stiffness { return read(in, name, units.ParseStiffness) }

func (in *inputs) pressure(name string) units.Pressure { return read(in, name, units.ParsePressure) }

// named reads a word that a value prints itself as.
func named[T fmt.Stringer](in *inputs, name string, values ...T) T {
	return read(in, name, func(s string) (T, error) {
		for _, v := range values {
			if v.String() == s {
				return v, nil
			}
		}
		var zero T
		return zero, fmt.Errorf("%q is none of %v", s, values)
	})
}

// inUnit gives a quantity in the unit of the row.
func (in *inputs) inUnit(q any) Answer {
	switch q := q.(type) {
	case units.Length:
		return Number(inRowUnit(in.row, q))
	case units.Force:
		if in.row.Unit == "lbf" {
			return Number(q.PoundsForce())
		}
		return Number(q.Newtons())
	case units.Stiffness:
		if in.row.Unit == "lbf/in" {
			return Number(q.PoundsPerInch())
		}
		return Number(q.NewtonsPerMillimeter())
	case units.Pressure:
		switch in.row.Unit {
		case "psi":
			return Number(q.PoundsPerSquareInch())
		case "ksi":
			return Number(q.PoundsPerSquareInch() / 1000)
		default:
			return Number(q.Megapascals())
		}
	default:
		in.err = fmt.Errorf("no unit for %T", q)
		return Answer{}
	}
}

func springEnds(in *inputs) valvetrain.SpringEnds {
	return named(in, "ends", valvetrain.PlainEnds, valvetrain.PlainGroundEnds, valvetrain.ClosedEnds, valvetrain.ClosedGroundEnds)
}

func winding(in *inputs) valvetrain.Winding {
	w := valvetrain.Winding{Ends: springEnds(in), Wire: units.Unstated(in.length("wire")), Total: in.float("total")}
	if in.has("u wire") {
		w.Wire, w.TotalU = units.WithU(w.Wire.Value, in.length("u wire")), in.float("u total")
	}
	return w
}

func valvetrainWire(add adder) {
	materials := []valvetrain.WireMaterial{
		valvetrain.HardDrawnWire, valvetrain.MusicWire, valvetrain.OilTemperedWire, valvetrain.ChromeVanadiumWire, valvetrain.ChromeSiliconWire,
		valvetrain.SiliconManganeseWire, valvetrain.AusteniticStainlessWire, valvetrain.PrecipitationStainlessWire, valvetrain.MartensiticStainlessWire,
		valvetrain.BerylliumCopperWire, valvetrain.PhosphorBronzeWire, valvetrain.SpringBrassWire, valvetrain.NickelChromiumWire,
	}
	modulus := func(f func(valvetrain.WireModulus) units.Pressure) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			m, err := named(in, "material", materials...).Modulus(in.length("wire"))
			return in.inUnit(f(m)), err
		}
	}
	add("shear modulus of a wire", modulus(func(m valvetrain.WireModulus) units.Pressure { return m.Shear }), "WireMaterial.Modulus")
	add("Young's modulus of a wire", modulus(func(m valvetrain.WireModulus) units.Pressure { return m.Young }), "WireMaterial.Modulus")
	tensile := func(in *inputs, share float64) (Answer, error) {
		s, err := valvetrain.WireStrength{Coefficient: in.pressure("coefficient"), Reference: in.length("reference"), Exponent: in.float("exponent")}.Tensile(in.length("wire"))
		return in.inUnit(s * units.Pressure(share)), err
	}
	add("tensile strength", func(in *inputs) (Answer, error) { return tensile(in, 1) }, "WireStrength.Tensile")
	add("share of the tensile strength", func(in *inputs) (Answer, error) { return tensile(in, in.float("share")) }, "WireStrength.Tensile")
	add("active coils of ends", func(in *inputs) (Answer, error) {
		w, err := winding(in).Coils()
		return Number(w.Active), err
	}, "Winding.Coils")
	add("solid height of ends", func(in *inputs) (Answer, error) {
		w, err := winding(in).Coils()
		return in.inUnit(w.Solid.Value), err
	}, "Winding.Coils")
	add("uncertainty of a solid height", func(in *inputs) (Answer, error) {
		w, err := winding(in).Coils()
		return in.inUnit(w.Solid.U), err
	}, "Winding.Coils")
	add("pitch of ends", func(in *inputs) (Answer, error) {
		p, err := winding(in).Pitch(in.length("free"))
		return in.inUnit(p), err
	}, "Winding.Pitch")
	add("free length of ends", func(in *inputs) (Answer, error) {
		f, err := winding(in).FreeLength(in.length("pitch"))
		return in.inUnit(f), err
	}, "Winding.FreeLength")
	add("total coils of ends", func(in *inputs) (Answer, error) {
		n, err := springEnds(in).TotalFor(in.float("active"))
		return Number(n), err
	}, "SpringEnds.TotalFor")
	add("total coils by the pitch", func(in *inputs) (Answer, error) {
		n, err := valvetrain.PitchReading{Ends: springEnds(in), Wire: in.length("wire"), Pitch: in.length("pitch"), Free: in.length("free")}.Total()
		return Number(n), err
	}, "PitchReading.Total")
	add("free length with a clash allowance", func(in *inputs) (Answer, error) {
		w, err := winding(in).Coils()
		return Number(w.Solid.Value.Millimeters() + in.length("deflection").Millimeters()*(1+in.float("clash"))), err
	}, "Winding.Coils")
	add("free length with gaps at full load", func(in *inputs) (Answer, error) {
		w, err := winding(in).Coils()
		if err != nil {
			return Answer{}, err
		}
		c := coil(in)
		c.Active = w.Active
		k, err := c.Rate()
		return Number(w.Solid.Value.Millimeters() + (in.float("total")-1)*in.length("gap").Millimeters() + in.force("force").Newtons()/k.Rate.Value.NewtonsPerMillimeter()), err
	}, "Winding.Coils", "Coil.Rate")
}

// coil reads the coil that a row gives; what it does not give stays zero.
func coil(in *inputs) valvetrain.Coil {
	c := valvetrain.Coil{Wire: units.Unstated(in.length("wire"))}
	u := units.Length(0)
	stated := in.has("u wire")
	if stated {
		c.Wire = units.WithU(c.Wire.Value, in.length("u wire"))
		u, c.ActiveU = in.length("u diameter"), in.float("u active")
	}
	for name, d := range map[string]*units.Measured[units.Length]{"mean": &c.Mean, "outside": &c.Outside, "inside": &c.Inside} {
		if in.has(name) {
			*d = units.Measured[units.Length]{Value: in.length(name), U: u, Stated: stated}
		}
	}
	if in.has("active") {
		c.Active = in.float("active")
	}
	if in.has("shear") {
		c.Shear = units.Unstated(in.pressure("shear"))
		if stated {
			c.Shear = units.WithU(c.Shear.Value, in.pressure("u shear"))
		}
	}
	return c
}

func stressFactor(in *inputs) valvetrain.StressFactor {
	return named(in, "factor", valvetrain.NoFactor, valvetrain.StaticFactor, valvetrain.WahlFactor, valvetrain.BergstraesserFactor)
}

func valvetrainCoils(add adder) {
	add("spring rate", func(in *inputs) (Answer, error) {
		k, err := coil(in).Rate()
		return in.inUnit(k.Rate.Value), err
	}, "Coil.Rate")
	add("uncertainty of a spring rate", func(in *inputs) (Answer, error) {
		k, err := coil(in).Rate()
		return in.inUnit(k.Rate.U), err
	}, "Coil.Rate")
	add("ratio of rates by coils", func(in *inputs) (Answer, error) {
		c := coil(in)
		k, err := c.Rate()
		if err != nil {
			return Answer{}, err
		}
		c.Active = in.float("other")
		other, err := c.Rate()
		return Number(float64(other.Rate.Value) / float64(k.Rate.Value)), err
	}, "Coil.Rate")
	active := func(in *inputs) (float64, error) {
		if in.has("rate") {
			return coil(in).ActiveFor(in.stiffness("rate"))
		}
		return coil(in).ActiveFor(units.Stiffness(in.force("force").Newtons() / in.length("deflection").Meters()))
	}
	add("active coils for a rate", func(in *inputs) (Answer, error) {
		n, err := active(in)
		return Number(n), err
	}, "Coil.ActiveFor")
	add("total coils for a rate", func(in *inputs) (Answer, error) {
		n, err := active(in)
		if err != nil {
			return Answer{}, err
		}
		n, err = springEnds(in).TotalFor(n)
		return Number(n), err
	}, "Coil.ActiveFor", "SpringEnds.TotalFor")
	perCoil := func(in *inputs, f units.Force) (Answer, error) {
		c := coil(in)
		c.Active = 1
		k, err := c.Rate()
		l, err2 := units.LengthOf(f.Newtons()/float64(k.Rate.Value), units.Meters)
		return in.inUnit(l), errors.Join(err, err2)
	}
	add("deflection per coil", func(in *inputs) (Answer, error) { return perCoil(in, in.force("force")) }, "Coil.Rate")
	forceFor := func(in *inputs, factor valvetrain.StressFactor) (units.Force, error) {
		return coil(in).ForceFor(valvetrain.StressLimit{Stress: in.pressure("stress"), Factor: factor})
	}
	add("deflection per coil at a stress", func(in *inputs) (Answer, error) {
		f, err := forceFor(in, valvetrain.NoFactor)
		if err != nil {
			return Answer{}, err
		}
		return perCoil(in, f)
	}, "Coil.Rate", "Coil.ForceFor")
	add("force at a stress", func(in *inputs) (Answer, error) {
		f, err := forceFor(in, stressFactor(in))
		return in.inUnit(f), err
	}, "Coil.ForceFor")
	add("share of the force at a stress", func(in *inputs) (Answer, error) {
		f, err := forceFor(in, stressFactor(in))
		return Number(100 * float64(in.force("force")) / float64(f)), err
	}, "Coil.ForceFor")
	add("share of the inner of two springs at equal stress", func(in *inputs) (Answer, error) {
		// Of one index, one stress and one solid height, the wires are as C to C-2.
		c := in.float("index")
		force := func(wire float64) (float64, error) {
			d, err := units.LengthOf(wire, units.Millimeters)
			m, err2 := units.LengthOf(wire*c, units.Millimeters)
			f, err3 := valvetrain.Coil{Wire: units.Unstated(d), Mean: units.Unstated(m)}.ForceFor(valvetrain.StressLimit{Stress: units.Megapascals(500), Factor: valvetrain.WahlFactor})
			return f.Newtons(), errors.Join(err, err2, err3)
		}
		outer, err := force(c)
		inner, err2 := force(c - 2)
		return Number(in.force("force").Newtons() * inner / (inner + outer)), errors.Join(err, err2)
	}, "Coil.ForceFor")
	factor := func(f func(valvetrain.StressFactors) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			k, err := valvetrain.FactorsOf(in.float("index"))
			return Number(f(k)), err
		}
	}
	add("Wahl factor", factor(func(f valvetrain.StressFactors) float64 { return f.Wahl }), "FactorsOf")
	add("static stress factor", factor(func(f valvetrain.StressFactors) float64 { return f.Static }), "FactorsOf")
	add("Bergstraesser factor", factor(func(f valvetrain.StressFactors) float64 { return f.Bergstraesser }), "FactorsOf")
	stress := func(f func(valvetrain.CoilStress) units.Pressure) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			s, err := coil(in).Stress(in.force("force"))
			return in.inUnit(f(s)), err
		}
	}
	add("Wahl stress", stress(func(s valvetrain.CoilStress) units.Pressure { return s.Wahl }), "Coil.Stress")
	add("static stress", stress(func(s valvetrain.CoilStress) units.Pressure { return s.Static }), "Coil.Stress")
	add("Bergstraesser stress", stress(func(s valvetrain.CoilStress) units.Pressure { return s.Bergstraesser }), "Coil.Stress")
	add("uncorrected stress", stress(func(s valvetrain.CoilStress) units.Pressure { return s.Uncorrected }), "Coil.Stress")
	add("static stress of a solid spring", func(in *inputs) (Answer, error) {
		w, err := valvetrain.Winding{Ends: valvetrain.ClosedGroundEnds, Wire: units.Unstated(in.length("wire")), Total: in.float("total")}.Coils()
		if err != nil {
			return Answer{}, err
		}
		f, err := valvetrain.LinearSpring{Height: in.length("free"), Rate: units.Unstated(in.stiffness("rate"))}.ForceAt(w.Solid.Value)
		if err != nil {
			return Answer{}, err
		}
		s, err := coil(in).Stress(f)
		return in.inUnit(s.Static), err
	}, "Coil.Stress", "Winding.Coils", "LinearSpring.ForceAt")
	add("wire for a stress", func(in *inputs) (Answer, error) {
		d, err := valvetrain.WireSizing{
			Force: in.force("force"), Index: in.float("index"),
			Limit: valvetrain.StressLimit{Stress: in.pressure("stress"), Factor: stressFactor(in)},
		}.Wire()
		return in.inUnit(d), err
	}, "WireSizing.Wire")
}

func valvetrainSurge(add adder) {
	density := func(in *inputs) units.Density { return read(in, "density", units.ParseDensity) }
	add("surge frequency", func(in *inputs) (Answer, error) {
		s, err := coil(in).Surge(density(in))
		return Number(s.Frequency.RevolutionsPerSecond()), err
	}, "Coil.Surge", "SpringMass.Surge")
	add("surge frequency of a rate", func(in *inputs) (Answer, error) {
		c := coil(in)
		n, err := c.ActiveFor(in.stiffness("rate"))
		if err != nil {
			return Answer{}, err
		}
		c.Active = n
		s, err := c.Surge(density(in))
		return Number(s.Frequency.RevolutionsPerSecond()), err
	}, "Coil.Surge", "SpringMass.Surge", "Coil.ActiveFor")
	surge := func(in *inputs) (valvetrain.Surge, error) {
		return valvetrain.SpringMass{Rate: in.stiffness("rate"), Mass: read(in, "mass", units.ParseMass)}.Surge()
	}
	add("surge frequency of a mass", func(in *inputs) (Answer, error) {
		s, err := surge(in)
		return Number(s.Frequency.RevolutionsPerSecond()), err
	}, "SpringMass.Surge")
	cam := func(in *inputs) units.AngularSpeed { return read(in, "cam", units.ParseAngularSpeed) }
	margin := func(in *inputs) (valvetrain.SurgeMargin, error) {
		s, err := surge(in)
		if err != nil {
			return valvetrain.SurgeMargin{}, err
		}
		return s.At(cam(in))
	}
	add("surge order", func(in *inputs) (Answer, error) {
		m, err := margin(in)
		return Number(m.Order), err
	}, "Surge.At")
	add("cam speed over the nearest surge harmonic", func(in *inputs) (Answer, error) {
		m, err := margin(in)
		return Number(m.Margin.RevolutionsPerMinute()), err
	}, "Surge.At")
	add("cam speed of a surge harmonic", func(in *inputs) (Answer, error) {
		s, err := surge(in)
		if err != nil {
			return Answer{}, err
		}
		n := in.int("harmonic")
		c, err := s.Critical(n)
		if err != nil {
			return Answer{}, err
		}
		m, err := s.At(c) // at that speed the harmonic is the nearest and the margin none
		if m.Harmonic != n || m.Critical != c {
			return Answer{}, fmt.Errorf("harmonic %d at %v", m.Harmonic, m.Critical)
		}
		return Number(c.RevolutionsPerMinute()), err
	}, "Surge.Critical", "Surge.At")
	add("least surge frequency by rule", func(in *inputs) (Answer, error) {
		l, err := valvetrain.SurgeRule(cam(in))
		return Number(l.Min.RevolutionsPerSecond()), err
	}, "SurgeRule")
}

func linearSpring(in *inputs) valvetrain.LinearSpring {
	s := valvetrain.LinearSpring{
		Height: in.length("height"), Force: units.Unstated(in.force("force")), Rate: units.Unstated(in.stiffness("rate")),
		Solid: units.Unstated(in.length("solid")),
	}
	if in.has("u force") {
		s.Force, s.Rate = units.WithU(s.Force.Value, in.force("u force")), units.WithU(s.Rate.Value, in.stiffness("u rate"))
	}
	return s
}

func valvetrainLoads(add adder) {
	line := func(in *inputs) (valvetrain.BenchLine, error) {
		h, f := list(in, "heights", units.ParseLength), list(in, "forces", units.ParseForce)
		if len(h) != len(f) {
			return valvetrain.BenchLine{}, errListLengths
		}
		var uh []units.Length
		var uf []units.Force
		if in.has("u heights") {
			uh, uf = list(in, "u heights", units.ParseLength), list(in, "u forces", units.ParseForce)
			if len(uh) != len(h) || len(uf) != len(h) {
				return valvetrain.BenchLine{}, errListLengths
			}
		}
		b := make(valvetrain.Bench, len(h))
		for i := range h {
			b[i] = valvetrain.LoadReading{Height: units.Unstated(h[i]), Force: units.Unstated(f[i])}
			if uh != nil {
				b[i] = valvetrain.LoadReading{Height: units.WithU(h[i], uh[i]), Force: units.WithU(f[i], uf[i])}
			}
		}
		return b.Line()
	}
	bench := func(quantity string, f func(*inputs, valvetrain.BenchLine) Answer, more ...string) {
		add(quantity, func(in *inputs) (Answer, error) {
			l, err := line(in)
			if err != nil {
				return Answer{}, err
			}
			return f(in, l), nil
		}, append([]string{"Bench.Line"}, more...)...)
	}
	bench("rate of bench readings", func(in *inputs, l valvetrain.BenchLine) Answer { return in.inUnit(l.Rate.Value) })
	bench("uncertainty of the rate of bench readings", func(in *inputs, l valvetrain.BenchLine) Answer { return in.inUnit(l.Rate.U) })
	bench("free length of bench readings", func(in *inputs, l valvetrain.BenchLine) Answer { return in.inUnit(l.Free.Value) }, "LinearSpring.FreeLength")
	bench("uncertainty of the free length of bench readings", func(in *inputs, l valvetrain.BenchLine) Answer { return in.inUnit(l.Free.U) }, "LinearSpring.FreeLength")
	bench("scatter of bench readings", func(in *inputs, l valvetrain.BenchLine) Answer { return in.inUnit(l.Scatter) })
	bench("share explained of bench readings", func(_ *inputs, l valvetrain.BenchLine) Answer { return Number(l.RSquared) })
	add("force of a linear spring", func(in *inputs) (Answer, error) {
		f, err := linearSpring(in).ForceAt(in.length("at"))
		return in.inUnit(f), err
	}, "LinearSpring.ForceAt")
	add("rate of a spring at a height", func(in *inputs) (Answer, error) {
		l, err := linearSpring(in).LoadAt(in.length("at"))
		return in.inUnit(l.Rate), err
	}, "LinearSpring.LoadAt")
	add("uncertainty of the force of a linear spring", func(in *inputs) (Answer, error) {
		l, err := linearSpring(in).LoadAt(in.length("at"))
		return in.inUnit(l.Force.U), err
	}, "LinearSpring.LoadAt")
	add("height of a linear spring", func(in *inputs) (Answer, error) {
		h, err := linearSpring(in).HeightAt(in.force("at force"))
		return in.inUnit(h), err
	}, "LinearSpring.HeightAt")
	add("deflection under a force", func(in *inputs) (Answer, error) {
		h, err := valvetrain.LinearSpring{Height: units.Meter, Rate: units.Unstated(in.stiffness("rate"))}.HeightAt(in.force("force"))
		return in.inUnit(units.Meter - h), err
	}, "LinearSpring.HeightAt")
	add("uncertainty of the free length of a linear spring", func(in *inputs) (Answer, error) {
		f, err := linearSpring(in).FreeLength()
		return in.inUnit(f.U), err
	}, "LinearSpring.FreeLength")
}

// nest reads the outer and the inner spring of a nest.
func nest(in *inputs) valvetrain.Nest {
	h, f, k := list(in, "heights", units.ParseLength), list(in, "forces", units.ParseForce), list(in, "rates", units.ParseStiffness)
	if in.err != nil || len(h) != 2 || len(f) != 2 || len(k) != 2 {
		in.err = errors.Join(in.err, errListLengths)
		return valvetrain.Nest{}
	}
	var n valvetrain.Nest
	for i, name := range []string{"outer", "inner"} {
		s := valvetrain.LinearSpring{Height: h[i], Force: units.Unstated(f[i]), Rate: units.Unstated(k[i])}
		if in.has("u forces") {
			s.Force, s.Rate = units.WithU(f[i], list(in, "u forces", units.ParseForce)[i]), units.WithU(k[i], list(in, "u rates", units.ParseStiffness)[i])
		}
		step := units.Length(0)
		if in.has("solids") {
			s.Solid, step = units.Unstated(list(in, "solids", units.ParseLength)[i]), list(in, "steps", units.ParseLength)[i]
		}
		if in.has("u solids") {
			s.Solid = units.WithU(s.Solid.Value, list(in, "u solids", units.ParseLength)[i])
		}
		n.Springs = append(n.Springs, valvetrain.NestSpring{Name: name, Spring: s, Step: step})
	}
	return n
}

func installed(in *inputs) valvetrain.Installed {
	i := valvetrain.Installed{Height: units.Unstated(in.length("installed")), Lift: units.Unstated(in.length("lift"))}
	if in.has("u installed") {
		i.Height, i.Lift = units.WithU(i.Height.Value, in.length("u installed")), units.WithU(i.Lift.Value, in.length("u lift"))
	}
	if in.has("least") {
		i.LeastBind = units.Some(units.AtLeast(in.length("least"), stated))
	}
	return i
}

var stated = units.Source{Text: "the row", Provenance: units.Stated}

func valvetrainNests(add adder) {
	report := func(quantity string, f func(*inputs, valvetrain.NestReport) Answer, more ...string) {
		add(quantity, func(in *inputs) (Answer, error) {
			n := nest(in)
			if in.err != nil {
				return Answer{}, in.err
			}
			r, err := n.Check(installed(in))
			if err != nil {
				return Answer{}, err
			}
			return f(in, r), nil
		}, append([]string{"Nest.Check"}, more...)...)
	}
	add("open force of a nest", func(in *inputs) (Answer, error) {
		n := nest(in)
		if in.err != nil {
			return Answer{}, in.err
		}
		i := installed(in)
		r, err := n.Check(i)
		if err != nil {
			return Answer{}, err
		}
		f, err := n.ForceAt(i.Height.Value - i.Lift.Value)
		if f != r.Open.Value.Value {
			return Answer{}, fmt.Errorf("the report says %v, the nest %v", r.Open.Value.Value, f)
		}
		return in.inUnit(f), err
	}, "Nest.Check", "Nest.ForceAt")
	report("open force of the outer spring of a nest", func(in *inputs, r valvetrain.NestReport) Answer {
		f, err := nest(in).Springs[0].Spring.ForceAt(in.length("installed") - in.length("lift"))
		if err != nil || f != r.Springs[0].Open.Value.Value {
			in.err = fmt.Errorf("the report says %v, the spring %v: %w", r.Springs[0].Open.Value.Value, f, err)
		}
		return in.inUnit(f)
	}, "LinearSpring.ForceAt")
	report("uncertainty of the seat force of a nest", func(in *inputs, r valvetrain.NestReport) Answer { return in.inUnit(r.Seat.U) })
	report("uncertainty of the open force of a nest", func(in *inputs, r valvetrain.NestReport) Answer { return in.inUnit(r.Open.Value.U) })
	report("least room to coil bind of a nest", func(in *inputs, r valvetrain.NestReport) Answer {
		return in.inUnit(r.Springs[r.Tightest].Room.Value.Value)
	})
	report("uncertainty of the least room of a nest", func(in *inputs, r valvetrain.NestReport) Answer {
		return in.inUnit(r.Springs[r.Tightest].Room.Value.U)
	})
	report("tightest spring of a nest", func(_ *inputs, r valvetrain.NestReport) Answer { return Text(r.Springs[r.Tightest].Name) })
	report("verdict on the coil bind of a nest", func(_ *inputs, r valvetrain.NestReport) Answer { return Text(r.Outcome.String()) })
	add("rate of a nest", func(in *inputs) (Answer, error) {
		l, err := nest(in).LoadAt(in.length("at"))
		return in.inUnit(l.Rate), err
	}, "Nest.LoadAt")
	add("uncertainty of the springs of a nest", func(in *inputs) (Answer, error) {
		l, err := nest(in).LoadAt(in.length("at"))
		return in.inUnit(l.Force.U), err
	}, "Nest.LoadAt")
	add("height of a nest", func(in *inputs) (Answer, error) {
		h, err := nest(in).HeightAt(in.force("at force"))
		return in.inUnit(h), err
	}, "Nest.HeightAt")
	add("solid height of a nest", func(in *inputs) (Answer, error) { return in.inUnit(nest(in).SolidHeight().Value), nil }, "Nest.SolidHeight")
	room := func(in *inputs, solid units.Length) (Answer, error) {
		s := valvetrain.LinearSpring{Height: in.length("installed"), Rate: units.Unstated(units.NewtonsPerMillimeter(50)), Solid: units.Unstated(solid)}
		r, err := valvetrain.Nest{Springs: []valvetrain.NestSpring{{Spring: s}}}.Check(installed(in))
		if err != nil {
			return Answer{}, err
		}
		return in.inUnit(r.Springs[0].Room.Value.Value), nil
	}
	add("room to coil bind by the winding", func(in *inputs) (Answer, error) {
		w, err := winding(in).Coils()
		if err != nil {
			return Answer{}, err
		}
		return room(in, w.Solid.Value)
	}, "Nest.Check", "Winding.Coils")
	add("room to coil bind by the solid height", func(in *inputs) (Answer, error) { return room(in, in.length("solid")) }, "Nest.Check")
	const free = 200 * units.Millimeter
	two := func(quantity string, f func(in *inputs, n valvetrain.Nest, h units.Length) (Answer, error)) {
		add(quantity, func(in *inputs) (Answer, error) {
			d, dm, c := list(in, "wires", units.ParseLength), list(in, "means", units.ParseLength), list(in, "coils", func(s string) (float64, error) { return strconv.ParseFloat(s, 64) })
			if in.err != nil || len(d) != 2 || len(dm) != 2 || len(c) != 2 {
				return Answer{}, errors.Join(in.err, errListLengths)
			}
			var n valvetrain.Nest
			for i, step := range []units.Length{0, in.length("shorter")} {
				k, err := valvetrain.Coil{Wire: units.Unstated(d[i]), Mean: units.Unstated(dm[i]), Active: c[i], Shear: units.Unstated(in.pressure("shear"))}.Rate()
				if err != nil {
					return Answer{}, err
				}
				n.Springs = append(n.Springs, valvetrain.NestSpring{Spring: valvetrain.LinearSpring{Height: free - step, Rate: k.Rate}})
			}
			h, err := n.HeightAt(in.force("force"))
			if err != nil {
				return Answer{}, err
			}
			if got, err := n.ForceAt(h); err != nil || !(got >= in.force("force")) {
				return Answer{}, fmt.Errorf("the nest gives %v there: %w", got, err)
			}
			return f(in, n, h)
		}, "Nest.HeightAt", "Nest.ForceAt", "Coil.Rate")
	}
	two("load on the outer of two springs", func(in *inputs, n valvetrain.Nest, h units.Length) (Answer, error) {
		f, err := n.Springs[0].Spring.ForceAt(h)
		return in.inUnit(f), err
	})
	two("deflection of the outer of two springs", func(in *inputs, _ valvetrain.Nest, h units.Length) (Answer, error) {
		return in.inUnit(free - h), nil
	})
	two("deflection of the inner of two springs", func(in *inputs, _ valvetrain.Nest, h units.Length) (Answer, error) {
		return in.inUnit(free - in.length("shorter") - h), nil
	})
}

func valvetrainCurves(add adder) {
	wound := func(in *inputs) (valvetrain.SpringCurve, error) {
		from, to, gaps := list(in, "from", units.ParseLength), list(in, "to", units.ParseLength), list(in, "gaps", units.ParseLength)
		turns := list(in, "turns", func(s string) (float64, error) { return strconv.ParseFloat(s, 64) })
		if in.err != nil || len(from) != len(turns) || len(to) != len(turns) || len(gaps) != len(turns) {
			return valvetrain.SpringCurve{}, errors.Join(in.err, errListLengths)
		}
		w := valvetrain.WoundSpring{Wire: in.length("wire"), Shear: in.pressure("shear"), Free: in.length("free")}
		for i := range turns {
			w.Runs = append(w.Runs, valvetrain.CoilRun{Turns: turns[i], From: from[i], To: to[i], Gap: gaps[i]})
		}
		return w.Curve()
	}
	staged := func(in *inputs) (valvetrain.SpringCurve, error) {
		k, x := list(in, "rates", units.ParseStiffness), list(in, "travels", units.ParseLength)
		if in.err != nil || len(k) != len(x) {
			return valvetrain.SpringCurve{}, errors.Join(in.err, errListLengths)
		}
		w := valvetrain.StagedSpring{Free: in.length("free")}
		for i := range k {
			w.Stages = append(w.Stages, valvetrain.Stage{Rate: k[i], Travel: x[i]})
		}
		return w.Curve()
	}
	force := func(curve func(*inputs) (valvetrain.SpringCurve, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			c, err := curve(in)
			if err != nil {
				return Answer{}, err
			}
			f, err := c.ForceAt(in.length("at"))
			return in.inUnit(f), err
		}
	}
	rate := func(curve func(*inputs) (valvetrain.SpringCurve, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			c, err := curve(in)
			if err != nil {
				return Answer{}, err
			}
			l, err := c.LoadAt(in.length("at"))
			return in.inUnit(l.Rate), err
		}
	}
	add("force of a wound spring", force(wound), "WoundSpring.Curve", "SpringCurve.ForceAt")
	add("rate of a wound spring", rate(wound), "WoundSpring.Curve", "SpringCurve.LoadAt")
	add("force of a staged spring", force(staged), "StagedSpring.Curve", "SpringCurve.ForceAt")
	add("rate of a staged spring", rate(staged), "StagedSpring.Curve", "SpringCurve.LoadAt")
	add("solid height of a wound spring", func(in *inputs) (Answer, error) {
		c, err := wound(in)
		return in.inUnit(c.SolidHeight().Value), err
	}, "WoundSpring.Curve", "SpringCurve.SolidHeight")
}

func valvetrainShims(add adder) {
	job := func(in *inputs) (valvetrain.ShimJob, error) {
		t, n := list(in, "stock", units.ParseLength), list(in, "counts", strconv.Atoi)
		if in.err != nil || len(t) != len(n) {
			return valvetrain.ShimJob{}, errors.Join(in.err, errListLengths)
		}
		j := valvetrain.ShimJob{Unshimmed: in.length("unshimmed")}
		for i := range t {
			j.Stock = append(j.Stock, valvetrain.ShimStock{Thickness: t[i], Count: n[i]})
		}
		if in.has("lowest") {
			j.Lowest = in.length("lowest")
		}
		if in.has("most") {
			j.Most = in.int("most")
		}
		return j, nil
	}
	forHeight := func(quantity string, f func(*inputs, valvetrain.ShimPlan) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			j, err := job(in)
			if err != nil {
				return Answer{}, err
			}
			p, err := j.ForHeight(in.length("wanted"))
			if err != nil {
				return Answer{}, err
			}
			return f(in, p), nil
		}, "ShimJob.ForHeight")
	}
	forHeight("height with the best shims", func(in *inputs, p valvetrain.ShimPlan) Answer { return in.inUnit(p.Height) })
	forHeight("thickness of the best shims", func(in *inputs, p valvetrain.ShimPlan) Answer { return in.inUnit(p.Total) })
	forHeight("count of the best shims", func(_ *inputs, p valvetrain.ShimPlan) Answer { return Number(float64(p.Count)) })
	forLoad := func(quantity string, f func(*inputs, valvetrain.ShimPlan) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			j, err := job(in)
			if err != nil {
				return Answer{}, err
			}
			p, err := j.ForLoad(linearSpring(in), in.force("wanted force"))
			if err != nil {
				return Answer{}, err
			}
			return f(in, p), nil
		}, "ShimJob.ForLoad")
	}
	forLoad("force with the best shims", func(in *inputs, p valvetrain.ShimPlan) Answer { return in.inUnit(p.Force.Value) })
	forLoad("height with the best shims for a force", func(in *inputs, p valvetrain.ShimPlan) Answer { return in.inUnit(p.Height) })
}

// places writes indices as places counted from 1.
func places(indices []int) Answer {
	if len(indices) == 0 {
		return Text("none")
	}
	s := make([]string, len(indices))
	for i, n := range indices {
		s[i] = strconv.Itoa(n + 1)
	}
	return Text(strings.Join(s, " "))
}

// outcome is a case that judges: its answer is the outcome in words.
func outcome[Q units.Quantity](v units.Optional[units.Verdict[Q]]) Answer {
	if !v.Given {
		return Text("no verdict")
	}
	return Text(v.Value.Outcome.String())
}

func valvetrainSets(add adder) {
	set := func(quantity string, f func(*inputs, valvetrain.SetReport[units.Force]) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			var s valvetrain.Set[units.Force]
			for i, x := range list(in, "forces", units.ParseForce) {
				m := valvetrain.Member[units.Force]{Name: strconv.Itoa(i + 1), Value: units.Unstated(x)}
				if in.has("u") {
					m.Value = units.WithU(x, in.force("u"))
				}
				s.Members = append(s.Members, m)
			}
			if in.has("least") {
				s.Each = units.Some(units.Between(in.force("least"), in.force("most"), stated))
			}
			if in.has("spread") {
				s.Spread = units.Some(units.AtMost(in.force("spread"), stated))
			}
			r, err := s.Compare()
			if err != nil {
				return Answer{}, err
			}
			return f(in, r), nil
		}, "Set.Compare")
	}
	type report = valvetrain.SetReport[units.Force]
	set("median force of a set", func(in *inputs, r report) Answer { return in.inUnit(r.Median) })
	set("mean force of a set", func(in *inputs, r report) Answer { return in.inUnit(r.Mean) })
	set("median deviation of a set", func(in *inputs, r report) Answer { return in.inUnit(r.MAD) })
	set("spread of a set", func(in *inputs, r report) Answer { return in.inUnit(r.Spread.Value) })
	set("uncertainty of the spread of a set", func(in *inputs, r report) Answer { return in.inUnit(r.Spread.U) })
	set("score of a member of a set", func(in *inputs, r report) Answer { return Number(r.Members[in.int("member")-1].Score) })
	set("members of a set that stand out", func(_ *inputs, r report) Answer { return places(r.Outliers) })
	set("worst verdict on a set", func(_ *inputs, r report) Answer { return Text(r.Outcome.String()) })
	set("verdict on the spread of a set", func(_ *inputs, r report) Answer { return outcome(r.SpreadVerdict) })
	leak := func(quantity string, f func(valvetrain.SetReport[time.Duration]) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			var s valvetrain.Set[time.Duration]
			for _, x := range list(in, "times", time.ParseDuration) {
				s.Members = append(s.Members, valvetrain.Member[time.Duration]{Value: units.Unstated(x)})
			}
			r, err := s.Compare()
			return f(r), err
		}, "Set.Compare")
	}
	leak("median leak-down time", func(r valvetrain.SetReport[time.Duration]) Answer { return Number(r.Median.Seconds()) })
	leak("lifters whose leak-down time stands out", func(r valvetrain.SetReport[time.Duration]) Answer { return places(r.Outliers) })
	loss := func(quantity string, f func(*inputs, valvetrain.SpringLossResult) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			l := valvetrain.SpringLoss{New: units.WithU(in.force("new"), in.force("u new")), Now: units.WithU(in.force("now"), in.force("u now"))}
			if in.has("least") {
				l.LeastShare, l.Source = in.float("least"), stated
			}
			r, err := l.Check()
			if err != nil {
				return Answer{}, err
			}
			return f(in, r), nil
		}, "SpringLoss.Check")
	}
	loss("force lost", func(in *inputs, r valvetrain.SpringLossResult) Answer { return in.inUnit(r.Loss.Value) })
	loss("share of force lost", func(_ *inputs, r valvetrain.SpringLossResult) Answer { return Number(r.Share) })
	loss("uncertainty of the share lost", func(_ *inputs, r valvetrain.SpringLossResult) Answer { return Number(r.ShareU) })
	loss("verdict on the force left", func(_ *inputs, r valvetrain.SpringLossResult) Answer { return outcome(r.Verdict) })
}
