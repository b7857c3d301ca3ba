package evaluation

import (
	"fmt"
	"strconv"
	"strings"

	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// firingorderIdentify computes the rows of tdc_identification.csv.
func firingorderIdentify(add adder) {
	add("cylinders whose TDC readings agree", func(in *inputs) (Answer, error) {
		r, err := tdcReadings(in)
		if err != nil {
			return Answer{}, err
		}
		g, err := firingorder.TDCComparison{Readings: r, Spacing: in.crank("spacing")}.Compare()
		if err != nil {
			return Answer{}, err
		}
		var s []string
		join := func(c []int, sep string) string {
			var t []string
			for _, k := range c {
				t = append(t, strconv.Itoa(k))
			}
			return strings.Join(t, sep)
		}
		for _, c := range g.Shared {
			s = append(s, join(c, "&"))
		}
		if len(g.Alone) > 0 {
			s = append(s, "alone "+join(g.Alone, " "))
		}
		for _, p := range g.Unclear {
			s = append(s, fmt.Sprintf("unclear %d?%d", p.A, p.B))
		}
		return Text(strings.Join(s, " ")), nil
	}, "TDCComparison.Compare")
	identified := func(f func(*inputs, firingorder.Identified) (Answer, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			q := firingorder.Identification{}
			for throws := range strings.SplitSeq(in.text("candidates"), ",") {
				l, err := layoutOf(in, in.text("banks"), throws, in.text("cylinders"))
				if err != nil {
					return Answer{}, err
				}
				q.Candidates = append(q.Candidates, l)
			}
			var err error
			if q.Readings, err = tdcReadings(in); err != nil {
				return Answer{}, err
			}
			if in.has("sense") {
				q.Sense = map[string]firingorder.WheelSense{"forward": firingorder.WheelForward, "backward": firingorder.WheelBackward}[in.text("sense")]
			}
			found, err := q.Identify()
			if err != nil {
				return Answer{}, err
			}
			return f(in, found)
		}
	}
	best := func(f func(firingorder.LayoutFit) float64) func(*inputs) (Answer, error) {
		return identified(func(_ *inputs, found firingorder.Identified) (Answer, error) {
			all := append(found.Fits, found.Rejected...)
			return Number(f(all[0])), nil
		})
	}
	fitText := func(f firingorder.LayoutFit) string { return fmt.Sprintf("%d %s", f.Candidate+1, f.Sense) }
	add("layouts that fit the readings", identified(func(_ *inputs, found firingorder.Identified) (Answer, error) {
		var s []string
		for _, f := range found.Fits {
			s = append(s, fitText(f))
		}
		if s == nil {
			return Text("none"), nil
		}
		return Text(strings.Join(s, ", ")), nil
	}), "Identification.Identify")
	add("chi-square of the best layout", best(func(f firingorder.LayoutFit) float64 { return f.ChiSquare }), "Identification.Identify")
	add("probability of chi-square of the best layout", best(func(f firingorder.LayoutFit) float64 { return f.Probability }), "Identification.Identify")
	add("wheel reading at TDC of cylinder 1", best(func(f firingorder.LayoutFit) float64 { return f.Zero.Value.Degrees() }), "Identification.Identify")
	add("uncertainty of the wheel reading at TDC of cylinder 1", best(func(f firingorder.LayoutFit) float64 { return f.Zero.U.Degrees() }), "Identification.Identify")
	add("cylinders to read next", identified(func(_ *inputs, found firingorder.Identified) (Answer, error) {
		var s []string
		for _, n := range found.Next {
			s = append(s, fmt.Sprintf("%d: %d pairs by %s", n.Cylinder, n.Separates, shortest(n.Smallest.Degrees())))
		}
		if s == nil {
			return Text("none"), nil
		}
		return Text(strings.Join(s, ", ")), nil
	}), "Identification.Identify")
	add("layouts that no reading tells apart", identified(func(_ *inputs, found firingorder.Identified) (Answer, error) {
		var s []string
		for _, p := range found.Alike {
			s = append(s, fitText(found.Fits[p[0]])+" and "+fitText(found.Fits[p[1]]))
		}
		if s == nil {
			return Text("none"), nil
		}
		return Text(strings.Join(s, ", ")), nil
	}), "Identification.Identify")
	add("suspect readings of the best layout", identified(func(_ *inputs, found firingorder.Identified) (Answer, error) {
		if len(found.Fits) > 0 {
			return Text("none: a layout fits"), nil
		}
		return Text(strings.Trim(fmt.Sprint(found.Rejected[0].Suspects), "[]")), nil
	}), "Identification.Identify")
	add("readings whose exchange makes the best layout fit", identified(func(_ *inputs, found firingorder.Identified) (Answer, error) {
		if len(found.Fits) > 0 {
			return Text("none: a layout fits"), nil
		}
		var s []string
		for _, p := range found.Rejected[0].Swapped {
			s = append(s, fmt.Sprintf("%d<>%d", p[0], p[1]))
		}
		return sortedText(s), nil
	}), "Identification.Identify")
}

// tdcReadings reads "1:12.5 2:131" in degrees, all with the uncertainty u.
func tdcReadings(in *inputs) ([]firingorder.TDCReading, error) {
	u := in.crank("u")
	var r []firingorder.TDCReading
	for w := range strings.FieldsSeq(in.text("readings")) {
		c, a, _ := strings.Cut(w, ":")
		k, err := strconv.Atoi(c)
		if err != nil {
			return nil, err
		}
		of := u
		if a2, own, ok := strings.Cut(a, "~"); ok { // an uncertainty of its own
			a = a2
			if of, err = units.ParseCrankAngle(own + " deg"); err != nil {
				return nil, err
			}
		}
		x, err := units.ParseCrankAngle(a + " deg")
		if err != nil {
			return nil, err
		}
		r = append(r, firingorder.TDCReading{Cylinder: k, Angle: units.WithU(x, of)})
	}
	return r, in.err
}
