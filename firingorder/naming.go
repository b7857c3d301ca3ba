package firingorder

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/trialfit/units"
)

// BankSequence says in which sequence a scheme takes the banks. Left and right are
// those of an observer who faces the driving end with the engine upright.
type BankSequence uint8

// The sequences. The zero value takes the banks as the layout lists them.
const (
	BanksAsListed         BankSequence = iota
	BanksInRotation                    // as the crank passes them, beginning after the widest gap
	BanksAgainstRotation               // the reverse of BanksInRotation
	BanksFromLeft                      // left to right, seen from the driving end
	BanksFromRight                     // right to left, seen from the driving end
	BanksFromHorizontal                // clockwise seen from the free end, from the horizontal on the left there
	BanksClockwiseFromTop              // clockwise seen from the free end, from the top
)

// String returns the sequence in words.
func (b BankSequence) String() string {
	return named(b, "as listed", "in rotation", "against rotation", "left to right", "right to left", "clockwise from the horizontal", "clockwise from the top")
}

// Letters says how a scheme writes a cylinder.
type Letters uint8

// The forms. The zero value writes numbers.
const (
	NumbersOnly   Letters = iota // 1, 2, 3
	BankThenPlace                // A1: banks A, B, C in the sequence of the scheme
	PlaceThenSide                // 1R, 1L: right or left seen from the driving end
	SideThenPlace                // R1, L1
)

// String returns an example of the form.
func (f Letters) String() string { return named(f, "1 2 3", "A1 B1", "1R 1L", "R1 L1") }

// Scheme is a rule that names cylinders. A rule of the caller's own is a literal;
// the documents are functions: ISO1204, DIN73021, TGL6864, SAEJ824A, SAEJ824B,
// OpposedPractice, RadialPractice.
type Scheme struct {
	// Numbering is Alternating (place by place, the banks in turn), Bankwise
	// or AlongShaft (throw by throw, the banks in turn on a shared one).
	Numbering Numbering
	// CountFrom is the end where places and throws are counted from;
	// EndUnstated counts as the layout lists its throws.
	CountFrom End
	Banks     BankSequence
	Letters   Letters
	Source    units.Source // none for a rule of the caller's own

	excludes exclusion
}

// exclusion is what a document does not name.
type exclusion uint8

const (
	noRadial exclusion = 1 << iota
	notOverTwoBanks
	notOneBank
	rowsInTurn // odd numbers in the row at the end that the count begins
	onlyRadial
	onlyOpposed
)

// ISO1204 names cylinders bank and place, A1 A2 .., B1 B2 ..: seen from the driving
// end the left bank is A and the right one B, and places count from the driving
// end. One bank is A. More than two banks are refused: the clause on them was not
// seen.
//
// Source: ISO 1204:1990 as an engine operating manual of 2009, p. 25, uses it.
//
// Rows: iso1204-v12-90, iso1204-v8-as-numbered, iso1204-i6, second-bank-iso1204.
func ISO1204() Scheme {
	return Scheme{Bankwise, DrivingEnd, BanksFromLeft, BankThenPlace, units.Source{
		Text: "ISO 1204:1990, as an engine operating manual of 2009, p. 25, uses it", Provenance: units.VerifiedSecondary,
	}, notOverTwoBanks | noRadial}
}

// DIN73021 numbers cylinders as a half-plane through the crank axis meets them that
// starts horizontal on the left and turns clockwise, seen from the end opposite the
// power output; of several at once the nearest to that end comes first.
//
// Source: DIN 73021 (1953), quoted in two trade articles.
//
// Rows: din73021-v8, din73021-i6, din73021-radial5, din73021-boxer4,
// second-bank-din73021.
func DIN73021() Scheme {
	return Scheme{Bankwise, FreeEnd, BanksFromHorizontal, NumbersOnly, units.Source{
		Text: "DIN 73021 (1953), quoted in two trade articles", Provenance: units.VerifiedSecondary,
	}, 0}
}

// TGL6864 numbers cylinders bank by bank from the power output end, the left bank
// seen from there first.
//
// Source: TGL 6864, read in a trade article.
//
// Rows: tgl6864-v8, tgl6864-i6.
func TGL6864() Scheme {
	return Scheme{Bankwise, DrivingEnd, BanksFromLeft, NumbersOnly, units.Source{
		Text: "TGL 6864, read in a trade article", Provenance: units.VerifiedSecondary,
	}, noRadial}
}

