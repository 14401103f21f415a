package render

import (
	"fmt"
	"math"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/unit"
)

// legend is printed on each drawing page.
const legend = "Every panel is drawn with its OUTER face towards you; walls with the LEFT END of the box at your left hand. Each edge is named after its neighbour. " +
	"Filled triangle = reference corner: X from the left end (ends: from the FRONT), Y from the edge that the table names. " +
	"Sizes are between arrises of the outer face. In brackets: closing size; reference + closing = size of the face. Dashed: arris of the inner face. Do not scale; stop and ask."

// cards sets drawings one under the other with the legend at the head of each page.
type cards struct{ *flow }

func (s *shop) cards(title string, o orientation) *cards {
	c := &cards{s.book.flow(partB, title, o)}
	c.legend()
	return c
}

func (c *cards) legend() {
	st := TextStyle{Size: sizeTiny}
	c.Y = paragraph(c, Pt{c.Area.X, c.Y}, c.Area.W, legend, st) + 1
	line(c, Pt{c.Area.X, c.Y}, Pt{c.Area.Right(), c.Y}, Stroke{Width: thin})
	c.Y += 3
}

// room goes on to a new page with the legend unless h mm are left.
func (c *cards) room(h float64) {
	if c.Left() < h {
		c.Page()
		c.legend()
	}
}

func (s *shop) panelPages() {
	c := s.cards("Panel drawings", portrait)
	s.unfolded(c)
	for _, p := range s.wallsInOrder() {
		s.card(c, p)
	}
	s.endPages()
	inner := s.withRole(panels.Layer, panels.Divider, panels.Brace, panels.PortPart, panels.Ring, panels.Cleat)
	if len(inner) == 0 {
		return
	}
	c = s.cards("Inner parts", portrait)
	for _, p := range inner {
		s.card(c, p)
	}
}

// unfolded draws the wrap unfolded with the triangle to pencil across it.
func (s *shop) unfolded(c *cards) {
	walls := s.wallsInOrder()
	names, heights := make([]string, len(walls)), make([]float64, len(walls))
	for i, p := range walls {
		names[i], heights[i] = p.Mark+"  "+place(p.Name), reach(p)
	}
	h := math.Max(34, 6.5*float64(len(walls)))
	c.room(h + 10)
	r := c.Box(h)
	d := onPaper(c, r)
	d.carton(Rect{r.X, r.Y, r.W * 0.5, r.H}, names, heights)
	paragraph(c, Pt{r.X + r.W*0.54, r.Y}, r.W*0.46, "The wrap unfolded like a carton, outer faces towards you, left end at the left. Lay the sawn walls out like this and pencil one "+
		"triangle across them all: when it is whole, every piece is in its place, the right way up and the right face out.", TextStyle{Size: sizeSmall})
	c.Gap(5)
}

// wallsInOrder puts the walls as a carton unfolds: front, top, back, bottom with whatever lies between, which is the section walked
// backwards from the front.
func (s *shop) wallsInOrder() []panels.Panel {
	walls := s.withRole(panels.Wall)
	n := len(s.box.Section)
	var order []panels.Panel
	for _, name := range panels.Names(s.box.Section) {
		for _, p := range walls {
			if p.Name == name {
				order = append(order, p)
			}
		}
	}
	if len(order) != len(walls) || len(walls) != n {
		return walls
	}
	start := 0
	for i, p := range order {
		if p.Name == "front" {
			start = i
		}
	}
	out := make([]panels.Panel, 0, n)
	for i := range order {
		out = append(out, order[(start-i+2*n)%n])
	}
	return out
}

// scales that panels are drawn at, in a metric and in an inch shop: the smallest divisor that fits is taken.
var (
	metricScales = []float64{0.2, 0.5, 1, 2, 2.5, 4, 5, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50, 75, 100, 200, 500, 1000}
	inchScales   = []float64{0.25, 0.5, 1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 40, 48, 64, 96, 128, 256, 512, 1024}
)

// scaleFor is the largest scale at which w by h metres fit into a pane, mm of paper per mm.
func (s *shop) scaleFor(w, h, paneW, paneH float64) float64 {
	list := metricScales
	if s.m.sys == unit.Inch {
		list = inchScales
	}
	for _, q := range list {
		if w*1000/q <= paneW && h*1000/q <= paneH {
			return 1 / q
		}
	}
	return math.Min(paneW/(w*1000), paneH/(h*1000))
}

