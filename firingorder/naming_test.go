package firingorder_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func naming(tb testing.TB, l *fo.Layout, s fo.Scheme, up *fo.Turn) *fo.Naming {
	tb.Helper()
	n, err := fo.NewNaming(fo.NamingConfig{Layout: l, Scheme: s, Up: up})
	if err != nil {
		tb.Fatal(err)
	}
	return n
}

// stated is an engine with ends and rotation, throws counted from the free end.
func stated(tb testing.TB, axes, pins []int64, numbering fo.Numbering, individual bool, r fo.Rotation) *fo.Layout {
	tb.Helper()
	return multi(tb, fo.MultiBankConfig{
		Axes: degs(tb, axes...), Pins: degs(tb, pins...), Numbering: numbering, Individual: individual,
		NumberedFrom: fo.FreeEnd, Rotation: r,
	})
}

// inSpace names cylinders as a person does who walks round the engine: x to the
// right of an observer at the driving end, y up, z away from the driving end.
type inSpace struct {
	x, y, z float64
	bank    string
}

func walk(l *fo.Layout, up float64) []inSpace {
	c := l.Config()
	var p []inSpace
	for _, cy := range c.Cylinders {
		i := slices.IndexFunc(c.Banks, func(b fo.Bank) bool { return b.Name == cy.Bank })
		a := (c.Banks[i].Axis.Angle().Degrees() - up) * math.Pi / 180
		right := math.Sin(a) // of the observer at the free end, if clockwise there
		if c.Rotation == fo.CounterClockwise {
			right = -right
		}
		z := float64(cy.Throw)
		if c.NumberedFrom == fo.FreeEnd {
			z = -z
		}
		p = append(p, inSpace{-right, math.Cos(a), z, cy.Bank})
	}
	return p
}

// count returns the rank of every key, from 1.
func count(keys [][2]float64) []string {
	order := make([]int, len(keys))
	for i := range order {
		order[i] = i
	}
	sort.Slice(order, func(i, j int) bool {
		a, b := keys[order[i]], keys[order[j]]
		if math.Abs(a[0]-b[0]) > 1e-9 {
			return a[0] < b[0]
		}
		return a[1] < b[1]
	})
	s := make([]string, len(keys))
	for rank, i := range order {
		s[i] = strconv.Itoa(rank + 1)
	}
	return s
}

func (w inSpace) sweep(fromTop float64) float64 { // clockwise seen from the free end
	a := math.Atan2(-w.x, w.y)*180/math.Pi - fromTop
	return math.Mod(a+720+1e-9, 360)
}

// Two banks at many angles, both rotations, counted from either end: the documents
// read in space give the same names.
func TestDocumentsInSpace(t *testing.T) {
	for _, r := range []fo.Rotation{fo.Clockwise, fo.CounterClockwise} {
		for _, from := range []fo.End{fo.FreeEnd, fo.DrivingEnd} {
			for _, v := range []int64{-170, -120, -90, -45, 30, 60, 75, 135, 179} {
				for _, numbering := range []fo.Numbering{fo.Alternating, fo.Bankwise} {
					for _, tilt := range []int64{0, 10, 350} { // up, away from the middle of the banks
						l := multi(t, fo.MultiBankConfig{
							Axes: degs(t, 0, v), Pins: degs(t, 0, 240, 120), Individual: tilt == 10, Numbering: numbering, NumberedFrom: from, Rotation: r,
						})
						up := float64(v) / 2
						var stated *fo.Turn
						if tilt != 0 && math.Abs(up) > 20 && math.Abs(up) < 80 {
							u, err := fo.TurnOf(units.CrankAngle(v)*units.CrankDegree/2 + units.CrankAngle(tilt)*units.CrankDegree)
							if err != nil {
								t.Fatal(err)
							}
							stated, up = &u, up+float64(tilt)
						}
						p := walk(l, up)
						place := func(i int, sign float64) int {
							k := 1
							for _, q := range p {
								if q.bank == p[i].bank && sign*q.z < sign*p[i].z {
									k++
								}
							}
							return k
						}
						var iso, sae []string
						var din, tgl, along [][2]float64
						for i, q := range p {
							left := q.x < 0
							letter, side, second := "B", "R", 1.0
							if left {
								letter, side, second = "A", "L", 0
							}
							iso = append(iso, letter+strconv.Itoa(place(i, 1)))
							sae = append(sae, strconv.Itoa(place(i, -1))+side)
							din = append(din, [2]float64{q.sweep(-90), -q.z})
							tgl = append(tgl, [2]float64{second, q.z})
							along = append(along, [2]float64{-q.z, 1 - second})
						}
						for _, c := range []struct {
							scheme fo.Scheme
							want   []string
						}{
							{fo.ISO1204(), iso},
							{fo.SAEJ824B(), sae},
							{fo.DIN73021(), count(din)},
							{fo.TGL6864(), count(tgl)},
							{fo.SAEJ824A(fo.BanksFromRight), count(along)},
						} {
							n := naming(t, l, c.scheme, stated)
							if got := n.Names(); !slices.Equal(got, c.want) {
								t.Errorf("V %d, %v, from the %v, up %g, %s: %v, want %v", v, r, from, up, c.scheme.Source.Text, got, c.want)
							}
						}
					}
				}
			}
		}
	}
}

