package valvetrain

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"example.com/trialfit/units"
)

// Elastic is how far the material of one body of a contact gives way.
type Elastic struct {
	Young   units.Pressure // modulus of elasticity
	Poisson float64        // Poisson's ratio, over -1 and up to 0.5
}

// Surfaces are the materials of the two bodies of a contact.
type Surfaces struct{ First, Second Elastic }

// plane returns the contact modulus, 1/E* = sum of (1 - nu^2)/E.
func (s Surfaces) plane() (float64, error) {
	c := 0.0
	for _, b := range [...]struct {
		field string
		Elastic
	}{{"First", s.First}, {"Second", s.Second}} {
		if err := checkOver(b.field+".Young", b.Young, 1e14, "want a modulus over 0 and up to 1e14 Pa"); err != nil {
			return 0, err
		}
		if b.Young < 1 {
			return 0, fail(b.field+".Young", b.Young.String(), units.ErrRange, "want a modulus of at least 1 Pa")
		}
		if !(b.Poisson > -1 && b.Poisson <= 0.5) {
			return 0, fail(b.field+".Poisson", plain(b.Poisson), units.ErrRange, "want a ratio over -1 and up to 0.5")
		}
		c += (1 - b.Poisson*b.Poisson) / float64(b.Young)
	}
	return 1 / c, nil
}

// checkLoad accepts a force over 0.
func checkLoad(field string, f units.Force) error {
	return checkOver(field, f, maxForce, "want a force over 0 and up to 1e9 N")
}

// LineContact is two cylinders with parallel axes, or a cylinder on a plane,
// pressed together.
type LineContact struct {
	Force units.Force
	// Length over which the two touch.
	Length units.Length
	// First and Second are the radii, negative for a hollow one; 0 is a plane.
	First, Second units.Length
	Surfaces      Surfaces
}

// PointContact is two curved bodies pressed together whose principal planes
// coincide: that of rolling and the one across it. A crowned roller or a crowned
// lifter face on a lobe touches so.
type PointContact struct {
	Force units.Force
	// First and Second are the radii in the plane of rolling, FirstAcross and
	// SecondAcross those across it; negative for a hollow one, 0 is straight.
	First, Second             units.Length
	FirstAcross, SecondAcross units.Length
	Surfaces                  Surfaces
}

// HertzLine is the patch of a line contact.
type HertzLine struct {
	Contact   LineContact
	HalfWidth units.Length
	Peak      units.Pressure // in the middle
	Mean      units.Pressure
	// Shear is the greatest shear stress, in the middle under the surface at
	// ShearDepth.
	Shear      units.Pressure
	ShearDepth units.Length
	// Radius is that of a cylinder which touches a plane in the same way.
	Radius units.Length
	// Modulus is the contact modulus E* of the two materials.
	Modulus units.Pressure
}

// HertzPoint is the patch of a point contact: an ellipse.
type HertzPoint struct {
	Contact PointContact
	// Rolling and Across are the half axes in the plane of rolling and across
	// it.
	Rolling, Across units.Length
	Peak, Mean      units.Pressure
	// Approach is how far the bodies come together.
	Approach units.Length
	// Ellipticity is the shorter over the longer half axis, a ratio.
	Ellipticity float64
	Modulus     units.Pressure // contact modulus E*
}

// relative returns the curvature 1/first + 1/second.
func relative(first, second units.Length) float64 {
	k := 0.0
	for _, r := range [...]units.Length{first, second} {
		if r != 0 {
			k += 1 / r.Meters()
		}
	}
	return k
}

func checkRadii(field string, first, second units.Length) error {
	for _, r := range [...]struct {
		field string
		r     units.Length
	}{{"First" + field, first}, {"Second" + field, second}} {
		if r.r < -1000*units.Meter || r.r > 1000*units.Meter {
			return fail(r.field, r.r.String(), units.ErrRange, "want a radius of up to 1000 m, 0 for a plane")
		}
	}
	if !(relative(first, second) > 1e-6) {
		return fail("Second"+field, second.String(), units.ErrImpossible, "the two fit each other there: want 1/first + 1/second over 0")
	}
	return nil
}

// shearPlace is where the shear stress under a line contact is greatest, in half
// widths: the root of the golden ratio less one. There z - z^2/sqrt(1 + z^2) of the
// peak pressure stands.
const shearPlace = 0.78615137775742328606955858584296

// line returns half width and peak pressure of a line contact per length.
func line(perLength, curvature, modulus float64) (b, p float64) {
	p = math.Sqrt(perLength * curvature * modulus / math.Pi)
	return 2 * perLength / (math.Pi * p), p
}

