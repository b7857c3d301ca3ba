package valvetrain_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

func deg(x float64) valvetrain.PlaneAngle { return valvetrain.PlaneDegrees(x) }

func pt(x, y float64) valvetrain.Point { return valvetrain.Point{X: mm(x), Y: mm(y)} }

// boatRocker is the rocker of the workboat's engine; figures invented.
var boatRocker = valvetrain.Linkage{
	Lifter: valvetrain.Track{At: pt(-27, -199.1), Direction: deg(92)}, Pushrod: mm(200),
	Rocker: valvetrain.Rocker{PushrodArm: mm(26), TipArm: mm(39), Between: deg(-170), TipRadius: mm(12)},
	Valve:  valvetrain.Track{At: pt(38.8, -7), Direction: deg(-90)},
}

// loop is a linkage for the independent solution, in millimeters and radians.
type loop struct {
	px, py, lx, ly, lift, rod, a, b, between, rho, vx, vy, valve float64
}

func loopOf(l valvetrain.Linkage) loop {
	return loop{
		px: l.Pivot.X.Millimeters(), py: l.Pivot.Y.Millimeters(), lx: l.Lifter.At.X.Millimeters(), ly: l.Lifter.At.Y.Millimeters(),
		lift: float64(l.Lifter.Direction), rod: l.Pushrod.Millimeters(), a: l.Rocker.PushrodArm.Millimeters(), b: l.Rocker.TipArm.Millimeters(),
		between: float64(l.Rocker.Between), rho: l.Rocker.TipRadius.Millimeters(), vx: l.Valve.At.X.Millimeters(), vy: l.Valve.At.Y.Millimeters(), valve: float64(l.Valve.Direction),
	}
}

// short is how much the pushrod is too short at an angle of the arm.
func (l loop) short(h, q float64) float64 {
	dx := l.px + l.a*math.Cos(q) - l.lx - h*math.Cos(l.lift)
	dy := l.py + l.a*math.Sin(q) - l.ly - h*math.Sin(l.lift)
	return math.Sqrt(dx*dx+dy*dy) - l.rod
}

// close finds the arm at a lift by bisection of the closed loop about a guess.
func (l loop) close(tb testing.TB, h, guess float64) float64 {
	tb.Helper()
	for w := 0.001; w < 1.5; w *= 1.3 {
		lo, hi := guess-w, guess+w
		flo, fhi := l.short(h, lo), l.short(h, hi)
		if flo*fhi > 0 {
			continue
		}
		for range 200 {
			m := (lo + hi) / 2
			if (l.short(h, m) > 0) == (flo > 0) {
				lo = m
			} else {
				hi = m
			}
		}
		return (lo + hi) / 2
	}
	tb.Fatalf("no root near %v at lift %v", guess, h)
	return 0
}

// tip is the travel of the tip along the stem past the closed valve, and the place
// of the contact across it.
func (l loop) tip(q float64) (net, across float64) {
	cx, cy := l.px+l.b*math.Cos(q+l.between), l.py+l.b*math.Sin(q+l.between)
	dx, dy := math.Cos(l.valve), math.Sin(l.valve)
	nx, ny := -dy, dx
	if nx*(l.vx-l.px)+ny*(l.vy-l.py) < 0 {
		nx, ny = -nx, -ny
	}
	return (cx-l.vx)*dx + (cy-l.vy)*dy + l.rho, (cx-l.vx)*nx + (cy-l.vy)*ny
}

