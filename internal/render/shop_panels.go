package render

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/unit"
)

// legend is printed on each drawing page.
const legend = "OUTER face towards you, LEFT END of the box at your left hand; edges bear their neighbours' names. Filled triangle = reference corner. " +
	"Sizes: outer face; in parentheses to the far side. Dashed: arris of the inner face. Openings go through unless a depth is given."

// cards are pages of panels with the legend at their head.
type cards struct {
	*flow
	top  float64 // under the legend
	page float64 // where cards begin on a page of their own
}

func (c *cards) legend() {
	c.Y = paragraph(c, Pt{c.Area.X, c.Y}, c.Area.W, legend, TextStyle{Size: sizeSmall}) + 1
	line(c, Pt{c.Area.X, c.Y}, Pt{c.Area.Right(), c.Y}, Stroke{Width: thin})
	c.Y += 3
	c.top, c.page = c.Y, shopTop+c.Y-c.Area.Y
}

// whole is the height that a page of its own has for cards.
func (c *cards) whole() float64 { return c.Area.Bottom() - c.page }

// item is a card on its way to a page: across the page, or in one of its two columns.
type item struct {
	block
	half bool
	slim *block // the same in a column, where both are good
	rest *table // what runs on over the page's end, under the card
}

// pack puts items on pages, in whichever order and with whichever cards takes the fewest: as they come, the widest first or the
// tallest first; cards of panels with openings across the page or in its columns.
func (c *cards) pack(all []item) {
	slim := slices.Clone(all)
	for i, it := range slim {
		if it.slim != nil {
			slim[i] = item{block: *it.slim, half: true}
		}
	}
	best, least := all, math.MaxInt
	for _, list := range [][]item{all, slim} {
		wide, tall := slices.Clone(list), slices.Clone(list)
		slices.SortStableFunc(wide, func(a, b item) int { return cmp.Compare(b.width(), a.width()) })
		slices.SortStableFunc(tall, func(a, b item) int { return cmp.Or(cmp.Compare(b.width(), a.width()), cmp.Compare(b.h, a.h)) })
		for _, order := range [][]item{list, wide, tall} {
			if n := c.run(order, false); n < least {
				best, least = order, n
			}
		}
	}
	c.run(best, true)
}

// width is how many columns an item takes.
func (i item) width() int {
	if i.half {
		return 1
	}
	return 2
}

// run goes through items page by page, drawing them or not, and counts the pages. Each page takes what it has room for, in order.
func (c *cards) run(all []item, draw bool) (pages int) {
	top, shared := c.top, c.shared
	for ; len(all) > 0; pages++ {
		if draw && pages > 0 {
			c.Page()
			c.legend()
		}
		if pages > 0 {
			top, shared = c.page, false
		}
		if first := all[0]; (first.h > c.whole() || first.rest != nil) && !shared {
			if all = all[1:]; draw {
				first.draw(c, Pt{c.Area.X, c.Y})
				c.Y += first.h
				if first.rest != nil {
					c.Table(*first.rest)
				}
			}
			continue
		}
		low := [2]float64{top, top}
		var left []item
		for _, it := range all {
			if !c.put(it, &low, draw) {
				left = append(left, it)
			}
		}
		all = left
		if draw {
			c.Y = math.Max(low[0], low[1]) - cardGap
		}
	}
	return pages
}

// put sets an item on a page if it has room there; low is how far down the columns are taken.
func (c *cards) put(it item, low *[2]float64, draw bool) bool {
	k := 0
	if low[1] < low[0]-1 {
		k = 1
	}
	y := low[k]
	if !it.half {
		k, y = 0, math.Max(low[0], low[1])
	}
	if it.rest != nil || y+it.h > c.Area.Bottom() {
		return false
	}
	if draw {
		it.draw(c, Pt{c.Area.Columns(2, cardGap)[k].X, y})
	}
	y += it.h + cardGap
	if low[k] = y; !it.half {
		low[1] = y
	}
	return true
}

const (
	cardGap = 7.0 // mm between two cards
	cardSub = 2.5 // mm between the parts of a card
)

