package evaluation

import (
	"example.com/trialfit/camtiming"
	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// withU reads a length and the uncertainty that another input states.
func (in *inputs) withU(name, u string) units.Measured[units.Length] {
	if !in.has(u) {
		return units.Unstated(in.length(name))
	}
	return units.WithU(in.length(name), in.length(u))
}

func clearanceRotating(add adder) {
	crank := func(in *inputs) camtiming.SliderCrankSpec {
		return camtiming.SliderCrankSpec{Throw: in.length("throw"), Rod: in.length("rod"), Offset: in.length("offset")}
	}
	sweep := func(in *inputs) (clearance.SweptGap, error) {
		return clearance.RodSweep{
			Crank: crank(in), CornerAlong: in.length("along"), CornerSide: in.length("side"),
			ObstacleSide: in.length("obstacle side"), ObstacleUp: in.length("obstacle up"), Radius: in.length("radius"),
		}.LeastGap()
	}
	add("least gap of a rod", func(in *inputs) (Answer, error) {
		g, err := sweep(in)
		return Number(g.Gap.Millimeters()), err
	}, "RodSweep.LeastGap")
	add("crank angle of the least gap of a rod", func(in *inputs) (Answer, error) {
		g, err := sweep(in)
		return Number(g.At.Degrees()), err
	}, "RodSweep.LeastGap")
	add("gap of a counterweight", func(in *inputs) (Answer, error) {
		g, err := clearance.CounterweightRoom{Crank: crank(in), SkirtBelowPin: in.length("skirt"), Radius: in.length("radius")}.Gap()
		return Number(g.Millimeters()), err
	}, "CounterweightRoom.Gap")
	measured := func(f func(*inputs) (units.Measured[units.Length], error)) (value, u func(*inputs) (Answer, error)) {
		return func(in *inputs) (Answer, error) {
				m, err := f(in)
				return Number(inRowUnit(in.row, m.Value)), err
			}, func(in *inputs) (Answer, error) {
				m, err := f(in)
				return Number(inRowUnit(in.row, m.U)), err
			}
	}
	gap, gapU := measured(func(in *inputs) (units.Measured[units.Length], error) {
		return clearance.PickupRoom{PanDepth: in.withU("pan", "u pan"), Gasket: in.withU("gasket", "u gasket"), PickupDepth: in.withU("pickup", "u pickup")}.Gap()
	})
	add("gap of a pickup", gap, "PickupRoom.Gap")
	add("uncertainty of the gap of a pickup", gapU, "PickupRoom.Gap")
	align, alignU := measured(func(in *inputs) (units.Measured[units.Length], error) {
		return clearance.RodAlignment{One: in.withU("one", "u"), Other: in.withU("other", "u"), Span: in.length("span"), Over: in.length("over")}.Misalignment()
	})
	add("error of a rod over a length", align, "RodAlignment.Misalignment")
	add("uncertainty of the error of a rod", alignU, "RodAlignment.Misalignment")
	tang := func(f func(clearance.TangFit) units.Measured[units.Length]) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			t, err := clearance.DriveTang{Tang: in.withU("tang", "u"), SlotTop: in.withU("top", "u"), SlotDepth: in.withU("depth", "u")}.Fit()
			return Number(inRowUnit(in.row, f(t).Value)), err
		}
	}
	add("engagement of a tang", tang(func(t clearance.TangFit) units.Measured[units.Length] { return t.Engaged }), "DriveTang.Fit")
	add("room at the end of a tang", tang(func(t clearance.TangFit) units.Measured[units.Length] { return t.EndRoom }), "DriveTang.Fit")
	backlash, backlashU := measured(func(in *inputs) (units.Measured[units.Length], error) {
		return clearance.BacklashReading{Dial: in.withU("dial", "u"), DialRadius: in.length("at"), PitchDiameter: in.length("pitch")}.Backlash()
	})
	add("backlash at the pitch circle", backlash, "BacklashReading.Backlash")
	add("uncertainty of the backlash at the pitch circle", backlashU, "BacklashReading.Backlash")
	add("slack of a span", func(in *inputs) (Answer, error) {
		s, err := clearance.FreeSpan{Span: in.length("span"), Deflection: in.length("deflection")}.Slack()
		return Number(inRowUnit(in.row, s)), err
	}, "FreeSpan.Slack")
}