// anyLinkage returns a plausible linkage turned, mirrored and moved at random.
func anyLinkage(r *rand.Rand) valvetrain.Linkage {
	u := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	a, ratio := u(20, 40), u(1.1, 1.9)
	b := a * ratio
	between := u(-185, -160) * math.Pi / 180
	start := u(-5, 22) * math.Pi / 180 // tip arm above the square on the seat
	q := start - between
	rho, rod := u(0, 15), u(80, 300)
	stem := u(-12, 12) * math.Pi / 180 // stem off the square
	lift := u(80, 100) * math.Pi / 180
	// everything with the pivot at the origin and the tip arm square to the stem at
	// direction 0
	dx, dy := math.Cos(stem-math.Pi/2), math.Sin(stem-math.Pi/2)
	q += stem
	ex, ey := a*math.Cos(q), a*math.Sin(q)
	tilt := lift + u(-0.05, 0.05)
	lx, ly := ex-rod*math.Cos(tilt), ey-rod*math.Sin(tilt)
	cx, cy := b*math.Cos(q+between), b*math.Sin(q+between)
	gap, off := u(0, 0.6), u(-1, 1)
	vx, vy := cx+dx*(rho+gap)+off*dy, cy+dy*(rho+gap)-off*dx
	turn, mirror := u(0, 2*math.Pi), r.IntN(2) == 1
	sx, sy := u(-100, 100), u(-100, 100)
	place := func(x, y float64) valvetrain.Point {
		if mirror {
			x = -x
		}
		c, s := math.Cos(turn), math.Sin(turn)
		return pt(sx+x*c-y*s, sy+x*s+y*c)
	}
	way := func(angle float64) valvetrain.PlaneAngle {
		if mirror {
			angle = math.Pi - angle
		}
		return valvetrain.PlaneAngle(angle + turn)
	}
	if mirror {
		between = -between
	}
	return valvetrain.Linkage{
		Lifter: valvetrain.Track{At: place(lx, ly), Direction: way(lift)}, Pushrod: mm(rod), Pivot: place(0, 0),
		Rocker: valvetrain.Rocker{PushrodArm: mm(a), TipArm: mm(b), Between: valvetrain.PlaneAngle(between), TipRadius: mm(rho)},
		Valve:  valvetrain.Track{At: place(vx, vy), Direction: way(stem - math.Pi/2)},
	}
}

func TestLinkageAgainstBisection(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	for range 300 {
		l := anyLinkage(r)
		o := loopOf(l)
		zero := must[valvetrain.LinkageState](t)(l.At(0))
		q0 := o.close(t, 0, float64(zero.Arm))
		net0, _ := o.tip(q0)
		if net0 > 0 {
			t.Fatalf("%+v: a negative gap", l)
		}
		for _, h := range []float64{0, 0.3, 2, 5, 9} {
			s := must[valvetrain.LinkageState](t)(l.At(mm(h)))
			q := o.close(t, h, float64(s.Arm))
			net, across := o.tip(q)
			if d := math.Abs(s.Gross.Millimeters() - (net - net0)); d > 2e-9 {
				t.Fatalf("%+v at %v: gross off by %v mm", l, h, d)
			}
			if d := math.Abs(s.Lift.Millimeters() - max(0, net)); d > 2e-9 {
				t.Fatalf("lift off by %v", d)
			}
			if d := math.Abs(s.Gap.Millimeters() - max(0, -net)); d > 2e-9 {
				t.Fatalf("gap off by %v", d)
			}
			if d := math.Abs(s.Contact.Millimeters() - across); d > 2e-9 {
				t.Fatalf("contact off by %v", d)
			}
			if d := math.Abs(math.Abs(float64(s.Turn)) - math.Abs(math.Remainder(q-q0, 2*math.Pi))); d > 1e-10 || s.Turn < -1e-12 {
				t.Fatalf("turn %v, want %v", s.Turn, q-q0)
			}
			// Ratio as force ratio: equilibrium of pushrod and rocker about the pivot,
			// for 1 N at the valve.
			ex, ey := o.a*math.Cos(q), o.a*math.Sin(q)
			rx, ry := o.px+ex-o.lx-h*math.Cos(o.lift), o.py+ey-o.ly-h*math.Sin(o.lift)
			rx, ry = rx/o.rod, ry/o.rod
			cx, cy := o.b*math.Cos(q+o.between), o.b*math.Sin(q+o.between)
			moment := cx*math.Sin(o.valve) - cy*math.Cos(o.valve) // of 1 N along the stem at the tip's center
			axial := moment / (ex*ry - ey*rx)
			lifter := axial * (rx*math.Cos(o.lift) + ry*math.Sin(o.lift))
			near(t, "force ratio", s.Ratio, lifter, 1e-9)
			// and as slope of the closed loop
			const e = 1e-3
			up, _ := o.tip(o.close(t, h+e, q))
			down, _ := o.tip(o.close(t, h-e, q))
			near(t, "slope", s.Ratio, (up-down)/(2*e), 1e-7)
			near(t, "tilt", math.Cos(float64(s.Tilt)), rx*math.Cos(o.lift)+ry*math.Sin(o.lift), 1e-12)
			if s.Lift > 0 {
				back := must[units.Length](t)(l.LifterFor(s.Lift))
				if d := (back - s.Lifter).Abs(); d > 2 {
					t.Fatalf("LifterFor is off by %v pm", int64(d))
				}
			}
		}
	}
}

