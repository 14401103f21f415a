package render

import (
	"math"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
	body "cubby/internal/solid"
	"cubby/internal/unit"
)

// viewMargin is the room round a view for its dimensions, mm.
const viewMargin = 12.0

// Distances of the dimension lines from what they measure, mm: the space above, the box below, the gaps beside it below that.
const (
	spaceRow = 4.5
	boxRow   = -4.5
	gapRow   = -9.5
)

// leastGap is the smallest distance between box and space that gets a dimension of its own: half a millimetre, below which it prints
// as nothing at the precision of the sheet.
const leastGap = 0.0005 // m

// viewHeights are the heights that the three views may take, mm, largest first.
var viewHeights = []float64{100, 92, 84}

// standingViews draws where the box stands: from the front, in plan, and the section as seen from the right end, in no more than a
// height.
func (f *flow) standingViews(r *design.Result, d *design.Design, o Options, most float64) {
	sp := drawn(r.Request.Space)
	if sp == nil {
		return
	}
	z := standingSize(sp, d.Box)
	k := viewScale(Rect{W: f.Area.W, H: most}, z, viewMargin)
	p := o.projection(r)
	h := arrangeViews(p, f.Area, z, k, viewMargin).height
	f.Need(h + 20)
	f.Heading("How it stands in the space")
	area := f.Box(h)
	t := arrangeViews(p, area, z, k, viewMargin)
	g := onPaper(f, area)
	t.title(g, "from the front", "from above", "section, from the right")
	t.symbol(g, p, "not to scale")
	v := spaceView{g, t.front, r.Request.Units}
	v.elevation(sp, d.Box)
	v.fit = t.plan
	v.planView(sp, d.Box)
	v.fit = t.right
	v.sectionView(sp, d.Box)
	f.Styled("Thin lines: the measured space. Dashed: what must be kept clear, and openings out of sight.", TextStyle{Size: sizeSmall, Grey: 0.3})
	f.Gap(2)
}

// standingSize is the extent of space and box together.
func standingSize(sp *drawnSpace, b *panels.Box) viewSize {
	in, to := b.Spec.Outside.Bounds()
	out := sp.Section.Bounds()
	lo := plane.Point{X: math.Min(in.Y, out.Min.X), Y: math.Min(in.Z, out.Min.Y)}
	hi := plane.Point{X: math.Max(to.Y, out.Max.X), Y: math.Max(to.Z, out.Max.Y)}
	left, right := math.Min(0, in.X), math.Max(sp.Width, to.X)
	return viewSize{left: left, w: right - left, front: lo.X, d: hi.X - lo.X, floor: lo.Y, h: hi.Y - lo.Y}
}

// spaceView is a plane drawing in metres with dimensions.
type spaceView struct {
	*drawing
	fit fit
	sys unit.System
}

func (v spaceView) outline(g []plane.Point, s Stroke, fill *Fill) { v.shape(v.fit.path(g), &s, fill) }

// stretch is a distance to dimension, on a line off mm above (or below, negative) its ends.
type stretch struct {
	a, b plane.Point
	off  float64
}

// measure dimensions distances, the lines of all before the texts of all; gaps that print as nothing are left out.
func (v spaceView) measure(all ...stretch) {
	var shown []distance
	for _, z := range all {
		if l := z.b.Sub(z.a).Norm(); l >= leastGap {
			shown = append(shown, distance{v.fit.at(z.a), v.fit.at(z.b), z.off, unit.FormatLength(l, v.sys), TextStyle{Size: 8}})
		}
	}
	v.dimensions(shown...)
}

func upright(x0, y0, x1, y1 float64) []plane.Point {
	return []plane.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// elevation is the view from the front.
func (v spaceView) elevation(sp *drawnSpace, b *panels.Box) {
	lo, hi := b.Spec.Outside.Bounds()
	out := sp.Section.Bounds()
	v.outline(upright(lo.X, lo.Z, hi.X, hi.Z), boxLine, &Fill{0.9})
	v.outline(upright(0, out.Min.Y, sp.Width, out.Max.Y), spaceLine, nil)
	for _, k := range sp.Blocks {
		v.outline(upright(k.Left, k.Floor, k.Left+k.Width, k.Floor+k.Height), hiddenLine, nil)
	}
	fromFront.openings(v.drawing, v.fit, b)
	v.measure(stretch{plane.Point{X: 0, Y: out.Min.Y}, plane.Point{X: 0, Y: out.Max.Y}, -boxRow})
}

func (v spaceView) sectionView(sp *drawnSpace, b *panels.Box) {
	v.outline(sp.Section, spaceLine, nil)
	for _, k := range sp.Blocks {
		v.outline(upright(k.Front, k.Floor, k.Front+k.Depth, k.Floor+k.Height), hiddenLine, nil)
	}
	lo, hi := b.Spec.Outside.Bounds()
	if b.Spec.Axis == body.Across {
		for _, p := range b.Panels {
			if p.Role == panels.Wall && len(p.Section) > 0 {
				v.outline(p.Section, Stroke{Width: thin}, &Fill{0.82})
			}
		}
		v.outline(b.Section, boxLine, nil)
	} else {
		v.outline(upright(lo.Y, lo.Z, hi.Y, hi.Z), boxLine, &Fill{0.9})
	}
	out := sp.Section.Bounds()
	low := math.Min(lo.Z, out.Min.Y)
	right := math.Max(hi.Y, out.Max.X)
	v.measure(
		stretch{plane.Point{X: lo.Y, Y: low}, plane.Point{X: hi.Y, Y: low}, boxRow},
		stretch{plane.Point{X: out.Min.X, Y: low}, plane.Point{X: lo.Y, Y: low}, gapRow},
		stretch{plane.Point{X: right, Y: lo.Z}, plane.Point{X: right, Y: hi.Z}, boxRow},
		stretch{plane.Point{X: out.Min.X, Y: out.Max.Y}, plane.Point{X: out.Max.X, Y: out.Max.Y}, spaceRow})
}

func (v spaceView) planView(sp *drawnSpace, b *panels.Box) {
	lo, hi := b.Spec.Outside.Bounds()
	out := sp.Section.Bounds()
	v.outline(upright(lo.X, lo.Y, hi.X, hi.Y), boxLine, &Fill{0.9})
	v.outline(upright(0, out.Min.X, sp.Width, out.Max.X), spaceLine, nil)
	for _, k := range sp.Blocks {
		v.outline(upright(k.Left, k.Front, k.Left+k.Width, k.Front+k.Depth), hiddenLine, nil)
	}
	fromAbove.openings(v.drawing, v.fit, b)
	front := out.Min.X
	v.measure(
		stretch{plane.Point{X: lo.X, Y: front}, plane.Point{X: hi.X, Y: front}, boxRow},
		stretch{plane.Point{X: 0, Y: front}, plane.Point{X: lo.X, Y: front}, gapRow},
		stretch{plane.Point{X: hi.X, Y: front}, plane.Point{X: sp.Width, Y: front}, gapRow},
		stretch{plane.Point{X: 0, Y: out.Max.X}, plane.Point{X: sp.Width, Y: out.Max.X}, spaceRow})
}
