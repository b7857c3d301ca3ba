package valvetrain

import (
	"math"

	"example.com/trialfit/units"
)

// NestSpring is one spring of a nest.
type NestSpring struct {
	Name   string
	Spring Spring
	// Step is how much lower this spring stands than the installed height of
	// the nest: its height is that of the nest minus Step. Steps of the
	// retainer and of the seat add up; negative where it stands taller.
	Step units.Length
}

// Nest are springs inside each other on one valve; a single spring is a nest of
// one.
type Nest struct {
	Springs []NestSpring
	// Damper says that a flat damper rides between the coils. It gives
	// friction and next to no force; no figure here holds it.
	Damper bool
}

func (n Nest) check() error {
	if len(n.Springs) == 0 {
		return fail("Springs", "", units.ErrMissing, "want at least one spring")
	}
	if len(n.Springs) > 10 {
		return fail("Springs", "", units.ErrRange, "want at most 10 springs on a valve")
	}
	for i, s := range n.Springs {
		if s.Spring == nil {
			return fail(at("Springs", i)+".Spring", "", units.ErrMissing, "want a spring")
		}
		if s.Step > maxSize || s.Step < -maxSize {
			return fail(at("Springs", i)+".Step", s.Step.String(), units.ErrRange, "want a step of up to 10 m")
		}
	}
	return nil
}

// ForceAt answers what force the springs of a nest give together at a height of
// the nest h:
//
//	F = sum of F_i(h - Step_i)
//
// A spring that is loose there gives 0. It does not allocate. Errors: no
// spring; a height at which any spring is under its solid height
// (ErrImpossible).
//
// Source: definition: springs side by side.
//
// Rows: inst-nest, bha-10-18-P1, bha-10-19-P1.
func (n Nest) ForceAt(height units.Length) (units.Force, error) {
	if err := n.check(); err != nil {
		return 0, err
	}
	if err := checkSize("height", height); err != nil {
		return 0, err
	}
	var sum units.Force
	for i := range n.Springs {
		f, err := n.Springs[i].Spring.ForceAt(height - n.Springs[i].Step)
		if err != nil {
			return 0, err
		}
		sum += f
	}
	return sum, nil
}

// LoadAt answers what force the nest gives at a height, with the uncertainty of
// the springs alone, u^2 = sum of u_i^2, and the rate, the sum of those of the
// springs that are not loose. Errors as for ForceAt.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: nest-rate, nest-u.
func (n Nest) LoadAt(height units.Length) (SpringLoad, error) {
	if err := n.check(); err != nil {
		return SpringLoad{}, err
	}
	if err := checkSize("height", height); err != nil {
		return SpringLoad{}, err
	}
	var sum SpringLoad
	stated, u2 := true, 0.0
	for i := range n.Springs {
		l, err := n.Springs[i].Spring.LoadAt(height - n.Springs[i].Step)
		if err != nil {
			return SpringLoad{}, err
		}
		sum.Force.Value += l.Force.Value
		sum.Rate += l.Rate
		stated = stated && l.Force.Stated
		u2 += squared(l.Force.U.Newtons())
	}
	if stated {
		sum.Force = units.WithU(sum.Force.Value, units.Force(math.Sqrt(u2)))
	}
	return sum, nil
}

// SolidHeight answers at which height of the nest the first of its springs is
// solid, the largest of solid_i + Step_i; 0, which is unknown, where one of them
// is unknown.
//
// Source: definition.
//
// Rows: nest-solid.
func (n Nest) SolidHeight() units.Measured[units.Length] {
	var first units.Measured[units.Length]
	if n.check() != nil {
		return first
	}
	for _, s := range n.Springs {
		solid := s.Spring.SolidHeight()
		if solid.Value <= 0 || solid.Value > maxSize {
			return units.Measured[units.Length]{}
		}
		solid.Value += s.Step
		if solid.Value > first.Value {
			first = solid
		}
	}
	return first
}

