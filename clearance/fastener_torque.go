package clearance

import (
	"math"
	"strconv"

	"example.com/trialfit/units"

	"gonum.org/v1/gonum/stat"
)

const shigleyBolts = "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., "

var (
	torqueTable = units.Source{Text: shigleyBolts + "Table 8-15, p. 439", Provenance: units.Verified}
	torqueRule  = units.Source{Text: shigleyBolts + "eq. (8-27), p. 438", Provenance: units.Verified}
	asGiven     = units.Source{Text: "as given", Provenance: units.Stated}
	threadRule  = units.Source{Text: shigleyBolts + "eq. (8-26), p. 438", Provenance: units.Verified}
	scatterRule = units.Source{Text: "NASA-STD-5020B, Table 3, as quoted in public documentation of bolt analysis", Provenance: units.VerifiedSecondary}
)

// NutFactor is the K of T = K F d (a ratio) with its standard uncertainty, if
// one was stated.
type NutFactor struct {
	K, U   float64
	Stated bool
	Source units.Source
}

// NutCondition is a state of threads and faces for which a nut factor is
// printed. The zero NutCondition is none.
type NutCondition uint8

// Conditions of Shigley's table.
const (
	NonplatedBlack NutCondition = iota + 1 // black finish
	ZincPlated
	Lubricated
	CadmiumPlated
	AntiSeize      // with an anti-seize compound
	LowFrictionNut // special low-friction nuts
)

var nutFactors = [...]struct {
	name string
	k    float64
}{
	NonplatedBlack: {"nonplated, black finish", 0.30},
	ZincPlated:     {"zinc-plated", 0.20},
	Lubricated:     {"lubricated", 0.18},
	CadmiumPlated:  {"cadmium-plated", 0.16},
	AntiSeize:      {"with anti-seize compound", 0.12},
	LowFrictionNut: {"with low-friction nut", 0.09},
}

// String names the condition.
func (c NutCondition) String() string {
	if c == 0 || int(c) >= len(nutFactors) {
		return "no condition"
	}
	return nutFactors[c].name
}

// Factor answers which nut factor is printed for a condition; how far a single
// joint is from it is not printed: see TensionScatter. Errors: no condition.
//
// Source: Shigley, 9th ed., Table 8-15.
//
// Rows: nut-black, nut-zinc, nut-lubricated, nut-cadmium, nut-anti-seize,
// nut-low-friction.
func (c NutCondition) Factor() (NutFactor, error) {
	if c == 0 {
		return NutFactor{}, fail("NutCondition", "", units.ErrMissing, "want a condition of the table")
	}
	if int(c) >= len(nutFactors) {
		return NutFactor{}, fail("NutCondition", strconv.Itoa(int(c)), units.ErrRange, "want a condition of the table")
	}
	return NutFactor{K: nutFactors[c].k, Source: torqueTable}, nil
}

// Friction is a coefficient of friction (a ratio) with its standard
// uncertainty.
type Friction struct {
	Coefficient, U float64
}

// ThreadFriction is what a tightening torque works against.
type ThreadFriction struct {
	// Diameter is the nominal one, to which K refers.
	Diameter units.Length
	// Mean is the diameter on which the thread rubs, as a rule the pitch diameter
	// (Thread.PitchDiameter). Or give Root, the root diameter, for the mean of
	// Diameter and Root.
	Mean, Root units.Length
	// Lead is how far the nut travels in a turn: the pitch of a single thread.
	Lead units.Length
	// Bearing is the mean diameter on which head or nut rubs, half of washer
	// face plus hole; 0 takes 1.25 Diameter, for a face of 1.5 Diameter.
	Bearing      units.Length
	Thread, Head Friction
	// Stated says that the two U are given; a U without it is refused.
	Stated bool
}

// FrictionFactor is the nut factor that friction gives, in its parts.
type FrictionFactor struct {
	NutFactor NutFactor
	// Mean is the diameter on which the thread rubs.
	Mean units.Length
	// LeadAngle is an angle at the bolt, not of the crank; the type is that of
	// angles.
	LeadAngle units.CrankAngle
	// ThreadPart and HeadPart add up to K (ratios); Pull is what of ThreadPart
	// stretches the bolt, the rest is friction.
	ThreadPart, HeadPart, Pull float64

	from ThreadFriction
}

// secFlank is 1/cos 30 degrees, the half angle of a 60 degree thread.
var secFlank = 2 / math.Sqrt(3)

