package render

import (
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
	if f.X == [3]float64{} { // a part of a list stands nowhere
		f = panels.Frame{X: [3]float64{1}, Y: [3]float64{0, 1}}
	}
	b := board{Place: f, Holes: p.Holes}
	var outer, inner plane.Polygon
	switch {
	case len(p.Section) > 0:
		outer, inner = b.fromSection(p)
	default:
		outer, inner = b.fromOutline(p)
	}
	for i := range outer {
		b.Outer = append(b.Outer, r3vec(f.At(outer[i].X, outer[i].Y, 0)))
		b.Inner = append(b.Inner, r3vec(f.At(inner[i].X, inner[i].Y, -p.Thickness)))
	}
	return b
}

func r3vec(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

// fromSection reads a wall of the wrap: four corners O0 O1 N1 N0, with two more before N1 or after N0 where it has a step.
func (b *board) fromSection(p *panels.Panel) (outer, inner plane.Polygon) {
	n := len(p.Section)
	at := func(i int) plane.Point { // y and depth behind the outer face
		c := p.Section[(i+n)%n]
		d := r3.Sub(r3.Vec{X: b.Place.Origin[0], Y: c.X, Z: c.Y}, r3vec(b.Place.Origin))
		return plane.Point{X: r3.Dot(d, r3vec(b.Place.Y)), Y: -r3.Dot(d, r3vec(b.Place.Out()))}
	}
	// end gives the inner corner of one end before its step: o the outer corner, the next ones given by their numbers.
	end := func(o, next, after plane.Point, edge int) float64 {
		if next.Y > p.Thickness-machineTouch {
			return next.X
		}
		b.Rabbets = append(b.Rabbets, boardRabbet{edge, math.Abs(after.X - next.X), p.Thickness - next.Y, "inner"})
		return o.X + (next.X-o.X)*p.Thickness/next.Y
	}
	o0, o1 := at(0), at(1)
	n1 := end(o1, at(2), at(3), 0)
	n0 := end(o0, at(-1), at(-2), 2)
	l := p.Length
	outer = plane.Polygon{{X: 0, Y: o1.X}, {X: l, Y: o1.X}, {X: l, Y: o0.X}, {X: 0, Y: o0.X}}
	inner = plane.Polygon{{X: 0, Y: n1}, {X: l, Y: n1}, {X: l, Y: n0}, {X: 0, Y: n0}}
	return outer, inner
}

// fromOutline reads a panel by the outline of its outer face; bevelled edges move on the inner face.
func (b *board) fromOutline(p *panels.Panel) (outer, inner plane.Polygon) {
	outer = p.Outline
	if len(outer) == 0 {
		outer = rectOutline(p.Length, p.Width)
	}
	n := len(outer)
	turned := outer.Area() < 0
	outer = outer.CCW()
	if r := p.Rabbet; r != nil {
		for i, w := range r.Widths {
			if turned {
				i = (2*n - 2 - i) % n
			}
			b.Rabbets = append(b.Rabbets, boardRabbet{i, w, r.Depth, "inner"})
		}
	}
	in := make([]float64, n)
	bevelled := false
	size := outer.Bounds()
	for _, e := range p.Edges {
		if e.Tilt == 0 {
			continue
		}
		for i := range outer {
			if v, w := outer.Edge(i); lies(e.Edge, v, w, size) {
				in[i], bevelled = p.Thickness*math.Tan(e.Tilt), true
			}
		}
	}
	if !bevelled {
		return outer, outer
	}
	inner = make(plane.Polygon, n)
	line := func(i int) plane.Line {
		v, w := outer.Edge(i)
		return plane.LineThrough(v, w).Offset(in[i])
	}
	for i := range inner {
		q, ok := line((i + n - 1) % n).Meet(line(i))
		if !ok {
			q = outer[i]
		}
		inner[i] = q
	}
	return outer, inner
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
