package camtiming_test

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

func ringDeg(x float64) camtiming.RingAngle { return camtiming.RingAngle(math.RoundToEven(x * 1e9)) }

// onRing is a lobe in degrees of a ring of four lobes.
var onRing = flanks{camtiming.Poly345, mm(9), 16, 17}

func ringLobe(tb testing.TB) *camtiming.RingLobe {
	tb.Helper()
	return must[*camtiming.RingLobe](tb)(camtiming.NewRingLobe(camtiming.RingLobeSpec{
		Ring: camtiming.CamRing{Lobes: 4, Rotation: firingorder.AgainstCrank}, Lobe: onRing.lobe(tb),
	}))
}

// meets turns a ring of bumps under a follower in small steps of the crank and
// returns the crank angle in [0, 720) at which a nose stands under it. Nothing
// here knows of the phase formula: noses at j 360/L, moved ahead by lobe in the
// sense of the ring's rotation, the ring turning at s/(2L) of the crank.
func meets(lobes int, s, inclination, lobe float64) float64 {
	height := func(crank float64) float64 {
		turned := s * (crank/(2*float64(lobes)) + lobe)
		best := -1.0
		for j := range lobes {
			best = math.Max(best, math.Cos((inclination-turned-float64(j)*360/float64(lobes))*math.Pi/180))
		}
		return best
	}
	at, top := 0.0, -2.0
	for c := 0.0; c < 720; c += 0.5 {
		if h := height(c); h > top {
			at, top = c, h
		}
	}
	lo, hi := at-0.5, at+0.5
	for range 100 { // the highest point by thirds
		a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
		if height(a) < height(b) {
			lo = a
		} else {
			hi = b
		}
	}
	return math.Mod((lo+hi)/2+720, 720)
}

func TestPhaseByTurningTheRing(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 9))
	for range 300 {
		lobes := 1 + r.IntN(6)
		s, rot := 1.0, firingorder.WithCrank
		if r.IntN(2) == 0 {
			s, rot = -1, firingorder.AgainstCrank
		}
		inc, lobe, fires := math.Floor(r.Float64()*720)-360, math.Floor(r.Float64()*90)-45, math.Floor(r.Float64()*720)
		ring := camtiming.CamRing{Lobes: lobes, Rotation: rot}
		f := camtiming.RingFollower{Inclination: ringDeg(inc), Fires: crank(fires), Lobe: ringDeg(lobe)}
		p := must[camtiming.FollowerPhase](t)(ring.Phase(f))
		off := math.Mod(p.Delay.Degrees()-meets(lobes, s, inc, lobe)+1080, 720) - 360
		near(t, fmt.Sprint("delay ", ring, f), off, 0, 1e-4) // a flat top is found to 1e-8 of a radian squared
		if p.Delay < 0 || p.Delay >= units.CrankCycle || p.Late != (p.Delay-f.Fires).Wrap() {
			t.Fatalf("%+v", p)
		}
		// With the right lobe the follower is right.
		f.Lobe = p.Right
		if q := must[camtiming.FollowerPhase](t)(ring.Phase(f)); q.Late.Abs() > units.CrankAngle(2*lobes) {
			t.Fatalf("right lobe leaves %v", q.Late)
		}
		if p.Right < 0 || p.Right.Degrees() >= 360/float64(lobes) {
			t.Fatalf("right %v of %d lobes", p.Right, lobes)
		}
	}
}

// One ring track serves every cylinder of a row, in both directions, and no
// ring of another number of lobes does.
func TestRadialRings(t *testing.T) {
	for n := 3; n <= 13; n += 2 {
		fires := make([]*big.Rat, n) // every second cylinder fires
		for k := range n {
			fires[2*k%n] = big.NewRat(int64(720*k), int64(n))
		}
		for lobes := 1; lobes <= n; lobes++ {
			for _, rot := range []firingorder.CamDirection{firingorder.WithCrank, firingorder.AgainstCrank} {
				suits := rot == firingorder.AgainstCrank && 2*lobes+1 == n || rot == firingorder.WithCrank && 2*lobes-1 == n
				worst := units.CrankAngle(0)
				for k := range n {
					axis, _ := new(big.Rat).SetFrac64(int64(360*k), int64(n)).Float64()
					f, _ := fires[k].Float64()
					p := must[camtiming.FollowerPhase](t)(camtiming.CamRing{Lobes: lobes, Rotation: rot}.Phase(camtiming.RingFollower{Inclination: ringDeg(axis), Fires: crank(f)}))
					worst = max(worst, p.Late.Abs())
				}
				if quanta := units.CrankAngle(2 * lobes); suits != (worst <= quanta) {
					t.Errorf("%d cylinders, %d lobes %v: late by up to %v", n, lobes, rot, worst)
				}
			}
		}
	}
}