// Hertz answers how hard a line contact presses and how wide it is:
//
//	1/R = 1/First + 1/Second     1/E* = (1 - nu1^2)/E1 + (1 - nu2^2)/E2
//	b = sqrt(4 F R/(pi l E*))    p0 = 2 F/(pi b l)    mean = pi p0/4
//	greatest shear stress = 0.3003 p0, 0.786 b under the surface
//
// with F = Force, l = Length, E, nu = Surfaces. It holds for smooth elastic bodies
// whose patch is small beside their radii, without oil film, sliding friction or
// the peaks at the ends of the line. A force or length that is not over 0 is
// ErrMissing or ErrRange, radii that fit into each other are ErrImpossible.
//
// Source: Johnson, Contact Mechanics (1985), section 4.2(c), eqs. (4.43) to
// (4.49).
//
// Rows: bor-17-3-pmax, bor-17-3-tau, hz-b-roller-cam, hz-p-roller-cam,
// hz-b-roller-concave, hz-p-roller-concave, hertz-flat-width, hertz-flat-peak.
func (c LineContact) Hertz() (HertzLine, error) {
	if err := checkLoad("Force", c.Force); err != nil {
		return HertzLine{}, err
	}
	if err := checkSize("Length", c.Length); err != nil {
		return HertzLine{}, err
	}
	if err := checkRadii("", c.First, c.Second); err != nil {
		return HertzLine{}, err
	}
	e, err := c.Surfaces.plane()
	if err != nil {
		return HertzLine{}, prefixed("Surfaces", err)
	}
	k := relative(c.First, c.Second)
	b, p := line(c.Force.Newtons()/c.Length.Meters(), k, e)
	if !(b*k < 1) {
		return HertzLine{}, fail("Force", forceText(c.Force), units.ErrRange, "the patch is as wide as the bodies: they are too soft for this")
	}
	const z = shearPlace
	return HertzLine{
		Contact: c, HalfWidth: count(b), Peak: units.Pressure(p), Mean: units.Pressure(p * math.Pi / 4),
		Shear: units.Pressure(p * (z - z*z/math.Sqrt(1+z*z))), ShearDepth: count(b * z),
		Radius: count(1 / k), Modulus: units.Pressure(e),
	}, nil
}

// prefixed puts the name of a field before that of an error's.
func prefixed(field string, err error) error {
	e, ok := err.(*units.InputError) //nolint:errorlint // made by this package, never wrapped
	if !ok {
		return err
	}
	p := *e
	p.Package, p.Field = "valvetrain", field+"."+e.Field
	return &p
}

// leastFlatness is the least ratio of the two relative curvatures of a point
// contact: under it the patch is a line for every practical end.
const leastFlatness = 1e-8

// ellipse returns the ratio of the half axes, shorter over longer, for a ratio of
// curvatures, smaller over larger: the root k of q = k^2 D(m)/B(m), m = 1 - k^2.
func ellipse(q float64) (k, b, d float64) {
	if q >= 1 {
		return 1, math.Pi / 4, math.Pi / 4
	}
	// Newton in logarithms: ln q runs nearly straight in ln k, with a slope
	// between 3/2 and 2.
	target := math.Log(max(q, 1e-12))
	x := target * 0.64
	lo, hi := target*0.76, target*0.49 // q^(3/4) and q^(1/2) hold the root between them
	for range 60 {
		k = math.Exp(x)
		m := max((1-k)*(1+k), 0)
		b, d = mathext.CompleteB(m), mathext.CompleteD(m)
		f := 2*x + math.Log(d/b) - target
		if f > 0 {
			hi = x
		} else {
			lo = x
		}
		next := x - f/ellipseSlope(k, m, b, d)
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-x) <= 4e-16*math.Abs(x)+1e-300 {
			break
		}
		x = next
	}
	return k, b, d
}

// ellipseSlope returns d ln(k^2 D/B)/d ln k.
func ellipseSlope(k, m, b, d float64) float64 {
	slope, _ := ellipseSlopes(k, m, b, d)
	return slope
}

// ellipseSlopes returns d ln(k^2 D/B)/d ln k and d ln D/d ln k. With K = B + D and
// E = B + (1-m) D, dK/dm = (E/(1-m) - K)/(2m) and dE/dm = (E - K)/(2m).
func ellipseSlopes(k, m, b, d float64) (curvatures, ofD float64) {
	m1 := k * k
	if m < 1e-3 { // D = pi/4 (1 + 3m/8 + 15m^2/64 + ...), D/B = 1 + m/4 + ...
		return 2 - m1/2*(1+m), -m1 * (0.75 + m*21/32)
	}
	bigK, bigE := b+d, b+m1*d
	dK, dE := (bigE/m1-bigK)/(2*m), (bigE-bigK)/(2*m)
	dD := (dK-dE)/m - d/m
	dB := dK - dD
	return 2 - 2*m1*(dD/d-dB/b), -2 * m1 * dD / d
}

