package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// view places a panel frame on the page: k mm of paper per metre, the frame's origin at x0, y0.
type view struct{ k, x0, y0 float64 }

func (v view) at(x, y float64) Pt { return Pt{v.x0 + x*v.k, v.y0 - y*v.k} }

// drawPlate draws a rectangular panel with its edges, openings and dimensions.
func (s *shop) drawPlate(d *drawing, p panels.Panel, v view, big []opening) {
	l, w := p.Length, reach(p)
	d.shape([]Pt{v.at(0, 0), v.at(l, 0), v.at(l, w), v.at(0, w)}, &Stroke{Width: thick}, nil)
	s.innerArrises(d, p, v)
	d.refCorner(v.at(0, refY(p, w)), 1, refUp(p))
	over := innerOver(p)
	s.drawOpenings(d, p, v)
	s.plateDimensions(d, p, v, big, over)
	s.edgeNames(d, p, v, over)
	s.numberOpenings(d, p, v)
}

func refY(p panels.Panel, w float64) float64 {
	if datumOf(p).FromTop {
		return w
	}
	return 0
}

// refUp is the way, on the page, from the reference corner into the panel: -1 up, 1 down.
func refUp(p panels.Panel) float64 {
	if datumOf(p).FromTop {
		return 1
	}
	return -1
}

// refCorner fills the triangle that marks the reference corner: dx and dy point into the panel.
func (d *drawing) refCorner(at Pt, dx, dy float64) {
	const leg = 4.5
	tri := []Pt{at, {at.X + dx*leg, at.Y}, {at.X, at.Y + dy*leg}}
	d.Canvas.Path(tri, true, nil, &Fill{Grey: 0})
	d.reserve(quad{tri[0], tri[1], {at.X + dx*leg, at.Y + dy*0.1}, tri[2]})
}

// innerArrises draws the arrises of the inner face, and of the rabbets in it, where they lie off those of the outer one.
func (s *shop) innerArrises(d *drawing, p panels.Panel, v view) {
	for _, key := range []string{"y0", "y1"} {
		e, ok := edgeNamed(p, key)
		if w := rabbetWidth(p, key); w > 0 {
			y := w
			if key == "y1" {
				y = reach(p) - w
			}
			d.line(v.at(0, y), v.at(p.Length, y), thin, 2, 1)
			continue
		}
		if !ok || !bevelled(e) {
			continue
		}
		y := e.Run * sign(e.Tilt)
		if key == "y1" {
			y = reach(p) - y
		}
		d.line(v.at(0, y), v.at(p.Length, y), thin, 2, 1)
		if e.Tilt < 0 {
			edge := 0.0
			if key == "y1" {
				edge = reach(p)
			}
			d.line(v.at(0, y), v.at(0, edge), thin, 2, 1)
			d.line(v.at(p.Length, y), v.at(p.Length, edge), thin, 2, 1)
		}
	}
}

// rabbetWidth is how wide the rabbet along an edge of a wall is, 0 where the wall has none.
func rabbetWidth(p panels.Panel, key string) float64 {
	e, ok := edgeNamed(p, key)
	if !ok || e.Joint != "rabbet" || len(p.Section) < 6 {
		return 0
	}
	step, _ := edgeSection{Thick: p.Thickness, Shape: localSection(p.Section, key == "y0")}.step()
	return step.X
}

// sideOf is the key of an edge by the side of the drawing: a rectangle may have its edges named after the sides of its outline.
func sideOf(p panels.Panel, key string) string {
	for i := range p.Outline {
		if key != fmt.Sprintf("e%d", i) {
			continue
		}
		a, b := p.Outline.Edge(i)
		switch {
		case math.Abs(a.Y-b.Y) < sameFace && b.X > a.X:
			return "y0"
		case math.Abs(a.Y-b.Y) < sameFace:
			return "y1"
		case b.Y > a.Y:
			return "x1"
		}
		return "x0"
	}
	return key
}

