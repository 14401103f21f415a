package render

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/panels"
	"cubby/internal/plane"
	solids "cubby/internal/solid"
	"cubby/internal/unit"
	"cubby/internal/work"
)

// frontPage is the shop sheet, the page that is pinned over the saw: the box, its outside, the board, the section through the walls,
// the panel list and three lines of cautions.
func (s *shop) frontPage(tallest float64) *flow {
	f := s.book.flow(partB, "Shop sheet", portrait)
	const gap, right = 6.0, 78.0
	left := Rect{f.Area.X, f.Y, f.Area.W - right - gap, 0.3*tallest + 31}
	x := left.Right() + gap
	s.standingBox(f, left)
	line(f, Pt{left.X, left.Bottom()}, Pt{left.Right(), left.Bottom()}, Stroke{Width: 0.25})
	low := s.sectionBlock(f, Rect{left.X, left.Bottom() + 2, left.W, tallest})
	y := s.outsideBlock(f, Rect{x, f.Y, right, 0})
	y = s.boardBlock(f, Rect{x, y + 2.5, right, 0})
	sides := s.sideTable().fitted(right)
	sides.tight = f.b.tight
	y = paragraph(f, Pt{x, sides.draw(f, Pt{x, y + 3}, right) + 1}, right, endStyles[s.box.Spec.Wood.Ends], TextStyle{Size: sizeSmall})
	f.Y = math.Max(low, y) + 1
	s.listBlock(f)
	s.cautionLines(f)
	return f
}

// blockHead sets a bold heading with a rule in a column and returns the Y below it.
func blockHead(c Canvas, x, y, w float64, text string) float64 {
	st := TextStyle{Size: 11, Bold: true}
	c.Text(Pt{x, y + rise(11)}, text, st)
	y += lineHeight(11)
	line(c, Pt{x, y}, Pt{x + w, y}, Stroke{Width: 0.35})
	return y + 1.5
}

// standingBox draws the box as it stands, with the marks of its panels.
func (s *shop) standingBox(c Canvas, r Rect) {
	c.Text(Pt{r.X, r.Y + rise(11)}, "The box, as it stands", TextStyle{Size: 11, Bold: true})
	c.Text(Pt{r.Right(), r.Y + rise(11)}, "pencil the marks on the outer faces", TextStyle{Size: sizeSmall, Align: AlignRight})
	d := onPaper(c, r)
	b := &standView{gaze: gazeIso}
	b.box(s.box, false)
	fit := fitInto(Rect{r.X + 26, r.Y + 9, r.W - 52, r.H - 12}, b.extent)
	b.draw(d.Canvas, fit)
	var hidden, seen []panels.Panel
	var at []Pt
	for _, p := range s.withRole(panels.Wall, panels.Pocket, panels.End) {
		if q, ok := b.seenAt(p, fit); ok {
			seen, at = append(seen, p), append(at, q)
		} else if p.Role != panels.Pocket {
			hidden = append(hidden, p)
		}
	}
	s.hiddenMarks(d, b, hidden, fit, r)
	for i, p := range seen {
		d.markNear(at[i], p.Mark)
	}
}

// markCircle draws a panel's mark in a circle.
func (d *drawing) markCircle(at Pt, mark string) {
	r := circleRadius(d, mark)
	d.Canvas.Circle(at, r, &Stroke{Width: medium}, &Fill{Grey: 1})
	d.Canvas.Text(Pt{at.X, at.Y + rise(10)/2}, mark, TextStyle{Size: 10, Bold: true, Align: AlignCentre, Label: true})
	d.reserve(quad{{at.X - r, at.Y - r}, {at.X + r, at.Y - r}, {at.X + r, at.Y + r}, {at.X - r, at.Y + r}})
}

func circleRadius(c Canvas, mark string) float64 {
	return math.Max(2.7, c.TextWidth(mark, TextStyle{Size: 10, Bold: true})/2+0.8)
}

// markNear draws a mark at a place, or where that is taken at the nearest free place round it with a leader.
func (d *drawing) markNear(at Pt, mark string) {
	r := circleRadius(d, mark)
	box := func(c Pt) quad {
		return quad{{c.X - r, c.Y - r}, {c.X + r, c.Y - r}, {c.X + r, c.Y + r}, {c.X - r, c.Y + r}}
	}
	if !meets(d.texts, box(at)) && holds(d.area, box(at)) {
		d.markCircle(at, mark)
		return
	}
	for _, crossing := range []bool{false, true} { // where it is crowded a leader may pass under texts, broken there
		for off := 2 * r; off < 70; off += 1.5 {
			for k := range 16 {
				sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / 16)
				c := Pt{at.X + off*cos, at.Y + off*sin}
				if !holds(d.area, box(c)) || meets(d.texts, box(c)) || !crossing && meets(d.texts, segmentQuad(at, c, thin)) {
					continue
				}
				d.leader(at, c)
				d.markCircle(c, mark)
				return
			}
		}
	}
	d.lose(mark)
}

