package firingorder

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/trialfit/units"
)

// TDCReading is where a degree wheel stands when a cylinder is at TDC. The
// uncertainty is that of this reading alone: an error of the wheel's zero is
// common to all and cancels.
type TDCReading struct {
	Cylinder int
	Angle    units.Measured[units.CrankAngle]
}

// sharpest is the smallest uncertainty that a reading may claim, the quantum of
// an angle.
const sharpest = units.CrankAngle(1)

func checkReadings(readings []TDCReading, cylinders int) error {
	if len(readings) == 0 {
		return refuse("Readings", "", "want at least one", units.ErrMissing)
	}
	if len(readings) > maxCylinders {
		return refuse("Readings", strconv.Itoa(len(readings)), "want at most 64", units.ErrRange)
	}
	for i, r := range readings {
		field := fmt.Sprintf("Readings[%d]", i)
		if r.Cylinder < 1 || r.Cylinder > cylinders {
			return refuse(field, strconv.Itoa(r.Cylinder), fmt.Sprintf("want a cylinder from 1 to %d", cylinders), units.ErrRange)
		}
		if slices.ContainsFunc(readings[:i], func(o TDCReading) bool { return o.Cylinder == r.Cylinder }) {
			return refuse(field, "", fmt.Sprintf("cylinder %d was read before: give the mean of its readings", r.Cylinder), units.ErrConflict)
		}
		u := r.Angle.U
		if !r.Angle.Stated {
			if u != 0 {
				return refuse(field, u.String(), "an uncertainty that is not marked as stated", units.ErrConflict)
			}
			return refuse(field, "", "want the uncertainty of the reading", units.ErrMissing)
		}
		if u < sharpest || u >= units.CrankTurn/2 {
			return refuse(field, u.String(), "want an uncertainty over 0 and under 180 crank deg", units.ErrRange)
		}
	}
	return nil
}

// apart returns the smallest turn from a to b, in [-180, 180) crank degrees.
func apart(a, b units.CrankAngle) units.CrankAngle {
	const half = units.CrankTurn / 2
	return (b.WrapTurn() - a.WrapTurn() + half).WrapTurn() - half
}

// together returns the root of the sum of squares, rounded to the quantum.
func together(u ...units.CrankAngle) units.CrankAngle {
	s := 0.0
	for _, x := range u {
		s = math.Hypot(s, float64(x))
	}
	return units.CrankAngle(math.Round(s))
}

// TDCComparison asks which cylinders reach TDC together.
type TDCComparison struct {
	Readings []TDCReading // each cylinder once
	// Spacing is the smallest angle that two TDCs can be apart if they are not
	// one: 720/n for an even-firing four-stroke engine of an even number n of
	// cylinders, 360/n for an odd number.
	Spacing units.CrankAngle
}

// TDCPair is two cylinders and how far apart their TDCs were read.
type TDCPair struct {
	A, B int // A before B in number
	// Difference is the reading of B less that of A, in [-180, 180).
	Difference units.Measured[units.CrankAngle]
}

// TDCGroups says who reaches TDC together.
type TDCGroups struct {
	Shared  [][]int   // two or more together, ascending; a pair of a four-stroke engine are companions
	Alone   []int     // apart from every other that was read
	Unclear []TDCPair // neither together nor apart; read these again

	readings []TDCReading // by cylinder, for Working
	spacing  units.CrankAngle
}

// pairOf compares two readings.
func pairOf(a, b TDCReading) TDCPair {
	return TDCPair{a.Cylinder, b.Cylinder, units.WithU(apart(a.Angle.Value, b.Angle.Value), together(a.Angle.U, b.Angle.U))}
}

// expanded is twice the uncertainty of the difference.
func (p TDCPair) expanded() units.CrankAngle { return 2 * p.Difference.U }

// isOne and isApart decide a pair by itself.
func (p TDCPair) isOne() bool { return p.Difference.Value.Abs() <= p.expanded() }

func (p TDCPair) isApart(spacing units.CrankAngle) bool {
	return p.Difference.Value.Abs() >= spacing-p.expanded()
}

