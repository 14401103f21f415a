package render

import (
	"fmt"
	"math"

	"cubby/internal/panels"
	"cubby/internal/word"
)

// mostTiles is the number of pages above which taped paper is worse than a trammel (common practice).
const mostTiles = 9

// templatePages prints full size what paper does better than a tape: round openings with their bolts, ports, and bevel gauges.
func (s *shop) templatePages() {
	var round []figure
	if s.o.Templates {
		round = s.roundTemplates()
	}
	for _, t := range round {
		probe := &sheet{W: s.book.paper.W, H: s.book.paper.H}
		probe.Area = Rect{sideMargin, bodyTop, probe.W - 2*sideMargin, probe.H - bodyTop - footMargin}
		if n := tilingOf(t, tileWindow(probe)); n.Cols*n.Rows <= mostTiles {
			s.book.template(t)
		}
	}
	if s.o.Templates {
		s.gaugePages()
	}
}

// roundTemplates are the distinct driver and port openings; equal ones share a template that names all their panels.
func (s *shop) roundTemplates() []figure {
	type kind struct {
		panel panels.Panel
		hole  panels.Hole
		bolts []opening
		where []string
	}
	var all []kind
	for _, p := range s.byMark() {
		for _, o := range openings(p) {
			h := o.Hole
			if h.Diameter <= 0 || h.Kind != "driver" && h.Kind != "port" {
				continue
			}
			k := kind{panel: p, hole: h}
			if h.Kind == "driver" {
				k.bolts = s.boltsOf(p, h)
			} else {
				k.bolts = s.flangeScrews(p, h)
			}
			where := fmt.Sprintf("%s %s, opening %d", p.Mark, place(p.Name), o.No)
			known := false
			for i := range all {
				if all[i].hole.Kind == h.Kind && sameCircle(all[i].hole, all[i].bolts, h, k.bolts) {
					all[i].where = append(all[i].where, where)
					known = true
					break
				}
			}
			if !known {
				k.where = []string{where}
				all = append(all, k)
			}
		}
	}
	var out []figure
	for _, k := range all {
		out = append(out, s.circleFigure(k.panel, k.hole, k.bolts, word.List(k.where)))
	}
	return out
}

// flangeScrews are the screws of a port's flange.
func (s *shop) flangeScrews(p panels.Panel, port panels.Hole) []opening {
	var out []opening
	for _, o := range openings(p) {
		if o.Hole.Use == panels.UseFlangeScrew && math.Hypot(o.Hole.X-port.X, o.Hole.Y-port.Y) < s.flangeOf(port) {
			out = append(out, o)
		}
	}
	return out
}

// flangeOf is the radius of what covers a round opening: the driver's frame, or the flange of the port's tube; 0: not known. Metres.
func (s *shop) flangeOf(h panels.Hole) float64 {
	switch p := s.box.Spec.Port; {
	case h.Use == panels.UseRadiator:
		return s.box.Spec.Radiators.Frame / 2
	case h.Kind == "driver":
		return s.box.Spec.Driver.Frame / 2
	case p != nil && p.Flange.Rim > 0:
		return p.Outside/2 + p.Flange.Rim
	}
	return 0
}

// sameCircle reports whether two openings and the bolts round them are the same when laid over one another.
func sameCircle(a panels.Hole, as []opening, b panels.Hole, bs []opening) bool {
	if math.Abs(a.Diameter-b.Diameter) > sameFace || len(as) != len(bs) {
		return false
	}
	for i := range as {
		p, q := as[i].Hole, bs[i].Hole
		if math.Abs(p.X-a.X-(q.X-b.X)) > sameFace || math.Abs(p.Y-a.Y-(q.Y-b.Y)) > sameFace || math.Abs(p.Diameter-q.Diameter) > sameFace {
			return false
		}
	}
	return true
}

