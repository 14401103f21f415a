package render

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// mesh is a closed surface of triangles, metres, counter-clockwise from outside.
type mesh struct {
	at   []r3.Vec
	tri  [][3]int32
	find map[[3]int64]int32
}

// meshGrid is the distance below which two corners are one, m.
const meshGrid = 1e-9

func (m *mesh) corner(v r3.Vec) int32 {
	if m.find == nil {
		m.find = map[[3]int64]int32{}
	}
	key := [3]int64{int64(math.Round(v.X / meshGrid)), int64(math.Round(v.Y / meshGrid)), int64(math.Round(v.Z / meshGrid))}
	i, ok := m.find[key]
	if !ok {
		i = int32(len(m.at))
		m.at, m.find[key] = append(m.at, v), i
	}
	return i
}

// face adds a plane face with holes, its first loop counter-clockwise and the others clockwise as seen against the normal.
func (m *mesh) face(normal r3.Vec, loops ...[]r3.Vec) {
	x := r3.Unit(r3.Sub(loops[0][1], loops[0][0]))
	y := r3.Cross(normal, x)
	var flat []plane.Polygon
	var ids []int32
	for _, l := range loops {
		g := make(plane.Polygon, len(l))
		for i, v := range l {
			g[i] = plane.Point{X: r3.Dot(v, x), Y: r3.Dot(v, y)}
			ids = append(ids, m.corner(v))
		}
		flat = append(flat, g)
	}
	for _, t := range triangles(flat) {
		c := [3]int32{ids[t[0]], ids[t[1]], ids[t[2]]}
		if c[0] != c[1] && c[1] != c[2] && c[2] != c[0] {
			m.tri = append(m.tri, c)
		}
	}
}

// placed is the mesh of a panel's frame in the space, moved.
func (m *mesh) placed(f panels.Frame, by r3.Vec) *mesh {
	out := &mesh{tri: m.tri}
	for _, v := range m.at {
		out.at = append(out.at, r3.Add(f.At(plane.Point{X: v.X, Y: v.Y}, v.Z), by))
	}
	return out
}

// solidOf makes the closed surface of a panel with its steps and openings in its frame, and says in words what it had to leave
// out: openings that cut into each other or into an edge, and steps of unlike depth that meet at a corner.
func solidOf(p *panels.Panel) (m *mesh, left []string) {
	f := flatOf(p)
	m = &mesh{}
	t := f.thickness
	steps, plain := f.steps()
	if !plain {
		left = append(left, "its rabbets of unlike depth")
	}
	holes, dropped := nested(f)
	for _, h := range dropped {
		left = append(left, holeWords(h)+" that cuts into another opening, a step or an edge")
	}
	outer, inner := f.outer(), steps.faces(m, f)
	var rimsOut, rimsIn []plane.Polygon
	for _, r := range f.rims {
		rimsOut, rimsIn = append(rimsOut, outerOf(r)), append(rimsIn, innerOf(r))
		m.edges(r, t)
	}
	m.horizontal(outer, 0, true, holes, -1, rimsOut...)
	m.horizontal(inner, -t, false, holes, -1, rimsIn...)
	for i, h := range holes {
		hi, lo := 0.0, -t
		if h.outer >= 0 {
			hi = -holes[h.outer].Depth
		}
		if h.inner >= 0 {
			lo = holes[h.inner].Depth - t
		}
		if h.Depth > 0 && h.From != "inner" {
			lo = -h.Depth
			m.horizontal(h.ring, lo, true, holes, i)
		} else if h.Depth > 0 {
			hi = h.Depth - t
			m.horizontal(h.ring, hi, false, holes, i)
		}
		m.wall(h.ring, hi, lo)
	}
	return m, left
}

// horizontal adds a face parallel to the board's, looking out of the box or into it, less the openings that start in it:
// those of the face itself (in -1) or of the floor of an opening; rims, clockwise as seen from outside, are left out of it too.
func (m *mesh) horizontal(g plane.Polygon, z float64, out bool, holes []bore, in int, rims ...plane.Polygon) {
	loops := [][]r3.Vec{at3(g, z)}
	for _, r := range rims {
		loops = append(loops, at3(r, z))
	}
	for _, h := range holes {
		starts := h.From != "inner" || h.Depth == 0
		parent := h.outer
		if !out {
			starts, parent = h.From == "inner" || h.Depth == 0, h.inner
		}
		if starts && parent == in {
			ring := at3(h.ring, z)
			slices.Reverse(ring)
			loops = append(loops, ring)
		}
	}
	normal := r3.Vec{Z: 1}
	if !out {
		normal.Z = -1
		for _, l := range loops {
			slices.Reverse(l)
		}
	}
	m.face(normal, loops...)
}

func at3(g plane.Polygon, z float64) []r3.Vec {
	out := make([]r3.Vec, len(g))
	for i, p := range g {
		out[i] = r3.Vec{X: p.X, Y: p.Y, Z: z}
	}
	return out
}

