package cavity

import (
	"math"
	"slices"
	"testing"

	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// A face that is moved in stands so much nearer, in parallel: a wall that looks to a side squarely or leans, and an end that does.
func TestPulledIn(t *testing.T) {
	const by = 0.02
	m := settled(t, hump())
	slant := Region{Axis: Across, Lo: 0.1, Hi: 0.5, Section: outline(0, 0, 300, 0, 250, 280, 80, 250)}
	for _, c := range []struct {
		name string
		r    Region
		side Side
	}{
		{"a leaning front", slant, Front}, {"a leaning back", slant, Back}, {"a level floor", slant, Floor}, {"a falling roof", slant, Roof},
		{"an end", slant, Left}, {"the other end", slant, Right},
		{"a leaning end", Region{Axis: Depth, Lo: 0, Hi: 0.3, Leans: [2]float64{0.3}, Section: outline(0, 0, 400, 0, 400, 250, 0, 250)}, Front},
	} {
		q, ok := m.PulledIn(c.r, c.side, by, Limits{})
		before, err := c.r.Solid()
		if !ok || err != nil {
			t.Fatal(c.name, ok, err)
		}
		after, err := q.Solid()
		if err != nil {
			t.Fatal(c.name, err)
		}
		moved := 0
		axis, out := c.side.axis()
		for _, f := range before.Faces {
			i := slices.IndexFunc(after.Faces, func(g solid.Face) bool { return r3.Norm(r3.Sub(f.N, g.N)) < 1e-9 })
			if i < 0 {
				t.Fatalf("%s: no face looks as %v did", c.name, f.Plane)
			}
			switch d := f.D - after.Faces[i].D; {
			case math.Abs(d-by) < 1e-9 && out*axis.Of(f.N) > 0.8:
				moved++
			case math.Abs(d) > 1e-9:
				t.Errorf("%s: a face is moved in by %v: %v", c.name, d, f.Plane)
			}
		}
		if moved != 1 {
			t.Errorf("%s: %d faces are moved", c.name, moved)
		}
	}
	if _, ok := m.PulledIn(slant, Front, 0.25, Limits{}); ok {
		t.Error("a region is left where nothing is")
	}
}
