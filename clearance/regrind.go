package clearance

import (
	"slices"
	"strconv"

	"example.com/trialfit/units"
)

// WornJournal is a journal to be ground.
type WornJournal struct {
	// Smallest is the smallest diameter read anywhere on it.
	Smallest units.Measured[units.Length]
	// Runout is the total indicator reading about the axis that it will be
	// ground on; 0 where the shaft is straightened.
	Runout units.Measured[units.Length]
}

// Regrind is a set of journals that get one undersize, and the sizes to be had.
type Regrind struct {
	Journals []WornJournal
	Standard Size // diameter of new journals
	// Undersizes are the undersizes of the bearings to be had, positive, in any
	// order. A standard size of 0 may be among them: polish and go on.
	Undersizes []units.Length
	// Stock is how much more than the undersize must come off the lowest spot
	// of the diameter for a clean surface, with its source; at least 0 or more.
	Stock units.Limits[units.Length]
	Rule  units.DecisionRule
}

// UndersizeCheck is one undersize held against the journals.
type UndersizeCheck struct {
	Undersize units.Length
	Ground    Size // finished diameter
	// Worst is the index of the journal that decides: the one with the worst
	// outcome, of several the one with the least to come off.
	Worst int
	// Stock is what comes off its diameter at the lowest spot when it is ground
	// to the largest diameter allowed, Verdict how that stands to the limit.
	Stock   units.Measured[units.Length]
	Verdict units.Verdict[units.Length]
}

// RegrindChoice is the undersize that cleans every journal.
type RegrindChoice struct {
	Checks []UndersizeCheck // by rising undersize
	// Choice is the index into Checks of the smallest undersize that is proved
	// to clean every journal; not given if none is.
	Choice units.Optional[int]

	from Regrind
}

// Choose answers which undersize cleans up a set of worn journals:
//
//	ground = Standard - undersize
//	clean  = Smallest - Runout     stock = clean - ground.Max
//
// A journal that runs out by its TIR about the grinding axis has its low side
// nearer to it by half of that, so its largest clean diameter is the smallest
// diameter less the whole TIR. The limit of stock is held against the largest
// diameter allowed, so that every finished size cleans up. An undersize of the
// set is chosen once and for all of them: grind rods and mains as two sets.
//
// Errors: no journals, over 10,000; a size missing, negative or swapped; a
// reading over a tenth off the standard (ErrConflict); no undersizes, one that
// is negative, given twice or over a tenth of the standard; limits of stock
// without a minimum, with a negative one or with a maximum; those of
// units.Judge. Whether the metal is hard and thick enough below is the maker's to
// say.
//
// Source: definition; JCGM 100:2008, 5.1.2; units.Judge for the verdict.
//
// Rows: regrind-choice, regrind-stock, regrind-stock-u, regrind-none,
// regrind-ground.
func (r Regrind) Choose() (RegrindChoice, error) {
	if err := r.check(); err != nil {
		return RegrindChoice{}, err
	}
	sizes := slices.Clone(r.Undersizes)
	slices.Sort(sizes)
	out := RegrindChoice{from: r}
	out.from.Journals = slices.Clone(r.Journals)
	for i, s := range sizes {
		c, err := r.undersize(s)
		if err != nil {
			return RegrindChoice{}, err
		}
		if c.Verdict.Outcome == units.ProvedWithin && !out.Choice.Given {
			out.Choice = units.Some(i)
		}
		out.Checks = append(out.Checks, c)
	}
	return out, nil
}

