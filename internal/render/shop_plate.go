package render

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/word"
)

// view places a panel frame on the page: k mm of paper per metre, the frame's origin at x0, y0.
type view struct{ k, x0, y0 float64 }

func (v view) at(x, y float64) Pt { return Pt{v.x0 + x*v.k, v.y0 - y*v.k} }

// outerFace is a panel as it is drawn: its outer face, with the margins that its dimensions take.
type outerFace struct {
	p          panels.Panel
	outer      plane.Polygon // as cut, with the allowance of what is trimmed flush
	inner      plane.Polygon // where it differs from the outer one and is drawn
	lo, hi     plane.Point   // round both
	big        []opening     // that have lines of dimensions
	rows, cols int           // of those, under the panel and beside it
	left       float64       // margins, mm
	right      float64
	low        float64
}

func (f outerFace) width() float64  { return f.hi.X - f.lo.X }
func (f outerFace) height() float64 { return f.hi.Y - f.lo.Y }

// Margins of a drawing, mm: over it for names and numbers of corners, to a first line of dimensions, from line to line, and beyond
// the overall size.
const (
	faceTop   = 7.5
	faceFirst = 9.5
	levelStep = 6.0
	facePast  = 2.5
	faceSide  = 12.5 // beside the overall height
	faceTall  = 66.0 // the tallest drawing of a face with openings or corners
	facePlain = 44.0 // and of a plain one: its edges matter, not its face

	leastShare = 0.7 // of it, of a face with openings or corners
)

// faceOf is the drawing of a panel before it has a scale.
func (s *shop) faceOf(p panels.Panel) outerFace {
	f := outerFace{p: p, outer: p.CutOutline(), big: bigOpenings(p)}
	if len(f.outer) == 0 {
		f.outer = rectOutline(p.Length, reach(p))
	}
	if p.Role != panels.End {
		var inner plane.Polygon
		differs := false
		for i, q := range p.Inner {
			inner = append(inner, localTo(p.Place, toVec(q)))
			differs = differs || len(p.Inner) != len(p.Outer) || localTo(p.Place, toVec(p.Outer[i])).Sub(inner[i]).Norm() > sameFace
		}
		if differs {
			f.inner = inner
		}
	}
	f.lo, f.hi = bounds(append(slices.Clone(f.outer), f.inner...))
	if outlined(p) {
		f.big = f.big[:min(1, len(f.big))]
	}
	f.rows, f.cols = len(distinct(f.big, openingX)), len(distinct(f.big, openingY))
	if _, h := mouthStrip(p); h > 0 {
		f.cols++
	}
	f.left, f.right, f.low = 6.5, faceSide, faceFirst+float64(f.rows)*levelStep+facePast
	if f.cols > 0 {
		f.left = faceFirst + float64(f.cols)*levelStep - facePast
	}
	if datumOf(p).FromRight {
		f.left, f.right = f.right, f.left
	}
	return f
}

// faceFigure is the drawing of a face in a width.
type faceFigure struct {
	block
	k    float64                 // scale, mm of paper per mm
	lost func(c Canvas) []string // draws it somewhere else, and tells the names of edges that find no room
}

// figureOf draws a face at a share of the largest scale that a width allows.
func (s *shop) figureOf(f outerFace, width, share float64) faceFigure {
	most := facePlain * share
	if len(f.p.Holes) > 0 || outlined(f.p) || f.p.Role == panels.End {
		most = faceTall * math.Max(share, leastShare)
	}
	k := s.scaleFor(f.width(), f.height(), width-f.left-f.right, most)
	w, h := f.width()*1000*k+f.left+f.right, f.height()*1000*k+faceTop+f.low
	draw := func(c Canvas, at Pt) []string {
		v := view{k * 1000, at.X + f.left - f.lo.X*1000*k, at.Y + faceTop + f.hi.Y*1000*k}
		return s.drawFace(onPaper(c, Rect{at.X, at.Y, w, h}), f, v)
	}
	return faceFigure{block{w, h, func(c Canvas, at Pt) { draw(c, at) }}, k, func(c Canvas) []string { return draw(c, Pt{}) }}
}

// unnamed says which edges are not named in a drawing for want of room.
func (g faceFigure) unnamed() []string {
	if lost := g.lost(&Recorder{}); len(lost) > 0 {
		return []string{"Too short to be named in the drawing: " + word.List(lost) + "."}
	}
	return nil
}

