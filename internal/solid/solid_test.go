package solid

import (
	"math"
	"testing"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func poly(xy ...float64) plane.Polygon {
	var g plane.Polygon
	for i := 0; i < len(xy); i += 2 {
		g = append(g, plane.Point{X: xy[i], Y: xy[i+1]})
	}
	return g
}

func must(t testing.TB) func(*Solid, error) *Solid {
	return func(s *Solid, err error) *Solid {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
}

func close(t testing.TB, what string, got, want, slack float64) {
	t.Helper()
	if math.Abs(got-want) > slack || math.IsNaN(got) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

func TestPrismAlongEveryAxis(t *testing.T) {
	wedge := poly(0, 0, .36, 0, .43, .24, 0, .24)
	for axis := Across; axis <= Up; axis++ {
		s := must(t)(Straight(wedge, axis, .1, 1))
		close(t, "volume along "+axis.String(), s.Volume(), wedge.Area()*.9, 1e-14)
		lo, hi := s.Bounds()
		close(t, "low end", axis.Of(lo), .1, 1e-12)
		close(t, "high end", axis.Of(hi), 1, 1e-12)
		if len(s.Hull()) != 8 || len(s.Corners()) != 8 {
			t.Errorf("%v: %d corners on the hull, %d in all", axis, len(s.Hull()), len(s.Corners()))
		}
		for i := range s.Faces {
			for k := range s.Faces[i].Loops[0].With {
				if !s.Convex(i, s.Faces[i].Loops[0], k) {
					t.Errorf("%v: edge %d of face %d is reflex", axis, k, i)
				}
			}
		}
	}
}

func TestLeaningEnds(t *testing.T) {
	// A hopper: 500 x 500 at the top, 300 x 300 at the bottom, 250 high, written as a prism whose ends lean.
	section := poly(-.15, 0, .15, 0, .25, .25, -.25, .25)
	lean := math.Atan2(.1, .25)
	n := r3.Vec{X: math.Cos(lean), Z: -math.Sin(lean)}
	s := must(t)(Prism(section, Across, Through(r3.Vec{X: -.15}, r3.Vec{X: -n.X, Z: n.Z}), Through(r3.Vec{X: .15}, n)))
	close(t, "volume", s.Volume(), .25/3*(.09+.25+.15), 1e-14)
	c := s.Centroid()
	close(t, "centroid", c.X+c.Y, 0, 1e-12)
	if _, err := Prism(section, Across, Through(r3.Vec{X: .1}, r3.Vec{X: -1}), Through(r3.Vec{X: .05}, n)); err == nil {
		t.Error("ends that cross are taken")
	}
}

func TestPockets(t *testing.T) {
	block := func(x0, x1, y0, y1, z0, z1 float64) Box {
		return Box{Name: "block", Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}}
	}
	for _, c := range []struct {
		name          string
		b             Box
		faces, odd    int
		taken, filled float64 // volume taken; 0 with filled -1: refused
	}{
		{"tunnel through front and back", block(.4, .6, -1, 1, -1, .1), 6 + 1 + 3, 4, .2 * .4 * .1, 0},
		{"leg in the middle of the bottom", block(.4, .5, .1, .2, -1, .1), 6 + 5, 4, .1 * .1 * .1, 0},
		{"at the edge of bottom and front", block(.4, .6, -1, .1, -1, .1), 6 + 4, 4, .2 * .1 * .1, 0},
		{"at a corner", block(-1, .2, -1, .1, -1, .1), 6 + 3, 3, .2 * .1 * .1, 0},
		{"40 mm from the front: runs out", block(.4, .6, .04, .1, -1, .1), 6 + 4, 4, .2 * .1 * .1, 0},
		{"beside it", block(2, 3, 0, 1, 0, 1), 0, 0, 0, -1},
		{"through and through", block(.4, .6, -1, 1, -1, 1), 0, 0, 0, -1},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := must(t)(Straight(poly(0, 0, .4, 0, .4, .3, 0, .3), Across, 0, 1))
			got, err := s.Pocket(c.b)
			if c.filled < 0 {
				if err == nil {
					t.Fatalf("taken, volume %g", got.Volume())
				}
				return
			}
			must(t)(got, err)
			close(t, "volume", got.Volume(), .12-c.taken, 1e-13)
			if len(got.Faces) != c.faces {
				t.Errorf("%d faces, want %d", len(got.Faces), c.faces)
			}
			odd := 0
			for _, q := range got.Corners() {
				if q.Odd >= 0 {
					odd++
				}
			}
			if odd != c.odd {
				t.Errorf("%d mixed corners, want %d", odd, c.odd)
			}
		})
	}
}

// RandomSection draws a star-shaped section of 3 to 12 corners round the origin.
func randomSection(t *rapid.T) plane.Polygon {
	n := rapid.IntRange(3, 12).Draw(t, "corners")
	g := make(plane.Polygon, n)
	for i := range g {
		a := 2 * math.Pi * (float64(i) + rapid.Float64Range(-.35, .35).Draw(t, "turn")) / float64(n)
		r := rapid.Float64Range(.15, .4).Draw(t, "radius")
		g[i] = plane.Point{X: r * math.Cos(a), Y: r * math.Sin(a)}
	}
	return g
}

