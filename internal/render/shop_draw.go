package render

import (
	"math"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// thisWayUp draws the arrow that goes on the box, from its tip down over a height.
func (d *drawing) thisWayUp(tip Pt, height float64) {
	d.line(Pt{tip.X, tip.Y + height}, Pt{tip.X, tip.Y + 8}, 0.8)
	d.Canvas.Path([]Pt{tip, {tip.X - 4, tip.Y + 9}, {tip.X + 4, tip.Y + 9}}, true, nil, &Fill{Grey: 0})
	st := TextStyle{Size: 9, Bold: true}
	d.text(Pt{tip.X + 6, tip.Y + 4}, "THIS WAY", st)
	d.text(Pt{tip.X + 6, tip.Y + 8.5}, "UP", st)
}

// holeOutline is the edge of an opening on the outer face, round ones as a polygon of n corners.
func holeOutline(h panels.Hole, n int) []plane.Point {
	if h.Diameter > 0 {
		out := make([]plane.Point, n)
		for i := range out {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			out[i] = plane.Point{X: h.X + h.Diameter/2*cos, Y: h.Y + h.Diameter/2*sin}
		}
		return out
	}
	l, w := h.Length/2, h.Width/2
	r := math.Min(h.Radius, math.Min(l, w))
	if r <= 0 {
		return []plane.Point{{X: h.X - l, Y: h.Y - w}, {X: h.X + l, Y: h.Y - w}, {X: h.X + l, Y: h.Y + w}, {X: h.X - l, Y: h.Y + w}}
	}
	var out []plane.Point
	for k, c := range []plane.Point{{X: l - r, Y: w - r}, {X: r - l, Y: w - r}, {X: r - l, Y: r - w}, {X: l - r, Y: r - w}} {
		for i := 0; i <= 6; i++ {
			sin, cos := math.Sincos(math.Pi / 2 * (float64(k) + float64(i)/6))
			out = append(out, plane.Point{X: h.X + c.X + r*cos, Y: h.Y + c.Y + r*sin})
		}
	}
	return out
}

// visibleSpot looks for a point of a piece that no nearer piece covers, starting at the middles of its faces.
func visibleSpot(all []solid, i int, f fit) (Pt, bool) {
	for _, k := range []float64{0, 0.3, 0.6, 0.85} {
		for _, fc := range all[i].faces() {
			var c plane.Point
			for _, p := range fc.Corners {
				c = c.Add(p.Mul(1 / float64(len(fc.Corners))))
			}
			for _, p := range fc.Corners {
				q := c.Add(p.Sub(c).Mul(k))
				if plane.Polygon(fc.Corners).CCW().Contains(q) && !coveredBy(all[i+1:], q) {
					return f.at(q), true
				}
			}
		}
	}
	return Pt{}, false
}

func coveredBy(nearer []solid, q plane.Point) bool {
	for _, sd := range nearer {
		for _, fc := range sd.faces() {
			if plane.Polygon(fc.Corners).CCW().Contains(q) {
				return true
			}
		}
	}
	return false
}
