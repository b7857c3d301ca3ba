package assess

import (
	"fmt"
	"slices"
	"strconv"

	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// hand lists the checks of the hand, those that are missing too.
func (e *evaluator) hand() error {
	h := &e.sheet.Hand
	put := func(name, key string, c *sheet.HandCheck) {
		item := HandItem{Name: name, Key: key}
		if c != nil {
			item.State, item.Reason = c.State, c.Reason
		}
		e.res.Hand = append(e.res.Hand, item)
	}
	put("index marks seen aligned", "index_marks_aligned", h.IndexMarks)
	if err := e.lifters(); err != nil {
		return err
	}
	put("oil pump primed and drawing", "oil_pump_primed_and_drawing", h.OilPump)
	put("timing chain oiled", "timing_chain_oiled", h.ChainOiled)
	put("thread locker on the cam gear bolts", "thread_locker_on_cam_gear_bolts", h.ThreadLocker)
	put("break-in planned", "break_in_planned", h.BreakIn)
	put("two full turns by hand before measuring", "two_turns_by_hand_before", h.TurnsBefore)
	put("two full turns by hand after the last change", "two_turns_by_hand_after", h.TurnsAfter)
	put("turning torque with parts added one by one", "turning_torque_part_by_part", h.TurningTorque)
	put("keepers seated", "keepers_seated", h.Keepers)
	put("torque sequence followed", "torque_sequence", h.TorqueSequence)
	put("re-check after final torque", "recheck_after_final_torque", h.Recheck)
	if e.sheet.Cam.NewCamOrLifters && h.BreakIn != nil && h.BreakIn.State == sheet.NotApplicable {
		return fail("hand.break_in_planned.state", string(sheet.NotApplicable), units.ErrConflict, "cam or lifters are new (cam.new_cam_or_lifters): they need a break-in, about 20 minutes for a flat-lifter cam (common practice)")
	}
	return nil
}

// lifters wants one check for each valve of each cylinder.
func (e *evaluator) lifters() error {
	checks := e.sheet.Hand.Lifters
	for i, c := range checks {
		path := index("hand.lifters_fall_and_turn", i)
		if c.Cylinder < 1 || c.Cylinder > e.sheet.Engine.Cylinders {
			return fail(path+".cylinder", strconv.Itoa(c.Cylinder), units.ErrRange, "want a cylinder from 1 to "+strconv.Itoa(e.sheet.Engine.Cylinders))
		}
		if slices.ContainsFunc(checks[:i], func(p sheet.LifterCheck) bool { return p.Cylinder == c.Cylinder && p.Valve == c.Valve }) {
			return fail(path, fmt.Sprintf("cylinder %d %s", c.Cylinder, c.Valve), units.ErrConflict, "the lifter is listed twice")
		}
	}
	for n := 1; n <= e.sheet.Engine.Cylinders; n++ {
		for _, v := range sheet.ValveWord("").Words() {
			item := HandItem{Name: fmt.Sprintf("lifter of cylinder %d %s, dry, falls and turns in its bore", n, v), Key: "lifters_fall_and_turn"}
			for _, c := range checks {
				if c.Cylinder == n && string(c.Valve) == v {
					item.State, item.Reason = c.State, c.Reason
				}
			}
			e.res.Hand = append(e.res.Hand, item)
		}
	}
	return nil
}
