package render

import (
	"fmt"
	"math"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// edgeSection is the section through one edge of a wall: S from the outer arris into the board, D from the outer face inward, metres.
type edgeSection struct {
	Edge  panels.Edge
	Thick float64
	Shape []plane.Point // X = S, Y = D
	Full  bool          // drawn at 1:1 whatever its size: a gauge
}

// edgeSections are the sections of the edges of a wall or of a slot's board that are not plain square: bevelled or rabbeted, upper edge of the drawing first.
func edgeSections(p panels.Panel) []edgeSection {
	var out []edgeSection
	for _, key := range []string{"y1", "y0"} {
		e, ok := edgeNamed(p, key)
		if !ok || !bevelled(e) && e.Joint != "rabbet" {
			continue
		}
		g := edgeSection{Edge: e, Thick: p.Thickness}
		switch {
		case len(p.Section) >= 4:
			g.Shape = localSection(p.Section, key == "y0")
		case p.Role.OfPort():
			g.Shape = []plane.Point{{}, {X: p.Width}, {X: p.Width, Y: p.Thickness}, {X: e.Run * sign(e.Tilt), Y: p.Thickness}}
		default:
			continue
		}
		out = append(out, g)
	}
	return out
}

// localSection turns a wall's section into distances from its outer arris: at the corner where the wall ends, or starts.
func localSection(g plane.Polygon, atEnd bool) []plane.Point {
	o0, o1 := g[0], g[1]
	u := o1.Sub(o0).Unit()
	m := u.Left()
	out := make([]plane.Point, len(g))
	for i, c := range g {
		s := c.Sub(o0).Dot(u)
		if atEnd {
			s = o1.Sub(c).Dot(u)
		}
		out[i] = plane.Point{X: s, Y: c.Sub(o0).Dot(m)}
	}
	return out
}

// clipFar keeps the part of a section with S up to far.
func clipFar(pts []plane.Point, far float64) []plane.Point {
	var out []plane.Point
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		if a.X <= far {
			out = append(out, a)
		}
		if (a.X <= far) != (b.X <= far) {
			k := (far - a.X) / (b.X - a.X)
			out = append(out, plane.Point{X: far, Y: a.Y + k*(b.Y-a.Y)})
		}
	}
	return out
}

// sectionScales are the scales that an edge section is drawn at, largest first; 1:1 and 1:2 are what boards of 6 to 50 mm come to.
var sectionScales = []float64{5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02}

const (
	thinBoard    = 0.010 // m; thinner ones are drawn larger than they are
	sectionWide  = 54.0  // mm, the column of an edge section
	sectionBoard = 14.0  // mm, thickest board as drawn
	sectionRun   = 18.0  // mm, longest run as drawn
	sectionShown = 38.0  // mm of board drawn behind the long arris
	sectionHead  = 11.0  // mm above the board for title and face names
	sectionFoot  = 12.0  // mm below the board for the run and face names
)

