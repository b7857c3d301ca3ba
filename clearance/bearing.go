package clearance

import (
	"math"

	"example.com/trialfit/units"
)

// Diameter is one two-point reading.
type Diameter struct {
	// Around is the direction of the reading around the part, in degrees of
	// the crank: from the split line in a bore, from any mark on a journal.
	// A direction and its opposite are the same diameter.
	Around  units.CrankAngle
	Reading units.Measured[units.Length]
}

// Station is the readings taken around a part at one place along it.
type Station struct {
	At        units.Length // from one end of the bearing
	Diameters []Diameter
}

// Round is a bore or a journal as read: stations in the order of At.
type Round struct {
	Stations []Station
	// ZeroU is the standard uncertainty of the gauge's zero, common to all
	// readings of this part; 0 where the readings' own uncertainties hold all.
	ZeroU units.Length
}

// StationShape is what the readings of one station say.
type StationShape struct {
	At         units.Length
	Mean       units.Measured[units.Length]
	Min, Max   Diameter
	OutOfRound units.Measured[units.Length]
}

// Shape is the form of a bore or journal from its readings. Fields that need
// more stations than were read are not given.
type Shape struct {
	Mean     units.Measured[units.Length]
	Stations []StationShape
	// OutOfRound is the largest of the stations, WorstStation its index. It
	// needs two directions at a station. Two-point readings do not see a
	// three-lobed form.
	OutOfRound   units.Optional[units.Measured[units.Length]]
	WorstStation int
	// Taper is the mean at the last station minus that at the first;
	// TaperRatio is taper per length between them.
	Taper      units.Optional[units.Measured[units.Length]]
	TaperRatio float64
	// Barrel is how far the middle station that departs most lies from the
	// straight line between the ends: positive larger (barrel), negative
	// smaller (hourglass). It needs three stations.
	Barrel units.Optional[units.Measured[units.Length]]
}

const halfTurn = 180 * units.CrankDegree

// direction reduces an angle to [0, 180) degrees.
func direction(a units.CrankAngle) units.CrankAngle {
	a %= halfTurn
	if a < 0 {
		a += halfTurn
	}
	return a
}

func (r Round) check(field string) error {
	if len(r.Stations) == 0 {
		return fail(field+".Stations", "", units.ErrMissing, "want at least one station with a reading")
	}
	if r.ZeroU < 0 {
		return fail(field+".ZeroU", r.ZeroU.String(), units.ErrRange, "want a standard uncertainty that is not negative")
	}
	if err := checkSigned(field+".ZeroU", r.ZeroU); err != nil {
		return err
	}
	n := 0
	for i, s := range r.Stations {
		if err := checkStation(at(field+".Stations", i), s); err != nil {
			return err
		}
		if i > 0 && s.At <= r.Stations[i-1].At {
			return fail(at(field+".Stations", i)+".At", s.At.String(), units.ErrConflict, "want each station farther from the same end than the one before")
		}
		if n += len(s.Diameters); n > maxReadings {
			return fail(field+".Stations", "", units.ErrRange, "want at most 10000 readings")
		}
	}
	return nil
}

func checkStation(field string, s Station) error {
	if err := checkSigned(field+".At", s.At); err != nil {
		return err
	}
	if s.At < 0 {
		return fail(field+".At", s.At.String(), units.ErrRange, "want a distance from one end, not negative")
	}
	if len(s.Diameters) == 0 {
		return fail(field+".Diameters", "", units.ErrMissing, "want at least one reading")
	}
	if len(s.Diameters) > maxReadings {
		return fail(field+".Diameters", "", units.ErrRange, "want at most 10000 readings")
	}
	for i, d := range s.Diameters {
		if err := checkPositive(at(field+".Diameters", i)+".Reading", d.Reading); err != nil {
			return err
		}
	}
	return nil
}

// checkDirections refuses a direction that is read twice, one of which would
// have to be the other's mistake or a repeat to be averaged first.
func checkDirections(field string, r Round) error {
	for i, s := range r.Stations {
		seen := make(map[units.CrankAngle]struct{}, len(s.Diameters))
		for j, d := range s.Diameters {
			a := direction(d.Around)
			if _, dup := seen[a]; dup {
				return fail(at(at(field+".Stations", i)+".Diameters", j)+".Around", d.Around.String(), units.ErrConflict, "this direction is read twice at this station: average repeats first")
			}
			seen[a] = struct{}{}
		}
	}
	return nil
}

// sums gathers readings for means with their uncertainty.
type sums struct {
	base, offset units.Length // offset from base keeps the sum small
	n            int
	var2         float64
	unstated     bool
}

