package clearance

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"sync"

	"gonum.org/v1/gonum/mat"

	"example.com/trialfit/units"
)

// SizeSpread is how the parts of a batch lie between the limits of their size.
type SizeSpread uint8

// The spreads.
const (
	SpreadEven       SizeSpread = iota + 1 // any size as likely as another
	SpreadTriangular                       // the middle most likely, none beyond the limits
	SpreadNormal                           // normal about the middle, the limits at Sigmas deviations
)

// String names the spread.
func (s SizeSpread) String() string {
	switch s {
	case SpreadEven:
		return "even"
	case SpreadTriangular:
		return "triangular"
	case SpreadNormal:
		return "normal"
	default:
		return "unknown spread"
	}
}

// StackPart is one part of a stack of tolerances.
type StackPart struct {
	Name string
	// Smallest and Largest are the limits of its size; they may be negative
	// (a deck below or above the block's face) and may be equal.
	Smallest, Largest units.Length
	// Sensitivity is how much the stack grows as the part does, a ratio: 1 for a
	// part that opens the gap, -1 for one that closes it, 2 for a wall that counts
	// on both sides. It must not be 0, and is left at 0 where Stack.Of is given.
	Sensitivity float64
	Spread      SizeSpread
	// Sigmas is the limits' distance from the middle over the standard deviation of
	// the batch, a ratio of 1 to 10, for SpreadNormal alone: 3 for a process that
	// just keeps its limits.
	Sigmas float64
}

// PartCorrelation says that two parts, by their places, tend to lie alike in
// their limits: bores of one setting, gaskets of one batch.
type PartCorrelation struct {
	I, J int
	// Coefficient is that of the normal scores of the two, -1 to 1, a statistic;
	// for two normal parts the plain correlation.
	Coefficient float64
}

// Stack is a chain of parts that make up a gap, or any check of several sizes.
type Stack struct {
	Parts        []StackPart
	Correlations []PartCorrelation
	// Of is the check as a function of the sizes, in the order of Parts; nil is
	// the sum of Sensitivity times size. It must not keep its argument, and is
	// called from several goroutines at once if SimulationRun.Workers asks for them.
	Of func(sizes []units.Length) (units.Length, error)
	// Limits are those of the result.
	Limits units.Limits[units.Length]
}

const (
	maxParts   = 64
	maxCorners = 16
)

func (s Stack) check() error {
	switch n := len(s.Parts); {
	case n == 0:
		return fail("Parts", "", units.ErrMissing, "want one part or more")
	case n > maxParts:
		return fail("Parts", strconv.Itoa(n), units.ErrRange, "want at most 64 parts")
	}
	for i, p := range s.Parts {
		f := at("Parts", i)
		if err := checkSigned(f+".Smallest", p.Smallest); err != nil {
			return err
		}
		if err := checkSigned(f+".Largest", p.Largest); err != nil {
			return err
		}
		switch {
		case p.Smallest > p.Largest:
			return fail(f, p.Smallest.String()+" to "+p.Largest.String(), units.ErrConflict, "the smallest size is over the largest")
		case s.Of == nil && !(p.Sensitivity != 0 && math.Abs(p.Sensitivity) <= 1000):
			return fail(f+".Sensitivity", ratio(p.Sensitivity), units.ErrRange, "want a ratio that is not 0 and at most 1000")
		case s.Of != nil && p.Sensitivity != 0:
			return fail(f+".Sensitivity", ratio(p.Sensitivity), units.ErrConflict, "the function Of says what the part does: leave it at 0")
		case p.Spread < SpreadEven || p.Spread > SpreadNormal:
			return fail(f+".Spread", "", units.ErrMissing, "want one of the SizeSpread constants")
		case p.Spread == SpreadNormal && !(p.Sigmas >= 1 && p.Sigmas <= 10):
			return fail(f+".Sigmas", ratio(p.Sigmas), units.ErrRange, "want 1 to 10 standard deviations from the middle to the limits")
		case p.Spread != SpreadNormal && p.Sigmas != 0:
			return fail(f+".Sigmas", ratio(p.Sigmas), units.ErrConflict, "only a normal spread has it")
		}
	}
	if s.Limits.HasMin && s.Limits.HasMax && s.Limits.Min > s.Limits.Max {
		return fail("Limits", "", units.ErrConflict, "the lower limit is over the upper")
	}
	return nil
}

