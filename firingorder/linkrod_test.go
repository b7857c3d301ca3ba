package firingorder_test

import (
	"errors"
	"math"
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func linkRod(tb testing.TB, axis, pin int64) fo.LinkRod {
	tb.Helper()
	mm := units.Millimeter
	return fo.LinkRod{CrankRadius: 70 * mm, MasterRod: 270 * mm, LinkRadius: 65 * mm, Rod: 205 * mm, Axis: deg(tb, axis), PinAngle: deg(tb, pin)}
}

// height is the piston pin above the crank axis from the distances alone: the two
// circles round the crank pin and the link pin, no derivative, no lean angle.
func height(r fo.LinkRod, t float64) float64 {
	mm := func(l units.Length) float64 { return l.Millimeters() }
	px, py := mm(r.CrankRadius)*math.Cos(t), mm(r.CrankRadius)*math.Sin(t)
	top := px + math.Sqrt(mm(r.MasterRod)*mm(r.MasterRod)-py*py) // on the master axis
	ux, uy := (top-px)/mm(r.MasterRod), -py/mm(r.MasterRod)
	k, b := r.PinAngle.Angle().Radians(), r.Axis.Angle().Radians()
	qx := px + mm(r.LinkRadius)*(ux*math.Cos(k)-uy*math.Sin(k))
	qy := py + mm(r.LinkRadius)*(ux*math.Sin(k)+uy*math.Cos(k))
	along, off := qx*math.Cos(b)+qy*math.Sin(b), -qx*math.Sin(b)+qy*math.Cos(b)
	return along + math.Sqrt(mm(r.Rod)*mm(r.Rod)-off*off)
}

// thirds narrows an interval in which f has one maximum.
func thirds(f func(float64) float64, a, b float64) float64 {
	for range 80 {
		p, q := a+(b-a)/3, b-(b-a)/3
		if f(p) < f(q) {
			a = p
		} else {
			b = q
		}
	}
	return (a + b) / 2
}

func TestLinkRodAgainstSearch(t *testing.T) {
	for _, axis := range []int64{-144, -72, -40, 0, 40, 72, 80, 120, 144, 160, 180, 240} {
		for _, extra := range []int64{-5, 0, 3} {
			r := linkRod(t, axis, axis+extra)
			got, err := r.Travel()
			if err != nil {
				t.Fatal(err)
			}
			b := r.Axis.Angle().Radians()
			up := func(x float64) float64 { return height(r, x) }
			down := func(x float64) float64 { return -height(r, x) }
			top := thirds(up, b-0.6, b+0.6)
			bottom := thirds(down, b+math.Pi-0.6, b+math.Pi+0.6)
			// a search on z finds its place to the root of the rounding
			if want := (top - b) * 180 / math.Pi; math.Abs(got.Shift.Degrees()-want) > 2e-5 {
				t.Errorf("axis %d, pin %+d: shift %v, want %g", axis, extra, got.Shift, want)
			}
			if want := up(top); math.Abs(got.Top.Millimeters()-want) > 1e-8 {
				t.Errorf("axis %d: top %v, want %g", axis, got.Top, want)
			}
			if want := up(top) + down(bottom); math.Abs(got.Stroke.Millimeters()-want) > 1e-8 {
				t.Errorf("axis %d: stroke %v, want %g", axis, got.Stroke, want)
			}
		}
	}
}

// Mirrored cylinders shift by the same amount the other way; a rod on the crank pin
// itself and one straight above the master rod shift nothing and have the stroke of
// the crank.
func TestLinkRodProperties(t *testing.T) {
	for axis := int64(0); axis <= 180; axis += 20 {
		a, err1 := linkRod(t, axis, axis).Travel()
		b, err2 := linkRod(t, -axis, -axis).Travel()
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		if d := a.Shift + b.Shift; d.Abs() > 20 || (a.Top-b.Top).Abs() > units.Nanometer || (a.Stroke-b.Stroke).Abs() > units.Nanometer {
			t.Errorf("axis %d: %+v, mirrored %+v", axis, a, b)
		}
		concentric := linkRod(t, axis, 77)
		concentric.LinkRadius, concentric.Rod = 0, concentric.MasterRod
		c, err := concentric.Travel()
		if err != nil || c.Shift.Abs() > 20 || (c.Stroke-140*units.Millimeter).Abs() > units.Nanometer || (c.Top-340*units.Millimeter).Abs() > units.Nanometer {
			t.Errorf("concentric at %d: %+v, %v", axis, c, err)
		}
	}
	master, err := linkRod(t, 0, 0).Travel()
	if err != nil || master.Shift.Abs() > 20 || (master.Top-340*units.Millimeter).Abs() > units.Nanometer || (master.Stroke-140*units.Millimeter).Abs() > units.Nanometer {
		t.Errorf("along the master rod: %+v, %v", master, err)
	}
	if len(master.Working()) == 0 || (fo.LinkRodTravel{}).Working() != nil {
		t.Error("working")
	}
}

func TestLinkRodRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*fo.LinkRod)
		field string
		kind  error
	}{
		"zero":                 {func(r *fo.LinkRod) { *r = fo.LinkRod{} }, "CrankRadius", units.ErrMissing},
		"no master rod":        {func(r *fo.LinkRod) { r.MasterRod = 0 }, "MasterRod", units.ErrMissing},
		"no rod":               {func(r *fo.LinkRod) { r.Rod = 0 }, "Rod", units.ErrMissing},
		"negative crank":       {func(r *fo.LinkRod) { r.CrankRadius = -1 }, "CrankRadius", units.ErrRange},
		"negative link radius": {func(r *fo.LinkRod) { r.LinkRadius = -1 }, "LinkRadius", units.ErrRange},
		"smallest":             {func(r *fo.LinkRod) { r.Rod = math.MinInt64 }, "Rod", units.ErrRange},
		"largest":              {func(r *fo.LinkRod) { r.Rod = math.MaxInt64 }, "Rod", units.ErrRange},
		"swapped":              {func(r *fo.LinkRod) { r.CrankRadius, r.MasterRod = r.MasterRod, r.CrankRadius }, "MasterRod", units.ErrImpossible},
		"as long as the crank": {func(r *fo.LinkRod) { r.MasterRod = r.CrankRadius }, "MasterRod", units.ErrImpossible},
		"too short a link rod": {func(r *fo.LinkRod) { r.Rod = 60 * units.Millimeter }, "Rod", units.ErrImpossible},
	} {
		r := linkRod(t, 72, 72)
		c.spoil(&r)
		x, err := r.Travel()
		refused(t, name, x != fo.LinkRodTravel{}, err, c.field, c.kind)
	}
}

func TestLinkRodAllocatesNothing(t *testing.T) {
	r := linkRod(t, 72, 72)
	if n := testing.AllocsPerRun(20, func() { sinkTravel, _ = r.Travel() }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

var sinkTravel fo.LinkRodTravel
