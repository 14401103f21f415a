package render

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

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

// bigOpenings are those that get dimension lines of their own; with more than three the table alone has the figures.
func bigOpenings(p panels.Panel) []opening {
	var out []opening
	for _, o := range openings(p) {
		if !smallHole(o.Hole) && !isStrip(p, o.Hole) && cmp.Or(o.Hole.Diameter, o.Hole.Length) >= dimensionedFrom {
			out = append(out, o)
		}
	}
	return out[:min(len(out), 3)]
}

// dimensionedFrom is the least size of an opening that gets dimension lines; smaller ones stand in the table.
const dimensionedFrom = 0.02 // m
