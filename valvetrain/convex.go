package valvetrain

import "math"

// space is a vector in three dimensions, in meters.
type space struct{ x, y, z float64 }

func (a space) plus(b space) space    { return space{a.x + b.x, a.y + b.y, a.z + b.z} }
func (a space) less(b space) space    { return space{a.x - b.x, a.y - b.y, a.z - b.z} }
func (a space) times(k float64) space { return space{a.x * k, a.y * k, a.z * k} }
func (a space) dot(b space) float64   { return a.x*b.x + a.y*b.y + a.z*b.z }
func (a space) length() float64       { return math.Sqrt(a.dot(a)) }
func (a space) cross(b space) space {
	return space{a.y*b.z - a.z*b.y, a.z*b.x - a.x*b.z, a.x*b.y - a.y*b.x}
}
func (a space) along(u space) space    { return u.times(a.dot(u)) }
func (a space) squareTo(u space) space { return a.less(a.along(u)) }
func (a space) squaredLength() float64 { return a.dot(a) }
func mix(a, b space, t float64) space  { return a.plus(b.less(a).times(t)) }

// ring is a circle about the axis of a body: height over the face and radius.
type ring struct{ height, radius float64 }

// turned is a convex body of revolution, the hull of up to three circles about
// one axis: the head of a valve by its face, its margin and its seat face.
type turned struct {
	center space // of the face
	axis   space // unit vector, from the face up the stem
	across space // any unit vector square to the axis
	rings  [3]ring
}

// farthest returns the point of the body that lies farthest along a unit vector.
func (b *turned) farthest(d space) space {
	up := d.dot(b.axis)
	// Taken off twice, so that what is left is square to the axis even where d
	// lies nearly along it.
	out := d.less(b.axis.times(up)).squareTo(b.axis)
	p := out.length()
	// Straight along the axis every point of a face is as far: take one. What is
	// less than this of a unit vector is rounding.
	if p < 1e-14 {
		out, p = b.across, 0
	} else {
		out = out.times(1 / p)
	}
	best, most := b.rings[0], b.rings[0].height*up+b.rings[0].radius*p
	for _, r := range b.rings[1:] {
		if x := r.height*up + r.radius*p; x > most {
			best, most = r, x
		}
	}
	return b.center.plus(b.axis.times(best.height)).plus(out.times(best.radius))
}

// apart is how two bodies stand to each other.
type apart struct {
	// distance is that of the closest pair of points found, and bound a proved
	// lower bound of the true one: a plane square to normal with that much room
	// on both sides together lies between the bodies. 0 where they touch.
	distance, bound float64
	normal          space // unit vector from the second body to the first
}

const (
	touching  = 1e-12 // meters: closer is contact
	fineness  = 1e-13 // meters between distance and bound
	maxRounds = 500
)

// separation returns the distance between two bodies: the point of the set of
// all differences a - b that lies closest to the origin, by the method of Gilbert,
// Johnson and Keerthi. The closest point of a simplex of differences gives an
// upper bound; the farthest difference towards the origin gives a plane that
// no difference passes, a lower bound; the method adds that difference and drops
// those that the closest point does not need, until the bounds meet.
func separation(a, b *turned) apart {
	v := a.center.less(b.center)
	if v.squaredLength() == 0 {
		return apart{}
	}
	if t, ok := byRims(a, b, v.times(1/v.length())); ok {
		return t
	}
	var s simplex
	var r apart
	r.distance = math.Inf(1)
	for round := range maxRounds {
		far := v.length()
		if far < touching {
			return apart{}
		}
		n := v.times(1 / far)
		w := a.farthest(n.times(-1)).less(b.farthest(n))
		if low := w.dot(n); low > r.bound {
			r.bound = low
		}
		if far < r.distance {
			r.distance, r.normal = far, n
		}
		if r.distance-r.bound <= fineness || s.has(w) {
			break
		}
		if round == 3 || round == 6 {
			if t, ok := byRims(a, b, n); ok {
				return t
			}
		}
		s.add(w)
		next, inside := s.closest()
		if inside {
			return apart{}
		}
		if s.n > 1 && next.squaredLength() >= far*far && s.n > 2 {
			break // no digit left to gain
		}
		v = next
	}
	return r
}

