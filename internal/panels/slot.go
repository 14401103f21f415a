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
	slotRound    = 6e-3 // radius of its mouths' edges
	slotNoteText = "round both mouths by %s or more, never more than half the board without support (common practice)"
)

// slot is a port made of boards along a wall: its floor is the wall's inner face, its roof a board parallel to it, its
// mouth the lower part of the wall that it starts at. With a bend it turns along the wall it would have run into. From an
// end it runs along the width.
type slot struct {
	berth
	turn    int // wall along which it turns; -1: straight
	h, t    float64
	clear   float64     // clear width, fins taken off
	wide    float64     // fins included
	x0, x1  float64     // across, of the whole slot with its side piece
	narrow  bool        // narrower than the inside: closed by a side piece
	fins    int         // uprights between floor and roof
	v       plane.Point // direction of the air into the box along the floor
	start   plane.Point // of the centre line, on the outer face of the mouth's wall
	roofs   []roof
	legs    []float64
	free    float64 // before the inner mouth
	facing  string
	area    float64 // of the section, wood and air, inside the mouth's wall
	section float64 // of the box at the inner mouth
	lane    *lane   // from an end: where it lies in the section
}

// roof is one board of a slot: its section, walked in the direction u of the wall that it is parallel to.
type roof struct {
	wall    int
	cut     wallCut
	channel plane.Polygon // air under it with its own section: what stands in the box
}

// berth is where a slot may lie: the wall or the end with its mouth, and the wall that is its floor.
type berth struct{ mouth, end, floor int } // mouth or end is -1

