package render

import (
	"math"
	"slices"

	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
	solids "cubby/internal/solid"
)

// Line styles of the drawings of box and space.
var (
	boxLine    = Stroke{Width: 0.6}
	holeLine   = Stroke{Width: 0.35}
	spaceLine  = Stroke{Width: 0.2}
	behindLine = Stroke{Width: 0.18, Dash: []float64{1.2, 0.9}}
	hiddenLine = Stroke{Width: 0.18, Dash: []float64{1.6, 1}}
	blockLine  = Stroke{Width: 0.25}
)

// spaceModel is the measured space as it is drawn: its stations as lines of heights, walls leaning where they do.
type spaceModel struct {
	*cavity.Space
	extent cavity.Box
}

// modelOf makes a space ready to be drawn; nil where there is none.
func modelOf(sp *design.Space) *spaceModel {
	if sp == nil || sp.Space == nil {
		return nil
	}
	room, err := sp.Settle()
	if err != nil {
		return nil
	}
	return &spaceModel{sp.Space, room.Extent()}
}

// heightAt reads a line of heights at a depth, straight between readings and level beyond them; none: 0.
func heightAt(line []cavity.Height, depth float64) float64 {
	if len(line) == 0 {
		return 0
	}
	for i, h := range line {
		if depth > h.Depth {
			continue
		}
		if i == 0 {
			return h.Height
		}
		p := line[i-1]
		return p.Height + (h.Height-p.Height)*(depth-p.Depth)/(h.Depth-p.Depth)
	}
	return line[len(line)-1].Height
}

// lean is the tangent of the angle by which a side leans in.
func (m *spaceModel) lean(side cavity.Side) float64 {
	for _, l := range m.Leans {
		if l.Side == side {
			return math.Tan(l.Angle)
		}
	}
	return 0
}

// corner is the point of station i at a depth and a height, kept between the walls.
func (m *spaceModel) corner(i int, depth, z float64) vec {
	st := m.Stations[i]
	x := st.FromLeft
	if i == 0 {
		x += z * m.lean(cavity.Left)
	}
	if i == len(m.Stations)-1 {
		x -= z * m.lean(cavity.Right)
	}
	y := math.Min(math.Max(depth, st.Front+z*m.lean(cavity.Front)), st.Back-z*m.lean(cavity.Back))
	return vec{x, y, z}
}

// depths are where lines of heights bend over the stations from a to b, front and back included, rising.
func (m *spaceModel) depths(a, b int, of func(cavity.Station) []cavity.Height) []float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	var all []float64
	for _, st := range m.Stations[a : b+1] {
		lo, hi = math.Min(lo, st.Front), math.Max(hi, st.Back)
		for _, h := range of(st) {
			all = append(all, h.Depth)
		}
	}
	all = append(all, lo, hi)
	slices.Sort(all)
	all = slices.DeleteFunc(all, func(d float64) bool { return d < lo || d > hi })
	return slices.Compact(all)
}

func floorOf(st cavity.Station) []cavity.Height { return st.Floor }
func roofOf(st cavity.Station) []cavity.Height  { return st.Roof }

// profile is the outline of station i, from front to back along the floor and back along the roof.
func (m *spaceModel) profile(i int) []vec {
	st := m.Stations[i]
	var out []vec
	for _, d := range m.depths(i, i, floorOf) {
		out = append(out, m.corner(i, d, heightAt(st.Floor, d)))
	}
	roof := m.depths(i, i, roofOf)
	slices.Reverse(roof)
	for _, d := range roof {
		out = append(out, m.corner(i, d, heightAt(st.Roof, d)))
	}
	return apartCorners(out)
}

// apartCorners leaves out corners that repeat the one before them.
func apartCorners(g []vec) []vec {
	var out []vec
	for i, p := range g {
		if p.sub(g[(i+len(g)-1)%len(g)]).norm() > 1e-6 {
			out = append(out, p)
		}
	}
	return out
}

// sectionAt is the outline of the space at a distance from its left, as (depth, height).
func (m *spaceModel) sectionAt(x float64) plane.Polygon {
	k := 0
	for k+2 < len(m.Stations) && m.Stations[k+1].FromLeft < x {
		k++
	}
	a, b := m.Stations[k], m.Stations[k+1]
	t := math.Min(math.Max((x-a.FromLeft)/(b.FromLeft-a.FromLeft), 0), 1)
	mix := func(p, q float64) float64 { return p + t*(q-p) }
	front, back := mix(a.Front, b.Front), mix(a.Back, b.Back)
	var out plane.Polygon
	put := func(of func(cavity.Station) []cavity.Height, d float64) {
		z := mix(heightAt(of(a), d), heightAt(of(b), d))
		y := math.Min(math.Max(d, front+z*m.lean(cavity.Front)), back-z*m.lean(cavity.Back))
		if n := len(out); n == 0 || math.Hypot(out[n-1].X-y, out[n-1].Y-z) > 1e-6 {
			out = append(out, plane.Point{X: y, Y: z})
		}
	}
	for _, d := range m.depths(k, k+1, floorOf) {
		put(floorOf, d)
	}
	roof := m.depths(k, k+1, roofOf)
	slices.Reverse(roof)
	for _, d := range roof {
		put(roofOf, d)
	}
	return out
}