func TestLinkageLimits(t *testing.T) {
	// Arms in one line and square to two parallel lines: at a small lift the ratio
	// is that of the arms, and a pushrod of 10 m keeps it so but for the turn.
	l := valvetrain.Linkage{
		Lifter: valvetrain.Track{At: pt(-20, -9000), Direction: deg(90)}, Pushrod: mm(9000),
		Rocker: valvetrain.Rocker{PushrodArm: mm(20), TipArm: mm(32), Between: deg(180)},
		Valve:  valvetrain.Track{At: pt(32, 0), Direction: deg(-90)},
	}
	s := must[valvetrain.LinkageState](t)(l.At(0))
	near(t, "ratio of the arms", s.Ratio, 1.6, 1e-9)
	// With a pushrod that stays parallel the two cosines cancel: the ratio is
	// steady through the lift. 9 m of pushrod lean by x/l.
	for _, h := range []float64{1, 4, 8} {
		s := must[valvetrain.LinkageState](t)(l.At(mm(h)))
		near(t, "ratio of a long pushrod", s.Ratio, 1.6, 2e-4)
		// tip: b sin q with a sin q = h
		near(t, "lift of a long pushrod", s.Lift.Millimeters(), 1.6*h, 1e-4)
	}
	// A symmetric rocker: the ratio of equal arms is 1, and lifter and valve may
	// change places: the one's ratio is one over the other's.
	r := rand.New(rand.NewPCG(5, 2))
	for range 100 {
		a := anyLinkage(r)
		s := must[valvetrain.LinkageState](t)(a.At(mm(3)))
		h := must[units.Length](t)(a.LifterFor(s.Lift + mm(1e-4)))
		near(t, "inverse ratio", float64(h-mm(3))/float64(mm(1e-4)), 1/s.Ratio, 1e-4)
	}
}

func TestLinkageLocks(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 3))
	for range 50 {
		l := anyLinkage(r)
		lock := must[units.Length](t)(l.LocksAt())
		if _, err := l.At(lock - 1000); err != nil {
			t.Fatalf("just below the lock: %v", err)
		}
		_, err := l.At(lock + 1000)
		if err == nil || !strings.Contains(err.Error(), "locks at a lift of "+lock.Text(units.Millimeters, 3)) {
			t.Fatalf("past the lock: %v", err)
		}
		// There the three points are in one line.
		o := loopOf(l)
		h := lock.Millimeters()
		d := math.Hypot(o.lx+h*math.Cos(o.lift)-o.px, o.ly+h*math.Sin(o.lift)-o.py)
		if math.Abs(d-(o.rod+o.a)) > 1e-6 && math.Abs(d-math.Abs(o.rod-o.a)) > 1e-6 {
			t.Fatalf("at the lock the pivot is %v mm away", d)
		}
	}
}

func TestContactSweep(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 4))
	paths := map[valvetrain.SweepPath]int{}
	for range 200 {
		l := anyLinkage(r)
		s := must[valvetrain.ContactSweep](t)(l.Sweep(mm(8)))
		paths[s.Path]++
		// by 2000 places of the lifter
		lo, hi := units.Length(math.MaxInt64), units.Length(math.MinInt64)
		for i := range 2001 {
			st := must[valvetrain.LinkageState](t)(l.At(s.Seat.Lifter + (mm(8)-s.Seat.Lifter)/2000*units.Length(i)))
			lo, hi = min(lo, st.Contact), max(hi, st.Contact)
		}
		if (s.Innermost-lo).Abs() > mm(1e-5) || (s.Outermost-hi).Abs() > mm(1e-4) || hi > s.Outermost+2 {
			t.Fatalf("sweep %v to %v, by steps %v to %v", s.Innermost, s.Outermost, lo, hi)
		}
		if s.Width != s.Outermost-s.Innermost || (s.Mid.Lift-s.Full.Lift/2).Abs() > 10 || s.Seat.Lift > 10 || s.Seat.Gap > 10 {
			t.Fatalf("%+v", s)
		}
		if s.Path == valvetrain.GoesOutAndIn {
			h := must[units.Length](t)(l.LifterFor(s.TurnsAt.Value))
			st := must[valvetrain.LinkageState](t)(l.At(h))
			if math.Abs(float64(st.ToSquare)) > 1e-6 || (st.Contact-s.Outermost).Abs() > 2 {
				t.Fatalf("turns at %+v", st)
			}
		}
	}
	if paths[valvetrain.GoesOutAndIn] == 0 || paths[valvetrain.GoesIn] == 0 || paths[valvetrain.GoesOut] == 0 {
		t.Errorf("paths tried: %v", paths)
	}
	worked(t, "sweep", must[valvetrain.ContactSweep](t)(boatRocker.Sweep(mm(8))).Working())
}

