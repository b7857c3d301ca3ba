package evaluation

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// point is one knot of a row: "2.5 1.2".
type point struct{ x, y float64 }

func points(in *inputs) []point {
	return read(in, "points", func(s string) (p []point, err error) {
		for part := range strings.SplitSeq(s, "|") {
			f := strings.Fields(part)
			if len(f) != 2 {
				return nil, fmt.Errorf("want angle and lift, got %q", part)
			}
			x, err1 := strconv.ParseFloat(f[0], 64)
			y, err2 := strconv.ParseFloat(f[1], 64)
			if err := errors.Join(err1, err2); err != nil {
				return nil, err
			}
			p = append(p, point{x, y})
		}
		return p, nil
	})
}

// samples makes points of cam degrees and lifts of a unit readings of a lobe.
func samples(p []point, unit units.Length) []camtiming.LiftSample {
	s := make([]camtiming.LiftSample, len(p))
	for i, q := range p {
		s[i].Angle = units.CamAngle(math.RoundToEven(q.x * float64(units.CamDegree)))
		s[i].Lift = units.Length(math.RoundToEven(q.y * float64(unit)))
	}
	return s
}

// camSmooth computes the rows of smoothing.csv.
func camSmooth(add adder) {
	smooth := func(in *inputs) (*camtiming.SmoothLobe, error) {
		spec := camtiming.SmoothLobeSpec{
			Samples: samples(points(in), units.Inch), Noise: units.Some(in.length("noise")),
			Window: units.Some(in.cam("window")), Origin: camtiming.AsMeasured,
		}
		if in.has("share") {
			spec.Share = in.float("share")
		}
		if in.err != nil {
			return nil, in.err
		}
		return camtiming.NewSmoothLobe(spec)
	}
	number := func(f func(*camtiming.SmoothLobe, units.CamAngle) (float64, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			s, err := smooth(in)
			if err != nil {
				return Answer{}, err
			}
			var at units.CamAngle
			if in.has("at") {
				at = in.cam("at")
			}
			x, err := f(s, at)
			return Number(x), err
		}
	}
	differ := errors.New("the curve and its measured value differ")
	add("lift of a smoothed lobe", number(func(s *camtiming.SmoothLobe, at units.CamAngle) (float64, error) {
		m, err := s.LiftAt(at)
		if s.Lift(at) != m.Value {
			err = differ
		}
		return m.Value.Inches(), err
	}), "NewSmoothLobe", "SmoothLobe.LiftAt", "SmoothLobe.Lift")
	add("uncertainty of the lift of a smoothed lobe", number(func(s *camtiming.SmoothLobe, at units.CamAngle) (float64, error) {
		m, err := s.LiftAt(at)
		return m.U.Inches(), err
	}), "SmoothLobe.LiftAt")
	add("velocity of a smoothed lobe", number(func(s *camtiming.SmoothLobe, at units.CamAngle) (float64, error) {
		m, err := s.VelocityAt(at)
		if s.Velocity(at) != m.Value {
			err = differ
		}
		return m.Value.InchesPerCamDegree(), err
	}), "SmoothLobe.VelocityAt", "SmoothLobe.Velocity")
	add("uncertainty of the velocity of a smoothed lobe", number(func(s *camtiming.SmoothLobe, at units.CamAngle) (float64, error) {
		m, err := s.VelocityAt(at)
		return m.U.InchesPerCamDegree(), err
	}), "SmoothLobe.VelocityAt")
	add("acceleration of a smoothed lobe", number(func(s *camtiming.SmoothLobe, at units.CamAngle) (float64, error) {
		m, err := s.AccelerationAt(at)
		if s.Motion(at).Acceleration != m.Value {
			err = differ
		}
		return m.Value.InchesPerCamDegree2(), err
	}), "SmoothLobe.AccelerationAt", "SmoothLobe.Motion")
	add("uncertainty of the acceleration of a smoothed lobe", number(func(s *camtiming.SmoothLobe, at units.CamAngle) (float64, error) {
		m, err := s.AccelerationAt(at)
		return m.U.InchesPerCamDegree2(), err
	}), "SmoothLobe.AccelerationAt")
	fit := func(f func(camtiming.SmoothFit) float64) func(*inputs) (Answer, error) {
		return number(func(s *camtiming.SmoothLobe, _ units.CamAngle) (float64, error) { return f(s.Fit()), nil })
	}
	add("scatter of a smoothed lobe", fit(func(f camtiming.SmoothFit) float64 { return f.Scatter.Inches() }), "NewSmoothLobe", "SmoothLobe.Fit")
	add("degrees of freedom of a smoothed lobe", fit(func(f camtiming.SmoothFit) float64 { return f.Freedom }), "NewSmoothLobe", "SmoothLobe.Fit")
	add("uncertainty of the greatest lift of a smoothed lobe", fit(func(f camtiming.SmoothFit) float64 { return f.Peak.U.Inches() }), "SmoothLobe.Fit")
	add("nose of a smoothed lobe", fit(func(f camtiming.SmoothFit) float64 { return f.Nose.Value.Degrees() }), "SmoothLobe.Fit")
	add("uncertainty of the nose of a smoothed lobe", fit(func(f camtiming.SmoothFit) float64 { return f.Nose.U.Degrees() }), "SmoothLobe.Fit")
	add("greatest lift of a smoothed lobe", number(func(s *camtiming.SmoothLobe, _ units.CamAngle) (float64, error) {
		return s.MaxLift().Inches(), nil
	}), "SmoothLobe.MaxLift", "NewSmoothLobe")
	add("span of a smoothed lobe", func(in *inputs) (Answer, error) {
		s, err := smooth(in)
		if err != nil {
			return Answer{}, err
		}
		return Interval(s.Span().Opens.Degrees(), s.Span().Closes.Degrees()), nil
	}, "SmoothLobe.Span", "NewSmoothLobe")
	add("derivative that readings support", func(in *inputs) (Answer, error) {
		s, err := smooth(in)
		if err != nil {
			return Answer{}, err
		}
		err = s.Supports(in.int("order"))
		switch {
		case err == nil:
			return Text("supported"), nil
		case errors.Is(err, units.ErrImpossible):
			return Text("refused"), nil
		default:
			return Answer{}, err
		}
	}, "SmoothLobe.Supports")

	split := func(f func(camtiming.SplitResult) units.CrankAngle) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			spec := camtiming.SmoothLobeSpec{Samples: samples(points(in), units.Inch), Noise: units.Some(in.length("noise")), Window: units.Some(in.cam("window"))}
			i, err1 := camtiming.NewSmoothLobe(spec)
			e, err2 := i, error(nil)
			if in.text("lobes") == "two" {
				e, err2 = camtiming.NewSmoothLobe(spec)
			}
			if err := errors.Join(in.err, err1, err2); err != nil {
				return Answer{}, err
			}
			c, err := camtiming.NewCam(camtiming.CamSpec{Intake: i, Exhaust: e, Separation: in.cam("separation")})
			if err != nil {
				return Answer{}, err
			}
			s, err := c.Split(camtiming.SplitReading{Difference: units.Unstated(in.length("difference")), Proof: camtiming.Proof{Kind: camtiming.MovesWithCrank}})
			return Number(f(s).Degrees()), err
		}
	}
	add("advance from a split by smoothed lobes", split(func(s camtiming.SplitResult) units.CrankAngle { return s.Advance.Value }), "Cam.Split", "NewSmoothLobe")
	add("uncertainty of an advance by the lobes", split(func(s camtiming.SplitResult) units.CrankAngle { return s.UShape }), "Cam.Split", "NewSmoothLobe")

	compared := func(f func(camtiming.LobeDifference) Answer) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			m, err := smooth(in)
			if err != nil {
				return Answer{}, err
			}
			ref, err := lawLobe(in, "")
			if err != nil {
				return Answer{}, err
			}
			c := camtiming.LobeComparison{Reference: ref, Measured: m}
			if in.has("at") {
				c.Lifts = append(c.Lifts, in.length("at"))
			}
			if in.has("most") {
				c.Limits = units.AtMost(in.length("most"), units.Source{Text: "the row", Provenance: units.Stated})
			}
			d, err := camtiming.CompareLobes(c)
			if err != nil {
				return Answer{}, err
			}
			return f(d), nil
		}
	}
	difference := func(f func(camtiming.LobeDifference) float64) func(*inputs) (Answer, error) {
		return compared(func(d camtiming.LobeDifference) Answer { return Number(f(d)) })
	}
	duration := func(f func(camtiming.DurationDifference) float64) func(*inputs) (Answer, error) {
		return difference(func(d camtiming.LobeDifference) float64 {
			if len(d.Durations) != 1 {
				return math.NaN()
			}
			return f(d.Durations[0])
		})
	}
	for _, c := range []struct {
		quantity string
		eval     func(*inputs) (Answer, error)
	}{
		{"lift lost at the nose", difference(func(d camtiming.LobeDifference) float64 { return d.LiftLoss.Value.Inches() })},
		{"uncertainty of the lift lost at the nose", difference(func(d camtiming.LobeDifference) float64 { return d.LiftLoss.U.Inches() })},
		{"difference of durations", duration(func(d camtiming.DurationDifference) float64 { return d.Difference.Value.Degrees() })},
		{"uncertainty of the difference of durations", duration(func(d camtiming.DurationDifference) float64 { return d.Difference.U.Degrees() })},
		{"phase between two lobes", difference(func(d camtiming.LobeDifference) float64 { return d.Phase.Later.Value.Degrees() })},
		{"uncertainty of the phase between two lobes", difference(func(d camtiming.LobeDifference) float64 { return d.Phase.Later.U.Degrees() })},
		{"height of the flanks of two lobes", difference(func(d camtiming.LobeDifference) float64 { return d.Phase.Height })},
		{"shape difference of two lobes", difference(func(d camtiming.LobeDifference) float64 { return d.Shape.RMS.Inches() })},
		{"place of the greatest shape difference of two lobes", difference(func(d camtiming.LobeDifference) float64 { return d.Shape.At.Degrees() })},
		{"greatest shape difference of two lobes", difference(func(d camtiming.LobeDifference) float64 { return d.Shape.Greatest.Value.Inches() })},
		{"verdict on a worn lobe", compared(func(d camtiming.LobeDifference) Answer { return Text(d.Verdict.Outcome.String()) })},
	} {
		add(c.quantity, c.eval, "CompareLobes", "NewSmoothLobe")
	}

	add("readings in order", func(in *inputs) (Answer, error) {
		p := points(in)
		if in.err != nil {
			return Answer{}, in.err
		}
		s, err := camtiming.Unroll(samples(p, units.Inch))
		if err != nil {
			return Answer{}, err
		}
		var out []string
		for _, q := range s {
			out = append(out, fmt.Sprintf("%g %g", q.Angle.Degrees(), q.Lift.Inches()))
		}
		return Text(strings.Join(out, "| ")), nil
	}, "Unroll")
}

