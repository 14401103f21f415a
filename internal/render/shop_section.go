package render

import (
	"fmt"
	"math"

	"cubby/internal/panels"
)

// edgeSection is the section through one edge of a board that is not plain square.
type edgeSection struct {
	panels.Edge
	Thick  float64
	Rabbet panels.RabbetStep // none: its width is 0
	Full   bool              // drawn at 1:1 whatever its size: a gauge
}

// edgeSections are the sections of a board's edges that are bevelled or rabbeted. The rabbet round an end has none: it is one setting.
func (s *shop) edgeSections(p panels.Panel) []edgeSection {
	var out []edgeSection
	for i, e := range p.Edges {
		g := edgeSection{Edge: e, Thick: p.Thickness}
		for _, r := range p.Rabbets {
			if r.Edge == i && p.Role != panels.End {
				g.Rabbet = r
			}
		}
		if bevelled(e) || g.Rabbet.Width > 0 {
			out = append(out, g)
		}
	}
	return out
}

// sectionScales are the scales that an edge section is drawn at, largest first; 1:1 and 1:2 are what boards of 6 to 50 mm come to.
var sectionScales = []float64{5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02}

const (
	thinBoard    = 0.010 // m; thinner ones are drawn larger than they are
	sectionWide  = 45.0  // mm, the column of an edge section
	sectionBoard = 11.0  // mm, thickest board as drawn
	sectionRun   = 12.0  // mm, longest run as drawn
	sectionShown = 24.0  // mm of board drawn behind the long arris
	sectionHead  = 10.5  // mm above the board for title and face names
	sectionFoot  = 9.5   // mm below the board for the run and face names
)

func (e edgeSection) scale() float64 {
	if e.Full {
		return 1
	}
	for _, k := range sectionScales {
		if k > 1 && e.Thick >= thinBoard {
			continue
		}
		if e.Thick*1000*k <= sectionBoard && math.Max(e.Run, e.Rabbet.Width)*1000*k <= sectionRun {
			return k
		}
	}
	return sectionScales[len(sectionScales)-1]
}

func (e edgeSection) height() float64 { return e.Thick*1000*e.scale() + sectionHead + sectionFoot }

// shown is how much of the board is drawn behind the long arris, mm of paper.
func (e edgeSection) shown() float64 {
	const behind = 12.0 // the run of a steep gauge and a piece of the face behind it
	if e.Full {
		return math.Max(sectionShown, e.Run*1000+behind)
	}
	return sectionShown
}

// sectionBlockOf is the block of an edge section.
func (s *shop) sectionBlockOf(e edgeSection) block {
	return block{sectionWide, e.height(), func(c Canvas, at Pt) { s.drawSection(c, Rect{at.X, at.Y, sectionWide, e.height()}, e) }}
}

// scaleText prints a scale: 1:5, 2:1, 1:2.5.
func scaleText(k float64) string {
	if k >= 1 {
		return fmt.Sprintf("%g:1", k)
	}
	return fmt.Sprintf("1:%g", math.Round(10/k)/10)
}

// drawSection draws an edge section with the edge at the right and the outer face up: tilt from square, run, both faces, and
// which of them is the long one; or the width and depth of its rabbet.
func (s *shop) drawSection(c Canvas, r Rect, e edgeSection) {
	d := onPaper(c, r)
	k := e.scale() * 1000
	left, top := r.X+2, r.Y+sectionHead
	right, bottom := left+e.shown(), top+e.Thick*k
	short := math.Max(left, right-e.Run*k)
	outer, inner := right, short
	if e.Tilt < 0 {
		outer, inner = short, right
	}
	pts := []Pt{{left, bottom}, {left, top}, {outer, top}}
	if w := e.Rabbet; w.Width > 0 {
		pts = append(pts, Pt{right, bottom - w.Depth*k}, Pt{right - w.Width*k, bottom - w.Depth*k}, Pt{right - w.Width*k, bottom})
	} else {
		pts = append(pts, Pt{inner, bottom})
	}
	d.Canvas.Path(pts, true, nil, &Fill{Grey: 0.96})
	d.hatch(pts, 2.2)
	d.breakLine(pts[0], pts[1])
	for i := 1; i < len(pts); i++ {
		d.line(pts[i], pts[(i+1)%len(pts)], thick)
	}
	title := "Edge to " + place(e.Meets) + "  " + scaleText(e.scale())
	if e.Full {
		title = "full size"
	}
	strong := TextStyle{Size: sizeLabel, Bold: true}
	d.text(Pt{r.X, r.Y + rise(sizeLabel)}, clipText(title, strong, r.W), strong)
	low := bottom + 1.2 + rise(sizeLabel)
	d.text(Pt{left, top - 1.2}, "OUT", TextStyle{Size: sizeLabel})
	d.text(Pt{left, low}, "IN", TextStyle{Size: sizeLabel})
	if w := e.Rabbet; w.Width > 0 {
		d.text(Pt{left + 5, low}, s.m.small(w.Width)+" wide, "+s.m.small(w.Depth)+" deep", strong)
		return
	}
	s.labelBevel(d, e, Pt{outer, top}, Pt{inner, bottom})
}

// breakLine is the zigzag where a drawing stops short.
func (d *drawing) breakLine(a, b Pt) {
	pts := []Pt{a}
	for i, k := range []float64{0.42, 0.46, 0.54, 0.58} {
		off := []float64{0, -1.6, 1.6, 0}[i]
		pts = append(pts, Pt{a.X + (b.X-a.X)*k + off, a.Y + (b.Y-a.Y)*k})
	}
	d.Canvas.Path(append(pts, b), false, &Stroke{Width: thin}, nil)
}

// labelBevel writes tilt and run of a bevel between its arrises, and which face is the long one.
func (s *shop) labelBevel(d *drawing, e edgeSection, outer, inner Pt) {
	strong := TextStyle{Size: sizeLabel, Bold: true}
	long, short, way := outer, inner, 1.0
	if e.Tilt < 0 {
		long, short, way = inner, outer, -1
	}
	foot := Pt{long.X, short.Y}
	d.line(long, foot, thin, 1.2, 0.8)
	mark := "LONG FACE"
	d.text(Pt{d.area.X + 10, long.Y + map[bool]float64{true: -1.2, false: 1.2 + rise(sizeLabel)}[way > 0]}, mark, strong)
	y := foot.Y + way*3.2
	for _, x := range []float64{short.X, foot.X} {
		d.line(Pt{x, short.Y}, Pt{x, y + way}, hairline)
	}
	d.line(Pt{short.X - 3, y}, Pt{foot.X + 3, y}, thin)
	d.arrow(Pt{short.X, y}, 1, 0)
	d.arrow(Pt{foot.X, y}, -1, 0)
	text := "run " + s.m.small(e.Run)
	if !d.write(text, strong, spot{At: Pt{foot.X + 3.6, y + 1}}, spot{At: Pt{short.X - 3.6, y + 1}, Align: AlignRight}, spot{At: Pt{d.area.Right(), y + 1 + way*3.4}, Align: AlignRight}) {
		d.lose(text)
	}
	mid := (outer.Y + inner.Y) / 2
	if !d.write(degrees(e.Tilt), strong, spot{At: Pt{long.X + 1.2, mid + 1.2}}, spot{At: Pt{d.area.Right(), mid + 1.2}, Align: AlignRight}) {
		d.lose(degrees(e.Tilt))
	}
}
