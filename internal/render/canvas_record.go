package render

import (
	"fmt"
	"math"
)

// op is one drawn thing.
type op struct {
	kind   opKind
	pts    []Pt
	closed bool
	bulges []float64 // curves: one for each point
	radius float64
	stroke *Stroke
	fill   *Fill
	text   string
	style  TextStyle
	clip   Rect
}

type opKind int

const (
	opPath opKind = iota
	opCurve
	opCircle
	opText
	opClip
	opUnclip
	opGroup // text: its id and title, a line each
	opUngroup
)

// Recorder is a canvas that keeps what is drawn. The zero value is ready to use.
type Recorder struct {
	ops   []op
	clips []Rect
	texts []textBox
	ink   []inkBox
	bad   []string
	gone  []string // labels that found no place
}

// lost remembers a label that found no place.
func (c *Recorder) lost(label string) { c.gone = append(c.gone, label) }

// textBox is a text as set: the corners of its box, turned with it.
type textBox struct {
	text    string
	corners [4]Pt
}

// inkBox is the extent of a path or circle as far as it shows.
type inkBox struct {
	what string
	r    Rect
}

var _ Canvas = (*Recorder)(nil)

// Path keeps a path; see [Canvas].
func (c *Recorder) Path(pts []Pt, closed bool, s *Stroke, f *Fill) {
	if len(pts) == 0 {
		return
	}
	if !c.finite("path", pts...) {
		return
	}
	own := append([]Pt(nil), pts...)
	c.ops = append(c.ops, op{kind: opPath, pts: own, closed: closed, stroke: copyStroke(s), fill: copyFill(f)})
	c.mark("path", extent(own))
}

// Curve keeps a curve; see [Canvas].
func (c *Recorder) Curve(nodes []Node, closed bool, s *Stroke, f *Fill) {
	if len(nodes) == 0 {
		return
	}
	o := op{kind: opCurve, closed: closed, stroke: copyStroke(s), fill: copyFill(f)}
	for _, n := range nodes {
		if !c.finite("curve", n.Pt, Pt{n.Bulge, 0}) {
			return
		}
		o.pts, o.bulges = append(o.pts, n.Pt), append(o.bulges, n.Bulge)
	}
	c.ops = append(c.ops, o)
	c.mark("curve", extent(o.outline()))
}

// Group gives an id and a title to all that draw draws, for the kinds of file that have them.
func (c *Recorder) Group(id, title string, draw func()) {
	c.ops = append(c.ops, op{kind: opGroup, text: id + "\n" + title})
	draw()
	c.ops = append(c.ops, op{kind: opUngroup})
}

// Circle keeps a circle; see [Canvas].
func (c *Recorder) Circle(at Pt, r float64, s *Stroke, f *Fill) {
	if !c.finite("circle", at, Pt{r, 0}) || r <= 0 {
		return
	}
	c.ops = append(c.ops, op{kind: opCircle, pts: []Pt{at}, radius: r, stroke: copyStroke(s), fill: copyFill(f)})
	c.mark("circle", Rect{at.X - r, at.Y - r, 2 * r, 2 * r})
}

// Text keeps a text; see [Canvas].
func (c *Recorder) Text(at Pt, s string, t TextStyle) {
	if s == "" || !c.finite("text "+s, at, Pt{t.Size, t.Angle}) {
		return
	}
	s = printable(s, t.face())
	c.ops = append(c.ops, op{kind: opText, pts: []Pt{at}, text: s, style: t})
	if b := boxOf(at, s, t); c.shows(extent(b.corners[:])) {
		c.texts = append(c.texts, b)
	}
}

// TextWidth measures a text in mm; see [Canvas].
func (c *Recorder) TextWidth(s string, t TextStyle) float64 {
	return textWidth(printable(s, t.face()), t)
}

// Clip shows only what lies inside r; see [Canvas].
func (c *Recorder) Clip(r Rect, draw func()) {
	if !c.finite("clip", r.Corners()...) {
		return
	}
	if n := len(c.clips); n > 0 {
		r = intersect(r, c.clips[n-1])
	}
	c.ops = append(c.ops, op{kind: opClip, clip: r})
	c.clips = append(c.clips, r)
	draw()
	c.clips = c.clips[:len(c.clips)-1]
	c.ops = append(c.ops, op{kind: opUnclip})
}

// finite keeps coordinates that are no numbers off the page and remembers that somebody tried.
func (c *Recorder) finite(what string, pts ...Pt) bool {
	for _, p := range pts {
		if math.IsNaN(p.X+p.Y) || math.IsInf(p.X, 0) || math.IsInf(p.Y, 0) {
			c.bad = append(c.bad, fmt.Sprintf("%s at %v has no place on the page", what, p))
			return false
		}
	}
	return true
}