func (s *sums) add(m units.Measured[units.Length]) {
	if s.n == 0 {
		s.base = m.Value
	}
	s.offset += m.Value - s.base
	s.n++
	s.var2 += float64(float64(m.U) * float64(m.U))
	s.unstated = s.unstated || !m.Stated
}

// mean returns the mean; zeroU is the part common to all.
func (s *sums) mean(zeroU units.Length) units.Measured[units.Length] {
	u := math.Sqrt(s.var2) / float64(s.n)
	return result(s.base+div(s.offset, s.n), !s.unstated, math.Hypot(u, float64(zeroU)))
}

// Shape answers how round, straight and large a bore or journal is:
//
//	mean        = sum of station means / stations
//	out-of-round = largest - smallest diameter at one station
//	taper       = station mean(last) - station mean(first)
//	barrel      = station mean - line between the end means, at that At
//
// with u by root sum of squares; the zero of the gauge counts in the mean and
// cancels in the differences. Each station counts alike in the mean whatever
// the number of its readings. Errors: no readings, a size of 0 or negative,
// stations out of order, a direction read twice, a negative uncertainty.
//
// Source: definitions; JCGM 100:2008, 5.1.2.
//
// Rows: shape-mean, shape-oor, shape-taper, shape-barrel.
func (r Round) Shape() (Shape, error) {
	if err := r.check("Round"); err != nil {
		return Shape{}, err
	}
	if err := checkDirections("Round", r); err != nil {
		return Shape{}, err
	}
	return r.shape(), nil
}

func (r Round) shape() Shape {
	s := Shape{Stations: make([]StationShape, len(r.Stations))}
	var all sums
	for i, st := range r.Stations {
		v := &s.Stations[i]
		v.At, v.Min, v.Max = st.At, st.Diameters[0], st.Diameters[0]
		var sum sums
		for _, d := range st.Diameters {
			sum.add(d.Reading)
			if d.Reading.Value < v.Min.Reading.Value {
				v.Min = d
			}
			if d.Reading.Value > v.Max.Reading.Value {
				v.Max = d
			}
		}
		all.add(sum.mean(0))
		v.Mean = sum.mean(r.ZeroU)
		v.OutOfRound = sub(v.Max.Reading, v.Min.Reading)
		if len(st.Diameters) > 1 && (!s.OutOfRound.Given || v.OutOfRound.Value > s.OutOfRound.Value.Value) {
			s.OutOfRound, s.WorstStation = units.Some(v.OutOfRound), i
		}
	}
	s.Mean = all.mean(r.ZeroU)
	s.along(r)
	return s
}

// along fills taper and barrel. Station means without the common zero are
// needed, so it takes them from the readings.
func (s *Shape) along(r Round) {
	last := len(r.Stations) - 1
	if last < 1 {
		return
	}
	own := func(i int) units.Measured[units.Length] {
		var sum sums
		for _, d := range r.Stations[i].Diameters {
			sum.add(d.Reading)
		}
		return sum.mean(0)
	}
	a, b := own(0), own(last)
	length := float64(r.Stations[last].At - r.Stations[0].At)
	taper := sub(b, a)
	s.Taper, s.TaperRatio = units.Some(taper), float64(taper.Value)/length
	for i := 1; i < last; i++ {
		m := own(i)
		t := float64(r.Stations[i].At-r.Stations[0].At) / length
		dev := m.Value - a.Value - round(t*float64(taper.Value))
		if s.Barrel.Given && dev.Abs() <= s.Barrel.Value.Value.Abs() {
			continue
		}
		u := math.Hypot(float64(m.U), math.Hypot((1-t)*float64(a.U), t*float64(b.U)))
		s.Barrel = units.Some(result(dev, m.Stated && a.Stated && b.Stated, u))
	}
}

// Working returns the derivation.
func (s Shape) Working() units.Working {
	w := units.Working{{Symbol: "mean", Formula: "mean of the station means", Value: measuredText(s.Mean), Source: definition}}
	for _, st := range s.Stations {
		w = append(w, units.Step{Symbol: "out-of-round at " + st.At.Text(units.Millimeters, 2), Formula: "largest - smallest diameter", Numbers: num(st.Max.Reading.Value) + " - " + num(st.Min.Reading.Value), Value: measuredText(st.OutOfRound), Source: definition})
	}
	if s.Taper.Given {
		taper := units.Step{Symbol: "taper", Formula: "mean at the far end - mean at the near end", Value: measuredText(s.Taper.Value), Source: definition}
		if n := len(s.Stations) - 1; n > 0 { // a Shape that somebody filled in may lack them
			taper.Numbers = num(s.Stations[n].Mean.Value) + " - " + num(s.Stations[0].Mean.Value)
		}
		w = append(w, taper)
	}
	if s.Barrel.Given {
		w = append(w, units.Step{Symbol: "barrel", Formula: "middle - line between the ends", Value: measuredText(s.Barrel.Value), Source: definition})
	}
	return w
}