// A ring's lobe is the ordinary lobe with flanks as many times as wide, in lift,
// slope and events; a ring of one lobe changes nothing.
func TestRingLobe(t *testing.T) {
	l := ringLobe(t)
	want := flanks{camtiming.Poly345, mm(9), 64, 68}.lobe(t)
	plainOne := must[*camtiming.RingLobe](t)(camtiming.NewRingLobe(camtiming.RingLobeSpec{Ring: camtiming.CamRing{Lobes: 1, Rotation: firingorder.WithCrank}, Lobe: want}))
	for x := -80.0; x <= 80; x += 0.31 {
		a := cam(x)
		if d := (l.Lift(a) - want.Lift(a)).Abs(); d > 1 {
			t.Fatalf("lift at %v: %v, want %v", a, l.Lift(a), want.Lift(a))
		}
		near(t, "slope", float64(l.Velocity(a)), float64(want.Velocity(a)), 1e-17)
		if plainOne.Lift(a) != want.Lift(a) || plainOne.Velocity(a) != want.Velocity(a) {
			t.Fatalf("one lobe at %v", a)
		}
	}
	if l.MaxLift() != want.MaxLift() || l.Span() != want.Span() {
		t.Errorf("span %v, want %v", l.Span(), want.Span())
	}
	for _, y := range []float64{0.1, 0.5, 4} {
		a, b := must[camtiming.Opening](t)(camtiming.OpeningAt(l, mm(y))), must[camtiming.Opening](t)(camtiming.OpeningAt(want, mm(y)))
		if (a.Opens-b.Opens).Abs() > 4 || (a.Duration-b.Duration).Abs() > 8 {
			t.Errorf("opening at %g: %v, want %v", y, a, b)
		}
	}
	// The contact of its follower is not that of a lobe at half speed.
	if c, err := camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: l, Base: mm(60)}); err == nil || c != nil {
		t.Error("a contact was computed from the equivalent lobe")
	}
}

func TestRingAngles(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	for range 2000 {
		ring := camtiming.CamRing{Lobes: 1 + r.IntN(64), Rotation: firingorder.WithCrank}
		a := camtiming.RingAngle(r.Int64N(2e13) - 1e13)
		c := must[units.CrankAngle](t)(ring.Crank(a))
		if k := must[units.CamAngle](t)(ring.Cam(a)); k.Crank() != c {
			t.Fatalf("%v: %v, %v", a, k, c)
		}
		if back := must[camtiming.RingAngle](t)(ring.Ring(c)); back != a {
			t.Fatalf("%v came back as %v", a, back)
		}
		// Half to even, against exact fractions.
		c += units.CrankAngle(r.IntN(2 * ring.Lobes))
		q := new(big.Rat).SetFrac64(int64(c), int64(2*ring.Lobes))
		got := must[camtiming.RingAngle](t)(ring.Ring(c))
		off := new(big.Rat).Sub(q, new(big.Rat).SetInt64(int64(got)))
		off.Abs(off)
		if half := big.NewRat(1, 2); off.Cmp(half) > 0 || off.Cmp(half) == 0 && got%2 != 0 {
			t.Fatalf("%v over %d: %v", c, 2*ring.Lobes, got)
		}
	}
	if s := ringDeg(-12.5).String(); s != "-12.5 ring deg" {
		t.Error(s)
	}
}

