package cavity

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// A hand comes to a face that looks at an open side or at free room beside the box, not to one that stands against a wall
// or behind a thing that fills the way.
func TestHand(t *testing.T) {
	s := &Space{Gap: 6 * mm, Stations: []Station{at(0, line(0, 300, 400, 300), nil), at(800, line(0, 300, 400, 300), nil)}}
	m := settled(t, s)
	r := Region{Axis: Across, Lo: 0.006, Hi: 0.4, Section: outline(6, 6, 394, 6, 394, 294, 6, 294)}
	x, y := r3.Vec{X: 1}, r3.Vec{Y: 1}
	for _, c := range []struct {
		name    string
		at, out r3.Vec
		way     float64 // the straight way to the front, at most as much more by the steps; 0: none
	}{
		{"front", r3.Vec{X: 0.2, Y: 0.006, Z: 0.1}, r3.Scale(-1, y), 0.001},
		{"right end, at the back", r3.Vec{X: 0.4, Y: 0.3, Z: 0.1}, x, 0.3},
		{"left end, against the side", r3.Vec{X: 0.006, Y: 0.1, Z: 0.1}, r3.Scale(-1, x), 0},
		{"back", r3.Vec{X: 0.2, Y: 0.394, Z: 0.1}, y, 0},
	} {
		way, from, ok := m.Hand(&r, c.at, c.out)
		if ok != (c.way > 0) || ok && (from != Front || math.Abs(way-c.way) > 0.03) {
			t.Errorf("%s: %.3f m from the %v, %v; want %.3f", c.name, way, from, ok, c.way)
		}
	}
	s.Blocks = []Block{box("post", 420, 380, 0, 60, -1000, 2000)} // before the free room at the right
	if _, _, ok := settled(t, s).Hand(&r, r3.Vec{X: 0.4, Y: 0.3, Z: 0.1}, x); ok {
		t.Error("a hand goes through the post")
	}
	if d, o := m.Ahead(r3.Vec{X: 0.4, Y: 0.2, Z: 0.15}, x, 0.1, 1); math.Abs(d-0.4) > 1e-3 || o.Side != Right {
		t.Errorf("%.4f m to the right side, %+v", d, o)
	}
	if o := m.Beside(&r, Left); !o.Blocked || o.Side != Left {
		t.Errorf("the left side is not seen: %+v", o)
	}
	if o := m.Beside(&r, Right); o.Blocked {
		t.Errorf("free room at the right is taken for %+v", o)
	}
}

// The solid of a region with a leaning end has its volume and air, and lies within the leaning wall.
func TestLeaningEnds(t *testing.T) {
	_, res := searched(t, "corner-beside-arch")
	n := 0
	for _, r := range res.Regions {
		if r.Leans == [2]float64{} {
			continue
		}
		n++
		b, err := r.Solid()
		if err != nil {
			t.Fatal(err)
		}
		by := make([]float64, len(b.Faces))
		for k := range by {
			by[k] = -DefaultBoard
		}
		air, err := b.Moved(by)
		if err != nil {
			t.Fatal(err)
		}
		if v, a := b.Volume(), air.Volume(); math.Abs(v-r.Volume) > 1e-6*v || math.Abs(a-r.Air) > 1e-6*a {
			t.Errorf("%v: %.4f l with %.4f l of air, its solid %.4f and %.4f", r.Section, r.Volume*1000, r.Air*1000, v*1000, a*1000)
		}
	}
	if n == 0 {
		t.Error("no region leans")
	}
}
