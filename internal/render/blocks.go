package render

import (
	"cmp"
	"strconv"
)

// flow sets blocks one under the other and goes on to a new page where one is full.
type flow struct {
	b *book
	*sheet
	Y    float64 // top of the free space on the page
	next string  // title of the pages to come; empty: that of this page
}

// flow begins a page, or the rest of one that the book begins with, and a flow on it.
func (b *book) flow(p part, title string, o orientation) *flow {
	var s *sheet
	if b.under == nil {
		s = b.add(p, title, o)
	} else {
		const head = 13.0 // mm for the title
		u := b.under
		s = &sheet{Part: p, Title: title, W: u.W, H: u.H, shared: true, Area: u.Area}
		s.Area.Y = b.underY + head
		s.Area.H = u.Area.Bottom() - s.Area.Y
		b.sheets, b.under = append(b.sheets, s), nil
	}
	return &flow{b: b, sheet: s, Y: s.Area.Y}
}

// trial is a layout in a book of its own.
type trial struct {
	book *book
	end  *flow
}

// pages is how many pages a layout adds.
func (t trial) pages() int {
	if t.book.sheets[0].shared {
		return len(t.book.sheets) - 1
	}
	return len(t.book.sheets)
}

// runOn lays pages out in the first of these ways that takes the fewest pages: at the sizes, largest first, each with the lines
// closer together at need. They may begin on the last page of the book, under what ends there at end, if anything does: where that
// saves a page, or would be left less than half full.
func (b *book) runOn(end *flow, sizes []float64, lay func(b *book, size float64) *flow) *flow {
	const worth, half = 0.35, 0.5 // of the page
	pick := b.best(sizes, lay, false)
	if end != nil && end.Left() > worth*end.Area.H {
		b.under, b.underY = b.sheets[len(b.sheets)-1], end.Y
		t := b.best(sizes, lay, true)
		b.under = nil
		if t.book != nil && (t.pages() < pick.pages() || b.sheets[len(b.sheets)-1].filled() < half) {
			pick = t
		}
	}
	return b.adopt(pick.book, pick.end)
}

// best is the first layout that takes the fewest pages; one that begins on the page before must use it, else there is none.
func (b *book) best(sizes []float64, lay func(b *book, size float64) *flow, joined bool) (pick trial) {
	try := func(size, tight float64) trial {
		t := trial{book: &book{paper: b.paper, tight: tight}}
		if joined {
			t.book.under, t.book.underY = b.under, b.underY
		}
		t.end = lay(t.book, size)
		return t
	}
	const used = 0.3 // of what the page before has left
	good := func(t trial) bool { return !joined || t.book.sheets[0].filled() >= used }
	least := try(sizes[len(sizes)-1], 1).pages()
	for _, size := range sizes {
		for _, tight := range []float64{0, 0.5, 1} {
			t := try(size, tight)
			if !good(t) {
				continue
			}
			if n := t.pages(); n <= least || pick.book == nil || n < pick.pages() {
				pick = t
				if n <= least {
					return pick
				}
			}
		}
	}
	return pick
}

// adopt takes over the pages of another book, and with them the flow that ends there; nil: none.
func (b *book) adopt(other *book, end *flow) *flow {
	for _, s := range other.sheets {
		if s.shared {
			last := b.sheets[len(b.sheets)-1]
			last.join(s)
			if end != nil && end.sheet == s {
				end.sheet = last
			}
			continue
		}
		b.follow(s)
	}
	if end != nil {
		end.b = b
	}
	return end
}

// Page goes on to a new page of the same title, or of the next one.
func (f *flow) Page() {
	f.sheet = f.b.add(f.Part, cmp.Or(f.next, f.Title), f.orientation())
	f.next = ""
	f.Y = f.Area.Y
}

// Left is the height that is left on the page, mm.
func (f *flow) Left() float64 { return f.Area.Bottom() - f.Y }

// Need goes on to a new page unless h mm are left on this one.
func (f *flow) Need(h float64) {
	if f.Left() < h && (f.Y > f.Area.Y || f.shared) {
		f.Page()
	}
}

// Gap leaves d mm free, or less in a tight book.
func (f *flow) Gap(d float64) { f.Y += d * (1 - 0.4*f.b.tight) }

// columns draws n things side by side and goes on below the lowest of them. They must not go on to a new page.
func (f *flow) columns(n int, gap float64, draw func(k int)) {
	area, top, low := f.Area, f.Y, f.Y
	for k, c := range area.Columns(n, gap) {
		f.Area, f.Y = c, top
		draw(k)
		low = max(low, f.Y)
	}
	f.Area, f.Y = area, low
}

// Box takes a rectangle of height h across the page for a drawing.
func (f *flow) Box(h float64) Rect {
	f.Need(h)
	r := Rect{f.Area.X, f.Y, f.Area.W, h}
	f.Y += h
	return r
}

// Name sets the title of a document, or another where it has none, on one line if it can be.
func (f *flow) Name(s, none string) {
	s = cmp.Or(s, none)
	t := TextStyle{Size: sizeTitle, Bold: true}
	for t.Size > 13 && len(wrap(s, t, f.Area.W)) > 1 {
		t.Size--
	}
	f.Styled(s, t)
	f.Gap(0.8)
}

