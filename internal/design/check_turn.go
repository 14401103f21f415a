package design

import (
	"slices"

	"cubby/internal/plane"
)

// An attitude is a way to stand a ready-made box in a space: its outside as it then lies, and where each of its faces
// then looks.
type attitude struct {
	section plane.Polygon // from its front and floor
	width   float64       // m
	looks   map[string]string
	turns   int // quarter turns and turns about that it takes from as it is sold
}

// whither says in which direction a side of the space lies.
var whither = map[string]string{
	"front": "to the front", "back": "to the back", "left": "to the left", "right": "to the right", "top": "up", "bottom": "down",
}

// attitudes are the ways to stand a box, as it is sold first and then by how many quarter turns it takes; those that
// give a section and a width that are there already are left out. Only a box of six right-angled faces has a section
// when it is turned a quarter to the side.
func attitudes(b ReadyBox) []attitude {
	as := attitude{rest(b.Section), b.Width, map[string]string{}, 0}
	for _, face := range []string{"front", "back", "top", "bottom", "left", "right"} {
		as.looks[face] = face
	}
	all := []attitude{as}
	for i := 0; i < len(all); i++ {
		a := all[i]
		next := []attitude{a.tipped(), a.faceAbout()}
		if oblong(a.section) {
			next = append(next, a.quarterTurn())
		}
		for _, n := range next {
			same := func(o attitude) bool { return near(o.width, n.width) && sameSection(o.section, n.section) }
			if !slices.ContainsFunc(all, same) {
				all = append(all, n)
			}
		}
	}
	return all
}

func near(a, b float64) bool { return a-b < fitSlack && b-a < fitSlack }

// sameSection reports whether two sections have the same corners in the same order, wherever they begin.
func sameSection(g, h plane.Polygon) bool {
	if len(g) != len(h) {
		return false
	}
	for shift := range h {
		same := true
		for i := range g {
			p := h[(i+shift)%len(h)]
			same = same && near(g[i].X, p.X) && near(g[i].Y, p.Y)
		}
		if same {
			return true
		}
	}
	return false
}

// rest moves a section to its own front and floor.
func rest(g plane.Polygon) plane.Polygon {
	low := g.Bounds().Min
	return g.CCW().Translate(plane.Point{X: -low.X, Y: -low.Y})
}

func oblong(g plane.Polygon) bool {
	s := g.Bounds()
	return len(g) == 4 && near(g.Area()/s.Width(), s.Height())
}

// tipped tips the box away from you onto its back.
func (a attitude) tipped() attitude {
	g := make(plane.Polygon, len(a.section))
	for i, v := range a.section {
		g[i] = plane.Point{X: v.Y, Y: -v.X}
	}
	return attitude{rest(g), a.width, a.turned(map[string]string{"front": "top", "top": "back", "back": "bottom", "bottom": "front"}), a.turns + 1}
}

// faceAbout turns the box half round on the floor.
func (a attitude) faceAbout() attitude {
	g := make(plane.Polygon, len(a.section))
	for i, v := range a.section {
		g[i] = plane.Point{X: -v.X, Y: v.Y}
	}
	return attitude{rest(g), a.width, a.turned(map[string]string{"front": "back", "back": "front", "left": "right", "right": "left"}), a.turns + 1}
}

// quarterTurn turns an oblong box a quarter round on the floor.
func (a attitude) quarterTurn() attitude {
	s := a.section.Bounds()
	g := plane.Polygon{{X: 0, Y: 0}, {X: a.width, Y: 0}, {X: a.width, Y: s.Height()}, {X: 0, Y: s.Height()}}
	return attitude{g, s.Width(), a.turned(map[string]string{"front": "left", "left": "back", "back": "right", "right": "front"}), a.turns + 1}
}

// turned says where the faces look after a further turn.
func (a attitude) turned(turn map[string]string) map[string]string {
	looks := make(map[string]string, len(a.looks))
	for face, to := range a.looks {
		if further, moves := turn[to]; moves {
			to = further
		}
		looks[face] = to
	}
	return looks
}