// undersize judges every journal at one undersize and keeps the one that
// decides.
func (r Regrind) undersize(s units.Length) (UndersizeCheck, error) {
	c := UndersizeCheck{Undersize: s, Ground: Size{Min: r.Standard.Min - s, Max: r.Standard.Max - s}}
	for i, j := range r.Journals {
		clean := sub(j.Smallest, j.Runout)
		if j.Runout.Value == 0 && !j.Runout.Stated {
			clean = j.Smallest // straightened: no reading, no uncertainty
		}
		stock := units.Measured[units.Length]{Value: clean.Value - c.Ground.Max, U: clean.U, Stated: clean.Stated}
		v, err := units.Judge(stock, r.Stock, r.Rule)
		if err != nil {
			return UndersizeCheck{}, err
		}
		decides := v.Outcome == c.Verdict.Outcome && stock.Value < c.Stock.Value || v.Outcome != c.Verdict.Outcome && worse(v.Outcome, c.Verdict.Outcome) == v.Outcome
		if i == 0 || decides {
			c.Worst, c.Stock, c.Verdict = i, stock, v
		}
	}
	return c, nil
}

func (r Regrind) check() error {
	if len(r.Journals) == 0 {
		return fail("Journals", "", units.ErrMissing, "want at least one journal")
	}
	if len(r.Journals) > maxReadings {
		return fail("Journals", strconv.Itoa(len(r.Journals)), units.ErrRange, "want at most 10000 journals")
	}
	if err := r.Standard.check("Standard"); err != nil {
		return err
	}
	if len(r.Undersizes) == 0 {
		return fail("Undersizes", "", units.ErrMissing, "want the undersizes of the bearings to be had")
	}
	if len(r.Undersizes) > maxReadings {
		return fail("Undersizes", strconv.Itoa(len(r.Undersizes)), units.ErrRange, "want at most 10000 undersizes")
	}
	if !r.Stock.HasMin || r.Stock.HasMax {
		return fail("Stock", r.Stock.String(), units.ErrMissing, "want the least stock to come off, and no most")
	}
	if r.Stock.Min < 0 {
		return fail("Stock", r.Stock.String(), units.ErrRange, "want a stock that is not negative")
	}
	sorted := slices.Clone(r.Undersizes)
	slices.Sort(sorted)
	for i, u := range sorted {
		switch {
		case u < 0:
			return fail("Undersizes", u.String(), units.ErrRange, "want undersizes that are not negative: 0.010 in for a journal 0.010 in smaller")
		case u > r.Standard.Min/10:
			return fail("Undersizes", u.String(), units.ErrConflict, "an undersize over a tenth of the standard: a misread inch or a mixed unit")
		case i > 0 && u == sorted[i-1]:
			return fail("Undersizes", u.String(), units.ErrConflict, "this undersize is given twice")
		}
	}
	for i, j := range r.Journals {
		f := at("Journals", i)
		if err := checkPositive(f+".Smallest", j.Smallest); err != nil {
			return err
		}
		if (j.Smallest.Value - r.Standard.Max).Abs() > r.Standard.Max/10 {
			return fail(f+".Smallest", text(j.Smallest.Value), units.ErrConflict, "over a tenth off the standard: a misread inch or a mixed unit")
		}
		if err := checkReading(f+".Runout", j.Runout); err != nil {
			return err
		}
		if j.Runout.Value < 0 || j.Runout.Value > r.Standard.Max/10 {
			return fail(f+".Runout", j.Runout.Value.String(), units.ErrRange, "want a total indicator reading of 0 to a tenth of the journal")
		}
	}
	return nil
}

// Working returns the derivation.
func (c RegrindChoice) Working() units.Working {
	var w units.Working
	for _, u := range c.Checks {
		if u.Worst < 0 || u.Worst >= len(c.from.Journals) {
			return nil // a result that somebody filled in
		}
		j := c.from.Journals[u.Worst]
		w = append(w, units.Step{
			Symbol: "stock at " + num(u.Undersize), Formula: "smallest - runout - largest ground diameter, journal " + strconv.Itoa(u.Worst+1),
			Numbers: num(j.Smallest.Value) + " - " + num(j.Runout.Value) + " - " + num(u.Ground.Max),
			Value:   measuredText(u.Stock) + ", " + u.Verdict.Outcome.String(), Source: definition,
		})
	}
	return w
}
