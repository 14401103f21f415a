package render

import (
	"fmt"
	"math"

	"cubby/internal/panels"
	"cubby/internal/unit"
)

// legend is printed on each drawing page.
const legend = "OUTER face towards you, LEFT END of the box at your left hand; edges are named after their neighbours. Filled triangle = reference corner. Sizes are between arrises of the " +
	"outer face; in parentheses the closing size: reference + closing = face. Dashed: arris of the inner face."

// cards sets drawings one under the other with the legend at the head of each page.
type cards struct {
	*flow
	top float64 // under the legend
}

func (s *shop) cards(title string, o orientation) *cards {
	c := &cards{flow: s.book.flow(partB, title, o)}
	c.legend()
	return c
}

func (c *cards) legend() {
	st := TextStyle{Size: sizeSmall}
	c.Y = paragraph(c, Pt{c.Area.X, c.Y}, c.Area.W, legend, st) + 1
	line(c, Pt{c.Area.X, c.Y}, Pt{c.Area.Right(), c.Y}, Stroke{Width: thin})
	c.Y += 3
	c.top = c.Y
}

// room goes on to a new page with the legend unless h mm are left.
func (c *cards) room(h float64) {
	if c.Left() < h {
		c.Page()
		c.legend()
	}
}

// partPages draw what needs more than square cuts, on pages that run on: panels in the order of their marks (holes, bevels, rabbets, a
// slot's mouth; a plain rectangle is in the list and is not drawn), then the ends, then how ports and braces are made.
func (s *shop) partPages() {
	ends := s.withRole(panels.End)
	title := "Panels and ends"
	if s.box.Slot != nil || len(s.box.Ports) > 0 {
		title = "Panels, ends and ports"
	}
	c := s.cards(title, portrait)
	var all []panels.Panel
	for _, p := range s.byMark() {
		if p.Role != panels.End && s.needsDrawing(p) && (p.Role.Shell() || p.Role == panels.Doubler || p.Role == panels.Cleat || !outlined(p)) {
			all = append(all, p)
		}
	}
	s.deal(c, all)
	s.endBlocks(c, ends)
	s.innerBlocks(c)
}

// needsDrawing reports whether a panel has work beyond square cuts.
func (s *shop) needsDrawing(p panels.Panel) bool {
	for _, e := range p.Edges {
		if bevelled(e) {
			return true
		}
	}
	return len(p.Holes) > 0 || len(s.rabbetsOf(p)) > 0 || p.CutWidth > 0 || outlined(p)
}

// innerBlocks draw how ports and braces are made: the slot's cuts, the tube, and the boards that are no plain rectangles.
func (s *shop) innerBlocks(c *cards) {
	var inner []panels.Panel
	for _, p := range s.withRole(panels.Divider, panels.Window, panels.Strip, panels.Saddle, panels.SlotWall, panels.SlotRoof, panels.Fin, panels.Ring) {
		if s.needsDrawing(p) && outlined(p) {
			inner = append(inner, p)
		}
	}
	s.slotSection(c)
	if len(s.box.Ports) > 0 && s.box.Slot == nil {
		s.tubeBlock(c)
	}
	s.deal(c, inner)
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
	cardTall   = 72.0 // tallest outline
	plainTall  = 28.0 // of a panel without openings: its edges matter, not its face
)

// card draws one panel with its sections and its table of openings.
func (s *shop) card(c *cards, p panels.Panel, share float64) {
	l := s.planCard(p, c.Area.W, share)
	s.cardHead(c, p, scaleText(l.k))
	r := c.Box(l.height())
	d := onPaper(c, Rect{r.X, r.Y, l.w, l.h})
	x0 := r.X + roomLeft + float64(l.left)*levelStep
	y0 := r.Y + roomTop + (reach(p)+innerOver(p)[1])*1000*l.k
	s.drawPlate(d, p, view{l.k * 1000, x0, y0}, l.big)
	at := Pt{r.Right() - sectionWide, r.Y}
	if l.below {
		at = Pt{r.X + roomLeft, r.Y + l.h}
	}
	for _, e := range l.secs {
		s.drawSection(c, Rect{at.X, at.Y, sectionWide, e.height()}, e)
		if l.below && !l.piled() {
			at.X += sectionWide + sectionGap
		} else {
			at.Y += e.height() + 3
		}
	}
	c.Gap(1)
	s.afterDrawing(c, p, s.openingTable(p))
}

