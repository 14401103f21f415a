package panels

import (
	"math"

	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// disc is a round plate without thickness; of radius 0 it is a point.
type disc struct {
	at, n  r3.Vec // n: unit normal; of a point it does not count
	radius float64
}

// furthest is the point of the disc that lies furthest in the direction d (of any length).
func (k disc) furthest(d r3.Vec) r3.Vec {
	if k.radius == 0 {
		return k.at
	}
	along := r3.Dot(d, k.n)
	e := r3.Sub(d, r3.Scale(along, k.n))
	l := r3.Norm2(e)
	if l < 1e-24*(l+along*along) {
		return k.at
	}
	return r3.Add(k.at, r3.Scale(k.radius/math.Sqrt(l), e))
}

// body is a convex thing that stands in the air: the hull of discs and points. A cylinder is the hull of two discs, a cone of
// two unlike ones, a board of its corners.
type body struct {
	kind   bodyKind
	name   string // for people
	number int    // of several of its kind, from 0
	discs  []disc
	air    float64 // to be kept to it by a tube
	tube   *roundTube
	centre r3.Vec // of a ball that holds it
	radius float64
}

// newBody is the convex hull of corners, to which a tube keeps air metres.
func newBody(kind bodyKind, name string, corners []r3.Vec, air float64) body {
	b := body{kind: kind, name: name, air: air, discs: make([]disc, len(corners))}
	for i, p := range corners {
		b.discs[i].at = p
	}
	return b.bounded()
}

// cone is the hull of two discs square to dir: of radius r0 at p, r1 at length l further.
func cone(kind bodyKind, p, dir r3.Vec, l, r0, r1 float64) body {
	return body{kind: kind, discs: []disc{{p, dir, r0}, {r3.Add(p, r3.Scale(l, dir)), dir, r1}}}.bounded()
}

// bounded finds the ball round the body.
func (b body) bounded() body {
	lo := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	hi := r3.Scale(-1, lo)
	for _, k := range b.discs {
		lo = r3.Vec{X: math.Min(lo.X, k.at.X), Y: math.Min(lo.Y, k.at.Y), Z: math.Min(lo.Z, k.at.Z)}
		hi = r3.Vec{X: math.Max(hi.X, k.at.X), Y: math.Max(hi.Y, k.at.Y), Z: math.Max(hi.Z, k.at.Z)}
	}
	b.centre, b.radius = r3.Scale(0.5, r3.Add(lo, hi)), 0
	for _, k := range b.discs {
		b.radius = math.Max(b.radius, r3.Norm(r3.Sub(k.at, b.centre))+k.radius)
	}
	return b
}

// furthest is the point of the body that lies furthest in the direction d.
func (b *body) furthest(d r3.Vec) r3.Vec {
	best, most := r3.Vec{}, math.Inf(-1)
	for i := range b.discs {
		p := b.discs[i].at
		if b.discs[i].radius > 0 {
			p = b.discs[i].furthest(d)
		}
		if m := p.X*d.X + p.Y*d.Y + p.Z*d.Z; m > most {
			best, most = p, m
		}
	}
	return best
}

// span is the stretch of the body along a unit vector.
func (b *body) span(dir r3.Vec) (lo, hi float64) {
	return r3.Dot(b.furthest(r3.Scale(-1, dir)), dir), r3.Dot(b.furthest(dir), dir)
}

// meets reports whether two bodies are nearer to each other than air, m. Touching does not count.
func (b *body) meets(o *body, air float64) bool {
	if far := b.radius + o.radius + air; r3.Norm2(r3.Sub(b.centre, o.centre)) >= far*far {
		return false
	}
	if air <= 0 {
		return gap(b, o, touching) == 0
	}
	return gap(b, o, air) < air
}

// shrunk is the share by which a body is drawn in before two are said to run into each other: bodies that touch do not.
const shrunk = 1e-6

// touching is the distance below which two bodies run into each other, m.
const touching = 1e-9

// gap is the distance between two bodies, 0 where they run into each other by more than touching. Once it is known to be
// at least enough, any value of at least that comes back. (The distance of the origin to the Minkowski difference: Gilbert,
// Johnson and Keerthi, "A fast procedure for computing the distance between complex objects in three-dimensional space",
// IEEE J. Robotics and Automation 4 (1988), from memory.)
func gap(a, b *body, enough float64) float64 {
	d := 0.0
	for _, from := range [...]r3.Vec{r3.Sub(a.centre, b.centre), {X: 1}, {Y: 1}, {Z: 1}} {
		if r3.Norm2(from) == 0 {
			continue
		}
		var sure bool
		if d, sure = gapFrom(from, a, b, enough); sure {
			break
		}
	}
	return d
}

// unsure is the share by which a distance may exceed what is proved of it. Where flat simplexes lead astray it is more, and it is
// begun again from another side.
const unsure = 1e-4

// gapFrom is gap, begun in a direction.
func gapFrom(v r3.Vec, a, b *body, enough float64) (d float64, sure bool) {
	far := func(d r3.Vec) r3.Vec {
		p := a.furthest(r3.Scale(-1, d))
		p = r3.Add(p, r3.Scale(shrunk, r3.Sub(a.centre, p)))
		return r3.Sub(p, b.furthest(d))
	}
	var s simplex
	s.at[0], s.n = far(v), 1
	v = s.at[0]
	for range 64 {
		vv := r3.Norm2(v)
		if vv < touching*touching {
			return 0, true
		}
		w := far(v)
		vw := r3.Dot(v, w)
		if vw > 0 && vw*vw >= enough*enough*vv && enough > 0 {
			return math.Sqrt(vv), true // no nearer than vw/|v|
		}
		if vv-vw <= 1e-9*vv || s.holds(w) {
			return math.Sqrt(vv), vv-vw <= unsure*vv
		}
		s.at[s.n] = w
		s.n++
		next, inside := s.nearest()
		if inside {
			return 0, true
		}
		if r3.Norm2(next) >= vv { // as near as arithmetic comes
			return math.Sqrt(vv), vv-vw <= unsure*vv
		}
		v = next
	}
	return r3.Norm(v), false
}

// flatHull is the sine below which a hull of four points is taken for flat: it holds nothing, not even by rounding.
const flatHull = 1e-7

// simplex is up to four points whose hull is looked at from the origin.
type simplex struct {
	at [4]r3.Vec
	n  int
}

func (s *simplex) holds(p r3.Vec) bool {
	for _, q := range s.at[:s.n] {
		if q == p {
			return true
		}
	}
	return false
}

// nearest gives the point of the hull nearest to the origin and drops the points that it does not rest on; inside reports that
// the origin is in a hull of four.
func (s *simplex) nearest() (p r3.Vec, inside bool) {
	switch s.n {
	case 2:
		return s.onSegment(0, 1), false
	case 3:
		return s.onTriangle(0, 1, 2), false
	}
	best, kept := r3.Vec{}, simplex{}
	least, any := math.Inf(1), false
	for _, f := range [...][4]int{{0, 1, 2, 3}, {0, 1, 3, 2}, {0, 2, 3, 1}, {1, 2, 3, 0}} {
		a, b, c, d := s.at[f[0]], s.at[f[1]], s.at[f[2]], s.at[f[3]]
		n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
		up := r3.Sub(d, a)
		if h := r3.Dot(n, up); r3.Dot(n, a)*h < 0 && h*h > flatHull*flatHull*r3.Norm2(n)*r3.Norm2(up) {
			continue // the origin is on the side of the fourth point, and there is such a side
		}
		any = true
		t := *s
		if q := t.onTriangle(f[0], f[1], f[2]); r3.Norm2(q) < least {
			best, kept, least = q, t, r3.Norm2(q)
		}
	}
	if !any {
		return r3.Vec{}, true
	}
	*s = kept
	return best, false
}

// keep drops all points but the given.
func (s *simplex) keep(which ...int) {
	old := s.at
	for i, k := range which {
		s.at[i] = old[k]
	}
	s.n = len(which)
}

func (s *simplex) onSegment(i, j int) r3.Vec {
	a, b := s.at[i], s.at[j]
	u := r3.Sub(b, a)
	t := -r3.Dot(a, u)
	switch uu := r3.Norm2(u); {
	case t <= 0:
		s.keep(i)
		return a
	case t >= uu:
		s.keep(j)
		return b
	default:
		s.keep(i, j)
		return r3.Add(a, r3.Scale(t/uu, u))
	}
}

// onTriangle is the point of a triangle nearest to the origin (Ericson, "Real-Time Collision Detection", 2005, from memory).
func (s *simplex) onTriangle(i, j, k int) r3.Vec {
	a, b, c := s.at[i], s.at[j], s.at[k]
	ab, ac := r3.Sub(b, a), r3.Sub(c, a)
	d1, d2 := -r3.Dot(ab, a), -r3.Dot(ac, a)
	if d1 <= 0 && d2 <= 0 {
		s.keep(i)
		return a
	}
	d3, d4 := -r3.Dot(ab, b), -r3.Dot(ac, b)
	if d3 >= 0 && d4 <= d3 {
		s.keep(j)
		return b
	}
	d5, d6 := -r3.Dot(ab, c), -r3.Dot(ac, c)
	if d6 >= 0 && d5 <= d6 {
		s.keep(k)
		return c
	}
	va, vb, vc := d3*d6-d5*d4, d5*d2-d1*d6, d1*d4-d3*d2
	switch {
	case vc <= 0 && d1 >= 0 && d3 <= 0:
		return s.onSegment(i, j)
	case vb <= 0 && d2 >= 0 && d6 <= 0:
		return s.onSegment(i, k)
	case va <= 0 && d4-d3 >= 0 && d5-d6 >= 0:
		return s.onSegment(j, k)
	}
	s.keep(i, j, k)
	n := va + vb + vc
	return r3.Add(a, r3.Add(r3.Scale(vb/n, ab), r3.Scale(vc/n, ac)))
}

// within is the air left between a body and the walls of the box, but face skip (-1: all): the least, and at which face. It is
// negative or 0 where the body stands in one, and may be anything over enough once that much is known. The body is taken to
// begin inside.
func (sh *shell) within(b *body, skip int, enough float64) (room float64, face int) {
	room, face = math.Inf(1), -1
	for i := range sh.air.Faces {
		f := &sh.air.Faces[i]
		if i == skip || f.Depth(b.centre)-b.radius > math.Min(room, enough) {
			continue
		}
		d := f.Depth(b.furthest(f.N))
		if d < enough && len(sh.rimOf(i)) > 0 {
			d = sh.toFace(i, b, math.Min(room, enough))
		}
		if d < room {
			room, face = d, i
		}
	}
	return room, face
}

// rimOf are the edges of face i as bodies, worked out once; none where all the air lies behind its plane.
func (sh *shell) rimOf(i int) []body {
	if sh.rims == nil {
		sh.rims = make([][]body, len(sh.air.Faces))
	}
	f := &sh.air.Faces[i]
	if sh.rims[i] == nil {
		sh.rims[i] = []body{}
		if f.D >= sh.reaching(f.N)[1]-solid.Near {
			return sh.rims[i]
		}
		for _, loop := range f.Loops {
			for k, p := range loop.At {
				sh.rims[i] = append(sh.rims[i], newBody(braceBody, "", []r3.Vec{p, loop.At[(k+1)%len(loop.At)]}, 0))
			}
		}
	}
	return sh.rims[i]
}

// toFace is the distance from a body to a face, 0 where the face goes through it. It is that to its rim, unless what of the body is
// nearest to its plane, or lies in it, is over the face.
func (sh *shell) toFace(i int, b *body, enough float64) float64 {
	f, least := &sh.air.Faces[i], math.Inf(1)
	p, q := b.furthest(f.N), b.furthest(r3.Scale(-1, f.N))
	dp, dq := f.Depth(p), f.Depth(q)
	switch {
	case dp < 0 && dq > 0:
		p, dp = r3.Add(p, r3.Scale(dp/(dp-dq), r3.Sub(q, p))), 0
	case dq <= 0:
		p, dp = q, -dq
	}
	if sh.air.OnFace(i, p) {
		least = dp
	}
	rim := sh.rimOf(i)
	for k := range rim {
		if e := &rim[k]; r3.Norm(r3.Sub(e.centre, b.centre))-e.radius-b.radius <= math.Min(least, enough) {
			least = math.Min(least, gap(b, e, math.Min(least, enough)))
		}
	}
	return least
}

// ahead is how far a disc of radius r, square to its way dir and centred at p, can go before it meets a wall, and which face;
// +Inf, -1 where none is. Walls are exact over the whole disc.
func (sh *shell) ahead(p, dir r3.Vec, r float64) (t float64, face int) {
	t, face = math.Inf(1), -1
	u, v := solid.Axes(dir)
	for i := range sh.air.Faces {
		f := &sh.air.Faces[i]
		if r3.Dot(f.N, dir) < 1e-9 {
			continue
		}
		if d := overDisc(f, p, dir, u, v, r); d < t {
			t, face = d, i
		}
	}
	return t, face
}

// overDisc is the least way to a face from a disc, +Inf where the face does not lie over it.
func overDisc(f *solid.Face, p, dir, u, v r3.Vec, r float64) float64 {
	along := r3.Dot(f.N, dir)
	depth := f.Depth(p)
	nu, nv := r3.Dot(f.N, u), r3.Dot(f.N, v)
	at := func(x, y float64) float64 { return (depth - x*nu - y*nv) / along }
	best := math.Inf(1)
	take := func(x, y float64) {
		if d := at(x, y); d > -solid.Near && d < best {
			best = d
		}
	}
	// the point of the rim that the face is nearest to, where it is on the face
	px, py := 0.0, 0.0
	if n := math.Hypot(nu, nv); n > 1e-12 {
		px, py = r*nu/n, r*nv/n
	}
	in := false
	for _, loop := range f.Loops {
		n := len(loop.At)
		for k, a := range loop.At {
			da, db := r3.Sub(a, p), r3.Sub(loop.At[(k+1)%n], p)
			ax, ay, bx, by := r3.Dot(da, u), r3.Dot(da, v), r3.Dot(db, u), r3.Dot(db, v)
			if (ay > py) != (by > py) && px < ax+(py-ay)/(by-ay)*(bx-ax) {
				in = !in
			}
			// the part of the edge over the disc: its ends, since the way is linear between them
			ex, ey := bx-ax, by-ay
			qa, qb, qc := ex*ex+ey*ey, ax*ex+ay*ey, ax*ax+ay*ay-r*r*(1-1e-9)
			disc := qb*qb - qa*qc
			if qa == 0 || disc <= 0 {
				continue
			}
			root := math.Sqrt(disc)
			t0, t1 := math.Max((-qb-root)/qa, 0), math.Min((-qb+root)/qa, 1)
			if t0 < t1 {
				take(ax+t0*ex, ay+t0*ey)
				take(ax+t1*ex, ay+t1*ey)
			}
		}
	}
	if in {
		take(px, py)
	}
	return best
}