// All schemes that can name an engine agree on the engine: a name leads to one
// cylinder, round trips are identities, and a renumbered order fires the same
// cylinders at the same angles.
func TestSchemesConvert(t *testing.T) {
	schemes := []fo.Scheme{
		fo.ISO1204(), fo.DIN73021(), fo.TGL6864(), fo.SAEJ824A(fo.BanksFromLeft), fo.SAEJ824A(fo.BanksFromRight), fo.SAEJ824B(), fo.OpposedPractice(), fo.RadialPractice(),
		{Numbering: fo.Alternating},
		{Numbering: fo.Bankwise},
		{Numbering: fo.AlongShaft},
		{Numbering: fo.Alternating, CountFrom: fo.FreeEnd, Banks: fo.BanksInRotation},
		{Numbering: fo.Bankwise, CountFrom: fo.DrivingEnd, Banks: fo.BanksAgainstRotation},
		{Numbering: fo.Bankwise, Letters: fo.BankThenPlace},
		{Numbering: fo.Alternating, CountFrom: fo.DrivingEnd, Banks: fo.BanksFromRight, Letters: fo.SideThenPlace},
		{Numbering: fo.AlongShaft, CountFrom: fo.DrivingEnd, Banks: fo.BanksClockwiseFromTop},
	}
	up := deg(t, 0)
	quarter := deg(t, 90)
	radial := func(n, rows int) *fo.Layout {
		l, err := fo.Radial(fo.RadialConfig{Cylinders: n, Rows: rows, NumberedFrom: fo.FreeEnd, Rotation: fo.Clockwise})
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	engines := map[string]struct {
		l  *fo.Layout
		up *fo.Turn
		o  string
	}{
		"in-line six":   {stated(t, []int64{0}, []int64{0, 240, 120, 120, 240, 0}, fo.Bankwise, false, fo.Clockwise), nil, "1-5-3-6-2-4"},
		"two-plane V8":  {stated(t, []int64{0, -90}, []int64{0, 90, 270, 180}, fo.Alternating, false, fo.Clockwise), nil, "1-8-4-3-6-5-7-2"},
		"V8 other way":  {stated(t, []int64{0, 90}, []int64{0, 90, 270, 180}, fo.Bankwise, false, fo.CounterClockwise), nil, "1-5-4-2-6-3-7-8"},
		"broad arrow":   {stated(t, []int64{0, 60, 120}, []int64{0, 180, 180, 0}, fo.Alternating, false, fo.Clockwise), nil, "1-11-3-7-5-9-10-2-12-4-8-6"},
		"boxer four":    {multi(t, fo.MultiBankConfig{Axes: degs(t, 0, 180), Pins: degs(t, 0, 180), Splits: degs(t, 0, 180), Numbering: fo.Alternating, NumberedFrom: fo.FreeEnd, Rotation: fo.Clockwise}), &quarter, "1-3-2-4"},
		"radial nine":   {radial(9, 1), &up, "1-3-5-7-9-2-4-6-8"},
		"radial 14":     {radial(14, 2), &up, "1-10-5-14-9-4-13-8-3-12-7-2-11-6"},
		"X of eight":    {stated(t, []int64{45, 135, 225, 315}, []int64{0, 180}, fo.Alternating, false, fo.Clockwise), &up, "1-2-3-4-7-8-5-6"},
		"single":        {stated(t, []int64{0}, []int64{0}, fo.Bankwise, false, fo.Clockwise), nil, "1"},
		"V6 split pins": {multi(t, fo.MultiBankConfig{Axes: degs(t, 0, 60), Pins: degs(t, 0, 120, 240), Splits: degs(t, 0, -60), Numbering: fo.Alternating, NumberedFrom: fo.DrivingEnd, Rotation: fo.Clockwise}), nil, "1-2-3-4-5-6"},
	}
	named := map[string]int{}
	for name, e := range engines {
		order := order(t, e.o)
		before := engine(t, e.l, e.o)
		type pair struct {
			*fo.Naming
			scheme fo.Scheme
		}
		var all []pair
		for _, s := range schemes {
			n, err := fo.NewNaming(fo.NamingConfig{Layout: e.l, Scheme: s, Up: e.up})
			if err != nil {
				typed(t, err)
				if !errors.Is(err, units.ErrImpossible) && !errors.Is(err, units.ErrMissing) || n != nil {
					t.Errorf("%s: %v", name, err)
				}
				continue
			}
			all = append(all, pair{n, s})
			named[name]++
		}
		for _, a := range all {
			text, err := a.OrderText(order)
			if err != nil {
				t.Fatal(err)
			}
			back, err := a.ParseOrder(text)
			if err != nil {
				t.Fatal(err)
			}
			if at := slices.Index(back, 1); !slices.Equal(slices.Concat(back[at:], back[:at]), order) {
				t.Errorf("%s: %s reads as %v", name, text, back)
			}
			renumbered, err := a.Order(order)
			if err != nil {
				t.Fatal(err)
			}
			after, err := fo.NewEngine(fo.EngineConfig{Layout: a.Layout(), Order: renumbered})
			if err != nil {
				t.Fatalf("%s: %v: %v", name, a.Names(), err)
			}
			// The firing angles agree but for where the count begins.
			first, err := before.FiringAngle(slices.Index(a.Numbers(), 1) + 1)
			if err != nil {
				t.Fatal(err)
			}
			for i, c := range a.Numbers() {
				f1, err1 := before.FiringAngle(i + 1)
				f2, err2 := after.FiringAngle(c)
				if err := errors.Join(err1, err2); err != nil || math.Abs((f1-first-f2).Wrap().Degrees()) > 1e-8 {
					t.Errorf("%s: cylinder %d fires at %v, as %s at %v after that at %v, %v", name, i+1, f1, a.Names()[i], f2, first, err)
				}
			}
			// Named by its own scheme again the renumbered engine keeps everything.
			again := naming(t, a.Layout(), a.scheme, e.up)
			if asListed := a.scheme.CountFrom == fo.EndUnstated || a.scheme.Banks == fo.BanksAsListed; !asListed && !sameLayout(again.Layout(), a.Layout()) {
				t.Errorf("%s: %+v: %v is renumbered as %v", name, a.scheme, a.Layout().Config(), again.Layout().Config())
			}
			for _, b := range all {
				asListed := b.scheme.CountFrom == fo.EndUnstated || b.scheme.Banks == fo.BanksAsListed
				there := naming(t, a.Layout(), b.scheme, e.up)
				for i, n := range a.Numbers() {
					if got, want := there.Names()[n-1], b.Names()[i]; got != want && !asListed {
						t.Errorf("%s: %s is %s, by way of number %d it is %s", name, a.Names()[i], want, n, got)
					}
					s, err := a.To(b.Naming, a.Names()[i])
					if err != nil || s != b.Names()[i] {
						t.Errorf("%s: %s is %s, want %s, %v", name, a.Names()[i], s, b.Names()[i], err)
					}
					if home, err := b.To(a.Naming, s); err != nil || home != a.Names()[i] {
						t.Errorf("%s: %s comes back as %s, %v", name, a.Names()[i], home, err)
					}
				}
			}
			if w := a.Working(); len(w) != e.l.Cylinders() {
				t.Errorf("%s: working of %d steps", name, len(w))
			}
		}
	}
	for name := range engines {
		if named[name] < 3 {
			t.Errorf("%s: only %d schemes name it", name, named[name])
		}
	}
}

func TestNewNamingRefuses(t *testing.T) {
	v8 := func(from fo.End, r fo.Rotation) *fo.Layout {
		return multi(t, fo.MultiBankConfig{Axes: degs(t, 0, 90), Pins: degs(t, 0, 90, 270, 180), Numbering: fo.Alternating, NumberedFrom: from, Rotation: r})
	}
	v := v8(fo.FreeEnd, fo.Clockwise)
	flat := stated(t, []int64{0, 180}, []int64{0, 180}, fo.Alternating, false, fo.Clockwise)
	six := stated(t, []int64{0}, []int64{0, 120, 240}, fo.Bankwise, false, fo.Clockwise)
	w := stated(t, []int64{0, 60, 120}, []int64{0, 180}, fo.Alternating, false, fo.Clockwise)
	x := stated(t, []int64{45, 135, 225, 315}, []int64{0, 180}, fo.Alternating, false, fo.Clockwise)
	radial, err1 := fo.Radial(fo.RadialConfig{Cylinders: 9, Rows: 1, Rotation: fo.Clockwise})
	rows, err2 := fo.Radial(fo.RadialConfig{Cylinders: 14, Rows: 2, Rotation: fo.Clockwise, NumberedFrom: fo.FreeEnd})
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	// Two banks on the same axis and the same throws: nothing tells them apart.
	twins, err := fo.NewLayout(fo.Config{
		Banks: []fo.Bank{{Name: "A"}, {Name: "B"}}, Throws: degs(t, 0, 180), NumberedFrom: fo.FreeEnd, Rotation: fo.Clockwise,
		Cylinders: []fo.Cylinder{{Bank: "A", Throw: 1}, {Bank: "B", Throw: 1}},
	})
	if err != nil {
		t.Fatal(err)
	}
	up, beside := deg(t, 0), deg(t, 360)
	second, err := fo.Fraction(1, 14) // cylinder 2, in the front row, at the top
	if err != nil {
		t.Fatal(err)
	}
	hair, err := fo.Fraction(1, 359_999_999_999)
	fine, err2 := fo.NewLayout(fo.Config{Banks: []fo.Bank{{Name: "A"}}, Throws: []fo.Turn{{}}, Cylinders: []fo.Cylinder{{Bank: "A", Throw: 1}}, Rotation: fo.Clockwise})
	if err := errors.Join(err, err2); err != nil {
		t.Fatal(err)
	}
	hairs := fine.Config()
	hairs.Throws[0], err = fo.Fraction(1, 1<<38-1)
	if err != nil {
		t.Fatal(err)
	}
	if fine, err = fo.NewLayout(hairs); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		c     fo.NamingConfig
		field string
		kind  error
	}{
		"zero":                         {fo.NamingConfig{}, "Layout", units.ErrMissing},
		"a layout of nothing":          {fo.NamingConfig{Layout: &fo.Layout{}, Scheme: fo.ISO1204()}, "Layout", units.ErrMissing},
		"no scheme":                    {fo.NamingConfig{Layout: v}, "Scheme.Numbering", units.ErrMissing},
		"unknown numbering":            {fo.NamingConfig{Layout: v, Scheme: fo.Scheme{Numbering: 9}}, "Scheme.Numbering", units.ErrRange},
		"unknown end":                  {fo.NamingConfig{Layout: v, Scheme: fo.Scheme{Numbering: fo.Bankwise, CountFrom: 9}}, "Scheme.CountFrom", units.ErrRange},
		"unknown sequence":             {fo.NamingConfig{Layout: v, Scheme: fo.Scheme{Numbering: fo.Bankwise, Banks: 99}}, "Scheme.Banks", units.ErrRange},
		"unknown letters":              {fo.NamingConfig{Layout: v, Scheme: fo.Scheme{Numbering: fo.Bankwise, Letters: 99}}, "Scheme.Letters", units.ErrRange},
		"end not stated":               {fo.NamingConfig{Layout: v8(0, fo.Clockwise), Scheme: fo.ISO1204()}, "Layout.NumberedFrom", units.ErrMissing},
		"rotation not stated":          {fo.NamingConfig{Layout: v8(fo.FreeEnd, 0), Scheme: fo.ISO1204()}, "Layout.Rotation", units.ErrMissing},
		"letters without a rotation":   {fo.NamingConfig{Layout: v8(fo.FreeEnd, 0), Scheme: fo.Scheme{Numbering: fo.Bankwise, Letters: fo.SideThenPlace}}, "Layout.Rotation", units.ErrMissing},
		"opposed without up":           {fo.NamingConfig{Layout: flat, Scheme: fo.ISO1204()}, "Up", units.ErrMissing},
		"radial without up":            {fo.NamingConfig{Layout: radial, Scheme: fo.RadialPractice()}, "Up", units.ErrMissing},
		"up too fine":                  {fo.NamingConfig{Layout: fine, Scheme: fo.ISO1204(), Up: &hair}, "Up", units.ErrInexact},
		"opposed, which passed first":  {fo.NamingConfig{Layout: flat, Scheme: fo.Scheme{Numbering: fo.Bankwise, Banks: fo.BanksInRotation}}, "Scheme.Banks", units.ErrMissing},
		"one above the other":          {fo.NamingConfig{Layout: flat, Scheme: fo.SAEJ824B(), Up: &up}, "Scheme", units.ErrImpossible},
		"three banks, ISO":             {fo.NamingConfig{Layout: w, Scheme: fo.ISO1204()}, "Scheme", units.ErrImpossible},
		"three banks, R and L":         {fo.NamingConfig{Layout: w, Scheme: fo.SAEJ824B()}, "Scheme", units.ErrImpossible},
		"one bank, R and L":            {fo.NamingConfig{Layout: six, Scheme: fo.SAEJ824B()}, "Scheme", units.ErrImpossible},
		"one bank, sides of the owner": {fo.NamingConfig{Layout: six, Scheme: fo.Scheme{Numbering: fo.Bankwise, Letters: fo.PlaceThenSide}}, "Scheme", units.ErrImpossible},
		"radial, ISO":                  {fo.NamingConfig{Layout: radial, Scheme: fo.ISO1204(), Up: &up}, "Scheme", units.ErrImpossible},
		"radial, method A":             {fo.NamingConfig{Layout: radial, Scheme: fo.SAEJ824A(fo.BanksFromLeft), Up: &up}, "Scheme", units.ErrImpossible},
		"radial, method B":             {fo.NamingConfig{Layout: radial, Scheme: fo.SAEJ824B(), Up: &up}, "Scheme", units.ErrImpossible},
		"X, left to right":             {fo.NamingConfig{Layout: x, Scheme: fo.TGL6864(), Up: &up}, "Scheme", units.ErrImpossible},
		"V, radial practice":           {fo.NamingConfig{Layout: v, Scheme: fo.RadialPractice(), Up: &up}, "Scheme", units.ErrImpossible},
		"V, opposed practice":          {fo.NamingConfig{Layout: v, Scheme: fo.OpposedPractice(), Up: &up}, "Scheme", units.ErrImpossible},
		"front row at the top":         {fo.NamingConfig{Layout: rows, Scheme: fo.RadialPractice(), Up: &second}, "Scheme", units.ErrImpossible},
		"nothing to tell apart":        {fo.NamingConfig{Layout: twins, Scheme: fo.DIN73021()}, "Scheme", units.ErrImpossible},
		"a letter for two banks":       {fo.NamingConfig{Layout: twins, Scheme: fo.ISO1204()}, "Scheme", units.ErrImpossible},
	} {
		n, err := fo.NewNaming(c.c)
		refused(t, name, n != nil, err, c.field, c.kind)
	}
	// A whole turn more is the same direction.
	if a, b := naming(t, rows, fo.RadialPractice(), &up), naming(t, rows, fo.RadialPractice(), &beside); !slices.Equal(a.Names(), b.Names()) {
		t.Error(a.Names(), b.Names())
	}
}

