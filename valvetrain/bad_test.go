package valvetrain_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func TestBadCoils(t *testing.T) {
	rate := func(change func(*valvetrain.Coil)) func() (any, error) {
		return with(wire4, change, func(c valvetrain.Coil) (units.Measured[units.Stiffness], error) {
			r, err := c.Rate()
			return r.Rate, err
		})
	}
	type coil = valvetrain.Coil
	wind := func(change func(*valvetrain.Winding)) func() (any, error) {
		return with(valvetrain.Winding{Ends: valvetrain.ClosedGroundEnds, Wire: exact(mm(4)), Total: 7.5}, change, valvetrain.Winding.Coils)
	}
	type winding = valvetrain.Winding
	sizing := func(change func(*valvetrain.WireSizing)) func() (any, error) {
		return with(valvetrain.WireSizing{Force: 300, Index: 6, Limit: valvetrain.StressLimit{Stress: 4e8, Factor: valvetrain.WahlFactor}}, change, valvetrain.WireSizing.Wire)
	}
	type size = valvetrain.WireSizing
	count := func(change func(*valvetrain.PitchReading)) func() (any, error) {
		return with(valvetrain.PitchReading{Ends: valvetrain.ClosedEnds, Wire: mm(4), Pitch: mm(8), Free: mm(50)}, change, valvetrain.PitchReading.Total)
	}
	type pitch = valvetrain.PitchReading
	good := valvetrain.Winding{Ends: valvetrain.ClosedGroundEnds, Wire: exact(mm(4)), Total: 7.5}
	strength := func(change func(*valvetrain.WireStrength)) func() (any, error) {
		return with(valvetrain.WireStrength{Coefficient: 2e9, Reference: units.Millimeter, Exponent: 0.15}, change, func(s valvetrain.WireStrength) (units.Pressure, error) { return s.Tensile(mm(4)) })
	}
	refuse(t, []bad{
		{"no wire", rate(func(c *coil) { c.Wire.Value = 0 }), "Wire", units.ErrMissing},
		{"negative wire", rate(func(c *coil) { c.Wire.Value = -1 }), "Wire", units.ErrRange},
		{"huge wire", rate(func(c *coil) { c.Wire.Value = most }), "Wire", units.ErrRange},
		{"wire u", rate(func(c *coil) { c.Wire.U = -1 }), "Wire.U", units.ErrRange},
		{"wire u huge", rate(func(c *coil) { c.Wire = units.WithU(mm(4), most) }), "Wire.U", units.ErrRange},
		{"wire u not stated", rate(func(c *coil) { c.Wire.U = 1 }), "Wire.U", units.ErrConflict},
		{"no diameter", rate(func(c *coil) { c.Mean = units.Measured[units.Length]{} }), "Mean", units.ErrMissing},
		{"two diameters", rate(func(c *coil) { c.Outside = exact(mm(30)) }), "Outside", units.ErrConflict},
		{"a stated nothing", rate(func(c *coil) { c.Mean = units.WithU(units.Length(0), 1) }), "Mean", units.ErrMissing},
		{"coil full of wire", rate(func(c *coil) { c.Mean.Value = mm(4) }), "Mean", units.ErrImpossible},
		{"outside of the wire", rate(func(c *coil) { c.Mean, c.Outside = units.Measured[units.Length]{}, exact(mm(8)) }), "Outside", units.ErrImpossible},
		{"no modulus", rate(func(c *coil) { c.Shear.Value = 0 }), "Shear", units.ErrMissing},
		{"modulus nan", rate(func(c *coil) { c.Shear.Value = units.Pressure(nan) }), "Shear", units.ErrRange},
		{"modulus u", rate(func(c *coil) { c.Shear.U = units.Pressure(nan) }), "Shear.U", units.ErrRange},
		{"no coils", rate(func(c *coil) { c.Active = 0 }), "Active", units.ErrMissing},
		{"coils inf", rate(func(c *coil) { c.Active = inf }), "Active", units.ErrRange},
		{"coils u", rate(func(c *coil) { c.ActiveU = 6 }), "ActiveU", units.ErrRange},
		{"coils u nan", rate(func(c *coil) { c.ActiveU = nan }), "ActiveU", units.ErrRange},
		{"rate zero", one(func() (float64, error) { return wire4.ActiveFor(0) }), "rate", units.ErrMissing},
		{"rate nan", one(func() (float64, error) { return wire4.ActiveFor(units.Stiffness(nan)) }), "rate", units.ErrRange},
		{"rate of 10000 coils", one(func() (float64, error) { return wire4.ActiveFor(1) }), "rate", units.ErrRange},
		{"stress negative", one(func() (float64, error) { _, err := wire4.Stress(-1); return 0, err }), "force", units.ErrRange},
		{"stress inf", one(func() (float64, error) { _, err := wire4.Stress(units.Force(inf)); return 0, err }), "force", units.ErrRange},
		{"stress of nothing", one(func() (float64, error) { _, err := (valvetrain.Coil{}).Stress(1); return 0, err }), "Wire", units.ErrMissing},
		{"index one", one(func() (valvetrain.StressFactors, error) { return valvetrain.FactorsOf(1) }), "index", units.ErrRange},
		{"index nan", one(func() (valvetrain.StressFactors, error) { return valvetrain.FactorsOf(nan) }), "index", units.ErrRange},
		{"no factor", one(func() (units.Force, error) { return wire4.ForceFor(valvetrain.StressLimit{Stress: 1}) }), "Factor", units.ErrMissing},
		{"limit nan", one(func() (units.Force, error) {
			return wire4.ForceFor(valvetrain.StressLimit{Stress: units.Pressure(nan), Factor: valvetrain.WahlFactor})
		}), "Stress", units.ErrRange},
		{"sizing force", sizing(func(s *size) { s.Force = 0 }), "Force", units.ErrMissing},
		{"sizing index", sizing(func(s *size) { s.Index = 0.5 }), "Index", units.ErrRange},
		{"sizing factor", sizing(func(s *size) { s.Limit.Factor = 9 }), "Limit.Factor", units.ErrMissing},
		{"sizing stress", sizing(func(s *size) { s.Limit.Stress = -1 }), "Limit.Stress", units.ErrRange},
		{"sizing too thick", sizing(func(s *size) { s.Limit.Stress = 1e-6 }), "Limit.Stress", units.ErrRange},
		{"no material", one(func() (valvetrain.WireModulus, error) { return valvetrain.WireMaterial(0).Modulus(mm(4)) }), "WireMaterial", units.ErrMissing},
		{"unknown material", one(func() (valvetrain.WireModulus, error) { return valvetrain.WireMaterial(99).Modulus(mm(4)) }), "WireMaterial", units.ErrMissing},
		{"material no wire", one(func() (valvetrain.WireModulus, error) { return valvetrain.MusicWire.Modulus(0) }), "wire", units.ErrMissing},
		{"music wire too thick", one(func() (valvetrain.WireModulus, error) { return valvetrain.MusicWire.Modulus(251 * units.Thou) }), "wire", units.ErrRange},
		{"no strength", strength(func(s *valvetrain.WireStrength) { s.Coefficient = 0 }), "Coefficient", units.ErrMissing},
		{"no reference", strength(func(s *valvetrain.WireStrength) { s.Reference = 0 }), "Reference", units.ErrMissing},
		{"exponent", strength(func(s *valvetrain.WireStrength) { s.Exponent = nan }), "Exponent", units.ErrRange},
		{"no ends", wind(func(w *winding) { w.Ends = 0 }), "Ends", units.ErrMissing},
		{"no coils at all", wind(func(w *winding) { w.Total = 2 }), "Total", units.ErrRange},
		{"coils nan", wind(func(w *winding) { w.Total = nan }), "Total", units.ErrRange},
		{"total u", wind(func(w *winding) { w.TotalU = -1 }), "TotalU", units.ErrRange},
		{"winding wire", wind(func(w *winding) { w.Wire.Value = 0 }), "Wire", units.ErrMissing},
		{"winding too high", wind(func(w *winding) { w.Wire.Value, w.Total = 2*units.Meter, 9 }), "Total", units.ErrRange},
		{"free under solid", one(func() (units.Length, error) { return good.Pitch(mm(29)) }), "free", units.ErrImpossible},
		{"free zero", one(func() (units.Length, error) { return good.Pitch(0) }), "free", units.ErrMissing},
		{"pitch under wire", one(func() (units.Length, error) { return good.FreeLength(mm(3.9)) }), "pitch", units.ErrImpossible},
		{"pitch huge", one(func() (units.Length, error) { return good.FreeLength(9 * units.Meter) }), "pitch", units.ErrRange},
		{"total of no ends", one(func() (float64, error) { return valvetrain.SpringEnds(9).TotalFor(5) }), "SpringEnds", units.ErrMissing},
		{"total of nan", one(func() (float64, error) { return valvetrain.PlainEnds.TotalFor(nan) }), "active", units.ErrRange},
		{"count no ends", count(func(p *pitch) { p.Ends = 0 }), "Ends", units.ErrMissing},
		{"count no wire", count(func(p *pitch) { p.Wire = 0 }), "Wire", units.ErrMissing},
		{"count pitch", count(func(p *pitch) { p.Pitch = mm(3) }), "Pitch", units.ErrImpossible},
		{"count free", count(func(p *pitch) { p.Free = mm(10) }), "Free", units.ErrImpossible},
		{"surge no mass", one(valvetrain.SpringMass{Rate: 1}.Surge), "Mass", units.ErrMissing},
		{"surge rate nan", one(valvetrain.SpringMass{Rate: units.Stiffness(nan), Mass: 1}.Surge), "Rate", units.ErrRange},
		{"surge too fast", one(valvetrain.SpringMass{Rate: 1e12, Mass: 5e-324}.Surge), "Mass", units.ErrRange},
		{"surge density", one(func() (valvetrain.Surge, error) { return wire4.Surge(0) }), "wire", units.ErrMissing},
		{"surge of nothing", one(func() (valvetrain.SurgeMargin, error) { return valvetrain.Surge{}.At(300) }), "Frequency", units.ErrMissing},
		{"surge at rest", one(func() (valvetrain.SurgeMargin, error) { return valvetrain.Surge{Frequency: 2000}.At(0) }), "cam", units.ErrMissing},
		{"surge slow", one(func() (valvetrain.SurgeMargin, error) { return valvetrain.Surge{Frequency: 2000}.At(1e-9) }), "cam", units.ErrRange},
		{"harmonic zero", one(func() (units.AngularSpeed, error) { return valvetrain.Surge{Frequency: 2000}.Critical(0) }), "harmonic", units.ErrRange},
		{"harmonic of nothing", one(func() (units.AngularSpeed, error) { return valvetrain.Surge{}.Critical(3) }), "Frequency", units.ErrMissing},
		{"rule at rest", one(func() (units.Limits[units.AngularSpeed], error) { return valvetrain.SurgeRule(0) }), "cam", units.ErrMissing},
		{"rule nan", one(func() (units.Limits[units.AngularSpeed], error) {
			return valvetrain.SurgeRule(units.AngularSpeed(nan))
		}), "cam", units.ErrRange},
	})
}

