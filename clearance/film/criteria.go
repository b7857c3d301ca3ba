package film

import (
	"math"

	"example.com/trialfit/units"
)

func checkDiameter(d units.Length) error {
	if d == 0 {
		return fail("Diameter", "", units.ErrMissing, "want a length over 0")
	}
	if d < 0 || d > 100*units.Meter {
		return fail("Diameter", d.String(), units.ErrRange, "want over 0 to 100 m")
	}
	return nil
}

func trumplerSource() units.Source {
	return units.Source{Text: "Trumpler's design criteria, Shigley, Mechanical Engineering Design, 12-14", Provenance: units.Verified}
}

// TrumplerFilm answers which smallest film Trumpler's criterion asks of a ground
// journal: h0 >= 0.0002 in + 0.00004 d. Errors: a diameter not over 0.
//
// Source: Trumpler's design criteria, Shigley, Mechanical Engineering Design,
// 12-14.
//
// Rows: trumpler-h0-in, sh8-21-trumpler-d4, sh8-21-trumpler-d2.
func TrumplerFilm(diameter units.Length) (units.Limits[units.Length], error) {
	return trumpler(diameter, 2*units.Thou/10)
}

// TrumplerFilmMetric answers the same in the rounded metric form of the source:
// h0 >= 0.005 mm + 0.00004 d. Errors: a diameter not over 0.
//
// Source: as TrumplerFilm.
//
// Rows: trumpler-h0-mm, trumpler-60mm.
func TrumplerFilmMetric(diameter units.Length) (units.Limits[units.Length], error) {
	return trumpler(diameter, 5*units.Micrometer)
}

func trumpler(d, base units.Length) (units.Limits[units.Length], error) {
	if err := checkDiameter(d); err != nil {
		return units.Limits[units.Length]{}, err
	}
	return units.AtLeast(base+units.Length(math.RoundToEven(float64(d)*0.00004)), trumplerSource()), nil
}

// DesignLimits are Trumpler's criteria beside the film.
type DesignLimits struct {
	Temperature  units.Limits[units.Temperature] // of the oil
	StartingLoad units.Limits[units.Pressure]    // unit load as the journal starts to turn, not the running load
	DesignFactor float64                         // least, on the running load
}

// TrumplerLimits answers Trumpler's criteria beside the film: oil at most 121
// degC, a starting unit load of at most 2.07 MPa, a design factor of at least 2
// on the running load.
//
// Source: as TrumplerFilm.
//
// Rows: trumpler-T, trumpler-P, trumpler-n.
func TrumplerLimits() DesignLimits {
	return DesignLimits{
		Temperature:  units.AtMost(units.Celsius(121), trumplerSource()),
		StartingLoad: units.AtMost(units.Megapascals(2.07), trumplerSource()),
		DesignFactor: 2,
	}
}

// PeakRoughness is the predominant peak roughness of the two surfaces, along
// the sense of rotation, after running in.
type PeakRoughness struct{ Journal, Bearing units.Length }

// Film answers under which film boundary contact begins: h0 >= R1 + R2. Errors:
// a roughness that is negative or over 1 mm, none at all.
//
// Source: Predominant Peak Surface Roughness, a Criterion for Minimum
// Hydrodynamic Oil-Film Thickness of Short Journal Bearings, Trans. ASME 79
// (1957) 1235.
//
// Rows: peak-rough-sum.
func (p PeakRoughness) Film() (units.Limits[units.Length], error) {
	if err := checkRoughness("Journal", p.Journal); err != nil {
		return units.Limits[units.Length]{}, err
	}
	if err := checkRoughness("Bearing", p.Bearing); err != nil {
		return units.Limits[units.Length]{}, err
	}
	if p.Journal+p.Bearing == 0 {
		return units.Limits[units.Length]{}, fail("Journal", "", units.ErrMissing, "want the roughness of one surface at least")
	}
	return units.AtLeast(p.Journal+p.Bearing, units.Source{Text: "Predominant Peak Surface Roughness, Trans. ASME 79 (1957) 1235", Provenance: units.Verified}), nil
}

