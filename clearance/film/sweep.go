package film

import (
	"errors"
	"math"

	"example.com/trialfit/units"
)

// CheckedFilm is a film judged against a criterion.
type CheckedFilm struct {
	units.Verdict[units.Length]
	Caution units.Caution // a film for a steady load proves nothing for a pulsating one
}

// Check compares the smallest film with a criterion under a decision rule; see
// units.Judge. The verdict is on the steady film alone. Errors: those of
// units.Judge, a Film that no Bearing made (ErrMissing).
//
// Source: as units.Judge.
//
// Rows: check-trumpler.
func (f Film) Check(l units.Limits[units.Length], rule units.DecisionRule) (CheckedFilm, error) {
	if f.Bearing.Diameter == 0 {
		return CheckedFilm{}, fail("Film", "", units.ErrMissing, "want the result of Bearing.Film")
	}
	v, err := units.Judge(f.Minimum, l, rule)
	if err != nil {
		return CheckedFilm{}, err
	}
	return CheckedFilm{Verdict: v, Caution: steady()}, nil
}

// ClearanceSearch asks which clearances leave a film.
type ClearanceSearch struct {
	Bearing   Bearing // its Clearance is not used
	Viscosity units.DynamicViscosity
	Least     units.Length // the film wanted
	// From and To bound the search, diametral; To at most a twentieth of the
	// diameter.
	From, To units.Length
}

// ClearanceRange are the diametral clearances whose film is thick enough.
type ClearanceRange struct {
	Low, High units.Length
	// LowIsFrom and HighIsTo say that the range may go on past the search.
	LowIsFrom, HighIsTo bool
	Best                units.Length // the clearance with the thickest film
	BestFilm            units.Length
	Caution             units.Caution

	search ClearanceSearch
}

// Range answers which clearances leave at least a film under a load, speed and
// viscosity: all C from Low to High with
//
//	h0(C) = (C/2) (1 - eps(C)) >= Least
//
// of Bearing.Film. h0 rises with a small clearance, where the journal runs
// centered, and falls with a wide one, so that the range is one piece around
// the thickest film; it is found by golden section and its ends by bisection to
// 1 nm, inward. A clearance whose film passes eccentricity 0.99 counts as too
// wide. A colder oil leaves a thicker film at every clearance: the hottest oil
// decides the film, the coldest the friction. The viscosity is held, though a tight
// bearing warms its oil: the low end is far too tight where the bearing heats
// itself, see WarmSearch. Errors: those of Bearing.Film, a
// film or bounds missing or swapped, ErrImpossible where no clearance leaves the
// film, naming the best.
//
// Source: the film as Position.Variables.
//
// Rows: range-low, range-high.
func (c ClearanceSearch) Range() (ClearanceRange, error) {
	if err := checkFrom(c.From); err != nil {
		return ClearanceRange{}, err
	}
	b := c.Bearing
	b.Clearance = units.Unstated(c.From)
	x, err := b.check(true)
	if err != nil {
		return ClearanceRange{}, err
	}
	if err := over("Viscosity", c.Viscosity); err != nil {
		return ClearanceRange{}, err
	}
	if c.Least <= 0 {
		return ClearanceRange{}, fail("Least", c.Least.String(), units.ErrRange, "want a film over 0")
	}
	if c.To <= c.From {
		return ClearanceRange{}, fail("To", c.To.String(), units.ErrConflict, "want it over From, "+c.From.String())
	}
	if c.To > b.Diameter/20 {
		return ClearanceRange{}, fail("To", c.To.String(), units.ErrRange, "want at most a twentieth of the diameter")
	}
	r := x.d / 2
	group := r * r * float64(c.Viscosity) * x.n * x.l * x.d / x.w
	if !finite(group) || group == 0 {
		return ClearanceRange{}, fail("Bearing", "", units.ErrRange, "the Sommerfeld number passes the range of numbers")
	}
	height := func(dia float64) float64 { // pm in, pm out; 0 past the table
		radial := dia / 2 / perMeter
		v, err := Loading{x.l / x.d, group / radial / radial}.Variables()
		if err != nil {
			return 0
		}
		return dia / 2 * v.FilmRatio
	}
	from, to, least := float64(c.From), float64(c.To), float64(c.Least)
	best := peak(height, from, to)
	out := ClearanceRange{Best: units.Length(math.RoundToEven(best)), BestFilm: units.Length(math.RoundToEven(height(best))), Caution: steady(), search: c}
	if !(height(best) >= least) {
		return ClearanceRange{}, fail("Least", c.Least.String(), units.ErrImpossible, "no clearance of the search leaves it: the best, "+out.Best.String()+", leaves "+out.BestFilm.String())
	}
	thick := func(dia float64) bool { return height(dia) >= least }
	out.Low, out.LowIsFrom = edge(thick, best, from)
	out.High, out.HighIsTo = edge(thick, best, to)
	return out, nil
}