// Working shows the difference of every two readings against its expanded
// uncertainty, and what it makes of the two; nil for TDCGroups that
// TDCComparison.Compare did not make, and for a single reading.
func (g TDCGroups) Working() units.Working {
	src := units.Source{Text: "JCGM 100:2008, 5.1.2 and 6.2.1, coverage factor 2", Provenance: units.Verified}
	var w units.Working
	for i, a := range g.readings {
		for _, b := range g.readings[i+1:] {
			p := pairOf(a, b)
			says := "apart"
			switch {
			case p.isOne():
				says = "together"
			case !p.isApart(g.spacing):
				says = "unclear"
			case slices.Contains(g.Unclear, p):
				says = "unclear: apart, and yet both together with a third"
			}
			w = append(w, units.Step{
				Symbol: fmt.Sprintf("%d and %d", a.Cylinder, b.Cylinder), Formula: "|d| <= U together, |d| >= S - U apart; d the shorter way round, U = 2 sqrt(u_a^2 + u_b^2)",
				Numbers: fmt.Sprintf("d = %s - %s = %s, U = %s, S - U = %s", number(b.Angle.Value), number(a.Angle.Value), number(p.Difference.Value), number(p.expanded()), number(g.spacing-p.expanded())),
				Value:   says, Source: src,
			})
		}
	}
	return w
}

// Compare answers which cylinders reach TDC together, straight from the readings.
// With d the difference of two readings (crank deg, the shorter way round) and
//
//	U = 2 sqrt(u_a^2 + u_b^2)
//
// its expanded uncertainty, u = Angle.U, two TDCs are one where |d| <= U, apart
// where |d| >= S - U with S = Spacing, and unclear between; also where A goes with
// B and B with C but not A with C. Cylinders in an unclear pair are in no group
// and not alone. Three or more in one group cannot all fire in a four-stroke
// engine.
//
// Errors: units.ErrMissing for no readings, spacing or uncertainty; units.ErrRange
// for a cylinder, an uncertainty or a spacing outside its range (over 0, at most
// 180); units.ErrConflict for a cylinder read twice; units.ErrImpossible names the
// pair whose readings are too uncertain to decide at all, 2 U >= S.
//
// Source: expanded uncertainty with coverage factor 2, JCGM 100:2008, 6.2.1, and
// the law of propagation, 5.1.2.
//
// Rows: shared-six, shared-v8, shared-unclear, shared-chain, shared-boxer,
// shared-five, shared-own-u, shared-edge, shared-edge-out, shared-between.
func (c TDCComparison) Compare() (TDCGroups, error) {
	if err := checkReadings(c.Readings, maxCylinders); err != nil {
		return TDCGroups{}, err
	}
	if c.Spacing == 0 {
		return TDCGroups{}, refuse("Spacing", "", "want the smallest angle between two TDCs, such as 120 deg for a six", units.ErrMissing)
	}
	if c.Spacing < 0 || c.Spacing > units.CrankTurn/2 {
		return TDCGroups{}, refuse("Spacing", c.Spacing.String(), "want over 0 and at most 180 crank deg", units.ErrRange)
	}
	r := slices.Clone(c.Readings)
	slices.SortFunc(r, func(a, b TDCReading) int { return cmp.Compare(a.Cylinder, b.Cylinder) })
	n := len(r)
	var one [maxCylinders][maxCylinders]bool
	var unclear [maxCylinders]bool
	g := TDCGroups{readings: r, spacing: c.Spacing}
	pair := func(i, j int) TDCPair { return pairOf(r[i], r[j]) }
	doubt := func(i, j int) {
		g.Unclear = append(g.Unclear, pair(i, j))
		unclear[i], unclear[j] = true, true
	}
	for i := range n {
		for j := i + 1; j < n; j++ {
			p := pair(i, j)
			if 2*p.expanded() >= c.Spacing {
				return TDCGroups{}, refuse("Readings", p.expanded().String(), fmt.Sprintf("the uncertainty of the difference between cylinders %d and %d does not tell 0 from %s", p.A, p.B, c.Spacing), units.ErrImpossible)
			}
			switch {
			case p.isOne():
				one[i][j], one[j][i] = true, true
			case !p.isApart(c.Spacing):
				doubt(i, j)
			}
		}
	}
	for i := range n { // A with B, B with C, A not with C
		for j := i + 1; j < n; j++ {
			for k := range n {
				if one[i][k] && one[k][j] && !one[i][j] && !slices.ContainsFunc(g.Unclear, func(p TDCPair) bool { return p.A == r[i].Cylinder && p.B == r[j].Cylinder }) {
					doubt(i, j)
				}
			}
		}
	}
	for i := range n {
		group, sure := []int{r[i].Cylinder}, !unclear[i]
		first := true
		for j := range n {
			if one[i][j] {
				first = first && j > i
				sure = sure && !unclear[j]
				group = append(group, r[j].Cylinder)
			}
		}
		switch {
		case !sure || !first:
		case len(group) == 1:
			g.Alone = append(g.Alone, group[0])
		default:
			g.Shared = append(g.Shared, group)
		}
	}
	return g, nil
}