// Room round a panel's outline for its dimensions, mm.
const (
	roomLeft   = 12.0
	roomRight  = 20.0
	roomTop    = 7.0
	roomBottom = 17.0
	levelStep  = 6.0
	cardTall   = 92.0 // tallest outline
	legendTall = 16.0 // what the legend takes at the head of a page
)

// card draws one panel with its sections and its table of openings.
func (s *shop) card(c *cards, p panels.Panel) {
	if len(p.Outline) > 0 && !rectangular(p) {
		s.outlineCard(c, p)
		return
	}
	t := s.openingTable(p)
	after := 0.0
	if len(t.Rows) > 0 {
		after = t.height(c.Area.W) + 5*float64(len(s.circleText(p))+len(p.Notes)+1)
	}
	full := c.Area.H - legendTall - 10
	l := s.planCard(p, c.Area.W, cardTall)
	if l.height()+after > full {
		l = s.planCard(p, c.Area.W, math.Max(45, cardTall-(l.height()+after-full)))
	}
	if excess := 10 + l.height() + after - c.Left(); excess > 0 {
		tall := (reach(p) + innerOver(p)[0] + innerOver(p)[1]) * 1000 * l.k
		if low := s.planCard(p, c.Area.W, tall-excess); low.k > 0.6*l.k && 10+low.height()+after <= c.Left() {
			l = low // a smaller scale saves a page
		}
	}
	c.room(math.Min(10+l.height()+after, c.Area.H-legendTall))
	s.cardHead(c, p, scaleText(l.k))
	r := c.Box(l.height())
	d := onPaper(c, Rect{r.X, r.Y, l.w, l.h})
	x0 := r.X + roomLeft + float64(len(l.big))*levelStep
	y0 := r.Y + roomTop + (reach(p)+innerOver(p)[1])*1000*l.k
	s.drawPlate(d, p, view{l.k * 1000, x0, y0}, l.big)
	at := Pt{r.Right() - sectionWide, r.Y}
	if l.below {
		at = Pt{r.X + roomLeft, r.Y + l.h}
	}
	for _, e := range l.secs {
		s.drawSection(c, Rect{at.X, at.Y, sectionWide, e.height()}, e)
		if l.below {
			at.X += sectionWide + 12
		} else {
			at.Y += e.height() + 3
		}
	}
	c.Gap(1)
	s.afterDrawing(c, p, t)
}

// cardPlan is how a panel's drawing and its edge sections share a card.
type cardPlan struct {
	secs  []edgeSection
	big   []opening
	k     float64 // scale, mm of paper per mm
	w, h  float64 // of the drawing, mm
	below bool    // sections under the drawing, else at its right
}

// planCard plans a card no wider than width, its outline no taller than most: it puts the sections at the right of the drawing or below it, whichever leaves the larger scale.
func (s *shop) planCard(p panels.Panel, width, most float64) cardPlan {
	l := cardPlan{secs: edgeSections(p), big: bigOpenings(p), w: width, below: true}
	lv := float64(len(l.big)) * levelStep
	over := innerOver(p)
	tall := reach(p) + over[0] + over[1]
	l.k = s.scaleFor(p.Length, tall, width-roomLeft-roomRight-lv, most)
	if len(l.secs) > 0 {
		w := width - sectionWide - 4
		if k := s.scaleFor(p.Length, tall, w-roomLeft-roomRight-lv, most); k >= l.k*0.99 {
			l.k, l.w, l.below = k, w, false
		}
	}
	l.h = tall*1000*l.k + roomTop + roomBottom + lv
	return l
}

func (l cardPlan) height() float64 {
	high, sum := 0.0, 0.0
	for _, e := range l.secs {
		high = math.Max(high, e.height())
		sum += e.height() + 3
	}
	if l.below {
		return l.h + high
	}
	return math.Max(l.h, sum)
}

// rectangular reports whether an outline is the plain rectangle of its length and width.
func rectangular(p panels.Panel) bool {
	return len(p.Outline) == 4 && math.Abs(p.Outline.Area()-p.Length*p.Width) < 1e-9
}

// afterDrawing sets what belongs under a panel's drawing: openings, bolt circle and notes.
func (s *shop) afterDrawing(c *cards, p panels.Panel, t table) {
	small := TextStyle{Size: sizeSmall}
	for _, l := range s.circleText(p) {
		c.Styled(l, small)
	}
	if g := datumOf(p); g.Note != "" && len(p.Holes) > 0 {
		c.Styled("Y from "+g.YName+": "+g.Note+".", TextStyle{Size: sizeSmall, Bold: true})
	}
	for _, n := range p.Notes {
		c.Styled("Note: "+n, small)
	}
	if len(t.Rows) > 0 {
		c.Gap(0.5)
		c.Table(t)
	}
	c.Gap(3)
}

