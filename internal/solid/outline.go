package solid

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/plane"
)

// figure is a plane figure of several outlines: outer ones counter-clockwise, holes clockwise.
type figure []plane.Polygon

// contains reports whether p is inside; undefined on the outline.
func (f figure) contains(p plane.Point) bool {
	in := false
	for _, loop := range f {
		in = in != loop.Contains(p)
	}
	return in
}

// combine gives f without the convex counter-clockwise figure q, or (keep) what they share, in figures of one outer outline each.
func (f figure) combine(q plane.Polygon, keep bool) []figure {
	pieces, holes := plane.Arrange(func(p plane.Point) bool { return f.contains(p) && q.Contains(p) == keep }, append(f[:len(f):len(f)], q)...)
	var out []figure
	for _, g := range pieces {
		f.begin(g)
		out = append(out, figure{g})
	}
	slices.SortStableFunc(out, func(g, h figure) int { return cmp.Compare(f.begin(g[0]), f.begin(h[0])) })
	for _, h := range holes {
		for i := range out {
			if out[i][:1].contains(h[0]) {
				out[i] = append(out[i], h)
				break
			}
		}
	}
	return out
}

// begin turns the corners of a part of f so that it begins with the one that comes first on the outlines of f, and gives where that is:
// the number of the edge and the share along it.
func (f figure) begin(g plane.Polygon) float64 {
	first, corner := math.Inf(1), 0
	for i, p := range g {
		edge := 0.0
		for _, loop := range f {
			for k, a := range loop {
				u, d := loop[(k+1)%len(loop)].Sub(a), p.Sub(a)
				if t := d.Dot(u) / u.Dot(u); t > -Near && t < 1-Near && math.Abs(u.Cross(d)) < 2*Near*u.Norm() && edge+t < first {
					first, corner = edge+t, i
				}
				edge++
			}
		}
	}
	copy(g, slices.Concat(g[corner:], g[:corner]))
	return first
}
