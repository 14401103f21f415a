package panels

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"
)

// Window braces (common practice).
const (
	bracePlay   = 0.3e-3 // per side, so that the brace slides in
	braceRail   = 40e-3  // least width of a rail, or twice the board
	braceOpen   = 0.5    // share of the section that the window should open
	braceClear  = 25e-3  // air kept to a magnet, a vented pole, a port's body
	braceRadius = 20e-3  // inside corners of the window
	braceUneven = 0.16   // how unlike the spans are made: one brace stands at 0.42 of the width
	braceHole   = 3e-3   // play of a tube that passes through
	braceLip    = 10e-3  // least wood between that tube's hole and the brace's edge; else the brace is notched
	mostBraces  = 12
)

// brace is a window brace parallel to the ends.
type brace struct {
	name    string
	left    float64 // across of its left face
	t       float64
	outline plane.Polygon // section plane
	windows []plane.Rect  // section plane
	holes   []Hole        // tubes that pass, section plane
	notched bool          // for tubes that pass near its edge
	open    float64       // share of the outline that is open
	volume  float64       // wood, openings taken off
}

// planBraces adds braces until no wall's first plate resonance is below the lowest wished for, or no more can be placed.
func (m *maker) planBraces() error {
	if m.Brace.Lowest <= 0 {
		return nil
	}
	spots := []float64(nil)
	for n := 0; n <= mostBraces; n++ {
		next, ok := m.braceSpots(n)
		if !ok {
			break
		}
		spots = next
		if m.lowestResonance(spots) >= m.Brace.Lowest {
			break
		}
	}
	for i, x := range spots {
		b, err := m.makeBrace(fmt.Sprintf("brace %d", i+1), x)
		if err != nil {
			return err
		}
		if len(spots) == 1 {
			b.name = "brace"
		}
		if b.open < braceOpen {
			m.braces = nil // in so small a section strips serve
			break
		}
		m.braces = append(m.braces, b)
	}
	for _, b := range m.braces {
		m.bodies = append(m.bodies, solid{name: b.name, x0: b.left, x1: b.left + b.t, area: b.outline})
	}
	m.planStrips()
	return nil
}

// resonance is wall i's first plate resonance with braces at the given spots, over its widest free span.
func (m *maker) resonance(i int, spots []float64) float64 {
	a, b := ends(m.wrap.inside, i)
	if i == m.loose {
		spots = nil
	}
	span, from := 0.0, m.inLeft
	for _, x := range spots {
		span, from = math.Max(span, x-from), x+m.Wood.Thickness
	}
	span = math.Max(span, m.inRight-from)
	return m.plate(span, b.Sub(a).Norm(), m.wrap.t[i])
}

// plate is PlateResonance for the box's own board.
func (m *maker) plate(a, b, t float64) float64 {
	if m.rho == 0 {
		m.rho, m.modulus = m.Wood.density(), boardOf(m.Wood.Board).modulus
	}
	return PlateResonance(a, b, t, m.modulus, m.rho)
}

func (m *maker) lowestResonance(spots []float64) float64 {
	low := math.Inf(1)
	for i := range m.wrap.walls {
		if i != m.loose { // which no brace holds
			low = math.Min(low, m.resonance(i, spots))
		}
	}
	return low
}

// braceSpots places n braces at unequal spans, moved clear of what stands in the box; ok is false when they do not fit.
func (m *maker) braceSpots(n int) (spots []float64, ok bool) {
	if n == 0 {
		return nil, true
	}
	t := m.Wood.Thickness
	clear := m.box.InsideWidth - float64(n)*t
	if clear/float64(n+1) < 2*t+braceRail {
		return nil, false
	}
	keep := m.keepOut(t)
	x := m.inLeft
	for i := range n {
		skew := 1 + braceUneven*(2*float64(i)/float64(n)-1)
		x += clear / float64(n+1) * skew
		at, found := m.nearestFree(x, t, keep)
		if !found || len(spots) > 0 && at < spots[len(spots)-1]+t+braceRail {
			return nil, false
		}
		spots = append(spots, at)
		x += t
	}
	return spots, true
}

