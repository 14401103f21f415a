package cavity

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"cubby/internal/plane"
)

// A piece is one straight part of a profile: from abscissa a to b the value runs from va to vb.
type piece struct{ a, b, va, vb float64 }

// at is the value of the piece's line at x.
func (p piece) at(x float64) float64 {
	if p.b == p.a {
		return max(p.va, p.vb)
	}
	return p.va + (x-p.a)/(p.b-p.a)*(p.vb-p.va)
}

func (p piece) slope() float64 { return (p.vb - p.va) / (p.b - p.a) }

// clip is the part of the piece between x0 and x1, which lie in it.
func (p piece) clip(x0, x1 float64) piece { return piece{x0, x1, p.at(x0), p.at(x1)} }

// A profile is a function of one variable, straight in pieces; the pieces follow each other in rising order and may
// leave out stretches, where the function has no value. It may jump between two pieces. Profiles are not changed in place.
type profile []piece

// tiny is the length below which a piece is nothing: a millionth of a millimetre.
const tiny = 1e-9

// add appends a piece, joined to the last one when they are one line.
func (f profile) add(p piece) profile {
	if p.b-p.a <= tiny {
		return f
	}
	if n := len(f); n > 0 {
		l := &f[n-1]
		if math.Abs(l.b-p.a) <= tiny {
			p.a = l.b
			if math.Abs(l.vb-p.va) <= 1e-10 && math.Abs(l.slope()-p.slope()) <= 1e-9*(1+math.Abs(p.slope())) {
				l.b, l.vb = p.b, p.vb
				return f
			}
		}
	}
	return append(f, p)
}

// upper is the larger of two profiles; where only one has a value, that one.
func upper(f, g profile) profile {
	if len(f) == 0 {
		return g
	}
	if len(g) == 0 {
		return f
	}
	out := make(profile, 0, len(f)+len(g)+2)
	i, j := 0, 0
	x := min(f[0].a, g[0].a)
	for i < len(f) || j < len(g) {
		for i < len(f) && f[i].b <= x+tiny {
			i++
		}
		for j < len(g) && g[j].b <= x+tiny {
			j++
		}
		inF, inG := i < len(f) && f[i].a <= x+tiny, j < len(g) && g[j].a <= x+tiny
		next := math.Inf(1)
		if i < len(f) {
			next = min(next, either(inF, f[i].b, f[i].a))
		}
		if j < len(g) {
			next = min(next, either(inG, g[j].b, g[j].a))
		}
		switch {
		case inF && inG:
			out = larger(out, f[i], g[j], x, next)
		case inF:
			out = out.add(f[i].clip(x, next))
		case inG:
			out = out.add(g[j].clip(x, next))
		}
		x = next
	}
	return out
}

func either(c bool, a, b float64) float64 {
	if c {
		return a
	}
	return b
}

// larger adds the larger of two lines between x0 and x1.
func larger(out profile, p, q piece, x0, x1 float64) profile {
	if x1-x0 <= tiny {
		return out
	}
	d0, d1 := p.at(x0)-q.at(x0), p.at(x1)-q.at(x1)
	switch {
	case d0 >= 0 && d1 >= 0:
		return out.add(p.clip(x0, x1))
	case d0 <= 0 && d1 <= 0:
		return out.add(q.clip(x0, x1))
	}
	m := x0 + (x1-x0)*d0/(d0-d1)
	if d0 < 0 {
		p, q = q, p
	}
	return out.add(p.clip(x0, m)).add(q.clip(m, x1))
}

// negated is the profile upside down.
func (f profile) negated() profile {
	g := make(profile, len(f))
	for i, p := range f {
		g[i] = piece{p.a, p.b, -p.va, -p.vb}
	}
	return g
}

// lower is the smaller of two profiles; where only one has a value, that one.
func lower(f, g profile) profile { return upper(f.negated(), g.negated()).negated() }

// part is the profile between x0 and x1.
func (f profile) part(x0, x1 float64) profile {
	var g profile
	for _, p := range f {
		if a, b := max(p.a, x0), min(p.b, x1); b-a > tiny {
			g = append(g, p.clip(a, b))
		}
	}
	return g
}

// at is the value at x, the larger at a jump; minus infinity where there is none.
func (f profile) at(x float64) float64 {
	v := math.Inf(-1)
	for k := f.first(x); k < len(f) && f[k].a <= x+tiny; k++ {
		v = max(v, f[k].at(max(f[k].a, min(f[k].b, x))))
	}
	return v
}

// first is the index of the first piece that reaches x.
func (f profile) first(x float64) int {
	return sort.Search(len(f), func(i int) bool { return f[i].b >= x-tiny })
}

// overlaps goes along two profiles where both have a value, and gives the pieces of each stretch between their ends.
func overlaps(f, g profile, put func(p, q piece)) {
	for i, j := 0, 0; i < len(f) && j < len(g); {
		a, b := max(f[i].a, g[j].a), min(f[i].b, g[j].b)
		if b-a > tiny {
			put(f[i].clip(a, b), g[j].clip(a, b))
		}
		if f[i].b < g[j].b {
			i++
		} else {
			j++
		}
	}
}

// blend is (1-t) f + t g where both have a value.
func blend(f, g profile, t float64) (out profile) {
	overlaps(f, g, func(p, q piece) {
		out = out.add(piece{p.a, p.b, (1-t)*p.va + t*q.va, (1-t)*p.vb + t*q.vb})
	})
	return out
}

