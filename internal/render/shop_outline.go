package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// endBlocks draw both ends side by side with the corners of their outlines as coordinates.
func (s *shop) endBlocks(c *cards, ends []panels.Panel) {
	for i := 0; i < len(ends); i += 2 {
		pair := ends[i:min(i+2, len(ends))]
		if len(pair) == 2 && pair[0].Place.X[1] < pair[1].Place.X[1] {
			pair = []panels.Panel{pair[1], pair[0]} // right end first: its front edge is at the left of the page
		}
		c.room(0.4 * c.Area.H)
		s.endPair(c, pair)
		c.Gap(4)
	}
}

// Room round an outline for edge names and dimensions, mm.
const (
	outlineLeft   = 16.0
	outlineRight  = 18.0
	outlineTop    = 12.0
	outlineBottom = 16.0
	outlineTall   = 62.0
	leastEnd      = 40.0 // least height of an end as drawn where all that belongs to it is to stay on its page
	leastMany     = 60.0 // and of one with more than fewCorners
	fewCorners    = 8
)

// endPlan is how two ends, the tables of their corners and what else belongs to them share a page.
type endPlan struct {
	cols    []Rect
	k       float64 // scale, mm of paper per mm
	high    float64 // of an end as drawn, mm
	beside  bool    // the corners stand at the right of the drawings, else at the left under them
	text    Rect    // X and width of notes and openings
	further bool    // notes and openings run on over the page
}

// planEnds puts the corners under the drawings or beside them, whichever leaves the larger drawings.
func (s *shop) planEnds(c *cards, pair []panels.Panel, corners []table, texts []string) endPlan {
	lo, hi := bounds(pair[0].Outline)
	wide, tall := s.cornerWide(pair[0]), 0.0
	for _, t := range corners {
		tall += t.height(wide) + 3
	}
	room := c.Left() - 10 - outlineTop - outlineBottom
	scaled := func(l endPlan, h float64) endPlan {
		l.k = s.scaleFor(hi.X-lo.X, hi.Y-lo.Y, l.cols[0].W-outlineLeft-outlineRight, math.Max(20, math.Min(outlineTall, h)))
		l.high = (hi.Y - lo.Y) * 1000 * l.k
		return l
	}
	least := leastEnd
	if len(pair[0].Outline) > fewCorners {
		least = leastMany
	}
	l := endPlan{cols: c.Area.Columns(2, cardGap), text: Rect{X: c.Area.X, W: c.Area.W}}
	under := l
	if len(corners) > 0 {
		under.text = Rect{X: c.Area.X + wide + cardGap, W: c.Area.W - wide - cardGap}
		right := c.Area
		right.W -= wide + cardGap
		l.cols, l.beside = right.Columns(2, cardGap), true
	}
	under = scaled(under, room-math.Max(tall, s.besideHeight(c, pair, texts, under.text.W)))
	if full := s.besideHeight(c, pair, texts, l.text.W); l.beside && tall+full < c.Left()-10 {
		if l = scaled(l, room-full); l.k > under.k && l.high >= least {
			return l
		}
	}
	if under.high < least { // the drawing comes first
		under = scaled(under, room-tall)
		under.further = true
	}
	return under
}

// endPair draws two ends side by side, with their corners and what else belongs to them.
func (s *shop) endPair(c *cards, pair []panels.Panel) {
	corners, texts, wide := s.cornerTables(pair), s.endNotes(pair), s.cornerWide(pair[0])
	tall := 0.0
	for i := range corners {
		corners[i].tight = c.b.tight
		tall += corners[i].height(wide) + 3
	}
	l := s.planEnds(c, pair, corners, texts)
	h := l.high + outlineTop + outlineBottom
	c.room(math.Min(h+8+tall, c.Area.H-20))
	top := c.Y
	var crowded []string
	for i, p := range pair {
		s.endHead(c, p, l.cols[i], top, scaleText(l.k))
		d := onPaper(c, Rect{l.cols[i].X, top + 7, l.cols[i].W, h})
		crowded = append(crowded, s.drawOutline(d, p, view{l.k * 1000, l.cols[i].X + outlineLeft, top + 7 + outlineTop + l.high})...)
	}
	c.Y = top + 7 + h + 1
	at := Pt{c.Area.X, c.Y}
	if l.beside {
		at = Pt{c.Area.Right() - wide, top}
	}
	for _, t := range corners {
		at.Y = t.draw(c, at, wide) + 3
	}
	switch {
	case l.further:
		c.Y = math.Max(c.Y, at.Y)
		s.endTexts(c, pair, append(texts, unnamed(crowded)...))
		return
	case l.beside:
		c.Y = math.Max(c.Y, at.Y)
		c.Y = s.setBeside(c, pair, texts, Rect{X: l.text.X, Y: c.Y, W: l.text.W})
	default:
		c.Y = math.Max(at.Y, s.setBeside(c, pair, texts, Rect{X: l.text.X, Y: c.Y, W: l.text.W}))
	}
	s.endTexts(c, pair, nil)
	for _, t := range unnamed(crowded) {
		c.Styled(t, TextStyle{Size: sizeSmall})
	}
}

