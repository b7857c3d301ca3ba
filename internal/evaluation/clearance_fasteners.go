package evaluation

import (
	"strings"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// clearanceFasteners computes the rows of fasteners.csv and bolt_grades.csv.
func clearanceFasteners(add adder) {
	area := func(s string) (units.Area, error) {
		if d, ok := strings.CutPrefix(s, "dia "); ok { // a round bar
			l, err := units.ParseLength(d)
			return units.SquareMeters(0.7853981633974483 * l.Meters() * l.Meters()), err
		}
		return units.ParseArea(s)
	}
	bolt := func(in *inputs) clearance.Bolt {
		var b clearance.Bolt
		b.Young = units.Unstated(in.pressure("E"))
		if in.has("u E") {
			b.Young = units.WithU(b.Young.Value, in.pressure("u E"))
		}
		for part := range strings.SplitSeq(in.text("segments"), ",") {
			l, a, _ := strings.Cut(part, " x ")
			length, err := units.ParseLength(l)
			if in.err == nil {
				in.err = err
			}
			section, err := area(strings.TrimSpace(a))
			if in.err == nil {
				in.err = err
			}
			b.Segments = append(b.Segments, clearance.Segment{Length: length, Area: section})
		}
		return b
	}
	load := func(in *inputs) units.Measured[units.Force] {
		f := units.Unstated(in.force("F"))
		if in.has("u F") {
			f = units.WithU(f.Value, in.force("u F"))
		}
		return f
	}
	force := func(in *inputs, f units.Force) float64 {
		switch in.row.Unit {
		case "lbf":
			return f.PoundsForce()
		case "kN":
			return f.Kilonewtons()
		default:
			return f.Newtons()
		}
	}
	torque := func(in *inputs, t units.Torque) float64 {
		if in.row.Unit == "lbf in" {
			return t.PoundInches()
		}
		return t.NewtonMeters()
	}
	kpsi := func(p units.Pressure) float64 { return p.PoundsPerSquareInch() / 1000 }

	under := func(name string, pick func(*inputs, clearance.BoltStretch) float64) {
		add(name, func(in *inputs) (Answer, error) {
			s, err := bolt(in).UnderLoad(load(in))
			return Number(pick(in, s)), err
		}, "Bolt.UnderLoad")
	}
	under("bolt stretch under a load", func(in *inputs, s clearance.BoltStretch) float64 { return inRowUnit(in.row, s.Stretch.Value) })
	under("bolt stretch uncertainty", func(in *inputs, s clearance.BoltStretch) float64 { return inRowUnit(in.row, s.Stretch.U) })
	under("bolt stiffness", func(_ *inputs, s clearance.BoltStretch) float64 { return s.Stiffness.Value.NewtonsPerMillimeter() })
	add("bolt temperature rise to grow by its stretch", func(in *inputs) (Answer, error) {
		s, err := bolt(in).AtStretch(in.unstated("stretch"))
		if err != nil {
			return Answer{}, err
		}
		t, err := s.Rise(read(in, "a", units.ParseExpansion))
		return Number(t.FahrenheitDegrees()), err
	}, "BoltStretch.Rise", "Bolt.AtStretch")
	measured := func(in *inputs, name string) units.Measured[units.Length] {
		m := in.unstated(name)
		if in.has("u " + name) {
			m = units.WithU(m.Value, in.length("u "+name))
		}
		return m
	}
	at := func(name string, pick func(clearance.BoltStretch) units.Force) {
		add(name, func(in *inputs) (Answer, error) {
			s, err := bolt(in).AtStretch(measured(in, "stretch"))
			return Number(force(in, pick(s))), err
		}, "Bolt.AtStretch")
	}
	at("bolt load at a stretch", func(s clearance.BoltStretch) units.Force { return s.Load.Value })
	at("bolt load uncertainty", func(s clearance.BoltStretch) units.Force { return s.Load.U })
	readings := func(name string, pick func(clearance.BoltStretch) units.Force) {
		add(name, func(in *inputs) (Answer, error) {
			s, err := clearance.StretchReadings{Free: measured(in, "free"), Tightened: measured(in, "tightened"), Bolt: bolt(in)}.Preload()
			return Number(force(in, pick(s))), err
		}, "StretchReadings.Preload", "Bolt.AtStretch")
	}
	readings("preload of two lengths", func(s clearance.BoltStretch) units.Force { return s.Load.Value })
	readings("preload of two lengths uncertainty", func(s clearance.BoltStretch) units.Force { return s.Load.U })

	add("tensile stress area", func(in *inputs) (Answer, error) {
		a, err := read(in, "thread", clearance.ParseThread).StressArea()
		if in.row.Unit == "in2" {
			return Number(a.SquareInches()), err
		}
		return Number(a.SquareMillimeters()), err
	}, "Thread.StressArea", "ParseThread")
	add("pitch diameter", func(in *inputs) (Answer, error) {
		d, err := read(in, "thread", clearance.ParseThread).PitchDiameter()
		return Number(d.Millimeters()), err
	}, "Thread.PitchDiameter", "ParseThread")

	conditions := []clearance.NutCondition{clearance.NonplatedBlack, clearance.ZincPlated, clearance.Lubricated, clearance.CadmiumPlated, clearance.AntiSeize, clearance.LowFrictionNut}
	add("nut factor of a condition", func(in *inputs) (Answer, error) {
		k, err := named(in, "condition", conditions...).Factor()
		return Number(k.K), err
	}, "NutCondition.Factor")
	friction := func(in *inputs) clearance.ThreadFriction {
		t := clearance.ThreadFriction{Diameter: in.length("d"), Thread: clearance.Friction{Coefficient: in.float("f")}, Head: clearance.Friction{Coefficient: in.float("fc")}}
		if in.has("mean") {
			t.Mean = in.length("mean")
		} else {
			t.Root = in.length("root")
		}
		if in.has("per inch") {
			t.Lead, in.err = units.LengthOf(1/in.float("per inch"), units.Inches)
		} else {
			t.Lead = in.length("lead")
		}
		if in.has("bearing") {
			t.Bearing = in.length("bearing")
		}
		if in.has("u f") {
			t.Thread.U, t.Head.U, t.Stated = in.float("u f"), in.float("u fc"), true
		}
		return t
	}
	factor := func(name string, pick func(clearance.FrictionFactor) float64) {
		add(name, func(in *inputs) (Answer, error) {
			r, err := friction(in).Factor()
			return Number(pick(r)), err
		}, "ThreadFriction.Factor")
	}
	factor("nut factor of friction", func(r clearance.FrictionFactor) float64 { return r.NutFactor.K })
	factor("nut factor of friction uncertainty", func(r clearance.FrictionFactor) float64 { return r.NutFactor.U })
	factor("lead angle of a thread", func(r clearance.FrictionFactor) float64 { return r.LeadAngle.Degrees() })
	factor("share of a torque that stretches", func(r clearance.FrictionFactor) float64 { return r.Pull / r.NutFactor.K })
	add("mean thread diameter", func(in *inputs) (Answer, error) {
		r, err := friction(in).Factor()
		return Number(inRowUnit(in.row, r.Mean)), err
	}, "ThreadFriction.Factor")
	add("torque against friction", func(in *inputs) (Answer, error) {
		r, err := friction(in).Factor()
		if err != nil {
			return Answer{}, err
		}
		t, err := clearance.Tightening{Diameter: in.length("d"), Factor: r.NutFactor}.Torque(load(in))
		return Number(torque(in, t.Torque.Value)), err
	}, "ThreadFriction.Factor", "Tightening.Torque")

	tightening := func(in *inputs) clearance.Tightening {
		t := clearance.Tightening{Diameter: in.length("d"), Factor: clearance.NutFactor{K: in.float("K")}}
		if in.has("u K") {
			t.Factor.U, t.Factor.Stated = in.float("u K"), true
		}
		return t
	}
	proof := func(in *inputs) clearance.ProofShare {
		return clearance.ProofShare{Proof: in.pressure("Sp"), Area: read(in, "At", units.ParseArea)}
	}
	add("torque for a preload", func(in *inputs) (Answer, error) {
		t, err := tightening(in).Torque(load(in))
		return Number(torque(in, t.Torque.Value)), err
	}, "Tightening.Torque")
	add("torque for a preload uncertainty", func(in *inputs) (Answer, error) {
		t, err := tightening(in).Torque(load(in))
		return Number(torque(in, t.Torque.U)), err
	}, "Tightening.Torque")
	add("torque for a share of the proof load", func(in *inputs) (Answer, error) {
		f, err := proof(in).Preload(in.float("share"))
		if err != nil {
			return Answer{}, err
		}
		t, err := tightening(in).Torque(units.Unstated(f))
		return Number(torque(in, t.Torque.Value)), err
	}, "Tightening.Torque", "ProofShare.Preload", "ProofShare.ProofLoad")
	preload := func(name string, pick func(clearance.Tightened) units.Force) {
		add(name, func(in *inputs) (Answer, error) {
			t := units.Unstated(read(in, "T", units.ParseTorque))
			if in.has("u T") {
				t = units.WithU(t.Value, read(in, "u T", units.ParseTorque))
			}
			r, err := tightening(in).Preload(t)
			return Number(force(in, pick(r))), err
		}, "Tightening.Preload")
	}
	preload("preload of a torque", func(r clearance.Tightened) units.Force { return r.Preload.Value })
	preload("preload of a torque uncertainty", func(r clearance.Tightened) units.Force { return r.Preload.U })
	ways := []clearance.TensionScatter{clearance.ByTorqueDry, clearance.ByTorqueLubricated, clearance.ByStretch}
	add("scatter of a way to set a preload", func(in *inputs) (Answer, error) {
		b, err := named(in, "way", ways...).Band(units.Kilonewtons(10))
		return Number(b.Share), err
	}, "TensionScatter.Band")
	add("preload band of a way to set it", func(in *inputs) (Answer, error) {
		b, err := named(in, "way", ways...).Band(in.force("F"))
		return Interval(b.Low.Kilonewtons(), b.High.Kilonewtons()), err
	}, "TensionScatter.Band")
	sample := func(name string, pick func(clearance.SampleScatter) units.Force) {
		add(name, func(in *inputs) (Answer, error) {
			var s clearance.PreloadSample
			for f := range strings.FieldsSeq(in.text("kN")) {
				x, err := units.ParseForce(f + " kN")
				if err != nil {
					return Answer{}, err
				}
				s = append(s, x)
			}
			r, err := s.Scatter()
			return Number(force(in, pick(r))), err
		}, "PreloadSample.Scatter")
	}
	sample("mean preload of a sample", func(r clearance.SampleScatter) units.Force { return r.Mean })
	sample("standard deviation of the preloads of a sample", func(r clearance.SampleScatter) units.Force { return r.Deviation })

	joint := func(in *inputs) clearance.BoltedJoint {
		return clearance.BoltedJoint{Bolt: in.stiffness("kb"), Members: in.stiffness("km")}
	}
	add("share of a load that goes into the bolt", func(in *inputs) (Answer, error) {
		c, err := joint(in).BoltShare()
		return Number(c), err
	}, "BoltedJoint.BoltShare")
	add("angle of a nut past snug", func(in *inputs) (Answer, error) {
		j := joint(in)
		j.Lead = in.length("lead")
		a, err := j.Turn(in.force("F"))
		return Number(a.Degrees()), err
	}, "BoltedJoint.Turn")
	add("preload of an angle past snug", func(in *inputs) (Answer, error) {
		j := joint(in)
		j.Lead = in.length("lead")
		f, err := j.Gain(in.crank("angle"))
		return Number(f.Newtons()), err
	}, "BoltedJoint.Gain")
	state := func(name string, pick func(*inputs, clearance.JointState) float64) {
		add(name, func(in *inputs) (Answer, error) {
			s, err := clearance.JointLoad{Joint: joint(in), Preload: in.force("F"), External: in.force("P"), Area: read(in, "At", units.ParseArea)}.State()
			return Number(pick(in, s)), err
		}, "JointLoad.State", "BoltedJoint.BoltShare")
	}
	state("preload stress of a bolt", func(_ *inputs, s clearance.JointState) float64 { return kpsi(s.PreloadStress) })
	state("stress of a bolt in service", func(_ *inputs, s clearance.JointState) float64 { return kpsi(s.Stress) })
	state("clamping force in service", func(in *inputs, s clearance.JointState) float64 { return force(in, s.Clamp) })
	state("bolt load in service", func(in *inputs, s clearance.JointState) float64 { return force(in, s.Bolt) })
	state("outside load that opens a joint", func(in *inputs, s clearance.JointState) float64 { return force(in, s.Separation) })
	add("proof load", func(in *inputs) (Answer, error) {
		f, err := proof(in).ProofLoad()
		return Number(force(in, f)), err
	}, "ProofShare.ProofLoad")
	add("preload at a share of the proof load", func(in *inputs) (Answer, error) {
		f, err := proof(in).Preload(in.float("share"))
		return Number(force(in, f)), err
	}, "ProofShare.Preload", "ProofShare.ProofLoad")
	add("share of the proof load", func(in *inputs) (Answer, error) {
		x, err := proof(in).ShareOf(in.force("F"))
		return Number(x), err
	}, "ProofShare.ShareOf", "ProofShare.ProofLoad")
	add("usual share of the proof load", func(in *inputs) (Answer, error) {
		x, err := named(in, "joint", clearance.ReusedJoint, clearance.PermanentJoint).Share()
		return Number(x), err
	}, "PreloadRule.Share")
	add("preload of a bolt tightened to its yield point", func(in *inputs) (Answer, error) {
		f, err := clearance.YieldTightening{PitchDiameter: in.length("d2"), RootDiameter: in.length("d3"), Lead: in.length("lead"), Thread: in.float("f"), Yield: in.pressure("yield"), Share: in.float("share")}.Preload()
		return Number(force(in, f)), err
	}, "YieldTightening.Preload")

	for _, v := range []struct {
		name string
		pick func(clearance.BoltStrength) units.Pressure
	}{
		{"proof strength of a bolt grade", func(s clearance.BoltStrength) units.Pressure { return s.Proof }},
		{"tensile strength of a bolt grade", func(s clearance.BoltStrength) units.Pressure { return s.Tensile }},
		{"yield strength of a bolt grade", func(s clearance.BoltStrength) units.Pressure { return s.Yield }},
	} {
		add(v.name, func(in *inputs) (Answer, error) {
			g := clearance.BoltGrade{Standard: named(in, "standard", clearance.SAEJ429, clearance.ISO898), Name: in.text("grade")}
			s, err := g.Strength(in.length("size"))
			if in.row.Unit == "kpsi" {
				return Number(kpsi(v.pick(s))), err
			}
			return Number(v.pick(s).Megapascals()), err
		}, "BoltGrade.Strength")
	}
}