// drawFace draws a panel: outline, arrises of the inner face, rabbets, openings, dimensions, names of edges, corners and openings. It
// returns the names that found no room.
func (s *shop) drawFace(d *drawing, f outerFace, v view) (lost []string) {
	p := f.p
	pts := fit{v.k, v.x0, v.y0}.path(f.outer)
	d.shape(pts, &Stroke{Width: thick}, nil)
	dashed := &Stroke{Width: thin, Dash: []float64{2, 1}}
	if f.inner != nil {
		d.shape(fit{v.k, v.x0, v.y0}.path(f.inner), dashed, nil)
	}
	if field := raisedField(p); field != nil {
		d.shape(fit{v.k, v.x0, v.y0}.path(field), dashed, nil)
	} else {
		s.rabbetLines(d, f, v)
	}
	if p.Role == panels.End {
		s.landings(d, p, v)
	}
	g := datumOf(p)
	lo, hi := bounds(f.outer)
	corner, dx, dy := lo, 1.0, -1.0
	if g.FromRight {
		corner.X, dx = hi.X, -1
	}
	if g.FromTop {
		corner.Y, dy = hi.Y, 1
	}
	d.refCorner(v.at(corner.X, corner.Y), dx, dy)
	s.drawOpenings(d, p, v)
	s.faceDimensions(d, f, v)
	if outlined(p) || p.Role == panels.End {
		no := s.cornerNumbers(p)
		numberAround(d, pts, func(i int) string { return fmt.Sprint(no[i]) })
	}
	lost = s.edgeNames(d, f, pts)
	s.numberOpenings(d, p, v)
	return lost
}

// sideIndex is the side of a panel's outline that an edge is, -1: none.
func sideIndex(key string) int {
	if k := slices.Index([]string{"y0", "x1", "y1", "x0"}, key); k >= 0 {
		return k
	}
	if k, err := strconv.Atoi(strings.TrimPrefix(key, "e")); err == nil {
		return k
	}
	return -1
}

// rabbetLines draws the inner arrises of rabbets that go along single edges.
func (s *shop) rabbetLines(d *drawing, f outerFace, v view) {
	for _, r := range f.p.Rabbets {
		i := sideIndex(f.p.Edges[r.Edge].Edge)
		if i < 0 || i >= len(f.outer) {
			continue
		}
		a, b := f.outer.Edge(i)
		in := b.Sub(a).Unit().Left().Mul(r.Width)
		a, b = a.Add(in), b.Add(in)
		d.line(v.at(a.X, a.Y), v.at(b.X, b.Y), thin, 2, 1)
	}
}

// refCorner fills the triangle that marks the reference corner: dx and dy point into the panel.
func (d *drawing) refCorner(at Pt, dx, dy float64) {
	const leg = 4.5
	tri := []Pt{at, {at.X + dx*leg, at.Y}, {at.X, at.Y + dy*leg}}
	d.Canvas.Path(tri, true, nil, &Fill{Grey: 0})
	d.reserve(quad{tri[0], tri[1], {at.X + dx*leg, at.Y + dy*0.1}, tri[2]})
}

// raisedField is what a rabbet all round leaves standing on the inner face of a panel, nil without one.
func raisedField(p panels.Panel) plane.Polygon {
	n := len(p.Outline)
	if p.Role != panels.End || len(p.Rabbets) == 0 || len(p.Rabbets) != n {
		return nil
	}
	side := func(i int) plane.Line {
		a, b := p.Outline.Edge(i)
		return plane.LineThrough(a, b).Offset(p.Rabbets[i].Width)
	}
	field := make(plane.Polygon, n)
	for i := range field {
		q, ok := side((i + n - 1) % n).Meet(side(i))
		if !ok {
			return nil
		}
		field[i] = q
	}
	return field
}

// sideOf is the key of an edge by the side of the drawing: a rectangle may have its edges named after the sides of its outline.
func sideOf(p panels.Panel, key string) string {
	if k := sideIndex(key); rectangular(p) && k >= 0 && k < 4 {
		a, b := p.Outline.Edge(k)
		switch {
		case math.Abs(a.Y-b.Y) < sameFace && b.X > a.X:
			return "y0"
		case math.Abs(a.Y-b.Y) < sameFace:
			return "y1"
		case b.Y > a.Y:
			return "x1"
		}
		return "x0"
	}
	return key
}

// edgeNames writes each neighbour's name along its edge, and the length of the sides of a notch: outside a rectangle, inside an
// outline while there is room. It returns what has no room.
func (s *shop) edgeNames(d *drawing, f outerFace, pts []Pt) (lost []string) {
	p, n := f.p, len(pts)
	names := make([]string, n)
	if p.Role == panels.Wall && n == 4 && len(p.Outline) == 0 {
		names[1], names[3] = "RIGHT END", "LEFT END"
	}
	for _, e := range p.Edges {
		if k := sideIndex(e.Edge); k >= 0 && k < n && e.Meets != "" {
			names[k] = place(e.Meets)
		}
	}
	way := 1.0 // first inside
	if !outlined(p) && p.Role != panels.End {
		way = -1
	}
	for i, name := range names {
		st, text, side := TextStyle{Size: sizeLabel, Bold: true}, "to "+name, way
		switch {
		case name == "" && notchSide(f.outer, i) && outlined(p):
			a, b := f.outer.Edge(i)
			st, text, side = TextStyle{Size: sizeLabel}, s.m.bare(b.Sub(a).Norm()), -1
		case name == "":
			continue
		}
		a, b := pts[i], pts[(i+1)%n]
		if !d.along(a, b, text, st, side) && !d.noteAlong(a, b, text, st) && !outlined(p) { // the table of corners has it
			lost = append(lost, [...]string{"lower", "right", "upper", "left"}[i]+" edge "+text)
		}
	}
	return lost
}

