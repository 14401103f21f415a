package panels

import (
	"fmt"
	"math"

	"cubby/internal/plane"
)

// Strip braces: pieces of board on edge, glued along their whole length to the panel that they stiffen (common practice).
// They serve where a window brace does not: on the ends, and on walls of boxes in which a window would open less than half
// of the section or where something stands in the way of one.
const (
	stripTall  = 3.0    // height over thickness; 4 is the most that does not tip over while it is glued
	stripLeast = 60e-3  // shortest strip
	mostStrips = 3      // on one panel
	stripTries = 6      // places tried to each side of the one wanted
	stripStep  = 10e-3  // between them
	stripPlay  = 0.3e-3 // in its length
)

// strip is a strip brace: a box of length x height x thickness in a frame of its own, x along it, y into the air.
type strip struct {
	name   string
	on     string // the panel that it is glued to
	place  Frame
	length float64
	height float64
	t      float64
	body   solid
}

// plateOf is a panel as a plate: its sides in a frame of the section plane or along the width, and how to put a strip on it.
type plateOf struct {
	name  string
	t     float64
	sides [2]float64 // along the directions in which its spans can be divided
	least [2]float64 // what stays undivided elsewhere on the panel
	// strip gives the strip that divides side k at the coordinate at; ok is false where it does not go
	strip func(k int, at float64) (strip, bool)
}

// planStrips puts strips on the ends and walls whose first resonance is still too low with the braces placed so far.
func (m *maker) planStrips() {
	for e := range m.endT {
		if e != m.looseEnd {
			m.stiffen(m.endPlate(e))
		}
	}
	for i := range m.wrap.walls {
		if i != m.loose {
			m.stiffen(m.wallPlate(i))
		}
	}
}

// stiffen adds the fewest strips that lift a plate's resonance to the lowest wished for, or those that lift it most.
func (m *maker) stiffen(p plateOf) {
	best, low := []strip(nil), m.plate(p.sides[0], p.sides[1], p.t)
	var split [2]float64
	for n := 1; n <= mostStrips && low < m.Brace.Lowest; n++ {
		order := [...]int{0, 1} // the longer side first: the strip across it is short, and so stiff
		if p.sides[1] > p.sides[0] {
			order = [...]int{1, 0}
		}
		for _, k := range order {
			if low >= m.Brace.Lowest {
				break
			}
			strips, widest := m.divide(p, k, n)
			if strips == nil {
				continue
			}
			sides := p.sides
			sides[k] = math.Max(widest, p.least[k])
			if f := m.plate(sides[0], sides[1], p.t); f > low*(1+slack) {
				best, low, split = strips, f, sides
			}
		}
	}
	if best == nil {
		return
	}
	if m.spans == nil {
		m.spans = map[string][2]float64{}
	}
	m.spans[p.name] = split
	for i := range best {
		best[i].name = "strip on the " + p.name
		if len(best) > 1 {
			best[i].name = fmt.Sprintf("strip %d on the %s", i+1, p.name)
		}
		best[i].body.name = best[i].name
		m.bodies = append(m.bodies, best[i].body)
	}
	m.strips = append(m.strips, best...)
}

// divide places n strips across side k of a plate at unequal spans, each moved a little where something stands in its way,
// and gives the widest span that is left; nil when one of them does not go.
func (m *maker) divide(p plateOf, k, n int) (strips []strip, widest float64) {
	t := m.Wood.Thickness
	clear := p.sides[k] - float64(n)*t
	if clear/float64(n+1) < stripLeast {
		return nil, 0
	}
	x, from := 0.0, 0.0
	for i := range n {
		x += clear / float64(n+1) * (1 + braceUneven*(2*float64(i)/float64(n)-1))
		found := false
		for try := 0; try <= 2*stripTries && !found; try++ {
			at := x + float64((try+1)/2)*stripStep*float64(1-2*(try%2))
			if at < from || at > p.sides[k]-t {
				continue
			}
			var s strip
			if s, found = p.strip(k, at); found && m.freeOf(s.body) {
				strips = append(strips, s)
				widest, from = math.Max(widest, at-from), at+t
			} else {
				found = false
			}
		}
		if !found {
			return nil, 0
		}
		x += t
	}
	return strips, math.Max(widest, p.sides[k]-from)
}