// Bearing is a bearing bore and the journal that runs in it, as read, with At
// counted from the same end for both.
type Bearing struct {
	Bore, Journal Round
	// SplitBore says that the bore is two shells: then Around counts from
	// the split, and only readings within 45 degrees of the crown (90
	// degrees) enter the clearance.
	SplitBore bool
	// SetFromMicrometer says that the bore gauge was set in the micrometer
	// that read the journal: the micrometer's zero, Journal.ZeroU, then
	// cancels in the clearance.
	SetFromMicrometer bool
}

// Pairing is a bore reading and the journal reading that it is paired with.
type Pairing struct {
	BoreAt, JournalAt units.Length
	Bore, Journal     Diameter
	Clearance         units.Measured[units.Length] // diametral
}

// OilClearance is the diametral clearance of a bearing.
type OilClearance struct {
	Bore, Journal Shape
	Mean          units.Measured[units.Length]
	Radial        units.Measured[units.Length] // Mean/2
	// Smallest and Largest are the worst pairings. SameStation says that bore
	// and journal were read at the same places along the bearing and pair
	// only there; else any reading pairs with any.
	Smallest, Largest Pairing
	SameStation       bool
	// PerDiameter is Mean over the mean journal diameter, a true ratio
	// (0.001 = 0.001 in per inch).
	PerDiameter float64
}

func nearCrown(a units.CrankAngle) bool {
	d := direction(a)
	return d >= 45*units.CrankDegree && d <= 135*units.CrankDegree
}

// crown returns the bore with only the readings that count.
func (b Bearing) crown() (Round, error) {
	if !b.SplitBore {
		return b.Bore, nil
	}
	r := Round{ZeroU: b.Bore.ZeroU, Stations: make([]Station, len(b.Bore.Stations))}
	for i, s := range b.Bore.Stations {
		c := Station{At: s.At}
		for _, d := range s.Diameters {
			if nearCrown(d.Around) {
				c.Diameters = append(c.Diameters, d)
			}
		}
		if len(c.Diameters) == 0 {
			return Round{}, fail(at("Bore.Stations", i)+".Diameters", "", units.ErrMissing, "a split bore needs a reading within 45 degrees of the crown, 90 degrees from the split, at each station")
		}
		r.Stations[i] = c
	}
	return r, nil
}

// OilClearance answers what clearance a bearing has from readings of its bore
// and its journal at several places:
//
//	mean     = mean bore - mean journal      radial = mean/2
//	smallest = smallest bore - largest journal, the worst pairing
//	largest  = largest bore - smallest journal
//
// where bore and journal are read at the same places along, the pairings are
// of readings at one place. A split bore counts near its crown only, while
// Bore in the result shows the form of all its readings. A negative clearance
// is data: the bearing would pinch.
//
//	u^2 = u_bore^2 + u_journal^2 + Bore.ZeroU^2 + Journal.ZeroU^2
//
// with the last term absent when the gauge was set from the micrometer.
// Errors: those of Round.Shape, no crown reading, a bore not of the size of
// its journal (clearance over a tenth of the diameter either way).
//
// Source: definitions; JCGM 100:2008, 5.1.2 and 5.2.4 (a common term
// cancels in a difference).
//
// Rows: oil-mean, oil-min, oil-max, oil-u, oil-u-set, oil-split.
func (b Bearing) OilClearance() (OilClearance, error) {
	if err := b.check(); err != nil {
		return OilClearance{}, err
	}
	crown, err := b.crown()
	if err != nil {
		return OilClearance{}, err
	}
	c := OilClearance{Bore: b.Bore.shape(), Journal: b.Journal.shape()}
	bore, journal := crown, b.Journal
	bore.ZeroU, journal.ZeroU = 0, 0
	bm, jm := bore.shape().Mean, journal.shape().Mean
	zero := float64(b.Bore.ZeroU)
	if !b.SetFromMicrometer {
		zero = math.Hypot(zero, float64(b.Journal.ZeroU))
	}
	c.Mean = withZero(sub(bm, jm), zero)
	c.Radial = units.Measured[units.Length]{Value: div(c.Mean.Value, 2), U: div(c.Mean.U, 2), Stated: c.Mean.Stated}
	c.PerDiameter = float64(c.Mean.Value) / float64(jm.Value)
	if c.PerDiameter > 0.1 || c.PerDiameter < -0.1 {
		return OilClearance{}, fail("Bore", text(bm.Value)+" on "+text(jm.Value), units.ErrConflict, "bore and journal differ by over a tenth of the diameter: a misread inch or a mixed unit")
	}
	c.pair(crown, b.Journal)
	c.Smallest.Clearance = withZero(c.Smallest.Clearance, zero)
	c.Largest.Clearance = withZero(c.Largest.Clearance, zero)
	return c, nil
}

