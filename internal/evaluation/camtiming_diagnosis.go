package evaluation

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// diagnosisInput reads readings, suspects, prior and a measurement to come; all
// readings are of cylinders of their own, with proof, zero and normal approach.
func diagnosisInput(in *inputs) (camtiming.DiagnosisInput, error) {
	c, err := pairCam(in)
	if err != nil {
		return camtiming.DiagnosisInput{}, err
	}
	list := func(name string) []string { return strings.Split(in.text(name), ", ") }
	d := camtiming.DiagnosisInput{Cam: c, Prior: camtiming.EqualPrior()}
	var positions []string
	if in.has("positions") {
		positions = list("positions")
	}
	for i, t := range list("readings") {
		x, err := units.ParseLength(t)
		if err != nil {
			return d, err
		}
		o := camtiming.Observation{Cylinder: strconv.Itoa(i + 1), Reading: camtiming.SplitReading{
			Difference: units.WithU(x, in.length("u")), TDC: in.crank("tdc"),
			Zero:  units.Some(units.WithU(units.Length(0), 0)),
			Proof: camtiming.Proof{Kind: camtiming.MovesWithCrank}, Approach: camtiming.ApproachNormal,
		}}
		if positions != nil {
			p, err := units.ParseLength(positions[i])
			if err != nil {
				return d, err
			}
			o.Position = units.Some(p)
		}
		d.Observations = append(d.Observations, o)
	}
	s := &d.Suspects
	if in.has("teeth") {
		s.Teeth, s.MostTeeth = in.int("teeth"), 1
	}
	for name, to := range map[string]*units.CrankAngle{"tdc error": &s.TDCError, "index error": &s.IndexError, "spread": &s.CylinderSpread} {
		if in.has(name) {
			*to = in.crank(name)
		}
	}
	if in.has("twist") {
		s.Twist = units.Twist(in.float("twist"))
	}
	if in.has("priors") {
		d.Prior = camtiming.Prior{Weights: map[camtiming.Cause]float64{}}
		for _, t := range list("priors") {
			name, weight, _ := strings.Cut(t, ": ")
			var w float64
			if _, err := fmt.Sscan(weight, &w); err != nil {
				return d, err
			}
			for c := camtiming.AsGround; c <= camtiming.Twisted; c++ {
				if c.String() == name {
					d.Prior.Weights[c] = w
				}
			}
		}
	}
	if in.has("measure") {
		var m camtiming.Measurement
		for k := camtiming.MeasureSplit; k <= camtiming.MeasureLobeLift; k++ {
			if k.String() == in.text("measure") {
				m.Kind = k
			}
		}
		if in.has("cylinder") {
			m.Cylinder = in.text("cylinder")
		}
		if in.has("position") {
			m.Position = units.Some(in.length("position"))
		}
		if in.has("valve") {
			m.Valve = valves[in.text("valve")]
		}
		if in.has("at") {
			m.Lift = in.length("at")
		}
		if in.has("gauge") {
			m.U = in.length("gauge")
		}
		if in.has("u angle") {
			m.UAngle = in.crank("u angle")
		}
		d.Possible = []camtiming.Measurement{m}
	}
	return d, in.err
}

// camDiagnosis computes the rows of diagnosis.csv.
func camDiagnosis(add adder) {
	cause := func(quantity string, f func(camtiming.Candidate) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			d, err := diagnosisInput(in)
			if err != nil {
				return Answer{}, err
			}
			r, err := camtiming.Diagnose(d)
			if err != nil {
				return Answer{}, err
			}
			for _, k := range r.Candidates {
				if k.String() == in.text("cause") {
					return Number(f(k)), nil
				}
			}
			return Answer{}, errors.New("no such candidate")
		}, "Diagnose", "EqualPrior")
	}
	cause("probability of a cause", func(c camtiming.Candidate) float64 { return c.Probability })
	cause("marginal likelihood of a cause over the highest", func(c camtiming.Candidate) float64 { return c.Likelihood })
	cause("chi-square of a cause", func(c camtiming.Candidate) float64 { return c.ChiSquare })
	cause("chance of a chi-square as large", func(c camtiming.Candidate) float64 { return c.PValue })
	next := func(quantity string, f func(camtiming.Discrimination, camtiming.PredictedReading) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			d, err := diagnosisInput(in)
			if err != nil {
				return Answer{}, err
			}
			r, err := camtiming.Diagnose(d)
			if err != nil {
				return Answer{}, err
			}
			for i := range r.Alike {
				if r.Candidates[i].String() == in.text("cause") && len(r.Next) == 1 {
					return Number(f(r.Next[0], r.Next[0].Predictions[i])), nil
				}
			}
			return Answer{}, errors.New("no such candidate, or nothing to tell apart")
		}, "Diagnose")
	}
	next("reading predicted by a cause", func(_ camtiming.Discrimination, p camtiming.PredictedReading) float64 {
		if p.Angle.Stated {
			return p.Angle.Value.Degrees()
		}
		return p.Length.Value.Inches()
	})
	next("uncertainty of a predicted reading", func(_ camtiming.Discrimination, p camtiming.PredictedReading) float64 {
		if p.Angle.Stated {
			return p.Angle.U.Degrees()
		}
		return p.Length.U.Inches()
	})
	next("separation of two causes", func(_ camtiming.Discrimination, p camtiming.PredictedReading) float64 { return p.Separation })
	next("information gain of a measurement", func(d camtiming.Discrimination, _ camtiming.PredictedReading) float64 { return d.Gain })
}
