package material_test

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

var stated = units.Source{Text: "test", Provenance: units.Stated}

// one returns an expansion of a single mean from 20 degC.
func one(e6, u float64) material.Expansion {
	return material.Expansion{
		Base: units.Celsius(20), Lowest: units.Celsius(-200), Highest: units.Celsius(600), Source: stated,
		Coefficient: units.WithU(units.PerKelvin(e6*1e-6), units.PerKelvin(u*1e-6)),
	}
}

// table returns an expansion of means to temperatures in degC.
func table(base float64, points ...float64) material.Expansion {
	e := material.Expansion{Base: units.Celsius(base), Source: stated}
	for i := 0; i < len(points); i += 2 {
		e.Means = append(e.Means, material.MeanTo{To: units.Celsius(points[i]), Coefficient: units.WithU(units.PerKelvin(points[i+1]*1e-6), units.PerKelvin(0.3e-6))})
	}
	e.Lowest, e.Highest = min(e.Base, e.Means[0].To), max(e.Base, e.Means[len(e.Means)-1].To)
	return e
}

func at(c float64) units.Measured[units.Temperature] { return units.Unstated(units.Celsius(c)) }

func atU(c, u float64) units.Measured[units.Temperature] {
	return units.WithU(units.Celsius(c), units.Kelvins(u))
}

func mm(x float64) units.Length { return units.Length(math.RoundToEven(x * 1e9)) }

func must[T any](tb testing.TB) func(T, error) T {
	tb.Helper()
	return func(v T, err error) T {
		tb.Helper()
		if err != nil {
			tb.Fatal(err)
		}
		return v
	}
}

func near(tb testing.TB, what string, got, want, tol float64) {
	tb.Helper()
	if !(math.Abs(got-want) <= tol) {
		tb.Errorf("%s: got %.15g, want %.15g within %g", what, got, want, tol)
	}
}

var shapes = map[string]material.Expansion{
	"one":       one(23.6, 0.7),
	"rising":    table(20, 100, 20, 200, 21, 300, 22),
	"two-sided": table(20, -100, 10, 200, 11.7, 400, 13),
	"falling":   table(20, 100, 20, 200, 18, 300, 17.5),
	"below":     table(20, -200, 9, -100, 10, 0, 11),
	"one point": table(20, 400, 12.5),
}

// The local coefficient, integrated in small steps, gives the ratio:
// d(ln L)/dT = local coefficient. An independent way from mean to ratio.
func TestRatioIsTheIntegralOfTheLocalCoefficient(t *testing.T) {
	for name, e := range shapes {
		lo, hi := e.Lowest.Celsius()+1, e.Highest.Celsius()-1
		const n = 4000
		h := (hi - lo) / n
		sum := 0.0
		for i := range n { // midpoint rule; a kink of the table costs half a step
			m := units.Celsius(lo + (float64(i)+0.5)*h)
			sum += must[units.Expansion](t)(e.Mean(material.Change{From: m, To: m})).PerKelvin() * h
		}
		got := must[float64](t)(e.Ratio(material.Change{From: units.Celsius(lo), To: units.Celsius(hi)}))
		near(t, name, got, math.Exp(sum), 1e-7)
	}
}

// There and back is 1, a way in two legs is the product, and the mean gives the
// ratio back.
func TestRatioProperties(t *testing.T) {
	for name, e := range shapes {
		lo, hi := e.Lowest.Celsius(), e.Highest.Celsius()
		last := -math.MaxFloat64
		for k := range 41 {
			a, b := units.Celsius(lo+(hi-lo)*float64(k)/40), units.Celsius(hi-(hi-lo)*float64(k*k%41)/41)
			ab := must[float64](t)(e.Ratio(material.Change{From: a, To: b}))
			ba := must[float64](t)(e.Ratio(material.Change{From: b, To: a}))
			near(t, name+" there and back", ab*ba, 1, 1e-15)
			up := must[float64](t)(e.Ratio(material.Change{From: e.Lowest, To: a}))
			if up <= last {
				t.Errorf("%s: does not grow at %v", name, a)
			}
			last = up
			ub := must[float64](t)(e.Ratio(material.Change{From: e.Lowest, To: b}))
			near(t, name+" legs", up*ab, ub, 1e-15)
			mean := must[units.Expansion](t)(e.Mean(material.Change{From: a, To: b}))
			near(t, name+" mean", 1+mean.PerKelvin()*b.Sub(a).Kelvins(), ab, 1e-15)
			if same := must[float64](t)(e.Ratio(material.Change{From: a, To: a})); same != 1 {
				t.Errorf("%s: ratio %v without a change", name, same)
			}
		}
	}
}