// byRims tries the rims of both bodies that a near normal names, and those that
// the way of the last try names.
func byRims(a, b *turned, n space) (apart, bool) {
	for range 3 {
		t, ok := rimTo(a, b, n)
		if ok {
			return t, true
		}
		if t.distance > 0 {
			n = t.normal
		}
		back, ok := rimTo(b, a, n.times(-1))
		back.normal = back.normal.times(-1)
		if ok {
			return back, true
		}
		switch {
		case back.distance > 0:
			n = back.normal
		case t.distance == 0:
			return apart{}, false
		}
	}
	return apart{}, false
}

// rimTo returns the distance where the closest point of the first body lies on the
// rim that a near normal names, by Newton's method for its angle about the axis: how
// far a point is from the other body is closed. It is right where the plane square
// to the way between the two points lies between the bodies; where not, ok is false,
// and normal, if there is one, is the way of that rim.
func rimTo(a, b *turned, n space) (r apart, ok bool) {
	rim, up, ok := a.rim(n.times(-1))
	if !ok {
		return apart{}, false
	}
	// The rim in the axes of the other body: its middle, and its radius toward
	// the near point and across.
	c := a.center.plus(a.axis.times(rim.height)).less(b.center)
	by := b.axis.cross(b.across)
	in := func(v space) space { return space{v.dot(b.across), v.dot(by), v.dot(b.axis)} }
	c, u, w := in(c), in(up.times(rim.radius)), in(a.axis.cross(up).times(rim.radius))
	angle, sin, cos := 0.0, 0.0, 1.0
	for range 12 {
		v := u.times(cos).plus(w.times(sin)) // from the middle of the rim
		p, q := c.plus(v), w.times(cos).less(u.times(sin))
		rho := math.Sqrt(p.x*p.x + p.y*p.y)
		if rho < 1e-9 {
			return apart{}, false
		}
		near, ok := b.nearest(p.z, rho)
		if !ok {
			return apart{}, false
		}
		rho1 := (p.x*q.x + p.y*q.y) / rho
		rho2 := (q.x*q.x + q.y*q.y - p.x*v.x - p.y*v.y - rho1*rho1) / rho
		// Of half the squared distance: slope and curvature over the angle.
		s1 := near.up*q.z + near.out*rho1
		slope, curve := near.d*s1, s1*s1-near.d*(near.up*v.z-near.out*rho2)
		if !near.flat { // a rim of the other: it turns with the point
			t1 := near.out*q.z - near.up*rho1
			curve += t1 * t1
		}
		step := -slope / curve
		if !(curve > 0) || math.Abs(step) > 0.7 {
			step = math.Copysign(0.3, -slope)
		}
		if math.Abs(step) < 1e-9 { // the next step would be its square
			d := b.across.times(p.x / rho * near.out).plus(by.times(p.y / rho * near.out)).plus(b.axis.times(near.up))
			r = apart{distance: near.d, normal: d.times(1 / d.length())}
			r.bound = a.farthest(r.normal.times(-1)).less(b.farthest(r.normal)).dot(r.normal)
			return r, r.distance-r.bound <= fineness
		}
		angle += step
		sin, cos = math.Sincos(angle)
	}
	return apart{}, false
}

// nearness is how a point stands to a body of revolution: d away, along a
// direction by its parts up the axis and out of it; flat where that is square to an
// edge of the profile or to a face, and not from a rim.
type nearness struct {
	d, up, out float64
	flat       bool
}

// nearest returns the nearness of a point at a height over the face and a distance
// from the axis; ok is false inside the body and where it touches.
func (b *turned) nearest(height, rho float64) (nearness, bool) {
	top := &b.rings[2]
	switch {
	case height <= 0 && rho <= b.rings[0].radius:
		return nearness{-height, -1, 0, true}, height < -touching
	case height >= top.height && rho <= top.radius:
		return nearness{height - top.height, 1, 0, true}, height-top.height > touching
	}
	best := nearness{d: math.Inf(1)}
	inside := true
	for i := range 2 {
		e0, e1 := &b.rings[i], &b.rings[i+1]
		eh, er := e1.height-e0.height, e1.radius-e0.radius
		x, y := height-e0.height, rho-e0.radius
		l := eh*eh + er*er
		if l == 0 {
			continue
		}
		t, off := x*eh+y*er, y*eh-x*er // off the edge, outward
		if off > 0 {
			inside = false
		}
		if t > 0 && t < l {
			k := 1 / math.Sqrt(l)
			if d := off * k; math.Abs(d) < math.Abs(best.d) {
				best = nearness{d, -er * k, eh * k, true}
			}
		}
	}
	if height < 0 || height > top.height {
		inside = false
	}
	if inside {
		return nearness{}, false
	}
	for i := range b.rings {
		x, y := height-b.rings[i].height, rho-b.rings[i].radius
		if d2 := x*x + y*y; d2 < best.d*best.d {
			d := math.Sqrt(d2)
			best = nearness{d: d, up: x / d, out: y / d}
		}
	}
	return best, best.d > touching
}

