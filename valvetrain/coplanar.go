package valvetrain

import "math"

// coplanar are two turned bodies whose axes lie in one plane, seen in it: inline heads,
// and heads canted in one plane. Both are their own mirror images in that plane, so
// that the closest points of the two lie in it.
type coplanar struct {
	ok             bool
	ex, ey         space // of the plane
	a, b           flat
	aRings, bRings [3]ring
}

// flat is a body in the plane: the middle of its face and its axis.
type flat struct{ cx, cy, ax, ay float64 }

// coplanarOf returns the plane of two bodies; it is not ok where their axes lie in
// none.
func coplanarOf(a, b *turned) coplanar {
	d := b.center.less(a.center)
	p := coplanar{aRings: a.rings, bRings: b.rings}
	// The moment of one axis about the other, over the sine between them.
	n := a.axis.cross(b.axis)
	sin := n.length()
	switch {
	case sin > 1e-9:
		if math.Abs(d.dot(n)) > 1e-14*sin { // meters off the plane
			return coplanar{}
		}
		n = n.times(1 / sin)
	case sin > 1e-15: // neither parallel nor a plane that is known well enough
		return coplanar{}
	default:
		n = d.cross(a.axis)
		l := n.length()
		if l < 1e-9 {
			n, l = a.across, 1
		}
		n = n.times(1 / l)
	}
	p.ok, p.ey = true, a.axis
	p.ex = a.axis.cross(n)
	p.ex = p.ex.times(1 / p.ex.length())
	p.a = flat{0, 0, 0, 1}
	p.b = flat{d.dot(p.ex), d.dot(p.ey), b.axis.dot(p.ex), b.axis.dot(p.ey)}
	return p
}

// point is a place in the plane.
type point struct{ x, y float64 }

// profile returns the rims of a body, lift along its axis into the cylinder, on the
// side of another one whose face has its middle at x, y.
func (f *flat) profile(rings *[3]ring, lift, x, y float64, to *[3]point) {
	cx, cy := f.cx-f.ax*lift, f.cy-f.ay*lift
	ox, oy := -f.ay, f.ax
	if (x-cx)*ox+(y-cy)*oy < 0 {
		ox, oy = -ox, -oy
	}
	for i := range rings {
		r := &rings[i]
		to[i] = point{cx + f.ax*r.height + ox*r.radius, cy + f.ay*r.height + oy*r.radius}
	}
}

// closer keeps the least of squared distances between points of two broken lines
// and the way between them, from the second to the first.
type closer struct{ d2, x, y float64 }

func (c *closer) take(x, y float64) {
	if d := x*x + y*y; d < c.d2 {
		*c = closer{d, x, y}
	}
}

// edge takes the points p against the inside of the edge from q to r; sign is 1
// where p is of the first body.
func (c *closer) edge(q, r point, p *[3]point, sign float64) {
	ex, ey := r.x-q.x, r.y-q.y
	l := ex*ex + ey*ey
	if l == 0 {
		return
	}
	for i := range p {
		x, y := p[i].x-q.x, p[i].y-q.y
		// Inside the edge, and nearer to its line than anything yet.
		t, off := x*ex+y*ey, y*ex-x*ey
		if t > 0 && t < l && off*off < c.d2*l {
			k := sign * off / l
			c.take(-ey*k, ex*k)
		}
	}
}

// separation returns the distance of the two bodies at their lifts, or ok false where
// the rims and edges that face each other do not hold the closest points: where the
// heads touch, or one lies over the other.
func (p *coplanar) separation(la, lb float64) (r apart, ok bool) {
	var pa, pb [3]point
	p.a.profile(&p.aRings, la, p.b.cx-p.b.ax*lb, p.b.cy-p.b.ay*lb, &pa)
	p.b.profile(&p.bRings, lb, p.a.cx-p.a.ax*la, p.a.cy-p.a.ay*la, &pb)
	c := closer{d2: math.Inf(1)}
	for i := range pa {
		for k := range pb {
			c.take(pa[i].x-pb[k].x, pa[i].y-pb[k].y)
		}
	}
	for i := range 2 {
		c.edge(pb[i], pb[i+1], &pa, 1)
		c.edge(pa[i], pa[i+1], &pb, -1)
	}
	d := math.Sqrt(c.d2)
	if !(d > touching) {
		return apart{}, false
	}
	nx, ny := c.x/d, c.y/d
	// A line square to that way lies between the bodies: it is the distance.
	da := p.a.reach(&p.aRings, la, -nx, -ny)
	db := p.b.reach(&p.bRings, lb, nx, ny)
	r = apart{distance: d, bound: -da - db, normal: p.ex.times(nx).plus(p.ey.times(ny))}
	return r, d-r.bound <= fineness
}

// reach returns how far a body goes along a direction of the plane.
func (f *flat) reach(rings *[3]ring, lift, x, y float64) float64 {
	up, out := f.ax*x+f.ay*y, math.Abs(f.ax*y-f.ay*x)
	most := math.Inf(-1)
	for i := range rings {
		most = max(most, rings[i].height*up+rings[i].radius*out)
	}
	return f.cx*x + f.cy*y - lift*up + most
}
