package plane

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

func near(p, q Point, tol float64) bool {
	return math.Abs(p.X-q.X) <= tol && math.Abs(p.Y-q.Y) <= tol
}

func samePolygon(t *testing.T, got, want Polygon, tol float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("got %v, want %v", got, want)
	}
	for i := range got {
		if !near(got[i], want[i], tol) {
			t.Fatalf("corner %d: got %v, want %v\nin %v", i+1, got[i], want[i], got)
		}
	}
}

func TestInsetByHand(t *testing.T) {
	s := math.Sqrt2
	for _, c := range []struct {
		name string
		g    Polygon
		d    float64
		want []Polygon
	}{
		{"rectangle", Polygon{{0, 0}, {880, 0}, {880, 300}, {0, 300}}, 8,
			[]Polygon{{{8, 8}, {872, 8}, {872, 292}, {8, 292}}}},
		{"step keeps its sharp corner", Polygon{{0, 0}, {420, 0}, {420, 170}, {290, 170}, {290, 300}, {0, 300}},
			10,
			[]Polygon{{{10, 10}, {410, 10}, {410, 160}, {280, 160}, {280, 290}, {10, 290}}}},
		{"right triangle", Polygon{{0, 0}, {100, 0}, {0, 100}}, 10,
			[]Polygon{{{10, 10}, {90 - 10*s, 10}, {10, 90 - 10*s}}}},
		{"the short side vanishes", Polygon{{0, 0}, {100, 0}, {100, 5}, {0, 105}}, 10,
			[]Polygon{{{10, 10}, {95 - 10*s, 10}, {10, 95 - 10*s}}}},
		{"falls apart at the neck", Polygon{{0, 0}, {40, 0}, {40, 35}, {60, 35}, {60, 0}, {110, 0}, {110, 50}, {0, 50}},
			8,
			[]Polygon{{{68, 8}, {102, 8}, {102, 42}, {68, 42}}, {{8, 8}, {32, 8}, {32, 42}, {8, 42}}}},
		{"nothing left", Polygon{{0, 0}, {100, 0}, {100, 15}, {0, 15}}, 8, nil},
		{"just nothing left", Polygon{{0, 0}, {100, 0}, {100, 16}, {0, 16}}, 8, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := c.g.Inset(c.d)
			if len(got) != len(c.want) {
				t.Fatalf("got %v, want %v", got, c.want)
			}
			for i := range got {
				samePolygon(t, got[i], c.want[i], 1e-11)
			}
		})
	}
}

// takenAway says from the definition alone whether the strips of width d take p away from g, and how far p is from any
// place where that changes.
func takenAway(g Polygon, d float64, p Point) (taken bool, margin float64) {
	margin = g.Distance(p)
	visible := func(q Point) bool {
		q = q.Add(p.Sub(q).Mul(1e-6))
		for i := range g {
			a, b := g.Edge(i)
			u, v := p.Sub(q), b.Sub(a)
			if u.Cross(a.Sub(q))*u.Cross(b.Sub(q)) < 0 && v.Cross(q.Sub(a))*v.Cross(p.Sub(a)) < 0 {
				return false
			}
		}
		return g.encloses(q)
	}
	for i := range g {
		a, b := g.Edge(i)
		z, _ := g.Edge(i - 1)
		l1, l2 := LineThrough(z, a), LineThrough(a, b)
		d1, d2 := d, d
		h1, h2 := l1.Distance(p), l2.Distance(p)
		past1, past2 := p.Sub(a).Dot(a.Sub(z).Unit()), -p.Sub(a).Dot(b.Sub(a).Unit())
		margin = min(margin, math.Abs(h1-d1), math.Abs(h2-d2), math.Abs(past1), math.Abs(past2))
		along := -past2
		if foot := a.Add(b.Sub(a).Unit().Mul(along)); along > 0 && along < b.Sub(a).Norm() && h2 >= 0 && h2 < d2 && visible(foot) {
			taken = true
		}
		if g.turnAt(i) < 0 {
			taken = taken || past1 > 0 && past2 > 0 && h1 < d1 && h2 < d2
			continue
		}
		// Beyond the end of one strip and before the way of the corner, on which h1/d1 = h2/d2.
		margin = min(margin, math.Abs(h1*d2-h2*d1)/math.Max(math.Hypot(d1, d2), 1e-9))
		taken = taken || past1 > 0 && h1 >= 0 && h1 < d1 && h1*d2 <= h2*d1 && visible(a)
		taken = taken || past2 > 0 && h2 >= 0 && h2 < d2 && h2*d1 <= h1*d2 && visible(a)
	}
	return taken, margin
}

func TestInsetAgainstDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := simplePolygon(t)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "points"), 2))
		d := 0.15 * r.Float64() * r.Float64()
		pieces := g.Inset(d)
		for _, h := range pieces {
			if !h.IsSimple() || h.Area() <= 0 || !g.ContainsPolygon(h) {
				t.Fatalf("piece %v of %v inset by %v", h, g, d)
			}
		}
		for range 40 {
			p := pointIn(r, g)
			taken, margin := takenAway(g, d, p)
			if margin < 1e-4 {
				continue
			}
			in := 0
			for _, h := range pieces {
				if h.encloses(p) {
					in++
				}
			}
			if want := map[bool]int{true: 0, false: 1}[taken]; in != want {
				t.Fatalf("point %v is in %d pieces, want %d\n%v inset by %v\n%v", p, in, want, g, d, pieces)
			}
		}
	})
}

func TestInsetOfConvexIsMeetOfHalfPlanes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := simplePolygon(t).ConvexHull()
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "d"), 3))
		d := 0.2 * r.Float64()
		got := g.Inset(d)
		want := []Polygon{g}
		for i := range g {
			a, b := g.Edge(i)
			if len(want) == 0 {
				break
			}
			want = want[0].ClipHalfPlane(LineThrough(a, b).Offset(d))
		}
		area := func(p []Polygon) (a float64) {
			for _, g := range p {
				a += g.Area()
			}
			return a
		}
		if math.Abs(area(got)-area(want)) > 1e-7 || len(got) > 1 {
			t.Fatalf("%v inset by %v\ngot  %v\nwant %v", g, d, got, want)
		}
	})
}