// Factor answers which nut factor follows from pitch and friction:
//
//	K = (dm/2d) (tan l + f sec 30)/(1 - f tan l sec 30) + (db/2d) fc     tan l = Lead/(pi dm)
//
// with d = Diameter, dm = Mean or (Diameter + Root)/2, db = Bearing, f and fc = Thread and Head, for
// threads of 60 degrees. The uncertainty is that of the two coefficients, taken
// as independent, by the slope of the equation.
//
// Errors: diameters or a lead that are missing, negative or over 1 m, a mean
// beside a root (ErrConflict), a mean
// over the diameter (ErrConflict), a lead of over half the diameter, a coefficient that is
// missing, not finite or outside (0, 1], a thread that locks itself (ErrImpossible). It
// does not allocate.
//
// Source: Shigley, 9th ed., eq. (8-26); JCGM 100:2008, 5.1.2.
//
// Rows: shi-8-3-T26, shi-8-3-lead, shi-8-3-dm, jin-9-3-K, vdi-M-m10, friction-K-u.
func (t ThreadFriction) Factor() (FrictionFactor, error) {
	for _, v := range [...]struct {
		field   string
		l       units.Length
		missing bool
	}{{"Diameter", t.Diameter, true}, {"Mean", t.Mean, t.Root == 0}, {"Root", t.Root, false}, {"Lead", t.Lead, true}, {"Bearing", t.Bearing, false}} {
		switch {
		case v.l == 0 && v.missing:
			return FrictionFactor{}, fail(v.field, "", units.ErrMissing, "want a size over 0")
		case v.l < 0 || v.l > units.Meter:
			return FrictionFactor{}, fail(v.field, v.l.String(), units.ErrRange, "want 0 to 1 m")
		}
	}
	if t.Root != 0 {
		if t.Mean != 0 {
			return FrictionFactor{}, fail("Root", t.Root.String(), units.ErrConflict, "a mean diameter is given, too")
		}
		if t.Root > t.Diameter {
			return FrictionFactor{}, fail("Root", t.Root.String(), units.ErrConflict, "want a root under the nominal diameter, "+t.Diameter.String())
		}
		t.Mean = div(t.Diameter+t.Root, 2)
	}
	if t.Mean > t.Diameter {
		return FrictionFactor{}, fail("Mean", t.Mean.String(), units.ErrConflict, "want a mean diameter up to the nominal one, "+t.Diameter.String())
	}
	if t.Mean < t.Diameter/4 {
		return FrictionFactor{}, fail("Mean", t.Mean.String(), units.ErrRange, "want at least a quarter of the diameter")
	}
	if t.Lead > t.Diameter/2 {
		return FrictionFactor{}, fail("Lead", t.Lead.String(), units.ErrRange, "want at most half the diameter")
	}
	if t.Bearing != 0 && t.Bearing < t.Mean {
		return FrictionFactor{}, fail("Bearing", t.Bearing.String(), units.ErrConflict, "want a face that is larger than the thread, "+t.Mean.String())
	}
	for _, f := range [...]struct {
		field string
		f     Friction
	}{{"Thread", t.Thread}, {"Head", t.Head}} {
		switch {
		case f.f.Coefficient == 0:
			return FrictionFactor{}, fail(f.field, "", units.ErrMissing, "want a coefficient of friction")
		case !(f.f.Coefficient > 0 && f.f.Coefficient <= 1):
			return FrictionFactor{}, fail(f.field, "", units.ErrRange, "want a coefficient over 0 and up to 1")
		case !(f.f.U >= 0 && f.f.U <= 1):
			return FrictionFactor{}, fail(f.field+".U", "", units.ErrRange, "want a standard uncertainty of 0 to 1")
		case !t.Stated && f.f.U != 0:
			return FrictionFactor{}, fail(f.field+".U", "", units.ErrConflict, "an uncertainty is given but not marked as stated")
		}
	}
	d, dm, db := float64(t.Diameter), float64(t.Mean), float64(t.Bearing)
	if db == 0 {
		db = 1.25 * d
	}
	tan := float64(t.Lead) / (math.Pi * dm)
	fs := t.Thread.Coefficient * secFlank
	below := 1 - fs*tan
	if below < 0.1 {
		return FrictionFactor{}, fail("Thread", "", units.ErrImpossible, "the thread locks before it turns")
	}
	r := FrictionFactor{
		Mean:       t.Mean,
		ThreadPart: dm / (2 * d) * (tan + fs) / below,
		HeadPart:   db / (2 * d) * t.Head.Coefficient,
		Pull:       dm / (2 * d) * tan,
		from:       t,
	}
	var err error
	if r.LeadAngle, err = units.CrankDegrees(math.Atan(tan) * 180 / math.Pi); err != nil {
		return FrictionFactor{}, err
	}
	r.NutFactor = NutFactor{K: r.ThreadPart + r.HeadPart, Source: threadRule}
	if t.Stated {
		// d/df of (tan + f s)/(1 - f s tan) = s (1 + tan^2)/(1 - f s tan)^2
		slope := dm / (2 * d) * secFlank * (1 + tan*tan) / (below * below)
		r.NutFactor.U = math.Hypot(slope*t.Thread.U, db/(2*d)*t.Head.U)
		r.NutFactor.Stated = true
	}
	return r, nil
}

