package render

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/nest"
	"cubby/internal/panels"
)

// sheetPages draws each sheet with its cuts beside their sequence.
func (s *shop) sheetPages() {
	l := s.d.Sheets
	if l == nil {
		return
	}
	f := s.book.flow(partB, "Sheets and cuts", portrait)
	for i := range l.Sheets {
		if i > 0 {
			f.Page()
		}
		s.sheetPage(f, i)
	}
	s.orderOfWork(f)
	if len(l.Unplaced) > 0 {
		f.Heading("Not on any sheet")
		var out []string
		for _, u := range l.Unplaced {
			out = append(out, place(u.Part)+": "+u.Why)
		}
		f.Bullets(out)
	}
}

func (s *shop) sheetPage(f *flow, i int) {
	sh := s.d.Sheets.Sheets[i]
	f.Heading(s.sheetTitle(i))
	f.Styled("Outer faces up; pieces may be turned, never turned over, unless marked. Numbers on dots are the cuts in order; dashed lines are the saw kerfs. "+
		"Filled triangle = reference corner. Arrow = grain.", TextStyle{Size: sizeSmall})
	f.Gap(1)
	w, h := um(sh.Width), um(sh.Height)
	k := s.scaleFor(w, h, f.Area.W-12, 95)
	r := f.Box(h*1000*k + 15)
	d := onPaper(f, r)
	s.drawSheet(d, sh, view{k * 1000, r.X + (r.W-w*1000*k)/2, r.Y + 5 + h*1000*k})
	f.Gap(2)
	s.offcutText(f, sh)
	f.Sub("Cuts of sheet " + fmt.Sprint(i+1) + ", in an order in which they can be made")
	f.Table(s.cutTable(i))
}

func (s *shop) sheetTitle(i int) string {
	sh := s.d.Sheets.Sheets[i]
	t := fmt.Sprintf("Sheet %d of %d: ", i+1, len(s.d.Sheets.Sheets))
	if sh.Stock >= 0 && sh.Stock < len(s.d.SheetStock) {
		st := s.d.SheetStock[sh.Stock]
		if st.Offcut {
			t += "offcut, "
		}
		t += st.Board + " " + s.m.bare(um(st.Thickness)) + ", "
	}
	return t + s.m.times(um(sh.Width), um(sh.Height)) + " " + s.m.mark() + fmt.Sprintf(", waste %.0f %%", sh.Waste*100)
}

func (s *shop) offcutText(f *flow, sh nest.Sheet) {
	var keep []string
	for _, o := range sh.Offcuts {
		if o.Reusable {
			keep = append(keep, o.Name+" "+s.m.times(um(o.Width), um(o.Height)))
		}
	}
	if len(keep) > 0 {
		f.Styled("Offcuts to keep and mark: "+strings.Join(keep, "; ")+". Use them for cleats, brace strips and test cuts.", TextStyle{Size: sizeSmall})
		f.Gap(1)
	}
}

// drawSheet draws a sheet with its pieces, its offcuts and its numbered cuts.
func (s *shop) drawSheet(d *drawing, sh nest.Sheet, v view) {
	at := func(x, y nest.Um) Pt { return v.at(um(x), um(y)) }
	d.shape([]Pt{at(0, 0), at(sh.Width, 0), at(sh.Width, sh.Height), at(0, sh.Height)}, &Stroke{Width: thick}, nil)
	for _, o := range sh.Offcuts {
		pts := []Pt{at(o.X, o.Y), at(o.X+o.Width, o.Y), at(o.X+o.Width, o.Y+o.Height), at(o.X, o.Y+o.Height)}
		d.hatch(pts, 3)
		d.shape(pts, &Stroke{Width: hairline}, nil)
	}
	for _, p := range sh.Placements {
		s.drawPlacement(d, p, at)
	}
	for _, c := range sh.Cuts {
		d.line(at(c.At[0][0], c.At[0][1]), at(c.At[1][0], c.At[1][1]), thin, 1.6, 0.9)
	}
	for _, p := range sh.Placements {
		s.labelPlacement(d, p, at)
	}
	for _, o := range sh.Offcuts {
		s.labelOffcut(d, o, at)
	}
	for _, c := range sh.Cuts {
		d.cutNumber(c.No, at(c.At[0][0], c.At[0][1]), at(c.At[1][0], c.At[1][1]))
	}
	y := d.area.Bottom() - 3
	st := TextStyle{Size: sizeLabel}
	d.line(Pt{d.area.X + 4, y}, Pt{d.area.X + 24, y}, thin)
	d.arrow(Pt{d.area.X + 25, y}, 1, 0)
	d.arrow(Pt{d.area.X + 3, y}, -1, 0)
	d.text(Pt{d.area.X + 27, y + rise(sizeLabel)/2}, "grain runs along the length of the sheet; sizes L × W of each piece, "+s.m.mark(), st)
}