func (s *shop) cardHead(c *cards, p panels.Panel, scale string) {
	head := TextStyle{Size: 12, Bold: true}
	x := c.Area.X
	c.Text(Pt{x, c.Y + rise(12)}, p.Mark, head)
	x += c.TextWidth(p.Mark, head) + 3
	name := place(p.Name)
	if p.Count > 1 {
		name += fmt.Sprintf(" (%d pieces)", p.Count)
	}
	name = clipText(name, head, 70)
	c.Text(Pt{x, c.Y + rise(12)}, name, head)
	x += c.TextWidth(name, head) + 4
	st := TextStyle{Size: 8}
	info := fmt.Sprintf("%s   blank %s × %s   scale %s", s.boardOf(p), s.m.sloped(p.Blank[0]), s.m.sloped(p.Blank[1]), scale)
	if p.Grain != "" {
		info += "   grain along " + map[string]string{"length": "L", "width": "W"}[p.Grain]
	}
	c.Text(Pt{x, c.Y + rise(12)}, clipText(info, st, c.Area.Right()-x), st)
	c.Y += 7
}

// innerOver is how far the inner face stands out beyond the outer one at the lower and the upper edge, m.
func innerOver(p panels.Panel) [2]float64 {
	var out [2]float64
	for i, key := range []string{"y0", "y1"} {
		if e, ok := edgeNamed(p, key); ok && e.Tilt < 0 && bevelled(e) {
			out[i] = e.Run
		}
	}
	return out
}

// bigOpenings are those that get dimension lines of their own; with more than three the table alone has the figures.
func bigOpenings(p panels.Panel) []opening {
	var out []opening
	for _, o := range openings(p) {
		if !smallHole(o.Hole) {
			out = append(out, o)
		}
	}
	if len(out) > 3 {
		out = out[:3]
	}
	return out
}

// view places a panel frame on the page: k mm of paper per metre, the frame's origin at x0, y0.
type view struct{ k, x0, y0 float64 }

func (v view) at(x, y float64) Pt { return Pt{v.x0 + x*v.k, v.y0 - y*v.k} }

// drawPlate draws a rectangular panel with its edges, openings and dimensions.
func (s *shop) drawPlate(d *drawing, p panels.Panel, v view, big []opening) {
	l, w := p.Length, reach(p)
	d.shape([]Pt{v.at(0, 0), v.at(l, 0), v.at(l, w), v.at(0, w)}, &Stroke{Width: thick}, nil)
	s.innerArrises(d, p, v)
	d.refCorner(v.at(0, refY(p, w)), 1, refUp(p))
	over := innerOver(p)
	s.drawOpenings(d, p, v)
	s.plateDimensions(d, p, v, big, over)
	s.edgeNames(d, p, v, over)
	s.numberOpenings(d, p, v)
}

func refY(p panels.Panel, w float64) float64 {
	if datumOf(p).FromTop {
		return w
	}
	return 0
}

// refUp is the way, on the page, from the reference corner into the panel: -1 up, 1 down.
func refUp(p panels.Panel) float64 {
	if datumOf(p).FromTop {
		return 1
	}
	return -1
}

// refCorner fills the triangle that marks the reference corner: dx and dy point into the panel.
func (d *drawing) refCorner(at Pt, dx, dy float64) {
	const leg = 4.5
	tri := []Pt{at, {at.X + dx*leg, at.Y}, {at.X, at.Y + dy*leg}}
	d.Canvas.Path(tri, true, nil, &Fill{Grey: 0})
	d.reserve(quad{tri[0], tri[1], {at.X + dx*leg, at.Y + dy*0.1}, tri[2]})
}

// innerArrises draws the arrises of the inner face where they lie off those of the outer one.
func (s *shop) innerArrises(d *drawing, p panels.Panel, v view) {
	for _, key := range []string{"y0", "y1"} {
		e, ok := edgeNamed(p, key)
		if !ok || !bevelled(e) {
			continue
		}
		y := e.Run * sign(e.Tilt)
		if key == "y1" {
			y = reach(p) - y
		}
		d.line(v.at(0, y), v.at(p.Length, y), thin, 2, 1)
		if e.Tilt < 0 {
			edge := 0.0
			if key == "y1" {
				edge = reach(p)
			}
			d.line(v.at(0, y), v.at(0, edge), thin, 2, 1)
			d.line(v.at(p.Length, y), v.at(p.Length, edge), thin, 2, 1)
		}
	}
}

