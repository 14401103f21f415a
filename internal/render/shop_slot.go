package render

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/panels"
)

// Room round a cut through the box for the names of its pieces, mm.
const (
	cutSide = 11.0
	cutOver = 8.0
	cutHead = 5.0  // for its title
	cutTall = 78.0 // the tallest cut as drawn
)

var cutTitle = TextStyle{Size: sizeLabel, Bold: true}

// slotItem draws how the boards of a slot stand in the box: cuts along the air and across it, side by side.
func (s *shop) slotItem(width, share float64) item {
	v := s.box.Slot
	cuts := []panels.SlotCut{v.Along}
	if len(v.Across.Boards) > 0 {
		cuts = append(cuts, v.Across)
	}
	w, h := 0.0, 0.0
	for _, c := range cuts {
		size := c.Bounds()
		w, h = w+size.Width(), math.Max(h, size.Height())
	}
	k := s.scaleFor(w, h, width-2*cutSide*float64(len(cuts)), cutTall*share)
	var drawn []block
	for i, cut := range cuts {
		size := cut.Bounds()
		title := [...]string{"Slot, along the air, ", "Slot, across the air, "}[i] + cut.View + ", " + scaleText(k)
		b := block{math.Max(size.Width()*1000*k+2*cutSide, textWidth(title, cutTitle)+3), size.Height()*1000*k + cutHead + 2*cutOver, nil}
		b.draw = func(c Canvas, at Pt) { s.drawCut(c, Rect{at.X, at.Y, b.w, b.h}, cut, k*1000, title) }
		drawn = append(drawn, b)
	}
	return item{block: stack(append(rows(width, drawn), textBlock(width, []string{s.slotText()}))...)}
}

// drawCut draws one cut: the box's own boards with wide hatching, the slot's with close hatching.
func (s *shop) drawCut(c Canvas, r Rect, cut panels.SlotCut, k float64, title string) {
	d := onPaper(c, r)
	lo := cut.Bounds().Min
	f := fit{scale: k, x0: r.X + cutSide - lo.X*k, y0: r.Bottom() - cutOver + lo.Y*k}
	d.text(Pt{r.X, r.Y + rise(sizeLabel)}, title, cutTitle)
	for i, pieces := range [][]panels.CutPiece{cut.Walls, cut.Boards} {
		for _, p := range pieces {
			pts := f.path(p.Shape)
			d.Canvas.Path(pts, true, nil, &Fill{Grey: 1})
			d.hatch(pts, [...]float64{2.4, 1.1}[i])
			d.shape(pts, &Stroke{Width: [...]float64{medium, thick}[i]}, nil)
		}
	}
	axis := Stroke{Width: hairline, Dash: []float64{4, 0.8, 0.8, 0.8}}
	air := f.path(cut.Air)
	d.Canvas.Path(air, false, &axis, nil)
	if n := len(air); n > 1 {
		u := unitTo(air[n-2], air[n-1])
		d.arrow(air[n-1], u.X, u.Y)
	}
	for _, z := range cut.Sizes {
		if z.B.Sub(z.A).Norm() < sameFace { // they touch
			continue
		}
		k := distance{f.at(z.A), f.at(z.B), 5, s.m.sloped(z.B.Sub(z.A).Norm()), TextStyle{Size: dimSize, Bold: true}}
		d.gauge(k)
	}
	for i := 1; i < len(air); i++ { // its names keep off the air's middle, its figures may break it
		d.ink = append(d.ink, take(segmentQuad(air[i-1], air[i], hairline)))
	}
	s.nameCut(d, cut, f)
}

// gauge draws a distance between two points in the air and writes it in a gap of its line where that is level, else upright beside its
// middle, where there is room. The gap is no larger than the figure, so that it takes nothing off the boards.
func (d *drawing) gauge(k distance) {
	m := Pt{(k.a.X + k.b.X) / 2, (k.a.Y + k.b.Y) / 2}
	level, long := math.Abs(k.b.Y-k.a.Y) < 0.1, math.Abs(k.b.X-k.a.X)-2*arrowLong
	for _, size := range []float64{k.t.Size, sizeLeast} {
		k.t.Size, k.t.Align = size, AlignCentre
		w := d.TextWidth(k.text, k.t)
		for _, x := range []float64{m.X, m.X + 1 + w/2, m.X - 1 - w/2} {
			if at := (Pt{x, m.Y + rise(size)/2}); level == (x == m.X) && (!level || w < long) && d.clear(at, k.text, k.t, true) {
				d.arrows(k.a, k.b)
				d.Canvas.Path(extent([]Pt{{x - w/2 - 0.3, at.Y + 0.1}, {x + w/2 + 0.3, at.Y - rise(size) - 0.1}}).Corners(), true, nil, &Fill{Grey: 1})
				d.text(at, k.text, k.t)
				return
			}
		}
	}
	d.arrows(k.a, k.b)
	k.t.Align = AlignLeft
	d.knockOut = true
	defer func() { d.knockOut = false }()
	if !d.figure(k.a, k.b, k.text, k.t) {
		d.note(m, k.text, k.t, 3)
	}
}

// nameCut writes the marks of the pieces, each once.
func (s *shop) nameCut(d *drawing, cut panels.SlotCut, f fit) {
	named := map[string]bool{}
	st := TextStyle{Size: sizeLabel, Bold: true}
	for _, pieces := range [][]panels.CutPiece{cut.Boards, cut.Walls} {
		for _, p := range pieces {
			if named[p.Panel] {
				continue
			}
			named[p.Panel] = true
			d.note(f.at(p.Shape.Centroid()), s.markOf(p.Panel), st, 4)
		}
	}
}

// slotText says in words what the cut shows.
func (s *shop) slotText() string {
	seat := s.box.Ports[0]
	legs := ""
	if len(seat.Legs) > 1 {
		var l []string
		for _, v := range seat.Legs {
			l = append(l, s.m.bare(v))
		}
		legs = " (" + strings.Join(l, " + ") + ")"
	}
	return fmt.Sprintf("Dash-dotted: middle of the air, %s long from the outer face of the %s to the inner end%s. Its floor is the inner face of the %s. Bold: the clear height, the same all along, the clear width, and the %s of air from the inner end to the %s.",
		s.m.full(seat.Length), place(seat.Panel), legs, place(seat.Along), s.m.full(seat.FreeEnd), seat.Facing)
}
