package camtiming_test

import (
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// Every half degree of the cycle: a position lies in the window if and only if it
// is no nearer than the ramp to the part of the cycle in which the events hold
// the valve open.
func TestClosedWindowsAroundTheCycle(t *testing.T) {
	const deg = units.CrankDegree
	rnd := rand.New(rand.NewPCG(1, 2))
	within := func(a, from, to units.CrankAngle) bool { // forward through the part
		span := func(x units.CrankAngle) units.CrankAngle {
			return (x%units.CrankCycle + units.CrankCycle) % units.CrankCycle
		}
		return span(a-from) <= span(to-from)
	}
	for range 300 {
		r := func(lo, hi int) units.CrankAngle { return units.CrankAngle(lo+rnd.IntN(hi-lo)) * deg }
		e := camtiming.Events{IVO: r(-30, 60), IVC: r(20, 100), EVO: r(20, 100), EVC: r(-30, 60)}
		ramp := r(0, 40)
		w, err := e.ClosedWindows(ramp)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range []struct {
			name         string
			opens, shuts units.CrankAngle
			closed       firingorder.Window
		}{
			{"intake", -e.IVO, 180*deg + e.IVC, w.Intake},
			{"exhaust", -180*deg - e.EVO, e.EVC, w.Exhaust},
		} {
			if c := v.closed; c.From != c.From.Wrap() || c.To != c.To.Wrap() {
				t.Fatalf("%s: %v is not reduced", v.name, c)
			}
			for a := -360 * deg; a < 360*deg; a += deg / 2 {
				want := !within(a, v.opens-ramp+1, v.shuts+ramp-1) // the ends belong to the window
				if got := within(a, v.closed.From, v.closed.To); got != want {
					t.Fatalf("%+v ramp %v, %s at %v: closed %v, want %v", e, ramp, v.name, a, got, want)
				}
			}
		}
	}
}

// The window and the opening with both ramps make the cycle.
func TestClosedWindowsAndDurations(t *testing.T) {
	const deg = units.CrankDegree
	e := camtiming.Events{IVO: 28 * deg, IVC: 43 * deg, EVO: 48 * deg, EVC: 23 * deg}
	timing, err := e.Timing()
	if err != nil {
		t.Fatal(err)
	}
	for _, ramp := range []units.CrankAngle{0, 1, 12 * deg, 200 * deg} {
		w, err := e.ClosedWindows(ramp)
		if err != nil {
			t.Fatal(err)
		}
		length := func(x firingorder.Window) units.CrankAngle {
			return (x.To - x.From + 2*units.CrankCycle) % units.CrankCycle
		}
		if length(w.Intake)+timing.IntakeDuration+2*ramp != units.CrankCycle || length(w.Exhaust)+timing.ExhaustDuration+2*ramp != units.CrankCycle {
			t.Errorf("ramp %v: %+v", ramp, w)
		}
	}
}

func TestClosedWindowsRefuse(t *testing.T) {
	const deg = units.CrankDegree
	good := camtiming.Events{IVO: 28 * deg, IVC: 43 * deg, EVO: 48 * deg, EVC: 23 * deg} // both open for 251 degrees
	long := camtiming.Events{IVO: 300 * deg, IVC: 200 * deg, EVO: 48 * deg, EVC: 23 * deg}
	closed := func(e camtiming.Events, ramp units.CrankAngle) func() (any, error) {
		return one(func() (firingorder.ClosedValves, error) { return e.ClosedWindows(ramp) })
	}
	refuse(t, []bad{
		{"negative ramp", closed(good, -1), "ramp", units.ErrRange},
		{"no window left", closed(good, 234*deg+deg/2), "ramp", units.ErrRange},
		{"ramp of a turn", closed(good, units.CrankTurn), "ramp", units.ErrRange},
		{"ramp largest", closed(good, math.MaxInt64), "ramp", units.ErrRange},
		{"ramp least", closed(good, math.MinInt64), "ramp", units.ErrRange},
		{"never closed", closed(camtiming.Events{IVO: 300 * deg, IVC: 240 * deg}, 0), "IVO+180+IVC", units.ErrRange},
		{"never open", closed(camtiming.Events{IVO: -90 * deg, IVC: -90 * deg}, 0), "IVO+180+IVC", units.ErrRange},
		{"event too far", closed(camtiming.Events{EVC: 360 * deg}, 0), "EVC", units.ErrRange},
		{"event least", closed(camtiming.Events{EVO: math.MinInt64}, 0), "EVO", units.ErrRange},
		{"long and ramp", closed(long, 20*deg), "ramp", units.ErrRange},
	})
	if _, err := good.ClosedWindows(234 * deg); err != nil { // 720 - 251 - 468 = 1 degree
		t.Error(err)
	}
	// The zero Events are open for 180 degrees each: an answer, not a panic.
	if w, err := (camtiming.Events{}).ClosedWindows(0); err != nil || w.Intake != (firingorder.Window{From: 180 * deg, To: 0}) {
		t.Error(w, err)
	}
}

func TestClosedWindowsDoNotAllocate(t *testing.T) {
	const deg = units.CrankDegree
	e := camtiming.Events{IVO: 28 * deg, IVC: 43 * deg, EVO: 48 * deg, EVC: 23 * deg}
	if n := testing.AllocsPerRun(100, func() {
		if _, err := e.ClosedWindows(10 * deg); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkClosedWindows(b *testing.B) {
	const deg = units.CrankDegree
	e := camtiming.Events{IVO: 28 * deg, IVC: 43 * deg, EVO: 48 * deg, EVC: 23 * deg}
	b.ReportAllocs()
	var sum units.CrankAngle
	for b.Loop() {
		w, err := e.ClosedWindows(10 * deg)
		if err != nil {
			b.Fatal(err)
		}
		sum += w.Intake.From
	}
	_ = sum
}

// The workboat's six with its card's events and a ramp of 15 degrees: which
// valves may be set with cylinder 1 at firing TDC? By hand for the intake of 5,
// which closes 43 + 15 after bottom dead center, 122 before firing, and stands 120
// before it: 2 degrees of room.
func ExampleEvents_ClosedWindows() {
	const deg = units.CrankDegree
	w, err := camtiming.Events{IVO: 28 * deg, IVC: 43 * deg, EVO: 48 * deg, EVC: 23 * deg}.ClosedWindows(15 * deg)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("intake closed from", w.Intake.From, "to", w.Intake.To)
	six, err := firingorder.Inline(firingorder.InlineConfig{Crank: firingorder.SixEven})
	if err != nil {
		log.Fatal(err)
	}
	e, err := firingorder.NewEngine(firingorder.EngineConfig{Layout: six, Order: firingorder.Order{1, 5, 3, 6, 2, 4}})
	if err != nil {
		log.Fatal(err)
	}
	free, err := firingorder.LashSetting{Engine: e, Closed: []firingorder.ClosedValves{w}}.AppendFree(nil, 0)
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range free {
		fmt.Println(f.Valve, f.Cylinder, "room", f.Room)
	}
	// Output:
	// intake closed from 238 crank deg to -43 crank deg
	// intake 1 room 122 crank deg
	// exhaust 1 room 117 crank deg
	// intake 2 room 77 crank deg
	// exhaust 3 room 82 crank deg
	// intake 4 room 197 crank deg
	// intake 5 room 2 crank deg
	// exhaust 5 room 202 crank deg
}
