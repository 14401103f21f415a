package cavity

import (
	"math"
	"slices"

	"cubby/internal/plane"
)

// sharpest is the least angle of a toe that a shop cuts: 45 degrees (common practice).
const sharpest = math.Pi / 4

// shop is what bounds the sections that a shop builds.
type shop struct {
	least float64 // m, outside: no narrower wall
	board float64 // m
	toes  bool    // corners under 45 degrees are left sharp
}

// inner is the area inside boards all round a section: exact while every wall keeps a face inside; 0 when nothing is left.
func (s *shop) inner(g plane.Polygon) float64 {
	var twice, around, tans float64
	n := len(g)
	b := g[n-1]
	u := b.Sub(g[n-2])
	l := math.Sqrt(u.Dot(u))
	for _, c := range g {
		v := c.Sub(b)
		m := math.Sqrt(v.Dot(v))
		d := l*m + u.Dot(v)
		if d <= 0 {
			return 0
		}
		twice += b.Sub(g[0]).Cross(v)
		around += m
		tans += u.Cross(v) / d // tan of half the turn from u to v
		b, u, l = c, v, m
	}
	return max(0, twice/2-s.board*around+s.board*s.board*tans)
}

// between is the length between the boards at the ends of a stretch.
func (s *shop) between(lo, hi float64) float64 { return max(0, hi-lo-2*s.board) }

// builds tells whether a shop builds the section: no wall too narrow, no toe too sharp.
func (s *shop) builds(g plane.Polygon) bool {
	if len(g) < 3 {
		return false
	}
	least := s.least * (1 - 1e-9)
	b := g[len(g)-1]
	u := b.Sub(g[len(g)-2])
	l := u.Dot(u)
	for _, c := range g {
		v := c.Sub(b)
		m := v.Dot(v)
		if m < least*least {
			return false
		}
		if d := u.Dot(v); !s.toes && d < 0 && d*d > (0.5+1e-9)*l*m {
			return false
		}
		b, u, l = c, v, m
	}
	return true
}

// thinned takes corners off a polygon until at most n are left, each time the one that costs least: a corner that sticks
// out is cut off, a wall is lost between its neighbours' lines. It only cuts inward.
func thinned(g plane.Polygon, n int) plane.Polygon {
	g = slices.Clone(g)
	for len(g) > n {
		least, at, kind, corner := math.Inf(1), -1, 0, plane.Point{}
		for i := range g {
			if area, k, p := dropCost(g, i); area < least && emptyDrop(g, i, k, p) {
				least, at, kind, corner = area, i, k, p
			}
		}
		if at < 0 {
			break
		}
		g = dropped(g, at, kind, corner)
	}
	return g
}

// dropped is a polygon without a corner, see dropCost; it may take the room of g.
func dropped(g plane.Polygon, i, kind int, at plane.Point) plane.Polygon {
	if kind == 0 {
		return slices.Delete(g, i, i+1)
	}
	g[i] = at
	j := (i + 1) % len(g)
	return slices.Delete(g, j, j+1)
}

// drops gives a section with one corner fewer where only what is next to it is lost, however the rest bends.
func drops(g plane.Polygon, put func(plane.Polygon)) {
	for i := range g {
		if area, kind, at := dropCost(g, i); !math.IsInf(area, 1) && emptyDrop(g, i, kind, at) {
			put(dropped(slices.Clone(g), i, kind, at))
		}
	}
}

// dropCost is the least area that it costs to lose corner i (kind 0) or the wall from corner i to the next (kind 1, with
// the corner that takes the place of both).
func dropCost(g plane.Polygon, i int) (area float64, kind int, at plane.Point) {
	area = math.Inf(1)
	a, b := g.Edge(i - 1)
	_, c := g.Edge(i)
	_, d := g.Edge(i + 1)
	u, v, w := b.Sub(a), c.Sub(b), d.Sub(c)
	t1, t2 := u.Cross(v), v.Cross(w)
	if t1 >= 0 {
		area = t1 / 2
	}
	var p plane.Point
	switch {
	case t1 < 0 && t2 < 0: // a wall between two inward corners: its neighbours run on until they meet
		det := u.Cross(w)
		if det >= -1e-15 {
			return
		}
		s := c.Sub(b).Cross(w) / det
		if s <= 0 {
			return
		}
		p = b.Add(u.Mul(s))
	case t1 > 0 && t2 < 0: // the wall after runs back to the one before
		det := w.Cross(u)
		if det == 0 {
			return
		}
		s := b.Sub(c).Cross(u) / det // c + s w on the line of u
		p = c.Add(w.Mul(s))
		if along := p.Sub(a).Dot(u) / u.Dot(u); s >= 0 || along <= 1e-9 || along >= 1 {
			return
		}
	case t1 < 0 && t2 > 0: // the wall before runs on to the one after
		det := u.Cross(w)
		if det == 0 {
			return
		}
		s := c.Sub(b).Cross(w) / det
		p = b.Add(u.Mul(s))
		if along := p.Sub(c).Dot(w) / w.Dot(w); s <= 0 || along <= 0 || along >= 1-1e-9 {
			return
		}
	default:
		return
	}
	if lost := math.Abs(p.Sub(b).Cross(c.Sub(b))) / 2; lost < area {
		return lost, 1, p
	}
	return
}