// A rocker whose tip arm is square at half lift sweeps what the trade's formula
// says, and no less.
func TestLeastSweep(t *testing.T) {
	for _, c := range []struct{ arm, lift float64 }{{39, 11}, {36, 12}, {20, 1}} {
		least := must[valvetrain.LeastSweep](t)(valvetrain.TipArm{Arm: mm(c.arm), Lift: mm(c.lift)}.Least())
		near(t, "turn", float64(least.Turn), 2*math.Atan2(c.lift/2, math.Sqrt(c.arm*c.arm-c.lift*c.lift/4)), 1e-12)
		near(t, "width", least.Width.Millimeters(), c.arm-math.Sqrt(c.arm*c.arm-c.lift*c.lift/4), 1e-7)
		worked(t, "least", least.Working())
	}
	p := must[valvetrain.PushrodChoice](t)(boatRocker.PushrodForSweep(valvetrain.PushrodSearch{Goal: valvetrain.NarrowestSweep, Lifter: mm(8), Lash: mm(0.3), Stud: deg(90), Within: mm(5)}))
	least := must[valvetrain.LeastSweep](t)(valvetrain.TipArm{Arm: mm(39), Lift: p.Sweep.Full.Lift}.Least())
	if (p.Sweep.Width - least.Width).Abs() > 5 {
		t.Errorf("narrowest %v, least of the arm %v", p.Sweep.Width, least.Width)
	}
}

func TestPushrodForSweep(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	met := map[valvetrain.SweepGoal]int{}
	for range 40 {
		l := anyLinkage(r)
		stud := l.Valve.Direction + math.Pi
		for goal := valvetrain.NarrowestSweep; goal <= valvetrain.CenteredMidLift; goal++ {
			p, err := l.PushrodForSweep(valvetrain.PushrodSearch{Goal: goal, Lifter: mm(8), Lash: mm(0.2), Stud: stud, Within: mm(8)})
			if err != nil {
				continue
			}
			met[goal]++
			s := must[valvetrain.ContactSweep](t)(p.Linkage.Sweep(mm(8)))
			zero := must[valvetrain.LinkageState](t)(p.Linkage.At(0))
			if (zero.Gap-mm(0.2)).Abs() > 5 || p.Linkage.Pushrod != p.Pushrod || p.Pushrod-l.Pushrod != p.PushrodChange {
				t.Fatalf("gap %v", zero.Gap)
			}
			switch goal {
			case valvetrain.CenteredSweep:
				if s.Middle.Abs() > 10 {
					t.Fatalf("middle %v", s.Middle)
				}
			case valvetrain.CenteredMidLift:
				if s.Mid.Contact.Abs() > 10 {
					t.Fatalf("mid %v", s.Mid.Contact)
				}
			default:
				// No other pivot is narrower: step along the stud.
				for x := -8.0; x <= 8; x += 0.25 {
					m := l
					m.Pivot.X += mm(x * math.Cos(float64(stud)))
					m.Pivot.Y += mm(x * math.Sin(float64(stud)))
					rod, err := m.PushrodFor(mm(0.2))
					if err != nil {
						continue
					}
					m.Pushrod = rod
					if o, err := m.Sweep(mm(8)); err == nil && o.Width < s.Width-10 {
						t.Fatalf("%v narrower than %v at %v", o.Width, s.Width, x)
					}
				}
			}
			worked(t, "choice", p.Working())
		}
	}
	for goal := valvetrain.NarrowestSweep; goal <= valvetrain.CenteredMidLift; goal++ {
		if met[goal] == 0 {
			t.Errorf("%v never met", goal)
		}
	}
}