// WheelSense is the sense in which a degree wheel counts.
type WheelSense uint8

// The senses. The zero value says that it is not known; both are tried.
const (
	WheelUnstated WheelSense = iota
	WheelForward             // readings rise as the crank turns in its rotation
	WheelBackward            // readings fall
)

// String returns the name of the sense.
func (s WheelSense) String() string { return named(s, "not stated", "forward", "backward") }

// Identification asks which of some layouts an engine has.
type Identification struct {
	Candidates []*Layout // of the same number of cylinders
	Readings   []TDCReading
	Sense      WheelSense
}

// LayoutFit is how one layout fits the readings.
type LayoutFit struct {
	Candidate int // index in Candidates
	Sense     WheelSense
	// Zero is the reading of the wheel at TDC of cylinder 1, in [0, 360).
	Zero units.Measured[units.CrankAngle]
	// ChiSquare is a sum of squares of residuals over their uncertainties, with
	// Freedom degrees of freedom, and Probability that of a sum as large or
	// larger if the layout is right; 1 for a single reading.
	ChiSquare   float64
	Freedom     int
	Probability float64
	Fits        bool // Probability at least 5 %
	// Residuals are readings less what the layout has, in their sequence.
	Residuals []units.CrankAngle
	// Suspects are the cylinders without whose reading, each left out alone, a
	// layout that does not fit would fit: a misread angle or a wrong number.
	// They are looked for where three readings remain.
	Suspects []int
	// Swapped are pairs of cylinders whose readings, exchanged, make a layout
	// that does not fit do so: numbers mixed up in the notes.
	Swapped [][2]int

	layout   *Layout // for Working
	readings []TDCReading
}

// Working shows the residuals and what they add up to.
func (f LayoutFit) Working() units.Working {
	if f.layout == nil {
		return nil
	}
	src := units.Source{Text: "weighted least squares, NIST/SEMATECH e-Handbook of Statistical Methods", Provenance: units.VerifiedSecondary}
	sign := "+"
	if f.Sense == WheelBackward {
		sign = "-"
	}
	w := units.Working{{Symbol: "zero", Formula: "reading at TDC of cylinder 1 with the smallest chi-square", Value: f.Zero.String(), Source: src}}
	var terms []string
	for i, r := range f.readings {
		tdc := number(angleOf(f.layout.tdc[r.Cylinder-1], f.layout.turn))
		w = append(w, units.Step{
			Symbol: "r" + strconv.Itoa(r.Cylinder), Formula: "reading - (zero " + sign + " TDC), the shorter way round",
			Numbers: fmt.Sprintf("%s - (%s %s %s)", number(r.Angle.Value), number(f.Zero.Value), sign, tdc), Value: f.Residuals[i].String(), Source: src,
		})
		terms = append(terms, fmt.Sprintf("(%s/%s)^2", number(f.Residuals[i]), number(r.Angle.U)))
	}
	return append(w,
		units.Step{Symbol: "chi-square", Formula: "sum of (r/u)^2", Numbers: strings.Join(terms, " + "), Value: strconv.FormatFloat(f.ChiSquare, 'g', 6, 64), Source: src},
		units.Step{Symbol: "P", Formula: "probability of a chi-square as large", Numbers: strconv.Itoa(f.Freedom) + " degrees of freedom", Value: strconv.FormatFloat(f.Probability, 'g', 6, 64), Source: src})
}

// NextTDC is a cylinder that was not read and what reading it would tell.
type NextTDC struct {
	Cylinder int
	// Separates is how many pairs of fitting layouts its TDC would tell apart.
	Separates int
	// Smallest is the least difference among these pairs.
	Smallest units.CrankAngle
}

// Identified is the answer to an Identification.
type Identified struct {
	Fits     []LayoutFit // that fit, the smallest chi-square first
	Rejected []LayoutFit // that do not
	// Alike are pairs of indices in Fits that no TDC tells apart.
	Alike [][2]int
	// Next are the cylinders to read next, the one that separates most pairs
	// first; empty when there is nothing left to tell apart.
	Next []NextTDC
}

