package clearance

import (
	"math"
	"strconv"

	"example.com/trialfit/units"
)

var jointRule = units.Source{Text: shigleyBolts + "8-4, 8-7, p. 424, 436", Provenance: units.Verified}

// BoltedJoint is a bolt and the parts it clamps, as springs.
type BoltedJoint struct {
	// Bolt is the stiffness of the bolt (Bolt.UnderLoad gives it), Members that
	// of the parts.
	Bolt, Members units.Stiffness
	// Lead is how far the nut travels in a turn; Turn and Gain need it.
	Lead units.Length
}

func (j BoltedJoint) check() error {
	for _, v := range [...]struct {
		field string
		k     units.Stiffness
	}{{"Bolt", j.Bolt}, {"Members", j.Members}} {
		switch {
		case v.k == 0:
			return fail(v.field, "", units.ErrMissing, "want a stiffness")
		case !(v.k > 0 && float64(v.k) <= 1e15):
			return fail(v.field, v.k.String(), units.ErrRange, "want a stiffness over 0 and up to 1e15 N/m")
		}
	}
	return nil
}

func (j BoltedJoint) checkLead() error {
	if err := j.check(); err != nil {
		return err
	}
	if err := checkSize("Lead", j.Lead); err != nil {
		return err
	}
	if j.Lead > units.Meter {
		return fail("Lead", j.Lead.String(), units.ErrRange, "want at most 1 m")
	}
	return nil
}

// BoltShare answers which share of an outside load goes into the bolt (a
// ratio): C = kb/(kb + km), with kb, km = Bolt, Members. Errors: a stiffness that is
// missing, negative, not finite or over 1e15 N/m.
//
// Source: Shigley, 9th ed., eq. (8-24).
//
// Rows: shi-8-3-C.
func (j BoltedJoint) BoltShare() (float64, error) {
	if err := j.check(); err != nil {
		return 0, err
	}
	return float64(j.Bolt / (j.Bolt + j.Members)), nil
}

// Turn answers by what angle the nut must be turned past snug to gain a
// preload:
//
//	angle = 360 F (1/kb + 1/km) / Lead
//
// An angle past snug depends on friction only through what snug is. The angle
// is of the nut; the type is that of angles. Errors: those of BoltShare,
// a lead that is missing, negative or over 1 m, a gain that is missing, negative,
// not finite or over 1 GN.
//
// Source: Shigley, 9th ed., 8-8, with the joint's compression.
//
// Rows: turn-angle, turn-angle-rigid.
func (j BoltedJoint) Turn(gain units.Force) (units.CrankAngle, error) {
	if err := j.checkLead(); err != nil {
		return 0, err
	}
	if err := checkLoad("Gain", units.Unstated(gain)); err != nil {
		return 0, err
	}
	return units.CrankDegrees(360 * float64(gain) * (1/float64(j.Bolt) + 1/float64(j.Members)) / j.Lead.Meters())
}

// Gain answers how much preload a turn past snug gains, the inverse of Turn:
// F = angle Lead / (360 (1/kb + 1/km)). Errors: those of Turn, an angle that is
// not over 0 and up to 100 turns.
//
// Source: as Turn.
//
// Rows: turn-gain.
func (j BoltedJoint) Gain(angle units.CrankAngle) (units.Force, error) {
	if err := j.checkLead(); err != nil {
		return 0, err
	}
	if angle <= 0 || angle > 100*units.CrankTurn {
		return 0, fail("Angle", angle.String(), units.ErrRange, "want an angle over 0 and up to 100 turns")
	}
	return units.Newtons(angle.Degrees() * j.Lead.Meters() / (360 * (1/float64(j.Bolt) + 1/float64(j.Members)))), nil
}

// JointLoad is what pulls at a joint.
type JointLoad struct {
	Joint   BoltedJoint
	Preload units.Force
	// External is the outside load on this bolt, tension positive; 0 is none.
	External units.Force
	// Area is the stress area of the bolt.
	Area units.Area
}

// JointState is a joint under load.
type JointState struct {
	// Share is BoltShare (a ratio).
	Share float64
	// Bolt is the load in the bolt, Clamp what still holds the parts together.
	Bolt, Clamp units.Force
	// Separation is the outside load at which nothing holds them any more;
	// Separated says that it is reached.
	Separation units.Force
	Separated  bool
	// PreloadStress and Stress are those of the bolt without and with the
	// outside load.
	PreloadStress, Stress units.Pressure

	from JointLoad
}