func TestBadSprings(t *testing.T) {
	linear := func(change func(*valvetrain.LinearSpring)) func() (any, error) {
		return with(outer, change, func(s valvetrain.LinearSpring) (units.Force, error) { return s.ForceAt(mm(40)) })
	}
	type spring = valvetrain.LinearSpring
	bench := func(b ...valvetrain.LoadReading) func() (any, error) {
		return func() (any, error) { l, err := valvetrain.Bench(b).Line(); return l.Rate, err }
	}
	read := func(h units.Length, f units.Force) valvetrain.LoadReading {
		return valvetrain.LoadReading{Height: exact(h), Force: exact(f)}
	}
	nest := func(change func(*valvetrain.Nest, *valvetrain.Installed)) func() (any, error) {
		n, in := valvetrain.Nest{Springs: append([]valvetrain.NestSpring{}, pair.Springs...)}, stood
		change(&n, &in)
		return func() (any, error) { r, err := n.Check(in); return r.Seat, err }
	}
	type N = valvetrain.Nest
	type I = valvetrain.Installed
	wound := func(change func(*valvetrain.WoundSpring)) func() (any, error) {
		w := hive
		w.Runs = append([]valvetrain.CoilRun{}, hive.Runs...)
		return with(w, change, valvetrain.WoundSpring.Curve)
	}
	type W = valvetrain.WoundSpring
	staged := func(free units.Length, s ...valvetrain.Stage) func() (any, error) {
		return one(valvetrain.StagedSpring{Free: free, Stages: s}.Curve)
	}
	curve := must[valvetrain.SpringCurve](t)(hive.Curve())
	refuse(t, []bad{
		{"no height", linear(func(s *spring) { s.Height = 0 }), "Height", units.ErrMissing},
		{"force negative", linear(func(s *spring) { s.Force.Value = -1 }), "Force", units.ErrRange},
		{"force nan", linear(func(s *spring) { s.Force.Value = units.Force(nan) }), "Force", units.ErrRange},
		{"force u inf", linear(func(s *spring) { s.Force.U = units.Force(inf) }), "Force.U", units.ErrRange},
		{"rate zero", linear(func(s *spring) { s.Rate.Value = 0 }), "Rate", units.ErrMissing},
		{"rate negative", linear(func(s *spring) { s.Rate.Value = -1 }), "Rate", units.ErrRange},
		{"rate u", linear(func(s *spring) { s.Rate.U = -1 }), "Rate.U", units.ErrRange},
		{"solid negative", linear(func(s *spring) { s.Solid.Value = -1 }), "Solid", units.ErrRange},
		{"solid over the reading", linear(func(s *spring) { s.Solid.Value = mm(43) }), "Solid", units.ErrConflict},
		{"height zero", one(func() (units.Force, error) { return outer.ForceAt(0) }), "height", units.ErrMissing},
		{"height negative", one(func() (units.Force, error) { return outer.ForceAt(-most) }), "height", units.ErrRange},
		{"height huge", one(func() (units.Force, error) { return outer.ForceAt(most) }), "height", units.ErrRange},
		{"under solid", one(func() (valvetrain.SpringLoad, error) { return outer.LoadAt(mm(25.7)) }), "height", units.ErrImpossible},
		{"too strong", one(func() (units.Length, error) { return outer.HeightAt(5000) }), "force", units.ErrRange},
		{"force inf", one(func() (units.Length, error) { return outer.HeightAt(units.Force(inf)) }), "force", units.ErrRange},
		{"endless spring", one(valvetrain.LinearSpring{Height: mm(40), Force: exact(units.Force(1000)), Rate: exact(units.Stiffness(1))}.FreeLength), "Rate", units.ErrRange},
		{"one reading", bench(read(mm(40), 100)), "Bench", units.ErrMissing},
		{"one height", bench(read(mm(40), 100), read(mm(40), 120)), "Bench", units.ErrConflict},
		{"falling force", bench(read(mm(40), 100), read(mm(35), 90)), "Bench", units.ErrConflict},
		{"level force", bench(read(mm(40), 100), read(mm(35), 100)), "Bench", units.ErrConflict},
		{"height missing", bench(read(mm(40), 100), read(0, 90)), "Bench[1].Height", units.ErrMissing},
		{"reading nan", bench(read(mm(40), units.Force(nan)), read(mm(35), 90)), "Bench[0].Force", units.ErrRange},
		{"free length off", bench(read(mm(40), 1e6), read(mm(35), 1e6+1)), "Bench", units.ErrConflict},
		{"too many", bench(make([]valvetrain.LoadReading, 10001)...), "Bench", units.ErrRange},
		{"no spring", nest(func(n *N, _ *I) { n.Springs = nil }), "Springs", units.ErrMissing},
		{"eleven springs", nest(func(n *N, _ *I) { n.Springs = make([]valvetrain.NestSpring, 11) }), "Springs", units.ErrRange},
		{"nil spring", nest(func(n *N, _ *I) { n.Springs[1].Spring = nil }), "Springs[1].Spring", units.ErrMissing},
		{"step huge", nest(func(n *N, _ *I) { n.Springs[1].Step = most }), "Springs[1].Step", units.ErrRange},
		{"step negative huge", nest(func(n *N, _ *I) { n.Springs[1].Step = -most }), "Springs[1].Step", units.ErrRange},
		{"no installed height", nest(func(_ *N, i *I) { i.Height.Value = 0 }), "Height", units.ErrMissing},
		{"lift negative", nest(func(_ *N, i *I) { i.Lift.Value = -1 }), "Lift", units.ErrRange},
		{"lift over height", nest(func(_ *N, i *I) { i.Lift.Value = mm(42) }), "Lift", units.ErrImpossible},
		{"lift u", nest(func(_ *N, i *I) { i.Lift.U = -1 }), "Lift.U", units.ErrRange},
		{"solid when closed", nest(func(_ *N, i *I) { i.Height.Value = mm(25) }), "height", units.ErrImpossible},
		{"limits of nobody", nest(func(_ *N, i *I) { i.LeastBind = units.Some(units.AtLeast(mm(1), units.Source{})) }), "LeastBind", units.ErrConflict},
		{"unknown rule", nest(func(_ *N, i *I) { i.LeastBind, i.Rule = units.Some(units.AtLeast(mm(1), own)), 99 }), "LeastBind", units.ErrConflict},
		{"nest height zero", one(func() (units.Force, error) { return pair.ForceAt(0) }), "height", units.ErrMissing},
		{"nest load", one(func() (valvetrain.SpringLoad, error) { return pair.LoadAt(mm(26)) }), "height", units.ErrImpossible},
		{"nest too strong", one(func() (units.Length, error) { return pair.HeightAt(1e5) }), "force", units.ErrRange},
		{"nest no force", one(func() (units.Length, error) { return pair.HeightAt(0) }), "force", units.ErrMissing},
		{"nest force nan", one(func() (units.Length, error) { return pair.HeightAt(units.Force(nan)) }), "force", units.ErrRange},
		{"empty nest", one(func() (units.Length, error) { return valvetrain.Nest{}.HeightAt(1) }), "Springs", units.ErrMissing},
		{"wound no wire", wound(func(w *W) { w.Wire = 0 }), "Wire", units.ErrMissing},
		{"wound no modulus", wound(func(w *W) { w.Shear = 0 }), "Shear", units.ErrMissing},
		{"wound modulus nan", wound(func(w *W) { w.Shear = units.Pressure(nan) }), "Shear", units.ErrRange},
		{"wound no free length", wound(func(w *W) { w.Free = 0 }), "Free", units.ErrMissing},
		{"wound all gap", wound(func(w *W) { w.Free = mm(18) }), "Free", units.ErrConflict},
		{"wound no runs", wound(func(w *W) { w.Runs = nil }), "Runs", units.ErrMissing},
		{"wound turns nan", wound(func(w *W) { w.Runs[1].Turns = nan }), "Runs[1].Turns", units.ErrRange},
		{"wound no gap", wound(func(w *W) { w.Runs[0].Gap = 0 }), "Runs[0].Gap", units.ErrMissing},
		{"wound diameter", wound(func(w *W) { w.Runs[1].To = mm(4) }), "Runs[1].From", units.ErrImpossible},
		{"wound too stiff", wound(func(w *W) {
			*w = W{Wire: mm(900), Shear: 1e13, Free: mm(9000), Runs: []valvetrain.CoilRun{{Turns: 3, From: mm(1000), To: mm(1000), Gap: mm(100)}}}
		}), "Runs", units.ErrRange},
		{"no stages", staged(mm(50)), "Stages", units.ErrMissing},
		{"empty run", wound(func(w *W) { w.Runs[0] = valvetrain.CoilRun{} }), "Runs[0].Turns", units.ErrMissing},
		{"101 stages", staged(mm(500), slices.Repeat([]valvetrain.Stage{{Rate: 1, Travel: 1}}, 101)...), "Stages", units.ErrRange},
		{"stage rate", staged(mm(50), valvetrain.Stage{Rate: -1, Travel: mm(1)}), "Stages[0].Rate", units.ErrRange},
		{"stage travel", staged(mm(50), valvetrain.Stage{Rate: 1}), "Stages[0].Travel", units.ErrMissing},
		{"stage used up", staged(mm(5), valvetrain.Stage{Rate: 1, Travel: mm(5)}), "Free", units.ErrConflict},
		{"curve under solid", one(func() (units.Force, error) { return curve.ForceAt(mm(33)) }), "height", units.ErrImpossible},
		{"curve at zero", one(func() (valvetrain.SpringLoad, error) { return curve.LoadAt(0) }), "height", units.ErrMissing},
		{"zero curve", one(func() (units.Force, error) { return valvetrain.SpringCurve{}.ForceAt(mm(40)) }), "SpringCurve", units.ErrMissing},
	})
}

