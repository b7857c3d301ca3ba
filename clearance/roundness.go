package clearance

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/mat"

	"example.com/trialfit/units"
)

// LobedReading is the total indicator reading of a round part turned under a
// dial in a V-block, the dial over the bisector of the V.
type LobedReading struct {
	// Vee is the angle that the V includes. 180 degrees is two flats: a
	// micrometer or a two-point gauge, whose reading is then largest minus
	// smallest diameter.
	Vee   units.CrankAngle
	Lobes int                          // number of lobes of the form, 2 to 500
	TIR   units.Measured[units.Length] // largest - smallest reading
}

// LobedForm is the roundness behind such a reading.
type LobedForm struct {
	Reading LobedReading
	// Factor is how much more than the roundness the dial shows, a true ratio.
	Factor float64
	// Roundness is the difference of the largest and smallest radius; the
	// diameters of a form with an even number of lobes differ by twice that.
	Roundness units.Measured[units.Length]
}

// Roundness answers how far out of round a part with a known number of lobes
// is from a two-point or three-point reading:
//
//	factor = |1 + cos(n (90 deg + Vee/2)) / sin(Vee/2)|     roundness = TIR/factor
//
// with n = Lobes, for a regular form of small lobes. A setup does not see
// every form: two points see twice an even number of lobes and no odd one, a V
// of 90 degrees no seven lobes, one of 60 degrees no two. The number of lobes
// has to come from elsewhere, from the readings around or from how the part
// was made (centerless grinding leaves odd numbers); no setup alone gives it.
//
// Errors: a V outside 1 to 180 degrees, a number of lobes outside 2 to 500
// (one lobe is eccentricity, to which a V is blind), a negative TIR, a setup
// that shows under 0.05 of the form (ErrImpossible: it is blind to it).
//
// Source: geometry of a form that touches both faces of the V; the factors
// tabulated for three-point measurement (ISO 4292, symmetrical setting).
//
// Rows: vee-factor-90-3, vee-factor-90-5, vee-factor-60-3, vee-factor-two-2,
// vee-factor-120-5, vee-roundness, vee-roundness-u.
func (r LobedReading) Roundness() (LobedForm, error) {
	if r.Vee < units.CrankDegree || r.Vee > halfTurn {
		return LobedForm{}, fail("Vee", r.Vee.String(), units.ErrRange, "want an included angle of 1 to 180 degrees; 180 stands for two flats")
	}
	if r.Lobes < 2 || r.Lobes > 500 {
		return LobedForm{}, fail("Lobes", strconv.Itoa(r.Lobes), units.ErrRange, "want 2 to 500 lobes")
	}
	if err := checkReading("TIR", r.TIR); err != nil {
		return LobedForm{}, err
	}
	if r.TIR.Value < 0 {
		return LobedForm{}, fail("TIR", r.TIR.Value.String(), units.ErrRange, "want a largest minus a smallest reading, not negative")
	}
	// n (90 deg + Vee/2) in counts, twice over: exact before the cosine.
	twice := units.CrankAngle(r.Lobes) * (halfTurn + r.Vee)
	c := (twice / 2).Cos()
	if twice%2 != 0 {
		c = math.Cos(twice.Radians() / 2)
	}
	f := math.Abs(1 + c/math.Sin(r.Vee.Radians()/2))
	if f < 0.05 {
		return LobedForm{}, fail("Vee", r.Vee.String(), units.ErrImpossible, "this setup is blind to "+strconv.Itoa(r.Lobes)+" lobes: use another V or turn the part between centers")
	}
	return LobedForm{Reading: r, Factor: f, Roundness: result(round(float64(r.TIR.Value)/f), r.TIR.Stated, float64(r.TIR.U)/f)}, nil
}

