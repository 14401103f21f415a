package panels

import (
	"fmt"
	"math"

	"cubby/internal/plane"
)

// lane is where a slot with its mouth in an end lies in the section: a rectangle on its floor, in the floor's own directions
// (along, up), all square edged. Where a neighbour of the floor is not square to it, a side piece closes the slot there.
type lane struct {
	origin plane.Point // corner of the floor's inner face that along counts from
	u, up  plane.Point
	a0, a1 float64   // along: all of it, side pieces included
	air0   float64   // where the air begins; it is slot.wide long
	sides  []float64 // where side pieces begin
}

// rect is the section-plane rectangle from a to b along and from 0 to h up.
func (l lane) rect(a, b, h float64) plane.Polygon {
	at := func(x, y float64) plane.Point { return l.origin.Add(l.u.Mul(x)).Add(l.up.Mul(y)) }
	return plane.Polygon{at(a, 0), at(b, 0), at(b, h), at(a, h)}
}

// endBerths lists the walls that may be the floor of a slot from an end, the bottom first: level and upright ones, so that
// the mouth is square to the end's edges.
func (m *maker) endBerths(end, seat int, names []string) []berth {
	var first, rest []berth
	for i, n := range names {
		a, b := ends(m.Section, i)
		u := b.Sub(a).Unit()
		if i == seat || math.Abs(u.X*u.Y) > rounding {
			continue
		}
		if n == "bottom" {
			first = append(first, berth{-1, end, i})
		} else {
			rest = append(rest, berth{-1, end, i})
		}
	}
	return append(first, rest...)
}

// flush is how far from square a wall may be for a slot to use it as its side, rad: a hundredth of a millimetre over a slot's height.
const flush = 1e-4

// layLane settles where the slot lies in the section; ok is false where its height finds no room.
func (m *maker) layLane() bool {
	s, w := m.slot, m.wrap
	n, a := len(w.names), s.floor
	p, q := ends(w.inside, a)
	l := &lane{origin: p, u: w.u[a], up: w.inn[a].N, a1: q.Sub(p).Norm()}
	square := func(i int) bool { return i != m.loose && math.Abs(w.u[i].Dot(l.u)) < flush }
	prev, next := (a+n-1)%n, (a+1)%n
	atStart, atEnd := w.corners[a].convex() && square(prev), w.corners[next].convex() && square(next)
	narrowed := func(i int) (float64, bool) { // where a neighbour stands at the roof's height
		face := w.inn[i]
		if i == m.loose {
			face = face.Offset(m.cleats[0].depth)
		}
		x, ok := face.Meet(w.inn[a].Offset(s.h + s.t))
		return x.Sub(l.origin).Dot(l.u), ok
	}
	for _, i := range [...]int{prev, next} {
		x, ok := narrowed(i)
		switch {
		case !ok:
			return false
		case i == prev:
			l.a0 = math.Max(l.a0, x)
		default:
			l.a1 = math.Min(l.a1, x)
		}
	}
	full := l.a1 - l.a0
	if !atStart {
		full -= s.t
	}
	if !atEnd {
		full -= s.t
	}
	if full < s.h {
		return false
	}
	s.divide(full, m.Port.Width)
	switch {
	case !atStart && atEnd:
		l.air0 = l.a1 - s.wide
		l.a0 = l.air0 - s.t
		l.sides = []float64{l.a0}
	default:
		l.air0 = l.a0
		if !atStart {
			l.sides, l.air0 = []float64{l.a0}, l.a0+s.t
		}
		if end := l.air0 + s.wide; s.narrow || !atEnd {
			l.sides = append(l.sides, end)
			l.a1 = end + s.t
		}
	}
	const touch = 1e-7
	in := lane{origin: l.origin.Add(l.up.Mul(touch)), u: l.u, up: l.up}
	s.lane = l
	return w.inside.ContainsPolygon(in.rect(l.a0+touch, l.a1-touch, s.h+s.t-2*touch))
}

// offsetEnd keeps the driver's frame clear of a slot whose mouth is in its end.
func (m *maker) offsetEnd(f *face) {
	if f.end != m.slot.end || !m.layLane() {
		return
	}
	l, s := m.slot.lane, m.slot
	taken := l.rect(l.a0-slotFrame, l.a1+slotFrame, s.h+s.t+slotFrame).Bounds()
	best := plane.Polygon(nil)
	for _, g := range m.wrap.inside.Subtract(taken) {
		if best == nil || g.Area() > best.Area() {
			best = g
		}
	}
	if best != nil {
		f.shape = m.toEnd(best, f.end)
		f.free = f.shape.Bounds()
		f.inner = f.free
	}
}

