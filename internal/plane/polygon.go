package plane

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// The number of corners that Validate accepts.
const (
	MinCorners = 3
	MaxCorners = 12
)

// Edge returns the two ends of edge i, which runs from corner i to the next one; i is taken modulo the number of corners.
func (g Polygon) Edge(i int) (a, b Point) {
	n := len(g)
	i = ((i % n) + n) % n
	return g[i], g[(i+1)%n]
}

// Area returns the area enclosed, positive when the corners run counter-clockwise.
func (g Polygon) Area() float64 {
	if len(g) < 3 {
		return 0
	}
	var sum float64
	for i := 1; i+1 < len(g); i++ {
		sum += g[i].Sub(g[0]).Cross(g[i+1].Sub(g[0]))
	}
	return sum / 2
}

// CCW returns a copy with the corners counter-clockwise: reversed, keeping the first corner first, if need be.
func (g Polygon) CCW() Polygon {
	h := slices.Clone(g)
	if g.Area() < 0 {
		slices.Reverse(h[1:])
	}
	return h
}

// Bounds returns the least axis-parallel rectangle that holds the polygon; the zero Rect when there is no corner.
func (g Polygon) Bounds() Rect {
	if len(g) == 0 {
		return Rect{}
	}
	r := Rect{g[0], g[0]}
	for _, p := range g[1:] {
		r.Min.X, r.Max.X = math.Min(r.Min.X, p.X), math.Max(r.Max.X, p.X)
		r.Min.Y, r.Max.Y = math.Min(r.Min.Y, p.Y), math.Max(r.Max.Y, p.Y)
	}
	return r
}

// Centroid returns the centre of the area; the mean of the corners when there is no area.
func (g Polygon) Centroid() Point {
	if len(g) == 0 {
		return Point{}
	}
	var c, mean Point
	var sum float64
	for i := range g {
		a, b := g.Edge(i)
		a, b = a.Sub(g[0]), b.Sub(g[0])
		w := a.Cross(b)
		sum += w
		c = c.Add(a.Add(b).Mul(w))
		mean = mean.Add(a.Mul(1 / float64(len(g))))
	}
	d := g.Bounds().Diagonal()
	if math.Abs(sum) <= Slack*Slack*d*d {
		return g[0].Add(mean)
	}
	return g[0].Add(c.Mul(1 / (3 * sum)))
}

// Translate returns the polygon moved by d.
func (g Polygon) Translate(d Point) Polygon {
	h := make(Polygon, len(g))
	for i, p := range g {
		h[i] = p.Add(d)
	}
	return h
}

// turnAt returns by how much the outline turns at corner i, in -pi..pi; positive to the left.
func (g Polygon) turnAt(i int) float64 {
	a, b := g.Edge(i - 1)
	_, c := g.Edge(i)
	u, v := b.Sub(a), c.Sub(b)
	return math.Atan2(u.Cross(v), u.Dot(v))
}

// InteriorAngle returns the angle inside a counter-clockwise polygon at corner i, in rad, 0 to 2 pi.
func (g Polygon) InteriorAngle(i int) float64 { return math.Pi - g.turnAt(i) }

// IsConvex reports whether a counter-clockwise polygon turns left or goes straight at every corner.
func (g Polygon) IsConvex() bool {
	for i := range g {
		if g.turnAt(i) < -Slack {
			return false
		}
	}
	return len(g) >= 3
}

// ConvexHull returns the least convex polygon that holds all corners, counter-clockwise from the one farthest left (of those the
// lowest), without corners that lie on a straight line (Andrew's monotone chain, 1979). The chain follows a direction that no wall
// is likely to be square to: along one that is, only rounding would tell which corner is next.
func (g Polygon) ConvexHull() Polygon {
	const skew = 0.0137
	pts := slices.Clone(g)
	slices.SortFunc(pts, func(p, q Point) int {
		return cmp.Or(cmp.Compare(p.X+skew*p.Y, q.X+skew*q.Y), cmp.Compare(p.X, q.X))
	})
	pts = slices.Compact(pts)
	if len(pts) < 3 {
		return pts
	}
	d := g.Bounds().Diagonal()
	chain := func(pts Polygon) Polygon {
		var c Polygon
		for _, p := range pts {
			for len(c) >= 2 && !leftOf(c[len(c)-2], c[len(c)-1], p, d) {
				c = c[:len(c)-1]
			}
			c = append(c, p)
		}
		return c[:len(c)-1]
	}
	lower := chain(pts)
	slices.Reverse(pts)
	hull, first := append(lower, chain(pts)...), 0
	for i, p := range hull {
		if p.X < hull[first].X || p.X == hull[first].X && p.Y < hull[first].Y {
			first = i
		}
	}
	return slices.Concat(hull[first:], hull[:first])
}