// unnamed says which edges are too short to be named in the drawing, and how they are called.
func unnamed(crowded []string) []string {
	if len(crowded) == 0 {
		return nil
	}
	return []string{"Edges too short to be named in the drawing: " + listed(crowded) + "."}
}

// endNotes are the lines of text that belong to two ends.
func (s *shop) endNotes(ends []panels.Panel) []string {
	var out []string
	if !slices.ContainsFunc(ends, rectangular) {
		out = append(out, "The slanted and notched cuts of an outline are the last ones on its rectangle.")
	}
	out = append(out, "All edges are square. Both ends are drawn as seen from outside: lay out each from its own drawing, never by turning the other over, unless the sheet layout says so.")
	of := map[string][]panels.Panel{}
	var order []string
	add := func(p panels.Panel, text string) {
		if of[text] == nil {
			order = append(order, text)
		}
		of[text] = append(of[text], p)
	}
	for _, p := range ends {
		if len(p.Rabbets) > 0 {
			add(p, "rabbet on the inner face: "+s.rabbetText(p)+".")
		}
		for _, n := range panels.Texts(p.Notes, s.m.sys) {
			add(p, n)
		}
		for _, l := range s.circleText(p) {
			add(p, l)
		}
	}
	for _, text := range order {
		who := "Both ends"
		if ps := of[text]; len(ps) < 2 {
			who = ps[0].Mark + " " + place(ps[0].Name)
		}
		out = append(out, who+": "+text)
	}
	return out
}

// besideHeight is the height of notes and openings set one under the other.
func (s *shop) besideHeight(c *cards, ends []panels.Panel, texts []string, w float64) float64 {
	h := 0.0
	for _, t := range texts {
		h += paragraphHeight(w, t, TextStyle{Size: sizeSmall}) + 1
	}
	for _, p := range ends {
		if t := s.openingTable(p); len(t.Rows) > 0 {
			t.tight = c.b.tight
			h += t.height(c.Area.W) + lineHeight(sizeSub) + 4
		}
	}
	return h
}

func (s *shop) setBeside(c *cards, ends []panels.Panel, texts []string, r Rect) float64 {
	y := r.Y
	for _, t := range texts {
		y = paragraph(c, Pt{r.X, y}, r.W, t, TextStyle{Size: sizeSmall}) + 1
	}
	return y
}

func (s *shop) openingsTitle(p panels.Panel) string {
	return p.Mark + "  " + place(p.Name) + ": openings"
}

func (s *shop) endHead(c *cards, p panels.Panel, r Rect, y float64, scale string) {
	head := TextStyle{Size: 12, Bold: true}
	name := clipText(p.Mark+"  "+place(p.Name), head, r.W*0.55)
	c.Text(Pt{r.X, y + rise(12)}, name, head)
	x := r.X + c.TextWidth(name, head) + 4
	st := TextStyle{Size: sizeLabel}
	c.Text(Pt{x, y + rise(12)}, clipText(fmt.Sprintf("%s   scale %s", s.boardOf(p), scale), st, r.Right()-x), st)
}

// endTexts sets notes and openings of ends over as many pages as they take.
func (s *shop) endTexts(c *cards, ends []panels.Panel, texts []string) {
	for _, t := range texts {
		c.Styled(t, TextStyle{Size: sizeSmall})
	}
	for _, p := range ends {
		t := s.openingTable(p)
		if len(t.Rows) == 0 {
			continue
		}
		c.room(math.Min(t.height(c.Area.W)+14, 90))
		c.Gap(2)
		c.Sub(s.openingsTitle(p))
		c.Table(t)
	}
}

