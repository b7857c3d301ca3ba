package camtiming

import (
	"errors"
	"math"
	"slices"
	"strconv"

	"example.com/trialfit/units"
	"example.com/trialfit/units/material"
)

// LoopPlace says where a part stands in the loop of parts that closes over the
// lash, and so how its growth moves the lash at the valve. With R = the rocker
// ratio:
//
//	lash = (1 + R) pivot height - R pushrod top - valve tip
//
// all counted from the cam's axis along the lifter's travel.
type LoopPlace uint8

// Places in the loop. The factor is what the lash gains for each unit of growth.
const (
	// UnderPivotAndSeat carries both: block from cam axis to deck, head gasket.
	// Factor R.
	UnderPivotAndSeat LoopPlace = iota + 1
	// UnderPivot: head from its face to the rocker stand, the stand up to the
	// pivot. Factor 1 + R.
	UnderPivot
	// UnderSeat: head from its face to the valve seat. Factor -1.
	UnderSeat
	// OnLifterSide: base circle radius, lifter, pushrod, an adjusting screw at
	// the pushrod. Factor -R.
	OnLifterSide
	// OnValveSide: valve from its seat to its tip, lash cap, an adjusting screw
	// at the valve; the base circle radius, bucket and shim of a cam straight
	// above the valve. Factor -1.
	OnValveSide
	// UnderCam carries a cam that stands straight above the valve: head from the
	// seat to the cam's axis. Factor 1.
	UnderCam
)

// String names the place.
func (p LoopPlace) String() string {
	switch p {
	case UnderPivotAndSeat:
		return "under pivot and seat"
	case UnderPivot:
		return "under the pivot"
	case UnderSeat:
		return "under the seat"
	case OnLifterSide:
		return "on the lifter side"
	case OnValveSide:
		return "on the valve side"
	case UnderCam:
		return "under the cam"
	default:
		return "no place"
	}
}

// factor returns what the lash at the valve gains for a growth of 1.
func (p LoopPlace) factor(ratio float64) (float64, bool) {
	switch p {
	case UnderPivotAndSeat:
		return ratio, true
	case UnderPivot:
		return 1 + ratio, true
	case UnderSeat, OnValveSide:
		return -1, true
	case OnLifterSide:
		return -ratio, true
	case UnderCam:
		return 1, true
	default:
		return 0, false
	}
}

// LoopMember is one part of the loop. Name is for reports; the others are
// required.
type LoopMember struct {
	Name  string
	Place LoopPlace
	// Part is its length in the loop, as measured cold, and its material.
	Part material.Part
	// Hot is its mean temperature in the running engine.
	Hot units.Measured[units.Temperature]
}

// LashLoop are the parts that the lash of one valve depends on.
type LashLoop struct {
	// Ratio is the rocker ratio (a ratio), 1 for a cam straight above the valve.
	Ratio float64
	// Lash is the clearance at the valve, set with the parts at their cold
	// temperatures.
	Lash    units.Measured[units.Length]
	Members []LoopMember // 1 to 64
}

// LoopChange is what one part does to the lash.
type LoopChange struct {
	Name   string
	Growth units.Measured[units.Length] // of the part
	// Change is that of the lash at the valve: positive opens it.
	Change units.Measured[units.Length]

	factor float64
	source units.Source
}

// HotLash is the lash of one valve in the running engine.
type HotLash struct {
	// Lash is the clearance at the valve; negative: the valve is held off its
	// seat by as much.
	Lash units.Measured[units.Length]
	// Change is Lash less the cold one.
	Change  units.Measured[units.Length]
	Members []LoopChange

	ratio float64
	cold  units.Measured[units.Length]
}

const mostMembers = 64

// fromMaterial names the field of an error of package material in front of
// which it belongs.
func fromMaterial(field string, err error) error {
	var e *units.InputError
	if !errors.As(err, &e) {
		return err
	}
	f := *e
	f.Package, f.Field = "camtiming", field+"."+e.Field
	return &f
}

