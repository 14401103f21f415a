package render

import (
	"io"
	"math"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// svgMargin is the paper round a flat, mm: lines at the edge keep their width.
const svgMargin = 5.0

// WriteSVG writes a flat as an SVG of true size, with the strokes of the printed sheet: one group for each layer.
func (f *Flat) WriteSVG(w io.Writer, sys unit.System) error {
	wide, high := f.size.X*mmPerMetre+2*svgMargin, f.size.Y*mmPerMetre+2*svgMargin
	var c Recorder
	f.draw(&c, sys, high)
	return SVG(w, wide, high, f.Title, &c)
}

// draw draws the layers one after the other; the flat's y axis starts svgMargin above the lower edge.
func (f *Flat) draw(c *Recorder, sys unit.System, high float64) {
	at := func(p plane.Point) Pt { return Pt{svgMargin + p.X*mmPerMetre, high - svgMargin - p.Y*mmPerMetre} }
	for _, l := range f.layers() {
		s := l.stroke()
		words := l.words(sys)
		c.Group(words, words, func() {
			for _, t := range f.tracks {
				if t.layer != l {
					continue
				}
				nodes := make([]Node, len(t.bends))
				for i, b := range t.bends {
					nodes[i] = Node{at(b.Point), b.bulge}
				}
				c.Group(t.title, t.title, func() { c.Curve(nodes, true, s, nil) })
			}
			for _, h := range f.drills {
				if h.layer == l {
					c.Group(h.title, h.title, func() { c.Circle(at(h.at), h.r*mmPerMetre, s, nil) })
				}
			}
			for _, t := range f.texts {
				if t.layer == l {
					c.Text(at(t.baseline()), t.text, TextStyle{Size: t.high * mmPerMetre / textRise / pointMM, Align: AlignCentre, Angle: t.angle * 180 / math.Pi})
				}
			}
		})
	}
}

// stroke is how a layer is drawn, by the line widths of the printed sheet.
func (l layer) stroke() *Stroke {
	s := &Stroke{Width: medium}
	switch l.op {
	case opCut, opSheet:
		s.Width = thick
	case opBevel, opMark, opWaste:
		s.Width = thin
	}
	if l.inside || l.op == opWaste {
		s.Dash = []float64{3, 1.5}
	}
	return s
}