// Working returns the derivation; nil for the zero FrictionFactor.
func (r FrictionFactor) Working() units.Working {
	if r.from.Diameter <= 0 {
		return nil
	}
	d, db := num(r.from.Diameter), num(r.from.Bearing)
	if r.from.Bearing == 0 {
		db = "1.25 d"
	}
	return units.Working{
		{Symbol: "l", Formula: "atan(lead/(pi dm))", Numbers: "lead = " + num(r.from.Lead) + ", dm = " + num(r.from.Mean), Value: plainNumber(r.LeadAngle.Degrees()) + " deg", Source: threadRule},
		{Symbol: "thread", Formula: "(dm/2d) (tan l + f sec 30)/(1 - f tan l sec 30)", Numbers: "f = " + plainNumber(r.from.Thread.Coefficient) + ", dm = " + num(r.from.Mean) + ", d = " + d, Value: plainNumber(r.ThreadPart), Source: threadRule},
		{Symbol: "head", Formula: "(db/2d) fc", Numbers: "fc = " + plainNumber(r.from.Head.Coefficient) + ", db = " + db + ", d = " + d, Value: plainNumber(r.HeadPart), Source: threadRule},
		{Symbol: "K", Formula: "thread + head", Numbers: plainNumber(r.ThreadPart) + " + " + plainNumber(r.HeadPart), Value: plainNumber(r.NutFactor.K), Source: threadRule},
	}
}

