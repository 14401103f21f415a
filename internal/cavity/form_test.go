package cavity

import (
	"math"
	"testing"

	"cubby/internal/plane"

	"pgregory.net/rapid"
)

// However a section is moved, mirrored or turned by quarters it has one form, and comes back from it as it was.
func TestFormsAreOneInEveryStanding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.IntRange(60, 600)
		w, h := float64(mm.Draw(t, "w"))/1000, float64(mm.Draw(t, "h"))/1000
		per := rapid.IntRange(100, 400) // whole micrometres: none lies between two places of the grid
		x, y := math.Round(w*float64(per.Draw(t, "x"))*1e3)/1e6, math.Round(h*float64(per.Draw(t, "y"))*1e3)/1e6
		if w == h {
			w += 0.001
		}
		g := plane.Polygon{{}, {X: w}, {X: w, Y: h - y}, {X: w - x, Y: h - y}, {X: w - x, Y: h}, {Y: h}} // a corner is missing
		f := &finder{forms: map[string]*form{}}
		o, v := f.formOf(g)
		for k := range 8 {
			turned := make(plane.Polygon, len(g))
			for i, p := range g {
				if k&1 != 0 {
					p.X = -p.X
				}
				if k&2 != 0 {
					p.Y = -p.Y
				}
				if k&4 != 0 {
					p.X, p.Y = p.Y, p.X
				}
				turned[(i+k)%len(g)] = p.Add(plane.Point{X: 0.3, Y: -0.2})
			}
			q, at := f.formOf(turned.CCW())
			if q != o {
				t.Fatalf("standing %d: %v is not %v", k, at.lay(turned.CCW()), v.lay(g))
			}
			back := at.raise(q.whole)
			if back.Area() <= 0 {
				t.Fatalf("standing %d: %v came back as %v", k, turned, back)
			}
			for _, p := range turned {
				if back[nearest(back, p)] != p {
					t.Fatalf("standing %d: %v came back as %v", k, turned, back)
				}
			}
		}
	})
}