// edgeNames writes each neighbour's name along its edge.
func (s *shop) edgeNames(d *drawing, p panels.Panel, v view, over [2]float64) {
	st := TextStyle{Size: sizeLabel, Bold: true}
	l, w := p.Length, reach(p)
	names := map[string]string{"x0": "LEFT END", "x1": "RIGHT END"}
	if p.Role != panels.Wall {
		names = map[string]string{}
	}
	for _, e := range p.Edges {
		if e.Meets != "" {
			names[sideOf(p, e.Edge)] = place(e.Meets)
		}
	}
	to := func(key string) string {
		if names[key] == "" {
			return ""
		}
		return "to " + names[key]
	}
	var up, down []spot
	for _, k := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
		u, q := v.at(l*k, w+over[1]), v.at(l*k, -over[0])
		up = append(up, spot{At: Pt{u.X, u.Y - 1.8}, Align: AlignCentre})
		down = append(down, spot{At: Pt{q.X, q.Y + 1.4 + rise(sizeLabel)}, Align: AlignCentre})
	}
	d.write(to("y1"), st, up...)
	d.write(to("y0"), st, down...)
	left := v.at(0, w/2)
	d.writeSide(to("x0"), st, left.X-1.8, left.Y, w*v.k)
	right := v.at(l, w/2)
	d.writeSide(to("x1"), st, right.X+1.4+rise(sizeLabel), right.Y, w*v.k)
}

// writeSide writes a text upright along a side of length l, smaller if the side is short.
func (d *drawing) writeSide(text string, st TextStyle, x, y, l float64) {
	var fallback []spot
	for _, size := range []float64{st.Size, 7.75, sizeLeast} {
		st.Size = size
		free := l - d.TextWidth(text, st)
		if free < 1 {
			continue
		}
		var spots []spot
		for _, k := range []float64{0, 0.3, -0.3, 0.4, -0.4, 0.46, -0.46} {
			spots = append(spots, spot{At: Pt{x, y + k*free}, Align: AlignCentre, Angle: 90})
		}
		if d.writeClear(text, st, spots...) {
			return
		}
		if fallback == nil {
			fallback = spots
		}
	}
	d.write(text, st, append(fallback, spot{At: Pt{x, y}, Align: AlignCentre, Angle: 90})...)
}

func (s *shop) drawOpenings(d *drawing, p panels.Panel, v view) {
	for _, o := range openings(p) {
		h := o.Hole
		if isStrip(p, h) {
			s.drawStrip(d, p, v, o.No)
			continue
		}
		st := &Stroke{Width: medium}
		if h.From == "inner" && h.Depth > 0 {
			st = &Stroke{Width: thin, Dash: []float64{1.5, 0.8}}
		}
		c := v.at(h.X, h.Y)
		if h.Diameter > 0 {
			d.ring(c, h.Diameter/2*v.k, st, nil)
		} else {
			var pts []Pt
			for _, q := range holeOutline(h, 24) {
				pts = append(pts, v.at(q.X, q.Y))
			}
			d.shape(pts, st, nil)
		}
		if smallHole(h) {
			continue
		}
		a, b := h.Diameter/2*v.k+2, h.Diameter/2*v.k+2
		if h.Diameter == 0 {
			a, b = h.Length/2*v.k+2, h.Width/2*v.k+2
		}
		d.line(Pt{c.X - a, c.Y}, Pt{c.X + a, c.Y}, hairline, 4, 0.8, 0.8, 0.8)
		d.line(Pt{c.X, c.Y - b}, Pt{c.X, c.Y + b}, hairline, 4, 0.8, 0.8, 0.8)
	}
}

// distinct are the openings whose place along one axis is not that of one before.
func distinct(big []opening, along func(opening) float64) []opening {
	var out []opening
	for _, o := range big {
		if !slices.ContainsFunc(out, func(b opening) bool { return math.Abs(along(b)-along(o)) < centredWithin }) {
			out = append(out, o)
		}
	}
	return out
}

func openingX(o opening) float64 { return o.X }
func openingY(o opening) float64 { return o.Y }

