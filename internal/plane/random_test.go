package plane

import (
	"math"
	"math/rand/v2"

	"pgregory.net/rapid"
)

// simplePolygon draws a simple polygon of 3 to 12 corners, about half a metre wide: as often star-shaped, of any
// corners that happen to be simple, and of right angles only.
func simplePolygon(t *rapid.T) Polygon {
	n := rapid.IntRange(MinCorners, MaxCorners).Draw(t, "corners")
	seed := rapid.Uint64().Draw(t, "seed")
	return randomPolygon(rand.New(rand.NewPCG(seed, 1)), n)
}

func randomPolygon(r *rand.Rand, n int) Polygon {
	for {
		var g Polygon
		switch r.IntN(3) {
		case 0:
			g = star(r, n)
		case 1:
			g = untangled(r, n)
		default:
			g = skyline(r, max(2, n/2))
		}
		if g.Validate() == nil && math.Abs(g.Area()) > 0.004 {
			return g.CCW()
		}
	}
}

func star(r *rand.Rand, n int) Polygon {
	var g Polygon
	start := r.Float64()
	for i := range n {
		a := 2 * math.Pi * (float64(i) + 0.9*r.Float64() + start) / float64(n)
		g = append(g, Point{0.3, 0.2}.Add(Point{0.1 + 0.3*r.Float64(), 0}.Rotate(a)))
	}
	return g
}

// untangled draws random corners and reverses stretches of the outline until no two sides cross.
func untangled(r *rand.Rand, n int) Polygon {
	var g Polygon
	for range n {
		g = append(g, Point{0.6 * r.Float64(), 0.4 * r.Float64()})
	}
	for range 200 {
		i, j := g.crossing()
		if i < 0 {
			break
		}
		for a, b := i+1, j; a < b; a, b = a+1, b-1 {
			g[a], g[b] = g[b], g[a]
		}
	}
	return g
}

// skyline draws a floor with steps of different heights on it, and sometimes leans it over.
func skyline(r *rand.Rand, steps int) Polygon {
	g := Polygon{{0, 0}}
	x := 0.0
	var top Polygon
	for range min(steps-1, 5) {
		h := 0.05 + 0.3*r.Float64()
		top = append(top, Point{x, h})
		x += 0.05 + 0.15*r.Float64()
		top = append(top, Point{x, h})
	}
	g = append(g, Point{x, 0})
	for i := len(top) - 1; i >= 0; i-- {
		g = append(g, top[i])
	}
	if r.IntN(2) == 0 {
		lean := r.Float64() - 0.5
		for i := range g {
			g[i].X += lean * g[i].Y
		}
	}
	return g
}

// pointIn draws a point inside g.
func pointIn(r *rand.Rand, g Polygon) Point {
	b := g.Bounds()
	for {
		p := Point{b.Min.X + r.Float64()*b.Width(), b.Min.Y + r.Float64()*b.Height()}
		if g.encloses(p) {
			return p
		}
	}
}
