package cavity

import (
	"math"
	"slices"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// pastOpen is how far the room goes on before an open side, m: more than any air that a cone or a mouth wants.
const pastOpen = 0.9

// Obstacle is what stands before a cone, a mouth or a terminal: a closed side or a block; both empty when the way is clear.
type Obstacle struct {
	Blocked bool
	Side    Side   // when Block is empty
	Block   string // its name
}

// isOpen tells whether air and hands may come from a side; the front is open when the job names none.
func (m *Room) isOpen(s Side) bool {
	if len(m.space.Open) == 0 {
		return s == Front
	}
	return slices.Contains(m.space.Open, s)
}

// opened is the room within walls with the open sides moved out.
func (m *Room) opened(w walls) walls {
	past := func(s Side) float64 { return either(m.isOpen(s), pastOpen, 0) }
	w.front, w.back = shifted(w.front, -past(Front)), shifted(w.back, past(Back))
	w.roof, w.floor = w.roof.lowered(past(Roof)), w.floor.lowered(past(Floor))
	w.leans = slices.DeleteFunc(slices.Clone(w.leans), func(h halfSpace) bool { return m.isOpen(h.side) })
	return w
}

func shifted(list []float64, d float64) []float64 {
	out := make([]float64, len(list))
	for i, v := range list {
		out[i] = v + d
	}
	return out
}

// lowered is the sheet at a depth under itself.
func (s *sheet) lowered(by float64) *sheet {
	low := *s
	low.lines = make([]profile, len(s.lines))
	for i, f := range s.lines {
		for _, p := range f {
			low.lines[i] = append(low.lines[i], piece{p.a, p.b, p.va - by, p.vb - by})
		}
	}
	return &low
}

// Before tells what stands in a cylinder that begins at p and runs along the unit vector dir; radius and length in
// metres; with measures that are none it is blocked. Along an axis the answer is exact for what is measured; askew it is looked for at points.
func (m *Room) Before(p, dir r3.Vec, radius, length float64) Obstacle {
	if !finite(p.X, p.Y, p.Z, dir.X, dir.Y, dir.Z, radius, length) {
		return Obstacle{Blocked: true}
	}
	for _, axis := range axes {
		if d := axis.Of(dir); math.Abs(d) > 1-1e-9 {
			a, b := axis.Of(p), axis.Of(p)+d*length
			return m.circle(axis, math.Min(a, b), math.Max(a, b), axis.Section(p), radius)
		}
	}
	u, v := frame(r3.Unit(dir))
	const rings, spokes, steps = 3, 16, 16
	for k := range steps + 1 {
		mid := r3.Add(p, r3.Scale(length*float64(k)/steps, r3.Unit(dir)))
		for ring := range rings + 1 {
			for s := range spokes {
				sin, cos := math.Sincos(2 * math.Pi * float64(s) / spokes)
				r := radius * float64(ring) / rings
				q := r3.Add(mid, r3.Add(r3.Scale(r*cos, u), r3.Scale(r*sin, v)))
				if o := m.at(&m.wide, q); o.Blocked {
					return o
				}
			}
		}
	}
	return Obstacle{}
}

// at tells what a point lies in.
func (m *Room) at(w *walls, q r3.Vec) Obstacle {
	const slack = 1e-6
	if i := w.block(q, slack); i >= 0 {
		return Obstacle{Blocked: true, Block: w.blocks[i].Name}
	}
	if m.isOpen(Left) {
		q.X = max(w.left, q.X)
	}
	if m.isOpen(Right) {
		q.X = min(w.right, q.X)
	}
	side, out := w.beyond(q, m.xs, slack)
	return Obstacle{Blocked: out, Side: side}
}

// circle tells what a circle of the section meets over a stretch of an axis.
func (m *Room) circle(axis Axis, a, b float64, c plane.Point, radius float64) Obstacle {
	for i := range m.raw.blocks {
		if g := m.raw.blocks[i].shadow(axis, a, b); g != nil && (g.Contains(c) || g.Distance(c) < radius-1e-6) {
			return Obstacle{Blocked: true, Block: m.raw.blocks[i].Name}
		}
	}
	w := m.wide
	w.blocks = nil
	if axis == Across { // an open side ends the stretch; a closed one stands in it
		if a < w.left-1e-6 && !m.isOpen(Left) {
			return Obstacle{Blocked: true, Side: Left}
		}
		if b > w.right+1e-6 && !m.isOpen(Right) {
			return Obstacle{Blocked: true, Side: Right}
		}
		a, b = math.Max(a, w.left), math.Min(b, w.right)
		if b-a <= tiny {
			return Obstacle{}
		}
	}
	s := w.band(m.xs, axis, a, b, 1e-6, 0)
	for _, way := range s.passings() {
		for _, g := range between(way.lo, way.hi) {
			if axis != Across {
				g = m.pastSides(g)
			}
			if g.Contains(c) && g.Distance(c) >= radius-1e-6 {
				return Obstacle{}
			}
		}
	}
	return Obstacle{Blocked: true, Side: m.sideNear(&w, axis, a, b, c, radius)}
}

// pastSides draws a section out over the open sides left and right.
func (m *Room) pastSides(g plane.Polygon) plane.Polygon {
	g = slices.Clone(g)
	for i := range g {
		if m.isOpen(Left) && g[i].X <= m.raw.left+1e-9 {
			g[i].X -= pastOpen
		}
		if m.isOpen(Right) && g[i].X >= m.raw.right-1e-9 {
			g[i].X += pastOpen
		}
	}
	return g
}

// sideNear names the side that a circle which meets one meets first, by points on it.
func (m *Room) sideNear(w *walls, axis Axis, a, b float64, c plane.Point, radius float64) Side {
	for k := range 17 {
		for s := range 48 {
			sin, cos := math.Sincos(2 * math.Pi * float64(s) / 48)
			q := axis.At(plane.Point{X: c.X + radius*cos, Y: c.Y + radius*sin}, a+(b-a)*float64(k)/16)
			if o := m.at(w, q); o.Blocked {
				return o.Side
			}
		}
	}
	return Roof
}

// Allowed gives what a prism along an axis may occupy over [lo, hi]: simple polygons in the coordinates of the axis, one for
// each way past the blocks; they may overlap.
func (m *Room) Allowed(axis Axis, lo, hi float64) []plane.Polygon {
	var all []plane.Polygon
	band := m.free.band(m.xs, axis, lo, hi, tiny, 0)
	for _, b := range band.passings() {
		all = append(all, b.pieces(tiny)...)
	}
	return all
}

// Marks are the places across at which what is free may change: the sides, the stations and the ends of blocks, with the gap.
func (m *Room) Marks() []float64 {
	all := append([]float64{m.free.left, m.free.right}, m.xs...)
	for i := range m.free.blocks {
		lo, hi := m.free.blocks[i].bounds()
		all = append(all, lo.X, hi.X)
	}
	return all
}

// Gapless is the same space without a gap.
func (m *Room) Gapless() (*Room, error) {
	s := *m.space
	s.Gap = 0
	return s.Settle()
}
