package evaluation

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// fixed4 writes figures as the tables print them.
func fixed4(x ...float64) string {
	s := make([]string, len(x))
	for i, v := range x {
		s[i] = strconv.FormatFloat(math.Round(v*1e4)/1e4+0, 'f', 4, 64)
	}
	return strings.Join(s, " ")
}

// firingorderBalance computes the rows of balance.csv.
func firingorderBalance(add adder) {
	balance := func(in *inputs) *firingorder.Balance {
		l, err := firingLayout(in)
		c := firingorder.BalanceConfig{Layout: l}
		if in.has("pins_per_throw") {
			c.PinsPerThrow = in.int("pins_per_throw")
		}
		if in.has("pitch") {
			c.Pitch = in.length("pitch")
		}
		if in.err == nil {
			in.err = err
		}
		if in.err != nil {
			return nil
		}
		b, err := firingorder.NewBalance(c)
		in.err = err
		return b
	}
	// ratio is the dimensionless force or couple that the row is about.
	ratio := func(in *inputs, b *firingorder.Balance, order int) firingorder.Rotating[firingorder.Coefficient] {
		of := in.text("of")
		if in.err != nil {
			return firingorder.Rotating[firingorder.Coefficient]{}
		}
		f := b.ForceRatio
		if of == "couple" {
			f = b.CoupleRatio
		}
		r, err := f(order)
		in.err = err
		return r
	}
	ratios := "NewBalance Balance.ForceRatio Balance.CoupleRatio"
	with := func(names string) []string { return strings.Fields(names) }
	add("free force or couple of a layout", func(in *inputs) (Answer, error) {
		r := ratio(in, balance(in), in.int("harmonic"))
		return Text(fixed4(float64(r.Max), float64(r.Min), float64(r.Forward.Size), float64(r.Backward.Size))), nil
	}, with(ratios)...)
	add("largest free force or couple", func(in *inputs) (Answer, error) {
		return Number(float64(ratio(in, balance(in), in.int("harmonic")).Max)), nil
	}, with(ratios)...)
	add("free force or couple at a crank angle", func(in *inputs) (Answer, error) {
		r := ratio(in, balance(in), in.int("harmonic")).At(in.crank("crank"))
		return Text(fixed4(float64(r.Along), float64(r.Across))), nil
	}, with(ratios+" Rotating.At")...)
	add("sum of sine or cosine over the cylinders", func(in *inputs) (Answer, error) {
		// About cylinder 1 the arms are the i - 1 of the source.
		l, err := firingLayout(in)
		if err != nil {
			return Answer{}, err
		}
		b, err := firingorder.NewBalance(firingorder.BalanceConfig{Layout: l, Pitch: units.Meter, Plane: units.Some(units.Length(0))})
		if err != nil {
			return Answer{}, err
		}
		n := in.int("harmonic")
		r := ratio(in, b, n)
		if in.text("function") == "cos" {
			return Number(float64(r.At(0).Along)), nil
		}
		// cos(q (phi + 90/q)) is -sin(q phi).
		return Number(-float64(r.At(90 * units.CrankDegree / units.CrankAngle(max(1, n))).Along)), nil
	}, with(ratios+" Rotating.At")...)
	engine := func(in *inputs) firingorder.Reciprocating {
		r := firingorder.Reciprocating{Stroke: in.length("stroke"), Mass: read(in, "mass", units.ParseMass), Speed: read(in, "speed", units.ParseAngularSpeed)}
		if in.has("rod") {
			r.Rod = in.length("rod")
		}
		return r
	}
	inUnits := func(pick func(largest, smallest float64) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			b, r, n := balance(in), engine(in), in.int("harmonic")
			if in.err != nil {
				return Answer{}, in.err
			}
			if in.text("of") == "couple" {
				m, err := b.Couple(n, r)
				return Number(pick(m.Max.NewtonMeters(), m.Min.NewtonMeters())), err
			}
			f, err := b.Force(n, r)
			if in.row.Unit == "lbf" {
				return Number(pick(f.Max.PoundsForce(), f.Min.PoundsForce())), err
			}
			return Number(pick(f.Max.Newtons(), f.Min.Newtons())), err
		}
	}
	reals := with("NewBalance Balance.Force Balance.Couple Balance.ForceRatio Balance.CoupleRatio Reciprocating.Amplitude")
	add("largest free force or couple of an engine", inUnits(func(a, _ float64) float64 { return a }), reals...)
	add("smallest free force or couple of an engine", inUnits(func(_, b float64) float64 { return b }), with("NewBalance Balance.Force Balance.ForceRatio Reciprocating.Amplitude")...)
	add("harmonic of the piston acceleration", func(in *inputs) (Answer, error) {
		n, k := in.int("harmonic"), in.float("rod_over_radius")
		if in.err != nil {
			return Answer{}, in.err
		}
		x, err := firingorder.HarmonicRatio(n, 1/k)
		if err != nil {
			return Answer{}, err
		}
		// The same through an engine whose m r w^2 is 1 N.
		rod, err := units.LengthOf(k, units.Meters)
		if err != nil {
			return Answer{}, err
		}
		f, err := firingorder.Reciprocating{Mass: 1, Stroke: 2 * units.Meter, Rod: rod, Speed: 1, Series: true}.Amplitude(n)
		if d := math.Abs(f.Newtons() - x); d > 1e-11 {
			err = errors.Join(err, fmt.Errorf("the amplitude differs by %g", d))
		}
		return Number(x), err
	}, "HarmonicRatio", "Reciprocating.Amplitude")
	residual := func(in *inputs) (left firingorder.Rotating[firingorder.Coefficient]) {
		b, f, of := balance(in), in.float("fraction"), in.text("of")
		if in.err != nil {
			return left
		}
		r, err := b.Counterweight(f)
		in.err = err
		if of == "couple" {
			return r.Couple
		}
		return r.Force
	}
	add("couple left by counterweights that remove the forward part", func(in *inputs) (Answer, error) {
		return Number(float64(residual(in).Max)), nil
	}, with(ratios+" Balance.Counterweight")...)
	add("largest and smallest of what counterweights leave", func(in *inputs) (Answer, error) {
		r := residual(in)
		return Text(fixed4(float64(r.Max), float64(r.Min))), nil
	}, with(ratios+" Balance.Counterweight")...)
	add("shares of the reciprocating mass for the counterweights", func(in *inputs) (Answer, error) {
		r := ratio(in, balance(in), 1)
		f, err := r.Fractions()
		return Text(fixed4(f.Forward, f.OnePlaneLow, f.OnePlaneHigh)), err
	}, with(ratios+" Rotating.Fractions")...)
	mass := func(in *inputs, name string) units.Mass {
		if !in.has(name) {
			return 0
		}
		return read(in, name, units.ParseMass)
	}
	ends := func(pick func(firingorder.EndWeights) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			b := balance(in)
			p := firingorder.EndPlanes{
				Reciprocating: mass(in, "mass"), Rotating: mass(in, "rotating"), Stroke: in.length("stroke"),
				Radius: in.length("radius"), First: in.length("first"), Second: in.length("second"),
			}
			if in.err != nil {
				return Answer{}, in.err
			}
			w, err := b.EndWeights(p)
			if err != nil {
				return Answer{}, err
			}
			// With these weights nothing turns forward.
			c := firingorder.CrankMasses{
				Engine:   firingorder.Reciprocating{Mass: p.Reciprocating, Stroke: p.Stroke, Speed: units.RadiansPerSecond(100)},
				Rotating: p.Rotating, Weights: []firingorder.CrankWeight{w.First, w.Second},
			}
			left, err := b.Residual(c)
			if err != nil {
				return Answer{}, err
			}
			f, err := c.Engine.Amplitude(1)
			if left.Force.Forward.Size > 1e-8*f || float64(left.Couple.Forward.Size) > 1e-8*float64(f) {
				err = errors.Join(err, fmt.Errorf("%v and %v are left", left.Force.Forward.Size, left.Couple.Forward.Size))
			}
			return Number(pick(w)), err
		}
	}
	endSymbols := with("NewBalance Balance.EndWeights Balance.Residual")
	add("counterweight in the plane of the pin", ends(func(w firingorder.EndWeights) float64 { return w.First.Mass.Pounds() }), endSymbols...)
	add("counterweight in the first plane", ends(func(w firingorder.EndWeights) float64 { return w.First.Mass.Kilograms() }), endSymbols...)
	add("angle of the counterweight in the first plane", ends(func(w firingorder.EndWeights) float64 { return w.First.Angle.Degrees() }), endSymbols...)
	add("angle of the counterweight in the second plane", ends(func(w firingorder.EndWeights) float64 { return w.Second.Angle.Degrees() }), endSymbols...)
	add("largest couple with given counterweights", func(in *inputs) (Answer, error) {
		b := balance(in)
		c := firingorder.CrankMasses{Engine: engine(in), Rotating: mass(in, "rotating")}
		for one := range strings.SplitSeq(in.text("weights"), "|") {
			f := strings.Split(one, ",")
			if len(f) != 4 {
				return Answer{}, fmt.Errorf("%q is not mass, radius, angle, position", one)
			}
			m, err1 := units.ParseMass(f[0])
			r, err2 := units.ParseLength(f[1])
			a, err3 := units.ParseCrankAngle(f[2])
			z, err4 := units.ParseLength(f[3])
			if err := errors.Join(err1, err2, err3, err4); err != nil {
				return Answer{}, err
			}
			c.Weights = append(c.Weights, firingorder.CrankWeight{Mass: m, Radius: r, Angle: a, Position: z})
		}
		if in.err != nil {
			return Answer{}, in.err
		}
		r, err := b.Residual(c)
		return Number(r.Couple.Max.NewtonMeters()), err
	}, with("NewBalance Balance.Residual Balance.Force Balance.Couple")...)
	bob := func(in *inputs) (firingorder.BobMass, error) {
		return firingorder.BobWeight{
			Rods: in.int("rods"), Rotating: weighed(in, "rotating"), Reciprocating: weighed(in, "reciprocating"),
			Oil: units.Unstated(mass(in, "oil")), Fraction: in.float("fraction"),
		}.Mass()
	}
	add("bob weight", func(in *inputs) (Answer, error) {
		m, err := bob(in)
		return Number(m.Mass.Value.Grams()), err
	}, "BobWeight.Mass")
	add("uncertainty of a bob weight", func(in *inputs) (Answer, error) {
		m, err := bob(in)
		return Number(m.Mass.U.Grams()), err
	}, "BobWeight.Mass")
}