// outlineCard draws one panel that is no rectangle, by its corners.
func (s *shop) outlineCard(c *cards, p panels.Panel) {
	lo, hi := bounds(p.Outline)
	wide := s.cornerWide(p)
	beside := len(p.Outline) <= fewCorners
	pane := c.Area.W
	if beside {
		pane -= wide + 2
	}
	k := s.scaleFor(hi.X-lo.X, hi.Y-lo.Y, pane-outlineLeft-outlineRight, outlineTall)
	h := (hi.Y-lo.Y)*1000*k + outlineTop + outlineBottom
	t := s.cornerTable(p)
	tall := h + t.height(wide) + 2
	if beside {
		tall = math.Max(h, t.height(wide))
	}
	c.room(math.Min(tall+12+s.afterHeight(p, c.Area.W), c.Area.Bottom()-c.top))
	s.cardHead(c, p, scaleText(k))
	r := c.Box(tall)
	d := onPaper(c, Rect{r.X, r.Y, pane, h})
	crowded := s.drawOutline(d, p, view{k * 1000, r.X + outlineLeft, r.Y + outlineTop + (hi.Y-lo.Y)*1000*k})
	if beside {
		t.draw(c, Pt{r.Right() - wide, r.Y}, wide)
	} else {
		t.draw(c, Pt{r.X, r.Y + h + 1}, wide)
	}
	for _, t := range unnamed(crowded) {
		c.Styled(t, TextStyle{Size: sizeSmall})
	}
	c.Gap(1)
	s.afterDrawing(c, p, s.openingTable(p))
}

