package render

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// board is one piece of wood for the files that machines read: the corners of its two faces in the space, metres, in the
// same order and counter-clockwise as seen from outside, before openings and steps.
type board struct {
	Outer, Inner []r3.Vec
	Rims         []boardRim // inner outlines, where something goes through the middle of the board
	Place        panels.Frame
	Holes        []panels.Hole
	Rabbets      []boardRabbet
}

// boardRim is an inner outline: its corners on the two faces, in the same order, clockwise as seen from outside.
type boardRim struct{ Outer, Inner []r3.Vec }

// boardRabbet is a step along a whole edge, edge i running from corner i to the next; width and depth in metres.
type boardRabbet struct {
	Edge         int
	Width, Depth float64
	From         string // "inner" or "outer": the face that it is cut from
}

// boardOf gives the board of a panel at one of its places.
func boardOf(p *panels.Panel, f panels.Frame) board {
	if len(p.Outer) == 0 { // a part of a list: a rectangle that stands nowhere
		f = panels.Frame{X: [3]float64{1}, Y: [3]float64{0, 1}}
		b := board{Place: f, Holes: p.Holes}
		for _, q := range rectOutline(p.Length, p.Width) {
			b.Outer = append(b.Outer, r3.Vec{X: q.X, Y: q.Y})
			b.Inner = append(b.Inner, r3.Vec{X: q.X, Y: q.Y, Z: -p.Thickness})
		}
		return b
	}
	b := board{Outer: moveBetween(p.Outer, p.Place, f), Inner: moveBetween(p.Inner, p.Place, f), Place: f, Holes: p.Holes}
	for _, r := range p.Rims {
		b.Rims = append(b.Rims, boardRim{moveBetween(r.Outer, p.Place, f), moveBetween(r.Inner, p.Place, f)})
	}
	if len(p.Rabbets) == 0 {
		return b
	}
	whole := b
	whole.Holes = nil
	flat := whole.flat()
	outer := flat.outer()
	for _, r := range p.Rabbets {
		for i := range outer {
			if v, w := outer.Edge(i); named(p.Edges[r.Edge].Edge, i, v, w, outer.Bounds()) {
				b.Rabbets = append(b.Rabbets, boardRabbet{i, r.Width, r.Depth, "inner"})
			}
		}
	}
	return b
}

func r3vec(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

// moveBetween takes corners from one place of a panel to another.
func moveBetween(at []r3.Vec, from, to panels.Frame) []r3.Vec {
	out := make([]r3.Vec, len(at))
	for i, v := range at {
		d := r3.Sub(v, r3vec(from.Origin))
		out[i] = r3vec(to.At(r3.Dot(d, r3vec(from.X)), r3.Dot(d, r3vec(from.Y)), r3.Dot(d, r3vec(from.Out()))))
	}
	return out
}

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
	edge         int         // of the board as given; -1: cut in
	step         boardRabbet // Depth 0: none
}

// flatBoard is a board in its panel frame: x, y on the outer face, thickness behind it; openings at its edges are cut out.
type flatBoard struct {
	sides     []side
	rims      [][]side
	thickness float64
	holes     []panels.Hole // that the board goes all round
}

// flat turns a board into its panel frame and cuts mouths at its edges out of it.
func (b board) flat() flatBoard {
	f := flatBoard{}
	origin, x, y, out := r3vec(b.Place.Origin), r3vec(b.Place.X), r3vec(b.Place.Y), r3vec(b.Place.Out())
	at := func(v r3.Vec) plane.Point {
		d := r3.Sub(v, origin)
		return plane.Point{X: r3.Dot(d, x), Y: r3.Dot(d, y)}
	}
	for i := range b.Outer {
		f.sides = append(f.sides, side{outer: at(b.Outer[i]), inner: at(b.Inner[i]), edge: i})
	}
	for _, r := range b.Rims {
		var rim []side
		for i := range r.Outer {
			rim = append(rim, side{outer: at(r.Outer[i]), inner: at(r.Inner[i]), edge: -1})
		}
		f.rims = append(f.rims, rim)
	}
	if len(b.Inner) > 0 {
		f.thickness = -r3.Dot(r3.Sub(b.Inner[0], origin), out)
	}
	for _, r := range b.Rabbets {
		if r.Edge >= 0 && r.Edge < len(f.sides) && r.Depth > 0 && r.Width > 0 {
			f.sides[r.Edge].step = r
		}
	}
	for _, h := range b.Holes {
		if h.Diameter == 0 && h.Depth == 0 && f.cutEdge(rectOf(h)) {
			continue
		}
		f.holes = append(f.holes, h)
	}
	return f
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
