package render

import (
	"math"
	"slices"
	"sort"
	"strings"

	"cubby/internal/panels"
)

// cardLevel is a way to put more cards on a page: at a share of their best scale, and two in a row.
type cardLevel struct {
	share float64
	pairs bool
}

// cardLevels are the ways that are tried, the largest drawings first.
var cardLevels = []cardLevel{{1, true}, {0.9, true}, {0.8, true}, {0.7, true}, {0.6, true}, {0.5, true}}

const (
	leastPierced = 0.6   // share of its best scale at which a panel with openings is drawn at least
	cardGap      = 8.0   // mm between two cards in a row
	headWide     = 160.0 // mm of width from which the head of a card takes one line
	headLines    = 8.5   // mm that a second and a third line of a head take
)

// dealer puts panels on pages of cards.
type dealer struct {
	*shop
	c       *cards
	page    float64 // height of an empty page
	heights map[cardSize]float64
	pages   map[string]int // that panels take, by their marks
}

// cardSize is what the height of a card depends on.
type cardSize struct {
	panel        string
	width, share float64
}

// deal draws panels as cards on the fewest pages, each page with as large drawings as that allows. A panel that is too tall for what
// is left of a page lets others go first.
func (s *shop) deal(c *cards, ps []panels.Panel) {
	k := &dealer{s, c, c.Area.Bottom() - c.top, map[cardSize]float64{}, map[string]int{}}
	ps = slices.Clone(ps)
	sort.SliceStable(ps, func(i, j int) bool { return k.tall(ps[i]) && !k.tall(ps[j]) }) // so that others go under the rest of its table
	for len(ps) > 0 {
		if outlined(ps[0]) {
			s.outlineCard(c, ps[0])
			ps = ps[1:]
			continue
		}
		rows, share := k.hand(ps, c.Left())
		if len(rows) == 0 || k.tall(ps[0]) {
			if c.Y > c.top {
				c.Page()
				c.legend()
				continue
			}
			rows, share = [][]int{{0}}, k.ownPage(ps[0])
		}
		for _, row := range rows {
			s.cardRow(c, ps, row, share)
		}
		ps = without(ps, rows)
	}
}

// without are the panels that are in none of the rows.
func without(ps []panels.Panel, rows [][]int) (rest []panels.Panel) {
	for i, p := range ps {
		if !slices.Contains(slices.Concat(rows...), i) {
			rest = append(rest, p)
		}
	}
	return rest
}

// outlined reports whether a panel is drawn by its corners.
func outlined(p panels.Panel) bool { return len(p.Outline) > 0 && !rectangular(p) }

// tall reports whether a panel's table runs on over the page at any scale.
func (k *dealer) tall(p panels.Panel) bool {
	return !outlined(p) && k.height(p, k.c.Area.W, cardLevels[len(cardLevels)-1].share) > k.page
}

// ownPage is the largest share of its best scale at which a panel goes on a page of its own; 1 where it does at none.
func (k *dealer) ownPage(p panels.Panel) float64 {
	for _, l := range cardLevels {
		if k.height(p, k.c.Area.W, l.share) <= k.page {
			return l.share
		}
	}
	return 1
}

// hand picks the panels that go on what is left of a page, row by row, at the largest share of their best scale at which all panels
// still take the fewest pages.
func (k *dealer) hand(ps []panels.Panel, left float64) (rows [][]int, share float64) {
	least := k.further(ps, left)
	for _, l := range cardLevels {
		if rows, _ = k.fill(ps, left, l); len(rows) > 0 && k.after(ps, rows) <= least {
			return rows, l.share
		}
	}
	return nil, 1
}

// further is how many pages panels take beyond one with so much left: the fewest that are found by filling each page in any one of the
// ways, or of many panels by putting the most on each.
func (k *dealer) further(ps []panels.Panel, left float64) int {
	const few = 12
	if len(ps) == 0 || outlined(ps[0]) {
		return 0
	}
	var fills [][][]int
	most, at := 0, 0
	for _, l := range cardLevels {
		if rows, n := k.fill(ps, left, l); n > 0 {
			if fills = append(fills, rows); n > most {
				most, at = n, len(fills)-1
			}
		}
	}
	switch {
	case len(fills) == 0 && left < k.page:
		return 1 + k.further(ps, k.page)
	case len(fills) == 0:
		return k.after(ps, [][]int{{0}})
	case len(ps) > few:
		return k.after(ps, fills[at])
	}
	least := math.MaxInt
	for _, rows := range fills {
		least = min(least, k.after(ps, rows))
	}
	return least
}

