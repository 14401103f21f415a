package cavity

import (
	"math"
	"testing"

	"cubby/internal/plane"
)

// A section that is the same over a width becomes two equal stations with the same free section, whatever its form.
func TestUniformKeepsTheSection(t *testing.T) {
	for _, g := range []plane.Polygon{
		outline(0, 0, 343, 0, 381, 216, 0, 178),
		outline(0, 0, 400, 0, 400, 300, 0, 300),
		outline(0, 0, 280, 0, 280, 90, 430, 90, 430, 250, 0, 250),                       // a plumb kick
		outline(0, 0, 400, 0, 400, 200, 250, 200, 250, 300, 0, 300),                     // a plumb step in the roof
		outline(0, 0, 400, 0, 300, 100, 400, 200, 0, 200),                               // a wedge from the back
		outline(0, 0, 400, 0, 400, 300, 200, 300, 200, 200, 300, 200, 300, 100, 0, 100), // a hook
	} {
		s, err := Uniform(1, g, 0)
		if err != nil {
			t.Fatal(err)
		}
		m, err := s.Settle()
		if err != nil {
			t.Errorf("%v: %v", g, err)
			continue
		}
		area := 0.0
		b := m.raw.band(m.xs, Across, 0, 1, 1e-6, 0)
		for _, way := range b.passings()[:1] {
			for _, h := range between(way.lo, way.hi) {
				area += h.Area()
			}
		}
		if area > g.Area()+1e-9 || area < g.Area()-1e-4 && len(s.Blocks) == 0 {
			t.Errorf("%v: %v free of %v", g, area, g.Area())
		}
		if math.Abs(m.Extent().Max.Z-g.Bounds().Max.Y) > 1e-9 {
			t.Errorf("%v: extent %v", g, m.Extent())
		}
	}
}
