package render

import (
	"fmt"
	"math"
	"sort"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
)

// spaceDrawing shows the box standing in the measured space: the space as an outline, the box solid, with what the box hides
// of the outline dashed. Names stand in the margins, led to what they name.
type spaceDrawing struct {
	c      Canvas
	fit    fit
	covers []cover
	names  []callout
}

// cover is a face of the box that looks at the eye.
type cover struct {
	outline []plane.Point // in the view
	normal  vec
	at      vec
}

// callout is a name and what it points to.
type callout struct {
	text   string
	target Pt
	right  bool
}

// Line styles of the drawing.
var (
	boxLine    = Stroke{Width: 0.45}
	holeLine   = Stroke{Width: 0.3}
	spaceLine  = Stroke{Width: 0.18}
	behindLine = Stroke{Width: 0.13, Dash: []float64{1.4, 1}, Grey: 0.5}
	hiddenLine = Stroke{Width: 0.18, Dash: []float64{1.6, 1}}
	blockLine  = Stroke{Width: 0.18, Grey: 0.15}
)

// calloutWidth is the width of each margin for names, mm.
const calloutWidth = 30.0

// drawSpace draws design d in the job's space into r.
func drawSpace(c Canvas, r Rect, given *design.Space, d *design.Design) {
	s := spaceDrawing{c: c}
	sp := drawn(given)
	inner := Rect{r.X + calloutWidth, r.Y + 2, r.W - 2*calloutWidth, r.H - 10}
	s.fit = fitInto(inner, viewPoints(sp, d.Box))
	s.covers = coversOf(boxSolid(d.Box))
	for _, f := range boxSolid(d.Box).faces() {
		c.Path(s.fit.path(f.Corners), true, &boxLine, &Fill{lit(f.Normal)})
	}
	if sp != nil {
		s.space(sp)
	}
	s.openings(d.Box)
	s.ends(sp, d.Box)
	s.setNames(r)
}

// viewPoints are all corners that must find room.
func viewPoints(sp *drawnSpace, b *panels.Box) []plane.Point {
	var pts []plane.Point
	add := func(left, right float64, g plane.Polygon) {
		for _, p := range g {
			pts = append(pts, iso(across(left, p)), iso(across(right, p)))
		}
	}
	add(b.Left, b.Left+b.Width, b.Section)
	if sp != nil {
		add(0, sp.Width, sp.Section)
	}
	return pts
}

// coversOf lists the faces of a prism that look at the eye.
func coversOf(s solid) []cover {
	var out []cover
	back := s.Normal.mul(-s.Thick)
	for i := range s.Cap {
		a, b := s.Cap[i], s.Cap[(i+1)%len(s.Cap)]
		n := b.sub(a).cross(s.Normal)
		if n.dot(toViewer) > 1e-12 {
			out = append(out, cover{flat(a, b, b.add(back), a.add(back)), n, a})
		}
	}
	if s.Normal.dot(toViewer) > 0 {
		out = append(out, cover{flat(s.Cap...), s.Normal, s.Cap[0]})
	}
	return out
}

// hidden reports whether a face lies between p and the eye. Things that touch a face (a micrometre) are not behind it.
func (s *spaceDrawing) hidden(p vec) bool {
	const touch = 1e-6 // m
	at := iso(p)
	for _, k := range s.covers {
		ahead := k.normal.dot(k.at.sub(p)) / k.normal.dot(toViewer)
		if ahead > touch && inOutline(at, k.outline) {
			return true
		}
	}
	return false
}