// rim returns the circle of the body that lies farthest along d and the direction
// from the axis to its farthest point; false where d runs along the axis.
func (b *turned) rim(d space) (ring, space, bool) {
	up := d.dot(b.axis)
	out := d.less(b.axis.times(up)).squareTo(b.axis)
	p := out.length()
	if p < 1e-6 {
		return ring{}, space{}, false
	}
	best := b.rings[0]
	for _, r := range b.rings[1:] {
		if (r.height-best.height)*up+(r.radius-best.radius)*p > 0 {
			best = r
		}
	}
	return best, out.times(1 / p), true
}

// simplex is up to four differences.
type simplex struct {
	p [4]space
	n int
}

func (s *simplex) has(w space) bool {
	for i := range s.n {
		if s.p[i] == w {
			return true
		}
	}
	return false
}

func (s *simplex) add(w space) { s.p[s.n] = w; s.n++ }

// closest returns the point of the simplex closest to the origin, keeps only the
// corners that it needs, and tells whether the origin lies inside.
func (s *simplex) closest() (space, bool) {
	switch s.n {
	case 1:
		return s.p[0], false
	case 2:
		return s.onSegment(s.p[0], s.p[1]), false
	case 3:
		return s.onTriangle(s.p[0], s.p[1], s.p[2]), false
	}
	q := s.p
	var best space
	var kept simplex
	nearest, outside := math.Inf(1), false
	for _, f := range [4][4]int{{0, 1, 2, 3}, {0, 1, 3, 2}, {0, 2, 3, 1}, {1, 2, 3, 0}} {
		a, b, c, d := q[f[0]], q[f[1]], q[f[2]], q[f[3]]
		n := b.less(a).cross(c.less(a))
		in, org := n.dot(d.less(a)), -n.dot(a)
		// A flat tetrahedron has no inside: all its faces count.
		if in*org > 0 && math.Abs(in) > 1e-18*n.length() {
			continue
		}
		outside = true
		var t simplex
		if v := t.onTriangle(a, b, c); v.squaredLength() < nearest {
			nearest, best, kept = v.squaredLength(), v, t
		}
	}
	if !outside {
		return space{}, true
	}
	*s = kept
	return best, false
}

func (s *simplex) onSegment(a, b space) space {
	ab := b.less(a)
	t := -a.dot(ab)
	switch l := ab.squaredLength(); {
	case t <= 0:
		s.n = 1
		s.p[0] = a
		return a
	case t >= l:
		s.n = 1
		s.p[0] = b
		return b
	default:
		s.n = 2
		s.p[0], s.p[1] = a, b
		return mix(a, b, t/l)
	}
}

// onTriangle finds the region of the triangle (corner, side or face) that holds the
// point closest to the origin, as in Ericson, Real-Time Collision Detection
// (2005), section 5.1.5 (from memory).
func (s *simplex) onTriangle(a, b, c space) space {
	ab, ac := b.less(a), c.less(a)
	d1, d2 := -ab.dot(a), -ac.dot(a)
	if d1 <= 0 && d2 <= 0 {
		s.n, s.p[0] = 1, a
		return a
	}
	d3, d4 := -ab.dot(b), -ac.dot(b)
	if d3 >= 0 && d4 <= d3 {
		s.n, s.p[0] = 1, b
		return b
	}
	if vc := d1*d4 - d3*d2; vc <= 0 && d1 >= 0 && d3 <= 0 {
		return s.onSegment(a, b)
	}
	d5, d6 := -ab.dot(c), -ac.dot(c)
	if d6 >= 0 && d5 <= d6 {
		s.n, s.p[0] = 1, c
		return c
	}
	if vb := d5*d2 - d1*d6; vb <= 0 && d2 >= 0 && d6 <= 0 {
		return s.onSegment(a, c)
	}
	if va := d3*d6 - d5*d4; va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return s.onSegment(b, c)
	}
	s.n = 3
	s.p[0], s.p[1], s.p[2] = a, b, c
	// The foot of the origin on the plane: its distance keeps all digits.
	n := ab.cross(ac)
	return n.times(n.dot(a) / n.squaredLength())
}
