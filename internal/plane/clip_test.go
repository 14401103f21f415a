package plane

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

func total(pieces []Polygon) float64 {
	var sum float64
	for _, g := range pieces {
		sum += g.Area()
	}
	return sum
}

// check fails unless the pieces are simple, counter-clockwise, largest first, and hold exactly the points that want says.
func checkPieces(t *rapid.T, r *rand.Rand, g Polygon, pieces []Polygon, want func(Point) (in bool, margin float64)) {
	for i, h := range pieces {
		if !h.IsSimple() || !(h.Area() > 0) || !g.ContainsPolygon(h) {
			t.Fatalf("piece %v of %v", h, g)
		}
		if i > 0 && h.Area() > pieces[i-1].Area() {
			t.Fatalf("pieces not in order: %v", pieces)
		}
	}
	for range 60 {
		p := pointIn(r, g)
		in, margin := want(p)
		if margin < 1e-4 {
			continue
		}
		count := 0
		for _, h := range pieces {
			if h.encloses(p) {
				count++
			}
		}
		if (count == 1) != in || count > 1 {
			t.Fatalf("%v: point %v in %d pieces, want %v\n%v", g, p, count, in, pieces)
		}
	}
}

func TestClipHalfPlane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := simplePolygon(t)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "line"), 5))
		l := LineThrough(pointIn(r, g), Point{r.Float64(), r.Float64()})
		if r.IntN(2) == 0 { // along an edge
			a, b := g.Edge(r.IntN(len(g)))
			l = LineThrough(b, a)
		}
		keep := g.ClipHalfPlane(l)
		checkPieces(t, r, g, keep, func(p Point) (bool, float64) { d := l.Distance(p); return d > 0, math.Min(math.Abs(d), g.Distance(p)) })
		rest := g.ClipHalfPlane(Line{l.N.Mul(-1), -l.C})
		if sum := total(keep) + total(rest); math.Abs(sum-g.Area()) > 2e-7 {
			t.Fatalf("%v cut by %v: halves have %v, whole %v", g, l, sum, g.Area())
		}
	})
}

func TestSubtract(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := simplePolygon(t)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "rectangle"), 6))
		p := pointIn(r, g)
		q := p.Add(Point{0.3 * r.Float64(), 0.3 * r.Float64()})
		if r.IntN(3) == 0 {
			p, q = g[r.IntN(len(g))], p
		}
		c := Rect{Point{math.Min(p.X, q.X), math.Min(p.Y, q.Y)}, Point{math.Max(p.X, q.X), math.Max(p.Y, q.Y)}}
		pieces := g.Subtract(c)
		o := c.Polygon()
		checkPieces(t, r, g, pieces, func(p Point) (bool, float64) {
			in := p.X > c.Min.X && p.X < c.Max.X && p.Y > c.Min.Y && p.Y < c.Max.Y
			margin := math.Min(o.Distance(p), g.Distance(p))
			// Cuts that open a hole run along the sides of the rectangle.
			for _, d := range []float64{p.X - c.Min.X, p.X - c.Max.X, p.Y - c.Min.Y, p.Y - c.Max.Y} {
				margin = math.Min(margin, math.Abs(d))
			}
			return !in, margin
		})
		if sum := total(pieces) + g.IntersectArea(o); math.Abs(sum-g.Area()) > 2e-7 {
			t.Fatalf("%v without %v: pieces and common part have %v, whole %v", g, c, sum, g.Area())
		}
	})
}

func TestSubtractByHand(t *testing.T) {
	g := Polygon{{0, 0}, {10, 0}, {10, 6}, {0, 6}}
	for _, c := range []struct {
		name  string
		r     Rect
		areas []float64
	}{
		{"corner", Rect{Point{-1, -1}, Point{2, 1}}, []float64{58}},
		{"slot from below", Rect{Point{4, -1}, Point{5, 3}}, []float64{57}},
		{"right through", Rect{Point{4, -1}, Point{5, 7}}, []float64{30, 24}},
		{"hole", Rect{Point{1, 2}, Point{3, 4}}, []float64{50, 6}},
		{"all", Rect{Point{-1, -1}, Point{11, 7}}, nil},
		{"beside", Rect{Point{10, 0}, Point{11, 7}}, []float64{60}},
		{"empty", Rect{Point{5, 5}, Point{4, 4}}, []float64{60}},
	} {
		got := g.Subtract(c.r)
		if len(got) != len(c.areas) {
			t.Errorf("%s: got %v, want areas %v", c.name, got, c.areas)
			continue
		}
		for i := range got {
			if math.Abs(got[i].Area()-c.areas[i]) > 1e-12 {
				t.Errorf("%s: got %v of area %v, want %v", c.name, got[i], got[i].Area(), c.areas[i])
			}
		}
	}
}

func TestIntersectArea(t *testing.T) {
	u := Polygon{{0, 0}, {10, 0}, {10, 10}, {7, 10}, {7, 2}, {3, 2}, {3, 10}, {0, 10}}
	for _, c := range []struct {
		h    Polygon
		want float64
	}{
		{Polygon{{0, 5}, {10, 5}, {10, 6}, {0, 6}}, 6}, // both arms
		{Polygon{{3, 2}, {7, 2}, {7, 10}, {3, 10}}, 0}, // between the arms, touching
		{u, 68}, // itself
		{Polygon{{2, 1}, {8, 1}, {8, 3}, {2, 3}}, 6*2 - 4},    // across the floor
		{Polygon{{20, 0}, {21, 0}, {21, 1}}, 0},               // apart
		{Polygon{{-5, -5}, {15, -5}, {15, 15}, {-5, 15}}, 68}, // around
		// Left arm of the one over floor and right arm of the other, and floor under right arm.
		{u.Translate(Point{5, 0}), 2*2 + 1*10 + 2*2},
	} {
		if got := u.IntersectArea(c.h); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("with %v: got %v, want %v", c.h, got, c.want)
		}
	}
}

// The common part of two polygons is as large as a shower of points says, and does not depend on the order.
func TestIntersectAgainstPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, h := simplePolygon(t), simplePolygon(t)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "points"), 8))
		pieces := g.Intersect(h)
		checkPieces(t, r, g, pieces, func(p Point) (bool, float64) {
			return h.encloses(p), math.Min(g.Distance(p), h.Distance(p))
		})
		if a, b := g.IntersectArea(h), h.IntersectArea(g); math.Abs(a-b) > 1e-6 {
			t.Fatalf("%v and %v: %v one way, %v the other", g, h, a, b)
		}
	})
}
