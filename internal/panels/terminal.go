package panels

import (
	"math"

	"cubby/internal/plane"
)

// The cable's way out of the box (common practice).
const (
	cableHole     = 10e-3
	terminalWood  = 40e-3 // to a joint or a brace
	terminalBolts = 50e-3 // to the drivers' bolt circle
)

// terminal is the cable hole.
type terminal struct {
	face *face
	at   plane.Point
	room float64 // least distance to a joint, m
}

// planTerminal puts the cable hole on the end or back that has most room, away from driver and port, low and to the rear.
func (m *maker) planTerminal() error {
	if !m.Terminal {
		return nil
	}
	for _, name := range []string{leftEnd, rightEnd, "back", "top"} {
		wall, end, err := m.resolve(name, m.Section, m.wrap.names)
		if err != nil {
			continue
		}
		f := m.faceOf(wall, end)
		for _, p := range f.quiet(terminalWood + 5e-3) {
			room := math.Min(f.room(p.X, p.Y), m.fromOpenings(f, p))
			if room < cableHole {
				continue
			}
			t := &terminal{face: f, at: p, room: room}
			if m.terminal == nil || math.Min(room, terminalWood) > math.Min(m.terminal.room, terminalWood)+1e-9 {
				m.terminal = t
			}
		}
		if m.terminal != nil && m.terminal.room >= terminalWood {
			break
		}
	}
	if m.terminal == nil {
		m.wrap.warn("no end or wall has room for a cable hole of %s clear of joints and openings", m.wrap.length(cableHole))
	}
	return nil
}

// quiet lists places on a face to try: the corners of its free part moved in by margin, the lower ones first, and its middle.
func (f *face) quiet(margin float64) []plane.Point {
	r := f.free
	mid := r.Min.Add(r.Max).Mul(0.5)
	dx, dy := math.Min(margin, mid.X-r.Min.X), math.Min(margin, mid.Y-r.Min.Y)
	ps := []plane.Point{{X: r.Max.X - dx, Y: r.Min.Y + dy}, {X: r.Min.X + dx, Y: r.Min.Y + dy}, {X: r.Max.X - dx, Y: mid.Y}, {X: r.Min.X + dx, Y: mid.Y}, mid}
	if f.end == 0 { // x runs to the front on the left end
		ps[0], ps[1] = ps[1], ps[0]
	}
	if f.shape != nil {
		ps = append(ps, f.roomiest(mid, margin))
	}
	return ps
}

// fromOpenings is the room to the openings on the same face, in terms of the distance wanted to joints, and -1 under a body.
func (m *maker) fromOpenings(f *face, p plane.Point) float64 {
	room := math.Inf(1)
	if f.wall == m.seat.wall && f.end == m.seat.end {
		for _, c := range m.box.DriverSeat.Centres {
			room = math.Min(room, c.Sub(p).Norm()-math.Max(m.Driver.Circle, m.Driver.frame())/2-(terminalBolts-terminalWood))
		}
	}
	for _, t := range m.ports {
		if t.face.wall == f.wall && t.face.end == f.end {
			room = math.Min(room, t.seat.Centre.Sub(p).Norm()-t.od/2)
		}
	}
	if f.wall >= 0 {
		x := f.across(p.X, p.Y, 0)
		for _, b := range m.braces {
			room = math.Min(room, math.Max(b.left-x, x-b.left-b.t))
		}
	}
	depth, _ := m.reach(f, p.X, p.Y, cableHole/2, false)
	if depth < f.t+10e-3 {
		return -1
	}
	return room
}