func ratio(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// of returns the check of sizes.
func (s Stack) of(sizes []units.Length) (units.Length, error) {
	if s.Of != nil {
		r, err := s.Of(sizes)
		if err == nil {
			err = checkSigned("Of", r)
		}
		return r, err
	}
	var sum float64
	for i, p := range s.Parts {
		sum += p.Sensitivity * float64(sizes[i])
	}
	if math.Abs(sum) > float64(maxSize) {
		return 0, fail("Parts", "", units.ErrRange, "the stack is over 100 m")
	}
	return round(sum), nil
}

// Extremes are the least and the greatest that a stack can be.
type Extremes struct {
	Smallest, Largest units.Length
	// Outcome is whether every build keeps the limits (proved within), none does
	// (proved outside), or some may not (not proved).
	Outcome units.Outcome

	parts []StackPart
}

// WorstCase answers the least and the greatest result with every part within its
// limits:
//
//	smallest = sum of the lesser of c Smallest, c Largest
//	largest  = sum of the greater
//
// with c = Sensitivity. With Stack.Of it is the least and greatest over all
// combinations of limits, which holds if the check rises or falls with each part
// alone; it takes at most 16 parts. Errors: those of the parts; no limits
// (ErrMissing); what Of returns.
//
// Source: definition.
//
// Rows: stack-grip-worst-low, stack-grip-worst-high, stack-squish-worst-low.
func (s Stack) WorstCase() (Extremes, error) {
	if err := s.check(); err != nil {
		return Extremes{}, err
	}
	if err := s.hasLimits(); err != nil {
		return Extremes{}, err
	}
	r := Extremes{parts: slices.Clone(s.Parts)}
	sizes := make([]units.Length, len(s.Parts))
	if s.Of == nil {
		for _, end := range []*units.Length{&r.Smallest, &r.Largest} {
			for i, p := range s.Parts {
				sizes[i] = p.Smallest
				if (p.Sensitivity > 0) == (end == &r.Largest) {
					sizes[i] = p.Largest
				}
			}
			var err error
			if *end, err = s.of(sizes); err != nil {
				return Extremes{}, err
			}
		}
	} else {
		if len(s.Parts) > maxCorners {
			return Extremes{}, fail("Parts", strconv.Itoa(len(s.Parts)), units.ErrRange, "want at most 16 parts with a function of their sizes: it is tried at every combination of limits")
		}
		for corner := range 1 << len(s.Parts) {
			for i, p := range s.Parts {
				if sizes[i] = p.Smallest; corner>>i&1 == 1 {
					sizes[i] = p.Largest
				}
			}
			x, err := s.of(sizes)
			if err != nil {
				return Extremes{}, err
			}
			if corner == 0 {
				r.Smallest, r.Largest = x, x
			}
			r.Smallest, r.Largest = min(r.Smallest, x), max(r.Largest, x)
		}
	}
	below, above := s.side(float64(r.Smallest)), s.side(float64(r.Largest))
	switch {
	case below == 0 && above == 0:
		r.Outcome = units.ProvedWithin
	case below == above: // both under the lower limit, or both over the upper
		r.Outcome = units.ProvedOutside
	default:
		r.Outcome = units.NotProved
	}
	return r, nil
}

func (s Stack) hasLimits() error {
	if !s.Limits.HasMin && !s.Limits.HasMax {
		return fail("Limits", "", units.ErrMissing, "want a lower or an upper limit")
	}
	return nil
}

// side is -1 under the limits, 1 over them and 0 within.
func (s Stack) side(x float64) int {
	switch {
	case s.Limits.HasMin && x < float64(s.Limits.Min):
		return -1
	case s.Limits.HasMax && x > float64(s.Limits.Max):
		return 1
	default:
		return 0
	}
}

// Working shows the parts that add up.
func (e Extremes) Working() units.Working {
	w := make(units.Working, 0, len(e.parts)+2)
	for i, p := range e.parts {
		name := p.Name
		if name == "" {
			name = "part " + strconv.Itoa(i+1)
		}
		formula := "limits"
		if p.Sensitivity != 0 {
			formula += ", times " + ratio(p.Sensitivity)
		}
		w = append(w, units.Step{Symbol: name, Formula: formula, Numbers: num(p.Smallest) + " to " + num(p.Largest), Value: num(p.Largest - p.Smallest), Source: asRead})
	}
	return append(w,
		units.Step{Symbol: "smallest", Formula: "each part at the limit that makes it least", Value: text(e.Smallest), Source: definition},
		units.Step{Symbol: "largest", Formula: "each part at the limit that makes it greatest", Value: text(e.Largest), Source: definition})
}

// deviation is the standard deviation of a part, in counts.
func (p StackPart) deviation() float64 {
	half := float64(p.Largest-p.Smallest) / 2
	switch p.Spread {
	case SpreadTriangular:
		return half / math.Sqrt(6)
	case SpreadNormal:
		return half / p.Sigmas
	default:
		return half / math.Sqrt(3)
	}
}

func (p StackPart) middle() float64 { return (float64(p.Smallest) + float64(p.Largest)) / 2 }

// StackShare is what a root sum of squares says of a batch of builds.
type StackShare struct {
	// Result is the middle of the batch with its standard deviation as U.
	Result units.Measured[units.Length]
	// Inside is the share of builds within the limits, a probability, if the sum
	// is normal.
	Inside float64
	// Contributions are the parts' shares of the variance, in their order, ratios
	// that add up to 1 if the parts are independent; all 0 where nothing varies.
	Contributions []float64
}

// RootSumSquare answers how a batch of builds spreads if its parts were picked at
// random:
//
//	middle = sum c_i m_i    s^2 = sum (c_i s_i)^2 + 2 sum over i < j of r_ij c_i s_i c_j s_j
//	even s_i = half/sqrt(3)    triangular half/sqrt(6)    normal half/Sigmas
//
// with m_i, half the middle and half the distance of the limits, c_i =
// Sensitivity. The correlation of parts that are not normal is taken as that of
// their scores. With Stack.Of, c_i is the quotient of differences over half the
// distance of the limits about the middle. Inside takes the result as normal,
// which a sum of four parts or more of like size nearly is; Simulate does not.
// Errors: those of the parts and correlations; no limits (ErrMissing); limits
// that Judge would refuse; nothing that varies (ErrImpossible); what Of returns.
//
// Source: JCGM 100:2008, 5.1.2 and 5.2.2; 4.3.7 and 4.3.9 for the spreads.
//
// Rows: stack-grip-rss, stack-grip-middle, stack-rss-normal, stack-rss-correlated,
// stack-rss-inside.
func (s Stack) RootSumSquare() (StackShare, error) {
	if err := s.check(); err != nil {
		return StackShare{}, err
	}
	if err := s.hasLimits(); err != nil {
		return StackShare{}, err
	}
	if _, err := s.factor(); err != nil {
		return StackShare{}, err
	}
	n := len(s.Parts)
	middle, cs := make([]units.Length, n), make([]float64, n)
	for i, p := range s.Parts {
		middle[i] = round(p.middle())
	}
	m, err := s.of(middle)
	if err != nil {
		return StackShare{}, err
	}
	var sum float64
	for i, p := range s.Parts {
		c := p.Sensitivity
		if quarter := (p.Largest - p.Smallest) / 4; s.Of != nil && quarter > 0 {
			up, down := slices.Clone(middle), slices.Clone(middle)
			up[i] += quarter
			down[i] -= quarter
			hi, err := s.of(up)
			if err != nil {
				return StackShare{}, err
			}
			lo, err := s.of(down)
			if err != nil {
				return StackShare{}, err
			}
			c = float64(hi-lo) / float64(2*quarter)
		}
		cs[i] = c * p.deviation()
		sum += cs[i] * cs[i]
	}
	total := sum
	for _, r := range s.Correlations {
		total += 2 * r.Coefficient * cs[r.I] * cs[r.J]
	}
	res := StackShare{Result: units.WithU(m, round(math.Sqrt(max(total, 0)))), Contributions: make([]float64, n)}
	if res.Result.U == 0 {
		return StackShare{}, fail("Parts", "", units.ErrImpossible, "nothing varies: see WorstCase")
	}
	for i, c := range cs {
		res.Contributions[i] = c * c / sum
	}
	if res.Inside, err = units.ConformanceProbability(res.Result, s.Limits); err != nil {
		return StackShare{}, err
	}
	return res, nil
}

// factor checks the correlations and returns their Cholesky factor, nil where
// there are none.
func (s Stack) factor() (*mat.TriDense, error) {
	if len(s.Correlations) == 0 {
		return nil, nil
	}
	n := len(s.Parts)
	r := mat.NewSymDense(n, nil)
	for i := range n {
		r.SetSym(i, i, 1)
	}
	seen := map[[2]int]bool{}
	for k, c := range s.Correlations {
		f := at("Correlations", k)
		i, j := min(c.I, c.J), max(c.I, c.J)
		switch {
		case i < 0 || j >= n || i == j:
			return nil, fail(f, strconv.Itoa(c.I)+", "+strconv.Itoa(c.J), units.ErrRange, "want the places of two parts")
		case !(math.Abs(c.Coefficient) <= 1):
			return nil, fail(f+".Coefficient", ratio(c.Coefficient), units.ErrRange, "want a coefficient from -1 to 1")
		case seen[[2]int{i, j}]:
			return nil, fail(f, strconv.Itoa(c.I)+", "+strconv.Itoa(c.J), units.ErrConflict, "the pair is named twice")
		}
		seen[[2]int{i, j}] = true
		r.SetSym(i, j, c.Coefficient)
	}
	// Full correlation makes the matrix singular: a billionth less of it is
	// positive definite wherever the coefficients can be at all.
	for i := range n {
		r.SetSym(i, i, 1+1e-9)
	}
	var c mat.Cholesky
	if !c.Factorize(r) {
		return nil, fail("Correlations", "", units.ErrConflict, "no parts are correlated like this all together")
	}
	var l mat.TriDense
	c.LTo(&l)
	return &l, nil
}

// SimulationRun says how many builds to draw.
type SimulationRun struct {
	Samples int // 1000 to 1e9
	// Seed picks the sequence of random numbers: the same seed draws the same
	// builds, whatever Workers is.
	Seed    uint64
	Workers int // goroutines to draw on, up to 1024; 0 is one
	// Quantiles are shares over 0 and under 1 for which the result that they lie
	// under is asked. They take 8 bytes a sample.
	Quantiles []float64
}

// Simulation is what the drawn builds did.
type Simulation struct {
	// Samples were drawn: Inside the limits, Below, Above, or Refused because
	// Stack.Of returned an error.
	Samples, Inside, Below, Above, Refused int
	// Share is Inside over Samples, a probability, and ShareU its standard
	// uncertainty, which is not 0 even if all are inside.
	Share, ShareU float64
	// Mean, Deviation, Smallest and Largest are those of the results that were
	// not refused, Quantiles in the order asked; 0 if all were refused.
	Mean, Deviation   units.Length
	Smallest, Largest units.Length
	Quantiles         []units.Length
}

// Simulate answers which share of builds keeps the limits, by drawing the parts
// of each from their spreads:
//
//	Share = inside/n    ShareU^2 = (k + 1)(n - k + 1)/((n + 2)^2 (n + 3)),  k = inside
//
// the second being the variance of a share of which nothing else is known.
// Correlated parts are drawn as normal scores with those coefficients and then
// taken to their spreads. Samples are drawn in blocks of 8192, each with a
// sequence of its own (PCG, seeded with Seed and the number of the block).
// A build of a linear stack is drawn without allocating.
//
// Errors: those of the parts and correlations; no limits (ErrMissing); samples,
// workers or quantiles outside their range (ErrRange).
//
// Source: JCGM 101:2008, 5 to 7; the share: mean and variance of the beta
// distribution.
//
// Rows: stack-mc-even-five, stack-mc-normal, stack-mc-correlated, s1-923-analytic,
// s1-924-mcm.
func (s Stack) Simulate(run SimulationRun) (Simulation, error) {
	if err := s.check(); err != nil {
		return Simulation{}, err
	}
	if err := s.hasLimits(); err != nil {
		return Simulation{}, err
	}
	if run.Samples < 1000 || run.Samples > 1_000_000_000 {
		return Simulation{}, fail("Samples", strconv.Itoa(run.Samples), units.ErrRange, "want 1000 to 1e9 samples")
	}
	if run.Workers < 0 || run.Workers > 1024 {
		return Simulation{}, fail("Workers", strconv.Itoa(run.Workers), units.ErrRange, "want 0 to 1024 workers")
	}
	for i, q := range run.Quantiles {
		if !(q > 0 && q < 1) {
			return Simulation{}, fail(at("Quantiles", i), ratio(q), units.ErrRange, "want a share over 0 and under 1")
		}
	}
	factor, err := s.factor()
	if err != nil {
		return Simulation{}, err
	}
	d := newDrawing(s, factor)
	var kept []float64
	if len(run.Quantiles) > 0 {
		kept = make([]float64, run.Samples)
	}
	const block = 8192
	blocks := make([]tally, (run.Samples+block-1)/block)
	next := make(chan int)
	var group sync.WaitGroup
	for range max(run.Workers, 1) {
		group.Go(func() {
			w := d.worker()
			for b := range next {
				n := min(block, run.Samples-b*block)
				var out []float64
				if kept != nil {
					out = kept[b*block : b*block+n]
				}
				blocks[b] = w.draw(rand.NewPCG(run.Seed, uint64(b)), n, out)
			}
		})
	}
	for b := range blocks {
		next <- b
	}
	close(next)
	group.Wait()
	var t tally
	for _, b := range blocks {
		t.add(b)
	}
	r := Simulation{Samples: run.Samples, Inside: t.inside, Below: t.below, Above: t.above}
	got := t.inside + t.below + t.above
	r.Refused = run.Samples - got
	n, k := float64(run.Samples), float64(t.inside)
	r.Share = k / n
	r.ShareU = math.Sqrt((k + 1) * (n - k + 1) / ((n + 2) * (n + 2) * (n + 3)))
	if got == 0 {
		return r, nil
	}
	g := float64(got)
	r.Mean = round(d.origin + t.sum/g)
	if got > 1 {
		r.Deviation = round(math.Sqrt(max(t.squares-t.sum*t.sum/g, 0) / (g - 1)))
	}
	r.Smallest, r.Largest = round(t.smallest), round(t.largest)
	if kept != nil {
		for _, q := range run.Quantiles { // the refused are +Inf and come last
			r.Quantiles = append(r.Quantiles, round(nth(kept, min(int(q*g), got-1))))
		}
	}
	return r, nil
}

// nth returns the value that would stand at place k of x in order, and puts it there:
// each round parts what may hold it about one of its values (Hoare's selection).
func nth(x []float64, k int) float64 {
	lo, hi := 0, len(x)-1
	for lo < hi {
		// Three values spread over the stretch guard against one that is at its end.
		a, b, c := x[lo], x[lo+(hi-lo)/2], x[hi]
		pivot := max(min(a, b), min(max(a, b), c))
		i, j := lo, hi
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for x[j] > pivot {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return x[k]
		}
	}
	return x[k]
}

// tally counts the builds of a block. The sums are about the origin.
type tally struct {
	inside, below, above int
	sum, squares         float64
	smallest, largest    float64
}

func (t *tally) add(b tally) {
	if b.inside+b.below+b.above == 0 {
		return
	}
	if t.inside+t.below+t.above == 0 {
		t.smallest, t.largest = b.smallest, b.largest
	}
	t.inside, t.below, t.above = t.inside+b.inside, t.below+b.below, t.above+b.above
	t.sum, t.squares = t.sum+b.sum, t.squares+b.squares
	t.smallest, t.largest = min(t.smallest, b.smallest), max(t.largest, b.largest)
}

// drawing is a stack made ready to be drawn.
type drawing struct {
	stack  Stack
	parts  []drawnPart
	joint  []int     // parts that go with others, in order; they are drawn first
	alone  []int     // the rest
	factor []float64 // rows of the Cholesky factor of the joint parts
	erf    []knot    // of the error function, where a joint part is even
	low    float64   // limits, infinite where there is none
	high   float64
	origin float64 // about which the sums run
}

type drawnPart struct {
	spread       SizeSpread
	middle, half float64 // counts; half is the standard deviation of a normal part
	c            float64
}

func newDrawing(s Stack, factor *mat.TriDense) *drawing {
	d := &drawing{stack: s, low: math.Inf(-1), high: math.Inf(1)}
	if s.Limits.HasMin {
		d.low = float64(s.Limits.Min)
	}
	if s.Limits.HasMax {
		d.high = float64(s.Limits.Max)
	}
	for _, p := range s.Parts {
		q := drawnPart{p.Spread, p.middle(), float64(p.Largest-p.Smallest) / 2, p.Sensitivity}
		if p.Spread == SpreadNormal {
			q.half /= p.Sigmas
		}
		d.parts = append(d.parts, q)
		if s.Of == nil {
			d.origin += q.c * q.middle
		}
	}
	if s.Of != nil { // any point near the results
		middle := make([]units.Length, len(s.Parts))
		for i, p := range d.parts {
			middle[i] = round(p.middle)
		}
		if x, err := s.of(middle); err == nil {
			d.origin = float64(x)
		}
	}
	for i := range s.Parts {
		if factor != nil && slices.ContainsFunc(s.Correlations, func(c PartCorrelation) bool { return c.Coefficient != 0 && (c.I == i || c.J == i) }) {
			d.joint = append(d.joint, i)
		} else {
			d.alone = append(d.alone, i)
		}
	}
	// A part that goes with none has its row and column of the factor to itself.
	for _, i := range d.joint {
		row := len(d.factor)
		var norm float64
		for _, j := range d.joint {
			v := 0.0
			if j <= i {
				v = factor.At(i, j)
			}
			d.factor = append(d.factor, v)
			norm += v * v
		}
		for k := range d.factor[row:] {
			d.factor[row+k] /= math.Sqrt(norm)
		}
		if d.parts[i].spread == SpreadEven && d.erf == nil {
			d.erf = erfKnots()
		}
	}
	return d
}

// knot is a value and its slope for a step.
type knot struct{ y, slope float64 }

// perUnit are the knots of the error function for each unit, lastErf where it is 1 to
// the last digit but a few.
const (
	perUnit = 256
	lastErf = 6
)

// erfKnots returns the error function from 0 on; the cubics between them are right to
// 4e-12, which no count of builds can tell.
func erfKnots() []knot {
	t := make([]knot, lastErf*perUnit+1)
	for i := range t {
		x := float64(i) / perUnit
		t[i] = knot{math.Erf(x), 2 / math.Sqrt(math.Pi) * math.Exp(-x*x) / perUnit}
	}
	return t
}

// erfOf returns the error function by its knots.
func (d *drawing) erfOf(x float64) float64 {
	s := math.Abs(x) * perUnit
	if !(s < lastErf*perUnit) {
		return math.Copysign(1, x)
	}
	i := int(s)
	u := s - float64(i)
	l, r := &d.erf[i], &d.erf[i+1]
	step := r.y - l.y
	return math.Copysign(l.y+u*(l.slope+u*(3*step-2*l.slope-r.slope+u*(l.slope+r.slope-2*step))), x)
}

// drawer is a drawing with the memory of one goroutine.
type drawer struct {
	*drawing
	sizes  []units.Length
	scores []float64
	x      []float64
}

func (d *drawing) worker() *drawer {
	n := len(d.parts)
	return &drawer{d, make([]units.Length, n), make([]float64, len(d.joint)), make([]float64, n)}
}

// unit turns 53 random bits into [0, 1).
func unit(bits uint64) float64 { return float64(bits>>11) * (1.0 / (1 << 53)) }

func (w *drawer) draw(src *rand.PCG, n int, out []float64) (t tally) {
	r := rand.New(src)
	t.smallest, t.largest = math.Inf(1), math.Inf(-1)
	for k := range n {
		var y float64 // about the origin
		switch {
		case w.stack.Of != nil:
			if !w.build(src, r, &y) {
				if out != nil {
					out[k] = math.Inf(1)
				}
				continue
			}
		case len(w.joint) > 0:
			w.drawJoint(r)
			for _, i := range w.joint {
				y += w.parts[i].c * w.x[i]
			}
			for _, i := range w.alone {
				p := &w.parts[i]
				y += p.c * p.draw(src, r)
			}
		default:
			for i := range w.parts {
				p := &w.parts[i]
				y += p.c * p.draw(src, r)
			}
		}
		x := w.origin + y
		switch {
		case x < w.low:
			t.below++
		case x > w.high:
			t.above++
		default:
			t.inside++
		}
		t.sum += y
		t.squares += y * y
		if x < t.smallest {
			t.smallest = x
		}
		if x > t.largest {
			t.largest = x
		}
		if out != nil {
			out[k] = x
		}
	}
	return t
}

// draw draws a part by itself, off its middle.
func (p *drawnPart) draw(src *rand.PCG, r *rand.Rand) float64 {
	switch p.spread {
	case SpreadEven:
		return p.half * (2*unit(src.Uint64()) - 1)
	case SpreadTriangular:
		return p.half * (unit(src.Uint64()) - unit(src.Uint64()))
	default:
		return p.half * r.NormFloat64()
	}
}

// drawJoint draws the parts that go with each other.
func (w *drawer) drawJoint(r *rand.Rand) {
	n := len(w.joint)
	for k := range w.scores {
		w.scores[k] = r.NormFloat64()
	}
	for k, i := range w.joint {
		var z float64
		for j, f := range w.factor[k*n : k*n+k+1] {
			z += f * w.scores[j]
		}
		w.x[i] = w.fromScore(&w.parts[i], z)
	}
}

// build draws a build part by part; false where the check refuses it.
func (w *drawer) build(src *rand.PCG, r *rand.Rand, y *float64) bool {
	if len(w.joint) > 0 {
		w.drawJoint(r)
	}
	for _, i := range w.alone {
		w.x[i] = w.parts[i].draw(src, r)
	}
	for i := range w.parts {
		w.sizes[i] = round(w.parts[i].middle + w.x[i])
	}
	v, err := w.stack.of(w.sizes)
	*y = float64(v) - w.origin
	return err == nil
}

// fromScore takes a normal score to the part's spread.
func (d *drawing) fromScore(p *drawnPart, z float64) float64 {
	if p.spread == SpreadNormal {
		return p.half * z
	}
	// The share of parts below is erfc(-z/sqrt 2)/2.
	if p.spread == SpreadEven {
		return p.half * d.erfOf(z*(1/math.Sqrt2))
	}
	if z <= 0 {
		return p.half * (math.Sqrt(math.Erfc(-z/math.Sqrt2)) - 1)
	}
	return p.half * (1 - math.Sqrt(math.Erfc(z/math.Sqrt2)))
}