// wall adds the wall of an opening between two depths, looking at the air in it.
func (m *mesh) wall(ring plane.Polygon, hi, lo float64) {
	for i := range ring {
		p, q := ring.Edge(i)
		a, b := r3.Vec{X: p.X, Y: p.Y, Z: lo}, r3.Vec{X: q.X, Y: q.Y, Z: lo}
		m.ring(b, a, r3.Vec{X: p.X, Y: p.Y, Z: hi}, r3.Vec{X: q.X, Y: q.Y, Z: hi})
	}
}

// edges adds the edges between two faces of a board of a thickness.
func (m *mesh) edges(sides []side, thickness float64) {
	hi, lo := at3(outerOf(sides), 0), at3(innerOf(sides), -thickness)
	for i := range sides {
		j := (i + 1) % len(sides)
		m.ring(lo[i], lo[j], hi[j], hi[i])
	}
}

// stepFaces is the steps of a board: the outline at their floors, and the raised field of the inner face that they leave.
type stepFaces struct {
	depth float64       // 0: no step
	level plane.Polygon // the board's outline at the steps' floor
	field plane.Polygon // the raised field at the steps' floor
	cap   plane.Polygon // the raised field in the inner face
}

// stepApart is what a step leaves between it and a notch beside it, m: both walls in one plane would close nothing.
const stepApart = 2e-6

// steps finds the raised field; false: the steps differ in depth and are left out.
func (f *flatBoard) steps() (s stepFaces, plain bool) {
	for _, e := range f.sides {
		switch {
		case e.step.Depth == 0:
		case s.depth == 0:
			s.depth = e.step.Depth
		case math.Abs(s.depth-e.step.Depth) > machineTouch:
			return stepFaces{}, false
		}
	}
	if s.depth == 0 {
		return s, true
	}
	k := 1 - s.depth/f.thickness // how far from outer to inner face the floor lies
	n := len(f.sides)
	for _, e := range f.sides {
		s.level = append(s.level, e.outer.Mul(1-k).Add(e.inner.Mul(k)))
	}
	field := func(g plane.Polygon) plane.Polygon {
		line := func(i int) plane.Line {
			base := g
			if f.sides[i].step.Depth > 0 {
				base = s.level // the step's wall is square to the face
			}
			a, b := base.Edge(i)
			l, width := plane.LineThrough(a, b), f.sides[i].step.Width
			for _, k := range [2]int{(i + n - 1) % n, (i + 2) % n} { // the far ends of its neighbours
				if d := l.Distance(base[k]); width > 0 && math.Abs(d-width) < stepApart { // a notch that begins where the step ends
					width = d - stepApart
				}
			}
			return l.Offset(width)
		}
		return meeting(g, line)
	}
	s.field, s.cap = field(s.level), field(f.inner())
	return s, true
}

// faces adds the edges of a board with its steps and gives what is left of its inner face.
func (s stepFaces) faces(m *mesh, f flatBoard) (inner plane.Polygon) {
	if s.depth == 0 {
		m.edges(f.sides, f.thickness)
		return f.inner()
	}
	floor := s.depth - f.thickness
	hi, level, field, top := at3(f.outer(), 0), at3(s.level, floor), at3(s.field, floor), at3(s.cap, -f.thickness)
	for i := range f.sides {
		j := (i + 1) % len(f.sides)
		if f.sides[i].step.Depth == 0 {
			m.ring(top[i], top[j], field[j], level[j], hi[j], hi[i], level[i], field[i])
			continue
		}
		m.ring(level[i], level[j], hi[j], hi[i])
		m.ring(field[i], field[j], level[j], level[i])
		m.ring(top[i], top[j], field[j], field[i])
	}
	return s.cap
}

// ring adds a plane face by its corners in order; corners that repeat are dropped.
func (m *mesh) ring(loop ...r3.Vec) {
	var own []r3.Vec
	for i, v := range loop {
		if r3.Norm(r3.Sub(v, loop[(i+len(loop)-1)%len(loop)])) > meshGrid {
			own = append(own, v)
		}
	}
	if len(own) < 3 {
		return
	}
	var normal r3.Vec
	for i := range own {
		normal = r3.Add(normal, r3.Cross(r3.Sub(own[i], own[0]), r3.Sub(own[(i+1)%len(own)], own[0])))
	}
	if r3.Norm(normal) < meshGrid*meshGrid {
		return
	}
	m.face(r3.Unit(normal), own)
}

// bore is a hole with its outline and the openings whose floors it starts in, by index; -1: the face.
type bore struct {
	panels.Hole
	ring         plane.Polygon
	outer, inner int
}

// ringError is how far a polygon may leave the circle that it stands for, m.
const ringError = 0.02e-3

