package job

import (
	"fmt"

	"cubby/internal/plane"
)

// crossing says which two sides of a profile cross or touch, by the corners as they are written; empty if none do.
// Sides that share a corner meet there and nowhere else unless one runs back over the other.
func crossing(section plane.Polygon) string {
	n := len(section)
	side := func(i int) (a, b plane.Point) { return section[i], section[(i+1)%n] }
	name := func(i int) string { return fmt.Sprintf("%d-%d", i+1, (i+1)%n+1) }
	for i := 0; i < n; i++ {
		a, b := side(i)
		for k := i + 1; k < n; k++ {
			c, d := side(k)
			neighbours := k == i+1 || i == 0 && k == n-1
			if neighbours {
				if runsBack(section, i, k) {
					return fmt.Sprintf("side %s runs back over side %s: leave corner %d out, or correct it", name(k), name(i), shared(i, k)+1)
				}
				continue
			}
			if touch(a, b, c, d) {
				return fmt.Sprintf("side %s crosses side %s: list the corners in order round the section", name(k), name(i))
			}
		}
	}
	return ""
}

// shared is the corner between two neighbouring sides, i before k unless they meet where the section closes.
func shared(i, k int) int {
	if k == i+1 {
		return k
	}
	return i
}

// runsBack reports whether two neighbouring sides lie on one line and in opposite directions.
func runsBack(section plane.Polygon, i, k int) bool {
	n := len(section)
	if (k+1)%n == i {
		i, k = k, i
	}
	a, b, c := section[i], section[k], section[(k+1)%n]
	u, v := plane.Point{X: b.X - a.X, Y: b.Y - a.Y}, plane.Point{X: c.X - b.X, Y: c.Y - b.Y}
	return u.X*v.Y-u.Y*v.X == 0 && u.X*v.X+u.Y*v.Y < 0
}

// touch reports whether the segments a-b and c-d have a point in common.
func touch(a, b, c, d plane.Point) bool {
	d1, d2 := turn(a, b, c), turn(a, b, d)
	d3, d4 := turn(c, d, a), turn(c, d, b)
	if d1*d2 < 0 && d3*d4 < 0 {
		return true
	}
	return d1 == 0 && on(a, b, c) || d2 == 0 && on(a, b, d) || d3 == 0 && on(c, d, a) || d4 == 0 && on(c, d, b)
}

// turn is twice the area of the triangle a b c, positive when it turns left.
func turn(a, b, c plane.Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

// on reports whether c, known to lie on the line a-b, lies between them.
func on(a, b, c plane.Point) bool {
	return min(a.X, b.X) <= c.X && c.X <= max(a.X, b.X) && min(a.Y, b.Y) <= c.Y && c.Y <= max(a.Y, b.Y)
}