// Growth against the sum written out, and the uncertainty against the scatter
// of one-at-a-time shifts.
func TestPartAndItsUncertainty(t *testing.T) {
	for name, e := range shapes {
		lo, hi := e.Lowest.Celsius(), e.Highest.Celsius()
		cold, hot := lo+0.2*(hi-lo), lo+0.85*(hi-lo)
		p := material.Part{Size: units.WithU(mm(84.012), mm(0.002)), Cold: atU(cold, 0.4), Expansion: e}
		grown := must[units.Measured[units.Length]](t)(p.Growth(atU(hot, 5)))
		size := must[units.Measured[units.Length]](t)(p.At(atU(hot, 5)))
		if size.Value != p.Size.Value+grown.Value || !size.Stated || !grown.Stated {
			t.Errorf("%s: size %v, growth %v", name, size, grown)
		}
		run := func(f func(*material.Part, *units.Measured[units.Temperature])) float64 {
			q, h := p, atU(hot, 5)
			q.Expansion.Means = append([]material.MeanTo(nil), e.Means...)
			f(&q, &h)
			return must[units.Measured[units.Length]](t)(q.At(h)).Value.Meters()
		}
		base := run(func(*material.Part, *units.Measured[units.Temperature]) {})
		du := []float64{
			run(func(q *material.Part, _ *units.Measured[units.Temperature]) { q.Size.Value += q.Size.U }) - base,
			(run(func(q *material.Part, _ *units.Measured[units.Temperature]) { q.Cold.Value += 0.004 }) - base) * 100,
			(run(func(_ *material.Part, h *units.Measured[units.Temperature]) { h.Value += 0.05 }) - base) * 100,
			run(func(q *material.Part, _ *units.Measured[units.Temperature]) {
				q.Expansion.Coefficient.Value += q.Expansion.Coefficient.U
				for i := range q.Expansion.Means {
					q.Expansion.Means[i].Coefficient.Value += q.Expansion.Means[i].Coefficient.U
				}
				if len(q.Expansion.Means) > 0 {
					q.Expansion.Coefficient = units.Measured[units.Expansion]{}
				}
			}) - base,
		}
		u := 0.0
		for _, d := range du {
			u = math.Hypot(u, d)
		}
		near(t, name+" u", size.U.Meters(), u, 0.01*u)
	}
	// What is not stated stays so.
	for name, f := range map[string]func(*material.Part, *units.Measured[units.Temperature]){
		"size":        func(p *material.Part, _ *units.Measured[units.Temperature]) { p.Size = units.Unstated(p.Size.Value) },
		"cold":        func(p *material.Part, _ *units.Measured[units.Temperature]) { p.Cold.Stated, p.Cold.U = false, 0 },
		"hot":         func(_ *material.Part, h *units.Measured[units.Temperature]) { h.Stated, h.U = false, 0 },
		"coefficient": func(p *material.Part, _ *units.Measured[units.Temperature]) { p.Expansion.Coefficient.Stated = false },
	} {
		p, h := material.Part{Size: units.WithU(mm(84), mm(0.002)), Cold: atU(20, 0.4), Expansion: one(20, 0.5)}, atU(90, 2)
		f(&p, &h)
		if g := must[units.Measured[units.Length]](t)(p.Growth(h)); g.Stated || g.U != 0 {
			t.Errorf("%s: %v", name, g)
		}
	}
}