// SAEJ824A numbers cylinders as their rods sit along the crankshaft, beginning
// farthest from the principal output end (method A). Where rods share a throw the
// layout does not hold their sequence along it: nearest says which bank's rod lies
// nearer the free end, BanksFromLeft the left one or BanksFromRight the right one.
// Radials are outside that document, and so are, in its words, engines with coplanar
// bore axes: which these are was not seen, and none is refused for it.
//
// Source: SAE J824 (reaffirmed June 1995), summary.
//
// Rows: j824a-v8, j824a-i6, j824a-v6-split.
func SAEJ824A(nearest BankSequence) Scheme {
	return Scheme{AlongShaft, FreeEnd, nearest, NumbersOnly, j824(), noRadial}
}

// SAEJ824B names cylinders place and side, 1R 2R .., 1L 2L ..: each of two banks
// from the cylinder farthest from the principal output end, right and left seen
// from that end (method B). Radials are outside that document, and one bank has no
// sides.
//
// Source: SAE J824 (reaffirmed June 1995), summary.
//
// Rows: j824b-v8, j824b-v6-split, second-bank-j824b.
func SAEJ824B() Scheme {
	return Scheme{Bankwise, FreeEnd, BanksFromRight, PlaceThenSide, j824(), noRadial | notOneBank}
}

func j824() units.Source {
	return units.Source{Text: "SAE J824 (reaffirmed June 1995), first page and summary", Provenance: units.Verified}
}

// OpposedPractice numbers an opposed engine of an aircraft: the right rear cylinder
// is 1, the left rear one 2, then forward in pairs, right and left seen from the
// accessory (free) end. It is a custom, not a standard. Up must be stated.
//
// Source: FAA-H-8083-32, chapter 1.
//
// Rows: faa-boxer4, faa-boxer6.
func OpposedPractice() Scheme {
	return Scheme{Alternating, FreeEnd, BanksFromLeft, NumbersOnly, units.Source{
		Text: "FAA-H-8083-32 Aviation Maintenance Technician Handbook - Powerplant, chapter 1", Provenance: units.Verified,
	}, onlyOpposed}
}

// RadialPractice numbers a radial clockwise from the top seen from the accessory
// (free) end; with two rows odd numbers are in the row at that end. Up must be
// stated.
//
// Source: FAA-H-8083-32, chapter 1.
//
// Rows: faa-radial9, faa-radial14.
func RadialPractice() Scheme {
	return Scheme{Bankwise, FreeEnd, BanksClockwiseFromTop, NumbersOnly, units.Source{
		Text: "FAA-H-8083-32 Aviation Maintenance Technician Handbook - Powerplant, chapter 1", Provenance: units.Verified,
	}, onlyRadial | rowsInTurn}
}

// NamingConfig says which layout a scheme names.
type NamingConfig struct {
	Layout *Layout // its NumberedFrom and Rotation must be stated where the scheme needs them
	Scheme Scheme
	// Up is the direction that points up, on the scale of Bank.Axis. Nil means
	// the middle of banks that lie within less than half a turn; others need it
	// wherever left, right or top count.
	Up *Turn
}

// Naming is the names that a scheme gives to the cylinders of a layout. It does
// not change and may be used concurrently.
type Naming struct {
	layout    *Layout
	scheme    Scheme
	names     []string // by cylinder of layout - 1
	number    []int    // by cylinder of layout - 1
	renamed   *Layout
	bankPlace []string // by cylinder of layout - 1, for Working
}

