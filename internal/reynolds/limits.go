package reynolds

import "math"

// Short returns the limit of a bearing that is short against its diameter
// (Ocvirk), with SEps holding S eps (L/D)^2:
//
//	S (L/D)^2 = (1-eps^2)^2 / (pi eps sqrt(pi^2 (1-eps^2) + 16 eps^2))
//	tan phi = pi sqrt(1-eps^2)/(4 eps)   Q/(r c N l) = pi (1+eps)   Qs/(r c N l) = 2 pi eps
//
// P/pmax follows from p = 3 (L/D)^2 (1-zeta^2) eps sin theta/h^3, which is
// largest at cos theta = (1 - sqrt(1+24 eps^2))/(4 eps).
func Short(eps float64) Result {
	e2 := eps * eps
	root := math.Sqrt(math.Pi*math.Pi*(1-e2) + 16*e2)
	c := -6 * eps / (1 + math.Sqrt(1+24*e2)) // the same without cancellation
	h := 1 + eps*c
	peak := 3 * math.Sqrt(1-c*c) / (h * h * h) // per eps
	s := (1 - e2) * (1 - e2) / (math.Pi * root)
	// The unit load in mu omega (r/c)^2 is 1/(2 pi S), here per eps and (L/D)^2.
	return Result{SEps: s, Phi: math.Atan2(math.Pi*math.Sqrt(1-e2), 4*eps), Q: math.Pi * (1 + eps), QsPerEps: 2 * math.Pi, PP: 1 / (2 * math.Pi * s) / peak}
}

// Long returns the limit of a bearing without side flow with Swift-Stieber
// rupture: dp/dtheta = 6 (h - hm)/h^3 with hm such that p = 0 at theta = 0 and
// at the rupture, where h = hm.
func Long(eps float64) Result {
	gap := func(t float64) float64 { return 1 + eps*math.Cos(t) }
	// The gradient per eps, 6 (h - hm)/(eps h^3), without cancellation; the film
	// ends at theta = end > pi.
	grad := func(t, end float64) float64 {
		h := gap(t)
		return 6 * (math.Cos(t) - math.Cos(end)) / (h * h * h)
	}
	lo, hi := math.Pi, 2*math.Pi
	for range 80 {
		m := (lo + hi) / 2
		if integrate(func(t float64) float64 { return grad(t, m) }, m, eps) > 0 {
			lo = m
		} else {
			hi = m
		}
	}
	end := (lo + hi) / 2
	// By parts: integral of p cos = -integral of dp/dtheta sin, of p sin = integral of dp/dtheta cos.
	wr := -integrate(func(t float64) float64 { return grad(t, end) * math.Sin(t) }, end, eps)
	wt := integrate(func(t float64) float64 { return grad(t, end) * math.Cos(t) }, end, eps)
	peak := integrate(func(t float64) float64 { return grad(t, end) }, 2*math.Pi-end, eps) // h = hm there too
	w := math.Hypot(wr, wt)
	return Result{SEps: 1 / (math.Pi * w), Phi: math.Atan2(wt, -wr), Q: math.Pi * gap(end), PP: w / 2 / peak}
}

// integrate is Simpson's rule from 0 to end in g of the substitution
// 1 + eps cos theta = (1-eps^2)/(1 - eps cos g), which spreads the narrow gap.
func integrate(f func(theta float64) float64, end, eps float64) float64 {
	const n = 2000
	k := math.Sqrt((1 - eps) / (1 + eps)) // tan(theta/2) = tan(g/2)/k
	g := 2 * math.Atan2(k*math.Sin(end/2), math.Cos(end/2))
	sum := 0.0
	for i := range n + 1 {
		x := g * float64(i) / n
		t := 2 * math.Atan2(math.Sin(x/2), k*math.Cos(x/2))
		jac := math.Sqrt(1-eps*eps) / (1 - eps*math.Cos(x))
		wgt := 4.0
		switch {
		case i == 0 || i == n:
			wgt = 1
		case i%2 == 0:
			wgt = 2
		}
		sum += wgt * f(t) * jac
	}
	return sum * g / (3 * n)
}