// levels is how many lines of dimensions stand under a panel, its overall length apart, and at its left.
func levels(p panels.Panel, big []opening) (under, left int) {
	under, left = len(distinct(big, openingX)), len(distinct(big, openingY))
	if _, h := mouthStrip(p); h > 0 {
		left++
	}
	return under, left
}

// plateDimensions draws overall length below and overall width at the right, and for each large opening its place from the
// reference corner with the closing size in parentheses; for the strip that a slot's mouth takes off an edge, what comes off and what stays.
func (s *shop) plateDimensions(d *drawing, p panels.Panel, v view, big []opening, over [2]float64) {
	l, w := p.Length, reach(p)
	st, strong := TextStyle{Size: dimSize}, TextStyle{Size: 9, Bold: true}
	g := datumOf(p)
	var all []distance
	add := func(a, b Pt, off float64, text string, t TextStyle) { all = append(all, distance{a, b, off, text, t}) }
	base := 9.5 + over[0]*v.k
	under := distinct(big, openingX)
	for i, o := range under {
		y := base + float64(i)*levelStep
		add(v.at(0, 0), v.at(o.X, 0), -y, s.m.bare(o.X), st)
		add(v.at(o.X, 0), v.at(l, 0), -y, s.closingText(d, o.X, o.CloseX, v.k, st), st)
	}
	add(v.at(0, 0), v.at(l, 0), -(base + float64(len(under))*levelStep), s.m.sloped(l), strong)
	x := 9.5
	for _, o := range distinct(big, openingY) {
		from, mid, to := v.at(0, 0), v.at(0, o.Hole.Y), v.at(0, w)
		first, second := s.m.bare(o.Y), s.closingText(d, o.Y, o.CloseY, v.k, st)
		if g.FromTop {
			first, second = second, first
		}
		add(from, mid, x, first, st)
		add(mid, to, x, second, st)
		x += levelStep
	}
	if key, h := mouthStrip(p); h > 0 {
		cut, first, second := h, h, w-h
		if key == "y1" {
			cut, first, second = w-h, w-h, h
		}
		add(v.at(0, 0), v.at(0, cut), x, s.m.sloped(first), st)
		add(v.at(0, cut), v.at(0, w), x, s.m.sloped(second), st)
	}
	add(v.at(l, 0), v.at(l, w), -14, s.m.sloped(w), strong)
	d.dimensions(all...)
}

// mouthStrip is the edge of a wall that a slot's mouth takes off, and how much of it; 0 where none does.
func mouthStrip(p panels.Panel) (key string, h float64) {
	for _, key := range []string{"y0", "y1"} {
		if e, ok := edgeNamed(p, key); ok {
			if h := mouthAt(p, e); h > 0 {
				return key, h
			}
		}
	}
	return "", 0
}

// isStrip reports whether an opening is a slot's mouth that takes off a whole edge.
func isStrip(p panels.Panel, h panels.Hole) bool { return h.Kind == "slot" && p.CutWidth > 0 }

// drawStrip draws the strip that a slot's mouth takes off an edge: its cut, hatched lightly, with a word.
func (s *shop) drawStrip(d *drawing, p panels.Panel, v view, no int) {
	key, h := mouthStrip(p)
	if h <= 0 {
		return
	}
	lo, hi, cut := 0.0, h, h
	if key == "y1" {
		lo, hi = reach(p)-h, reach(p)
		cut = lo
	}
	d.hatch([]Pt{v.at(0, lo), v.at(p.Length, lo), v.at(p.Length, hi), v.at(0, hi)}, 4)
	d.line(v.at(0, cut), v.at(p.Length, cut), medium, 4, 0.8, 0.8, 0.8)
	d.knockOut = true
	defer func() { d.knockOut = false }()
	for _, text := range []string{fmt.Sprintf("%d  port mouth: cut off last", no), fmt.Sprintf("%d  cut off last", no), fmt.Sprint(no)} {
		for _, size := range []float64{sizeLabel, sizeLeast} {
			if d.writeClear(text, TextStyle{Size: size, Bold: true}, centredOn(v.at(p.Length/2, (lo+hi)/2), 0, size)) {
				return
			}
		}
	}
	d.note(v.at(p.Length/2, (lo+hi)/2), fmt.Sprint(no), TextStyle{Size: sizeLabel, Bold: true}, 4)
}

