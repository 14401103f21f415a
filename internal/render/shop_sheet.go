package render

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/work"
)

// labels keeps the places that are taken on a sheet's drawing in a grid, so that asking is cheap however many there are.
type labels struct {
	cells map[[2]int][]Rect
}

const labelCell = 8.0 // mm

// cellsOf are the cells of the grid that a rectangle lies in.
func cellsOf(r Rect) (out [][2]int) {
	for x := int(math.Floor(r.X / labelCell)); x <= int(math.Floor(r.Right()/labelCell)); x++ {
		for y := int(math.Floor(r.Y / labelCell)); y <= int(math.Floor(r.Bottom()/labelCell)); y++ {
			out = append(out, [2]int{x, y})
		}
	}
	return out
}

// free reports whether nothing stands in a rectangle.
func (l *labels) free(r Rect) bool {
	for _, c := range cellsOf(r) {
		if slices.ContainsFunc(l.cells[c], func(o Rect) bool { return rectsMeet(o, r) }) {
			return false
		}
	}
	return true
}

// take takes a rectangle if nothing stands there, and reports whether that is so.
func (l *labels) take(r Rect) bool {
	if !l.free(r) {
		return false
	}
	if l.cells == nil {
		l.cells = make(map[[2]int][]Rect)
	}
	for _, c := range cellsOf(r) {
		l.cells[c] = append(l.cells[c], r)
	}
	return true
}

// mostLabels is how many pieces and cuts of a sheet are named in its drawing: beyond it nobody finds a number, and the table has all.
const mostLabels = 160

// drawSheet draws the occupied part of a sheet: pieces, offcuts, and every cut with its number on it.
func (s *shop) drawSheet(d *drawing, i int, v view, cw, ch nest.Um) {
	sh := s.d.Sheets.Sheets[i]
	at := func(x, y nest.Um) Pt { return v.at(um(min(x, cw)), um(min(y, ch))) }
	quadOf := func(x, y, w, h nest.Um) []Pt { return []Pt{at(x, y), at(x+w, y), at(x+w, y+h), at(x, y+h)} }
	l := &labels{}
	for _, o := range sh.Offcuts {
		d.Canvas.Path(quadOf(o.X, o.Y, o.Width, o.Height), true, &Stroke{Width: thin}, nil)
	}
	for _, p := range sh.Placements {
		s.drawPlacement(d, p, at)
	}
	s.sheetRim(d, sh, v, cw, ch)
	for _, c := range sh.Cuts {
		d.Canvas.Path([]Pt{at(c.At[0][0], c.At[0][1]), at(c.At[1][0], c.At[1][1])}, false, &Stroke{Width: medium}, nil)
	}
	var small []nest.Placement
	for n, p := range sh.Placements {
		if n < mostLabels && !s.labelPlacement(d, l, p, at) {
			small = append(small, p)
		}
	}
	for n, o := range sh.Offcuts {
		if n < mostLabels && (o.Reusable || len(sh.Offcuts) < 8) {
			s.labelOffcut(d, l, o, at)
		}
	}
	s.cutNumbers(d, l, i, at, cw, ch)
	for _, p := range small {
		c := cornersOf(p, at)
		d.markOutside(l, Pt{(c[0].X + c[2].X) / 2, (c[0].Y + c[2].Y) / 2}, extent([]Pt{at(0, 0), at(cw, ch)}), s.markOf(baseName(p.Panel)))
	}
}

// markOutside puts the mark of a piece that is too small for it outside the sheet, with a leader that crosses little of it and no label.
// Where there is none the table alone has it.
func (d *drawing) markOutside(l *labels, at Pt, sheet Rect, mark string) {
	const most, over = 22.0, 8.0 // mm of leader, and of it on the sheet
	r := circleRadius(d, mark)
	for off := r; off < most; off++ {
		for k := range 24 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 24)
			c := Pt{at.X + off*cos, at.Y + off*sin}
			spot, clear := Rect{c.X - r, c.Y - r, 2 * r, 2 * r}, true
			for x := 0.0; x < off-r && clear; x += 0.5 {
				q := Rect{at.X + x*cos - 0.3, at.Y + x*sin - 0.3, 0.6, 0.6}
				clear = l.free(q) && (x < over || !rectsMeet(q, sheet))
			}
			if clear && !rectsMeet(spot, sheet) && within(spot, d.area) && l.take(spot) {
				d.leader(at, c)
				d.markCircle(c, mark)
				return
			}
		}
	}
}

// sheetRim draws the edges of the sheet, broken where the rest is left out.
func (s *shop) sheetRim(d *drawing, sh nest.Sheet, v view, cw, ch nest.Um) {
	c := [4]Pt{v.at(0, 0), v.at(um(cw), 0), v.at(um(cw), um(ch)), v.at(0, um(ch))}
	edge := func(a, b Pt, broken bool) {
		if broken {
			d.breakLine(a, b)
			return
		}
		d.Canvas.Path([]Pt{a, b}, false, &Stroke{Width: 0.5}, nil)
	}
	edge(c[0], c[1], false)
	edge(c[1], c[2], cw < sh.Width)
	edge(c[2], c[3], ch < sh.Height)
	edge(c[3], c[0], false)
}