func (l *LashLoop) check() error {
	if err := (ValveGear{Ratio: l.Ratio}).check(); err != nil {
		return err
	}
	if l.Lash.Value < 0 || l.Lash.Value > 10*units.Millimeter {
		return fail("Lash", l.Lash.Value.String(), units.ErrRange, "want a lash of 0 to 10 mm")
	}
	if l.Lash.Stated && (l.Lash.U < 0 || l.Lash.U > 10*units.Millimeter) {
		return fail("Lash.U", l.Lash.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 10 mm")
	}
	if len(l.Members) == 0 {
		return fail("Members", "", units.ErrMissing, "want the parts of the loop")
	}
	if len(l.Members) > mostMembers {
		return fail("Members", strconv.Itoa(len(l.Members)), units.ErrRange, "want at most 64 parts")
	}
	return nil
}

// Hot answers what the lash is in the running engine: each part grows by its
// material and temperature (material.Part.Growth), and the lash by
//
//	lash = Lash + sum factor growth     u^2 = u_lash^2 + sum (factor u_growth)^2
//
// with the factor of each part's LoopPlace. The heights of a loop should close:
// a part that is left out counts as one that keeps its length. Temperatures and
// coefficients of the parts are taken as independent; parts of one casting share
// their error, which then cancels or adds. Not counted: the valve head's growth
// in its seat, bending of the stand, oil films, wear. Errors: a ratio outside
// 0.2 to 5, a lash outside 0 to 10 mm, more than 64 parts (ErrRange), no parts, a
// part without a place (ErrMissing), those of material.Part.Growth.
//
// Source: geometry of a lever about its pivot; JCGM 100:2008, 5.1.2.
//
// Rows: loop-hot, loop-hot-u, loop-hot-change, loop-bucket-hot, loop-aluminum-hot.
func (l LashLoop) Hot() (HotLash, error) {
	if err := l.check(); err != nil {
		return HotLash{}, err
	}
	r := HotLash{ratio: l.Ratio, cold: l.Lash, Members: make([]LoopChange, len(l.Members))}
	sum, u2, stated := units.Length(0), 0.0, true
	for i := range l.Members {
		m := &l.Members[i]
		field := "Members[" + strconv.Itoa(i) + "]"
		f, ok := m.Place.factor(l.Ratio)
		if !ok {
			return HotLash{}, fail(field+".Place", "", units.ErrMissing, "want where the part stands in the loop")
		}
		g, err := m.Part.Growth(m.Hot)
		if err != nil {
			if e := (*units.InputError)(nil); errors.As(err, &e) && (e.Field == "t" || e.Field == "t.U") {
				return HotLash{}, fail(field+".Hot"+e.Field[1:], e.Value, e.Kind, e.Reason)
			}
			return HotLash{}, fromMaterial(field+".Part", err)
		}
		// At most 500 m times 6: no overflow.
		c := units.Measured[units.Length]{Value: length(f * g.Value.Meters()), Stated: g.Stated}
		if g.Stated {
			c.U = length(math.Abs(f) * g.U.Meters())
		}
		r.Members[i] = LoopChange{Name: m.Name, Growth: g, Change: c, factor: f, source: m.Part.Expansion.Source}
		sum += c.Value
		u2 += squared(f * g.U.Meters())
		stated = stated && g.Stated
	}
	r.Change = units.Measured[units.Length]{Value: sum, Stated: stated}
	r.Lash = units.Measured[units.Length]{Value: l.Lash.Value + sum, Stated: stated && l.Lash.Stated}
	if stated {
		r.Change.U = length(math.Sqrt(u2))
	}
	if r.Lash.Stated {
		r.Lash.U = length(math.Sqrt(u2 + squared(l.Lash.U.Meters())))
	}
	return r, nil
}

// ColdFor answers which lash to set cold so that a wanted one is left in the
// running engine: wanted - Change. Its uncertainty is that of the change. Errors:
// those of Hot, a wanted lash outside 0 to 10 mm (ErrRange), and one that
// needs a negative setting (ErrImpossible).
//
// Rows: loop-cold-for.
func (l LashLoop) ColdFor(hot units.Length) (units.Measured[units.Length], error) {
	l.Lash = units.Measured[units.Length]{} // not used
	h, err := l.Hot()
	if err != nil {
		return units.Measured[units.Length]{}, err
	}
	if hot < 0 || hot > 10*units.Millimeter {
		return units.Measured[units.Length]{}, fail("hot", hot.String(), units.ErrRange, "want a lash of 0 to 10 mm")
	}
	c := h.Change
	c.Value = hot - c.Value
	if c.Value < 0 {
		return units.Measured[units.Length]{}, fail("hot", hot.String(), units.ErrImpossible, "the loop opens by more than that on warming")
	}
	return c, nil
}

// Gear returns rocker ratio and hot lash for ValveTiming. A negative lash is
// ErrImpossible: the valve is held off its seat, by Lash. No result of
// LashLoop.Hot is ErrMissing.
//
// Rows: loop-warm-ivo, loop-warm-evc, loop-warm-duration.
func (h HotLash) Gear() (ValveGear, error) {
	if h.ratio == 0 {
		return ValveGear{}, fail("HotLash", "", units.ErrMissing, "want a result of LashLoop.Hot")
	}
	if h.Lash.Value < 0 {
		return ValveGear{}, fail("Lash", h.Lash.Value.String(), units.ErrImpossible, "no lash is left: the valve is held off its seat")
	}
	g := ValveGear{Ratio: h.ratio, Lash: h.Lash.Value}
	if err := g.check(); err != nil {
		return ValveGear{}, err
	}
	return g, nil
}

// Working shows what each part does and the sum.
func (h HotLash) Working() units.Working {
	if h.ratio == 0 {
		return nil
	}
	w := make(units.Working, 0, len(h.Members)+1)
	for i, m := range h.Members {
		w = append(w, units.Step{
			Symbol: "d" + strconv.Itoa(i+1), Formula: "factor x growth, " + m.Name, Source: m.source, Value: m.Change.String(),
			Numbers: strconv.FormatFloat(m.factor, 'g', 6, 64) + " x " + m.Growth.Value.String(),
		})
	}
	return append(w, units.Step{
		Symbol: "lash", Formula: "cold lash + sum of d", Value: h.Lash.String(),
		Numbers: h.cold.Value.String() + " + " + h.Change.Value.String(),
		Source:  units.Source{Text: "geometry of a lever about its pivot", Provenance: units.Computed},
	})
}

// WarmUpInput asks what warming does to the timing. Advance and Separation are
// those of an Installation; ratios and lashes come from the loops.
type WarmUpInput struct {
	CheckLift       units.Length // at the valves
	Advance         units.CrankAngle
	Separation      units.Optional[units.CamAngle]
	Intake, Exhaust LashLoop
}

// WarmUp is the timing cold and hot.
type WarmUp struct {
	Intake, Exhaust HotLash
	// Timing holds the cold engine as Before and the hot one as After.
	Timing TimingChange
}

// WarmUp answers what the change of lash between the cold and the running engine
// does to every event: the lash of both valves by LashLoop.Hot, the events at the
// cold and at the hot lash by Change. Errors: those of LashLoop.Hot and of
// Change, and a lash that is gone (ErrImpossible), with Intake or Exhaust in
// front of the field.
//
// Rows: loop-warm-ivo, loop-warm-evc, loop-warm-duration.
func (c *Cam) WarmUp(in WarmUpInput) (WarmUp, error) {
	var r WarmUp
	cold := Installation{Advance: in.Advance, Separation: in.Separation}
	hot := cold
	for _, side := range [...]struct {
		name   string
		loop   *LashLoop
		result *HotLash
		cold   *ValveGear
		hot    *ValveGear
	}{
		{"Intake", &in.Intake, &r.Intake, &cold.Intake, &hot.Intake},
		{"Exhaust", &in.Exhaust, &r.Exhaust, &cold.Exhaust, &hot.Exhaust},
	} {
		h, err := side.loop.Hot()
		if err != nil {
			return WarmUp{}, inField(side.name, err)
		}
		*side.result = h
		*side.cold = ValveGear{Ratio: side.loop.Ratio, Lash: side.loop.Lash.Value}
		if *side.hot, err = h.Gear(); err != nil {
			return WarmUp{}, inField(side.name, err)
		}
	}
	var err error
	if r.Timing, err = c.Change(ChangeInput{CheckLift: in.CheckLift, Before: cold, After: hot}); err != nil {
		return WarmUp{}, err
	}
	return r, nil
}

// Working shows the lash of both valves and the change of each figure.
func (w WarmUp) Working() units.Working {
	if w.Intake.ratio == 0 {
		return nil
	}
	return slices.Concat(w.Intake.Working(), w.Exhaust.Working(), w.Timing.Working())
}