func TestAdjust(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 100 {
		l := anyLinkage(r)
		for _, s := range []valvetrain.LashSetting{
			{Place: valvetrain.AtPushrod, Axis: deg(90), Lash: mm(0.25)},
			{Place: valvetrain.AtPushrod, Axis: deg(-75), Lash: mm(0.4)},
			{Place: valvetrain.AtValve, Axis: deg(85), Lash: mm(0.25)},
			{Place: valvetrain.AtPivot, Axis: l.Valve.Direction, Lash: mm(0.25)},
			{Place: valvetrain.AtPivot, Axis: l.Lifter.Direction, Lash: 0},
		} {
			a := must[valvetrain.AdjustedLinkage](t)(l.Adjust(s))
			// The gap, by the independent solution.
			o := loopOf(a.Linkage)
			zero := must[valvetrain.LinkageState](t)(a.Linkage.At(0))
			net, _ := o.tip(o.close(t, 0, float64(zero.Arm)))
			if math.Abs(net+s.Lash.Millimeters()) > 2e-8 {
				t.Fatalf("%+v leaves %v mm", s, -net)
			}
			again := must[valvetrain.AdjustedLinkage](t)(a.Linkage.Adjust(valvetrain.LashSetting{Place: s.Place, Axis: s.Axis, Lash: s.Lash}))
			if again.Travel.Abs() > 100 {
				t.Fatalf("set already, and yet %v", again.Travel)
			}
			worked(t, "adjusted", a.Working())
		}
	}
	// A nut on the stud lowers the pushrod end by 1 + 1/ratio of its travel, which is
	// what Adjuster has for small moves.
	zero := must[valvetrain.LinkageState](t)(boatRocker.At(0))
	a := must[valvetrain.AdjustedLinkage](t)(boatRocker.Adjust(valvetrain.LashSetting{Place: valvetrain.AtPivot, Axis: deg(-90), Lash: zero.Gap - mm(0.01)}))
	near(t, "pivot", a.Travel.Millimeters()*(1+zero.Ratio), 0.01, 0.02)
}

func TestShopWork(t *testing.T) {
	// Parallel lines: the trade's signs hold to the picometer.
	l := boatRocker
	l.Lifter.Direction, l.Lifter.At = deg(90), pt(-26, -199.1)
	up := deg(90)
	x := mm(0.5)
	for _, c := range []struct {
		name            string
		work            valvetrain.ShopWork
		change, gapOpen units.Length // of the pushrod; sign of the lash
	}{
		{"deck cut", valvetrain.ShopWork{Deck: x}, -x, -1},
		{"head cut", valvetrain.ShopWork{Head: x}, -x, -1},
		{"thicker gasket", valvetrain.ShopWork{Gasket: x}, x, 1},
		{"smaller base circle", valvetrain.ShopWork{BaseRadius: -x}, x, 1},
		{"higher seat in the lifter", valvetrain.ShopWork{LifterSeat: x}, -x, -1},
	} {
		c.work.Up = up
		r := must[valvetrain.PushrodChange](t)(l.After(c.work))
		// The pushrod leans by 0.02 mm in 200 mm.
		if math.Abs((r.Change-c.change).Millimeters()) > 1e-6 || math.Abs((r.GeometryChange-c.change).Millimeters()) > 1e-6 || r.PivotMove.Abs() > 2 {
			t.Errorf("%s: change %v and %v, want %v", c.name, r.Change, r.GeometryChange, c.change)
		}
		if (r.After-r.Before)*c.gapOpen <= 0 {
			t.Errorf("%s: lash from %v to %v", c.name, r.Before, r.After)
		}
		worked(t, c.name, r.Working())
		// Undone, nothing is changed.
		w := valvetrain.ShopWork{Deck: -c.work.Deck, Head: -c.work.Head, Gasket: -c.work.Gasket, BaseRadius: -c.work.BaseRadius, LifterSeat: -c.work.LifterSeat, Up: up}
		if b := must[valvetrain.PushrodChange](t)(r.Linkage.After(w)); (b.After - r.Before).Abs() > 5 {
			t.Errorf("%s undone leaves %v", c.name, b.After)
		}
	}
	r := must[valvetrain.PushrodChange](t)(l.After(valvetrain.ShopWork{Tip: mm(0.01), Up: up}))
	zero := must[valvetrain.LinkageState](t)(l.At(0))
	near(t, "higher stem, pivot left", r.Change.Millimeters(), -0.01/zero.Ratio, 0.01)
	near(t, "higher stem, lash", (r.After - r.Before).Millimeters(), -0.01, 1e-9)
	near(t, "higher stem, pivot moved", r.GeometryChange.Millimeters(), 0.01, 0.01)
	if r.PivotMove != mm(0.01) {
		t.Errorf("pivot moves %v", r.PivotMove)
	}
	// The lash that the loop of parts has for a change under the pivot: 1 + ratio.
	r = must[valvetrain.PushrodChange](t)(l.After(valvetrain.ShopWork{Stand: mm(0.01), Up: up}))
	near(t, "higher stand", (r.After - r.Before).Millimeters(), 0.01*(1+zero.Ratio), 0.01)
}