// drawPlacement draws a piece.
func (s *shop) drawPlacement(d *drawing, p nest.Placement, at func(x, y nest.Um) Pt) {
	pts := cornersOf(p, at)
	d.Canvas.Path(pts, true, &Stroke{Width: 0.5}, &Fill{Grey: 1})
	for _, q := range p.Parts {
		if o := outlineOf(q, at); len(o) > 2 {
			d.Canvas.Path(o, true, &Stroke{Width: 0.5}, nil)
		}
	}
	if q, ok := s.named(baseName(p.Panel)); ok && len(p.Parts) == 0 {
		s.placedCorner(d, q, p, pts)
	}
}

func cornersOf(p nest.Placement, at func(x, y nest.Um) Pt) []Pt {
	return []Pt{at(p.X, p.Y), at(p.X+p.Width, p.Y), at(p.X+p.Width, p.Y+p.Height), at(p.X, p.Y+p.Height)}
}

func outlineOf(q nest.PairPart, at func(x, y nest.Um) Pt) []Pt {
	var o []Pt
	for _, c := range q.Outline {
		o = append(o, at(c[0], c[1]))
	}
	return o
}

// labelPlacement writes mark, name and size into a piece where it is large enough for them.
func (s *shop) labelPlacement(d *drawing, l *labels, p nest.Placement, at func(x, y nest.Um) Pt) bool {
	for _, q := range p.Parts {
		o := outlineOf(q, at)
		c := Pt{}
		for _, v := range o {
			c.X, c.Y = c.X+v.X/float64(len(o)), c.Y+v.Y/float64(len(o))
		}
		mark := s.markOf(baseName(q.Panel))
		if r := circleRadius(d, mark); distanceTo(o, c) > r && l.take(Rect{c.X - r, c.Y - r, 2 * r, 2 * r}) {
			d.markCircle(c, mark)
		}
	}
	q, ok := s.named(baseName(p.Panel))
	if !ok || len(p.Parts) > 0 {
		return true
	}
	long, wide := um(p.Width), um(p.Height)
	if p.Turned {
		long, wide = wide, long
	}
	pts := cornersOf(p, at)
	return s.labelIn(d, l, Rect{pts[3].X, pts[3].Y, pts[1].X - pts[3].X, pts[1].Y - pts[3].Y}, q.Mark, q.Name, s.m.bare(long)+" × "+s.m.bare(wide))
}

// labelIn writes into a rectangle, across or along it: mark in a circle, name and size; or mark and size; or the mark alone; it reports
// whether that has room.
func (s *shop) labelIn(d *drawing, l *labels, r Rect, mark, name, size string) bool {
	st := TextStyle{Size: sizeLabel, Bold: true, Align: AlignCentre, Label: true}
	thin := TextStyle{Size: sizeLabel, Align: AlignCentre, Label: true}
	c := r.Centre()
	radius := 0.0
	if mark != "" {
		radius = circleRadius(d, mark)
	}
	lineH := lineHeight(sizeLabel)
	for _, angle := range []float64{0, 90} {
		w, h := r.W-2, r.H-2
		if angle == 90 {
			w, h = h, w
		}
		wide := math.Max(d.TextWidth(name, st), d.TextWidth(size, thin))
		tall := 2*radius + 2*lineH + 2.4
		sin, cos := math.Sincos(angle * math.Pi / 180)
		put := func(along, down float64, text string, t TextStyle) { // in the turned frame about the centre
			t.Angle = angle
			base := down + rise(sizeLabel)/2
			d.Canvas.Text(Pt{c.X + along*cos + base*sin, c.Y - along*sin + base*cos}, text, t)
		}
		circle := func(along, down float64) {
			if mark != "" {
				d.markCircle(Pt{c.X + along*cos + down*sin, c.Y - along*sin + down*cos}, mark)
			}
		}
		block := func(bw, bh float64) bool {
			if angle == 90 {
				bw, bh = bh, bw
			}
			return l.take(Rect{c.X - bw/2, c.Y - bh/2, bw, bh})
		}
		switch one := 2*radius + 2 + d.TextWidth(name, st) + 3 + d.TextWidth(size, thin); {
		case wide <= w && tall <= h && block(math.Max(wide, 2*radius), tall):
			circle(0, -lineH-1.2)
			first := radius - 1
			if mark == "" {
				first = -lineH / 2
			}
			put(0, first, name, st)
			put(0, first+lineH, size, thin)
			return true
		case one <= w && math.Max(2*radius, lineH) <= h && block(one, math.Max(2*radius, lineH)):
			circle(-one/2+radius, 0)
			put(-one/2+2*radius+2+d.TextWidth(name, st)/2, 0, name, st)
			put(one/2-d.TextWidth(size, thin)/2, 0, size, thin)
			return true
		}
	}
	if mark != "" && 2*radius <= math.Min(r.W, r.H) && l.take(Rect{c.X - radius, c.Y - radius, 2 * radius, 2 * radius}) {
		d.markCircle(c, mark)
		return true
	}
	w := d.TextWidth(mark, st)
	if tall := (textRise + textDrop) * sizeLabel * pointMM; mark != "" && w <= r.W-0.4 && tall <= r.H && l.take(Rect{c.X - w/2, c.Y - rise(sizeLabel)/2, w, tall}) {
		d.Canvas.Text(Pt{c.X, c.Y + rise(sizeLabel)/2}, mark, st)
		return true
	}
	return false
}

