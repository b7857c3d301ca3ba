package valvetrain

import (
	"math"
	"slices"

	"example.com/trialfit/units"
)

// Member is one part of a set with what was read of it: the force of a spring
// at the height common to all, its rate or its free length, the leak-down time
// of a lifter.
type Member[Q units.Quantity] struct {
	Name  string
	Value units.Measured[Q]
}

// Set are like parts to be compared: all springs of one kind, all lifters.
type Set[Q units.Quantity] struct {
	Members []Member[Q]
	// Each are the limits of every member, and Spread those of the largest
	// minus the smallest, if they are to be judged; Rule says by which rule.
	Each, Spread units.Optional[units.Limits[Q]]
	Rule         units.DecisionRule
}

// MemberState is where one part stands in its set.
type MemberState[Q units.Quantity] struct {
	Name  string
	Value units.Measured[Q]
	// Deviation is the value minus the median of the set.
	Deviation Q
	// Score is the modified z-score of the deviation, a statistic, and Outlier
	// is set where its magnitude is over 3.5. It takes four members.
	Score   float64
	Outlier bool
	Verdict units.Optional[units.Verdict[Q]]
}

// SetReport compares the members of a set.
type SetReport[Q units.Quantity] struct {
	Members         []MemberState[Q]
	Lowest, Highest int // members with the smallest and the largest value
	Median, Mean    Q
	// MAD is the median of the magnitudes of the deviations.
	MAD Q
	// Spread is the largest value minus the smallest.
	Spread        units.Measured[Q]
	SpreadVerdict units.Optional[units.Verdict[Q]]
	// Outliers are the members to be read again.
	Outliers []int
	// Outcome is the worst of all verdicts that were asked for, and not proved
	// where none was.
	Outcome units.Outcome
}