// keepOut lists the stretches in which no brace's left face may lie.
func (m *maker) keepOut(t float64) [][2]float64 {
	var out [][2]float64
	for _, b := range m.bodies {
		if b.name == "slot" || b.name == "cleat" && m.loose >= 0 || wallKind(b.name) == "port" && m.passes(b) {
			continue
		}
		out = append(out, [2]float64{b.x0 - braceClear - t, b.x1 + braceClear})
	}
	if s := m.slot; s != nil { // not half on the slot, nor before its inner mouth
		out = append(out, [2]float64{s.x0 - t, s.x0}, [2]float64{s.x1 - t, s.x1})
		if s.lane != nil && s.end == 0 {
			out = append(out, [2]float64{s.x1 - t, s.x1 + slotWanted*s.h})
		} else if s.lane != nil {
			out = append(out, [2]float64{s.x0 - slotWanted*s.h - t, s.x0})
		}
	}
	for _, p := range m.ports {
		out = append(out, [2]float64{p.mouth.x0 - t, p.mouth.x1})
		if p.face.wall < 0 || p.seat.Bend > 0 {
			end := p.bodies[len(p.bodies)-1]
			out = append(out, [2]float64{end.x0 - braceClear - t, end.x0 + braceClear}, [2]float64{end.x1 - braceClear - t, end.x1 + braceClear})
		}
	}
	return out
}

// passes reports whether a body is a tube along the width, which a brace lets through.
func (m *maker) passes(b solid) bool {
	size := b.area.Bounds()
	return b.x1-b.x0 > 2*(size.Max.X-size.Min.X)
}

// nearestFree is the spot nearest to x that is clear of every stretch and leaves a brace's thickness and a rail at the ends.
func (m *maker) nearestFree(x, t float64, keep [][2]float64) (float64, bool) {
	lo, hi := m.inLeft+braceRail, m.inRight-braceRail-t
	free := func(x float64) bool {
		if x < lo-rounding || x > hi+rounding {
			return false
		}
		for _, k := range keep {
			if x > k[0]+rounding && x < k[1]-rounding {
				return false
			}
		}
		return true
	}
	if free(x) {
		return x, true
	}
	best, found := math.Inf(1), false
	for _, k := range keep {
		for _, c := range k {
			if free(c) && math.Abs(c-x) < math.Abs(best-x) {
				best, found = c, true
			}
		}
	}
	return best, found
}

// makeBrace shapes the brace at the spot x: the inside section less play, with a window.
func (m *maker) makeBrace(name string, x float64) (brace, error) {
	outline, err := shrink(m.besideSlot(x, m.Wood.Thickness), bracePlay)
	if err != nil {
		return brace{}, err
	}
	t := m.Wood.Thickness
	whole := outline.Area()
	outline, holes := m.letThrough(outline, x, x+t)
	b := brace{name: name, left: x, t: t, outline: outline, notched: outline.Area() < whole}
	if len(outline) == 0 { // the tube takes the whole section
		return b, nil
	}
	rail := math.Max(braceRail, 2*t)
	if opening, err := shrink(outline, rail); err == nil {
		b.windows = windowsIn([]plane.Polygon{opening}, rail, braceOpen*outline.Area())
		if slices.ContainsFunc(holes, func(h Hole) bool { return slices.ContainsFunc(b.windows, h.cutsInto) }) {
			rest := []plane.Polygon{opening}
			for _, h := range holes {
				var next []plane.Polygon
				for _, g := range rest {
					next = append(next, g.Subtract(h.square(braceLip))...)
				}
				rest = next
			}
			b.windows = windowsIn(rest, rail, braceOpen*outline.Area())
		}
	}
	open := 0.0
	for _, w := range b.windows {
		open += windowArea(w)
	}
	for _, h := range holes {
		if !slices.ContainsFunc(b.windows, h.within) {
			b.holes = append(b.holes, h)
			open += math.Pi / 4 * h.Diameter * h.Diameter
		}
	}
	b.open = open / outline.Area()
	b.volume = math.Max(outline.Area()-open, 0) * t
	return b, nil
}

