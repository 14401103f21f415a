package render

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// named reports whether edge i of an outline, from v to w, is the one of a name in the panel's record.
func named(name string, i int, v, w plane.Point, size plane.Rect) bool {
	return lies(name, v, w, size) || i >= 0 && name == fmt.Sprintf("e%d", i)
}

// lies reports whether an edge of an outline is the one that a panel's record calls y0, y1, x0 or x1: the outermost there.
func lies(name string, v, w plane.Point, size plane.Rect) bool {
	on := func(a, b, at float64) bool { return math.Abs(a-at) < machineTouch && math.Abs(b-at) < machineTouch }
	switch name {
	case "y0":
		return on(v.Y, w.Y, size.Min.Y)
	case "y1":
		return on(v.Y, w.Y, size.Max.Y)
	case "x0":
		return on(v.X, w.X, size.Min.X)
	case "x1":
		return on(v.X, w.X, size.Max.X)
	}
	return false
}

// machineTouch is the distance within which two places are one, m.
const machineTouch = 1e-6

// side is one corner of a board in its panel frame, and the edge that starts there.
type side struct {
	outer, inner plane.Point
	edge         int               // of the board as given; -1: cut in
	step         panels.RabbetStep // along the whole edge in the inner face; Depth 0: none
}

// flatBoard is a board in its panel frame: x, y on the outer face, thickness behind it; openings at its edges are cut out.
type flatBoard struct {
	sides     []side
	rims      [][]side
	thickness float64
	holes     []panels.Hole // that the board goes all round
}

// flatOf gives the board of a panel in its frame, mouths at its edges cut out of it. A part of a list is a rectangle.
func flatOf(p *panels.Panel) flatBoard {
	f := flatBoard{sides: sidesOf(p.Place, p.Outer, p.Inner), thickness: p.Thickness}
	if len(p.Outer) == 0 {
		for _, q := range rectOutline(p.Length, p.Width) {
			f.sides = append(f.sides, side{outer: q, inner: q})
		}
	} else {
		f.thickness = -r3.Dot(r3.Sub(p.Inner[0], p.Place.O), p.Place.N)
	}
	outer := f.outer()
	for i := range f.sides {
		f.sides[i].edge = i
		v, w := outer.Edge(i)
		for _, r := range p.Rabbets {
			if named(p.Edges[r.Edge].Edge, i, v, w, outer.Bounds()) {
				f.sides[i].step = r
			}
		}
	}
	for _, r := range p.Rims {
		f.rims = append(f.rims, sidesOf(p.Place, r.Outer, r.Inner))
	}
	for _, h := range p.Holes {
		if h.Diameter > 0 || h.Depth > 0 || !f.cutEdge(rectOf(h)) {
			f.holes = append(f.holes, h)
		}
	}
	return f
}

// sidesOf are the corners of two faces in a frame.
func sidesOf(frame panels.Frame, outer, inner []r3.Vec) []side {
	var sides []side
	for i := range outer {
		sides = append(sides, side{outer: frame.To(outer[i]), inner: frame.To(inner[i]), edge: -1})
	}
	return sides
}

func rectOf(h panels.Hole) plane.Rect {
	return plane.Rect{
		Min: plane.Point{X: h.X - h.Length/2, Y: h.Y - h.Width/2}, Max: plane.Point{X: h.X + h.Length/2, Y: h.Y + h.Width/2},
	}
}

func (f *flatBoard) outer() plane.Polygon { return outerOf(f.sides) }
func (f *flatBoard) inner() plane.Polygon { return innerOf(f.sides) }

func outerOf(sides []side) plane.Polygon {
	g := make(plane.Polygon, len(sides))
	for i, s := range sides {
		g[i] = s.outer
	}
	return g
}

func innerOf(sides []side) plane.Polygon {
	g := make(plane.Polygon, len(sides))
	for i, s := range sides {
		g[i] = s.inner
	}
	return g
}

// cutEdge takes an upright rectangle that reaches an edge out of the board; false: it reaches none. Of several edges that it
// reaches it is cut in from the one where it goes least deep. The cut is square to the face.
func (f *flatBoard) cutEdge(r plane.Rect) bool {
	least, do := math.Inf(1), func() {}
	for k := range f.sides {
		a, b := f.outer().Edge(k)
		u := b.Sub(a).Unit()
		if math.Abs(u.X) > 1e-9 && math.Abs(u.Y) > 1e-9 {
			continue // mouths are cut at upright edges only
		}
		m := u.Left()
		s0, s1, h0, h1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, q := range r.Polygon() {
			s, h := q.Sub(a).Dot(u), q.Sub(a).Dot(m)
			s0, s1, h0, h1 = math.Min(s0, s), math.Max(s1, s), math.Min(h0, h), math.Max(h1, h)
		}
		inner, long := f.sides[k].inner.Sub(a).Dot(m), b.Sub(a).Norm()
		if h0 > math.Max(0, inner)+machineTouch || h1 <= machineTouch || s1 <= machineTouch || s0 >= long-machineTouch || h1 >= least {
			continue
		}
		least = h1
		do = func() {
			f.notch(k, a.Add(u.Mul(s0)), a.Add(u.Mul(s1)), a.Add(m.Mul(h1)), u, s0 <= machineTouch, s1 >= long-machineTouch)
		}
	}
	do()
	return !math.IsInf(least, 1)
}

// notch cuts edge k back to the line through deep along u, from the place "from" to the place "to" along it; first and last
// tell that the cut takes the edge's first or last corner.
func (f *flatBoard) notch(k int, from, to, deep, u plane.Point, first, last bool) {
	n := len(f.sides)
	floor := plane.LineThrough(deep, deep.Add(u))
	cross := func(q plane.Point) plane.Line { return plane.LineThrough(q, q.Add(u.Left())) }
	meet := func(l, m plane.Line) plane.Point {
		p, _ := l.Meet(m)
		return p
	}
	edges := func(i int) (o, in plane.Line) {
		a, b := f.outer().Edge(i)
		c, d := f.inner().Edge(i)
		return plane.LineThrough(a, b), plane.LineThrough(c, d)
	}
	ko, ki := edges(k)
	both := func(l plane.Line) side { return side{outer: meet(ko, l), inner: meet(ki, l), edge: -1} }
	deepAt := func(l plane.Line) side { p := meet(floor, l); return side{outer: p, inner: p, edge: -1} }
	var in []side
	if first {
		po, pi := edges((k + n - 1) % n)
		in = append(in, side{outer: meet(po, floor), inner: meet(pi, floor), edge: -1})
	} else {
		in = append(in, f.sides[k], both(cross(from)), deepAt(cross(from)))
	}
	next := f.sides[(k+1)%n]
	if last {
		no, ni := edges((k + 1) % n)
		next.outer, next.inner = meet(no, floor), meet(ni, floor)
	} else {
		tail := both(cross(to))
		tail.step, tail.edge = f.sides[k].step, f.sides[k].edge
		in = append(in, deepAt(cross(to)), tail)
	}
	out := append([]side{}, f.sides[:k]...)
	out = append(out, in...)
	rest := append([]side{}, f.sides[k+1:]...)
	if k+1 < n {
		rest[0] = next
	} else {
		out[0] = next
	}
	f.sides = append(out, rest...)
}