func TestNamingIsAskedForNothingItHasNot(t *testing.T) {
	v := stated(t, []int64{0, 90}, []int64{0, 180}, fo.Alternating, false, fo.Clockwise)
	n := naming(t, v, fo.SAEJ824B(), nil)
	other := naming(t, stated(t, []int64{0, 90}, []int64{0, 180}, fo.Alternating, false, fo.Clockwise), fo.ISO1204(), nil)
	for _, s := range []string{"", "1", "A1", "3R", "1r", "R1", strings.Repeat("1R", 100), "\xff"} {
		c, err := n.Cylinder(s)
		refused(t, s, c != 0, err, "name", units.ErrSyntax)
	}
	s, err := n.To(other, "1R")
	refused(t, "another layout", s != "", err, "other", units.ErrConflict)
	s, err = n.To(nil, "1R")
	refused(t, "no other", s != "", err, "other", units.ErrMissing)
	for s, kind := range map[string]error{"": units.ErrSyntax, "1R-": units.ErrSyntax, "1R-1R": units.ErrConflict, "1-2": units.ErrSyntax, "1R-3R": units.ErrSyntax, strings.Repeat("1R-", 300): units.ErrSyntax} {
		o, err := n.ParseOrder(s)
		refused(t, s, o != nil, err, "order", kind)
	}
	for name, o := range map[string]fo.Order{"empty": nil, "a cylinder left out": {1, 2, 3}} {
		r, err := n.Order(o)
		refused(t, name, r != nil, err, "Order", units.ErrMissing)
		s, err := n.OrderText(o)
		refused(t, name, s != "", err, "Order", units.ErrMissing)
	}
	r, err := n.Order(fo.Order{1, 2, 3, 9})
	refused(t, "a cylinder that is not there", r != nil, err, "Order", units.ErrRange)
	var none *fo.Naming
	for _, n := range []*fo.Naming{none, {}} {
		_, err1 := n.Cylinder("1")
		_, err2 := n.To(other, "1")
		_, err3 := n.Order(fo.Order{1})
		_, err4 := n.OrderText(fo.Order{1})
		_, err5 := n.ParseOrder("1")
		for i, err := range []error{err1, err2, err3, err4, err5} {
			refused(t, strconv.Itoa(i), false, err, "naming", units.ErrMissing)
		}
		if n.Names() != nil || n.Numbers() != nil || n.Layout() != nil || n.Working() != nil {
			t.Error("a naming that was not made answers")
		}
	}
	n.Names()[0], n.Numbers()[0] = "x", 9
	if n.Names()[0] == "x" || n.Numbers()[0] == 9 {
		t.Error("changed from outside")
	}
}