func (s *shop) drawPlacement(d *drawing, p nest.Placement, at func(x, y nest.Um) Pt) {
	pts := []Pt{at(p.X, p.Y), at(p.X+p.Width, p.Y), at(p.X+p.Width, p.Y+p.Height), at(p.X, p.Y+p.Height)}
	d.shape(pts, &Stroke{Width: medium}, &Fill{Grey: 1})
	for _, q := range p.Parts {
		var o []Pt
		for _, c := range q.Outline {
			o = append(o, at(c[0], c[1]))
		}
		if len(o) > 2 {
			d.shape(o, &Stroke{Width: medium}, nil)
		}
	}
	if len(p.Parts) > 0 {
		return
	}
	if q, ok := s.named(baseName(p.Panel)); ok {
		d.placedCorner(q, p, pts)
	}
}

// placedCorner marks the reference corner of a piece as it lies on the sheet: turned with it by quarter turns counter-clockwise.
func (d *drawing) placedCorner(q panels.Panel, p nest.Placement, pts []Pt) {
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
	turns := p.Rotation / 90
	i := ((corner+turns)%4 + 4) % 4
	leg := math.Min(3, 0.3*math.Min(math.Abs(pts[2].X-pts[0].X), math.Abs(pts[2].Y-pts[0].Y)))
	dx := []float64{1, -1, -1, 1}[i]
	dy := []float64{-1, -1, 1, 1}[i]
	c := pts[i]
	tri := []Pt{c, {c.X + dx*leg, c.Y}, {c.X, c.Y + dy*leg}}
	d.Canvas.Path(tri, true, nil, &Fill{Grey: 0})
	d.reserve(quad{c, {c.X + dx*leg, c.Y}, {c.X + dx*leg, c.Y + dy*0.1}, {c.X, c.Y + dy*leg}})
}

// labelPlacement writes mark, name and size into a piece, as large as it goes; a piece that is too small is named beside it.
func (s *shop) labelPlacement(d *drawing, p nest.Placement, at func(x, y nest.Um) Pt) {
	if len(p.Parts) > 0 {
		for _, q := range p.Parts {
			s.labelPair(d, q, at)
		}
		return
	}
	a, b := at(p.X, p.Y+p.Height), at(p.X+p.Width, p.Y)
	s.labelIn(d, Rect{a.X, a.Y, b.X - a.X, b.Y - a.Y}, s.marked(p.Panel), s.pieceSize(p))
}

// marked is a piece's mark and name: "B bottom".
func (s *shop) marked(name string) string {
	if p, ok := s.named(baseName(name)); ok {
		return p.Mark + "  " + name
	}
	return name
}

func (s *shop) pieceSize(p nest.Placement) string {
	l, w := um(p.Width), um(p.Height)
	if p.Turned {
		l, w = w, l
	}
	return s.m.bare(l) + " × " + s.m.bare(w)
}

// labelIn writes a name over a size inside a rectangle: upright or along the longer side, at the largest size that has room.
func (s *shop) labelIn(d *drawing, r Rect, name, size string) {
	c := r.Centre()
	for _, pt := range []float64{9, 8, sizeLeast} {
		bold, plain := TextStyle{Size: pt, Bold: true}, TextStyle{Size: pt}
		wide := math.Max(d.TextWidth(name, bold), d.TextWidth(size, plain))
		tall := 2.1 * lineHeight(pt)
		for _, angle := range []float64{0, 90} {
			w, h := r.W-1.5, r.H-1
			if angle == 90 {
				w, h = r.H-1.5, r.W-1
			}
			if wide <= w && tall <= h {
				d.pairOfLines(c, angle, pt, name, size)
				return
			}
			if one := name + "   " + size; d.TextWidth(one, bold) <= w && lineHeight(pt) <= h && pt <= 8 {
				sp := centredOn(c, angle, pt)
				bold.Align, bold.Angle = AlignCentre, angle
				d.text(sp.At, one, bold)
				return
			}
		}
	}
	short := strings.Fields(name + " ")[0]
	for _, pt := range []float64{8, sizeLeast} {
		st := TextStyle{Size: pt, Bold: true, Align: AlignCentre}
		if d.TextWidth(short, st) <= r.W-0.6 && rise(pt) <= r.H-0.4 {
			d.text(centredOn(c, 0, pt).At, short, st)
			return
		}
	}
	d.note(c, name, TextStyle{Size: sizeLeast, Bold: true}, 3)
}