func (b Bearing) check() error {
	for _, p := range []struct {
		name string
		r    Round
	}{{"Bore", b.Bore}, {"Journal", b.Journal}} {
		if err := p.r.check(p.name); err != nil {
			return err
		}
		if err := checkDirections(p.name, p.r); err != nil {
			return err
		}
	}
	return nil
}

func withZero(m units.Measured[units.Length], zero float64) units.Measured[units.Length] {
	return result(m.Value, m.Stated, math.Hypot(float64(m.U), zero))
}

func sameStations(a, b Round) bool {
	if len(a.Stations) != len(b.Stations) {
		return false
	}
	for i := range a.Stations {
		if a.Stations[i].At != b.Stations[i].At {
			return false
		}
	}
	return true
}

func (c *OilClearance) pair(bore, journal Round) {
	c.SameStation = sameStations(bore, journal)
	bs, js := bore.shape().Stations, journal.shape().Stations
	first := true
	for i, bst := range bs {
		for j, jst := range js {
			if c.SameStation && i != j {
				continue
			}
			lo := Pairing{BoreAt: bst.At, JournalAt: jst.At, Bore: bst.Min, Journal: jst.Max, Clearance: sub(bst.Min.Reading, jst.Max.Reading)}
			hi := Pairing{BoreAt: bst.At, JournalAt: jst.At, Bore: bst.Max, Journal: jst.Min, Clearance: sub(bst.Max.Reading, jst.Min.Reading)}
			if first || lo.Clearance.Value < c.Smallest.Clearance.Value {
				c.Smallest = lo
			}
			if first || hi.Clearance.Value > c.Largest.Clearance.Value {
				c.Largest = hi
			}
			first = false
		}
	}
}

// Working returns the derivation.
func (c OilClearance) Working() units.Working {
	w := units.Working{
		{Symbol: "bore", Formula: "mean of all its readings", Value: measuredText(c.Bore.Mean), Source: asRead},
		{Symbol: "journal", Formula: "mean of all its readings", Value: measuredText(c.Journal.Mean), Source: asRead},
		{Symbol: "clearance", Formula: "mean bore (at the crown if split) - mean journal", Numbers: num(c.Mean.Value+c.Journal.Mean.Value) + " - " + num(c.Journal.Mean.Value), Value: measuredText(c.Mean), Source: definition},
	}
	step := func(symbol, formula string, p Pairing) units.Step {
		return units.Step{Symbol: symbol, Formula: formula, Numbers: num(p.Bore.Reading.Value) + " - " + num(p.Journal.Reading.Value), Value: measuredText(p.Clearance), Source: definition}
	}
	return append(w,
		step("smallest", "smallest bore - largest journal", c.Smallest),
		step("largest", "largest bore - smallest journal", c.Largest),
		units.Step{Symbol: "radial", Formula: "clearance/2", Numbers: num(c.Mean.Value) + "/2", Value: measuredText(c.Radial), Source: definition})
}

// BearingVerdict is the check of a bearing's smallest and largest clearance.
type BearingVerdict struct {
	// Outcome is within only if both are, outside if either is.
	Outcome           units.Outcome
	Smallest, Largest units.Verdict[units.Length]
}

// Judge compares the smallest and the largest clearance with the limits of
// the caller; see units.Judge for the rules and errors. An OilClearance that no
// Bearing made is ErrMissing.
//
// Source: ISO 14253-1:2017 and JCGM 106:2012 clause 8, through units.Judge.
//
// Rows: oil-judge-within, oil-judge-outside.
func (c OilClearance) Judge(l units.Limits[units.Length], rule units.DecisionRule) (BearingVerdict, error) {
	if c.Bore.Mean.Value == 0 {
		return BearingVerdict{}, fail("OilClearance", "", units.ErrMissing, "want the result of Bearing.OilClearance")
	}
	lo, err := units.Judge(c.Smallest.Clearance, l, rule)
	if err != nil {
		return BearingVerdict{}, err
	}
	hi, err := units.Judge(c.Largest.Clearance, l, rule)
	if err != nil {
		return BearingVerdict{}, err
	}
	return BearingVerdict{Outcome: worse(lo.Outcome, hi.Outcome), Smallest: lo, Largest: hi}, nil
}
