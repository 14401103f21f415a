package render

import (
	"fmt"
	"math"

	"cubby/internal/design"
)

// part is one of the two halves of the document, each with its own first page and its own page count.
type part int

const (
	partA part = iota
	partB
)

// String names the part as it is printed at the head of each page.
func (p part) String() string {
	return [...]string{"Part A – fitter and customer", "Part B – shop"}[p]
}

// counter names the part's own page count.
func (p part) counter() string { return [...]string{"part A page", "shop page"}[p] }

// paper is a page format, portrait; mm.
type paper struct{ W, H float64 }

// The papers that can be printed on: US Letter (ANSI A) and ISO 216 A4.
var (
	letterPaper = paper{215.9, 279.4}
	a4Paper     = paper{210, 297}
)

func paperOf(name string) (paper, error) {
	switch name {
	case "letter":
		return letterPaper, nil
	case "a4":
		return a4Paper, nil
	}
	return paper{}, fmt.Errorf("paper %q: must be letter or a4", name)
}

// Margins in mm. Office printers leave 4 to 6 mm blank at the edges (common practice), so nothing is drawn within printMargin
// of an edge; the body keeps further away so that head, foot and a punch find room.
const (
	printMargin  = 7.0
	sideMargin   = 15.0
	headBaseline = 12.5
	bodyTop      = 21.0
	shopTop      = 26.0 // under the larger heads of part B
	footMargin   = 17.0
	footBaseline = 10.0
)

// orientation is how a page is held.
type orientation bool

const (
	portrait  orientation = false
	landscape orientation = true
)

// sheet is one page while it is laid out. It is a Canvas.
type sheet struct {
	Recorder
	Part      part
	Title     string // in the foot; the first sheet of a title is a bookmark
	Continued bool   // a further sheet of the same title: no bookmark
	W, H      float64
	Area      Rect     // where the body goes
	joined    []*sheet // what begins further down on the page, in order
	shared    bool     // the lower part of another sheet
}

// join puts a sheet on the lower part of another.
func (s *sheet) join(o *sheet) {
	s.ops, s.bad, s.gone = append(s.ops, o.ops...), append(s.bad, o.bad...), append(s.gone, o.gone...)
	s.joined = append(s.joined, o)
}

// last is the title of what stands lowest on the page.
func (s *sheet) last() string {
	if n := len(s.joined); n > 0 {
		return s.joined[n-1].Title
	}
	return s.Title
}

// filled is the share of the height of a page's body that is used.
func (s *sheet) filled() float64 {
	low := s.Area.Y
	texts, ink := s.shown()
	for _, k := range ink {
		if k.r.Y <= s.Area.Bottom() {
			low = math.Max(low, math.Min(k.r.Bottom(), s.Area.Bottom()))
		}
	}
	for _, t := range texts {
		if k := extent(t.corners[:]); k.Y <= s.Area.Bottom() {
			low = math.Max(low, k.Bottom())
		}
	}
	return (low - s.Area.Y) / s.Area.H
}

// book is the document while it is laid out: its pages in order.
type book struct {
	job     *design.Result // that is told of
	options Options
	paper   paper
	sheets  []*sheet
	tight   float64 // how much closer lines stand than they might, 0 to 1
	under   *sheet  // the page on which the first flow begins, nil: on one of its own
	underY  float64 // and where
}

// add begins a page and returns it. A page whose title and part are those of the page before continues it.
func (b *book) add(p part, title string, o orientation) *sheet {
	w, h := b.paper.W, b.paper.H
	if o == landscape {
		w, h = h, w
	}
	s := &sheet{Part: p, Title: title, W: w, H: h}
	top := bodyTop
	if p == partB {
		top = shopTop
	}
	s.Area = Rect{sideMargin, top, w - 2*sideMargin, h - top - footMargin}
	b.follow(s)
	return s
}

// follow puts a page after those that there are.
func (b *book) follow(s *sheet) {
	if n := len(b.sheets); n > 0 {
		s.Continued = b.sheets[n-1].Part == s.Part && b.sheets[n-1].last() == s.Title
	}
	b.sheets = append(b.sheets, s)
}

func (s *sheet) orientation() orientation { return orientation(s.W > s.H) }

// furnished is what heads and feet say of the whole document.
type furnished struct {
	title, revision, date, units, contact string
}