// State answers what a bolt and its joint see under load:
//
//	bolt = F + C P     clamp = F - (1 - C) P     separation = F/(1 - C)     stress = bolt/Area
//
// with F = Preload, P = External, C = BoltShare; once separated the bolt carries
// all of P. Errors: those of BoltShare, a preload or area that is missing, negative,
// not finite or out of range, an outside load that is negative or not finite.
//
// Source: Shigley, 9th ed., eq. (8-24) to (8-30).
//
// Rows: shi-8-3-si, shi-8-3-sb, joint-clamp, joint-separated.
func (l JointLoad) State() (JointState, error) {
	c, err := l.Joint.BoltShare()
	if err != nil {
		return JointState{}, err
	}
	if err := checkLoad("Preload", units.Unstated(l.Preload)); err != nil {
		return JointState{}, err
	}
	if !(l.External >= 0 && float64(l.External) <= maxForce) {
		return JointState{}, fail("External", l.External.String(), units.ErrRange, "want a load of 0 to 1 GN")
	}
	if err := checkArea(l.Area); err != nil {
		return JointState{}, err
	}
	f, p, a := float64(l.Preload), float64(l.External), float64(l.Area)
	// 1 - C, which is not 0 where the parts give far more than the bolt.
	rest := float64(l.Joint.Members / (l.Joint.Bolt + l.Joint.Members))
	s := JointState{Share: c, Separation: units.Newtons(f / rest), PreloadStress: units.Pressure(f / a), from: l}
	if bolt, clamp := f+c*p, f-rest*p; clamp > 0 {
		s.Bolt, s.Clamp = units.Newtons(bolt), units.Newtons(clamp)
	} else {
		s.Bolt, s.Separated = units.Newtons(p), true
	}
	s.Stress = units.Pressure(float64(s.Bolt) / a)
	if !(float64(s.Separation) < math.Inf(1)) {
		return JointState{}, fail("Joint.Members", l.Joint.Members.String(), units.ErrRange, "the load that parts them passes the range of numbers")
	}
	if !(float64(s.PreloadStress+s.Stress) < math.Inf(1)) {
		return JointState{}, fail("Area", l.Area.String(), units.ErrRange, "the stress passes the range of numbers")
	}
	return s, nil
}

// Working returns the derivation; nil for the zero JointState.
func (s JointState) Working() units.Working {
	if s.from.Preload <= 0 {
		return nil
	}
	w := units.Working{
		{Symbol: "C", Formula: "kb/(kb + km)", Numbers: "kb = " + s.from.Joint.Bolt.String() + ", km = " + s.from.Joint.Members.String(), Value: plainNumber(s.Share), Source: jointRule},
		{Symbol: "bolt", Formula: "F + C P", Numbers: s.from.Preload.String() + " + " + plainNumber(s.Share) + " * " + s.from.External.String(), Value: s.Bolt.String(), Source: jointRule},
		{Symbol: "stress", Formula: "bolt/area", Numbers: s.Bolt.String() + " / " + s.from.Area.String(), Value: s.Stress.String(), Source: jointRule},
	}
	if s.Separated {
		w[1].Formula, w[1].Numbers = "P, the joint is open", s.from.External.String()
	}
	return w
}

func checkArea(a units.Area) error {
	if a == 0 {
		return fail("Area", "", units.ErrMissing, "want a cross-section")
	}
	if !(a > 0 && float64(a) <= maxArea) {
		return fail("Area", a.String(), units.ErrRange, "want an area over 0 and up to 100 m2")
	}
	return nil
}

// ProofShare is a preload against the proof load of a bolt.
type ProofShare struct {
	Proof units.Pressure // proof strength, BoltStrength.Proof
	Area  units.Area     // stress area, Thread.StressArea
}

// ProofLoad answers which load the bolt must bear without set: Fp = At Sp.
// Errors: a strength or area that is missing, negative, not finite or out of range.
//
// Source: definition, Shigley, 9th ed., 8-6.
//
// Rows: proof-load.
func (p ProofShare) ProofLoad() (units.Force, error) {
	if p.Proof == 0 {
		return 0, fail("Proof", "", units.ErrMissing, "want the proof strength")
	}
	if !(p.Proof > 0 && p.Proof <= 1e11) {
		return 0, fail("Proof", p.Proof.String(), units.ErrRange, "want a strength over 0 and up to 100 GPa")
	}
	if err := checkArea(p.Area); err != nil {
		return 0, err
	}
	return units.Newtons(float64(p.Proof) * float64(p.Area)), nil
}

// Preload answers which preload is a share of the proof load (a ratio): F =
// share At Sp. Errors: those of ProofLoad, a share that is not over 0 and up to 2.
//
// Source: Shigley, 9th ed., eq. (8-31).
//
// Rows: wen-6-1-F, jin-9-5-F.
func (p ProofShare) Preload(share float64) (units.Force, error) {
	f, err := p.ProofLoad()
	if err != nil {
		return 0, err
	}
	if !(share > 0 && share <= 2) {
		return 0, fail("Share", strconv.FormatFloat(share, 'g', 6, 64), units.ErrRange, "want a share over 0 and up to 2")
	}
	return units.Newtons(share * float64(f)), nil
}