// ringOf is the outline of a hole, counter-clockwise. Circles become polygons of the same area, so that volumes are exact.
func ringOf(h panels.Hole) plane.Polygon {
	if h.Diameter > 0 {
		return arcRing(plane.Point{X: h.X, Y: h.Y}, h.Diameter/2)
	}
	r := rectOf(h)
	c := math.Min(h.Radius, math.Min(h.Length, h.Width)/2)
	if c <= 0 {
		return r.Polygon()
	}
	whole := arcRing(plane.Point{}, c)
	n := len(whole)
	var g plane.Polygon
	for q, at := range []plane.Point{{X: r.Max.X - c, Y: r.Max.Y - c}, {X: r.Min.X + c, Y: r.Max.Y - c}, {X: r.Min.X + c, Y: r.Min.Y + c}, {X: r.Max.X - c, Y: r.Min.Y + c}} {
		for k := range n/4 + 1 {
			a := 2 * math.Pi * float64(q*n/4+k) / float64(n)
			g = append(g, at.Add(plane.Point{X: c * math.Cos(a), Y: c * math.Sin(a)}))
		}
	}
	return g.Clean(1e-7, 0)
}

func arcRing(at plane.Point, r float64) plane.Polygon {
	n := 24
	if e := 1 - ringError/r; e > 0 && e < 1 {
		n = max(n, 4*int(math.Ceil(math.Pi/math.Acos(e)/4)))
	}
	step := 2 * math.Pi / float64(n)
	same := r * math.Sqrt(step/math.Sin(step))
	g := make(plane.Polygon, n)
	for i := range g {
		s, c := math.Sincos(step * float64(i))
		g[i] = plane.Point{X: at.X + same*c, Y: at.Y + same*s}
	}
	return g
}

// nested puts the holes of a board into each other: a bolt hole starts in the floor of the recess round it. What cuts
// into another opening or the board's edge is given back.
func nested(f flatBoard) (kept []bore, dropped []panels.Hole) {
	hs := slices.Clone(f.holes)
	slices.SortStableFunc(hs, func(a, b panels.Hole) int {
		return cmp.Compare(math.Abs(ringOf(b).Area()), math.Abs(ringOf(a).Area()))
	})
	outer, inner := f.outer(), f.inner()
	if s, _ := f.steps(); s.depth > 0 {
		inner = s.cap
	}
	for _, h := range hs {
		if h.Depth >= f.thickness-machineTouch {
			h.Depth = 0
		}
		o := bore{Hole: h, ring: ringOf(h), outer: -1, inner: -1}
		ok := within2(o.ring, outer) && within2(o.ring, inner)
		gone := false
		for i, k := range kept {
			in, apart := within2(o.ring, k.ring), disjoint(o.ring, k.ring)
			switch {
			case apart:
			case !in:
				ok = false
			case k.Depth == 0:
				gone = true // inside an opening that goes through
			case k.From != "inner" && (h.From != "inner" || h.Depth == 0):
				if o.outer = i; h.Depth > 0 && h.Depth <= k.Depth+machineTouch {
					gone = true
				}
			case k.From == "inner" && (h.From == "inner" || h.Depth == 0):
				if o.inner = i; h.Depth > 0 && h.Depth <= k.Depth+machineTouch {
					gone = true
				}
			case h.Depth+k.Depth >= f.thickness-machineTouch: // two blind ones meet in the board
				ok = false
			}
		}
		switch {
		case gone:
		case !ok:
			dropped = append(dropped, h)
		default:
			kept = append(kept, o)
		}
	}
	return kept, dropped
}

// within2 reports whether all of g lies inside h, not touching it.
func within2(g, h plane.Polygon) bool {
	return !slices.ContainsFunc(g, func(p plane.Point) bool { return !inside(h, p) }) && !ringsCross(g, h)
}

// disjoint reports whether g and h have nothing in common but where they touch.
func disjoint(g, h plane.Polygon) bool {
	return !slices.ContainsFunc(g, func(p plane.Point) bool { return inside(h, p) }) &&
		!slices.ContainsFunc(h, func(p plane.Point) bool { return inside(g, p) }) && !ringsCross(g, h)
}

// inside reports whether p lies in g and not on its outline.
func inside(g plane.Polygon, p plane.Point) bool {
	return g.Contains(p) && g.Distance(p) >= machineTouch
}

func ringsCross(g, h plane.Polygon) bool {
	for i := range g {
		a, b := g.Edge(i)
		for j := range h {
			c, d := h.Edge(j)
			s := func(p, q, r plane.Point) bool { return q.Sub(p).Cross(r.Sub(p)) > 0 }
			if s(a, b, c) != s(a, b, d) && s(c, d, a) != s(c, d, b) {
				return true
			}
		}
	}
	return false
}

// holeWords names a hole: "bolt hole of 5.5 mm".
func holeWords(h panels.Hole) string {
	if h.Diameter > 0 {
		return fmt.Sprintf("%s hole of %s mm", h.Kind, figureMM(h.Diameter))
	}
	return fmt.Sprintf("%s opening of %s x %s mm", h.Kind, figureMM(h.Length), figureMM(h.Width))
}
