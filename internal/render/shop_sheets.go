package render

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/nest"
	"cubby/internal/panels"
)

// sheetHeights are the heights that the drawing of a sheet may take, mm, largest first.
var sheetHeights = []float64{88, 80, 72, 64}

// sheetPages draws each sheet, no taller than a height, with its cuts under it.
func (s *shop) sheetPages(tallest float64) {
	l := s.d.Sheets
	if l == nil {
		return
	}
	f := s.book.flow(partB, "Sheets and cuts", portrait)
	for i := range l.Sheets {
		if i > 0 {
			f.Page()
		}
		s.sheetPage(f, i, tallest)
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

func (s *shop) sheetPage(f *flow, i int, tallest float64) {
	sh := s.d.Sheets.Sheets[i]
	f.Heading(s.sheetTitle(i))
	f.Styled("Outer faces up; pieces may be turned, never turned over, unless marked. Numbers on dots are the cuts in order; dashed lines are the saw kerfs. "+
		"Filled triangle = reference corner. Arrow = grain.", TextStyle{Size: sizeSmall})
	f.Gap(1)
	w, h := um(sh.Width), um(sh.Height)
	k := s.scaleFor(w, h, f.Area.W-12, tallest)
	r := f.Box(h*1000*k + 15)
	d := onPaper(f, r)
	crowded := s.drawSheet(d, sh, view{k * 1000, r.X + (r.W-w*1000*k)/2, r.Y + 5 + h*1000*k})
	f.Gap(2)
	if len(crowded) > 0 {
		f.Styled("Too crowded to be named in the drawing: "+listed(crowded)+". Go by the table of cuts.", TextStyle{Size: sizeSmall})
		f.Gap(1)
	}
	s.offcutText(f, sh)
	f.Sub("Cuts of sheet " + fmt.Sprint(i+1) + ", in an order in which they can be made")
	f.Styled(s.trimText(sh)+"Set-up: its number in the table of saw set-ups, and how many cuts are made at it.", TextStyle{Size: sizeSmall})
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

// drawSheet draws a sheet with its pieces, its offcuts and its numbered cuts. It returns what is too crowded to be named.
func (s *shop) drawSheet(d *drawing, sh nest.Sheet, v view) (crowded []string) {
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
	s.grainNote(d)
	var beside []callout
	for _, p := range sh.Placements {
		beside = append(beside, s.labelPlacement(d, p, at)...)
	}
	for _, o := range sh.Offcuts {
		beside = append(beside, s.labelOffcut(d, o, at)...)
	}
	for _, k := range beside {
		if !d.noteWhere(k.target, k.text, TextStyle{Size: sizeLeast, Bold: true}, 3, anywhere) {
			crowded = append(crowded, k.text)
		}
	}
	for _, c := range sh.Cuts {
		if !d.cutNumber(c.No, at(c.At[0][0], c.At[0][1]), at(c.At[1][0], c.At[1][1])) {
			crowded = append(crowded, fmt.Sprintf("cut %d", c.No))
		}
	}
	return crowded
}

// grainNote draws the arrow of the grain under a sheet.
func (s *shop) grainNote(d *drawing) {
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

// labelPlacement writes mark, name and size into a piece, as large as it goes; it returns what is too small and must be named beside
// it, when all others have their names.
func (s *shop) labelPlacement(d *drawing, p nest.Placement, at func(x, y nest.Um) Pt) []callout {
	if len(p.Parts) > 0 {
		var beside []callout
		for _, q := range p.Parts {
			beside = append(beside, s.labelPair(d, q, at)...)
		}
		return beside
	}
	a, b := at(p.X, p.Y+p.Height), at(p.X+p.Width, p.Y)
	return s.labelIn(d, Rect{a.X, a.Y, b.X - a.X, b.Y - a.Y}, s.marked(p.Panel), s.pieceSize(p))
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
func (s *shop) labelIn(d *drawing, r Rect, name, size string) []callout {
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
				return nil
			}
			if one := name + "   " + size; d.TextWidth(one, bold) <= w && lineHeight(pt) <= h && pt <= 8 {
				sp := centredOn(c, angle, pt)
				bold.Align, bold.Angle = AlignCentre, angle
				d.text(sp.At, one, bold)
				return nil
			}
		}
	}
	short := strings.Fields(name + " ")[0]
	if short == "offcut" {
		short = name
	}
	for _, pt := range []float64{8, sizeLeast} {
		st := TextStyle{Size: pt, Bold: true, Align: AlignCentre}
		if d.TextWidth(short, st) <= r.W-0.6 && rise(pt) <= r.H-0.4 {
			d.text(centredOn(c, 0, pt).At, short, st)
			return nil
		}
	}
	return []callout{{text: name, target: c}}
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
func (s *shop) labelPair(d *drawing, q nest.PairPart, at func(x, y nest.Um) Pt) []callout {
	if len(q.Outline) == 0 {
		return nil
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
					return nil
				}
			}
		}
	}
	if q.Flipped {
		name += " (turned over: back is outer face)"
	}
	return []callout{{text: name, target: c}}
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

func (s *shop) labelOffcut(d *drawing, o nest.Offcut, at func(x, y nest.Um) Pt) []callout {
	a, b := at(o.X, o.Y+o.Height), at(o.X+o.Width, o.Y)
	r := Rect{a.X, a.Y, b.X - a.X, b.Y - a.Y}
	if !o.Reusable {
		return nil
	}
	size := s.m.times(um(o.Width), um(o.Height))
	d.knockOut = true
	defer func() { d.knockOut = false }()
	return s.labelIn(d, r, o.Name, size)
}

// cutNumber puts a cut's number on a dot on its line, where there is room. It reports false where there is none.
func (d *drawing) cutNumber(no int, a, b Pt) bool {
	text := fmt.Sprint(no)
	st := TextStyle{Size: sizeLeast, Bold: true, Align: AlignCentre, Grey: 1, Label: true}
	r := math.Max(rise(st.Size)*0.95, d.TextWidth(text, st)/2+0.5)
	l := math.Max(math.Hypot(b.X-a.X, b.Y-a.Y), 1e-6)
	nx, ny := (b.Y-a.Y)/l, (a.X-b.X)/l
	for _, off := range []float64{0, 1, -1, 2, -2} { // off the line, in dots
		for _, k := range []float64{0.06, 0.94, 0.2, 0.8, 0.35, 0.65, 0.5, 0.12, 0.88, 0.27, 0.73, 0.43, 0.57, -0.02, 1.02} {
			c := Pt{a.X + (b.X-a.X)*k + nx*off*r, a.Y + (b.Y-a.Y)*k + ny*off*r}
			dot := quad{{c.X - r, c.Y - r}, {c.X + r, c.Y - r}, {c.X + r, c.Y + r}, {c.X - r, c.Y + r}}
			if !holds(d.area, dot) || meets(d.texts, dot) {
				continue
			}
			d.Canvas.Circle(c, r, nil, &Fill{Grey: 0})
			d.Canvas.Text(Pt{c.X, c.Y + rise(st.Size)/2}, text, st)
			d.reserve(dot)
			return true
		}
	}
	return d.noteAlong(a, b, text, TextStyle{Size: sizeLeast, Bold: true})
}

// cutTable is the numbered cut sequence of a sheet.
func (s *shop) cutTable(i int) table {
	t := table{Columns: []column{{Head: "No.", Width: 9, Align: AlignCentre}, {Head: "Tool", Width: 14.5}, {Head: "Take piece", Width: 19},
		{Head: "Edge to fence", Width: 15}, {Head: "Setting", Width: 28, Align: AlignRight}, {Head: "Tilt", Width: 9, Align: AlignCentre},
		{Head: "Makes"}, {Head: "Keep", Width: 21}, {Head: "Set-up", Width: 14, Align: AlignCentre}, {Head: "Mind", Width: 19}}}
	for _, c := range s.d.Sheets.Sheets[i].Cuts {
		t.Rows = append(t.Rows, []cell{{Text: fmt.Sprint(c.No), Bold: true}, {Text: c.Tool}, {Text: c.Piece}, {Text: c.Reference},
			{Text: s.settingText(c), Bold: true}, {Text: "0°"}, {Text: s.makes(c)}, {Text: s.marked(c.Keep)},
			{Text: s.atSetting(i, c.No)}, {Text: c.Safety}})
	}
	return t
}

// settingText is what the saw is set to: for a slanted cut at both ends of its line, as the piece lies in the drawing.
func (s *shop) settingText(c nest.Cut) string {
	if c.Direction != "slant" {
		return s.m.sloped(um(c.Setting))
	}
	first, last := "at the left", "at the right"
	k := 0 // the coordinate along the edge at the fence
	if c.Reference == "left" || c.Reference == "right" {
		first, last, k = "at the bottom", "at the top", 1
	}
	if c.At[0][k] > c.At[1][k] {
		first, last = last, first
	}
	return s.m.sloped(um(c.Setting)) + " " + first + "\n" + s.m.sloped(um(c.Far)) + " " + last
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

// atSetting is the set-up of a cut and how many cuts of the whole job share it.
func (s *shop) atSetting(sheet, no int) string {
	for i, b := range s.d.Sheets.Batches {
		for _, ref := range b.Cuts {
			if ref.Sheet == sheet && ref.No == no {
				return fmt.Sprintf("%d (%d)", i+1, len(b.Cuts))
			}
		}
	}
	return "–"
}

// orderOfWork lists the set-ups: every cut at one setting over all sheets, then the bevels, then what the layouts do not cut.
func (s *shop) orderOfWork(f *flow) {
	t := s.setups()
	if len(t.Rows) == 0 {
		return
	}
	const intro = "The same cuts gathered by setting, so that each fence or stop is set once. Bevels come after all square cuts, then the slanted sides of the ends, then the openings. Measure the board and try each bevel on an offcut first."
	st := TextStyle{Size: sizeSmall}
	if h := t.height(f.Area.W) + paragraphHeight(f.Area.W, intro, st) + 15; h <= f.Area.H && f.Left() < f.Area.H/2 {
		f.Need(h)
	}
	f.Heading("Saw set-ups, in order of work over all sheets")
	f.Styled(intro, st)
	f.Gap(1)
	f.Table(t)
}

// trimText explains the setting of the cuts that trim factory edges: the trim includes the kerf.
func (s *shop) trimText(sh nest.Sheet) string {
	saw := s.r.Request.Saw
	stays := saw.Trim - saw.Kerf
	for _, c := range sh.Cuts {
		if c.Makes[0] == "waste" && math.Abs(um(c.Setting)-stays) < sameFace {
			return fmt.Sprintf("A cut that makes “waste” first trims a factory edge: %s comes off, of which the kerf takes %s and the setting is the %s beside it. ", s.m.full(saw.Trim), s.m.full(saw.Kerf), s.m.full(stays))
		}
	}
	return ""
}
