package plane

import "slices"

// Drawn gives a counter-clockwise polygon with every side moved inward by d (negative: outward), corner for corner: the lines run on
// until they meet, so corners stay sharp. Where sides vanish it crosses itself.
func (g Polygon) Drawn(d float64) Polygon {
	out := make(Polygon, len(g))
	for i := range g {
		z, _ := g.Edge(i - 1)
		a, b := g.Edge(i)
		before, own := LineThrough(z, a).Offset(d), LineThrough(a, b).Offset(d)
		var ok bool
		if out[i], ok = before.Meet(own); !ok { // in one line
			out[i] = a.Add(own.N.Mul(d))
		}
	}
	return out
}

// Inset returns what is left of a counter-clockwise polygon when every side moves inward by d (0 or more), largest piece first, nil
// when nothing is left: what is no nearer to the outline than d, and outside the sharp corner that the moved sides make before a
// reflex one.
func (g Polygon) Inset(d float64) []Polygon {
	if len(g) < 3 {
		return nil
	}
	along, drawn := []Polygon{g}, g.Drawn(d)
	var sharp []Polygon
	for i := range g {
		a, b := g.Edge(i)
		in := LineThrough(a, b).N.Mul(d)
		along = append(along, Polygon{a, b, b.Add(in), a.Add(in)})
		if g.turnAt(i) < 0 {
			z, _ := g.Edge(i - 1)
			sharp = append(sharp, Polygon{a, a.Add(in), drawn[i], a.Add(LineThrough(z, a).N.Mul(d))})
		}
	}
	pieces, _ := Arrange(func(p Point) bool {
		return g.encloses(p) && g.Distance(p) >= d && !slices.ContainsFunc(sharp, func(s Polygon) bool { return s.encloses(p) })
	}, append(along, sharp...)...)
	return pieces
}