func checkRoughness(field string, r units.Length) error {
	if r < 0 || r > units.Millimeter {
		return fail(field, r.String(), units.ErrRange, "want 0 to 1 mm")
	}
	return nil
}

// Finish is a film between two surfaces of known root-mean-square roughness.
type Finish struct {
	Film             units.Length
	Journal, Bearing units.Length // Rq
}

// FullFilm is the specific film from which the surfaces are taken to be parted;
// 1 to 3 is mixed lubrication.
const FullFilm = 3

// SpecificFilm answers how thick a film is against the roughness:
//
//	lambda = h0/sqrt(Rq1^2 + Rq2^2)
//
// a full film from 3 on (FullFilm). Errors: a negative film, roughness as
// PeakRoughness.Film refuses it.
//
// Source: Hamrock, Fundamentals of Fluid Film Lubrication.
//
// Rows: lambda-345.
func (f Finish) SpecificFilm() (float64, error) {
	if f.Film < 0 {
		return 0, fail("Film", f.Film.String(), units.ErrRange, "want a film that is not negative")
	}
	if err := checkRoughness("Journal", f.Journal); err != nil {
		return 0, err
	}
	if err := checkRoughness("Bearing", f.Bearing); err != nil {
		return 0, err
	}
	if f.Journal+f.Bearing == 0 {
		return 0, fail("Journal", "", units.ErrMissing, "want the roughness of one surface at least")
	}
	return float64(f.Film) / math.Hypot(float64(f.Journal), float64(f.Bearing)), nil
}

// Sliding is a journal of a size with its surface at a speed.
type Sliding struct {
	Diameter units.Length
	Speed    units.Speed
}

func (s Sliding) check() error {
	if err := checkDiameter(s.Diameter); err != nil {
		return err
	}
	return over("Speed", s.Speed)
}

// StandardFilm answers which smallest film ISO 7902-3 advises, by diameter and
// sliding speed (up to 1, 3, 10, 30 m/s and over):
//
//	d 24 to 63 mm:     3, 4, 5, 7, 10 um
//	over 63 to 160:    4, 5, 7, 9, 12 um
//	over 160 to 400:   6, 7, 9, 11, 14 um
//
// The table was recalled, not read: its source says so. Errors: a diameter
// outside 24 to 400 mm, a speed not over 0.
//
// Source: ISO 7902-3, table 1 (recalled).
func (s Sliding) StandardFilm() (units.Limits[units.Length], error) {
	if err := s.check(); err != nil {
		return units.Limits[units.Length]{}, err
	}
	var um [5]units.Length
	switch d := s.Diameter; {
	case d < 24*units.Millimeter || d > 400*units.Millimeter:
		return units.Limits[units.Length]{}, fail("Diameter", d.String(), units.ErrRange, "want 24 to 400 mm, the range of the table")
	case d <= 63*units.Millimeter:
		um = [5]units.Length{3, 4, 5, 7, 10}
	case d <= 160*units.Millimeter:
		um = [5]units.Length{4, 5, 7, 9, 12}
	default:
		um = [5]units.Length{6, 7, 9, 11, 14}
	}
	k := 4
	switch u := s.Speed; {
	case u <= 1:
		k = 0
	case u <= 3:
		k = 1
	case u <= 10:
		k = 2
	case u <= 30:
		k = 3
	}
	return units.AtLeast(um[k]*units.Micrometer, units.Source{Text: "ISO 7902-3, table 1", Provenance: units.Memory}), nil
}

// RelativeClearance is a diametral clearance per diameter.
type RelativeClearance struct {
	Ratio     float64      // psi
	Clearance units.Length // diametral, psi d
	Source    units.Source
}