// ShareOf answers which share of the proof load a preload is (a ratio), the
// inverse of Preload. Errors: those of ProofLoad, a preload that is missing,
// negative, not finite or over 1 GN.
//
// Source: definition.
//
// Rows: proof-share.
func (p ProofShare) ShareOf(preload units.Force) (float64, error) {
	f, err := p.ProofLoad()
	if err != nil {
		return 0, err
	}
	if err := checkLoad("Preload", units.Unstated(preload)); err != nil {
		return 0, err
	}
	share := float64(preload / f)
	if !(share < math.Inf(1)) {
		return 0, fail("Area", p.Area.String(), units.ErrRange, "the share passes the range of numbers")
	}
	return share, nil
}

// PreloadRule is a usual share of the proof load. The zero PreloadRule is
// none.
type PreloadRule uint8

// Rules for the preload.
const (
	ReusedJoint    PreloadRule = iota + 1 // taken apart again: 0.75 of the proof load
	PermanentJoint                        // 0.90 of the proof load
)

// String names the rule.
func (r PreloadRule) String() string {
	switch r {
	case ReusedJoint:
		return "joint that is taken apart"
	case PermanentJoint:
		return "permanent joint"
	default:
		return "no rule"
	}
}

// Source says where the shares are from; that of ReusedJoint is recalled.
func (r PreloadRule) Source() units.Source {
	src := units.Source{Text: shigleyBolts + "eq. (8-31), p. 442", Provenance: units.Memory}
	if r == PermanentJoint {
		src.Provenance = units.Verified
	}
	return src
}

// Share answers which share of the proof load a rule recommends (a ratio). The
// part maker's figure takes precedence. Errors: no rule.
//
// Source: Shigley, 9th ed., eq. (8-31).
//
// Rows: shi-8-31-b, shi-8-31-a.
func (r PreloadRule) Share() (float64, error) {
	switch r {
	case ReusedJoint:
		return 0.75, nil
	case PermanentJoint:
		return 0.90, nil
	case 0:
		return 0, fail("PreloadRule", "", units.ErrMissing, "want ReusedJoint or PermanentJoint")
	default:
		return 0, fail("PreloadRule", strconv.Itoa(int(r)), units.ErrRange, "want ReusedJoint or PermanentJoint")
	}
}

// YieldTightening is a bolt that is tightened until tension and torsion
// together reach a share of its yield strength.
type YieldTightening struct {
	// PitchDiameter and RootDiameter are those of the thread (d2, d3).
	PitchDiameter, RootDiameter units.Length
	Lead                        units.Length
	// Thread is the coefficient of friction in the thread (a ratio).
	Thread float64
	Yield  units.Pressure
	// Share is the share of Yield to use (a ratio), 0.9 as a rule.
	Share float64
}

// Preload answers which preload brings the bolt there: the thread's torque
// twists the bolt while it is stretched,
//
//	F = (pi/4) d0^2 Share Yield / sqrt(1 + 3 [1.5 (d2/d0) (Lead/(pi d2) + 1.155 f)]^2)     d0 = (d2 + d3)/2
//
// with von Mises' criterion and the torsion of a section that yields throughout
// (hence 1.5). Errors: a size that is missing, negative or over 1 m, a root
// over the pitch diameter, a friction outside [0, 1], a strength or share
// that is missing or out of range.
//
// Source: VDI 2230-1 (from memory).
//
// Rows: yield-preload, vdi-F-m8, vdi-F-m10.
func (y YieldTightening) Preload() (units.Force, error) {
	for _, v := range [...]struct {
		field string
		l     units.Length
	}{{"PitchDiameter", y.PitchDiameter}, {"RootDiameter", y.RootDiameter}, {"Lead", y.Lead}} {
		if err := checkSize(v.field, v.l); err != nil {
			return 0, err
		}
		if v.l > units.Meter {
			return 0, fail(v.field, v.l.String(), units.ErrRange, "want at most 1 m")
		}
	}
	switch {
	case y.RootDiameter > y.PitchDiameter:
		return 0, fail("RootDiameter", y.RootDiameter.String(), units.ErrConflict, "want a root under the pitch diameter, "+y.PitchDiameter.String())
	case !(y.Thread >= 0 && y.Thread <= 1):
		return 0, fail("Thread", "", units.ErrRange, "want a coefficient of 0 to 1")
	case y.Yield == 0:
		return 0, fail("Yield", "", units.ErrMissing, "want the yield strength")
	case !(y.Yield > 0 && y.Yield <= 1e11):
		return 0, fail("Yield", y.Yield.String(), units.ErrRange, "want a strength over 0 and up to 100 GPa")
	case y.Share == 0:
		return 0, fail("Share", "", units.ErrMissing, "want a share of the yield strength")
	case !(y.Share > 0 && y.Share <= 1):
		return 0, fail("Share", "", units.ErrRange, "want a share over 0 and up to 1")
	}
	d2, d3 := y.PitchDiameter.Meters(), y.RootDiameter.Meters()
	d0 := (d2 + d3) / 2
	twist := 1.5 * d2 / d0 * (y.Lead.Meters()/(math.Pi*d2) + secFlank*y.Thread)
	return units.Newtons(math.Pi / 4 * d0 * d0 * y.Share * float64(y.Yield) / math.Sqrt(1+3*twist*twist)), nil
}