// NewNaming answers what every cylinder of a layout is called under a scheme. With
// the crank clockwise seen from the free end a bank stands, clockwise seen from the
// driving end and counted from the horizontal on the left, at
//
//	d = 90 + up - axis   modulo 360
//
// (d = 90 - up + axis with the crank counter-clockwise), up = Up, axis = Bank.Axis.
// Left to right goes by the smaller of d and 360 - d; seen from the free end the
// same direction stands at 180 - d, and 90 less counts from the top. Places in a
// bank count by throw from Scheme.CountFrom. Cylinders sort by
//
//	Alternating  place, then bank    Bankwise  bank, then place    AlongShaft  throw, then bank
//
// Errors: units.ErrMissing for no layout, no numbering, an end, a rotation or an up
// that the scheme needs and nobody stated, or a widest gap between banks that is not
// the only one; units.ErrImpossible for a layout that the scheme cannot name: banks
// that left and right do not tell apart, a side letter without two sides, a kind of
// engine outside the document, rows out of turn; units.ErrRange for unknown words;
// units.ErrInexact for fractions too fine to compare.
//
// Source: the scheme's own; the directions are geometry.
//
// Rows: iso1204-v12-90, din73021-v8, tgl6864-v8, j824a-v8, j824b-v8, faa-radial14,
// bankwise-from-driving-end, alternating-from-driving-end.
func NewNaming(c NamingConfig) (*Naming, error) {
	l, s := c.Layout, c.Scheme
	switch {
	case l.Cylinders() == 0:
		return nil, refuse("Layout", "", "want a layout from NewLayout", units.ErrMissing)
	case s.Numbering == NumberingUnstated:
		return nil, refuse("Scheme.Numbering", "", "want Alternating, Bankwise or AlongShaft", units.ErrMissing)
	case s.Numbering > AlongShaft:
		return nil, refuse("Scheme.Numbering", s.Numbering.String(), "want Alternating, Bankwise or AlongShaft", units.ErrRange)
	case s.CountFrom > DrivingEnd:
		return nil, refuse("Scheme.CountFrom", s.CountFrom.String(), "want a named end", units.ErrRange)
	case s.Banks > BanksClockwiseFromTop:
		return nil, refuse("Scheme.Banks", s.Banks.String(), "want a named sequence", units.ErrRange)
	case s.Letters > SideThenPlace:
		return nil, refuse("Scheme.Letters", s.Letters.String(), "want a named form", units.ErrRange)
	}
	// Banks without a cylinder have no name.
	used := map[string]bool{}
	throws := map[int]bool{}
	for _, cy := range l.config.Cylinders {
		used[cy.Bank], throws[cy.Throw] = true, true
	}
	reversed := false
	if s.CountFrom != EndUnstated && len(throws) > 1 {
		if l.config.NumberedFrom == EndUnstated {
			return nil, refuse("Layout.NumberedFrom", "", "want the end that the throws are listed from: the scheme counts from the "+s.CountFrom.String(), units.ErrMissing)
		}
		reversed = l.config.NumberedFrom != s.CountFrom
	}
	var also []Turn
	if c.Up != nil {
		also = append(also, *c.Up)
	}
	keep := slices.DeleteFunc(slices.Clone(l.config.Banks), func(b Bank) bool { return !used[b.Name] })
	bare := &Layout{config: Config{Banks: keep}, turn: l.turn}
	p, ok := bare.posture(also...)
	if !ok {
		return nil, refuse("Up", c.Up.String(), "too fine a fraction beside the angles of the layout", units.ErrInexact)
	}
	b := bankRanks{posture: p, banks: keep, scheme: s, rotation: l.config.Rotation, upStated: c.Up, single: len(keep) == l.Cylinders()}
	if err := b.rank(); err != nil {
		return nil, err
	}
	return l.name(s, reversed, &b)
}

// bankRanks sorts banks.
type bankRanks struct {
	posture
	banks    []Bank
	scheme   Scheme
	rotation Rotation
	upStated *Turn
	single   bool     // every bank has one cylinder
	ranks    []int    // by bank, from 0; banks of one direction share a rank
	letters  []string // by bank: A, B, or R, L; empty for numbers
}

// fromLeft returns d of NewNaming for every bank.
func (b *bankRanks) fromLeft() ([]int64, error) {
	if b.rotation == RotationUnstated {
		return nil, refuse("Layout.Rotation", "", "want the sense of rotation: left and right need it", units.ErrMissing)
	}
	up, err := b.up(b.upStated)
	if err != nil {
		return nil, err
	}
	d := make([]int64, len(b.axis))
	for i, a := range b.axis {
		from := up - a
		if b.rotation == CounterClockwise {
			from = a - up
		}
		d[i] = b.mod(b.turn/4 + from)
	}
	return d, nil
}

