package work

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/panels"
)

// arrises are the places of a rectangular panel's arrises across it, from the edge of its blank at y0, m.
type arrises struct{ outer, inner [2]float64 } // at y0, at y1

// across gives the arrises of a panel: its width is that over both faces.
func across(p *panels.Panel) (a arrises, ok bool) {
	e0, e1 := edgeAt(p, "y0"), edgeAt(p, "y1")
	if e0 < 0 || e1 < 0 {
		return a, false
	}
	in := func(e panels.Edge) (outer, inner float64) {
		switch {
		case !bevelled(e):
			return 0, 0
		case e.Tilt > 0:
			return 0, e.Run
		}
		return e.Run, 0
	}
	o0, i0 := in(p.Edges[e0])
	o1, i1 := in(p.Edges[e1])
	return arrises{[2]float64{o0, p.Width - o1}, [2]float64{i0, p.Width - i1}}, true
}

// bevels lists the bevelled edges of a panel. The first is sawn with the fence at the square edge of the blank, the second with the
// fence at the edge that is finished. The short face of the edge lies on the table and the blade leans away from the fence, so the
// fence reads the short face.
func bevels(b *panels.Box, i int) []Cut {
	p := &b.Panels[i]
	a, ok := across(p)
	if !ok {
		return nil
	}
	var tilted []int
	for _, key := range []string{"y0", "y1"} {
		if k := edgeAt(p, key); bevelled(p.Edges[k]) {
			tilted = append(tilted, k)
		}
	}
	// the long arris of the edge sawn first goes against the fence afterwards: first the one whose long face is up both times
	slices.SortStableFunc(tilted, func(x, y int) int { return cmp.Compare(p.Edges[y].Tilt, p.Edges[x].Tilt) })
	over := p.Blank[1] - p.Width
	var out []Cut
	for n, k := range tilted {
		e := p.Edges[k]
		end := 0
		if e.Edge == "y1" {
			end = 1
		}
		short := math.Max(a.outer[0], a.inner[0])
		if end == 1 {
			short = math.Min(a.outer[1], a.inner[1])
		}
		from := 0.0 // the far edge of the blank
		if end == 0 {
			from = p.Width
		}
		c := Cut{Tool: Bevel, Sheet: -1, Tilt: math.Abs(e.Tilt), Run: e.Run, Up: OuterFace, Take: Piece{Kind: Board, Panel: i}, Keep: 0, At: Edge{Index: k},
			Makes: [2]Piece{{Kind: Board, Panel: i}, {Kind: Waste}}, Fence: math.Abs(short - from)}
		if e.Tilt < 0 {
			c.Up = InnerFace
		}
		far := edgeAt(p, map[int]string{0: "y1", 1: "y0"}[end])
		c.Reference = Edge{Index: far}
		if n == 0 {
			c.Marks = append(c.Marks, TestPiece)
			if over > same { // what is over comes off the other edge
				c.Fence += over
			}
		} else if bevelled(p.Edges[far]) && math.Abs(p.Edges[far].Tilt) > 30*math.Pi/180 {
			c.Marks = append(c.Marks, Feather)
		}
		c.Marks = append(c.Marks, bevelMarks(b, p, e, c.Fence)...)
		out = append(out, c)
	}
	return out
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
