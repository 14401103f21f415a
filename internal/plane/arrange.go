package plane

import (
	"math"
	"slices"
)

// A stroke is a piece of line that may be part of an outline.
type stroke struct {
	a, b Point
	line Line // through a and b, exact: corners of the outlines are found by meeting these lines
}

func strokes(g Polygon) []stroke {
	s := make([]stroke, 0, len(g))
	for i := range g {
		a, b := g.Edge(i)
		if a != b {
			s = append(s, stroke{a, b, LineThrough(a, b)})
		}
	}
	return s
}

// Arrange gives the figure in which inside is true, given the polygons along which that may change: its pieces counter-clockwise,
// largest first, and their holes clockwise.
func Arrange(inside func(Point) bool, along ...Polygon) (pieces, holes []Polygon) {
	var s []stroke
	size := 0.0
	for _, g := range along {
		s = append(s, strokes(g)...)
		size = math.Max(size, g.Bounds().Diagonal())
	}
	return bySize(outlines(s, size, inside))
}

// A side is a piece of stroke between two vertices of the arrangement with the figure on its left.
type side struct {
	from, to int
	line     Line
	length   float64
	used     bool
}

// outlines returns the outlines of the figure in which inside is true, given every stroke along which inside may change:
// counter-clockwise ones for its pieces and clockwise ones for holes. size is the diagonal of the whole.
func outlines(s []stroke, size float64, inside func(Point) bool) []Polygon {
	tol := Slack * size
	var vertices []Point
	var sides []side
	seen := map[[2]int]bool{}
	for i := range s {
		at := splits(s, i, tol)
		ids := make([]int, len(at))
		for k, p := range at {
			ids[k], vertices = vertexAt(vertices, p, tol)
		}
		for k := 1; k < len(ids); k++ {
			from, to := ids[k-1], ids[k]
			key := [2]int{min(from, to), max(from, to)}
			if from == to || seen[key] {
				continue
			}
			seen[key] = true
			if sd, ok := sideOf(vertices, from, to, s[i].line, size, inside); ok {
				sides = append(sides, sd)
			}
		}
	}
	return chain(vertices, sides, tol)
}

// splits returns the points of stroke i, in order, at which another stroke meets it, its ends included.
func splits(s []stroke, i int, tol float64) []Point {
	a, b := s[i].a, s[i].b
	u := b.Sub(a)
	length := u.Norm()
	u = u.Unit()
	at := []float64{0, length}
	add := func(t float64) {
		if t > 0 && t < length {
			at = append(at, t)
		}
	}
	for j, o := range s {
		if j == i {
			continue
		}
		da, db := s[i].line.Distance(o.a), s[i].line.Distance(o.b)
		if math.Min(da, db) > tol || math.Max(da, db) < -tol {
			continue
		}
		if math.Abs(da) <= tol {
			add(o.a.Sub(a).Dot(u))
		}
		if math.Abs(db) <= tol {
			add(o.b.Sub(a).Dot(u))
		}
		if math.Abs(da) > tol || math.Abs(db) > tol {
			if p, ok := s[i].line.Meet(o.line); ok && footOn(o.a, o.b, p).Sub(p).Norm() <= tol {
				add(p.Sub(a).Dot(u))
			}
		}
	}
	slices.Sort(at)
	pts := make([]Point, len(at))
	for k, t := range at {
		pts[k] = a.Add(u.Mul(t))
	}
	pts[len(pts)-1] = b
	return pts
}

// vertexAt returns the number of the vertex within tol of p, which is added if there is none.
func vertexAt(vertices []Point, p Point, tol float64) (int, []Point) {
	for i, v := range vertices {
		if math.Abs(v.X-p.X) <= 2*tol && math.Abs(v.Y-p.Y) <= 2*tol {
			return i, vertices
		}
	}
	return len(vertices), append(vertices, p)
}

// sideOf looks at both sides of a piece of stroke; ok is false when the figure is on both or on neither.
func sideOf(vertices []Point, from, to int, line Line, size float64, inside func(Point) bool) (side, bool) {
	a, b := vertices[from], vertices[to]
	length := b.Sub(a).Norm()
	mid := a.Add(b).Mul(0.5)
	off := b.Sub(a).Unit().Left().Mul(math.Min(probe*size, length/4))
	left, right := inside(mid.Add(off)), inside(mid.Sub(off))
	switch {
	case left && !right:
		return side{from: from, to: to, line: line, length: length}, true
	case right && !left:
		return side{from: to, to: from, line: line, length: length}, true
	}
	return side{}, false
}

