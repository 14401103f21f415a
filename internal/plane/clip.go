package plane

import "math"

// ClipHalfPlane returns the part of a counter-clockwise polygon on the side of l to which its normal points (N.p >= C),
// largest piece first; nil when there is none.
func (g Polygon) ClipHalfPlane(l Line) []Polygon {
	if len(g) < 3 || l.N == (Point{}) {
		return nil
	}
	size := g.Bounds().Diagonal()
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range g {
		lo, hi = math.Min(lo, l.Distance(p)), math.Max(hi, l.Distance(p))
	}
	if lo >= -Slack*size {
		return []Polygon{lowestFirst(g)}
	}
	if hi <= Slack*size {
		return nil
	}
	c := g.Bounds().Min
	foot := c.Sub(l.N.Mul(l.Distance(c)))
	along := l.N.Left().Mul(2 * size)
	a, b := foot.Sub(along), foot.Add(along)
	s := append(strokes(g), stroke{a, b, l})
	pieces, _ := bySize(outlines(s, size, func(p Point) bool { return l.Distance(p) >= 0 && g.encloses(p) }))
	return pieces
}

// Subtract returns what is left of a counter-clockwise polygon without the inside of r, largest piece first; nil when
// nothing is left. When r stands free inside, so that the rest would have a hole, the rest is cut in two along the whole
// length of that side of r which leaves the largest piece.
func (g Polygon) Subtract(r Rect) []Polygon {
	if len(g) < 3 {
		return nil
	}
	if r.Area() == 0 {
		return []Polygon{lowestFirst(g)}
	}
	pieces, holes := g.subtract(r)
	if len(holes) == 0 {
		return pieces
	}
	cuts := []Line{
		{Point{1, 0}, r.Min.X}, {Point{1, 0}, r.Max.X},
		{Point{0, 1}, r.Min.Y}, {Point{0, 1}, r.Max.Y},
	}
	var best []Polygon
	for _, l := range cuts {
		var all []Polygon
		for _, half := range []Line{l, {l.N.Mul(-1), -l.C}} {
			for _, h := range g.ClipHalfPlane(half) {
				p, _ := h.subtract(r)
				all = append(all, p...)
			}
		}
		all, _ = bySize(all)
		if len(all) > 0 && (best == nil || all[0].Area() > best[0].Area()) {
			best = all
		}
	}
	return best
}

func (g Polygon) subtract(r Rect) (pieces, holes []Polygon) {
	return Arrange(func(p Point) bool {
		return !(p.X > r.Min.X && p.X < r.Max.X && p.Y > r.Min.Y && p.Y < r.Max.Y) && g.encloses(p)
	}, g, r.Polygon())
}

// Intersect returns the common part of two polygons, largest piece first; nil when there is none. Either may be
// non-convex.
func (g Polygon) Intersect(h Polygon) []Polygon {
	if len(g) < 3 || len(h) < 3 {
		return nil
	}
	a, b := g.Bounds(), h.Bounds()
	if a.Max.X <= b.Min.X || b.Max.X <= a.Min.X || a.Max.Y <= b.Min.Y || b.Max.Y <= a.Min.Y {
		return nil
	}
	pieces, _ := Arrange(func(p Point) bool { return g.encloses(p) && h.encloses(p) }, g, h)
	return pieces
}

// IntersectArea returns the area that two polygons have in common; either may be non-convex.
func (g Polygon) IntersectArea(h Polygon) float64 {
	var sum float64
	for _, p := range g.Intersect(h) {
		sum += p.Area()
	}
	return sum
}