// Assemble finds the temperature at which Hot gives the clearance asked for.
func TestAssembleInvertsHot(t *testing.T) {
	for name, e := range shapes {
		lo, hi := e.Lowest.Celsius(), e.Highest.Celsius()
		steel := one(11.7, 0.3)
		for k := range 21 {
			want := units.Celsius(lo + (hi-lo)*float64(k)/20)
			p := material.Pair{
				Bore:  material.Part{Size: units.Unstated(mm(25)), Cold: at(math.Min(hi, math.Max(lo, 18))), Expansion: e},
				Shaft: material.Part{Size: units.Unstated(mm(25)), Cold: at(20), Expansion: steel},
			}
			b := must[units.Measured[units.Length]](t)(p.Bore.At(units.Unstated(want)))
			cold := must[units.Measured[units.Length]](t)(p.Shaft.At(at(-5)))
			p.Shaft.Size.Value = mm(25) + b.Value - cold.Value - mm(0.01) // a shaft that leaves 0.01 mm at want, nearly
			hot := must[material.HotClearance](t)(p.Hot(material.Warm{Bore: units.Unstated(want), Shaft: at(-5)}))
			got := must[units.Temperature](t)(p.Assemble(material.Assembly{Treat: material.TheBore, Other: units.Celsius(-5), Clearance: hot.Clearance.Value}))
			near(t, name+" heated", got.Celsius(), want.Celsius(), 5e-6) // 1 pm of 25 mm at 9e-6
			// The same pair seen from the other side.
			q := material.Pair{Bore: p.Shaft, Shaft: p.Bore}
			q.Bore.Size.Value += mm(1)
			hot = must[material.HotClearance](t)(q.Hot(material.Warm{Bore: at(-5), Shaft: units.Unstated(want)}))
			got = must[units.Temperature](t)(q.Assemble(material.Assembly{Treat: material.TheShaft, Other: units.Celsius(-5), Clearance: hot.Clearance.Value}))
			near(t, name+" cooled", got.Celsius(), want.Celsius(), 5e-6)
		}
	}
}

// Reads and Size undo each other, and a gauge of the part's own metal at its
// temperature reads the size.
func TestGaugingInverse(t *testing.T) {
	for name, e := range shapes {
		mid := (e.Lowest.Celsius() + e.Highest.Celsius()) / 2
		g := material.Gauging{Part: e, Gauge: one(11.5, 0.3), PartAt: units.Celsius(mid), GaugeAt: units.Celsius(23), Reference: units.Celsius(math.Min(20, e.Highest.Celsius()))}
		for _, l := range []units.Length{mm(0.5), mm(83.95), units.Meter} {
			if back := must[units.Length](t)(g.Size(must[units.Length](t)(g.Reads(l)))); (back - l).Abs() > 1 {
				t.Errorf("%s: %v came back as %v", name, l, back)
			}
		}
		g.Gauge, g.GaugeAt = e, g.PartAt
		if r := must[units.Length](t)(g.Reads(mm(50))); r != mm(50) {
			t.Errorf("%s: own metal reads %v", name, r)
		}
	}
}

// Equal metals at one temperature keep their fit but for the growth of the gap
// itself; the change is the difference of the growths.
func TestHotClearance(t *testing.T) {
	e := one(11.5, 0.3)
	p := material.Pair{
		Bore:  material.Part{Size: units.Unstated(mm(60.05)), Cold: at(20), Expansion: e},
		Shaft: material.Part{Size: units.Unstated(mm(60)), Cold: at(20), Expansion: e},
	}
	h := must[material.HotClearance](t)(p.Hot(material.Warm{Bore: at(120), Shaft: at(120)}))
	near(t, "clearance", h.Clearance.Value.Millimeters(), 0.05*(1+11.5e-4), 1e-9)
	if h.Change.Value != h.Clearance.Value-mm(0.05) {
		t.Errorf("change %v, clearance %v", h.Change, h.Clearance)
	}
	w := h.Working()
	if len(w) != 3 || w[2].Value != h.Clearance.String() {
		t.Errorf("working %v", w)
	}
	for _, s := range w {
		if s.Formula == "" || s.Numbers == "" || !s.Source.Given() {
			t.Errorf("step %+v", s)
		}
	}
	if w := (material.HotClearance{}).Working(); w != nil {
		t.Errorf("zero value: %v", w)
	}
	for s, want := range map[material.Side]string{material.TheBore: "bore", material.TheShaft: "shaft", 9: "no part"} {
		if s.String() != want {
			t.Errorf("side %q, want %q", s.String(), want)
		}
	}
}