// freeOf reports whether a strip stands inside, keeps the air that is wanted to drivers and ports, stands clear of all else, and
// is not before the inner mouth of a port.
func (m *maker) freeOf(b solid) bool {
	for _, o := range m.bodies {
		air := 0.0
		switch wallKind(o.name) {
		case "driver", "port":
			air = braceClear
		case "brace": // it reaches from wall to wall
			if b.x0 < o.x1 && o.x0 < b.x1 {
				return false
			}
			continue
		}
		if b.meets(o, air) {
			return false
		}
	}
	for _, p := range m.ports {
		if b.meets(p.mouth, 0) {
			return false
		}
	}
	if m.slot != nil && m.slot.lane == nil && b.meets(m.slotExit(), 0) {
		return false
	}
	for _, p := range b.area {
		if !m.wrap.inside.Contains(p) {
			return false
		}
	}
	for _, p := range m.wrap.inside {
		if !separate(b.area, plane.Polygon{p}, touchStrip) {
			return false
		}
	}
	return true
}

// touchStrip is how deep two things may seem to run into each other by rounding, m.
const touchStrip = 1e-7

// meets reports whether two convex solids are nearer to each other than air.
func (b solid) meets(o solid, air float64) bool {
	return b.x0 < o.x1+air && o.x0 < b.x1+air && !separate(b.area, o.area, touchStrip-air)
}

// separate reports whether a side of one of two convex, counter-clockwise polygons has the other wholly beyond it, but for
// the depth by which they may run into each other; a negative depth is air between them.
func separate(g, h plane.Polygon, depth float64) bool {
	for _, pair := range [...][2]plane.Polygon{{g, h}, {h, g}} {
		for i := range pair[0] {
			a, b := pair[0].Edge(i)
			if a == b {
				continue // a single point
			}
			l, nearest := plane.LineThrough(a, b), math.Inf(-1)
			for _, p := range pair[1] {
				nearest = math.Max(nearest, l.Distance(p))
			}
			if nearest <= depth {
				return true
			}
		}
	}
	return false
}

// slotExit is the air before the inner mouth of a slot from a wall, as far as it is wanted free.
func (m *maker) slotExit() solid {
	s := m.slot
	last := s.roofs[len(s.roofs)-1]
	far, v := 1, s.v
	if m.backwards() {
		far = 0
	}
	if len(s.roofs) > 1 {
		if v = m.wrap.u[s.turn]; m.backwards() {
			v = v.Mul(-1)
		}
	}
	foot, head := last.channel[far], [...]plane.Point{last.cut.o0, last.cut.o1}[far]
	out := v.Mul(slotWanted * s.h)
	return solid{name: "slot", x0: s.x0, x1: s.x1, area: plane.Polygon{foot, foot.Add(out), head.Add(out), head}.CCW()}
}

// endPlate is an end as a plate as large as the bounds of the inside section.
func (m *maker) endPlate(end int) plateOf {
	box := m.wrap.inside.Bounds()
	p := plateOf{name: m.endName(end), t: m.endT[end], sides: [2]float64{box.Width(), box.Height()}}
	t := m.Wood.Thickness
	height := math.Min(stripTall*t, m.box.InsideWidth/4)
	p.strip = func(k int, at float64) (strip, bool) {
		lo, hi := m.between(k, at, t)
		if hi-lo < stripLeast {
			return strip{}, false
		}
		s := strip{on: p.name, length: hi - lo - stripPlay, height: height, t: t}
		lo += stripPlay / 2
		in, from := 1.0, m.inLeft
		if end == 1 {
			in, from = -1, m.inRight
		}
		base, along, across := plane.Point{X: box.Min.X + at, Y: lo}, plane.Point{Y: 1}, plane.Point{X: 1}
		if k == 1 {
			base, along, across = plane.Point{X: lo, Y: box.Min.Y + at}, plane.Point{X: 1}, plane.Point{Y: 1}
		}
		s.put([3]float64{from, base.X, base.Y}, [3]float64{0, along.X, along.Y}, [3]float64{in, 0, 0}, [3]float64{0, across.X, across.Y})
		return s, true
	}
	return p
}