// Identify answers which of the candidate layouts fit the TDCs read off a degree
// wheel whose zero stands anywhere and which counts in either sense. A layout
// predicts
//
//	reading = zero + s TDC   modulo 360
//
// with TDC = Layout.TDC (crank deg), s = +1 for a wheel that counts forward and -1
// backward, and zero the one that makes
//
//	chi-square = sum of ((reading - zero - s TDC) / u)^2
//
// smallest, residuals taken the shorter way round and u = Angle.U. With m readings
// chi-square has m - 1 degrees of freedom; a layout fits if a sum as large has a
// probability of at least 5 %. The standard uncertainty of zero is 1/sqrt(sum of
// 1/u^2), whatever chi-square is.
//
// Two that fit are told apart by the TDC of a cylinder where their predictions
// differ by more than 2 sqrt(u^2 + u_zero^2 + u_zero'^2), u the largest of the
// readings. They are alike if no cylinder differs at all: a layout and its mirror
// image with the wheel counting the other way always are, so state the sense if
// it is known. A layout says nothing of the firing order, which TDCs cannot show.
//
// Errors: units.ErrMissing for no candidates, readings or uncertainties,
// units.ErrConflict for candidates of different numbers of cylinders and for a
// cylinder read twice, units.ErrRange for a cylinder or an uncertainty outside its
// range and an unknown sense.
//
// Valid for independent, normal errors of reading, and for no pin offset or the
// same on every cylinder.
//
// Source: weighted least squares and the chi-square test, NIST/SEMATECH e-Handbook
// of Statistical Methods, 1.3.5.15 (critical values 1.3.6.7.4); JCGM 100:2008, 5.1.
//
// Rows: identify-six, identify-six-mirror, identify-eight-three, identify-v8,
// identify-chi-six, identify-p-six, identify-zero-five, identify-u-five,
// identify-next-eight-two, identify-alike-eight-either, identify-suspect-suspect6,
// identify-swapped-six.
func (q Identification) Identify() (Identified, error) {
	if len(q.Candidates) == 0 {
		return Identified{}, refuse("Candidates", "", "want at least one layout", units.ErrMissing)
	}
	n := q.Candidates[0].Cylinders()
	for i, l := range q.Candidates {
		field := fmt.Sprintf("Candidates[%d]", i)
		if l.Cylinders() == 0 {
			return Identified{}, refuse(field, "", "want a layout from NewLayout", units.ErrMissing)
		}
		if l.Cylinders() != n {
			return Identified{}, refuse(field, strconv.Itoa(l.Cylinders()), fmt.Sprintf("the first candidate has %d cylinders", n), units.ErrConflict)
		}
	}
	if q.Sense > WheelBackward {
		return Identified{}, refuse("Sense", q.Sense.String(), "want WheelForward or WheelBackward", units.ErrRange)
	}
	if err := checkReadings(q.Readings, n); err != nil {
		return Identified{}, err
	}
	var found Identified
	for i, l := range q.Candidates {
		for _, sense := range []WheelSense{WheelForward, WheelBackward} {
			if q.Sense != WheelUnstated && q.Sense != sense {
				continue
			}
			expect := l.predictions(sense)
			f := fit(q.Readings, expect)
			f.Candidate, f.Sense, f.layout, f.readings = i, sense, l, slices.Clone(q.Readings)
			if f.Fits {
				found.Fits = append(found.Fits, f)
				continue
			}
			for k, r := range q.Readings {
				if len(q.Readings) > 3 && fit(slices.Concat(q.Readings[:k], q.Readings[k+1:]), expect).Fits {
					f.Suspects = append(f.Suspects, r.Cylinder)
				}
				for j := range k {
					x := slices.Clone(q.Readings)
					x[j].Angle, x[k].Angle = x[k].Angle, x[j].Angle
					if len(x) > 2 && fit(x, expect).Fits {
						a, b := x[j].Cylinder, r.Cylinder
						f.Swapped = append(f.Swapped, [2]int{min(a, b), max(a, b)})
					}
				}
			}
			found.Rejected = append(found.Rejected, f)
		}
	}
	byChiSquare := func(a, b LayoutFit) int { return cmp.Compare(a.ChiSquare, b.ChiSquare) }
	slices.SortStableFunc(found.Fits, byChiSquare)
	slices.SortStableFunc(found.Rejected, byChiSquare)
	q.tellApart(&found)
	return found, nil
}