// drawOutline draws an outline with its corners numbered, its edges named, its openings and its overall sizes. It returns the edges
// that have no room for their names.
func (s *shop) drawOutline(d *drawing, p panels.Panel, v view) (crowded []string) {
	lo, hi := bounds(p.Outline)
	v.x0 -= lo.X * v.k
	v.y0 += lo.Y * v.k
	pts := make([]Pt, len(p.Outline))
	for i, c := range p.Outline {
		pts[i] = v.at(c.X, c.Y)
	}
	d.shape(pts, &Stroke{Width: thick}, nil)
	if field := raisedField(p); field != nil {
		d.shape(fit{v.k, v.x0, v.y0}.path(field), &Stroke{Width: thin, Dash: []float64{2, 1}}, nil)
	}
	if p.Role == panels.End {
		s.landings(d, p, v)
	}
	g := datumOf(p)
	x := lo.X
	dx := 1.0
	if g.FromRight {
		x, dx = hi.X, -1
	}
	d.refCorner(v.at(x, lo.Y), dx, -1)
	s.drawOpenings(d, p, v)
	s.outlineOpenings(d, p, v)
	strong := TextStyle{Size: 9, Bold: true}
	d.dimension(v.at(lo.X, lo.Y), v.at(hi.X, lo.Y), -13, s.m.sloped(hi.X-lo.X), strong)
	if g.FromRight {
		d.dimension(v.at(lo.X, lo.Y), v.at(lo.X, hi.Y), 11, s.m.sloped(hi.Y-lo.Y), strong)
	} else {
		d.dimension(v.at(hi.X, lo.Y), v.at(hi.X, hi.Y), -11, s.m.sloped(hi.Y-lo.Y), strong)
	}
	numberAround(d, pts, func(i int) string { return fmt.Sprint(s.cornerNo(p, i)) })
	crowded = s.outlineEdges(d, p, pts)
	s.numberOpenings(d, p, v)
	return crowded
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

// dimensionedFrom is the least size of an opening that gets dimension lines on an outline; smaller ones stand in the table.
const dimensionedFrom = 0.025 // m

// outlineOpenings dimensions the first large opening of an outline from the reference corner, closing sizes in brackets.
func (s *shop) outlineOpenings(d *drawing, p panels.Panel, v view) {
	lo, hi := bounds(p.Outline)
	st := TextStyle{Size: dimSize}
	for _, o := range openings(p) {
		if smallHole(o.Hole) || math.Max(o.Hole.Diameter, o.Hole.Length) < dimensionedFrom {
			continue
		}
		x, y := s.m.bare(o.X), s.m.bare(o.Y)
		cx, cy := s.closingText(d, o.X, o.CloseX, v.k, st), s.closingText(d, o.Y, o.CloseY, v.k, st)
		side, off := lo.X, 9.0
		if datumOf(p).FromRight {
			x, cx = cx, x
			side, off = hi.X, -13.0
		}
		d.dimensions(distance{v.at(lo.X, lo.Y), v.at(o.Hole.X, lo.Y), -7, x, st}, distance{v.at(o.Hole.X, lo.Y), v.at(hi.X, lo.Y), -7, cx, st},
			distance{v.at(side, lo.Y), v.at(side, o.Hole.Y), off, y, st}, distance{v.at(side, o.Hole.Y), v.at(side, hi.Y), off, cy, st})
		return
	}
}

// numberAround writes the number of each corner of an outline outside it.
func numberAround(d *drawing, pts []Pt, number func(i int) string) {
	st := TextStyle{Size: sizeLabel, Bold: true}
	half := rise(sizeLabel) / 2
	n := len(pts)
	for i, c := range pts {
		a, b := pts[(i+n-1)%n], pts[(i+1)%n]
		ux, uy := away(c, a, b)
		var spots []spot
		for _, far := range []float64{3, 4.2, 5.4} {
			for _, turn := range []float64{0, 0.5, -0.5, 1, -1, 1.6, -1.6, 2.4, -2.4, math.Pi} {
				sin, cos := math.Sincos(turn)
				x, y := ux*cos-uy*sin, ux*sin+uy*cos
				spots = append(spots, spot{At: Pt{c.X + x*far, c.Y + y*far + half}, Align: AlignCentre})
			}
		}
		d.write(number(i), st, spots...)
	}
}

// away points from a corner away from its two neighbours.
func away(c, a, b Pt) (x, y float64) {
	u, v := unitTo(a, c), unitTo(b, c)
	x, y = u.X+v.X, u.Y+v.Y
	if l := math.Hypot(x, y); l > 1e-6 {
		return x / l, y / l
	}
	return u.Y, -u.X
}

func unitTo(from, to Pt) Pt {
	l := math.Hypot(to.X-from.X, to.Y-from.Y)
	if l == 0 {
		return Pt{}
	}
	return Pt{(to.X - from.X) / l, (to.Y - from.Y) / l}
}

// outlineEdges names the walls that meet the sides of an outline, along them on the inside when there is room, else outside, and
// measures the sides of notches. It returns those that have no room.
func (s *shop) outlineEdges(d *drawing, p panels.Panel, pts []Pt) (crowded []string) {
	n := len(pts)
	for i := range pts {
		e, ok := edgeNamed(p, fmt.Sprintf("e%d", i))
		a, b := pts[i], pts[(i+1)%n]
		st, text := TextStyle{Size: sizeLabel, Bold: true}, "to "+place(e.Meets)
		side := 1.0 // text on the inside first
		switch {
		case !ok:
			continue
		case e.Meets == "" && notchSide(p.Outline, i):
			u, w := p.Outline.Edge(i)
			st, text, side = TextStyle{Size: sizeLabel}, s.m.bare(w.Sub(u).Norm()), -1
		case e.Meets == "":
			continue
		}
		mid := Pt{(a.X + b.X) / 2, (a.Y + b.Y) / 2}
		u := unitTo(a, b)
		angle := readable(math.Atan2(-u.Y, u.X) * 180 / math.Pi)
		var spots []spot
		for _, off := range []float64{-2.8, 2.8, -5, 5} { // on the page the outline runs with its inside at the left: the normal (u.Y, -u.X)
			for _, k := range []float64{0, 0.2, -0.2} {
				along, out := k*math.Hypot(b.X-a.X, b.Y-a.Y), -off*side
				spots = append(spots, centredOn(Pt{mid.X + u.Y*out + u.X*along, mid.Y - u.X*out + u.Y*along}, angle, sizeLabel))
			}
		}
		if !d.write(text, st, spots...) && !d.noteAlong(a, b, text, st) {
			crowded = append(crowded, fmt.Sprintf("%s %d–%d %s", p.Mark, s.cornerNo(p, i), s.cornerNo(p, (i+1)%n), text))
		}
	}
	return crowded
}

// notchSide reports whether a side of an outline ends at a corner that points inward.
func notchSide(g plane.Polygon, i int) bool {
	return g.InteriorAngle(i) > math.Pi || g.InteriorAngle((i+1)%len(g)) > math.Pi
}

// noteAlong sets a note that points to some place on the line from a to b, smaller if need be.
func (d *drawing) noteAlong(a, b Pt, text string, st TextStyle) bool {
	for _, size := range []float64{st.Size, sizeLeast} {
		st.Size = size
		for _, k := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
			if d.noteWhere(Pt{a.X + (b.X-a.X)*k, a.Y + (b.Y-a.Y)*k}, text, st, 4, anywhere) {
				return true
			}
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

// rabbetText gives width and depth of every rabbet of a panel, side by side where they differ.
func (s *shop) rabbetText(p panels.Panel) string {
	all := s.rabbetsOf(p)
	same := true
	for _, r := range all {
		same = same && math.Abs(r.Width-all[0].Width) < sameFace
	}
	if same && len(all) > 1 && len(all) == len(p.Edges) {
		return fmt.Sprintf("all round %s wide, %s deep", s.m.sloped(all[0].Width), s.m.small(all[0].Depth))
	}
	var out []string
	for _, r := range all {
		to := fmt.Sprintf("side %d", r.Edge+1)
		if m := p.Edges[r.Edge].Meets; m != "" {
			to = "to " + place(m)
		}
		out = append(out, fmt.Sprintf("%s %s wide, %s deep", to, s.m.sloped(r.Width), s.m.small(r.Depth)))
	}
	return strings.Join(out, "; ")
}
