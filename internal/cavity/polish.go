package cavity

import (
	"math"
	"slices"

	"cubby/internal/plane"
)

// polish moves corners and walls of g while it stays inside whole, stays buildable and gains air; each round tries steps
// half as long as the one before, from 16 mm to a tenth of a millimetre.
func (s *shop) polish(g, whole plane.Polygon, rounds int) plane.Polygon {
	best := s.inner(g)
	g = slices.Clone(g)
	h := slices.Clone(g) // g with a move
	for step := 0.016; step > 0.0001; step /= 2 {
		for range rounds {
			gained := false
			for i := range g {
				j := (i + 1) % len(g)
				ways := waysOf(g, i)
				for m := range moves {
					if m < len(ways) {
						h[i] = g[i].Add(ways[m].Mul(step))
					} else if !moveWall(h, g, i, step) {
						continue
					}
					if v := s.inner(h); v > best*(1+1e-6) && s.builds(h) && s.stays(h, whole, i) {
						g[i], g[j], best, gained = h[i], h[j], v, true
						ways = waysOf(g, i)
					}
					h[i], h[j] = g[i], g[j]
				}
			}
			if !gained {
				break
			}
		}
	}
	return g
}

const (
	nearlySquare = math.Pi / 180 // rad off level or plumb, as of a step that was taped as two readings 1 mm apart
	squareCost   = 0.002         // share of the air that squaring a wall may take
)

// squared is g with those walls level or plumb that are nearly so, each moved in until it is, where that costs next to nothing: a
// craftsman cuts no bevel of a third of a degree.
func (s *shop) squared(g plane.Polygon) plane.Polygon {
	n := len(g)
	for i := range g {
		a, b := g.Edge(i)
		in := b.Sub(a).Unit().Left()
		off := min(math.Abs(in.X), math.Abs(in.Y))
		if off < 1e-9 || off > nearlySquare {
			continue
		}
		to := plane.Line{N: plane.Point{X: math.Round(in.X), Y: math.Round(in.Y)}}
		to.C = max(to.N.Dot(a), to.N.Dot(b))
		p, ok := plane.LineThrough(g.Edge((i + n - 1) % n)).Meet(to)
		q, ok2 := plane.LineThrough(g.Edge((i + 1) % n)).Meet(to)
		if !ok || !ok2 {
			continue
		}
		h := slices.Clone(g)
		h[i], h[(i+1)%n] = p, q
		if s.builds(h) && s.inner(h) >= s.inner(g)*(1-squareCost) {
			g = h
		}
	}
	return g
}

// best gives the best that comes of polishing sections of whole.
func (s *shop) best(list []candidate, whole plane.Polygon) plane.Polygon {
	var best plane.Polygon
	for _, c := range list {
		if g := s.polish(s.swing(c.g, whole), whole, 2); best == nil || s.inner(g) > s.inner(best) {
			best = g
		}
	}
	return best
}

func nearest(g plane.Polygon, p plane.Point) int {
	k := 0
	for i := range g {
		if d, e := g[i].Sub(p), g[k].Sub(p); d.Dot(d) < e.Dot(e) {
			k = i
		}
	}
	return k
}

// moves is the number of ways to move a corner: along each of waysOf, and with the wall that begins there.
const moves = 12

// waysOf are the ways to move corner i alone: level and upright, along its walls and square to them.
func waysOf(g plane.Polygon, i int) [moves - 1]plane.Point {
	n := len(g)
	u, v := g[i].Sub(g[(i+n-1)%n]).Unit(), g[(i+1)%n].Sub(g[i]).Unit()
	return [...]plane.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, u, u.Mul(-1), v, v.Mul(-1), u.Sub(v), u.Left().Mul(-1), v.Left().Mul(-1)}
}