// emptyDrop tells whether the triangle that a drop costs holds no other corner.
func emptyDrop(g plane.Polygon, i, kind int, at plane.Point) bool {
	n := len(g)
	a, b, c := g[(i+n-1)%n], g[i], g[(i+1)%n]
	skip := [3]int{(i + n - 1) % n, i, (i + 1) % n}
	if kind == 1 {
		a = at
		skip[0] = i
	}
	for k, p := range g {
		if k == skip[0] || k == skip[1] || k == skip[2] {
			continue
		}
		s1, s2, s3 := b.Sub(a).Cross(p.Sub(a)), c.Sub(b).Cross(p.Sub(b)), a.Sub(c).Cross(p.Sub(c))
		if s1 > -1e-12 && s2 > -1e-12 && s3 > -1e-12 || s1 < 1e-12 && s2 < 1e-12 && s3 < 1e-12 {
			return false
		}
	}
	return kind == 0 || holdsEdge(g, g[i], at) && holdsEdge(g, at, g[(i+1)%n])
}

// ladder is the best sections of each number of corners, best first, those that are alike left out.
type ladder [plane.MaxCorners + 1][]candidate

// value is that of the best section of n corners, 0 when there is none.
func (l *ladder) value(n int) float64 {
	if len(l[n]) == 0 {
		return 0
	}
	return l[n][0].value
}

// alternatives is how many sections of one number of corners a ladder keeps.
const alternatives = 3

// best is the best section of n corners, nil when there is none.
func (l *ladder) best(n int) plane.Polygon {
	if len(l[n]) == 0 {
		return nil
	}
	return l[n][0].g
}

// put keeps a section among the best of its number of corners.
func (l *ladder) put(h candidate) {
	list := l[len(h.g)]
	at := len(list)
	for i, c := range list {
		better := h.value > c.value*(1+1e-9)
		if !better && i == alternatives-1 {
			return
		}
		if alike(c.g, h.g) {
			if !better {
				return
			}
			list = slices.Delete(list, i, i+1)
			at = min(at, i)
			break
		}
		if better {
			at = min(at, i)
		}
	}
	if at < alternatives {
		h.g = slices.Clone(h.g) // it may lie in room that is used again
		list = slices.Insert(list, at, h)
	}
	l[len(h.g)] = list[:min(len(list), alternatives)]
}

// alike tells whether every corner of g is near one of h.
func alike(g, h plane.Polygon) bool {
	const near = 0.03
	for _, p := range g {
		if d := h[nearest(h, p)].Sub(p); d.Dot(d) > near*near {
			return false
		}
	}
	return true
}

// A candidate is a section with its rank: the area inside boards.
type candidate struct {
	g     plane.Polygon
	value float64
	area  float64
}

// descend looks for the best buildable section of each number of corners inside g: from at most start corners downward,
// width sections of each number, by cuts of whole half-planes, which never leave g.
func (s *shop) descend(g plane.Polygon, start, width int) ladder {
	var best ladder
	var level [plane.MaxCorners + 3][]candidate
	put := func(h plane.Polygon) {
		n := len(h)
		if n < 3 || n > plane.MaxCorners {
			return
		}
		a := h.Area()
		if a <= s.least*s.least {
			return
		}
		v := s.inner(h)
		if v <= 0 {
			return
		}
		if s.builds(h) {
			best.put(candidate{h, v, a})
		}
		list := level[n]
		for _, c := range list {
			if math.Abs(c.area-a) <= 1e-10 {
				return
			}
		}
		k := len(list)
		for k > 0 && list[k-1].value < v {
			k--
		}
		if k >= width {
			return
		}
		if len(list) == width {
			list = list[:width-1]
		}
		level[n] = slices.Insert(list, k, candidate{slices.Clone(h), v, a})
	}
	if start > plane.MaxCorners {
		start = plane.MaxCorners
	}
	put(thinned(g, start))
	if len(g) > 8 {
		put(thinned(g, 8))
		put(thinned(g, 6))
		put(thinned(g, 5))
		put(thinned(g, 4))
	}
	for n := start; n >= 3; n-- {
		done := map[float64]bool{}
		for round := 0; round < 3; round++ {
			list := slices.Clone(level[n])
			fresh := false
			for _, c := range list {
				if done[c.area] {
					continue
				}
				done[c.area] = true
				fresh = true
				s.mend(c.g, put)
				if n > 3 {
					s.cuts(c.g, put)
					drops(c.g, put)
				}
			}
			if !fresh {
				break
			}
		}
	}
	return best
}

