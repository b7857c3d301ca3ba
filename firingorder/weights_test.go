package firingorder_test

import (
	"math"
	"math/rand/v2"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// The two masses have the rod's mass, center of gravity and, with the gyration
// returned, its moment of inertia about any point of it.
func TestRodSplitIsEquivalent(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2, 2))
	for range 500 {
		r := fo.RodWeight{Mass: kg(0.1 + rnd.Float64()), Length: units.Length(1e10 + rnd.Int64N(3e11))}
		r.CG = units.Unstated(units.Length(1 + rnd.Int64N(int64(r.Length)-1)))
		s, err := r.Split()
		if err != nil {
			t.Fatal(err)
		}
		m, l, a := float64(r.Mass.Value), r.Length.Meters(), r.CG.Value.Meters()
		rec, rot := float64(s.Reciprocating.Value), float64(s.Rotating.Value)
		if math.Abs(rec+rot-m) > 1e-14 || math.Abs(rec*l-m*a) > 1e-14 {
			t.Fatalf("%v and %v of %v at %v", rot, rec, m, a)
		}
		// About the big end, by the parallel axes.
		if k := s.Gyration.Meters(); math.Abs(rec*l*l-m*(k*k+a*a)) > 1e-11*m*l {
			t.Fatalf("inertia %v, want %v", rec*l*l, m*(k*k+a*a))
		}
		if s.InertiaRatio.Given {
			t.Fatal("no gyration was given")
		}
		if s.Gyration == 0 {
			continue
		}
		r.Gyration = units.Some(s.Gyration)
		if s, err = r.Split(); err != nil || math.Abs(s.InertiaRatio.Value-1) > 1e-6 || len(s.Working()) != 4 {
			t.Fatalf("%v, %v", s.InertiaRatio, err)
		}
		e, err := fo.RodEnds{Small: s.Reciprocating, Big: s.Rotating, Length: r.Length}.Weight()
		if err != nil || (e.CG.Value-r.CG.Value).Abs() > 1 || math.Abs(float64(e.Mass.Value-r.Mass.Value)) > 1e-14 {
			t.Fatalf("%v from %v, %v", e, r, err)
		}
	}
}

// Uncertainties by drawing weighings.
func TestWeighingUncertaintyByDrawing(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	e := fo.RodEnds{Small: units.WithU(units.Grams(177.6), units.Grams(0.9)), Big: units.WithU(units.Grams(472.4), units.Grams(1.4)), Length: 150 * units.Millimeter}
	w, err := e.Weight()
	if err != nil {
		t.Fatal(err)
	}
	s, err := fo.RodWeight{Mass: units.WithU(units.Grams(650), units.Grams(1.2)), CG: units.WithU(41*units.Millimeter, 300*units.Micrometer), Length: 150 * units.Millimeter}.Split()
	if err != nil {
		t.Fatal(err)
	}
	const n = 20000
	var a, rec, rot [2]float64
	add := func(x *[2]float64, v float64) { x[0] += v / n; x[1] += v * v / n }
	for range n {
		small, big := 177.6+0.9*rnd.NormFloat64(), 472.4+1.4*rnd.NormFloat64()
		add(&a, 150*small/(small+big)-41)
		m, cg := 650+1.2*rnd.NormFloat64(), 41+0.3*rnd.NormFloat64()
		add(&rec, m*cg/150-177)
		add(&rot, m*(150-cg)/150-472)
	}
	sigma := func(x [2]float64) float64 { return math.Sqrt(x[1] - x[0]*x[0]) }
	for _, c := range [][2]float64{{w.CG.U.Millimeters(), sigma(a)}, {s.Reciprocating.U.Grams(), sigma(rec)}, {s.Rotating.U.Grams(), sigma(rot)}} {
		if math.Abs(c[0]/c[1]-1) > 0.03 {
			t.Errorf("u %v, drawn %v", c[0], c[1])
		}
	}
}

