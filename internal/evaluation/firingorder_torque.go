package evaluation

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/trialfit/firingorder"
)

// firingorderTorque computes the rows of torque_orders.csv.
func firingorderTorque(add adder) {
	add("torque phase sums of an order", func(in *inputs) (Answer, error) {
		return onEngine(in.row, func(_ *inputs, e *firingorder.Engine) (Answer, error) {
			order := firingorder.HalfOrders(math.Round(2 * in.float("harmonic")))
			c := e.Layout().Config()
			shape := make([]float64, len(c.Cylinders))
			for i, cy := range c.Cylinders {
				shape[i] = 1 - float64(cy.Throw-1)/float64(len(c.Throws))
			}
			rigid, err := e.PhaseSum(order, nil)
			if err != nil {
				return Answer{}, err
			}
			one, err := e.PhaseSum(order, shape)
			if err != nil {
				return Answer{}, err
			}
			if one.Major != rigid.Major {
				return Answer{}, fmt.Errorf("major %v and %v", one.Major, rigid.Major)
			}
			s := fixed4(rigid.Size, one.Size)
			if rigid.Major {
				s += " major"
			}
			return Text(s), nil
		})
	}, "NewEngine", "Engine.PhaseSum")
}

// firingorderPulses computes the rows of pulses.csv.
func firingorderPulses(add adder) {
	add("intervals that a group of cylinders fires at", func(in *inputs) (Answer, error) {
		return onEngine(in.row, func(_ *inputs, e *firingorder.Engine) (Answer, error) {
			var p firingorder.Pulses
			var err error
			if in.has("bank") {
				p, err = e.BankPulses(in.text("bank"))
			} else {
				var group []int
				for w := range strings.FieldsSeq(in.text("group")) {
					c, err := strconv.Atoi(w)
					if err != nil {
						return Answer{}, err
					}
					group = append(group, c)
				}
				p, err = e.Pulses(group...)
			}
			if err != nil {
				return Answer{}, err
			}
			var s []string
			even := true
			for _, q := range p.Each {
				// The table prints four decimals.
				s = append(s, fmt.Sprintf("%d>%d:%s", q.Cylinder, q.Next, shortest(math.Round(q.Interval.Degrees()*1e4)/1e4)))
				even = even && (q.Interval-p.Each[0].Interval).Abs() <= 1
			}
			s = append(s, "closest")
			for _, q := range p.Closest {
				s = append(s, fmt.Sprintf("%d>%d", q.Cylinder, q.Next))
				even = even && (q.Interval-p.Shortest).Abs() <= 1
			}
			if even != p.Even {
				return Answer{}, fmt.Errorf("even is %v, the intervals say %v", p.Even, even)
			}
			return Text(strings.Join(s, " ")), nil
		})
	}, "NewEngine", "Engine.Pulses", "Engine.BankPulses")
	add("successive firings at one main bearing", func(in *inputs) (Answer, error) {
		return onEngine(in.row, func(_ *inputs, e *firingorder.Engine) (Answer, error) {
			m, err := e.MainBearings(in.int("throws_per_bay"))
			if err != nil {
				return Answer{}, err
			}
			shared, neighbors := []string{"shared"}, []string{"neighbors"}
			for _, s := range m.Successions {
				if s.Main > 0 {
					shared = append(shared, fmt.Sprintf("%d>%d@%d", s.Cylinder, s.Next, s.Main))
				}
				if s.Neighbor {
					neighbors = append(neighbors, fmt.Sprintf("%d>%d", s.Cylinder, s.Next))
				}
			}
			if len(shared)-1 != m.Shared || len(neighbors)-1 != m.Neighbors {
				return Answer{}, fmt.Errorf("counted %d shared and %d neighbors", m.Shared, m.Neighbors)
			}
			if m.Shared == 0 {
				shared = append(shared, "none")
			}
			if m.Neighbors == 0 {
				neighbors = append(neighbors, "none")
			}
			return Text(strings.Join(append(shared, neighbors...), " ")), nil
		})
	}, "NewEngine", "Engine.MainBearings")
}