// closingText is a closing size in parentheses, with the word CENTRED when that is so and the dimension line, at k mm per metre, has
// room for it; the table says it in any case.
func (s *shop) closingText(d *drawing, from, rest, k float64, st TextStyle) string {
	text := "(" + s.m.rest(from+rest, from) + ")"
	if long := text + " CENTRED"; math.Abs(from-rest) < centredWithin && d.TextWidth(long, st) < rest*k-2 {
		return long
	}
	return text
}

// numberOpenings writes each opening's number: inside large ones, outside small ones on the side away from their circle's centre.
func (s *shop) numberOpenings(d *drawing, p panels.Panel, v view) {
	for _, o := range openings(p) {
		c := v.at(o.Hole.X, o.Hole.Y)
		if isStrip(p, o.Hole) {
			continue
		}
		if !smallHole(o.Hole) {
			st := TextStyle{Size: 9, Bold: true}
			text := fmt.Sprint(o.No)
			if o.Hole.Diameter > 0 && o.Hole.Diameter*v.k > 18 {
				text = fmt.Sprintf("%d  Ø %s", o.No, s.m.bare(o.Hole.Diameter))
			}
			spots := []spot{{At: Pt{c.X + 1.5, c.Y - 2}}, {At: Pt{c.X - 1.5, c.Y - 2}, Align: AlignRight}, {At: Pt{c.X + 1.5, c.Y + 2 + rise(9)}}}
			if !d.writeClear(text, st, spots...) && !d.writeClear(fmt.Sprint(o.No), st, spots...) {
				d.note(c, fmt.Sprint(o.No), st, 3)
			}
			continue
		}
		s.numberSmall(d, p, v, o, c)
	}
}

func (s *shop) numberSmall(d *drawing, p panels.Panel, v view, o opening, c Pt) {
	st := TextStyle{Size: sizeLeast}
	hub := plane.Point{X: o.Hole.X, Y: o.Hole.Y}
	best := math.Inf(1)
	for _, h := range p.Holes {
		if l := math.Hypot(h.X-o.Hole.X, h.Y-o.Hole.Y); h.Kind == "driver" && l < best {
			best, hub = l, plane.Point{X: h.X, Y: h.Y}
		}
	}
	ux, uy := o.Hole.X-hub.X, -(o.Hole.Y - hub.Y)
	if l := math.Hypot(ux, uy); l > 0 {
		ux, uy = ux/l, uy/l
	} else {
		ux = 1
	}
	r := o.Hole.Diameter/2*v.k + 1.8
	half := rise(sizeLeast) / 2
	var spots []spot
	for _, turn := range []float64{0, 0.6, -0.6, 1.2, -1.2, math.Pi} {
		sin, cos := math.Sincos(turn)
		x, y := ux*cos-uy*sin, ux*sin+uy*cos
		for _, far := range []float64{0, 1.2, 2.4} {
			spots = append(spots, spot{At: Pt{c.X + x*(r+far), c.Y + y*(r+far) + half}, Align: AlignCentre})
		}
	}
	d.write(fmt.Sprint(o.No), st, spots...)
}

// mouthAt is the height of the slot's mouth that takes an edge of a wall, 0 where none does.
func mouthAt(w panels.Panel, e panels.Edge) float64 {
	if w.CutWidth <= 0 {
		return 0
	}
	for _, h := range w.Holes {
		if h.Kind == "slot" && (e.Edge == "y0") == (h.Y < w.Width/2) && strings.HasPrefix(e.Edge, "y") {
			return w.Width - w.CutWidth
		}
	}
	return 0
}