func (b *bankRanks) impossible(reason string) error {
	text := b.scheme.Source.Text
	if text == "" {
		text = b.scheme.Banks.String()
	}
	return refuse("Scheme", text, reason, units.ErrImpossible)
}

func (b *bankRanks) excluded() error {
	_, together := b.middle()
	around := len(b.banks) > 2 && !together
	radial := around && b.single
	x := b.scheme.excludes
	switch n := len(b.banks); {
	case x&noRadial != 0 && radial:
		return b.impossible("a radial has no banks to the left and the right")
	case x&notOverTwoBanks != 0 && n > 2:
		return b.impossible("the rule names one bank or two")
	case x&notOneBank != 0 && n != 2:
		return b.impossible("the rule names two banks")
	case x&onlyRadial != 0 && !around:
		return b.impossible("the rule names radials")
	case x&onlyOpposed != 0 && (n != 2 || 2*b.gap != b.turn):
		return b.impossible("the rule names two opposed banks")
	}
	return nil
}

func (b *bankRanks) rank() error {
	if err := b.excluded(); err != nil {
		return err
	}
	n := len(b.banks)
	key := make([]int64, n)
	fold := func(x int64) int64 { return min(x, b.turn-x) }
	switch s := b.scheme.Banks; {
	case s == BanksAsListed:
		for i := range key {
			key[i] = int64(i)
		}
	case n == 1:
		// one bank is first whatever the sequence
	case s == BanksInRotation || s == BanksAgainstRotation:
		if !b.only {
			return refuse("Scheme.Banks", s.String(), "the widest gap between the banks is not the only one, so that none is passed first: want another sequence", units.ErrMissing)
		}
		for i, a := range b.axis {
			if key[i] = b.mod(a - b.after); s == BanksAgainstRotation {
				key[i] = -key[i]
			}
		}
	default:
		d, err := b.fromLeft()
		if err != nil {
			return err
		}
		for i, x := range d {
			switch s {
			case BanksFromLeft:
				key[i] = fold(x)
			case BanksFromRight:
				key[i] = -fold(x)
			case BanksFromHorizontal:
				key[i] = b.mod(b.turn/2 - x)
			default:
				key[i] = b.mod(b.turn/4 - x)
			}
		}
		if s == BanksFromLeft || s == BanksFromRight {
			for i := range key {
				if j := slices.Index(key[:i], key[i]); j >= 0 && b.axis[i] != b.axis[j] {
					return b.impossible(fmt.Sprintf("left and right do not tell bank %s from bank %s", b.banks[j].Name, b.banks[i].Name))
				}
			}
		}
	}
	sorted := slices.Compact(slices.Sorted(slices.Values(key)))
	b.ranks, b.letters = make([]int, n), make([]string, n)
	for i, k := range key {
		b.ranks[i] = slices.Index(sorted, k)
	}
	switch b.scheme.Letters {
	case BankThenPlace:
		if len(sorted) != n || n > 26 {
			return b.impossible("a letter for each bank needs up to 26 banks of different direction")
		}
		for i, r := range b.ranks {
			b.letters[i] = string(rune('A' + r))
		}
	case PlaceThenSide, SideThenPlace:
		d, err := b.fromLeft()
		if err != nil {
			return err
		}
		for i, x := range d {
			switch x = fold(x); {
			case 4*x < b.turn:
				b.letters[i] = "L"
			case 4*x > b.turn:
				b.letters[i] = "R"
			}
		}
		if n != 2 || b.letters[0]+b.letters[1] != "LR" && b.letters[0]+b.letters[1] != "RL" {
			return b.impossible("the letters R and L need one bank on each side")
		}
	default:
	}
	return nil
}