// cardPlan is how a panel's drawing and its edge sections share a card.
type cardPlan struct {
	secs  []edgeSection
	big   []opening
	left  int     // lines of dimensions at the left of the drawing
	k     float64 // scale, mm of paper per mm
	w, h  float64 // of the drawing, mm
	below bool    // sections under the drawing, else at its right
}

// planCard plans a card no wider than width at a share of its best scale: it puts the sections at the right of the drawing or below
// it, whichever makes the lower card without costing much of the scale.
func (s *shop) planCard(p panels.Panel, width, share float64) cardPlan {
	const worth = 0.6 // of the scale
	l := cardPlan{secs: edgeSections(p), big: bigOpenings(p), w: width, below: true}
	if len(p.Holes) > 0 {
		share = math.Max(share, leastPierced)
	}
	rows, left := levels(p, l.big)
	l.left = left
	lv, lh := float64(rows)*levelStep, float64(left)*levelStep
	over := innerOver(p)
	tall := reach(p) + over[0] + over[1]
	most := cardTall
	if len(p.Holes) == 0 {
		most = plainTall
	}
	best := func(w float64) float64 {
		return s.scaleFor(p.Length, tall, w-roomLeft-roomRight-lh, most)
	}
	set := func(l cardPlan, w float64) cardPlan {
		l.k = best(w)
		if share < 1 {
			l.k = s.scaleFor(p.Length, tall, p.Length*1000*l.k*share, tall*1000*l.k*share)
		}
		l.w, l.h = w, tall*1000*l.k+roomTop+roomBottom+lv
		return l
	}
	under := set(l, width)
	if len(l.secs) == 0 {
		return under
	}
	l.below = false
	if beside := set(l, width-sectionWide-4); beside.k >= worth*under.k && beside.height() <= under.height() || beside.k >= under.k*0.99 {
		return beside
	}
	return under
}

// sectionGap is the space between two edge sections in a row, mm.
const sectionGap = 12.0

// piled reports whether the sections stand one under the other because the card is too narrow for a row of them.
func (l cardPlan) piled() bool {
	return roomLeft+float64(len(l.secs))*(sectionWide+sectionGap)-sectionGap > l.w
}

func (l cardPlan) height() float64 {
	high, sum := 0.0, 0.0
	for _, e := range l.secs {
		high = math.Max(high, e.height())
		sum += e.height() + 3
	}
	switch {
	case l.below && l.piled():
		return l.h + sum
	case l.below:
		return l.h + high
	}
	return math.Max(l.h, sum)
}

// rectangular reports whether an outline is a plain upright rectangle.
func rectangular(p panels.Panel) bool {
	if len(p.Outline) != 4 {
		return false
	}
	k := p.Outline.Bounds()
	return math.Abs(math.Abs(p.Outline.Area())-k.Width()*k.Height()) < 1e-9
}

// afterDrawing sets what belongs under a panel's drawing: openings, bolt circle and notes.
func (s *shop) afterDrawing(c *cards, p panels.Panel, t table) {
	small := TextStyle{Size: sizeSmall}
	if p.Role != panels.End && len(s.rabbetsOf(p)) > 0 {
		c.Styled("Rabbet on the inner face: "+s.rabbetText(p)+".", TextStyle{Size: sizeSmall, Bold: true})
	}
	for _, l := range s.circleText(p) {
		c.Styled(l, small)
	}
	if g := datumOf(p); g.Note != "" && len(p.Holes) > 0 {
		c.Styled("Y from "+g.YName+": "+g.Note+".", TextStyle{Size: sizeSmall, Bold: true})
	}
	for _, n := range panels.Texts(p.Notes, s.m.sys) {
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
	st := TextStyle{Size: sizeSmall}
	info := fmt.Sprintf("%s   blank %s × %s   scale %s", s.boardOf(p), s.m.sloped(p.Blank[0]), s.m.sloped(p.Blank[1]), scale)
	if p.Grain != "" {
		info += "   grain along " + map[string]string{"length": "L", "width": "W"}[p.Grain]
	}
	if c.TextWidth(info, st) > c.Area.Right()-x { // a narrow card
		c.Y = paragraph(c, Pt{c.Area.X, c.Y + 6}, c.Area.W, info, st) + 1
		return
	}
	c.Text(Pt{x, c.Y + rise(12)}, info, st)
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
		if !smallHole(o.Hole) && !isStrip(p, o.Hole) {
			out = append(out, o)
		}
	}
	if len(out) > 3 {
		out = out[:3]
	}
	return out
}