// HeightAt answers at which height of the nest its springs give a force
// together, to the nearest picometer: the greatest such height, by bisection on
// the whole count of a force that only grows as the height falls. A force not
// over 0, or not reached above the first solid height (with no solid height
// known, above the highest step), is ErrRange; else errors as for ForceAt.
//
// Source: definition.
//
// Rows: bha-10-18-delta, bha-10-19-P1, bha-10-19-d2, nest-height.
func (n Nest) HeightAt(force units.Force) (units.Length, error) {
	if err := n.check(); err != nil {
		return 0, err
	}
	if err := checkOver("force", force, maxForce, "want a force over 0 and up to 1e9 N"); err != nil {
		return 0, err
	}
	lo := units.Length(1) // at least this force, or unreachable
	for i := range n.Springs {
		solid := n.Springs[i].Spring.SolidHeight().Value
		lo = max(lo, n.Springs[i].Step+max(min(solid, maxSize), 1))
	}
	hi := maxSize
	for i := range n.Springs {
		hi = min(hi, maxSize+n.Springs[i].Step)
	}
	f, err := n.ForceAt(min(lo, maxSize))
	if err != nil {
		return 0, err
	}
	if f < force {
		return 0, fail("force", forceText(force), units.ErrRange, "the springs do not reach it above their solid height")
	}
	if f, err = n.ForceAt(hi); err != nil {
		return 0, err
	}
	if f >= force {
		return hi, nil
	}
	for hi-lo > 1 {
		mid := lo + (hi-lo)/2
		f, err := n.ForceAt(mid)
		if err != nil {
			return 0, err
		}
		if f >= force {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo, nil
}

// Installed is how a nest stands on a valve.
type Installed struct {
	Height units.Measured[units.Length] // of the nest, valve closed, as assembled
	Lift   units.Measured[units.Length] // greatest lift of the valve
	// LeastBind is the room to solid that every spring must keep at full lift,
	// if it is to be judged, and Rule by which rule.
	LeastBind units.Optional[units.Limits[units.Length]]
	Rule      units.DecisionRule
}

// SpringState is what becomes of one spring of a nest.
type SpringState struct {
	Name string
	// Seat is the force with the valve closed; Open that at full lift, not
	// given where the spring would be solid before that.
	Seat units.Measured[units.Force]
	Open units.Optional[units.Measured[units.Force]]
	// Loose says that the spring has no force with the valve closed: it may
	// leave its seat.
	Loose bool
	// Room is the height at full lift over the solid height: the room to coil
	// bind, negative where it binds. Not given where the solid height is unknown.
	Room units.Optional[units.Measured[units.Length]]
	Bind units.Optional[units.Verdict[units.Length]]
}

// NestReport is how a nest works on a valve.
type NestReport struct {
	Installed Installed
	// Seat and Open are the forces of all springs together; Open is not given
	// where any spring would be solid before full lift.
	Seat units.Measured[units.Force]
	Open units.Optional[units.Measured[units.Force]]
	// Rate is that of all springs together at full lift, 0 where Open is not
	// given.
	Rate    units.Stiffness
	Springs []SpringState
	// Tightest is the spring with the least room, and -1 where no solid height
	// is known.
	Tightest int
	// Outcome is the worst of the verdicts on coil bind: within only if every
	// spring was judged and is proved within.
	Outcome units.Outcome
	Damper  bool
}

// Check answers what forces a nest gives with the valve closed and at full
// lift, and how much room every spring of it keeps to coil bind:
//
//	seat = sum F_i(Height - Step_i)     open = sum F_i(Height - Lift - Step_i)
//	room_i = Height - Step_i - Lift - solid_i
//
// The height counts for all springs alike, so that the force of the nest has
//
//	u(F)^2 = sum u_i^2 + (sum k_i)^2 u_h^2,  u_h^2 = u(Height)^2 (+ u(Lift)^2 when open)
//	u(room)^2 = u(Height)^2 + u(Lift)^2 + u(solid)^2
//
// A spring that binds is data: its room is negative and its open force is not
// given. Errors: no spring; a height or lift that is missing or negative; a
// lift of the height or more; a spring already solid with the valve closed
// (ErrImpossible); limits that units.Judge refuses.
//
// Source: definition; JCGM 100:2008, 5.1.2.
//
// Rows: inst-bind, inst-nest, mh31-ex-td, nest-seat-u, nest-open-u, nest-room,
// nest-room-u, nest-bind-verdict, nest-tightest.
func (n Nest) Check(in Installed) (NestReport, error) {
	if err := n.check(); err != nil {
		return NestReport{}, err
	}
	if err := checkMeasuredSize("Height", in.Height); err != nil {
		return NestReport{}, err
	}
	if err := checkSpan("Lift", in.Lift.Value); err != nil {
		return NestReport{}, err
	}
	if err := checkMeasuredU("Lift", in.Lift); err != nil {
		return NestReport{}, err
	}
	if in.Lift.Value >= in.Height.Value {
		return NestReport{}, fail("Lift", text(in.Lift.Value), units.ErrImpossible, "want less than the installed height "+text(in.Height.Value))
	}
	open := units.Measured[units.Length]{Value: in.Height.Value - in.Lift.Value, Stated: in.Height.Stated && in.Lift.Stated}
	if open.Stated {
		open.U = root(in.Height.U, in.Lift.U)
	}
	r := NestReport{Installed: in, Springs: make([]SpringState, len(n.Springs)), Tightest: -1, Outcome: units.ProvedWithin, Damper: n.Damper}
	bound := false
	for i, s := range n.Springs {
		st := &r.Springs[i]
		st.Name = s.Name
		seat, err := s.Spring.LoadAt(in.Height.Value - s.Step)
		if err != nil {
			return NestReport{}, err
		}
		st.Seat, st.Loose = seat.with(in.Height), seat.Force.Value <= 0
		room := units.Measured[units.Length]{Value: open.Value - s.Step}
		solid := s.Spring.SolidHeight()
		binds := solid.Value > room.Value || room.Value <= 0
		if solid.Value > 0 {
			room.Value -= solid.Value
			if room.Stated = open.Stated && solid.Stated; room.Stated {
				room.U = root(open.U, solid.U)
			}
			st.Room = units.Some(room)
			if r.Tightest < 0 || room.Value < r.Springs[r.Tightest].Room.Value.Value {
				r.Tightest = i
			}
		}
		if in.LeastBind.Given && solid.Value > 0 {
			v, err := units.Judge(room, in.LeastBind.Value, in.Rule)
			if err != nil {
				return NestReport{}, fail("LeastBind", in.LeastBind.Value.String(), units.ErrConflict, "limits that cannot be judged: "+err.Error())
			}
			st.Bind = units.Some(v)
			r.Outcome = worse(r.Outcome, v.Outcome)
		} else {
			r.Outcome = worse(r.Outcome, units.NotProved)
		}
		if binds {
			bound = true
			continue
		}
		l, err := s.Spring.LoadAt(open.Value - s.Step)
		if err != nil {
			return NestReport{}, err
		}
		st.Open = units.Some(l.with(open))
	}
	seat, err := n.LoadAt(in.Height.Value)
	if err != nil {
		return NestReport{}, err
	}
	r.Seat = seat.with(in.Height)
	if !bound {
		l, err := n.LoadAt(open.Value)
		if err != nil {
			return NestReport{}, err
		}
		r.Open, r.Rate = units.Some(l.with(open)), l.Rate
	}
	return r, nil
}

// with returns the force with the uncertainty of the height added.
func (l SpringLoad) with(height units.Measured[units.Length]) units.Measured[units.Force] {
	if !l.Force.Stated || !height.Stated {
		return units.Unstated(l.Force.Value)
	}
	return units.WithU(l.Force.Value, units.Force(math.Hypot(l.Force.U.Newtons(), float64(l.Rate)*height.U.Meters())))
}

// worse returns the outcome that decides for two checks of one part: outside
// if either is, within only if both are.
func worse(a, b units.Outcome) units.Outcome {
	switch {
	case a == units.ProvedOutside || b == units.ProvedOutside:
		return units.ProvedOutside
	case a == units.ProvedWithin && b == units.ProvedWithin:
		return units.ProvedWithin
	default:
		return units.NotProved
	}
}

// Working returns the derivation.
func (r NestReport) Working() units.Working {
	var w units.Working
	for _, s := range r.Springs {
		w = append(w, units.Step{Symbol: "seat " + s.Name, Formula: "force at the installed height", Value: forceText(s.Seat.Value), Source: definition})
		if s.Open.Given {
			w = append(w, units.Step{Symbol: "open " + s.Name, Formula: "force at full lift", Value: forceText(s.Open.Value.Value), Source: definition})
		}
		if s.Room.Given {
			w = append(w, units.Step{
				Symbol: "room " + s.Name, Formula: "installed height - step - lift - solid height", Value: measuredText(s.Room.Value), Source: definition,
			})
		}
	}
	w = append(w, units.Step{Symbol: "seat", Formula: "sum of the springs, valve closed", Value: forceText(r.Seat.Value), Source: definition})
	if r.Open.Given {
		w = append(w, units.Step{Symbol: "open", Formula: "sum of the springs, full lift", Value: forceText(r.Open.Value.Value), Source: definition})
	}
	return w
}

// Cautions returns what to mind, with what the nest itself calls for.
func (r NestReport) Cautions() []units.Caution {
	c := springCautions()
	for _, s := range r.Springs {
		if s.Loose {
			c = append(c, units.Caution{Text: s.Name + " has no force with the valve closed and may leave its seat", Source: definition})
		}
		if s.Room.Given && s.Room.Value.Value < 0 {
			c = append(c, units.Caution{Text: s.Name + " is solid before full lift: do not turn the engine", Source: definition})
		}
	}
	if r.Damper {
		c = append(c, units.Caution{Text: "the damper's friction is in no figure here, and hides some of the force on a tester", Source: practice})
	}
	return c
}
