package firingorder

// Reversed answers how the same hardware is described when its crank turns the
// other way: every angle of Config.Banks and Config.Throws negative, because
// angles count positive in rotation, and a stated Rotation the opposite one.
// Cylinders, banks and throws keep their numbers and names.
//
//	TDC' = 360 - TDC   modulo 360
//
// with TDC = Layout.TDC (crank deg). An order is possible on the one if and only
// if the order read backward from cylinder 1 is possible on the other: 1-5-3-6-2-4
// becomes 1-4-2-6-3-5. Twice Reversed is the layout itself.
//
// It is not a mirror image that is built: the cam and the ignition have to be
// those of the new order.
//
// Errors: units.ErrMissing for a layout that NewLayout did not make.
//
// Source: geometry of a crank without pin offset; orders of an in-line six in
// right-hand and in left-hand rotation: TM 5-3810-300-24&P2, p. 4-9.
//
// Rows: left-hand-six, left-hand-v8, left-hand-v6-split, left-hand-radial5,
// left-hand-six-tdc, left-hand-v8-tdc.
func (l *Layout) Reversed() (*Layout, error) {
	if err := l.check("layout", 1); err != nil {
		return nil, err
	}
	c := l.Config()
	for i := range c.Banks {
		c.Banks[i].Axis.num *= -1
	}
	for i := range c.Throws {
		c.Throws[i].num *= -1
	}
	if c.Rotation != RotationUnstated {
		c.Rotation = Clockwise + CounterClockwise - c.Rotation
	}
	return NewLayout(c)
}