// along sets a text along a side of an outline that runs with its inside at the left, on the inside first or, with side -1, outside.
func (d *drawing) along(a, b Pt, text string, st TextStyle, side float64) bool {
	u, l := unitTo(a, b), math.Hypot(b.X-a.X, b.Y-a.Y)
	angle := readable(math.Atan2(-u.Y, u.X) * 180 / math.Pi)
	over := math.Max(0, d.TextWidth(text, st)-l) / 2 // by which it stands out beyond the side
	var spots []spot
	for _, off := range []float64{3, 4.2, -3, 5.4, -4.2} {
		for _, k := range []float64{0, 0.15, -0.15, 0.3, -0.3} {
			move, out := k*math.Max(l, 12), off*side
			spots = append(spots, centredOn(Pt{(a.X+b.X)/2 + u.Y*out + u.X*move, (a.Y+b.Y)/2 - u.X*out + u.Y*move}, angle, st.Size))
		}
	}
	return over <= 3 && (d.writeClear(text, st, spots...) || (over == 0 || side < 0) && d.write(text, st, spots...))
}

// notchSide reports whether a side of an outline ends at a corner that points inward.
func notchSide(g plane.Polygon, i int) bool {
	return g.InteriorAngle(i) > math.Pi+leastTilt || g.InteriorAngle((i+1)%len(g)) > math.Pi+leastTilt
}

// noteAlong sets a note that points to some place on the line from a to b.
func (d *drawing) noteAlong(a, b Pt, text string, st TextStyle) bool {
	for _, k := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
		if d.noteWhere(Pt{a.X + (b.X-a.X)*k, a.Y + (b.Y-a.Y)*k}, text, st, 4, anywhere) {
			return true
		}
	}
	return false
}

// centredOn is the anchor of a text of that size whose middle lies on a point.
func centredOn(c Pt, angle, size float64) spot {
	sin, cos := math.Sincos(angle * math.Pi / 180)
	h := rise(size) / 2
	return spot{At: Pt{c.X + h*sin, c.Y + h*cos}, Align: AlignCentre, Angle: angle}
}

// rectOutline is a rectangle as an outline.
func rectOutline(l, w float64) plane.Polygon {
	return plane.Polygon{{}, {X: l}, {X: l, Y: w}, {Y: w}}
}

// numberAround writes the number of each corner of an outline outside it.
func numberAround(d *drawing, pts []Pt, number func(i int) string) {
	st := TextStyle{Size: sizeLabel, Bold: true}
	half, n := rise(sizeLabel)/2, len(pts)
	for i, c := range pts {
		a, b := unitTo(pts[(i+n-1)%n], c), unitTo(pts[(i+1)%n], c)
		out := unitTo(Pt{}, Pt{a.X + b.X, a.Y + b.Y})
		if out == (Pt{}) {
			out = Pt{a.Y, -a.X}
		}
		var spots []spot
		for _, far := range []float64{3, 4.2, 5.4} {
			for _, turn := range []float64{0, 0.5, -0.5, 1, -1, 1.6, -1.6, 2.4, -2.4, math.Pi} {
				sin, cos := math.Sincos(turn)
				spots = append(spots, spot{At: Pt{c.X + (out.X*cos-out.Y*sin)*far, c.Y + (out.X*sin+out.Y*cos)*far + half}, Align: AlignCentre})
			}
		}
		d.write(number(i), st, spots...)
	}
}

func unitTo(from, to Pt) Pt {
	l := math.Hypot(to.X-from.X, to.Y-from.Y)
	if l < 1e-6 {
		return Pt{}
	}
	return Pt{(to.X - from.X) / l, (to.Y - from.Y) / l}
}

// distinct are the openings whose place along one axis is not that of one before.
func distinct(big []opening, along func(opening) float64) []opening {
	var out []opening
	for _, o := range big {
		if !slices.ContainsFunc(out, func(b opening) bool { return math.Abs(along(b)-along(o)) < centredWithin }) {
			out = append(out, o)
		}
	}
	return out
}

func openingX(o opening) float64 { return o.X }
func openingY(o opening) float64 { return o.Y }