// weighed reads a mass, with its uncertainty if the row has one.
func weighed(in *inputs, name string) units.Measured[units.Mass] {
	m := read(in, name, units.ParseMass)
	if in.has(name + "_u") {
		return units.WithU(m, read(in, name+"_u", units.ParseMass))
	}
	return units.Unstated(m)
}

// firingorderWeights computes the rows of rod_weights.csv.
func firingorderWeights(add adder) {
	rod := func(in *inputs) (firingorder.RodSplit, error) {
		r := firingorder.RodWeight{Mass: weighed(in, "mass"), Length: in.length("length"), CG: units.Unstated(in.length("cg"))}
		if in.has("cg_u") {
			r.CG = units.WithU(r.CG.Value, in.length("cg_u"))
		}
		if in.has("gyration") {
			r.Gyration = units.Some(in.length("gyration"))
		}
		return r.Split()
	}
	split := func(quantity string, pick func(firingorder.RodSplit) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			s, err := rod(in)
			return Number(pick(s)), err
		}, "RodWeight.Split")
	}
	split("reciprocating share of a rod", func(s firingorder.RodSplit) float64 { return s.Reciprocating.Value.Grams() })
	split("rotating share of a rod", func(s firingorder.RodSplit) float64 { return s.Rotating.Value.Grams() })
	split("uncertainty of the reciprocating share of a rod", func(s firingorder.RodSplit) float64 { return s.Reciprocating.U.Grams() })
	split("radius of gyration for an exact split", func(s firingorder.RodSplit) float64 { return s.Gyration.Millimeters() })
	split("moment of inertia of a rod over that of its two masses", func(s firingorder.RodSplit) float64 { return s.InertiaRatio.Value })
	ends := func(quantity string, pick func(firingorder.RodWeight) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			r, err := firingorder.RodEnds{Small: weighed(in, "small"), Big: weighed(in, "big"), Length: in.length("length")}.Weight()
			return Number(pick(r)), err
		}, "RodEnds.Weight")
	}
	ends("mass of a rod from its ends", func(r firingorder.RodWeight) float64 { return r.Mass.Value.Grams() })
	ends("center of gravity of a rod from its ends", func(r firingorder.RodWeight) float64 { return r.CG.Value.Millimeters() })
	ends("uncertainty of the center of gravity from its ends", func(r firingorder.RodWeight) float64 { return r.CG.U.Millimeters() })
	set := func(quantity string, pick func(firingorder.WeightSpread) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			var s firingorder.WeightSet
			for one := range strings.SplitSeq(in.text("masses"), ",") {
				m, err := units.ParseMass(one)
				if err != nil {
					return Answer{}, err
				}
				w := units.Unstated(m)
				if in.has("u") {
					w = units.WithU(m, read(in, "u", units.ParseMass))
				}
				s.Masses = append(s.Masses, w)
			}
			if in.has("limit") {
				s.Spread = units.Some(units.AtMost(read(in, "limit", units.ParseMass), units.Source{Text: "the row", Provenance: units.Stated}))
			}
			w, err := s.Check()
			return pick(w), err
		}, "WeightSet.Check")
	}
	set("spread of a set of weights", func(w firingorder.WeightSpread) Answer { return Number(w.Spread.Value.Grams()) })
	set("uncertainty of the spread of a set of weights", func(w firingorder.WeightSpread) Answer { return Number(w.Spread.U.Grams()) })
	set("what each part of a set must lose", func(w firingorder.WeightSpread) Answer {
		s := make([]string, len(w.Remove))
		for i, m := range w.Remove {
			s[i] = strconv.FormatFloat(m.Grams(), 'f', 1, 64)
		}
		return Text(strings.Join(s, " "))
	})
	set("verdict on a set of weights", func(w firingorder.WeightSpread) Answer { return Text(w.Verdict.Value.Outcome.String()) })
}
