package solid

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Volume is the volume in m3, by the divergence theorem: a third of the sum over faces of area times distance.
func (s *Solid) Volume() float64 {
	o := s.Faces[0].Loops[0].At[0] // near the body, so that little cancels
	sum := 0.0
	for i := range s.Faces {
		sum += s.Area(i) * s.Faces[i].Depth(o)
	}
	return sum / 3
}

// Area is the area of face i in m2, holes taken off.
func (s *Solid) Area(i int) float64 {
	sum := 0.0
	for _, loop := range s.Faces[i].Loops {
		sum += LoopArea(loop.At, s.Faces[i].N)
	}
	return sum
}

// Centroid is the centre of the volume.
func (s *Solid) Centroid() r3.Vec {
	o := s.Faces[0].Loops[0].At[0]
	var sum r3.Vec
	total := 0.0
	for i := range s.Faces {
		for _, loop := range s.Faces[i].Loops {
			for k := 1; k+1 < len(loop.At); k++ {
				a, b, c := r3.Sub(loop.At[0], o), r3.Sub(loop.At[k], o), r3.Sub(loop.At[k+1], o)
				v := r3.Dot(a, r3.Cross(b, c)) / 6
				total += v
				sum = r3.Add(sum, r3.Scale(v/4, r3.Add(a, r3.Add(b, c))))
			}
		}
	}
	return r3.Add(o, r3.Scale(1/total, sum))
}

// Bounds is the least block, square to the axes, that holds the body.
func (s *Solid) Bounds() (lo, hi r3.Vec) {
	lo = r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	hi = r3.Scale(-1, lo)
	for i := range s.Faces {
		for _, p := range s.Faces[i].Loops[0].At {
			lo = r3.Vec{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y), Z: math.Min(lo.Z, p.Z)}
			hi = r3.Vec{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y), Z: math.Max(hi.Z, p.Z)}
		}
	}
	return lo, hi
}

// Hull gives the corners that the convex hull can have: those where every edge is convex.
func (s *Solid) Hull() []r3.Vec {
	var out []r3.Vec
	for _, c := range s.Corners() {
		if c.Convex {
			out = append(out, c.At)
		}
	}
	return out
}

// Contains reports whether p is in the body; within Near of the surface the answer may be either.
func (s *Solid) Contains(p r3.Vec) bool {
	dir := r3.Vec{X: 0.5403, Y: 0.3216, Z: 0.7778} // slanted to every likely face
	in := false
	for i := range s.Faces {
		f := &s.Faces[i]
		along := r3.Dot(f.N, dir)
		if math.Abs(along) < 1e-12 {
			continue
		}
		if t := f.Depth(p) / along; t > 0 && s.OnFace(i, r3.Add(p, r3.Scale(t, dir))) {
			in = !in
		}
	}
	return in
}

// OnFace reports whether a place of the face's plane lies on face i.
func (s *Solid) OnFace(i int, p r3.Vec) bool { return Holds(s.Faces[i].Loops, s.Faces[i].N, p) }

// Holds reports whether p, seen along n, lies within outlines and outside their holes.
func Holds(loops []Loop, n, p r3.Vec) bool {
	u, v := Axes(n)
	x, y := r3.Dot(p, u), r3.Dot(p, v)
	in := false
	for _, loop := range loops {
		for k, a := range loop.At {
			b := loop.At[(k+1)%len(loop.At)]
			ax, ay, bx, by := r3.Dot(a, u), r3.Dot(a, v), r3.Dot(b, u), r3.Dot(b, v)
			if (ay > y) != (by > y) && x < ax+(y-ay)/(by-ay)*(bx-ax) {
				in = !in
			}
		}
	}
	return in
}

// Section is an outline in which a plane cuts a body. Edge k runs from At[k] to At[k+1] on face On[k].
type Section struct {
	At []r3.Vec
	On []int
}

// Slice gives the outlines in which the plane cuts the body, counter-clockwise about the plane's normal, holes clockwise;
// none where it passes by. A corner in the plane counts as in front of it.
func (s *Solid) Slice(p Plane) ([]Section, error) {
	var pieces []span
	for i := range s.Faces {
		pieces = append(pieces, s.spans(i, p)...)
	}
	var out []Section
	used := make([]bool, len(pieces))
	for first := range pieces {
		if used[first] {
			continue
		}
		var loop Section
		for k := first; ; {
			used[k] = true
			loop.At, loop.On = append(loop.At, pieces[k].from), append(loop.On, pieces[k].on)
			end := pieces[k].to
			if same(end, pieces[first].from) {
				break
			}
			for k = 0; k < len(pieces) && (used[k] || !same(pieces[k].from, end)); k++ {
			}
			if k == len(pieces) {
				return nil, ErrNotClosed
			}
		}
		if loop = loop.tidy(); len(loop.At) >= 3 {
			out = append(out, loop)
		}
	}
	return out, nil
}

// span is the piece of a slice that lies on one face.
type span struct {
	from, to r3.Vec
	on       int
}

// spans gives the pieces of the plane on face i. Walked so that the body lies on the left about the plane's normal: on a face
// that is the direction normal x face normal.
func (s *Solid) spans(i int, p Plane) (out []span) {
	f := &s.Faces[i]
	dir := r3.Cross(p.N, f.N)
	var cuts []r3.Vec
	for _, loop := range f.Loops {
		for k, a := range loop.At {
			b := loop.At[(k+1)%len(loop.At)]
			if da, db := p.Depth(a), p.Depth(b); (da > 0) != (db > 0) {
				cuts = append(cuts, r3.Add(a, r3.Scale(da/(da-db), r3.Sub(b, a))))
			}
		}
	}
	slices.SortFunc(cuts, func(a, b r3.Vec) int { return cmp.Compare(r3.Dot(a, dir), r3.Dot(b, dir)) })
	for k := 0; k+1 < len(cuts); k += 2 {
		out = append(out, span{cuts[k], cuts[k+1], i})
	}
	return out
}

// Clip keeps the part of the outline behind the plane; edges along the plane lie on the face called on.
func (c Section) Clip(p Plane, on int) Section {
	var out Section
	n := len(c.At)
	for k, a := range c.At {
		b := c.At[(k+1)%n]
		da, db := p.Depth(a), p.Depth(b)
		if da > Near {
			out.At, out.On = append(out.At, a), append(out.On, c.On[k])
		}
		if (da > Near) == (db > Near) {
			continue
		}
		face := on
		if db > Near {
			face = c.On[k]
		}
		out.At, out.On = append(out.At, r3.Add(a, r3.Scale(da/(da-db), r3.Sub(b, a)))), append(out.On, face)
	}
	return out.tidy()
}

// tidy drops edges without length.
func (c Section) tidy() Section {
	var out Section
	n := len(c.At)
	for k, p := range c.At {
		if !same(p, c.At[(k+1)%n]) {
			out.At, out.On = append(out.At, p), append(out.On, c.On[k])
		}
	}
	return out
}
