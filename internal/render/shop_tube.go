package render

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// tubeItem draws the port's tube: its legs and the elbow between them along the centre line, with figures, and a table of all ports.
func (s *shop) tubeItem(width float64) item {
	port, seat := s.box.Spec.Port, s.box.Ports[0]
	head := TextStyle{Size: 12, Bold: true}
	parts := []block{{width, 6.5, func(c Canvas, at Pt) { c.Text(Pt{at.X, at.Y + rise(12)}, "Port tube: cut to length, not over", head) }}}
	if len(seat.Legs) > 1 {
		parts = append(parts, block{width, 52, func(c Canvas, at Pt) {
			s.tubeDrawing(c, Rect{at.X, at.Y, width, 52}, seat.Legs, seat.Bend, port.Outside)
		}})
	}
	t := table{Columns: []column{{Head: "Port", Width: 10}, {Head: "In", Width: 24}, {Head: "Bore", Width: 20, Align: AlignRight}, {Head: "Outside", Width: 20, Align: AlignRight}, {Head: "Centre line", Width: 22, Align: AlignRight},
		{Head: "Legs", Width: 46}, {Head: "Inner mouth"}}}
	for i, p := range s.box.Ports {
		legs := "straight"
		if len(p.Legs) > 1 {
			legs = s.m.sloped(p.Legs[0])
			for k, l := range p.Legs[1:] {
				legs += ", then " + s.m.sloped(l) + " towards " + s.towards(p.Directions[k+1])
			}
			legs += "; elbow radius " + s.m.sloped(p.Bend)
		}
		mouth := fmt.Sprintf("%s of air to the %s", s.m.bare(p.FreeEnd), p.Facing)
		if p.Saddle > 0 {
			mouth += "; saddle within " + s.m.bare(p.Saddle)
		}
		t.Rows = append(t.Rows, cells(fmt.Sprint(i+1), s.markedName(p.Panel), s.m.sloped(port.Bore), s.m.sloped(port.Outside), s.m.sloped(p.Length), legs, mouth))
	}
	parts = append(parts, s.tableBlock(t, width))
	if seat.Bend > 0 {
		parts = append(parts, textBlock(width, []string{fmt.Sprintf("Elbow: a bought part of bore %s and centre-line radius %s; measure it, and cut the legs so that the centre line stays %s.", s.m.sloped(port.Bore), s.m.sloped(seat.Bend), s.m.sloped(seat.Length))}))
	}
	return item{block: stack(parts...)}
}

// towards names the face of the box that a direction points to.
func (s *shop) towards(dir r3.Vec) string {
	best, name := 0.0, ""
	for _, p := range s.withRole(panels.Wall, panels.End) {
		if k := toVec(p.Place.N).dot(toVec(dir)); k > best+1e-9 {
			best, name = k, place(p.Name)
		}
	}
	return name
}

// tubeDrawing draws the first two legs of a tube with the elbow between them, in its own plane.
func (s *shop) tubeDrawing(c Canvas, r Rect, legs []float64, bend, outside float64) {
	d := onPaper(c, r)
	long, up := legs[0]+bend, legs[1]+bend
	k := s.scaleFor(long+outside, up+outside, r.W-70, 40) * 1000
	f := fit{scale: k, x0: r.X + 35 + outside/2*k, y0: r.Bottom() - 6 - outside/2*k}
	half := outside / 2
	at := func(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }
	arc := func(radius float64) []plane.Point {
		var out []plane.Point
		for i := 0; i <= 12; i++ {
			a := math.Pi / 2 * float64(i) / 12
			out = append(out, at(legs[0]+radius*math.Sin(a), bend-radius*math.Cos(a)))
		}
		return out
	}
	shape := append([]plane.Point{at(0, -half)}, arc(bend+half)...)
	shape = append(shape, at(legs[0]+bend+half, bend+legs[1]), at(legs[0]+bend-half, bend+legs[1]))
	inner := arc(math.Max(0, bend-half))
	for i := len(inner) - 1; i >= 0; i-- {
		shape = append(shape, inner[i])
	}
	shape = append(shape, at(0, half))
	d.shape(f.path(shape), &Stroke{Width: 0.5}, &Fill{Grey: 0.945})
	axis := append([]plane.Point{at(0, 0)}, arc(bend)...)
	axis = append(axis, at(legs[0]+bend, bend+legs[1]))
	pts := f.path(axis)
	for i := 1; i < len(pts); i++ {
		d.line(pts[i-1], pts[i], thin)
	}
	st := TextStyle{Size: dimSize}
	d.dimensions(distance{f.at(at(0, -half)), f.at(at(legs[0], -half)), -4, s.m.bare(legs[0]), st},
		distance{f.at(at(legs[0]+bend+half, bend)), f.at(at(legs[0]+bend+half, bend+legs[1])), -5, s.m.bare(legs[1]), st})
	d.noteWhere(f.at(at(0, 0)), "outer mouth", st, 4, anywhere)
	d.noteWhere(f.at(at(legs[0]+bend, bend+legs[1])), "inner mouth", st, 4, anywhere)
	d.noteWhere(f.at(at(legs[0]+bend*math.Sqrt2/2, bend-bend*math.Sqrt2/2)), "R "+s.m.sloped(bend), st, 6, anywhere)
}