// camSplines computes the rows of table_splines.csv: splines through any
// points, which a table of lift reproduces once a curve that the spline leaves
// as it is has been added, so that both ends read zero and nothing is below.
func camSplines(add adder) {
	spline := func(f func(*inputs, raisedSpline) (float64, error)) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			s, err := newSpline(in)
			if err != nil {
				return Answer{}, err
			}
			x, err := f(in, s)
			return Number(x), err
		}
	}
	at := func(f func(y [3]float64) float64) func(*inputs) (Answer, error) {
		return spline(func(in *inputs, s raisedSpline) (float64, error) { return f(s.at(in.float("at"))), nil })
	}
	add("value of a spline", at(func(y [3]float64) float64 { return y[0] }), "NewTableLobe", "TableLobe.Motion")
	add("first derivative of a spline", at(func(y [3]float64) float64 { return y[1] }), "NewTableLobe", "TableLobe.Motion")
	add("second derivative of a spline", at(func(y [3]float64) float64 { return y[2] }), "NewTableLobe", "TableLobe.Motion")
	add("coefficient of a spline", spline(func(in *inputs, s raisedSpline) (float64, error) {
		k, power := in.int("piece"), in.int("power")
		if k < 0 || k >= len(s.points)-1 || power < 0 || power > 3 {
			return 0, errors.New("no such piece or power")
		}
		lo, hi := s.points[k].x, s.points[k+1].x
		if power == 3 { // the slope of the second derivative
			return (s.at((lo + 3*hi) / 4)[2] - s.at((3*lo + hi) / 4)[2]) / (hi - lo) / 3, nil
		}
		if power == 2 && k > 0 { // one more digit from inside the piece
			return s.at(lo)[2] / 2, nil
		}
		return s.at(lo)[power] / [...]float64{1, 1, 2}[power], nil
	}), "NewTableLobe", "TableLobe.Motion")
	add("integral of a spline", spline(func(in *inputs, s raisedSpline) (float64, error) {
		from, to := in.float("from"), in.float("to")
		lift := func(x float64) units.Length { return s.table.Lift(s.angle(x)) }
		a, err := camtiming.AreaUnder(s.table, camtiming.AreaSpec{Opens: lift(from), Closes: lift(to)})
		return a.Area.MillimeterCamDegrees()/splineUnit.Millimeters() - (s.primitive(to) - s.primitive(from)), err
	}), "AreaUnder", "NewTableLobe")
	add("place at which a spline passes a value", spline(func(in *inputs, s raisedSpline) (float64, error) {
		// Of the table with its added curve, the crossing moves a little each time.
		x, value := in.float("near"), in.float("value")
		for range 60 {
			o, err := camtiming.OpeningAt(s.table, units.Length(math.RoundToEven((value+s.added(x)[0])*float64(splineUnit))))
			if err != nil {
				return 0, err
			}
			next := s.place(o.Opens)
			if in.text("side") == "falling" {
				next = s.place(o.Closes)
			}
			if next == x {
				break
			}
			x = next
		}
		return x, nil
	}), "OpeningAt", "NewTableLobe")
	add("level place of a spline", spline(func(in *inputs, s raisedSpline) (float64, error) {
		lo, hi := in.float("from"), in.float("to")
		slope := func(x float64) float64 {
			return float64(s.table.Velocity(s.angle(x)))/splineUnit.Meters() - s.added(x)[1]
		}
		if slope(lo)*slope(hi) >= 0 {
			return 0, errors.New("the slope does not change its sign between the two")
		}
		for range 60 {
			if mid := (lo + hi) / 2; slope(lo)*slope(mid) <= 0 {
				hi = mid
			} else {
				lo = mid
			}
		}
		return (lo + hi) / 2, nil
	}), "TableLobe.Velocity", "NewTableLobe")
	add("lift of a lobe", func(in *inputs) (Answer, error) {
		l, err := lawLobe(in, "")
		if err != nil {
			return Answer{}, err
		}
		return Number(l.Lift(in.cam("angle")).Inches()), nil
	}, "LawLobe.Lift", "NewLawLobe")
	add("value of a monotone cubic", func(in *inputs) (Answer, error) {
		p, x := points(in), in.float("at")
		if in.err != nil {
			return Answer{}, in.err
		}
		y, err := monotoneAt(p, x)
		return Number(y), err
	}, "NewTableLobe", "TableLobe.Lift")
}