func TestLinkageRefuses(t *testing.T) {
	at := func(l valvetrain.Linkage) (valvetrain.LinkageState, error) { return l.At(mm(1)) }
	table := []bad{
		{"zero", with(valvetrain.Linkage{}, func(*valvetrain.Linkage) {}, at), "Pushrod", units.ErrMissing},
		{"negative pushrod", with(boatRocker, func(l *valvetrain.Linkage) { l.Pushrod = -1 }, at), "Pushrod", units.ErrRange},
		{"endless pushrod", with(boatRocker, func(l *valvetrain.Linkage) { l.Pushrod = most }, at), "Pushrod", units.ErrRange},
		{"short pushrod", with(boatRocker, func(l *valvetrain.Linkage) { l.Pushrod = mm(20) }, at), "Pushrod", units.ErrImpossible},
		{"far lifter", with(boatRocker, func(l *valvetrain.Linkage) { l.Lifter.At.X = -most }, at), "Lifter.At.X", units.ErrRange},
		{"far lifter below", with(boatRocker, func(l *valvetrain.Linkage) { l.Lifter.At.Y = most }, at), "Lifter.At.Y", units.ErrRange},
		{"nowhere", with(boatRocker, func(l *valvetrain.Linkage) { l.Lifter.Direction = valvetrain.PlaneAngle(nan) }, at), "Lifter.Direction", units.ErrRange},
		{"endless angle", with(boatRocker, func(l *valvetrain.Linkage) { l.Valve.Direction = valvetrain.PlaneAngle(inf) }, at), "Valve.Direction", units.ErrRange},
		{"many turns", with(boatRocker, func(l *valvetrain.Linkage) { l.Rocker.Between = deg(721) }, at), "Rocker.Between", units.ErrRange},
		{"no arm", with(boatRocker, func(l *valvetrain.Linkage) { l.Rocker.PushrodArm = 0 }, at), "Rocker.PushrodArm", units.ErrMissing},
		{"no tip arm", with(boatRocker, func(l *valvetrain.Linkage) { l.Rocker.TipArm = 0 }, at), "Rocker.TipArm", units.ErrMissing},
		{"negative radius", with(boatRocker, func(l *valvetrain.Linkage) { l.Rocker.TipRadius = -1 }, at), "Rocker.TipRadius", units.ErrRange},
		{"far pivot", with(boatRocker, func(l *valvetrain.Linkage) { l.Pivot.X = most }, at), "Pivot.X", units.ErrRange},
		{"far valve", with(boatRocker, func(l *valvetrain.Linkage) { l.Valve.At.X = most }, at), "Valve.At.X", units.ErrRange},
		{"pushing down", with(boatRocker, func(l *valvetrain.Linkage) { l.Rocker.Between = deg(-10) }, at), "Rocker", units.ErrImpossible},
		{"negative lift", one(func() (valvetrain.LinkageState, error) { return boatRocker.At(-1) }), "lifter", units.ErrRange},
		{"endless lift", one(func() (valvetrain.LinkageState, error) { return boatRocker.At(most) }), "lifter", units.ErrRange},
		{"locked", one(func() (valvetrain.LinkageState, error) { return boatRocker.At(mm(30)) }), "lifter", units.ErrImpossible},
		{"valve past reach", one(func() (units.Length, error) { return boatRocker.LifterFor(mm(60)) }), "valveLift", units.ErrImpossible},
		{"negative valve lift", one(func() (units.Length, error) { return boatRocker.LifterFor(-1) }), "valveLift", units.ErrRange},
		{"held open", one(func() (units.Length, error) {
			l := boatRocker
			l.Pushrod = mm(201)
			return l.LifterFor(0)
		}), "valveLift", units.ErrRange},
		{"lock of nothing", one(valvetrain.Linkage{}.LocksAt), "Pushrod", units.ErrMissing},
		{"no sweep", one(func() (valvetrain.ContactSweep, error) { return boatRocker.Sweep(0) }), "lifter", units.ErrMissing},
		{"negative sweep", one(func() (valvetrain.ContactSweep, error) { return boatRocker.Sweep(-1) }), "lifter", units.ErrRange},
		{"sweep in the lash", one(func() (valvetrain.ContactSweep, error) { return boatRocker.Sweep(mm(0.1)) }), "lifter", units.ErrRange},
		{"sweep past the lock", one(func() (valvetrain.ContactSweep, error) { return boatRocker.Sweep(mm(40)) }), "lifter", units.ErrImpossible},
		{"sweep held open", one(func() (valvetrain.ContactSweep, error) {
			l := boatRocker
			l.Pushrod = mm(201)
			return l.Sweep(mm(8))
		}), "Pushrod", units.ErrConflict},
		{"no tip", one(valvetrain.TipArm{Lift: mm(1)}.Least), "Arm", units.ErrMissing},
		{"no tip lift", one(valvetrain.TipArm{Arm: mm(1)}.Least), "Lift", units.ErrMissing},
		{"round", one(valvetrain.TipArm{Arm: mm(1), Lift: mm(2)}.Least), "Lift", units.ErrImpossible},
		{"endless lash", one(func() (units.Length, error) { return boatRocker.PushrodFor(most) }), "lash", units.ErrRange},
		{"pushrod of nothing", one(func() (units.Length, error) { return valvetrain.Linkage{}.PushrodFor(0) }), "Rocker.PushrodArm", units.ErrMissing},
		{"short tip", with(boatRocker, func(l *valvetrain.Linkage) { l.Rocker.TipArm = mm(1) }, func(l valvetrain.Linkage) (units.Length, error) { return l.PushrodFor(0) }), "Rocker.TipArm", units.ErrImpossible},
		{"turned rocker", with(boatRocker, func(l *valvetrain.Linkage) { l.Rocker.Between = deg(10) }, func(l valvetrain.Linkage) (units.Length, error) { return l.PushrodFor(0) }), "Rocker", units.ErrImpossible},
	}
	search := valvetrain.PushrodSearch{Goal: valvetrain.NarrowestSweep, Lifter: mm(8), Stud: deg(90), Within: mm(5)}
	find := func(s valvetrain.PushrodSearch) (valvetrain.PushrodChoice, error) {
		return boatRocker.PushrodForSweep(s)
	}
	set := valvetrain.LashSetting{Place: valvetrain.AtValve, Axis: deg(90), Lash: mm(0.3)}
	adjust := func(s valvetrain.LashSetting) (valvetrain.AdjustedLinkage, error) { return boatRocker.Adjust(s) }
	work := func(w valvetrain.ShopWork) (valvetrain.PushrodChange, error) { return boatRocker.After(w) }
	table = append(table, []bad{
		{"no goal", with(search, func(s *valvetrain.PushrodSearch) { s.Goal = 0 }, find), "Goal", units.ErrMissing},
		{"unknown goal", with(search, func(s *valvetrain.PushrodSearch) { s.Goal = 9 }, find), "Goal", units.ErrMissing},
		{"no lift", with(search, func(s *valvetrain.PushrodSearch) { s.Lifter = 0 }, find), "Lifter", units.ErrMissing},
		{"negative full lift", with(search, func(s *valvetrain.PushrodSearch) { s.Lifter = -1 }, find), "Lifter", units.ErrRange},
		{"negative lash", with(search, func(s *valvetrain.PushrodSearch) { s.Lash = -1 }, find), "Lash", units.ErrRange},
		{"no stud", with(search, func(s *valvetrain.PushrodSearch) { s.Stud = valvetrain.PlaneAngle(nan) }, find), "Stud", units.ErrRange},
		{"no range", with(search, func(s *valvetrain.PushrodSearch) { s.Within = 0 }, find), "Within", units.ErrMissing},
		{"negative range", with(search, func(s *valvetrain.PushrodSearch) { s.Within = -1 }, find), "Within", units.ErrRange},
		{"out of reach", with(search, func(s *valvetrain.PushrodSearch) { s.Within = mm(0.1) }, find), "Within", units.ErrImpossible},
		{"search of nothing", one(func() (valvetrain.PushrodChoice, error) { return valvetrain.Linkage{}.PushrodForSweep(search) }), "Pushrod", units.ErrMissing},
		{"no place", with(set, func(s *valvetrain.LashSetting) { s.Place = 0 }, adjust), "Place", units.ErrMissing},
		{"negative setting", with(set, func(s *valvetrain.LashSetting) { s.Lash = -1 }, adjust), "Lash", units.ErrRange},
		{"no axis", with(set, func(s *valvetrain.LashSetting) { s.Axis = valvetrain.PlaneAngle(inf) }, adjust), "Axis", units.ErrRange},
		{"screw across", with(set, func(s *valvetrain.LashSetting) { s.Axis = deg(-8.0219729328); s.Lash = mm(5) }, adjust), "Axis", units.ErrImpossible},
		{"screw too far", with(set, func(s *valvetrain.LashSetting) { s.Place, s.Lash = valvetrain.AtPushrod, mm(200) }, adjust), "Axis", units.ErrImpossible},
		{"adjusting nothing", one(func() (valvetrain.AdjustedLinkage, error) { return valvetrain.Linkage{}.Adjust(set) }), "Pushrod", units.ErrMissing},
		{"deck", with(valvetrain.ShopWork{}, func(w *valvetrain.ShopWork) { w.Deck = most }, work), "Deck", units.ErrRange},
		{"base", with(valvetrain.ShopWork{}, func(w *valvetrain.ShopWork) { w.BaseRadius = -most }, work), "BaseRadius", units.ErrRange},
		{"up", with(valvetrain.ShopWork{}, func(w *valvetrain.ShopWork) { w.Up = valvetrain.PlaneAngle(nan) }, work), "Up", units.ErrRange},
		{"work on nothing", one(func() (valvetrain.PushrodChange, error) {
			return valvetrain.Linkage{}.After(valvetrain.ShopWork{})
		}), "Pushrod", units.ErrMissing},
	}...)
	refuse(t, table)
	for _, w := range []units.Working{
		valvetrain.LinkageState{}.Working(), valvetrain.ContactSweep{}.Working(), valvetrain.LeastSweep{}.Working(), valvetrain.PushrodChoice{}.Working(),
		valvetrain.AdjustedLinkage{}.Working(), valvetrain.PushrodChange{}.Working(), valvetrain.ValveLifts{}.Working(),
	} {
		if w != nil {
			t.Error("a zero result has a working")
		}
	}
	worked(t, "state", must[valvetrain.LinkageState](t)(boatRocker.At(mm(3))).Working())
}