func checkFrom(from units.Length) error {
	if from == 0 {
		return fail("From", "", units.ErrMissing, "want a clearance over 0")
	}
	if from < 0 {
		return fail("From", from.String(), units.ErrRange, "want a clearance over 0")
	}
	return nil
}

// edge returns how far from a good clearance toward an end all is good, to half
// a nanometer and inward, and whether the end is good itself.
func edge(ok func(float64) bool, good, end float64) (units.Length, bool) {
	if ok(end) {
		return units.Length(end), true
	}
	for math.Abs(good-end) > float64(units.Nanometer)/2 {
		if m := (good + end) / 2; ok(m) {
			good = m
		} else {
			end = m
		}
	}
	return units.Length(math.RoundToEven(good)), false
}

// Working returns the derivation; nil for the zero ClearanceRange.
func (r ClearanceRange) Working() units.Working {
	c := r.search
	if c.Viscosity == 0 {
		return nil
	}
	side := func(end bool) string {
		if end {
			return "the end of the search, where the film is thick enough yet"
		}
		return "where the film is " + c.Least.String()
	}
	return units.Working{
		{Symbol: "h0(C)", Formula: "(C/2) (1 - eps)", Numbers: "C from " + c.From.String() + " to " + c.To.String() + ", mu = " + c.Viscosity.String() + ", W = " + c.Bearing.Load.String(), Value: "eps by the table", Source: solved},
		{Symbol: "best", Formula: "the thickest film", Numbers: "C = " + r.Best.String(), Value: r.BestFilm.String(), Source: solved},
		{Symbol: "low", Formula: side(r.LowIsFrom), Value: r.Low.String(), Source: solved},
		{Symbol: "high", Formula: side(r.HighIsTo), Value: r.High.String(), Source: solved},
		{Symbol: "caution", Formula: r.Caution.Text, Source: r.Caution.Source},
	}
}

// peak finds the largest value of a function with one peak, by golden section
// in the logarithm; the ends count.
func peak(f func(float64) float64, from, to float64) float64 {
	const golden = 0.6180339887498949
	a, b := math.Log(from), math.Log(to)
	x1, x2 := b-golden*(b-a), a+golden*(b-a)
	f1, f2 := f(math.Exp(x1)), f(math.Exp(x2))
	for b-a > 1e-9 {
		if f1 >= f2 { // past the table both are 0: to the left
			b, x2, f2 = x2, x1, f1
			x1 = b - golden*(b-a)
			f1 = f(math.Exp(x1))
		} else {
			a, x1, f1 = x1, x2, f2
			x2 = a + golden*(b-a)
			f2 = f(math.Exp(x2))
		}
	}
	best := math.Exp((a + b) / 2)
	if f(from) > f(best) {
		best = from
	}
	if f(to) > f(best) {
		best = to
	}
	return best
}

