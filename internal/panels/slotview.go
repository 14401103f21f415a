package panels

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"
)

// SlotView is how the boards of a slot stand in the box, in two cuts for a drawing.
type SlotView struct {
	Along  SlotCut // along the air, through its middle
	Across SlotCut // across it; empty where the slot is as wide as the inside, without fins
}

// SlotCut is one cut through the box at its slot, in a plane of the space (x to the right, y up), m.
type SlotCut struct {
	View   string // how it is looked at, in words
	Walls  []CutPiece
	Boards []CutPiece
	Air    []plane.Point // centre line of the air, from the outer face of the mouth to the inner end
	Sizes  []CutSize
}

// Bounds is the rectangle round everything that the cut goes through.
func (c *SlotCut) Bounds() plane.Rect {
	var all plane.Polygon
	for _, pieces := range [...][]CutPiece{c.Walls, c.Boards} {
		for _, p := range pieces {
			all = append(all, p.Shape...)
		}
	}
	return all.Bounds()
}

// CutPiece is a piece of the box where a cut goes through it.
type CutPiece struct {
	Panel string
	Shape plane.Polygon
}

// CutSize is a distance that a cut shows, from A to B. Beside is set where it is read beside the piece that it measures, on the left
// of the way from A to B; else it is read in the air between the two points.
type CutSize struct {
	A, B   plane.Point
	Beside bool
}

// slotView draws up the cuts.
func (m *maker) slotView() *SlotView {
	switch {
	case m.slot == nil:
		return nil
	case m.slot.lane != nil:
		return &SlotView{Along: m.laneAlong(), Across: m.laneAcross()}
	}
	v := &SlotView{Along: m.slotAlong()}
	if m.slot.narrow || m.slot.fins > 0 {
		v.Across = m.slotAcross()
	}
	return v
}

// slotAlong cuts a slot along a wall in the section plane.
func (m *maker) slotAlong() SlotCut {
	s := m.slot
	c := SlotCut{View: "seen from the right end"}
	for i, w := range m.wrap.walls {
		shape := w.section
		if i == s.mouth {
			shape = largest(shape.ClipHalfPlane(m.overMouth()))
		}
		c.Walls = append(c.Walls, CutPiece{m.wrap.names[i], shape})
	}
	at, leg, dir := s.start, s.legs[0], s.v
	c.Air = []plane.Point{at}
	for i, r := range s.roofs {
		if i > 0 {
			leg, dir = s.legs[i], m.wrap.u[r.wall]
			if m.backwards() {
				dir = dir.Mul(-1)
			}
		}
		c.Boards = append(c.Boards, CutPiece{s.roofName(i), r.cut.section})
		c.Sizes = append(c.Sizes, m.roofSizes(r, at.Add(dir.Mul(leg/2)))...)
		at = at.Add(dir.Mul(leg))
		c.Air = append(c.Air, at)
	}
	c.Sizes = append(c.Sizes, m.freeSize(at, dir))
	return c
}

// roofName is the name of the board number i of a slot.
func (s *slot) roofName(i int) string {
	if len(s.roofs) > 1 {
		return fmt.Sprintf("slot wall %d", i+1)
	}
	return "slot wall"
}

// overMouth is the line from which the wall with the mouth stands: square to its face.
func (m *maker) overMouth() plane.Line {
	s := m.slot
	lo, hi := m.mouthSpan()
	u := m.wrap.u[s.mouth]
	if s.floor == (s.mouth+1)%len(m.wrap.names) {
		return plane.Line{N: u.Mul(-1), C: u.Mul(-1).Dot(m.wrap.walls[s.mouth].o1) + hi}
	}
	return plane.Line{N: u, C: u.Dot(m.wrap.walls[s.mouth].o1) - lo}
}

// roofSizes are the overall length of a roof and the height of the air under it, at a point of its centre line.
func (m *maker) roofSizes(r roof, mid plane.Point) []CutSize {
	u, n := m.wrap.u[r.wall], m.wrap.inn[r.wall].N
	a := r.cut.n0.Add(u.Mul(math.Min(0, r.cut.o0.Sub(r.cut.n0).Dot(u))))
	half := n.Mul(m.slot.h / 2)
	return []CutSize{{A: a, B: a.Add(u.Mul(r.cut.blank)), Beside: true}, {A: mid.Sub(half), B: mid.Add(half)}}
}