func FuzzLinkage(f *testing.F) {
	f.Add(-27.0, -199.1, 92.0, 200.0, 26.0, 39.0, -170.0, 12.0, 38.8, -7.0, -90.0, 5.0)
	f.Add(0.0, 0.0, 0.0, 1e-9, 1e4, 1e-9, 0.0, 0.0, 0.0, 0.0, 0.0, 1000.0)
	f.Fuzz(func(t *testing.T, lx, ly, lift, rod, a, b, between, rho, vx, vy, valve, h float64) {
		size := func(x float64) units.Length {
			if !(math.Abs(x) < 2e4) {
				x = 1
			}
			return mm(x)
		}
		l := valvetrain.Linkage{
			Lifter: valvetrain.Track{At: valvetrain.Point{X: size(lx), Y: size(ly)}, Direction: deg(lift)}, Pushrod: size(rod),
			Rocker: valvetrain.Rocker{PushrodArm: size(a), TipArm: size(b), Between: deg(between), TipRadius: size(rho)},
			Valve:  valvetrain.Track{At: valvetrain.Point{X: size(vx), Y: size(vy)}, Direction: deg(valve)},
		}
		s, err := l.At(size(h))
		if err != nil {
			if !errorsIsInput(err) || s != (valvetrain.LinkageState{}) {
				t.Fatalf("%v, %+v", err, s)
			}
			return
		}
		if math.IsNaN(s.Ratio) || s.Lift < 0 || s.Gap < 0 || (s.Lift > 0 && s.Gap > 0) {
			t.Fatalf("%+v", s)
		}
		_, _ = l.Sweep(size(h))
		_, _ = l.Adjust(valvetrain.LashSetting{Place: valvetrain.AtPivot, Axis: deg(valve), Lash: mm(0.1)})
		_, _ = valvetrain.NewValveCurve(valvetrain.ValveCurveSpec{Lobe: rockerLobe(t), Gear: l})
	})
}

// rockerLobe is a lobe of the workboat's engine; figures invented.
func rockerLobe(tb testing.TB) *camtiming.LawLobe {
	tb.Helper()
	return must[*camtiming.LawLobe](tb)(camtiming.NewLawLobe(camtiming.LawLobeSpec{Law: camtiming.Poly4567, MaxLift: mm(8), Opening: 65 * units.CamDegree, Closing: 68 * units.CamDegree}))
}