// IndustrialClearance answers which mean clearance general machine design
// gives an oil-lubricated bearing, in thousandths of the diameter:
//
//	sliding speed, m/s      to 3   to 10   to 25   to 50
//	d to 100 mm             1.32   1.6     1.9     2.24
//	over 100 to 250 mm      1.12   1.32    1.6     1.9
//	over 250 mm             1.12   1.12    1.32    1.6
//
// It is no rule for engines, whose bearings run tighter. The outer columns are
// recalled, as their source says. Errors: a speed not over 0 to 50 m/s, a
// diameter not over 0.
//
// Source: DIN 31652-3, table of recommended relative clearances.
//
// Rows: psi-80-8, psi-80-20, psi-200-8, psi-200-20, psi-300-8, psi-300-20.
func (s Sliding) IndustrialClearance() (RelativeClearance, error) {
	if err := s.check(); err != nil {
		return RelativeClearance{}, err
	}
	row := [4]float64{1.12, 1.12, 1.32, 1.6}
	switch {
	case s.Diameter <= 100*units.Millimeter:
		row = [4]float64{1.32, 1.6, 1.9, 2.24}
	case s.Diameter <= 250*units.Millimeter:
		row = [4]float64{1.12, 1.32, 1.6, 1.9}
	}
	src := units.Source{Text: "DIN 31652-3, recommended relative clearances", Provenance: units.VerifiedSecondary}
	k := 0
	switch u := s.Speed; {
	case u <= 3:
		src.Provenance = units.Memory
	case u <= 10:
		k = 1
	case u <= 25:
		k = 2
	case u <= 50:
		k, src.Provenance = 3, units.Memory
	default:
		return RelativeClearance{}, fail("Speed", show(float64(u))+" m/s", units.ErrRange, "want at most 50 m/s, the range of the table")
	}
	psi := row[k] / 1000
	return RelativeClearance{Ratio: psi, Clearance: units.Length(math.RoundToEven(psi * float64(s.Diameter))), Source: src}, nil
}

// StandardClearances answers between which mean clearances the standard system
// of fits for plain bearings works: 0.56 to 3.15 thousandths of the diameter.
// Errors: a diameter not over 0.
//
// Source: ISO 12129-1, scope.
//
// Rows: iso12129.
func StandardClearances(diameter units.Length) (units.Limits[units.Length], error) {
	if err := checkDiameter(diameter); err != nil {
		return units.Limits[units.Length]{}, err
	}
	part := func(x float64) units.Length { return units.Length(math.RoundToEven(x * float64(diameter))) }
	return units.Between(part(0.56e-3), part(3.15e-3), units.Source{Text: "ISO 12129-1, scope", Provenance: units.Verified}), nil
}

// Lubrication is what the lubrication parameter is made of.
type Lubrication struct {
	Viscosity units.DynamicViscosity
	Speed     units.AngularSpeed
	UnitLoad  units.Pressure
}

// StableParameter is the lubrication parameter mu N/P from which the film is
// stable: 30 cP rpm/psi, without dimension (McKee, Shigley fig. 12-4).
const StableParameter = 7.2519e-8

// Parameter answers the lubrication parameter mu N/P, with N in revolutions per
// second; over StableParameter a warmer, thinner oil rubs less and the film
// finds its own balance, under it rubbing feeds itself. Errors: a value missing
// or not over 0.
//
// Source: McKee and McKee, Journal Bearing Friction in the Region of Thin Film
// Lubrication, SAE J. 31 (1932), Shigley fig. 12-4.
//
// Rows: mckee.
func (l Lubrication) Parameter() (float64, error) {
	if err := over("Viscosity", l.Viscosity); err != nil {
		return 0, err
	}
	if err := over("Speed", l.Speed); err != nil {
		return 0, err
	}
	if err := over("UnitLoad", l.UnitLoad); err != nil {
		return 0, err
	}
	x := float64(l.Viscosity) * l.Speed.RevolutionsPerSecond() / float64(l.UnitLoad)
	if !finite(x) {
		return 0, fail("Lubrication", "", units.ErrRange, "the parameter passes the range of numbers")
	}
	return x, nil
}