func TestBadShop(t *testing.T) {
	shims := func(change func(*valvetrain.ShimJob)) func() (any, error) {
		j := valvetrain.ShimJob{Unshimmed: mm(42), Stock: []valvetrain.ShimStock{{Thickness: mm(0.5), Count: 4}, {Thickness: mm(0.25), Count: 4}}}
		return with(j, change, func(j valvetrain.ShimJob) (units.Length, error) { p, err := j.ForHeight(mm(41)); return p.Height, err })
	}
	type J = valvetrain.ShimJob
	job := valvetrain.ShimJob{Unshimmed: mm(42)}
	force := func(s valvetrain.Spring, f units.Force) func() (any, error) {
		return func() (any, error) { p, err := job.ForLoad(s, f); return p.Height, err }
	}
	many := valvetrain.ShimJob{Unshimmed: mm(60)}
	for i := range 40 {
		many.Stock = append(many.Stock, valvetrain.ShimStock{Thickness: mm(0.1) + units.Length(1)<<i, Count: 1})
	}
	set := func(limits, spread units.Optional[units.Limits[units.Force]], v ...units.Measured[units.Force]) func() (any, error) {
		return func() (any, error) {
			s := valvetrain.Set[units.Force]{Each: limits, Spread: spread}
			for _, x := range v {
				s.Members = append(s.Members, valvetrain.Member[units.Force]{Value: x})
			}
			r, err := s.Compare()
			return r.Members, err
		}
	}
	none := units.Optional[units.Limits[units.Force]]{}
	nobody := units.Some(units.AtLeast(units.Force(1), units.Source{}))
	n1 := exact(units.Force(1))
	loss := func(change func(*valvetrain.SpringLoss)) func() (any, error) {
		return with(valvetrain.SpringLoss{New: n1, Now: n1, LeastShare: 0.9, Source: own}, change, valvetrain.SpringLoss.Check)
	}
	type L = valvetrain.SpringLoss
	preload := func(change func(*valvetrain.PreloadJob)) func() (any, error) {
		j := valvetrain.PreloadJob{Adjuster: valvetrain.Adjuster{Place: valvetrain.AtPivot, Thread: valvetrain.Thread{PerInch: 24}, Ratio: 1.5}, Turns: valvetrain.Turns{Parts: 1, Of: 2}, Travel: exact(mm(4))}
		return with(j, change, valvetrain.PreloadJob.Preload)
	}
	type P = valvetrain.PreloadJob
	turns := func(w valvetrain.WantedPreload) func() (any, error) {
		return func() (any, error) {
			return valvetrain.Adjuster{Place: valvetrain.AtPushrod, Thread: valvetrain.Thread{PerInch: 24}}.TurnsFor(w)
		}
	}
	fit := func(change func(*valvetrain.LifterFit)) func() (any, error) {
		f := valvetrain.LifterFit{Bore: []units.Measured[units.Length]{exact(mm(23))}, Body: []units.Measured[units.Length]{exact(mm(22.96))}}
		change(&f)
		return func() (any, error) { c, err := f.Clearance(); return c.Smallest, err }
	}
	type F = valvetrain.LifterFit
	face := func(change func(*valvetrain.FaceReadings)) func() (any, error) {
		f := valvetrain.FaceReadings{Rim: make([]units.Measured[units.Length], 3), RimRadius: mm(9)}
		change(&f)
		return func() (any, error) { c, err := f.Face(); return c.Crown, err }
	}
	type R = valvetrain.FaceReadings
	lengthNobody := units.Some(units.AtLeast(mm(0.01), units.Source{}))
	refuse(t, []bad{
		{"no height", shims(func(j *J) { j.Unshimmed = 0 }), "Unshimmed", units.ErrMissing},
		{"no thickness", shims(func(j *J) { j.Stock[1].Thickness = 0 }), "Stock[1].Thickness", units.ErrMissing},
		{"negative count", shims(func(j *J) { j.Stock[1].Count = -1 }), "Stock[1].Count", units.ErrRange},
		{"kind twice", shims(func(j *J) { j.Stock[1].Thickness = mm(0.5) }), "Stock[1].Thickness", units.ErrConflict},
		{"most negative", shims(func(j *J) { j.Most = -1 }), "Most", units.ErrRange},
		{"lowest negative", shims(func(j *J) { j.Lowest = -1 }), "Lowest", units.ErrRange},
		{"lowest over wanted", shims(func(j *J) { j.Lowest = mm(41.5) }), "wanted", units.ErrConflict},
		{"lowest over unshimmed", shims(func(j *J) { j.Unshimmed, j.Lowest = mm(40), mm(41) }), "Unshimmed", units.ErrConflict},
		{"101 kinds", shims(func(j *J) { j.Stock = make([]valvetrain.ShimStock, 101) }), "Stock", units.ErrRange},
		{"wanted zero", one(func() (units.Length, error) { p, err := job.ForHeight(0); return p.Height, err }), "wanted", units.ErrMissing},
		{"too many stacks", one(func() (units.Length, error) { p, err := many.ForHeight(mm(2)); return p.Height, err }), "Stock", units.ErrRange},
		{"no spring", force(nil, 100), "spring", units.ErrMissing},
		{"force zero", force(outer, 0), "force", units.ErrMissing},
		{"force out of reach", force(outer, 1e5), "force", units.ErrRange},
		{"set of one", set(none, none, n1), "Members", units.ErrMissing},
		{"set nan", set(none, none, n1, exact(units.Force(nan))), "Members[1].Value", units.ErrRange},
		{"set inf", set(none, none, exact(units.Force(inf)), n1), "Members[0].Value", units.ErrRange},
		{"set u", set(none, none, n1, units.WithU(units.Force(1), -1)), "Members[1].Value.U", units.ErrRange},
		{"set limits", set(nobody, none, n1, n1), "Each", units.ErrConflict},
		{"set spread", set(none, nobody, n1, n1), "Spread", units.ErrConflict},
		{"set huge", set(none, none, make([]units.Measured[units.Force], 10001)...), "Members", units.ErrRange},
		{"loss new", loss(func(l *L) { l.New.Value = 0 }), "New", units.ErrMissing},
		{"loss new u", loss(func(l *L) { l.New.U = 1 }), "New.U", units.ErrConflict},
		{"loss now", loss(func(l *L) { l.Now.Value = -1 }), "Now", units.ErrRange},
		{"loss share", loss(func(l *L) { l.LeastShare = 1.1 }), "LeastShare", units.ErrRange},
		{"loss share nan", loss(func(l *L) { l.LeastShare = nan }), "LeastShare", units.ErrRange},
		{"loss source", loss(func(l *L) { l.Source = units.Source{} }), "Source", units.ErrMissing},
		{"loss rule", loss(func(l *L) { l.Rule = 99 }), "Rule", units.ErrConflict},
		{"no thread", preload(func(p *P) { p.Adjuster.Thread = valvetrain.Thread{} }), "Thread", units.ErrMissing},
		{"two threads", preload(func(p *P) { p.Adjuster.Thread.Pitch = mm(1) }), "Thread", units.ErrConflict},
		{"thread negative", preload(func(p *P) { p.Adjuster.Thread.PerInch = -24 }), "Thread.PerInch", units.ErrRange},
		{"pitch negative", preload(func(p *P) { p.Adjuster.Thread = valvetrain.Thread{Pitch: -1} }), "Thread.Pitch", units.ErrRange},
		{"turns negative", preload(func(p *P) { p.Turns.Whole = -1 }), "turns.Whole", units.ErrRange},
		{"parts negative", preload(func(p *P) { p.Turns.Parts = -1 }), "turns.Parts", units.ErrRange},
		{"parts of nothing", preload(func(p *P) { p.Turns.Of = 0 }), "turns.Parts", units.ErrConflict},
		{"more than a turn", preload(func(p *P) { p.Turns.Parts = 2 }), "turns.Parts", units.ErrConflict},
		{"no place", preload(func(p *P) { p.Adjuster.Place = 0 }), "Place", units.ErrMissing},
		{"no ratio", preload(func(p *P) { p.Adjuster.Ratio = 0 }), "Ratio", units.ErrMissing},
		{"ratio nan", preload(func(p *P) { p.Adjuster.Ratio = nan }), "Ratio", units.ErrRange},
		{"no plunger travel", preload(func(p *P) { p.Travel.Value = 0 }), "Travel", units.ErrMissing},
		{"turns u", preload(func(p *P) { p.TurnsU = units.Some(nan) }), "TurnsU", units.ErrRange},
		{"preload huge", preload(func(p *P) {
			p.Turns, p.Adjuster.Thread = valvetrain.Turns{Whole: 1000}, valvetrain.Thread{Pitch: mm(100)}
		}), "Turns", units.ErrRange},
		{"preload limits", preload(func(p *P) { p.Limits = lengthNobody }), "Limits", units.ErrConflict},
		{"wanted negative", turns(valvetrain.WantedPreload{Preload: -1, Of: 4}), "Preload", units.ErrRange},
		{"wanted huge", turns(valvetrain.WantedPreload{Preload: 9 * units.Meter, Of: 4}), "Preload", units.ErrRange},
		{"wanted no parts", turns(valvetrain.WantedPreload{Preload: mm(1)}), "Of", units.ErrRange},
		{"no bore", fit(func(f *F) { f.Bore = nil }), "Bore", units.ErrMissing},
		{"no body", fit(func(f *F) { f.Body = nil }), "Body", units.ErrMissing},
		{"body zero", fit(func(f *F) { f.Body[0].Value = 0 }), "Body[0]", units.ErrMissing},
		{"bore huge", fit(func(f *F) { f.Bore[0].Value = most }), "Bore[0]", units.ErrRange},
		{"bore u", fit(func(f *F) { f.Bore[0].U = 1 }), "Bore[0].U", units.ErrConflict},
		{"fit limits", fit(func(f *F) { f.Limits = lengthNobody }), "Limits", units.ErrConflict},
		{"rim short", face(func(f *R) { f.Rim = f.Rim[:2] }), "Rim", units.ErrMissing},
		{"rim radius", face(func(f *R) { f.RimRadius = 0 }), "RimRadius", units.ErrMissing},
		{"rim huge", face(func(f *R) { f.Rim[1].Value = -most }), "Rim[1]", units.ErrRange},
		{"center huge", face(func(f *R) { f.Center.Value = most }), "Center", units.ErrRange},
		{"center u", face(func(f *R) { f.Center.U = -1 }), "Center.U", units.ErrRange},
		{"crown limits", face(func(f *R) { f.CrownLimits = lengthNobody }), "CrownLimits", units.ErrConflict},
		{"runout limits", face(func(f *R) { f.RunoutLimits = lengthNobody }), "RunoutLimits", units.ErrConflict},
	})
}