func (e edgeSection) scale() float64 {
	if e.Full {
		return 1
	}
	for _, k := range sectionScales {
		if k > 1 && e.Thick >= thinBoard {
			continue
		}
		if e.Thick*1000*k <= sectionBoard && e.Edge.Run*1000*k <= sectionRun {
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
		return math.Max(sectionShown, e.Edge.Run*1000+behind)
	}
	return sectionShown
}

// scaleText prints a scale: 1:5, 2:1, 1:2.5.
func scaleText(k float64) string {
	if k >= 1 {
		return fmt.Sprintf("%g:1", k)
	}
	return fmt.Sprintf("1:%g", math.Round(10/k)/10)
}

// drawSection draws an edge section with the edge at the right and the outer face up: tilt from square, run, both faces, and
// which of them is the long one.
func (s *shop) drawSection(c Canvas, r Rect, e edgeSection) {
	d := onPaper(c, r)
	k := e.scale() * 1000
	far := 0.0
	for _, p := range e.Shape {
		far = math.Min(far, p.X)
	}
	shown := e.shown() / k // board shown behind the long arris
	left := r.X + 3
	right := left + e.shown() // page x of the long arris
	top := r.Y + sectionHead
	at := func(p plane.Point) Pt { return Pt{right + (far-p.X)*k, top + p.Y*k} }
	shape := clipFar(e.Shape, shown+far)
	pts := make([]Pt, len(shape))
	for i, p := range shape {
		pts[i] = at(p)
	}
	d.Canvas.Path(pts, true, nil, &Fill{Grey: 0.96})
	d.hatch(pts, 2.2)
	for i, p := range shape {
		q := shape[(i+1)%len(shape)]
		if p.X > shown+far-1e-9 && q.X > shown+far-1e-9 {
			d.breakLine(pts[i], pts[(i+1)%len(pts)])
			continue
		}
		d.line(pts[i], pts[(i+1)%len(pts)], thick)
	}
	head := TextStyle{Size: sizeLabel, Bold: true}
	title := "Edge to " + place(e.Edge.Meets) + "  " + scaleText(e.scale())
	if e.Full {
		title = "full size"
	}
	d.text(Pt{r.X, r.Y + rise(sizeLabel)}, title, head)
	if e.Edge.Joint == "rabbet" {
		s.labelRabbet(d, e, at, left, top, k)
		return
	}
	s.labelBevel(d, e, at, left, top, k)
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

func (s *shop) labelBevel(d *drawing, e edgeSection, at func(plane.Point) Pt, left, top, k float64) {
	small, strong := TextStyle{Size: 8}, TextStyle{Size: 8, Bold: true}
	outer, inner := at(plane.Point{}), at(plane.Point{X: e.Edge.Run * sign(e.Edge.Tilt), Y: e.Thick})
	bottom := top + e.Thick*k
	long, foot := outer, Pt{outer.X, bottom}
	short := inner
	if e.Edge.Tilt < 0 {
		long, foot, short = inner, Pt{inner.X, top}, outer
	}
	d.line(long, foot, thin, 1.2, 0.8)
	out := "OUT"
	in := "IN"
	d.text(Pt{left, top - 1.2}, out, small)
	d.text(Pt{left, bottom + 1.2 + rise(8)}, in, small)
	if e.Edge.Tilt > 0 {
		s.pointLong(d, Pt{left + 12, top}, -1)
	} else {
		s.pointLong(d, Pt{left + 12, bottom}, 1)
	}
	d.line(short, Pt{short.X, foot.Y + sign(e.Edge.Tilt)*4.5}, hairline)
	d.line(foot, Pt{foot.X, foot.Y + sign(e.Edge.Tilt)*4.5}, hairline)
	y := foot.Y + sign(e.Edge.Tilt)*3.5
	text := "run " + s.m.sloped(e.Edge.Run)
	w := d.TextWidth(text, strong)
	d.line(Pt{short.X - 3, y}, Pt{foot.X + 3, y}, thin)
	d.arrow(Pt{short.X, y}, 1, 0)
	d.arrow(Pt{foot.X, y}, -1, 0)
	d.write(text, strong,
		spot{At: Pt{foot.X + 3.6, y + 1}},
		spot{At: Pt{math.Min(foot.X, d.area.Right()-w/2) - 1, y + sign(e.Edge.Tilt)*2.4 + 1}, Align: AlignRight},
		spot{At: Pt{short.X - 3.6, y + 1}, Align: AlignRight},
		spot{At: Pt{foot.X, y + 4.6}, Align: AlignRight})
	mid := (top + bottom) / 2
	d.write(degrees(e.Edge.Tilt), TextStyle{Size: 9, Bold: true}, spot{At: Pt{long.X + 1.2, mid + 1.2}}, spot{At: Pt{d.area.Right(), mid + 1.2}, Align: AlignRight})
}

// pointLong writes LONG FACE off a face with a pointer to it; dir is -1 above, +1 below.
func (s *shop) pointLong(d *drawing, at Pt, dir float64) {
	st := TextStyle{Size: 8, Bold: true}
	d.arrow(at, 0, -dir)
	y := at.Y + dir*2.6
	d.line(Pt{at.X, at.Y + dir*2}, Pt{at.X, y}, thin)
	d.line(Pt{at.X, y}, Pt{at.X + 1.5, y}, thin)
	d.text(Pt{at.X + 2, y + rise(8)/2}, "LONG FACE", st)
}

func sign(v float64) float64 { return math.Copysign(1, v) }

func (s *shop) labelRabbet(d *drawing, e edgeSection, at func(plane.Point) Pt, left, top, k float64) {
	small := TextStyle{Size: 8}
	bottom := top + e.Thick*k
	d.text(Pt{left, top - 1.2}, "OUT", small)
	d.text(Pt{left, bottom + 1.2 + rise(8)}, "IN", small)
	if p, ok := e.step(); ok {
		d.write(fmt.Sprintf("rabbet %s wide × %s deep", s.m.sloped(p.X), s.m.sloped(e.Thick-p.Y)), TextStyle{Size: 8, Bold: true},
			spot{At: Pt{left + 7, bottom + 1.2 + rise(8)}}, spot{At: Pt{left, bottom + 5.5 + rise(8)}})
		return
	}
	d.write("edge goes into a rabbet", TextStyle{Size: 8, Bold: true}, spot{At: Pt{left + 7, bottom + 1.2 + rise(8)}})
}

// step is the inner corner of a rabbet's step, the one that is neither on a face nor on the end of the board; ok is false without one.
func (e edgeSection) step() (p plane.Point, ok bool) {
	for _, p := range e.Shape {
		if p.Y > e.Thick*0.02 && p.Y < e.Thick*0.98 && p.X > 1e-6 && p.X < e.Thick*8 {
			return p, true
		}
	}
	return p, false
}