// pairOfLines writes two lines centred on a point.
func (d *drawing) pairOfLines(c Pt, angle, pt float64, first, second string) {
	sin, cos := math.Sincos(angle * math.Pi / 180)
	off := lineHeight(pt) / 2
	up := centredOn(Pt{c.X - sin*off, c.Y - cos*off}, angle, pt)
	down := centredOn(Pt{c.X + sin*off, c.Y + cos*off}, angle, pt)
	d.text(up.At, first, TextStyle{Size: pt, Bold: true, Align: AlignCentre, Angle: angle})
	d.text(down.At, second, TextStyle{Size: pt, Align: AlignCentre, Angle: angle})
}

// labelPair names one part of a head-to-tail pair about the middle of its outline.
func (s *shop) labelPair(d *drawing, q nest.PairPart, at func(x, y nest.Um) Pt) {
	if len(q.Outline) == 0 {
		return
	}
	c := Pt{}
	for _, p := range q.Outline {
		a := at(p[0], p[1])
		c.X += a.X / float64(len(q.Outline))
		c.Y += a.Y / float64(len(q.Outline))
	}
	name := s.marked(q.Panel)
	seconds := []string{"outer face up"}
	if q.Flipped {
		seconds = []string{"outer face = back of board", "back is outer face", "turned over"}
	}
	for _, pt := range []float64{8, sizeLeast} {
		for _, second := range seconds {
			for _, angle := range []float64{0, 90} {
				if d.twoLines(c, angle, pt, name, second) {
					return
				}
			}
		}
	}
	if q.Flipped {
		name += " (turned over: back is outer face)"
	}
	d.note(c, name, TextStyle{Size: sizeLeast, Bold: true}, 2)
}

// twoLines writes two lines about a point if both have room.
func (d *drawing) twoLines(c Pt, angle, pt float64, first, second string) bool {
	sin, cos := math.Sincos(angle * math.Pi / 180)
	off := lineHeight(pt) / 2
	up := centredOn(Pt{c.X - sin*off, c.Y - cos*off}, angle, pt)
	down := centredOn(Pt{c.X + sin*off, c.Y + cos*off}, angle, pt)
	st, thinner := TextStyle{Size: pt, Bold: true, Align: AlignCentre, Angle: angle}, TextStyle{Size: pt, Align: AlignCentre, Angle: angle}
	if !d.clear(up.At, first, st, true) || !d.clear(down.At, second, thinner, true) {
		return false
	}
	d.text(up.At, first, st)
	d.text(down.At, second, thinner)
	return true
}

func (s *shop) labelOffcut(d *drawing, o nest.Offcut, at func(x, y nest.Um) Pt) {
	a, b := at(o.X, o.Y+o.Height), at(o.X+o.Width, o.Y)
	r := Rect{a.X, a.Y, b.X - a.X, b.Y - a.Y}
	if !o.Reusable {
		return
	}
	size := s.m.times(um(o.Width), um(o.Height))
	d.knockOut = true
	s.labelIn(d, r, o.Name, size)
	d.knockOut = false
}

// cutNumber puts a cut's number on a dot on its line, where there is room.
func (d *drawing) cutNumber(no int, a, b Pt) {
	text := fmt.Sprint(no)
	for _, pt := range []float64{7, 6, 5} {
		st := TextStyle{Size: pt, Bold: true, Align: AlignCentre, Grey: 1}
		r := math.Max(rise(pt)*0.95, d.TextWidth(text, st)/2+0.5)
		for _, k := range []float64{0.06, 0.94, 0.2, 0.8, 0.35, 0.65, 0.5, 0.12, 0.88, 0.27, 0.73, 0.43, 0.57, -0.02, 1.02} {
			c := Pt{a.X + (b.X-a.X)*k, a.Y + (b.Y-a.Y)*k}
			dot := quad{{c.X - r, c.Y - r}, {c.X + r, c.Y - r}, {c.X + r, c.Y + r}, {c.X - r, c.Y + r}}
			if !holds(d.area, dot) || meets(d.texts, dot) {
				continue
			}
			d.Canvas.Circle(c, r, nil, &Fill{Grey: 0})
			d.Canvas.Text(Pt{c.X, c.Y + rise(pt)/2}, text, st)
			d.reserve(dot)
			return
		}
	}
}