// The zero values refuse or say nothing; none panics, nor does a value of a
// type that has a name for each of its kinds.
func TestZeroValues(t *testing.T) {
	for _, f := range []func() error{
		func() error { _, err := valvetrain.Coil{}.Rate(); return err },
		func() error { _, err := valvetrain.LinearSpring{}.ForceAt(mm(40)); return err },
		func() error { _, err := valvetrain.Nest{}.LoadAt(mm(40)); return err },
		func() error { _, err := valvetrain.Nest{}.Check(valvetrain.Installed{}); return err },
		func() error { _, err := valvetrain.SpringCurve{}.LoadAt(mm(40)); return err },
		func() error { _, err := valvetrain.PreloadJob{}.Preload(); return err },
		func() error { _, err := valvetrain.Adjuster{}.TurnsFor(valvetrain.WantedPreload{}); return err },
		func() error { _, err := valvetrain.LifterFit{}.Clearance(); return err },
		func() error { _, err := valvetrain.FaceReadings{}.Face(); return err },
		func() error { _, err := valvetrain.ShimJob{}.ForHeight(mm(40)); return err },
		func() error {
			_, err := valvetrain.Nest{Springs: []valvetrain.NestSpring{{Spring: valvetrain.SpringCurve{}}}}.HeightAt(1)
			return err
		},
	} {
		if err := f(); !errors.Is(err, units.ErrMissing) {
			t.Errorf("%v", err)
		}
	}
	_ = valvetrain.CoilRate{}.Working()
	_ = valvetrain.CoilStress{}.Working()
	_ = valvetrain.Wound{}.Working()
	_ = valvetrain.Surge{}.Working()
	_ = valvetrain.SurgeMargin{}.Working()
	_ = valvetrain.BenchLine{}.Working()
	_ = valvetrain.NestReport{}.Working()
	_ = valvetrain.NestReport{}.Cautions()
	_ = valvetrain.ShimPlan{}.Working()
	_ = valvetrain.SetReport[units.Force]{}.Working()
	_ = valvetrain.SpringLossResult{}.Working()
	_ = valvetrain.Preload{}.Working()
	_ = valvetrain.Preload{}.Cautions()
	_ = valvetrain.TurnsPlan{}.Working()
	_ = valvetrain.LifterClearance{}.Working()
	_ = valvetrain.Face{}.Working()
	_ = valvetrain.SpringCurve{}.FreeLength()
	if (valvetrain.SpringCurve{}).SolidHeight().Value != 0 || (valvetrain.Nest{}).SolidHeight().Value != 0 {
		t.Error("a solid height of nothing")
	}
	for i := range 20 {
		for _, s := range []string{valvetrain.WireMaterial(i).String(), valvetrain.SpringEnds(i).String(), valvetrain.StressFactor(i).String(), valvetrain.AdjusterPlace(i).String(), valvetrain.HandCheck(i).String()} {
			if s == "" {
				t.Errorf("%d has no name", i)
			}
		}
	}
	for want, turns := range map[string]valvetrain.Turns{"0 turns": {}, "1 turn": {Whole: 1}, "2 turns": {Whole: 2}, "1/2 turn": {Parts: 1, Of: 2}, "1 1/4 turns": {Whole: 1, Parts: 1, Of: 4}} {
		if turns.String() != want {
			t.Errorf("%q, want %q", turns, want)
		}
	}
}