// after is how many pages are begun for what is left when these rows are on a page.
func (k *dealer) after(ps []panels.Panel, rows [][]int) int {
	rest := without(ps, rows)
	if len(rest) == 0 || outlined(rest[0]) {
		return 0
	}
	var marks strings.Builder
	for _, p := range rest {
		marks.WriteString(p.Mark + " ")
	}
	n, known := k.pages[marks.String()]
	if !known {
		n = 1 + k.further(rest, k.page)
		k.pages[marks.String()] = n
	}
	return n
}

// fill puts rows of panels into what is left of a page, and counts the panels.
func (k *dealer) fill(ps []panels.Panel, left float64, l cardLevel) (rows [][]int, n int) {
	used := 0.0
	for _, row := range k.rows(ps, l) {
		h := 0.0
		for _, i := range row {
			h = math.Max(h, k.height(ps[i], k.c.Area.Columns(len(row), cardGap)[0].W, l.share))
		}
		if used+h <= left {
			used, n = used+h, n+len(row)
			rows = append(rows, row)
		}
	}
	return rows, n
}

// rows puts the panels up to the first that is drawn by its corners in rows: two that lose little by it side by side.
func (k *dealer) rows(ps []panels.Panel, l cardLevel) [][]int {
	var rows [][]int
	waiting := -1 // the row of a slim panel that stands alone
	for i, p := range ps {
		if outlined(p) {
			break
		}
		switch slim := l.pairs && k.slim(p, l.share); {
		case slim && waiting >= 0:
			rows[waiting], waiting = append(rows[waiting], i), -1
			continue
		case slim:
			waiting = len(rows)
		}
		rows = append(rows, []int{i})
	}
	return rows
}

// slim reports whether a panel can share a row: it has no table, and on half the width its drawing is still large or loses little.
func (k *dealer) slim(p panels.Panel, share float64) bool {
	const large, worth = 8.0, 0.6 // mm of the shorter side, and of the scale
	if len(p.Holes) > 0 {
		return false
	}
	half := k.planCard(p, k.c.Area.Columns(2, cardGap)[0].W, share)
	return math.Min(p.Length, reach(p))*1000*half.k >= large || half.k >= worth*k.planCard(p, k.c.Area.W, share).k
}

// height is the height of a whole card of a width at a share of its best scale.
func (k *dealer) height(p panels.Panel, width, share float64) float64 {
	size := cardSize{p.Mark, width, share}
	h, known := k.heights[size]
	if !known {
		h = k.cardHeight(p, width, share)
		k.heights[size] = h
	}
	return h
}

func (s *shop) cardHeight(p panels.Panel, width, share float64) float64 {
	h := 10 + s.planCard(p, width, share).height() + 4 + s.afterHeight(p, width)
	if width < headWide {
		h += headLines
	}
	return h
}

// afterHeight is the height of what belongs under a panel's drawing.
func (s *shop) afterHeight(p panels.Panel, width float64) float64 {
	h := lineHeight(sizeSmall)
	if t := s.openingTable(p); len(t.Rows) > 0 {
		t.tight = s.book.tight
		h += t.height(width) + 4
	}
	for _, l := range append(s.circleText(p), panels.Texts(p.Notes, s.m.sys)...) {
		h += paragraphHeight(width, "Note: "+l, TextStyle{Size: sizeSmall})
	}
	return h
}

// cardRow draws a row of cards.
func (s *shop) cardRow(c *cards, ps []panels.Panel, row []int, share float64) {
	if len(row) == 1 {
		s.card(c, ps[row[0]], share)
		return
	}
	c.columns(len(row), cardGap, func(k int) { s.card(c, ps[row[k]], share) })
}
