package camtiming_test

import (
	"math/rand/v2"
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// Every combination by plain loops; the library's first option leaves no more
// than the best of them, with no more parts.
func TestCorrectAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(51, 52))
	for range 500 {
		in := camtiming.CorrectionInput{
			Measured: units.WithU(crank(float64(r.IntN(61)-30)), crank(0.5)), Wanted: crank(float64(r.IntN(13) - 6)),
			Steps: camtiming.Steps{Teeth: []int{0, 36, 40, 42}[r.IntN(4)], MostTeeth: r.IntN(4)},
		}
		for range r.IntN(4) {
			in.Steps.Keyways = append(in.Steps.Keyways, crank(float64(r.IntN(17)-8)))
		}
		for range r.IntN(4) {
			in.Steps.Bushings = append(in.Steps.Bushings, crank(float64(1+r.IntN(6))))
		}
		c := must[camtiming.Correction](t)(camtiming.Correct(in))
		if c.Exact != in.Wanted-in.Measured.Value {
			t.Errorf("exact %v", c.Exact)
		}
		best, parts := crank(1000), 9
		try := func(shift units.CrankAngle, n int) {
			left := (in.Measured.Value + shift - in.Wanted).Abs()
			if left < best || left == best && n < parts {
				best, parts = left, n
			}
		}
		teeth := 0
		if in.Steps.Teeth > 0 {
			teeth = in.Steps.MostTeeth
		}
		for n := -teeth; n <= teeth; n++ {
			tooth, a := units.CrankAngle(0), 0
			if n != 0 {
				tooth, a = units.CrankAngle(n)*camtiming.ToothAngle(in.Steps.Teeth), 1
			}
			for _, k := range append([]units.CrankAngle{0}, in.Steps.Keyways...) {
				b := 0
				if k != 0 {
					b = 1
				}
				try(tooth+k, a+b)
				for _, o := range in.Steps.Bushings {
					try(tooth+k+o, a+b+1)
					try(tooth+k-o, a+b+1)
				}
			}
		}
		first := c.Options[0]
		if first.Left.Abs() != best || first.Parts != parts {
			t.Errorf("%+v: %+v, brute force leaves %v with %d parts", in, first, best, parts)
		}
		nothing := false
		for i, o := range c.Options {
			sum := o.Keyway + o.Bushing
			if o.Teeth != 0 {
				sum += units.CrankAngle(o.Teeth) * camtiming.ToothAngle(in.Steps.Teeth)
			}
			if o.Shift != sum || o.Result != in.Measured.Value+o.Shift || o.Left != o.Result-in.Wanted {
				t.Errorf("%+v does not add up", o)
			}
			if i > 0 && o.Left.Abs() < c.Options[i-1].Left.Abs() {
				t.Errorf("option %d is nearer than the one before", i)
			}
			nothing = nothing || o.Parts == 0
		}
		if !nothing {
			t.Error("doing nothing is not among the options")
		}
		if want := c.Exact.Abs()-best > crank(0.5) && parts > 0; c.Worthwhile != want {
			t.Errorf("%+v: worthwhile %v", in, c.Worthwhile)
		}
		if w := c.Working(); len(w) != 2 {
			t.Errorf("working %+v", w)
		}
	}
}

// 720/N: 36 teeth 20 degrees, 40 teeth 18, 42 teeth 17.142857143 (rounded).
func TestToothAngle(t *testing.T) {
	for n, want := range map[int]float64{36: 20, 40: 18, 42: 17.142857143, 1: 720, 720: 1} {
		if got := camtiming.ToothAngle(n); got != crank(want) {
			t.Errorf("%d teeth: %v", n, got)
		}
	}
}
