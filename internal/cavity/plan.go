package cavity

import (
	"math"
	"slices"
	"sort"

	"cubby/internal/plane"
)

// strip is the widest part of a patch across over which a curved border is replaced by a chord.
const strip = 0.1

// above gives what a sheet takes of the plan of a prism along Up: where it lies over the level, by more than a billionth.
// A ruled patch is over a level on one side of a hyperbola, which is covered by its chord or its tangents.
func (s *sheet) above(level float64, lo, hi profile, left, right float64) []island {
	level += 1e-9
	var all []island
	for c := range s.steps {
		a, b := math.Max(s.xs[c], left), math.Min(s.xs[c+1], right)
		if b-a <= tiny {
			continue
		}
		y0, y1 := -lo.negated().most(a, b), hi.most(a, b)
		if y1-y0 <= tiny {
			continue
		}
		f, g := s.lines[c].part(y0, y1), s.lines[c+1].part(y0, y1)
		if f.most(y0, y1) <= level && g.most(y0, y1) <= level {
			continue
		}
		ys := g.breaks(f.breaks([]float64{y0, y1}, y0, y1), y0, y1)
		for _, d := range s.steps[c] {
			for _, y := range [2]float64{d.lo, d.hi} {
				if y > y0 && y < y1 {
					ys = append(ys, y)
				}
			}
		}
		sort.Float64s(ys)
		n := min(int(math.Ceil((b-a)/strip)), 64)
		if slices.Equal(f, g) {
			n = 1
		}
		for k := range n {
			u := a + (b-a)*float64(k)/float64(n)
			v := a + (b-a)*float64(k+1)/float64(n)
			all = append(all, s.strip(c, u, v, ys, level)...)
		}
	}
	return all
}

// strip gives what is taken of the strip [x0, x1] of a cell, between the depths ys, patches that touch joined.
func (s *sheet) strip(c int, x0, x1 float64, ys []float64, level float64) []island {
	var all []island
	var run *island
	reach := 0.0
	for k := 1; k < len(ys); k++ {
		y0, y1 := ys[k-1], ys[k]
		if y1-y0 <= tiny {
			continue
		}
		g := s.patch(c, x0, x1, y0, y1, level)
		if g == nil {
			continue
		}
		o := g.Bounds()
		b, t := bottomOf(g), topOf(g)
		if run != nil && o.Min.Y <= reach+1e-6 {
			run.top = upper(run.top, t)
			run.bottom = lower(run.bottom, b)
			reach = math.Max(reach, o.Max.Y)
			continue
		}
		if run != nil {
			all = append(all, *run)
		}
		run, reach = &island{b, t}, o.Max.Y
	}
	if run != nil {
		all = append(all, *run)
	}
	return all
}

// patch covers what is over the level of one patch by a convex polygon, counter-clockwise; nil when nothing is.
func (s *sheet) patch(c int, x0, x1, y0, y1, level float64) plane.Polygon {
	xa, xb := s.xs[c], s.xs[c+1]
	ta, tb := (x0-xa)/(xb-xa), (x1-xa)/(xb-xa)
	inside := (y0 + y1) / 2 // values at the ends of the patch, from within it
	value := func(f profile, y float64) float64 {
		for k := f.first(inside); k < len(f); k++ {
			if f[k].a <= inside && f[k].b >= inside {
				return f[k].at(y)
			}
		}
		return f.at(y)
	}
	f0, f1 := value(s.lines[c], y0), value(s.lines[c], y1)
	g0, g1 := value(s.lines[c+1], y0), value(s.lines[c+1], y1)
	for _, d := range s.steps[c] {
		if d.lo <= y0+tiny && d.hi >= y1-tiny {
			f0, f1 = math.Max(f0, g0), math.Max(f1, g1)
			g0, g1 = f0, f1
		}
	}
	at := func(t, f, g float64) float64 { return (1-t)*f + t*g - level }
	corner := [4]plane.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
	val := [4]float64{at(ta, f0, g0), at(tb, f0, g0), at(tb, f1, g1), at(ta, f1, g1)}
	over := 0
	for _, v := range val {
		if v > 0 {
			over++
		}
	}
	if over == 0 {
		return nil
	}
	if over == 4 {
		return corner[:]
	}
	var pts, roots plane.Polygon
	for i := range corner {
		j := (i + 1) % 4
		if val[i] > 0 {
			pts = append(pts, corner[i])
		}
		if (val[i] > 0) != (val[j] > 0) {
			p := corner[i].Add(corner[j].Sub(corner[i]).Mul(val[i] / (val[i] - val[j])))
			pts, roots = append(pts, p), append(roots, p)
		}
	}
	if len(roots) == 2 {
		// value at (x, y) in the patch is bilinear: k0 + k1 u + k2 v + k3 u v with u, v from the corner at (x0, y0)
		dx, dy := x1-x0, y1-y0
		k1, k2 := (val[1]-val[0])/dx, (val[3]-val[0])/dy
		k3 := (val[0] - val[1] + val[2] - val[3]) / (dx * dy)
		bilinear := func(p plane.Point) float64 {
			u, v := p.X-x0, p.Y-y0
			return val[0] + k1*u + k2*v + k3*u*v
		}
		tangent := func(p plane.Point) plane.Line {
			u, v := p.X-x0, p.Y-y0
			n := plane.Point{X: k1 + k3*v, Y: k2 + k3*u}.Unit()
			return plane.Line{N: n, C: n.Dot(p)}
		}
		if bilinear(roots[0].Add(roots[1]).Mul(0.5)) > 1e-12 { // the border bulges to the free side of the chord
			if p, ok := tangent(roots[0]).Meet(tangent(roots[1])); ok {
				p.X = math.Max(x0, math.Min(x1, p.X))
				p.Y = math.Max(y0, math.Min(y1, p.Y))
				pts = append(pts, p)
			} else {
				return corner[:]
			}
		}
	}
	return pts.ConvexHull()
}
