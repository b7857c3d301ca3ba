package valvetrain

import (
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/integrate/quad"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// AngleArea is an area integrated over the angle, in square meter crank
// degrees.
type AngleArea float64

// SquareMillimeterCrankDegrees returns the value in mm2 crank degrees.
//
// Rows: timearea-total.
func (a AngleArea) SquareMillimeterCrankDegrees() float64 { return float64(a) * 1e6 }

// String returns the value in square meter crank degrees.
func (a AngleArea) String() string {
	return strconv.FormatFloat(float64(a), 'g', -1, 64) + " m2 crank deg"
}

// TimeArea is an area integrated over time, in square meter seconds.
type TimeArea float64

// String returns the value in square meter seconds.
func (a TimeArea) String() string { return strconv.FormatFloat(float64(a), 'g', -1, 64) + " m2 s" }

// DischargeAt is a discharge coefficient as a flow bench gives it at a lift.
type DischargeAt struct {
	Lift        units.Length // of the valve
	Coefficient float64      // flow over that of the geometric area, a ratio
}

// ValveEvent is a valve under its lobe.
type ValveEvent struct {
	Curve camtiming.LiftCurve // lift of the lifter
	Gear  camtiming.ValveGear
	Valve FlowValve
	// Discharge weighs the geometric area, by straight lines between the
	// readings, unchanged below the first and above the last. Empty: 1 throughout.
	Discharge []DischargeAt
}

// EventArea is how much way through a valve an event offers.
type EventArea struct {
	Area AngleArea // over the event
	// Opens and Closes are where the valve leaves and meets its seat, from the
	// nose.
	Opens, Closes units.CamAngle
	Duration      units.CrankAngle
	Mean          units.Area // over the event
	// Largest is the most that Cd A comes to on the way: at the nose, but where the
	// coefficient falls faster than the area still grows before it.
	Largest units.Area
	Lift    units.Length
}

// MeanArea answers how much way through the valve one event offers:
//
//	Area = integral of Cd(L) A(L) over the crank angle while the valve is open
//	Mean = Area/Duration
//
// with A = FlowValve.FlowArea, Cd = Discharge, L = lift at the valve, Gear.Ratio times that
// of Curve less Gear.Lash. It is integrated with 16 Gauss-Legendre points from one
// kink to the next: joins of the curve, seat and stages of the valve, readings of
// the bench. Errors: those of FlowValve.FlowArea in field Valve, of the curve in
// Curve, of ValveGear.ValveLift in Gear, a valve that the lash keeps shut (ErrImpossible),
// and readings that are not in order of lift or whose coefficient is not over 0 and
// up to 2.
//
// Source: definition; Heywood, Internal Combustion Engine Fundamentals, section
// 6.3.2; quadrature by gonum.
//
// Rows: timearea-total, timearea-mean, timearea-weighted, timearea-lash,
// timearea-duration, timearea-throat.
func (v ValveEvent) MeanArea() (EventArea, error) {
	s, err := v.Valve.seat()
	if err != nil {
		return EventArea{}, prefixed("Valve", err)
	}
	joins, top, err := geared(v.Curve, v.Gear)
	if err != nil {
		return EventArea{}, err
	}
	last := units.Length(-1)
	for i, d := range v.Discharge {
		if d.Lift < 0 || d.Lift <= last || d.Lift > maxSize {
			return EventArea{}, fail(at("Discharge", i)+".Lift", text(d.Lift), units.ErrRange, "want lifts of 0 or more in increasing order")
		}
		if !(d.Coefficient > 0 && d.Coefficient <= 2) {
			return EventArea{}, fail(at("Discharge", i)+".Coefficient", plain(d.Coefficient), units.ErrRange, "want a coefficient over 0 and up to 2")
		}
		last = d.Lift
	}
	open, closes := joins[0], joins[len(joins)-1]
	kinks := append(make([]units.Length, 0, 3+len(v.Discharge)), 0, count(min(s.gap, 1)), count(s.full))
	for _, d := range v.Discharge {
		kinks = append(kinks, d.Lift)
	}
	for _, k := range kinks {
		if k >= top {
			continue
		}
		lifter, err := v.Gear.LifterLift(k)
		if err != nil {
			return EventArea{}, prefixed("Gear", err)
		}
		if lifter == 0 {
			continue
		}
		o, err := camtiming.OpeningAt(v.Curve, lifter)
		if err != nil {
			return EventArea{}, ofCurve(err)
		}
		if k == 0 {
			open, closes = o.Opens, o.Closes
		}
		joins = append(joins, o.Opens, o.Closes)
	}
	slices.Sort(joins)
	slices.Sort(kinks)
	kinks = append(slices.DeleteFunc(kinks, func(k units.Length) bool { return k >= top }), top)
	ratio, lash := v.Gear.Ratio, v.Gear.Lash.Meters()
	area := func(deg float64) float64 {
		l := ratio*v.Curve.Lift(camAngle(deg)).Meters() - lash
		a, _ := s.area(l)
		return a * discharge(v.Discharge, l)
	}
	sum := 0.0
	for i := range len(joins) - 1 {
		if lo, hi := max(joins[i], open), min(joins[i+1], closes); lo < hi {
			sum += quad.Fixed(area, lo.Degrees(), hi.Degrees(), 16, quad.Legendre{}, 0)
		}
	}
	e := EventArea{
		Area: AngleArea(2 * sum), Opens: open, Closes: closes, Duration: (closes - open).Crank(),
		Mean: units.Area(sum / (closes - open).Degrees()), Largest: units.Area(s.most(v.Discharge, kinks, area(0))), Lift: top,
	}
	return e, nil
}

// most returns the largest weighted area at the lifts up to the last kink, and no
// less than the one known. Between two kinks the product has one hump: it is closed
// in on by thirds.
func (s *seat) most(d []DischargeAt, kinks []units.Length, known float64) float64 {
	at := func(l float64) float64 { a, _ := s.area(l); return a * discharge(d, l) }
	best := known
	for i := 1; i < len(kinks); i++ {
		lo, hi := kinks[i-1].Meters(), kinks[i].Meters()
		for range 60 {
			third := (hi - lo) / 3
			if at(lo+third) < at(hi-third) {
				lo += third
			} else {
				hi -= third
			}
		}
		best = max(best, at((lo+hi)/2), at(kinks[i-1].Meters()))
	}
	return best
}

// discharge returns the coefficient at a lift.
func discharge(d []DischargeAt, lift float64) float64 {
	if len(d) == 0 {
		return 1
	}
	for i := range d {
		if lift < d[i].Lift.Meters() {
			if i == 0 {
				break
			}
			a, b := d[i-1], d[i]
			return a.Coefficient + (b.Coefficient-a.Coefficient)*(lift-a.Lift.Meters())/(b.Lift-a.Lift).Meters()
		}
		if i == len(d)-1 {
			return d[i].Coefficient
		}
	}
	return d[0].Coefficient
}

// geared checks a curve and its gear and returns the joins of the curve and the
// lift at the valve.
func geared(c camtiming.LiftCurve, g camtiming.ValveGear) ([]units.CamAngle, units.Length, error) {
	joins, err := camtiming.Joins(c)
	if err != nil {
		return nil, 0, ofCurve(err)
	}
	top, err := g.ValveLift(c.MaxLift())
	if err != nil {
		return nil, 0, prefixed("Gear", err)
	}
	if top <= 0 || top > maxSize {
		return nil, 0, fail("Gear.Lash", text(g.Lash), units.ErrImpossible, "the lash is more than the lift: the valve stays shut")
	}
	return joins, top, nil
}

func camAngle(deg float64) units.CamAngle {
	return units.CamAngle(math.RoundToEven(deg * float64(units.CamDegree)))
}

// In answers how much of the area a crank speed leaves time for: Area over the
// crank speed. A speed not over 0 is refused, as is one that leaves no finite
// time.
//
// Source: definition.
//
// Rows: timearea-time.
func (e EventArea) In(crank units.AngularSpeed) (TimeArea, error) {
	if err := checkOver("crank", crank, maxSpin, "want a crank speed over 0 and up to 1e5 rad/s"); err != nil {
		return 0, err
	}
	if t := float64(e.Area) / crank.DegreesPerSecond(); math.Abs(t) <= math.MaxFloat64 {
		return TimeArea(t), nil
	}
	return 0, fail("crank", crank.String(), units.ErrRange, "want a speed that leaves the time finite")
}

// Working returns the derivation.
func (e EventArea) Working() units.Working {
	mm := plain(e.Area.SquareMillimeterCrankDegrees()) + " mm2 crank deg"
	return units.Working{
		{Symbol: "duration", Formula: "closes - opens", Numbers: e.Closes.Crank().Text(2) + " - (" + e.Opens.Crank().Text(2) + ")", Value: e.Duration.Text(2), Source: definition},
		{Symbol: "area", Formula: "integral of Cd A over the crank angle", Numbers: "lift " + text(e.Lift), Value: mm, Source: flowSource},
		{Symbol: "mean", Formula: "area/duration", Numbers: mm + "/" + e.Duration.Text(2), Value: plain(e.Mean.SquareMillimeters()) + " mm2", Source: definition},
	}
}
