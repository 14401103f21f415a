package panels

import (
	"fmt"
	"math"

	"cubby/internal/plane"
)

const (
	// frameGap is the wood kept between the frames of two drivers (common practice).
	frameGap = 10e-3
	// basketShare is how much of a driver's depth its basket, taken as wide as the cut-out, goes down before only the magnet
	// is left. A cone basket tapers: this is the wide side.
	basketShare = 0.6
	// magnetShare stands in for an unknown magnet: it is as wide as the cut-out.
	magnetShare = 1.0
)

// cutout is the opening to cut; when it is not stated, what the frame lets one suppose for clearances, and false.
func (d Driver) cutout() (float64, bool) {
	switch {
	case d.Cutout > 0:
		return d.Cutout, true
	case d.Frame > 0:
		return 0.92 * d.Frame, false // common practice: the flange overlaps by 8 to 12 mm a side
	case d.Sd > 0:
		return 2 * math.Sqrt(d.Sd/math.Pi), false
	}
	return 0, false
}

// frame is the outside diameter of the flange, at least the cut-out.
func (d Driver) frame() float64 {
	c, _ := d.cutout()
	return math.Max(d.Frame, c)
}

// sunk is how deep the driver goes, from the outer face: its depth, and the recess of its flange.
func (m *maker) sunk() float64 {
	if m.Driver.Depth <= 0 {
		return 0
	}
	return m.Driver.Depth + m.Mounting.Recess
}

// neck is how deep the basket goes, from the outer face, before only the magnet is left.
func (m *maker) neck() float64 { return basketShare*m.Driver.Depth + m.Mounting.Recess }

// flange is the diameter that the driver needs on its face: its frame, or the recess for it.
func (m *maker) flange() float64 {
	if m.Mounting.Recess > 0 {
		return m.Driver.frame() + recessPlay
	}
	return m.Driver.frame()
}

// magnet is the diameter over which the depth behind is taken.
func (d Driver) magnet() float64 {
	if d.Magnet > 0 {
		return d.Magnet
	}
	c, _ := d.cutout()
	return magnetShare * c
}

// planDriver seats the drivers in the middle of their face.
func (m *maker) planDriver() error {
	wall, end, err := m.resolve(m.Face, m.Section, m.wrap.names)
	if err != nil {
		return err
	}
	m.seat = m.faceOf(wall, end)
	m.offsetFace(m.seat)
	m.withinCleats(m.seat)
	for _, l := range m.layers {
		m.seat.within(l)
	}
	m.box.DriverSeat.Panel = m.seat.name
	cut, known := m.Driver.cutout()
	if known {
		m.box.DriverSeat.Opening = cut
	} else {
		m.wrap.warn("the driver's cut-out is not stated: its opening is not drawn")
	}
	m.box.DriverSeat.Fixing, m.whyFixed = m.fixing()
	if err := m.mounts(); err != nil {
		return err
	}
	if err := m.seatDrivers(0); err != nil {
		return err
	}
	m.moveDriver()
	return nil
}

// mounts refuses a recess or a chamfer that the face does not have the wood for.
func (m *maker) mounts() error {
	mo, l := m.Mounting, m.wrap.length
	bad := func(value, limit float64, format string, args ...any) error {
		return &BuildError{Reason: BadInput, Panel: m.seat.name, Value: value, Limit: limit, Text: fmt.Sprintf(format, args...)}
	}
	under := m.underFlange()
	switch {
	case mo.Recess > 0 && m.Driver.Frame <= 0:
		return bad(mo.Recess, 0, "the driver's frame is not stated: a recess for its flange cannot be drawn")
	case mo.Recess > 0 && under < recessFloor-rounding:
		return bad(mo.Recess, mo.Recess+under-recessFloor, "a recess of %s leaves only %s of the %s, and %s has to stay: %s or less, or a thicker face, would do",
			l(mo.Recess), l(math.Max(under, 0)), m.seat.name, l(recessFloor), l(math.Max(mo.Recess+under-recessFloor, 0)))
	case mo.Chamfer > 0 && mo.Chamfer > under-chamferFloor+rounding:
		return bad(mo.Chamfer, under-chamferFloor, "a chamfer of %s is too deep for the %s of wood under the driver's flange: %s or less would do", l(mo.Chamfer), l(under), l(math.Max(under-chamferFloor, 0)))
	}
	return nil
}

// Recess and chamfer (common practice).
const (
	recessPlay   = 1e-3 // of the recess over the frame, in diameter
	recessFloor  = 6e-3 // of wood that a recess leaves at least
	chamferFloor = 2e-3 // of the opening's wall that a chamfer leaves at least
)