// between is the longest stretch that is inside, over the thickness t, on a line of the section: upright at depth at behind
// the front of the inside (k = 0), or level at height at above its floor.
func (m *maker) between(k int, at, t float64) (lo, hi float64) {
	box := m.wrap.inside.Bounds()
	strip := plane.Rect{Min: plane.Point{X: box.Min.X + at, Y: box.Min.Y - 1}, Max: plane.Point{X: box.Min.X + at + t, Y: box.Max.Y + 1}}
	if k == 1 {
		strip = plane.Rect{Min: plane.Point{X: box.Min.X - 1, Y: box.Min.Y + at}, Max: plane.Point{X: box.Max.X + 1, Y: box.Min.Y + at + t}}
	}
	for _, g := range m.wrap.inside.Intersect(strip.Polygon()) {
		r := g.LargestRect()
		a, b, wide := r.Min.Y, r.Max.Y, r.Width()
		if k == 1 {
			a, b, wide = r.Min.X, r.Max.X, r.Height()
		}
		if wide >= t-sameSize && b-a > hi-lo {
			lo, hi = a, b
		}
	}
	return lo, hi
}

// wallPlate is a wall as a plate between the window braces: side 0 lies along the width, the widest free stretch of it, and
// side 1 in the section. Its length in the section is divided only where no window brace crosses the strip.
func (m *maker) wallPlate(i int) plateOf {
	a, b := ends(m.wrap.inside, i)
	u, up, t := m.wrap.u[i], m.wrap.inn[i].N, m.Wood.Thickness
	from, span := m.freeStretch()
	p := plateOf{name: m.wrap.names[i], t: m.wrap.t[i], sides: [2]float64{span, b.Sub(a).Norm()}}
	p.least[0] = m.otherStretch(span)
	box := m.wrap.inside.Bounds()
	height := math.Min(stripTall*t, math.Min(box.Width(), box.Height())/4)
	lo, hi := m.strippable(i, height)
	p.strip = func(k int, at float64) (strip, bool) {
		s := strip{on: p.name, height: height, t: t}
		if k == 0 {
			s.length = hi - lo - stripPlay
			foot := a.Add(u.Mul(lo + stripPlay/2))
			s.put([3]float64{from + at, foot.X, foot.Y}, [3]float64{0, u.X, u.Y}, [3]float64{0, up.X, up.Y}, [3]float64{1, 0, 0})
			return s, s.length >= stripLeast
		}
		s.length = span - stripPlay
		foot := a.Add(u.Mul(at))
		s.put([3]float64{from + stripPlay/2, foot.X, foot.Y}, [3]float64{1, 0, 0}, [3]float64{0, up.X, up.Y}, [3]float64{0, u.X, u.Y})
		return s, len(m.braces) == 0 && at >= lo && at+t <= hi
	}
	return p
}

// freeStretch is the widest stretch of the width without a window brace.
func (m *maker) freeStretch() (from, span float64) {
	x := m.inLeft
	for _, b := range m.braces {
		if b.left-x > span {
			from, span = x, b.left-x
		}
		x = b.left + b.t
	}
	if m.inRight-x > span {
		from, span = x, m.inRight-x
	}
	return from, span
}

// otherStretch is the widest stretch of the width without a window brace but for one as wide as span.
func (m *maker) otherStretch(span float64) float64 {
	widest, x, skipped := 0.0, m.inLeft, false
	next := func(w float64) {
		if !skipped && w == span {
			skipped = true
			return
		}
		widest = math.Max(widest, w)
	}
	for _, b := range m.braces {
		next(b.left - x)
		x = b.left + b.t
	}
	next(m.inRight - x)
	return widest
}