// Greys of what is drawn.
const (
	floorGrey = 0.91
	wallGrey  = 0.975
	holeGrey  = 0.78
)

// into puts the sides of the space behind everything into a scene: floor, back and the ends that are seen from within as faces,
// the rest as lines that run behind bodies.
func (m *spaceModel) into(s *standView) {
	last := len(m.Stations) - 1
	wall := faceStyle{grey: wallGrey, edge: &spaceLine}
	for i := range last {
		m.surface(s, i)
		a, b := m.Stations[i], m.Stations[i+1]
		s.quad(m.corner(i, a.Back, heightAt(a.Floor, a.Back)), m.corner(i+1, b.Back, heightAt(b.Floor, b.Back)),
			m.corner(i+1, b.Back, heightAt(b.Roof, b.Back)), m.corner(i, a.Back, heightAt(a.Roof, a.Back)), faceStyle{grey: wallGrey})
		for _, of := range []func(cavity.Station) []cavity.Height{floorOf, roofOf} {
			s.lines = append(s.lines,
				sceneLine{m.corner(i, a.Back, heightAt(of(a), a.Back)), m.corner(i+1, b.Back, heightAt(of(b), b.Back)), &spaceLine, nil, true},
				sceneLine{m.corner(i, a.Front, heightAt(of(a), a.Front)), m.corner(i+1, b.Front, heightAt(of(b), b.Front)), &spaceLine, nil, true})
		}
	}
	for _, e := range []struct {
		at     int
		inward vec
	}{{0, vec{1, 0, 0}}, {last, vec{-1, 0, 0}}} {
		g := m.profile(e.at)
		if len(g) < 3 {
			continue
		}
		if e.inward.dot(s.eye) <= 1e-6 {
			s.add(sceneFace{[][]vec{g}, e.inward}, faceStyle{bare: true, edge: &spaceLine, back: true})
			continue
		}
		if e.inward[0] < 0 { // seen from within it runs the other way round
			slices.Reverse(g)
		}
		s.add(sceneFace{[][]vec{g}, normalOf(g)}, wall)
	}
}

// surface puts the floor between two stations into a scene, with lines where it bends.
func (m *spaceModel) surface(s *standView, i int) {
	a, b := m.Stations[i], m.Stations[i+1]
	all := m.depths(i, i+1, floorOf)
	for k := 1; k < len(all); k++ {
		d, e := all[k-1], all[k]
		s.quad(m.corner(i, d, heightAt(a.Floor, d)), m.corner(i+1, d, heightAt(b.Floor, d)),
			m.corner(i+1, e, heightAt(b.Floor, e)), m.corner(i, e, heightAt(a.Floor, e)), faceStyle{grey: floorGrey})
		if k+1 < len(all) {
			s.lines = append(s.lines, sceneLine{m.corner(i, e, heightAt(a.Floor, e)), m.corner(i+1, e, heightAt(b.Floor, e)), &spaceLine, nil, false})
		}
	}
}

// quad adds four corners, counter-clockwise as seen from within, as two triangles: they need not lie in a plane.
func (s *standView) quad(a, b, c, d vec, st faceStyle) {
	for _, t := range [][]vec{{a, b, c}, {a, c, d}} {
		if t = apartCorners(t); len(t) == 3 {
			if n := t[1].sub(t[0]).cross(t[2].sub(t[0])); n.norm() > 1e-10 {
				s.add(sceneFace{[][]vec{t}, n.mul(1 / n.norm())}, st)
			}
		}
	}
}

// normalOf is the unit normal of a plane outline (Newell's sum).
func normalOf(g []vec) vec {
	var n vec
	for i, p := range g {
		n = n.add(p.cross(g[(i+1)%len(g)]))
	}
	if l := n.norm(); l > 0 {
		return n.mul(1 / l)
	}
	return vec{1, 0, 0}
}

// blockBody is a block as a body, as far as it lies in the space; nil where nothing of it does.
func (m *spaceModel) blockBody(b *cavity.Block) *solids.Solid {
	lo, hi := toVec(m.extent.Min), toVec(m.extent.Max)
	if b.Hangs > 0 {
		k := b.Outline.Bounds()
		p, q := b.Axis.At(k.Min, b.Lo), b.Axis.At(k.Max, b.Hi)
		box := cavity.Box{Min: p, Max: q}
		top := m.roofAt((p.X+q.X)/2, (p.Y+q.Y)/2)
		box.Min.Z, box.Max.Z = top-b.Hangs, top
		hung := cavity.BoxBlock(b.Name, box.Min, box.Max)
		return m.blockBody(&hung)
	}
	along := int(b.Axis)
	from, to := math.Max(b.Lo, lo[along]), math.Min(b.Hi, hi[along])
	least, most := b.Axis.Section(m.extent.Min), b.Axis.Section(m.extent.Max)
	var g plane.Polygon
	for _, p := range b.Outline {
		p = plane.Point{X: math.Min(math.Max(p.X, least.X), most.X), Y: math.Min(math.Max(p.Y, least.Y), most.Y)}
		if n := len(g); n == 0 || p.Sub(g[n-1]).Norm() > 1e-6 {
			g = append(g, p)
		}
	}
	for len(g) > 1 && g[0].Sub(g[len(g)-1]).Norm() < 1e-6 {
		g = g[:len(g)-1]
	}
	if len(g) < 3 || to-from < 1e-6 {
		return nil
	}
	body, err := solids.Straight(g, b.Axis, from, to)
	if err != nil {
		return nil
	}
	return body
}