// Every move against exact fractions, the order against the nearest by hand.
func TestVernier(t *testing.T) {
	wrap := func(r *big.Rat) *big.Rat {
		full, half := big.NewRat(720, 1), big.NewRat(360, 1)
		for r.Cmp(half) >= 0 {
			r.Sub(r, full)
		}
		for r.Cmp(new(big.Rat).Neg(half)) < 0 {
			r.Add(r, full)
		}
		return r
	}
	for _, d := range []camtiming.Drive{{CrankTeeth: 21, CamTeeth: 20, DrivenTeeth: 42, DrivingTeeth: 20}, {CrankTeeth: 20, CamTeeth: 38, DrivenTeeth: 40, DrivingTeeth: 38}, {CrankTeeth: 18, CamTeeth: 36}} {
		for _, want := range []float64{0, 4, -7.5, 123} {
			moves := must[[]camtiming.ToothMove](t)(camtiming.Vernier(camtiming.VernierInput{Drive: d, Wanted: crank(want), Most: 9}))
			if n := map[bool]int{true: 19, false: 19 * 19}[d.DrivenTeeth == 0]; len(moves) != n {
				t.Errorf("%d moves, want %d", len(moves), n)
			}
			last := units.CrankAngle(0)
			for _, m := range moves {
				shift := wrap(new(big.Rat).Add(big.NewRat(int64(360*m.CrankMesh), int64(d.CrankTeeth)), big.NewRat(int64(720*m.CamMesh), int64(d.CamTeeth))))
				f, _ := shift.Float64()
				near(t, "shift", m.Shift.Degrees(), f, 0.6e-9)
				if m.Left != (m.Shift-crank(want)).Wrap() || m.Left.Abs() < last {
					t.Fatalf("%+v after %v", m, last)
				}
				last = m.Left.Abs()
			}
			if want == 0 && (moves[0].CrankMesh != 0 || moves[0].CamMesh != 0) {
				t.Errorf("nothing wanted: %+v", moves[0])
			}
		}
	}
	// The finest step of Drive.Teeth is the smallest move there is.
	d := camtiming.Drive{CrankTeeth: 21, CamTeeth: 20, DrivenTeeth: 42, DrivingTeeth: 20}
	finest := must[camtiming.DriveTeeth](t)(d.Teeth()).Finest
	moves := must[[]camtiming.ToothMove](t)(camtiming.Vernier(camtiming.VernierInput{Drive: d, Most: 21}))
	for _, m := range moves {
		if m.Shift != 0 {
			if m.Shift.Abs() != finest {
				t.Errorf("smallest move %v, finest %v", m.Shift, finest)
			}
			break
		}
	}
}

// A half-speed intermediate shaft by turning the wheels: crank to intermediate
// two to one, intermediate to cam one to one, each set one tooth off.
func TestHalfSpeedIntermediate(t *testing.T) {
	d := camtiming.Drive{CrankTeeth: 21, DrivenTeeth: 42, DrivingTeeth: 20, CamTeeth: 20}
	cam := func(offCrank, offCam float64) float64 { // cam degrees at crank 0
		middle := offCrank * 360 / 42
		return middle*20/20 + offCam*360/20
	}
	got := must[camtiming.DriveTeeth](t)(d.Teeth())
	near(t, "crank mesh", got.CrankMesh.Degrees(), 2*cam(1, 0), 1e-9)
	near(t, "cam mesh", got.CamMesh.Degrees(), 2*cam(0, 1), 1e-9)
	finest := math.Inf(1)
	for a := -42; a <= 42; a++ {
		for b := -20; b <= 20; b++ {
			x := math.Abs(math.Remainder(2*cam(float64(a), float64(b)), 720))
			if x > 1e-6 {
				finest = math.Min(finest, x)
			}
		}
	}
	near(t, "finest", got.Finest.Degrees(), finest, 1e-9)
	// Backlash at both meshes: the crank pinion's at crank speed, the second
	// mesh's at cam speed on either wheel of the one-to-one pair.
	play := must[units.CrankAngle](t)(camtiming.DrivePlay([]camtiming.Mesh{
		{Backlash: mm(0.1), PitchDiameter: mm(63), Speed: camtiming.AtCrankSpeed}, {Backlash: mm(0.12), PitchDiameter: mm(60), Speed: camtiming.AtCamSpeed},
	}))
	near(t, "play", play.Degrees(), (0.1/31.5+2*0.12/30)*180/math.Pi, 1e-8)
}

