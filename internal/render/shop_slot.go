package render

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/panels"
)

// Room round a cut through the box for the names of its pieces, mm.
const (
	cutSide = 24.0
	cutOver = 9.0
	cutHead = 6.0  // for its title
	cutTall = 52.0 // the tallest cut as drawn
	cutLow  = 50.0 // and where another stands under it
)

// slotSection draws how the boards of a slot stand in the box, before the boards themselves.
func (s *shop) slotSection(c *cards) {
	v := s.box.Slot
	if v == nil || len(s.box.Ports) == 0 {
		return
	}
	const worth = 1.3 // what a larger scale must gain for one cut under the other
	cuts := []panels.SlotCut{v.Along}
	if len(v.Across.Boards) > 0 {
		cuts = append(cuts, v.Across)
	}
	places := s.cutRow(cuts, c.Area.W)
	if under := s.cutStack(cuts, c.Area.W); under[0].k > worth*places[0].k {
		places = under
	}
	high := 0.0
	for _, p := range places {
		high = math.Max(high, p.Bottom())
	}
	c.room(high + 20)
	c.Sub("How the slot's boards stand: cuts through the box")
	r := c.Box(high)
	for i, cut := range cuts {
		p := places[i]
		s.drawCut(c, Rect{r.X + p.X, r.Y + p.Y, p.W, p.H}, cut, p.k*1000, [...]string{"along the air", "across the air"}[i])
	}
	c.Gap(1)
	c.Styled(s.slotText(), TextStyle{Size: sizeSmall})
	c.Gap(4)
}

// cutPlace is where a cut is drawn, with the room round it, and its scale.
type cutPlace struct {
	Rect
	k float64 // mm of paper per mm
}

func (s *shop) cutPlace(c panels.SlotCut, x, y, k float64) cutPlace {
	size := c.Bounds()
	return cutPlace{Rect{x, y, size.Width()*1000*k + 2*cutSide, size.Height()*1000*k + cutHead + 2*cutOver}, k}
}

// cutRow puts cuts side by side, at the largest common scale.
func (s *shop) cutRow(cuts []panels.SlotCut, width float64) (places []cutPlace) {
	w, h := 0.0, 0.0
	for _, c := range cuts {
		size := c.Bounds()
		w, h = w+size.Width(), math.Max(h, size.Height())
	}
	k, x := s.scaleFor(w, h, width-2*cutSide*float64(len(cuts)), cutTall), 0.0
	for _, c := range cuts {
		places = append(places, s.cutPlace(c, x, 0, k))
		x = places[len(places)-1].Right()
	}
	return places
}

// cutStack puts cuts one under the other, each at its own scale.
func (s *shop) cutStack(cuts []panels.SlotCut, width float64) (places []cutPlace) {
	y := 0.0
	for _, c := range cuts {
		size := c.Bounds()
		k := s.scaleFor(size.Width(), size.Height(), width-2*cutSide, cutLow)
		places = append(places, s.cutPlace(c, 0, y, k))
		y = places[len(places)-1].Bottom()
	}
	return places
}

// drawCut draws one cut: the box's own boards with wide hatching, the slot's with close hatching.
func (s *shop) drawCut(c Canvas, r Rect, cut panels.SlotCut, k float64, title string) {
	d := onPaper(c, r)
	lo := cut.Bounds().Min
	f := fit{scale: k, x0: r.X + cutSide - lo.X*k, y0: r.Bottom() - cutOver + lo.Y*k}
	d.text(Pt{r.X, r.Y + rise(sizeLabel)}, title+", "+cut.View+", "+scaleText(k/1000), TextStyle{Size: sizeLabel, Bold: true})
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
	var beside, between []distance
	for _, z := range cut.Sizes {
		k := distance{f.at(z.A), f.at(z.B), 5, s.m.sloped(z.B.Sub(z.A).Norm()), TextStyle{Size: dimSize}}
		if z.Beside {
			beside = append(beside, k)
			continue
		}
		k.t.Bold = true
		between = append(between, k)
		d.arrows(k.a, k.b)
	}
	d.dimensions(beside...)
	for _, k := range between {
		d.gauge(k)
	}
	for i := 1; i < len(air); i++ { // its names keep off the air's middle, its figures may break it
		d.ink = append(d.ink, take(segmentQuad(air[i-1], air[i], hairline)))
	}
	s.nameCut(d, cut, f)
}

// gauge writes a distance between two points in the air, upright beside the middle of its line where there is room.
func (d *drawing) gauge(k distance) {
	m := Pt{(k.a.X + k.b.X) / 2, (k.a.Y + k.b.Y) / 2}
	half := rise(k.t.Size) / 2
	d.knockOut = true
	defer func() { d.knockOut = false }()
	for _, size := range []float64{k.t.Size, sizeLeast} {
		k.t.Size = size
		if d.writeClear(k.text, k.t, spot{At: Pt{m.X + 1, m.Y + half}}, spot{At: Pt{m.X - 1, m.Y + half}, Align: AlignRight}) {
			return
		}
	}
	if !d.figure(k.a, k.b, k.text, k.t) {
		d.note(m, k.text, k.t, 3)
	}
}

// nameCut writes the marks and names of the pieces, each once.
func (s *shop) nameCut(d *drawing, cut panels.SlotCut, f fit) {
	named := map[string]bool{}
	st := TextStyle{Size: sizeLabel, Bold: true}
	for i, pieces := range [][]panels.CutPiece{cut.Boards, cut.Walls} {
		for _, p := range pieces {
			if named[p.Panel] {
				continue
			}
			named[p.Panel] = true
			text := s.markedName(p.Panel)
			if i == 1 {
				text = strings.TrimSuffix(text, p.Panel) + place(p.Panel)
			}
			at := f.at(p.Shape.Centroid())
			if !d.noteWhere(at, text, st, 6, anywhere) {
				d.note(at, strings.Fields(text)[0], st, 4)
			}
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
	t := fmt.Sprintf("Dash-dotted: middle of the air, %s long from the outer face of the %s to the inner end%s. Its floor is the inner face of the %s. Bold: clear heights, and the %s of air from the inner end to the %s.",
		s.m.full(seat.Length), place(seat.Panel), legs, place(seat.Along), s.m.full(seat.FreeEnd), seat.Facing)
	return t + " Boards are drawn at their finished lengths, between arrises."
}
