package plane

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestLines(t *testing.T) {
	l := LineThrough(Point{0, 2}, Point{5, 2})
	if l.N != (Point{0, 1}) || l.C != 2 {
		t.Errorf("LineThrough = %v", l)
	}
	if d := l.Distance(Point{1, 5}); d != 3 {
		t.Errorf("Distance = %v, want 3", d)
	}
	if p, ok := l.Offset(1).Meet(LineThrough(Point{4, 0}, Point{4, 1})); !ok || p != (Point{4, 3}) {
		t.Errorf("Meet = %v, %v", p, ok)
	}
	if _, ok := l.Meet(l.Offset(1)); ok {
		t.Error("parallel lines meet")
	}
	if u := (Point{}).Unit(); u != (Point{}) {
		t.Errorf("Unit of zero = %v", u)
	}
	if p := (Point{1, 0}).Rotate(math.Pi / 2); !near(p, Point{0, 1}, 1e-15) {
		t.Errorf("Rotate = %v", p)
	}
}

func TestAreaCentroidAngles(t *testing.T) {
	g := Polygon{{0, 0}, {42, 0}, {42, 17}, {29, 17}, {29, 30}, {0, 30}}
	if a := g.Area(); a != 42*17+29*13 {
		t.Errorf("Area = %v", a)
	}
	want := Point{(42*17*21 + 29*13*14.5) / 1091.0, (42*17*8.5 + 29*13*23.5) / 1091.0}
	if c := g.Centroid(); !near(c, want, 1e-12) {
		t.Errorf("Centroid = %v, want %v", c, want)
	}
	for i, want := range []float64{90, 90, 90, 270, 90, 90} {
		if a := g.InteriorAngle(i) * 180 / math.Pi; math.Abs(a-want) > 1e-12 {
			t.Errorf("InteriorAngle(%d) = %v, want %v", i, a, want)
		}
	}
	if g.IsConvex() || !g.ConvexHull().IsConvex() || len(g.ConvexHull()) != 5 {
		t.Errorf("hull %v", g.ConvexHull())
	}
	cw := Polygon{{0, 0}, {0, 1}, {1, 1}, {1, 0}}
	samePolygon(t, cw.CCW(), Polygon{{0, 0}, {1, 0}, {1, 1}, {0, 1}}, 0)
	if cw.Area() != -1 {
		t.Errorf("clockwise area %v", cw.Area())
	}
}

func TestClean(t *testing.T) {
	g := Polygon{{0, 0}, {50, 0.05}, {100, 0}, {100, 0.005}, {100, 60}, {0, 60}}
	samePolygon(t, g.Clean(0.01, 0.5*math.Pi/180), Polygon{{0, 0}, {100, 0}, {100, 60}, {0, 60}}, 0.01)
	if got := (Polygon{{1, 1}, {1, 1}}).Clean(0.01, 0.01); len(got) != 1 {
		t.Errorf("two equal corners: %v", got)
	}
}

func TestValidate(t *testing.T) {
	for _, c := range []struct {
		g    Polygon
		want string
	}{
		{Polygon{{0, 0}, {1, 0}, {0, 1}}, ""},
		{Polygon{{0, 0}, {0, 1}, {1, 0}}, ""},
		{Polygon{{0, 0}, {1, 0}}, "2 corners: must be 3 to 12"},
		{make(Polygon, 13), "13 corners: must be 3 to 12"},
		{Polygon{{0, 0}, {1, 0}, {math.NaN(), 1}}, "corner 3: not a finite number"},
		{Polygon{{0, 0}, {1, 0}, {1, 0}, {0, 1}}, "corners 2 and 3 are the same point"},
		{Polygon{{0, 0}, {1, 0}, {0, 1}, {0, 0}}, "corners 4 and 1 are the same point"},
		{Polygon{{0, 0}, {1, 1}, {1, 0}, {0, 1}}, "the side from corner 1 to 2 meets the side from corner 3 to 4"},
		{Polygon{{0, 0}, {2, 0}, {1, 0}, {1, 1}}, "the side from corner 1 to 2 meets the side from corner 2 to 3"},
		{Polygon{{0, 0}, {2, 0}, {2, 2}, {1, 0}, {0, 2}}, "the side from corner 1 to 2 meets the side from corner 3 to 4"},
		{Polygon{{0, 0}, {1, 0}, {2, 1e-6}}, "the corners enclose next to no area"},
	} {
		err := c.g.Validate()
		got := ""
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%v: %q, want %q", c.g, got, c.want)
		}
	}
}

