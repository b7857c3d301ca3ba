package evaluation

import (
	"math"
	"strconv"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// sliderCrank reads the geometry of a row; no offset means none.
func sliderCrank(in *inputs) (*camtiming.SliderCrank, error) {
	s := camtiming.SliderCrankSpec{Throw: in.length("throw"), Rod: in.length("rod")}
	if in.has("offset") {
		s.Offset = in.length("offset")
	}
	if in.err != nil {
		return nil, in.err
	}
	return camtiming.NewSliderCrank(s)
}

func camPiston(add adder) {
	crank := func(f func(*inputs, *camtiming.SliderCrank) (Answer, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			k, err := sliderCrank(in)
			if err != nil {
				return Answer{}, err
			}
			return f(in, k)
		}
	}
	motion := func(f func(*inputs, camtiming.PistonMotion, *camtiming.SliderCrank) float64) func(*inputs) (Answer, error) {
		return crank(func(in *inputs, k *camtiming.SliderCrank) (Answer, error) {
			return Number(f(in, k.Motion(in.crank("angle")), k)), nil
		})
	}
	speed := func(in *inputs) units.AngularSpeed { return read(in, "speed", units.ParseAngularSpeed) }
	const perRadian = 180 / math.Pi
	throw := func(k *camtiming.SliderCrank) float64 { return k.Spec().Throw.Millimeters() }

	add("piston travel over throw", crank(func(in *inputs, k *camtiming.SliderCrank) (Answer, error) {
		return Number(k.Travel(in.crank("angle")).Millimeters() / throw(k)), nil
	}), "SliderCrank.Travel", "NewSliderCrank")
	add("piston travel at a bore-parallel angle", crank(func(in *inputs, k *camtiming.SliderCrank) (Answer, error) {
		return Number(k.Travel(in.crank("angle") - k.DeadCenters().TDC).Millimeters()), nil
	}), "SliderCrank.Travel", "SliderCrank.DeadCenters", "NewSliderCrank")
	add("piston velocity over throw", motion(func(_ *inputs, m camtiming.PistonMotion, k *camtiming.SliderCrank) float64 {
		return m.Velocity.MillimetersPerCrankDegree() / throw(k) * perRadian
	}), "SliderCrank.Motion", "PistonVelocity.MillimetersPerCrankDegree")
	add("piston acceleration over throw", motion(func(_ *inputs, m camtiming.PistonMotion, k *camtiming.SliderCrank) float64 {
		return m.Acceleration.MillimetersPerCrankDegree2() / throw(k) * perRadian * perRadian
	}), "SliderCrank.Motion", "PistonAcceleration.MillimetersPerCrankDegree2")
	add("piston velocity per crank degree in mm", motion(func(_ *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		return m.Velocity.MillimetersPerCrankDegree()
	}), "SliderCrank.Motion", "PistonVelocity.MillimetersPerCrankDegree")
	add("piston velocity per crank degree in inches", motion(func(_ *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		return m.Velocity.InchesPerCrankDegree()
	}), "SliderCrank.Motion", "PistonVelocity.InchesPerCrankDegree")
	add("piston acceleration per crank degree squared in mm", motion(func(_ *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		return m.Acceleration.MillimetersPerCrankDegree2()
	}), "SliderCrank.Motion", "PistonAcceleration.MillimetersPerCrankDegree2")
	add("piston acceleration per crank degree squared in inches", motion(func(_ *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		return m.Acceleration.InchesPerCrankDegree2()
	}), "SliderCrank.Motion", "PistonAcceleration.InchesPerCrankDegree2")
	add("piston speed", motion(func(in *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		return m.Velocity.At(speed(in)).MetersPerSecond()
	}), "SliderCrank.Motion", "PistonVelocity.At")
	add("piston speed in feet", motion(func(in *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		return m.Velocity.At(speed(in)).FeetPerSecond()
	}), "SliderCrank.Motion", "PistonVelocity.At")
	add("piston speed in inches", motion(func(in *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		return m.Velocity.At(speed(in)).InchesPerSecond()
	}), "SliderCrank.Motion", "PistonVelocity.At")
	add("piston acceleration", motion(func(in *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		return m.Acceleration.At(speed(in)).MetersPerSecondSquared()
	}), "SliderCrank.Motion", "PistonAcceleration.At")
	add("piston acceleration in feet", motion(func(in *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		return m.Acceleration.At(speed(in)).FeetPerSecondSquared()
	}), "SliderCrank.Motion", "PistonAcceleration.At")
	add("piston speed over mean speed", motion(func(_ *inputs, m camtiming.PistonMotion, k *camtiming.SliderCrank) float64 {
		w := units.RevolutionsPerMinute(1000)
		return m.Velocity.At(w).MetersPerSecond() / k.MeanSpeed(w).MetersPerSecond()
	}), "SliderCrank.Motion", "SliderCrank.MeanSpeed", "PistonVelocity.At")
	add("mean piston speed", crank(func(in *inputs, k *camtiming.SliderCrank) (Answer, error) {
		return Number(k.MeanSpeed(speed(in)).MetersPerSecond()), nil
	}), "SliderCrank.MeanSpeed")
	add("rod angle", motion(func(_ *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 { return m.Rod.Degrees() }),
		"SliderCrank.Motion", "RodAngle.Degrees")
	add("rod direction", motion(func(_ *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		return 180 - m.Rod.Degrees()
	}),
		"SliderCrank.Motion", "RodAngle.Degrees")
	add("rod angular speed", motion(func(in *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		return m.RodSpeed * speed(in).RadiansPerSecond()
	}), "SliderCrank.Motion")
	add("rod angular acceleration magnitude", motion(func(in *inputs, m camtiming.PistonMotion, _ *camtiming.SliderCrank) float64 {
		w := speed(in).RadiansPerSecond()
		return math.Abs(m.RodAcceleration * w * w)
	}), "SliderCrank.Motion")

	centers := func(f func(camtiming.DeadCenters) float64) func(*inputs) (Answer, error) {
		return crank(func(_ *inputs, k *camtiming.SliderCrank) (Answer, error) { return Number(f(k.DeadCenters())), nil })
	}
	add("crank angle of top dead center", centers(func(d camtiming.DeadCenters) float64 { return d.TDC.Degrees() }), "SliderCrank.DeadCenters", "NewSliderCrank")
	add("crank angle of bottom dead center", centers(func(d camtiming.DeadCenters) float64 { return d.BDC.Degrees() }), "SliderCrank.DeadCenters")
	add("stroke", centers(func(d camtiming.DeadCenters) float64 { return d.Stroke.Millimeters() }), "SliderCrank.DeadCenters", "NewSliderCrank")

	fastest := func(f func(*inputs, camtiming.Fastest) float64) func(*inputs) (Answer, error) {
		return crank(func(in *inputs, k *camtiming.SliderCrank) (Answer, error) { return Number(f(in, k.Fastest())), nil })
	}
	add("crank angle of largest piston speed", fastest(func(_ *inputs, f camtiming.Fastest) float64 { return f.Down.FromTDC.Degrees() }), "SliderCrank.Fastest")
	add("crank angle of largest piston speed upward", fastest(func(_ *inputs, f camtiming.Fastest) float64 { return f.Up.FromTDC.Degrees() }), "SliderCrank.Fastest")
	add("rod angle at largest piston speed", fastest(func(_ *inputs, f camtiming.Fastest) float64 { return f.Down.Motion.Rod.Degrees() }), "SliderCrank.Fastest")
	add("crank to rod angle at largest piston speed", fastest(func(_ *inputs, f camtiming.Fastest) float64 {
		return 180 - f.Down.FromTDC.Degrees() - f.Down.Motion.Rod.Degrees()
	}), "SliderCrank.Fastest")
	add("largest piston speed", fastest(func(in *inputs, f camtiming.Fastest) float64 {
		return f.Down.Motion.Velocity.At(speed(in)).MetersPerSecond()
	}), "SliderCrank.Fastest", "PistonVelocity.At")

	add("crank angle after a piston drop", crank(func(in *inputs, k *camtiming.SliderCrank) (Answer, error) {
		d, err := k.Drop(in.length("depth"))
		return Number(d.After.Degrees()), err
	}), "SliderCrank.Drop")
	add("crank angle before a piston drop", crank(func(in *inputs, k *camtiming.SliderCrank) (Answer, error) {
		d, err := k.Drop(in.length("depth"))
		return Number(d.Before.Degrees()), err
	}), "SliderCrank.Drop")
	add("error of a midpoint", crank(func(in *inputs, k *camtiming.SliderCrank) (Answer, error) {
		a, err := k.MidpointError(in.crank("half"))
		return Number(a.Degrees()), err
	}), "SliderCrank.MidpointError")
	add("arc of a dial at the top", crank(func(in *inputs, k *camtiming.SliderCrank) (Answer, error) {
		d, err := k.DialAtTop(in.length("depth"))
		return Number(d.Arc.Degrees()), err
	}), "SliderCrank.DialAtTop")
	add("uncertainty of a dial at the top", crank(func(in *inputs, k *camtiming.SliderCrank) (Answer, error) {
		d, err := k.DialAtTop(in.length("depth"))
		return Number(d.U.Degrees()), err
	}), "SliderCrank.DialAtTop")
}

func camTDC(add adder) {
	numbering := func(in *inputs) camtiming.WheelNumbering {
		if in.has("numbers") && in.text("numbers") == "fall" {
			return camtiming.NumbersFall
		}
		return camtiming.NumbersRise
	}
	find := func(f func(camtiming.TDCResult) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			t := camtiming.TDCInput{Numbering: numbering(in)}
			if in.has("throw") {
				k, err := sliderCrank(in)
				if err != nil {
					return Answer{}, err
				}
				t.Geometry = k
			}
			if in.has("u offset") {
				t.OffsetU = in.length("u offset")
			}
			if in.has("u play") {
				t.Play = in.length("u play")
			}
			if in.has("common") {
				t.Common = in.crank("common")
			}
			angle := func(name string) units.Measured[units.CrankAngle] {
				if in.has("u wheel") {
					return units.WithU(in.crank(name), in.crank("u wheel"))
				}
				return units.Unstated(in.crank(name))
			}
			for i := 1; in.has("before" + strconv.Itoa(i)); i++ {
				no := strconv.Itoa(i)
				before, after := angle("before"+no), angle("after"+no)
				switch {
				case !in.has("depth" + no):
					t.Stops = append(t.Stops, camtiming.StopContacts{Before: before, After: after})
				case in.has("u depth"):
					t.Drops = append(t.Drops, camtiming.PistonDrop{Depth: units.WithU(in.length("depth"+no), in.length("u depth")), Before: before, After: after})
				default:
					t.Drops = append(t.Drops, camtiming.PistonDrop{Depth: units.Unstated(in.length("depth" + no)), Before: before, After: after})
				}
			}
			if in.err != nil {
				return Answer{}, in.err
			}
			r, err := camtiming.FindTDC(t)
			return Number(f(r)), err
		}
	}
	tdc := func(r camtiming.TDCResult) float64 { return r.Wheel.TDC.Value.Degrees() }
	add("top dead center of stop contacts", find(tdc), "FindTDC")
	add("top dead center of piston drops", find(tdc), "FindTDC")
	add("uncertainty of top dead center", find(func(r camtiming.TDCResult) float64 { return r.Wheel.TDC.U.Degrees() }), "FindTDC")
	add("chi-square of top dead center", find(func(r camtiming.TDCResult) float64 { return r.ChiSquare }), "FindTDC")

	wheel := func(in *inputs) camtiming.DegreeWheel {
		return camtiming.DegreeWheel{TDC: units.Unstated(in.crank("tdc")), Numbering: numbering(in)}
	}
	add("angle of a wheel reading", func(in *inputs) (Answer, error) {
		m, err := wheel(in).FromTDC(units.Unstated(in.crank("reading")))
		return Number(m.Value.Degrees()), err
	}, "DegreeWheel.FromTDC")
	add("wheel reading of an angle", func(in *inputs) (Answer, error) {
		a, err := wheel(in).Reading(in.crank("angle"))
		return Number(a.Degrees()), err
	}, "DegreeWheel.Reading")
	add("shift of a wheel", func(in *inputs) (Answer, error) {
		a, err := wheel(in).Shift()
		return Number(a.Degrees()), err
	}, "DegreeWheel.Shift")
}
