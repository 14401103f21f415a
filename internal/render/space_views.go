package render

import (
	"math"

	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
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

// standingViews draws where the box stands: the section as seen from the right end, and the plan from above with the front below.
func (f *flow) standingViews(r *design.Result, d *design.Design) {
	const height = 60
	if r.Request.Space == nil {
		return
	}
	f.Need(height + 14)
	f.Heading("How it stands in the space")
	cols := f.Box(height).Columns(2, 6)
	title := TextStyle{Size: sizeSmall, Bold: true}
	for i, name := range []string{"Section, seen from the right end: front at the left", "Plan, seen from above: front below"} {
		f.Text(Pt{cols[i].X, cols[i].Y + rise(title.Size)}, clipText(name, title, cols[i].W), title)
		cols[i].Y, cols[i].H = cols[i].Y+5, cols[i].H-5
	}
	sectionView(f, cols[0], r, d)
	planView(f, cols[1], r, d)
	f.Styled("Thin lines: the measured space and what must be kept clear. Not to scale.", TextStyle{Size: sizeSmall, Grey: 0.3})
	f.Gap(2)
}

// spaceView is a plane drawing in metres with dimensions.
type spaceView struct {
	*drawing
	fit fit
	sys unit.System
}

func newView(c Canvas, r Rect, pts []plane.Point, sys unit.System) spaceView {
	return spaceView{onPaper(c, r), fitInto(r.Shrink(viewMargin), pts), sys}
}

func (v spaceView) outline(g []plane.Point, s Stroke, fill *Fill) { v.shape(v.fit.path(g), &s, fill) }

// measureFrom dimensions the distance from a to b on a line off mm above (or below, negative) them; gaps that print as nothing are left out.
func (v spaceView) measureFrom(a, b plane.Point, off float64) {
	if l := math.Hypot(b.X-a.X, b.Y-a.Y); l >= leastGap {
		v.dimension(v.fit.at(a), v.fit.at(b), off, unit.FormatLength(l, v.sys), TextStyle{Size: 8})
	}
}

func upright(x0, y0, x1, y1 float64) []plane.Point {
	return []plane.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

func sectionView(c Canvas, r Rect, res *design.Result, d *design.Design) {
	sp, b := res.Request.Space, d.Box
	v := newView(c, r, append(append([]plane.Point(nil), sp.Section...), b.Section...), res.Request.Units)
	v.outline(sp.Section, spaceLine, nil)
	for _, k := range sp.Blocks {
		v.outline(upright(k.Front, k.Floor, k.Front+k.Depth, k.Floor+k.Height), behindLine, nil)
	}
	for _, p := range b.Panels {
		if p.Role == panels.Wall && len(p.Section) > 0 {
			v.outline(p.Section, Stroke{Width: thin}, &Fill{0.82})
		}
	}
	v.outline(b.Section, boxLine, nil)
	in, out := b.Section.Bounds(), sp.Section.Bounds()
	low := math.Min(in.Min.Y, out.Min.Y)
	v.measureFrom(plane.Point{X: in.Min.X, Y: low}, plane.Point{X: in.Max.X, Y: low}, boxRow)
	v.measureFrom(plane.Point{X: out.Min.X, Y: low}, plane.Point{X: in.Min.X, Y: low}, gapRow)
	right := math.Max(in.Max.X, out.Max.X)
	v.measureFrom(plane.Point{X: right, Y: in.Min.Y}, plane.Point{X: right, Y: in.Max.Y}, boxRow)
	v.measureFrom(plane.Point{X: out.Min.X, Y: out.Max.Y}, plane.Point{X: out.Max.X, Y: out.Max.Y}, spaceRow)
}

func planView(c Canvas, r Rect, res *design.Result, d *design.Design) {
	sp, b := res.Request.Space, d.Box
	in, out := b.Section.Bounds(), sp.Section.Bounds()
	space := upright(0, out.Min.X, sp.Width, out.Max.X)
	standing := upright(b.Left, in.Min.X, b.Left+b.Width, in.Max.X)
	v := newView(c, r, append(append([]plane.Point(nil), space...), standing...), res.Request.Units)
	v.outline(standing, boxLine, &Fill{0.9})
	v.outline(space, spaceLine, nil)
	v.planBlocks(sp.Blocks)
	v.planOpenings(b)
	front := out.Min.X
	v.measureFrom(plane.Point{X: b.Left, Y: front}, plane.Point{X: b.Left + b.Width, Y: front}, boxRow)
	v.measureFrom(plane.Point{X: 0, Y: front}, plane.Point{X: b.Left, Y: front}, gapRow)
	v.measureFrom(plane.Point{X: b.Left + b.Width, Y: front}, plane.Point{X: sp.Width, Y: front}, gapRow)
	v.measureFrom(plane.Point{X: 0, Y: out.Max.X}, plane.Point{X: sp.Width, Y: out.Max.X}, spaceRow)
}

func (v spaceView) planBlocks(blocks []cavity.Block) {
	for _, k := range blocks {
		v.outline(upright(k.Left, k.Front, k.Left+k.Width, k.Front+k.Depth), behindLine, nil)
	}
}

// planOpenings draws openings that look up or down: seen from above the former solid, the latter dashed.
func (v spaceView) planOpenings(b *panels.Box) {
	for _, p := range b.Panels {
		up := vec(p.Place.X).cross(vec(p.Place.Y))[2]
		if math.Abs(up) < 0.5 {
			continue
		}
		for _, h := range p.Holes {
			if h.From == "inner" || h.Kind != "driver" && h.Kind != "port" && h.Kind != "slot" {
				continue
			}
			var ring []plane.Point
			for _, q := range holeOutline(h, 48) {
				at := onPanel(p.Place, q)
				ring = append(ring, plane.Point{X: at[0], Y: at[1]})
			}
			st := holeLine
			if up < 0 {
				st = behindLine
			}
			v.outline(ring, st, nil)
		}
	}
}
