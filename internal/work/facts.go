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
	if e.Meets == "" {
		return -1
	}
	return index(b, e.Meets)
}

// index is the place of the panel that a reference means, -1: none.
func index(b *panels.Box, ref string) int {
	return slices.IndexFunc(b.Panels, func(p panels.Panel) bool { return p.Name == ref })
}

// step is a rabbet: a step in the inner face along an edge.
type step struct {
	edge         int // index into Edges
	width, depth float64
}

// steps are the rabbets of a panel.
func rabbets(p *panels.Panel) []step {
	var out []step
	if p.Rabbet != nil {
		for i, w := range p.Rabbet.Widths {
			if w > 0 && i < len(p.Edges) {
				out = append(out, step{i, w, p.Rabbet.Depth})
			}
		}
	}
	if len(p.Section) < 6 {
		return out
	}
	for i, e := range p.Edges {
		if e.Joint == "rabbet" && (e.Edge == "y0" || e.Edge == "y1") {
			if w, d := sectionStep(p, e.Edge == "y0"); w > 0 {
				out = append(out, step{i, w, d})
			}
		}
	}
	return out
}

// sectionStep reads the step at one end of a wall's section: its width from the outer arris, its depth from the inner face.
func sectionStep(p *panels.Panel, atEnd bool) (width, depth float64) {
	o0, o1 := p.Section[0], p.Section[1]
	u := o1.Sub(o0).Unit()
	m := u.Left()
	deepest := 0.0
	for _, c := range p.Section {
		deepest = math.Max(deepest, c.Sub(o0).Dot(m))
	}
	for _, c := range p.Section[2:] {
		s, d := c.Sub(o0).Dot(u), c.Sub(o0).Dot(m)
		if atEnd {
			s = o1.Sub(c).Dot(u)
		}
		if d > same && d < deepest-same && s > same && s < o1.Sub(o0).Norm()/2 {
			width, depth = math.Max(width, s), deepest-d
		}
	}
	return width, depth
}

// sides of the rectangle round a panel that are not where its outline has an edge: slants and notches.
type side struct {
	edge   int
	a, b   plane.Point // ends of the edge as cut, from the lower left corner of the blank
	notch  bool        // it ends at an inner corner
	slants bool        // neither level nor upright
}

// offRim lists the sides of a panel's outline that the rectangle of its blank does not give.
func offRim(p *panels.Panel) []side {
	g := p.Outline
	if p.Flush > 0 {
		g = p.CutOutline()
	}
	if len(g) < 3 {
		return nil
	}
	box := g.Bounds()
	n := len(g)
	var out []side
	for i := range g {
		a, b := g.Edge(i)
		level, upright := math.Abs(a.Y-b.Y) < same, math.Abs(a.X-b.X) < same
		rim := level && (math.Abs(a.Y-box.Min.Y) < same || math.Abs(a.Y-box.Max.Y) < same) ||
			upright && (math.Abs(a.X-box.Min.X) < same || math.Abs(a.X-box.Max.X) < same)
		if rim {
			continue
		}
		out = append(out, side{edge: i, a: a.Sub(box.Min), b: b.Sub(box.Min), slants: !level && !upright,
			notch: g.InteriorAngle(i) > math.Pi+square || g.InteriorAngle((i+1)%n) > math.Pi+square})
	}
	return out
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
func inside(p *panels.Panel) bool { return p.Role != panels.Wall && p.Role != panels.End }

// ofPort reports whether a panel is a board of a slot.
func ofPort(p *panels.Panel) bool { return p.Role == panels.PortPart }

// hasHole reports whether a panel has a hole of a kind.
func hasHole(p *panels.Panel, kind string) bool {
	return slices.ContainsFunc(p.Holes, func(h panels.Hole) bool { return h.Kind == kind })
}

// removable is the index of the face that is screwed on, -1: all are glued.
func removable(b *panels.Box) int {
	if b.Removable == nil {
		return -1
	}
	return index(b, b.Removable.Panel)
}

// outsideSize is the width, depth and height of the box.
func outsideSize(b *panels.Box) (w, d, h float64) {
	k := b.Section.Bounds()
	return b.Width, k.Max.X - k.Min.X, k.Max.Y - k.Min.Y
}

// partOf parts a layout's name into the panel's and the number of the piece, 0: the only one.
func partOf(name string) (base string, part int) {
	i := strings.LastIndexByte(name, '#')
	if i <= 0 {
		return name, 0
	}
	n, err := strconv.Atoi(name[i+1:])
	if err != nil {
		return name, 0
	}
	return name[:i], n
}

// pieceOf finds the panel that a layout's name means.
func pieceOf(b *panels.Box, name string) (panel, part int) {
	base, part := partOf(name)
	return index(b, base), part
}