// pointPatch returns the half axes, the shorter first, and the peak pressure of a
// point contact with half the relative curvatures small <= large.
func pointPatch(force, small, large, modulus float64) (b, a, p float64) {
	k, _, d := ellipse(small / large)
	a = math.Cbrt(3 * force * d / (2 * math.Pi * modulus * small))
	b = k * a
	return b, a, 3 * force / (2 * math.Pi * a * b)
}

// patches are the shapes of the ellipses over a range of the ratio of curvatures q,
// smaller over larger: cubics with the values and slopes of ellipse at 128 even steps
// in every doubling of q, the cell being told by the leading bits of q. They leave an
// error under 1e-10 of the value, and under 1e-8 for q under 1e-6, where ellipse itself
// is known no better.
type patches struct {
	first uint64 // leading bits of the first knot
	knots []patch
}

// patch is an ellipse's ratio of half axes k and c = (3 D/(2 pi))^(1/3), and their
// derivatives over q.
type patch struct{ k, dk, c, dc float64 }

// patchBits are the bits of q that tell where in a cell it lies.
const patchBits = 52 - 7

// patchesOver makes the table from one q to another, up to 1.
func patchesOver(lo, hi float64) *patches {
	t := &patches{first: math.Float64bits(lo) >> patchBits}
	for i := t.first; i <= math.Float64bits(hi)>>patchBits+1; i++ {
		q := math.Float64frombits(i << patchBits)
		k, b, d := ellipse(q)
		slope, ofD := ellipseSlopes(k, max((1-k)*(1+k), 0), b, d)
		c := math.Cbrt(3 * d / (2 * math.Pi))
		t.knots = append(t.knots, patch{k, k / (slope * q), c, c / 3 * ofD / (slope * q)})
	}
	return t
}

// at returns pointPatch by the table; beside it, pointPatch itself.
func (t *patches) at(force, small, large, modulus float64) (b, a, p float64) {
	bits := math.Float64bits(small / large)
	cell := bits >> patchBits
	i := cell - t.first // over all counts where cell is under first
	if i >= uint64(len(t.knots)-1) {
		return pointPatch(force, small, large, modulus)
	}
	w := math.Float64frombits((cell+1)<<patchBits) - math.Float64frombits(cell<<patchBits)
	u := float64(int64(bits&(1<<patchBits-1))) * (1.0 / (1 << patchBits))
	l, r := &t.knots[i], &t.knots[i+1]
	a = cubic(u, l.c, l.dc*w, r.c, r.dc*w) * math.Cbrt(force/(modulus*small))
	b = cubic(u, l.k, l.dk*w, r.k, r.dk*w) * a
	return b, a, 3 * force / (2 * math.Pi * a * b)
}

// cubic returns what the cubic with these values and slopes at 0 and 1 has at u.
func cubic(u, y0, s0, y1, s1 float64) float64 {
	d := y1 - y0
	return y0 + u*(s0+u*(3*d-2*s0-s1+u*(s0+s1-2*d)))
}

// Hertz answers how hard a point contact presses and what its ellipse is. With
// the half sums of curvatures in the two planes, A the smaller and B the larger,
// a >= b the half axes, m = 1 - (b/a)^2, and the complete elliptic integrals K(m),
// D = (K - E)/m, B = K - D:
//
//	A/B = (b/a)^2 D(m)/B(m)          solved for b/a
//	a^3 = 3 F D(m)/(2 pi E* A)       p0 = 3 F/(2 pi a b)    mean = 2 p0/3
//	approach = p0 b K(m)/E*
//
// with 1/E* as for LineContact.Hertz. The longer axis lies along the plane with
// the smaller relative curvature. It holds as LineContact.Hertz does, and where the
// ellipse fits on both bodies: a crown so flat that it does not is a line. Errors
// as there; curvatures whose ratio is under 1e-8 are ErrRange.
//
// Source: Johnson, Contact Mechanics (1985), section 4.2(b), eqs. (4.24) to
// (4.28); elliptic integrals by gonum.
//
// Rows: hertz-sphere-radius, hertz-sphere-peak, hertz-sphere-approach,
// hertz-crossed-radius, hertz-ellipse-across, hertz-ellipse-rolling,
// hertz-ellipse-peak, hertz-ellipse-approach, hertz-slender-peak.
func (c PointContact) Hertz() (HertzPoint, error) {
	if err := checkLoad("Force", c.Force); err != nil {
		return HertzPoint{}, err
	}
	if err := checkRadii("", c.First, c.Second); err != nil {
		return HertzPoint{}, err
	}
	if err := checkRadii("Across", c.FirstAcross, c.SecondAcross); err != nil {
		return HertzPoint{}, err
	}
	e, err := c.Surfaces.plane()
	if err != nil {
		return HertzPoint{}, prefixed("Surfaces", err)
	}
	roll, across := relative(c.First, c.Second)/2, relative(c.FirstAcross, c.SecondAcross)/2
	small, large := min(roll, across), max(roll, across)
	if small < leastFlatness*large {
		return HertzPoint{}, fail("FirstAcross", c.FirstAcross.String(), units.ErrRange, "want relative curvatures within a ratio of 1e8: take a LineContact")
	}
	b, a, p := pointPatch(c.Force.Newtons(), small, large, e)
	k := b / a
	approach := p * b / e * mathext.CompleteK(max((1-k)*(1+k), 0))
	if !(b*large < 0.5 && a*small < 0.5) {
		return HertzPoint{}, fail("Force", forceText(c.Force), units.ErrRange, "the patch is as wide as the bodies: they are too soft for this")
	}
	h := HertzPoint{
		Contact: c, Rolling: count(b), Across: count(a), Peak: units.Pressure(p), Mean: units.Pressure(p * 2 / 3),
		Approach: count(approach), Ellipticity: k, Modulus: units.Pressure(e),
	}
	if roll < across {
		h.Rolling, h.Across = h.Across, h.Rolling
	}
	return h, nil
}