// seenAt is a place on the outer face of a panel that is in view, with as much room round it as there is; ok is false where none is.
func (s *standView) seenAt(p panels.Panel, f fit) (at Pt, ok bool) {
	n := toVec(p.Place.N)
	if n.dot(s.eye) < 1e-6 {
		return Pt{}, false
	}
	var rim []Pt
	for _, q := range p.Outer {
		rim = append(rim, f.at(s.flat(toVec(q))))
	}
	room := 1.5 // mm
	for _, kx := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
		for _, ky := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
			q := plane.Point{X: p.Length * kx, Y: reach(p) * ky}
			v := onPanel(p.Place, q)
			c := f.at(s.flat(v))
			clear := distanceTo(rim, c)
			for _, h := range p.Holes {
				if d := math.Hypot(q.X-h.X, q.Y-h.Y) - math.Max(h.Diameter, math.Max(h.Length, h.Width))/2; h.Kind != "bolt" {
					clear = math.Min(clear, d*f.scale*0.8)
				}
			}
			if clear > room && (len(p.Outline) == 0 || p.Outline.Contains(q)) && !s.hides(v.add(n.mul(1e-3)), false) {
				at, room, ok = c, clear, true
			}
		}
	}
	return at, ok
}

// distanceTo is how far a point is from the sides of a polygon.
func distanceTo(pts []Pt, p Pt) float64 {
	near := math.Inf(1)
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		l := math.Hypot(b.X-a.X, b.Y-a.Y)
		if l < 1e-9 {
			continue
		}
		k := math.Max(0, math.Min(1, ((p.X-a.X)*(b.X-a.X)+(p.Y-a.Y)*(b.Y-a.Y))/(l*l)))
		near = math.Min(near, math.Hypot(p.X-a.X-k*(b.X-a.X), p.Y-a.Y-k*(b.Y-a.Y)))
	}
	return near
}

// hiddenMarks sets the marks of faces that are not in view in a column at either side, with a leader to where the face lies behind.
func (s *shop) hiddenMarks(d *drawing, b *standView, hidden []panels.Panel, f fit, r Rect) {
	type target struct {
		p  panels.Panel
		at Pt
	}
	var sides [2][]target
	for _, p := range hidden {
		at := f.at(iso(onPanel(p.Place, plane.Point{X: p.Length / 2, Y: reach(p) / 2})))
		n := toVec(p.Place.N)
		o, q := iso(vec{}), iso(n)
		k := 0
		if q.X > o.X+1e-9 || math.Abs(q.X-o.X) < 1e-9 && len(sides[1]) < len(sides[0]) {
			k = 1
		}
		sides[k] = append(sides[k], target{p, at})
	}
	for k, all := range sides {
		for i := range all { // in order of height, so that leaders do not cross
			for j := i; j > 0 && all[j].at.Y < all[j-1].at.Y; j-- {
				all[j], all[j-1] = all[j-1], all[j]
			}
		}
		step := math.Min(9, (r.H-14)/math.Max(1, float64(len(all))))
		y := r.Y + 12
		for _, t := range all {
			y = math.Max(y, math.Min(t.at.Y, r.Bottom()-4-step*float64(len(all)-1)))
			x := r.X + 3.5
			if k == 1 {
				x = r.Right() - 3.5
			}
			d.markCircle(Pt{x, y}, t.p.Mark)
			name := clipText(t.p.Name, TextStyle{Size: sizeSmall}, 20)
			st, edge := TextStyle{Size: sizeSmall}, x+4
			if k == 1 {
				st.Align, edge = AlignRight, x-4
			}
			d.text(Pt{edge, y + rise(sizeSmall)/2}, name, st)
			from := edge + d.TextWidth(name, st) + 1
			if k == 1 {
				from = edge - d.TextWidth(name, st) - 1
			}
			end := rimPoint(b, f, Pt{from, y}, t.at)
			d.Canvas.Path([]Pt{{from, y}, end}, false, &Stroke{Width: thin}, nil)
			d.Canvas.Circle(end, 0.5, nil, &Fill{Grey: 0})
			y += step
		}
	}
}