// leftOf reports whether b sticks out to the right of the way from a to p by more than the rounding of a figure of size d.
func leftOf(a, b, p Point, d float64) bool {
	return b.Sub(a).Cross(p.Sub(b)) > Slack*1e-3*d*p.Sub(a).Norm()
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// Clean returns the polygon without corners that lie within near of the one before them and without corners at which the
// outline turns by less than turn radians, the straightest dropped first. What is left may have fewer than three corners.
func (g Polygon) Clean(near, turn float64) Polygon {
	h := slices.Clone(g)
	for len(h) > 0 {
		best, drop := math.Inf(1), -1
		for i := range h {
			a, b := h.Edge(i - 1)
			if len(h) > 1 && b.Sub(a).Norm() <= near {
				best, drop = -1, i
				break
			}
			if t := math.Abs(h.turnAt(i)); len(h) > 2 && t < turn && t < best {
				best, drop = t, i
			}
		}
		if drop < 0 {
			break
		}
		h = slices.Delete(h, drop, drop+1)
	}
	return h
}

// IsSimple reports whether no edge touches another except at the corner that neighbours share.
func (g Polygon) IsSimple() bool {
	i, _ := g.crossing()
	return i < 0 && len(g) >= 3
}

// crossing returns the first two edges that touch though they should not, or -1, -1.
func (g Polygon) crossing() (int, int) {
	n := len(g)
	tol := Slack * g.Bounds().Diagonal()
	for i := 0; i < n; i++ {
		a, b := g.Edge(i)
		for j := i + 1; j < n; j++ {
			c, d := g.Edge(j)
			switch {
			case n == 3 || j == i+1 || (i == 0 && j == n-1):
				far := d
				if j != i+1 {
					far = c
				}
				u, v := b.Sub(a), d.Sub(c)
				if math.Abs(LineThrough(a, b).Distance(far)) <= tol && u.Dot(v) < 0 {
					return i, j
				}
			case segmentsTouch(a, b, c, d, tol):
				return i, j
			}
		}
	}
	return -1, -1
}

// segmentsTouch reports whether two segments come within tol of each other.
func segmentsTouch(a, b, c, d Point, tol float64) bool {
	u, v := b.Sub(a), d.Sub(c)
	if u.Cross(c.Sub(a))*u.Cross(d.Sub(a)) < 0 && v.Cross(a.Sub(c))*v.Cross(b.Sub(c)) < 0 {
		return true
	}
	for _, q := range [2]Point{c, d} {
		if footOn(a, b, q).Sub(q).Norm() <= tol {
			return true
		}
	}
	for _, q := range [2]Point{a, b} {
		if footOn(c, d, q).Sub(q).Norm() <= tol {
			return true
		}
	}
	return false
}

// ShapeError says why a polygon cannot be used. Corner and Other count from 1; Other is 0 when only one is concerned.
type ShapeError struct {
	Corner, Other int
	Reason        string
}

// Error names the corner and the reason.
func (e *ShapeError) Error() string { return e.Reason }

// thinnest is the least area, relative to the square of the diagonal, of a polygon that Validate accepts: a strip of
// one metre by a tenth of a millimetre is no figure that anybody measured.
const thinnest = 1e-4

// Validate returns nil for a simple polygon of 3 to 12 finite corners with some area, else a *ShapeError that names
// the corner, counted from 1. The direction of the corners does not matter.
func (g Polygon) Validate() error {
	if len(g) < MinCorners || len(g) > MaxCorners {
		return &ShapeError{Reason: fmt.Sprintf("%d corners: must be %d to %d", len(g), MinCorners, MaxCorners)}
	}
	for i, p := range g {
		if !p.IsFinite() {
			return &ShapeError{Corner: i + 1, Reason: fmt.Sprintf("corner %d: not a finite number", i+1)}
		}
	}
	d := g.Bounds().Diagonal()
	for i := range g {
		a, b := g.Edge(i)
		j := (i+1)%len(g) + 1
		if b.Sub(a).Norm() <= Slack*d {
			return &ShapeError{i + 1, j, fmt.Sprintf("corners %d and %d are the same point", i+1, j)}
		}
	}
	if i, j := g.crossing(); i >= 0 {
		n := len(g)
		return &ShapeError{i + 1, j + 1, fmt.Sprintf("the side from corner %d to %d meets the side from corner %d to %d",
			i+1, (i+1)%n+1, j+1, (j+1)%n+1)}
	}
	if math.Abs(g.Area()) < thinnest*d*d {
		return &ShapeError{Reason: "the corners enclose next to no area"}
	}
	return nil
}
