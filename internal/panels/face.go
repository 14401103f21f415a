package panels

import (
	"math"

	"cubby/internal/plane"
)

// face is one panel seen as a place to put something on, in its own panel frame with the depth d measured from the outer
// face into the box.
type face struct {
	name      string
	wall, end int // one of them -1
	t         float64
	place     Frame
	free      plane.Rect    // common to outer and inner face, so clear of joints; for an end its bounds
	inner     plane.Rect    // the inner face
	shape     plane.Polygon // ends: the inside section in the panel frame; nil for walls
	inside    plane.Polygon // walls: the inside section as (y, d)
	shift     float64       // of the drivers from the middle of a wall, along y
}

// faceOf gives the face of a wall (end < 0) or of an end.
func (m *maker) faceOf(wall, end int) *face {
	if end >= 0 {
		return m.endFace(end)
	}
	w, u := m.wrap.walls[wall], m.wrap.u[wall]
	f := &face{name: m.wrap.names[wall], wall: wall, end: -1, t: m.wrap.t[wall], place: m.wallPlace(wall)}
	normal := u.Left()
	f.inside = make(plane.Polygon, len(m.wrap.inside))
	for i, p := range m.wrap.inside {
		f.inside[i] = plane.Point{X: w.o1.Sub(p).Dot(u), Y: p.Sub(w.o1).Dot(normal)}
	}
	lo, hi := f.inside[(wall+1)%len(f.inside)].X, f.inside[wall].X
	left, _ := m.wallSpan(wall)
	x0, x1 := m.inLeft-left, m.inRight-left
	f.inner = plane.Rect{Min: plane.Point{X: x0, Y: lo}, Max: plane.Point{X: x1, Y: hi}}
	f.free = plane.Rect{Min: plane.Point{X: x0, Y: math.Max(lo, 0)}, Max: plane.Point{X: x1, Y: math.Min(hi, w.outer)}}
	return f
}

// endFace gives the left (0) or right (1) end.
func (m *maker) endFace(end int) *face {
	f := &face{name: leftEnd, wall: -1, end: end, t: m.endT[end], place: m.endPlace(end)}
	if end == 1 {
		f.name = rightEnd
	}
	f.shape = m.toEnd(m.wrap.inside, end)
	f.free = f.shape.Bounds()
	f.inner = f.free
	return f
}

// endOutline is the section that the outline of the ends follows.
func (m *maker) endOutline() plane.Polygon {
	if m.Wood.Ends == EndsInside {
		return m.wrap.inside
	}
	if m.loose < 0 {
		return m.Section
	}
	g := append(plane.Polygon(nil), m.Section...) // the ends stop behind a removable wall, whose corners are square
	n, r := len(g), m.loose
	g[r], _ = m.wrap.inn[r].Meet(m.wrap.out[(r+n-1)%n])
	g[(r+1)%n], _ = m.wrap.inn[r].Meet(m.wrap.out[(r+1)%n])
	return g
}

// toEnd turns a polygon of the section plane into the panel frame of an end, counter-clockwise.
func (m *maker) toEnd(g plane.Polygon, end int) plane.Polygon {
	box := m.endOutline().Bounds()
	out := make(plane.Polygon, len(g))
	for i, p := range g {
		if end == 1 {
			out[i] = p.Sub(box.Min)
		} else {
			out[len(g)-1-i] = plane.Point{X: box.Max.X - p.X, Y: p.Y - box.Min.Y}
		}
	}
	return out
}

func (m *maker) endPlace(end int) Frame {
	box := m.endOutline().Bounds()
	if end == 1 {
		return Frame{Origin: [3]float64{m.Left + m.Width, box.Min.X, box.Min.Y}, X: [3]float64{0, 1, 0}, Y: [3]float64{0, 0, 1}}
	}
	return Frame{Origin: [3]float64{m.Left, box.Max.X, box.Min.Y}, X: [3]float64{0, -1, 0}, Y: [3]float64{0, 0, 1}}
}

func (m *maker) wallPlace(i int) Frame {
	o, u := m.wrap.walls[i].o1, m.wrap.u[i]
	left, _ := m.wallSpan(i)
	return Frame{Origin: [3]float64{left, o.X, o.Y}, X: [3]float64{1, 0, 0}, Y: [3]float64{0, -u.X, -u.Y}}
}

// wallSpan is where wall i begins and ends, across: a removable one covers the edges of the ends too.
func (m *maker) wallSpan(i int) (left, right float64) {
	if i == m.loose {
		return m.Left, m.Left + m.Width
	}
	return m.wallLeft, m.wallRight
}

// section gives the section-plane point of a place on the face, d deep.
func (f *face) section(x, y, d float64) plane.Point {
	p := f.place.At(x, y, -d)
	return plane.Point{X: p[1], Y: p[2]}
}

// across gives the across coordinate of a place on the face, d deep.
func (f *face) across(x, y, d float64) float64 { return f.place.At(x, y, -d)[0] }