// seatDrivers places the drivers, evenly spaced, in the face less a strip of the given width at its right side.
func (m *maker) seatDrivers(reserve float64) error {
	f, frame := m.seat, m.flange()
	centres, room := f.spread(m.Count, reserve, frame)
	if short := frame/2 - room; short > rounding {
		return m.frameRefused(room)
	}
	m.box.DriverSeat.Centres = centres
	m.bodies = m.nuts(m.cleatBodies(m.bodies[:0]))
	for i, c := range centres {
		name := "driver"
		if len(centres) > 1 {
			name = fmt.Sprintf("driver %d", i+1)
		}
		m.bodies = append(m.bodies, m.driverBodies(name, c)...)
	}
	return nil
}

func plural(count int) string {
	if count > 1 {
		return " for each of the " + counted(count, "driver")
	}
	return ""
}

// driverBodies are the basket and the magnet behind the face.
func (m *maker) driverBodies(name string, c plane.Point) []solid {
	depth := m.sunk()
	if depth <= m.seat.t {
		return nil
	}
	cut, _ := m.Driver.cutout()
	bodies := make([]solid, 0, 2)
	if basket := m.neck(); basket > m.seat.t {
		bodies = append(bodies, m.seat.block(name, c.X, c.Y, cut/2, m.seat.t, basket))
	}
	magnet := m.seat.block(name, c.X, c.Y, m.Driver.magnet()/2, m.seat.t, depth)
	magnet.air = m.Driver.air()
	return append(bodies, magnet)
}

// air is what a driver wants behind it.
func (d Driver) air() float64 {
	if d.Vent {
		return ventAir
	}
	return bodyAir
}

// spread gives n places on the face and the least room that any of them has: to the joints, and half way to the next.
func (f *face) spread(n int, reserve, frame float64) (centres []plane.Point, room float64) {
	room = math.Inf(1)
	r := f.free
	width := r.Max.X - r.Min.X - reserve
	mid := (f.inner.Min.Y + f.inner.Max.Y) / 2
	if f.shape == nil {
		mid = math.Min(math.Max(mid, r.Min.Y+frame/2), r.Max.Y-frame/2)
		if r.Max.Y-r.Min.Y < frame {
			mid = (r.Min.Y + r.Max.Y) / 2
		}
		mid += f.shift
	}
	for i := range n {
		p := plane.Point{X: r.Min.X + width*(float64(i)+0.5)/float64(n), Y: mid}
		if f.shape != nil && n == 1 && reserve == 0 {
			p = f.roomiest(p, frame/2)
		}
		centres = append(centres, p)
		room = math.Min(room, f.room(p.X, p.Y))
	}
	if n > 1 {
		room = math.Min(room, (width/float64(n)-frameGap)/2)
	}
	return centres, room
}

// roomiest keeps p when it has the room wanted, and otherwise looks for the place in the end that has the most.
func (f *face) roomiest(p plane.Point, want float64) plane.Point {
	best := f.room(p.X, p.Y)
	if best >= want {
		return p
	}
	c := f.shape.Centroid()
	if r := f.room(c.X, c.Y); r > best {
		p, best = c, r
	}
	box := f.shape.Bounds()
	step := math.Max(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y) / 4
	for step > 1e-5 && best < want+5e-3 {
		moved := false
		for _, d := range [...]plane.Point{{X: step}, {X: -step}, {Y: step}, {Y: -step}, {X: step, Y: step}, {X: -step, Y: step}, {X: step, Y: -step}, {X: -step, Y: -step}} {
			q := p.Add(d)
			if r := f.room(q.X, q.Y); r > best {
				p, best, moved = q, r, true
			}
		}
		if !moved {
			step /= 2
		}
	}
	return p
}

// bolts gives the holes of the bolt circle round a centre. The circle starts half a step clockwise of the panel's y, so
// that no bolt stands nearest to the joint above or below.
func (m *maker) bolts(c plane.Point) []Hole {
	d := m.Driver
	if d.Circle <= 0 || d.Bolts <= 0 {
		return nil
	}
	size := m.box.DriverSeat.Fixing.Hole
	holes := make([]Hole, d.Bolts)
	for i := range holes {
		a := (float64(i) + 0.5) * 2 * math.Pi / float64(d.Bolts)
		holes[i] = Hole{Kind: "bolt", X: c.X + d.Circle/2*math.Sin(a), Y: c.Y + d.Circle/2*math.Cos(a), Diameter: size, From: "outer"}
	}
	return holes
}

// pilot is the hole for a driver's wood screw when the job names none (common practice for a 4 mm screw in MDF).
const pilot = 3e-3