func TestRodRefuses(t *testing.T) {
	good := fo.RodWeight{Mass: kg(0.65), Length: 150 * units.Millimeter, CG: units.Unstated(41 * units.Millimeter)}
	for _, c := range []struct {
		change func(*fo.RodWeight)
		field  string
		kind   error
	}{
		{func(r *fo.RodWeight) { *r = fo.RodWeight{} }, "Mass", units.ErrMissing},
		{func(r *fo.RodWeight) { r.Mass = kg(math.Inf(1)) }, "Mass", units.ErrRange},
		{func(r *fo.RodWeight) { r.Mass.U = 1 }, "Mass.U", units.ErrConflict},
		{func(r *fo.RodWeight) { r.Mass = units.WithU(units.Mass(1), units.Mass(math.NaN())) }, "Mass.U", units.ErrRange},
		{func(r *fo.RodWeight) { r.Length = 0 }, "Length", units.ErrMissing},
		{func(r *fo.RodWeight) { r.Length = -1 }, "Length", units.ErrRange},
		{func(r *fo.RodWeight) { r.Length = units.MaxLength }, "Length", units.ErrRange},
		{func(r *fo.RodWeight) { r.CG.Value = 0 }, "CG", units.ErrRange},
		{func(r *fo.RodWeight) { r.CG.Value = r.Length }, "CG", units.ErrRange},
		{func(r *fo.RodWeight) { r.CG.U = 1 }, "CG.U", units.ErrConflict},
		{func(r *fo.RodWeight) { r.CG = units.WithU(r.CG.Value, -1) }, "CG.U", units.ErrRange},
		{func(r *fo.RodWeight) { r.Gyration = units.Some(units.Length(0)) }, "Gyration", units.ErrRange},
		{func(r *fo.RodWeight) { r.Gyration = units.Some(units.MaxLength) }, "Gyration", units.ErrRange},
	} {
		bad := good
		c.change(&bad)
		s, err := bad.Split()
		refused(t, c.field, s.Rotating.Value != 0, err, c.field, c.kind)
	}
	ends := fo.RodEnds{Small: kg(0.2), Big: kg(0.4), Length: 150 * units.Millimeter}
	for _, c := range []struct {
		change func(*fo.RodEnds)
		field  string
		kind   error
	}{
		{func(r *fo.RodEnds) { r.Small = kg(0) }, "Small", units.ErrMissing},
		{func(r *fo.RodEnds) { r.Big = kg(math.NaN()) }, "Big", units.ErrRange},
		{func(r *fo.RodEnds) { r.Big, r.Small = kg(math.MaxFloat64), kg(math.MaxFloat64) }, "Big", units.ErrRange},
		{func(r *fo.RodEnds) { r.Length = 0 }, "Length", units.ErrMissing},
		{func(r *fo.RodEnds) { r.Length = -1 }, "Length", units.ErrRange},
		{func(r *fo.RodEnds) { r.Big.U = 1 }, "Big.U", units.ErrConflict},
		{func(r *fo.RodEnds) {
			r.Small, r.Big = units.WithU(units.Mass(1e-9), units.Mass(1e300)), units.WithU(units.Mass(1), 0)
		}, "Small.U", units.ErrRange},
	} {
		bad := ends
		c.change(&bad)
		w, err := bad.Weight()
		refused(t, c.field, w.Mass.Value != 0, err, c.field, c.kind)
	}
	if (fo.RodSplit{}).Working() != nil {
		t.Error("the zero split has a working")
	}
}

func TestWeightSet(t *testing.T) {
	s := fo.WeightSet{Masses: []units.Measured[units.Mass]{kg(0.7), kg(0.75), kg(0.65), kg(0.75), kg(0.65)}}
	w, err := s.Check()
	if err != nil || w.Lightest != 3 || w.Heaviest != 2 || math.Abs(w.Spread.Value.Grams()-100) > 1e-9 || w.Spread.Stated ||
		math.Abs(w.Mean.Grams()-700) > 1e-9 || w.Remove[2] != 0 || w.Remove[1] != w.Spread.Value || w.Verdict.Given || len(w.Working()) != 3 {
		t.Errorf("%+v, %v", w, err)
	}
	limit := units.AtMost(units.Grams(2), units.Source{Text: "the builder", Provenance: units.Stated})
	s.Spread = units.Some(limit)
	if w, err = s.Check(); err != nil || w.Verdict.Value.Outcome != units.NotProved {
		t.Errorf("%v, %v", w.Verdict, err)
	}
	s.Rule = units.SimpleAcceptance
	if w, err = s.Check(); err != nil || w.Verdict.Value.Outcome != units.ProvedOutside {
		t.Errorf("%v, %v", w.Verdict, err)
	}
	if (fo.WeightSpread{}).Working() != nil || (fo.WeightSpread{Lightest: 9, Heaviest: -1}).Working() != nil {
		t.Error("the zero spread has a working")
	}
	s.Spread = units.Some(units.Limits[units.Mass]{})
	if w, err = s.Check(); err == nil || w.Lightest != 0 {
		t.Errorf("%v, %v", w, err)
	}
	for _, c := range []struct {
		masses []units.Measured[units.Mass]
		field  string
		kind   error
	}{
		{nil, "Masses", units.ErrMissing},
		{s.Masses[:1], "Masses", units.ErrMissing},
		{make([]units.Measured[units.Mass], 65), "Masses", units.ErrRange},
		{[]units.Measured[units.Mass]{kg(1), kg(0)}, "Masses[1]", units.ErrMissing},
		{[]units.Measured[units.Mass]{kg(1), kg(math.NaN())}, "Masses[1]", units.ErrRange},
		{[]units.Measured[units.Mass]{{Value: 1, U: 1}, kg(1)}, "Masses[0].U", units.ErrConflict},
	} {
		w, err := fo.WeightSet{Masses: c.masses}.Check()
		refused(t, c.field, w.Lightest != 0, err, c.field, c.kind)
	}
}
