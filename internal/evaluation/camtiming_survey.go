package evaluation

import (
	"errors"
	"strconv"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

var valves = map[string]camtiming.Valve{"intake": camtiming.IntakeValve, "exhaust": camtiming.ExhaustValve}

// surveyInput reads positions and advances of all stations; lobes share a
// cylinder in the order given.
func surveyInput(in *inputs) (camtiming.SurveyInput, error) {
	var s camtiming.SurveyInput
	fields := func(name string) []string {
		if !in.has(name) {
			return nil
		}
		return strings.Fields(strings.TrimSuffix(in.text(name), " deg"))
	}
	pos, adv, us, banks, lobes := fields("positions"), fields("advances"), fields("us"), fields("banks"), fields("lobes")
	if in.has("tdc") {
		s.Common = in.crank("tdc")
	}
	if in.err != nil || len(pos) != len(adv) {
		return s, errors.New("positions and advances differ in number")
	}
	seen := map[string]int{}
	for i := range pos {
		x, err := units.ParseLength(pos[i])
		if err != nil {
			return s, err
		}
		a, err := units.ParseCrankAngle(adv[i])
		if err != nil {
			return s, err
		}
		var text string
		if us != nil {
			text = us[i] + " deg"
		} else {
			text = in.text("u")
		}
		u, err := units.ParseCrankAngle(text)
		if err != nil {
			return s, err
		}
		st := camtiming.Station{Cylinder: strconv.Itoa(i + 1), Position: x, Advance: units.WithU(a, u)}
		if banks != nil {
			st.Bank = banks[i]
		}
		if lobes != nil {
			st.Valve = valves[lobes[i]]
			seen[lobes[i]]++
			st.Cylinder = strconv.Itoa(seen[lobes[i]])
		}
		s.Stations = append(s.Stations, st)
	}
	return s, nil
}

// camSurvey computes the rows of survey.csv and those of the survey in
// camtiming.csv.
func camSurvey(add adder) {
	fit := func(quantity string, f func(camtiming.SurveyResult) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			s, err := surveyInput(in)
			if err != nil {
				return Answer{}, err
			}
			r, err := camtiming.Survey(s)
			return Number(f(r)), err
		}, "Survey")
	}
	fit("survey index at the drive end", func(r camtiming.SurveyResult) float64 { return r.Index.Value.Degrees() })
	fit("survey index at the middle", func(r camtiming.SurveyResult) float64 { return r.IndexAtMiddle.Value.Degrees() })
	fit("survey twist per meter", func(r camtiming.SurveyResult) float64 { return r.Twist.Value.CrankDegreesPerMeter() })
	fit("survey index uncertainty", func(r camtiming.SurveyResult) float64 { return r.Index.U.Degrees() })
	fit("survey twist uncertainty", func(r camtiming.SurveyResult) float64 { return r.Twist.U.CrankDegreesPerMeter() })
	fit("survey offset of the second bank", func(r camtiming.SurveyResult) float64 { return r.BankOffset.Value.Degrees() })
	fit("survey offset uncertainty", func(r camtiming.SurveyResult) float64 { return r.BankOffset.U.Degrees() })
	fit("survey chi-square", func(r camtiming.SurveyResult) float64 { return r.ChiSquare })
	// The stated uncertainty scaled to the scatter that the residuals show, as the GUM does.
	fit("survey index uncertainty by scatter", func(r camtiming.SurveyResult) float64 { return r.ByScatter.Index.Degrees() })
	fit("survey twist uncertainty by scatter", func(r camtiming.SurveyResult) float64 { return r.ByScatter.Twist.CrankDegreesPerMeter() })
	fit("survey offset uncertainty by scatter", func(r camtiming.SurveyResult) float64 { return r.ByScatter.BankOffset.Degrees() })
	fit("survey scatter of a station", func(r camtiming.SurveyResult) float64 { return r.Scatter.Degrees() })
	add("survey stations that stand out", func(in *inputs) (Answer, error) {
		s, err := surveyInput(in)
		if err != nil {
			return Answer{}, err
		}
		r, err := camtiming.Survey(s)
		return Text(strings.Join(r.Outliers, ", ")), err
	}, "Survey")
	station := func(quantity string, f func(camtiming.StationFit) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			s, err := surveyInput(in)
			if err != nil {
				return Answer{}, err
			}
			r, err := camtiming.Survey(s)
			if err != nil {
				return Answer{}, err
			}
			i := in.int("station") - 1
			if i < 0 || i >= len(r.Stations) {
				return Answer{}, errors.New("no such station")
			}
			return Number(f(r.Stations[i])), nil
		}, "Survey")
	}
	station("survey residual of a station", func(f camtiming.StationFit) float64 { return f.Residual.Degrees() })
	station("survey shift of an outlier", func(f camtiming.StationFit) float64 { return f.Shift.Value.Degrees() })
	station("survey shift uncertainty of an outlier", func(f camtiming.StationFit) float64 { return f.Shift.U.Degrees() })
	station("survey leverage of a station", func(f camtiming.StationFit) float64 { return f.Leverage })
	station("survey studentized residual by the stated uncertainty", func(f camtiming.StationFit) float64 { return f.Studentized })
	station("survey studentized residual by the scatter of the others", func(f camtiming.StationFit) float64 { return f.StudentizedByScatter })

	lobe := func(quantity string, f func(camtiming.Station) float64) {
		add(quantity, func(in *inputs) (Answer, error) {
			c, err := plainCam(in.cam("separation"))
			if err != nil {
				return Answer{}, err
			}
			s, err := c.LobeStation(camtiming.Centerline{
				Valve: valves[in.text("valve")], Basis: camtiming.BasisNose, Angle: units.WithU(in.crank("centerline"), in.crank("u reading")+in.crank("u tdc")),
				UReading: in.crank("u reading"), UTDC: in.crank("u tdc"),
			}, "1", 0)
			return Number(f(s)), err
		}, "Cam.LobeStation")
	}
	lobe("advance of one lobe as a station", func(s camtiming.Station) float64 { return s.Advance.Value.Degrees() })
	lobe("uncertainty of one lobe as a station", func(s camtiming.Station) float64 { return s.Advance.U.Degrees() })
}
