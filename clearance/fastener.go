package clearance

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

var elasticity = units.Source{Text: "Hooke's law, bars in series", Provenance: units.Computed}

const (
	maxForce    = 1e9  // N
	maxModulus  = 1e13 // Pa
	maxArea     = 1e2  // m2
	maxSegments = 100
)

// Segment is a length of a bolt with one cross-section: a shank, a waist, or
// the free thread with its stress area.
type Segment struct {
	Length units.Length
	Area   units.Area
}

// Bolt is what stretches between the bearing faces of head and nut, or of the
// head and the first threads that carry: segments in series.
type Bolt struct {
	Segments []Segment
	// Young is the modulus of elasticity of the bolt.
	Young units.Measured[units.Pressure]
}

// BoltStretch is a bolt under a load. The uncertainties are stated where
// those of the modulus and of what was measured are.
type BoltStretch struct {
	Load      units.Measured[units.Force]
	Stretch   units.Measured[units.Length]
	Stiffness units.Measured[units.Stiffness]
	// Length is that of all segments.
	Length units.Length
	// Stress is that of the thinnest segment.
	Stress units.Pressure

	smallest  units.Area
	segments  int
	byStretch bool // the stretch was given, else the load
}

// check returns the length, the thinnest area and the sum of L/A in 1/m.
func (b Bolt) check() (length units.Length, thinnest units.Area, flexibility float64, err error) {
	if len(b.Segments) == 0 {
		return 0, 0, 0, fail("Segments", "", units.ErrMissing, "want at least one segment")
	}
	if len(b.Segments) > maxSegments {
		return 0, 0, 0, fail("Segments", strconv.Itoa(len(b.Segments)), units.ErrRange, "want at most 100 segments")
	}
	for i, s := range b.Segments {
		switch {
		case s.Length <= 0 || s.Length > maxSize:
			if err := checkSize(at("Segments", i)+".Length", s.Length); err != nil {
				return 0, 0, 0, err
			}
		case s.Area == 0:
			return 0, 0, 0, fail(at("Segments", i)+".Area", "", units.ErrMissing, "want a cross-section")
		case !(s.Area > 0 && float64(s.Area) <= maxArea):
			return 0, 0, 0, fail(at("Segments", i)+".Area", s.Area.String(), units.ErrRange, "want an area over 0 and up to 100 m2")
		}
		length += s.Length
		flexibility += s.Length.Meters() / float64(s.Area)
		if i == 0 || s.Area < thinnest {
			thinnest = s.Area
		}
	}
	e := b.Young
	switch {
	case e.Value == 0:
		return 0, 0, 0, fail("Young", "", units.ErrMissing, "want the modulus of elasticity")
	case !(e.Value > 0 && float64(e.Value) <= maxModulus):
		return 0, 0, 0, fail("Young", e.Value.String(), units.ErrRange, "want a modulus over 0 and up to 10 TPa")
	case !(e.U >= 0 && e.U <= e.Value):
		return 0, 0, 0, fail("Young.U", e.U.String(), units.ErrRange, "want a standard uncertainty of 0 to the modulus")
	case !e.Stated && e.U != 0:
		return 0, 0, 0, fail("Young.U", e.U.String(), units.ErrConflict, "an uncertainty is given but not marked as stated")
	}
	return length, thinnest, flexibility, nil
}

// start returns a BoltStretch with everything but load and stretch.
func (b Bolt) start() (BoltStretch, error) {
	length, thinnest, flexibility, err := b.check()
	if err != nil {
		return BoltStretch{}, err
	}
	k := units.Stiffness(float64(b.Young.Value) / flexibility)
	s := BoltStretch{Stiffness: units.Unstated(k), Length: length, smallest: thinnest, segments: len(b.Segments)}
	if b.Young.Stated {
		s.Stiffness = units.WithU(k, units.Stiffness(float64(b.Young.U)/flexibility))
	}
	return s, nil
}

// UnderLoad answers how far a bolt stretches under a load:
//
//	stretch = (F/E) sum(L/A)     k = E / sum(L/A)     u^2 = (u_F/k)^2 + (stretch u_E/E)^2
//
// with L and A = Length and Area of each of the Segments, E = Young. The head
// and the threads that carry give a little too, which is not in it: count half
// the engaged thread in where the reading is to be near.
//
// Valid below the yield point. Errors: no segments, lengths, areas, modulus or
// load that are missing, negative, not finite or out of range. It does not
// allocate.
//
// Source: elasticity; Wentzell, Machine Design, ch. 6.
//
// Rows: wen-6-2-dl, stretch-2part, bolt-stretch-u, bolt-stiffness.
func (b Bolt) UnderLoad(load units.Measured[units.Force]) (BoltStretch, error) {
	s, err := b.start()
	if err != nil {
		return BoltStretch{}, err
	}
	if err := checkLoad("Load", load); err != nil {
		return BoltStretch{}, err
	}
	f, k := float64(load.Value), float64(s.Stiffness.Value)
	x := f / k
	if x > float64(s.Length.Meters())/10 {
		return BoltStretch{}, fail("Load", load.Value.String(), units.ErrRange, "the bolt would stretch by over a tenth of its length")
	}
	s.Load = load
	s.Stretch = result(meters(x), load.Stated && b.Young.Stated, meterCount(math.Hypot(float64(load.U)/k, x*float64(b.Young.U/b.Young.Value))))
	s.Stress = units.Pressure(f / float64(s.smallest))
	return s, nil
}