// name sorts the cylinders and builds the renumbered layout.
func (l *Layout) name(s Scheme, reversed bool, b *bankRanks) (*Naming, error) {
	n := l.Cylinders()
	type spot struct{ cylinder, bank, rank, throw, place int }
	spots := make([]spot, n)
	for i, cy := range l.config.Cylinders {
		k := slices.IndexFunc(b.banks, func(x Bank) bool { return x.Name == cy.Bank })
		t := cy.Throw
		if reversed {
			t = len(l.config.Throws) + 1 - t
		}
		spots[i] = spot{i, k, b.ranks[k], t, 1}
	}
	for i := range spots {
		for _, o := range spots {
			if o.bank == spots[i].bank && o.throw < spots[i].throw {
				spots[i].place++
			}
		}
	}
	sequence := func(x, y spot) int {
		switch s.Numbering {
		case Alternating:
			return cmp.Or(x.place-y.place, x.rank-y.rank, x.throw-y.throw)
		case Bankwise:
			return cmp.Or(x.rank-y.rank, x.throw-y.throw)
		default:
			return cmp.Or(x.throw-y.throw, x.rank-y.rank)
		}
	}
	slices.SortFunc(spots, sequence)
	rows := slices.ContainsFunc(spots, func(x spot) bool { return x.throw != spots[0].throw })
	for i := 1; i < n; i++ {
		x, y := spots[i-1], spots[i]
		if sequence(x, y) == 0 {
			return nil, b.impossible(fmt.Sprintf("it does not tell cylinder %d from cylinder %d", min(x.cylinder, y.cylinder)+1, max(x.cylinder, y.cylinder)+1))
		}
		if s.excludes&rowsInTurn != 0 && rows && (x.throw == y.throw || i == 1 && x.throw > y.throw) {
			return nil, b.impossible("want odd numbers in the row at the free end and even ones in the other")
		}
	}
	m := &Naming{layout: l, scheme: s, names: make([]string, n), number: make([]int, n), bankPlace: make([]string, n)}
	c := Config{NumberedFrom: l.config.NumberedFrom, Rotation: l.config.Rotation, Throws: slices.Clone(l.config.Throws)}
	if s.CountFrom != EndUnstated && c.NumberedFrom != EndUnstated {
		c.NumberedFrom = s.CountFrom
	}
	if reversed {
		slices.Reverse(c.Throws)
	}
	called := func(k int) string { return cmp.Or(b.letters[k], b.banks[k].Name) }
	for i, x := range spots {
		place := strconv.Itoa(x.place)
		name := strconv.Itoa(i + 1)
		switch s.Letters {
		case BankThenPlace, SideThenPlace:
			name = b.letters[x.bank] + place
		case PlaceThenSide:
			name = place + b.letters[x.bank]
		default:
		}
		m.names[x.cylinder], m.number[x.cylinder] = name, i+1
		m.bankPlace[x.cylinder] = fmt.Sprintf("bank %s, place %d, throw %d from there", called(x.bank), x.place, x.throw)
		c.Cylinders = append(c.Cylinders, Cylinder{called(x.bank), x.throw})
	}
	order := make([]int, len(b.banks))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(x, y int) int { return b.ranks[x] - b.ranks[y] })
	for _, k := range order {
		c.Banks = append(c.Banks, Bank{called(k), b.banks[k].Axis})
	}
	var err error
	if m.renamed, err = NewLayout(c); err != nil {
		return nil, err
	}
	return m, nil
}

// Names returns the name of every cylinder: entry i is that of cylinder i+1 of the
// layout.
//
// Source: the scheme's own.
//
// Rows: iso1204-v12-90, j824b-v8, faa-radial14.
func (m *Naming) Names() []string {
	if m == nil {
		return nil
	}
	return slices.Clone(m.names)
}

// Numbers returns the place of every cylinder in the sequence of the scheme: entry
// i is that of cylinder i+1 of the layout, and its number in Naming.Layout. A
// scheme with letters has that sequence, too.
//
// Source: the scheme's own.
//
// Rows: iso1204-v12-90, din73021-v8, faa-radial14.
func (m *Naming) Numbers() []int {
	if m == nil {
		return nil
	}
	return slices.Clone(m.number)
}

// Cylinder returns the number, in the layout, of the cylinder of a name.
//
// Errors: units.ErrSyntax for a name that the scheme does not give, units.ErrMissing
// for no naming.
//
// Source: the scheme's own.
//
// Rows: convert-j824b-iso1204, convert-alternating-j824b.
func (m *Naming) Cylinder(name string) (int, error) {
	if m == nil || m.layout == nil {
		return 0, refuse("naming", "", "want a naming from NewNaming", units.ErrMissing)
	}
	i := slices.Index(m.names, name)
	if i < 0 {
		return 0, refuse("name", clip([]byte(name)), "no cylinder has this name; want one of the form "+m.names[0], units.ErrSyntax)
	}
	return i + 1, nil
}