// inOutline reports whether p lies in a simple outline (crossings of a ray).
func inOutline(p plane.Point, g []plane.Point) bool {
	in := false
	for i, a := range g {
		b := g[(i+1)%len(g)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// edge draws a straight line in space: visible parts with front, hidden parts dashed. The line is cut where it crosses the outline of
// a face in the view, so each piece is wholly visible or wholly hidden.
func (s *spaceDrawing) edge(a, b vec, front Stroke) {
	cuts := []float64{0, 1}
	a2, b2 := iso(a), iso(b)
	for _, k := range s.covers {
		for i, p := range k.outline {
			if t, ok := crossing(a2, b2, p, k.outline[(i+1)%len(k.outline)]); ok {
				cuts = append(cuts, t)
			}
		}
	}
	sort.Float64s(cuts)
	at := func(t float64) vec { return a.add(b.sub(a).mul(t)) }
	for i := 1; i < len(cuts); i++ {
		from, to := cuts[i-1], cuts[i]
		if to-from < 1e-6 {
			continue
		}
		st := front
		if s.hidden(at((from + to) / 2)) {
			st = behindLine
		}
		line(s.c, s.fit.at(iso(at(from))), s.fit.at(iso(at(to))), st)
	}
}

// crossing is where on a-b, as a share of its length, the line c-d crosses it.
func crossing(a, b, c, d plane.Point) (float64, bool) {
	rx, ry, sx, sy := b.X-a.X, b.Y-a.Y, d.X-c.X, d.Y-c.Y
	den := rx*sy - ry*sx
	if math.Abs(den) < 1e-12 {
		return 0, false
	}
	t := ((c.X-a.X)*sy - (c.Y-a.Y)*sx) / den
	u := ((c.X-a.X)*ry - (c.Y-a.Y)*rx) / den
	return t, t > 0 && t < 1 && u >= -1e-9 && u <= 1+1e-9
}

// prism draws the edges of a prism across the space.
func (s *spaceDrawing) prism(left, right float64, g plane.Polygon, st Stroke) {
	for i, p := range g {
		q := g[(i+1)%len(g)]
		s.edge(across(left, p), across(left, q), st)
		s.edge(across(right, p), across(right, q), st)
		s.edge(across(left, p), across(right, p), st)
	}
}

func (s *spaceDrawing) space(sp *drawnSpace) {
	s.prism(0, sp.Width, sp.Section, spaceLine)
	for _, k := range sp.Blocks {
		g := plane.Polygon{{X: k.Front, Y: k.Floor}, {X: k.Front + k.Depth, Y: k.Floor}, {X: k.Front + k.Depth, Y: k.Floor + k.Height}, {X: k.Front, Y: k.Floor + k.Height}}
		s.prism(k.Left, k.Left+k.Width, g, blockLine)
		name := k.Name
		if name == "" {
			name = "kept clear"
		}
		s.name(name, vec{k.Left + k.Width/2, k.Front, k.Floor + k.Height})
	}
	top := sp.Section[0]
	for _, p := range sp.Section {
		if p.Y > top.Y || p.Y == top.Y && p.X > top.X {
			top = p
		}
	}
	s.name("the measured space", across(sp.Width*0.12, top))
}

func (s *spaceDrawing) name(text string, at vec) {
	s.names = append(s.names, callout{text: text, target: s.fit.at(iso(at))})
}

// openings draws the driver's and the port's holes on the box.
func (s *spaceDrawing) openings(b *panels.Box) {
	drivers, ports := 0, 0
	for _, p := range b.Panels {
		for _, h := range p.Holes {
			if h.From == "inner" || h.Kind != "driver" && h.Kind != "port" && h.Kind != "slot" {
				continue
			}
			s.opening(p.Place, h)
			at := onPanel(p.Place, plane.Point{X: h.X, Y: h.Y})
			switch {
			case h.Kind == "driver":
				drivers++
				if drivers == 1 {
					s.name("driver in the "+p.Name, at)
				}
			default:
				ports++
				if ports == 1 {
					s.name("port mouth in the "+p.Name, at)
				}
			}
		}
	}
}

func (s *spaceDrawing) opening(f panels.Frame, h panels.Hole) {
	var ring []vec
	for _, p := range holeOutline(h, 48) {
		ring = append(ring, onPanel(f, p))
	}
	if vec(f.X).cross(vec(f.Y)).dot(toViewer) > 1e-9 {
		var pts []Pt
		for _, v := range ring {
			pts = append(pts, s.fit.at(iso(v)))
		}
		s.c.Path(pts, true, nil, &Fill{0.72})
	}
	for i, v := range ring {
		s.edge(v, ring[(i+1)%len(ring)], holeLine)
	}
}

// ends writes FRONT and RIGHT END along the edges that one stands before.
func (s *spaceDrawing) ends(sp *drawnSpace, b *panels.Box) {
	lo, hi := b.Spec.Outside.Bounds()
	left, right, front, back, floor := lo.X, hi.X, lo.Y, hi.Y, lo.Z
	if sp != nil {
		k := sp.Section.Bounds()
		left, right = 0, sp.Width
		front, back, floor = k.Min.X, k.Max.X, k.Min.Y
	}
	t := TextStyle{Label: true, Size: 8, Bold: true, Align: AlignCentre, Grey: 0.2}
	down := 1.2 + rise(t.Size)
	put := func(a, b vec, text string, angle float64) {
		m := s.fit.at(iso(a.add(b).mul(0.5)))
		t.Angle = angle
		sin, cos := math.Sincos(angle * math.Pi / 180)
		at := Pt{m.X + down*sin, m.Y + down*cos}
		corners := boxOf(at, text, t).corners
		s.c.Path(corners[:], true, nil, &Fill{1}) // lines of blocks may pass here
		s.c.Text(at, text, t)
	}
	put(vec{left, front, floor}, vec{right, front, floor}, "FRONT", -30)
	put(vec{right, front, floor}, vec{right, back, floor}, "RIGHT END", 30)
}

// setNames shares the names between the margins by what they point to, in its order from top to bottom, so that leaders keep apart.
func (s *spaceDrawing) setNames(r Rect) {
	t := TextStyle{Size: sizeSmall}
	s.chooseSides(r.Centre().X)
	sort.SliceStable(s.names, func(i, j int) bool { return s.names[i].target.Y < s.names[j].target.Y })
	used, left := [2]float64{r.Y, r.Y}, 0
	for _, n := range s.names {
		side := 0
		if n.right {
			side = 1
		}
		lines := wrap(n.text, t, calloutWidth-4)
		h := float64(len(lines)) * lineHeight(t.Size)
		if used[side]+h > r.Bottom() {
			side = 1 - side
			if used[side]+h > r.Bottom() {
				left++
				continue
			}
		}
		y := math.Max(used[side], math.Min(n.target.Y-h/2, r.Bottom()-h))
		used[side] = y + h + 1.5
		x, end, align := r.X, r.X+calloutWidth-3, AlignLeft
		if side == 1 {
			x, end, align = r.Right(), r.Right()-calloutWidth+3, AlignRight
		}
		t.Align = align
		for i, l := range lines {
			s.c.Text(Pt{x, y + rise(t.Size) + float64(i)*lineHeight(t.Size)}, l, t)
		}
		from := Pt{end, y + rise(t.Size)/2}
		if side == 0 {
			from.X = r.X + textWidth(lines[0], t) + 1.2
		} else {
			from.X = r.Right() - textWidth(lines[0], t) - 1.2
		}
		line(s.c, from, n.target, Stroke{Width: 0.12})
		s.c.Circle(n.target, 0.45, nil, &Fill{0})
	}
	if left > 0 {
		t.Align = AlignCentre
		s.c.Text(Pt{r.Centre().X, r.Bottom() - 1}, fmt.Sprintf("%d more drawn without their names", left), t)
	}
}

// chooseSides gives each name the margin that is nearer to what it points to; a margin with many more names than the other gives up
// those that point nearest to the middle.
func (s *spaceDrawing) chooseSides(middle float64) {
	const uneven = 2
	left, right := 0, 0
	for i := range s.names {
		if s.names[i].right = s.names[i].target.X > middle; s.names[i].right {
			right++
		} else {
			left++
		}
	}
	for left-right > uneven || right-left > uneven {
		crowded, best := right > left, -1
		for i, n := range s.names {
			if n.right == crowded && (best < 0 || math.Abs(n.target.X-middle) < math.Abs(s.names[best].target.X-middle)) {
				best = i
			}
		}
		s.names[best].right = !crowded
		if crowded {
			left, right = left+1, right-1
		} else {
			left, right = left-1, right+1
		}
	}
}