func TestBadRing(t *testing.T) {
	good := camtiming.CamRing{Lobes: 4, Rotation: firingorder.AgainstCrank}
	phase := func(r camtiming.CamRing, f camtiming.RingFollower) func() (any, error) {
		return func() (any, error) { return r.Phase(f) }
	}
	lobe := func(r camtiming.CamRing, c camtiming.LiftCurve) func() (any, error) {
		return func() (any, error) { return camtiming.NewRingLobe(camtiming.RingLobeSpec{Ring: r, Lobe: c}) }
	}
	vernier := func(f func(*camtiming.VernierInput)) func() (any, error) {
		in := camtiming.VernierInput{Drive: camtiming.Drive{CrankTeeth: 18, CamTeeth: 36}, Most: 3}
		f(&in)
		return func() (any, error) { return camtiming.Vernier(in) }
	}
	refuse(t, []bad{
		{"degrees nan", func() (any, error) { return camtiming.RingDegrees(math.NaN()) }, "RingDegrees", units.ErrRange},
		{"degrees inf", func() (any, error) { return camtiming.RingDegrees(math.Inf(-1)) }, "RingDegrees", units.ErrRange},
		{"degrees overflow", func() (any, error) { return camtiming.RingDegrees(1e10) }, "RingDegrees", units.ErrRange},
		{"zero ring crank", func() (any, error) { return camtiming.CamRing{}.Crank(1) }, "Lobes", units.ErrRange},
		{"zero ring cam", func() (any, error) { return camtiming.CamRing{}.Cam(1) }, "Lobes", units.ErrRange},
		{"zero ring turned", func() (any, error) { return camtiming.CamRing{}.Ring(1) }, "Lobes", units.ErrRange},
		{"no rotation", phase(camtiming.CamRing{Lobes: 4}, camtiming.RingFollower{}), "Rotation", units.ErrMissing},
		{"unknown rotation", phase(camtiming.CamRing{Lobes: 4, Rotation: 3}, camtiming.RingFollower{}), "Rotation", units.ErrMissing},
		{"lobes negative", phase(camtiming.CamRing{Lobes: -4, Rotation: 1}, camtiming.RingFollower{}), "Lobes", units.ErrRange},
		{"too many lobes", phase(camtiming.CamRing{Lobes: 65, Rotation: 1}, camtiming.RingFollower{}), "Lobes", units.ErrRange},
		{"crank overflow", func() (any, error) { return good.Crank(math.MaxInt64 / 7) }, "a", units.ErrRange},
		{"crank least", func() (any, error) { return good.Crank(math.MinInt64) }, "a", units.ErrRange},
		{"inclination", phase(good, camtiming.RingFollower{Inclination: math.MinInt64}), "Inclination", units.ErrRange},
		{"fires", phase(good, camtiming.RingFollower{Fires: math.MinInt64}), "Fires", units.ErrRange},
		{"lobe", phase(good, camtiming.RingFollower{Lobe: math.MaxInt64}), "Lobe", units.ErrRange},
		{"lobe no ring", lobe(camtiming.CamRing{}, onRing.lobe(t)), "Ring.Lobes", units.ErrRange},
		{"lobe no curve", lobe(good, nil), "Lobe", units.ErrMissing},
		{"lobe nil", lobe(good, (*camtiming.RingLobe)(nil)), "Lobe.MaxLift", units.ErrRange},
		{"lobe of half speed", lobe(good, bareLobe.lobe(t)), "Lobe.Span", units.ErrImpossible},
		{"lobe twice", lobe(camtiming.CamRing{Lobes: 2, Rotation: firingorder.WithCrank}, ringLobe(t)), "Lobe", units.ErrConflict},
		{"vernier no drive", vernier(func(in *camtiming.VernierInput) { in.Drive = camtiming.Drive{} }), "Drive.CrankTeeth", units.ErrRange},
		{"vernier wanted", vernier(func(in *camtiming.VernierInput) { in.Wanted = units.CrankTurn + 1 }), "Wanted", units.ErrRange},
		{"vernier least", vernier(func(in *camtiming.VernierInput) { in.Wanted = math.MinInt64 }), "Wanted", units.ErrRange},
		{"vernier none", vernier(func(in *camtiming.VernierInput) { in.Most = 0 }), "Most", units.ErrRange},
		{"vernier many", vernier(func(in *camtiming.VernierInput) { in.Most = 101 }), "Most", units.ErrRange},
	})
	var zero *camtiming.RingLobe
	for _, l := range []*camtiming.RingLobe{zero, new(camtiming.RingLobe)} {
		if l.Lift(cam(1)) != 0 || l.Velocity(cam(1)) != 0 || l.MaxLift() != 0 || l.Span() != (camtiming.Span{}) {
			t.Error("the zero lobe lifts")
		}
	}
}