// prediction returns s TDC exactly, in [0, 1) turn.
func (l *Layout) prediction(cylinder int, sense WheelSense) Turn {
	t := l.tdc[cylinder-1]
	if sense == WheelBackward {
		t = l.mod(-t)
	}
	return reduced(t, l.turn)
}

// predictions are rounded to angles, by cylinder less 1.
func (l *Layout) predictions(sense WheelSense) []units.CrankAngle {
	p := make([]units.CrankAngle, len(l.tdc))
	for c := range p {
		p[c] = l.prediction(c+1, sense).Angle()
	}
	return p
}

// fit finds the zero that makes chi-square smallest. The readings less the
// predictions lie on a circle; wherever the circle is cut between two of them
// the best zero is their weighted mean, and the smallest of these is the one.
func fit(readings []TDCReading, expect []units.CrankAngle) LayoutFit {
	m := len(readings)
	type point struct {
		at     units.CrankAngle
		weight float64
	}
	points := make([]point, m)
	sharp := readings[0].Angle.U
	for _, r := range readings {
		sharp = min(sharp, r.Angle.U)
	}
	weights := 0.0
	for i, r := range readings {
		q := float64(sharp) / float64(r.Angle.U)
		points[i] = point{(r.Angle.Value.WrapTurn() - expect[r.Cylinder-1]).WrapTurn(), q * q}
		weights += points[i].weight
	}
	slices.SortFunc(points, func(a, b point) int { return cmp.Compare(a.at, b.at) })
	best, zero := math.Inf(1), units.CrankAngle(0)
	for cut := range points {
		origin := points[cut].at
		mean := 0.0
		for _, p := range points {
			mean += p.weight * float64((p.at - origin).WrapTurn())
		}
		mean /= weights
		sum := 0.0
		for _, p := range points {
			d := float64((p.at - origin).WrapTurn()) - mean
			sum += p.weight * d * d
		}
		if sum < best {
			best, zero = sum, (origin + units.CrankAngle(math.Round(mean))).WrapTurn()
		}
	}
	f := LayoutFit{
		Zero:      units.WithU(zero, units.CrankAngle(math.Round(float64(sharp)/math.Sqrt(weights)))),
		ChiSquare: best / float64(sharp) / float64(sharp), Freedom: m - 1, Probability: 1,
	}
	if f.Freedom > 0 {
		f.Probability = distuv.ChiSquared{K: float64(f.Freedom)}.Survival(f.ChiSquare)
	}
	f.Fits = f.Probability >= 0.05
	for _, r := range readings {
		f.Residuals = append(f.Residuals, apart(zero+expect[r.Cylinder-1], r.Angle.Value))
	}
	return f
}

func (q Identification) tellApart(found *Identified) {
	n := q.Candidates[0].Cylinders()
	worst := units.CrankAngle(0)
	for _, r := range q.Readings {
		worst = max(worst, r.Angle.U)
	}
	at := func(f LayoutFit, c int) Turn { return q.Candidates[f.Candidate].prediction(c, f.Sense) }
	next := make([]NextTDC, n)
	for i, a := range found.Fits {
		for j := i + 1; j < len(found.Fits); j++ {
			b := found.Fits[j]
			same := true
			for c := 1; c <= n; c++ {
				same = same && at(a, c) == at(b, c)
			}
			if same {
				found.Alike = append(found.Alike, [2]int{i, j})
				continue
			}
			limit := 2 * together(worst, a.Zero.U, b.Zero.U)
			for c := 1; c <= n; c++ {
				d := apart(a.Zero.Value+at(a, c).Angle(), b.Zero.Value+at(b, c).Angle()).Abs()
				if d <= limit || slices.ContainsFunc(q.Readings, func(r TDCReading) bool { return r.Cylinder == c }) {
					continue
				}
				x := &next[c-1]
				if x.Cylinder = c; x.Separates == 0 || d < x.Smallest {
					x.Smallest = d
				}
				x.Separates++
			}
		}
	}
	next = slices.DeleteFunc(next, func(x NextTDC) bool { return x.Separates == 0 })
	slices.SortStableFunc(next, func(a, b NextTDC) int {
		return cmp.Or(cmp.Compare(b.Separates, a.Separates), cmp.Compare(b.Smallest, a.Smallest))
	})
	if len(next) > 0 {
		found.Next = next
	}
}