// planEndSlot lays a slot from an end along the width.
func (m *maker) planEndSlot() error {
	s := m.slot
	if !m.layLane() {
		return m.slotError()
	}
	t := m.endT[s.end]
	room, facing := t+m.box.InsideWidth, rightEnd
	if s.end == 1 {
		facing = leftEnd
	}
	area := s.lane.rect(s.lane.a0, s.lane.a1, s.h+s.t)
	for _, b := range m.bodies {
		if area.IntersectArea(b.area) <= 0 {
			continue
		}
		near := b.x0 - m.Left
		if s.end == 1 {
			near = m.Left + m.Width - b.x1
		}
		if near < room {
			room, facing = math.Max(near, 0), b.name
		}
	}
	can := reachable{t + leastRoof, room - slotWanted*s.h, room - slotAir*s.h}
	length := m.Port.Length
	if !can.has(length) {
		return m.slotError(can)
	}
	s.legs, s.free, s.facing = []float64{length}, room-length, facing
	s.x0, s.x1 = m.inLeft, m.inLeft+length-t
	if s.end == 1 {
		s.x0, s.x1 = m.inRight-length+t, m.inRight
	}
	s.area, s.section = area.Area(), m.wrap.inside.Area()
	centre := s.lane.rect(s.lane.air0, s.lane.air0+s.wide, s.h)
	m.box.PortSeats = []PortSeat{{Panel: s.mouthName(m), Centre: m.toEnd(plane.Polygon{centre[0].Add(centre[2]).Mul(0.5)}, s.end)[0],
		Length: length, Legs: s.legs, FreeEnd: s.free, Facing: facing, InnerSection: s.section, InsideVolume: s.area * (s.x1 - s.x0),
		Height: s.h, Width: s.clear, Along: m.wrap.names[s.floor]}}
	m.bodies = append(m.bodies, solid{name: "slot", x0: s.x0, x1: s.x1, area: area.CCW(), air: tubeSide})
	return nil
}

// lanePanels makes the boards of a slot from an end: its roof, its side pieces and fins, all as long as the slot is inside.
func (m *maker) lanePanels() []Panel {
	s, l := m.slot, m.slot.lane
	far := [...]string{rightEnd, leftEnd}[s.end]
	length := s.x1 - s.x0
	edges := func(y0, y1 string) []Edge {
		x0, x1 := s.mouthName(m), ""
		if s.end == 1 {
			x0, x1 = x1, x0
		}
		var all []Edge
		for _, e := range [...][2]string{{"y0", y0}, {"y1", y1}, {"x0", x0}, {"x1", x1}} {
			all = append(all, Edge{Edge: e[0], Meets: e[1], Joint: "butt-stop", Angle: math.Pi / 2, LongFace: "equal"})
		}
		return all
	}
	n := len(m.wrap.names)
	beside := func(side float64, wall int) string {
		for _, x := range l.sides {
			if math.Abs(x-side) < rounding {
				return "slot side"
			}
		}
		return m.wrap.names[wall]
	}
	roof := m.slotBoard("slot wall", length, l.a1-l.a0)
	o := l.rect(l.a0, l.a1, s.h)[2]
	roof.Place = Frame{Origin: [3]float64{s.x0, o.X, o.Y}, X: [3]float64{1, 0, 0}, Y: [3]float64{0, -l.u.X, -l.u.Y}}
	roof.Edges = edges(beside(l.a1-s.t, (s.floor+1)%n), beside(l.a0, (s.floor+n-1)%n))
	roof.Notes = []string{m.roofStands(s.floor), fmt.Sprintf("runs from the %s towards the %s", s.mouthName(m), far), fmt.Sprintf(slotNoteText, m.wrap.length(slotRound))}
	all := []Panel{roof}
	upright := func(name string, at ...float64) {
		p := m.slotBoard(name, length, s.h)
		p.Count = len(at)
		p.Notes = append(p.Notes, m.uprightStands(m.wrap.names[(s.floor+n-1)%n], at))
		for _, x := range at { // seen from the side that along counts to: x runs to the left
			o := l.rect(x+s.t, x+s.t, 0)[0]
			p.Places = append(p.Places, Frame{Origin: [3]float64{s.x1, o.X, o.Y}, X: [3]float64{-1, 0, 0}, Y: [3]float64{0, l.up.X, l.up.Y}})
		}
		p.Place = p.Places[0]
		if len(at) == 1 {
			p.Places = nil
		}
		p.Edges = edges(m.wrap.names[s.floor], "slot wall")
		p.Edges[2].Meets, p.Edges[3].Meets = p.Edges[3].Meets, p.Edges[2].Meets
		all = append(all, p)
	}
	if len(l.sides) > 0 {
		upright("slot side", l.sides...)
	}
	if s.fins > 0 {
		upright("slot fin", s.finsAt(l.air0)...)
	}
	return all
}