// splineUnit is the lift that stands for 1: the finest that fits under 1 m.
const splineUnit = 400 * units.Millimeter

// raisedSpline is a spline through points as a table of lift: spline = table - added.
type raisedSpline struct {
	table  *camtiming.TableLobe
	points []point
	zero   float64 // place that is the table's zero angle
	c      [4]float64
	turn   bool
}

// added returns the added curve and its first two derivatives.
func (s raisedSpline) added(x float64) [3]float64 {
	d, c := x-s.points[0].x, s.c
	return [3]float64{c[0] + d*(c[1]+d*(c[2]+d*c[3])), c[1] + d*(2*c[2]+d*3*c[3]), 2*c[2] + 6*d*c[3]}
}

func (s raisedSpline) primitive(x float64) float64 {
	d, c := x-s.points[0].x, s.c
	return d * (c[0] + d*(c[1]/2+d*(c[2]/3+d*c[3]/4)))
}

func (s raisedSpline) angle(x float64) units.CamAngle {
	return units.CamAngle(math.RoundToEven((x - s.zero) * float64(units.CamDegree)))
}

func (s raisedSpline) place(a units.CamAngle) float64 { return a.Degrees() + s.zero }

func (s raisedSpline) at(x float64) [3]float64 {
	for s.turn && x < s.points[0].x {
		x += 360
	}
	m, a, unit := s.table.Motion(s.angle(x)), s.added(x), splineUnit.Meters()
	return [3]float64{m.Lift.Meters()/unit - a[0], float64(m.Velocity)/unit - a[1], float64(m.Acceleration)/unit - a[2]}
}