// circleFigure is a round opening at full size with bolts, axes and as much of the flange as shows, as on the outer face. It is no
// larger than opening and bolts: a flange that stands out further does not cost a sheet.
func (s *shop) circleFigure(p panels.Panel, h panels.Hole, bolts []opening, where string) figure {
	const rim = 2.0 // mm of paper round what is cut
	rx := h.Diameter * 500
	ry := rx
	flange := s.flangeOf(h) * 1000
	for _, b := range bolts {
		out := b.Hole.Diameter*500 + boltCross
		rx, ry = math.Max(rx, math.Abs(b.Hole.X-h.X)*1000+out), math.Max(ry, math.Abs(b.Hole.Y-h.Y)*1000+out)
	}
	rx, ry = rx+rim, ry+rim
	f := figure{Title: fmt.Sprintf("%s opening, full size: %s", upperFirst(kindText(h)), where), W: 2 * rx, H: 2 * ry}
	f.Busy = func(q Pt, r float64) bool {
		x, y := q.X-rx, q.Y-ry
		l := math.Hypot(x, y)
		on := math.Abs(l-h.Diameter*500) < r || flange > 0 && math.Abs(l-flange) < r && math.Abs(x) < rx && math.Abs(y) < ry ||
			math.Abs(x) < r && math.Abs(y) < ry || math.Abs(y) < r && math.Abs(x) < rx
		for _, b := range bolts {
			on = on || math.Hypot(x-(b.Hole.X-h.X)*1000, y+(b.Hole.Y-h.Y)*1000) < r+b.Hole.Diameter*500+boltCross
		}
		return on
	}
	f.Draw = func(d *drawing, at Pt) {
		c := Pt{at.X + rx, at.Y + ry}
		d.line(Pt{c.X - rx, c.Y}, Pt{c.X + rx, c.Y}, hairline, 6, 1, 1, 1)
		d.line(Pt{c.X, c.Y - ry}, Pt{c.X, c.Y + ry}, hairline, 6, 1, 1, 1)
		d.ring(c, h.Diameter*500, &Stroke{Width: 0.25}, nil)
		if flange > 0 {
			d.Canvas.Circle(c, flange, &Stroke{Width: thin, Dash: []float64{3, 1.5}}, nil)
		}
		for _, b := range bolts {
			s.boltOnTemplate(d, c, h, b)
		}
		s.templateTexts(d, c, p, h, len(bolts), flange)
	}
	return f
}

// boltCross is how far the cross of a bolt hole stands out of it, mm.
const boltCross = 1.5

func (s *shop) boltOnTemplate(d *drawing, c Pt, h panels.Hole, b opening) {
	at := Pt{c.X + (b.Hole.X-h.X)*1000, c.Y - (b.Hole.Y-h.Y)*1000}
	d.ring(at, math.Max(b.Hole.Diameter*500, 0.3), &Stroke{Width: thin}, nil)
	r := b.Hole.Diameter*500 + boltCross
	d.line(Pt{at.X - r, at.Y}, Pt{at.X + r, at.Y}, hairline)
	d.line(Pt{at.X, at.Y - r}, Pt{at.X, at.Y + r}, hairline)
	u := unitTo(at, c)
	st := TextStyle{Size: 8}
	for _, far := range []float64{r + 3, r + 5} {
		q := Pt{at.X + u.X*far, at.Y + u.Y*far}
		if d.write(fmt.Sprint(b.No), st, centredOn(q, 0, 8)) {
			return
		}
	}
}

// templateTexts writes on each tile what the template is, which way it lies and its sizes, where they fit.
func (s *shop) templateTexts(d *drawing, c Pt, p panels.Panel, h panels.Hole, bolts int, flange float64) {
	lines := []string{fmt.Sprintf("%s, cut Ø %s", upperFirst(kindText(h)), s.m.full(h.Diameter)), "as seen on the OUTER face of " + p.Mark + " " + place(p.Name)}
	if bolts > 0 {
		what := "bolt holes"
		if h.Kind == "port" {
			what = "screws of the flange"
		}
		lines = append(lines, fmt.Sprintf("%d %s, numbered as in the panel's table", bolts, what))
	}
	if flange > 0 {
		lines = append(lines, "dashed: the "+string(h.Kind)+"'s flange Ø "+s.m.full(2*flange/1000))
		for _, x := range p.Holes {
			if x.Kind == "recess" && math.Hypot(x.X-h.X, x.Y-h.Y) < sameFace {
				lines = append(lines, fmt.Sprintf("first a recess Ø %s, %s deep", s.m.full(x.Diameter), s.m.full(x.Depth)))
			}
		}
	}
	lines = append(lines, "lay the cross on X and Y of the centre")
	d.block(lines, TextStyle{Size: sizeLabel}, c)
	small := TextStyle{Size: sizeLabel, Bold: true}
	r := h.Diameter * 500
	up, down, left, right := s.wayNames(p)
	in := math.Max(r-8, r/2)
	d.write(up, small, spot{At: Pt{c.X + 1.5, c.Y - in}}, spot{At: Pt{c.X - 1.5, c.Y - in}, Align: AlignRight})
	d.write(down, small, spot{At: Pt{c.X + 1.5, c.Y + in}}, spot{At: Pt{c.X - 1.5, c.Y + in}, Align: AlignRight})
	d.write(left, small, spot{At: Pt{c.X - in, c.Y - 1.5}}, spot{At: Pt{c.X - in, c.Y + 4}})
	d.write(right, small, spot{At: Pt{c.X + in, c.Y - 1.5}, Align: AlignRight}, spot{At: Pt{c.X + in, c.Y + 4}, Align: AlignRight})
}