func FuzzWoundSpring(f *testing.F) {
	f.Add(4.2, 3.5, 27.0, 27.0, 3.2, 2.5, 27.0, 19.0, 3.0, 52.0, 0.4)
	f.Add(4.0, 5.0, 20.0, 30.0, 3.0, 1e-3, 26.0, 26.0, 1e-3, 45.0, 0.999999)
	f.Fuzz(func(t *testing.T, d, n1, a1, b1, g1, n2, a2, b2, g2, free, share float64) {
		l := func(x float64) units.Length {
			v, err := units.LengthOf(x, units.Millimeters)
			if err != nil {
				return 0
			}
			return v
		}
		c, err := valvetrain.WoundSpring{Wire: l(d), Shear: units.Megapascals(79300), Free: l(free), Runs: []valvetrain.CoilRun{
			{Turns: n1, From: l(a1), To: l(b1), Gap: l(g1)}, {Turns: n2, From: l(a2), To: l(b2), Gap: l(g2)},
		}}.Curve()
		if err != nil || !(share >= 0 && share <= 1) {
			return
		}
		solid := c.SolidHeight().Value
		h := solid + units.Length(share*float64(c.FreeLength()-solid))
		if h <= 0 {
			return
		}
		got, err := c.LoadAt(h)
		if err != nil {
			t.Fatal(err)
		}
		if v := got.Force.Value.Newtons(); !(v >= 0) || math.IsInf(v, 0) || !(got.Rate >= 0) {
			t.Fatalf("%v at %v", got, h)
		}
		if h < c.FreeLength() {
			if more, err := c.ForceAt(h + (c.FreeLength()-h)/2 + 1); err != nil || more > got.Force.Value {
				t.Fatalf("%v at %v, %v higher up, %v", got.Force.Value, h, more, err)
			}
		}
	})
}