// partPages draw what needs more than square cuts, on pages that run on, at a share of the best scale: panels in the order of their
// marks (holes, bevels, rabbets, a slot's mouth; a plain rectangle is in the list and is not drawn), then the ends, then how ports and
// braces are made.
func (s *shop) partPages(share float64) *flow {
	title := "Panels and ends"
	if s.box.Slot != nil || len(s.box.Ports) > 0 {
		title = "Panels, ends and ports"
	}
	c := &cards{flow: s.book.flow(partB, title, portrait)}
	c.legend()
	var shell, inner []item
	for _, p := range s.alike(s.byMark()) {
		if p.Role == panels.End || !s.needsDrawing(p) {
			continue
		}
		if it := s.card(p, c.Area.W, c.whole(), share); p.Role.Shell() || p.Role == panels.Doubler || p.Role == panels.Cleat {
			shell = append(shell, it)
		} else {
			inner = append(inner, it)
		}
	}
	all := append(shell, s.endItems(c, share)...)
	if s.box.Slot != nil && len(s.box.Ports) > 0 {
		all = append(all, s.slotItem(c.Area.W, share))
	} else if len(s.box.Ports) > 0 {
		all = append(all, s.tubeItem(c.Area.W))
	}
	c.pack(append(all, inner...))
	return c.flow
}

// alike puts boards of one outline without openings on one card, under the marks and names of all.
func (s *shop) alike(all []panels.Panel) []panels.Panel {
	var out []panels.Panel
	notes := func(p panels.Panel) (m []panels.Message) {
		for _, t := range panels.Texts(p.Notes, s.m.sys) {
			m = append(m, panels.Words(p.Mark+": "+t))
		}
		return m
	}
	for _, p := range all {
		k := slices.IndexFunc(out, func(q panels.Panel) bool {
			return p.Role != panels.End && outlined(p) && outlined(q) && len(p.Holes)+len(q.Holes) == 0 && p.Thickness == q.Thickness && len(p.Rabbets)+len(q.Rabbets) == 0 &&
				!slices.ContainsFunc(p.Edges, bevelled) && !slices.ContainsFunc(q.Edges, bevelled) && sameCells(s.cornerTable(p), s.cornerTable(q)) &&
				slices.EqualFunc(p.Edges, q.Edges, func(a, b panels.Edge) bool { return a.Edge == b.Edge && a.Meets == b.Meets })
		})
		if k < 0 {
			out = append(out, p)
			continue
		}
		q := &out[k]
		if !strings.Contains(q.Mark, ",") {
			q.Notes = notes(*q)
		}
		q.Notes = append(q.Notes, notes(p)...)
		q.Mark, q.Name = q.Mark+", "+p.Mark, q.Name+", "+p.Name
	}
	return out
}

// needsDrawing reports whether a panel has work beyond square cuts.
func (s *shop) needsDrawing(p panels.Panel) bool {
	return slices.ContainsFunc(p.Edges, bevelled) || len(p.Holes) > 0 || len(s.rabbetsOf(p)) > 0 || p.CutWidth > 0 || outlined(p)
}

// outlined reports whether a panel is drawn by its corners.
func outlined(p panels.Panel) bool { return len(p.Outline) > 0 && !rectangular(p) }

