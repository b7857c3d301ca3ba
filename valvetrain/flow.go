package valvetrain

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

// FlowValve is what of a poppet valve and its port bounds the flow.
type FlowValve struct {
	Head units.Length // outer diameter of the seat face on the valve
	// Seat is the width of the seat in the plane of the head, half the
	// difference of its outer and inner diameter. 0 is a sharp edge.
	Seat  units.Length
	Angle PlaneAngle
	Port  units.Length // inner diameter of the port at the throat
	Stem  units.Length // diameter of the stem; 0 where it does not stand in the throat
}

// FlowStage says what bounds the flow.
type FlowStage uint8

// The three stages of a lift.
const (
	// SeatSlant is the slant face of a cone between the seats.
	SeatSlant FlowStage = iota + 1
	// SeatGap is the gap between the inner edge of the seat and the valve.
	SeatGap
	// Throat is the port less the stem.
	Throat
)

// String returns the stage in words.
func (s FlowStage) String() string {
	switch s {
	case 0:
		return "closed"
	case SeatSlant:
		return "seat, slant face"
	case SeatGap:
		return "seat, gap"
	case Throat:
		return "throat"
	default:
		return "unknown stage"
	}
}

// FlowArea is the geometric flow area of a valve at a lift.
type FlowArea struct {
	Lift    units.Length
	Area    units.Area // the least of the way through
	Stage   FlowStage  // what bounds it; 0 where the valve is closed
	Curtain units.Area // pi Head Lift, which discharge coefficients often refer to
}

// FlowStages are the lifts at which what bounds the flow changes.
type FlowStages struct {
	// Gap is where SeatSlant ends. A valve with a flat seat has none and a
	// port that is smaller than the seat never gets there: then HasGap is false.
	Gap    units.Length
	HasGap bool
	// Throat is the lift from which the throat bounds the flow.
	Throat     units.Length
	ThroatArea units.Area
	// Quarter is a quarter of the head's diameter, at which the curtain equals
	// the area of the head.
	Quarter units.Length

	valve FlowValve
}

// Working returns the derivation.
func (f FlowStages) Working() units.Working {
	v := f.valve
	if v.Head == 0 {
		return nil
	}
	gap := "none: a flat seat, or a port smaller than the seat"
	if f.HasGap {
		gap = text(f.Gap)
	}
	mm2 := plain(f.ThroatArea.SquareMillimeters()) + " mm2"
	return units.Working{
		{Symbol: "L1", Formula: "w/(sin b cos b)", Numbers: "w = " + num(v.Seat) + ", b = " + degreesText(v.Angle), Value: gap, Source: flowSource},
		{Symbol: "throat", Formula: "pi/4 (Dp^2 - Ds^2)", Numbers: "Dp = " + num(v.Port) + ", Ds = " + num(v.Stem), Value: mm2, Source: flowSource},
		{Symbol: "L2", Formula: "lift at which the seat's area equals the throat", Value: text(f.Throat), Source: flowSource},
		{Symbol: "quarter", Formula: "Dv/4", Numbers: num(v.Head) + "/4", Value: text(f.Quarter), Source: definition},
	}
}

// seat is a checked FlowValve in meters.
type seat struct {
	d, w, sin, cos, throat float64
	gap, full              float64 // lifts; gap is +Inf where there is none
}

