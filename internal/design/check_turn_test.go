package design

import (
	"testing"

	"cubby/internal/plane"
)

// TestAttitudes holds the ways to stand a box: six for three unlike sides, one for a cube, eight for a section without
// symmetry; and that faces opposite each other stay so.
func TestAttitudes(t *testing.T) {
	box := func(w, d, h float64) ReadyBox {
		g, width := block(w, d, h)
		return ReadyBox{Shell: Shell{Section: g, Width: width}}
	}
	wedge := ReadyBox{Shell: Shell{Width: 0.5, Section: plane.Polygon{{X: 1, Y: 1}, {X: 1.3, Y: 1}, {X: 1.4, Y: 1.2}, {X: 1, Y: 1.2}}}}
	for _, c := range []struct {
		name string
		box  ReadyBox
		want int
	}{{"three sizes", box(0.5, 0.3, 0.2), 6}, {"two sizes", box(0.5, 0.3, 0.3), 3}, {"cube", box(0.3, 0.3, 0.3), 1}, {"wedge", wedge, 8}} {
		all := attitudes(c.box)
		if len(all) != c.want {
			t.Errorf("%s: %d attitudes, want %d", c.name, len(all), c.want)
		}
		for _, a := range all {
			within(t, c.name+" volume", a.section.Area()*a.width, c.box.Section.Area()*c.box.Width, 1e-12)
			opposite := map[string]string{"front": "back", "back": "front", "left": "right", "right": "left", "top": "bottom", "bottom": "top"}
			for face, to := range a.looks {
				if a.looks[opposite[face]] != opposite[to] {
					t.Errorf("%s: %s looks %s and %s looks %s", c.name, face, to, opposite[face], a.looks[opposite[face]])
				}
			}
		}
	}
}

// TestTippedFaces holds that the words about a turned box agree with its shape: tipped on its back, a wedge's slope, at
// the back, lies on the floor.
func TestTippedFaces(t *testing.T) {
	b := ReadyBox{Shell: Shell{Width: 0.5, Section: plane.Polygon{{X: 0, Y: 0}, {X: 0.3, Y: 0}, {X: 0.4, Y: 0.2}, {X: 0, Y: 0.2}}}}
	a := attitudes(b)[1]
	if a.looks["front"] != "top" || a.looks["top"] != "back" || a.looks["bottom"] != "front" {
		t.Fatalf("tipped on its back: %v", a.looks)
	}
	// The front, 0.2 m square to both its neighbours, is now the only level side, on top.
	top := 0.0
	for i := range a.section {
		p, q := a.section.Edge(i)
		if near(p.Y, q.Y) {
			top = p.Y
		}
	}
	within(t, "height of the level side", top, 0.4, 1e-12)
}