// newSpline reads a spline. A natural or not-a-knot spline leaves a straight
// line as it is, a clamped one a cubic that is level at both ends, a periodic one
// a constant.
func newSpline(in *inputs) (raisedSpline, error) {
	joined := map[string]camtiming.Interpolation{
		"natural": camtiming.NaturalSpline, "notaknot": camtiming.NotAKnotSpline,
		"clamped": camtiming.ClampedSpline, "periodic": camtiming.PeriodicSpline,
	}
	s := raisedSpline{points: points(in)}
	how, ok := joined[in.text("joined")]
	if in.err != nil {
		return raisedSpline{}, in.err
	}
	n := len(s.points)
	if !ok || n < 4 {
		return raisedSpline{}, errors.New("want natural, notaknot, clamped or periodic, and four points")
	}
	first, last := s.points[0], s.points[n-1]
	span, rise := last.x-first.x, last.y-first.y
	switch how {
	case camtiming.PeriodicSpline: // begins at its lowest point
		low := 0
		for i, p := range s.points {
			if p.y < s.points[low].y {
				low = i
			}
		}
		if low > 0 {
			p := slices.Clone(s.points[low : n-1])
			for _, q := range s.points[:low+1] {
				p = append(p, point{q.x + 360, q.y})
			}
			s.points = p
		}
		s.c, s.turn = [4]float64{-s.points[0].y}, true
	case camtiming.ClampedSpline:
		s.c = [4]float64{-first.y, 0, -3 * rise / (span * span), 2 * rise / (span * span * span)}
	default:
		s.c = [4]float64{-first.y, -rise / span}
	}
	s.zero = s.points[n/2].x
	raised := make([]point, n)
	for i, p := range s.points {
		raised[i] = point{p.x - s.zero, p.y + s.added(p.x)[0]}
	}
	var err error
	s.table, err = camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: samples(raised, splineUnit), Interpolation: how, Origin: camtiming.AsMeasured})
	return s, err
}