// Working returns the derivation.
func (f LobedForm) Working() units.Working {
	x := strconv.FormatFloat(f.Factor, 'f', 4, 64)
	geometry := units.Source{Text: "geometry of a form that touches both faces of the V", Provenance: units.Computed}
	return units.Working{
		{Symbol: "factor", Formula: "|1 + cos(n (90 deg + V/2))/sin(V/2)|", Numbers: "n = " + strconv.Itoa(f.Reading.Lobes) + ", V = " + f.Reading.Vee.String(), Value: x, Source: geometry},
		{Symbol: "roundness", Formula: "TIR/factor", Numbers: num(f.Reading.TIR.Value) + "/" + x, Value: measuredText(f.Roundness), Source: geometry},
	}
}

// RadialReading is a dial reading at one angle of a part that turns about a
// fixed axis, larger where the surface stands farther out.
type RadialReading struct {
	Around  units.CrankAngle
	Reading units.Measured[units.Length]
}

// RadialReadings are the readings of one turn at one place along the part, or
// of a bore swept from its center, with a dial that kept its zero.
type RadialReadings []RadialReading

// LeastSquaresCircle is the circle nearest to all the readings.
type LeastSquaresCircle struct {
	// Mean is the reading that the circle would give about its own center.
	Mean units.Measured[units.Length]
	// Eccentricity is the distance of its center from the axis and Toward the
	// angle at which it lies, in [0, 360); a reading turns by twice the
	// eccentricity.
	Eccentricity units.Measured[units.Length]
	Toward       units.CrankAngle
	// Roundness is the largest minus the smallest residual: the roundness
	// about the least-squares center. It needs four angles or more.
	Roundness units.Optional[units.Measured[units.Length]]
	Residuals []units.Length // reading - circle, in the order of the readings
	TIR       units.Measured[units.Length]
}

// Circle answers what eccentricity and what form lie behind the readings
// around a part, by least squares:
//
//	reading(a) = Mean + x cos a + y sin a + residual
//	eccentricity = hypot(x, y), toward atan2(y, x)
//	roundness = largest - smallest residual
//
// the least-squares circle for an eccentricity that is small against the radius
// (the next term is its square over twice the radius). The angles need not be
// evenly spaced. u is carried through the solution, u(eccentricity) toward the
// center's own direction; u(roundness) is that of two residuals. An eccentricity
// no larger than its u says nothing about Toward.
//
// Errors: fewer than three readings, over 10,000, two at one angle, angles that
// crowd so that a circle is not told (ErrConflict), a reading over 100 m, a
// negative uncertainty.
//
// Source: ISO 12181-1 (least squares reference circle); JCGM 100:2008, 5.1.2.
//
// Rows: circle-mean, circle-ecc, circle-toward, circle-roundness, circle-ecc-u,
// circle-uneven, circle-bend.
func (r RadialReadings) Circle() (LeastSquaresCircle, error) {
	if err := r.check(); err != nil {
		return LeastSquaresCircle{}, err
	}
	n := len(r)
	base := r[0].Reading.Value // a base keeps the digits
	a := mat.NewDense(n, 3, nil)
	b := mat.NewVecDense(n, nil)
	stated, u2 := true, 0.0
	for i, p := range r {
		a.SetRow(i, []float64{1, p.Around.Cos(), p.Around.Sin()})
		b.SetVec(i, float64(p.Reading.Value-base))
		stated = stated && p.Reading.Stated
		u2 = math.Max(u2, float64(p.Reading.U)*float64(p.Reading.U))
	}
	var qr mat.QR
	qr.Factorize(a)
	var x mat.VecDense
	if c := qr.Cond(); !(c < 1e4) {
		return LeastSquaresCircle{}, fail("RadialReadings", "", units.ErrConflict, "the angles crowd: spread them around the part")
	}
	if err := qr.SolveVecTo(&x, false, b); err != nil {
		return LeastSquaresCircle{}, fail("RadialReadings", "", units.ErrConflict, "the angles crowd: spread them around the part")
	}
	c := LeastSquaresCircle{Residuals: make([]units.Length, n)}
	e := math.Hypot(x.AtVec(1), x.AtVec(2))
	gain, err := circleGains(a, r, &x, e)
	if err != nil {
		return LeastSquaresCircle{}, err
	}
	c.Mean = result(base+round(x.AtVec(0)), stated, gain.mean)
	c.Eccentricity = result(round(e), stated, gain.ecc)
	if e > 0 {
		t, err := units.CrankDegrees(math.Atan2(x.AtVec(2), x.AtVec(1)) * 180 / math.Pi)
		if err != nil {
			return LeastSquaresCircle{}, err
		}
		if c.Toward = t; t < 0 {
			c.Toward += units.CrankTurn
		}
	}
	lo, hi, least, most := 0, 0, math.Inf(1), math.Inf(-1)
	minR, maxR := 0, 0
	for i := range r {
		v := b.AtVec(i) - x.AtVec(0) - x.AtVec(1)*a.At(i, 1) - x.AtVec(2)*a.At(i, 2)
		c.Residuals[i] = round(v)
		if v < least {
			least, lo = v, i
		}
		if v > most {
			most, hi = v, i
		}
		if r[i].Reading.Value < r[minR].Reading.Value {
			minR = i
		}
		if r[i].Reading.Value > r[maxR].Reading.Value {
			maxR = i
		}
	}
	c.TIR = sub(r[maxR].Reading, r[minR].Reading)
	if n > 3 {
		c.Roundness = units.Some(result(round(most-least), stated, math.Hypot(float64(r[lo].Reading.U), float64(r[hi].Reading.U))))
	}
	return c, nil
}