// roofAt is the height of the roof over a place.
func (m *spaceModel) roofAt(x, y float64) float64 {
	k := 0
	for k+2 < len(m.Stations) && m.Stations[k+1].FromLeft < x {
		k++
	}
	a, b := m.Stations[k], m.Stations[k+1]
	t := math.Min(math.Max((x-a.FromLeft)/(b.FromLeft-a.FromLeft), 0), 1)
	return heightAt(a.Roof, y)*(1-t) + heightAt(b.Roof, y)*t
}

// body adds a solid. Only faces that look at the eye are drawn.
func (s *standView) body(b *solids.Solid, style func(normal vec) faceStyle) {
	for i := range b.Faces {
		f := sceneFace{normal: toVec(b.Faces[i].N)}
		for _, l := range b.Faces[i].Loops {
			f.loops = append(f.loops, vecs(l.At))
		}
		if len(f.loops) > 0 {
			s.add(f, style(f.normal))
		}
	}
}

// box adds the box with its openings; those out of sight are dashed if outOfSight is set.
func (s *standView) box(b *panels.Box, outOfSight bool) {
	s.body(b.Spec.Outside, func(n vec) faceStyle {
		return faceStyle{grey: boxGrey(n), body: true, edge: &boxLine, hidden: &behindLine}
	})
	const off = 2e-5 // m before the wood
	for _, p := range b.Panels {
		n := toVec(p.Place.N)
		for _, h := range p.Holes {
			if h.From == "inner" || h.Kind != panels.HoleDriver && h.Kind != panels.HolePort && h.Kind != panels.HoleSlot {
				continue
			}
			var ring []vec
			for _, q := range holeOutline(h, 40) {
				ring = append(ring, onPanel(p.Place, q).add(n.mul(off)))
			}
			if n.dot(s.eye) <= 1e-6 {
				if outOfSight && n.dot(s.eye) < -0.1 {
					s.add(sceneFace{[][]vec{ring}, n}, faceStyle{bare: true, edge: &hiddenLine, hidden: &hiddenLine})
				}
				continue
			}
			s.add(sceneFace{[][]vec{ring}, n}, faceStyle{grey: holeGrey, body: true, edge: &holeLine, hidden: &behindLine})
		}
	}
}

// boxGrey is the grey of a face of the box: the top lightest.
func boxGrey(n vec) float64 { return 0.93 + 0.07*n[2] - 0.06*math.Abs(n[0]) }

// blocks adds what stands in the space besides the box.
func (m *spaceModel) blocks(s *standView) {
	for i := range m.Blocks {
		if body := m.blockBody(&m.Blocks[i]); body != nil {
			s.body(body, func(vec) faceStyle { return faceStyle{grey: 1, body: true, edge: &blockLine, hatch: true} })
		}
	}
}

// standingScene is box and space as they are seen by a gaze.
func standingScene(g gaze, m *spaceModel, b *panels.Box, outOfSight bool) *standView {
	s := &standView{gaze: g}
	if m != nil {
		m.into(s)
		m.blocks(s)
	}
	s.box(b, outOfSight)
	return s
}

// bestGaze looks from the side from which more of the box, and its driver, is seen.
func bestGaze(m *spaceModel, b *panels.Box) (g gaze, fromRight bool) {
	const azimuth, elevation = 30 * math.Pi / 180, 26 * math.Pi / 180
	best := math.Inf(-1)
	for _, side := range []float64{1, -1} {
		look := gazeFrom(side*azimuth, elevation)
		s := standingScene(look, m, b, false)
		seen, all := 0.0, 0.0
		for i := range b.Spec.Outside.Faces {
			f := &b.Spec.Outside.Faces[i]
			n := toVec(f.N)
			if n.dot(look.eye) <= 1e-6 || len(f.Loops) == 0 {
				continue
			}
			for _, p := range vecs(f.Loops[0].At) {
				all++
				if !s.hides(p.add(n.mul(1e-4)), false) {
					seen++
				}
			}
		}
		score := seen / math.Max(all, 1)
		for _, p := range b.Panels {
			for _, h := range p.Holes {
				if n := toVec(p.Place.N); h.Kind == panels.HoleDriver && n.dot(look.eye) > 0.1 &&
					!s.hides(onPanel(p.Place, plane.Point{X: h.X, Y: h.Y}).add(n.mul(1e-3)), false) {
					score += 0.5
				}
			}
		}
		if score > best+1e-9 {
			best, g, fromRight = score, look, side > 0
		}
	}
	return g, fromRight
}