// AtStretch answers which load a stretch stands for: F = k stretch, the inverse
// of UnderLoad, with u^2 = (k u_stretch)^2 + (F u_E/E)^2. The stretch is over
// 0 and up to a tenth of the length. It does not allocate.
//
// Source: elasticity.
//
// Rows: bolt-load, bolt-load-u.
func (b Bolt) AtStretch(stretch units.Measured[units.Length]) (BoltStretch, error) {
	s, err := b.start()
	if err != nil {
		return BoltStretch{}, err
	}
	if err := checkPositive("Stretch", stretch); err != nil {
		return BoltStretch{}, err
	}
	if stretch.Value > s.Length/10 {
		return BoltStretch{}, fail("Stretch", stretch.Value.String(), units.ErrRange, "want at most a tenth of the length, "+s.Length.String())
	}
	k := float64(s.Stiffness.Value)
	f := k * stretch.Value.Meters()
	s.Stretch, s.byStretch = stretch, true
	s.Load = units.Unstated(units.Newtons(f))
	if stretch.Stated && b.Young.Stated {
		s.Load = units.WithU(units.Newtons(f), units.Newtons(math.Hypot(k*stretch.U.Meters(), f*float64(b.Young.U/b.Young.Value))))
	}
	s.Stress = units.Pressure(f / float64(s.smallest))
	return s, nil
}

// StretchReadings are two readings of a bolt's length with one micrometer,
// whose zero error cancels.
type StretchReadings struct {
	Free, Tightened units.Measured[units.Length]
	Bolt            Bolt
}

// Preload answers what two readings of the length say:
//
//	stretch = Tightened - Free     F = k stretch, as Bolt.AtStretch
//
// Compare Stretch or Load with the target by units.Judge. Errors: readings that
// are missing, negative or the wrong way round (ErrConflict), and those of
// AtStretch.
//
// Source: definition; elasticity.
//
// Rows: bolt-preload, bolt-preload-u.
func (r StretchReadings) Preload() (BoltStretch, error) {
	if err := checkPositive("Free", r.Free); err != nil {
		return BoltStretch{}, err
	}
	if err := checkPositive("Tightened", r.Tightened); err != nil {
		return BoltStretch{}, err
	}
	if r.Tightened.Value <= r.Free.Value {
		return BoltStretch{}, fail("Tightened", r.Tightened.Value.String(), units.ErrConflict, "want a longer bolt than the free one, "+r.Free.Value.String())
	}
	return r.Bolt.AtStretch(sub(r.Tightened, r.Free))
}

// Rise answers by how much a free bolt must be warmed to grow as long as it is
// stretched: rise = Stretch / (expansion Length). It is what a heated stud
// needs before its nut is run down. The joint's own compression is not in it.
//
// Errors: a BoltStretch that no method made (ErrMissing), an expansion that is
// not over 0 and up to 0.001 per kelvin, or so small that no heat will do.
//
// Source: Wentzell, Machine Design, ch. 6, Ex. 6.3.
//
// Rows: wen-6-3-dT.
func (s BoltStretch) Rise(expansion units.Expansion) (units.TemperatureDifference, error) {
	if s.Length <= 0 {
		return 0, fail("Length", "", units.ErrMissing, "want the result of a Bolt")
	}
	if !(expansion > 0 && expansion <= 1e-3) {
		return 0, fail("Expansion", expansion.String(), units.ErrRange, "want a coefficient over 0 and up to 0.001 per kelvin")
	}
	rise := float64(s.Stretch.Value) / (float64(s.Length) * float64(expansion))
	if !(rise <= 1e6) {
		return 0, fail("Expansion", expansion.String(), units.ErrRange, "the rise is over a million kelvins")
	}
	return units.KelvinsDifference(rise), nil
}

// Working returns the derivation, from load to stretch or from stretch to load
// as it was asked; nil for the zero BoltStretch.
func (s BoltStretch) Working() units.Working {
	if s.Length <= 0 {
		return nil
	}
	given := units.Step{Symbol: "F", Formula: "load", Value: s.Load.String(), Source: asGiven}
	used := units.Step{Symbol: "stretch", Formula: "F/k", Numbers: s.Load.Value.String() + " / " + s.Stiffness.Value.String(), Value: measuredText(s.Stretch), Source: elasticity}
	if s.byStretch {
		given = units.Step{Symbol: "stretch", Formula: "stretch", Value: measuredText(s.Stretch), Source: asGiven}
		used = units.Step{Symbol: "F", Formula: "k stretch", Numbers: s.Stiffness.Value.String() + " * " + num(s.Stretch.Value), Value: s.Load.String(), Source: elasticity}
	}
	return units.Working{
		{Symbol: "k", Formula: "E / sum(L/A)", Numbers: strconv.Itoa(s.segments) + " segments, " + num(s.Length), Value: s.Stiffness.String(), Source: elasticity},
		given,
		used,
		{Symbol: "stress", Formula: "F / thinnest area", Numbers: s.Load.Value.String() + " / " + s.smallest.String(), Value: s.Stress.String(), Source: elasticity},
	}
}

// meterCount returns x meters as a count that is not rounded, meters rounded.
func meterCount(x float64) float64 { return x * float64(units.Meter) }

func meters(x float64) units.Length { return round(meterCount(x)) }

func checkLoad(field string, m units.Measured[units.Force]) error {
	switch {
	case m.Value == 0:
		return fail(field, "", units.ErrMissing, "want a force over 0")
	case !(m.Value > 0 && float64(m.Value) <= maxForce):
		return fail(field, m.Value.String(), units.ErrRange, "want a force over 0 and up to 1 GN")
	case !(m.U >= 0 && float64(m.U) <= maxForce):
		return fail(field+".U", m.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 1 GN")
	case !m.Stated && m.U != 0:
		return fail(field+".U", m.U.String(), units.ErrConflict, "an uncertainty is given but not marked as stated")
	}
	return nil
}
