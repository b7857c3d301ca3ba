package evaluation

import (
	"strconv"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func flowValve(in *inputs) valvetrain.FlowValve {
	return valvetrain.FlowValve{
		Head: in.length("head"), Seat: in.length("seat"), Angle: planeAngle(in, "angle"), Port: in.length("port"), Stem: in.length("stem"),
	}
}

// valvetrainFlow computes the rows of flow_areas.csv.
func valvetrainFlow(add adder) {
	area := func(quantity string, f func(*inputs, valvetrain.FlowArea) Answer) {
		add(quantity, func(in *inputs) (Answer, error) {
			a, err := flowValve(in).FlowArea(in.length("lift"))
			return f(in, a), err
		}, "FlowValve.FlowArea")
	}
	area("flow area of a valve", func(_ *inputs, a valvetrain.FlowArea) Answer { return Number(a.Area.SquareMillimeters()) })
	area("curtain area of a valve", func(_ *inputs, a valvetrain.FlowArea) Answer { return Number(a.Curtain.SquareInches()) })
	area("stage of a flow area", func(_ *inputs, a valvetrain.FlowArea) Answer { return Text(a.Stage.String()) })
	stages := func(quantity string, f func(valvetrain.FlowStages) units.Length) {
		add(quantity, func(in *inputs) (Answer, error) {
			s, err := flowValve(in).Stages()
			return in.inUnit(f(s)), err
		}, "FlowValve.Stages")
	}
	stages("quarter lift of a valve", func(s valvetrain.FlowStages) units.Length { return s.Quarter })
	stages("end of the slant stage of a valve", func(s valvetrain.FlowStages) units.Length { return s.Gap })
	stages("lift at which the throat takes over", func(s valvetrain.FlowStages) units.Length { return s.Throat })
	gas := func(in *inputs) valvetrain.IdealGas {
		return valvetrain.IdealGas{Temperature: read(in, "temperature", units.ParseTemperature), Ratio: in.float("ratio"), Constant: valvetrain.GasConstant(in.float("constant"))}
	}
	add("speed of sound", func(in *inputs) (Answer, error) {
		a, err := gas(in).SpeedOfSound()
		return Number(float64(a)), err
	}, "IdealGas.SpeedOfSound")
	inlet := func(in *inputs) (valvetrain.InletMach, error) {
		a, err := gas(in).SpeedOfSound()
		m := valvetrain.InletMach{
			Bore: in.length("bore"), Stroke: in.length("stroke"), Valves: in.int("valves"), Crank: in.spin("crank"), Discharge: in.float("discharge"), Sound: a,
		}
		if in.has("valve") {
			m.Valve = in.length("valve")
		}
		return m, err
	}
	index := func(quantity string, f func(valvetrain.InletMachIndex) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			m, err := inlet(in)
			if err != nil {
				return Answer{}, err
			}
			z, err := m.Index()
			return Number(f(z)), err
		}, "InletMach.Index", "IdealGas.SpeedOfSound")
	}
	index("inlet Mach index", func(z valvetrain.InletMachIndex) float64 { return z.Index })
	index("mean piston speed of an inlet", func(z valvetrain.InletMachIndex) float64 { return float64(z.Piston) })
	add("inlet valve for a Mach index", func(in *inputs) (Answer, error) {
		m, err := inlet(in)
		if err != nil {
			return Answer{}, err
		}
		d, err := m.ValveFor(in.float("index"))
		return in.inUnit(d), err
	}, "InletMach.ValveFor", "IdealGas.SpeedOfSound")
	event := func(in *inputs) (valvetrain.EventArea, error) {
		lobe, err := lobeOf(in)
		if err != nil {
			return valvetrain.EventArea{}, err
		}
		e := valvetrain.ValveEvent{Curve: lobe, Gear: camtiming.ValveGear{Ratio: in.float("gear"), Lash: in.length("lash")}, Valve: flowValve(in)}
		if in.has("lifts") {
			lifts, coefficients := list(in, "lifts", units.ParseLength), list(in, "coefficients", func(s string) (float64, error) { return strconv.ParseFloat(s, 64) })
			if len(lifts) != len(coefficients) {
				return valvetrain.EventArea{}, errListLengths
			}
			for i, l := range lifts {
				e.Discharge = append(e.Discharge, valvetrain.DischargeAt{Lift: l, Coefficient: coefficients[i]})
			}
		}
		return e.MeanArea()
	}
	events := func(quantity string, f func(valvetrain.EventArea) float64, symbols ...string) {
		add(quantity, func(in *inputs) (Answer, error) {
			e, err := event(in)
			return Number(f(e)), err
		}, append(symbols, "ValveEvent.MeanArea")...)
	}
	events("area of an event over the crank angle", func(e valvetrain.EventArea) float64 { return e.Area.SquareMillimeterCrankDegrees() }, "AngleArea.SquareMillimeterCrankDegrees")
	events("mean area of an event", func(e valvetrain.EventArea) float64 { return e.Mean.SquareMillimeters() })
	events("duration of an event at the valve", func(e valvetrain.EventArea) float64 { return e.Duration.Degrees() })
	add("area of an event over the time", func(in *inputs) (Answer, error) {
		e, err := event(in)
		if err != nil {
			return Answer{}, err
		}
		t, err := e.In(in.spin("crank"))
		return Number(float64(t) * 1e6), err
	}, "EventArea.In", "ValveEvent.MeanArea")
}