// Compare answers how alike the parts of a set are: median, mean, spread, and
// the members that stand out by the modified z-score
//
//	z = 0.6745 (x - median)/MAD
//
// over 3.5 in magnitude, MAD being the median of |x - median|; where more than
// half of the set reads alike and MAD is 0, z = (x - median)/(1.2533 m), m the
// mean of |x - median|. Median and MAD are not moved by the few that are off,
// unlike mean and standard deviation. An outlier is to be read again, not
// condemned; the verdicts alone compare with limits. Whole counts (lengths,
// times) are rounded half to even.
//
// A set of fewer than two members is ErrMissing, over 10,000 ErrRange; a value
// that is not finite or a bad uncertainty ErrRange; limits that units.Judge
// refuses ErrConflict.
//
// Source: Iglewicz and Hoaglin, How to Detect and Handle Outliers (1993), as in
// the NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17 (from memory).
//
// Rows: set-median, set-mean, set-spread, set-spread-u, set-score, set-outliers,
// set-score-alike, set-verdict, set-spread-verdict, leak-median, leak-outliers.
func (s Set[Q]) Compare() (SetReport[Q], error) {
	n := len(s.Members)
	if n < 2 {
		return SetReport[Q]{}, fail("Members", "", units.ErrMissing, "want two or more to compare")
	}
	if n > maxCount {
		return SetReport[Q]{}, fail("Members", "", units.ErrRange, "want at most 10000")
	}
	r := SetReport[Q]{Members: make([]MemberState[Q], n)}
	x := make([]float64, n)
	var sum float64
	for i, m := range s.Members {
		v := float64(m.Value.Value)
		if !(math.Abs(v) <= 1e18) {
			return SetReport[Q]{}, fail(at("Members", i)+".Value", m.Value.Value.String(), units.ErrRange, "want a value that is finite and under 1e18")
		}
		if err := checkU(at("Members", i)+".Value", m.Value); err != nil {
			return SetReport[Q]{}, err
		}
		x[i] = v
		sum += v / float64(n)
		if m.Value.Value < s.Members[r.Lowest].Value.Value {
			r.Lowest = i
		}
		if m.Value.Value > s.Members[r.Highest].Value.Value {
			r.Highest = i
		}
	}
	med := median(x)
	dev := make([]float64, n)
	var meanDev float64
	for i := range x {
		dev[i] = math.Abs(x[i] - med)
		meanDev += dev[i] / float64(n)
	}
	mad := median(dev)
	r.Median, r.Mean, r.MAD = quantity[Q](med), quantity[Q](sum), quantity[Q](mad)
	lo, hi := s.Members[r.Lowest].Value, s.Members[r.Highest].Value
	r.Spread = units.Unstated(hi.Value - lo.Value)
	if lo.Stated && hi.Stated {
		r.Spread = units.WithU(r.Spread.Value, quantity[Q](math.Hypot(float64(lo.U), float64(hi.U))))
	}
	judged := false
	r.Outcome = units.ProvedWithin
	judge := func(m units.Measured[Q], l units.Optional[units.Limits[Q]], field string) (units.Optional[units.Verdict[Q]], error) {
		if !l.Given {
			return units.Optional[units.Verdict[Q]]{}, nil
		}
		v, err := units.Judge(m, l.Value, s.Rule)
		if err != nil {
			return units.Optional[units.Verdict[Q]]{}, fail(field, l.Value.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
		}
		judged = true
		r.Outcome = worse(r.Outcome, v.Outcome)
		return units.Some(v), nil
	}
	for i, m := range s.Members {
		st := MemberState[Q]{Name: m.Name, Value: m.Value, Deviation: quantity[Q](x[i] - med)}
		if n >= 4 {
			switch {
			case mad > 0:
				st.Score = 0.6745 * (x[i] - med) / mad
			case meanDev > 0:
				st.Score = (x[i] - med) / (1.2533 * meanDev)
			}
			st.Outlier = math.Abs(st.Score) > 3.5
		}
		if st.Outlier {
			r.Outliers = append(r.Outliers, i)
		}
		var err error
		if st.Verdict, err = judge(m.Value, s.Each, "Each"); err != nil {
			return SetReport[Q]{}, err
		}
		r.Members[i] = st
	}
	var err error
	if r.SpreadVerdict, err = judge(r.Spread, s.Spread, "Spread"); err != nil {
		return SetReport[Q]{}, err
	}
	if !judged {
		r.Outcome = units.NotProved
	}
	return r, nil
}

// quantity returns x as a quantity, rounded half to even where it is a count.
func quantity[Q units.Quantity](x float64) Q {
	if one := Q(1); one/2 == 0 {
		x = math.RoundToEven(x)
	}
	return Q(x)
}

// median returns the middle of the values, the mean of the two middle ones of
// an even count.
func median(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return s[n/2-1] + (s[n/2]-s[n/2-1])/2
}

// Working returns the derivation.
func (r SetReport[Q]) Working() units.Working {
	if n := len(r.Members); r.Lowest < 0 || r.Highest < 0 || r.Lowest >= n || r.Highest >= n {
		return nil
	}
	lo, hi := r.Members[r.Lowest], r.Members[r.Highest]
	return units.Working{
		{Symbol: "median", Formula: "middle of " + plain(float64(len(r.Members))) + " values", Value: r.Median.String(), Source: definition},
		{Symbol: "MAD", Formula: "median of |x - median|", Value: r.MAD.String(), Source: definition},
		{Symbol: "spread", Formula: "largest - smallest", Numbers: hi.Value.Value.String() + " (" + hi.Name + ") - " + lo.Value.Value.String() + " (" + lo.Name + ")", Value: r.Spread.String(), Source: definition},
	}
}

// SpringLoss compares a spring with what it gave when it was new, at one
// height.
type SpringLoss struct {
	New, Now units.Measured[units.Force]
	// LeastShare of the new force that is to be left (a ratio, 0.9 for 90 %),
	// Source where that comes from and Rule how it is judged. 0 is no limit.
	LeastShare float64
	Source     units.Source
	Rule       units.DecisionRule
}

// SpringLossResult is what a spring has lost.
type SpringLossResult struct {
	Loss units.Measured[units.Force] // New - Now
	// Share is Loss/New, a ratio, and ShareU its standard uncertainty, 0 where
	// Loss is not stated.
	Share, ShareU float64
	// Verdict judges Now - LeastShare New against 0, if there is a limit.
	Verdict units.Optional[units.Verdict[units.Force]]

	loss SpringLoss
}

// Check answers how much force a spring has lost, and whether it keeps the
// share that it must:
//
//	loss = New - Now     share = loss/New
//	u(share)^2 = (u(Now)/New)^2 + (Now u(New)/New^2)^2
//	kept: Now - LeastShare New >= 0,  u^2 = u(Now)^2 + (LeastShare u(New))^2
//
// Both forces are at the same height, on the same tester if it can be; a
// specified force is New without uncertainty, WithU(f, 0). A negative loss is
// data. Errors: a force that is missing, negative or not finite; a share outside
// 0 to 1; a share without a source (ErrMissing).
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: loss-force, loss-share, loss-share-u, loss-verdict.
func (l SpringLoss) Check() (SpringLossResult, error) {
	if err := checkOver("New", l.New.Value, maxForce, "want a force over 0 and up to 1e9 N"); err != nil {
		return SpringLossResult{}, err
	}
	if err := checkU("New", l.New); err != nil {
		return SpringLossResult{}, err
	}
	if err := checkMeasuredForce("Now", l.Now); err != nil {
		return SpringLossResult{}, err
	}
	if !(l.LeastShare >= 0 && l.LeastShare <= 1) {
		return SpringLossResult{}, fail("LeastShare", plain(l.LeastShare), units.ErrRange, "want a share of 0 to 1")
	}
	a, b := l.New.Value.Newtons(), l.Now.Value.Newtons()
	r := SpringLossResult{Loss: units.Unstated(l.New.Value - l.Now.Value), Share: (a - b) / a, loss: l}
	kept := units.Unstated(l.Now.Value - units.Force(l.LeastShare*a))
	if !(math.Abs(r.Share) <= 1e18) {
		return SpringLossResult{}, fail("New", l.New.Value.String(), units.ErrRange, "want a force that the other is a finite share of")
	}
	if l.New.Stated && l.Now.Stated {
		ua, ub := l.New.U.Newtons(), l.Now.U.Newtons()
		r.Loss = units.WithU(r.Loss.Value, units.Force(math.Hypot(ua, ub)))
		if r.ShareU = math.Hypot(ub/a, b/a*(ua/a)); !(r.ShareU <= math.MaxFloat64) {
			return SpringLossResult{}, fail("New.U", l.New.U.String(), units.ErrRange, "want uncertainties that leave that of the share finite")
		}
		kept = units.WithU(kept.Value, units.Force(math.Hypot(ub, l.LeastShare*ua)))
	}
	if l.LeastShare == 0 {
		return r, nil
	}
	if !l.Source.Given() {
		return SpringLossResult{}, fail("Source", "", units.ErrMissing, "want where the least share comes from")
	}
	v, err := units.Judge(kept, units.AtLeast(units.Force(0), l.Source), l.Rule)
	if err != nil {
		return SpringLossResult{}, fail("Rule", l.Rule.String(), units.ErrConflict, "cannot be judged: "+err.Error())
	}
	r.Verdict = units.Some(v)
	return r, nil
}

// Working returns the derivation.
func (r SpringLossResult) Working() units.Working {
	return units.Working{
		{Symbol: "loss", Formula: "new - now", Numbers: forceText(r.loss.New.Value) + " - " + forceText(r.loss.Now.Value), Value: forceText(r.Loss.Value), Source: definition},
		{Symbol: "share", Formula: "loss/new", Value: plain(100*r.Share) + " %", Source: definition},
	}
}

// Cautions returns what to mind when springs are tested.
func (SpringLossResult) Cautions() []units.Caution { return springCautions() }