// faceDimensions draws overall sizes, and for each large opening its place from the reference corner with the closing size in
// parentheses; for the strip that a slot's mouth takes off an edge, what comes off and what stays.
func (s *shop) faceDimensions(d *drawing, f outerFace, v view) {
	st, strong := TextStyle{Size: dimSize}, TextStyle{Size: 9, Bold: true}
	g := datumOf(f.p)
	var all []distance
	add := func(a, b Pt, off float64, text string, t TextStyle) { all = append(all, distance{a, b, off, text, t}) }
	overall := func(v, k float64) string { // the exact figure only where it has room: the list has it
		if t := s.m.sloped(v); d.TextWidth(t, strong) < v*k-2 {
			return t
		}
		return s.m.bare(v)
	}
	lo, hi := bounds(f.outer)
	trim := plane.Point{X: f.p.Flush, Y: f.p.Flush} // openings are measured on the trimmed panel
	in, far := lo.Add(trim), hi.Sub(trim)
	base := faceFirst + (lo.Y-f.lo.Y)*v.k
	under := distinct(f.big, openingX)
	for i, o := range under {
		off := -base - float64(i)*levelStep
		first, second := s.m.bare(o.X), s.closingText(d, o.X, o.CloseX, v.k, st)
		if g.FromRight {
			first, second = second, first
		}
		add(v.at(in.X, in.Y), v.at(o.Hole.X, in.Y), off, first, st)
		add(v.at(o.Hole.X, in.Y), v.at(far.X, in.Y), off, second, st)
	}
	add(v.at(lo.X, lo.Y), v.at(hi.X, lo.Y), -base-float64(len(under))*levelStep, overall(hi.X-lo.X, v.k), strong)
	side, way := in.X, 1.0
	if g.FromRight {
		side, way = far.X, -1
	}
	off := faceFirst
	if way < 0 {
		off += 3.5 // its texts stand between line and panel
	}
	for _, o := range distinct(f.big, openingY) {
		first, second := s.m.bare(o.Y), s.closingText(d, o.Y, o.CloseY, v.k, st)
		if g.FromTop {
			first, second = second, first
		}
		add(v.at(side, in.Y), v.at(side, o.Hole.Y), way*off, first, st)
		add(v.at(side, o.Hole.Y), v.at(side, far.Y), way*off, second, st)
		off += levelStep
	}
	if key, h := mouthStrip(f.p); h > 0 {
		cut := h
		if key == "y1" {
			cut = hi.Y - h
		}
		add(v.at(lo.X, lo.Y), v.at(lo.X, cut), off, s.m.sloped(cut-lo.Y), st)
		add(v.at(lo.X, cut), v.at(lo.X, hi.Y), off, s.m.sloped(hi.Y-cut), st)
	}
	if g.FromRight {
		add(v.at(lo.X, lo.Y), v.at(lo.X, hi.Y), faceFirst-1, overall(hi.Y-lo.Y, v.k), strong)
	} else {
		add(v.at(hi.X, lo.Y), v.at(hi.X, hi.Y), 1-faceSide, overall(hi.Y-lo.Y, v.k), strong)
	}
	d.dimensions(all...)
}

// closingText is a closing size in parentheses, with the word CENTRED when that is so and the dimension line, at k mm per metre, has
// room for it; the table says it in any case.
func (s *shop) closingText(d *drawing, from, rest, k float64, st TextStyle) string {
	text := "(" + s.m.rest(from+rest, from) + ")"
	if long := text + " CENTRED"; math.Abs(from-rest) < centredWithin && d.TextWidth(long, st) < rest*k-2 {
		return long
	}
	return text
}

// rabbetText gives width, from the edge as it is cut, and depth of every rabbet of a panel, side by side where they differ.
func (s *shop) rabbetText(p panels.Panel) string {
	all := s.rabbetsOf(p)
	same := !slices.ContainsFunc(all, func(r workRabbet) bool { return math.Abs(r.Width-all[0].Width) >= sameFace })
	if same && len(all) > 1 && len(all) == len(p.Edges) {
		return fmt.Sprintf("all round %s, %s deep", s.rabbetWidth(all[0]), s.m.small(all[0].Depth))
	}
	var out []string
	for _, r := range all {
		to := fmt.Sprintf("side %d", r.Edge+1)
		if m := p.Edges[r.Edge].Meets; m != "" {
			to = "to " + place(m)
		}
		out = append(out, fmt.Sprintf("%s %s, %s deep", to, s.rabbetWidth(r), s.m.small(r.Depth)))
	}
	return strings.Join(out, "; ")
}

// rabbetWidth is the width of a rabbet, and on a blank that is trimmed later the width there.
func (s *shop) rabbetWidth(r workRabbet) string {
	if r.Blank > r.Width {
		return s.m.sloped(r.Blank) + " wide on the blank"
	}
	return s.m.sloped(r.Width) + " wide"
}
