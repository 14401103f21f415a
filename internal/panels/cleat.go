package panels

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/plane"
)

// cleat is one strip behind the removable face: its outline in the panel frame of the face, its place along it.
type cleat struct {
	side     int
	outline  plane.Polygon
	along    plane.Line    // the side that it is glued to, inside on its left
	dir      plane.Point   // of that side
	depth    float64       // into the box
	layers   int           // of board
	screws   []plane.Point // panel frame of the face
	from, to float64       // distance of the first and the last screw from the face's corners
}

// within moves every side of a polygon inward by d, corner for corner; ok is false where a side would vanish.
func within(g plane.Polygon, d float64) (in plane.Polygon, ok bool) {
	n := len(g)
	in = make(plane.Polygon, n)
	side := func(i int) plane.Line {
		a, b := g.Edge(i)
		return plane.LineThrough(a, b).Offset(d)
	}
	for i := range g {
		if in[i], ok = side((i + n - 1) % n).Meet(side(i)); !ok {
			return nil, false
		}
	}
	for i := range g {
		a, b := g.Edge(i)
		p, q := in.Edge(i)
		if b.Sub(a).Dot(q.Sub(p)) <= 0 {
			return nil, false
		}
	}
	return in, in.IsSimple() && g.ContainsPolygon(in)
}

// ringOf divides what lies between the inner rim and the opening into strips, one for each side. Each begins at the face of
// the strip before it and runs on to the wall after it; where the corners are too sharp for that all are mitred.
func ringOf(inner, free plane.Polygon) []plane.Polygon {
	n := len(inner)
	ring, mitred := make([]plane.Polygon, n), make([]plane.Polygon, n)
	for k := range inner {
		next := (k + 1) % n
		ring[k] = cleatOutline(inner, free, k)
		mitred[k] = plane.Polygon{inner[k], inner[next], free[next], free[k]}
	}
	const nothing = 1e-12 // m2, rounding of the arithmetic
	for i, g := range ring {
		if !g.IsSimple() || g.Area() <= 0 || g.Area()-g.IntersectArea(inner) > nothing {
			return mitred
		}
		for _, h := range ring[:i] {
			if g.IntersectArea(h) > nothing {
				return mitred
			}
		}
	}
	return ring
}

// cleatOutline is side k's strip, butted: at a corner that points inward both strips are mitred.
func cleatOutline(inner, free plane.Polygon, k int) plane.Polygon {
	n := len(inner)
	line := func(g plane.Polygon, i int) plane.Line {
		a, b := g.Edge((i + n) % n)
		return plane.LineThrough(a, b)
	}
	next := (k + 1) % n
	start, end := inner[k], free[next]
	if inner.InteriorAngle(k) < math.Pi {
		start, _ = line(free, k-1).Meet(line(inner, k))
	}
	if inner.InteriorAngle(next) < math.Pi {
		end, _ = line(inner, next).Meet(line(free, k))
	}
	return plane.Polygon{start, inner[next], end, free[k]}
}

// screw spaces the screws along a cleat: at most 80 mm from the face's corners and 130 mm apart.
func (c *cleat) screw(outer plane.Polygon) {
	k, g := c.side, c.outline
	next := (k + 1) % len(outer)
	at := func(p plane.Point) float64 { return p.Sub(outer[k]).Dot(c.dir) }
	length := at(outer[next])
	lo, hi := math.Max(at(g[0]), at(g[3])), math.Min(at(g[1]), at(g[2]))
	least0, least1 := math.Max(screwLeast, lo+cleatJoint), math.Max(screwLeast, length-hi+cleatJoint)
	gaps := max(1, int(math.Ceil((length-2*screwCorner)/screwApart-rounding)))
	from := math.Min((length-float64(gaps)*screwSpacing)/2, screwCorner)
	c.from, c.to = math.Max(from, least0), math.Max(from, least1)
	if length-c.from-c.to < leastApart { // one screw in its middle, if it has a middle
		if hi-lo < 2*cleatJoint {
			c.from, c.to = 0, 0
			return
		}
		c.from, gaps = (lo+hi)/2, 0
		c.to = length - c.from
	}
	for gaps > 0 && (length-c.from-c.to)/float64(gaps) > screwApart+rounding {
		gaps++
	}
	for i := range gaps + 1 {
		s := c.from
		if gaps > 0 {
			s += (length - c.from - c.to) * float64(i) / float64(gaps)
		}
		foot := outer[k].Add(c.dir.Mul(s))
		c.screws = append(c.screws, foot.Add(c.along.N.Mul(cleatFace/2-c.along.Distance(foot))))
	}
}