// moveWall moves in h the wall that begins at corner i of g outward along its neighbours; false when that is no section.
func moveWall(h, g plane.Polygon, i int, step float64) bool {
	n := len(g)
	j := (i + 1) % n
	prev, next := g[(i+n-1)%n], g[(j+1)%n]
	wall := plane.LineThrough(g[i], g[j]).Offset(-step)
	p, ok := plane.LineThrough(prev, g[i]).Meet(wall)
	q, ok2 := plane.LineThrough(g[j], next).Meet(wall)
	if !ok || !ok2 || p.Sub(g[i]).Norm() > 10*step || q.Sub(g[j]).Norm() > 10*step {
		return false
	}
	h[i], h[j] = p, q
	return true
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

// touches is how near to a corner a wall that swings comes to rest, m.
const touches = 4e-5

// grown is g with the one corner of whole more that gains most air, between two of its own: outside a wall, or on one where
// whole touches it, so that the wall may bend inward there; nil when none gains.
func (s *shop) grown(g, whole plane.Polygon) plane.Polygon {
	var best plane.Polygon
	most := s.inner(g) * (1 + gain)
	room := make(plane.Polygon, 0, len(g)+1)
	for i := range g {
		a, b := g.Edge(i)
		l := plane.LineThrough(a, b)
		for _, p := range whole {
			out := l.Distance(p)
			if out > touches {
				continue
			}
			h := append(append(append(room[:0], g[:i+1]...), p), g[i+1:]...)
			if !s.builds(h) || !holdsEdge(whole, a, p) || !holdsEdge(whole, p, b) || !h.IsSimple() {
				continue
			}
			if out > -touches {
				h = s.polish(h, whole, 1)
			}
			if v := s.inner(h); v > most {
				best, most = slices.Clone(h), v
			}
		}
	}
	return best
}

// swing turns walls about what they touch while that gains air: one end slides along its neighbour's line, the other goes as
// far out as the walls stay inside whole, along its own neighbour's line or towards a corner of whole.
func (s *shop) swing(g, whole plane.Polygon) plane.Polygon {
	const places, rounds = 8, 3
	best := s.inner(g)
	h := make(plane.Polygon, len(g))
	for range rounds {
		gained := false
		for i := range g {
			for _, step := range [2]int{1, -1} {
				n := len(g)
				j := (i + step + n) % n
				prev, next := g[(i-step+n)%n], g[(j+step+n)%n]
				u := g[i].Sub(prev).Unit()
				ways := outward(whole, next, g[j])
				most := reach(whole, prev, u)
				try := func(along float64) bool {
					found, least := false, g.Area()*0.93
					for _, v := range ways {
						copy(h, g)
						h[i] = prev.Add(u.Mul(along))
						// the area grows evenly on the way out: only beyond where it is enough is worth a look
						h[j] = next
						none := h.Area()
						h[j] = next.Add(v.dir.Mul(v.far))
						all := h.Area()
						if all <= least || s.inner(h) <= best {
							continue
						}
						if h[j] = farthest(whole, h[i], next, v.dir, max(0, v.far*(least-none)/(all-none)), v.far); h[j] == next {
							continue
						}
						if a := s.inner(h); a > best*(1+1e-6) && s.builds(h) && s.stays(h, whole, i) && s.stays(h, whole, j) {
							g, best, gained, found = slices.Clone(h), a, true, true
						}
					}
					return found
				}
				at := g[i].Sub(prev).Norm()
				for k := range places + 1 {
					if a := s.least + (most-s.least)*float64(k)/places; try(a) {
						at = a
					}
				}
				for step := (most - s.least) / places / 2; step > 5e-4; step /= 2 {
					if try(at - step) {
						at -= step
					} else if try(at + step) {
						at += step
					}
				}
			}
		}
		if !gained {
			break
		}
	}
	return g
}

// A ray is a way out of a corner and how far it may go.
type ray struct {
	dir plane.Point
	far float64
}

// outward gives the ways from a corner towards another and towards the corners of whole near that way.
func outward(whole plane.Polygon, from, to plane.Point) []ray {
	d := to.Sub(from).Unit()
	list := []ray{{d, reach(whole, from, d)}}
	for _, p := range whole {
		e := p.Sub(from)
		if e.Norm() < 1e-6 {
			continue
		}
		if e = e.Unit(); e.Dot(d) > 0.9 && math.Abs(e.Cross(d)) > 1e-3 && holdsEdge(whole, from, p) {
			list = append(list, ray{e, reach(whole, from, e)})
		}
	}
	return list
}

// farthest is the point farthest from a corner along a way, no nearer than near, that a wall from a joins inside whole; the
// corner itself when there is none.
func farthest(whole plane.Polygon, a, from, d plane.Point, near, far float64) plane.Point {
	lo, hi := near, far
	if !holdsEdge(whole, a, from.Add(d.Mul(lo))) {
		return from
	}
	for hi-lo > touches/2 {
		mid := (lo + hi) / 2
		if holdsEdge(whole, a, from.Add(d.Mul(mid))) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return from.Add(d.Mul(lo))
}

// reach is how far whole goes on from p, which lies in it, along the unit vector d.
func reach(whole plane.Polygon, p, d plane.Point) float64 {
	var few [16]float64
	ends := few[:0]
	for i := range whole {
		a, b := whole.Edge(i)
		u, v := d.Cross(a.Sub(p)), d.Cross(b.Sub(p))
		if u == v || u > 1e-9 && v > 1e-9 || u < -1e-9 && v < -1e-9 {
			continue
		}
		if t := d.Dot(a.Sub(p)) + d.Dot(b.Sub(a))*u/(u-v); t > 1e-9 {
			ends = append(ends, t)
		}
	}
	slices.Sort(ends)
	far := 0.0
	for _, t := range ends {
		if !holdsEdge(whole, p, p.Add(d.Mul(t-1e-9))) {
			break
		}
		far = t - 1e-9
	}
	return far
}