func TestSchemeWords(t *testing.T) {
	for s, want := range map[fmt.Stringer]string{
		fo.BanksAsListed: "as listed", fo.BanksClockwiseFromTop: "clockwise from the top", fo.BankSequence(99): "99",
		fo.NumbersOnly: "1 2 3", fo.SideThenPlace: "R1 L1", fo.Letters(99): "99", fo.AlongShaft: "along the shaft",
	} {
		if s.String() != want {
			t.Errorf("%q, want %q", s, want)
		}
	}
}

// Any scheme on any layout: a refusal with a type, or names that are all different
// and numbers that are a permutation.
func TestAnySchemeOnAnyLayout(t *testing.T) {
	rnd := rand.New(rand.NewPCG(4, 2))
	named := 0
	for range 4000 {
		c := random(rnd).layout(t).Config()
		c.NumberedFrom, c.Rotation = fo.End(rnd.IntN(3)), fo.Rotation(rnd.IntN(3))
		l, err := fo.NewLayout(c)
		if err != nil {
			t.Fatal(err)
		}
		x := fo.NamingConfig{Layout: l, Scheme: fo.Scheme{
			Numbering: fo.Numbering(1 + rnd.IntN(3)), CountFrom: fo.End(rnd.IntN(3)), Banks: fo.BankSequence(rnd.IntN(7)), Letters: fo.Letters(rnd.IntN(4)),
		}}
		if rnd.IntN(2) == 0 {
			u := deg(t, int64(rnd.IntN(24))*15)
			x.Up = &u
		}
		n, err := fo.NewNaming(x)
		if err != nil {
			typed(t, err)
			continue
		}
		named++
		names, numbers := n.Names(), n.Numbers()
		slices.Sort(names)
		slices.Sort(numbers)
		if len(slices.Compact(names)) != l.Cylinders() || numbers[0] != 1 || len(slices.Compact(numbers)) != l.Cylinders() || numbers[len(numbers)-1] != l.Cylinders() {
			t.Fatalf("%v %v for %+v", n.Names(), n.Numbers(), x.Scheme)
		}
		// The renumbered layout is the same engine: TDC agrees pair by pair.
		m := n.Numbers()
		a, err1 := l.TDC(slices.Index(m, 1) + 1)
		for i, k := range m {
			b, err2 := l.TDC(i + 1)
			d, err3 := n.Layout().TDC(k)
			if err := errors.Join(err1, err2, err3); err != nil {
				t.Fatal(err)
			}
			if diff := (b - a - d).WrapTurn(); diff > 1 && diff < units.CrankTurn-1 {
				t.Fatalf("cylinder %d at %v after %v, renumbered %v", i+1, b, a, d)
			}
		}
	}
	if named < 1000 {
		t.Errorf("only %d named", named)
	}
}