func (c *Recorder) shows(r Rect) bool {
	if n := len(c.clips); n > 0 {
		k := c.clips[n-1]
		return r.X < k.Right() && r.Right() > k.X && r.Y < k.Bottom() && r.Bottom() > k.Y
	}
	return true
}

func (c *Recorder) mark(what string, r Rect) {
	if n := len(c.clips); n > 0 {
		if !c.shows(r) {
			return
		}
		r = intersect(r, c.clips[n-1])
	}
	c.ink = append(c.ink, inkBox{what, r})
}

// boxOf is the box of a text, turned with it.
func boxOf(at Pt, s string, t TextStyle) textBox {
	w, em := textWidth(s, t), t.Size*pointMM
	left := 0.0
	switch t.Align {
	case AlignCentre:
		left = -w / 2
	case AlignRight:
		left = -w
	}
	sin, cos := math.Sincos(t.Angle * math.Pi / 180)
	turn := func(x, y float64) Pt { return Pt{at.X + x*cos + y*sin, at.Y - x*sin + y*cos} }
	return textBox{s, [4]Pt{
		turn(left, -textRise*em), turn(left+w, -textRise*em), turn(left+w, textDrop*em), turn(left, textDrop*em)}}
}

// overlapSlack is how far two text boxes may enter each other before it counts, mm: boxes hold a descender's depth that
// most lines do not use, and a tenth of a millimetre cannot be seen in print.
const overlapSlack = 0.1

// Faults lists what is wrong with the page: texts that overlap, things outside printable, coordinates that are no numbers.
func (c *Recorder) Faults(printable Rect) []string {
	out := append([]string(nil), c.bad...)
	for _, l := range c.gone {
		out = append(out, fmt.Sprintf("label %q found no place", l))
	}
	for i, a := range c.texts {
		if !within(extent(a.corners[:]), printable) {
			out = append(out, fmt.Sprintf("text %q leaves the printable area", a.text))
		}
		for _, b := range c.texts[i+1:] {
			if overlap(a.corners, b.corners) {
				out = append(out, fmt.Sprintf("text %q overlaps %q near %.1f, %.1f", a.text, b.text, b.corners[0].X, b.corners[0].Y))
			}
		}
	}
	for _, k := range c.ink {
		if !within(k.r, printable) {
			out = append(out, fmt.Sprintf("%s %.1f,%.1f to %.1f,%.1f leaves the printable area", k.what, k.r.X, k.r.Y, k.r.Right(), k.r.Bottom()))
		}
	}
	return out
}

// overlap tests two convex four-cornered boxes by their separating axes.
func overlap(a, b [4]Pt) bool {
	if !rectsMeet(extent(a[:]), extent(b[:])) {
		return false
	}
	for _, q := range [2][4]Pt{a, b} {
		for i := 0; i < 2; i++ {
			d := Pt{q[i+1].X - q[i].X, q[i+1].Y - q[i].Y}
			n := math.Hypot(d.X, d.Y)
			if n == 0 {
				continue
			}
			amin, amax := spread(a, d.X/n, d.Y/n)
			bmin, bmax := spread(b, d.X/n, d.Y/n)
			if amax-overlapSlack <= bmin || bmax-overlapSlack <= amin {
				return false
			}
		}
	}
	return true
}

func rectsMeet(a, b Rect) bool {
	return a.X < b.Right() && b.X < a.Right() && a.Y < b.Bottom() && b.Y < a.Bottom()
}

func spread(q [4]Pt, x, y float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range q {
		v := p.X*x + p.Y*y
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return lo, hi
}

func within(a, b Rect) bool {
	const slack = 1e-6
	return a.X >= b.X-slack && a.Y >= b.Y-slack && a.Right() <= b.Right()+slack && a.Bottom() <= b.Bottom()+slack
}

func intersect(a, b Rect) Rect {
	x, y := math.Max(a.X, b.X), math.Max(a.Y, b.Y)
	return Rect{x, y, math.Max(0, math.Min(a.Right(), b.Right())-x), math.Max(0, math.Min(a.Bottom(), b.Bottom())-y)}
}

func extent(pts []Pt) Rect {
	lo, hi := pts[0], pts[0]
	for _, p := range pts[1:] {
		lo = Pt{math.Min(lo.X, p.X), math.Min(lo.Y, p.Y)}
		hi = Pt{math.Max(hi.X, p.X), math.Max(hi.Y, p.Y)}
	}
	return Rect{lo.X, lo.Y, hi.X - lo.X, hi.Y - lo.Y}
}

func copyStroke(s *Stroke) *Stroke {
	if s == nil {
		return nil
	}
	k := *s
	k.Dash = append([]float64(nil), s.Dash...)
	return &k
}

func copyFill(f *Fill) *Fill {
	if f == nil {
		return nil
	}
	k := *f
	return &k
}
