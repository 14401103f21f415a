package panels

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"
)

// Distances of slots (common practice).
const (
	slotLeast    = 20e-3 // least height
	slotRatio    = 8.0   // width to height of one channel: wanted at most
	slotWorst    = 10.0  // and the most
	slotWanted   = 1.5   // air before the inner mouth, heights
	slotAir      = 1.0   // and the least
	slotFrame    = 15e-3 // from the slot's wall to the driver's frame
	finSpacing   = 250e-3
	slotTrim     = 10e-3 // a slot's wall is supplied longer by this
	slotRound    = 6e-3  // radius of its mouths' edges
	slotNoteText = "round both mouths by %s or more, never more than half the board without support (common practice)"
)

// slot is a port made of boards along a wall: its floor is the wall's inner face, its roof a board parallel to it, its
// mouth the lower part of the wall that it starts at. With a bend it turns along the wall it would have run into.
type slot struct {
	berth
	turn    int // wall along which it turns; -1: straight
	h, t    float64
	clear   float64     // clear width, fins taken off
	x0, x1  float64     // across, of the whole slot with its side piece
	narrow  bool        // narrower than the inside: closed by a side piece
	fins    int         // full width: uprights between floor and roof
	v       plane.Point // direction of the air into the box along the floor
	start   plane.Point // of the centre line, on the outer face of the mouth's wall
	roofs   []roof
	legs    []float64
	free    float64 // before the inner mouth
	facing  string
	area    float64 // of the section, wood and air, inside the mouth's wall
	section float64 // of the box at the inner mouth
}

// roof is one board of a slot: its section, walked in the direction u of the wall that it is parallel to.
type roof struct {
	wall    int
	cut     wallCut
	channel plane.Polygon // air under it with its own section: what stands in the box
}

// berth is where a slot may lie: the wall with its mouth, and the wall that is its floor.
type berth struct{ mouth, floor int }

// berths lists where the slot may lie, best first: the mouth where the job says, else in the driver's face, front, top or
// back; the floor the bottom if that is next to it, and not the wall that the driver is on.
func (m *maker) berths(names []string) []berth {
	wishes := []string{m.Port.Face}
	if m.Port.Face == "" {
		wishes = []string{m.Face, "front", "top", "back"}
	}
	seat, _, _ := m.resolve(m.Face, m.Section, names)
	n := len(names)
	var all []berth
	for _, name := range wishes {
		mouth, _, err := m.resolve(name, m.Section, names)
		if err != nil || mouth < 0 {
			continue
		}
		next, prev := berth{mouth, (mouth + 1) % n}, berth{mouth, (mouth + n - 1) % n}
		pair := []berth{next, prev}
		if names[prev.floor] == "bottom" {
			pair = []berth{prev, next}
		}
		for _, b := range pair {
			corner := mouth
			if b == next {
				corner = next.floor
			}
			if b.floor != seat && !(m.Mounting.Removable && (b.mouth == seat || seat < 0)) && m.convexAt(corner) && !slices.Contains(all, b) {
				all = append(all, b)
			}
		}
	}
	return all
}

func (m *maker) convexAt(k int) bool {
	n := len(m.Section)
	a, b := ends(m.Section, (k+n-1)%n)
	_, c := ends(m.Section, k)
	return b.Sub(a).Cross(c.Sub(b)) > 0
}

// wish is the joint that a slot needs: its floor runs through, so that the mouth is where the other wall is cut short.
func (b berth) wish(names []string) CornerWish {
	return CornerWish{Between: [2]string{names[b.mouth], names[b.floor]}, Joint: Butt, Through: names[b.floor]}
}

// offsetFace keeps the driver's frame clear of a slot whose mouth is in its face.
func (m *maker) offsetFace(f *face) {
	if m.slot == nil || f.wall != m.slot.mouth {
		return
	}
	up := m.slot.h + m.slot.t + slotFrame
	if m.slot.floor == (f.wall+1)%len(m.wrap.names) { // the floor is at y = 0
		f.free.Min.Y += up
		f.inner.Min.Y += up
	} else {
		f.free.Max.Y -= up
		f.inner.Max.Y -= up
	}
}

// planSlot lays the slot, straight if it goes in, else with one bend.
func (m *maker) planSlot() error {
	s := m.slot
	m.slotWidth()
	a := s.floor
	s.v = m.wrap.u[a]
	if s.mouth == (a+1)%len(m.wrap.names) {
		s.v = s.v.Mul(-1)
	}
	floor := m.wrap.inn[a]
	var ok bool
	if s.start, ok = floor.Offset(s.h / 2).Meet(m.wrap.out[s.mouth]); !ok {
		return m.slotError(0, 0)
	}
	if lo, hi := m.mouthSpan(); lo < -1e-9 || hi > m.wrap.walls[s.mouth].outer-s.t {
		return m.slotError(0, 0)
	}
	room, facing, wall := m.along(floor, s.v, s.start, s.h)
	longest, longClear := room-slotAir*s.h, room-slotWanted*s.h
	fits := m.Port.Length <= longest+1e-9
	if m.Port.Length <= longClear+1e-9 || fits && (s.narrow || !m.bends(wall)) {
		return m.straightSlot(room, facing)
	}
	if m.bends(wall) && !s.narrow {
		s.turn = wall
		long, clear, ok := m.bentSlot()
		if ok {
			return nil
		}
		s.turn = -1
		longest, longClear = math.Max(longest, long), math.Max(longClear, clear)
	}
	if fits {
		return m.straightSlot(room, facing)
	}
	return m.slotError(longest, longClear)
}