// rectangular reports whether an outline is a plain upright rectangle.
func rectangular(p panels.Panel) bool {
	if len(p.Outline) != 4 {
		return false
	}
	k := p.Outline.Bounds()
	return math.Abs(math.Abs(p.Outline.Area())-k.Width()*k.Height()) < 1e-9
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

// card is a panel with all that belongs to it, in a column of the page if its drawing is large enough there; one with openings across
// the page or in a column.
func (s *shop) card(p panels.Panel, width, page, share float64) item {
	const enough = 0.45 // of the scale that the whole width gives
	half := (width - cardGap) / 2
	f, texts := s.faceOf(p), s.cardTexts(p)
	slim, k := s.cardBlock(f, texts, s.openingTable(p), half, share)
	wide, best := s.cardBlock(f, texts, s.openingTable(p), width, share)
	good := slim.h <= page && (k >= enough*best || wide.h > page)
	switch {
	case good && (len(p.Holes) == 0 || wide.h > page):
		return item{block: slim, half: true}
	case good:
		return item{block: wide, slim: &slim}
	case wide.h <= page:
		return item{block: wide}
	}
	t := s.openingTable(p)
	t.Columns[len(t.Columns)-1].Width = openingWide - columnsWide(t)
	alone, _ := s.cardBlock(f, texts, table{}, width, share)
	return item{block: alone, rest: &t}
}

// cardBlock sets a panel's head, drawing, edge sections, corners, openings and texts into a width, and tells the drawing's scale:
// the sections and the tables stand beside the drawing or under it, whichever is lower without costing much of the scale.
func (s *shop) cardBlock(f outerFace, texts []string, holes table, width, share float64) (block, float64) {
	const worth, legible = 0.7, 20.0 // of the best scale; mm of the shorter side as drawn
	var sections, tables []block
	for _, e := range s.edgeSections(f.p) {
		sections = append(sections, s.sectionBlockOf(e))
	}
	for k, t := range []table{s.cornerTable(f.p), s.lineTable(f.p)} {
		if len(t.Rows) > 0 && (k > 0 || outlined(f.p)) {
			tables = append(tables, s.tableBlock(t, math.Min(width, columnsWide(t))))
		}
	}
	low := append(slices.Clone(sections), tables...)
	if len(holes.Rows) > 0 {
		t := s.tableBlock(holes, math.Min(width, openingWide))
		tables, low = append(tables, t), append(low, t)
	}
	type way struct {
		block
		figure faceFigure
	}
	var ways []way
	for _, side := range [][]block{nil, sections, append(slices.Clone(sections), tables...)} {
		right := stack(side...)
		room := width
		if len(side) > 0 {
			room -= right.w + cardSub
		}
		if room < f.left+f.right+8 {
			continue
		}
		fig := s.figureOf(f, room, share)
		b := fig.block
		if len(side) > 0 {
			b = abreast(b, right, cardSub)
		}
		var under []block
		switch {
		case len(side) == 0:
			under = low
		case len(side) == len(sections):
			under = tables
		}
		ways = append(ways, way{stack(append([]block{b}, rows(width, under)...)...), fig})
	}
	pick := ways[0]
	best := 0.0
	for _, w := range ways {
		best = math.Max(best, w.figure.k)
	}
	short := math.Min(f.width(), f.height()) * 1000
	for _, w := range ways[1:] {
		if k := w.figure.k; (k >= worth*best || k*short >= legible) && (w.h < pick.h-1 || pick.figure.k < worth*best) {
			pick = w
		}
	}
	texts = append(pick.figure.unnamed(), texts...)
	return stack(s.cardHead(f.p, scaleText(pick.figure.k), width), pick.block, textBlock(width, texts)), pick.figure.k
}

// cardTexts are the sentences under a panel's drawing: rabbets, bolt circles, how to measure, and its notes.
func (s *shop) cardTexts(p panels.Panel) []string {
	var out []string
	if len(s.rabbetsOf(p)) > 0 {
		out = append(out, "Rabbet on the inner face: "+s.rabbetText(p)+".")
	}
	out = append(out, s.circleText(p)...)
	if g := datumOf(p); g.Note != "" && len(p.Holes) > 0 {
		out = append(out, "Y from "+g.YName+": "+g.Note+".")
	}
	for _, n := range panels.Texts(p.Notes, s.m.sys) {
		out = append(out, sentence(n))
	}
	return out
}

// cardHead is mark, name, board, blank and scale of a panel, on one line or two.
func (s *shop) cardHead(p panels.Panel, scale string, width float64) block {
	head, st := TextStyle{Size: 12, Bold: true}, TextStyle{Size: sizeSmall}
	name := p.Mark + "  " + place(p.Name)
	if p.Count > 1 {
		name += fmt.Sprintf(" (%d pieces)", p.Count)
	}
	name = clipText(name, head, width)
	info := fmt.Sprintf("%s, blank %s × %s, scale %s", s.boardOf(p), s.m.sloped(p.Blank[0]), s.m.sloped(p.Blank[1]), scale)
	if p.Grain != "" {
		info += ", grain along " + map[string]string{"length": "L", "width": "W"}[p.Grain]
	}
	at := textWidth(name, head) + 4
	if textWidth(info, st) <= width-at {
		return block{width, 7.5, func(c Canvas, o Pt) {
			c.Text(Pt{o.X, o.Y + rise(12)}, name, head)
			c.Text(Pt{o.X + at, o.Y + rise(12)}, info, st)
		}}
	}
	return block{width, 6 + paragraphHeight(width, info, st) + 1.5, func(c Canvas, o Pt) {
		c.Text(Pt{o.X, o.Y + rise(12)}, name, head)
		paragraph(c, Pt{o.X, o.Y + 6}, width, info, st)
	}}
}

// endItems are the ends, two side by side, the right one first: its front edge is at the left of the page. Tables with the same
// figures and sentences that hold for both stand once.
func (s *shop) endItems(c *cards, share float64) []item {
	ends, width := s.withRole(panels.End), c.Area.W
	if len(ends) != 2 {
		var out []item
		for _, p := range ends {
			out = append(out, s.card(p, width, c.whole(), share))
		}
		return out
	}
	if ends[0].Place.X.Y < ends[1].Place.X.Y {
		slices.Reverse(ends)
	}
	shared := []string{"All edges are square. Lay out each end from its own drawing, never by turning the other over, unless the layout says so."}
	if slices.ContainsFunc(ends, outlined) {
		shared = append(shared, "Slanted and notched cuts are the last on the rectangle.")
	}
	if outlined(ends[1]) && sameCells(s.cornerTable(ends[0]), s.cornerTable(ends[1])) {
		shared = append(shared, "Both: corners by the table of "+ends[0].Mark+".")
	}
	own := [2][]string{s.cardTexts(ends[0]), s.cardTexts(ends[1])}
	for _, t := range own[0] {
		if slices.Contains(own[1], t) {
			shared = append(shared, "Both: "+t)
		}
	}
	var pair block
	var rest []item
	for _, try := range [...]struct {
		under int
		share float64
	}{{3, 1}, {1, 1}, {0, 1}, {0, 0.7}, {0, 0.49}, {0, 0.343}} {
		if pair, rest = s.endPair(ends, own, shared, width, c.whole(), try.share*share, try.under); pair.h <= c.whole() {
			break
		}
	}
	return append([]item{{block: pair}}, rest...)
}

// endPair sets two ends side by side, the first tables of theirs under them, of corners, lines and openings, the others as items of
// their own; so is what holds for both where no table is under them.
func (s *shop) endPair(ends []panels.Panel, own [2][]string, shared []string, width, page, share float64, under int) (block, []item) {
	half := (width - cardGap) / 2
	var pair [2]block
	var rest []item
	for i, p := range ends {
		fig := s.figureOf(s.faceOf(p), half, share)
		parts := []block{s.cardHead(p, scaleText(fig.k), half), fig.block}
		for k, t := range []table{s.cornerTable(p), s.lineTable(p), s.openingTable(p)} {
			switch {
			case len(t.Rows) == 0, k == 0 && (!outlined(p) || i > 0 && sameCells(s.cornerTable(ends[0]), t)):
			case k < under:
				parts = append(parts, s.tableBlock(t, half))
			default:
				rest = append(rest, s.tableItem(p, [...]string{"corners", "lines", "openings"}[k], t, half, page))
			}
		}
		texts := append(fig.unnamed(), slices.DeleteFunc(slices.Clone(own[i]), func(t string) bool { return slices.Contains(shared, "Both: "+t) })...)
		if i == 1 && under > 0 {
			texts = append(texts, shared...)
		}
		pair[i] = stack(append(parts, textBlock(half, texts))...)
	}
	pair[0].w = half
	if under == 0 {
		rest = append([]item{{block: textBlock(width, shared)}}, rest...)
	}
	return abreast(pair[0], pair[1], cardGap), rest
}

// tableItem is a table of a panel under its own head.
func (s *shop) tableItem(p panels.Panel, what string, t table, half, page float64) item {
	head := block{half, 6, func(c Canvas, at Pt) {
		c.Text(Pt{at.X, at.Y + rise(sizeSub)}, p.Mark+"  "+place(p.Name)+"   "+what, TextStyle{Size: sizeSub, Bold: true})
	}}
	if whole := stack(head, s.tableBlock(t, half)); whole.h < page {
		return item{block: whole, half: true}
	}
	t.Columns[len(t.Columns)-1].Width = openingWide - columnsWide(t)
	return item{block: head, rest: &t}
}

// block is a part of a page of a size, mm, that draws itself from its upper left corner.
type block struct {
	w, h float64
	draw func(c Canvas, at Pt)
}

// stack sets blocks one under the other.
func stack(all ...block) block {
	b := block{}
	for _, k := range all {
		b.w, b.h = math.Max(b.w, k.w), b.h+k.h
	}
	b.draw = func(c Canvas, at Pt) {
		for _, k := range all {
			k.draw(c, at)
			at.Y += k.h
		}
	}
	return b
}

// abreast sets two blocks side by side.
func abreast(a, b block, gap float64) block {
	return block{a.w + gap + b.w, math.Max(a.h, b.h), func(c Canvas, at Pt) {
		a.draw(c, at)
		b.draw(c, Pt{at.X + a.w + gap, at.Y})
	}}
}

// rows sets blocks side by side as far as a width goes, and on in further rows.
func rows(width float64, all []block) []block {
	var out []block
	for i := 0; i < len(all); {
		row := all[i]
		for i++; i < len(all) && row.w+cardSub+all[i].w <= width; i++ {
			row = abreast(row, all[i], cardSub)
		}
		row.h += cardSub
		out = append(out, row)
	}
	return out
}

// tableBlock is a table of a width.
func (s *shop) tableBlock(t table, width float64) block {
	t.tight = s.book.tight
	return block{width, t.height(width) + 1.5, func(c Canvas, at Pt) { t.draw(c, at, width) }}
}

// textBlock are sentences, each from a new line.
func textBlock(width float64, texts []string) block {
	st := TextStyle{Size: sizeSmall}
	h := 0.0
	for _, t := range texts {
		h += paragraphHeight(width, t, st) + 0.8
	}
	return block{width, h, func(c Canvas, at Pt) {
		for _, t := range texts {
			at.Y = paragraph(c, at, width, t, st) + 0.8
		}
	}}
}
