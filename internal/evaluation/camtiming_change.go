package evaluation

import (
	"errors"
	"fmt"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// changeCam reads a pair of closed-form lobes.
func changeCam(in *inputs) (*camtiming.Cam, error) {
	i, err := lawLobe(in, "i-")
	if err != nil {
		return nil, err
	}
	e, err := lawLobe(in, "e-")
	if err != nil {
		return nil, err
	}
	return camtiming.NewCam(camtiming.CamSpec{Intake: i, Exhaust: e, Separation: in.cam("separation")})
}

// installation reads how a pair stands, from inputs that carry a prefix.
func installation(in *inputs, prefix string) camtiming.Installation {
	x := camtiming.Installation{
		Advance: in.crank(prefix + "advance"),
		Intake:  camtiming.ValveGear{Ratio: in.float(prefix + "i-ratio"), Lash: in.length(prefix + "i-lash")},
		Exhaust: camtiming.ValveGear{Ratio: in.float(prefix + "e-ratio"), Lash: in.length(prefix + "e-lash")},
	}
	if in.has(prefix + "new separation") {
		x.Separation = units.Some(in.cam(prefix + "new separation"))
	}
	return x
}

// eventOf picks the event that the row names.
func eventOf(in *inputs, e camtiming.Events) (Answer, error) {
	switch name := in.text("event"); name {
	case "IVO":
		return degrees(e.IVO)
	case "IVC":
		return degrees(e.IVC)
	case "EVO":
		return degrees(e.EVO)
	case "EVC":
		return degrees(e.EVC)
	default:
		return Answer{}, fmt.Errorf("unknown event %q", name)
	}
}

// camChange computes the rows of valve_changes.csv.
func camChange(add adder) {
	gear := func(in *inputs) camtiming.ValveGear {
		return camtiming.ValveGear{Ratio: in.float("ratio"), Lash: in.length("lash")}
	}
	add("valve lift of a lifter lift", func(in *inputs) (Answer, error) {
		l, err := gear(in).ValveLift(in.length("lift"))
		return Number(l.Inches()), err
	}, "ValveGear.ValveLift")
	add("lifter lift of a valve lift", func(in *inputs) (Answer, error) {
		l, err := gear(in).LifterLift(in.length("lift"))
		return Number(l.Inches()), err
	}, "ValveGear.LifterLift")
	add("duration at another checking lift", func(in *inputs) (Answer, error) {
		l, err := lawLobe(in, "")
		if err != nil {
			return Answer{}, err
		}
		d, err := camtiming.ConvertDuration(l, camtiming.DurationAt{Lift: in.length("from"), Duration: in.crank("duration")}, in.length("to"))
		return Number(d.Duration.Degrees()), err
	}, "ConvertDuration")
	add("event at another checking lift", func(in *inputs) (Answer, error) {
		c, err := changeCam(in)
		if err != nil {
			return Answer{}, err
		}
		e, err := c.ConvertEvents(camtiming.EventsAt{Lift: in.length("from"), Events: camtiming.Events{
			IVO: in.crank("ivo"), IVC: in.crank("ivc"), EVO: in.crank("evo"), EVC: in.crank("evc"),
		}}, in.length("to"))
		if err != nil {
			return Answer{}, err
		}
		return eventOf(in, e.Events)
	}, "Cam.ConvertEvents")
	timing := func(in *inputs) (camtiming.ValveTiming, error) {
		c, err := changeCam(in)
		if err != nil {
			return camtiming.ValveTiming{}, err
		}
		return c.ValveTiming(installation(in, ""), in.length("at"))
	}
	add("event at the valve", func(in *inputs) (Answer, error) {
		v, err := timing(in)
		if err != nil {
			return Answer{}, err
		}
		return eventOf(in, v.Events)
	}, "Cam.ValveTiming")
	add("lift of the exhaust valve", func(in *inputs) (Answer, error) {
		v, err := timing(in)
		return Number(v.ExhaustLift.Inches()), err
	}, "Cam.ValveTiming")
	add("lift of the intake valve at top dead center", func(in *inputs) (Answer, error) {
		v, err := timing(in)
		return Number(v.IntakeAtTDC.Inches()), err
	}, "Cam.ValveTiming")
	change := func(in *inputs) (camtiming.TimingChange, error) {
		c, err := changeCam(in)
		if err != nil {
			return camtiming.TimingChange{}, err
		}
		return c.Change(camtiming.ChangeInput{CheckLift: in.length("at"), Before: installation(in, ""), After: installation(in, "after-")})
	}
	add("change of an event", func(in *inputs) (Answer, error) {
		t, err := change(in)
		if err != nil {
			return Answer{}, err
		}
		return eventOf(in, t.Events)
	}, "Cam.Change")
	add("change of overlap", func(in *inputs) (Answer, error) {
		t, err := change(in)
		if err != nil {
			return Answer{}, err
		}
		for _, l := range t.Lines() {
			if l.Name == "overlap" {
				return degrees(l.Change)
			}
		}
		return Answer{}, errors.New("no line for the overlap")
	}, "Cam.Change", "TimingChange.Lines")
}

// camOverlap computes the rows of overlap.csv.
func camOverlap(add adder) {
	overlap := func(f func(camtiming.Overlap) float64, symbols ...string) (func(*inputs) (Answer, error), []string) {
		return func(in *inputs) (Answer, error) {
			c, err := changeCam(in)
			if err != nil {
				return Answer{}, err
			}
			o, err := c.Overlap(installation(in, ""))
			return Number(f(o)), err
		}, append(symbols, "Cam.Overlap")
	}
	for _, q := range []struct {
		quantity string
		f        func(camtiming.Overlap) float64
		symbol   string
	}{
		{"overlap area in inch degrees", func(o camtiming.Overlap) float64 { return o.Area.InchDegrees() }, "OverlapArea.InchDegrees"},
		{"overlap area in millimeter degrees", func(o camtiming.Overlap) float64 { return o.Area.MillimeterDegrees() }, "OverlapArea.MillimeterDegrees"},
		{"mean overlap lift", func(o camtiming.Overlap) float64 { return o.Mean.Inches() }, "Overlap"},
		{"peak overlap lift", func(o camtiming.Overlap) float64 { return o.Peak.Inches() }, "Overlap"},
		{"place of the peak overlap lift", func(o camtiming.Overlap) float64 { return o.PeakAt.Degrees() }, "Overlap"},
		{"start of the overlap", func(o camtiming.Overlap) float64 { return o.Opens.Degrees() }, "Overlap"},
		{"end of the overlap", func(o camtiming.Overlap) float64 { return o.Closes.Degrees() }, "Overlap"},
	} {
		eval, symbols := overlap(q.f, q.symbol)
		add(q.quantity, eval, symbols...)
	}
	trapped := func(in *inputs) (camtiming.Trapped, error) {
		s := camtiming.SliderCrankSpec{Throw: in.length("stroke") / 2, Rod: in.length("rod")}
		if in.has("offset") {
			s.Offset = in.length("offset")
		}
		k, err := camtiming.NewSliderCrank(s)
		if err != nil {
			return camtiming.Trapped{}, err
		}
		return k.Trapped(in.crank("ivc"))
	}
	add("trapped stroke fraction", func(in *inputs) (Answer, error) {
		t, err := trapped(in)
		return Number(t.Fraction), err
	}, "SliderCrank.Trapped")
	add("trapped stroke in millimeters", func(in *inputs) (Answer, error) {
		t, err := trapped(in)
		return Number(t.Travel.Millimeters()), err
	}, "SliderCrank.Trapped")
	line := func(f func(camtiming.AdvanceLine) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			c, err := changeCam(in)
			if err != nil {
				return Answer{}, err
			}
			x := camtiming.AdvanceComparison{Installation: installation(in, ""), CheckLift: in.length("at")}
			if x.Piston, err = camtiming.NewSliderCrank(camtiming.SliderCrankSpec{Throw: in.length("stroke") / 2, Rod: in.length("rod")}); err != nil {
				return Answer{}, err
			}
			for a := range strings.SplitSeq(in.text("advances"), ",") {
				p, err := units.ParseCrankAngle(a)
				if err != nil {
					return Answer{}, err
				}
				x.Advances = append(x.Advances, p)
			}
			lines, err := c.CompareAdvances(x)
			if err != nil {
				return Answer{}, err
			}
			k := in.int("line")
			if k >= len(lines) {
				return Answer{}, fmt.Errorf("no line %d", k)
			}
			return Number(f(lines[k])), nil
		}
	}
	add("closing at one of several advances", line(func(l camtiming.AdvanceLine) float64 { return l.Valves.Events.IVC.Degrees() }), "Cam.CompareAdvances")
	add("intake valve lift at one of several advances", line(func(l camtiming.AdvanceLine) float64 { return l.Valves.IntakeAtTDC.Inches() }), "Cam.CompareAdvances")
	add("trapped stroke at one of several advances", line(func(l camtiming.AdvanceLine) float64 { return l.Trapped.Fraction }), "Cam.CompareAdvances")
	valve := func(in *inputs) (camtiming.SingleValve, error) {
		l, err := lawLobe(in, "")
		sides := map[string]camtiming.Valve{"intake": camtiming.IntakeValve, "exhaust": camtiming.ExhaustValve}
		return camtiming.SingleValve{
			Valve: sides[in.text("side")], Lobe: l,
			AtValve: units.Some(camtiming.ValveGear{Ratio: in.float("ratio"), Lash: in.length("lash")}),
		}, err
	}
	add("valve lift at top dead center of one cam", func(in *inputs) (Answer, error) {
		v, err := valve(in)
		if err != nil {
			return Answer{}, err
		}
		l, err := v.At(in.crank("centerline"))
		return Number(l.Dial.Inches()), err
	}, "SingleValve.At")
	add("centerline of one cam", func(in *inputs) (Answer, error) {
		v, err := valve(in)
		if err != nil {
			return Answer{}, err
		}
		c, err := v.Centerline(camtiming.LiftAtTDCReading{Lift: units.Unstated(in.length("reading"))})
		return Number(c.Angle.Value.Degrees()), err
	}, "SingleValve.Centerline")
}
