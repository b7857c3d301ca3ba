package camtiming_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// Between two joins nothing jumps: the acceleration changes no more over a step
// than the jerk on both sides of it allows.
func TestJoins(t *testing.T) {
	for name, c := range shapes(t) {
		joins, err := camtiming.Joins(c)
		if err != nil {
			t.Fatal(err)
		}
		span := c.Span()
		if joins[0] != span.Opens || joins[len(joins)-1] != span.Closes {
			t.Errorf("%s: %v to %v, span %v", name, joins[0], joins[len(joins)-1], span)
		}
		for i := range len(joins) - 1 {
			lo, hi := joins[i]+1, joins[i+1]-1
			if lo > hi {
				t.Fatalf("%s: joins out of order at %v", name, joins[i])
			}
			const n = 200
			for k := range units.CamAngle(n) {
				a, b := lo+(hi-lo)/n*k, lo+(hi-lo)/n*(k+1)
				p, q := c.Motion(a), c.Motion(b)
				step := (b - a).Degrees()
				room := 3*step*math.Max(math.Abs(float64(p.Jerk)), math.Abs(float64(q.Jerk))) + 1e-9
				if d := math.Abs(float64(q.Acceleration - p.Acceleration)); d > room && d > 1e-3*math.Abs(float64(p.Acceleration)) {
					t.Errorf("%s: the acceleration jumps by %v at %v", name, d, a)
				}
			}
		}
	}
	_, err := camtiming.Joins(nil)
	var e *units.InputError
	if !errors.As(err, &e) || !errors.Is(err, units.ErrMissing) || e.Field != "LiftCurve" {
		t.Errorf("no curve: %v", err)
	}
	if j, err := camtiming.Joins(roundCam{0.01}); err != nil || len(j) != 129 {
		t.Errorf("a curve of another package: %d joins, %v", len(j), err)
	}
}

func ExampleJoins() {
	lobe, err := camtiming.NewLawLobe(camtiming.LawLobeSpec{
		Law: camtiming.ModifiedSine, MaxLift: units.MustParseLength("8 mm"), Opening: 64 * units.CamDegree, Closing: 64 * units.CamDegree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	joins, err := camtiming.Joins(lobe)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, a := range joins { // an eighth and seven eighths of a flank of 64
		fmt.Println(a.Text(0))
	}
	// Output:
	// -64 cam deg
	// -56 cam deg
	// -8 cam deg
	// 0 cam deg
	// 8 cam deg
	// 56 cam deg
	// 64 cam deg
}