// rimPoint is where a leader to a hidden face meets the silhouette of the box.
func rimPoint(b *standView, f fit, from, to Pt) Pt {
	l := math.Hypot(to.X-from.X, to.Y-from.Y)
	for r := 0.0; r < l; r += 0.4 {
		p := Pt{from.X + (to.X-from.X)*r/l, from.Y + (to.Y-from.Y)*r/l}
		for _, t := range b.tris {
			if inOutline(f.back(p), []plane.Point{b.flat(t.at[0]), b.flat(t.at[1]), b.flat(t.at[2])}) {
				return p
			}
		}
	}
	return to
}

// outsideBlock sets the size that must not be exceeded.
func (s *shop) outsideBlock(c Canvas, r Rect) float64 {
	y := blockHead(c, r.X, r.Y, r.W, "Outside, bare wood: not to be exceeded")
	wide, deep, high := work.Outside(s.box)
	for _, row := range []struct {
		v    float64
		text string
	}{{wide, "wide, left to right"}, {deep, "deep, front to back"}, {high, "high"}} {
		text := row.text
		if e := s.m.exact(row.v); e != "" {
			text = "· " + e + "  " + text
		}
		c.Text(Pt{r.X + 30, y + rise(18)}, s.m.bare(row.v), TextStyle{Size: 18, Bold: true, Align: AlignRight})
		c.Text(Pt{r.X + 33, y + rise(18)}, text, TextStyle{Size: sizeSmall})
		y += 7.2
	}
	if t := s.finishedText(); t != "" {
		y = paragraph(c, Pt{r.X, y}, r.W, "Finished: "+t, TextStyle{Size: sizeSmall})
	}
	if t := s.notchTable(); len(t.Rows) > 0 {
		y = t.draw(c, Pt{r.X, y + 1}, r.W)
	}
	return y
}