// furnish sets head and foot of every page, when the totals are known.
func (b *book) furnish(k furnished) {
	var total, count [2]int
	for _, s := range b.sheets {
		total[s.Part]++
	}
	code := 0
	for i, s := range b.sheets {
		count[s.Part]++
		own := fmt.Sprintf("%s %d of %d", s.Part.counter(), count[s.Part], total[s.Part])
		if s.Part == partB {
			if !s.Continued {
				code++
			}
			s.furnishShop(k, code, own+"   ·   "+fmt.Sprintf("page %d of %d", i+1, len(b.sheets)))
			for _, j := range s.joined {
				code++
				s.shopHead(code, j.Title, j.Area.Y-4.5)
			}
			continue
		}
		s.furnish(k.title, k.revision, fmt.Sprintf("page %d of %d", i+1, len(b.sheets)), own)
	}
}

// furnishShop sets the head of a page of part B: its code and title, job, revision, date and units; and its foot: whom to ask.
func (s *sheet) furnishShop(k furnished, code int, own string) {
	const base = 19.6
	title := s.Title
	if s.Continued {
		title += ", continued"
	}
	small := TextStyle{Size: sizeSmall, Align: AlignRight}
	room := s.W - sideMargin - s.shopHead(code, title, base) - 6
	s.Text(Pt{s.W - sideMargin, base - 3.8}, clipText(k.title, small, room), small)
	line2 := k.units
	if k.date != "" {
		line2 = k.date + " · " + line2
	}
	if k.revision != "" {
		line2 = "revision " + clipText(k.revision, small, 24) + " · " + line2
	}
	s.Text(Pt{s.W - sideMargin, base}, clipText(line2, small, room), small)
	foot := s.H - footBaseline
	line(s, Pt{sideMargin, foot - 4}, Pt{s.W - sideMargin, foot - 4}, Stroke{Width: thin})
	ask := "Do not scale the drawing: stop and ask."
	if k.contact != "" {
		ask = "Questions: " + clipText(k.contact, small, 50) + ". " + ask
	}
	s.Text(Pt{sideMargin, foot}, ask, TextStyle{Size: sizeSmall})
	s.Text(Pt{s.W - sideMargin, foot}, own, small)
}

// shopHead sets the code and the title of a section of part B with a rule under them, and returns where the title ends.
func (s *sheet) shopHead(code int, title string, base float64) float64 {
	strong, name := TextStyle{Size: sizeTitle, Bold: true}, TextStyle{Size: sizeTitle}
	mark := fmt.Sprintf("B%d", code)
	s.Text(Pt{sideMargin, base}, mark, strong)
	x := sideMargin + s.TextWidth(mark, strong) + 3
	for s.TextWidth(title, name) > s.W-sideMargin-x-45 && name.Size > 13 {
		name.Size--
	}
	s.Text(Pt{x, base}, title, name)
	line(s, Pt{sideMargin, base + 3}, Pt{s.W - sideMargin, base + 3}, Stroke{Width: 0.7})
	return x + s.TextWidth(title, name)
}

func (s *sheet) furnish(title, revision, whole, own string) {
	small := TextStyle{Size: sizeSmall, Grey: 0.25}
	strong := TextStyle{Size: sizeSmall, Bold: true}
	right := small
	right.Align = AlignRight
	if revision != "" {
		revision = "rev. " + clipText(revision, strong, 30)
	}
	partWidth := s.TextWidth(s.Part.String(), small)
	revWidth := 0.0
	if revision != "" {
		revWidth = s.TextWidth(revision, strong) + 4
	}
	left := clipText(title, strong, s.W-2*sideMargin-partWidth-revWidth-8)
	s.Text(Pt{sideMargin, headBaseline}, left, strong)
	if revision != "" {
		s.Text(Pt{sideMargin + s.TextWidth(left, strong) + 4, headBaseline}, revision, small)
	}
	s.Text(Pt{s.W - sideMargin, headBaseline}, s.Part.String(), right)
	line(s, Pt{sideMargin, headBaseline + 2}, Pt{s.W - sideMargin, headBaseline + 2}, Stroke{Width: 0.2, Grey: 0.25})
	foot := s.H - footBaseline
	line(s, Pt{sideMargin, foot - 4}, Pt{s.W - sideMargin, foot - 4}, Stroke{Width: 0.1, Grey: 0.5})
	s.Text(Pt{sideMargin, foot}, clipText(s.Title, small, s.W-2*sideMargin-80), small)
	s.Text(Pt{s.W - sideMargin, foot}, own+"   ·   "+whole, right)
}