// cleatBodies stands the cleats in the air.
func (m *maker) cleatBodies(bodies []solid) []solid {
	f := m.looseFace()
	for _, c := range m.cleats {
		s := solid{name: "cleat", air: tubeSide}
		if f.end >= 0 {
			a, b := f.across(0, 0, f.t), f.across(0, 0, f.t+c.depth)
			s.x0, s.x1 = math.Min(a, b), math.Max(a, b)
			for _, p := range c.outline {
				s.area = append(s.area, f.section(p.X, p.Y, 0))
			}
			s.area = s.area.CCW()
		} else {
			r := c.outline.Bounds()
			s.x0, s.x1 = f.across(r.Min.X, 0, 0), f.across(r.Max.X, 0, 0)
			s.area = plane.Polygon{f.section(0, r.Min.Y, f.t), f.section(0, r.Max.Y, f.t), f.section(0, r.Max.Y, f.t+c.depth), f.section(0, r.Min.Y, f.t+c.depth)}.CCW()
		}
		bodies = append(bodies, s)
	}
	return bodies
}

// slotClearOfCleats refuses a slot that would run into the cleats of a removable face.
func (m *maker) slotClearOfCleats() error {
	for _, r := range m.slot.roofs {
		for _, b := range m.bodies {
			if b.name == "cleat" && b.area.IntersectArea(r.channel.CCW()) > 0 {
				return m.slotError()
			}
		}
	}
	return nil
}

// deductCleats takes the cleats from the air, and gives it what the gasket adds: the face stands off by its thickness.
func (m *maker) deductCleats(add func(string, float64)) {
	if len(m.cleats) == 0 {
		return
	}
	wood := 0.0
	_, inner := m.rim(m.looseFace())
	open := inner.Area()
	for _, c := range m.cleats {
		wood += c.outline.Area() * c.depth
		open -= c.outline.Area()
	}
	add("cleats", wood)
	m.box.Deductions = append(m.box.Deductions, Deduction{"air that the gasket adds", -open * GasketSqueezed})
}