func BenchmarkRingLobeLift(b *testing.B) {
	l := ringLobe(b)
	b.ReportAllocs()
	var sum units.Length
	i := 0
	for b.Loop() {
		sum += l.Lift(units.CamAngle(i%120-60) * units.CamDegree)
		i++
	}
	sinkLength = sum
}

func BenchmarkPhase(b *testing.B) {
	r := camtiming.CamRing{Lobes: 4, Rotation: firingorder.AgainstCrank}
	f := camtiming.RingFollower{Inclination: ringDeg(40), Fires: crank(400)}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.Phase(f); err != nil {
			b.Fatal(err)
		}
	}
}

// Nine cylinders on a ring of four lobes that turns against the crank: one
// firing step is 80 degrees of crank and 10 of ring.
func ExampleCamRing() {
	r := camtiming.CamRing{Lobes: 4, Rotation: firingorder.AgainstCrank}
	step, _ := r.Ring(80 * units.CrankDegree)
	a, err := camtiming.RingDegrees(10)
	if err != nil {
		fmt.Println(err)
		return
	}
	crank, _ := r.Crank(a)
	cam, _ := r.Cam(a)
	fmt.Println(step, crank, cam)
	// Cylinder 2, next to cylinder 1 in crank rotation, fires 400 degrees after it.
	axis, _ := camtiming.RingDegrees(40)
	p, _ := r.Phase(camtiming.RingFollower{Inclination: axis, Fires: 400 * units.CrankDegree})
	fmt.Println("late by", p.Late)
	// Output:
	// 10 ring deg 80 crank deg 40 cam deg
	// late by 0 crank deg
}

// A lifter bore that leans 3 degrees in crank rotation: late by 6 crank degrees on
// a cam driven by chain, early by as much on one driven by gears.
func ExampleCamRing_Phase() {
	lean, _ := camtiming.RingDegrees(3)
	for _, rotation := range []firingorder.CamDirection{firingorder.WithCrank, firingorder.AgainstCrank} {
		p, err := camtiming.CamRing{Lobes: 1, Rotation: rotation}.Phase(camtiming.RingFollower{Inclination: lean})
		fmt.Println(rotation, p.Late, err)
	}
	// Output:
	// with the crank 6 crank deg <nil>
	// against the crank -6 crank deg <nil>
}

func ExampleRingLobe() {
	ring := camtiming.CamRing{Lobes: 4, Rotation: firingorder.AgainstCrank}
	onRing, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.Harmonic, MaxLift: units.MustParseLength("9.00 mm"), Opening: 16 * units.CamDegree, Closing: 16 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	l, err := camtiming.NewRingLobe(camtiming.RingLobeSpec{Ring: ring, Lobe: onRing})
	if err != nil {
		fmt.Println(err)
		return
	}
	// Half way down the flank: half the lift, 8 ring degrees or 32 cam degrees.
	fmt.Println(l.Lift(32*units.CamDegree), l.MaxLift(), l.Span().Closes, l.Spec().Ring.Lobes)
	fmt.Printf("%.4f mm per cam degree\n", l.Velocity(32*units.CamDegree).MillimetersPerCamDegree())
	o, _ := camtiming.OpeningAt(l, units.MustParseLength("4.50 mm"))
	fmt.Println(o.Duration)
	// Output:
	// 4.5 mm 9 mm 64 cam deg 4
	// -0.2209 mm per cam degree
	// 128 crank deg
}

func ExampleRingAngle() {
	a, err := camtiming.RingDegrees(12.5)
	fmt.Println(a, a.Degrees(), err)
	// Output: 12.5 ring deg 12.5 <nil>
}

func ExampleVernier() {
	// An intermediate shaft at half the speed of the crank.
	d := camtiming.Drive{CrankTeeth: 21, DrivenTeeth: 42, DrivingTeeth: 20, CamTeeth: 20}
	moves, err := camtiming.Vernier(camtiming.VernierInput{Drive: d, Wanted: 4 * units.CrankDegree, Most: 12})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(moves[0].CrankMesh, moves[0].CamMesh, moves[0].Shift.Text(2), "leaves", moves[0].Left.Text(2))
	// Output: -4 2 3.43 crank deg leaves -0.57 crank deg
}
