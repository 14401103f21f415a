package work

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// rim is one edge of a panel on its outer face, in the panel frame: outward normal, and how far out the two faces reach there.
type rim struct {
	n            plane.Point
	outer, inner float64 // m
}

// rimOf finds the edge k of a panel: by its key on a rectangular wall, else by the side of its outline.
func rimOf(p *panels.Panel, k int) (rim, bool) {
	e := p.Edges[k]
	var r rim
	switch e.Edge {
	case "y0", "y1", "x0", "x1":
		way := map[string]plane.Point{"y0": {Y: -1}, "y1": {Y: 1}, "x0": {X: -1}, "x1": {X: 1}}[e.Edge]
		r.n, r.outer = way, math.Inf(-1)
		for _, q := range p.Outer {
			r.outer = math.Max(r.outer, p.Place.To(q).Dot(way))
		}
	default:
		i, err := strconv.Atoi(strings.TrimPrefix(e.Edge, "e"))
		if err != nil || i < 0 || i >= len(p.Outline) {
			return r, false
		}
		a, b := p.Outline.Edge(i)
		r.n = b.Sub(a).Unit().Left().Mul(-1)
		r.outer = a.Dot(r.n)
	}
	r.inner = r.outer - math.Copysign(e.Run, e.Tilt)
	return r, true
}

// bevels lists the bevelled edges of a panel. The first is sawn with the fence at the square edge of the blank, the second with the
// fence at the edge that is finished. The short face of the edge lies on the table and the blade leans away from the fence, so the
// fence reads the short face.
func bevels(b *panels.Box, i int) []Cut {
	p := &b.Panels[i]
	var tilted []int
	for k, e := range p.Edges {
		if bevelled(e) {
			tilted = append(tilted, k)
		}
	}
	// the edge whose outer face is long first: its long arris then goes against the fence above the table as a rule
	slices.SortStableFunc(tilted, func(x, y int) int { return cmp.Compare(p.Edges[y].Tilt, p.Edges[x].Tilt) })
	var out []Cut
	for n, k := range tilted {
		r, ok := rimOf(p, k)
		if !ok || len(p.Outer) == 0 {
			continue
		}
		from := math.Inf(1) // the far edge of the blank
		for _, q := range append(slices.Clone(p.Outer), p.Inner...) {
			from = math.Min(from, p.Place.To(q).Dot(r.n))
		}
		e := p.Edges[k]
		far := opposite(p, r.n)
		c := onBoard(Bevel, i, k, Waste, Setting{Reference: Edge{Index: far}, Fence: math.Min(r.outer, r.inner) - from, Tilt: math.Abs(e.Tilt), Run: e.Run, Up: OuterFace})
		if e.Tilt < 0 {
			c.Up = InnerFace
		}
		if n == 0 {
			c.Marks = append(c.Marks, TestPiece)
		} else if far >= 0 && math.Abs(p.Edges[far].Tilt) > 30*math.Pi/180 {
			c.Marks = append(c.Marks, Feather)
		}
		if e.Compound() || far < 0 {
			c.Marks = append(c.Marks, Gauge)
		}
		c.Marks = append(c.Marks, bevelMarks(b, p, e, c.Fence)...)
		out = append(out, c)
	}
	return out
}

// opposite is the edge of a panel that faces the other way, the farthest where a notch has one too; -1: none does.
func opposite(p *panels.Panel, n plane.Point) int {
	best, reach := -1, math.Inf(-1)
	for k := range p.Edges {
		if r, ok := rimOf(p, k); ok && r.n.Dot(n) < -1+1e-6 && r.outer > reach {
			best, reach = k, r.outer
		}
	}
	return best
}

// What a saw does where the job says nothing (common practice).
const (
	sawTilt   = 45 * math.Pi / 180
	sawDepth  = 0.054
	sawDeep45 = 0.038
)

// bevelMarks are the cautions of a bevel: beyond the saw, too deep for it, narrow.
func bevelMarks(b *panels.Box, p *panels.Panel, e panels.Edge, fence float64) []Mark {
	saw := b.Spec.Shop.Saw
	most, depth, deep := cmp.Or(saw.MaxTilt, sawTilt), cmp.Or(saw.Depth, sawDepth), cmp.Or(saw.DepthAt45, sawDeep45)
	tilt := math.Abs(e.Tilt)
	var out []Mark
	if tilt > most+1e-9 {
		out = append(out, BeyondSaw)
	} else if reach := depth + (deep-depth)*tilt/(math.Pi/4); p.Thickness/math.Cos(tilt) > reach+1e-9 {
		out = append(out, DeepCut)
	}
	switch {
	case fence < 0.05:
		out = append(out, PushBlock)
	case fence < 0.15 || p.Length < 0.3:
		out = append(out, PushStick)
	}
	return out
}