// edgeNames writes each neighbour's name along its edge.
func (s *shop) edgeNames(d *drawing, p panels.Panel, v view, over [2]float64) {
	st := TextStyle{Size: 8, Bold: true}
	l, w := p.Length, reach(p)
	names := map[string]string{"x0": "LEFT END", "x1": "RIGHT END"}
	if p.Role != panels.Wall {
		names = map[string]string{}
	}
	for _, e := range p.Edges {
		if e.Meets != "" {
			names[e.Edge] = place(e.Meets)
		}
	}
	to := func(key string) string {
		if names[key] == "" {
			return ""
		}
		return "to " + names[key]
	}
	var up, down []spot
	for _, k := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
		u, q := v.at(l*k, w+over[1]), v.at(l*k, -over[0])
		up = append(up, spot{At: Pt{u.X, u.Y - 1.8}, Align: AlignCentre})
		down = append(down, spot{At: Pt{q.X, q.Y + 1.4 + rise(8)}, Align: AlignCentre})
	}
	d.write(to("y1"), st, up...)
	d.write(to("y0"), st, down...)
	left := v.at(0, w/2)
	d.writeSide(to("x0"), st, left.X-1.8, left.Y, w*v.k)
	right := v.at(l, w/2)
	d.writeSide(to("x1"), st, right.X+1.4+rise(8), right.Y, w*v.k)
}

// writeSide writes a text upright along a side of length l, smaller if the side is short.
func (d *drawing) writeSide(text string, st TextStyle, x, y, l float64) {
	var fallback []spot
	for _, size := range []float64{st.Size, 7, 6, 5} {
		st.Size = size
		free := l - d.TextWidth(text, st)
		if free < 1 {
			continue
		}
		var spots []spot
		for _, k := range []float64{0, 0.3, -0.3, 0.4, -0.4, 0.46, -0.46} {
			spots = append(spots, spot{At: Pt{x, y + k*free}, Align: AlignCentre, Angle: 90})
		}
		if d.writeClear(text, st, spots...) {
			return
		}
		if fallback == nil {
			fallback = spots
		}
	}
	d.write(text, st, append(fallback, spot{At: Pt{x, y}, Align: AlignCentre, Angle: 90})...)
}

func (s *shop) drawOpenings(d *drawing, p panels.Panel, v view) {
	for _, o := range openings(p) {
		h := o.Hole
		st := &Stroke{Width: medium}
		if h.From == "inner" && h.Depth > 0 {
			st = &Stroke{Width: thin, Dash: []float64{1.5, 0.8}}
		}
		c := v.at(h.X, h.Y)
		if h.Diameter > 0 {
			d.ring(c, h.Diameter/2*v.k, st, nil)
		} else {
			var pts []Pt
			for _, q := range holeOutline(h, 24) {
				pts = append(pts, v.at(q.X, q.Y))
			}
			d.shape(pts, st, nil)
		}
		if smallHole(h) {
			continue
		}
		a, b := h.Diameter/2*v.k+2, h.Diameter/2*v.k+2
		if h.Diameter == 0 {
			a, b = h.Length/2*v.k+2, h.Width/2*v.k+2
		}
		d.line(Pt{c.X - a, c.Y}, Pt{c.X + a, c.Y}, hairline, 4, 0.8, 0.8, 0.8)
		d.line(Pt{c.X, c.Y - b}, Pt{c.X, c.Y + b}, hairline, 4, 0.8, 0.8, 0.8)
	}
}