// chain joins sides into closed outlines. Where outlines touch in a vertex the sharpest left turn is taken, so that
// pieces which only touch come out apart, and so does a hole that touches the outline around it.
func chain(vertices []Point, sides []side, tol float64) []Polygon {
	out := map[int][]int{}
	for i, sd := range sides {
		out[sd.from] = append(out[sd.from], i)
	}
	var loops []Polygon
	for i := range sides {
		if sides[i].used {
			continue
		}
		var walk []side
		for k := i; k >= 0; k = sharpestLeft(vertices, sides, out[sides[k].to], k) {
			sides[k].used = true
			walk = append(walk, sides[k])
			// Back at a vertex of this walk: what was walked since is an outline of its own.
			at := slices.IndexFunc(walk, func(sd side) bool { return sd.from == sides[k].to })
			if at < 0 {
				continue
			}
			if g := corners(vertices, walk[at:], tol); len(g) >= 3 {
				loops = append(loops, g)
			}
			if walk = walk[:at]; at == 0 {
				break
			}
		}
		// A walk that ends elsewhere went along a sliver thinner than the probe and is dropped.
	}
	return loops
}

func sharpestLeft(vertices []Point, sides []side, candidates []int, from int) int {
	in := vertices[sides[from].to].Sub(vertices[sides[from].from])
	best, turn := -1, math.Inf(-1)
	for _, k := range candidates {
		if sides[k].used {
			continue
		}
		out := vertices[sides[k].to].Sub(vertices[sides[k].from])
		if t := math.Atan2(in.Cross(out), in.Dot(out)); t > turn {
			best, turn = k, t
		}
	}
	return best
}

// corners turns a loop of sides into a polygon: sides on one line are joined, and a corner is put where the two lines
// meet exactly.
func corners(vertices []Point, loop []side, tol float64) Polygon {
	type edge struct {
		from   Point
		line   Line
		length float64
	}
	var edges []edge
	for _, sd := range loop {
		edges = append(edges, edge{vertices[sd.from], sd.line, sd.length})
	}
	for i := 0; i < len(edges) && len(edges) > 2; {
		n := len(edges)
		prev, next := (i+n-1)%n, (i+1)%n
		a, p, b := edges[prev].from, edges[i].from, edges[next].from
		straight := footOn(a, b, p).Sub(p).Norm() <= 4*tol
		if !straight {
			i++
			continue
		}
		if edges[i].length > edges[prev].length {
			edges[prev].line, edges[prev].length = edges[i].line, edges[i].length
		}
		edges = slices.Delete(edges, i, i+1)
		i = max(0, i-2)
	}
	if len(edges) < 3 {
		return nil
	}
	g := make(Polygon, len(edges))
	for i, e := range edges {
		g[i] = e.from
		prev := edges[(i+len(edges)-1)%len(edges)]
		if p, ok := prev.line.Meet(e.line); ok && p.Sub(e.from).Norm() <= 1e3*tol {
			g[i] = p
		}
	}
	return g
}

// bySize keeps the counter-clockwise outlines and sorts them, largest first; equal ones by place, so that the order is
// the same on every run.
func bySize(loops []Polygon) (pieces, holes []Polygon) {
	for _, g := range loops {
		if g.Area() > 0 {
			pieces = append(pieces, lowestFirst(g))
		} else {
			holes = append(holes, g)
		}
	}
	slices.SortStableFunc(pieces, func(g, h Polygon) int {
		if c := cmpFloat(h.Area(), g.Area()); c != 0 {
			return c
		}
		if c := cmpFloat(g[0].X, h[0].X); c != 0 {
			return c
		}
		return cmpFloat(g[0].Y, h[0].Y)
	})
	return pieces, holes
}

// lowestFirst turns the list of corners so that it begins at the lowest one, the leftmost of several.
func lowestFirst(g Polygon) Polygon {
	tol := Slack * g.Bounds().Diagonal()
	k := 0
	for i, p := range g {
		q := g[k]
		if p.Y < q.Y-tol || (p.Y <= q.Y+tol && p.X < q.X) {
			k = i
		}
	}
	return append(slices.Clone(g[k:]), g[:k]...)
}
