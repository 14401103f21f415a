package plane

import (
	"fmt"
	"math"
)

// A patch is a convex part of the strip that is swept when the outline moves inward: the rectangle over an edge, or the
// part at a corner that lies over neither or over only one of its edges.
type patch struct {
	shape Polygon
	// The patch counts only where it can be seen from where it springs: square from the edge, or from the corner.
	corner Point
	edge   int // -1: seen from the corner
}

// Inset returns what is left of a counter-clockwise polygon when edge i moves inward by d[i], largest piece first, nil
// when nothing is left. The offset lines run on until they meet, so corners stay sharp, reflex ones too. A point is
// taken away when
//
//   - its foot on an edge i, square to it and with nothing in between, is nearer than d[i], or
//   - at a convex corner it lies beyond the end of one edge's strip but short of where that strip's line meets the line
//     of the other edge, or
//   - at a reflex corner it lies beyond the ends of both edges and nearer than d to both lines.
//
// For a convex polygon this is the common part of the half planes. An error says that d has the wrong length or holds a
// negative or infinite number.
func (g Polygon) Inset(d []float64) ([]Polygon, error) {
	if len(d) != len(g) || len(g) < 3 {
		return nil, fmt.Errorf("plane: %d distances for %d sides", len(d), len(g))
	}
	for i, v := range d {
		if !(v >= 0) || math.IsInf(v, 1) {
			return nil, fmt.Errorf("plane: distance %d is %v: must be 0 or more", i+1, v)
		}
	}
	size := g.Bounds().Diagonal()
	patches := g.patches(d)
	s := strokes(g)
	for _, p := range patches {
		s = append(s, strokes(p.shape)...)
		s = append(s, g.shadows(p)...)
	}
	loops := outlines(s, size, func(p Point) bool {
		if !g.encloses(p) {
			return false
		}
		for i := range patches {
			if patches[i].covers(g, p) {
				return false
			}
		}
		return true
	})
	pieces, _ := bySize(loops)
	return pieces, nil
}

// patches returns the strips that the edges sweep and the parts at the corners.
func (g Polygon) patches(d []float64) []patch {
	var list []patch
	n := len(g)
	for i := range g {
		a, b := g.Edge(i)
		m := b.Sub(a).Unit().Left()
		if d[i] > 0 {
			list = append(list, patch{Polygon{a, b, b.Add(m.Mul(d[i])), a.Add(m.Mul(d[i]))}, Point{}, i})
		}
		j := (i + n - 1) % n
		z, _ := g.Edge(j)
		list = append(list, cornerPatches(z, a, b, d[j], d[i])...)
	}
	return list
}

// cornerPatches returns what is swept at corner v between the edges from u to v and from v to w, which move by d1 and d2.
func cornerPatches(u, v, w Point, d1, d2 float64) []patch {
	u1, u2 := v.Sub(u).Unit(), w.Sub(v).Unit()
	m1, m2 := u1.Left(), u2.Left()
	c, sin := m1.Dot(m2), m1.Cross(m2)
	if math.Abs(sin) < parallelSine {
		return nil
	}
	// The offset lines meet at v + meet; along1 and along2 are its parts along the edges.
	along1 := (c*d1 - d2) / sin
	along2 := (d1 - c*d2) / sin
	meet := m1.Mul(d1).Add(u1.Mul(along1))
	var list []patch
	if sin > 0 {
		if along1 > 0 {
			list = append(list, patch{Polygon{v, v.Add(meet), v.Add(m1.Mul(d1))}, v, -1})
		}
		if along2 < 0 {
			list = append(list, patch{Polygon{v, v.Add(m2.Mul(d2)), v.Add(meet)}, v, -1})
		}
		return list
	}
	if d1 <= 0 || d2 <= 0 {
		return nil
	}
	if along1 >= 0 && along2 <= 0 {
		return []patch{{Polygon{v, v.Add(m2.Mul(d2)), v.Add(meet), v.Add(m1.Mul(d1))}, v, -1}}
	}
	s1, s2 := d1, d2
	if c > 0 {
		s1, s2 = min(d1, d2/c), min(d2, d1/c)
	}
	return []patch{{Polygon{v, v.Add(m2.Mul(s2)), v.Add(m1.Mul(s1))}, v, -1}}
}

// covers reports whether p, which is inside g, lies in the patch where it can be seen.
func (c *patch) covers(g Polygon, p Point) bool {
	for i := range c.shape {
		a, b := c.shape.Edge(i)
		if b.Sub(a).Cross(p.Sub(a)) < 0 {
			return false
		}
	}
	eye := c.corner
	if c.edge >= 0 {
		a, b := g.Edge(c.edge)
		eye = footOn(a, b, p)
	}
	return g.sees(eye, p)
}

// sees reports whether no edge lies between the point eye on the outline and the point p inside.
func (g Polygon) sees(eye, p Point) bool {
	view := p.Sub(eye)
	for i := range g {
		a, b := g.Edge(i)
		e := b.Sub(a)
		da, db := view.Cross(a.Sub(eye)), view.Cross(b.Sub(eye))
		if (da > 0) == (db > 0) {
			continue
		}
		tol := Slack * e.Norm() * (e.Norm() + view.Norm())
		de, dp := e.Cross(eye.Sub(a)), e.Cross(p.Sub(a))
		if (de > tol && dp < 0) || (de < -tol && dp > 0) {
			return false
		}
	}
	return true
}

// shadows returns the lines along which a corner of the outline that stands in the patch hides what is behind it.
func (g Polygon) shadows(c patch) []stroke {
	var s []stroke
	far := c.shape.Bounds().Diagonal()
	for _, v := range g {
		if v == c.corner && c.edge < 0 || !c.shape.Contains(v) {
			continue
		}
		eye := c.corner
		if c.edge >= 0 {
			a, b := g.Edge(c.edge)
			eye = footOn(a, b, v)
		}
		dir := v.Sub(eye).Unit()
		if dir == (Point{}) || v.Sub(eye).Norm() <= Slack*far {
			continue
		}
		end := v.Add(dir.Mul(far))
		s = append(s, stroke{v, end, LineThrough(v, end)})
	}
	return s
}