func (m *maker) slotError(longest, longClear float64) error {
	l := m.wrap.length
	return &BuildError{Reason: NoPort, Panel: m.wrap.names[m.slot.mouth], Value: m.Port.Length, Limit: longest,
		LongestPort: math.Max(longest, 0), LongestClear: math.Max(longClear, 0),
		Text: fmt.Sprintf("the slot (%s high, %s long) along the %s does not go into the box: the longest that does is %s",
			l(m.Port.Height), l(m.Port.Length), m.wrap.names[m.slot.floor], l(math.Max(longest, 0)))}
}

// bends reports whether the slot may turn along a wall: the one after its floor, at a convex corner.
func (m *maker) bends(wall int) bool {
	n, a := len(m.wrap.names), m.slot.floor
	if wall < 0 || wall == m.slot.mouth || wall == m.loose {
		return false
	}
	if m.slot.mouth == (a+1)%n {
		return wall == (a+n-1)%n && m.wrap.corners[a].convex()
	}
	return wall == (a+1)%n && m.wrap.corners[wall].convex()
}

// slotWidth settles the width: the full inside with fins, or narrower with a side piece.
func (m *maker) slotWidth() {
	s, full := m.slot, m.box.InsideWidth
	s.fins = 0
	for (full-float64(s.fins)*s.t)/float64(s.fins+1) > finSpacing+1e-9 {
		s.fins++
	}
	s.clear, s.x0, s.x1 = full-float64(s.fins)*s.t, m.inLeft, m.inRight
	if w := m.Port.Width; w > 0 && w < s.clear-s.t {
		s.narrow, s.fins, s.clear, s.x1 = true, 0, w, m.inLeft+w+s.t
	}
}

// along is how far the air over a floor can run in the direction v from start before something faces it, and what.
func (m *maker) along(floor plane.Line, v, start plane.Point, h float64) (room float64, what string, wall int) {
	room, wall = math.Inf(1), -1
	local := func(p plane.Point) plane.Point { return plane.Point{X: floor.Distance(p), Y: p.Sub(start).Dot(v)} }
	for j := range m.wrap.inside {
		p, q := ends(m.wrap.inside, j)
		// only walls that face the air: their inward normal looks against v
		if m.wrap.inn[j].N.Dot(v) >= -1e-9 {
			continue
		}
		if d := nearestInStrip(local(p), local(q), 0, h, 0); d < room {
			room, what, wall = d, m.wrap.names[j], j
		}
	}
	if wall >= 0 && wall == m.loose {
		room -= m.cleats[0].depth
	}
	return room, what, wall
}

func (m *maker) straightSlot(room float64, facing string) error {
	s := m.slot
	s.legs, s.free, s.facing = []float64{m.Port.Length}, room-m.Port.Length, facing
	end := plane.Line{N: s.v, C: s.start.Add(s.v.Mul(m.Port.Length)).Dot(s.v)}
	first, err := m.roof(s.floor, m.wrap.inn[s.mouth], end, s.v)
	if err != nil {
		return err
	}
	s.roofs = []roof{first}
	s.area = math.Abs(first.channel.Area())
	m.endSlot(s.start.Add(s.v.Mul(m.Port.Length)), m.wrap.inn[s.floor].N)
	return nil
}

// roof cuts the board over the wall a between two lines, the first nearer to the mouth in the direction v.
func (m *maker) roof(a int, first, last plane.Line, v plane.Point) (roof, error) {
	s, u := m.slot, m.wrap.u[a]
	under, over := m.wrap.inn[a].Offset(s.h), m.wrap.inn[a].Offset(s.h+s.t)
	if v.Dot(u) < 0 {
		first, last = last, first
	}
	var c wallCut
	var ok [6]bool
	var f0, f1 plane.Point
	c.o0, ok[0] = first.Meet(under)
	c.o1, ok[1] = last.Meet(under)
	c.n1, ok[2] = last.Meet(over)
	c.n0, ok[3] = first.Meet(over)
	f0, ok[4] = first.Meet(m.wrap.inn[a])
	f1, ok[5] = last.Meet(m.wrap.inn[a])
	at := func(p plane.Point) float64 { return p.Dot(u) }
	c.outer, c.inner = at(c.o1)-at(c.o0), at(c.n1)-at(c.n0)
	if ok != [6]bool{true, true, true, true, true, true} || c.outer <= 0 || c.inner <= 0 {
		return roof{}, m.slotError(0, 0)
	}
	c.section = plane.Polygon{c.o0, c.o1, c.n1, c.n0}
	c.blank = math.Max(at(c.o1), at(c.n1)) - math.Min(at(c.o0), at(c.n0))
	c.tilt0, c.tilt1 = math.Atan2(at(c.n0)-at(c.o0), s.t), math.Atan2(at(c.o1)-at(c.n1), s.t)
	c.area = c.section.Area()
	return roof{wall: a, cut: c, channel: plane.Polygon{f0, f1, c.n1, c.n0}}, nil
}