// Every alloy is whole: its table is usable over its range, its name reads
// back, its figures have sources, and its material is the caller's to change.
func TestAlloys(t *testing.T) {
	all := material.Alloys()
	if len(all) != 33 {
		t.Errorf("%d alloys", len(all))
	}
	names := map[string]bool{}
	for _, a := range all {
		m := must[material.Material](t)(a.Material())
		if m.Name != a.String() || names[m.Name] || m.Name == "" {
			t.Errorf("name %q", m.Name)
		}
		names[m.Name] = true
		if b := must[material.Alloy](t)(material.ParseAlloy(m.Name)); b != a {
			t.Errorf("%v read back as %v", a, b)
		}
		var b material.Alloy
		if err := b.UnmarshalText(must[[]byte](t)(a.MarshalText())); err != nil || b != a {
			t.Errorf("%v: text gave %v, %v", a, b, err)
		}
		x := m.Expansion
		r := must[float64](t)(x.Ratio(material.Change{From: x.Lowest, To: x.Highest}))
		// Engine metals: 8 to 27 millionths per kelvin.
		mean := (r - 1) / x.Highest.Sub(x.Lowest).Kelvins()
		if mean < 8e-6 || mean > 27e-6 {
			t.Errorf("%v: mean coefficient %g", a, mean)
		}
		must[units.Measured[units.Length]](t)(material.Part{Size: units.Unstated(mm(1)), Cold: at(20), Expansion: x}.At(at(100)))
		if m.Young.Source.Given() {
			g := must[units.Pressure](t)(m.ShearModulus())
			if g <= 0 || g >= m.Young.Value/2 {
				t.Errorf("%v: shear modulus %v of %v", a, g, m.Young.Value)
			}
		}
		if len(x.Means) > 0 {
			x.Means[0].Coefficient.Value = 1
			if again := must[material.Material](t)(a.Material()); again.Expansion.Means[0].Coefficient.Value == 1 {
				t.Errorf("%v: the table can be changed from outside", a)
			}
		}
	}
	for _, a := range []material.Alloy{0, 34, 255} {
		if m, err := a.Material(); !errors.Is(err, units.ErrRange) || !reflect.ValueOf(m).IsZero() {
			t.Errorf("%d: %v, %v", a, m, err)
		}
		if a.String() != "no alloy" {
			t.Errorf("%d: %v", a, a)
		}
		if b, err := a.MarshalText(); !errors.Is(err, units.ErrRange) || b != nil {
			t.Errorf("%d: %q, %v", a, b, err)
		}
	}
	a := material.Steel1020
	if err := a.UnmarshalText([]byte("unobtainium")); !errors.Is(err, units.ErrSyntax) || a != material.Steel1020 {
		t.Errorf("%v, %v", a, err)
	}
}

func FuzzParseAlloy(f *testing.F) {
	for _, s := range []string{"", "aluminum 6061", "gray iron", "Gray iron", "steel 1020 ", "no alloy"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		a, err := material.ParseAlloy(s)
		if (err == nil) != (a != 0) {
			t.Fatalf("%v beside %v", a, err)
		}
		if err == nil && a.String() != s {
			t.Fatalf("%q became %v", s, a)
		}
	})
}