func plainNumber(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

// Tightening is a bolt of a nominal diameter and a nut factor.
type Tightening struct {
	Diameter units.Length
	Factor   NutFactor
}

// Tightened is a torque and the preload it gives.
type Tightened struct {
	Torque  units.Measured[units.Torque]
	Preload units.Measured[units.Force]

	from     Tightening
	byTorque bool // the torque was given, else the preload
}

func (t Tightening) check() error {
	if err := checkSize("Diameter", t.Diameter); err != nil {
		return err
	}
	k := t.Factor
	switch {
	case k.K == 0:
		return fail("Factor.K", "", units.ErrMissing, "want a nut factor")
	case !(k.K > 0 && k.K <= 2):
		return fail("Factor.K", "", units.ErrRange, "want a nut factor over 0 and up to 2")
	case !(k.U >= 0 && k.U <= 2):
		return fail("Factor.U", "", units.ErrRange, "want a standard uncertainty of 0 to 2")
	case !k.Stated && k.U != 0:
		return fail("Factor.U", "", units.ErrConflict, "an uncertainty is given but not marked as stated")
	}
	return nil
}

// Torque answers how hard to tighten for a preload:
//
//	T = K F d     (u_T/T)^2 = (u_K/K)^2 + (u_F/F)^2
//
// with K = Factor, F the preload, d = Diameter. The uncertainty is stated
// where both are. Errors: a diameter, factor or preload that is missing,
// negative, not finite or out of range. It does not allocate.
//
// Source: Shigley, 9th ed., eq. (8-27).
//
// Rows: shi-8-3-T, wen-6-1-T, wen-6-4-T, jin-9-5-T, jin-9-6-T, torque-u.
func (t Tightening) Torque(preload units.Measured[units.Force]) (Tightened, error) {
	if err := t.check(); err != nil {
		return Tightened{}, err
	}
	if err := checkLoad("Preload", preload); err != nil {
		return Tightened{}, err
	}
	f := float64(preload.Value)
	x := t.Factor.K * f * t.Diameter.Meters()
	r := Tightened{Torque: units.Unstated(units.NewtonMeters(x)), Preload: preload, from: t}
	if t.Factor.Stated && preload.Stated {
		r.Torque = units.WithU(r.Torque.Value, units.NewtonMeters(x*math.Hypot(t.Factor.U/t.Factor.K, float64(preload.U)/f)))
	}
	return r, nil
}

// Preload answers which preload a torque gives: F = T/(K d), the inverse of
// Torque, (u_F/F)^2 = (u_K/K)^2 + (u_T/T)^2. Most of a torque goes into
// friction, so a tenth more friction is a tenth less preload. Errors as for
// Torque, a preload over 1 GN. It does not allocate.
//
// Source: Shigley, 9th ed., eq. (8-27).
//
// Rows: preload-of-torque, preload-of-torque-u.
func (t Tightening) Preload(torque units.Measured[units.Torque]) (Tightened, error) {
	if err := t.check(); err != nil {
		return Tightened{}, err
	}
	switch x := torque; {
	case x.Value == 0:
		return Tightened{}, fail("Torque", "", units.ErrMissing, "want a torque over 0")
	case !(x.Value > 0 && float64(x.Value) <= 1e9):
		return Tightened{}, fail("Torque", x.Value.String(), units.ErrRange, "want a torque over 0 and up to 1 GN m")
	case !(x.U >= 0 && float64(x.U) <= 1e9):
		return Tightened{}, fail("Torque.U", x.U.String(), units.ErrRange, "want a standard uncertainty of 0 to 1 GN m")
	case !x.Stated && x.U != 0:
		return Tightened{}, fail("Torque.U", x.U.String(), units.ErrConflict, "an uncertainty is given but not marked as stated")
	}
	f := float64(torque.Value) / (t.Factor.K * t.Diameter.Meters())
	if err := checkLoad("Preload", units.Unstated(units.Newtons(f))); err != nil {
		return Tightened{}, err
	}
	r := Tightened{Torque: torque, Preload: units.Unstated(units.Newtons(f)), from: t, byTorque: true}
	if t.Factor.Stated && torque.Stated {
		r.Preload = units.WithU(r.Preload.Value, units.Newtons(f*math.Hypot(t.Factor.U/t.Factor.K, float64(torque.U/torque.Value))))
	}
	return r, nil
}

// Working returns the derivation, from torque to preload or from preload to
// torque as it was asked; nil for the zero Tightened.
func (r Tightened) Working() units.Working {
	if r.from.Diameter <= 0 {
		return nil
	}
	k := r.from.Factor
	src := k.Source
	if !src.Given() {
		src = units.Source{Text: "the caller's nut factor", Provenance: units.Stated}
	}
	kd := plainNumber(k.K) + " * " + num(r.from.Diameter)
	share := units.Step{Symbol: "u_T/T", Formula: "sqrt((u_K/K)^2 + (u_F/F)^2)", Source: gum}
	w := units.Working{{Symbol: "K", Formula: "nut factor", Value: plainNumber(k.K), Source: src}}
	stated := r.Torque.Stated
	if r.byTorque {
		w = append(w,
			units.Step{Symbol: "T", Formula: "torque", Value: r.Torque.String(), Source: asGiven},
			units.Step{Symbol: "F", Formula: "T/(K d)", Numbers: r.Torque.Value.String() + " / (" + kd + ")", Value: r.Preload.String(), Source: torqueRule})
		share.Symbol, share.Formula = "u_F/F", "sqrt((u_K/K)^2 + (u_T/T)^2)"
		share.Numbers = plainNumber(k.U/k.K) + ", " + plainNumber(float64(r.Torque.U/r.Torque.Value))
		share.Value, stated = plainNumber(float64(r.Preload.U/r.Preload.Value)), r.Preload.Stated
	} else {
		w = append(w,
			units.Step{Symbol: "F", Formula: "preload", Value: r.Preload.String(), Source: asGiven},
			units.Step{Symbol: "T", Formula: "K F d", Numbers: plainNumber(k.K) + " * " + r.Preload.Value.String() + " * " + num(r.from.Diameter), Value: r.Torque.String(), Source: torqueRule})
		share.Numbers = plainNumber(k.U/k.K) + ", " + plainNumber(float64(r.Preload.U/r.Preload.Value))
		share.Value = plainNumber(float64(r.Torque.U / r.Torque.Value))
	}
	if stated {
		w = append(w, share)
	}
	return w
}

// TensionScatter names a way to set a preload and how far single bolts scatter
// about the wanted one. The zero TensionScatter is none.
type TensionScatter uint8

// Ways to set a preload.
const (
	ByTorqueDry        TensionScatter = iota + 1 // torque wrench, unlubricated: 35 %
	ByTorqueLubricated                           // torque wrench, lubricated: 25 %
	ByStretch                                    // elongation measured: 10 %
)

// String names the way.
func (s TensionScatter) String() string {
	switch s {
	case ByTorqueDry:
		return "torque wrench, unlubricated"
	case ByTorqueLubricated:
		return "torque wrench, lubricated"
	case ByStretch:
		return "elongation measured"
	default:
		return "no way"
	}
}

// PreloadBand is a lowest and a highest preload.
type PreloadBand struct {
	Low, High units.Force
	// Share is the half-width as a share of the wanted preload (a ratio).
	Share  float64
	Source units.Source

	wanted units.Force
}

// Working returns the derivation; nil for the zero PreloadBand.
func (b PreloadBand) Working() units.Working {
	if b.wanted == 0 {
		return nil
	}
	f, share := b.wanted.String(), strconv.FormatFloat(b.Share, 'g', -1, 64)
	return units.Working{
		{Symbol: "low", Formula: "F (1 - share)", Numbers: f + " x (1 - " + share + ")", Value: b.Low.String(), Source: b.Source},
		{Symbol: "high", Formula: "F (1 + share)", Numbers: f + " x (1 + " + share + ")", Value: b.High.String(), Source: b.Source},
	}
}

// Band answers between what the preloads of single bolts lie that are all
// set to one figure:
//
//	low, high = F (1 -+ share)
//
// with a share of 0.35, 0.25 or 0.10: the smallest must still hold the joint, the
// largest must not hurt the bolt. Errors: no way, a preload that is missing, negative,
// not finite or over 1 GN.
//
// Source: NASA-STD-5020B, Table 3 (second hand).
//
// Rows: nasa-unc-unlub, nasa-unc-lub, nasa-unc-elong, scatter-low.
func (s TensionScatter) Band(preload units.Force) (PreloadBand, error) {
	var share float64
	switch s {
	case ByTorqueDry:
		share = 0.35
	case ByTorqueLubricated:
		share = 0.25
	case ByStretch:
		share = 0.10
	case 0:
		return PreloadBand{}, fail("TensionScatter", "", units.ErrMissing, "want a way to set the preload")
	default:
		return PreloadBand{}, fail("TensionScatter", strconv.Itoa(int(s)), units.ErrRange, "want a way to set the preload")
	}
	if err := checkLoad("Preload", units.Unstated(preload)); err != nil {
		return PreloadBand{}, err
	}
	f := float64(preload)
	return PreloadBand{Low: units.Newtons(f * (1 - share)), High: units.Newtons(f * (1 + share)), Share: share, Source: scatterRule, wanted: preload}, nil
}

// PreloadSample are the preloads that one torque gave in several bolts.
type PreloadSample []units.Force

// SampleScatter is the scatter of a sample.
type SampleScatter struct {
	Mean, Deviation units.Force
	// Relative is Deviation/Mean (a ratio): the relative uncertainty that one
	// bolt's preload has by torque alone.
	Relative float64

	n int
}

// Working returns the derivation; nil for the zero SampleScatter.
func (s SampleScatter) Working() units.Working {
	if s.n == 0 {
		return nil
	}
	src := units.Source{Text: "JCGM 100:2008, 4.2", Provenance: units.Verified}
	n := strconv.Itoa(s.n) + " preloads"
	return units.Working{
		{Symbol: "mean", Formula: "sum of F/n", Numbers: n, Value: s.Mean.String(), Source: src},
		{Symbol: "deviation", Formula: "sqrt(sum of (F - mean)^2/(n - 1))", Numbers: n, Value: s.Deviation.String(), Source: src},
		{Symbol: "relative", Formula: "deviation/mean", Numbers: s.Deviation.String() + "/" + s.Mean.String(), Value: strconv.FormatFloat(s.Relative, 'g', 4, 64), Source: src},
	}
}

// Scatter answers how far preloads scatter: the mean, the standard deviation of a
// sample (n - 1) and their ratio, which is a nut factor's U/K. Errors: fewer than
// two preloads or over 10,000, one that is not over 0 and up to 1 GN.
//
// Source: JCGM 100:2008, 4.2.
//
// Rows: shi-8-14-mean, shi-8-14-sd.
func (s PreloadSample) Scatter() (SampleScatter, error) {
	if len(s) < 2 {
		return SampleScatter{}, fail("PreloadSample", strconv.Itoa(len(s)), units.ErrMissing, "want at least two preloads")
	}
	if len(s) > maxReadings {
		return SampleScatter{}, fail("PreloadSample", strconv.Itoa(len(s)), units.ErrRange, "want at most 10000 preloads")
	}
	x := make([]float64, len(s))
	for i, f := range s {
		if !(f > 0 && float64(f) <= maxForce) {
			return SampleScatter{}, fail(at("PreloadSample", i), f.String(), units.ErrRange, "want a force over 0 and up to 1 GN")
		}
		x[i] = float64(f)
	}
	mean, sd := stat.MeanStdDev(x, nil)
	return SampleScatter{Mean: units.Newtons(mean), Deviation: units.Newtons(sd), Relative: sd / mean, n: len(s)}, nil
}