// cutTable is the numbered cut sequence of a sheet.
func (s *shop) cutTable(i int) table {
	t := table{Size: 7, Columns: []column{{Head: "No.", Width: 8, Align: AlignCentre}, {Head: "Tool", Width: 13}, {Head: "Take piece", Width: 20},
		{Head: "Edge to fence", Width: 14}, {Head: "Setting", Width: 20, Align: AlignRight}, {Head: "Tilt", Width: 9, Align: AlignCentre},
		{Head: "Makes"}, {Head: "Keep", Width: 26}, {Head: "At this setting / set-up", Width: 18, Align: AlignCentre}, {Head: "Mind", Width: 24}}}
	for _, c := range s.d.Sheets.Sheets[i].Cuts {
		t.Rows = append(t.Rows, []cell{{Text: fmt.Sprint(c.No), Bold: true}, {Text: c.Tool}, {Text: c.Piece}, {Text: c.Reference},
			{Text: s.m.sloped(um(c.Setting)), Bold: true}, {Text: "0°"}, {Text: s.makes(c)}, {Text: s.marked(c.Keep)},
			{Text: s.atSetting(i, c.No)}, {Text: c.Safety}})
	}
	return t
}

func (s *shop) makes(c nest.Cut) string {
	var out []string
	for _, m := range c.Makes {
		if m != "" {
			out = append(out, s.marked(m))
		}
	}
	return strings.Join(out, " + ")
}

// atSetting is how many cuts share the setting of a cut over the whole job.
func (s *shop) atSetting(sheet, no int) string {
	for i, b := range s.d.Sheets.Batches {
		for _, ref := range b.Cuts {
			if ref.Sheet == sheet && ref.No == no {
				return fmt.Sprintf("%d / %d", len(b.Cuts), i+1)
			}
		}
	}
	return "1"
}

// orderOfWork lists the batches: every cut at one setting over all sheets, then the bevels.
func (s *shop) orderOfWork(f *flow) {
	f.Heading("Order of work over all sheets, by setting")
	f.Styled("The same cuts gathered by setting, so that each fence or stop is set once. Bevels come after all square cuts, then the slanted sides of the ends, then the openings. "+
		"Measure the board and try each bevel on an offcut first.", TextStyle{Size: sizeSmall})
	f.Gap(1)
	t := table{Size: 7.5, Columns: []column{{Head: "Set-up", Width: 13, Align: AlignCentre}, {Head: "Tool", Width: 18}, {Head: "Tilt", Width: 12, Align: AlignCentre},
		{Head: "Setting", Width: 34, Align: AlignRight}, {Head: "Cuts (sheet/no.)", Width: 40}, {Head: "For"}}}
	n := 0
	for _, b := range s.d.Sheets.Batches {
		n++
		var refs []string
		for _, r := range b.Cuts {
			refs = append(refs, fmt.Sprintf("%d/%d", r.Sheet+1, r.No))
		}
		t.Rows = append(t.Rows, []cell{{Text: fmt.Sprint(n)}, {Text: b.Tool}, {Text: "0°"}, {Text: s.m.sloped(um(b.Setting)), Bold: true}, {Text: strings.Join(refs, ", ")}, {Text: s.batchMakes(b)}})
	}
	for _, g := range s.bevelGroups() {
		n++
		t.Rows = append(t.Rows, []cell{{Text: fmt.Sprint(n)}, {Text: "BEVEL"}, {Text: degrees(g.tilt)}, {Text: "arris at " + s.m.sloped(g.width), Bold: true},
			{Text: plural(g.count, "edge")}, {Text: strings.Join(g.which, "; ") + "; run " + s.m.sloped(g.run)}})
	}
	for _, o := range s.outlineCuts() {
		n++
		t.Rows = append(t.Rows, []cell{{Text: fmt.Sprint(n)}, {Text: o.tool}, {Text: "0°"}, {Text: "corner to corner", Bold: true},
			{Text: plural(o.count, "cut")}, {Text: o.which}})
	}
	f.Table(t)
}