func (v FlowValve) seat() (seat, error) {
	if err := checkSize("Head", v.Head); err != nil {
		return seat{}, err
	}
	if err := checkSpan("Seat", v.Seat); err != nil {
		return seat{}, err
	}
	if 2*v.Seat >= v.Head {
		return seat{}, fail("Seat", text(v.Seat), units.ErrImpossible, "want less than half the head's diameter, "+text(v.Head/2))
	}
	if !(v.Angle >= 0 && v.Angle.Degrees() <= 80*(1+1e-12)) {
		return seat{}, fail("Angle", v.Angle.String(), units.ErrRange, "want an angle of 0 to 80 deg")
	}
	if err := checkSize("Port", v.Port); err != nil {
		return seat{}, err
	}
	if v.Port > v.Head {
		return seat{}, fail("Port", text(v.Port), units.ErrImpossible, "want at most the head's diameter, "+text(v.Head))
	}
	if err := checkSpan("Stem", v.Stem); err != nil {
		return seat{}, err
	}
	if v.Stem >= v.Port {
		return seat{}, fail("Stem", text(v.Stem), units.ErrImpossible, "want less than the port's diameter, "+text(v.Port))
	}
	p, st := v.Port.Meters(), v.Stem.Meters()
	s := seat{d: v.Head.Meters(), w: v.Seat.Meters(), throat: math.Pi / 4 * (p - st) * (p + st), gap: math.Inf(1)}
	s.sin, s.cos = math.Sincos(float64(v.Angle))
	if v.Angle == PlaneDegrees(45) {
		s.sin, s.cos = math.Sqrt2/2, math.Sqrt2/2
	}
	if s.sin > 0 {
		s.gap = s.w / (s.sin * s.cos)
	}
	// Where the seat's own area reaches that of the throat, in the stage where it
	// does.
	if !(s.open(s.gap) < s.throat) { // also where there is no gap
		// pi L cos (d0 + L sin cos) = throat, d0 = Head - 2 Seat
		d0, t := s.d-2*s.w, s.throat/(math.Pi*s.cos)
		s.full = 2 * t / (d0 + math.Sqrt(d0*d0+4*s.sin*s.cos*t))
		s.gap = math.Inf(1)
	} else {
		h := s.throat / (math.Pi * (s.d - s.w))
		s.full = math.Sqrt((h-s.w)*(h+s.w)) + s.w*s.sin/s.cos
	}
	return s, nil
}

// open returns the area at the seat, the throat left aside.
func (s *seat) open(l float64) float64 {
	if l <= s.gap {
		return math.Pi * l * s.cos * (s.d - 2*s.w + l*s.sin*s.cos)
	}
	return math.Pi * (s.d - s.w) * math.Hypot(l-s.w*s.sin/s.cos, s.w)
}

func (s *seat) area(l float64) (float64, FlowStage) {
	switch {
	case l <= 0:
		return 0, 0
	case l >= s.full:
		return s.throat, Throat
	case l <= s.gap:
		return s.open(l), SeatSlant
	default:
		return s.open(l), SeatGap
	}
}

// FlowArea answers how large the way through a valve is at a lift, the least of
// three:
//
//	SeatSlant  pi L cos(b) (Dv - 2 w + (L/2) sin(2 b))       0 < L < w/(sin(b) cos(b))
//	SeatGap    pi Dm sqrt((L - w tan(b))^2 + w^2)            Dm = Dv - w
//	Throat     pi/4 (Dp^2 - Ds^2)                            from
//	           L = sqrt(((Dp^2 - Ds^2)/(4 Dm))^2 - w^2) + w tan(b)
//
// with L = lift, Dv = Head, w = Seat, b = Angle, Dp = Port, Ds = Stem. The area
// does not jump between the stages. Where the throat is smaller than what the seat
// offers at the end of SeatSlant, SeatGap is never reached and the throat takes
// over where the two are equal. It is geometry: the flow is less by a discharge
// coefficient. It does not allocate.
//
// The head must be over 0, the seat less than half of it, the angle 0 to 80 deg,
// the port no larger than the head and the stem smaller than the port
// (ErrMissing, ErrRange, ErrImpossible); a lift that is negative or over 10 m is
// ErrRange.
//
// Source: Heywood, Internal Combustion Engine Fundamentals, section 6.3, eqs.
// (6.7) to (6.9).
//
// Rows: hey-A-0p5, hey-A-1p0, hey-A-2p0, hey-A-3p0, hey-A-4p0, hey-A-6p0,
// hey-A-7p0, hey-A-8p0, hey-A-10p0, curtain, flow-30-slant, flow-30-gap,
// flow-flat, flow-small-port.
func (v FlowValve) FlowArea(lift units.Length) (FlowArea, error) {
	s, err := v.seat()
	if err != nil {
		return FlowArea{}, err
	}
	if err := checkSpan("lift", lift); err != nil {
		return FlowArea{}, err
	}
	a, stage := s.area(lift.Meters())
	return FlowArea{Lift: lift, Area: units.Area(a), Stage: stage, Curtain: units.Area(math.Pi * s.d * lift.Meters())}, nil
}

