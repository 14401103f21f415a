package render

import (
	"fmt"
	"math"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// Room in the drawing of the unfolded wrap, mm.
const (
	stripName  = 24.0 // left of the strips, for their names
	stripGap   = 1.5  // between strips
	stripPitch = 4.6  // least distance of two strips, so that their names do not touch
	endsGap    = 12.0 // between the stack and the ends, and over each end for its name
	screwDot   = 0.55 // radius of a screw
	freeGrey   = 0.84 // of the zones without screws
)

// screwPages draws the wrap unfolded like a carton and both ends, with the triangle to pencil across them and every screw,
// in a drawing no taller than a height.
func (s *shop) screwPages(tallest float64) {
	f := s.book.flow(partB, "The wrap unfolded, and screws", portrait)
	f.Heading("The wrap unfolded: triangle and screws")
	f.Styled("Outer faces towards you, left end at the left. Lay the sawn walls out like this and pencil one triangle across them all: when it is whole, every piece is in its place, "+
		"the right way up and the right face out. Dots are screws, grey is kept free of screws, dashed rings are openings with the wood to leave round them.", TextStyle{Size: sizeSmall})
	f.Gap(2)
	rows := s.box.ScrewRows()
	s.unfolded(f, rows, tallest)
	if t := s.screwTable(rows); len(t.Rows) > 0 {
		f.Heading("Rows of screws")
		f.Table(t)
	}
}

// rulesBeside sets the rules of the screws in a column; what has no room there goes under the drawing.
func (s *shop) rulesBeside(f *flow, r Rect) {
	const title = "Screws and pilot holes"
	st, head := TextStyle{Size: sizeSmall}, TextStyle{Size: sizeSub, Bold: true}
	h := lineHeight(sizeSub)
	for _, t := range s.screwRules() {
		h += paragraphHeight(r.W, t, st) + 1
	}
	if r.W < 55 || h > r.H {
		f.Sub(title)
		f.bullets(s.screwRules(), sizeSmall)
		return
	}
	y := paragraph(f, Pt{r.X, r.Y}, r.W, title, head)
	for _, t := range s.screwRules() {
		y = paragraph(f, Pt{r.X, y}, r.W, t, st) + 1
	}
}

// unfolded draws the stack of walls with the ends at its right.
func (s *shop) unfolded(f *flow, rows []panels.ScrewRow, tallest float64) {
	walls, ends := s.wallsInOrder(), s.endsSeen()
	long, high, extra := 0.0, 0.0, 0.0
	for _, p := range walls {
		long, high = math.Max(long, p.Length), high+reach(p)
	}
	deep, tall := 0.0, 0.0
	for _, p := range ends {
		lo, hi := bounds(p.Outline)
		deep, tall = math.Max(deep, hi.X-lo.X), tall+hi.Y-lo.Y
	}
	gaps := stripGap * float64(len(walls)-1)
	k := math.Min((f.Area.W-stripName-endsGap)/(long+deep), math.Min((tallest-gaps)/high, (tallest-endsGap*float64(len(ends)))/math.Max(tall, 1e-3)))
	for _, p := range walls {
		extra += math.Max(stripGap, stripPitch-reach(p)*k)
	}
	stack := high*k + extra
	h := math.Max(stack, tall*k+endsGap*float64(len(ends)))
	r := f.Box(h + 2)
	d := onPaper(f, r)
	y := r.Y
	tri := triangle{Pt{r.X + stripName + long*k*0.62, r.Y + 0.5}, r.Y + stack - stripGap - 0.5, long * k * 0.12}
	for _, p := range walls {
		v := view{k, r.X + stripName, y + reach(p)*k}
		s.screwed(d, p, rectOutline(p.Length, reach(p)), v, rows)
		tri.across(d, y, v.y0)
		d.write(p.Mark+"  "+place(p.Name), TextStyle{Size: sizeLabel, Bold: true}, spot{At: Pt{v.x0 - 2, (y+v.y0)/2 + rise(sizeLabel)/2}, Align: AlignRight},
			spot{At: Pt{v.x0 + 2, (y+v.y0)/2 + rise(sizeLabel)/2}})
		y += reach(p)*k + math.Max(stripGap, stripPitch-reach(p)*k)
	}
	d.line(Pt{tri.apex.X - tri.half, tri.base}, Pt{tri.apex.X + tri.half, tri.base}, medium)
	y = r.Y
	for _, p := range ends {
		lo, hi := bounds(p.Outline)
		x := r.X + stripName + long*k + endsGap
		d.write(p.Mark+"  "+place(p.Name), TextStyle{Size: sizeLabel, Bold: true}, spot{At: Pt{x, y + 4}})
		y += 6 + (hi.Y-lo.Y)*k
		s.screwed(d, p, p.Outline, view{k, x - lo.X*k, y + lo.Y*k}, rows)
		y += endsGap - 6
	}
	f.Gap(2)
	x := r.X + stripName + long*k + endsGap
	s.rulesBeside(f, Rect{x, y, r.Right() - x, r.Bottom() - y})
}

// endsSeen are the ends as they are drawn side by side: the right one first.
func (s *shop) endsSeen() []panels.Panel {
	ends := s.withRole(panels.End)
	if len(ends) == 2 && ends[0].Place.X[1] < ends[1].Place.X[1] {
		ends[0], ends[1] = ends[1], ends[0]
	}
	return ends
}

// triangle is the mark that is pencilled across the unfolded walls.
type triangle struct {
	apex Pt
	base float64 // y of the base
	half float64 // half of its width
}

// across draws the part of the triangle's sides between two heights.
func (t triangle) across(d *drawing, top, bottom float64) {
	top, bottom = math.Max(top, t.apex.Y), math.Min(bottom, t.base)
	if bottom <= top {
		return
	}
	at := func(y, side float64) Pt {
		return Pt{t.apex.X + side*t.half*(y-t.apex.Y)/(t.base-t.apex.Y), y}
	}
	for _, side := range []float64{-1, 1} {
		d.line(at(top, side), at(bottom, side), medium)
	}
}

// screwed draws a panel's outer face with its openings, its screws and what is kept free of them.
func (s *shop) screwed(d *drawing, p panels.Panel, outline plane.Polygon, v view, rows []panels.ScrewRow) {
	for _, r := range rows {
		if r.Through == p.Name && len(r.At) > 0 {
			s.freeEnds(d, r, v)
		}
	}
	for _, h := range p.Holes {
		if h.Kind == "bolt" {
			continue
		}
		c := v.at(h.X, h.Y)
		if h.Diameter > 0 {
			d.Canvas.Circle(c, (h.Diameter/2+panels.ScrewClear)*v.k, nil, &Fill{Grey: freeGrey})
			d.ring(c, h.Diameter/2*v.k, &Stroke{Width: thin, Dash: []float64{1.2, 0.8}}, &Fill{Grey: 1})
			continue
		}
		var pts []Pt
		for _, q := range holeOutline(h, 24) {
			pts = append(pts, v.at(q.X, q.Y))
		}
		d.shape(pts, &Stroke{Width: thin, Dash: []float64{1.2, 0.8}}, &Fill{Grey: 1})
	}
	pts := make([]Pt, len(outline))
	for i, c := range outline {
		pts[i] = v.at(c.X, c.Y)
	}
	d.shape(pts, &Stroke{Width: medium}, nil)
	for _, r := range rows {
		if r.Through != p.Name {
			continue
		}
		for k := range r.At {
			q := r.Place(k)
			c := v.at(q.X, q.Y)
			d.Canvas.Circle(c, screwDot, nil, &Fill{Grey: 0})
			d.ink = append(d.ink, take(segmentQuad(c, c, 2*screwDot)))
		}
	}
}

// freeEnds shades the ends of a row, where no screw may stand.
func (s *shop) freeEnds(d *drawing, r panels.ScrewRow, v view) {
	u := r.To.Sub(r.From)
	l := u.Norm()
	u = u.Unit()
	n := u.Left().Mul(r.Inset)
	free := math.Min(panels.ScrewFromEnd, l/2-0.005)
	for _, at := range []float64{0, l - free} {
		a := r.From.Add(u.Mul(at))
		b := a.Add(u.Mul(free))
		var pts []Pt
		for _, q := range []plane.Point{a.Add(n), b.Add(n), b.Sub(n), a.Sub(n)} {
			pts = append(pts, v.at(q.X, q.Y))
		}
		d.Canvas.Path(pts, true, nil, &Fill{Grey: freeGrey})
	}
}

// screwTable lists the rows; the same row through two panels stands once.
func (s *shop) screwTable(rows []panels.ScrewRow) table {
	t := table{Columns: []column{{Head: "Through"}, {Head: "Into the edge of", Width: 34}, {Head: "Line from the edge", Width: 26, Align: AlignRight},
		{Head: "First from the end", Width: 26, Align: AlignRight}, {Head: "Then every", Width: 24, Align: AlignRight}, {Head: "Screws", Width: 14, Align: AlignCentre}, {Head: "Note", Width: 34}}}
	used := make([]bool, len(rows))
	for i, r := range rows {
		if used[i] {
			continue
		}
		through, n := []string{r.Through}, 1
		for k := i + 1; k < len(rows); k++ {
			if o := rows[k]; !used[k] && o.Into == r.Into && sameRow(r, o) {
				used[k] = true
				through, n = append(through, o.Through), n+1
			}
		}
		t.Rows = append(t.Rows, s.screwRow(r, s.throughText(through), n))
	}
	return t
}

// throughText names the panels that a row of screws goes through.
func (s *shop) throughText(names []string) string {
	ends := 0
	marked := make([]string, len(names))
	for i, name := range names {
		if p, ok := s.named(name); ok && p.Role == panels.End {
			ends++
		}
		marked[i] = s.markedName(name)
	}
	if ends == 2 && len(names) == 2 {
		return "both ends"
	}
	return listed(marked)
}

func (s *shop) markedName(name string) string {
	if p, ok := s.named(name); ok {
		return p.Mark + " " + name
	}
	return name
}

func sameRow(a, b panels.ScrewRow) bool {
	if len(a.At) != len(b.At) || a.Why != b.Why || math.Abs(a.Inset-b.Inset) > sameFace || math.Abs(a.Lean-b.Lean) > leastTilt {
		return false
	}
	for i := range a.At {
		if math.Abs(a.At[i]-b.At[i]) > sameFace {
			return false
		}
	}
	return true
}

func (s *shop) screwRow(r panels.ScrewRow, through string, n int) []cell {
	into := s.markedName(r.Into)
	if len(r.At) == 0 {
		return cells(through, into, "–", "–", "–", "none", string(r.Why)+": clamp")
	}
	note := ""
	if r.Lean > leastTilt {
		note = "leaning " + degrees(r.Lean) + ", in line with the board"
	}
	pitch := "–"
	if len(r.At) > 1 {
		pitch = s.m.bare(r.At[1] - r.At[0])
		for k := 2; k < len(r.At); k++ {
			if math.Abs(r.At[k]-r.At[k-1]-(r.At[1]-r.At[0])) > sameFace {
				pitch, note = "as drawn", "left out beside openings"
			}
		}
	}
	return cells(through, into, s.m.bare(r.Inset), s.m.bare(r.At[0]), pitch, fmt.Sprint(n*len(r.At)), note)
}
