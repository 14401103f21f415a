package cavity

import (
	"math"
	"math/rand/v2"

	"cubby/internal/plane"
)

func poly(v ...float64) plane.Polygon {
	var g plane.Polygon
	for i := 0; i < len(v); i += 2 {
		g = append(g, plane.Point{X: v[i], Y: v[i+1]})
	}
	return g
}

// scaled multiplies every coordinate.
func scaled(g plane.Polygon, k float64) plane.Polygon {
	h := make(plane.Polygon, len(g))
	for i, p := range g {
		h[i] = p.Mul(k)
	}
	return h
}

// randomSection draws a section such as is found in vehicles: wedges, wheel arches, steps, and now and then any simple
// polygon.
func randomSection(r *rand.Rand) plane.Polygon {
	for {
		w, h := 0.2+0.5*r.Float64(), 0.15+0.3*r.Float64()
		var g plane.Polygon
		switch r.IntN(4) {
		case 0: // wedge
			g = poly(0, 0, w, 0, w*(0.6+0.6*r.Float64()), h, w*0.3*r.Float64(), h*(0.6+0.5*r.Float64()))
		case 1: // steps up to the front
			g = poly(0, 0, w, 0)
			n := 1 + r.IntN(4)
			x, y := w, h/float64(n)
			for range n {
				nx := x - w/float64(n)*(0.3+0.7*r.Float64())
				g = append(g, plane.Point{X: x, Y: y}, plane.Point{X: nx, Y: y})
				x, y = nx, y+h/float64(n)*r.Float64()
			}
			g = append(g, plane.Point{X: 0, Y: g[len(g)-1].Y})
		case 2: // arch
			n := 3 + r.IntN(5)
			g = poly(0, 0)
			for i := range n {
				a := math.Pi / 2 * float64(i) / float64(n-1)
				g = append(g, plane.Point{X: w * (1 - 0.6*math.Cos(a)), Y: 0.6 * h * math.Sin(a)})
			}
			g = append(g, plane.Point{X: w, Y: h}, plane.Point{X: 0, Y: h})
		default:
			for range 3 + r.IntN(10) {
				g = append(g, plane.Point{X: w * r.Float64(), Y: h * r.Float64()})
			}
			for range 300 {
				if i, j := crossed(g); i >= 0 {
					for a, b := i+1, j; a < b; a, b = a+1, b-1 {
						g[a], g[b] = g[b], g[a]
					}
				}
			}
		}
		// Corners within nearCorner of another are one corner to the space, which moves a side by as much.
		if g.Validate() == nil && math.Abs(g.Area()) > 0.01 && shortestSide(g) > nearCorner {
			return g
		}
	}
}

func shortestSide(g plane.Polygon) float64 {
	least := math.Inf(1)
	for i := range g {
		a, b := g.Edge(i)
		least = min(least, b.Sub(a).Norm())
	}
	return least
}

// crossed finds two sides that cross.
func crossed(g plane.Polygon) (int, int) {
	for i := range g {
		a, b := g.Edge(i)
		for j := i + 2; j < len(g); j++ {
			c, d := g.Edge(j)
			u, v := b.Sub(a), d.Sub(c)
			if d != a && u.Cross(c.Sub(a))*u.Cross(d.Sub(a)) < 0 && v.Cross(a.Sub(c))*v.Cross(b.Sub(c)) < 0 {
				return i, j
			}
		}
	}
	return -1, -1
}

func randomSpace(r *rand.Rand) Space {
	s := Space{Width: 0.2 + r.Float64(), Section: randomSection(r), Gap: 0.012 * r.Float64(), KeepToes: r.IntN(5) == 0}
	if r.IntN(3) == 0 {
		for range s.Section {
			d := s.Gap
			if r.IntN(3) == 0 {
				d += 0.05 * r.Float64()
			}
			s.Insets = append(s.Insets, d)
		}
	}
	if r.IntN(3) == 0 {
		s.InsetLeft = 0.05 * r.Float64()
	}
	b := s.Section.Bounds()
	for range r.IntN(3) {
		k := Block{
			Name: "bracket", Left: s.Width * (1.2*r.Float64() - 0.2), Width: 0.01 + 0.2*r.Float64(),
			Front: b.Min.X + b.Width()*(1.2*r.Float64()-0.2), Depth: 0.01 + 0.2*r.Float64(),
			Floor: b.Min.Y + b.Height()*(1.2*r.Float64()-0.2), Height: 0.01 + 0.1*r.Float64(),
		}
		s.Blocks = append(s.Blocks, k)
	}
	return s
}