// placedCorner marks the reference corner of a piece as it lies on the sheet: turned with it by quarter turns counter-clockwise.
func (s *shop) placedCorner(d *drawing, q panels.Panel, p nest.Placement, pts []Pt) {
	g := datumOf(q)
	corner := 0 // lower left, then counter-clockwise
	switch {
	case g.FromRight && g.FromTop:
		corner = 2
	case g.FromRight:
		corner = 1
	case g.FromTop:
		corner = 3
	}
	i := ((corner+p.Rotation/90)%4 + 4) % 4
	leg := math.Min(3, 0.3*math.Min(math.Abs(pts[2].X-pts[0].X), math.Abs(pts[2].Y-pts[0].Y)))
	dx, dy := [...]float64{1, -1, -1, 1}[i], [...]float64{-1, -1, 1, 1}[i]
	c := pts[i]
	d.Canvas.Path([]Pt{c, {c.X + dx*leg, c.Y}, {c.X, c.Y + dy*leg}}, true, nil, &Fill{Grey: 0})
}

func (s *shop) labelOffcut(d *drawing, l *labels, o nest.Offcut, at func(x, y nest.Um) Pt) {
	a, b := at(o.X, o.Y+o.Height), at(o.X+o.Width, o.Y)
	s.labelIn(d, l, Rect{a.X, a.Y, b.X - a.X, b.Y - a.Y}, "", o.Name, s.m.times(um(o.Width), um(o.Height)))
}

// cutNumbers puts the number of each cut of a sheet in a circle on its line, or beside the sheet on the line's extension.
func (s *shop) cutNumbers(d *drawing, l *labels, sheet int, at func(x, y nest.Um) Pt, cw, ch nest.Um) {
	ends := func(k work.Cut) (a, b Pt) {
		c := s.d.Sheets.Sheets[sheet].Cuts[k.SheetNo-1]
		return at(c.At[0][0], c.At[0][1]), at(c.At[1][0], c.At[1][1])
	}
	var here []work.Cut
	for _, k := range s.plan.Cuts {
		if k.Sheet == sheet {
			here = append(here, k)
		}
	}
	for _, k := range here[:min(len(here), mostLabels)] {
		a, b := ends(k)
		d.cutNumber(l, k.No, a, b)
	}
}

// cutNumber puts a number in a circle on a line where it is free: along it, then on its extensions. Where there is no room the table
// alone has it.
func (d *drawing) cutNumber(l *labels, no int, a, b Pt) {
	text := fmt.Sprint(no)
	st := TextStyle{Size: sizeLabel, Bold: true, Align: AlignCentre, Label: true}
	r := math.Max(2.1, d.TextWidth(text, st)/2+0.5)
	long := math.Max(math.Hypot(b.X-a.X, b.Y-a.Y), 1e-6)
	ux, uy := (b.X-a.X)/long, (b.Y-a.Y)/long
	var along []float64
	if long >= 3*r {
		for _, k := range []float64{0.5, 0.3, 0.7, 0.15, 0.85, 0.4, 0.6, 0.22, 0.78, 0.08, 0.92} {
			along = append(along, k*long)
		}
	}
	for _, off := range []float64{r + 0.6, 3*r + 0.8, 5*r + 1} {
		along = append(along, -off, long+off)
	}
	for _, x := range along {
		c := Pt{a.X + ux*x, a.Y + uy*x}
		end := math.Max(0, math.Min(x, long))
		foot := Pt{a.X + ux*end, a.Y + uy*end}
		spot, leader := Rect{c.X - r, c.Y - r, 2 * r, 2 * r}, extent([]Pt{foot, c})
		leader.W, leader.H = leader.W+0.1, leader.H+0.1
		if !within(spot, d.area) || !l.free(leader) || !l.take(spot) {
			continue
		}
		if math.Abs(x-end) > r {
			l.take(extent([]Pt{foot, {c.X - (r+0.2)*math.Copysign(ux, x), c.Y - (r+0.2)*math.Copysign(uy, x)}}))
			d.Canvas.Path([]Pt{foot, c}, false, &Stroke{Width: thin}, nil)
		}
		d.Canvas.Circle(c, r, &Stroke{Width: thin}, &Fill{Grey: 1})
		d.Canvas.Text(Pt{c.X, c.Y + rise(sizeLabel)/2}, text, st)
		return
	}
}