// freeSize is the air before the inner end, where it is least.
func (m *maker) freeSize(end, dir plane.Point) CutSize {
	s := m.slot
	n := m.wrap.inn[s.roofs[len(s.roofs)-1].wall].N
	shift, best := 0.0, math.Inf(1)
	for _, o := range [...]float64{0, -s.h / 2, s.h / 2} {
		if d := math.Abs(m.hits(end.Add(n.Mul(o)), dir) - s.free); d < best-rounding {
			shift, best = o, d
		}
	}
	for _, p := range m.wrap.inside { // a corner that points at it
		o := p.Sub(end).Dot(n)
		if d := math.Abs(p.Sub(end).Dot(dir) - s.free); math.Abs(o) < s.h/2 && d < best-rounding {
			shift, best = o, d
		}
	}
	a := end.Add(n.Mul(shift))
	return CutSize{A: a, B: a.Add(dir.Mul(s.free))}
}

// hits is how far it is from a point in the box along a direction to the inner face that is met first.
func (m *maker) hits(p, dir plane.Point) float64 {
	near := math.Inf(1)
	for j := range m.wrap.inside {
		a, b := ends(m.wrap.inside, j)
		d := m.wrap.inn[j].N.Dot(dir)
		if d >= -rounding {
			continue
		}
		k := -m.wrap.inn[j].Distance(p) / d
		q := p.Add(dir.Mul(k))
		if k > 0 && q.Sub(a).Dot(m.wrap.u[j]) > -rounding && b.Sub(q).Dot(m.wrap.u[j]) > -rounding {
			near = math.Min(near, k)
		}
	}
	return near
}

// slotAcross cuts a slot along a wall square to its floor: x runs from the left end, y from the floor's inner face.
func (m *maker) slotAcross() SlotCut {
	s := m.slot
	t := m.wrap.t[s.floor]
	top := s.h + 2*s.t
	c := SlotCut{View: fmt.Sprintf("the left end at the left, the %s below", m.wrap.names[s.floor]),
		Walls:  []CutPiece{{m.wrap.names[s.floor], block(m.inLeft, m.inRight, -t, 0)}, {leftEnd, block(m.Left, m.inLeft, -t, top)}, {rightEnd, block(m.inRight, m.Left+m.Width, -t, top)}},
		Boards: []CutPiece{{s.roofName(0), block(s.x0, s.x1, s.h, s.h+s.t)}}}
	var at []float64
	if s.fins > 0 {
		at = s.finsAt(s.x0)
	}
	for _, x := range at {
		c.Boards = append(c.Boards, CutPiece{"slot fin", block(x, x+s.t, 0, s.h)})
	}
	if s.narrow {
		at = append(at, s.x1-s.t)
		c.Boards = append(c.Boards, CutPiece{"slot side", block(s.x1-s.t, s.x1, 0, s.h)})
	}
	c.Sizes = s.uprightSizes(m.inLeft, at, func(x, y float64) plane.Point { return plane.Point{X: x, Y: y} })
	return c
}

// uprightSizes are the places of the near faces of uprights on the floor, the first from a face at from, the others from the one before.
func (s *slot) uprightSizes(from float64, at []float64, point func(x, y float64) plane.Point) []CutSize {
	var all []CutSize
	for _, x := range at {
		if x-from > rounding {
			all = append(all, CutSize{A: point(x, 0), B: point(from, 0), Beside: true})
		}
		from = x
	}
	return all
}

// block is an upright rectangle.
func block(x0, x1, y0, y1 float64) plane.Polygon {
	return plane.Rect{Min: plane.Point{X: x0, Y: y0}, Max: plane.Point{X: x1, Y: y1}}.Polygon()
}