type circleGain struct{ mean, ecc float64 }

// circleGains carries the uncertainties of the readings to the mean and the
// eccentricity: the rows of the pseudoinverse times each reading's u.
func circleGains(a *mat.Dense, r RadialReadings, x *mat.VecDense, e float64) (circleGain, error) {
	var ata, inv mat.Dense
	ata.Mul(a.T(), a)
	if err := inv.Inverse(&ata); err != nil {
		return circleGain{}, fail("RadialReadings", "", units.ErrConflict, "the angles crowd: spread them around the part")
	}
	var p mat.Dense
	p.Mul(&inv, a.T())
	cx, cy := 1.0, 0.0
	if e > 0 {
		cx, cy = x.AtVec(1)/e, x.AtVec(2)/e
	}
	var g circleGain
	for i, v := range r {
		u := float64(v.Reading.U)
		g.mean = math.Hypot(g.mean, u*p.At(0, i))
		g.ecc = math.Hypot(g.ecc, u*(cx*p.At(1, i)+cy*p.At(2, i)))
	}
	return g, nil
}

func (r RadialReadings) check() error {
	if len(r) < 3 {
		return fail("RadialReadings", strconv.Itoa(len(r)), units.ErrMissing, "want readings at three angles or more")
	}
	if len(r) > maxReadings {
		return fail("RadialReadings", strconv.Itoa(len(r)), units.ErrRange, "want at most 10000 readings")
	}
	seen := make(map[units.CrankAngle]struct{}, len(r))
	for i, p := range r {
		if checkReading("RadialReadings", p.Reading) != nil {
			return checkReading(at("RadialReadings", i)+".Reading", p.Reading)
		}
		a := (p.Around%units.CrankTurn + units.CrankTurn) % units.CrankTurn
		if _, dup := seen[a]; dup {
			return fail(at("RadialReadings", i)+".Around", p.Around.String(), units.ErrConflict, "this angle is read twice: average repeats first")
		}
		seen[a] = struct{}{}
	}
	return nil
}

// Working returns the derivation.
func (c LeastSquaresCircle) Working() units.Working {
	src := units.Source{Text: "ISO 12181-1, least squares reference circle", Provenance: units.Memory}
	w := units.Working{
		{Symbol: "mean", Formula: "reading of the circle about its own center", Value: measuredText(c.Mean), Source: src},
		{Symbol: "eccentricity", Formula: "center of the circle from the axis", Value: measuredText(c.Eccentricity) + " toward " + c.Toward.Text(1), Source: src},
	}
	if c.Roundness.Given {
		w = append(w, units.Step{Symbol: "roundness", Formula: "largest - smallest residual", Value: measuredText(c.Roundness.Value), Source: src})
	}
	return w
}
