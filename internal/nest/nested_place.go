package nest

import (
	"math"
	"slices"
)

// spot is a shape on a sheet: where the lower left corner of its extents lies.
type spot struct {
	shape *shape
	x, y  Um
}

// forbidden is where the lower left corner of b's extents must not lie when a lies at the origin, as convex pieces: the
// sums of a's pieces grown by the clearance and b's pieces mirrored. On their border the distance is the clearance or
// more.
func (r *router) forbidden(a, b *shape) []hull {
	key := [2]*shape{a, b}
	if h, ok := r.sums[key]; ok {
		return h
	}
	var out []hull
	for _, p := range a.grown {
		for _, q := range b.pieces {
			m := make([][2]Um, len(q))
			for i, v := range q {
				m[i] = [2]Um{-v[0], -v[1]}
			}
			out = append(out, hullOf(sumOf(p, m)))
		}
	}
	r.sums[key] = out
	return out
}

// sumOf is the Minkowski sum of two convex outlines: their sides in order of direction.
func sumOf(a, b [][2]Um) [][2]Um {
	low := func(g [][2]Um) int {
		k := 0
		for i, p := range g {
			if p[1] < g[k][1] || p[1] == g[k][1] && p[0] < g[k][0] {
				k = i
			}
		}
		return k
	}
	i0, j0 := low(a), low(b)
	var out [][2]Um
	for i, j := 0, 0; i < len(a) || j < len(b); {
		p, q := a[(i0+i)%len(a)], b[(j0+j)%len(b)]
		out = append(out, [2]Um{p[0] + q[0], p[1] + q[1]})
		pn, qn := a[(i0+i+1)%len(a)], b[(j0+j+1)%len(b)]
		cross := (pn[0]-p[0])*(qn[1]-q[1]) - (pn[1]-p[1])*(qn[0]-q[0])
		if j >= len(b) || i < len(a) && cross >= 0 {
			i++
			if cross == 0 && j < len(b) && i <= len(a) {
				j++
			}
		} else {
			j++
		}
	}
	return tidy(out)
}

// strictly reports whether a point lies inside a convex outline that has been moved by dx, dy, not on its border.
// Exact.
func (h *hull) strictly(x, y, dx, dy Um) bool {
	x, y = x-dx, y-dy
	if x <= h.lo[0] || x >= h.hi[0] || y <= h.lo[1] || y >= h.hi[1] {
		return false
	}
	for i := range h.at {
		if turnOf(h.at[i], h.at[(i+1)%len(h.at)], [2]Um{x, y}) <= 0 {
			return false
		}
	}
	return true
}

// barrier is one forbidden piece where it lies.
type barrier struct {
	*hull
	x, y Um
}

// lowest is the place of a shape on a sheet that is farthest left, then lowest, among the corners of the places that
// are forbidden, where their sides meet each other, and where they meet the limits of the sheet (x0, y0, x1, y1).
func (r *router) lowest(s *routerSheet, sh *shape, lim [4]Um) (spot, bool) {
	var bars []barrier
	for _, q := range s.places {
		f := r.forbidden(q.shape, sh)
		for i := range f {
			h := &f[i]
			if h.lo[0]+q.x < lim[2] && h.hi[0]+q.x > lim[0] && h.lo[1]+q.y < lim[3] && h.hi[1]+q.y > lim[1] {
				bars = append(bars, barrier{h, q.x, q.y})
			}
		}
	}
	cand := [][2]Um{{lim[0], lim[1]}}
	add := func(x, y Um) {
		if x >= lim[0] && x <= lim[2] && y >= lim[1] && y <= lim[3] {
			cand = append(cand, [2]Um{x, y})
		}
	}
	var sides [][2][2]Um
	for _, b := range bars {
		for i := range b.at {
			p, q := b.at[i], b.at[(i+1)%len(b.at)]
			p, q = [2]Um{p[0] + b.x, p[1] + b.y}, [2]Um{q[0] + b.x, q[1] + b.y}
			add(p[0], p[1])
			sides = append(sides, [2][2]Um{p, q})
		}
	}
	sides = append(sides, [2][2]Um{{lim[0], lim[1]}, {lim[0], lim[3]}}, [2][2]Um{{lim[0], lim[1]}, {lim[2], lim[1]}},
		[2][2]Um{{lim[0], lim[3]}, {lim[2], lim[3]}}, [2][2]Um{{lim[2], lim[1]}, {lim[2], lim[3]}})
	for i := range sides {
		for j := range i {
			r.work--
			for _, c := range crossings(sides[i], sides[j]) {
				add(c[0], c[1])
			}
		}
	}
	slices.SortFunc(cand, fromLeft)
	for i, c := range cand {
		if i > 0 && c == cand[i-1] {
			continue
		}
		free := true
		for _, b := range bars {
			r.work--
			if b.strictly(c[0], c[1], b.x, b.y) {
				free = false
				break
			}
		}
		if free {
			return spot{sh, c[0], c[1]}, true
		}
		if r.work < 0 {
			break
		}
	}
	return spot{}, false
}

// crossings is where two sides meet, in whole micrometres: the points round it, one of which lies on the right side of
// both.
func crossings(a, b [2][2]Um) [][2]Um {
	for k := range 2 {
		if max(a[0][k], a[1][k]) < min(b[0][k], b[1][k]) || max(b[0][k], b[1][k]) < min(a[0][k], a[1][k]) {
			return nil
		}
	}
	ux, uy := float64(a[1][0]-a[0][0]), float64(a[1][1]-a[0][1])
	vx, vy := float64(b[1][0]-b[0][0]), float64(b[1][1]-b[0][1])
	d := ux*vy - uy*vx
	if math.Abs(d) <= 1e-12*math.Hypot(ux, uy)*math.Hypot(vx, vy) {
		return nil
	}
	k := (float64(b[0][0]-a[0][0])*vy - float64(b[0][1]-a[0][1])*vx) / d
	m := (float64(b[0][0]-a[0][0])*uy - float64(b[0][1]-a[0][1])*ux) / d
	if k < -1e-9 || k > 1+1e-9 || m < -1e-9 || m > 1+1e-9 {
		return nil
	}
	x, y := float64(a[0][0])+k*ux, float64(a[0][1])+k*uy
	fx, fy := Um(math.Floor(x)), Um(math.Floor(y))
	if x == math.Trunc(x) && y == math.Trunc(y) {
		return [][2]Um{{fx, fy}}
	}
	return [][2]Um{{fx, fy}, {fx + 1, fy}, {fx, fy + 1}, {fx + 1, fy + 1}}
}
