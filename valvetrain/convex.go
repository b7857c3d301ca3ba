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
			if t, ok := rimToRim(a, b, n); ok {
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

// rimToRim returns the distance where the closest points lie on a rim of each body,
// by the method of Newton for the two angles about the axes, from the rims
// that a near normal names. It is right where the plane square to the way between the
// two points lies between the bodies; where not, ok is false and nothing is lost.
func rimToRim(a, b *turned, n space) (r apart, ok bool) {
	p, up, ok1 := a.rim(n.times(-1))
	q, vp, ok2 := b.rim(n)
	if !ok1 || !ok2 {
		return apart{}, false
	}
	ca, cb := a.center.plus(a.axis.times(p.height)), b.center.plus(b.axis.times(q.height))
	for range 8 {
		d := ca.plus(up.times(p.radius)).less(cb.plus(vp.times(q.radius)))
		ta, tb := a.axis.cross(up), b.axis.cross(vp)
		ga, gb := p.radius*d.dot(ta), -q.radius*d.dot(tb)
		aa, bb := p.radius*(p.radius-d.dot(up)), q.radius*(q.radius+d.dot(vp))
		ab := -p.radius * q.radius * ta.dot(tb)
		det := aa*bb - ab*ab
		if aa <= 0 || det <= 0 {
			return apart{}, false
		}
		x, y := (ab*gb-bb*ga)/det, (ab*ga-aa*gb)/det
		if math.Abs(x)+math.Abs(y) > 1 {
			return apart{}, false
		}
		up, vp = rotated(up, ta, x), rotated(vp, tb, y)
		if math.Abs(x)+math.Abs(y) < 1e-9 { // the next step would be its square
			break
		}
	}
	d := ca.plus(up.times(p.radius)).less(cb.plus(vp.times(q.radius)))
	r.distance = d.length()
	if !(r.distance > touching) {
		return apart{}, false
	}
	r.normal = d.times(1 / r.distance)
	r.bound = a.farthest(r.normal.times(-1)).less(b.farthest(r.normal)).dot(r.normal)
	return r, r.distance-r.bound <= fineness
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

// rotated turns a unit vector toward another one square to it.
func rotated(u, side space, angle float64) space {
	sin, cos := math.Sincos(angle)
	return u.times(cos).plus(side.times(sin))
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