// plateDimensions draws overall length below and overall width at the right, and for each large opening its place from the
// reference corner with the closing size in brackets.
func (s *shop) plateDimensions(d *drawing, p panels.Panel, v view, big []opening, over [2]float64) {
	l, w := p.Length, reach(p)
	st, strong := TextStyle{Size: dimSize}, TextStyle{Size: 9, Bold: true}
	g := datumOf(p)
	base := 9.5 + over[0]*v.k
	for i, o := range big {
		y := base + float64(i)*levelStep
		d.dimension(v.at(0, 0), v.at(o.X, 0), -y, s.dimText(o.X, false), st)
		d.dimension(v.at(o.X, 0), v.at(l, 0), -y, s.closingText(d, o.X, o.CloseX, v.k, st), st)
	}
	d.dimension(v.at(0, 0), v.at(l, 0), -(base + float64(len(big))*levelStep), s.m.sloped(l)+"  ["+s.m.other(l)+"]", strong)
	for i, o := range big {
		if sameAsBefore(big[:i], func(b opening) bool { return math.Abs(b.Y-o.Y) < centredWithin }) {
			continue
		}
		x := 9.5 + float64(i)*levelStep
		from, mid, to := v.at(0, 0), v.at(0, o.Hole.Y), v.at(0, w)
		first, second := s.dimText(o.Y, false), s.closingText(d, o.Y, o.CloseY, v.k, st)
		if g.FromTop {
			first, second = second, first
		}
		d.dimension(from, mid, x, first, st)
		d.dimension(mid, to, x, second, st)
	}
	d.dimension(v.at(l, 0), v.at(l, w), -14, s.m.sloped(w)+"  ["+s.m.other(w)+"]", strong)
}

func (s *shop) dimText(v float64, bracket bool) string {
	if bracket {
		return "(" + s.m.bare(v) + ")"
	}
	return s.m.bare(v)
}

// closingText is a closing size in brackets, with the word CENTRED when that is so and the dimension line, at k mm per metre, has
// room for it; the table says it in any case.
func (s *shop) closingText(d *drawing, from, rest, k float64, st TextStyle) string {
	text := s.dimText(rest, true)
	if long := text + " CENTRED"; math.Abs(from-rest) < centredWithin && d.TextWidth(long, st) < rest*k-2 {
		return long
	}
	return text
}

func sameAsBefore(before []opening, same func(opening) bool) bool {
	for _, b := range before {
		if same(b) {
			return true
		}
	}
	return false
}

// numberOpenings writes each opening's number: inside large ones, outside small ones on the side away from their circle's centre.
func (s *shop) numberOpenings(d *drawing, p panels.Panel, v view) {
	for _, o := range openings(p) {
		c := v.at(o.Hole.X, o.Hole.Y)
		if !smallHole(o.Hole) {
			st := TextStyle{Size: 9, Bold: true}
			text := fmt.Sprint(o.No)
			if o.Hole.Diameter > 0 && o.Hole.Diameter*v.k > 18 {
				text = fmt.Sprintf("%d  Ø %s", o.No, s.m.bare(o.Hole.Diameter))
			}
			spots := []spot{{At: Pt{c.X + 1.5, c.Y - 2}}, {At: Pt{c.X - 1.5, c.Y - 2}, Align: AlignRight}, {At: Pt{c.X + 1.5, c.Y + 2 + rise(9)}}}
			if !d.writeClear(text, st, spots...) && !d.writeClear(fmt.Sprint(o.No), st, spots...) {
				d.note(c, fmt.Sprint(o.No), st, 3)
			}
			continue
		}
		s.numberSmall(d, p, v, o, c)
	}
}

func (s *shop) numberSmall(d *drawing, p panels.Panel, v view, o opening, c Pt) {
	st := TextStyle{Size: 6.5}
	hub := plane.Point{X: o.Hole.X, Y: o.Hole.Y}
	best := math.Inf(1)
	for _, h := range p.Holes {
		if l := math.Hypot(h.X-o.Hole.X, h.Y-o.Hole.Y); h.Kind == "driver" && l < best {
			best, hub = l, plane.Point{X: h.X, Y: h.Y}
		}
	}
	ux, uy := o.Hole.X-hub.X, -(o.Hole.Y - hub.Y)
	if l := math.Hypot(ux, uy); l > 0 {
		ux, uy = ux/l, uy/l
	} else {
		ux = 1
	}
	r := o.Hole.Diameter/2*v.k + 1.8
	half := rise(6.5) / 2
	var spots []spot
	for _, turn := range []float64{0, 0.6, -0.6, 1.2, -1.2, math.Pi} {
		sin, cos := math.Sincos(turn)
		x, y := ux*cos-uy*sin, ux*sin+uy*cos
		for _, far := range []float64{0, 1.2, 2.4} {
			spots = append(spots, spot{At: Pt{c.X + x*(r+far), c.Y + y*(r+far) + half}, Align: AlignCentre})
		}
	}
	d.write(fmt.Sprint(o.No), st, spots...)
}
