package cavity

import (
	"math"
	"testing"

	"cubby/internal/plane"
)

// kGon is the area of the largest polygon of k corners inside a convex one: its corners are corners of that, since the
// area is linear in each, so dynamic programming over the corners is exact.
func kGon(g plane.Polygon, k int) float64 {
	n := len(g)
	best := 0.0
	for s := range n { // the first corner
		// gain[c][j]: the most twice-area of the fan from s over c corners, the last one s+j
		gain := make([][]float64, k+1)
		for c := range gain {
			gain[c] = make([]float64, n)
			for j := range gain[c] {
				gain[c][j] = math.Inf(-1)
			}
		}
		gain[1][0] = 0
		for c := 2; c <= k; c++ {
			for j := 1; j < n; j++ {
				for i := 0; i < j; i++ {
					if v := gain[c-1][i]; !math.IsInf(v, -1) {
						a, b := g[(s+i)%n].Sub(g[s]), g[(s+j)%n].Sub(g[s])
						gain[c][j] = math.Max(gain[c][j], v+a.Cross(b))
					}
				}
			}
		}
		for j := range n {
			best = math.Max(best, gain[k][j]/2)
		}
	}
	return best
}

// dome is a convex section of 32 corners, 92 630 mm2 as the prototype had one: half an ellipse over a low wall.
func dome() plane.Polygon {
	g := plane.Polygon{{X: 0, Y: 0}, {X: 0.43, Y: 0}}
	for k := 0; k < 30; k++ {
		a := math.Pi * float64(k) / 29
		g = append(g, plane.Point{X: 0.215 + 0.215*math.Cos(a), Y: 0.05 + 0.21*math.Sin(a)})
	}
	return g
}

// The beam stays within one per cent of the exact polygon where the least wall does not bind.
func TestCornersAgainstExactPolygons(t *testing.T) {
	g := dome()
	s := shop{least: 1e-4, toes: true, board: 0}
	best := s.descend(g, 12, 8)
	for _, k := range []int{4, 5, 6, 8} {
		exact := kGon(g, k)
		if best[k] == nil {
			t.Fatalf("no section of %d corners", k)
		}
		p := s.best(best[k], g)
		got := p.Area()
		t.Logf("%d corners: exact %.0f, found %.0f, polished %.0f mm2", k, exact*1e6, best[k][0].g.Area()*1e6, got*1e6)
		if got > exact*(1+1e-9) {
			t.Errorf("%d corners: %.0f mm2 found, more than the exact %.0f", k, got*1e6, exact*1e6)
		}
		if got < exact*0.99 {
			t.Errorf("%d corners: %.0f mm2 found, the exact one has %.0f", k, got*1e6, exact*1e6)
		}
	}
}