// room is the distance from (x, y) to the nearest joint, negative outside the free part of the face.
func (f *face) room(x, y float64) float64 {
	if f.shape != nil {
		p := plane.Point{X: x, Y: y}
		if !f.shape.Contains(p) {
			return -f.shape.Distance(p)
		}
		return f.shape.Distance(p)
	}
	r := f.free
	return math.Min(math.Min(x-r.Min.X, r.Max.X-x), math.Min(y-r.Min.Y, r.Max.Y-y))
}

// solid is something that stands in the air: a convex part of the section plane over a stretch of the width. A round thing
// along the width is taken as the octagon around it, one square to it as what it shows from the side: both err to the safe side.
type solid struct {
	name   string
	x0, x1 float64 // across
	area   plane.Polygon
	air    float64 // to be kept round it by a tube
}

// block gives the solid that a square of half side r about (x, y) sweeps from depth d0 to d1.
func (f *face) block(name string, x, y, r, d0, d1 float64) solid {
	if f.end >= 0 {
		a, b := f.across(x, y, d0), f.across(x, y, d1)
		return solid{name: name, x0: math.Min(a, b), x1: math.Max(a, b), area: octagon(f.section(x, y, 0), r), air: tubeSide}
	}
	a := f.across(x, y, 0)
	area := plane.Polygon{f.section(x, y-r, d0), f.section(x, y+r, d0), f.section(x, y+r, d1), f.section(x, y-r, d1)}
	return solid{name: name, x0: a - r, x1: a + r, area: area.CCW(), air: tubeSide}
}

// beside is the air that a body wants from a tube beside it.
func (b solid) beside(isTube bool) float64 {
	if isTube {
		return b.air
	}
	return 0
}

// octagon is the regular octagon round a circle of radius r.
func octagon(c plane.Point, r float64) plane.Polygon {
	g := make(plane.Polygon, 8)
	out := r / math.Cos(math.Pi/8)
	for i := range g {
		a := (float64(i) + 0.5) * math.Pi / 4
		g[i] = plane.Point{X: c.X + out*math.Cos(a), Y: c.Y + out*math.Sin(a)}
	}
	return g
}

// reach is how far a round thing of radius r, centred at (x, y), can go straight into the box before it meets a wall or a
// body: the depth from the outer face, and what it meets. Walls are exact, over the whole diameter. A tube also keeps the
// air beside it that bodies want.
func (m *maker) reach(f *face, x, y, r float64, isTube bool) (depth float64, what string) {
	depth = math.Inf(1)
	if f.end >= 0 {
		depth, what = f.t+m.inRight-m.inLeft, rightEnd
		if f.end == 1 {
			what = leftEnd
		}
		return m.reachBodiesAcross(f, x, y, r, isTube, depth, what)
	}
	n := len(f.inside)
	for j := range f.inside {
		if j == f.wall {
			continue
		}
		if d := nearestInStrip(f.inside[j], f.inside[(j+1)%n], y-r, y+r, f.t); d < depth {
			depth, what = d, m.wrap.names[j]
		}
	}
	a := f.across(x, y, 0)
	for _, b := range m.bodies {
		r := r + b.beside(isTube)
		if b.x1 <= a-r || b.x0 >= a+r {
			continue
		}
		if d := f.depthOf(b.area, y-r, y+r); d < depth {
			depth, what = d, b.name
		}
	}
	return depth, what
}

func (m *maker) reachBodiesAcross(f *face, x, y, r float64, isTube bool, depth float64, what string) (float64, string) {
	c := f.section(x, y, 0)
	for _, b := range m.bodies {
		if !b.area.Contains(c) && b.area.Distance(c) >= r+b.beside(isTube) {
			continue
		}
		near := b.x0 - m.Left
		if f.end == 1 {
			near = m.Left + m.Width - b.x1
		}
		if near >= f.t-rounding && near < depth {
			depth, what = near, b.name
		}
	}
	return depth, what
}

// depthOf is the least depth of a convex area within the strip from y0 to y1 of a wall, +Inf when it is not there or
// stands on the wall itself.
func (f *face) depthOf(area plane.Polygon, y0, y1 float64) float64 {
	depth := math.Inf(1)
	g := f.local(area)
	for i := range g {
		depth = math.Min(depth, nearestInStrip(g[i], g[(i+1)%len(g)], y0, y1, f.t))
	}
	return depth
}

// nearestInStrip is the least depth (Y) of the part of the segment pq whose X lies strictly between y0 and y1 and whose
// depth is at least t; +Inf when there is none.
func nearestInStrip(p, q plane.Point, y0, y1, t float64) float64 {
	if p.X > q.X {
		p, q = q, p
	}
	if q.X <= y0 || p.X >= y1 {
		return math.Inf(1)
	}
	at := func(x float64) float64 {
		if q.X == p.X {
			return math.Min(p.Y, q.Y)
		}
		return p.Y + (q.Y-p.Y)*(x-p.X)/(q.X-p.X)
	}
	d := math.Min(at(math.Max(p.X, y0)), at(math.Min(q.X, y1)))
	if q.X == p.X {
		d = math.Min(p.Y, q.Y)
	}
	if d < t-rounding {
		if d = math.Max(at(math.Max(p.X, y0)), at(math.Min(q.X, y1))); d < t-rounding {
			return math.Inf(1)
		}
		return t
	}
	return d
}
