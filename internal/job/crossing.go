package job

import (
	"fmt"

	"cubby/internal/plane"
)

// crossing says which two sides of a profile cross or touch, by the corners as they are written; empty if none do.
// Sides that share a corner meet there and nowhere else unless one runs back over the other.
func crossing(section plane.Polygon) string {
	n := len(section)
	name := func(i int) string { return fmt.Sprintf("%d-%d", i+1, (i+1)%n+1) }
	for i := range n {
		a, b := section.Edge(i)
		for k := i + 1; k < n; k++ {
			c, d := section.Edge(k)
			switch {
			case k == i+1 && runsBack(a, b, d):
				return fmt.Sprintf("side %s runs back over side %s: leave corner %d out, or correct it", name(k), name(i), k+1)
			case i == 0 && k == n-1 && runsBack(c, d, b):
				return fmt.Sprintf("side %s runs back over side %s: leave corner %d out, or correct it", name(k), name(i), i+1)
			case k == i+1 || i == 0 && k == n-1:
			case touch(a, b, c, d):
				return fmt.Sprintf("side %s crosses side %s: list the corners in order round the section", name(k), name(i))
			}
		}
	}
	return ""
}

// runsBack reports whether the way from a by b to c turns back at b.
func runsBack(a, b, c plane.Point) bool {
	u, v := b.Sub(a), c.Sub(b)
	return u.Cross(v) == 0 && u.Dot(v) < 0
}

// touch reports whether the segments a-b and c-d have a point in common.
func touch(a, b, c, d plane.Point) bool {
	turn := func(p, q, r plane.Point) float64 { return q.Sub(p).Cross(r.Sub(p)) } // positive to the left
	between := func(p, q, r plane.Point) bool {                                   // r is known to lie on the line p-q
		return min(p.X, q.X) <= r.X && r.X <= max(p.X, q.X) && min(p.Y, q.Y) <= r.Y && r.Y <= max(p.Y, q.Y)
	}
	c1, d1, a1, b1 := turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b)
	if c1*d1 < 0 && a1*b1 < 0 {
		return true
	}
	return c1 == 0 && between(a, b, c) || d1 == 0 && between(a, b, d) ||
		a1 == 0 && between(c, d, a) || b1 == 0 && between(c, d, b)
}