var (
	lineSource  = units.Source{Text: "Johnson, Contact Mechanics (1985), section 4.2(c)", Provenance: units.Memory}
	pointSource = units.Source{Text: "Johnson, Contact Mechanics (1985), section 4.2(b)", Provenance: units.Memory}
)

// Working returns the derivation.
func (h HertzLine) Working() units.Working {
	c := h.Contact
	return units.Working{
		{Symbol: "E*", Formula: "1/((1 - nu1^2)/E1 + (1 - nu2^2)/E2)", Numbers: moduliText(c.Surfaces), Value: gpa(h.Modulus), Source: lineSource},
		{Symbol: "R", Formula: "1/(1/R1 + 1/R2)", Numbers: "R1 = " + num(c.First) + ", R2 = " + num(c.Second) + " (0 is a plane)", Value: num(h.Radius), Source: lineSource},
		{Symbol: "b", Formula: "sqrt(4 F R/(pi l E*))", Numbers: "sqrt(4 * " + forceText(c.Force) + " * " + num(h.Radius) + "/(pi * " + num(c.Length) + " * " + gpa(h.Modulus) + "))", Value: h.HalfWidth.Text(units.Millimeters, 5), Source: lineSource},
		{Symbol: "p0", Formula: "2 F/(pi b l)", Numbers: "2 * " + forceText(c.Force) + "/(pi * " + h.HalfWidth.Text(units.Millimeters, 5) + " * " + num(c.Length) + ")", Value: stressText(h.Peak), Source: lineSource},
		{Symbol: "tau max", Formula: "0.3003 p0, 0.786 b deep", Numbers: "0.3003 * " + stressText(h.Peak), Value: stressText(h.Shear), Source: lineSource},
	}
}

// Working returns the derivation.
func (h HertzPoint) Working() units.Working {
	c := h.Contact
	a, b := max(h.Rolling, h.Across), min(h.Rolling, h.Across)
	mm := func(l units.Length) string { return l.Text(units.Millimeters, 5) }
	return units.Working{
		{Symbol: "E*", Formula: "1/((1 - nu1^2)/E1 + (1 - nu2^2)/E2)", Numbers: moduliText(c.Surfaces), Value: gpa(h.Modulus), Source: pointSource},
		{Symbol: "b/a", Formula: "A/B = (b/a)^2 D(m)/B(m), m = 1 - (b/a)^2", Numbers: "rolling: " + num(c.First) + ", " + num(c.Second) + "; across: " + num(c.FirstAcross) + ", " + num(c.SecondAcross), Value: plain(h.Ellipticity), Source: pointSource},
		{Symbol: "a", Formula: "(3 F D(m)/(2 pi E* A))^(1/3)", Numbers: "F = " + forceText(c.Force), Value: mm(a), Source: pointSource},
		{Symbol: "p0", Formula: "3 F/(2 pi a b)", Numbers: "3 * " + forceText(c.Force) + "/(2 pi * " + mm(a) + " * " + mm(b) + ")", Value: stressText(h.Peak), Source: pointSource},
	}
}

func gpa(p units.Pressure) string { return plain(p.Megapascals()/1000) + " GPa" }

func moduliText(s Surfaces) string {
	return "E1 = " + gpa(s.First.Young) + ", nu1 = " + plain(s.First.Poisson) + ", E2 = " + gpa(s.Second.Young) + ", nu2 = " + plain(s.Second.Poisson)
}
