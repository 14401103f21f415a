package render

import (
	"fmt"
	"math"
	"slices"
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
	ops  []op
	clip *Rect // what shows; nil: all
	bad  []string
	gone []string // labels that found no place
}

// lost remembers a label that found no place.
func (c *Recorder) lost(label string) { c.gone = append(c.gone, label) }

var _ Canvas = (*Recorder)(nil)

// Path keeps a path; see [Canvas].
func (c *Recorder) Path(pts []Pt, closed bool, s *Stroke, f *Fill) {
	if len(pts) == 0 || !c.finite("path", pts...) {
		return
	}
	c.ops = append(c.ops, op{kind: opPath, pts: slices.Clone(pts), closed: closed,
		stroke: copyStroke(s), fill: copyFill(f)})
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
}

// Text keeps a text; see [Canvas].
func (c *Recorder) Text(at Pt, s string, t TextStyle) {
	if s == "" || !c.finite("text "+s, at, Pt{t.Size, t.Angle}) {
		return
	}
	c.ops = append(c.ops, op{kind: opText, pts: []Pt{at}, text: printable(s, t.face()), style: t})
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
	was := c.clip
	if was != nil {
		r = intersect(r, *was)
	}
	c.clip = &r
	c.ops = append(c.ops, op{kind: opClip, clip: r})
	draw()
	c.clip = was
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

func rectsMeet(a, b Rect) bool {
	return a.X < b.Right() && b.X < a.Right() && a.Y < b.Bottom() && b.Y < a.Bottom()
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
	return &Stroke{s.Width, slices.Clone(s.Dash), s.Grey}
}

func copyFill(f *Fill) *Fill {
	if f == nil {
		return nil
	}
	return &Fill{f.Grey}
}
