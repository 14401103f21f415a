package cavity

import (
	"context"
	"math"
	"testing"

	"pgregory.net/rapid"

	"cubby/internal/plane"
)

// TestStepIsSquare holds that a step taped as two readings 1 mm apart gives a box without a bevel, and that a lean of 2 degrees stays.
func TestStepIsSquare(t *testing.T) {
	for run, bevels := range map[float64]bool{0.001: false, 0.008: true} {
		s, err := Uniform(0.56, plane.Polygon{{X: 0, Y: 0}, {X: 0.6, Y: 0}, {X: 0.6, Y: 0.24}, {X: 0.36 + run, Y: 0.24}, {X: 0.36, Y: 0.46}, {X: 0, Y: 0.46}}, 0.008)
		if err != nil {
			t.Fatal(err)
		}
		all, err := settled(t, s).Regions(context.Background(), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		seen := false
		for _, r := range all.Regions {
			if len(r.Section) != 6 || r.Axis != Across {
				continue
			}
			seen = true
			if (r.Bevels > 0) != bevels {
				t.Errorf("a step of %.0f mm: %d bevels in %v", run*1000, r.Bevels, r.Section)
			}
			break // the one with most air
		}
		if !seen {
			t.Errorf("a step of %.0f mm: no six corners", run*1000)
		}
	}
}

// TestSquaredStaysInside holds that squaring takes next to nothing off a section and adds nothing to it, whichever of its walls lean
// a little.
func TestSquaredStaysInside(t *testing.T) {
	s := shop{least: 0.06, board: 0.018}
	rapid.Check(t, func(t *rapid.T) {
		near := func(name string) float64 { return rapid.Float64Range(-0.003, 0.003).Draw(t, name) }
		g := plane.Polygon{{X: 0, Y: 0}, {X: 0.6, Y: near("front to back")}, {X: 0.6 + near("back"), Y: 0.24}, {X: 0.36, Y: 0.24 + near("tread")},
			{X: 0.36 + near("riser"), Y: 0.46}, {X: near("front"), Y: 0.46 + near("roof")}}
		h := s.squared(g)
		if a := s.inner(h) / s.inner(g); a > 1+1e-9 || a < math.Pow(1-squareCost, 6) {
			t.Fatalf("air times %.6f", a)
		}
		if !holdsAll(g, h) {
			t.Fatalf("%v lies outside %v", h, g)
		}
	})
}