// laneAlong cuts a slot from an end through the middle of its air, along the width: x is across, y is the height in the space, or
// the depth where the floor is upright.
func (m *maker) laneAlong() SlotCut {
	s, l := m.slot, m.slot.lane
	foot := l.origin.Add(l.u.Mul(l.air0 + s.wide/2))
	c := SlotCut{View: "seen from the front"}
	at := func(x, y float64) plane.Point { return plane.Point{X: x, Y: foot.Y + l.up.Y*y} }
	if math.Abs(l.up.X) > math.Abs(l.up.Y) {
		c.View = "seen from above"
		at = func(x, y float64) plane.Point { return plane.Point{X: x, Y: foot.X + l.up.X*y} }
	}
	piece := func(name string, x0, x1, y0, y1 float64) CutPiece {
		return CutPiece{name, plane.Polygon{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)}.CCW()}
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, w := range m.wrap.walls {
		y0, y1, ok := throughPolygon(w.section, foot, l.up)
		if !ok {
			continue
		}
		left, right := m.wallSpan(i)
		c.Walls = append(c.Walls, piece(m.wrap.names[i], left, right, y0, y1))
		lo, hi = math.Min(lo, y0), math.Max(hi, y1)
	}
	if m.Wood.Ends == EndsInside {
		lo, hi, _ = throughPolygon(m.wrap.inside, foot, l.up)
	}
	for end, x := range [...][2]float64{{m.Left, m.inLeft}, {m.inRight, m.Left + m.Width}} {
		name := m.endName(end)
		if end == s.end {
			c.Walls = append(c.Walls, piece(name, x[0], x[1], lo, 0), piece(name, x[0], x[1], s.h, hi))
			continue
		}
		c.Walls = append(c.Walls, piece(name, x[0], x[1], lo, hi))
	}
	c.Boards = []CutPiece{piece("slot wall", s.x0, s.x1, s.h, s.h+s.t)}
	outer, inner, way := m.Left, s.x1, 1.0
	if s.end == 1 {
		outer, inner, way = m.Left+m.Width, s.x0, -1
	}
	c.Air = []plane.Point{at(outer, s.h/2), at(inner, s.h/2)}
	mid := (s.x0 + s.x1) / 2
	a, b := at(s.x0, s.h+s.t), at(s.x1, s.h+s.t)
	if l.up.X+l.up.Y < 0 {
		a, b = b, a
	}
	c.Sizes = []CutSize{{A: a, B: b, Beside: true}, {A: at(mid, 0), B: at(mid, s.h)}, {A: at(inner, s.h/2), B: at(inner+way*s.free, s.h/2)}}
	return c
}

// throughPolygon is the stretch of a polygon on the line through a point in a direction, from the point; ok is false where the line
// misses it.
func throughPolygon(g plane.Polygon, p, dir plane.Point) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range g {
		a, b := g.Edge(i)
		da, db := dir.Cross(a.Sub(p)), dir.Cross(b.Sub(p))
		if (da > 0) == (db > 0) {
			continue
		}
		k := a.Add(b.Sub(a).Mul(da / (da - db))).Sub(p).Dot(dir)
		lo, hi = math.Min(lo, k), math.Max(hi, k)
	}
	return lo, hi, hi > lo
}

// laneAcross cuts a slot from an end in the section plane.
func (m *maker) laneAcross() SlotCut {
	s, l := m.slot, m.slot.lane
	c := SlotCut{View: "seen from the right end"}
	for i, w := range m.wrap.walls {
		c.Walls = append(c.Walls, CutPiece{m.wrap.names[i], w.section})
	}
	at := func(x, y float64) plane.Point { return l.origin.Add(l.u.Mul(x)).Add(l.up.Mul(y)) }
	piece := func(name string, x0, x1, y0, y1 float64) CutPiece {
		return CutPiece{name, plane.Polygon{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)}}
	}
	c.Boards = []CutPiece{piece("slot wall", l.a0, l.a1, s.h, s.h+s.t)}
	all := append([]float64(nil), l.sides...)
	for _, x := range l.sides {
		c.Boards = append(c.Boards, piece("slot side", x, x+s.t, 0, s.h))
	}
	if s.fins > 0 {
		for _, x := range s.finsAt(l.air0) {
			c.Boards = append(c.Boards, piece("slot fin", x, x+s.t, 0, s.h))
			all = append(all, x)
		}
	}
	slices.Sort(all)
	mid := l.air0 + s.clear/float64(s.fins+1)/2
	c.Sizes = append([]CutSize{{A: at(l.a0, s.h+s.t), B: at(l.a1, s.h+s.t), Beside: true}, {A: at(mid, 0), B: at(mid, s.h)}}, s.uprightSizes(0, all, at)...)
	return c
}