// To answers what another scheme calls the cylinder of a name. Both namings are of
// one layout.
//
// Errors: those of Cylinder, units.ErrMissing for no other naming,
// units.ErrConflict for namings of two layouts.
//
// Source: the schemes' own.
//
// Rows: convert-j824b-iso1204, convert-alternating-j824b.
func (m *Naming) To(other *Naming, name string) (string, error) {
	i, err := m.Cylinder(name)
	switch {
	case err != nil:
		return "", err
	case other == nil || other.layout == nil:
		return "", refuse("other", "", "want a naming from NewNaming", units.ErrMissing)
	case other.layout != m.layout:
		return "", refuse("other", "", "want a naming of the same layout", units.ErrConflict)
	}
	return other.names[i-1], nil
}

// Layout returns the same engine numbered by the scheme: cylinders in its sequence,
// banks in its sequence and with its letters if it has any, throws listed from
// Scheme.CountFrom. Nil for a naming that NewNaming did not make.
//
// Source: the scheme's own.
//
// Rows: renumber-v8-swap, renumber-v6.
func (m *Naming) Layout() *Layout {
	if m == nil {
		return nil
	}
	return m.renamed
}

// Order answers what a firing order of the layout is in the numbers of the scheme,
// those of Naming.Layout, beginning with its cylinder 1.
//
// Errors: those of NewEngine for an order that does not have every cylinder once.
//
// Source: the scheme's own; the engine fires as before.
//
// Rows: renumber-v8-swap, renumber-v8-swap-2, renumber-v6, order-v12-90-iso1204.
func (m *Naming) Order(o Order) (Order, error) {
	if m == nil || m.layout == nil {
		return nil, refuse("naming", "", "want a naming from NewNaming", units.ErrMissing)
	}
	if err := m.layout.complete(o); err != nil {
		return nil, err
	}
	r := make(Order, len(o))
	for i, c := range o {
		r[i] = m.number[c-1]
	}
	at := slices.Index(r, 1)
	return slices.Concat(r[at:], r[:at]), nil
}

// OrderText writes a firing order of the layout in the names of the scheme,
// "1R-4L-3R", beginning with the first name.
//
// Errors: those of Order.
//
// Source: the scheme's own.
//
// Rows: order-v12-90-iso1204, order-v8-j824b.
func (m *Naming) OrderText(o Order) (string, error) {
	r, err := m.Order(o)
	if err != nil {
		return "", err
	}
	s := make([]string, len(r))
	for i, n := range r {
		s[i] = m.names[slices.Index(m.number, n)]
	}
	return strings.Join(s, "-"), nil
}

// ParseOrder reads an order written in the names of the scheme and returns it in
// the numbers of the layout that was named.
//
// Errors: units.ErrSyntax for another form, a name that the scheme does not give or
// more than 512 bytes, units.ErrConflict for a cylinder that stands twice,
// units.ErrMissing for no naming.
//
// Source: the scheme's own.
//
// Rows: order-v12-90-iso1204, order-v8-j824b.
func (m *Naming) ParseOrder(s string) (Order, error) {
	if m == nil || m.layout == nil {
		return nil, refuse("naming", "", "want a naming from NewNaming", units.ErrMissing)
	}
	return parseOrder(s, "names of the scheme joined by -", func(w string) (int, bool) {
		i := slices.Index(m.names, w)
		return i + 1, i >= 0
	})
}

// Working shows for each cylinder, in the sequence of the scheme, where it sits and
// what it is called.
func (m *Naming) Working() units.Working {
	if m == nil || m.layout == nil {
		return nil
	}
	src := m.scheme.Source
	if !src.Given() {
		src = units.Source{Text: "as given", Provenance: units.Stated}
	}
	rule := fmt.Sprintf("%s, banks %s", m.scheme.Numbering, m.scheme.Banks)
	if e := m.scheme.CountFrom; e != EndUnstated {
		rule += ", counted from the " + e.String()
	}
	w := make(units.Working, len(m.names))
	for i, n := range m.number {
		w[n-1] = units.Step{Symbol: "cylinder " + strconv.Itoa(i+1), Formula: rule, Numbers: m.bankPlace[i], Value: m.names[i], Source: src}
	}
	return w
}