// cuts gives every cut of a section that may lose corners: through neighbours, through an inward corner and any other,
// level and upright through any corner.
func (s *shop) cuts(g plane.Polygon, put func(plane.Polygon)) {
	n := len(g)
	whole := g.Area()
	centre := g.Centroid()
	room, other := make(plane.Polygon, 0, n+4), make(plane.Polygon, 0, n+4)
	try := func(l plane.Line) {
		if l.Distance(centre) < 0 {
			l = plane.Line{N: l.N.Mul(-1), C: -l.C}
		}
		h := cutInto(room, g, l)
		if a := h.Area(); a < whole/2 {
			if k := cutInto(other, g, plane.Line{N: l.N.Mul(-1), C: -l.C}); k.Area() > a {
				h = k
			}
		}
		if len(h) >= 3 && len(h) <= n {
			put(h)
		}
	}
	inward := make([]bool, n)
	for i := range g {
		a, b := g.Edge(i - 1)
		_, c := g.Edge(i)
		inward[i] = b.Sub(a).Cross(c.Sub(b)) < 0
	}
	for i := range g {
		for k := 1; k <= 3 && k < n-1; k++ {
			j := (i + k) % n
			if k == 1 && !inward[i] && !inward[j] {
				continue // an outer wall: nothing is cut
			}
			try(plane.LineThrough(g[i], g[j]))
		}
		if inward[i] {
			a, b := g.Edge(i - 1)
			_, c := g.Edge(i)
			for _, d := range [...]plane.Point{b.Sub(a), b.Sub(c), {X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
				if h := parted(g, i, d.Unit()); h != nil {
					put(h)
				}
			}
			for k := 4; k < n-3; k++ {
				try(plane.LineThrough(g[i], g[(i+k)%n]))
			}
		}
		try(plane.Line{N: plane.Point{X: 1}, C: g[i].X})
		try(plane.Line{N: plane.Point{Y: 1}, C: g[i].Y})
	}
}

// parted keeps the larger part of a polygon that is cut from corner i along the unit vector d as far as the other side;
// nil when d does not point inside.
func parted(g plane.Polygon, i int, d plane.Point) plane.Polygon {
	n := len(g)
	p := g[i]
	u, v := p.Sub(g[(i+n-1)%n]), g[(i+1)%n].Sub(p)
	if v.Cross(d) < -1e-12 && u.Cross(d) < -1e-12 { // an inward corner sees all but the wedge between its walls
		return nil
	}
	hit, far := -1, math.Inf(1)
	for k := range n {
		if k == i || k == (i+n-1)%n {
			continue
		}
		a, b := g.Edge(k)
		x, y := d.Cross(a.Sub(p)), d.Cross(b.Sub(p))
		if (x > 0) == (y > 0) {
			continue
		}
		if t := d.Dot(a.Sub(p)) + d.Dot(b.Sub(a))*x/(x-y); t > 1e-9 && t < far {
			hit, far = k, t
		}
	}
	if hit < 0 {
		return nil
	}
	q := p.Add(d.Mul(far))
	if !holdsEdge(g, p, q) { // along a wall and past its end
		return nil
	}
	var one, two plane.Polygon
	for k := i; ; k = (k + 1) % n {
		one = append(one, g[k])
		if k == hit {
			break
		}
	}
	one = append(one, q)
	two = append(two, q)
	for k := (hit + 1) % n; ; k = (k + 1) % n {
		two = append(two, g[k])
		if k == i {
			break
		}
	}
	if two.Area() > one.Area() {
		one = two
	}
	if one = tidy(one); one.Area() < g.Area()*(1-1e-12) && len(one) <= n && len(one) >= 3 {
		return one
	}
	return nil
}

// mend gives cuts that make a narrow wall wide enough and a sharp toe blunt.
func (s *shop) mend(g plane.Polygon, put func(plane.Polygon)) {
	for i := range g {
		a, b := g.Edge(i)
		p, _ := g.Edge(i - 1)
		_, q := g.Edge(i + 1)
		e := b.Sub(a)
		l := e.Norm()
		if l < s.least*(1-1e-9) {
			// at depth d the wall is l - d (cot a + cot b) long
			grow := -(cot(a.Sub(p), e) + cot(e, q.Sub(b)))
			if grow > 1e-6 {
				put(cut(g, plane.LineThrough(a, b).Offset((s.least-l)/grow)))
			}
		}
		u, v := a.Sub(p), e
		if t := math.Atan2(u.Cross(v), u.Dot(v)); !s.toes && t > math.Pi-sharpest+1e-9 {
			toe := math.Pi - t
			for _, nose := range [2]float64{s.least, s.least + s.board} {
				along := u.Unit().Mul(-1)
				forward := v.Unit()
				bisector := along.Add(forward).Unit()
				put(cut(g, lineAt(a, bisector, nose/2/math.Tan(toe/2))))
				put(cut(g, lineAt(a, along, nose/math.Tan(toe))))
				put(cut(g, lineAt(a, forward, nose/math.Tan(toe))))
			}
		}
	}
}

// lineAt is the line square to the unit vector n, d from p along it, its normal along n.
func lineAt(p, n plane.Point, d float64) plane.Line { return plane.Line{N: n, C: n.Dot(p) + d} }

// cot is the cotangent of the angle inside between two walls that follow each other.
func cot(u, v plane.Point) float64 { return -u.Dot(v) / u.Cross(v) }
