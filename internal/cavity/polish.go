package cavity

import (
	"slices"

	"cubby/internal/plane"
)

// polish moves corners and walls of g while it stays inside whole, stays buildable and gains air; each round tries steps
// half as long as the one before, from 16 mm to a tenth of a millimetre.
func (s *shop) polish(g, whole plane.Polygon, rounds int) plane.Polygon {
	best := s.air(g)
	g, best = s.swap(g, whole, best)
	g = slices.Clone(g)
	room := slices.Clone(g)
	for step := 0.016; step > 0.0001; step /= 2 {
		for range rounds {
			gained := false
			for i := range g {
				for m := range moves {
					h := move(room, g, i, m, step)
					if h == nil {
						continue
					}
					if v := s.air(h); v > best*(1+1e-6) && s.builds(h) && s.stays(h, whole, i) {
						g, room, best, gained = h, g, v, true
					}
				}
			}
			if !gained {
				break
			}
		}
	}
	return g
}

// swap moves corners to corners of whole while that gains air: of a convex section the best corners are among them.
func (s *shop) swap(g, whole plane.Polygon, best float64) (plane.Polygon, float64) {
	n := len(whole)
	for round, gained := 0, true; gained && round < 12; round++ {
		gained = false
		for i := range g {
			near := nearest(whole, g[i])
			j := (i + 1) % len(g)
			nearJ := nearest(whole, g[j])
			for k := -2; k <= 2; k++ {
				for m := -1; m <= 1; m++ {
					if k == 0 && m == 0 {
						continue
					}
					h := slices.Clone(g)
					h[i] = whole[((near+k)%n+n)%n]
					if m != 0 {
						h[j] = whole[((nearJ+m)%n+n)%n]
					}
					if v := s.air(h); v > best*(1+1e-7) && s.builds(h) && s.stays(h, whole, i) && s.stays(h, whole, j) {
						g, best, gained = h, v, true
					}
				}
			}
		}
	}
	return g, best
}

func nearest(g plane.Polygon, p plane.Point) int {
	k := 0
	for i := range g {
		if g[i].Sub(p).Norm() < g[k].Sub(p).Norm() {
			k = i
		}
	}
	return k
}

// moves is the number of ways to move a corner.
const moves = 12

// move gives, in room, the section with corner i moved in one of the ways, or with the wall that begins there moved in
// parallel; nil when that is no section.
func move(room, g plane.Polygon, i, way int, step float64) plane.Polygon {
	n := len(g)
	j := (i + 1) % n
	prev, next := g[(i+n-1)%n], g[j]
	u, v := g[i].Sub(prev).Unit(), next.Sub(g[i]).Unit()
	h := append(room[:0], g...)
	if way == moves-1 { // the wall from i to the next, moved outward along its neighbours
		wall := plane.LineThrough(g[i], g[j]).Offset(-step)
		p, ok := plane.LineThrough(prev, g[i]).Meet(wall)
		q, ok2 := plane.LineThrough(g[j], g[(j+1)%n]).Meet(wall)
		if !ok || !ok2 || p.Sub(g[i]).Norm() > 10*step || q.Sub(g[j]).Norm() > 10*step {
			return nil
		}
		h[i], h[j] = p, q
		return h
	}
	d := [...]plane.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, u, u.Mul(-1), v, v.Mul(-1), u.Sub(v), u.Left().Mul(-1), v.Left().Mul(-1)}[way]
	h[i] = g[i].Add(d.Mul(step))
	return h
}

// stays tells whether the walls of h round corner i, those that a move changes, lie in whole, and h is still simple.
func (s *shop) stays(h, whole plane.Polygon, i int) bool {
	n := len(h)
	for k := -1; k <= 1; k++ {
		a, b := h.Edge(i + k)
		if !holdsEdge(whole, a, b) {
			return false
		}
	}
	return n == 3 || h.IsSimple()
}

// grown is g with the one corner of whole more that gains most air, between two of its own; nil when none gains.
func (s *shop) grown(g, whole plane.Polygon) plane.Polygon {
	var best plane.Polygon
	most := s.air(g) * (1 + gain)
	room := make(plane.Polygon, 0, len(g)+1)
	for i := range g {
		a, b := g.Edge(i)
		for _, p := range whole {
			if b.Sub(a).Cross(p.Sub(a)) >= -1e-9 { // not outside this wall
				continue
			}
			h := append(append(append(room[:0], g[:i+1]...), p), g[i+1:]...)
			if v := s.air(h); v > most && s.builds(h) && holdsEdge(whole, a, p) && holdsEdge(whole, p, b) && h.IsSimple() {
				best, most = slices.Clone(h), v
			}
		}
	}
	return best
}