func TestRandomSolids(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := randomSection(t)
		axis := Axis(rapid.IntRange(0, 2).Draw(t, "axis"))
		u := axis.Unit()
		lean := func(name string) r3.Vec {
			v := func() float64 { return rapid.Float64Range(-.3, .3).Draw(t, name) }
			return r3.Vec{X: v(), Y: v(), Z: v()}
		}
		lo := Through(r3.Scale(-.3, u), r3.Add(r3.Scale(-1, u), lean("low")))
		hi := Through(r3.Scale(.4, u), r3.Add(u, lean("high")))
		s, err := Prism(g, axis, lo, hi)
		if err != nil {
			t.Skip(err)
		}
		if rapid.Bool().Draw(t, "pocket") {
			c := func(name string) float64 { return rapid.Float64Range(-.3, .3).Draw(t, name) }
			b := Box{Min: r3.Vec{X: c("x"), Y: c("y"), Z: c("z")}}
			size := func() float64 { return rapid.Float64Range(.05, .3).Draw(t, "size") }
			b.Max = r3.Add(b.Min, r3.Vec{X: size(), Y: size(), Z: size()})
			before := s
			if s, err = s.Pocket(b); err != nil {
				t.Skip(err)
			}
			if !(s.Volume() < before.Volume()) {
				t.Fatalf("a pocket adds volume: %g to %g", before.Volume(), s.Volume())
			}
		}
		// Volume by slices against the divergence theorem: the area is piecewise quadratic, so a fine sum comes near.
		low, high := s.Bounds()
		const n = 60
		sum := 0.0
		for k := range n {
			h := low.Z + (float64(k)+.5)/n*(high.Z-low.Z)
			loops, err := s.Slice(Plane{N: r3.Vec{Z: 1}, D: h})
			if err != nil {
				t.Fatalf("slice at %g: %v", h, err)
			}
			for _, l := range loops {
				sum += LoopArea(l.At, r3.Vec{Z: 1}) * (high.Z - low.Z) / n
			}
		}
		if v := s.Volume(); math.Abs(sum-v) > .03*v {
			t.Fatalf("volume %g, by slices %g", v, sum)
		}
		// A point is inside where its level slice says so.
		for range 20 {
			p := r3.Vec{X: rapid.Float64Range(low.X, high.X).Draw(t, "x"), Y: rapid.Float64Range(low.Y, high.Y).Draw(t, "y"), Z: rapid.Float64Range(low.Z, high.Z).Draw(t, "z")}
			if s.nearCorner(p) {
				continue
			}
			loops, err := s.Slice(Plane{N: r3.Vec{Z: 1}, D: p.Z})
			if err != nil {
				t.Fatal(err)
			}
			var fig figure
			for _, l := range loops {
				var f plane.Polygon
				for _, q := range l.At {
					f = append(f, plane.Point{X: q.X, Y: q.Y})
				}
				fig = append(fig, f)
			}
			in := fig.contains(plane.Point{X: p.X, Y: p.Y})
			if in != s.Contains(p) {
				t.Fatalf("%v: inside by its slice %v, by a ray %v", p, in, !in)
			}
		}
	})
}

// nearCorner reports whether p is level with a corner or near a face, where either answer is right.
func (s *Solid) nearCorner(p r3.Vec) bool {
	for _, f := range s.Faces {
		if math.Abs(f.Depth(p)) < 1e-6 {
			return true
		}
		for _, l := range f.Loops {
			for _, q := range l.At {
				if math.Abs(q.Z-p.Z) < 1e-6 {
					return true
				}
			}
		}
	}
	return false
}

func TestRefused(t *testing.T) {
	cube := must(t)(Straight(poly(0, 0, 1, 0, 1, 1, 0, 1), Up, 0, 1))
	bad := append([]Face(nil), cube.Faces...)
	bad[0].Loops = []Loop{{With: []int{4, 1, 5}}}
	if _, err := New(bad); err == nil {
		t.Error("a face that misses an edge is taken")
	}
	bad = append([]Face(nil), cube.Faces...)
	bad[2].D = math.NaN()
	if _, err := New(bad); err == nil {
		t.Error("a plane that is no number is taken")
	}
	if _, err := Straight(poly(0, 0, 1, 1, 1, 0, 0, 1), Across, 0, 1); err == nil {
		t.Error("a section that crosses itself is taken")
	}
	if _, err := cube.Moved([]float64{-.5, -.5, -.5, -.5, -.2, -.2}); err == nil {
		t.Error("walls that meet in the middle leave air")
	}
	if _, err := cube.Moved([]float64{1, 2}); err == nil {
		t.Error("moves for too few faces are taken")
	}
}

func FuzzNew(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12})
	f.Fuzz(func(t *testing.T, data []byte) {
		var faces []Face
		for len(data) >= 8 && len(faces) < 12 {
			v := func(i int) float64 { return float64(int8(data[i])) / 16 }
			f := Face{Plane: Plane{N: r3.Vec{X: v(0), Y: v(1), Z: v(2)}, D: v(3)}}
			f.Loops = []Loop{{With: []int{int(data[4]) % 12, int(data[5]) % 12, int(data[6]) % 12}}}
			if data[7]%2 == 1 {
				f.Loops[0].With = append(f.Loops[0].With, int(data[7])%12)
			}
			faces, data = append(faces, f), data[8:]
		}
		if s, err := New(faces); err == nil {
			s.Volume()
			s.Corners()
			s.Hull()
		}
	})
}