func FuzzShims(f *testing.F) {
	f.Add(int64(42e9), int64(41e9), int64(5e8), int64(25e7), uint8(3), uint8(2), uint8(0))
	f.Fuzz(func(t *testing.T, unshimmed, wanted, a, b int64, na, nb, most uint8) {
		j := valvetrain.ShimJob{Unshimmed: units.Length(unshimmed), Most: int(most), Stock: []valvetrain.ShimStock{{Thickness: units.Length(a), Count: int(na % 20)}, {Thickness: units.Length(b), Count: int(nb % 20)}}}
		p, err := j.ForHeight(units.Length(wanted))
		if err != nil {
			return
		}
		everyStack(j.Stock, func(sum units.Length, count int) {
			h := j.Unshimmed - sum
			if h > 0 && (most == 0 || count <= int(most)) && (h-units.Length(wanted)).Abs() < p.Error.Abs() {
				t.Fatalf("%+v: %v is closer than %v", j, h, p.Height)
			}
		})
	})
}

// What is in range field by field may still leave no number for the answer.
func TestBadOverflow(t *testing.T) {
	loss := func(l valvetrain.SpringLoss) func() (any, error) {
		return one(func() (units.Measured[units.Force], error) { r, err := l.Check(); return r.Loss, err })
	}
	gap := func(g valvetrain.TravelGap) func() (any, error) {
		return one(func() (valvetrain.GapAtLift, error) { return g.GapAt(9 * units.Meter) })
	}
	stand := func(lift, x units.Length) valvetrain.PushrodStand {
		return valvetrain.PushrodStand{Lift: lift, Lower: valvetrain.HeadPlace{X: x, Z: -mm(50)}, Upper: valvetrain.HeadPlace{X: x, Z: mm(50)}}
	}
	spring := outer
	spring.Rate = units.WithU(outer.Rate.Value, units.Stiffness(1e308))
	bent := outer
	bent.Solid = units.WithU(outer.Solid.Value, -1)
	coil := wire4
	coil.Wire, coil.Mean, coil.Shear = units.WithU(coil.Wire.Value, 1), units.WithU(coil.Mean.Value, 1), units.WithU(units.Pressure(1e-290), units.Pressure(1e18))
	lengths := valvetrain.Set[units.Length]{Members: []valvetrain.Member[units.Length]{{Value: units.WithU(mm(1), most)}, {Value: units.WithU(mm(2), most)}}}
	refuse(t, []bad{
		{"force u", one(func() (valvetrain.SpringLoad, error) { return spring.LoadAt(mm(40)) }), "Rate.U", units.ErrRange},
		{"rate u", one(func() (units.Measured[units.Stiffness], error) { r, err := coil.Rate(); return r.Rate, err }), "Shear.U", units.ErrRange},
		{"bind u", one(func() (valvetrain.ClosingGap, error) {
			return valvetrain.Nest{Springs: []valvetrain.NestSpring{{Spring: bent}}}.BindGap(units.WithU(mm(40), 0))
		}), "Springs.Solid.U", units.ErrRange},
		{"set u", one(func() (units.Length, error) { r, err := lengths.Compare(); return r.Median, err }), "Members[0].Value.U", units.ErrRange},
		{"share", loss(valvetrain.SpringLoss{New: units.Unstated(units.Force(5e-324)), Now: units.Unstated(units.Force(300))}), "New", units.ErrRange},
		{"share u", loss(valvetrain.SpringLoss{New: units.WithU(units.Force(1e-300), 1e18), Now: units.WithU(units.Force(1e-300), 0)}), "New.U", units.ErrRange},
		{"pitch", one(func() (units.Length, error) {
			return valvetrain.Winding{Ends: valvetrain.PlainEnds, Wire: exact(mm(4)), Total: 1e-300}.Pitch(mm(50))
		}), "Total", units.ErrRange},
		{"settle", one(func() (units.Length, error) {
			r, err := valvetrain.KeeperFit{Kind: valvetrain.ClampingKeepers, Gap: exact(mm(0.5)), Other: exact(mm(0.5)), Groove: exact(mm(1.7)), Bead: exact(mm(1.6)), Taper: 1e-300}.Check()
			return r.Settle, err
		}), "Taper", units.ErrRange},
		{"area", one(func() (valvetrain.TimeArea, error) {
			return valvetrain.EventArea{Area: valvetrain.AngleArea(nan)}.In(300)
		}), "crank", units.ErrRange},
		{"readings", gap(valvetrain.GapReadings{{0, exact(mm(3))}, {1, exact(mm(2))}}), "lift", units.ErrRange},
		{"readings u", gap(valvetrain.GapReadings{{0, units.WithU(mm(3), mm(1))}, {1, units.WithU(mm(3), mm(1))}}), "lift", units.ErrRange},
		{"stands", gap(valvetrain.PushrodHole{Hole: exact(mm(20)), Rod: exact(mm(8)), Top: mm(10), Stands: []valvetrain.PushrodStand{stand(0, 0), stand(1, mm(2))}}), "lift", units.ErrRange},
	})
	if w := (valvetrain.SetReport[units.Force]{Members: make([]valvetrain.MemberState[units.Force], 1), Highest: 3}).Working(); w != nil {
		t.Errorf("working %v", w)
	}
}