// Stages answers at which lifts what bounds the flow changes; the formulas are
// those of FlowArea. Errors as there.
//
// Source: Heywood, Internal Combustion Engine Fundamentals, section 6.3.
//
// Rows: curtain-quarter, flow-stage-gap, flow-stage-throat, flow-small-throat.
func (v FlowValve) Stages() (FlowStages, error) {
	s, err := v.seat()
	if err != nil {
		return FlowStages{}, err
	}
	f := FlowStages{Throat: count(s.full), ThroatArea: units.Area(s.throat), Quarter: count(s.d / 4), valve: v}
	if !math.IsInf(s.gap, 1) {
		f.Gap, f.HasGap = count(s.gap), true
	}
	return f, nil
}

// GasConstant is the gas constant of one gas, J/(kg K): 287 for air.
type GasConstant float64

// String returns the constant in J/(kg K).
func (r GasConstant) String() string {
	return strconv.FormatFloat(float64(r), 'g', -1, 64) + " J/(kg K)"
}

// IdealGas is a gas at a temperature.
type IdealGas struct {
	Temperature units.Temperature
	Ratio       float64 // of the specific heats: 1.4 for air
	Constant    GasConstant
}

// SpeedOfSound answers how fast sound runs in the gas:
//
//	a = sqrt(gamma R T)
//
// with gamma = Ratio, R = Constant (J/(kg K)), T = Temperature (K). A ratio not
// over 1 or over 2, a constant or a temperature not over 0 are refused.
//
// Source: Anderson, Modern Compressible Flow, ch. 3: sound in a perfect gas.
//
// Rows: sound-air-340, sound-air-288.
func (g IdealGas) SpeedOfSound() (units.Speed, error) {
	if !(g.Ratio > 1 && g.Ratio <= 2) {
		return 0, fail("Ratio", plain(g.Ratio), units.ErrRange, "want a ratio of specific heats over 1 and up to 2")
	}
	if err := checkOver("Constant", g.Constant, 1e5, "want a gas constant over 0 and up to 1e5 J/(kg K)"); err != nil {
		return 0, err
	}
	if t := g.Temperature.Kelvins(); !(t > 0 && t <= 1e4) {
		return 0, fail("Temperature", g.Temperature.String(), units.ErrRange, "want a temperature over 0 K and up to 10000 K")
	}
	return units.Speed(math.Sqrt(g.Ratio * float64(g.Constant) * g.Temperature.Kelvins())), nil
}

// InletMach is what the mean inlet Mach index of a cylinder depends on.
type InletMach struct {
	Bore, Stroke units.Length
	Valve        units.Length // diameter of the inlet valve's head
	Valves       int          // inlet valves of the cylinder
	Crank        units.AngularSpeed
	// Discharge is the mean flow coefficient of the inlet valve over its
	// opening, referred to the area of the head, a ratio.
	Discharge float64
	Sound     units.Speed // speed of sound at the inlet
}

// InletMachIndex is the index and the piston speed it rests on.
type InletMachIndex struct {
	Spec InletMach
	// Index is Z, a ratio.
	Index  float64
	Piston units.Speed // mean piston speed
}

func (m InletMach) check(valve bool) error {
	for _, l := range [...]struct {
		field string
		l     units.Length
	}{{"Bore", m.Bore}, {"Stroke", m.Stroke}, {"Valve", m.Valve}} {
		if l.field == "Valve" && !valve {
			continue
		}
		if err := checkSize(l.field, l.l); err != nil {
			return err
		}
	}
	if valve && m.Valve > m.Bore {
		return fail("Valve", text(m.Valve), units.ErrImpossible, "want at most the bore, "+text(m.Bore))
	}
	if m.Valves < 1 || m.Valves > 8 {
		return fail("Valves", strconv.Itoa(m.Valves), units.ErrRange, "want 1 to 8 inlet valves")
	}
	if err := checkOver("Crank", m.Crank, maxSpin, "want a crank speed over 0 and up to 1e5 rad/s"); err != nil {
		return err
	}
	if !(m.Discharge > 1e-6 && m.Discharge <= 1) {
		return fail("Discharge", plain(m.Discharge), units.ErrRange, "want a mean flow coefficient over 0 and up to 1")
	}
	if err := checkOver("Sound", m.Sound, 1e5, "want a speed of sound of 1 m/s to 1e5 m/s"); err != nil {
		return err
	}
	if m.Sound < 1 {
		return fail("Sound", m.Sound.String(), units.ErrRange, "want a speed of sound of 1 m/s to 1e5 m/s")
	}
	return nil
}

