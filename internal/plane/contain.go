package plane

import (
	"math"
	"slices"
)

// Distance returns how far p is from the outline, whether inside or outside.
func (g Polygon) Distance(p Point) float64 {
	d := math.Inf(1)
	for i := range g {
		a, b := g.Edge(i)
		d = min(d, footOn(a, b, p).Sub(p).Norm())
	}
	return d
}

// Contains reports whether p is inside; the outline, within Slack, counts as inside.
func (g Polygon) Contains(p Point) bool {
	if len(g) < 3 {
		return false
	}
	return g.encloses(p) || g.Distance(p) <= Slack*g.Bounds().Diagonal()
}

// encloses counts the edges to the right of p; a point on the outline may be told either way.
func (g Polygon) encloses(p Point) bool {
	in := false
	for i, a := range g {
		b := g[(i+1)%len(g)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// ContainsPolygon reports whether the whole of h lies in g; touching outlines, within Slack, count as inside.
func (g Polygon) ContainsPolygon(h Polygon) bool {
	if len(g) < 3 || len(h) == 0 {
		return false
	}
	for i := range h {
		a, b := h.Edge(i)
		cuts := []float64{0, 1}
		for j := range g {
			c, d := g.Edge(j)
			cuts = appendCuts(cuts, a, b, c, d)
		}
		slices.Sort(cuts)
		for k, t := range cuts {
			if !g.Contains(a.Add(b.Sub(a).Mul(t))) {
				return false
			}
			if k > 0 && !g.Contains(a.Add(b.Sub(a).Mul((t+cuts[k-1])/2))) {
				return false
			}
		}
	}
	return true
}

// appendCuts adds where, in parts of ab, the line cd crosses the segment ab and where the ends of cd are nearest to it.
func appendCuts(cuts []float64, a, b, c, d Point) []float64 {
	u, v := b.Sub(a), d.Sub(c)
	n := u.Dot(u)
	if n == 0 {
		return cuts
	}
	if det := u.Cross(v); det != 0 {
		t, s := c.Sub(a).Cross(v)/det, c.Sub(a).Cross(u)/det
		if t > 0 && t < 1 && s >= -Slack && s <= 1+Slack {
			cuts = append(cuts, t)
		}
	}
	for _, q := range [2]Point{c, d} {
		if t := q.Sub(a).Dot(u) / n; t > 0 && t < 1 {
			cuts = append(cuts, t)
		}
	}
	return cuts
}