// berths lists where the slot may lie, best first: the mouth where the job says, else in the driver's face, front, top or
// back; the floor the bottom if that is next to it, and not the wall that the driver is on.
func (m *maker) berths(names []string) []berth {
	wishes := []string{m.Port.Face}
	if m.Port.Face == "" {
		wishes = []string{m.Face, "front", "top", "back", leftEnd, rightEnd}
	}
	seat, _, _ := m.resolve(m.Face, m.Section, names)
	n := len(names)
	var all []berth
	for _, name := range wishes {
		mouth, end, err := m.resolve(name, m.Section, names)
		if err != nil {
			continue
		}
		if mouth < 0 && !(m.Mounting.Removable && seat < 0) {
			all = append(all, m.endBerths(end, seat, names)...)
		}
		if mouth < 0 {
			continue
		}
		next, prev := berth{mouth, -1, (mouth + 1) % n}, berth{mouth, -1, (mouth + n - 1) % n}
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
	if m.slot == nil {
		return
	}
	if m.slot.mouth < 0 {
		m.offsetEnd(f)
		return
	}
	if f.wall != m.slot.mouth {
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

// A reachable stretch of lengths of a slot: from the shortest whose boards have faces to the longest with the least air
// before its inner end, and the longest with the air that is wanted.
type reachable struct{ least, clear, most float64 }

func (r reachable) has(length float64) bool {
	return length >= r.least-rounding && length <= r.most+rounding
}

// leastRoof is the shortest face of a board of a slot.
const leastRoof = 1e-3

// planSlot lays the slot, straight if it goes in with the air that is wanted, else with one bend.
func (m *maker) planSlot() error {
	s := m.slot
	if s.mouth < 0 {
		return m.planEndSlot()
	}
	m.slotWidth()
	a := s.floor
	s.v = m.wrap.u[a]
	if s.mouth == (a+1)%len(m.wrap.names) {
		s.v = s.v.Mul(-1)
	}
	floor := m.wrap.inn[a]
	var ok bool
	if s.start, ok = floor.Offset(s.h / 2).Meet(m.wrap.out[s.mouth]); !ok {
		return m.slotError()
	}
	if lo, hi := m.mouthSpan(); lo < -rounding || hi > m.wrap.walls[s.mouth].outer+rounding || hi-lo > m.wrap.walls[s.mouth].outer-s.t || !m.mouthHolds() {
		return m.slotError()
	}
	room, facing, wall := m.along(floor, s.v, s.start, s.h)
	straight := m.straightReach(room)
	if l := m.Port.Length; straight.has(l) && l <= straight.clear+rounding {
		return m.straightSlot(room, facing)
	}
	can := []reachable{straight}
	if m.bends(wall) {
		s.turn = wall
		if bend, ok := m.bend(); ok {
			can = append(can, bend.reachable)
			if bend.has(m.Port.Length) {
				return m.bentSlot(bend)
			}
		}
		s.turn = -1
	}
	if straight.has(m.Port.Length) {
		return m.straightSlot(room, facing)
	}
	return m.slotError(can...)
}

// slotError says that the slot does not go along its floor, and the longest that does.
func (m *maker) slotError(can ...reachable) error {
	l, s := m.wrap.length, m.slot
	e := &BuildError{Reason: NoPort, Panel: s.mouthName(m), Value: m.Port.Length}
	least := math.Inf(1)
	for _, r := range can {
		if r.most >= r.least {
			e.LongestPort, least = math.Max(e.LongestPort, r.most), math.Min(least, r.least)
			e.begins = append(e.begins, r.least)
		}
	}
	e.Limit = e.LongestPort
	e.sure = m.roomy((s.h + s.t) * (s.x1 - s.x0) * (e.LongestPort + s.h + s.t))
	what := fmt.Sprintf("the slot (%s high, %s long) along the %s", l(s.h), l(m.Port.Length), m.wrap.names[s.floor])
	switch {
	case e.LongestPort == 0:
		e.Text = what + " finds no place: none of any length does"
	case m.Port.Length < least:
		e.Limit = least
		e.Text = fmt.Sprintf("%s is too short to be made of board there: %s is the least", what, l(least))
	case m.Port.Length < e.LongestPort:
		e.Text = fmt.Sprintf("%s is too long to be straight and too short to bend there; %s would do", what, l(e.LongestPort))
	default:
		e.Text = fmt.Sprintf("%s does not go into the box: the longest that does is %s", what, l(e.LongestPort))
	}
	return e
}

// mouthName is the panel with the mouth.
func (s *slot) mouthName(m *maker) string {
	if s.mouth >= 0 {
		return m.wrap.names[s.mouth]
	}
	return [...]string{leftEnd, rightEnd}[s.end]
}

// slotWidth settles the width: the full inside with fins, or narrower with a side piece.
func (m *maker) slotWidth() {
	s := m.slot
	s.divide(m.box.InsideWidth, m.Port.Width)
	s.x0, s.x1 = m.inLeft, m.inRight
	if s.narrow {
		s.x1 = m.inLeft + s.wide + s.t
	}
}

// divide settles fins and clear width of a slot in a room of the given full width, for a wanted clear width (0: all).
func (s *slot) divide(full, want float64) {
	s.narrow = false
	s.fins, s.clear = SlotFins(full, s.h, s.t)
	s.wide = full
	if want <= 0 {
		return
	}
	fins := max(int(math.Ceil(want/channelWidth(s.h)-rounding))-1, 0)
	if wide := want + float64(fins)*s.t; wide < full-s.t {
		s.narrow, s.fins, s.clear, s.wide = true, fins, want, wide
	}
}

// channelWidth is the widest that a channel of a slot of height h may be between fins, m (common practice).
func channelWidth(h float64) float64 { return math.Min(finSpacing, slotRatio*h) }

// SlotFins gives how many fins, each t thick, a slot of height h has between sides full apart, and what width stays clear; m.
// Its channels are at most 250 mm and eight times their height wide (common practice). h and t are greater than 0.
func SlotFins(full, h, t float64) (fins int, clear float64) {
	for (full-float64(fins)*t)/float64(fins+1) > channelWidth(h)+rounding && full > float64(fins+1)*t {
		fins++
	}
	return fins, full - float64(fins)*t
}

// along is how far the air over a floor can run in the direction v from start before something faces it, and what.
func (m *maker) along(floor plane.Line, v, start plane.Point, h float64) (room float64, what string, wall int) {
	room, wall = math.Inf(1), -1
	local := func(p plane.Point) plane.Point { return plane.Point{X: floor.Distance(p), Y: p.Sub(start).Dot(v)} }
	for j := range m.wrap.inside {
		p, q := ends(m.wrap.inside, j)
		// only walls that face the air: their inward normal looks against v
		if m.wrap.inn[j].N.Dot(v) >= -rounding {
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

// mouthHolds reports whether the inner face of the mouth's wall reaches over the slot's roof.
func (m *maker) mouthHolds() bool {
	s := m.slot
	p, ok := m.wrap.inn[s.mouth].Meet(m.wrap.inn[s.floor].Offset(s.h + s.t))
	a, b := ends(m.wrap.inside, s.mouth)
	u := m.wrap.u[s.mouth]
	return ok && p.Sub(a).Dot(u) >= 0 && b.Sub(p).Dot(u) >= 0
}

// straightReach gives the lengths that a straight slot can have, with the given room before it.
func (m *maker) straightReach(room float64) reachable {
	s, a := m.slot, m.slot.floor
	least := math.Inf(-1)
	for _, o := range [...]float64{0, s.h, s.h + s.t} {
		p, ok := m.wrap.inn[s.mouth].Meet(m.wrap.inn[a].Offset(o))
		if !ok {
			return reachable{1, 0, 0}
		}
		least = math.Max(least, p.Sub(s.start).Dot(s.v))
	}
	board := m.ahead(a, s.v, s.start, s.mouth)
	return reachable{least + leastRoof, math.Min(room-slotWanted*s.h, board), math.Min(room-slotAir*s.h, board)}
}

// ahead is how far a slot, roof included, can run over the wall that is its floor in the direction v from start before the
// floor ends or any wall but the given ones stands in its way.
func (m *maker) ahead(on int, v, start plane.Point, but ...int) float64 {
	const touch = rounding
	floor := m.wrap.inn[on]
	local := func(p plane.Point) plane.Point { return plane.Point{X: floor.Distance(p), Y: p.Sub(start).Dot(v)} }
	far := math.Inf(1)
	n := len(m.wrap.inside)
	last := on // the corner that the floor ends at
	if v.Dot(m.wrap.u[on]) > 0 {
		last = (on + 1) % n
	}
	if !m.wrap.corners[last].convex() { // at a convex one the next wall stands in the way, or the slot turns
		far = local(m.wrap.inside[last]).Y
	}
	for j := range m.wrap.inside {
		if j == on || slices.Contains(but, j) {
			continue
		}
		p, q := ends(m.wrap.inside, j)
		d := nearestInStrip(local(p), local(q), touch, m.slot.h+m.slot.t-touch, 0)
		if j == m.loose {
			d -= m.cleats[0].depth
		}
		far = math.Min(far, d)
	}
	return far
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
		return roof{}, m.slotError()
	}
	c.section = plane.Polygon{c.o0, c.o1, c.n1, c.n0}
	c.blank = math.Max(at(c.o1), at(c.n1)) - math.Min(at(c.o0), at(c.n0))
	c.tilt0, c.tilt1 = math.Atan2(at(c.n0)-at(c.o0), s.t), math.Atan2(at(c.o1)-at(c.n1), s.t)
	c.area = c.section.Area()
	return roof{wall: a, cut: c, channel: plane.Polygon{f0, f1, c.n1, c.n0}}, nil
}

// endSlot states the seat, and stands the slot in the box's air. mouth is the middle of the inner mouth, normal the inward
// normal of the wall that is the floor there.
func (m *maker) endSlot(mouth, normal plane.Point) {
	s := m.slot
	s.section = m.chord(mouth, normal) * m.box.InsideWidth
	f := m.faceOf(s.mouth, -1)
	centre := plane.Point{X: (s.x0+s.x0+s.wide)/2 - m.wallLeft}
	w, u := m.wrap.walls[s.mouth], m.wrap.u[s.mouth]
	centre.Y = w.o1.Sub(s.start).Dot(u)
	m.box.PortSeats = []PortSeat{{Panel: f.name, Centre: centre, Length: m.Port.Length, Legs: s.legs, FreeEnd: s.free, Facing: s.facing,
		InnerSection: s.section, InsideVolume: s.area * (s.x1 - s.x0), Height: s.h, Width: s.clear, Along: m.wrap.names[s.floor]}}
	for _, r := range s.roofs {
		m.bodies = append(m.bodies, solid{name: "slot", x0: s.x0, x1: s.x1, area: r.channel.CCW(), air: tubeSide})
	}
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