// block sets lines as one block in whichever quarter about a point has room for all of them.
func (d *drawing) block(lines []string, t TextStyle, c Pt) {
	w, h := 0.0, float64(len(lines))*lineHeight(t.Size)
	for _, l := range lines {
		w = math.Max(w, d.TextWidth(l, TextStyle{Size: t.Size, Bold: true}))
	}
	for _, off := range []float64{6, 14, 24} {
		for _, o := range []Pt{{off, off}, {-w - off, off}, {off, -h - off}, {-w - off, -h - off}} {
			at := Pt{c.X + o.X, c.Y + o.Y}
			free := true
			for i, l := range lines {
				free = free && d.clear(Pt{at.X, at.Y + float64(i)*lineHeight(t.Size) + rise(t.Size)}, l, t, true)
			}
			if !free {
				continue
			}
			for i, l := range lines {
				st := t
				st.Bold = i == 0
				d.text(Pt{at.X, at.Y + float64(i)*lineHeight(t.Size) + rise(t.Size)}, l, st)
			}
			return
		}
	}
}

// wayNames say what lies up, down, left and right of the drawing of a panel.
func (s *shop) wayNames(p panels.Panel) (up, down, left, right string) {
	name := func(key, other string) string {
		if e, ok := edgeNamed(p, key); ok && e.Meets != "" {
			return "to " + place(e.Meets)
		}
		return other
	}
	if p.Role == panels.Wall {
		return name("y1", ""), name("y0", ""), name("x0", ""), name("x1", "")
	}
	if g := datumOf(p); g.XName == "the FRONT" {
		if g.FromRight {
			return "to TOP", "to BOTTOM", "to BACK", "to FRONT"
		}
		return "to TOP", "to BOTTOM", "to FRONT", "to BACK"
	}
	return "up", "down", "left", "right"
}

// longestGauge is the longest piece of board that a gauge shows, mm: its column holds no more. What is steeper is checked by its run.
const longestGauge = 62.0

// gaugePages prints each different bevel as a full-size section to hold against the edge.
func (s *shop) gaugePages() {
	var secs []edgeSection
	var where []string
	for _, p := range s.byMark() {
		for _, e := range s.edgeSections(p) {
			e.Full = true
			if e.Rabbet.Width > 0 || e.Thick > 0.1 || e.shown() > longestGauge {
				continue
			}
			name := fmt.Sprintf("%s %s to %s", p.Mark, place(p.Name), place(e.Meets))
			known := false
			for i, o := range secs {
				if math.Abs(o.Tilt-e.Tilt) < leastTilt && math.Abs(o.Thick-e.Thick) < sameFace {
					where[i] += "; " + name
					known = true
				}
			}
			if !known {
				secs, where = append(secs, e), append(where, name)
			}
		}
	}
	if len(secs) == 0 {
		return
	}
	sh := s.gaugeSheet()
	cols := tileWindow(sh).Columns(2, 6)
	y := cols[0].Y
	for i := 0; i < len(secs); i += 2 {
		h := 0.0
		for _, e := range secs[i:min(i+2, len(secs))] {
			h = math.Max(h, e.height()+16)
		}
		if y+h > cols[0].Bottom() && y > cols[0].Y {
			sh = s.gaugeSheet()
			y = cols[0].Y
		}
		for k, e := range secs[i:min(i+2, len(secs))] {
			r := Rect{cols[k].X + 2, y, cols[k].W - 2, h}
			end := paragraph(sh, Pt{r.X, r.Y}, r.W, where[i+k], TextStyle{Size: sizeSmall})
			s.drawSection(sh, Rect{r.X, end, r.W, e.height()}, e)
		}
		y += h
	}
}

func (s *shop) gaugeSheet() *sheet {
	sh := s.book.add(partB, "Templates", portrait)
	st := TextStyle{Size: 10, Bold: true}
	sh.Text(Pt{sh.Area.X, sh.Area.Y + rise(10)}, "Bevel gauges, full size: cut out, glue to card, hold against the sawn edge", st)
	checkBars(sh)
	return sh
}