func FuzzAssemble(f *testing.F) {
	f.Add(int64(24_980_000_000), int64(25_012_000_000), int64(15_000_000), 5.0, 20.0, 21.0)
	f.Fuzz(func(t *testing.T, bore, shaft, clearance int64, other, a, b float64) {
		p := material.Pair{
			Bore:  material.Part{Size: units.Unstated(units.Length(bore)), Cold: at(20), Expansion: table(20, 100, a, 300, b)},
			Shaft: material.Part{Size: units.Unstated(units.Length(shaft)), Cold: at(20), Expansion: one(11.7, 0)},
		}
		got, err := p.Assemble(material.Assembly{Treat: material.TheBore, Other: units.Celsius(other), Clearance: units.Length(clearance)})
		if err != nil {
			if got != 0 {
				t.Fatal("a value beside an error")
			}
			return
		}
		h, err := p.Hot(material.Warm{Bore: units.Unstated(got), Shaft: at(other)})
		if err != nil {
			t.Fatal(err)
		}
		if off := (h.Clearance.Value - units.Length(clearance)).Abs(); float64(off) > 4+1e-12*float64(bore) {
			t.Fatalf("clearance %v, want %v at %v", h.Clearance.Value, units.Length(clearance), got)
		}
	})
}

func TestBadInput(t *testing.T) {
	good := one(11.7, 0.3)
	from := material.Change{From: units.Celsius(20), To: units.Celsius(100)}
	exp := func(f func(*material.Expansion)) func() (any, error) {
		e := good
		f(&e)
		return func() (any, error) { return e.Ratio(from) }
	}
	tab := func(f func(*material.Expansion)) func() (any, error) {
		e := table(20, 100, 20, 200, 21)
		f(&e)
		return func() (any, error) { return e.Mean(from) }
	}
	change := func(c material.Change) func() (any, error) {
		return func() (any, error) { return good.Ratio(c) }
	}
	part := func(f func(*material.Part, *units.Measured[units.Temperature])) func() (any, error) {
		p, h := material.Part{Size: units.WithU(mm(84), mm(0.002)), Cold: atU(20, 0.5), Expansion: good}, atU(90, 1)
		f(&p, &h)
		return func() (any, error) {
			if _, err := p.Growth(h); err == nil {
				return nil, nil
			}
			return p.At(h)
		}
	}
	pair := material.Pair{
		Bore:  material.Part{Size: units.Unstated(mm(24.98)), Cold: at(20), Expansion: one(23.6, 0.5)},
		Shaft: material.Part{Size: units.Unstated(mm(25)), Cold: at(20), Expansion: good},
	}
	hot := func(f func(*material.Pair, *material.Warm)) func() (any, error) {
		p, w := pair, material.Warm{Bore: at(90), Shaft: at(90)}
		f(&p, &w)
		return func() (any, error) { return p.Hot(w) }
	}
	assemble := func(f func(*material.Pair, *material.Assembly)) func() (any, error) {
		p, a := pair, material.Assembly{Treat: material.TheBore, Other: units.Celsius(20), Clearance: mm(0.01)}
		f(&p, &a)
		return func() (any, error) { return p.Assemble(a) }
	}
	gauging := func(l units.Length, f func(*material.Gauging)) func() (any, error) {
		g := material.Gauging{Part: good, Gauge: good, PartAt: units.Celsius(30), GaugeAt: units.Celsius(25), Reference: units.Celsius(20)}
		f(&g)
		return func() (any, error) { return g.Reads(l) }
	}
	property := material.Property[units.Pressure]{Value: units.Megapascals(207e3), Source: stated}
	nu := material.Property[float64]{Value: 0.3, Source: stated}
	shear := func(f func(*material.Material)) func() (any, error) {
		m := material.Material{Young: property, Poisson: nu}
		f(&m)
		return func() (any, error) { return m.ShearModulus() }
	}
	inf, nan := math.Inf(1), math.NaN()
	for _, b := range []struct {
		name  string
		call  func() (any, error)
		field string
		kind  error
	}{
		{"zero expansion", func() (any, error) { return material.Expansion{}.Ratio(from) }, "Base", units.ErrMissing},
		{"zero expansion mean", func() (any, error) { return material.Expansion{}.Mean(from) }, "Base", units.ErrMissing},
		{"base nan", exp(func(e *material.Expansion) { e.Base = units.Temperature(nan) }), "Base", units.ErrRange},
		{"base negative", exp(func(e *material.Expansion) { e.Base = -1 }), "Base", units.ErrRange},
		{"lowest missing", exp(func(e *material.Expansion) { e.Lowest = 0 }), "Lowest", units.ErrMissing},
		{"highest inf", exp(func(e *material.Expansion) { e.Highest = units.Temperature(inf) }), "Highest", units.ErrRange},
		{"range swapped", exp(func(e *material.Expansion) { e.Lowest, e.Highest = e.Highest, e.Lowest }), "Lowest", units.ErrConflict},
		{"no source", exp(func(e *material.Expansion) { e.Source = units.Source{} }), "Source", units.ErrMissing},
		{"no provenance", exp(func(e *material.Expansion) { e.Source.Provenance = 0 }), "Source", units.ErrMissing},
		{"no coefficient", exp(func(e *material.Expansion) { e.Coefficient = units.Measured[units.Expansion]{} }), "Coefficient", units.ErrMissing},
		{"coefficient nan", exp(func(e *material.Expansion) { e.Coefficient.Value = units.Expansion(nan) }), "Coefficient", units.ErrRange},
		{"coefficient negative", exp(func(e *material.Expansion) { e.Coefficient.Value = -1e-6 }), "Coefficient", units.ErrRange},
		{"coefficient as millionths", exp(func(e *material.Expansion) { e.Coefficient.Value = 11.7 }), "Coefficient", units.ErrRange},
		{"coefficient u negative", exp(func(e *material.Expansion) { e.Coefficient.U = -1e-9 }), "Coefficient.U", units.ErrRange},
		{"coefficient u nan", exp(func(e *material.Expansion) { e.Coefficient.U = units.Expansion(nan) }), "Coefficient.U", units.ErrRange},
		{"vanishes", exp(func(e *material.Expansion) {
			e.Coefficient, e.Base, e.Highest = units.Unstated(units.PerKelvin(1e-3)), 2000, 2500
		}), "Lowest", units.ErrRange},
		{"two kinds", tab(func(e *material.Expansion) { e.Coefficient = good.Coefficient }), "Coefficient", units.ErrConflict},
		{"table falls", tab(func(e *material.Expansion) { e.Means[1].To = e.Means[0].To }), "Means.To", units.ErrConflict},
		{"table without temperature", tab(func(e *material.Expansion) { e.Means[0].To = 0 }), "Means.To", units.ErrMissing},
		{"table coefficient", tab(func(e *material.Expansion) { e.Means[1].Coefficient.Value = 0 }), "Means.Coefficient", units.ErrRange},
		{"table shrinks", tab(func(e *material.Expansion) { e.Means[1].Coefficient = units.Unstated(units.PerKelvin(5e-6)) }), "Means.Coefficient", units.ErrConflict},
		{"range past the table", tab(func(e *material.Expansion) { e.Highest = units.Celsius(201) }), "Means", units.ErrConflict},
		{"range under the table", tab(func(e *material.Expansion) { e.Lowest = units.Celsius(19) }), "Means", units.ErrConflict},
		{"from missing", change(material.Change{To: units.Celsius(30)}), "From", units.ErrMissing},
		{"to too hot", change(material.Change{From: units.Celsius(30), To: units.Celsius(600.1)}), "To", units.ErrRange},
		{"from too cold", change(material.Change{From: units.Celsius(-200.1), To: units.Celsius(30)}), "From", units.ErrRange},
		{"to nan", change(material.Change{From: units.Celsius(30), To: units.Temperature(nan)}), "To", units.ErrRange},

		{"zero part", func() (any, error) { return material.Part{}.At(at(20)) }, "Size", units.ErrMissing},
		{"zero part growth", func() (any, error) { return material.Part{}.Growth(at(20)) }, "Size", units.ErrMissing},
		{"size negative", part(func(p *material.Part, _ *units.Measured[units.Temperature]) { p.Size.Value = -1 }), "Size", units.ErrRange},
		{"size overflow", part(func(p *material.Part, _ *units.Measured[units.Temperature]) { p.Size.Value = units.MaxLength }), "Size", units.ErrRange},
		{"size least", part(func(p *material.Part, _ *units.Measured[units.Temperature]) { p.Size.Value = math.MinInt64 }), "Size", units.ErrRange},
		{"size u", part(func(p *material.Part, _ *units.Measured[units.Temperature]) { p.Size.U = math.MinInt64 }), "Size.U", units.ErrRange},
		{"no expansion", part(func(p *material.Part, _ *units.Measured[units.Temperature]) { p.Expansion = material.Expansion{} }), "Expansion.Base", units.ErrMissing},
		{"cold missing", part(func(p *material.Part, _ *units.Measured[units.Temperature]) { p.Cold.Value = 0 }), "Cold", units.ErrMissing},
		{"cold u", part(func(p *material.Part, _ *units.Measured[units.Temperature]) { p.Cold.U = -1 }), "Cold.U", units.ErrRange},
		{"hot outside", part(func(_ *material.Part, h *units.Measured[units.Temperature]) { h.Value = units.Celsius(601) }), "t", units.ErrRange},
		{"hot u nan", part(func(_ *material.Part, h *units.Measured[units.Temperature]) { h.U = units.Temperature(nan) }), "t.U", units.ErrRange},

		{"zero pair", func() (any, error) { return material.Pair{}.Hot(material.Warm{}) }, "Bore.Size", units.ErrMissing},
		{"zero pair assemble", func() (any, error) { return material.Pair{}.Assemble(material.Assembly{Treat: material.TheBore}) }, "Bore.Size", units.ErrMissing},
		{"hot bore", hot(func(p *material.Pair, _ *material.Warm) { p.Bore.Size.Value = -3 }), "Bore.Size", units.ErrRange},
		{"hot bore missing", hot(func(_ *material.Pair, w *material.Warm) { w.Bore = units.Measured[units.Temperature]{} }), "Bore.At", units.ErrMissing},
		{"hot shaft", hot(func(_ *material.Pair, w *material.Warm) { w.Shaft.Value = units.Celsius(2000) }), "Shaft.At", units.ErrRange},
		{"hot shaft expansion", hot(func(p *material.Pair, _ *material.Warm) { p.Shaft.Expansion.Source = units.Source{} }), "Shaft.Expansion.Source", units.ErrMissing},
		{"nothing treated", assemble(func(_ *material.Pair, a *material.Assembly) { a.Treat = 0 }), "Treat", units.ErrMissing},
		{"unknown treated", assemble(func(_ *material.Pair, a *material.Assembly) { a.Treat = 3 }), "Treat", units.ErrMissing},
		{"other missing", assemble(func(_ *material.Pair, a *material.Assembly) { a.Other = 0 }), "Other", units.ErrMissing},
		{"other part", assemble(func(p *material.Pair, _ *material.Assembly) { p.Shaft.Size.Value = 0 }), "Shaft.Size", units.ErrMissing},
		{"clearance negative", assemble(func(_ *material.Pair, a *material.Assembly) { a.Clearance = -1 }), "Clearance", units.ErrRange},
		{"clearance huge", assemble(func(_ *material.Pair, a *material.Assembly) { a.Clearance = mm(25) + 1 }), "Clearance", units.ErrRange},
		{"never opens", assemble(func(_ *material.Pair, a *material.Assembly) { a.Clearance = mm(1) }), "Treat", units.ErrImpossible},
		{"never shrinks", assemble(func(_ *material.Pair, a *material.Assembly) { a.Treat, a.Clearance = material.TheShaft, mm(1) }), "Treat", units.ErrImpossible},

		{"zero gauging", func() (any, error) { return material.Gauging{}.Size(mm(1)) }, "Part.Base", units.ErrMissing},
		{"gauging nothing", gauging(0, func(*material.Gauging) {}), "size", units.ErrMissing},
		{"gauging negative", gauging(-1, func(*material.Gauging) {}), "size", units.ErrRange},
		{"gauge none", gauging(mm(1), func(g *material.Gauging) { g.Gauge = material.Expansion{} }), "Gauge.Base", units.ErrMissing},
		{"part at", gauging(mm(1), func(g *material.Gauging) { g.PartAt = 0 }), "PartAt", units.ErrMissing},
		{"gauge at", gauging(mm(1), func(g *material.Gauging) { g.GaugeAt = units.Temperature(inf) }), "GaugeAt", units.ErrRange},
		{"reference", gauging(mm(1), func(g *material.Gauging) { g.Reference = 0 }), "Reference", units.ErrMissing},

		{"zero material", func() (any, error) { return material.Material{}.ShearModulus() }, "Young", units.ErrMissing},
		{"no ratio", shear(func(m *material.Material) { m.Poisson.Source = units.Source{} }), "Poisson", units.ErrMissing},
		{"modulus nan", shear(func(m *material.Material) { m.Young.Value = units.Pressure(nan) }), "Young", units.ErrRange},
		{"modulus inf", shear(func(m *material.Material) { m.Young.Value = units.Pressure(inf) }), "Young", units.ErrRange},
		{"modulus zero", shear(func(m *material.Material) { m.Young.Value = 0 }), "Young", units.ErrRange},
		{"ratio nan", shear(func(m *material.Material) { m.Poisson.Value = nan }), "Poisson", units.ErrRange},
		{"ratio high", shear(func(m *material.Material) { m.Poisson.Value = 0.51 }), "Poisson", units.ErrRange},
		{"alloy unknown", func() (any, error) { return material.ParseAlloy("pewter") }, "name", units.ErrSyntax},
		{"alloy empty", func() (any, error) { return material.ParseAlloy("") }, "name", units.ErrSyntax},
	} {
		t.Run(b.name, func(t *testing.T) {
			got, err := b.call()
			var e *units.InputError
			if !errors.As(err, &e) {
				t.Fatalf("error %v, want *units.InputError", err)
			}
			if e.Package != "material" || e.Field != b.field || !errors.Is(err, b.kind) || e.Reason == "" {
				t.Errorf("%v: field %q kind %v, want %q %v", err, e.Field, e.Kind, b.field, b.kind)
			}
			if !reflect.ValueOf(got).IsZero() {
				t.Errorf("value %+v beside an error", got)
			}
		})
	}
}