// bentSlot lays a slot that turns along the wall s.turn. It reports the longest that could be had.
func (m *maker) bentSlot() (longest, longClear float64, ok bool) {
	s, a, b := m.slot, m.slot.floor, m.slot.turn
	mid, ok1 := m.wrap.inn[a].Offset(s.h / 2).Meet(m.wrap.inn[b].Offset(s.h / 2))
	if !ok1 {
		return 0, 0, false
	}
	up := m.wrap.u[b]
	if s.v.Dot(m.wrap.u[a]) < 0 {
		up = up.Mul(-1)
	}
	first := mid.Sub(s.start).Dot(s.v)
	room, facing, _ := m.along(m.wrap.inn[b], up, mid, s.h)
	longest, longClear = first+room-slotAir*s.h, first+room-slotWanted*s.h
	second, shortest := m.Port.Length-first, s.h/2+s.t+1e-3
	if longest-first < shortest {
		return 0, 0, false // no room for a bend
	}
	if m.Port.Length > longest+1e-9 || second < shortest {
		return longest, longClear, false
	}
	end := plane.Line{N: up, C: mid.Add(up.Mul(second)).Dot(up)}
	one, err1 := m.roof(a, m.wrap.inn[s.mouth], m.wrap.inn[b].Offset(s.h), s.v)
	two, err2 := m.roof(b, m.wrap.inn[a].Offset(s.h+s.t), end, up)
	if err1 != nil || err2 != nil {
		return longest, longClear, false
	}
	whole, err := m.roof(b, m.wrap.inn[a], end, up) // with the bend itself, for the air that it takes
	foot, err2 := m.roof(a, m.wrap.inn[s.mouth], m.wrap.inn[b].Offset(s.h+s.t), s.v)
	if err != nil || err2 != nil {
		return longest, longClear, false
	}
	one.channel, two.channel = foot.channel, whole.channel
	s.roofs, s.legs, s.free, s.facing = []roof{one, two}, []float64{first, second}, room-second, facing
	s.area = math.Abs(foot.channel.Area()) + math.Abs(whole.channel.Area())
	m.endSlot(mid.Add(up.Mul(second)), m.wrap.inn[b].N)
	return longest, longClear, true
}

// endSlot states the seat, and stands the slot in the box's air. mouth is the middle of the inner mouth, normal the inward
// normal of the wall that is the floor there.
func (m *maker) endSlot(mouth, normal plane.Point) {
	s := m.slot
	s.section = m.chord(mouth, normal) * m.box.InsideWidth
	f := m.faceOf(s.mouth, -1)
	centre := plane.Point{X: (s.x0+s.x0+s.width())/2 - m.wallLeft}
	w, u := m.wrap.walls[s.mouth], m.wrap.u[s.mouth]
	centre.Y = w.o1.Sub(s.start).Dot(u)
	m.box.PortSeats = []PortSeat{{Panel: f.name, Centre: centre, Length: m.Port.Length, Legs: s.legs, FreeEnd: s.free, Facing: s.facing,
		InnerSection: s.section, InsideVolume: s.area * (s.x1 - s.x0), Height: s.h, Width: s.clear, Along: m.wrap.names[s.floor]}}
	for _, r := range s.roofs {
		m.bodies = append(m.bodies, solid{name: "slot", x0: s.x0, x1: s.x1, area: r.channel.CCW(), air: tubeSide})
	}
}

// width is the width of the mouth, fins included.
func (s *slot) width() float64 {
	if s.narrow {
		return s.clear
	}
	return s.x1 - s.x0
}

// chord is the length of the inside section's chord through p in the direction of a wall's normal.
func (m *maker) chord(p, normal plane.Point) float64 {
	up, down := math.Inf(1), math.Inf(1)
	for j := range m.wrap.inside {
		a, b := ends(m.wrap.inside, j)
		da, db := a.Sub(p).Cross(normal), b.Sub(p).Cross(normal)
		if (da > 0) == (db > 0) {
			continue
		}
		x := a.Add(b.Sub(a).Mul(da / (da - db))).Sub(p).Dot(normal)
		if x >= 0 {
			up = math.Min(up, x)
		} else {
			down = math.Min(down, -x)
		}
	}
	if math.IsInf(up+down, 1) {
		return 0
	}
	return up + down
}