func TestContainsPolygon(t *testing.T) {
	u := Polygon{{0, 0}, {10, 0}, {10, 10}, {7, 10}, {7, 2}, {3, 2}, {3, 10}, {0, 10}}
	for _, c := range []struct {
		h    Polygon
		want bool
	}{
		{u, true},
		{Polygon{{0, 0}, {3, 0}, {3, 10}, {0, 10}}, true},
		{Polygon{{1, 9}, {9, 9}, {9, 9.5}, {1, 9.5}}, false}, // corners inside, bridge outside
		{Polygon{{3, 2}, {7, 2}, {7, 10}, {3, 10}}, false},   // fits the gap: all sides on the outline or outside
		{Polygon{{1, 1}, {12, 1}, {1, 2}}, false},
		{nil, false},
	} {
		if got := u.ContainsPolygon(c.h); got != c.want {
			t.Errorf("%v: %v, want %v", c.h, got, c.want)
		}
	}
	if !u.Contains(Point{3, 5}) || u.Contains(Point{5, 5}) || !u.Contains(Point{10, 10}) {
		t.Error("Contains: outline must count as inside, the gap not")
	}
	if d := u.Distance(Point{5, 5}); d != 2 {
		t.Errorf("Distance = %v, want 2", d)
	}
}

func TestHullHoldsAllCorners(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := simplePolygon(t)
		h := g.ConvexHull()
		if !h.IsConvex() || h.Area() < g.Area()*(1-1e-12) || !h.ContainsPolygon(g) {
			t.Fatalf("hull of %v is %v", g, h)
		}
	})
}

// Corners along plumb walls that differ in rounding alone do not cost the hull its own corners.
func TestHullOfRoundedWalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		along := rapid.Float64Range(0, 1)
		rounding := rapid.Float64Range(-1e-15, 1e-15)
		g := Polygon{{0, 0}, {0.3, 0}, {0.3, 1}, {0, 1}}
		for i := range g {
			g[i].X += rounding.Draw(t, "rounding")
		}
		for range rapid.IntRange(1, 12).Draw(t, "n") {
			g = append(g, Point{0.3*float64(rapid.IntRange(0, 1).Draw(t, "side")) + rounding.Draw(t, "rounding"), along.Draw(t, "y")})
		}
		if h := g.ConvexHull(); math.Abs(h.Area()-0.3) > 1e-12 || h.Bounds().Height() != 1 {
			t.Fatalf("hull of %v is %v", g, h)
		}
	})
}

// FuzzPolygon feeds any corners: nothing may panic or run on, and what Validate accepts must come out of every function
// as simple pieces inside it.
func FuzzPolygon(f *testing.F) {
	add := func(v ...float64) {
		var b []byte
		for _, x := range v {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
		}
		f.Add(b, 0.01)
	}
	add(0, 0, 0.88, 0, 0.88, 0.3, 0, 0.3)
	add(0, 0, 0.42, 0, 0.42, 0.17, 0.29, 0.17, 0.29, 0.3, 0, 0.3)
	add(0, 0, 1, 1, 1, 0, 0, 1)
	add(0, 0, 0.5, 0, 0, 0.350104)
	add(math.NaN(), 0, math.Inf(1), 1, 2, 2)
	f.Fuzz(func(t *testing.T, data []byte, d float64) {
		var g Polygon
		for len(data) >= 16 && len(g) < MaxCorners {
			g = append(g, Point{math.Float64frombits(binary.LittleEndian.Uint64(data)), math.Float64frombits(binary.LittleEndian.Uint64(data[8:]))})
			data = data[16:]
		}
		g.IsSimple()
		g.Clean(1e-5, 0.01)
		g.ConvexHull()
		if err := g.Validate(); err != nil {
			if strings.TrimSpace(err.Error()) == "" {
				t.Fatal("an error without words")
			}
			return
		}
		size := g.Bounds().Diagonal()
		if size > 1e3 || size < 1e-3 || math.Abs(g[0].X)+math.Abs(g[0].Y) > 1e3 {
			return // no space that a tape measures
		}
		g = g.CCW()
		r := g.LargestRect()
		if r.Area() > g.Area()*(1+1e-9) || !(r.Area() > 0) {
			t.Fatalf("largest rectangle of %v: %v", g, r)
		}
		pieces := g.Subtract(r)
		if d >= 0 && !math.IsInf(d, 1) {
			pieces = append(pieces, g.Inset(d)...)
		}
		for _, h := range pieces {
			if len(h) < 3 || !(h.Area() > 0) || h.Area() > g.Area()*(1+1e-6) {
				t.Fatalf("%v: piece %v", g, h)
			}
		}
	})
}

// Turning the list of corners, or the whole figure by a quarter, changes no result.
func TestResultsDoNotDependOnTheFirstCorner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := simplePolygon(t)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "turn"), 9))
		k := r.IntN(len(g))
		h := append(append(Polygon{}, g[k:]...), g[:k]...)
		for i := range h {
			h[i] = h[i].Left()
		}
		d := 0.03 * r.Float64()
		a, b := g.Inset(d), h.Inset(d)
		if math.Abs(total(a)-total(b)) > 2e-7 {
			t.Fatalf("%v inset by %v: %v, turned %v", g, d, total(a), total(b))
		}
		if p, q := g.LargestRect().Area(), h.LargestRect().Area(); math.Abs(p-q) > 1e-8*p {
			t.Fatalf("%v: largest rectangle %v, turned %v", g, p, q)
		}
	})
}
