package render

import (
	"fmt"
	"math"

	"cubby/internal/plane"
)

// tubeBlock draws the port's tube: its legs and the elbow between them along the centre line, with figures, and a table of all ports.
func (s *shop) tubeBlock(c *cards) {
	port := s.box.Spec.Port
	if port == nil {
		return
	}
	c.Sub("Port tube: cut to length, not over")
	seat := s.box.Ports[0]
	if len(seat.Legs) > 1 {
		s.tubeDrawing(c, seat.Legs, seat.Bend, port.Outside)
	}
	t := table{Size: 9, Columns: []column{{Head: "Port", Width: 12}, {Head: "In", Width: 26}, {Head: "Bore", Width: 22, Align: AlignRight}, {Head: "Outside", Width: 22, Align: AlignRight}, {Head: "Centre line", Width: 24, Align: AlignRight},
		{Head: "Legs", Width: 40}, {Head: "Inner mouth"}}}
	for i, p := range s.box.Ports {
		legs := "straight"
		if len(p.Legs) > 1 {
			legs = ""
			for k, l := range p.Legs {
				if k > 0 {
					legs += " + "
				}
				legs += s.m.sloped(l)
			}
			legs += ", elbow radius " + s.m.sloped(p.Bend)
		}
		mouth := fmt.Sprintf("%s of air to the %s", s.m.bare(p.FreeEnd), p.Facing)
		if p.Saddle > 0 {
			mouth += "; saddle within " + s.m.bare(p.Saddle)
		}
		t.Rows = append(t.Rows, cells(fmt.Sprint(i+1), s.markedName(p.Panel), s.m.sloped(port.Bore), s.m.sloped(port.Outside), s.m.sloped(p.Length), legs, mouth))
	}
	c.Table(t)
	if seat.Bend > 0 {
		c.Styled(fmt.Sprintf("Elbow: a bought part of bore %s and centre-line radius %s; measure it, and cut the legs so that the centre line stays %s.", s.m.sloped(port.Bore), s.m.sloped(seat.Bend), s.m.sloped(seat.Length)), TextStyle{Size: sizeSmall})
	}
}

// tubeDrawing draws the first two legs of a tube with the elbow between them, in its own plane.
func (s *shop) tubeDrawing(c *cards, legs []float64, bend, outside float64) {
	r := c.Box(52)
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
	d.dimensions(distance{f.at(at(0, -half)), f.at(at(legs[0], -half)), -4, s.m.sloped(legs[0]), st},
		distance{f.at(at(legs[0]+bend+half, bend)), f.at(at(legs[0]+bend+half, bend+legs[1])), -5, s.m.sloped(legs[1]), st})
	d.noteWhere(f.at(at(0, 0)), "outer mouth", st, 4, anywhere)
	d.noteWhere(f.at(at(legs[0]+bend, bend+legs[1])), "inner mouth", st, 4, anywhere)
	d.noteWhere(f.at(at(legs[0]+bend*math.Sqrt2/2, bend-bend*math.Sqrt2/2)), "R "+s.m.sloped(bend), st, 6, anywhere)
}