// letThrough gives the holes for the tubes that pass a brace between x0 and x1, and its outline, notched where a hole would
// leave too little wood.
func (m *maker) letThrough(outline plane.Polygon, x0, x1 float64) (plane.Polygon, []Hole) {
	var holes []Hole
	for _, body := range m.bodies {
		if wallKind(body.name) != "port" || !m.passes(body) || body.x0 >= x1 || body.x1 <= x0 {
			continue
		}
		box := body.area.Bounds()
		c := box.Min.Add(box.Max).Mul(0.5)
		holes = append(holes, Hole{Kind: "port", X: c.X, Y: c.Y, Diameter: box.Max.X - box.Min.X + 2*braceHole, From: "outer"})
	}
	near := func(h Hole) bool {
		c := plane.Point{X: h.X, Y: h.Y}
		return !outline.Contains(c) || outline.Distance(c) < h.Diameter/2+braceLip
	}
	for k := 0; k < len(holes) && len(outline) > 0; k++ {
		if near(holes[k]) {
			outline = notched(outline, holes[k].square(0))
			holes = slices.Delete(holes, k, k+1)
			k = -1 // which may have brought the edge near another
		}
	}
	return outline, holes
}

// square is the square round a round hole, grown by a lip.
func (h Hole) square(lip float64) plane.Rect {
	r := h.Diameter/2 + lip
	return plane.Rect{Min: plane.Point{X: h.X - r, Y: h.Y - r}, Max: plane.Point{X: h.X + r, Y: h.Y + r}}
}

// cutsInto reports whether a round hole lies neither wholly in a window nor a lip away from it.
func (h Hole) cutsInto(w plane.Rect) bool {
	q := h.square(braceLip)
	return !h.within(w) && q.Min.X < w.Max.X && q.Max.X > w.Min.X && q.Min.Y < w.Max.Y && q.Max.Y > w.Min.Y
}

// within reports whether a round hole lies wholly in a window, whose corners are round.
func (h Hole) within(w plane.Rect) bool {
	q := h.square(math.Max(windowRadius(w)-h.Diameter/2, 0))
	return q.Min.X >= w.Min.X && q.Max.X <= w.Max.X && q.Min.Y >= w.Min.Y && q.Max.Y <= w.Max.Y
}

// notched is a brace's outline without a square, and without what lies between it and the edge on the side where that takes least.
func notched(g plane.Polygon, square plane.Rect) plane.Polygon {
	var best plane.Polygon
	for k := range 4 {
		n, box := square, g.Bounds()
		switch k {
		case 0:
			n.Min.X = math.Min(n.Min.X, box.Min.X)
		case 1:
			n.Min.Y = math.Min(n.Min.Y, box.Min.Y)
		case 2:
			n.Max.X = math.Max(n.Max.X, box.Max.X)
		case 3:
			n.Max.Y = math.Max(n.Max.Y, box.Max.Y)
		}
		if rest := largest(g.Subtract(n)); rest.Area() > best.Area() {
			best = rest
		}
	}
	return best
}

// besideSlot is the inside section at the place x without the slot: a brace stands on the slot's walls.
func (m *maker) besideSlot(x, t float64) plane.Polygon {
	g := m.wrap.inside
	if m.loose >= 0 { // nothing is glued to a removable wall
		g = largest(g.ClipHalfPlane(m.wrap.inn[m.loose].Offset(m.cleats[0].depth)))
	}
	if m.slot == nil || x >= m.slot.x1 || x+t <= m.slot.x0 {
		return g
	}
	if l := m.slot.lane; l != nil {
		const into = 1e-3 // past the floor, so that no sliver stays
		taken := l.rect(l.a0, l.a1, m.slot.h+m.slot.t).Bounds()
		under := l.rect(l.a0, l.a1, -into).Bounds()
		taken.Min = plane.Point{X: math.Min(taken.Min.X, under.Min.X), Y: math.Min(taken.Min.Y, under.Min.Y)}
		taken.Max = plane.Point{X: math.Max(taken.Max.X, under.Max.X), Y: math.Max(taken.Max.Y, under.Max.Y)}
		return largest(g.Subtract(taken))
	}
	for _, r := range m.slot.roofs {
		g = largest(g.ClipHalfPlane(m.wrap.inn[r.wall].Offset(m.slot.h + m.slot.t)))
	}
	return g
}