// Heading sets a heading with a rule under it and keeps it with the next 11 mm.
func (f *flow) Heading(s string) {
	const keep = 11
	t := TextStyle{Size: sizeHeading, Bold: true}
	if f.Y > f.Area.Y {
		f.Gap(4)
	}
	f.Need(paragraphHeight(f.Area.W, s, t) + keep)
	f.Y = paragraph(f, Pt{f.Area.X, f.Y}, f.Area.W, s, t)
	line(f, Pt{f.Area.X, f.Y}, Pt{f.Area.Right(), f.Y}, Stroke{Width: 0.35})
	f.Gap(2.5)
}

// Section sets a heading with a table under it, together on one page if they take no more than most of one.
func (f *flow) Section(heading string, t table) {
	const most, headingRoom = 0.7, 14.0
	t.tight = f.b.tight
	if h := t.height(f.Area.W) + headingRoom; h <= most*f.Area.H {
		f.Need(h)
	}
	f.Heading(heading)
	f.Table(t)
}

// Sub sets a smaller heading.
func (f *flow) Sub(s string) {
	t := TextStyle{Size: sizeSub, Bold: true}
	f.Need(paragraphHeight(f.Area.W, s, t) + 12)
	f.Y = paragraph(f, Pt{f.Area.X, f.Y}, f.Area.W, s, t)
	f.Gap(0.8)
}

// Para sets running text.
func (f *flow) Para(s string) { f.Styled(s, TextStyle{Size: sizeBody}); f.Gap(1.5) }

// Styled sets running text of any style, line by line over as many pages as it takes.
func (f *flow) Styled(s string, t TextStyle) { f.hanging("", s, t, 0) }

// Bullets sets a list of points.
func (f *flow) Bullets(items []string) { f.bullets(items, sizeBody) }

func (f *flow) bullets(items []string, size float64) {
	for _, s := range items {
		f.hanging("•", s, TextStyle{Size: size}, 4.5)
		f.Gap(1)
	}
	f.Gap(1)
}

// Steps sets a numbered list.
func (f *flow) Steps(items []string) {
	for i, s := range items {
		f.hanging(strconv.Itoa(i+1), s, TextStyle{Size: sizeBody}, 7)
		f.Gap(1)
	}
	f.Gap(1)
}

// kept is the number of lines up to which a paragraph stays on one page.
const kept = 4

// hanging sets a text with a mark to its left.
func (f *flow) hanging(mark, s string, t TextStyle, indent float64) {
	lines := wrap(s, t, f.Area.W-indent)
	if len(lines) <= kept {
		f.Need(float64(len(lines)) * lineHeight(t.Size))
	}
	for i, l := range lines {
		f.Need(lineHeight(t.Size))
		if i == 0 && mark != "" {
			f.Text(Pt{f.Area.X, f.Y + rise(t.Size)}, mark, t)
		}
		f.Text(Pt{f.Area.X + indent, f.Y + rise(t.Size)}, l, t)
		f.Y += lineHeight(t.Size)
	}
}

// Table sets a table across the page, going on to new pages with its head repeated.
func (f *flow) Table(t table) {
	t.tight = f.b.tight
	w := t.widths(f.Area.W)
	rows := make([]row, len(t.Rows))
	for i, cs := range t.Rows {
		rows[i] = t.breakRow(cs, w, false)
	}
	headHeight := 0.0
	if !t.headless() {
		headHeight = t.rowHeight(t.head(w))
	}
	if len(rows) > 0 && t.rowHeight(rows[0]) <= f.Area.H-headHeight {
		f.Need(headHeight + t.rowHeight(rows[0]))
	}
	f.Y = t.drawHead(f, f.Area.X, f.Y, f.Area.W, w)
	for i, r := range rows {
		if r.band && i+1 < len(rows) {
			if both := t.rowHeight(r) + t.rowHeight(rows[i+1]); both > f.Left() && both < f.Area.H-headHeight {
				f.Page()
				f.Y = t.drawHead(f, f.Area.X, f.Y, f.Area.W, w)
			}
		}
		f.tableRow(t, r, w, headHeight)
	}
	f.Gap(3)
}

func (f *flow) tableRow(t table, r row, w []float64, headHeight float64) {
	for t.rowHeight(r) > f.Left() {
		if t.rowHeight(r) > f.Area.H-headHeight {
			if n := int((f.Left() - 2*t.padY()) / lineHeight(t.size())); n > 0 {
				var first row
				first, r = r.cut(n)
				f.Y = t.drawRow(f, f.Area.X, f.Y, first, w, false)
			}
		}
		f.Page()
		f.Y = t.drawHead(f, f.Area.X, f.Y, f.Area.W, w)
	}
	f.Y = t.drawRow(f, f.Area.X, f.Y, r, w, false)
	line(f, Pt{f.Area.X, f.Y}, Pt{f.Area.Right(), f.Y}, rowRule)
}
