package panels

import (
	"fmt"
	"math"

	"cubby/internal/plane"
)

// Wood that has to stay round openings; a third of it is the least (common practice).
const (
	fixingWood  = 25e-3 // round a fixing point to the vehicle, to a joint or another opening
	betweenWood = 15e-3 // between two other openings
	leastShare  = 1.0 / 3
)

// opening is something cut through a panel, with what it covers there, as it counts for the wood round it.
type opening struct {
	name, kind string
	face       *face
	at         plane.Point
	round      bool
	hx, hy     float64 // half of its size; equal when round
}

// same reports whether two faces are the same panel.
func (f *face) same(g *face) bool { return f.wall == g.wall && f.end == g.end }

func (m *maker) isLoose(f *face) bool {
	return f.wall >= 0 && f.wall == m.loose || f.end >= 0 && f.end == m.looseEnd
}

func (o opening) rect() plane.Rect {
	h := plane.Point{X: o.hx, Y: o.hy}
	return plane.Rect{Min: o.at.Sub(h), Max: o.at.Add(h)}
}

// toJoint is the wood between the opening and the nearest joint of its face; negative by how far it reaches into it.
func (o opening) toJoint() float64 {
	f := o.face
	switch {
	case o.round:
		return f.room(o.at.X, o.at.Y) - o.hx
	case f.shape == nil:
		r, free := o.rect(), f.free
		return math.Min(math.Min(r.Min.X-free.Min.X, free.Max.X-r.Max.X), math.Min(r.Min.Y-free.Min.Y, free.Max.Y-r.Max.Y))
	}
	d, r := math.Inf(1), o.rect()
	for k := range f.shape {
		a, b := f.shape.Edge(k)
		d = math.Min(d, offRect(r, a, b))
	}
	if d > 0 && f.shape.Contains(o.at) || d == 0 && f.shape.ContainsPolygon(r.Polygon()) {
		return d
	}
	return -1
}

// offRect is the distance between the outline of a rectangle and the segment ab; 0 when they cross.
func offRect(r plane.Rect, a, b plane.Point) float64 {
	inside := func(p plane.Point) bool { return p.X > r.Min.X && p.X < r.Max.X && p.Y > r.Min.Y && p.Y < r.Max.Y }
	corners := [...]plane.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}}
	d := math.Inf(1)
	left, right := false, false // corners beside the line ab
	for _, c := range corners {
		d = math.Min(d, offSegment(c, a, b))
		side := b.Sub(a).Cross(c.Sub(a))
		left, right = left || side > 0, right || side < 0
	}
	if inside(a) != inside(b) {
		return 0
	}
	for _, p := range [...]plane.Point{a, b} {
		if !inside(p) {
			dx, dy := math.Max(r.Min.X-p.X, p.X-r.Max.X), math.Max(r.Min.Y-p.Y, p.Y-r.Max.Y)
			d = math.Min(d, math.Hypot(math.Max(dx, 0), math.Max(dy, 0)))
		} else {
			d = math.Min(d, math.Min(math.Min(p.X-r.Min.X, r.Max.X-p.X), math.Min(p.Y-r.Min.Y, r.Max.Y-p.Y)))
		}
	}
	box := plane.Polygon{a, b}.Bounds()
	if left && right && box.Min.X < r.Max.X && box.Max.X > r.Min.X && box.Min.Y < r.Max.Y && box.Max.Y > r.Min.Y && !inside(a) {
		return 0 // through it from outside to outside
	}
	return d
}

// apart is the wood between two openings of one face; negative when they run into each other.
func (o opening) apart(x opening) float64 {
	d := x.at.Sub(o.at)
	dx, dy := math.Abs(d.X), math.Abs(d.Y)
	if o.round && x.round {
		return math.Hypot(dx, dy) - o.hx - x.hx
	}
	r := 0.0
	if o.round {
		r += o.hx
	} else {
		dx, dy = dx-o.hx, dy-o.hy
	}
	if x.round {
		r += x.hx
	} else {
		dx, dy = dx-x.hx, dy-x.hy
	}
	if dx < 0 && dy < 0 {
		return math.Max(dx, dy) - r
	}
	return math.Hypot(math.Max(dx, 0), math.Max(dy, 0)) - r
}

// openings lists what is cut through walls and ends, with the flanges that lie round it.
func (m *maker) openings() []opening {
	var all []opening
	numbered := func(name string, i, n int) string {
		if n > 1 {
			return fmt.Sprintf("%s %d", name, i+1)
		}
		return name
	}
	centres := m.box.DriverSeat.Centres
	for i, c := range centres {
		r := m.flange() / 2
		all = append(all, opening{name: numbered("the driver", i, len(centres)), kind: "driver", face: m.seat, at: c, round: true, hx: r, hy: r})
	}
	for i, t := range m.ports {
		r := t.od/2 + m.Port.Flange.Rim
		all = append(all, opening{name: numbered("the port", i, len(m.ports)), kind: "port", face: t.face, at: t.seat.Centre, round: true, hx: r, hy: r})
	}
	if s := m.slot; s != nil && len(m.box.PortSeats) > 0 {
		f, size := m.slotMouth()
		all = append(all, opening{name: "the slot", kind: "slot", face: f, at: m.box.PortSeats[0].Centre, hx: size.X / 2, hy: size.Y / 2})
	}
	if t := m.terminal; t != nil {
		all = append(all, t.opening)
	}
	return append(all, m.points...)
}

// checkOpenings finds the pair of openings with the least wood between them, of what is wanted there. What belongs to the
// driver's face, the ports' and the terminal's own distances has checks of its own; here everything meets everything.
func (m *maker) checkOpenings() {
	all, l := m.openings(), m.wrap.length
	worst, pair := math.Inf(1), ""
	value, want := 0.0, betweenWood
	for i, a := range all {
		for _, b := range all[:i] {
			if !a.face.same(b.face) || a.kind == b.kind && a.kind != "fixing" {
				continue
			}
			need := betweenWood
			if a.kind == "fixing" || b.kind == "fixing" {
				need = fixingWood
			}
			if d := a.apart(b); d/need < worst {
				worst, value, want = d/need, d, need
				pair = fmt.Sprintf("between %s and %s on the %s", b.name, a.name, a.face.name)
			}
		}
	}
	if pair == "" {
		return
	}
	note := fmt.Sprintf("%s of wood is left %s; %s is wanted", l(value), pair, l(want))
	if value < want-rounding {
		note += fmt.Sprintf("; %s more between them would do", l(want-value))
	}
	m.add("wood between openings", grade(value, want, leastShare*want), value, want, "m", "%s", note)
}
