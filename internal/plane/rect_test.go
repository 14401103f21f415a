package plane

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestLargestRectByHand(t *testing.T) {
	for _, c := range []struct {
		name string
		g    Polygon
		area float64
	}{
		{"rectangle", Polygon{{1, 1}, {4, 1}, {4, 3}, {1, 3}}, 6},
		{"clockwise rectangle", Polygon{{1, 1}, {1, 3}, {4, 3}, {4, 1}}, 6},
		// Half of any triangle that stands on a level side can be covered: a classical result.
		{"triangle on its side", Polygon{{0, 0}, {1, 0}, {0.3, 1}}, 0.25},
		// |x| + |y| <= 1: the square of side 1.
		{"square on its corner", Polygon{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}, 1},
		// Both corners of the longer side on slopes: (4 - 2 y)(y) at y = 1.
		{"roof", Polygon{{-2, 0}, {2, 0}, {0, 2}}, 2},
		{"step", Polygon{{0, 0}, {42, 0}, {42, 17}, {29, 17}, {29, 30}, {0, 30}}, 870},
		{"wedge", Polygon{{0, 0}, {360, 0}, {430, 240}, {0, 240}}, 360 * 240},
		// A leaning strip: x between y and y + 1, 0 <= y <= 10, is best cut at (1 - h) h, h = 1/2.
		{"leaning strip", Polygon{{0, 0}, {1, 0}, {11, 10}, {10, 10}}, 0.25},
		{"U", Polygon{{0, 0}, {10, 0}, {10, 10}, {7, 10}, {7, 2}, {3, 2}, {3, 10}, {0, 10}}, 30},
		{"nothing", Polygon{{0, 0}, {1, 1}, {2, 2}}, 0},
	} {
		if got := c.g.LargestRect(); math.Abs(got.Area()-c.area) > 1e-9*c.area {
			t.Errorf("%s: got %v of %v, want %v", c.name, got, got.Area(), c.area)
		}
	}
}

// rasterRect finds the largest rectangle made of the cells of an n by n raster that lie inside for certain.
func rasterRect(g Polygon, n int) (area, cell float64) {
	b := g.Bounds()
	w, h := b.Width()/float64(n), b.Height()/float64(n)
	half := math.Hypot(w, h) / 2
	heights := make([]int, n)
	for j := range n {
		for i := range n {
			p := Point{b.Min.X + (float64(i)+0.5)*w, b.Min.Y + (float64(j)+0.5)*h}
			if g.encloses(p) && g.Distance(p) >= half {
				heights[i]++
			} else {
				heights[i] = 0
			}
		}
		for i := range n {
			low := heights[i]
			for k := i; k < n && heights[k] > 0; k++ {
				low = min(low, heights[k])
				area = math.Max(area, float64(low)*h*float64(k-i+1)*w)
			}
		}
	}
	return area, half
}

// widest measures the widest rectangle between two heights from the crossings with the outline alone.
func widest(g Polygon, y0, y1 float64) float64 {
	type stop struct{ from, to float64 }
	var stops []stop
	for i := range g {
		a, b := g.Edge(i)
		lo, hi := math.Max(y0, math.Min(a.Y, b.Y)), math.Min(y1, math.Max(a.Y, b.Y))
		if a.Y == b.Y {
			if a.Y > y0 && a.Y < y1 {
				stops = append(stops, stop{math.Min(a.X, b.X), math.Max(a.X, b.X)})
			}
			continue
		}
		if lo >= hi {
			continue
		}
		at := func(y float64) float64 { return a.X + (y-a.Y)/(b.Y-a.Y)*(b.X-a.X) }
		stops = append(stops, stop{math.Min(at(lo), at(hi)), math.Max(at(lo), at(hi))})
	}
	slices.SortFunc(stops, func(a, b stop) int { return cmpFloat(a.from, b.from) })
	best := 0.0
	for k := 1; k < len(stops); k++ {
		stops[k].to = math.Max(stops[k].to, stops[k-1].to)
		if l := stops[k].from - stops[k-1].to; l > best && g.encloses(Point{stops[k].from - l/2, (y0 + y1) / 2}) {
			best = l
		}
	}
	return best
}

func TestLargestRectAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := simplePolygon(t)
		got := g.LargestRect()
		if !g.ContainsPolygon(got.Polygon()) {
			t.Fatalf("%v: %v sticks out", g, got)
		}
		if raster, _ := rasterRect(g, 60); got.Area() < raster {
			t.Fatalf("%v: got %v of %v, a raster has %v", g, got, got.Area(), raster)
		}
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "slabs"), 4))
		b := g.Bounds()
		for k := range 600 {
			y0, y1 := got.Min.Y, got.Max.Y
			if k%3 == 0 {
				y0, y1 = b.Min.Y+r.Float64()*b.Height(), b.Min.Y+r.Float64()*b.Height()
			} else {
				spread := b.Height() * math.Pow(10, -1-4*r.Float64())
				y0, y1 = y0+spread*r.NormFloat64(), y1+spread*r.NormFloat64()
			}
			if y1 <= y0 {
				continue
			}
			if a := (y1 - y0) * widest(g, y0, y1); a > got.Area()*(1+1e-8) {
				t.Fatalf("%v: got %v of %v, between %v and %v there is %v", g, got, got.Area(), y0, y1, a)
			}
		}
	})
}

func BenchmarkLargestRect(b *testing.B) {
	g := Polygon{{0, 0}, {.5, .02}, {.6, -.03}, {.62, .1}, {.7, .3}, {.5, .33}, {.4, .25}, {.3, .35}, {.2, .33}, {.1, .3}, {.05, .2}, {-.05, .1}}
	for b.Loop() {
		g.LargestRect()
	}
}

func BenchmarkInset(b *testing.B) {
	g := Polygon{{0, 0}, {.5, .02}, {.6, -.03}, {.62, .1}, {.7, .3}, {.5, .33}, {.4, .25}, {.3, .35}, {.2, .33}, {.1, .3}, {.05, .2}, {-.05, .1}}
	for b.Loop() {
		g.Inset(0.01)
	}
}
