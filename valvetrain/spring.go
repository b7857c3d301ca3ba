package valvetrain

import (
	"math"

	"example.com/trialfit/units"
)

// Spring is a compression spring as the valve sees it: a force for every
// height.
type Spring interface {
	// ForceAt returns the force at a height, 0 where the spring is loose, and
	// an error where the height is under the solid height.
	ForceAt(height units.Length) (units.Force, error)
	// LoadAt returns the force with the uncertainty of the spring alone, and
	// the rate there.
	LoadAt(height units.Length) (SpringLoad, error)
	// SolidHeight returns the height with all coils closed; 0 is unknown.
	SolidHeight() units.Measured[units.Length]
}

// SpringLoad is what a spring gives at one height.
type SpringLoad struct {
	Force units.Measured[units.Force]
	Rate  units.Stiffness // 0 where the spring is loose
}

// LinearSpring is a spring of one rate, by a load at a height and the rate, as
// a card or a tester gives it.
type LinearSpring struct {
	Height units.Length // at which Force was read or is specified
	Force  units.Measured[units.Force]
	Rate   units.Measured[units.Stiffness]
	// Solid is the height with all coils closed. 0 is unknown: nothing is then
	// refused for being under it, and coil bind cannot be checked.
	Solid units.Measured[units.Length]
}

func (s LinearSpring) check() error {
	if err := checkSize("Height", s.Height); err != nil {
		return err
	}
	if err := checkMeasuredForce("Force", s.Force); err != nil {
		return err
	}
	if err := checkOver("Rate", s.Rate.Value, maxRate, "want a rate over 0 and up to 1e12 N/m"); err != nil {
		return err
	}
	if err := checkU("Rate", s.Rate); err != nil {
		return err
	}
	if s.Solid == (units.Measured[units.Length]{}) {
		return nil
	}
	if err := checkMeasuredSize("Solid", s.Solid); err != nil {
		return err
	}
	if s.Solid.Value > s.Height {
		return fail("Solid", text(s.Solid.Value), units.ErrConflict, "a force is given at "+text(s.Height)+", under the solid height")
	}
	return nil
}

// sound reports whether check would find nothing, without asking what.
func (s *LinearSpring) sound() bool {
	return s.Height > 0 && s.Height <= maxSize && s.Force.Value >= 0 && s.Force.Value <= maxForce && s.Rate.Value > 0 && s.Rate.Value <= maxRate &&
		s.Solid.Value >= 0 && s.Solid.Value <= s.Height && sound(s.Force) && sound(s.Rate) && sound(s.Solid) && (s.Solid.Value > 0 || !s.Solid.Stated)
}

// ForceAt answers what force the spring gives at a height h:
//
//	F = Force + Rate (Height - h), never under 0
//
// It does not allocate. Errors: a spring with a field that is missing, negative
// or not finite, a height not over 0 (ErrRange), a height under the solid
// height (ErrImpossible).
//
// Source: definition of the rate.
//
// Rows: linear-force, linear-loose, inst-nest-outer.
func (s LinearSpring) ForceAt(height units.Length) (units.Force, error) {
	f, err := s.line(height)
	return max(f, 0), err
}

// line returns the force on the straight line, negative above the free length.
func (s *LinearSpring) line(height units.Length) (units.Force, error) {
	if !s.sound() {
		if err := s.check(); err != nil {
			return 0, err
		}
	}
	if err := checkSize("height", height); err != nil {
		return 0, err
	}
	if height < s.Solid.Value {
		return 0, underSolid("height", height, s.Solid.Value)
	}
	return s.Force.Value + units.Force(float64(s.Rate.Value)*(s.Height-height).Meters()), nil
}

func underSolid(field string, height, solid units.Length) error {
	return fail(field, text(height), units.ErrImpossible, "want at least the solid height, "+text(solid))
}

// LoadAt answers what force the spring gives at a height h, with its
// uncertainty and the rate there:
//
//	u(F)^2 = u(Force)^2 + ((Height - h) u(Rate))^2
//
// Force and Rate count as uncorrelated, which is how Bench.Line gives them; the
// uncertainty of the height at which the spring stands is not in it. It is
// stated where both are. Errors as for ForceAt.
//
// Source: JCGM 100:2008, 5.1.2.
//
// Rows: linear-force-u, linear-loose-rate.
func (s LinearSpring) LoadAt(height units.Length) (SpringLoad, error) {
	f, err := s.line(height)
	if err != nil {
		return SpringLoad{}, err
	}
	l := SpringLoad{Force: units.Unstated(max(f, 0)), Rate: s.Rate.Value}
	if s.Force.Stated && s.Rate.Stated {
		l.Force = units.WithU(l.Force.Value, units.Force(math.Hypot(s.Force.U.Newtons(), (s.Height-height).Meters()*float64(s.Rate.U))))
	}
	if f <= 0 {
		l.Rate = 0
	}
	return l, nil
}

// SolidHeight returns Solid.
func (s LinearSpring) SolidHeight() units.Measured[units.Length] { return s.Solid }

// FreeLength answers at which height the line of the spring reaches no force:
//
//	free = Height + Force/Rate     u^2 = (u(Force)/Rate)^2 + (Force u(Rate)/Rate^2)^2
//
// A spring whose rate grows as it closes is shorter than that in the hand.
// Errors as for ForceAt; a free length over 10 m is ErrRange.
//
// Source: definition of the rate; JCGM 100:2008, 5.1.2.
//
// Rows: inst-free, linear-free-u.
func (s LinearSpring) FreeLength() (units.Measured[units.Length], error) {
	var none units.Measured[units.Length]
	if err := s.check(); err != nil {
		return none, err
	}
	k, f := float64(s.Rate.Value), s.Force.Value.Newtons()
	x := f / k
	if !(x+s.Height.Meters() <= maxSize.Meters()) {
		return none, fail("Rate", s.Rate.Value.String(), units.ErrRange, "want a free length of up to 10 m")
	}
	free := units.Unstated(s.Height + count(x))
	if s.Force.Stated && s.Rate.Stated {
		u := math.Hypot(s.Force.U.Newtons()/k, x*float64(s.Rate.U)/k)
		if !(u <= maxSize.Meters()) {
			return none, fail("Rate.U", s.Rate.U.String(), units.ErrRange, "want an uncertainty that leaves that of the free length under 10 m")
		}
		free = units.WithU(free.Value, count(u))
	}
	return free, nil
}

// HeightAt answers at which height the spring gives a force, Height + (Force -
// f)/Rate. Errors as for ForceAt; a force that is negative or not reached above
// the solid height is ErrRange.
//
// Source: definition of the rate.
//
// Rows: wen-8-4, linear-height.
func (s LinearSpring) HeightAt(force units.Force) (units.Length, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if err := checkForce("force", force); err != nil {
		return 0, err
	}
	x := s.Height.Meters() + (s.Force.Value-force).Newtons()/float64(s.Rate.Value)
	if !(x > 0 && x <= maxSize.Meters()) || count(x) < s.Solid.Value {
		return 0, fail("force", forceText(force), units.ErrRange, "the spring does not reach it above its solid height")
	}
	return count(x), nil
}