func benchPair() (material.Pair, material.Warm) {
	return material.Pair{
		Bore:  material.Part{Size: units.WithU(mm(84), mm(0.002)), Cold: atU(20, 0.5), Expansion: one(11.4, 0.3)},
		Shaft: material.Part{Size: units.WithU(mm(83.93), mm(0.002)), Cold: atU(20, 0.5), Expansion: table(20, 100, 20, 200, 21, 300, 22)},
	}, material.Warm{Bore: atU(95, 3), Shaft: atU(250, 10)}
}

func BenchmarkHot(b *testing.B) {
	p, w := benchPair()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.Hot(w); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRatio(b *testing.B) {
	e := table(20, 100, 20, 200, 21, 300, 22)
	c := material.Change{From: units.Celsius(20), To: units.Celsius(250)}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := e.Ratio(c); err != nil {
			b.Fatal(err)
		}
	}
}

func TestNoAllocations(t *testing.T) {
	p, w := benchPair()
	a := material.Assembly{Treat: material.TheBore, Other: units.Celsius(25), Clearance: mm(0.01)}
	p.Shaft.Size.Value = mm(84.01)
	if n := testing.AllocsPerRun(100, func() {
		_, err1 := p.Hot(w)
		_, err2 := p.Assemble(a)
		_, err3 := p.Bore.At(w.Bore)
		if err := errors.Join(err1, err2, err3); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