// Sweep is a bearing over clearances, speeds, loads and viscosities.
type Sweep struct {
	// Bearing gives diameter and length; the uncertainty of its clearance
	// goes with each.
	Bearing     Bearing
	Clearances  []units.Length // diametral
	Speeds      []units.AngularSpeed
	Loads       []units.Force
	Viscosities []units.DynamicViscosity
	Least       units.Limits[units.Length] // the criterion on the film
	Rule        units.DecisionRule
}

// SweepPoint is one film of a sweep.
type SweepPoint struct {
	Bearing   Bearing
	Viscosity units.DynamicViscosity
	// OutsideTable says that the eccentricity would pass 0.99: a film too
	// thin for the table, whose figures are then missing. It is under a hundredth
	// of the radial clearance: the Verdict is outside where the criterion asks
	// for more than that, else not proved, and its Reason says so.
	OutsideTable bool
	Film         Film
	Verdict      CheckedFilm
}

const maxSweep = 1_000_000

// Points answers, for every clearance, speed, load and viscosity in this order,
// the last changing fastest, what film there is and how it stands against the
// criterion; see Bearing.Film and Film.Check. Errors: a list that is empty, over
// a million points, a value that Bearing.Film refuses but for a film past the
// table.
//
// Source: as Bearing.Film.
//
// Rows: sweep-h0.
func (s Sweep) Points() ([]SweepPoint, error) {
	n := 1
	for _, f := range []struct {
		name string
		n    int
	}{{"Clearances", len(s.Clearances)}, {"Speeds", len(s.Speeds)}, {"Loads", len(s.Loads)}, {"Viscosities", len(s.Viscosities)}} {
		if f.n == 0 {
			return nil, fail(f.name, "", units.ErrMissing, "want at least one")
		}
		if f.n > maxSweep/n {
			return nil, fail(f.name, "", units.ErrRange, "want at most a million points")
		}
		n *= f.n
	}
	out := make([]SweepPoint, 0, n)
	for _, c := range s.Clearances {
		for _, speed := range s.Speeds {
			for _, load := range s.Loads {
				for _, mu := range s.Viscosities {
					p, err := s.point(c, speed, load, mu)
					if err != nil {
						return nil, err
					}
					out = append(out, p)
				}
			}
		}
	}
	return out, nil
}

// beyond judges a film past the table, of which an upper bound is known alone:
// (C/2) (1 - 0.99), with twice the uncertainty of C on top.
func (s Sweep) beyond(c units.Length) (CheckedFilm, error) {
	most := units.Length(math.Ceil((float64(c)/2 + float64(s.Bearing.Clearance.U)) * (1 - MaxEccentricity)))
	v, err := units.Judge(units.Unstated(most), s.Least, units.SimpleAcceptance)
	if err != nil {
		return CheckedFilm{}, err
	}
	r := units.Verdict[units.Length]{Limits: s.Least, Rule: s.Rule, Reason: "the film is under " + most.String() + ", past the table"}
	if v.Outcome == units.ProvedOutside && s.Least.HasMin && most < s.Least.Min {
		r.Outcome = units.ProvedOutside
	}
	return CheckedFilm{Verdict: r, Caution: steady()}, nil
}

func (s Sweep) point(c units.Length, speed units.AngularSpeed, load units.Force, mu units.DynamicViscosity) (SweepPoint, error) {
	p := SweepPoint{Bearing: s.Bearing, Viscosity: mu}
	p.Bearing.Clearance.Value, p.Bearing.Speed, p.Bearing.Load = c, speed, load
	f, err := p.Bearing.Film(mu)
	if err != nil {
		var in *units.InputError
		if errors.As(err, &in) && in.Field == "Sommerfeld" {
			p.OutsideTable = true
			p.Verdict, err = s.beyond(c)
			return p, err
		}
		return SweepPoint{}, err
	}
	p.Film = f
	if p.Verdict, err = f.Check(s.Least, s.Rule); err != nil {
		return SweepPoint{}, err
	}
	return p, nil
}
