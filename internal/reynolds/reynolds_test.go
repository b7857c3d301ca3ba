package reynolds

import (
	"errors"
	"math"
	"testing"
)

// TestConvergence: the error of one grid falls with its square, and grids
// without extrapolation close on the extrapolated result.
func TestConvergence(t *testing.T) {
	for _, c := range []struct{ x, eps float64 }{{1, 0.5}, {0.25, 0.9}, {3, 0.2}} {
		best, err := Extrapolated(c.x, c.eps, Grid{144, 18})
		if err != nil {
			t.Fatal(err)
		}
		coarse, err1 := Solve(c.x, c.eps, Grid{72, 9})
		fine, err2 := Solve(c.x, c.eps, Grid{144, 18})
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		ratio := (coarse.SEps - best.SEps) / (fine.SEps - best.SEps)
		if ratio < 3 || ratio > 5.5 {
			t.Errorf("%+v: errors of S in the ratio %v, want about 4", c, ratio)
		}
	}
}

// TestClosedForms: a very short bearing is Ocvirk's but for terms in (L/D)^2,
// 16 % of S at L/D = 1/4 and eps = 0.8, and at eps = 0 the limit
// of small eccentricities.
func TestClosedForms(t *testing.T) {
	for _, eps := range []float64{0.1, 0.5, 0.8} {
		const x = 0.05
		s := Short(eps)
		w, err := Extrapolated(x, eps, Grid{120, 12})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(w.SEps*x*x/s.SEps-1) > 1e-2 || math.Abs(w.Phi-s.Phi) > 3e-3 || math.Abs(w.Q-s.Q) > 5e-3 || math.Abs(w.PP-s.PP) > 3e-3 {
			t.Errorf("eps %v: %+v, Ocvirk %+v", eps, w, s)
		}
	}
	zero, err1 := Extrapolated(1, 0, Grid{96, 12})
	small, err2 := Extrapolated(1, 1e-6, Grid{96, 12})
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	if math.Abs(zero.SEps/small.SEps-1) > 1e-5 || math.Abs(zero.QsPerEps/small.QsPerEps-1) > 1e-5 || math.Abs(zero.Phi-small.Phi) > 1e-5 {
		t.Errorf("limit %+v, at 1e-6 %+v", zero, small)
	}
}

// TestConservation: what enters at the widest gap leaves at the ends or goes
// past the rupture, so that the side flow never passes the flow.
func TestConservation(t *testing.T) {
	for _, x := range []float64{0.2, 1, 4} {
		for _, eps := range []float64{0.05, 0.5, 0.95} {
			w, err := Extrapolated(x, eps, Grid{72, 10})
			if err != nil {
				t.Fatal(err)
			}
			// The rest goes through the smallest gap: at least pi h0 of Couette flow
			// and, before the rupture, less than pi (1 + eps).
			rest := w.Q - eps*w.QsPerEps
			if rest < math.Pi*(1-eps)*0.99 || rest > math.Pi*(1+eps) {
				t.Errorf("L/D %v eps %v: %v goes round", x, eps, rest)
			}
		}
	}
}

func TestRefuses(t *testing.T) {
	for _, c := range []struct{ x, eps float64 }{{0, 0.5}, {-1, 0.5}, {math.Inf(1), 0.5}, {math.NaN(), 0.5}, {1, 1}, {1, -0.1}, {1, math.NaN()}} {
		if _, err := Extrapolated(c.x, c.eps, Grid{72, 9}); !errors.Is(err, ErrNotSolved) {
			t.Errorf("%+v: %v", c, err)
		}
	}
	if _, err := Solve(1, 0.5, Grid{2, 2}); !errors.Is(err, ErrNotSolved) {
		t.Error("a grid of two is taken")
	}
}