// Piston returns the mean piston speed, two strokes a turn.
func (m InletMach) piston() float64 {
	return 2 * m.Stroke.Meters() * m.Crank.RevolutionsPerSecond()
}

// Index answers how near to choking the inlet is:
//
//	Z = (Bore/Valve)^2 Up/(n Ci a)     Up = 2 Stroke N
//
// with n = Valves, Ci = Discharge, a = Sound, N = Crank. The volumetric
// efficiency of an engine falls steeply where Z is over about 0.6; that limit is
// not applied here. Sizes and speeds must be over 0, the valve no larger than the
// bore, the coefficient over 0 and up to 1.
//
// Source: Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1,
// ch. 6; Heywood, Internal Combustion Engine Fundamentals, section 6.2.2.
//
// Rows: raj-7-12-z1, mach-two-valves, mach-piston.
func (m InletMach) Index() (InletMachIndex, error) {
	if err := m.check(true); err != nil {
		return InletMachIndex{}, err
	}
	u := m.piston()
	return InletMachIndex{
		Spec: m, Piston: units.Speed(u),
		Index: squared(m.Bore.Meters()/m.Valve.Meters()) * u / (float64(m.Valves) * m.Discharge * float64(m.Sound)),
	}, nil
}

// ValveFor answers how large an inlet valve must be for a Mach index, Valve =
// Bore sqrt(Up/(n Ci a Z)). The field Valve is not read. Errors as for Index; an
// index not over 0 or over 10, or one that wants a valve larger than the bore, is
// ErrRange.
//
// Source: as Index.
//
// Rows: raj-7-12-d1, raj-7-12-d2.
func (m InletMach) ValveFor(index float64) (units.Length, error) {
	if err := m.check(false); err != nil {
		return 0, err
	}
	if !(index > 0 && index <= 10) {
		return 0, fail("index", plain(index), units.ErrRange, "want an index over 0 and up to 10")
	}
	d := m.Bore.Meters() * math.Sqrt(m.piston()/(float64(m.Valves)*m.Discharge*float64(m.Sound)*index))
	if !(d > 0 && d <= m.Bore.Meters()) {
		return 0, fail("index", plain(index), units.ErrRange, "the valve would be larger than the bore")
	}
	return count(d), nil
}

var (
	flowSource = units.Source{Text: "Heywood, Internal Combustion Engine Fundamentals, section 6.3, eqs. (6.7) to (6.9)", Provenance: units.Memory}
	machSource = units.Source{Text: "Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, ch. 6", Provenance: units.Memory}
)

// Working returns the derivation.
func (m InletMachIndex) Working() units.Working {
	s := m.Spec
	up := plain(float64(m.Piston)) + " m/s"
	return units.Working{
		{Symbol: "Up", Formula: "2 stroke N", Numbers: "2 * " + num(s.Stroke) + " * " + plain(s.Crank.RevolutionsPerMinute()) + " rpm", Value: up, Source: definition},
		{Symbol: "Z", Formula: "(bore/valve)^2 Up/(n Ci a)", Numbers: "(" + num(s.Bore) + "/" + num(s.Valve) + ")^2 * " + up + "/(" + strconv.Itoa(s.Valves) + " * " + plain(s.Discharge) + " * " + plain(float64(s.Sound)) + " m/s)", Value: plain(m.Index), Source: machSource},
	}
}

// Working returns the derivation.
func (a FlowArea) Working() units.Working {
	mm2 := func(a units.Area) string { return plain(a.SquareMillimeters()) + " mm2" }
	return units.Working{
		{Symbol: "curtain", Formula: "pi Dv L", Numbers: "L = " + text(a.Lift), Value: mm2(a.Curtain), Source: definition},
		{Symbol: "area", Formula: "least of seat and throat", Numbers: "bounded by: " + a.Stage.String(), Value: mm2(a.Area), Source: flowSource},
	}
}