// strippable is the stretch of wall i, along its inner face, over which a strip of the given height stands clear of its neighbours.
func (m *maker) strippable(i int, height float64) (lo, hi float64) {
	a, b := ends(m.wrap.inside, i)
	u, n := m.wrap.u[i], len(m.wrap.walls)
	hi = b.Sub(a).Norm()
	if p, ok := m.wrap.inn[(i+n-1)%n].Meet(m.wrap.inn[i].Offset(height)); ok && m.wrap.corners[i].convex() {
		lo = math.Max(lo, p.Sub(a).Dot(u))
	}
	if p, ok := m.wrap.inn[(i+1)%n].Meet(m.wrap.inn[i].Offset(height)); ok && m.wrap.corners[(i+1)%n].convex() {
		hi = math.Min(hi, p.Sub(a).Dot(u))
	}
	return lo, hi
}

// put stands the strip on its panel: from base its length runs along x, its height along y and its thickness along z.
func (s *strip) put(base, x, y, z [3]float64) {
	s.place = Frame{Origin: base, X: x, Y: y}
	out, facing := s.place.Out(), 0.0
	for i := range out {
		facing += out[i] * z[i]
	}
	if facing > 0 {
		for i := range base {
			s.place.Origin[i] += s.t * z[i]
		}
	}
	s.body = solid{x0: math.Inf(1), x1: math.Inf(-1)}
	var corners plane.Polygon
	for k := range 8 {
		var p [3]float64
		for i := range p {
			p[i] = base[i] + float64(k&1)*s.length*x[i] + float64(k>>1&1)*s.height*y[i] + float64(k>>2)*s.t*z[i]
		}
		s.body.x0, s.body.x1 = math.Min(s.body.x0, p[0]), math.Max(s.body.x1, p[0])
		corners = append(corners, plane.Point{X: p[1], Y: p[2]})
	}
	s.body.area = corners.ConvexHull()
}

// stripPanels makes the panels.
func (m *maker) stripPanels() []Panel {
	var all []Panel
	for _, s := range m.strips {
		p := Panel{Name: s.name, Role: Brace, Count: 1, Layers: 1, Board: m.Wood.Board, Thickness: s.t, Nominal: m.nominal(s.t, 1),
			Length: s.length, Width: s.height, OuterWidth: s.height, InnerWidth: s.height, Blank: [2]float64{s.length, s.height},
			Outline: plane.Rect{Max: plane.Point{X: s.length, Y: s.height}}.Polygon(), Volume: s.length * s.height * s.t, Place: s.place}
		for k, meets := range [...]string{s.on, "", "", ""} {
			p.Edges = append(p.Edges, Edge{Edge: [...]string{"y0", "y1", "x0", "x1"}[k], Meets: meets, Joint: "butt-stop", Angle: math.Pi / 2, LongFace: "equal"})
		}
		p.Notes = []string{fmt.Sprintf("on edge inside the %s, glued along its whole length; %s", s.on, m.stripAt(s))}
		all = append(all, p)
	}
	return all
}

// stripAt says where a strip stands.
func (m *maker) stripAt(s strip) string {
	l, in := m.wrap.length, m.wrap.inside.Bounds()
	size := s.body.area.Bounds()
	switch {
	case s.on == leftEnd || s.on == rightEnd:
		if s.place.X[2] != 0 {
			return fmt.Sprintf("upright, %s behind the inside of the front", l(size.Min.X-in.Min.X))
		}
		return fmt.Sprintf("level, %s over the inside of the bottom", l(size.Min.Y-in.Min.Y))
	case s.place.X[0] == 0:
		return fmt.Sprintf("its left face %s from the left end's inner face", l(s.body.x0-m.inLeft))
	}
	for i, n := range m.wrap.names {
		if n == s.on {
			a, _ := ends(m.wrap.inside, i)
			foot := plane.Point{X: s.place.Origin[1], Y: s.place.Origin[2]}
			return fmt.Sprintf("along the width, %s from the %s", l(foot.Sub(a).Norm()), m.wrap.names[(i+len(m.wrap.names)-1)%len(m.wrap.names)])
		}
	}
	return ""
}
