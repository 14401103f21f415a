package cavity

import (
	"math"
	"sort"

	"cubby/internal/plane"
)

// cut keeps of a simple polygon, counter-clockwise, the largest piece on the side of the line to which its normal
// points; nil when nothing is left. Time is linear in the corners, but for sorting the few crossings.
func cut(g plane.Polygon, l plane.Line) plane.Polygon { return cutInto(nil, g, l) }

// cutInto is cut with the room for the corners given; the answer may share it or g.
func cutInto(room, g plane.Polygon, l plane.Line) plane.Polygon {
	const slack = 1e-9
	n := len(g)
	var small [40]float64
	d := small[:0]
	in, out := 0, 0
	for _, p := range g {
		v := l.Distance(p)
		if math.Abs(v) < slack {
			v = 0
		}
		d = append(d, v)
		if v > 0 {
			in++
		} else if v < 0 {
			out++
		}
	}
	if in == 0 {
		return nil
	}
	if out == 0 {
		return g
	}
	start, entries := -1, 0
	for i := range d {
		if d[i] <= 0 && d[(i+1)%n] > 0 {
			if entries == 0 {
				start = i
			}
			entries++
		}
	}
	if entries == 0 {
		return nil
	}
	if entries > 1 {
		return joined(g, l, chainsOf(g, d, start, l))
	}
	h := room[:0]
	for k := 0; k < n; k++ {
		i, j := (start+k)%n, (start+k+1)%n
		switch {
		case d[i] <= 0 && d[j] > 0:
			p := g[i]
			if d[i] < 0 {
				p = p.Add(g[j].Sub(p).Mul(d[i] / (d[i] - d[j])))
			}
			h = append(h, p, g[j])
		case d[j] > 0:
			h = append(h, g[j])
		case d[i] > 0:
			p := g[j]
			if d[j] < 0 {
				p = g[i].Add(g[j].Sub(g[i]).Mul(d[i] / (d[i] - d[j])))
			}
			h = append(h, p)
		}
	}
	return tidy(h)
}

// chainsOf gives the runs of corners on the good side, the first after corner start.
func chainsOf(g plane.Polygon, d []float64, start int, l plane.Line) []chain {
	n := len(g)
	way := plane.Point{X: l.N.Y, Y: -l.N.X} // the normal lies to its left
	var chains []chain
	for k := 0; k < n; k++ {
		i, j := (start+k)%n, (start+k+1)%n
		if d[i] <= 0 && d[j] > 0 {
			p := g[i]
			if d[i] < 0 {
				p = p.Add(g[j].Sub(p).Mul(d[i] / (d[i] - d[j])))
			}
			chains = append(chains, chain{pts: append(make(plane.Polygon, 0, n), p), enter: way.Dot(p)})
		}
		c := &chains[len(chains)-1]
		if d[j] > 0 {
			c.pts = append(c.pts, g[j])
		} else if d[i] > 0 {
			p := g[j]
			if d[j] < 0 {
				p = g[i].Add(g[j].Sub(g[i]).Mul(d[i] / (d[i] - d[j])))
			}
			c.pts = append(c.pts, p)
			c.exit = way.Dot(p)
		}
	}
	return chains
}

// A chain is a run of corners on the good side of a cut, with the places along the line where it enters and leaves.
type chain struct {
	pts         plane.Polygon
	enter, exit float64
	used        bool
}

// joined makes polygons of chains and gives the largest.
func joined(g plane.Polygon, l plane.Line, chains []chain) plane.Polygon {
	// along the line the crossings pair up, each inside stretch from an exit to the entry next to it
	type mark struct {
		at    float64
		chain int
		enter bool
	}
	var marks []mark
	for i, c := range chains {
		marks = append(marks, mark{c.enter, i, true}, mark{c.exit, i, false})
	}
	sort.SliceStable(marks, func(a, b int) bool { return marks[a].at < marks[b].at })
	pair := make([]int, len(chains)) // exit of chain i leads to the entry of chain pair[i]
	for i := range pair {
		pair[i] = i
	}
	for k := 0; k+1 < len(marks); k += 2 {
		a, b := marks[k], marks[k+1]
		switch {
		case a.enter && !b.enter:
			pair[b.chain] = a.chain
		case !a.enter && b.enter:
			pair[a.chain] = b.chain
		default:
			return largestOf(g, chains) // corners that touch the line: each chain closed by itself
		}
	}
	var best plane.Polygon
	for i := range chains {
		if chains[i].used {
			continue
		}
		var h plane.Polygon
		for k := i; !chains[k].used; k = pair[k] {
			chains[k].used = true
			h = append(h, chains[k].pts...)
		}
		if best == nil || h.Area() > best.Area() {
			best = h
		}
	}
	return tidy(best)
}

// largestOf closes every chain by itself and gives the largest that is simple.
func largestOf(g plane.Polygon, chains []chain) plane.Polygon {
	var best plane.Polygon
	for _, c := range chains {
		if !holdsEdge(g, c.pts[len(c.pts)-1], c.pts[0]) {
			continue
		}
		if h := tidy(c.pts); len(h) >= 3 && h.Area() > 0 && (best == nil || h.Area() > best.Area()) && h.IsSimple() {
			best = h
		}
	}
	return best
}

// holdsEdge tells whether the way from a to b stays in the polygon, its outline included, by 1e-9.
func holdsEdge(g plane.Polygon, a, b plane.Point) bool {
	const slack = 1e-9
	d := b.Sub(a)
	n := d.Norm()
	if n == 0 {
		return holdsPoint(g, a)
	}
	d = d.Mul(1 / n)
	var small [16]float64
	touch := append(small[:0], 0, n)
	for i, p := range g {
		q := g[(i+1)%len(g)]
		u, v := d.Cross(p.Sub(a)), d.Cross(q.Sub(a))
		if u > slack && v < -slack || u < -slack && v > slack {
			t := d.Dot(p.Sub(a)) + (d.Dot(q.Sub(p)))*u/(u-v)
			if t > slack && t < n-slack {
				// crossing: allowed only when the crossing hugs an end of the edge that lies on the line
				return false
			}
			continue
		}
		if math.Abs(u) <= slack {
			if t := d.Dot(p.Sub(a)); t > slack && t < n-slack {
				touch = append(touch, t)
			}
		}
	}
	if len(touch) > 2 {
		sort.Float64s(touch)
	}
	for i := 1; i < len(touch); i++ {
		if !holdsPoint(g, a.Add(d.Mul((touch[i]+touch[i-1])/2))) {
			return false
		}
	}
	return true // and so are the ends: no wall lies between them and a middle that is inside
}

// holdsPoint tells whether p lies in the polygon or within 2e-9 of its outline.
func holdsPoint(g plane.Polygon, p plane.Point) bool {
	const slack = 2e-9
	in := false
	a := g[len(g)-1]
	for _, b := range g {
		d, e := b.Sub(a), p.Sub(a)
		c := d.Cross(e)
		nn := d.Dot(d)
		if c*c <= slack*slack*nn {
			if t := d.Dot(e); t >= -slack && t <= nn+slack {
				return true
			}
		}
		if (a.Y > p.Y) != (b.Y > p.Y) && (c > 0) == (b.Y > a.Y) {
			in = !in
		}
		a = b
	}
	return in
}

// holdsAll tells whether every wall of h lies in the polygon: a region that did not would leave the space.
func holdsAll(g, h plane.Polygon) bool {
	for i := range h {
		if a, b := h.Edge(i); !holdsEdge(g, a, b) {
			return false
		}
	}
	return true
}