// ForceAt, which looks only once over a sound spring, refuses what HeightAt does,
// in the same words.
func TestSpringRefusedAlike(t *testing.T) {
	forces := []units.Force{0, -1, 300, 1e9, 2e9, units.Force(nan), units.Force(inf), 5e-324}
	rates := []units.Stiffness{0, -1, 3e4, 1e12, 2e12, units.Stiffness(nan), 5e-324, 1e15}
	lengths := []units.Length{0, -1, 1, mm(25), mm(40), 10 * units.Meter, 10*units.Meter + 1, most}
	r := rand.New(rand.NewPCG(11, 12))
	refused := 0
	for range 20_000 {
		s := outer
		for range 1 + r.IntN(2) {
			stated := r.IntN(3) > 0
			switch r.IntN(7) {
			case 0:
				s.Height = lengths[r.IntN(8)]
			case 1:
				s.Force.Value = forces[r.IntN(8)]
			case 2:
				s.Force.U, s.Force.Stated = forces[r.IntN(8)], stated
			case 3:
				s.Rate.Value = rates[r.IntN(8)]
			case 4:
				s.Rate.U, s.Rate.Stated = rates[r.IntN(8)], stated
			case 5:
				s.Solid.Value = lengths[r.IntN(8)]
			default:
				s.Solid.U, s.Solid.Stated = lengths[r.IntN(8)], stated
			}
		}
		_, a := s.ForceAt(9 * units.Meter)
		_, b := s.HeightAt(units.Force(nan)) // refused for itself where the spring is sound
		var e *units.InputError
		if !errors.As(b, &e) {
			t.Fatal(b)
		}
		if e.Field == "force" {
			b = nil
		} else {
			refused++
		}
		if errors.As(a, &e) && e.Field == "height" {
			a = nil // under a solid height of 10 m
		}
		if (a == nil) != (b == nil) || a != nil && a.Error() != b.Error() {
			t.Fatalf("%+v: %v, HeightAt %v", s, a, b)
		}
	}
	if refused < 5000 {
		t.Errorf("%d refused", refused)
	}
}
