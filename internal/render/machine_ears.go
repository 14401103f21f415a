package render

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/plane"
)

// triangles cuts a polygon with holes into triangles by clipping ears, and gives them by the numbers of their corners, the
// loops counted one after the other. The first loop is counter-clockwise, the others clockwise inside it. Every corner is
// used, so that faces that share an edge share its corners.
// Eberly, Triangulation by ear clipping, Geometric Tools, 2002 (method from memory).
func triangles(loops []plane.Polygon) [][3]int {
	var pts []plane.Point
	var outer []int
	var holes [][]int
	for k, l := range loops {
		ids := make([]int, len(l))
		for i := range l {
			ids[i] = len(pts)
			pts = append(pts, l[i])
		}
		if k == 0 {
			outer = ids
		} else {
			holes = append(holes, ids)
		}
	}
	right := func(ids []int) int {
		best := 0
		for i, v := range ids {
			if pts[v].X > pts[ids[best]].X {
				best = i
			}
		}
		return best
	}
	slices.SortStableFunc(holes, func(a, b []int) int { return cmp.Compare(pts[b[right(b)]].X, pts[a[right(a)]].X) })
	for _, h := range holes {
		outer = bridge(pts, outer, h, right(h))
	}
	return clipEars(pts, outer)
}

// bridge joins a hole to the polygon round it by a double edge from the hole's rightmost corner.
func bridge(pts []plane.Point, ring, hole []int, start int) []int {
	m := pts[hole[start]]
	best, bestX := -1, math.Inf(1)
	for i := range ring {
		a, b := pts[ring[i]], pts[ring[(i+1)%len(ring)]]
		if a.Y > m.Y || b.Y < m.Y || a.Y == b.Y { // only edges that have the inside at their left, seen from m
			continue
		}
		x := a.X + (b.X-a.X)*(m.Y-a.Y)/(b.Y-a.Y)
		if x >= m.X && x < bestX {
			bestX, best = x, i
			if b.X > a.X && m.Y != a.Y || m.Y == b.Y {
				best = (i + 1) % len(ring)
			}
		}
	}
	if best < 0 { // cannot happen for a hole inside its polygon
		best = 0
	}
	hit, p := plane.Point{X: bestX, Y: m.Y}, pts[ring[best]]
	if p != hit { // a reflex corner inside the triangle hides p: the one at the least angle is seen
		least := math.Inf(1)
		tri := [3]plane.Point{m, hit, p}
		if hit.Sub(m).Cross(p.Sub(m)) < 0 {
			tri = [3]plane.Point{m, p, hit}
		}
		for i, v := range ring {
			q := pts[v]
			if q.X < m.X || !inTriangle(tri, q) || v == ring[best] && i != best {
				continue
			}
			prev, next := pts[ring[(i+len(ring)-1)%len(ring)]], pts[ring[(i+1)%len(ring)]]
			if i != best && q.Sub(prev).Cross(next.Sub(q)) > 0 {
				continue
			}
			d := q.Sub(m)
			if a := math.Abs(d.Y) / math.Max(d.X, 1e-30); a < least || a == least && d.X < pts[ring[best]].X-m.X {
				least, best = a, i
			}
		}
	}
	best = rightCopy(pts, ring, best, m)
	out := append([]int{}, ring[:best+1]...)
	for i := range len(hole) + 1 {
		out = append(out, hole[(start+i)%len(hole)])
	}
	return append(out, ring[best:]...)
}

// rightCopy picks, of the copies of a corner that earlier bridges made, the one whose inside holds the point.
func rightCopy(pts []plane.Point, ring []int, at int, m plane.Point) int {
	for i, v := range ring {
		if v != ring[at] {
			continue
		}
		q, prev, next := pts[v], pts[ring[(i+len(ring)-1)%len(ring)]], pts[ring[(i+1)%len(ring)]]
		l, r := next.Sub(q).Cross(m.Sub(q)) > 0, m.Sub(q).Cross(prev.Sub(q)) > 0
		convex := q.Sub(prev).Cross(next.Sub(q)) > 0
		if convex && l && r || !convex && (l || r) {
			return i
		}
	}
	return at
}

func inTriangle(t [3]plane.Point, p plane.Point) bool {
	for i := range t {
		if t[(i+1)%3].Sub(t[i]).Cross(p.Sub(t[i])) < 0 {
			return false
		}
	}
	return true
}

func clipEars(pts []plane.Point, ring []int) [][3]int {
	ring = slices.Clone(ring)
	var out [][3]int
	at := 0
	for len(ring) > 3 {
		ear := -1
		for k := range ring {
			if i := (at + k) % len(ring); isEar(pts, ring, i, false) {
				ear = i
				break
			}
		}
		for k := 0; ear < 0 && k < len(ring); k++ { // only flat ones are left
			if isEar(pts, ring, k, true) {
				ear = k
			}
		}
		if ear < 0 {
			ear = 0
		}
		n := len(ring)
		out = append(out, [3]int{ring[(ear+n-1)%n], ring[ear], ring[(ear+1)%n]})
		ring = slices.Delete(ring, ear, ear+1)
		at = ear
	}
	if len(ring) == 3 {
		out = append(out, [3]int{ring[0], ring[1], ring[2]})
	}
	return out
}

// isEar reports whether corner i can be cut off: it is convex and no other corner lies in its triangle.
func isEar(pts []plane.Point, ring []int, i int, flat bool) bool {
	n := len(ring)
	t := [3]plane.Point{pts[ring[(i+n-1)%n]], pts[ring[i]], pts[ring[(i+1)%n]]}
	turn := t[1].Sub(t[0]).Cross(t[2].Sub(t[1]))
	small := 1e-12 * t[1].Sub(t[0]).Norm() * t[2].Sub(t[1]).Norm()
	if turn <= small {
		return flat && turn >= -small
	}
	for k := 2; k < n-1; k++ {
		q := pts[ring[(i+k)%n]]
		if q != t[0] && q != t[1] && q != t[2] && inTriangle(t, q) {
			return false
		}
	}
	return true
}
