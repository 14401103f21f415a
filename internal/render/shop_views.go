package render

import (
	"fmt"

	"cubby/internal/plane"
)

// outsideViews draws the finished box from three sides with the sizes that must not be exceeded.
func (s *shop) outsideViews(f *flow) {
	const heading, margin, least, most = 14.0, 13.0, 60.0, 125.0
	lo, hi := bounds(s.box.Section)
	z := viewSize{left: s.box.Left, w: s.box.Width, front: lo.X, d: hi.X - lo.X, floor: lo.Y, h: hi.Y - lo.Y}
	room := f.Left() - heading
	if room < least {
		room = most
	}
	area := Rect{f.Area.X, f.Y, f.Area.W, min(room, most)}
	k := 1000 * s.scaleFor(z.w+z.d, z.d+z.h, area.W-4*margin, area.H-4*margin)
	p := s.o.projection(s.r)
	h := arrangeViews(p, area, z, k, margin).height
	f.Need(h + heading)
	f.Heading("Outside of the finished box, bare wood")
	r := f.Box(h)
	t := arrangeViews(p, r, z, k, margin)
	d := onPaper(f, r)
	t.title(d, "from the front", "from above", "from the right")
	t.symbol(d, p, "scale "+scaleText(k/1000))
	s.outsideFront(d, t.front)
	s.outsidePlan(d, t.plan)
	s.outsideEnd(d, t.right)
}

// rim draws the rectangle round a view.
func (s *shop) rim(d *drawing, f fit, pts []plane.Point) {
	d.shape(f.path(pts), &Stroke{Width: thick}, nil)
}

func (s *shop) outsideFront(d *drawing, f fit) {
	lo, hi := bounds(s.box.Section)
	l, r := s.box.Left, s.box.Left+s.box.Width
	fromFront.arrises(d, f, s.box)
	s.rim(d, f, upright(l, lo.Y, r, hi.Y))
	fromFront.openings(d, f, s.box)
	d.dimension(f.at(plane.Point{X: l, Y: lo.Y}), f.at(plane.Point{X: r, Y: lo.Y}), -7, s.m.full(s.box.Width), TextStyle{Size: 9, Bold: true})
}

func (s *shop) outsidePlan(d *drawing, f fit) {
	lo, hi := bounds(s.box.Section)
	l, r := s.box.Left, s.box.Left+s.box.Width
	fromAbove.arrises(d, f, s.box)
	s.rim(d, f, upright(l, lo.X, r, hi.X))
	fromAbove.openings(d, f, s.box)
	d.write("FRONT", TextStyle{Size: sizeLabel, Bold: true}, centredBelow(f.at(plane.Point{X: (l + r) / 2, Y: lo.X})))
}

func centredBelow(p Pt) spot {
	return spot{At: Pt{p.X, p.Y + 1.5 + rise(sizeLabel)}, Align: AlignCentre}
}

func (s *shop) outsideEnd(d *drawing, f fit) {
	lo, hi := bounds(s.box.Section)
	pts := f.path(s.box.Section)
	s.rim(d, f, s.box.Section)
	fromRight.openings(d, f, s.box)
	strong := TextStyle{Size: 9, Bold: true}
	d.dimension(f.at(plane.Point{X: lo.X, Y: lo.Y}), f.at(plane.Point{X: hi.X, Y: lo.Y}), -7, s.m.full(hi.X-lo.X), strong)
	d.dimension(f.at(plane.Point{X: hi.X, Y: lo.Y}), f.at(plane.Point{X: hi.X, Y: hi.Y}), -7, s.m.full(hi.Y-lo.Y), strong)
	numberAround(d, pts, func(i int) string { return fmt.Sprint(i + 1) })
}