// windowsIn cuts the largest windows, a rail apart, until so much is open or what is left takes no more.
func windowsIn(left []plane.Polygon, rail, wanted float64) []plane.Rect {
	const most, least = 3, 60e-3 // windows, and the shortest side of one
	var all []plane.Rect
	open := 0.0
	for len(all) < most && open < wanted {
		var best plane.Rect
		for _, g := range left {
			if w := g.LargestRect(); w.Area() > best.Area() {
				best = w
			}
		}
		if best.Width() < least || best.Height() < least {
			break
		}
		all, open = append(all, best), open+windowArea(best)
		grown := plane.Rect{Min: best.Min.Sub(plane.Point{X: rail, Y: rail}), Max: best.Max.Add(plane.Point{X: rail, Y: rail})}
		var rest []plane.Polygon
		for _, g := range left {
			rest = append(rest, g.Subtract(grown)...)
		}
		left = rest
	}
	return all
}

// windowArea is what a window opens, its corners rounded.
func windowArea(w plane.Rect) float64 {
	r := windowRadius(w)
	return w.Area() - (4-math.Pi)*r*r
}

// windowRadius is the radius of a window's corners.
func windowRadius(w plane.Rect) float64 {
	return math.Min(braceRadius, math.Min(w.Max.X-w.Min.X, w.Max.Y-w.Min.Y)/2)
}

// bracePanels makes the panels, in the frame of the right end moved to the brace's right face.
func (m *maker) bracePanels() []Panel {
	var all []Panel
	for _, b := range m.braces {
		box := b.outline.Bounds()
		size := box.Max.Sub(box.Min)
		p := Panel{Name: b.name, Role: Brace, Count: 1, Layers: 1, Board: m.Wood.Board, Thickness: b.t, Nominal: m.nominal(b.t, 1),
			Length: size.X, Width: size.Y, OuterWidth: size.Y, InnerWidth: size.Y, Blank: [2]float64{size.X, size.Y},
			Outline: b.outline.Translate(box.Min.Mul(-1)), Volume: b.outline.Area() * b.t}
		p.Place = Frame{Origin: [3]float64{b.left + b.t, box.Min.X, box.Min.Y}, X: [3]float64{0, 1, 0}, Y: [3]float64{0, 0, 1}}
		for i := range p.Outline {
			p.Edges = append(p.Edges, Edge{Edge: fmt.Sprintf("e%d", i), Meets: m.meetsInside(b.outline, i), Joint: "butt-stop", Angle: math.Pi / 2, LongFace: "equal"})
		}
		for _, w := range b.windows {
			c, s := w.Min.Add(w.Max).Mul(0.5).Sub(box.Min), w.Max.Sub(w.Min)
			p.Holes = append(p.Holes, Hole{Kind: "window", X: c.X, Y: c.Y, Length: s.X, Width: s.Y, Radius: windowRadius(w), From: "outer"})
		}
		for _, h := range b.holes {
			h.X, h.Y = h.X-box.Min.X, h.Y-box.Min.Y
			p.Holes = append(p.Holes, h)
		}
		p.Notes = append(p.Notes, fmt.Sprintf("left face %s from the left end's inner face; goes in before the last wall", m.wrap.length(b.left-m.inLeft)))
		if b.notched {
			p.Notes = append(p.Notes, fmt.Sprintf("the notch lets the port's tube pass, with %s of play", m.wrap.length(braceHole)))
		}
		all = append(all, p)
	}
	return all
}

// meetsInside names the wall that side i of an outline in the section plane stands at, or the slot's wall.
func (m *maker) meetsInside(g plane.Polygon, i int) string {
	a, b := g.Edge(i)
	mid := a.Add(b).Mul(0.5)
	best, what := math.Inf(1), ""
	for j, l := range m.wrap.inn {
		if u := b.Sub(a).Unit(); u.Dot(m.wrap.u[j]) < 1-sameWay {
			continue
		}
		if d := math.Abs(l.Distance(mid)); d < best {
			best, what = d, m.wrap.names[j]
		}
	}
	if m.loose >= 0 && m.wrap.inn[m.loose].Distance(mid) < m.cleats[0].depth+2*bracePlay && b.Sub(a).Unit().Dot(m.wrap.u[m.loose]) > 1-sameWay {
		return "" // behind a removable wall, which nothing is glued to
	}
	switch {
	case best <= 2*bracePlay:
		return what
	case m.slot != nil:
		return "slot wall"
	default:
		return "" // the notch for a tube
	}
}