// notchTable gives for each notch round something in the space where it begins and ends.
func (s *shop) notchTable() table {
	t, to := table{tight: s.book.tight, Columns: []column{{Head: "Notch, from", Width: 14}, {Head: "LEFT"}, {Head: "FRONT"}, {Head: "BOTTOM"}}}, " – "
	if s.m.sys == unit.Inch {
		to = " to "
	}
	for _, n := range work.Pockets(s.box) {
		row := cells(n.Name, "", "", "")
		for k := range 3 {
			row[k+1].Text = s.m.sloped(n.Begins[k]) + to + s.m.sloped(n.Ends[k])
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// finishedText is the outside with covering and gasket, and empty where that is the bare wood.
func (s *shop) finishedText() string {
	f := s.box.Finished()
	w, d, h := work.Outside(s.box)
	if f[0]-w < sameFace && f[1]-d < sameFace && f[2]-h < sameFace {
		return ""
	}
	return s.m.times(f[0], f[1], f[2]) + " with covering and gasket"
}

// boardSlack is how far a measured board may lie from the thickness that the sheet was made for: the mill tolerance of fibreboard
// of 2 to 30 mm (0.2 mm, quoted in mill data to EN 324-1) and a tenth for the caliper.
const (
	boardSlackMetric = "0.3"
	boardSlackInch   = "1/64"
)

// boardBlock has room for the measured board, and says what to do when it differs.
func (s *shop) boardBlock(c Canvas, r Rect) float64 {
	y := blockHead(c, r.X, r.Y, r.W, "Board measured")
	slack := boardSlackMetric
	if s.m.sys == unit.Inch {
		slack = boardSlackInch
	}
	for _, p := range s.boards() {
		c.Text(Pt{r.X, y + 5.2}, s.m.thick(p.Thickness), TextStyle{Size: 11, Bold: true})
		st, from := TextStyle{Size: sizeSmall}, 30.0
		name := clipText(p.Board, st, 36)
		from = math.Max(from, 16+textWidth(name, st))
		c.Text(Pt{r.X + 14, y + 5.2}, name, st)
		w := (r.W - from) / 3
		for k := range 3 {
			box(c, Rect{r.X + from + float64(k)*w, y, w - 1.5, 7}, Stroke{Width: 0.35})
		}
		y += 8
	}
	return paragraph(c, Pt{r.X, y + 0.5}, r.W, "Three places, "+s.m.about(0.05)+" from the edge. Any one "+slack+" off: do not cut. Send it back for a new sheet.", TextStyle{Size: sizeSmall})
}

// boards are the distinct boards with their thickness.
func (s *shop) boards() []panels.Panel {
	var out []panels.Panel
	for _, p := range s.box.Panels {
		if n := float64(p.Layers); n > 1 {
			p.Thickness, p.Layers = p.Thickness/n, 1
		}
		known := false
		for _, q := range out {
			known = known || q.Board == p.Board && math.Abs(q.Thickness-p.Thickness) < 1e-6
		}
		if !known {
			out = append(out, p)
		}
	}
	return out
}

// sectionBlock draws the section through the walls with its figures in a pane, no taller than it, and returns where it ends.
func (s *shop) sectionBlock(c Canvas, r Rect) float64 {
	const side, over, under = 12.0, 7.0, 13.0
	lo, hi := bounds(s.box.Section)
	k := s.scaleFor(hi.X-lo.X, hi.Y-lo.Y, r.W-2*side, r.H-over-under) * 1000
	c.Text(Pt{r.X, r.Y + rise(11)}, "Section through the walls", TextStyle{Size: 11, Bold: true})
	c.Text(Pt{r.X + 52, r.Y + rise(11)}, scaleText(k/1000)+", "+s.sectionView(), TextStyle{Size: sizeSmall})
	pane := Rect{r.X, r.Y + lineHeight(11), r.W, (hi.Y-lo.Y)*k + over + under}
	s.drawWalls(onPaper(c, pane), fit{scale: k, x0: r.X + (r.W-(hi.X-lo.X)*k)/2 - lo.X*k, y0: pane.Bottom() - under + lo.Y*k})
	return pane.Bottom()
}

// sectionView is how the section is looked at.
func (s *shop) sectionView() string {
	return map[solids.Axis]string{solids.Across: "from the RIGHT END", solids.Depth: "from the FRONT", solids.Up: "from above, the front below"}[s.box.Spec.Axis]
}

// endStyles say how the ends go against the walls.
var endStyles = map[panels.EndStyle]string{panels.EndsOver: "Both ends go over the walls.", panels.EndsInside: "Both ends go between the walls.",
	panels.EndsRabbeted: "Both ends go over the walls, which stand in their rabbets."}

// drawWalls draws the walls cut across, their marks, the corners' numbers, the driver's centre line and the overall sizes.
func (s *shop) drawWalls(d *drawing, v fit) {
	g := s.box.Section
	lo, hi := bounds(g)
	for _, p := range s.withRole(panels.Wall) {
		d.shape(v.path(s.sectionOf(p)), &Stroke{Width: 0.5}, &Fill{Grey: 0.886})
	}
	centres := s.axesIn(d, v)
	strong := TextStyle{Size: 10, Bold: true}
	d.dimensions(distance{v.at(lo), v.at(plane.Point{X: hi.X, Y: lo.Y}), -9, s.m.bare(hi.X - lo.X), strong},
		distance{v.at(lo), v.at(plane.Point{X: lo.X, Y: hi.Y}), 9, s.m.bare(hi.Y - lo.Y), strong})
	numberAround(d, v.path(g), func(i int) string { return fmt.Sprint(i + 1) })
	for _, c := range centres {
		d.noteWhere(c.at, c.what, TextStyle{Size: sizeLabel}, 1.5, anywhere)
	}
	for _, p := range s.withRole(panels.Wall) {
		d.markNear(v.at(s.sectionOf(p).Centroid()), p.Mark)
	}
}

// centreEnd is the inner end of a centre line, and whose it is.
type centreEnd struct {
	at   Pt
	what string
}

// axesIn draws the centre lines of drivers and ports that sit in walls.
func (s *shop) axesIn(d *drawing, v fit) (ends []centreEnd) {
	axis := func(p panels.Panel, c plane.Point, deep float64, what string) {
		if !p.Role.Shell() || p.Role == panels.End {
			return
		}
		in := func(z float64) plane.Point { return s.box.Spec.Axis.Section(p.Place.At(c, z)) }
		a, b := v.at(in(0.012)), v.at(in(-deep))
		d.line(a, b, thin, 4, 0.8, 0.8, 0.8)
		ends = append(ends, centreEnd{b, what})
	}
	mounted := func(at *panels.DriverPlace, deep float64, what string) {
		if p, ok := s.named(at.Panel); ok {
			for _, c := range at.Centres[:min(1, len(at.Centres))] {
				axis(p, c, math.Max(deep, 0.05), what)
			}
		}
	}
	mounted(&s.box.Drivers, s.box.Spec.Driver.Depth, "driver")
	if r := s.box.Radiators; r != nil && r.Panel != s.box.Drivers.Panel {
		mounted(r, s.box.Spec.Radiators.Depth, "radiator")
	}
	for _, port := range s.box.Ports[:min(1, len(s.box.Ports))] {
		if p, ok := s.named(port.Panel); ok {
			deep := 0.05
			if len(port.Legs) > 0 {
				deep = port.Legs[0]
			}
			axis(p, port.Centre, deep, "port")
		}
	}
	return ends
}

// sideTable gives for every corner of the section who runs past whom, and for the side after it the wall and its lengths outside and
// inside.
func (s *shop) sideTable() table {
	t := table{Columns: []column{{Head: "Corner", Align: AlignCentre}, {Head: "Joint"}, {Head: "Side", Align: AlignCentre}, {Head: "out"}, {Head: "in"}}}
	g, in := s.box.Section, s.box.Inside
	n := len(g)
	for i := range g {
		a, b := g.Edge(i)
		w, before := s.wallAt(i), s.wallAt((i+n-1)%n)
		inner := ""
		if len(in) == n {
			p, q := in.Edge(i)
			inner = s.m.stack(q.Sub(p).Norm())
		}
		t.Rows = append(t.Rows, cells(fmt.Sprint(i+1), s.cornerText(before, w), fmt.Sprintf("%d–%d", i+1, (i+1)%n+1), s.m.stack(b.Sub(a).Norm()), inner))
	}
	return t
}

// wallAt is the wall along side i of the section.
func (s *shop) wallAt(i int) panels.Panel {
	a, b := s.box.Section.Edge(i)
	side, mid := plane.LineThrough(a, b), a.Add(b).Mul(0.5)
	best, pick := math.Inf(1), panels.Panel{}
	for _, p := range s.box.Panels {
		if !p.Role.Shell() || p.Role == panels.End || len(p.Outer) == 0 {
			continue
		}
		on, sum := true, plane.Point{}
		for _, q := range p.Outer {
			c := s.box.Spec.Axis.Section(q)
			on = on && math.Abs(side.Distance(c)) < 1e-6
			sum = sum.Add(c.Mul(1 / float64(len(p.Outer))))
		}
		if d := sum.Sub(mid).Norm(); on && d < best {
			best, pick = d, p
		}
	}
	return pick
}

// sectionOf is a wall where the section cuts it: as the record has it, else what its corners span.
func (s *shop) sectionOf(p panels.Panel) plane.Polygon {
	if len(p.Section) > 0 {
		return p.Section
	}
	var all plane.Polygon
	for _, q := range append(slices.Clone(p.Outer), p.Inner...) {
		all = append(all, s.box.Spec.Axis.Section(q))
	}
	return all.ConvexHull()
}

// cornerText says who runs past whom where two walls meet.
func (s *shop) cornerText(a, b panels.Panel) string {
	for _, pair := range [][2]panels.Panel{{a, b}, {b, a}} {
		for k, e := range pair[0].Edges {
			if e.Meets != pair[1].Name || e.Meets == "" {
				continue
			}
			switch e.Joint {
			case "mitre":
				return a.Mark + ", " + b.Mark + " mitred"
			case "rabbet":
				if slices.ContainsFunc(pair[0].Rabbets, func(r panels.RabbetStep) bool { return r.Edge == k }) {
					return pair[0].Mark + " rabbeted for " + pair[1].Mark
				}
			case "butt-through":
				return pair[0].Mark + " runs past " + pair[1].Mark
			}
		}
	}
	return a.Mark + ", " + b.Mark
}

// cautionLines are the three lines of cautions; the whole of them stands on the last page. Sources: IARC monographs 62 and 100C on
// wood dust; NIOSH recommended exposure limit for noise; a table-saw maker's manual for the push stick.
func (s *shop) cautionLines(f *flow) {
	six, twelve := "150 mm", "300 mm"
	if s.m.sys == unit.Inch {
		six, twelve = "6 in", "12 in"
	}
	st, key := TextStyle{Size: sizeSmall}, TextStyle{Size: sizeSmall, Bold: true}
	rows := [][2]string{{"Dust", "harms the lungs, can cause cancer of the nose: extract at saw and router, fitted mask, no sweeping."},
		{"Blade", fmt.Sprintf("riving knife and guard on; push stick under %s and for the last %s; never cross-cut against the fence.", six, twelve)},
		{"Noise", "ears and eyes on: 15 minutes at 100 dBA is a day's dose. Glue, sealant: air the room."}}
	h := 0.0
	for _, r := range rows {
		h += paragraphHeight(f.Area.W-16, r[1], st)
	}
	f.Need(h + 2)
	for _, r := range rows {
		f.Text(Pt{f.Area.X, f.Y + rise(sizeSmall)}, r[0], key)
		f.Y = paragraph(f, Pt{f.Area.X + 16, f.Y}, f.Area.W-16, r[1], st)
	}
}
