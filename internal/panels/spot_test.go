package panels

import (
	"math"
	"testing"

	"cubby/internal/plane"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// A driver whose place is measured in the space sits there: on a face that is square to the space, on one that slopes, and with
// one measure only, where the other is chosen. A place beside the face is refused.
func TestDriverSitsWhereItIsWished(t *testing.T) {
	section := plane.Polygon{{X: 0.1, Y: 0.02}, {X: 0.5, Y: 0.02}, {X: 0.5, Y: 0.32}, {X: 0.2, Y: 0.32}} // the front leans back
	box, err := solid.Straight(section, solid.Across, 0.05, 0.75)
	if err != nil {
		t.Fatal(err)
	}
	build := func(face string, at *Spot) (*Box, error) {
		s := Spec{Outside: box, Axis: solid.Across, Wood: Wood{Board: "MDF", Thickness: 0.018}, Face: face, Count: 1,
			Driver: Driver{Frame: 0.2, Cutout: 0.18, Depth: 0.08}}
		s.Mounting.At = at
		return Build(s)
	}
	for _, c := range []struct {
		face string
		at   Spot
	}{
		{"top", Spot{At: r3.Vec{X: 0.25, Y: 0.36}, Known: [3]bool{true, true, false}}},
		{"top", Spot{At: r3.Vec{X: 0.62}, Known: [3]bool{true, false, false}}},
		{"front", Spot{At: r3.Vec{X: 0.3, Z: 0.18}, Known: [3]bool{true, false, true}}},
		{"front", Spot{At: r3.Vec{X: 0.55}, Known: [3]bool{true, false, false}}},
		{"left", Spot{At: r3.Vec{Y: 0.36, Z: 0.16}, Known: [3]bool{false, true, true}}},
	} {
		b, err := build(c.face, &c.at)
		if err != nil {
			t.Errorf("%s: %v", c.face, err)
			continue
		}
		found := false
		for _, p := range b.Panels {
			for _, h := range p.Holes {
				if h.Kind != HoleDriver {
					continue
				}
				found = true
				g := p.Place.At(plane.Point{X: h.X, Y: h.Y}, 0)
				for k, d := range [3]float64{g.X - c.at.At.X, g.Y - c.at.At.Y, g.Z - c.at.At.Z} {
					if c.at.Known[k] && math.Abs(d) > 0.6e-3 { // holes are placed on whole half millimetres
						t.Errorf("%s: the driver is at %v, wished at %v", c.face, g, c.at.At)
					}
				}
			}
		}
		if !found {
			t.Errorf("%s: no opening", c.face)
		}
	}
	if _, err := build("top", &Spot{At: r3.Vec{X: 0.08, Y: 0.36}, Known: [3]bool{true, true, false}}); err == nil {
		t.Error("a driver that hangs over the edge of its face is built")
	}
}