// breaks lists the abscissas of the ends of all pieces between x0 and x1.
func (f profile) breaks(list []float64, x0, x1 float64) []float64 {
	for _, p := range f {
		for _, x := range [2]float64{p.a, p.b} {
			if x > x0 && x < x1 {
				list = append(list, x)
			}
		}
	}
	return list
}

// most is the greatest value over [x0, x1]; minus infinity when the profile has none there.
func (f profile) most(x0, x1 float64) float64 {
	v := math.Inf(-1)
	for k := f.first(x0); k < len(f) && f[k].a <= x1; k++ {
		if p := f[k]; p.b > x0-tiny && p.a < x1+tiny {
			v = max(v, max(p.at(max(p.a, x0)), p.at(min(p.b, x1))))
		}
	}
	return v
}

// constant is the profile that has the value v from a to b.
func constant(a, b, v float64) profile { return profile{{a, b, v, v}} }

// topOf is the upper side of a convex polygon, counter-clockwise, as a profile.
func topOf(g plane.Polygon) profile {
	return sideOf(g, func(a, b plane.Point) (plane.Point, plane.Point) { return b, a }) // it runs to the left: the inside is below
}

// bottomOf is the lower side of a convex polygon as a profile.
func bottomOf(g plane.Polygon) profile {
	return sideOf(g, func(a, b plane.Point) (plane.Point, plane.Point) { return a, b })
}

// sideOf are the walls of a polygon that run to the right, or to the left where turned turns them round.
func sideOf(g plane.Polygon, turned func(a, b plane.Point) (plane.Point, plane.Point)) (f profile) {
	for i := range g {
		if a, b := turned(g.Edge(i)); b.X-a.X > tiny {
			f = append(f, piece{a.X, b.X, a.Y, b.Y})
		}
	}
	slices.SortFunc(f, func(p, q piece) int { return cmp.Compare(p.a, q.a) })
	return f
}

// between gives the outlines, counter-clockwise, of what lies over lo and under hi; parts that are nowhere thicker than
// a micrometre are left out.
func between(lo, hi profile) []plane.Polygon {
	var all []plane.Polygon
	var below, above []plane.Point
	thick := 0.0
	end := func() {
		if len(below) > 0 && thick > 1e-6 {
			g := append(plane.Polygon{}, below...)
			for i := len(above) - 1; i >= 0; i-- {
				g = append(g, above[i])
			}
			if g = tidy(g); len(g) >= 3 {
				all = append(all, g)
			}
		}
		below, above, thick = nil, nil, 0
	}
	last := math.Inf(-1)
	overlaps(lo, hi, func(l, h piece) {
		d0, d1 := h.va-l.va, h.vb-l.vb
		m := l.a + (l.b-l.a)*d0/(d0-d1)
		switch {
		case d0 <= 0 && d1 <= 0:
			end()
			return
		case d0 < 0:
			l, h = l.clip(m, l.b), h.clip(m, l.b)
		case d1 < 0:
			l, h = l.clip(l.a, m), h.clip(l.a, m)
		}
		// a jump may close the way from the piece before
		if len(below) > 0 && (l.a-last > tiny || min(above[len(above)-1].Y, h.va)-max(below[len(below)-1].Y, l.va) <= 1e-6) {
			end()
		}
		below = append(below, plane.Point{X: l.a, Y: l.va}, plane.Point{X: l.b, Y: l.vb})
		above = append(above, plane.Point{X: h.a, Y: h.va}, plane.Point{X: h.b, Y: h.vb})
		thick, last = max(thick, h.va-l.va, h.vb-l.vb), l.b
	})
	end()
	return all
}

// tidy drops corners that are doubled or lie within a fiftieth of a millimetre of straight without leaving the polygon:
// a corner that sticks out is cut off, one that points inward stays unless it is straight to a billionth.
func tidy(g plane.Polygon) plane.Polygon {
	n := len(g)
	first := -1
	for i := range g {
		if needless(g[(i+n-1)%n], g[i], g[(i+1)%n]) {
			first = i
			break
		}
	}
	if first < 0 || n < 3 {
		return g
	}
	h := make(plane.Polygon, 0, n) // g may be shared
	for _, p := range g {
		for len(h) >= 2 && needless(h[len(h)-2], h[len(h)-1], p) {
			h = h[:len(h)-1]
		}
		h = append(h, p)
	}
	for len(h) >= 3 { // round the end of the list
		m := len(h)
		switch {
		case needless(h[m-2], h[m-1], h[0]):
			h = h[:m-1]
		case needless(h[m-1], h[0], h[1]):
			h = h[1:]
		default:
			return h
		}
	}
	return h
}

// needless tells whether corner p between two others is doubled or straight.
func needless(prev, p, next plane.Point) bool {
	u, d := p.Sub(prev), next.Sub(prev)
	if u.Dot(u) <= 1e-16 {
		return true
	}
	nn := d.Dot(d)
	if nn <= 1e-16 {
		return true
	}
	off := d.Cross(u) // over the length: negative, p sticks out to the right of the way
	along := u.Dot(d)
	if along <= 0 || along >= nn {
		return false
	}
	return off <= 0 && off*off < 4e-10*nn || off > 0 && off*off < 1e-16*nn
}
