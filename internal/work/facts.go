package work

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/solid"
)

// square is the tilt in radians under which an edge is cut square: half of the last printed digit of a tilt, 0.05 degrees.
const square = 0.05 * math.Pi / 180

// same is the difference of two lengths that no rule shows, m.
const same = 5e-5

func bevelled(e panels.Edge) bool { return math.Abs(e.Tilt) > square }

// byMark sorts panels by their marks: A, B ... Z, AA.
func byMark(b *panels.Box, list []int) {
	slices.SortStableFunc(list, func(i, j int) int {
		m, n := b.Panels[i].Mark, b.Panels[j].Mark
		return cmp.Or(cmp.Compare(len(m), len(n)), cmp.Compare(m, n))
	})
}

// other is the panel that an edge meets, -1: none.
func other(b *panels.Box, e panels.Edge) int {
	if e.Meets == "" || e.Other >= len(b.Panels) {
		return -1
	}
	return e.Other
}

// index is the place of the panel that a reference means, -1: none.
func index(b *panels.Box, ref string) int {
	return slices.IndexFunc(b.Panels, func(p panels.Panel) bool { return p.Name == ref })
}

// side is a side of a panel's outline that the rectangle of its blank does not give: a slant, or part of a notch.
type side struct {
	edge       int
	from       Edge    // of the blank, from which it is measured: a sawn one that is an edge of the panel where there is one
	fence, far float64 // m: how far from it both its ends lie
	notch      bool    // its line runs on into the panel: it cannot be sawn through
}

// offRim lists the sides of a panel's outline that the rectangle of its blank does not give. They are measured from where the panel's
// corners are: the front, else the left, and the lower edge.
func offRim(p *panels.Panel) []side {
	g := p.CutOutline()
	if len(g) < 3 {
		return nil
	}
	box := g.Bounds()
	var out []side
	for i := range g {
		a, b := g.Edge(i)
		if _, on := rimSide(a, b, box); on {
			continue
		}
		s := side{edge: i, notch: slices.ContainsFunc(g, func(c plane.Point) bool { return b.Sub(a).Unit().Cross(c.Sub(a)) < -same })}
		names := [2]string{"bottom", "top"}
		if math.Abs(a.X-b.X) < math.Abs(a.Y-b.Y) {
			names = [2]string{"left", "right"}
			if p.Place.X.Y < -0.99 {
				names = [2]string{"right", "left"}
			}
		}
		s.from = Edge{Side: names[0], Sawn: true, Index: -1}
		for _, name := range names {
			if k := rimEdge(g, name); k >= 0 {
				s.from = Edge{Side: name, Sawn: true, Index: k}
				break
			}
		}
		s.fence, s.far = fromSide(s.from.Side, a, box), fromSide(s.from.Side, b, box)
		out = append(out, s)
	}
	return out
}

// rimSide is the side of the rectangle round an outline that one of its edges lies on.
func rimSide(a, b plane.Point, box plane.Rect) (string, bool) {
	at := func(u, v, w float64) bool { return math.Abs(u-w) < same && math.Abs(v-w) < same }
	switch {
	case at(a.Y, b.Y, box.Min.Y):
		return "bottom", true
	case at(a.Y, b.Y, box.Max.Y):
		return "top", true
	case at(a.X, b.X, box.Min.X):
		return "left", true
	case at(a.X, b.X, box.Max.X):
		return "right", true
	}
	return "", false
}

// fromSide is how far a point lies from a side of a rectangle.
func fromSide(side string, p plane.Point, box plane.Rect) float64 {
	switch side {
	case "left":
		return p.X - box.Min.X
	case "right":
		return box.Max.X - p.X
	case "bottom":
		return p.Y - box.Min.Y
	}
	return box.Max.Y - p.Y
}

// rimEdge is the longest edge of an outline on a side of the rectangle round it, -1: none.
func rimEdge(g plane.Polygon, name string) int {
	best, long, box := -1, 0.0, g.Bounds()
	for i := range g {
		a, b := g.Edge(i)
		if on, _ := rimSide(a, b, box); on == name && b.Sub(a).Norm() > long {
			best, long = i, b.Sub(a).Norm()
		}
	}
	return best
}

// edgeAt is the index of an edge by its key, -1 none.
func edgeAt(p *panels.Panel, key string) int {
	return slices.IndexFunc(p.Edges, func(e panels.Edge) bool { return e.Edge == key })
}

// pieces is how often a panel is there.
func pieces(p *panels.Panel) int { return max(1, p.Count) }

// area of a hole, m2.
func area(h panels.Hole) float64 {
	if h.Diameter > 0 {
		return math.Pi / 4 * h.Diameter * h.Diameter
	}
	return h.Length*h.Width - (4-math.Pi)*h.Radius*h.Radius
}

// inside reports whether a panel stands in the air of the box.
func inside(p *panels.Panel) bool { return !p.Role.Shell() }

// ofPort reports whether a panel is a board of a slot.
func ofPort(p *panels.Panel) bool { return p.Role.OfPort() }

// hasHole reports whether a panel has a hole of a kind.
func hasHole(p *panels.Panel, kind panels.HoleKind) bool {
	return slices.ContainsFunc(p.Holes, func(h panels.Hole) bool { return h.Kind == kind })
}

// removable is the index of the face that is screwed on, -1: all are glued.
func removable(b *panels.Box) int {
	if b.Removable == nil {
		return -1
	}
	return index(b, b.Removable.Panel)
}

// Outside is the width, depth and height of the box in bare wood, m.
func Outside(b *panels.Box) (w, d, h float64) {
	if b.Spec.Outside == nil {
		k := b.Section.Bounds()
		return b.Width, k.Max.X - k.Min.X, k.Max.Y - k.Min.Y
	}
	lo, hi := b.Spec.Outside.Bounds()
	return hi.X - lo.X, hi.Y - lo.Y, hi.Z - lo.Z
}

// Pocket is what a pocket takes out of the box, from its left, front and bottom: across, depth and height, m.
type Pocket struct {
	Name         string // of what stands there
	Begins, Ends [3]float64
}

// Pockets are the pockets of a box, in order of its faces. Where a pocket is open it goes as far as the box.
func Pockets(b *panels.Box) (out []Pocket) {
	lo, hi := b.Spec.Outside.Bounds()
	size := r3.Sub(hi, lo)
	for _, f := range b.Spec.Outside.Faces {
		if f.Kind != solid.InPocket {
			continue
		}
		k := slices.IndexFunc(out, func(n Pocket) bool { return n.Name == f.From })
		if k < 0 {
			k = len(out)
			out = append(out, Pocket{Name: f.From, Ends: [3]float64{size.X, size.Y, size.Z}})
		}
		for axis := solid.Across; axis <= solid.Up; axis++ {
			switch at := axis.Of(r3.Sub(f.Loops[0].At[0], lo)); { // its faces look into it
			case axis.Of(f.N) > 0.5:
				out[k].Begins[axis] = at
			case axis.Of(f.N) < -0.5:
				out[k].Ends[axis] = at
			}
		}
	}
	return out
}

// pieceOf finds the panel that a layout's name means, -1: none, and the number of the piece, 0: the only one.
func pieceOf(b *panels.Box, name string) (panel, part int) {
	base, part := nest.PartOf(name)
	return index(b, base), part
}