// monotoneAt asks the monotone cubic: a piece depends on the point before and
// after it alone, so that these, raised and led down to zero, make a table.
func monotoneAt(p []point, x float64) (float64, error) {
	i := 0
	for i < len(p)-2 && x >= p[i+1].x {
		i++
	}
	from, to := max(i-1, 0), min(i+2, len(p)-1)
	part := slices.Clone(p[from : to+1])
	low, high := part[0].y, part[0].y
	for _, q := range part {
		low, high = min(low, q.y), max(high, q.y)
	}
	sign, base := 1.0, low
	if i == 0 && p[0].y == high || i == len(p)-2 && p[len(p)-1].y == high { // the end must read zero
		sign, base = -1, high
	}
	for k := range part {
		part[k].y = sign * (part[k].y - base)
	}
	const far = 50
	if i > 0 {
		part = append([]point{{part[0].x - far, 0}}, part...)
	}
	if i < len(p)-2 {
		part = append(part, point{part[len(part)-1].x + far, 0})
	}
	for k := range part {
		part[k].x -= x
	}
	s := samples(part, splineUnit)
	l, err := camtiming.NewTableLobe(camtiming.TableLobeSpec{Samples: s, Origin: camtiming.AsMeasured})
	if err != nil {
		return 0, err
	}
	return sign*l.Lift(0).Meters()/splineUnit.Meters() + base, nil
}