// cleatPanels makes the panels. Their outer face is the one that the removable face lands on; x runs along the wall.
func (m *maker) cleatPanels() []Panel {
	f := m.looseFace()
	var all []Panel
	var where [][][2]string // the walls that the pieces of each are glued to, and that they begin at
	for _, c := range m.cleats {
		y := c.along.N
		low := c.outline[0]
		for _, q := range c.outline {
			low = low.Add(c.dir.Mul(math.Min(0, q.Sub(low).Dot(c.dir)))).Add(y.Mul(math.Min(0, q.Sub(low).Dot(y))))
		}
		p := Panel{Name: "cleat", Role: Cleat, Count: 1, Layers: c.layers, Board: m.Wood.Board, Thickness: c.depth, Nominal: m.nominal(c.depth, c.layers)}
		turned := func(v plane.Point) [3]float64 {
			return [3]float64{v.X*f.place.X[0] + v.Y*f.place.Y[0], v.X*f.place.X[1] + v.Y*f.place.Y[1], v.X*f.place.X[2] + v.Y*f.place.Y[2]}
		}
		p.Place = Frame{Origin: f.place.At(low.X, low.Y, -f.t), X: turned(c.dir), Y: turned(y)}
		local := func(q plane.Point) plane.Point {
			d := q.Sub(low)
			return plane.Point{X: d.Dot(c.dir), Y: d.Dot(y)}
		}
		for _, q := range c.outline {
			p.Outline = append(p.Outline, local(q))
		}
		size := p.Outline.Bounds().Max
		p.Length, p.Width, p.OuterWidth, p.InnerWidth = size.X, size.Y, size.Y, size.Y
		p.Blank = [2]float64{size.X, size.Y}
		p.Volume = c.outline.Area() * c.depth
		for i := range p.Outline {
			p.Edges = append(p.Edges, Edge{Edge: fmt.Sprintf("e%d", i), Joint: "butt-stop", Angle: math.Pi / 2, LongFace: "equal"})
		}
		for _, s := range c.screws {
			q := local(s)
			p.Holes = append(p.Holes, Hole{Kind: "fixing", X: q.X, Y: q.Y, Diameter: m.box.Removable.Barrel, Use: UseFaceInsert, From: "outer"})
		}
		p.Notes = append(p.Notes, fmt.Sprintf("glued and sealed all along inside, its outer face level with the edges that the %s lands on; %s screw-in inserts in its holes", f.name, m.box.Removable.Thread))
		i := slices.IndexFunc(all, func(q Panel) bool { return alike(q, p) })
		if all = merge(all, p); i < 0 {
			i, where = len(where), append(where, nil)
		}
		before := (c.side + len(m.cleats) - 1) % len(m.cleats)
		where[i] = append(where[i], [2]string{m.cleatWall(f, c.side), m.cleatWall(f, before)})
	}
	for i := range all {
		if len(all) > 1 {
			all[i].Name = fmt.Sprintf("cleat %d", i+1)
		}
		if len(where[i]) == 1 {
			all[i].Edges[0].Meets = where[i][0][0]
		}
		all[i].Notes = append([]string{cleatGoes(where[i])}, all[i].Notes...)
	}
	return all
}

// cleatWall names the wall or end that the cleat at a side of the removable face is glued to.
func (m *maker) cleatWall(f *face, side int) string {
	n := len(m.wrap.names)
	switch {
	case f.end == 0: // mirrored, as the end itself
		return m.wrap.names[(2*n-2-side)%n]
	case f.end > 0:
		return m.wrap.names[side]
	}
	return [...]string{m.wrap.names[(f.wall+1)%n], rightEnd, m.wrap.names[(f.wall+n-1)%n], leftEnd}[side]
}

// cleatGoes says where equal cleats go and which way round.
func cleatGoes(where [][2]string) string {
	var all []string
	for _, w := range where {
		all = append(all, fmt.Sprintf("along the %s (reference corner towards the %s)", w[0], w[1]))
	}
	if len(all) == 1 {
		return "goes " + all[0]
	}
	return "one " + strings.Join(all, ", one ")
}

// merge counts a strip that is like one that is there already with it.
func merge(all []Panel, p Panel) []Panel {
	for i := range all {
		if q := &all[i]; alike(*q, p) {
			if q.Count == 1 {
				q.Places = []Frame{q.Place}
			}
			q.Count++
			q.Places = append(q.Places, p.Place)
			return all
		}
	}
	return append(all, p)
}

// alike reports whether two pieces have the same outline and the same holes, to a micrometre.
func alike(a, b Panel) bool {
	if len(a.Outline) != len(b.Outline) || len(a.Holes) != len(b.Holes) {
		return false
	}
	for i := range a.Outline {
		if a.Outline[i].Sub(b.Outline[i]).Norm() > sameSize {
			return false
		}
	}
	for i := range a.Holes {
		if math.Hypot(a.Holes[i].X-b.Holes[i].X, a.Holes[i].Y-b.Holes[i].Y) > sameSize {
			return false
		}
	}
	return true
}
